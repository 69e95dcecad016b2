#include "core/terrain/tile-index.h"

#include <math.h>

#define CELLS_ROUND 360
#define CELLS_UP 180
#define N_CELLS (CELLS_ROUND * CELLS_UP)
#define SAME_STEP 1e-6

struct _DwnTileIndex {
  GPtrArray *files;         /* of DwnTileFile, owned, finest first */
  GPtrArray *cells[N_CELLS]; /* (nullable), of the same in the same order */
};

gboolean
dwn_tile_index_is_finer (const DwnTileFile *a, const DwnTileFile *b)
{
  return a->grid.lat_step_deg < b->grid.lat_step_deg * (1.0 - SAME_STEP);
}

/* By step, then by path, so that the order is always the same. */
static int
compare_files (gconstpointer a, gconstpointer b)
{
  const DwnTileFile *one = *(const DwnTileFile *const *) a;
  const DwnTileFile *other = *(const DwnTileFile *const *) b;
  double one_step = one->grid.lat_step_deg;
  double other_step = other->grid.lat_step_deg;

  if (one_step != other_step)
    return one_step < other_step ? -1 : 1;
  return g_strcmp0 (one->path, other->path);
}

static guint
cell_number (int lat_cell, int lon_cell)
{
  int round_cell = (lon_cell % CELLS_ROUND + CELLS_ROUND) % CELLS_ROUND;

  return (guint) (CLAMP (lat_cell, 0, CELLS_UP - 1) * CELLS_ROUND + round_cell);
}

guint
dwn_tile_index_get_cell (const DwnLatLon *at)
{
  double lon_deg = fabs (at->lon_deg) > 180.0 ? remainder (at->lon_deg, 360.0) : at->lon_deg;

  return cell_number ((int) floor (at->lat_deg) + 90, (int) floor (lon_deg) + 180);
}

char *
dwn_tile_index_dup_cell_name (guint cell)
{
  int south_deg = (int) (cell / CELLS_ROUND) - 90;
  int west_deg = (int) (cell % CELLS_ROUND) - 180;

  return g_strdup_printf ("%c%02d%c%03d", south_deg < 0 ? 'S' : 'N', ABS (south_deg),
                          west_deg < 0 ? 'W' : 'E', ABS (west_deg));
}

/* A file knows part of what @file knows, and knows it more finely; @finer stands before it. */
static gboolean
reaches (const DwnTileFile *finer, const DwnTileFile *file)
{
  const DwnTileGrid *a = &finer->grid;
  const DwnTileGrid *b = &file->grid;
  DwnLatLon middle = { dwn_tile_grid_lat_deg (a, 0.5 * (a->rows - 1)),
                       dwn_tile_grid_lon_deg (a, 0.5 * (a->columns - 1)) };
  double column, row;

  dwn_tile_grid_locate (b, &middle, &column, &row);

  double half_columns = 0.5 * (a->columns + 1) * a->lon_step_deg / b->lon_step_deg;
  double half_rows = 0.5 * (a->rows + 1) * a->lat_step_deg / b->lat_step_deg;

  return column + half_columns >= 0.0 && column - half_columns <= b->columns - 1
         && row + half_rows >= 0.0 && row - half_rows <= b->rows - 1;
}

static void
add_to_cell (DwnTileIndex *index, guint cell, DwnTileFile *file)
{
  GPtrArray **files = &index->cells[cell];

  if (*files == NULL)
    *files = g_ptr_array_new ();
  for (guint i = 0; i < (*files)->len && !file->overlapped; i++)
    {
      const DwnTileFile *before = g_ptr_array_index (*files, i);

      file->overlapped = dwn_tile_index_is_finer (before, file) && reaches (before, file);
    }
  g_ptr_array_add (*files, file);
}

static void
add_to_cells (DwnTileIndex *index, DwnTileFile *file)
{
  const DwnTileGrid *grid = &file->grid;
  int north = (int) floor (dwn_tile_grid_lat_deg (grid, -1.0)) + 90;
  int south = (int) floor (dwn_tile_grid_lat_deg (grid, grid->rows)) + 90;
  int west = (int) floor (dwn_tile_grid_lon_deg (grid, -1.0)) + 180;
  int east = (int) floor (dwn_tile_grid_lon_deg (grid, grid->columns)) + 180;

  east = MIN (east, west + CELLS_ROUND - 1);
  for (int lat = MAX (south, 0); lat <= MIN (north, CELLS_UP - 1); lat++)
    for (int lon = west; lon <= east; lon++)
      add_to_cell (index, cell_number (lat, lon), file);
}

DwnTileIndex *
dwn_tile_index_new (GPtrArray *paths, GPtrArray *problems)
{
  DwnTileIndex *index = g_new0 (DwnTileIndex, 1);

  index->files = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_tile_file_free);
  for (guint i = 0; i < paths->len; i++)
    {
      g_autoptr (GError) error = NULL;
      DwnTileFile *file = dwn_tile_file_probe (g_ptr_array_index (paths, i), &error);

      if (file != NULL)
        g_ptr_array_add (index->files, file);
      else
        g_ptr_array_add (problems, g_strdup (error->message));
    }
  g_ptr_array_sort (index->files, compare_files);
  for (guint i = 0; i < index->files->len; i++)
    {
      DwnTileFile *file = g_ptr_array_index (index->files, i);

      file->number = i;
      add_to_cells (index, file);
    }
  return index;
}

void
dwn_tile_index_free (DwnTileIndex *index)
{
  for (guint i = 0; i < N_CELLS; i++)
    g_clear_pointer (&index->cells[i], g_ptr_array_unref);
  g_ptr_array_unref (index->files);
  g_free (index);
}

gsize
dwn_tile_index_count (const DwnTileIndex *index)
{
  return index->files->len;
}

GPtrArray *
dwn_tile_index_lookup (const DwnTileIndex *index, const DwnLatLon *at)
{
  return index->cells[dwn_tile_index_get_cell (at)];
}

gboolean
dwn_tile_index_covers (const DwnTileIndex *index, const DwnLatLon *at)
{
  const GPtrArray *files = dwn_tile_index_lookup (index, at);

  for (guint i = 0; files != NULL && i < files->len; i++)
    {
      const DwnTileFile *file = g_ptr_array_index (files, i);
      double column, row;

      dwn_tile_grid_locate (&file->grid, at, &column, &row);
      if (dwn_tile_grid_snap (&file->grid, &column, &row))
        return TRUE;
    }
  return FALSE;
}
