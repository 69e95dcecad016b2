#include "app/application.h"

#include <glib/gi18n.h>

#include "app/autosave.h"
#include "app/incoming.h"
#include "app/preferences.h"
#include "app/settings.h"
#include "app/shortcuts.h"
#include "app/window.h"
#include "config.h"
#include "core/plan/document.h"
#include "downlead-app.h"

#define DEMO "/io/github/downlead/app/demo.downlead"
#define STYLE "/io/github/downlead/app/style.css"

struct _DwnApplication {
  GtkApplication parent_instance;
  GSettings *settings; /* nullable */
  DwnTables *tables;   /* read when the first window opens */
  gboolean recovered;  /* what earlier runs left was looked for */
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
  if (self->tables == NULL)
    return NULL;
  DwnDocument *document = dwn_document_new (self->tables);
  if (self->settings != NULL)
    dwn_document_use_settings (document, self->settings);
  return document;
}

static gboolean
show_example (DwnApplication *self, DwnDocument *document, GError **error)
{
  g_autoptr (GBytes) bytes = g_resource_lookup_data (downlead_app_get_resource (), DEMO, 0, error);
  g_autoptr (DwnPlan) plan = bytes == NULL ? NULL
    : dwn_plan_read (bytes, "demo.downlead", self->tables->parts, self->tables->catalogue, NULL, error);

  return plan != NULL && dwn_document_take (document, plan, error);
}

/* The active window where it has no plan yet, otherwise a new one. NULL with @error. */
static DwnWindow *
empty_window (DwnApplication *self, GError **error)
{
  GtkWindow *active = gtk_application_get_active_window (GTK_APPLICATION (self));

  if (DWN_IS_WINDOW (active) && dwn_document_plan (dwn_window_document (DWN_WINDOW (active))) == NULL)
    return DWN_WINDOW (active);
  g_autoptr (DwnDocument) document = document_new (self, error);
  return document != NULL ? dwn_window_new (GTK_APPLICATION (self), document) : NULL;
}

/* The window that has this file open already. (nullable) */
static GtkWindow *
window_of (DwnApplication *self, GFile *file)
{
  for (GList *at = gtk_application_get_windows (GTK_APPLICATION (self)); at != NULL; at = at->next)
    {
      GFile *shown = DWN_IS_WINDOW (at->data) ? dwn_document_file (dwn_window_document (at->data)) : NULL;
      if (shown != NULL && g_file_equal (shown, file))
        return at->data;
    }
  return NULL;
}

static void
open_file (DwnApplication *self, GFile *file)
{
  g_autoptr (GError) error = NULL;
  GtkWindow *open = window_of (self, file);
  DwnWindow *window = open == NULL ? empty_window (self, &error) : NULL;

  if (open != NULL)
    {
      gtk_window_present (open);
      return;
    }
  if (window == NULL)
    {
      complain (self, _("Downlead cannot begin"), error);
      return;
    }
  gtk_window_present (GTK_WINDOW (window));
  if (dwn_document_open (dwn_window_document (window), file, &error))
    {
      g_autofree char *uri = g_file_get_uri (file);
      gtk_recent_manager_add_item (gtk_recent_manager_get_default (), uri);
    }
  else
    dwn_window_complain (window, _("The plan could not be opened"), error);
}

/* Every plan that a dead process left behind; once a run. */
static void
recover (DwnApplication *self)
{
  g_autoptr (GPtrArray) paths = self->recovered ? NULL : dwn_autosave_orphans ();

  self->recovered = TRUE;
  for (guint i = 0; paths != NULL && i < paths->len; i++)
    {
      g_autoptr (GError) error = NULL;
      const char *path = g_ptr_array_index (paths, i);
      DwnWindow *window = empty_window (self, &error);

      if (window != NULL && dwn_window_recover (window, path, &error))
        gtk_window_present (GTK_WINDOW (window));
      else if (window != NULL)
        {
          gtk_window_destroy (GTK_WINDOW (window));
          complain (self, _("What was not saved could not be read again; it stays where it is"), error);
        }
    }
}

static void
new_cb (GSimpleAction *action, GVariant *unused, gpointer data)
{
  DwnApplication *self = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnDocument) document = document_new (self, &error);

  if (document != NULL)
    gtk_window_present (GTK_WINDOW (dwn_window_new (GTK_APPLICATION (self), document)));
  else
    complain (self, _("Downlead cannot begin"), error);
}

static void
dwn_application_activate (GApplication *application)
{
  recover (DWN_APPLICATION (application));
  GtkWindow *window = gtk_application_get_active_window (GTK_APPLICATION (application));

  if (window != NULL)
    gtk_window_present (window);
  else
    new_cb (NULL, NULL, application);
}

/* What is no plan goes to the window that is turned to. */
static void
take_others (DwnApplication *self, GPtrArray *files)
{
  g_autoptr (GError) error = NULL;
  GtkWindow *active = gtk_application_get_active_window (GTK_APPLICATION (self));
  DwnWindow *window = DWN_IS_WINDOW (active) ? DWN_WINDOW (active) : empty_window (self, &error);

  if (window == NULL)
    {
      complain (self, _("Downlead cannot begin"), error);
      return;
    }
  gtk_window_present (GTK_WINDOW (window));
  dwn_window_take_files (window, (GFile *const *) files->pdata, files->len);
}

static gboolean
is_other (GFile *file)
{
  g_autofree char *path = g_file_get_path (file);

  return path != NULL && g_file_test (path, G_FILE_TEST_EXISTS) && dwn_incoming_of (path) != DWN_INCOMING_PLAN;
}

static void
dwn_application_open (GApplication *application, GFile **files, int n_files, const char *hint)
{
  g_autoptr (GPtrArray) others = g_ptr_array_new ();

  recover (DWN_APPLICATION (application));
  for (int i = 0; i < n_files; i++)
    if (is_other (files[i]))
      g_ptr_array_add (others, files[i]);
    else
      open_file (DWN_APPLICATION (application), files[i]);
  if (others->len > 0)
    take_others (DWN_APPLICATION (application), others);
}

static void
example_cb (GSimpleAction *action, GVariant *unused, gpointer data)
{
  DwnApplication *self = data;
  g_autoptr (GError) error = NULL;
  DwnWindow *window = empty_window (self, &error);

  if (window != NULL && show_example (self, dwn_window_document (window), &error))
    gtk_window_present (GTK_WINDOW (window));
  else
    complain (self, _("The example could not be opened"), error);
}

static void
open_recent_cb (GSimpleAction *action, GVariant *uri, gpointer data)
{
  g_autoptr (GFile) file = g_file_new_for_uri (g_variant_get_string (uri, NULL));

  open_file (data, file);
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
preferences_cb (GSimpleAction *action, GVariant *unused, gpointer data)
{
  DwnApplication *self = data;

  if (self->settings != NULL)
    gtk_window_present (dwn_preferences_new (gtk_application_get_active_window (data), self->settings, self->tables));
}

static void
show_page (DwnApplication *self, const char *page)
{
  g_autofree char *uri = g_strdup_printf ("help:downlead/%s", page);

  gtk_show_uri (gtk_application_get_active_window (GTK_APPLICATION (self)), uri, GDK_CURRENT_TIME);
}

/* F1: the page about what is shown. */
static void
help_cb (GSimpleAction *action, GVariant *unused, gpointer data)
{
  GtkWindow *window = gtk_application_get_active_window (data);

  show_page (data, DWN_IS_WINDOW (window) ? dwn_window_help (DWN_WINDOW (window)) : "index");
}

static void
help_page_cb (GSimpleAction *action, GVariant *page, gpointer data)
{
  show_page (data, g_variant_get_string (page, NULL));
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
shortcuts_cb (GSimpleAction *action, GVariant *unused, gpointer application)
{
  gtk_window_present (dwn_shortcuts_window_new (gtk_application_get_active_window (application)));
}

void
dwn_application_add_style (void)
{
  g_autoptr (GtkCssProvider) style = gtk_css_provider_new ();

  gtk_css_provider_load_from_resource (style, STYLE);
  gtk_style_context_add_provider_for_display (gdk_display_get_default (), GTK_STYLE_PROVIDER (style),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
}

static void
dwn_application_startup (GApplication *application)
{
  static const GActionEntry actions[] = { { .name = "new", .activate = new_cb },
                                          { .name = "example", .activate = example_cb },
                                          { .name = "open-recent", .activate = open_recent_cb,
                                            .parameter_type = "s" },
                                          { .name = "preferences", .activate = preferences_cb },
                                          { .name = "help", .activate = help_cb },
                                          { .name = "help-page", .activate = help_page_cb, .parameter_type = "s" },
                                          { .name = "shortcuts", .activate = shortcuts_cb },
                                          { .name = "about", .activate = about_cb },
                                          { .name = "quit", .activate = quit_cb } };

  G_APPLICATION_CLASS (dwn_application_parent_class)->startup (application);
  DWN_APPLICATION (application)->settings = dwn_settings_new ();
  dwn_application_add_style ();
  g_action_map_add_action_entries (G_ACTION_MAP (application), actions, G_N_ELEMENTS (actions), application);
  dwn_shortcuts_install (GTK_APPLICATION (application));
}

static void
dwn_application_finalize (GObject *object)
{
  g_clear_pointer (&DWN_APPLICATION (object)->tables, dwn_tables_unref);
  g_clear_object (&DWN_APPLICATION (object)->settings);
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
