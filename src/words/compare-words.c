#include "words/compare-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define DASH "\xE2\x80\x93"
/* A sentence names so many services at most. */
#define MOST_NAMES 4

char *
dwn_word_compared_margin (const DwnWording *wording, const DwnComparedSide *side)
{
  if (isnan (side->margin_db))
    return g_strdup (DASH);
  g_autofree char *margin = dwn_word_number (wording, side->margin_db, 1);
  g_autofree char *sigma = dwn_word_decibels (wording, side->sigma_db);
  return g_strdup_printf ("%s \xC2\xB1 %s", margin, sigma);
}

char *
dwn_word_compared_difference (const DwnWording *wording, const DwnComparedRow *row)
{
  double difference_db = row->side[1].margin_db - row->side[0].margin_db;

  if (isnan (difference_db))
    return g_strdup (DASH);
  g_autofree char *number = dwn_word_signed (wording, difference_db, 1);
  return g_strconcat (number, "\xC2\xA0", "dB", NULL);
}

static char *
held_text (const DwnWording *wording, const DwnComparison *comparison, guint side)
{
  const DwnComparedSum *sum = &comparison->sum[side];

  if (comparison->n_wanted == 0)
    return g_strdup_printf (dwn_word (wording, N_("%u of %u")), sum->held_extra, comparison->n);
  return g_strdup_printf (dwn_word (wording, N_("%u of %u")), sum->held_wanted, comparison->n_wanted);
}

/* "3.1 dB, Vennor" */
static char *
weakest_text (const DwnWording *wording, const DwnComparison *comparison, guint side)
{
  const DwnComparedSum *sum = &comparison->sum[side];
  g_autofree char *margin = dwn_word_decibels (wording, sum->weakest_margin_db);

  if (sum->weakest_row < 0)
    return g_strdup (DASH);
  return g_strdup_printf ("%s, %s", margin, comparison->row[sum->weakest_row].name);
}

static char *
cost_text (const DwnWording *wording, const DwnComparedSum *sum, const char *currency)
{
  g_autofree char *cost = dwn_word_number (wording, sum->cost, 2);
  const char *of = currency != NULL ? currency : "";
  g_autofree char *priced = g_strdup_printf (of[0] != '\0' ? "%s %s" : "%s%s", cost, of);

  if (isnan (sum->cost))
    return g_strdup (DASH);
  if (sum->n_unpriced == 0)
    return g_steal_pointer (&priced);
  return g_strdup_printf (dwn_word_plural (wording, "%s, %u unpriced", "%s, %u unpriced",
                                           sum->n_unpriced), priced, sum->n_unpriced);
}

static void
line_clear (gpointer data)
{
  DwnComparedLine *line = data;

  g_free (line->caption);
  g_free (line->side[0]);
  g_free (line->side[1]);
}

/* Takes the two texts. */
static void
append_line (GArray *lines, const char *caption, char *first, char *second)
{
  const DwnComparedLine line = { g_strdup (caption), { first, second } };

  g_array_append_val (lines, line);
}

GArray *
dwn_word_compared_lines (const DwnWording *wording, const DwnComparison *comparison, const char *currency)
{
  GArray *lines = g_array_new (FALSE, FALSE, sizeof (DwnComparedLine));
  const DwnComparedSum *sum = comparison->sum;

  g_array_set_clear_func (lines, line_clear);
  append_line (lines, comparison->n_wanted > 0 ? dwn_word (wording, N_("Wanted services held"))
                                               : dwn_word (wording, N_("Services held")),
               held_text (wording, comparison, 0), held_text (wording, comparison, 1));
  if (comparison->n_wanted > 0)
    {
      append_line (lines, dwn_word (wording, N_("Others held besides")),
                   dwn_word_number (wording, sum[0].held_extra, 0), dwn_word_number (wording, sum[1].held_extra, 0));
      append_line (lines, dwn_word (wording, N_("All wanted ones together")),
                   dwn_word_chance (wording, sum[0].joint_chance), dwn_word_chance (wording, sum[1].joint_chance));
    }
  append_line (lines, dwn_word (wording, N_("Weakest margin held")),
               weakest_text (wording, comparison, 0), weakest_text (wording, comparison, 1));
  append_line (lines, dwn_word (wording, N_("Parts cost")),
               cost_text (wording, &sum[0], currency), cost_text (wording, &sum[1], currency));
  return lines;
}

/* "Alpha, Beta, and 3 more": wanted ones that this side holds and the other does not. */
static char *
only_names (const DwnWording *wording, const DwnComparison *comparison, guint side)
{
  GString *names = g_string_new (NULL);
  guint n = 0;

  for (guint k = 0; k < comparison->n_wanted; k++)
    {
      const DwnComparedRow *row = &comparison->row[k];
      if (!row->side[side].held || row->side[1 - side].held || n++ >= MOST_NAMES)
        continue;
      g_string_append_printf (names, "%s%s", names->len > 0 ? ", " : "", row->name);
    }
  if (n > MOST_NAMES)
    {
      guint more = n - MOST_NAMES;
      g_string_append_printf (names, dwn_word_plural (wording, " and %u more", " and %u more", more), more);
    }
  return g_string_free (names, FALSE);
}

static char *
only_sentence (const DwnWording *wording, const DwnComparison *comparison, guint side, const char *name)
{
  g_autofree char *names = only_names (wording, comparison, side);

  if (comparison->sum[side].only_here == 0)
    return g_strdup ("");
  /* Translators: a variant of the plan ("On trial: two antennas"), then names of services */
  return g_strdup_printf (dwn_word (wording, N_(" Only \xE2\x80\x9C%s\xE2\x80\x9D holds %s.")), name, names);
}

char *
dwn_word_comparison (const DwnWording *wording, const DwnComparison *comparison, const char *const names[2])
{
  const DwnComparedSum *sum = comparison->sum;

  if (comparison->n_wanted == 0)
    return g_strdup (dwn_word (wording, N_("No service is marked as wanted: all are compared.")));
  if (sum[0].only_here + sum[1].only_here == 0)
    return g_strdup_printf (dwn_word_plural (wording, "Both hold the same: %u of %u wanted service.",
                                             "Both hold the same: %u of %u wanted services.", comparison->n_wanted),
                            sum[0].held_wanted, comparison->n_wanted);
  g_autofree char *first = only_sentence (wording, comparison, 0, names[0]);
  g_autofree char *second = only_sentence (wording, comparison, 1, names[1]);
  g_autofree char *both = g_strdup_printf (
    dwn_word_plural (wording, "Both hold %u of %u wanted service.", "Both hold %u of %u wanted services.",
                     comparison->n_wanted), sum[0].held_wanted - sum[0].only_here, comparison->n_wanted);
  return g_strconcat (both, first, second, NULL);
}
