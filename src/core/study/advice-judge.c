/* The exact word on a candidate: the budget's. */
#include "core/study/advice-private.h"

#include <string.h>

void
dwn_judge_init (DwnJudge *judge, const DwnAdvisor *advisor, const DwnRig *rig)
{
  *judge = (DwnJudge) { .advisor = advisor, .rig = rig };
  dwn_terminals_init (&judge->terminals, rig->base);
  judge->held = g_new0 (guint64, advisor->goal.n_words);
  judge->station_held = g_new0 (gboolean, advisor->goal.n_stations);
  judge->station_db = g_new0 (double, advisor->goal.n_stations);
  for (guint a = 0; a < rig->n; a++)
    judge->configuration[a] = G_MAXUINT;
}

void
dwn_judge_clear (DwnJudge *judge)
{
  dwn_terminals_clear (&judge->terminals);
  g_free (judge->held);
  g_free (judge->station_held);
  g_free (judge->station_db);
}

/* Before station @i is judged: turns a rotator to it and gathers. */
static void
look_at (DwnJudge *judge, guint i)
{
  const DwnRig *rig = judge->rig;
  const DwnArmoury *armoury = &judge->advisor->armoury;
  guint antenna = judge->configuration[0];

  if (!rig->turns)
    return;
  for (guint other = 0; other < armoury->n_stations; other++)
    {
      gsize at = dwn_armoury_look (armoury, antenna, i) + other;

      dwn_terminals_set (&judge->terminals, rig->base, other, 0, armoury->look_sd_db[at],
                         armoury->look_gain[at] * rig->lying[(gsize) other * rig->n],
                         dwn_rig_match (judge->advisor, rig, other, 0, antenna));
    }
  dwn_terminals_point_unwanted (&judge->terminals, rig->base, 0, armoury->part[antenna].pattern,
                                rig->base->fields->arrival[i].bearing_deg);
  dwn_terminals_gather (&judge->terminals, rig->base);
}

static void
gather (DwnJudge *judge)
{
  if (!judge->rig->turns)
    dwn_terminals_gather (&judge->terminals, judge->rig->base);
}

static gboolean
holds (DwnJudge *judge, guint i)
{
  look_at (judge, i);
  return dwn_terminals_hold (&judge->terminals, judge->rig->base, i);
}

static void
point (DwnJudge *judge, guint a, guint configuration)
{
  const DwnArmoury *armoury = &judge->advisor->armoury;
  gsize at = dwn_armoury_at (armoury, configuration);

  if (judge->configuration[a] == configuration)
    return;
  judge->configuration[a] = configuration;
  if (judge->rig->turns && a == 0)
    return; /* looks at one station after another */
  for (guint i = 0; i < armoury->n_stations; i++)
    dwn_terminals_set (&judge->terminals, judge->rig->base, i, a, armoury->sd_db[at + i],
                       armoury->gain[at + i] * judge->rig->lying[(gsize) i * judge->rig->n + a],
                       dwn_rig_match (judge->advisor, judge->rig, i, a, configuration / armoury->n_aims));
  dwn_terminals_point_unwanted (&judge->terminals, judge->rig->base, a,
                                armoury->part[configuration / armoury->n_aims].pattern,
                                dwn_armoury_aim_deg (armoury, configuration));
}

/* Lowest over the outlets of the margin, and of the margin over σ; and by which antennas, a bit
 * each, the station comes to them. */
typedef struct {
  double margin_db, deviates;
  guint antennas;
} Lowest;

static Lowest
lowest_of (DwnJudge *judge, guint station)
{
  guint n_outlets = judge->rig->plan->gear->n_outlets;
  Lowest lowest = { (double) INFINITY, (double) INFINITY, 0 };

  look_at (judge, station);
  for (guint o = 0; o < n_outlets; o++)
    {
      DwnVerdict verdict = dwn_terminals_judge (&judge->terminals, judge->rig->base, station, o);

      if (!verdict.connected)
        return (Lowest) { -(double) INFINITY, -(double) INFINITY, 0 };
      lowest.margin_db = fmin (lowest.margin_db, verdict.margin_db);
      lowest.deviates = fmin (lowest.deviates, verdict.margin_db / verdict.sigma_db);
      lowest.antennas |= 1u << verdict.antenna;
    }
  return lowest;
}

static void
count_held (const DwnGoal *goal, const guint64 *held, DwnMerit *merit)
{
  for (guint w = 0; w < goal->n_words; w++)
    {
      merit->must += dwn_bits (held[w] & goal->must_mask[w]);
      merit->like += dwn_bits (held[w] & ~goal->must_mask[w]);
    }
}

/* Lowest over the held services of what the best of its held stations has. */
static double
weakest_held_db (const DwnJudge *judge)
{
  const DwnGoal *goal = &judge->advisor->goal;
  double weakest = (double) INFINITY;

  for (guint b = 0; b < goal->n; b++)
    {
      double best = -(double) INFINITY;

      if ((judge->held[b / 64] >> b % 64 & 1) == 0)
        continue;
      for (guint j = 0; j < goal->n_stations; j++)
        if (judge->station_held[j]
            && (goal->carried[(gsize) j * goal->n_words + b / 64] >> b % 64 & 1) != 0)
          best = fmax (best, judge->station_db[j]);
      weakest = fmin (weakest, best);
    }
  return weakest;
}

void
dwn_judge_weigh (DwnJudge *judge, DwnMerit *merit)
{
  const DwnGoal *goal = &judge->advisor->goal;
  double nearest = -1000.0;

  *merit = (DwnMerit) { 0 };
  gather (judge);
  memset (judge->held, 0, goal->n_words * sizeof *judge->held);
  judge->antennas = 0;
  for (guint j = 0; j < goal->n_stations; j++)
    {
      Lowest lowest = lowest_of (judge, goal->station[j]);

      judge->station_db[j] = lowest.margin_db;
      judge->station_held[j] = lowest.deviates >= DWN_HELD_DEVIATES;
      judge->antennas |= judge->station_held[j] ? lowest.antennas : 0;
      nearest = fmax (nearest, lowest.deviates);
      for (guint w = 0; judge->station_held[j] && w < goal->n_words; w++)
        judge->held[w] |= goal->carried[(gsize) j * goal->n_words + w];
    }
  count_held (goal, judge->held, merit);
  merit->margin_db = merit->must + merit->like > 0 ? weakest_held_db (judge) : 10.0 * nearest;
  merit->half_db = (int) floor (2.0 * merit->margin_db);
}

void
dwn_judge_ask (DwnJudge *judge, const guint *configuration, DwnMerit *merit)
{
  for (guint a = 0; a < judge->rig->n; a++)
    point (judge, a, configuration[a]);
  dwn_judge_weigh (judge, merit);
}

/* Are all the stations still held that @keep names? */
static gboolean
keeps_all (DwnJudge *judge, const gboolean *keep)
{
  const DwnGoal *goal = &judge->advisor->goal;

  gather (judge);
  for (guint j = 0; j < goal->n_stations; j++)
    if (keep[j] && !holds (judge, goal->station[j]))
      return FALSE;
  return TRUE;
}

static guint
turn (DwnJudge *judge, guint a, guint from, int direction, const gboolean *keep)
{
  guint n_aims = judge->advisor->armoury.n_aims;
  guint first = from / n_aims * n_aims, aim = from % n_aims, steps = 0;

  for (; steps < n_aims - 1; steps++)
    {
      guint next = (aim + n_aims + (guint) direction * (steps + 1)) % n_aims;

      point (judge, a, first + next);
      if (!keeps_all (judge, keep))
        break;
    }
  return steps;
}

/* Degrees through which antenna @a can turn without losing a station, its own included. */
static guint
window_deg (DwnJudge *judge, guint a, const gboolean *keep)
{
  const DwnArmoury *armoury = &judge->advisor->armoury;
  guint from = judge->configuration[a], last = armoury->n_aims - 1;
  guint right = turn (judge, a, from, 1, keep);
  guint left = right == last ? 0 : turn (judge, a, from, -1, keep);

  point (judge, a, from);
  return MIN (right + left + 1, armoury->n_aims) * armoury->step_deg;
}

static guint
count_extras (DwnJudge *judge)
{
  const DwnGoal *goal = &judge->advisor->goal;
  g_autofree guint64 *held = g_new0 (guint64, goal->n_extra_words);
  guint extras = 0;

  for (guint j = 0; j < goal->n_extra_stations; j++)
    {
      const guint64 *carried = &goal->extra_carried[(gsize) j * goal->n_extra_words];

      if (holds (judge, goal->extra_station[j]))
        for (guint w = 0; w < goal->n_extra_words; w++)
          held[w] |= carried[w];
    }
  for (guint w = 0; w < goal->n_extra_words; w++)
    extras += dwn_bits (held[w]);
  return extras;
}

double
dwn_rig_cost (const DwnAdvisor *advisor, const DwnRig *rig, const guint *configuration)
{
  double cost = 0.0;

  for (guint a = 0; a < rig->n; a++)
    cost += advisor->armoury.part[dwn_rig_antenna (advisor, rig, a, configuration[a])].price;
  return cost;
}

void
dwn_judge_complete (DwnJudge *judge, DwnMerit *merit)
{
  const DwnGoal *goal = &judge->advisor->goal;
  g_autofree gboolean *keep = g_memdup2 (judge->station_held, MAX (goal->n_stations, 1) * sizeof *keep);

  merit->window_deg = 0;
  if (merit->must + merit->like > 0)
    {
      merit->window_deg = 360;
      for (guint a = judge->rig->turns ? 1 : 0; a < judge->rig->n; a++)
        merit->window_deg = MIN (merit->window_deg, window_deg (judge, a, keep));
    }
  gather (judge);
  merit->extras = count_extras (judge);
  merit->cost = dwn_rig_cost (judge->advisor, judge->rig, judge->configuration);
}
