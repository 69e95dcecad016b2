/* How the rungs and their runners-up stand where the fields turn out otherwise: drawn from their
 * uncertainty, stations on one mast erring alike. */
#include "core/study/advice-private.h"

#include "core/radio/normal.h"

/* One draw: an error of the field for each mast, in its own σ. */
static void
draw_masts (GRand *rand, guint n, double *deviate)
{
  for (guint i = 0; i < n; i++)
    deviate[i] = dwn_normal_quantile (g_rand_double_range (rand, 1e-12, 1.0 - 1e-12));
}

/* What a rung holds up in this draw, most important first in one number. */
static guint
score (const DwnRung *rung, const DwnGoal *goal, const guint *mast, const double *deviate)
{
  const DwnBudget *budget = rung->budget;
  g_autofree guint64 *works = g_new0 (guint64, goal->n_words);
  guint must = 0, like = 0;

  for (guint j = 0; j < goal->n_stations; j++)
    {
      guint i = goal->station[j];
      const DwnReception *r = &budget->reception[(gsize) i * budget->n_outlets + budget->weakest[i]];

      if (r->margin_db + r->sigma_db * deviate[mast[i]] > 0.0)
        for (guint w = 0; w < goal->n_words; w++)
          works[w] |= goal->carried[(gsize) j * goal->n_words + w];
    }
  for (guint w = 0; w < goal->n_words; w++)
    {
      must += dwn_bits (works[w] & goal->must_mask[w]);
      like += dwn_bits (works[w] & ~goal->must_mask[w]);
    }
  return dwn_goal_level (goal, must, like);
}

/* Who takes part: every rung, and each with other antennas. */
static GPtrArray *
contestants_of (const DwnLadder *ladder)
{
  GPtrArray *contestants = g_ptr_array_new ();

  for (guint r = 0; r < ladder->n; r++)
    {
      g_ptr_array_add (contestants, (gpointer) &ladder->rung[r]);
      if (ladder->second != NULL && ladder->second[r].n_antennas > 0)
        g_ptr_array_add (contestants, (gpointer) &ladder->second[r]);
    }
  return contestants;
}

void
dwn_ladder_draw (DwnLadder *ladder, const DwnAdvisor *advisor, guint draws, guint32 seed)
{
  const DwnStations *stations = advisor->plan->stations;
  g_autoptr (GPtrArray) contestants = contestants_of (ladder);
  g_autofree guint *mast = dwn_masts (stations);
  g_autofree double *deviate = g_new (double, stations->n + 1);
  g_autofree guint *scores = g_new (guint, contestants->len);
  g_autofree guint *wins = g_new0 (guint, contestants->len);
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);

  for (guint d = 0; d < draws; d++)
    {
      guint highest = 0;

      draw_masts (rand, stations->n, deviate);
      for (guint c = 0; c < contestants->len; c++)
        {
          scores[c] = score (contestants->pdata[c], &advisor->goal, mast, deviate);
          highest = MAX (highest, scores[c]);
        }
      for (guint c = 0; c < contestants->len; c++)
        wins[c] += scores[c] == highest ? 1 : 0;
    }
  for (guint c = 0; c < contestants->len; c++)
    ((DwnRung *) contestants->pdata[c])->win_share = (double) wins[c] / draws;
}
