#include "core/study/advice-scales.h"

#include <string.h>

/* Sum over the wanted stations of the best gain in dB from any antenna to this outlet. */
static double
reach_db (const DwnScales *self, guint outlet)
{
  const DwnBudgetBase *base = self->base;
  const DwnGoal *goal = &self->advisor->goal;
  double sum_db = 0.0;

  for (guint j = 0; j < goal->n_stations; j++)
    {
      double best = DWN_LEAST_RATIO;

      for (guint k = 0; k < base->n_sinks; k++)
        for (guint a = 0; base->sink[k].outlet == outlet && a < base->n_antennas; a++)
          best = fmax (best, base->sink_gain[((gsize) goal->station[j] * base->n_sinks + k)
                                             * base->n_antennas + a]);
      sum_db += dwn_db_of_ratio (best);
    }
  return sum_db;
}

static guint
farthest_outlet (const DwnScales *self)
{
  guint farthest = 0;

  for (guint o = 1; o < self->rig->plan->gear->n_outlets; o++)
    if (reach_db (self, o) < reach_db (self, farthest))
      farthest = o;
  return farthest;
}

/* Rows */

static double
sink_gain (const DwnScales *self, guint i, guint sink, guint a)
{
  const DwnBudgetBase *base = self->base;

  return base->sink_gain[((gsize) i * base->n_sinks + self->sink[sink]) * base->n_antennas + a];
}

/* Power per line of 1: the rig's gains contain the feeds of the antennas that it was wired with. */
static double
per_line (const DwnScales *self, guint i, guint a)
{
  gsize at = (gsize) i * self->rig->n + a;

  return self->rig->lying[at] / self->rig->feed[at];
}

/* Not worth adding: the scales may leave out what disturbs, never what helps. */
static gboolean
is_nothing (const DwnScales *self, const DwnRow *row, const DwnOther *other)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  double most_mw = 0.0;

  if (other->helps)
    return FALSE;
  for (guint a = 0; a < self->rig->n; a++)
    {
      double line = armoury->most_line_of_all[other->i];

      for (guint k = 0; self->rig->turns && a == 0 && k < armoury->n; k++)
        line = k == 0 ? dwn_scales_line (self, a, k, row->i, other->i)
                      : MAX (line, dwn_scales_line (self, a, k, row->i, other->i));
      most_mw = MAX (most_mw, other->coef_mw[a] * line);
    }
  return most_mw < DWN_SCALES_SLACK * row->noise_mw;
}

static void
add_others (DwnScales *self, DwnRow *row)
{
  const DwnBudgetBase *base = self->base;

  row->first_other = self->others->len;
  for (guint at = base->neighbour_first[row->i]; at < base->neighbour_first[row->i + 1]; at++)
    {
      const DwnNeighbour *neighbour = &base->neighbour[at];
      guint i = neighbour->station;
      DwnOther other = { .i = i, .helps = neighbour->helps };

      if (!neighbour->helps && neighbour->weight <= 0.0)
        continue;
      for (guint a = 0; a < base->n_antennas; a++)
        {
          double mw = neighbour->helps ? base->wanted_mw[(gsize) i * base->n_antennas + a]
                      : neighbour->weight * base->interfering_mw[(gsize) i * base->n_antennas + a];
          other.coef_mw[a] = mw * per_line (self, i, a) * sink_gain (self, i, row->sink, a);
        }
      row->helped |= other.helps;
      if (!is_nothing (self, row, &other))
        g_array_append_val (self->others, other);
    }
  row->n_others = self->others->len - row->first_other;
}

static double
ratio_of_db (double db)
{
  return exp (db * (G_LN10 / 10.0));
}

static void
fill_thresholds (const DwnScales *self, DwnRow *row)
{
  double least_sd_db = dwn_pattern_sd_db (0.0), most_sd_db = dwn_pattern_sd_db (G_MAXDOUBLE);

  row->needed = ratio_of_db (self->base->needed_db[row->i]) * (1.0 - DWN_SCALES_SLACK);
  row->fixed_db2 = dwn_base_fixed_db2 (self->base, row->i);
  row->ambient_sd_db = dwn_base_ambient_sd_db (self->base, row->i);
  row->ambient = self->base->ambient[row->i];
  row->never = row->needed * ratio_of_db (DWN_HELD_DEVIATES
                                          * dwn_sigma_db (row->fixed_db2, least_sd_db, 0.0, 0.0));
  double most_ripple_db2 = 0.0;
  for (guint a = 0; a < self->rig->n; a++)
    if (!isnan (row->ripple[a].rest))
      most_ripple_db2 = fmax (most_ripple_db2, row->ripple[a].rest + row->ripple[a].per_reflected);
  row->sure = row->needed * ratio_of_db (DWN_HELD_DEVIATES
                                         * dwn_sigma_db (row->fixed_db2 + most_ripple_db2, most_sd_db,
                                                         row->ambient_sd_db, 1.0));
}

/* What prediction, house and reflections contribute to σ where the row comes by antenna @a. */
static double
fixed_db2 (const DwnScales *self, const DwnRow *row, guint a, guint configuration)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  guint antenna = dwn_rig_antenna (self->advisor, self->rig, a, configuration);
  double feed = armoury->feed[(gsize) antenna * armoury->n_stations + row->i];

  if (!(row->coef_mw[a] > 0.0))
    return row->fixed_db2;
  /* A feed of which nobody says anything: the judge's products of ratios may come out at just under
   * 1, which reflects nothing. Never underrate. */
  double reflected = feed < 1.0 ? dwn_antenna_reflected (feed) : 0.0;
  return row->fixed_db2 + row->ripple[a].rest + row->ripple[a].per_reflected * reflected;
}

static void
add_row (DwnScales *self, GArray *rows, guint j, guint i, guint sink)
{
  const DwnBudgetBase *base = self->base;
  double gear = base->sink_noise[(gsize) i * base->n_sinks + self->sink[sink]];
  DwnRow row = { .at = self->n_rows, .j = j, .i = i, .sink = sink };

  if (isnan (gear))
    return;
  for (guint a = 0; a < base->n_antennas; a++)
    {
      double gain = sink_gain (self, i, sink, a);

      gear += gain;
      row.ripple[a] = base->ripple[((gsize) i * base->n_sinks + self->sink[sink]) * base->n_antennas + a];
      row.coef_mw[a] = base->wanted_mw[(gsize) i * base->n_antennas + a] * per_line (self, i, a) * gain;
      row.reach_mw[a] = base->noise_unit_mw[i] * gain / self->rig->feed[(gsize) i * self->rig->n + a];
    }
  row.noise_mw = base->noise_unit_mw[i] * gear;
  fill_thresholds (self, &row);
  add_others (self, &row);
  g_array_append_val (rows, row);
  self->n_rows++;
}

static void
list_rows (DwnScales *self)
{
  const DwnGoal *goal = &self->advisor->goal;

  for (guint j = 0; j < goal->n_stations; j++)
    for (guint s = 0; s < self->n_sinks; s++)
      add_row (self, self->rows, j, goal->station[j], s);
  for (guint j = 0; j < goal->n_extra_stations; j++)
    for (guint s = 0; s < self->n_sinks; s++)
      add_row (self, self->extra_rows, j, goal->extra_station[j], s);
}

/* Stages */

/* Sinks of the outlet that cannot live with stage @m beyond its limit. */
static guint64
sinks_behind (const DwnScales *self, guint m)
{
  const DwnBudgetBase *base = self->base;
  /* Where each outlet has one tuner, all of them have to live with every stage. */
  gboolean all = base->n_sinks == self->rig->plan->gear->n_outlets;
  guint64 sinks = 0;

  for (guint k = 0; k < base->n_sinks; k++)
    for (guint s = 0; s < self->n_sinks; s++)
      if (base->stage_feeds[m * base->n_sinks + k] && (all || self->sink[s] == k))
        sinks |= G_GUINT64_CONSTANT (1) << s;
  return sinks;
}

static void
fill_stage_coefs (const DwnScales *self, DwnLiveStage *stage, guint m)
{
  const DwnBudgetBase *base = self->base;
  guint na = base->n_antennas;

  for (guint a = 0; a < na; a++)
    for (guint i = 0; i < base->n; i++)
      stage->coef_mw[a][i] = base->median_mw[(gsize) i * na + a] * per_line (self, i, a)
                             * base->stage_gain[((gsize) i * base->n_stages + m) * na + a];
}

/* Over all that antenna @k can do in place @a; on a rotator the lobe may point anywhere. */
static double
most_line (const DwnScales *self, guint a, guint k, guint i)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  double most = armoury->most_line[(gsize) k * armoury->n_stations + i];

  for (guint at = 0; self->rig->turns && a == 0 && at < armoury->n_stations; at++)
    most = fmax (most, dwn_scales_line (self, a, k, at, i));
  return most;
}

static double
most_through (const DwnScales *self, const DwnLiveStage *stage, guint a)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  double most = 0.0;

  for (guint k = 0; k < armoury->n; k++)
    {
      double sum = 0.0;
      for (guint i = 0; i < armoury->n_stations; i++)
        sum += stage->coef_mw[a][i] * most_line (self, a, k, i);
      most = fmax (most, sum);
    }
  return most;
}

static double
stage_power (const DwnScales *self, const DwnLiveStage *stage, guint a, guint configuration, guint at)
{
  double sum = 0.0;

  for (guint i = 0; i < self->base->n; i++)
    sum += stage->coef_mw[a][i] * dwn_scales_line (self, a, configuration, at, i);
  return sum;
}

static void
fill_stage_powers (const DwnScales *self, DwnLiveStage *stage, guint a)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  gboolean turns = self->rig->turns && a == 0;
  guint n = armoury->n * dwn_rig_n_aims (self->advisor, self->rig, a);
  guint n_looks = turns ? armoury->n_stations : 1;

  stage->stage_mw[a] = g_new0 (float, (gsize) n * n_looks + 1);
  stage->least_mw[a] = n * n_looks > 0 ? (double) INFINITY : 0.0;
  for (guint c = 0; c < n; c++)
    for (guint at = 0; at < n_looks; at++)
      {
        double sum = stage_power (self, stage, a, c, at);

        stage->stage_mw[a][(gsize) c * n_looks + at] = (float) sum;
        stage->least_mw[a] = fmin (stage->least_mw[a], sum);
      }
}

static void
stage_clear (gpointer data)
{
  DwnLiveStage *stage = data;

  for (guint a = 0; a < DWN_RUNG_ANTENNAS; a++)
    {
      g_free (stage->coef_mw[a]);
      g_free (stage->stage_mw[a]);
    }
}

static void
add_stage (DwnScales *self, guint m)
{
  DwnLiveStage stage = { .limit_mw = self->base->stage[m].limit_mw, .sinks = sinks_behind (self, m) };
  double most = 0.0;

  /* Amplifiers' products are left to the judge: they only add noise. */
  if (stage.sinks == 0 || !isfinite (stage.limit_mw))
    return;
  for (guint a = 0; a < self->rig->n; a++)
    stage.coef_mw[a] = g_new (double, self->base->n + 1);
  fill_stage_coefs (self, &stage, m);
  for (guint a = 0; a < self->rig->n; a++)
    most += most_through (self, &stage, a);
  if (most <= stage.limit_mw)
    {
      stage_clear (&stage);
      return;
    }
  for (guint a = 0; a < self->rig->n; a++)
    fill_stage_powers (self, &stage, a);
  g_array_append_val (self->stages, stage);
}

/* Room for a rig's shares, none of which is known. */
static void
begin_shares (const DwnScales *self)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  DwnShares *shares = self->shares;

  shares->stamp++;
  for (guint a = 0; a < self->rig->n; a++)
    {
      gboolean turns = self->rig->turns && a == 0;
      gsize size = (gsize) armoury->n * dwn_rig_n_aims (self->advisor, self->rig, a) * self->n_rows;
      gsize block_size = (gsize) armoury->n * (turns ? 1 : armoury->n_blocks) * self->n_rows;

      if (size > shares->size[a])
        {
          g_free (shares->share[a]);
          shares->share[a] = g_new0 (DwnShare, shares->size[a] = size);
        }
      if (block_size > shares->block_size[a])
        {
          g_free (shares->block_share[a]);
          shares->block_share[a] = g_new0 (DwnBlockShare, shares->block_size[a] = block_size);
        }
    }
}

/* Do stations reach every tuner through the antennas in the same proportion as they reach the
 * outlet's first? */
static gboolean
is_alike (const DwnScales *self)
{
  const DwnBudgetBase *base = self->base;
  const DwnGoal *goal = &self->advisor->goal;

  for (guint j = 0; j < goal->n_stations; j++)
    for (guint k = 0; k < base->n_sinks; k++)
      {
        const double *here = &base->sink_gain[((gsize) goal->station[j] * base->n_sinks + k) * base->n_antennas];
        double first = sink_gain (self, goal->station[j], 0, 0);

        for (guint a = 1; a < base->n_antennas; a++)
          if (!(fabs (here[a] * first - here[0] * sink_gain (self, goal->station[j], 0, a))
                <= 0.1 * DWN_SCALES_SLACK * here[0] * sink_gain (self, goal->station[j], 0, a)))
            return FALSE;
      }
  return TRUE;
}

void
dwn_scales_init (DwnScales *self, const DwnAdvisor *advisor, const DwnRig *rig)
{
  const DwnBudgetBase *base = rig->base;

  *self = (DwnScales) { .advisor = advisor, .rig = rig, .base = base, .shares = advisor->shares };
  self->rows = g_array_new (FALSE, FALSE, sizeof (DwnRow));
  self->extra_rows = g_array_new (FALSE, FALSE, sizeof (DwnRow));
  self->others = g_array_new (FALSE, FALSE, sizeof (DwnOther));
  self->stages = g_array_new (FALSE, FALSE, sizeof (DwnLiveStage));
  g_array_set_clear_func (self->stages, stage_clear);
  self->sink = g_new0 (guint, base->n_sinks + 1);
  guint outlet = farthest_outlet (self);
  for (guint k = 0; k < base->n_sinks && self->n_sinks < 64; k++)
    if (base->sink[k].outlet == outlet)
      self->sink[self->n_sinks++] = k;
  self->alike = self->n_sinks > 0 && is_alike (self);
  list_rows (self);
  begin_shares (self);
  for (guint m = 0; m < base->n_stages; m++)
    add_stage (self, m);
}

void
dwn_scales_clear (DwnScales *self)
{
  g_free (self->sink);
  g_array_unref (self->rows);
  g_array_unref (self->extra_rows);
  g_array_unref (self->others);
  g_array_unref (self->stages);
}

/* Weighing */

/* Other stations through antenna @a: interference, and what helps. */
static void
add_others_share (const DwnScales *self, const DwnRow *row, guint a, guint configuration, DwnShare *share)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  const DwnOther *other = &g_array_index (self->others, DwnOther, row->first_other);
  const float *line = &armoury->line[dwn_armoury_at (armoury, configuration)];
  gboolean turns = self->rig->turns && a == 0;
  double noise_mw = 0.0, help_mw = 0.0;

  for (guint k = 0; k < row->n_others; k++)
    {
      double mw = other[k].coef_mw[a]
                  * (turns ? dwn_scales_line (self, a, configuration, row->i, other[k].i)
                           : (double) line[other[k].i]);

      if (other[k].helps)
        help_mw += mw;
      else
        noise_mw += mw;
    }
  share->noise_mw = (float) (dwn_scales_excess_mw (self, row, a, configuration) + noise_mw);
  share->help_mw = (float) help_mw;
}

static const DwnShare *
share_of (const DwnScales *self, const DwnRow *row, guint a, guint configuration)
{
  DwnShare *share = &self->shares->share[a][(gsize) configuration * self->n_rows + row->at];

  if (share->stamp == self->shares->stamp)
    return share;
  share->stamp = self->shares->stamp;
  share->root_mw = sqrt (row->coef_mw[a] * dwn_scales_line (self, a, configuration, row->i, row->i));
  add_others_share (self, row, a, configuration, share);
  return share;
}

/* Largest of margin − z σ over all the noise that partners may add (@disturbed): the margin falls
 * with it, but the share of the external noise, and with it σ, falls too. With @v its part of σ,
 * 10 log10 v − z √(fixed² + v²) is largest where v² = q √(fixed² + v²), q = 10 / (z ln 10). */
static double
most_spare_db (double margin_db, double fixed_db2, double v, gboolean disturbed)
{
  double added_db = 0.0;

  if (disturbed && v > 0.0)
    {
      double q = 10.0 / (DWN_HELD_DEVIATES * G_LN10);
      double best = sqrt (0.5 * (q * q + sqrt (q * q * q * q + 4.0 * q * q * fixed_db2)));

      if (best < v)
        {
          added_db = 10.0 * log10 (best / v);
          v = best;
        }
    }
  return margin_db + added_db - DWN_HELD_DEVIATES * sqrt (fixed_db2 + v * v);
}

/* External noise that gets into the row, and its share. */
static double
ambient_mw (const DwnScales *self, const DwnRow *row, guint antennas, const guint *configuration)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  double sum = 0.0;

  for (guint a = 0; a < self->rig->n; a++)
    {
      guint antenna = dwn_rig_antenna (self->advisor, self->rig, a, configuration[a]);

      if ((antennas >> a & 1) == 0)
        continue;
      sum += row->reach_mw[a] * row->ambient
             * armoury->feed[(gsize) antenna * armoury->n_stations + row->i];
    }
  return sum;
}

double
dwn_scales_most (const DwnScales *self, const DwnRow *row, guint a, guint configuration,
                 double other_noise_mw, double help_mw)
{
  guint at[DWN_RUNG_ANTENNAS] = { 0 };
  double carrier_mw = row->coef_mw[a] * dwn_scales_line (self, a, configuration, row->i, row->i) + help_mw;
  double noise_mw = row->noise_mw + other_noise_mw
                    + dwn_scales_excess_mw (self, row, a, configuration);

  if (carrier_mw < row->never * noise_mw && !row->helped)
    return 0.0;
  DwnShare share_here;
  at[a] = configuration;
  add_others_share (self, row, a, configuration, &share_here); /* asked once: not worth keeping */
  carrier_mw += (double) share_here.help_mw;
  noise_mw = row->noise_mw + other_noise_mw + (double) share_here.noise_mw;
  double ratio = carrier_mw / noise_mw;
  if (ratio < row->never)
    return 0.0;
  if (ratio >= row->sure)
    return ratio;
  double sd_db = dwn_scales_sd_db (self, a, configuration, row->i);
  /* The strongest antenna's σ counts; with partners that noise is not known to come through, the
   * external noise's share is at most this. */
  double share = fmin (1.0, ambient_mw (self, row, 1u << a, at) / noise_mw);
  double spare_db = most_spare_db (dwn_db_of_ratio (ratio / row->needed),
                                   fixed_db2 (self, row, a, configuration) + sd_db * sd_db,
                                   row->ambient_sd_db * share,
                                   self->rig->n > 1);
  return spare_db >= 0.0 ? ratio : 0.0;
}

guint64
dwn_scales_overloaded (const DwnScales *self, const guint *configuration, guint at)
{
  guint64 sinks = 0;

  for (guint m = 0; m < self->stages->len; m++)
    {
      const DwnLiveStage *stage = &g_array_index (self->stages, DwnLiveStage, m);
      double mw = 0.0;

      for (guint a = 0; a < self->rig->n; a++)
        mw += (double) stage->stage_mw[a][self->rig->turns && a == 0
                                          ? configuration[a] * self->base->n + at : configuration[a]];
      if (mw * (1.0 - DWN_SCALES_SLACK) > stage->limit_mw)
        sinks |= stage->sinks;
    }
  return sinks;
}

/* Several antennas together, at the worst phase. */
typedef struct {
  double carrier_mw, noise_mw;
  guint antenna; /* the strongest */
} Sum;

static Sum
sum_of (const DwnScales *self, const DwnRow *row, guint antennas, const guint *configuration)
{
  double strongest = 0.0, amplitudes = 0.0, help_mw = 0.0;
  Sum sum = { .noise_mw = row->noise_mw };

  for (guint a = 0; a < self->rig->n; a++)
    {
      if ((antennas >> a & 1) == 0)
        continue;
      const DwnShare *share = share_of (self, row, a, configuration[a]);
      amplitudes += share->root_mw;
      sum.noise_mw += (double) share->noise_mw;
      help_mw += (double) share->help_mw;
      if (share->root_mw > strongest)
        {
          strongest = share->root_mw;
          sum.antenna = a;
        }
    }
  double left = MAX (2.0 * strongest - amplitudes, 0.0); /* as dwn_worst_phase_mw() */
  sum.carrier_mw = left * left + help_mw;
  return sum;
}

/* With the whole noise, of which the external part of those antennas varies. */
static double
sigma_db (const DwnScales *self, const DwnRow *row, guint antennas, const guint *configuration, guint a,
          double noise_mw)
{
  return dwn_sigma_db (fixed_db2 (self, row, a, configuration[a]),
                       dwn_scales_sd_db (self, a, configuration[a], row->i), row->ambient_sd_db,
                       ambient_mw (self, row, antennas, configuration) / noise_mw);
}

double
dwn_scales_weigh (const DwnScales *self, const DwnRow *row, guint antennas, const guint *configuration)
{
  Sum sum = sum_of (self, row, antennas, configuration);
  double ratio = sum.carrier_mw / sum.noise_mw;

  if (ratio < row->never)
    return 0.0;
  if (ratio >= row->sure)
    return ratio / row->needed;
  guint a = sum.antenna;
  double sd_db = dwn_scales_sd_db (self, a, configuration[a], row->i);
  double share = ambient_mw (self, row, antennas, configuration) / sum.noise_mw;
  /* Antennas that are left out may add noise of their own, and so lessen the share from outside. */
  double spare_db = most_spare_db (dwn_db_of_ratio (ratio / row->needed),
                                   fixed_db2 (self, row, a, configuration[a]) + sd_db * sd_db,
                                   row->ambient_sd_db * share, antennas != dwn_scales_all (self));
  return spare_db >= 0.0 ? ratio / row->needed : 0.0;
}

/* Of antenna @a towards station @i over a block of its aims, while station @at is judged. */
typedef struct {
  double most, least;
} Span;

static Span
span_of (const DwnScales *self, guint a, guint block, guint at, guint i)
{
  const DwnArmoury *armoury = &self->advisor->armoury;

  if (self->rig->turns && a == 0)
    {
      double line = dwn_scales_line (self, a, block, at, i);
      return (Span) { line, line };
    }
  gsize own = dwn_armoury_block (armoury, block) + i;
  return (Span) { (double) armoury->block_most[own], (double) armoury->block_least[own] };
}

/* Noise from outside and other stations, at least; what helps, at most. */
static void
add_others_block_share (const DwnScales *self, const DwnRow *row, guint a, guint block, DwnBlockShare *share)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  const DwnOther *other = &g_array_index (self->others, DwnOther, row->first_other);
  guint antenna = dwn_rig_block_antenna (self->advisor, self->rig, a, block);
  double help_mw = 0.0, noise_mw = row->reach_mw[a] * (row->ambient - 1.0)
                                   * armoury->feed[(gsize) antenna * armoury->n_stations + row->i];

  for (guint k = 0; k < row->n_others; k++)
    {
      Span span = span_of (self, a, block, row->i, other[k].i);

      if (other[k].helps)
        help_mw += other[k].coef_mw[a] * span.most;
      else
        noise_mw += other[k].coef_mw[a] * span.least;
    }
  share->noise_mw = (float) noise_mw;
  share->help_mw = (float) help_mw;
}

static void
fill_block_share (const DwnScales *self, const DwnRow *row, guint a, guint block, DwnBlockShare *share)
{
  Span span = span_of (self, a, block, row->i, row->i);

  share->stamp = self->shares->stamp;
  share->most_root_mw = sqrt (row->coef_mw[a] * span.most);
  share->least_root_mw = sqrt (row->coef_mw[a] * span.least);
  add_others_block_share (self, row, a, block, share);
}

static const DwnBlockShare *
block_share_of (const DwnScales *self, const DwnRow *row, guint a, guint block)
{
  DwnBlockShare *share = &self->shares->block_share[a][(gsize) block * self->n_rows + row->at];

  if (share->stamp != self->shares->stamp)
    fill_block_share (self, row, a, block, share);
  return share;
}

double
dwn_scales_weigh_block (const DwnScales *self, const DwnRow *row, guint a, guint block)
{
  DwnBlockShare share;

  fill_block_share (self, row, a, block, &share);
  double ratio = (share.most_root_mw * share.most_root_mw + (double) share.help_mw)
                 / (row->noise_mw + (double) share.noise_mw) * (1.0 + DWN_SCALES_SLACK);
  return ratio < row->never ? 0.0 : ratio / row->needed;
}

/* At the worst phase at most: each in turn the strongest at its best, the others at their least. */
double
dwn_scales_weigh_blocks (const DwnScales *self, const DwnRow *row, guint antennas, const guint *block)
{
  double noise_mw = row->noise_mw, help_mw = 0.0, least = 0.0, ahead = 0.0;

  for (guint a = 0; a < self->rig->n; a++)
    if ((antennas >> a & 1) != 0)
      {
        const DwnBlockShare *share = block_share_of (self, row, a, block[a]);

        least += share->least_root_mw;
        ahead = MAX (ahead, share->most_root_mw + share->least_root_mw);
        noise_mw += (double) share->noise_mw;
        help_mw += (double) share->help_mw;
      }
  double left = MAX (ahead - least, 0.0);
  double ratio = (left * left + help_mw) / noise_mw * (1.0 + DWN_SCALES_SLACK);
  return ratio < row->never ? 0.0 : ratio / row->needed;
}

guint
dwn_scales_strongest (const DwnScales *self, const DwnRow *row, const guint *configuration)
{
  double root_mw[DWN_RUNG_ANTENNAS], strongest = 0.0;
  guint antennas = 0;

  for (guint a = 0; a < self->rig->n; a++)
    {
      root_mw[a] = share_of (self, row, a, configuration[a])->root_mw;
      strongest = MAX (strongest, root_mw[a]);
    }
  for (guint a = 0; a < self->rig->n; a++)
    if (root_mw[a] >= strongest * (1.0 - DWN_SCALES_SLACK))
      antennas |= 1u << a;
  return antennas;
}

guint
dwn_scales_strongest_in (const DwnScales *self, const DwnRow *row, guint n, const guint *block)
{
  double strongest = 0.0;
  guint antennas = 0;

  for (guint a = 0; a < n; a++)
    strongest = MAX (strongest, block_share_of (self, row, a, block[a])->least_root_mw);
  for (guint a = 0; a < n; a++)
    if (block_share_of (self, row, a, block[a])->most_root_mw >= strongest * (1.0 - DWN_SCALES_SLACK))
      antennas |= 1u << a;
  return antennas;
}

double
dwn_scales_deviates (const DwnScales *self, const DwnRow *row, const guint *configuration)
{
  guint all = dwn_scales_all (self);
  Sum sum = sum_of (self, row, all, configuration);

  return dwn_db_of_ratio (sum.carrier_mw / sum.noise_mw / row->needed)
         / sigma_db (self, row, all, configuration, sum.antenna, sum.noise_mw);
}
