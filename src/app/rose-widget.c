#include "app/rose-widget.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/rose-children.h"
#include "app/rose-layers.h"
#include "app/settings.h"

#define ZOOM_STEP 1.25
#define MOST_ZOOM 8.0
/* Children are made a few at a time after the first frame. */
#define CHILDREN_AT_ONCE 16
/* Masts of one mark lie 500 m apart at most; a chain of them may be longer. */
#define MOST_SHARED_M 1500.0

enum { PROPERTY_SKYLINE = 1, PROPERTY_SUN, PROPERTY_PATTERNS, N_PROPERTIES };

struct _DwnRoseWidget {
  GtkWidget parent_instance;

  DwnDocument *document;
  DwnRoseLayers *layers;
  gboolean stale;            /* everything is to be laid out */
  gboolean misplaced;        /* it was, and marks lie elsewhere now */
  double zoom;
  int hovered, fan_mast;     /* −1: none */
  guint antenna;             /* handled last */
  gboolean dragging;
  DwnDate today;
  GTimeZone *zone;           /* NULL: the sun was never shown */
  gboolean shows[N_PROPERTIES]; /* what may be switched off */
  GPtrArray *aims, *marks;   /* children; marks by bearing, one a station */
  guint named;               /* so many of them say what they are */
  guint populate;            /* source */
};

G_DEFINE_FINAL_TYPE (DwnRoseWidget, dwn_rose_widget, GTK_TYPE_WIDGET)

/* The clocks at the house; this machine's where the plan does not say. */
static void
find_zone (DwnRoseWidget *self)
{
  const char *id = dwn_document_plan (self->document)->site->time_zone;

  g_clear_pointer (&self->zone, g_time_zone_unref);
  self->zone = id[0] != '\0' ? g_time_zone_new_identifier (id) : NULL;
  if (self->zone == NULL)
    self->zone = g_time_zone_new_local ();
}

/* Today: the sun is looked for by whoever stands on the roof. */
static void
find_today (DwnRoseWidget *self)
{
  find_zone (self);
  g_autoptr (GDateTime) now = g_date_time_new_now (self->zone);

  g_date_time_get_ymd (now, &self->today.year, &self->today.month, &self->today.day);
}

static DwnPlanView
view_of (DwnRoseWidget *self)
{
  DwnPlanView view = dwn_document_view (self->document);
  GSettings *settings = dwn_document_settings (self->document);

  view.zoom = self->zoom;
  view.hovered = self->hovered;
  view.fan_mast = self->fan_mast;
  view.hide_skyline = !self->shows[PROPERTY_SKYLINE];
  view.hide_patterns = !self->shows[PROPERTY_PATTERNS];
  view.sun_date = self->shows[PROPERTY_SUN] ? &self->today : NULL;
  view.sun_zone = self->zone;
  if (settings != NULL)
    view.scale = (DwnRoseScale) g_settings_get_enum (settings, DWN_SETTING_SCALE);
  return view;
}

static void
place_child (GtkWidget *child, const DwnRect *bounds)
{
  const GtkAllocation place = { (int) floor (bounds->x), (int) floor (bounds->y),
                                MAX ((int) ceil (bounds->width), 1), MAX ((int) ceil (bounds->height), 1) };

  gtk_widget_size_allocate (child, &place, -1);
}

static void
place_aims (DwnRoseWidget *self)
{
  for (guint a = 0; a < self->aims->len; a++)
    {
      const DwnRegion *handle = dwn_rose_layers_handle (self->layers, a);
      if (handle != NULL)
        place_child (g_ptr_array_index (self->aims, a), &handle->bounds);
    }
}

/* Where the stations lie, in metres east and north of the house. */
typedef struct {
  double east_m, north_m;
} Spot;

static Spot *
spots_new (const DwnFindings *findings)
{
  guint n = findings->plan->stations->n;
  Spot *spots = g_new (Spot, MAX (n, 1));

  for (guint i = 0; i < n; i++)
    {
      const DwnArrival *arrival = &findings->fields->arrival[i];
      double angle = arrival->bearing_deg * G_PI / 180.0;
      spots[i] = (Spot) { arrival->distance_m * sin (angle), arrival->distance_m * cos (angle) };
    }
  return spots;
}

/* The mark that @station shares with others of its mast: the nearest one, if it is as near as that. */
static const DwnRegion *
shared_mark (const GPtrArray *marks, const Spot *spots, guint station)
{
  const DwnRegion *found = NULL;
  double least = MOST_SHARED_M * MOST_SHARED_M;

  for (guint i = 0; i < marks->len; i++)
    {
      const DwnRegion *region = g_ptr_array_index (marks, i);
      double east = spots[region->id].east_m - spots[station].east_m;
      double north = spots[region->id].north_m - spots[station].north_m;
      if (east * east + north * north < least)
        {
          least = east * east + north * north;
          found = region;
        }
    }
  return found;
}

static void
place_marks (DwnRoseWidget *self)
{
  static const DwnRect nowhere = { -1.0, -1.0, 1.0, 1.0 };
  DwnFindings findings = dwn_document_findings (self->document);
  g_autofree Spot *spots = spots_new (&findings);
  g_autoptr (GPtrArray) regions = g_ptr_array_new ();
  g_autofree const DwnRegion **own = g_new0 (const DwnRegion *, MAX (findings.plan->stations->n, 1));
  guint n;
  const DwnRegion *all = dwn_scene_regions (dwn_rose_layers_scene (self->layers), &n);

  for (guint i = 0; i < n; i++)
    if (all[i].kind == DWN_REGION_STATION && all[i].id < findings.plan->stations->n)
      {
        g_ptr_array_add (regions, (gpointer) &all[i]);
        own[all[i].id] = &all[i];
      }
  for (guint i = 0; i < self->marks->len; i++)
    {
      GtkWidget *mark = g_ptr_array_index (self->marks, i);
      guint station = dwn_station_mark_station (DWN_STATION_MARK (mark));
      const DwnRegion *region = station >= findings.plan->stations->n ? NULL
                                : own[station] != NULL ? own[station] : shared_mark (regions, spots, station);
      gtk_widget_set_child_visible (mark, region != NULL);
      place_child (mark, region != NULL ? &region->bounds : &nowhere);
    }
}

static void
forget_scene (DwnRoseWidget *self)
{
  self->stale = TRUE;
  gtk_widget_queue_allocate (GTK_WIDGET (self));
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
  for (guint a = 0; a < self->aims->len; a++)
    dwn_aim_handle_refresh (g_ptr_array_index (self->aims, a));
}

static void
drop_children (GPtrArray *children, guint keep)
{
  while (children->len > keep)
    {
      gtk_widget_unparent (g_ptr_array_index (children, children->len - 1));
      g_ptr_array_set_size (children, (int) children->len - 1);
    }
}

typedef struct {
  guint station;
  double bearing_deg, distance_m;
} Place;

static int
compare_places (gconstpointer a, gconstpointer b)
{
  const Place *x = a, *y = b;

  if (x->bearing_deg != y->bearing_deg)
    return x->bearing_deg < y->bearing_deg ? -1 : 1;
  return x->distance_m < y->distance_m ? -1 : x->distance_m > y->distance_m ? 1 : (int) x->station - (int) y->station;
}

/* The stations as the keyboard walks them: clockwise, also those that share a mark, one by one. */
static GArray *
stations_in_order (DwnRoseWidget *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  GArray *order = g_array_new (FALSE, FALSE, sizeof (Place));

  for (guint i = 0; i < findings.plan->stations->n; i++)
    {
      const DwnArrival *arrival = &findings.fields->arrival[i];
      const Place place = { i, arrival->bearing_deg, arrival->distance_m };
      g_array_append_val (order, place);
    }
  g_array_sort (order, compare_places);
  return order;
}

/* Makes some of the missing children, then names some; calls itself again until all is done. */
static gboolean
populate_cb (gpointer data)
{
  DwnRoseWidget *self = data;
  g_autoptr (GArray) wanted = stations_in_order (self);
  guint end;

  drop_children (self->marks, wanted->len);
  for (guint made = 0; self->marks->len < wanted->len && made < CHILDREN_AT_ONCE; made++)
    {
      GtkWidget *mark = dwn_station_mark_new (self->document);
      gtk_widget_insert_before (mark, GTK_WIDGET (self), NULL);
      g_ptr_array_add (self->marks, mark);
    }
  for (end = MIN (self->named + CHILDREN_AT_ONCE, self->marks->len); self->named < end; self->named++)
    dwn_station_mark_set_station (g_ptr_array_index (self->marks, self->named),
                                  g_array_index (wanted, Place, self->named).station);
  self->misplaced = TRUE;
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  if (self->named < wanted->len)
    return G_SOURCE_CONTINUE;
  self->populate = 0;
  return G_SOURCE_REMOVE;
}

static void
populate (DwnRoseWidget *self)
{
  self->named = 0;
  if (self->populate == 0)
    self->populate = g_idle_add_full (G_PRIORITY_LOW, populate_cb, self, NULL);
}

static void
lay_out (DwnRoseWidget *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  DwnPlanView view = view_of (self);
  DwnLook look = dwn_widget_look (widget);

  self->stale = FALSE;
  self->misplaced = TRUE;
  dwn_rose_layers_lay_out (self->layers, &view, &look, gtk_widget_get_pango_context (widget),
                           gtk_widget_get_width (widget), gtk_widget_get_height (widget),
                           gtk_widget_get_scale_factor (widget));
  if (dwn_document_plan (self->document)->stations->n != self->marks->len && self->populate == 0)
    populate (self);
}

static void
make_aims (DwnRoseWidget *self)
{
  guint n = dwn_document_plan (self->document)->gear->n_antennas;

  drop_children (self->aims, n);
  while (self->aims->len < n)
    {
      GtkWidget *aim = dwn_aim_handle_new (self->document, self->aims->len);
      GtkWidget *first_mark = self->marks->len > 0 ? g_ptr_array_index (self->marks, 0) : NULL;
      gtk_widget_insert_before (aim, GTK_WIDGET (self), first_mark);
      g_ptr_array_add (self->aims, aim);
    }
}

static void
changed_cb (DwnRoseWidget *self)
{
  self->antenna = MIN (self->antenna, MAX (dwn_document_plan (self->document)->gear->n_antennas, 1) - 1);
  self->fan_mast = -1;
  if (self->shows[PROPERTY_SUN])
    find_today (self);
  make_aims (self);
  forget_scene (self);
  describe (self);
  populate (self);
}

static void
redraw_cb (DwnRoseWidget *self)
{
  GtkWidget *widget = GTK_WIDGET (self);

  if (self->stale || dwn_rose_layers_scene (self->layers) == NULL)
    return; /* the next frame lays out everything */
  DwnPlanView view = view_of (self);
  DwnLook look = dwn_widget_look (widget);
  dwn_rose_layers_follow (self->layers, &view, &look, gtk_widget_get_pango_context (widget));
  describe (self);
  gtk_widget_queue_draw (widget);
}

/* The aims at once, what they do to the stations soon. */
static void
aimed_cb (DwnRoseWidget *self)
{
  GtkWidget *widget = GTK_WIDGET (self);

  if (self->stale || dwn_rose_layers_scene (self->layers) == NULL)
    return;
  DwnPlanView view = view_of (self);
  DwnLook look = dwn_widget_look (widget);
  dwn_rose_layers_move (self->layers, &view, &look, gtk_widget_get_pango_context (widget));
  gtk_widget_queue_allocate (widget);
  gtk_widget_queue_draw (widget);
}

static void
dwn_rose_widget_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);
  const DwnScene *scene = dwn_rose_layers_scene (self->layers);

  if (dwn_document_plan (self->document) == NULL || width < 1 || height < 1)
    return;
  if (self->stale || scene == NULL || (int) dwn_scene_width (scene) != width
      || (int) dwn_scene_height (scene) != height)
    lay_out (self);
  place_aims (self);
  if (self->misplaced)
    place_marks (self);
  self->misplaced = FALSE;
}

static void
snapshot_focus (DwnRoseWidget *self, GtkSnapshot *snapshot)
{
  GtkWidget *child = gtk_widget_get_focus_child (GTK_WIDGET (self));
  graphene_rect_t bounds;

  if (child == NULL || !gtk_widget_has_visible_focus (child)
      || !gtk_widget_compute_bounds (child, GTK_WIDGET (self), &bounds))
    return;
  gtk_snapshot_render_focus (snapshot, gtk_widget_get_style_context (GTK_WIDGET (self)),
                             (double) bounds.origin.x - 4, (double) bounds.origin.y - 4,
                             (double) bounds.size.width + 8, (double) bounds.size.height + 8);
}

static void
dwn_rose_widget_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);

  if (dwn_document_plan (self->document) == NULL || gtk_widget_get_width (widget) < 1)
    return;
  if (self->stale)
    lay_out (self);
  dwn_rose_layers_snapshot (self->layers, snapshot);
  snapshot_focus (self, snapshot);
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
dwn_rose_widget_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_rose_widget_parent_class)->css_changed (widget, change);
  DWN_ROSE_WIDGET (widget)->stale = TRUE;
  gtk_widget_queue_allocate (widget);
}

/* Aims one by one, then all marks as one stop; arrow keys walk the marks by bearing. */
static int
index_of_focus (DwnRoseWidget *self, const GPtrArray *children)
{
  GtkWidget *child = gtk_widget_get_focus_child (GTK_WIDGET (self));
  guint at;

  return child != NULL && g_ptr_array_find ((GPtrArray *) children, child, &at) ? (int) at : -1;
}

static gboolean
focus_mark (DwnRoseWidget *self, int at)
{
  guint n = self->marks->len;

  return n > 0 && gtk_widget_grab_focus (g_ptr_array_index (self->marks, ((guint) at + n) % n));
}

static gboolean
focus_aim (DwnRoseWidget *self, int at)
{
  return at >= 0 && (guint) at < self->aims->len && gtk_widget_grab_focus (g_ptr_array_index (self->aims, at));
}

static gboolean
dwn_rose_widget_focus (GtkWidget *widget, GtkDirectionType direction)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);
  int aim = index_of_focus (self, self->aims), mark = index_of_focus (self, self->marks);

  switch (direction)
    {
    case GTK_DIR_TAB_FORWARD:
      return mark < 0 && (focus_aim (self, aim + 1) || focus_mark (self, 0));
    case GTK_DIR_TAB_BACKWARD:
      if (aim < 0 && mark < 0)
        return focus_mark (self, 0) || focus_aim (self, (int) self->aims->len - 1);
      return focus_aim (self, mark >= 0 ? (int) self->aims->len - 1 : aim - 1);
    case GTK_DIR_RIGHT:
    case GTK_DIR_DOWN:
      return mark >= 0 ? focus_mark (self, mark + 1) : focus_aim (self, 0);
    case GTK_DIR_LEFT:
    case GTK_DIR_UP:
    default:
      return mark >= 0 ? focus_mark (self, mark - 1) : focus_aim (self, 0);
    }
}

/* The antenna whose handle has the focus is the one that keys and buttons turn. */
static void
dwn_rose_widget_set_focus_child (GtkWidget *widget, GtkWidget *child)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);

  GTK_WIDGET_CLASS (dwn_rose_widget_parent_class)->set_focus_child (widget, child);
  if (DWN_IS_AIM_HANDLE (child))
    self->antenna = dwn_aim_handle_antenna (DWN_AIM_HANDLE (child));
  gtk_widget_queue_draw (widget);
}

static gboolean
dwn_rose_widget_grab_focus (GtkWidget *widget)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (widget);

  return focus_aim (self, (int) self->antenna) || focus_mark (self, 0);
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
  const DwnRegion *region = dwn_rose_layers_hit (self->layers, x, y);

  if (region != NULL && region->kind == DWN_REGION_AIM)
    {
      self->antenna = region->id;
      self->dragging = TRUE;
      gtk_widget_grab_focus (GTK_WIDGET (self));
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
  dwn_document_turn (self->document, self->antenna, findings.aim_deg[self->antenna] + by_deg);
}

static void
motion_cb (DwnRoseWidget *self, double x, double y)
{
  const DwnRegion *region = self->dragging ? NULL : dwn_rose_layers_hit (self->layers, x, y);
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
zoom_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  scroll_cb (DWN_ROSE_WIDGET (widget), 0.0, g_str_has_suffix (action, "in") ? -1.0 : 1.0);
}

static void
dwn_rose_widget_dispose (GObject *object)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (object);

  g_clear_handle_id (&self->populate, g_source_remove);
  if (self->aims != NULL)
    drop_children (self->aims, 0);
  if (self->marks != NULL)
    drop_children (self->marks, 0);
  g_clear_pointer (&self->aims, g_ptr_array_unref);
  g_clear_pointer (&self->marks, g_ptr_array_unref);
  g_clear_pointer (&self->layers, dwn_rose_layers_free);
  g_clear_pointer (&self->zone, g_time_zone_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_rose_widget_parent_class)->dispose (object);
}

static void
dwn_rose_widget_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  if (id >= N_PROPERTIES)
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
  else
    g_value_set_boolean (value, DWN_ROSE_WIDGET (object)->shows[id]);
}

static void
dwn_rose_widget_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  DwnRoseWidget *self = DWN_ROSE_WIDGET (object);

  if (id >= N_PROPERTIES)
    {
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
      return;
    }
  if (self->shows[id] == g_value_get_boolean (value))
    return;
  self->shows[id] = !self->shows[id];
  if (dwn_document_plan (self->document) != NULL)
    find_today (self);
  forget_scene (self);
  g_object_notify_by_pspec (object, pspec);
}

/* Skyline and patterns are seen at first, the sun is not. */
static void
install_properties (GObjectClass *klass)
{
  static const struct {
    guint id;
    const char *name;
    gboolean shown;
  } properties[] = { { PROPERTY_SKYLINE, "skyline", TRUE }, { PROPERTY_SUN, "sun", FALSE },
                     { PROPERTY_PATTERNS, "patterns", TRUE } };

  klass->get_property = dwn_rose_widget_get_property;
  klass->set_property = dwn_rose_widget_set_property;
  for (gsize i = 0; i < G_N_ELEMENTS (properties); i++)
    g_object_class_install_property (klass, properties[i].id,
                                     g_param_spec_boolean (properties[i].name, NULL, NULL, properties[i].shown,
                                                           G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY
                                                           | G_PARAM_STATIC_STRINGS));
}

static void
dwn_rose_widget_class_init (DwnRoseWidgetClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_rose_widget_dispose;
  install_properties (G_OBJECT_CLASS (klass));
  widget_class->snapshot = dwn_rose_widget_snapshot;
  widget_class->measure = dwn_rose_widget_measure;
  widget_class->size_allocate = dwn_rose_widget_size_allocate;
  widget_class->css_changed = dwn_rose_widget_css_changed;
  widget_class->focus = dwn_rose_widget_focus;
  widget_class->grab_focus = dwn_rose_widget_grab_focus;
  widget_class->set_focus_child = dwn_rose_widget_set_focus_child;
  gtk_widget_class_set_css_name (widget_class, "rose");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_install_action (widget_class, "rose.zoom-in", NULL, zoom_cb);
  gtk_widget_class_install_action (widget_class, "rose.zoom-out", NULL, zoom_cb);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_plus, 0, "rose.zoom-in", NULL);
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_minus, 0, "rose.zoom-out", NULL);
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
  dwn_widget_keep_drawing (GTK_WIDGET (self));
  self->layers = dwn_rose_layers_new ();
  self->aims = g_ptr_array_new ();
  self->marks = g_ptr_array_new ();
  self->zoom = 1.0;
  self->shows[PROPERTY_SKYLINE] = self->shows[PROPERTY_PATTERNS] = TRUE;
  self->stale = TRUE;
  self->hovered = self->fan_mast = -1;
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
  g_signal_connect_object (document, "aimed", G_CALLBACK (aimed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "redraw", G_CALLBACK (redraw_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (forget_scene), self, G_CONNECT_SWAPPED);
  if (dwn_document_plan (document) != NULL)
    changed_cb (self);
  return GTK_WIDGET (self);
}

DwnScene *
dwn_rose_widget_picture (DwnRoseWidget *self, double size)
{
  g_return_val_if_fail (DWN_IS_ROSE_WIDGET (self) && dwn_document_plan (self->document) != NULL, NULL);

  DwnPlanView view = view_of (self);
  DwnLook look = dwn_look_light ();

  view.hovered = view.fan_mast = -1;
  view.legend = TRUE;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&view);
  return dwn_rose_layout (&rose->data, &look, gtk_widget_get_pango_context (GTK_WIDGET (self)), size, size, NULL);
}
