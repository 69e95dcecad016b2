/* What follows a drag: patterns, aim lines, the scale on the first of them, handles, windows. */
#include <math.h>

#include "draw/rose-private.h"

/* All in u. */
#define AIM_START 42.0
#define HANDLE_RADIUS 27.0
#define HANDLE_RING 8.0
#define HANDLE_DOT 2.8
#define HANDLE_REACH 16.0
#define HANDLE_LINE_PITCH 14.0
#define WINDOW_ARC 3.2
#define WINDOW_END 5.0
#define SCALE_TICK 4.0
#define SCALE_OFFSET 15.0
#define PAIR_BAND_ALPHA 0.3
#define PAIR_FILL_ALPHA 0.08
#define PAIR_WIDTH 1.9
#define MISS_WIDTH 1.6
#define MISS_END 4.0
#define MISS_HELD_ALPHA 0.45

/* How the first, second and any further antenna draw: solid, dashed, dotted. */
typedef struct {
  double fill, width, dash, gap;
  double aim_dash, aim_gap;
  double arc_dash, arc_gap;
} Stroke;

static const Stroke strokes[] = {
  { 0.13, 1.5, 0, 0, 0, 0, 0, 0 },
  { 0.05, 1.3, 5, 3.2, 7, 4, 9, 3.5 },
  { 0.03, 1.3, 1.6, 2.6, 1.6, 2.6, 3.2, 3.2 },
};

static const Stroke *
stroke_of (guint antenna)
{
  return &strokes[MIN (antenna, G_N_ELEMENTS (strokes) - 1)];
}

/* Gains all round, the first at @first_deg; @max_gain_dbi at the radius of 0 dB. */
typedef struct {
  guint n;
  const double *gain_dbi;
  double first_deg, max_gain_dbi;
} Outline;

static void
trace_outline (DwnRose *rose, const Outline *outline, gboolean backwards)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  double x, y;

  for (guint i = 0; i < outline->n; i++)
    {
      guint k = backwards ? outline->n - 1 - i : i;
      double bearing = outline->first_deg + k * 360.0 / outline->n;

      dwn_rose_at (rose, bearing, dwn_rose_gain_radius (rose, outline->gain_dbi[k] - outline->max_gain_dbi),
                   &x, &y);
      if (i == 0)
        cairo_move_to (cr, x, y);
      else
        cairo_line_to (cr, x, y);
    }
  cairo_close_path (cr);
}

/* Shaded between the best and the worst phase, the mean a line within. */
static void
draw_pair (DwnRose *rose)
{
  const DwnRosePair *pair = &rose->data->pair;
  DwnColour blue = dwn_look_blue (&rose->look);
  DwnInk band = dwn_ink_fill (dwn_colour_alpha (blue, PAIR_BAND_ALPHA));
  DwnInk line = { .fill = dwn_colour_alpha (blue, PAIR_FILL_ALPHA), .stroke = blue,
                  .width = PAIR_WIDTH * rose->u };
  Outline outline = { .n = pair->n_gain, .max_gain_dbi = pair->max_gain_dbi };

  if (pair->n_gain == 0)
    return;
  outline.gain_dbi = pair->best_dbi;
  trace_outline (rose, &outline, FALSE);
  outline.gain_dbi = pair->worst_dbi;
  trace_outline (rose, &outline, TRUE);
  dwn_builder_draw (rose->builder, &band);
  outline.gain_dbi = pair->mean_dbi;
  trace_outline (rose, &outline, FALSE);
  dwn_builder_draw (rose->builder, &line);
}

/* From the edge of the pattern out to where it has its most: as long as the antenna falls short
 * there. Orange where that, or something else, lets the station go. */
static void
draw_miss (DwnRose *rose, const DwnRoseMiss *miss)
{
  double edge = dwn_rose_gain_radius (rose, -miss->below_db), full = dwn_rose_gain_radius (rose, 0.0), x[2], y[2];
  DwnColour colour = miss->held ? dwn_colour_alpha (rose->look.foreground, MISS_HELD_ALPHA) : dwn_look_orange (&rose->look);
  double width = (miss->held ? DWN_LINE_RIM : MISS_WIDTH) * rose->u;
  double across_x, across_y;

  dwn_rose_at (rose, miss->bearing_deg, edge, &x[0], &y[0]);
  dwn_rose_at (rose, miss->bearing_deg, full, &x[1], &y[1]);
  dwn_builder_line (rose->builder, x[0], y[0], x[1], y[1], colour, width);
  across_x = MISS_END * rose->u * cos (miss->bearing_deg * G_PI / 180);
  across_y = MISS_END * rose->u * sin (miss->bearing_deg * G_PI / 180);
  for (guint end = 0; end < 2; end++)
    dwn_builder_line (rose->builder, x[end] - across_x, y[end] - across_y, x[end] + across_x, y[end] + across_y,
                      colour, width);
}

static void
draw_pattern (DwnRose *rose, guint a)
{
  const DwnRoseAntenna *antenna = &rose->data->antennas[a];
  const Stroke *stroke = stroke_of (a);
  DwnColour blue = dwn_look_blue (&rose->look);
  DwnInk ink = {
    .fill = dwn_colour_alpha (blue, stroke->fill), .stroke = blue, .width = stroke->width * rose->u,
    .dash = stroke->dash * rose->u, .gap = stroke->gap * rose->u,
  };

  if (antenna->n_gain == 0)
    return;
  if (rose->data->pair.n_gain > 0) /* what counts is what both bring */
    {
      ink.fill.alpha = 0.0;
      ink.width = DWN_LINE_HAIR * rose->u;
    }
  const Outline outline = { antenna->n_gain, antenna->gain_dbi, antenna->aim_deg, antenna->max_gain_dbi };
  trace_outline (rose, &outline, FALSE);
  dwn_builder_draw (rose->builder, &ink);
}

static void
draw_aim_line (DwnRose *rose, guint a)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  double aim = rose->data->antennas[a].aim_deg, u = rose->u, x, y;
  DwnInk ink = dwn_ink_stroke (dwn_look_blue (&rose->look), DWN_LINE_RIM * u);

  dwn_rose_at (rose, aim, rose->radius, &x, &y);
  cairo_move_to (cr, x, y);
  dwn_rose_at (rose, aim, rose->radius + (HANDLE_RADIUS - HANDLE_RING) * u, &x, &y);
  cairo_line_to (cr, x, y);
  dwn_builder_draw (rose->builder, &ink);

  dwn_rose_at (rose, aim, AIM_START * u, &x, &y);
  cairo_move_to (cr, x, y);
  dwn_rose_at (rose, aim, rose->radius, &x, &y);
  cairo_line_to (cr, x, y);
  ink.dash = stroke_of (a)->aim_dash * u;
  ink.gap = stroke_of (a)->aim_gap * u;
  dwn_builder_draw (rose->builder, &ink);
}

static const char *const scale_words[] = { NULL, "\u221210", "\u221220" };

/* Middle of the figure that belongs to 0, −10 or −20 dB: beside the line, clockwise, where it
 * stands below for an antenna that looks east. 0 dB keeps clear of the pattern's own outline. */
static void
scale_figure_at (const DwnRose *rose, guint i, double *x, double *y)
{
  const DwnRoseAntenna *antenna = &rose->data->antennas[0];
  double radius = dwn_rose_pattern_radius (rose, antenna, antenna->max_gain_dbi - 10.0 * i);
  double aim = antenna->aim_deg * G_PI / 180, flat = fabs (sin (aim));
  double side = sin (aim) >= 0 ? 1 : -1;
  double offset = (SCALE_OFFSET + (1 - flat) * 4) * rose->u;

  if (i == 0)
    radius -= (8 + 9 * flat) * rose->u;
  dwn_rose_at (rose, antenna->aim_deg, radius, x, y);
  *x += offset * cos (aim) * side;
  *y += offset * sin (aim) * side;
}

static const char *
scale_text (const DwnRose *rose, guint i)
{
  return i == 0 ? rose->data->words.zero_db : scale_words[i];
}

static gboolean
has_scale (const DwnRose *rose)
{
  return rose->roomy && rose->n_antennas > 0 && rose->data->antennas[0].n_gain > 0;
}

guint
dwn_rose_scale_rects (const DwnRose *rose, DwnRect rects[3])
{
  double half_height = rose->look.base * DWN_SIZE_SMALL * 0.4;

  if (!has_scale (rose))
    return 0;
  for (guint i = 0; i < 3; i++)
    {
      double x, y, half_width = 13 * rose->u;

      scale_figure_at (rose, i, &x, &y);
      rects[i] = (DwnRect) { x - half_width, y - half_height, 2 * half_width, 2 * half_height };
    }
  return 3;
}

static void
draw_scale (DwnRose *rose)
{
  const DwnRoseAntenna *antenna = rose->data->antennas;
  DwnColour blue = dwn_look_blue (&rose->look);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = blue, .halo = TRUE };
  double half_cap = dwn_builder_cap (rose->builder) * rose->look.base * style.size / 2;
  double aim = antenna->aim_deg * G_PI / 180;
  double dx = SCALE_TICK * rose->u * cos (aim), dy = SCALE_TICK * rose->u * sin (aim), x, y;

  for (guint i = 0; i < 3; i++)
    {
      dwn_rose_at (rose, antenna->aim_deg,
                   dwn_rose_pattern_radius (rose, antenna, antenna->max_gain_dbi - 10.0 * i), &x,
                   &y);
      dwn_builder_line (rose->builder, x - dx, y - dy, x + dx, y + dy, blue,
                        DWN_LINE_RIM * rose->u);
      scale_figure_at (rose, i, &x, &y);

      DwnRegion region = { .kind = DWN_REGION_FIGURE, .tab_order = -1, .value = -10.0 * i };
      region.bounds = dwn_builder_text (rose->builder, scale_text (rose, i), &style, x,
                                        y + half_cap, 0.5);
      dwn_builder_region (rose->builder, &region);
    }
}

static void
draw_window (DwnRose *rose, guint a)
{
  const DwnRoseAntenna *antenna = &rose->data->antennas[a];
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnColour blue = dwn_look_blue (&rose->look);
  double u = rose->u, radius = rose->radius + HANDLE_RADIUS * u;
  double from = antenna->window_from_deg, width = antenna->window_to_deg - from;
  DwnInk ink = {
    .stroke = blue, .width = WINDOW_ARC * u, .butt = TRUE,
    .dash = stroke_of (a)->arc_dash * u, .gap = stroke_of (a)->arc_gap * u,
  };

  if (isnan (width))
    return;
  gboolean whole = width >= 360.0; /* any aim does: no ends */
  width = whole ? 360.0 : width - 360 * floor (width / 360);
  cairo_arc (cr, rose->cx, rose->cy, radius, (from - 90) * G_PI / 180,
             (from + width - 90) * G_PI / 180);
  dwn_builder_draw (rose->builder, &ink);
  for (guint end = 0; end < 2 && !whole; end++)
    {
      double x0, y0, x1, y1, bearing = from + end * width;

      dwn_rose_at (rose, bearing, radius - WINDOW_END * u, &x0, &y0);
      dwn_rose_at (rose, bearing, radius + WINDOW_END * u, &x1, &y1);
      dwn_builder_line (rose->builder, x0, y0, x1, y1, blue, DWN_LINE_OUTLINE * u);
    }
}

static void
draw_handle_text (DwnRose *rose, guint a)
{
  const DwnRoseAntenna *antenna = &rose->data->antennas[a];
  const DwnRect *rect = &rose->handles[a].text;
  double sideways = sin (antenna->aim_deg * G_PI / 180);
  double align = sideways > 0.35 ? 0 : sideways < -0.35 ? 1 : 0.5;
  double x = rect->x + align * rect->width, bottom = rect->y + rect->height;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_blue (&rose->look),
                         .halo = TRUE };
  DwnRegion region = { .kind = DWN_REGION_FIGURE, .tab_order = -1, .bounds = *rect,
                       .value = antenna->aim_deg };

  dwn_builder_text (rose->builder, antenna->label, &style, x, bottom - HANDLE_LINE_PITCH * rose->u,
                    align);
  style.size = DWN_SIZE_BASE;
  style.bold = TRUE;
  dwn_builder_text (rose->builder, antenna->bearing, &style, x, bottom, align);
  dwn_builder_region (rose->builder, &region);
}

static void
draw_handle (DwnRose *rose, guint a)
{
  const DwnRoseHandle *handle = &rose->handles[a];
  const DwnRoseAntenna *antenna = &rose->data->antennas[a];
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnColour blue = dwn_look_blue (&rose->look);
  double u = rose->u, reach = HANDLE_REACH * u;
  DwnInk ring = { .fill = rose->look.ground, .stroke = blue, .width = DWN_LINE_CABLE * u };
  DwnInk dot = dwn_ink_fill (blue);
  DwnRegion region = {
    .kind = DWN_REGION_AIM, .id = antenna->id, .round = TRUE, .tab_order = (int) a,
    .bounds = { handle->x - reach, handle->y - reach, 2 * reach, 2 * reach },
    .value = antenna->aim_deg,
  };

  cairo_arc (cr, handle->x, handle->y, HANDLE_RING * u, 0, 2 * G_PI);
  cairo_close_path (cr);
  dwn_builder_draw (rose->builder, &ring);
  cairo_arc (cr, handle->x, handle->y, HANDLE_DOT * u, 0, 2 * G_PI);
  dwn_builder_draw (rose->builder, &dot);
  dwn_builder_region (rose->builder, &region);
}

void
dwn_rose_draw_moving (DwnRose *rose, int only)
{
  dwn_builder_set_layer (rose->builder, DWN_LAYER_MOVING);
  if (only <= 0)
    draw_pair (rose);
  /* The first antenna's picture lies on top. */
  for (guint a = rose->n_antennas; a-- > 0;)
    {
      if (only >= 0 && a != (guint) only)
        continue;
      draw_pattern (rose, a);
      draw_aim_line (rose, a);
      draw_window (rose, a);
      draw_handle (rose, a);
      draw_handle_text (rose, a);
    }
  for (guint m = 0; only <= 0 && m < rose->data->n_misses; m++)
    draw_miss (rose, &rose->data->misses[m]);
  if (has_scale (rose) && only <= 0)
    draw_scale (rose);
}
