/* CSV through a mapping. Records are invented; expected figures are those written into them, in
 * other units where the mapping says so (1 ft = 0.3048 m; 30 dBW = 1 kW; an isotrope against a
 * half-wave dipole 2.15 dB). */
#include "import-test.h"

#include "core/plan/import-map.h"

static DwnImport *
import_csv (const char *map_text, const char *csv_text, const DwnImportOptions *options,
            GError **error)
{
  DwnInput inputs[] = { text_input ("list.csv", csv_text), text_input ("map.txt", map_text) };
  DwnImport *import = dwn_import_inputs (DWN_IMPORT_CSV, 1, inputs, &inputs[1], options, NULL, NULL,
                                         NULL, error);

  clear_inputs (inputs, 2);
  return import;
}

static const DwnImportOptions everywhere = { .today = "2024-06-01" };

static const char plain_map[]
  = "# invented\n[columns]\nname = Name\nrf = RF\nlat = Lat\nlon = Lon\nerp-kw = ERP\n"
    "id = Id\nhaat-m = HAAT\nservice = Service\non-screen = Screen\n";
#define PLAIN_HEADER "Id,Name,RF,Lat,Lon,ERP,HAAT,Service,Screen\n"

static void
test_plain (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import
    = import_csv (plain_map, PLAIN_HEADER "b-14,\"Birch, Hill\",14,44.5,-71.5,50,200,news,7.1\n",
                  &everywhere, &error);

  g_assert_no_error (error);
  const DwnStation *station = find_station (import, "b-14");
  g_assert_cmpstr (station->name, ==, "Birch, Hill");
  g_assert_cmpint (station->system, ==, DWN_SYSTEM_ATSC1);
  g_assert_cmpfloat (station->mhz, ==, 473);
  g_assert_cmpfloat (station->at.lat_deg, ==, 44.5);
  g_assert_cmpfloat (station->at.lon_deg, ==, -71.5);
  g_assert_cmpfloat (station->erp_kw, ==, 50);
  g_assert_cmpfloat (station->haat_m, ==, 200);
  g_assert_true (isnan (station->agl_m));
  g_assert_cmpuint (station->line, ==, 2);
  g_assert_cmpstr (station->services[0], ==, "news");
  g_assert_cmpstr (dwn_station_on_screen (station, import->services), ==, "7.1");
}

static void
test_decimal_comma_units_and_words (void)
{
  static const char map[]
    = "[file]\r\nseparator = semicolon\r\ndecimal = comma\r\nheader = 2\r\n"
      "[columns]\r\nname = Sender\r\nmhz = Frequenz\r\nlat = Breite\r\nlon = Länge\r\n"
      "erp-w = ERP W\r\nhaat-ft = Höhe\r\npolarisation = Pol\r\nkind = Art\r\ndelay-us = Verz\r\n"
      "dated = Stand\r\n"
      "[fixed]\r\nsystem = dvbt2-8\r\nnetwork = nord\r\n"
      "[words]\r\npolarisation.waagerecht = h\r\npolarisation.Senkrecht = v\r\n"
      "kind.Füller = fill-in\r\n";
  static const char csv[]
    = "Liste der Sender;;;\r\n"
      "Sender;Frequenz;Breite;Länge;ERP W;Höhe;Pol;Art;Verz;Stand\r\n"
      "Hoher Stein;578;50,25;11°30'0\" E;20000;1000;waagerecht;;-12,5;2024-05-01\r\n"
      "Tal;578;50,30;11,6;50,5;;SENKRECHT;füller;;2023-01-01\r\n";
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = import_csv (map, csv, &everywhere, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->n_skipped, ==, 0);
  const DwnStation *hill = find_station (import, "Hoher-Stein-34");
  const DwnStation *valley = find_station (import, "Tal-34");
  g_assert_cmpint (hill->system, ==, DWN_SYSTEM_DVBT2_8);
  g_assert_cmpfloat (hill->mhz, ==, 578);
  g_assert_cmpfloat (hill->erp_kw, ==, 20);
  g_assert_cmpfloat_with_epsilon (hill->haat_m, 304.8, 1e-9);
  g_assert_cmpfloat (hill->at.lon_deg, ==, 11.5);
  g_assert_cmpfloat (hill->delay_us, ==, -12.5);
  g_assert_cmpint (hill->polarisation, ==, DWN_POLARISATION_HORIZONTAL);
  g_assert_cmpint (valley->polarisation, ==, DWN_POLARISATION_VERTICAL);
  g_assert_cmpint (valley->kind, ==, DWN_STATION_FILL_IN);
  g_assert_cmpfloat_with_epsilon (valley->erp_kw, 0.0505, 1e-12);
  g_assert_true (hill->network == valley->network);
  g_assert_cmpstr (import->stations->dated, ==, "2024-05-01");
}

typedef struct {
  const char *name, *column, *figure;
  double erp_kw;
} PowerCase;

static const PowerCase power_cases[] = {
  { "kw", "erp-kw", "2.5", 2.5 },       { "w", "erp-w", "2500", 2.5 },
  { "dbw", "erp-dbw", "30", 1 },        { "dbk", "erp-dbk", "20", 100 },
  { "eirp-kw", "eirp-kw", "1", 0.6095 }, /* 10^(−0.215) = 0.60954 */
  { "eirp-dbw", "eirp-dbw", "32.15", 1 },
};

static void
test_power (gconstpointer data)
{
  const PowerCase *test = data;
  g_autofree char *map = g_strdup_printf ("[columns]\nname = #1\nrf = #2\nlat = #3\nlon = #4\n"
                                          "%s = #5\n[file]\nheader = 0\n", test->column);
  g_autofree char *csv = g_strdup_printf ("A\t14\t44\t-71\t%s\n", test->figure);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = import_csv (map, csv, &everywhere, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (import->stations->station[0].erp_kw, test->erp_kw, 1e-4);
}

typedef struct {
  const char *name, *record;
  DwnSkipReason reason;
  const char *says;
} BadRecord;

static const BadRecord bad_records[] = {
  { "latitude-95", "x,X,14,95,-71,1,,,", DWN_SKIP_FIELD, "latitude 95 is outside -90 to 90" },
  { "latitude-east", "x,X,14,44 E,-71,1,,,", DWN_SKIP_FIELD, "lat \"44 E\" is not an angle" },
  { "longitude-nan", "x,X,14,44,nan,1,,,", DWN_SKIP_FIELD, "lon \"nan\" is not an angle" },
  { "no-latitude", "x,X,14,,-71,1,,,", DWN_SKIP_FIELD, "lat is missing" },
  { "channel-70", "x,X,70,44,-71,1,,,", DWN_SKIP_FIELD, "70" },
  { "on-screen-number-as-channel", "x,X,7.1,44,-71,1,,,", DWN_SKIP_FIELD, "7.1" },
  { "negative-power", "x,X,14,44,-71,-1,,,", DWN_SKIP_FIELD, "ERP -1 kW is outside 0 to 20000" },
  { "watts-for-kilowatts", "x,X,14,44,-71,50000,,,", DWN_SKIP_FIELD,
    "ERP 50000 kW is outside 0 to 20000; are the columns of the right unit" },
  { "power-1e308", "x,X,14,44,-71,1e308,,,", DWN_SKIP_FIELD, "ERP 1e+308 kW is outside" },
  { "power-with-unit", "x,X,14,44,-71,50 kW,,,", DWN_SKIP_FIELD,
    "erp-kw \"50 kW\" is not a number" },
  { "power-comma", "x,X,14,44,-71,\"1,5\",,,", DWN_SKIP_FIELD,
    "with a decimal point, would be right" },
  { "no-power", "x,X,14,44,-71,,,,", DWN_SKIP_POWER, "its ERP would be needed" },
  { "zero-power", "x,X,14,44,-71,0,,,", DWN_SKIP_POWER, "its ERP would be needed" },
  { "haat-1e9", "x,X,14,44,-71,1,1e9,,", DWN_SKIP_FIELD, "height above average terrain 1e+09" },
  { "no-name", "x,,14,44,-71,1,,,", DWN_SKIP_FIELD, "the name is missing" },
  { "bad-id", "a b,X,14,44,-71,1,,,", DWN_SKIP_FIELD, "the id \"a b\" is not made of" },
  { "duplicate-id", "good,X,14,44,-71,1,,,", DWN_SKIP_DUPLICATE, "the id good is taken" },
  { "short", "x,X,14", DWN_SKIP_FIELD, "lat is missing" },
};

static void
test_bad_record (gconstpointer data)
{
  const BadRecord *bad = data;
  g_autofree char *csv = g_strconcat (PLAIN_HEADER "good,Good,14,44,-71,1,,,\n", bad->record, "\n",
                                      NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = import_csv (plain_map, csv, &everywhere, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->stations->n, ==, 1);
  g_assert_cmpuint (import->n_skipped, ==, 1);
  g_assert_cmpuint (import->skipped[0].line, ==, 3);
  g_assert_cmpint (import->skipped[0].reason, ==, bad->reason);
  assert_says (import->skipped[0].text, bad->says);
}

typedef struct {
  const char *name, *map, *says;
} BadMap;

#define NEEDED "[columns]\nname=Name\nrf=RF\nlat=Lat\nlon=Lon\n"
static const BadMap bad_maps[] = {
  { "field", NEEDED "heigth-m = HAAT\n",
    "map.txt:6: there is no field \"heigth-m\"; there are id name" },
  { "twice", NEEDED "rf = Id\n", "map.txt:6: rf stands in line 3 already" },
  { "section", "[colums]\n", "map.txt:1: unknown heading \"[colums]\"" },
  { "no-section", "name = Name\n", "map.txt:1: \"name = Name\" is not \"key = value\" under" },
  { "no-equals", NEEDED "erp\n", "map.txt:6: \"erp\" is not \"key = value\"" },
  { "no-value", NEEDED "erp-kw =\n", "map.txt:6: erp-kw has no value" },
  { "no-power", NEEDED, "map.txt:5: no column for erp-kw ... eirp-dbw" },
  { "no-place", "[columns]\nname=Name\nrf=RF\nerp-kw=ERP\n", "no columns for lat and lon" },
  { "column", NEEDED "erp-kw = Power\n",
    "map.txt:6: the file has no column \"Power\"; its columns are Id, Name" },
  { "separator", "[file]\nseparator = colon\n",
    "map.txt:2: \"separator = colon\" is not known here" },
  { "header", "[file]\nheader = -1\n", "map.txt:2: header \"-1\" is not a whole number" },
  { "word", NEEDED "[words]\nhorizontal = h\n",
    "map.txt:7: \"horizontal\" is not a field, a point" },
  { "word-field", NEEDED "[words]\npol.horizontal = h\n", "map.txt:7: there is no field \"pol\"" },
  { "empty", "", "map.txt:1: no column for name" },
};

static void
test_bad_map (gconstpointer data)
{
  const BadMap *bad = data;
  g_autoptr (GError) error = NULL;

  g_assert_null (import_csv (bad->map, PLAIN_HEADER "a,A,14,44,-71,1,,,\n", &everywhere, &error));
  g_assert_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_MAP);
  assert_says (error->message, bad->says);
}

static void
test_refusals (void)
{
  g_autoptr (GError) no_map = NULL, empty = NULL, no_record = NULL, hopeless = NULL;
  g_autoptr (GString) other = g_string_new (PLAIN_HEADER);
  DwnInput input = text_input ("list.csv", PLAIN_HEADER);

  g_assert_null (dwn_import_inputs (DWN_IMPORT_CSV, 1, &input, NULL, &everywhere, NULL, NULL, NULL,
                                    &no_map));
  g_bytes_unref (input.bytes);
  g_assert_error (no_map, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_MAP);
  g_assert_null (import_csv (plain_map, "", &everywhere, &empty));
  g_assert_error (empty, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY);
  g_assert_null (import_csv (plain_map, PLAIN_HEADER, &everywhere, &no_record));
  g_assert_error (no_record, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY);

  for (guint i = 0; i < 5000; i++)
    g_string_append (other, "a,b,c,d,e,f,g,h,i\n");
  g_assert_null (import_csv (plain_map, other->str, &everywhere, &hopeless));
  g_assert_error (hopeless, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT);
  assert_says (hopeless->message, "list.csv:2: ");
  assert_says (hopeless->message, "is it the right mapping?");
}

/* Ids made of facts: two stations of one name and channel are told apart by their place. */
static void
test_made_ids (void)
{
  static const char map[] = NEEDED "erp-kw = ERP\n";
  static const char csv[] = PLAIN_HEADER ",K\303\266nig & Co.,14,44.5,-71.5,1,,,\n"
                                         ",K\303\266nig & Co.,14,44,-71,1,,,\n"
                                         ",K\303\266nig & Co.,14,44,-71,1,,,\n";
  g_autoptr (DwnImport) import = import_csv (map, csv, &everywhere, NULL);

  g_assert_cmpuint (import->stations->n, ==, 2);
  g_assert_nonnull (find_station (import, "Konig-Co.-14"));
  g_assert_nonnull (find_station (import, "Konig-Co.-14-2640N4260W"));
  g_assert_cmpint (find_skip (import, 4)->reason, ==, DWN_SKIP_DUPLICATE);
}

/* The shift moves a place in New Hampshire 45 m to the east (the check value of the open data:
 * WLED-TV 8.922 km without and 8.901 km with it). */
static void
test_datum_and_radius (void)
{
  static const char csv[] = PLAIN_HEADER "wled,WLED-TV,48,44 21 9.80,-71 44 14.70,108,,,\n"
                                         "far,Far,48,40,-71,108,,,\n";
  DwnImportOptions options = { .datum = DWN_DATUM_NAD27, .has_near = TRUE, .near = house,
                               .within_km = 8.91, .today = "2024-06-01" };
  g_autoptr (DwnImport) shifted = import_csv (plain_map, csv, &options, NULL);

  options.datum = DWN_DATUM_WGS84;
  g_autoptr (DwnImport) raw = import_csv (plain_map, csv, &options, NULL);
  g_assert_cmpuint (shifted->stations->n, ==, 1);
  g_assert_cmpuint (shifted->n_beyond, ==, 1);
  g_assert_cmpuint (raw->stations->n, ==, 0);
  g_assert_cmpuint (raw->n_beyond, ==, 2);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/csv-import/plain", test_plain);
  g_test_add_func ("/csv-import/decimal-comma-units-words", test_decimal_comma_units_and_words);
  for (guint i = 0; i < G_N_ELEMENTS (power_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/csv-import/power/%s", power_cases[i].name);
      g_test_add_data_func (path, &power_cases[i], test_power);
    }
  for (guint i = 0; i < G_N_ELEMENTS (bad_records); i++)
    {
      g_autofree char *path = g_strdup_printf ("/csv-import/lists/%s", bad_records[i].name);
      g_test_add_data_func (path, &bad_records[i], test_bad_record);
    }
  for (guint i = 0; i < G_N_ELEMENTS (bad_maps); i++)
    {
      g_autofree char *path = g_strdup_printf ("/csv-import/bad-map/%s", bad_maps[i].name);
      g_test_add_data_func (path, &bad_maps[i], test_bad_map);
    }
  g_test_add_func ("/csv-import/refusals", test_refusals);
  g_test_add_func ("/csv-import/made-ids", test_made_ids);
  g_test_add_func ("/csv-import/datum-and-radius", test_datum_and_radius);
  return g_test_run ();
}
