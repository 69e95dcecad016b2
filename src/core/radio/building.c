#include "core/radio/building.h"

#include <math.h>
#include <string.h>

#include "core/data/ini.h"
#include "core/radio/normal.h"

#define HIGHEST_MHZ 100000

/* Table 1 of ITU-R P.2109-2, by its letters. */
typedef struct {
  double r, s, t; /* median of the ordinary way in */
  double u, v;    /* its spread */
  double w, x;    /* mean of the way through windows and the like */
  double y, z;    /* its spread */
} Coefficients;

static const Coefficients coefficients[DWN_N_BUILDINGS] = {
  [DWN_BUILDING_TRADITIONAL] = { 12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0 },
  [DWN_BUILDING_EFFICIENT] = { 28.19, -3.00, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1 },
};

static const char *const building_ids[DWN_N_BUILDINGS] = {
  [DWN_BUILDING_TRADITIONAL] = "traditional",
  [DWN_BUILDING_EFFICIENT] = "efficient",
};

struct _DwnRoofTable {
  GArray *roofs; /* of DwnRoof, with strings of their own */
};

const char *
dwn_building_id (DwnBuilding building)
{
  g_return_val_if_fail (building < DWN_N_BUILDINGS, NULL);

  return building_ids[building];
}

gboolean
dwn_building_from_id (const char *id, DwnBuilding *building)
{
  g_return_val_if_fail (id != NULL && building != NULL, FALSE);

  for (gsize i = 0; i < DWN_N_BUILDINGS; i++)
    if (strcmp (id, building_ids[i]) == 0)
      {
        *building = (DwnBuilding) i;
        return TRUE;
      }
  return FALSE;
}

double
dwn_building_entry_loss_db (DwnBuilding building, double mhz, double elevation_deg,
                            double probability_pct)
{
  g_return_val_if_fail (building < DWN_N_BUILDINGS, (double) NAN);

  if (!(mhz >= DWN_BUILDING_LOWEST_MHZ && mhz <= HIGHEST_MHZ) || !(fabs (elevation_deg) <= 90)
      || !(probability_pct > 0 && probability_pct < 100))
    return (double) NAN;

  const Coefficients *c = &coefficients[building];
  double log_f = log10 (mhz / 1000);
  double z = dwn_normal_quantile (probability_pct / 100);
  double median_db = c->r + c->s * log_f + c->t * log_f * log_f + 0.212 * fabs (elevation_deg);
  double a_db = median_db + z * (c->u + c->v * log_f);
  double b_db = c->w + c->x * log_f + z * (c->y + c->z * log_f);

  return 10 * log10 (pow (10, 0.1 * a_db) + pow (10, 0.1 * b_db) + pow (10, -0.3));
}

double
dwn_building_median_db (DwnBuilding building, double mhz)
{
  if (!(mhz > 0))
    return (double) NAN;
  return dwn_building_entry_loss_db (building, fmax (mhz, DWN_BUILDING_LOWEST_MHZ), 0, 50);
}

double
dwn_building_sd_db (DwnBuilding building, double mhz)
{
  double from_mhz = fmax (mhz, DWN_BUILDING_LOWEST_MHZ);

  if (!(mhz > 0))
    return (double) NAN;
  return (dwn_building_entry_loss_db (building, from_mhz, 0, 90)
          - dwn_building_entry_loss_db (building, from_mhz, 0, 10))
         / (2 * dwn_normal_quantile (0.9));
}

static void
clear_roof (gpointer data)
{
  DwnRoof *roof = data;

  g_free ((char *) roof->id);
  g_free ((char *) roof->name);
  g_free ((char *) roof->source);
}

static gboolean
read_roof (const DwnIni *ini, const char *group, DwnRoof *roof, GError **error)
{
  const char *name = dwn_ini_string (ini, group, "name", error);
  const char *source = name == NULL ? NULL : dwn_ini_string (ini, group, "source", error);

  if (source == NULL)
    return FALSE;
  for (DwnBand band = 0; band < DWN_N_BANDS; band++)
    if (!dwn_ini_number (ini, group, dwn_band_id (band), 0, 100, &roof->loss_db[band], error))
      return FALSE;
  if (!dwn_ini_number (ini, group, "sd", 0, 30, &roof->sd_db, error)
      || !dwn_ini_flag (ini, group, "common-practice", &roof->common_practice, error))
    return FALSE;
  roof->id = g_strdup (group);
  roof->name = g_strdup (name);
  roof->source = g_strdup (source);
  return TRUE;
}

static DwnRoofTable *
table_of_ini (const DwnIni *ini, GError **error)
{
  g_autoptr (DwnRoofTable) table = g_atomic_rc_box_new0 (DwnRoofTable);
  gsize n;
  const char *const *groups = dwn_ini_groups (ini, &n);

  table->roofs = g_array_new (FALSE, TRUE, sizeof (DwnRoof));
  g_array_set_clear_func (table->roofs, clear_roof);
  for (gsize i = 0; i < n; i++)
    {
      DwnRoof roof = { .id = NULL };

      if (!read_roof (ini, groups[i], &roof, error))
        return NULL;
      g_array_append_val (table->roofs, roof);
    }
  return g_steal_pointer (&table);
}

DwnRoofTable *
dwn_roof_table_new (GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data ("radio/building.ini", error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnRoofTable *
dwn_roof_table_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnRoofTable *
dwn_roof_table_ref (const DwnRoofTable *table)
{
  return g_atomic_rc_box_acquire ((DwnRoofTable *) table);
}

static void
free_roofs (gpointer data)
{
  DwnRoofTable *table = data;

  g_array_unref (table->roofs);
}

void
dwn_roof_table_unref (DwnRoofTable *table)
{
  g_atomic_rc_box_release_full (table, free_roofs);
}

const DwnRoof *
dwn_roof_table_roofs (const DwnRoofTable *table, gsize *n)
{
  g_return_val_if_fail (table != NULL && n != NULL, NULL);

  *n = table->roofs->len;
  return (const DwnRoof *) (void *) table->roofs->data;
}

const DwnRoof *
dwn_roof_table_find (const DwnRoofTable *table, const char *id)
{
  g_return_val_if_fail (table != NULL && id != NULL, NULL);

  for (guint i = 0; i < table->roofs->len; i++)
    {
      const DwnRoof *roof = &g_array_index (table->roofs, DwnRoof, i);

      if (strcmp (roof->id, id) == 0)
        return roof;
    }
  return NULL;
}
