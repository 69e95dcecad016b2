/* Surveys over tiles made up for the test: a plain 100 m above the sea. */
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "core/plan/survey.h"

#define SIDE 1201
#define EFFECTIVE_RADIUS_M (6371000.0 * 4.0 / 3.0)

#define PLAN(site, paths)                                                                               \
  "<downlead version='1.0'><site name='House' lat='44.5' lon='-71.5' height-m='10'" site "/>"           \
  "<services><service id='s' name='S'/></services><stations>"                                           \
  "<station id='near' name='Near' system='atsc1' rf='14' lat='44.7' lon='-71.5' erp-kw='50' haat-m='200'" \
  " services='s'/>"                                                                                     \
  "<station id='beyond' name='Beyond' system='atsc1' rf='20' lat='45.5' lon='-71.5' erp-kw='50'"        \
  " haat-m='200' services='s'/>"                                                                        \
  "</stations>" paths "</downlead>"

typedef struct {
  DwnPartList *parts;
  DwnCatalogue *catalogue;
  char *folder, *tile;
  DwnTerrain *terrain;
} Fixture;

static void
write_plain (const char *path)
{
  g_autofree guint8 *bytes = g_new0 (guint8, 2 * SIDE * SIDE);
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < SIDE * SIDE; i++)
    bytes[2 * i + 1] = 100;
  g_file_set_contents (path, (const char *) bytes, 2 * SIDE * SIDE, &error);
  g_assert_no_error (error);
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->parts = dwn_part_list_new (&error);
  g_assert_no_error (error);
  fixture->catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  fixture->folder = g_dir_make_tmp ("downlead-survey-XXXXXX", &error);
  g_assert_no_error (error);
  fixture->tile = g_build_filename (fixture->folder, "N44W072.hgt", NULL);
  write_plain (fixture->tile);
  fixture->terrain = dwn_terrain_open (fixture->folder, &error);
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_terrain_unref (fixture->terrain);
  g_assert_cmpint (g_remove (fixture->tile), ==, 0);
  g_assert_cmpint (g_rmdir (fixture->folder), ==, 0);
  g_free (fixture->tile);
  g_free (fixture->folder);
  dwn_part_list_unref (fixture->parts);
  dwn_catalogue_unref (fixture->catalogue);
}

static DwnPlan *
read_plan (Fixture *fixture, const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  DwnPlan *plan = dwn_plan_read (bytes, "house", fixture->parts, fixture->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

static DwnPlan *
survey (Fixture *fixture, const DwnPlan *plan, DwnTerrainGaps *gaps)
{
  g_autoptr (GError) error = NULL;
  DwnPlan *surveyed = dwn_plan_survey (plan, fixture->terrain, gaps, NULL, NULL, NULL, &error);

  g_assert_no_error (error);
  return surveyed;
}

static void
test_profile_and_ground (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_autoptr (DwnPlan) surveyed = survey (fixture, plan, NULL);
  const DwnPath *path = dwn_paths_find (surveyed->paths, "near");

  g_assert_nonnull (path);
  g_assert_cmpstr (path->source, ==, "elevation tiles");
  g_assert_true (dwn_profile_is_complete (path->profile));
  for (gsize i = 0; i < path->profile->n; i++)
    g_assert_cmpfloat (path->profile->height_m[i], ==, 100);
  /* 0.2° of the meridian at 44.6°: 111,124.0 m a degree (WGS 84, M = a (1 − e²) / W³, by hand). */
  g_assert_cmpfloat_with_epsilon (path->profile->distance_m[path->profile->n - 1], 22224.8, 0.5);
  g_assert_true (isnan (plan->site->ground_m));
  g_assert_cmpfloat (surveyed->site->ground_m, ==, 100);
}

/* Ground that somebody entered is not overwritten. */
static void
test_own_ground (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN (" ground-m='123'", ""));
  g_autoptr (DwnPlan) surveyed = survey (fixture, plan, NULL);

  g_assert_cmpfloat (surveyed->site->ground_m, ==, 123);
}

/* The horizon of a smooth earth of radius a, seen from h: −√(2 h / a). */
static void
test_skyline (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_autoptr (DwnPlan) surveyed = survey (fixture, plan, NULL);
  double expected_deg = -sqrt (2 * 10 / EFFECTIVE_RADIUS_M) * 180 / G_PI;

  g_assert_cmpuint (surveyed->paths->n_skyline, ==, 360);
  for (guint i = 0; i < 360; i += 30)
    g_assert_cmpfloat_with_epsilon (surveyed->paths->skyline_deg[i], expected_deg, 0.001);
}

/* Half of the way to the station beyond lies north of the only tile. */
static void
test_gaps (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnPlan) surveyed = survey (fixture, plan, &gaps);
  const DwnPath *beyond = dwn_paths_find (surveyed->paths, "beyond");

  g_assert_nonnull (beyond);
  g_assert_false (dwn_profile_is_complete (beyond->profile));
  g_assert_cmpuint (g_strv_length (gaps.absent_cells), ==, 1);
  g_assert_cmpstr (gaps.absent_cells[0], ==, "N45W072");
  gsize n_beyond = beyond->profile->n;
  g_assert_cmpuint (gaps.n_samples, ==, n_beyond + dwn_paths_find (surveyed->paths, "near")->profile->n);
  g_assert_cmpfloat_with_epsilon ((double) gaps.n_missing / (double) n_beyond, 0.5, 0.01);
}

/* A profile that is whole stays where the tiles have gaps; the crest's name stays in any case. */
static void
test_keeps_own (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("",
    "<paths><profile station='near' length-m='22226' crest='Low Ridge' source='walked'>"
    "<heights-dm>1000 1500 1000</heights-dm></profile>"
    "<profile station='beyond' length-m='111130' crest='Far Ridge' source='walked'>"
    "<heights-dm>1000 2500 1000</heights-dm></profile></paths>"));
  g_autoptr (DwnPlan) surveyed = survey (fixture, plan, NULL);
  const DwnPath *near = dwn_paths_find (surveyed->paths, "near");
  const DwnPath *beyond = dwn_paths_find (surveyed->paths, "beyond");

  g_assert_cmpstr (near->source, ==, "elevation tiles");
  g_assert_cmpstr (near->crest, ==, "Low Ridge");
  g_assert_cmpfloat (near->profile->height_m[near->profile->n / 2], ==, 100);
  g_assert_cmpstr (beyond->source, ==, "walked");
  g_assert_cmpstr (beyond->crest, ==, "Far Ridge");
  g_assert_cmpfloat (beyond->profile->height_m[1], ==, 250);
}

/* A house off the tiles: no profile of nothing, and no skyline. */
static void
test_nothing_known (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *empty = g_dir_make_tmp ("downlead-survey-XXXXXX", &error);
  g_autoptr (DwnTerrain) none = dwn_terrain_open (empty, &error);
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnPlan) surveyed = dwn_plan_survey (plan, none, &gaps, NULL, NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (surveyed->paths->n, ==, 0);
  g_assert_cmpuint (surveyed->paths->n_skyline, ==, 0);
  g_assert_true (isnan (surveyed->site->ground_m));
  g_assert_cmpuint (gaps.n_missing, ==, gaps.n_samples);
  g_assert_cmpuint (g_strv_length (gaps.absent_cells), ==, 2);
  g_assert_cmpint (g_rmdir (empty), ==, 0);
}

static void
note_fraction (double fraction, gpointer user_data)
{
  g_array_append_val ((GArray *) user_data, fraction);
}

/* One step a station and one for the skyline. */
static void
test_progress (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GArray) fractions = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) surveyed = dwn_plan_survey (plan, fixture->terrain, NULL, NULL, note_fraction,
                                                  fractions, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (fractions->len, ==, 3);
  g_assert_cmpfloat_with_epsilon (g_array_index (fractions, double, 0), 1 / 3.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (g_array_index (fractions, double, 1), 2 / 3.0, 1e-12);
  g_assert_cmpfloat (g_array_index (fractions, double, 2), ==, 1.0);
}

static void
cancel_after_stations (double fraction, gpointer user_data)
{
  if (fraction > 0.5)
    g_cancellable_cancel (user_data);
}

static void
test_cancelled (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (DwnPlan) plan = read_plan (fixture, PLAN ("", ""));
  g_autoptr (GError) error = NULL, again = NULL;

  g_assert_null (dwn_plan_survey (plan, fixture->terrain, NULL, cancellable, cancel_after_stations,
                                  cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_assert_null (dwn_plan_survey (plan, fixture->terrain, NULL, cancellable, NULL, NULL, &again));
  g_assert_error (again, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

int
main (int argc, char *argv[])
{
  static const struct {
    const char *path;
    void (*test) (Fixture *fixture, gconstpointer data);
  } cases[] = {
    { "/survey/profile-and-ground", test_profile_and_ground },
    { "/survey/own-ground", test_own_ground },
    { "/survey/skyline", test_skyline },
    { "/survey/gaps", test_gaps },
    { "/survey/keeps-own", test_keeps_own },
    { "/survey/nothing-known", test_nothing_known },
    { "/survey/progress", test_progress },
    { "/survey/cancelled", test_cancelled },
  };

  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_test_add (cases[i].path, Fixture, NULL, set_up, cases[i].test, tear_down);
  return g_test_run ();
}
