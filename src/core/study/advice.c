#include "core/study/advice-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

typedef struct {
  DwnLadder ladder;
  guint *out_of_reach;
} LadderBox;

static const char *const reason_ids[] = { "simplest", "climbed", "holds-less", "holds-same",
                                          "small-gain", "only-liked", "one-direction", "trial",
                                          "nothing" };

const char *
dwn_reason_id (DwnReason reason)
{
  g_return_val_if_fail (reason < G_N_ELEMENTS (reason_ids), NULL);

  return reason_ids[reason];
}

/* Where a rung's antennas hang: as the plan's own, further ones a metre under the last. */
static void
hang_antennas (DwnAdvisor *advisor)
{
  const DwnChain *gear = advisor->plan->gear;

  for (guint a = 0; a < DWN_RUNG_ANTENNAS; a++)
    {
      const DwnPart *part = gear->n_antennas > 0
                            ? &gear->part[gear->antenna[MIN (a, gear->n_antennas - 1)]] : NULL;
      double last_m = a == 0 ? 0.0 : advisor->below_top_m[a - 1];

      advisor->below_top_m[a] = a == 0 ? 0.0 : last_m + 1.0;
      if (a < gear->n_antennas && !isnan (part->below_top_m))
        advisor->below_top_m[a] = part->below_top_m;
      advisor->polarisation[a] = part != NULL ? part->polarisation : DWN_POLARISATION_UNKNOWN;
    }
}

static void
advisor_clear (DwnAdvisor *advisor)
{
  for (guint n = 1; n <= DWN_RUNG_ANTENNAS; n++)
    {
      g_clear_pointer (&advisor->fields[n], dwn_fields_unref);
      g_free (advisor->choice[n]);
      g_free (advisor->shares->share[n - 1]);
      g_free (advisor->shares->block_share[n - 1]);
    }
  g_free (advisor->shares);
  dwn_goal_clear (&advisor->goal);
  dwn_armoury_clear (&advisor->armoury);
}

static guint
step_of (const DwnAdviceOptions *options)
{
  return options != NULL && options->step_deg > 0 && 360 % options->step_deg == 0
         ? options->step_deg : 1;
}

static gboolean
advisor_init (DwnAdvisor *advisor, const DwnPlan *plan, const DwnFields *fields,
              const DwnTables *tables, const DwnAdviceOptions *options, GCancellable *cancellable,
              GError **error)
{
  *advisor = (DwnAdvisor) { .plan = plan, .tables = tables, .cancellable = cancellable,
                            .shares = g_new0 (DwnShares, 1) };
  g_autoptr (GPtrArray) antennas = dwn_advice_antennas (plan, tables, options, error);

  if (antennas == NULL)
    return FALSE;
  hang_antennas (advisor);
  for (guint n = 1; n <= DWN_RUNG_ANTENNAS; n++)
    advisor->fields[n] = dwn_fields_at_heights (fields, plan, n, advisor->below_top_m);
  dwn_goal_init (&advisor->goal, plan);
  return dwn_armoury_init (&advisor->armoury, plan, fields, step_of (options), antennas->len,
                           (const DwnPattern *const *) antennas->pdata, cancellable, error);
}

/* The ways to wire this many antennas so.
 * Returns: (transfer full) (element-type DwnWire). */
static GArray *
wires_of (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n)
{
  const DwnWire wire = { .arrangement = arrangement, .n = n };
  GArray *wires;

  if (arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS)
    {
      wires = dwn_advisor_channel_wires (advisor);
      for (guint k = 0; k < wires->len; k++)
        g_array_index (wires, DwnWire, k).n = n;
      return wires;
    }
  wires = g_array_new (FALSE, FALSE, sizeof (DwnWire));
  g_array_append_val (wires, wire);
  return wires;
}

/* What is looked for of one arrangement. */
typedef struct {
  const DwnAdvisor *advisor;
  DwnArrangement arrangement;
  const DwnRung *barred; /* NULL: none; its antennas do not count */
  guint64 *reached;      /* NULL: not asked; otherwise as dwn_rig_search() has it */
} Quest;

/* FALSE with @error where cancelled. */
static gboolean
search (const Quest *quest, guint n, guint least, DwnBest *best, GError **error)
{
  g_autoptr (GArray) wires = wires_of (quest->advisor, quest->arrangement, n);
  gboolean done = TRUE;

  for (guint k = 0; k < wires->len && done; k++)
    {
      DwnRigs rigs;

      dwn_rigs_init (&rigs, quest->advisor, &g_array_index (wires, DwnWire, k), quest->barred);
      for (guint r = 0; r < rigs.rigs->len && done; r++)
        done = dwn_rig_search (quest->advisor, (DwnRig **) &rigs.rigs->pdata[r], least, best,
                               quest->reached, error);
      dwn_rigs_clear (&rigs);
    }
  return done;
}

static guint
wanted_bands (const DwnAdvisor *advisor)
{
  guint bands = 0;

  for (guint j = 0; j < advisor->goal.n_stations; j++)
    bands |= 1u << advisor->plan->stations->station[advisor->goal.station[j]].band;
  return bands;
}

/* One more antenna, for another band, is only for what the arrangement does not hold without. */
static gboolean
search_one_more (const Quest *quest, DwnBest *best, GError **error)
{
  const DwnGoal *goal = &quest->advisor->goal;
  guint level = dwn_goal_level (goal, best->merit.must, best->merit.like);
  const Quest again = { quest->advisor, quest->arrangement, quest->barred, NULL };
  DwnBest more = { 0 };

  if (best->rig == NULL || quest->arrangement == DWN_ARRANGEMENT_ONE
      || dwn_bits (wanted_bands (quest->advisor)) < 2
      || level == dwn_goal_level (goal, goal->n_must, goal->n - goal->n_must))
    return TRUE;
  gboolean done = search (&again, dwn_arrangement_base (quest->arrangement) + 1, level + 1, &more, error);
  if (more.rig == NULL)
    return done;
  dwn_best_clear (best);
  *best = more;
  return done;
}

/* Would the arrangement have anything to do? */
static gboolean
is_of_use (const DwnAdvisor *advisor, DwnArrangement arrangement)
{
  if (arrangement == DWN_ARRANGEMENT_ONE)
    return TRUE;
  return advisor->goal.n_stations > 0
         && (arrangement != DWN_ARRANGEMENT_SPLIT_BY_BAND || dwn_bits (wanted_bands (advisor)) > 1);
}

/* The best of one arrangement, n_antennas 0 where it cannot be built. FALSE with @error where
 * cancelled. */
static gboolean
find_rung (DwnRung *rung, const Quest *quest, GError **error)
{
  DwnBest best = { 0 };
  gboolean done = search (quest, dwn_arrangement_base (quest->arrangement), 0, &best, error)
                  && search_one_more (quest, &best, error);

  *rung = (DwnRung) { 0 };
  if (done)
    dwn_rung_init (rung, quest->advisor, &best);
  dwn_best_clear (&best);
  return done;
}

/* A rung that cannot be built is left out. */
static gboolean
add_rung (GArray *found, const Quest *quest, GError **error)
{
  DwnRung rung;

  if (!is_of_use (quest->advisor, quest->arrangement))
    return TRUE;
  if (!find_rung (&rung, quest, error))
    return FALSE;
  if (rung.n_antennas > 0)
    g_array_append_val (found, rung);
  return TRUE;
}

/* Each rung with other antennas. */
static gboolean
find_seconds (DwnLadder *ladder, const DwnAdvisor *advisor, GError **error)
{
  DwnRung *second = g_new0 (DwnRung, ladder->n);

  ladder->second = second;
  for (guint r = 0; r < ladder->n; r++)
    {
      const Quest quest = { advisor, ladder->rung[r].arrangement, &ladder->rung[r], NULL };

      if (!find_rung (&second[r], &quest, error))
        return FALSE;
    }
  return TRUE;
}

/* The first rung with two alike in a stack, where that holds more. FALSE with @error where cancelled. */
static gboolean
find_stacked (DwnLadder *ladder, const DwnAdvisor *advisor, GError **error)
{
  const DwnRung *alone = &ladder->rung[0];
  g_autoptr (GPtrArray) stacks = dwn_advisor_stacks (advisor, alone);
  DwnAdvisor stacker = *advisor;
  const Quest quest = { &stacker, DWN_ARRANGEMENT_ONE, NULL, NULL };
  guint like = alone->held_like + (advisor->goal.all_liked ? alone->held_extra : 0);
  DwnBest best = { 0 };

  if (stacks->len == 0)
    return TRUE;
  memset (stacker.choice, 0, sizeof stacker.choice);
  gboolean done = dwn_armoury_init (&stacker.armoury, advisor->plan, advisor->fields[1],
                                    advisor->armoury.step_deg, stacks->len,
                                    (const DwnPattern *const *) stacks->pdata, advisor->cancellable, error)
                  && search (&quest, 1, dwn_goal_level (&advisor->goal, alone->held_must, like) + 1,
                             &best, error);
  if (done && best.rig != NULL)
    {
      DwnRung *stacked = g_new0 (DwnRung, 1);

      dwn_rung_init (stacked, &stacker, &best);
      ladder->stacked = stacked;
    }
  dwn_best_clear (&best);
  dwn_armoury_clear (&stacker.armoury);
  return done;
}

static void
list_out_of_reach (LadderBox *box, const DwnAdvisor *advisor, const guint64 *reached)
{
  const DwnGoal *goal = &advisor->goal;

  box->out_of_reach = g_new (guint, goal->n + 1);
  for (guint b = 0; b < goal->n; b++)
    {
      gboolean held = (reached[b / 64] >> b % 64 & 1) != 0 || goal->all_liked;

      for (guint r = 0; r < box->ladder.n; r++)
        held |= box->ladder.rung[r].holds[goal->service[b]];
      held |= box->ladder.stacked != NULL && box->ladder.stacked->holds[goal->service[b]];
      if (!held)
        box->out_of_reach[box->ladder.n_out_of_reach++] = goal->service[b];
    }
  box->ladder.out_of_reach = box->out_of_reach;
}

static DwnLadder *
build_ladder (const DwnAdvisor *advisor, const DwnAdviceOptions *options, GError **error)
{
  LadderBox *box = g_atomic_rc_box_new0 (LadderBox);
  GArray *found = g_array_new (FALSE, FALSE, sizeof (DwnRung));
  g_autofree guint64 *reached = g_new0 (guint64, advisor->goal.n_words);
  gboolean done = TRUE, draws = options != NULL && options->draws > 0;

  /* They are numbered from the simplest on. */
  for (guint arrangement = 0; arrangement < DWN_N_ARRANGEMENTS && done; arrangement++)
    {
      const Quest quest = { advisor, (DwnArrangement) arrangement, NULL, reached };

      done = add_rung (found, &quest, error);
    }
  if (done && found->len == 0)
    {
      g_set_error_literal (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
                           _("the plan's gear cannot take another antenna: no outlet is connected"));
      done = FALSE;
    }
  box->ladder.n = found->len;
  box->ladder.rung = (DwnRung *) (gpointer) g_array_free (found, FALSE);
  done = done && find_stacked (&box->ladder, advisor, error);
  if (done && draws)
    done = find_seconds (&box->ladder, advisor, error);
  if (!done)
    {
      dwn_ladder_unref (&box->ladder);
      return NULL;
    }
  box->ladder.n_must = advisor->goal.n_must;
  box->ladder.n_like = advisor->goal.all_liked ? 0 : advisor->goal.n - advisor->goal.n_must;
  box->ladder.all_liked = advisor->goal.all_liked;
  list_out_of_reach (box, advisor, reached);
  dwn_ladder_choose (&box->ladder, advisor);
  if (box->ladder.stacked != NULL)
    dwn_ladder_explain_stack (&box->ladder, (DwnRung *) box->ladder.stacked);
  if (draws)
    dwn_ladder_draw (&box->ladder, advisor, options->draws, options->seed);
  return &box->ladder;
}

DwnLadder *
dwn_advise (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
            const DwnAdviceOptions *options, GCancellable *cancellable, GError **error)
{
  DwnAdvisor advisor;

  g_return_val_if_fail (plan != NULL && fields != NULL && tables != NULL, NULL);
  g_return_val_if_fail (fields->n == plan->stations->n, NULL);
  g_return_val_if_fail (fields->n_antennas == plan->gear->n_antennas, NULL);

  DwnLadder *ladder = NULL;
  if (advisor_init (&advisor, plan, fields, tables, options, cancellable, error))
    ladder = build_ladder (&advisor, options, error);
  advisor_clear (&advisor);
  return ladder;
}

DwnLadder *
dwn_ladder_ref (const DwnLadder *ladder)
{
  return g_atomic_rc_box_acquire ((gpointer) ladder);
}

static void
ladder_clear (gpointer data)
{
  LadderBox *box = data;

  for (guint r = 0; r < box->ladder.n; r++)
    dwn_rung_clear ((DwnRung *) &box->ladder.rung[r]);
  for (guint r = 0; box->ladder.second != NULL && r < box->ladder.n; r++)
    dwn_rung_clear ((DwnRung *) &box->ladder.second[r]);
  g_free ((gpointer) box->ladder.rung);
  g_free ((gpointer) box->ladder.second);
  if (box->ladder.stacked != NULL)
    dwn_rung_clear ((DwnRung *) box->ladder.stacked);
  g_free ((gpointer) box->ladder.stacked);
  g_free (box->out_of_reach);
}

void
dwn_ladder_unref (const DwnLadder *ladder)
{
  g_atomic_rc_box_release_full ((gpointer) ladder, ladder_clear);
}
