/* Everything around the disc: figures, letters, ticks, skyline, magnetic needle, and where the
 * text beside a handle may stand. */
#include <math.h>
#include <string.h>

#include "draw/rose-private.h"

/* All in u; radii count from the rim. */
#define FIGURE_RADIUS 44.0
#define FIGURE_INSIDE (-22.0)
#define FIGURE_BELOW_NEEDLE (-47.0)
#define HANDLE_RADIUS 27.0
#define HANDLE_RING 8.0
#define HANDLE_TEXT_GAP 14.0
#define HANDLE_LINE_PITCH 14.0
#define PUSH_STEP 2.0
#define PUSH_MAX 64.0
#define TICK 5.0
#define LONG_TICK 9.0
#define NEEDLE 29.0
#define NEEDLE_WORD (-38.0)
#define SKYLINE_RADIUS 1.5
#define SKYLINE_PER_DEG 11.5
#define SKYLINE_MAX 22.0

static const char *
figure_text (const DwnRose *rose, guint i, char buffer[8])
{
  const DwnRoseWords *words = &rose->data->words;

  switch (i)
    {
    case 0:
      return words->north;
    case 3:
      return words->east;
    case 6:
      return words->south;
    case 9:
      return words->west;
    default:
      g_snprintf (buffer, 8, "%u", i * 30);
      return buffer;
    }
}

static DwnTextStyle
figure_style (const DwnRose *rose, guint i)
{
  gboolean letter = i % 3 == 0;

  return (DwnTextStyle) {
    .size = letter ? DWN_SIZE_BASE : DWN_SIZE_SMALL, .bold = letter,
    .colour = letter ? rose->look.foreground : dwn_look_quiet (&rose->look),
    .halo = (rose->covered & 1u << i) != 0,
  };
}

/* Figures are tabular: one digit measured spares a drag eight layouts a frame. */
static double
figure_width (const DwnRose *rose, guint i, double digit_width)
{
  char buffer[8];
  const char *string = figure_text (rose, i, buffer);
  DwnTextStyle style = figure_style (rose, i);

  if (i % 3 != 0)
    return (double) strlen (string) * digit_width;

  g_auto (DwnText) text = dwn_builder_set_text (rose->builder, string, &style);
  return text.width;
}

static DwnRect
figure_rect (const DwnRose *rose, guint i, double from_rim, double width)
{
  double height = rose->look.base * figure_style (rose, i).size * dwn_builder_cap (rose->builder);
  double x, y;

  dwn_rose_at (rose, i * 30.0, rose->radius + from_rim * rose->u, &x, &y);
  return (DwnRect) { x - width / 2, y - height / 2, width, height };
}

static double
distance_to_rect (double x, double y, const DwnRect *rect)
{
  return hypot (fmax (fmax (rect->x - x, x - rect->x - rect->width), 0),
                fmax (fmax (rect->y - y, y - rect->y - rect->height), 0));
}

/* Behind the needle where the two would meet. */
static double
inside_radius (const DwnRose *rose, guint i)
{
  double off_needle_deg = fabs (remainder (rose->data->declination_deg - i * 30.0, 360));

  return off_needle_deg * G_PI / 180 * rose->radius < 24 * rose->u ? FIGURE_BELOW_NEEDLE
                                                                   : FIGURE_INSIDE;
}

/* Inside the rim, and beside the aim line rather than on it. */
static DwnRect
move_inside (const DwnRose *rose, guint i, guint antenna, double width)
{
  DwnRect rect = figure_rect (rose, i, inside_radius (rose, i), width);
  double bearing = i * G_PI / 6, off = rose->data->antennas[antenna].aim_deg * G_PI / 180 - bearing;
  double line = (rose->radius + inside_radius (rose, i) * rose->u)
                * tan (remainder (off, 2 * G_PI));
  double reach = fabs (cos (bearing)) * rect.width / 2 + fabs (sin (bearing)) * rect.height / 2
                 + 4 * rose->u;
  double shift = line >= 0 ? fmin (line - reach, 0) : fmax (line + reach, 0);

  rect.x += shift * cos (bearing);
  rect.y += shift * sin (bearing);
  return rect;
}

/* Under the handle's ring, or right behind it, where its own text wants to stand. */
static gboolean
is_covered (const DwnRose *rose, guint i, guint antenna)
{
  const DwnRoseHandle *handle = &rose->handles[antenna];
  const DwnRect *rect = &rose->figures[i];
  double bearing = i * G_PI / 6, aim = rose->data->antennas[antenna].aim_deg * G_PI / 180;
  double along = fabs (sin (aim - bearing)) * (rose->radius + HANDLE_RADIUS * rose->u);
  double reach = fabs (cos (bearing)) * rect->width / 2 + fabs (sin (bearing)) * rect->height / 2;

  if (distance_to_rect (handle->x, handle->y, rect) < (HANDLE_RING + 2.5) * rose->u)
    return TRUE;
  return cos (aim - bearing) > 0 && along < reach + 1.5 * rose->u;
}

static void
place_figure (DwnRose *rose, guint i, double width)
{
  rose->figures[i] = figure_rect (rose, i, FIGURE_RADIUS, width);
  for (guint a = 0; a < rose->n_antennas && !(rose->covered & 1u << i); a++)
    if (is_covered (rose, i, a))
      {
        rose->covered |= 1u << i;
        rose->figures[i] = move_inside (rose, i, a, width);
      }
}

void
dwn_rose_place_figures (DwnRose *rose)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL };
  g_auto (DwnText) digit = dwn_builder_set_text (rose->builder, "0", &style);

  for (guint a = 0; a < rose->n_antennas; a++)
    dwn_rose_at (rose, rose->data->antennas[a].aim_deg, rose->radius + HANDLE_RADIUS * rose->u,
                 &rose->handles[a].x, &rose->handles[a].y);
  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    place_figure (rose, i, figure_width (rose, i, digit.width));
}

static gboolean
handle_text_is_clear (const DwnRose *rose, guint antenna, DwnRect rect)
{
  double gap = 3 * rose->u, ring = HANDLE_RING * rose->u;

  rect.x -= gap;
  rect.y -= gap;
  rect.width += 2 * gap;
  rect.height += 2 * gap;
  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    if (dwn_rect_overlaps (&rect, &rose->figures[i]))
      return FALSE;
  for (guint a = 0; a < rose->n_antennas; a++)
    {
      const DwnRoseHandle *other = &rose->handles[a];
      DwnRect box = { other->x - ring, other->y - ring, 2 * ring, 2 * ring };

      if (a != antenna && dwn_rect_overlaps (&rect, &box))
        return FALSE;
      if (a < antenna && dwn_rect_overlaps (&rect, &other->text))
        return FALSE;
    }
  return TRUE;
}

static void
measure_handle_text (DwnRose *rose, const DwnRoseAntenna *antenna, DwnRect *rect)
{
  DwnTextStyle label = { .size = DWN_SIZE_SMALL },
               bearing = { .size = DWN_SIZE_BASE, .bold = TRUE };
  g_auto (DwnText) upper = dwn_builder_set_text (rose->builder, antenna->label, &label);
  g_auto (DwnText) lower = dwn_builder_set_text (rose->builder, antenna->bearing, &bearing);
  double cap = dwn_builder_cap (rose->builder) * rose->look.base;

  rect->width = fmax (upper.width, lower.width);
  rect->height = antenna->label != NULL && *antenna->label != '\0'
                   ? cap * DWN_SIZE_SMALL + HANDLE_LINE_PITCH * rose->u
                   : cap;
}

/* Outside the handle, then pushed along the rim, the shortest way, until clear. */
void
dwn_rose_place_handles (DwnRose *rose)
{
  for (guint a = 0; a < rose->n_antennas; a++)
    {
      DwnRoseHandle *handle = &rose->handles[a];
      double aim = rose->data->antennas[a].aim_deg * G_PI / 180;
      double gap = HANDLE_TEXT_GAP * rose->u;
      DwnRect rect, tried;

      measure_handle_text (rose, &rose->data->antennas[a], &rect);
      rect.x = handle->x + sin (aim) * (gap + rect.width / 2) - rect.width / 2;
      rect.y = handle->y - cos (aim) * (gap - 2 * rose->u + rect.height / 2) - rect.height / 2;
      handle->text = tried = rect;
      for (int step = 0; step <= 2 * PUSH_MAX / PUSH_STEP; step++)
        {
          double push = (step + 1) / 2 * (step % 2 == 0 ? -PUSH_STEP : PUSH_STEP) * rose->u;

          tried.x = CLAMP (rect.x + push * cos (aim), 2, fmax (2, rose->width - rect.width - 2));
          tried.y = CLAMP (rect.y + push * sin (aim), 2, fmax (2, rose->height - rect.height - 2));
          if (handle_text_is_clear (rose, a, tried))
            {
              handle->text = tried;
              break;
            }
        }
    }
}

static void
trace_skyline (const DwnRose *rose, cairo_t *cr)
{
  double x, y;

  for (guint i = 0; i < 360; i++)
    {
      double height = fmin (fmax (rose->data->skyline_deg[i], 0) * SKYLINE_PER_DEG, SKYLINE_MAX);

      dwn_rose_at (rose, i, rose->radius + (SKYLINE_RADIUS + height) * rose->u, &x, &y);
      cairo_line_to (cr, x, y);
    }
  cairo_close_path (cr);
}

static void
draw_skyline (DwnRose *rose)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnColour foreground = rose->look.foreground;
  DwnInk fill = dwn_ink_fill (dwn_colour_alpha (foreground, 0.20));
  DwnInk crest = dwn_ink_stroke (dwn_colour_alpha (foreground, 0.55), DWN_LINE_HAIR * rose->u);

  if (rose->data->skyline_deg == NULL)
    return;
  trace_skyline (rose, cr);
  cairo_new_sub_path (cr);
  cairo_arc_negative (cr, rose->cx, rose->cy, rose->radius + SKYLINE_RADIUS * rose->u, 2 * G_PI, 0);
  cairo_close_path (cr);
  dwn_builder_draw (rose->builder, &fill);
  trace_skyline (rose, cr);
  dwn_builder_draw (rose->builder, &crest);
}

static void
draw_ticks (DwnRose *rose)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnColour rim = dwn_colour_alpha (rose->look.foreground, 0.80);
  DwnInk ink = dwn_ink_stroke (rim, DWN_LINE_RIM * rose->u);

  cairo_arc (cr, rose->cx, rose->cy, rose->radius, 0, 2 * G_PI);
  cairo_close_path (cr);
  for (guint bearing = 0; bearing < 360; bearing += 10)
    {
      double length = (bearing % 30 == 0 ? LONG_TICK : TICK) * rose->u, x, y;

      dwn_rose_at (rose, bearing, rose->radius, &x, &y);
      cairo_move_to (cr, x, y);
      dwn_rose_at (rose, bearing, rose->radius - length, &x, &y);
      cairo_line_to (cr, x, y);
    }
  dwn_builder_draw (rose->builder, &ink);
}

static void
add_figure_region (DwnRose *rose, DwnRect bounds)
{
  DwnRegion region = {
    .kind = DWN_REGION_FIGURE, .bounds = bounds, .tab_order = -1, .value = (double) NAN
  };

  dwn_builder_region (rose->builder, &region);
}

static void
draw_figures (DwnRose *rose)
{
  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    {
      char buffer[8];
      const DwnRect *rect = &rose->figures[i];
      DwnTextStyle style = figure_style (rose, i);
      double cap = dwn_builder_cap (rose->builder) * rose->look.base * style.size;

      add_figure_region (rose, dwn_builder_text (rose->builder, figure_text (rose, i, buffer),
                                                 &style, rect->x + rect->width / 2,
                                                 rect->y + rect->height / 2 + cap / 2, 0.5));
    }
}

static const char *
needle_text (const DwnRose *rose)
{
  return rose->roomy ? rose->data->words.magnetic_north : rose->data->words.magnetic;
}

/* Baseline and middle of the word under the needle. */
static void
needle_word_at (const DwnRose *rose, double *x, double *y)
{
  dwn_rose_at (rose, rose->data->declination_deg, rose->radius + NEEDLE_WORD * rose->u, x, y);
  *y += dwn_builder_cap (rose->builder) * rose->look.base * DWN_SIZE_SMALL / 2;
}

DwnRect
dwn_rose_needle_word (const DwnRose *rose)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL };
  double x, y;

  if (isnan (rose->data->declination_deg))
    return (DwnRect) { -1, -1, 0, 0 };

  g_auto (DwnText) text = dwn_builder_set_text (rose->builder, needle_text (rose), &style);
  needle_word_at (rose, &x, &y);
  return dwn_text_rect (rose->builder, &text, &style, x, y, 0.5);
}

void
dwn_rose_draw_needle (DwnRose *rose)
{
  double bearing = rose->data->declination_deg, u = rose->u, x, y;
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_quiet (&rose->look),
                         .halo = TRUE };
  DwnInk head = dwn_ink_fill (rose->look.foreground);
  double tip_x, tip_y;

  if (isnan (bearing))
    return;
  dwn_rose_at (rose, bearing, rose->radius - u, &tip_x, &tip_y);
  dwn_rose_at (rose, bearing, rose->radius - NEEDLE * u, &x, &y);
  dwn_builder_line (rose->builder, x, y, tip_x + (x - tip_x) * 0.2, tip_y + (y - tip_y) * 0.2,
                    rose->look.foreground, DWN_LINE_OUTLINE * u);
  cairo_move_to (cr, tip_x, tip_y);
  for (int side = -1; side <= 1; side += 2)
    {
      double turn = (bearing + 180 + side * 22) * G_PI / 180;

      cairo_line_to (cr, tip_x + 10.5 * u * sin (turn), tip_y - 10.5 * u * cos (turn));
    }
  cairo_close_path (cr);
  dwn_builder_draw (rose->builder, &head);
  needle_word_at (rose, &x, &y);
  add_figure_region (rose, dwn_builder_text (rose->builder, needle_text (rose), &style, x, y, 0.5));
}

void
dwn_rose_draw_static (DwnRose *rose)
{
  dwn_builder_set_layer (rose->builder, DWN_LAYER_STATIC);
  dwn_rose_draw_rings (rose);
  draw_skyline (rose);
  draw_ticks (rose);
  draw_figures (rose);
  dwn_rose_draw_sun (rose);
  dwn_rose_draw_legend (rose);
}
