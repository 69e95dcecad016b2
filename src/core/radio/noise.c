#include "core/radio/noise.h"

#include <math.h>
#include <string.h>

#include "core/data/ini.h"

/* Fam = c - d log10 f_MHz; NaN in both where there is no such line. */
typedef struct {
  double c_db, d_db;
} Line;

typedef struct {
  Line low, high;
  double sd_db;
} AreaNoise;

struct _DwnNoiseTable {
  AreaNoise area[DWN_N_AREAS];
  Line sky;
};

static const char *const area_ids[DWN_N_AREAS] = {
  [DWN_AREA_CITY] = "city",
  [DWN_AREA_RESIDENTIAL] = "residential",
  [DWN_AREA_RURAL] = "rural",
  [DWN_AREA_QUIET_RURAL] = "quiet-rural",
};

static const double boltzmann_j_per_k = 1.380649e-23;
static const double room_k = 290;

/* P = E^2 / Z0 · lambda^2 / (4 pi) for an isotropic antenna, Z0 = 376.73 ohms, with the units
 * dBm, dBµV/m and MHz taken out. */
static const double isotropic_constant_db = 77.216;

static gboolean
read_line (const DwnIni *ini, const char *group, const char *c_key, const char *d_key, Line *line,
           GError **error)
{
  return dwn_ini_number (ini, group, c_key, 0, 200, &line->c_db, error)
         && dwn_ini_number (ini, group, d_key, 0, 100, &line->d_db, error);
}

static gboolean
read_area (const DwnIni *ini, const char *group, AreaNoise *noise, GError **error)
{
  noise->high = (Line) { (double) NAN, (double) NAN };
  if (!read_line (ini, group, "c", "d", &noise->low, error)
      || !dwn_ini_number (ini, group, "sd", 0, 30, &noise->sd_db, error)
      || dwn_ini_string (ini, group, "source", error) == NULL)
    return FALSE;
  return !dwn_ini_has (ini, group, "c-high")
         || read_line (ini, group, "c-high", "d-high", &noise->high, error);
}

static double
line_db (const Line *line, double mhz)
{
  return line->c_db - line->d_db * log10 (mhz);
}

const char *
dwn_area_id (DwnArea area)
{
  g_return_val_if_fail (area < DWN_N_AREAS, NULL);

  return area_ids[area];
}

gboolean
dwn_area_from_id (const char *id, DwnArea *area)
{
  g_return_val_if_fail (id != NULL && area != NULL, FALSE);

  for (gsize i = 0; i < DWN_N_AREAS; i++)
    if (strcmp (id, area_ids[i]) == 0)
      {
        *area = (DwnArea) i;
        return TRUE;
      }
  return FALSE;
}

static DwnNoiseTable *
table_of_ini (const DwnIni *ini, GError **error)
{
  g_autoptr (DwnNoiseTable) table = g_atomic_rc_box_new0 (DwnNoiseTable);

  for (gsize i = 0; i < DWN_N_AREAS; i++)
    if (!read_area (ini, area_ids[i], &table->area[i], error))
      return NULL;
  if (!read_line (ini, "sky", "c", "d", &table->sky, error))
    return NULL;
  return g_steal_pointer (&table);
}

DwnNoiseTable *
dwn_noise_table_new (GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data ("radio/noise.ini", error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnNoiseTable *
dwn_noise_table_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnNoiseTable *
dwn_noise_table_ref (const DwnNoiseTable *table)
{
  return g_atomic_rc_box_acquire ((DwnNoiseTable *) table);
}

void
dwn_noise_table_unref (DwnNoiseTable *table)
{
  g_atomic_rc_box_release (table);
}

double
dwn_external_noise_factor (const DwnNoiseTable *table, DwnArea area, double mhz)
{
  g_return_val_if_fail (table != NULL && area < DWN_N_AREAS, (double) NAN);

  if (!(mhz > 0))
    return (double) NAN;

  /* fmax () passes over a line that is not there (NaN). */
  double fam_db = fmax (line_db (&table->area[area].low, mhz),
                        line_db (&table->area[area].high, mhz));

  return pow (10, fmax (fmax (fam_db, line_db (&table->sky, mhz)), 0) / 10);
}

double
dwn_external_noise_sd_db (const DwnNoiseTable *table, DwnArea area)
{
  g_return_val_if_fail (table != NULL && area < DWN_N_AREAS, (double) NAN);

  return table->area[area].sd_db;
}

double
dwn_noise_dbm (double bandwidth_hz, double noise_factor)
{
  if (!(bandwidth_hz > 0) || !(noise_factor > 0))
    return (double) NAN;
  return 10 * log10 (boltzmann_j_per_k * room_k * bandwidth_hz * noise_factor) + 30;
}

double
dwn_power_of_field_dbm (double field_dbuv_m, double mhz, double gain_dbi)
{
  if (!(mhz > 0))
    return (double) NAN;
  return field_dbuv_m - 20 * log10 (mhz) - isotropic_constant_db + gain_dbi;
}

double
dwn_field_of_power_dbuv_m (double power_dbm, double mhz, double gain_dbi)
{
  if (!(mhz > 0))
    return (double) NAN;
  return power_dbm + 20 * log10 (mhz) + isotropic_constant_db - gain_dbi;
}
