#include "words/diagnosis-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

const char *
dwn_word_part_kind (const DwnWording *wording, DwnPartKind kind)
{
  static const char *const names[DWN_N_PART_KINDS] = {
    [DWN_PART_ANTENNA] = N_("Antenna"), [DWN_PART_BALUN] = N_("Balun"),
    [DWN_PART_FILTER] = N_("Filter"), [DWN_PART_COMBINER] = N_("Combiner"),
    [DWN_PART_AMPLIFIER] = N_("Amplifier"), [DWN_PART_INSERTER] = N_("Power inserter"),
    [DWN_PART_SURGE] = N_("Ground block"), [DWN_PART_SPLITTER] = N_("Splitter"),
    [DWN_PART_TAP] = N_("Tap"), [DWN_PART_ATTENUATOR] = N_("Attenuator"),
    [DWN_PART_EQUALISER] = N_("Equaliser"), [DWN_PART_PLATE] = N_("Wall plate"),
    [DWN_PART_JOINT] = N_("Joint"), [DWN_PART_SWITCH] = N_("Switch"), [DWN_PART_OUTLET] = N_("Outlet"),
  };

  g_return_val_if_fail ((guint) kind < DWN_N_PART_KINDS, NULL);
  return dwn_word (wording, names[kind]);
}

static guint
outlet_number (const DwnChain *gear, guint part)
{
  guint o = 0;

  while (o + 1 < gear->n_outlets && gear->outlet[o] != part)
    o++;
  return o + 1;
}

char *
dwn_word_part (const DwnWording *wording, const DwnChain *gear, guint part)
{
  if (gear->part[part].name != NULL)
    return g_strdup (gear->part[part].name);
  if (gear->part[part].kind == DWN_PART_OUTLET)
    return g_strdup_printf (dwn_word (wording, N_("Outlet %u")), outlet_number (gear, part));
  if (gear->part[part].kind == DWN_PART_AMPLIFIER && gear->part[part].on_mast)
    return g_strdup (dwn_word (wording, N_("Mast amplifier")));
  return g_strdup (dwn_word_part_kind (wording, gear->part[part].kind));
}

char *
dwn_word_the_part (const DwnWording *wording, const DwnChain *gear, guint part)
{
  static const char *const names[DWN_N_PART_KINDS] = {
    [DWN_PART_ANTENNA] = N_("the antenna"), [DWN_PART_BALUN] = N_("the balun"),
    [DWN_PART_FILTER] = N_("the filter"), [DWN_PART_COMBINER] = N_("the combiner"),
    [DWN_PART_AMPLIFIER] = N_("the amplifier"), [DWN_PART_INSERTER] = N_("the power inserter"),
    [DWN_PART_SURGE] = N_("the ground block"), [DWN_PART_SPLITTER] = N_("the splitter"),
    [DWN_PART_TAP] = N_("the tap"), [DWN_PART_ATTENUATOR] = N_("the attenuator"),
    [DWN_PART_EQUALISER] = N_("the equaliser"), [DWN_PART_PLATE] = N_("the wall plate"),
    [DWN_PART_JOINT] = N_("the joint"), [DWN_PART_SWITCH] = N_("the switch"),
    [DWN_PART_OUTLET] = N_("the outlet"),
  };

  if (gear->part[part].name != NULL)
    return g_strdup (gear->part[part].name);
  if (gear->part[part].kind == DWN_PART_OUTLET)
    return g_strdup_printf (dwn_word (wording, N_("outlet %u")), outlet_number (gear, part));
  if (gear->part[part].kind == DWN_PART_AMPLIFIER && gear->part[part].on_mast)
    return g_strdup (dwn_word (wording, N_("the mast amplifier")));
  return g_strdup (dwn_word (wording, names[gear->part[part].kind]));
}

/* Steps */

static const char *
crest_of (const DwnDiagnosis *diagnosis)
{
  const DwnPlan *plan = diagnosis->plan;
  const DwnPath *path = dwn_paths_find (plan->paths, plan->stations->station[diagnosis->station].id);

  return path == NULL ? NULL : path->crest;
}

static const char *
house_name (const DwnWording *wording, const DwnHouseLoss *loss)
{
  static const char *const names[DWN_N_HOUSE_KINDS] = {
    [DWN_HOUSE_FIGURES] = N_("house"), [DWN_HOUSE_ROOF] = N_("roof"),
    [DWN_HOUSE_BUILDING] = N_("building"), [DWN_HOUSE_CLUTTER] = N_("houses around"),
    [DWN_HOUSE_TREES] = N_("trees"),
  };

  if (loss->name != NULL && loss->name[0] != '\0')
    return loss->name;
  return dwn_word (wording, names[loss->kind]);
}

static char *
capital (char *text)
{
  gunichar first = g_utf8_get_char (text);
  char upper[8] = { 0 };
  char *whole;

  if (text[0] == '\0')
    return text;
  g_unichar_to_utf8 (g_unichar_toupper (first), upper);
  whole = g_strconcat (upper, g_utf8_next_char (text), NULL);
  g_free (text);
  return whole;
}

char *
dwn_word_loss_name (const DwnWording *wording, const DwnFindings *findings,
                    const DwnDiagnosis *diagnosis, const DwnLossStep *step)
{
  static const char *const names[] = {
    [DWN_LOSS_POWER] = N_("Power"), [DWN_LOSS_BEAM] = N_("Sent this way"),
    [DWN_LOSS_FREE_SPACE] = N_("Distance"), [DWN_LOSS_HORIZON] = N_("Horizon"),
    [DWN_LOSS_RIDGE] = N_("Ridge"), [DWN_LOSS_TERRAIN] = N_("Ground"),
    [DWN_LOSS_CURVES] = N_("Ground"), [DWN_LOSS_FADING] = N_("Fading"),
    [DWN_LOSS_READING] = N_("Reading"), [DWN_LOSS_HOUSE] = N_("House"),
    [DWN_LOSS_ANTENNA] = N_("Antenna"), [DWN_LOSS_AIM] = N_("Aim"),
    [DWN_LOSS_POLARISATION] = N_("Elements"), [DWN_LOSS_FEED] = N_("Antenna"),
    [DWN_LOSS_CABLE] = N_("Cable"), [DWN_LOSS_PART] = N_("Part"), [DWN_LOSS_OTHERS] = N_("Others"),
  };

  if (step->kind == DWN_LOSS_PART)
    return dwn_word_part (wording, findings->plan->gear, (guint) step->index);
  if (step->kind == DWN_LOSS_HOUSE)
    return capital (g_strdup (house_name (wording, &findings->plan->site->loss[step->index])));
  if (step->kind == DWN_LOSS_RIDGE && crest_of (diagnosis) != NULL)
    return g_strdup (crest_of (diagnosis));
  return g_strdup (dwn_word (wording, names[step->kind]));
}

/* Degrees by which the antenna that brings the station looks past it. */
static double
off_deg (const DwnFindings *findings, const DwnDiagnosis *diagnosis)
{
  return fabs (remainder (findings->fields->arrival[diagnosis->station].bearing_deg
                          - findings->aim_deg[diagnosis->reception.antenna], 360.0));
}

static char *
part_detail (const DwnWording *wording, const DwnChain *gear, const DwnLossStep *step)
{
  switch (gear->part[step->index].kind)
    {
    case DWN_PART_AMPLIFIER:
      if (!gear->powered[step->index])
        return g_strdup (dwn_word (wording, N_("without power")));
      return NULL;
    case DWN_PART_SPLITTER:
      return g_strdup_printf ("1 : %u", gear->type[step->index]->n_out);
    default:
      return NULL;
    }
}

char *
dwn_word_loss_detail (const DwnWording *wording, const DwnFindings *findings,
                      const DwnDiagnosis *diagnosis, const DwnLossStep *step)
{
  const DwnPlan *plan = findings->plan;
  g_autofree char *off = step->kind == DWN_LOSS_AIM
                         ? dwn_word_bearing (wording, off_deg (findings, diagnosis)) : NULL;

  switch (step->kind)
    {
    case DWN_LOSS_POWER:
      return dwn_word_power (wording, plan->stations->station[diagnosis->station].erp_kw);
    case DWN_LOSS_FREE_SPACE:
      return dwn_word_distance (wording, findings->fields->arrival[diagnosis->station].distance_m);
    case DWN_LOSS_TERRAIN:
      return g_strdup (dwn_word (wording, N_("on the way")));
    case DWN_LOSS_CURVES:
      return g_strdup (dwn_word (wording, N_("by charts")));
    case DWN_LOSS_FADING:
      /* xgettext:no-c-format */
      return g_strdup (dwn_word (wording, N_("90 % of time")));
    case DWN_LOSS_ANTENNA:
      return g_strdup (dwn_word (wording, N_("at best")));
    case DWN_LOSS_AIM:
      /* Translators: "38° off", of an antenna that looks past the station */
      return g_strdup_printf (dwn_word (wording, N_("%s off")), off);
    case DWN_LOSS_POLARISATION:
      return g_strdup (dwn_word (wording, N_("across")));
    case DWN_LOSS_FEED:
      return g_strdup (dwn_word (wording, N_("its feed")));
    case DWN_LOSS_CABLE:
      return dwn_word_length (wording, plan->gear->edge[step->index].length_m);
    case DWN_LOSS_PART:
      return part_detail (wording, plan->gear, step);
    case DWN_LOSS_OTHERS:
      return g_strdup (dwn_word (wording, N_("add to it")));
    case DWN_LOSS_BEAM:
    case DWN_LOSS_HORIZON:
    case DWN_LOSS_RIDGE:
    case DWN_LOSS_READING:
    case DWN_LOSS_HOUSE:
    default:
      return NULL;
    }
}

/* Causes, each a clause */

/* What the words for one cause need. */
typedef struct {
  const DwnWording *wording;
  const DwnFindings *findings;
  const DwnDiagnosis *diagnosis;
  const DwnArrival *arrival;
  char *taken; /* "21.8 dB" */
} Clause;

static const DwnStation *
station_of (const Clause *self)
{
  return &self->findings->plan->stations->station[self->diagnosis->station];
}

/* The step of a cause that takes most; NULL where it has none. */
static const DwnLossStep *
largest_step (const DwnDiagnosis *diagnosis, DwnCause cause)
{
  const DwnLossStep *largest = NULL;

  for (guint k = 0; k < diagnosis->n_steps; k++)
    if (diagnosis->step[k].cause == cause && diagnosis->step[k].gain_db < 0.0
        && (largest == NULL || diagnosis->step[k].gain_db < largest->gain_db))
      largest = &diagnosis->step[k];
  return largest;
}

static char *
say_ridge (const Clause *self)
{
  const DwnClearance *worst = &self->arrival->clearance;
  g_autofree char *height = dwn_word_height (self->wording, fabs (worst->clearance_m));
  g_autofree char *away = dwn_word_distance (self->wording,
                                             self->arrival->distance_m - worst->distance_m);
  const char *crest = crest_of (self->diagnosis);

  /* Translators: a summit, "62 m", "9.2 km", "21.8 dB" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s, %s above the straight line and %s from the "
                                                      "house, takes %s")),
                          crest != NULL ? crest : dwn_word (self->wording, N_("a ridge")), height, away,
                          self->taken);
}

static char *
say_building (const Clause *self)
{
  const DwnLossStep *step = largest_step (self->diagnosis, DWN_CAUSE_BUILDING);
  const char *name = step == NULL ? dwn_word (self->wording, N_("house"))
    : house_name (self->wording, &self->findings->plan->site->loss[step->index]);

  /* Translators: "wood to the south-east", "12.0 dB" */
  return g_strdup_printf (dwn_word (self->wording, N_("the %s takes %s")), name, self->taken);
}

static char *
say_off_beam (const Clause *self)
{
  g_autofree char *off = dwn_word_bearing (self->wording, off_deg (self->findings, self->diagnosis));

  return g_strdup_printf (dwn_word (self->wording, N_("an antenna aimed %s aside gives away %s")), off,
                          self->taken);
}

static char *
say_wrong_band (const Clause *self)
{
  const DwnLossStep *step = largest_step (self->diagnosis, DWN_CAUSE_WRONG_BAND);
  const DwnChain *gear = self->findings->plan->gear;
  const char *band = dwn_word_band (self->wording, station_of (self)->band);

  if (step != NULL && step->kind == DWN_LOSS_PART)
    {
      g_autofree char *part = dwn_word_the_part (self->wording, gear, (guint) step->index);
      return g_strdup_printf (dwn_word (self->wording, N_("%s holds back this channel and takes %s")),
                              part, self->taken);
    }
  g_autofree char *antenna = dwn_word_antenna (self->wording, gear, self->diagnosis->reception.antenna);
  /* Translators: "UHF antenna", "low VHF", "19.7 dB" */
  return g_strdup_printf (dwn_word (self->wording, N_("the %s is not made for %s and gives away %s")),
                          antenna, band, self->taken);
}

static gboolean
has_amplifier (const Clause *self)
{
  const DwnChain *gear = self->findings->plan->gear;

  for (guint k = 0; k < self->diagnosis->n_steps; k++)
    if (self->diagnosis->step[k].kind == DWN_LOSS_PART
        && gear->part[self->diagnosis->step[k].index].kind == DWN_PART_AMPLIFIER)
      return TRUE;
  return FALSE;
}

static char *
say_cable (const Clause *self)
{
  if (has_amplifier (self))
    return g_strdup_printf (dwn_word (self->wording, N_("the cable before the amplifier takes %s")),
                            self->taken);
  return g_strdup_printf (dwn_word (self->wording, N_("the cable, with no amplifier before it, takes %s")),
                          self->taken);
}

static char *
say_overload (const Clause *self)
{
  const DwnReception *r = &self->diagnosis->reception;
  g_autofree char *part = dwn_word_the_part (self->wording, self->findings->plan->gear, r->headroom_part);
  g_autofree char *over = dwn_word_decibels (self->wording, -r->headroom_db);

  if (r->headroom_db >= 0.0)
    return g_strdup_printf (dwn_word (self->wording, N_("%s mixes strong signals into new ones that land in this "
                                                        "channel, which takes %s")), part, self->taken);
  return g_strdup_printf (dwn_word (self->wording, N_("%s gets %s more than it bears from all stations "
                                                      "together")), part, over);
}

static char *
say_interference (const Clause *self)
{
  int disturber = self->diagnosis->disturber;

  if (disturber < 0)
    return g_strdup_printf (dwn_word (self->wording, N_("other stations disturb and take %s")), self->taken);
  const DwnStation *other = &self->findings->plan->stations->station[disturber];
  /* Translators: a station, its RF channel, "4.2 dB" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s on RF %s disturbs it and takes %s")),
                          other->name, other->rf, self->taken);
}

static char *
say_no_power (const Clause *self)
{
  g_autofree char *part = dwn_word_the_part (self->wording, self->findings->plan->gear,
                                         (guint) self->diagnosis->index);

  return g_strdup_printf (dwn_word (self->wording, N_("%s gets no power, which takes %s")), part,
                          self->taken);
}

static char *
say_distance (const Clause *self)
{
  g_autofree char *away = dwn_word_distance (self->wording, self->arrival->distance_m);
  g_autofree char *power = dwn_word_power (self->wording, station_of (self)->erp_kw);

  if (!(self->diagnosis->taken_db[DWN_CAUSE_DISTANCE] > 0.0))
    return g_strdup_printf (dwn_word (self->wording, N_("the station is far away for its power: %s with %s")),
                            away, power);
  /* Translators: "104 km", "5 kW", "12.0 dB" */
  return g_strdup_printf (dwn_word (self->wording, N_("the station is too far away for its power, %s with "
                                                      "%s: %s are missing however well all else is done")),
                          away, power, self->taken);
}

static char *
say (const Clause *self, DwnCause cause)
{
  const DwnWording *wording = self->wording;

  switch (cause)
    {
    case DWN_CAUSE_DISTANCE:
      return say_distance (self);
    case DWN_CAUSE_RIDGE:
      return say_ridge (self);
    case DWN_CAUSE_BUILDING:
      return say_building (self);
    case DWN_CAUSE_OFF_BEAM:
      return say_off_beam (self);
    case DWN_CAUSE_CROSSED:
      return g_strdup_printf (dwn_word (wording, N_("elements that lie across the wave give away %s")),
                              self->taken);
    case DWN_CAUSE_WRONG_BAND:
      return say_wrong_band (self);
    case DWN_CAUSE_CABLE:
      return say_cable (self);
    case DWN_CAUSE_SPLITTING:
      return g_strdup_printf (dwn_word (wording, N_("splitting the signal takes %s")), self->taken);
    case DWN_CAUSE_OVERLOAD:
      return say_overload (self);
    case DWN_CAUSE_NOISE:
      return g_strdup_printf (dwn_word (wording, N_("man-made noise around the house takes %s")),
                              self->taken);
    case DWN_CAUSE_INTERFERENCE:
      return say_interference (self);
    case DWN_CAUSE_NO_POWER:
      return say_no_power (self);
    case DWN_CAUSE_UNCONNECTED:
      return g_strdup (dwn_word (wording, N_("nothing leads from an antenna to this outlet")));
    case DWN_CAUSE_NONE:
    default:
      return g_strdup (dwn_word (wording, N_("nothing takes much of it")));
    }
}

static char *
word_cause (const DwnWording *wording, const DwnFindings *findings, const DwnDiagnosis *diagnosis,
            DwnCause cause)
{
  Clause clause = { wording, findings, diagnosis, &findings->fields->arrival[diagnosis->station], NULL };

  clause.taken = dwn_word_decibels (wording, diagnosis->taken_db[cause]);
  char *text = say (&clause, cause);
  g_free (clause.taken);
  return text;
}

char *
dwn_word_diagnosis (const DwnWording *wording, const DwnFindings *findings,
                    const DwnDiagnosis *diagnosis)
{
  DwnCause causes[DWN_MOST_NAMED];
  guint n = dwn_diagnosis_name_causes (diagnosis, causes);
  GString *text = g_string_new (NULL);

  for (guint k = 0; k < n; k++)
    {
      const char *before = k == 0 ? "" : k + 1 < n ? "; " : dwn_word (wording, N_(", and "));
      g_autofree char *clause = word_cause (wording, findings, diagnosis, causes[k]);

      g_string_append_printf (text, "%s%s", before, clause);
    }
  g_string_append_c (text, '.');
  return capital (g_string_free (text, FALSE));
}

char *
dwn_word_outcome (const DwnWording *wording, const DwnDiagnosis *diagnosis)
{
  const DwnReception *r = &diagnosis->reception;
  g_autofree char *margin = dwn_word_decibels (wording, fabs (r->margin_db));
  g_autofree char *sigma = dwn_word_number (wording, r->sigma_db, 0);
  g_autofree char *chance = dwn_word_chance (wording, r->chance);

  if (r->limit == DWN_LIMIT_UNCONNECTED)
    return g_strdup ("");
  if (r->margin_db < 0.0)
    /* Translators: "6.4 dB", "10", "28 %" */
    return g_strdup_printf (
      dwn_word (wording, N_("What reaches the set is %s less than it needs. The forecast itself is good to "
                            "about %s dB, so the chance of a steady picture is %s.")),
      margin, sigma, chance);
  return g_strdup_printf (
    dwn_word (wording, N_("What reaches the set is %s above what it needs. The forecast itself is good to "
                          "about %s dB, so the chance of a steady picture is %s.")),
    margin, sigma, chance);
}

static void
append_need (const DwnWording *wording, GString *text, const char *form, double db)
{
  g_autofree char *figure = dwn_word_decibels (wording, db);
  g_auto (GStrv) halves = g_strsplit (form, "%s", 2);

  /* What rounds to nothing is not worth a word. */
  if (fabs (db) >= 0.05 && halves[0] != NULL && halves[1] != NULL)
    g_string_append_printf (text, ", %s%s%s", halves[0], figure, halves[1]);
}

char *
dwn_word_needs (const DwnWording *wording, const DwnDiagnosis *diagnosis)
{
  const double *need_db = diagnosis->need_db;
  const DwnReception *r = &diagnosis->reception;
  g_autofree char *enough = dwn_word_level (wording, r->level_dbm - r->margin_db);
  g_autofree char *noise = dwn_word_level (wording, need_db[DWN_NEED_GEAR]);
  GString *text = g_string_new (NULL);

  if (isnan (need_db[DWN_NEED_GEAR]))
    return g_string_free (text, FALSE);
  /* Translators: two levels, "−78.0 dBm" and "−96.8 dBm"; what follows is a list of dB on top. */
  g_string_append_printf (text, dwn_word (wording, N_("Just enough at this outlet is %s: noise of gear and "
                                                      "tuner %s")), enough, noise);
  append_need (wording, text, dwn_word (wording, N_("%s from noise outside")), need_db[DWN_NEED_AMBIENT]);
  append_need (wording, text, dwn_word (wording, N_("%s from other stations")), need_db[DWN_NEED_INTERFERENCE]);
  append_need (wording, text, dwn_word (wording, N_("%s from products of the amplifiers")),
               need_db[DWN_NEED_PRODUCTS]);
  append_need (wording, text, dwn_word (wording, N_("%s that the broadcast needs")), need_db[DWN_NEED_RATIO]);
  append_need (wording, text, dwn_word (wording, N_("%s for antennas against each other")), need_db[DWN_NEED_PHASE]);
  append_need (wording, text, dwn_word (wording, N_("%s for overload")), need_db[DWN_NEED_OVERLOAD]);
  g_string_append_c (text, '.');
  return g_string_free (text, FALSE);
}
