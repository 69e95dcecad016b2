/* Where the sun stands in the course of a day: a line inside the rim with a dot at each full hour, to
 * aim by. Behind the skyline the dots are hollow: nobody sees the sun then. */
#include <math.h>

#include "draw/rose-private.h"

/* All in u, from the rim inwards. */
#define TRACK 17.0
#define DOT 3.0
#define LABEL 31.0
/* The night, where midnight of the clock falls into the day. */
#define GAP_DEG 60.0
#define MOST_RINGS 8

static void
trace_track (const DwnRose *rose, cairo_t *cr)
{
  double x, y;

  for (guint i = 0; i < rose->data->n_sun; i++)
    {
      double azimuth_deg = rose->data->sun[i].azimuth_deg;

      if (i > 0 && fabs (remainder (azimuth_deg - rose->data->sun[i - 1].azimuth_deg, 360)) > GAP_DEG)
        cairo_new_sub_path (cr);
      dwn_rose_at (rose, azimuth_deg, rose->radius - TRACK * rose->u, &x, &y);
      cairo_line_to (cr, x, y);
    }
}

static void
draw_dot (DwnRose *rose, const DwnRoseSun *sun)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnInk ink = dwn_ink_stroke (rose->look.foreground, DWN_LINE_RIM * rose->u);
  double x, y;

  ink.fill = sun->hidden ? rose->look.window : rose->look.foreground;
  dwn_rose_at (rose, sun->azimuth_deg, rose->radius - TRACK * rose->u, &x, &y);
  cairo_arc (cr, x, y, DOT * rose->u, 0, 2 * G_PI);
  cairo_close_path (cr);
  dwn_builder_draw (rose->builder, &ink);
}

/* Under a mark or a ring's figure, hours give way: their dots tell enough. */
static gboolean
is_free (const DwnRose *rose, const DwnRect *rect)
{
  DwnRect rings[MOST_RINGS];
  guint n_rings = dwn_rose_ring_rects (rose, rings, MOST_RINGS);

  for (guint i = 0; i < n_rings; i++)
    if (dwn_rect_overlaps (rect, &rings[i]))
      return FALSE;
  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *mark = &rose->marks[i];
      DwnRect box = { mark->x - mark->radius, mark->y - mark->radius, 2 * mark->radius, 2 * mark->radius };

      if (mark->visible && dwn_rect_overlaps (rect, &box))
        return FALSE;
    }
  return TRUE;
}

static void
draw_label (DwnRose *rose, const DwnRoseSun *sun)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&rose->look), .halo = TRUE };
  /* Towards the sides the text is wider than it is high. */
  double inward = LABEL + 8.0 * fabs (sin (sun->azimuth_deg * G_PI / 180)), x, y;
  g_auto (DwnText) text = dwn_builder_set_text (rose->builder, sun->label, &style);

  dwn_rose_at (rose, sun->azimuth_deg, rose->radius - inward * rose->u, &x, &y);
  y += dwn_builder_cap (rose->builder) * rose->look.base * DWN_SIZE_SMALL / 2;
  DwnRegion region = {
    .kind = DWN_REGION_FIGURE, .tab_order = -1, .value = (double) NAN,
    .bounds = dwn_text_rect (rose->builder, &text, &style, x, y, 0.5),
  };
  if (!is_free (rose, &region.bounds))
    return;
  dwn_builder_text (rose->builder, sun->label, &style, x, y, 0.5);
  dwn_builder_region (rose->builder, &region);
}

void
dwn_rose_draw_sun (DwnRose *rose)
{
  DwnInk line = dwn_ink_stroke (dwn_colour_alpha (rose->look.foreground, 0.55), DWN_LINE_HAIR * rose->u);

  if (rose->data->n_sun == 0)
    return;
  trace_track (rose, dwn_builder_path (rose->builder));
  dwn_builder_draw (rose->builder, &line);
  for (guint i = 0; i < rose->data->n_sun; i++)
    {
      if (rose->data->sun[i].hour)
        draw_dot (rose, &rose->data->sun[i]);
      if (rose->data->sun[i].label != NULL && rose->roomy)
        draw_label (rose, &rose->data->sun[i]);
    }
}
