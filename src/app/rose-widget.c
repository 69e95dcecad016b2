#include "app/rose-widget.h"

#include <glib/gi18n.h>
#include <math.h>

#define STEP_DEG 1.0
#define WIDE_STEP_DEG 5.0
#define ZOOM_STEP 1.25
#define MOST_ZOOM 8.0

struct _DwnRoseWidget {
  GtkWidget parent_instance;

  DwnDocument *document;
  DwnScene *scene;         /* NULL: to be laid out */
  DwnRosePlaces *places;
  double zoom;
  int hovered, fan_mast;   /* −1: none */
  guint antenna;           /* handled last */
  gboolean dragging;
};

G_DEFINE_FINAL_TYPE (DwnRoseWidget, dwn_rose_widget, GTK_TYPE_WIDGET)

static DwnScene *
lay_out (DwnRoseWidget *self)
{
  DwnPlanView view = dwn_document_view (self->document);
  DwnLook look = dwn_widget_look (GTK_WIDGET (self));

  view.zoom = self->zoom;
  view.hovered = self->hovered;
  view.fan_mast = self->fan_mast;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&view);
  return dwn_rose_layout (&rose->data, &look, gtk_widget_get_pango_context (GTK_WIDGET (self)),
                          gtk_widget_get_width (GTK_WIDGET (self)),
                          gtk_widget_get_height (GTK_WIDGET (self)), self->places);
}

static void
forget_scene (DwnRoseWidget *self)
{
  g_clear_pointer (&self->scene, dwn_scene_unref);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* What a screen reader says of the rose: the sentence under it. */
static void
describe (DwnRoseWidget *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  g_autofree char *sentence = dwn_word_aim_sentence_plain (dwn_document_wording (self->document), &findings);

  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, sentence,
                                  -1);
}

static void
changed_cb (DwnRoseWidget *self)
{
  self->antenna = MIN (self->antenna, MAX (dwn_document_plan (self->document)->gear->n_antennas, 1) - 1);
  self->fan_mast = -1;
  forget_scene (self);
  describe (self);
}

static void
dwn_rose_widget_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);
  const graphene_rect_t bounds = GRAPHENE_RECT_INIT (0, 0, (float) gtk_widget_get_width (widget),
                                                     (float) gtk_widget_get_height (widget));

  if (dwn_document_plan (self->document) == NULL || bounds.size.width < 1 || bounds.size.height < 1)
    return;
  if (self->scene == NULL)
    self->scene = lay_out (self);
  dwn_snapshot_scene (snapshot, self->scene, DWN_LAYER_ALL, &bounds);
  if (gtk_widget_has_visible_focus (widget))
    gtk_snapshot_render_focus (snapshot, gtk_widget_get_style_context (widget), 3, 3,
                               (double) bounds.size.width - 6, (double) bounds.size.height - 6);
}

static void
dwn_rose_widget_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                         int *natural, int *minimum_baseline, int *natural_baseline)
{
  *minimum = 320;
  *natural = 640;
  *minimum_baseline = *natural_baseline = -1;
}

static void
dwn_rose_widget_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  g_clear_pointer (&DWN_ROSE_WIDGET (widget)->scene, dwn_scene_unref);
}

static void
dwn_rose_widget_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_rose_widget_parent_class)->css_changed (widget, change);
  g_clear_pointer (&DWN_ROSE_WIDGET (widget)->scene, dwn_scene_unref);
}

static const DwnRegion *
region_at (DwnRoseWidget *self, double x, double y)
{
  return self->scene != NULL ? dwn_scene_hit (self->scene, x, y) : NULL;
}

static gboolean
is_station (const DwnRegion *region)
{
  return region != NULL && (region->kind == DWN_REGION_STATION || region->kind == DWN_REGION_FAN_STATION
                            || region->kind == DWN_REGION_LABEL);
}

static void
drag_begin_cb (DwnRoseWidget *self, double x, double y, GtkGestureDrag *gesture)
{
  const DwnRegion *region = region_at (self, x, y);

  gtk_widget_grab_focus (GTK_WIDGET (self));
  if (region != NULL && region->kind == DWN_REGION_AIM)
    {
      self->antenna = region->id;
      self->dragging = TRUE;
      gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
      return;
    }
  dwn_document_select (self->document, is_station (region) ? (int) region->id : -1);
}

static void
drag_update_cb (DwnRoseWidget *self, double dx, double dy, GtkGestureDrag *gesture)
{
  double x, y;

  if (!self->dragging || !gtk_gesture_drag_get_start_point (gesture, &x, &y))
    return;
  double bearing_deg = dwn_rose_bearing_at (gtk_widget_get_width (GTK_WIDGET (self)),
                                            gtk_widget_get_height (GTK_WIDGET (self)), x + dx, y + dy);
  dwn_document_preview_aim (self->document, self->antenna, round (bearing_deg));
}

static void
drag_end_cb (DwnRoseWidget *self)
{
  if (self->dragging)
    dwn_document_keep_aims (self->document);
  self->dragging = FALSE;
}

void
dwn_rose_widget_turn (DwnRoseWidget *self, double by_deg)
{
  DwnFindings findings = dwn_document_findings (self->document);

  g_return_if_fail (DWN_IS_ROSE_WIDGET (self));
  if (findings.plan->gear->n_antennas == 0)
    return;
  dwn_document_preview_aim (self->document, self->antenna, findings.aim_deg[self->antenna] + by_deg);
  dwn_document_keep_aims (self->document);
}

static gboolean
turn_cb (GtkWidget *widget, GVariant *by_deg, gpointer user_data)
{
  dwn_rose_widget_turn (DWN_ROSE_WIDGET (widget), g_variant_get_double (by_deg));
  return TRUE;
}

static gboolean
next_antenna_cb (GtkWidget *widget, GVariant *unused, gpointer user_data)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);
  guint n = dwn_document_plan (self->document)->gear->n_antennas;

  if (n > 1)
    self->antenna = (self->antenna + 1) % n;
  return n > 1;
}

static void
motion_cb (DwnRoseWidget *self, double x, double y)
{
  const DwnRegion *region = self->dragging ? NULL : region_at (self, x, y);
  int hovered = is_station (region) ? (int) region->id : -1;
  gboolean on_handle = region != NULL && region->kind == DWN_REGION_AIM;

  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), self->dragging ? "grabbing"
                                   : on_handle ? "grab" : hovered >= 0 ? "pointer" : NULL);
  int fan = region != NULL && region->kind == DWN_REGION_STATION ? (int) region->value : self->fan_mast;
  if (region == NULL && !self->dragging)
    fan = -1;
  if (hovered == self->hovered && fan == self->fan_mast)
    return;
  self->hovered = hovered;
  self->fan_mast = fan;
  forget_scene (self);
}

static gboolean
scroll_cb (DwnRoseWidget *self, double dx, double dy)
{
  self->zoom = CLAMP (self->zoom * pow (ZOOM_STEP, -dy), 1.0, MOST_ZOOM);
  forget_scene (self);
  return TRUE;
}

static void
dwn_rose_widget_dispose (GObject *object)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (object);

  g_clear_object (&self->document);
  g_clear_pointer (&self->scene, dwn_scene_unref);
  g_clear_pointer (&self->places, dwn_rose_places_free);
  G_OBJECT_CLASS (dwn_rose_widget_parent_class)->dispose (object);
}

static void
bind_turns (GtkWidgetClass *klass)
{
  static const struct {
    guint key;
    double direction;
  } keys[] = { { GDK_KEY_Right, 1.0 }, { GDK_KEY_Up, 1.0 }, { GDK_KEY_Left, -1.0 }, { GDK_KEY_Down, -1.0 } };

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      gtk_widget_class_add_binding (klass, keys[i].key, 0, turn_cb, "d", keys[i].direction * STEP_DEG);
      gtk_widget_class_add_binding (klass, keys[i].key, GDK_SHIFT_MASK, turn_cb, "d",
                                    keys[i].direction * WIDE_STEP_DEG);
    }
  gtk_widget_class_add_binding (klass, GDK_KEY_space, 0, next_antenna_cb, NULL);
}

static void
dwn_rose_widget_class_init (DwnRoseWidgetClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_rose_widget_dispose;
  widget_class->snapshot = dwn_rose_widget_snapshot;
  widget_class->measure = dwn_rose_widget_measure;
  widget_class->size_allocate = dwn_rose_widget_size_allocate;
  widget_class->css_changed = dwn_rose_widget_css_changed;
  gtk_widget_class_set_css_name (widget_class, "rose");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  bind_turns (widget_class);
}

static void
add_controllers (DwnRoseWidget *self)
{
  GtkGesture *drag = gtk_gesture_drag_new ();
  GtkEventController *motion = gtk_event_controller_motion_new ();
  GtkEventController *scroll = gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_VERTICAL);

  g_signal_connect_swapped (drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect_swapped (drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  g_signal_connect_swapped (drag, "drag-end", G_CALLBACK (drag_end_cb), self);
  g_signal_connect_swapped (motion, "motion", G_CALLBACK (motion_cb), self);
  g_signal_connect_swapped (scroll, "scroll", G_CALLBACK (scroll_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drag));
  gtk_widget_add_controller (GTK_WIDGET (self), motion);
  gtk_widget_add_controller (GTK_WIDGET (self), scroll);
}

static void
dwn_rose_widget_init (DwnRoseWidget *self)
{
  self->places = dwn_rose_places_new ();
  self->zoom = 1.0;
  self->hovered = self->fan_mast = -1;
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_overflow (GTK_WIDGET (self), GTK_OVERFLOW_HIDDEN);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Rose of stations and aims"), -1);
  add_controllers (self);
}

GtkWidget *
dwn_rose_widget_new (DwnDocument *document)
{
  DwnRoseWidget *self = g_object_new (DWN_TYPE_ROSE_WIDGET, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "aimed", G_CALLBACK (forget_scene), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (forget_scene), self, G_CONNECT_SWAPPED);
  if (dwn_document_plan (document) != NULL)
    describe (self);
  return GTK_WIDGET (self);
}
