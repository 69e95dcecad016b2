#include "core/terrain/track.h"

#include <math.h>

#include "core/geo/geodesic.h"

#define KNOT_SPACING_M 20000.0
/* Near a pole longitude runs away from any cubic. */
#define HIGHEST_CUBIC_LAT_DEG 80.0
#define METRES_PER_DEGREE_AT_LEAST 110000.0

/* WGS 84 (NIMA TR8350.2). */
#define SEMI_MAJOR_M 6378137.0
#define FLATTENING (1.0 / 298.257223563)

static double
to_radians (double degrees)
{
  return degrees * (G_PI / 180.0);
}

static double
to_degrees (double radians)
{
  return radians * (180.0 / G_PI);
}

/* Along a line of azimuth α: dφ/ds = cos α / M, dλ/ds = sin α / (N cos φ), with the radii of
 * curvature M in the meridian and N across it (any textbook of geodesy, such as Torge §4.1). */
static void
set_knot (const DwnTrack *track, double distance_m, DwnTrackKnot *knot)
{
  double eccentricity2 = FLATTENING * (2.0 - FLATTENING);
  double back_bearing_deg;

  knot->distance_m = distance_m;
  dwn_geodesic_direct (&track->from, track->bearing_deg, distance_m, &knot->at, &back_bearing_deg);

  double azimuth = to_radians (back_bearing_deg + 180.0);
  double lat = to_radians (knot->at.lat_deg);
  double w2 = 1.0 - eccentricity2 * sin (lat) * sin (lat);
  double across_m = SEMI_MAJOR_M / sqrt (w2);
  double meridian_m = across_m * (1.0 - eccentricity2) / w2;

  knot->lat_slope = to_degrees (cos (azimuth) / meridian_m);
  knot->lon_slope = to_degrees (sin (azimuth) / (across_m * cos (lat)));
}

void
dwn_track_init (DwnTrack *track, const DwnLatLon *from, double bearing_deg, double length_m)
{
  g_return_if_fail (length_m >= 0.0);

  double highest_deg = fabs (from->lat_deg) + length_m / METRES_PER_DEGREE_AT_LEAST;
  double n_spans = MAX (1.0, ceil (length_m / KNOT_SPACING_M));

  *track = (DwnTrack) { .from = *from, .bearing_deg = bearing_deg, .length_m = length_m };
  if (!(highest_deg < HIGHEST_CUBIC_LAT_DEG))
    return;
  track->spacing_m = length_m / n_spans;
  set_knot (track, 0.0, &track->before);
  set_knot (track, track->spacing_m, &track->after);
}

static void
move_knots (DwnTrack *track, double distance_m)
{
  double n_spans = round (track->length_m / track->spacing_m);
  double span = CLAMP (floor (distance_m / track->spacing_m), 0.0, n_spans - 1.0);
  double next_m = (span + 1.0) * track->spacing_m;

  if (track->after.distance_m == span * track->spacing_m)
    track->before = track->after;
  else
    set_knot (track, span * track->spacing_m, &track->before);
  set_knot (track, next_m, &track->after);
}

/* Hermite's cubic through both ends with the slopes there; its error, of fourth order in the span,
 * is under 0.1 mm at 20 km and 80° of latitude. */
static double
hermite (double share, double span_m, double from, double from_slope, double to, double to_slope)
{
  double rest = 1.0 - share;

  return rest * rest * (from * (1.0 + 2.0 * share) + share * span_m * from_slope)
         + share * share * (to * (1.0 + 2.0 * rest) - rest * span_m * to_slope);
}

void
dwn_track_get_point (DwnTrack *track, double distance_m, DwnLatLon *at)
{
  if (!(track->spacing_m > 0.0))
    {
      dwn_geodesic_direct (&track->from, track->bearing_deg, distance_m, at, NULL);
      return;
    }
  if (distance_m < track->before.distance_m || distance_m > track->after.distance_m)
    move_knots (track, distance_m);

  const DwnTrackKnot *before = &track->before;
  const DwnTrackKnot *after = &track->after;
  double span_m = after->distance_m - before->distance_m;
  double share = (distance_m - before->distance_m) / span_m;
  double after_lon_deg = before->at.lon_deg
                         + remainder (after->at.lon_deg - before->at.lon_deg, 360.0);
  double lon_deg = hermite (share, span_m, before->at.lon_deg, before->lon_slope, after_lon_deg,
                            after->lon_slope);

  at->lat_deg = hermite (share, span_m, before->at.lat_deg, before->lat_slope, after->at.lat_deg,
                         after->lat_slope);
  at->lon_deg = fabs (lon_deg) > 180.0 ? remainder (lon_deg, 360.0) : lon_deg;
}
