#include "draw/raise-curve.h"

#include <math.h>

#include "draw/builder.h"

#define LEFT 46.0
#define RIGHT 60.0
#define TOP 22.0
#define BOTTOM 26.0
#define LEVEL_STEP_DB 10.0
#define DOT 3.2

typedef struct {
  const DwnRaiseCurve *data;
  const DwnLook *look;
  DwnBuilder *builder;
  double u, left, right, top, bottom; /* of the field of the curve */
  double low_db, high_db;
} Curve;

static double
x_of (const Curve *curve, double height_m)
{
  const double *h = curve->data->height_m;
  double share = (height_m - h[0]) / (h[curve->data->n - 1] - h[0]);

  return curve->left + share * (curve->right - curve->left);
}

static double
y_of (const Curve *curve, double db)
{
  return curve->bottom - (db - curve->low_db) / (curve->high_db - curve->low_db) * (curve->bottom - curve->top);
}

/* Whole tens around the curve, with what is needed among them. */
static void
find_range (Curve *curve)
{
  double low = 0.0, high = LEVEL_STEP_DB;

  for (guint i = 0; i < curve->data->n; i++)
    if (isfinite (curve->data->margin_db[i]))
      {
        low = fmin (low, curve->data->margin_db[i]);
        high = fmax (high, curve->data->margin_db[i]);
      }
  curve->low_db = LEVEL_STEP_DB * floor (low / LEVEL_STEP_DB);
  curve->high_db = LEVEL_STEP_DB * ceil (high / LEVEL_STEP_DB);
}

static DwnTextStyle
small (const Curve *curve)
{
  return (DwnTextStyle) { .size = DWN_SIZE_SMALL, .colour = dwn_colour_alpha (curve->look->foreground, 0.75) };
}

static void
draw_levels (Curve *curve)
{
  DwnTextStyle style = small (curve);

  for (double db = curve->low_db; db <= curve->high_db; db += LEVEL_STEP_DB)
    {
      g_autofree char *figure = g_strdup_printf (db < 0 ? "\xE2\x88\x92%.0f" : "%.0f", fabs (db));
      gboolean needed = db == 0.0;
      double y = y_of (curve, db);

      dwn_builder_line (curve->builder, curve->left, y, curve->right, y,
                        dwn_colour_alpha (curve->look->foreground, needed ? 0.55 : 0.15), 0.8 * curve->u);
      dwn_builder_text (curve->builder, figure, &style, curve->left - 8 * curve->u, y + 4 * curve->u, 1.0);
      if (needed)
        dwn_builder_text (curve->builder, curve->data->needed, &style, curve->right + 6 * curve->u, y + 4 * curve->u, 0.0);
    }
  dwn_builder_text (curve->builder, curve->data->margin, &style, curve->left, curve->top - 8 * curve->u, 0.0);
}

static void
draw_heights (Curve *curve)
{
  const DwnRaiseCurve *data = curve->data;
  DwnTextStyle style = small (curve);
  guint step = data->n > 6 ? 2 : 1;

  for (guint i = 0; i < data->n; i += step)
    {
      gboolean last = i + step >= data->n;
      g_autofree char *figure = last ? g_strdup_printf ("%.0f\xC2\xA0%s", data->height_m[i], data->metres)
                                     : g_strdup_printf ("%.0f", data->height_m[i]);
      dwn_builder_text (curve->builder, figure, &style, x_of (curve, data->height_m[i]),
                        curve->bottom + 18 * curve->u, 0.5);
    }
}

/* Short of what is needed it is orange, as everywhere. */
static void
draw_curve (Curve *curve)
{
  const DwnRaiseCurve *data = curve->data;
  cairo_t *cr = dwn_builder_path (curve->builder);
  gboolean pen_up = TRUE;

  for (guint i = 0; i < data->n; i++)
    if (!isfinite (data->margin_db[i]))
      pen_up = TRUE;
    else if (pen_up)
      {
        cairo_move_to (cr, x_of (curve, data->height_m[i]), y_of (curve, data->margin_db[i]));
        pen_up = FALSE;
      }
    else
      cairo_line_to (cr, x_of (curve, data->height_m[i]), y_of (curve, data->margin_db[i]));
  const DwnInk line = dwn_ink_stroke (dwn_look_blue (curve->look), 1.5 * curve->u);
  dwn_builder_draw (curve->builder, &line);
  for (guint i = 0; i < data->n; i++)
    if (isfinite (data->margin_db[i]))
      {
        const DwnInk dot = dwn_ink_fill (data->margin_db[i] < 0 ? dwn_look_orange (curve->look)
                                                                : dwn_look_blue (curve->look));
        cairo_arc (dwn_builder_path (curve->builder), x_of (curve, data->height_m[i]),
                   y_of (curve, data->margin_db[i]), (i == 0 ? 1.4 : 1.0) * DOT * curve->u, 0, 2 * G_PI);
        dwn_builder_draw (curve->builder, &dot);
      }
}

DwnScene *
dwn_raise_curve_layout (const DwnRaiseCurve *data, const DwnLook *look, PangoContext *text, double width,
                        double height)
{
  g_return_val_if_fail (data->n >= 2, NULL);

  double u = dwn_look_unit (look);
  Curve curve = { data, look, dwn_builder_new (look, text, width, height), u,
                  LEFT * u, width - RIGHT * u, TOP * u, height - BOTTOM * u };

  find_range (&curve);
  draw_levels (&curve);
  draw_heights (&curve);
  draw_curve (&curve);
  return dwn_builder_finish (curve.builder);
}
