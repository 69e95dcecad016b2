/* What importing costs: the national list against a plain read of the same file, how the cost
 * grows with the number of records, licence tables of hundreds of thousands of rows with the
 * memory that they take, and our own list against a bare XML parse of it. */
#include <archive.h>
#include <archive_entry.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <libxml/parser.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "core/plan/import-private.h"
#include "core/plan/station-list.h"

#define ROUNDS 5
#define FACILITIES 30000 /* of which 10,000 television on air */
#define FIELD_VALUES 36  /* of each */

static const DwnImportOptions options = { .today = "2024-01-01" };

static double
milliseconds_since (gint64 start_us)
{
  return (double) (g_get_monotonic_time () - start_us) / 1e3;
}

static double
peak_mb (void)
{
  struct rusage usage;

  getrusage (RUSAGE_SELF, &usage);
  return (double) usage.ru_maxrss / 1024; /* Linux counts it in KiB */
}

/* Best of a few, so that a busy machine counts less. */
static double
time_import_ms (DwnImportFormat format, guint n, const DwnInput *inputs, guint *n_stations)
{
  double best_ms = G_MAXDOUBLE;

  for (guint i = 0; i < ROUNDS; i++)
    {
      gint64 start_us = g_get_monotonic_time ();
      g_autoptr (GError) error = NULL;
      g_autoptr (DwnImport) import
        = dwn_import_inputs (format, n, inputs, NULL, &options, NULL, NULL, NULL, &error);
      if (import == NULL)
        g_error ("%s", error->message);
      best_ms = MIN (best_ms, milliseconds_since (start_us));
      *n_stations = import->stations->n;
    }
  return best_ms;
}

static double
time_plain_read_ms (const DwnInput *input, guint *n_lines)
{
  double best_ms = G_MAXDOUBLE;

  for (guint i = 0; i < ROUNDS; i++)
    {
      gint64 start_us = g_get_monotonic_time ();
      g_autoptr (DwnLines) lines = dwn_lines_open (input, NULL, NULL);
      char *line;
      gsize length;

      while (dwn_lines_next (lines, &line, &length, NULL))
        ;
      best_ms = MIN (best_ms, milliseconds_since (start_us));
      *n_lines = dwn_lines_number (lines);
    }
  return best_ms;
}

static GBytes *
make_text (guint n)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (11);
  GString *text = g_string_new ("\n");

  for (guint i = 0; i < n; i++)
    g_string_append_printf (text,
                            "|W%05u      |-         |%s |%-3d |DA  |                    |1  |-  "
                            "|LIC    |TOWN         |ME |US "
                            "|BLCDT  -20%02d%02d%02dAAK |%d.   kW |-         |%d.0   |-       "
                            "|%-10u |N |%d |%d |10.00 |W |%-3d "
                            "|%d |17.00 |                      |   0.00 km |   0.00 mi |  0.00 deg "
                            "|268.   m|H       |%-9d |0. "
                            "      |-       |21.1    |%u |2  |\n",
                            i,
                            i % 3 == 0 ? "DT" : i % 3 == 1 ? "LD" : "TX",
                            g_rand_int_range (rand, 2, 52), g_rand_int_range (rand, 0, 14),
                            g_rand_int_range (rand, 1, 13), g_rand_int_range (rand, 1, 29),
                            g_rand_int_range (rand, 1, 1000), g_rand_int_range (rand, 10, 900),
                            i + 1, g_rand_int_range (rand, 25, 49), g_rand_int_range (rand, 0, 60),
                            g_rand_int_range (rand, 67, 125), g_rand_int_range (rand, 0, 60),
                            g_rand_int_range (rand, 1, 90000), i + 1000);
  return g_string_free_to_bytes (text);
}

static void
bench_national (void)
{
  const char *folder = g_getenv ("DOWNLEAD_REFERENCE_DATA");
  g_autofree char *path = folder != NULL ? g_build_filename (folder, "stations",
                                                             "tvquery_us_2013.txt", NULL) : NULL;
  g_autoptr (GBytes) made = path == NULL ? make_text (8692) : NULL;
  const DwnInput input = { path != NULL ? path : "made.txt", made };
  guint n_stations, n_lines;
  double read_ms = time_plain_read_ms (&input, &n_lines);
  double import_ms = time_import_ms (DWN_IMPORT_LICENCE_TEXT, 1, &input, &n_stations);

  g_print (
    "national list%s: %u lines read in %.1f ms, %u stations imported in %.1f ms, ratio %.1f\n",
    path != NULL ? "" : " (made)", n_lines, read_ms, n_stations, import_ms, import_ms / read_ms);
}

static void
bench_growth (void)
{
  for (guint n = 10; n <= 10000; n *= 10)
    {
      g_autoptr (GBytes) text = make_text (n);
      const DwnInput input = { "made.txt", text };
      guint n_stations;
      double ms = time_import_ms (DWN_IMPORT_LICENCE_TEXT, 1, &input, &n_stations);

      g_print ("%6u records: %8.2f ms, %6.2f us a record\n", n, ms, ms * 1e3 / n);
    }
}

/* One zip file on disk, so that its packed bytes are no part of the memory that is counted. */
typedef struct {
  struct archive *archive;
  GString *text;
} Zip;

static void
add_member (Zip *zip, const char *name)
{
  struct archive_entry *entry = archive_entry_new ();

  archive_entry_set_pathname (entry, name);
  archive_entry_set_filetype (entry, AE_IFREG);
  archive_entry_set_perm (entry, 0644);
  archive_entry_set_size (entry, (la_int64_t) zip->text->len);
  archive_write_header (zip->archive, entry);
  archive_write_data (zip->archive, zip->text->str, zip->text->len);
  archive_entry_free (entry);
  g_string_truncate (zip->text, 0);
}

#define UUID "%08x-9f3a-4c11-8d6e-0123456789ab"

static guint64
write_facilities (Zip *zip)
{
  g_string_append (zip->text, "extra|callsign|facility_id|service_code|facility_status|active_ind|"
                              "license_filing_id|channel|tv_virtual_channel|another|^|\n");
  for (guint i = 0; i < FACILITIES; i++)
    g_string_append_printf (zip->text, "x|W%05u|%u|%s|%s|Y|" UUID "|%u|%u.1|y|^|\n", i, i + 1,
                            i % 3 == 0 ? (i % 300 == 0 ? "DTS" : "DTV") : "FM",
                            i % 3 == 1 ? "CANCL" : "LICEN", i, 2 + i % 35, 2 + i % 60);
  add_member (zip, "facility.dat");
  g_string_append (zip->text,
                   "afac_application_id|afac_license_filing_id|afac_channel|country_code|^|\n");
  for (guint i = 0; i < 3 * FACILITIES; i++) /* most lead nowhere */
    g_string_append_printf (zip->text, UUID "|" UUID "|%u|US|^|\n", i,
                            i % 2 == 0 ? i / 2 : i + 1000000, 2 + i / 2 % 35);
  add_member (zip, "application_facility.dat");
  return 4 * FACILITIES;
}

static guint64
write_antennas (Zip *zip)
{
  g_string_append (zip->text,
                   "aloc_loc_record_id|aloc_aapp_application_id|aloc_lat_deg|aloc_lat_mm|"
                   "aloc_lat_ss|aloc_lat_dir|aloc_long_deg|aloc_long_mm|aloc_long_ss|"
                   "aloc_long_dir|^|\n");
  for (guint i = 0; i < 3 * FACILITIES; i++)
    g_string_append_printf (zip->text, UUID "|" UUID "|%u|%u|%u|N|%u|%u|0|W|^|\n", i, i,
                            25 + i % 24, i % 60, i / 7 % 60, 67 + i % 50, i / 3 % 60);
  add_member (zip, "app_location.dat");
  g_string_append (zip->text, "aant_antenna_record_id|aant_aloc_loc_record_id|aant_antenna_id|"
                              "aant_rotation_deg|aant_antenna_type_code|aant_rc_haat|^|\n");
  for (guint i = 0; i < 3 * FACILITIES; i++)
    g_string_append_printf (zip->text, UUID "|" UUID "|%u|%u|DIR|%u|^|\n", i, i, i, i % 360,
                            1 + i % 500);
  add_member (zip, "app_antenna.dat");
  g_string_append (zip->text, "aafq_aant_antenna_record_id|aafq_power_erp_kw|aafq_channel|^|\n");
  for (guint i = 0; i < 3 * FACILITIES; i++)
    g_string_append_printf (zip->text, UUID "|%u|%u|^|\n", i, 1 + i % 1000, 2 + i / 2 % 35);
  add_member (zip, "app_antenna_frequency.dat");
  return 9 * FACILITIES;
}

static guint64
write_field_values (Zip *zip)
{
  g_string_append (zip->text, "aafv_aant_antenna_record_id|aafv_azimuth|aafv_field_value|^|\n");
  for (guint i = 0; i < FACILITIES; i++)
    for (guint azimuth = 0; azimuth < FIELD_VALUES; azimuth++)
      g_string_append_printf (zip->text, UUID "|%u.0|0.%03u|^|\n", i, azimuth * 360 / FIELD_VALUES,
                              1 + (i + azimuth * 7) % 999);
  add_member (zip, "app_antenna_field_value.dat");
  return (guint64) FACILITIES * FIELD_VALUES;
}

static guint64
write_tables (const char *path)
{
  Zip zip = { archive_write_new (), g_string_new (NULL) };
  guint64 rows;

  archive_write_set_format_zip (zip.archive);
  archive_write_open_filename (zip.archive, path);
  rows = write_facilities (&zip) + write_antennas (&zip) + write_field_values (&zip);
  archive_write_close (zip.archive);
  archive_write_free (zip.archive);
  g_string_free (zip.text, TRUE);
  return rows;
}

/* The tables are written by another process: only what the import takes counts. */
static void
bench_tables (const char *program)
{
  g_autofree char *path = g_build_filename (g_get_tmp_dir (), "downlead-bench-XXXXXX", NULL);
  char *arguments[] = { (char *) program, (char *) "--write-tables", path, NULL };
  const DwnInput input = { path, NULL };
  gint64 start_us;
  double before_mb;
  g_autoptr (GError) error = NULL;

  g_close (g_mkstemp (path), NULL);
  if (!g_spawn_sync (NULL, arguments, NULL, G_SPAWN_DEFAULT, NULL, NULL, NULL, NULL, NULL, &error))
    g_error ("%s", error->message);
  before_mb = peak_mb ();
  start_us = g_get_monotonic_time ();
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_LICENCE_TABLES, 1, &input, NULL,
                                                    &options, NULL, NULL, NULL, &error);
  if (import == NULL)
    g_error ("%s", error->message);
  g_print (
    "licence tables: %u rows, %u stations in %.0f ms, peak memory %.0f MB over %.0f before\n",
    13 * FACILITIES + FACILITIES * FIELD_VALUES, import->stations->n,
    milliseconds_since (start_us), peak_mb () - before_mb, before_mb);
  g_unlink (path);
}

static void
bench_list (void)
{
  g_autoptr (GBytes) text = make_text (30000); /* two thirds become stations */
  const DwnInput input = { "made.txt", text };
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 1, &input, NULL,
                                                    &options, NULL, NULL, NULL, NULL);
  gint64 start_us = g_get_monotonic_time ();
  g_autoptr (GBytes) list = dwn_station_list_format (import->stations, import->services);
  double write_ms = milliseconds_since (start_us);
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;

  start_us = g_get_monotonic_time ();
  xmlFreeDoc (xmlReadMemory (g_bytes_get_data (list, NULL), (int) g_bytes_get_size (list), NULL,
                             NULL, XML_PARSE_NONET));
  double bare_ms = milliseconds_since (start_us);
  start_us = g_get_monotonic_time ();
  if (!dwn_station_list_parse (list, "list.xml", &stations, &services, NULL, NULL))
    g_error ("the list cannot be read back");
  double read_ms = milliseconds_since (start_us);
  g_print ("own list of %u stations: written in %.0f ms, read in %.0f ms, bare parse %.0f ms, "
           "ratio %.1f\n",
           stations->n, write_ms, read_ms, bare_ms, read_ms / bare_ms);
}

int
main (int argc, char *argv[])
{
  if (argc == 3 && strcmp (argv[1], "--write-tables") == 0)
    return write_tables (argv[2]) > 0 ? EXIT_SUCCESS : EXIT_FAILURE;

  bench_tables (argv[0]);
  bench_national ();
  bench_growth ();
  bench_list ();
  return EXIT_SUCCESS;
}
