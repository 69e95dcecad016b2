/* The catalogue: planning antennas against the standards' figures, listing, the user's own. */
#include "core/antenna/catalogue.h"

#include <math.h>
#include <string.h>

#include <glib/gstdio.h>

static DwnPattern *
pattern_of (const char *id)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (&error);
  DwnPattern *pattern;

  g_assert_no_error (error);
  pattern = dwn_catalogue_pattern (catalogue, id, &error);
  g_assert_no_error (error);
  return pattern;
}

/* A column of tests/data/vectors/bt419-oet69.csv and the frequency at which it must hold. */
typedef struct {
  const char *column, *id;
  double mhz;
} DiscriminationCase;

static const DiscriminationCase discrimination_cases[] = {
  { "bt419_I", "bt419", 57.0 },
  { "bt419_III", "bt419", 195.0 },
  { "bt419_IV_V", "bt419", 545.0 },
  { "oet69_lowVHF", "oet69", 57.0 },
  { "oet69_highVHF", "oet69", 195.0 },
  { "oet69_UHF", "oet69", 545.0 },
};

static char **
vector_lines (const char *name)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "data", "vectors", name, NULL);
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;

  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  return g_strsplit (g_strchomp (text), "\n", -1);
}

static guint
column_of (const char *header, const char *name)
{
  g_auto (GStrv) names = g_strsplit (header, ",", -1);

  for (guint i = 0; names[i] != NULL; i++)
    if (g_str_equal (names[i], name))
      return i;
  g_assert_not_reached ();
}

/* 0.0051 dB: the table has two decimals. Both sides of the boresight. */
static void
test_discrimination (gconstpointer data)
{
  const DiscriminationCase *c = data;
  g_autoptr (DwnPattern) pattern = pattern_of (c->id);
  g_auto (GStrv) lines = vector_lines ("bt419-oet69.csv");
  guint column = column_of (lines[1], c->column);
  double ahead_dbi = dwn_pattern_gain_dbi (pattern, 0.0, c->mhz);

  for (gsize i = 2; lines[i] != NULL; i++)
    {
      g_auto (GStrv) fields = g_strsplit (lines[i], ",", -1);
      double off_deg = g_ascii_strtod (fields[0], NULL);
      double wanted_db = g_ascii_strtod (fields[column], NULL);

      for (double side = -1.0; side <= 1.0; side += 2.0)
        g_assert_cmpfloat_with_epsilon (
            dwn_pattern_gain_dbi (pattern, side * off_deg, c->mhz) - ahead_dbi, wanted_db, 0.0051);
    }
}

typedef struct {
  const char *name, *id;
  double mhz, gain_dbi;
} GainCase;

/* 4, 6, 10 dBd: planning factors of ISED BPR-10 appendix 8 and OET-69; dBi is 2.15 more. */
static const GainCase gain_cases[] = {
  { "low-vhf", "bt419", 69.0, 6.15 },       { "high-vhf", "bt419", 194.0, 8.15 },
  { "uhf", "bt419", 615.0, 12.15 },         { "oet69-low-vhf", "oet69", 69.0, 6.15 },
  { "oet69-high-vhf", "oet69", 194.0, 8.15 }, { "oet69-uhf", "oet69", 615.0, 12.15 },
  { "dipole-low-vhf", "dipole", 57.0, 2.15 }, { "dipole-uhf", "dipole", 605.0, 2.15 },
};

static void
test_planning_gain (gconstpointer data)
{
  const GainCase *c = data;
  g_autoptr (DwnPattern) pattern = pattern_of (c->id);

  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 0.0, c->mhz), c->gain_dbi, 1e-9);
}

/* Kraus, Antennas, ch. 5: half-power beamwidth 78°, field cos(90° cos θ)/sin θ: 0.816 at θ = 60°
 * and 0.418 at 30°, that is −1.761 and −7.581 dB. */
static void
test_dipole (void)
{
  g_autoptr (DwnPattern) dipole = pattern_of (DWN_ANTENNA_DIPOLE);

  g_assert_cmpfloat_with_epsilon (dwn_pattern_beamwidth_deg (dipole, 500.0), 78.0, 0.2);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_front_to_back_db (dipole, 500.0), 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (dipole, 30.0, 500.0), 2.15 - 1.761, 0.001);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (dipole, 120.0, 500.0), 2.15 - 7.581, 0.001);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (dipole, 90.0, 500.0), <, -30.0);
}

/* Everything that is listed can be read and works in the band that the list says. */
static void
test_listed_can_be_read (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (&error);

  g_assert_no_error (error);
  g_assert_cmpuint (dwn_catalogue_n (catalogue), >=, 3);
  for (gsize i = 0; i < dwn_catalogue_n (catalogue); i++)
    {
      const DwnCatalogueEntry *entry = dwn_catalogue_entry (catalogue, i);
      g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (catalogue, entry->id, &error);

      g_assert_no_error (error);
      g_assert_cmpint (dwn_catalogue_find (catalogue, entry->id), ==, (int) i);
      g_assert_cmpstr (pattern->id, ==, entry->id);
      g_assert_cmpstr (pattern->name, ==, entry->name);
      g_assert_cmpstr (pattern->source, !=, "");
      g_assert_cmpfloat (pattern->mhz[0], <=, entry->design_low_mhz);
      g_assert_cmpfloat (pattern->mhz[pattern->n_mhz - 1], >=, entry->design_high_mhz);
    }
}

static void
test_unknown (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);

  g_assert_null (dwn_catalogue_pattern (catalogue, "no-such", &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN);
  g_clear_error (&error);
  g_assert_null (dwn_antenna_resolve (catalogue, "no-such.csv", &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN);
  g_assert_true (isnan (dwn_catalogue_mismatch_db (catalogue, "no-such", 500.0)));
  g_assert_cmpint (dwn_catalogue_find (catalogue, "no-such"), ==, -1);
}

static void
write_personal (const char *file_name, const char *text)
{
  g_autofree char *folder = dwn_catalogue_personal_folder ();
  g_autofree char *path = g_build_filename (folder, file_name, NULL);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (g_mkdir_with_parents (folder, 0755), ==, 0);
  g_file_set_contents (path, text, -1, &error);
  g_assert_no_error (error);
}

static void
remove_personal (void)
{
  g_autofree char *folder = dwn_catalogue_personal_folder ();
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      g_assert_cmpint (g_unlink (path), ==, 0);
    }
}

static void
remove_home (const char *home)
{
  g_autofree char *antennas = dwn_catalogue_personal_folder ();
  g_autofree char *own = g_path_get_dirname (antennas);

  g_assert_cmpint (g_rmdir (antennas), ==, 0);
  g_assert_cmpint (g_rmdir (own), ==, 0);
  g_assert_cmpint (g_rmdir (home), ==, 0);
}

#define ATTIC "downlead-antenna 1\nid attic-loop\nname Attic loop\nazimuth-deg 0 180\n" \
              "mhz 600\nmismatch-db 0.4\ngain-dbi 3 1\n"

static void
test_personal (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = NULL;
  g_autoptr (DwnPattern) pattern = NULL;
  int index;

  write_personal ("one.antenna", ATTIC);
  catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  index = dwn_catalogue_find (catalogue, "attic-loop");
  g_assert_cmpint (index, >=, 3);
  g_assert_true (dwn_catalogue_entry (catalogue, (gsize) index)->personal);
  g_assert_cmpstr (dwn_catalogue_entry (catalogue, (gsize) index)->name, ==, "Attic loop");
  pattern = dwn_antenna_resolve (catalogue, "attic-loop", &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 90.0, 600.0), ==, 2.0);
  g_assert_cmpfloat (dwn_catalogue_mismatch_db (catalogue, "attic-loop", 600.0), ==, 0.4);
  g_assert_null (dwn_catalogue_warnings (catalogue)[0]);
  remove_personal ();
}

/* Files of other forms serve too; their id is the file's name. */
static void
test_personal_table (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = NULL;
  g_autoptr (DwnPattern) pattern = NULL;

  write_personal ("Balcony Yagi.csv", "azimuth,600\n0,9\n90,-3\n180,-6\n270,-3\n");
  write_personal ("empty.csv", "");
  catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  pattern = dwn_catalogue_pattern (catalogue, "balcony-yagi", &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 0.0, 600.0), ==, 9.0);
  g_assert_null (dwn_catalogue_pattern (catalogue, "empty", &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_TEXT);
  remove_personal ();
}

/* A pattern that does not serve is found when it is asked for: listing has not opened it. */
static void
test_listing_opens_no_pattern (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = NULL;

  write_personal ("broken.antenna", "downlead-antenna 1\nid broken\nazimuth-deg 0\nmhz x\n");
  catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  g_assert_cmpint (dwn_catalogue_find (catalogue, "broken"), >=, 0);
  g_assert_null (dwn_catalogue_pattern (catalogue, "broken", &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_SYNTAX);
  g_assert_nonnull (strstr (error->message, "broken.antenna:4: "));
  remove_personal ();
}

static void
test_left_out_with_reason (void)
{
  g_autoptr (DwnCatalogue) catalogue = NULL;
  const char *const *warnings;

  write_personal ("a.antenna", "downlead-antenna 1\nid dipole\n");
  write_personal ("b.antenna", "downlead-antenna 1\nname No id\n");
  catalogue = dwn_catalogue_new (NULL);
  warnings = dwn_catalogue_warnings (catalogue);
  g_assert_cmpuint (g_strv_length ((char **) warnings), ==, 2);
  g_assert_nonnull (strstr (warnings[0], "a.antenna"));
  g_assert_nonnull (strstr (warnings[1], "b.antenna"));
  g_assert_false (dwn_catalogue_entry (catalogue, 0)->personal);
  remove_personal ();
}

static void
test_save (void)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (ATTIC, strlen (ATTIC));
  g_autoptr (DwnAntenna) antenna = dwn_antenna_parse (bytes, "attic", NULL);
  g_autoptr (DwnCatalogue) catalogue = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_catalogue_save_personal (antenna, &error));
  g_assert_no_error (error);
  g_assert_true (dwn_catalogue_save_personal (antenna, &error)); /* replaces the first */
  catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  g_assert_cmpint (dwn_catalogue_find (catalogue, "attic-loop"), >=, 0);
  remove_personal ();
}

static void
test_save_refused (void)
{
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnAntenna) dipole = dwn_catalogue_antenna (catalogue, "dipole", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_catalogue_save_personal (dipole, &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE);
}

int
main (int argc, char **argv)
{
  g_autofree char *home = g_dir_make_tmp ("downlead-catalogue-XXXXXX", NULL);
  int failed;

  g_test_init (&argc, &argv, NULL);
  /* A user's folder of its own, before anything has asked for it. */
  g_assert_true (home != NULL && g_setenv ("XDG_DATA_HOME", home, TRUE));

  for (gsize i = 0; i < G_N_ELEMENTS (discrimination_cases); i++)
    {
      g_autofree char *path
          = g_strdup_printf ("/catalogue/discrimination/%s", discrimination_cases[i].column);

      g_test_add_data_func (path, &discrimination_cases[i], test_discrimination);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (gain_cases); i++)
    {
      g_autofree char *path
          = g_strdup_printf ("/catalogue/planning-gain/%s", gain_cases[i].name);

      g_test_add_data_func (path, &gain_cases[i], test_planning_gain);
    }
  g_test_add_func ("/catalogue/dipole", test_dipole);
  g_test_add_func ("/catalogue/listed-can-be-read", test_listed_can_be_read);
  g_test_add_func ("/catalogue/unknown", test_unknown);
  g_test_add_func ("/catalogue/personal", test_personal);
  g_test_add_func ("/catalogue/personal-table", test_personal_table);
  g_test_add_func ("/catalogue/listing-opens-no-pattern", test_listing_opens_no_pattern);
  g_test_add_func ("/catalogue/left-out-with-reason", test_left_out_with_reason);
  g_test_add_func ("/catalogue/save", test_save);
  g_test_add_func ("/catalogue/save-refused", test_save_refused);
  failed = g_test_run ();
  remove_home (home);
  return failed;
}
