#include "core/study/levels.h"

#include <math.h>

#include "core/study/budget-private.h"

/* Power at the terminals of the antenna that brings the station, dBm. */
static double
terminal_dbm (const DwnBudgetBase *base, const DwnReception *reception, guint station)
{
  double isotropic_mw = base->wanted_mw[(gsize) station * base->n_antennas + reception->antenna];

  return 10.0 * log10 (isotropic_mw) + reception->antenna_dbi;
}

static const DwnPoint *
point_after (const DwnCascade *cascade, const DwnStep *step)
{
  return step->is_edge ? &cascade->edge[step->index]
                       : &cascade->out[cascade->out_first[step->index] + step->out_port];
}

/* C/N after a step: the noise of the sky from every antenna and of the gear so far. At an outlet it
 * is what goes into the tuner. */
static double
ratio_db (const DwnBudgetBase *base, const DwnCascade *cascade, const DwnStep *step, guint station,
          double level_dbm)
{
  const DwnPlan *plan = base->plan;
  gboolean is_outlet = !step->is_edge && plan->gear->part[step->index].kind == DWN_PART_OUTLET;
  const DwnPoint *point = is_outlet ? dwn_cascade_input (cascade, plan->gear, step->index, step->in_port)
                                    : point_after (cascade, step);
  double noise = point->chain_noise;

  for (guint a = 0; a < base->n_antennas; a++)
    noise += point->gain[a] * base->ambient[station];
  return level_dbm - 10.0 * log10 (base->noise_unit_mw[station] * noise);
}

static void
append_step (GArray *levels, const DwnBudgetBase *base, const DwnBudget *budget,
             const DwnCascade *cascade, const DwnStep *step, guint station, double terminals_dbm)
{
  DwnLevelStep level = {
    .is_edge = step->is_edge, .index = step->index, .gain_db = step->gain_db,
    .noise_figure_db = step->noise_figure_db, .cumulative_gain_db = step->cumulative_gain_db,
    .cumulative_noise_figure_db = step->cumulative_noise_figure_db,
    .level_dbm = terminals_dbm + step->cumulative_gain_db,
    .headroom_db = step->is_edge ? (double) NAN : budget->headroom_db[step->index],
  };

  level.cn_db = ratio_db (base, cascade, step, station, level.level_dbm);
  g_array_append_val (levels, level);
}

GArray *
dwn_levels_along (const DwnBudgetBase *base, const DwnBudget *budget, guint station, guint outlet,
                  double mhz)
{
  g_return_val_if_fail (station < budget->n_stations && outlet < budget->n_outlets, NULL);

  const DwnChain *gear = base->plan->gear;
  const DwnReception *reception = &budget->reception[(gsize) station * budget->n_outlets + outlet];
  double at_mhz = mhz > 0.0 ? mhz : base->plan->stations->station[station].mhz;

  if (reception->limit == DWN_LIMIT_UNCONNECTED)
    return NULL;
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, at_mhz, reception->state);
  g_autoptr (GArray) way = dwn_cascade_way (cascade, gear, reception->antenna, outlet);
  if (way == NULL)
    return NULL;

  GArray *levels = g_array_new (FALSE, FALSE, sizeof (DwnLevelStep));
  for (guint i = 0; i < way->len; i++)
    {
      const DwnStep *step = &g_array_index (way, DwnStep, i);

      if (!step->is_edge || gear->edge[step->index].cable != NULL)
        append_step (levels, base, budget, cascade, step, station,
                     terminal_dbm (base, reception, station));
    }
  return levels;
}

static gboolean
is_any_wanted (const DwnPlan *plan)
{
  for (guint i = 0; i < plan->stations->n; i++)
    if (dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      return TRUE;
  return FALSE;
}

static void
find_worse (DwnWorst *worst, const DwnBudgetBase *base, const DwnBudget *budget, guint station, guint outlet)
{
  g_autoptr (GArray) levels = dwn_levels_along (base, budget, station, outlet, 0.0);
  double needed_db = budget->reception[(gsize) station * budget->n_outlets + outlet].needed_db;

  for (guint i = 0; levels != NULL && i < levels->len; i++)
    {
      const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, i);
      double spare_db = step->cn_db - needed_db;

      if (step->is_edge || isnan (spare_db) || spare_db >= worst[step->index].spare_db)
        continue;
      worst[step->index] = (DwnWorst) { (int) station, spare_db };
    }
}

DwnWorst *
dwn_levels_worst (const DwnBudgetBase *base, const DwnBudget *budget)
{
  g_return_val_if_fail (base != NULL && budget != NULL, NULL);

  const DwnPlan *plan = base->plan;
  DwnWorst *worst = g_new (DwnWorst, plan->gear->n_parts + 1);
  gboolean any_wanted = is_any_wanted (plan);

  for (guint k = 0; k < plan->gear->n_parts; k++)
    worst[k] = (DwnWorst) { -1, (double) INFINITY };
  for (guint i = 0; i < budget->n_stations; i++)
    if (!any_wanted || dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      for (guint o = 0; o < budget->n_outlets; o++)
        find_worse (worst, base, budget, i, o);
  for (guint k = 0; k < plan->gear->n_parts; k++)
    if (worst[k].station < 0)
      worst[k].spare_db = (double) NAN;
  return worst;
}

/* From the feed of the best antenna to the best input of the outlet, a ratio. */
static double
best_gain (const DwnChain *gear, guint outlet, double mhz)
{
  guint part = gear->outlet[outlet];
  double best = 0.0;

  for (guint state = 0; state < gear->n_states; state++)
    {
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, mhz, state);

      for (guint port = 0; port < gear->type[part]->n_in; port++)
        {
          const DwnPoint *point = dwn_cascade_input (cascade, gear, part, port);

          for (guint a = 0; point != NULL && a < gear->n_antennas; a++)
            {
              double feed = cascade->out[cascade->out_first[gear->antenna[a]]].gain[a];
              best = fmax (best, point->gain[a] / feed);
            }
        }
    }
  return best;
}

double
dwn_outlet_slope_db (const DwnChain *gear, guint outlet, double low_mhz, double high_mhz)
{
  g_return_val_if_fail (outlet < gear->n_outlets, (double) NAN);
  g_return_val_if_fail (low_mhz > 0.0 && high_mhz > 0.0, (double) NAN);

  double low = best_gain (gear, outlet, low_mhz), high = best_gain (gear, outlet, high_mhz);

  return low > 0.0 && high > 0.0 ? 10.0 * log10 (high / low) : (double) NAN;
}

/* Which stations have to stay held: bit i of a byte array. */
static gboolean *
to_keep (const DwnPlan *plan, const DwnBudget *budget)
{
  gboolean *keep = g_new0 (gboolean, budget->n_stations);
  gboolean any_wanted = is_any_wanted (plan);

  for (guint i = 0; i < budget->n_stations; i++)
    keep[i] = budget->held[i]
              && (!any_wanted
                  || dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO);
  return keep;
}

/* Does @antenna, turned to @aim_deg, still hold them all? */
static gboolean
keeps_all (DwnTerminals *terminals, const DwnBudgetBase *base, guint antenna, double aim_deg,
           const gboolean *keep)
{
  dwn_terminals_point (terminals, base, antenna, aim_deg);
  dwn_terminals_gather (terminals, base);
  for (guint i = 0; i < base->n; i++)
    {
      if (!keep[i])
        continue;
      dwn_terminals_turn_to (terminals, base, i);
      if (!dwn_terminals_hold (terminals, base, i))
        return FALSE;
    }
  return TRUE;
}

/* Steps of 1° that can be turned one way before something is lost, at most 359. */
static guint
turn (DwnTerminals *terminals, const DwnBudgetBase *base, guint antenna, double aim_deg,
      int direction, const gboolean *keep)
{
  guint steps = 0;

  while (steps < 359
         && keeps_all (terminals, base, antenna,
                       fmod (aim_deg + direction * (double) (steps + 1) + 720.0, 360.0), keep))
    steps++;
  return steps;
}

void
dwn_aim_window (const DwnBudgetBase *base, const double *aim_deg, guint antenna, double *from_deg,
                double *to_deg)
{
  g_return_if_fail (antenna < base->n_antennas);

  g_autoptr (DwnBudget) budget = dwn_budget_new (base, aim_deg);
  g_autofree gboolean *keep = to_keep (base->plan, budget);
  gboolean any = FALSE;
  DwnTerminals terminals;

  for (guint i = 0; i < budget->n_stations; i++)
    any |= keep[i];
  *from_deg = *to_deg = (double) NAN;
  if (!any)
    return;
  dwn_terminals_init (&terminals, base);
  for (guint a = 0; a < base->n_antennas; a++)
    dwn_terminals_point (&terminals, base, a, aim_deg[a]);
  guint right = turn (&terminals, base, antenna, aim_deg[antenna], 1, keep);
  guint left = right == 359 ? 0 : turn (&terminals, base, antenna, aim_deg[antenna], -1, keep);
  dwn_terminals_clear (&terminals);
  *from_deg = right == 359 ? 0.0 : fmod (aim_deg[antenna] - left + 360.0, 360.0);
  *to_deg = right == 359 ? 360.0 : fmod (aim_deg[antenna] + right, 360.0);
}
