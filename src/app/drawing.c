#include "app/drawing.h"

#include <math.h>

struct _DwnDrawing {
  GtkWidget parent_instance;

  DwnDrawFunc layout;
  gpointer user_data;
  double share;
  int least_height;
  GskRenderNode *node; /* NULL: to be painted */
};

G_DEFINE_FINAL_TYPE (DwnDrawing, dwn_drawing, GTK_TYPE_WIDGET)

static GskRenderNode *
paint (DwnDrawing *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  DwnLook look = dwn_widget_look (widget);
  g_autoptr (DwnScene) scene = self->layout (self->user_data, &look, gtk_widget_get_pango_context (widget),
                                             width, height);

  if (scene == NULL)
    return NULL;
  GskRenderNode *node = gsk_cairo_node_new (&GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height));
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
  cairo_destroy (cr);
  return node;
}

static void
dwn_drawing_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnDrawing *self = DWN_DRAWING (widget);

  if (gtk_widget_get_width (widget) < 1)
    return;
  if (self->node == NULL)
    self->node = paint (self);
  if (self->node != NULL)
    gtk_snapshot_append_node (snapshot, self->node);
}

static void
forget (DwnDrawing *self)
{
  g_clear_pointer (&self->node, gsk_render_node_unref);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static GtkSizeRequestMode
dwn_drawing_request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
dwn_drawing_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                     int *natural, int *minimum_baseline, int *natural_baseline)
{
  DwnDrawing *self = DWN_DRAWING (widget);

  *minimum_baseline = *natural_baseline = -1;
  *minimum = 0;
  *natural = 480;
  if (orientation == GTK_ORIENTATION_VERTICAL)
    *minimum = *natural = MAX ((int) ceil (self->share * (for_size > 0 ? for_size : 480)), self->least_height);
}

static void
dwn_drawing_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  g_clear_pointer (&DWN_DRAWING (widget)->node, gsk_render_node_unref);
}

static void
dwn_drawing_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_drawing_parent_class)->css_changed (widget, change);
  g_clear_pointer (&DWN_DRAWING (widget)->node, gsk_render_node_unref);
}

static void
dwn_drawing_finalize (GObject *object)
{
  g_clear_pointer (&DWN_DRAWING (object)->node, gsk_render_node_unref);
  G_OBJECT_CLASS (dwn_drawing_parent_class)->finalize (object);
}

static void
dwn_drawing_class_init (DwnDrawingClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = dwn_drawing_finalize;
  widget_class->snapshot = dwn_drawing_snapshot;
  widget_class->get_request_mode = dwn_drawing_request_mode;
  widget_class->measure = dwn_drawing_measure;
  widget_class->size_allocate = dwn_drawing_size_allocate;
  widget_class->css_changed = dwn_drawing_css_changed;
  gtk_widget_class_set_css_name (widget_class, "drawing");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
dwn_drawing_init (DwnDrawing *self)
{
  dwn_widget_keep_drawing (GTK_WIDGET (self));
}

GtkWidget *
dwn_drawing_new (const char *label, double share, int least_height, DwnDrawFunc layout, gpointer user_data)
{
  DwnDrawing *self = g_object_new (DWN_TYPE_DRAWING, NULL);

  self->layout = layout;
  self->user_data = user_data;
  self->share = share;
  self->least_height = least_height;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  return GTK_WIDGET (self);
}

void
dwn_drawing_refresh (DwnDrawing *self, const char *description)
{
  g_return_if_fail (DWN_IS_DRAWING (self));

  if (description != NULL)
    gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
  forget (self);
}
