#include "app/window-private.h"

#include <glib/gi18n.h>

#include "app/compare-page.h"
#include "app/guide-strip.h"
#include "app/preview-page.h"
#include "app/settings.h"
#include "app/sheet-print.h"
#include "words/parts-words.h"
#include "words/table-words.h"

static void
add_filter (GtkFileChooser *chooser, const char *name, const char *suffix)
{
  GtkFileFilter *filter = gtk_file_filter_new ();

  gtk_file_filter_set_name (filter, name);
  gtk_file_filter_add_suffix (filter, suffix);
  gtk_file_chooser_add_filter (chooser, filter);
  g_object_unref (filter);
}

static void
choose (DwnWindow *self, const char *title, GtkFileChooserAction action, const char *accept,
        GCallback response_cb)
{
  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self), action, accept, _("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", response_cb, self, G_CONNECT_SWAPPED);
}

/* The file chosen, and the chooser gone. (nullable) (transfer full) */
static GFile *
take_choice (DwnWindow *self, int response)
{
  GFile *file = response == GTK_RESPONSE_ACCEPT
                ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser)) : NULL;

  g_clear_object (&self->chooser);
  return file;
}

static void
open_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GListModel) chosen = response == GTK_RESPONSE_ACCEPT
                                  ? gtk_file_chooser_get_files (GTK_FILE_CHOOSER (self->chooser)) : NULL;
  g_autoptr (GPtrArray) files = g_ptr_array_new_with_free_func (g_object_unref);

  g_clear_object (&self->chooser);
  for (guint i = 0; chosen != NULL && i < g_list_model_get_n_items (chosen); i++)
    g_ptr_array_add (files, g_list_model_get_item (chosen, i));
  if (files->len > 0)
    dwn_window_take_files (self, (GFile *const *) files->pdata, files->len);
}

static void
add_every_filter (GtkFileChooser *chooser)
{
  GtkFileFilter *filter = gtk_file_filter_new ();

  gtk_file_filter_set_name (filter, _("Whatever can be taken in"));
  gtk_file_filter_add_pattern (filter, "*");
  gtk_file_chooser_add_filter (chooser, filter);
  g_object_unref (filter);
}

static void
open_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);

  choose (self, _("Open a plan"), GTK_FILE_CHOOSER_ACTION_OPEN, _("_Open"), G_CALLBACK (open_response_cb));
  gtk_file_chooser_set_select_multiple (GTK_FILE_CHOOSER (self->chooser), TRUE);
  add_filter (GTK_FILE_CHOOSER (self->chooser), _("Antenna plans"), "downlead");
  add_every_filter (GTK_FILE_CHOOSER (self->chooser));
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
remember (GFile *file)
{
  g_autofree char *uri = g_file_get_uri (file);

  gtk_recent_manager_add_item (gtk_recent_manager_get_default (), uri);
}

static void
save_to (DwnWindow *self, GFile *file)
{
  g_autoptr (GError) error = NULL;

  if (dwn_document_save (self->document, file, &error))
    remember (file);
  else
    dwn_window_complain (self, _("The plan was not saved"), error);
}

/* After the question at closing: saved, so go. */
static void
close_if_saved (DwnWindow *self)
{
  if (self->closing && !dwn_document_is_modified (self->document))
    gtk_window_close (GTK_WINDOW (self));
  self->closing = FALSE;
}

static void
save_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);

  if (file != NULL)
    save_to (self, file);
  close_if_saved (self);
}

static char *
suggested_name (DwnWindow *self, const char *suffix)
{
  const char *name = dwn_document_plan (self->document)->site->name;

  return g_strconcat (name[0] != '\0' ? name : _("plan"), suffix, NULL);
}

void
dwn_window_save_as (DwnWindow *self)
{
  g_autofree char *name = suggested_name (self, ".downlead");

  choose (self, _("Save the plan"), GTK_FILE_CHOOSER_ACTION_SAVE, _("_Save"), G_CALLBACK (save_response_cb));
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
save_as_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_window_save_as (DWN_WINDOW (widget));
}

void
dwn_window_save (DwnWindow *self)
{
  GFile *file = dwn_document_file (self->document);

  if (file == NULL)
    {
      dwn_window_save_as (self);
      return;
    }
  if (dwn_window_ask_before_replacing (self))
    return;
  save_to (self, file);
  close_if_saved (self);
}

static void
save_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_window_save (DWN_WINDOW (widget));
}

/* The page in the preview; the install sheet where that is not open. */
static DwnPage
page_shown (DwnWindow *self)
{
  const char *shown = gtk_stack_get_visible_child_name (GTK_STACK (self->pages));

  if (g_strcmp0 (shown, "compare") == 0)
    return DWN_PAGE_COMPARE;
  return g_strcmp0 (shown, "preview") == 0 ? dwn_preview_page_shown (DWN_PREVIEW_PAGE (self->preview))
                                           : DWN_PAGE_SHEET;
}

static void
print_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autoptr (GError) error = NULL;

  if (!dwn_page_print (GTK_WINDOW (self), self->document, page_shown (self), NULL, &error))
    dwn_window_complain (self, _("The page was not printed"), error);
}

/* The ending of the name says in what form: PDF, SVG or PNG. */
static gboolean
write_page (DwnWindow *self, const char *path, GError **error)
{
  GSettings *settings = dwn_document_settings (self->document);
  DwnPaperSize paper = settings != NULL && dwn_settings_letter (settings) ? DWN_PAPER_LETTER : DWN_PAPER_A4;
  PangoContext *text = dwn_page_text ();
  g_autoptr (DwnScene) scene = dwn_page_scene (self->document, page_shown (self), paper, text, error);

  g_object_unref (text);
  return scene != NULL && dwn_scene_write (scene, path, error);
}

static void
export_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;
  g_autoptr (GError) error = NULL;

  if (path != NULL && !write_page (self, path, &error))
    dwn_window_complain (self, _("The page was not written"), error);
}

static void
export_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autofree char *name = suggested_name (self, ".pdf");

  choose (self, _("Save the page as PDF, SVG or PNG"), GTK_FILE_CHOOSER_ACTION_SAVE, _("_Save"),
          G_CALLBACK (export_response_cb));
  add_filter (GTK_FILE_CHOOSER (self->chooser), "PDF", "pdf");
  add_filter (GTK_FILE_CHOOSER (self->chooser), "SVG", "svg");
  add_filter (GTK_FILE_CHOOSER (self->chooser), "PNG", "png");
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

/* "stations" or "parts", as a table. */
static char *
table_text (DwnWindow *self, const char *id)
{
  const DwnTables *tables = dwn_document_tables (self->document);
  DwnFindings findings = dwn_document_findings (self->document);

  if (g_str_equal (id, "stations"))
    return dwn_stations_csv (&findings);
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (findings.plan->gear, &tables->parts_rules);
  return dwn_parts_csv (dwn_document_wording (self->document), list);
}

gboolean
dwn_window_write_table (DwnWindow *self, const char *id, const char *path, GError **error)
{
  g_autofree char *csv = table_text (self, id);

  return g_file_set_contents (path, csv, -1, error);
}

static void
table_response_cb (DwnWindow *self, int response)
{
  g_autofree char *id = g_strdup (g_object_get_data (G_OBJECT (self->chooser), "table"));
  g_autoptr (GFile) file = take_choice (self, response);
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;
  g_autoptr (GError) error = NULL;

  if (path != NULL && !dwn_window_write_table (self, id, path, &error))
    dwn_window_complain (self, _("The table was not written"), error);
}

static void
table_cb (GtkWidget *widget, const char *action, GVariant *id)
{
  DwnWindow *self = DWN_WINDOW (widget);
  const char *table = g_variant_get_string (id, NULL);
  g_autofree char *name = suggested_name (self, g_str_equal (table, "parts") ? _(" parts.csv") : _(" stations.csv"));

  choose (self, _("Save as a table for a spreadsheet"), GTK_FILE_CHOOSER_ACTION_SAVE, _("_Save"),
          G_CALLBACK (table_response_cb));
  g_object_set_data_full (G_OBJECT (self->chooser), "table", g_strdup (table), g_free);
  add_filter (GTK_FILE_CHOOSER (self->chooser), "CSV", "csv");
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
preview_cb (GtkWidget *widget, const char *action, GVariant *id)
{
  DwnWindow *self = DWN_WINDOW (widget);
  DwnPage page;

  if (!dwn_page_from_id (g_variant_get_string (id, NULL), &page))
    return;
  if (self->preview == NULL)
    {
      self->preview = dwn_preview_page_new (self->document);
      gtk_stack_add_named (GTK_STACK (self->pages), self->preview, "preview");
    }
  dwn_preview_page_show (DWN_PREVIEW_PAGE (self->preview), page);
  if (page == DWN_PAGE_SHEET)
    dwn_guide_strip_see (DWN_GUIDE_STRIP (self->guide), "sheet");
  gtk_stack_set_visible_child_name (GTK_STACK (self->pages), "preview");
  gtk_widget_child_focus (self->preview, GTK_DIR_TAB_FORWARD);
}

static void
compare_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  GtkWidget *page = gtk_stack_get_child_by_name (GTK_STACK (self->pages), "compare");

  if (page == NULL)
    {
      page = dwn_compare_page_new (self->document);
      gtk_stack_add_named (GTK_STACK (self->pages), page, "compare");
    }
  gtk_stack_set_visible_child_name (GTK_STACK (self->pages), "compare");
  gtk_widget_child_focus (page, GTK_DIR_TAB_FORWARD);
}

static void
compare_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);
  g_autoptr (GError) error = NULL;

  if (file != NULL && !dwn_comparer_add_file (dwn_comparer_of (self->document), file, &error))
    dwn_window_complain (self, _("The plan could not be opened"), error);
}

static void
compare_file_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);

  choose (self, _("Compare with another plan"), GTK_FILE_CHOOSER_ACTION_OPEN, _("_Compare"),
          G_CALLBACK (compare_response_cb));
  add_filter (GTK_FILE_CHOOSER (self->chooser), _("Antenna plans"), "downlead");
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
back_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  gtk_stack_set_visible_child_name (GTK_STACK (DWN_WINDOW (widget)->pages), "plan");
}

static void
keep_variant_cb (GtkWidget *widget, const char *action, GVariant *side)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autoptr (GError) error = NULL;

  if (dwn_comparer_keep (dwn_comparer_of (self->document), g_variant_get_uint32 (side), &error))
    gtk_widget_activate_action (widget, "win.back", NULL);
  else
    dwn_window_complain (self, _("This variant cannot be kept"), error);
}

void
dwn_window_install_file_actions (GtkWidgetClass *klass)
{
  gtk_widget_class_install_action (klass, "win.open", NULL, open_cb);
  gtk_widget_class_install_action (klass, "win.save", NULL, save_cb);
  gtk_widget_class_install_action (klass, "win.save-as", NULL, save_as_cb);
  gtk_widget_class_install_action (klass, "win.print", NULL, print_cb);
  gtk_widget_class_install_action (klass, "win.export", NULL, export_cb);
  gtk_widget_class_install_action (klass, "win.preview", "s", preview_cb);
  gtk_widget_class_install_action (klass, "win.table", "s", table_cb);
  gtk_widget_class_install_action (klass, "win.compare", NULL, compare_cb);
  gtk_widget_class_install_action (klass, "win.compare-file", NULL, compare_file_cb);
  gtk_widget_class_install_action (klass, "win.keep-variant", "u", keep_variant_cb);
  gtk_widget_class_install_action (klass, "win.back", NULL, back_cb);
}

static void
discard (DwnWindow *self)
{
  g_clear_pointer (&self->autosave, dwn_autosave_free);
  dwn_window_remember_size (self);
  gtk_window_destroy (GTK_WINDOW (self));
}

static void
close_response_cb (DwnWindow *self, int response, GtkWidget *dialog)
{
  gtk_window_destroy (GTK_WINDOW (dialog));
  if (response == GTK_RESPONSE_NO)
    {
      discard (self);
      return;
    }
  self->closing = response == GTK_RESPONSE_YES;
  if (self->closing)
    dwn_window_save (self);
}

gboolean
dwn_window_ask_before_closing (DwnWindow *self)
{
  if (!dwn_document_is_modified (self->document))
    return FALSE;
  GtkWidget *dialog = gtk_message_dialog_new (GTK_WINDOW (self), GTK_DIALOG_MODAL, GTK_MESSAGE_QUESTION,
                                              GTK_BUTTONS_NONE, "%s", _("Save the changes to this plan?"));
  gtk_message_dialog_format_secondary_text (GTK_MESSAGE_DIALOG (dialog), "%s",
                                            _("Without saving, what was changed since is lost."));
  gtk_dialog_add_buttons (GTK_DIALOG (dialog), _("_Discard"), GTK_RESPONSE_NO, _("_Cancel"),
                          GTK_RESPONSE_CANCEL, _("_Save"), GTK_RESPONSE_YES, NULL);
  gtk_dialog_set_default_response (GTK_DIALOG (dialog), GTK_RESPONSE_YES);
  g_signal_connect_object (dialog, "response", G_CALLBACK (close_response_cb), self, G_CONNECT_SWAPPED);
  gtk_window_present (GTK_WINDOW (dialog));
  return TRUE;
}
