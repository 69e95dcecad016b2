/* The whole national list of 2013 and the tables beside it, where the large open files are. The
 * counts were made with awk, and the number of records that the rules leave with a separate
 * script of its own distance formula. */
#include "import-test.h"

#include "core/plan/csv.h"

static char *
reference_path (const char *name)
{
  return g_build_filename (g_getenv ("DOWNLEAD_REFERENCE_DATA"), "stations", name, NULL);
}

static DwnImport *
import_national (gboolean with_tables, const DwnImportOptions *options)
{
  g_autofree char *text = reference_path ("tvquery_us_2013.txt");
  g_autofree char *repack = reference_path ("post_auction_us_2017.csv");
  g_autofree char *patterns = reference_path ("parameters_patterns_2015.csv");
  const char *const files[] = { text, with_tables ? repack : NULL, patterns, NULL };
  g_autoptr (GError) error = NULL;
  DwnImport *import = dwn_import_files (DWN_IMPORT_LICENCE_TEXT, files, options, NULL, NULL, NULL,
                                        &error);

  g_assert_no_error (error);
  return import;
}

static const DwnImportOptions everywhere = { .today = "2014-01-01" };

static void
test_national_counts (void)
{
  g_autoptr (DwnImport) import = import_national (FALSE, &everywhere);
  guint kinds[4] = { 0 }, reasons[16] = { 0 };

  for (guint i = 0; i < import->stations->n; i++)
    kinds[import->stations->station[i].kind]++;
  for (guint i = 0; i < import->n_skipped; i++)
    reasons[import->skipped[i].reason]++;
  g_assert_cmpuint (import->n_records, ==, 8692);
  g_assert_cmpuint (import->stations->n, ==, 5730);
  g_assert_cmpuint (kinds[DWN_STATION_MAIN], ==, 1773);
  g_assert_cmpuint (kinds[DWN_STATION_LOW_POWER] + kinds[DWN_STATION_FILL_IN], ==, 3684 + 232);
  g_assert_cmpuint (kinds[DWN_STATION_DISTRIBUTED], ==, 41);
  g_assert_cmpuint (reasons[DWN_SKIP_ANALOGUE], ==, 2546 + 232);
  g_assert_cmpuint (reasons[DWN_SKIP_AUXILIARY], ==, 80);
  g_assert_cmpuint (reasons[DWN_SKIP_POWER], ==, 2);
  g_assert_cmpuint (import->n_skipped + import->stations->n, ==, 8692);
}

static void
test_ids (void)
{
  g_autoptr (DwnImport) import = import_national (TRUE, &everywhere);
  g_autoptr (GHashTable) ids = g_hash_table_new (g_direct_hash, g_direct_equal);

  for (guint i = 0; i < import->stations->n; i++)
    {
      const DwnStation *station = &import->stations->station[i];

      g_assert_true (g_hash_table_add (ids, (gpointer) station->id));
      g_assert_true (dwn_station_check (station, NULL));
      g_assert_cmpint (dwn_services_find (import->services, station->services[0]), >=, 0);
    }
}

/* Each row of the repack table against the stations: channel and power of the licence with its
 * facility and old channel. */
static void
test_repack (void)
{
  g_autoptr (DwnImport) old = import_national (FALSE, &everywhere);
  g_autoptr (DwnImport) new = import_national (TRUE, &everywhere);
  g_autofree char *path = reference_path ("post_auction_us_2017.csv");
  const DwnInput input = { path, NULL };
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (dwn_lines_open (&input, NULL, NULL), ',');
  char **fields;
  guint n, checked = 0;

  g_assert_true (dwn_csv_next (csv, &fields, &n, NULL));
  while (dwn_csv_next (csv, &fields, &n, NULL))
    {
      g_autofree char *before = g_strdup_printf ("%s-DT-%s", fields[0], fields[4]);
      g_autofree char *after = g_strdup_printf ("%s-DT-%s", fields[0], fields[3]);

      if (*fields[1] != '\0' || dwn_stations_find (old->stations, before) < 0)
        continue;
      g_assert_cmpfloat (find_station (new, after)->erp_kw, ==, g_ascii_strtod (fields[11], NULL));
      checked++;
    }
  /* 1,565 rows join a main licence alone, 65 one with a standby, 3 one with a fill-in. */
  g_assert_cmpuint (checked, >, 1600);
}

static void
test_white_mountains (void)
{
  g_autofree char *path = reference_path ("tvquery_white_mountains_2013.txt");
  const char *const files[] = { path, NULL };
  const DwnImportOptions options = { .has_near = TRUE, .near = house, .within_km = 110,
                                     .today = "2014-01-01" };
  g_autoptr (DwnImport) cut
    = dwn_import_files (DWN_IMPORT_LICENCE_TEXT, files, &options, NULL, NULL, NULL, NULL);
  g_autoptr (DwnImport) national = import_national (FALSE, &options);

  g_assert_cmpuint (cut->n_records, ==, 78);
  g_assert_cmpuint (cut->stations->n, >=, 7);
  /* The same facts give the same ids in either list. */
  for (guint i = 0; i < cut->stations->n; i++)
    g_assert_cmpint (dwn_stations_find (national->stations, cut->stations->station[i].id), >=, 0);
}

/* Every directional station with an antenna id of the pattern table has a pattern. */
static void
test_patterns (void)
{
  g_autoptr (DwnImport) import = import_national (TRUE, &everywhere);
  guint with = 0;

  for (guint i = 0; i < import->stations->n; i++)
    {
      const DwnPattern *pattern = import->stations->station[i].pattern;

      if (pattern == NULL)
        continue;
      with++;
      g_assert_cmpfloat (dwn_pattern_max_gain_dbi (pattern, 500), <=, 1e-9);
      g_assert_cmpfloat (dwn_pattern_max_gain_dbi (pattern, 500), >, -1.0);
    }
  g_assert_cmpuint (with, >, 1500);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/import-reference/national-counts", test_national_counts);
  g_test_add_func ("/import-reference/ids", test_ids);
  g_test_add_func ("/import-reference/repack", test_repack);
  g_test_add_func ("/import-reference/white-mountains", test_white_mountains);
  g_test_add_func ("/import-reference/patterns", test_patterns);
  return g_test_run ();
}
