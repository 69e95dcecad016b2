#include "core/study/new-plan.h"

#include <math.h>

#include "core/chain/head.h"
#include "core/study/fields.h"

#define DOWNLEAD_M 15.0

static const char *
tuner_of (DwnSystem system)
{
  switch (system)
    {
    case DWN_SYSTEM_DVBT7:
    case DWN_SYSTEM_DVBT8:
      return "tuner-dvbt";
    case DWN_SYSTEM_DVBT2_7:
    case DWN_SYSTEM_DVBT2_8:
      return "tuner-dvbt2";
    case DWN_SYSTEM_ISDBT_JP:
    case DWN_SYSTEM_ISDBT_BR:
      return "tuner-isdbt";
    case DWN_SYSTEM_ATSC1:
    case DWN_SYSTEM_ATSC3:
    default:
      return "tuner-atsc";
    }
}

/* The system that most of the stations use. */
static DwnSystem
usual_system (const DwnStations *stations)
{
  guint count[DWN_N_SYSTEMS] = { 0 }, most = 0;

  for (guint i = 0; i < stations->n; i++)
    count[stations->station[i].system]++;
  for (guint s = 1; s < DWN_N_SYSTEMS; s++)
    if (count[s] > count[most])
      most = s;
  return (DwnSystem) most;
}

static DwnChain *
standard_gear (const DwnNewPlan *wish, const DwnTables *tables, GError **error)
{
  g_autofree DwnPart *antennas = g_new0 (DwnPart, wish->n_antennas);

  for (guint a = 0; a < wish->n_antennas; a++)
    {
      g_autofree char *id = g_strdup_printf ("antenna%u", a + 1);

      dwn_part_init (&antennas[a]);
      antennas[a].id = g_intern_string (id);
      antennas[a].type = g_intern_string (wish->patterns[a]->id);
      antennas[a].kind = DWN_PART_ANTENNA;
      antennas[a].on_mast = TRUE;
      antennas[a].pattern = wish->patterns[a];
      antennas[a].below_top_m = a; /* a metre apart on the mast: TRADE B */
    }
  return dwn_chain_new_standard (tables->parts, wish->n_antennas, antennas, MAX (wish->n_outlets, 1),
                                 wish->cable != NULL ? wish->cable : "series-6",
                                 wish->downlead_m > 0.0 ? wish->downlead_m : DOWNLEAD_M,
                                 tuner_of (wish->stations->n > 0 ? usual_system (wish->stations) : wish->system),
                                 error);
}

/* Bearing of the station that lays down most for this antenna, wanted ones before all others. */
static double
strongest_bearing_deg (const DwnPlan *plan, const DwnFields *fields, guint antenna)
{
  const DwnPattern *pattern = plan->gear->part[plan->gear->antenna[antenna]].pattern;
  double best_dbm = -(double) INFINITY, bearing_deg = 0.0;
  DwnWanted best_mark = DWN_WANTED_NO;

  for (guint i = 0; i < plan->stations->n; i++)
    {
      const DwnStation *station = &plan->stations->station[i];
      DwnWanted mark = dwn_station_wanted (station, plan->services);
      double dbm = dwn_power_of_field_dbm (
        fields->field[(gsize) i * fields->n_antennas + antenna].median, station->mhz,
        dwn_pattern_max_gain_dbi (pattern, station->mhz));

      if (mark < best_mark || (mark == best_mark && !(dbm > best_dbm)))
        continue;
      best_mark = mark;
      best_dbm = dbm;
      bearing_deg = fields->arrival[i].bearing_deg;
    }
  return bearing_deg;
}

static DwnPlan *
aim_at_strongest (const DwnPlan *plan, GError **error)
{
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, error);
  g_autofree double *aim_deg = g_new0 (double, plan->gear->n_antennas);

  if (fields == NULL)
    return NULL;
  for (guint a = 0; a < plan->gear->n_antennas; a++)
    aim_deg[a] = strongest_bearing_deg (plan, fields, a);
  return dwn_plan_with_aims (plan, plan->gear->n_antennas, aim_deg);
}

DwnPlan *
dwn_new_plan (const DwnNewPlan *wish, const DwnTables *tables, GError **error)
{
  g_autofree double *north = g_new0 (double, wish->n_antennas);
  DwnMethod method;
  const DwnSite site = {
    .name = g_intern_string (wish->name), .place = g_intern_string (wish->place), .at = wish->at,
    .ground_m = (double) NAN, .mount = DWN_MOUNT_MAST, .height_m = DWN_SITE_HEIGHT_M,
    .area = DWN_AREA_RURAL, .time_zone = wish->time_zone != NULL ? g_intern_string (wish->time_zone) : NULL,
    .landmark = { (double) NAN, (double) NAN },
  };

  dwn_method_init (&method);
  method.date = g_intern_string (wish->date);
  g_autoptr (DwnChain) gear = standard_gear (wish, tables, error);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnSite) own_site = dwn_site_new (&site);
  g_autoptr (DwnAims) aims = dwn_aims_new (wish->n_antennas, wish->aim_deg != NULL ? wish->aim_deg : north);
  g_autoptr (DwnPaths) paths = dwn_paths_new (0, NULL, NULL);
  g_autoptr (DwnReadings) readings = dwn_readings_new (0, NULL);
  g_autoptr (DwnMethod) own_method = dwn_method_new (&method);
  const DwnPlan parts = {
    .site = own_site, .stations = wish->stations, .services = wish->services, .gear = gear,
    .aims = aims, .paths = paths, .readings = readings, .method = own_method,
  };
  g_autoptr (DwnPlan) plan = dwn_plan_new (&parts);

  return wish->aim_deg != NULL ? g_steal_pointer (&plan) : aim_at_strongest (plan, error);
}
