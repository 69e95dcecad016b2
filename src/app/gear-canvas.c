#include "app/gear-canvas.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/gear-part.h"

#define MARGIN 18.0
#define LEAST_WIDTH 320 /* from there on down the page, until the drawing has room across it */
#define DRAG_PX 8.0
#define CARET 3.0f

/* What is dragged, and the cable it would fall on. */
typedef struct {
  int part;      /* −1: nothing */
  double x, y;   /* of the pointer */
  int edge;      /* −1: none near */
  gboolean late_end;
} Drag;

struct _DwnGearCanvas {
  GtkWidget parent_instance;

  DwnDocument *document;
  DwnGearState *state;   /* NULL: to be made */
  DwnPlanGear *gear;     /* borrows from state */
  const char *summary;   /* of gear; (nullable) */
  DwnScene *scene;       /* NULL: to be laid out */
  GPtrArray *parts;      /* DwnGearPart, along the wiring; owned as children */
  const char *current;   /* id of the part that has, or had, the focus; interned */
  Drag drag;
  gboolean downward;     /* laid out down the page */
};

G_DEFINE_FINAL_TYPE (DwnGearCanvas, dwn_gear_canvas, GTK_TYPE_WIDGET)

enum { CHOSEN, MENU, POINTED, DROPPED, N_SIGNALS };
static guint signals[N_SIGNALS];

static const DwnChain *
gear_of (DwnGearCanvas *self)
{
  return dwn_document_plan (self->document)->gear;
}

static DwnGearPart *
part_at (DwnGearCanvas *self, guint i)
{
  return g_ptr_array_index (self->parts, i);
}

/* What is drawn ---------------------------------------------------------------------------------- */

static void
forget (DwnGearCanvas *self)
{
  g_clear_pointer (&self->scene, dwn_scene_unref);
  g_clear_pointer (&self->gear, dwn_plan_gear_free);
  g_clear_pointer (&self->state, dwn_gear_state_free);
}

static void
prepare (DwnGearCanvas *self)
{
  if (self->state != NULL)
    return;
  self->state = dwn_gear_state_new (self->document);
  DwnPlanView view = dwn_gear_state_view (self->state, self->document);
  self->gear = dwn_plan_gear_new (&view);
  self->summary = self->gear->data.summary;
  self->gear->data.summary = NULL; /* the panel shows it, broken into lines */
}

static void
lay_out (DwnGearCanvas *self, int width)
{
  DwnLook look = dwn_widget_look (GTK_WIDGET (self));
  PangoContext *text = gtk_widget_get_pango_context (GTK_WIDGET (self));
  double inner = fmax (width - 2 * MARGIN, 1.0);

  prepare (self);
  if (self->scene != NULL || self->gear->data.n_nodes == 0)
    return;
  self->downward = inner < dwn_gear_width (&self->gear->data, &look);
  self->scene = self->downward ? dwn_gear_column_layout (&self->gear->data, &look, text, inner)
                               : dwn_gear_layout (&self->gear->data, &look, text, inner,
                                                  dwn_gear_height (&self->gear->data, &look));
}

static const DwnRegion *
region_of (DwnGearCanvas *self, guint part)
{
  DwnRegionKind kind = gear_of (self)->part[part].kind == DWN_PART_OUTLET ? DWN_REGION_OUTLET
                                                                           : DWN_REGION_PART;

  return self->scene != NULL ? dwn_scene_find (self->scene, kind, part) : NULL;
}

/* Parts as controls ------------------------------------------------------------------------------ */

static const char *
node_name (DwnGearCanvas *self, guint part)
{
  for (guint i = 0; i < self->gear->data.n_nodes; i++)
    if (self->gear->data.nodes[i].id == part)
      return self->gear->data.nodes[i].name;
  return "";
}

/* "Level −63.9 dBm, …. Weakest here: …. Fault: …" */
static char *
describe_part (DwnGearCanvas *self, guint part)
{
  g_autofree char *figures = dwn_gear_state_figures (self->state, self->document, part);
  g_autofree char *worst = dwn_gear_state_worst (self->state, self->document, part);
  g_autofree char *faults = dwn_gear_state_faults (self->state, self->document, part);
  GString *text = g_string_new (figures);

  if (worst[0] != '\0')
    g_string_append_printf (text, "%s%s", text->len > 0 ? ".\n" : "", worst);
  if (faults[0] != '\0')
    g_string_append_printf (text, "%s%s", text->len > 0 ? ".\n" : "", faults);
  return g_string_free (text, FALSE);
}

static void
clicked_cb (DwnGearCanvas *self, DwnGearPart *part)
{
  g_signal_emit (self, signals[CHOSEN], 0, dwn_gear_part_index (part));
}

/* Whatever scrolls around the canvas brings the part into sight. */
static void
scroll_to (GtkWidget *part)
{
  GtkWidget *scrolled = gtk_widget_get_ancestor (part, GTK_TYPE_SCROLLED_WINDOW);
  GtkWidget *viewport = gtk_widget_get_ancestor (part, GTK_TYPE_VIEWPORT);
  double y;

  if (scrolled == NULL || viewport == NULL || !gtk_widget_translate_coordinates (part, viewport, 0.0, 0.0, NULL, &y))
    return;
  GtkAdjustment *at = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scrolled));
  y += gtk_adjustment_get_value (at);
  gtk_adjustment_clamp_page (at, y - MARGIN, y + gtk_widget_get_height (part) + MARGIN);
}

static void
focused_cb (GtkEventControllerFocus *focus, gpointer data)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (data);
  DwnGearPart *part = DWN_GEAR_PART (gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus)));

  self->current = gear_of (self)->part[dwn_gear_part_index (part)].id;
  scroll_to (GTK_WIDGET (part));
  g_signal_emit (self, signals[POINTED], 0, (int) dwn_gear_part_index (part));
}

static void
entered_cb (GtkEventController *motion, double x, double y, gpointer data)
{
  g_signal_emit (data, signals[POINTED], 0,
                 (int) dwn_gear_part_index (DWN_GEAR_PART (gtk_event_controller_get_widget (motion))));
}

/* To the part that has the focus, if any. */
static void
left_cb (GtkEventController *controller, gpointer data)
{
  GtkWidget *focus = gtk_widget_get_focus_child (GTK_WIDGET (data));
  gboolean leaves = GTK_IS_EVENT_CONTROLLER_FOCUS (controller);

  g_signal_emit (data, signals[POINTED], 0, !leaves && DWN_IS_GEAR_PART (focus)
                                              ? (int) dwn_gear_part_index (DWN_GEAR_PART (focus)) : -1);
}

static void
pressed_cb (GtkGestureClick *gesture, int n_press, double x, double y, gpointer data)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (data);
  GtkWidget *part = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (gesture));

  gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
  gtk_widget_grab_focus (part);
  g_signal_emit (self, signals[MENU], 0, dwn_gear_part_index (DWN_GEAR_PART (part)));
}

static void
add_part (DwnGearCanvas *self)
{
  GtkWidget *part = dwn_gear_part_new ();
  GtkEventController *focus = gtk_event_controller_focus_new (), *motion = gtk_event_controller_motion_new ();
  GtkGesture *second = gtk_gesture_click_new ();

  gtk_gesture_single_set_button (GTK_GESTURE_SINGLE (second), GDK_BUTTON_SECONDARY);
  g_signal_connect_object (part, "clicked", G_CALLBACK (clicked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect (focus, "enter", G_CALLBACK (focused_cb), self);
  g_signal_connect (focus, "leave", G_CALLBACK (left_cb), self);
  g_signal_connect (motion, "enter", G_CALLBACK (entered_cb), self);
  g_signal_connect (motion, "leave", G_CALLBACK (left_cb), self);
  g_signal_connect (second, "pressed", G_CALLBACK (pressed_cb), self);
  gtk_widget_add_controller (part, focus);
  gtk_widget_add_controller (part, motion);
  gtk_widget_add_controller (part, GTK_EVENT_CONTROLLER (second));
  gtk_widget_set_parent (part, GTK_WIDGET (self));
  g_ptr_array_add (self->parts, part);
}

/* What it calls while it goes would find a canvas that does not know it any more. */
static void
drop_part (DwnGearCanvas *self)
{
  GtkWidget *part = g_ptr_array_steal_index (self->parts, self->parts->len - 1);
  GListModel *controllers = gtk_widget_observe_controllers (part);

  for (guint i = 0; i < g_list_model_get_n_items (controllers); i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (controllers, i);
      g_signal_handlers_disconnect_by_data (controller, self);
    }
  g_object_unref (controllers);

  gtk_widget_unparent (part);
}

/* One control a part, in the order of the wiring. */
static void
sync_parts (DwnGearCanvas *self)
{
  const DwnChain *gear = gear_of (self);

  prepare (self);
  while (self->parts->len < gear->n_parts)
    add_part (self);
  while (self->parts->len > gear->n_parts)
    drop_part (self);
  for (guint i = 0; i < gear->n_parts; i++)
    {
      g_autofree char *description = describe_part (self, gear->order[i]);
      g_autofree char *name = g_strdup (node_name (self, gear->order[i]));

      dwn_gear_part_set (part_at (self, i), gear->order[i], name, description);
    }
}

static void
describe (DwnGearCanvas *self)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  dwn_gear_canvas_summary (self), -1);
}

/* The focus stays with its part, wherever that has gone. */
static void
changed_cb (DwnGearCanvas *self)
{
  GtkWidget *focus = gtk_widget_get_focus_child (GTK_WIDGET (self));

  forget (self);
  sync_parts (self);
  describe (self);
  int current = dwn_gear_canvas_current (self);
  if (focus != NULL && current >= 0)
    dwn_gear_canvas_focus_part (self, (guint) current);
  gtk_widget_queue_resize (GTK_WIDGET (self));
}

/* With the lists: the rose is drawn in the other turn. */
static void
relist_cb (DwnGearCanvas *self)
{
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    changed_cb (self);
}

/* Keys ------------------------------------------------------------------------------------------- */

static double
middle_y (DwnGearCanvas *self, guint part)
{
  const DwnRegion *region = region_of (self, part);

  return region != NULL ? region->bounds.y + region->bounds.height / 2 : 0.0;
}

/* Along the cable: of several the one that lies straightest ahead. −1: the wiring ends. */
static int
next_along (DwnGearCanvas *self, guint part, gboolean forward)
{
  const DwnChain *gear = gear_of (self);
  int best = -1;

  for (guint e = 0; e < gear->n_edges; e++)
    {
      guint here = forward ? gear->edge[e].from_part : gear->edge[e].to_part;
      guint there = forward ? gear->edge[e].to_part : gear->edge[e].from_part;

      if (here == part && (best < 0 || fabs (middle_y (self, there) - middle_y (self, part))
                                         < fabs (middle_y (self, (guint) best) - middle_y (self, part))))
        best = (int) there;
    }
  return best;
}

/* Up or down: the nearest part that lies more that way than aside. */
static int
next_across (DwnGearCanvas *self, guint part, gboolean down)
{
  const DwnRegion *here = region_of (self, part);
  double nearest = (double) INFINITY;
  int best = -1;

  for (guint k = 0; here != NULL && k < gear_of (self)->n_parts; k++)
    {
      const DwnRegion *there = k != part ? region_of (self, k) : NULL;
      if (there == NULL)
        continue;
      double dy = (middle_y (self, k) - middle_y (self, part)) * (down ? 1.0 : -1.0);
      double dx = fabs (there->bounds.x + there->bounds.width / 2 - here->bounds.x - here->bounds.width / 2);
      if (dy > 4.0 && dy + 2.0 * dx < nearest)
        {
          nearest = dy + 2.0 * dx;
          best = (int) k;
        }
    }
  return best;
}

static gboolean
go_cb (GtkWidget *widget, GVariant *args, gpointer data)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (widget);
  int current = dwn_gear_canvas_current (self), next;
  char direction = (char) g_variant_get_byte (args);

  if (current < 0)
    return FALSE;
  if (GTK_IS_WINDOW (gtk_widget_get_root (widget)))
    gtk_window_set_focus_visible (GTK_WINDOW (gtk_widget_get_root (widget)), TRUE);
  if (direction == 'l' || direction == 'r')
    next = next_along (self, (guint) current, direction == 'r');
  else
    next = next_across (self, (guint) current, direction == 'd');
  return next >= 0 ? dwn_gear_canvas_focus_part (self, (guint) next) : TRUE;
}

/* The place in the wiring's order of the part that has the focus, −1: none has. */
static int
focused_part (DwnGearCanvas *self)
{
  GtkWidget *focus = gtk_widget_get_focus_child (GTK_WIDGET (self));
  guint i;

  return focus != NULL && g_ptr_array_find (self->parts, focus, &i) ? (int) i : -1;
}

/* Tab goes along the wiring, where the toolkit would go by lines of the drawing; it comes in where
 * it was last. */
static gboolean
dwn_gear_canvas_focus (GtkWidget *widget, GtkDirectionType direction)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (widget);
  gboolean forward = direction == GTK_DIR_TAB_FORWARD;
  int at = focused_part (self), current = dwn_gear_canvas_current (self), n = (int) self->parts->len;

  if ((!forward && direction != GTK_DIR_TAB_BACKWARD) || n == 0
      || (at < 0 && gtk_widget_get_focus_child (widget) != NULL)) /* a popover has it */
    return GTK_WIDGET_CLASS (dwn_gear_canvas_parent_class)->focus (widget, direction);
  if (at < 0 && current >= 0)
    return dwn_gear_canvas_focus_part (self, (guint) current);
  at = at >= 0 ? at + (forward ? 1 : -1) : forward ? 0 : n - 1;
  return at >= 0 && at < n && gtk_widget_grab_focus (GTK_WIDGET (part_at (self, (guint) at)));
}

static gboolean
menu_cb (GtkWidget *widget, GVariant *args, gpointer data)
{
  int current = dwn_gear_canvas_current (DWN_GEAR_CANVAS (widget));

  if (current >= 0)
    g_signal_emit (widget, signals[MENU], 0, (guint) current);
  return current >= 0;
}

/* Drag ------------------------------------------------------------------------------------------- */

static void
drag_begin_cb (DwnGearCanvas *self, double x, double y)
{
  GtkWidget *under = gtk_widget_pick (GTK_WIDGET (self), x, y, GTK_PICK_DEFAULT);

  self->drag = (Drag) { .part = -1, .edge = -1 };
  if (DWN_IS_GEAR_PART (under))
    self->drag.part = (int) dwn_gear_part_index (DWN_GEAR_PART (under));
}

/* The cable that lies nearest to the pointer, and which end of it. */
static void
find_cable (DwnGearCanvas *self)
{
  guint n;
  const DwnRegion *regions = dwn_scene_regions (self->scene, &n);
  double x = self->drag.x - MARGIN, y = self->drag.y - MARGIN, nearest = 40.0;

  self->drag.edge = -1;
  for (guint i = 0; i < n; i++)
    {
      const DwnRect *at = &regions[i].bounds;
      double dx = fmax (fmax (at->x - x, x - at->x - at->width), 0.0);
      double dy = fmax (fmax (at->y - y, y - at->y - at->height), 0.0);

      if (regions[i].kind != DWN_REGION_CABLE || hypot (dx, dy) >= nearest)
        continue;
      nearest = hypot (dx, dy);
      self->drag.edge = (int) regions[i].id;
      self->drag.late_end = self->downward ? y > at->y + at->height / 2 : x > at->x + at->width / 2;
    }
}

static void
drag_update_cb (DwnGearCanvas *self, double dx, double dy, GtkGestureDrag *gesture)
{
  double x, y;

  if (self->drag.part < 0 || self->scene == NULL || hypot (dx, dy) < DRAG_PX
      || !gtk_gesture_drag_get_start_point (gesture, &x, &y))
    return;
  gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
  self->drag.x = x + dx;
  self->drag.y = y + dy;
  find_cable (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
drag_end_cb (DwnGearCanvas *self, double dx, double dy)
{
  Drag drag = self->drag;

  self->drag = (Drag) { .part = -1, .edge = -1 };
  gtk_widget_queue_draw (GTK_WIDGET (self));
  if (drag.part >= 0 && drag.edge >= 0)
    g_signal_emit (self, signals[DROPPED], 0, (guint) drag.part, (guint) drag.edge, drag.late_end);
}

static const DwnRegion *
find_edge_region (DwnGearCanvas *self, guint edge)
{
  return dwn_scene_find (self->scene, DWN_REGION_CABLE, edge);
}

/* A stroke across the cable, near the end where the part would stand. */
static graphene_rect_t
caret_of (DwnGearCanvas *self, const DwnRect *at)
{
  double along = self->drag.late_end ? 0.85 : 0.15;
  double x = MARGIN + at->x + at->width * (self->downward ? 0.5 : along);
  double y = MARGIN + at->y + at->height * (self->downward ? along : 0.5);
  double half = self->downward ? at->width / 2 + 6 : at->height / 2 + 6;

  if (self->downward)
    return (graphene_rect_t) GRAPHENE_RECT_INIT ((float) (x - half), (float) y - CARET / 2, (float) (2 * half), CARET);
  return (graphene_rect_t) GRAPHENE_RECT_INIT ((float) x - CARET / 2, (float) (y - half), CARET, (float) (2 * half));
}

/* Where it would fall, and a frame that follows the pointer. */
static void
draw_drag (DwnGearCanvas *self, GtkSnapshot *snapshot)
{
  DwnLook look = dwn_widget_look (GTK_WIDGET (self));
  DwnColour blue = dwn_look_blue (&look);
  GdkRGBA ink = { (float) blue.red, (float) blue.green, (float) blue.blue, 1.0f };
  const DwnRegion *cable = self->drag.edge >= 0 ? find_edge_region (self, (guint) self->drag.edge) : NULL;
  GskRoundedRect frame;

  if (cable != NULL)
    {
      graphene_rect_t caret = caret_of (self, &cable->bounds);
      gtk_snapshot_append_color (snapshot, &ink, &caret);
    }
  gsk_rounded_rect_init_from_rect (&frame, &GRAPHENE_RECT_INIT ((float) self->drag.x - 20, (float) self->drag.y - 16,
                                                                40, 32), 5);
  gtk_snapshot_append_border (snapshot, &frame, (const float[4]) { 2, 2, 2, 2 },
                              (const GdkRGBA[4]) { ink, ink, ink, ink });
}

/* Widget ----------------------------------------------------------------------------------------- */

static void
dwn_gear_canvas_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (widget);

  lay_out (self, gtk_widget_get_width (widget));
  if (self->scene == NULL)
    return;
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) MARGIN, (float) MARGIN));
  dwn_snapshot_scene (snapshot, self->scene, DWN_LAYER_ALL,
                      &GRAPHENE_RECT_INIT (0, 0, (float) dwn_scene_width (self->scene),
                                           (float) dwn_scene_height (self->scene)));
  gtk_snapshot_restore (snapshot);
  GTK_WIDGET_CLASS (dwn_gear_canvas_parent_class)->snapshot (widget, snapshot);
  if (self->drag.part >= 0 && self->drag.x > 0.0)
    draw_drag (self, snapshot);
}

static void
dwn_gear_canvas_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                         int *natural, int *minimum_baseline, int *natural_baseline)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (widget);
  DwnLook look = dwn_widget_look (widget);

  *minimum_baseline = *natural_baseline = -1;
  prepare (self);
  double width = dwn_gear_width (&self->gear->data, &look), height;
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    {
      *minimum = LEAST_WIDTH;
      *natural = MAX ((int) ceil (width + 2 * MARGIN), LEAST_WIDTH);
      return;
    }
  double inner = for_size >= 0 ? fmax (for_size - 2 * MARGIN, 1.0) : width;
  height = inner < width ? dwn_gear_column_height (&self->gear->data, &look, inner)
                         : dwn_gear_height (&self->gear->data, &look);
  *minimum = *natural = (int) ceil (height + 2 * MARGIN);
}

static GtkSizeRequestMode
dwn_gear_canvas_get_request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

/* Popovers hang on the canvas too, and want to be told. */
static void
present_popovers (GtkWidget *widget)
{
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_POPOVER (child))
      gtk_popover_present (GTK_POPOVER (child));
}

static void
dwn_gear_canvas_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (widget);

  g_clear_pointer (&self->scene, dwn_scene_unref);
  lay_out (self, width);
  for (guint i = 0; i < self->parts->len; i++)
    {
      GtkWidget *part = GTK_WIDGET (part_at (self, i));
      GdkRectangle place = { 0 };
      gboolean drawn = dwn_gear_canvas_place (self, dwn_gear_part_index (part_at (self, i)), &place);

      gtk_widget_set_child_visible (part, drawn);
      gtk_widget_measure (part, GTK_ORIENTATION_HORIZONTAL, -1, NULL, NULL, NULL, NULL);
      if (drawn)
        gtk_widget_size_allocate (part, &place, -1);
    }
  present_popovers (widget);
}

static void
dwn_gear_canvas_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_gear_canvas_parent_class)->css_changed (widget, change);
  g_clear_pointer (&DWN_GEAR_CANVAS (widget)->scene, dwn_scene_unref);
  gtk_widget_queue_resize (widget);
}

static void
dwn_gear_canvas_dispose (GObject *object)
{
  DwnGearCanvas *self = DWN_GEAR_CANVAS (object);

  while (self->parts != NULL && self->parts->len > 0)
    drop_part (self);
  g_clear_pointer (&self->parts, g_ptr_array_unref);
  forget (self);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_gear_canvas_parent_class)->dispose (object);
}

static void
bind_keys (GtkWidgetClass *klass)
{
  static const struct {
    guint key, keypad;
    char direction;
  } keys[] = { { GDK_KEY_Left, GDK_KEY_KP_Left, 'l' }, { GDK_KEY_Right, GDK_KEY_KP_Right, 'r' },
               { GDK_KEY_Up, GDK_KEY_KP_Up, 'u' }, { GDK_KEY_Down, GDK_KEY_KP_Down, 'd' } };

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      gtk_widget_class_add_binding (klass, keys[i].key, 0, go_cb, "y", keys[i].direction);
      gtk_widget_class_add_binding (klass, keys[i].keypad, 0, go_cb, "y", keys[i].direction);
    }
  gtk_widget_class_add_binding (klass, GDK_KEY_Menu, 0, menu_cb, NULL);
  gtk_widget_class_add_binding (klass, GDK_KEY_F10, GDK_SHIFT_MASK, menu_cb, NULL);
}

static void
dwn_gear_canvas_class_init (DwnGearCanvasClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_gear_canvas_dispose;
  widget_class->snapshot = dwn_gear_canvas_snapshot;
  widget_class->measure = dwn_gear_canvas_measure;
  widget_class->get_request_mode = dwn_gear_canvas_get_request_mode;
  widget_class->size_allocate = dwn_gear_canvas_size_allocate;
  widget_class->css_changed = dwn_gear_canvas_css_changed;
  widget_class->focus = dwn_gear_canvas_focus;
  gtk_widget_class_set_css_name (widget_class, "gear");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  signals[CHOSEN] = g_signal_new ("chosen", DWN_TYPE_GEAR_CANVAS, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 1, G_TYPE_UINT);
  signals[MENU] = g_signal_new ("menu", DWN_TYPE_GEAR_CANVAS, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                G_TYPE_NONE, 1, G_TYPE_UINT);
  signals[POINTED] = g_signal_new ("pointed", DWN_TYPE_GEAR_CANVAS, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 1, G_TYPE_INT);
  signals[DROPPED] = g_signal_new ("dropped", DWN_TYPE_GEAR_CANVAS, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                   G_TYPE_NONE, 3, G_TYPE_UINT, G_TYPE_UINT, G_TYPE_BOOLEAN);
  bind_keys (widget_class);
}

static void
dwn_gear_canvas_init (DwnGearCanvas *self)
{
  GtkGesture *drag = gtk_gesture_drag_new ();

  dwn_widget_keep_drawing (GTK_WIDGET (self));
  self->parts = g_ptr_array_new ();
  self->drag = (Drag) { .part = -1, .edge = -1 };
  gtk_event_controller_set_propagation_phase (GTK_EVENT_CONTROLLER (drag), GTK_PHASE_CAPTURE);
  g_signal_connect_swapped (drag, "drag-begin", G_CALLBACK (drag_begin_cb), self);
  g_signal_connect_swapped (drag, "drag-update", G_CALLBACK (drag_update_cb), self);
  g_signal_connect_swapped (drag, "drag-end", G_CALLBACK (drag_end_cb), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drag));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Gear chain"), -1);
}

GtkWidget *
dwn_gear_canvas_new (DwnDocument *document)
{
  DwnGearCanvas *self = g_object_new (DWN_TYPE_GEAR_CANVAS, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "relist", G_CALLBACK (relist_cb), self, G_CONNECT_SWAPPED);
  sync_parts (self);
  describe (self);
  return GTK_WIDGET (self);
}

/* Public ----------------------------------------------------------------------------------------- */

const DwnGearState *
dwn_gear_canvas_state (DwnGearCanvas *self)
{
  prepare (self);
  return self->state;
}

const char *
dwn_gear_canvas_summary (DwnGearCanvas *self)
{
  prepare (self);
  return self->summary != NULL ? self->summary : "";
}

int
dwn_gear_canvas_current (DwnGearCanvas *self)
{
  return self->current != NULL ? dwn_chain_find (gear_of (self), self->current) : -1;
}

char *
dwn_gear_canvas_words (DwnGearCanvas *self, guint part)
{
  prepare (self);
  g_autofree char *description = describe_part (self, part);

  g_strdelimit (description, "\n", ' ');
  if (description[0] == '\0')
    return g_strdup (node_name (self, part));
  return g_strdup_printf ("%s: %s", node_name (self, part), description);
}

GtkWidget *
dwn_gear_canvas_part (DwnGearCanvas *self, guint part)
{
  for (guint i = 0; i < self->parts->len; i++)
    if (dwn_gear_part_index (part_at (self, i)) == part)
      return GTK_WIDGET (part_at (self, i));
  return NULL;
}

gboolean
dwn_gear_canvas_focus_part (DwnGearCanvas *self, guint part)
{
  GtkWidget *widget = dwn_gear_canvas_part (self, part);

  if (widget == NULL)
    return FALSE;
  self->current = gear_of (self)->part[part].id;
  return gtk_widget_grab_focus (widget);
}

void
dwn_gear_canvas_set_chosen (DwnGearCanvas *self, int part)
{
  for (guint i = 0; i < self->parts->len; i++)
    dwn_gear_part_set_chosen (part_at (self, i), (int) dwn_gear_part_index (part_at (self, i)) == part);
}

gboolean
dwn_gear_canvas_place (DwnGearCanvas *self, guint part, GdkRectangle *place)
{
  const DwnRegion *region = region_of (self, part);

  if (region == NULL)
    return FALSE;
  *place = (GdkRectangle) { (int) (region->bounds.x + MARGIN), (int) (region->bounds.y + MARGIN),
                            (int) ceil (region->bounds.width), (int) ceil (region->bounds.height) };
  return TRUE;
}
