/* Heights along a path, and height above average terrain. */
#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/geo/geodesic.h"
#include "core/terrain/terrain-private.h"

#define FARTHEST_M 1e6
#define NEAREST_M 0.001
#define MOST_STEPS 20000
#define STEP_WITHOUT_TILES_M 90.0
#define SCOUT_STEP_M 1000.0
#define CANCEL_EVERY 256

#define HAAT_FROM_M 3000.0
#define HAAT_TO_M 16000.0
#define MEAN_STEP_M 100.0 /* 130 steps a radial where 47 CFR 73.313 (d) asks for 50 points */
#define KNOWN_SHARE 0.9

static gboolean
find_way (const DwnLatLon *from, const DwnLatLon *to, DwnTrack *track, GError **error)
{
  double distance_m, bearing_deg;

  if (!dwn_geodesic_inverse (from, to, &distance_m, &bearing_deg, NULL, error))
    return FALSE;
  if (distance_m < NEAREST_M || distance_m > FARTHEST_M)
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_PATH,
                   _("a path of %.3f km has no profile; it should be between 1 mm and %.0f km"),
                   distance_m / 1000.0, FARTHEST_M / 1000.0);
      return FALSE;
    }
  dwn_track_init (track, from, bearing_deg, distance_m);
  return TRUE;
}

/* The smallest step of the tiles along the way, looked for every kilometre. */
static double
scout_step_m (const DwnSampler *sampler, DwnTrack *track)
{
  gsize n = (gsize) ceil (track->length_m / SCOUT_STEP_M);
  double step_m = (double) NAN;

  for (gsize i = 0; i <= n; i++)
    {
      DwnLatLon at;

      dwn_track_get_point (track, track->length_m * (double) i / (double) n, &at);
      step_m = fmin (step_m, dwn_sampler_step_m (sampler, &at)); /* passes over NaN */
    }
  return isnan (step_m) ? STEP_WITHOUT_TILES_M : step_m;
}

static gboolean
sample_way (DwnSampler *sampler, DwnTrack *track, const DwnLatLon *to, gsize n, double *distance_m,
            double *height_m, DwnGapCounter *counter, GCancellable *cancellable, GError **error)
{
  for (gsize i = 0; i < n; i++)
    {
      gboolean filled;
      DwnLatLon at = *to;

      if (i % CANCEL_EVERY == 0 && g_cancellable_set_error_if_cancelled (cancellable, error))
        return FALSE;
      distance_m[i] = track->length_m * ((double) i / (double) (n - 1)); /* exact at the end */
      if (i < n - 1)
        dwn_track_get_point (track, distance_m[i], &at);
      height_m[i] = dwn_sampler_height_m (sampler, &at, &filled);
      dwn_gap_counter_add (counter, &at, distance_m[i], height_m[i], filled);
    }
  return TRUE;
}

DwnProfile *
dwn_terrain_profile (DwnTerrain *terrain, const DwnLatLon *from, const DwnLatLon *to,
                     double max_step_m, DwnTerrainGaps *gaps, GCancellable *cancellable,
                     GError **error)
{
  g_return_val_if_fail (terrain != NULL && from != NULL && to != NULL, NULL);
  g_return_val_if_fail (max_step_m > 0.0, NULL);

  g_auto (DwnSampler) sampler = { 0 };
  DwnGapCounter counter;
  DwnTrack track;

  if (!find_way (from, to, &track, error))
    return NULL;
  dwn_sampler_init (&sampler, terrain);

  double step_m = fmin (max_step_m, scout_step_m (&sampler, &track));
  gsize n = (gsize) CLAMP (ceil (track.length_m / step_m), 1.0, (double) MOST_STEPS) + 1;
  g_autofree double *distance_m = g_new (double, n);
  g_autofree double *height_m = g_new (double, n);

  dwn_gap_counter_init (&counter, &sampler, gaps);

  gboolean done = sample_way (&sampler, &track, to, n, distance_m, height_m, &counter,
                              cancellable, error);

  dwn_gap_counter_finish (&counter);
  return done ? dwn_profile_new (n, distance_m, height_m, NULL, NULL, error) : NULL;
}

static double
mean_along_m (DwnSampler *sampler, const DwnLatLon *at, double bearing_deg, double from_m,
              double to_m, DwnGapCounter *counter)
{
  gsize n_steps = MAX (1, (gsize) ceil ((to_m - from_m) / MEAN_STEP_M));
  gsize n_known = 0;
  double sum_m = 0.0;
  DwnTrack track;

  if (!(fabs (at->lat_deg) <= 90.0) || !isfinite (at->lon_deg) || !isfinite (bearing_deg))
    return (double) NAN;
  dwn_track_init (&track, at, bearing_deg, to_m);
  for (gsize i = 0; i <= n_steps; i++)
    {
      double distance_m = from_m + (to_m - from_m) * (double) i / (double) n_steps;
      DwnLatLon place;
      gboolean filled;

      dwn_track_get_point (&track, distance_m, &place);

      double height_m = dwn_sampler_height_m (sampler, &place, &filled);

      dwn_gap_counter_add (counter, &place, distance_m, height_m, filled);
      if (isnan (height_m))
        continue;
      sum_m += height_m;
      n_known++;
    }
  return (double) n_known >= KNOWN_SHARE * (double) (n_steps + 1) ? sum_m / (double) n_known
                                                                  : (double) NAN;
}

double
dwn_terrain_mean_m (DwnTerrain *terrain, const DwnLatLon *at, double bearing_deg, double from_m,
                    double to_m, DwnTerrainGaps *gaps)
{
  g_return_val_if_fail (terrain != NULL && at != NULL, (double) NAN);
  g_return_val_if_fail (from_m >= 0.0 && to_m > from_m && to_m <= FARTHEST_M, (double) NAN);

  g_auto (DwnSampler) sampler = { 0 };
  DwnGapCounter counter;

  dwn_sampler_init (&sampler, terrain);
  dwn_gap_counter_init (&counter, &sampler, gaps);

  double mean_m = mean_along_m (&sampler, at, bearing_deg, from_m, to_m, &counter);

  dwn_gap_counter_finish (&counter);
  return mean_m;
}

double
dwn_terrain_haat_m (DwnTerrain *terrain, const DwnLatLon *at, double antenna_amsl_m,
                    double radial_m[DWN_TERRAIN_HAAT_RADIALS], DwnTerrainGaps *gaps)
{
  g_return_val_if_fail (terrain != NULL && at != NULL, (double) NAN);

  g_auto (DwnSampler) sampler = { 0 };
  DwnGapCounter counter;
  double sum_m = 0.0;

  dwn_sampler_init (&sampler, terrain);
  dwn_gap_counter_init (&counter, &sampler, gaps);
  for (int i = 0; i < DWN_TERRAIN_HAAT_RADIALS; i++)
    {
      double bearing_deg = 360.0 * i / DWN_TERRAIN_HAAT_RADIALS;
      double height_m = antenna_amsl_m - mean_along_m (&sampler, at, bearing_deg, HAAT_FROM_M,
                                                       HAAT_TO_M, &counter);

      if (radial_m != NULL)
        radial_m[i] = height_m;
      sum_m += height_m;
    }
  dwn_gap_counter_finish (&counter);
  return sum_m / DWN_TERRAIN_HAAT_RADIALS;
}
