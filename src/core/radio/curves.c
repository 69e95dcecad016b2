#include "core/radio/curves.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "core/data/data.h"
#include "core/data/ini.h"
#include "core/radio/channel.h"
#include "core/radio/curve-table.h"
#include "core/radio/normal.h"

typedef struct {
  DwnSurface *f5050, *f5010;
} Chart;

enum { SURROUND_RURAL, SURROUND_SUBURBAN, SURROUND_URBAN, N_SURROUNDS };

struct _DwnCurves {
  Chart chart[DWN_N_BANDS];
  double height_gain[2][N_SURROUNDS]; /* VHF, UHF: c */
};

/* 47 CFR 73.699 as the regulator's own program reads its charts: the 10 % chart begins here. */
static const double f5010_from_km = 15;
static const double f5010_max_km = 500;

/* 1 kW from a half-wave dipole at 1 km (47 CFR 73.313). */
static const double free_space_at_1_km_dbuv_m = 106.92;

/* Heights that ITU-R P.370-7 gives the height gain for (from memory). */
static const double min_rx_agl_m = 1.5, max_rx_agl_m = 40;

/* Step of the search for a distance: the charts are smooth over half a kilometre. */
static const double search_step_km = 0.5;

G_DEFINE_QUARK (dwn-curve-error-quark, dwn_curve_error)

static void
clear_curves (gpointer data)
{
  DwnCurves *curves = data;

  for (gsize i = 0; i < DWN_N_BANDS; i++)
    {
      dwn_surface_free (curves->chart[i].f5050);
      dwn_surface_free (curves->chart[i].f5010);
    }
}

static DwnSurface *
load_surface (const char *name, GError **error)
{
  gboolean overridden;
  g_autoptr (GBytes) bytes = dwn_data_lookup (name, &overridden, error);

  if (bytes == NULL)
    return NULL;

  g_autofree char *shown = overridden ? dwn_data_override_path (name) : g_strdup (name);
  return dwn_curve_table_read (bytes, shown, error);
}

static gboolean
load_chart (DwnBand band, Chart *chart, GError **error)
{
  g_autofree char *f5050 = g_strdup_printf ("radio/curves/%s-f5050.csv", dwn_band_id (band));
  g_autofree char *f5010 = g_strdup_printf ("radio/curves/%s-f5010.csv", dwn_band_id (band));

  chart->f5050 = load_surface (f5050, error);
  chart->f5010 = chart->f5050 == NULL ? NULL : load_surface (f5010, error);
  return chart->f5010 != NULL;
}

static gboolean
load_height_gain (DwnCurves *curves, GError **error)
{
  static const char *const bands[] = { "vhf", "uhf" };
  static const char *const surrounds[] = { "rural", "suburban", "urban" };
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data ("radio/curves/height-gain.ini", error);

  if (ini == NULL)
    return FALSE;
  for (gsize b = 0; b < G_N_ELEMENTS (bands); b++)
    for (gsize s = 0; s < N_SURROUNDS; s++)
      if (!dwn_ini_number (ini, bands[b], surrounds[s], 0, 20, &curves->height_gain[b][s], error))
        return FALSE;
  return TRUE;
}

DwnCurves *
dwn_curves_new (GError **error)
{
  g_autoptr (DwnCurves) curves = g_atomic_rc_box_new0 (DwnCurves);

  for (gsize i = 0; i < DWN_N_BANDS; i++)
    if (!load_chart ((DwnBand) i, &curves->chart[i], error))
      return NULL;
  if (!load_height_gain (curves, error))
    return NULL;
  return g_steal_pointer (&curves);
}

DwnCurves *
dwn_curves_ref (const DwnCurves *curves)
{
  return g_atomic_rc_box_acquire ((DwnCurves *) curves);
}

void
dwn_curves_unref (DwnCurves *curves)
{
  g_atomic_rc_box_release_full (curves, clear_curves);
}

typedef struct {
  DwnCurves *curves;
  GError *error;
} Loaded;

static gpointer
load_once (gpointer data)
{
  Loaded *loaded = g_new0 (Loaded, 1);

  loaded->curves = dwn_curves_new (&loaded->error);
  return loaded;
}

const DwnCurves *
dwn_curves_shared (GError **error)
{
  static GOnce once = G_ONCE_INIT;
  const Loaded *loaded = g_once (&once, load_once, NULL);

  if (loaded->curves == NULL && error != NULL)
    *error = g_error_copy (loaded->error);
  return loaded->curves;
}

/* Share of the way from F(50,50) to F(50,10) that belongs to @time_pct: the quantile of a normal
 * distribution over its 10 % quantile, so −1 at 90 %. */
static double
time_share (double time_pct)
{
  if (time_pct == 10 || time_pct == 50 || time_pct == 90)
    return (50 - time_pct) / 40;
  return dwn_normal_quantile (1 - time_pct / 100) / dwn_normal_quantile (0.9);
}

static double
max_km (double time_pct)
{
  return time_pct == 10 ? f5010_max_km : DWN_CURVE_MAX_KM;
}

/* All arguments within their ranges. */
static double
field_dbuv_m (const Chart *chart, double haat_m, double km, double time_pct)
{
  if (km < DWN_CURVE_FREE_SPACE_KM)
    return free_space_at_1_km_dbuv_m - 20 * log10 (km);
  if (km < f5010_from_km || time_pct == 50)
    return dwn_surface_at (chart->f5050, km, haat_m);

  double f5010 = dwn_surface_at (chart->f5010, km, haat_m);
  if (time_pct == 10)
    return f5010;

  double f5050 = dwn_surface_at (chart->f5050, km, haat_m);
  return f5050 + time_share (time_pct) * (f5010 - f5050);
}

static gboolean
check_domain (double mhz, double haat_m, double time_pct, GError **error)
{
  if (!(mhz >= 30 && mhz <= 3000))
    g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN,
                 _("%g MHz is outside the curves' 30 to 3000 MHz"), mhz);
  else if (!isfinite (haat_m))
    g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN,
                 _("the curves need a height above average terrain in metres"));
  else if (!(time_pct >= 10 && time_pct <= 90))
    g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN,
                 _("%g %% of the time is outside the curves' 10 to 90 %%"), time_pct);
  else
    return TRUE;
  return FALSE;
}

static double
clamp_haat_m (double haat_m)
{
  return CLAMP (haat_m, DWN_CURVE_MIN_HAAT_M, DWN_CURVE_MAX_HAAT_M);
}

gboolean
dwn_curve_field_dbuv_m (const DwnCurves *curves, double mhz, double haat_m, double km,
                        double time_pct, double *out, GError **error)
{
  g_return_val_if_fail (curves != NULL && out != NULL, FALSE);

  if (!check_domain (mhz, haat_m, time_pct, error))
    return FALSE;
  if (!(km > 0 && km <= max_km (time_pct)))
    {
      g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN,
                   _("%g km is outside the curves' distances, more than 0 to %g km"), km,
                   max_km (time_pct));
      return FALSE;
    }
  *out = field_dbuv_m (&curves->chart[dwn_band_of_mhz (mhz)], clamp_haat_m (haat_m), km, time_pct);
  return TRUE;
}

/* Between a distance where the field is strong enough and one where it is not. */
static double
bisect_km (const Chart *chart, double haat_m, double wanted_dbuv_m, double time_pct,
           double strong_km, double weak_km)
{
  for (int i = 0; i < 50; i++)
    {
      double km = (strong_km + weak_km) / 2;

      if (field_dbuv_m (chart, haat_m, km, time_pct) >= wanted_dbuv_m)
        strong_km = km;
      else
        weak_km = km;
    }
  return strong_km;
}

/* Sought from outside inwards, because the charts step up where the 10 % chart begins. Where free
 * space ends they may step down: then that is the distance. */
static double
farthest_km (const Chart *chart, double haat_m, double wanted_dbuv_m, double time_pct)
{
  double km = max_km (time_pct) - search_step_km;

  for (; km >= DWN_CURVE_FREE_SPACE_KM; km -= search_step_km)
    if (field_dbuv_m (chart, haat_m, km, time_pct) >= wanted_dbuv_m)
      return bisect_km (chart, haat_m, wanted_dbuv_m, time_pct, km, km + search_step_km);
  return fmin (pow (10, (free_space_at_1_km_dbuv_m - wanted_dbuv_m) / 20),
               DWN_CURVE_FREE_SPACE_KM);
}

gboolean
dwn_curve_distance_km (const DwnCurves *curves, double mhz, double haat_m, double wanted_dbuv_m,
                       double time_pct, double *out, GError **error)
{
  g_return_val_if_fail (curves != NULL && out != NULL, FALSE);

  if (!check_domain (mhz, haat_m, time_pct, error))
    return FALSE;

  const Chart *chart = &curves->chart[dwn_band_of_mhz (mhz)];
  double end_km = max_km (time_pct);

  haat_m = clamp_haat_m (haat_m);
  if (!isfinite (wanted_dbuv_m)
      || field_dbuv_m (chart, haat_m, end_km, time_pct) >= wanted_dbuv_m)
    {
      g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN,
                   _("the curves do not fall to %g dBµV/m of 1 kW within their %g km"),
                   wanted_dbuv_m, end_km);
      return FALSE;
    }

  *out = farthest_km (chart, haat_m, wanted_dbuv_m, time_pct);
  return TRUE;
}

double
dwn_curve_height_gain_db (const DwnCurves *curves, DwnArea area, double mhz, double rx_agl_m)
{
  static const int surround_of_area[DWN_N_AREAS] = {
    [DWN_AREA_CITY] = SURROUND_URBAN,
    [DWN_AREA_RESIDENTIAL] = SURROUND_SUBURBAN,
    [DWN_AREA_RURAL] = SURROUND_RURAL,
    [DWN_AREA_QUIET_RURAL] = SURROUND_RURAL,
  };

  g_return_val_if_fail (curves != NULL && area < DWN_N_AREAS, (double) NAN);

  if (!(rx_agl_m > 0) || !(mhz > 0))
    return (double) NAN;

  double height_m = CLAMP (rx_agl_m, min_rx_agl_m, max_rx_agl_m);
  double c = curves->height_gain[dwn_band_of_mhz (mhz) == DWN_BAND_UHF][surround_of_area[area]];
  return c / 6 * 20 * log10 (height_m / DWN_CURVE_RX_AGL_M);
}
