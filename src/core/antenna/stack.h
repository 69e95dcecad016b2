/* Two antennas alike in a stack, as one antenna with an id of its own: wherever an antenna is named, in
 * a plan, in a list of allowed ones, on the command line,
 *
 *   stack-above-0.85-ID    two of the antenna ID, one 0.85 m above the other
 *   stack-beside-0.85-ID   side by side
 *
 * names the two together with the combiner that joins them over equal leads. */
#pragma once

#include "core/antenna/pair.h"

G_BEGIN_DECLS

/* 3 dB from the second antenna less this leaves the 2.5 dB that people reckon with (an amateur's
 * handbook). */
#define DWN_STACK_COMBINER_DB 0.5

/* Two on one boom, or one above the other on the mast of a house: common practice, no source. */
#define DWN_STACK_MOST_M 4.0

/* What such an id says. */
typedef struct {
  DwnStack direction;
  double spacing_m;
  const char *of; /* id of each; points into the id */
} DwnStackId;

/* FALSE for any other id, a stack of stacks among them. */
gboolean dwn_stack_id_parse (const char *id, DwnStackId *stack);

/* Returns: (transfer full): the spacing to a centimetre. */
char *dwn_stack_id (const DwnStackId *stack);

/* Two of @pattern: its name, so that words say that there are two, and twice its price.
 * Returns: (transfer full), or NULL with @error (DWN_PATTERN_ERROR) where the spacing does not serve or
 * @pattern is a stack already. */
DwnPattern *dwn_stack_pattern (const DwnPattern *pattern, DwnStack direction, double spacing_m,
                               GError **error);

/* Width in degrees of the lobe upwards and downwards between half powers, as
 * dwn_pattern_beamwidth_deg() has it sideways; 180 where nothing is known of elevations. */
double dwn_pattern_beamheight_deg (const DwnPattern *pattern, double mhz);

/* The spacing that gives most gain at @mhz, by the lobe's width in the plane of stacking; never under
 * half a wavelength, nor more than a mast or a boom takes. NaN unless mhz > 0. */
double dwn_stack_best_spacing_m (const DwnPattern *pattern, DwnStack direction, double mhz);

G_END_DECLS
