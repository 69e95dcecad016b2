/* Each inserter's DC is let run along the cables until something takes or stops it. Whatever
 * amplifier has got none then is asked which inserter was meant for it, and what stood between. */
#include "core/chain/power.h"

#include <math.h>

#define SAME_VOLTAGE 0.15

typedef struct {
  DwnPower values; /* first, so that the public pointer is also ours */
  const DwnChain *chain;
  GArray *findings;
  double *edge_volts;
  gboolean *powered;
  int *supply_of;       /* per part: the inserter that reaches it, -1 */
  double *milliamps;    /* per part: what an inserter has to give */
  gboolean *shorted;    /* per part: an inserter whose DC ends in a short */
} Power;

/* DC that runs along an edge. */
typedef struct {
  guint edge;
  gboolean up; /* towards the antennas */
} Run;

static const char *const fault_id[DWN_N_POWER_FAULTS] = {
  [DWN_POWER_NO_SUPPLY] = "no-supply",
  [DWN_POWER_BLOCKED] = "blocked",
  [DWN_POWER_WRONG_SIDE] = "wrong-side",
  [DWN_POWER_SHORTED] = "shorted",
  [DWN_POWER_TWO_SUPPLIES] = "two-supplies",
  [DWN_POWER_VOLTS] = "volts",
  [DWN_POWER_CURRENT] = "current",
  [DWN_POWER_IDLE] = "idle",
};

const char *
dwn_power_fault_id (DwnPowerFault fault)
{
  g_return_val_if_fail ((guint) fault < DWN_N_POWER_FAULTS, NULL);

  return fault_id[fault];
}

static DwnDc
dc_at (const DwnChain *chain, guint part, gboolean output, guint port)
{
  const DwnPartType *type = chain->type[part];

  if (type == NULL)
    return DWN_DC_BLOCK; /* an antenna: what it does with DC is its balun's matter */
  return output ? type->dc_out[port] : type->dc_in[port];
}

static int
edge_at (const DwnChain *chain, guint part, gboolean output, guint port)
{
  return output ? chain->out_edge[chain->out_first[part] + port]
                : chain->in_edge[chain->in_first[part] + port];
}

static guint
n_ports (const DwnChain *chain, guint part, gboolean output)
{
  const guint *first = output ? chain->out_first : chain->in_first;

  return first[part + 1] - first[part];
}

static gboolean
has_port (const DwnChain *chain, guint part, gboolean output, DwnDc dc)
{
  for (guint port = 0; port < n_ports (chain, part, output); port++)
    if (dc_at (chain, part, output, port) == dc)
      return TRUE;
  return FALSE;
}

static gboolean
injects (const DwnChain *chain, guint part)
{
  return has_port (chain, part, FALSE, DWN_DC_INJECT)
         || has_port (chain, part, TRUE, DWN_DC_INJECT);
}

static gboolean
needs (const DwnChain *chain, guint part)
{
  return has_port (chain, part, FALSE, DWN_DC_NEED) || has_port (chain, part, TRUE, DWN_DC_NEED);
}

static DwnPowerFinding *
find_fault (Power *power, DwnPowerFault fault, guint part)
{
  DwnPowerFinding finding = {
    .fault = fault, .part = part, .other = -1, .amplifier = -1, .supply = -1, .edge = -1,
    .value = (double) NAN, .limit = (double) NAN,
  };

  g_array_append_val (power->findings, finding);
  return &g_array_index (power->findings, DwnPowerFinding, power->findings->len - 1);
}

/* Running */

/* Out of every port of @part where @dc stands but the one it came in by. */
static void
run_on (const DwnChain *chain, guint part, DwnDc dc, int came_by, GArray *runs)
{
  for (int output = 0; output < 2; output++)
    for (guint port = 0; port < n_ports (chain, part, output); port++)
      {
        int edge = edge_at (chain, part, output, port);

        if (edge >= 0 && edge != came_by && dc_at (chain, part, output, port) == dc)
          {
            Run run = { .edge = (guint) edge, .up = !output };
            g_array_append_val (runs, run);
          }
      }
}

static void
feed (Power *power, guint supply, guint part)
{
  if (power->supply_of[part] >= 0)
    return; /* by another one: found as two supplies */
  power->supply_of[part] = (int) supply;
  power->milliamps[supply] += power->chain->type[part]->milliamps;
}

static void
arrive (Power *power, guint supply, const Run *run, GArray *runs)
{
  const DwnEdge *edge = &power->chain->edge[run->edge];
  guint part = run->up ? edge->from_part : edge->to_part;
  guint port = run->up ? edge->from_port : edge->to_port;
  DwnPowerFinding *finding;

  switch (dc_at (power->chain, part, run->up, port))
    {
    case DWN_DC_BLOCK:
      break;
    case DWN_DC_PASS:
      run_on (power->chain, part, DWN_DC_PASS, (int) run->edge, runs);
      break;
    case DWN_DC_NEED:
      feed (power, supply, part);
      break;
    case DWN_DC_INJECT:
      if (part <= supply)
        break; /* found from the other end, or its own DC in a circle */
      finding = find_fault (power, DWN_POWER_TWO_SUPPLIES, supply);
      finding->other = (int) part;
      finding->supply = (int) supply;
      finding->edge = (int) run->edge;
      break;
    case DWN_DC_SHORT:
      power->shorted[supply] = TRUE;
      finding = find_fault (power, DWN_POWER_SHORTED, part);
      finding->supply = (int) supply;
      finding->edge = (int) run->edge;
      break;
    }
}

static void
run_supply (Power *power, guint supply)
{
  const DwnChain *chain = power->chain;
  g_autoptr (GArray) runs = g_array_new (FALSE, FALSE, sizeof (Run));
  g_autofree gboolean *been = g_new0 (gboolean, chain->n_edges);

  run_on (chain, supply, DWN_DC_INJECT, -1, runs);
  for (guint k = 0; k < runs->len; k++)
    {
      Run run = g_array_index (runs, Run, k);

      if (been[run.edge])
        continue;
      been[run.edge] = TRUE;
      if (isnan (power->edge_volts[run.edge]))
        power->edge_volts[run.edge] = chain->type[supply]->volts;
      arrive (power, supply, &run, runs);
    }
}

/* Judging */

static int
edge_of_need (const DwnChain *chain, guint part)
{
  for (int output = 1; output >= 0; output--)
    for (guint port = 0; port < n_ports (chain, part, output); port++)
      if (dc_at (chain, part, output, port) == DWN_DC_NEED)
        return edge_at (chain, part, output, port);
  return -1;
}

/* The nearest part that injects, from @part towards the televisions (@down) or the antennas.
 * @by: per part, the edge by which it was reached. */
static int
nearest_supply (const DwnChain *chain, guint part, gboolean down, int *by)
{
  g_autoptr (GArray) queue = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint k = 0; k < chain->n_parts; k++)
    by[k] = -1;
  g_array_append_val (queue, part);
  for (guint k = 0; k < queue->len; k++)
    {
      guint at = g_array_index (queue, guint, k);

      if (at != part && injects (chain, at))
        return (int) at;
      for (guint port = 0; port < n_ports (chain, at, down); port++)
        {
          int edge = edge_at (chain, at, down, port);

          if (edge < 0)
            continue;
          guint next = down ? chain->edge[edge].to_part : chain->edge[edge].from_part;
          if (by[next] >= 0 || next == part)
            continue;
          by[next] = edge;
          g_array_append_val (queue, next);
        }
    }
  return -1;
}

static void
blame_part (Power *power, guint amplifier, guint supply, guint part, guint leg)
{
  const DwnChain *chain = power->chain;
  gboolean divides = n_ports (chain, part, TRUE) > 1;
  gboolean some_leg = has_port (chain, part, FALSE, DWN_DC_PASS)
                      && has_port (chain, part, TRUE, DWN_DC_PASS);
  DwnPowerFinding *finding;

  if (divides && !some_leg)
    {
      finding = find_fault (power, DWN_POWER_WRONG_SIDE, supply);
      finding->other = (int) part;
    }
  else
    {
      finding = find_fault (power, DWN_POWER_BLOCKED, part);
      finding->value = divides ? leg + 1 : (double) NAN;
    }
  finding->amplifier = (int) amplifier;
  finding->supply = (int) supply;
  finding->edge = edge_at (chain, part, TRUE, leg);
}

/* Between @amplifier and @supply, which stands behind it, the part nearest to the amplifier that
 * lets no DC through. */
static gboolean
find_blocker (Power *power, guint amplifier, guint supply, const int *by)
{
  const DwnChain *chain = power->chain;
  int blocker = -1;
  guint blocker_leg = 0;

  for (guint at = supply; at != amplifier; at = chain->edge[by[at]].from_part)
    {
      const DwnEdge *edge = &chain->edge[by[at]];
      guint before = edge->from_part;

      if (before == amplifier)
        break;
      guint in = chain->edge[by[before]].to_port;
      if (dc_at (chain, before, FALSE, in) == DWN_DC_PASS
          && dc_at (chain, before, TRUE, edge->from_port) == DWN_DC_PASS)
        continue;
      blocker = (int) before;
      blocker_leg = edge->from_port;
    }
  if (blocker < 0)
    return FALSE;
  blame_part (power, amplifier, supply, (guint) blocker, blocker_leg);
  return TRUE;
}

static void
judge_unfed (Power *power, guint part)
{
  const DwnChain *chain = power->chain;
  g_autofree int *by = g_new (int, chain->n_parts);
  int supply = nearest_supply (chain, part, TRUE, by);
  DwnPowerFinding *finding;

  power->powered[part] = FALSE;
  if (supply >= 0 && find_blocker (power, part, (guint) supply, by))
    return;
  supply = nearest_supply (chain, part, FALSE, by);
  finding = find_fault (power, supply >= 0 ? DWN_POWER_WRONG_SIDE : DWN_POWER_NO_SUPPLY,
                        supply >= 0 ? (guint) supply : part);
  finding->amplifier = (int) part;
  finding->supply = supply;
  finding->other = supply >= 0 ? (int) part : -1;
  finding->edge = edge_of_need (chain, part);
}

static void
judge_fed (Power *power, guint part)
{
  const DwnChain *chain = power->chain;
  guint supply = (guint) power->supply_of[part];
  double volts = chain->type[supply]->volts, needed = chain->type[part]->volts;

  if (power->shorted[supply])
    power->powered[part] = FALSE;
  if (fabs (volts - needed) <= SAME_VOLTAGE * needed)
    return;
  power->powered[part] = FALSE;
  DwnPowerFinding *finding = find_fault (power, DWN_POWER_VOLTS, part);
  finding->amplifier = (int) part;
  finding->supply = (int) supply;
  finding->edge = edge_of_need (chain, part);
  finding->value = volts;
  finding->limit = needed;
}

static gboolean
is_spoken_of (const Power *power, guint supply)
{
  for (guint k = 0; k < power->findings->len; k++)
    {
      const DwnPowerFinding *finding = &g_array_index (power->findings, DwnPowerFinding, k);

      if (finding->supply == (int) supply || finding->other == (int) supply)
        return TRUE;
    }
  return FALSE;
}

static void
judge_supply (Power *power, guint supply)
{
  double rated = power->chain->type[supply]->milliamps;
  double drawn = power->milliamps[supply];

  if (drawn > rated)
    {
      DwnPowerFinding *finding = find_fault (power, DWN_POWER_CURRENT, supply);
      finding->supply = (int) supply;
      finding->edge = edge_at (power->chain, supply, FALSE, 0);
      finding->value = drawn;
      finding->limit = rated;
    }
  else if (drawn == 0 && !is_spoken_of (power, supply))
    {
      DwnPowerFinding *finding = find_fault (power, DWN_POWER_IDLE, supply);
      finding->supply = (int) supply;
      finding->edge = edge_at (power->chain, supply, FALSE, 0);
    }
}

/* In the order of parts, so that the findings of one chain always come in one order. */
static void
judge (Power *power)
{
  const DwnChain *chain = power->chain;

  for (guint part = 0; part < chain->n_parts; part++)
    if (injects (chain, part))
      run_supply (power, part);
  for (guint part = 0; part < chain->n_parts; part++)
    if (needs (chain, part))
      (power->supply_of[part] >= 0 ? judge_fed : judge_unfed) (power, part);
  for (guint part = 0; part < chain->n_parts; part++)
    if (injects (chain, part))
      judge_supply (power, part);
}

DwnPower *
dwn_power_new (const DwnChain *chain)
{
  g_return_val_if_fail (chain != NULL, NULL);

  Power *power = g_new0 (Power, 1);
  guint n = chain->n_parts;

  power->chain = chain;
  power->findings = g_array_new (FALSE, FALSE, sizeof (DwnPowerFinding));
  power->edge_volts = g_new (double, chain->n_edges);
  power->powered = g_new (gboolean, n);
  power->supply_of = g_new (int, n);
  power->milliamps = g_new0 (double, n);
  power->shorted = g_new0 (gboolean, n);
  for (guint e = 0; e < chain->n_edges; e++)
    power->edge_volts[e] = (double) NAN;
  for (guint k = 0; k < n; k++)
    {
      power->powered[k] = TRUE;
      power->supply_of[k] = -1;
    }
  judge (power);
  power->chain = NULL; /* not kept */
  power->values = (DwnPower) {
    .n_findings = power->findings->len,
    .finding = (const DwnPowerFinding *) (gpointer) power->findings->data,
    .edge_volts = power->edge_volts,
    .powered = power->powered,
  };
  return &power->values;
}

void
dwn_power_free (DwnPower *values)
{
  Power *power = (Power *) values;

  if (power == NULL)
    return;
  g_array_unref (power->findings);
  g_free (power->edge_volts);
  g_free (power->powered);
  g_free (power->supply_of);
  g_free (power->milliamps);
  g_free (power->shorted);
  g_free (power);
}
