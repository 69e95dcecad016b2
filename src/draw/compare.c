#include "draw/compare.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/paper.h"
#include "words/compare-words.h"

#define COLUMN_GAP 16.0
#define BLOCK_GAP 8.0
#define MOST_ROSE 250.0
#define BOTTOM_MARGIN 28.0
#define ROW_HEIGHT 14.0
#define N_COLUMNS 9

typedef struct {
  const DwnComparedView *side;
  const DwnComparison *comparison;
  const DwnWording *wording;
  DwnLook look;
  PangoContext *context;
  DwnPaper *paper;
  DwnPlace body;
  double bottom;
  DwnTextStyle plain, bold, small, title;
  GStringChunk *strings;
  guint n_rows; /* in the table; the rest is counted */
} Page;

static const char *
keep (Page *self, char *text)
{
  const char *kept = g_string_chunk_insert (self->strings, text);

  g_free (text);
  return kept;
}

DwnScene *
dwn_compared_rose (const DwnPlanView *view, const DwnLook *look, PangoContext *context, double width,
                   double height)
{
  DwnPlanView plain = *view;

  plain.station = plain.hovered = plain.fan_mast = -1;
  plain.names_only = TRUE;
  plain.legend = FALSE;
  plain.zoom = 1.0;
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&plain);
  return dwn_rose_layout (&rose->data, look, context, width, height, NULL);
}

static double
write_head (Page *self, DwnPlace place)
{
  const DwnPlan *plan = self->side[0].view.findings.plan;
  const char *house = plan->site->name[0] != '\0' ? plan->site->name : dwn_word (self->wording, N_("The house"));
  g_autofree char *at = dwn_word_place (self->wording, &plan->site->at);
  DwnTextStyle kind = dwn_paper_style (self->paper, DWN_SIZE_TITLE, FALSE, FALSE);

  place.y = dwn_paper_pair (self->paper, place, house, &self->title,
                            dwn_word (self->wording, N_("Two variants side by side")), &kind);
  place.y = dwn_paper_pair (self->paper, place, at, &self->small, plan->method->date, &self->small) + 5.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TITLE) + BLOCK_GAP;
}

/* Name, aims and rose of one variant. */
static double
write_side (Page *self, DwnPlace place, const DwnComparedView *side)
{
  g_autofree char *sentence = dwn_word_aim_sentence_plain (self->wording, &side->view.findings);

  place.y = dwn_paper_text (self->paper, place, side->name, &self->bold) + 2.0;
  return dwn_paper_text (self->paper, place, sentence, &self->small) + 4.0;
}

static double
write_sides (Page *self, DwnPlace place)
{
  double half = (place.width - COLUMN_GAP) / 2.0, rose = fmin (half, MOST_ROSE), below = place.y;
  DwnPlace column = { place.x, place.y, half };

  for (guint k = 0; k < 2; k++, column.x += half + COLUMN_GAP)
    below = fmax (below, write_side (self, column, &self->side[k]));
  column.x = place.x;
  for (guint k = 0; k < 2; k++, column.x += half + COLUMN_GAP)
    {
      g_autoptr (DwnScene) scene = dwn_compared_rose (&self->side[k].view, &self->look, self->context, rose, rose);
      dwn_paper_scene (self->paper, scene, column.x + (half - rose) / 2.0, below);
    }
  place.y = below + rose + 3.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_BLOCK) + BLOCK_GAP;
}

static double
write_sums (Page *self, DwnPlace place)
{
  const DwnPlan *plan = self->side[0].view.findings.plan;
  g_autoptr (GArray) lines = dwn_word_compared_lines (self->wording, self->comparison, plan->method->currency);
  g_autofree DwnPaperCell *cells = g_new0 (DwnPaperCell, lines->len * 3);
  const char *const names[2] = { self->side[0].name, self->side[1].name };
  g_autofree char *verdict = dwn_word_comparison (self->wording, self->comparison, names);
  const DwnPaperColumn columns[] = { { NULL, 0.0, .wraps = TRUE }, { names[0], 0.0, .wraps = TRUE, .min_width = 90.0 },
                                     { names[1], 0.0, .wraps = TRUE, .min_width = 90.0 } };
  const DwnPaperTable table = { .n_columns = 3, .n_rows = lines->len, .columns = columns, .cells = cells,
                                .row_height = ROW_HEIGHT };

  for (guint k = 0; k < lines->len; k++)
    {
      const DwnComparedLine *line = &g_array_index (lines, DwnComparedLine, k);
      cells[3 * k].text = line->caption;
      for (guint side = 0; side < 2; side++)
        cells[3 * k + 1 + side] = (DwnPaperCell) { .text = line->side[side], .bold = TRUE };
    }
  place.y = dwn_paper_text (self->paper, place, verdict, &self->plain) + 4.0;
  place.y = dwn_paper_table (self->paper, place, &table) + 3.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_BLOCK) + BLOCK_GAP;
}

/* Mark, channel, margin, chance of one variant. */
static void
fill_side (Page *self, const DwnComparedRow *row, guint k, DwnPaperCell *cell)
{
  const DwnComparedSide *side = &row->side[k];
  const DwnPlanView *view = &self->side[k].view;

  if (side->station >= 0)
    {
      cell[0] = (DwnPaperCell) { .has_mark = TRUE, .mark = dwn_plan_mark (view, (guint) side->station),
                                 .text = view->findings.plan->stations->station[side->station].rf };
      cell[2].text = keep (self, dwn_word_chance (self->wording, side->chance));
    }
  cell[1] = (DwnPaperCell) { .text = keep (self, dwn_word_compared_margin (self->wording, side)), .bold = side->held };
}

static const char *
mark_text (const Page *self, DwnWanted wanted)
{
  if (wanted == DWN_WANTED_MUST)
    return dwn_word (self->wording, N_("must"));
  return wanted == DWN_WANTED_LIKE ? dwn_word (self->wording, N_("like")) : "";
}

static double
write_rows (Page *self, DwnPlace place)
{
  guint n = self->n_rows, more = self->comparison->n - n;
  g_autofree DwnPaperCell *cells = g_new0 (DwnPaperCell, (gsize) MAX (n, 1) * N_COLUMNS);
  const char *rf = dwn_word (self->wording, N_("RF")), *chance = dwn_word (self->wording, N_("Chance"));
  const DwnPaperColumn columns[N_COLUMNS] = {
    { dwn_word (self->wording, N_("Service")), 0.0, .wraps = TRUE }, { NULL, 0.0 },
    { rf, 0.0 }, { self->side[0].name, 1.0, .wraps = TRUE }, { chance, 1.0 },
    { rf, 0.0 }, { self->side[1].name, 1.0, .wraps = TRUE }, { chance, 1.0 },
    { dwn_word (self->wording, N_("Change")), 1.0 },
  };
  const DwnPaperTable table = { .n_columns = N_COLUMNS, .n_rows = n, .columns = columns, .cells = cells,
                                .row_height = ROW_HEIGHT };

  for (guint k = 0; k < n; k++)
    {
      const DwnComparedRow *row = &self->comparison->row[k];
      DwnPaperCell *cell = &cells[k * N_COLUMNS];
      cell[0] = (DwnPaperCell) { .text = row->name, .bold = row->wanted != DWN_WANTED_NO };
      cell[1] = (DwnPaperCell) { .text = mark_text (self, row->wanted), .small = TRUE };
      fill_side (self, row, 0, &cell[2]);
      fill_side (self, row, 1, &cell[5]);
      cell[8].text = keep (self, dwn_word_compared_difference (self->wording, row));
    }
  place.y = dwn_paper_text (self->paper, place,
                            dwn_word (self->wording, N_("Margin at the weakest outlet, \xC2\xB1 one standard deviation")),
                            &self->bold) + 2.0;
  if (n > 0)
    place.y = dwn_paper_table (self->paper, place, &table) + 3.0;
  if (more == 0)
    return place.y;
  g_autofree char *text = g_strdup_printf (
    dwn_word_plural (self->wording, "and %u more service in the plans", "and %u more services in the plans", more), more);
  return dwn_paper_text (self->paper, place, text, &self->small);
}

static double
write_page (Page *self)
{
  DwnPlace place = self->body;

  place.y = write_head (self, place);
  place.y = write_sides (self, place);
  place.y = write_sums (self, place);
  return write_rows (self, place);
}

static gboolean
fits (Page *self, guint n_rows)
{
  self->n_rows = n_rows;
  dwn_paper_measure_begin (self->paper);
  double below = write_page (self);
  dwn_paper_measure_end (self->paper);
  return below <= self->bottom;
}

/* The most rows with which the page fits, by halving. */
static void
fit_page (Page *self)
{
  guint low = 0, high = self->comparison->n;

  if (fits (self, high))
    return;
  while (low < high)
    {
      guint middle = (low + high + 1) / 2;
      if (fits (self, middle))
        low = middle;
      else
        high = middle - 1;
    }
  self->n_rows = low;
}

DwnScene *
dwn_compare_layout (const DwnComparedView sides[2], const DwnComparison *comparison, PangoContext *context,
                    DwnPaperSize size)
{
  g_return_val_if_fail (sides != NULL && comparison != NULL, NULL);

  double width = size == DWN_PAPER_A4 ? DWN_PAPER_A4_WIDTH : DWN_PAPER_LETTER_WIDTH;
  double height = size == DWN_PAPER_A4 ? DWN_PAPER_A4_HEIGHT : DWN_PAPER_LETTER_HEIGHT;
  Page self = { .side = sides, .comparison = comparison, .wording = sides[0].view.wording, .look = dwn_look_paper (),
                .context = context, .strings = g_string_chunk_new (1024), .bottom = height - BOTTOM_MARGIN };

  self.body = (DwnPlace) { DWN_PAPER_MARGIN, BOTTOM_MARGIN, width - 2.0 * DWN_PAPER_MARGIN };
  self.paper = dwn_paper_new (&self.look, context, width, height);
  self.plain = dwn_paper_style (self.paper, DWN_SIZE_BASE, FALSE, FALSE);
  self.bold = dwn_paper_style (self.paper, DWN_SIZE_BASE, TRUE, FALSE);
  self.small = dwn_paper_style (self.paper, DWN_SIZE_SMALL, FALSE, FALSE);
  self.title = dwn_paper_style (self.paper, DWN_SIZE_TITLE, TRUE, FALSE);
  fit_page (&self);
  write_page (&self);
  DwnScene *scene = dwn_paper_finish (self.paper);
  g_string_chunk_free (self.strings);
  return scene;
}
