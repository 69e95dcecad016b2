#include "core/plan/survey.h"

#include <glib/gi18n-lib.h>
#include <math.h>


static void
path_clear (gpointer data)
{
  DwnPath *path = data;

  dwn_profile_unref ((DwnProfile *) path->profile);
}

static void
add_gaps (DwnTerrainGaps *sum, const DwnTerrainGaps *one)
{
  sum->n_samples += one->n_samples;
  sum->n_missing += one->n_missing;
  sum->n_interpolated += one->n_interpolated;
  if (one->absent_cells == NULL)
    return;

  g_autoptr (GStrvBuilder) cells = g_strv_builder_new ();
  for (char **cell = sum->absent_cells; cell != NULL && *cell != NULL; cell++)
    g_strv_builder_add (cells, *cell);
  for (char **cell = one->absent_cells; *cell != NULL; cell++)
    if (sum->absent_cells == NULL
        || !g_strv_contains ((const char *const *) sum->absent_cells, *cell))
      g_strv_builder_add (cells, *cell);
  g_strfreev (sum->absent_cells);
  sum->absent_cells = g_strv_builder_end (cells);
}

/* Appends the station's path: the tiles' where they know the whole way, otherwise the plan's own
 * where that is whole, otherwise the tiles' with its gaps. FALSE only when cancelled. */
static gboolean
survey_station (const DwnPlan *plan, const DwnStation *station, DwnTerrain *terrain, GArray *paths,
                DwnTerrainGaps *gaps, GCancellable *cancellable, GError **error)
{
  const DwnPath *own = dwn_paths_find (plan->paths, station->id);
  g_auto (DwnTerrainGaps) one = { 0 };
  g_autoptr (GError) reason = NULL;
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &station->at, &plan->site->at,
                                                        (double) INFINITY, &one, cancellable, &reason);

  if (g_error_matches (reason, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    {
      g_propagate_error (error, g_steal_pointer (&reason));
      return FALSE;
    }
  gboolean keep_own = own != NULL && dwn_profile_is_complete (own->profile)
                      && (profile == NULL || !dwn_profile_is_complete (profile));
  if (profile != NULL)
    add_gaps (gaps, &one);
  if (profile == NULL && !keep_own)
    return TRUE;
  if (!keep_own && one.n_missing == one.n_samples)
    return TRUE;
  DwnPath path = {
    .station = station->id,
    .profile = dwn_profile_ref (keep_own ? own->profile : profile),
    .crest = own != NULL ? own->crest : NULL,
    .source = keep_own ? own->source : g_intern_static_string ("elevation tiles"),
  };
  g_array_append_val (paths, path);
  return TRUE;
}

static gboolean
survey_stations (const DwnPlan *plan, DwnTerrain *terrain, GArray *paths, DwnTerrainGaps *gaps,
                 GCancellable *cancellable, DwnSurveyProgress progress, gpointer user_data,
                 GError **error)
{
  for (guint i = 0; i < plan->stations->n; i++)
    {
      if (!survey_station (plan, &plan->stations->station[i], terrain, paths, gaps, cancellable, error))
        return FALSE;
      if (progress != NULL)
        progress ((i + 1.0) / (plan->stations->n + 1.0), user_data);
    }
  return TRUE;
}

/* NaN elevations (nothing known that way) would not be a skyline: then there is none. */
static gboolean
find_skyline (const DwnPlan *plan, DwnTerrain *terrain, double skyline_deg[360],
              GCancellable *cancellable)
{
  if (!dwn_terrain_skyline (terrain, &plan->site->at, plan->site->height_m, 360, skyline_deg, NULL,
                            NULL, cancellable, NULL))
    return FALSE;
  for (guint i = 0; i < 360; i++)
    if (isnan (skyline_deg[i]))
      return FALSE;
  return TRUE;
}

static DwnSite *
site_on_ground (const DwnPlan *plan, DwnTerrain *terrain)
{
  DwnSite site = *plan->site;

  if (isnan (site.ground_m))
    site.ground_m = dwn_terrain_height_m (terrain, &site.at);
  return dwn_site_new (&site);
}

DwnPlan *
dwn_plan_survey (const DwnPlan *plan, DwnTerrain *terrain, DwnTerrainGaps *gaps,
                 GCancellable *cancellable, DwnSurveyProgress progress, gpointer user_data,
                 GError **error)
{
  g_return_val_if_fail (plan != NULL && terrain != NULL, NULL);

  g_auto (DwnTerrainGaps) own_gaps = { 0 };
  g_autoptr (GArray) paths = g_array_new (FALSE, FALSE, sizeof (DwnPath));
  double skyline_deg[360];

  g_array_set_clear_func (paths, path_clear);
  if (!survey_stations (plan, terrain, paths, gaps != NULL ? gaps : &own_gaps, cancellable, progress,
                        user_data, error))
    return NULL;
  gboolean has_skyline = find_skyline (plan, terrain, skyline_deg, cancellable);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  if (progress != NULL)
    progress (1.0, user_data);
  g_autoptr (DwnPaths) surveyed = dwn_paths_new (paths->len, (const DwnPath *) (gpointer) paths->data,
                                                 has_skyline ? skyline_deg : plan->paths->skyline_deg);
  g_autoptr (DwnSite) site = site_on_ground (plan, terrain);
  DwnPlan parts = *plan;

  parts.paths = surveyed;
  parts.site = site;
  return dwn_plan_new (&parts);
}
