#include "draw/mark.h"

#include <math.h>

/* Of a mark with radius 5.6. */
#define OUTLINE (DWN_LINE_OUTLINE / DWN_MARK_RADIUS)
#define SECOND_OUTLINE (1.1 / DWN_MARK_RADIUS)
#define SECOND_GAP (3.5 / DWN_MARK_RADIUS)

/* Corner to centre of a shape whose circle would have radius 1. */
static const double body_radius[DWN_N_BANDS] = {
  [DWN_BAND_LOW_VHF] = 1.38,
  [DWN_BAND_HIGH_VHF] = 1.27,
  [DWN_BAND_UHF] = 1.0,
};

/* A second outline that keeps its distance from a side moves the corners further out: by 1 / cos
 * of half the outer angle, 60° at a triangle's corner and 45° at a diamond's. */
static const double corner_factor[DWN_N_BANDS] = {
  [DWN_BAND_LOW_VHF] = 2.0,
  [DWN_BAND_HIGH_VHF] = G_SQRT2,
  [DWN_BAND_UHF] = 1.0,
};

DwnChanceClass
dwn_chance_class (double chance)
{
  if (isnan (chance))
    return DWN_CHANCE_UNKNOWN;
  if (chance >= 0.9)
    return DWN_CHANCE_DEPENDABLE;
  return chance >= 0.5 ? DWN_CHANCE_WORTH_A_TRIAL : DWN_CHANCE_UNLIKELY;
}

double
dwn_mark_body (DwnBand band, double radius)
{
  g_return_val_if_fail (band < DWN_N_BANDS, (double) NAN);

  return radius * body_radius[band];
}

static double
second_radius (DwnBand band, double radius)
{
  return radius * (body_radius[band] + SECOND_GAP * corner_factor[band]);
}

double
dwn_mark_reach (const DwnMark *mark, double radius)
{
  g_return_val_if_fail (mark != NULL, (double) NAN);

  return mark->wanted ? second_radius (mark->band, radius) + radius * SECOND_OUTLINE / 2
                      : dwn_mark_body (mark->band, radius) + radius * OUTLINE / 2;
}

static void
outline_path (cairo_t *cr, DwnBand band, double x, double y, double radius)
{
  guint n_corners = band == DWN_BAND_LOW_VHF ? 3 : 4;

  cairo_new_path (cr);
  if (band == DWN_BAND_UHF)
    cairo_arc (cr, x, y, radius, 0, 2 * G_PI);
  else
    for (guint i = 0; i < n_corners; i++)
      {
        double angle = 2 * G_PI * i / n_corners;

        cairo_line_to (cr, x + radius * sin (angle), y - radius * cos (angle));
      }
  cairo_close_path (cr);
}

static void
set_ink (cairo_t *cr, DwnColour colour)
{
  cairo_set_source_rgba (cr, colour.red, colour.green, colour.blue, colour.alpha);
}

static void
paint_second_outline (const DwnMark *mark, cairo_t *cr, double x, double y, double radius,
                      DwnColour ink, DwnColour ground)
{
  outline_path (cr, mark->band, x, y, second_radius (mark->band, radius));
  set_ink (cr, ground);
  cairo_fill_preserve (cr);
  set_ink (cr, ink);
  cairo_set_line_width (cr, radius * SECOND_OUTLINE);
  cairo_stroke (cr);
}

/* Half is half the height of the shape, not of its area: it must be seen at a glance. */
static void
fill_body (cairo_t *cr, DwnChanceClass chance, double y, double radius)
{
  if (chance == DWN_CHANCE_DEPENDABLE)
    {
      cairo_fill_preserve (cr);
      return;
    }
  if (chance != DWN_CHANCE_WORTH_A_TRIAL)
    return;

  double x0, y0, x1, y1;
  cairo_path_t *body = cairo_copy_path (cr);

  cairo_path_extents (cr, &x0, &y0, &x1, &y1);
  cairo_save (cr);
  cairo_clip (cr);
  cairo_rectangle (cr, x0 - radius, (y0 + y1) / 2, x1 - x0 + 2 * radius, y1 - y0);
  cairo_fill (cr);
  cairo_restore (cr);
  cairo_append_path (cr, body);
  cairo_path_destroy (body);
}

void
dwn_mark_paint (const DwnMark *mark, cairo_t *cr, double x, double y, double radius,
                DwnColour ink, DwnColour ground)
{
  g_return_if_fail (mark != NULL);
  g_return_if_fail (cr != NULL);
  g_return_if_fail (mark->band < DWN_N_BANDS);

  DwnChanceClass chance = dwn_chance_class (mark->chance);
  double dots[] = { radius * OUTLINE, radius * OUTLINE };

  cairo_save (cr);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_MITER);
  if (mark->wanted)
    paint_second_outline (mark, cr, x, y, radius, ink, ground);
  outline_path (cr, mark->band, x, y, dwn_mark_body (mark->band, radius));
  set_ink (cr, ground);
  cairo_fill_preserve (cr);
  set_ink (cr, ink);
  fill_body (cr, chance, y, radius);
  cairo_set_line_width (cr, radius * OUTLINE);
  if (chance == DWN_CHANCE_UNKNOWN)
    cairo_set_dash (cr, dots, G_N_ELEMENTS (dots), 0);
  cairo_stroke (cr);
  cairo_restore (cr);
}
