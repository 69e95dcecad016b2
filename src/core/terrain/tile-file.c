#include "core/terrain/tile-file.h"

#include <glib/gi18n-lib.h>

#include "core/terrain/geotiff.h"
#include "core/terrain/hgt.h"

static gboolean
is_geotiff (const char *name)
{
  g_autofree char *lower = g_ascii_strdown (name, -1);

  return g_str_has_suffix (lower, ".tif") || g_str_has_suffix (lower, ".tiff");
}

gboolean
dwn_tile_file_match (const char *name)
{
  g_return_val_if_fail (name != NULL, FALSE);

  DwnHgtPacking packing;

  return name[0] != '.' && (is_geotiff (name) || dwn_hgt_match (name, &packing));
}

static gboolean
probe_geotiff (DwnTileFile *file, GError **error)
{
  g_autoptr (DwnGeotiff) geotiff = dwn_geotiff_open_path (file->path, error);

  if (geotiff == NULL)
    return FALSE;
  file->grid = *dwn_geotiff_get_grid (geotiff);
  dwn_geotiff_get_window (geotiff, &file->window_columns, &file->window_rows);
  return TRUE;
}

static gboolean
probe_hgt (DwnTileFile *file, GError **error)
{
  if (!dwn_hgt_probe (file->path, &file->grid, error))
    return FALSE;
  file->window_columns = file->grid.columns;
  file->window_rows = file->grid.rows;
  return TRUE;
}

DwnTileFile *
dwn_tile_file_probe (const char *path, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autoptr (DwnTileFile) file = g_new0 (DwnTileFile, 1);

  file->path = g_strdup (path);
  file->name = g_path_get_basename (path);
  if (!(is_geotiff (file->name) ? probe_geotiff (file, error) : probe_hgt (file, error)))
    return NULL;
  return g_steal_pointer (&file);
}

void
dwn_tile_file_free (DwnTileFile *file)
{
  g_free (file->path);
  g_free (file->name);
  g_free (file);
}

/* The last window ends at the last node, so a grid of n nodes has n − 1 steps to share out. */
static guint
find_first (double position, guint window, guint n_nodes)
{
  guint n_windows = (n_nodes - 2) / window + 1;
  guint number = (guint) (position / window);

  return MIN (number, n_windows - 1) * window;
}

guint64
dwn_tile_file_find_window (const DwnTileFile *file, double column, double row, guint *first_column,
                           guint *first_row)
{
  *first_column = find_first (column, file->window_columns, file->grid.columns);
  *first_row = find_first (row, file->window_rows, file->grid.rows);
  return (guint64) *first_row * file->grid.columns + *first_column;
}

static gboolean
refuse_change (const DwnTileFile *file, GError **error)
{
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
               _("%s: changed while in use; open the folder again"), file->name);
  return FALSE;
}

static DwnTile *
read_geotiff (const DwnTileFile *file, guint first_column, guint first_row, GError **error)
{
  const DwnTileGrid *grid = &file->grid;
  g_autoptr (DwnGeotiff) geotiff = dwn_geotiff_open_path (file->path, error);

  if (geotiff == NULL)
    return NULL;
  if (!dwn_tile_grid_equal (grid, dwn_geotiff_get_grid (geotiff)))
    {
      refuse_change (file, error);
      return NULL;
    }
  return dwn_geotiff_read (geotiff, first_column, first_row,
                           MIN (file->window_columns + 1, grid->columns - first_column),
                           MIN (file->window_rows + 1, grid->rows - first_row), error);
}

static DwnTile *
read_hgt (const DwnTileFile *file, GError **error)
{
  g_autoptr (DwnTile) tile = dwn_hgt_read (file->path, error);

  if (tile != NULL && !dwn_tile_grid_equal (&file->grid, dwn_tile_get_grid (tile)))
    {
      refuse_change (file, error);
      return NULL;
    }
  return g_steal_pointer (&tile);
}

DwnTile *
dwn_tile_file_read (const DwnTileFile *file, guint first_column, guint first_row, GError **error)
{
  return is_geotiff (file->name) ? read_geotiff (file, first_column, first_row, error)
                                 : read_hgt (file, error);
}
