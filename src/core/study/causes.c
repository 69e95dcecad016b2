/* Which cause takes how much of the margin, and which is the chief one. Losses in front of the
 * antenna's terminals count as they stand; those in the gear by the C/N without them, since an
 * amplifier before or behind them changes what they cost; noise, interference and overload by what
 * the budget says of them. Every station is far away: distance is to blame for what would still be
 * missing without all that. What is broken comes before what is weak. */
#include "core/study/diagnosis-private.h"

#include "core/chain/wiring.h"

/* A joint that loses more has another leg (common practice, no source: a former feed is a
 * splitter). */
#define SPLITTING_JOINT_DB 2.0
/* Combiners and filters lose less in their band (parts data: 0.5 to 3 dB). */
#define OUT_OF_BAND_DB 3.0
/* A half-wave dipole: an antenna that is made for a band has as much there. */
#define DIPOLE_DBI 2.15
/* A supply, a joint: less than this does not make a cause of its own. */
#define BROKEN_DB 3.0

/* C/N at one sink by way of @gear; NaN where nothing arrives. */
static double
cn_at_sink (const DwnDiagnoser *self, const DwnCascade *cascade, const DwnChain *gear)
{
  const DwnReception *r = &self->diagnosis->reception;
  guint station = self->diagnosis->station, na = self->base->n_antennas;
  guint outlet = gear->outlet[self->diagnosis->outlet];
  const DwnPoint *point = dwn_cascade_input (cascade, gear, outlet, r->port);
  double tuner_f = pow (10.0, dwn_chain_part_noise_figure_db (gear, outlet, cascade->mhz) / 10.0);
  double carrier = 0.0, noise = tuner_f - 1.0;

  if (point == NULL)
    return (double) NAN;
  for (guint a = 0; a < na; a++)
    {
      carrier += point->gain[a] * self->terminals->wanted_mw[(gsize) station * na + a];
      noise += point->gain[a] * self->base->ambient[station];
    }
  noise = (noise + point->chain_noise) * self->base->noise_unit_mw[station];
  double interference = pow (10.0, (r->noise_dbm - r->level_dbm) / 10.0)
                        * (r->interference_share + r->spurious_share);
  return carrier > 0.0 ? -dwn_db_of_ratio (noise / carrier + interference) : (double) NAN;
}

double
dwn_diagnoser_cn_db (const DwnDiagnoser *self, const DwnChain *gear)
{
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, self->station->mhz,
                                                    self->diagnosis->reception.state);

  return cn_at_sink (self, cascade, gear);
}

/* Joins what feeds @part to what is fed by the output that leads to the outlet. */
static void
bypass (const DwnChain *gear, const DwnCascade *cascade, guint antenna, guint outlet, guint part,
        DwnWiring *wiring)
{
  g_autoptr (GArray) way = dwn_cascade_way (cascade, gear, antenna, outlet);

  for (guint k = 0; way != NULL && k < way->len; k++)
    {
      const DwnStep *step = &g_array_index (way, DwnStep, k);
      DwnEdge *in, *out;

      if (step->is_edge || step->index != part)
        continue;
      in = dwn_wiring_edge_into (wiring, part, step->in_port);
      out = dwn_wiring_edge_from (wiring, part, step->out_port);
      if (in == NULL || out == NULL)
        continue;
      in->to_part = out->to_part;
      in->to_port = out->to_port;
      g_array_remove_index (wiring->edges, (guint) (out - (DwnEdge *) (gpointer) wiring->edges->data));
    }
}

/* Does nothing about cables that were before or behind it: they have steps of their own. */
static void
take_away (const DwnDiagnoser *self, const DwnCascade *cascade, const DwnLossStep *step,
           DwnWiring *wiring)
{
  const DwnChain *gear = self->plan->gear;
  const DwnEdge *edge = step->kind == DWN_LOSS_CABLE ? &gear->edge[step->index] : NULL;
  DwnEdge *same = edge == NULL ? NULL : dwn_wiring_edge_into (wiring, edge->to_part, edge->to_port);

  if (same != NULL)
    same->cable = NULL;
  if (step->kind == DWN_LOSS_PART && gear->part[step->index].kind != DWN_PART_OUTLET)
    bypass (gear, cascade, self->antenna, self->diagnosis->outlet, (guint) step->index, wiring);
}

DwnChain *
dwn_diagnoser_gear_without (const DwnDiagnoser *self, const DwnLossStep *steps, guint n_steps)
{
  const DwnChain *gear = self->plan->gear;
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, self->station->mhz,
                                                    self->diagnosis->reception.state);

  /* Without an inserter or a splitter its amplifier is still fed. */
  for (guint k = 0; k < gear->n_parts; k++)
    dwn_wiring_part (wiring, k)->supplied = gear->powered[k];
  for (guint k = 0; k < n_steps; k++)
    if (steps[k].kind == DWN_LOSS_CABLE)
      take_away (self, cascade, &steps[k], wiring);
  /* Parts last: taking one out moves the ends of cables. */
  for (guint k = 0; k < n_steps; k++)
    if (steps[k].kind == DWN_LOSS_PART)
      take_away (self, cascade, &steps[k], wiring);
  return dwn_wiring_build (wiring, gear->list, NULL);
}

/* Which cause a step belongs to */

static DwnCause
cause_of_part (const DwnDiagnoser *self, const DwnLossStep *step, gboolean before_amplifier)
{
  const DwnChain *gear = self->plan->gear;
  const DwnPartType *type = gear->type[step->index];

  switch (gear->part[step->index].kind)
    {
    case DWN_PART_AMPLIFIER:
      return !gear->powered[step->index] ? DWN_CAUSE_NO_POWER : DWN_CAUSE_NONE;
    case DWN_PART_SPLITTER:
    case DWN_PART_TAP:
      return DWN_CAUSE_SPLITTING;
    case DWN_PART_JOINT:
      if (step->gain_db < -SPLITTING_JOINT_DB)
        return DWN_CAUSE_SPLITTING;
      return before_amplifier ? DWN_CAUSE_CABLE : DWN_CAUSE_NONE;
    case DWN_PART_COMBINER:
      if (type->hybrid)
        return DWN_CAUSE_SPLITTING;
      return step->gain_db < -OUT_OF_BAND_DB ? DWN_CAUSE_WRONG_BAND : DWN_CAUSE_NONE;
    case DWN_PART_FILTER:
      return step->gain_db < -OUT_OF_BAND_DB ? DWN_CAUSE_WRONG_BAND : DWN_CAUSE_NONE;
    case DWN_PART_PLATE:
    case DWN_PART_SURGE:
    case DWN_PART_INSERTER:
      return before_amplifier ? DWN_CAUSE_CABLE : DWN_CAUSE_NONE;
    case DWN_PART_ANTENNA:
    case DWN_PART_BALUN:
    case DWN_PART_ATTENUATOR:
    case DWN_PART_EQUALISER:
    case DWN_PART_SWITCH:
    case DWN_PART_OUTLET:
    default:
      return DWN_CAUSE_NONE;
    }
}

static DwnCause
cause_of (const DwnDiagnoser *self, const DwnLossStep *step, gboolean before_amplifier)
{
  switch (step->kind)
    {
    case DWN_LOSS_BEAM:
    case DWN_LOSS_FREE_SPACE:
    case DWN_LOSS_HORIZON:
    case DWN_LOSS_TERRAIN:
    case DWN_LOSS_CURVES:
    case DWN_LOSS_FADING:
      return DWN_CAUSE_DISTANCE;
    case DWN_LOSS_RIDGE:
      return DWN_CAUSE_RIDGE;
    case DWN_LOSS_HOUSE:
      return DWN_CAUSE_BUILDING;
    case DWN_LOSS_AIM:
      return DWN_CAUSE_OFF_BEAM;
    case DWN_LOSS_POLARISATION:
      return DWN_CAUSE_CROSSED;
    case DWN_LOSS_ANTENNA:
    case DWN_LOSS_FEED:
      return DWN_CAUSE_WRONG_BAND;
    case DWN_LOSS_CABLE:
      return before_amplifier ? DWN_CAUSE_CABLE : DWN_CAUSE_NONE;
    case DWN_LOSS_PART:
      return cause_of_part (self, step, before_amplifier);
    case DWN_LOSS_POWER:
    case DWN_LOSS_READING:
    case DWN_LOSS_OTHERS:
    default:
      return DWN_CAUSE_NONE;
    }
}

static void
mark_steps (DwnDiagnoser *self)
{
  gboolean before_amplifier = TRUE;

  for (guint k = 0; k < self->steps->len; k++)
    {
      DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);

      step->cause = cause_of (self, step, before_amplifier);
      if (step->kind == DWN_LOSS_PART && step->gain_db > 0.0)
        before_amplifier = FALSE;
    }
}

/* What each takes */

/* Distance is measured last; an antenna is short of what it lacks to a dipole. */
static double
fault_db (const DwnLossStep *step)
{
  if (step->cause == DWN_CAUSE_DISTANCE || step->kind == DWN_LOSS_CABLE || step->kind == DWN_LOSS_PART)
    return 0.0;
  if (step->kind == DWN_LOSS_ANTENNA)
    return fmax (DIPOLE_DBI - step->gain_db, 0.0);
  return -step->gain_db;
}

/* C/N with all of @cause's cables and parts losing nothing, less the C/N as it is. */
static double
taken_in_gear_db (const DwnDiagnoser *self, DwnCause cause)
{
  g_autoptr (GArray) steps = g_array_new (FALSE, FALSE, sizeof (DwnLossStep));

  for (guint k = 0; k < self->steps->len; k++)
    {
      const DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);

      if (step->cause == cause && (step->kind == DWN_LOSS_CABLE || step->kind == DWN_LOSS_PART))
        g_array_append_val (steps, *step);
    }
  if (steps->len == 0)
    return 0.0;
  g_autoptr (DwnChain) better = dwn_diagnoser_gear_without (
    self, (const DwnLossStep *) (gpointer) steps->data, steps->len);
  double gain_db = better == NULL ? 0.0 : dwn_diagnoser_cn_db (self, better)
                                          - dwn_diagnoser_cn_db (self, self->plan->gear);
  return isnan (gain_db) ? 0.0 : gain_db;
}

static gboolean
is_on_way (const DwnDiagnoser *self, guint part)
{
  for (guint k = 0; k < self->steps->len; k++)
    {
      const DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);

      if (step->kind == DWN_LOSS_PART && step->index == (int) part)
        return TRUE;
    }
  return FALSE;
}

/* C/N with every amplifier fed, less the C/N as it is. @part: the first on the way that is not. */
static double
taken_by_no_power_db (const DwnDiagnoser *self, guint *part)
{
  const DwnChain *gear = self->plan->gear;
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);

  *part = G_MAXUINT;
  for (guint k = 0; k < gear->n_parts; k++)
    {
      if (!gear->powered[k] && is_on_way (self, k))
        *part = MIN (*part, k);
      dwn_wiring_part (wiring, k)->unpowered = FALSE;
      dwn_wiring_part (wiring, k)->supplied = TRUE;
    }
  g_autoptr (DwnChain) fed = dwn_wiring_build (wiring, gear->list, NULL);
  if (*part == G_MAXUINT || fed == NULL)
    return 0.0;
  return dwn_diagnoser_cn_db (self, fed) - dwn_diagnoser_cn_db (self, gear);
}

/* Of external noise only what exceeds sky and warm ground can be another. */
static double
taken_by_noise_db (const DwnDiagnoser *self)
{
  double ambient = self->base->ambient[self->diagnosis->station];

  return -dwn_db_of_ratio (1.0 - self->diagnosis->reception.ambient_share * (1.0 - 1.0 / ambient));
}

static void
measure_gear (DwnDiagnoser *self, guint *unpowered)
{
  double *taken_db = self->diagnosis->taken_db;
  const DwnReception *r = &self->diagnosis->reception;

  taken_db[DWN_CAUSE_WRONG_BAND] += taken_in_gear_db (self, DWN_CAUSE_WRONG_BAND);
  taken_db[DWN_CAUSE_CABLE] = taken_in_gear_db (self, DWN_CAUSE_CABLE);
  taken_db[DWN_CAUSE_SPLITTING] = taken_in_gear_db (self, DWN_CAUSE_SPLITTING);
  taken_db[DWN_CAUSE_NO_POWER] = taken_by_no_power_db (self, unpowered);
  taken_db[DWN_CAUSE_NOISE] = taken_by_noise_db (self);
  taken_db[DWN_CAUSE_INTERFERENCE] = -dwn_db_of_ratio (1.0 - r->interference_share);
  taken_db[DWN_CAUSE_OVERLOAD] = r->cn_db - r->needed_db - r->margin_db
                                 - dwn_db_of_ratio (1.0 - r->spurious_share);
}

/* What is missing for a dependable signal when all else is as good as it can be. */
static double
missing_db (const DwnDiagnosis *diagnosis)
{
  const DwnReception *r = &diagnosis->reception;
  double best_db = r->margin_db;

  for (guint c = 0; c < DWN_N_CAUSES; c++)
    best_db += diagnosis->taken_db[c];
  return fmax (DWN_HELD_DEVIATES * r->sigma_db - best_db, 0.0);
}

static void
measure (DwnDiagnoser *self, guint *unpowered)
{
  double *taken_db = self->diagnosis->taken_db;

  for (guint k = 0; k < self->steps->len; k++)
    {
      const DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);
      taken_db[step->cause] += fault_db (step);
    }
  taken_db[DWN_CAUSE_NONE] = 0.0;
  if (self->connected)
    measure_gear (self, unpowered);
  for (guint c = 0; c < DWN_N_CAUSES; c++)
    taken_db[c] = fmax (taken_db[c], 0.0);
  if (self->connected)
    taken_db[DWN_CAUSE_DISTANCE] = missing_db (self->diagnosis);
}

/* The chief one */

static DwnCause
chief_of (const DwnDiagnosis *diagnosis)
{
  gboolean is_held = diagnosis->reception.chance >= DWN_CHANCE_HELD;
  DwnCause chief = is_held ? DWN_CAUSE_NONE : DWN_CAUSE_DISTANCE;

  if (diagnosis->reception.limit == DWN_LIMIT_UNCONNECTED)
    return DWN_CAUSE_UNCONNECTED;
  if (diagnosis->taken_db[DWN_CAUSE_NO_POWER] >= BROKEN_DB)
    return DWN_CAUSE_NO_POWER;
  if (diagnosis->reception.limit == DWN_LIMIT_OVERLOAD)
    return DWN_CAUSE_OVERLOAD;
  for (guint c = 0; c < DWN_N_CAUSES; c++)
    if (diagnosis->taken_db[c] > diagnosis->taken_db[chief])
      chief = (DwnCause) c;
  return chief;
}

/* The station that puts most into the noise at this tuner. */
static int
worst_disturber (const DwnDiagnoser *self)
{
  const DwnBudgetBase *base = self->base;
  const DwnDiagnosis *diagnosis = self->diagnosis;
  const DwnReception *r = &diagnosis->reception;
  double most = 0.0;
  guint sink = 0;
  int worst = -1;

  while (sink + 1 < base->n_sinks
         && !(base->sink[sink].outlet == diagnosis->outlet && base->sink[sink].state == r->state
              && base->sink[sink].port == r->port))
    sink++;
  for (guint at = base->neighbour_first[diagnosis->station];
       at < base->neighbour_first[diagnosis->station + 1]; at++)
    {
      const DwnNeighbour *other = &base->neighbour[at];
      double mw = other->weight * self->terminals->disturbing_mw[(gsize) sink * base->n + other->station];

      if (mw > most)
        {
          most = mw;
          worst = (int) other->station;
        }
    }
  return worst;
}

/* Index of the largest step of the chief cause. */
static int
largest_step_index (const DwnDiagnoser *self, DwnCause cause)
{
  double largest_db = 0.0;
  int index = -1;

  for (guint k = 0; k < self->steps->len; k++)
    {
      const DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);

      if (step->cause == cause && step->kind != DWN_LOSS_FREE_SPACE && step->gain_db < largest_db)
        {
          largest_db = step->gain_db;
          index = step->index;
        }
    }
  return index;
}

void
dwn_diagnoser_find_causes (DwnDiagnoser *self)
{
  DwnDiagnosis *diagnosis = self->diagnosis;
  guint unpowered = G_MAXUINT;

  mark_steps (self);
  measure (self, &unpowered);
  diagnosis->chief = chief_of (diagnosis);
  diagnosis->disturber = self->connected ? worst_disturber (self) : -1;
  if (diagnosis->chief == DWN_CAUSE_OVERLOAD)
    diagnosis->index = (int) diagnosis->reception.headroom_part;
  else if (diagnosis->chief == DWN_CAUSE_NO_POWER)
    diagnosis->index = (int) unpowered;
  else
    diagnosis->index = largest_step_index (self, diagnosis->chief);
}
