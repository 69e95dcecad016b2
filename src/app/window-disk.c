#include "app/window-private.h"

#include <glib/gi18n.h>

#define TOPIC "disk"

static char *
file_name (DwnWindow *self)
{
  return g_file_get_basename (dwn_document_file (self->document));
}

static void
say_changed (DwnWindow *self)
{
  static const char *const captions[] = { N_("_Read it anew"), N_("_Keep mine") };
  g_autofree char *name = file_name (self);
  g_autofree char *text = g_strdup_printf (
    dwn_document_is_modified (self->document)
      /* Translators: %s is a file name */
      ? _("Another program has changed %s. Reading it anew puts your own changes aside; Undo brings them back.")
      : _("Another program has changed %s."), name);
  const DwnNoticeButton buttons[] = { { _(captions[0]), "win.reload" }, { _(captions[1]), "win.keep-mine" } };

  dwn_notice_show (DWN_NOTICE (self->notice), TOPIC, text, G_N_ELEMENTS (buttons), buttons, "win.keep-mine");
}

/* What only this window holds now counts as not saved: autosave keeps it, and closing asks. */
static void
say_gone (DwnWindow *self)
{
  g_autofree char *name = file_name (self);
  g_autofree char *text = g_strdup_printf (_("%s is no longer where it was. The plan is still here; save it to keep it."),
                                           name);
  const DwnNoticeButton button = { _("Save _As…"), "win.save-as" };

  dwn_document_keep_mine (self->document);
  dwn_notice_show (DWN_NOTICE (self->notice), TOPIC, text, 1, &button, NULL);
}

static void
disk_cb (DwnDiskState state, gpointer data)
{
  DwnWindow *self = data;

  if (state == DWN_DISK_CHANGED)
    say_changed (self);
  else if (state == DWN_DISK_GONE)
    say_gone (self);
  else
    dwn_notice_close (DWN_NOTICE (self->notice), TOPIC);
}

/* Turned to, or away from. */
static void
active_cb (DwnWindow *self)
{
  if (self->disk != NULL)
    dwn_disk_watch_look (self->disk);
}

void
dwn_window_watch_disk (DwnWindow *self)
{
  self->disk = dwn_disk_watch_new (self->document, disk_cb, self);
  g_signal_connect (self, "notify::is-active", G_CALLBACK (active_cb), NULL);
}

static void
reload_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autoptr (GError) error = NULL;

  if (dwn_document_file (self->document) != NULL && !dwn_document_reload (self->document, &error))
    dwn_window_complain (self, _("The plan could not be read anew; yours stays"), error);
}

static void
keep_mine_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);

  if (dwn_document_file (self->document) != NULL)
    dwn_document_keep_mine (self->document);
}

void
dwn_window_install_disk_actions (GtkWidgetClass *klass)
{
  gtk_widget_class_install_action (klass, "win.reload", NULL, reload_cb);
  gtk_widget_class_install_action (klass, "win.keep-mine", NULL, keep_mine_cb);
}

static void
replace_response_cb (DwnWindow *self, int response, GtkWidget *dialog)
{
  gtk_window_destroy (GTK_WINDOW (dialog));
  if (response == GTK_RESPONSE_YES)
    {
      dwn_document_keep_mine (self->document);
      dwn_window_save (self);
    }
  else if (response == GTK_RESPONSE_NO)
    dwn_window_save_as (self);
  else
    self->closing = FALSE;
}

gboolean
dwn_window_ask_before_replacing (DwnWindow *self)
{
  if (dwn_document_disk (self->document) != DWN_DISK_CHANGED)
    return FALSE;
  g_autofree char *name = file_name (self);
  GtkWidget *dialog = gtk_message_dialog_new (GTK_WINDOW (self), GTK_DIALOG_MODAL, GTK_MESSAGE_QUESTION,
                                              GTK_BUTTONS_NONE, _("Replace %s?"), name);
  gtk_message_dialog_format_secondary_text (GTK_MESSAGE_DIALOG (dialog), "%s",
                                            _("Another program has changed the file since it was opened here."));
  gtk_dialog_add_buttons (GTK_DIALOG (dialog), _("_Cancel"), GTK_RESPONSE_CANCEL, _("Save _As…"), GTK_RESPONSE_NO,
                          _("_Replace"), GTK_RESPONSE_YES, NULL);
  gtk_dialog_set_default_response (GTK_DIALOG (dialog), GTK_RESPONSE_NO);
  g_signal_connect_object (dialog, "response", G_CALLBACK (replace_response_cb), self, G_CONNECT_SWAPPED);
  gtk_window_present (GTK_WINDOW (dialog));
  return TRUE;
}
