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
  guint *first = g_new0 (guint, gear->n_outlets + 1);

  for (guint o = 0; o < gear->n_outlets; o++)
    {
      for (guint port = 0; port < gear->type[gear->outlet[o]]->n_in; port++)
        for (guint state = 0; state < gear->n_states; state++)
          {
            DwnSink sink = { o, port, state };
            g_array_append_val (sinks, sink);
          }
      first[o + 1] = sinks->len;
    }
  base->n_sinks = sinks->len;
  base->sink_first = first;
  base->sink = (DwnSink *) g_array_free (sinks, FALSE);
}

static gboolean
anything_arrives (const double *gain, guint n_antennas)
{
  for (guint a = 0; a < n_antennas; a++)
    if (gain[a] > 0.0)
      return TRUE;
  return FALSE;
}

/* Where station @i's figures stand in the tables of the gear. */
static double *
gain_of_sink (const DwnBudgetBase *base, guint i, guint k)
{
  return &base->sink_gain[((gsize) i * base->n_sinks + k) * base->n_antennas];
}

static void
fill_sink (DwnBudgetBase *base, const DwnCascade *cascade, const DwnRipple *ripple, guint i, guint k)
{
  const DwnChain *gear = base->plan->gear;
  guint outlet = gear->outlet[base->sink[k].outlet], na = base->n_antennas;
  const DwnPoint *point = dwn_cascade_input (cascade, gear, outlet, base->sink[k].port);
  int edge = gear->in_edge[gear->in_first[outlet] + base->sink[k].port];
  double tuner_f = mw_of_dbm (dwn_chain_part_noise_figure_db (gear, outlet, cascade->mhz));
  gsize at = (gsize) i * base->n_sinks + k;

  base->sink_noise[at] = (double) NAN;
  if (point == NULL)
    return;
  memcpy (gain_of_sink (base, i, k), point->gain, na * sizeof *point->gain);
  memcpy (&base->ripple[at * na], &ripple[(guint) edge * na], na * sizeof *ripple);
  if (anything_arrives (point->gain, na))
    base->sink_noise[at] = point->chain_noise + tuner_f - 1.0;
}

static void
fill_cascade (DwnBudgetBase *base, guint i, guint state, DwnRipple *ripple)
{
  const DwnChain *gear = base->plan->gear;
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, base->plan->stations->station[i].mhz, state);
  guint na = base->n_antennas;

  dwn_cascade_ripple (cascade, gear, ripple);
  for (guint k = 0; k < base->n_sinks; k++)
    if (base->sink[k].state == state)
      fill_sink (base, cascade, ripple, i, k);
  dwn_budget_base_fill_stage_gain (base, cascade, &base->stage_gain[(gsize) i * base->n_stages * na]);
  for (guint a = 0; a < na; a++)
    base->feed[(gsize) i * na + a] = cascade->out[cascade->out_first[gear->antenna[a]]].gain[a];
}

static void
copy_row (gpointer table, gsize size, gsize length, guint from, guint to)
{
  memcpy ((char *) table + to * length * size, (char *) table + from * length * size, length * size);
}

/* The gear does not care which station it is. */
static void
copy_gains (DwnBudgetBase *base, guint from, guint to)
{
  gsize sinks = base->n_sinks, na = base->n_antennas;

  copy_row (base->sink_gain, sizeof *base->sink_gain, sinks * na, from, to);
  copy_row (base->sink_noise, sizeof *base->sink_noise, sinks, from, to);
  copy_row (base->ripple, sizeof *base->ripple, sinks * na, from, to);
  copy_row (base->stage_gain, sizeof *base->stage_gain, base->n_stages * na, from, to);
  copy_row (base->feed, sizeof *base->feed, na, from, to);
}

/* The first station on @i's frequency. */
static guint
first_on_frequency (const DwnBudgetBase *base, guint i, GArray *firsts)
{
  const DwnStation *station = base->plan->stations->station;

  for (guint f = 0; f < firsts->len; f++)
    if (station[g_array_index (firsts, guint, f)].mhz == station[i].mhz)
      return g_array_index (firsts, guint, f);
  g_array_append_val (firsts, i);
  return i;
}

static void
fill_gains (DwnBudgetBase *base)
{
  const DwnChain *gear = base->plan->gear;
  gsize n = base->n, na = base->n_antennas;
  g_autoptr (GArray) firsts = g_array_new (FALSE, FALSE, sizeof (guint));
  g_autofree DwnRipple *ripple = g_new (DwnRipple, gear->n_edges * na + 1);

  base->sink_gain = g_new0 (double, n * base->n_sinks * na);
  base->sink_noise = g_new0 (double, n * base->n_sinks);
  base->ripple = g_new0 (DwnRipple, n * base->n_sinks * na);
  base->stage_gain = g_new0 (double, n * base->n_stages * na);
  base->feed = g_new0 (double, n * na);
  for (guint i = 0; i < n; i++)
    {
      guint first = first_on_frequency (base, i, firsts);

      for (guint state = 0; first == i && state < gear->n_states; state++)
        fill_cascade (base, i, state, ripple);
      if (first != i)
        copy_gains (base, first, i);
    }
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
  dwn_budget_base_list_stages (base);
  dwn_budget_base_list_unwanted (base);
  fill_stations (base);
  fill_gains (base);
  dwn_budget_base_fill_unwanted (base);
  dwn_budget_base_list_products (base);
  fill_neighbours (base);
  return base;
}

const DwnTables *
dwn_budget_base_tables (const DwnBudgetBase *base)
{
  return base->tables;
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
    (gpointer) base->sink, (gpointer) base->sink_first,
    base->wanted_mw, base->median_mw, base->interfering_mw, base->house_sd_db,
    base->polarisation_db, base->outlook, base->noise_unit_mw, base->ambient, base->needed_db,
    base->sink_gain, base->sink_noise, base->stage_gain, base->ripple, base->feed, base->neighbour,
    base->neighbour_first,
  };

  for (guint i = 0; i < G_N_ELEMENTS (blocks); i++)
    g_free (blocks[i]);
  dwn_budget_base_clear_stages (base);
  dwn_plan_unref (base->plan);
  dwn_fields_unref (base->fields);
  dwn_tables_unref (base->tables);
}

void
dwn_budget_base_unref (const DwnBudgetBase *base)
{
  g_atomic_rc_box_release_full ((gpointer) base, base_clear);
}
