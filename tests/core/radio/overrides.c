/* A user's own data file stands in place of the program's, and says so where it is wrong. */
#include <glib/gstdio.h>

#include "core/data/data.h"
#include "core/radio/curves.h"
#include "core/radio/system.h"

static char *
write_own (const char *name, const char *text)
{
  char *path = dwn_data_override_path (name);
  g_autofree char *folder = g_path_get_dirname (path);

  g_assert_cmpint (g_mkdir_with_parents (folder, 0700), ==, 0);
  g_assert_true (g_file_set_contents (path, text, -1, NULL));
  return path;
}

/* @text begins with @path, then @rest. */
static void
assert_message (const GError *error, const char *path, const char *rest)
{
  g_autofree char *message = g_strconcat (path, rest, NULL);

  g_assert_nonnull (error);
  g_assert_cmpstr (error->message, ==, message);
}

static void
test_own_noise (void)
{
  static const char text[] = "[city]\nc=50\nd=0\nsd=8\nsource=x\n"
                             "[residential]\nc=40\nd=0\nsd=8\nsource=x\n"
                             "[rural]\nc=30\nd=0\nsd=8\nsource=x\n"
                             "[quiet-rural]\nc=20\nd=0\nsd=8\nsource=x\n[sky]\nc=0\nd=0\n";
  g_autofree char *path = write_own ("radio/noise.ini", text);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnNoiseTable) table = dwn_noise_table_new (&error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_external_noise_factor (table, DWN_AREA_RURAL, 500), 1000,
                                  1e-6);
  g_remove (path);
}

static void
test_broken_noise (void)
{
  g_autofree char *path = write_own ("radio/noise.ini", "[city]\nc=much\n");
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_noise_table_new (&error));
  assert_message (error, path, ":2: [city] c: \"much\" is not a number");
  g_remove (path);
}

static void
test_broken_systems (void)
{
  g_autofree char *path = write_own ("radio/systems.ini", "[atsc1]\nbandwidth-mhz=600\n");
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_system_table_new (&error));
  assert_message (error, path, ":2: [atsc1] bandwidth-mhz: 600 is outside 0.1 to 20");
  g_remove (path);
}

static void
test_broken_chart (void)
{
  g_autofree char *path = write_own ("radio/curves/uhf-f5010.csv",
                                     "haat_m,1km,2km,3km\n10,50,x,40\n");
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_curves_new (&error));
  assert_message (error, path, ":2: \"x\" is not a number");
  g_remove (path);
}

static void
test_broken_height_gain (void)
{
  g_autofree char *path = write_own ("radio/curves/height-gain.ini", "[vhf]\nrural=-4\n");
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_curves_new (&error));
  assert_message (error, path, ":2: [vhf] rural: -4 is outside 0 to 20");
  g_remove (path);
}

/* A folder where a file should stand is an error too, never the program's own file instead. */
static void
test_unreadable (void)
{
  g_autofree char *path = dwn_data_override_path ("radio/noise.ini");
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (g_mkdir_with_parents (path, 0700), ==, 0);
  g_assert_null (dwn_noise_table_new (&error));
  g_assert_nonnull (error);
  g_rmdir (path);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, G_TEST_OPTION_ISOLATE_DIRS, NULL);

  g_test_add_func ("/overrides/own-noise", test_own_noise);
  g_test_add_func ("/overrides/broken-noise", test_broken_noise);
  g_test_add_func ("/overrides/broken-systems", test_broken_systems);
  g_test_add_func ("/overrides/broken-chart", test_broken_chart);
  g_test_add_func ("/overrides/broken-height-gain", test_broken_height_gain);
  g_test_add_func ("/overrides/unreadable", test_unreadable);

  return g_test_run ();
}
