#include "draw/staircase.h"

#include <math.h>

#include "draw/builder.h"
#include "draw/occupancy.h"

/* All in u. */
#define MARGIN 1.0 /* antialiasing stays on the page */
#define TITLE_HEIGHT 32.0
#define INTRO_GAP 16.0
#define AXIS_LABELS 40.0
#define MARGIN_TEXT 92.0    /* room for the bracket and what it says */
#define CUT_HEIGHT 50.0     /* from the power down to where the scale starts */
#define NAME_LINE 14.0
#define LEAST_NAME_SIZE 0.92 /* of small type: nothing on paper is under 7.5 pt */
#define BAR_SHARE 0.68      /* of a column */
#define ZIGZAG 5.0
#define REMEDY_ROW 17.5
#define REMEDY_HEAD 30.0
#define REMEDY_BAR 160.0
#define REMEDY_CHANCE 84.0 /* width of its column */
#define LEAST_REMEDY_BAR 40.0
#define REMEDY_BAR_HEIGHT 8.5
#define HATCH 4.0

#define CUT_FROM_DB 40.0
#define SCALE_STEP_DB 10.0

typedef struct {
  const DwnStaircase *data;
  DwnLook look;
  DwnBuilder *builder;
  double u, width, height;
  double *levels_dbm;          /* after each step */
  double low_dbm, high_dbm;    /* ends of the scale */
  gboolean cut;                /* the first step lies above the scale */
  double left, right, pitch;
  double top, scale_top, bottom;
  double names_size, names_height;
  guint name_lines;
  gboolean two_rows;
  DwnOccupancy *taken;         /* by figures */
} Stairs;

/* Geometry ----------------------------------------------------------------------------------- */

static void
find_scale (Stairs *stairs)
{
  const DwnStaircase *data = stairs->data;
  double low = INFINITY, high = -INFINITY;

  stairs->levels_dbm[0] = data->steps[0].gain_db;
  for (guint i = 1; i < data->n_steps; i++)
    {
      double enough = data->steps[i].enough_dbm;

      stairs->levels_dbm[i] = stairs->levels_dbm[i - 1] + data->steps[i].gain_db;
      low = fmin (low, stairs->levels_dbm[i]);
      high = fmax (high, stairs->levels_dbm[i]);
      low = fmin (low, enough);
      high = fmax (high, enough);
    }
  stairs->cut = stairs->levels_dbm[0] - high > CUT_FROM_DB;
  if (!stairs->cut)
    {
      high = fmax (high, stairs->levels_dbm[0]);
      low = fmin (low, stairs->levels_dbm[0]);
    }
  stairs->low_dbm = low - fmax ((high - low) * 0.12, 2);
  stairs->high_dbm = high + fmax ((high - low) * 0.06, 1.5);
}

static double
y_of (const Stairs *stairs, double level_dbm)
{
  if (stairs->cut && level_dbm > stairs->high_dbm)
    return stairs->top;
  return stairs->bottom - (level_dbm - stairs->low_dbm) / (stairs->high_dbm - stairs->low_dbm)
                            * (stairs->bottom - stairs->scale_top);
}

static double
column_left (const Stairs *stairs, guint i)
{
  return stairs->left + i * stairs->pitch;
}

static double
bar_left (const Stairs *stairs, guint i)
{
  return column_left (stairs, i) + stairs->pitch * (1 - BAR_SHARE) / 2;
}

static double
bar_middle (const Stairs *stairs, guint i)
{
  return column_left (stairs, i) + stairs->pitch / 2;
}

static DwnTextStyle
style_of (const Stairs *stairs, double size, gboolean bold, gboolean quiet)
{
  return (DwnTextStyle) {
    .size = size, .bold = bold,
    .colour = quiet ? dwn_look_quiet (&stairs->look) : stairs->look.foreground,
  };
}

/* Bars --------------------------------------------------------------------------------------- */

static DwnInk
ink_of (const Stairs *stairs, const DwnStair *step)
{
  DwnColour foreground = stairs->look.foreground;
  DwnInk ink = { .fill = dwn_colour_alpha (foreground, 0.13),
                 .stroke = dwn_colour_alpha (foreground, 0.7),
                 .width = DWN_LINE_HAIR * stairs->u,
                 .butt = TRUE };

  if (step->cause)
    {
      ink.fill = dwn_look_orange (&stairs->look);
      ink.stroke = ink.fill;
      ink.hatch = stairs->look.ground;
      ink.hatch_pitch = stairs->look.hatch || stairs->look.mono ? HATCH * stairs->u : 0;
    }
  else if (step->gain_db > 0)
    ink.fill = ink.stroke = dwn_colour_alpha (dwn_look_blue (&stairs->look), 0.9);
  return ink;
}

static void
add_step_region (Stairs *stairs, guint i, double top, double bottom)
{
  DwnRegion region = {
    .kind = DWN_REGION_STEP, .id = stairs->data->steps[i].id,
    .bounds = { column_left (stairs, i), top, stairs->pitch, fmax (bottom - top, 4 * stairs->u) },
    .tab_order = (int) i, .value = stairs->data->steps[i].gain_db,
  };

  dwn_builder_region (stairs->builder, &region);
}

/* The power is no step but what it all starts from: a tall pale column under a thick edge. */
static void
draw_power (Stairs *stairs)
{
  double x = bar_left (stairs, 0), width = stairs->pitch * BAR_SHARE,
         y = y_of (stairs, stairs->levels_dbm[0]);
  DwnInk pale = dwn_ink_fill (dwn_colour_alpha (stairs->look.foreground, 0.10));
  DwnTextStyle style = style_of (stairs, DWN_SIZE_SMALL, TRUE, FALSE);

  cairo_rectangle (dwn_builder_path (stairs->builder), x, y, width, stairs->bottom - y);
  dwn_builder_draw (stairs->builder, &pale);
  dwn_builder_line (stairs->builder, x, y, x + width, y, stairs->look.foreground, 1.8 * stairs->u);
  dwn_builder_text (stairs->builder, stairs->data->steps[0].value, &style, bar_middle (stairs, 0),
                    y + 15 * stairs->u, 0.5);
  add_step_region (stairs, 0, y, stairs->bottom);
}

static void
draw_bar (Stairs *stairs, guint i)
{
  const DwnStair *step = &stairs->data->steps[i];
  double y0 = y_of (stairs, stairs->levels_dbm[i - 1]), y1 = y_of (stairs, stairs->levels_dbm[i]);
  double top = fmin (y0, y1), bottom = fmax (y0, y1), x = bar_left (stairs, i), u = stairs->u;
  double end = i + 1 < stairs->data->n_steps ? bar_left (stairs, i + 1)
                                             : column_left (stairs, i + 1) + 6 * u;
  DwnColour line = dwn_colour_alpha (stairs->look.foreground, 0.7);
  DwnInk ink = ink_of (stairs, step);

  /* From the step before to this one's bar, over it, and on to the next. */
  dwn_builder_line (stairs->builder, bar_left (stairs, i - 1) + stairs->pitch * BAR_SHARE, y0, x,
                    y0, line, DWN_LINE_HAIR * u);
  dwn_builder_line (stairs->builder, x, y1, end, y1, line, DWN_LINE_HAIR * u);
  cairo_rectangle (dwn_builder_path (stairs->builder), x, top, stairs->pitch * BAR_SHARE,
                   bottom - top);
  dwn_builder_draw (stairs->builder, &ink);
  add_step_region (stairs, i, top, bottom);
}

/* As high above @y as the figures before leave room: steps are narrow where the page is. */
static void
draw_figure (Stairs *stairs, const char *figure, const DwnTextStyle *style, double x, double y)
{
  double size = style->size * stairs->look.base;
  g_auto (DwnText) text = dwn_builder_set_text (stairs->builder, figure, style);
  DwnRect rect = { x - text.width / 2, y - size, text.width, size };

  while (rect.y > stairs->top && dwn_occupancy_any (stairs->taken, &rect))
    rect.y -= stairs->u;
  dwn_builder_add_text (stairs->builder, &text, style, x, rect.y + size, 0.5);
  dwn_occupancy_take (stairs->taken, &rect);
}

static void
draw_value (Stairs *stairs, guint i)
{
  double y0 = y_of (stairs, stairs->levels_dbm[i - 1]), y1 = y_of (stairs, stairs->levels_dbm[i]);
  gboolean through_cut = stairs->cut && stairs->levels_dbm[i - 1] > stairs->high_dbm;
  DwnTextStyle style = style_of (stairs, DWN_SIZE_SMALL, TRUE, FALSE);
  double x = bar_middle (stairs, i), y = fmin (y0, y1) - 5 * stairs->u;
  double enough = stairs->data->steps[i].enough_dbm;

  style.halo = TRUE;
  /* Where the level falls short, over the line that it falls short of. */
  if (enough > stairs->levels_dbm[i])
    y = fmin (y, y_of (stairs, enough) - 5 * stairs->u);
  if (through_cut)
    dwn_builder_text (stairs->builder, stairs->data->steps[i].value, &style,
                      bar_left (stairs, i) + stairs->pitch * BAR_SHARE + 6 * stairs->u,
                      stairs->top + CUT_HEIGHT * 0.45 * stairs->u, 0);
  else
    draw_figure (stairs, stairs->data->steps[i].value, &style, x, y);
}

static void
trace_zigzag (Stairs *stairs, double from, double to, double y, gboolean onward)
{
  cairo_t *cr = dwn_builder_path (stairs->builder);
  double tooth = ZIGZAG * stairs->u;
  guint n = (guint) fmax (ceil ((to - from) / tooth / 1.6), 2);

  for (guint i = 0; i <= n; i++)
    {
      guint k = onward ? n - i : i;

      cairo_line_to (cr, from + (to - from) * k / n, y + (k % 2 == 0 ? -tooth / 2 : tooth / 2));
    }
}

/* A torn strip across the first two columns: what lies there is not drawn to scale. */
static void
draw_cut (Stairs *stairs)
{
  double u = stairs->u, from = bar_left (stairs, 0) - 12 * u;
  double to = bar_left (stairs, 1) + stairs->pitch * BAR_SHARE + 6 * u;
  double upper = stairs->scale_top - 11 * u, lower = stairs->scale_top - 4 * u;
  DwnInk gap = dwn_ink_fill (stairs->look.ground);
  DwnInk edge = dwn_ink_stroke (dwn_colour_alpha (stairs->look.foreground, 0.7), DWN_LINE_HAIR * u);

  if (!stairs->cut)
    return;
  trace_zigzag (stairs, from, to, upper, FALSE);
  trace_zigzag (stairs, from, to, lower, TRUE);
  cairo_close_path (dwn_builder_path (stairs->builder));
  dwn_builder_draw (stairs->builder, &gap);
  trace_zigzag (stairs, from, to, upper, FALSE);
  dwn_builder_draw (stairs->builder, &edge);
  trace_zigzag (stairs, from, to, lower, FALSE);
  dwn_builder_draw (stairs->builder, &edge);
}

/* Names that are wider than their columns stand in two rows by turns. */
static void
draw_name (Stairs *stairs, guint i)
{
  const DwnStair *step = &stairs->data->steps[i];
  DwnTextStyle name = style_of (stairs, stairs->names_size, step->cause, FALSE);
  DwnTextStyle detail = style_of (stairs, stairs->names_size, FALSE, TRUE);
  double line = NAME_LINE * stairs->u, y = stairs->bottom + 20 * stairs->u;

  name.wrap = detail.wrap = stairs->pitch * (stairs->two_rows ? 2 : 1);
  name.whole_words = detail.whole_words = TRUE;
  y += stairs->two_rows && i % 2 == 1 ? stairs->name_lines * line : 0;

  g_auto (DwnText) first = dwn_builder_set_text (stairs->builder, step->name, &name);
  g_auto (DwnText) second = dwn_builder_set_text (stairs->builder, step->detail, &detail);

  pango_layout_set_alignment (first.layout, PANGO_ALIGN_CENTER);
  pango_layout_set_alignment (second.layout, PANGO_ALIGN_CENTER);
  dwn_builder_add_text (stairs->builder, &first, &name, bar_middle (stairs, i), y, 0.5);
  if (step->detail != NULL)
    dwn_builder_add_text (stairs->builder, &second, &detail, bar_middle (stairs, i),
                          y + line * pango_layout_get_line_count (first.layout), 0.5);
}

/* Width of the widest word under the columns. */
static double
widest_word (Stairs *stairs)
{
  double widest = 1;

  for (guint i = 0; i < stairs->data->n_steps; i++)
    {
      const char *texts[] = { stairs->data->steps[i].name, stairs->data->steps[i].detail };

      for (guint t = 0; t < G_N_ELEMENTS (texts); t++)
        {
          /* Wrapped at next to nothing, a line holds one word. */
          DwnTextStyle style = {
            .size = DWN_SIZE_SMALL, .bold = t == 0, .wrap = 1, .whole_words = TRUE
          };
          g_auto (DwnText) text = dwn_builder_set_text (stairs->builder, texts[t], &style);

          widest = fmax (widest, text.width);
        }
    }
  return widest;
}

static guint
most_lines (Stairs *stairs)
{
  guint most = 1;

  for (guint i = 0; i < stairs->data->n_steps; i++)
    {
      const DwnStair *step = &stairs->data->steps[i];
      DwnTextStyle style = { .size = stairs->names_size, .bold = step->cause, .whole_words = TRUE,
                             .wrap = stairs->pitch * (stairs->two_rows ? 2 : 1) };
      g_auto (DwnText) name = dwn_builder_set_text (stairs->builder, step->name, &style);
      g_auto (DwnText) detail = dwn_builder_set_text (stairs->builder, step->detail, &style);
      guint lines = (guint) pango_layout_get_line_count (name.layout);

      if (step->detail != NULL)
        lines += (guint) pango_layout_get_line_count (detail.layout);
      most = MAX (most, lines);
    }
  return most;
}

static void
place_names (Stairs *stairs)
{
  double fits = (stairs->pitch + 2 * stairs->u) / widest_word (stairs);

  stairs->two_rows = fits < LEAST_NAME_SIZE;
  stairs->names_size = DWN_SIZE_SMALL * (stairs->two_rows ? 1 : fmin (fits, 1));
  stairs->name_lines = most_lines (stairs);
  stairs->names_height = (16 + NAME_LINE * stairs->name_lines * (stairs->two_rows ? 2 : 1))
                         * stairs->u;
}

/* Scale and margin --------------------------------------------------------------------------- */

static void
draw_scale (Stairs *stairs)
{
  double u = stairs->u;
  double step = SCALE_STEP_DB;
  DwnColour line = dwn_colour_alpha (stairs->look.foreground, 0.15);
  DwnTextStyle style = style_of (stairs, DWN_SIZE_SMALL, FALSE, TRUE);
  double half_cap = dwn_builder_cap (stairs->builder) * stairs->look.base * DWN_SIZE_SMALL / 2;
  double unit_y = stairs->cut ? stairs->top + 16 * u : stairs->top;

  while ((stairs->high_dbm - stairs->low_dbm) / step > 9)
    step *= 2;
  for (double level = ceil (stairs->low_dbm / step) * step; level <= stairs->high_dbm;
       level += step)
    {
      double y = y_of (stairs, level);
      g_autofree char *label = g_strdup_printf ("%s%.0f", level < 0 ? "\u2212" : "", fabs (level));

      dwn_builder_line (stairs->builder, stairs->left, y, stairs->right, y, line,
                        DWN_LINE_HAIR * u);
      if (stairs->cut || y > unit_y + 14 * u)
        dwn_builder_text (stairs->builder, label, &style, stairs->left - 8 * u, y + half_cap, 1);
    }
  dwn_builder_text (stairs->builder, stairs->data->unit, &style, stairs->left - 8 * u, unit_y, 1);
}

/* The band between what arrives and what would be just enough: the margin, the same everywhere. */
static void
draw_band (Stairs *stairs)
{
  DwnInk fill = dwn_ink_fill (dwn_colour_alpha (dwn_look_orange (&stairs->look), 0.12));

  for (guint i = 1; i < stairs->data->n_steps; i++)
    {
      double enough = stairs->data->steps[i].enough_dbm, x = bar_left (stairs, i);
      double next = i + 1 < stairs->data->n_steps ? bar_left (stairs, i + 1)
                                                  : column_left (stairs, i + 1) + 6 * stairs->u;
      double y0 = y_of (stairs, stairs->levels_dbm[i]), y1;

      if (isnan (enough))
        continue;
      y1 = y_of (stairs, enough);
      cairo_rectangle (dwn_builder_path (stairs->builder), x, fmin (y0, y1), next - x,
                       fabs (y1 - y0));
    }
  dwn_builder_draw (stairs->builder, &fill);
}

static void
draw_enough (Stairs *stairs)
{
  cairo_t *cr = dwn_builder_path (stairs->builder);
  double u = stairs->u, name_x = (double) NAN, name_y = 0;
  gboolean started = FALSE, is_short = FALSE;
  DwnColour orange = dwn_look_orange (&stairs->look);
  DwnInk ink = { .stroke = orange, .width = DWN_LINE_OUTLINE * u, .dash = 4.5 * u, .gap = 2.6 * u };
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = orange, .halo = TRUE };

  for (guint i = 1; i < stairs->data->n_steps; i++)
    {
      double enough = stairs->data->steps[i].enough_dbm, y;
      double end = i + 1 < stairs->data->n_steps ? bar_left (stairs, i + 1)
                                                 : column_left (stairs, i + 1) + 6 * u;

      if (isnan (enough))
        continue;
      y = y_of (stairs, enough);
      if (!started)
        cairo_move_to (cr, bar_left (stairs, i), y);
      else
        cairo_line_to (cr, bar_left (stairs, i), y);
      cairo_line_to (cr, end, y);
      /* The name goes under the lowest piece, where nothing else is; where the level falls short it
       * goes over the first, away from the values on the steps. */
      if (!started || (y > name_y && enough < stairs->levels_dbm[i]))
        {
          name_x = (bar_left (stairs, i) + end) / 2;
          name_y = y;
          is_short = enough >= stairs->levels_dbm[i];
        }
      started = TRUE;
    }
  if (!started)
    return;
  dwn_builder_draw (stairs->builder, &ink);
  dwn_builder_text (stairs->builder, stairs->data->just_enough, &style, name_x,
                    is_short ? name_y - 21 * u : name_y + 16 * u, 0.5);
}

static void
draw_margin (Stairs *stairs)
{
  const DwnStaircase *data = stairs->data;
  double enough = data->steps[data->n_steps - 1].enough_dbm, u = stairs->u;
  double x = column_left (stairs, data->n_steps) + 8 * u, y0, y1, text = x + 12 * u;
  cairo_t *cr = dwn_builder_path (stairs->builder);
  DwnInk bracket = dwn_ink_stroke (stairs->look.foreground, DWN_LINE_CABLE * u);
  DwnTextStyle quiet = style_of (stairs, DWN_SIZE_SMALL, FALSE, TRUE);
  DwnTextStyle figure = style_of (stairs, DWN_SIZE_BASE, TRUE, FALSE);
  DwnTextStyle needs = { .size = DWN_SIZE_SMALL, .colour = dwn_look_orange (&stairs->look) };

  if (isnan (enough))
    return;
  y0 = y_of (stairs, stairs->levels_dbm[data->n_steps - 1]);
  y1 = y_of (stairs, enough);
  cairo_move_to (cr, x - 4 * u, y0);
  cairo_line_to (cr, x, y0);
  cairo_line_to (cr, x, y1);
  cairo_line_to (cr, x - 4 * u, y1);
  dwn_builder_draw (stairs->builder, &bracket);

  double y = CLAMP ((y0 + y1) / 2 - 22 * u, stairs->scale_top + 4 * u, stairs->bottom - 50 * u);
  dwn_builder_text (stairs->builder, data->margin_title, &quiet, text, y, 0);
  dwn_builder_text (stairs->builder, data->margin, &figure, text, y + 18 * u, 0);
  dwn_builder_text (stairs->builder, data->chance, &quiet, text, y + 35 * u, 0);
  dwn_builder_text (stairs->builder, data->needs, &needs, text, y + 51 * u, 0);
}

/* Remedies ----------------------------------------------------------------------------------- */

static double
remedies_height (const Stairs *stairs)
{
  guint n = stairs->data->n_remedies;

  return n > 0 ? (REMEDY_HEAD + n * REMEDY_ROW) * stairs->u : 0;
}

/* What the longest text leaves of the room for bars. */
static double
remedy_bar (const Stairs *stairs)
{
  double u = stairs->u, room = stairs->width - (2 * MARGIN + REMEDY_CHANCE + 54 + 12) * u;
  DwnTextStyle style = style_of (stairs, DWN_SIZE_SMALL, FALSE, FALSE);

  for (guint i = 0; i < stairs->data->n_remedies; i++)
    {
      g_auto (DwnText) text
        = dwn_builder_set_text (stairs->builder, stairs->data->remedies[i].text, &style);

      room = fmin (room, stairs->width - (2 * MARGIN + REMEDY_CHANCE + 54 + 12) * u - text.width);
    }
  return CLAMP (room, LEAST_REMEDY_BAR * u, REMEDY_BAR * u);
}

static void
draw_remedy (Stairs *stairs, guint i, double y, double most_db, double bar_width)
{
  const DwnStairRemedy *remedy = &stairs->data->remedies[i];
  double u = stairs->u, right = stairs->width - MARGIN * u, chance = right, gain = right - REMEDY_CHANCE * u;
  double bar_x = gain - 54 * u - bar_width;
  DwnTextStyle plain = style_of (stairs, DWN_SIZE_SMALL, FALSE, FALSE);
  DwnTextStyle bold = style_of (stairs, DWN_SIZE_SMALL, TRUE, FALSE);
  DwnInk bar = dwn_ink_fill (dwn_colour_alpha (dwn_look_blue (&stairs->look), 0.9));
  DwnRegion region = {
    .kind = DWN_REGION_REMEDY, .id = remedy->id, .value = remedy->gain_db,
    .bounds = { MARGIN * u, y - 12 * u, right - MARGIN * u, REMEDY_ROW * u },
    .tab_order = (int) (stairs->data->n_steps + i),
  };

  plain.wrap = bar_x - MARGIN * u - 8 * u;

  g_auto (DwnText) text = dwn_builder_set_text (stairs->builder, remedy->text, &plain);
  pango_layout_set_height (text.layout, -1);
  pango_layout_set_ellipsize (text.layout, PANGO_ELLIPSIZE_END);
  dwn_builder_add_text (stairs->builder, &text, &plain, MARGIN * u, y, 0);
  cairo_rectangle (dwn_builder_path (stairs->builder), bar_x, y - REMEDY_BAR_HEIGHT * u,
                   fmax (bar_width * CLAMP (remedy->gain_db / most_db, 0.0, 1.0), u),
                   REMEDY_BAR_HEIGHT * u);
  dwn_builder_draw (stairs->builder, &bar);
  dwn_builder_text (stairs->builder, remedy->gain, &plain, gain, y, 1);
  dwn_builder_text (stairs->builder, remedy->chance, &bold, chance, y, 1);
  dwn_builder_region (stairs->builder, &region);
}

static void
draw_remedies (Stairs *stairs)
{
  const DwnStaircase *data = stairs->data;
  double u = stairs->u, y = stairs->height - remedies_height (stairs),
         right = stairs->width - MARGIN * u;
  double most_db = 1e-6, bar_width = remedy_bar (stairs);
  DwnTextStyle bold = style_of (stairs, DWN_SIZE_SMALL, TRUE, FALSE);
  DwnTextStyle quiet = style_of (stairs, DWN_SIZE_SMALL, FALSE, TRUE);

  if (data->n_remedies == 0)
    return;
  for (guint i = 0; i < data->n_remedies; i++)
    most_db = fmax (most_db, data->remedies[i].gain_db);
  dwn_builder_line (stairs->builder, MARGIN * u, y, right, y,
                    dwn_colour_alpha (stairs->look.foreground, 0.3), DWN_LINE_HAIR * u);
  y += 17 * u;
  dwn_builder_text (stairs->builder, data->remedies_title, &bold, MARGIN * u, y, 0);
  dwn_builder_text (stairs->builder, data->gain_title, &quiet, right - REMEDY_CHANCE * u, y, 1);
  dwn_builder_text (stairs->builder, data->chance_title, &quiet, right, y, 1);
  for (guint i = 0; i < data->n_remedies; i++)
    draw_remedy (stairs, i, y += REMEDY_ROW * u, most_db, bar_width);
}

/* Layout ------------------------------------------------------------------------------------- */

/* Title, note and intro. Returns: y below them. */
static double
draw_head (Stairs *stairs)
{
  const DwnStaircase *data = stairs->data;
  double u = stairs->u, y = 6 * u;
  DwnTextStyle title = style_of (stairs, DWN_SIZE_TITLE, TRUE, FALSE);
  DwnTextStyle note = style_of (stairs, DWN_SIZE_SMALL, FALSE, TRUE);
  DwnTextStyle intro = style_of (stairs, DWN_SIZE_BASE, FALSE, FALSE);

  intro.wrap = stairs->width - 2 * MARGIN * u;
  if (data->title != NULL || data->note != NULL)
    {
      dwn_builder_text (stairs->builder, data->title, &title, MARGIN * u, 20 * u, 0);
      dwn_builder_text (stairs->builder, data->note, &note, stairs->width - MARGIN * u, 20 * u, 1);
      y = TITLE_HEIGHT * u;
    }
  if (data->intro != NULL)
    {
      g_auto (DwnText) text = dwn_builder_set_text (stairs->builder, data->intro, &intro);

      dwn_builder_add_text (stairs->builder, &text, &intro, MARGIN * u, y + text.baseline, 0);
      y += text.height + INTRO_GAP * u;
    }
  return y;
}

static void
place (Stairs *stairs)
{
  double u = stairs->u;

  stairs->top = draw_head (stairs) + 8 * u;
  stairs->scale_top = stairs->top + (stairs->cut ? CUT_HEIGHT : 8) * u;
  stairs->left = (MARGIN + AXIS_LABELS) * u;
  stairs->right = fmax (stairs->width - (MARGIN + MARGIN_TEXT) * u, stairs->left + 10 * u);
  stairs->pitch = (stairs->right - stairs->left) / stairs->data->n_steps;
  place_names (stairs);
  stairs->bottom = stairs->height - remedies_height (stairs) - stairs->names_height;
  stairs->bottom = fmax (stairs->bottom, stairs->scale_top + 30 * u);
}

DwnScene *
dwn_staircase_layout (const DwnStaircase *data, const DwnLook *look, PangoContext *text,
                      double width, double height)
{
  g_return_val_if_fail (data != NULL && look != NULL, NULL);
  g_return_val_if_fail (PANGO_IS_CONTEXT (text), NULL);
  g_return_val_if_fail (width > 0 && height > 0, NULL);
  g_return_val_if_fail (data->n_steps >= 2 && data->steps != NULL, NULL);

  Stairs stairs = {
    .data = data, .look = *look, .u = dwn_look_unit (look), .width = width, .height = height
  };

  stairs.builder = dwn_builder_new (look, text, width, height);
  stairs.levels_dbm = g_new (double, data->n_steps);
  stairs.taken = dwn_occupancy_new (width, height, 1.0);
  find_scale (&stairs);
  place (&stairs);
  draw_scale (&stairs);
  draw_power (&stairs);
  draw_band (&stairs);
  for (guint i = 1; i < data->n_steps; i++)
    draw_bar (&stairs, i);
  draw_cut (&stairs);
  draw_enough (&stairs);
  for (guint i = 1; i < data->n_steps; i++)
    draw_value (&stairs, i);
  for (guint i = 0; i < data->n_steps; i++)
    draw_name (&stairs, i);
  draw_margin (&stairs);
  draw_remedies (&stairs);
  g_free (stairs.levels_dbm);
  dwn_occupancy_free (stairs.taken);
  return dwn_builder_finish (stairs.builder);
}
