/* The Irregular Terrain Model (Longley-Rice), NTIA: 20 MHz to 20 GHz.
 *
 * `dwn_path_model_itm` (path-model.h) is its point-to-point mode over a profile. Sources: Hufford,
 * "The ITM, version 1.2.2: the algorithm" (NTIA/ITS); Hufford, Longley and Kissick, NTIA report
 * 82-100 (1982); Longley and Rice, ESSA report ERL 79-ITS 67 (1968); NBS Technical Note 101;
 * Vogler, NBS (1964).
 *
 * - The profile has at least three samples and no gaps; one that is not evenly spaced (step_m 0)
 *   is resampled on as many even steps. Clutter and zones are not used.
 * - Antennas 0.5 to 3000 m above ground, refractivity 250 to 400 N-units, climate 1 to 7; shares of
 *   time, location and situation between 0 and 100 %.
 * - The mode of variability is 0 (single message), 1 (accidental), 2 (mobile) or 3 (broadcast),
 *   plus 10 to leave out the variability of location, plus 20 to leave out that of situation.
 * - The model's warnings are passed on in the note.
 * - Unknown and circular polarisation are taken as horizontal. */
#pragma once

#include "core/radio/path-model.h"

G_BEGIN_DECLS

/* How the place of an antenna was chosen, for the mode without a profile. */
typedef enum {
  DWN_SITING_RANDOM,
  DWN_SITING_CAREFUL,
  DWN_SITING_VERY_CAREFUL,
} DwnSiting;

/* Irregularity of the ground among hills, and of no country in particular. */
#define DWN_ITM_HILLS_M 90

/* `dwn_path_model_itm_area` is the area mode for a broadcast station: the transmitter as high above
 * the ground as its mast above average terrain (its own height where that is not known), both ends
 * sited at random, on ground of @delta_h_m.
 *
 * Area mode: the loss over @query->distance_m (> 0) of ground known by its irregularity alone. The
 * terrain irregularity @delta_h_m (>= 0) is the range of heights on a path without its highest and
 * lowest tenth: 0 on water, 30 on plains, 90 among hills, 200 in mountains (NTIA 82-100).
 * FALSE with @error (DWN_PATH_ERROR_DOMAIN) outside the model's domain. */
gboolean dwn_itm_area_loss (const DwnPathQuery *query, double delta_h_m, DwnSiting tx_siting,
                            DwnSiting rx_siting, DwnPathLoss *out, GError **error);

G_END_DECLS
