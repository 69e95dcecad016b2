#include "draw/paper.h"

#include <math.h>

#define RULE_TITLE 1.2
#define RULE_BLOCK 0.8
#define RULE_TABLE 0.5
#define TABLE_RULE_ALPHA 0.45

#define BOX_WIDTH 38.0
#define BOX_HEIGHT 11.0
#define BOX_GAP 3.0
#define CHECK_SIZE 7.0
#define CHECK_TEXT 13.0

/* Half the width of a mark in a table, in u: the second outline of a diamond reaches 12. */
#define MARK_HALF 12.0
#define COLUMN_GAP 9.0
#define CLOSE_GAP 5.0
#define LEADING 1.32 /* line to line, as a multiple of the size of the type */

struct _DwnPaper {
  DwnLook look;
  DwnBuilder *builder;
  double width;
  guint measuring;
};

DwnPaper *
dwn_paper_new (const DwnLook *look, PangoContext *context, double width, double height)
{
  g_return_val_if_fail (look != NULL, NULL);

  DwnBuilder *builder = dwn_builder_new (look, context, width, height);
  DwnPaper *paper;

  if (builder == NULL)
    return NULL;
  paper = g_new0 (DwnPaper, 1);
  paper->look = *look;
  paper->builder = builder;
  paper->width = width;
  return paper;
}

DwnScene *
dwn_paper_finish (DwnPaper *paper)
{
  g_return_val_if_fail (paper != NULL, NULL);
  g_return_val_if_fail (paper->measuring == 0, NULL);

  DwnScene *scene = dwn_builder_finish (paper->builder);

  g_free (paper);
  return scene;
}

void
dwn_paper_measure_begin (DwnPaper *paper)
{
  paper->measuring++;
}

void
dwn_paper_measure_end (DwnPaper *paper)
{
  g_return_if_fail (paper->measuring > 0);

  paper->measuring--;
}

DwnTextStyle
dwn_paper_style (const DwnPaper *paper, double size, gboolean bold, gboolean quiet)
{
  return (DwnTextStyle) {
    .size = size, .bold = bold,
    .colour = quiet ? dwn_look_quiet (&paper->look) : paper->look.foreground,
  };
}

/* The page's own x of a point @along from the start edge of @place. */
static double
page_x (const DwnPaper *paper, const DwnPlace *place, double along)
{
  return paper->look.right_to_left ? paper->width - place->x - along : place->x + along;
}

static double
page_align (const DwnPaper *paper, double align)
{
  return paper->look.right_to_left ? 1 - align : align;
}

static double
size_pt (const DwnPaper *paper, const DwnTextStyle *style)
{
  return paper->look.base * style->size;
}

static double
cap_pt (const DwnPaper *paper, const DwnTextStyle *style)
{
  return dwn_builder_cap (paper->builder) * size_pt (paper, style);
}

static double
line_pt (const DwnPaper *paper, const DwnTextStyle *style)
{
  return LEADING * size_pt (paper, style);
}

static void
add_text (DwnPaper *paper, const DwnText *text, const DwnTextStyle *style, double x,
          double baseline, double align)
{
  if (paper->measuring == 0)
    dwn_builder_add_text (paper->builder, text, style, x, baseline, page_align (paper, align));
}

/* From the first capital's top to below the last line, in whole lines of the leading. */
static double
text_height (const DwnPaper *paper, const DwnText *text, const DwnTextStyle *style)
{
  return fmax (text->height + (LEADING - 1.25) * size_pt (paper, style), line_pt (paper, style));
}

static double
first_baseline (const DwnPaper *paper, const DwnTextStyle *style, double top)
{
  return top + (line_pt (paper, style) + cap_pt (paper, style)) / 2;
}

double
dwn_paper_text (DwnPaper *paper, DwnPlace place, const char *string, const DwnTextStyle *style)
{
  g_return_val_if_fail (paper != NULL && style != NULL, place.y);

  DwnTextStyle wrapped = *style;

  wrapped.wrap = place.width;

  g_auto (DwnText) text = dwn_builder_set_text (paper->builder, string, &wrapped);
  add_text (paper, &text, &wrapped, page_x (paper, &place, 0),
            first_baseline (paper, style, place.y), 0);
  return place.y + text_height (paper, &text, style);
}

double
dwn_paper_pair (DwnPaper *paper, DwnPlace place, const char *start, const DwnTextStyle *start_style,
                const char *end, const DwnTextStyle *end_style)
{
  g_return_val_if_fail (paper != NULL && start_style != NULL && end_style != NULL, place.y);

  const DwnTextStyle *taller = start_style->size >= end_style->size ? start_style : end_style;
  double baseline = first_baseline (paper, taller, place.y);
  g_auto (DwnText) right = dwn_builder_set_text (paper->builder, end, end_style);
  DwnTextStyle wrapped = *start_style;

  wrapped.wrap = fmax (place.width - right.width - (end != NULL ? COLUMN_GAP : 0), place.width / 4);

  g_auto (DwnText) left = dwn_builder_set_text (paper->builder, start, &wrapped);
  add_text (paper, &left, &wrapped, page_x (paper, &place, 0), baseline, 0);
  add_text (paper, &right, end_style, page_x (paper, &place, place.width), baseline, 1);
  return place.y + fmax (line_pt (paper, taller), text_height (paper, &left, start_style));
}

double
dwn_paper_pieces (DwnPaper *paper, DwnPlace place, const DwnPaperPiece *pieces, guint n_pieces)
{
  g_return_val_if_fail (paper != NULL, place.y);
  g_return_val_if_fail (pieces != NULL && n_pieces > 0, place.y);

  const DwnTextStyle *tallest = &pieces[0].style;
  double along = 0;

  for (guint i = 1; i < n_pieces; i++)
    if (pieces[i].style.size > tallest->size)
      tallest = &pieces[i].style;
  for (guint i = 0; i < n_pieces; i++)
    {
      g_auto (DwnText) text
        = dwn_builder_set_text (paper->builder, pieces[i].string, &pieces[i].style);

      along += i > 0 ? pieces[i].gap : 0;
      add_text (paper, &text, &pieces[i].style, page_x (paper, &place, along),
                first_baseline (paper, tallest, place.y), 0);
      along += text.width;
    }
  return place.y + line_pt (paper, tallest);
}

static void
add_line (DwnPaper *paper, const DwnPlace *place, double from, double to, double y, double width,
          DwnColour colour)
{
  DwnInk ink = dwn_ink_stroke (colour, width);
  cairo_t *cr = dwn_builder_path (paper->builder);

  if (paper->measuring > 0)
    return;
  ink.butt = TRUE;
  cairo_move_to (cr, page_x (paper, place, from), y);
  cairo_line_to (cr, page_x (paper, place, to), y);
  dwn_builder_draw (paper->builder, &ink);
}

double
dwn_paper_rule (DwnPaper *paper, DwnPlace place, DwnRule rule)
{
  g_return_val_if_fail (paper != NULL, place.y);

  static const double widths[] = { RULE_TITLE, RULE_BLOCK, RULE_TABLE };
  DwnColour colour = rule == DWN_RULE_TABLE
                         ? dwn_colour_alpha (paper->look.foreground, TABLE_RULE_ALPHA)
                         : paper->look.foreground;

  add_line (paper, &place, 0, place.width, place.y + widths[rule] / 2, widths[rule], colour);
  return place.y + widths[rule];
}

static void
add_box (DwnPaper *paper, double x, double y, double width, double height)
{
  DwnInk ink = dwn_ink_stroke (paper->look.foreground, RULE_TABLE);

  if (paper->measuring > 0)
    return;
  cairo_rectangle (dwn_builder_path (paper->builder), x, y, width, height);
  dwn_builder_draw (paper->builder, &ink);
}

/* Tables ------------------------------------------------------------------------------------- */

static DwnTextStyle
cell_style (const DwnPaper *paper, const DwnPaperCell *cell)
{
  return dwn_paper_style (paper, cell->small ? DWN_SIZE_SMALL : DWN_SIZE_BASE, cell->bold,
                          cell->quiet);
}

static DwnTextStyle
title_style (const DwnPaper *paper)
{
  return dwn_paper_style (paper, DWN_SIZE_SMALL, FALSE, TRUE);
}

static double
cell_width (DwnPaper *paper, const DwnPaperCell *cell)
{
  DwnTextStyle style = cell_style (paper, cell);
  g_auto (DwnText) text = dwn_builder_set_text (paper->builder, cell->text, &style);
  double width = text.width;

  if (cell->has_mark)
    width += 2 * MARK_HALF * dwn_look_unit (&paper->look) + (cell->text != NULL ? 4 : 0);
  if (cell->n_boxes > 0)
    width += cell->n_boxes * (BOX_WIDTH + BOX_GAP) - BOX_GAP;
  return width;
}

/* Natural widths into @widths. Returns: their sum. */
static double
measure_columns (DwnPaper *paper, const DwnPaperTable *table, double *widths)
{
  DwnTextStyle title = title_style (paper);
  double sum = 0;

  for (guint c = 0; c < table->n_columns; c++)
    {
      g_auto (DwnText) text
        = dwn_builder_set_text (paper->builder, table->columns[c].title, &title);

      widths[c] = fmax (text.width, table->columns[c].min_width);
      for (guint r = 0; r < table->n_rows; r++)
        widths[c] = fmax (widths[c], cell_width (paper, &table->cells[r * table->n_columns + c]));
      sum += widths[c];
    }
  return sum;
}

/* Takes @excess from the columns that may wrap, each by its share of their width. */
static void
narrow_columns (const DwnPaperTable *table, double *widths, double excess)
{
  double wrapping = 0;

  for (guint c = 0; c < table->n_columns; c++)
    wrapping += table->columns[c].wraps ? widths[c] : 0;
  for (guint c = 0; c < table->n_columns && wrapping > 0; c++)
    if (table->columns[c].wraps)
      widths[c] = fmax (widths[c] - excess * widths[c] / wrapping, 24);
}

/* Fits the widths to the page. Returns: the gap behind every column that is not close. */
static double
fit_columns (DwnPaper *paper, const DwnPaperTable *table, double width, double *widths)
{
  double rest = width - measure_columns (paper, table, widths);
  guint n_wide = 0;

  for (guint c = 0; c + 1 < table->n_columns; c++)
    {
      n_wide += !table->columns[c].close;
      rest -= table->columns[c].close ? CLOSE_GAP : COLUMN_GAP;
    }
  if (rest < 0)
    narrow_columns (table, widths, -rest);
  return COLUMN_GAP + (rest > 0 && !table->tight ? rest / MAX (n_wide, 1u) : 0);
}

static double
gap_behind (const DwnPaperTable *table, guint column, double gap)
{
  return table->columns[column].close ? CLOSE_GAP : gap;
}

static void
add_boxes (DwnPaper *paper, const DwnPlace *place, guint n_boxes, double middle)
{
  for (guint i = 0; i < n_boxes; i++)
    {
      double along = i * (BOX_WIDTH + BOX_GAP);
      double x0 = page_x (paper, place, along), x1 = page_x (paper, place, along + BOX_WIDTH);

      add_box (paper, fmin (x0, x1), middle - BOX_HEIGHT / 2, BOX_WIDTH, BOX_HEIGHT);
    }
}

/* Draws one cell, @middle being the middle of its first line. Returns: its height. */
static double
add_cell (DwnPaper *paper, const DwnPaperCell *cell, DwnPlace place, double align, double middle)
{
  DwnTextStyle style = cell_style (paper, cell);
  double unit = dwn_look_unit (&paper->look), along = 0;

  if (cell->has_mark)
    {
      if (paper->measuring == 0)
        dwn_builder_mark (paper->builder, &cell->mark, page_x (paper, &place, MARK_HALF * unit),
                          middle, DWN_MARK_RADIUS * unit, paper->look.foreground);
      along = 2 * MARK_HALF * unit + 4;
    }
  add_boxes (paper, &place, cell->n_boxes, middle);
  if (cell->text == NULL)
    return line_pt (paper, &style);
  style.wrap = place.width - along + 0.5;

  g_auto (DwnText) text = dwn_builder_set_text (paper->builder, cell->text, &style);
  add_text (paper, &text, &style, page_x (paper, &place, along + align * (place.width - along)),
            middle + cap_pt (paper, &style) / 2, align);
  return text_height (paper, &text, &style);
}

static double
add_row (DwnPaper *paper, const DwnPaperTable *table, guint row, DwnPlace place,
         const double *widths, double gap)
{
  double along = 0, tallest = table->row_height, middle = place.y + table->row_height / 2;

  for (guint c = 0; c < table->n_columns; c++)
    {
      DwnPlace cell = { place.x + along, place.y, widths[c] };
      double height = add_cell (paper, &table->cells[row * table->n_columns + c], cell,
                                table->columns[c].align, middle);
      DwnTextStyle style = cell_style (paper, &table->cells[row * table->n_columns + c]);

      /* Every line after the first adds to the row. */
      tallest = fmax (tallest, table->row_height + height - line_pt (paper, &style));
      along += widths[c] + gap_behind (table, c, gap);
    }
  return place.y + tallest;
}

static double
add_titles (DwnPaper *paper, const DwnPaperTable *table, DwnPlace place, const double *widths,
            double gap)
{
  DwnTextStyle style = title_style (paper);
  double along = 0, baseline = first_baseline (paper, &style, place.y);
  gboolean any = FALSE;

  for (guint c = 0; c < table->n_columns; c++)
    {
      const DwnPaperColumn *column = &table->columns[c];

      if (column->title != NULL)
        {
          g_auto (DwnText) text = dwn_builder_set_text (paper->builder, column->title, &style);

          add_text (paper, &text, &style, page_x (paper, &place, along + column->align * widths[c]),
                    baseline, column->align);
          any = TRUE;
        }
      along += widths[c] + gap_behind (table, c, gap);
    }
  return any ? place.y + line_pt (paper, &style) + 2 : place.y;
}

double
dwn_paper_table (DwnPaper *paper, DwnPlace place, const DwnPaperTable *table)
{
  g_return_val_if_fail (paper != NULL && table != NULL, place.y);
  g_return_val_if_fail (table->n_columns > 0, place.y);

  g_autofree double *widths = g_new (double, table->n_columns);
  double gap = fit_columns (paper, table, place.width, widths);
  double top = place.y;

  place.y = add_titles (paper, table, place, widths, gap);
  if (place.y > top)
    place.y = dwn_paper_rule (paper, place, DWN_RULE_TABLE);
  for (guint r = 0; r < table->n_rows; r++)
    {
      place.y = add_row (paper, table, r, place, widths, gap);
      if (!table->tight)
        place.y = dwn_paper_rule (paper, place, DWN_RULE_TABLE);
    }
  return place.y;
}

/* Lists and forms ---------------------------------------------------------------------------- */

double
dwn_paper_checks (DwnPaper *paper, DwnPlace place, const char *const *strings, guint n_strings,
                  double pitch)
{
  g_return_val_if_fail (paper != NULL, place.y);
  g_return_val_if_fail (strings != NULL || n_strings == 0, place.y);

  DwnTextStyle style = dwn_paper_style (paper, DWN_SIZE_SMALL * 1.06, FALSE, FALSE);

  for (guint i = 0; i < n_strings; i++)
    {
      DwnPlace text = { place.x + CHECK_TEXT, place.y, place.width - CHECK_TEXT };
      double x0 = page_x (paper, &place, 0), x1 = page_x (paper, &place, CHECK_SIZE);

      add_box (paper, fmin (x0, x1), place.y + (line_pt (paper, &style) - CHECK_SIZE) / 2,
               CHECK_SIZE, CHECK_SIZE);
      place.y = fmax (dwn_paper_text (paper, text, strings[i], &style), place.y + pitch);
    }
  return place.y;
}

double
dwn_paper_blank (DwnPaper *paper, DwnPlace place, const char *label)
{
  g_return_val_if_fail (paper != NULL, place.y);

  DwnTextStyle style = dwn_paper_style (paper, DWN_SIZE_SMALL, FALSE, TRUE);
  double baseline = first_baseline (paper, &style, place.y);
  g_auto (DwnText) text = dwn_builder_set_text (paper->builder, label, &style);

  add_text (paper, &text, &style, page_x (paper, &place, 0), baseline, 0);
  if (text.width + 4 < place.width)
    add_line (paper, &place, text.width + 4, place.width, baseline + 1.5, RULE_TABLE,
              paper->look.foreground);
  return place.y + line_pt (paper, &style);
}

void
dwn_paper_share (DwnPaper *paper, DwnPlace place, double height, double share, double goal)
{
  g_return_if_fail (paper != NULL);

  double x0 = page_x (paper, &place, 0), x1 = page_x (paper, &place, place.width),
         left = fmin (x0, x1);
  double filled = place.width * CLAMP (share, 0.0, 1.0);
  DwnInk fill = dwn_ink_fill (dwn_colour_alpha (paper->look.foreground, 0.75));

  add_box (paper, left, place.y, place.width, height);
  if (paper->measuring > 0)
    return;
  if (!isnan (share))
    {
      cairo_rectangle (dwn_builder_path (paper->builder),
                       paper->look.right_to_left ? left + place.width - filled : left, place.y,
                       filled, height);
      dwn_builder_draw (paper->builder, &fill);
    }
  if (!isnan (goal))
    {
      double x = page_x (paper, &place, goal * place.width);

      dwn_builder_line (paper->builder, x, place.y - 1.5, x, place.y + height + 1.5,
                        paper->look.foreground, RULE_TITLE);
    }
}

void
dwn_paper_mark (DwnPaper *paper, const DwnMark *mark, double x, double y)
{
  g_return_if_fail (paper != NULL && mark != NULL);

  if (paper->measuring == 0)
    dwn_builder_mark (paper->builder, mark, x, y, DWN_MARK_RADIUS * dwn_look_unit (&paper->look),
                      paper->look.foreground);
}

void
dwn_paper_scene (DwnPaper *paper, const DwnScene *scene, double x, double y)
{
  g_return_if_fail (paper != NULL && scene != NULL);

  if (paper->measuring == 0)
    dwn_builder_scene (paper->builder, scene, x, y, 1);
}
