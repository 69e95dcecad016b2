#include <math.h>

#include "core/geo/geodesic.h"
#include "core/study/budget.h"

/* Stations closer than this share a mast. */
#define ONE_MAST_M 500.0

static gboolean
share_mast (const DwnStation *a, const DwnStation *b)
{
  double distance_m;

  if (fabs (a->at.lat_deg - b->at.lat_deg) > 0.01)
    return FALSE;
  return dwn_geodesic_inverse (&a->at, &b->at, &distance_m, NULL, NULL, NULL)
         && distance_m <= ONE_MAST_M;
}

guint *
dwn_masts (const DwnStations *stations)
{
  guint *mast = g_new0 (guint, stations->n);

  for (guint i = 0; i < stations->n; i++)
    {
      mast[i] = i;
      for (guint j = 0; j < i && mast[i] == i; j++)
        if (mast[j] == j && share_mast (&stations->station[i], &stations->station[j]))
          mast[i] = j;
    }
  return mast;
}

static double
weakest_chance (const DwnBudget *budget, guint station)
{
  return budget->n_outlets == 0
         ? 0.0
         : budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]].chance;
}

static gboolean
carries (const DwnStation *station, const char *service)
{
  for (guint s = 0; s < station->n_services; s++)
    if (station->services[s] == service)
      return TRUE;
  return FALSE;
}

int
dwn_best_station (const DwnPlan *plan, const DwnBudget *budget, guint service)
{
  const char *id = plan->services->service[service].id;
  int best = -1;

  for (guint i = 0; i < plan->stations->n; i++)
    if (carries (&plan->stations->station[i], id)
        && (best < 0 || weakest_chance (budget, i) > weakest_chance (budget, (guint) best)))
      best = (int) i;
  return best;
}

double
dwn_joint_chance (const DwnPlan *plan, const DwnBudget *budget, guint n, const guint *services)
{
  g_autofree guint *mast = dwn_masts (plan->stations);
  g_autofree double *lowest = g_new (double, plan->stations->n);
  double joint = 1.0;

  for (guint i = 0; i < plan->stations->n; i++)
    lowest[i] = 1.0;
  for (guint s = 0; s < n; s++)
    {
      int best = dwn_best_station (plan, budget, services[s]);

      if (best < 0)
        return 0.0;
      lowest[mast[best]] = fmin (lowest[mast[best]], weakest_chance (budget, (guint) best));
    }
  for (guint i = 0; i < plan->stations->n; i++)
    joint *= lowest[i];
  return joint;
}
