/* Elevation in GeoTIFF (OGC 19-008r4), through libtiff: one band of 16-bit integers or 32-bit
 * floats in geographic coordinates within a few metres of WGS 84, north up; stripes or tiles;
 * plain, LZW or deflate, with predictors. Heights in metres. Nothing else is read, and what is
 * refused is told with the step that would help. */
#pragma once

#include "core/terrain/tile.h"

G_BEGIN_DECLS

/* A file that is open; one thread at a time. */
typedef struct _DwnGeotiff DwnGeotiff;

/* The largest image that is decoded in one piece; larger ones are read by windows. */
#define DWN_GEOTIFF_WHOLE_SAMPLES (4096 * 4096)
/* Decoded size of a single stripe or tile above which a file is refused. */
#define DWN_GEOTIFF_BLOCK_BYTES (64 * 1024 * 1024)

/* Reads headers only. @stream must be seekable and is kept; @name serves the messages.
 * Returns: (transfer full): NULL with @error set where the file is not one described above. */
DwnGeotiff *dwn_geotiff_open (GInputStream *stream, const char *name, GError **error);
DwnGeotiff *dwn_geotiff_open_path (const char *path, GError **error);
void dwn_geotiff_close (DwnGeotiff *geotiff);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnGeotiff, dwn_geotiff_close)

const DwnTileGrid *dwn_geotiff_get_grid (const DwnGeotiff *geotiff);

/* The size of window that decodes with least waste: the whole image where it is small, otherwise
 * a square of tiles or a band of stripes. */
void dwn_geotiff_get_window (const DwnGeotiff *geotiff, guint *columns, guint *rows);

/* Decodes @columns × @rows samples from (@column, @row), all within the grid and at least 2 × 2.
 * Returns: (transfer full): NULL with @error set where the data do not decode. */
DwnTile *dwn_geotiff_read (DwnGeotiff *geotiff, guint column, guint row, guint columns, guint rows,
                           GError **error);

G_END_DECLS
