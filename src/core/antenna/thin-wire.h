/* Reads the listing that a thin-wire moment-method program of the NEC-2 family prints.
 *
 * Taken from it, for each frequency: the feed impedance of the first source ("ANTENNA INPUT
 * PARAMETERS") and, of all "RADIATION PATTERNS", the rows at theta 90 (the horizon; azimuth is
 * −phi, since phi turns the other way) and the rows at phi 0 (elevation 90 − theta over the
 * boresight). The deck must therefore have its boresight along +x and its mast along z, free space,
 * and ask for both cuts: `RP 0 1 73 1000 90 0 0 5` and `RP 0 37 1 1000 0 0 5 0`. */
#pragma once

#include "core/antenna/antenna.h"

G_BEGIN_DECLS

/* Deeper nulls are not kept on a real mast. */
#define DWN_THIN_WIRE_FLOOR_DBI (-40.0)
/* Beyond this nothing arrives; where a resistance is lost in the rounding it is taken, too. */
#define DWN_THIN_WIRE_MOST_MISMATCH_DB 60.0

/* Of vertical and horizontal polarisation the one that is received better over the boresight
 * counts; listings with major and minor axes give their total. @feed_ohm is the line that the
 * mismatch is worked out for; NaN: 75 or 300 Ω, whichever fits better. @file names the antenna and
 * stands in errors; @warnings (nullable) (element-type utf8) receives what was assumed.
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR, DWN_PATTERN_ERROR). */
DwnAntenna *dwn_thin_wire_parse (GBytes *bytes, const char *file, double feed_ohm,
                                 GPtrArray *warnings, GError **error);

/* TRUE where @text looks like the head of such a listing. */
gboolean dwn_thin_wire_is_listing (const char *text);

G_END_DECLS
