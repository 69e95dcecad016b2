/* The exact search over the candidates of one rig.
 *
 * Three questions in turn: can more be held; as much with a greater weakest margin; as much at that
 * margin with what decides between equals. For each, configurations are grouped by what they might
 * hold (for the later two: with the margin asked for), and only combinations of groups that together
 * might hold enough are looked into. */
#include "core/study/advice-search.h"

#include <string.h>

/* Candidates are looked at between two looks whether the search was cancelled. */
#define PATIENCE 4096

static gboolean
is_allowed (const DwnSearch *self, const guint *configuration)
{
  guint antenna[DWN_RUNG_ANTENNAS];

  for (guint a = 0; a < self->rig->n; a++)
    antenna[a] = configuration[a] / self->side[a].n_aims;
  return self->rig->rig_of[dwn_tuple_index (&self->advisor->armoury, self->rig->n, antenna)]
         == self->rig->number;
}

static gboolean
is_cancelled (DwnSearch *self)
{
  if (++self->looks % PATIENCE == 0)
    self->cancelled |= g_cancellable_is_cancelled (self->advisor->cancellable);
  return self->cancelled;
}

/* Combinations of groups */

static void
consider (DwnSearch *self, const guint *configuration)
{
  guint need = dwn_search_need_level (self);
  DwnMerit merit;

  if (need <= self->level && is_allowed (self, configuration)
      && dwn_candidate_weigh (self, configuration, need, &merit)
      && (self->least == 0 || dwn_candidate_uses_all (self, configuration))
      && dwn_candidate_can_win (self, configuration, &merit))
    dwn_candidate_ask (self, configuration);
}

/* Between equals, where all has to be held: what is known before weighing. */
static gboolean
may_win (DwnSearch *self, const guint *configuration, const guint *widest)
{
  DwnMerit most = self->best->merit;

  if (self->level > dwn_search_best_level (self))
    return TRUE;
  most.window_deg = 360;
  for (guint a = 0; a < self->rig->n; a++)
    most.window_deg = MIN (most.window_deg, widest[a]);
  if (most.window_deg < self->best->merit.window_deg)
    return FALSE;
  most.extras = dwn_candidate_most_extras (self, configuration);
  most.cost = dwn_rig_cost (self->advisor, self->rig, configuration);
  return dwn_candidate_is_better (self, &most);
}

typedef double (*Weigh) (const DwnSearch *self, const DwnListed *listed, guint antennas, const guint *at,
                         guint64 dead);

/* Does what only the first @n antennas can bring fail already, by @weigh where they stand? */
static gboolean
fails (DwnSearch *self, guint n, const guint *at, Weigh weigh)
{
  guint need = dwn_search_need_level (self), antennas = (1u << n) - 1;
  guint spare = self->level - MIN (need, self->level);

  if (need > self->level)
    return TRUE;
  for (guint k = 0; k < self->n_listed; k++)
    {
      const DwnListed *listed = &self->list[k];

      if (listed->weight == 0 || (listed->brought_by & ~antennas) != 0
          || (dwn_search_row_at (self, listed->first)->helped && n < self->rig->n))
        continue;
      double ratio = weigh (self, listed, antennas, at, 0);
      if (ratio > 0.0 && ratio >= self->least_ratio)
        continue;
      if (listed->weight > spare)
        {
          dwn_search_move_up (self, k);
          return TRUE;
        }
      spare -= listed->weight;
    }
  return FALSE;
}

/* The members of one run for each antenna. */
static void
look_into (DwnSearch *self, guint a, const DwnRun *const *run, guint *configuration, guint *widest)
{
  for (guint k = run[a]->first; k < run[a]->first + run[a]->n && !self->improved && !is_cancelled (self); k++)
    {
      configuration[a] = self->member[a][k];
      widest[a] = self->widest[a][k];
      if (a == 1 && self->rig->n > 2 && fails (self, 2, configuration, dwn_candidate_weigh_station))
        continue;
      if (a + 1 < self->rig->n)
        look_into (self, a + 1, run, configuration, widest);
      else if (self->question != DWN_QUESTION_EQUALS || may_win (self, configuration, widest))
        consider (self, configuration);
    }
}

/* Of what all groups might hold together, what none but group @a's might; with whatever margin, for
 * an antenna that is turned has only to hold. */
static void
find_own (const DwnSearch *self, const DwnGroup *const *group, guint a, guint64 *own)
{
  memcpy (own, self->all, self->goal->n_words * sizeof *own);
  for (guint b = 0; b < self->rig->n; b++)
    for (guint k = 0; b != a && k < group[b]->n; k++)
      {
        guint configuration = self->grouping[b].order[group[b]->first + k];

        for (guint w = 0; w < self->goal->n_words; w++)
          own[w] &= ~dwn_side_holds (&self->side[b], configuration)[w];
      }
}

/* Blocks of aims for one antenna after another, as long as they might do together. */
static void
look_around (DwnSearch *self, guint a, const DwnRun **run, guint *block)
{
  guint configuration[DWN_RUNG_ANTENNAS] = { 0 }, widest[DWN_RUNG_ANTENNAS] = { 0 };

  for (guint r = 0; r < self->n_runs[a] && !self->improved && !is_cancelled (self); r++)
    {
      run[a] = &self->run[a][r];
      block[a] = run[a]->block;
      if (a > 0 && (fails (self, a + 1, block, dwn_candidate_weigh_station_in)
                    || (self->least > 0 && !dwn_candidate_may_use_all (self, a + 1, block))))
        continue;
      if (a + 1 < self->rig->n)
        look_around (self, a + 1, run, block);
      else
        look_into (self, 0, run, configuration, widest);
    }
}

/* The members of a group stand in the order of their configurations, hence of their blocks. */
static void
find_runs (DwnSearch *self, guint a)
{
  self->n_runs[a] = 0;
  for (guint k = 0; k < self->n_members[a]; k++)
    {
      guint block = dwn_rig_block (self->advisor, self->rig, a, self->member[a][k]);
      DwnRun *last = self->n_runs[a] > 0 ? &self->run[a][self->n_runs[a] - 1] : NULL;

      if (last != NULL && last->block == block)
        last->n++;
      else
        self->run[a][self->n_runs[a]++] = (DwnRun) { block, k, 1 };
    }
}

/* The configurations of a group; between equals (@own is then not NULL) only those that can turn far
 * enough. They stand in their order, hence antenna by antenna. */
static void
gather_members_of (DwnSearch *self, const DwnGroup *group, guint a, const guint64 *own)
{
  guint n_aims = self->side[a].n_aims, known = G_MAXUINT;
  g_autofree guint *turn_deg = g_new (guint, n_aims);

  self->n_members[a] = 0;
  for (guint k = 0; k < group->n; k++)
    {
      guint configuration = self->grouping[a].order[group->first + k], antenna = configuration / n_aims;

      if (own != NULL && antenna != known)
        dwn_candidate_turns_deg (self, a, antenna, own, turn_deg);
      known = antenna;
      guint widest = own != NULL ? turn_deg[configuration % n_aims] : 360;
      if (own != NULL && widest < self->best->merit.window_deg)
        continue;
      self->member[a][self->n_members[a]] = configuration;
      self->widest[a][self->n_members[a]++] = widest;
    }
}

static void
gather_members (DwnSearch *self, const DwnGroup *const *group)
{
  gboolean choosy = self->question == DWN_QUESTION_EQUALS && self->level == dwn_search_best_level (self);

  for (guint a = 0; a < self->rig->n; a++)
    {
      if (choosy)
        find_own (self, group, a, self->passing);
      gather_members_of (self, group[a], a, choosy ? self->passing : NULL);
      find_runs (self, a);
    }
}

/* Which antennas might bring each of the listed stations, at these groups. */
static void
note_who_brings (DwnSearch *self, const DwnGroup *const *group)
{
  for (guint k = 0; k < self->n_listed; k++)
    {
      DwnListed *listed = &self->list[k];
      const guint64 *carried = dwn_search_carried_by (self, dwn_search_row_at (self, listed->first));

      for (guint a = 0; a < self->rig->n; a++)
        for (guint w = 0; w < self->goal->n_words; w++)
          if ((carried[w] & group[a]->holds[w]) != 0)
            listed->brought_by |= 1u << a;
    }
}

static void
visit (DwnSearch *self, const DwnGroup *const *group)
{
  const DwnRun *run[DWN_RUNG_ANTENNAS];
  guint block[DWN_RUNG_ANTENNAS] = { 0 };

  memcpy (self->all, &self->joined[(gsize) (self->rig->n - 1) * self->goal->n_words],
          self->goal->n_words * sizeof *self->all);
  self->level = dwn_level_of_set (self->goal, self->all);
  gather_members (self, group);
  for (guint a = 0; a < self->rig->n; a++)
    if (self->n_members[a] == 0)
      return;
  dwn_search_list_stations (self);
  note_who_brings (self, group);
  look_around (self, 0, run, block);
}

/* Which combinations are visited: those that might hold low to high; and the largest level below
 * that, not under @need, that occurs. */
typedef struct {
  guint low, high, need, next;
} Range;

static void
combine (DwnSearch *self, guint a, const DwnGroup **group, Range *range)
{
  guint n_words = self->goal->n_words, rest = 0;
  guint64 *joined = &self->joined[(gsize) a * n_words];
  guint before = a > 0 ? dwn_level_of_set (self->goal, joined - n_words) : 0;

  for (guint b = a + 1; b < self->rig->n; b++)
    rest += self->grouping[b].n > 0 ? self->grouping[b].group[0].level : 0;
  for (guint g = 0; g < self->grouping[a].n; g++)
    {
      group[a] = &self->grouping[a].group[g];
      /* One more antenna is there to bring something. */
      if (self->least > 0 && group[a]->level == 0)
        return;
      if (before + group[a]->level + rest < range->need || self->improved || is_cancelled (self))
        return;
      for (guint w = 0; w < n_words; w++)
        joined[w] = group[a]->holds[w] | (a > 0 ? (joined - n_words)[w] : 0);
      guint level = dwn_level_of_set (self->goal, joined);
      if (level + rest < range->need)
        continue;
      if (a + 1 < self->rig->n)
        combine (self, a + 1, group, range);
      else if (level < range->low)
        range->next = MAX (range->next, level);
      else if (level <= range->high)
        visit (self, group);
    }
}

static void
group_by (DwnSearch *self, double least_ratio)
{
  self->least_ratio = least_ratio;
  for (guint a = 0; a < self->rig->n; a++)
    {
      dwn_grouping_clear (&self->grouping[a]);
      dwn_grouping_init (&self->grouping[a], &self->side[a], &self->scales, least_ratio);
    }
}

/* Can more be held? From what might hold most downwards. */
static void
seek_more (DwnSearch *self)
{
  const DwnGroup *group[DWN_RUNG_ANTENNAS];
  Range range = { .low = G_MAXUINT };

  self->question = DWN_QUESTION_HOLDS;
  do
    {
      range.need = dwn_search_need_level (self);
      range.next = 0;
      combine (self, 0, group, &range);
      range.low = range.high = range.next;
      self->improved = FALSE;
    }
  while (range.next > 0 && range.next >= dwn_search_need_level (self) && !self->cancelled);
}

static double
ratio_of_half_db (int half_db)
{
  return exp (half_db * 0.5 * (G_LN10 / 10.0)) * (1.0 - DWN_SCALES_SLACK);
}

/* As much with a greater weakest margin? */
static void
seek_margin (DwnSearch *self)
{
  const DwnGroup *group[DWN_RUNG_ANTENNAS];

  self->question = DWN_QUESTION_MARGIN;
  do
    {
      guint need = dwn_search_need_level (self);
      Range range = { .low = need, .high = G_MAXUINT, .need = need };

      self->improved = FALSE;
      group_by (self, ratio_of_half_db (self->best->merit.half_db + 1));
      combine (self, 0, group, &range);
    }
  while (self->improved && !self->cancelled);
}

static void
seek_between_equals (DwnSearch *self)
{
  const DwnGroup *group[DWN_RUNG_ANTENNAS];
  guint need = dwn_search_need_level (self);
  Range range = { .low = need, .high = G_MAXUINT, .need = need };

  self->question = DWN_QUESTION_EQUALS;
  dwn_search_complete_best (self);
  group_by (self, ratio_of_half_db (self->best->merit.half_db));
  combine (self, 0, group, &range);
}

/* A start */

static void
expect_everything (DwnSearch *self)
{
  memset (self->all, 0xff, self->goal->n_words * sizeof *self->all);
  dwn_search_list_stations (self);
  self->level = 0;
  for (guint b = 0; b < self->goal->n; b++)
    self->level += b < self->goal->n_must ? self->goal->n + 1 : 1;
}

/* For each antenna the configuration that adds most to what those before might hold. FALSE where
 * these antennas do not go together. */
static gboolean
find_greedy (DwnSearch *self, guint *configuration)
{
  guint n_words = self->goal->n_words;
  guint64 *sofar = self->joined, *both = self->passing;

  memset (sofar, 0, n_words * sizeof *sofar);
  for (guint a = 0; a < self->rig->n; a++)
    {
      guint most = 0;

      configuration[a] = self->grouping[a].n > 0 ? self->grouping[a].order[0] : 0;
      for (guint g = 0; g < self->grouping[a].n; g++)
        {
          const DwnGroup *group = &self->grouping[a].group[g];

          for (guint w = 0; w < n_words; w++)
            both[w] = sofar[w] | group->holds[w];
          guint level = dwn_level_of_set (self->goal, both);
          if (level <= most)
            continue;
          most = level;
          configuration[a] = self->grouping[a].order[group->first + group->n / 2];
        }
      for (guint w = 0; w < n_words; w++)
        sofar[w] |= dwn_side_holds (&self->side[a], configuration[a])[w];
    }
  return is_allowed (self, configuration);
}

static gboolean
find_any (const DwnSearch *self, guint *configuration)
{
  guint many = self->advisor->armoury.n;
  gsize size = 1;

  for (guint a = 0; a < self->rig->n; a++)
    size *= many;
  for (gsize at = 0; at < size; at++)
    if (self->rig->rig_of[at] == self->rig->number)
      {
        gsize left = at;
        for (guint a = self->rig->n; a-- > 0; left /= many)
          configuration[a] = (guint) (left % many) * self->side[a].n_aims;
        return TRUE;
      }
  return FALSE;
}

/* Turns and changes antenna @a alone for the better. */
static gboolean
improve_one (DwnSearch *self, guint a, guint *configuration, DwnMerit *merit)
{
  guint best = configuration[a];
  guint64 *partners = self->passing;

  memset (partners, 0, self->goal->n_words * sizeof *partners);
  for (guint b = 0; b < self->rig->n; b++)
    for (guint w = 0; b != a && w < self->goal->n_words; w++)
      partners[w] |= dwn_side_holds (&self->side[b], configuration[b])[w];
  for (guint g = 0; g < self->grouping[a].n && !self->cancelled; g++)
    {
      const DwnGroup *group = &self->grouping[a].group[g];
      guint need = dwn_goal_level (self->goal, merit->must, merit->like);

      for (guint w = 0; w < self->goal->n_words; w++)
        self->joined[w] = partners[w] | group->holds[w];
      for (guint k = 0; dwn_level_of_set (self->goal, self->joined) >= need && k < group->n; k++)
        {
          DwnMerit here;

          configuration[a] = self->grouping[a].order[group->first + k];
          if (is_cancelled (self) || !is_allowed (self, configuration)
              || !dwn_candidate_weigh (self, configuration, need, &here) || dwn_candidate_compare_held (&here, merit) <= 0)
            continue;
          *merit = here;
          best = configuration[a];
          need = dwn_goal_level (self->goal, merit->must, merit->like);
        }
    }
  gboolean changed = best != configuration[a];
  configuration[a] = best;
  return changed;
}

/* A good candidate early spares looking into many: from a guess uphill, an antenna at a time. */
static void
find_start (DwnSearch *self)
{
  guint configuration[DWN_RUNG_ANTENNAS] = { 0 };
  DwnMerit merit = { .half_db = G_MININT };
  gboolean changed = TRUE;

  if (!find_greedy (self, configuration) && !find_any (self, configuration))
    return;
  self->least_ratio = 0.0;
  expect_everything (self);
  for (guint round = 0; round < 3 && changed; round++)
    {
      changed = FALSE;
      for (guint a = 0; a < self->rig->n; a++)
        changed |= improve_one (self, a, configuration, &merit);
    }
  if (merit.half_db > G_MININT)
    dwn_candidate_ask (self, configuration);
  self->improved = FALSE;
}

/* Nothing can be held: what comes nearest, an antenna at a time. */

static double
nearest (DwnSearch *self, const guint *configuration)
{
  guint64 dead = dwn_candidate_dead_sinks (self, configuration);
  double most = -(double) INFINITY;

  for (guint r = 0; r < self->scales.rows->len; r++)
    if ((dead >> dwn_search_row_at (self, r)->sink & 1) == 0)
      most = fmax (most, dwn_scales_deviates (&self->scales, dwn_search_row_at (self, r), configuration));
  return most;
}

static void
find_nearest (DwnSearch *self)
{
  guint configuration[DWN_RUNG_ANTENNAS] = { 0 }, best[DWN_RUNG_ANTENNAS];
  double most = -(double) INFINITY;

  if (!find_any (self, configuration))
    return;
  memcpy (best, configuration, sizeof best);
  for (guint a = 0; a < self->rig->n; a++)
    {
      for (guint c = 0; c < self->side[a].n && !self->cancelled; c++)
        {
          configuration[a] = c;
          if (is_cancelled (self) || !is_allowed (self, configuration))
            continue;
          double here = nearest (self, configuration);
          if (here <= most)
            continue;
          most = here;
          memcpy (best, configuration, sizeof best);
        }
      memcpy (configuration, best, sizeof configuration);
    }
  dwn_candidate_ask (self, best);
}

/* Which services does some single configuration hold? */
static void
find_reached (DwnSearch *self, guint64 *reached)
{
  for (guint c = 0; c < self->side[0].n && !self->cancelled; c++)
    {
      gboolean news = FALSE;
      DwnMerit merit;

      for (guint w = 0; w < self->goal->n_words; w++)
        news |= (dwn_side_holds (&self->side[0], c)[w] & ~reached[w]) != 0;
      if (!news || is_cancelled (self))
        continue;
      dwn_judge_ask (&self->judge, &c, &merit);
      for (guint w = 0; w < self->goal->n_words; w++)
        reached[w] |= self->judge.held[w];
    }
}

static void
search_init (DwnSearch *self, const DwnAdvisor *advisor, DwnRig *rig, guint least, DwnBest *best)
{
  const DwnGoal *goal = &advisor->goal;

  *self = (DwnSearch) { .advisor = advisor, .goal = goal, .rig = rig, .best = best, .least = least };
  dwn_scales_init (&self->scales, advisor, rig);
  for (guint a = 0; a < rig->n; a++)
    {
      dwn_side_init (&self->side[a], &self->scales, a);
      dwn_grouping_init (&self->grouping[a], &self->side[a], &self->scales, 0.0);
      self->member[a] = g_new (guint, self->side[a].n + 1);
      self->widest[a] = g_new (guint, self->side[a].n + 1);
      self->run[a] = g_new (DwnRun, self->side[a].n + 1);
    }
  dwn_judge_init (&self->judge, advisor, rig);
  self->all = g_new0 (guint64, goal->n_words);
  self->held = g_new0 (guint64, goal->n_words);
  self->passing = g_new0 (guint64, goal->n_words);
  self->extras = g_new0 (guint64, goal->n_extra_words);
  self->joined = g_new0 (guint64, (gsize) rig->n * goal->n_words);
  self->list = g_new0 (DwnListed, self->scales.rows->len + 1);
  self->service = g_new0 (double, goal->n + 1);
  self->station = g_new0 (gboolean, goal->n_stations + 1);
  self->keep = g_new0 (gboolean, goal->n_stations + 1);
}

static void
search_clear (DwnSearch *self)
{
  for (guint a = 0; a < self->rig->n; a++)
    {
      dwn_side_clear (&self->side[a]);
      dwn_grouping_clear (&self->grouping[a]);
      g_free (self->member[a]);
      g_free (self->widest[a]);
      g_free (self->run[a]);
    }
  dwn_judge_clear (&self->judge);
  dwn_scales_clear (&self->scales);
  g_free (self->all);
  g_free (self->held);
  g_free (self->passing);
  g_free (self->extras);
  g_free (self->joined);
  g_free (self->list);
  g_free (self->service);
  g_free (self->station);
  g_free (self->keep);
}

/* Could all antennas together, each where it is best for every service, hold enough? */
static gboolean
is_hopeful (DwnSearch *self)
{
  memset (self->joined, 0, self->goal->n_words * sizeof *self->joined);
  for (guint a = 0; a < self->rig->n; a++)
    for (guint g = 0; g < self->grouping[a].n; g++)
      for (guint w = 0; w < self->goal->n_words; w++)
        self->joined[w] |= self->grouping[a].group[g].holds[w];
  return self->least == 0 || dwn_level_of_set (self->goal, self->joined) >= self->least;
}

static void
seek (DwnSearch *self)
{
  if (!is_hopeful (self))
    return;
  if (self->best->rig == NULL && self->least == 0)
    find_start (self);
  seek_more (self);
  if (self->best->rig == NULL && self->least == 0)
    find_nearest (self);
  if (dwn_search_best_level (self) == 0 || self->cancelled)
    return;
  seek_margin (self);
  seek_between_equals (self);
}

void
dwn_best_clear (DwnBest *best)
{
  g_clear_pointer (&best->rig, dwn_rig_free);
}

gboolean
dwn_rig_search (const DwnAdvisor *advisor, DwnRig **rig, guint least, DwnBest *best,
                guint64 *reached, GError **error)
{
  DwnRig *before = best->rig;
  DwnSearch search;

  if (g_cancellable_set_error_if_cancelled (advisor->cancellable, error))
    return FALSE;
  search_init (&search, advisor, *rig, least, best);
  seek (&search);
  if (best->rig == search.rig)
    dwn_search_complete_best (&search);
  if (reached != NULL && search.rig->n == 1)
    find_reached (&search, reached);
  search_clear (&search);
  if (best->rig != before)
    {
      g_clear_pointer (&before, dwn_rig_free);
      *rig = NULL;
    }
  return !g_cancellable_set_error_if_cancelled (advisor->cancellable, error);
}
