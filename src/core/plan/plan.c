#include "core/plan/plan.h"

#include <math.h>
#include <string.h>

static const char *const mount_ids[DWN_N_MOUNTS] = { "mast", "wall", "chimney", "attic", "indoors" };

const char *
dwn_mount_id (DwnMount mount)
{
  g_return_val_if_fail (mount < DWN_N_MOUNTS, NULL);

  return mount_ids[mount];
}

gboolean
dwn_mount_from_id (const char *id, DwnMount *mount)
{
  for (guint i = 0; i < DWN_N_MOUNTS; i++)
    if (g_strcmp0 (id, mount_ids[i]) == 0)
      {
        *mount = (DwnMount) i;
        return TRUE;
      }
  return FALSE;
}

static const char *const house_kind_ids[DWN_N_HOUSE_KINDS] = { "figures", "roof", "building",
                                                               "clutter", "trees" };

const char *
dwn_house_kind_id (DwnHouseKind kind)
{
  g_return_val_if_fail (kind < DWN_N_HOUSE_KINDS, NULL);

  return house_kind_ids[kind];
}

gboolean
dwn_house_kind_from_id (const char *id, DwnHouseKind *kind)
{
  for (guint i = 0; i < DWN_N_HOUSE_KINDS; i++)
    if (g_strcmp0 (id, house_kind_ids[i]) == 0)
      {
        *kind = (DwnHouseKind) i;
        return TRUE;
      }
  return FALSE;
}

void
dwn_house_loss_init (DwnHouseLoss *loss, DwnHouseKind kind)
{
  const double unknown = (double) NAN;

  *loss = (DwnHouseLoss) {
    .name = g_intern_static_string (""), .kind = kind, .of = g_intern_static_string (""),
    .sd_db = unknown, .percent = unknown, .height_m = unknown, .away_m = unknown,
    .depth_m = unknown,
  };
}

static const char *const safety_rule_ids[DWN_N_SAFETY_RULES] = { "", "eu", "us" };

const char *
dwn_safety_rule_id (DwnSafetyRule rule)
{
  g_return_val_if_fail (rule < DWN_N_SAFETY_RULES, NULL);

  return safety_rule_ids[rule];
}

gboolean
dwn_safety_rule_from_id (const char *id, DwnSafetyRule *rule)
{
  for (gsize i = 1; i < DWN_N_SAFETY_RULES; i++)
    if (g_str_equal (id, safety_rule_ids[i]))
      {
        *rule = (DwnSafetyRule) i;
        return TRUE;
      }
  return FALSE;
}

gboolean
dwn_mast_is_described (const DwnMast *mast)
{
  return mast->rule != DWN_SAFETY_BY_SYSTEM || mast->guyed || mast->exposed || mast->wind_ultimate
         || mast->free_m > 0.0 || mast->clamped_m > 0.0 || mast->diameter_m > 0.0
         || mast->mast_nm > 0.0 || mast->bracket_nm > 0.0 || mast->roof_m > 0.0 || mast->line_m > 0.0
         || mast->wind_m_per_s > 0.0 || mast->ice_m > 0.0;
}

/* A refcounted block that starts with a copy of @values. */
static gpointer
box_copy (gconstpointer values, gsize size)
{
  gpointer box = g_atomic_rc_box_alloc (size);

  memcpy (box, values, size);
  return box;
}

static void
site_clear (gpointer data)
{
  DwnSite *site = data;

  g_free ((gpointer) site->loss);
  g_free ((gpointer) site->unwanted);
}

DwnSite *
dwn_site_new (const DwnSite *values)
{
  g_return_val_if_fail (values != NULL, NULL);

  DwnSite *site = box_copy (values, sizeof *values);

  if (site->time_zone == NULL)
    site->time_zone = g_intern_static_string ("");
  site->loss = g_memdup2 (values->loss, values->n_losses * sizeof *values->loss);
  site->unwanted = g_memdup2 (values->unwanted, values->n_unwanted * sizeof *values->unwanted);
  return site;
}

void
dwn_unwanted_init (DwnUnwanted *unwanted)
{
  const double unknown = (double) NAN;

  *unwanted = (DwnUnwanted) {
    .mhz = unknown, .field_dbuv_m = unknown, .erp_kw = unknown, .distance_m = unknown,
    .bearing_deg = unknown,
  };
}

void
dwn_site_unref (const DwnSite *site)
{
  g_atomic_rc_box_release_full ((gpointer) site, site_clear);
}

static void
aims_clear (gpointer data)
{
  DwnAims *aims = data;

  g_free ((gpointer) aims->aim_deg);
}

static double
turn_into_circle_deg (double deg)
{
  double turned = fmod (deg, 360.0);

  if (turned < 0.0)
    turned += 360.0;
  return turned >= 360.0 ? 0.0 : turned;
}

DwnAims *
dwn_aims_new (guint n, const double *aim_deg)
{
  DwnAims *aims = g_atomic_rc_box_new0 (DwnAims);
  double *turned = g_new0 (double, n);

  for (guint i = 0; i < n; i++)
    turned[i] = turn_into_circle_deg (aim_deg[i]);
  aims->n = n;
  aims->aim_deg = turned;
  return aims;
}

void
dwn_aims_unref (const DwnAims *aims)
{
  g_atomic_rc_box_release_full ((gpointer) aims, aims_clear);
}

static void
paths_clear (gpointer data)
{
  DwnPaths *paths = data;

  for (guint i = 0; i < paths->n; i++)
    dwn_profile_unref ((DwnProfile *) paths->path[i].profile);
  g_free ((gpointer) paths->path);
  g_free ((gpointer) paths->skyline_deg);
}

DwnPaths *
dwn_paths_new (guint n, const DwnPath *paths, const double *skyline_deg)
{
  DwnPaths *copy = g_atomic_rc_box_new0 (DwnPaths);

  copy->n = n;
  copy->path = g_memdup2 (paths, n * sizeof *paths);
  for (guint i = 0; i < n; i++)
    dwn_profile_ref (paths[i].profile);
  if (skyline_deg != NULL)
    {
      copy->n_skyline = 360;
      copy->skyline_deg = g_memdup2 (skyline_deg, 360 * sizeof *skyline_deg);
    }
  return copy;
}

void
dwn_paths_unref (const DwnPaths *paths)
{
  g_atomic_rc_box_release_full ((gpointer) paths, paths_clear);
}

const DwnPath *
dwn_paths_find (const DwnPaths *paths, const char *station)
{
  for (guint i = 0; i < paths->n; i++)
    if (g_strcmp0 (paths->path[i].station, station) == 0)
      return &paths->path[i];
  return NULL;
}

static void
readings_clear (gpointer data)
{
  DwnReadings *readings = data;

  g_free ((gpointer) readings->reading);
  g_free ((gpointer) readings->visit);
}

DwnReadings *
dwn_readings_new_visited (guint n, const DwnReading *readings, guint n_visits,
                          const DwnVisit *visits)
{
  DwnReadings *copy = g_atomic_rc_box_new0 (DwnReadings);

  copy->n = n;
  copy->reading = g_memdup2 (readings, n * sizeof *readings);
  copy->n_visits = n_visits;
  copy->visit = g_memdup2 (visits, n_visits * sizeof *visits);
  return copy;
}

DwnReadings *
dwn_readings_new (guint n, const DwnReading *readings)
{
  return dwn_readings_new_visited (n, readings, 0, NULL);
}

#define DAY_LENGTH 10 /* of YYYY-MM-DD */

static int
compare_days (gconstpointer a, gconstpointer b)
{
  return strncmp (((const DwnVisit *) a)->when, ((const DwnVisit *) b)->when, DAY_LENGTH);
}

const DwnVisit *
dwn_readings_find_visit (const DwnReadings *readings, const char *when)
{
  const DwnVisit wanted = { .when = when };

  for (guint i = 0; i < readings->n_visits; i++)
    if (compare_days (&readings->visit[i], &wanted) == 0)
      return &readings->visit[i];
  return NULL;
}

void
dwn_visit_init (DwnVisit *visit)
{
  *visit = (DwnVisit) { "", "", "", "", "", "" };
}

void
dwn_readings_unref (const DwnReadings *readings)
{
  g_atomic_rc_box_release_full ((gpointer) readings, readings_clear);
}

void
dwn_reading_init (DwnReading *reading)
{
  *reading = (DwnReading) {
    .station = "", .where = "", .when = "", .weather = "", .note = "",
    .level_dbm = (double) NAN, .cn_db = (double) NAN,
    .ber_before = (double) NAN, .ber_after = (double) NAN,
    .lock = -1, .bars = -1, .bars_of = -1,
    .aim_deg = (double) NAN, .gain_db = (double) NAN,
  };
}

static void
method_clear (gpointer data)
{
  DwnMethod *method = data;

  g_free ((gpointer) method->allowed);
}

DwnMethod *
dwn_method_new (const DwnMethod *values)
{
  DwnMethod *method = box_copy (values, sizeof *values);

  method->allowed = g_memdup2 (values->allowed, values->n_allowed * sizeof *values->allowed);
  return method;
}

void
dwn_method_unref (const DwnMethod *method)
{
  g_atomic_rc_box_release_full ((gpointer) method, method_clear);
}

void
dwn_method_init (DwnMethod *method)
{
  *method = (DwnMethod) {
    .model = "auto", .n0 = (double) NAN, .dn = 45.0, .climate = 5, .sd_db = (double) NAN,
    .date = "", .currency = "",
  };
}

static gpointer
box_ref (gconstpointer box)
{
  return g_atomic_rc_box_acquire ((gpointer) box);
}

DwnPlan *
dwn_plan_new (const DwnPlan *parts)
{
  g_return_val_if_fail (parts->aims->n == parts->gear->n_antennas, NULL);

  DwnPlan *plan = box_copy (parts, sizeof *parts);

  box_ref (plan->site);
  dwn_stations_ref (plan->stations);
  dwn_services_ref (plan->services);
  dwn_chain_ref (plan->gear);
  box_ref (plan->aims);
  box_ref (plan->paths);
  box_ref (plan->readings);
  box_ref (plan->method);
  return plan;
}

DwnPlan *
dwn_plan_ref (const DwnPlan *plan)
{
  return box_ref (plan);
}

static void
plan_clear (gpointer data)
{
  DwnPlan *plan = data;

  dwn_site_unref (plan->site);
  dwn_stations_unref ((DwnStations *) plan->stations);
  dwn_services_unref ((DwnServices *) plan->services);
  dwn_chain_unref ((DwnChain *) plan->gear);
  dwn_aims_unref (plan->aims);
  dwn_paths_unref (plan->paths);
  dwn_readings_unref (plan->readings);
  dwn_method_unref (plan->method);
}

void
dwn_plan_unref (const DwnPlan *plan)
{
  g_atomic_rc_box_release_full ((gpointer) plan, plan_clear);
}

DwnPlan *
dwn_plan_with_aims (const DwnPlan *plan, guint n, const double *aim_deg)
{
  g_autoptr (DwnAims) aims = dwn_aims_new (n, aim_deg);
  DwnPlan parts = *plan;

  parts.aims = aims;
  return dwn_plan_new (&parts);
}

static gboolean
same_place (const DwnLatLon *a, const DwnLatLon *b)
{
  return a->lat_deg == b->lat_deg && a->lon_deg == b->lon_deg;
}

DwnPlan *
dwn_plan_with_site (const DwnPlan *plan, const DwnSite *values)
{
  g_autoptr (DwnSite) site = dwn_site_new (values);
  g_autoptr (DwnPaths) none = NULL;
  DwnPlan parts = *plan;

  parts.site = site;
  if (!same_place (&values->at, &plan->site->at))
    parts.paths = none = dwn_paths_new (0, NULL, NULL);
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_with_stations (const DwnPlan *plan, const DwnStations *stations, const DwnServices *services)
{
  g_autoptr (GArray) paths = g_array_new (FALSE, FALSE, sizeof (DwnPath));
  DwnPlan parts = *plan;

  for (guint i = 0; i < plan->paths->n; i++)
    {
      const DwnPath *path = &plan->paths->path[i];
      int old = dwn_stations_find (plan->stations, path->station);
      int new = dwn_stations_find (stations, path->station);
      if (old >= 0 && new >= 0 && same_place (&plan->stations->station[old].at, &stations->station[new].at))
        g_array_append_vals (paths, path, 1);
    }
  g_autoptr (DwnPaths) left = dwn_paths_new (paths->len, (const DwnPath *) (gpointer) paths->data,
                                             plan->paths->n_skyline > 0 ? plan->paths->skyline_deg : NULL);
  parts.paths = left;
  parts.stations = stations;
  parts.services = services;
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_with_method (const DwnPlan *plan, const DwnMethod *values)
{
  g_autoptr (DwnMethod) method = dwn_method_new (values);
  DwnPlan parts = *plan;

  parts.method = method;
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_with_gear (const DwnPlan *plan, const DwnChain *gear, const DwnAims *aims)
{
  DwnPlan parts = *plan;

  parts.gear = gear;
  parts.aims = aims;
  return dwn_plan_new (&parts);
}

static DwnPlan *
with_readings (const DwnPlan *plan, guint n, const DwnReading *readings, guint n_visits,
               const DwnVisit *visits)
{
  g_autoptr (DwnReadings) changed = dwn_readings_new_visited (n, readings, n_visits, visits);
  DwnPlan parts = *plan;

  parts.readings = changed;
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_with_readings (const DwnPlan *plan, guint n, const DwnReading *readings)
{
  return with_readings (plan, n, readings, plan->readings->n_visits, plan->readings->visit);
}

DwnPlan *
dwn_plan_with_visit (const DwnPlan *plan, const DwnVisit *visit)
{
  const DwnReadings *readings = plan->readings;
  g_autoptr (GArray) visits = g_array_new (FALSE, FALSE, sizeof (DwnVisit));
  const DwnVisit *same = dwn_readings_find_visit (readings, visit->when);

  g_array_append_vals (visits, readings->visit, readings->n_visits);
  if (same != NULL)
    g_array_index (visits, DwnVisit, same - readings->visit) = *visit;
  else
    g_array_append_val (visits, *visit);
  g_array_sort (visits, compare_days);
  return with_readings (plan, readings->n, readings->reading, visits->len,
                        (const DwnVisit *) (gpointer) visits->data);
}

DwnPlan *
dwn_plan_with_wanted (const DwnPlan *plan, const char *service, DwnWanted wanted)
{
  g_autofree DwnService *marked = g_memdup2 (plan->services->service,
                                             plan->services->n * sizeof *marked);
  int index = dwn_services_find (plan->services, service);

  if (index >= 0)
    marked[index].wanted = wanted;

  g_autoptr (DwnServices) services = dwn_services_new (plan->services->n, marked);
  DwnPlan parts = *plan;

  parts.services = services;
  return dwn_plan_new (&parts);
}
