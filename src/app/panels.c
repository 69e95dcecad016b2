#include "app/panels.h"

#include <glib/gi18n.h>

#include "app/advice-panel.h"
#include "app/antennas-panel.h"
#include "app/form.h"
#include "app/mount-panel.h"
#include "app/path-panel.h"
#include "app/readings-panel.h"
#include "app/site-panel.h"
#include "app/stations-panel.h"
#include "app/wiring-panel.h"
#include "words/sentences.h"

#define MARGIN 9
#define LEAST_WIDTH 360
#define NATURAL_WIDTH 640
/* Panels scroll; what they would like to have must not stretch the window. */
#define LEAST_HEIGHT 300
#define NATURAL_HEIGHT 500

struct _DwnPanels {
  GtkWidget parent_instance;

  DwnDocument *document;
  GtkWidget *buttons, *narrow, *choice, *held, *line, *stack;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnPanels, dwn_panels, GTK_TYPE_WIDGET)

enum { SHOWN, N_SIGNALS };
static guint signals[N_SIGNALS];

static GtkWidget *
wiring_new (DwnDocument *document)
{
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), dwn_wiring_panel_new (document));
  return scrolled;
}

/* ids has the same order, and ends with NULL. */
static const struct {
  const char *title, *help;
  GtkWidget *(*build) (DwnDocument *document);
} panels[] = {
  { N_("Site"), "site", dwn_site_panel_new },
  { N_("Stations"), "stations", dwn_stations_panel_new },
  { N_("Antennas"), "antennas", dwn_antennas_panel_new },
  { N_("Gear"), "gear", wiring_new },
  { N_("Advice"), "advice", dwn_advice_panel_new },
  { N_("Path"), "explain", dwn_path_panel_new },
  { N_("Readings"), "readings", dwn_readings_panel_new },
  { N_("Mount"), "mount", dwn_mount_panel_new },
};
static const char *const ids[] = { "site", "stations", "antennas", "gear", "advice", "path", "readings", "mount", NULL };

G_STATIC_ASSERT (G_N_ELEMENTS (ids) == G_N_ELEMENTS (panels) + 1);

const char *const *
dwn_panel_ids (void)
{
  return ids;
}

const char *
dwn_panel_title (const char *id)
{
  for (guint i = 0; i < G_N_ELEMENTS (panels); i++)
    if (g_strcmp0 (ids[i], id) == 0)
      return _(panels[i].title);
  g_return_val_if_reached ("");
}

const char *
dwn_panel_help (const char *id)
{
  for (guint i = 0; i < G_N_ELEMENTS (panels); i++)
    if (g_strcmp0 (ids[i], id) == 0)
      return panels[i].help;
  return "index";
}

static void
show_held (DwnPanels *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  if (!gtk_widget_get_child_visible (self->narrow) && gtk_widget_get_mapped (GTK_WIDGET (self)))
    return; /* said under the rose */
  g_autofree char *held = dwn_word_held (dwn_document_wording (self->document), &findings);

  gtk_label_set_text (GTK_LABEL (self->held), held);
}

/* Fills the page that is shown, where it was never shown before. */
static void
shown_cb (DwnPanels *self)
{
  GtkWidget *page = gtk_stack_get_visible_child (GTK_STACK (self->stack));
  const char *id = gtk_stack_get_visible_child_name (GTK_STACK (self->stack));

  for (guint i = 0; i < G_N_ELEMENTS (panels) && page != NULL; i++)
    if (g_strcmp0 (ids[i], id) == 0)
      {
        if (gtk_widget_get_first_child (page) == NULL)
          {
            GtkWidget *panel = panels[i].build (self->document);
            gtk_widget_set_hexpand (panel, TRUE);
            gtk_widget_set_vexpand (panel, TRUE);
            gtk_box_append (GTK_BOX (page), panel);
          }
        self->updating = TRUE;
        gtk_drop_down_set_selected (GTK_DROP_DOWN (self->choice), i);
        self->updating = FALSE;
        g_signal_emit (self, signals[SHOWN], 0, ids[i]);
      }
}

static void
chosen_cb (DwnPanels *self)
{
  guint i = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->choice));

  if (!self->updating && i < G_N_ELEMENTS (panels))
    dwn_panels_show (self, ids[i]);
}

const char *
dwn_panels_shown (DwnPanels *self)
{
  return gtk_stack_get_visible_child_name (GTK_STACK (self->stack));
}

gboolean
dwn_panels_show (DwnPanels *self, const char *id)
{
  g_return_val_if_fail (DWN_IS_PANELS (self), FALSE);

  if (!g_strv_contains (ids, id))
    return FALSE;
  gtk_stack_set_visible_child_name (GTK_STACK (self->stack), id);
  return TRUE;
}

GtkWidget *
dwn_panels_find (DwnPanels *self, const char *id)
{
  GtkWidget *page = gtk_stack_get_child_by_name (GTK_STACK (self->stack), id);

  g_return_val_if_fail (page != NULL, NULL);
  return gtk_widget_get_first_child (page);
}

static int
natural_height (GtkWidget *widget, int width)
{
  int natural;

  gtk_widget_measure (widget, GTK_ORIENTATION_VERTICAL, width, NULL, &natural, NULL, NULL);
  return natural;
}

static int
head_height (DwnPanels *self)
{
  return MAX (natural_height (self->buttons, -1), natural_height (self->narrow, -1)) + 2 * MARGIN;
}

static void
dwn_panels_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                    int *natural, int *minimum_baseline, int *natural_baseline)
{
  DwnPanels *self = DWN_PANELS (widget);

  *minimum_baseline = *natural_baseline = -1;
  gtk_widget_measure (self->stack, orientation, -1, minimum, natural, NULL, NULL);
  if (orientation == GTK_ORIENTATION_VERTICAL)
    {
      *minimum = MIN (*minimum, LEAST_HEIGHT);
      *natural = MIN (*natural, NATURAL_HEIGHT);
    }
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    {
      *minimum = MAX (*minimum, LEAST_WIDTH);
      *natural = MAX (*natural, NATURAL_WIDTH);
      return;
    }
  int head = head_height (self) + natural_height (self->line, -1);
  *minimum += head;
  *natural += head;
}

static void
place (GtkWidget *widget, int x, int y, int width, int height)
{
  gtk_widget_size_allocate (widget, &(GtkAllocation) { x, y, width, height }, -1);
}

static void
dwn_panels_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  DwnPanels *self = DWN_PANELS (widget);
  int head = head_height (self), line = natural_height (self->line, -1), wide;

  gtk_widget_measure (self->buttons, GTK_ORIENTATION_HORIZONTAL, -1, NULL, &wide, NULL, NULL);
  gboolean room = wide + 2 * MARGIN <= width;
  gtk_widget_set_child_visible (self->buttons, room);
  gtk_widget_set_child_visible (self->narrow, !room);
  if (room)
    place (self->buttons, (width - wide) / 2, MARGIN, wide, head - 2 * MARGIN);
  else
    place (self->narrow, MARGIN, MARGIN, width - 2 * MARGIN, head - 2 * MARGIN);
  place (self->line, 0, head, width, line);
  place (self->stack, 0, head + line, width, MAX (height - head - line, 1));
}

static void
dwn_panels_dispose (GObject *object)
{
  DwnPanels *self = DWN_PANELS (object);
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_widget_unparent (child);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_panels_parent_class)->dispose (object);
}

static void
dwn_panels_class_init (DwnPanelsClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_panels_dispose;
  widget_class->measure = dwn_panels_measure;
  widget_class->size_allocate = dwn_panels_size_allocate;
  gtk_widget_class_set_css_name (widget_class, "panels");
  signals[SHOWN] = g_signal_new ("shown", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                 G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
build_narrow (DwnPanels *self)
{
  g_autoptr (GtkStringList) titles = gtk_string_list_new (NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (panels); i++)
    gtk_string_list_append (titles, _(panels[i].title));
  self->narrow = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  self->choice = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&titles)), NULL);
  self->held = gtk_label_new (NULL);
  dwn_label_cut (self->held);
  gtk_label_set_xalign (GTK_LABEL (self->held), 1.0f);
  gtk_widget_set_hexpand (self->held, TRUE);
  gtk_widget_add_css_class (self->held, "dim-label");
  dwn_name_control (self->choice, _("Panel"));
  gtk_box_append (GTK_BOX (self->narrow), self->choice);
  gtk_box_append (GTK_BOX (self->narrow), self->held);
  g_signal_connect_swapped (self->choice, "notify::selected", G_CALLBACK (chosen_cb), self);
}

static void
dwn_panels_init (DwnPanels *self)
{
  self->stack = gtk_stack_new ();
  self->buttons = gtk_stack_switcher_new ();
  self->line = gtk_separator_new (GTK_ORIENTATION_HORIZONTAL);
  gtk_stack_set_hhomogeneous (GTK_STACK (self->stack), FALSE);
  gtk_stack_set_vhomogeneous (GTK_STACK (self->stack), FALSE);
  for (gsize i = 0; i < G_N_ELEMENTS (panels); i++)
    gtk_stack_add_titled (GTK_STACK (self->stack), gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), ids[i],
                          _(panels[i].title));
  gtk_stack_switcher_set_stack (GTK_STACK_SWITCHER (self->buttons), GTK_STACK (self->stack));
  gtk_box_layout_set_homogeneous (GTK_BOX_LAYOUT (gtk_widget_get_layout_manager (self->buttons)), FALSE);
  build_narrow (self);
  GtkWidget *const children[] = { self->buttons, self->narrow, self->line, self->stack };
  for (gsize i = 0; i < G_N_ELEMENTS (children); i++)
    gtk_widget_set_parent (children[i], GTK_WIDGET (self));
}

GtkWidget *
dwn_panels_new (DwnDocument *document)
{
  DwnPanels *self = g_object_new (DWN_TYPE_PANELS, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (show_held), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "relist", G_CALLBACK (show_held), self, G_CONNECT_SWAPPED);
  g_signal_connect_swapped (self->stack, "notify::visible-child", G_CALLBACK (shown_cb), self);
  gtk_stack_set_visible_child_name (GTK_STACK (self->stack), "stations");
  shown_cb (self);
  show_held (self);
  return GTK_WIDGET (self);
}
