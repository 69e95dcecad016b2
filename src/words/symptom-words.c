#include "words/symptom-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* What speaks this much for a cause is told. */
#define TELLING_WEIGHT 1.5

/* Replaces {name} by what is taken over. */
static void
fill_in (GString *text, const char *name, char *shown)
{
  g_string_replace (text, name, shown, 0);
  g_free (shown);
}

/* Texts of the data file are translated like our own. */
static char *
cause_name (const DwnWording *wording, const DwnSymptoms *symptoms, guint cause)
{
  return g_strdup (dwn_word (wording, symptoms->cause[cause].name));
}

char *
dwn_word_suspicion (const DwnWording *wording, const DwnSymptoms *symptoms,
                    const DwnSuspicion *suspicion)
{
  GString *text;

  if (suspicion->n_causes < 2)
    return g_strdup ("");
  text = g_string_new (suspicion->chance[0] >= DWN_SUSPICION_FOUND
                       ? dwn_word (wording, N_("Found, as far as can be told: {first} ({chance})"))
                       : dwn_word (wording,
                                   N_("Most likely {first} ({chance}), then {second} ({less})")));
  fill_in (text, "{first}", cause_name (wording, symptoms, suspicion->order[0]));
  fill_in (text, "{chance}", dwn_word_chance (wording, suspicion->chance[0]));
  fill_in (text, "{second}", cause_name (wording, symptoms, suspicion->order[1]));
  fill_in (text, "{less}", dwn_word_chance (wording, suspicion->chance[1]));
  return g_string_free (text, FALSE);
}

char *
dwn_word_separating_test (const DwnWording *wording, const DwnSymptoms *symptoms,
                          const DwnSuspicion *suspicion)
{
  if (suspicion->test < 0)
    return NULL;
  guint yes = suspicion->test_yes_first ? 0 : 1;
  GString *text = g_string_new (dwn_word (wording,
                                          N_("{test} A yes speaks for {yes}, a no for {no}.")));
  fill_in (text, "{test}", g_strdup (dwn_word (wording, symptoms->question[suspicion->test].text)));
  fill_in (text, "{yes}", cause_name (wording, symptoms, suspicion->order[yes]));
  fill_in (text, "{no}", cause_name (wording, symptoms, suspicion->order[1 - yes]));
  return g_string_free (text, FALSE);
}

GPtrArray *
dwn_word_known (const DwnWording *wording, const DwnSymptoms *symptoms, const DwnAnswer *answers)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);

  for (guint q = 0; q < symptoms->n_questions; q++)
    {
      const DwnQuestion *question = &symptoms->question[q];

      if (answers[q] == DWN_ANSWER_YES
          && (question->kind == DWN_QUESTION_PLAN || question->kind == DWN_QUESTION_READ))
        g_ptr_array_add (lines, g_strdup (dwn_word (wording, question->text)));
    }
  return lines;
}

char *
dwn_word_finding (const DwnWording *wording, const DwnSymptoms *symptoms, const DwnAnswer *answers,
                  guint cause)
{
  GString *text = g_string_new (NULL);
  guint n = 0;

  fill_in (g_string_append (text, "{cause}"), "{cause}", cause_name (wording, symptoms, cause));
  for (guint q = 0; q < symptoms->n_questions; q++)
    if (answers[q] != DWN_ANSWER_NONE
        && dwn_symptoms_weight (symptoms, q, answers[q], cause) >= TELLING_WEIGHT)
      {
        g_string_append (text, n++ == 0 ? ": " : "; ");
        g_string_append (text, dwn_word (wording, symptoms->question[q].text));
        if (symptoms->question[q].kind == DWN_QUESTION_SEEN
            || symptoms->question[q].kind == DWN_QUESTION_TEST)
          g_string_append_printf (text, " %s",
                                  answers[q] == DWN_ANSWER_YES ? dwn_word (wording, N_("yes"))
                                                                            : dwn_word (wording,
                                                                                        N_("no")));
      }
  return g_string_free (text, FALSE);
}

/* Scan list */

static const char *
limit_text (const DwnWording *wording, DwnLimit limit)
{
  static const char *const texts[] = {
    [DWN_LIMIT_NOISE] = N_("there is too little signal"),
    [DWN_LIMIT_AMBIENT] = N_("noise of the surroundings rules"),
    [DWN_LIMIT_INTERFERENCE] = N_("other stations disturb it"),
    [DWN_LIMIT_OVERLOAD] = N_("an amplifier or the set gets too much"),
    [DWN_LIMIT_UNCONNECTED] = N_("nothing leads to this outlet"),
  };

  return dwn_word (wording, texts[limit]);
}

static const char *const reasons[DWN_N_SCAN_REASONS] = {
  [DWN_SCAN_NO_REASON] = "",
  [DWN_SCAN_NOTHING] = N_("nothing was found at all: look at the set's input and that it scans for an "
                          "antenna, then the amplifier's power, then the downlead"),
  [DWN_SCAN_BAND] = N_("nothing in {band} was found: look at that band's antenna, its input of the "
                       "combiner, and filters"),
  [DWN_SCAN_MAST] = N_("nothing from its direction was found: look at the aim, and what stands there"),
  [DWN_SCAN_SYSTEM] = N_("nothing of its broadcast system was found: the set may not have it"),
  [DWN_SCAN_CHANCE] = N_("it was a trial, {chance}: more signal would help"),
  [DWN_SCAN_LIMIT] = N_("it was a trial, {chance}: {limit}"),
  [DWN_SCAN_LIST_OLD] = N_("television has left this channel: bring the station list up to date"),
  [DWN_SCAN_UNEXPLAINED] = N_("it should come in, {chance}: scan this channel by hand and read its level"),
  [DWN_SCAN_UNLIKELY] = N_("it was unlikely here, {chance}: it may not stay"),
  [DWN_SCAN_UNKNOWN] = N_("no station of the plan: the list is old, or it comes from afar for a while"),
};

static char *
word_reason (const DwnWording *wording, const DwnPlan *plan, const DwnScanRow *row)
{
  const char *reason = reasons[row->reason];
  GString *text = g_string_new (reason[0] != '\0' ? dwn_word (wording, reason) : "");

  if (row->station >= 0)
    fill_in (text, "{band}", g_strdup (dwn_word_band (wording, plan->stations->station[row->station].band)));
  fill_in (text, "{chance}", dwn_word_chance (wording, row->chance));
  fill_in (text, "{limit}", g_strdup (limit_text (wording, row->limit)));
  return g_string_free (text, FALSE);
}

char *
dwn_word_scan_row (const DwnWording *wording, const DwnPlan *plan, const DwnScanRow *row)
{
  static const char *const states[DWN_N_SCAN_STATES] = {
    N_("{what} should be found"), N_("{what} may be found, {chance}"), N_("{what} is there"),
    N_("{what} is missing: {reason}"), N_("{what} was not expected: {reason}"),
  };
  GString *text = g_string_new (dwn_word (wording, states[row->state]));

  fill_in (text, "{what}", g_strdup (row->station >= 0 ? plan->stations->station[row->station].name
                                                       : row->found));
  fill_in (text, "{chance}", dwn_word_chance (wording, row->chance));
  fill_in (text, "{reason}", word_reason (wording, plan, row));
  return g_string_free (text, FALSE);
}
