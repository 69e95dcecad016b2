#include <math.h>

#include <glib/gi18n-lib.h>

#include "core/radio/curves.h"
#include "core/radio/normal.h"
#include "core/radio/path-model.h"

/* A missing height above average terrain: what the trade assumes (common practice, no source). */
static const double assumed_haat_m = 30;

static gsize
no_workspace (gsize n_samples)
{
  return 0;
}

static gboolean
check_query (const DwnPathQuery *query, GError **error)
{
  if (!isnan (query->rx_agl_m) && !(query->rx_agl_m > 0))
    g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                 _("curves: a receiving antenna %g m above ground; it has to be more than 0 m"),
                 query->rx_agl_m);
  else if (!(query->location_pct >= 1 && query->location_pct <= 99))
    g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                 _("curves: %g %% of the places is outside 1 to 99 %%"), query->location_pct);
  else if (!(query->location_sd_db >= 0 && query->location_sd_db <= 50))
    g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                 _("curves: a standard deviation over places of %g dB is outside 0 to 50 dB"),
                 query->location_sd_db);
  else
    return TRUE;
  return FALSE;
}

static gboolean
find_field (const DwnCurves *curves, const DwnPathQuery *query, double *field_dbuv_m,
            GError **error)
{
  g_autoptr (GError) reason = NULL;
  double haat_m = isnan (query->haat_m) ? assumed_haat_m : query->haat_m;

  if (dwn_curve_field_dbuv_m (curves, query->mhz, haat_m, query->distance_m / 1000,
                              query->time_pct, field_dbuv_m, &reason))
    return TRUE;
  g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN, "curves: %s", reason->message);
  return FALSE;
}

static void
add_note (DwnPathLoss *out, const char *text)
{
  if (*out->note != '\0')
    g_strlcat (out->note, "; ", sizeof out->note);
  g_strlcat (out->note, text, sizeof out->note);
}

static void
note_limits (const DwnPathQuery *query, double free_space_db, DwnPathLoss *out)
{
  if (isnan (query->haat_m))
    add_note (out, "height above average terrain not on file, taken as 30 m");
  else if (query->haat_m < DWN_CURVE_MIN_HAAT_M)
    add_note (out, "height above average terrain below 30 m, taken as 30 m");
  else if (query->haat_m > DWN_CURVE_MAX_HAAT_M)
    add_note (out, "height above average terrain over 1600 m, taken as 1600 m");
  if (out->loss_db == free_space_db)
    add_note (out, "limited by free space");
}

/* The charts hold for half the places; other shares by a normal distribution over places. Height
 * gain and spread do not count in the free space that the charts begin with. */
static gboolean
curves_loss (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error)
{
  const DwnCurves *curves = dwn_curves_shared (error);
  double field;

  if (curves == NULL || !check_query (query, error) || !find_field (curves, query, &field, error))
    return FALSE;

  double free_space_db = dwn_free_space_loss_db (query->distance_m, query->mhz);
  double loss_db = dwn_loss_of_field_db (field, query->mhz, 1);

  if (query->distance_m / 1000 >= DWN_CURVE_FREE_SPACE_KM && !isnan (query->rx_agl_m))
    loss_db -= dwn_curve_height_gain_db (curves, query->area, query->mhz, query->rx_agl_m);
  if (query->location_sd_db > 0)
    loss_db += query->location_sd_db * dwn_normal_quantile (query->location_pct / 100);
  *out = (DwnPathLoss) { .loss_db = fmax (loss_db, free_space_db), .free_space_db = free_space_db };
  note_limits (query, free_space_db, out);
  return TRUE;
}

const DwnPathModel dwn_path_model_curves = {
  .id = "curves",
  .needs_profile = FALSE,
  .default_n0 = 301,
  .workspace_size = no_workspace,
  .loss = curves_loss,
};
