#include "core/geo/geodesic.h"

#include <float.h>
#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>

/* Every geodesic on the ellipsoid is mirrored by a great circle on an auxiliary sphere, on which
 * latitudes are the reduced ones (tan beta = (1 − f) tan phi) and azimuths the same. What differs
 * are lengths and longitudes, and those differences are short series in
 * epsilon < 0.0017. Names follow Karney (2013): beta reduced latitude, alpha azimuth, alpha0
 * azimuth where the great circle crosses the equator northwards, sigma arc from there, omega
 * longitude on the sphere, lambda longitude on the ellipsoid. Equation numbers are his. */

/* WGS 84 (NIMA TR 8350.2, table 3.1): semi-major axis and flattening; the rest follows. */
#define WGS84_A_M 6378137.0
#define WGS84_F (1.0 / 298.257223563)
#define WGS84_B_M (WGS84_A_M * (1 - WGS84_F))
#define WGS84_N (WGS84_F / (2 - WGS84_F))
#define WGS84_E2 (WGS84_F * (2 - WGS84_F))
#define WGS84_EP2 (WGS84_E2 / ((1 - WGS84_F) * (1 - WGS84_F)))

#define RADIANS (G_PI / 180)
#define DEGREES (180 / G_PI)

/* 2e-14 rad are 0.13 µm on the ground, ten times the rounding noise of one evaluation. */
#define OMEGA_TOLERANCE_RAD 2e-14
/* Ordinary lines need three or four evaluations; those that need more are near-antipodal. */
#define MAX_OMEGA_STEPS 10
/* Halves pi down to the spacing of doubles near it. */
#define AZIMUTH_STEPS 54
/* How far a line found by its azimuth may miss the second point: 1e-12 rad are 6 µm. */
#define MISS_TOLERANCE_RAD 1e-12
/* A point at the pole stands this far from it on its meridian, so that bearings stay defined. */
#define POLE_COSINE 1e-100
/* Below 4e-16 rad (2.6 nm) a distance is rounding noise. */
#define COINCIDENT_RAD 4e-16

G_DEFINE_QUARK (dwn-geodesic-error-quark, dwn_geodesic_error)

/* A direction or latitude by its sine and cosine. */
typedef struct {
  double sin, cos;
} Angle;

/* A stretch of great circle on the auxiliary sphere. */
typedef struct {
  double sigma12_rad;  /* its length, 0 to pi */
  Angle sigma12;       /* the same */
  double cos_2sigma_m; /* of twice the arc from the equator to its middle */
  double sin_alpha0;
  Angle alpha1, alpha2; /* forward azimuths at its ends; of any common length */
} Arc;

static Angle
angle_from_deg (double deg)
{
  return (Angle) { sin (deg * RADIANS), cos (deg * RADIANS) };
}

/* Of a latitude. The small cosines near a pole need the exact distance from it, otherwise the
 * meridian on which a point stands is lost. */
static Angle
angle_from_lat_deg (double lat_deg)
{
  if (fabs (lat_deg) <= 45)
    return angle_from_deg (lat_deg);

  Angle from_pole = angle_from_deg (90 - fabs (lat_deg));
  return (Angle) { copysign (from_pole.cos, lat_deg), MAX (from_pole.sin, POLE_COSINE) };
}

static Angle
reduced_latitude (double lat_deg)
{
  Angle phi = angle_from_lat_deg (lat_deg);
  double sin_beta = (1 - WGS84_F) * phi.sin;
  double scale = 1 / sqrt (sin_beta * sin_beta + phi.cos * phi.cos);

  return (Angle) { sin_beta * scale, phi.cos * scale };
}

static double
bearing_from_radians (double alpha)
{
  double deg = alpha * DEGREES;

  if (deg < 0)
    deg += 360;
  return deg < 360 ? deg : 0; /* −1e-20 + 360 rounds to 360 */
}

/* Expansion parameter of all series, eqs. (9) and (16): k = e' cos alpha0. */
static double
epsilon_of (double sin_alpha0)
{
  double k2 = WGS84_EP2 * (1 - sin_alpha0 * sin_alpha0);
  double root = 1 + sqrt (1 + k2);

  return k2 / (root * root);
}

/* Sum of c[l] sin (2 l sigma) for l = 1 … 4. */
static double
sine_series (const double c[4], double sigma)
{
  double s = sin (2 * sigma), x = 2 * cos (2 * sigma);
  double s2 = x * s, s3 = x * s2 - s, s4 = x * s3 - s2;

  return c[0] * s + c[1] * s2 + c[2] * s3 + c[3] * s4;
}

/* The same sum at the end of @arc less that at its start, without taking the difference of two
 * nearly equal numbers: sin 2lσ₂ − sin 2lσ₁ = 2 sin lσ₁₂ cos 2lσₘ. */
static double
sine_series_over (const double c[4], const Arc *arc)
{
  double sx = 2 * arc->sigma12.cos, cx = 2 * arc->cos_2sigma_m;
  double s1 = arc->sigma12.sin, s2 = sx * s1, s3 = sx * s2 - s1, s4 = sx * s3 - s2;
  double c1 = arc->cos_2sigma_m, c2 = cx * c1 - 1, c3 = cx * c2 - c1, c4 = cx * c3 - c2;

  return 2 * (c[0] * s1 * c1 + c[1] * s2 * c2 + c[2] * s3 * c3 + c[3] * s4 * c4);
}

/* Length, eqs. (17) and (18). The first term left out is eps^5 / 32, 3 nm on the ground. */
static double
a1_of (double eps)
{
  double e2 = eps * eps;

  return (1 + e2 * (1 / 4.0 + e2 / 64)) / (1 - eps);
}

static void
c1_of (double eps, double c[4])
{
  double e2 = eps * eps;

  c[0] = eps * (-1 / 2.0 + e2 * (3 / 16.0));
  c[1] = e2 * (-1 / 16.0 + e2 / 32);
  c[2] = eps * e2 * (-1 / 48.0);
  c[3] = e2 * e2 * (-5 / 512.0);
}

/* The inverse of that series, eq. (21), 2 nm. */
static void
c1_inverse_of (double eps, double c[4])
{
  double e2 = eps * eps;

  c[0] = eps * (1 / 2.0 - e2 * (9 / 32.0));
  c[1] = e2 * (5 / 16.0 - e2 * (37 / 96.0));
  c[2] = eps * e2 * (29 / 96.0);
  c[3] = e2 * e2 * (539 / 1536.0);
}

/* Longitude, eqs. (24) and (25), to the third order in eps and n together: the factor f in front
 * makes the fourth order 8e-15 rad at most. */
static double
a3_of (double eps)
{
  const double n = WGS84_N;

  return 1 - eps * ((1 - n) / 2 + eps * ((2 + n) / 8 + eps / 16));
}

static void
c3_of (double eps, double c[4])
{
  const double n = WGS84_N;
  double e2 = eps * eps;

  c[0] = eps * ((1 - n) / 4 + eps * (1 / 8.0 + eps * (3 / 64.0)));
  c[1] = e2 * ((2 - 3 * n) / 32 + eps * (3 / 64.0));
  c[2] = eps * e2 * (5 / 192.0);
  c[3] = 0;
}

/* How far longitude on the sphere runs ahead of that on the ellipsoid, eq. (8). */
static double
longitude_excess (const Arc *arc)
{
  double eps = epsilon_of (arc->sin_alpha0), c[4];

  c3_of (eps, c);
  return WGS84_F * arc->sin_alpha0 * a3_of (eps) * (arc->sigma12_rad + sine_series_over (c, arc));
}

static double
length_m (const Arc *arc)
{
  double eps = epsilon_of (arc->sin_alpha0), c[4];

  c1_of (eps, c);
  return WGS84_B_M * a1_of (eps) * (arc->sigma12_rad + sine_series_over (c, arc));
}

/* Solves the triangle pole, first point, second point on the sphere, whose angle at the pole is
 * omega. Written with half the angle so that short arcs keep all their digits. */
static Arc
arc_by_longitude (Angle beta1, Angle beta2, Angle half_omega)
{
  double sin_omega = 2 * half_omega.sin * half_omega.cos;
  double versine = 2 * half_omega.sin * half_omega.sin;
  double sin_dbeta = beta2.sin * beta1.cos - beta2.cos * beta1.sin;
  Arc arc = {
    .alpha1 = { beta2.cos * sin_omega, sin_dbeta + beta1.sin * beta2.cos * versine },
    .alpha2 = { beta1.cos * sin_omega, sin_dbeta - beta1.cos * beta2.sin * versine },
    .sigma12.cos = beta1.sin * beta2.sin + beta1.cos * beta2.cos * (1 - versine),
  };

  arc.sigma12.sin = sqrt (arc.alpha1.sin * arc.alpha1.sin + arc.alpha1.cos * arc.alpha1.cos);
  arc.sigma12_rad = atan2 (arc.sigma12.sin, arc.sigma12.cos);
  if (arc.sigma12.sin > 0)
    arc.sin_alpha0 = MIN (arc.alpha1.sin * beta1.cos / arc.sigma12.sin, 1);
  /* Along the equator the middle is arbitrary, and every series vanishes. */
  double cos2_alpha0 = 1 - arc.sin_alpha0 * arc.sin_alpha0;
  if (cos2_alpha0 > DBL_EPSILON)
    arc.cos_2sigma_m = arc.sigma12.cos - 2 * beta1.sin * beta2.sin / cos2_alpha0;
  return arc;
}

/* Longitude on the sphere near that on the ellipsoid: exact for short lines at one latitude. */
static double
first_omega (Angle beta1, Angle beta2, double lambda12)
{
  double sin_m = (beta1.sin + beta2.sin) / 2;

  return lambda12 / sqrt (1 - WGS84_E2 * (1 - sin_m * sin_m));
}

/* Vincenty's iteration omega = lambda12 + excess (omega), sped up by the secant rule. FALSE where
 * it does not settle within 0 <= omega <= pi: there the line is near-antipodal. Where it settles,
 * the line is the shortest: only one root lies in that range (Karney, section 4). */
static gboolean
find_arc_by_longitude (Angle beta1, Angle beta2, double lambda12, Arc *arc)
{
  double omega = MIN (first_omega (beta1, beta2, lambda12), G_PI);
  double omega_before = 0, residual_before = 0;

  for (guint step = 0; step < MAX_OMEGA_STEPS; step++)
    {
      *arc = arc_by_longitude (beta1, beta2, (Angle) { sin (omega / 2), cos (omega / 2) });
      double residual = lambda12 + longitude_excess (arc) - omega;
      double slope = step == 0 ? -1 : (residual - residual_before) / (omega - omega_before);

      if (fabs (residual) < OMEGA_TOLERANCE_RAD)
        return TRUE;
      if (!(slope < -0.1)) /* also 0 / 0, where it is stuck at pi */
        return FALSE;
      omega_before = omega;
      residual_before = residual;
      omega = CLAMP (omega - residual / slope, 0, G_PI);
    }
  return FALSE;
}

/* The line that leaves beta1 <= 0 at azimuth alpha1 and ends where it crosses |beta2| <= |beta1|
 * northwards. Karney, section 4; @lambda12 is the longitude it covers on the ellipsoid. */
static Arc
arc_by_azimuth (Angle beta1, Angle beta2, double alpha1, double *lambda12)
{
  Arc arc = { .alpha1 = { sin (alpha1), cos (alpha1) } };
  double sin_alpha0 = arc.alpha1.sin * beta1.cos;
  double north1 = arc.alpha1.cos * beta1.cos;
  double more_cos2 = (beta2.cos - beta1.cos) * (beta2.cos + beta1.cos);
  double north2 = sqrt (MAX (north1 * north1 + more_cos2, 0));

  double sigma1 = atan2 (beta1.sin, north1), sigma2 = atan2 (beta2.sin, north2);
  double omega1 = atan2 (sin_alpha0 * beta1.sin, north1);
  double omega2 = atan2 (sin_alpha0 * beta2.sin, north2);

  arc.sin_alpha0 = sin_alpha0;
  arc.alpha2 = (Angle) { sin_alpha0, north2 };
  arc.sigma12_rad = MAX (sigma2 - sigma1, 0);
  arc.sigma12 = (Angle) { sin (arc.sigma12_rad), cos (arc.sigma12_rad) };
  arc.cos_2sigma_m = cos (sigma1 + sigma2);
  *lambda12 = omega2 - omega1 - longitude_excess (&arc);
  return arc;
}

/* The near-antipodal case, for beta1 <= 0, |beta2| <= |beta1| and lambda12 >= 0: as alpha1 grows
 * from 0 to pi, so does lambda12 (Karney, section 4). Halving is slow, rare, and cannot diverge. */
static gboolean
halve_azimuth (Angle beta1, Angle beta2, double lambda12, Arc *arc)
{
  double low = 0, high = G_PI, lambda;

  for (guint step = 0; step < AZIMUTH_STEPS; step++)
    {
      double alpha1 = (low + high) / 2;

      *arc = arc_by_azimuth (beta1, beta2, alpha1, &lambda);
      if (lambda < lambda12)
        low = alpha1;
      else
        high = alpha1;
    }
  return fabs (lambda - lambda12) * beta2.cos < MISS_TOLERANCE_RAD;
}

/* Brings the pair into the order that halve_azimuth() wants, by looking at the line from its other
 * end or in the equator's mirror, and the result back. */
static gboolean
find_arc_by_azimuth (Angle beta1, Angle beta2, double lambda12, Arc *arc)
{
  /* Near a pole only the cosines differ, near the equator only the sines. */
  gboolean swap = fabs (beta1.sin) < fabs (beta2.sin)
                  || (fabs (beta1.sin) == fabs (beta2.sin) && beta1.cos > beta2.cos);
  Angle far = swap ? beta2 : beta1, near = swap ? beta1 : beta2;
  double mirror = far.sin > 0 ? -1 : 1;

  /* Never +0: at the equator the sign tells that the line has just crossed it northwards. */
  far.sin = MIN (mirror * far.sin, -DBL_MIN);
  near.sin *= mirror;
  if (!halve_azimuth (far, near, lambda12, arc))
    return FALSE;

  if (swap)
    {
      /* Backwards along it, mirrored east to west: south turns to north once for each. */
      Angle alpha1 = arc->alpha1;
      arc->alpha1 = arc->alpha2;
      arc->alpha2 = alpha1;
      mirror = -mirror;
    }
  arc->alpha1.cos *= mirror;
  arc->alpha2.cos *= mirror;
  return TRUE;
}

/* The shortest arc over 0 <= lambda12 <= pi. */
static gboolean
find_arc (Angle beta1, Angle beta2, double lambda12, Arc *arc)
{
  if (lambda12 == G_PI)
    {
      /* Over the nearer pole; cos (G_PI / 2) is not quite 0. */
      *arc = arc_by_longitude (beta1, beta2, (Angle) { 1, 0 });
      return TRUE;
    }
  return find_arc_by_longitude (beta1, beta2, lambda12, arc)
         || find_arc_by_azimuth (beta1, beta2, lambda12, arc);
}

static gboolean
is_on_earth (const DwnLatLon *at)
{
  return fabs (at->lat_deg) <= 90 && isfinite (at->lon_deg);
}

static gboolean
check_on_earth (const DwnLatLon *at, GError **error)
{
  if (is_on_earth (at))
    return TRUE;

  g_set_error (error, DWN_GEODESIC_ERROR, DWN_GEODESIC_ERROR_DOMAIN,
               _("No place on Earth has latitude %g and longitude %g: a latitude is -90 to 90, "
                 "a longitude -180 to 180"),
               at->lat_deg, at->lon_deg);
  return FALSE;
}

static void
set_results (double distance, double bearing, double back_bearing, double *distance_m,
             double *bearing_deg, double *back_bearing_deg)
{
  if (distance_m != NULL)
    *distance_m = distance;
  if (bearing_deg != NULL)
    *bearing_deg = bearing;
  if (back_bearing_deg != NULL)
    *back_bearing_deg = back_bearing;
}

/* @eastward is 1 or −1. */
static void
read_arc (const Arc *arc, double eastward, double *distance_m, double *bearing_deg,
          double *back_bearing_deg)
{
  if (arc->sigma12_rad < COINCIDENT_RAD)
    {
      set_results (0, 0, 180, distance_m, bearing_deg, back_bearing_deg);
      return;
    }
  if (distance_m != NULL)
    *distance_m = length_m (arc);
  if (bearing_deg != NULL)
    *bearing_deg = bearing_from_radians (atan2 (eastward * arc->alpha1.sin, arc->alpha1.cos));
  if (back_bearing_deg != NULL)
    *back_bearing_deg = bearing_from_radians (atan2 (-eastward * arc->alpha2.sin,
                                                     -arc->alpha2.cos));
}

gboolean
dwn_geodesic_inverse (const DwnLatLon *from, const DwnLatLon *to, double *distance_m,
                      double *bearing_deg, double *back_bearing_deg, GError **error)
{
  g_return_val_if_fail (from != NULL && to != NULL, FALSE);

  Arc arc;

  set_results ((double) NAN, (double) NAN, (double) NAN, distance_m, bearing_deg,
               back_bearing_deg);
  if (!check_on_earth (from, error) || !check_on_earth (to, error))
    return FALSE;

  double lon12_deg = remainder (to->lon_deg - from->lon_deg, 360);
  if (!find_arc (reduced_latitude (from->lat_deg), reduced_latitude (to->lat_deg),
                 fabs (lon12_deg) * RADIANS, &arc))
    {
      g_set_error (error, DWN_GEODESIC_ERROR, DWN_GEODESIC_ERROR_NO_CONVERGENCE,
                   _("No shortest way was found from %.9g, %.9g to %.9g, %.9g: "
                     "the places lie opposite each other on Earth"),
                   from->lat_deg, from->lon_deg, to->lat_deg, to->lon_deg);
      return FALSE;
    }
  read_arc (&arc, lon12_deg < 0 ? -1 : 1, distance_m, bearing_deg, back_bearing_deg);
  return TRUE;
}

/* The arc at which a line through @sigma1 has gone @distance_m further, eqs. (7), (15) and (20). */
static double
sigma_after (double sigma1, double eps, double distance_m)
{
  double c[4];

  c1_of (eps, c);
  double tau1 = sigma1 + sine_series (c, sigma1);
  double tau2 = tau1 + distance_m / (WGS84_B_M * a1_of (eps));

  c1_inverse_of (eps, c);
  return tau2 + sine_series (c, tau2);
}

static double
longitude_excess_between (double sigma1, double sigma2, double sin_alpha0, double eps)
{
  double c[4];

  c3_of (eps, c);
  double series = sine_series (c, sigma2) - sine_series (c, sigma1);
  return WGS84_F * sin_alpha0 * a3_of (eps) * (sigma2 - sigma1 + series);
}

void
dwn_geodesic_direct (const DwnLatLon *from, double bearing_deg, double distance_m, DwnLatLon *to,
                     double *back_bearing_deg)
{
  g_return_if_fail (from != NULL && to != NULL);

  if (!is_on_earth (from) || !isfinite (bearing_deg) || !isfinite (distance_m))
    {
      *to = (DwnLatLon) { (double) NAN, (double) NAN };
      set_results (0, 0, (double) NAN, NULL, NULL, back_bearing_deg);
      return;
    }

  Angle beta1 = reduced_latitude (from->lat_deg);
  Angle alpha1 = angle_from_deg (remainder (bearing_deg, 360));
  Angle alpha0 = { alpha1.sin * beta1.cos, hypot (alpha1.cos, alpha1.sin * beta1.sin) };
  double eps = epsilon_of (alpha0.sin);
  double sigma1 = atan2 (beta1.sin, alpha1.cos * beta1.cos);
  double sigma2 = sigma_after (sigma1, eps, distance_m);
  double north2 = alpha0.cos * cos (sigma2), sin_beta2 = alpha0.cos * sin (sigma2);
  /* Not from sigma1, which is too coarse where the line starts near a pole. */
  double omega1 = atan2 (alpha0.sin * beta1.sin, alpha1.cos * beta1.cos);
  double omega2 = atan2 (alpha0.sin * sin (sigma2), cos (sigma2));
  double lambda12 = omega2 - omega1
                    - longitude_excess_between (sigma1, sigma2, alpha0.sin, eps);

  to->lon_deg = remainder (from->lon_deg + lambda12 * DEGREES, 360);
  to->lat_deg = atan2 (sin_beta2, (1 - WGS84_F) * hypot (alpha0.sin, north2)) * DEGREES;
  if (back_bearing_deg != NULL)
    *back_bearing_deg = bearing_from_radians (atan2 (-alpha0.sin, -north2));
}
