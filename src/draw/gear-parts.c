/* The symbols of the gear chain. */
#include <math.h>

#include "draw/gear-private.h"

/* Half width and half height in u at full scale. */
typedef struct {
  double half_width, half_height;
} Size;

static const Size sizes[] = {
  [DWN_GEAR_YAGI] = { 36, 15 },
  [DWN_GEAR_LOG_PERIODIC] = { 36, 15 },
  [DWN_GEAR_PANEL] = { 16, 24 },
  [DWN_GEAR_DIPOLE] = { 12, 18 },
  [DWN_GEAR_COMBINER] = { 25, 20 },
  [DWN_GEAR_HYBRID] = { 25, 20 },
  [DWN_GEAR_FILTER] = { 24, 17 },
  [DWN_GEAR_AMPLIFIER] = { 24, 22 },
  [DWN_GEAR_INSERTER] = { 24, 20 },
  [DWN_GEAR_SPLITTER] = { 19, 26 },
  [DWN_GEAR_TAP] = { 19, 20 },
  [DWN_GEAR_OUTLET] = { 7, 7 },
  [DWN_GEAR_BALUN] = { 15, 13 },
  [DWN_GEAR_SURGE] = { 15, 15 },
  [DWN_GEAR_ATTENUATOR] = { 20, 13 },
  [DWN_GEAR_SWITCH] = { 22, 17 },
  [DWN_GEAR_ROTATOR] = { 14, 14 },
  [DWN_GEAR_PLATE] = { 6, 6 },
  [DWN_GEAR_JOINT] = { 4, 4 },
  [DWN_GEAR_OTHER] = { 24, 17 },
};

static const DwnGearSymbol last_antenna = DWN_GEAR_DIPOLE;

#define PORT_PITCH 11.0
#define LEAST_HALF_HEIGHT 7.0
#define NAME_GAP 9.0
#define PLUG_BELOW 34.0
#define SMALL_SCALE 0.6 /* of a symbol that is but a mark on the cable */
#define LEAST_REACH 9.0 /* of a region: what a pointer can meet */
#define FAULT_RADIUS 7.5

void
dwn_gear_measure_part (const DwnGear *gear, DwnGearPart *part, double most_height)
{
  const Size *size = &sizes[part->node->symbol];
  guint n_ports = MAX (part->n_in, part->n_out);
  gboolean mark = part->node->symbol == DWN_GEAR_PLATE || part->node->symbol == DWN_GEAR_JOINT;
  double scale = part->node->symbol == DWN_GEAR_OUTLET ? (gear->two_lines ? 1 : 0.72)
                 : mark ? 1 : part->node->small ? SMALL_SCALE : gear->scale;

  part->half_width = size->half_width * scale * gear->u;
  part->half_height = fmax (size->half_height * scale, n_ports * PORT_PITCH * scale / 2) * gear->u;
  if (part->node->symbol != DWN_GEAR_OUTLET && !part->node->small)
    part->half_height = fmin (part->half_height,
                              fmax (most_height / 2, LEAST_HALF_HEIGHT * gear->u));
}

static DwnInk
outline (const DwnGear *gear)
{
  return (DwnInk) { .fill = gear->look.ground, .stroke = gear->look.foreground,
                    .width = DWN_LINE_OUTLINE * gear->u };
}

static void
stroke (DwnGear *gear, double width)
{
  DwnInk ink = dwn_ink_stroke (gear->look.foreground, width * gear->u);

  dwn_builder_draw (gear->builder, &ink);
}

static double
half_cap (const DwnGear *gear, const DwnTextStyle *style)
{
  return dwn_builder_cap (gear->builder) * gear->look.base * style->size / 2;
}

/* Text in the middle of a symbol, smaller where the symbol is. */
static void
inner_text (DwnGear *gear, const DwnGearPart *part, double dx, double dy, gboolean bold)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL * fmax (gear->scale, 0.8), .bold = bold,
                         .colour = gear->look.foreground };

  if (part->node->text != NULL)
    dwn_builder_text (gear->builder, part->node->text, &style, part->x + dx,
                      part->y + dy + half_cap (gear, &style), 0.5);
}

/* Antennas ----------------------------------------------------------------------------------- */

/* A boom with elements that shorten toward where it looks; `n` of them, the reflector longest. */
static void
draw_boom (DwnGear *gear, const DwnGearPart *part, guint n, double shortest)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double w = part->half_width, h = part->half_height;

  cairo_move_to (cr, part->x - w, part->y);
  cairo_line_to (cr, part->x + w, part->y);
  stroke (gear, DWN_LINE_CABLE);
  for (guint i = 0; i < n; i++)
    {
      double along = (double) i / (n - 1), x = part->x - w + 2 * w * 0.86 * along;
      double reach = h * (shortest + (1 - shortest) * along);

      cairo_move_to (cr, x, part->y - reach);
      cairo_line_to (cr, x, part->y + reach);
    }
  stroke (gear, DWN_LINE_OUTLINE);
}

/* Bow ties before a screen. */
static void
draw_panel (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double w = part->half_width, h = part->half_height, screen = part->x + w * 0.45;

  for (guint i = 0; i < 4; i++)
    {
      double y = part->y + h * (i - 1.5) / 2;

      cairo_move_to (cr, part->x - w, y - h * 0.19);
      cairo_line_to (cr, part->x - w * 0.3, y);
      cairo_line_to (cr, part->x - w, y + h * 0.19);
    }
  stroke (gear, DWN_LINE_OUTLINE);
  cairo_move_to (cr, part->x - w * 0.3, part->y - h * 0.75);
  cairo_line_to (cr, part->x - w * 0.3, part->y + h * 0.75);
  cairo_move_to (cr, screen, part->y - h);
  cairo_line_to (cr, screen, part->y + h);
  cairo_move_to (cr, part->x - w * 0.3, part->y);
  cairo_line_to (cr, part->x + w, part->y);
  stroke (gear, DWN_LINE_CABLE);
}

static void
draw_dipole (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double h = part->half_height, gap = 2.5 * gear->u;

  cairo_move_to (cr, part->x, part->y - h);
  cairo_line_to (cr, part->x, part->y - gap);
  cairo_line_to (cr, part->x + part->half_width, part->y - gap);
  cairo_move_to (cr, part->x, part->y + h);
  cairo_line_to (cr, part->x, part->y + gap);
  cairo_line_to (cr, part->x + part->half_width, part->y + gap);
  stroke (gear, DWN_LINE_CABLE);
}

/* Boxes -------------------------------------------------------------------------------------- */

static void
draw_box (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = outline (gear);
  double r = 3 * gear->u, x0 = part->x - part->half_width, y0 = part->y - part->half_height;
  double x1 = part->x + part->half_width, y1 = part->y + part->half_height;

  cairo_new_sub_path (cr);
  cairo_arc (cr, x1 - r, y0 + r, r, -G_PI / 2, 0);
  cairo_arc (cr, x1 - r, y1 - r, r, 0, G_PI / 2);
  cairo_arc (cr, x0 + r, y1 - r, r, G_PI / 2, G_PI);
  cairo_arc (cr, x0 + r, y0 + r, r, G_PI, 3 * G_PI / 2);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
}

/* Input names on the left, a point where they meet on the right. */
static void
draw_combiner (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  g_auto (GStrv) inputs = g_strsplit (part->node->text != NULL ? part->node->text : "", "\n", 8);
  guint n = g_strv_length (inputs);
  double w = part->half_width, reach = 8 * gear->scale * gear->u;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL * fmax (gear->scale, 0.8),
                         .colour = dwn_look_quiet (&gear->look) };

  draw_box (gear, part);
  if (gear->downward)
    {
      cairo_move_to (cr, part->x - reach, part->y - reach * 0.5);
      cairo_line_to (cr, part->x, part->y + reach * 0.5);
      cairo_line_to (cr, part->x + reach, part->y - reach * 0.5);
      stroke (gear, DWN_LINE_RIM);
      return;
    }
  for (guint i = 0; i < n; i++)
    dwn_builder_text (gear->builder, inputs[i], &style, part->x - w + 5 * gear->u,
                      dwn_gear_port_y (gear, part, i, n) + half_cap (gear, &style) * 0.9, 0);
  cairo_move_to (cr, part->x + w - 15 * gear->scale * gear->u, part->y - reach);
  cairo_line_to (cr, part->x + w - 6 * gear->scale * gear->u, part->y);
  cairo_line_to (cr, part->x + w - 15 * gear->scale * gear->u, part->y + reach);
  stroke (gear, DWN_LINE_RIM);
}

/* What a filter lets through: a plateau between two slopes. */
static void
draw_filter (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double w = part->half_width * 0.7, h = part->half_height * 0.5;
  gboolean named = part->node->text != NULL;
  double y = part->y + (named ? h * 0.5 : 0), tall = named ? h * 0.55 : h;

  draw_box (gear, part);
  cairo_move_to (cr, part->x - w, y + tall);
  cairo_curve_to (cr, part->x - w * 0.4, y + tall, part->x - w * 0.6, y - tall, part->x - w * 0.25,
                  y - tall);
  cairo_line_to (cr, part->x + w * 0.25, y - tall);
  cairo_curve_to (cr, part->x + w * 0.6, y - tall, part->x + w * 0.4, y + tall, part->x + w,
                  y + tall);
  stroke (gear, DWN_LINE_RIM);
  inner_text (gear, part, 0, -h * 0.9, FALSE);
}

/* A capacitor in the signal's way: direct current enters behind it. */
static void
draw_inserter (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double w = part->half_width * 0.6, gap = 3 * gear->scale * gear->u,
         plate = 6 * gear->scale * gear->u;
  double y = part->y - part->half_height * 0.35;

  draw_box (gear, part);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (cr, part->x + side * w, y);
      cairo_line_to (cr, part->x + side * gap, y);
      cairo_move_to (cr, part->x + side * gap, y - plate);
      cairo_line_to (cr, part->x + side * gap, y + plate);
    }
  stroke (gear, DWN_LINE_OUTLINE);
}

/* A spark gap to ground. */
static void
draw_surge (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double h = part->half_height, w = part->half_width;

  draw_box (gear, part);
  cairo_move_to (cr, part->x + w * 0.15, part->y - h * 0.7);
  cairo_line_to (cr, part->x - w * 0.3, part->y + h * 0.1);
  cairo_line_to (cr, part->x + w * 0.2, part->y - h * 0.05);
  cairo_line_to (cr, part->x - w * 0.15, part->y + h * 0.7);
  stroke (gear, DWN_LINE_OUTLINE);
  for (guint i = 0; i < 3; i++)
    {
      double half = w * (0.6 - 0.2 * i), y = part->y + h + (4 + 3 * i) * gear->u;

      cairo_move_to (cr, part->x - half, y);
      cairo_line_to (cr, part->x + half, y);
    }
  cairo_move_to (cr, part->x, part->y + h);
  cairo_line_to (cr, part->x, part->y + h + 4 * gear->u);
  stroke (gear, DWN_LINE_RIM);
}

static void
draw_switch (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double w = part->half_width * 0.55, h = part->half_height * 0.45, dot = 1.8 * gear->u;
  DwnInk ink = dwn_ink_fill (gear->look.foreground);

  draw_box (gear, part);
  cairo_move_to (cr, part->x + w, part->y);
  cairo_line_to (cr, part->x - w, part->y - h);
  stroke (gear, DWN_LINE_OUTLINE);
  cairo_arc (cr, part->x + w, part->y, dot, 0, 2 * G_PI);
  cairo_new_sub_path (cr);
  cairo_arc (cr, part->x - w, part->y - h, dot, 0, 2 * G_PI);
  cairo_new_sub_path (cr);
  cairo_arc (cr, part->x - w, part->y + h, dot, 0, 2 * G_PI);
  dwn_builder_draw (gear->builder, &ink);
}

static void
draw_balun (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double r = part->half_height * 0.24;

  draw_box (gear, part);
  for (int side = -1; side <= 1; side += 2)
    for (int i = -1; i <= 1; i++)
      {
        double x = part->x + side * part->half_width * 0.32, y = part->y + i * 2 * r;

        cairo_new_sub_path (cr);
        cairo_arc (cr, x, y, r, side > 0 ? G_PI / 2 : -G_PI / 2,
                   side > 0 ? 3 * G_PI / 2 : G_PI / 2);
      }
  stroke (gear, DWN_LINE_RIM);
}

/* Other shapes ------------------------------------------------------------------------------- */

static void
draw_amplifier (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = outline (gear);

  cairo_move_to (cr, part->x - part->half_width, part->y - part->half_height);
  if (gear->downward)
    cairo_line_to (cr, part->x + part->half_width, part->y - part->half_height);
  cairo_line_to (cr, part->x + (gear->downward ? 0 : part->half_width),
                 part->y + (gear->downward ? part->half_height : 0));
  if (!gear->downward)
    cairo_line_to (cr, part->x - part->half_width, part->y + part->half_height);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
  if (!gear->downward)
    inner_text (gear, part, -part->half_width * 0.36, 0, TRUE);
}

/* Pointed where the signal comes in, broad where it leaves. */
static void
draw_splitter (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = outline (gear);
  double x0 = part->x - part->half_width, x1 = part->x + part->half_width;
  double y0 = part->y - part->half_height, y1 = part->y + part->half_height;
  double point = x0 + part->half_width * 0.55;

  if (gear->downward)
    {
      cairo_move_to (cr, part->x, y0);
      cairo_line_to (cr, x1, y0 + part->half_height * 0.55);
      cairo_line_to (cr, x1, y1);
      cairo_line_to (cr, x0, y1);
      cairo_line_to (cr, x0, y0 + part->half_height * 0.55);
      cairo_close_path (cr);
      dwn_builder_draw (gear->builder, &ink);
      return;
    }
  cairo_move_to (cr, x0, part->y);
  cairo_line_to (cr, point, y0);
  cairo_line_to (cr, x1, y0);
  cairo_line_to (cr, x1, y1);
  cairo_line_to (cr, point, y1);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
  inner_text (gear, part, part->half_width * 0.14, 0, FALSE);
}

static void
draw_rotator (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = outline (gear);
  double r = part->half_height, inner = r * 0.55, tip = 2.4 * gear->u;
  double x = part->x + inner * cos (0.2), y = part->y + inner * sin (0.2);

  cairo_arc (cr, part->x, part->y, r, 0, 2 * G_PI);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
  cairo_arc (cr, part->x, part->y, inner, -4.2, 0.2);
  stroke (gear, DWN_LINE_OUTLINE);
  cairo_move_to (cr, x - tip, y - tip * 1.2);
  cairo_line_to (cr, x, y + tip * 0.4);
  cairo_line_to (cr, x + tip, y - tip * 1.2);
  stroke (gear, DWN_LINE_OUTLINE);
}

static void
draw_outlet_symbol (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ring = outline (gear), dot = dwn_ink_fill (gear->look.foreground);
  guint n = MIN (part->n_stacked, 3u);

  /* A stack is drawn as rings behind the first. */
  for (guint i = n; i-- > 0;)
    {
      double shift = 3 * i * gear->u;

      cairo_arc (cr, part->x + shift, part->y - shift, part->half_width, 0, 2 * G_PI);
      cairo_close_path (cr);
      dwn_builder_draw (gear->builder, &ring);
    }
  cairo_arc (cr, part->x, part->y, part->half_width * 0.3, 0, 2 * G_PI);
  dwn_builder_draw (gear->builder, &dot);
}

/* "Outlet 1 – Outlet 8" and how many of them, or one name with its length. */
static void
draw_outlet_text (DwnGear *gear, const DwnGearPart *part)
{
  const DwnGearNode *node = part->node, *last = &gear->data->nodes[part->last_stacked];
  double u = gear->u, x = part->x + part->half_width + 6 * u, pitch = 14 * u;
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = gear->look.foreground };
  DwnTextStyle plain = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };
  double cap = 2 * half_cap (gear, &bold);
  g_autofree char *count = g_strdup_printf ("%u\u00a0×", part->n_stacked);
  gboolean stack = part->n_stacked > 1;

  if (stack)
    {
      x += 6 * u;
      dwn_builder_text (gear->builder, count, &bold, x, part->y - pitch / 2, 0);
      dwn_builder_text (gear->builder, node->name, &plain, x, part->y + cap / 2, 0);
      dwn_builder_text (gear->builder, last->name, &plain, x, part->y + cap / 2 + pitch, 0);
      return;
    }
  if (gear->two_lines && node->detail != NULL)
    {
      dwn_builder_text (gear->builder, node->name, &bold, x, part->y - pitch / 2 + cap / 2, 0);
      dwn_builder_text (gear->builder, node->detail, &plain, x, part->y + pitch / 2 + cap / 2, 0);
      return;
    }
  DwnRect name = dwn_builder_text (gear->builder, node->name, &bold, x, part->y + cap / 2, 0);
  if (node->detail != NULL)
    dwn_builder_text (gear->builder, node->detail, &plain, name.x + name.width + 5 * u,
                      part->y + cap / 2, 0);
}

static void
draw_outlet (DwnGear *gear, const DwnGearPart *part)
{
  draw_outlet_symbol (gear, part);
  if (!gear->downward)
    draw_outlet_text (gear, part);
}

/* A socket in the wall. */
static void
draw_plate (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = outline (gear), dot = dwn_ink_fill (gear->look.foreground);

  cairo_rectangle (cr, part->x - part->half_width, part->y - part->half_height, 2 * part->half_width,
                   2 * part->half_height);
  dwn_builder_draw (gear->builder, &ink);
  cairo_arc (cr, part->x, part->y, part->half_width * 0.35, 0, 2 * G_PI);
  dwn_builder_draw (gear->builder, &dot);
}

static void
draw_joint (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk dot = dwn_ink_fill (gear->look.foreground);

  cairo_arc (cr, part->x, part->y, part->half_width, 0, 2 * G_PI);
  dwn_builder_draw (gear->builder, &dot);
}

static void
draw_text_box (DwnGear *gear, const DwnGearPart *part)
{
  draw_box (gear, part);
  if (!gear->downward)
    inner_text (gear, part, 0, 0, FALSE);
}

static void
draw_yagi (DwnGear *gear, const DwnGearPart *part)
{
  draw_boom (gear, part, 7, 0.5);
}

static void
draw_log_periodic (DwnGear *gear, const DwnGearPart *part)
{
  draw_boom (gear, part, 9, 0.18);
}

/* In the order of DwnGearSymbol. A new symbol is a function, a size and a line here. */
static void (*const draw_symbol[]) (DwnGear *, const DwnGearPart *) = {
  [DWN_GEAR_YAGI] = draw_yagi,
  [DWN_GEAR_LOG_PERIODIC] = draw_log_periodic,
  [DWN_GEAR_PANEL] = draw_panel,
  [DWN_GEAR_DIPOLE] = draw_dipole,
  [DWN_GEAR_COMBINER] = draw_combiner,
  [DWN_GEAR_HYBRID] = draw_text_box,
  [DWN_GEAR_FILTER] = draw_filter,
  [DWN_GEAR_AMPLIFIER] = draw_amplifier,
  [DWN_GEAR_INSERTER] = draw_inserter,
  [DWN_GEAR_SPLITTER] = draw_splitter,
  [DWN_GEAR_TAP] = draw_splitter,
  [DWN_GEAR_OUTLET] = draw_outlet,
  [DWN_GEAR_BALUN] = draw_balun,
  [DWN_GEAR_SURGE] = draw_surge,
  [DWN_GEAR_ATTENUATOR] = draw_text_box,
  [DWN_GEAR_SWITCH] = draw_switch,
  [DWN_GEAR_ROTATOR] = draw_rotator,
  [DWN_GEAR_PLATE] = draw_plate,
  [DWN_GEAR_JOINT] = draw_joint,
  [DWN_GEAR_OTHER] = draw_text_box,
};

/* Whether what @part feeds stands above it: then its name goes below, out of the cable's way. */
static gboolean
feeds_upward (const DwnGear *gear, const DwnGearPart *part)
{
  guint index = (guint) (part - gear->parts);

  for (guint e = 0; e < gear->data->n_edges; e++)
    if (gear->data->edges[e].from == index)
      return gear->parts[gear->data->edges[e].to].y < part->y - 1;
  return FALSE;
}

/* Over the symbol, broken where columns are narrow. An antenna's starts at its left end. */
static void
draw_name (DwnGear *gear, const DwnGearPart *part)
{
  double u = gear->u;
  gboolean antenna = part->node->symbol <= last_antenna,
           below = antenna && feeds_upward (gear, part);
  DwnTextStyle style = {
    .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = gear->look.foreground, .halo = TRUE,
    .wrap = antenna ? 0 : fmax (gear->pitch - 6 * u, 44 * u),
  };
  g_auto (DwnText) text = dwn_builder_set_text (gear->builder, part->node->name, &style);
  double more_lines = text.height - text.height / pango_layout_get_line_count (text.layout);
  double x = part->x, y = part->y - part->half_height - NAME_GAP * u - more_lines;

  if (below)
    y = part->y + part->half_height + NAME_GAP * u + 2 * half_cap (gear, &style);
  if (antenna)
    x = CLAMP (part->x - part->half_width, 4 * u, fmax (4 * u, gear->width - 4 * u - text.width));
  else if (part->n_out > 1)
    x = fmin (x, part->x + part->half_width + 8 * u - text.width / 2);
  pango_layout_set_alignment (text.layout, PANGO_ALIGN_CENTER);
  dwn_builder_add_text (gear->builder, &text, &style, x, y, antenna ? 0 : 0.5);
}

/* Where the mains come in: a plug below the part, and what not to do with it. */
static void
draw_plug (DwnGear *gear, const DwnGearPart *part)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double u = gear->u, x = part->x, y = part->y + part->half_height + PLUG_BELOW * u;
  DwnColour orange = dwn_look_orange (&gear->look);
  DwnInk cord = { .stroke = orange, .width = DWN_LINE_CABLE * u, .dash = 4 * u, .gap = 2.4 * u };
  DwnInk plug = { .fill = gear->look.ground, .stroke = orange, .width = DWN_LINE_OUTLINE * u };
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_quiet (&gear->look),
                         .halo = TRUE,
                         .wrap = 84 * u };

  cairo_move_to (cr, x, part->y + part->half_height);
  cairo_line_to (cr, x, y - 5 * u);
  dwn_builder_draw (gear->builder, &cord);
  cairo_rectangle (cr, x - 6.5 * u, y - 5 * u, 13 * u, 9 * u);
  dwn_builder_draw (gear->builder, &plug);
  for (int side = -1; side <= 1; side += 2)
    dwn_builder_line (gear->builder, x + side * 3 * u, y + 4 * u, x + side * 3 * u, y + 8 * u,
                      orange, DWN_LINE_OUTLINE * u);
  dwn_builder_text (gear->builder, part->node->mains, &style, x + 12 * u,
                    y + half_cap (gear, &style), 0);
}

void
dwn_gear_draw_fault (DwnGear *gear, const char *fault, double x, double y)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = gear->look.ground };
  DwnInk ink = { .fill = dwn_look_orange (&gear->look), .stroke = gear->look.ground,
                 .width = DWN_LINE_OUTLINE * gear->u };
  cairo_t *cr = dwn_builder_path (gear->builder);

  if (fault == NULL)
    return;
  cairo_arc (cr, x, y, FAULT_RADIUS * gear->u, 0, 2 * G_PI);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
  dwn_builder_text (gear->builder, fault, &style, x, y + half_cap (gear, &style), 0.5);
}

void
dwn_gear_draw_symbol (DwnGear *gear, const DwnGearPart *part)
{
  draw_symbol[part->node->symbol] (gear, part);
}

void
dwn_gear_draw_part (DwnGear *gear, const DwnGearPart *part)
{
  gboolean outlet = part->node->symbol == DWN_GEAR_OUTLET;
  double reach = outlet ? 4 * gear->u : 0;
  double half_width = fmax (part->half_width + reach, part->node->small ? LEAST_REACH * gear->u : 0);
  double half_height = fmax (part->half_height + reach, part->node->small ? LEAST_REACH * gear->u : 0);
  DwnRegion region = {
    .kind = outlet ? DWN_REGION_OUTLET : DWN_REGION_PART, .id = part->node->id,
    .bounds = { part->x - half_width, part->y - half_height, 2 * half_width, 2 * half_height },
    .round = outlet, .tab_order = (int) (part->node - gear->data->nodes), .value = part->n_stacked,
  };

  dwn_gear_draw_symbol (gear, part);
  if (!outlet && !part->node->small)
    draw_name (gear, part);
  if (part->node->mains != NULL)
    draw_plug (gear, part);
  dwn_gear_draw_fault (gear, part->node->fault, part->x + part->half_width,
                       part->y + part->half_height + 4 * gear->u);
  dwn_builder_region (gear->builder, &region);
}
