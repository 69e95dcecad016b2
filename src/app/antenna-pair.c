#include "app/antenna-pair.h"

#define GAP 18

struct _DwnAntennaPair {
  GtkWidget parent_instance;
  GtkWidget *first, *second;
  int least_px;
};

G_DEFINE_FINAL_TYPE (DwnAntennaPair, dwn_antenna_pair, GTK_TYPE_WIDGET)

static int
minimum_width (GtkWidget *widget)
{
  int minimum;

  gtk_widget_measure (widget, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  return minimum;
}

static int
natural_width (GtkWidget *widget)
{
  int natural;

  gtk_widget_measure (widget, GTK_ORIENTATION_HORIZONTAL, -1, NULL, &natural, NULL, NULL);
  return natural;
}

static int
height_for (GtkWidget *widget, int width)
{
  int natural;

  gtk_widget_measure (widget, GTK_ORIENTATION_VERTICAL, MAX (width, minimum_width (widget)), NULL, &natural, NULL, NULL);
  return natural;
}

/* What the first gets beside the second; less than 1: there is no room for both. */
static int
first_width (DwnAntennaPair *self, int width)
{
  int left = width - GAP - MAX (self->least_px, minimum_width (self->second));

  return left >= minimum_width (self->first) ? MIN (left, natural_width (self->first)) : 0;
}

static void
measure_width (DwnAntennaPair *self, int *minimum, int *natural)
{
  *minimum = MAX (minimum_width (self->first), minimum_width (self->second));
  *natural = natural_width (self->first) + GAP + MAX (self->least_px, natural_width (self->second));
}

static int
measure_height (DwnAntennaPair *self, int width)
{
  int first = first_width (self, width);

  if (width < 0)
    return MAX (height_for (self->first, -1), height_for (self->second, -1));
  if (first > 0)
    return MAX (height_for (self->first, first), height_for (self->second, width - first - GAP));
  return height_for (self->first, width) + GAP + height_for (self->second, width);
}

static void
dwn_antenna_pair_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                          int *minimum_baseline, int *natural_baseline)
{
  *minimum_baseline = *natural_baseline = -1;
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    measure_width (DWN_ANTENNA_PAIR (widget), minimum, natural);
  else
    *minimum = *natural = measure_height (DWN_ANTENNA_PAIR (widget), for_size);
}

static void
place (GtkWidget *widget, int x, int y, int width, int height)
{
  gtk_widget_size_allocate (widget, &(GtkAllocation) { x, y, width, height }, -1);
}

static void
dwn_antenna_pair_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  DwnAntennaPair *self = DWN_ANTENNA_PAIR (widget);
  gboolean mirrored = gtk_widget_get_direction (widget) == GTK_TEXT_DIR_RTL;
  int first = first_width (self, width);

  if (first == 0)
    {
      int upper = height_for (self->first, width);
      place (self->first, 0, 0, width, upper);
      place (self->second, 0, upper + GAP, width, MAX (height - upper - GAP, height_for (self->second, width)));
      return;
    }
  place (self->first, mirrored ? width - first : 0, 0, first, height);
  place (self->second, mirrored ? 0 : first + GAP, 0, width - first - GAP, height);
}

static GtkSizeRequestMode
dwn_antenna_pair_get_request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
dwn_antenna_pair_dispose (GObject *object)
{
  DwnAntennaPair *self = DWN_ANTENNA_PAIR (object);

  g_clear_pointer (&self->first, gtk_widget_unparent);
  g_clear_pointer (&self->second, gtk_widget_unparent);
  G_OBJECT_CLASS (dwn_antenna_pair_parent_class)->dispose (object);
}

static void
dwn_antenna_pair_class_init (DwnAntennaPairClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_antenna_pair_dispose;
  widget_class->measure = dwn_antenna_pair_measure;
  widget_class->size_allocate = dwn_antenna_pair_size_allocate;
  widget_class->get_request_mode = dwn_antenna_pair_get_request_mode;
}

static void
dwn_antenna_pair_init (DwnAntennaPair *self)
{
}

GtkWidget *
dwn_antenna_pair_new (GtkWidget *first, GtkWidget *second, int least_px)
{
  DwnAntennaPair *self = g_object_new (DWN_TYPE_ANTENNA_PAIR, NULL);

  self->first = first;
  self->second = second;
  self->least_px = least_px;
  gtk_widget_set_parent (first, GTK_WIDGET (self));
  gtk_widget_set_parent (second, GTK_WIDGET (self));
  return GTK_WIDGET (self);
}
