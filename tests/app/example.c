#include "example.h"

#include <glib/gstdio.h>

#define AT_ONCE 300
#define LONGEST_S 10 /* for a first frame */

void
example_open (DwnTables **tables, DwnDocument **document)
{
  const char *path = g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  *tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  *document = dwn_document_new (*tables);
  g_assert_true (dwn_document_open (*document, file, &error));
  g_assert_no_error (error);
}

void
example_remove (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);
      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        example_remove (path);
      g_unlink (path);
    }
  g_rmdir (folder);
}

void
example_settle (void)
{
  for (guint i = 0; i < AT_ONCE && g_main_context_pending (NULL); i++)
    g_main_context_iteration (NULL, FALSE);
}

gboolean
example_is_called (GtkWidget *widget, const char *name)
{
  g_autofree char *other = name == NULL ? NULL
    : gtk_test_accessible_check_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name);

  return other == NULL;
}

GtkWidget *
example_find (GtkWidget *widget, GType type, const char *name)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type) && example_is_called (widget, name))
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = example_find (child, type, name);
      if (found != NULL)
        return found;
    }
  return NULL;
}

GtkWidget *
example_window (void)
{
  static GtkWidget *window = NULL;

  if (window == NULL)
    {
      window = gtk_window_new ();
      gtk_window_set_default_size (GTK_WINDOW (window), 720, 640);
    }
  return window;
}

void
example_show (GtkWidget *panel)
{
  gtk_window_set_child (GTK_WINDOW (example_window ()), panel);
  gtk_window_present (GTK_WINDOW (example_window ()));
  example_settle ();
}

void
example_take_away (DwnTables *tables, DwnDocument *document)
{
  gtk_window_set_child (GTK_WINDOW (example_window ()), NULL);
  g_object_unref (document);
  dwn_tables_unref (tables);
  example_settle ();
}

void
example_panel_show (ExamplePanel *example, GtkWidget *(*make) (DwnDocument *document))
{
  example_open (&example->tables, &example->document);
  example->panel = make (example->document);
  example_show (example->panel);
}

void
example_panel_close (ExamplePanel *example, gconstpointer data)
{
  example_take_away (example->tables, example->document);
}

void
example_present (DwnWindow *window)
{
  gint64 until_us = g_get_monotonic_time () + LONGEST_S * G_USEC_PER_SEC;
  GtkStack *pages = GTK_STACK (example_find (GTK_WIDGET (window), GTK_TYPE_STACK, NULL));

  gtk_window_present (GTK_WINDOW (window));
  while (gtk_stack_get_visible_child (pages) == NULL && g_get_monotonic_time () < until_us)
    g_main_context_iteration (NULL, TRUE);
  g_assert_nonnull (gtk_stack_get_visible_child (pages));
  example_settle ();
}

void
example_window_open (ExampleWindow *example, gconstpointer data)
{
  example_open (&example->tables, &example->document);
  example->window = dwn_window_new (NULL, example->document);
  example_present (example->window);
}

void
example_window_close (ExampleWindow *example, gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (example->window));
  g_object_unref (example->document);
  dwn_tables_unref (example->tables);
  example_settle ();
}
