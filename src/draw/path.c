#include "draw/path.h"

#include <math.h>

#include "draw/builder.h"

#define LIGHT_M_PER_S 299792458.0
#define N_CURVE 96 /* pieces of a curved line */

/* All in u. */
#define MARGIN 1.0 /* antialiasing stays on the page */
#define TITLE_HEIGHT 34.0
#define NOTE_HEIGHT 16.0 /* where the note does not fit beside the title and stands below it */
#define CREST_HEIGHT 40.0  /* two lines over everything */
#define AXIS_LEFT 40.0
#define AXIS_BELOW 30.0
#define TICK 5.0
#define HOUSE 6.0
#define TREE 11.0
#define HATCH 4.0

typedef struct {
  const DwnPathDrawing *data;
  DwnLook look;
  DwnBuilder *builder;
  double u, width, height;
  double length_m;
  double left, right, top, bottom;
  double low_m, high_m; /* heights over the chord's sea level at bottom and top */
  double base_m;        /* level of the axis */
} Path;

double
dwn_path_bulge_m (double from_m, double length_m, double earth_radius_m)
{
  if (!(earth_radius_m > 0) || !(from_m >= 0 && from_m <= length_m))
    return (double) NAN;
  return from_m * (length_m - from_m) / (2 * earth_radius_m);
}

double
dwn_path_fresnel_m (double from_m, double length_m, double mhz)
{
  if (!(mhz > 0) || !(length_m > 0) || !(from_m >= 0 && from_m <= length_m))
    return (double) NAN;
  return sqrt (LIGHT_M_PER_S / (mhz * 1e6) * from_m * (length_m - from_m) / length_m);
}

/* Geometry ----------------------------------------------------------------------------------- */

static double
x_of (const Path *path, double distance_m)
{
  return path->left + (path->right - path->left) * distance_m / path->length_m;
}

static double
y_of (const Path *path, double height_m)
{
  return path->bottom
         - (path->bottom - path->top) * (height_m - path->low_m) / (path->high_m - path->low_m);
}

static double
raised_m (const Path *path, double distance_m, double height_m)
{
  return height_m + dwn_path_bulge_m (CLAMP (distance_m, 0, path->length_m), path->length_m,
                                      path->data->earth_radius_m);
}

static double
ground_m (const Path *path, double distance_m)
{
  const DwnPathDrawing *data = path->data;
  guint i = 1;

  while (i + 1 < data->n_points && data->distance_m[i] < distance_m)
    i++;

  double share = (distance_m - data->distance_m[i - 1])
                 / (data->distance_m[i] - data->distance_m[i - 1]);
  return data->height_m[i - 1]
         + (data->height_m[i] - data->height_m[i - 1]) * CLAMP (share, 0.0, 1.0);
}

static double
line_m (const Path *path, double distance_m)
{
  const DwnPathDrawing *data = path->data;
  double from = data->height_m[0] + data->transmitter_m;
  double to = data->height_m[data->n_points - 1] + data->receiver_m;

  return from + (to - from) * distance_m / path->length_m;
}

static double
nice_step (double span, double n_wanted)
{
  double rough = span / n_wanted, power = pow (10, floor (log10 (rough))), share = rough / power;

  return power * (share <= 1 ? 1 : share <= 2 ? 2 : share <= 5 ? 5 : 10);
}

static void
find_range (Path *path)
{
  const DwnPathDrawing *data = path->data;
  double low = INFINITY, high = -INFINITY, span;

  for (guint i = 0; i < data->n_points; i++)
    {
      low = fmin (low, data->height_m[i]);
      high = fmax (high, raised_m (path, data->distance_m[i], data->height_m[i]));
    }
  for (guint i = 0; i <= N_CURVE; i++)
    {
      double d_m = path->length_m * i / N_CURVE,
             zone_m = dwn_path_fresnel_m (d_m, path->length_m, data->mhz);

      high = fmax (high, line_m (path, d_m) + (isnan (zone_m) ? 0 : zone_m));
    }
  span = fmax (high - low, 20);
  path->base_m = low - span * 0.14;
  path->low_m = path->base_m - span * 0.02;
  path->high_m = high + span * 0.03;
}

/* Ground and sky ----------------------------------------------------------------------------- */

static void
trace_level (Path *path, double height_m, gboolean backwards)
{
  cairo_t *cr = dwn_builder_path (path->builder);

  for (guint i = 0; i <= N_CURVE; i++)
    {
      double d_m = path->length_m * (backwards ? N_CURVE - i : i) / N_CURVE;

      cairo_line_to (cr, x_of (path, d_m), y_of (path, raised_m (path, d_m, height_m)));
    }
}

static void
trace_ground (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);

  for (guint i = 0; i < path->data->n_points; i++)
    {
      double d_m = path->data->distance_m[i];

      cairo_line_to (cr, x_of (path, d_m),
                     y_of (path, raised_m (path, d_m, path->data->height_m[i])));
    }
}

static void
draw_levels (Path *path)
{
  double step_m = nice_step (path->high_m - path->low_m, 5.5), u = path->u, highest = path->bottom;
  DwnInk line = dwn_ink_stroke (dwn_colour_alpha (path->look.foreground, 0.15), DWN_LINE_HAIR * u);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&path->look) };
  double half_cap = dwn_builder_cap (path->builder) * path->look.base * DWN_SIZE_SMALL / 2;

  for (double level_m = ceil (path->base_m / step_m) * step_m;
       level_m < path->high_m - step_m * 0.3; level_m += step_m)
    {
      g_autofree char *label = g_strdup_printf ("%.0f", level_m);

      if (y_of (path, level_m) > y_of (path, path->base_m) - 8 * u)
        continue;
      trace_level (path, level_m, FALSE);
      dwn_builder_draw (path->builder, &line);
      dwn_builder_text (path->builder, label, &style, path->left - 7 * u,
                        y_of (path, level_m) + half_cap, 1);
      highest = y_of (path, level_m);
    }
  dwn_builder_text (path->builder, path->data->m, &style, path->left - 7 * u,
                    highest - 14 * u + half_cap, 1);
}

static void
draw_fresnel (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnColour blue = dwn_look_blue (&path->look);
  DwnInk ink = { .fill = dwn_colour_alpha (blue, path->look.mono ? 0.06 : 0.16),
                 .stroke = dwn_colour_alpha (blue, 0.7),
                 .width = DWN_LINE_HAIR * path->u };

  if (!(path->data->mhz > 0))
    return;
  for (guint i = 0; i <= 2 * N_CURVE; i++)
    {
      gboolean upper = i <= N_CURVE;
      /* Denser at the ends, where the zone is round. */
      double share = (1 - cos (G_PI * (upper ? i : 2 * N_CURVE - i) / N_CURVE)) / 2;
      double d_m = path->length_m * share,
             zone_m = dwn_path_fresnel_m (d_m, path->length_m, path->data->mhz);

      cairo_line_to (cr, x_of (path, d_m),
                     y_of (path, line_m (path, d_m) + (upper ? zone_m : -zone_m)));
    }
  cairo_close_path (cr);
  dwn_builder_draw (path->builder, &ink);
}

static void
draw_ground (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnColour ground = dwn_colour_over (dwn_colour_alpha (path->look.foreground, 0.13),
                                      path->look.ground);
  DwnInk fill = dwn_ink_fill (ground);
  DwnInk edge = dwn_ink_stroke (path->look.foreground, DWN_LINE_OUTLINE * path->u);

  trace_ground (path);
  trace_level (path, path->base_m, TRUE);
  cairo_close_path (cr);
  dwn_builder_draw (path->builder, &fill);
  trace_ground (path);
  dwn_builder_draw (path->builder, &edge);
}

/* The ground that stands above the straight line. */
static void
draw_obstacle (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnColour orange = dwn_look_orange (&path->look);
  DwnInk ink = {
    .fill = dwn_colour_alpha (orange, 0.62),
    .hatch = path->look.ground,
    .hatch_pitch = path->look.hatch || path->look.mono ? HATCH * path->u : 0,
  };
  DwnInk edge = dwn_ink_stroke (path->look.foreground, DWN_LINE_OUTLINE * path->u);

  cairo_move_to (cr, x_of (path, 0), y_of (path, line_m (path, 0)));
  cairo_line_to (cr, x_of (path, path->length_m), y_of (path, line_m (path, path->length_m)));
  cairo_line_to (cr, x_of (path, path->length_m), path->top - 4);
  cairo_line_to (cr, x_of (path, 0), path->top - 4);
  cairo_close_path (cr);
  dwn_builder_clip_begin (path->builder);
  trace_ground (path);
  trace_level (path, path->base_m, TRUE);
  cairo_close_path (cr);
  dwn_builder_draw (path->builder, &ink);
  trace_ground (path);
  dwn_builder_draw (path->builder, &edge);
  dwn_builder_clip_end (path->builder);
}

static void
draw_axis (Path *path)
{
  double step_m = nice_step (path->length_m, 8), u = path->u;
  DwnInk line = dwn_ink_stroke (dwn_colour_alpha (path->look.foreground, 0.55), DWN_LINE_HAIR * u);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&path->look) };

  trace_level (path, path->base_m, FALSE);
  dwn_builder_draw (path->builder, &line);
  for (double d_m = 0; d_m <= path->length_m; d_m += step_m)
    {
      double x = x_of (path, d_m), y = y_of (path, raised_m (path, d_m, path->base_m));
      g_autofree char *label = d_m > 0 ? g_strdup_printf ("%g", d_m / 1e3)
                                       : g_strdup_printf ("0\u00a0%s", path->data->km);

      dwn_builder_line (path->builder, x, y, x, y + TICK * u, line.stroke, line.width);
      dwn_builder_text (path->builder, label, &style, x, y_of (path, path->base_m) + 22 * u, 0.5);
    }
}

/* Lines -------------------------------------------------------------------------------------- */

static void
draw_straight_line (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnInk ink = { .stroke = dwn_look_blue (&path->look), .width = 1.5 * path->u, .dash = 5 * path->u,
                 .gap = 3.2 * path->u };

  cairo_move_to (cr, x_of (path, 0), y_of (path, line_m (path, 0)));
  cairo_line_to (cr, x_of (path, path->length_m), y_of (path, line_m (path, path->length_m)));
  dwn_builder_draw (path->builder, &ink);
}

static void
draw_way_over (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnInk ink = dwn_ink_stroke (path->look.foreground, DWN_LINE_OUTLINE * path->u);

  if (path->data->n_edges == 0)
    return;
  cairo_move_to (cr, x_of (path, 0), y_of (path, line_m (path, 0)));
  for (guint i = 0; i < path->data->n_edges; i++)
    {
      double d_m = path->data->edge_m[i];

      cairo_line_to (cr, x_of (path, d_m), y_of (path, raised_m (path, d_m, ground_m (path, d_m))));
    }
  cairo_line_to (cr, x_of (path, path->length_m), y_of (path, line_m (path, path->length_m)));
  dwn_builder_draw (path->builder, &ink);
}

/* Things and names --------------------------------------------------------------------------- */

static void
draw_mast (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  double u = path->u, x = x_of (path, 0), foot = y_of (path, path->data->height_m[0]),
         top = y_of (path, line_m (path, 0));
  DwnInk tower = dwn_ink_stroke (path->look.foreground, 2.2 * u);
  DwnInk guys = dwn_ink_stroke (path->look.foreground, DWN_LINE_HAIR * u);
  DwnTextStyle style = {
    .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = path->look.foreground, .halo = TRUE
  };

  cairo_move_to (cr, x, foot);
  cairo_line_to (cr, x, top);
  dwn_builder_draw (path->builder, &tower);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (cr, x, top + (foot - top) * 0.15);
      cairo_line_to (cr, x + side * 5 * u, foot);
    }
  dwn_builder_draw (path->builder, &guys);
  dwn_builder_text (path->builder, path->data->transmitter, &style, x + 1 * u, top - 11 * u, 0);
}

static void
draw_house (Path *path)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  double u = path->u, r = HOUSE * u, x = x_of (path, path->length_m) + 3 * u + r;
  double y = y_of (path, line_m (path, path->length_m)), text = x + r + 5 * u;
  DwnInk ink = { .fill = path->look.ground,
                 .stroke = path->look.foreground,
                 .width = DWN_LINE_OUTLINE * u };
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = path->look.foreground };
  DwnTextStyle quiet = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&path->look) };

  cairo_move_to (cr, x - r, y - r * 0.2);
  cairo_line_to (cr, x, y - r);
  cairo_line_to (cr, x + r, y - r * 0.2);
  cairo_line_to (cr, x + r, y + r);
  cairo_line_to (cr, x - r, y + r);
  cairo_close_path (cr);
  dwn_builder_draw (path->builder, &ink);
  dwn_builder_text (path->builder, path->data->house, &bold, text, y - 2 * u, 0);
  dwn_builder_text (path->builder, path->data->house_detail, &quiet, text, y + 12 * u, 0);
}

static void
draw_tree (Path *path, double x, double foot, double tall)
{
  cairo_t *cr = dwn_builder_path (path->builder);
  DwnInk crown = dwn_ink_fill (dwn_colour_alpha (path->look.foreground, 0.85));

  dwn_builder_line (path->builder, x, foot, x, foot - tall * 0.4, path->look.foreground,
                    DWN_LINE_RIM * path->u);
  cairo_move_to (cr, x, foot - tall);
  cairo_line_to (cr, x + tall * 0.3, foot - tall * 0.25);
  cairo_line_to (cr, x - tall * 0.3, foot - tall * 0.25);
  cairo_close_path (cr);
  dwn_builder_draw (path->builder, &crown);
}

static void
draw_wood (Path *path, const DwnPathWood *wood)
{
  double u = path->u, x0 = x_of (path, wood->from_m), x1 = x_of (path, wood->to_m);
  double metres_px = (path->bottom - path->top) / (path->high_m - path->low_m);
  double tall = fmax (wood->height_m * metres_px, TREE * u);
  guint n = (guint) CLAMP (floor ((x1 - x0) / (7 * u)), 1.0, 60.0);
  double middle_m = (wood->from_m + wood->to_m) / 2;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = path->look.foreground };

  for (guint i = 0; i < n; i++)
    {
      double d_m = wood->from_m + (wood->to_m - wood->from_m) * (i + 0.5) / n;

      draw_tree (path, x_of (path, d_m), y_of (path, raised_m (path, d_m, ground_m (path, d_m))),
                 tall);
    }
  if (wood->name != NULL)
    dwn_builder_text (path->builder, wood->name, &style, x_of (path, middle_m),
                      y_of (path, raised_m (path, middle_m, ground_m (path, middle_m))) + 20 * u,
                      0.5);
}

/* Two lines over everything, a leader down to the crest. */
static void
draw_crest (Path *path)
{
  const DwnPathDrawing *data = path->data;
  double u = path->u, x, y, top = path->top - CREST_HEIGHT * u;
  DwnColour orange = dwn_look_orange (&path->look);
  DwnTextStyle name = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = orange };
  DwnTextStyle detail = { .size = DWN_SIZE_SMALL, .colour = path->look.foreground };

  if (isnan (data->crest_m))
    return;
  x = x_of (path, data->crest_m);
  y = y_of (path, raised_m (path, data->crest_m, ground_m (path, data->crest_m)));

  g_auto (DwnText) first = dwn_builder_set_text (path->builder, data->crest, &name);
  g_auto (DwnText) second = dwn_builder_set_text (path->builder, data->crest_detail, &detail);
  double half = fmax (first.width, second.width) / 2;
  double at = CLAMP (x, MARGIN * u + half,
                     fmax (MARGIN * u + half, path->width - MARGIN * u - half));
  DwnRegion region = {
    .kind = DWN_REGION_OBSTACLE, .bounds = { x - 16 * u, top, 32 * u, fmax (y - top, 8 * u) },
    .value = data->crest_above_m,
  };

  dwn_builder_add_text (path->builder, &first, &name, at, top + 12 * u, 0.5);
  dwn_builder_add_text (path->builder, &second, &detail, at, top + 27 * u, 0.5);
  dwn_builder_line (path->builder, x, top + 33 * u, x, y - 3 * u, orange, DWN_LINE_RIM * u);
  dwn_builder_region (path->builder, &region);
}

/* Is the ground above @label all along? */
static gboolean
is_within_ground (const Path *path, const DwnRect *label)
{
  for (guint i = 0; i <= 8; i++)
    {
      double x = label->x + label->width * i / 8;
      double d_m = path->length_m * CLAMP ((x - path->left) / (path->right - path->left), 0.0, 1.0);

      if (y_of (path, raised_m (path, d_m, ground_m (path, d_m))) > label->y - 1.5 * path->u)
        return FALSE;
    }
  return TRUE;
}

/* Metres and kilometres under the other hills, within the ground, each at a short tick; what would
 * stand on the label before or on a wood is left out. */
static void
draw_hills (Path *path)
{
  const DwnPathDrawing *data = path->data;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = path->look.foreground };
  DwnRect last = { -(double) INFINITY, 0, 0, 0 };
  double u = path->u;

  for (guint i = 0; i < data->n_hills; i++)
    {
      double d_m = data->hills[i].distance_m, x = x_of (path, d_m);
      double y = y_of (path, raised_m (path, d_m, ground_m (path, d_m)));
      g_auto (DwnText) text = dwn_builder_set_text (path->builder, data->hills[i].name, &style);
      double half = text.width / 2 + 3 * u;
      double at = CLAMP (x, path->left + half, fmax (path->left + half, path->right - half));
      DwnRect label = dwn_text_rect (path->builder, &text, &style, at, y + 22 * u, 0.5);

      if (label.x < last.x + last.width + 6 * u || data->n_woods > 0
          || !is_within_ground (path, &label)
          || label.y + label.height > y_of (path, path->base_m) - 4 * u)
        continue;
      dwn_builder_line (path->builder, x, y + 1 * u, x, y + 9 * u, path->look.foreground, DWN_LINE_RIM * u);
      dwn_builder_add_text (path->builder, &text, &style, at, y + 22 * u, 0.5);
      last = label;
    }
}

/* Whether a label of the zone's name, middle at @x, @y, stands free between line and ground. */
static gboolean
is_free_below (const Path *path, double x0, double x1, double y)
{
  for (guint i = 0; i <= 8; i++)
    {
      double d_m = path->length_m * ((x0 + (x1 - x0) * i / 8) - path->left)
                   / (path->right - path->left);

      if (d_m < 0 || d_m > path->length_m
          || y_of (path, raised_m (path, d_m, ground_m (path, d_m))) < y + 6 * path->u)
        return FALSE;
    }
  return TRUE;
}

/* The lower edge of the first Fresnel zone at @x. */
static double
zone_below_y (const Path *path, double x)
{
  double d_m = path->length_m * CLAMP ((x - path->left) / (path->right - path->left), 0.0, 1.0);

  return y_of (path,
               line_m (path, d_m) - dwn_path_fresnel_m (d_m, path->length_m, path->data->mhz));
}

/* Under the zone's lower edge, as near to a third of the way as the ground lets it. */
static void
draw_fresnel_name (Path *path)
{
  static const double shares[] = { 0.32, 0.26, 0.38, 0.2, 0.44, 0.5, 0.56, 0.62, 0.14, 0.7, 0.8 };
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_blue (&path->look),
                         .halo = TRUE };
  double u = path->u;

  if (!(path->data->mhz > 0) || path->data->fresnel == NULL)
    return;

  g_auto (DwnText) text = dwn_builder_set_text (path->builder, path->data->fresnel, &style);
  for (guint i = 0; i < G_N_ELEMENTS (shares); i++)
    {
      double x = x_of (path, path->length_m * shares[i]);
      double y = fmax (zone_below_y (path, x - text.width / 2),
                       zone_below_y (path, x + text.width / 2));

      y += 15 * u;

      if (is_free_below (path, x - text.width / 2, x + text.width / 2, y))
        {
          dwn_builder_add_text (path->builder, &text, &style, x, y, 0.5);
          return;
        }
    }
}

/* Title and note go side by side, or one above the other where they would meet. */
static gboolean
note_stands_below (const Path *path)
{
  DwnTextStyle title = { .size = DWN_SIZE_TITLE, .bold = TRUE }, note = { .size = DWN_SIZE_SMALL };

  if (path->data->title == NULL || path->data->note == NULL)
    return FALSE;
  g_auto (DwnText) first = dwn_builder_set_text (path->builder, path->data->title, &title);
  g_auto (DwnText) second = dwn_builder_set_text (path->builder, path->data->note, &note);
  return first.width + second.width + (2 * MARGIN + 12) * path->u > path->width;
}

static void
draw_head (Path *path)
{
  double u = path->u;
  DwnTextStyle title = { .size = DWN_SIZE_TITLE, .bold = TRUE, .colour = path->look.foreground };
  DwnTextStyle note = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&path->look) };

  dwn_builder_text (path->builder, path->data->title, &title, MARGIN * u, 20 * u, 0);
  if (note_stands_below (path))
    dwn_builder_text (path->builder, path->data->note, &note, MARGIN * u, (20 + NOTE_HEIGHT) * u, 0);
  else
    dwn_builder_text (path->builder, path->data->note, &note, path->width - MARGIN * u, 20 * u, 1);
}

static void
place (Path *path)
{
  const DwnPathDrawing *data = path->data;
  double u = path->u;
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE };
  g_auto (DwnText) house = dwn_builder_set_text (path->builder, data->house, &bold);
  g_auto (DwnText) detail = dwn_builder_set_text (path->builder, data->house_detail, &bold);
  double head = data->title != NULL || data->note != NULL ? TITLE_HEIGHT : 4;
  head += note_stands_below (path) ? NOTE_HEIGHT : 0;

  path->left = (MARGIN + AXIS_LEFT) * u;
  path->right = path->width - (MARGIN + 2 * HOUSE + 8) * u - fmax (house.width, detail.width);
  path->right = fmax (path->right, path->left + 20 * u);
  path->top = (head + (isnan (data->crest_m) ? 22 : CREST_HEIGHT)) * u;
  path->bottom = fmax (path->height - AXIS_BELOW * u, path->top + 20 * u);
}

static gboolean
is_sane (const DwnPathDrawing *data)
{
  if (data->n_points < 2 || data->distance_m == NULL || data->height_m == NULL)
    return FALSE;
  for (guint i = 1; i < data->n_points; i++)
    if (!(data->distance_m[i] > data->distance_m[i - 1]))
      return FALSE;
  return data->earth_radius_m > 0;
}

DwnScene *
dwn_path_layout (const DwnPathDrawing *data, const DwnLook *look, PangoContext *text, double width,
                 double height)
{
  g_return_val_if_fail (data != NULL && look != NULL, NULL);
  g_return_val_if_fail (PANGO_IS_CONTEXT (text), NULL);
  g_return_val_if_fail (width > 0 && height > 0, NULL);
  g_return_val_if_fail (is_sane (data), NULL);

  Path path = { .data = data,
                .look = *look,
                .u = dwn_look_unit (look),
                .width = width,
                .height = height,
                .length_m = data->distance_m[data->n_points - 1] };

  path.builder = dwn_builder_new (look, text, width, height);
  place (&path);
  find_range (&path);
  draw_head (&path);
  draw_levels (&path);
  draw_fresnel (&path);
  draw_ground (&path);
  draw_obstacle (&path);
  draw_axis (&path);
  for (guint i = 0; i < data->n_woods; i++)
    draw_wood (&path, &data->woods[i]);
  draw_straight_line (&path);
  draw_way_over (&path);
  draw_mast (&path);
  draw_house (&path);
  draw_fresnel_name (&path);
  draw_hills (&path);
  draw_crest (&path);
  return dwn_builder_finish (path.builder);
}
