/* Turning the antenna to its aim on the roof: by compass, by the sun, by a landmark. */
#pragma once

#include "core/geo/date.h"
#include "core/geo/magnetic.h"
#include "core/geo/sun.h"

G_BEGIN_DECLS

/* Steel nearer than this to a compass turns its needle (common practice, no source: 2 to 3 m). */
#define DWN_COMPASS_STEEL_M 3.0

/* The same bearing by magnetic needle, and how it moves. */
typedef struct {
  double true_deg;
  double compass_deg;           /* 0 <= c < 360 */
  double declination_deg;       /* east positive */
  double change_deg_per_year;   /* of the declination */
  gboolean outside_validity;    /* the model is not made for this year */
} DwnCompassAim;

/* @decimal_year: 2026.5. All NaN where the model has no answer there. */
void dwn_compass_aim (const DwnMagneticModel *model, const DwnLatLon *at, double decimal_year,
                      double true_deg, DwnCompassAim *aim);

/* A day runs from midnight to midnight on the clocks of @zone, so that it has 23 or 25 hours where
 * they are changed. @zone NULL: Universal Time. */
void dwn_day_of_zone (const DwnDate *date, GTimeZone *zone, double *from_unix_s,
                      double *until_unix_s);

/* Returns: (transfer full): "YYYY-MM-DDThh:mm:ss+hh:mm" by the clocks of @zone, to the nearest
 * second; "" where @unix_s is not finite or outside the years 1 to 9999. */
char *dwn_time_format_zone (double unix_s, GTimeZone *zone);

/* Where a day has more moments than this, the last ones are left out. */
#define DWN_SUN_AIM_MAX 8

/* The moments of that day at which the sun is up (its middle, refraction left out) and stands over
 * @bearing_deg or opposite to it, in order. @moments: room for DWN_SUN_AIM_MAX.
 * Returns: how many. */
guint dwn_sun_aim (const DwnLatLon *at, double bearing_deg, const DwnDate *date, GTimeZone *zone,
                   DwnSunMoment *moments);

/* How far to turn clockwise from a landmark at @landmark_deg to @aim_deg: −180 < a <= 180. */
double dwn_turn_from_deg (double landmark_deg, double aim_deg);

/* Degrees by which to tilt the antenna up: the elevation of the station where that loses at least
 * half a decibel in a beam of @beamwidth_deg (half power, parabolic near its axis), otherwise 0. */
double dwn_tilt_deg (double elevation_deg, double beamwidth_deg);

G_END_DECLS
