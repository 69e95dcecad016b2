/* The install sheet is one page, whatever the plan; nothing runs over its edges. */
#include <pango/pangocairo.h>

#include "core/chain/head.h"
#include "core/plan/document.h"
#include "core/study/budget.h"
#include "draw/sheet.h"

typedef struct {
  const char *name;
  guint n_outlets, n_wanted;
  DwnPaperSize size;
  gboolean built;
} Case;

static const Case cases[] = {
  { "demo-a4", 3, 0, DWN_PAPER_A4 },        { "demo-letter", 3, 0, DWN_PAPER_LETTER },
  { "one-outlet", 1, 0, DWN_PAPER_A4 },     { "eight-outlets", 8, 0, DWN_PAPER_LETTER },
  { "thirty-wanted", 3, 30, DWN_PAPER_A4 }, { "both", 8, 40, DWN_PAPER_LETTER },
  { "built-a4", 3, 0, DWN_PAPER_A4, TRUE }, { "built-letter", 3, 0, DWN_PAPER_LETTER, TRUE },
  { "built-both", 8, 40, DWN_PAPER_LETTER, TRUE },
};

static DwnPlan *
load_demo (const DwnTables *tables)
{
  g_autoptr (GError) error = NULL;
  DwnPlan *plan = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL),
    tables->parts, tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

/* The demo with the standard gear for so many outlets. */
static DwnPlan *
with_outlets (const DwnPlan *plan, const DwnTables *tables, guint n_outlets)
{
  g_autoptr (GError) error = NULL;
  DwnPart antennas[2];

  for (guint a = 0; a < 2; a++)
    antennas[a] = plan->gear->part[plan->gear->antenna[a]];
  g_autoptr (DwnChain) gear = dwn_chain_new_standard (tables->parts, 2, antennas, n_outlets,
                                                      "series-6", 15.0, "tuner-atsc", &error);
  g_assert_no_error (error);
  return dwn_plan_with_gear (plan, gear, plan->aims);
}

/* The demo with so many more wanted stations, all on one new mast. */
static DwnPlan *
with_wanted (const DwnPlan *plan, guint n)
{
  g_autofree DwnStation *stations = g_new0 (DwnStation, plan->stations->n + n);
  g_autofree DwnService *services = g_new0 (DwnService, plan->services->n + n);
  g_autofree const char **ids = g_new0 (const char *, n);

  for (guint i = 0; i < plan->stations->n; i++)
    stations[i] = plan->stations->station[i];
  for (guint i = 0; i < plan->services->n; i++)
    services[i] = plan->services->service[i];
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *id = g_strdup_printf ("more-%u", i);

      ids[i] = g_intern_string (id);
      services[plan->services->n + i] = (DwnService) { ids[i], ids[i], "40.1", DWN_WANTED_MUST };
      stations[plan->stations->n + i] = stations[i % plan->stations->n];
      stations[plan->stations->n + i].id = stations[plan->stations->n + i].name = ids[i];
      stations[plan->stations->n + i].at.lat_deg += 0.05;
      stations[plan->stations->n + i].n_services = 1;
      stations[plan->stations->n + i].services = &ids[i];
    }
  g_autoptr (DwnStations) own_stations = dwn_stations_new (plan->stations->n + n, stations, NULL, NULL);
  g_autoptr (DwnServices) own_services = dwn_services_new (plan->services->n + n, services);
  DwnPlan parts = *plan;

  parts.stations = own_stations;
  parts.services = own_services;
  return dwn_plan_new (&parts);
}

/* Two visits a year apart, every station read at the first outlet on both. */
static DwnPlan *
with_visits (const DwnPlan *plan)
{
  static const char *const days[] = { "2025-05-14", "2026-05-20T14:30" };
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (DwnReading));
  DwnPlan *visited = dwn_plan_ref ((DwnPlan *) plan);

  for (guint v = 0; v < 2; v++)
    {
      const DwnVisit visit = { days[v], "A. Person", "field meter", "connectors made anew, new wall plate",
                               "water in a connector", "water" };
      DwnPlan *more = dwn_plan_with_visit (visited, &visit);

      dwn_plan_unref (visited);
      visited = more;
      for (guint i = 0; i < plan->stations->n; i++)
        {
          DwnReading reading;

          dwn_reading_init (&reading);
          reading.station = plan->stations->station[i].id;
          reading.where = plan->gear->part[plan->gear->outlet[0]].id;
          reading.when = days[v];
          reading.level_dbm = -50.0 - i - 2.5 * v;
          reading.cn_db = 26.0 - i;
          g_array_append_val (readings, reading);
        }
    }
  DwnPlan *read = dwn_plan_with_readings (visited, readings->len, (const DwnReading *) (gpointer) readings->data);
  dwn_plan_unref (visited);
  return read;
}

static void
test_one_page (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) demo = load_demo (tables);
  g_autoptr (DwnPlan) wired = c->n_outlets == 3 ? dwn_plan_ref (demo)
                                                : with_outlets (demo, tables, c->n_outlets);
  g_autoptr (DwnPlan) crowded = with_wanted (wired, c->n_wanted);
  g_autoptr (DwnPlan) plan = c->built ? with_visits (crowded) : dwn_plan_ref (crowded);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
  const DwnFindings findings = { plan, fields, budget, plan->aims->aim_deg, 12.5 };
  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  DwnPlanView view;
  DwnRect ink;

  dwn_plan_view_init (&view, &dwn_wording_metric, &findings, base);
  g_autoptr (DwnScene) scene = c->built ? dwn_sheet_layout_built (&view, tables, context, c->size)
                                        : dwn_sheet_layout (&view, context, c->size);
  g_object_unref (context);
  /* ISO 216 A4 and ANSI Letter in points. */
  g_assert_cmpfloat_with_epsilon (dwn_scene_width (scene), c->size == DWN_PAPER_A4 ? 595.28 : 612.0, 0.01);
  g_assert_cmpfloat_with_epsilon (dwn_scene_height (scene), c->size == DWN_PAPER_A4 ? 841.89 : 792.0, 0.01);
  g_assert_true (dwn_scene_extents (scene, DWN_LAYER_ALL, &ink));
  g_test_message ("ink %.1f to %.1f of %.1f", ink.y, ink.y + ink.height, dwn_scene_height (scene));
  g_assert_cmpfloat (ink.x, >=, 14.0);
  g_assert_cmpfloat (ink.x + ink.width, <=, dwn_scene_width (scene) - 14.0);
  g_assert_cmpfloat (ink.y, >=, 14.0);
  g_assert_cmpfloat (ink.y + ink.height, <=, dwn_scene_height (scene) - 14.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/sheet/one-page/", cases[i].name, NULL);
      g_test_add_data_func (path, &cases[i], test_one_page);
    }
  return g_test_run ();
}
