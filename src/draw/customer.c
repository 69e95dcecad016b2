#include "draw/customer.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/paper.h"
#include "words/diagnosis-words.h"
#include "words/remedy-words.h"

#define DOT " \xC2\xB7 "
/* On this page type is a little larger than on the sheet: it is read at a table. */
#define BASE_PT 10.2
/* The rose's margins go with its type: as small as may be, 7.5 pt for what is small. */
#define ROSE_BASE_PT 9.2
/* Of its margin above and below, which the letters do not fill. */
#define ROSE_TRIM 16.0
#define GAP 7.0
/* Columns of the remedies, from the right. */
#define CHANCE_WIDTH 42.0
#define BAR_WIDTH 56.0
#define GAIN_WIDTH 58.0
#define COLUMN_GAP 12.0
#define BAR_HEIGHT 5.5
#define BEST 2 /* remedies in bold, first */
#define MOST_REMEDIES 6
#define ENOUGH_REMEDIES 4

/* What gives way where there is more to say than the page holds, in this order. */
typedef struct {
  double rose_size, path_height, stairs_height;
  guint n_remedies;
} Fit;
static const Fit roomy = { 226.0, 160.0, 224.0, MOST_REMEDIES };
static const Fit least = { 190.0, 112.0, 164.0, BEST };

typedef struct {
  DwnPlanView view;
  const DwnWording *wording;
  const DwnPlan *plan;
  const DwnStation *station;
  const DwnArrival *arrival;
  const DwnDiagnosis *diagnosis;
  const DwnRemedies *remedies;
  DwnLook look;
  PangoContext *context;
  DwnPaper *paper;
  DwnPlace body;
  double bottom;
  DwnTextStyle plain, bold, small, small_quiet, head, title;
  Fit fit;
} Page;

static void
start_page (Page *self, DwnPaperSize size)
{
  double width = size == DWN_PAPER_A4 ? DWN_PAPER_A4_WIDTH : DWN_PAPER_LETTER_WIDTH;
  double height = size == DWN_PAPER_A4 ? DWN_PAPER_A4_HEIGHT : DWN_PAPER_LETTER_HEIGHT;

  self->paper = dwn_paper_new (&self->look, self->context, width, height);
  self->body = (DwnPlace) { DWN_PAPER_MARGIN, size == DWN_PAPER_A4 ? 30.0 : 24.0,
                            width - 2.0 * DWN_PAPER_MARGIN };
  self->bottom = height - 26.0;
  self->plain = dwn_paper_style (self->paper, DWN_SIZE_BASE, FALSE, FALSE);
  self->bold = dwn_paper_style (self->paper, DWN_SIZE_BASE, TRUE, FALSE);
  self->small = dwn_paper_style (self->paper, DWN_SIZE_SMALL, FALSE, FALSE);
  self->small_quiet = dwn_paper_style (self->paper, DWN_SIZE_SMALL, FALSE, TRUE);
  self->head = dwn_paper_style (self->paper, DWN_SIZE_TITLE, TRUE, FALSE);
  self->title = dwn_paper_style (self->paper, DWN_SIZE_FIGURE, TRUE, FALSE);
}

/* Title */

static void
append (GString *line, const char *text)
{
  if (text != NULL && text[0] != '\0')
    g_string_append_printf (line, "%s%s", line->len > 0 ? DOT : "", text);
}

/* "Thistledown, Marl End · RF channel 35, shown on the set as 17.1 · outlet 3 · 2026-05-14" */
static char *
subtitle (const Page *self)
{
  const DwnSite *site = self->plan->site;
  const char *on_screen = dwn_station_on_screen (self->station, self->plan->services);
  const char *between = site->name[0] != '\0' && site->place[0] != '\0' ? ", " : "";
  g_autofree char *house = g_strconcat (site->name, between, site->place, NULL);
  g_autofree char *channel = on_screen[0] != '\0'
    ? g_strdup_printf (dwn_word (self->wording, N_("RF channel %s, shown on the set as %s")),
                       self->station->rf, on_screen)
    : g_strdup_printf (dwn_word (self->wording, N_("RF channel %s")), self->station->rf);
  g_autofree char *outlet = g_strdup_printf (dwn_word (self->wording, N_("outlet %u")),
                                             self->diagnosis->outlet + 1);
  GString *line = g_string_new (NULL);

  append (line, house);
  append (line, channel);
  append (line, outlet);
  append (line, self->plan->method->date);
  return g_string_free (line, FALSE);
}

static double
write_title (Page *self, DwnPlace place)
{
  g_autofree char *title = dwn_word_explain_title (&self->view, self->diagnosis);
  g_autofree char *line = subtitle (self);

  place.y = dwn_paper_text (self->paper, place, title, &self->title) + 2.0;
  place.y = dwn_paper_text (self->paper, place, line, &self->small) + 6.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TITLE) + 9.0;
}

/* Cause and rose */

/* "It comes from Mirebeck, 38 km away at 131° (118° by compass). The UHF antenna looks to 80°." */
static char *
place_sentence (const Page *self)
{
  const DwnChain *gear = self->plan->gear;
  guint a = self->diagnosis->reception.antenna;
  double declination = self->view.findings.declination_deg;
  const char *site = self->station->site[0] != '\0' ? self->station->site : self->station->name;
  g_autofree char *distance = dwn_word_distance (self->wording, self->arrival->distance_m);
  g_autofree char *bearing = dwn_word_bearing (self->wording, self->arrival->bearing_deg);
  g_autofree char *compass = dwn_word_bearing (self->wording,
                                               dwn_compass_deg (self->arrival->bearing_deg, declination));
  /* Translators: a transmitter's place, "38 km", "131°", the same by compass */
  g_autofree char *from = g_strdup_printf (
    dwn_word (self->wording, N_("The signal comes from %s, %s away at %s (%s by compass).")), site, distance,
    bearing, compass);

  if (gear->n_antennas == 0 || self->diagnosis->reception.limit == DWN_LIMIT_UNCONNECTED
      || gear->part[gear->antenna[a]].rotator)
    return g_strdup (from);
  g_autofree char *antenna = dwn_word_antenna (self->wording, gear, a);
  g_autofree char *aim = dwn_word_bearing (self->wording, self->view.findings.aim_deg[a]);
  /* Translators: "UHF antenna", "80°" */
  g_autofree char *looks = g_strdup_printf (dwn_word (self->wording, N_("The %s looks to %s.")), antenna, aim);
  return g_strconcat (from, " ", looks, NULL);
}

static double
write_cause (Page *self, DwnPlace place)
{
  g_autofree char *cause = dwn_word_diagnosis (self->wording, &self->view.findings, self->diagnosis);
  g_autofree char *outcome = dwn_word_outcome (self->wording, self->diagnosis);
  g_autofree char *where = place_sentence (self);
  DwnTextStyle large = dwn_paper_style (self->paper, DWN_SIZE_TITLE, FALSE, FALSE);

  place.y = dwn_paper_text (self->paper, place, cause, &large) + 8.0;
  place.y = dwn_paper_text (self->paper, place, outcome, &self->plain) + 8.0;
  return dwn_paper_text (self->paper, place, where, &self->plain);
}

/* The rose of this one station: its mark, its spoke, the antenna that brings it. */
static double
draw_rose (Page *self, double x, double y)
{
  DwnPlanView view = self->view;
  guint antenna = self->diagnosis->reception.antenna;

  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&view);
  DwnRoseData data = rose->data;
  DwnRoseStation station = data.stations[self->diagnosis->station];
  DwnRoseMast mast = data.masts[station.mast];

  station.mast = 0;
  data.n_stations = data.n_masts = 1;
  data.stations = &station;
  data.masts = &mast;
  if (antenna < data.n_antennas)
    {
      data.antennas = &data.antennas[antenna];
      data.n_antennas = 1;
    }
  DwnLook look = self->look;
  look.base = ROSE_BASE_PT;
  g_autoptr (DwnScene) scene = dwn_rose_layout (&data, &look, self->context, self->fit.rose_size,
                                                self->fit.rose_size, NULL);
  dwn_paper_scene (self->paper, scene, x, y);
  return y + self->fit.rose_size;
}

static double
write_top (Page *self, DwnPlace place)
{
  double rose = self->fit.rose_size;
  DwnPlace start = { place.x, place.y, place.width - rose - 14.0 };
  double below = write_cause (self, start);

  double under = draw_rose (self, place.x + place.width - rose, place.y - ROSE_TRIM) - ROSE_TRIM;
  return fmax (below, under) + GAP;
}

/* The way and the staircase */

static char *
way_title (const Page *self)
{
  if (self->station->site[0] == '\0')
    return g_strdup (dwn_word (self->wording, N_("The way to the house")));
  return g_strdup_printf (dwn_word (self->wording, N_("The way from %s to the house")), self->station->site);
}

static double
write_way (Page *self, DwnPlace place)
{
  g_autoptr (DwnPlanPath) path = dwn_plan_path_new (&self->view);
  g_autofree char *title = way_title (self);
  g_autofree char *distance = dwn_word_distance (self->wording, self->arrival->distance_m);
  g_autofree char *note = g_strdup_printf (dwn_word (self->wording, N_("%s, heights enlarged")), distance);

  if (path == NULL)
    {
      place.y = dwn_paper_pair (self->paper, place, title, &self->head, distance, &self->small_quiet) + 2.0;
      return dwn_paper_text (self->paper, place,
                             dwn_word (self->wording, N_("The plan has no profile of the ground on this way: "
                                                         "what it takes is from charts for average ground.")),
                             &self->plain) + GAP;
    }
  path->data.title = NULL;
  path->data.note = NULL;
  place.y = dwn_paper_pair (self->paper, place, title, &self->head, note, &self->small_quiet);
  g_autoptr (DwnScene) scene = dwn_path_layout (&path->data, &self->look, self->context, place.width,
                                                self->fit.path_height);
  dwn_paper_scene (self->paper, scene, place.x, place.y);
  return place.y + self->fit.path_height + GAP;
}

static double
write_stairs (Page *self, DwnPlace place)
{
  g_autoptr (DwnPlanStaircase) stairs = dwn_plan_staircase_new (&self->view, self->diagnosis, NULL, 0);

  if (stairs == NULL)
    return place.y;
  stairs->data.title = NULL;
  stairs->data.note = NULL;
  stairs->data.intro = NULL;
  place.y = dwn_paper_pair (self->paper, place,
                            dwn_word (self->wording, N_("What takes the signal away, and what brings it back")),
                            &self->head, dwn_word (self->wording, N_("dB at each step")),
                            &self->small_quiet) + 2.0;
  g_autoptr (DwnScene) scene = dwn_staircase_layout (&stairs->data, &self->look, self->context, place.width,
                                                     self->fit.stairs_height);
  dwn_paper_scene (self->paper, scene, place.x, place.y);
  place.y += self->fit.stairs_height + 2.0;
  g_autofree char *needs = dwn_word_needs (self->wording, self->diagnosis);
  return dwn_paper_text (self->paper, place, needs, &self->small_quiet) + GAP;
}

/* What would help */

static double
write_at_end (Page *self, DwnPlace place, double right, double width, const char *text,
              const DwnTextStyle *style)
{
  DwnPlace cell = { place.x + place.width - right - width, place.y, width };

  return dwn_paper_pair (self->paper, cell, NULL, style, text, style);
}

static double
write_heads (Page *self, DwnPlace place)
{
  double below;

  below = dwn_paper_text (self->paper, place, dwn_word (self->wording, N_("What would help")), &self->head);
  place.y += 2.5;
  write_at_end (self, place, 0.0, CHANCE_WIDTH + COLUMN_GAP + BAR_WIDTH,
                dwn_word (self->wording, N_("chance then")), &self->small_quiet);
  write_at_end (self, place, CHANCE_WIDTH + BAR_WIDTH + 2.0 * COLUMN_GAP, GAIN_WIDTH,
                dwn_word (self->wording, N_("gain")), &self->small_quiet);
  place.y = below + 2.0;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TABLE);
}

static char *
remedy_text (const Page *self, const DwnRemedy *remedy)
{
  g_autofree char *text = dwn_word_remedy (self->wording, &self->view.findings, remedy);
  g_autofree char *effect = dwn_word_remedy_effect (self->wording, &self->view.findings, remedy);
  const char *up = remedy->climb ? "\xC2\xA0\xE2\x96\xB3" : "";

  return effect == NULL ? g_strconcat (text, up, NULL) : g_strconcat (text, "; ", effect, up, NULL);
}

static double
write_remedy (Page *self, DwnPlace place, const DwnRemedy *remedy, gboolean is_best)
{
  g_autofree char *text = remedy_text (self, remedy);
  g_autofree char *signed_gain = dwn_word_signed (self->wording, remedy->gain_db, 1);
  g_autofree char *gain = g_strconcat (signed_gain, "\xC2\xA0", "dB", NULL);
  g_autofree char *chance = dwn_word_chance (self->wording, remedy->reception.chance);
  double right = CHANCE_WIDTH + BAR_WIDTH + GAIN_WIDTH + 2.0 * COLUMN_GAP;
  DwnPlace first = { place.x, place.y + 3.0, place.width - right - COLUMN_GAP };
  DwnPlace bar = { place.x + place.width - CHANCE_WIDTH - BAR_WIDTH, 0.0, BAR_WIDTH };
  const DwnTextStyle *style = is_best ? &self->bold : &self->plain;
  double line, below = dwn_paper_text (self->paper, first, text, style);

  place.y += 3.0;
  line = write_at_end (self, place, 0.0, CHANCE_WIDTH, chance, &self->bold);
  write_at_end (self, place, CHANCE_WIDTH + BAR_WIDTH + 2.0 * COLUMN_GAP, GAIN_WIDTH, gain, style);
  bar.y = (place.y + line - BAR_HEIGHT) / 2.0;
  dwn_paper_share (self->paper, bar, BAR_HEIGHT, remedy->reception.chance, DWN_CHANCE_HELD);
  place.y = fmax (below, line) + 2.5;
  return dwn_paper_rule (self->paper, place, DWN_RULE_TABLE);
}

static double
write_remedies (Page *self, DwnPlace place)
{
  guint n = MIN (self->remedies->n, self->fit.n_remedies);

  place.y = write_heads (self, place);
  for (guint k = 0; k < n; k++)
    place.y = write_remedy (self, place, &self->remedies->remedy[k], k < BEST);
  if (n == 0)
    place.y = dwn_paper_text (self->paper, place,
                              dwn_word (self->wording, N_("No single change that the program knows brings half "
                                                          "a decibel.")), &self->plain);
  return place.y + 6.0;
}

static double
write_notes (Page *self, DwnPlace place)
{
  g_autofree char *notes = g_strconcat (
    dwn_word (self->wording, N_("dB: every 3 dB halve or double the power. Chance: how likely it is that the signal "
                                "at this outlet is above what the set needs; the mark in the bars is 90 %. A "
                                "reading at the house replaces this forecast.")),
    " \xE2\x96\xB3 ", dwn_word_climb_caution (self->wording), NULL);

  return dwn_paper_text (self->paper, place, notes, &self->small_quiet);
}

static double
write_page (Page *self)
{
  DwnPlace place = self->body;

  place.y = write_title (self, place);
  place.y = write_top (self, place);
  place.y = write_way (self, place);
  place.y = write_stairs (self, place);
  place.y = write_remedies (self, place);
  return write_notes (self, place);
}

/* How far the page comes out too long; 0 or less: it fits. */
static double
overrun (Page *self)
{
  dwn_paper_measure_begin (self->paper);
  double below = write_page (self);
  dwn_paper_measure_end (self->paper);
  return below - self->bottom;
}

/* The last remedies go first, then every drawing gives a little, at last the rest of them. */
static void
fit_page (Page *self)
{
  Fit *fit = &self->fit;

  *fit = roomy;
  while (overrun (self) > 0.0 && fit->n_remedies > ENOUGH_REMEDIES)
    fit->n_remedies--;
  for (double over = overrun (self); over > 0.0 && fit->path_height > least.path_height; over = overrun (self))
    {
      fit->rose_size = fmax (fit->rose_size - 4.0, least.rose_size);
      fit->path_height = fmax (fit->path_height - 4.0, least.path_height);
      fit->stairs_height = fmax (fit->stairs_height - 4.0, least.stairs_height);
    }
  while (overrun (self) > 0.0 && fit->n_remedies > least.n_remedies)
    fit->n_remedies--;
}

DwnScene *
dwn_customer_layout (const DwnPlanView *view, const DwnDiagnosis *diagnosis,
                     const DwnRemedies *remedies, PangoContext *context, DwnPaperSize size)
{
  g_return_val_if_fail (view != NULL && diagnosis != NULL && remedies != NULL, NULL);

  Page self = {
    .view = *view, .wording = view->wording, .plan = view->findings.plan,
    .station = &view->findings.plan->stations->station[diagnosis->station],
    .arrival = &view->findings.fields->arrival[diagnosis->station], .diagnosis = diagnosis,
    .remedies = remedies, .look = dwn_look_paper (), .context = context,
  };

  self.look.base = BASE_PT;
  self.view.station = (int) diagnosis->station;
  self.view.outlet = (int) diagnosis->outlet;
  self.view.hovered = self.view.fan_mast = -1;
  self.view.names_only = TRUE;
  self.view.legend = FALSE;
  self.view.zoom = 1.0;
  start_page (&self, size);
  fit_page (&self);
  write_page (&self);
  return dwn_paper_finish (self.paper);
}
