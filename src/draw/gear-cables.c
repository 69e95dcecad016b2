/* Cables, their lengths, and the direct current that runs on some of them. */
#include <math.h>
#include <stdlib.h>

#include "draw/gear-private.h"

/* All in u. */
#define PORT_PITCH 11.0
#define LANE 5.0
#define FIRST_LANE 12.0
#define DC_BELOW 6.5
#define ARROW 8.0
#define LENGTH_ABOVE 6.0

/* An edge between the y of its two ports. */
typedef struct {
  const DwnGearEdge *edge;
  const DwnGearPart *from, *to;
  double y0, y1;
  double turn; /* x of the vertical piece */
} Cable;

double
dwn_gear_port_y (const DwnGear *gear, const DwnGearPart *part, guint rank, guint n)
{
  double pitch = fmin (PORT_PITCH * 1.5 * gear->scale * gear->u,
                       2 * part->half_height / MAX (n, 1u));

  return part->y + (rank - (MAX (n, 1u) - 1) / 2.0) * pitch;
}

/* How many of the edges that leave (or reach) the same part go to a higher place than @edge. */
static guint
rank_of (const DwnGear *gear, const DwnGearEdge *edge, gboolean leaving)
{
  const DwnGearDrawing *data = gear->data;
  double own = gear->parts[leaving ? edge->to : edge->from].y;
  guint rank = 0;

  for (guint e = 0; e < data->n_edges; e++)
    {
      const DwnGearEdge *other = &data->edges[e];
      guint far = leaving ? other->to : other->from;

      if (other == edge || gear->parts[other->to].n_stacked == 0
          || (leaving ? other->from != edge->from : other->to != edge->to))
        continue;
      if (gear->parts[far].y < own - 1e-6
          || (fabs (gear->parts[far].y - own) <= 1e-6 && other < edge))
        rank++;
    }
  return rank;
}

/* The topmost of those that rise turns first, and the lowest of those that sink: then no cable
 * crosses another. */
static double
turn_of (const DwnGear *gear, const Cable *cable, guint rank, guint n, double first, double room)
{
  double middle = (n - 1) / 2.0, outer = fabs (rank - middle);
  double lane = middle - outer;
  double pitch = fmin (LANE * gear->u, room / fmax (middle + 1, 1));

  return first + lane * pitch;
}

static Cable
route (const DwnGear *gear, const DwnGearEdge *edge)
{
  const DwnGearPart *from = &gear->parts[edge->from], *to = &gear->parts[edge->to];
  guint rank_out = rank_of (gear, edge, TRUE), rank_in = rank_of (gear, edge, FALSE);
  double x0 = from->x + from->half_width, x1 = to->x - to->half_width;
  double gap = fmax (x1 - x0, gear->u), first = fmin (FIRST_LANE * gear->u, gap / 3);
  Cable cable = {
    .edge = edge, .from = from, .to = to,
    .y0 = dwn_gear_port_y (gear, from, rank_out, from->n_out),
    .y1 = dwn_gear_port_y (gear, to, rank_in, to->n_in),
  };

  /* A cable that joins others turns before what it joins; one that is split off, behind. */
  if (to->n_in > 1 && from->n_out <= 1)
    cable.turn = x1 - (turn_of (gear, &cable, rank_in, to->n_in, 0, gap * 0.4)
                       + fmin (30 * gear->scale * gear->u, gap * 0.6));
  else
    cable.turn = x0 + turn_of (gear, &cable, rank_out, from->n_out, first, gap * 0.5);
  return cable;
}

static void
draw_cable (DwnGear *gear, const Cable *cable)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  DwnInk ink = dwn_ink_stroke (gear->look.foreground, DWN_LINE_CABLE * gear->u);

  cairo_move_to (cr, cable->from->x + cable->from->half_width, cable->y0);
  if (fabs (cable->y0 - cable->y1) > 0.1)
    {
      cairo_line_to (cr, cable->turn, cable->y0);
      cairo_line_to (cr, cable->turn, cable->y1);
    }
  cairo_line_to (cr, cable->to->x - cable->to->half_width, cable->y1);
  dwn_builder_draw (gear->builder, &ink);
}

/* Over a level piece that is long enough, the one nearer the outlets first; otherwise left of the
 * upright piece, where there is room, or right of it. */
static void
draw_length (DwnGear *gear, const Cable *cable)
{
  double u = gear->u, x0 = cable->from->x + cable->from->half_width,
         x1 = cable->to->x - cable->to->half_width;
  gboolean straight = fabs (cable->y0 - cable->y1) <= 0.1;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_quiet (&gear->look),
                         .halo = TRUE };
  g_auto (DwnText) text = dwn_builder_set_text (gear->builder, cable->edge->length, &style);
  double room = text.width + 6 * u, x, y = cable->y1 - LENGTH_ABOVE * u, align = 0.5;

  if (cable->edge->length == NULL)
    return;
  if (straight)
    x = (x0 + x1) / 2;
  else if (x1 - cable->turn >= room)
    x = (cable->turn + x1) / 2;
  else if (cable->turn - x0 >= room)
    {
      x = (x0 + cable->turn) / 2;
      y = cable->y0 - LENGTH_ABOVE * u;
    }
  else
    {
      gboolean beside = cable->turn - x0 < room; /* what it comes from stands left of it */

      x = cable->turn + (beside ? 4 : -4) * u;
      y = (cable->y0 + cable->y1) / 2 + 4 * u;
      align = beside ? 0 : 1;
    }
  dwn_builder_add_text (gear->builder, &text, &style, x, y, align);
}

static void
draw_arrow (DwnGear *gear, double x, double y, int direction)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double length = ARROW * gear->u;
  DwnInk ink = dwn_ink_fill (dwn_look_orange (&gear->look));

  cairo_move_to (cr, x + direction * length / 2, y);
  cairo_line_to (cr, x - direction * length / 2, y - length * 0.42);
  cairo_line_to (cr, x - direction * length / 2, y + length * 0.42);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &ink);
}

/* A second, dashed line under the cable, with arrowheads toward what is fed. */
static void
draw_dc (DwnGear *gear, const Cable *cable)
{
  cairo_t *cr = dwn_builder_path (gear->builder);
  double u = gear->u, below = DC_BELOW * u;
  double x0 = cable->from->x + cable->from->half_width, x1 = cable->to->x - cable->to->half_width;
  DwnColour orange = dwn_look_orange (&gear->look);
  DwnInk ink = { .stroke = orange, .width = DWN_LINE_CABLE * u, .dash = 5 * u, .gap = 3 * u };
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = orange, .halo = TRUE };
  double y = fabs (cable->y0 - cable->y1) > 0.1 && x1 - cable->turn <= cable->turn - x0 ? cable->y0
                                                                                        : cable->y1;
  double direction = cable->edge->dc > 0 ? 1 : -1;

  if (cable->from->node->symbol == DWN_GEAR_AMPLIFIER)
    x0 -= 6 * u;
  cairo_move_to (cr, x0, cable->y0 + below);
  if (fabs (cable->y0 - cable->y1) > 0.1)
    {
      cairo_line_to (cr, cable->turn, cable->y0 + below);
      cairo_line_to (cr, cable->turn, cable->y1 + below);
    }
  cairo_line_to (cr, x1, cable->y1 + below);
  dwn_builder_draw (gear->builder, &ink);
  for (guint i = 1; i <= 2; i++)
    draw_arrow (gear, x0 + (x1 - x0) * (i == 1 ? 0.3 : 0.75), y + below, (int) direction);
  if (cable->edge->dc_text != NULL)
    dwn_builder_text (gear->builder, cable->edge->dc_text, &style, (x0 + x1) / 2,
                      y + below + 17 * u, 0.5);
}

/* From symbol to symbol, for whoever wants to put something there. */
static void
add_region (DwnGear *gear, const Cable *cable)
{
  double u = gear->u, x0 = cable->from->x + cable->from->half_width,
         x1 = cable->to->x - cable->to->half_width, top = fmin (cable->y0, cable->y1);
  const DwnRegion region = {
    .kind = DWN_REGION_CABLE, .id = cable->edge->id,
    .bounds = { x0, top - LENGTH_ABOVE * u, fmax (x1 - x0, u),
                fabs (cable->y0 - cable->y1) + 2 * LENGTH_ABOVE * u },
    .tab_order = -1,
  };

  dwn_builder_region (gear->builder, &region);
}

void
dwn_gear_draw_cables (DwnGear *gear)
{
  for (guint e = 0; e < gear->data->n_edges; e++)
    {
      Cable cable = route (gear, &gear->data->edges[e]);

      if (cable.to->n_stacked == 0)
        continue;
      draw_cable (gear, &cable);
      draw_length (gear, &cable);
      if (cable.edge->dc != 0)
        draw_dc (gear, &cable);
      /* Where the direct current would run, clear of the length above. */
      dwn_gear_draw_fault (gear, cable.edge->fault, (cable.turn + cable.to->x - cable.to->half_width) / 2,
                           cable.y1 + DC_BELOW * gear->u);
      add_region (gear, &cable);
    }
}
