/* Our own station list: what is written is read back, follows its schema, and what is wrong is
 * refused with its line. */
#include "core/plan/station-list.h"

#include <glib/gstdio.h>
#include <libxml/relaxng.h>
#include <math.h>

#include "core/plan/document-error.h"
#include "import-test.h"

static DwnStations *
sample_stations (void)
{
  static const char *const both[] = { "news", "films" };
  static const double azimuth_deg[] = { 0, 90, 180, 270 }, field[] = { 1, 0.3, 0.1, 0.7 };
  g_autoptr (DwnPattern) pattern
    = dwn_pattern_new_relative_field ("panel", 4, azimuth_deg, field, 45, "invented", NULL);
  const double unknown = (double) NAN;
  const DwnStation stations[] = {
    { .id = "birch-14", .name = "Birch & \"Hill\" <1>", .site = "Birch",
      .kind = DWN_STATION_MAIN, .system = DWN_SYSTEM_ATSC3, .mode = "64qam-9/15", .rf = "14",
      .mhz = 473, .band = DWN_BAND_UHF, .at = { 44.123456789012345, -71.1 },
      .erp_kw = 0.1 + 0.2, .haat_m = 1.0 / 3, .agl_m = 30, .amsl_m = unknown,
      .polarisation = DWN_POLARISATION_CIRCULAR, .pattern = pattern, .network = "north",
      .delay_us = -12.5, .n_services = 2, .services = both, .line = 7 },
    { .id = "tal-9A", .name = "Täl", .site = "", .kind = DWN_STATION_FILL_IN,
      .system = DWN_SYSTEM_DVBT7, .rf = "9A", .mhz = 205.5, .band = DWN_BAND_HIGH_VHF,
      .at = { -33, 151 }, .erp_kw = 2, .haat_m = unknown, .agl_m = unknown, .amsl_m = unknown },
  };
  DwnChannel channel;

  g_assert_true (dwn_channel_find (DWN_SYSTEM_DVBT7, "9A", &channel, NULL));
  g_assert_cmpfloat (channel.centre_mhz, ==, 205.5);
  return dwn_stations_new (2, stations, "list.txt", "2024-05-01");
}

static DwnServices *
sample_services (void)
{
  const DwnService services[] = { { "news", "News & more", "7.1", DWN_WANTED_MUST },
                                  { "films", "Films", "", DWN_WANTED_LIKE } };

  return dwn_services_new (2, services);
}

static void
assert_same_figure (double a, double b)
{
  g_assert_true ((isnan (a) && isnan (b)) || a == b);
}

static void
assert_same_station (const DwnStation *a, const DwnStation *b)
{
  g_assert_true (a->id == b->id && a->name == b->name && a->site == b->site && a->rf == b->rf);
  g_assert_true (a->mode == b->mode && a->network == b->network && a->line == b->line);
  g_assert_true (a->kind == b->kind && a->system == b->system && a->band == b->band);
  g_assert_true (a->polarisation == b->polarisation);
  assert_same_figure (a->mhz, b->mhz);
  assert_same_figure (a->at.lat_deg, b->at.lat_deg);
  assert_same_figure (a->at.lon_deg, b->at.lon_deg);
  assert_same_figure (a->erp_kw, b->erp_kw);
  assert_same_figure (a->haat_m, b->haat_m);
  assert_same_figure (a->agl_m, b->agl_m);
  assert_same_figure (a->amsl_m, b->amsl_m);
  assert_same_figure (a->delay_us, b->delay_us);
  g_assert_cmpuint (a->n_services, ==, b->n_services);
  for (guint i = 0; i < a->n_services; i++)
    g_assert_true (a->services[i] == b->services[i]);
  g_assert_true ((a->pattern == NULL) == (b->pattern == NULL));
  for (guint azimuth = 0; azimuth < 360 && a->pattern != NULL; azimuth++)
    assert_same_figure (dwn_pattern_gain_dbi (a->pattern, azimuth, a->mhz),
                        dwn_pattern_gain_dbi (b->pattern, azimuth, b->mhz));
}

static void
test_round_trip (void)
{
  g_autoptr (DwnStations) stations = sample_stations (), back = NULL;
  g_autoptr (DwnServices) services = sample_services (), back_services = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *path = g_build_filename (g_get_tmp_dir (), "downlead-list-XXXXXX", NULL);
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);

  g_close (g_mkstemp (path), NULL);
  g_assert_true (dwn_station_list_save (path, stations, services, &error));
  g_assert_no_error (error);
  g_assert_true (dwn_station_list_load (path, &back, &back_services, warnings, &error));
  g_assert_no_error (error);
  g_unlink (path);
  g_assert_cmpuint (warnings->len, ==, 0);
  g_assert_cmpuint (back->n, ==, 2);
  for (guint i = 0; i < 2; i++)
    {
      assert_same_station (&stations->station[i], &back->station[i]);
      g_assert_true (services->service[i].id == back_services->service[i].id);
      g_assert_true (services->service[i].name == back_services->service[i].name);
      g_assert_true (services->service[i].on_screen == back_services->service[i].on_screen);
      g_assert_cmpint (services->service[i].wanted, ==, back_services->service[i].wanted);
    }
  g_assert_true (back->source == stations->source);
  g_assert_true (back->dated == stations->dated);
}

static void
test_same_bytes (void)
{
  g_autoptr (DwnStations) stations = sample_stations (), back = NULL;
  g_autoptr (DwnServices) services = sample_services (), back_services = NULL;
  g_autoptr (GBytes) once = dwn_station_list_format (stations, services);

  g_assert_true (dwn_station_list_parse (once, "list.xml", &back, &back_services, NULL, NULL));
  g_autoptr (GBytes) again = dwn_station_list_format (back, back_services);
  g_assert_true (g_bytes_equal (once, again));
}

static void
be_silent_cb (void *user_data, const char *format, ...)
{
}

static void
test_schema (void)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "..", "data", "stations.rng", NULL);
  g_autoptr (DwnStations) stations = sample_stations ();
  g_autoptr (DwnServices) services = sample_services ();
  g_autoptr (GBytes) bytes = dwn_station_list_format (stations, services);
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  xmlRelaxNGParserCtxt *parser = xmlRelaxNGNewParserCtxt (path);
  xmlRelaxNG *schema = xmlRelaxNGParse (parser);
  xmlRelaxNGValidCtxt *validator = xmlRelaxNGNewValidCtxt (schema);
  xmlDoc *doc = xmlReadMemory (text, (int) size, NULL, NULL, XML_PARSE_NONET);

  g_assert_nonnull (schema);
  g_assert_cmpint (xmlRelaxNGValidateDoc (validator, doc), ==, 0);
  xmlSetProp (xmlDocGetRootElement (doc), (const xmlChar *) "version", (const xmlChar *) "two");
  xmlRelaxNGSetValidErrors (validator, be_silent_cb, be_silent_cb, NULL);
  g_assert_cmpint (xmlRelaxNGValidateDoc (validator, doc), >, 0);
  xmlFreeDoc (doc);
  xmlRelaxNGFreeValidCtxt (validator);
  xmlRelaxNGFree (schema);
  xmlRelaxNGFreeParserCtxt (parser);
}

#define LIST(version, rest)                                                                        \
  "<?xml version=\"1.0\"?>\n<stations version=\"" version "\">\n" rest "</stations>\n"
#define STATION(id, rf, lat, lon, erp, more)                                                       \
  "<station id=\"" id "\" name=\"A\" system=\"atsc1\" rf=\"" rf "\" lat=\"" lat "\" lon=\"" lon   \
  "\" erp-kw=\"" erp "\" " more "/>\n"

typedef struct {
  const char *name, *text;
  DwnDocumentError code;
  const char *says;
} BadList;

static const BadList bad_lists[] = {
  { "empty", "", DWN_DOCUMENT_ERROR_SYNTAX, "list.xml:1: the file is empty" },
  { "text", "|WLED-TV |\n", DWN_DOCUMENT_ERROR_SYNTAX, "list.xml:1: not well-formed XML" },
  { "truncated", "<stations version=\"1.0\">\n<station id=\"a\"", DWN_DOCUMENT_ERROR_SYNTAX,
    "list.xml:2: " },
  { "root", "<downlead version=\"1.0\"/>", DWN_DOCUMENT_ERROR_SYNTAX, "<stations> was expected" },
  { "no-version", "<stations/>", DWN_DOCUMENT_ERROR_MISSING,
    "list.xml:1: <stations> has no version=\"1.0\"" },
  { "version-2", LIST ("2.0", ""), DWN_DOCUMENT_ERROR_VERSION,
    "list.xml:2: the list is of version 2.0" },
  { "latitude-95", LIST ("1.0", STATION ("a", "14", "95", "-71", "1", "")),
    DWN_DOCUMENT_ERROR_RANGE, "list.xml:3: lat=\"95\" of <station> is outside -90 to 90" },
  { "longitude-comma", LIST ("1.0", STATION ("a", "14", "44", "-71,5", "1", "")),
    DWN_DOCUMENT_ERROR_RANGE, "list.xml:3: lon=\"-71,5\" of <station> is not a number" },
  { "power-negative", LIST ("1.0", STATION ("a", "14", "44", "-71", "-1", "")),
    DWN_DOCUMENT_ERROR_RANGE, "list.xml:3: erp-kw=\"-1\"" },
  { "power-1e308", LIST ("1.0", STATION ("a", "14", "44", "-71", "1e308", "")),
    DWN_DOCUMENT_ERROR_RANGE, "list.xml:3: erp-kw=\"1e308\"" },
  { "power-nan", LIST ("1.0", STATION ("a", "14", "44", "-71", "NaN", "")),
    DWN_DOCUMENT_ERROR_RANGE, "list.xml:3: erp-kw=\"NaN\" of <station> is not a number" },
  { "channel", LIST ("1.0", STATION ("a", "70", "44", "-71", "1", "")), DWN_DOCUMENT_ERROR_RANGE,
    "list.xml:3: " },
  { "missing", LIST ("1.0", "<station id=\"a\" name=\"A\"/>\n"), DWN_DOCUMENT_ERROR_MISSING,
    "list.xml:3: <station> has no attribute system" },
  { "id", LIST ("1.0", STATION ("a b", "14", "44", "-71", "1", "")), DWN_DOCUMENT_ERROR_RANGE,
    "list.xml:3: the id \"a b\"" },
  { "same-id",
    LIST ("1.0",
          STATION ("a", "14", "44", "-71", "1", "") STATION ("a", "15", "44", "-71", "1", "")),
    DWN_DOCUMENT_ERROR_REFERENCE, "list.xml:4: a second <station> has the id \"a\"" },
  { "same-service", LIST ("1.0", "<service id=\"n\"/>\n<service id=\"n\"/>\n"),
    DWN_DOCUMENT_ERROR_REFERENCE, "list.xml:4: a second <service> has the id \"n\"" },
  { "unknown-service",
    LIST ("1.0", STATION ("b", "15", "44", "-71", "1", "")
                     STATION ("a", "14", "44", "-71", "1", "services=\"n\"")),
    DWN_DOCUMENT_ERROR_REFERENCE,
    "list.xml:4: the station names a service \"n\" that no <service>" },
};

static void
test_refuses (gconstpointer data)
{
  const BadList *bad = data;
  g_autoptr (GBytes) bytes = g_bytes_new_static (bad->text, strlen (bad->text));
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_station_list_parse (bytes, "list.xml", &stations, &services, NULL, &error));
  g_assert_error (error, DWN_DOCUMENT_ERROR, (int) bad->code);
  assert_says (error->message, bad->says);
}

/* Small enough as files, too much as trees. */
static void
test_refuses_excess (void)
{
  g_autoptr (GString) tags = g_string_new ("<stations version=\"1.0\">\n");
  g_autoptr (GString) attributes = g_string_new ("<stations version=\"1.0\"");

  for (guint i = 0; i < 600000; i++)
    g_string_append (tags, "<x></x>");
  for (guint i = 0; i < 200000; i++)
    g_string_append_printf (attributes, " a%u=\"\"", i);
  g_string_append (tags, "</stations>");
  g_string_append (attributes, "/>");
  const BadList excess[] = {
    { "tags", tags->str, DWN_DOCUMENT_ERROR_SYNTAX, "list.xml:2: more than 1000000 tags" },
    { "attributes", attributes->str, DWN_DOCUMENT_ERROR_SYNTAX, "or than 1000 attributes of one" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (excess); i++)
    test_refuses (&excess[i]);
}

static void
test_passes_over (void)
{
  static const char text[] = LIST ("1.7", "<!-- by hand -->\n<weather/>\n"
                                   STATION ("a", "14", "44", "-71", "1", "colour=\"red\""));
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;

  g_assert_true (dwn_station_list_parse (bytes, "list.xml", &stations, &services, warnings, NULL));
  g_assert_cmpuint (stations->n, ==, 1);
  g_assert_cmpuint (warnings->len, ==, 2);
  assert_says (g_ptr_array_index (warnings, 0), "list.xml:4: <weather> is not known here");
  assert_says (g_ptr_array_index (warnings, 1), "list.xml:5: <station> has an attribute colour");
}

static void
test_as_import (void)
{
  g_autoptr (DwnStations) stations = sample_stations ();
  g_autoptr (DwnServices) services = sample_services ();
  const DwnImportOptions options = { .has_near = TRUE, .near = { 44, -71 }, .within_km = 100,
                                     .today = "2024-06-01" };
  DwnInput input = { "list.xml", dwn_station_list_format (stations, services) };
  DwnInput twice[] = { input, input };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_STATIONS, 1, &input, NULL, &options,
                                                    NULL, NULL, NULL, &error);
  g_autoptr (DwnImport) doubled = dwn_import_inputs (DWN_IMPORT_STATIONS, 2, twice, NULL, &options,
                                                     NULL, NULL, NULL, &error);

  g_assert_no_error (error);
  g_bytes_unref (input.bytes);
  g_assert_cmpuint (import->stations->n, ==, 1);
  g_assert_cmpuint (import->n_beyond, ==, 1);
  g_assert_cmpuint (import->services->n, ==, 2);
  g_assert_cmpint (import->services->service[0].wanted, ==, DWN_WANTED_MUST);
  assert_same_station (&stations->station[0], &import->stations->station[0]);
  g_assert_cmpuint (doubled->stations->n, ==, 1);
  g_assert_cmpint (doubled->skipped[0].reason, ==, DWN_SKIP_DUPLICATE);
}

static void
test_cannot_save (void)
{
  g_autoptr (DwnStations) stations = sample_stations ();
  g_autoptr (DwnServices) services = sample_services ();
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_station_list_save ("/nowhere/list.xml", stations, services, &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
  assert_says (error->message, "/nowhere/list.xml");
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/station-list/round-trip", test_round_trip);
  g_test_add_func ("/station-list/same-bytes", test_same_bytes);
  g_test_add_func ("/station-list/schema", test_schema);
  for (guint i = 0; i < G_N_ELEMENTS (bad_lists); i++)
    {
      g_autofree char *path = g_strdup_printf ("/station-list/refuses/%s", bad_lists[i].name);
      g_test_add_data_func (path, &bad_lists[i], test_refuses);
    }
  g_test_add_func ("/station-list/refuses-excess", test_refuses_excess);
  g_test_add_func ("/station-list/passes-over", test_passes_over);
  g_test_add_func ("/station-list/as-import", test_as_import);
  g_test_add_func ("/station-list/cannot-save", test_cannot_save);
  return g_test_run ();
}
