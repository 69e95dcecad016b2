#include "draw/rose-places.h"

struct _DwnRosePlaces {
  gboolean held;
  GHashTable *labels; /* id -> DwnRosePlace */
  gboolean has_card;
  guint card_id;
  DwnRosePlace card;
};

DwnRosePlaces *
dwn_rose_places_new (void)
{
  DwnRosePlaces *places = g_new0 (DwnRosePlaces, 1);

  places->labels = g_hash_table_new_full (NULL, NULL, NULL, g_free);
  return places;
}

void
dwn_rose_places_free (DwnRosePlaces *places)
{
  g_return_if_fail (places != NULL);

  g_hash_table_unref (places->labels);
  g_free (places);
}

void
dwn_rose_places_hold (DwnRosePlaces *places, gboolean held)
{
  g_return_if_fail (places != NULL);

  places->held = held;
}

gboolean
dwn_rose_places_held (const DwnRosePlaces *places)
{
  return places != NULL && places->held;
}

gboolean
dwn_rose_places_get (const DwnRosePlaces *places, guint id, DwnRosePlace *place)
{
  const DwnRosePlace *kept;

  if (places == NULL)
    return FALSE;
  kept = g_hash_table_lookup (places->labels, GUINT_TO_POINTER (id));
  if (kept != NULL)
    *place = *kept;
  return kept != NULL;
}

void
dwn_rose_places_set (DwnRosePlaces *places, guint id, const DwnRosePlace *place)
{
  if (places != NULL)
    g_hash_table_insert (places->labels, GUINT_TO_POINTER (id), g_memdup2 (place, sizeof *place));
}

void
dwn_rose_places_drop (DwnRosePlaces *places, guint id)
{
  if (places != NULL)
    g_hash_table_remove (places->labels, GUINT_TO_POINTER (id));
}

gboolean
dwn_rose_places_get_card (const DwnRosePlaces *places, guint id, DwnRosePlace *place)
{
  if (places == NULL || !places->has_card || places->card_id != id)
    return FALSE;
  *place = places->card;
  return TRUE;
}

void
dwn_rose_places_set_card (DwnRosePlaces *places, guint id, const DwnRosePlace *place)
{
  if (places == NULL)
    return;
  places->has_card = TRUE;
  places->card_id = id;
  places->card = *place;
}
