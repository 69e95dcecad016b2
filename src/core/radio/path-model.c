#include "core/radio/path-model.h"

#include "core/radio/itm.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

/* A new model joins here and nowhere else; the order is that of lists in the program. */
static const DwnPathModel *const models[] = {
  &dwn_path_model_free_space,
  &dwn_path_model_curves,
  &dwn_path_model_p1812,
  &dwn_path_model_itm,
  &dwn_path_model_itm_area,
};

static const double speed_of_light_m_per_s = 299792458.0;

/* Field at a distance from the basic transmission loss on the way: ITU-R P.1812-8 eq. 70, for
 * 1 kW radiated by a half-wave dipole. */
static const double field_constant_dbuv_m = 199.36;

G_DEFINE_QUARK (dwn-path-error-quark, dwn_path_error)

static gsize
no_workspace (gsize n_samples)
{
  return 0;
}

static gboolean
free_space_loss (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error)
{
  double loss_db = dwn_free_space_loss_db (query->distance_m, query->mhz);

  if (isnan (loss_db))
    {
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                   _("free space: a distance of %g m at %g MHz; both have to be greater than 0"),
                   query->distance_m, query->mhz);
      return FALSE;
    }
  *out = (DwnPathLoss) { .loss_db = loss_db, .free_space_db = loss_db };
  return TRUE;
}

const DwnPathModel dwn_path_model_free_space = {
  .id = "free-space",
  .needs_profile = FALSE,
  .default_n0 = 301,
  .workspace_size = no_workspace,
  .loss = free_space_loss,
};

void
dwn_path_query_init (DwnPathQuery *query, const DwnPathModel *model)
{
  const double unknown = (double) NAN;

  g_return_if_fail (query != NULL && model != NULL);

  *query = (DwnPathQuery) {
    .mhz = unknown,
    .distance_m = unknown,
    .tx_agl_m = unknown,
    .rx_agl_m = unknown,
    .haat_m = unknown,
    .delta_h_m = DWN_ITM_HILLS_M,
    .polarisation = DWN_POLARISATION_HORIZONTAL,
    .time_pct = 50,
    .location_pct = 50,
    .situation_pct = 50,
    .location_sd_db = 0,
    .mdvar = 3,
    .climate = 5,
    .n0 = model->default_n0,
    .dn = 45,
    .permittivity = 15,
    .conductivity_s_m = 0.005,
    .latitude_deg = 45,
    .dct_km = 500,
    .dcr_km = 500,
    .area = DWN_AREA_RURAL,
  };
}

const DwnPathModel *
dwn_path_model_find (const char *id)
{
  g_return_val_if_fail (id != NULL, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (models); i++)
    if (strcmp (models[i]->id, id) == 0)
      return models[i];
  return NULL;
}

const DwnPathModel *const *
dwn_path_models (gsize *n)
{
  g_return_val_if_fail (n != NULL, NULL);

  *n = G_N_ELEMENTS (models);
  return models;
}

double
dwn_field_of_loss_dbuv_m (double loss_db, double mhz, double erp_kw)
{
  if (!(mhz > 0) || !(erp_kw > 0))
    return (double) NAN;
  return field_constant_dbuv_m + 20 * log10 (mhz / 1000) - loss_db + 10 * log10 (erp_kw);
}

double
dwn_loss_of_field_db (double field_dbuv_m, double mhz, double erp_kw)
{
  /* The relation is its own inverse: loss and field add up to the same sum. */
  return dwn_field_of_loss_dbuv_m (field_dbuv_m, mhz, erp_kw);
}

double
dwn_free_space_loss_db (double distance_m, double mhz)
{
  if (!(distance_m > 0) || !(mhz > 0))
    return (double) NAN;
  return 20 * log10 (4 * G_PI * distance_m * mhz * 1e6 / speed_of_light_m_per_s);
}
