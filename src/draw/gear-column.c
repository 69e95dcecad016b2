/* The gear chain down the page: as a branching line on the left, a row a part. */
#include <math.h>
#include <string.h>

#include "draw/gear-private.h"

/* All in u. */
#define MARGIN 1.0
#define TITLE_HEIGHT 46.0
#define HEADING_HEIGHT 36.0 /* over the figures */
#define FIRST_LANE 25.0
#define LANE 27.0
#define WORDS_GAP 20.0      /* from the last lane */
#define FIGURE 48.0         /* a column of figures */
#define LAST_FIGURE 62.0
#define FIGURE_LINE 19.0    /* where figures stand under the name */
#define NAME_ROOM 108.0     /* what a name needs beside figures */
#define BOUNDARY_GAP 22.0   /* where the mast ends */
#define BOUNDARY_ABOVE 5.0  /* its line, over the row */
#define LINE 15.0           /* a line of small type */
#define ROW_PAD 9.0         /* over and under a row */
#define NAME_LINE 18.0
#define LEAST_ROW 34.0      /* a symbol with its outline */
#define FRAME 2.0           /* a region ends before the next */

#define SYMBOL_SCALE 0.62
#define MOST_LANES 16

/* A part in its row. */
typedef struct {
  guint node;
  guint lane;
  double top, height;
  const DwnGearColumn *figures; /* NULL: none */
  const char *weakest;          /* NULL: as in the row above */
  char *cable;                  /* what leads here; NULL: nothing to say */
} Row;

/* A cable on its way down: from its part into lane @lane, and down to where it ends. */
typedef struct {
  guint lane;
} Way;

typedef struct {
  DwnGear gear;
  Row *rows;          /* in the order of the page */
  guint n_rows;
  guint *row_of_node;
  Way *ways;          /* by edge */
  guint n_lanes;
  gboolean figures_below; /* the name */
} Column;

/* Order ---------------------------------------------------------------------------------------- */

static gboolean
is_placed (const Column *self, guint node)
{
  return self->row_of_node[node] != G_MAXUINT;
}

static gboolean
is_ready (const Column *self, guint node)
{
  const DwnGearDrawing *data = self->gear.data;

  for (guint e = 0; e < data->n_edges; e++)
    if (data->edges[e].to == node && !is_placed (self, data->edges[e].from))
      return FALSE;
  return TRUE;
}

/* A part, and then at once what it feeds: branches stay together. */
static void
place_node (Column *self, guint node)
{
  const DwnGearDrawing *data = self->gear.data;

  if (is_placed (self, node) || !is_ready (self, node))
    return;
  self->row_of_node[node] = self->n_rows;
  self->rows[self->n_rows++].node = node;
  for (guint e = 0; e < data->n_edges; e++)
    if (data->edges[e].from == node)
      place_node (self, data->edges[e].to);
}

static gboolean
is_source (const DwnGearDrawing *data, guint node)
{
  for (guint e = 0; e < data->n_edges; e++)
    if (data->edges[e].to == node)
      return FALSE;
  return TRUE;
}

/* FALSE where the graph has a cycle. */
static gboolean
place_rows (Column *self)
{
  const DwnGearDrawing *data = self->gear.data;

  for (guint i = 0; i < data->n_nodes; i++)
    self->row_of_node[i] = G_MAXUINT;
  for (guint i = 0; i < data->n_nodes; i++)
    if (is_source (data, i))
      place_node (self, i);
  return self->n_rows == data->n_nodes;
}

/* Lanes ---------------------------------------------------------------------------------------- */

static guint
free_lane (const int *taken)
{
  guint lane = 0;

  while (lane + 1 < MOST_LANES && taken[lane] >= 0)
    lane++;
  return lane;
}

/* The leftmost lane that leads to the row, which ends all of them; a free one where none does. */
static guint
arrive (Column *self, guint node, int *taken)
{
  const DwnGearDrawing *data = self->gear.data;
  guint lane = MOST_LANES;

  for (guint l = 0; l < MOST_LANES; l++)
    if (taken[l] >= 0 && data->edges[taken[l]].to == node)
      {
        lane = MIN (lane, l);
        taken[l] = -1;
      }
  return lane < MOST_LANES ? lane : free_lane (taken);
}

static void
place_lanes (Column *self)
{
  const DwnGearDrawing *data = self->gear.data;
  int taken[MOST_LANES];

  memset (taken, -1, sizeof taken);
  for (guint r = 0; r < self->n_rows; r++)
    {
      guint lane = self->rows[r].lane = arrive (self, self->rows[r].node, taken);

      self->n_lanes = MAX (self->n_lanes, lane + 1);
      for (guint e = 0; e < data->n_edges; e++)
        if (data->edges[e].from == self->rows[r].node)
          {
            guint way = taken[lane] < 0 ? lane : free_lane (taken);
            taken[way] = (int) e;
            self->ways[e].lane = way;
            self->n_lanes = MAX (self->n_lanes, way + 1);
          }
    }
}

/* Words ---------------------------------------------------------------------------------------- */

static const DwnGearColumn *
figures_of (const DwnGearDrawing *data, guint node)
{
  for (guint c = 0; c < data->n_columns + data->n_aside; c++)
    if (data->columns[c].node == node)
      return &data->columns[c];
  return NULL;
}

/* "14 m · 5 V DC ↑" */
static char *
cable_words (const DwnGearDrawing *data, guint node)
{
  GString *words = g_string_new (data->nodes[node].symbol == DWN_GEAR_OUTLET ? data->nodes[node].detail : NULL);

  for (guint e = 0; e < data->n_edges; e++)
    {
      const DwnGearEdge *edge = &data->edges[e];

      if (edge->to != node)
        continue;
      if (edge->length != NULL)
        g_string_append_printf (words, "%s%s", words->len > 0 ? " · " : "", edge->length);
      if (edge->dc != 0)
        g_string_append_printf (words, "%s%s %s", words->len > 0 ? " · " : "",
                                edge->dc_text != NULL ? edge->dc_text : "", edge->dc > 0 ? "↓" : "↑");
    }
  return g_string_free (words, words->len == 0);
}

static guint
lines_below (const Column *self, const Row *row)
{
  return (row->weakest != NULL) + (self->gear.data->nodes[row->node].mains != NULL);
}

static double
lane_x (const Column *self, guint lane)
{
  double pitch = fmin (LANE, LANE * 5 / MAX (self->n_lanes, 1u));

  return (FIRST_LANE + pitch * lane) * self->gear.u;
}

static double
words_x (const Column *self)
{
  return lane_x (self, self->n_lanes - 1) + WORDS_GAP * self->gear.u;
}

/* Between the first letter and the figures. */
static double
name_room (const Column *self)
{
  guint n = self->gear.data->n_rows;
  double figures = n > 0 ? LAST_FIGURE + (n - 1) * FIGURE : 0;

  return self->gear.width - words_x (self) - (self->figures_below ? MARGIN : figures) * self->gear.u;
}

/* The first row indoors, where all above hang on the mast and all from there on are indoors; 0: no
 * line parts them. */
static guint
find_boundary (const Column *self)
{
  const DwnGearDrawing *data = self->gear.data;
  guint first = 0;

  while (first < self->n_rows && !data->nodes[self->rows[first].node].indoors)
    first++;
  for (guint r = first; r < self->n_rows; r++)
    if (!data->nodes[self->rows[r].node].indoors)
      return 0;
  return data->on_mast != NULL && first < self->n_rows ? first : 0;
}

/* Room for figures under the name, in u. */
static double
below_name (const Column *self, const Row *row)
{
  return self->figures_below && row->figures != NULL ? FIGURE_LINE : 0;
}

static void
fill_rows (Column *self)
{
  const DwnGearDrawing *data = self->gear.data;
  double u = self->gear.u, y = (TITLE_HEIGHT + (data->n_columns > 0 ? HEADING_HEIGHT : 0)) * u;
  const char *weakest = NULL;
  guint boundary = find_boundary (self);

  for (guint r = 0; r < self->n_rows; r++)
    {
      Row *row = &self->rows[r];

      if (boundary > 0 && r == boundary)
        y += BOUNDARY_GAP * u;

      row->figures = figures_of (data, row->node);
      row->cable = cable_words (data, row->node);
      if (row->figures != NULL && row->figures->span != NULL
          && g_strcmp0 (row->figures->span, weakest) != 0)
        row->weakest = weakest = row->figures->span;
      row->top = y;
      row->height = fmax (LEAST_ROW, 2 * ROW_PAD + NAME_LINE + below_name (self, row)
                                     + LINE * ((row->cable != NULL) + lines_below (self, row))) * u;
      y += row->height;
    }
  self->gear.height = y + MARGIN * u;
}

/* Drawing -------------------------------------------------------------------------------------- */

/* The line of the name, which the symbol stands beside. */
static double
name_y (const Column *self, const Row *row)
{
  return row->top + (ROW_PAD + (row->cable != NULL ? LINE : 0) + NAME_LINE / 2) * self->gear.u;
}

static void
place_parts (Column *self)
{
  for (guint r = 0; r < self->n_rows; r++)
    {
      const Row *row = &self->rows[r];
      DwnGearPart *part = &self->gear.parts[row->node];

      part->x = lane_x (self, row->lane);
      part->y = name_y (self, row);
      dwn_gear_measure_part (&self->gear, part, LEAST_ROW * self->gear.u);
    }
}

static void
draw_way (Column *self, guint e)
{
  DwnGear *gear = &self->gear;
  const DwnGearEdge *edge = &gear->data->edges[e];
  const DwnGearPart *from = &gear->parts[edge->from], *to = &gear->parts[edge->to];
  cairo_t *cr = dwn_builder_path (gear->builder);
  double x = lane_x (self, self->ways[e].lane), out = from->y + from->half_height, in = to->y - to->half_height;
  DwnInk ink = dwn_ink_stroke (gear->look.foreground, DWN_LINE_CABLE * gear->u);

  cairo_move_to (cr, from->x, from->y);
  if (fabs (x - from->x) > 0.1)
    {
      cairo_line_to (cr, from->x, out + 5 * gear->u);
      cairo_line_to (cr, x, out + 5 * gear->u);
    }
  if (fabs (x - to->x) > 0.1)
    {
      cairo_line_to (cr, x, in - 5 * gear->u);
      cairo_line_to (cr, to->x, in - 5 * gear->u);
    }
  cairo_line_to (cr, to->x, to->y);
  dwn_builder_draw (gear->builder, &ink);
}

/* A second, dashed line beside the cable, with an arrowhead toward what is fed. */
static void
draw_dc (Column *self, guint e)
{
  DwnGear *gear = &self->gear;
  const DwnGearEdge *edge = &gear->data->edges[e];
  const DwnGearPart *from = &gear->parts[edge->from], *to = &gear->parts[edge->to];
  DwnColour orange = dwn_look_orange (&gear->look);
  double u = gear->u, x = lane_x (self, self->ways[e].lane) + 5.5 * u, middle;
  double top = from->y + from->half_height + 2 * u, bottom = to->y - to->half_height - 2 * u;
  DwnInk line = { .stroke = orange, .width = DWN_LINE_CABLE * u, .dash = 5 * u, .gap = 3 * u };
  DwnInk head = dwn_ink_fill (orange);
  cairo_t *cr = dwn_builder_path (gear->builder);

  cairo_move_to (cr, x, bottom);
  cairo_line_to (cr, x, top);
  dwn_builder_draw (gear->builder, &line);
  middle = (top + bottom) / 2;
  cairo_move_to (cr, x, middle + (edge->dc > 0 ? 5 : -5) * u);
  cairo_line_to (cr, x - 3.4 * u, middle + (edge->dc > 0 ? -3 : 3) * u);
  cairo_line_to (cr, x + 3.4 * u, middle + (edge->dc > 0 ? -3 : 3) * u);
  cairo_close_path (cr);
  dwn_builder_draw (gear->builder, &head);
}

static void
add_cable_region (Column *self, guint e)
{
  DwnGear *gear = &self->gear;
  const DwnGearEdge *edge = &gear->data->edges[e];
  double top = gear->parts[edge->from].y, bottom = gear->parts[edge->to].y;
  const DwnRegion region = {
    .kind = DWN_REGION_CABLE, .id = edge->id, .tab_order = -1,
    .bounds = { lane_x (self, self->ways[e].lane) - 6 * gear->u, top, 12 * gear->u, bottom - top },
  };

  dwn_builder_region (gear->builder, &region);
}

static void
draw_cables (Column *self)
{
  for (guint e = 0; e < self->gear.data->n_edges; e++)
    {
      const DwnGearEdge *edge = &self->gear.data->edges[e];
      const DwnGearPart *from = &self->gear.parts[edge->from], *to = &self->gear.parts[edge->to];

      draw_way (self, e);
      if (edge->dc != 0)
        draw_dc (self, e);
      dwn_gear_draw_fault (&self->gear, edge->fault, lane_x (self, self->ways[e].lane),
                           (from->y + from->half_height + to->y - to->half_height) / 2);
      add_cable_region (self, e);
    }
}

static void
write_line (Column *self, const char *text, double y, DwnColour colour)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = colour };

  if (text != NULL)
    dwn_builder_text (self->gear.builder, text, &style, words_x (self), y + 4 * self->gear.u, 0);
}

static void
draw_words (Column *self, const Row *row)
{
  DwnGear *gear = &self->gear;
  const DwnGearNode *node = &gear->data->nodes[row->node];
  double u = gear->u, y = name_y (self, row);
  DwnTextStyle name = { .size = DWN_SIZE_SMALL, .bold = !node->small,
                        .colour = node->small ? dwn_look_quiet (&gear->look) : gear->look.foreground };

  g_auto (DwnText) text = dwn_builder_set_text (gear->builder, node->name, &name);

  pango_layout_set_width (text.layout, (int) (fmax (name_room (self), u) * PANGO_SCALE));
  pango_layout_set_ellipsize (text.layout, PANGO_ELLIPSIZE_END);
  write_line (self, row->cable, y - (NAME_LINE / 2 + LINE / 2) * u, dwn_look_quiet (&gear->look));
  dwn_builder_add_text (gear->builder, &text, &name, words_x (self), y + 4 * u, 0);
  y += (NAME_LINE / 2 + below_name (self, row) + LINE / 2) * u;
  if (row->weakest != NULL)
    {
      g_autofree char *weakest = g_strdup_printf ("%s: %s", gear->data->spans, row->weakest);
      write_line (self, weakest, y, dwn_look_quiet (&gear->look));
      y += LINE * u;
    }
  write_line (self, node->mains, y, dwn_look_orange (&gear->look));
}

static double
figure_x (const Column *self, guint r)
{
  guint from_right = self->gear.data->n_rows - 1 - r;
  double before = from_right > 0 ? LAST_FIGURE + (from_right - 1) * FIGURE : 0;

  return self->gear.width - (MARGIN + before) * self->gear.u;
}

static void
draw_figures (Column *self, const Row *row)
{
  const DwnGearDrawing *data = self->gear.data;

  for (guint r = 0; row->figures != NULL && r < data->n_rows; r++)
    {
      gboolean small = data->nodes[row->node].small;
      DwnTextStyle style = { .size = small ? DWN_SIZE_SMALL : DWN_SIZE_BASE, .bold = row->figures->last,
                             .colour = small ? dwn_look_quiet (&self->gear.look) : self->gear.look.foreground };

      dwn_builder_text (self->gear.builder, row->figures->figures[r], &style, figure_x (self, r),
                        name_y (self, row) + (below_name (self, row) + 5) * self->gear.u, 1);
    }
}

static void
add_region (Column *self, const Row *row)
{
  const DwnGearNode *node = &self->gear.data->nodes[row->node];
  gboolean outlet = node->symbol == DWN_GEAR_OUTLET;
  double u = self->gear.u;
  const DwnRegion region = {
    .kind = outlet ? DWN_REGION_OUTLET : DWN_REGION_PART, .id = node->id,
    .bounds = { 0, row->top + FRAME * u, self->gear.width, row->height - 2 * FRAME * u },
    .tab_order = (int) (row - self->rows), .value = 1,
  };

  dwn_builder_region (self->gear.builder, &region);
}

static void
draw_row (Column *self, const Row *row)
{
  DwnGear *gear = &self->gear;
  const DwnGearPart *part = &gear->parts[row->node];

  dwn_gear_draw_symbol (gear, part);
  dwn_gear_draw_fault (gear, part->node->fault, part->x + part->half_width, part->y + part->half_height);
  draw_words (self, row);
  draw_figures (self, row);
  add_region (self, row);
}

static void
draw_boundary (Column *self)
{
  const DwnGearDrawing *data = self->gear.data;
  double u = self->gear.u, y;
  guint first = find_boundary (self);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&self->gear.look) };
  DwnInk dots = dwn_ink_stroke (dwn_colour_alpha (self->gear.look.foreground, 0.55), DWN_LINE_RIM * u);
  cairo_t *cr = dwn_builder_path (self->gear.builder);

  if (first == 0)
    return;
  y = self->rows[first].top - BOUNDARY_ABOVE * u;
  dots.dash = 1.5 * u;
  dots.gap = 3 * u;
  cairo_move_to (cr, words_x (self), y);
  cairo_line_to (cr, self->gear.width - MARGIN * u, y);
  dwn_builder_draw (self->gear.builder, &dots);
  dwn_builder_text (self->gear.builder, data->on_mast, &style, self->gear.width - MARGIN * u, y - 5 * u, 1);
  dwn_builder_text (self->gear.builder, data->indoors, &style, self->gear.width - MARGIN * u, y + 13 * u, 1);
}

static void
draw_head (Column *self)
{
  const DwnGearDrawing *data = self->gear.data;
  double u = self->gear.u, rule = (TITLE_HEIGHT + HEADING_HEIGHT - 4) * u;
  DwnTextStyle title = { .size = DWN_SIZE_TITLE, .bold = TRUE, .colour = self->gear.look.foreground };
  DwnTextStyle note = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&self->gear.look) };

  if (data->title != NULL)
    dwn_builder_text (self->gear.builder, data->title, &title, MARGIN * u, 18 * u, 0);
  if (data->note != NULL)
    dwn_builder_text (self->gear.builder, data->note, &note, MARGIN * u, 36 * u, 0);
  if (data->n_columns == 0)
    return;
  for (guint r = 0; r < data->n_rows; r++)
    {
      g_autoptr (GString) words = g_string_new (data->rows[r]);
      g_string_replace (words, ", ", "\n", 1); /* the unit under the name */
      g_auto (DwnText) heading = dwn_builder_set_text (self->gear.builder, words->str, &note);
      double up = heading.height - heading.baseline;

      pango_layout_set_alignment (heading.layout, PANGO_ALIGN_RIGHT);
      dwn_builder_add_text (self->gear.builder, &heading, &note, figure_x (self, r), rule - up - 2 * u, 1);
    }
  dwn_builder_line (self->gear.builder, MARGIN * u, rule, self->gear.width - MARGIN * u, rule,
                    dwn_colour_alpha (self->gear.look.foreground, 0.3), DWN_LINE_HAIR * u);
}

/* Layout --------------------------------------------------------------------------------------- */

static void
column_clear (Column *self)
{
  for (guint r = 0; r < self->n_rows; r++)
    g_free (self->rows[r].cable);
  g_free (self->rows);
  g_free (self->row_of_node);
  g_free (self->ways);
  g_free (self->gear.parts);
}

static gboolean
is_sane (const DwnGearDrawing *data)
{
  for (guint e = 0; e < data->n_edges; e++)
    if (data->edges[e].from >= data->n_nodes || data->edges[e].to >= data->n_nodes)
      return FALSE;
  return data->n_nodes > 0;
}

static gboolean
column_init (Column *self, const DwnGearDrawing *data, const DwnLook *look, double width)
{
  *self = (Column) { .gear = { .data = data, .look = *look, .u = dwn_look_unit (look), .scale = SYMBOL_SCALE,
                               .width = width, .two_lines = TRUE, .downward = TRUE } };
  self->rows = g_new0 (Row, data->n_nodes);
  self->row_of_node = g_new (guint, data->n_nodes);
  self->ways = g_new0 (Way, data->n_edges + 1);
  self->gear.parts = g_new0 (DwnGearPart, data->n_nodes);
  for (guint i = 0; i < data->n_nodes; i++)
    {
      self->gear.parts[i].node = &data->nodes[i];
      self->gear.parts[i].n_stacked = 1;
      self->gear.parts[i].last_stacked = i;
    }
  if (!place_rows (self))
    return FALSE;
  place_lanes (self);
  self->figures_below = name_room (self) < NAME_ROOM * self->gear.u;
  fill_rows (self);
  return TRUE;
}

DwnScene *
dwn_gear_column_layout (const DwnGearDrawing *data, const DwnLook *look, PangoContext *text, double width)
{
  g_return_val_if_fail (data != NULL && look != NULL && width > 0, NULL);
  g_return_val_if_fail (PANGO_IS_CONTEXT (text), NULL);
  g_return_val_if_fail (is_sane (data), NULL);

  Column self;
  gboolean acyclic = column_init (&self, data, look, width);

  if (!acyclic)
    column_clear (&self);
  g_return_val_if_fail (acyclic, NULL);
  self.gear.builder = dwn_builder_new (look, text, width, self.gear.height);
  place_parts (&self);
  draw_head (&self);
  draw_boundary (&self);
  draw_cables (&self);
  for (guint r = 0; r < self.n_rows; r++)
    draw_row (&self, &self.rows[r]);
  column_clear (&self);
  return dwn_builder_finish (self.gear.builder);
}

double
dwn_gear_column_height (const DwnGearDrawing *data, const DwnLook *look, double width)
{
  g_return_val_if_fail (data != NULL && look != NULL, (double) NAN);

  Column self;
  double height = 0;

  if (!is_sane (data))
    return 0;
  if (column_init (&self, data, look, width))
    height = self.gear.height;
  column_clear (&self);
  return height;
}
