/* The horizon all around a house. */
#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/terrain/terrain-private.h"

#define FARTHEST_M 100000.0
#define EFFECTIVE_RADIUS_M (DWN_EARTH_RADIUS_M * 4.0 / 3.0)
#define STEP_WITHOUT_TILES_M 90.0
#define LEAST_STEP_M 10.0
/* Half the width, at any distance, of what 1/7 of a degree covers: a ridge is not stepped over. */
#define STEP_SHARE (1.0 / 400.0)

/* A distance, the same on all radials, as an angle at the centre of the earth. */
typedef struct {
  double distance_m;
  double cosine;
  double sine;
} Reach;

static GArray *
list_reaches (double step_m)
{
  GArray *reaches = g_array_new (FALSE, FALSE, sizeof (Reach));

  for (double d_m = step_m; d_m <= FARTHEST_M; d_m += MAX (step_m, d_m * STEP_SHARE))
    {
      double angle = d_m / EFFECTIVE_RADIUS_M;
      Reach reach = { d_m, cos (angle), sin (angle) };

      g_array_append_val (reaches, reach);
    }
  return reaches;
}

/* The steepest line of sight over all that is known on one radial; its tangent. */
static double
find_horizon (DwnSampler *sampler, const DwnLatLon *at, double antenna_amsl_m, double bearing_deg,
              const GArray *reaches, DwnGapCounter *counter, double *horizon_m)
{
  double steepest = -INFINITY;
  DwnTrack track;

  *horizon_m = (double) NAN;
  dwn_track_init (&track, at, bearing_deg, FARTHEST_M);
  for (guint i = 0; i < reaches->len; i++)
    {
      const Reach *reach = &g_array_index (reaches, Reach, i);
      DwnLatLon place;
      gboolean filled;

      dwn_track_get_point (&track, reach->distance_m, &place);

      double height_m = dwn_sampler_height_m (sampler, &place, &filled);
      double radius_m = EFFECTIVE_RADIUS_M + height_m;
      double rise_m = radius_m * reach->cosine - (EFFECTIVE_RADIUS_M + antenna_amsl_m);
      double slope = rise_m / (radius_m * reach->sine);

      dwn_gap_counter_add (counter, &place, reach->distance_m, height_m, filled);
      if (!(slope > steepest)) /* false for NaN */
        continue;
      steepest = slope;
      *horizon_m = reach->distance_m;
    }
  return isnan (*horizon_m) ? (double) NAN : steepest;
}

static gboolean
walk_around (DwnSampler *sampler, const DwnLatLon *at, double antenna_amsl_m, gsize n_bearings,
             double *elevation_deg, double *distance_m, DwnGapCounter *counter,
             GCancellable *cancellable, GError **error)
{
  double step_m = dwn_sampler_step_m (sampler, at);
  g_autoptr (GArray) reaches = list_reaches (isnan (step_m) ? STEP_WITHOUT_TILES_M
                                                            : MAX (step_m, LEAST_STEP_M));

  for (gsize i = 0; i < n_bearings; i++)
    {
      double bearing_deg = 360.0 * (double) i / (double) n_bearings;
      double horizon_m;

      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        return FALSE;

      double slope = find_horizon (sampler, at, antenna_amsl_m, bearing_deg, reaches, counter,
                                   &horizon_m);

      if (elevation_deg != NULL)
        elevation_deg[i] = atan (slope) * (180.0 / G_PI);
      if (distance_m != NULL)
        distance_m[i] = horizon_m;
    }
  return TRUE;
}

static gboolean
refuse_place (const DwnLatLon *at, GError **error)
{
  g_autofree char *cell = fabs (at->lat_deg) <= 90.0 && fabs (at->lon_deg) <= 180.0
                            ? dwn_tile_index_dup_cell_name (dwn_tile_index_get_cell (at))
                            : g_strdup ("?");

  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NO_DATA,
               _("no elevation tile knows the ground at %.5f, %.5f; the folder needs %s"),
               at->lat_deg, at->lon_deg, cell);
  return FALSE;
}

gboolean
dwn_terrain_skyline (DwnTerrain *terrain, const DwnLatLon *at, double height_agl_m,
                     gsize n_bearings, double *elevation_deg, double *distance_m,
                     DwnTerrainGaps *gaps, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (terrain != NULL && at != NULL && isfinite (height_agl_m), FALSE);

  g_auto (DwnSampler) sampler = { 0 };
  DwnGapCounter counter;
  gboolean filled;

  dwn_sampler_init (&sampler, terrain);

  double ground_m = dwn_sampler_height_m (&sampler, at, &filled);

  if (isnan (ground_m))
    return refuse_place (at, error);
  dwn_gap_counter_init (&counter, &sampler, gaps);

  gboolean done = walk_around (&sampler, at, ground_m + height_agl_m, n_bearings, elevation_deg,
                               distance_m, &counter, cancellable, error);

  dwn_gap_counter_finish (&counter);
  return done;
}
