/* ITU-R P.1812-8, §4.4 and §4.5: what the air carries beyond the horizon. */
#include "core/radio/p1812-private.h"

#include <math.h>

double
dwn_p1812_troposcatter_db (const DwnP1812Path *path, double total_km, double n0, double p_pct)
{
  double octave = log10 (path->f_ghz / 2);
  double frequency_db = 25 * log10 (path->f_ghz) - 2.5 * octave * octave;

  return 190.1 + frequency_db + 20 * log10 (total_km) + 0.573 * path->theta_mrad - 0.15 * n0
         - 10.125 * pow (log10 (50 / p_pct), 0.7);
}

/* Ground near an end that hides it from the duct (48). */
static double
site_shielding_db (double theta_mrad, double horizon_km, double f_ghz)
{
  double above_mrad = theta_mrad - 0.1 * horizon_km;

  if (above_mrad <= 0)
    return 0;
  return 20 * log10 (1 + 0.361 * above_mrad * sqrt (f_ghz * horizon_km))
         + 0.264 * above_mrad * cbrt (f_ghz);
}

/* An end near the sea couples better into a duct over it (49). */
static double
coast_coupling_db (double coast_km, double horizon_km, double omega, double hs_m)
{
  if (omega < 0.75 || coast_km > horizon_km || coast_km > 5)
    return 0;
  return -3 * exp (-0.25 * coast_km * coast_km) * (1 + tanh (0.07 * (50 - hs_m)));
}

/* Losses of getting into the duct and out of it (47). */
static double
coupling_loss_db (const DwnP1812Path *path)
{
  double f_ghz = path->f_ghz;
  double low_frequency_db = f_ghz < 0.5 ? 45.375 - 137 * f_ghz + 92.5 * f_ghz * f_ghz : 0;

  return 102.45 + 20 * log10 (f_ghz) + 20 * log10 (path->dlt_km + path->dlr_km)
         + low_frequency_db
         + site_shielding_db (path->theta_t_mrad, path->dlt_km, f_ghz)
         + site_shielding_db (path->theta_r_mrad, path->dlr_km, f_ghz)
         + coast_coupling_db (path->dct_km, path->dlt_km, path->omega, path->hts_m)
         + coast_coupling_db (path->dcr_km, path->dlr_km, path->omega, path->hrs_m);
}

/* β of eq. (54): β0 less what the geometry and the roughness of the path take from it. */
static double
path_incidence_pct (const DwnP1812Path *path, double total_km)
{
  double between_km = MIN (total_km - path->dlt_km - path->dlr_km, 40);
  double roughness = 1;
  double alpha = -0.6 - 3.5e-9 * pow (total_km, 3.1) * dwn_p1812_tau (path->dlm_km);
  double root_sum = sqrt (path->hte_m) + sqrt (path->hre_m);
  double geometry = pow (500 / path->ae_km * total_km * total_km / (root_sum * root_sum),
                         MAX (alpha, -3.4));

  if (path->hm_m > 10)
    roughness = exp (-4.6e-5 * (path->hm_m - 10) * (43 + 6 * between_km));
  return path->b0_pct * MIN (geometry, 1) * roughness;
}

/* Variability with time (53). */
static double
variability_db (double beta_pct, double total_km, double p_pct)
{
  double log_beta = log10 (beta_pct);
  double gamma = 1.076 / pow (2.0058 - log_beta, 1.012)
                 * exp (-(9.51 - 4.8 * log_beta + 0.198 * log_beta * log_beta) * 1e-6
                        * pow (total_km, 1.13));

  return -12 + (1.2 + 3.7e-3 * total_km) * log10 (p_pct / beta_pct)
         + 12 * pow (p_pct / beta_pct, gamma);
}

double
dwn_p1812_ducting_db (const DwnP1812Path *path, double total_km, double p_pct)
{
  double per_mrad_db = 5e-5 * path->ae_km * cbrt (path->f_ghz);
  double theta_mrad = 1e3 * total_km / path->ae_km
                      + MIN (path->theta_t_mrad, 0.1 * path->dlt_km)
                      + MIN (path->theta_r_mrad, 0.1 * path->dlr_km);

  return coupling_loss_db (path) + per_mrad_db * theta_mrad
         + variability_db (path_incidence_pct (path, total_km), total_km, p_pct);
}
