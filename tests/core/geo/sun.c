/* The sun against an independent astronomical library, published examples and spherical facts. */
#include "core/geo/sun.h"

#include <math.h>

#include "../radio/vectors.h"
#include "core/geo/date.h"

#define RADIANS (G_PI / 180)
#define TOLERANCE_DEG 0.004

typedef struct {
  DwnLatLon at;
  double unix_s, azimuth_deg, elevation_deg;
} Expected;

static double
unix_of (const char *utc)
{
  g_autoptr (GDateTime) time = g_date_time_new_from_iso8601 (utc, NULL);

  g_assert_nonnull (time);
  return (double) g_date_time_to_unix (time);
}

static Expected
read_row (const Table *table, guint row)
{
  return (Expected) {
    .at = { table_number (table, row, "lat_deg"), table_number (table, row, "lon_deg") },
    .unix_s = unix_of (table_text (table, row, "utc")),
    .azimuth_deg = table_number (table, row, "azimuth_deg"),
    .elevation_deg = table_number (table, row, "elevation_deg"),
  };
}

/* Across the line of sight, so that a sun near the zenith is not judged by its azimuth alone. */
static double
across_deg (double azimuth_deg, double expected_deg, double elevation_deg)
{
  return remainder (azimuth_deg - expected_deg, 360) * cos (elevation_deg * RADIANS);
}

static void
test_position (gconstpointer data)
{
  const Expected *e = data;
  DwnSunPosition sun;

  dwn_sun_position (e->unix_s, &e->at, &sun);
  g_assert_cmpfloat (sun.azimuth_deg, >=, 0);
  g_assert_cmpfloat (sun.azimuth_deg, <, 360);
  g_assert_cmpfloat_with_epsilon (across_deg (sun.azimuth_deg, e->azimuth_deg, e->elevation_deg),
                                  0, TOLERANCE_DEG);
  g_assert_cmpfloat_with_epsilon (sun.elevation_deg, e->elevation_deg, TOLERANCE_DEG);
}

/* Asked for the bearing at which the library has the sun, the solver comes back to that time. (Not
 * near the equator, where the sun climbs along one bearing for an hour.) */
static void
test_solver (gconstpointer data)
{
  const Expected *e = data;
  DwnSunMoment moments[4];
  guint n = dwn_sun_over_bearing (&e->at, e->azimuth_deg, e->unix_s - 900, e->unix_s + 900,
                                  moments, G_N_ELEMENTS (moments));
  gboolean found = FALSE;

  for (guint i = 0; i < n; i++)
    {
      double across = across_deg (moments[i].sun.azimuth_deg, e->azimuth_deg, e->elevation_deg);

      g_assert_false (moments[i].opposite);
      g_assert_cmpfloat_with_epsilon (across, 0, 1e-4);
      /* The sky turns 15° an hour, 0.004° a second. */
      found = found || fabs (moments[i].unix_s - e->unix_s) < 10;
    }
  g_assert_true (found);
}

/* NREL/TP-560-34302, the worked example in its appendix: 2003-10-17 12:30:30 seven hours west of
 * Greenwich; zenith angle 50.11162 with a refraction of 0.01633 for its thin air. */
static void
test_nrel (void)
{
  const DwnLatLon at = { 39.742476, -105.1786 };
  DwnSunPosition sun;

  dwn_sun_position (unix_of ("2003-10-17T19:30:30Z"), &at, &sun);
  g_assert_cmpfloat_with_epsilon (sun.azimuth_deg, 194.34024, 0.002);
  g_assert_cmpfloat_with_epsilon (sun.elevation_deg, 90 - 50.11162 - 0.01633, 0.002);
}

/* At the pole the elevation is the declination, less the parallax. */
static double
declination_deg (double unix_s)
{
  const DwnLatLon pole = { 90, 0 };
  DwnSunPosition sun;

  dwn_sun_position (unix_s, &pole, &sun);
  return sun.elevation_deg + 8.794 / 3600;
}

/* Meeus, Astronomical Algorithms, example 25.b: 1992-10-13 at 0h Terrestrial Time, declination
 * −7° 47′ 01.74″; UTC was 59 s behind. */
static void
test_meeus (void)
{
  double deg = declination_deg (unix_of ("1992-10-13T00:00:00Z") - 59);

  g_assert_cmpfloat_with_epsilon (deg, -(7 + 47 / 60.0 + 1.74 / 3600), 0.001);
}

/* Equinoxes to the minute as almanacs print them (from memory); the declination then passes 0 at
 * 0.0165° an hour. */
static void
test_equinoxes (void)
{
  const char *times[] = { "2024-03-20T03:06:00Z", "2025-03-20T09:01:00Z", "2025-09-22T18:19:00Z",
                          "2026-03-20T14:46:00Z" };

  for (gsize i = 0; i < G_N_ELEMENTS (times); i++)
    g_assert_cmpfloat_with_epsilon (declination_deg (unix_of (times[i])), 0, 0.0015);
}

/* Almanacs have the middle of the disc 34' below the horizon when it seems to touch it. */
static void
test_refraction (void)
{
  const DwnLatLon at = { 44.28, -71.69 };
  DwnSunPosition sun;
  double unix_s = unix_of ("2026-05-31T08:00:00Z");

  do
    dwn_sun_position (unix_s += 1, &at, &sun);
  while (sun.elevation_deg < -34 / 60.0);
  g_assert_cmpfloat_with_epsilon (sun.apparent_elevation_deg, 0, 0.03);

  dwn_sun_position (unix_of ("2026-05-31T05:00:00Z"), &at, &sun);
  g_assert_cmpfloat (sun.elevation_deg, <, -10);
  g_assert_cmpfloat (sun.apparent_elevation_deg, ==, sun.elevation_deg);
}

/* Bennett's formula (J. Navigation 35 (1982) 255) goes the other way, from what is seen; both hold
 * to 0.1'. Below -1° there is none, as the header has it. */
static void
test_refraction_by_height (void)
{
  const DwnLatLon at = { 10, 0 };
  double start_s = unix_of ("2026-04-20T00:00:00Z");

  for (guint minute = 0; minute < 24 * 60; minute++)
    {
      DwnSunPosition sun;

      dwn_sun_position (start_s + 60.0 * minute, &at, &sun);
      double raised = 60 * (sun.apparent_elevation_deg - sun.elevation_deg);
      double seen_deg = sun.apparent_elevation_deg;
      if (sun.elevation_deg < -1)
        g_assert_cmpfloat (raised, ==, 0);
      else if (sun.elevation_deg > -0.5)
        g_assert_cmpfloat_with_epsilon (
          raised, 1 / tan ((seen_deg + 7.31 / (seen_deg + 4.4)) * RADIANS), 0.1);
    }
}

/* Where the sun passes north the azimuth goes on from 360° at 0°, and is never 360. */
static void
test_north (void)
{
  double unix_s = unix_of ("2026-06-21T00:00:00Z");
  DwnLatLon west = { -40, 160 }, east = { -40, 200 };
  DwnSunPosition sun;

  for (guint k = 0; k < 80; k++)
    {
      DwnLatLon middle = { -40, (west.lon_deg + east.lon_deg) / 2 };

      dwn_sun_position (unix_s, &middle, &sun);
      g_assert_cmpfloat (sun.azimuth_deg, <, 360);
      *(sun.azimuth_deg < 180 ? &west : &east) = middle;
    }
  for (double lon_deg = west.lon_deg - 1e-12; lon_deg < east.lon_deg + 1e-12;
       lon_deg = nextafter (lon_deg, 360))
    {
      dwn_sun_position (unix_s, &(DwnLatLon) { -40, lon_deg }, &sun);
      g_assert_cmpfloat (sun.azimuth_deg, <, 360);
      g_assert_cmpfloat_with_epsilon (remainder (sun.azimuth_deg, 360), 0, 1e-9);
    }
}

static guint
count_of_day (DwnLatLon at, double bearing_deg, const char *utc, gboolean opposite)
{
  DwnSunMoment moments[8];
  double start_s = unix_of (utc);
  guint n_all = dwn_sun_over_bearing (&at, bearing_deg, start_s, start_s + 86400, moments,
                                      G_N_ELEMENTS (moments));
  guint n = 0;

  for (guint i = 0; i < n_all; i++)
    {
      g_assert_true (i == 0 || moments[i].unix_s > moments[i - 1].unix_s);
      n += moments[i].opposite == opposite;
    }
  return n;
}

/* Where the declination exceeds the latitude, the azimuth swings out to asin (cos δ / cos φ) and
 * back: at 10° N in June, δ 23.44°, to 68.7°. */
static void
test_tropics (void)
{
  const DwnLatLon at = { 10, 0 };
  const char *day = "2026-06-21T00:00:00Z";

  g_assert_cmpuint (count_of_day (at, 68.5, day, FALSE), ==, 2);
  g_assert_cmpuint (count_of_day (at, 68.5, day, TRUE), ==, 0);
  g_assert_cmpuint (count_of_day (at, 68.9, day, FALSE), ==, 0);
  g_assert_cmpuint (count_of_day (at, 68.9 + 180, day, TRUE), ==, 0);
  /* North of the equator in June the sun passes north at noon and at midnight, never south. */
  g_assert_cmpuint (count_of_day ((DwnLatLon) { 0, 0 }, 180, day, FALSE), ==, 0);
  g_assert_cmpuint (count_of_day ((DwnLatLon) { 0, 0 }, 180, day, TRUE), ==, 2);
}

/* Just inside its widest swing the sun passes a bearing twice, before and after, and just outside
 * never; wherever in the search's steps that is. */
static void
test_turning (gconstpointer data)
{
  gboolean evening = GPOINTER_TO_INT (data);
  const DwnLatLon at = { 10, 0 };
  double start_s = unix_of (evening ? "2026-06-21T12:30:00Z" : "2026-06-21T06:30:00Z");
  double widest_deg = 0, widest_s = 0;

  for (double t_s = start_s; t_s < start_s + 5 * 3600; t_s += 1)
    {
      DwnSunPosition sun;

      dwn_sun_position (t_s, &at, &sun);
      double north_deg = evening ? 360 - sun.azimuth_deg : sun.azimuth_deg;
      if (north_deg <= widest_deg)
        continue;
      widest_deg = north_deg;
      widest_s = t_s;
    }
  for (guint k = 0; k < 24; k++)
    {
      gboolean opposite = k % 2 == 1;
      double turned_deg = opposite ? 180 : 0, from_s = widest_s - 5400 - 150 * (k / 2);
      double inside_deg = widest_deg - 1e-4, outside_deg = widest_deg + 1e-4;
      DwnSunMoment moment[4];

      guint n = dwn_sun_over_bearing (&at, turned_deg + (evening ? 360 - inside_deg : inside_deg),
                                      from_s, widest_s + 5400, moment, 4);
      g_assert_cmpuint (n, ==, 2);
      g_assert_true (moment[0].opposite == opposite && moment[1].opposite == opposite);
      g_assert_cmpfloat (moment[0].unix_s, <, widest_s);
      g_assert_cmpfloat (moment[1].unix_s, >, widest_s);
      g_assert_cmpfloat_with_epsilon (moment[0].unix_s + moment[1].unix_s, 2 * widest_s, 30);
      g_assert_cmpuint (
        dwn_sun_over_bearing (&at, turned_deg + (evening ? 360 - outside_deg : outside_deg),
                              from_s, widest_s + 5400, moment, 4), ==, 0);
    }
}

/* Elsewhere every bearing is passed once a day, and its opposite once. */
static void
test_ordinary_days (void)
{
  for (double bearing_deg = 5; bearing_deg < 360; bearing_deg += 30)
    {
      DwnLatLon at = { 44.28, -71.69 };

      g_assert_cmpuint (count_of_day (at, bearing_deg, "2026-12-21T00:00:00Z", FALSE), ==, 1);
      g_assert_cmpuint (count_of_day (at, bearing_deg, "2026-12-21T00:00:00Z", TRUE), ==, 1);
    }
}

static void
test_room (void)
{
  const DwnLatLon at = { 44.28, -71.69 };
  double start_s = unix_of ("2026-05-31T00:00:00Z");
  DwnSunMoment moment;

  g_assert_cmpuint (dwn_sun_over_bearing (&at, 150, start_s, start_s + 86400, &moment, 1), ==, 1);
  g_assert_cmpuint (dwn_sun_over_bearing (&at, 150, start_s, start_s + 86400, NULL, 0), ==, 0);
  g_assert_cmpuint (dwn_sun_over_bearing (&at, 150, start_s, start_s, &moment, 1), ==, 0);
}

static void
test_outside_domain (void)
{
  const DwnLatLon good = { 44.28, -71.69 }, nowhere = { 95, 0 };
  const double times[] = { (double) NAN, (double) INFINITY, -4e9, 8e9 };
  DwnSunPosition sun;
  DwnSunMoment moment;
  /* The years 1900 to 2199 from their first to their last moment. */
  const double first_s = unix_of ("1900-01-01T00:00:00Z"), last_s = unix_of ("2200-01-01T00:00:00Z");
  const double edges[][2] = { { first_s - 1, first_s }, { last_s + 1, last_s } };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    {
      dwn_sun_position (edges[i][0], &good, &sun);
      g_assert_true (isnan (sun.azimuth_deg));
      dwn_sun_position (edges[i][1], &good, &sun);
      g_assert_false (isnan (sun.azimuth_deg));
    }
  dwn_sun_position (0, &(DwnLatLon) { 90.001, 0 }, &sun);
  g_assert_true (isnan (sun.azimuth_deg));
  dwn_sun_position (0, &nowhere, &sun);
  g_assert_true (isnan (sun.azimuth_deg) && isnan (sun.elevation_deg));
  for (gsize i = 0; i < G_N_ELEMENTS (times); i++)
    {
      dwn_sun_position (times[i], &good, &sun);
      g_assert_true (isnan (sun.azimuth_deg) && isnan (sun.apparent_elevation_deg));
      g_assert_cmpuint (dwn_sun_over_bearing (&good, 150, 0, times[i], &moment, 1), ==, 0);
    }
  g_assert_cmpuint (dwn_sun_over_bearing (&good, (double) NAN, 0, 1e5, &moment, 1), ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  g_autoptr (Table) table = table_load ("sun.csv");
  g_autofree Expected *expected = g_new (Expected, table->rows->len);

  for (guint i = 0; i < table->rows->len; i++)
    {
      g_autofree char *position = g_strdup_printf ("/geo/sun/position/%u", i + 1);
      g_autofree char *solver = g_strdup_printf ("/geo/sun/solver/%u", i + 1);

      expected[i] = read_row (table, i);
      g_test_add_data_func (position, &expected[i], test_position);
      if (fabs (expected[i].at.lat_deg) > 30)
        g_test_add_data_func (solver, &expected[i], test_solver);
    }
  g_test_add_func ("/geo/sun/nrel-example", test_nrel);
  g_test_add_func ("/geo/sun/meeus-example", test_meeus);
  g_test_add_func ("/geo/sun/equinoxes", test_equinoxes);
  g_test_add_func ("/geo/sun/refraction", test_refraction);
  g_test_add_func ("/geo/sun/refraction-by-height", test_refraction_by_height);
  g_test_add_func ("/geo/sun/north", test_north);
  g_test_add_func ("/geo/sun/tropics", test_tropics);
  g_test_add_data_func ("/geo/sun/turning/morning", GINT_TO_POINTER (FALSE), test_turning);
  g_test_add_data_func ("/geo/sun/turning/evening", GINT_TO_POINTER (TRUE), test_turning);
  g_test_add_func ("/geo/sun/ordinary-days", test_ordinary_days);
  g_test_add_func ("/geo/sun/room", test_room);
  g_test_add_func ("/geo/sun/outside-domain", test_outside_domain);
  return g_test_run ();
}
