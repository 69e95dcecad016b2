/* Coordinates as people paste them, read; and written for scripts. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

#define DWN_COORDINATES_ERROR (dwn_coordinates_error_quark ())
GQuark dwn_coordinates_error_quark (void);
typedef enum {
  DWN_COORDINATES_ERROR_FORMAT,    /* not a pair of coordinates */
  DWN_COORDINATES_ERROR_RANGE,     /* a latitude, longitude, minute or second out of range */
  DWN_COORDINATES_ERROR_AMBIGUOUS, /* can be read in two ways; the message names both */
} DwnCoordinatesError;

/* Reads a latitude and a longitude in degrees (decimal or with minutes and seconds, with or without
 * symbols), in any of these ways and their mixtures:
 *
 *   44.28,-71.69      44,28 -71,69      44,28; -71,69        (44.28000, -71.69000)
 *   44°16'48.0"N 71°41'24.0"W      N 44° 16.8′ W 71° 41.4′    44:16:48 -71:41:24
 *   44 16 48 N, 71 41 24 W         lat=44.28 lon=-71.69       geo:44.28,-71.69;u=35
 *
 * Hemispheres may be letters or English, French, German or Spanish words, before or after the
 * figure; with them, or with labels, the longitude may come first. The letter O, east in German and
 * west in French and Spanish, is refused as ambiguous; so is a comma that may be a decimal comma as
 * well as a separator. In a geo URI (RFC 5870) altitude and uncertainty are not looked at, and
 * another reference system than WGS 84 is refused.
 *
 * Returns: FALSE with @error set, saying what would be right, and @at untouched. */
gboolean dwn_lat_lon_parse (const char *text, DwnLatLon *at, GError **error);

/* Returns: (transfer full): "44.28,-71.69", up to seven decimals (a centimetre), no spaces and a
 * point in every locale: the LAT,LON of the command line. */
char *dwn_lat_lon_format_plain (const DwnLatLon *at);

G_END_DECLS
