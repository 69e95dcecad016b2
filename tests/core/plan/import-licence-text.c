/* The query text and the two tables beside it, on an excerpt of public records
 * (tests/data/import/README.md). Expected figures are those of the records themselves, read by
 * eye; distances and bearings are the check values that came with the open data (computed with
 * an independent geodesic library from the raw figures). */
#include "import-test.h"

#include "core/plan/csv.h"

typedef enum {
  TEXT_ONLY,
  WITH_TABLES, /* all three, in another order */
} Files;

static DwnImport *
import_excerpt (Files files, const DwnImportOptions *options)
{
  g_autofree char *text
    = g_test_build_filename (G_TEST_DIST, "data", "import", "licences.txt", NULL);
  g_autofree char *repack
    = g_test_build_filename (G_TEST_DIST, "data", "import", "repack.csv", NULL);
  g_autofree char *patterns = g_test_build_filename (G_TEST_DIST, "data", "import", "patterns.csv",
                                                     NULL);
  const char *const all[] = { patterns, repack, text, NULL }, *const one[] = { text, NULL };
  g_autoptr (GError) error = NULL;
  DwnImport *import = dwn_import_files (DWN_IMPORT_LICENCE_TEXT, files == TEXT_ONLY ? one : all,
                                        options, NULL, NULL, NULL, &error);

  g_assert_no_error (error);
  return import;
}

static const DwnImportOptions everywhere = { .today = "2013-10-01" };

typedef struct {
  const char *name;
  DwnDatum datum;
  const char *id;
  double distance_m, bearing_deg;
} PlaceCase;

static const PlaceCase place_cases[] = {
  { "wled", DWN_DATUM_WGS84, "69328-DT-48", 8922, 334.931 },
  { "wled-nad27", DWN_DATUM_NAD27, "69328-DT-48", 8901, 335.168 },
  { "wvtb", DWN_DATUM_WGS84, "69940-DT-18", 36204, 333.388 },
  { "wmtw", DWN_DATUM_WGS84, "73288-DT-8", 88652, 122.668 },
  { "wcsh", DWN_DATUM_WGS84, "39664-DT-44", 91332, 120.522 },
  { "wetk", DWN_DATUM_WGS84, "69944-DT-32", 93617, 287.338 },
  { "wcax", DWN_DATUM_WGS84, "46728-DT-22", 93765, 287.311 },
  { "wgme", DWN_DATUM_WGS84, "25683-DT-38", 103804, 111.952 },
};

static void
test_place (gconstpointer data)
{
  const PlaceCase *test = data;
  const DwnImportOptions options = { .datum = test->datum, .today = "2013-10-01" };
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &options);
  const DwnStation *station = find_station (import, test->id);
  double distance_m, bearing_deg;

  g_assert_true (dwn_geodesic_inverse (&house, &station->at, &distance_m, &bearing_deg, NULL,
                                       NULL));
  g_assert_cmpfloat_with_epsilon (distance_m, test->distance_m, 0.51);
  g_assert_cmpfloat_with_epsilon (bearing_deg, test->bearing_deg, 0.00051);
}

static void
test_figures (void)
{
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &everywhere);
  const DwnStation *wled = find_station (import, "69328-DT-48");

  g_assert_cmpstr (wled->name, ==, "WLED-TV");
  g_assert_cmpint (wled->kind, ==, DWN_STATION_MAIN);
  g_assert_cmpint (wled->system, ==, DWN_SYSTEM_ATSC1);
  g_assert_cmpstr (wled->rf, ==, "48");
  g_assert_cmpfloat (wled->mhz, ==, 677);
  g_assert_cmpint (wled->band, ==, DWN_BAND_UHF);
  g_assert_cmpfloat (wled->erp_kw, ==, 108);
  g_assert_cmpfloat (wled->haat_m, ==, 390.8);
  g_assert_cmpfloat (wled->agl_m, ==, 128.5);
  g_assert_cmpfloat (wled->amsl_m, ==, 744.2);
  g_assert_cmpint (wled->polarisation, ==, DWN_POLARISATION_HORIZONTAL);
  g_assert_cmpstr (wled->site, ==, "ASR 1034698");
  g_assert_null (wled->pattern);
  g_assert_null (wled->network);
  g_assert_cmpuint (wled->line, ==, 47);
  g_assert_cmpstr (dwn_station_on_screen (wled, import->services), ==, "49");
  g_assert_cmpstr (import->stations->source, ==, "licences.txt");
  g_assert_cmpstr (import->stations->dated, ==, "2012-11-14");
}

static void
test_counts (void)
{
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &everywhere);

  g_assert_cmpuint (import->n_records, ==, 50);
  g_assert_cmpuint (import->n_skipped, ==, 13);
  g_assert_cmpuint (import->stations->n, ==, 37);
  g_assert_cmpuint (import->n_beyond, ==, 0);
}

/* Which record is listed, and why: worked out by hand from the rules. */
static void
test_rules (void)
{
  static const struct {
    guint line;
    DwnSkipReason reason;
    const char *says;
  } expected[] = {
    { 2, DWN_SKIP_ANALOGUE, "analogue" },
    { 3, DWN_SKIP_SUPERSEDED, "BLCDT  -20120308AAK, licences.txt:39" }, /* main: another channel */
    { 4, DWN_SKIP_AUXILIARY, "standby" },
    { 6, DWN_SKIP_AUXILIARY, "standby" },
    { 7, DWN_SKIP_SUPERSEDED, "licences.txt:8" },
    { 9, DWN_SKIP_SUPERSEDED, "licences.txt:14" }, /* distributed: by site */
    { 10, DWN_SKIP_SUPERSEDED, "licences.txt:16" },
    { 11, DWN_SKIP_SUPERSEDED, "licences.txt:17" },
    { 12, DWN_SKIP_SUPERSEDED, "licences.txt:18" },
    { 13, DWN_SKIP_SUPERSEDED, "licences.txt:19" },
    { 21, DWN_SKIP_SUPERSEDED, "licences.txt:22" },
    { 42, DWN_SKIP_POWER, "ERP on file is 0" },
    { 46, DWN_SKIP_SUPERSEDED, "licences.txt:47" },
  };
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &everywhere);

  g_assert_cmpuint (import->n_skipped, ==, G_N_ELEMENTS (expected));
  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      const DwnImportSkip *skip = find_skip (import, expected[i].line);

      g_assert_cmpint (skip->reason, ==, expected[i].reason);
      g_assert_cmpstr (skip->file, ==, "licences.txt");
      assert_says (skip->text, expected[i].says);
    }
}

static void
test_kinds_and_ids (void)
{
  static const struct {
    const char *id;
    DwnStationKind kind;
  } expected[] = {
    { "73288-DT-8", DWN_STATION_MAIN },
    { "73288-LD-26", DWN_STATION_FILL_IN },           /* under the main station's facility */
    { "167765-DC-8", DWN_STATION_LOW_POWER },
    { "10036-LD-16-4339N10815W", DWN_STATION_FILL_IN }, /* two sites on one channel */
    { "10036-LD-16-4254N10842W", DWN_STATION_FILL_IN },
    { "60341-DD-7-1827N06645W", DWN_STATION_DISTRIBUTED },
    { "62442-DD-21-4335N11608W.93010", DWN_STATION_DISTRIBUTED }, /* two antennas at one site */
    { "62442-DD-21-4335N11608W.93011", DWN_STATION_DISTRIBUTED },
    { "62442-DD-21-4345N11605W", DWN_STATION_DISTRIBUTED },
    { "62442-DT-21", DWN_STATION_MAIN },
  };
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &everywhere);
  g_autoptr (GHashTable) ids = g_hash_table_new (g_str_hash, g_str_equal);

  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    g_assert_cmpint (find_station (import, expected[i].id)->kind, ==, expected[i].kind);
  for (guint i = 0; i < import->stations->n; i++)
    {
      g_assert_true (dwn_station_check (&import->stations->station[i], NULL));
      g_assert_true (g_hash_table_add (ids, (gpointer) import->stations->station[i].id));
    }
}

static void
test_services (void)
{
  g_autoptr (DwnImport) import = import_excerpt (TEXT_ONLY, &everywhere);
  const DwnStation *main = find_station (import, "73288-DT-8");
  const DwnStation *fill_in = find_station (import, "73288-LD-26");
  const DwnStation *one = find_station (import, "62442-DD-21-4349N11630W");
  const DwnStation *other = find_station (import, "62442-DD-21-4345N11605W");

  g_assert_cmpuint (main->n_services, ==, 1);
  g_assert_true (main->services[0] == fill_in->services[0]);
  g_assert_cmpuint (import->services->n, ==, 17); /* facilities that stay */
  g_assert_nonnull (one->network);
  g_assert_true (one->network == other->network);
}

static void
test_warnings (void)
{
  const DwnImportOptions options = { .today = "2014-11-15" };
  g_autoptr (DwnImport) fresh = import_excerpt (TEXT_ONLY, &everywhere);
  g_autoptr (DwnImport) old = import_excerpt (TEXT_ONLY, &options);

  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_AGE), ==, 0);
  g_assert_cmpuint (warning_count (old, DWN_IMPORT_WARNING_AGE), ==, 731);
  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_CHANNELS), ==, 7);
  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_POWER), ==, 1);
  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_HAAT), ==, 10);
  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_REFERENCE), ==, 3);
  g_assert_cmpuint (warning_count (fresh, DWN_IMPORT_WARNING_DOUBLE), ==, 2);
}

static void
test_within (void)
{
  DwnImportOptions options = { .has_near = TRUE, .near = house, .within_km = 91.3,
                               .today = "2013-10-01" };
  g_autoptr (DwnImport) without_wcsh = import_excerpt (TEXT_ONLY, &options);

  options.within_km = 91.4; /* WCSH stands at 91.332 km */
  g_autoptr (DwnImport) with_wcsh = import_excerpt (TEXT_ONLY, &options);
  g_assert_cmpuint (without_wcsh->stations->n, ==, 3);
  /* Of those listed one is near: the older licence of WLED. The others are only counted. */
  g_assert_cmpuint (without_wcsh->n_skipped, ==, 1);
  g_assert_cmpuint (without_wcsh->skipped[0].line, ==, 46);
  g_assert_cmpuint (without_wcsh->n_beyond, ==, 50 - 3 - 1);
  g_assert_cmpuint (with_wcsh->stations->n, ==, 4);
  g_assert_cmpint (dwn_stations_find (with_wcsh->stations, "39664-DT-44"), >=, 0);
  g_assert_cmpuint (without_wcsh->services->n, ==, 3);
  /* An id does not depend on what else is near. */
  options.near = (DwnLatLon) { 42.9, -108.7 };
  options.within_km = 20;
  g_autoptr (DwnImport) lander = import_excerpt (TEXT_ONLY, &options);
  g_assert_cmpint (find_station (lander, "10036-LD-16-4254N10842W")->kind, ==, DWN_STATION_FILL_IN);
}

static void
test_repack (void)
{
  g_autoptr (DwnImport) import = import_excerpt (WITH_TABLES, &everywhere);
  const DwnStation *wled = find_station (import, "69328-DT-23");
  const DwnStation *wvtb = find_station (import, "69940-DT-28");
  const DwnStation *guam = find_station (import, "51233-DT-8");

  g_assert_cmpstr (wled->rf, ==, "23");
  g_assert_cmpfloat (wled->mhz, ==, 527);
  g_assert_cmpfloat (wled->erp_kw, ==, 65.4);
  g_assert_cmpfloat_with_epsilon (wled->at.lat_deg, 44 + 21 / 60.0 + 10 / 3600.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (wled->at.lon_deg, -(71 + 44 / 60.0 + 13 / 3600.0), 1e-9);
  g_assert_cmpfloat (wled->agl_m, ==, 128.5); /* the radiation centre stays where it was */
  g_assert_cmpfloat (wvtb->erp_kw, ==, 84.1);
  /* The pattern table has this mast at 144.712403 degrees east. */
  g_assert_cmpfloat_with_epsilon (guam->at.lon_deg, 144.712403, 2e-4);
  g_assert_cmpint (dwn_stations_find (import->stations, "69328-DT-48"), ==, -1);
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_CHANNELS), ==, 0);
}

/* What the table has as a network's sites is the network. */
static void
test_repack_networks (void)
{
  g_autoptr (DwnImport) import = import_excerpt (WITH_TABLES, &everywhere);
  const DwnStation *first = find_station (import, "83180-DD-25-2119N15740W");
  const DwnStation *second = find_station (import, "83180-DD-25-2124N15806W");

  g_assert_cmpfloat (first->erp_kw, ==, 7.34);
  g_assert_cmpfloat (second->erp_kw, ==, 29.5);
  g_assert_cmpfloat (second->amsl_m, ==, 840);
  g_assert_cmpuint (import->stations->n, ==, 32);
  assert_says (find_skip (import, 48)->text,
               "superseded by the distributed transmitters of repack.csv");
  assert_says (find_skip (import, 51)->text, "repack.csv");
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_REFERENCE), ==, 0);
  /* Of two antennas at one site each took its own row. */
  g_assert_cmpfloat (find_station (import, "62442-DD-21-4335N11608W.93010")->amsl_m, ==, 1121.5);
  g_assert_cmpfloat (find_station (import, "62442-DD-21-4335N11608W.93011")->amsl_m, ==, 1120);
}

/* Field values of the pattern table: antenna 71724 (not turned) and 109676 (turned by 210°), and
 * an extra pair (109672: 1.0 at 175°). */
static void
test_patterns (void)
{
  static const struct {
    const char *id;
    double azimuth_deg, field;
  } expected[] = {
    { "11259-DT-7", 0, 0.145 },
    { "11259-DT-7", 130, 1.0 },
    { "11259-DT-7", 350, 0.165 },
    { "60341-DD-7-1808N06659W", 210, 1.0 },
    { "60341-DD-7-1808N06659W", 220, 0.967 },
    { "60341-DD-7-1808N06659W", 330, 0.032 }, /* 120° off */
    { "60341-DD-7-1808N06659W", 200, 0.967 },
    { "60341-DD-7-1802N06639W", 175, 1.0 },
    { "60341-DD-7-1802N06639W", 180, 0.996 },
  };
  g_autoptr (DwnImport) import = import_excerpt (WITH_TABLES, &everywhere);

  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      const DwnStation *station = find_station (import, expected[i].id);

      g_assert_nonnull (station->pattern);
      g_assert_cmpfloat_with_epsilon (
        dwn_pattern_gain_dbi (station->pattern, expected[i].azimuth_deg, station->mhz),
        20 * log10 (expected[i].field), 1e-9);
    }
  g_assert_null (find_station (import, "69328-DT-23")->pattern); /* all round */
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_PATTERN), ==, 5);
}

/* The evidence that the table's rows are not turned yet: antenna 20753 stands in it with five
 * rotations and one row of values. */
static void
test_rotation_is_not_applied (void)
{
  g_autofree char *path
    = g_test_build_filename (G_TEST_DIST, "data", "import", "patterns.csv", NULL);
  const DwnInput input = { path, NULL };
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (dwn_lines_open (&input, NULL, NULL), ',');
  g_autoptr (GHashTable) rotations = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autofree char *row = NULL;
  char **fields;
  guint n;

  while (dwn_csv_next (csv, &fields, &n, NULL))
    {
      if (n < 71 || strcmp (fields[21], "20753") != 0)
        continue;
      g_autofree char *values = g_strjoinv (",", fields + 35);
      g_hash_table_add (rotations, g_strdup (fields[22]));
      if (row != NULL)
        g_assert_cmpint (strncmp (values, row, 36 * 9), ==, 0);
      else
        row = g_steal_pointer (&values);
    }
  g_assert_cmpuint (g_hash_table_size (rotations), ==, 5);
}

static void
test_cancelled (void)
{
  g_autofree char *path
    = g_test_build_filename (G_TEST_DIST, "data", "import", "licences.txt", NULL);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GString) many = g_string_new (NULL);
  g_autoptr (GError) error = NULL;
  g_autofree char *contents = NULL;

  g_assert_true (g_file_get_contents (path, &contents, NULL, NULL));
  for (guint i = 0; i < 25; i++)
    g_string_append (many, contents);
  DwnInput input = text_input ("many.txt", many->str);
  g_cancellable_cancel (cancellable);
  g_assert_null (dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 1, &input, NULL, &everywhere,
                                    cancellable, NULL, NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_bytes_unref (input.bytes);
}

static void
progress_cb (double fraction, gpointer user_data)
{
  double *last = user_data;

  g_assert_cmpfloat (fraction, >=, *last);
  g_assert_cmpfloat (fraction, <=, 1);
  *last = fraction;
}

static void
test_progress_and_duplicates (void)
{
  g_autofree char *path
    = g_test_build_filename (G_TEST_DIST, "data", "import", "licences.txt", NULL);
  g_autoptr (GString) many = g_string_new (NULL);
  g_autofree char *contents = NULL;
  double last = 0;

  g_assert_true (g_file_get_contents (path, &contents, NULL, NULL));
  for (guint i = 0; i < 100; i++)
    g_string_append (many, contents);
  DwnInput input = text_input ("many.txt", many->str);
  g_autoptr (DwnImport) import
    = dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 1, &input, NULL, &everywhere, NULL, progress_cb,
                         &last, NULL);
  g_bytes_unref (input.bytes);

  g_assert_cmpfloat (last, >, 0.5);
  g_assert_cmpuint (import->n_records, ==, 5000);
  g_assert_cmpuint (import->n_skipped + import->stations->n, ==, 5000);
  g_assert_cmpint (find_skip (import, 47 + 51)->reason, ==, DWN_SKIP_DUPLICATE);
}

/* One record with a field exchanged. */
#define RECORD(call, service, rf, erp, haat, facility, lat_d, lon_e)                               \
  "|" call " |- |" service " |" rf " |ND | |1 |- |LIC |TOWN |ME |US |BLCDT  -20120831AAF |" erp   \
  " |- |" haat " |- |" facility " |N |" lat_d " |21 |9.80 |" lon_e " |71 |44 |14.70 | |0.00 km "   \
  "|0.00 mi |0.00 deg |744.2  m|H |93519 |- |1034698 |128.5 |1510493 |49 |\n"

typedef struct {
  const char *name, *record;
  DwnSkipReason reason;
  const char *says;
} BadRecord;

static const BadRecord bad_records[] = {
  { "latitude-95", RECORD ("WBAD", "DT", "14", "1. kW", "50.", "77", "95", "W"), DWN_SKIP_FIELD,
    "latitude N 95 21 9.80 is not N or S with 0 to 90 degrees" },
  { "longitude-letter", RECORD ("WBAD", "DT", "14", "1. kW", "50.", "77", "44", "X"),
    DWN_SKIP_FIELD, "longitude X 71 44 14.70 is not E or W" },
  { "channel-70", RECORD ("WBAD", "DT", "70", "1. kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "channel \"70\" is not 2 to 69" },
  { "channel-37.5", RECORD ("WBAD", "DT", "37.5", "1. kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "channel \"37.5\" is not" },
  { "negative-power", RECORD ("WBAD", "DT", "14", "-1. kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "ERP \"-1. kW\" is not 0 to 20000 kW" },
  { "unit", RECORD ("WBAD", "DT", "14", "1000. W", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "ERP \"1000. W\" is not 0 to 20000 kW" },
  { "power-1e308", RECORD ("WBAD", "DT", "14", "1e308 kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "ERP \"1e308 kW\"" },
  { "power-nan", RECORD ("WBAD", "DT", "14", "nan kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "ERP \"nan kW\"" },
  { "haat-feet", RECORD ("WBAD", "DT", "14", "1. kW", "500. ft", "77", "44", "W"), DWN_SKIP_FIELD,
    "height above average terrain \"500. ft\" is not in metres" },
  { "facility", RECORD ("WBAD", "DT", "14", "1. kW", "50.", "-", "44", "W"), DWN_SKIP_FIELD,
    "facility id \"-\" is not a whole number" },
  { "no-call", RECORD ("", "DT", "14", "1. kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "the call sign is missing" },
  { "service", RECORD ("WBAD", "FM", "14", "1. kW", "50.", "77", "44", "W"), DWN_SKIP_FIELD,
    "unknown service \"FM\"" },
  { "short", "|WBAD |- |DT |14 |\n", DWN_SKIP_FIELD,
    "6 fields; a record of the query text has 38" },
};

static void
test_bad_record (gconstpointer data)
{
  const BadRecord *bad = data;
  g_autofree char *text = g_strconcat (
    RECORD ("WGOOD", "DT", "14", "1. kW", "50.", "78", "44", "W"), bad->record, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = import_text (DWN_IMPORT_LICENCE_TEXT, text, -1, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->stations->n, ==, 1);
  g_assert_cmpuint (import->n_skipped, ==, 1);
  g_assert_cmpuint (import->skipped[0].line, ==, 2);
  g_assert_cmpint (import->skipped[0].reason, ==, bad->reason);
  assert_says (import->skipped[0].text, bad->says);
}

static void
test_refusals (void)
{
  static const struct {
    const char *text;
    gssize length;
    GQuark (*domain) (void);
    int code;
    const char *says;
  } cases[] = {
    { "", 0, dwn_import_error_quark, DWN_IMPORT_ERROR_EMPTY, "list.txt:1: the file is empty" },
    { "hello\n", -1, dwn_import_error_quark, DWN_IMPORT_ERROR_FORMAT, "list.txt:1: neither" },
    { "|one\n\0|two\n", 11, dwn_lines_error_quark, DWN_LINES_ERROR_BINARY, "list.txt:2: " },
    { "facility_id|callsign|^|\n", -1, dwn_import_error_quark, DWN_IMPORT_ERROR_FORMAT,
      "licence-tables would be right" },
    { "FacID,Site,Call\n", -1, dwn_import_error_quark, DWN_IMPORT_ERROR_EMPTY,
      "the licences themselves are missing" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (import_text (DWN_IMPORT_LICENCE_TEXT, cases[i].text, cases[i].length, &error));
      g_assert_error (error, cases[i].domain (), cases[i].code);
      assert_says (error->message, cases[i].says);
    }
}

/* A big file of something else is given up early, and its lines are not collected. */
static void
test_hopeless_file (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < 200000; i++)
    g_string_append (text, "| this is a table | of something else |\n");
  g_assert_null (import_text (DWN_IMPORT_LICENCE_TEXT, text->str, -1, &error));
  g_assert_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT);
  assert_says (error->message, "list.txt:100: no record of the query text so far");
}

/* Each record of a facility is compared with each: there must be an end to it. */
static void
test_facility_excess (void)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < 150; i++)
    g_string_append (text, RECORD ("WNET", "DD", "14", "1. kW", "50.", "78", "44", "W"));
  g_autoptr (DwnImport) import = import_text (DWN_IMPORT_LICENCE_TEXT, text->str, -1, NULL);

  g_assert_cmpuint (import->stations->n, ==, 100);
  g_assert_cmpuint (import->n_skipped, ==, 50);
  g_assert_cmpint (import->skipped[0].reason, ==, DWN_SKIP_DUPLICATE);
  /* All the same facts: a number makes the ids unique. */
  g_assert_nonnull (find_station (import, "78-DD-14-4421N07144W.93519.100"));
}

static void
test_forgives (void)
{
  g_autofree char *record
    = g_strdup (RECORD ("WGO\326D", "DT", "14", "1. kW", "0.0", "78", "44", "W"));
  g_autofree char *crlf = g_strconcat ("\357\273\277\r\n", record, NULL);
  g_autoptr (GError) error = NULL;

  crlf[strlen (crlf) - 1] = '\r'; /* and no line end at all at the end */
  g_autoptr (DwnImport) import = import_text (DWN_IMPORT_LICENCE_TEXT, crlf, -1, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (import->stations->n, ==, 1);
  g_assert_cmpstr (import->stations->station[0].name, ==, "WGOÖD");
  g_assert_true (isnan (import->stations->station[0].haat_m));
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_LATIN1), ==, 2);
}

static void
test_broken_tables (void)
{
  static const char record[] = RECORD ("WGOOD", "DT", "14", "1. kW", "50.", "78", "44", "W");
  static const char repack[]
    = "FacID,Site,Call,Ch,PC,City,St,Lat,Lon,RCAMSL,HAAT,ERP,DA,AntID,Az\n"
      "78,,WGOOD,99,14,T,ME,442110,714413,744,390,65,ND,,\n"
      "78,,WGOOD,20,14,T,ME,996110,714413,744,390,65,ND,,\n"
      "78,,WGOOD,20,14,T,ME,442110,714413,744,390,-5,ND,,\n"
      "78,,WGOOD,20,15,T,ME,442110,714413,744,390,65,ND,,\n";
  DwnInput inputs[] = { text_input ("list.txt", record), text_input ("repack.csv", repack) };
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 2, inputs, NULL,
                                                    &everywhere, NULL, NULL, NULL, NULL);

  /* The last row's old channel is another: it must not touch the licence. */
  g_assert_cmpstr (import->stations->station[0].rf, ==, "14");
  g_assert_cmpuint (import->n_skipped, ==, 3);
  assert_says (find_skip (import, 2)->text, "Ch \"99\"");
  assert_says (find_skip (import, 3)->text, "Lat \"996110\"");
  assert_says (find_skip (import, 4)->text, "ERP \"-5\"");
  g_assert_cmpuint (warning_count (import, DWN_IMPORT_WARNING_UNMATCHED), ==, 1);
  clear_inputs (inputs, 2);

  DwnInput short_ones[] = { text_input ("list.txt", record),
                            text_input ("repack.csv", "FacID,Site,Call,Ch\n1,,W,2\n") };
  g_autoptr (GError) error = NULL;
  g_assert_null (dwn_import_inputs (DWN_IMPORT_LICENCE_TEXT, 2, short_ones, NULL, &everywhere, NULL,
                                    NULL, NULL, &error));
  g_assert_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN);
  assert_says (error->message, "repack.csv:1: the column PC is missing");
  clear_inputs (short_ones, 2);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (place_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/licence-text/place/%s", place_cases[i].name);
      g_test_add_data_func (path, &place_cases[i], test_place);
    }
  g_test_add_func ("/licence-text/figures", test_figures);
  g_test_add_func ("/licence-text/counts", test_counts);
  g_test_add_func ("/licence-text/rules", test_rules);
  g_test_add_func ("/licence-text/kinds-and-ids", test_kinds_and_ids);
  g_test_add_func ("/licence-text/services", test_services);
  g_test_add_func ("/licence-text/warnings", test_warnings);
  g_test_add_func ("/licence-text/within", test_within);
  g_test_add_func ("/licence-text/repack", test_repack);
  g_test_add_func ("/licence-text/repack-networks", test_repack_networks);
  g_test_add_func ("/licence-text/patterns", test_patterns);
  g_test_add_func ("/licence-text/rotation-is-not-applied", test_rotation_is_not_applied);
  g_test_add_func ("/licence-text/cancelled", test_cancelled);
  g_test_add_func ("/licence-text/progress-and-duplicates", test_progress_and_duplicates);
  for (guint i = 0; i < G_N_ELEMENTS (bad_records); i++)
    {
      g_autofree char *path = g_strdup_printf ("/licence-text/lists/%s", bad_records[i].name);
      g_test_add_data_func (path, &bad_records[i], test_bad_record);
    }
  g_test_add_func ("/licence-text/refusals", test_refusals);
  g_test_add_func ("/licence-text/hopeless-file", test_hopeless_file);
  g_test_add_func ("/licence-text/facility-excess", test_facility_excess);
  g_test_add_func ("/licence-text/forgives", test_forgives);
  g_test_add_func ("/licence-text/broken-tables", test_broken_tables);
  return g_test_run ();
}
