/* learn: what readings say of the plan. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "core/study/learn.h"
#include "words/learn-words.h"

static const double unknown = (double) NAN;

/* parameter estimate sd unit, then what may be left empty. */
typedef struct {
  const char *parameter, *unit, *note;
  double estimate, sd, low, high, chance;
} Row;

static void
add_row (DwnRows *rows, const Row *row)
{
  dwn_rows_text (rows, row->parameter);
  dwn_rows_number (rows, row->estimate);
  dwn_rows_number (rows, row->sd);
  dwn_rows_text (rows, row->unit);
  dwn_rows_number (rows, row->low);
  dwn_rows_number (rows, row->high);
  dwn_rows_number (rows, row->chance * 100.0);
  dwn_rows_text (rows, row->note);
}

static void
add_causes (DwnRows *rows, const DwnLearned *learned, const DwnPlan *plan,
            const DwnWording *wording)
{
  for (guint c = 0; c < learned->n_causes; c++)
    {
      const DwnLearnedCause *cause = &learned->cause[c];
      g_autofree char *note = cause->chance >= DWN_LEARNED_SUSPECTED
                              ? dwn_word_learned_cause (wording, plan, cause) : NULL;
      const Row row = { cause->id, cause->kind == DWN_LEARNED_AIM ? "deg" : "dB", note,
                        cause->estimate, cause->sd, cause->low, cause->high, cause->chance };

      add_row (rows, &row);
    }
}

static void
add_stations (DwnRows *rows, const DwnLearned *learned, const DwnPlan *plan)
{
  for (guint i = 0; i < learned->n_stations; i++)
    {
      const DwnLearnedStation *station = &learned->station[i];
      g_autofree char *parameter = g_strconcat ("station-", plan->stations->station[i].id, NULL);
      char before[G_ASCII_DTOSTR_BUF_SIZE];
      g_autofree char *note = g_strdup_printf (
        "%s; before %s", station->read ? "read" : "not read",
        g_ascii_formatd (before, sizeof before, "%.2f", station->before_sd_db));
      const Row row = { parameter, "dB", note, station->shift_db, station->sd_db, station->low_db,
                        station->high_db, unknown };

      add_row (rows, &row);
    }
}

/* Numbered from 1, as they stand in the plan. */
static void
add_outliers (DwnRows *rows, const DwnLearned *learned, const DwnPlan *plan,
              const DwnWording *wording)
{
  for (guint k = 0; k < learned->n_outliers; k++)
    {
      const DwnOutlier *outlier = &learned->outlier[k];
      g_autofree char *parameter = g_strdup_printf ("outlier-%u", outlier->reading + 1);
      g_autofree char *note = dwn_word_outlier (wording, plan, outlier);
      const Row row = { parameter, "dB", note, outlier->excess_db, unknown, unknown, unknown,
                        outlier->chance };

      add_row (rows, &row);
    }
}

static const char *
explanation_id (const DwnLearned *learned, guint cause)
{
  return cause < learned->n_causes ? learned->cause[cause].id : "slip";
}

static void
add_undecided (DwnRows *rows, const DwnLearned *learned, const DwnPlan *plan,
               const DwnWording *wording)
{
  for (guint p = 0; p < learned->n_undecided; p++)
    {
      const DwnUndecided *pair = &learned->undecided[p];
      g_autofree char *parameter = g_strdup_printf ("undecided-%s-or-%s",
                                                    explanation_id (learned, pair->first),
                                                    explanation_id (learned, pair->second));
      g_autofree char *note = dwn_word_undecided (wording, plan, learned, pair);
      const Row row = { parameter, "sd", note, pair->deviates, unknown, unknown, unknown, unknown };

      add_row (rows, &row);
    }
}

static gboolean
run_learn (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  DwnLearnRules rules;

  if (!dwn_learn_rules_load (&rules, error)
      || !dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnLearned) learned = dwn_learn (bench.plan, bench.predicted, bench.tables, &rules);
  const DwnWording *wording = call->tsv ? &dwn_wording_script : &dwn_wording_metric;

  if (learned->n_used == 0)
    dwn_warn (_("no reading of the plan says anything of a level"));
  DwnRows *rows = dwn_rows_new (call, "parameter estimate sd unit low high chance_pct note");
  add_causes (rows, learned, bench.plan, wording);
  add_outliers (rows, learned, bench.plan, wording);
  add_undecided (rows, learned, bench.plan, wording);
  add_stations (rows, learned, bench.plan);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_learn = {
  .name = "learn",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("What the readings say of gear, aim, house and stations"),
  .options = (const DwnOption[]) { { NULL } },
  .run = run_learn,
};
