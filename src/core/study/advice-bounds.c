#include "core/study/advice-bounds.h"

/* Sums are made in another order than the budget makes them: bounds leave this much. */
#define SLACK 1e-9

/* One wanted station at one tuner of the outlet that stands for all. A station that is held is held
 * at every outlet, so one outlet's bound bounds them all. */
typedef struct {
  guint j;            /* station of the goal */
  guint i;            /* of the plan */
  guint sink;         /* position among the outlet's sinks */
  double noise_mw;    /* of the gear and tuner, with antennas that reflect everything */
  double least_ratio; /* carrier over noise without which it is not held at any σ */
  gboolean disturbed; /* partners or other stations may add noise */
} Row;

/* What the configurations of one antenna do, before partners. */
typedef struct {
  double *carrier_mw, *helping_mw;                 /* [n][n_rows] */
  double *noise_mw;                                /* the same: interference and noise through it */
  double *ambient_mw;                              /* what of that is external noise */
  double *stage_mw;                                /* [n][n_stages] */
  double *most_helping_mw, *least_noise_mw, *least_ambient_mw; /* [n_rows] */
  double *least_stage_mw;                          /* [n_stages] */
} Deeds;

typedef struct {
  guint64 *set;       /* [n][n_extra_words] */
  gboolean *known;    /* [n] */
} Extras;

struct _DwnBounder {
  const DwnAdvisor *advisor;
  const DwnRig *rig;
  const DwnBudgetBase *base;
  const DwnBounds *bounds;
  guint n_sinks;
  guint *sink;        /* those of the outlet */
  GArray *rows;       /* (element-type Row): stations of the goal */
  GArray *extra_rows; /* and those of extras */
  gboolean *counts;   /* [n_stages][n_sinks]: this stage's limit is one for that tuner */
  Deeds deeds[DWN_RUNG_ANTENNAS];
  Extras extras[DWN_RUNG_ANTENNAS];
  double *power_mw;   /* for passing use: wanted, then interfering, [n_sinks][base->n] each */
};

/* Sum over the wanted stations of the best gain in dB from any antenna to this outlet. */
static double
reach_db (const DwnBounder *self, guint outlet)
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
farthest_outlet (const DwnBounder *self)
{
  guint farthest = 0;

  for (guint o = 1; o < self->rig->plan->gear->n_outlets; o++)
    if (reach_db (self, o) < reach_db (self, farthest))
      farthest = o;
  return farthest;
}

static gboolean
is_disturbed (const DwnBudgetBase *base, guint i)
{
  for (guint at = base->neighbour_first[i]; at < base->neighbour_first[i + 1]; at++)
    if (base->neighbour[at].weight > 0.0)
      return TRUE;
  return base->n_makers > 0;
}

static void
add_row (DwnBounder *self, GArray *rows, guint j, guint i, guint sink)
{
  const DwnBudgetBase *base = self->base;
  guint k = self->sink[sink];
  double gear = base->sink_noise[(gsize) i * base->n_sinks + k];

  if (isnan (gear))
    return;
  for (guint a = 0; a < base->n_antennas; a++)
    gear += base->sink_gain[((gsize) i * base->n_sinks + k) * base->n_antennas + a];
  Row row = { .j = j, .i = i, .sink = sink, .noise_mw = base->noise_unit_mw[i] * gear };
  row.disturbed = base->n_antennas > 1 || is_disturbed (base, i);
  row.least_ratio = exp (base->needed_db[i] * (G_LN10 / 10.0)) * (1.0 - SLACK);
  g_array_append_val (rows, row);
}

static void
list_rows (DwnBounder *self)
{
  const DwnGoal *goal = &self->advisor->goal;

  self->rows = g_array_new (FALSE, FALSE, sizeof (Row));
  self->extra_rows = g_array_new (FALSE, FALSE, sizeof (Row));
  for (guint s = 0; s < self->n_sinks; s++)
    {
      for (guint j = 0; j < goal->n_stations; j++)
        add_row (self, self->rows, j, goal->station[j], s);
      for (guint j = 0; j < goal->n_extra_stations; j++)
        add_row (self, self->extra_rows, j, goal->extra_station[j], s);
    }
}

static void
list_stages (DwnBounder *self)
{
  const DwnBudgetBase *base = self->base;
  /* Where each outlet has one tuner, all of them have to live with every stage. */
  gboolean all = base->n_sinks == self->rig->plan->gear->n_outlets;

  self->counts = g_new0 (gboolean, (gsize) base->n_stages * self->n_sinks + 1);
  for (guint m = 0; m < base->n_stages; m++)
    for (guint k = 0; k < base->n_sinks; k++)
      for (guint s = 0; s < self->n_sinks; s++)
        if (base->stage_feeds[m * base->n_sinks + k] && (all || self->sink[s] == k))
          self->counts[m * self->n_sinks + s] = TRUE;
}

static DwnBounder *
bounder_new (const DwnAdvisor *advisor, const DwnRig *rig, const DwnBounds *bounds)
{
  const DwnBudgetBase *base = rig->base;
  DwnBounder *self = g_new0 (DwnBounder, 1);

  self->advisor = advisor;
  self->rig = rig;
  self->base = base;
  self->bounds = bounds;
  self->sink = g_new0 (guint, base->n_sinks + 1);
  guint outlet = farthest_outlet (self);
  for (guint k = 0; k < base->n_sinks; k++)
    if (base->sink[k].outlet == outlet)
      self->sink[self->n_sinks++] = k;
  list_rows (self);
  list_stages (self);
  self->power_mw = g_new (double, 2 * (gsize) self->n_sinks * base->n + 1);
  return self;
}

static void
deeds_init (Deeds *deeds, guint n, guint n_rows, guint n_stages)
{
  gsize rows = (gsize) n * n_rows;
  double *block = g_new0 (double, 4 * rows + (gsize) n * n_stages + 3 * n_rows + n_stages + 1);

  deeds->carrier_mw = block;
  deeds->helping_mw = block + rows;
  deeds->noise_mw = block + 2 * rows;
  deeds->ambient_mw = block + 3 * rows;
  deeds->stage_mw = block + 4 * rows;
  deeds->most_helping_mw = deeds->stage_mw + (gsize) n * n_stages;
  deeds->least_noise_mw = deeds->most_helping_mw + n_rows;
  deeds->least_ambient_mw = deeds->least_noise_mw + n_rows;
  deeds->least_stage_mw = deeds->least_ambient_mw + n_rows;
}

/* Power of every station at the outlet's tuners and at the stages from configuration @c. */
static void
weigh_stations (const DwnBounder *self, guint a, guint configuration, double *wanted_mw,
                double *interfering_mw, double *stage_mw)
{
  const DwnBudgetBase *base = self->base;
  guint na = base->n_antennas;
  const double *gain = &self->advisor->armoury.gain[dwn_armoury_at (&self->advisor->armoury,
                                                                    configuration)];

  for (guint i = 0; i < base->n; i++)
    {
      gsize at = (gsize) i * na + a;
      double ratio = gain[i] * self->rig->lying[at]
                     * dwn_rig_match (self->advisor, self->rig, i, a, configuration / DWN_N_AIMS);
      double median_mw = base->median_mw[at] * ratio;

      for (guint m = 0; m < base->n_stages; m++)
        stage_mw[m] += median_mw * base->stage_gain[((gsize) i * base->n_stages + m) * na + a];
      for (guint s = 0; s < self->n_sinks; s++)
        {
          double there = ratio
                         * base->sink_gain[((gsize) i * base->n_sinks + self->sink[s]) * na + a];
          wanted_mw[(gsize) s * base->n + i] = base->wanted_mw[at] * there;
          interfering_mw[(gsize) s * base->n + i] = base->interfering_mw[at] * there;
        }
    }
}

/* What one configuration does to one row. */
typedef struct {
  double carrier_mw, helping_mw, noise_mw, ambient_mw;
} Deed;

static Deed
deed_of (const DwnBounder *self, guint a, guint configuration, const Row *row)
{
  const DwnBudgetBase *base = self->base;
  gsize table = (gsize) self->n_sinks * base->n;
  const double *wanted = &self->power_mw[(gsize) row->sink * base->n];
  const double *interfering = &self->power_mw[table + (gsize) row->sink * base->n];
  double reach = base->noise_unit_mw[row->i]
                 * base->sink_gain[((gsize) row->i * base->n_sinks + self->sink[row->sink])
                                   * base->n_antennas + a]
                 * dwn_rig_match (self->advisor, self->rig, row->i, a, configuration / DWN_N_AIMS);
  /* Noise that the feed itself would make instead is in the row's already. */
  Deed deed = { .carrier_mw = wanted[row->i], .ambient_mw = reach * base->ambient[row->i],
                .noise_mw = reach * (base->ambient[row->i] - 1.0) };

  for (guint at = base->neighbour_first[row->i]; at < base->neighbour_first[row->i + 1]; at++)
    {
      const DwnNeighbour *other = &base->neighbour[at];

      deed.noise_mw += other->weight * interfering[other->station];
      if (other->helps)
        deed.helping_mw += wanted[other->station];
    }
  return deed;
}

static void
find_least (const double *table, guint n, guint n_columns, double *least)
{
  for (guint r = 0; r < n_columns; r++)
    least[r] = n > 0 ? table[r] : 0.0;
  for (gsize c = 1; c < n; c++)
    for (guint r = 0; r < n_columns; r++)
      least[r] = MIN (least[r], table[c * n_columns + r]);
}

static void
find_extremes (Deeds *deeds, guint n, guint n_rows, guint n_stages)
{
  find_least (deeds->noise_mw, n, n_rows, deeds->least_noise_mw);
  find_least (deeds->ambient_mw, n, n_rows, deeds->least_ambient_mw);
  find_least (deeds->stage_mw, n, n_stages, deeds->least_stage_mw);
  for (gsize c = 0; c < n; c++)
    for (guint r = 0; r < n_rows; r++)
      deeds->most_helping_mw[r] = MAX (deeds->most_helping_mw[r], deeds->helping_mw[c * n_rows + r]);
}

static void
do_deeds (DwnBounder *self, const DwnBounds *bounds, guint a)
{
  guint n_rows = self->rows->len, n_stages = self->base->n_stages;
  gsize table = (gsize) self->n_sinks * self->base->n;
  Deeds *deeds = &self->deeds[a];

  deeds_init (deeds, bounds->n, n_rows, n_stages);
  for (gsize c = 0; c < bounds->n; c++)
    {
      weigh_stations (self, a, bounds->configuration[c], self->power_mw, self->power_mw + table,
                      &deeds->stage_mw[c * n_stages]);
      for (guint r = 0; r < n_rows; r++)
        {
          Deed deed = deed_of (self, a, bounds->configuration[c], &g_array_index (self->rows, Row, r));

          deeds->carrier_mw[c * n_rows + r] = deed.carrier_mw;
          deeds->helping_mw[c * n_rows + r] = deed.helping_mw;
          deeds->noise_mw[c * n_rows + r] = deed.noise_mw;
          deeds->ambient_mw[c * n_rows + r] = deed.ambient_mw;
        }
    }
  find_extremes (deeds, bounds->n, n_rows, n_stages);
}

/* Does configuration @c alone already overload what leads to sink @s? */
static gboolean
overloads (const DwnBounder *self, guint a, gsize c, guint s)
{
  const DwnBudgetBase *base = self->base;

  for (guint m = 0; m < base->n_stages; m++)
    {
      double mw = self->deeds[a].stage_mw[c * base->n_stages + m];

      if (!self->counts[m * self->n_sinks + s])
        continue;
      for (guint b = 0; b < self->rig->n; b++)
        mw += b == a ? 0.0 : self->deeds[b].least_stage_mw[m];
      if (mw * (1.0 - SLACK) > base->stage[m].limit_mw)
        return TRUE;
    }
  return FALSE;
}

/* Largest of margin − z σ over all the interference that may be added: the margin falls with it,
 * but the share of the external noise, and with it σ, falls too. With v the share in dB of σ,
 * 10 log10 v − z √(fixed² + v²) is largest where v² = q √(fixed² + v²), q = 10 / (z ln 10). */
static double
most_spare_db (double margin_db, double fixed_db2, double ambient_sd_db, double share,
               gboolean disturbed)
{
  double v = ambient_sd_db * share, added_db = 0.0;

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

/* Most carrier and least noise where antenna @a is the strongest. */
static Deed
best_case (const DwnBounder *self, guint a, gsize c, guint r)
{
  const Deeds *deeds = &self->deeds[a];
  gsize at = c * self->rows->len + r;
  Deed deed = { deeds->carrier_mw[at], deeds->helping_mw[at], deeds->noise_mw[at],
                deeds->ambient_mw[at] };

  for (guint b = 0; b < self->rig->n; b++)
    if (b != a)
      {
        deed.helping_mw += self->deeds[b].most_helping_mw[r];
        deed.noise_mw += self->deeds[b].least_noise_mw[r];
        deed.ambient_mw += self->deeds[b].least_ambient_mw[r];
      }
  return deed;
}

/* Most margin where the station may be held so, otherwise −INFINITY. */
static double
bound_row (const DwnBounder *self, guint a, gsize c, const Row *row, const Deed *deed)
{
  const DwnArmoury *armoury = &self->advisor->armoury;
  double sd_db = armoury->sd_db[dwn_armoury_at (armoury, self->bounds[a].configuration[c]) + row->i];
  double noise_mw = row->noise_mw + deed->noise_mw;
  double ratio = (deed->carrier_mw + deed->helping_mw) / noise_mw;

  if (ratio < row->least_ratio)
    return -(double) INFINITY;
  double margin_db = dwn_db_of_ratio (ratio) - self->base->needed_db[row->i] + SLACK;
  double spare_db = most_spare_db (margin_db, dwn_base_fixed_db2 (self->base, row->i) + sd_db * sd_db,
                                   dwn_base_ambient_sd_db (self->base, row->i),
                                   deed->ambient_mw / noise_mw, row->disturbed);
  if (spare_db < 0.0 || overloads (self, a, c, row->sink))
    return -(double) INFINITY;
  return margin_db;
}

static void
bound_configuration (const DwnBounder *self, const DwnBounds *bounds, guint a, gsize c)
{
  const DwnGoal *goal = &self->advisor->goal;
  guint64 *holds = &bounds->holds[c * goal->n_words];
  float *margin = &bounds->margin_db[c * goal->n];

  for (guint r = 0; r < self->rows->len; r++)
    {
      const Row *row = &g_array_index (self->rows, Row, r);
      const guint64 *carried = &goal->carried[(gsize) row->j * goal->n_words];
      Deed deed = best_case (self, a, c, r);
      double margin_db = bound_row (self, a, c, row, &deed);

      if (isinf (margin_db))
        continue;
      for (guint b = 0; b < goal->n; b++)
        if ((carried[b / 64] >> b % 64 & 1) != 0)
          margin[b] = MAX (margin[b], (float) margin_db + 1e-4f); /* more than float rounds off */
      for (guint w = 0; w < goal->n_words; w++)
        holds[w] |= carried[w];
    }
}

static void
list_configurations (DwnBounds *bounds, const DwnAdvisor *advisor, const DwnRig *rig, guint a)
{
  const DwnArmoury *armoury = &advisor->armoury;
  g_autofree gboolean *used = g_new0 (gboolean, armoury->n);
  guint all = armoury->n * DWN_N_AIMS;

  for (guint t = 0; t < rig->tuples->len; t++)
    used[g_array_index (rig->tuples, DwnTuple, t).antenna[a]] = TRUE;
  bounds->configuration = g_new (guint, all);
  bounds->place = g_new (gint, all);
  for (guint c = 0; c < all; c++)
    {
      bounds->place[c] = used[c / DWN_N_AIMS] ? (gint) bounds->n : -1;
      if (used[c / DWN_N_AIMS])
        bounds->configuration[bounds->n++] = c;
    }
  bounds->n_words = advisor->goal.n_words;
  bounds->n_services = advisor->goal.n;
  bounds->holds = g_new0 (guint64, (gsize) bounds->n * bounds->n_words);
  bounds->margin_db = g_new (float, (gsize) bounds->n * bounds->n_services + 1);
  for (gsize at = 0; at < (gsize) bounds->n * bounds->n_services; at++)
    bounds->margin_db[at] = -(float) INFINITY;
}

DwnBounder *
dwn_bounder_new (const DwnAdvisor *advisor, const DwnRig *rig, DwnBounds *bounds)
{
  DwnBounder *self = bounder_new (advisor, rig, bounds);

  for (guint a = 0; a < rig->n; a++)
    {
      bounds[a] = (DwnBounds) { 0 };
      list_configurations (&bounds[a], advisor, rig, a);
      do_deeds (self, &bounds[a], a);
      self->extras[a].set = g_new0 (guint64, (gsize) bounds[a].n * advisor->goal.n_extra_words + 1);
      self->extras[a].known = g_new0 (gboolean, bounds[a].n + 1);
    }
  for (guint a = 0; a < rig->n; a++)
    for (gsize c = 0; c < bounds[a].n; c++)
      bound_configuration (self, &bounds[a], a, c);
  return self;
}

/* A partner's share is not known for extras: none of its noise counts, and all of its help. */
static void
bound_extras (DwnBounder *self, guint a, guint place, guint64 *set)
{
  const DwnGoal *goal = &self->advisor->goal;
  guint configuration = self->bounds[a].configuration[place];
  gsize table = (gsize) self->n_sinks * self->base->n;
  g_autofree double *stage_mw = g_new0 (double, self->base->n_stages + 1);

  weigh_stations (self, a, configuration, self->power_mw, self->power_mw + table, stage_mw);
  for (guint r = 0; r < self->extra_rows->len; r++)
    {
      const Row *row = &g_array_index (self->extra_rows, Row, r);
      Deed deed = deed_of (self, a, configuration, row);

      if (!self->base->any_helps && isinf (bound_row (self, a, place, row, &deed)))
        continue;
      for (guint w = 0; w < goal->n_extra_words; w++)
        set[w] |= goal->extra_carried[(gsize) row->j * goal->n_extra_words + w];
    }
}

const guint64 *
dwn_bounder_extras (DwnBounder *bounder, guint a, guint place)
{
  guint64 *set = &bounder->extras[a].set[(gsize) place * bounder->advisor->goal.n_extra_words];

  if (!bounder->extras[a].known[place])
    bound_extras (bounder, a, place, set);
  bounder->extras[a].known[place] = TRUE;
  return set;
}

void
dwn_bounder_free (DwnBounder *bounder)
{
  for (guint a = 0; a < bounder->rig->n; a++)
    {
      DwnBounds *bounds = (DwnBounds *) &bounder->bounds[a];

      g_free (bounder->deeds[a].carrier_mw);
      g_free (bounder->extras[a].set);
      g_free (bounder->extras[a].known);
      g_free (bounds->configuration);
      g_free (bounds->holds);
      g_free (bounds->margin_db);
      g_free (bounds->place);
    }
  g_free (bounder->sink);
  g_free (bounder->counts);
  g_free (bounder->power_mw);
  g_array_unref (bounder->rows);
  g_array_unref (bounder->extra_rows);
  g_free (bounder);
}
