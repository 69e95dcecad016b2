/* explain: why a station is as it is at an outlet, and what would help. */
#include <glib/gi18n.h>
#include <math.h>
#include <stdio.h>

#include "cli/workbench.h"
#include "words/diagnosis-words.h"
#include "words/remedy-words.h"

static char *
step_name (const DwnWording *wording, const DwnFindings *findings, const DwnDiagnosis *diagnosis,
           const DwnLossStep *step)
{
  g_autofree char *name = dwn_word_loss_name (wording, findings, diagnosis, step);
  g_autofree char *detail = dwn_word_loss_detail (wording, findings, diagnosis, step);

  return detail == NULL ? g_strdup (name) : g_strconcat (name, ", ", detail, NULL);
}

/* The last step is the outlet, where the chance is what it is. */
static void
add_steps (DwnRows *rows, const DwnWording *wording, const DwnFindings *findings,
           const DwnDiagnosis *diagnosis)
{
  for (guint k = 0; k < diagnosis->n_steps; k++)
    {
      const DwnLossStep *step = &diagnosis->step[k];
      g_autofree char *name = step_name (wording, findings, diagnosis, step);
      gboolean is_last = k + 1 == diagnosis->n_steps;

      dwn_rows_text (rows, "step");
      dwn_rows_text (rows, name);
      dwn_rows_number (rows, step->gain_db);
      dwn_rows_number (rows, step->level_dbm);
      dwn_rows_number (rows, 100.0 * (is_last ? diagnosis->reception.chance : step->without_chance));
    }
}

static void
add_remedies (DwnRows *rows, const DwnWording *wording, const DwnFindings *findings,
              const DwnRemedies *remedies)
{
  for (guint k = 0; k < remedies->n; k++)
    {
      const DwnRemedy *remedy = &remedies->remedy[k];
      g_autofree char *text = dwn_word_remedy (wording, findings, remedy);
      g_autofree char *effect = dwn_word_remedy_effect (wording, findings, remedy);
      g_autofree char *name = effect == NULL ? g_strdup (text) : g_strconcat (text, "; ", effect, NULL);

      dwn_rows_text (rows, "remedy");
      dwn_rows_text (rows, name);
      dwn_rows_number (rows, remedy->gain_db);
      dwn_rows_number (rows, remedy->reception.level_dbm);
      dwn_rows_number (rows, 100.0 * remedy->reception.chance);
    }
}

static gboolean
any_climbs (const DwnRemedies *remedies)
{
  for (guint k = 0; k < remedies->n; k++)
    if (remedies->remedy[k].climb)
      return TRUE;
  return FALSE;
}

/* What stands before the table for people. */
static void
print_sentences (const DwnWording *wording, const DwnFindings *findings, const DwnDiagnosis *diagnosis)
{
  g_autofree char *cause = dwn_word_diagnosis (wording, findings, diagnosis);
  g_autofree char *outcome = dwn_word_outcome (wording, diagnosis);

  printf ("%s\n%s\n\n", cause, outcome);
}

static gboolean
print_explanation (const DwnCall *call, const DwnFindings *findings, const DwnDiagnosis *diagnosis,
                   const DwnRemedies *remedies)
{
  const DwnWording *wording = call->tsv ? &dwn_wording_script : &dwn_wording_metric;
  DwnRows *rows = dwn_rows_new (call, "kind name gain_db level_dbm chance_pct");

  if (!call->tsv)
    print_sentences (wording, findings, diagnosis);
  add_steps (rows, wording, findings, diagnosis);
  add_remedies (rows, wording, findings, remedies);
  dwn_rows_print (rows);
  if (!call->tsv && any_climbs (remedies))
    printf ("\n%s\n", dwn_word_climb_caution (wording));
  return TRUE;
}

static gboolean
run_explain (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };

  if (!dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  const double *aim_deg = bench.plan->aims->aim_deg;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, aim_deg);
  int station = dwn_workbench_station (&bench, call, budget, error);
  int outlet = station < 0 ? -1 : dwn_workbench_outlet (&bench, call, budget, (guint) station, error);
  if (outlet < 0)
    return FALSE;
  const DwnFindings findings = { bench.plan, bench.fields, budget, aim_deg, (double) NAN };
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, aim_deg, (guint) station, (guint) outlet);
  g_autoptr (DwnRemedies) remedies = dwn_remedies_new (bench.base, aim_deg, (guint) station,
                                                       (guint) outlet, NULL, error);

  return remedies != NULL && print_explanation (call, &findings, diagnosis, remedies);
}

const DwnCommand dwn_command_explain = {
  .name = "explain",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Why a station is weak at an outlet, and what would help"),
  .options = (const DwnOption[]) {
    { "station", "ID", DWN_OPTION_REQUIRED }, { "outlet", "N" }, { NULL },
  },
  .run = run_explain,
};
