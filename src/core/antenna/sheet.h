/* An antenna from the few figures of its data sheet. */
#pragma once

#include "core/antenna/antenna.h"

G_BEGIN_DECLS

typedef enum {
  DWN_GAIN_DBI, /* over an isotropic antenna */
  DWN_GAIN_DBD, /* over a half-wave dipole: 2.15 dB less */
} DwnGainUnit;

#define DWN_DIPOLE_GAIN_DBI 2.15

/* What a sheet says of one band; NaN where it says nothing. */
typedef struct {
  double low_mhz, high_mhz;     /* low <= high */
  double gain;                  /* in @unit; must be known */
  DwnGainUnit unit;
  double azimuth_width_deg;     /* between the half-power points; must be known; 360 all round */
  double elevation_width_deg;
  double front_to_back_db;      /* >= 0; 0 for two-way panels */
} DwnSheetBand;

/* Largest directivity in dBi that half-power beamwidths allow: Kraus' 41253/(θ φ), the square
 * degrees of the sphere over those of a beam without side lobes; and where a width is 300° or
 * more, McDonald's 101.5/(θ − 0.00272 θ²) with the other width θ, for all-round antennas. (Both in
 * Balanis, Antenna Theory, ch. 2, from memory.) NaN unless both are > 0 and at most 360. */
double dwn_sheet_directivity_dbi (double azimuth_width_deg, double elevation_width_deg);

/* A pattern with the sheet's gain, width and front-to-back ratio in each band. The lobe falls as
 * the square of the angle, 3 dB at half the width, down to the front-to-back ratio (the shape that
 * ITU-R F.1336 and OET-69 plan with); a lobe of the same shape looks back. Without a front-to-back
 * ratio OET-69's 10, 12 or 14 dB are taken; without an elevation width it is taken to be the
 * azimuth's where the gain is judged, and no elevation pattern is made.
 *
 * @bands by rising frequency, @n of them; @id as dwn_antenna_id_is_valid() wants it; @price NaN
 * where unknown; @warnings (nullable) (element-type utf8): what was assumed, and for each band
 * whose gain is above what its widths allow that the sheet is optimistic.
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR_RANGE, DWN_PATTERN_ERROR). */
DwnAntenna *dwn_sheet_antenna (const char *id, const char *name, double price, gsize n,
                               const DwnSheetBand *bands, GPtrArray *warnings, GError **error);

G_END_DECLS
