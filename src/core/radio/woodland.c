#include "core/radio/woodland.h"

#include <math.h>

#include "core/data/ini.h"

struct _DwnWoodland {
  GArray *mhz, *gamma_db_m, *limit_db; /* of double, equally long */
  double bare_share;                   /* of γ without leaves */
  double tree_db[DWN_N_BANDS];         /* in leaf */
  double sd_share;
};

static void
free_arrays (gpointer data)
{
  DwnWoodland *woodland = data;

  g_clear_pointer (&woodland->mhz, g_array_unref);
  g_clear_pointer (&woodland->gamma_db_m, g_array_unref);
  g_clear_pointer (&woodland->limit_db, g_array_unref);
}

DwnWoodland *
dwn_woodland_ref (const DwnWoodland *woodland)
{
  return g_atomic_rc_box_acquire ((DwnWoodland *) woodland);
}

void
dwn_woodland_unref (DwnWoodland *woodland)
{
  g_atomic_rc_box_release_full (woodland, free_arrays);
}

static double
at (const GArray *array, guint i)
{
  return g_array_index (array, double, i);
}

static gboolean
check_nodes (const DwnIni *ini, const DwnWoodland *woodland, GError **error)
{
  guint n = woodland->mhz->len;

  if (n < 2 || woodland->gamma_db_m->len != n || woodland->limit_db->len != n)
    {
      dwn_ini_refuse (ini, "in-leaf", "mhz", error,
                      "two or more frequencies, and as many figures of gamma and limit");
      return FALSE;
    }
  for (guint i = 1; i < n; i++)
    if (!(at (woodland->mhz, i) > at (woodland->mhz, i - 1)))
      {
        dwn_ini_refuse (ini, "in-leaf", "mhz", error, "the frequencies have to rise");
        return FALSE;
      }
  return TRUE;
}

static DwnWoodland *
woodland_of_ini (const DwnIni *ini, GError **error)
{
  g_autoptr (DwnWoodland) woodland = g_atomic_rc_box_new0 (DwnWoodland);

  woodland->mhz = dwn_ini_numbers (ini, "in-leaf", "mhz", 1, 1e5, error);
  if (woodland->mhz == NULL)
    return NULL;
  woodland->gamma_db_m = dwn_ini_numbers (ini, "in-leaf", "gamma", 1e-6, 100, error);
  if (woodland->gamma_db_m == NULL)
    return NULL;
  woodland->limit_db = dwn_ini_numbers (ini, "in-leaf", "limit", 0.1, 200, error);
  if (woodland->limit_db == NULL || !check_nodes (ini, woodland, error))
    return NULL;
  if (!dwn_ini_number (ini, "bare", "gamma-share", 0, 1, &woodland->bare_share, error)
      || !dwn_ini_number (ini, "spread", "sd-share", 0, 2, &woodland->sd_share, error))
    return NULL;
  for (DwnBand band = 0; band < DWN_N_BANDS; band++)
    if (!dwn_ini_number (ini, "tree", dwn_band_id (band), 0, 100, &woodland->tree_db[band], error))
      return NULL;
  return g_steal_pointer (&woodland);
}

DwnWoodland *
dwn_woodland_new (GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data ("radio/woodland.ini", error);

  return ini == NULL ? NULL : woodland_of_ini (ini, error);
}

DwnWoodland *
dwn_woodland_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini == NULL ? NULL : woodland_of_ini (ini, error);
}

/* The straight line between two neighbours in double logarithmic scale. */
static double
power_law (const GArray *x, const GArray *y, double wanted_x)
{
  guint i = 1;

  while (i + 1 < x->len && wanted_x > at (x, i))
    i++;

  double share = log (wanted_x / at (x, i - 1)) / log (at (x, i) / at (x, i - 1));

  return at (y, i - 1) * pow (at (y, i) / at (y, i - 1), share);
}

double
dwn_woodland_loss_db (const DwnWoodland *woodland, double mhz, double depth_m, gboolean leaves)
{
  g_return_val_if_fail (woodland != NULL, (double) NAN);

  if (!(mhz > 0) || !(depth_m >= 0))
    return (double) NAN;

  double gamma_db_m = power_law (woodland->mhz, woodland->gamma_db_m, mhz);
  double limit_db = power_law (woodland->mhz, woodland->limit_db, mhz);

  if (!leaves)
    gamma_db_m *= woodland->bare_share;
  return -limit_db * expm1 (-gamma_db_m * depth_m / limit_db);
}

double
dwn_woodland_tree_db (const DwnWoodland *woodland, DwnBand band, gboolean leaves)
{
  g_return_val_if_fail (woodland != NULL && band < DWN_N_BANDS, (double) NAN);

  return woodland->tree_db[band] * (leaves ? 1.0 : woodland->bare_share);
}

double
dwn_woodland_sd_db (const DwnWoodland *woodland, double loss_db)
{
  g_return_val_if_fail (woodland != NULL, (double) NAN);

  return woodland->sd_share * loss_db;
}
