/* One candidate: on the scales, between equals, before the judge. */
#include "core/study/advice-search.h"

#include <string.h>

/* On the scales */

void
dwn_candidate_note_held (DwnSearch *self, const DwnRow *row, double ratio)
{
  const guint64 *carried = dwn_search_carried_by (self, row);

  self->station[row->j] = TRUE;
  for (guint w = 0; w < self->goal->n_words; w++)
    {
      self->held[w] |= carried[w];
      for (guint64 left = carried[w]; left != 0; left &= left - 1)
        {
          guint b = w * 64 + dwn_bits ((left & -left) - 1);
          self->service[b] = fmax (self->service[b], ratio);
        }
    }
}

void
dwn_candidate_forget_held (DwnSearch *self)
{
  memset (self->held, 0, self->goal->n_words * sizeof *self->held);
  memset (self->station, 0, self->goal->n_stations * sizeof *self->station);
  for (guint b = 0; b < self->goal->n; b++)
    self->service[b] = 0.0;
}

static void
sum_up (const DwnSearch *self, DwnMerit *merit)
{
  const DwnGoal *goal = self->goal;
  double weakest = (double) INFINITY;

  *merit = (DwnMerit) { 0 };
  for (guint w = 0; w < goal->n_words; w++)
    {
      merit->must += dwn_bits (self->held[w] & goal->must_mask[w]);
      merit->like += dwn_bits (self->held[w] & ~goal->must_mask[w]);
    }
  for (guint b = 0; b < goal->n; b++)
    if (dwn_set_has (self->held, b))
      weakest = fmin (weakest, self->service[b]);
  merit->margin_db = dwn_db_of_ratio (weakest);
  merit->half_db = (int) floor (2.0 * merit->margin_db);
}

/* Sinks that are overloaded whatever station is judged. */
guint64
dwn_candidate_dead_sinks (const DwnSearch *self, const guint *configuration)
{
  return self->scales.stages->len > 0 && !self->rig->turns
         ? dwn_scales_overloaded (&self->scales, configuration, 0) : 0;
}

/* The best of the station's tuners through these antennas, but for those overloaded. */
double
dwn_candidate_weigh_station (const DwnSearch *self, const DwnListed *listed, guint antennas,
                             const guint *configuration, guint64 dead)
{
  double best = 0.0;

  if (self->rig->turns && antennas == dwn_scales_all (&self->scales) && self->scales.stages->len > 0)
    dead = dwn_scales_overloaded (&self->scales, configuration, dwn_search_row_at (self, listed->first)->i);
  for (guint r = listed->first; r < listed->first + listed->n; r++)
    if ((dead >> dwn_search_row_at (self, r)->sink & 1) == 0)
      best = fmax (best, dwn_scales_weigh (&self->scales, dwn_search_row_at (self, r), antennas, configuration));
  return best;
}

/* Overload is left to the candidates themselves: @dead is nothing here. */
double
dwn_candidate_weigh_station_in (const DwnSearch *self, const DwnListed *listed, guint antennas,
                                const guint *block, guint64 dead)
{
  double best = 0.0;

  for (guint r = listed->first; r < listed->first + listed->n; r++)
    best = fmax (best, dwn_scales_weigh_blocks (&self->scales, dwn_search_row_at (self, r), antennas, block));
  return best;
}

/* FALSE as soon as the candidate is known not to be of interest. */
gboolean
dwn_candidate_weigh (DwnSearch *self, const guint *configuration, guint need, DwnMerit *merit)
{
  guint64 dead = dwn_candidate_dead_sinks (self, configuration);
  guint spare = self->level - need, all = dwn_scales_all (&self->scales);

  dwn_candidate_forget_held (self);
  for (guint k = 0; k < self->n_listed; k++)
    {
      const DwnListed *listed = &self->list[k];
      double ratio = dwn_candidate_weigh_station (self, listed, all, configuration, dead);

      if (ratio > 0.0)
        dwn_candidate_note_held (self, dwn_search_row_at (self, listed->first), ratio);
      if (ratio > 0.0 && ratio >= self->least_ratio)
        continue;
      if (listed->weight > spare)
        {
          dwn_search_move_up (self, k);
          return FALSE;
        }
      spare -= listed->weight;
    }
  sum_up (self, merit);
  return dwn_goal_level (self->goal, merit->must, merit->like) >= need;
}

static void
add_to_list (DwnSearch *self, guint first, guint n)
{
  const guint64 *carried = dwn_search_carried_by (self, dwn_search_row_at (self, first));
  gboolean any = FALSE;

  for (guint w = 0; w < self->goal->n_words; w++)
    any |= (carried[w] & self->all[w]) != 0;
  if (any)
    self->list[self->n_listed++] = (DwnListed) { .first = first, .n = n };
}

/* Stations by which the services of @all may come. */
void
dwn_search_list_stations (DwnSearch *self)
{
  guint n_words = self->goal->n_words, n_rows = self->scales.rows->len;
  guint64 *only = self->passing;

  self->n_listed = 0;
  for (guint r = 0, n; r < n_rows; r += n)
    {
      n = 1;
      while (r + n < n_rows && dwn_search_row_at (self, r + n)->j == dwn_search_row_at (self, r)->j)
        n++;
      add_to_list (self, r, n);
    }
  for (guint k = 0; k < self->n_listed; k++)
    {
      memcpy (only, dwn_search_carried_by (self, dwn_search_row_at (self, self->list[k].first)), n_words * sizeof *only);
      for (guint other = 0; other < self->n_listed; other++)
        for (guint w = 0; other != k && w < n_words; w++)
          only[w] &= ~dwn_search_carried_by (self, dwn_search_row_at (self, self->list[other].first))[w];
      self->list[k].weight = dwn_level_of_set (self->goal, only);
    }
}

/* Between equals */

/* Is none of the listed stations lost that @keep names? */
static gboolean
keeps_all (DwnSearch *self, const guint *configuration, const gboolean *keep)
{
  guint64 dead = dwn_candidate_dead_sinks (self, configuration);
  guint all = dwn_scales_all (&self->scales);

  for (guint k = 0; k < self->n_listed; k++)
    {
      const DwnListed *listed = &self->list[k];

      if (keep[dwn_search_row_at (self, listed->first)->j]
          && !(dwn_candidate_weigh_station (self, listed, all, configuration, dead) > 0.0))
        return FALSE;
    }
  return TRUE;
}

/* An antenna of a candidate as it is turned, the others standing still. */
typedef struct {
  guint *configuration;
  guint a, own;          /* which turns, and where it stands */
  const gboolean *keep;
} Turn;

static gboolean
keeps_at (DwnSearch *self, const Turn *turn, guint steps)
{
  guint n_aims = self->side[turn->a].n_aims;

  turn->configuration[turn->a] = turn->own / n_aims * n_aims + (turn->own % n_aims + steps) % n_aims;
  gboolean keeps = keeps_all (self, turn->configuration, turn->keep);
  turn->configuration[turn->a] = turn->own;
  return keeps;
}

/* Do the aims at which it was lost last time still bound too short an arc? They hardly move from one
 * candidate to the next, so this mostly spares the way there step by step. */
static gboolean
is_walled_in (DwnSearch *self, const Turn *turn, guint enough)
{
  guint n_aims = self->side[turn->a].n_aims, right = self->wall[turn->a].right;
  guint left = self->wall[turn->a].left, antenna = turn->own / n_aims;

  if (right / n_aims != antenna || left / n_aims != antenna)
    return FALSE;
  guint ahead = (right + n_aims - turn->own % n_aims) % n_aims;
  guint behind = (turn->own + n_aims - left % n_aims) % n_aims;
  return ahead > 0 && behind > 0 && ahead + behind - 1 < enough
         && !keeps_at (self, turn, ahead) && !keeps_at (self, turn, n_aims - behind);
}

/* Can the antenna be turned through @enough_deg, as far as the scales know? */
static gboolean
turns_enough (DwnSearch *self, const Turn *turn, guint enough_deg)
{
  guint n_aims = self->side[turn->a].n_aims;
  guint enough = MIN (enough_deg / self->advisor->armoury.step_deg, n_aims), right = 0, left = 0;

  if (is_walled_in (self, turn, enough))
    return FALSE;
  while (right + 1 < enough && keeps_at (self, turn, right + 1))
    right++;
  while (right + left + 1 < enough && keeps_at (self, turn, n_aims - left - 1))
    left++;
  if (right + left + 1 >= enough)
    return TRUE;
  guint first = turn->own / n_aims * n_aims, aim = turn->own % n_aims;
  self->wall[turn->a].right = first + (aim + right + 1) % n_aims;
  self->wall[turn->a].left = first + (aim + n_aims - left - 1) % n_aims;
  return FALSE;
}

/* Have all antennas of the candidate a window of @enough degrees, in which they lose none that
 * self->keep names? That antenna is asked first which turned out to be the narrowest last
 * time. */
gboolean
dwn_candidate_is_wide_enough (DwnSearch *self, const guint *candidate, guint enough_deg)
{
  guint configuration[DWN_RUNG_ANTENNAS], n = self->rig->n;

  memcpy (configuration, candidate, sizeof configuration);
  for (guint k = 0; k < n; k++)
    {
      guint a = (self->narrowest + k) % n;
      const Turn turn = { configuration, a, configuration[a], self->keep };

      if ((self->rig->turns && a == 0)
          || turns_enough (self, &turn, enough_deg))
        continue;
      self->narrowest = a;
      return FALSE;
    }
  return TRUE;
}

/* Might antenna @a at @configuration hold what @own says, all of it its partners cannot? */
static gboolean
might_keep (const DwnSearch *self, guint a, guint configuration, const guint64 *own)
{
  const guint64 *holds = dwn_side_holds (&self->side[a], configuration);

  for (guint w = 0; w < self->goal->n_words; w++)
    if ((own[w] & ~holds[w]) != 0)
      return FALSE;
  return TRUE;
}

/* How far @antenna can turn at most in place @a without losing what is its @own: from each of its aims
 * over the run of aims, past north, at which it might keep that. */
void
dwn_candidate_turns_deg (const DwnSearch *self, guint a, guint antenna, const guint64 *own, guint *turn_deg)
{
  guint n = self->side[a].n_aims, step_deg = self->advisor->armoury.step_deg, gap = 0;

  while (gap < n && might_keep (self, a, antenna * n + gap, own))
    gap++;
  if (gap == n || (self->rig->turns && a == 0))
    {
      for (guint aim = 0; aim < n; aim++)
        turn_deg[aim] = 360;
      return;
    }
  for (guint from = 1, run; from <= n; from += run + 1)
    {
      run = 0;
      while (from + run < n && might_keep (self, a, antenna * n + (gap + from + run) % n, own))
        run++;
      for (guint k = 0; k < run; k++)
        turn_deg[(gap + from + k) % n] = run * step_deg;
      turn_deg[(gap + from + run) % n] = step_deg;
    }
}

guint
dwn_candidate_most_extras (DwnSearch *self, const guint *configuration)
{
  guint count = 0;

  for (guint w = 0; w < self->goal->n_extra_words; w++)
    {
      guint64 all = 0;

      for (guint a = 0; a < self->rig->n; a++)
        all |= dwn_side_extras (&self->side[a], &self->scales, a, configuration[a])[w];
      count += dwn_bits (all);
    }
  return count;
}

/* The same on the scales. */
static guint
weigh_extras (DwnSearch *self, const guint *configuration)
{
  const DwnGoal *goal = self->goal;
  guint64 dead = dwn_candidate_dead_sinks (self, configuration);
  guint count = 0;

  memset (self->extras, 0, goal->n_extra_words * sizeof *self->extras);
  for (guint r = 0; r < self->scales.extra_rows->len; r++)
    {
      const DwnRow *row = &g_array_index (self->scales.extra_rows, DwnRow, r);
      const guint64 *carried = &goal->extra_carried[(gsize) row->j * goal->n_extra_words];

      if ((dead >> row->sink & 1) != 0
          || !(dwn_scales_weigh (&self->scales, row, dwn_scales_all (&self->scales), configuration) > 0.0))
        continue;
      for (guint w = 0; w < goal->n_extra_words; w++)
        self->extras[w] |= carried[w];
    }
  for (guint w = 0; w < goal->n_extra_words; w++)
    count += dwn_bits (self->extras[w]);
  return count;
}

gboolean
dwn_candidate_is_better (const DwnSearch *self, const DwnMerit *merit)
{
  DwnMerit rest = *merit;

  /* Within the half decibel the margin decides nothing. */
  rest.margin_db = self->best->merit.margin_db;
  return dwn_merit_compare (&rest, &self->best->merit) > 0;
}

void
dwn_search_complete_best (DwnSearch *self)
{
  DwnMerit merit;

  if (self->best->complete)
    return;
  dwn_judge_ask (&self->judge, self->best->configuration, &merit);
  dwn_judge_complete (&self->judge, &self->best->merit);
  self->best->complete = TRUE;
}

/* -1, 0, 1 by what is held and its margin. */
int
dwn_candidate_compare_held (const DwnMerit *a, const DwnMerit *b)
{
  if (a->must != b->must)
    return a->must > b->must ? 1 : -1;
  if (a->like != b->like)
    return a->like > b->like ? 1 : -1;
  return (a->half_db > b->half_db) - (a->half_db < b->half_db);
}

/* Of a candidate that was weighed: can it still be better than the best? */
gboolean
dwn_candidate_can_win (DwnSearch *self, const guint *configuration, DwnMerit *merit)
{
  int by_held = self->best->rig == NULL ? 1 : dwn_candidate_compare_held (merit, &self->best->merit);

  if (by_held != 0)
    return by_held > 0;
  dwn_search_complete_best (self);
  merit->extras = dwn_candidate_most_extras (self, configuration);
  merit->cost = dwn_rig_cost (self->advisor, self->rig, configuration);
  merit->window_deg = self->best->merit.window_deg;
  if (dwn_candidate_is_better (self, merit))
    merit->extras = weigh_extras (self, configuration);
  if (!dwn_candidate_is_better (self, merit))
    merit->window_deg += self->advisor->armoury.step_deg;
  memcpy (self->keep, self->station, self->goal->n_stations * sizeof *self->keep);
  return merit->window_deg <= 360
         && dwn_candidate_is_wide_enough (self, configuration, merit->window_deg);
}

gboolean
dwn_candidate_uses_all (const DwnSearch *self, const guint *configuration)
{
  guint all = dwn_scales_all (&self->scales), used = 0;

  /* By which antenna a station comes to the other outlets the scales cannot tell. */
  if (!self->scales.alike)
    return TRUE;
  for (guint k = 0; k < self->n_listed && used != all; k++)
    {
      const DwnRow *row = dwn_search_row_at (self, self->list[k].first);

      if (self->station[row->j])
        used |= dwn_scales_strongest (&self->scales, row, configuration);
    }
  return used == all;
}

/* Might each of the first @n antennas bring something, wherever it looks within its block? */
gboolean
dwn_candidate_may_use_all (const DwnSearch *self, guint n, const guint *block)
{
  guint all = (1u << n) - 1, used = 0;

  if (!self->scales.alike)
    return TRUE;
  for (guint k = 0; k < self->n_listed && used != all; k++)
    used |= dwn_scales_strongest_in (&self->scales, dwn_search_row_at (self, self->list[k].first), n, block);
  return used == all;
}

/* The judge's word. */
void
dwn_candidate_ask (DwnSearch *self, const guint *configuration)
{
  DwnMerit merit;
  int by_held;

  dwn_judge_ask (&self->judge, configuration, &merit);
  if (dwn_goal_level (self->goal, merit.must, merit.like) < self->least
      || (self->least > 0 && self->judge.antennas != dwn_scales_all (&self->scales)))
    return;
  by_held = self->best->rig == NULL ? 1 : dwn_candidate_compare_held (&merit, &self->best->merit);
  if (by_held < 0)
    return;
  if (by_held == 0)
    {
      dwn_judge_complete (&self->judge, &merit);
      if (dwn_merit_compare (&merit, &self->best->merit) <= 0)
        return;
    }
  self->best->rig = self->rig;
  self->best->complete = by_held == 0;
  self->best->merit = merit;
  memcpy (self->best->configuration, configuration, sizeof self->best->configuration);
  self->improved |= by_held > 0;
}

