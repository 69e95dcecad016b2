/* The sheet of a finished installation: what was read, by whom, what moved since, where the power is
 * and which channels may fade. */
#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/sheet-private.h"
#include "words/built-words.h"
#include "words/check-words.h"

#define N_COLUMNS 11
#define VISITS_SHOWN 3
#define COLUMN_GAP 16.0

/* "2026-05-12"; "" where none was noted. */
static char *
day_of (const DwnReadings *readings, int reading)
{
  return reading < 0 ? g_strdup ("") : g_strndup (readings->reading[reading].when, 10);
}

static const char *
figure (DwnSheetPage *self, double value, gboolean is_signed)
{
  if (isnan (value))
    return "";
  return dwn_sheet_keep (self, is_signed ? dwn_word_signed (self->wording, value, 1)
                                         : dwn_word_number (self->wording, value, 1));
}

/* What the set said where no meter was there: lock, or bars. */
static const char *
read_level_text (DwnSheetPage *self, const DwnReading *reading)
{
  if (!isnan (reading->level_dbm))
    return dwn_sheet_keep (self, dwn_word_level_figure (self->wording, reading->level_dbm, 1));
  if (reading->bars >= 0)
    return dwn_sheet_keep (self, g_strdup_printf (dwn_word (self->wording, N_("%d of %d bars")),
                                                  reading->bars, reading->bars_of));
  if (reading->lock >= 0)
    return reading->lock == 1 ? dwn_word (self->wording, N_("comes in"))
                              : dwn_word (self->wording, N_("no picture"));
  return "";
}

static void
fill_read (DwnSheetPage *self, const DwnMoved *moved, DwnPaperCell *cell)
{
  const DwnReadings *readings = self->plan->readings;

  if (moved->now < 0)
    {
      cell[8] = (DwnPaperCell) { .n_boxes = 1 };
      cell[9] = (DwnPaperCell) { .n_boxes = 1 };
      return;
    }
  const DwnReading *now = &readings->reading[moved->now];
  int part = dwn_chain_find (self->plan->gear, now->where);
  g_autofree char *day = day_of (readings, moved->now);
  const char *place = part >= 0 ? dwn_word_part_name (self->wording, self->plan->gear, (guint) part)
                                : now->where;
  double moved_db = isnan (moved->level_moved_db) ? moved->cn_moved_db : moved->level_moved_db;

  cell[7] = (DwnPaperCell) { .small = TRUE, .text = dwn_sheet_keep (
    self, g_strconcat (place, day[0] != '\0' ? ", " : "", day, NULL)) };
  cell[8] = (DwnPaperCell) { .bold = TRUE, .text = read_level_text (self, now) };
  cell[9] = (DwnPaperCell) { .text = figure (self, now->cn_db, FALSE) };
  cell[10] = (DwnPaperCell) { .text = figure (self, moved_db, TRUE) };
}

static void
fill_row (DwnSheetPage *self, guint i, const DwnMoved *moved, DwnPaperCell *cell)
{
  const DwnStation *station = dwn_sheet_station (self, i);
  const DwnReception *reception = self->budget->n_outlets == 0 ? NULL
    : &self->budget->reception[(gsize) i * self->budget->n_outlets + self->budget->weakest[i]];
  double level_dbm = reception != NULL ? reception->level_dbm : (double) NAN;

  cell[0] = (DwnPaperCell) { .has_mark = TRUE, .mark = dwn_plan_mark (&self->view, i) };
  cell[1] = (DwnPaperCell) { .text = station->name, .bold = TRUE };
  cell[2] = (DwnPaperCell) { .text = station->rf, .bold = TRUE };
  cell[3] = (DwnPaperCell) { .text = dwn_station_on_screen (station, self->plan->services) };
  cell[4] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_bearing (
    self->wording, self->view.findings.fields->arrival[i].bearing_deg)) };
  cell[5] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_level_figure (
    self->wording, level_dbm, 1)) };
  cell[6] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_chance (
    self->wording, dwn_station_chance (self->budget, i))) };
  fill_read (self, moved, cell);
}

/* The day of the readings that the latest are held against, where it is one for all. */
static char *
moved_title (DwnSheetPage *self, const DwnMoved *moved)
{
  g_autofree char *since = g_strdup ("");

  for (guint i = 0; i < self->plan->stations->n; i++)
    {
      g_autofree char *day = day_of (self->plan->readings, moved[i].before);

      if (g_strcmp0 (day, since) > 0)
        {
          g_free (since);
          since = g_steal_pointer (&day);
        }
    }
  return since[0] == '\0' ? g_strdup (dwn_word (self->wording, N_("Moved")))
                          : g_strdup_printf (dwn_word (self->wording, N_("Since %s")), since);
}

static double
write_table (DwnSheetPage *self, DwnPlace place, const DwnMoved *moved)
{
  guint n_rows = self->fit.n_rows;
  g_autofree DwnPaperCell *cells = g_new0 (DwnPaperCell, (gsize) MAX (n_rows, 1) * N_COLUMNS);
  const char *unit = dwn_word_level_unit (self->wording);
  g_autofree char *expected = g_strdup_printf (dwn_word (self->wording, N_("Expected, %s")), unit);
  g_autofree char *read = g_strdup_printf (dwn_word (self->wording, N_("Read, %s")), unit);
  g_autofree char *since = moved_title (self, moved);
  const DwnPaperColumn columns[N_COLUMNS] = {
    { NULL, 0.5 }, { dwn_word (self->wording, N_("Station")), 0.0 },
    { dwn_word (self->wording, N_("RF")), 1.0 }, { dwn_word (self->wording, N_("On screen")), 1.0 },
    { dwn_word (self->wording, N_("Bearing")), 1.0 }, { expected, 1.0 },
    { dwn_word (self->wording, N_("Chance")), 1.0 },
    { dwn_word (self->wording, N_("Read at")), 0.0, .wraps = TRUE },
    { read, 1.0 }, { dwn_word (self->wording, N_("C/N, dB")), 1.0 }, { since, 1.0 },
  };
  const DwnPaperTable table = { .n_columns = N_COLUMNS, .n_rows = n_rows, .columns = columns,
                                .cells = cells, .row_height = DWN_SHEET_ROW_HEIGHT };

  for (guint row = 0; row < n_rows; row++)
    {
      guint i = g_array_index (self->wanted, guint, row);
      fill_row (self, i, &moved[i], &cells[row * N_COLUMNS]);
    }
  return n_rows > 0 ? dwn_paper_table (self->paper, place, &table) : place.y;
}

static double
write_stations (DwnSheetPage *self, DwnPlace place)
{
  g_autofree DwnMoved *moved = dwn_moved_new (self->plan);

  place.y = dwn_paper_text (self->paper, place,
                            dwn_word (self->wording, N_("Wanted stations, as read")),
                            &self->bold) + 2.0;
  place.y = write_table (self, place, moved) + 3.0;
  return dwn_sheet_write_rest (self, place);
}

static double
write_heading (DwnSheetPage *self, DwnPlace place, const char *text)
{
  return dwn_paper_text (self->paper, place, text, &self->bold) + 2.0;
}

/* So many lines of a list as fit; how many more there are is said. */
static double
write_lines (DwnSheetPage *self, DwnPlace place, const GPtrArray *lines)
{
  guint n = MIN (lines->len, self->fit.n_parts);

  for (guint i = 0; i < n; i++)
    place.y = dwn_paper_text (self->paper, place, g_ptr_array_index (lines, i), &self->small) + 1.5;
  if (n < lines->len)
    {
      g_autofree char *more = g_strdup_printf (
        dwn_word_plural (self->wording, "and %u more line in the plan",
                         "and %u more lines in the plan", lines->len - n), lines->len - n);
      place.y = dwn_paper_text (self->paper, place, more, &self->small_quiet);
    }
  return place.y;
}

static double
write_places (DwnSheetPage *self, DwnPlace place)
{
  g_autoptr (GPtrArray) places = dwn_word_places (self->wording, self->plan->gear);

  if (places->len == 0)
    return place.y;
  place.y = write_heading (self, place, dwn_word (self->wording, N_("Where things are")));
  return write_lines (self, place, places) + 4.0;
}

/* The latest visits, newest first. */
static double
write_visits (DwnSheetPage *self, DwnPlace place)
{
  const DwnReadings *readings = self->plan->readings;
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);

  place.y = write_heading (self, place, dwn_word (self->wording, N_("Who did what")));
  for (guint v = 0; v < MIN (readings->n_visits, VISITS_SHOWN); v++)
    {
      g_autoptr (GPtrArray) visit = dwn_word_visit (self->wording,
                                                    &readings->visit[readings->n_visits - 1 - v]);
      g_ptr_array_extend_and_steal (lines, g_steal_pointer (&visit));
    }
  if (lines->len > 0)
    return write_lines (self, place, lines);
  place.y = dwn_paper_blank (self->paper, place, dwn_word (self->wording, N_("Done by")));
  return dwn_paper_blank (self->paper, place, dwn_word (self->wording, N_("Date")));
}

static double
write_fading (DwnSheetPage *self, DwnPlace place)
{
  g_autoptr (GArray) fading = dwn_fading (self->plan, self->view.findings.fields, self->budget,
                                          self->tables);
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  g_autofree char *rescan = dwn_word_rescan (self->wording);

  for (guint i = 0; i < fading->len; i++)
    g_ptr_array_add (lines, dwn_word_fading (self->wording, self->plan,
                                             &g_array_index (fading, DwnFading, i)));
  if (lines->len == 0)
    g_ptr_array_add (lines, g_strdup (dwn_word (self->wording, N_("None of the wanted ones"))));
  place.y = write_heading (self, place, dwn_word (self->wording, N_("Channels with little to spare")));
  place.y = write_lines (self, place, lines) + 4.0;
  place.y = write_heading (self, place, dwn_word (self->wording, N_("When something is missing")));
  return dwn_paper_text (self->paper, place, rescan, &self->small);
}

static double
write_bottom (DwnSheetPage *self, DwnPlace place)
{
  double half = (place.width - COLUMN_GAP) / 2.0;
  DwnPlace column = { place.x, place.y, half };
  double below;

  column.y = write_places (self, column);
  below = write_visits (self, column);
  column = (DwnPlace) { place.x + half + COLUMN_GAP, place.y, half };
  return fmax (below, write_fading (self, column));
}

/* The latest day at the house. */
static char *
dated_text (const DwnSheetPage *self)
{
  const DwnReadings *readings = self->plan->readings;
  g_autofree char *day = readings->n_visits > 0
                         ? g_strndup (readings->visit[readings->n_visits - 1].when, 10)
                         : g_strdup ("");

  for (guint k = 0; k < readings->n; k++)
    {
      g_autofree char *read = day_of (readings, (int) k);

      if (g_strcmp0 (read, day) > 0)
        {
          g_free (day);
          day = g_steal_pointer (&read);
        }
    }
  return day[0] == '\0' ? NULL : g_strdup_printf (dwn_word (self->wording, N_("as of %s")), day);
}

static double
write_page (DwnSheetPage *self)
{
  g_autofree char *dated = dated_text (self);
  DwnPlace place = self->body;

  place.y = dwn_sheet_write_head (self, place, dwn_word (self->wording, N_("As built")), dated);
  place.y = dwn_sheet_write_top (self, place);
  place.y = write_stations (self, place);
  place.y = dwn_sheet_write_gear (self, place);
  return write_bottom (self, place);
}

DwnScene *
dwn_sheet_layout_built (const DwnPlanView *view, const DwnTables *tables, PangoContext *context,
                        DwnPaperSize size)
{
  return dwn_sheet_page_layout (view, tables, context, size, write_page);
}
