/* Many points along one geodesic, quickly: exact ones every 20 km and cubics between them. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

/* An exact point and how latitude and longitude change along the track there. */
typedef struct {
  double distance_m;
  DwnLatLon at;
  double lat_slope; /* degrees per metre */
  double lon_slope;
} DwnTrackKnot;

typedef struct {
  DwnLatLon from;
  double bearing_deg;
  double length_m;
  double spacing_m; /* between knots; 0 where every point is reckoned exactly */
  DwnTrackKnot before, after;
} DwnTrack;

/* A track of @length_m (0 or more) that leaves @from at @bearing_deg. */
void dwn_track_init (DwnTrack *track, const DwnLatLon *from, double bearing_deg, double length_m);

/* The point at @distance_m (0 to the length), within a millimetre of the geodesic; cheapest when
 * distances are asked for in order. Longitude within ±180°. */
void dwn_track_get_point (DwnTrack *track, double distance_m, DwnLatLon *at);

G_END_DECLS
