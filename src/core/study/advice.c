#include "core/study/advice-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

typedef struct {
  DwnLadder ladder;
  guint *out_of_reach;
} LadderBox;

/* The ladder, simplest first. */
static const struct {
  DwnArrangement arrangement;
  guint n_antennas;
} rungs[] = {
  { DWN_ARRANGEMENT_ONE, 1 },
  { DWN_ARRANGEMENT_SPLIT_BY_BAND, 2 },
};

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
    g_clear_pointer (&advisor->fields[n], dwn_fields_unref);
  dwn_goal_clear (&advisor->goal);
  dwn_armoury_clear (&advisor->armoury);
}

static gboolean
advisor_init (DwnAdvisor *advisor, const DwnPlan *plan, const DwnFields *fields,
              const DwnTables *tables, const DwnAdviceOptions *options, GCancellable *cancellable,
              GError **error)
{
  *advisor = (DwnAdvisor) { .plan = plan, .tables = tables, .cancellable = cancellable };
  g_autoptr (GPtrArray) antennas = dwn_advice_antennas (plan, tables, options, error);

  if (antennas == NULL)
    return FALSE;
  hang_antennas (advisor);
  for (guint n = 1; n <= DWN_RUNG_ANTENNAS; n++)
    advisor->fields[n] = dwn_fields_at_heights (fields, plan, n, advisor->below_top_m);
  dwn_goal_init (&advisor->goal, plan);
  return dwn_armoury_init (&advisor->armoury, plan, fields, antennas->len,
                           (const DwnPattern *const *) antennas->pdata, cancellable, error);
}

/* The best of one arrangement; FALSE with @error where cancelled. A rung that cannot be built is
 * left out. */
static gboolean
add_rung (GArray *found, const DwnAdvisor *advisor, DwnArrangement arrangement, guint n,
          guint64 *reached, GError **error)
{
  g_autoptr (GPtrArray) rigs = dwn_rigs_new (advisor, arrangement, n);
  DwnBest best = { 0 };
  DwnRung rung;

  for (guint k = 0; k < rigs->len; k++)
    if (!dwn_rig_search (advisor, g_ptr_array_index (rigs, k), &best, reached, error))
      return FALSE;
  if (dwn_rung_init (&rung, advisor, &best))
    g_array_append_val (found, rung);
  return TRUE;
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
  gboolean done = TRUE;

  for (guint r = 0; r < G_N_ELEMENTS (rungs) && done; r++)
    done = add_rung (found, advisor, rungs[r].arrangement, rungs[r].n_antennas, reached, error);
  if (done && found->len == 0)
    {
      g_set_error_literal (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
                           _("the plan's gear cannot take another antenna: no outlet is connected"));
      done = FALSE;
    }
  box->ladder.n = found->len;
  box->ladder.rung = (DwnRung *) (gpointer) g_array_free (found, FALSE);
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
  if (options != NULL && options->draws > 0)
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
  g_free ((gpointer) box->ladder.rung);
  g_free (box->out_of_reach);
}

void
dwn_ladder_unref (const DwnLadder *ladder)
{
  g_atomic_rc_box_release_full ((gpointer) ladder, ladder_clear);
}
