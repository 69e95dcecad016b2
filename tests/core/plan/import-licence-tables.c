/* The licence tables, on small invented ones: columns in another order and more of them than
 * needed, joins, patterns, what is missing. Expected figures are those written into the tables. */
#include "import-test.h"

enum { FACILITY, APPLICATION, VERSION, LOCATION, ANTENNA, FREQUENCY, FIELD_VALUE, N_TABLES };

static const char *const names[N_TABLES] = {
  "facility.dat", "application_facility.dat", "license_filing_version.dat", "app_location.dat",
  "app_antenna.dat", "app_antenna_frequency.dat", "app_antenna_field_value.dat",
};

/* A main station, a distributed network of two and its reference point, a translator, an FM
 * station, one that is silent, one whose application is missing, an analogue one, one without
 * power, one that the application was superseded of. */
static const char *const tables[N_TABLES] = {
  "callsign|facility_id|extra|service_code|facility_status|active_ind|license_filing_id|channel|"
  "tv_virtual_channel|atsc3_ind|latest_filing_version_id|status_date|^|\r\n"
  "WMAIN|101|x|DTV|LICEN|Y|f-101|7|7.1|N|a-101|2021-03-04 00:00:00|^|\r\n"
  "WNET|102|x|DTS|LICRP|Y|f-102|20|11|N|a-102|2020-01-01|^|\r\n"
  "W33XX-D|103|x|LPT|LICEN|Y|f-103|33||N||2019-05-06|^|\r\n"
  "WFMX|104|x|FM|LICEN|Y|f-104|||N|||^|\r\n"
  "WQUIET|105|x|DTV|LICSL|Y|f-105|9||N|||^|\r\n"
  "WLOST|106|x|DTV|LICEN|Y|f-106|10||N|||^|\r\n"
  "W06AN|107|x|LPX|LICEN|Y|f-107|6||N|||^|\r\n"
  "WNOPW|108|x|DCA|LICEN|Y|f-108|12||N|||^|\r\n"
  "WNEXT|109|x|DTV|LICEN|Y|f-109|30|30.1|Y|a-109-old|2022-01-01|^|\r\n"
  "WGONE|110|x|DTV|CANCL|Y|f-110|31||N|||^|\r\n",

  "afac_application_id|afac_facility_id|afac_license_filing_id|afac_channel|country_code|^|\n"
  "a-101|101|f-101|7|US|^|\n"
  "a-102|102|f-102|20|US|^|\n"
  "a-103|103|f-103|33|US|^|\n"
  "a-104|104|f-104||US|^|\n"
  "a-107|107|f-107|6|US|^|\n"
  "a-108|108|f-108|12|US|^|\n"
  "a-109-old|109|f-109|29|US|^|\n"
  "a-109-new|109|f-109|30|US|^|\n",

  "filing_version_id|license_filing_id|current_status_code|status_date|active_ind|^|\n"
  "a-109-old|f-109|GRA|2015-01-01|Y|^|\n"
  "a-109-new|f-109|GRA|2022-06-07|Y|^|\n"
  "a-101|f-101|GRA|2021-03-04|Y|^|\n",

  "aloc_loc_record_id|aloc_aapp_application_id|aloc_dts_reference_location_ind|aloc_lat_deg|"
  "aloc_lat_mm|aloc_lat_ss|aloc_lat_dir|aloc_long_deg|aloc_long_mm|aloc_long_ss|aloc_long_dir|^|\n"
  "l-101|a-101||44|30|0|N|71|30|0|W|^|\n"
  "l-102-r|a-102|Y|44|0|0|N|72|0|0|W|^|\n"
  "l-102-1|a-102||44|6|0|N|72|0|0|W|^|\n"
  "l-102-2|a-102||44|12|30.0|N|72|15|0|W|^|\n"
  "l-103|a-103||43|0|0|N|71|0|0|W|^|\n"
  "l-104|a-104||43|0|0|N|71|0|0|W|^|\n"
  "l-107|a-107||43|0|0|N|71|0|0|W|^|\n"
  "l-108|a-108||43|0|0|N|71|0|0|W|^|\n"
  "l-109-old|a-109-old||40|0|0|N|75|0|0|W|^|\n"
  "l-109-new|a-109-new||41|0|0|N|75|0|0|W|^|\n",

  "aant_antenna_record_id|aant_aloc_loc_record_id|aant_antenna_id|aant_rotation_deg|"
  "aant_antenna_type_code|aant_rc_hag|aant_rc_amsl|aant_rc_haat|aant_polarization_code|^|\n"
  "n-101|l-101|1001|90|DIR|120.5|700|300|H|^|\n"
  "n-102-r|l-102-r|||ND||||H|^|\n"
  "n-102-1|l-102-1|||ND|50|600|200|E|^|\n"
  "n-102-2|l-102-2|||ND|60|610|210|E|^|\n"
  "n-103|l-103|||ND|20|0|0||^|\n"
  "n-107|l-107|||ND|20|400|||^|\n"
  "n-108|l-108|||ND|20|400|||^|\n"
  "n-109-old|l-109-old|||ND|20|400|||^|\n"
  "n-109-new|l-109-new|||ND|20|400||V|^|\n",

  "aafq_aant_antenna_record_id|aafq_power_erp_kw|aafq_max_erp_kw|aafq_horiz_erp_kw|aafq_channel|"
  "^|\n"
  "n-101|25.5|||7|^|\n"
  "n-102-1|100|||20|^|\n"
  "n-102-2||200||20|^|\n"
  "n-103|||3|33|^|\n"
  "n-107|1||||^|\n"
  "n-108|0||||^|\n"
  "n-109-old|1|||29|^|\n"
  "n-109-new|640|||30|^|\n",

  "aafv_aant_antenna_record_id|aafv_azimuth|aafv_field_value|^|\n"
  "n-101|180|0.1|^|\n"
  "n-101|0|1|^|\n"
  "n-101|90|0.5|^|\n"
  "n-101|270|0.5|^|\n"
  "n-101|45|7|^|\n",
};

static DwnImport *
import_parts (guint n, const char *const *part_names, const char *const *parts, gboolean zipped,
              const DwnImportOptions *options, GError **error)
{
  DwnInput inputs[N_TABLES];
  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func (g_free);

  for (guint i = 0; i < n; i++)
    {
      g_ptr_array_add (paths, zipped ? g_strdup_printf ("%u.zip", i) : g_strdup (part_names[i]));
      inputs[i] = (DwnInput) { g_ptr_array_index (paths, i),
                               zipped ? make_zip (1, &part_names[i], &parts[i])
                                      : g_bytes_new (parts[i], strlen (parts[i])) };
    }
  DwnImport *import = dwn_import_inputs (DWN_IMPORT_LICENCE_TABLES, n, inputs, NULL, options, NULL,
                                         NULL, NULL, error);
  clear_inputs (inputs, n);
  return import;
}

static const DwnImportOptions everywhere = { .today = "2022-10-01" };

static DwnImport *
import_all (gboolean zipped)
{
  g_autoptr (GError) error = NULL;
  DwnImport *import = import_parts (N_TABLES, names, tables, zipped, &everywhere, &error);

  g_assert_no_error (error);
  return import;
}

static void
test_joins (gconstpointer data)
{
  g_autoptr (DwnImport) import = import_all (GPOINTER_TO_INT (data));
  const DwnStation *main = find_station (import, "101-DT-7");
  const DwnStation *translator = find_station (import, "103-LD-33");

  g_assert_cmpuint (import->stations->n, ==, 5);
  g_assert_cmpstr (main->name, ==, "WMAIN");
  g_assert_cmpfloat (main->at.lat_deg, ==, 44.5);
  g_assert_cmpfloat (main->at.lon_deg, ==, -71.5);
  g_assert_cmpfloat (main->erp_kw, ==, 25.5);
  g_assert_cmpfloat (main->haat_m, ==, 300);
  g_assert_cmpfloat (main->agl_m, ==, 120.5);
  g_assert_cmpfloat (main->amsl_m, ==, 700);
  g_assert_cmpint (main->polarisation, ==, DWN_POLARISATION_HORIZONTAL);
  g_assert_cmpint (main->kind, ==, DWN_STATION_MAIN);
  g_assert_cmpuint (main->line, ==, 2);
  g_assert_cmpstr (dwn_station_on_screen (main, import->services), ==, "7.1");
  g_assert_cmpfloat (translator->erp_kw, ==, 3);
  g_assert_true (isnan (translator->haat_m));
  g_assert_cmpint (translator->kind, ==, DWN_STATION_LOW_POWER);
  g_assert_cmpint (translator->polarisation, ==, DWN_POLARISATION_UNKNOWN);
  g_assert_cmpstr (import->stations->dated, ==, "2022-06-07");
}

static void
test_network (void)
{
  g_autoptr (DwnImport) import = import_all (TRUE);
  const DwnStation *one = find_station (import, "102-DD-20-4406N07200W");
  const DwnStation *two = find_station (import, "102-DD-20-4412N07215W");

  g_assert_cmpint (one->kind, ==, DWN_STATION_DISTRIBUTED);
  g_assert_cmpfloat (one->erp_kw, ==, 100);
  g_assert_cmpfloat (two->erp_kw, ==, 200);
  g_assert_true (one->network == two->network);
  g_assert_true (one->services[0] == two->services[0]);
}

/* Of two granted versions the later counts. */
static void
test_versions (void)
{
  g_autoptr (DwnImport) import = import_all (TRUE);
  const DwnStation *next = find_station (import, "109-DT-30");

  g_assert_cmpfloat (next->erp_kw, ==, 640);
  g_assert_cmpfloat (next->at.lat_deg, ==, 41);
  g_assert_cmpint (next->system, ==, DWN_SYSTEM_ATSC3);
  g_assert_cmpint (next->polarisation, ==, DWN_POLARISATION_VERTICAL);
}

/* Values in any order, turned clockwise by the antenna's rotation of 90°. */
static void
test_pattern (void)
{
  g_autoptr (DwnImport) import = import_all (TRUE);
  const DwnPattern *pattern = find_station (import, "101-DT-7")->pattern;

  g_assert_nonnull (pattern);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 90, 177), 0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 270, 177), -20, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 180, 177), 20 * log10 (0.5), 1e-9);
  g_assert_null (find_station (import, "103-LD-33")->pattern);
}

static void
test_listed (void)
{
  static const struct {
    const char *name;
    DwnSkipReason reason;
    const char *says;
  } expected[] = {
    { "WQUIET", DWN_SKIP_SILENT, "silent" },
    { "WLOST", DWN_SKIP_JOIN, "no row of application_facility" },
    { "W06AN", DWN_SKIP_ANALOGUE, "analogue" },
    { "WNOPW", DWN_SKIP_POWER, "no ERP over 0" },
    { "WMAIN", DWN_SKIP_FIELD, "relative field \"7\"" },
  };
  g_autoptr (DwnImport) import = import_all (TRUE);

  g_assert_cmpuint (import->n_skipped, ==, G_N_ELEMENTS (expected));
  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      guint at = 0;

      while (at < import->n_skipped && strcmp (import->skipped[at].name, expected[i].name) != 0)
        at++;
      g_assert_cmpuint (at, <, import->n_skipped);
      g_assert_cmpint (import->skipped[at].reason, ==, expected[i].reason);
      assert_says (import->skipped[at].text, expected[i].says);
    }
  /* FM, and the cancelled one, are counted. */
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_OTHER), ==, 1);
}

static void
test_within (void)
{
  const DwnImportOptions options = { .has_near = TRUE, .near = house, .within_km = 50,
                                     .today = "2022-10-01" };
  g_autoptr (DwnImport) import = import_parts (N_TABLES, names, tables, TRUE, &options, NULL);

  g_assert_cmpuint (import->stations->n, ==, 3);
  g_assert_cmpuint (import->n_beyond, ==, 4); /* the analogue one and that without power too */
  g_assert_nonnull (find_station (import, "101-DT-7")->pattern);
}

static void
test_one_zip (void)
{
  static const char *const more[] = { "readme.txt", "facility.dat", "x/application_facility.dat",
                                      "app_location.dat", "app_antenna.dat",
                                      "app_antenna_frequency.dat" };
  const char *const texts[] = { "not a table", tables[FACILITY], tables[APPLICATION],
                                tables[LOCATION], tables[ANTENNA], tables[FREQUENCY] };
  DwnInput input = { "all.zip", make_zip (G_N_ELEMENTS (more), more, texts) };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import
    = dwn_import_inputs (DWN_IMPORT_LICENCE_TABLES, 1, &input, NULL, &everywhere, NULL, NULL, NULL,
                         &error);

  g_bytes_unref (input.bytes);
  g_assert_no_error (error);
  g_assert_cmpuint (import->stations->n, ==, 5);
  /* Without the versions, the one that the facility calls its latest counts. */
  g_assert_cmpfloat (find_station (import, "109-DT-29")->at.lat_deg, ==, 40);
}

/* Tables that lost their names are known by their columns. */
static void
test_renamed (void)
{
  static const char *const renamed[] = { "1", "2", "3", "4", "5", "6", "7" };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import
    = import_parts (N_TABLES, renamed, tables, FALSE, &everywhere, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->stations->n, ==, 5);
}

static void
test_refusals (void)
{
  static const char *const no_columns[] = { "facility_id|callsign|^|\n1|W|^|\n" };
  g_autoptr (GError) missing = NULL, column = NULL, twice = NULL, empty = NULL;

  g_assert_null (import_parts (3, names, tables, TRUE, &everywhere, &missing));
  g_assert_error (missing, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY);
  assert_says (missing->message, "the table app_location is missing");

  const char *parts[N_TABLES];
  memcpy (parts, tables, sizeof parts);
  parts[FACILITY] = no_columns[0];
  g_assert_null (import_parts (N_TABLES, names, parts, TRUE, &everywhere, &column));
  g_assert_error (column, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN);
  assert_says (column->message, "facility.dat:1: the column service_code is missing");

  const char *const same[] = { "facility.dat", "facility.dat" };
  g_assert_null (import_parts (2, same, tables, TRUE, &everywhere, &twice));
  g_assert_error (twice, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT);
  assert_says (twice->message, "facility is in 0.zip already");

  parts[FACILITY] = "";
  g_assert_null (import_parts (N_TABLES, names, parts, TRUE, &everywhere, &empty));
  g_assert_error (empty, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY);
  assert_says (empty->message, "facility.dat:1: the table is empty");
}

static void
test_format_mixed_up (void)
{
  static const char *const member[] = { "facility.dat" };
  DwnInput input = { "facility.zip", make_zip (1, member, tables) };
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 1, &input, NULL, &everywhere, NULL,
                                    NULL, NULL, &error));
  g_assert_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT);
  assert_says (error->message, "the format licence-tables would be right");
  g_bytes_unref (input.bytes);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/licence-tables/joins/zipped", GINT_TO_POINTER (TRUE), test_joins);
  g_test_add_data_func ("/licence-tables/joins/plain", GINT_TO_POINTER (FALSE), test_joins);
  g_test_add_func ("/licence-tables/network", test_network);
  g_test_add_func ("/licence-tables/versions", test_versions);
  g_test_add_func ("/licence-tables/pattern", test_pattern);
  g_test_add_func ("/licence-tables/listed", test_listed);
  g_test_add_func ("/licence-tables/within", test_within);
  g_test_add_func ("/licence-tables/one-zip", test_one_zip);
  g_test_add_func ("/licence-tables/renamed", test_renamed);
  g_test_add_func ("/licence-tables/refusals", test_refusals);
  g_test_add_func ("/licence-tables/format-mixed-up", test_format_mixed_up);
  return g_test_run ();
}
