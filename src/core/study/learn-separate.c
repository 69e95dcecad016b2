/* Which explanations the readings do not tell apart, and what would. */
#include "core/study/learn-private.h"

#include <math.h>

/* So many are looked at; the first ones of the plan are. */
#define STATIONS_MAX 40
#define PARTS_MAX 32

/* A cause, or a slip of one reading. */
typedef struct {
  int cause, slip;
} Explanation;

static gboolean
is_departure (const DwnDeparture *departure, const Explanation *explanation)
{
  return departure->cause == explanation->cause && departure->slip == explanation->slip;
}

static gboolean
holds (const DwnLearnModel *model, const DwnHypothesis *hypothesis, const Explanation *explanation)
{
  for (guint a = 0; a < hypothesis->n; a++)
    if (is_departure (&model->departure[hypothesis->departure[a]], explanation))
      return TRUE;
  return FALSE;
}

/* Chance of the one without the other. */
static double
chance_without (const DwnLearnModel *model, const Explanation *with, const Explanation *without)
{
  double chance = 0.0;

  for (guint h = 0; h < model->hypotheses->len; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);

      if (holds (model, hypothesis, with) && !holds (model, hypothesis, without))
        chance += hypothesis->weight;
    }
  return chance;
}

/* Mean and variance of a belief under the one without the other. */
typedef struct {
  double mean, variance;
} Moments;

static Moments
moments_under (const DwnLearnModel *model, const DwnBelief *belief, const Explanation *with,
               const Explanation *without)
{
  double sum = 0.0, first = 0.0, second = 0.0;

  for (guint h = 0; h < belief->n; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);
      double mean = belief->mean[h], sd = belief->sd[h];

      if (!holds (model, hypothesis, with) || holds (model, hypothesis, without))
        continue;
      sum += belief->weight[h];
      first += belief->weight[h] * mean;
      second += belief->weight[h] * (mean * mean + sd * sd);
    }
  return (Moments) { first / sum, second / sum - (first / sum) * (first / sum) };
}

/* By how many standard deviations the two differ in what they say of one more reading. */
static double
separation (const DwnLearnModel *model, const DwnBelief *belief, const Explanation *a,
            const Explanation *b)
{
  const DwnLearnRules *rules = &model->world.rules;
  Moments first = moments_under (model, belief, a, b), second = moments_under (model, belief, b, a);
  double own = rules->meter_sd_db * rules->meter_sd_db + rules->day_sd_db * rules->day_sd_db;

  return fabs (first.mean - second.mean) / sqrt (0.5 * (first.variance + second.variance) + own);
}

static gboolean
is_read (const DwnLearnModel *model, guint station)
{
  for (guint k = 0; k < model->n; k++)
    if (g_array_index (model->observations, DwnObservation, k).sight.station == station)
      return TRUE;
  return FALSE;
}

/* Where a meter can be put: the ends, and where an amplifier or a supply is unscrewed anyway. */
static gboolean
is_readable (DwnPartKind kind)
{
  return kind == DWN_PART_ANTENNA || kind == DWN_PART_AMPLIFIER || kind == DWN_PART_INSERTER
         || kind == DWN_PART_SURGE || kind == DWN_PART_OUTLET;
}

static void
add_sights_of (const DwnLearnModel *model, guint station, GArray *sights)
{
  const DwnChain *gear = model->world.plan->gear;
  guint n = 0;

  for (guint part = 0; part < gear->n_parts && n < PARTS_MAX; part++)
    {
      DwnSight sight;

      if (!is_readable (gear->part[part].kind)
          || !dwn_learn_sight (&model->world, station, part, &sight)
          || sight.level_dbm < model->world.rules.least_dbm)
        continue;
      g_array_append_val (sights, sight);
      n++;
    }
}

/* Stations that were read, or are wanted. */
static GArray *
candidates (const DwnLearnModel *model)
{
  const DwnPlan *plan = model->world.plan;
  GArray *sights = g_array_new (FALSE, FALSE, sizeof (DwnSight));
  guint n = 0;

  for (guint i = 0; i < plan->stations->n && n < STATIONS_MAX; i++)
    if (is_read (model, i)
        || dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      {
        add_sights_of (model, i, sights);
        n++;
      }
  return sights;
}

/* Explanations that are suspected: causes in the order in which they are listed, then slips. */
static GArray *
suspects (const DwnLearnModel *model, const guint *order)
{
  GArray *list = g_array_new (FALSE, FALSE, sizeof (Explanation));

  for (guint c = 0; c < model->world.causes->len; c++)
    {
      Explanation explanation = { (int) order[c], -1 };

      if (dwn_cause_chance (model, order[c]) >= DWN_LEARNED_SUSPECTED)
        g_array_append_val (list, explanation);
    }
  for (guint k = 0; k < model->n; k++)
    {
      Explanation explanation = { -1, (int) k };

      if (dwn_slip_chance (model, k) >= DWN_LEARNED_SUSPECTED)
        g_array_append_val (list, explanation);
    }
  return list;
}

static gboolean
are_undecided (const DwnLearnModel *model, const Explanation *a, const Explanation *b)
{
  double first = chance_without (model, a, b), second = chance_without (model, b, a);

  return fmin (first, second) >= DWN_LEARNED_SUSPECTED
         && fmax (first, second) < DWN_LEARNED_ODDS * fmin (first, second);
}

/* @beliefs: DwnBelief, one a sight. */
static void
find_next (const DwnLearnModel *model, const Explanation *a, const Explanation *b,
           const GArray *sights, const GArray *beliefs, DwnUndecided *pair)
{
  pair->station = pair->part = -1;
  pair->deviates = 0.0;
  for (guint s = 0; s < sights->len; s++)
    {
      const DwnSight *sight = &g_array_index (sights, DwnSight, s);
      double deviates = separation (model, &g_array_index (beliefs, DwnBelief, s), a, b);

      if (deviates <= pair->deviates)
        continue;
      pair->deviates = deviates;
      pair->station = (int) sight->station;
      pair->part = (int) sight->part;
    }
  /* What differs by less than its own error parts nothing. */
  if (pair->deviates < 1.0)
    pair->station = pair->part = -1;
}

static void
clear_belief (gpointer data)
{
  dwn_belief_clear (data);
}

static guint
place_in (const guint *order, guint n, int cause)
{
  for (guint c = 0; c < n; c++)
    if ((int) order[c] == cause)
      return c;
  return n;
}

/* Two slips are one reading or the other: that is not for the gear to tell. */
static gboolean
is_pair (const DwnLearnModel *model, const Explanation *a, const Explanation *b)
{
  return (a->cause >= 0 || b->cause >= 0) && are_undecided (model, a, b);
}

GArray *
dwn_learn_undecided (const DwnLearnModel *model, const guint *order)
{
  GArray *pairs = g_array_new (FALSE, FALSE, sizeof (DwnUndecided));
  g_autoptr (GArray) list = suspects (model, order);
  g_autoptr (GArray) sights = list->len > 1 ? candidates (model)
                                            : g_array_new (FALSE, FALSE, sizeof (DwnSight));
  g_autoptr (GArray) beliefs = g_array_new (FALSE, TRUE, sizeof (DwnBelief));

  g_array_set_clear_func (beliefs, clear_belief);
  g_array_set_size (beliefs, sights->len);
  for (guint s = 0; s < sights->len; s++)
    dwn_believe_sight (model, &g_array_index (sights, DwnSight, s),
                       &g_array_index (beliefs, DwnBelief, s));
  for (guint i = 0; i < list->len; i++)
    for (guint j = i + 1; j < list->len; j++)
      {
        const Explanation *a = &g_array_index (list, Explanation, i);
        const Explanation *b = &g_array_index (list, Explanation, j);
        guint n = model->world.causes->len;
        DwnUndecided pair = { place_in (order, n, a->cause), place_in (order, n, b->cause), -1,
                              -1, -1, 0.0 };

        if (!is_pair (model, a, b))
          continue;
        if (b->slip >= 0)
          pair.reading = (int) g_array_index (model->observations, DwnObservation, b->slip).reading;
        find_next (model, a, b, sights, beliefs, &pair);
        g_array_append_val (pairs, pair);
      }
  return pairs;
}
