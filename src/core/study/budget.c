#include "core/study/budget-private.h"

static const char *const limit_ids[] = { "noise", "ambient", "interference", "overload",
                                         "unconnected" };

const char *
dwn_limit_id (DwnLimit limit)
{
  g_return_val_if_fail (limit < G_N_ELEMENTS (limit_ids), NULL);

  return limit_ids[limit];
}

double
dwn_chance (double margin_db, double sigma_db)
{
  if (!(sigma_db > 0.0))
    return isnan (margin_db) || isnan (sigma_db) ? (double) NAN : margin_db > 0.0 ? 1.0 : 0.0;
  return 0.5 * erfc (-margin_db / (sigma_db * G_SQRT2));
}

double
dwn_pattern_sd_db (double below_max_db)
{
  if (below_max_db <= 3.0)
    return 1.0;
  return below_max_db >= 10.0 ? 5.0 : 1.0 + 4.0 * (below_max_db - 3.0) / 7.0;
}

static double
dbm_of_mw (double mw)
{
  return dwn_db_of_ratio (mw);
}

static double *
take (double **block, gsize n)
{
  double *taken = *block;

  *block += n;
  return taken;
}

void
dwn_terminals_init (DwnTerminals *self, const DwnBudgetBase *base)
{
  gsize table = (gsize) base->n * base->n_antennas, sinks = (gsize) base->n * base->n_sinks;
  gsize n_lines = base->products != NULL ? base->products->n_lines : 0;
  gsize n_channels = base->products != NULL ? base->products->n_channels : 0;
  gsize unwanted = (gsize) base->n_unwanted * base->n_antennas;
  double *block = g_new0 (double, 6 * table + 2 * sinks + base->n_stages + unwanted
                                    + 2 * base->n_sinks * n_channels + n_lines + n_channels + 1);

  self->gain_dbi = take (&block, table);
  self->pattern_sd_db = take (&block, table);
  self->wanted_mw = take (&block, table);
  self->median_mw = take (&block, table);
  self->interfering_mw = take (&block, table);
  self->match = take (&block, table);
  self->helping_mw = take (&block, sinks);
  self->disturbing_mw = take (&block, sinks);
  self->stage_mw = take (&block, base->n_stages);
  self->unwanted_mw = take (&block, unwanted);
  self->spurious_mw = take (&block, base->n_sinks * n_channels);
  self->strongest_mw = take (&block, base->n_sinks * n_channels); /* right behind */
  self->line_mw = take (&block, n_lines);
  self->channel_mw = take (&block, n_channels);
  self->maker = g_new0 (guint, base->n_sinks * n_channels + 1);
  self->headroom = g_new (DwnHeadroom, base->n_sinks);
  self->any_spurious = FALSE;
}

void
dwn_terminals_clear (DwnTerminals *self)
{
  g_free (self->gain_dbi);
  g_free (self->maker);
  g_free (self->headroom);
}

DwnOutlook
dwn_outlook (const DwnPattern *pattern, const DwnArrival *arrival, double mhz)
{
  return (DwnOutlook) {
    .most_dbi = dwn_pattern_max_gain_dbi (pattern, mhz),
    .beside_db = dwn_pattern_elevation_db (pattern, arrival->elevation_deg, mhz),
  };
}

DwnPointing
dwn_pointing (const DwnPattern *pattern, const DwnOutlook *outlook, double mhz, double off_deg)
{
  double at_horizon = dwn_pattern_gain_dbi (pattern, off_deg, mhz);

  return (DwnPointing) { at_horizon + outlook->beside_db,
                         dwn_pattern_sd_db (outlook->most_dbi - at_horizon) };
}

void
dwn_terminals_point (DwnTerminals *self, const DwnBudgetBase *base, guint a, double aim_deg)
{
  const DwnPart *part = &base->plan->gear->part[base->plan->gear->antenna[a]];

  for (guint i = 0; i < base->n; i++)
    {
      gsize at = (gsize) i * base->n_antennas + a;
      double off_deg = base->fields->arrival[i].bearing_deg - aim_deg;
      DwnPointing pointing = dwn_pointing (part->pattern, &base->outlook[at],
                                           base->plan->stations->station[i].mhz, off_deg);

      self->gain_dbi[at] = pointing.gain_dbi - base->polarisation_db[at];
      dwn_terminals_set (self, base, i, a, pointing.pattern_sd_db,
                         exp (self->gain_dbi[at] * (G_LN10 / 10.0)), 1.0);
    }
  dwn_terminals_point_unwanted (self, base, a, part->pattern, aim_deg);
}

static double
stage_headroom_db (const DwnBudgetBase *base, const DwnTerminals *terminals, guint m)
{
  return base->stage[m].limit_dbm - dbm_of_mw (terminals->stage_mw[m]);
}

/* The stage on the way to sink @k that is nearest its limit: the same for every station. */
static void
find_headroom (DwnTerminals *terminals, const DwnBudgetBase *base, guint k)
{
  DwnHeadroom *nearest = &terminals->headroom[k];

  nearest->db = (double) INFINITY;
  for (guint m = 0; m < base->n_stages; m++)
    {
      if (!base->stage_feeds[m * base->n_sinks + k])
        continue;
      double headroom_db = stage_headroom_db (base, terminals, m);
      if (headroom_db < nearest->db) /* NaN: no limit */
        *nearest = (DwnHeadroom) { headroom_db, base->stage[m].part };
    }
}

static void
gather_station (DwnTerminals *self, const DwnBudgetBase *base, guint i)
{
  guint na = base->n_antennas;
  gsize at = (gsize) i * na;

  for (guint m = 0; m < base->n_stages; m++)
    self->stage_mw[m] += dwn_dot (&self->median_mw[at],
                              &base->stage_gain[((gsize) i * base->n_stages + m) * na], na);
  for (guint k = 0; k < base->n_sinks; k++)
    {
      const double *gain = &base->sink_gain[((gsize) i * base->n_sinks + k) * na];

      self->disturbing_mw[(gsize) k * base->n + i] = dwn_dot (&self->interfering_mw[at], gain, na);
      if (base->any_helps)
        self->helping_mw[(gsize) k * base->n + i] = dwn_dot (&self->wanted_mw[at], gain, na);
    }
}

static void
gather_unwanted (DwnTerminals *self, const DwnBudgetBase *base, guint u)
{
  guint na = base->n_antennas;

  for (guint m = 0; m < base->n_stages; m++)
    self->stage_mw[m] += dwn_dot (&self->unwanted_mw[(gsize) u * na],
                                  &base->unwanted_gain[((gsize) u * base->n_stages + m) * na], na);
}

void
dwn_terminals_gather (DwnTerminals *self, const DwnBudgetBase *base)
{
  for (guint m = 0; m < base->n_stages; m++)
    self->stage_mw[m] = 0.0;
  for (guint i = 0; i < base->n; i++)
    gather_station (self, base, i);
  for (guint u = 0; u < base->n_unwanted; u++)
    gather_unwanted (self, base, u);
  for (guint k = 0; k < base->n_sinks; k++)
    find_headroom (self, base, k);
  if (base->n_makers > 0)
    dwn_terminals_gather_products (self, base);
}

gboolean
dwn_terminals_turn_to (DwnTerminals *self, const DwnBudgetBase *base, guint i)
{
  const DwnChain *gear = base->plan->gear;
  gboolean turned = FALSE;

  for (guint a = 0; a < base->n_antennas; a++)
    if (gear->part[gear->antenna[a]].rotator)
      {
        dwn_terminals_point (self, base, a, base->fields->arrival[i].bearing_deg);
        turned = TRUE;
      }
  if (turned)
    dwn_terminals_gather (self, base);
  return turned;
}

static const double *
sink_gain (const DwnBudgetBase *base, guint station, guint sink)
{
  return &base->sink_gain[((gsize) station * base->n_sinks + sink) * base->n_antennas];
}

/* What one station brings into one tuner. */
typedef struct {
  double mean_mw, worst_mw;
  guint antenna; /* the strongest */
} Carrier;

/* Field sum with unknown phase: at the worst the strongest stands against all others. */
static Carrier
carrier_at (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k)
{
  const double *gain = sink_gain (base, i, k);
  const double *power = &terminals->wanted_mw[(gsize) i * base->n_antennas];
  double strongest = 0.0, amplitudes = 0.0;
  Carrier carrier = { 0 };

  for (guint a = 0; a < base->n_antennas; a++)
    {
      double mw = power[a] * gain[a];

      carrier.mean_mw += mw;
      amplitudes += sqrt (mw);
      if (mw > strongest)
        {
          strongest = mw;
          carrier.antenna = a;
        }
    }
  carrier.worst_mw = dwn_worst_phase_mw (strongest, amplitudes);
  return carrier;
}

/* Other stations at this tuner: partners add to the carrier, the rest counts as noise. */
static double
weigh_neighbours (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k,
                  Carrier *carrier)
{
  const double *helping_mw = &terminals->helping_mw[(gsize) k * base->n];
  const double *disturbing_mw = &terminals->disturbing_mw[(gsize) k * base->n];
  double sum_mw = 0.0;

  for (guint at = base->neighbour_first[i]; at < base->neighbour_first[i + 1]; at++)
    {
      const DwnNeighbour *other = &base->neighbour[at];

      sum_mw += other->weight * disturbing_mw[other->station];
      if (other->helps)
        {
          carrier->mean_mw += helping_mw[other->station];
          carrier->worst_mw += helping_mw[other->station];
        }
    }
  return sum_mw;
}

/* Products of the amplifiers in the channel of the station. */
static double
spurious_at (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k, guint *maker)
{
  if (!terminals->any_spurious || base->products->channel[i] < 0)
    return 0.0;

  gsize at = (gsize) k * base->products->n_channels + (guint) base->products->channel[i];
  *maker = terminals->maker[at];
  return terminals->spurious_mw[at];
}

/* All that comes together at one tuner, in mW. */
typedef struct {
  Carrier carrier;
  double ambient_mw, disturbing_mw, spurious_mw, noise_mw;
  guint maker; /* of most of what is spurious */
} Mix;

static void
mix (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k, Mix *sum)
{
  const double *gain = sink_gain (base, i, k);
  const double *match = &terminals->match[(gsize) i * base->n_antennas];
  double gain_sum = 0.0, reflected = 0.0;

  /* A feed that reflects more brings less noise from outside and more of its own. */
  for (guint a = 0; a < base->n_antennas; a++)
    {
      gain_sum += gain[a] * match[a];
      reflected += gain[a] * (1.0 - match[a]);
    }
  sum->carrier = carrier_at (base, terminals, i, k);
  sum->disturbing_mw = weigh_neighbours (base, terminals, i, k, &sum->carrier);
  sum->spurious_mw = spurious_at (base, terminals, i, k, &sum->maker);
  sum->ambient_mw = base->noise_unit_mw[i] * gain_sum * base->ambient[i];
  sum->noise_mw = sum->ambient_mw + sum->disturbing_mw + sum->spurious_mw
                  + base->noise_unit_mw[i]
                      * (base->sink_noise[(gsize) i * base->n_sinks + k] + reflected);
}

/* What reflections make of the level, in dB². */
static double
ripple_db2 (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k, guint a)
{
  gsize at = (gsize) i * base->n_antennas + a;
  const DwnRipple *ripple = &base->ripple[((gsize) i * base->n_sinks + k) * base->n_antennas + a];

  return ripple->rest
         + ripple->per_reflected * dwn_antenna_reflected (base->feed[at] * terminals->match[at]);
}

static void
judge (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k, const Mix *sum,
       DwnVerdict *verdict)
{
  guint a = sum->carrier.antenna;
  double cn_db = dwn_db_of_ratio (sum->carrier.worst_mw / sum->noise_mw);

  verdict->connected = TRUE;
  verdict->antenna = a;
  verdict->margin_db = cn_db - base->needed_db[i];
  if (terminals->headroom[k].db < 0.0)
    verdict->margin_db = fmin (verdict->margin_db, terminals->headroom[k].db);
  verdict->sigma_db = dwn_sigma_db (
    dwn_base_fixed_db2 (base, i) + ripple_db2 (base, terminals, i, k, a),
    terminals->pattern_sd_db[(gsize) i * base->n_antennas + a], dwn_base_ambient_sd_db (base, i),
    sum->ambient_mw / sum->noise_mw);
}

/* By chance, without its rounding to 1 where both are certain. */
static gboolean
is_better (const DwnVerdict *a, const DwnVerdict *b)
{
  return a->margin_db * b->sigma_db > b->margin_db * a->sigma_db;
}

/* The best of the outlet's tuner inputs and switch positions. */
static DwnVerdict
best_sink (const DwnTerminals *self, const DwnBudgetBase *base, guint i, guint outlet, guint *sink,
           Mix *sum)
{
  DwnVerdict best = { (double) NAN, (double) NAN, FALSE, 0 };

  for (guint k = base->sink_first[outlet]; k < base->sink_first[outlet + 1]; k++)
    {
      DwnVerdict verdict;
      Mix here = { .maker = 0 };

      if (isnan (base->sink_noise[(gsize) i * base->n_sinks + k]))
        continue;
      mix (base, self, i, k, &here);
      judge (base, self, i, k, &here, &verdict);
      if (best.connected && !is_better (&verdict, &best))
        continue;
      best = verdict;
      *sink = k;
      *sum = here;
    }
  return best;
}

DwnVerdict
dwn_terminals_judge (const DwnTerminals *self, const DwnBudgetBase *base, guint i, guint outlet)
{
  guint sink;
  Mix sum;

  return best_sink (self, base, i, outlet, &sink, &sum);
}

static void
name_limit (DwnReception *reception, guint maker)
{
  double others = reception->interference_share + reception->spurious_share;

  if (reception->headroom_db < 0.0 && reception->cn_db - reception->needed_db >= reception->headroom_db)
    reception->limit = DWN_LIMIT_OVERLOAD;
  else if (others > 0.5 && reception->spurious_share > reception->interference_share)
    {
      reception->limit = DWN_LIMIT_OVERLOAD;
      reception->headroom_part = maker;
    }
  else if (others > 0.5)
    reception->limit = DWN_LIMIT_INTERFERENCE;
  else if (reception->ambient_share > 0.5)
    reception->limit = DWN_LIMIT_AMBIENT;
  else
    reception->limit = DWN_LIMIT_NOISE;
}

static DwnReception
unconnected (const DwnBudgetBase *base, guint i)
{
  const double nan = (double) NAN;

  return (DwnReception) {
    .antenna_dbi = nan, .level_dbm = nan, .worst_dbm = nan, .noise_dbm = nan, .cn_db = nan,
    .needed_db = base->needed_db[i], .margin_db = nan, .headroom_db = nan, .sigma_db = nan,
    .chance = 0.0, .limit = DWN_LIMIT_UNCONNECTED,
  };
}

DwnReception
dwn_terminals_receive (const DwnTerminals *self, const DwnBudgetBase *base, guint i, guint outlet)
{
  guint k;
  Mix sum;
  DwnVerdict verdict = best_sink (self, base, i, outlet, &k, &sum);

  if (!verdict.connected)
    return unconnected (base, i);
  DwnReception reception = {
    .antenna = sum.carrier.antenna, .state = base->sink[k].state, .port = base->sink[k].port,
    .antenna_dbi = self->gain_dbi[(gsize) i * base->n_antennas + sum.carrier.antenna],
    .level_dbm = dbm_of_mw (sum.carrier.mean_mw), .worst_dbm = dbm_of_mw (sum.carrier.worst_mw),
    .noise_dbm = dbm_of_mw (sum.noise_mw),
    .cn_db = dwn_db_of_ratio (sum.carrier.worst_mw / sum.noise_mw), .needed_db = base->needed_db[i],
    .margin_db = verdict.margin_db, .sigma_db = verdict.sigma_db,
    .headroom_db = self->headroom[k].db, .headroom_part = self->headroom[k].part,
    .interference_share = sum.disturbing_mw / sum.noise_mw,
    .spurious_share = sum.spurious_mw / sum.noise_mw,
    .ambient_share = sum.ambient_mw / sum.noise_mw, .spurious_part = sum.maker,
  };
  name_limit (&reception, sum.maker);
  return reception;
}

static gboolean
is_held (double margin_db, double sigma_db)
{
  return margin_db / sigma_db >= DWN_HELD_DEVIATES;
}

gboolean
dwn_terminals_hold (const DwnTerminals *self, const DwnBudgetBase *base, guint i)
{
  guint n_outlets = base->plan->gear->n_outlets;

  for (guint o = 0; o < n_outlets; o++)
    {
      DwnVerdict verdict = dwn_terminals_judge (self, base, i, o);

      if (!is_held (verdict.margin_db, verdict.sigma_db))
        return FALSE;
    }
  return n_outlets > 0;
}

static void
summarise (DwnBudget *budget, guint i)
{
  DwnReception *row = (DwnReception *) &budget->reception[(gsize) i * budget->n_outlets];
  guint weakest = 0;
  gboolean held = budget->n_outlets > 0;

  for (guint o = 0; o < budget->n_outlets; o++)
    {
      row[o].chance = row[o].limit == DWN_LIMIT_UNCONNECTED
                      ? 0.0 : dwn_chance (row[o].margin_db, row[o].sigma_db);
      held = held && is_held (row[o].margin_db, row[o].sigma_db);
    }
  for (guint o = 1; o < budget->n_outlets; o++)
    if (row[o].chance < row[weakest].chance
        || (row[o].chance == row[weakest].chance && row[o].margin_db < row[weakest].margin_db))
      weakest = o;
  ((guint *) budget->weakest)[i] = weakest;
  ((gboolean *) budget->held)[i] = held;
}

/* How much of stage @m's power nobody wants. */
static double
unwanted_share (const DwnBudgetBase *base, const DwnTerminals *terminals, guint m)
{
  guint na = base->n_antennas;
  double sum_mw = 0.0;

  for (guint u = 0; u < base->n_unwanted; u++)
    sum_mw += dwn_dot (&terminals->unwanted_mw[(gsize) u * na],
                       &base->unwanted_gain[((gsize) u * base->n_stages + m) * na], na);
  return terminals->stage_mw[m] > 0.0 ? sum_mw / terminals->stage_mw[m] : 0.0;
}

static void
forget_headroom (DwnBudget *budget, guint n_parts)
{
  double *headroom_db = g_new (double, n_parts);

  for (guint k = 0; k < n_parts; k++)
    headroom_db[k] = (double) NAN;
  budget->n_parts = n_parts;
  budget->headroom_db = headroom_db;
  budget->unwanted_share = g_new0 (double, n_parts);
}

/* The least of what was noted so far. */
static void
note_headroom (DwnBudget *budget, const DwnBudgetBase *base, const DwnTerminals *terminals)
{
  double *headroom_db = (double *) budget->headroom_db, *share = (double *) budget->unwanted_share;

  for (guint m = 0; m < base->n_stages; m++)
    {
      guint part = base->stage[m].part;

      headroom_db[part] = fmin (headroom_db[part], stage_headroom_db (base, terminals, m));
      share[part] = fmax (share[part], unwanted_share (base, terminals, m));
    }
}

DwnBudget *
dwn_budget_new (const DwnBudgetBase *base, const double *aim_deg)
{
  g_return_val_if_fail (base != NULL && (aim_deg != NULL || base->n_antennas == 0), NULL);

  DwnBudget *budget = g_atomic_rc_box_new0 (DwnBudget);
  DwnTerminals terminals;

  budget->n_stations = base->n;
  budget->n_outlets = base->plan->gear->n_outlets;
  budget->weakest = g_new0 (guint, base->n);
  budget->held = g_new0 (gboolean, base->n);
  DwnReception *rows = g_new0 (DwnReception, (gsize) base->n * budget->n_outlets);
  budget->reception = rows;

  dwn_terminals_init (&terminals, base);
  for (guint a = 0; a < base->n_antennas; a++)
    dwn_terminals_point (&terminals, base, a, aim_deg[a]);
  dwn_terminals_gather (&terminals, base);
  forget_headroom (budget, base->plan->gear->n_parts);
  note_headroom (budget, base, &terminals);
  for (guint i = 0; i < base->n; i++)
    {
      if (dwn_terminals_turn_to (&terminals, base, i))
        note_headroom (budget, base, &terminals);
      for (guint o = 0; o < budget->n_outlets; o++)
        rows[(gsize) i * budget->n_outlets + o] = dwn_terminals_receive (&terminals, base, i, o);
      summarise (budget, i);
    }
  dwn_terminals_clear (&terminals);
  return budget;
}

DwnBudget *
dwn_budget_ref (const DwnBudget *budget)
{
  return g_atomic_rc_box_acquire ((gpointer) budget);
}

static void
budget_clear (gpointer data)
{
  DwnBudget *budget = data;

  g_free ((gpointer) budget->reception);
  g_free ((gpointer) budget->weakest);
  g_free ((gpointer) budget->held);
  g_free ((gpointer) budget->headroom_db);
  g_free ((gpointer) budget->unwanted_share);
}

void
dwn_budget_unref (const DwnBudget *budget)
{
  g_atomic_rc_box_release_full ((gpointer) budget, budget_clear);
}
