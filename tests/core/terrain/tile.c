/* Positions, bilinear heights and voids on tiles whose heights follow a formula. */
#include "core/terrain/tile.h"

#include <math.h>

#define COLUMNS 31
#define ROWS 21

/* 3 arc-seconds at the equator: a step is 92.66 m on a sphere of 6,371 km, both ways. */
static const DwnTileGrid grid = {
  .west_deg = 10.0,
  .north_deg = 0.0,
  .lon_step_deg = 1.0 / 1200.0,
  .lat_step_deg = 1.0 / 1200.0,
  .columns = COLUMNS,
  .rows = ROWS,
};

/* Bilinear, so that sampling between nodes gives it back. */
static double
surface_m (double column, double row)
{
  return 100.0 + 3.0 * column - 2.0 * row + 0.25 * column * row;
}

/* A plane, which straight lines give back whichever way they run. */
static double
plane_m (double column, double row)
{
  return 400.0 + 7.0 * column - 5.0 * row;
}

static float *
make_floats (double (*height_m) (double column, double row))
{
  float *samples = g_new (float, COLUMNS * ROWS);

  for (guint row = 0; row < ROWS; row++)
    for (guint column = 0; column < COLUMNS; column++)
      samples[row * COLUMNS + column] = (float) height_m (column, row);
  return samples;
}

static void
test_bilinear (void)
{
  g_autoptr (DwnTile) tile = dwn_tile_new_take_float (&grid, make_floats (surface_m));

  for (double row = 0.0; row <= ROWS - 1; row += 0.37)
    for (double column = 0.0; column <= COLUMNS - 1; column += 0.41)
      g_assert_cmpfloat_with_epsilon (dwn_tile_height_m (tile, column, row, NULL),
                                      surface_m (column, row), 1e-10);
  g_assert_cmpfloat (dwn_tile_sample_m (tile, 4, 8), ==, surface_m (4, 8));
  g_assert_cmpfloat (dwn_tile_height_m (tile, COLUMNS - 1, ROWS - 1, NULL), ==,
                     surface_m (COLUMNS - 1, ROWS - 1));
}

static void
test_outside (void)
{
  g_autoptr (DwnTile) tile = dwn_tile_new_take_float (&grid, make_floats (surface_m));
  const double outside[][2] = {
    { -1e-9, 0 }, { 0, -1e-9 }, { COLUMNS - 1 + 1e-9, 0 }, { 0, ROWS - 1 + 1e-9 },
    { (double) NAN, 0 }, { 0, (double) NAN }, { INFINITY, 0 }, { 0, -INFINITY },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (outside); i++)
    g_assert_true (isnan (dwn_tile_height_m (tile, outside[i][0], outside[i][1], NULL)));
}

static void
test_int16_equals_float (void)
{
  gint16 *whole = g_new (gint16, COLUMNS * ROWS);

  for (guint i = 0; i < COLUMNS * ROWS; i++)
    whole[i] = (gint16) (i % COLUMNS * 7 + i / COLUMNS * 3);

  g_autoptr (DwnTile) tile = dwn_tile_new_take_int16 (&grid, whole);

  g_assert_cmpfloat (dwn_tile_height_m (tile, 2.5, 3.25, NULL), ==, 2.5 * 7 + 3.25 * 3);
  g_assert_cmpuint (dwn_tile_get_bytes (tile), >=, COLUMNS * ROWS * sizeof (gint16));
  g_assert_cmpuint (dwn_tile_count_voids (tile), ==, 0);
}

/* Marks of voids: SRTM (USGS SRTM Topo documentation), and values common in GeoTIFF (common
 * practice, no source); heights at the edge of what the earth has are none. */
typedef struct {
  const char *name;
  double value;
  gboolean is_void;
} Mark;

static const Mark marks[] = {
  { "srtm", -32768.0, TRUE },
  { "minus-32767", -32767.0, TRUE },
  { "minus-9999", -9999.0, TRUE },
  { "float-lowest", -3.4e38, TRUE },
  { "float-highest", 3.4e38, TRUE },
  { "not-a-number", NAN, TRUE },
  { "infinite", INFINITY, TRUE },
  { "dead-sea-shore", -430.0, FALSE },
  { "highest-summit", 8849.0, FALSE },
  { "sea", 0.0, FALSE },
};

static void
test_mark (gconstpointer data)
{
  const Mark *mark = data;
  float *samples = make_floats (plane_m);

  samples[5 * COLUMNS + 6] = (float) mark->value;

  g_autoptr (DwnTile) tile = dwn_tile_new_take_float (&grid, samples);

  g_assert_cmpuint (dwn_tile_count_voids (tile), ==, mark->is_void ? 1 : 0);
  g_assert_cmpint (isnan (dwn_tile_sample_m (tile, 6, 5)) != 0, ==, mark->is_void != 0);
}

static DwnTile *
make_void (guint first_column, guint first_row, guint columns, guint rows)
{
  float *samples = make_floats (plane_m);

  for (guint row = first_row; row < first_row + rows; row++)
    for (guint column = first_column; column < first_column + columns; column++)
      samples[row * COLUMNS + column] = NAN;
  return dwn_tile_new_take_float (&grid, samples);
}

/* 600 m are 6.47 steps here: lines of up to 6 steps are used. */
static void
test_small_void (void)
{
  g_autoptr (DwnTile) tile = make_void (10, 8, 5, 4);

  for (double row = 7.0; row <= 12.5; row += 0.25)
    for (double column = 9.0; column <= 15.5; column += 0.25)
      {
        gboolean filled = FALSE;
        /* Void nodes are 10 … 14 and 8 … 11; they count wherever they have a weight. */
        gboolean touched = column > 9.0 && column < 15.0 && row > 7.0 && row < 12.0;

        g_assert_cmpfloat_with_epsilon (dwn_tile_height_m (tile, column, row, &filled),
                                        plane_m (column, row), 1e-9);
        g_assert_cmpint (filled, ==, touched);
      }
}

static void
test_long_void (void)
{
  g_autoptr (DwnTile) tile = make_void (2, 8, 25, 3);
  gboolean filled = FALSE;

  g_assert_cmpfloat_with_epsilon (dwn_tile_height_m (tile, 14.0, 9.0, &filled),
                                  plane_m (14.0, 9.0), 1e-9);
  g_assert_true (filled);
}

static void
test_wide_void (void)
{
  g_autoptr (DwnTile) tile = make_void (5, 5, 10, 10);
  gboolean filled = FALSE;

  g_assert_true (isnan (dwn_tile_height_m (tile, 9.0, 9.0, &filled)));
  g_assert_true (isnan (dwn_tile_height_m (tile, 4.5, 9.0, &filled)));
  g_assert_false (filled);
  /* On the last known column, the void beside it has no weight. */
  g_assert_cmpfloat (dwn_tile_height_m (tile, 4.0, 9.0, &filled), ==, plane_m (4.0, 9.0));
}

static void
test_void_at_edge (void)
{
  g_autoptr (DwnTile) corner = make_void (0, 0, 3, 3);
  g_autoptr (DwnTile) side = make_void (10, 0, 3, 1);

  g_assert_true (isnan (dwn_tile_height_m (corner, 1.0, 1.0, NULL)));
  g_assert_cmpfloat_with_epsilon (dwn_tile_height_m (side, 11.0, 0.0, NULL), plane_m (11.0, 0.0),
                                  1e-9);
}

/* Steps of 3 arc-seconds eastward are half as long at 60° north. */
static void
test_void_in_metres (void)
{
  DwnTileGrid north = grid;
  float *samples = make_floats (plane_m);

  north.north_deg = 60.0;
  for (guint row = 0; row < ROWS; row++)
    for (guint column = 10; column < 21; column++)
      samples[row * COLUMNS + column] = NAN;

  g_autoptr (DwnTile) tile = dwn_tile_new_take_float (&north, samples);

  g_assert_cmpfloat_with_epsilon (dwn_tile_height_m (tile, 15.0, 10.0, NULL),
                                  plane_m (15.0, 10.0), 1e-9);
}

typedef struct {
  const char *name;
  double lat_deg, lon_deg;
  double column, row;
} Place;

static const Place places[] = {
  { "corner", 0.0, 10.0, 0.0, 0.0 },
  { "inside", -0.0125, 10.01, 12.0, 15.0 },
  { "a-turn-east", -0.0125, 370.01, 12.0, 15.0 },
  { "a-turn-west", -0.0125, -349.99, 12.0, 15.0 },
  { "north-west-of-it", 0.01, 9.99, -12.0, -12.0 },
};

static void
test_locate (gconstpointer data)
{
  const Place *place = data;
  DwnLatLon at = { place->lat_deg, place->lon_deg };
  double column, row;

  dwn_tile_grid_locate (&grid, &at, &column, &row);
  g_assert_cmpfloat_with_epsilon (column, place->column, 1e-9);
  g_assert_cmpfloat_with_epsilon (row, place->row, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_tile_grid_lat_deg (&grid, row), place->lat_deg, 1e-12);
}

static void
test_antimeridian (void)
{
  DwnTileGrid east = grid;
  DwnLatLon at = { 0.0, -180.0 };
  double column, row;

  east.west_deg = 180.0 - (COLUMNS - 1) / 1200.0;
  dwn_tile_grid_locate (&east, &at, &column, &row);
  g_assert_cmpfloat_with_epsilon (column, COLUMNS - 1, 1e-9);
  east.west_deg = -180.0;
  at.lon_deg = 180.0;
  dwn_tile_grid_locate (&east, &at, &column, &row);
  g_assert_cmpfloat_with_epsilon (column, 0.0, 1e-9);
}

static void
test_snap (void)
{
  double column = -0.00005;
  double row = ROWS - 1 + 0.00005;

  g_assert_true (dwn_tile_grid_snap (&grid, &column, &row));
  g_assert_cmpfloat (column, ==, 0.0);
  g_assert_cmpfloat (row, ==, ROWS - 1);
  column = -0.001;
  row = -0.00005;
  g_assert_false (dwn_tile_grid_snap (&grid, &column, &row));
  g_assert_cmpfloat (column, ==, -0.001);
  g_assert_cmpfloat (row, ==, 0.0);
}

static void
test_step (void)
{
  /* 2π · 6,371,000 m / 360 / 1200 = 92.663 m; half of it eastward at 60°. */
  g_assert_cmpfloat_with_epsilon (dwn_tile_grid_step_m (&grid, 0.0), 92.6627, 1e-3);
  g_assert_cmpfloat_with_epsilon (dwn_tile_grid_step_m (&grid, 60.0), 46.3313, 1e-3);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/tile/bilinear", test_bilinear);
  g_test_add_func ("/tile/outside", test_outside);
  g_test_add_func ("/tile/int16-equals-float", test_int16_equals_float);
  for (gsize i = 0; i < G_N_ELEMENTS (marks); i++)
    {
      g_autofree char *path = g_strconcat ("/tile/mark/", marks[i].name, NULL);

      g_test_add_data_func (path, &marks[i], test_mark);
    }
  g_test_add_func ("/tile/void/small", test_small_void);
  g_test_add_func ("/tile/void/long", test_long_void);
  g_test_add_func ("/tile/void/wide", test_wide_void);
  g_test_add_func ("/tile/void/at-edge", test_void_at_edge);
  g_test_add_func ("/tile/void/in-metres", test_void_in_metres);
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      g_autofree char *path = g_strconcat ("/tile/locate/", places[i].name, NULL);

      g_test_add_data_func (path, &places[i], test_locate);
    }
  g_test_add_func ("/tile/antimeridian", test_antimeridian);
  g_test_add_func ("/tile/snap", test_snap);
  g_test_add_func ("/tile/step", test_step);
  return g_test_run ();
}
