#include "app/gear-state.h"

#include <glib/gi18n.h>
#include <math.h>

#include "words/check-words.h"

/* Fills in what an outlet's way adds to ways that were followed before. */
static void
add_levels (DwnGearState *state, DwnDocument *document, guint outlet)
{
  DwnFindings findings = dwn_document_findings (document);
  g_autoptr (GArray) levels = dwn_levels_along (dwn_document_base (document), findings.budget,
                                                (guint) state->station, outlet, 0.0);

  for (guint i = 0; levels != NULL && i < levels->len; i++)
    {
      const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, i);

      if (!step->is_edge && isnan (state->level[step->index].level_dbm))
        state->level[step->index] = *step;
    }
}

/* The weakest outlet's way first: it is the one that is drawn. */
static void
find_levels (DwnGearState *state, DwnDocument *document)
{
  const DwnBudget *budget = dwn_document_findings (document).budget;

  if (state->station < 0 || budget->n_outlets == 0)
    return;
  add_levels (state, document, budget->weakest[state->station]);
  for (guint o = 0; o < budget->n_outlets; o++)
    add_levels (state, document, o);
}

/* The one with the least to spare at any outlet. */
static int
weakest_station (const DwnGearState *state, const DwnChain *gear)
{
  const DwnWorst *weakest = NULL;

  for (guint o = 0; o < gear->n_outlets; o++)
    {
      const DwnWorst *worst = &state->worst[gear->outlet[o]];

      if (worst->station >= 0 && (weakest == NULL || worst->spare_db < weakest->spare_db))
        weakest = worst;
    }
  return weakest != NULL ? weakest->station : -1;
}

static gboolean
is_about_gear (const DwnCheck *check)
{
  return check->part >= 0 || check->code == DWN_CHECK_NO_OUTLET || check->code == DWN_CHECK_NO_ANTENNA;
}

static GArray *
find_checks (DwnDocument *document)
{
  DwnFindings findings = dwn_document_findings (document);
  GArray *checks = dwn_check_plan (findings.plan, findings.fields, findings.budget,
                                   dwn_document_tables (document));

  for (guint i = checks->len; i-- > 0;)
    if (!is_about_gear (&g_array_index (checks, DwnCheck, i)))
      g_array_remove_index (checks, i);
  return checks;
}

DwnGearState *
dwn_gear_state_new (DwnDocument *document)
{
  DwnGearState *state = g_new0 (DwnGearState, 1);
  DwnFindings findings = dwn_document_findings (document);

  state->n = findings.plan->gear->n_parts;
  state->level = g_new0 (DwnLevelStep, state->n + 1);
  for (guint k = 0; k < state->n; k++)
    state->level[k].level_dbm = state->level[k].cn_db = state->level[k].headroom_db = (double) NAN;
  state->worst = dwn_levels_worst (dwn_document_base (document), findings.budget);
  state->checks = find_checks (document);
  state->station = dwn_document_selected (document);
  if (state->station < 0)
    state->station = weakest_station (state, findings.plan->gear);
  find_levels (state, document);
  return state;
}

void
dwn_gear_state_free (DwnGearState *state)
{
  g_free (state->level);
  g_free (state->worst);
  g_array_unref (state->checks);
  g_free (state);
}

DwnPlanView
dwn_gear_state_view (const DwnGearState *state, DwnDocument *document)
{
  DwnPlanView view = dwn_document_view (document);

  view.station = state->station;
  view.every_part = TRUE;
  view.worst = state->worst;
  view.checks = state->checks;
  return view;
}

char *
dwn_gear_state_figures (const DwnGearState *state, DwnDocument *document, guint part)
{
  DwnPlanView view = dwn_document_view (document);
  const DwnLevelStep *step = &state->level[part];

  if (isnan (step->level_dbm))
    return g_strdup ("");
  g_autofree char *level = dwn_word_level (view.wording, step->level_dbm);
  g_autofree char *cn = dwn_word_decibels (view.wording, step->cn_db);
  g_autofree char *headroom = dwn_word_decibels (view.wording, step->headroom_db);
  if (isnan (step->headroom_db) || isinf (step->headroom_db))
    return g_strdup_printf (_("%s, C/N %s"), level, cn);
  return g_strdup_printf (_("%s, C/N %s, headroom %s"), level, cn, headroom);
}

char *
dwn_gear_state_worst (const DwnGearState *state, DwnDocument *document, guint part)
{
  DwnPlanView view = dwn_document_view (document);
  const DwnWorst *worst = &state->worst[part];

  if (worst->station < 0)
    return g_strdup ("");
  const char *name = view.findings.plan->stations->station[worst->station].name;
  g_autofree char *db = dwn_word_decibels (view.wording, fabs (worst->spare_db));
  return g_strdup_printf (worst->spare_db >= 0.0 ? _("Weakest here: %s, %s more than it needs")
                                                 : _("Weakest here: %s, %s less than it needs"), name, db);
}

char *
dwn_gear_state_faults (const DwnGearState *state, DwnDocument *document, guint part)
{
  DwnPlanView view = dwn_document_view (document);
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < state->checks->len; i++)
    {
      const DwnCheck *check = &g_array_index (state->checks, DwnCheck, i);
      g_autofree char *sentence = NULL;

      if (check->part != (int) part)
        continue;
      sentence = dwn_word_check (view.wording, view.findings.plan, check);
      g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "", sentence);
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}
