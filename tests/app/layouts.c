/* Whatever the size of the window and of the type, nothing is cut off: every widget stands within its
 * parent, and a label that ends in dots says the whole in its tooltip. */
#include "app/application.h"
#include "app/panels.h"
#include "walk.h"

#define XFT_DPI (96 * 1024)
#define NARROW 360
#define WIDE 445 /* half of a window of 900, without its frame */
#define FONT "Cantarell 11" /* as desktops have it */
#define TOLERANCE 1.5f
#define MOST_TOOLTIP_STEPS 6

typedef ExampleWindow Fixture;

/* Without a window manager's hand a window is as large as it was asked to be, or as its content needs. */
typedef struct {
  const char *name;
  int width, height, per_cent;
} Case;

static const Case cases[] = {
  { "900x640", 900, 640, 100 },
  { "1280x800", 1280, 800, 100 },
  { "1280x800-200", 1280, 800, 200 },
  { "900x640-200", 900, 640, 200 },
};

static void
set_text_size (int per_cent)
{
  g_object_set (gtk_settings_get_default (), "gtk-xft-dpi", XFT_DPI * per_cent / 100, "gtk-font-name", FONT, NULL);
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  const Case *size = data;

  set_text_size (size->per_cent);
  example_window_open (fixture, NULL);
  gtk_window_set_default_size (GTK_WINDOW (fixture->window), size->width, size->height);
  walk_await (GTK_WIDGET (fixture->window));
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  example_window_close (fixture, NULL);
  set_text_size (100);
}

/* What lies outside of these can be scrolled to, or is the toolkit's own business. */
static gboolean
may_overflow (GtkWidget *parent)
{
  static const char *const kinds[] = { "GtkViewport", "GtkListView", "GtkScrolledWindow", "GtkText", "GtkTextView",
                                       "GtkRevealer", "GtkStack", "DwnRoseWidget", "DwnGearCanvas", "GtkProgressBar",
                                       "GtkScrollbar", "GtkRange", "GtkColumnView", "GtkColumnListView",
                                       "GtkGizmo", "GtkOverlay" };

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    if (g_type_from_name (kinds[i]) != 0 && g_type_is_a (G_OBJECT_TYPE (parent), g_type_from_name (kinds[i])))
      return TRUE;
  return FALSE;
}

static gboolean
is_outside (GtkWidget *widget)
{
  GtkWidget *parent = gtk_widget_get_parent (widget);
  graphene_rect_t bounds;

  if (parent == NULL || may_overflow (parent) || GTK_IS_NATIVE (widget)
      || !gtk_widget_compute_bounds (widget, parent, &bounds))
    return FALSE;
  /* Padding belongs to the parent: what stands on its edge is cut off all the same. */
  return bounds.origin.x < -TOLERANCE - 18 || bounds.origin.x + bounds.size.width > (float) gtk_widget_get_width (parent) + TOLERANCE + 18
         || bounds.origin.y + bounds.size.height > (float) gtk_widget_get_height (parent) + TOLERANCE + 18;
}

static gboolean
is_cut_without_a_word (GtkWidget *widget)
{
  GtkWidget *at = widget;

  if (!GTK_IS_LABEL (widget) || !pango_layout_is_ellipsized (gtk_label_get_layout (GTK_LABEL (widget))))
    return FALSE;
  for (guint i = 0; i < MOST_TOOLTIP_STEPS && at != NULL; i++, at = gtk_widget_get_parent (at))
    if (gtk_widget_get_has_tooltip (at) || GTK_IS_DROP_DOWN (at))
      return FALSE;
  return TRUE;
}

static void
check_widget (GtkWidget *widget, gpointer faults)
{
  const char *fault = !gtk_widget_get_mapped (widget) ? NULL
                      : is_outside (widget) ? "outside of its parent"
                      : is_cut_without_a_word (widget) ? "cut off, and no tooltip" : NULL;

  if (fault == NULL)
    return;
  g_autofree char *where = walk_where (widget);
  g_test_message ("  %s: %s", fault, where);
  ++*(guint *) faults;
}

static void
check_layout (GtkWidget *root, const char *name, gpointer total)
{
  guint faults = 0;

  walk_tree (root, check_widget, &faults);
  if (faults > 0)
    g_test_message ("%s: %u faults", name, faults);
  *(guint *) total += faults;
}

/* Finds what makes a panel or a window so wide. */
static void
blame (GtkWidget *widget, int limit)
{
  int minimum;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      gtk_widget_measure (child, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
      if (minimum <= limit || !gtk_widget_get_mapped (child) || GTK_IS_LIST_VIEW (child))
        continue;
      g_autofree char *where = walk_where (child);
      g_test_message ("  %d px: %s", minimum, where);
      blame (child, limit);
    }
}

static void
check_size (GtkWidget *root, const Case *size, const char *name, guint *total)
{
  int width = gtk_widget_get_width (root), height = gtk_widget_get_height (root);

  if (width <= size->width && height <= size->height)
    return;
  g_test_message ("%s: needs %d × %d", name, width, height);
  if (width > size->width)
    blame (root, size->width / 3);
  ++*total;
}

/* The panel that is shown, whatever room the window has: at twice the size of type half a window of 900. */
static void
check_panel (GtkWidget *root, const Case *size, const char *name, guint *total)
{
  DwnPanels *panels = DWN_PANELS (example_find (root, DWN_TYPE_PANELS, NULL));
  int limit = size->per_cent == 100 ? NARROW : WIDE, minimum = 0;
  GtkWidget *panel = NULL;

  if (panels != NULL && gtk_widget_get_mapped (GTK_WIDGET (panels)))
    panel = dwn_panels_find (panels, dwn_panels_shown (panels));
  if (panel != NULL)
    gtk_widget_measure (panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  if (minimum <= limit)
    return;
  g_test_message ("%s: needs %d px of width", name, minimum);
  blame (panel, limit - 24);
  ++*total;
}

typedef struct {
  const Case *size;
  guint faults;
} Look;

static void
check (GtkWidget *root, const char *name, gpointer data)
{
  Look *look = data;

  check_layout (root, name, &look->faults);
  check_size (root, look->size, name, &look->faults);
  check_panel (root, look->size, name, &look->faults);
}

static void
test_window (Fixture *fixture, gconstpointer data)
{
  Look look = { data, 0 };

  walk_window (fixture, FALSE, check, &look);
  g_assert_cmpuint (look.faults, ==, 0);
}

static void
test_dialogs (Fixture *fixture, gconstpointer data)
{
  Look look = { data, 0 };

  walk_dialogs (fixture, FALSE, check, &look);
  g_assert_cmpuint (look.faults, ==, 0);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  dwn_application_add_style ();
  g_test_set_nonfatal_assertions (); /* one fault does not hide the next */
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *window = g_strdup_printf ("/app/layouts/window/%s", cases[i].name);
      g_autofree char *dialogs = g_strdup_printf ("/app/layouts/dialogs/%s", cases[i].name);
      g_test_add (window, Fixture, &cases[i], set_up, test_window, tear_down);
      g_test_add (dialogs, Fixture, &cases[i], set_up, test_dialogs, tear_down);
    }
  return g_test_run ();
}
