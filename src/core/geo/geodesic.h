/* Distances and bearings on the WGS 84 ellipsoid. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

#define DWN_GEODESIC_ERROR (dwn_geodesic_error_quark ())
GQuark dwn_geodesic_error_quark (void);
typedef enum {
  DWN_GEODESIC_ERROR_DOMAIN,         /* a latitude outside ±90°, or a value that is not finite */
  DWN_GEODESIC_ERROR_NO_CONVERGENCE, /* no shortest way was found; never a silent last iterate */
} DwnGeodesicError;

/* The shortest way from @from to @to. Right within a micrometre for any two points, near antipodes,
 * poles and the date line included. Latitudes are −90° to 90°, longitudes any finite number of
 * degrees.
 *
 * @distance_m: (nullable): its length, 0 to about 20,003,932 m.
 * @bearing_deg: (nullable): 0 <= b < 360, clockwise from true north, in which to set out at @from.
 * @back_bearing_deg: (nullable): 0 <= b < 360, at @to, looking back along the way it came.
 *
 * At a pole, north is taken along the meridian of the longitude given. Points closer than
 * 3 nanometres coincide: distance 0, bearing 0, back bearing 180. Where several ways are
 * equally short (exact antipodes), one of them is given.
 *
 * Returns: FALSE with @error set, and the results NaN, where the input is outside its range.
 * After C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43–55 (series), and
 * T. Vincenty, Survey Review 23 (1975) 88–93 (iteration on the auxiliary sphere). */
gboolean dwn_geodesic_inverse (const DwnLatLon *from, const DwnLatLon *to, double *distance_m,
                               double *bearing_deg, double *back_bearing_deg, GError **error);

/* Where one arrives after @distance_m (negative: backwards) along the geodesic that leaves @from
 * at @bearing_deg. @to has −180 <= lon_deg <= 180; @back_bearing_deg (nullable) as above. Values
 * outside their range, or a distance that is not finite, give NaN. @to may be @from. */
void dwn_geodesic_direct (const DwnLatLon *from, double bearing_deg, double distance_m,
                          DwnLatLon *to, double *back_bearing_deg);

G_END_DECLS
