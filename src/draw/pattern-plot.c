#include "draw/pattern-plot.h"

#include <math.h>

#include "draw/builder.h"

/* All in u. */
#define RIM 20.0         /* room for the degrees around the outermost ring */
#define TICK 4.0
#define LEAST_PITCH 18.0 /* of rings that are named */
#define OTHER_DASH 5.0
#define OTHER_GAP 3.2

#define SCALE_DB 30.0    /* from the ring to the middle */
#define N_POINTS 360
#define FILL 0.13
#define OTHER_FILL 0.05
#define OTHER_LINE 1.3
#define PATTERN_LINE 1.5
#define RING 0.2

typedef struct {
  const DwnPatternPlot *plot;
  DwnLook look;
  DwnBuilder *builder;
  double u, middle, radius;
} Plot;

double
dwn_pattern_plot_radius (const DwnLook *look, double size)
{
  return fmax (size / 2 - RIM * dwn_look_unit (look), 1.0);
}

static double
radius_of (const Plot *self, double below_db)
{
  return self->radius * fmax (0.0, 1.0 + below_db / SCALE_DB);
}

static void
place (const Plot *self, double azimuth_deg, double radius, double *x, double *y)
{
  *x = self->middle + radius * sin (azimuth_deg * G_PI / 180.0);
  *y = self->middle - radius * cos (azimuth_deg * G_PI / 180.0);
}

static void
draw_rings (Plot *self)
{
  DwnInk ink = dwn_ink_stroke (dwn_colour_alpha (self->look.foreground, RING), DWN_LINE_HAIR * self->u);
  DwnInk rim = dwn_ink_stroke (dwn_colour_alpha (self->look.foreground, 0.55), DWN_LINE_RIM * self->u);

  for (int db = 0; db > -SCALE_DB; db -= 10)
    {
      cairo_t *cr = dwn_builder_path (self->builder);
      cairo_arc (cr, self->middle, self->middle, radius_of (self, db), 0, 2 * G_PI);
      dwn_builder_draw (self->builder, db == 0 ? &rim : &ink);
    }
}

static void
draw_spokes (Plot *self)
{
  DwnColour quiet = dwn_colour_alpha (self->look.foreground, RING);

  for (int deg = 0; deg < 360; deg += 30)
    {
      double x0, y0, x1, y1;

      place (self, deg, radius_of (self, -20.0), &x0, &y0);
      place (self, deg, self->radius + (deg % 90 == 0 ? TICK * self->u : 0.0), &x1, &y1);
      dwn_builder_line (self->builder, x0, y0, x1, y1, quiet, DWN_LINE_HAIR * self->u);
    }
}

static void
write_figure (Plot *self, const char *text, double x, double y, double align)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&self->look), .halo = TRUE };
  double half_cap = dwn_builder_cap (self->builder) * self->look.base * style.size / 2;
  DwnRegion region = { .kind = DWN_REGION_FIGURE, .tab_order = -1 };

  region.bounds = dwn_builder_text (self->builder, text, &style, x, y + half_cap, align);
  dwn_builder_region (self->builder, &region);
}

/* Degrees ahead and behind, where there is room for them; decibels where few lobes are. */
static void
draw_figures (Plot *self)
{
  for (int half = 0; half < 2; half++)
    {
      double x, y;
      g_autofree char *degrees = dwn_word_bearing (self->plot->wording, 180.0 * half);

      place (self, 180.0 * half, self->radius + 12 * self->u, &x, &y);
      write_figure (self, degrees, x, y, 0.5);
    }
  for (int db = -10; db >= -20 && self->radius / 3 > LEAST_PITCH * self->u; db -= 10)
    {
      double x, y;
      g_autofree char *figure = dwn_word_number (self->plot->wording, db, 0);

      place (self, 135.0, radius_of (self, db), &x, &y);
      write_figure (self, figure, x, y, 0.5);
    }
}

static void
draw_pattern (Plot *self, const DwnPattern *pattern, gboolean first)
{
  DwnColour blue = dwn_look_blue (&self->look);
  DwnInk ink = {
    .fill = dwn_colour_alpha (blue, first ? FILL : OTHER_FILL), .stroke = blue,
    .width = (first ? PATTERN_LINE : OTHER_LINE) * self->u,
    .dash = first ? 0.0 : OTHER_DASH * self->u, .gap = first ? 0.0 : OTHER_GAP * self->u,
  };
  double gain_dbi[N_POINTS], most_dbi = dwn_pattern_max_gain_dbi (pattern, self->plot->mhz);
  cairo_t *cr = dwn_builder_path (self->builder);

  dwn_pattern_sample (pattern, self->plot->mhz, N_POINTS, gain_dbi);
  for (int deg = 0; deg < N_POINTS; deg++)
    {
      double x, y;

      place (self, deg, radius_of (self, gain_dbi[deg] - most_dbi), &x, &y);
      cairo_line_to (cr, x, y);
    }
  cairo_close_path (cr);
  dwn_builder_draw (self->builder, &ink);
}

DwnScene *
dwn_pattern_plot_layout (const DwnPatternPlot *plot, const DwnLook *look, PangoContext *text, double size)
{
  g_return_val_if_fail (plot != NULL && plot->pattern != NULL && plot->mhz > 0.0, NULL);
  g_return_val_if_fail (look != NULL && PANGO_IS_CONTEXT (text) && size > 0.0, NULL);

  Plot self = {
    .plot = plot, .look = *look, .u = dwn_look_unit (look), .middle = size / 2,
    .radius = dwn_pattern_plot_radius (look, size), .builder = dwn_builder_new (look, text, size, size),
  };

  draw_rings (&self);
  draw_spokes (&self);
  draw_figures (&self);
  dwn_builder_set_layer (self.builder, DWN_LAYER_MOVING);
  if (plot->other != NULL)
    draw_pattern (&self, plot->other, FALSE);
  draw_pattern (&self, plot->pattern, TRUE);
  return dwn_builder_finish (self.builder);
}
