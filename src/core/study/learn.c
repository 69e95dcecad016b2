#include "core/study/learn-private.h"

#include <math.h>

/* A reading that is rather a slip than not is left out; no more than one in so many. */
#define SLIP_LIMIT 0.5
#define SLIPS_ONE_OF 4

#define LOW_SHARE 0.05
#define HIGH_SHARE 0.95

static int
likeliest_slip (const DwnLearnModel *model)
{
  double most = SLIP_LIMIT;
  int slip = -1;

  for (guint k = 0; k < model->n; k++)
    {
      double chance = dwn_slip_chance (model, k);

      if (chance > most)
        {
          most = chance;
          slip = (int) k;
        }
    }
  return slip;
}

/* Leaves out one slip after the other; they end in @slips with their chances beside them. */
static void
fit_without_slips (DwnLearnModel *model, GArray *slips, GArray *chances)
{
  guint most = model->observations->len / SLIPS_ONE_OF;

  dwn_learn_model_fit (model);
  for (int slip = likeliest_slip (model); slip >= 0 && slips->len < most;
       slip = likeliest_slip (model))
    {
      double chance = dwn_slip_chance (model, (guint) slip);

      g_array_append_val (slips, g_array_index (model->observations, DwnObservation, slip));
      g_array_append_val (chances, chance);
      dwn_learn_model_unfit (model);
      g_array_remove_index (model->observations, (guint) slip);
      dwn_learn_model_fit (model);
    }
}

/* Results */

static void
fill_cause (const DwnLearnModel *model, guint index, DwnLearnedCause *cause)
{
  g_auto (DwnBelief) belief = { 0 };

  dwn_believe_cause (model, index, &belief);
  *cause = g_array_index (model->world.causes, DwnLearnedCause, index);
  cause->estimate = dwn_belief_mean (&belief);
  cause->sd = dwn_belief_sd (&belief);
  cause->low = dwn_belief_quantile (&belief, LOW_SHARE);
  cause->high = dwn_belief_quantile (&belief, HIGH_SHARE);
  cause->chance = dwn_cause_chance (model, index);
}

static int
compare_chances (gconstpointer a, gconstpointer b, gpointer data)
{
  const DwnLearnModel *model = data;
  guint i = *(const guint *) a, j = *(const guint *) b;
  double x = dwn_cause_chance (model, i), y = dwn_cause_chance (model, j);

  return x > y ? -1 : x < y ? 1 : i < j ? -1 : i > j;
}

/* Returns: (transfer full): the causes' indices, the likeliest first. */
static guint *
order_causes (const DwnLearnModel *model)
{
  guint n = model->world.causes->len;
  guint *order = g_new (guint, MAX (n, 1));

  for (guint c = 0; c < n; c++)
    order[c] = c;
  g_qsort_with_data (order, (int) n, sizeof *order, compare_chances, (gpointer) model);
  return order;
}

static void
fill_causes (DwnLearned *self, const DwnLearnModel *model)
{
  g_autofree guint *order = order_causes (model);
  DwnLearnedCause *causes = g_new (DwnLearnedCause, MAX (model->world.causes->len, 1));
  g_autoptr (GArray) undecided = dwn_learn_undecided (model, order);

  self->n_causes = model->world.causes->len;
  for (guint c = 0; c < self->n_causes; c++)
    fill_cause (model, order[c], &causes[c]);
  self->cause = causes;
  self->n_undecided = undecided->len;
  self->undecided = g_array_steal (undecided, NULL);
}

/* Slips of readings are nothing out of the ordinary of the plan's. */
static double
ordinary_chance (const DwnLearnModel *model)
{
  double chance = 0.0;

  for (guint h = 0; h < model->hypotheses->len; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);
      gboolean any = FALSE;

      for (guint a = 0; a < hypothesis->n; a++)
        any = any || model->departure[hypothesis->departure[a]].cause >= 0;
      if (!any)
        chance += hypothesis->weight;
    }
  return chance;
}

static void
fill_outliers (DwnLearned *self, const DwnLearnModel *model, const GArray *slips,
               const GArray *chances)
{
  DwnOutlier *outliers = g_new (DwnOutlier, MAX (slips->len, 1));

  for (guint k = 0; k < slips->len; k++)
    {
      const DwnObservation *slip = &g_array_index (slips, DwnObservation, k);
      g_auto (DwnBelief) belief = { 0 };

      dwn_believe_sight (model, &slip->sight, &belief);
      outliers[k] = (DwnOutlier) { slip->reading, slip->excess_db - dwn_belief_mean (&belief),
                                   g_array_index (chances, double, k) };
    }
  self->n_outliers = slips->len;
  self->outlier = outliers;
}

static gboolean
was_read (const DwnLearnModel *model, guint station)
{
  for (guint k = 0; k < model->n; k++)
    if (g_array_index (model->observations, DwnObservation, k).sight.station == station)
      return TRUE;
  return FALSE;
}

static void
fill_stations (DwnLearned *self, const DwnLearnModel *model)
{
  const DwnPlan *plan = model->world.plan;
  DwnLearnedStation *stations = g_new0 (DwnLearnedStation, MAX (plan->stations->n, 1));

  for (guint i = 0; i < plan->stations->n; i++)
    {
      const DwnSight field = { .station = i, .mhz = plan->stations->station[i].mhz,
                               .leaves = plan->method->leaves, .field_only = TRUE };
      g_auto (DwnBelief) belief = { 0 };

      dwn_believe_sight (model, &field, &belief);
      stations[i] = (DwnLearnedStation) {
        .read = was_read (model, i),
        .before_sd_db = sqrt (dwn_sights_covariance (&model->world, &field, &field)),
        .shift_db = dwn_belief_mean (&belief), .sd_db = dwn_belief_sd (&belief),
        .low_db = dwn_belief_quantile (&belief, LOW_SHARE),
        .high_db = dwn_belief_quantile (&belief, HIGH_SHARE),
      };
    }
  self->n_stations = plan->stations->n;
  self->station = stations;
}

DwnLearned *
dwn_learn (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
           const DwnLearnRules *rules)
{
  g_return_val_if_fail (fields->n == plan->stations->n, NULL);

  g_autoptr (GArray) slips = g_array_new (FALSE, FALSE, sizeof (DwnObservation));
  g_autoptr (GArray) chances = g_array_new (FALSE, FALSE, sizeof (double));
  DwnLearned *self = g_new0 (DwnLearned, 1);
  DwnLearnModel *model = g_new0 (DwnLearnModel, 1);

  dwn_learn_world_init (&model->world, plan, fields, tables, rules);
  model->observations = g_array_new (FALSE, FALSE, sizeof (DwnObservation));
  dwn_learn_observe (&model->world, model->observations);
  dwn_learn_find_causes (&model->world, model->observations);
  fit_without_slips (model, slips, chances);
  self->model = model;
  self->n_used = model->n;
  self->ordinary_chance = ordinary_chance (model);
  fill_causes (self, model);
  fill_outliers (self, model, slips, chances);
  fill_stations (self, model);
  return self;
}

void
dwn_learned_free (DwnLearned *learned)
{
  DwnLearnModel *model = (DwnLearnModel *) learned->model;

  dwn_learn_model_unfit (model);
  dwn_learn_world_clear (&model->world);
  g_array_unref (model->observations);
  g_free (model);
  g_free ((gpointer) learned->cause);
  g_free ((gpointer) learned->outlier);
  g_free ((gpointer) learned->undecided);
  g_free ((gpointer) learned->station);
  g_free (learned);
}

void
dwn_learned_level (const DwnLearned *learned, guint station, guint part, DwnLearnedLevel *level)
{
  const DwnLearnModel *model = learned->model;
  const double nan = (double) NAN;
  g_auto (DwnBelief) belief = { 0 };
  DwnSight sight;

  *level = (DwnLearnedLevel) { nan, nan, nan, nan, nan, nan };
  if (!dwn_learn_sight (&model->world, station, part, &sight))
    return;
  dwn_believe_sight (model, &sight, &belief);
  *level = (DwnLearnedLevel) {
    .before_dbm = sight.level_dbm,
    .before_sd_db = sqrt (dwn_sights_covariance (&model->world, &sight, &sight)),
    .after_dbm = sight.level_dbm + dwn_belief_mean (&belief),
    .after_sd_db = dwn_belief_sd (&belief),
    .low_dbm = sight.level_dbm + dwn_belief_quantile (&belief, LOW_SHARE),
    .high_dbm = sight.level_dbm + dwn_belief_quantile (&belief, HIGH_SHARE),
  };
}

DwnFields *
dwn_learned_fields (const DwnLearned *learned)
{
  g_autofree DwnFieldShift *shifts = g_new (DwnFieldShift, MAX (learned->n_stations, 1));

  for (guint i = 0; i < learned->n_stations; i++)
    shifts[i] = (DwnFieldShift) { learned->station[i].shift_db, learned->station[i].sd_db, 0.0 };
  return dwn_fields_shifted (learned->model->world.fields, shifts);
}
