#include "core/study/season.h"

#include <math.h>

#include "core/study/budget-private.h"
#include "core/study/readings.h"

/* @plan in the other season, or in this one. Returns: (transfer full). */
static DwnPlan *
plan_in_season (const DwnPlan *plan, gboolean leaves)
{
  DwnMethod values = *plan->method;
  DwnPlan parts = *plan;

  values.leaves = leaves;
  g_autoptr (DwnMethod) method = dwn_method_new (&values);
  parts.method = method;
  return dwn_plan_new (&parts);
}

static DwnBudget *
budget_of (const DwnPlan *season, const DwnFields *fields, const DwnTables *tables,
           const double *aim_deg)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (season, fields, tables);

  return dwn_budget_new (base, aim_deg);
}

DwnSeasons *
dwn_seasons_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
                 const double *aim_deg)
{
  g_autoptr (DwnPlan) bare = plan_in_season (plan, FALSE), leafy = plan_in_season (plan, TRUE);
  g_autoptr (DwnFields) winter = dwn_fields_with_readings (predicted, bare, tables);
  g_autoptr (DwnFields) summer = dwn_fields_with_readings (predicted, leafy, tables);
  DwnSeasons *seasons = g_new (DwnSeasons, 1);

  seasons->winter = budget_of (bare, winter, tables, aim_deg);
  seasons->summer = budget_of (leafy, summer, tables, aim_deg);
  return seasons;
}

DwnSeasons *
dwn_seasons_of_base (const DwnBudgetBase *base, const double *aim_deg)
{
  g_autoptr (DwnPlan) bare = plan_in_season (base->plan, FALSE);
  g_autoptr (DwnPlan) leafy = plan_in_season (base->plan, TRUE);
  DwnSeasons *seasons = g_new (DwnSeasons, 1);

  seasons->winter = budget_of (bare, base->fields, base->tables, aim_deg);
  seasons->summer = budget_of (leafy, base->fields, base->tables, aim_deg);
  return seasons;
}

void
dwn_seasons_free (DwnSeasons *seasons)
{
  dwn_budget_unref (seasons->winter);
  dwn_budget_unref (seasons->summer);
  g_free (seasons);
}

static double
weakest_margin_db (const DwnBudget *budget, guint station)
{
  if (budget->n_outlets == 0)
    return (double) NAN;
  gsize row = (gsize) station * budget->n_outlets + budget->weakest[station];

  return budget->reception[row].margin_db;
}

double
dwn_seasons_margin_db (const DwnSeasons *seasons, guint station)
{
  return weakest_margin_db (seasons->winter, station)
         - weakest_margin_db (seasons->summer, station);
}
