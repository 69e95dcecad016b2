#include "core/terrain/terrain.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/terrain/terrain-private.h"
#include "core/terrain/tile-cache.h"

#define DEEPEST_FOLDER 4
#define MOST_FILES 20000
#define WINDOW_BITS 40 /* windows are numbered by samples, of which a file has under 2⁴⁰ */

struct _DwnTerrain {
  gatomicrefcount ref_count;
  GPtrArray *paths;    /* of candidate files; const after opening */
  DwnTileIndex *index; /* const after index_ready */
  gsize index_ready;
  DwnTileCache *cache;
  GMutex decode_mutex; /* one decode at a time, so that two threads never decode one tile */
  GMutex problems_mutex;
  GPtrArray *problems; /* of text */
};

/* Follows no links to folders: they may lead in circles. */
static gboolean
list_files (const char *folder, int depth, GPtrArray *paths, GError **error)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, error);

  if (dir == NULL)
    return FALSE;
  for (const char *name = g_dir_read_name (dir); name != NULL && paths->len < MOST_FILES;
       name = g_dir_read_name (dir))
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);

      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        {
          if (depth < DEEPEST_FOLDER && name[0] != '.'
              && !g_file_test (path, G_FILE_TEST_IS_SYMLINK))
            list_files (path, depth + 1, paths, NULL); /* one that is closed to us has no tiles */
        }
      else if (dwn_tile_file_match (name))
        g_ptr_array_add (paths, g_steal_pointer (&path));
    }
  return TRUE;
}

DwnTerrain *
dwn_terrain_open (const char *folder, GError **error)
{
  g_return_val_if_fail (folder != NULL, NULL);

  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func (g_free);

  if (!list_files (folder, 0, paths, error))
    return NULL;

  DwnTerrain *terrain = g_new0 (DwnTerrain, 1);

  g_atomic_ref_count_init (&terrain->ref_count);
  g_mutex_init (&terrain->decode_mutex);
  g_mutex_init (&terrain->problems_mutex);
  terrain->problems = g_ptr_array_new_with_free_func (g_free);
  terrain->cache = dwn_tile_cache_new (DWN_TERRAIN_CACHE_BYTES);
  if (paths->len == MOST_FILES)
    g_ptr_array_add (terrain->problems,
                     g_strdup_printf (_("%s: more than %d files; the others are not looked at"),
                                      folder, MOST_FILES));
  terrain->paths = g_steal_pointer (&paths);
  return terrain;
}

DwnTerrain *
dwn_terrain_ref (DwnTerrain *terrain)
{
  g_atomic_ref_count_inc (&terrain->ref_count);
  return terrain;
}

void
dwn_terrain_unref (DwnTerrain *terrain)
{
  if (!g_atomic_ref_count_dec (&terrain->ref_count))
    return;
  g_clear_pointer (&terrain->index, dwn_tile_index_free);
  dwn_tile_cache_free (terrain->cache);
  g_ptr_array_unref (terrain->problems);
  g_ptr_array_unref (terrain->paths);
  g_mutex_clear (&terrain->decode_mutex);
  g_mutex_clear (&terrain->problems_mutex);
  g_free (terrain);
}

const DwnTileIndex *
dwn_terrain_get_index (DwnTerrain *terrain)
{
  if (g_once_init_enter (&terrain->index_ready))
    {
      g_mutex_lock (&terrain->problems_mutex);
      terrain->index = dwn_tile_index_new (terrain->paths, terrain->problems);
      g_mutex_unlock (&terrain->problems_mutex);
      g_once_init_leave (&terrain->index_ready, 1);
    }
  return terrain->index;
}

void
dwn_terrain_set_cache_bytes (DwnTerrain *terrain, gsize bytes)
{
  g_return_if_fail (terrain != NULL);

  dwn_tile_cache_set_most_bytes (terrain->cache, bytes);
}

gsize
dwn_terrain_get_cached_bytes (DwnTerrain *terrain)
{
  g_return_val_if_fail (terrain != NULL, 0);

  return dwn_tile_cache_get_bytes (terrain->cache);
}

gsize
dwn_terrain_count_tiles (DwnTerrain *terrain)
{
  g_return_val_if_fail (terrain != NULL, 0);

  return dwn_tile_index_count (dwn_terrain_get_index (terrain));
}

static int
compare_texts (gconstpointer a, gconstpointer b)
{
  return g_strcmp0 (*(const char *const *) a, *(const char *const *) b);
}

char **
dwn_terrain_dup_problems (DwnTerrain *terrain)
{
  g_return_val_if_fail (terrain != NULL, NULL);

  GPtrArray *lines = g_ptr_array_new ();

  dwn_terrain_get_index (terrain);
  g_mutex_lock (&terrain->problems_mutex);
  for (guint i = 0; i < terrain->problems->len; i++)
    g_ptr_array_add (lines, g_strdup (g_ptr_array_index (terrain->problems, i)));
  g_mutex_unlock (&terrain->problems_mutex);
  g_ptr_array_sort (lines, compare_texts);
  g_ptr_array_add (lines, NULL);
  return (char **) g_ptr_array_free (lines, FALSE);
}

/* A tile that does not decode is told once and left alone from then on. */
static void
mark_broken (DwnTerrain *terrain, DwnTileFile *file, const GError *error)
{
  g_atomic_int_set (&file->broken, 1);
  g_mutex_lock (&terrain->problems_mutex);
  g_ptr_array_add (terrain->problems, g_strdup (error->message));
  g_mutex_unlock (&terrain->problems_mutex);
}

static DwnTile *
decode_window (DwnTerrain *terrain, DwnTileFile *file, guint64 key, guint first_column,
               guint first_row)
{
  g_autoptr (GMutexLocker) locker = g_mutex_locker_new (&terrain->decode_mutex);
  g_autoptr (DwnTile) tile = dwn_tile_cache_lookup (terrain->cache, key);
  g_autoptr (GError) error = NULL;

  if (tile != NULL || g_atomic_int_get (&file->broken))
    return g_steal_pointer (&tile);
  tile = dwn_tile_file_read (file, first_column, first_row, &error);
  if (tile != NULL)
    dwn_tile_cache_insert (terrain->cache, key, tile);
  else
    mark_broken (terrain, file, error);
  return g_steal_pointer (&tile);
}

/* Returns: (transfer full) (nullable). */
DwnTile *
dwn_terrain_get_window (DwnTerrain *terrain, DwnTileFile *file, guint64 window,
                        guint first_column, guint first_row)
{
  guint64 key = (guint64) file->number << WINDOW_BITS | window;
  DwnTile *tile;

  if (g_atomic_int_get (&file->broken))
    return NULL;
  tile = dwn_tile_cache_lookup (terrain->cache, key);
  return tile != NULL ? tile : decode_window (terrain, file, key, first_column, first_row);
}

double
dwn_terrain_height_m (DwnTerrain *terrain, const DwnLatLon *at)
{
  g_return_val_if_fail (terrain != NULL && at != NULL, (double) NAN);

  g_auto (DwnSampler) sampler;
  gboolean filled;

  dwn_sampler_init (&sampler, terrain);
  return dwn_sampler_height_m (&sampler, at, &filled);
}

double
dwn_terrain_step_m (DwnTerrain *terrain, const DwnLatLon *at)
{
  g_return_val_if_fail (terrain != NULL && at != NULL, (double) NAN);

  g_auto (DwnSampler) sampler;

  dwn_sampler_init (&sampler, terrain);
  return dwn_sampler_step_m (&sampler, at);
}
