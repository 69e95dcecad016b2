#include "app/sheet-print.h"

#include <glib/gi18n.h>

#include "draw/sheet.h"

/* Between A4 (297 mm) and Letter (279 mm). */
#define A4_FROM_MM 290.0

static void
draw_page_cb (GtkPrintOperation *operation, GtkPrintContext *context, int page, gpointer document)
{
  GtkPageSetup *setup = gtk_print_context_get_page_setup (context);
  gboolean letter = gtk_page_setup_get_paper_height (setup, GTK_UNIT_MM) < A4_FROM_MM;
  DwnPlanView view = dwn_document_view (document);
  PangoContext *text = gtk_print_context_create_pango_context (context);
  g_autoptr (DwnScene) scene = dwn_sheet_layout (&view, text, letter ? DWN_PAPER_LETTER : DWN_PAPER_A4);
  cairo_t *cr = gtk_print_context_get_cairo_context (context);
  double scale = gtk_print_context_get_width (context) / dwn_scene_width (scene);

  g_object_unref (text);
  cairo_save (cr);
  cairo_scale (cr, scale, scale);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
  cairo_restore (cr);
}

gboolean
dwn_sheet_print (GtkWindow *parent, DwnDocument *document, const char *path, GError **error)
{
  g_autoptr (GtkPrintOperation) operation = gtk_print_operation_new ();
  GtkPrintOperationAction action = path != NULL ? GTK_PRINT_OPERATION_ACTION_EXPORT
                                                : GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG;

  gtk_print_operation_set_n_pages (operation, 1);
  gtk_print_operation_set_use_full_page (operation, TRUE);
  gtk_print_operation_set_job_name (operation, _("Install sheet"));
  if (path != NULL)
    gtk_print_operation_set_export_filename (operation, path);
  g_signal_connect_object (operation, "draw-page", G_CALLBACK (draw_page_cb), document, 0);
  return gtk_print_operation_run (operation, action, parent, error) != GTK_PRINT_OPERATION_RESULT_ERROR;
}
