#include "cli/workbench.h"

#include <glib/gi18n.h>

static void
print_warnings (const GPtrArray *warnings)
{
  for (guint i = 0; i < warnings->len; i++)
    dwn_warn (g_ptr_array_index (warnings, i));
}

DwnPlan *
dwn_survey (const DwnPlan *plan, const char *folder, GError **error)
{
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (folder, error);
  DwnPlan *surveyed = terrain == NULL
                      ? NULL : dwn_plan_survey (plan, terrain, &gaps, NULL, NULL, NULL, error);

  if (surveyed != NULL)
    dwn_warn_of_gaps (terrain, &gaps);
  return surveyed;
}

static gboolean
survey_bench (DwnWorkbench *bench, const char *terrain, GError **error)
{
  if (terrain == NULL)
    return TRUE;
  DwnPlan *surveyed = dwn_survey (bench->plan, terrain, error);
  if (surveyed == NULL)
    return FALSE;
  dwn_plan_unref (bench->plan);
  bench->plan = surveyed;
  return TRUE;
}

gboolean
dwn_workbench_open (DwnWorkbench *bench, const char *path, GError **error)
{
  return dwn_workbench_open_on (bench, path, NULL, error);
}

gboolean
dwn_workbench_open_on (DwnWorkbench *bench, const char *path, const char *terrain, GError **error)
{
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);

  *bench = (DwnWorkbench) { 0 };
  bench->tables = dwn_tables_new (error);
  if (bench->tables == NULL)
    return FALSE;
  bench->plan = dwn_plan_load (path, bench->tables->parts, bench->tables->catalogue, warnings, error);
  print_warnings (warnings);
  if (bench->plan == NULL || !survey_bench (bench, terrain, error))
    return FALSE;
  bench->predicted = dwn_fields_new (bench->plan, NULL, error);
  if (bench->predicted == NULL)
    return FALSE;
  bench->fields = dwn_fields_with_readings (bench->predicted, bench->plan, bench->tables);
  bench->base = dwn_budget_base_new (bench->plan, bench->fields, bench->tables);
  return TRUE;
}

void
dwn_workbench_clear (DwnWorkbench *bench)
{
  g_clear_pointer (&bench->base, dwn_budget_base_unref);
  g_clear_pointer (&bench->fields, dwn_fields_unref);
  g_clear_pointer (&bench->predicted, dwn_fields_unref);
  g_clear_pointer (&bench->plan, dwn_plan_unref);
  g_clear_pointer (&bench->tables, dwn_tables_unref);
}

GArray *
dwn_workbench_aims (const DwnWorkbench *bench, const DwnCall *call, GError **error)
{
  g_autoptr (GArray) aims = dwn_call_numbers (call, "aim", 0.0, 360.0, error);
  const DwnAims *own = bench->plan->aims;

  if (aims == NULL)
    return NULL;
  if (aims->len == 0)
    g_array_append_vals (aims, own->aim_deg, own->n);
  if (aims->len != own->n)
    {
      dwn_call_refuse (error, _("--aim %s: the plan has %u antennas, so %u bearings were expected"),
                       dwn_call_text (call, "aim"), own->n, own->n);
      return NULL;
    }
  return g_steal_pointer (&aims);
}

static double
weakest_chance (const DwnBudget *budget, guint station)
{
  if (budget->n_outlets == 0)
    return 0.0;
  return budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]].chance;
}

static int
weakest_station (const DwnPlan *plan, const DwnBudget *budget, gboolean only_wanted)
{
  int weakest = -1;

  for (guint i = 0; i < plan->stations->n; i++)
    {
      if (only_wanted && dwn_station_wanted (&plan->stations->station[i], plan->services) == DWN_WANTED_NO)
        continue;
      if (weakest < 0 || weakest_chance (budget, i) < weakest_chance (budget, (guint) weakest))
        weakest = (int) i;
    }
  return weakest;
}

int
dwn_workbench_station (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                       GError **error)
{
  const char *id = dwn_call_text (call, "station");
  int station = id != NULL ? dwn_stations_find (bench->plan->stations, id)
                           : weakest_station (bench->plan, budget, TRUE);

  if (station < 0 && id == NULL)
    station = weakest_station (bench->plan, budget, FALSE);
  if (station < 0 && id != NULL)
    dwn_call_refuse (error, _("--station %s: the plan has no station of that id"), id);
  else if (station < 0)
    dwn_call_refuse (error, _("the plan has no stations; import a list first"));
  return station;
}

int
dwn_workbench_outlet (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                      guint station, GError **error)
{
  int outlet = 0;

  if (budget->n_outlets == 0)
    {
      dwn_call_refuse (error, _("the plan has no outlet; its gear needs a part of kind outlet"));
      return -1;
    }
  if (!dwn_call_integer (call, "outlet", 1, (int) budget->n_outlets, &outlet, error))
    return -1;
  return outlet > 0 ? outlet - 1 : (int) budget->weakest[station];
}
