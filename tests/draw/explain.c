/* The drawings that explain a station: every station and outlet of the demo as path, staircase and
 * customer page, within their page and not empty; what they show is what the study says. */
#include <math.h>
#include <pango/pangocairo.h>

#include "core/plan/document.h"
#include "draw/customer.h"
#include "ink.h"

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
  PangoContext *context;
  DwnPlanView view;
} Fixture;

static void
fill (Fixture *fixture)
{
  g_autoptr (GError) error = NULL;

  fixture->fields = dwn_fields_new (fixture->plan, NULL, &error);
  g_assert_no_error (error);
  fixture->base = dwn_budget_base_new (fixture->plan, fixture->fields, fixture->tables);
  fixture->budget = dwn_budget_new (fixture->base, fixture->plan->aims->aim_deg);
  const DwnFindings findings = { fixture->plan, fixture->fields, fixture->budget,
                                 fixture->plan->aims->aim_deg, 12.5 };
  dwn_plan_view_init (&fixture->view, &dwn_wording_metric, &findings, fixture->base);
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  fixture->plan = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL),
    fixture->tables->parts, fixture->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  fill (fixture);
}

static void
drop_results (Fixture *fixture)
{
  dwn_budget_unref (fixture->budget);
  dwn_budget_base_unref (fixture->base);
  dwn_fields_unref (fixture->fields);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  drop_results (fixture);
  dwn_plan_unref (fixture->plan);
  dwn_tables_unref (fixture->tables);
  g_object_unref (fixture->context);
}

static guint
station_called (const Fixture *fixture, const char *id)
{
  return (guint) dwn_stations_find (fixture->plan->stations, id);
}

/* What is drawn is the profile with its worst point and nothing rounded away. */
static void
test_path (Fixture *fixture, gconstpointer data)
{
  DwnLook look = dwn_look_light ();

  for (guint i = 0; i < fixture->plan->stations->n; i++)
    {
      const DwnArrival *arrival = &fixture->fields->arrival[i];

      fixture->view.station = (int) i;
      g_autoptr (DwnPlanPath) path = dwn_plan_path_new (&fixture->view);
      g_assert_nonnull (path);
      g_assert_cmpuint (path->data.n_points, ==, arrival->profile->n);
      g_assert_cmpfloat (path->data.transmitter_m, ==, fixture->plan->stations->station[i].agl_m);
      g_assert_cmpfloat (path->data.crest_above_m, ==, -arrival->clearance.clearance_m);
      /* The way bends over something exactly where something stands above the straight line. */
      g_assert_cmpint (path->data.n_edges > 0, ==, arrival->path_class == DWN_PATH_BLOCKED);
      for (guint k = 1; k < path->data.n_edges; k++)
        g_assert_cmpfloat (path->data.edge_m[k], >, path->data.edge_m[k - 1]);
      g_autoptr (DwnScene) scene = dwn_path_layout (&path->data, &look, fixture->context, 760, 320);
      dwn_assert_inside_page (scene);
    }
}

static void
test_no_path (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPaths) none = dwn_paths_new (0, NULL, NULL);
  DwnPlan parts = *fixture->plan;

  drop_results (fixture);
  parts.paths = none;
  DwnPlan *bare = dwn_plan_new (&parts);
  dwn_plan_unref (fixture->plan);
  fixture->plan = bare;
  fill (fixture);
  fixture->view.station = 0;
  g_assert_null (dwn_plan_path_new (&fixture->view));
}

/* Columns gather steps, and lose none: their sum is the level at the outlet. */
static void
test_staircase (Fixture *fixture, gconstpointer data)
{
  DwnLook look = dwn_look_light ();

  for (guint i = 0; i < fixture->plan->stations->n; i++)
    for (guint o = 0; o < fixture->budget->n_outlets; o++)
      {
        g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (fixture->base, fixture->plan->aims->aim_deg, i, o);
        double sum_dbm = 0.0;

        fixture->view.station = (int) i;
        fixture->view.outlet = (int) o;
        g_autoptr (DwnPlanStaircase) stairs = dwn_plan_staircase_new (&fixture->view, diagnosis, NULL, 0);
        g_assert_nonnull (stairs);
        g_assert_cmpuint (stairs->data.n_steps, <=, 14);
        for (guint k = 0; k < stairs->data.n_steps; k++)
          sum_dbm += stairs->data.steps[k].gain_db;
        g_assert_cmpfloat_with_epsilon (sum_dbm, diagnosis->reception.level_dbm, 1e-8);
        double enough = stairs->data.steps[stairs->data.n_steps - 1].enough_dbm;
        g_assert_cmpfloat_with_epsilon (sum_dbm - enough, diagnosis->reception.margin_db, 1e-8);
        g_autoptr (DwnScene) scene = dwn_staircase_layout (&stairs->data, &look, fixture->context, 760, 460);
        dwn_assert_inside_page (scene);
      }
}

/* The ridge, the wood and the aim are to blame for Vennacott: the columns say so, others do not. */
static void
test_named (Fixture *fixture, gconstpointer data)
{
  guint station = station_called (fixture, "vennacott"), named = 0;
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (fixture->base, fixture->plan->aims->aim_deg, station, 2);

  fixture->view.station = (int) station;
  g_autoptr (DwnPlanStaircase) stairs = dwn_plan_staircase_new (&fixture->view, diagnosis, NULL, 0);
  for (guint k = 0; k < stairs->data.n_steps; k++)
    if (stairs->data.steps[k].cause)
      {
        named++;
        g_assert_true (g_str_has_prefix (stairs->data.steps[k].name, "Cray Edge")
                       || g_str_has_prefix (stairs->data.steps[k].name, "Wood")
                       || g_str_has_prefix (stairs->data.steps[k].name, "Aim"));
      }
  g_assert_cmpuint (named, ==, 3);
}

typedef struct {
  const char *name, *station;
  DwnPaperSize size;
  gboolean bare; /* no profiles */
} Page;

static const Page pages[] = {
  { "ridge-a4", "vennacott", DWN_PAPER_A4, FALSE },
  { "ridge-letter", "vennacott", DWN_PAPER_LETTER, FALSE },
  { "wrong-band-a4", "fennimore-ridge", DWN_PAPER_A4, FALSE },
  { "wrong-band-letter", "fennimore-ridge", DWN_PAPER_LETTER, FALSE },
  { "dependable", "quillon", DWN_PAPER_LETTER, FALSE },
  { "no-profile", "vennacott", DWN_PAPER_A4, TRUE },
};

static void
test_page (gconstpointer data)
{
  const Page *page = data;
  g_autoptr (GError) error = NULL;
  Fixture fixture;
  DwnRect ink;

  set_up (&fixture, NULL);
  if (page->bare)
    test_no_path (&fixture, NULL);
  guint station = station_called (&fixture, page->station), outlet = fixture.budget->weakest[station];
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (fixture.base, fixture.plan->aims->aim_deg, station, outlet);
  g_autoptr (DwnRemedies) remedies = dwn_remedies_new (fixture.base, fixture.plan->aims->aim_deg, station, outlet,
                                                       NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnScene) scene = dwn_customer_layout (&fixture.view, diagnosis, remedies, fixture.context, page->size);
  g_assert_true (dwn_scene_extents (scene, DWN_LAYER_ALL, &ink));
  g_test_message ("ink %.1f to %.1f of %.1f", ink.y, ink.y + ink.height, dwn_scene_height (scene));
  g_assert_cmpfloat (ink.x, >=, 14.0);
  g_assert_cmpfloat (ink.x + ink.width, <=, dwn_scene_width (scene) - 14.0);
  g_assert_cmpfloat (ink.y, >=, 14.0);
  g_assert_cmpfloat (ink.y + ink.height, <=, dwn_scene_height (scene) - 14.0);
  /* Staircase, path and rose are on it. */
  g_assert_nonnull (dwn_scene_find (scene, DWN_REGION_STEP, 0));
  g_assert_nonnull (dwn_scene_find (scene, DWN_REGION_STATION, station));
  tear_down (&fixture, NULL);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/explain/path", Fixture, NULL, set_up, test_path, tear_down);
  g_test_add ("/explain/no-path", Fixture, NULL, set_up, test_no_path, tear_down);
  g_test_add ("/explain/staircase", Fixture, NULL, set_up, test_staircase, tear_down);
  g_test_add ("/explain/named", Fixture, NULL, set_up, test_named, tear_down);
  for (gsize i = 0; i < G_N_ELEMENTS (pages); i++)
    {
      g_autofree char *path = g_strconcat ("/explain/page/", pages[i].name, NULL);
      g_test_add_data_func (path, &pages[i], test_page);
    }
  return g_test_run ();
}
