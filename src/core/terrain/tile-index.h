/* Which files know a place: one-degree cells of the earth, each with its files, finest first.
 * Immutable once built. */
#pragma once

#include "core/terrain/tile-file.h"

G_BEGIN_DECLS

typedef struct _DwnTileIndex DwnTileIndex;

/* Probes every file of @paths; those that are refused go as lines of text into @problems. */
DwnTileIndex *dwn_tile_index_new (GPtrArray *paths, GPtrArray *problems);
void dwn_tile_index_free (DwnTileIndex *index);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTileIndex, dwn_tile_index_free)

gsize dwn_tile_index_count (const DwnTileIndex *index);

/* The files that reach the cell of @at or come within a step of it, finest first; NULL where there
 * are none. Here and below @at is on earth: latitude within ±90°, longitude any finite number. */
GPtrArray *dwn_tile_index_lookup (const DwnTileIndex *index, const DwnLatLon *at);

/* TRUE where a tile holds @at, be it in a void. */
gboolean dwn_tile_index_covers (const DwnTileIndex *index, const DwnLatLon *at);

/* TRUE where the steps of @a are smaller than those of @b by more than rounding. */
gboolean dwn_tile_index_is_finer (const DwnTileFile *a, const DwnTileFile *b);

/* Number of the cell of a place, 0 to 64,799, and its name, "N44W072". */
guint dwn_tile_index_get_cell (const DwnLatLon *at);
char *dwn_tile_index_dup_cell_name (guint cell);

G_END_DECLS
