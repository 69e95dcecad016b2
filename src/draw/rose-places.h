/* Where labels stood in the layout before. */
#pragma once

#include "draw/rose.h"

G_BEGIN_DECLS

typedef struct {
  guint direction, distance; /* indices of the tables of the caller */
  guint form;                /* 0: name and detail, 1: name only */
} DwnRosePlace;

/* All accept @places NULL: nothing is known, nothing is kept. FALSE where there is none. */
gboolean dwn_rose_places_get (const DwnRosePlaces *places, guint id, DwnRosePlace *place);
void dwn_rose_places_set (DwnRosePlaces *places, guint id, const DwnRosePlace *place);
void dwn_rose_places_drop (DwnRosePlaces *places, guint id);
gboolean dwn_rose_places_held (const DwnRosePlaces *places);
gboolean dwn_rose_places_get_card (const DwnRosePlaces *places, guint id, DwnRosePlace *place);
void dwn_rose_places_set_card (DwnRosePlaces *places, guint id, const DwnRosePlace *place);

G_END_DECLS
