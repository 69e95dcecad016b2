/* A smooth surface through the nodes of a rectangular grid: H. Akima, "Bivariate interpolation
 * and smooth surface fitting based on local procedures", Communications of the ACM 17 (1974) 18,
 * algorithm 474. Within a cell it is the bicubic polynomial that meets the heights and derivatives
 * of the four corners; beyond the grid one more cell is built on each side, whose polynomial goes
 * on without end. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Immutable. */
typedef struct _DwnSurface DwnSurface;

#define DWN_SURFACE_MIN_NODES 3 /* along each axis */

/* @x and @y rise strictly; @z is [n_y][n_x]. All are copied. */
DwnSurface *dwn_surface_new (gsize n_x, const double *x, gsize n_y, const double *y,
                             const double *z);
void dwn_surface_free (DwnSurface *surface);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSurface, dwn_surface_free)

/* NaN where @x or @y is NaN. */
double dwn_surface_at (const DwnSurface *surface, double x, double y);

G_END_DECLS
