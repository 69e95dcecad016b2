/* What an antenna receives, or radiates, by bearing, elevation and frequency. */
#pragma once

#include <glib-object.h>

#include "core/radio/channel.h"

G_BEGIN_DECLS

#define DWN_PATTERN_MIN_MHZ 1.0
#define DWN_PATTERN_MAX_MHZ 10000.0
#define DWN_PATTERN_MAX_ABS_DB 1000.0

#define DWN_PATTERN_ERROR (dwn_pattern_error_quark ())
GQuark dwn_pattern_error_quark (void);
typedef enum {
  DWN_PATTERN_ERROR_EMPTY, /* no frequency, no azimuth */
  DWN_PATTERN_ERROR_ORDER, /* an axis that does not rise */
  DWN_PATTERN_ERROR_RANGE, /* a frequency, an angle or a gain that cannot be */
} DwnPatternError;

/* Immutable, refcounted. Gains are towards the far field, in dBi for a receiving antenna and in
 * dB below the licensed maximum for a transmitting one. Azimuth 0 is the boresight of a receiving
 * antenna (clockwise seen from above) and true north of a transmitting one. */
typedef struct {
  const char *id;     /* catalogue id or file name */
  const char *name;   /* for people, untranslated */
  const char *source; /* where the figures come from */
  gsize n_mhz, n_azimuth, n_elevation;
  const double *mhz;         /* rising */
  const double *azimuth_deg; /* rising, 0 <= a < 360 */
  const double *gain_dbi;    /* [n_mhz][n_azimuth] at the horizon */
  const double *elevation_deg; /* rising, −90 to 90; NULL where the file has none */
  const double *elevation_db;  /* [n_mhz][n_elevation] relative to elevation 0, at azimuth 0 */
  double price;              /* in the plan's currency; NaN where unknown */
  const double *mismatch_db; /* [n_mhz] power that the feed reflects into its line, >= 0, NaN where
                                unknown; not contained in gain_dbi; NULL: unknown at all */
} DwnPattern;

#define DWN_TYPE_PATTERN (dwn_pattern_get_type ())
GType dwn_pattern_get_type (void);
DwnPattern *dwn_pattern_ref (const DwnPattern *pattern);
void dwn_pattern_unref (DwnPattern *pattern);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPattern, dwn_pattern_unref)

/* Copies everything. @elevation_deg and @elevation_db may be NULL with n_elevation 0, and
 * @mismatch_db may be.
 * Returns: (transfer full), or NULL with @error (DWN_PATTERN_ERROR) where an axis does not rise,
 * a frequency is outside 1 MHz to 10 GHz, a gain is not within ±1000 dB or a mismatch is
 * negative. */
DwnPattern *dwn_pattern_new (const DwnPattern *values, GError **error);

/* Gain in dBi @azimuth_deg off the boresight at @mhz and at the horizon. Exact at nodes; linear
 * in dB between neighbouring azimuths (across 0 too) and between neighbouring frequencies; beyond
 * the first and last frequency the pattern keeps its shape and loses 12 dB an octave, our
 * assumption: an antenna hardly works outside its band. NaN for a frequency that is not > 0. */
double dwn_pattern_gain_dbi (const DwnPattern *pattern, double azimuth_deg, double mhz);

/* Fills gain_dbi[k] for azimuth k · 360 / n. */
void dwn_pattern_sample (const DwnPattern *pattern, double mhz, gsize n, double *gain_dbi);

/* Largest gain over all azimuths. */
double dwn_pattern_max_gain_dbi (const DwnPattern *pattern, double mhz);

/* What is added to the gain for a wave that arrives at @elevation_deg; 0 where unknown. */
double dwn_pattern_elevation_db (const DwnPattern *pattern, double elevation_deg, double mhz);

/* Power in dB that is lost by reflection at the feed, straight lines between the frequencies and
 * the end values beyond; 0 where unknown. The gain does not contain it: what arrives in the line is
 * dwn_pattern_gain_dbi() less this. It makes the difference outside the antenna's band: a UHF
 * dipole has the gain of a dipole on low VHF, and loses 40 dB at its feed. */
double dwn_pattern_mismatch_db (const DwnPattern *pattern, double mhz);

/* Width in degrees of the arc around azimuth 0 within which the gain is at least half that of
 * azimuth 0; 360 for all-round reception. */
double dwn_pattern_beamwidth_deg (const DwnPattern *pattern, double mhz);

/* Gain at azimuth 0 over the largest one in the rear 120° sector, in dB. */
double dwn_pattern_front_to_back_db (const DwnPattern *pattern, double mhz);

/* A transmit pattern from relative field values (0 to 1) at rising azimuths, turned clockwise by
 * @rotation_deg. A field under 0.01 is taken as −40 dB; NULL with
 * @error (DWN_PATTERN_ERROR) for a field outside 0 to 1 or azimuths that do not rise. Valid at
 * every frequency: a station uses its pattern on its own channel only. */
DwnPattern *dwn_pattern_new_relative_field (const char *id, gsize n, const double *azimuth_deg,
                                            const double *field, double rotation_deg,
                                            const char *source, GError **error);

G_END_DECLS
