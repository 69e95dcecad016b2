#include "core/radio/clearance.h"

#include <math.h>

#define EARTH_RADIUS_M 6371e3
#define LIGHT_M_PER_US 299.792458

typedef struct {
  const DwnProfile *profile;
  double total_m;
  double tx_m, rx_m; /* antennas above mean sea level */
  double mhz;
  double radius_m;   /* of the effective earth */
} Path;

/* One sample between the ends, measured against the line. */
typedef struct {
  double top_m, clearance_m, ratio;
} Sample;

double
dwn_fresnel_radius_m (double near_m, double far_m, double mhz)
{
  if (!(near_m > 0 && far_m > 0 && mhz > 0))
    return (double) NAN;
  return sqrt (LIGHT_M_PER_US / mhz * near_m * far_m / (near_m + far_m));
}

const char *
dwn_path_class_id (DwnPathClass class)
{
  static const char *const ids[] = { "unknown", "clear", "grazing", "blocked" };

  g_return_val_if_fail ((guint) class < G_N_ELEMENTS (ids), NULL);

  return ids[class];
}

static DwnPathClass
class_of_ratio (double ratio)
{
  if (ratio < 0)
    return DWN_PATH_BLOCKED;
  return ratio < DWN_GRAZING_RATIO ? DWN_PATH_GRAZING : DWN_PATH_CLEAR;
}

static double
top_m (const DwnProfile *profile, gsize i)
{
  return profile->height_m[i] + (profile->clutter_m != NULL ? profile->clutter_m[i] : 0.0);
}

static Sample
measure (const Path *path, gsize i)
{
  double near_m = path->profile->distance_m[i];
  double far_m = path->total_m - near_m;
  double line_m = (path->tx_m * far_m + path->rx_m * near_m) / path->total_m;
  double bulge_m = near_m * far_m / (2 * path->radius_m);
  Sample sample = { .top_m = top_m (path->profile, i) };

  sample.clearance_m = line_m - bulge_m - sample.top_m;
  sample.ratio = sample.clearance_m / dwn_fresnel_radius_m (near_m, far_m, path->mhz);
  return sample;
}

static gboolean
path_init (Path *path, const DwnProfile *profile, double tx_agl_m, double rx_agl_m, double mhz,
           double k_factor)
{
  gsize last = profile->n - 1;

  if (profile->n < 3 || !(mhz > 0 && isfinite (mhz)) || !(k_factor > 0))
    return FALSE;
  if (!isfinite (tx_agl_m) || !isfinite (rx_agl_m))
    return FALSE;
  for (gsize i = 0; i < profile->n; i++)
    if (!isfinite (top_m (profile, i)))
      return FALSE;

  path->profile = profile;
  path->total_m = profile->distance_m[last];
  path->tx_m = profile->height_m[0] + tx_agl_m;
  path->rx_m = profile->height_m[last] + rx_agl_m;
  path->mhz = mhz;
  path->radius_m = k_factor * EARTH_RADIUS_M;
  return TRUE;
}

static void
forget (DwnClearance *out)
{
  const double nan = (double) NAN;
  const DwnHorizon no_horizon = { nan, nan, nan };

  *out = (DwnClearance) { .class = DWN_PATH_UNKNOWN, .clearance_m = nan, .distance_m = nan,
                          .fresnel_m = nan, .ratio = nan, .tx = no_horizon, .rx = no_horizon };
}

static void
find_worst (const Path *path, DwnClearance *out)
{
  gsize worst = 1;
  Sample least = measure (path, worst);

  for (gsize i = 2; i + 1 < path->profile->n; i++)
    {
      Sample sample = measure (path, i);

      if (sample.ratio < least.ratio)
        {
          least = sample;
          worst = i;
        }
    }
  out->class = class_of_ratio (least.ratio);
  out->clearance_m = least.clearance_m;
  out->ratio = least.ratio;
  out->distance_m = path->profile->distance_m[worst];
  out->fresnel_m = dwn_fresnel_radius_m (out->distance_m, path->total_m - out->distance_m,
                                         path->mhz);
}

/* Elevation of a point @rise_m higher and @away_m away, over the effective earth. */
static double
elevation_deg (double rise_m, double away_m, double radius_m)
{
  return atan (rise_m / away_m - away_m / (2 * radius_m)) * 180 / G_PI;
}

static void
find_horizons (const Path *path, DwnClearance *out)
{
  double rise_m = path->rx_m - path->tx_m;

  out->tx = (DwnHorizon) { .elevation_deg = -90,
    .line_deg = elevation_deg (rise_m, path->total_m, path->radius_m) };
  out->rx = (DwnHorizon) { .elevation_deg = -90,
    .line_deg = elevation_deg (-rise_m, path->total_m, path->radius_m) };
  for (gsize i = 1; i + 1 < path->profile->n; i++)
    {
      double near_m = path->profile->distance_m[i];
      double far_m = path->total_m - near_m;
      double top = top_m (path->profile, i);
      double from_tx_deg = elevation_deg (top - path->tx_m, near_m, path->radius_m);
      double from_rx_deg = elevation_deg (top - path->rx_m, far_m, path->radius_m);

      if (from_tx_deg > out->tx.elevation_deg)
        out->tx = (DwnHorizon) { from_tx_deg, near_m, out->tx.line_deg };
      if (from_rx_deg > out->rx.elevation_deg)
        out->rx = (DwnHorizon) { from_rx_deg, far_m, out->rx.line_deg };
    }
}

/* Keeps the order of the path; when the list is full the mildest one gives way. */
static void
add_obstruction (DwnClearance *out, const DwnObstruction *one)
{
  guint mildest = 0;

  if (out->n_obstructions < DWN_MAX_OBSTRUCTIONS)
    {
      out->obstruction[out->n_obstructions++] = *one;
      return;
    }
  for (guint i = 1; i < out->n_obstructions; i++)
    if (out->obstruction[i].ratio > out->obstruction[mildest].ratio)
      mildest = i;
  if (one->ratio >= out->obstruction[mildest].ratio)
    return;
  for (guint i = mildest; i + 1 < out->n_obstructions; i++)
    out->obstruction[i] = out->obstruction[i + 1];
  out->obstruction[out->n_obstructions - 1] = *one;
}

/* The run of samples from @first whose ratio stays under @limit, as one obstruction; returns the
 * sample behind it. */
static gsize
run_from (const Path *path, gsize first, double limit, DwnObstruction *run)
{
  const double *distance_m = path->profile->distance_m;
  gsize i;

  *run = (DwnObstruction) { .from_m = distance_m[first], .ratio = (double) INFINITY };
  for (i = first; i + 1 < path->profile->n; i++)
    {
      Sample sample = measure (path, i);

      if (!(sample.ratio < limit))
        break;
      run->to_m = distance_m[i];
      if (sample.ratio >= run->ratio)
        continue;
      run->distance_m = distance_m[i];
      run->top_m = sample.top_m;
      run->clearance_m = sample.clearance_m;
      run->ratio = sample.ratio;
    }
  run->class = class_of_ratio (run->ratio);
  return i;
}

/* Ground that grazes is named on its own only where nothing within the same run stands above the
 * line: the foot of a hill is no second obstruction. */
static void
find_obstructions (const Path *path, DwnClearance *out)
{
  gsize i = 1;

  while (i + 1 < path->profile->n)
    {
      DwnObstruction run;
      gsize end = run_from (path, i, DWN_GRAZING_RATIO, &run);

      if (end > i && run.class == DWN_PATH_GRAZING)
        add_obstruction (out, &run);
      for (gsize j = i; run.class == DWN_PATH_BLOCKED && j < end; )
        {
          DwnObstruction hill;
          gsize behind = run_from (path, j, 0.0, &hill);

          if (behind > j)
            add_obstruction (out, &hill);
          j = MAX (behind, j + 1);
        }
      i = MAX (end, i + 1);
    }
}

gboolean
dwn_clearance (const DwnProfile *profile, double tx_agl_m, double rx_agl_m, double mhz,
               double k_factor, DwnClearance *out)
{
  Path path;

  g_return_val_if_fail (profile != NULL, FALSE);
  g_return_val_if_fail (out != NULL, FALSE);

  forget (out);
  if (!path_init (&path, profile, tx_agl_m, rx_agl_m, mhz, k_factor))
    return FALSE;
  find_worst (&path, out);
  find_horizons (&path, out);
  find_obstructions (&path, out);
  return TRUE;
}
