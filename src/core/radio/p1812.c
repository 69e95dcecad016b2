/* ITU-R P.1812-8, §4.2 and §4.6 to §4.9: how the parts make one loss. */
#include "core/radio/p1812.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/radio/p1812-private.h"
#include "core/radio/range.h"

double
dwn_p1812_inverse_normal (double share)
{
  double tail = CLAMP (share <= 0.5 ? share : 1 - share, 1e-6, 0.5);
  double t = sqrt (-2 * log (tail));
  double deviate = t - ((0.010328 * t + 0.802853) * t + 2.515516698)
                       / (((0.001308 * t + 0.189269) * t + 1.432788) * t + 1);

  return share <= 0.5 ? deviate : -deviate;
}

double
dwn_p1812_location_sd_db (double mhz, double rx_agl_m, double clutter_m, double width_m)
{
  double over_m = rx_agl_m - clutter_m;

  if (!(mhz > 0 && width_m > 0) || isnan (over_m))
    return (double) NAN;
  return (0.52 + 0.024 * mhz / 1000) * pow (width_m, 0.28) * CLAMP (1 - over_m / 10, 0, 1);
}

/* §4.2: free space, and multipath and focusing at a percentage of time. */
static void
line_of_sight (const DwnP1812Terrain *terrain, const DwnP1812Path *path, double p_pct,
               DwnP1812Loss *out)
{
  double rise_km = (path->hts_m - path->hrs_m) / 1000;
  double slant2_km2 = terrain->total_km * terrain->total_km + rise_km * rise_km;
  double focus_db = 2.6 * (1 - exp (-0.1 * (path->dlt_km + path->dlr_km)));

  out->lbfs_db = 92.4 + 20 * log10 (path->f_ghz) + 10 * log10 (slant2_km2);
  out->lb0p_db = out->lbfs_db + focus_db * log10 (p_pct / 50);
  out->lb0b_db = out->lbfs_db + focus_db * log10 (path->b0_pct / 50);
}

/* Eqs. (40) to (43) and (59): diffraction between its median and its β0 value. */
static void
diffraction_at (const DwnP1812Path *path, const DwnP1812Diffraction *median,
                const DwnP1812Diffraction *beta, double p_pct, DwnP1812Loss *out)
{
  gboolean often = p_pct >= path->b0_pct;

  out->fi = 1;
  if (often)
    out->fi = dwn_p1812_inverse_normal (p_pct / 100)
              / dwn_p1812_inverse_normal (path->b0_pct / 100);
  out->ldp_db = median->ld_db + out->fi * (beta->ld_db - median->ld_db);
  if (p_pct == 50)
    out->ldp_db = median->ld_db;
  out->lbd50_db = out->lbfs_db + median->ld_db;
  out->lbd_db = out->lb0p_db + out->ldp_db;

  double over_land_db = (1 - path->omega) * out->ldp_db;
  out->lminb0p_db = out->lb0p_db + over_land_db;
  if (often)
    out->lminb0p_db = out->lbd50_db
                      + (out->lb0b_db + over_land_db - out->lbd50_db) * out->fi;
}

/* A step from 1 to 0 around @middle. */
static double
blend (double value, double middle, double steepness)
{
  return 0.5 * (1 - tanh (3 * steepness * (value - middle) / middle));
}

/* η ln (e^(a/η) + e^(b/η)), without the overflow of the powers. */
static double
soft_maximum (double a, double b, double eta)
{
  return MAX (a, b) + eta * log1p (exp (-fabs (a - b) / eta));
}

/* −5 log10 (10^(−0.2 a) + 10^(−0.2 b)): two ways add their amplitudes (63). */
static double
parallel_loss_db (double a_db, double b_db)
{
  return -soft_maximum (-a_db, -b_db, 5 / G_LN10);
}

void
dwn_p1812_loss_at (const DwnP1812Terrain *terrain, const DwnP1812Path *path,
                   const DwnP1812Diffraction *median, const DwnP1812Diffraction *beta,
                   const DwnPathQuery *query, double p_pct, DwnP1812Loss *out)
{
  gboolean rx_at_sea = terrain->zone != NULL && terrain->zone[terrain->n - 1] == DWN_ZONE_SEA;
  double total_km = terrain->total_km;

  out->fj = blend (path->theta_mrad, 0.3, 0.8);
  out->fk = blend (total_km, 20, 0.5);
  line_of_sight (terrain, path, p_pct, out);
  diffraction_at (path, median, beta, p_pct, out);

  out->lba_db = dwn_p1812_ducting_db (path, total_km, p_pct);
  out->lminbap_db = soft_maximum (out->lba_db, out->lb0p_db, 2.5);
  out->lbda_db = out->lbd_db;
  if (out->lminbap_db <= out->lbd_db)
    out->lbda_db = out->lminbap_db + (out->lbd_db - out->lminbap_db) * out->fk;
  out->lbam_db = out->lbda_db + (out->lminb0p_db - out->lbda_db) * out->fj;

  out->lbs_db = dwn_p1812_troposcatter_db (path, total_km, query->n0, p_pct);
  out->lbc_db = parallel_loss_db (out->lbs_db, out->lbam_db);
  out->lloc_db = rx_at_sea ? 0 : -dwn_p1812_inverse_normal (query->location_pct / 100)
                                 * query->location_sd_db;
  out->lb_db = MAX (out->lb0p_db, out->lbc_db + out->lloc_db);
}

static gboolean
check_domain (const DwnPathQuery *query, GError **error)
{
  const DwnRange ranges[] = {
    { N_("frequency"), query->mhz, 30, 6000, "MHz" },
    { N_("transmitter height above ground"), query->tx_agl_m, 1, 3000, "m" },
    { N_("receiver height above ground"), query->rx_agl_m, 1, 3000, "m" },
    { N_("share of time"), query->time_pct, 1, 99, "%" },
    { N_("share of locations"), query->location_pct, 1, 99, "%" },
    { N_("location variability"), query->location_sd_db, 0, 100, "dB" },
    { N_("latitude"), query->latitude_deg, -90, 90, "°" },
    { N_("refractivity lapse"), query->dn, -150, 150, "N/km" },
    { N_("sea-level refractivity"), query->n0, 100, 600, "N" },
    { N_("transmitter's distance to the sea"), query->dct_km, 0, 40000, "km" },
    { N_("receiver's distance to the sea"), query->dcr_km, 0, 40000, "km" },
  };

  return dwn_ranges_check ("P.1812", ranges, G_N_ELEMENTS (ranges), error);
}

static void
write_note (const DwnPathQuery *query, double total_km, DwnPathLoss *out)
{
  const char *time = "", *distance = "";

  if (query->time_pct > 50)
    time = "above 50 % of time: reflected about the median, our extension of P.1812; ";
  if (total_km < 0.25)
    distance = "path under 0.25 km: outside P.1812's range; ";
  else if (total_km > 3000)
    distance = "path over 3000 km: outside P.1812's range; ";
  g_snprintf (out->note, sizeof out->note, "%s%s", time, distance);
  if (*out->note != '\0')
    out->note[strlen (out->note) - 2] = '\0';
}

static gsize
workspace_size (gsize n_samples)
{
  return 2 * n_samples * sizeof (double);
}

static gboolean
loss (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error)
{
  DwnP1812Terrain terrain;
  DwnP1812Path path;
  DwnP1812Diffraction median, beta;
  DwnP1812Loss at;
  gboolean vertical = query->polarisation == DWN_POLARISATION_VERTICAL;

  if (query->profile == NULL)
    {
      g_set_error_literal (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                           _("P.1812: needs the profile of the path"));
      return FALSE;
    }
  if (!check_domain (query, error)
      || !dwn_p1812_terrain_init (&terrain, query->profile, workspace, error))
    return FALSE;

  dwn_p1812_path_init (&path, &terrain, query);
  dwn_p1812_diffraction (&terrain, &path, vertical, path.ae_km, &median);
  dwn_p1812_diffraction (&terrain, &path, vertical, DWN_P1812_BETA_RADIUS_KM, &beta);

  dwn_p1812_loss_at (&terrain, &path, &median, &beta, query, MIN (query->time_pct, 50), &at);
  out->loss_db = at.lb_db;
  out->free_space_db = at.lbfs_db;
  if (query->time_pct > 50)
    {
      dwn_p1812_loss_at (&terrain, &path, &median, &beta, query, 100 - query->time_pct, &at);
      out->loss_db = 2 * out->loss_db - at.lb_db;
    }
  write_note (query, terrain.total_km, out);
  return TRUE;
}

const DwnPathModel dwn_path_model_p1812 = {
  .id = "p1812",
  .needs_profile = TRUE,
  .default_n0 = 325,
  .workspace_size = workspace_size,
  .loss = loss,
};
