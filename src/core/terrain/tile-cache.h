/* Decoded tiles that were used lately, up to a bound in bytes. Safe from several threads. */
#pragma once

#include "core/terrain/tile.h"

G_BEGIN_DECLS

typedef struct _DwnTileCache DwnTileCache;

DwnTileCache *dwn_tile_cache_new (gsize most_bytes);
void dwn_tile_cache_free (DwnTileCache *cache);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTileCache, dwn_tile_cache_free)

/* Drops the least recently used tiles until the rest fits; the one used last always stays. */
void dwn_tile_cache_set_most_bytes (DwnTileCache *cache, gsize most_bytes);
gsize dwn_tile_cache_get_bytes (DwnTileCache *cache);

/* Returns: (transfer full) (nullable): the tile of @key, now the most recently used. */
DwnTile *dwn_tile_cache_lookup (DwnTileCache *cache, guint64 key);

/* Keeps a reference to @tile in place of whatever @key stood for. A tile that was dropped lives on
 * for those who hold it. */
void dwn_tile_cache_insert (DwnTileCache *cache, guint64 key, const DwnTile *tile);

G_END_DECLS
