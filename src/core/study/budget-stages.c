/* Where too much signal does harm: the inputs and outputs that have a limit, and the outputs that
 * make products of what goes through them. */
#include <string.h>

#include "core/study/budget-private.h"
#include "core/study/house.h"

/* Products that would be less than this share of the noise are not asked for: 0.04 dB. */
#define QUIET_SHARE 0.01

static double
mw_of_dbm (double dbm)
{
  return pow (10.0, dbm / 10.0);
}

/* The stages */

static gboolean
same_response (const DwnResponse *a, const DwnResponse *b)
{
  return a->n == b->n && a->mhz == b->mhz;
}

/* An output that gives what an earlier one gives has nothing of its own to say. */
static gboolean
repeats_output (const DwnPartType *type, guint output)
{
  for (guint i = 0; output > 0 && i < type->n_in; i++)
    if (!same_response (&type->gain[i][output], &type->gain[i][0]))
      return FALSE;
  return output > 0;
}

static void
add_stage (GArray *stages, const DwnChain *gear, guint part, guint port, gboolean input, guint state)
{
  const DwnPartType *type = gear->type[part];
  double limit_dbm = input ? type->max_input_dbm : dwn_chain_part_max_output_dbm (gear, part);
  DwnStage stage = {
    .part = part, .port = port, .input = input, .state = state,
    .limit_mw = isnan (limit_dbm) ? (double) INFINITY : mw_of_dbm (limit_dbm),
    .limit_dbm = limit_dbm, .quiet_mw = (double) INFINITY,
    .per_oip2 = input || isnan (type->oip2_dbm) ? 0.0 : mw_of_dbm (-type->oip2_dbm),
    .per_oip3 = input || isnan (type->oip3_dbm) ? 0.0 : mw_of_dbm (-2.0 * type->oip3_dbm),
  };

  if (!isnan (limit_dbm) || stage.per_oip2 > 0.0 || stage.per_oip3 > 0.0)
    g_array_append_val (stages, stage);
}

static void
list_stages (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  GArray *stages = g_array_new (FALSE, FALSE, sizeof (DwnStage));

  for (guint k = 0; k < gear->n_parts; k++)
    for (guint state = 0; state < gear->n_states; state++)
      {
        if (gear->type[k] == NULL || !gear->type[k]->active || !gear->powered[k])
          continue;
        for (guint i = 0; i < gear->type[k]->n_in; i++)
          add_stage (stages, gear, k, i, TRUE, state);
        for (guint o = 0; o < gear->type[k]->n_out; o++)
          if (!repeats_output (gear->type[k], o))
            add_stage (stages, gear, k, o, FALSE, state);
      }
  base->n_stages = stages->len;
  base->stage = (DwnStage *) (gpointer) g_array_free (stages, FALSE);
}

/* Is @part on a way to input @port of part @target? */
static gboolean
feeds (const DwnChain *gear, guint part, guint target, guint port)
{
  for (guint e = 0; e < gear->n_edges; e++)
    {
      const DwnEdge *edge = &gear->edge[e];

      if (edge->to_part != target || (port != G_MAXUINT && edge->to_port != port))
        continue;
      if (edge->from_part == part || feeds (gear, part, edge->from_part, G_MAXUINT))
        return TRUE;
    }
  return FALSE;
}

static gboolean
stage_feeds (const DwnBudgetBase *base, const DwnStage *stage, const DwnSink *sink)
{
  const DwnChain *gear = base->plan->gear;
  guint outlet = gear->outlet[sink->outlet];

  if (stage->state != sink->state)
    return FALSE;
  return stage->part == outlet ? stage->port == sink->port
                               : feeds (gear, stage->part, outlet, sink->port);
}

void
dwn_budget_base_list_stages (DwnBudgetBase *base)
{
  list_stages (base);

  gboolean *table = g_new0 (gboolean, (gsize) base->n_stages * base->n_sinks);

  for (guint m = 0; m < base->n_stages; m++)
    for (guint k = 0; k < base->n_sinks; k++)
      table[m * base->n_sinks + k] = stage_feeds (base, &base->stage[m], &base->sink[k]);
  base->stage_feeds = table;
}

void
dwn_budget_base_fill_stage_gain (const DwnBudgetBase *base, const DwnCascade *cascade,
                                 double *stage_gain)
{
  const DwnChain *gear = base->plan->gear;
  guint na = base->n_antennas;

  for (guint m = 0; m < base->n_stages; m++)
    {
      const DwnStage *stage = &base->stage[m];
      const DwnPoint *point = &cascade->out[cascade->out_first[stage->part] + stage->port];

      if (stage->state != cascade->state)
        continue;
      if (stage->input)
        point = dwn_cascade_input (cascade, gear, stage->part, stage->port);
      if (point != NULL)
        memcpy (&stage_gain[m * na], point->gain, na * sizeof *stage_gain);
    }
}

/* What nobody wants */

/* Field of one transmitter in free space: 106.92 dBµV/m at 1 km from 1 kW radiated by a half-wave
 * dipole (ITU-R P.525). */
static double
free_space_dbuv_m (double erp_kw, double distance_m)
{
  return 106.92 + 10.0 * log10 (erp_kw) - 20.0 * log10 (distance_m / 1000.0);
}

static double
field_of (const DwnUnwanted *unwanted, const DwnCarrierGroup *group)
{
  if (!isnan (unwanted->field_dbuv_m))
    return unwanted->field_dbuv_m;
  if (!isnan (unwanted->erp_kw) && !isnan (unwanted->distance_m))
    return free_space_dbuv_m (unwanted->erp_kw, unwanted->distance_m);
  return group != NULL ? group->field_dbuv_m : (double) NAN;
}

static void
add_unwanted (const DwnPlan *plan, const DwnTables *tables, double bearing_deg, double mhz,
              double field_dbuv_m, GArray *lines)
{
  /* Losses of some sides only do not count where nobody knows from which side it comes. */
  const DwnHouseWay way = {
    .bearing_deg = bearing_deg, .mhz = mhz, .band = dwn_band_of_mhz (mhz),
    .antenna_agl_m = plan->site->height_m, .leaves = plan->method->leaves,
  };
  double house_db = dwn_house_sum (tables, plan->site, &way).db;
  DwnUnwantedLine line = {
    .mhz = mhz, .bearing_deg = bearing_deg,
    .mw = mw_of_dbm (dwn_power_of_field_dbm (field_dbuv_m, mhz, -house_db)),
  };

  if (line.mw > 0.0)
    g_array_append_val (lines, line);
}

void
dwn_budget_base_list_unwanted (DwnBudgetBase *base)
{
  const DwnPlan *plan = base->plan;
  GArray *lines = g_array_new (FALSE, FALSE, sizeof (DwnUnwantedLine));

  for (guint u = 0; u < plan->site->n_unwanted; u++)
    {
      const DwnUnwanted *unwanted = &plan->site->unwanted[u];
      const DwnCarrierGroup *group = unwanted->group != NULL
                                     ? dwn_part_list_find_carriers (plan->gear->list, unwanted->group)
                                     : NULL;
      double field_dbuv_m = field_of (unwanted, group);

      if (!isnan (unwanted->mhz))
        add_unwanted (plan, base->tables, unwanted->bearing_deg, unwanted->mhz, field_dbuv_m, lines);
      for (guint c = 0; group != NULL && isnan (unwanted->mhz) && c < group->n; c++)
        add_unwanted (plan, base->tables, unwanted->bearing_deg, group->mhz[c], field_dbuv_m,
                      lines);
    }
  base->n_unwanted = lines->len;
  base->unwanted = (DwnUnwantedLine *) (gpointer) g_array_free (lines, FALSE);
}

void
dwn_budget_base_fill_unwanted (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  gsize row = (gsize) base->n_stages * base->n_antennas;

  base->unwanted_gain = g_new0 (double, base->n_unwanted * row + 1);
  for (guint u = 0; u < base->n_unwanted; u++)
    for (guint state = 0; state < gear->n_states; state++)
      {
        g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, base->unwanted[u].mhz, state);

        dwn_budget_base_fill_stage_gain (base, cascade, &base->unwanted_gain[u * row]);
      }
}

void
dwn_terminals_point_unwanted (DwnTerminals *self, const DwnBudgetBase *base, guint a,
                              const DwnPattern *pattern, double aim_deg)
{
  const DwnPart *wired = &base->plan->gear->part[base->plan->gear->antenna[a]];

  for (guint u = 0; u < base->n_unwanted; u++)
    {
      const DwnUnwantedLine *line = &base->unwanted[u];
      double gain_dbi = isnan (line->bearing_deg)
                        ? dwn_pattern_max_gain_dbi (pattern, line->mhz)
                        : dwn_pattern_gain_dbi (pattern, line->bearing_deg - aim_deg, line->mhz);

      /* The gear's gain has the feed of the antenna that it was reckoned with. */
      if (pattern != wired->pattern)
        gain_dbi += dwn_pattern_mismatch_db (wired->pattern, line->mhz)
                    - dwn_pattern_mismatch_db (pattern, line->mhz);
      self->unwanted_mw[u * base->n_antennas + a] = line->mw * mw_of_dbm (gain_dbi);
    }
}

/* Products */

static gboolean
makes_products (const DwnStage *stage)
{
  return stage->per_oip2 > 0.0 || stage->per_oip3 > 0.0;
}

static DwnCarrier
carrier_of_station (const DwnStation *station)
{
  DwnChannel channel;
  gboolean known = dwn_channel_find (station->system, station->rf, &channel, NULL);

  return (DwnCarrier) { station->mhz, known ? channel.high_mhz - channel.low_mhz : 0.0,
                        known && station->erp_kw > 0.0 };
}

static void
list_products (DwnBudgetBase *base)
{
  g_autofree DwnCarrier *carriers = g_new0 (DwnCarrier, base->n + base->n_unwanted + 1);

  for (guint i = 0; i < base->n; i++)
    carriers[i] = carrier_of_station (&base->plan->stations->station[i]);
  for (guint u = 0; u < base->n_unwanted; u++)
    carriers[base->n + u] = (DwnCarrier) { base->unwanted[u].mhz, 0.0, FALSE };
  base->products = dwn_products_new (base->n + base->n_unwanted, carriers);
}

/* From the stage to each tuner, in channel @c. */
static void
fill_transfer (DwnBudgetBase *base, guint m, guint c, double mhz)
{
  const DwnStage *stage = &base->stage[m];
  const DwnChain *gear = base->plan->gear;
  g_autofree double *onward = g_new0 (double, base->n_sinks + 1);

  /* One sink for each port and state here, one for each port there. */
  dwn_chain_onward (gear, stage->part, stage->port, mhz, stage->state, onward);
  for (guint k = 0; k < base->n_sinks; k++)
    if (base->sink[k].state == stage->state)
      base->transfer[((gsize) m * base->n_sinks + k) * base->products->n_channels + c] =
        onward[k / gear->n_states];
}

/* The most power at @stage with which no product can matter at tuner @k in the channel of station @i. */
static double
quiet_mw (const DwnBudgetBase *base, const DwnStage *stage, guint i, guint k, double transfer)
{
  int c = base->products->channel[i];
  gsize at = (gsize) i * base->n_sinks + k;
  double noise_mw = base->noise_unit_mw[i] * base->sink_noise[at];

  for (guint a = 0; a < base->n_antennas; a++)
    noise_mw += base->noise_unit_mw[i] * base->sink_gain[at * base->n_antennas + a];
  double half_mw = 0.5 * QUIET_SHARE * noise_mw / transfer, quiet = (double) INFINITY;
  if (base->products->second[c] && stage->per_oip2 > 0.0)
    quiet = sqrt (half_mw / dwn_products_bound_mw (1.0, stage->per_oip2, 0.0));
  if (base->products->third[c] && stage->per_oip3 > 0.0)
    quiet = fmin (quiet, cbrt (half_mw / dwn_products_bound_mw (1.0, 0.0, stage->per_oip3)));
  return quiet;
}

static void
fill_quiet (DwnBudgetBase *base, guint m)
{
  DwnStage *stage = &((DwnStage *) base->stage)[m];

  for (guint i = 0; i < base->n; i++)
    for (guint k = 0; base->products->channel[i] >= 0 && k < base->n_sinks; k++)
      {
        double transfer = base->transfer[((gsize) m * base->n_sinks + k) * base->products->n_channels
                                         + (guint) base->products->channel[i]];

        if (transfer > 0.0 && !isnan (base->sink_noise[(gsize) i * base->n_sinks + k]))
          stage->quiet_mw = fmin (stage->quiet_mw, quiet_mw (base, stage, i, k, transfer));
      }
}

void
dwn_budget_base_list_products (DwnBudgetBase *base)
{
  for (guint m = 0; m < base->n_stages; m++)
    base->n_makers += makes_products (&base->stage[m]) ? 1 : 0;
  if (base->n_makers == 0)
    return;
  list_products (base);

  guint n_channels = base->products->n_channels;
  g_autofree gboolean *done = g_new0 (gboolean, n_channels + 1);

  base->transfer = g_new0 (double, (gsize) base->n_stages * base->n_sinks * n_channels + 1);
  for (guint i = 0; i < base->n; i++)
    {
      int c = base->products->channel[i];

      for (guint m = 0; c >= 0 && !done[c] && m < base->n_stages; m++)
        if (makes_products (&base->stage[m]))
          fill_transfer (base, m, (guint) c, base->plan->stations->station[i].mhz);
      if (c >= 0)
        done[c] = TRUE;
    }
  for (guint m = 0; m < base->n_stages; m++)
    if (makes_products (&base->stage[m]))
      fill_quiet (base, m);
}

/* Powers of all lines at stage @m. */
static void
fill_lines (DwnTerminals *self, const DwnBudgetBase *base, guint m)
{
  guint na = base->n_antennas;
  gsize row = (gsize) base->n_stages * na;

  memset (self->line_mw, 0, base->products->n_lines * sizeof (double));
  for (guint i = 0; i < base->n; i++)
    self->line_mw[base->products->line[i]] += dwn_dot (&self->median_mw[(gsize) i * na],
                                                       &base->stage_gain[i * row + m * na], na);
  for (guint u = 0; u < base->n_unwanted; u++)
    self->line_mw[base->products->line[base->n + u]] += dwn_dot (
      &self->unwanted_mw[(gsize) u * na], &base->unwanted_gain[u * row + m * na], na);
}

static void
add_products (DwnTerminals *self, const DwnBudgetBase *base, guint m)
{
  const DwnStage *stage = &base->stage[m];
  guint n_channels = base->products->n_channels;

  fill_lines (self, base, m);
  dwn_products_fill (base->products, self->line_mw, stage->per_oip2, stage->per_oip3,
                     self->channel_mw);
  for (guint k = 0; k < base->n_sinks; k++)
    {
      const double *transfer = &base->transfer[((gsize) m * base->n_sinks + k) * n_channels];

      for (guint c = 0; c < n_channels; c++)
        {
          gsize at = (gsize) k * n_channels + c;
          double mw = self->channel_mw[c] * transfer[c];

          if (mw > self->strongest_mw[at])
            {
              self->strongest_mw[at] = mw;
              self->maker[at] = stage->part;
            }
          self->spurious_mw[at] += mw;
        }
    }
}

void
dwn_terminals_gather_products (DwnTerminals *self, const DwnBudgetBase *base)
{
  self->any_spurious = FALSE;
  for (guint m = 0; m < base->n_stages; m++)
    {
      if (self->stage_mw[m] <= base->stage[m].quiet_mw)
        continue;
      if (!self->any_spurious)
        memset (self->spurious_mw, 0,
                2 * (gsize) base->n_sinks * base->products->n_channels * sizeof (double));
      self->any_spurious = TRUE;
      add_products (self, base, m);
    }
}

void
dwn_budget_base_clear_stages (DwnBudgetBase *base)
{
  g_free ((gpointer) base->stage);
  g_free ((gpointer) base->stage_feeds);
  g_free (base->unwanted);
  g_free (base->unwanted_gain);
  g_free (base->transfer);
  dwn_products_free (base->products);
}
