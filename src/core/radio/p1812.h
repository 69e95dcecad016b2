/* Recommendation ITU-R P.1812-8: point-to-area prediction over terrain, 30 MHz to 6 GHz.
 *
 * `dwn_path_model_p1812` (path-model.h) takes the complete method of Annex 1: line of sight with
 * multipath and focusing, delta-Bullington diffraction over the profile, ducting and layer
 * reflection, troposcatter, and location variability.
 *
 * - The profile has at least three samples and no gaps. Its clutter is added to the ground except
 *   under the two antennas (§3.2); zones decide how much of the path lies over the sea.
 * - 30 to 6000 MHz, antennas 1 to 3000 m above ground, 1 to 99 % of locations.
 * - The Recommendation ends at 50 % of the time. Above that the loss is reflected about the
 *   median, L(p) = 2 L(50) − L(100 − p), up to 99 %: **an extension of ours**, said in the note.
 * - The free-space loss it returns is the Recommendation's own eq. (8), over the slant distance.
 * - Unknown and circular polarisation are taken as horizontal. */
#pragma once

#include "core/radio/path-model.h"

G_BEGIN_DECLS

/* Standard deviation in dB of the local mean within a square of @width_m around a receiving antenna
 * @rx_agl_m above ground, among clutter of @clutter_m (§4.8 and §4.10); none from 10 m above the
 * clutter on. NaN unless @mhz and @width_m are > 0 and the heights known. */
double dwn_p1812_location_sd_db (double mhz, double rx_agl_m, double clutter_m, double width_m);

G_END_DECLS
