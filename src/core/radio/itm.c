/* ITM: from a query to a loss. */
#include "core/radio/itm.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/radio/itm-private.h"
#include "core/radio/range.h"

/* What the notes say, by the bit of the warning. */
static const char *const warning_texts[] = {
  "transmitter height near its limits",
  "receiver height near its limits",
  "frequency near its limits",
  "path over 1000 km",
  "path over 2000 km",
  "steep path",
  "path under 1 km",
  "transmitter horizon steep",
  "receiver horizon steep",
  "transmitter horizon very near",
  "receiver horizon very near",
  "transmitter horizon very far",
  "receiver horizon very far",
  "variability far in its tail",
  "refractivity near its limit",
};

static gboolean
check_domain (const DwnPathQuery *query, GError **error)
{
  const DwnRange ranges[] = {
    { N_("frequency"), query->mhz, 20, 20000, "MHz" },
    { N_("transmitter height above ground"), query->tx_agl_m, 0.5, 3000, "m" },
    { N_("receiver height above ground"), query->rx_agl_m, 0.5, 3000, "m" },
    { N_("share of time"), query->time_pct, 0.001, 99.999, "%" },
    { N_("share of locations"), query->location_pct, 0.001, 99.999, "%" },
    { N_("share of situations"), query->situation_pct, 0.001, 99.999, "%" },
    { N_("sea-level refractivity"), query->n0, 250, 400, "N" },
    { N_("climate"), query->climate, 1, 7, "" },
    { N_("permittivity of the ground"), query->permittivity, 1, 1000, "" },
    { N_("conductivity of the ground"), query->conductivity_s_m, 1e-9, 1000, "S/m" },
  };

  if (!dwn_ranges_check ("ITM", ranges, G_N_ELEMENTS (ranges), error))
    return FALSE;
  if (query->mdvar >= 0 && query->mdvar <= 33 && query->mdvar % 10 <= 3)
    return TRUE;
  g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
               _("ITM: mode of variability %d is not 0 to 3, alone or plus 10, 20 or 30"),
               query->mdvar);
  return FALSE;
}

static guint
input_warnings (const DwnPathQuery *query)
{
  guint warnings = 0;

  if (query->tx_agl_m < 1 || query->tx_agl_m > 1000)
    warnings |= DWN_ITM_WARN_TX_HEIGHT;
  if (query->rx_agl_m < 1 || query->rx_agl_m > 1000)
    warnings |= DWN_ITM_WARN_RX_HEIGHT;
  if (query->mhz < 40 || query->mhz > 10000)
    warnings |= DWN_ITM_WARN_FREQUENCY;
  return warnings;
}

/* As many texts as the note has room for, with "..." where some are left out. */
static void
write_note (guint warnings, DwnPathLoss *out)
{
  gsize used = 0;

  *out->note = '\0';
  for (gsize i = 0; i < G_N_ELEMENTS (warning_texts); i++)
    {
      if (!(warnings & (1u << i)))
        continue;

      gsize length = strlen (warning_texts[i]);

      if (used + strlen ("; ") + length + strlen ("...") >= sizeof out->note)
        {
          memcpy (out->note + used, "...", sizeof "...");
          return;
        }
      if (used > 0)
        {
          memcpy (out->note + used, "; ", strlen ("; "));
          used += strlen ("; ");
        }
      memcpy (out->note + used, warning_texts[i], length + 1);
      used += length;
    }
}

/* FALSE with @error where a height is not known. */
static gboolean
check_heights (const DwnProfile *profile, GError **error)
{
  for (gsize i = 0; i < profile->n; i++)
    if (!isfinite (profile->height_m[i]))
      {
        g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                     _("ITM: the profile has no height %.3f km from the transmitter"),
                     profile->distance_m[i] / 1000);
        return FALSE;
      }
  return TRUE;
}

static gboolean
check_length (const DwnProfile *profile, GError **error)
{
  if (profile != NULL && profile->n >= 3)
    return TRUE;
  g_set_error_literal (error, DWN_PATH_ERROR, DWN_PATH_ERROR_PROFILE,
                       _("ITM: needs a profile of at least 3 samples"));
  return FALSE;
}

/* The heights at even steps: the profile's own where it is even, otherwise straight lines between
 * its samples, in @workspace. */
static const double *
even_heights (const DwnProfile *profile, double step_m, double *workspace)
{
  gsize behind = 0;

  if (profile->step_m > 0)
    return profile->height_m;
  for (gsize i = 0; i < profile->n; i++)
    {
      double d_m = MIN ((double) i * step_m, profile->distance_m[profile->n - 1]);
      double share;

      while (behind + 2 < profile->n && profile->distance_m[behind + 1] < d_m)
        behind++;
      share = (d_m - profile->distance_m[behind])
              / (profile->distance_m[behind + 1] - profile->distance_m[behind]);
      workspace[i] = profile->height_m[behind]
                     + share * (profile->height_m[behind + 1] - profile->height_m[behind]);
    }
  return workspace;
}

/* From the measured path to the result. */
static gboolean
finish (const DwnPathQuery *query, const DwnItmPath *path, gboolean with_profile, DwnPathLoss *out,
        GError **error)
{
  DwnItmReference reference;

  if (!dwn_itm_reference (path, with_profile, &reference, error))
    return FALSE;
  reference.warnings |= input_warnings (query);
  out->free_space_db = dwn_itm_free_space_db (path->d_m, path->mhz);
  out->loss_db = out->free_space_db
                 + dwn_itm_variability_db (path, query, reference.reference_db,
                                           &reference.warnings);
  write_note (reference.warnings, out);
  return TRUE;
}

static gsize
workspace_size (gsize n_samples)
{
  return n_samples * sizeof (double);
}

static gboolean
loss (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error)
{
  const DwnProfile *profile = query->profile;
  DwnItmPath path;
  gsize n_intervals;
  double step_m, mean_m;
  const double *z_m;

  if (!check_domain (query, error) || !check_length (profile, error))
    return FALSE;
  n_intervals = profile->n - 1;
  step_m = profile->distance_m[n_intervals] / (double) n_intervals;
  z_m = even_heights (profile, step_m, workspace);
  mean_m = dwn_itm_mean_height_m (z_m, n_intervals);
  /* One unknown height makes the mean unknown. */
  if ((!isfinite (mean_m) || z_m != profile->height_m) && !check_heights (profile, error))
    return FALSE;
  dwn_itm_path_init (&path, query, mean_m);
  dwn_itm_path_measure (&path, z_m, n_intervals, step_m);
  return finish (query, &path, TRUE, out, error);
}

const DwnPathModel dwn_path_model_itm = {
  .id = "itm",
  .needs_profile = TRUE,
  .default_n0 = 301,
  .workspace_size = workspace_size,
  .loss = loss,
};

/* Effective height and horizon of an end on ground of known irregularity, eq. (3.2): the
 * more carefully the place was chosen, the higher it stands over the ground around it. */
static void
site_end (DwnItmPath *path, int end, DwnSiting siting)
{
  double h_m = path->h_m[end];
  double gain_m = siting == DWN_SITING_CAREFUL ? 4 : 9;

  path->he_m[end] = h_m;
  if (siting != DWN_SITING_RANDOM)
    {
      if (h_m < 5)
        gain_m *= sin (0.1 * G_PI * h_m);
      path->he_m[end] += (1 + gain_m) * exp (-MIN (20, 2 * h_m / MAX (1e-3, path->delta_h_m)));
    }
  dwn_itm_set_horizon (path, end);
}

gboolean
dwn_itm_area_loss (const DwnPathQuery *query, double delta_h_m, DwnSiting tx_siting,
                   DwnSiting rx_siting, DwnPathLoss *out, GError **error)
{
  DwnItmPath path;
  const DwnRange ranges[] = {
    { N_("distance"), query->distance_m, 1e-3, 2.1e7, "m" },
    { N_("terrain irregularity"), delta_h_m, 0, 10000, "m" },
  };

  g_return_val_if_fail (tx_siting <= DWN_SITING_VERY_CAREFUL, FALSE);
  g_return_val_if_fail (rx_siting <= DWN_SITING_VERY_CAREFUL, FALSE);

  if (!check_domain (query, error)
      || !dwn_ranges_check ("ITM", ranges, G_N_ELEMENTS (ranges), error))
    return FALSE;
  dwn_itm_path_init (&path, query, 0);
  path.d_m = query->distance_m;
  path.delta_h_m = delta_h_m;
  site_end (&path, 0, tx_siting);
  site_end (&path, 1, rx_siting);
  return finish (query, &path, FALSE, out, error);
}

static gsize
no_workspace (gsize n_samples)
{
  return 0;
}

static gboolean
area_loss (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error)
{
  DwnPathQuery over_average = *query;

  if (!isnan (query->haat_m))
    over_average.tx_agl_m = CLAMP (query->haat_m, 1, 3000);
  return dwn_itm_area_loss (&over_average, query->delta_h_m, DWN_SITING_RANDOM, DWN_SITING_RANDOM,
                            out, error);
}

const DwnPathModel dwn_path_model_itm_area = {
  .id = "itm-area",
  .needs_profile = FALSE,
  .default_n0 = 301,
  .workspace_size = no_workspace,
  .loss = area_loss,
};
