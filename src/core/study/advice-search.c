/* The exact search over the candidates of one rig. Configurations that might hold the same services
 * form a group; groups, or pairs of groups, are visited from those that might hold most downwards,
 * until what they might hold is less than what the best candidate does. */
#include "core/study/advice-bounds.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  guint first, n;     /* in the order of its antenna */
  const guint64 *holds;
} Group;

typedef struct {
  guint n_groups;
  Group *group;
  guint *order;       /* places in the bounds, group by group */
  guint64 *firm;      /* [bounds->n][n_words]: services at not less than the best's weakest margin */
} Side;

typedef struct {
  const DwnAdvisor *advisor;
  const DwnRig *rig;
  DwnBest *best;
  DwnBounds bounds[DWN_RUNG_ANTENNAS];
  DwnBounder *bounder;
  Side side[DWN_RUNG_ANTENNAS];
  gboolean *allowed;  /* [armoury.n][armoury.n]: pairs that the rig takes */
  int firm_half_db;   /* for which firm was worked out */
  DwnJudge judge;
} Search;

static const guint64 *
holds_at (const DwnBounds *bounds, guint place)
{
  return &bounds->holds[(gsize) place * bounds->n_words];
}

static int
compare_places (gconstpointer a, gconstpointer b, gpointer data)
{
  const DwnBounds *bounds = data;
  guint x = *(const guint *) a, y = *(const guint *) b;

  for (guint w = 0; w < bounds->n_words; w++)
    {
      guint64 p = holds_at (bounds, x)[w], q = holds_at (bounds, y)[w];
      if (p != q)
        return p > q ? 1 : -1;
    }
  return (x > y) - (x < y);
}

static void
side_init (Side *side, const DwnBounds *bounds)
{
  side->order = g_new (guint, bounds->n + 1);
  side->group = g_new (Group, bounds->n + 1);
  side->firm = g_new0 (guint64, (gsize) bounds->n * bounds->n_words + 1);
  for (guint c = 0; c < bounds->n; c++)
    side->order[c] = c;
  g_qsort_with_data (side->order, (gint) bounds->n, sizeof *side->order, compare_places,
                     (gpointer) bounds);
  for (guint c = 0; c < bounds->n; c++)
    {
      const guint64 *holds = holds_at (bounds, side->order[c]);
      Group *last = side->n_groups > 0 ? &side->group[side->n_groups - 1] : NULL;

      if (last != NULL && memcmp (last->holds, holds, bounds->n_words * sizeof *holds) == 0)
        last->n++;
      else
        side->group[side->n_groups++] = (Group) { c, 1, holds };
    }
}

static void
side_clear (Side *side)
{
  g_free (side->order);
  g_free (side->group);
  g_free (side->firm);
}

static double
weakest_wanted_db (const DwnBest *best)
{
  return best->rig == NULL ? -(double) INFINITY : 0.5 * best->merit.half_db;
}

/* Which services each configuration might hold with the best candidate's weakest margin. */
static void
find_firm (Search *self)
{
  float least = (float) weakest_wanted_db (self->best);

  self->firm_half_db = self->best->merit.half_db;
  for (guint a = 0; a < self->rig->n; a++)
    {
      const DwnBounds *bounds = &self->bounds[a];
      for (gsize c = 0; c < bounds->n; c++)
        {
          guint64 *firm = &self->side[a].firm[c * bounds->n_words];

          memset (firm, 0, bounds->n_words * sizeof *firm);
          for (guint b = 0; b < bounds->n_services; b++)
            if (bounds->margin_db[c * bounds->n_services + b] >= least)
              firm[b / 64] |= G_GUINT64_CONSTANT (1) << b % 64;
        }
    }
}

/* Places of a candidate's configurations among the bounds. */
typedef struct {
  guint place[DWN_RUNG_ANTENNAS];
} Candidate;

typedef struct {
  guint must, like;
} Count;

static Count
count_sets (const DwnGoal *goal, const guint64 *const *sets, guint n)
{
  Count count = { 0, 0 };

  for (guint w = 0; w < goal->n_words; w++)
    {
      guint64 all = sets[0][w];

      for (guint k = 1; k < n; k++)
        all |= sets[k][w];
      count.must += dwn_bits (all & goal->must_mask[w]);
      count.like += dwn_bits (all & ~goal->must_mask[w]);
    }
  return count;
}

/* Most first: an order of counts in one number. */
static guint
level_of (const DwnGoal *goal, Count count)
{
  return count.must * (goal->n + 1) + count.like;
}

static guint
level_of_best (const Search *self)
{
  const DwnMerit *merit = &self->best->merit;

  return self->best->rig == NULL ? 0
         : level_of (&self->advisor->goal, (Count) { merit->must, merit->like });
}

/* Most that the weakest of the services @all may have. */
static double
most_weakest_db (const Search *self, const Candidate *candidate, const guint64 *all)
{
  double weakest = (double) INFINITY;

  for (guint b = 0; b < self->advisor->goal.n; b++)
    {
      double most = -(double) INFINITY;

      if ((all[b / 64] >> b % 64 & 1) == 0)
        continue;
      for (guint a = 0; a < self->rig->n; a++)
        most = fmax (most, (double) self->bounds[a].margin_db[(gsize) candidate->place[a]
                                                              * self->bounds[a].n_services + b]);
      weakest = fmin (weakest, most);
    }
  return weakest;
}

/* Might antenna @a at @configuration, with the others as they are, still hold @all? */
static gboolean
might_keep (const Search *self, const Candidate *candidate, guint a, guint configuration,
            const guint64 *all)
{
  for (guint w = 0; w < self->advisor->goal.n_words; w++)
    {
      guint64 held = holds_at (&self->bounds[a], (guint) self->bounds[a].place[configuration])[w];

      for (guint b = 0; b < self->rig->n; b++)
        held |= b == a ? 0 : holds_at (&self->bounds[b], candidate->place[b])[w];
      if ((all[w] & ~held) != 0)
        return FALSE;
    }
  return TRUE;
}

static guint
widest_turn (const Search *self, const Candidate *candidate, guint a, const guint64 *all)
{
  guint own = self->bounds[a].configuration[candidate->place[a]];
  guint first = own / DWN_N_AIMS * DWN_N_AIMS, aim = own % DWN_N_AIMS, right = 0, left = 0;

  while (right < DWN_N_AIMS - 1
         && might_keep (self, candidate, a, first + (aim + right + 1) % DWN_N_AIMS, all))
    right++;
  while (right + left < DWN_N_AIMS - 1
         && might_keep (self, candidate, a, first + (aim + DWN_N_AIMS - left - 1) % DWN_N_AIMS, all))
    left++;
  return right + left + 1;
}

static guint
most_extras (const Search *self, const Candidate *candidate)
{
  const DwnGoal *goal = &self->advisor->goal;
  guint count = 0;

  for (guint w = 0; w < goal->n_extra_words; w++)
    {
      guint64 all = 0;

      for (guint a = 0; a < self->rig->n; a++)
        all |= dwn_bounder_extras (self->bounder, a, candidate->place[a])[w];
      count += dwn_bits (all);
    }
  return count;
}

/* The merit that a candidate has at most where it holds all of @all and no less would do. */
static DwnMerit
most_merit (const Search *self, const Candidate *candidate, const guint64 *all, Count count)
{
  const DwnMerit *best = &self->best->merit;
  DwnMerit merit = { .must = count.must, .like = count.like };
  guint configuration[DWN_RUNG_ANTENNAS];

  merit.margin_db = most_weakest_db (self, candidate, all);
  merit.half_db = (int) floor (2.0 * merit.margin_db);
  merit.window_deg = DWN_N_AIMS;
  if (merit.half_db != best->half_db)
    return merit;
  for (guint a = 0; a < self->rig->n; a++)
    {
      configuration[a] = self->bounds[a].configuration[candidate->place[a]];
      merit.window_deg = MIN (merit.window_deg, widest_turn (self, candidate, a, all));
    }
  merit.extras = merit.window_deg == best->window_deg ? most_extras (self, candidate) : 0;
  merit.cost = dwn_rig_cost (self->advisor, self->rig, configuration);
  return merit;
}

static void
ask (Search *self, const Candidate *candidate)
{
  guint configuration[DWN_RUNG_ANTENNAS] = { 0 };
  DwnMerit merit;

  for (guint a = 0; a < self->rig->n; a++)
    configuration[a] = self->bounds[a].configuration[candidate->place[a]];
  dwn_judge_ask (&self->judge, configuration, &merit);
  if (self->best->rig != NULL)
    {
      DwnMerit rest = self->best->merit, so_far = merit;
      rest.window_deg = so_far.window_deg = 0;
      rest.extras = so_far.extras = 0;
      rest.cost = so_far.cost = rest.margin_db = so_far.margin_db = 0.0;
      if (dwn_merit_compare (&so_far, &rest) < 0)
        return;
    }
  dwn_judge_complete (&self->judge, &merit);
  if (self->best->rig != NULL && dwn_merit_compare (&merit, &self->best->merit) <= 0)
    return;
  self->best->rig = self->rig;
  self->best->merit = merit;
  memcpy (self->best->configuration, configuration, sizeof configuration);
  if (merit.half_db != self->firm_half_db)
    find_firm (self);
}

/* Asks unless what is known of it already says that it cannot be better. */
static void
consider (Search *self, const Candidate *candidate, const guint64 *const *holds,
          const guint64 *const *firm)
{
  const DwnGoal *goal = &self->advisor->goal;
  Count count = count_sets (goal, holds, self->rig->n);

  if (self->best->rig != NULL && count.must + count.like > 0
      && level_of (goal, count) == level_of_best (self))
    {
      Count reach = count_sets (goal, firm, self->rig->n);
      if (reach.must < count.must || reach.like < count.like)
        return;
      g_autofree guint64 *all = g_new0 (guint64, goal->n_words);
      for (guint a = 0; a < self->rig->n; a++)
        for (guint w = 0; w < goal->n_words; w++)
          all[w] |= holds[a][w];
      DwnMerit most = most_merit (self, candidate, all, count);
      if (dwn_merit_compare (&most, &self->best->merit) <= 0)
        return;
    }
  ask (self, candidate);
}

static void
visit_group (Search *self, const Group *group)
{
  for (guint x = 0; x < group->n; x++)
    {
      Candidate candidate = { { self->side[0].order[group->first + x] } };
      const guint64 *firm = &self->side[0].firm[(gsize) candidate.place[0] * self->advisor->goal.n_words];

      consider (self, &candidate, &group->holds, &firm);
    }
}

static gboolean
is_allowed (const Search *self, const Candidate *candidate)
{
  guint first = self->bounds[0].configuration[candidate->place[0]] / DWN_N_AIMS;
  guint second = self->bounds[1].configuration[candidate->place[1]] / DWN_N_AIMS;

  return self->allowed[first * self->advisor->armoury.n + second];
}

static void
visit_pair (Search *self, const Group *p, const Group *q)
{
  guint n_words = self->advisor->goal.n_words;
  const guint64 *holds[] = { p->holds, q->holds };
  gboolean nothing = level_of (&self->advisor->goal, count_sets (&self->advisor->goal, holds, 2)) == 0;

  for (guint x = 0; x < p->n; x++)
    for (guint y = 0; y < q->n; y++)
      {
        /* Nothing can be held: then it does not matter which pair it is that does not. */
        if (nothing && self->best->rig != NULL)
          return;

        Candidate candidate = { { self->side[0].order[p->first + x], self->side[1].order[q->first + y] } };
        const guint64 *firm[] = { &self->side[0].firm[(gsize) candidate.place[0] * n_words],
                                  &self->side[1].firm[(gsize) candidate.place[1] * n_words] };

        if (is_allowed (self, &candidate))
          consider (self, &candidate, holds, firm);
      }
}

/* Calls visit_*() for all that might hold exactly @level, or only marks the levels that occur. */
static gboolean
visit_level (Search *self, guint level, gboolean *occurs, GError **error)
{
  const DwnGoal *goal = &self->advisor->goal;
  const Side *left = &self->side[0], *right = &self->side[1];

  for (guint p = 0; p < left->n_groups; p++)
    {
      if (g_cancellable_set_error_if_cancelled (self->advisor->cancellable, error))
        return FALSE;
      for (guint q = 0; q < (self->rig->n > 1 ? right->n_groups : 1); q++)
        {
          const guint64 *holds[] = { left->group[p].holds, self->rig->n > 1 ? right->group[q].holds : NULL };
          guint at = level_of (goal, count_sets (goal, holds, self->rig->n));

          if (occurs != NULL)
            occurs[at] = TRUE;
          else if (at == level && level == 0 && self->rig->n > 1 && self->best->rig != NULL)
            return TRUE;
          else if (at == level && self->rig->n > 1)
            visit_pair (self, &left->group[p], &right->group[q]);
          else if (at == level)
            visit_group (self, &left->group[p]);
        }
    }
  return TRUE;
}

static gboolean
visit_all (Search *self, GError **error)
{
  const DwnGoal *goal = &self->advisor->goal;
  guint n_levels = (goal->n + 1) * (goal->n + 1);
  g_autofree gboolean *occurs = g_new0 (gboolean, n_levels);

  if (!visit_level (self, 0, occurs, error))
    return FALSE;
  for (guint level = n_levels; level-- > 0;)
    if (occurs[level] && (self->best->rig == NULL || level >= level_of_best (self))
        && (level > 0 || self->rig->n == 1 || self->best->rig == NULL)
        && !visit_level (self, level, NULL, error))
      return FALSE;
  return TRUE;
}

/* Which services does some single configuration hold? */
static void
find_reached (Search *self, guint64 *reached)
{
  const DwnBounds *bounds = &self->bounds[0];

  for (guint c = 0; c < bounds->n; c++)
    {
      gboolean news = FALSE;
      DwnMerit merit;

      for (guint w = 0; w < bounds->n_words; w++)
        news |= (holds_at (bounds, c)[w] & ~reached[w]) != 0;
      if (!news)
        continue;
      dwn_judge_ask (&self->judge, &bounds->configuration[c], &merit);
      for (guint w = 0; w < bounds->n_words; w++)
        reached[w] |= self->judge.held[w];
    }
}

static void
search_init (Search *self, const DwnAdvisor *advisor, const DwnRig *rig, DwnBest *best)
{
  guint many = advisor->armoury.n;

  *self = (Search) { .advisor = advisor, .rig = rig, .best = best };
  self->bounder = dwn_bounder_new (advisor, rig, self->bounds);
  for (guint a = 0; a < rig->n; a++)
    side_init (&self->side[a], &self->bounds[a]);
  self->allowed = g_new0 (gboolean, (gsize) many * many);
  for (guint t = 0; t < rig->tuples->len; t++)
    {
      const DwnTuple *tuple = &g_array_index (rig->tuples, DwnTuple, t);
      self->allowed[tuple->antenna[0] * many + tuple->antenna[1]] = TRUE;
    }
  dwn_judge_init (&self->judge, advisor, rig);
  find_firm (self);
}

static void
search_clear (Search *self)
{
  for (guint a = 0; a < self->rig->n; a++)
    side_clear (&self->side[a]);
  dwn_bounder_free (self->bounder);
  g_free (self->allowed);
  dwn_judge_clear (&self->judge);
}

gboolean
dwn_rig_search (const DwnAdvisor *advisor, const DwnRig *rig, DwnBest *best, guint64 *reached,
                GError **error)
{
  Search search;

  search_init (&search, advisor, rig, best);
  gboolean done = visit_all (&search, error);
  if (done && reached != NULL && rig->n == 1)
    find_reached (&search, reached);
  search_clear (&search);
  return done;
}
