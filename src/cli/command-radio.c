/* channel, curve, path, pattern: sums that need no plan. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/call.h"
#include "core/antenna/catalogue.h"
#include "core/data/data.h"
#include "core/geo/profile-csv.h"
#include "core/radio/channel.h"
#include "core/radio/clearance.h"
#include "core/radio/curves.h"
#include "core/radio/path-model.h"

static gboolean
run_channel (DwnCall *call, GError **error)
{
  const char *rf = dwn_call_text (call, "rf");
  double mhz = (double) NAN;
  DwnSystem system;
  DwnChannel channel;

  if (!dwn_system_from_id (dwn_call_text (call, "system"), &system, error)
      || !dwn_call_number (call, "mhz", 1e-3, 1e5, &mhz, error))
    return FALSE;
  if ((rf == NULL) == isnan (mhz))
    {
      dwn_call_usage (error, _("channel needs --rf N or --mhz F, one of them"));
      return FALSE;
    }
  if (rf != NULL ? !dwn_channel_find (system, rf, &channel, error)
                 : !dwn_channel_at (system, mhz, &channel, error))
    return FALSE;

  DwnRows *rows = dwn_rows_new (call, "system rf low_mhz high_mhz centre_mhz band");
  dwn_rows_text (rows, dwn_system_id (system));
  dwn_rows_text (rows, channel.rf);
  dwn_rows_number (rows, channel.low_mhz);
  dwn_rows_number (rows, channel.high_mhz);
  dwn_rows_number (rows, channel.centre_mhz);
  dwn_rows_text (rows, dwn_band_id (channel.band));
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_channel = {
  .name = "channel",
  .summary = N_("Frequencies and band of an RF channel, or the channel at a frequency"),
  .options = (const DwnOption[]) {
    { "system", "S", DWN_OPTION_REQUIRED }, { "rf", "N" }, { "mhz", "F" }, { NULL },
  },
  .run = run_channel,
};

static gboolean
run_curve (DwnCall *call, GError **error)
{
  double mhz = 0, haat_m = 0, km = 0, field;
  int time = 0;

  if (!dwn_call_number (call, "mhz", 30, 1000, &mhz, error)
      || !dwn_call_number (call, "haat", -5000, 20000, &haat_m, error)
      || !dwn_call_number (call, "km", 0, 500, &km, error)
      || !dwn_call_integer (call, "time", 10, 90, &time, error))
    return FALSE;
  if (time != 10 && time != 50 && time != 90)
    {
      dwn_call_refuse (error, _("--time %d: the charts are for 10, 50 and 90 percent"), time);
      return FALSE;
    }
  const DwnCurves *curves = dwn_curves_shared (error);
  if (curves == NULL
      || !dwn_curve_field_dbuv_m (curves, mhz, haat_m, km, time, &field, error))
    return FALSE;

  DwnRows *rows = dwn_rows_new (call, "field_dbuv_m");
  dwn_rows_number (rows, field);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_curve = {
  .name = "curve",
  .summary = N_("Field strength of 1 kW over average terrain, from the charts of 47 CFR 73.699"),
  .options = (const DwnOption[]) {
    { "mhz", "F", DWN_OPTION_REQUIRED }, { "haat", "M", DWN_OPTION_REQUIRED },
    { "km", "D", DWN_OPTION_REQUIRED }, { "time", "10|50|90", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_curve,
};

static DwnProfile *
load_profile (const char *path, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_data_read_file (path, error);

  return bytes != NULL ? dwn_profile_read_csv (bytes, path, error) : NULL;
}

static gboolean
read_polarisation (const DwnCall *call, DwnPolarisation *polarisation, GError **error)
{
  const char *text = dwn_call_text (call, "polarisation");

  if (text == NULL || g_str_equal (text, "h"))
    *polarisation = DWN_POLARISATION_HORIZONTAL;
  else if (g_str_equal (text, "v"))
    *polarisation = DWN_POLARISATION_VERTICAL;
  else
    {
      dwn_call_refuse (error, _("--polarisation %s: h or v was expected"), text);
      return FALSE;
    }
  return TRUE;
}

static gboolean
read_query (const DwnCall *call, DwnPathQuery *query, GError **error)
{
  return dwn_call_number (call, "mhz", 1, 1e5, &query->mhz, error)
         && dwn_call_number (call, "tx-m", 0, 10000, &query->tx_agl_m, error)
         && dwn_call_number (call, "rx-m", 0, 10000, &query->rx_agl_m, error)
         && dwn_call_number (call, "time", 0.001, 99.999, &query->time_pct, error)
         && dwn_call_number (call, "location", 0.001, 99.999, &query->location_pct, error)
         && dwn_call_number (call, "location-sd", 0, 50, &query->location_sd_db, error)
         && dwn_call_number (call, "situation", 0.001, 99.999, &query->situation_pct, error)
         && dwn_call_integer (call, "mdvar", 0, 33, &query->mdvar, error)
         && read_polarisation (call, &query->polarisation, error)
         && dwn_call_integer (call, "climate", 1, 7, &query->climate, error)
         && dwn_call_number (call, "n0", 100, 500, &query->n0, error)
         && dwn_call_number (call, "dn", 0, 200, &query->dn, error)
         && dwn_call_number (call, "permittivity", 1, 100, &query->permittivity, error)
         && dwn_call_number (call, "conductivity", 0, 100, &query->conductivity_s_m, error)
         && dwn_call_number (call, "latitude", -90, 90, &query->latitude_deg, error);
}

static void
print_path (const DwnCall *call, const DwnPathModel *model, const DwnPathLoss *loss,
            const DwnClearance *clearance)
{
  DwnRows *rows = dwn_rows_new (call, "model loss_db free_space_db excess_db clearance_m "
                                      "clearance_at_m note");

  dwn_rows_text (rows, model->id);
  dwn_rows_number (rows, loss->loss_db);
  dwn_rows_number (rows, loss->free_space_db);
  dwn_rows_number (rows, loss->loss_db - loss->free_space_db);
  dwn_rows_number (rows, clearance->clearance_m);
  dwn_rows_number (rows, clearance->distance_m);
  dwn_rows_text (rows, loss->note);
  dwn_rows_print (rows);
}

static gboolean
run_path (DwnCall *call, GError **error)
{
  const DwnPathModel *model = dwn_path_model_find (dwn_call_text (call, "model"));
  DwnPathQuery query;
  DwnPathLoss loss;
  DwnClearance clearance;

  if (model == NULL || !model->needs_profile)
    {
      dwn_call_refuse (error, _("--model %s: itm or p1812 was expected"), dwn_call_text (call, "model"));
      return FALSE;
    }
  g_autoptr (DwnProfile) profile = load_profile (dwn_call_text (call, "profile"), error);
  if (profile == NULL)
    return FALSE;
  dwn_path_query_init (&query, model);
  query.profile = profile;
  query.distance_m = profile->distance_m[profile->n - 1];
  if (!read_query (call, &query, error))
    return FALSE;

  g_autofree gpointer workspace = g_malloc (MAX (model->workspace_size (profile->n), 1));
  if (!model->loss (&query, workspace, &loss, error))
    return FALSE;
  dwn_clearance (profile, query.tx_agl_m, query.rx_agl_m, query.mhz, DWN_STANDARD_K_FACTOR, &clearance);
  print_path (call, model, &loss, &clearance);
  return TRUE;
}

const DwnCommand dwn_command_path = {
  .name = "path",
  .summary = N_("Loss over a terrain profile by ITM or ITU-R P.1812"),
  .options = (const DwnOption[]) {
    { "model", "itm|p1812", DWN_OPTION_REQUIRED }, { "profile", "FILE.csv", DWN_OPTION_REQUIRED },
    { "mhz", "F", DWN_OPTION_REQUIRED }, { "tx-m", "H", DWN_OPTION_REQUIRED },
    { "rx-m", "H", DWN_OPTION_REQUIRED }, { "time", "P" }, { "location", "P" },
    { "location-sd", "DB" }, { "situation", "P" }, { "mdvar", "N" }, { "polarisation", "h|v" },
    { "climate", "N" }, { "n0", "N" }, { "dn", "N" }, { "permittivity", "E" },
    { "conductivity", "S" }, { "latitude", "DEG" }, { NULL },
  },
  .run = run_path,
};

static gboolean
run_pattern (DwnCall *call, GError **error)
{
  double mhz = 0;

  if (!dwn_call_number (call, "mhz", DWN_PATTERN_MIN_MHZ, DWN_PATTERN_MAX_MHZ, &mhz, error))
    return FALSE;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (error);
  if (catalogue == NULL)
    return FALSE;
  g_autoptr (DwnPattern) pattern = dwn_antenna_resolve (catalogue, dwn_call_text (call, "antenna"), error);
  if (pattern == NULL)
    return FALSE;

  DwnRows *rows = dwn_rows_new (call, "azimuth_deg gain_dbi");
  for (int azimuth = 0; azimuth < 360; azimuth++)
    {
      dwn_rows_number (rows, azimuth);
      dwn_rows_number (rows, dwn_pattern_gain_dbi (pattern, azimuth, mhz));
    }
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_pattern = {
  .name = "pattern",
  .summary = N_("Gain of an antenna for each degree off its main lobe"),
  .options = (const DwnOption[]) {
    { "antenna", "ID", DWN_OPTION_REQUIRED }, { "mhz", "F", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_pattern,
};
