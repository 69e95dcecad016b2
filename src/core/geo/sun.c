#include "core/geo/sun.h"

#include <math.h>

#define RADIANS (G_PI / 180)
#define ARC_SECOND (G_PI / (180 * 3600))

#define UNIX_S_J2000 946728000.0 /* 2000-01-01 12:00 UTC */
#define UNIX_S_1900 (-2208988800.0)
#define UNIX_S_2200 7258118400.0
#define DAY_S 86400.0
#define DAYS_A_CENTURY 36525.0
/* Terrestrial Time less UTC: 69.2 s since 2017. Being a minute off moves the sun by 2". */
#define TT_LESS_UTC_S 69.2

/* VSOP87D, the Earth's heliocentric longitude and distance, mean equinox of date: a cos (b + c t)
 * times t to the power, t in thousands of years. Terms under 1e-5 (2") are left out, which adds up
 * to some 10" at worst; the latitude never exceeds 1". */
typedef struct {
  guint power;
  double a, b, c;
} Term;

static const Term longitude_terms[] = {
  { 0, 1.75347045673, 0, 0 },
  { 0, 0.03341656456, 4.66925680417, 6283.07584999140 },
  { 0, 0.00034894275, 4.62610241759, 12566.15169998280 },
  { 0, 0.00003497056, 2.74411800971, 5753.38488489680 },
  { 0, 0.00003417571, 2.82886579606, 3.52311834900 },
  { 0, 0.00003135896, 3.62767041758, 77713.77146812050 },
  { 0, 0.00002676218, 4.41808351397, 7860.41939243920 },
  { 0, 0.00002342687, 6.13516237631, 3930.20969621960 },
  { 0, 0.00001324292, 0.74246356352, 11506.76976979360 },
  { 0, 0.00001273166, 2.03709655772, 529.69096509460 },
  { 0, 0.00001199167, 1.10962944315, 1577.34354244780 },
  { 1, 6283.31966747491, 0, 0 },
  { 1, 0.00206058863, 2.67823455584, 6283.07584999140 },
  { 1, 0.00004303430, 2.63512650414, 12566.15169998280 },
  { 2, 0.00052918870, 0, 0 },
  { 2, 0.00008719837, 1.07209665242, 6283.07584999140 },
};

/* In astronomical units; it only scales aberration and parallax. */
static const Term distance_terms[] = {
  { 0, 1.00013988799, 0, 0 },
  { 0, 0.01670699626, 3.09846350771, 6283.07584999140 },
  { 0, 0.00013956023, 3.05524609620, 12566.15169998280 },
};

/* Right ascension, declination and the distance from the Earth; and sidereal time in Greenwich. */
typedef struct {
  double right_ascension_rad, declination_rad, distance_au;
  double sidereal_rad;
} Apparent;

typedef struct {
  double longitude_rad, obliquity_rad;
} Nutation;

static double
sum_terms (const Term *terms, gsize n, double t)
{
  double sum = 0;

  for (gsize i = 0; i < n; i++)
    sum += terms[i].a * cos (terms[i].b + terms[i].c * t) * pow (t, terms[i].power);
  return sum;
}

/* Meeus, chapter 22: the terms over 0.2", @t in centuries. */
static Nutation
nutation_at (double t)
{
  double node = (125.04452 - 1934.136261 * t) * RADIANS;
  double sun2 = 2 * (280.4665 + 36000.7698 * t) * RADIANS;
  double moon2 = 2 * (218.3165 + 481267.8813 * t) * RADIANS;

  return (Nutation) {
    .longitude_rad = ARC_SECOND * (-17.20 * sin (node) - 1.32 * sin (sun2) - 0.23 * sin (moon2)
                                   + 0.21 * sin (2 * node)),
    .obliquity_rad = ARC_SECOND * (9.20 * cos (node) + 0.57 * cos (sun2) + 0.10 * cos (moon2)
                                   - 0.09 * cos (2 * node)),
  };
}

/* Meeus, eq. (12.4), with the nutation that makes it apparent. */
static double
sidereal_rad (double days, double t, const Nutation *nutation, double obliquity_rad)
{
  double mean_deg = 280.46061837 + 360.98564736629 * days + 0.000387933 * t * t;

  return fmod (mean_deg, 360) * RADIANS + nutation->longitude_rad * cos (obliquity_rad);
}

/* Meeus, chapter 25, higher accuracy. */
static Apparent
apparent_at (double unix_s)
{
  double days_ut = (unix_s - UNIX_S_J2000) / DAY_S;
  double t = (days_ut + TT_LESS_UTC_S / DAY_S) / DAYS_A_CENTURY;
  Nutation nutation = nutation_at (t);
  double obliquity = ARC_SECOND * (84381.448 - 46.8150 * t - 0.00059 * t * t)
                     + nutation.obliquity_rad;
  double distance = sum_terms (distance_terms, G_N_ELEMENTS (distance_terms), t / 10);
  double aberration = -20.4898 * ARC_SECOND / distance;
  double to_fk5 = -0.09033 * ARC_SECOND;
  double longitude = sum_terms (longitude_terms, G_N_ELEMENTS (longitude_terms), t / 10) + G_PI
                     + nutation.longitude_rad + aberration + to_fk5;

  return (Apparent) {
    .right_ascension_rad = atan2 (cos (obliquity) * sin (longitude), cos (longitude)),
    .declination_rad = asin (sin (obliquity) * sin (longitude)),
    .distance_au = distance,
    .sidereal_rad = sidereal_rad (days_ut, t, &nutation, obliquity),
  };
}

static double
refraction_deg (double elevation_deg)
{
  if (elevation_deg < -1)
    return 0;
  double arc_minutes = 1.02 / tan ((elevation_deg + 10.3 / (elevation_deg + 5.11)) * RADIANS);
  return MAX (arc_minutes, 0) / 60; /* it is a trifle negative at the zenith */
}

static gboolean
is_in_domain (double unix_s, const DwnLatLon *at)
{
  return unix_s >= UNIX_S_1900 && unix_s <= UNIX_S_2200 && fabs (at->lat_deg) <= 90
         && isfinite (at->lon_deg);
}

/* Unit vector to the sun, without parallax. */
typedef struct {
  double north, east, up;
} Direction;

static Direction
direction_at (const Apparent *sun, const DwnLatLon *at)
{
  double phi = at->lat_deg * RADIANS, delta = sun->declination_rad;
  double hour_angle = sun->sidereal_rad + at->lon_deg * RADIANS - sun->right_ascension_rad;

  return (Direction) {
    .north = cos (phi) * sin (delta) - sin (phi) * cos (delta) * cos (hour_angle),
    .east = -cos (delta) * sin (hour_angle),
    .up = sin (phi) * sin (delta) + cos (phi) * cos (delta) * cos (hour_angle),
  };
}

void
dwn_sun_position (double unix_s, const DwnLatLon *at, DwnSunPosition *sun)
{
  g_return_if_fail (at != NULL && sun != NULL);

  if (!is_in_domain (unix_s, at))
    {
      *sun = (DwnSunPosition) { (double) NAN, (double) NAN, (double) NAN };
      return;
    }

  Apparent apparent = apparent_at (unix_s);
  Direction d = direction_at (&apparent, at);
  double level = hypot (d.north, d.east);
  /* Seen from the surface instead of the centre of the Earth (Meeus, chapter 40). */
  double parallax = 8.794 * ARC_SECOND / apparent.distance_au * level;
  double azimuth_deg = atan2 (d.east, d.north) / RADIANS;

  sun->azimuth_deg = azimuth_deg < 0 ? azimuth_deg + 360 : azimuth_deg;
  if (sun->azimuth_deg >= 360) /* −1e-20 + 360 rounds to 360 */
    sun->azimuth_deg = 0;
  sun->elevation_deg = (atan2 (d.up, level) - parallax) / RADIANS;
  sun->apparent_elevation_deg = sun->elevation_deg + refraction_deg (sun->elevation_deg);
}

/* How far the sun stands to the right of the vertical plane through a bearing: 0 where it stands
 * over the bearing or opposite. Over a day this is nearly a sine curve with one crest and one
 * trough, so between its turning points it has at most one root. */
typedef struct {
  DwnLatLon at;
  double bearing_rad;
} Plane;

static double
off_plane (const Plane *plane, double unix_s)
{
  Apparent apparent = apparent_at (unix_s);
  Direction d = direction_at (&apparent, &plane->at);

  return d.east * cos (plane->bearing_rad) - d.north * sin (plane->bearing_rad);
}

/* A step short enough to see every turning point between two others. */
#define STEP_S 1800.0
#define TIME_TOLERANCE_S 0.005

/* The time of the crest (@sign 1) or trough (−1) between two times around it: golden section. */
static double
find_turn (const Plane *plane, double low_s, double high_s, double sign)
{
  const double golden = (sqrt (5) - 1) / 2;

  while (high_s - low_s > 1)
    {
      double width_s = golden * (high_s - low_s);
      double a_s = high_s - width_s, b_s = low_s + width_s;

      if (sign * off_plane (plane, a_s) > sign * off_plane (plane, b_s))
        high_s = b_s;
      else
        low_s = a_s;
    }
  return (low_s + high_s) / 2;
}

static double
find_root (const Plane *plane, double low_s, double high_s, double at_low)
{
  while (high_s - low_s > TIME_TOLERANCE_S)
    {
      double middle_s = (low_s + high_s) / 2;

      if ((off_plane (plane, middle_s) < 0) == (at_low < 0))
        low_s = middle_s;
      else
        high_s = middle_s;
    }
  return (low_s + high_s) / 2;
}

typedef struct {
  const Plane *plane;
  DwnSunMoment *moments;
  guint n, max;
} Search;

/* Looks for the one root of a stretch without turning points. */
static void
search_stretch (Search *search, double low_s, double high_s)
{
  double low = off_plane (search->plane, low_s), high = off_plane (search->plane, high_s);

  if ((low < 0) == (high < 0) || search->n == search->max)
    return;

  DwnSunMoment *moment = &search->moments[search->n++];
  moment->unix_s = find_root (search->plane, low_s, high_s, low);
  dwn_sun_position (moment->unix_s, &search->plane->at, &moment->sun);
  moment->opposite = cos (moment->sun.azimuth_deg * RADIANS - search->plane->bearing_rad) < 0;
}

guint
dwn_sun_over_bearing (const DwnLatLon *at, double bearing_deg, double from_unix_s,
                      double until_unix_s, DwnSunMoment *moments, guint max)
{
  g_return_val_if_fail (at != NULL && (moments != NULL || max == 0), 0);

  if (!is_in_domain (from_unix_s, at) || !is_in_domain (until_unix_s, at)
      || !isfinite (bearing_deg))
    return 0;

  Plane plane = { *at, bearing_deg * RADIANS };
  Search search = { &plane, moments, 0, max };

  for (double t_s = from_unix_s; t_s < until_unix_s && search.n < max; t_s += STEP_S)
    {
      double end_s = MIN (t_s + STEP_S, until_unix_s);
      double rise_first = off_plane (&plane, t_s + 1) - off_plane (&plane, t_s);
      double rise_last = off_plane (&plane, end_s) - off_plane (&plane, end_s - 1);

      if ((rise_first < 0) == (rise_last < 0))
        {
          search_stretch (&search, t_s, end_s);
          continue;
        }
      double turn_s = find_turn (&plane, t_s, end_s, rise_first < 0 ? -1 : 1);
      search_stretch (&search, t_s, turn_s);
      search_stretch (&search, turn_s, end_s);
    }
  return search.n;
}
