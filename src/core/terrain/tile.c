#include "core/terrain/tile.h"

#include <math.h>

/* A tile in degrees needs metres only to judge steps and voids; a sphere does. */
#define METRES_PER_DEGREE (6371000.0 * G_PI / 180.0)
#define SNAP_STEPS 1e-4
#define WIDEST_SMALL_VOID_M 600.0 /* common practice, no source */
#define LOWEST_GROUND_M (-500.0)
#define HIGHEST_GROUND_M 9000.0

struct _DwnTile {
  gatomicrefcount ref_count;
  DwnTileGrid grid;
  gint16 *whole;   /* one of the two is NULL */
  float *fraction;
};

G_DEFINE_QUARK (dwn-terrain-error-quark, dwn_terrain_error)

gboolean
dwn_tile_grid_equal (const DwnTileGrid *a, const DwnTileGrid *b)
{
  return a->columns == b->columns && a->rows == b->rows && a->west_deg == b->west_deg
         && a->north_deg == b->north_deg && a->lon_step_deg == b->lon_step_deg
         && a->lat_step_deg == b->lat_step_deg && a->registration == b->registration;
}

void
dwn_tile_grid_locate (const DwnTileGrid *grid, const DwnLatLon *at, double *column, double *row)
{
  double half_width_deg = 0.5 * grid->lon_step_deg * (grid->columns - 1);
  double east_of_west_deg = at->lon_deg - grid->west_deg;

  if (east_of_west_deg - half_width_deg > 180.0)
    east_of_west_deg -= 360.0;
  else if (east_of_west_deg - half_width_deg < -180.0)
    east_of_west_deg += 360.0;
  *column = east_of_west_deg / grid->lon_step_deg;
  *row = (grid->north_deg - at->lat_deg) / grid->lat_step_deg;
}

static gboolean
snap_between (double last, double *position)
{
  if (!(*position >= -SNAP_STEPS && *position <= last + SNAP_STEPS))
    return FALSE;
  *position = CLAMP (*position, 0.0, last);
  return TRUE;
}

gboolean
dwn_tile_grid_snap (const DwnTileGrid *grid, double *column, double *row)
{
  gboolean among_columns = snap_between (grid->columns - 1, column);
  gboolean among_rows = snap_between (grid->rows - 1, row);

  return among_columns && among_rows;
}

double
dwn_tile_grid_lat_deg (const DwnTileGrid *grid, double row)
{
  return grid->north_deg - row * grid->lat_step_deg;
}

double
dwn_tile_grid_lon_deg (const DwnTileGrid *grid, double column)
{
  return grid->west_deg + column * grid->lon_step_deg;
}

static double
lon_step_m (const DwnTileGrid *grid, double lat_deg)
{
  return METRES_PER_DEGREE * grid->lon_step_deg * cos (lat_deg * G_PI / 180.0);
}

static double
lat_step_m (const DwnTileGrid *grid)
{
  return METRES_PER_DEGREE * grid->lat_step_deg;
}

double
dwn_tile_grid_step_m (const DwnTileGrid *grid, double lat_deg)
{
  return MIN (lon_step_m (grid, lat_deg), lat_step_m (grid));
}

static DwnTile *
tile_new (const DwnTileGrid *grid)
{
  DwnTile *tile = g_new0 (DwnTile, 1);

  g_atomic_ref_count_init (&tile->ref_count);
  tile->grid = *grid;
  return tile;
}

DwnTile *
dwn_tile_new_take_int16 (const DwnTileGrid *grid, gint16 *samples)
{
  g_return_val_if_fail (grid->columns >= 2 && grid->rows >= 2 && samples != NULL, NULL);

  DwnTile *tile = tile_new (grid);

  tile->whole = samples;
  return tile;
}

DwnTile *
dwn_tile_new_take_float (const DwnTileGrid *grid, float *samples)
{
  g_return_val_if_fail (grid->columns >= 2 && grid->rows >= 2 && samples != NULL, NULL);

  DwnTile *tile = tile_new (grid);

  tile->fraction = samples;
  return tile;
}

DwnTile *
dwn_tile_ref (const DwnTile *tile)
{
  DwnTile *self = (DwnTile *) tile;

  g_atomic_ref_count_inc (&self->ref_count);
  return self;
}

void
dwn_tile_unref (DwnTile *tile)
{
  if (!g_atomic_ref_count_dec (&tile->ref_count))
    return;
  g_free (tile->whole);
  g_free (tile->fraction);
  g_free (tile);
}

const DwnTileGrid *
dwn_tile_get_grid (const DwnTile *tile)
{
  return &tile->grid;
}

static gsize
count_samples (const DwnTile *tile)
{
  return (gsize) tile->grid.columns * tile->grid.rows;
}

gsize
dwn_tile_get_bytes (const DwnTile *tile)
{
  gsize sample_bytes = tile->whole != NULL ? sizeof *tile->whole : sizeof *tile->fraction;

  return sizeof *tile + count_samples (tile) * sample_bytes;
}

static inline double
sample_m (const DwnTile *tile, gsize index)
{
  double height_m = tile->whole != NULL ? tile->whole[index] : (double) tile->fraction[index];

  /* Written so that NaN is a void too. */
  return height_m >= LOWEST_GROUND_M && height_m <= HIGHEST_GROUND_M ? height_m : (double) NAN;
}

gsize
dwn_tile_count_voids (const DwnTile *tile)
{
  gsize n_voids = 0;

  for (gsize i = 0; i < count_samples (tile); i++)
    n_voids += isnan (sample_m (tile, i)) ? 1 : 0;
  return n_voids;
}

double
dwn_tile_sample_m (const DwnTile *tile, guint column, guint row)
{
  g_return_val_if_fail (column < tile->grid.columns && row < tile->grid.rows, (double) NAN);

  return sample_m (tile, (gsize) row * tile->grid.columns + column);
}

/* The nearest known node from a void one, going one way: at most @room nodes are left that way and
 * at most @reach may be passed. */
static guint
find_known (const DwnTile *tile, gsize index, gssize stride, guint room, guint reach)
{
  for (guint steps = 1; steps <= MIN (room, reach); steps++)
    if (!isnan (sample_m (tile, (gsize) ((gssize) index + stride * (gssize) steps))))
      return steps;
  return 0;
}

/* A straight line across a void through the node at @index; its weight is 0 where there is none. */
static void
add_line (const DwnTile *tile, gsize index, gsize stride, guint before, guint after, double step_m,
          double *sum, double *weight)
{
  guint reach = (guint) MIN (WIDEST_SMALL_VOID_M / step_m, (double) G_MAXINT);
  guint back = find_known (tile, index, -(gssize) stride, before, reach);
  guint forth = find_known (tile, index, (gssize) stride, after, reach);

  if (back == 0 || forth == 0 || (back + forth) * step_m > WIDEST_SMALL_VOID_M)
    return;

  double from_m = sample_m (tile, index - back * stride);
  double to_m = sample_m (tile, index + forth * stride);
  double line_m = from_m + (to_m - from_m) * back / (back + forth);
  double line_weight = 1.0 / ((back + forth) * step_m);

  *sum += line_weight * line_m;
  *weight += line_weight;
}

static double
height_across_void_m (const DwnTile *tile, guint column, guint row)
{
  const DwnTileGrid *grid = &tile->grid;
  gsize index = (gsize) row * grid->columns + column;
  double sum = 0.0;
  double weight = 0.0;

  add_line (tile, index, 1, column, grid->columns - 1 - column,
            lon_step_m (grid, dwn_tile_grid_lat_deg (grid, row)), &sum, &weight);
  add_line (tile, index, grid->columns, row, grid->rows - 1 - row, lat_step_m (grid), &sum,
            &weight);
  return weight > 0.0 ? sum / weight : (double) NAN;
}

static inline double
node_height_m (const DwnTile *tile, guint column, guint row, gboolean *filled)
{
  double height_m = sample_m (tile, (gsize) row * tile->grid.columns + column);

  if (G_LIKELY (!isnan (height_m)))
    return height_m;
  height_m = height_across_void_m (tile, column, row);
  if (filled != NULL && !isnan (height_m))
    *filled = TRUE;
  return height_m;
}

static inline double
row_height_m (const DwnTile *tile, double column, guint row, gboolean *filled)
{
  guint west = (guint) column;
  double share = column - west;
  double west_m = node_height_m (tile, west, row, filled);

  if (share == 0.0)
    return west_m;
  return west_m + share * (node_height_m (tile, west + 1, row, filled) - west_m);
}

double
dwn_tile_height_m (const DwnTile *tile, double column, double row, gboolean *filled)
{
  if (!(column >= 0.0 && column <= tile->grid.columns - 1
        && row >= 0.0 && row <= tile->grid.rows - 1))
    return (double) NAN;

  guint north = (guint) row;
  double share = row - north;
  double north_m = row_height_m (tile, column, north, filled);

  if (share == 0.0)
    return north_m;
  return north_m + share * (row_height_m (tile, column, north + 1, filled) - north_m);
}
