/* The install sheet is one page, whatever the plan; nothing runs over its edges. */
#include <math.h>
#include <pango/pangocairo.h>
#include <string.h>

#include "core/chain/head.h"
#include "core/plan/document.h"
#include "core/study/budget.h"
#include "draw/scene-private.h"
#include "draw/sheet.h"
#include "words/parts-words.h"

typedef struct {
  const char *name;
  guint n_outlets, n_wanted;
  DwnPaperSize size;
  gboolean built;
} Case;

#define ONLY_ONE G_MAXUINT /* the example with its first station only */

static const Case cases[] = {
  { "demo-a4", 3, 0, DWN_PAPER_A4 },        { "demo-letter", 3, 0, DWN_PAPER_LETTER },
  { "one-outlet", 1, 0, DWN_PAPER_A4 },     { "eight-outlets", 8, 0, DWN_PAPER_LETTER },
  { "thirty-wanted", 3, 30, DWN_PAPER_A4 }, { "both", 8, 40, DWN_PAPER_LETTER },
  { "sixty-a4", 3, 60, DWN_PAPER_A4 },      { "sixty-letter", 8, 60, DWN_PAPER_LETTER },
  { "one-station-a4", 1, ONLY_ONE, DWN_PAPER_A4 }, { "one-station-letter", 3, ONLY_ONE, DWN_PAPER_LETTER },
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

static DwnPlan *
with_one_station (const DwnPlan *plan)
{
  g_autoptr (DwnStations) one = dwn_stations_new (1, plan->stations->station, NULL, NULL);

  return dwn_plan_with_stations (plan, one, plan->services);
}

/* A text of the page itself, and where it stands; what drawings on it say is tested with them. */
typedef struct {
  const char *text;
  double x, y, width, height;
} Text;

static GArray *
texts_of (const DwnScene *scene)
{
  GArray *texts = g_array_new (FALSE, FALSE, sizeof (Text));

  for (guint layer = 0; layer < DWN_N_LAYERS; layer++)
    for (guint i = 0; i < scene->items[layer]->len; i++)
      {
        const DwnItem *item = &g_array_index (scene->items[layer], DwnItem, i);
        PangoRectangle ink;

        if (item->kind != DWN_ITEM_TEXT)
          continue;
        pango_layout_get_extents (item->text, &ink, NULL);
        const Text text = { pango_layout_get_text (item->text), item->x + (double) ink.x / PANGO_SCALE,
                            item->y + (double) (ink.y - pango_layout_get_baseline (item->text)) / PANGO_SCALE,
                            (double) ink.width / PANGO_SCALE, (double) ink.height / PANGO_SCALE };
        g_array_append_val (texts, text);
      }
  return texts;
}

/* Less than the width of a stroke does not show. */
#define TOUCH_PT 0.6

static void
assert_apart (const GArray *texts)
{
  for (guint a = 0; a < texts->len; a++)
    for (guint b = a + 1; b < texts->len; b++)
      {
        const Text *one = &g_array_index (texts, Text, a), *other = &g_array_index (texts, Text, b);
        double across = fmin (one->x + one->width, other->x + other->width) - fmax (one->x, other->x);
        double down = fmin (one->y + one->height, other->y + other->height) - fmax (one->y, other->y);

        if (across > TOUCH_PT && down > TOUCH_PT)
          g_error ("\"%s\" and \"%s\" stand on each other", one->text, other->text);
      }
}

static gboolean
says (const GArray *texts, const char *words)
{
  for (guint i = 0; i < texts->len; i++)
    if (g_str_equal (g_array_index (texts, Text, i).text, words))
      return TRUE;
  return FALSE;
}

/* Every line of the parts list is there or counted, and the cable is always there. */
static void
assert_parts (const GArray *texts, const DwnPlan *plan, const DwnTables *tables)
{
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (plan->gear, &tables->parts_rules);
  g_autoptr (GPtrArray) lines = dwn_word_parts (&dwn_wording_metric, list, plan->method->currency);
  guint missing = 0;

  for (guint i = 0; i < lines->len; i++)
    {
      const char *line = g_ptr_array_index (lines, i);
      gboolean shown = says (texts, line);
      g_assert_true (shown || strstr (line, "coax") == NULL || strstr (line, "connector") == NULL);
      missing += shown ? 0 : 1;
    }
  g_autofree char *more = g_strdup_printf (missing == 1 ? "and %u more line in the plan"
                                                        : "and %u more lines in the plan", missing);
  g_test_message ("%u of %u lines left out", missing, lines->len);
  g_assert_cmpint (says (texts, more), ==, missing > 0);
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
  g_autoptr (DwnPlan) crowded = c->n_wanted == ONLY_ONE ? with_one_station (wired) : with_wanted (wired, c->n_wanted);
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
  g_autoptr (GArray) texts = texts_of (scene);
  assert_apart (texts);
  if (!c->built)
    assert_parts (texts, plan, tables);
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
