/* Invented houses for the tests of drawings and for looking at them. */
#pragma once

#include <pango/pangocairo.h>

#include "draw/rose.h"

G_BEGIN_DECLS

typedef struct {
  DwnRoseData data;
  DwnRoseStation *stations;
  DwnRoseMast *masts;
  DwnRoseAntenna antennas[2];
  double gain_dbi[2][360];
  double skyline_deg[360];
  GStringChunk *strings;
} DwnExample;

/* The house of the pictures: nine stations on five masts, two antennas. */
DwnExample *dwn_example_house (void);

/* A flat country with @n stations strewn by a fixed sequence, some of them sharing masts. */
DwnExample *dwn_example_crowd (guint n);

void dwn_example_free (DwnExample *example);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnExample, dwn_example_free)

/* A context of the family that the program uses, without a display. */
PangoContext *dwn_example_text (void);

G_END_DECLS
