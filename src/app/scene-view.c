#include "app/scene-view.h"

#define POINTS_A_PX (96.0 / 72.0)

DwnLook
dwn_widget_look (GtkWidget *widget)
{
  GtkSettings *settings = gtk_widget_get_settings (widget);
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  g_autofree char *theme = NULL;
  gboolean prefers_dark = FALSE;
  GdkRGBA ink;

  g_object_get (settings, "gtk-theme-name", &theme, "gtk-application-prefer-dark-theme", &prefers_dark,
                NULL);
  gtk_style_context_get_color (style, &ink);
  gboolean dark = 0.3 * (double) ink.red + 0.59 * (double) ink.green + 0.11 * (double) ink.blue > 0.5;
  gboolean contrast = theme != NULL && (g_strrstr (theme, "HighContrast") != NULL || g_strrstr (theme, "-hc") != NULL);
  DwnLook look = contrast ? dwn_look_high_contrast (dark) : dark ? dwn_look_dark () : dwn_look_light ();
  PangoContext *context = gtk_widget_get_pango_context (widget);
  double resolution = pango_cairo_context_get_resolution (context);

  dwn_look_set_font (&look, pango_context_get_font_description (context),
                     resolution > 0.0 ? resolution / 72.0 : POINTS_A_PX, 1.0);
  look.right_to_left = gtk_widget_get_direction (widget) == GTK_TEXT_DIR_RTL;
  return look;
}

void
dwn_widget_follow_look (GtkWidget *widget)
{
  DwnLook look = dwn_widget_look (widget);
  gboolean dark = dwn_colour_luminance (look.ground) < 0.2;

  if (dark == gtk_widget_has_css_class (widget, "dark"))
    return;
  if (dark)
    gtk_widget_add_css_class (widget, "dark");
  else
    gtk_widget_remove_css_class (widget, "dark");
}

DwnPlanView
dwn_document_view (DwnDocument *document)
{
  DwnFindings findings = dwn_document_findings (document);
  DwnPlanView view;

  dwn_plan_view_init (&view, dwn_document_wording (document), &findings, dwn_document_base (document));
  view.station = dwn_document_selected (document);
  view.window_from_deg = dwn_document_window_from_deg (document);
  view.window_to_deg = dwn_document_window_to_deg (document);
  return view;
}

void
dwn_snapshot_scene (GtkSnapshot *snapshot, const DwnScene *scene, DwnLayer layer,
                    const graphene_rect_t *bounds)
{
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, bounds);

  dwn_scene_paint (scene, layer, cr);
  cairo_destroy (cr);
}

void
dwn_widget_keep_drawing (GtkWidget *widget)
{
  gtk_widget_set_direction (widget, GTK_TEXT_DIR_LTR);
}
