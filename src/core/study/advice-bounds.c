#include "core/study/advice-bounds.h"

#include <stdlib.h>
#include <string.h>

guint
dwn_level_of_set (const DwnGoal *goal, const guint64 *set)
{
  guint must = 0, like = 0;

  for (guint w = 0; w < goal->n_words; w++)
    {
      must += dwn_bits (set[w] & goal->must_mask[w]);
      like += dwn_bits (set[w] & ~goal->must_mask[w]);
    }
  return dwn_goal_level (goal, must, like);
}

/* What the partners of antenna @a do to a row at best. */
typedef struct {
  double noise_mw, help_mw;
} Partners;

static double
least_excess_mw (const DwnScales *scales, const DwnRow *row, guint b)
{
  const DwnAdvisor *advisor = scales->advisor;
  double least = (double) INFINITY;

  for (guint k = 0; k < advisor->armoury.n; k++)
    least = fmin (least, dwn_scales_excess_mw (scales, row, b,
                                               k * dwn_rig_n_aims (advisor, scales->rig, b)));
  return least;
}

static double
most_help_mw (const DwnScales *scales, const DwnRow *row, guint b)
{
  const DwnArmoury *armoury = &scales->advisor->armoury;
  const DwnOther *other = &g_array_index (scales->others, DwnOther, row->first_other);
  double sum = 0.0;

  for (guint k = 0; k < row->n_others; k++)
    {
      double most = 0.0;

      for (guint antenna = 0; other[k].helps && antenna < armoury->n; antenna++)
        {
          gsize at = (gsize) antenna * armoury->n_stations + other[k].i;

          most = fmax (most, armoury->most_line[at]);
          if (scales->rig->turns && b == 0)
            most = fmax (most, dwn_scales_line (scales, b, antenna, row->i, other[k].i));
        }
      sum += other[k].coef_mw[b] * most;
    }
  return sum;
}

static Partners
best_partners (const DwnScales *scales, const DwnRow *row, guint a)
{
  Partners partners = { 0.0, 0.0 };

  for (guint b = 0; b < scales->rig->n; b++)
    if (b != a)
      {
        partners.noise_mw += least_excess_mw (scales, row, b);
        partners.help_mw += row->helped ? most_help_mw (scales, row, b) : 0.0;
      }
  return partners;
}

/* Bounds */

/* One row at one antenna. */
typedef struct {
  DwnSide *side;
  const DwnScales *scales;
  guint a, r;
  const DwnRow *row;
  Partners partners;
  double least_line;     /* less is not held, whatever else */
} Bound;

static void
bound_configuration (const Bound *self, guint c)
{
  const DwnGoal *goal = &self->scales->advisor->goal;
  DwnSide *side = self->side;

  if (dwn_scales_line (self->scales, self->a, c, self->row->i, self->row->i) < self->least_line)
    return;
  double most = dwn_scales_most (self->scales, self->row, self->a, c, self->partners.noise_mw,
                                 self->partners.help_mw);
  if (!(most > 0.0))
    return;
  float ratio = (float) (most / self->row->needed * (1.0 + 1e-6));
  float *most_of = &side->most_of[(gsize) self->r * self->scales->advisor->armoury.n + c / side->n_aims];
  dwn_side_most (side, self->r)[c] = ratio;
  *most_of = MAX (*most_of, ratio);
  for (guint w = 0; w < side->n_words; w++)
    side->holds[(gsize) c * side->n_words + w] |= goal->carried[(gsize) self->row->j * goal->n_words + w];
}

/* Antenna @k: block by block of its aims, those that might do degree by degree. */
static void
bound_antenna (const Bound *self, guint k)
{
  guint n_aims = self->side->n_aims;

  for (guint aim = 0; aim < n_aims; aim += DWN_BLOCK_AIMS)
    {
      guint c = k * n_aims + aim;

      guint block = dwn_rig_block (self->scales->advisor, self->scales->rig, self->a, c);
      if (!self->row->helped && !(dwn_scales_weigh_block (self->scales, self->row, self->a, block) > 0.0))
        continue;
      for (guint end = c + MIN (DWN_BLOCK_AIMS, n_aims - aim); c < end; c++)
        bound_configuration (self, c);
    }
}

static void
bound_row (DwnSide *side, const DwnScales *scales, guint a, guint r)
{
  const DwnArmoury *armoury = &scales->advisor->armoury;
  const DwnRow *row = &g_array_index (scales->rows, DwnRow, r);
  Bound bound = { .side = side, .scales = scales, .a = a, .r = r, .row = row };
  gboolean turns = scales->rig->turns && a == 0;

  bound.partners = best_partners (scales, row, a);
  if (!row->helped) /* otherwise the partner may do without */
    {
      if (!(row->coef_mw[a] > 0.0))
        return;
      bound.least_line = row->never * (row->noise_mw + bound.partners.noise_mw) / row->coef_mw[a];
    }
  for (guint k = 0; k < armoury->n; k++)
    if (side->used[k]
        && (turns || armoury->most_line[(gsize) k * armoury->n_stations + row->i] >= bound.least_line))
      bound_antenna (&bound, k);
}

/* Takes from a configuration what it overloads by itself. */
static void
drop_overloaded (DwnSide *side, const DwnScales *scales, guint c, guint64 sinks)
{
  const DwnGoal *goal = &scales->advisor->goal;
  guint64 *holds = &side->holds[(gsize) c * side->n_words];

  memset (holds, 0, side->n_words * sizeof *holds);
  for (guint r = 0; r < side->n_rows; r++)
    {
      const DwnRow *row = &g_array_index (scales->rows, DwnRow, r);
      float *most = &dwn_side_most (side, r)[c];

      if ((sinks >> row->sink & 1) != 0)
        *most = 0.0f;
      for (guint w = 0; *most > 0.0f && w < side->n_words; w++)
        holds[w] |= goal->carried[(gsize) row->j * goal->n_words + w];
    }
}

static void
bound_overload (DwnSide *side, const DwnScales *scales, guint a)
{
  /* A rotator's depends on where it looks. */
  if (scales->rig->turns && a == 0)
    return;
  for (guint c = 0; scales->stages->len > 0 && c < side->n; c++)
    {
      guint64 sinks = 0;

      for (guint m = 0; m < scales->stages->len; m++)
        {
          const DwnLiveStage *stage = &g_array_index (scales->stages, DwnLiveStage, m);
          double mw = (double) stage->stage_mw[a][c];

          for (guint b = 0; b < scales->rig->n; b++)
            mw += b == a ? 0.0 : stage->least_mw[b];
          if (mw * (1.0 - DWN_SCALES_SLACK) > stage->limit_mw)
            sinks |= stage->sinks;
        }
      if (sinks != 0)
        drop_overloaded (side, scales, c, sinks);
    }
}

/* Groups */

static guint
hash_set (const guint64 *set, guint n_words)
{
  guint64 hash = 0;

  for (guint w = 0; w < n_words; w++)
    hash = (hash ^ set[w]) * G_GUINT64_CONSTANT (0x9e3779b97f4a7c15);
  return (guint) (hash >> 32);
}

/* Gives each set a group, in the order in which they first occur. group_of[c]: of a configuration
 * that is used. */
static guint *
find_groups (DwnGrouping *self, const DwnSide *side)
{
  guint size = 64;
  guint *group_of = g_new (guint, side->n + 1);

  while (size < 2 * side->n)
    size *= 2;
  g_autofree guint *slot = g_new0 (guint, size); /* 1 + a configuration with that set */
  for (guint c = 0; c < side->n; c++)
    {
      const guint64 *set = &self->holds[(gsize) c * side->n_words];
      guint at = hash_set (set, side->n_words) & (size - 1);

      if (!side->used[c / side->n_aims])
        continue;
      while (slot[at] != 0 && memcmp (&self->holds[(gsize) (slot[at] - 1) * side->n_words], set,
                                      side->n_words * sizeof *set) != 0)
        at = (at + 1) & (size - 1);
      if (slot[at] == 0)
        {
          slot[at] = c + 1;
          self->group[self->n].holds = set;
          group_of[c] = self->n++;
        }
      else
        group_of[c] = group_of[slot[at] - 1];
      self->group[group_of[c]].n++;
    }
  return group_of;
}

static int
compare_groups (const void *a, const void *b)
{
  const DwnGroup *x = a, *y = b;

  if (x->level != y->level)
    return x->level < y->level ? 1 : -1;
  return (x->first > y->first) - (x->first < y->first);
}

static void
fill_groups (DwnGrouping *self, const DwnSide *side, const DwnGoal *goal)
{
  g_autofree guint *group_of = find_groups (self, side);
  guint first = 0;

  for (guint g = 0; g < self->n; g++)
    {
      DwnGroup *group = &self->group[g];

      group->first = first;
      group->level = dwn_level_of_set (goal, group->holds);
      first += group->n;
      group->n = 0;
    }
  for (guint c = 0; c < side->n; c++)
    if (side->used[c / side->n_aims])
      {
        DwnGroup *group = &self->group[group_of[c]];
        self->order[group->first + group->n++] = c;
      }
  qsort (self->group, self->n, sizeof *self->group, compare_groups);
}

/* A row's services for the configurations of one antenna that might hold it with this much margin. */
static void
fill_firm_row (const DwnSide *side, guint k, guint r, const guint64 *carried, float least_ratio, guint64 *holds)
{
  const float *most = dwn_side_most (side, r);

  for (guint c = k * side->n_aims; c < (k + 1) * side->n_aims; c++)
    if (most[c] > 0.0f && most[c] >= least_ratio)
      for (guint w = 0; w < side->n_words; w++)
        holds[(gsize) c * side->n_words + w] |= carried[w];
}

/* What each configuration might hold with this much margin. */
static void
fill_firm (const DwnSide *side, const DwnScales *scales, float least_ratio, guint64 *holds)
{
  const DwnGoal *goal = &scales->advisor->goal;
  guint many = scales->advisor->armoury.n;

  for (guint r = 0; r < side->n_rows; r++)
    {
      const guint64 *carried =
        &goal->carried[(gsize) g_array_index (scales->rows, DwnRow, r).j * goal->n_words];

      for (guint k = 0; k < many; k++)
        if (side->most_of[(gsize) r * many + k] >= least_ratio)
          fill_firm_row (side, k, r, carried, least_ratio, holds);
    }
}

void
dwn_grouping_init (DwnGrouping *self, const DwnSide *side, const DwnScales *scales, double least_ratio)
{
  *self = (DwnGrouping) { 0 };
  self->group = g_new0 (DwnGroup, side->n + 1);
  self->order = g_new (guint, side->n + 1);
  self->holds = least_ratio > 0.0
                ? g_new0 (guint64, (gsize) side->n * side->n_words + 1)
                : g_memdup2 (side->holds, ((gsize) side->n * side->n_words + 1) * sizeof (guint64));
  if (least_ratio > 0.0)
    fill_firm (side, scales, (float) least_ratio, self->holds);
  fill_groups (self, side, &scales->advisor->goal);
}

void
dwn_grouping_clear (DwnGrouping *self)
{
  g_free (self->group);
  g_free (self->order);
  g_free (self->holds);
}

/* Sides */

static void
find_used (DwnSide *side, const DwnAdvisor *advisor, const DwnRig *rig, guint a)
{
  guint many = advisor->armoury.n;
  gsize size = 1, stride = 1;

  side->used = g_new0 (gboolean, many + 1);
  for (guint b = 0; b < rig->n; b++)
    size *= many;
  for (guint b = a + 1; b < rig->n; b++)
    stride *= many;
  for (gsize at = 0; at < size; at++)
    if (rig->rig_of[at] == rig->number)
      side->used[at / stride % many] = TRUE;
}

void
dwn_side_init (DwnSide *side, const DwnScales *scales, guint a)
{
  const DwnAdvisor *advisor = scales->advisor;

  *side = (DwnSide) { .n_words = advisor->goal.n_words, .n_rows = scales->rows->len };
  side->n_aims = dwn_rig_n_aims (advisor, scales->rig, a);
  side->n = advisor->armoury.n * side->n_aims;
  find_used (side, advisor, scales->rig, a);
  side->holds = g_new0 (guint64, (gsize) side->n * side->n_words + 1);
  side->most = g_new0 (float, (gsize) side->n * side->n_rows + 1);
  side->most_of = g_new0 (float, (gsize) advisor->armoury.n * side->n_rows + 1);
  side->extras = g_new0 (guint64, (gsize) side->n * advisor->goal.n_extra_words + 1);
  side->extras_known = g_new0 (gboolean, side->n + 1);
  for (guint r = 0; r < side->n_rows; r++)
    bound_row (side, scales, a, r);
  bound_overload (side, scales, a);
}

void
dwn_side_clear (DwnSide *side)
{
  g_free (side->used);
  g_free (side->holds);
  g_free (side->most);
  g_free (side->most_of);
  g_free (side->extras);
  g_free (side->extras_known);
}

const guint64 *
dwn_side_extras (DwnSide *side, const DwnScales *scales, guint a, guint configuration)
{
  const DwnGoal *goal = &scales->advisor->goal;
  guint64 *set = &side->extras[(gsize) configuration * goal->n_extra_words];

  for (guint r = 0; !side->extras_known[configuration] && r < scales->extra_rows->len; r++)
    {
      const DwnRow *row = &g_array_index (scales->extra_rows, DwnRow, r);
      /* A partner's share is not looked into: none of its noise counts, and all of its help. */
      gboolean might = row->helped || dwn_scales_most (scales, row, a, configuration, 0.0, 0.0) > 0.0;

      for (guint w = 0; might && w < goal->n_extra_words; w++)
        set[w] |= goal->extra_carried[(gsize) row->j * goal->n_extra_words + w];
    }
  side->extras_known[configuration] = TRUE;
  return set;
}
