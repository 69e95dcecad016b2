/* Products of third order of n carriers are n³ / 2; but the sums f0 + f1 of all pairs can be
 * sorted by frequency once, and every product f0 + f1 - f2 in a channel then is one look-up for
 * each f2. That makes n² + n · wanted of it, which is fast enough to be asked for each aim. */
#include "core/chain/overload.h"

#include <math.h>
#include <string.h>

#include "core/chain/chain-private.h"

#define STEP_MHZ 0.5
#define MAX_MHZ 6000.0
#define TRIPLE_OVER_TWO_TONE 4.0 /* 6.02 dB */
#define HARMONIC_UNDER_SUM 0.25
#define THIRD_HARMONIC_UNDER_TWO_TONE (1.0 / 9)

typedef struct {
  DwnOverload values; /* first, so that the public pointer is also ours */
  DwnLimitPoint *point;
  DwnCarrier *carrier;
  double *gain, *transfer;
  guint n_steps;      /* of frequency, up to the highest carrier */
  guint n_lines;      /* different steps that carriers lie on */
  guint *step;        /* [n_lines] */
  guint *line;        /* [n_carriers] */
  guint *same_channel; /* [n_carriers]: the first wanted one with the same channel, or itself */
} Overload;

/* Sums over a range of frequencies in two look-ups. */
typedef struct {
  guint n;
  double *at;    /* [n] */
  double *up_to; /* [n + 1], exclusive */
} Spectrum;

static double
dbm_of_mw (double mw)
{
  return 10 * log10 (mw);
}

double
dwn_second_order_dbm (double dbm, double other_dbm, double oip2_dbm)
{
  return dbm + other_dbm - oip2_dbm;
}

double
dwn_harmonic_dbm (double dbm, double oip2_dbm)
{
  return 2 * dbm - oip2_dbm + dbm_of_mw (HARMONIC_UNDER_SUM);
}

double
dwn_third_order_dbm (double twice_dbm, double once_dbm, double oip3_dbm)
{
  return 2 * twice_dbm + once_dbm - 2 * oip3_dbm;
}

double
dwn_triple_beat_dbm (double a_dbm, double b_dbm, double c_dbm, double oip3_dbm)
{
  return a_dbm + b_dbm + c_dbm - 2 * oip3_dbm + dbm_of_mw (TRIPLE_OVER_TWO_TONE);
}

double
dwn_third_harmonic_dbm (double dbm, double oip3_dbm)
{
  return 3 * dbm - 2 * oip3_dbm + dbm_of_mw (THIRD_HARMONIC_UNDER_TWO_TONE);
}

double
dwn_carrier_limit_dbm (double total_dbm, guint n)
{
  return n > 0 ? total_dbm - 10 * log10 (n) : (double) NAN;
}

/* Points */

static void
add_point (GArray *points, const DwnChain *chain, guint part, guint port, gboolean input)
{
  const DwnPartType *type = chain->type[part];
  DwnLimitPoint point = {
    .part = part, .port = port, .input = input,
    .limit_dbm = input ? type->max_input_dbm : dwn_chain_part_max_output_dbm (chain, part),
    .oip2_dbm = input ? (double) NAN : type->oip2_dbm,
    .oip3_dbm = input ? (double) NAN : type->oip3_dbm,
  };

  if (!isnan (point.limit_dbm) || !isnan (point.oip2_dbm) || !isnan (point.oip3_dbm))
    g_array_append_val (points, point);
}

static GArray *
find_points (const DwnChain *chain)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (DwnLimitPoint));

  for (guint k = 0; k < chain->n_parts; k++)
    {
      const DwnPartType *type = chain->type[chain->order[k]];

      if (type == NULL || !type->active || !chain->powered[chain->order[k]])
        continue;
      for (guint i = 0; i < type->n_in; i++)
        add_point (points, chain, chain->order[k], i, TRUE);
      for (guint o = 0; o < type->n_out; o++)
        add_point (points, chain, chain->order[k], o, FALSE);
    }
  return points;
}

static void
fill_gain (Overload *overload, const DwnChain *chain, guint state, guint c)
{
  const DwnOverload *values = &overload->values;
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, values->carrier[c].mhz, state);

  for (guint p = 0; p < values->n_points; p++)
    {
      const DwnLimitPoint *point = &values->point[p];
      const DwnPoint *at = &cascade->out[cascade->out_first[point->part] + point->port];
      gsize to = ((gsize) p * values->n_carriers + c) * values->n_antennas;

      if (point->input)
        at = dwn_cascade_input (cascade, chain, point->part, point->port);
      if (at != NULL)
        memcpy (&overload->gain[to], at->gain, values->n_antennas * sizeof (double));
    }
}

/* Gains from one output onwards: @out per output port and @edge per edge. */
static void
spread (const DwnChain *chain, guint part, guint port, double mhz, guint state, double *out,
        double *edge)
{
  memset (out, 0, chain->out_first[chain->n_parts] * sizeof *out);
  for (guint k = 0; k < chain->n_parts; k++)
    {
      guint at = chain->order[k];
      guint n_in = chain->in_first[at + 1] - chain->in_first[at];

      for (guint o = 0; o < chain->out_first[at + 1] - chain->out_first[at]; o++)
        {
          double sum = at == part && o == port ? 1 : 0;
          int leads = chain->out_edge[chain->out_first[at] + o];

          for (guint i = 0; i < n_in; i++)
            {
              int from = chain->in_edge[chain->in_first[at] + i];
              if (from >= 0 && edge[from] > 0)
                sum += edge[from] * dwn_chain_part_ratio (chain, at, i, o, mhz, state);
            }
          out[chain->out_first[at] + o] = sum;
          if (leads >= 0)
            edge[leads] = sum > 0 ? sum * dwn_ratio_of_db (-dwn_chain_edge_loss_db (chain,
                                                                                  (guint) leads,
                                                                                  mhz))
                                  : 0;
        }
    }
}

static void
fill_transfer (Overload *overload, const DwnChain *chain, guint state, guint p)
{
  const DwnOverload *values = &overload->values;
  const DwnLimitPoint *point = &values->point[p];
  g_autofree double *out = g_new (double, chain->out_first[chain->n_parts]);
  g_autofree double *edge = g_new0 (double, chain->n_edges);

  if (isnan (point->oip2_dbm) && isnan (point->oip3_dbm))
    return;
  for (guint c = 0; c < values->n_carriers; c++)
    {
      guint sink = 0;

      if (!values->carrier[c].wanted)
        continue;
      spread (chain, point->part, point->port, values->carrier[c].mhz, state, out, edge);
      for (guint o = 0; o < chain->n_outlets; o++)
        for (guint i = chain->in_first[chain->outlet[o]]; i < chain->in_first[chain->outlet[o] + 1];
             i++, sink++)
          overload->transfer[((gsize) p * values->n_sinks + sink) * values->n_carriers + c] =
            chain->in_edge[i] >= 0 ? edge[chain->in_edge[i]] : 0;
    }
}

/* Carriers on one step of frequency are one line. */
static void
sort_into_lines (Overload *overload)
{
  const DwnOverload *values = &overload->values;

  for (guint c = 0; c < values->n_carriers; c++)
    {
      guint step = (guint) (values->carrier[c].mhz / STEP_MHZ + 0.5), k = 0;

      overload->n_steps = MAX (overload->n_steps, step + 1);
      while (k < overload->n_lines && overload->step[k] != step)
        k++;
      overload->step[k] = step;
      overload->line[c] = k;
      overload->n_lines = MAX (overload->n_lines, k + 1);
    }
}

/* Of stations on one channel one look is enough. */
static void
find_same_channels (Overload *overload)
{
  const DwnCarrier *carrier = overload->values.carrier;

  for (guint c = 0; c < overload->values.n_carriers; c++)
    {
      guint k = 0;

      while (k < c && (!carrier[k].wanted || overload->line[k] != overload->line[c]
                       || carrier[k].bandwidth_mhz != carrier[c].bandwidth_mhz))
        k++;
      overload->same_channel[c] = k;
    }
}

static guint
count_sinks (const DwnChain *chain)
{
  guint n = 0;

  for (guint o = 0; o < chain->n_outlets; o++)
    n += chain->type[chain->outlet[o]]->n_in;
  return n;
}

static Overload *
allocate (const DwnChain *chain, guint n_carriers, const DwnCarrier *carriers)
{
  Overload *overload = g_new0 (Overload, 1);
  GArray *points = find_points (chain);
  gsize n_points = points->len;
  guint n_sinks = count_sinks (chain);

  overload->point = (DwnLimitPoint *) (gpointer) g_array_free (points, FALSE);
  overload->carrier = g_new (DwnCarrier, n_carriers);
  if (n_carriers > 0)
    memcpy (overload->carrier, carriers, n_carriers * sizeof *carriers);
  overload->gain = g_new0 (double, n_points * n_carriers * chain->n_antennas);
  overload->transfer = g_new0 (double, n_points * n_sinks * n_carriers);
  overload->step = g_new0 (guint, n_carriers + 1);
  overload->line = g_new0 (guint, n_carriers);
  overload->same_channel = g_new0 (guint, n_carriers);
  overload->values = (DwnOverload) {
    .n_antennas = chain->n_antennas, .n_carriers = n_carriers, .n_points = (guint) n_points,
    .n_sinks = n_sinks, .point = overload->point, .carrier = overload->carrier,
    .gain = overload->gain, .transfer = overload->transfer,
  };
  return overload;
}

DwnOverload *
dwn_overload_new (const DwnChain *chain, guint state, guint n_carriers, const DwnCarrier *carriers)
{
  g_return_val_if_fail (chain != NULL && state < chain->n_states, NULL);
  g_return_val_if_fail (n_carriers == 0 || carriers != NULL, NULL);
  for (guint c = 0; c < n_carriers; c++)
    g_return_val_if_fail (carriers[c].mhz > 0 && carriers[c].mhz <= MAX_MHZ, NULL);

  Overload *overload = allocate (chain, n_carriers, carriers);

  sort_into_lines (overload);
  find_same_channels (overload);
  for (guint c = 0; c < n_carriers; c++)
    fill_gain (overload, chain, state, c);
  for (guint p = 0; p < overload->values.n_points; p++)
    fill_transfer (overload, chain, state, p);
  return &overload->values;
}

void
dwn_overload_free (DwnOverload *values)
{
  Overload *overload = (Overload *) values;

  if (overload == NULL)
    return;
  g_free (overload->point);
  g_free (overload->carrier);
  g_free (overload->gain);
  g_free (overload->transfer);
  g_free (overload->step);
  g_free (overload->line);
  g_free (overload->same_channel);
  g_free (overload);
}

/* Levels */

void
dwn_overload_levels (const DwnOverload *overload, const double *terminal_mw, double *level_mw,
                     double *total_mw)
{
  g_return_if_fail (overload != NULL && terminal_mw != NULL);
  g_return_if_fail (level_mw != NULL && total_mw != NULL);

  guint n_antennas = overload->n_antennas;

  for (guint p = 0; p < overload->n_points; p++)
    {
      total_mw[p] = 0;
      for (guint c = 0; c < overload->n_carriers; c++)
        {
          gsize at = (gsize) p * overload->n_carriers + c;
          const double *gain = &overload->gain[at * n_antennas];
          double sum = 0;

          for (guint a = 0; a < n_antennas; a++)
            sum += gain[a] * terminal_mw[(gsize) c * n_antennas + a];
          level_mw[at] = sum;
          total_mw[p] += sum;
        }
    }
}

double
dwn_overload_headroom_db (const DwnOverload *overload, guint point, double total_mw)
{
  g_return_val_if_fail (overload != NULL && point < overload->n_points, (double) NAN);

  return overload->point[point].limit_dbm - dbm_of_mw (total_mw);
}

/* Products */

static Spectrum
take_spectrum (double **workspace, guint n)
{
  Spectrum spectrum = { .n = n, .at = *workspace, .up_to = *workspace + n };

  *workspace += 2 * (gsize) n + 1;
  memset (spectrum.at, 0, n * sizeof (double));
  return spectrum;
}

static void
add_up (Spectrum *spectrum)
{
  double sum = 0;

  for (guint k = 0; k < spectrum->n; k++)
    {
      spectrum->up_to[k] = sum;
      sum += spectrum->at[k];
    }
  spectrum->up_to[spectrum->n] = sum;
}

/* All within @half steps of @centre, half of what lies right on the edges. */
static double
within (const Spectrum *spectrum, guint centre, guint half)
{
  guint n = spectrum->n;

  if (half == 0)
    return centre < n ? spectrum->at[centre] : 0;
  guint low = centre > half ? centre - half + 1 : 0, high = MIN (centre + half, n);
  double sum = low < high ? spectrum->up_to[high] - spectrum->up_to[low] : 0;
  if (centre >= half && centre - half < n)
    sum += spectrum->at[centre - half] / 2;
  if (centre + half < n)
    sum += spectrum->at[centre + half] / 2;
  return sum;
}

/* Around @from - @less; no pair lies near 0. */
static double
within_below (const Spectrum *spectrum, guint from, guint less, guint half)
{
  return from > less ? within (spectrum, from - less, half) : 0;
}

gsize
dwn_overload_workspace_size (const DwnOverload *overload)
{
  g_return_val_if_fail (overload != NULL, 0);

  gsize n_steps = ((const Overload *) overload)->n_steps;
  gsize n_lines = ((const Overload *) overload)->n_lines;
  /* Lines by step, three kinds of sums of pairs, each with its running sum; lines;
   * what lands in each channel. */
  return ((2 * n_steps + 1) + 3 * (4 * n_steps + 1) + n_lines + overload->n_carriers)
         * sizeof (double);
}

/* What the lines of one point make, before the intercepts. The three sums hold the same pairs at
 * f0 + f1 and 2 f0 under the weights by which they count. */
typedef struct {
  Spectrum line;   /* mW */
  Spectrum second; /* mW², as products of second order */
  Spectrum beat;   /* mW², with a third line subtracted, or subtracted from a third line */
  Spectrum sum;    /* mW², with a third line added */
  double *mw;      /* [n_lines] */
  double squares;  /* Σ mw² */
  double *in_channel; /* [n_carriers]: what lands there */
} Pairs;

/* With a third line added, f0 + f1 + f2 comes up three times and 2 f0 + f1 as f0 + f1 and f0, and
 * as 2 f0 and f1: thirds of the weight, less what is too much of the second, make it right. */
static void
add_pair (Pairs *pairs, guint at, double product, gboolean same)
{
  pairs->second.at[at] += same ? HARMONIC_UNDER_SUM * product : product;
  pairs->beat.at[at] += same ? product : TRIPLE_OVER_TWO_TONE * product;
  pairs->sum.at[at] += same ? (1 - TRIPLE_OVER_TWO_TONE / 3) * product
                            : TRIPLE_OVER_TWO_TONE / 3 * product;
}

static Pairs
make_pairs (const Overload *overload, const double *level_mw, gpointer workspace)
{
  double *at = workspace;
  const guint *step = overload->step;
  Pairs pairs = { .line = take_spectrum (&at, overload->n_steps) };

  pairs.second = take_spectrum (&at, 2 * overload->n_steps);
  pairs.beat = take_spectrum (&at, 2 * overload->n_steps);
  pairs.sum = take_spectrum (&at, 2 * overload->n_steps);
  pairs.mw = at;
  pairs.in_channel = at + overload->n_lines;
  memset (pairs.mw, 0, overload->n_lines * sizeof (double));
  for (guint c = 0; c < overload->values.n_carriers; c++)
    pairs.mw[overload->line[c]] += level_mw[c];
  for (guint i = 0; i < overload->n_lines; i++)
    {
      pairs.line.at[step[i]] = pairs.mw[i];
      pairs.squares += pairs.mw[i] * pairs.mw[i];
      for (guint j = 0; j <= i; j++)
        add_pair (&pairs, step[i] + step[j], pairs.mw[i] * pairs.mw[j], i == j);
    }
  add_up (&pairs.line);
  add_up (&pairs.second);
  add_up (&pairs.beat);
  add_up (&pairs.sum);
  return pairs;
}

static guint
half_width (const DwnCarrier *carrier)
{
  return (guint) (carrier->bandwidth_mhz / 2 / STEP_MHZ + 0.5);
}

static double
second_order (const Overload *overload, const Pairs *pairs, guint centre, guint half)
{
  double sum = within (&pairs->second, centre, half);

  for (guint k = 0; k < overload->n_lines; k++)
    sum += pairs->mw[k] * within (&pairs->line, centre + overload->step[k], half);
  return sum;
}

static double
share_within (guint step, guint centre, guint half)
{
  guint away = step > centre ? step - centre : centre - step;

  return away < half || away == 0 ? 1 : away == half ? 0.5 : 0;
}

/* f0 + f1 - f1 lands on f0: that is the gain's compression and no product. 3 f0 counts less than
 * the look-ups made it. What they brought too much: */
static double
excess (const Overload *overload, const Pairs *pairs, guint centre, guint half)
{
  double sum = 0;

  for (guint k = 0; k < overload->n_lines; k++)
    {
      double mw = pairs->mw[k], square = mw * mw;
      double on_itself = share_within (overload->step[k], centre, half);
      double on_third = share_within (3 * overload->step[k], centre, half);

      sum += on_itself * mw * (TRIPLE_OVER_TWO_TONE * (pairs->squares - square) + square);
      sum += on_third * mw * square
             * (1 - TRIPLE_OVER_TWO_TONE / 3 - THIRD_HARMONIC_UNDER_TWO_TONE);
    }
  return sum;
}

static double
third_order (const Overload *overload, const Pairs *pairs, guint centre, guint half)
{
  double sum = 0;

  for (guint k = 0; k < overload->n_lines; k++)
    {
      guint step = overload->step[k];
      double around = within (&pairs->beat, centre + step, half)          /* f0 + f1 - this */
                      + within_below (&pairs->beat, step, centre, half)   /* this - f0 - f1 */
                      + within_below (&pairs->sum, centre, step, half);   /* f0 + f1 + this */

      sum += pairs->mw[k] * around;
    }
  return MAX (sum - excess (overload, pairs, centre, half), 0);
}

/* At the point, in the channel of carrier @c, mW. */
static double
products_in (const Overload *overload, const Pairs *pairs, const DwnLimitPoint *point, guint c)
{
  guint centre = overload->step[overload->line[c]];
  guint half = half_width (&overload->carrier[c]);
  double mw = 0;

  if (!isnan (point->oip2_dbm))
    mw += second_order (overload, pairs, centre, half) * dwn_ratio_of_db (-point->oip2_dbm);
  if (!isnan (point->oip3_dbm))
    mw += third_order (overload, pairs, centre, half) * dwn_ratio_of_db (-2 * point->oip3_dbm);
  return mw;
}

static void
fill_channels (const Overload *overload, guint p, const double *level_mw, Pairs *pairs,
               gpointer workspace)
{
  const DwnLimitPoint *point = &overload->point[p];

  *pairs = make_pairs (overload, level_mw, workspace);
  for (guint c = 0; c < overload->values.n_carriers; c++)
    {
      guint first = overload->same_channel[c];

      if (overload->carrier[c].wanted)
        pairs->in_channel[c] = first < c ? pairs->in_channel[first]
                                         : products_in (overload, pairs, point, c);
    }
}

/* The outputs of an amplifier that divides are alike. */
static gboolean
is_alike (const DwnOverload *values, guint p, guint last, const double *level_mw)
{
  gsize n = values->n_carriers;

  return values->point[p].part == values->point[last].part
         && memcmp (&level_mw[p * n], &level_mw[last * n], n * sizeof *level_mw) == 0;
}

void
dwn_overload_products (const DwnOverload *values, const double *level_mw, double *product_mw,
                       gpointer workspace)
{
  g_return_if_fail (values != NULL && level_mw != NULL && product_mw != NULL);
  g_return_if_fail (workspace != NULL);

  const Overload *overload = (const Overload *) values;
  guint n = values->n_carriers;
  Pairs pairs = { 0 };
  int last = -1;

  memset (product_mw, 0, (gsize) values->n_sinks * n * sizeof (double));
  for (guint p = 0; p < values->n_points; p++)
    {
      if (isnan (values->point[p].oip2_dbm) && isnan (values->point[p].oip3_dbm))
        continue;
      if (last < 0 || !is_alike (values, p, (guint) last, level_mw))
        fill_channels (overload, p, &level_mw[(gsize) p * n], &pairs, workspace);
      last = (int) p;
      for (guint s = 0; s < values->n_sinks; s++)
        {
          const double *transfer = &values->transfer[((gsize) p * values->n_sinks + s) * n];

          for (guint c = 0; c < n; c++)
            if (values->carrier[c].wanted)
              product_mw[(gsize) s * n + c] += pairs.in_channel[c] * transfer[c];
        }
    }
}

/* The strongest one */

typedef struct {
  const DwnOverload *overload;
  const double *mw; /* levels at the point */
  double low_mhz, high_mhz;
  double per_oip2, per_oip3;
  double most_mw;
  DwnProduct *best;
} Search;

/* @mw: before the intercepts. */
static void
offer (Search *search, DwnProduct product, double mw)
{
  double mhz = 0;
  int order = 0;

  for (guint k = 0; k < 3; k++)
    {
      mhz += product.times[k] * search->overload->carrier[product.carrier[k]].mhz;
      order += ABS (product.times[k]);
    }
  mw *= order == 2 ? search->per_oip2 : search->per_oip3;
  if (mhz < search->low_mhz || mhz > search->high_mhz || mw <= search->most_mw)
    return;
  search->most_mw = mw;
  *search->best = product;
  search->best->dbm = dbm_of_mw (mw);
}

static void
offer_one (Search *search, guint a)
{
  double mw = search->mw[a];

  offer (search, (DwnProduct) { { 2 }, { a } }, HARMONIC_UNDER_SUM * mw * mw);
  offer (search, (DwnProduct) { { 3 }, { a } }, THIRD_HARMONIC_UNDER_TWO_TONE * mw * mw * mw);
}

static void
offer_two (Search *search, guint a, guint b)
{
  double mw2 = search->mw[a] * search->mw[b], mw3 = mw2 * search->mw[a];

  offer (search, (DwnProduct) { { 1, 1 }, { a, b } }, mw2);
  offer (search, (DwnProduct) { { 1, -1 }, { a, b } }, mw2);
  offer (search, (DwnProduct) { { 2, 1 }, { a, b } }, mw3);
  offer (search, (DwnProduct) { { 2, -1 }, { a, b } }, mw3);
  offer (search, (DwnProduct) { { -2, 1 }, { a, b } }, mw3);
}

static void
offer_three (Search *search, guint a, guint b)
{
  double pair_mw = TRIPLE_OVER_TWO_TONE * search->mw[a] * search->mw[b];

  for (guint c = 0; c < search->overload->n_carriers; c++)
    {
      if (c == a || c == b)
        continue;
      double mw = pair_mw * search->mw[c];
      offer (search, (DwnProduct) { { 1, 1, -1 }, { a, b, c } }, mw);
      offer (search, (DwnProduct) { { 1, 1, 1 }, { a, b, c } }, mw);
      offer (search, (DwnProduct) { { -1, -1, 1 }, { a, b, c } }, mw);
    }
}

gboolean
dwn_overload_strongest (const DwnOverload *overload, const double *level_mw, guint point,
                        guint wanted, DwnProduct *product)
{
  g_return_val_if_fail (overload != NULL && level_mw != NULL && product != NULL, FALSE);
  g_return_val_if_fail (point < overload->n_points && wanted < overload->n_carriers, FALSE);

  const DwnLimitPoint *at = &overload->point[point];
  const DwnCarrier *channel = &overload->carrier[wanted];
  Search search = {
    .overload = overload, .mw = &level_mw[(gsize) point * overload->n_carriers],
    .low_mhz = channel->mhz - channel->bandwidth_mhz / 2,
    .high_mhz = channel->mhz + channel->bandwidth_mhz / 2,
    .per_oip2 = isnan (at->oip2_dbm) ? 0 : dwn_ratio_of_db (-at->oip2_dbm),
    .per_oip3 = isnan (at->oip3_dbm) ? 0 : dwn_ratio_of_db (-2 * at->oip3_dbm),
    .best = product,
  };

  for (guint a = 0; a < overload->n_carriers; a++)
    {
      offer_one (&search, a);
      for (guint b = 0; b < overload->n_carriers; b++)
        if (a != b)
          {
            offer_two (&search, a, b);
            if (a < b)
              offer_three (&search, a, b);
          }
    }
  return search.most_mw > 0;
}
