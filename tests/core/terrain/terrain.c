/* A folder of tiles as one ground: seams, the finest tile, voids, refusals, memory, threads. */
#include "core/terrain/terrain.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <tiffio.h>
#include <unistd.h>

#include "synthetic.h"

#define SIDE_3 1201
#define HGT_BYTES (SIDE_3 * SIDE_3 * sizeof (gint16))

/* A plane with whole metres at the nodes of 3 arc-second tiles from 71 to 74 W, 43 to 45 N. */
static double
plane_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 1200.0 * (lon_deg + 74.0) + 1200.0 * (45.0 - lat_deg);
}

/* Hills that no straight line follows. */
static double
hills_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 300.0 * sin (71.0 * lat_deg) + 200.0 * cos (93.0 * lon_deg + 11.0 * lat_deg);
}

static void
write_hgt (const SyntheticFolder *folder, const char *name, int south_deg, int west_deg,
           SyntheticHeight height)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (south_deg, west_deg, SIDE_3, height);

  synthetic_write (folder, name, bytes);
}

/* One degree of cells, @per_degree columns by 60 rows; an area grid starts at its north-west
 * corner and ends short of the south-east one, as tiles of that kind do. */
static void
write_area (const SyntheticFolder *folder, const char *name, int north_deg, int west_deg,
            guint per_degree, SyntheticHeight height)
{
  SyntheticTiff tiff = {
    .west_deg = west_deg,
    .north_deg = north_deg,
    .lon_step_deg = 1.0 / per_degree,
    .lat_step_deg = 1.0 / 60.0,
    .columns = per_degree,
    .rows = 60,
    .bits = 32,
    .format = SAMPLEFORMAT_IEEEFP,
    .area = TRUE,
  };

  synthetic_write_tiff (folder, name, &tiff, height);
}

static DwnTerrain *
open_folder (const SyntheticFolder *folder)
{
  g_autoptr (GError) error = NULL;
  DwnTerrain *terrain = dwn_terrain_open (folder->path, &error);

  g_assert_no_error (error);
  return terrain;
}

static double
height_at (DwnTerrain *terrain, double lat_deg, double lon_deg)
{
  DwnLatLon at = { lat_deg, lon_deg };

  return dwn_terrain_height_m (terrain, &at);
}

static void
test_empty (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);
  g_auto (GStrv) problems = dwn_terrain_dup_problems (terrain);

  g_assert_cmpuint (dwn_terrain_count_tiles (terrain), ==, 0);
  g_assert_cmpuint (g_strv_length (problems), ==, 0);
  g_assert_true (isnan (height_at (terrain, 44.5, -71.5)));
}

static void
test_no_folder (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_terrain_open ("/nowhere/at/all", &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
}

/* Two tiles that share a column of nodes, with a slope across the seam. */
static void
test_point_seam (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_hgt (&folder, "N44W073.hgt", 44, -73, plane_m);
  write_hgt (&folder, "N44W072.hgt", 44, -72, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  for (double lat_deg = 44.0; lat_deg <= 45.0; lat_deg += 0.0371)
    for (int i = -20; i <= 20; i++)
      {
        double lon_deg = -72.0 + i / 7000.0;

        g_assert_cmpfloat_with_epsilon (height_at (terrain, lat_deg, lon_deg),
                                        plane_m (lat_deg, lon_deg), 1e-8);
      }
  g_assert_true (isnan (height_at (terrain, 44.5, -73.001)));
  g_assert_true (isnan (height_at (terrain, 45.001, -72.5)));
}

/* Four area tiles meet where none has nodes all around, and the northern ones have fewer
 * columns. A plane must come out a plane, in the strips and in the corner too. */
static void
test_area_seam_plane (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_area (&folder, "a.tif", 44, -73, 60, plane_m);
  write_area (&folder, "b.tif", 44, -72, 60, plane_m);
  write_area (&folder, "c.tif", 45, -73, 40, plane_m);
  write_area (&folder, "d.tif", 45, -72, 40, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  for (double lat_deg = 43.9; lat_deg < 44.1; lat_deg += 0.00311)
    for (double lon_deg = -72.1; lon_deg < -71.9; lon_deg += 0.00273)
      /* Samples are floats of some 3,000 m. */
      g_assert_cmpfloat_with_epsilon (height_at (terrain, lat_deg, lon_deg),
                                      plane_m (lat_deg, lon_deg), 1e-3);
}

/* Over hills there is no formula between the nodes, but no step either, wherever one goes. */
static void
test_area_seam_steady (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_area (&folder, "a.tif", 44, -73, 60, hills_m);
  write_area (&folder, "b.tif", 44, -72, 60, hills_m);
  write_area (&folder, "c.tif", 45, -73, 40, hills_m);
  write_area (&folder, "d.tif", 45, -72, 40, hills_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  for (double lon_deg = -72.9; lon_deg < -71.1; lon_deg += 0.0137)
    {
      double before_m = height_at (terrain, 43.95, lon_deg);

      for (double lat_deg = 43.95; lat_deg < 44.05; lat_deg += 0.0001)
        {
          double height_m = height_at (terrain, lat_deg, lon_deg);

          /* At most 25,000 m a degree, that is 2.5 m a step. */
          g_assert_cmpfloat (fabs (height_m - before_m), <, 2.6);
          before_m = height_m;
        }
    }
}

/* The outer half cell of a tile that stands alone; beyond that nothing is known. */
static void
test_rim (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_area (&folder, "a.tif", 44, -73, 60, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);
  double last_lat_deg = 43.0 + 1.0 / 60.0;

  g_assert_cmpfloat_with_epsilon (height_at (terrain, last_lat_deg - 0.4 / 60.0, -72.5),
                                  plane_m (last_lat_deg, -72.5), 1e-3);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.0 + 0.4 / 60.0, -73.0 - 0.4 / 60.0),
                                  plane_m (44.0, -73.0), 1e-3);
  g_assert_true (isnan (height_at (terrain, last_lat_deg - 0.6 / 60.0, -72.5)));
  g_assert_true (isnan (height_at (terrain, 44.0 + 0.6 / 60.0, -72.5)));
}

static double
low_m (double lat_deg, double lon_deg)
{
  return 100.0;
}

/* 200 m with a void in the middle half a degree wide. */
static double
high_with_void_m (double lat_deg, double lon_deg)
{
  return fabs (lat_deg - 44.5) < 0.25 && fabs (lon_deg + 71.5) < 0.25 ? -32768.0 : 200.0;
}

static void
test_finest (void)
{
  SyntheticTiff coarse = {
    .west_deg = -75.0, .north_deg = 47.0, .lon_step_deg = 0.1, .lat_step_deg = 0.1,
    .columns = 61, .rows = 51,
  };
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  synthetic_write_tiff (&folder, "a-coarse.tif", &coarse, low_m);
  write_hgt (&folder, "N44W072.hgt", 44, -72, high_with_void_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  g_assert_cmpuint (dwn_terrain_count_tiles (terrain), ==, 2);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.1, -71.9), 200.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.0, -72.0), 200.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -71.5), 100.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 43.5, -71.5), 100.0, 1e-9);
  /* Within one fine step of the edge the ground runs from the one to the other. */
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -72.0 - 0.25 / 1200.0), 175.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -72.0 - 1.01 / 1200.0), 100.0, 1e-6);
  /* Coming from the coarse tile, the fine one must not be missed. */
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.9, -71.9), 200.0, 1e-9);
}

static double
wrapped_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 600.0 * (lon_deg > 0.0 ? lon_deg - 180.0 : lon_deg + 180.0);
}

/* Tiles that reach five columns into each other, as some makers cut them. */
static void
test_overlap (void)
{
  SyntheticTiff west = {
    .west_deg = -73.0, .north_deg = 45.0, .lon_step_deg = 1.0 / 120.0, .lat_step_deg = 1.0 / 120.0,
    .columns = 123, .rows = 121,
  };
  SyntheticTiff east = west;
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  east.west_deg = -72.0 - 2.0 / 120.0;
  synthetic_write_tiff (&folder, "west.tif", &west, plane_m);
  synthetic_write_tiff (&folder, "east.tif", &east, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  for (double lon_deg = -72.1; lon_deg < -71.9; lon_deg += 0.00071)
    g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.3, lon_deg), plane_m (44.3, lon_deg),
                                    1e-8);
}

static void
test_antimeridian (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_area (&folder, "e179.tif", 1, 179, 60, wrapped_m);
  write_area (&folder, "w180.tif", 1, -180, 60, wrapped_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  for (double away_deg = -0.05; away_deg < 0.05; away_deg += 0.0017)
    {
      double lon_deg = away_deg < 0.0 ? 180.0 + away_deg : -180.0 + away_deg;

      g_assert_cmpfloat_with_epsilon (height_at (terrain, 0.5, lon_deg), 1000.0 + 600.0 * away_deg,
                                      1e-3);
    }
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 0.5, 180.0), 1000.0, 1e-3);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 0.5, -180.0), 1000.0, 1e-3);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 0.5, 180.5), 1300.0, 1e-3);
}

static void
test_off_earth (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_area (&folder, "a.tif", 44, -73, 60, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  g_assert_true (isnan (height_at (terrain, 90.5, -72.5)));
  g_assert_true (isnan (height_at (terrain, (double) NAN, -72.5)));
  g_assert_true (isnan (height_at (terrain, 43.5, INFINITY)));
  g_assert_true (isnan (height_at (terrain, 90.0, 0.0)));
  g_assert_true (isnan (height_at (terrain, -90.0, 0.0)));
}

static void
test_subfolders (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);

  SyntheticFolder inner = { synthetic_folder_file (&folder, "N40") };
  g_autofree char *circle = synthetic_folder_file (&inner, "circle");

  g_assert_cmpint (g_mkdir (inner.path, 0700), ==, 0);
  g_assert_cmpint (symlink (folder.path, circle), ==, 0);
  write_hgt (&inner, "N44W072.hgt", 44, -72, plane_m);
  g_free (inner.path);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  g_assert_cmpuint (dwn_terrain_count_tiles (terrain), ==, 1);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -71.5), plane_m (44.5, -71.5), 1e-8);
}

static void
assert_problem (char **problems, const char *name, const char *text)
{
  for (char **line = problems; *line != NULL; line++)
    if (g_str_has_prefix (*line, name) && strstr (*line, text) != NULL)
      return;
  g_error ("no problem with %s is told", name);
}

/* What is refused is told, and the rest of the folder works. */
static void
test_problems (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (GBytes) text = g_bytes_new_static ("not a tile", 10);
  SyntheticTiff projected = {
    .west_deg = 500.0, .north_deg = 900.0, .lon_step_deg = 30.0, .lat_step_deg = 30.0,
    .columns = 20, .rows = 20, .model_type = 1, .projected_type = 32619,
  };

  synthetic_folder_init (&folder);
  synthetic_write (&folder, "N45W072.hgt", text);
  synthetic_write (&folder, "readme.txt", text);
  synthetic_write_tiff (&folder, "utm.tif", &projected, low_m);
  write_hgt (&folder, "N44W072.hgt", 44, -72, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);
  g_auto (GStrv) problems = dwn_terrain_dup_problems (terrain);

  g_assert_cmpuint (g_strv_length (problems), ==, 2);
  assert_problem (problems, "N45W072.hgt: ", "10 bytes");
  assert_problem (problems, "utm.tif: ", "EPSG:4326");
  g_assert_cmpuint (dwn_terrain_count_tiles (terrain), ==, 1);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -71.5), plane_m (44.5, -71.5), 1e-8);
}

/* A tile whose headers are fine and whose heights are not: told when they are asked for. */
static void
test_broken_tile (void)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, plane_m);
  SyntheticMember member = { .name = "N44W072.hgt", .bytes = bytes };
  g_autoptr (GBytes) zip = synthetic_archive (&member, 1, FALSE);
  g_autoptr (GByteArray) bent = g_bytes_unref_to_array (g_steal_pointer (&zip));

  memset (bent->data + bent->len / 2, 0x5a, 100);

  g_autoptr (GBytes) packed = g_bytes_new (bent->data, bent->len);

  synthetic_folder_init (&folder);
  synthetic_write (&folder, "N44W072.hgt.zip", packed);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);
  g_auto (GStrv) before = dwn_terrain_dup_problems (terrain);

  g_assert_cmpuint (g_strv_length (before), ==, 0);
  for (int i = 0; i < 3; i++)
    g_assert_true (isnan (height_at (terrain, 44.1 + 0.2 * i, -71.5)));

  g_auto (GStrv) problems = dwn_terrain_dup_problems (terrain);

  g_assert_cmpuint (g_strv_length (problems), ==, 1);
  assert_problem (problems, "N44W072.hgt.zip: ", "unpacked");
}

/* Room for two tiles of three. */
static void
test_cache (void)
{
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  write_hgt (&folder, "N44W072.hgt", 44, -72, plane_m);
  write_hgt (&folder, "N44W073.hgt", 44, -73, plane_m);
  write_hgt (&folder, "N44W074.hgt", 44, -74, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  dwn_terrain_set_cache_bytes (terrain, 2 * HGT_BYTES + 1000);
  for (int turn = 0; turn < 2; turn++)
    for (double lon_deg = -73.95; lon_deg < -71.0; lon_deg += 0.1)
      {
        g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.3, lon_deg),
                                        plane_m (44.3, lon_deg), 1e-8);
        g_assert_cmpuint (dwn_terrain_get_cached_bytes (terrain), <=, 2 * HGT_BYTES + 1000);
      }
  g_assert_cmpuint (dwn_terrain_get_cached_bytes (terrain), >, HGT_BYTES);
  dwn_terrain_set_cache_bytes (terrain, 0);
  g_assert_cmpuint (dwn_terrain_get_cached_bytes (terrain), <, HGT_BYTES + 1000);
}

static gpointer
walk_thread (gpointer data)
{
  DwnTerrain *terrain = data;
  g_autoptr (GRand) random = g_rand_new_with_seed (1);

  for (int i = 0; i < 300; i++)
    {
      double lat_deg = g_rand_double_range (random, 44.0, 45.0);
      double lon_deg = g_rand_double_range (random, -74.0, -71.0);

      if (fabs (height_at (terrain, lat_deg, lon_deg) - plane_m (lat_deg, lon_deg)) > 1e-8)
        return GINT_TO_POINTER (1);
    }
  return NULL;
}

static void
test_threads (void)
{
  g_auto (SyntheticFolder) folder;
  GThread *threads[4];

  synthetic_folder_init (&folder);
  write_hgt (&folder, "N44W072.hgt", 44, -72, plane_m);
  write_hgt (&folder, "N44W073.hgt", 44, -73, plane_m);
  write_hgt (&folder, "N44W074.hgt", 44, -74, plane_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  dwn_terrain_set_cache_bytes (terrain, 2 * HGT_BYTES + 1000);
  for (gsize i = 0; i < G_N_ELEMENTS (threads); i++)
    threads[i] = g_thread_new ("walk", walk_thread, terrain);
  for (gsize i = 0; i < G_N_ELEMENTS (threads); i++)
    g_assert_null (g_thread_join (threads[i]));
}

/* An image of 17 million cells is read by windows; across their seams it is one plane. */
static double
gentle_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 1000.0 * (lon_deg + 72.0) + 2000.0 * (45.0 - lat_deg);
}

static void
test_windows (void)
{
  SyntheticTiff tiff = {
    .west_deg = -72.0, .north_deg = 45.0, .lon_step_deg = 0.001, .lat_step_deg = 0.001,
    .columns = 4300, .rows = 4000, .tile_side = 256,
  };
  g_auto (SyntheticFolder) folder;

  synthetic_folder_init (&folder);
  synthetic_write_tiff (&folder, "large.tif", &tiff, gentle_m);

  g_autoptr (DwnTerrain) terrain = open_folder (&folder);

  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.5, -71.5), gentle_m (44.5, -71.5), 1e-6);
  /* One window of the image of 34 MB. */
  g_assert_cmpuint (dwn_terrain_get_cached_bytes (terrain), <=, 2049 * 2049 * 2 + 1000);
  /* Windows are 2,048 columns and rows: seams at 2.048° and 4.096° from the corner. Heights above
   * 9,000 m, in the south, are voids. */
  for (double lat_deg = 43.0; lat_deg > 42.9; lat_deg -= 0.00313)
    for (double lon_deg = -70.0; lon_deg < -69.9; lon_deg += 0.00337)
      g_assert_cmpfloat_with_epsilon (height_at (terrain, lat_deg, lon_deg),
                                      gentle_m (lat_deg, lon_deg), 1e-6);
  g_assert_cmpfloat_with_epsilon (height_at (terrain, 44.9, -67.85), gentle_m (44.9, -67.85),
                                  1e-6);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/terrain/empty", test_empty);
  g_test_add_func ("/terrain/no-folder", test_no_folder);
  g_test_add_func ("/terrain/seam/point", test_point_seam);
  g_test_add_func ("/terrain/seam/area-plane", test_area_seam_plane);
  g_test_add_func ("/terrain/seam/area-steady", test_area_seam_steady);
  g_test_add_func ("/terrain/rim", test_rim);
  g_test_add_func ("/terrain/finest", test_finest);
  g_test_add_func ("/terrain/overlap", test_overlap);
  g_test_add_func ("/terrain/antimeridian", test_antimeridian);
  g_test_add_func ("/terrain/off-earth", test_off_earth);
  g_test_add_func ("/terrain/subfolders", test_subfolders);
  g_test_add_func ("/terrain/problems", test_problems);
  g_test_add_func ("/terrain/broken-tile", test_broken_tile);
  g_test_add_func ("/terrain/cache", test_cache);
  g_test_add_func ("/terrain/threads", test_threads);
  g_test_add_func ("/terrain/windows", test_windows);
  return g_test_run ();
}
