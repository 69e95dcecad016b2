#include "app/rose-children.h"

#include <glib/gi18n.h>
#include <math.h>

#define STEP_DEG 1.0
#define WIDE_STEP_DEG 5.0

/* The rose handles the pointer for its children. */
static void
leave_pointer_to_parent (GtkWidget *widget)
{
  g_autoptr (GListModel) controllers = gtk_widget_observe_controllers (widget);

  for (guint i = g_list_model_get_n_items (controllers); i > 0; i--)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (controllers, i - 1);
      if (GTK_IS_GESTURE (controller) || GTK_IS_EVENT_CONTROLLER_SCROLL (controller))
        gtk_widget_remove_controller (widget, controller);
    }
}

static void
draw_nothing (GtkWidget *widget, GtkSnapshot *snapshot)
{
}

static void
measure_nothing (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                 int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = 1;
  *minimum_baseline = *natural_baseline = -1;
}

struct _DwnAimHandle {
  GtkRange parent_instance;
  DwnDocument *document;
  guint antenna;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnAimHandle, dwn_aim_handle, GTK_TYPE_RANGE)

/* Past north it goes on round. */
static gboolean
dwn_aim_handle_change_value (GtkRange *range, GtkScrollType scroll, double value)
{
  DwnAimHandle *self = DWN_AIM_HANDLE (range);

  dwn_document_turn (self->document, self->antenna, round (value));
  return TRUE;
}

/* What an assistive program sets arrives here, past change-value. */
static void
dwn_aim_handle_value_changed (GtkRange *range)
{
  DwnAimHandle *self = DWN_AIM_HANDLE (range);

  if (!self->updating)
    dwn_aim_handle_change_value (range, GTK_SCROLL_JUMP, gtk_range_get_value (range));
}

void
dwn_aim_handle_refresh (DwnAimHandle *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);

  if (self->antenna >= findings.plan->gear->n_antennas)
    return;
  g_autofree char *what = dwn_word_antenna (wording, findings.plan->gear, self->antenna);
  g_autofree char *name = g_strdup_printf (_("Aim of the %s"), what);
  g_autofree char *bearing = dwn_word_bearing (wording, findings.aim_deg[self->antenna]);
  g_autofree char *held = dwn_word_held (wording, &findings);
  g_autofree char *says = g_strdup_printf ("%s, %s", bearing, held);

  self->updating = TRUE;
  gtk_range_set_value (GTK_RANGE (self), findings.aim_deg[self->antenna]);
  self->updating = FALSE;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, says,
                                  GTK_ACCESSIBLE_PROPERTY_VALUE_TEXT, says, -1);
}

guint
dwn_aim_handle_antenna (DwnAimHandle *self)
{
  return self->antenna;
}

static void
dwn_aim_handle_dispose (GObject *object)
{
  g_clear_object (&DWN_AIM_HANDLE (object)->document);
  G_OBJECT_CLASS (dwn_aim_handle_parent_class)->dispose (object);
}

static void
bind_wide_steps (GtkWidgetClass *klass)
{
  static const struct {
    guint key;
    GtkScrollType scroll;
  } keys[] = { { GDK_KEY_Right, GTK_SCROLL_PAGE_FORWARD }, { GDK_KEY_Up, GTK_SCROLL_PAGE_FORWARD },
               { GDK_KEY_Left, GTK_SCROLL_PAGE_BACKWARD }, { GDK_KEY_Down, GTK_SCROLL_PAGE_BACKWARD } };

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    gtk_widget_class_add_binding_signal (klass, keys[i].key, GDK_SHIFT_MASK, "move-slider", "(i)",
                                         keys[i].scroll);
}

static void
dwn_aim_handle_class_init (DwnAimHandleClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_aim_handle_dispose;
  GTK_RANGE_CLASS (klass)->change_value = dwn_aim_handle_change_value;
  GTK_RANGE_CLASS (klass)->value_changed = dwn_aim_handle_value_changed;
  widget_class->snapshot = draw_nothing;
  widget_class->measure = measure_nothing;
  gtk_widget_class_set_css_name (widget_class, "aim");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_SLIDER);
  bind_wide_steps (widget_class);
}

static void
dwn_aim_handle_init (DwnAimHandle *self)
{
  self->updating = TRUE; /* until there is a document */
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  leave_pointer_to_parent (GTK_WIDGET (self));
}

GtkWidget *
dwn_aim_handle_new (DwnDocument *document, guint antenna)
{
  GtkAdjustment *round = gtk_adjustment_new (0, 0, 359, STEP_DEG, WIDE_STEP_DEG, 0);
  DwnAimHandle *self = g_object_new (DWN_TYPE_AIM_HANDLE, "adjustment", round, NULL);

  self->document = g_object_ref (document);
  self->antenna = antenna;
  dwn_aim_handle_refresh (self);
  return GTK_WIDGET (self);
}

struct _DwnStationMark {
  GtkButton parent_instance;
  DwnDocument *document;
  guint station;
};

G_DEFINE_FINAL_TYPE (DwnStationMark, dwn_station_mark, GTK_TYPE_BUTTON)

static void
dwn_station_mark_clicked (GtkButton *button)
{
  DwnStationMark *self = DWN_STATION_MARK (button);

  dwn_document_select (self->document, (int) self->station);
}

guint
dwn_station_mark_station (DwnStationMark *self)
{
  return self->station;
}

void
dwn_station_mark_set_station (DwnStationMark *self, guint station)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);
  const DwnStation *at = &findings.plan->stations->station[station];
  g_autofree char *way = dwn_word_way (wording, &findings.fields->arrival[station]);
  g_autofree char *chance = dwn_word_chance (wording, dwn_station_chance (findings.budget, station));
  /* Translators: a station, its RF channel, the way to it ("62° · 64 km · …"), its chance */
  g_autofree char *name = g_strdup_printf (_("%s, RF %s, %s, chance %s"), at->name, at->rf, way, chance);

  self->station = station;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

static void
dwn_station_mark_dispose (GObject *object)
{
  g_clear_object (&DWN_STATION_MARK (object)->document);
  G_OBJECT_CLASS (dwn_station_mark_parent_class)->dispose (object);
}

static void
dwn_station_mark_class_init (DwnStationMarkClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_station_mark_dispose;
  GTK_BUTTON_CLASS (klass)->clicked = dwn_station_mark_clicked;
  widget_class->snapshot = draw_nothing;
  gtk_widget_class_set_css_name (widget_class, "mark");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_LIST_ITEM);
}

static void
dwn_station_mark_init (DwnStationMark *self)
{
  leave_pointer_to_parent (GTK_WIDGET (self));
}

GtkWidget *
dwn_station_mark_new (DwnDocument *document)
{
  DwnStationMark *self = g_object_new (DWN_TYPE_STATION_MARK, NULL);

  self->document = g_object_ref (document);
  return GTK_WIDGET (self);
}
