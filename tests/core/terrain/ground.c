/* Tracks, profiles, average terrain and skyline over made-up ground whose answers follow from a
 * formula. */
#include "core/geo/geodesic.h"
#include "core/terrain/terrain.h"
#include "core/terrain/track.h"

#include <math.h>
#include <string.h>
#include <tiffio.h>

#include "synthetic.h"

#define SIDE_3 1201
#define EFFECTIVE_RADIUS_M (6371000.0 * 4.0 / 3.0)

static double
plane_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 1200.0 * (lon_deg + 74.0) + 1200.0 * (45.0 - lat_deg);
}

static double
sea_m (double lat_deg, double lon_deg)
{
  return 0.0;
}

static double
plateau_m (double lat_deg, double lon_deg)
{
  return 100.0;
}

/* A wall 1,000 m high along the parallel 0.25° north of the house, one node thin. */
static double
wall_m (double lat_deg, double lon_deg)
{
  return fabs (lat_deg - 44.75) < 1e-6 ? 1000.0 : 0.0;
}

/* The plane without a strip of 3 nodes (300 m) and one of 60 (5 km), both north to south. */
static double
with_voids_m (double lat_deg, double lon_deg)
{
  double column = rint (1200.0 * (lon_deg + 72.0));

  if ((column >= 500.0 && column < 503.0) || (column >= 800.0 && column < 860.0))
    return -32768.0;
  return plane_m (lat_deg, lon_deg);
}

static DwnTerrain *
open_folder (const SyntheticFolder *folder)
{
  g_autoptr (GError) error = NULL;
  DwnTerrain *terrain = dwn_terrain_open (folder->path, &error);

  g_assert_no_error (error);
  return terrain;
}

static DwnTerrain *
open_hgt (SyntheticFolder *folder, SyntheticHeight height)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, height);

  synthetic_folder_init (folder);
  synthetic_write (folder, "N44W072.hgt", bytes);
  return open_folder (folder);
}

/* Nodes a hundredth of a degree apart, over 4 by 5 degrees with the house in the middle. */
static DwnTerrain *
open_wide (SyntheticFolder *folder, SyntheticHeight height)
{
  SyntheticTiff tiff = {
    .west_deg = -74.0, .north_deg = 46.5, .lon_step_deg = 0.01, .lat_step_deg = 0.01,
    .columns = 501, .rows = 401,
  };

  synthetic_folder_init (folder);
  synthetic_write_tiff (folder, "wide.tif", &tiff, height);
  return open_folder (folder);
}

/* Tracks. */

typedef struct {
  const char *name;
  DwnLatLon from;
  double bearing_deg;
  double length_m;
} Way;

static const Way ways[] = {
  { "short", { 44.28, -71.69 }, 334.9, 8922.0 },
  { "long", { 44.28, -71.69 }, 111.9, 103804.0 },
  { "very-long", { -33.0, 150.0 }, 200.0, 900000.0 },
  { "equator", { 0.0, 10.0 }, 90.0, 300000.0 },
  { "far-north", { 71.0, 25.0 }, 75.0, 400000.0 },
  { "past-the-pole", { 89.5, 0.0 }, 10.0, 200000.0 },
  { "antimeridian", { 52.0, 179.5 }, 80.0, 150000.0 },
  { "no-length", { 52.0, 13.0 }, 80.0, 0.0 },
};

/* The geodesic itself is checked in its own room; here that the cubic follows it. */
static void
test_track (gconstpointer data)
{
  const Way *way = data;
  DwnTrack track;

  dwn_track_init (&track, &way->from, way->bearing_deg, way->length_m);
  for (int i = 0; i <= 1000; i++)
    {
      double distance_m = way->length_m * (i * 7 % 1001) / 1000.0;
      double off_m = (double) NAN;
      DwnLatLon at, exact;

      dwn_track_get_point (&track, distance_m, &at);
      dwn_geodesic_direct (&way->from, way->bearing_deg, distance_m, &exact, NULL);
      g_assert_true (dwn_geodesic_inverse (&at, &exact, &off_m, NULL, NULL, NULL));
      g_assert_cmpfloat (off_m, <, 0.001);
      g_assert_cmpfloat (fabs (at.lon_deg), <=, 180.0);
    }
}

/* Profiles. */

static void
test_profile_plane (void)
{
  g_auto (SyntheticFolder) folder;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon from = { 44.1, -71.9 };
  DwnLatLon to = { 44.8, -71.2 };
  double length_m, bearing_deg;
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, INFINITY, &gaps, NULL,
                                                        &error);

  g_assert_no_error (error);
  g_assert_true (dwn_geodesic_inverse (&from, &to, &length_m, &bearing_deg, NULL, NULL));
  g_assert_cmpfloat (profile->distance_m[0], ==, 0.0);
  g_assert_cmpfloat (profile->distance_m[profile->n - 1], ==, length_m);
  /* 3 arc-seconds at 44.8° N are 65.7 m eastward. */
  g_assert_cmpfloat (length_m / (double) (profile->n - 1), <=, 66.0);
  g_assert_cmpfloat (length_m / (double) (profile->n - 1), >, 64.0);
  for (gsize i = 0; i < profile->n; i++)
    {
      DwnLatLon at;

      dwn_geodesic_direct (&from, bearing_deg, profile->distance_m[i], &at, NULL);
      g_assert_cmpfloat_with_epsilon (profile->height_m[i], plane_m (at.lat_deg, at.lon_deg),
                                      1e-4);
    }
  g_assert_true (dwn_profile_is_complete (profile));
  g_assert_cmpuint (gaps.n_samples, ==, profile->n);
  g_assert_cmpuint (gaps.n_missing, ==, 0);
  g_assert_cmpuint (gaps.n_interpolated, ==, 0);
  g_assert_true (isnan (gaps.first_m));
  g_assert_cmpuint (g_strv_length (gaps.absent_cells), ==, 0);
}

typedef struct {
  const char *name;
  double max_step_m;
  double length_deg; /* northward */
  gsize n;
} Spacing;

/* A degree of latitude is 111.1 km here; tiles of 3 arc-seconds at 44.5° are 66.1 m eastward. */
static const Spacing spacings[] = {
  { "own-wish", 30.0, 0.1, 372 },
  { "tile", 1000.0, 0.1, 170 },
  { "most", 0.5, 0.2, 20001 },
  { "least", 1000.0, 0.0001, 2 },
};

static void
test_spacing (gconstpointer data)
{
  const Spacing *spacing = data;
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon from = { 44.4, -71.5 };
  DwnLatLon to = { from.lat_deg + spacing->length_deg, -71.5 };
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, spacing->max_step_m,
                                                        NULL, NULL, &error);

  g_assert_no_error (error);
  /* Within a hundredth: the figures above are rounded. */
  g_assert_cmpfloat (fabs ((double) profile->n - (double) spacing->n), <=,
                     0.01 * (double) spacing->n);
}

/* Across a small void, into a wide one, and off the tile. */
static void
test_profile_gaps (void)
{
  g_auto (SyntheticFolder) folder;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, with_voids_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon from = { 44.5, -71.9 };
  DwnLatLon to = { 44.5, -70.9 };
  gsize n_missing = 0;
  double step_deg = 1.0 / 1200.0;
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, INFINITY, &gaps, NULL,
                                                        &error);

  g_assert_no_error (error);
  for (gsize i = 0; i < profile->n; i++)
    n_missing += isnan (profile->height_m[i]) ? 1 : 0;
  g_assert_false (dwn_profile_is_complete (profile));
  g_assert_cmpuint (gaps.n_missing, ==, n_missing);
  g_assert_cmpuint (gaps.n_samples, ==, profile->n);

  /* At 44.5° a degree of longitude is 79.5 km (from memory). Nothing is known over 61 steps from
   * column 799 on and over the last tenth of a degree: 4.04 + 7.95 km; four steps are filled. */
  double sample_m = profile->distance_m[1];

  g_assert_cmpfloat_with_epsilon ((double) n_missing * sample_m, (61 * step_deg + 0.1) * 79500.0,
                                  200.0);
  g_assert_cmpfloat_with_epsilon ((double) gaps.n_interpolated * sample_m,
                                  4 * step_deg * 79500.0, 140.0);
  g_assert_cmpfloat_with_epsilon (gaps.first_m, (799 * step_deg - 0.1) * 79500.0, 140.0);
  g_assert_cmpfloat (gaps.last_m, ==, profile->distance_m[profile->n - 1]);
  g_assert_cmpuint (g_strv_length (gaps.absent_cells), ==, 1);
  g_assert_cmpstr (gaps.absent_cells[0], ==, "N44W071");
}

/* No tile at all is no error: the profile says so. */
static void
test_profile_nowhere (void)
{
  g_auto (SyntheticFolder) folder;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon from = { 10.2, 20.5 };
  DwnLatLon to = { 9.7, 20.5 };
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, INFINITY, &gaps, NULL,
                                                        &error);

  g_assert_no_error (error);
  g_assert_cmpuint (gaps.n_missing, ==, profile->n);
  g_assert_cmpuint (g_strv_length (gaps.absent_cells), ==, 2);
  g_assert_cmpstr (gaps.absent_cells[0], ==, "N09E020");
  g_assert_cmpstr (gaps.absent_cells[1], ==, "N10E020");
}

static void
test_profile_refused (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;
  DwnLatLon from = { 44.5, -71.9 };
  DwnLatLon near = { 44.6, -71.9 };
  DwnLatLon far = { 54.5, -71.9 };
  DwnLatLon off = { 95.0, -71.9 };

  g_assert_null (dwn_terrain_profile (terrain, &from, &from, INFINITY, NULL, NULL, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_PATH);
  g_clear_error (&error);
  g_assert_null (dwn_terrain_profile (terrain, &from, &far, INFINITY, NULL, NULL, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_PATH);
  g_clear_error (&error);
  g_assert_null (dwn_terrain_profile (terrain, &from, &off, INFINITY, NULL, NULL, &error));
  g_assert_error (error, DWN_GEODESIC_ERROR, DWN_GEODESIC_ERROR_DOMAIN);
  g_clear_error (&error);
  g_cancellable_cancel (cancellable);
  g_assert_null (dwn_terrain_profile (terrain, &from, &near, INFINITY, NULL, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

static void
test_profile_misuse (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  DwnLatLon from = { 44.5, -71.9 };
  DwnLatLon to = { 44.6, -71.9 };

  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*max_step_m*");
  g_assert_null (dwn_terrain_profile (terrain, &from, &to, 0.0, NULL, NULL, NULL));
  g_test_assert_expected_messages ();
}

/* Average terrain. */

static void
test_haat_plateau (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_wide (&folder, plateau_m);
  DwnLatLon at = { 44.5, -71.5 };
  double radial_m[DWN_TERRAIN_HAAT_RADIALS];

  g_assert_cmpfloat_with_epsilon (dwn_terrain_haat_m (terrain, &at, 350.0, radial_m, NULL), 250.0,
                                  1e-9);
  for (int i = 0; i < DWN_TERRAIN_HAAT_RADIALS; i++)
    g_assert_cmpfloat_with_epsilon (radial_m[i], 250.0, 1e-9);
}

/* On a plane the mean along a radial is the height in its middle, 9.5 km out. */
static void
test_haat_plane (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  DwnLatLon at = { 44.5, -71.5 };
  double radial_m[DWN_TERRAIN_HAAT_RADIALS];
  double sum_m = 0.0;
  double haat_m = dwn_terrain_haat_m (terrain, &at, 5000.0, radial_m, NULL);

  for (int i = 0; i < DWN_TERRAIN_HAAT_RADIALS; i++)
    {
      DwnLatLon middle;

      dwn_geodesic_direct (&at, 45.0 * i, 9500.0, &middle, NULL);
      /* The convergence of meridians over 16 km makes some centimetres. */
      g_assert_cmpfloat_with_epsilon (radial_m[i],
                                      5000.0 - plane_m (middle.lat_deg, middle.lon_deg), 0.2);
      g_assert_cmpfloat_with_epsilon (dwn_terrain_mean_m (terrain, &at, 45.0 * i, 3000.0, 16000.0,
                                                          NULL),
                                      5000.0 - radial_m[i], 1e-9);
      sum_m += radial_m[i];
    }
  g_assert_cmpfloat_with_epsilon (haat_m, sum_m / DWN_TERRAIN_HAAT_RADIALS, 1e-9);
}

static void
test_haat_unknown (void)
{
  g_auto (SyntheticFolder) folder;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  DwnLatLon near_edge = { 44.95, -71.5 };
  DwnLatLon off = { 95.0, -71.5 };
  double radial_m[DWN_TERRAIN_HAAT_RADIALS];

  g_assert_true (isnan (dwn_terrain_haat_m (terrain, &near_edge, 500.0, radial_m, &gaps)));
  g_assert_true (isnan (radial_m[0]));
  g_assert_false (isnan (radial_m[4]));
  g_assert_cmpstr (gaps.absent_cells[0], ==, "N45W072");
  g_assert_true (isnan (dwn_terrain_haat_m (terrain, &off, 500.0, NULL, NULL)));
}

/* Skyline. */

/* Over the sea the horizon dips by arccos (a / (a + h)) and stands at a times that angle. */
static void
test_skyline_sea (void)
{
  g_auto (SyntheticFolder) folder;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = open_wide (&folder, sea_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon at = { 44.5, -71.5 };
  double elevation_deg[8], distance_m[8];
  double dip = acos (EFFECTIVE_RADIUS_M / (EFFECTIVE_RADIUS_M + 50.0));

  g_assert_true (dwn_terrain_skyline (terrain, &at, 50.0, 8, elevation_deg, distance_m, &gaps,
                                      NULL, &error));
  g_assert_no_error (error);
  for (int i = 0; i < 8; i++)
    {
      g_assert_cmpfloat_with_epsilon (elevation_deg[i], -dip * 180.0 / G_PI, 0.001);
      /* The curve is flat there: half a step of 800 m. */
      g_assert_cmpfloat_with_epsilon (distance_m[i], dip * EFFECTIVE_RADIUS_M, 800.0);
    }
  g_assert_cmpuint (gaps.n_missing, ==, 0);
}

static void
test_skyline_wall (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, wall_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon at = { 44.5, -71.5 };
  DwnLatLon crest = { 44.75, -71.5 };
  double elevation_deg[4], distance_m[4], crest_m;

  g_assert_true (dwn_geodesic_inverse (&at, &crest, &crest_m, NULL, NULL, NULL));
  g_assert_true (dwn_terrain_skyline (terrain, &at, 10.0, 4, elevation_deg, distance_m, NULL, NULL,
                                      &error));
  g_assert_no_error (error);

  /* Elevation of the crest over an earth of 4/3, in the triangle with the centre. */
  double angle = crest_m / EFFECTIVE_RADIUS_M;
  double expected_deg = atan2 ((EFFECTIVE_RADIUS_M + 1000.0) * cos (angle)
                               - (EFFECTIVE_RADIUS_M + 10.0),
                               (EFFECTIVE_RADIUS_M + 1000.0) * sin (angle)) * 180.0 / G_PI;

  /* Samples stand up to 35 m from the crest, whose sides fall 1,000 m in 93. */
  g_assert_cmpfloat (elevation_deg[0], <=, expected_deg + 1e-6);
  g_assert_cmpfloat (elevation_deg[0], >, 0.55 * expected_deg);
  g_assert_cmpfloat_with_epsilon (distance_m[0], crest_m, 70.0);
  g_assert_cmpfloat (elevation_deg[2], <, 0.0);
}

/* Looking along a wall of one hill that does reach over several samples, to a ten-thousandth. */
static double
ridge_m (double lat_deg, double lon_deg)
{
  return MAX (0.0, 1000.0 - 60.0 * fabs (rint (1200.0 * (lat_deg - 44.75))));
}

static void
test_skyline_ridge (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, ridge_m);
  g_autoptr (GError) error = NULL;
  DwnLatLon at = { 44.5, -71.5 };
  double elevation_deg[360];
  double crest_m = 27781.0; /* 0.25° of 111.12 km */

  g_assert_true (dwn_terrain_skyline (terrain, &at, 10.0, 360, elevation_deg, NULL, NULL, NULL,
                                      &error));
  g_assert_no_error (error);
  /* Less by the curvature, d² / 2a = 45 m; a sample misses the crest by 25 m of height at most. */
  g_assert_cmpfloat_with_epsilon (elevation_deg[0],
                                  atan ((990.0 - 45.4) / crest_m) * 180.0 / G_PI, 0.06);
  /* Turning away the ridge is further off by 1 / cos. */
  g_assert_cmpfloat_with_epsilon (elevation_deg[330],
                                  atan ((990.0 - 60.6) * cos (G_PI / 6.0) / crest_m) * 180.0 / G_PI,
                                  0.06);
  g_assert_cmpfloat_with_epsilon (elevation_deg[30], elevation_deg[330], 0.06);
}

static void
test_skyline_refused (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (DwnTerrain) terrain = open_hgt (&folder, plane_m);
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;
  DwnLatLon away = { 10.5, 20.5 };
  DwnLatLon at = { 44.5, -71.5 };

  g_assert_false (dwn_terrain_skyline (terrain, &away, 10.0, 4, NULL, NULL, NULL, NULL, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NO_DATA);
  g_assert_nonnull (strstr (error->message, "N10E020"));
  g_clear_error (&error);
  g_cancellable_cancel (cancellable);
  g_assert_false (dwn_terrain_skyline (terrain, &at, 10.0, 4, NULL, NULL, NULL, cancellable,
                                       &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

static void
add_rows (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (ways); i++)
    {
      g_autofree char *path = g_strconcat ("/ground/track/", ways[i].name, NULL);

      g_test_add_data_func (path, &ways[i], test_track);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (spacings); i++)
    {
      g_autofree char *path = g_strconcat ("/ground/profile/spacing/", spacings[i].name, NULL);

      g_test_add_data_func (path, &spacings[i], test_spacing);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  add_rows ();
  g_test_add_func ("/ground/profile/plane", test_profile_plane);
  g_test_add_func ("/ground/profile/gaps", test_profile_gaps);
  g_test_add_func ("/ground/profile/nowhere", test_profile_nowhere);
  g_test_add_func ("/ground/profile/refused", test_profile_refused);
  g_test_add_func ("/ground/profile/misuse", test_profile_misuse);
  g_test_add_func ("/ground/haat/plateau", test_haat_plateau);
  g_test_add_func ("/ground/haat/plane", test_haat_plane);
  g_test_add_func ("/ground/haat/unknown", test_haat_unknown);
  g_test_add_func ("/ground/skyline/sea", test_skyline_sea);
  g_test_add_func ("/ground/skyline/wall", test_skyline_wall);
  g_test_add_func ("/ground/skyline/ridge", test_skyline_ridge);
  g_test_add_func ("/ground/skyline/refused", test_skyline_refused);
  return g_test_run ();
}
