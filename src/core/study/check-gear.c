/* The usual mistakes of the trade between antenna and televisions. */
#include <math.h>
#include <string.h>

#include "core/chain/cascade.h"
#include "core/study/check-private.h"
#include "core/study/house.h"
#include "core/study/levels.h"

/* A feed of at least this wants a balun: 300 Ω are the rule where it is not 75. */
#define BALUN_FROM_OHM 150.0
/* Gear may give this much more than it takes behind an amplifier (one antenna maker's rule). */
#define SPARE_GAIN_DB 10.0
/* An antenna this much better than the other is the one for a band (common practice, no source). */
#define APART_DB 6.0
/* Largest difference that the gear may make between channels at an outlet: EN 60728-1 (from memory). */
#define MOST_SLOPE_DB 12.0
/* Home networks on coax begin at 1125 MHz; filters against them take 40 dB, the half is the least. */
#define NETWORK_MHZ 1150.0
#define NETWORK_FILTER_DB 20.0
/* Metal, foil and stucco mesh: treat as blocked (common practice, no source). */
#define SCREENED_DB 20.0
/* Fewer stations than this may well have the number on the screen that is their RF channel's. */
#define FEWEST_NUMBERS 3

static const double middle_mhz[DWN_N_BANDS] = { 69.0, 195.0, 545.0 };

static double
share_db (double share)
{
  return -10.0 * log10 (fmax (1.0 - share, 1e-10));
}

/* Ends of cables */

static void
check_feed (DwnChecker *self, guint antenna)
{
  const DwnChain *gear = self->plan->gear;
  guint part = gear->antenna[antenna];
  int edge = gear->out_edge[gear->out_first[part]];

  if (!(gear->part[part].feed_ohm >= BALUN_FROM_OHM) || edge < 0
      || gear->part[gear->edge[edge].to_part].kind == DWN_PART_BALUN)
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_NO_BALUN);
  check->part = (int) part;
  check->value = dwn_feed_mismatch_db (gear->part[part].feed_ohm);
}

static guint
count_used (const DwnChain *gear, guint part)
{
  guint used = 0;

  for (guint o = gear->out_first[part]; o < gear->out_first[part + 1]; o++)
    used += gear->out_edge[o] >= 0 ? 1 : 0;
  return used;
}

/* What the smallest splitter for @used outputs would save, at the middle of UHF; 0: none would. */
static double
saved_db (const DwnChain *gear, guint part, guint used)
{
  double mhz = middle_mhz[DWN_BAND_UHF], most_db = 0.0;
  double have_db = dwn_chain_part_gain_db (gear, part, 0, 0, mhz);
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (gear->list, &n);

  if (used == 1)
    return -have_db;
  for (guint k = 0; k < n; k++)
    if (types[k]->kind == DWN_PART_SPLITTER && types[k]->n_out >= used
        && types[k]->n_out < gear->type[part]->n_out)
      most_db = fmax (most_db, dwn_response_db (&types[k]->gain[0][types[k]->n_out - 1], mhz) - have_db);
  return most_db;
}

static void
check_outputs (DwnChecker *self, guint part)
{
  const DwnChain *gear = self->plan->gear;
  guint n_out = gear->type[part]->n_out, used = count_used (gear, part);

  if (used == n_out || used == 0)
    return;
  double saved = gear->part[part].kind == DWN_PART_SPLITTER && 2 * used <= n_out
                 ? saved_db (gear, part, used) : 0.0;
  if (saved > 0.0)
    {
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_OVERSIZED);
      check->part = (int) part;
      check->value = saved;
    }
  if (!gear->part[part].capped)
    {
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_OPEN_OUTPUT);
      check->part = (int) part;
      check->value = n_out - used;
    }
}

/* Combiners */

static double
best_db (const DwnPattern *pattern, double mhz)
{
  return dwn_pattern_max_gain_dbi (pattern, mhz) - dwn_pattern_mismatch_db (pattern, mhz);
}

/* The best of the antennas in @antennas. */
static double
best_of_db (const DwnChain *gear, guint antennas, double mhz)
{
  double best = -(double) INFINITY;

  for (guint a = 0; a < gear->n_antennas; a++)
    if ((antennas >> a & 1) != 0)
      best = fmax (best, best_db (gear->part[gear->antenna[a]].pattern, mhz));
  return best;
}

/* The input through which the antennas bring this frequency so much better than through any other
 * that a combiner could choose; -1 where there is none. */
static int
input_of (const DwnChain *gear, guint part, double mhz)
{
  double best_db = -(double) INFINITY, second_db = best_db;
  int best = -1;

  for (guint i = 0; i < gear->type[part]->n_in; i++)
    {
      int e = gear->in_edge[gear->in_first[part] + i];
      double db = e < 0 ? -(double) INFINITY
                        : best_of_db (gear, dwn_chain_antennas_of (gear, gear->edge[e].from_part), mhz);

      if (db > best_db)
        {
          second_db = best_db;
          best_db = db;
          best = (int) i;
        }
      else
        second_db = fmax (second_db, db);
    }
  return best_db - second_db >= APART_DB ? best : -1;
}

/* A hybrid, which is a splitter turned round, where each band has an antenna of its own. */
static void
check_hybrid (DwnChecker *self, guint part)
{
  const DwnStations *stations = self->plan->stations;
  int input_of_band[DWN_N_BANDS] = { -1, -1, -1 };
  guint inputs = 0;

  for (guint i = 0; i < stations->n; i++)
    {
      int input = input_of (self->plan->gear, part, stations->station[i].mhz);
      DwnBand band = stations->station[i].band;

      if (input < 0 || (input_of_band[band] >= 0 && input_of_band[band] != input))
        return; /* one band comes through both */
      input_of_band[band] = input;
      inputs |= 1u << input;
    }
  if ((inputs & (inputs - 1)) == 0)
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_SPLITTER_COMBINES);
  check->part = (int) part;
  check->value = -dwn_chain_part_gain_db (self->plan->gear, part, 0, 0, middle_mhz[DWN_BAND_UHF]);
}

/* Amplifiers */

/* Least loss from the amplifier's output to the outlet that is farthest from it, dB. */
static double
loss_behind_db (const DwnChain *gear, guint part)
{
  g_autofree double *gain = g_new0 (double, 2 * gear->n_outlets + 1);
  double least = (double) INFINITY;
  guint sink = 0;

  dwn_chain_onward (gear, part, 0, middle_mhz[DWN_BAND_UHF], 0, gain);
  for (guint o = 0; o < gear->n_outlets; o++)
    for (guint i = 0; i < gear->type[gear->outlet[o]]->n_in; i++, sink++)
      least = gain[sink] > 0.0 ? fmin (least, gain[sink]) : least;
  return isinf (least) ? (double) NAN : -10.0 * log10 (least);
}

static void
check_gain (DwnChecker *self, guint part)
{
  const DwnChain *gear = self->plan->gear;
  double gain_db = dwn_chain_part_gain_db (gear, part, gear->type[part]->n_in - 1, 0,
                                           middle_mhz[DWN_BAND_UHF]);
  double loss_db = loss_behind_db (gear, part);

  if (!gear->powered[part] || !(gain_db > loss_db + SPARE_GAIN_DB))
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_GAIN_UNNEEDED);
  check->part = (int) part;
  check->value = gain_db;
  check->limit = fmax (loss_db, 0.0) + SPARE_GAIN_DB;
}

/* Coax that others use */

/* Gain from the outputs of amplifiers and antennas to @part at @mhz: what a signal from there has to
 * get through on its way up; 0 dB or less, −INFINITY where nothing leads there. */
static double
way_up_db (const DwnChain *gear, guint part, double mhz)
{
  double best = -(double) INFINITY;

  for (guint i = 0; i < gear->type[part]->n_in; i++)
    {
      int e = gear->in_edge[gear->in_first[part] + i];

      if (e < 0)
        continue;
      const DwnEdge *edge = &gear->edge[e];
      const DwnPart *from = &gear->part[edge->from_part];
      double db = -dwn_chain_edge_loss_db (gear, (guint) e, mhz);
      if (from->kind != DWN_PART_ANTENNA && from->kind != DWN_PART_AMPLIFIER)
        db += dwn_chain_part_gain_db (gear, edge->from_part, 0, edge->from_port, mhz)
              + way_up_db (gear, edge->from_part, mhz);
      best = fmax (best, db);
    }
  return best;
}

static void
check_shared (DwnChecker *self, guint part)
{
  const DwnChain *gear = self->plan->gear;

  if (gear->type[part]->shared == DWN_SHARED_FEED)
    {
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_FORMER_FEED);
      check->part = (int) part;
      check->value = -dwn_chain_part_gain_db (gear, part, 0, 0, middle_mhz[DWN_BAND_UHF]);
    }
  if (gear->type[part]->shared == DWN_SHARED_NETWORK
      && way_up_db (gear, part, NETWORK_MHZ) > -NETWORK_FILTER_DB)
    dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_HOME_NETWORK)->part = (int) part;
}

/* Across the band */

static void
check_slope (DwnChecker *self, guint outlet)
{
  const DwnStations *stations = self->plan->stations;
  double low_mhz = (double) INFINITY, high_mhz = 0.0;

  for (guint i = 0; i < stations->n; i++)
    if (dwn_station_wanted (&stations->station[i], self->plan->services) != DWN_WANTED_NO)
      {
        low_mhz = fmin (low_mhz, stations->station[i].mhz);
        high_mhz = fmax (high_mhz, stations->station[i].mhz);
      }
  if (!(high_mhz > low_mhz) || dwn_checker_has_dead_amplifier (self))
    return;
  double slope_db = dwn_outlet_slope_db (self->plan->gear, outlet, low_mhz, high_mhz);
  if (!(slope_db < -MOST_SLOPE_DB))
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_SLOPE);
  check->part = (int) self->plan->gear->outlet[outlet];
  check->value = -slope_db;
  check->limit = MOST_SLOPE_DB;
}

/* Products */

/* The outlet at which products are most of what disturbs @station; −1 where they are less than half
 * everywhere. */
static int
worst_outlet (const DwnBudget *budget, guint station)
{
  const DwnReception *row = &budget->reception[(gsize) station * budget->n_outlets];
  int worst = -1;

  for (guint o = 0; o < budget->n_outlets; o++)
    if (row[o].spurious_share > 0.5 && (worst < 0 || row[o].spurious_share > row[worst].spurious_share))
      worst = (int) o;
  return worst;
}

static gboolean
matters (const DwnChecker *self, guint station)
{
  const DwnServices *services = self->plan->services;
  gboolean any = FALSE;

  for (guint s = 0; s < services->n; s++)
    any |= services->service[s].wanted != DWN_WANTED_NO;
  return !any
         || dwn_station_wanted (&self->plan->stations->station[station], services) != DWN_WANTED_NO;
}

static void
check_products (DwnChecker *self, guint station)
{
  int outlet = matters (self, station) ? worst_outlet (self->budget, station) : -1;

  if (outlet < 0)
    return;
  /* What has too much already is told of for that. */
  const DwnReception *row = &self->budget->reception[(gsize) station * self->budget->n_outlets
                                                     + (guint) outlet];
  if (self->budget->headroom_db[row->spurious_part] < 0.0)
    return;
  gboolean unwanted = self->budget->unwanted_share[row->spurious_part] > 0.5;
  DwnCheck *check = dwn_checker_add (self, self->budget->held[station] ? DWN_SEVERITY_WARNING
                                                                       : DWN_SEVERITY_ERROR,
                                     unwanted ? DWN_CHECK_FILTER_MISSING : DWN_CHECK_PRODUCTS);
  check->part = (int) row->spurious_part;
  check->station = (int) station;
  check->value = share_db (row->spurious_share);
}

/* Sets */

static gboolean
receives (const DwnPartType *tuner, DwnSystem system)
{
  return tuner->systems == 0 || (tuner->systems >> system & 1) != 0;
}

/* A set without a tuner for the system of a wanted service's best station; one finding a set. */
static void
check_tuner (DwnChecker *self, guint outlet)
{
  const DwnPlan *plan = self->plan;
  guint part = plan->gear->outlet[outlet];

  for (guint s = 0; s < plan->services->n; s++)
    {
      int i = dwn_best_station (plan, self->budget, s);

      if (plan->services->service[s].wanted == DWN_WANTED_NO || i < 0
          || receives (plan->gear->type[part], plan->stations->station[i].system))
        continue;
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_WRONG_TUNER);
      check->part = (int) part;
      check->station = i;
      return;
    }
}

/* The house and the list */

static void
check_screen (DwnChecker *self)
{
  const DwnPlan *plan = self->plan;
  double most_db = 0.0;
  int station = -1;

  if ((plan->site->mount != DWN_MOUNT_ATTIC && plan->site->mount != DWN_MOUNT_INDOORS)
      || plan->gear->n_antennas == 0)
    return;
  for (guint i = 0; i < plan->stations->n; i++)
    {
      DwnHouseWay way;

      if (!matters (self, i))
        continue;
      dwn_house_way_init (&way, plan, self->fields, i, dwn_antenna_agl_m (plan, 0));
      double db = dwn_house_sum (self->tables, plan->site, &way).db;
      if (db > most_db)
        {
          most_db = db;
          station = (int) i;
        }
    }
  if (most_db < SCREENED_DB)
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_SCREENED);
  check->station = station;
  check->value = most_db;
}

/* The number on the screen's own channel, before the dot or dash. */
static gboolean
is_number_of (const DwnStation *station, const char *on_screen)
{
  gsize length = strcspn (on_screen, ".-");

  return length > 0 && strlen (station->rf) == length && strncmp (station->rf, on_screen, length) == 0;
}

/* A list in which every RF channel is the number on the screen was made from programme guides. */
static void
check_numbers (DwnChecker *self)
{
  const DwnStations *stations = self->plan->stations;
  guint numbered = 0, same = 0;

  for (guint i = 0; i < stations->n; i++)
    {
      const char *on_screen = dwn_station_on_screen (&stations->station[i], self->plan->services);

      numbered += on_screen[0] != '\0' ? 1 : 0;
      same += is_number_of (&stations->station[i], on_screen) ? 1 : 0;
    }
  if (same < FEWEST_NUMBERS || same < numbered)
    return;
  dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_SCREEN_NUMBERS)->value = same;
}

static void
check_part (DwnChecker *self, guint part)
{
  const DwnChain *gear = self->plan->gear;

  if (gear->part[part].kind == DWN_PART_ANTENNA)
    return;
  if (gear->part[part].kind == DWN_PART_SPLITTER || gear->part[part].kind == DWN_PART_TAP)
    check_outputs (self, part);
  if (gear->type[part]->hybrid)
    check_hybrid (self, part);
  if (gear->part[part].kind == DWN_PART_AMPLIFIER)
    check_gain (self, part);
  check_shared (self, part);
}

void
dwn_checker_check_gear (DwnChecker *self)
{
  const DwnChain *gear = self->plan->gear;

  for (guint a = 0; a < gear->n_antennas; a++)
    check_feed (self, a);
  for (guint k = 0; k < gear->n_parts; k++)
    check_part (self, k);
  for (guint o = 0; o < gear->n_outlets; o++)
    {
      check_slope (self, o);
      check_tuner (self, o);
    }
  for (guint i = 0; i < self->plan->stations->n; i++)
    check_products (self, i);
  check_screen (self);
  check_numbers (self);
}
