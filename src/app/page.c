#include "app/page.h"

#include <gio/gio.h>
#include <glib/gi18n.h>
#include <pango/pangocairo.h>

#include "app/comparer.h"
#include "app/explainer.h"
#include "app/scene-view.h"
#include "draw/customer.h"

#define WIDTH 760.0
#define ROSE_SIZE 640.0
#define PATH_HEIGHT 320.0
#define STAIRS_HEIGHT 460.0
#define BORDER 18.0
#define MOST_REMEDIES 6

static const struct {
  const char *id, *title;
} pages[DWN_N_PAGES] = {
  { "sheet", N_("Install sheet") },        { "as-built", N_("Sheet as built") },
  { "customer", N_("Page for the customer") },
  { "rose", N_("Rose") },                  { "gear", N_("Wiring") },
  { "compare", N_("Two variants side by side") },
  { "path", N_("Way of the station") },    { "staircase", N_("Loss staircase of the station") },
};

const char *
dwn_page_id (DwnPage page)
{
  return pages[page].id;
}

gboolean
dwn_page_from_id (const char *id, DwnPage *page)
{
  for (guint i = 0; i < DWN_N_PAGES; i++)
    if (g_str_equal (pages[i].id, id))
      {
        *page = (DwnPage) i;
        return TRUE;
      }
  return FALSE;
}

const char *
dwn_page_title (DwnPage page)
{
  return _(pages[page].title);
}

PangoContext *
dwn_page_text (void)
{
  return pango_font_map_create_context (pango_cairo_font_map_get_default ());
}

static DwnScene *
frame (DwnScene *scene)
{
  DwnScene *framed = dwn_scene_inset (scene, BORDER);

  dwn_scene_unref (scene);
  return framed;
}

static DwnScene *
draw_rose (const DwnPlanView *view, const DwnLook *look, PangoContext *text)
{
  DwnPlanView all = *view;

  all.legend = TRUE;
  all.station = -1;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&all);
  return frame (dwn_rose_layout (&rose->data, look, text, ROSE_SIZE, ROSE_SIZE, NULL));
}

static DwnScene *
draw_gear (const DwnPlanView *view, const DwnLook *look, PangoContext *text)
{
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (view);

  return frame (dwn_gear_layout (&gear->data, look, text, WIDTH, dwn_gear_height (&gear->data, look)));
}

static DwnScene *
draw_path (const DwnPlanView *view, const DwnLook *look, PangoContext *text, GError **error)
{
  g_autoptr (DwnPlanPath) path = dwn_plan_path_new (view);

  if (path != NULL)
    return frame (dwn_path_layout (&path->data, look, text, WIDTH, PATH_HEIGHT));
  g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
                       _("There is no ground profile for this station. With elevation tiles, Site draws one."));
  return NULL;
}

static DwnScene *
draw_staircase (const DwnPlanView *view, DwnExplainer *explainer, const DwnLook *look, PangoContext *text,
                GError **error)
{
  g_autoptr (DwnPlanStaircase) stairs = dwn_plan_staircase_new (view, dwn_explainer_diagnosis (explainer),
                                                                dwn_explainer_remedies (explainer), MOST_REMEDIES);

  if (stairs != NULL)
    return frame (dwn_staircase_layout (&stairs->data, look, text, WIDTH, STAIRS_HEIGHT));
  g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND, _("Nothing leads from an antenna to this outlet."));
  return NULL;
}

static DwnScene *
draw_comparison (DwnDocument *document, DwnPaperSize paper, PangoContext *text, GError **error)
{
  DwnComparer *comparer = dwn_comparer_of (document);
  DwnComparedView sides[2];
  const DwnComparison *comparison = dwn_comparer_result (comparer, sides, error);

  if (comparison != NULL)
    return dwn_compare_layout (sides, comparison, text, paper);
  dwn_comparer_refresh (comparer);
  return NULL;
}

DwnScene *
dwn_page_scene (DwnDocument *document, DwnPage page, DwnPaperSize paper, PangoContext *text, GError **error)
{
  DwnExplainer *explainer = dwn_explainer_of (document);
  const DwnDiagnosis *diagnosis = dwn_explainer_diagnosis (explainer);
  const DwnRemedies none = { 0 }, *remedies = dwn_explainer_remedies (explainer);
  DwnPlanView view = dwn_document_view (document);
  const DwnLook look = dwn_look_light ();

  if (page == DWN_PAGE_SHEET)
    return dwn_sheet_layout (&view, text, paper);
  if (page == DWN_PAGE_BUILT)
    return dwn_sheet_layout_built (&view, dwn_document_tables (document), text, paper);
  if (page == DWN_PAGE_ROSE)
    return draw_rose (&view, &look, text);
  if (page == DWN_PAGE_GEAR)
    return draw_gear (&view, &look, text);
  if (page == DWN_PAGE_COMPARE)
    return draw_comparison (document, paper, text, error);
  if (diagnosis == NULL)
    {
      g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND, _("Choose a station first."));
      return NULL;
    }
  if (page == DWN_PAGE_PATH)
    return draw_path (&view, &look, text, error);
  if (page == DWN_PAGE_STAIRCASE)
    return draw_staircase (&view, explainer, &look, text, error);
  return dwn_customer_layout (&view, diagnosis, remedies != NULL ? remedies : &none, text, paper);
}
