/* The georeference of a TIFF file: keys and tags of the GeoTIFF standard into a grid. */
#pragma once

#include <tiffio.h>

#include "core/terrain/tile.h"

G_BEGIN_DECLS

/* Tags of the GeoTIFF standard and of the library most such files are written with. */
enum {
  DWN_TIFF_TAG_PIXEL_SCALE = 33550,
  DWN_TIFF_TAG_TIEPOINT = 33922,
  DWN_TIFF_TAG_TRANSFORMATION = 34264,
  DWN_TIFF_TAG_GEO_KEYS = 34735,
  DWN_TIFF_TAG_NODATA = 42113,
};

/* The values of a tag that libtiff does not know itself; NULL where the tag is absent or of
 * another type. They belong to @tiff. */
const void *dwn_geotiff_get_tag (TIFF *tiff, guint32 tag, TIFFDataType type, guint32 *n);

/* Fills @grid for an image of @columns × @rows. Returns: FALSE with @error set where the file is
 * not in geographic coordinates in degrees near WGS 84, rotated, upside down or in feet. */
gboolean dwn_geotiff_read_grid (TIFF *tiff, const char *name, guint columns, guint rows,
                                DwnTileGrid *grid, GError **error);

G_END_DECLS
