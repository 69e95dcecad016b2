/* What stands around an antenna that is lower than its surroundings. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef enum {
  DWN_CLUTTER_WATER,
  DWN_CLUTTER_OPEN,
  DWN_CLUTTER_SUBURBAN,
  DWN_CLUTTER_URBAN,
  DWN_CLUTTER_WOOD,
  DWN_CLUTTER_DENSE_URBAN,
} DwnClutter;
#define DWN_N_CLUTTERS 6

/* "water" "open" "suburban" "urban" "wood" "dense-urban" */
const char *dwn_clutter_id (DwnClutter clutter);
gboolean dwn_clutter_from_id (const char *id, DwnClutter *clutter);

/* Where nothing is known of the place: height of what stands there, and distance across a street
 * to it (ITU-R P.2108-1 §3.1). */
double dwn_clutter_height_m (DwnClutter clutter);
#define DWN_CLUTTER_STREET_M 27.0

/* Loss in dB of an antenna @antenna_agl_m above ground among clutter of @height_m with @street_m
 * to the next obstacle, over the field at the top of the clutter: predict the path to that height,
 * then take this off. 0 for an antenna at or above the clutter.
 * NaN outside 30 MHz to 3 GHz and unless all three lengths are > 0.
 * Recommendation ITU-R P.2108-1 §3.1, height-gain terminal correction. */
double dwn_clutter_loss_db (DwnClutter clutter, double mhz, double antenna_agl_m, double height_m,
                            double street_m);

G_END_DECLS
