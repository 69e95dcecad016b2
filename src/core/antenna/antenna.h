/* A receiving antenna: its pattern, and what happens at its feed.
 *
 * The program's own file of an antenna is UTF-8 text; '#' starts a comment line. The first line
 * is `downlead-antenna 1`, the format and its version. Then, a key and its value on each line:
 *
 *   id yagi-uhf-10                small letters, digits, '-', '.', '_'
 *   name UHF Yagi, 10 elements
 *   source where the figures come from
 *   feed-ohm 300                  (optional) line that the feed is meant for
 *   balun-db 0.5                  (optional) loss of the part between feed and coax
 *   price 40                      (optional)
 *   symmetry left-right           (optional) azimuths run from 0 to 180, the rest is mirrored
 *   azimuth-deg 0 5 10 ... 180    rising; 0 is the boresight, clockwise seen from above
 *   elevation-deg -90 ... 90      (optional) rising
 *
 * and, for each frequency by rising frequency:
 *
 *   mhz 473
 *   impedance-ohm 281.3 -12.6     (optional) resistance and reactance of the feed
 *   mismatch-db 0.02              (optional) power lost by reflection into feed-ohm
 *   gain-dbi 10.15 10.12 ...      one for each azimuth, at the horizon, without mismatch and
 *                                 balun, for waves polarised as the antenna stands
 *   elevation-db -30.1 ... -28.8  one for each elevation, over the boresight, relative to 0°
 */
#pragma once

#include <gio/gio.h>

#include "core/antenna/antenna-text.h"
#include "core/antenna/pattern.h"

G_BEGIN_DECLS

#define DWN_ANTENNA_FORMAT "downlead-antenna"
#define DWN_ANTENNA_FORMAT_VERSION 1

/* Immutable, refcounted. The arrays have pattern->n_mhz values; NaN where unknown. */
typedef struct {
  const DwnPattern *pattern; /* its gain contains neither mismatch nor balun; its mismatch_db is
                                what the feed reflects into feed_ohm */
  double feed_ohm;           /* line that the feed is meant for, 75 or 300; NaN: unknown */
  double balun_db;           /* NaN: unknown */
  const double *resistance_ohm, *reactance_ohm;
} DwnAntenna;

#define DWN_TYPE_ANTENNA (dwn_antenna_get_type ())
GType dwn_antenna_get_type (void);
DwnAntenna *dwn_antenna_ref (const DwnAntenna *antenna);
void dwn_antenna_unref (DwnAntenna *antenna);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnAntenna, dwn_antenna_unref)

/* Copies the arrays (each nullable: unknown) and references the pattern. */
DwnAntenna *dwn_antenna_new (const DwnAntenna *values);

/* Power in dB that a feed of @resistance_ohm + j @reactance_ohm reflects into a line of @line_ohm:
 * −10 log10 (1 − |Γ|²), Γ = (Z − Z0)/(Z + Z0). NaN unless both resistances are > 0. */
double dwn_mismatch_loss_db (double resistance_ohm, double reactance_ohm, double line_ohm);

/* Reads the format above; @file is for the texts of errors.
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR, DWN_PATTERN_ERROR). */
DwnAntenna *dwn_antenna_parse (GBytes *bytes, const char *file, GError **error);

/* Returns: (transfer full): the antenna in the format above, figures to ten digits. */
char *dwn_antenna_to_text (const DwnAntenna *antenna);

/* TRUE for what stands behind `id` in a file: 1 to 64 of a-z 0-9 - . _, not starting with '.'. */
gboolean dwn_antenna_id_is_valid (const char *id);

/* Returns: (transfer full): a valid id out of a file's name without folder and suffix, for files
 * that hold none. */
char *dwn_antenna_id_of_file (const char *path);

G_END_DECLS
