/* The plan document: what is read, refused, kept, and saved whole. */
#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <math.h>
#include <signal.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "core/plan/document.h"

typedef struct {
  DwnPartList *parts;
  DwnCatalogue *catalogue;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->parts = dwn_part_list_new (&error);
  g_assert_no_error (error);
  fixture->catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_part_list_unref (fixture->parts);
  dwn_catalogue_unref (fixture->catalogue);
}

static const char *
demo_path (void)
{
  return g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL);
}

static DwnPlan *
read_text (Fixture *fixture, const char *text, GPtrArray *warnings, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_plan_read (bytes, "house.downlead", fixture->parts, fixture->catalogue, warnings, error);
}

#define SITE "<site name='Thistledown' lat='44.63' lon='-115.14' ground-m='402' height-m='9'/>"
#define SERVICE "<services><service id='quillon' name='Quillon' on-screen='3.1' wanted='must'/></services>"
#define STATION(attributes) \
  "<stations><station id='quillon' name='Quillon' system='atsc1' rf='11' lat='44.8' lon='-115.4' " \
  "erp-kw='10' services='quillon' " attributes "/></stations>"
#define GEAR "<gear><part id='a' kind='antenna' type='dipole' aim-deg='305'/>" \
  "<part id='tv' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>"
#define PLAN(version, body) "<downlead version='" version "'>\n" body "\n</downlead>\n"

static void
test_reads (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnPlan) plan = read_text (fixture, PLAN ("1.0", SITE SERVICE STATION ("") GEAR),
                                        warnings, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (warnings->len, ==, 0);
  g_assert_cmpstr (plan->site->name, ==, "Thistledown");
  g_assert_cmpfloat (plan->site->at.lon_deg, ==, -115.14);
  g_assert_cmpuint (plan->stations->n, ==, 1);
  /* RF channel 11 lies at 198 to 204 MHz: 47 CFR 73.603 (a). */
  g_assert_cmpfloat (plan->stations->station[0].mhz, ==, 201.0);
  g_assert_cmpint (plan->stations->station[0].band, ==, DWN_BAND_HIGH_VHF);
  g_assert_true (isnan (plan->stations->station[0].haat_m));
  g_assert_cmpint (dwn_station_wanted (&plan->stations->station[0], plan->services), ==, DWN_WANTED_MUST);
  g_assert_cmpuint (plan->gear->n_antennas, ==, 1);
  g_assert_cmpfloat (plan->aims->aim_deg[0], ==, 305.0);
  g_assert_cmpstr (plan->method->model, ==, "auto");
}

/* What was read is written, and what was written is read, byte for byte. */
static void
test_round_trip (Fixture *fixture, gconstpointer data)
{
  const char *path = demo_path ();
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnPlan) first = dwn_plan_load (path, fixture->parts, fixture->catalogue, warnings, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (warnings->len, ==, 0);
  g_autoptr (GBytes) once = dwn_plan_write (first, fixture->catalogue);
  g_autoptr (DwnPlan) second = dwn_plan_read (once, "once", fixture->parts, fixture->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) twice = dwn_plan_write (second, fixture->catalogue);

  g_assert_true (g_bytes_equal (once, twice));
  g_assert_cmpuint (second->stations->n, ==, first->stations->n);
  g_assert_cmpuint (second->gear->n_parts, ==, 15);
  g_assert_cmpuint (second->gear->n_edges, ==, 14);
  g_assert_cmpuint (second->paths->n, ==, 9);
  g_assert_cmpuint (second->paths->n_skyline, ==, 360);
  g_assert_cmpuint (second->site->n_losses, ==, 1);
  for (guint i = 0; i < first->stations->n; i++)
    {
      g_assert_true (first->stations->station[i].id == second->stations->station[i].id);
      g_assert_cmpfloat (first->stations->station[i].at.lat_deg, ==,
                         second->stations->station[i].at.lat_deg);
    }
}

/* Format 0.9 called an antenna's aim azimuth-deg. */
static void
test_migrates (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan =
    read_text (fixture, PLAN ("0.9", SITE "<gear><part id='a' kind='antenna' type='dipole' "
                                          "azimuth-deg='214'/></gear>"), NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (plan->aims->aim_deg[0], ==, 214.0);

  g_autoptr (GBytes) bytes = dwn_plan_write (plan, fixture->catalogue);
  g_autofree char *text = g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
  g_assert_nonnull (strstr (text, "version=\"1.0\""));
  g_assert_nonnull (strstr (text, "aim-deg=\"214\""));
  g_assert_null (strstr (text, "azimuth-deg"));
}

static void
test_newer_minor (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnPlan) plan = read_text (fixture, PLAN ("1.7", SITE "<weather/>"), warnings, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (warnings->len, ==, 2);
  g_assert_nonnull (strstr (g_ptr_array_index (warnings, 1), "house.downlead:2: <weather>"));
}

typedef struct {
  const char *name, *text;
  int code;          /* DwnDocumentError */
  const char *says;  /* file, line and what would be right */
} Refusal;

static const Refusal refusals[] = {
  { "empty", "", DWN_DOCUMENT_ERROR_SYNTAX, "house.downlead:1: the file is empty" },
  { "binary", "\x01\x02\x7F", DWN_DOCUMENT_ERROR_SYNTAX, "house.downlead:1: not well-formed" },
  { "truncated", "<downlead version='1.0'>\n<site lat='1'", DWN_DOCUMENT_ERROR_SYNTAX, "house.downlead:2:" },
  { "other-root", "<html/>", DWN_DOCUMENT_ERROR_SYNTAX, "<downlead> was expected" },
  { "newer", PLAN ("2.0", SITE), DWN_DOCUMENT_ERROR_VERSION, "install a newer one" },
  { "no-version", "<downlead/>", DWN_DOCUMENT_ERROR_VERSION, "house.downlead:1:" },
  { "no-site", PLAN ("1.0", ""), DWN_DOCUMENT_ERROR_MISSING, "has no <site" },
  { "no-longitude", PLAN ("1.0", "<site lat='44'/>"), DWN_DOCUMENT_ERROR_MISSING, "house.downlead:2: <site> has no attribute lon" },
  { "latitude-95", PLAN ("1.0", "<site lat='95' lon='0'/>"), DWN_DOCUMENT_ERROR_RANGE, "outside -90 to 90" },
  { "latitude-nan", PLAN ("1.0", "<site lat='nan' lon='0'/>"), DWN_DOCUMENT_ERROR_RANGE, "not a number" },
  { "latitude-comma", PLAN ("1.0", "<site lat='44,63' lon='0'/>"), DWN_DOCUMENT_ERROR_RANGE, "decimal point" },
  { "latitude-1e308", PLAN ("1.0", "<site lat='1e308' lon='0'/>"), DWN_DOCUMENT_ERROR_RANGE, "outside" },
  { "latitude-1e999", PLAN ("1.0", "<site lat='1e999' lon='0'/>"), DWN_DOCUMENT_ERROR_RANGE, "not a number" },
  { "mount", PLAN ("1.0", "<site lat='4' lon='0' mount='tree'/>"), DWN_DOCUMENT_ERROR_RANGE, "mast, wall" },
  { "two-sites", PLAN ("1.0", SITE SITE), DWN_DOCUMENT_ERROR_REFERENCE, "a second time" },
  { "channel", PLAN ("1.0", SITE "<stations><station id='q' name='Q' system='atsc1' rf='99' lat='1' lon='1' erp-kw='1'/></stations>"),
    DWN_DOCUMENT_ERROR_RANGE, "99" },
  { "system", PLAN ("1.0", SITE "<stations><station id='q' name='Q' system='pal' rf='9' lat='1' lon='1' erp-kw='1'/></stations>"),
    DWN_DOCUMENT_ERROR_RANGE, "atsc1, atsc3" },
  { "negative-power", PLAN ("1.0", SITE "<stations><station id='q' name='Q' system='atsc1' rf='9' lat='1' lon='1' erp-kw='-1'/></stations>"),
    DWN_DOCUMENT_ERROR_RANGE, "erp-kw" },
  { "station-twice", PLAN ("1.0", SITE SERVICE "<stations><station id='q' name='Q' system='atsc1' rf='9' lat='1' lon='1' erp-kw='1'/>"
                           "<station id='q' name='Q' system='atsc1' rf='9' lat='1' lon='1' erp-kw='1'/></stations>"),
    DWN_DOCUMENT_ERROR_REFERENCE, "ids are unique" },
  { "no-such-service", PLAN ("1.0", SITE STATION ("")), DWN_DOCUMENT_ERROR_REFERENCE, "not in <services>" },
  { "no-such-antenna", PLAN ("1.0", SITE "<gear>\n<part id='a' kind='antenna' type='wishful'/></gear>"),
    DWN_DOCUMENT_ERROR_REFERENCE, "house.downlead:3:" },
  { "no-such-part", PLAN ("1.0", SITE "<gear><part id='a' kind='balun' type='wishful'/></gear>"),
    DWN_DOCUMENT_ERROR_REFERENCE, "wishful" },
  { "no-such-end", PLAN ("1.0", SITE "<gear><part id='a' kind='balun' type='balun'/>\n<join from='a' to='b'/></gear>"),
    DWN_DOCUMENT_ERROR_REFERENCE, "house.downlead:3:" },
  { "no-such-port", PLAN ("1.0", SITE "<gear><part id='a' kind='balun' type='balun'/><part id='b' kind='balun' type='balun'/>"
                          "<join from='a' from-port='4' to='b'/></gear>"), DWN_DOCUMENT_ERROR_REFERENCE, "<gear>" },
  { "loop", PLAN ("1.0", SITE "<gear><part id='a' kind='balun' type='balun'/><part id='b' kind='balun' type='balun'/>"
                  "<join from='a' to='b'/><join from='b' to='a'/></gear>"), DWN_DOCUMENT_ERROR_REFERENCE, "<gear>" },
  { "profile", PLAN ("1.0", SITE "<paths><profile station='q' length-m='900'><heights-dm>1</heights-dm></profile></paths>"),
    DWN_DOCUMENT_ERROR_RANGE, "two or more" },
  { "skyline", PLAN ("1.0", SITE "<paths><skyline-deg>1 2</skyline-deg></paths>"), DWN_DOCUMENT_ERROR_RANGE, "360" },
};

static void
test_refuses (Fixture *fixture, gconstpointer data)
{
  const Refusal *refusal = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = read_text (fixture, refusal->text, NULL, &error);

  g_assert_null (plan);
  g_assert_error (error, DWN_DOCUMENT_ERROR, refusal->code);
  g_assert_true (g_str_has_prefix (error->message, "house.downlead:"));
  if (strstr (error->message, refusal->says) == NULL)
    g_test_message ("%s", error->message);
  g_assert_nonnull (strstr (error->message, refusal->says));
}

/* An antenna that is not the program's own travels in the plan. */
static void
test_own_antenna (Fixture *fixture, gconstpointer data)
{
  static const char own[] =
    "<antenna>downlead-antenna 1\nid grandfathers\nname Grandfather's\nsource measured in the garden\n"
    "azimuth-deg 0 90 180 270\nmhz 500\ngain-dbi 9 -3 -8 -3\n</antenna>"
    "<gear><part id='a' kind='antenna' type='grandfathers' aim-deg='10'/></gear>";
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strconcat ("<downlead version='1.0'>", SITE, own, "</downlead>", NULL);
  g_autoptr (DwnPlan) plan = read_text (fixture, text, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) bytes = dwn_plan_write (plan, fixture->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", fixture->parts, fixture->catalogue, NULL, &error);

  g_assert_no_error (error);
  const DwnPattern *pattern = again->gear->part[0].pattern;
  g_assert_cmpstr (pattern->name, ==, "Grandfather's");
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 180.0, 500.0), ==, -8.0);
}

/* What nobody wants, an antenna's own terminals and caps are written as they were read. */
static void
test_gear_and_carriers_kept (Fixture *fixture, gconstpointer data)
{
  static const char text[] =
    "<downlead version='1.0'><site lat='44' lon='-75'><carrier group='fm-town' bearing-deg='210'/>"
    "<carrier name='Hollin FM' mhz='98.1' erp-kw='3' distance-m='2500'/></site><gear>"
    "<part id='a' kind='antenna' type='dipole' feed-ohm='300' aim-deg='0'/>"
    "<part id='s' kind='splitter' type='splitter-4' capped='yes'/><join from='a' to='s'/></gear></downlead>";
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = read_text (fixture, text, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) bytes = dwn_plan_write (plan, fixture->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", fixture->parts, fixture->catalogue, NULL, &error);

  g_assert_no_error (error);
  const DwnUnwanted *unwanted = again->site->unwanted;
  g_assert_cmpuint (again->site->n_unwanted, ==, 2);
  g_assert_cmpstr (unwanted[0].group, ==, "fm-town");
  g_assert_cmpfloat (unwanted[0].bearing_deg, ==, 210.0);
  g_assert_true (isnan (unwanted[0].mhz));
  g_assert_null (unwanted[1].group);
  g_assert_cmpstr (unwanted[1].name, ==, "Hollin FM");
  g_assert_cmpfloat (unwanted[1].erp_kw, ==, 3.0);
  g_assert_cmpfloat (unwanted[1].distance_m, ==, 2500.0);
  g_assert_cmpfloat (again->gear->part[0].feed_ohm, ==, 300.0);
  g_assert_true (again->gear->part[1].capped);
  /* |Γ| = 0.6 of 300 on 75 Ω: 1.94 dB (Pozar, Microwave Engineering, §2.3). */
  g_assert_cmpfloat_with_epsilon (dwn_chain_part_gain_db (again->gear, 0, 0, 0, 600.0), -1.938, 1e-3);
}

/* Heights are kept as decimetres, gaps stay gaps, zones and clutter stay. */
static void
test_profile_kept (Fixture *fixture, gconstpointer data)
{
  const double distance_m[] = { 0.0, 100.0, 250.0 }, height_m[] = { 12.3, (double) NAN, -4.0 };
  const double clutter_m[] = { 0.0, 10.5, 0.0 };
  const guint8 zone[] = { DWN_ZONE_INLAND, DWN_ZONE_COASTAL_LAND, DWN_ZONE_SEA };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = dwn_profile_new (3, distance_m, height_m, clutter_m, zone, &error);
  g_assert_no_error (error);
  const DwnPath path = { "quillon", profile, "Long Edge", "by hand" };
  g_autoptr (DwnPlan) plain = read_text (fixture, PLAN ("1.0", SITE), NULL, &error);
  g_autoptr (DwnPaths) paths = dwn_paths_new (1, &path, NULL);
  DwnPlan parts = *plain;
  parts.paths = paths;
  g_autoptr (DwnPlan) plan = dwn_plan_new (&parts);
  g_autoptr (GBytes) bytes = dwn_plan_write (plan, fixture->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", fixture->parts, fixture->catalogue, NULL, &error);

  g_assert_no_error (error);
  const DwnPath *kept = dwn_paths_find (again->paths, "quillon");
  g_assert_nonnull (kept);
  g_assert_cmpstr (kept->crest, ==, "Long Edge");
  g_assert_cmpfloat (kept->profile->distance_m[1], ==, 100.0);
  g_assert_cmpfloat (kept->profile->height_m[0], ==, 12.3);
  g_assert_true (isnan (kept->profile->height_m[1]));
  g_assert_cmpfloat (kept->profile->clutter_m[1], ==, 10.5);
  g_assert_cmpuint (kept->profile->zone[2], ==, DWN_ZONE_SEA);
}

static void
test_previous_kept (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, "house.downlead", NULL);
  g_autofree char *previous = g_strconcat (path, "~", NULL);
  g_autoptr (DwnPlan) old = read_text (fixture, PLAN ("1.0", "<site name='old' lat='1' lon='1'/>"), NULL, &error);
  g_autoptr (DwnPlan) new = read_text (fixture, PLAN ("1.0", "<site name='new' lat='1' lon='1'/>"), NULL, &error);

  g_assert_true (dwn_plan_save (old, fixture->catalogue, path, &error));
  g_assert_false (g_file_test (previous, G_FILE_TEST_EXISTS));
  g_assert_true (dwn_plan_save (new, fixture->catalogue, path, &error));
  g_assert_no_error (error);
  g_autoptr (DwnPlan) kept = dwn_plan_load (previous, fixture->parts, fixture->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (kept->site->name, ==, "old");
  g_unlink (path);
  g_unlink (previous);
  g_rmdir (folder);
}

static void
test_cannot_save (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = read_text (fixture, PLAN ("1.0", SITE), NULL, &error);

  g_assert_false (dwn_plan_save (plan, fixture->catalogue, "/proc/no-such-folder/house.downlead", &error));
  g_assert_nonnull (error);
}

static void
save_for_ever (Fixture *fixture, DwnPlan *const plan[2], const char *path)
{
  for (guint i = 0;; i++)
    dwn_plan_save (plan[i % 2], fixture->catalogue, path, NULL);
}

/* Killed at random instants, a thousand of them with --long: each time the file is the old or the
 * new plan, whole. */
static void
test_killed (Fixture *fixture, gconstpointer data)
{
  const char *big = demo_path ();
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, "house.downlead", NULL);
  g_autoptr (DwnPlan) old = dwn_plan_load (big, fixture->parts, fixture->catalogue, NULL, &error);
  g_autoptr (DwnPlan) new = dwn_plan_with_wanted (old, "quillon", DWN_WANTED_LIKE);
  g_autoptr (GBytes) old_bytes = dwn_plan_write (old, fixture->catalogue);
  g_autoptr (GBytes) new_bytes = dwn_plan_write (new, fixture->catalogue);
  DwnPlan *const plan[2] = { old, new };

  g_assert_true (dwn_plan_save (old, fixture->catalogue, path, &error));
  guint kills = g_getenv ("DOWNLEAD_LONG_TESTS") != NULL ? 1000 : 200;
  for (guint round = 0; round < kills; round++)
    {
      pid_t child = fork ();
      g_assert_cmpint (child, >=, 0);
      if (child == 0)
        save_for_ever (fixture, plan, path);

      const struct timespec while_saving = { 0, (long) g_test_rand_int_range (0, 8000000) };
      nanosleep (&while_saving, NULL);
      kill (child, SIGKILL);
      waitpid (child, NULL, 0);
      g_autofree char *text = NULL;
      gsize size;
      g_assert_true (g_file_get_contents (path, &text, &size, &error));
      g_autoptr (GBytes) found = g_bytes_new (text, size);
      g_assert_true (g_bytes_equal (found, old_bytes) || g_bytes_equal (found, new_bytes));
    }
  g_autofree char *command = g_strdup_printf ("rm -rf '%s'", folder);
  g_assert_cmpint (system (command), ==, 0);
}

/* Clocks and a landmark of the site are kept; without them there are none. */
static void
test_zone_and_landmark (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = read_text (
    fixture, PLAN ("1.0", "<site lat='52' lon='13' time-zone='Europe/Berlin' landmark-lat='52.25' landmark-lon='13.5'/>"),
    NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) bytes = dwn_plan_write (plan, fixture->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", fixture->parts, fixture->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) without = read_text (fixture, PLAN ("1.0", SITE), NULL, &error);
  g_assert_no_error (error);

  g_assert_cmpstr (again->site->time_zone, ==, "Europe/Berlin");
  g_assert_cmpfloat (again->site->landmark.lat_deg, ==, 52.25);
  g_assert_cmpfloat (again->site->landmark.lon_deg, ==, 13.5);
  g_assert_cmpstr (without->site->time_zone, ==, "");
  g_assert_true (isnan (without->site->landmark.lat_deg));
  g_assert_null (read_text (fixture, PLAN ("1.0", "<site lat='52' lon='13' landmark-lat='91' landmark-lon='1'/>"), NULL,
                            &error));
  g_assert_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_RANGE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/plan/document/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("reads", test_reads);
  ADD ("round-trip", test_round_trip);
  ADD ("migrates", test_migrates);
  ADD ("newer-minor", test_newer_minor);
  ADD ("gear-and-carriers-kept", test_gear_and_carriers_kept);
  ADD ("own-antenna", test_own_antenna);
  ADD ("profile-kept", test_profile_kept);
  ADD ("zone-and-landmark", test_zone_and_landmark);
  ADD ("previous-kept", test_previous_kept);
  ADD ("cannot-save", test_cannot_save);
  ADD ("killed-while-saving", test_killed);
  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strconcat ("/plan/document/refuses/", refusals[i].name, NULL);
      g_test_add (path, Fixture, &refusals[i], set_up, test_refuses, tear_down);
    }
  return g_test_run ();
}
