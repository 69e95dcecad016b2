/* A grid of bits that says what of a page is taken. Asking about a rectangle costs a few words of
 * memory, whatever lies there. */
#pragma once

#include "draw/scene.h"

G_BEGIN_DECLS

typedef struct _DwnOccupancy DwnOccupancy;

/* @cell: size of a cell in units of the page. */
DwnOccupancy *dwn_occupancy_new (double width, double height, double cell);
void dwn_occupancy_free (DwnOccupancy *grid);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnOccupancy, dwn_occupancy_free)

/* Takes every cell that @rect touches; parts outside the page are left out. */
void dwn_occupancy_take (DwnOccupancy *grid, const DwnRect *rect);

/* Takes the cells along a line. */
void dwn_occupancy_take_line (DwnOccupancy *grid, double x0, double y0, double x1, double y1);

/* Whether any cell that @rect touches is taken. */
gboolean dwn_occupancy_any (const DwnOccupancy *grid, const DwnRect *rect);

/* How many of the cells that @rect touches are taken. */
guint dwn_occupancy_count (const DwnOccupancy *grid, const DwnRect *rect);

G_END_DECLS
