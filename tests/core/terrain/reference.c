/* Real tiles: the open data that DOWNLEAD_REFERENCE_DATA names. */
#include "core/geo/datum.h"
#include "core/terrain/hgt.h"
#include "core/terrain/terrain.h"

#include <math.h>

#define N 1201

static char *
reference_path (const char *name)
{
  const char *folder = g_getenv ("DOWNLEAD_REFERENCE_DATA");

  g_assert_nonnull (folder);
  return g_build_filename (folder, "terrain", name, NULL);
}

static DwnTile *
read_tile (const char *name)
{
  g_autofree char *path = reference_path (name);
  g_autoptr (GError) error = NULL;
  DwnTile *tile = dwn_hgt_read (path, &error);

  g_assert_no_error (error);
  return tile;
}

static DwnTerrain *
open_terrain (void)
{
  g_autofree char *path = reference_path (".");
  g_autoptr (GError) error = NULL;
  DwnTerrain *terrain = dwn_terrain_open (path, &error);

  g_assert_no_error (error);
  return terrain;
}

/* From the README of the data: number of voids in each tile. */
typedef struct {
  const char *name;
  gsize n_voids;
} Voids;

static const Voids voids[] = {
  { "N44W072.hgt", 0 },
  { "N49E011.hgt.zip", 20 },
  { "N50E011.hgt.zip", 8 },
  { "N43E007.hgt.zip", 1595 },
};

static void
test_voids (gconstpointer data)
{
  const Voids *expected = data;
  g_autoptr (DwnTile) tile = read_tile (expected->name);

  g_assert_cmpuint (dwn_tile_count_voids (tile), ==, expected->n_voids);
}

/* From the same: 115 to 1908 m, the maximum at 44.2708 N 71.3033 W. */
static void
test_summit (void)
{
  g_autoptr (DwnTile) tile = read_tile ("N44W072.hgt");
  const DwnTileGrid *grid = dwn_tile_get_grid (tile);
  double lowest_m = INFINITY;
  double highest_m = -INFINITY;
  DwnLatLon summit = { 0 };

  for (guint row = 0; row < N; row++)
    for (guint column = 0; column < N; column++)
      {
        double height_m = dwn_tile_sample_m (tile, column, row);

        lowest_m = MIN (lowest_m, height_m);
        if (height_m <= highest_m)
          continue;
        highest_m = height_m;
        summit.lat_deg = dwn_tile_grid_lat_deg (grid, row);
        summit.lon_deg = dwn_tile_grid_lon_deg (grid, column);
      }
  g_assert_cmpfloat (lowest_m, ==, 115.0);
  g_assert_cmpfloat (highest_m, ==, 1908.0);
  g_assert_cmpfloat_with_epsilon (summit.lat_deg, 44.2708, 0.0001);
  g_assert_cmpfloat_with_epsilon (summit.lon_deg, -71.3033, 0.0001);

  g_autoptr (DwnTerrain) terrain = open_terrain ();

  g_assert_cmpfloat_with_epsilon (dwn_terrain_height_m (terrain, &summit), 1908.0, 1e-6);
}

/* The row at 50° N stands in both tiles; whichever is asked, it is the same ground. */
static void
test_seam (void)
{
  g_autoptr (DwnTile) south = read_tile ("N49E011.hgt.zip");
  g_autoptr (DwnTile) north = read_tile ("N50E011.hgt.zip");
  g_autoptr (DwnTerrain) terrain = open_terrain ();

  for (guint column = 0; column < N; column++)
    {
      DwnLatLon at = { 50.0, 11.0 + column / 1200.0 };
      DwnLatLon below = { 50.0 - 1e-9, at.lon_deg };
      DwnLatLon above = { 50.0 + 1e-9, at.lon_deg };
      double height_m = dwn_terrain_height_m (terrain, &at);

      g_assert_cmpfloat (dwn_tile_sample_m (south, column, 0), ==,
                         dwn_tile_sample_m (north, column, N - 1));
      g_assert_cmpfloat_with_epsilon (height_m, dwn_tile_sample_m (south, column, 0), 1e-6);
      g_assert_cmpfloat_with_epsilon (dwn_terrain_height_m (terrain, &below), height_m, 1e-3);
      g_assert_cmpfloat_with_epsilon (dwn_terrain_height_m (terrain, &above), height_m, 1e-3);
    }
}

/* Old licence records are in NAD27. */
static DwnLatLon
shifted (double lat_deg, double lon_deg)
{
  DwnLatLon nad27 = { lat_deg, lon_deg };
  DwnLatLon wgs84;

  g_assert_true (dwn_datum_nad27_to_wgs84 (&nad27, &wgs84, NULL));
  return wgs84;
}

/* From the README: height above average terrain of WLED, 8 radials N to NW; 390.8 m licensed. The
 * record gives 44°21'9.8" N 71°44'14.7" W and a radiation centre 744.2 m above sea level. The
 * figures are on a sphere of 6,371 km and another datum shift, which move the far end of a radial
 * by up to 50 m on these slopes; a metre or two on a single radial, less on the mean, is the
 * tolerance. */
static void
test_haat (void)
{
  static const double expected_m[DWN_TERRAIN_HAAT_RADIALS] = { 366.7, 344.7, 387.9, 372.7,
                                                               372.1, 423.8, 441.0, 377.8 };
  g_autoptr (DwnTerrain) terrain = open_terrain ();
  g_auto (DwnTerrainGaps) gaps = { 0 };
  DwnLatLon site = shifted (44.0 + 21.0 / 60.0 + 9.8 / 3600.0,
                            -(71.0 + 44.0 / 60.0 + 14.7 / 3600.0));
  double radial_m[DWN_TERRAIN_HAAT_RADIALS];
  double haat_m = dwn_terrain_haat_m (terrain, &site, 744.2, radial_m, &gaps);

  g_assert_cmpfloat_with_epsilon (haat_m, 385.8, 0.4);
  for (int i = 0; i < DWN_TERRAIN_HAAT_RADIALS; i++)
    g_assert_cmpfloat_with_epsilon (radial_m[i], expected_m[i], 2.5);
  g_assert_cmpuint (gaps.n_missing, ==, 0);
}

/* From the README: the house at 44.2800 N 71.6900 W stands 445 m above the sea. */
static void
test_house (void)
{
  g_autoptr (DwnTerrain) terrain = open_terrain ();
  DwnLatLon house = { 44.28, -71.69 };

  g_assert_cmpfloat_with_epsilon (dwn_terrain_height_m (terrain, &house), 445.0, 0.5);
}

/* From the README: from the same house, 10 m above the ground, the path to WVTB (44°34'16" N
 * 71°53'39" W, 1,022.4 m above the sea) is blocked by 60 to 64 m near 9.2 km from the house on an
 * earth of 4/3, whether sampled every 10 or every 90 m. */
static void
test_blocked (gconstpointer data)
{
  double max_step_m = GPOINTER_TO_INT (data);
  g_autoptr (DwnTerrain) terrain = open_terrain ();
  g_autoptr (GError) error = NULL;
  DwnLatLon house = { 44.28, -71.69 };
  DwnLatLon station = shifted (44.0 + 34.0 / 60.0 + 16.0 / 3600.0,
                               -(71.0 + 53.0 / 60.0 + 39.0 / 3600.0));
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &station, &house, max_step_m, NULL,
                                                        NULL, &error);
  double worst_m = -INFINITY;
  double worst_at_m = 0.0;

  g_assert_no_error (error);

  double length_m = profile->distance_m[profile->n - 1];
  double house_m = profile->height_m[profile->n - 1] + 10.0;

  for (gsize i = 1; i + 1 < profile->n; i++)
    {
      double d_m = profile->distance_m[i];
      double line_m = 1022.4 + (house_m - 1022.4) * d_m / length_m;
      double bulge_m = d_m * (length_m - d_m) / (2.0 * 6371000.0 * 4.0 / 3.0);
      double above_m = profile->height_m[i] + bulge_m - line_m;

      if (above_m <= worst_m)
        continue;
      worst_m = above_m;
      worst_at_m = length_m - d_m;
    }
  g_assert_cmpfloat (worst_m, >=, 60.0);
  g_assert_cmpfloat (worst_m, <=, 64.0);
  g_assert_cmpfloat_with_epsilon (worst_at_m, 9200.0, 100.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (voids); i++)
    {
      g_autofree char *path = g_strconcat ("/reference/voids/", voids[i].name, NULL);

      g_test_add_data_func (path, &voids[i], test_voids);
    }
  g_test_add_func ("/reference/summit", test_summit);
  g_test_add_func ("/reference/seam", test_seam);
  g_test_add_func ("/reference/haat", test_haat);
  g_test_add_func ("/reference/house", test_house);
  g_test_add_data_func ("/reference/blocked/10-m", GINT_TO_POINTER (10), test_blocked);
  g_test_add_data_func ("/reference/blocked/30-m", GINT_TO_POINTER (30), test_blocked);
  g_test_add_data_func ("/reference/blocked/90-m", GINT_TO_POINTER (90), test_blocked);
  return g_test_run ();
}
