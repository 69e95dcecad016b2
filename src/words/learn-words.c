#include "words/learn-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "words/check-words.h"

/* Replaces {name} by what is taken over. */
static void
fill_in (GString *text, const char *name, char *shown)
{
  g_string_replace (text, name, shown, 0);
  g_free (shown);
}

static const char *
part_name (const DwnWording *wording, const DwnPlan *plan, int part)
{
  return dwn_word_part_name (wording, plan->gear, (guint) part);
}

static char *
word_site (const DwnWording *wording, const DwnLearnedCause *cause)
{
  GString *text;
  double middle_deg = fmod (cause->from_deg + fmod (cause->to_deg - cause->from_deg + 360.0,
                                                    360.0) / 2.0,
                            360.0);

  if (cause->from_deg == cause->to_deg)
    text = g_string_new (dwn_word (wording, N_("the house in {band}, all round")));
  else
    text = g_string_new (dwn_word (wording, N_("the house in {band} towards {bearing}")));
  fill_in (text, "{band}", g_strdup (dwn_word_band (wording, cause->band)));
  fill_in (text, "{bearing}", dwn_word_bearing (wording, middle_deg));
  return g_string_free (text, FALSE);
}

char *
dwn_word_cause (const DwnWording *wording, const DwnPlan *plan, const DwnLearnedCause *cause)
{
  const char *format;

  switch (cause->kind)
    {
    case DWN_LEARNED_SITE:
      return word_site (wording, cause);
    case DWN_LEARNED_CABLE:
      format = N_("the downlead from {part} with its connectors");
      break;
    case DWN_LEARNED_GAIN:
      format = N_("the gain of {part}");
      break;
    case DWN_LEARNED_AIM:
      format = N_("the aim of {part}");
      break;
    case DWN_LEARNED_OUTLET:
    default:
      format = N_("the leg to {part}");
      break;
    }
  GString *text = g_string_new (dwn_word (wording, format));
  fill_in (text, "{part}", g_strdup (part_name (wording, plan, cause->part)));
  return g_string_free (text, FALSE);
}

/* One sentence a kind, for a value above and one below; both are given without their sign. */
static const struct {
  const char *above, *below;
} sentences[] = {
  [DWN_LEARNED_SITE] = { N_("{cause} loses {value} more than planned ({low} to {high}); chance {chance}"),
                       N_("{cause} loses {value} less than planned ({low} to {high}); chance {chance}") },
  [DWN_LEARNED_CABLE] = { N_("{cause} loses {value} more than planned at 600 MHz ({low} to {high}); chance "
                           "{chance}"),
                        N_("{cause} loses {value} less than planned at 600 MHz ({low} to {high}); chance "
                           "{chance}") },
  [DWN_LEARNED_GAIN] = { N_("{cause} is {value} above plan ({low} to {high}); chance {chance}"),
                       N_("{cause} is {value} under plan ({low} to {high}); chance {chance}") },
  [DWN_LEARNED_AIM] = { N_("{cause} is {value} clockwise of plan ({low} to {high}); chance {chance}"),
                      N_("{cause} is {value} anticlockwise of plan ({low} to {high}); chance {chance}") },
  [DWN_LEARNED_OUTLET] = { N_("{cause} loses {value} more than planned ({low} to {high}); chance {chance}"),
                         N_("{cause} loses {value} less than planned ({low} to {high}); chance {chance}") },
};

static char *
word_value (const DwnWording *wording, const DwnLearnedCause *cause, double value)
{
  if (cause->kind != DWN_LEARNED_AIM)
    return dwn_word_decibels (wording, value);
  g_autofree char *number = dwn_word_number (wording, value, 0);
  return g_strconcat (number, "\xC2\xB0", NULL);
}

/* The first letter of a sentence, as large as it gets. */
static char *
begin_sentence (char *text)
{
  gunichar first = g_utf8_get_char (text);
  char letter[7] = "";

  letter[g_unichar_to_utf8 (g_unichar_toupper (first), letter)] = '\0';
  char *sentence = g_strconcat (letter, g_utf8_next_char (text), NULL);
  g_free (text);
  return sentence;
}

char *
dwn_word_learned_cause (const DwnWording *wording, const DwnPlan *plan, const DwnLearnedCause *cause)
{
  gboolean above = cause->estimate >= 0.0;
  double sign = above ? 1.0 : -1.0;
  GString *text = g_string_new (dwn_word (wording, above ? sentences[cause->kind].above
                                                         : sentences[cause->kind].below));

  fill_in (text, "{cause}", dwn_word_cause (wording, plan, cause));
  fill_in (text, "{value}", word_value (wording, cause, fabs (cause->estimate)));
  fill_in (text, "{low}", word_value (wording, cause, sign * (above ? cause->low : cause->high)));
  fill_in (text, "{high}", word_value (wording, cause, sign * (above ? cause->high : cause->low)));
  fill_in (text, "{chance}", dwn_word_chance (wording, cause->chance));
  return begin_sentence (g_string_free (text, FALSE));
}

char *
dwn_word_cause_cure (const DwnWording *wording, const DwnLearnedCause *cause)
{
  static const char *const cures[] = {
    [DWN_LEARNED_SITE] = N_("Look what stands in the way there; try the antenna a metre aside or higher"),
    [DWN_LEARNED_CABLE] = N_("Look at the connectors outdoors for water and make them anew; renew the cable "
                           "if that does not help"),
    [DWN_LEARNED_GAIN] = N_("Measure the supply at the amplifier; exchange the amplifier if it is there"),
    [DWN_LEARNED_AIM] = N_("Turn the antenna back to its aim"),
    [DWN_LEARNED_OUTLET] = N_("Exchange the fly-lead, then the wall plate, then look at the leg's connectors"),
  };

  return g_strdup (dwn_word (wording, cures[cause->kind]));
}

char *
dwn_word_learned (const DwnWording *wording, const DwnPlan *plan, const DwnLearned *learned)
{
  if (learned->n_used == 0)
    return g_strdup (dwn_word (wording, N_("No reading says anything of a level yet")));
  if (learned->n_causes > 0 && learned->cause[0].chance >= DWN_LEARNED_FOUND)
    return dwn_word_learned_cause (wording, plan, &learned->cause[0]);
  if (learned->ordinary_chance >= DWN_LEARNED_FOUND)
    return g_strdup (dwn_word (wording, N_("The readings are as far from prediction as predictions are; "
                                           "nothing is out of the ordinary")));
  return g_strdup (dwn_word (wording, N_("Something is out of the ordinary, and the readings do not tell "
                                         "what")));
}

static char *
word_reading (const DwnWording *wording, const DwnPlan *plan, guint k)
{
  const DwnReading *reading = &plan->readings->reading[k];
  int station = dwn_stations_find (plan->stations, reading->station);
  int part = dwn_chain_find (plan->gear, reading->where);
  GString *text = g_string_new (dwn_word (wording, N_("the reading of {station} at {part}")));

  fill_in (text, "{station}", g_strdup (station >= 0 ? plan->stations->station[station].name
                                                     : reading->station));
  fill_in (text, "{part}", g_strdup (part >= 0 ? part_name (wording, plan, part) : reading->where));
  return g_string_free (text, FALSE);
}

static char *
word_explanation (const DwnWording *wording, const DwnPlan *plan, const DwnLearned *learned,
                  guint cause, int reading)
{
  if (cause < learned->n_causes)
    return dwn_word_cause (wording, plan, &learned->cause[cause]);
  g_autofree char *which = word_reading (wording, plan, (guint) reading);
  GString *text = g_string_new (dwn_word (wording, N_("a slip in {reading}")));
  fill_in (text, "{reading}", g_strdup (which));
  return g_string_free (text, FALSE);
}

char *
dwn_word_undecided (const DwnWording *wording, const DwnPlan *plan, const DwnLearned *learned,
                    const DwnUndecided *pair)
{
  GString *text = g_string_new (dwn_word (wording,
                                          N_("{first} or {second}: the readings do not tell "
                                                      "them apart. {next}")));

  fill_in (text, "{first}", word_explanation (wording, plan, learned, pair->first, pair->reading));
  fill_in (text, "{second}", word_explanation (wording, plan, learned, pair->second, pair->reading));
  if (pair->station < 0)
    fill_in (text, "{next}", g_strdup (dwn_word (wording, N_("Nothing that can be read here would"))));
  else
    {
      fill_in (text, "{next}", g_strdup (dwn_word (wording, N_("Read {station} at {part}: there they "
                                                               "differ by {deviates} times the error"))));
      fill_in (text, "{station}", g_strdup (plan->stations->station[pair->station].name));
      fill_in (text, "{part}", g_strdup (part_name (wording, plan, pair->part)));
      fill_in (text, "{deviates}", dwn_word_number (wording, pair->deviates, 1));
    }
  return begin_sentence (g_string_free (text, FALSE));
}

char *
dwn_word_outlier (const DwnWording *wording, const DwnPlan *plan, const DwnOutlier *outlier)
{
  GString *text = g_string_new (dwn_word (
    wording, outlier->excess_db < 0.0
             ? N_("{reading} lies {value} under what all others say and was left out; read it again")
             : N_("{reading} lies {value} over what all others say and was left out; read it again")));

  fill_in (text, "{reading}", word_reading (wording, plan, outlier->reading));
  fill_in (text, "{value}", dwn_word_decibels (wording, fabs (outlier->excess_db)));
  return begin_sentence (g_string_free (text, FALSE));
}

char *
dwn_word_learned_level (const DwnWording *wording, const DwnLearnedLevel *level)
{
  GString *text = g_string_new (dwn_word (wording,
                                          N_("{before} \xC2\xB1 {spread}, after the readings "
                                                      "{after} \xC2\xB1 {narrower}")));

  fill_in (text, "{before}", dwn_word_level (wording, level->before_dbm));
  fill_in (text, "{spread}", dwn_word_number (wording, level->before_sd_db, 0));
  fill_in (text, "{after}", dwn_word_level (wording, level->after_dbm));
  fill_in (text, "{narrower}", dwn_word_number (wording, level->after_sd_db, 0));
  return g_string_free (text, FALSE);
}
