#include "app/application.h"

#include <glib/gi18n.h>

#include "app/window.h"
#include "config.h"
#include "core/plan/document.h"
#include "downlead-app.h"

#define DEMO "/io/github/downlead/app/demo.downlead"
#define STYLE "/io/github/downlead/app/style.css"

struct _DwnApplication {
  GtkApplication parent_instance;
  DwnTables *tables; /* read when the first window opens */
};

G_DEFINE_FINAL_TYPE (DwnApplication, dwn_application, GTK_TYPE_APPLICATION)

static void
complain (DwnApplication *self, const char *title, const GError *error)
{
  GtkWidget *dialog = gtk_message_dialog_new (gtk_application_get_active_window (GTK_APPLICATION (self)), 0,
                                              GTK_MESSAGE_ERROR, GTK_BUTTONS_CLOSE, "%s", title);

  gtk_message_dialog_format_secondary_text (GTK_MESSAGE_DIALOG (dialog), "%s", error->message);
  gtk_window_set_application (GTK_WINDOW (dialog), GTK_APPLICATION (self));
  g_signal_connect (dialog, "response", G_CALLBACK (gtk_window_destroy), NULL);
  gtk_window_present (GTK_WINDOW (dialog));
}

static DwnDocument *
document_new (DwnApplication *self, GError **error)
{
  if (self->tables == NULL)
    self->tables = dwn_tables_new (error);
  return self->tables != NULL ? dwn_document_new (self->tables) : NULL;
}

static gboolean
show_demo (DwnApplication *self, DwnDocument *document, GError **error)
{
  g_autoptr (GBytes) bytes = g_resource_lookup_data (downlead_app_get_resource (), DEMO, 0, error);
  g_autoptr (DwnPlan) plan = bytes == NULL ? NULL
    : dwn_plan_read (bytes, "demo.downlead", self->tables->parts, self->tables->catalogue, NULL, error);

  return plan != NULL && dwn_document_take (document, plan, error);
}

/* A window on @file, or on the demo where there is none. */
static void
open_window (DwnApplication *self, GFile *file)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnDocument) document = document_new (self, &error);

  if (document != NULL && (file != NULL ? dwn_document_open (document, file, &error)
                                        : show_demo (self, document, &error)))
    gtk_window_present (GTK_WINDOW (dwn_window_new (GTK_APPLICATION (self), document)));
  else
    complain (self, _("The plan could not be opened"), error);
}

static void
dwn_application_activate (GApplication *application)
{
  GtkWindow *window = gtk_application_get_active_window (GTK_APPLICATION (application));

  if (window != NULL)
    gtk_window_present (window);
  else
    open_window (DWN_APPLICATION (application), NULL);
}

static void
dwn_application_open (GApplication *application, GFile **files, int n_files, const char *hint)
{
  for (int i = 0; i < n_files; i++)
    open_window (DWN_APPLICATION (application), files[i]);
}

static void
about_cb (GSimpleAction *action, GVariant *unused, gpointer application)
{
  gtk_show_about_dialog (gtk_application_get_active_window (application),
                         "program-name", "Downlead", "version", DWN_VERSION,
                         "logo-icon-name", DWN_APP_ID, "license-type", GTK_LICENSE_GPL_3_0,
                         "comments", _("Plans a television antenna. What it says is for planning: the local "
                                       "code and a licensed practitioner decide."), NULL);
}

static void
quit_cb (GSimpleAction *action, GVariant *unused, gpointer application)
{
  GList *windows = g_list_copy (gtk_application_get_windows (application));

  for (GList *at = windows; at != NULL; at = at->next)
    gtk_window_close (at->data);
  g_list_free (windows);
}

static void
add_shortcuts (GtkApplication *application)
{
  static const struct {
    const char *action;
    const char *keys[3];
  } shortcuts[] = {
    { "win.open", { "<Control>o" } },        { "win.save", { "<Control>s" } },
    { "win.save-as", { "<Control><Shift>s" } }, { "win.undo", { "<Control>z" } },
    { "win.redo", { "<Control><Shift>z", "<Control>y" } }, { "win.print", { "<Control>p" } },
    { "win.export", { "<Control>e" } },      { "app.quit", { "<Control>q" } },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (shortcuts); i++)
    gtk_application_set_accels_for_action (application, shortcuts[i].action, shortcuts[i].keys);
}

static void
dwn_application_startup (GApplication *application)
{
  static const GActionEntry actions[] = { { .name = "about", .activate = about_cb },
                                          { .name = "quit", .activate = quit_cb } };

  G_APPLICATION_CLASS (dwn_application_parent_class)->startup (application);
  g_autoptr (GtkCssProvider) style = gtk_css_provider_new ();
  gtk_css_provider_load_from_resource (style, STYLE);
  gtk_style_context_add_provider_for_display (gdk_display_get_default (), GTK_STYLE_PROVIDER (style),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  g_action_map_add_action_entries (G_ACTION_MAP (application), actions, G_N_ELEMENTS (actions), application);
  add_shortcuts (GTK_APPLICATION (application));
}

static void
dwn_application_finalize (GObject *object)
{
  g_clear_pointer (&DWN_APPLICATION (object)->tables, dwn_tables_unref);
  G_OBJECT_CLASS (dwn_application_parent_class)->finalize (object);
}

static void
dwn_application_class_init (DwnApplicationClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = dwn_application_finalize;
  G_APPLICATION_CLASS (klass)->startup = dwn_application_startup;
  G_APPLICATION_CLASS (klass)->activate = dwn_application_activate;
  G_APPLICATION_CLASS (klass)->open = dwn_application_open;
}

static void
dwn_application_init (DwnApplication *self)
{
  g_resources_register (downlead_app_get_resource ());
}

DwnApplication *
dwn_application_new (void)
{
  return g_object_new (DWN_TYPE_APPLICATION, "application-id", DWN_APP_ID, "flags",
                       G_APPLICATION_HANDLES_OPEN, NULL);
}
