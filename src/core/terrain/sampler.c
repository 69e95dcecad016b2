/* Heights from several tiles at once: the finest that knows, and seams without a step.
 *
 * A point grid shares its edge nodes with its neighbours; an area grid ends half a step inside its
 * cell, so that between the last column of one tile and the first of the next lies a strip that
 * belongs to neither. There the height is drawn between nodes of both. Each row is read along its
 * own nodes, so that tiles with different numbers of columns, north and south of a seam, give one
 * and the same height on it whichever is asked first. */
#include <math.h>

#include "core/terrain/terrain-private.h"

#define MOST_STRIPS 2 /* a corner, where four tiles meet, crosses two */

static double height_at (DwnSampler *sampler, const DwnLatLon *at, int depth, gboolean *filled);

void
dwn_sampler_init (DwnSampler *sampler, DwnTerrain *terrain)
{
  *sampler = (DwnSampler) { .terrain = terrain, .index = dwn_terrain_get_index (terrain) };
}

void
dwn_sampler_clear (DwnSampler *sampler)
{
  g_clear_pointer (&sampler->tile, dwn_tile_unref);
  sampler->file = NULL;
}

static gboolean
is_in_hand (const DwnSampler *sampler, const DwnTileFile *file, double column, double row)
{
  if (sampler->file != file)
    return FALSE;

  const DwnTileGrid *grid = dwn_tile_get_grid (sampler->tile);

  return column >= sampler->first_column && column <= sampler->first_column + grid->columns - 1
         && row >= sampler->first_row && row <= sampler->first_row + grid->rows - 1;
}

static gboolean
take_in_hand (DwnSampler *sampler, DwnTileFile *file, double column, double row)
{
  guint first_column, first_row;
  guint64 window = dwn_tile_file_find_window (file, column, row, &first_column, &first_row);
  DwnTile *tile = dwn_terrain_get_window (sampler->terrain, file, window, first_column, first_row);

  if (tile == NULL)
    return FALSE;
  dwn_sampler_clear (sampler);
  sampler->file = file;
  sampler->tile = tile;
  sampler->first_column = first_column;
  sampler->first_row = first_row;
  return TRUE;
}

/* Height at a position among the nodes of @file. */
static double
height_in_file (DwnSampler *sampler, DwnTileFile *file, double column, double row,
                gboolean *filled)
{
  if (!is_in_hand (sampler, file, column, row) && !take_in_hand (sampler, file, column, row))
    return (double) NAN;
  return dwn_tile_height_m (sampler->tile, column - sampler->first_column,
                            row - sampler->first_row, filled);
}

/* A node of @file or, where (@column, @row) lies outside it, what a neighbour knows there. */
static double
height_at_node (DwnSampler *sampler, DwnTileFile *file, double column, double row, int depth,
                gboolean *filled)
{
  const DwnTileGrid *grid = &file->grid;
  DwnLatLon node = { dwn_tile_grid_lat_deg (grid, row), dwn_tile_grid_lon_deg (grid, column) };

  if (column >= 0.0 && column <= grid->columns - 1 && row >= 0.0 && row <= grid->rows - 1)
    return height_in_file (sampler, file, column, row, filled);
  return height_at (sampler, &node, depth, filled);
}

/* Height at @column of the whole row @row, which may be the one next outside. */
static double
height_on_row (DwnSampler *sampler, DwnTileFile *file, double column, double row, int depth,
               gboolean *filled)
{
  const DwnTileGrid *grid = &file->grid;
  double west = floor (column);
  double share = column - west;

  if (row < 0.0 || row > grid->rows - 1 || share == 0.0)
    return height_at_node (sampler, file, column, row, depth, filled);

  double west_m = height_at_node (sampler, file, west, row, depth, filled);

  return west_m + share * (height_at_node (sampler, file, west + 1.0, row, depth, filled) - west_m);
}

/* The outer half cell of an area grid without a neighbour has the height of its node. */
static double
height_on_rim (DwnSampler *sampler, DwnTileFile *file, double column, double row,
               gboolean *filled)
{
  const DwnTileGrid *grid = &file->grid;
  double inner_column = CLAMP (column, 0.0, (double) grid->columns - 1.0);
  double inner_row = CLAMP (row, 0.0, (double) grid->rows - 1.0);

  if (grid->registration != DWN_REGISTRATION_AREA || fabs (inner_column - column) > 0.5
      || fabs (inner_row - row) > 0.5)
    return (double) NAN;
  return height_in_file (sampler, file, inner_column, inner_row, filled);
}

/* Height in the strip of one step around @file. */
static double
height_in_strip (DwnSampler *sampler, DwnTileFile *file, double column, double row, int depth,
                 gboolean *filled)
{
  double north = floor (row);
  double share = row - north;
  double north_m = height_on_row (sampler, file, column, north, depth + 1, filled);
  double height_m = north_m;

  if (share > 0.0)
    height_m += share * (height_on_row (sampler, file, column, north + 1.0, depth + 1, filled)
                         - north_m);
  return isnan (height_m) ? height_on_rim (sampler, file, column, row, filled) : height_m;
}

/* What @file knows of @at, among its nodes or, with @strip, in the strip around them. */
static double
height_from (DwnSampler *sampler, DwnTileFile *file, const DwnLatLon *at, gboolean strip,
             int depth, gboolean *filled)
{
  const DwnTileGrid *grid = &file->grid;
  double column, row;

  dwn_tile_grid_locate (grid, at, &column, &row);
  if (dwn_tile_grid_snap (grid, &column, &row))
    return strip ? (double) NAN : height_in_file (sampler, file, column, row, filled);
  if (!strip || depth >= MOST_STRIPS || !(column > -1.0 && column < grid->columns)
      || !(row > -1.0 && row < grid->rows))
    return (double) NAN;
  return height_in_strip (sampler, file, column, row, depth, filled);
}

/* The files from @begin up to the first coarser one: those that hold the place come before those
 * that only border on it. */
static double
height_from_peers (DwnSampler *sampler, const GPtrArray *files, guint begin, guint end,
                   const DwnLatLon *at, int depth, gboolean *filled)
{
  for (int strip = 0; strip <= 1; strip++)
    for (guint i = begin; i < end; i++)
      {
        gboolean own = FALSE; /* nothing that was tried in vain leaves a trace */
        double height_m = height_from (sampler, g_ptr_array_index (files, i), at, strip, depth,
                                       &own);

        if (isnan (height_m))
          continue;
        *filled |= own;
        return height_m;
      }
  return (double) NAN;
}

static double
height_at (DwnSampler *sampler, const DwnLatLon *at, int depth, gboolean *filled)
{
  DwnLatLon place = { at->lat_deg, fabs (at->lon_deg) > 180.0 ? remainder (at->lon_deg, 360.0)
                                                              : at->lon_deg };
  const GPtrArray *files = fabs (at->lat_deg) <= 90.0
                             ? dwn_tile_index_lookup (sampler->index, &place) : NULL;
  double height_m = (double) NAN;
  guint end;

  for (guint begin = 0; files != NULL && begin < files->len && isnan (height_m); begin = end)
    {
      for (end = begin + 1; end < files->len; end++)
        if (dwn_tile_index_is_finer (g_ptr_array_index (files, begin),
                                     g_ptr_array_index (files, end)))
          break;
      height_m = height_from_peers (sampler, files, begin, end, &place, depth, filled);
    }
  return height_m;
}

double
dwn_sampler_height_m (DwnSampler *sampler, const DwnLatLon *at, gboolean *filled)
{
  *filled = FALSE;
  if (!isfinite (at->lat_deg) || !isfinite (at->lon_deg))
    return (double) NAN;
  /* Nearly always the tile of the point before holds this one too. */
  if (sampler->file != NULL && !sampler->file->overlapped)
    {
      double column, row;

      dwn_tile_grid_locate (&sampler->file->grid, at, &column, &row);
      if (is_in_hand (sampler, sampler->file, column, row))
        {
          double height_m = dwn_tile_height_m (sampler->tile, column - sampler->first_column,
                                               row - sampler->first_row, filled);

          if (!isnan (height_m))
            return height_m;
          *filled = FALSE;
        }
    }
  return height_at (sampler, at, 0, filled);
}

double
dwn_sampler_step_m (const DwnSampler *sampler, const DwnLatLon *at)
{
  const GPtrArray *files = dwn_tile_index_lookup (sampler->index, at);

  for (guint i = 0; files != NULL && i < files->len; i++)
    {
      const DwnTileFile *file = g_ptr_array_index (files, i);
      double column, row;

      dwn_tile_grid_locate (&file->grid, at, &column, &row);
      if (dwn_tile_grid_snap (&file->grid, &column, &row))
        return dwn_tile_grid_step_m (&file->grid, at->lat_deg);
    }
  return (double) NAN;
}
