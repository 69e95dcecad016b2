/* A place on the WGS 84 ellipsoid. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
  double lat_deg; /* −90 to 90, north positive */
  double lon_deg; /* −180 to 180, east positive */
} DwnLatLon;

G_END_DECLS
