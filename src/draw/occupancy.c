#include "draw/occupancy.h"

#include <math.h>

struct _DwnOccupancy {
  double cell;
  int columns, rows;
  int words; /* of 64 columns, in a row */
  guint64 *bits;
};

/* Cells that a rectangle touches, both ends included. */
typedef struct {
  int x0, y0, x1, y1;
} Cells;

DwnOccupancy *
dwn_occupancy_new (double width, double height, double cell)
{
  g_return_val_if_fail (width > 0 && height > 0 && cell > 0, NULL);

  DwnOccupancy *grid = g_new0 (DwnOccupancy, 1);

  grid->cell = cell;
  grid->columns = (int) ceil (width / cell);
  grid->rows = (int) ceil (height / cell);
  grid->words = (grid->columns + 63) / 64;
  grid->bits = g_new0 (guint64, (gsize) grid->words * (gsize) grid->rows);
  return grid;
}

void
dwn_occupancy_free (DwnOccupancy *grid)
{
  g_return_if_fail (grid != NULL);

  g_free (grid->bits);
  g_free (grid);
}

static int
cell_of (double position, double cell, int n)
{
  return (int) CLAMP (floor (position / cell), 0.0, (double) (n - 1));
}

/* FALSE where nothing of @rect lies on the page. */
static gboolean
cells_of (const DwnOccupancy *grid, const DwnRect *rect, Cells *cells)
{
  if (!(rect->x < grid->columns * grid->cell && rect->y < grid->rows * grid->cell
        && rect->x + rect->width >= 0 && rect->y + rect->height >= 0))
    return FALSE;
  cells->x0 = cell_of (rect->x, grid->cell, grid->columns);
  cells->x1 = cell_of (rect->x + rect->width, grid->cell, grid->columns);
  cells->y0 = cell_of (rect->y, grid->cell, grid->rows);
  cells->y1 = cell_of (rect->y + rect->height, grid->cell, grid->rows);
  return TRUE;
}

/* The bits of word @word that columns x0 to x1 occupy. */
static guint64
mask_of (const Cells *cells, int word)
{
  int from = MAX (cells->x0 - word * 64, 0), to = MIN (cells->x1 - word * 64, 63);

  return (~G_GUINT64_CONSTANT (0) << from) & (~G_GUINT64_CONSTANT (0) >> (63 - to));
}

void
dwn_occupancy_take (DwnOccupancy *grid, const DwnRect *rect)
{
  Cells cells;

  g_return_if_fail (grid != NULL && rect != NULL);

  if (!cells_of (grid, rect, &cells))
    return;
  for (int w = cells.x0 / 64; w <= cells.x1 / 64; w++)
    for (int y = cells.y0; y <= cells.y1; y++)
      grid->bits[y * grid->words + w] |= mask_of (&cells, w);
}

void
dwn_occupancy_take_line (DwnOccupancy *grid, double x0, double y0, double x1, double y1)
{
  int n = (int) ceil (hypot (x1 - x0, y1 - y0) / grid->cell) + 1;

  for (int i = 0; i <= n; i++)
    {
      DwnRect point = { x0 + (x1 - x0) * i / n, y0 + (y1 - y0) * i / n, 0, 0 };

      dwn_occupancy_take (grid, &point);
    }
}

gboolean
dwn_occupancy_any (const DwnOccupancy *grid, const DwnRect *rect)
{
  Cells cells;

  g_return_val_if_fail (grid != NULL && rect != NULL, FALSE);

  if (!cells_of (grid, rect, &cells))
    return FALSE;
  for (int w = cells.x0 / 64; w <= cells.x1 / 64; w++)
    for (int y = cells.y0; y <= cells.y1; y++)
      if (grid->bits[y * grid->words + w] & mask_of (&cells, w))
        return TRUE;
  return FALSE;
}

static guint
bits_set (guint64 word)
{
  guint n = 0;

  for (; word != 0; word &= word - 1)
    n++;
  return n;
}

guint
dwn_occupancy_count (const DwnOccupancy *grid, const DwnRect *rect)
{
  Cells cells;
  guint n = 0;

  g_return_val_if_fail (grid != NULL && rect != NULL, 0);

  if (!cells_of (grid, rect, &cells))
    return 0;
  for (int w = cells.x0 / 64; w <= cells.x1 / 64; w++)
    for (int y = cells.y0; y <= cells.y1; y++)
      n += bits_set (grid->bits[y * grid->words + w] & mask_of (&cells, w));
  return n;
}
