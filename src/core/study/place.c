#include "core/study/place.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#include "core/geo/geodesic.h"
#include "core/study/readings.h"

/* What stays the same from place to place. */
typedef struct {
  const DwnPlan *plan;            /* as it stands */
  const DwnTables *tables;
  const double *aim_deg;
  DwnFieldShift *shifts;          /* (nullable): by readings where it stands */
} Study;

static void
study_init (Study *study, const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
            const double *aim_deg)
{
  *study = (Study) { plan, tables, aim_deg, dwn_readings_shifts (plan, predicted, tables) };
}

static void
study_clear (Study *study)
{
  g_free (study->shifts);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Study, study_clear)

static gboolean
is_asked_for (const DwnPlan *plan, guint service, gboolean any_wanted)
{
  return !any_wanted || plan->services->service[service].wanted != DWN_WANTED_NO;
}

static gboolean
wants_any (const DwnPlan *plan)
{
  for (guint s = 0; s < plan->services->n; s++)
    if (plan->services->service[s].wanted != DWN_WANTED_NO)
      return TRUE;
  return FALSE;
}

static const DwnReception *
weakest_reception (const DwnBudget *budget, guint station)
{
  return &budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]];
}

static DwnPlaceSum
sum_up (const DwnPlan *plan, const DwnBudget *budget)
{
  DwnPlaceSum sum = { 0, -1, (double) NAN };
  gboolean any_wanted = wants_any (plan);

  for (guint s = 0; s < plan->services->n && budget->n_outlets > 0; s++)
    {
      int best = is_asked_for (plan, s, any_wanted) ? dwn_best_station (plan, budget, s) : -1;

      if (best < 0)
        continue;
      sum.held += budget->held[best] ? 1 : 0;
      double margin_db = weakest_reception (budget, (guint) best)->margin_db;
      if (sum.weakest >= 0 && !(margin_db < sum.weakest_db))
        continue;
      sum.weakest = (int) s;
      sum.weakest_db = margin_db;
    }
  return sum;
}

static DwnPlaceView
view_of (const DwnFields *fields, const DwnBudget *budget, guint station)
{
  const double unknown = (double) NAN;
  const DwnArrival *arrival = &fields->arrival[station];
  gboolean known = arrival->path_class != DWN_PATH_UNKNOWN;
  DwnPlaceView view = {
    .field_dbuv_m = unknown, .margin_db = unknown, .sigma_db = unknown, .chance = unknown,
    .path_class = arrival->path_class,
    .clearance_m = known ? arrival->clearance.clearance_m : unknown,
    .ratio = known ? arrival->clearance.ratio : unknown,
  };

  if (budget->n_outlets == 0)
    return view;
  const DwnReception *reception = weakest_reception (budget, station);
  gsize at = (gsize) station * fields->n_antennas + reception->antenna;
  view.field_dbuv_m = fields->field[at].wanted;
  view.margin_db = reception->margin_db;
  view.sigma_db = reception->sigma_db;
  view.chance = reception->chance;
  return view;
}

/* Fills the views of one place, whose plan is @moved. FALSE with @error where cancelled. */
static gboolean
look_from (const Study *study, const DwnPlan *moved, DwnPlaceView *view, DwnPlaceSum *sum,
           GCancellable *cancellable, GError **error)
{
  g_autoptr (DwnFields) predicted = dwn_fields_new (moved, cancellable, error);
  if (predicted == NULL)
    return FALSE;
  g_autoptr (DwnFields) fields = study->shifts == NULL
                                 ? dwn_fields_ref (predicted)
                                 : dwn_fields_shifted (predicted, study->shifts);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (moved, fields, study->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, study->aim_deg);

  for (guint i = 0; i < budget->n_stations; i++)
    view[i] = view_of (fields, budget, i);
  *sum = sum_up (moved, budget);
  return TRUE;
}

/* The cables that come down from the mast, longer by @more_m. */
static DwnChain *
lengthen (const DwnChain *gear, double more_m)
{
  g_autofree DwnEdge *edges = g_memdup2 (gear->edge, gear->n_edges * sizeof *edges);

  for (guint e = 0; e < gear->n_edges; e++)
    if (gear->cable[e] != NULL && gear->part[edges[e].from_part].on_mast
        && !gear->part[edges[e].to_part].on_mast)
      edges[e].length_m = fmax (edges[e].length_m + more_m, 0.0);
  return dwn_chain_new (gear->list, gear->n_parts, gear->part, gear->n_edges, edges, NULL);
}

DwnPlan *
dwn_plan_raised (const DwnPlan *plan, double rise_m)
{
  g_return_val_if_fail (plan != NULL && isfinite (rise_m), NULL);

  DwnSite values = *plan->site;
  DwnPlan parts = *plan;

  values.height_m = fmax (values.height_m + rise_m, 1.0);
  g_autoptr (DwnSite) site = dwn_site_new (&values);
  g_autoptr (DwnChain) gear = lengthen (plan->gear, values.height_m - plan->site->height_m);
  parts.site = site;
  if (gear != NULL)
    parts.gear = gear;
  return dwn_plan_new (&parts);
}

static DwnRaise *
raise_alloc (guint n_stations, guint n, const double *rise_m)
{
  DwnRaise *raise = g_new0 (DwnRaise, 1);
  guint whole_metres = (guint) DWN_RAISE_MOST_M + 1;
  double *rises;

  raise->n = rise_m != NULL ? n : whole_metres;
  raise->n_stations = n_stations;
  raise->rise_m = rises = g_new (double, raise->n);
  raise->view = g_new0 (DwnPlaceView, (gsize) raise->n * n_stations);
  raise->sum = g_new0 (DwnPlaceSum, raise->n);
  for (guint k = 0; k < raise->n; k++)
    rises[k] = rise_m != NULL ? rise_m[k] : k;
  return raise;
}

DwnRaise *
dwn_raise_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
               const double *aim_deg, guint n, const double *rise_m, GCancellable *cancellable,
               GError **error)
{
  g_return_val_if_fail (predicted->n == plan->stations->n, NULL);

  g_auto (Study) study = { 0 };
  g_autoptr (DwnRaise) raise = raise_alloc (plan->stations->n, n, rise_m);

  study_init (&study, plan, predicted, tables, aim_deg);
  for (guint k = 0; k < raise->n; k++)
    {
      g_autoptr (DwnPlan) raised = dwn_plan_raised (plan, raise->rise_m[k]);

      if (!look_from (&study, raised, (DwnPlaceView *) &raise->view[(gsize) k * raise->n_stations],
                      (DwnPlaceSum *) &raise->sum[k], cancellable, error))
        return NULL;
    }
  return g_steal_pointer (&raise);
}

void
dwn_raise_free (DwnRaise *raise)
{
  g_free ((gpointer) raise->rise_m);
  g_free ((gpointer) raise->view);
  g_free ((gpointer) raise->sum);
  g_free (raise);
}

double
dwn_raise_holds_from_m (const DwnRaise *raise, guint station)
{
  double from_m = (double) NAN;

  g_return_val_if_fail (station < raise->n_stations, (double) NAN);

  for (guint k = 0; k < raise->n; k++)
    if (!(raise->view[(gsize) k * raise->n_stations + station].chance >= DWN_CHANCE_HELD))
      from_m = (double) NAN;
    else if (isnan (from_m))
      from_m = raise->rise_m[k];
  return from_m;
}

/* The stations whose paths are drawn anew. */
static gboolean *
find_interest (const DwnPlan *plan)
{
  gboolean *interest = g_new0 (gboolean, MAX (plan->stations->n, 1));
  gboolean any_wanted = wants_any (plan);

  for (guint i = 0; i < plan->stations->n; i++)
    {
      const DwnStation *station = &plan->stations->station[i];

      interest[i] = !any_wanted || dwn_station_wanted (station, plan->services) != DWN_WANTED_NO;
    }
  return interest;
}

/* The house first, then the grid around it from south-west to north-east. */
static GArray *
list_spots (const DwnPlan *plan, DwnTerrain *terrain)
{
  GArray *spots = g_array_new (FALSE, TRUE, sizeof (DwnSpot));
  int reach = (int) (DWN_SPOTS_RADIUS_M / DWN_SPOTS_STEP_M);
  DwnSpot house = { .at = plan->site->at };

  house.ground_m = dwn_terrain_height_m (terrain, &house.at);

  g_array_append_val (spots, house);
  for (int north = -reach; north <= reach; north++)
    for (int east = -reach; east <= reach; east++)
      {
        DwnSpot spot = { .east_m = east * DWN_SPOTS_STEP_M, .north_m = north * DWN_SPOTS_STEP_M };
        double away_m = hypot (spot.east_m, spot.north_m);

        if (away_m == 0.0 || away_m > DWN_SPOTS_RADIUS_M)
          continue;
        dwn_geodesic_direct (&plan->site->at, atan2 (spot.east_m, spot.north_m) * 180.0 / G_PI,
                             away_m, &spot.at, NULL);
        spot.ground_m = dwn_terrain_height_m (terrain, &spot.at);
        if (!isnan (spot.ground_m))
          g_array_append_val (spots, spot);
      }
  return spots;
}

static void
path_clear (gpointer data)
{
  dwn_profile_unref ((DwnProfile *) ((DwnPath *) data)->profile);
}

/* Paths to @spot: drawn anew where of interest and the tiles know them whole, otherwise the plan's
 * own. FALSE with @error only where cancelled. */
static gboolean
draw_paths (const DwnPlan *plan, const gboolean *interest, DwnTerrain *terrain, const DwnSpot *spot,
            GArray *paths, GCancellable *cancellable, GError **error)
{
  for (guint i = 0; i < plan->stations->n; i++)
    {
      const DwnStation *station = &plan->stations->station[i];
      const DwnPath *own = dwn_paths_find (plan->paths, station->id);
      g_autoptr (GError) reason = NULL;
      g_autoptr (DwnProfile) profile = !interest[i] ? NULL
        : dwn_terrain_profile (terrain, &station->at, &spot->at, (double) INFINITY, NULL,
                               cancellable, &reason);
      gboolean drawn = profile != NULL && dwn_profile_is_complete (profile);

      if (g_error_matches (reason, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        {
          g_propagate_error (error, g_steal_pointer (&reason));
          return FALSE;
        }
      if (!drawn && own == NULL)
        continue;
      DwnPath path = { .station = station->id,
                       .profile = dwn_profile_ref (drawn ? profile : own->profile) };
      g_array_append_val (paths, path);
    }
  return TRUE;
}

/* Returns: (transfer full): the plan with its mast at @spot; NULL with @error where cancelled. */
static DwnPlan *
move_plan (const DwnPlan *plan, const gboolean *interest, DwnTerrain *terrain, const DwnSpot *spot,
           GCancellable *cancellable, GError **error)
{
  g_autoptr (GArray) paths = g_array_new (FALSE, FALSE, sizeof (DwnPath));
  DwnSite values = *plan->site;
  DwnPlan parts = *plan;

  g_array_set_clear_func (paths, path_clear);
  if (!draw_paths (plan, interest, terrain, spot, paths, cancellable, error))
    return NULL;
  values.at = spot->at;
  values.ground_m = spot->ground_m;
  g_autoptr (DwnSite) site = dwn_site_new (&values);
  g_autoptr (DwnPaths) drawn = dwn_paths_new (paths->len, (const DwnPath *) (gpointer) paths->data,
                                              plan->paths->skyline_deg);
  parts.site = site;
  parts.paths = drawn;
  return dwn_plan_new (&parts);
}

static gboolean
is_better (const DwnSpot *spot, const DwnSpot *than)
{
  double half_dbs = floor (2.0 * spot->sum.weakest_db), other = floor (2.0 * than->sum.weakest_db);

  if (spot->sum.held != than->sum.held)
    return spot->sum.held > than->sum.held;
  if (half_dbs != other)
    return half_dbs > other;
  return hypot (spot->east_m, spot->north_m) < hypot (than->east_m, than->north_m);
}

static void
choose_best (DwnSpots *spots)
{
  for (guint k = 1; k < spots->n; k++)
    if (is_better (&spots->spot[k], &spots->spot[spots->best]))
      spots->best = k;
  spots->gain_db = spots->spot[spots->best].sum.weakest_db - spots->spot[0].sum.weakest_db;
}

static DwnSpots *
spots_alloc (const DwnPlan *plan, DwnTerrain *terrain)
{
  DwnSpots *spots = g_new0 (DwnSpots, 1);
  GArray *list = list_spots (plan, terrain);

  spots->n = list->len;
  spots->n_stations = plan->stations->n;
  spots->spot = (const DwnSpot *) (gpointer) g_array_free (list, FALSE);
  spots->view = g_new0 (DwnPlaceView, (gsize) spots->n * spots->n_stations);
  spots->tile_step_m = dwn_terrain_step_m (terrain, &plan->site->at);
  return spots;
}

DwnSpots *
dwn_spots_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
               DwnTerrain *terrain, const double *aim_deg, GCancellable *cancellable,
               DwnPlaceProgress progress, gpointer user_data, GError **error)
{
  g_return_val_if_fail (predicted->n == plan->stations->n && terrain != NULL, NULL);

  g_auto (Study) study = { 0 };
  g_autoptr (DwnSpots) spots = spots_alloc (plan, terrain);
  g_autofree gboolean *interest = find_interest (plan);

  if (isnan (spots->spot[0].ground_m))
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NO_DATA,
                   _("no elevation tile knows the ground at %.5f, %.5f"), plan->site->at.lat_deg,
                   plan->site->at.lon_deg);
      return NULL;
    }
  study_init (&study, plan, predicted, tables, aim_deg);
  for (guint k = 0; k < spots->n; k++)
    {
      DwnSpot *spot = (DwnSpot *) &spots->spot[k];
      DwnPlaceView *view = (DwnPlaceView *) &spots->view[(gsize) k * spots->n_stations];
      g_autoptr (DwnPlan) moved = move_plan (plan, interest, terrain, spot, cancellable, error);

      if (moved == NULL
          || !look_from (&study, moved, view, &spot->sum, cancellable, error))
        return NULL;
      if (progress != NULL)
        progress ((k + 1.0) / spots->n, user_data);
    }
  choose_best (spots);
  return g_steal_pointer (&spots);
}

void
dwn_spots_free (DwnSpots *spots)
{
  g_free ((gpointer) spots->spot);
  g_free ((gpointer) spots->view);
  g_free (spots);
}
