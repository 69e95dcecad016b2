/* Noise from outside that an antenna delivers, and thermal noise. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/* What stands around the antenna: ITU-R P.372's environmental categories. */
typedef enum {
  DWN_AREA_CITY,
  DWN_AREA_RESIDENTIAL,
  DWN_AREA_RURAL,
  DWN_AREA_QUIET_RURAL,
} DwnArea;
#define DWN_N_AREAS 4

const char *dwn_area_id (DwnArea area); /* "city" "residential" "rural" "quiet-rural" */
gboolean dwn_area_from_id (const char *id, DwnArea *area);

/* Immutable, refcounted: the data file radio/noise.ini. */
typedef struct _DwnNoiseTable DwnNoiseTable;
DwnNoiseTable *dwn_noise_table_new (GError **error);
/* @name is what errors (DWN_INI_ERROR) call the file. */
DwnNoiseTable *dwn_noise_table_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnNoiseTable *dwn_noise_table_ref (const DwnNoiseTable *table);
void dwn_noise_table_unref (DwnNoiseTable *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnNoiseTable, dwn_noise_table_unref)

/* The linear external noise factor fa: what the antenna delivers, in units of k·T0·B. It is the
 * largest of the man-made median (ITU-R P.372, Fam = c − d log10 f), the galactic median and 1:
 * an antenna that looks at the horizon sees warm ground with half of itself and the atmosphere
 * with the other. The published medians are whole levels as a receiver found them, so they are not
 * added up. NaN unless @mhz > 0. */
double dwn_external_noise_factor (const DwnNoiseTable *table, DwnArea area, double mhz);

/* Standard deviation of Fa over time and places of one kind, dB (8.3: from the decile of P.372). */
double dwn_external_noise_sd_db (const DwnNoiseTable *table, DwnArea area);

/* k·T0·B·f in dBm, T0 = 290 K; NaN unless both are > 0. 6 MHz and f = 1: −106.2 dBm. */
double dwn_noise_dbm (double bandwidth_hz, double noise_factor);

/* Power in a matched load of an antenna of @gain_dbi in a field, and back:
 * P = E − 20 log10 f_MHz − 77.216 + G. NaN unless @mhz > 0. */
double dwn_power_of_field_dbm (double field_dbuv_m, double mhz, double gain_dbi);
double dwn_field_of_power_dbuv_m (double power_dbm, double mhz, double gain_dbi);

G_END_DECLS
