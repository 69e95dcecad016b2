/* The datum shift against the operations of the same name in PROJ's copy of the EPSG registry. */
#include "core/geo/datum.h"

#include <math.h>
#include <proj.h>

#include "../radio/vectors.h"
#include "core/geo/geodesic.h"

typedef struct {
  const char *name;
  DwnLatLon nad27;
  DwnDatumRegion region;
  const char *operation; /* EPSG code; NULL: no shift */
} Place;

static const Place places[] = {
  { "white-mountains", { 44.28, -71.69 }, DWN_DATUM_REGION_CONUS, "1173" },
  { "florida", { 25.1, -80.9 }, DWN_DATUM_REGION_CONUS, "1173" },
  { "california", { 34.05, -118.25 }, DWN_DATUM_REGION_CONUS, "1173" },
  { "anchorage", { 61.22, -149.9 }, DWN_DATUM_REGION_ALASKA, "1176" },
  { "juneau", { 58.3, -134.4 }, DWN_DATUM_REGION_ALASKA, "1176" },
  { "honolulu", { 21.3, -157.85 }, DWN_DATUM_REGION_HAWAII, "15824" },
  { "san-juan", { 18.3, -66.1 }, DWN_DATUM_REGION_PUERTO_RICO, "1893" },
  { "guam", { 13.45, 144.75 }, DWN_DATUM_REGION_ELSEWHERE, NULL },
  { "london", { 51.5, -0.12 }, DWN_DATUM_REGION_ELSEWHERE, NULL },
  { "atka", { 52.2, -174.2 }, DWN_DATUM_REGION_ELSEWHERE, NULL },
};

static DwnLatLon
shift_with_library (const char *operation, const DwnLatLon *at)
{
  g_autofree char *urn = g_strconcat ("urn:ogc:def:coordinateOperation:EPSG::", operation, NULL);
  PJ_CONTEXT *context = proj_context_create ();
  PJ *shift = proj_create (context, urn);

  g_assert_nonnull (shift);
  PJ_COORD to = proj_trans (shift, PJ_FWD, proj_coord (at->lat_deg, at->lon_deg, 0, 0));
  g_assert_cmpint (proj_errno (shift), ==, 0);
  proj_destroy (shift);
  proj_context_destroy (context);
  return (DwnLatLon) { to.v[0], to.v[1] };
}

/* To a tenth of a millimetre. */
static void
test_place (gconstpointer data)
{
  const Place *place = data;
  DwnLatLon wgs84, expected = place->nad27;
  DwnDatumRegion region;
  double apart_m;

  g_assert_true (dwn_datum_nad27_to_wgs84 (&place->nad27, &wgs84, &region)
                 == (place->operation != NULL));
  g_assert_cmpint (region, ==, place->region);
  if (place->operation != NULL)
    expected = shift_with_library (place->operation, &place->nad27);
  g_assert_true (dwn_geodesic_inverse (&wgs84, &expected, &apart_m, NULL, NULL, NULL));
  g_assert_cmpfloat (apart_m, <, 1e-4);
}

/* A licence record of 2013 (FCC facility 69328, NAD27) seen from 44.2800 N 71.6900 W: 8.901 km
 * and 335.168 degrees with the shift, computed with an independent library. */
static void
test_licence_record (void)
{
  const DwnLatLon house = { 44.28, -71.69 };
  DwnLatLon at = { 44 + 21 / 60.0 + 9.8 / 3600, -(71 + 44 / 60.0 + 14.7 / 3600) };
  double distance_m, bearing_deg;

  g_assert_true (dwn_datum_nad27_to_wgs84 (&at, &at, NULL));
  g_assert_true (dwn_geodesic_inverse (&house, &at, &distance_m, &bearing_deg, NULL, NULL));
  g_assert_cmpfloat_with_epsilon (distance_m, 8901, 0.5);
  g_assert_cmpfloat_with_epsilon (bearing_deg, 335.168, 0.0005);
}

/* EPSG gives these as the accuracy of operations 1173, 1176, 15824 and 1893, in whole metres. */
static void
test_accuracy (void)
{
  const double whole_m[] = { 10, 12, 38, 6 };
  /* DMA TR 8350.2, appendix B: errors of the three shifts. */
  const double errors_m[][3] = { { 5, 5, 6 }, { 5, 9, 5 }, { 25, 20, 20 }, { 3, 3, 3 } };

  for (gsize i = 0; i < G_N_ELEMENTS (whole_m); i++)
    {
      g_assert_cmpfloat_with_epsilon (dwn_datum_region_accuracy_m ((DwnDatumRegion) i), whole_m[i],
                                      1.0);
      g_assert_cmpfloat_with_epsilon (dwn_datum_region_accuracy_m ((DwnDatumRegion) i),
                                      sqrt (errors_m[i][0] * errors_m[i][0] + errors_m[i][1] * errors_m[i][1]
                                            + errors_m[i][2] * errors_m[i][2]), 1e-9);
    }
  g_assert_true (isnan (dwn_datum_region_accuracy_m (DWN_DATUM_REGION_ELSEWHERE)));
}

/* The regions are the operations' areas of use in the registry. */
static void
test_area (gconstpointer data)
{
  const Place *place = data;
  g_autofree char *urn = g_strconcat ("urn:ogc:def:coordinateOperation:EPSG::", place->operation, NULL);
  PJ_CONTEXT *context = proj_context_create ();
  PJ *shift = proj_create (context, urn);
  double west, south, east, north;

  g_assert_true (proj_get_area_of_use (context, shift, &west, &south, &east, &north, NULL));
  proj_destroy (shift);
  proj_context_destroy (context);

  for (int outside = -1; outside <= 1; outside += 2)
    {
      double by = 0.001 * outside, lat = (south + north) / 2, lon = (west + east) / 2;
      const DwnLatLon edges[] = { { south - by, lon }, { north + by, lon }, { lat, west - by }, { lat, east + by } };

      for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
        {
          DwnLatLon wgs84;
          DwnDatumRegion region;

          g_assert_true (dwn_datum_nad27_to_wgs84 (&edges[i], &wgs84, &region) == (outside < 0));
          g_assert_cmpint (region, ==, outside < 0 ? place->region : DWN_DATUM_REGION_ELSEWHERE);
        }
    }
}

static int
compare_doubles (gconstpointer a, gconstpointer b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return (x > y) - (x < y);
}

/* Real sites as the regulator listed them in either datum: the seconds are rounded and some masts
 * have moved, so it is the median of a region that the shift must bring home: to 10 m, on the
 * islands, with a few masts on one mountain each, to 15 m. */
typedef struct {
  const char *name;
  double tolerance_m;
} Region;

static const Region regions[] = {
  { "conus", 10 },
  { "alaska", 10 },
  { "hawaii", 15 },
  { "puerto-rico", 15 },
};

static double
median (GArray *values)
{
  g_array_sort (values, compare_doubles);
  return g_array_index (values, double, values->len / 2);
}

static void
test_region (gconstpointer data)
{
  const Region *region = data;
  g_autoptr (Table) table = table_load ("nad27-nad83.csv");
  g_autoptr (GArray) north_m = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) east_m = g_array_new (FALSE, FALSE, sizeof (double));

  for (guint i = 0; i < table->rows->len; i++)
    {
      DwnLatLon at = { table_number (table, i, "nad27_lat_deg"),
                       table_number (table, i, "nad27_lon_deg") };
      DwnLatLon nad83 = { table_number (table, i, "nad83_lat_deg"),
                          table_number (table, i, "nad83_lon_deg") };
      double distance_m, bearing_deg;

      if (strcmp (table_text (table, i, "region"), region->name) != 0)
        continue;
      g_assert_true (dwn_datum_nad27_to_wgs84 (&at, &at, NULL));
      g_assert_true (dwn_geodesic_inverse (&nad83, &at, &distance_m, &bearing_deg, NULL, NULL));
      double north = distance_m * cos (bearing_deg * G_PI / 180);
      double east = distance_m * sin (bearing_deg * G_PI / 180);
      g_array_append_val (north_m, north);
      g_array_append_val (east_m, east);
    }
  g_assert_cmpuint (north_m->len, >=, 10);
  g_assert_cmpfloat (fabs (median (north_m)), <, region->tolerance_m);
  g_assert_cmpfloat (fabs (median (east_m)), <, region->tolerance_m);
}

static void
test_no_place (void)
{
  const DwnLatLon nowhere = { (double) NAN, 0 };
  DwnLatLon wgs84;

  g_assert_false (dwn_datum_nad27_to_wgs84 (&nowhere, &wgs84, NULL));
  g_assert_true (isnan (wgs84.lat_deg));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/datum/", places[i].name, NULL);
      g_test_add_data_func (path, &places[i], test_place);
      if (places[i].operation == NULL || (i > 0 && g_strcmp0 (places[i].operation, places[i - 1].operation) == 0))
        continue;
      g_autofree char *area = g_strconcat ("/geo/datum/area/", places[i].operation, NULL);
      g_test_add_data_func (area, &places[i], test_area);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (regions); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/datum/sites/", regions[i].name, NULL);
      g_test_add_data_func (path, &regions[i], test_region);
    }
  g_test_add_func ("/geo/datum/licence-record", test_licence_record);
  g_test_add_func ("/geo/datum/accuracy", test_accuracy);
  g_test_add_func ("/geo/datum/no-place", test_no_place);
  return g_test_run ();
}
