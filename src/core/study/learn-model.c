/* The sums of learning: normal distributions under each of many hypotheses.
 *
 * With nothing out of the ordinary the excesses are normal with mean 0 and covariance S. Everything
 * is divided by the root of S (Cholesky) once; then a hypothesis with departures of columns C,
 * centres that give the means m and variances V has, for the residual d = y − m,
 *   value of the departures: x = M⁻¹ Cᵀ d with covariance M⁻¹, where M = V⁻¹ + Cᵀ C,
 *   evidence: −½ (dᵀ d − xᵀ M x + log det V + log det M) up to what all hypotheses share
 * (C. M. Bishop, Pattern Recognition and Machine Learning, 2006, sections 2.3.3 and 3.5). */
#include "core/study/learn-private.h"

#include <math.h>

#include "core/radio/normal.h"

/* Hypotheses less likely than the best by more than this are dropped: e^-9, one in
 * eight thousand. */
#define NEGLIGIBLE_LOG 9.0
/* An aim is looked at in steps of so many degrees; between them its pattern is
 * taken for straight. */
#define AIM_STEP_DEG 6.0
#define AIM_STEPS 12
#define BISECTIONS 40

/* Vectors */

static double
dot (guint n, const double *a, const double *b)
{
  double sum = 0.0;

  for (guint i = 0; i < n; i++)
    sum += a[i] * b[i];
  return sum;
}

/* Lower triangle in place. A pivot that rounding made nothing of counts as the least there is. */
static void
take_root (guint n, double *matrix)
{
  for (guint j = 0; j < n; j++)
    {
      double *row = &matrix[(gsize) j * n];
      double pivot = row[j] - dot (j, row, row);

      row[j] = sqrt (fmax (pivot, 1e-9));
      for (guint i = j + 1; i < n; i++)
        {
          double *below = &matrix[(gsize) i * n];
          below[j] = (below[j] - dot (j, below, row)) / row[j];
        }
    }
}

/* Divides by the root in place. */
static void
whiten (guint n, const double *root, double *vector)
{
  for (guint i = 0; i < n; i++)
    {
      const double *row = &root[(gsize) i * n];
      vector[i] = (vector[i] - dot (i, row, vector)) / row[i];
    }
}

/* Departures */

static const DwnObservation *
observation_at (const DwnLearnModel *model, guint k)
{
  return &g_array_index (model->observations, DwnObservation, k);
}

static void
add_departure (DwnLearnModel *model, DwnDeparture departure)
{
  DwnDeparture *self = &model->departure[model->n_departures++];

  *self = departure;
  self->offset = g_new0 (double, MAX (model->n, 1));
  self->column = g_new0 (double, MAX (model->n, 1));
  for (guint k = 0; k < model->n; k++)
    if (self->cause < 0)
      self->column[k] = (int) k == self->slip ? 1.0 : 0.0;
    else
      {
        const DwnSight *sight = &observation_at (model, k)->sight;

        self->offset[k] = dwn_cause_effect_db (&model->world, (guint) self->cause, sight,
                                               self->centre);
        self->column[k] = dwn_cause_slope_db (&model->world, (guint) self->cause, sight,
                                              self->centre);
      }
  whiten (model->n, model->root, self->offset);
  whiten (model->n, model->root, self->column);
}

static double
log_odds (double chance)
{
  return log (chance / (1.0 - chance));
}

/* An aim's prior is a row of narrow normals that together make the wide one; those near 0 are what
 * is ordinary. */
static void
add_aims (DwnLearnModel *model, guint cause, const DwnLearnRule *rule)
{
  double sum = 0.0;

  for (int step = 2; step <= AIM_STEPS; step++)
    sum += 2.0 * exp (-0.5 * pow (step * AIM_STEP_DEG / rule->fault_sd, 2.0));
  for (int step = -AIM_STEPS; step <= AIM_STEPS; step++)
    {
      double share = exp (-0.5 * pow (step * AIM_STEP_DEG / rule->fault_sd, 2.0)) / sum;
      DwnDeparture departure = { .cause = (int) cause, .slip = -1, .centre = step * AIM_STEP_DEG,
                                 .variance = 0.25 * AIM_STEP_DEG * AIM_STEP_DEG,
                                 .log_odds = log_odds (rule->chance) + log (share) };

      if (ABS (step) >= 2)
        add_departure (model, departure);
    }
}

/* Sites share their kind's chance: half is for those all round. */
static double
site_share (const GArray *causes)
{
  guint n = 0;

  for (guint c = 0; c < causes->len; c++)
    n += g_array_index (causes, DwnLearnedCause, c).kind == DWN_LEARNED_SITE;
  return 1.0 / MAX (n, 1);
}

static void
add_departures (DwnLearnModel *model)
{
  const GArray *causes = model->world.causes;
  const DwnLearnRules *rules = &model->world.rules;
  double share = site_share (causes);

  model->departure = g_new (DwnDeparture, (gsize) causes->len * 2 * AIM_STEPS + model->n + 1);
  for (guint c = 0; c < causes->len; c++)
    {
      DwnLearnedKind kind = g_array_index (causes, DwnLearnedCause, c).kind;
      const DwnLearnRule *rule = &rules->cause[kind];
      double chance = kind == DWN_LEARNED_SITE ? rule->chance * share : rule->chance;
      DwnDeparture departure = { .cause = (int) c, .slip = -1, .centre = rule->fault,
                                 .variance = rule->fault_sd * rule->fault_sd,
                                 .log_odds = log_odds (chance) };

      if (kind == DWN_LEARNED_AIM)
        add_aims (model, c, rule);
      else
        add_departure (model, departure);
    }
  for (guint k = 0; k < model->n; k++)
    add_departure (model, (DwnDeparture) { .cause = -1, .slip = (int) k,
                                           .variance = rules->slip_sd_db * rules->slip_sd_db,
                                           .log_odds = log_odds (rules->slip_chance) });
}

/* Hypotheses */

/* Inner products of everything with everything, so that a hypothesis costs a few sums. */
typedef struct {
  guint n;
  double residual;                        /* yᵀ y */
  double *of_column, *of_offset;          /* [n]: with y */
  double *columns, *offsets, *across;     /* [n · n]; across: column of the row with offset */
} Products;

static void
products_init (Products *self, const DwnLearnModel *model)
{
  guint n = model->n_departures;

  *self = (Products) {
    .n = n, .residual = dot (model->n, model->excess, model->excess),
    .of_column = g_new (double, MAX (n, 1)), .of_offset = g_new (double, MAX (n, 1)),
    .columns = g_new (double, MAX ((gsize) n * n, 1)),
    .offsets = g_new (double, MAX ((gsize) n * n, 1)),
    .across = g_new (double, MAX ((gsize) n * n, 1)),
  };
  for (guint a = 0; a < n; a++)
    {
      const DwnDeparture *row = &model->departure[a];

      self->of_column[a] = dot (model->n, row->column, model->excess);
      self->of_offset[a] = dot (model->n, row->offset, model->excess);
      for (guint b = 0; b < n; b++)
        {
          gsize at = (gsize) a * n + b;
          self->columns[at] = dot (model->n, row->column, model->departure[b].column);
          self->offsets[at] = dot (model->n, row->offset, model->departure[b].offset);
          self->across[at] = dot (model->n, row->column, model->departure[b].offset);
        }
    }
}

static void
products_clear (Products *self)
{
  g_free (self->of_column);
  g_free (self->of_offset);
  g_free (self->columns);
  g_free (self->offsets);
  g_free (self->across);
}

/* Cᵀ d of one of the hypothesis's departures. */
static double
pull (const Products *products, const DwnHypothesis *hypothesis, guint a)
{
  double sum = products->of_column[hypothesis->departure[a]];

  for (guint b = 0; b < hypothesis->n; b++)
    sum -= products->across[(gsize) hypothesis->departure[a] * products->n + hypothesis->departure[b]];
  return sum;
}

/* dᵀ d */
static double
residual_left (const Products *products, const DwnHypothesis *hypothesis)
{
  double sum = products->residual;

  for (guint a = 0; a < hypothesis->n; a++)
    {
      sum -= 2.0 * products->of_offset[hypothesis->departure[a]];
      for (guint b = 0; b < hypothesis->n; b++)
        sum += products->offsets[(gsize) hypothesis->departure[a] * products->n
                                 + hypothesis->departure[b]];
    }
  return sum;
}

/* Fills M⁻¹; returns log det M. */
static double
invert (const Products *products, const DwnLearnModel *model, DwnHypothesis *hypothesis)
{
  double m[2][2] = { { 1.0, 0.0 }, { 0.0, 1.0 } };

  for (guint a = 0; a < hypothesis->n; a++)
    for (guint b = 0; b < hypothesis->n; b++)
      m[a][b] = products->columns[(gsize) hypothesis->departure[a] * products->n
                                  + hypothesis->departure[b]]
                + (a == b ? 1.0 / model->departure[hypothesis->departure[a]].variance : 0.0);
  double determinant = m[0][0] * m[1][1] - m[0][1] * m[1][0];
  hypothesis->inverse[0][0] = m[1][1] / determinant;
  hypothesis->inverse[1][1] = m[0][0] / determinant;
  hypothesis->inverse[0][1] = hypothesis->inverse[1][0] = -m[0][1] / determinant;
  return log (determinant);
}

/* Leaves the logarithm of its chance, but for what all share, in its weight. */
static void
weigh (const Products *products, const DwnLearnModel *model, DwnHypothesis *hypothesis)
{
  double log_det = invert (products, model, hypothesis);
  double pulls[2] = { 0.0, 0.0 }, explained = 0.0, prior = 0.0;

  for (guint a = 0; a < hypothesis->n; a++)
    {
      const DwnDeparture *departure = &model->departure[hypothesis->departure[a]];

      pulls[a] = pull (products, hypothesis, a);
      prior += departure->log_odds;
      log_det += log (departure->variance);
    }
  for (guint a = 0; a < hypothesis->n; a++)
    {
      hypothesis->value[a] = hypothesis->inverse[a][0] * pulls[0] + hypothesis->inverse[a][1] * pulls[1];
      explained += hypothesis->value[a] * pulls[a];
    }
  hypothesis->weight = prior - 0.5 * (residual_left (products, hypothesis) - explained + log_det);
}

/* Two values of one cause, or two slips, are not looked at together: a second slip shows once the
 * first reading is out. */
static gboolean
go_together (const DwnDeparture *a, const DwnDeparture *b)
{
  return a->cause != b->cause;
}

static int
compare_weights (gconstpointer a, gconstpointer b)
{
  double x = ((const DwnHypothesis *) a)->weight, y = ((const DwnHypothesis *) b)->weight;

  return x > y ? -1 : x < y;
}

/* From logarithms to chances. */
static void
normalise (GArray *hypotheses)
{
  double best = g_array_index (hypotheses, DwnHypothesis, 0).weight, sum = 0.0;
  guint n = 0;

  while (n < hypotheses->len
         && g_array_index (hypotheses, DwnHypothesis, n).weight > best - NEGLIGIBLE_LOG)
    n++;
  g_array_set_size (hypotheses, n);
  for (guint h = 0; h < n; h++)
    {
      double *weight = &g_array_index (hypotheses, DwnHypothesis, h).weight;
      *weight = exp (*weight - best);
      sum += *weight;
    }
  for (guint h = 0; h < n; h++)
    g_array_index (hypotheses, DwnHypothesis, h).weight /= sum;
}

static void
find_hypotheses (DwnLearnModel *model)
{
  Products products;
  DwnHypothesis none = { 0 };

  products_init (&products, model);
  weigh (&products, model, &none);
  g_array_append_val (model->hypotheses, none);
  for (guint a = 0; a < model->n_departures; a++)
    {
      DwnHypothesis one = { .n = 1, .departure = { a } };

      weigh (&products, model, &one);
      g_array_append_val (model->hypotheses, one);
      for (guint b = a + 1; b < model->n_departures; b++)
        {
          DwnHypothesis two = { .n = 2, .departure = { a, b } };

          if (!go_together (&model->departure[a], &model->departure[b]))
            continue;
          weigh (&products, model, &two);
          g_array_append_val (model->hypotheses, two);
        }
    }
  products_clear (&products);
  g_array_sort (model->hypotheses, compare_weights);
  normalise (model->hypotheses);
}

static void
fill_covariance (DwnLearnModel *model)
{
  for (guint a = 0; a < model->n; a++)
    for (guint b = 0; b <= a; b++)
      model->root[(gsize) a * model->n + b]
        = dwn_sights_covariance (&model->world, &observation_at (model, a)->sight,
                                 &observation_at (model, b)->sight)
          + dwn_observations_covariance (&model->world, observation_at (model, a),
                                         observation_at (model, b), a == b);
}

void
dwn_learn_model_fit (DwnLearnModel *model)
{
  guint n = model->observations->len;

  model->n = n;
  model->root = g_new0 (double, MAX ((gsize) n * n, 1));
  model->excess = g_new (double, MAX (n, 1));
  model->n_departures = 0;
  model->hypotheses = g_array_new (FALSE, FALSE, sizeof (DwnHypothesis));
  fill_covariance (model);
  take_root (n, model->root);
  for (guint k = 0; k < n; k++)
    model->excess[k] = observation_at (model, k)->excess_db;
  whiten (n, model->root, model->excess);
  add_departures (model);
  find_hypotheses (model);
}

void
dwn_learn_model_unfit (DwnLearnModel *model)
{
  for (guint a = 0; a < model->n_departures; a++)
    {
      g_free (model->departure[a].offset);
      g_free (model->departure[a].column);
    }
  g_clear_pointer (&model->departure, g_free);
  g_clear_pointer (&model->root, g_free);
  g_clear_pointer (&model->excess, g_free);
  g_clear_pointer (&model->hypotheses, g_array_unref);
}

double
dwn_cause_chance (const DwnLearnModel *model, guint cause)
{
  double chance = 0.0;

  for (guint h = 0; h < model->hypotheses->len; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);

      for (guint a = 0; a < hypothesis->n; a++)
        if (model->departure[hypothesis->departure[a]].cause == (int) cause)
          chance += hypothesis->weight;
    }
  return chance;
}

double
dwn_slip_chance (const DwnLearnModel *model, guint observation)
{
  double chance = 0.0;

  for (guint h = 0; h < model->hypotheses->len; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);

      for (guint a = 0; a < hypothesis->n; a++)
        if (model->departure[hypothesis->departure[a]].slip == (int) observation)
          chance += hypothesis->weight;
    }
  return chance;
}

/* Beliefs */

void
dwn_belief_clear (DwnBelief *belief)
{
  g_clear_pointer (&belief->weight, g_free);
  g_clear_pointer (&belief->mean, g_free);
  g_clear_pointer (&belief->sd, g_free);
}

double
dwn_belief_mean (const DwnBelief *belief)
{
  return dot (belief->n, belief->weight, belief->mean);
}

double
dwn_belief_sd (const DwnBelief *belief)
{
  double mean = dwn_belief_mean (belief), variance = 0.0;

  for (guint h = 0; h < belief->n; h++)
    variance += belief->weight[h] * (belief->sd[h] * belief->sd[h]
                                     + (belief->mean[h] - mean) * (belief->mean[h] - mean));
  return sqrt (variance);
}

static double
share_below (const DwnBelief *belief, double value)
{
  double share = 0.0;

  for (guint h = 0; h < belief->n; h++)
    share += belief->weight[h]
             * dwn_normal_share ((value - belief->mean[h]) / fmax (belief->sd[h], 1e-9));
  return share;
}

double
dwn_belief_quantile (const DwnBelief *belief, double share)
{
  double mean = dwn_belief_mean (belief), wide = 12.0 * dwn_belief_sd (belief) + 1e-6;
  double low = mean - wide, high = mean + wide;

  for (guint step = 0; step < BISECTIONS; step++)
    {
      double middle = 0.5 * (low + high);

      if (share_below (belief, middle) < share)
        low = middle;
      else
        high = middle;
    }
  return 0.5 * (low + high);
}

/* What is asked about: its variance and covariance with the readings while nothing is out of the
 * ordinary, and what each departure does to it. */
typedef struct {
  double variance;
  double *link;              /* [n], whitened */
  double *offset, *slope;    /* [departures] */
} Question;

static void
question_init (Question *self, const DwnLearnModel *model)
{
  self->variance = 0.0;
  self->link = g_new0 (double, MAX (model->n, 1));
  self->offset = g_new0 (double, MAX (model->n_departures, 1));
  self->slope = g_new0 (double, MAX (model->n_departures, 1));
}

/* Answers, and clears the question.
 *   mean: Σ offset + linkᵀ d + Σ (slope − linkᵀ c) x;  variance: v − linkᵀ link + the same of M⁻¹ */
static void
answer (Question *self, const DwnLearnModel *model, DwnBelief *belief)
{
  guint n = model->n, n_hypotheses = model->hypotheses->len;
  double known = dot (n, self->link, model->excess);
  double rest = fmax (self->variance - dot (n, self->link, self->link), 0.0);

  for (guint a = 0; a < model->n_departures; a++)
    {
      self->offset[a] -= dot (n, self->link, model->departure[a].offset);
      self->slope[a] -= dot (n, self->link, model->departure[a].column);
    }
  *belief = (DwnBelief) { n_hypotheses, g_new (double, n_hypotheses), g_new (double, n_hypotheses),
                          g_new (double, n_hypotheses) };
  for (guint h = 0; h < n_hypotheses; h++)
    {
      const DwnHypothesis *hypothesis = &g_array_index (model->hypotheses, DwnHypothesis, h);
      double mean = known, variance = rest;

      for (guint a = 0; a < hypothesis->n; a++)
        {
          double slope = self->slope[hypothesis->departure[a]];

          mean += self->offset[hypothesis->departure[a]] + slope * hypothesis->value[a];
          for (guint b = 0; b < hypothesis->n; b++)
            variance += slope * hypothesis->inverse[a][b] * self->slope[hypothesis->departure[b]];
        }
      belief->weight[h] = hypothesis->weight;
      belief->mean[h] = mean;
      belief->sd[h] = sqrt (fmax (variance, 0.0));
    }
  g_free (self->link);
  g_free (self->offset);
  g_free (self->slope);
}

void
dwn_believe_cause (const DwnLearnModel *model, guint cause, DwnBelief *belief)
{
  DwnLearnedKind kind = g_array_index (model->world.causes, DwnLearnedCause, cause).kind;
  double sd = model->world.rules.cause[kind].usual_sd;
  Question question;

  question_init (&question, model);
  question.variance = sd * sd;
  for (guint k = 0; k < model->n; k++)
    question.link[k] = sd * sd * dwn_cause_slope_db (&model->world, cause,
                                                     &observation_at (model, k)->sight, 0.0);
  whiten (model->n, model->root, question.link);
  for (guint a = 0; a < model->n_departures; a++)
    if (model->departure[a].cause == (int) cause)
      {
        question.offset[a] = model->departure[a].centre;
        question.slope[a] = 1.0;
      }
  answer (&question, model, belief);
}

void
dwn_believe_sight (const DwnLearnModel *model, const DwnSight *sight, DwnBelief *belief)
{
  const DwnLearnWorld *world = &model->world;
  Question question;

  question_init (&question, model);
  question.variance = dwn_sights_covariance (world, sight, sight);
  for (guint k = 0; k < model->n; k++)
    question.link[k] = dwn_sights_covariance (world, sight, &observation_at (model, k)->sight);
  whiten (model->n, model->root, question.link);
  for (guint a = 0; a < model->n_departures; a++)
    if (model->departure[a].cause >= 0)
      {
        guint cause = (guint) model->departure[a].cause;

        question.offset[a] = dwn_cause_effect_db (world, cause, sight, model->departure[a].centre);
        question.slope[a] = dwn_cause_slope_db (world, cause, sight, model->departure[a].centre);
      }
  answer (&question, model, belief);
}
