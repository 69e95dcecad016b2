/* SRTM tiles: a square of big-endian 16-bit heights without a header, one degree on a side, edges
 * shared with the neighbours; the name says which degree (USGS, SRTM Topo documentation). */
#pragma once

#include "core/terrain/tile.h"

G_BEGIN_DECLS

typedef enum {
  DWN_HGT_PLAIN,
  DWN_HGT_ZIP,
  DWN_HGT_GZIP,
} DwnHgtPacking;

/* South-west corner from the beginning of a file name ("N44W072.hgt", "s01e036.SRTMGL1.hgt.zip").
 * Returns: FALSE where the name does not begin so. */
gboolean dwn_hgt_parse_name (const char *name, int *south_deg, int *west_deg);

/* TRUE where the ending of @name is one that is read here. */
gboolean dwn_hgt_match (const char *name, DwnHgtPacking *packing);

/* The grid of the tile at @path, from its name and from the size that the file system, the zip's
 * directory or the end of the .gz tells; no height is decoded.
 * A zip holds one .hgt, whose name decides where the zip's own does not say the degree; two names
 * that contradict each other are refused, and so is an archive with a member that points outside
 * (absolute, "..", link). */
gboolean dwn_hgt_probe (const char *path, DwnTileGrid *grid, GError **error);

/* Returns: (transfer full): the tile, decoded in memory, never unpacked to a disk. */
DwnTile *dwn_hgt_read (const char *path, GError **error);

/* The same from bytes; @name stands in for the file name. */
DwnTile *dwn_hgt_read_bytes (const char *name, GBytes *bytes, GError **error);

G_END_DECLS
