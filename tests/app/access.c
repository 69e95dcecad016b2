/* Everything that can have the focus says what it is: in every panel, page, dialog, bubble and menu. */
#include "walk.h"

typedef ExampleWindow Fixture;

/* Parts of a control whose name the whole has said, and rows, which say what they hold. */
static gboolean
is_part (GtkWidget *widget)
{
  static const char *const parts[] = { "GtkText", "GtkListItemWidget", "GtkModelButton" };
  GtkWidget *parent = gtk_widget_get_parent (widget);

  for (gsize i = 0; i < G_N_ELEMENTS (parts); i++)
    if (g_str_equal (G_OBJECT_TYPE_NAME (widget), parts[i]))
      return TRUE;
  /* Plus and minus of a spin button do not take the focus; the arrows do what they do. */
  return GTK_IS_SPIN_BUTTON (parent);
}

/* What is operated, whether it takes the focus itself or hands it to a part. */
static gboolean
is_control (GtkWidget *widget)
{
  return gtk_widget_get_focusable (widget) || GTK_IS_BUTTON (widget) || GTK_IS_EDITABLE (widget)
         || GTK_IS_DROP_DOWN (widget) || GTK_IS_MENU_BUTTON (widget) || GTK_IS_RANGE (widget)
         || GTK_IS_CHECK_BUTTON (widget) || GTK_IS_SWITCH (widget) || GTK_IS_LIST_BASE (widget)
         || GTK_IS_LIST_BOX (widget) || GTK_IS_EXPANDER (widget) || GTK_IS_TEXT_VIEW (widget);
}

/* Labels hold text to be read and scrolled areas text to be scrolled; toolkit windows name themselves. */
static gboolean
speaks_for_itself (GtkWidget *widget)
{
  return GTK_IS_LABEL (widget) || GTK_IS_SCROLLED_WINDOW (widget) || GTK_IS_WINDOW (widget) || GTK_IS_POPOVER (widget)
         || gtk_widget_get_ancestor (widget, GTK_TYPE_SCROLLBAR) != NULL || GTK_IS_SCALE_BUTTON (widget)
         || gtk_widget_get_ancestor (widget, GTK_TYPE_WINDOW_CONTROLS) != NULL;
}

static gboolean
has_name (GtkWidget *widget)
{
  GtkAccessible *accessible = GTK_ACCESSIBLE (widget);

  return gtk_test_accessible_has_property (accessible, GTK_ACCESSIBLE_PROPERTY_LABEL)
         || gtk_test_accessible_has_relation (accessible, GTK_ACCESSIBLE_RELATION_LABELLED_BY);
}

typedef struct {
  guint n_controls, n_unnamed;
} Count;

static void
check_widget (GtkWidget *widget, gpointer data)
{
  Count *count = data;

  if (!is_control (widget) || is_part (widget) || speaks_for_itself (widget) || !gtk_widget_get_mapped (widget))
    return;
  count->n_controls++;
  if (has_name (widget))
    return;
  g_autofree char *where = walk_where (widget);
  g_test_message ("no name: %s", where);
  count->n_unnamed++;
}

static void
check_names (GtkWidget *root, const char *name, gpointer total)
{
  Count count = { 0, 0 };

  walk_tree (root, check_widget, &count);
  if (count.n_unnamed > 0)
    g_test_message ("%s: %u of %u controls without a name", name, count.n_unnamed, count.n_controls);
  ((Count *) total)->n_controls += count.n_controls;
  ((Count *) total)->n_unnamed += count.n_unnamed;
}

static void
test_window_named (Fixture *fixture, gconstpointer data)
{
  Count total = { 0, 0 };

  walk_window (fixture, TRUE, check_names, &total);
  g_assert_cmpuint (total.n_controls, >, 200);
  g_assert_cmpuint (total.n_unnamed, ==, 0);
}

static void
test_dialogs_named (Fixture *fixture, gconstpointer data)
{
  Count total = { 0, 0 };

  walk_dialogs (fixture, TRUE, check_names, &total);
  g_assert_cmpuint (total.n_controls, >, 20);
  g_assert_cmpuint (total.n_unnamed, ==, 0);
}

/* Before there is a plan. */
static void
test_start_named (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_autoptr (DwnDocument) document = dwn_document_new (tables);
  DwnWindow *window = dwn_window_new (NULL, document);
  Count total = { 0, 0 };

  gtk_window_present (GTK_WINDOW (window));
  walk_await (GTK_WIDGET (window));
  check_names (GTK_WIDGET (window), "start", &total);
  g_assert_cmpuint (total.n_controls, >, 4);
  g_assert_cmpuint (total.n_unnamed, ==, 0);
  gtk_window_destroy (GTK_WINDOW (window));
  example_settle ();
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions (); /* one fault does not hide the next */
  g_test_add ("/app/access/window-named", Fixture, NULL, example_window_open, test_window_named,
              example_window_close);
  g_test_add ("/app/access/dialogs-named", Fixture, NULL, example_window_open, test_dialogs_named,
              example_window_close);
  g_test_add_func ("/app/access/start-named", test_start_named);
  return g_test_run ();
}
