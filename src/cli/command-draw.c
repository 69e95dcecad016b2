/* draw and sheet: a plan on paper. */
#include <glib/gi18n.h>
#include <math.h>
#include <pango/pangocairo.h>

#include "cli/workbench.h"
#include "core/geo/date.h"
#include "core/geo/magnetic.h"
#include "draw/sheet.h"

/* Around a drawing that stands alone. */
#define BORDER 18.0

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

static DwnScene *
draw_rose (DwnPlanView *view, const DwnCall *call, const DwnLook *look, PangoContext *context)
{
  if (dwn_call_text (call, "station") == NULL)
    view->station = -1;
  view->legend = TRUE;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (view);
  return dwn_rose_layout (&rose->data, look, context, 640.0, 640.0, NULL);
}

static DwnScene *
draw_gear (DwnPlanView *view, const DwnCall *call, const DwnLook *look, PangoContext *context)
{
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (view);

  return dwn_gear_layout (&gear->data, look, context, 760.0, dwn_gear_height (&gear->data, look));
}

static const struct {
  const char *name;
  DwnScene *(*draw) (DwnPlanView *view, const DwnCall *call, const DwnLook *look, PangoContext *context);
} drawings[] = {
  { "rose", draw_rose },
  { "gear", draw_gear },
};

static gboolean
run_draw (DwnCall *call, GError **error)
{
  const char *what = dwn_call_text (call, "what");
  g_auto (DwnWorkbench) bench = { 0 };
  DwnPlanView view;
  gsize i = 0;

  while (i < G_N_ELEMENTS (drawings) && !g_str_equal (what, drawings[i].name))
    i++;
  if (i == G_N_ELEMENTS (drawings))
    {
      dwn_call_refuse (error, _("--what %s: rose or gear was expected"), what);
      return FALSE;
    }
  if (!dwn_workbench_open (&bench, call->arguments[0], error))
    return FALSE;
  g_autoptr (DwnBudget) budget = dwn_budget_new (bench.base, bench.plan->aims->aim_deg);
  if (!dwn_workbench_view (&bench, call, budget, &view, error))
    return FALSE;

  DwnLook look = dwn_look_light ();
  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  g_autoptr (DwnScene) scene = drawings[i].draw (&view, call, &look, context);
  g_object_unref (context);
  g_autoptr (DwnScene) framed = dwn_scene_inset (scene, BORDER);
  return dwn_scene_write (framed, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_draw = {
  .name = "draw",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Draw the rose or the gear as PDF, SVG or PNG"),
  .options = (const DwnOption[]) {
    { "what", "rose|gear", DWN_OPTION_REQUIRED }, { "station", "ID" },
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
  g_autoptr (DwnScene) scene = dwn_sheet_layout (&view, context, size);
  g_object_unref (context);
  return dwn_scene_write (scene, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_sheet = {
  .name = "sheet",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Write the install sheet, one page, as PDF"),
  .options = (const DwnOption[]) {
    { "o", "FILE.pdf", DWN_OPTION_REQUIRED }, { "paper", "a4|letter" }, { NULL },
  },
  .run = run_sheet,
};
