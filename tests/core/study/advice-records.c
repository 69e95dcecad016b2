/* Real licence records around a house in the White Mountains, with the real ground: what the map and
 * the hills say has to come out of the advice. Bearings and distances from an independent geodesic of
 * the same records; line of sight by a profile of the same tile. */
#include <math.h>
#include <string.h>

#include "core/plan/import.h"
#include "core/plan/survey.h"
#include "core/study/advice.h"
#include "core/study/aim.h"
#include "core/study/new-plan.h"

#define REACH_KM 110.0

static const DwnLatLon house = { 44.28, -71.69 };

typedef struct {
  DwnTables *tables;
  DwnPlan *plan; /* nothing is marked yet */
} Fixture;

static char *
reference_path (const char *folder, const char *name)
{
  return g_build_filename (g_getenv ("DOWNLEAD_REFERENCE_DATA"), folder, name, NULL);
}

static DwnPlan *
plan_of_records (const DwnTables *tables)
{
  g_autofree char *path = reference_path ("stations", "tvquery_white_mountains_2013.txt");
  const char *const files[] = { path, NULL };
  const DwnImportOptions near = { .has_near = TRUE, .near = house, .within_km = REACH_KM, .today = "2014-01-01" };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = dwn_import_files (DWN_IMPORT_LICENCE_TEXT, files, &near, NULL, NULL, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, "lpda-high-vhf-uhf", &error);
  g_assert_no_error (error);
  const DwnPattern *const patterns[] = { pattern };
  const DwnNewPlan wish = { .name = "White Mountains", .place = "", .at = house, .stations = import->stations,
                            .services = import->services, .n_antennas = 1, .patterns = patterns,
                            .date = "2014-01-01" };
  DwnPlan *plan = dwn_new_plan (&wish, tables, &error);

  g_assert_no_error (error);
  return plan;
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *tiles = g_build_filename (g_getenv ("DOWNLEAD_REFERENCE_DATA"), "terrain", NULL);

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (tiles, &error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) flat = plan_of_records (fixture->tables);
  fixture->plan = dwn_plan_survey (flat, terrain, NULL, NULL, NULL, NULL, &error);
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_plan_unref (fixture->plan);
  dwn_tables_unref (fixture->tables);
}

static guint
station_of (const Fixture *fixture, const char *name)
{
  const DwnStations *stations = fixture->plan->stations;

  for (guint i = 0; i < stations->n; i++)
    if (g_str_equal (stations->station[i].name, name))
      return i;
  g_assert_not_reached ();
}

/* With these stations' services marked as must. */
static DwnLadder *
advise (const Fixture *fixture, guint n, const char *const *name)
{
  g_autoptr (DwnPlan) plan = dwn_plan_ref (fixture->plan);
  g_autoptr (GError) error = NULL;

  for (guint k = 0; k < n; k++)
    {
      const DwnStation *station = &plan->stations->station[station_of (fixture, name[k])];
      DwnPlan *marked = dwn_plan_with_wanted (plan, station->services[0], DWN_WANTED_MUST);

      dwn_plan_unref (plan);
      plan = marked;
    }
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  DwnLadder *ladder = dwn_advise (plan, fields, fixture->tables, NULL, NULL, &error);

  g_assert_no_error (error);
  return ladder;
}

/* How far off @bearing_deg the nearest of the advised aims is. */
static double
nearest_aim_deg (const DwnRung *rung, double bearing_deg)
{
  double nearest = 360.0;

  for (guint a = 0; a < rung->n_antennas; a++)
    nearest = fmin (nearest, fabs (dwn_turn_from_deg (rung->aim_deg[a], bearing_deg)));
  return nearest;
}

/* 8.9 km, in sight by more than twice the first Fresnel radius: whatever else the advice goes for, every
 * rung holds it, and by more than anything farther away. The one at 36 km behind a ridge of 60 m. */
static void
test_near_and_blocked (Fixture *fixture, gconstpointer unused)
{
  const char *const wanted[] = { "WLED-TV", "WCAX-TV" };
  g_autoptr (DwnLadder) ladder = advise (fixture, 2, wanted);
  guint near = station_of (fixture, "WLED-TV"), hidden = station_of (fixture, "WVTB");
  g_autoptr (DwnFields) fields = dwn_fields_new (fixture->plan, NULL, NULL);

  g_assert_cmpint (fields->arrival[near].path_class, ==, DWN_PATH_CLEAR);
  g_assert_cmpint (fields->arrival[hidden].path_class, ==, DWN_PATH_BLOCKED);
  for (guint r = 0; r < ladder->n; r++)
    {
      const DwnBudget *budget = ladder->rung[r].budget;

      g_assert_true (budget->held[near]);
      for (guint i = 0; i < budget->n_stations; i++)
        if (i != near && budget->held[i])
          g_assert_cmpfloat (budget->reception[i].margin_db, <, budget->reception[near].margin_db);
    }
}

/* Mount Mansfield, 287.3° at 94 km, carries UHF and high VHF; the near one is held anyhow. One antenna
 * for both bands looks there. */
static void
test_one_mast (Fixture *fixture, gconstpointer unused)
{
  const char *const wanted[] = { "WLED-TV", "WCAX-TV", "WVNY" };
  g_autoptr (DwnLadder) ladder = advise (fixture, 3, wanted);

  g_assert_cmpint (ladder->advised, ==, 0);
  g_assert_cmpuint (ladder->rung[0].held_must, ==, 3);
  g_assert_cmpfloat (nearest_aim_deg (&ladder->rung[0], 287.33), <, 15.0);
}

/* Portland, 120.5° at 91 km, lies 167° from Mount Mansfield, as far away and on UHF too: no antenna
 * that has gain for one of them has it for the other, so that it takes two, one each way. */
static void
test_two_directions (Fixture *fixture, gconstpointer unused)
{
  const char *const wanted[] = { "WLED-TV", "WCAX-TV", "WCSH" };
  g_autoptr (DwnLadder) ladder = advise (fixture, 3, wanted);
  const DwnRung *advised = &ladder->rung[ladder->advised];

  g_assert_cmpuint (ladder->rung[0].held_must, ==, 2);
  g_assert_cmpint (ladder->advised, >, 0);
  g_assert_cmpuint (advised->held_must, ==, 3);
  g_assert_cmpuint (advised->n_antennas, ==, 2);
  g_assert_cmpfloat (nearest_aim_deg (advised, 287.33), <, 15.0);
  g_assert_cmpfloat (nearest_aim_deg (advised, 120.52), <, 15.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/study/advice-records/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("near-and-blocked", test_near_and_blocked);
  ADD ("one-mast", test_one_mast);
  ADD ("two-directions", test_two_directions);
  return g_test_run ();
}
