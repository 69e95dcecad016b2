/* Lists as large as regulators': twenty thousand stations, and licence tables of some hundred
 * thousand rows with columns in another order, columns that nobody needs, distributed transmitters
 * and rows that lead nowhere. How many stations have to come of it follows from how the tables are
 * made. What it takes is printed. */
#include <sys/resource.h>
#include <time.h>

#include "import-test.h"

/* Of each ten facilities: six television stations, one network of three transmitters with its
 * reference point, one that is silent, one whose application is missing, one FM station. */
#define TENS 3000
#define FACILITIES (10 * TENS)
#define STATIONS ((6 + 3) * TENS)
#define FIELD_VALUES 36

enum { MAIN_LAST = 5, NETWORK, SILENT, LOST, RADIO };

static const char *const names[] = {
  "app_antenna_field_value.dat", "facility.dat", "app_antenna_frequency.dat", "app_location.dat",
  "application_facility.dat", "app_antenna.dat",
};
#define N_TABLES G_N_ELEMENTS (names)
enum { FIELD_VALUE, FACILITY, FREQUENCY, LOCATION, APPLICATION, ANTENNA };

#define UUID "%08x-9f3a-4c11-8d6e-0123456789ab"

/* Sites are numbered through all facilities; a network has four, the first of which is no
 * transmitter. */
static void
add_site (GString **table, guint i, guint site, gboolean is_reference)
{
  guint rf = 14 + i % 20;

  g_string_append_printf (table[LOCATION], "W|%u|%u|%u|N|%u|%u|%u|x|" UUID "|" UUID "|%s|^|\n", 68 + i % 50,
                          site % 60, site / 60 % 60, 25 + i % 24, site / 7 % 60, i % 60, i, site,
                          is_reference ? "Y" : "");
  g_string_append_printf (table[ANTENNA], "%s|" UUID "|x|" UUID "|%u|%u|^|\n", i % 10 == 0 ? "DIR" : "ND",
                          site, site, 100 + site % 400, site);
  g_string_append_printf (table[FREQUENCY], "%u|x|%u|" UUID "|^|\n", rf, 1 + site % 900, site);
  if (i % 10 == 0)
    for (guint k = 0; k < FIELD_VALUES; k++)
      g_string_append_printf (table[FIELD_VALUE], "0.%03u|%u|x|" UUID "|^|\n", 100 + (site + 7 * k) % 900,
                              k * 360 / FIELD_VALUES, site);
}

static void
add_facility (GString **table, guint i, guint *site)
{
  guint sort = i % 10, rf = 14 + i % 20;

  g_string_append_printf (table[FACILITY], "x|%u.1|%u|" UUID "|%s|W%05u|Y|%s|N|%u|y|^|\n", 2 + i % 60, rf, i,
                          sort == SILENT ? "LICSL" : "LICEN", i,
                          sort == NETWORK ? "DTS" : sort == RADIO ? "FM" : "DTV", i + 1);
  if (sort != LOST)
    g_string_append_printf (table[APPLICATION], "US|%u|x|" UUID "|%u|" UUID "|^|\n", rf, i, i + 1, i);
  /* An application that nobody asks for, of a facility that is not there. */
  g_string_append_printf (table[APPLICATION], "US|%u|x|" UUID "|%u|" UUID "|^|\n", rf, i + 5000000, i + 5000000,
                          i + 5000000);
  for (guint k = 0; k < (sort == NETWORK ? 4u : 1u); k++)
    add_site (table, i, (*site)++, sort == NETWORK && k == 0);
}

static const char *const heads[N_TABLES] = {
  "aafv_field_value|aafv_azimuth|more|aafv_aant_antenna_record_id|^|\n",
  "more|tv_virtual_channel|channel|license_filing_id|facility_status|callsign|active_ind|service_code|"
  "atsc3_ind|facility_id|yet_more|^|\n",
  "aafq_channel|more|aafq_power_erp_kw|aafq_aant_antenna_record_id|^|\n",
  "aloc_long_dir|aloc_long_deg|aloc_long_mm|aloc_long_ss|aloc_lat_dir|aloc_lat_deg|aloc_lat_mm|aloc_lat_ss|"
  "more|aloc_aapp_application_id|aloc_loc_record_id|aloc_dts_reference_location_ind|^|\n",
  "country_code|afac_channel|more|afac_license_filing_id|afac_facility_id|afac_application_id|^|\n",
  "aant_antenna_type_code|aant_aloc_loc_record_id|more|aant_antenna_record_id|aant_rc_haat|aant_antenna_id|"
  "^|\n",
};

static guint
make_tables (DwnInput *inputs)
{
  GString *table[N_TABLES];
  guint site = 0, n_rows = 0;

  for (guint t = 0; t < N_TABLES; t++)
    table[t] = g_string_new (heads[t]);
  for (guint i = 0; i < FACILITIES; i++)
    add_facility (table, i, &site);
  for (guint t = 0; t < N_TABLES; t++)
    {
      for (const char *at = table[t]->str; (at = strchr (at, '\n')) != NULL; at++)
        n_rows++;
      inputs[t] = (DwnInput) { names[t], g_string_free_to_bytes (table[t]) };
    }
  return n_rows - N_TABLES;
}

static double
peak_mb (void)
{
  struct rusage usage;

  getrusage (RUSAGE_SELF, &usage);
  return (double) usage.ru_maxrss / 1024; /* Linux counts it in KiB */
}

/* Hundreds of thousands of rows in seconds; memory goes with the stations, not with the rows. */
static void
test_tables (void)
{
  const DwnImportOptions options = { .today = "2024-01-01" };
  DwnInput inputs[N_TABLES];
  guint n_rows = make_tables (inputs), n_network = 0, n_pattern = 0;
  double before_mb = peak_mb ();
  clock_t start = clock ();
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_LICENCE_TABLES, N_TABLES, inputs, NULL, &options,
                                                    NULL, NULL, NULL, &error);
  double took_s = (double) (clock () - start) / CLOCKS_PER_SEC;

  clear_inputs (inputs, N_TABLES);
  g_assert_no_error (error);
  g_test_message ("%u rows, %u stations: %.2f s of processor time, %.0f MB more at most", n_rows,
                  import->stations->n, took_s, peak_mb () - before_mb);
  g_assert_cmpuint (n_rows, >, 300000);
  g_assert_cmpuint (import->stations->n, ==, STATIONS);
  for (guint s = 0; s < import->stations->n; s++)
    {
      n_network += import->stations->station[s].network != NULL;
      n_pattern += import->stations->station[s].pattern != NULL;
    }
  g_assert_cmpuint (n_network, ==, 3 * TENS);
  g_assert_cmpuint (n_pattern, ==, TENS); /* the first of each ten */
#if !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
  g_assert_cmpfloat (took_s, <, 20.0);
  g_assert_cmpfloat (peak_mb () - before_mb, <, 128.0);
#endif
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/import-large/licence-tables", test_tables);
  return g_test_run ();
}
