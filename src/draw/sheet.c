#include "draw/sheet-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/antenna/stack.h"
#include "core/study/aim.h"
#include "core/study/mount.h"
#include "core/study/separation.h"
#include "words/aim-words.h"
#include "words/mount-words.h"
#include "words/parts-words.h"
#include "words/path-words.h"
#include "words/site-words.h"

#define ROSE_SIZE 262.0
#define LEAST_ROSE_SIZE 196.0
#define FEWEST_ROWS 4
#define LEAST_GEAR_HEIGHT 194.0
#define MOST_PARTS 24
#define FEWEST_PARTS 6
#define LEAST_GAP 4.5
#define MOST_NAMED 12

const char *
dwn_sheet_keep (DwnSheetPage *self, char *text)
{
  const char *kept = g_string_chunk_insert (self->strings, text);

  g_free (text);
  return kept;
}

const DwnStation *
dwn_sheet_station (const DwnSheetPage *self, guint i)
{
  return &self->plan->stations->station[i];
}

static DwnTextStyle
style (const DwnSheetPage *self, double size, gboolean is_bold, gboolean is_quiet)
{
  return dwn_paper_style (self->paper, size, is_bold, is_quiet);
}

static void
start_page (DwnSheetPage *self, DwnPaperSize size)
{
  double width = size == DWN_PAPER_A4 ? DWN_PAPER_A4_WIDTH : DWN_PAPER_LETTER_WIDTH;
  double height = size == DWN_PAPER_A4 ? DWN_PAPER_A4_HEIGHT : DWN_PAPER_LETTER_HEIGHT;

  self->paper = dwn_paper_new (&self->look, self->context, width, height);
  self->body = (DwnPlace) { DWN_PAPER_MARGIN, size == DWN_PAPER_A4 ? 28.0 : 22.0,
                            width - 2.0 * DWN_PAPER_MARGIN };
  self->bottom = height - 24.0;
  self->plain = style (self, DWN_SIZE_BASE, FALSE, FALSE);
  self->bold = style (self, DWN_SIZE_BASE, TRUE, FALSE);
  self->quiet = style (self, DWN_SIZE_BASE, FALSE, TRUE);
  self->small = style (self, DWN_SIZE_SMALL, FALSE, FALSE);
  self->small_quiet = style (self, DWN_SIZE_SMALL, FALSE, TRUE);
  self->title = style (self, DWN_SIZE_TITLE, TRUE, FALSE);
  self->figure = style (self, DWN_SIZE_FIGURE, TRUE, FALSE);
}

static char *
title_text (const DwnSheetPage *self)
{
  const DwnSite *site = self->plan->site;

  if (site->name[0] == '\0' && site->place[0] == '\0')
    return g_strdup (dwn_word (self->wording, N_("The house")));
  return g_strconcat (site->name, site->name[0] != '\0' && site->place[0] != '\0' ? ", " : "",
                      site->place, NULL);
}

static char *
site_text (const DwnSheetPage *self)
{
  const DwnSite *site = self->plan->site;
  g_autofree char *at = dwn_word_place (self->wording, &site->at);
  g_autofree char *height = dwn_word_height (self->wording, site->height_m);
  g_autofree char *ground = dwn_word_height (self->wording, site->ground_m);
  g_autofree char *antennas = g_strdup_printf (
    dwn_word (self->wording, N_("antennas %s above ground")), height);

  if (isnan (site->ground_m))
    return g_strdup_printf ("%s \xC2\xB7 %s \xC2\xB7 %s", at, dwn_word_mount (self->wording, site->mount),
                            antennas);
  g_autofree char *ground_text = g_strdup_printf (dwn_word (self->wording, N_("ground %s")), ground);
  return g_strdup_printf ("%s \xC2\xB7 %s \xC2\xB7 %s \xC2\xB7 %s", at, ground_text,
                          dwn_word_mount (self->wording, site->mount), antennas);
}

double
dwn_sheet_write_head (DwnSheetPage *self, DwnPlace place, const char *kind, const char *dated)
{
  g_autofree char *title = title_text (self);
  g_autofree char *site = site_text (self);
  DwnTextStyle sheet = style (self, DWN_SIZE_TITLE, FALSE, FALSE);

  place.y = dwn_paper_pair (self->paper, place, title, &self->title, kind, &sheet);
  place.y = dwn_paper_pair (self->paper, place, site, &self->small, dated, &self->small);
  place.y += 5.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TITLE) + self->fit.gap;
}

static char *
window_text (const DwnSheetPage *self, guint antenna)
{
  double from_deg = self->view.window_from_deg[antenna], to_deg = self->view.window_to_deg[antenna];

  if (isnan (from_deg))
    return g_strdup (dwn_word (self->wording, N_("Nothing is dependable at this aim")));
  if (to_deg >= 360.0)
    return g_strdup (dwn_word (self->wording, N_("Any aim holds the same stations")));
  double declination = self->view.findings.declination_deg;
  g_autofree char *from = dwn_word_bearing (self->wording, from_deg);
  g_autofree char *to = dwn_word_bearing (self->wording, to_deg);
  g_autofree char *compass_from = dwn_word_bearing (self->wording, dwn_compass_deg (from_deg, declination));
  g_autofree char *compass_to = dwn_word_bearing (self->wording, dwn_compass_deg (to_deg, declination));
  if (self->wording->magnetic_first)
    return g_strdup_printf (dwn_word (self->wording, N_("Window %s to %s by compass, %s to %s true")),
                            compass_from, compass_to, from, to);
  return g_strdup_printf (dwn_word (self->wording, N_("Window %s to %s true, %s to %s by compass")),
                          from, to, compass_from, compass_to);
}

/* Is there more to say than a page holds at ease? */
static gboolean
is_tight (const DwnSheetPage *self)
{
  return self->fit.gap < DWN_SHEET_GAP;
}

/* Of two in a stack how they stand, of one that has another above or below it how near they may be. */
static char *
distance_text (const DwnSheetPage *self, guint antenna)
{
  const DwnChain *gear = self->plan->gear;
  DwnSeparation separation = dwn_separation_of (gear, antenna);
  DwnStackId stack;

  if (dwn_stack_id_parse (gear->part[gear->antenna[antenna]].pattern->id, &stack))
    {
      g_autofree char *apart = dwn_word_number (self->wording, stack.spacing_m, 2);

      return g_strdup_printf (
        dwn_word (self->wording, stack.direction == DWN_STACK_VERTICAL ? N_(", two %s m apart, one above the other")
                                                                       : N_(", two %s m apart, side by side")), apart);
    }
  if (separation.other < 0 || is_tight (self))
    return g_strdup ("");
  g_autofree char *least = dwn_word_length (self->wording, separation.least_m);
  /* Translators: behind "1 m below the top, elements level" */
  return g_strdup_printf (dwn_word (self->wording, N_(", at least %s from the next")), least);
}

static char *
hanging_text (const DwnSheetPage *self, guint antenna)
{
  const DwnPart *part = &self->plan->gear->part[self->plan->gear->antenna[antenna]];
  g_autofree char *distance = distance_text (self, antenna);
  const char *lie = part->polarisation == DWN_POLARISATION_VERTICAL
                    ? dwn_word (self->wording, N_("elements upright"))
                    : dwn_word (self->wording, N_("elements level"));
  g_autofree char *below = dwn_word_length (self->wording, part->below_top_m);

  gboolean top = isnan (part->below_top_m) || part->below_top_m == 0.0;
  g_autofree char *hangs = top ? g_strdup_printf (dwn_word (self->wording, N_("top of the mast, %s")), lie)
    /* Translators: "1 m below the top, elements level" */
    : g_strdup_printf (dwn_word (self->wording, N_("%s below the top, %s")), below, lie);
  return g_strconcat (hangs, distance, NULL);
}

static double
write_aim (DwnSheetPage *self, DwnPlace place, guint antenna)
{
  const DwnChain *gear = self->plan->gear;
  double aim = self->view.findings.aim_deg[antenna];
  g_autofree char *name = dwn_word_antenna (self->wording, gear, antenna);
  g_autofree char *aim_text = dwn_word_bearing (self->wording, aim);
  g_autofree char *compass = dwn_word_bearing (
    self->wording, dwn_compass_deg (aim, self->view.findings.declination_deg));
  g_autofree char *window = window_text (self, antenna);
  g_autofree char *hanging = hanging_text (self, antenna);
  const char *bearings[] = { aim_text, compass };
  const char *kinds[] = { dwn_word (self->wording, N_("true")), dwn_word (self->wording, N_("by compass")) };
  guint first = self->wording->magnetic_first ? 1 : 0;
  const DwnPaperPiece pieces[] = {
    { bearings[first], self->figure, 0.0 }, { kinds[first], self->small, 5.0 },
    { bearings[1 - first], self->figure, 22.0 }, { kinds[1 - first], self->small, 5.0 },
  };

  name[0] = g_ascii_toupper (name[0]);
  if (is_tight (self))
    place.y = dwn_paper_pair (self->paper, place, name, &self->bold, hanging, &self->small_quiet) + 1.0;
  else
    place.y = dwn_paper_text (self->paper, place, name, &self->bold) + 1.0;
  place.y = dwn_paper_pieces (self->paper, place, pieces, G_N_ELEMENTS (pieces)) + 1.0;
  place.y = dwn_paper_text (self->paper, place, window, &self->small);
  if (is_tight (self))
    return place.y + 5.0;
  return dwn_paper_text (self->paper, place, hanging, &self->small_quiet) + 7.0;
}

/* "going 0.1° east a year", of the declination on the day of the plan; "" where no model says so. */
static void
find_change (DwnSheetPage *self)
{
  const DwnPlan *plan = self->plan;
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (NULL);
  DwnCompassAim aim;
  DwnDate date;

  self->change = "";
  if (model == NULL || !dwn_date_parse (plan->method->date, &date, NULL))
    return;
  dwn_compass_aim (model, &plan->site->at, dwn_date_decimal_year (&date), 0.0, &aim);
  if (!isnan (aim.change_deg_per_year))
    self->change = dwn_sheet_keep (self, g_strconcat (", ", dwn_sheet_keep (
      self, dwn_word_declination_change (self->wording, aim.change_deg_per_year)), NULL));
}

static char *
compass_text (const DwnSheetPage *self)
{
  double declination = self->view.findings.declination_deg;
  g_autofree char *size = dwn_word_number (self->wording, fabs (declination), 1);
  g_autofree char *dated = g_strconcat (self->plan->method->date, self->change, NULL);

  if (declination < 0.0)
    return g_strdup_printf (
      dwn_word (self->wording, N_("Compass bearing = true bearing + %s\xC2\xB0 (declination west, %s). "
                                  "Read the compass 3 m away from steel.")), size,
      dated);
  return g_strdup_printf (
    dwn_word (self->wording, N_("Compass bearing = true bearing \xE2\x88\x92 %s\xC2\xB0 (declination "
                                "east, %s). Read the compass 3 m away from steel.")), size,
    dated);
}

/* The weakest wanted station that is held: what to peak on. -1 where none is. */
static int
weakest_held (const DwnSheetPage *self)
{
  int weakest = -1;

  for (guint w = 0; w < self->wanted->len; w++)
    {
      guint i = g_array_index (self->wanted, guint, w);
      if (self->budget->held[i]
          && (weakest < 0 || dwn_station_chance (self->budget, i)
                             < dwn_station_chance (self->budget, (guint) weakest)))
        weakest = (int) i;
    }
  return weakest;
}

static double
write_peaking (DwnSheetPage *self, DwnPlace place)
{
  int weakest = weakest_held (self);

  if (weakest < 0)
    return place.y;
  g_autofree char *rf = dwn_word_rf (self->wording, dwn_sheet_station (self, (guint) weakest));
  g_autofree char *text = g_strdup_printf (
    dwn_word (self->wording, N_("Turn for the best C/N, not the highest level, on %s (%s): the weakest "
                                "that this aim holds.")),
    dwn_sheet_station (self, (guint) weakest)->name, rf);
  return dwn_paper_text (self->paper, place, text, &self->small) + 5.0;
}

static double
write_legend (DwnSheetPage *self, DwnPlace place)
{
  const struct {
    DwnMark mark;
    const char *text;
  } entries[] = {
    { { DWN_BAND_UHF, 0.95, FALSE }, dwn_word (self->wording, N_("dependable")) },
    { { DWN_BAND_UHF, 0.7, FALSE }, dwn_word (self->wording, N_("worth a trial")) },
    { { DWN_BAND_UHF, 0.1, FALSE }, dwn_word (self->wording, N_("unlikely")) },
    { { DWN_BAND_UHF, 0.95, TRUE }, dwn_word (self->wording, N_("wanted")) },
  };
  DwnPaperCell cells[2 * G_N_ELEMENTS (entries)] = { 0 };
  DwnPaperColumn columns[2 * G_N_ELEMENTS (entries)] = { 0 };

  for (gsize i = 0; i < G_N_ELEMENTS (entries); i++)
    {
      cells[2 * i] = (DwnPaperCell) { .has_mark = TRUE, .mark = entries[i].mark };
      cells[2 * i + 1] = (DwnPaperCell) { .text = entries[i].text, .small = TRUE };
    }
  const DwnPaperTable table = { .n_columns = G_N_ELEMENTS (columns), .n_rows = 1, .columns = columns,
                                .cells = cells, .row_height = 12.0, .tight = TRUE };
  return dwn_paper_table (self->paper, place, &table);
}

static double
write_aims (DwnSheetPage *self, DwnPlace place)
{
  g_autofree char *compass = compass_text (self);

  for (guint a = 0; a < self->plan->gear->n_antennas; a++)
    place.y = write_aim (self, place, a);
  place.y = dwn_paper_rule (self->paper, place, DWN_RULE_TABLE) + 6.0;
  place.y = dwn_paper_text (self->paper, place, compass, &self->small) + 4.0;
  place.y = write_peaking (self, place);
  return write_legend (self, place);
}

static double
draw_rose (DwnSheetPage *self, double x, double y)
{
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&self->view);
  g_autoptr (DwnScene) scene = dwn_rose_layout (&rose->data, &self->look, self->context,
                                                self->fit.rose_size, self->fit.rose_size, NULL);

  dwn_paper_scene (self->paper, scene, x, y);
  return y + self->fit.rose_size;
}

/* Aims at the start, the rose at the end of the same block. */
double
dwn_sheet_write_top (DwnSheetPage *self, DwnPlace place)
{
  double rose = self->fit.rose_size;
  DwnPlace start = { place.x, place.y, place.width - rose - 12.0 };
  double below = write_aims (self, start);

  below = fmax (below, draw_rose (self, place.x + place.width - rose, place.y - 8.0));
  place.y = below + 3.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_BLOCK) + self->fit.gap;
}

#define N_COLUMNS 11

static void
fill_row (DwnSheetPage *self, guint i, DwnPaperCell *cell)
{
  const DwnStation *station = dwn_sheet_station (self, i);
  const DwnArrival *arrival = &self->view.findings.fields->arrival[i];
  const DwnReception *reception = self->budget->n_outlets == 0 ? NULL
    : &self->budget->reception[(gsize) i * self->budget->n_outlets + self->budget->weakest[i]];
  g_autofree char *distance = dwn_word_distance (self->wording, arrival->distance_m);
  g_autofree char *level = dwn_word_level_figure (self->wording, reception != NULL ? reception->level_dbm
                                                                                  : (double) NAN, 0);
  g_autofree char *sigma = dwn_word_number (self->wording, reception != NULL ? reception->sigma_db
                                                                            : (double) NAN, 0);
  static const char *const waves[] = { "\xE2\x80\x93", "H", "V", "C" };

  cell[0] = (DwnPaperCell) { .has_mark = TRUE, .mark = dwn_plan_mark (&self->view, i) };
  cell[1] = (DwnPaperCell) { .text = station->name, .bold = TRUE };
  cell[2] = (DwnPaperCell) { .small = TRUE, .text = dwn_sheet_keep (self, g_strconcat (
    station->site, station->site[0] != '\0' ? ", " : "", distance, NULL)) };
  cell[3] = (DwnPaperCell) { .text = station->rf, .bold = TRUE };
  cell[4] = (DwnPaperCell) { .text = dwn_station_on_screen (station, self->plan->services) };
  guint true_at = self->wording->magnetic_first ? 6 : 5;
  cell[true_at] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_bearing (self->wording, arrival->bearing_deg)) };
  cell[11 - true_at] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_bearing (
    self->wording, dwn_compass_deg (arrival->bearing_deg, self->view.findings.declination_deg))) };
  cell[7] = (DwnPaperCell) { .text = waves[station->polarisation] };
  cell[8] = (DwnPaperCell) { .text = dwn_sheet_keep (self, g_strconcat (level, " \xC2\xB1 ", sigma, NULL)) };
  cell[9] = (DwnPaperCell) { .text = dwn_sheet_keep (self, dwn_word_chance (
    self->wording, dwn_station_chance (self->budget, i))) };
  cell[10] = (DwnPaperCell) { .n_boxes = 2 };
}

static double
write_table (DwnSheetPage *self, DwnPlace place, guint n_rows)
{
  g_autofree DwnPaperCell *cells = g_new0 (DwnPaperCell, (gsize) MAX (n_rows, 1) * N_COLUMNS);
  g_autofree char *level = g_strdup_printf (dwn_word (self->wording, N_("Level, %s")),
                                            dwn_word_level_unit (self->wording));
  const char *bearings[] = { dwn_word (self->wording, N_("Bearing")), dwn_word (self->wording, N_("By compass")) };
  guint first = self->wording->magnetic_first ? 1 : 0;
  const DwnPaperColumn columns[N_COLUMNS] = {
    { NULL, 0.5 }, { dwn_word (self->wording, N_("Station")), 0.0 },
    { dwn_word (self->wording, N_("Transmitter")), 0.0 },
    { dwn_word (self->wording, N_("RF")), 1.0 }, { dwn_word (self->wording, N_("On screen")), 1.0 },
    { bearings[first], 1.0 }, { bearings[1 - first], 1.0 },
    { dwn_word (self->wording, N_("Waves")), 0.5 }, { level, 1.0 },
    { dwn_word (self->wording, N_("Chance")), 1.0 },
    { dwn_word (self->wording, N_("Read: level, C/N")), 0.5 },
  };
  const DwnPaperTable table = { .n_columns = N_COLUMNS, .n_rows = n_rows, .columns = columns,
                                .cells = cells, .row_height = DWN_SHEET_ROW_HEIGHT };

  for (guint row = 0; row < n_rows; row++)
    fill_row (self, g_array_index (self->wanted, guint, row), &cells[row * N_COLUMNS]);
  return n_rows > 0 ? dwn_paper_table (self->paper, place, &table) : place.y;
}

static void
append_station (const DwnSheetPage *self, GString *text, guint i)
{
  g_autofree char *rf = dwn_word_rf (self->wording, dwn_sheet_station (self, i));
  g_autofree char *chance = dwn_word_chance (self->wording, dwn_station_chance (self->budget, i));

  g_string_append_printf (text, "%s%s %s %s", text->len > 0 ? "   " : "", dwn_sheet_station (self, i)->name, rf,
                          chance);
}

/* Stations that have no row: the rest of the wanted ones, then what may come in besides. */
static GArray *
find_rest (const DwnSheetPage *self)
{
  GArray *rest = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint w = self->fit.n_rows; w < self->wanted->len; w++)
    g_array_append_val (rest, g_array_index (self->wanted, guint, w));
  for (guint i = 0; i < self->plan->stations->n; i++)
    if (dwn_station_wanted (dwn_sheet_station (self, i), self->plan->services) == DWN_WANTED_NO
        && dwn_station_chance (self->budget, i) >= DWN_CHANCE_TRIAL)
      g_array_append_val (rest, i);
  return rest;
}

static char *
rest_text (const DwnSheetPage *self)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GArray) rest = find_rest (self);
  guint n = MIN (rest->len, MOST_NAMED);

  for (guint i = 0; i < n; i++)
    append_station (self, text, g_array_index (rest, guint, i));
  if (rest->len > n)
    g_string_append_printf (text, dwn_word_plural (self->wording, "   and %u more", "   and %u more",
                                                   rest->len - n), rest->len - n);
  return rest->len > 0 ? g_strdup_printf (dwn_word (self->wording, N_("Also: %s")), text->str) : NULL;
}

double
dwn_sheet_write_rest (DwnSheetPage *self, DwnPlace place)
{
  g_autofree char *rest = rest_text (self);

  if (rest != NULL)
    place.y = dwn_paper_text (self->paper, place, rest, &self->small) + 2.0;
  if (self->seasons[0] != '\0')
    place.y = dwn_paper_text (self->paper, place, self->seasons, &self->small) + 2.0;
  place.y += 3.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_BLOCK) + self->fit.gap;
}

static double
write_stations (DwnSheetPage *self, DwnPlace place)
{
  place.y = dwn_paper_pair (self->paper, place, dwn_word (self->wording, N_("Wanted stations")), &self->bold,
                            dwn_word (self->wording, N_("levels at the weakest outlet")),
                            &self->small_quiet) + 2.0;
  place.y = write_table (self, place, self->fit.n_rows) + 3.0;
  return dwn_sheet_write_rest (self, place);
}

/* The gear's figures follow the wanted station that is least sure. */
static int
least_sure (const DwnSheetPage *self)
{
  int least = -1;

  for (guint w = 0; w < self->wanted->len; w++)
    {
      guint i = g_array_index (self->wanted, guint, w);
      if (least < 0 || dwn_station_chance (self->budget, i) < dwn_station_chance (self->budget, (guint) least))
        least = (int) i;
    }
  return least;
}

double
dwn_sheet_write_gear (DwnSheetPage *self, DwnPlace place)
{
  g_autoptr (DwnScene) scene = NULL;
  DwnPlanView view = self->view;

  view.station = least_sure (self);
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&view);
  double height = fmin (dwn_gear_height (&gear->data, &self->look), self->fit.gear_height);
  scene = dwn_gear_layout (&gear->data, &self->look, self->context, place.width, height);
  dwn_paper_scene (self->paper, scene, place.x, place.y);
  place.y += height + 4.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TITLE) + self->fit.gap;
}

/* Where the cable stands among the lines: last, but for the total. 0 where there is none. */
static guint
cable_line (const DwnPartsList *list, const GPtrArray *lines)
{
  guint behind = isnan (list->total) ? 1 : 2;

  for (guint k = 0; k < list->n; k++)
    if (list->line[k].kind == DWN_PARTS_CABLE)
      return lines->len - behind;
  return 0;
}

static double
write_parts (DwnSheetPage *self, DwnPlace place)
{
  const DwnTables *tables = dwn_budget_base_tables (self->view.base);
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (self->plan->gear, &tables->parts_rules);
  g_autoptr (GPtrArray) parts = dwn_word_parts (self->wording, list, self->plan->method->currency);
  guint n = MIN (parts->len, self->fit.n_parts), cable = cable_line (list, parts);

  place.y = dwn_paper_text (self->paper, place, dwn_word (self->wording, N_("Parts")), &self->bold) + 2.0;
  for (guint i = 0; i < n; i++)
    {
      guint line = i == n - 1 && n <= cable ? cable : i; /* nobody climbs up without the cable */
      place.y = dwn_paper_text (self->paper, place, g_ptr_array_index (parts, line), &self->small);
    }
  if (n < parts->len)
    {
      g_autofree char *more = g_strdup_printf (
        dwn_word_plural (self->wording, "and %u more line in the plan",
                         "and %u more lines in the plan", parts->len - n), parts->len - n);
      place.y = dwn_paper_text (self->paper, place, more, &self->small);
    }
  return place.y;
}

static double
write_checks (DwnSheetPage *self, DwnPlace place)
{
  g_autoptr (GPtrArray) checks = dwn_word_checks (self->wording, &self->view.findings);

  place.y = dwn_paper_text (self->paper, place, dwn_word (self->wording, N_("Mount and checks")), &self->bold) + 2.0;
  return dwn_paper_checks (self->paper, place, (const char *const *) checks->pdata, checks->len, 12.2);
}

static double
write_cautions (DwnSheetPage *self, DwnPlace place)
{
  g_autoptr (GPtrArray) cautions = dwn_word_cautions (self->wording, self->plan);
  DwnTextStyle markup = self->small;

  markup.markup = TRUE;
  place.y = dwn_paper_text (self->paper, place, dwn_word (self->wording, N_("Cautions")), &self->bold) + 2.0;
  for (guint i = 0; i < cautions->len; i++)
    place.y = dwn_paper_text (self->paper, place, g_ptr_array_index (cautions, i), &markup) + 3.0;
  return place.y;
}

/* The mount's own figures under the words of caution. Where the user's file of rules cannot be read
 * the check of the plan says so; the sheet leaves the figures out. */
static double
write_figures (DwnSheetPage *self, DwnPlace place)
{
  DwnMountRules rules;

  if (!dwn_mount_rules_load (&rules, NULL))
    return place.y;
  g_autoptr (DwnMountStudy) study = dwn_mount_study_new (self->plan, &rules);
  g_autoptr (GPtrArray) figures = dwn_word_mount_figures (self->wording, self->plan, study, NULL);
  if (figures == NULL || figures->len == 0)
    return place.y;
  g_ptr_array_add (figures, NULL);
  g_autofree char *text = g_strjoinv (" \xC2\xB7 ", (char **) figures->pdata);
  return dwn_paper_text (self->paper, place, text, &self->small) + 2.0;
}

static double
write_bottom (DwnSheetPage *self, DwnPlace place)
{
  double third = (place.width - 2.0 * 16.0) / 3.0;
  DwnPlace column = { place.x, place.y, third };
  double below = write_parts (self, column);

  column.x += third + 16.0;
  below = fmax (below, write_checks (self, column));
  column.x += third + 16.0;
  column.y = fmax (below, write_cautions (self, column)) + 2.0;
  place.y = write_figures (self, (DwnPlace) { place.x, column.y, place.width }) + 2.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_BLOCK) + 8.0;
}

static double
write_blanks (DwnSheetPage *self, DwnPlace place)
{
  const char *const labels[] = { N_("Installed by"), N_("Date"), N_("Meter"), N_("As built") };
  const double shares[] = { 0.36, 0.18, 0.22, 0.24 };
  double below = place.y;

  for (gsize i = 0; i < G_N_ELEMENTS (labels); i++)
    {
      DwnPlace blank = { place.x, place.y, shares[i] * place.width - 10.0 };
      below = fmax (below, dwn_paper_blank (self->paper, blank, dwn_word (self->wording, labels[i])));
      place.x += shares[i] * place.width;
    }
  return below;
}

static double
write_page (DwnSheetPage *self)
{
  g_autofree char *planned = self->plan->method->date[0] == '\0' ? NULL : g_strdup_printf (
    dwn_word (self->wording, N_("planned %s")), self->plan->method->date);
  DwnPlace place = self->body;

  place.y = dwn_sheet_write_head (self, place, dwn_word (self->wording, N_("Install sheet")), planned);
  place.y = dwn_sheet_write_top (self, place);
  place.y = write_stations (self, place);
  place.y = dwn_sheet_write_gear (self, place);
  place.y = write_bottom (self, place);
  return write_blanks (self, place);
}

/* How far the page comes out too long; 0 or less: it fits. */
static double
overrun (DwnSheetPage *self)
{
  dwn_paper_measure_begin (self->paper);
  double below = self->write (self);
  dwn_paper_measure_end (self->paper);
  return below - self->bottom;
}

static double
natural_gear_height (const DwnSheetPage *self)
{
  DwnPlanView view = self->view;

  view.station = least_sure (self);
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&view);
  return dwn_gear_height (&gear->data, &self->look);
}

/* The most of @count, not under @least, with which the page fits; otherwise @least. Fewer always take
 * less room. Returns what it still overruns. */
static double
fit_count (DwnSheetPage *self, guint *count, guint least)
{
  guint low = least, high = MAX (*count, least);

  *count = low;
  double over = overrun (self);
  while (low < high && over <= 0.0)
    {
      *count = (low + high + 1) / 2;
      if (overrun (self) <= 0.0)
        low = *count;
      else
        high = *count - 1;
    }
  *count = low;
  return over;
}

static void
fit_page (DwnSheetPage *self)
{
  DwnSheetFit *fit = &self->fit;

  *fit = (DwnSheetFit) { self->wanted->len, ROSE_SIZE, natural_gear_height (self), G_MAXUINT, DWN_SHEET_GAP };
  double over = overrun (self);
  if (over > 0.0)
    {
      fit->gap = LEAST_GAP;
      over = overrun (self);
    }
  if (over > 0.0)
    {
      fit->rose_size = fmax (ROSE_SIZE - over, LEAST_ROSE_SIZE);
      over = overrun (self);
    }
  if (over > 0.0)
    {
      fit->gear_height = fmax (fit->gear_height - over, fmin (LEAST_GEAR_HEIGHT, fit->gear_height));
      over = overrun (self);
    }
  if (over > 0.0)
    {
      fit->n_parts = MOST_PARTS;
      over = fit_count (self, &fit->n_parts, FEWEST_PARTS);
    }
  if (over > 0.0)
    {
      fit_count (self, &fit->n_rows, FEWEST_ROWS);
      fit->n_parts = MOST_PARTS; /* lines that find room beside the checks cost nothing */
      fit_count (self, &fit->n_parts, FEWEST_PARTS);
    }
}

/* Once: the page is laid out several times until it fits. */
static void
find_windows (DwnSheetPage *self, double *from_deg, double *to_deg)
{
  for (guint a = 0; a < self->plan->gear->n_antennas; a++)
    dwn_aim_window (self->view.base, self->view.findings.aim_deg, a, &from_deg[a], &to_deg[a]);
  self->view.window_from_deg = from_deg;
  self->view.window_to_deg = to_deg;
}

static void
find_seasons (DwnSheetPage *self)
{
  self->seasons = "";
  if (!dwn_house_has_seasons (self->plan->site))
    return;
  g_autoptr (DwnSeasons) seasons = dwn_seasons_of_base (self->view.base, self->view.findings.aim_deg);
  self->seasons = dwn_sheet_keep (self, dwn_word_seasons (self->wording, self->plan, seasons));
}

static void
find_wanted (DwnSheetPage *self)
{
  for (int mark = DWN_WANTED_MUST; mark > DWN_WANTED_NO; mark--)
    for (guint i = 0; i < self->plan->stations->n; i++)
      if ((int) dwn_station_wanted (dwn_sheet_station (self, i), self->plan->services) == mark)
        g_array_append_val (self->wanted, i);
}

DwnScene *
dwn_sheet_page_layout (const DwnPlanView *view, const DwnTables *tables, PangoContext *context,
                       DwnPaperSize size, DwnSheetWrite write)
{
  DwnSheetPage self = {
    .write = write, .tables = tables, .view = *view, .wording = view->wording, .plan = view->findings.plan,
    .budget = view->findings.budget, .look = dwn_look_paper (), .context = context,
    .strings = g_string_chunk_new (1024), .wanted = g_array_new (FALSE, FALSE, sizeof (guint)),
  };
  self.view.station = self.view.hovered = self.view.fan_mast = -1;
  self.view.names_only = TRUE;
  self.view.legend = FALSE;
  self.view.zoom = 1.0;
  g_autofree double *from_deg = g_new (double, self.plan->gear->n_antennas);
  g_autofree double *to_deg = g_new (double, self.plan->gear->n_antennas);
  find_windows (&self, from_deg, to_deg);
  find_wanted (&self);
  find_seasons (&self);
  find_change (&self);
  start_page (&self, size);
  fit_page (&self);
  write (&self);

  DwnScene *scene = dwn_paper_finish (self.paper);
  g_array_unref (self.wanted);
  g_string_chunk_free (self.strings);
  return scene;
}

DwnScene *
dwn_sheet_layout (const DwnPlanView *view, PangoContext *context, DwnPaperSize size)
{
  return dwn_sheet_page_layout (view, NULL, context, size, write_page);
}
