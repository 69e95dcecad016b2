#include "core/chain/overload.h"

#include <math.h>
#include <string.h>

#include "core/chain/chain-private.h"

#define MAX_MHZ 6000.0

typedef struct {
  DwnOverload values; /* first, so that the public pointer is also ours */
  DwnLimitPoint *point;
  DwnCarrier *carrier;
  double *gain, *transfer;
  DwnProducts *products;
} Overload;

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
  return 2 * dbm - oip2_dbm + dbm_of_mw (DWN_HARMONIC_UNDER_SUM);
}

double
dwn_third_order_dbm (double twice_dbm, double once_dbm, double oip3_dbm)
{
  return 2 * twice_dbm + once_dbm - 2 * oip3_dbm;
}

double
dwn_triple_beat_dbm (double a_dbm, double b_dbm, double c_dbm, double oip3_dbm)
{
  return a_dbm + b_dbm + c_dbm - 2 * oip3_dbm + dbm_of_mw (DWN_TRIPLE_OVER_TWO_TONE);
}

double
dwn_third_harmonic_dbm (double dbm, double oip3_dbm)
{
  return 3 * dbm - 2 * oip3_dbm + dbm_of_mw (DWN_THIRD_HARMONIC_UNDER_TWO_TONE);
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

static void
fill_transfer (Overload *overload, const DwnChain *chain, guint state, guint p)
{
  const DwnOverload *values = &overload->values;
  const DwnLimitPoint *point = &values->point[p];
  g_autofree double *sink = g_new (double, values->n_sinks + 1);

  if (isnan (point->oip2_dbm) && isnan (point->oip3_dbm))
    return;
  for (guint c = 0; c < values->n_carriers; c++)
    {
      if (!values->carrier[c].wanted)
        continue;
      dwn_chain_onward (chain, point->part, point->port, values->carrier[c].mhz, state, sink);
      for (guint s = 0; s < values->n_sinks; s++)
        overload->transfer[((gsize) p * values->n_sinks + s) * values->n_carriers + c] = sink[s];
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
  overload->products = dwn_products_new (n_carriers, carriers);
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
  dwn_products_free (overload->products);
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

gsize
dwn_overload_workspace_size (const DwnOverload *overload)
{
  g_return_val_if_fail (overload != NULL, 0);

  const DwnProducts *products = ((const Overload *) overload)->products;
  return ((gsize) products->n_lines + products->n_channels + 1) * sizeof (double);
}

/* The outputs of an amplifier that divides are alike. */
static gboolean
is_alike (const DwnOverload *values, guint p, guint last, const double *level_mw)
{
  gsize n = values->n_carriers;

  return values->point[p].part == values->point[last].part
         && memcmp (&level_mw[p * n], &level_mw[last * n], n * sizeof *level_mw) == 0;
}

static double
ratio_of_intercept (double dbm, double times)
{
  return isnan (dbm) ? 0.0 : dwn_ratio_of_db (-times * dbm);
}

static void
fill_channels (const Overload *overload, guint p, const double *level_mw, double *line_mw,
               double *channel_mw)
{
  const DwnLimitPoint *point = &overload->point[p];

  memset (line_mw, 0, overload->products->n_lines * sizeof *line_mw);
  for (guint c = 0; c < overload->values.n_carriers; c++)
    line_mw[overload->products->line[c]] += level_mw[c];
  dwn_products_fill (overload->products, line_mw, ratio_of_intercept (point->oip2_dbm, 1.0),
                     ratio_of_intercept (point->oip3_dbm, 2.0), channel_mw);
}

void
dwn_overload_products (const DwnOverload *values, const double *level_mw, double *product_mw,
                       gpointer workspace)
{
  g_return_if_fail (values != NULL && level_mw != NULL && product_mw != NULL);
  g_return_if_fail (workspace != NULL);

  const Overload *overload = (const Overload *) values;
  guint n = values->n_carriers;
  double *line_mw = workspace, *channel_mw = line_mw + overload->products->n_lines;
  int last = -1;

  memset (product_mw, 0, (gsize) values->n_sinks * n * sizeof (double));
  for (guint p = 0; p < values->n_points; p++)
    {
      if (isnan (values->point[p].oip2_dbm) && isnan (values->point[p].oip3_dbm))
        continue;
      if (last < 0 || !is_alike (values, p, (guint) last, level_mw))
        fill_channels (overload, p, &level_mw[(gsize) p * n], line_mw, channel_mw);
      last = (int) p;
      for (guint s = 0; s < values->n_sinks; s++)
        {
          const double *transfer = &values->transfer[((gsize) p * values->n_sinks + s) * n];

          for (guint c = 0; c < n; c++)
            if (values->carrier[c].wanted)
              product_mw[(gsize) s * n + c] += channel_mw[overload->products->channel[c]]
                                               * transfer[c];
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

  offer (search, (DwnProduct) { { 2 }, { a } }, DWN_HARMONIC_UNDER_SUM * mw * mw);
  offer (search, (DwnProduct) { { 3 }, { a } }, DWN_THIRD_HARMONIC_UNDER_TWO_TONE * mw * mw * mw);
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
  double pair_mw = DWN_TRIPLE_OVER_TWO_TONE * search->mw[a] * search->mw[b];

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
