/* An antenna's pattern at one frequency, on its own decibel scale, seen from above: what it receives
 * from where when it looks up the page. */
#pragma once

#include <pango/pango.h>

#include "core/antenna/pattern.h"
#include "draw/look.h"
#include "draw/scene.h"
#include "words/wording.h"

G_BEGIN_DECLS

typedef struct {
  const DwnWording *wording;
  const DwnPattern *pattern;
  const DwnPattern *other; /* drawn dashed, to compare; NULL: none */
  double mhz;
} DwnPatternPlot;

/* Layer DWN_LAYER_STATIC has rings at 0, −10 and −20 dB below each pattern's own maximum and a spoke
 * every 30°; the patterns are in DWN_LAYER_MOVING. Fills @size × @size. */
DwnScene *dwn_pattern_plot_layout (const DwnPatternPlot *plot, const DwnLook *look, PangoContext *text,
                                   double size);

/* Radius of the 0 dB ring in a plot of @size. */
double dwn_pattern_plot_radius (const DwnLook *look, double size);

G_END_DECLS
