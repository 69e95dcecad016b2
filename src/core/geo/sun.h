/* Where the sun stands, and when it stands over a bearing. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

/* Of the middle of the disc, for an observer on the ground. */
typedef struct {
  double azimuth_deg;            /* 0 <= a < 360, clockwise from true north */
  double elevation_deg;          /* without refraction */
  double apparent_elevation_deg; /* as seen, raised by the refraction of ordinary air */
} DwnSunPosition;

/* One moment at which the sun stands over a bearing, or opposite to it, where a mast's shadow
 * points along the bearing. */
typedef struct {
  double unix_s; /* UTC */
  gboolean opposite;
  DwnSunPosition sun;
} DwnSunMoment;

/* The sun at @unix_s (seconds since 1970-01-01 00:00 UTC). From 1950 to 2100 it lies within 0.003°
 * of an independent library's; another 0.004° are due to taking UTC as UT1. NaN for no place on
 * Earth, and for years before 1900 or after 2199.
 *
 * Source: J. Meeus, Astronomical Algorithms, 2nd ed. (1998), chapters 13, 22, 25 and 40, on the
 * series VSOP87D (Bretagnon and Francou, Astron. Astrophys. 202 (1988) 309). Refraction:
 * Saemundsson, Sky and Telescope 72 (1986) 70, for 1010 hPa and 10 °C; none from 1° below the
 * horizon down. */
void dwn_sun_position (double unix_s, const DwnLatLon *at, DwnSunPosition *sun);

/* Finds the moments from @from_unix_s until @until_unix_s, in order, at which the sun stands over
 * @bearing_deg or opposite to it, by day and by night: the elevation tells them apart. An ordinary
 * day has one of each; in the tropics a day may have none or two of one kind.
 *
 * @moments: (out caller-allocates): room for @max of them.
 * Returns: how many were found, at most @max; 0 where the sun's position is NaN. */
guint dwn_sun_over_bearing (const DwnLatLon *at, double bearing_deg, double from_unix_s,
                            double until_unix_s, DwnSunMoment *moments, guint max);

G_END_DECLS
