/* budget and chain: levels, noise and chances of a plan. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "core/study/levels.h"

static void
add_reception (DwnRows *rows, const DwnWorkbench *bench, const DwnBudget *budget, guint i, guint o)
{
  const DwnStation *station = &bench->plan->stations->station[i];
  const DwnArrival *arrival = &bench->fields->arrival[i];
  const DwnReception *r = &budget->reception[(gsize) i * budget->n_outlets + o];
  guint na = bench->fields->n_antennas;

  dwn_rows_text (rows, station->id);
  dwn_rows_text (rows, station->rf);
  dwn_rows_number (rows, station->mhz);
  dwn_rows_text (rows, dwn_band_id (station->band));
  dwn_rows_number (rows, arrival->bearing_deg);
  dwn_rows_number (rows, arrival->distance_m);
  dwn_rows_text (rows, dwn_wanted_id (dwn_station_wanted (station, bench->plan->services)));
  dwn_rows_number (rows, o + 1);
  dwn_rows_number (rows, na > 0 ? bench->fields->field[(gsize) i * na + r->antenna].wanted : (double) NAN);
  dwn_rows_number (rows, r->antenna_dbi);
  dwn_rows_number (rows, r->level_dbm);
  dwn_rows_number (rows, r->noise_dbm);
  dwn_rows_number (rows, r->cn_db);
  dwn_rows_number (rows, r->needed_db);
  dwn_rows_number (rows, r->margin_db);
  dwn_rows_number (rows, r->sigma_db);
  dwn_rows_number (rows, 100.0 * r->chance);
  dwn_rows_text (rows, dwn_limit_id (r->limit));
}

static gboolean
run_budget (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };

  if (!dwn_workbench_open_on (&bench, call->arguments[0], dwn_call_text (call, "terrain"), error))
    return FALSE;
  g_autoptr (GArray) aims = dwn_workbench_aims (&bench, call, error);
  if (aims == NULL)
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, (const double *) (gpointer) aims->data);
  DwnRows *rows = dwn_rows_new (call, "station rf mhz band bearing_deg distance_m wanted outlet "
                                      "field_dbuv_m antenna_dbi level_dbm noise_dbm cn_db needed_db "
                                      "margin_db sigma_db chance_pct limit");
  for (guint i = 0; i < budget->n_stations; i++)
    for (guint o = 0; o < budget->n_outlets; o++)
      add_reception (rows, &bench, budget, i, o);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_budget = {
  .name = "budget",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Level, margin and chance of every station at every outlet"),
  .options = (const DwnOption[]) {
    { "aim", "DEG[,DEG]" }, { "terrain", "DIR" }, { NULL },
  },
  .run = run_budget,
};

/* What DC does at a part, seen from the cable that would bring it: its output. */
static const char *
dc_of_part (const DwnChain *gear, guint part)
{
  static const char *const ids[] = { "block", "pass", "need", "inject", "short" };
  const DwnPartType *type = gear->type[part];

  if (type == NULL)
    return NULL;
  if (type->kind == DWN_PART_INSERTER)
    return ids[type->dc_in[0]];
  return type->n_out > 0 ? ids[type->dc_out[0]] : ids[type->dc_in[0]];
}

static double
limit_of_part (const DwnChain *gear, guint part)
{
  if (gear->type[part] == NULL)
    return (double) NAN;
  return gear->part[part].kind == DWN_PART_OUTLET ? gear->type[part]->max_input_dbm
                                                  : dwn_chain_part_max_output_dbm (gear, part);
}

static void
add_step (DwnRows *rows, const DwnChain *gear, const DwnLevelStep *step)
{
  dwn_rows_text (rows, step->is_edge ? gear->edge[step->index].cable : gear->part[step->index].id);
  dwn_rows_number (rows, step->gain_db);
  dwn_rows_number (rows, step->noise_figure_db);
  dwn_rows_number (rows, step->cumulative_gain_db);
  dwn_rows_number (rows, step->cumulative_noise_figure_db);
  dwn_rows_number (rows, step->level_dbm);
  dwn_rows_number (rows, step->is_edge ? (double) NAN : limit_of_part (gear, step->index));
  dwn_rows_text (rows, step->is_edge ? "pass" : dc_of_part (gear, step->index));
}

static gboolean
print_chain (DwnCall *call, const DwnWorkbench *bench, double mhz, GError **error)
{
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench->base, bench->plan->aims->aim_deg);
  int station = dwn_workbench_station (bench, call, budget, error);
  int outlet = station < 0 ? -1 : dwn_workbench_outlet (bench, call, budget, (guint) station, error);

  if (outlet < 0)
    return FALSE;
  g_autoptr (GArray) levels = dwn_levels_along (bench->base, budget, (guint) station, (guint) outlet, mhz);
  if (levels == NULL)
    {
      dwn_call_refuse (error, _("nothing leads from an antenna to outlet %d"), outlet + 1);
      return FALSE;
    }
  DwnRows *rows = dwn_rows_new (call, "part gain_db noise_figure_db cumulative_gain_db "
                                      "cumulative_noise_figure_db level_dbm limit_dbm dc");
  for (guint i = 0; i < levels->len; i++)
    add_step (rows, bench->plan->gear, &g_array_index (levels, DwnLevelStep, i));
  dwn_rows_print (rows);
  return TRUE;
}

static gboolean
run_chain (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  double mhz = 0.0;

  return dwn_call_number (call, "mhz", 1.0, 1e4, &mhz, error)
         && dwn_workbench_open (&bench, call->arguments[0], error)
         && print_chain (call, &bench, mhz, error);
}

const DwnCommand dwn_command_chain = {
  .name = "chain",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Gain, noise and level after every part from the antenna to an outlet"),
  .options = (const DwnOption[]) {
    { "mhz", "F", DWN_OPTION_REQUIRED }, { "station", "ID" }, { "outlet", "N" }, { NULL },
  },
  .run = run_chain,
};
