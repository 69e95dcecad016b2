#include "core/antenna/sheet.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#define SPHERE_SQUARE_DEG 41253.0
#define ALL_ROUND_DEG 300.0
#define N_AZIMUTHS 360
#define N_ELEVATIONS 181
/* Between two lobes of a two-way panel: our assumption, computed panels have 15 to 40 dB. */
#define LEAST_SIDE_LOSS_DB 15.0
/* Sheets round their figures; half a tenth of a decibel is no boast. */
#define ROUNDING_DB 0.05
/* Two bands may meet at one frequency; the axis must rise. */
#define SEAM_MHZ 0.001

/* A band with nothing left unknown but the elevation width. */
typedef struct {
  double low_mhz, high_mhz, gain_dbi;
  double azimuth_width_deg, elevation_width_deg, front_to_back_db;
} Band;

double
dwn_sheet_directivity_dbi (double azimuth_width_deg, double elevation_width_deg)
{
  double narrow_deg = MIN (azimuth_width_deg, elevation_width_deg);
  double wide_deg = MAX (azimuth_width_deg, elevation_width_deg);

  if (!(azimuth_width_deg > 0.0 && elevation_width_deg > 0.0 && wide_deg <= 360.0))
    return (double) NAN;
  if (wide_deg < ALL_ROUND_DEG)
    return 10.0 * log10 (SPHERE_SQUARE_DEG / (narrow_deg * wide_deg));
  /* The parabola has its top at 184°; two widths that wide are no beam at all. */
  if (narrow_deg > 180.0)
    return 0.0;
  return MAX (10.0 * log10 (101.5 / (narrow_deg - 0.00272 * narrow_deg * narrow_deg)), 0.0);
}

static void G_GNUC_PRINTF (2, 3)
warn (GPtrArray *warnings, const char *format, ...)
{
  va_list arguments;

  if (warnings == NULL)
    return;
  va_start (arguments, format);
  g_ptr_array_add (warnings, g_strdup_vprintf (format, arguments));
  va_end (arguments);
}

static gboolean G_GNUC_PRINTF (3, 4)
refuse (GError **error, const char *id, const char *format, ...)
{
  va_list arguments;
  g_autofree char *text = NULL;

  va_start (arguments, format);
  text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE, "%s: %s", id, text);
  return FALSE;
}

static gboolean
is_width (double deg)
{
  return deg > 0.0 && deg <= 360.0;
}

static gboolean
check_band (const char *id, const DwnSheetBand *band, GError **error)
{
  if (!(band->low_mhz >= DWN_PATTERN_MIN_MHZ && band->high_mhz <= DWN_PATTERN_MAX_MHZ
        && band->low_mhz <= band->high_mhz))
    return refuse (error, id, _("a band from %g to %g MHz cannot be"), band->low_mhz,
                   band->high_mhz);
  if (!(fabs (band->gain) <= 60.0))
    return refuse (error, id, _("a gain of %g dB cannot be; sheets give -20 to 20"), band->gain);
  if (!is_width (band->azimuth_width_deg))
    return refuse (error, id, _("a beamwidth of %g° is outside 1 to 360"),
                   band->azimuth_width_deg);
  if (!isnan (band->elevation_width_deg) && !is_width (band->elevation_width_deg))
    return refuse (error, id, _("an elevation beamwidth of %g° is outside 1 to 360"),
                   band->elevation_width_deg);
  if (!isnan (band->front_to_back_db)
      && !(band->front_to_back_db >= 0.0 && band->front_to_back_db <= 100.0))
    return refuse (error, id, _("a front-to-back ratio of %g dB is outside 0 to 100"),
                   band->front_to_back_db);
  return TRUE;
}

/* OET-69, table of receive antennas (from memory). */
static double
planning_front_to_back_db (double mhz)
{
  static const double by_band_db[DWN_N_BANDS] = {
    [DWN_BAND_LOW_VHF] = 10.0, [DWN_BAND_HIGH_VHF] = 12.0, [DWN_BAND_UHF] = 14.0,
  };

  return by_band_db[dwn_band_of_mhz (mhz)];
}

static Band
settled (const char *id, const DwnSheetBand *sheet, GPtrArray *warnings)
{
  Band band = { sheet->low_mhz, sheet->high_mhz, sheet->gain, sheet->azimuth_width_deg,
                sheet->elevation_width_deg, sheet->front_to_back_db };

  if (sheet->unit == DWN_GAIN_DBD)
    band.gain_dbi += DWN_DIPOLE_GAIN_DBI;
  if (isnan (band.front_to_back_db) && band.azimuth_width_deg >= ALL_ROUND_DEG)
    band.front_to_back_db = 0.0;
  if (isnan (band.front_to_back_db))
    {
      band.front_to_back_db = planning_front_to_back_db (band.low_mhz);
      warn (warnings, _("%s: no front-to-back ratio for %g to %g MHz; %g dB are taken"), id,
            band.low_mhz, band.high_mhz, band.front_to_back_db);
    }
  return band;
}

static void
judge_gain (const char *id, const Band *band, GPtrArray *warnings)
{
  gboolean guessed = isnan (band->elevation_width_deg);
  double elevation_deg = guessed ? band->azimuth_width_deg : band->elevation_width_deg;
  double allowed_dbi = dwn_sheet_directivity_dbi (band->azimuth_width_deg, elevation_deg);

  if (band->gain_dbi <= allowed_dbi + ROUNDING_DB)
    return;
  warn (warnings,
        guessed ? _("%s: the sheet is optimistic: from %g to %g MHz it promises %.1f dBi; a beam "
                    "of %g° by %g° allows %.1f (it gives no elevation width; the azimuth's is "
                    "taken)")
                : _("%s: the sheet is optimistic: from %g to %g MHz it promises %.1f dBi; a beam "
                    "of %g° by %g° allows %.1f"),
        id, band->low_mhz, band->high_mhz, band->gain_dbi, band->azimuth_width_deg, elevation_deg,
        allowed_dbi);
}

/* Loss off the boresight of a beam @width_deg wide that also looks back. */
static double
lobe_db (double off_deg, double width_deg, double front_to_back_db)
{
  double deepest_db = -MAX (front_to_back_db, LEAST_SIDE_LOSS_DB);
  double ahead = 2.0 * off_deg / width_deg;
  double back = 2.0 * (180.0 - off_deg) / width_deg;
  double half_db = 10.0 * log10 (2.0);

  if (width_deg >= ALL_ROUND_DEG)
    return -front_to_back_db * off_deg / 180.0;
  return MAX (MAX (-half_db * ahead * ahead, -front_to_back_db - half_db * back * back),
              deepest_db);
}

static void
fill_rows (const Band *band, double *gain_dbi, double *elevation_db)
{
  for (int i = 0; i < N_AZIMUTHS; i++)
    {
      double off_deg = MIN (i, N_AZIMUTHS - i) * 360.0 / N_AZIMUTHS;

      gain_dbi[i] = band->gain_dbi
                    + lobe_db (off_deg, band->azimuth_width_deg, band->front_to_back_db);
    }
  /* Up to the zenith nothing comes from behind. */
  for (int i = 0; i < N_ELEVATIONS; i++)
    elevation_db[i] = isnan (band->elevation_width_deg)
                          ? 0.0
                          : lobe_db (fabs (i - 90.0), band->elevation_width_deg, 100.0);
}

static DwnPattern *
pattern_of (const char *id, const char *name, double price, gsize n, const Band *bands,
            GError **error)
{
  g_autofree double *mhz = g_new (double, 2 * n + 1);
  g_autofree double *azimuth_deg = g_new (double, N_AZIMUTHS);
  g_autofree double *elevation_deg = g_new (double, N_ELEVATIONS);
  g_autofree double *gain_dbi = g_new (double, (2 * n + 1) * N_AZIMUTHS);
  g_autofree double *elevation_db = g_new (double, (2 * n + 1) * N_ELEVATIONS);
  gboolean has_elevation = FALSE;
  gsize k = 0;

  for (int i = 0; i < N_AZIMUTHS; i++)
    azimuth_deg[i] = i * 360.0 / N_AZIMUTHS;
  for (int i = 0; i < N_ELEVATIONS; i++)
    elevation_deg[i] = i - 90.0;
  for (gsize b = 0; b < n; b++)
    for (int edge = 0; edge < (bands[b].high_mhz > bands[b].low_mhz ? 2 : 1); edge++, k++)
      {
        mhz[k] = edge == 0 ? bands[b].low_mhz : bands[b].high_mhz;
        if (k > 0 && mhz[k] == mhz[k - 1])
          mhz[k] += SEAM_MHZ;
        fill_rows (&bands[b], gain_dbi + k * N_AZIMUTHS, elevation_db + k * N_ELEVATIONS);
        has_elevation |= !isnan (bands[b].elevation_width_deg);
      }
  return dwn_pattern_new (&(DwnPattern){ .id = id, .name = name, .source = _("data sheet"),
                                         .n_mhz = k, .mhz = mhz, .n_azimuth = N_AZIMUTHS,
                                         .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi,
                                         .n_elevation = has_elevation ? N_ELEVATIONS : 0,
                                         .elevation_deg = elevation_deg,
                                         .elevation_db = elevation_db, .price = price },
                          error);
}

DwnAntenna *
dwn_sheet_antenna (const char *id, const char *name, double price, gsize n,
                   const DwnSheetBand *bands, GPtrArray *warnings, GError **error)
{
  g_autofree Band *settled_bands = NULL;
  g_autoptr (DwnPattern) pattern = NULL;

  g_return_val_if_fail (id != NULL && bands != NULL && n > 0, NULL);

  if (!dwn_antenna_id_is_valid (id))
    {
      refuse (error, id, _("not an id; use up to 64 of a-z 0-9 - . _"));
      return NULL;
    }
  settled_bands = g_new (Band, n);
  for (gsize b = 0; b < n; b++)
    {
      if (!check_band (id, &bands[b], error))
        return NULL;
      settled_bands[b] = settled (id, &bands[b], warnings);
      judge_gain (id, &settled_bands[b], warnings);
    }
  pattern = pattern_of (id, name, price, n, settled_bands, error);
  if (pattern == NULL)
    return NULL;
  return dwn_antenna_new (&(DwnAntenna){ .pattern = pattern, .feed_ohm = (double) NAN,
                                         .balun_db = (double) NAN });
}
