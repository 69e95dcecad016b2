/* A decoded rectangle of ground heights: immutable, shared by reference. */
#pragma once

#include <gio/gio.h>

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

#define DWN_TERRAIN_ERROR (dwn_terrain_error_quark ())
GQuark dwn_terrain_error_quark (void);

typedef enum {
  DWN_TERRAIN_ERROR_READ,        /* the file cannot be opened or read */
  DWN_TERRAIN_ERROR_NAME,        /* the file name does not say which degree cell it holds */
  DWN_TERRAIN_ERROR_SIZE,        /* truncated, or longer or larger than such a file may be */
  DWN_TERRAIN_ERROR_CORRUPT,     /* the contents contradict themselves or do not decode */
  DWN_TERRAIN_ERROR_UNSAFE,      /* an archive member that points outside its archive */
  DWN_TERRAIN_ERROR_UNSUPPORTED, /* a sample format, layout or unit that is not read here */
  DWN_TERRAIN_ERROR_PROJECTED,   /* not in geographic coordinates near WGS 84 */
  DWN_TERRAIN_ERROR_NO_DATA,     /* the ground height at the place itself is not known */
  DWN_TERRAIN_ERROR_PATH,        /* places that coincide or lie too far apart */
} DwnTerrainError;

typedef enum {
  DWN_REGISTRATION_POINT, /* a sample is the height at its node */
  DWN_REGISTRATION_AREA,  /* a sample is the height of the cell around its node */
} DwnRegistration;

/* Where the samples lie: node (column 0, row 0) in the north-west, rows run southward. Bounds in
 * the sense of node centres; a cell of an area grid reaches half a step beyond them. */
typedef struct {
  double west_deg;     /* longitude of column 0, −180 to 180 */
  double north_deg;    /* latitude of row 0, −90 to 90 */
  double lon_step_deg; /* above 0 */
  double lat_step_deg; /* above 0 */
  guint columns;       /* at least 2 */
  guint rows;          /* at least 2 */
  DwnRegistration registration;
} DwnTileGrid;

gboolean dwn_tile_grid_equal (const DwnTileGrid *a, const DwnTileGrid *b);

/* Fractional column and row of @at; may lie outside the grid. A longitude is first brought within
 * half a turn of the middle of the grid, so tiles at the antimeridian need no care. */
void dwn_tile_grid_locate (const DwnTileGrid *grid, const DwnLatLon *at, double *column,
                           double *row);

/* TRUE where the position lies among the node centres. What rounding has put outside by up to a
 * ten-thousandth of a step counts as inside and is moved onto the edge, each way on its own. */
gboolean dwn_tile_grid_snap (const DwnTileGrid *grid, double *column, double *row);

/* Latitude of a row and longitude of a column, fractional and outside ones included. */
double dwn_tile_grid_lat_deg (const DwnTileGrid *grid, double row);
double dwn_tile_grid_lon_deg (const DwnTileGrid *grid, double column);

/* Metres between neighbouring nodes at @lat_deg, on a sphere of 6,371 km; the smaller of the
 * steps eastward and northward. */
double dwn_tile_grid_step_m (const DwnTileGrid *grid, double lat_deg);

typedef struct _DwnTile DwnTile;

/* Take @samples (rows × columns, northernmost row first, allocated with GLib), heights in metres
 * above mean sea level. Whatever is not between −500 and 9,000 m, NaN included, is a void: no
 * ground is that low or high, and void marks of all makers (−32768, −32767, −9999, 1e38) are.
 * Returns: (transfer full). */
DwnTile *dwn_tile_new_take_int16 (const DwnTileGrid *grid, gint16 *samples);
DwnTile *dwn_tile_new_take_float (const DwnTileGrid *grid, float *samples);
DwnTile *dwn_tile_ref (const DwnTile *tile);
void dwn_tile_unref (DwnTile *tile);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTile, dwn_tile_unref)

const DwnTileGrid *dwn_tile_get_grid (const DwnTile *tile);
/* What the tile occupies in memory. */
gsize dwn_tile_get_bytes (const DwnTile *tile);
gsize dwn_tile_count_voids (const DwnTile *tile);

/* The sample at a node in metres; NaN for a void. */
double dwn_tile_sample_m (const DwnTile *tile, guint column, guint row);

/* Height in metres at a position among the nodes (0 to columns − 1, 0 to rows − 1), bilinear in
 * double precision; a node of weight 0 is not looked at.
 * A void node takes the straight line between the nearest known nodes east and west of it and the
 * one north and south, weighted by the inverse of their lengths; lines of over 600 m are not used,
 * as a hill hides in there. @filled (nullable) is set to TRUE where that happened and never to
 * FALSE. NaN in a void that no such line crosses, and outside the grid. */
double dwn_tile_height_m (const DwnTile *tile, double column, double row, gboolean *filled);

G_END_DECLS
