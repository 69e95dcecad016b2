/* What a walk over the ground could not see. */
#include <math.h>

#include "core/terrain/terrain-private.h"

void
dwn_terrain_gaps_clear (DwnTerrainGaps *gaps)
{
  g_strfreev (gaps->absent_cells);
  *gaps = (DwnTerrainGaps) { 0 };
}

void
dwn_gap_counter_init (DwnGapCounter *counter, const DwnSampler *sampler, DwnTerrainGaps *gaps)
{
  *counter = (DwnGapCounter) { .index = sampler->index, .gaps = gaps, .last_cell = G_MAXUINT };
  if (gaps == NULL)
    return;
  dwn_terrain_gaps_clear (gaps);
  gaps->first_m = gaps->last_m = (double) NAN;
  counter->absent = g_hash_table_new (NULL, NULL);
}

static void
add_missing (DwnGapCounter *counter, const DwnLatLon *at, double distance_m)
{
  DwnTerrainGaps *gaps = counter->gaps;
  guint cell = dwn_tile_index_get_cell (at);

  gaps->n_missing++;
  gaps->first_m = fmin (gaps->first_m, distance_m); /* takes the other one where one is NaN */
  gaps->last_m = fmax (gaps->last_m, distance_m);
  if (cell == counter->last_cell || dwn_tile_index_covers (counter->index, at))
    return;
  g_hash_table_add (counter->absent, GUINT_TO_POINTER (cell));
  counter->last_cell = cell;
}

void
dwn_gap_counter_add (DwnGapCounter *counter, const DwnLatLon *at, double distance_m,
                     double height_m, gboolean filled)
{
  if (counter->gaps == NULL)
    return;
  counter->gaps->n_samples++;
  if (isnan (height_m))
    add_missing (counter, at, distance_m);
  else if (filled)
    counter->gaps->n_interpolated++;
}

static int
compare_texts (gconstpointer a, gconstpointer b)
{
  return g_strcmp0 (*(const char *const *) a, *(const char *const *) b);
}

void
dwn_gap_counter_finish (DwnGapCounter *counter)
{
  if (counter->gaps == NULL)
    return;

  GPtrArray *names = g_ptr_array_new ();
  GHashTableIter iter;
  gpointer cell;

  g_hash_table_iter_init (&iter, counter->absent);
  while (g_hash_table_iter_next (&iter, &cell, NULL))
    g_ptr_array_add (names, dwn_tile_index_dup_cell_name (GPOINTER_TO_UINT (cell)));
  g_ptr_array_sort (names, compare_texts);
  g_ptr_array_add (names, NULL);
  counter->gaps->absent_cells = (char **) g_ptr_array_free (names, FALSE);
  g_clear_pointer (&counter->absent, g_hash_table_unref);
}
