/* scan: what a scan should find, and why it did not. symptoms: from what is seen to the cause. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "words/symptom-words.h"

/* Scan */

static void
add_scan_row (DwnRows *rows, const DwnScanRow *row, const DwnPlan *plan, const DwnWording *wording)
{
  g_autofree char *text = dwn_word_scan_row (wording, plan, row);

  dwn_rows_text (rows, row->rf);
  dwn_rows_number (rows, row->mhz);
  dwn_rows_text (rows, row->on_screen);
  dwn_rows_text (rows, row->station >= 0 ? plan->stations->station[row->station].id : NULL);
  dwn_rows_number (rows, row->chance * 100.0);
  dwn_rows_text (rows, dwn_wanted_id (row->wanted));
  dwn_rows_text (rows, dwn_scan_state_id (row->state));
  dwn_rows_text (rows, dwn_scan_reason_id (row->reason));
  dwn_rows_text (rows, text);
}

static gboolean
run_scan (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  const char *text = dwn_call_text (call, "found");
  g_auto (GStrv) found = text != NULL ? g_strsplit (text, ",", -1) : NULL;
  int outlet = 0;

  if (!dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  if (!dwn_call_integer (call, "outlet", 1, (int) budget->n_outlets, &outlet, error))
    return FALSE;
  g_autoptr (GArray) list = dwn_scan_list (bench.plan, budget, outlet - 1,
                                           (const char *const *) found);
  const DwnWording *wording = call->tsv ? &dwn_wording_script : &dwn_wording_metric;
  DwnRows *rows = dwn_rows_new (call, "rf mhz on_screen station chance_pct wanted state reason message");

  for (guint r = 0; r < list->len; r++)
    add_scan_row (rows, &g_array_index (list, DwnScanRow, r), bench.plan, wording);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_scan = {
  .name = "scan",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("What a scan should find; with --found what is missing and why"),
  .options = (const DwnOption[]) { { "found", "RF[,RF]" }, { "outlet", "N" }, { NULL } },
  .run = run_scan,
};

/* Symptoms */

static gboolean
take_answers (const DwnCall *call, const DwnSymptoms *symptoms, const char *option,
              DwnAnswer answer, DwnAnswer *answers, GError **error)
{
  for (const char *const *id = dwn_call_texts (call, option); *id != NULL; id++)
    {
      int question = dwn_symptoms_find_question (symptoms, *id);

      if (question < 0)
        {
          dwn_call_refuse (error, _("--%s %s: there is no question of that id; without --%s all are listed"),
                           option, *id, option);
          return FALSE;
        }
      answers[question] = answer;
    }
  return TRUE;
}

static gboolean
answer_from_plan (const DwnWorkbench *bench, const DwnCall *call, const DwnSymptoms *symptoms,
                  DwnAnswer *answers, GError **error)
{
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench->base, bench->plan->aims->aim_deg);
  DwnLearnRules rules;
  int station = -1;

  if (!dwn_learn_rules_load (&rules, error))
    return FALSE;
  if (dwn_call_text (call, "station") != NULL)
    {
      station = dwn_workbench_station (bench, call, budget, error);
      if (station < 0)
        return FALSE;
    }
  g_autoptr (DwnLearned) learned = dwn_learn (bench->plan, bench->predicted, bench->tables, &rules);
  dwn_symptoms_ask_plan (symptoms, bench->plan, bench->predicted, budget, bench->tables, learned,
                         station, answers);
  return TRUE;
}

static void
add_symptom_row (DwnRows *rows, const char *kind, const char *id, double share, const char *text)
{
  dwn_rows_text (rows, kind);
  dwn_rows_text (rows, id);
  dwn_rows_number (rows, share * 100.0);
  dwn_rows_text (rows, text);
}

static void
add_question (DwnRows *rows, const DwnSymptoms *symptoms, const char *kind, int question,
              const DwnWording *wording)
{
  if (question >= 0)
    add_symptom_row (rows, kind, symptoms->question[question].id, (double) NAN,
                     dwn_word (wording, symptoms->question[question].text));
}

static void
print_suspicion (const DwnCall *call, const DwnSymptoms *symptoms, const DwnAnswer *answers)
{
  static const char *const kinds[] = { "ask", "try", "plan", "reading" };
  const DwnWording *wording = call->tsv ? &dwn_wording_script : &dwn_wording_metric;
  g_autoptr (DwnSuspicion) suspicion = dwn_suspicion_new (symptoms, answers);
  DwnRows *rows = dwn_rows_new (call, "kind id chance_pct text");

  for (guint c = 0; c < suspicion->n_causes; c++)
    {
      const DwnTroubleCause *cause = &symptoms->cause[suspicion->order[c]];
      add_symptom_row (rows, "cause", cause->id, suspicion->chance[c],
                       dwn_word (wording, cause->name));
    }
  add_question (rows, symptoms, "next", suspicion->next, wording);
  add_question (rows, symptoms, "test", suspicion->test, wording);
  for (guint q = 0; q < symptoms->n_questions; q++)
    if (answers[q] == DWN_ANSWER_NONE ? symptoms->question[q].kind <= DWN_QUESTION_TEST
                                      : answers[q] == DWN_ANSWER_YES)
      add_question (rows, symptoms, answers[q] == DWN_ANSWER_YES ? "yes" : kinds[symptoms->question[q].kind],
                    (int) q, wording);
  dwn_rows_print (rows);
}

static gboolean
run_symptoms (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  g_autoptr (DwnSymptoms) symptoms = dwn_symptoms_new (error);

  if (symptoms == NULL)
    return FALSE;
  g_autofree DwnAnswer *answers = g_new0 (DwnAnswer, MAX (symptoms->n_questions, 1));
  if (!dwn_workbench_open (&bench, call->arguments[0], error)
      || !answer_from_plan (&bench, call, symptoms, answers, error)
      || !take_answers (call, symptoms, "yes", DWN_ANSWER_YES, answers, error)
      || !take_answers (call, symptoms, "no", DWN_ANSWER_NO, answers, error))
    return FALSE;
  print_suspicion (call, symptoms, answers);
  return TRUE;
}

const DwnCommand dwn_command_symptoms = {
  .name = "symptoms",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("From what is seen to the likely cause, and what to ask or try next"),
  .options = (const DwnOption[]) {
    { "station", "ID" }, { "yes", "QUESTION", DWN_OPTION_REPEATED },
    { "no", "QUESTION", DWN_OPTION_REPEATED }, { NULL },
  },
  .run = run_symptoms,
};
