/* ITM: the reference attenuation, median of everything that varies. Equation numbers without a
 * source are those of Hufford's description of the algorithm. */
#include "core/radio/itm-private.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#define ACTUAL_EARTH_M 6370e3
#define SHARP_NU_SQUARED 5.76 /* from here on a knife edge's loss is logarithmic */

/* What the diffraction losses at several distances have in common. */
typedef struct {
  double horizons_m;      /* sum of the horizon distances */
  double smooth_m;        /* the same over a smooth earth */
  double sight_rad;       /* angular distance of the line-of-sight region */
  double cbrt_mhz;
  double unit_m;          /* in which distances beyond the horizons are counted */
  double impedance;       /* its size */
  double clutter_db;      /* A_fo */
  double ends_km;         /* normalised distances of the two horizons */
  double height_gain_db;  /* of both ends */
  double height_weight;   /* first term of eq. (3.23) of ERL 79-ITS 67 */
} Region;

/* Beyond the horizon attenuation runs along a straight line over distance. */
typedef struct {
  double per_m_db, at_zero_db;
} Line;

double
dwn_itm_roughness_m (double d_m, double delta_h_m)
{
  return delta_h_m * (1 - 0.8 * exp (-d_m / 50e3));
}

/* Deviation of the ground within a first Fresnel zone, ERL 79-ITS 67 eq. (3.6a). */
static double
surface_sd_m (double roughness_m)
{
  return 0.78 * roughness_m * exp (-0.5 * sqrt (sqrt (roughness_m)));
}

double
dwn_itm_free_space_db (double d_m, double mhz)
{
  return 32.45 + 20 * log10 (mhz * d_m / 1000);
}

double
dwn_itm_knife_edge_db (double nu_squared)
{
  if (nu_squared < SHARP_NU_SQUARED)
    return 6.02 + 9.11 * sqrt (nu_squared) - 1.27 * nu_squared;
  return 12.953 + 10 * log10 (nu_squared);
}

void
dwn_itm_path_init (DwnItmPath *path, const DwnPathQuery *query, double mean_height_m)
{
  /* Not CMPLX(), which glibc offers to GCC alone: the fuzz targets are built by clang. */
  double complex permittivity = query->permittivity
                                + 18000 * query->conductivity_s_m / query->mhz * (double complex) I;

  *path = (DwnItmPath) { .mhz = query->mhz, .wave_number = query->mhz / 47.7,
                         .cbrt_mhz = cbrt (query->mhz),
                         .h_m = { query->tx_agl_m, query->rx_agl_m } };
  /* NBS TN 101 eqs. (4.3) and (4.4). */
  path->surface_n = query->n0 * exp (-mean_height_m / 9460);
  path->earth_m = 1 / (157e-9 * (1 - 0.04665 * exp (path->surface_n / 179.3)));
  path->impedance = csqrt (permittivity - 1);
  if (query->polarisation == DWN_POLARISATION_VERTICAL)
    path->impedance /= permittivity;
}

/* Vogler's height gain at normalised distance @x_km. */
static double
height_gain_db (double x_km, double k)
{
  double far_db;

  if (x_km < 200)
    {
      double log_k = -log (k);

      if (k >= 1e-5 && x_km * log_k * log_k * log_k <= 5495)
        return 2.5e-5 * x_km * x_km / k - 8.686 * log_k - 15;
      return x_km > 1 ? 17.372 * log (x_km) - 117 : -117;
    }
  far_db = 0.05751 * x_km - 4.343 * log (x_km);
  if (x_km < 2000)
    {
      double share = 0.0134 * x_km * exp (-0.005 * x_km);

      return (1 - share) * far_db + share * (17.372 * log (x_km) - 117);
    }
  return far_db;
}

/* Normalised length of @d_km over an earth of @radius_m (Vogler eq. 2), and K of its ground. */
static double
normalised_km (const Region *region, double radius_m, double d_km, double *k)
{
  double c = cbrt (4.0 / 3 * ACTUAL_EARTH_M / radius_m);

  *k = 0.017778 * c / region->cbrt_mhz / region->impedance;
  return (1.607 - *k) * c * c * region->cbrt_mhz * d_km;
}

static void
region_init (Region *region, const DwnItmPath *path, gboolean with_profile)
{
  const double *h_m = path->h_m, *he_m = path->he_m;
  double low = h_m[0] * h_m[1];
  double smooth_h_m;

  region->horizons_m = path->horizon_m[0] + path->horizon_m[1];
  region->smooth_m = sqrt (2 * he_m[0] * path->earth_m) + sqrt (2 * he_m[1] * path->earth_m);
  region->sight_rad = -MAX (path->horizon_rad[0] + path->horizon_rad[1],
                            -region->horizons_m / path->earth_m);
  region->cbrt_mhz = path->cbrt_mhz;
  region->unit_m = cbrt (path->earth_m * path->earth_m) / path->cbrt_mhz;
  region->impedance = sqrt (creal (path->impedance) * creal (path->impedance)
                            + cimag (path->impedance) * cimag (path->impedance));

  /* ERL 79-ITS 67 eq. (3.38c), with the roughness over the smooth earth's range. */
  smooth_h_m = surface_sd_m (dwn_itm_roughness_m (region->smooth_m, path->delta_h_m));
  region->clutter_db = MIN (15, 5 * log10 (1 + 1e-5 * low * path->mhz * smooth_h_m));

  region->ends_km = region->height_gain_db = 0;
  for (int i = 0; i < 2; i++)
    {
      double radius_m = 0.5 * path->horizon_m[i] * path->horizon_m[i] / he_m[i];
      double k;
      double x_km = normalised_km (region, radius_m, path->horizon_m[i] / 1000, &k);

      region->ends_km += x_km;
      region->height_gain_db += height_gain_db (x_km, k);
    }
  /* Known ends of a path: C = 10 (ERL 79-ITS 67, page 3-8). */
  region->height_weight = sqrt (1 + (he_m[0] * he_m[1] - low) / (with_profile ? low + 10 : low));
}

/* Over a smooth earth, eq. (4.20). */
static double
smooth_earth_db (const Region *region, const DwnItmPath *path, double d_m)
{
  double beyond_rad = d_m / path->earth_m - region->sight_rad;
  double radius_m = (d_m - region->horizons_m) / beyond_rad;
  double k;
  double x_km = normalised_km (region, radius_m, radius_m * beyond_rad / 1000, &k)
                + region->ends_km;

  return 0.05751 * x_km - 10 * log10 (x_km) - region->height_gain_db - 20;
}

/* Over the two horizons as knife edges, NBS TN 101 eqs. (I.1) and (I.7). */
static double
two_edges_db (const Region *region, const DwnItmPath *path, double d_m)
{
  double beyond_rad = d_m / path->earth_m - region->sight_rad;
  double between_m = d_m - region->horizons_m;
  double factor = 0.0795775 * path->wave_number * beyond_rad * beyond_rad * between_m;
  double nu0 = factor * path->horizon_m[0] / (between_m + path->horizon_m[0]);
  double nu1 = factor * path->horizon_m[1] / (between_m + path->horizon_m[1]);

  if (nu0 < SHARP_NU_SQUARED || nu1 < SHARP_NU_SQUARED)
    return dwn_itm_knife_edge_db (nu0) + dwn_itm_knife_edge_db (nu1);
  return 2 * 12.953 + 10 * log10 (nu0 * nu1); /* both far into the shadow: one logarithm does */
}

/* Between the two: the rougher the ground, the more it is edges. */
static double
diffraction_db (const Region *region, const DwnItmPath *path, double d_m)
{
  double rough_m = dwn_itm_roughness_m (d_m, path->delta_h_m);
  double q = (region->height_weight
              + (region->horizons_m - region->sight_rad * path->earth_m) / d_m)
             * MIN (rough_m * path->mhz / 47.7, 6283.2);
  double share = 25.1 / (25.1 + sqrt (q));

  return share * smooth_earth_db (region, path, d_m)
         + (1 - share) * two_edges_db (region, path, d_m) + region->clutter_db;
}

static double
at (const Line *line, double d_m)
{
  return line->per_m_db * d_m + line->at_zero_db;
}

static Line
diffraction_line (const Region *region, const DwnItmPath *path)
{
  double d3_m = MAX (region->smooth_m, region->horizons_m + 5 * region->unit_m);
  double d4_m = d3_m + 10 * region->unit_m;
  double a3_db = diffraction_db (region, path, d3_m);
  Line line = { .per_m_db = (diffraction_db (region, path, d4_m) - a3_db) / (d4_m - d3_m) };

  line.at_zero_db = a3_db - line.per_m_db * d3_m;
  return line;
}

/* Direct and reflected ray, eqs. (4.46) to (4.50). */
static double
two_rays_db (const DwnItmPath *path, double d_m)
{
  double sum_m = path->he_m[0] + path->he_m[1];
  double sine = sum_m / sqrt (d_m * d_m + sum_m * sum_m);
  double surface_m = surface_sd_m (dwn_itm_roughness_m (d_m, path->delta_h_m));
  double complex reflected = (sine - path->impedance) / (sine + path->impedance)
                             * exp (-MIN (10, path->wave_number * surface_m * sine));
  double power = creal (reflected) * creal (reflected) + cimag (reflected) * cimag (reflected);
  double phase_rad = path->wave_number * 2 * path->he_m[0] * path->he_m[1] / d_m;
  double real, imaginary;

  if (power < 0.25 || power < sine)
    reflected *= sqrt (sine / power);
  if (phase_rad > G_PI_2)
    phase_rad = G_PI - G_PI_2 * G_PI_2 / phase_rad;
  real = cos (phase_rad) + creal (reflected);
  imaginary = cimag (reflected) - sin (phase_rad);
  return -10 * log10 (real * real + imaginary * imaginary);
}

/* Within sight, mixed with the diffraction line as the ground is rough. */
static double
sight_db (const Region *region, const DwnItmPath *path, const Line *diffraction, double d_m)
{
  double share = 1 / (1 + path->mhz * path->delta_h_m / MAX (10e3, region->smooth_m));

  return share * two_rays_db (path, d_m) + (1 - share) * at (diffraction, d_m);
}

/* Coefficients k1 d + k2 log d of the curve within sight, through its values at three distances
 * (ERL 79-ITS 67 eqs. 3.16 to 3.21). Neither may be negative. */
typedef struct {
  double k1, k2;
} Curve;

static gboolean
curve_through_three (Curve *curve, const double *d_m, const double *a_db, const Line *diffraction)
{
  double far_log = log (d_m[2] / d_m[0]);
  double bent = ((d_m[2] - d_m[0]) * (a_db[1] - a_db[0]) - (d_m[1] - d_m[0]) * (a_db[2] - a_db[0]))
                / ((d_m[2] - d_m[0]) * log (d_m[1] / d_m[0]) - (d_m[1] - d_m[0]) * far_log);

  curve->k2 = MAX (0, bent);
  if (diffraction->at_zero_db <= 0 && curve->k2 <= 0)
    return FALSE;
  curve->k1 = (a_db[2] - a_db[0] - curve->k2 * far_log) / (d_m[2] - d_m[0]);
  if (curve->k1 < 0)
    {
      curve->k2 = fdim (a_db[2], a_db[0]) / far_log;
      curve->k1 = curve->k2 == 0 ? diffraction->per_m_db : 0;
    }
  return TRUE;
}

static double
within_sight_db (const Region *region, const DwnItmPath *path, const Line *diffraction)
{
  double half_m = 0.5 * region->horizons_m;
  double d0_m = 0.04 * path->mhz * path->he_m[0] * path->he_m[1];
  double d1_m;
  Curve curve;
  gboolean found = FALSE;

  if (diffraction->at_zero_db >= 0)
    {
      d0_m = MIN (d0_m, half_m);
      d1_m = d0_m + 0.25 * (region->horizons_m - d0_m);
    }
  else
    d1_m = MAX (-diffraction->at_zero_db / diffraction->per_m_db, 0.5 * half_m);

  double edge_db = at (diffraction, region->smooth_m);
  double a1_db = sight_db (region, path, diffraction, d1_m);

  if (d0_m < d1_m)
    {
      const double d_m[] = { d0_m, d1_m, region->smooth_m };
      const double a_db[] = { sight_db (region, path, diffraction, d0_m), a1_db, edge_db };

      found = curve_through_three (&curve, d_m, a_db, diffraction);
    }
  if (!found)
    {
      curve.k2 = 0;
      curve.k1 = fdim (edge_db, a1_db) / (region->smooth_m - d1_m);
      if (curve.k1 == 0)
        curve.k1 = diffraction->per_m_db;
    }
  return edge_db - curve.k1 * (region->smooth_m - path->d_m)
         - curve.k2 * log (region->smooth_m / path->d_m);
}

double
dwn_itm_attenuation_f_db (double theta_d_m)
{
  static const struct {
    double upto_m, a, b, c;
  } pieces[] = { /* eq. (6.9) */
    { 10e3, 133.4, 0.332e-3, -10 },
    { 70e3, 104.6, 0.212e-3, -2.5 },
    { (double) INFINITY, 71.8, 0.157e-3, 5 },
  };
  gsize i = 0;

  while (i + 1 < G_N_ELEMENTS (pieces) && theta_d_m > pieces[i].upto_m)
    i++;
  return pieces[i].a + pieces[i].b * theta_d_m + pieces[i].c * log10 (theta_d_m);
}

static double
frequency_gain_at_db (int eta, double r)
{
  static const double a[] = { 25, 80, 177, 395, 705 }; /* eq. (6.13) */
  static const double b[] = { 24, 45, 68, 80, 105 };
  double inverse2 = 1 / (r * r);

  return 10 * log10 (1 + a[eta - 1] * inverse2 * inverse2 + b[eta - 1] * inverse2);
}

double
dwn_itm_frequency_gain_db (double r, double eta)
{
  double within = CLAMP (eta, 1, 5);
  int whole = (int) within;
  double rest = within - whole;
  double gain_db = frequency_gain_at_db (whole, r);

  if (rest == 0)
    return gain_db;
  return (1 - rest) * gain_db + rest * frequency_gain_at_db (whole + 1, r);
}

/* Frequency gain of scattering over the whole path, NBS TN 101 §9.2; NaN where nothing scatters:
 * both antennas too low for the frequency. */
static double
scatter_gain_db (const DwnItmPath *path, double d_m)
{
  double skew_m = path->horizon_m[0] - path->horizon_m[1];
  double height_ratio = path->he_m[1] / path->he_m[0];
  double theta_rad = path->horizon_rad[0] + path->horizon_rad[1] + d_m / path->earth_m;
  double r1 = 2 * path->wave_number * theta_rad * path->he_m[0];
  double r2 = 2 * path->wave_number * theta_rad * path->he_m[1];
  double s, q, crossing_m, high, eta, gain_db;

  if (r1 < 0.2 && r2 < 0.2)
    return (double) NAN;
  if (skew_m < 0)
    {
      skew_m = -skew_m;
      height_ratio = 1 / height_ratio;
    }
  s = (d_m - skew_m) / (d_m + skew_m);
  q = CLAMP (height_ratio / s, 0.1, 10);
  s = MAX (0.1, s);

  /* Height of the crossing rays, and how well the air scatters there (9.3). */
  crossing_m = (d_m - skew_m) * (d_m + skew_m) * theta_rad * 0.25 / d_m;
  high = MIN (1.7, crossing_m / 8e3);
  eta = crossing_m / 1.7556e3
        * (1 + (0.031 - path->surface_n * 2.32e-3 + path->surface_n * path->surface_n * 5.67e-6)
               * exp (-(high * high * high) * (high * high * high)));

  gain_db = (dwn_itm_frequency_gain_db (r1, eta) + dwn_itm_frequency_gain_db (r2, eta)) / 2;
  gain_db += MIN (gain_db, 6 * (0.6 - log10 (MAX (eta, 1))) * log10 (s) * log10 (q));
  gain_db = MAX (gain_db, 0);
  if (eta < 1)
    {
      double both = (1 + G_SQRT2 / r1) * (1 + G_SQRT2 / r2);

      gain_db = eta * gain_db
                + (1 - eta) * 10 * log10 (both * both * (r1 + r2) / (r1 + r2 + 2 * G_SQRT2));
    }
  return gain_db;
}

/* Eq. (4.63). */
static double
scatter_db (const Region *region, const DwnItmPath *path, double d_m, double gain_db)
{
  double theta_rad = d_m / path->earth_m - region->sight_rad;
  double theta2 = theta_rad * theta_rad;

  return dwn_itm_attenuation_f_db (theta_rad * d_m)
         + 10 * log10 (path->wave_number * 47.7 * theta2 * theta2)
         - 0.1 * (path->surface_n - 301) * exp (-theta_rad * d_m / 40e3) + gain_db;
}

/* Line through the scatter losses 200 and 400 km beyond the horizons; FALSE where nothing
 * scatters. A gain over 15 dB at either point gives way to that of the farther one. */
static gboolean
scatter_line (const Region *region, const DwnItmPath *path, Line *line)
{
  double d5_m = region->horizons_m + 200e3, d6_m = region->horizons_m + 400e3;
  double gain6_db = scatter_gain_db (path, d6_m);
  double gain5_db = gain6_db > 15 ? gain6_db : scatter_gain_db (path, d5_m);
  double a5_db;

  if (isnan (gain5_db))
    return FALSE; /* what scatters at the nearer point does so at the farther one */
  if (gain5_db > 15)
    gain5_db = gain6_db;
  a5_db = scatter_db (region, path, d5_m, gain5_db);
  line->per_m_db = (scatter_db (region, path, d6_m, gain6_db) - a5_db) / 200e3;
  line->at_zero_db = a5_db - line->per_m_db * d5_m;
  return a5_db < 1000;
}

/* Beyond the smooth earth's horizon: diffraction, until scattering carries more. */
static void
beyond_sight (const Region *region, const DwnItmPath *path, const Line *diffraction,
              DwnItmReference *out)
{
  Line scatter;

  out->mode = DWN_ITM_DIFFRACTION;
  out->reference_db = at (diffraction, path->d_m);
  if (!scatter_line (region, path, &scatter))
    return;

  double crossing_m = (scatter.at_zero_db - diffraction->at_zero_db)
                      / (diffraction->per_m_db - scatter.per_m_db);
  double from_m = MAX (MAX (region->smooth_m,
                            region->horizons_m + 1.088 * region->unit_m * log (path->mhz)),
                      crossing_m);

  if (path->d_m <= from_m)
    return;
  out->mode = DWN_ITM_TROPOSCATTER;
  out->reference_db = at (diffraction, from_m) + scatter.per_m_db * (path->d_m - from_m);
}

static guint
find_warnings (const DwnItmPath *path)
{
  guint warnings = 0;

  for (int i = 0; i < 2; i++)
    {
      double smooth_m = sqrt (2 * path->he_m[i] * path->earth_m);

      if (fabs (path->horizon_rad[i]) > 0.2)
        warnings |= DWN_ITM_WARN_TX_ANGLE << i;
      if (path->horizon_m[i] < 0.1 * smooth_m)
        warnings |= DWN_ITM_WARN_TX_NEAR_HORIZON << i;
      if (path->horizon_m[i] > 3 * smooth_m)
        warnings |= DWN_ITM_WARN_TX_FAR_HORIZON << i;
    }
  if (path->surface_n < 250)
    warnings |= DWN_ITM_WARN_REFRACTIVITY;
  if (path->d_m < fabs (path->he_m[0] - path->he_m[1]) / 0.2)
    warnings |= DWN_ITM_WARN_STEEP_PATH;
  if (path->d_m < 1e3)
    warnings |= DWN_ITM_WARN_UNDER_1_KM;
  if (path->d_m > 1000e3)
    warnings |= DWN_ITM_WARN_OVER_1000_KM;
  if (path->d_m > 2000e3)
    warnings |= DWN_ITM_WARN_OVER_2000_KM;
  return warnings;
}

static gboolean
check_path (const DwnItmPath *path, GError **error)
{
  if (!(path->surface_n >= 150 && path->surface_n <= 400))
    g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                 _("ITM: refractivity at the ground %g N is outside 150 to 400 N"),
                 path->surface_n);
  else if (!(path->earth_m >= 4e6 && path->earth_m <= 13333333))
    g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                 _("ITM: effective earth radius %g km is outside 4000 to 13333 km"),
                 path->earth_m / 1000);
  else if (!(creal (path->impedance) > fabs (cimag (path->impedance))))
    g_set_error_literal (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                         _("ITM: ground too conductive for its permittivity at this frequency"));
  else
    return TRUE;
  return FALSE;
}

gboolean
dwn_itm_reference (const DwnItmPath *path, gboolean with_profile, DwnItmReference *out,
                   GError **error)
{
  Region region;
  Line diffraction;

  if (!check_path (path, error))
    return FALSE;
  region_init (&region, path, with_profile);
  diffraction = diffraction_line (&region, path);
  out->warnings = find_warnings (path);
  if (path->d_m < region.smooth_m)
    {
      out->mode = DWN_ITM_LINE_OF_SIGHT;
      out->reference_db = within_sight_db (&region, path, &diffraction);
    }
  else
    beyond_sight (&region, path, &diffraction, out);
  out->reference_db = MAX (out->reference_db, 0);
  return TRUE;
}
