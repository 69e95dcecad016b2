/* Which rung is advised, and why. */
#include "core/study/advice-private.h"

/* Services that decide: the must ones; where none is marked so, the liked; otherwise all. */
static gboolean
decides (const DwnLadder *ladder, DwnWanted mark)
{
  if (ladder->n_must > 0)
    return mark == DWN_WANTED_MUST;
  return ladder->all_liked || mark == DWN_WANTED_LIKE;
}

static guint
count_deciding (const DwnLadder *ladder, const DwnRung *rung)
{
  if (ladder->n_must > 0)
    return rung->held_must;
  return ladder->all_liked ? rung->held_extra : rung->held_like;
}

static guint
count_wanted (const DwnLadder *ladder, const DwnRung *rung)
{
  return rung->held_must + rung->held_like + (ladder->all_liked ? rung->held_extra : 0);
}

/* Of the deciding services (@any: of all that count) that @more holds and @less does not, the one
 * that gains most. Returns −1 where there is none. */
static int
newly_held (const DwnLadder *ladder, const DwnRung *less, const DwnRung *more, gboolean any,
            double *gain_db)
{
  const DwnServices *services = more->plan->services;
  int most = -1;

  *gain_db = -(double) INFINITY;
  for (guint s = 0; s < services->n; s++)
    {
      DwnWanted mark = services->service[s].wanted;
      double gain = more->margin_db[s] - less->margin_db[s];

      if (!more->holds[s] || less->holds[s]
          || !(decides (ladder, mark) || (any && mark != DWN_WANTED_NO)))
        continue;
      if (most < 0 || gain > *gain_db)
        {
          *gain_db = gain;
          most = (int) s;
        }
    }
  return most;
}

/* One direction at a time for every set. */
static gboolean
turns_for_one_set (const DwnRung *rung)
{
  return (rung->arrangement == DWN_ARRANGEMENT_ROTATOR || rung->arrangement == DWN_ARRANGEMENT_SWITCH)
         && rung->plan->gear->n_outlets > 1;
}

static gboolean
is_worth_climbing (const DwnLadder *ladder, guint from, guint to, int *service, double *gain_db)
{
  const DwnRung *less = &ladder->rung[from], *more = &ladder->rung[to];

  *service = newly_held (ladder, less, more, FALSE, gain_db);
  return count_deciding (ladder, more) > count_deciding (ladder, less) && *service >= 0
         && *gain_db >= DWN_CLIMB_DB && !turns_for_one_set (more);
}

/* Is it worth while over each lower rung? What a lower one holds as well by a hair is not. */
static gboolean
is_worth_all_below (const DwnLadder *ladder, guint r)
{
  int service;
  double gain_db;

  for (guint below = 0; below < r; below++)
    if (!is_worth_climbing (ladder, below, r, &service, &gain_db))
      return FALSE;
  return TRUE;
}

static guint
climb (const DwnLadder *ladder)
{
  DwnRung *rung = (DwnRung *) ladder->rung;
  guint at = 0;

  rung[0].reason = DWN_REASON_SIMPLEST;
  for (guint r = 1; r < ladder->n; r++)
    {
      int service;
      double gain_db;

      if (!is_worth_climbing (ladder, at, r, &service, &gain_db) || !is_worth_all_below (ladder, r))
        continue;
      rung[r].reason = DWN_REASON_CLIMBED;
      rung[r].other = at;
      rung[r].service = service;
      rung[r].gain_db = gain_db;
      at = r;
    }
  return at;
}

/* Why a rung other than the advised one is not. */
static void
explain (const DwnLadder *ladder, guint r, guint advised)
{
  DwnRung *rung = (DwnRung *) &ladder->rung[r];
  const DwnRung *best = &ladder->rung[advised];
  double gain_db;

  rung->other = advised;
  rung->service = newly_held (ladder, rung, best, TRUE, &gain_db);
  rung->gain_db = gain_db;
  rung->reason = DWN_REASON_HOLDS_LESS;
  if (r < advised && rung->service >= 0)
    return;

  int gained = newly_held (ladder, best, rung, FALSE, &gain_db);
  if (count_deciding (ladder, rung) > count_deciding (ladder, best))
    rung->reason = turns_for_one_set (rung) ? DWN_REASON_ONE_DIRECTION : DWN_REASON_SMALL_GAIN;
  else if (count_deciding (ladder, rung) == count_deciding (ladder, best)
           && count_wanted (ladder, rung) > count_wanted (ladder, best))
    {
      rung->reason = DWN_REASON_ONLY_LIKED;
      gained = newly_held (ladder, best, rung, TRUE, &gain_db);
    }
  else if (rung->service >= 0)
    return;
  else
    {
      rung->reason = DWN_REASON_HOLDS_SAME;
      return;
    }
  rung->service = gained;
  rung->gain_db = gain_db;
}

double
dwn_service_chance (const DwnPlan *plan, const DwnBudget *budget, guint service)
{
  int best = dwn_best_station (plan, budget, service);

  return best < 0 || budget->n_outlets == 0
         ? 0.0
         : budget->reception[(gsize) best * budget->n_outlets + budget->weakest[best]].chance;
}

/* Nothing is held: is one of the wanted services worth a trial with one antenna? */
static void
advise_trial (DwnLadder *ladder)
{
  DwnRung *rung = (DwnRung *) &ladder->rung[0];
  double best = -1.0;

  for (guint s = 0; s < rung->plan->services->n; s++)
    {
      DwnWanted mark = rung->plan->services->service[s].wanted;
      double chance = dwn_service_chance (rung->plan, rung->budget, s);

      if ((mark == DWN_WANTED_NO && !ladder->all_liked) || chance <= best)
        continue;
      best = chance;
      rung->service = (int) s;
    }
  rung->reason = best >= DWN_CHANCE_TRIAL ? DWN_REASON_TRIAL : DWN_REASON_NOTHING;
  ladder->candidate = 0;
  ladder->advised = -1;
  for (guint r = 1; r < ladder->n; r++)
    {
      ((DwnRung *) ladder->rung)[r].reason = DWN_REASON_HOLDS_SAME;
      ((DwnRung *) ladder->rung)[r].other = 0;
    }
}

static int
compare_rungs (const DwnLadder *ladder, const DwnRung *a, const DwnRung *b)
{
  int by_deciding = (int) count_deciding (ladder, a) - (int) count_deciding (ladder, b);

  return by_deciding != 0 ? by_deciding
                          : (int) count_wanted (ladder, a) - (int) count_wanted (ladder, b);
}

static gboolean
is_close (const DwnLadder *ladder, const DwnRung *rung)
{
  const DwnRung *advised = &ladder->rung[ladder->candidate];

  return ladder->advised >= 0 && rung->held_must >= advised->held_must
         && count_wanted (ladder, rung) >= count_wanted (ladder, advised)
         && rung->weakest_margin_db > advised->weakest_margin_db - DWN_CLOSE_DB;
}

/* @rung takes the place where it is closer, or as close and holds more: they come simplest first. */
static void
run_up (DwnLadder *ladder, guint r, gboolean is_second)
{
  const DwnRung *rung = is_second ? &ladder->second[r] : &ladder->rung[r];
  const DwnRung *before = dwn_ladder_runner_up (ladder);
  gboolean close = is_close (ladder, rung);

  if (rung->n_antennas == 0 || count_wanted (ladder, rung) == 0 || ladder->runner_up_is_close
      || (before != NULL && !close && compare_rungs (ladder, rung, before) <= 0))
    return;
  ladder->runner_up = (int) r;
  ladder->runner_up_is_second = is_second;
  ladder->runner_up_is_close = close;
}

static void
find_runner_up (DwnLadder *ladder)
{
  ladder->runner_up = -1;
  for (guint r = 0; r < ladder->n; r++)
    {
      if ((int) r != ladder->advised)
        run_up (ladder, r, FALSE);
      if (ladder->second != NULL)
        run_up (ladder, r, TRUE);
    }
}

void
dwn_ladder_explain_stack (const DwnLadder *ladder, DwnRung *stacked)
{
  stacked->reason = DWN_REASON_CLIMBED;
  stacked->other = 0;
  stacked->service = newly_held (ladder, &ladder->rung[0], stacked, TRUE, &stacked->gain_db);
}

const DwnRung *
dwn_ladder_runner_up (const DwnLadder *ladder)
{
  if (ladder->runner_up < 0)
    return NULL;
  return ladder->runner_up_is_second ? &ladder->second[ladder->runner_up]
                                     : &ladder->rung[ladder->runner_up];
}

void
dwn_ladder_choose (DwnLadder *ladder, const DwnAdvisor *advisor)
{
  ladder->candidate = climb (ladder);
  ladder->advised = (int) ladder->candidate;
  /* Where a higher rung holds something after all, it is by too little to be believed untried. */
  if (count_wanted (ladder, &ladder->rung[ladder->candidate]) == 0)
    {
      advise_trial (ladder);
      find_runner_up (ladder);
      return;
    }
  for (guint r = 0; r < ladder->n; r++)
    if (r != ladder->candidate)
      explain (ladder, r, ladder->candidate);
  find_runner_up (ladder);
}
