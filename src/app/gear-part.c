#include "app/gear-part.h"

#include "app/scene-view.h"

#define CORNER 5.0f
#define REACH 3.0f /* of the frame beyond the symbol */

struct _DwnGearPart {
  GtkButton parent_instance;
  guint part;
  gboolean chosen;
};

G_DEFINE_FINAL_TYPE (DwnGearPart, dwn_gear_part, GTK_TYPE_BUTTON)

static GdkRGBA
colour_of (DwnColour colour, double alpha)
{
  return (GdkRGBA) { (float) colour.red, (float) colour.green, (float) colour.blue, (float) alpha };
}

static void
draw_frame (GtkWidget *widget, GtkSnapshot *snapshot, DwnColour colour)
{
  const graphene_rect_t bounds = GRAPHENE_RECT_INIT (-REACH, -REACH,
                                                     (float) gtk_widget_get_width (widget) + 2 * REACH,
                                                     (float) gtk_widget_get_height (widget) + 2 * REACH);
  GdkRGBA edge = colour_of (colour, 1.0);
  GskRoundedRect frame;

  gsk_rounded_rect_init_from_rect (&frame, &bounds, CORNER);
  gtk_snapshot_append_border (snapshot, &frame, (const float[4]) { 2, 2, 2, 2 },
                              (const GdkRGBA[4]) { edge, edge, edge, edge });
}

/* The symbol itself lies beneath. */
static void
dwn_gear_part_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnGearPart *self = DWN_GEAR_PART (widget);
  DwnLook look = dwn_widget_look (widget);

  if ((gtk_widget_get_state_flags (widget) & GTK_STATE_FLAG_PRELIGHT) != 0)
    {
      GdkRGBA tint = colour_of (dwn_look_blue (&look), 0.13);
      gtk_snapshot_append_color (snapshot, &tint,
                                 &GRAPHENE_RECT_INIT (-REACH, -REACH,
                                                      (float) gtk_widget_get_width (widget) + 2 * REACH,
                                                      (float) gtk_widget_get_height (widget) + 2 * REACH));
    }
  if (self->chosen)
    draw_frame (widget, snapshot, dwn_look_orange (&look));
  else if (gtk_widget_has_focus (widget)) /* whether by key or pointer: the words below speak of it */
    draw_frame (widget, snapshot, dwn_look_blue (&look));
}

/* No style depends on the state, so nothing else would draw it anew. */
static void
dwn_gear_part_state_flags_changed (GtkWidget *widget, GtkStateFlags before)
{
  GTK_WIDGET_CLASS (dwn_gear_part_parent_class)->state_flags_changed (widget, before);
  gtk_widget_queue_draw (widget);
}

static void
dwn_gear_part_class_init (DwnGearPartClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  widget_class->snapshot = dwn_gear_part_snapshot;
  widget_class->state_flags_changed = dwn_gear_part_state_flags_changed;
  gtk_widget_class_set_css_name (widget_class, "gearpart");
}

static void
dwn_gear_part_init (DwnGearPart *self)
{
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "pointer");
}

GtkWidget *
dwn_gear_part_new (void)
{
  return g_object_new (DWN_TYPE_GEAR_PART, NULL);
}

void
dwn_gear_part_set (DwnGearPart *self, guint part, const char *name, const char *description)
{
  g_return_if_fail (DWN_IS_GEAR_PART (self));

  self->part = part;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, description, -1);
}

guint
dwn_gear_part_index (DwnGearPart *self)
{
  return self->part;
}

void
dwn_gear_part_set_chosen (DwnGearPart *self, gboolean chosen)
{
  g_return_if_fail (DWN_IS_GEAR_PART (self));

  self->chosen = chosen;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
