#include "draw/gear.h"

#include <math.h>
#include <stdlib.h>

#include "draw/gear-private.h"

/* All in u. */
#define MARGIN 1.0 /* antialiasing stays on the page */
#define TITLE_HEIGHT 34.0
#define BOUNDARY_HEIGHT 20.0
#define FIRST_COLUMN 62.0   /* half an antenna and its name */
#define LAST_COLUMN 84.0    /* an outlet and its name */
#define SYMBOL_AND_GAP 21.0 /* of an outlet, to the right of its middle */
#define ANTENNA_GAP 1.5      /* the gap behind antennas, in gaps */
#define SMALL_GAP 0.55       /* beside a column of marks on the cable */
#define LEAST_PITCH 58.0
#define COMFORTABLE_PITCH 96.0
#define ROW_TWO_LINES 32.0
#define ROW_ONE_LINE 15.0
#define PART_ROW 84.0       /* a part with its name and a plug below */
#define NAME_ROW 25.0       /* between two parts of one column */
#define ANTENNA_ROW 62.0
#define TWO_LINE_NAME 34.0  /* over a part */
#define MARK_ROW 16.0       /* between two marks on cables */
#define DC_TEXT 16.0        /* under a cable */
#define PLUG 56.0           /* under what the mains feed */
#define STRIP_ROW 21.0
#define STRIP_TITLE 22.0
#define SPAN_ROW 24.0
#define SUMMARY 30.0
#define STRIP_FIRST 86.0    /* names of the rows */
#define STRIP_PITCH 54.0

#define RELAXATIONS 60

static gboolean
is_outlet (const DwnGearPart *part)
{
  return part->node->symbol == DWN_GEAR_OUTLET;
}

static gboolean
is_antenna (const DwnGearPart *part)
{
  return part->node->symbol <= DWN_GEAR_DIPOLE;
}

/* Graph -------------------------------------------------------------------------------------- */

/* Column = longest way from a source. FALSE where the graph has a cycle. */
static gboolean
assign_columns (DwnGear *gear)
{
  const DwnGearDrawing *data = gear->data;
  gboolean changed = TRUE;

  for (guint round = 0; changed && round <= data->n_nodes; round++)
    {
      changed = FALSE;
      for (guint e = 0; e < data->n_edges; e++)
        {
          guint least = gear->parts[data->edges[e].from].column + 1;

          if (gear->parts[data->edges[e].to].column < least)
            {
              gear->parts[data->edges[e].to].column = least;
              changed = TRUE;
            }
        }
    }
  return !changed;
}

/* Antennas, and marks on a cable, which belong to what comes next. */
static gboolean
stands_late (const DwnGearPart *part)
{
  return is_antenna (part) || part->node->small;
}

/* Right before the nearest of what it feeds. */
static void
move_late (DwnGear *gear, guint i)
{
  guint nearest = G_MAXUINT;

  for (guint e = 0; e < gear->data->n_edges; e++)
    if (gear->data->edges[e].from == i)
      nearest = MIN (nearest, gear->parts[gear->data->edges[e].to].column);
  if (nearest != G_MAXUINT && nearest > 0)
    gear->parts[i].column = nearest - 1;
}

/* All outlets in the last column, and what stands late right before what it feeds: from the
 * outlets backwards, so often that the longest row of marks has settled. */
static void
tidy_columns (DwnGear *gear)
{
  const DwnGearDrawing *data = gear->data;

  for (guint i = 0; i < data->n_nodes; i++)
    gear->n_columns = MAX (gear->n_columns, gear->parts[i].column + 1);
  for (guint i = 0; i < data->n_nodes; i++)
    if (is_outlet (&gear->parts[i]))
      gear->parts[i].column = gear->n_columns - 1;
  for (guint round = 0; round < gear->n_columns; round++)
    for (guint i = 0; i < data->n_nodes; i++)
      if (stands_late (&gear->parts[i]))
        move_late (gear, i);
}

static int
parent_of (const DwnGear *gear, guint node)
{
  for (guint e = 0; e < gear->data->n_edges; e++)
    if (gear->data->edges[e].to == node)
      return (int) gear->data->edges[e].from;
  return -1;
}

/* Outlets with the same part before them become one, from the first of them. */
static void
stack_outlets (DwnGear *gear)
{
  for (guint i = 0; i < gear->data->n_nodes; i++)
    for (guint k = 0; is_outlet (&gear->parts[i]) && k < i; k++)
      if (is_outlet (&gear->parts[k]) && gear->parts[k].n_stacked > 0
          && parent_of (gear, i) == parent_of (gear, k))
        {
          gear->parts[k].n_stacked++;
          gear->parts[k].last_stacked = i;
          gear->parts[i].n_stacked = 0;
          break;
        }
}

static guint
count_outlets (const DwnGear *gear)
{
  guint n = 0;

  for (guint i = 0; i < gear->data->n_nodes; i++)
    n += is_outlet (&gear->parts[i]) && gear->parts[i].n_stacked > 0;
  return n;
}

static void
count_edges (DwnGear *gear)
{
  for (guint e = 0; e < gear->data->n_edges; e++)
    if (gear->parts[gear->data->edges[e].to].n_stacked > 0)
      {
        gear->parts[gear->data->edges[e].from].n_out++;
        gear->parts[gear->data->edges[e].to].n_in++;
      }
}

/* Places ------------------------------------------------------------------------------------- */

static double
strip_height (const DwnGearDrawing *data, double u)
{
  double rows = data->n_rows > 0 && data->n_columns > 0 ? STRIP_TITLE + data->n_rows * STRIP_ROW
                                                        : 0;

  if (rows > 0 && data->spans != NULL)
    rows += SPAN_ROW;
  return (rows + (data->summary != NULL ? SUMMARY : 0)) * u;
}

static double
head_height (const DwnGearDrawing *data, double u)
{
  return ((data->title != NULL || data->note != NULL ? TITLE_HEIGHT : 0)
          + (data->on_mast != NULL ? BOUNDARY_HEIGHT : 0)) * u;
}

/* What stands to the right of the outlets' symbols. */
static double
widest_outlet (DwnGear *gear)
{
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE }, plain = { .size = DWN_SIZE_SMALL };
  double widest = 0;

  for (guint i = 0; i < gear->data->n_nodes; i++)
    {
      const DwnGearNode *node = &gear->data->nodes[i];

      if (node->symbol != DWN_GEAR_OUTLET)
        continue;

      g_auto (DwnText) name = dwn_builder_set_text (gear->builder, node->name, &bold);
      g_auto (DwnText) detail = dwn_builder_set_text (gear->builder, node->detail, &plain);

      widest = fmax (widest, gear->two_lines ? fmax (name.width, detail.width)
                                             : name.width + detail.width + 5 * gear->u);
    }
  return widest + SYMBOL_AND_GAP * gear->u;
}

static gboolean
has_antenna (const DwnGear *gear, guint column)
{
  for (guint i = 0; i < gear->data->n_nodes; i++)
    if (gear->parts[i].column == column && is_antenna (&gear->parts[i]))
      return TRUE;
  return FALSE;
}

static gboolean
is_all_small (const DwnGear *gear, guint column)
{
  for (guint i = 0; i < gear->data->n_nodes; i++)
    if (gear->parts[i].column == column && !gear->parts[i].node->small)
      return FALSE;
  return TRUE;
}

/* Distance of @column from the first, in gaps: those behind antennas are wider, those beside marks
 * narrower. */
static double
gaps_before (const DwnGear *gear, guint column)
{
  double gaps = 0;

  for (guint c = 0; c < column; c++)
    {
      gboolean small = is_all_small (gear, c) || is_all_small (gear, c + 1);

      gaps += small ? SMALL_GAP : 1;
      if (has_antenna (gear, c))
        gaps += small ? ANTENNA_GAP - SMALL_GAP - 0.2 : ANTENNA_GAP - 1;
    }
  return gaps;
}

static void
place_columns (DwnGear *gear)
{
  gear->left = (MARGIN + FIRST_COLUMN) * gear->u;
  gear->right = fmax (gear->width - MARGIN * gear->u - widest_outlet (gear), gear->left + gear->u);
  gear->pitch = (gear->right - gear->left) / fmax (gaps_before (gear, gear->n_columns - 1), 1);
  gear->scale = CLAMP (gear->pitch / (COMFORTABLE_PITCH * gear->u), 0.5, 1.0);
  for (guint i = 0; i < gear->data->n_nodes; i++)
    gear->parts[i].x = gear->n_columns > 1
                         ? gear->left + gaps_before (gear, gear->parts[i].column) * gear->pitch
                         : (gear->left + gear->right) / 2;
}

/* What each part of a column with many of them may take of its height. */
static double
row_height (const DwnGear *gear, guint column)
{
  guint n = 0;

  for (guint i = 0; i < gear->data->n_nodes; i++)
    n += gear->parts[i].column == column && gear->parts[i].n_stacked > 0;
  return (gear->bottom - gear->top) / MAX (n, 1u);
}

/* What stands under a part, and what over it, that others keep clear of. */
static double
room_below (const DwnGear *gear, const DwnGearPart *part)
{
  guint node = (guint) (part - gear->parts);

  if (is_antenna (part))
    return ANTENNA_ROW - TWO_LINE_NAME;
  if (part->node->mains != NULL)
    return PLUG;
  for (guint e = 0; e < gear->data->n_edges; e++)
    if (gear->data->edges[e].dc != 0 && (gear->data->edges[e].from == node || gear->data->edges[e].to == node))
      return DC_TEXT;
  return 0;
}

static double
room_above (const DwnGearPart *part)
{
  return part->node->small ? MARK_ROW : TWO_LINE_NAME;
}

/* How far apart two parts of one column must stand. */
static double
separation (const DwnGear *gear, const DwnGearPart *above, const DwnGearPart *below)
{
  double row = (gear->two_lines ? ROW_TWO_LINES : ROW_ONE_LINE) * gear->u;
  guint n = count_outlets (gear);

  if (is_outlet (above) && is_outlet (below))
    return n > 1 ? fmax (fmin (ROW_TWO_LINES * 2.8 * gear->u,
                               (gear->bottom - gear->top - row) / (n - 1)),
                         row)
                 : row;
  return above->half_height + below->half_height + (room_below (gear, above) + room_above (below)) * gear->u;
}

/* Mean y of the neighbours on both sides; the part's own where it has none. */
static double
wished_y (const DwnGear *gear, guint node, gboolean from_left, gboolean from_right)
{
  const DwnGearDrawing *data = gear->data;
  double sum = 0;
  guint n = 0;

  for (guint e = 0; e < data->n_edges; e++)
    {
      guint from = data->edges[e].from, to = data->edges[e].to;

      if (to == node && from_left)
        {
          sum += gear->parts[from].y;
          n++;
        }
      if (from == node && from_right && gear->parts[to].n_stacked > 0)
        {
          sum += gear->parts[to].y;
          n++;
        }
    }
  return n > 0 ? sum / n : gear->parts[node].y;
}

typedef struct {
  double y;
  guint node;
  double down, up; /* where it comes to lie, pushed from above and from below */
} Wish;

static int
compare_wishes (gconstpointer a, gconstpointer b)
{
  const Wish *left = a, *right = b;

  if (fabs (left->y - right->y) > 1e-6)
    return left->y < right->y ? -1 : 1;
  return (left->node > right->node) - (left->node < right->node);
}

/* Pushes parts of one column apart, from the top down and back up from the bottom, and centres
 * the pushing: what wished for the same place shares it out evenly. */
static void
push_apart (DwnGear *gear, Wish *wishes, guint n)
{
  for (guint i = 0; i < n; i++)
    {
      double y = wishes[i].y;

      wishes[i].down = i == 0 ? y
                              : fmax (y, wishes[i - 1].down
                                             + separation (gear, &gear->parts[wishes[i - 1].node],
                                                           &gear->parts[wishes[i].node]));
    }
  for (guint i = n; i-- > 0;)
    {
      double y = wishes[i].y;

      wishes[i].up = i == n - 1 ? y
                                : fmin (y, wishes[i + 1].up
                                               - separation (gear, &gear->parts[wishes[i].node],
                                                             &gear->parts[wishes[i + 1].node]));
    }
  for (guint i = 0; i < n; i++)
    gear->parts[wishes[i].node].y = (wishes[i].down + wishes[i].up) / 2;
}

/* @wishes: room for one a node. */
static void
relax_column (DwnGear *gear, Wish *wishes, guint column, gboolean from_left, gboolean from_right)
{
  guint n = 0;

  for (guint i = 0; i < gear->data->n_nodes; i++)
    if (gear->parts[i].column == column && gear->parts[i].n_stacked > 0)
      wishes[n++] = (Wish) { .y = wished_y (gear, i, from_left, from_right), .node = i };
  qsort (wishes, n, sizeof *wishes, compare_wishes);
  push_apart (gear, wishes, n);
}

/* Moves everything so that it lies in the middle of the room, squeezed where it is too tall. */
static void
fit_rows (DwnGear *gear)
{
  double least = INFINITY, most = -INFINITY, room = gear->bottom - gear->top, squeeze;

  for (guint i = 0; i < gear->data->n_nodes; i++)
    if (gear->parts[i].n_stacked > 0)
      {
        double half = is_outlet (&gear->parts[i]) ? (gear->two_lines ? 14 : 7) * gear->u
                                                  : gear->parts[i].half_height + 18 * gear->u;

        least = fmin (least, gear->parts[i].y - half);
        most = fmax (most, gear->parts[i].y + half);
      }
  squeeze = fmin (1, room / (most - least));
  for (guint i = 0; i < gear->data->n_nodes; i++)
    gear->parts[i].y = gear->top + room / 2 + (gear->parts[i].y - (least + most) / 2) * squeeze;
}

/* Outlets first, in the order of the nodes; then every part goes to the middle of what it feeds,
 * then of what feeds it, until lines are as straight as they get. */
static void
place_rows (DwnGear *gear)
{
  g_autofree Wish *wishes = g_new (Wish, gear->data->n_nodes);

  for (guint i = 0; i < gear->data->n_nodes; i++)
    gear->parts[i].y = i * 1e-3;
  for (guint round = 0; round < RELAXATIONS; round++)
    {
      for (guint c = 0; c < gear->n_columns; c++)
        relax_column (gear, wishes, c, TRUE, round > 0);
      for (guint c = gear->n_columns; c-- > 0;)
        relax_column (gear, wishes, c, FALSE, TRUE);
    }
  fit_rows (gear);
}

/* Strip -------------------------------------------------------------------------------------- */

typedef struct {
  double x;
  guint column;
} StripPlace;

static int
compare_places (gconstpointer a, gconstpointer b)
{
  const StripPlace *left = a, *right = b;

  if (fabs (left->x - right->x) > 1e-6)
    return left->x < right->x ? -1 : 1;
  return (left->column > right->column) - (left->column < right->column);
}

/* Under its part where there is room, otherwise as near as the neighbours let it. */
static StripPlace *
place_strip (const DwnGear *gear)
{
  guint n = gear->data->n_columns;
  StripPlace *places = g_new (StripPlace, n + 1);
  double first = (STRIP_FIRST + 34) * gear->u, last = gear->width - (MARGIN + 22) * gear->u;
  double pitch = n > 1 ? fmin (STRIP_PITCH * gear->u, (last - first) / (n - 1)) : 0;

  for (guint i = 0; i < n; i++)
    places[i] = (StripPlace) { gear->parts[gear->data->columns[i].node].x, i };
  qsort (places, n, sizeof *places, compare_places);
  for (guint i = 0; i < n; i++)
    places[i].x = fmax (places[i].x, i == 0 ? first : places[i - 1].x + pitch);
  for (guint i = n; i-- > 0;)
    places[i].x = fmin (places[i].x, i == n - 1 ? last : places[i + 1].x - pitch);
  return places;
}

static void
draw_strip_rows (DwnGear *gear, const StripPlace *places, double top)
{
  const DwnGearDrawing *data = gear->data;
  double u = gear->u, y = top + (STRIP_TITLE + 15) * u;

  for (guint r = 0; r < data->n_rows; r++, y += STRIP_ROW * u)
    {
      DwnTextStyle name = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };

      dwn_builder_text (gear->builder, data->rows[r], &name, MARGIN * u, y, 0);
      for (guint i = 0; i < data->n_columns; i++)
        {
          const DwnGearColumn *column = &data->columns[places[i].column];
          DwnTextStyle figure = { .size = DWN_SIZE_BASE,
                                  .bold = column->last,
                                  .colour = gear->look.foreground };

          dwn_builder_text (gear->builder, column->figures[r], &figure, places[i].x + 20 * u, y, 1);
        }
    }
}

/* One name over all the columns that share it, between small ends. */
static void
draw_span (DwnGear *gear, const StripPlace *places, guint first, guint last, double y)
{
  double u = gear->u, x0 = places[first].x - 20 * u, x1 = places[last].x + 20 * u;
  DwnColour quiet = dwn_colour_alpha (gear->look.foreground, 0.3);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = gear->look.foreground, .halo = TRUE };
  g_auto (DwnText) name = dwn_builder_set_text (gear->builder, gear->data->columns[places[first].column].span,
                                                &style);

  if (first < last)
    {
      dwn_builder_line (gear->builder, x0, y, x1, y, quiet, DWN_LINE_HAIR * u);
      dwn_builder_line (gear->builder, x0, y - 3 * u, x0, y + 3 * u, quiet, DWN_LINE_HAIR * u);
      dwn_builder_line (gear->builder, x1, y - 3 * u, x1, y + 3 * u, quiet, DWN_LINE_HAIR * u);
    }
  dwn_builder_add_text (gear->builder, &name, &style, (x0 + x1) / 2, y + 4 * u, 0.5);
}

static void
draw_spans (DwnGear *gear, const StripPlace *places, double y)
{
  const DwnGearDrawing *data = gear->data;
  DwnTextStyle title = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };

  if (data->spans == NULL)
    return;
  dwn_builder_text (gear->builder, data->spans, &title, MARGIN * gear->u, y + 4 * gear->u, 0);
  for (guint i = 0, end; i < data->n_columns; i = end)
    {
      const char *name = data->columns[places[i].column].span;

      for (end = i + 1; end < data->n_columns; end++)
        if (g_strcmp0 (data->columns[places[end].column].span, name) != 0)
          break;
      if (name != NULL)
        draw_span (gear, places, i, end - 1, y);
    }
}

static void
draw_strip (DwnGear *gear)
{
  const DwnGearDrawing *data = gear->data;
  double u = gear->u, top = gear->height - strip_height (data, u);
  DwnColour rule = dwn_colour_alpha (gear->look.foreground, 0.3);
  DwnTextStyle title = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };
  g_autofree StripPlace *places = place_strip (gear);
  double bottom = top + (STRIP_TITLE + data->n_rows * STRIP_ROW) * u;

  if (data->n_rows > 0 && data->n_columns > 0)
    {
      for (guint i = 0; i < data->n_columns; i++)
        dwn_builder_text (gear->builder, data->columns[places[i].column].title, &title, places[i].x,
                          top + (STRIP_TITLE - 7) * u, 0.5);
      dwn_builder_line (gear->builder, MARGIN * u, top + STRIP_TITLE * u, gear->width - MARGIN * u,
                        top + STRIP_TITLE * u, rule, DWN_LINE_HAIR * u);
      draw_strip_rows (gear, places, top);
      dwn_builder_line (gear->builder, MARGIN * u, bottom, gear->width - MARGIN * u, bottom, rule,
                        DWN_LINE_HAIR * u);
      draw_spans (gear, places, bottom + SPAN_ROW / 2 * u);
    }
  if (data->summary != NULL)
    {
      DwnTextStyle style = { .size = DWN_SIZE_BASE, .colour = gear->look.foreground };

      dwn_builder_text (gear->builder, data->summary, &style, MARGIN * u, gear->height - 9 * u, 0);
    }
}

/* The dotted line between mast and house, where one straight line can part them. */
static void
draw_boundary (DwnGear *gear)
{
  double outside = -INFINITY, inside = INFINITY, u = gear->u, x;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };
  DwnInk dots = dwn_ink_stroke (dwn_colour_alpha (gear->look.foreground, 0.55), DWN_LINE_RIM * u);
  cairo_t *cr = dwn_builder_path (gear->builder);

  for (guint i = 0; i < gear->data->n_nodes; i++)
    {
      const DwnGearPart *part = &gear->parts[i];

      if (part->n_stacked > 0 && part->node->indoors)
        inside = fmin (inside, part->x - part->half_width);
      else if (part->n_stacked > 0)
        outside = fmax (outside, part->x + part->half_width);
    }
  if (gear->data->on_mast == NULL || !(outside < inside) || isinf (outside) || isinf (inside))
    return;
  x = (outside + inside) / 2;
  dots.dash = 1.5 * u;
  dots.gap = 3 * u;
  cairo_move_to (cr, x, gear->top - BOUNDARY_HEIGHT * u);
  cairo_line_to (cr, x, gear->bottom);
  dwn_builder_draw (gear->builder, &dots);
  dwn_builder_text (gear->builder, gear->data->on_mast, &style, x - 8 * u, gear->top - 8 * u, 1);
  dwn_builder_text (gear->builder, gear->data->indoors, &style, x + 8 * u, gear->top - 8 * u, 0);
}

static void
draw_head (DwnGear *gear)
{
  double u = gear->u;
  DwnTextStyle title = { .size = DWN_SIZE_TITLE, .bold = TRUE, .colour = gear->look.foreground };
  DwnTextStyle note = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&gear->look) };

  if (gear->data->title != NULL)
    dwn_builder_text (gear->builder, gear->data->title, &title, MARGIN * u, 20 * u, 0);
  if (gear->data->note != NULL)
    dwn_builder_text (gear->builder, gear->data->note, &note, gear->width - MARGIN * u, 20 * u, 1);
}

/* Layout ------------------------------------------------------------------------------------- */

static gboolean
is_sane (const DwnGearDrawing *data)
{
  for (guint e = 0; e < data->n_edges; e++)
    if (data->edges[e].from >= data->n_nodes || data->edges[e].to >= data->n_nodes)
      return FALSE;
  for (guint c = 0; c < data->n_columns; c++)
    if (data->columns[c].node >= data->n_nodes)
      return FALSE;
  return data->n_nodes > 0;
}

static void
init_parts (DwnGear *gear)
{
  gear->parts = g_new0 (DwnGearPart, gear->data->n_nodes);
  for (guint i = 0; i < gear->data->n_nodes; i++)
    {
      gear->parts[i].node = &gear->data->nodes[i];
      gear->parts[i].n_stacked = 1;
      gear->parts[i].last_stacked = i;
    }
}

static void
place_parts (DwnGear *gear)
{
  double room = gear->bottom - gear->top;

  tidy_columns (gear);
  if (count_outlets (gear) * ROW_ONE_LINE * gear->u > room)
    stack_outlets (gear);
  gear->two_lines = count_outlets (gear) * ROW_TWO_LINES * gear->u <= room;
  count_edges (gear);
  place_columns (gear);
  for (guint i = 0; i < gear->data->n_nodes; i++)
    dwn_gear_measure_part (gear, &gear->parts[i],
                           row_height (gear, gear->parts[i].column) - NAME_ROW * gear->u);
  place_rows (gear);
}

DwnScene *
dwn_gear_layout (const DwnGearDrawing *data, const DwnLook *look, PangoContext *text, double width,
                 double height)
{
  g_return_val_if_fail (data != NULL && look != NULL, NULL);
  g_return_val_if_fail (PANGO_IS_CONTEXT (text), NULL);
  g_return_val_if_fail (width > 0 && height > 0, NULL);
  g_return_val_if_fail (is_sane (data), NULL);

  DwnGear gear = {
    .data = data, .look = *look, .u = dwn_look_unit (look), .width = width, .height = height
  };
  gboolean acyclic;

  init_parts (&gear);
  acyclic = assign_columns (&gear);
  if (!acyclic)
    g_free (gear.parts);
  g_return_val_if_fail (acyclic, NULL);

  gear.builder = dwn_builder_new (look, text, width, height);
  gear.top = head_height (data, gear.u);
  gear.bottom = fmax (height - strip_height (data, gear.u) - 6 * gear.u,
                      gear.top + PART_ROW * gear.u);
  place_parts (&gear);
  draw_head (&gear);
  draw_boundary (&gear);
  dwn_gear_draw_cables (&gear);
  for (guint i = 0; i < data->n_nodes; i++)
    if (gear.parts[i].n_stacked > 0)
      dwn_gear_draw_part (&gear, &gear.parts[i]);
  draw_strip (&gear);
  g_free (gear.parts);
  return dwn_builder_finish (gear.builder);
}

double
dwn_gear_height (const DwnGearDrawing *data, const DwnLook *look)
{
  g_return_val_if_fail (data != NULL && look != NULL, (double) NAN);

  double u = dwn_look_unit (look);
  guint n_outlets = 0, n_antennas = 0, n_plugs = 0;

  for (guint i = 0; i < data->n_nodes; i++)
    {
      n_outlets += data->nodes[i].symbol == DWN_GEAR_OUTLET;
      n_antennas += data->nodes[i].symbol <= DWN_GEAR_DIPOLE;
      n_plugs += data->nodes[i].mains != NULL;
    }
  return head_height (data, u) + strip_height (data, u) + 6 * u
         + fmax (fmax (fmax (2, n_antennas) * PART_ROW, n_plugs > 1 ? n_plugs * (PART_ROW + PLUG) : 0),
                 n_outlets * (n_outlets <= 8 ? 1.7 * ROW_TWO_LINES : ROW_ONE_LINE + 1)) * u;
}

double
dwn_gear_width (const DwnGearDrawing *data, const DwnLook *look)
{
  g_return_val_if_fail (data != NULL && look != NULL, (double) NAN);

  if (!is_sane (data))
    return 0;
  DwnGear gear = { .data = data, .look = *look, .u = dwn_look_unit (look) };
  double gaps = 0;

  init_parts (&gear);
  if (assign_columns (&gear))
    {
      tidy_columns (&gear);
      gaps = gaps_before (&gear, gear.n_columns - 1);
    }
  g_free (gear.parts);
  return (MARGIN + FIRST_COLUMN + gaps * LEAST_PITCH + LAST_COLUMN) * gear.u;
}
