/* draw, sheet and customer: a plan on paper. */
#include <glib/gi18n.h>
#include <math.h>
#include <pango/pangocairo.h>

#include "cli/workbench.h"
#include "core/geo/date.h"
#include "core/geo/magnetic.h"
#include "draw/customer.h"
#include "words/parts-words.h"

/* Around a drawing that stands alone. */
#define BORDER 18.0
/* Lines under a staircase. */
#define MOST_REMEDIES 6

/* Declination at the house on the plan's day, or today. */
static gboolean
find_declination (const DwnPlan *plan, double *declination_deg, GError **error)
{
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (error);
  DwnDate date = dwn_today ();

  if (model == NULL)
    return FALSE;
  dwn_date_parse (plan->method->date, &date, NULL);
  *declination_deg = dwn_magnetic_model_declination_deg (model, &plan->site->at, 0.0,
                                                         dwn_date_decimal_year (&date));
  return TRUE;
}

static gboolean
view_plan (const DwnWorkbench *bench, const DwnBudget *budget, DwnPlanView *view, GError **error)
{
  DwnFindings findings = {
    .plan = bench->plan, .fields = bench->fields, .budget = budget,
    .aim_deg = bench->plan->aims->aim_deg,
  };

  if (!find_declination (bench->plan, &findings.declination_deg, error))
    return FALSE;
  dwn_plan_view_init (view, &dwn_wording_metric, &findings, bench->base);
  return TRUE;
}

gboolean
dwn_workbench_view (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                    DwnPlanView *view, GError **error)
{
  if (!view_plan (bench, budget, view, error))
    return FALSE;
  if (bench->plan->stations->n == 0)
    return TRUE;
  view->station = dwn_workbench_station (bench, call, budget, error);
  if (view->station < 0)
    return FALSE;
  if (dwn_call_text (call, "outlet") != NULL)
    view->outlet = dwn_workbench_outlet (bench, call, budget, (guint) view->station, error);
  return dwn_call_text (call, "outlet") == NULL || view->outlet >= 0;
}

/* What one drawing is made of. */
typedef struct {
  DwnPlanView view;
  const DwnCall *call;
  DwnLook look;
  PangoContext *context;
} Easel;

static DwnScene *
draw_rose (Easel *easel, GError **error)
{
  if (dwn_call_text (easel->call, "station") == NULL)
    easel->view.station = -1;
  easel->view.legend = TRUE;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&easel->view);
  return dwn_rose_layout (&rose->data, &easel->look, easel->context, 640.0, 640.0, NULL);
}

static DwnScene *
draw_gear (Easel *easel, GError **error)
{
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&easel->view);

  return dwn_gear_layout (&gear->data, &easel->look, easel->context, 760.0,
                          dwn_gear_height (&gear->data, &easel->look));
}

static gboolean
has_station (const Easel *easel, GError **error)
{
  if (easel->view.station < 0)
    dwn_call_refuse (error, _("the plan has no stations; import a list first"));
  return easel->view.station >= 0;
}

static DwnScene *
draw_path (Easel *easel, GError **error)
{
  if (!has_station (easel, error))
    return NULL;
  const DwnPlan *plan = easel->view.findings.plan;
  g_autoptr (DwnPlanPath) path = dwn_plan_path_new (&easel->view);
  if (path == NULL)
    {
      dwn_call_refuse (error, _("the plan has no profile of the way of %s; survey it with elevation tiles"),
                       plan->stations->station[easel->view.station].id);
      return NULL;
    }
  return dwn_path_layout (&path->data, &easel->look, easel->context, 760.0, 320.0);
}

static DwnScene *
draw_staircase (Easel *easel, GError **error)
{
  const DwnFindings *findings = &easel->view.findings;

  if (!has_station (easel, error))
    return NULL;
  if (findings->budget->n_outlets == 0)
    {
      dwn_call_refuse (error, _("the plan has no outlet; its gear needs a part of kind outlet"));
      return NULL;
    }
  guint station = (guint) easel->view.station, outlet = dwn_plan_view_outlet (&easel->view);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (easel->view.base, findings->aim_deg, station, outlet);
  g_autoptr (DwnRemedies) remedies = dwn_remedies_new (easel->view.base, findings->aim_deg, station, outlet,
                                                       NULL, error);
  if (remedies == NULL)
    return NULL;
  g_autoptr (DwnPlanStaircase) staircase = dwn_plan_staircase_new (&easel->view, diagnosis, remedies,
                                                                   MOST_REMEDIES);
  if (staircase == NULL)
    {
      dwn_call_refuse (error, _("nothing leads from an antenna to outlet %d"), (int) outlet + 1);
      return NULL;
    }
  return dwn_staircase_layout (&staircase->data, &easel->look, easel->context, 760.0, 460.0);
}

static const struct {
  const char *name;
  DwnScene *(*draw) (Easel *easel, GError **error);
} drawings[] = {
  { "rose", draw_rose },
  { "path", draw_path },
  { "staircase", draw_staircase },
  { "gear", draw_gear },
};

static gboolean
run_draw (DwnCall *call, GError **error)
{
  const char *what = dwn_call_text (call, "what");
  g_auto (DwnWorkbench) bench = { 0 };
  Easel easel = { .call = call, .look = dwn_look_light () };
  gsize i = 0;

  while (i < G_N_ELEMENTS (drawings) && !g_str_equal (what, drawings[i].name))
    i++;
  if (i == G_N_ELEMENTS (drawings))
    {
      dwn_call_refuse (error, _("--what %s: rose, path, staircase or gear was expected"), what);
      return FALSE;
    }
  if (!dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  if (!dwn_workbench_view (&bench, call, budget, &easel.view, error))
    return FALSE;

  easel.context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  g_autoptr (DwnScene) scene = drawings[i].draw (&easel, error);
  g_object_unref (easel.context);
  if (scene == NULL)
    return FALSE;
  g_autoptr (DwnScene) framed = dwn_scene_inset (scene, BORDER);
  return dwn_scene_write (framed, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_draw = {
  .name = "draw",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Draw rose, path, staircase or gear as PDF, SVG or PNG"),
  .options = (const DwnOption[]) {
    { "what", "rose|path|staircase|gear", DWN_OPTION_REQUIRED }, { "station", "ID" },
    { "outlet", "N" }, { "o", "FILE.(pdf|svg|png)", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_draw,
};

static gboolean
read_paper (const DwnCall *call, DwnPaperSize *size, GError **error)
{
  const char *paper = dwn_call_text (call, "paper");

  *size = g_strcmp0 (paper, "letter") == 0 ? DWN_PAPER_LETTER : DWN_PAPER_A4;
  if (paper == NULL || g_str_equal (paper, "a4") || g_str_equal (paper, "letter"))
    return TRUE;
  dwn_call_refuse (error, _("--paper %s: a4 or letter was expected"), paper);
  return FALSE;
}

/* The parts list beside the sheet, for a spreadsheet, where it is asked for. */
static gboolean
write_parts (const DwnWorkbench *bench, const DwnCall *call, GError **error)
{
  const char *path = dwn_call_text (call, "parts");

  if (path == NULL)
    return TRUE;
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (bench->plan->gear, &bench->tables->parts_rules);
  g_autofree char *csv = dwn_parts_csv (&dwn_wording_metric, list);
  return g_file_set_contents (path, csv, -1, error);
}

static gboolean
run_sheet (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  DwnPaperSize size;
  DwnPlanView view;

  if (!read_paper (call, &size, error) || !dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  if (!view_plan (&bench, budget, &view, error))
    return FALSE;

  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  g_autoptr (DwnScene) scene = dwn_call_flag (call, "as-built")
                               ? dwn_sheet_layout_built (&view, bench.tables, context, size)
                               : dwn_sheet_layout (&view, context, size);
  g_object_unref (context);
  return write_parts (&bench, call, error) && dwn_scene_write (scene, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_sheet = {
  .name = "sheet",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Write the install sheet, one page, as PDF"),
  .options = (const DwnOption[]) {
    { "o", "FILE.pdf", DWN_OPTION_REQUIRED }, { "paper", "a4|letter" },
    { "as-built", NULL, DWN_OPTION_FLAG }, { "parts", "FILE.csv" }, { NULL },
  },
  .run = run_sheet,
};

static DwnScene *
lay_out_customer (const DwnPlanView *view, DwnPaperSize size, GError **error)
{
  const DwnFindings *findings = &view->findings;
  guint station = (guint) view->station, outlet = dwn_plan_view_outlet (view);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (view->base, findings->aim_deg, station, outlet);
  g_autoptr (DwnRemedies) remedies = dwn_remedies_new (view->base, findings->aim_deg, station, outlet, NULL,
                                                       error);

  if (remedies == NULL)
    return NULL;
  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  DwnScene *scene = dwn_customer_layout (view, diagnosis, remedies, context, size);
  g_object_unref (context);
  return scene;
}

static gboolean
run_customer (DwnCall *call, GError **error)
{
  g_auto (DwnWorkbench) bench = { 0 };
  DwnPaperSize size;
  DwnPlanView view;

  if (!read_paper (call, &size, error) || !dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  if (!dwn_workbench_view (&bench, call, budget, &view, error))
    return FALSE;
  if (dwn_workbench_station (&bench, call, budget, error) < 0
      || dwn_workbench_outlet (&bench, call, budget, (guint) view.station, error) < 0)
    return FALSE;
  g_autoptr (DwnScene) scene = lay_out_customer (&view, size, error);
  return scene != NULL && dwn_scene_write (scene, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_customer = {
  .name = "customer",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Write the page that explains one station to a customer, as PDF"),
  .options = (const DwnOption[]) {
    { "station", "ID", DWN_OPTION_REQUIRED }, { "outlet", "N" },
    { "o", "FILE.pdf", DWN_OPTION_REQUIRED }, { "paper", "a4|letter" }, { NULL },
  },
  .run = run_customer,
};
