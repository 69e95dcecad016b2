/* readings: take in what a meter wrote. */
#include <glib/gi18n.h>

#include "cli/workbench.h"
#include "core/plan/import-readings.h"

static gboolean
read_options (const DwnCall *call, DwnReadingsOptions *options, GError **error)
{
  const char *unit = dwn_call_text (call, "unit");

  *options = (DwnReadingsOptions) { .where = dwn_call_text (call, "where"),
                                    .when = dwn_call_text (call, "when") };
  if (unit == NULL || dwn_reading_unit_from_id (unit, &options->unit))
    return TRUE;
  dwn_call_refuse (error, _("--unit %s: dbm, dbmv or dbuv was expected"), unit);
  return FALSE;
}

static void
add_whole (DwnRows *rows, int value)
{
  if (value < 0)
    dwn_rows_text (rows, NULL);
  else
    dwn_rows_number (rows, value);
}

static void
add_reading (DwnRows *rows, const DwnReading *reading)
{
  dwn_rows_text (rows, reading->station);
  dwn_rows_text (rows, reading->where);
  dwn_rows_text (rows, reading->when);
  dwn_rows_number (rows, reading->level_dbm);
  dwn_rows_number (rows, reading->cn_db);
  dwn_rows_number (rows, reading->ber_before);
  dwn_rows_number (rows, reading->ber_after);
  add_whole (rows, reading->lock);
  add_whole (rows, reading->bars);
  add_whole (rows, reading->bars_of);
  add_whole (rows, reading->leaves);
  dwn_rows_text (rows, reading->weather);
  dwn_rows_text (rows, reading->note);
}

static void
warn_of_skips (const DwnReadingsImport *import)
{
  for (guint i = 0; i < import->n_listed; i++)
    dwn_warn (import->skipped[i].text);
  if (import->n_skipped > import->n_listed)
    {
      g_autofree char *more = g_strdup_printf (_("and %u records more"),
                                               import->n_skipped - import->n_listed);
      dwn_warn (more);
    }
  if (import->n_known > 0)
    {
      g_autofree char *known = g_strdup_printf (_("%u records are in the plan already"),
                                                import->n_known);
      dwn_warn (known);
    }
}

/* The plan with what was imported, aim and gain of today written into it. */
static DwnPlan *
plan_with (const DwnWorkbench *bench, const DwnReadingsImport *import)
{
  const DwnReadings *own = bench->plan->readings;
  g_autoptr (GArray) all = g_array_new (FALSE, FALSE, sizeof (DwnReading));

  g_array_append_vals (all, own->reading, own->n);
  for (guint i = 0; i < import->n; i++)
    {
      DwnReading reading = import->reading[i];

      dwn_reading_stamp (bench->plan, bench->predicted, bench->tables, &reading);
      g_array_append_val (all, reading);
    }
  return dwn_plan_with_readings (bench->plan, all->len, (const DwnReading *) (gpointer) all->data);
}

static gboolean
run_readings (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  DwnReadingsOptions options;

  if (!g_str_equal (call->arguments[0], "import"))
    {
      dwn_call_usage (error, _("readings %s: import was expected"), call->arguments[0]);
      return FALSE;
    }
  if (!read_options (call, &options, error)
      || !dwn_workbench_open (&bench, call->arguments[1], error))
    return FALSE;
  const DwnInput input = { call->arguments[2], NULL };
  g_autoptr (DwnReadingsImport) import = dwn_readings_import (&input, bench.plan, &options, error);
  if (import == NULL)
    return FALSE;
  warn_of_skips (import);
  g_autoptr (DwnPlan) plan = plan_with (&bench, import);
  const char *output = dwn_call_text (call, "o");
  if (output != NULL && !dwn_plan_save (plan, bench.tables->catalogue, output, error))
    return FALSE;
  DwnRows *rows = dwn_rows_new (call, "station where when level_dbm cn_db ber_before ber_after lock bars "
                                      "bars_of leaves weather note");
  for (guint i = 0; i < import->n; i++)
    add_reading (rows, &import->reading[i]);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_readings = {
  .name = "readings",
  .arguments = "import PLAN FILE",
  .min_arguments = 3,
  .max_arguments = 3,
  .summary = N_("Take readings from a CSV into a plan"),
  .options = (const DwnOption[]) {
    { "unit", "dbm|dbmv|dbuv" }, { "where", "PART" }, { "when", "YYYY-MM-DD" }, { "o", "PLAN" }, { NULL },
  },
  .run = run_readings,
};
