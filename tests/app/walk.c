#include "walk.h"

#include "app/import-dialog.h"
#include "app/page.h"
#include "app/panels.h"
#include "app/preferences.h"
#include "app/readings-dialog.h"
#include "app/settings.h"

#define MOST_WAITS 400
#define WAIT_US 2500
#define MOST_ANCESTORS 5

void
walk_await (GtkWidget *widget)
{
  for (guint i = 0; i < MOST_WAITS && gtk_widget_get_width (widget) == 0; i++)
    {
      example_settle ();
      g_usleep (WAIT_US);
    }
  /* One frame more, for what was laid out by what stood there before. */
  for (guint i = 0; i < 12; i++)
    {
      example_settle ();
      g_usleep (WAIT_US);
    }
}

void
walk_tree (GtkWidget *widget, WalkWidgetFunc func, gpointer user_data)
{
  func (widget, user_data);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (!GTK_IS_POPOVER (child))
      walk_tree (child, func, user_data);
}

char *
walk_where (GtkWidget *widget)
{
  GString *text = g_string_new (G_OBJECT_TYPE_NAME (widget));
  const char *label = GTK_IS_LABEL (widget) ? gtk_label_get_text (GTK_LABEL (widget))
                      : GTK_IS_BUTTON (widget) ? gtk_button_get_label (GTK_BUTTON (widget)) : NULL;
  guint n = 0;

  if (label != NULL)
    g_string_append_printf (text, " “%s”", label);
  for (GtkWidget *at = gtk_widget_get_parent (widget); at != NULL && n < MOST_ANCESTORS;
       at = gtk_widget_get_parent (at), n++)
    g_string_append_printf (text, " in %s", G_OBJECT_TYPE_NAME (at));
  return g_string_free (text, FALSE);
}

/* What opens out of what is shown ---------------------------------------------------------------- */

static void
collect_menu_button (GtkWidget *widget, gpointer found)
{
  if (GTK_IS_MENU_BUTTON (widget) && gtk_widget_get_mapped (widget) && gtk_widget_is_sensitive (widget))
    g_ptr_array_add (found, g_object_ref (widget));
}

static void
show_bubbles (GtkWidget *root, const char *name, WalkFunc func, gpointer user_data)
{
  g_autoptr (GPtrArray) buttons = g_ptr_array_new_with_free_func (g_object_unref);

  walk_tree (root, collect_menu_button, buttons);
  for (guint i = 0; i < buttons->len; i++)
    {
      GtkMenuButton *button = g_ptr_array_index (buttons, i);
      gtk_widget_grab_focus (GTK_WIDGET (button)); /* scrolls there */
      walk_await (GTK_WIDGET (button));
      gtk_menu_button_popup (button);
      example_settle ();
      GtkPopover *popover = gtk_menu_button_get_popover (button);
      g_assert_nonnull (popover);
      walk_await (GTK_WIDGET (popover));
      g_autofree char *where = g_strdup_printf ("%s, bubble %u", name, i + 1);
      func (GTK_WIDGET (popover), where, user_data);
      gtk_menu_button_popdown (button);
      example_settle ();
    }
}

static void
show (GtkWidget *root, const char *name, gboolean bubbles, WalkFunc func, gpointer user_data)
{
  g_test_message ("%s", name);
  walk_await (root);
  func (root, name, user_data);
  if (bubbles)
    show_bubbles (root, name, func, user_data);
}

/* The window ------------------------------------------------------------------------------------- */

static void
unfold (GtkWidget *widget, gpointer unused)
{
  if (GTK_IS_EXPANDER (widget))
    gtk_expander_set_expanded (GTK_EXPANDER (widget), TRUE);
}

static void
act (ExampleWindow *example, const char *panel, const char *action)
{
  DwnPanels *panels = DWN_PANELS (example_find (GTK_WIDGET (example->window), DWN_TYPE_PANELS, NULL));

  g_assert_true (gtk_widget_activate_action (dwn_panels_find (panels, panel), action, NULL));
}

static void
walk_panels (ExampleWindow *example, gboolean bubbles, WalkFunc func, gpointer user_data)
{
  static const struct {
    const char *panel, *action, *back;
  } inner[] = { { "antennas", "antennas.browse", "antennas.back" }, { "antennas", "antennas.sheet", "antennas.back" } };
  GtkWidget *window = GTK_WIDGET (example->window);
  const char *const *ids = dwn_panel_ids ();

  for (guint i = 0; ids[i] != NULL; i++)
    {
      gtk_widget_activate_action (window, "win.panel", "s", ids[i]);
      example_settle ();
      walk_tree (window, unfold, NULL);
      show (window, ids[i], bubbles, func, user_data);
      for (gsize k = 0; k < G_N_ELEMENTS (inner); k++)
        if (g_str_equal (inner[k].panel, ids[i]))
          {
            act (example, ids[i], inner[k].action);
            show (window, inner[k].action, bubbles, func, user_data);
            act (example, ids[i], inner[k].back);
          }
    }
}

void
walk_window (ExampleWindow *example, gboolean bubbles, WalkFunc func, gpointer user_data)
{
  GtkWidget *window = GTK_WIDGET (example->window);

  dwn_document_select (example->document, 0);
  walk_panels (example, bubbles, func, user_data);
  gtk_widget_activate_action (window, "win.preview", "s", dwn_page_id (DWN_PAGE_SHEET));
  show (window, "preview", bubbles, func, user_data);
  gtk_widget_activate_action (window, "win.back", NULL);
  gtk_widget_activate_action (window, "win.compare", NULL);
  show (window, "compare", bubbles, func, user_data);
  gtk_widget_activate_action (window, "win.back", NULL);
  example_settle ();
}

void
walk_dialogs (ExampleWindow *example, gboolean bubbles, WalkFunc func, gpointer user_data)
{
  GtkWindow *parent = GTK_WINDOW (example->window);
  g_autofree char *list = g_test_build_filename (G_TEST_DIST, "data", "import", "licences.txt", NULL);
  g_autofree char *meter = g_test_build_filename (G_TEST_DIST, "fuzz", "corpus", "readings-csv", "plain", NULL);
  const char *const files[] = { list, NULL }, *const readings[] = { meter, NULL };
  g_autoptr (GSettings) settings = dwn_settings_new ();
  DwnImportDialog *import = dwn_import_dialog_new (parent, example->document);
  GtkWindow *const windows[] = { GTK_WINDOW (import), dwn_preferences_new (parent, settings, example->tables),
                                 GTK_WINDOW (dwn_readings_dialog_new (parent, example->document, readings)) };
  const char *const names[] = { "import", "preferences", "readings" };

  dwn_import_dialog_read (import, files);
  for (gsize i = 0; i < G_N_ELEMENTS (windows); i++)
    {
      gtk_window_present (windows[i]);
      show (GTK_WIDGET (windows[i]), names[i], bubbles, func, user_data);
      gtk_window_destroy (windows[i]);
      example_settle ();
    }
}
