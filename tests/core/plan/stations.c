/* Containers of stations and services: what is copied, found, put in and taken away. */
#include "core/plan/stations.h"

#include <math.h>

static DwnStation
sample_station (const char *id, const char *const *services, guint n_services)
{
  return (DwnStation) {
    .id = id, .name = "Birch Hill", .site = "birch", .kind = DWN_STATION_MAIN,
    .system = DWN_SYSTEM_ATSC1, .rf = "14", .mhz = 473, .band = DWN_BAND_UHF,
    .at = { 44.5, -71.5 }, .erp_kw = 50, .haat_m = 200, .agl_m = (double) NAN,
    .amsl_m = (double) NAN, .n_services = n_services, .services = services,
  };
}

static void
test_copies (void)
{
  char id[] = "birch-14", service[] = "birch-news";
  const char *services[] = { service };
  DwnStation station = sample_station (id, services, 1);
  g_autoptr (DwnStations) list = dwn_stations_new (1, &station, "list.xml", "2024-05-01");

  id[0] = service[0] = 'X';
  g_assert_cmpuint (list->n, ==, 1);
  g_assert_cmpstr (list->station[0].id, ==, "birch-14");
  g_assert_cmpstr (list->station[0].services[0], ==, "birch-news");
  g_assert_true (list->station[0].id == g_intern_string ("birch-14"));
  g_assert_cmpstr (list->station[0].site, ==, "birch");
  g_assert_cmpstr (list->source, ==, "list.xml");
  g_assert_cmpstr (list->dated, ==, "2024-05-01");
}

static void
test_holds_patterns (void)
{
  const double azimuth_deg[] = { 0, 90, 180, 270 }, field[] = { 1, 0.5, 0.1, 0.5 };
  DwnStation station = sample_station ("a", NULL, 0);
  station.pattern = dwn_pattern_new_relative_field ("p", 4, azimuth_deg, field, 0, "test", NULL);
  DwnStations *list = dwn_stations_new (1, &station, NULL, NULL);

  dwn_pattern_unref ((DwnPattern *) station.pattern);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (list->station[0].pattern, 90, 473),
                                  20 * log10 (0.5), 1e-9);
  dwn_stations_unref (list);
}

static void
test_finds (void)
{
  DwnStation two[] = { sample_station ("a", NULL, 0), sample_station ("b", NULL, 0) };
  g_autoptr (DwnStations) list = dwn_stations_new (2, two, NULL, NULL);

  g_assert_cmpint (dwn_stations_find (list, "a"), ==, 0);
  g_assert_cmpint (dwn_stations_find (list, "b"), ==, 1);
  g_assert_cmpint (dwn_stations_find (list, "c"), ==, -1);
}

static void
test_edits (void)
{
  DwnStation two[] = { sample_station ("a", NULL, 0), sample_station ("b", NULL, 0) };
  g_autoptr (DwnStations) list = dwn_stations_new (2, two, "list.xml", NULL);
  DwnStation changed = sample_station ("a", NULL, 0), added = sample_station ("c", NULL, 0);
  changed.erp_kw = 7;

  g_autoptr (DwnStations) put = dwn_stations_with (list, &changed);
  g_autoptr (DwnStations) more = dwn_stations_with (put, &added);
  g_autoptr (DwnStations) less = dwn_stations_without (more, "b");
  g_autoptr (DwnStations) same = dwn_stations_without (less, "nobody");

  g_assert_cmpfloat (list->station[0].erp_kw, ==, 50);
  g_assert_cmpfloat (put->station[0].erp_kw, ==, 7);
  g_assert_cmpuint (put->n, ==, 2);
  g_assert_cmpuint (more->n, ==, 3);
  g_assert_cmpuint (less->n, ==, 2);
  g_assert_cmpint (dwn_stations_find (less, "b"), ==, -1);
  g_assert_cmpint (dwn_stations_find (less, "c"), ==, 1);
  g_assert_cmpstr (less->source, ==, "list.xml");
  g_assert_true (same == less);
}

static void
test_services (void)
{
  const DwnService services[] = {
    { "news", "News", "7.1", DWN_WANTED_MUST },
    { "films", "Films", NULL, DWN_WANTED_LIKE },
  };
  const char *const both[] = { "films", "news" }, *const one[] = { "films" };
  DwnStation all = sample_station ("a", both, 2), few = sample_station ("b", one, 1);
  DwnStation none = sample_station ("c", NULL, 0);
  g_autoptr (DwnServices) list = dwn_services_new (2, services);

  g_assert_cmpint (dwn_station_wanted (&all, list), ==, DWN_WANTED_MUST);
  g_assert_cmpint (dwn_station_wanted (&few, list), ==, DWN_WANTED_LIKE);
  g_assert_cmpint (dwn_station_wanted (&none, list), ==, DWN_WANTED_NO);
  g_assert_cmpstr (dwn_station_on_screen (&all, list), ==, "7.1");
  g_assert_cmpstr (dwn_station_on_screen (&few, list), ==, "");

  DwnService unmarked = services[0];
  unmarked.wanted = DWN_WANTED_NO;
  g_autoptr (DwnServices) changed = dwn_services_with (list, &unmarked);
  g_autoptr (DwnServices) gone = dwn_services_without (changed, "films");
  g_assert_cmpint (dwn_station_wanted (&all, changed), ==, DWN_WANTED_LIKE);
  g_assert_cmpint (dwn_station_wanted (&all, gone), ==, DWN_WANTED_NO);
  g_assert_cmpuint (gone->n, ==, 1);
  g_assert_cmpint (dwn_services_find (gone, "news"), ==, 0);
}

static void
test_words (void)
{
  for (guint i = DWN_STATION_MAIN; i <= DWN_STATION_DISTRIBUTED; i++)
    {
      DwnStationKind kind;

      g_assert_true (dwn_station_kind_from_id (dwn_station_kind_id ((DwnStationKind) i), &kind));
      g_assert_cmpuint (kind, ==, i);
    }
  for (guint i = DWN_WANTED_NO; i <= DWN_WANTED_MUST; i++)
    {
      DwnWanted wanted;

      g_assert_true (dwn_wanted_from_id (dwn_wanted_id ((DwnWanted) i), &wanted));
      g_assert_cmpuint (wanted, ==, i);
    }
  g_assert_cmpstr (dwn_station_kind_id (DWN_STATION_FILL_IN), ==, "fill-in");
  g_assert_false (dwn_station_kind_from_id ("tower", &(DwnStationKind) { 0 }));
  g_assert_false (dwn_wanted_from_id (NULL, &(DwnWanted) { 0 }));
}

/* What dwn_station_check() must refuse, one change at a time. */
typedef struct {
  const char *name;
  gsize offset;
  double value;
  const char *says;
} Refusal;

#define FIGURE(what, field, value, says) { what, G_STRUCT_OFFSET (DwnStation, field), value, says }
static const Refusal refusals[] = {
  FIGURE ("latitude-95", at.lat_deg, 95, "latitude 95 is outside -90 to 90"),
  FIGURE ("latitude-nan", at.lat_deg, (double) NAN, "latitude nan is outside"),
  FIGURE ("longitude-181", at.lon_deg, -181, "longitude -181 is outside -180 to 180"),
  FIGURE ("erp-negative", erp_kw, -1, "ERP in kW -1 is outside 0 to 20000"),
  FIGURE ("erp-1e308", erp_kw, 1e308, "ERP in kW 1e+308 is outside"),
  FIGURE ("erp-infinite", erp_kw, (double) INFINITY, "ERP in kW inf is outside"),
  FIGURE ("haat-1e308", haat_m, 1e308, "height above average terrain"),
  FIGURE ("agl-negative", agl_m, -3, "height above ground -3 is outside 0 to 1000"),
  FIGURE ("amsl-99999", amsl_m, 99999, "height above sea level"),
  FIGURE ("delay-nan", delay_us, (double) NAN, "delay in"),
  FIGURE ("centre-474", mhz, 474, "474 MHz is not the centre of RF channel 14, 473 MHz is"),
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *refusal = data;
  DwnStation station = sample_station ("a", NULL, 0);
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_station_check (&station, NULL));
  G_STRUCT_MEMBER (double, &station, refusal->offset) = refusal->value;
  g_assert_false (dwn_station_check (&station, &error));
  g_assert_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_RANGE);
  g_assert_nonnull (strstr (error->message, refusal->says));
}

static void
test_refuses_names (void)
{
  static const char *const ids[] = { NULL, "", "a b", "a/b", "é", "<a>" };
  DwnStation station = sample_station ("a", NULL, 0);

  for (guint i = 0; i < G_N_ELEMENTS (ids); i++)
    {
      g_autoptr (GError) error = NULL;

      station.id = ids[i];
      g_assert_false (dwn_station_check (&station, &error));
      g_assert_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_ID);
    }
  g_autofree char *longest = g_strnfill (DWN_STATION_ID_MAX, 'x');
  g_autofree char *longer = g_strnfill (DWN_STATION_ID_MAX + 1, 'x');
  g_assert_true (dwn_station_id_is_valid (longest));
  g_assert_false (dwn_station_id_is_valid (longer));

  g_autoptr (GError) unnamed = NULL, channel = NULL;
  station = sample_station ("a", NULL, 0);
  station.name = "";
  g_assert_false (dwn_station_check (&station, &unnamed));
  g_assert_error (unnamed, DWN_STATION_ERROR, DWN_STATION_ERROR_NAME);
  station = sample_station ("a", NULL, 0);
  station.rf = "70";
  g_assert_false (dwn_station_check (&station, &channel));
  g_assert_error (channel, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_RF);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/stations/copies-and-interns", test_copies);
  g_test_add_func ("/stations/holds-patterns", test_holds_patterns);
  g_test_add_func ("/stations/finds-by-id", test_finds);
  g_test_add_func ("/stations/edits-give-new-lists", test_edits);
  g_test_add_func ("/stations/services-and-marks", test_services);
  g_test_add_func ("/stations/words-go-both-ways", test_words);
  g_test_add_func ("/stations/refuses-ids-names-channels", test_refuses_names);
  for (guint i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strdup_printf ("/stations/refuses/%s", refusals[i].name);

      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  return g_test_run ();
}
