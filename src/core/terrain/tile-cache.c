#include "core/terrain/tile-cache.h"

typedef struct {
  guint64 key; /* first: the hash table's key points here */
  DwnTile *tile;
  GList link; /* in the queue, most recently used first */
} Entry;

struct _DwnTileCache {
  GMutex mutex;
  GHashTable *entries; /* owns */
  GQueue recent;
  gsize bytes;
  gsize most_bytes;
};

static void
entry_free (gpointer data)
{
  Entry *entry = data;

  dwn_tile_unref (entry->tile);
  g_free (entry);
}

DwnTileCache *
dwn_tile_cache_new (gsize most_bytes)
{
  DwnTileCache *cache = g_new0 (DwnTileCache, 1);

  g_mutex_init (&cache->mutex);
  cache->entries = g_hash_table_new_full (g_int64_hash, g_int64_equal, NULL, entry_free);
  g_queue_init (&cache->recent);
  cache->most_bytes = most_bytes;
  return cache;
}

void
dwn_tile_cache_free (DwnTileCache *cache)
{
  g_hash_table_unref (cache->entries);
  g_mutex_clear (&cache->mutex);
  g_free (cache);
}

static void
drop_entry (DwnTileCache *cache, Entry *entry)
{
  cache->bytes -= dwn_tile_get_bytes (entry->tile);
  g_queue_unlink (&cache->recent, &entry->link);
  g_hash_table_remove (cache->entries, &entry->key);
}

static void
drop_surplus (DwnTileCache *cache)
{
  while (cache->bytes > cache->most_bytes && cache->recent.length > 1)
    drop_entry (cache, g_queue_peek_tail (&cache->recent));
}

void
dwn_tile_cache_set_most_bytes (DwnTileCache *cache, gsize most_bytes)
{
  g_mutex_lock (&cache->mutex);
  cache->most_bytes = most_bytes;
  drop_surplus (cache);
  g_mutex_unlock (&cache->mutex);
}

gsize
dwn_tile_cache_get_bytes (DwnTileCache *cache)
{
  g_mutex_lock (&cache->mutex);

  gsize bytes = cache->bytes;

  g_mutex_unlock (&cache->mutex);
  return bytes;
}

DwnTile *
dwn_tile_cache_lookup (DwnTileCache *cache, guint64 key)
{
  DwnTile *tile = NULL;

  g_mutex_lock (&cache->mutex);

  Entry *entry = g_hash_table_lookup (cache->entries, &key);

  if (entry != NULL)
    {
      g_queue_unlink (&cache->recent, &entry->link);
      g_queue_push_head_link (&cache->recent, &entry->link);
      tile = dwn_tile_ref (entry->tile);
    }
  g_mutex_unlock (&cache->mutex);
  return tile;
}

void
dwn_tile_cache_insert (DwnTileCache *cache, guint64 key, const DwnTile *tile)
{
  Entry *entry = g_new0 (Entry, 1);

  entry->key = key;
  entry->tile = dwn_tile_ref (tile);
  entry->link.data = entry;
  g_mutex_lock (&cache->mutex);

  Entry *before = g_hash_table_lookup (cache->entries, &key);

  if (before != NULL)
    drop_entry (cache, before);
  g_hash_table_insert (cache->entries, &entry->key, entry);
  g_queue_push_head_link (&cache->recent, &entry->link);
  cache->bytes += dwn_tile_get_bytes (tile);
  drop_surplus (cache);
  g_mutex_unlock (&cache->mutex);
}
