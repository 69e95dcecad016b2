/* Reads an antenna from a plain table, as a person types it or a spreadsheet saves it:
 *
 *   # a comment
 *   name Attic log-periodic       (optional)
 *   gain relative                 (optional) "dbi" or "relative"
 *   peak-dbi 9.5 10.1             with relative: what 0 dB stands for, once or for each column
 *   azimuth, 473, 545             (optional) heading: the columns' frequencies in MHz
 *   0, 0.0, 0.0                   azimuth in degrees (0 the boresight, clockwise), gain in dB
 *   10, -0.4, -0.5
 *
 * Commas, semicolons, tabs or blanks stand between the figures, the decimal sign is a point.
 * Azimuths run from 0 to 360 or from -180 to 180, in any order. The heading may also be the one
 * of the program's own output, "azimuth_deg gain_dbi". */
#pragma once

#include "core/antenna/antenna.h"

G_BEGIN_DECLS

/* @file names the antenna and stands in errors; @warnings (nullable) (element-type utf8) receives
 * what was assumed: a table without frequency holds at all of them; one that ends at 180° is
 * mirrored; without a line `gain`, a table that nowhere exceeds 0 dB is relative.
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR, DWN_PATTERN_ERROR). */
DwnAntenna *dwn_pattern_table_parse (GBytes *bytes, const char *file, GPtrArray *warnings,
                                     GError **error);

G_END_DECLS
