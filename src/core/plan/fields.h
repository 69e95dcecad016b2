/* Figures as regulators and spreadsheets write them. All of it is independent of the locale. */
#pragma once

#include <glib.h>

#include "core/radio/channel.h"

G_BEGIN_DECLS

/* The whole of @text as a finite decimal number, with spaces around it allowed. @decimal is '.'
 * or ','. Hexadecimal figures, "inf", "nan", thousands separators and figures beyond the range
 * of a double are not numbers. FALSE leaves @value alone. */
gboolean dwn_field_number (const char *text, char decimal, double *value);

/* The same, with a unit behind it ("284.   kW"); any unit but @unit is refused. No unit is fine. */
gboolean dwn_field_measure (const char *text, const char *unit, double *value);

/* Decimal degrees from degrees, minutes and seconds of 0 to 60 (60 occurs in records). NaN where
 * one is negative or too large. */
double dwn_field_degrees (double degrees, double minutes, double seconds);

/* Packed "DDMMSS" or "DDDMMSS", seconds with decimals allowed, with a sign. FALSE where it is
 * none: another number of digits, minutes over 59, seconds over 60. */
gboolean dwn_field_packed_degrees (const char *text, double *degrees);

/* An angle as people write it: "44.28", "-71.69", "44° 16' 48\" N", "71 41 24 W", "44°16,8'N";
 * W and S are negative. @decimal as above; @letters: "NS" of a latitude, "EW" of a longitude.
 * FALSE where it is none. */
gboolean dwn_field_angle (const char *text, char decimal, const char *letters, double *degrees);

/* H V C E (elliptical counts as circular, DESIGN.md has three) and words beginning so, in either
 * case; anything else is unknown. */
DwnPolarisation dwn_field_polarisation (const char *text);

/* A date's first eight digits in the order year month day ("2013-05-28", "20130528"), or month
 * day year with slashes ("05/28/2013 00:00:00"), as 20130528; 0 where it is none. */
guint dwn_field_date (const char *text);

G_END_DECLS
