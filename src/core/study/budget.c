#include "core/study/budget-private.h"

#include <math.h>
#include <string.h>

/* Below this a gain counts as no signal at all. */
#define LEAST_MW 1e-30

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
  return 10.0 * log10 (fmax (mw, LEAST_MW));
}

static void
terminals_init (DwnTerminals *self, const DwnBudgetBase *base)
{
  gsize table = (gsize) base->n * base->n_antennas;
  double *block = g_new0 (double, 5 * table + base->n_stages);

  self->gain_dbi = block;
  self->pattern_sd_db = block + table;
  self->wanted_mw = block + 2 * table;
  self->median_mw = block + 3 * table;
  self->interfering_mw = block + 4 * table;
  self->stage_mw = block + 5 * table;
  self->headroom = g_new (DwnHeadroom, base->n_sinks);
}

static void
terminals_clear (DwnTerminals *self)
{
  g_free (self->gain_dbi);
  g_free (self->headroom);
}

static void
point_antenna (DwnTerminals *self, const DwnBudgetBase *base, guint i, guint a, double aim_deg)
{
  gsize at = (gsize) i * base->n_antennas + a;
  const DwnPart *part = &base->plan->gear->part[base->plan->gear->antenna[a]];
  const DwnArrival *arrival = &base->fields->arrival[i];
  double mhz = base->plan->stations->station[i].mhz;
  double off_deg = part->rotator ? 0.0 : arrival->bearing_deg - aim_deg;
  double at_horizon = dwn_pattern_gain_dbi (part->pattern, off_deg, mhz);
  double gain_dbi = at_horizon + dwn_pattern_elevation_db (part->pattern, arrival->elevation_deg, mhz)
                    - base->polarisation_db[at];
  double gain = pow (10.0, gain_dbi / 10.0);

  self->gain_dbi[at] = gain_dbi;
  self->pattern_sd_db[at] = dwn_pattern_sd_db (dwn_pattern_max_gain_dbi (part->pattern, mhz)
                                               - at_horizon);
  self->wanted_mw[at] = base->wanted_mw[at] * gain;
  self->median_mw[at] = base->median_mw[at] * gain;
  self->interfering_mw[at] = base->interfering_mw[at] * gain;
}

static double
dot (const double *x, const double *y, guint n)
{
  double sum = 0.0;

  for (guint i = 0; i < n; i++)
    sum += x[i] * y[i];
  return sum;
}

static double
stage_headroom_db (const DwnBudgetBase *base, const DwnTerminals *terminals, guint m)
{
  return dbm_of_mw (base->stage[m].limit_mw) - dbm_of_mw (terminals->stage_mw[m]);
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
      if (headroom_db < nearest->db)
        *nearest = (DwnHeadroom) { headroom_db, base->stage[m].part };
    }
}

static void
point_antennas (DwnTerminals *self, const DwnBudgetBase *base, const double *aim_deg)
{
  guint na = base->n_antennas;

  for (guint i = 0; i < base->n; i++)
    for (guint a = 0; a < na; a++)
      point_antenna (self, base, i, a, aim_deg[a]);
  for (guint i = 0; i < base->n; i++)
    for (guint m = 0; m < base->n_stages; m++)
      self->stage_mw[m] += dot (&self->median_mw[(gsize) i * na],
                                &base->stage_gain[((gsize) i * base->n_stages + m) * na], na);
  for (guint k = 0; k < base->n_sinks; k++)
    find_headroom (self, base, k);
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
  double left = 2.0 * sqrt (strongest) - amplitudes;
  carrier.worst_mw = left > 0.0 ? left * left : 0.0;
  return carrier;
}

/* Other stations at this tuner: partners add to the carrier, the rest counts as noise. */
static double
weigh_neighbours (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k,
                  Carrier *carrier)
{
  double disturbing_mw = 0.0;
  guint na = base->n_antennas;

  for (guint at = base->neighbour_first[i]; at < base->neighbour_first[i + 1]; at++)
    {
      const DwnNeighbour *other = &base->neighbour[at];
      const double *gain = sink_gain (base, other->station, k);

      if (other->helps)
        {
          double mw = dot (&terminals->wanted_mw[(gsize) other->station * na], gain, na);
          carrier->mean_mw += mw;
          carrier->worst_mw += mw;
        }
      else
        disturbing_mw += other->weight
                         * dot (&terminals->interfering_mw[(gsize) other->station * na], gain, na);
    }
  return disturbing_mw;
}

static void
name_limit (DwnReception *reception)
{
  if (reception->headroom_db < 0.0 && reception->margin_db >= reception->headroom_db)
    reception->limit = DWN_LIMIT_OVERLOAD;
  else if (reception->interference_share > 0.5)
    reception->limit = DWN_LIMIT_INTERFERENCE;
  else if (reception->ambient_share > 0.5)
    reception->limit = DWN_LIMIT_AMBIENT;
  else
    reception->limit = DWN_LIMIT_NOISE;
}

static double
sigma_db (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i,
          const DwnReception *reception)
{
  double prediction = base->fields->arrival[i].sd_db;
  double pattern = terminals->pattern_sd_db[(gsize) i * base->n_antennas + reception->antenna];
  double house = base->house_sd_db[i];
  /* What sky and warm ground deliver (a factor of 1) does not vary; what exceeds it does. */
  double ambient = base->ambient[i] > 1.0 ? base->ambient_sd_db * reception->ambient_share : 0.0;

  return sqrt (prediction * prediction + pattern * pattern + house * house + ambient * ambient);
}

static void
receive (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint k,
         DwnReception *reception)
{
  const double *gain = sink_gain (base, i, k);
  double gain_sum = 0.0;

  for (guint a = 0; a < base->n_antennas; a++)
    gain_sum += gain[a];

  Carrier carrier = carrier_at (base, terminals, i, k);
  double disturbing_mw = weigh_neighbours (base, terminals, i, k, &carrier);
  double ambient_mw = base->noise_unit_mw[i] * gain_sum * base->ambient[i];
  double gear_mw = base->noise_unit_mw[i] * base->sink_noise[(gsize) i * base->n_sinks + k];
  double noise_mw = ambient_mw + gear_mw + disturbing_mw;

  reception->antenna = carrier.antenna;
  reception->state = base->sink[k].state;
  reception->port = base->sink[k].port;
  reception->antenna_dbi = terminals->gain_dbi[(gsize) i * base->n_antennas + carrier.antenna];
  reception->level_dbm = dbm_of_mw (carrier.mean_mw);
  reception->worst_dbm = dbm_of_mw (carrier.worst_mw);
  reception->noise_dbm = dbm_of_mw (noise_mw);
  reception->cn_db = reception->worst_dbm - reception->noise_dbm;
  reception->needed_db = base->needed_db[i];
  reception->interference_share = disturbing_mw / noise_mw;
  reception->ambient_share = ambient_mw / noise_mw;
  reception->headroom_db = terminals->headroom[k].db;
  reception->headroom_part = terminals->headroom[k].part;
  reception->margin_db = reception->cn_db - reception->needed_db;
  name_limit (reception);
  if (reception->headroom_db < 0.0)
    reception->margin_db = fmin (reception->margin_db, reception->headroom_db);
  reception->sigma_db = sigma_db (base, terminals, i, reception);
  reception->chance = dwn_chance (reception->margin_db, reception->sigma_db);
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

/* The best of the tuner inputs and switch positions that this outlet has. */
static DwnReception
best_reception (const DwnBudgetBase *base, const DwnTerminals *terminals, guint i, guint outlet)
{
  DwnReception best = unconnected (base, i);

  for (guint k = 0; k < base->n_sinks; k++)
    {
      if (base->sink[k].outlet != outlet
          || isnan (base->sink_noise[(gsize) i * base->n_sinks + k]))
        continue;
      DwnReception reception = { 0 };
      receive (base, terminals, i, k, &reception);
      if (best.limit == DWN_LIMIT_UNCONNECTED || reception.chance > best.chance)
        best = reception;
    }
  return best;
}

static void
summarise (DwnBudget *budget, guint i)
{
  const DwnReception *row = &budget->reception[(gsize) i * budget->n_outlets];
  guint weakest = 0;

  for (guint o = 1; o < budget->n_outlets; o++)
    if (row[o].chance < row[weakest].chance
        || (row[o].chance == row[weakest].chance && row[o].margin_db < row[weakest].margin_db))
      weakest = o;
  ((guint *) budget->weakest)[i] = weakest;
  ((gboolean *) budget->held)[i] = budget->n_outlets > 0 && row[weakest].chance >= DWN_CHANCE_HELD;
}

static void
fill_headroom (DwnBudget *budget, const DwnBudgetBase *base, const DwnTerminals *terminals)
{
  double *headroom_db = g_new (double, base->plan->gear->n_parts);

  budget->n_parts = base->plan->gear->n_parts;
  budget->headroom_db = headroom_db;
  for (guint k = 0; k < budget->n_parts; k++)
    headroom_db[k] = (double) NAN;
  for (guint m = 0; m < base->n_stages; m++)
    headroom_db[base->stage[m].part] = fmin (headroom_db[base->stage[m].part],
                                             stage_headroom_db (base, terminals, m));
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

  terminals_init (&terminals, base);
  point_antennas (&terminals, base, aim_deg);
  for (guint i = 0; i < base->n; i++)
    {
      for (guint o = 0; o < budget->n_outlets; o++)
        rows[(gsize) i * budget->n_outlets + o] = best_reception (base, &terminals, i, o);
      summarise (budget, i);
    }
  fill_headroom (budget, base, &terminals);
  terminals_clear (&terminals);
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
}

void
dwn_budget_unref (const DwnBudget *budget)
{
  g_atomic_rc_box_release_full ((gpointer) budget, budget_clear);
}
