#include "core/study/phases.h"

#include "core/antenna/pair.h"
#include "core/chain/head.h"
#include "core/study/budget-private.h"

/* The antennas of a plan that a hybrid joins, by their numbers; one for another band, or −1. */
typedef struct {
  guint part; /* the hybrid */
  guint of_pair[2];
  int other;
} Pair;

/* Which antenna is the only one behind input @port of @part; −1: none, or several. */
static int
antenna_at (const DwnChain *gear, guint part, guint port)
{
  int edge = gear->in_edge[gear->in_first[part] + port];
  guint antennas = edge < 0 ? 0 : dwn_chain_antennas_of (gear, gear->edge[edge].from_part);

  for (guint a = 0; a < gear->n_antennas; a++)
    if (antennas == 1u << a)
      return (int) a;
  return -1;
}

/* FALSE where no hybrid joins just two antennas. */
static gboolean
find_pair (const DwnChain *gear, Pair *pair)
{
  if (gear->n_antennas < 2 || gear->n_antennas > 3)
    return FALSE;
  for (guint part = 0; part < gear->n_parts; part++)
    {
      if (gear->part[part].kind != DWN_PART_COMBINER || !gear->type[part]->hybrid
          || gear->type[part]->n_in != 2)
        continue;
      int first = antenna_at (gear, part, 0), second = antenna_at (gear, part, 1);

      if (first < 0 || second < 0 || first == second)
        continue;
      *pair = (Pair) { part, { (guint) first, (guint) second }, -1 };
      if (gear->n_antennas == 3)
        pair->other = 3 - first - second;
      return TRUE;
    }
  return FALSE;
}

/* The budget of the same plan with one antenna of the pair only. NULL: it cannot be wired. */
static DwnBudget *
budget_alone (const DwnBudgetBase *base, const Pair *pair, guint kept, const double *aim_deg)
{
  const DwnPlan *plan = base->plan;
  const guint antenna[] = { pair->of_pair[kept], (guint) MAX (pair->other, 0) };
  guint n = pair->other < 0 ? 1 : 2;
  DwnPart part[2];
  double aims_deg[2], below_m[2];

  for (guint a = 0; a < n; a++)
    {
      part[a] = plan->gear->part[plan->gear->antenna[antenna[a]]];
      aims_deg[a] = aim_deg[antenna[a]];
      below_m[a] = part[a].below_top_m;
    }
  g_autoptr (DwnChain) gear = dwn_chain_with_head (
    plan->gear, n == 1 ? DWN_ARRANGEMENT_ONE : DWN_ARRANGEMENT_SPLIT_BY_BAND, n, part, NULL);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnAims) aims = dwn_aims_new (n, aims_deg);
  g_autoptr (DwnPlan) lone = dwn_plan_with_gear (plan, gear, aims);
  g_autoptr (DwnFields) fields = dwn_fields_at_heights (base->fields, plan, n, below_m);
  g_autoptr (DwnBudgetBase) lone_base = dwn_budget_base_new (lone, fields, base->tables);

  return dwn_budget_new (lone_base, aims_deg);
}

/* The margin where the carrier is @more_db stronger: an overload stays one. */
static double
margin_db (const DwnReception *reception, double more_db)
{
  double margin = reception->cn_db + more_db - reception->needed_db;

  return reception->headroom_db < 0.0 ? fmin (margin, reception->headroom_db) : margin;
}

/* Of two fields a² + b² is the mean power, (a − b)² the worst: (a + b)² = 2(a² + b²) − (a − b)². */
static double
best_over_worst_db (const DwnReception *reception)
{
  double mean = exp ((reception->level_dbm - reception->worst_dbm) * (G_LN10 / 10.0));

  return dwn_db_of_ratio (2.0 * mean - 1.0);
}

static DwnPhases
phases_of (const DwnBudget *budget, guint station, const DwnBudget *const *alone)
{
  gsize at = (gsize) station * budget->n_outlets + budget->weakest[station];
  const DwnReception *reception = &budget->reception[at];
  double most_db = -(double) INFINITY;
  DwnPhases phases = {
    .station = station,
    .mean_db = margin_db (reception, reception->level_dbm - reception->worst_dbm),
    .best_db = margin_db (reception, best_over_worst_db (reception)),
    .worst_db = reception->margin_db, .alone_db = (double) NAN, .noise_db = (double) NAN,
  };

  for (guint a = 0; a < 2; a++)
    {
      double lone_db = alone[a] != NULL ? alone[a]->reception[at].margin_db : (double) NAN;

      if (!(lone_db > most_db))
        continue;
      most_db = phases.alone_db = lone_db;
      phases.noise_db = reception->noise_dbm - alone[a]->reception[at].noise_dbm;
    }
  return phases;
}

DwnPhases *
dwn_phases_new (const DwnBudgetBase *base, const DwnBudget *budget, const double *aim_deg)
{
  g_return_val_if_fail (base != NULL && budget != NULL && aim_deg != NULL, NULL);
  g_return_val_if_fail (budget->n_stations == base->n, NULL);

  Pair pair;

  if (budget->n_outlets == 0 || !find_pair (base->plan->gear, &pair))
    return NULL;
  g_autoptr (DwnBudget) first = budget_alone (base, &pair, 0, aim_deg);
  g_autoptr (DwnBudget) second = budget_alone (base, &pair, 1, aim_deg);
  const DwnBudget *const alone[] = { first, second };
  DwnPhases *phases = g_new (DwnPhases, base->n + 1);
  for (guint i = 0; i < base->n; i++)
    phases[i] = phases_of (budget, i, alone);
  return phases;
}

gboolean
dwn_phases_pattern (const DwnChain *gear, const double *aim_deg, double mhz, guint n, double *mean_dbi,
                    double *best_dbi, double *worst_dbi)
{
  g_return_val_if_fail (gear != NULL && aim_deg != NULL, FALSE);

  Pair pair;
  const DwnPattern *pattern[2];
  double through_db[2];

  if (!find_pair (gear, &pair))
    return FALSE;
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, mhz, 0);
  const DwnPoint *out = &cascade->out[cascade->out_first[pair.part]];
  double most = 0.0;
  for (guint k = 0; k < 2; k++)
    most = fmax (most, dwn_cascade_input (cascade, gear, pair.part, k)->gain[pair.of_pair[k]]);
  for (guint k = 0; k < 2; k++)
    {
      pattern[k] = gear->part[gear->antenna[pair.of_pair[k]]].pattern;
      through_db[k] = dwn_db_of_ratio (out->gain[pair.of_pair[k]] / most);
    }
  for (guint i = 0; i < n; i++)
    {
      double bearing_deg = i * 360.0 / n;
      DwnPairGain sum = dwn_pair_sum (
        through_db[0] + dwn_pattern_gain_dbi (pattern[0], bearing_deg - aim_deg[pair.of_pair[0]], mhz),
        through_db[1] + dwn_pattern_gain_dbi (pattern[1], bearing_deg - aim_deg[pair.of_pair[1]], mhz));

      mean_dbi[i] = sum.mean_db;
      best_dbi[i] = sum.best_db;
      worst_dbi[i] = sum.worst_db;
    }
  return TRUE;
}

static gboolean
is_any_marked (const DwnServices *services)
{
  for (guint s = 0; s < services->n; s++)
    if (services->service[s].wanted != DWN_WANTED_NO)
      return TRUE;
  return FALSE;
}

const DwnPhases *
dwn_phases_widest (const DwnPhases *phases, const DwnPlan *plan, const DwnBudget *budget)
{
  g_return_val_if_fail (phases != NULL && plan != NULL && budget != NULL, NULL);

  gboolean any_marked = is_any_marked (plan->services);
  const DwnPhases *widest = NULL;

  for (guint i = 0; i < plan->stations->n; i++)
    {
      if (!budget->held[i]
          || (any_marked
              && dwn_station_wanted (&plan->stations->station[i], plan->services) == DWN_WANTED_NO))
        continue;
      if (widest == NULL || dwn_phases_ripple_db (&phases[i]) > dwn_phases_ripple_db (widest))
        widest = &phases[i];
    }
  return widest;
}
