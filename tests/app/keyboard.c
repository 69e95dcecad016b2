/* Without a mouse: the Tab key comes to every control of every panel, buttons have a letter of their
 * own. And from right to left: everything is mirrored but what is drawn. */
#include "app/gear-canvas.h"
#include "app/panels.h"
#include "app/rose-widget.h"
#include "app/station-row.h"
#include "app/window.h"
#include "example.h"

#define MOST_STEPS 400

typedef ExampleWindow Fixture;

static void
open_window (Fixture *fixture, GtkTextDirection direction)
{
  gtk_widget_set_default_direction (direction);
  example_window_open (fixture, NULL);
  dwn_document_select (fixture->document, 0);
  for (guint i = 0; i < 400 && gtk_widget_get_width (GTK_WIDGET (fixture->window)) == 0; i++)
    {
      example_settle ();
      g_usleep (5000);
    }
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  open_window (fixture, GTK_TEXT_DIR_LTR);
}

static void
set_up_mirrored (Fixture *fixture, gconstpointer data)
{
  open_window (fixture, GTK_TEXT_DIR_RTL);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  example_window_close (fixture, data);
  gtk_widget_set_default_direction (GTK_TEXT_DIR_LTR);
}

/* What a person operates and Tab must come to; parts of a control and rows of lists walk by arrows. */
static gboolean
is_control (GtkWidget *widget)
{
  static const char *const inside[] = { "GtkStackSwitcher", "GtkListView", "GtkSpinButton", "GtkDropDown",
                                        "GtkMenuButton", "GtkPopover", "GtkWindowControls", "DwnRoseWidget",
                                        "DwnGearCanvas", "GtkExpander" };
  gboolean operated = GTK_IS_BUTTON (widget) || GTK_IS_ENTRY (widget) || GTK_IS_DROP_DOWN (widget)
                      || GTK_IS_SPIN_BUTTON (widget) || GTK_IS_CHECK_BUTTON (widget) || GTK_IS_MENU_BUTTON (widget)
                      || GTK_IS_SEARCH_ENTRY (widget) || GTK_IS_EXPANDER (widget);

  if (!operated || !gtk_widget_get_mapped (widget) || !gtk_widget_is_sensitive (widget))
    return FALSE;
  for (GtkWidget *at = gtk_widget_get_parent (widget); at != NULL; at = gtk_widget_get_parent (at))
    for (gsize i = 0; i < G_N_ELEMENTS (inside); i++)
      if (g_type_is_a (G_OBJECT_TYPE (at), g_type_from_name (inside[i])))
        return FALSE;
  return TRUE;
}

static void
collect (GtkWidget *widget, GHashTable *controls)
{
  if (is_control (widget))
    g_hash_table_add (controls, widget);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    collect (child, controls);
}

/* Takes off @controls whatever Tab comes to, once round. */
static void
walk (GtkWidget *window, GHashTable *controls)
{
  for (guint step = 0; step < MOST_STEPS; step++)
    {
      gtk_widget_child_focus (window, GTK_DIR_TAB_FORWARD);
      for (GtkWidget *at = gtk_window_get_focus (GTK_WINDOW (window)); at != NULL; at = gtk_widget_get_parent (at))
        g_hash_table_remove (controls, at);
    }
}

static void
test_tab (Fixture *fixture, gconstpointer data)
{
  const char *const *ids = dwn_panel_ids ();

  for (guint i = 0; ids[i] != NULL; i++)
    {
      g_autoptr (GHashTable) controls = g_hash_table_new (NULL, NULL);
      GHashTableIter iter;
      gpointer missed;
      gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.panel", "s", ids[i]);
      example_settle ();
      collect (GTK_WIDGET (fixture->window), controls);
      g_assert_cmpuint (g_hash_table_size (controls), >, 3);
      walk (GTK_WIDGET (fixture->window), controls);
      g_hash_table_iter_init (&iter, controls);
      while (g_hash_table_iter_next (&iter, &missed, NULL))
        g_test_message ("%s: Tab does not come to %s “%s”", ids[i], G_OBJECT_TYPE_NAME (missed),
                        GTK_IS_BUTTON (missed) ? gtk_button_get_label (missed) : "");
      g_assert_cmpuint (g_hash_table_size (controls), ==, 0);
    }
}

/* Its own letter, or that of the caption beside it. */
static gboolean
has_letter (GtkWidget *button)
{
  g_autoptr (GList) captions = gtk_widget_list_mnemonic_labels (button);

  return captions != NULL || gtk_button_get_use_underline (GTK_BUTTON (button));
}

static guint
count_without_letter (GtkWidget *widget)
{
  const char *label = GTK_IS_BUTTON (widget) ? gtk_button_get_label (GTK_BUTTON (widget)) : NULL;
  guint n = 0;

  if (label != NULL && label[0] != '\0' && g_ascii_isalpha (label[0]) && is_control (widget)
      && !has_letter (widget))
    {
      g_test_message ("no letter: “%s”", label);
      n++;
    }
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    n += count_without_letter (child);
  return n;
}

static void
test_letters (Fixture *fixture, gconstpointer data)
{
  const char *const *ids = dwn_panel_ids ();

  for (guint i = 0; ids[i] != NULL; i++)
    {
      gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.panel", "s", ids[i]);
      example_settle ();
      g_test_message ("%s", ids[i]);
      g_assert_cmpuint (count_without_letter (GTK_WIDGET (fixture->window)), ==, 0);
    }
}

static float
left_of (GtkWidget *widget, DwnWindow *window)
{
  graphene_rect_t bounds;

  g_assert_true (gtk_widget_compute_bounds (widget, GTK_WIDGET (window), &bounds));
  return bounds.origin.x;
}

/* Panels on the left, the rose on the right; in the drawings east stays right and signals run right. */
static void
test_mirrored (Fixture *fixture, gconstpointer data)
{
  GtkWidget *rose = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL);
  GtkWidget *panels = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_PANELS, NULL);
  const char *const *ids = dwn_panel_ids ();

  g_assert_cmpfloat (left_of (panels, fixture->window), <, left_of (rose, fixture->window));
  g_assert_cmpint (gtk_widget_get_direction (rose), ==, GTK_TEXT_DIR_LTR);
  g_assert_cmpint (gtk_widget_get_direction (panels), ==, GTK_TEXT_DIR_RTL);
  for (guint i = 0; ids[i] != NULL; i++)
    {
      gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.panel", "s", ids[i]);
      example_settle ();
    }
  g_assert_cmpint (gtk_widget_get_direction (example_find (panels, DWN_TYPE_GEAR_CANVAS, NULL)), ==, GTK_TEXT_DIR_LTR);
  g_assert_cmpint (gtk_widget_get_direction (example_find (panels, DWN_TYPE_STATION_ROW, NULL)), ==, GTK_TEXT_DIR_RTL);
  GtkWidget *place = example_find (panels, GTK_TYPE_ENTRY, "Coordinates");
  g_assert_cmpint (gtk_widget_get_direction (place), ==, GTK_TEXT_DIR_LTR);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add ("/app/keyboard/tab", Fixture, NULL, set_up, test_tab, tear_down);
  g_test_add ("/app/keyboard/letters", Fixture, NULL, set_up, test_letters, tear_down);
  g_test_add ("/app/keyboard/mirrored", Fixture, NULL, set_up_mirrored, test_mirrored, tear_down);
  return g_test_run ();
}
