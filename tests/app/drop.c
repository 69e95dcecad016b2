/* Files dropped on the window, opened, or named on the command line: what each is, and what becomes
 * of it. */
#include <glib/gstdio.h>

#include "app/antennas-panel.h"
#include "app/application.h"
#include "app/import-dialog.h"
#include "app/incoming.h"
#include "app/notice.h"
#include "app/readings-dialog.h"
#include "app/panels.h"
#include "app/settings.h"
#include "app/window.h"
#include "example.h"

#define PATIENCE_US (10 * G_USEC_PER_SEC)
#define STEP_US 5000

/* Inputs of the fuzz targets under the names that such files have. */
static const struct {
  const char *name, *folder, *input;
  DwnIncoming kind;
} kinds[] = {
  { "house.downlead", "plan", "full", DWN_INCOMING_PLAN },
  { "house.xml", "plan", "full", DWN_INCOMING_PLAN },
  { "query.txt", "licence-text", "one", DWN_INCOMING_STATIONS },
  { "facility.zip", "licence-tables", "zip", DWN_INCOMING_STATIONS },
  { "list.csv", "station-csv", "plain", DWN_INCOMING_STATIONS },
  { "list.xml", "station-list", "one", DWN_INCOMING_STATIONS },
  { "meter.csv", "readings-csv", "plain", DWN_INCOMING_READINGS },
  { "meter-tabs.txt", "readings-csv", "tabs", DWN_INCOMING_READINGS },
  { "mine.antenna", "antenna-file", "whole", DWN_INCOMING_PATTERN },
  { "table.csv", "pattern-table", "relative", DWN_INCOMING_PATTERN },
  { "wires.out", "thin-wire", "whole", DWN_INCOMING_PATTERN },
  { "N44W072.hgt.gz", "hgt", "valid.gz", DWN_INCOMING_TILE },
  { "N44W072.zip", "hgt", "valid.zip", DWN_INCOMING_TILE },
  { "ground.tif", "geotiff", "int16.tif", DWN_INCOMING_TILE },
  { "letter.odt", "pattern-table", "prose", DWN_INCOMING_UNKNOWN },
  { "nothing.bin", "pattern-table", "binary", DWN_INCOMING_UNKNOWN },
};

typedef struct {
  DwnApplication *application;
  DwnDocument *document;
  DwnWindow *window;
  char *folder;
} Fixture;

static char *
put (const char *folder, const char *name, const char *corpus, const char *input)
{
  char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GFile) from = g_file_new_for_path (g_test_get_filename (G_TEST_DIST, "fuzz", "corpus", corpus, input, NULL));
  g_autoptr (GFile) to = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  g_file_copy (from, to, G_FILE_COPY_OVERWRITE, NULL, NULL, NULL, &error);
  g_assert_no_error (error);
  return path;
}

static void
test_kinds (void)
{
  g_autofree char *folder = g_dir_make_tmp ("downlead-drop-XXXXXX", NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autofree char *path = put (folder, kinds[i].name, kinds[i].folder, kinds[i].input);
      g_test_message ("%s", kinds[i].name);
      g_assert_cmpint (dwn_incoming_of (path), ==, kinds[i].kind);
    }
  g_assert_cmpint (dwn_incoming_of (folder), ==, DWN_INCOMING_TILES);
  g_assert_cmpint (dwn_incoming_of ("/nowhere/house.downlead"), ==, DWN_INCOMING_PLAN);
  g_assert_cmpint (dwn_incoming_of ("/nowhere/house"), ==, DWN_INCOMING_UNKNOWN);
  example_remove (folder);
}

/* Copied once; another file of that name stays; what is no tile is an error and copies nothing. */
static void
test_copies_tiles (void)
{
  g_autofree char *folder = g_dir_make_tmp ("downlead-drop-XXXXXX", NULL);
  g_autofree char *to = g_build_filename (folder, "tiles", "of-mine", NULL);
  g_autofree char *tile = put (folder, "N44W072.hgt.gz", "hgt", "valid.gz");
  g_autofree char *bad = put (folder, "N45W072.hgt", "hgt", "short.hgt");
  g_autofree char *copy = g_build_filename (to, "N44W072.hgt.gz", NULL);
  g_autoptr (GError) error = NULL;

  g_assert_cmpuint (dwn_incoming_copy_tiles ((const char *[]) { tile, NULL }, to, NULL, &error), ==, 1);
  g_assert_no_error (error);
  g_assert_true (g_file_test (copy, G_FILE_TEST_EXISTS));
  g_assert_cmpuint (dwn_incoming_copy_tiles ((const char *[]) { tile, copy, NULL }, to, NULL, &error), ==, 2);
  g_assert_no_error (error);
  g_assert_cmpuint (dwn_incoming_copy_tiles ((const char *[]) { bad, tile, NULL }, to, NULL, &error), ==, 1);
  g_assert_nonnull (error);
  g_clear_error (&error);
  g_assert_true (g_file_set_contents (copy, "other", -1, NULL));
  g_assert_cmpuint (dwn_incoming_copy_tiles ((const char *[]) { tile, NULL }, to, NULL, &error), ==, 0);
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_EXISTS);
  example_remove (folder);
}

/* One for all: a process is one application. */
static DwnApplication *
the_application (void)
{
  static DwnApplication *application = NULL;
  g_autoptr (GError) error = NULL;

  if (application != NULL)
    return application;
  application = dwn_application_new ();
  g_application_set_flags (G_APPLICATION (application), G_APPLICATION_HANDLES_OPEN | G_APPLICATION_NON_UNIQUE);
  g_assert_true (g_application_register (G_APPLICATION (application), NULL, &error));
  g_assert_no_error (error);
  return application;
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  fixture->folder = g_dir_make_tmp ("downlead-drop-XXXXXX", NULL);
  fixture->application = the_application ();
  g_action_group_activate_action (G_ACTION_GROUP (fixture->application), "example", NULL);
  fixture->window = DWN_WINDOW (gtk_application_get_windows (GTK_APPLICATION (fixture->application))->data);
  fixture->document = dwn_window_document (fixture->window);
  example_settle ();
}

static void
close_all (Fixture *fixture)
{
  GList *windows = gtk_window_list_toplevels ();

  for (GList *at = windows; at != NULL; at = at->next)
    gtk_window_destroy (at->data);
  g_list_free (windows);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  close_all (fixture);
  example_settle ();
  example_remove (fixture->folder);
  g_free (fixture->folder);
}

/* Through the drop target itself, as a file manager's drop comes in. */
static void
drop (Fixture *fixture, const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_auto (GValue) value = G_VALUE_INIT;
  gboolean taken = FALSE;
  GSList list = { file, NULL };

  g_value_init (&value, GDK_TYPE_FILE_LIST);
  g_value_set_boxed (&value, &list);
  g_autoptr (GListModel) controllers = gtk_widget_observe_controllers (gtk_window_get_child (GTK_WINDOW (fixture->window)));
  for (guint i = 0; i < g_list_model_get_n_items (controllers); i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (controllers, i);
      if (GTK_IS_DROP_TARGET (controller))
        g_signal_emit_by_name (controller, "drop", &value, 10.0, 10.0, &taken);
    }
  g_assert_true (taken);
  example_settle ();
}

static GtkWindow *
toplevel (GType type)
{
  GListModel *windows = gtk_window_get_toplevels ();

  for (guint i = 0; i < g_list_model_get_n_items (windows); i++)
    {
      g_autoptr (GtkWindow) window = g_list_model_get_item (windows, i);
      if (G_TYPE_CHECK_INSTANCE_TYPE (window, type))
        return window;
    }
  return NULL;
}

static void
test_drop_stations (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = put (fixture->folder, "query.txt", "licence-text", "one");

  drop (fixture, path);
  g_assert_cmpstr (dwn_window_panel (fixture->window), ==, "stations");
  g_assert_nonnull (toplevel (DWN_TYPE_IMPORT_DIALOG));
  g_assert_false (dwn_document_is_modified (fixture->document));
}

/* A table of our own, that no other test keeps. */
static void
test_drop_pattern (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = put (fixture->folder, "dropped-one.csv", "pattern-table", "relative");
  GtkWidget *panel;

  drop (fixture, path);
  g_assert_cmpstr (dwn_window_panel (fixture->window), ==, "antennas");
  panel = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ANTENNAS_PANEL, NULL);
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (panel)), ==, "catalogue");
  g_autofree char *kept = dwn_catalogue_personal_folder ();
  g_autofree char *file = g_build_filename (kept, "dropped-one.antenna", NULL);
  g_assert_true (g_file_test (file, G_FILE_TEST_EXISTS));
  g_unlink (file);
}

static void
test_drop_tile (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = put (fixture->folder, "N44W072.hgt.gz", "hgt", "valid.gz");
  g_autofree char *to = g_build_filename (fixture->folder, "ground", NULL);
  g_autofree char *copy = g_build_filename (to, "N44W072.hgt.gz", NULL);
  DwnNotice *notice = DWN_NOTICE (example_find (GTK_WIDGET (fixture->window), DWN_TYPE_NOTICE, NULL));
  gint64 end = g_get_monotonic_time () + PATIENCE_US;

  g_settings_set_string (dwn_document_settings (fixture->document), DWN_SETTING_ELEVATION, to);
  drop (fixture, path);
  while (dwn_notice_topic (notice) == NULL && g_get_monotonic_time () < end)
    {
      example_settle ();
      g_usleep (STEP_US);
    }
  g_assert_true (g_file_test (copy, G_FILE_TEST_EXISTS));
  g_settings_set_string (dwn_document_settings (fixture->document), DWN_SETTING_ELEVATION, "");
  drop (fixture, to);
  g_autofree char *now = g_settings_get_string (dwn_document_settings (fixture->document), DWN_SETTING_ELEVATION);
  g_assert_cmpstr (now, ==, to);
}

/* What the dialog that a drop opens would add; takes it, or leaves it. */
static guint
answer_readings (gboolean take)
{
  GtkWindow *dialog = toplevel (DWN_TYPE_READINGS_DIALOG);

  g_assert_nonnull (dialog);
  guint n = dwn_readings_dialog_count (DWN_READINGS_DIALOG (dialog));
  if (take)
    g_assert_true (dwn_readings_dialog_take (DWN_READINGS_DIALOG (dialog)));
  gtk_window_destroy (dialog);
  example_settle ();
  return n;
}

/* Two records of stations of the example, one of none: two are shown, and taken as one step back. */
static void
test_drop_readings (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = g_build_filename (fixture->folder, "meter.csv", NULL);
  guint before = dwn_document_plan (fixture->document)->readings->n;

  g_assert_true (g_file_set_contents (path, "station,when,level-dbm,cn-db\nVennacott,2026-05-12,-61.5,21\n"
                                      "Quillon,2026-05-12,-58,\nNowhere,2026-05-12,-60,\n", -1, NULL));
  drop (fixture, path);
  g_assert_cmpstr (dwn_window_panel (fixture->window), ==, "readings");
  g_assert_cmpuint (answer_readings (FALSE), ==, 2);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->readings->n, ==, before);
  drop (fixture, path);
  g_assert_cmpuint (answer_readings (TRUE), ==, 2);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->readings->n, ==, before + 2);
  drop (fixture, path);
  g_assert_cmpuint (answer_readings (FALSE), ==, 0);
  dwn_document_undo (fixture->document);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->readings->n, ==, before);
}

static void
test_drop_plan (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = put (fixture->folder, "other.downlead", "plan", "full");
  guint before = g_list_length (gtk_application_get_windows (GTK_APPLICATION (fixture->application)));

  drop (fixture, path);
  g_assert_cmpuint (g_list_length (gtk_application_get_windows (GTK_APPLICATION (fixture->application))), ==, before + 1);
}

static void
test_drop_unknown (Fixture *fixture, gconstpointer data)
{
  g_autofree char *path = put (fixture->folder, "nothing.bin", "pattern-table", "binary");

  drop (fixture, path);
  g_assert_nonnull (toplevel (GTK_TYPE_MESSAGE_DIALOG));
  g_assert_false (dwn_document_is_modified (fixture->document));
}

/* The same files as arguments of the program, all at once. */
static void
test_arguments (Fixture *fixture, gconstpointer data)
{
  g_autofree char *plan = put (fixture->folder, "other.downlead", "plan", "full");
  g_autofree char *list = put (fixture->folder, "query.txt", "licence-text", "one");
  GFile *files[] = { g_file_new_for_path (plan), g_file_new_for_path (list) };

  g_application_open (G_APPLICATION (fixture->application), files, G_N_ELEMENTS (files), "");
  example_settle ();
  g_assert_nonnull (toplevel (DWN_TYPE_IMPORT_DIALOG));
  g_object_unref (files[0]);
  g_object_unref (files[1]);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add_func ("/app/drop/kinds", test_kinds);
  g_test_add_func ("/app/drop/copies-tiles", test_copies_tiles);
#define ADD(name, function) g_test_add ("/app/drop/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("stations", test_drop_stations);
  ADD ("pattern", test_drop_pattern);
  ADD ("tile", test_drop_tile);
  ADD ("readings", test_drop_readings);
  ADD ("plan", test_drop_plan);
  ADD ("unknown", test_drop_unknown);
  ADD ("arguments", test_arguments);
  return g_test_run ();
}
