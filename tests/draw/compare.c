/* Two variants on one page, A4 or Letter, whatever the plan; nothing runs over its edges. */
#include <pango/pangocairo.h>

#include "core/plan/document.h"
#include "draw/compare.h"

typedef struct {
  const char *name;
  guint n_more; /* services besides those of the example */
  DwnPaperSize size;
} Case;

static const Case cases[] = {
  { "a4", 0, DWN_PAPER_A4 },
  { "letter", 0, DWN_PAPER_LETTER },
  { "sixty-a4", 60, DWN_PAPER_A4 },
  { "sixty-letter", 60, DWN_PAPER_LETTER },
};

typedef struct {
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
  DwnComparedView view;
} Variant;

static void
variant_open (Variant *v, DwnPlan *plan_take, const char *name, const DwnTables *tables)
{
  g_autoptr (GError) error = NULL;

  v->plan = plan_take;
  v->fields = dwn_fields_new (v->plan, NULL, &error);
  g_assert_no_error (error);
  v->base = dwn_budget_base_new (v->plan, v->fields, tables);
  v->budget = dwn_budget_new (v->base, v->plan->aims->aim_deg);
  const DwnFindings findings = { v->plan, v->fields, v->budget, v->plan->aims->aim_deg, 12.5 };
  v->view.name = name;
  dwn_plan_view_init (&v->view.view, &dwn_wording_metric, &findings, v->base);
}

static void
variant_close (Variant *v)
{
  dwn_budget_unref (v->budget);
  dwn_budget_base_unref (v->base);
  dwn_fields_unref (v->fields);
  dwn_plan_unref (v->plan);
}

/* The example with so many more liked services that nobody carries. */
static DwnPlan *
load (const DwnTables *tables, guint n_more)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) demo = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL), tables->parts,
    tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnServices) services = dwn_services_ref ((DwnServices *) demo->services);

  for (guint i = 0; i < n_more; i++)
    {
      g_autofree char *id = g_strdup_printf ("more-%u", i);
      const DwnService more = { g_intern_string (id), "A service with a rather long name", "9.1", DWN_WANTED_LIKE };
      DwnServices *with = dwn_services_with (services, &more);

      dwn_services_unref (services);
      services = with;
    }
  return dwn_plan_with_stations (demo, demo->stations, services);
}

static void
test_one_page (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_autoptr (DwnPlan) plan = load (tables, c->n_more);
  Variant first, second;
  DwnRect ink;

  variant_open (&first, dwn_plan_ref (plan), "This plan", tables);
  variant_open (&second, dwn_variant_in_attic (plan),
                "On trial: two antennas joined by channel filters, and one more for another band", tables);
  const DwnComparand one = { first.plan, first.budget }, other = { second.plan, second.budget };
  const DwnComparedView sides[2] = { first.view, second.view };
  g_autoptr (DwnComparison) comparison = dwn_comparison_new (&one, &other, tables);
  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  g_autoptr (DwnScene) scene = dwn_compare_layout (sides, comparison, context, c->size);

  g_object_unref (context);
  g_assert_cmpuint (comparison->n, >=, plan->services->n);
  /* ISO 216 A4 and ANSI Letter in points. */
  g_assert_cmpfloat_with_epsilon (dwn_scene_width (scene), c->size == DWN_PAPER_A4 ? 595.28 : 612.0, 0.01);
  g_assert_cmpfloat_with_epsilon (dwn_scene_height (scene), c->size == DWN_PAPER_A4 ? 841.89 : 792.0, 0.01);
  g_assert_true (dwn_scene_extents (scene, DWN_LAYER_ALL, &ink));
  g_assert_cmpfloat (ink.x, >=, 14.0);
  g_assert_cmpfloat (ink.x + ink.width, <=, dwn_scene_width (scene) - 14.0);
  g_assert_cmpfloat (ink.y, >=, 14.0);
  g_assert_cmpfloat (ink.y + ink.height, <=, dwn_scene_height (scene) - 14.0);
  if (c->n_more > 0) /* the page is used down to its foot before anything is only counted */
    g_assert_cmpfloat (ink.y + ink.height, >=, dwn_scene_height (scene) - 60.0);
  variant_close (&second);
  variant_close (&first);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/compare/one-page/", cases[i].name, NULL);
      g_test_add_data_func (path, &cases[i], test_one_page);
    }
  return g_test_run ();
}
