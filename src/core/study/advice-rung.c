/* From the best candidate of an arrangement to the rung that people read. */
#include "core/study/advice-private.h"
#include "core/study/levels.h"

/* Aims are found in whole degrees and then looked at in tenths on either side. */
#define FINE_STEPS 9

/* Better by what a turn of less than a degree can change: what is held, then the margin. */
static gboolean
is_finer (const DwnMerit *a, const DwnMerit *b)
{
  if (a->must != b->must)
    return a->must > b->must;
  if (a->like != b->like)
    return a->like > b->like;
  return a->margin_db > b->margin_db + 1e-6;
}

static void
refine_aim (DwnJudge *judge, double *aim_deg, guint a, DwnMerit *merit)
{
  double from_deg = aim_deg[a];

  for (int step = -FINE_STEPS; step <= FINE_STEPS; step++)
    {
      double deg = fmod (from_deg + 0.1 * step + 360.0, 360.0);
      DwnMerit here;

      dwn_terminals_point (&judge->terminals, judge->rig->base, a, deg);
      dwn_judge_weigh (judge, &here);
      if (is_finer (&here, merit))
        {
          *merit = here;
          aim_deg[a] = deg;
        }
    }
  dwn_terminals_point (&judge->terminals, judge->rig->base, a, aim_deg[a]);
}

static void
refine_aims (const DwnAdvisor *advisor, const DwnRig *rig, const guint *configuration,
             double *aim_deg)
{
  DwnJudge judge;
  DwnMerit merit;

  dwn_judge_init (&judge, advisor, rig);
  dwn_judge_ask (&judge, configuration, &merit);
  for (guint a = rig->turns ? 1 : 0; a < rig->n; a++)
    refine_aim (&judge, aim_deg, a, &merit);
  dwn_judge_clear (&judge);
}

/* Lowest margin over the outlets; −INFINITY where one is not connected. */
static double
station_margin_db (const DwnBudget *budget, guint station)
{
  double lowest = budget->n_outlets > 0 ? (double) INFINITY : -(double) INFINITY;

  for (guint o = 0; o < budget->n_outlets; o++)
    {
      double margin_db = budget->reception[(gsize) station * budget->n_outlets + o].margin_db;
      lowest = isnan (margin_db) ? -(double) INFINITY : fmin (lowest, margin_db);
    }
  return lowest;
}

/* At one outlet. Other stations grow weaker too, so what they add to the noise, a share s of its
 * power, does: of a fall by x remain 10·lg((1 − s)·10^(x/10) + s) dB. Products of amplifiers fall
 * faster than that; they are taken as staying, on the cautious side. */
static double
falls_at_db (const DwnReception *r)
{
  double spare = exp ((r->margin_db - DWN_HELD_DEVIATES * r->sigma_db) * (G_LN10 / 10.0));
  double own = 1.0 - r->interference_share;

  return own > 0.0 ? dwn_db_of_ratio (fmax (spare - r->interference_share, 0.0) / own)
                   : (double) INFINITY;
}

/* By how much all fields may turn out weaker before a station is no longer held. */
static double
station_spare_db (const DwnBudget *budget, guint station)
{
  double lowest = (double) INFINITY;

  for (guint o = 0; o < budget->n_outlets; o++)
    lowest = fmin (lowest, falls_at_db (&budget->reception[(gsize) station * budget->n_outlets + o]));
  return lowest;
}

static gboolean
carries (const DwnStation *station, const char *service)
{
  for (guint s = 0; s < station->n_services; s++)
    if (station->services[s] == service)
      return TRUE;
  return FALSE;
}

typedef struct {
  gboolean held;
  double margin_db, spare_db;
  int station; /* that spare_db is of */
} Service;

static Service
judge_service (const DwnPlan *plan, const DwnBudget *budget, guint service)
{
  const char *id = plan->services->service[service].id;
  Service result = { .margin_db = -(double) INFINITY, .spare_db = -(double) INFINITY, .station = -1 };

  for (guint i = 0; i < plan->stations->n; i++)
    result.held |= budget->held[i] && carries (&plan->stations->station[i], id);
  for (guint i = 0; i < plan->stations->n; i++)
    {
      if (!carries (&plan->stations->station[i], id) || budget->held[i] != result.held)
        continue;
      result.margin_db = fmax (result.margin_db, station_margin_db (budget, i));
      if (result.held && station_spare_db (budget, i) > result.spare_db)
        {
          result.spare_db = station_spare_db (budget, i);
          result.station = (int) i;
        }
    }
  return result;
}

static void
count_service (DwnRung *rung, const DwnGoal *goal, guint s, const Service *service)
{
  DwnWanted mark = rung->plan->services->service[s].wanted;

  ((double *) rung->margin_db)[s] = service->margin_db;
  ((gboolean *) rung->holds)[s] = service->held;
  if (!service->held)
    return;
  rung->held_must += mark == DWN_WANTED_MUST ? 1 : 0;
  rung->held_like += mark == DWN_WANTED_LIKE ? 1 : 0;
  rung->held_extra += mark == DWN_WANTED_NO ? 1 : 0;
  if (mark == DWN_WANTED_NO && !goal->all_liked)
    return;
  if (rung->weakest_service < 0 || service->margin_db < rung->weakest_margin_db)
    {
      rung->weakest_margin_db = service->margin_db;
      rung->weakest_service = (int) s;
    }
  if (rung->first_to_fall < 0 || service->spare_db < rung->falls_at_db)
    {
      rung->first_to_fall = service->station;
      rung->falls_at_db = service->spare_db;
    }
  rung->fallen_3db += service->spare_db < 3.0 ? 1 : 0;
  rung->fallen_6db += service->spare_db < 6.0 ? 1 : 0;
}

static void
sum_up_services (DwnRung *rung, const DwnGoal *goal)
{
  const DwnServices *services = rung->plan->services;
  g_autofree guint *held = g_new (guint, services->n + 1);
  guint n_held = 0;

  rung->holds = g_new0 (gboolean, services->n + 1);
  rung->margin_db = g_new0 (double, services->n + 1);
  rung->weakest_margin_db = rung->falls_at_db = (double) NAN;
  rung->weakest_service = rung->first_to_fall = -1;
  for (guint s = 0; s < services->n; s++)
    {
      Service service = judge_service (rung->plan, rung->budget, s);

      count_service (rung, goal, s, &service);
      if (service.held && services->service[s].wanted != DWN_WANTED_NO)
        held[n_held++] = s;
    }
  rung->joint_chance = n_held > 0 ? dwn_joint_chance (rung->plan, rung->budget, n_held, held)
                                  : (double) NAN;
}

static double
cost_of (const DwnChain *gear)
{
  double cost = 0.0;

  for (guint k = 0; k < gear->n_parts; k++)
    {
      double price = gear->part[k].price;

      if (isnan (price) && gear->type[k] != NULL)
        price = gear->type[k]->price;
      if (!isnan (price))
        cost += price;
      else if (gear->part[k].kind == DWN_PART_ANTENNA)
        return (double) NAN;
    }
  for (guint e = 0; e < gear->n_edges; e++)
    if (gear->cable[e] != NULL && !isnan (gear->cable[e]->price_per_m))
      cost += gear->cable[e]->price_per_m * gear->edge[e].length_m;
  return cost;
}

gboolean
dwn_rung_init (DwnRung *rung, const DwnAdvisor *advisor, const DwnBest *best)
{
  const DwnRig *found = best->rig;
  guint antenna[DWN_RUNG_ANTENNAS] = { 0 };

  *rung = (DwnRung) { .service = -1, .win_share = (double) NAN };
  if (found == NULL)
    return FALSE;
  rung->arrangement = found->wire.arrangement;
  rung->n_antennas = found->n;
  for (guint a = 0; a < rung->n_antennas; a++)
    {
      antenna[a] = dwn_rig_antenna (advisor, found, a, best->configuration[a]);
      rung->grid_deg[a] = found->turns && a == 0
                          ? 0.0 : dwn_armoury_aim_deg (&advisor->armoury, best->configuration[a]);
      rung->aim_deg[a] = rung->grid_deg[a];
      rung->pattern[a] = dwn_pattern_ref (advisor->armoury.part[antenna[a]].pattern);
    }
  g_autoptr (DwnPlan) wired = dwn_advisor_wire (advisor, &found->wire, antenna, rung->grid_deg);
  DwnRig *rig = dwn_rig_new (advisor, &found->wire, wired);
  refine_aims (advisor, rig, best->configuration, rung->aim_deg);
  rung->plan = dwn_plan_with_aims (wired, rung->n_antennas, rung->aim_deg);
  rung->budget = dwn_budget_new (rig->base, rung->aim_deg);
  for (guint a = 0; a < rung->n_antennas; a++)
    dwn_aim_window (rig->base, rung->aim_deg, a, &rung->window_from_deg[a], &rung->window_to_deg[a]);
  if (rung->arrangement == DWN_ARRANGEMENT_HYBRID)
    rung->phases = dwn_phases_new (rig->base, rung->budget, rung->aim_deg);
  if (rig->turns)
    rung->aim_deg[0] = rung->grid_deg[0] = (double) NAN;
  dwn_rig_free (rig);
  sum_up_services (rung, &advisor->goal);
  rung->cost = cost_of (rung->plan->gear);
  return TRUE;
}

void
dwn_rung_clear (DwnRung *rung)
{
  for (guint a = 0; a < rung->n_antennas; a++)
    dwn_pattern_unref ((DwnPattern *) rung->pattern[a]);
  dwn_plan_unref (rung->plan);
  dwn_budget_unref (rung->budget);
  g_free ((gpointer) rung->holds);
  g_free ((gpointer) rung->margin_db);
  g_free ((gpointer) rung->phases);
}
