#include "core/radio/clutter.h"

#include <math.h>
#include <string.h>

#include "core/radio/knife-edge.h"

static const struct {
  const char *id;
  double height_m;
  gboolean edges; /* the wave comes over an edge; otherwise the ground takes from it */
} kinds[DWN_N_CLUTTERS] = {
  [DWN_CLUTTER_WATER] = { "water", 10, FALSE },
  [DWN_CLUTTER_OPEN] = { "open", 10, FALSE },
  [DWN_CLUTTER_SUBURBAN] = { "suburban", 10, TRUE },
  [DWN_CLUTTER_URBAN] = { "urban", 15, TRUE },
  [DWN_CLUTTER_WOOD] = { "wood", 15, TRUE },
  [DWN_CLUTTER_DENSE_URBAN] = { "dense-urban", 20, TRUE },
};

const char *
dwn_clutter_id (DwnClutter clutter)
{
  g_return_val_if_fail (clutter < DWN_N_CLUTTERS, NULL);

  return kinds[clutter].id;
}

gboolean
dwn_clutter_from_id (const char *id, DwnClutter *clutter)
{
  g_return_val_if_fail (id != NULL && clutter != NULL, FALSE);

  for (gsize i = 0; i < DWN_N_CLUTTERS; i++)
    if (strcmp (id, kinds[i].id) == 0)
      {
        *clutter = (DwnClutter) i;
        return TRUE;
      }
  return FALSE;
}

double
dwn_clutter_height_m (DwnClutter clutter)
{
  g_return_val_if_fail (clutter < DWN_N_CLUTTERS, (double) NAN);

  return kinds[clutter].height_m;
}

double
dwn_clutter_loss_db (DwnClutter clutter, double mhz, double antenna_agl_m, double height_m,
                     double street_m)
{
  g_return_val_if_fail (clutter < DWN_N_CLUTTERS, (double) NAN);

  if (!(mhz >= 30 && mhz <= 3000) || !(antenna_agl_m > 0 && height_m > 0 && street_m > 0))
    return (double) NAN;
  if (antenna_agl_m >= height_m)
    return 0;

  double f_ghz = mhz / 1000;
  double below_m = height_m - antenna_agl_m;
  double angle_deg = atan (below_m / street_m) * 180 / G_PI;

  if (!kinds[clutter].edges)
    return -(21.8 + 6.2 * log10 (f_ghz)) * log10 (antenna_agl_m / height_m);
  return dwn_knife_edge_loss_db (0.342 * sqrt (f_ghz * below_m * angle_deg)) - 6.03;
}
