#include "app/window-private.h"

#include <glib/gi18n.h>

#include "app/antennas-panel.h"
#include "app/import-dialog.h"
#include "app/incoming.h"
#include "app/panels.h"
#include "app/readings-dialog.h"
#include "app/settings.h"

/* The files that came in, by what they are. */
typedef struct {
  GPtrArray *kind[DWN_INCOMING_TILES + 1]; /* (element-type utf8) paths, NULL-terminated in the end */
} Sorted;

static void
sorted_clear (Sorted *sorted)
{
  for (guint i = 0; i < G_N_ELEMENTS (sorted->kind); i++)
    g_ptr_array_unref (sorted->kind[i]);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Sorted, sorted_clear)

static void
sort (Sorted *sorted, GFile *const *files, guint n)
{
  for (guint i = 0; i < G_N_ELEMENTS (sorted->kind); i++)
    sorted->kind[i] = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *path = g_file_get_path (files[i]);
      DwnIncoming kind = path != NULL ? dwn_incoming_of (path) : DWN_INCOMING_UNKNOWN;
      g_ptr_array_add (sorted->kind[kind], path != NULL ? g_steal_pointer (&path) : g_file_get_uri (files[i]));
    }
}

static const char *const *
paths_of (const Sorted *sorted, DwnIncoming kind)
{
  GPtrArray *paths = sorted->kind[kind];

  if (paths->len == 0)
    return NULL;
  g_ptr_array_add (paths, NULL);
  return (const char *const *) paths->pdata;
}

static void
show_panel (DwnWindow *self, const char *id)
{
  gtk_widget_activate_action (GTK_WIDGET (self), "win.panel", "s", id);
}

static void
open_plans (DwnWindow *self, const char *const *paths)
{
  GtkApplication *application = gtk_window_get_application (GTK_WINDOW (self));

  for (guint i = 0; paths[i] != NULL && application != NULL; i++)
    {
      GFile *file = g_file_new_for_path (paths[i]);
      g_application_open (G_APPLICATION (application), &file, 1, "");
      g_object_unref (file);
    }
}

/* Stations and readings belong to a plan. */
static gboolean
has_plan (DwnWindow *self)
{
  if (dwn_document_plan (self->document) != NULL)
    return TRUE;
  dwn_window_notice (self, _("Begin a plan first, or open one; then drop this on it."), NULL, NULL);
  return FALSE;
}

static void
bring_in_stations (DwnWindow *self, const char *const *paths)
{
  if (!has_plan (self))
    return;
  DwnImportDialog *dialog = dwn_import_dialog_new (GTK_WINDOW (self), self->document);

  show_panel (self, "stations");
  dwn_import_dialog_read (dialog, paths);
  gtk_window_present (GTK_WINDOW (dialog));
}

static void
bring_in_readings (DwnWindow *self, const char *const *paths)
{
  if (!has_plan (self))
    return;
  show_panel (self, "readings");
  gtk_window_present (GTK_WINDOW (dwn_readings_dialog_new (GTK_WINDOW (self), self->document, paths)));
}

static void
say_kept (DwnWindow *self, GPtrArray *names)
{
  g_ptr_array_add (names, NULL);
  g_autofree char *list = g_strjoinv (", ", (char **) names->pdata);
  /* Translators: %s is the name of an antenna, or of several with commas between */
  g_autofree char *text = g_strdup_printf (g_dngettext (NULL, "Among your own antennas now: %s",
                                                        "Among your own antennas now: %s", names->len - 1), list);

  dwn_window_notice (self, text, NULL, NULL);
}

/* One is shown in the catalogue of a plan; several are only kept. */
static void
keep_patterns (DwnWindow *self, const char *const *paths)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; paths[i] != NULL && error == NULL; i++)
    {
      g_autoptr (DwnAntenna) antenna = dwn_antenna_load (paths[i], NULL, &error);
      if (antenna != NULL && dwn_catalogue_save_personal (antenna, &error))
        g_ptr_array_add (names, g_strdup (antenna->pattern->name));
    }
  if (names->len > 0)
    say_kept (self, names);
  if (error != NULL)
    dwn_window_complain (self, _("The antenna was not taken in"), error);
  else if (paths[1] == NULL && self->panels != NULL)
    {
      g_autoptr (GFile) file = g_file_new_for_path (paths[0]);
      show_panel (self, "antennas");
      dwn_antennas_panel_import (DWN_ANTENNAS_PANEL (dwn_panels_find (DWN_PANELS (self->panels), "antennas")), file);
    }
}

/* Elevation ------------------------------------------------------------------------------------ */

typedef struct {
  char **paths, *folder;
  guint copied; /* by the thread */
} Copying;

static void
copying_free (gpointer data)
{
  Copying *copying = data;

  g_strfreev (copying->paths);
  g_free (copying->folder);
  g_free (copying);
}

static void
copy_thread (GTask *task, gpointer window, gpointer data, GCancellable *cancellable)
{
  Copying *copying = data;
  GError *error = NULL;

  copying->copied = dwn_incoming_copy_tiles ((const char *const *) copying->paths, copying->folder, cancellable,
                                             &error);
  if (error != NULL)
    g_task_return_error (task, error);
  else
    g_task_return_boolean (task, TRUE);
}

static void
use_folder (DwnWindow *self, const char *folder)
{
  GSettings *settings = dwn_document_settings (self->document);

  if (settings != NULL)
    g_settings_set_string (settings, DWN_SETTING_ELEVATION, folder);
}

static void
say_folder (DwnWindow *self, const char *text)
{
  dwn_window_notice (self, text, self->panels != NULL ? _("To the _ground") : NULL, "win.panel('site')");
}

static void
copied_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnWindow *self = DWN_WINDOW (source);
  const Copying *copying = g_task_get_task_data (G_TASK (result));
  g_autoptr (GError) error = NULL;

  g_task_propagate_boolean (G_TASK (result), &error);
  if (self->document == NULL)
    return; /* closed since */
  if (error != NULL)
    dwn_window_complain (self, _("Not every elevation tile was taken in"), error);
  if (copying->copied == 0)
    return;
  g_autofree char *text = g_strdup_printf (g_dngettext (NULL, "%u elevation tile is in %s now.",
                                                        "%u elevation tiles are in %s now.", copying->copied),
                                           copying->copied, copying->folder);
  use_folder (self, copying->folder);
  say_folder (self, text);
}

static void
take_tiles (DwnWindow *self, const char *const *paths)
{
  GSettings *settings = dwn_document_settings (self->document);
  g_autofree char *chosen = settings != NULL ? g_settings_get_string (settings, DWN_SETTING_ELEVATION) : NULL;
  Copying *copying = g_new0 (Copying, 1);
  g_autoptr (GTask) task = g_task_new (self, NULL, copied_cb, NULL);

  copying->paths = g_strdupv ((char **) paths);
  copying->folder = chosen != NULL && chosen[0] != '\0' ? g_steal_pointer (&chosen) : dwn_incoming_tile_folder ();
  g_task_set_task_data (task, copying, copying_free);
  g_task_run_in_thread (task, copy_thread);
}

static void
take_folder (DwnWindow *self, const char *const *paths)
{
  g_autofree char *text = g_strdup_printf (_("Elevation is read from %s now."), paths[0]);

  use_folder (self, paths[0]);
  say_folder (self, text);
}

/* Whatever it is -------------------------------------------------------------------------------- */

static void
refuse (DwnWindow *self, const char *const *paths)
{
  g_autofree char *name = g_path_get_basename (paths[0]);
  g_autofree char *title = g_strdup_printf (_("%s is nothing that can be taken in"), name);
  g_autoptr (GError) error = g_error_new_literal (
    G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED,
    _("What can: plans (.downlead), station lists (licence text, licence tables, CSV), patterns of antennas, "
      "elevation tiles (.hgt, GeoTIFF) or a folder of them, and readings (CSV)."));

  dwn_window_complain (self, title, error);
}

void
dwn_window_take_files (DwnWindow *self, GFile *const *files, guint n)
{
  static const struct {
    DwnIncoming kind;
    void (*take) (DwnWindow *self, const char *const *paths);
  } ways[] = {
    { DWN_INCOMING_TILES, take_folder },          { DWN_INCOMING_TILE, take_tiles },
    { DWN_INCOMING_PATTERN, keep_patterns },      { DWN_INCOMING_READINGS, bring_in_readings },
    { DWN_INCOMING_STATIONS, bring_in_stations }, { DWN_INCOMING_PLAN, open_plans },
    { DWN_INCOMING_UNKNOWN, refuse },
  };
  g_auto (Sorted) sorted = { { NULL } };

  g_return_if_fail (DWN_IS_WINDOW (self));

  sort (&sorted, files, n);
  for (guint i = 0; i < G_N_ELEMENTS (ways); i++)
    {
      const char *const *paths = paths_of (&sorted, ways[i].kind);
      if (paths != NULL)
        ways[i].take (self, paths);
    }
}

static gboolean
drop_cb (DwnWindow *self, const GValue *value)
{
  GSList *list = g_value_get_boxed (value);
  g_autoptr (GPtrArray) files = g_ptr_array_new ();

  for (GSList *at = list; at != NULL; at = at->next)
    g_ptr_array_add (files, at->data);
  if (files->len > 0)
    dwn_window_take_files (self, (GFile *const *) files->pdata, files->len);
  return files->len > 0;
}

void
dwn_window_accept_drops (DwnWindow *self, GtkWidget *widget)
{
  GtkDropTarget *target = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);

  g_signal_connect_swapped (target, "drop", G_CALLBACK (drop_cb), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (target));
  gtk_widget_add_css_class (widget, "drop-area");
}
