#include "core/study/aim.h"

#include <math.h>

#define HOURS_12_S 43200

/* Loss of an antenna θ off its axis, parabolic in decibels: 12 dB (θ / half-power beamwidth)²
 * (ITU-R F.699 and F.1245 use it for the main lobe). */
#define PARABOLA_DB 12.0
#define TILT_WORTH_DB 0.5

static double
turned (double deg)
{
  double rest = fmod (deg, 360.0);

  return rest < 0.0 ? rest + 360.0 : rest;
}

void
dwn_compass_aim (const DwnMagneticModel *model, const DwnLatLon *at, double decimal_year,
                 double true_deg, DwnCompassAim *aim)
{
  DwnMagneticField field;

  g_return_if_fail (model != NULL && at != NULL && aim != NULL);

  dwn_magnetic_model_field (model, at, 0.0, decimal_year, &field);
  *aim = (DwnCompassAim) {
    .true_deg = turned (true_deg),
    .compass_deg = turned (true_deg - field.at.declination_deg),
    .declination_deg = field.at.declination_deg,
    .change_deg_per_year = field.per_year.declination_deg,
    .outside_validity = field.outside_validity,
  };
}

/* Midnight of the clocks, or where they jump over it the first moment of the day. */
static double
begin_of_day (double midnight_utc, GTimeZone *zone)
{
  g_autoptr (GDateTime) day = g_date_time_new_from_unix_utc ((gint64) midnight_utc);
  g_autoptr (GDateTime) begin = g_date_time_new (zone, g_date_time_get_year (day),
                                                 g_date_time_get_month (day),
                                                 g_date_time_get_day_of_month (day), 0, 0, 0.0);

  return begin != NULL ? (double) g_date_time_to_unix (begin) : midnight_utc;
}

void
dwn_day_of_zone (const DwnDate *date, GTimeZone *zone, double *from_unix_s, double *until_unix_s)
{
  double midnight_utc = (double) dwn_date_unix_s (date);

  *from_unix_s = zone != NULL ? begin_of_day (midnight_utc, zone) : midnight_utc;
  *until_unix_s = midnight_utc + 2 * HOURS_12_S;
  if (zone != NULL)
    *until_unix_s = begin_of_day (*until_unix_s, zone);
}

char *
dwn_time_format_zone (double unix_s, GTimeZone *zone)
{
  g_autoptr (GDateTime) utc = NULL;
  g_autoptr (GDateTime) local = NULL;

  g_return_val_if_fail (zone != NULL, NULL);

  if (isfinite (unix_s) && fabs (unix_s) < 1e12)
    utc = g_date_time_new_from_unix_utc (llround (unix_s));
  if (utc != NULL)
    local = g_date_time_to_timezone (utc, zone);
  return local != NULL ? g_date_time_format (local, "%Y-%m-%dT%H:%M:%S%:z") : g_strdup ("");
}

guint
dwn_sun_aim (const DwnLatLon *at, double bearing_deg, const DwnDate *date, GTimeZone *zone,
             DwnSunMoment *moments)
{
  double from_s, until_s;
  guint n, n_up = 0;

  dwn_day_of_zone (date, zone, &from_s, &until_s);
  n = dwn_sun_over_bearing (at, bearing_deg, from_s, until_s, moments, DWN_SUN_AIM_MAX);
  for (guint i = 0; i < n; i++)
    if (moments[i].sun.elevation_deg > 0.0)
      moments[n_up++] = moments[i];
  return n_up;
}

double
dwn_turn_from_deg (double landmark_deg, double aim_deg)
{
  double turn_deg = turned (aim_deg - landmark_deg);

  return turn_deg > 180.0 ? turn_deg - 360.0 : turn_deg;
}

double
dwn_tilt_deg (double elevation_deg, double beamwidth_deg)
{
  double widths = elevation_deg / beamwidth_deg;

  if (isnan (elevation_deg) || !(beamwidth_deg > 0.0))
    return (double) NAN;
  return elevation_deg > 0.0 && PARABOLA_DB * widths * widths >= TILT_WORTH_DB ? elevation_deg : 0.0;
}
