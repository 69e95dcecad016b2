#include "core/geo/datum.h"

#include <math.h>

#define RADIANS (G_PI / 180)

typedef struct {
  double x_m, y_m, z_m;
} Geocentric;

typedef struct {
  double a_m, b_m;
} Ellipsoid;

/* DMA TR 8350.2, appendix A. */
static const Ellipsoid clarke_1866 = { 6378206.4, 6356583.8 };
static const Ellipsoid wgs84_ellipsoid = { 6378137.0, 6356752.314245 };

/* Shifts and their errors: DMA TR 8350.2, appendix B; the same figures are EPSG operations 1173,
 * 1176, 15824 and 1893, whose areas of use the boxes are. */
typedef struct {
  double south_deg, north_deg, west_deg, east_deg;
  Geocentric shift, error;
} Figures;

static const Figures figures[] = {
  [DWN_DATUM_REGION_CONUS] = { 24.41, 49.38, -124.79, -66.91, { -8, 160, 176 }, { 5, 5, 6 } },
  [DWN_DATUM_REGION_ALASKA] = { 54.34, 71.40, -168.26, -129.99, { -5, 135, 172 }, { 5, 9, 5 } },
  [DWN_DATUM_REGION_HAWAII] = { 18.87, 22.29, -160.30, -154.74, { 61, -285, -181 },
                                { 25, 20, 20 } },
  [DWN_DATUM_REGION_PUERTO_RICO] = { 17.62, 18.78, -67.97, -64.25, { 11, 72, -101 }, { 3, 3, 3 } },
};

static DwnDatumRegion
region_of (const DwnLatLon *at)
{
  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    {
      const Figures *f = &figures[i];

      if (at->lat_deg >= f->south_deg && at->lat_deg <= f->north_deg
          && at->lon_deg >= f->west_deg && at->lon_deg <= f->east_deg)
        return (DwnDatumRegion) i;
    }
  return DWN_DATUM_REGION_ELSEWHERE;
}

static double
eccentricity2 (const Ellipsoid *e)
{
  return 1 - e->b_m * e->b_m / (e->a_m * e->a_m);
}

/* On the ellipsoid: heights of either datum are not what is sought. */
static Geocentric
to_geocentric (const Ellipsoid *e, const DwnLatLon *at)
{
  double phi = at->lat_deg * RADIANS, lambda = at->lon_deg * RADIANS;
  double e2 = eccentricity2 (e);
  double normal_m = e->a_m / sqrt (1 - e2 * sin (phi) * sin (phi));

  return (Geocentric) { normal_m * cos (phi) * cos (lambda), normal_m * cos (phi) * sin (lambda),
                        normal_m * (1 - e2) * sin (phi) };
}

/* B. R. Bowring, Survey Review 23 (1976) 323–327; to a nanometre this near the surface. */
static DwnLatLon
from_geocentric (const Ellipsoid *e, const Geocentric *at)
{
  double e2 = eccentricity2 (e), ep2 = e2 / (1 - e2);
  double from_axis_m = hypot (at->x_m, at->y_m);
  double beta = atan2 (at->z_m * e->a_m, from_axis_m * e->b_m);
  double phi = atan2 (at->z_m + ep2 * e->b_m * pow (sin (beta), 3),
                      from_axis_m - e2 * e->a_m * pow (cos (beta), 3));

  return (DwnLatLon) { phi / RADIANS, atan2 (at->y_m, at->x_m) / RADIANS };
}

gboolean
dwn_datum_nad27_to_wgs84 (const DwnLatLon *nad27, DwnLatLon *wgs84, DwnDatumRegion *region)
{
  g_return_val_if_fail (nad27 != NULL && wgs84 != NULL, FALSE);

  DwnDatumRegion found = region_of (nad27);

  if (region != NULL)
    *region = found;
  if (found == DWN_DATUM_REGION_ELSEWHERE)
    {
      *wgs84 = *nad27;
      return FALSE;
    }

  const Geocentric *shift = &figures[found].shift;
  Geocentric at = to_geocentric (&clarke_1866, nad27);

  at = (Geocentric) { at.x_m + shift->x_m, at.y_m + shift->y_m, at.z_m + shift->z_m };
  *wgs84 = from_geocentric (&wgs84_ellipsoid, &at);
  return TRUE;
}

double
dwn_datum_region_accuracy_m (DwnDatumRegion region)
{
  if ((gsize) region >= G_N_ELEMENTS (figures))
    return (double) NAN;

  const Geocentric *error = &figures[region].error;
  return sqrt (error->x_m * error->x_m + error->y_m * error->y_m + error->z_m * error->z_m);
}
