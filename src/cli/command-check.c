/* check: what is wrong with a plan. */
#include <glib/gi18n.h>

#include "cli/workbench.h"
#include "core/data/data.h"
#include "core/study/check.h"
#include "core/study/mount.h"
#include "words/check-words.h"
#include "words/mount-words.h"

/* Files of the user's that stand in place of the program's figures change every result. */
static void
add_overrides (DwnRows *rows)
{
  g_auto (GStrv) names = dwn_data_overrides ();

  for (char **name = names; *name != NULL; name++)
    {
      g_autofree char *text = g_strdup_printf ("the user's own %s stands in place of the program's", *name);

      dwn_rows_text (rows, dwn_severity_id (DWN_SEVERITY_NOTE));
      dwn_rows_text (rows, *name);
      dwn_rows_text (rows, "override");
      dwn_rows_text (rows, text);
    }
}

static gboolean
add_mount (DwnRows *rows, const DwnPlan *plan, const DwnWording *wording, GError **error)
{
  DwnMountRules rules;

  if (!dwn_mount_rules_load (&rules, error))
    return FALSE;
  g_autoptr (DwnMountStudy) study = dwn_mount_study_new (plan, &rules);
  for (guint i = 0; i < study->findings->len; i++)
    {
      const DwnMountFinding *finding = &g_array_index (study->findings, DwnMountFinding, i);
      g_autofree char *message = dwn_word_mount_finding (wording, finding);
      DwnSeverity severity = finding->weight == DWN_MOUNT_MEND ? DWN_SEVERITY_WARNING
                                                               : DWN_SEVERITY_NOTE;

      dwn_rows_text (rows, dwn_severity_id (severity));
      dwn_rows_text (rows, finding->antenna < 0
                           ? "mount" : plan->gear->part[plan->gear->antenna[finding->antenna]].id);
      dwn_rows_text (rows, dwn_mount_code_id (finding->code));
      dwn_rows_text (rows, message);
    }
  return TRUE;
}

static gboolean
run_check (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };

  if (!dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  g_autoptr (GArray) checks = dwn_check_plan (bench.plan, bench.fields, budget, bench.tables);
  const DwnWording *wording = call->tsv ? &dwn_wording_script : &dwn_wording_metric;
  g_autoptr (DwnRows) rows = dwn_rows_new (call, "severity where code message");

  for (guint i = 0; i < checks->len; i++)
    {
      const DwnCheck *check = &g_array_index (checks, DwnCheck, i);
      g_autofree char *message = dwn_word_check (wording, bench.plan, check);
      g_autofree char *code = check->code == DWN_CHECK_POWER
                              ? g_strconcat ("power-", dwn_power_fault_id (check->power.fault), NULL)
                              : g_strdup (dwn_check_id (check->code));

      dwn_rows_text (rows, dwn_severity_id (check->severity));
      dwn_rows_text (rows, dwn_check_where (bench.plan, check));
      dwn_rows_text (rows, code);
      dwn_rows_text (rows, message);
    }
  if (!add_mount (rows, bench.plan, wording, error))
    return FALSE;
  add_overrides (rows);
  dwn_rows_print (g_steal_pointer (&rows));
  return TRUE;
}

const DwnCommand dwn_command_check = {
  .name = "check",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("What is wrong with a plan, and the cure"),
  .options = (const DwnOption[]) { { NULL } },
  .run = run_check,
};
