#include "app/sheet-print.h"

#include <glib/gi18n.h>

#include "app/settings.h"

/* Between A4 (297 mm) and Letter (279 mm). */
#define A4_FROM_MM 290.0

typedef struct {
  DwnDocument *document;
  DwnPage page;
} Job;

/* A drawing goes to the top of the page, as wide as it; a page fills it. */
static void
draw_page_cb (GtkPrintOperation *operation, GtkPrintContext *context, int number, gpointer data)
{
  Job *job = data;
  GtkPageSetup *setup = gtk_print_context_get_page_setup (context);
  gboolean letter = gtk_page_setup_get_paper_height (setup, GTK_UNIT_MM) < A4_FROM_MM;
  PangoContext *text = gtk_print_context_create_pango_context (context);
  g_autoptr (DwnScene) scene = dwn_page_scene (job->document, job->page,
                                               letter ? DWN_PAPER_LETTER : DWN_PAPER_A4, text, NULL);
  cairo_t *cr = gtk_print_context_get_cairo_context (context);

  g_object_unref (text);
  if (scene == NULL)
    return;
  double scale = gtk_print_context_get_width (context) / dwn_scene_width (scene);
  cairo_save (cr);
  cairo_scale (cr, scale, scale);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
  cairo_restore (cr);
}

static void
use_paper (GtkPrintOperation *operation, GSettings *settings)
{
  g_autoptr (GtkPageSetup) setup = gtk_page_setup_new ();
  const char *name = settings != NULL && dwn_settings_letter (settings) ? GTK_PAPER_NAME_LETTER : GTK_PAPER_NAME_A4;
  GtkPaperSize *size = gtk_paper_size_new (name);

  gtk_page_setup_set_paper_size_and_default_margins (setup, size);
  gtk_print_operation_set_default_page_setup (operation, setup);
  gtk_paper_size_free (size);
}

gboolean
dwn_page_print (GtkWindow *parent, DwnDocument *document, DwnPage page, const char *path, GError **error)
{
  g_autoptr (GtkPrintOperation) operation = gtk_print_operation_new ();
  Job job = { document, page };
  GtkPrintOperationAction action = path != NULL ? GTK_PRINT_OPERATION_ACTION_EXPORT
                                                : GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG;

  gtk_print_operation_set_n_pages (operation, 1);
  gtk_print_operation_set_use_full_page (operation, TRUE);
  gtk_print_operation_set_embed_page_setup (operation, TRUE);
  gtk_print_operation_set_job_name (operation, dwn_page_title (page));
  use_paper (operation, dwn_document_settings (document));
  if (path != NULL)
    gtk_print_operation_set_export_filename (operation, path);
  g_signal_connect (operation, "draw-page", G_CALLBACK (draw_page_cb), &job);
  return gtk_print_operation_run (operation, action, parent, error) != GTK_PRINT_OPERATION_RESULT_ERROR;
}
