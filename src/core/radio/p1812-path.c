/* ITU-R P.1812-8, §3 and Attachment 1: what the profile says about the path. */
#include "core/radio/p1812-private.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#define EARTH_RADIUS_KM 6371.0

static gboolean
zone_is_known (guint8 zone)
{
  return zone == DWN_ZONE_SEA || zone == DWN_ZONE_COASTAL_LAND || zone == DWN_ZONE_INLAND;
}

/* NaN stays NaN in a sum, so one test covers ground and clutter. */
static gboolean
check_sample (const DwnP1812Terrain *terrain, gsize i, GError **error)
{
  if (!isfinite (terrain->g_m[i]))
    {
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                   _("P.1812: the profile has no height %.3f km from the transmitter"),
                   terrain->d_km[i]);
      return FALSE;
    }
  if (terrain->zone != NULL && !zone_is_known (terrain->zone[i]))
    {
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                   _("P.1812: zone %d is none of %d (coastal land), %d (sea), %d (inland)"),
                   terrain->zone[i], DWN_ZONE_COASTAL_LAND, DWN_ZONE_SEA, DWN_ZONE_INLAND);
      return FALSE;
    }
  return TRUE;
}

gboolean
dwn_p1812_terrain_init (DwnP1812Terrain *terrain, const DwnProfile *profile, gpointer workspace,
                        GError **error)
{
  gsize n = profile->n;

  if (n < 3)
    {
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                   _("P.1812: a profile of %d samples; at least 3 are needed"), (int) n);
      return FALSE;
    }
  *terrain = (DwnP1812Terrain) { .n = n, .h_m = profile->height_m, .zone = profile->zone,
                                 .d_km = workspace, .g_m = (double *) workspace + n,
                                 .total_km = profile->distance_m[n - 1] / 1000 };
  for (gsize i = 0; i < n; i++)
    {
      gboolean between = i > 0 && i < n - 1;

      terrain->d_km[i] = profile->distance_m[i] / 1000;
      terrain->g_m[i] = profile->height_m[i];
      if (between && profile->clutter_m != NULL)
        terrain->g_m[i] += profile->clutter_m[i];
      if (!check_sample (terrain, i, error))
        return FALSE;
    }
  return TRUE;
}

/* Total and longest stretch of the path in one zone or the other: a run of samples reaches half way
 * to its neighbours. */
static void
measure_zone (const DwnP1812Terrain *terrain, DwnZone one, DwnZone other, double *sum_km,
              double *longest_km)
{
  const double *d_km = terrain->d_km;
  gsize last = terrain->n - 1;
  gboolean inside = FALSE;
  double from_km = 0;

  *sum_km = *longest_km = 0;
  for (gsize i = 0; i <= last; i++)
    {
      gboolean here = terrain->zone[i] == one || terrain->zone[i] == other;

      if (here && !inside)
        from_km = i > 0 ? (d_km[i - 1] + d_km[i]) / 2 : 0;
      inside = here;
      if (here && (i == last || (terrain->zone[i + 1] != one && terrain->zone[i + 1] != other)))
        {
          double to_km = i < last ? (d_km[i] + d_km[i + 1]) / 2 : d_km[last];

          *sum_km += to_km - from_km;
          *longest_km = MAX (*longest_km, to_km - from_km);
        }
    }
}

static void
find_zones (DwnP1812Path *path, const DwnP1812Terrain *terrain, const DwnPathQuery *query)
{
  double sea_km, land_km, inland_km, longest_sea_km;

  path->dct_km = query->dct_km;
  path->dcr_km = query->dcr_km;
  path->omega = 0;
  path->dtm_km = path->dlm_km = terrain->total_km;
  if (terrain->zone == NULL)
    return;

  measure_zone (terrain, DWN_ZONE_SEA, DWN_ZONE_SEA, &sea_km, &longest_sea_km);
  measure_zone (terrain, DWN_ZONE_INLAND, DWN_ZONE_COASTAL_LAND, &land_km, &path->dtm_km);
  measure_zone (terrain, DWN_ZONE_INLAND, DWN_ZONE_INLAND, &inland_km, &path->dlm_km);
  path->omega = sea_km / terrain->total_km;
  if (terrain->zone[0] == DWN_ZONE_SEA)
    path->dct_km = 0;
  if (terrain->zone[terrain->n - 1] == DWN_ZONE_SEA)
    path->dcr_km = 0;
}

double
dwn_p1812_tau (double dlm_km)
{
  return 1 - exp (-4.12e-4 * pow (dlm_km, 2.41));
}

/* How often the lowest 100 m of air lead the wave along the ground, eqs. (2) to (5). */
static double
ducting_incidence_pct (double latitude_deg, double dtm_km, double dlm_km)
{
  double tau = dwn_p1812_tau (dlm_km);
  double phi_deg = fabs (latitude_deg);
  double mu1 = pow (pow (10, -dtm_km / (16 - 6.6 * tau)) + pow (10, -(2.48 + 1.77 * tau)), 0.2);

  mu1 = MIN (mu1, 1);
  if (phi_deg > 70)
    return 4.17 * mu1 * pow (mu1, 0.3);
  return pow (10, 1.67 - 0.015 * phi_deg) * mu1 * pow (mu1, -0.935 + 0.0176 * phi_deg);
}

/* Least-squares straight line through the ground, at the two ends (§5.6.1 of Attachment 1). */
static void
fit_smooth_earth (DwnP1812Path *path, const DwnP1812Terrain *terrain)
{
  const double *d_km = terrain->d_km, *h_m = terrain->h_m;
  double total_km = terrain->total_km;
  double v1 = 0, v2 = 0;

  for (gsize i = 1; i < terrain->n; i++)
    {
      double step_km = d_km[i] - d_km[i - 1];

      v1 += step_km * (h_m[i] + h_m[i - 1]);
      v2 += step_km * (h_m[i] * (2 * d_km[i] + d_km[i - 1])
                       + h_m[i - 1] * (d_km[i] + 2 * d_km[i - 1]));
    }
  path->fit_t_m = (2 * v1 * total_km - v2) / (total_km * total_km);
  path->fit_r_m = (v2 - v1 * total_km) / (total_km * total_km);
  path->hst_m = MIN (path->fit_t_m, h_m[0]);
  path->hsr_m = MIN (path->fit_r_m, h_m[terrain->n - 1]);
}

/* For diffraction the smooth surface is lowered by the highest ground above the straight line,
 * shared between the ends by the angles under which they see it (§5.6.2). */
static void
lower_smooth_earth (DwnP1812Path *path, const DwnP1812Terrain *terrain)
{
  const double *d_km = terrain->d_km, *h_m = terrain->h_m;
  gsize last = terrain->n - 1;
  double total_km = terrain->total_km;
  double above_m = -INFINITY, angle_t = -INFINITY, angle_r = -INFINITY;
  double lower_t_m = 0, lower_r_m = 0;

  for (gsize i = 1; i < last; i++)
    {
      double rest_km = total_km - d_km[i];
      double over_m = h_m[i] - (path->hts_m * rest_km + path->hrs_m * d_km[i]) / total_km;

      above_m = MAX (above_m, over_m);
      angle_t = MAX (angle_t, over_m / d_km[i]);
      angle_r = MAX (angle_r, over_m / rest_km);
    }
  if (above_m > 0)
    {
      lower_t_m = above_m * angle_t / (angle_t + angle_r);
      lower_r_m = above_m * angle_r / (angle_t + angle_r);
    }
  path->hstd_m = MIN (path->fit_t_m - lower_t_m, h_m[0]);
  path->hsrd_m = MIN (path->fit_r_m - lower_r_m, h_m[last]);
}

static double
mrad_of_slope (double slope)
{
  return 1000 * atan (slope);
}

/* Slope from a height to another @away_km on, over the median effective earth. */
static double
slope_to (double rise_m, double away_km, double ae_km)
{
  return rise_m / (1000 * away_km) - away_km / (2 * ae_km);
}

/* On a path within sight both horizons are the sample with the largest diffraction parameter. */
static void
find_worst_point (DwnP1812Path *path, const DwnP1812Terrain *terrain)
{
  double worst = -INFINITY;

  for (gsize i = 1; i + 1 < terrain->n; i++)
    {
      double d_km = terrain->d_km[i];
      double rest_km = terrain->total_km - d_km;
      double over_m = terrain->h_m[i] + 500 * d_km * rest_km / path->ae_km
                      - (path->hts_m * rest_km + path->hrs_m * d_km) / terrain->total_km;
      double nu = over_m / sqrt (d_km * rest_km); /* but for a constant factor */

      if (nu >= worst)
        {
          worst = nu;
          path->horizon_t = path->horizon_r = i;
        }
    }
}

/* Attachment 1, §5.1 to §5.5: horizon angles and distances at both ends. */
static void
find_horizons (DwnP1812Path *path, const DwnP1812Terrain *terrain)
{
  double rise_m = path->hrs_m - path->hts_m;
  double direct_t = slope_to (rise_m, terrain->total_km, path->ae_km);
  double direct_r = slope_to (-rise_m, terrain->total_km, path->ae_km);
  double steepest_t = -INFINITY, steepest_r = -INFINITY;

  for (gsize i = 1; i + 1 < terrain->n; i++)
    {
      double d_km = terrain->d_km[i];
      double slope_t = slope_to (terrain->h_m[i] - path->hts_m, d_km, path->ae_km);
      double slope_r = slope_to (terrain->h_m[i] - path->hrs_m, terrain->total_km - d_km,
                                 path->ae_km);

      if (slope_t > steepest_t)
        {
          steepest_t = slope_t;
          path->horizon_t = i;
        }
      if (slope_r >= steepest_r)
        {
          steepest_r = slope_r;
          path->horizon_r = i;
        }
    }
  if (steepest_t > direct_t)
    {
      path->theta_t_mrad = mrad_of_slope (steepest_t);
      path->theta_r_mrad = mrad_of_slope (steepest_r);
    }
  else
    {
      path->theta_t_mrad = mrad_of_slope (direct_t);
      path->theta_r_mrad = mrad_of_slope (direct_r);
      find_worst_point (path, terrain);
    }
  path->theta_mrad = 1e3 * terrain->total_km / path->ae_km
                     + path->theta_t_mrad + path->theta_r_mrad;
  path->dlt_km = terrain->d_km[path->horizon_t];
  path->dlr_km = terrain->total_km - terrain->d_km[path->horizon_r];
}

/* §5.6.3: effective heights, and the largest rise above the smooth surface between the horizons. */
static void
measure_roughness (DwnP1812Path *path, const DwnP1812Terrain *terrain)
{
  double slope = (path->hsr_m - path->hst_m) / terrain->total_km;

  path->hte_m = path->hts_m - path->hst_m;
  path->hre_m = path->hrs_m - path->hsr_m;
  path->hm_m = -INFINITY;
  for (gsize i = path->horizon_t; i <= path->horizon_r; i++)
    path->hm_m = MAX (path->hm_m, terrain->h_m[i] - (path->hst_m + slope * terrain->d_km[i]));
}

void
dwn_p1812_path_init (DwnP1812Path *path, const DwnP1812Terrain *terrain,
                     const DwnPathQuery *query)
{
  *path = (DwnP1812Path) { .f_ghz = query->mhz / 1000 };
  path->wavelength_m = 0.2998 / path->f_ghz;
  path->hts_m = terrain->h_m[0] + query->tx_agl_m;
  path->hrs_m = terrain->h_m[terrain->n - 1] + query->rx_agl_m;
  path->ae_km = EARTH_RADIUS_KM * 157 / (157 - query->dn);
  find_zones (path, terrain, query);
  path->b0_pct = ducting_incidence_pct (query->latitude_deg, path->dtm_km, path->dlm_km);
  fit_smooth_earth (path, terrain);
  lower_smooth_earth (path, terrain);
  find_horizons (path, terrain);
  measure_roughness (path, terrain);
}
