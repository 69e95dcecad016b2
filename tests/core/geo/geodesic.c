/* Geodesics against published cases and against the library that Debian's PROJ carries. */
#include "core/geo/geodesic.h"

#include <geodesic.h>
#include <math.h>

#include "../radio/vectors.h"

#define PAIRS_OF_A_KIND 20000

static struct geod_geodesic
reference_ellipsoid (void)
{
  struct geod_geodesic wgs84;

  geod_init (&wgs84, 6378137, 1 / 298.257223563);
  return wgs84;
}

static void
assert_near (double value, double expected, double tolerance)
{
  if (!(fabs (value - expected) <= tolerance))
    g_error ("%.17g is not within %g of %.17g", value, tolerance, expected);
}

static void
assert_bearing (double bearing_deg, double expected_deg, double tolerance_deg)
{
  g_assert_cmpfloat (bearing_deg, >=, 0);
  g_assert_cmpfloat (bearing_deg, <, 360);
  assert_near (remainder (bearing_deg - expected_deg, 360), 0, tolerance_deg);
}

typedef struct {
  const Table *table;
  guint row;
} Row;

static double
cell (const Row *row, const char *column)
{
  return table_number (row->table, row->row, column);
}

static void
test_published (gconstpointer data)
{
  const Row *row = data;
  DwnLatLon from = { cell (row, "lat1_deg"), cell (row, "lon1_deg") };
  DwnLatLon to = { cell (row, "lat2_deg"), cell (row, "lon2_deg") }, reached;
  double distance_m, bearing_deg, back_deg, direct_back_deg;
  double tolerance_m = cell (row, "tolerance_m");
  g_autoptr (GError) error = NULL;

  dwn_geodesic_inverse (&from, &to, &distance_m, &bearing_deg, &back_deg, &error);
  g_assert_no_error (error);
  assert_near (distance_m, cell (row, "distance_m"), tolerance_m);
  if (*table_text (row->table, row->row, "azimuth1_deg") == '\0')
    return;

  double tolerance_deg = cell (row, "tolerance_deg");
  assert_bearing (bearing_deg, cell (row, "azimuth1_deg"), tolerance_deg);
  assert_bearing (back_deg, cell (row, "azimuth2_deg") + 180, tolerance_deg);

  dwn_geodesic_direct (&from, cell (row, "azimuth1_deg"), cell (row, "distance_m"), &reached,
                       &direct_back_deg);
  assert_near (reached.lat_deg, to.lat_deg, tolerance_deg);
  assert_near (remainder (reached.lon_deg - to.lon_deg, 360), 0, 2 * tolerance_deg);
  assert_bearing (direct_back_deg, cell (row, "azimuth2_deg") + 180, 2 * tolerance_deg);
}

static void
test_licence_record (gconstpointer data)
{
  const Row *row = data;
  const DwnLatLon house = { 44.28, -71.69 };
  DwnLatLon station = {
    cell (row, "lat_d") + cell (row, "lat_m") / 60 + cell (row, "lat_s") / 3600,
    -(cell (row, "lon_west_d") + cell (row, "lon_west_m") / 60 + cell (row, "lon_west_s") / 3600),
  };
  double distance_m, bearing_deg;

  g_assert_true (dwn_geodesic_inverse (&house, &station, &distance_m, &bearing_deg, NULL, NULL));
  assert_near (distance_m, 1000 * cell (row, "distance_km"), 0.5);
  assert_bearing (bearing_deg, cell (row, "bearing_deg"), 0.0005);
}

/* Pairs that try one difficulty each. */
typedef DwnLatLon (*Partner) (GRand *rand, DwnLatLon *from);

static double
clamp_lat (double lat_deg)
{
  return CLAMP (lat_deg, -90, 90);
}

static DwnLatLon
anywhere (GRand *rand, DwnLatLon *from)
{
  return (DwnLatLon) { g_rand_double_range (rand, -90, 90), g_rand_double_range (rand, -180, 180) };
}

static DwnLatLon
within_1000_km (GRand *rand, DwnLatLon *from)
{
  double width_deg = 6 / MAX (cos (from->lat_deg * G_PI / 180), 0.03);

  return (DwnLatLon) { clamp_lat (from->lat_deg + g_rand_double_range (rand, -6, 6)),
                       from->lon_deg + g_rand_double_range (rand, -width_deg, width_deg) };
}

static DwnLatLon
next_door (GRand *rand, DwnLatLon *from)
{
  return (DwnLatLon) { clamp_lat (from->lat_deg + g_rand_double_range (rand, -1e-6, 1e-6)),
                       from->lon_deg + g_rand_double_range (rand, -1e-6, 1e-6) };
}

static DwnLatLon
near_antipode (GRand *rand, DwnLatLon *from)
{
  return (DwnLatLon) { clamp_lat (-from->lat_deg + g_rand_double_range (rand, -1, 1)),
                       from->lon_deg + 180 + g_rand_double_range (rand, -1, 1) };
}

static DwnLatLon
mirrored_antipode (GRand *rand, DwnLatLon *from)
{
  return (DwnLatLon) { -from->lat_deg, from->lon_deg + g_rand_double_range (rand, 179, 181) };
}

static DwnLatLon
equatorial_antipode (GRand *rand, DwnLatLon *from)
{
  from->lat_deg = g_rand_boolean (rand) ? 0 : g_rand_double_range (rand, -0.5, 0.5);
  return (DwnLatLon) { g_rand_boolean (rand) ? 0 : g_rand_double_range (rand, -0.5, 0.5),
                       from->lon_deg + g_rand_double_range (rand, 179, 181) };
}

static DwnLatLon
between_poles (GRand *rand, DwnLatLon *from)
{
  double side = g_rand_boolean (rand) ? 1 : -1;
  double near_deg = pow (10, g_rand_double_range (rand, -12, 0));

  from->lat_deg = g_rand_boolean (rand) ? -90 : -90 + near_deg;
  return (DwnLatLon) { side * (90 - pow (10, g_rand_double_range (rand, -12, 0))),
                       g_rand_double_range (rand, -180, 180) };
}

static DwnLatLon
across_date_line (GRand *rand, DwnLatLon *from)
{
  from->lon_deg = 180 - g_rand_double_range (rand, 0, 4);
  return (DwnLatLon) { clamp_lat (from->lat_deg + g_rand_double_range (rand, -6, 6)),
                       -180 + g_rand_double_range (rand, 0, 4) };
}

static DwnLatLon
on_one_meridian (GRand *rand, DwnLatLon *from)
{
  return (DwnLatLon) { g_rand_double_range (rand, -90, 90),
                       from->lon_deg + (g_rand_boolean (rand) ? 180 : 0) };
}

static const struct {
  const char *name;
  Partner partner;
} kinds[] = {
  { "anywhere", anywhere },
  { "within-1000-km", within_1000_km },
  { "next-door", next_door },
  { "near-antipode", near_antipode },
  { "mirrored-antipode", mirrored_antipode },
  { "equatorial-antipode", equatorial_antipode },
  { "between-poles", between_poles },
  { "across-date-line", across_date_line },
  { "on-one-meridian", on_one_meridian },
};

/* Ours against the library's: length within 1 µm; setting out on our bearing for our distance
 * the library arrives within 1 µm of the place (no matter which of two equal ways we took), and
 * so it does from the far end; and our direct solution meets the library's. */
static void
compare_pair (const struct geod_geodesic *wgs84, DwnLatLon from, DwnLatLon to)
{
  double distance_m, bearing_deg, back_deg, expected_m, lat_deg, lon_deg, miss_m;
  g_autoptr (GError) error = NULL;
  DwnLatLon reached;

  dwn_geodesic_inverse (&from, &to, &distance_m, &bearing_deg, &back_deg, &error);
  g_assert_no_error (error);
  geod_inverse (wgs84, from.lat_deg, from.lon_deg, to.lat_deg, to.lon_deg, &expected_m, NULL, NULL);
  assert_near (distance_m, expected_m, 1e-6);

  geod_direct (wgs84, from.lat_deg, from.lon_deg, bearing_deg, distance_m, &lat_deg, &lon_deg,
               NULL);
  geod_inverse (wgs84, lat_deg, lon_deg, to.lat_deg, to.lon_deg, &miss_m, NULL, NULL);
  assert_near (miss_m, 0, 1e-6);
  geod_direct (wgs84, to.lat_deg, to.lon_deg, back_deg, distance_m, &lat_deg, &lon_deg, NULL);
  geod_inverse (wgs84, lat_deg, lon_deg, from.lat_deg, from.lon_deg, &miss_m, NULL, NULL);
  assert_near (miss_m, 0, 1e-6);

  dwn_geodesic_direct (&from, bearing_deg, distance_m, &reached, NULL);
  geod_inverse (wgs84, reached.lat_deg, reached.lon_deg, to.lat_deg, to.lon_deg, &miss_m, NULL,
                NULL);
  assert_near (miss_m, 0, 1e-6);
}

static void
test_against_library (gconstpointer data)
{
  Partner partner = *(const Partner *) data;
  struct geod_geodesic wgs84 = reference_ellipsoid ();
  g_autoptr (GRand) rand = g_rand_new_with_seed (1909);

  for (guint i = 0; i < PAIRS_OF_A_KIND; i++)
    {
      DwnLatLon from = anywhere (rand, NULL), to = partner (rand, &from);

      compare_pair (&wgs84, from, to);
    }
}

/* Setting out with the library from the same place on the same bearing, anywhere on Earth: two tenths
 * of a micrometre apart at most. */
static void
test_direct (void)
{
  struct geod_geodesic wgs84 = reference_ellipsoid ();
  g_autoptr (GRand) rand = g_rand_new_with_seed (1910);

  for (guint i = 0; i < PAIRS_OF_A_KIND; i++)
    {
      DwnLatLon from = anywhere (rand, NULL), reached;
      double bearing_deg = g_rand_double_range (rand, 0, 360);
      double distance_m = g_rand_double_range (rand, 0, 2e7), lat_deg, lon_deg, miss_m;

      dwn_geodesic_direct (&from, bearing_deg, distance_m, &reached, NULL);
      geod_direct (&wgs84, from.lat_deg, from.lon_deg, bearing_deg, distance_m, &lat_deg, &lon_deg, NULL);
      geod_inverse (&wgs84, reached.lat_deg, reached.lon_deg, lat_deg, lon_deg, &miss_m, NULL, NULL);
      assert_near (miss_m, 0, 2e-7);
    }
}

static void
test_coincident (void)
{
  const DwnLatLon places[][2] = {
    { { 44.28, -71.69 }, { 44.28, -71.69 } },
    { { 0, 0 }, { 0, 0 } },
    { { 90, 20 }, { 90, -115 } },
    { { -90, 20 }, { -90, 20 } },
    { { 12, 180 }, { 12, -180 } },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      double distance_m, bearing_deg, back_deg;

      g_assert_true (dwn_geodesic_inverse (&places[i][0], &places[i][1], &distance_m, &bearing_deg,
                                           &back_deg, NULL));
      g_assert_cmpfloat (distance_m, ==, 0);
      g_assert_cmpfloat (bearing_deg, ==, 0);
      g_assert_cmpfloat (back_deg, ==, 180);
    }
}

/* Exact antipodes and a pole: whichever way is taken, its length is half a meridian ellipse.
 * Its quarter is 10,001,965.729 m: from memory, and what the library gives too. */
static void
test_exact_antipodes (void)
{
  const DwnLatLon places[][2] = {
    { { 0, 0 }, { 0, 180 } },
    { { 30, 10 }, { -30, -170 } },
    { { 90, 0 }, { -90, 77 } },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      double distance_m;

      g_assert_true (dwn_geodesic_inverse (&places[i][0], &places[i][1], &distance_m, NULL, NULL,
                                           NULL));
      assert_near (distance_m, 2 * 10001965.729, 1.1e-3);
    }
}

/* By definition of a bearing at a pole: along the meridian of the longitude given. */
static void
test_from_pole (void)
{
  const DwnLatLon pole = { 90, 10 }, to = { 60, 55 };
  double bearing_deg, back_deg;

  g_assert_true (dwn_geodesic_inverse (&pole, &to, NULL, &bearing_deg, &back_deg, NULL));
  assert_bearing (bearing_deg, 135, 1e-9);
  assert_bearing (back_deg, 0, 1e-9);
}

static void
test_direct_in_place (void)
{
  DwnLatLon at = { 44.28, -71.69 }, apart;

  dwn_geodesic_direct (&at, 45, 5000, &apart, NULL);
  dwn_geodesic_direct (&at, 45, 5000, &at, NULL);
  g_assert_cmpfloat (at.lat_deg, ==, apart.lat_deg);
  g_assert_cmpfloat (at.lon_deg, ==, apart.lon_deg);
}

static void
test_refusals (void)
{
  const DwnLatLon good = { 44, -71 };
  const DwnLatLon bad[] = { { 95, 0 }, { -90.001, 0 }, { (double) NAN, 0 }, { 0, (double) NAN },
                            { 0, (double) INFINITY } };

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) first = NULL, second = NULL;
      double distance_m = 1, bearing_deg = 1;
      DwnLatLon to;

      g_assert_false (dwn_geodesic_inverse (&bad[i], &good, &distance_m, NULL, NULL, &first));
      g_assert_error (first, DWN_GEODESIC_ERROR, DWN_GEODESIC_ERROR_DOMAIN);
      g_assert_true (isnan (distance_m));
      g_assert_false (dwn_geodesic_inverse (&good, &bad[i], NULL, &bearing_deg, NULL, &second));
      g_assert_error (second, DWN_GEODESIC_ERROR, DWN_GEODESIC_ERROR_DOMAIN);
      g_assert_true (isnan (bearing_deg));
      dwn_geodesic_direct (&bad[i], 0, 1, &to, &bearing_deg);
      g_assert_true (isnan (to.lat_deg) && isnan (to.lon_deg) && isnan (bearing_deg));
    }
}

static void
add_rows (const char *prefix, const Table *table, const char *name_column, GTestDataFunc test)
{
  for (guint i = 0; i < table->rows->len; i++)
    {
      g_autofree char *path = g_strconcat (prefix, table_text (table, i, name_column), NULL);
      Row *row = g_new (Row, 1);

      *row = (Row) { table, i };
      g_test_add_data_func_full (path, row, test, g_free);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  g_autoptr (Table) published = table_load ("geodesics.csv");
  g_autoptr (Table) records = table_load ("bearings-white-mountains.csv");

  add_rows ("/geo/geodesic/published/", published, "name", test_published);
  add_rows ("/geo/geodesic/licence-record/", records, "facility", test_licence_record);
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/geodesic/library/", kinds[i].name, NULL);
      g_test_add_data_func (path, &kinds[i].partner, test_against_library);
    }
  g_test_add_func ("/geo/geodesic/direct", test_direct);
  g_test_add_func ("/geo/geodesic/coincident", test_coincident);
  g_test_add_func ("/geo/geodesic/exact-antipodes", test_exact_antipodes);
  g_test_add_func ("/geo/geodesic/from-pole", test_from_pole);
  g_test_add_func ("/geo/geodesic/direct-in-place", test_direct_in_place);
  g_test_add_func ("/geo/geodesic/refusals", test_refusals);
  return g_test_run ();
}
