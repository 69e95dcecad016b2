#include "core/study/season.h"

#include <math.h>

#include "core/study/readings.h"

static DwnBudget *
budget_of_season (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
                  const double *aim_deg, gboolean leaves)
{
  DwnMethod values = *plan->method;
  DwnPlan parts = *plan;

  values.leaves = leaves;
  g_autoptr (DwnMethod) method = dwn_method_new (&values);
  parts.method = method;
  g_autoptr (DwnPlan) season = dwn_plan_new (&parts);
  g_autoptr (DwnFields) fields = dwn_fields_with_readings (predicted, season, tables);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (season, fields, tables);

  return dwn_budget_new (base, aim_deg);
}

DwnSeasons *
dwn_seasons_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
                 const double *aim_deg)
{
  DwnSeasons *seasons = g_new (DwnSeasons, 1);

  seasons->winter = budget_of_season (plan, predicted, tables, aim_deg, FALSE);
  seasons->summer = budget_of_season (plan, predicted, tables, aim_deg, TRUE);
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
  return budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]].margin_db;
}

double
dwn_seasons_margin_db (const DwnSeasons *seasons, guint station)
{
  return weakest_margin_db (seasons->winter, station) - weakest_margin_db (seasons->summer, station);
}
