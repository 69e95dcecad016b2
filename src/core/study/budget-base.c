#include "core/study/budget-private.h"

#include <math.h>
#include <string.h>

#include "core/study/house.h"

/* A channel this far away still counts as a neighbour (A/74 gives ratios up to N±15). */
#define FARTHEST_NEIGHBOUR 15
/* Protection is asked for a weak wanted station: a strong one has margin to spare. A/74's weak
 * test point. */
#define WEAK_DBM (-68.0)
static const double speed_of_light_m_per_us = 299.792458;

static double
mw_of_dbm (double dbm)
{
  return pow (10.0, dbm / 10.0);
}

static void
fill_sinks (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  GArray *sinks = g_array_new (FALSE, FALSE, sizeof (DwnSink));

  for (guint o = 0; o < gear->n_outlets; o++)
    for (guint port = 0; port < gear->type[gear->outlet[o]]->n_in; port++)
      for (guint state = 0; state < gear->n_states; state++)
        {
          DwnSink sink = { o, port, state };
          g_array_append_val (sinks, sink);
        }
  base->n_sinks = sinks->len;
  base->sink = (DwnSink *) g_array_free (sinks, FALSE);
}

/* The plan's own figure where it has one. */
static double
limit_dbm (const DwnPart *part, const DwnPartType *type)
{
  if (part->kind == DWN_PART_OUTLET)
    return type->max_input_dbm;
  return isnan (part->max_output_dbm) ? type->max_output_dbm : part->max_output_dbm;
}

static void
fill_stages (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  GArray *stages = g_array_new (FALSE, FALSE, sizeof (DwnStage));

  for (guint k = 0; k < gear->n_parts; k++)
    {
      if (gear->type[k] == NULL || !(gear->type[k]->active || gear->part[k].kind == DWN_PART_OUTLET)
          || isnan (limit_dbm (&gear->part[k], gear->type[k])))
        continue;
      for (guint state = 0; state < gear->n_states; state++)
        {
          DwnStage stage = { k, state, mw_of_dbm (limit_dbm (&gear->part[k], gear->type[k])) };
          g_array_append_val (stages, stage);
        }
    }
  base->n_stages = stages->len;
  base->stage = (DwnStage *) g_array_free (stages, FALSE);
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

static void
fill_stage_feeds (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  gboolean *table = g_new0 (gboolean, (gsize) base->n_stages * base->n_sinks);

  for (guint m = 0; m < base->n_stages; m++)
    for (guint k = 0; k < base->n_sinks; k++)
      {
        guint outlet = gear->outlet[base->sink[k].outlet];

        table[m * base->n_sinks + k] =
          base->stage[m].state == base->sink[k].state
          && (base->stage[m].part == outlet
              || feeds (gear, base->stage[m].part, outlet, base->sink[k].port));
      }
  base->stage_feeds = table;
}

static void
copy_gain (double *to, const DwnPoint *point, guint n_antennas)
{
  if (point != NULL)
    memcpy (to, point->gain, n_antennas * sizeof *to);
}

static void
add_gain (double *to, const DwnPoint *point, guint n_antennas)
{
  for (guint a = 0; point != NULL && a < n_antennas; a++)
    to[a] += point->gain[a];
}

static gboolean
anything_arrives (const double *gain, guint n_antennas)
{
  for (guint a = 0; a < n_antennas; a++)
    if (gain[a] > 0.0)
      return TRUE;
  return FALSE;
}

static void
fill_cascade (DwnBudgetBase *base, guint station, guint state)
{
  const DwnChain *gear = base->plan->gear;
  double mhz = base->plan->stations->station[station].mhz;
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, mhz, state);
  guint na = base->n_antennas;

  for (guint k = 0; k < base->n_sinks; k++)
    {
      if (base->sink[k].state != state)
        continue;
      guint outlet = gear->outlet[base->sink[k].outlet];
      const DwnPoint *point = dwn_cascade_input (cascade, gear, outlet, base->sink[k].port);
      double *gain = &base->sink_gain[((gsize) station * base->n_sinks + k) * na];
      double tuner_f = mw_of_dbm (dwn_chain_part_noise_figure_db (gear, outlet, mhz));

      copy_gain (gain, point, na);
      base->sink_noise[(gsize) station * base->n_sinks + k] =
        point != NULL && anything_arrives (gain, na) ? point->chain_noise + tuner_f - 1.0
                                                     : (double) NAN;
    }
  for (guint m = 0; m < base->n_stages; m++)
    {
      if (base->stage[m].state != state)
        continue;
      guint part = base->stage[m].part;
      double *gain = &base->stage_gain[((gsize) station * base->n_stages + m) * na];

      if (gear->part[part].kind == DWN_PART_OUTLET)
        for (guint port = 0; port < gear->type[part]->n_in; port++)
          add_gain (gain, dwn_cascade_input (cascade, gear, part, port), na);
      else
        copy_gain (gain, &cascade->out[cascade->out_first[part]], na);
    }
}

static void
fill_gains (DwnBudgetBase *base)
{
  base->sink_gain = g_new0 (double, (gsize) base->n * base->n_sinks * base->n_antennas);
  base->sink_noise = g_new0 (double, (gsize) base->n * base->n_sinks);
  base->stage_gain = g_new0 (double, (gsize) base->n * base->n_stages * base->n_antennas);
  for (guint i = 0; i < base->n; i++)
    for (guint state = 0; state < base->plan->gear->n_states; state++)
      fill_cascade (base, i, state);
}

/* What the house takes from the station at one antenna. Its uncertainty is a station's: that of the
 * antenna for which it is largest. */
static double
lose_at_house (DwnBudgetBase *base, guint i, guint a)
{
  DwnHouseWay way;
  DwnHouseShare house;

  dwn_house_way_init (&way, base->plan, base->fields, i, dwn_antenna_agl_m (base->plan, a));
  house = dwn_house_sum (base->tables, base->plan->site, &way);
  base->house_sd_db[i] = fmax (base->house_sd_db[i], house.sd_db);
  return house.db;
}

static void
fill_arrival (DwnBudgetBase *base, guint i)
{
  const DwnPlan *plan = base->plan;
  const DwnStation *station = &plan->stations->station[i];

  for (guint a = 0; a < base->n_antennas; a++)
    {
      gsize at = (gsize) i * base->n_antennas + a;
      const DwnField *field = &base->fields->field[at];
      const DwnPart *antenna = &plan->gear->part[plan->gear->antenna[a]];
      double loss_db = dwn_polarisation_loss_db (antenna->polarisation, station->polarisation);
      double house_db = lose_at_house (base, i, a);

      base->polarisation_db[at] = loss_db;
      base->outlook[at] = dwn_outlook (antenna->pattern, &base->fields->arrival[i], station->mhz);
      base->wanted_mw[at] = mw_of_dbm (dwn_power_of_field_dbm (field->wanted, station->mhz, -house_db));
      base->median_mw[at] = mw_of_dbm (dwn_power_of_field_dbm (field->median, station->mhz, -house_db));
      base->interfering_mw[at] = mw_of_dbm (dwn_power_of_field_dbm (field->interfering, station->mhz,
                                                                   -house_db));
    }
  if (!isnan (base->fields->arrival[i].house_sd_db))
    base->house_sd_db[i] = base->fields->arrival[i].house_sd_db;
}

static void
fill_noise (DwnBudgetBase *base, guint i)
{
  const DwnStation *station = &base->plan->stations->station[i];
  DwnArea area = base->plan->site->area;

  const DwnTables *tables = base->tables;

  base->noise_unit_mw[i] = mw_of_dbm (
    dwn_noise_dbm (dwn_system_bandwidth_hz (tables->systems, station->system), 1.0));
  base->ambient[i] = dwn_external_noise_factor (tables->noise, area, station->mhz);
  base->needed_db[i] = dwn_system_needed_cn_db (tables->systems, station->system, station->mode,
                                                base->fields->arrival[i].path_class);
}

static void
fill_stations (DwnBudgetBase *base)
{
  gsize n = base->n, table = n * base->n_antennas;

  base->wanted_mw = g_new0 (double, table);
  base->median_mw = g_new0 (double, table);
  base->interfering_mw = g_new0 (double, table);
  base->polarisation_db = g_new0 (double, table);
  base->outlook = g_new0 (DwnOutlook, table);
  base->house_sd_db = g_new0 (double, n);
  base->noise_unit_mw = g_new0 (double, n);
  base->ambient = g_new0 (double, n);
  base->needed_db = g_new0 (double, n);
  for (guint i = 0; i < base->n; i++)
    {
      fill_arrival (base, i);
      fill_noise (base, i);
    }
}

static gboolean
same_network (const DwnStation *a, const DwnStation *b)
{
  return a->network != NULL && a->network == b->network && g_str_equal (a->rf, b->rf);
}

/* A partner of a single-frequency network helps while it arrives within the guard interval. */
static gboolean
arrives_in_guard (const DwnBudgetBase *base, guint wanted, guint other)
{
  const DwnStation *w = &base->plan->stations->station[wanted];
  const DwnStation *o = &base->plan->stations->station[other];
  double late_us = (base->fields->arrival[other].distance_m
                    - base->fields->arrival[wanted].distance_m) / speed_of_light_m_per_us
                   + o->delay_us - w->delay_us;

  return fabs (late_us) <= dwn_system_guard_us (base->tables->systems, w->system, w->mode);
}

/* How many channels of width @width_mhz above the wanted one; large where nowhere near. */
static int
channel_offset (const DwnStation *wanted, double width_mhz, const DwnStation *other)
{
  return (int) lround (CLAMP ((other->mhz - wanted->mhz) / width_mhz, -1000.0, 1000.0));
}

/* Weights by system of the other station and channel offset, for one wanted system; NaN: not yet
 * asked for. The table of ratios is long, and every pair of stations asks. */
typedef struct {
  double weight[DWN_N_SYSTEMS][DWN_N_SYSTEMS][2 * FARTHEST_NEIGHBOUR + 1];
} Weights;

static void
weights_init (Weights *weights)
{
  double *all = &weights->weight[0][0][0];

  for (gsize i = 0; i < sizeof weights->weight / sizeof *all; i++)
    all[i] = (double) NAN;
}

static double
weight_of (Weights *weights, const DwnBudgetBase *base, const DwnStation *wanted,
           const DwnStation *other, int offset)
{
  double *weight = &weights->weight[wanted->system][other->system][offset + FARTHEST_NEIGHBOUR];

  if (isnan (*weight))
    *weight = dwn_system_interference_share (base->tables->systems, wanted->system, other->system,
                                             offset, WEAK_DBM);
  return *weight;
}

static void
add_neighbours (DwnBudgetBase *base, guint wanted, Weights *weights, GArray *neighbours)
{
  const DwnStation *w = &base->plan->stations->station[wanted];
  DwnChannel channel;

  if (!dwn_channel_find (w->system, w->rf, &channel, NULL))
    return;
  for (guint j = 0; j < base->n; j++)
    {
      const DwnStation *o = &base->plan->stations->station[j];
      int offset = channel_offset (w, channel.high_mhz - channel.low_mhz, o);

      if (j == wanted || ABS (offset) > FARTHEST_NEIGHBOUR || o->erp_kw <= 0.0)
        continue;
      DwnNeighbour neighbour = { .station = j };
      neighbour.helps = same_network (w, o) && arrives_in_guard (base, wanted, j);
      if (!neighbour.helps)
        neighbour.weight = weight_of (weights, base, w, o, offset);
      base->any_helps |= neighbour.helps;
      if (neighbour.helps || neighbour.weight > 0.0)
        g_array_append_val (neighbours, neighbour);
    }
}

static void
fill_neighbours (DwnBudgetBase *base)
{
  GArray *neighbours = g_array_new (FALSE, FALSE, sizeof (DwnNeighbour));

  g_autofree Weights *weights = g_new (Weights, 1);

  weights_init (weights);
  base->neighbour_first = g_new0 (guint, base->n + 1);
  for (guint i = 0; i < base->n; i++)
    {
      add_neighbours (base, i, weights, neighbours);
      base->neighbour_first[i + 1] = neighbours->len;
    }
  base->neighbour = (DwnNeighbour *) g_array_free (neighbours, FALSE);
}

DwnBudgetBase *
dwn_budget_base_new (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables)
{
  g_return_val_if_fail (fields->n == plan->stations->n, NULL);
  g_return_val_if_fail (fields->n_antennas == plan->gear->n_antennas, NULL);

  DwnBudgetBase *base = g_atomic_rc_box_new0 (DwnBudgetBase);

  base->plan = dwn_plan_ref (plan);
  base->fields = dwn_fields_ref (fields);
  base->tables = dwn_tables_ref (tables);
  base->ambient_sd_db = dwn_external_noise_sd_db (tables->noise, plan->site->area);
  base->n = plan->stations->n;
  base->n_antennas = plan->gear->n_antennas;
  fill_sinks (base);
  fill_stages (base);
  fill_stage_feeds (base);
  fill_stations (base);
  fill_gains (base);
  fill_neighbours (base);
  return base;
}

DwnBudgetBase *
dwn_budget_base_ref (const DwnBudgetBase *base)
{
  return g_atomic_rc_box_acquire ((gpointer) base);
}

static void
base_clear (gpointer data)
{
  DwnBudgetBase *base = data;
  gpointer blocks[] = {
    (gpointer) base->sink, (gpointer) base->stage, (gpointer) base->stage_feeds,
    base->wanted_mw, base->median_mw, base->interfering_mw, base->house_sd_db,
    base->polarisation_db, base->outlook, base->noise_unit_mw, base->ambient, base->needed_db,
    base->sink_gain, base->sink_noise, base->stage_gain, base->neighbour, base->neighbour_first,
  };

  for (guint i = 0; i < G_N_ELEMENTS (blocks); i++)
    g_free (blocks[i]);
  dwn_plan_unref (base->plan);
  dwn_fields_unref (base->fields);
  dwn_tables_unref (base->tables);
}

void
dwn_budget_base_unref (const DwnBudgetBase *base)
{
  g_atomic_rc_box_release_full ((gpointer) base, base_clear);
}
