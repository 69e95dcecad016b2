#include "words/sentences.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/antenna/stack.h"
#include "core/study/bands.h"

#define DOT "\xC2\xA0\xC2\xB7 "
/* A sentence names so many stations at most. */
#define MOST_NAMES 3

double
dwn_compass_deg (double true_deg, double declination_deg)
{
  return fmod (true_deg - declination_deg + 720.0, 360.0);
}

double
dwn_station_chance (const DwnBudget *budget, guint station)
{
  if (budget->n_outlets == 0)
    return 0.0;
  return budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]].chance;
}

char *
dwn_word_path (const DwnWording *wording, const DwnArrival *arrival)
{
  const DwnClearance *worst = &arrival->clearance;
  g_autofree char *height = dwn_word_height (wording, fabs (worst->clearance_m));

  if (arrival->path_class == DWN_PATH_UNKNOWN)
    return g_strdup (dwn_word (wording, N_("no profile")));
  if (arrival->path_class == DWN_PATH_BLOCKED)
    {
      g_autofree char *at = dwn_word_distance (wording, arrival->distance_m - worst->distance_m);
      /* Translators: something stands this high above the straight line, so far from the house. */
      return g_strdup_printf (dwn_word (wording, N_("blocked %s at %s")), height, at);
    }
  /* Translators: the straight line passes this high above the ground at its worst point. */
  return g_strdup_printf (dwn_word (wording, N_("clear by %s")), height);
}

char *
dwn_word_way (const DwnWording *wording, const DwnArrival *arrival)
{
  g_autofree char *bearing = dwn_word_bearing (wording, arrival->bearing_deg);
  g_autofree char *distance = dwn_word_distance (wording, arrival->distance_m);
  g_autofree char *path = dwn_word_path (wording, arrival);

  return g_strconcat (bearing, DOT, distance, DOT, path, NULL);
}

static const char *
ordinal_antenna (const DwnWording *wording, guint antenna)
{
  static const char *const names[] = { N_("first antenna"), N_("second antenna"),
                                       N_("third antenna"), N_("fourth antenna") };

  return dwn_word (wording, names[MIN (antenna, G_N_ELEMENTS (names) - 1)]);
}

/* The bands that only this antenna brings, or 0 where another has the same. */
static guint
own_bands (const DwnChain *gear, guint antenna)
{
  guint mine = dwn_antenna_bands (gear, antenna);

  for (guint other = 0; other < gear->n_antennas; other++)
    if (other != antenna && (dwn_antenna_bands (gear, other) & mine) != 0)
      return 0;
  return mine;
}

char *
dwn_word_antenna (const DwnWording *wording, const DwnChain *gear, guint antenna)
{
  const guint low = 1u << DWN_BAND_LOW_VHF, high = 1u << DWN_BAND_HIGH_VHF, uhf = 1u << DWN_BAND_UHF;

  if (gear->part[gear->antenna[antenna]].name != NULL)
    return g_strdup (gear->part[gear->antenna[antenna]].name);
  if (gear->n_antennas == 1)
    return g_strdup (dwn_word (wording, N_("antenna")));

  guint bands = own_bands (gear, antenna);
  if (bands == uhf)
    return g_strdup (dwn_word (wording, N_("UHF antenna")));
  if (bands == (low | high))
    return g_strdup (dwn_word (wording, N_("VHF antenna")));
  if (bands == high)
    return g_strdup (dwn_word (wording, N_("high VHF antenna")));
  if (bands == low)
    return g_strdup (dwn_word (wording, N_("low VHF antenna")));
  return g_strdup (ordinal_antenna (wording, antenna));
}

const char *
dwn_word_pattern (const DwnWording *wording, const DwnPattern *pattern)
{
  DwnStackId stack;
  const char *one = dwn_word (wording, pattern->name);

  if (!dwn_stack_id_parse (pattern->id, &stack))
    return one;
  /* Translators: "Two of UHF Yagi, 20 elements, one above the other" */
  g_autofree char *two = g_strdup_printf (
    dwn_word (wording, stack.direction == DWN_STACK_VERTICAL ? N_("Two of %s, one above the other")
                                                             : N_("Two of %s, side by side")), one);
  return g_intern_string (two);
}

static char *
bold (const char *text)
{
  return g_strconcat ("<b>", text, "</b>", NULL);
}

static char *
one_aim (const DwnWording *wording, const DwnFindings *findings, guint antenna)
{
  g_autofree char *name = dwn_word_antenna (wording, findings->plan->gear, antenna);
  g_autofree char *escaped = g_markup_escape_text (name, -1);
  g_autofree char *aim = dwn_word_bearing (wording, findings->aim_deg[antenna]);
  g_autofree char *bold_aim = bold (aim);

  if (isnan (findings->declination_deg))
    /* Translators: "the UHF antenna to 93°" */
    return g_strdup_printf (dwn_word (wording, N_("the %s to %s")), escaped, bold_aim);

  g_autofree char *compass = dwn_word_bearing (
    wording, dwn_compass_deg (findings->aim_deg[antenna], findings->declination_deg));
  g_autofree char *bold_compass = bold (compass);
  if (wording->magnetic_first)
    /* Translators: "the UHF antenna to 106° by compass (93° true)" */
    return g_strdup_printf (dwn_word (wording, N_("the %s to %s by compass (%s true)")), escaped, bold_compass,
                            bold_aim);
  /* Translators: "the UHF antenna to 93° (106° by compass)" */
  return g_strdup_printf (dwn_word (wording, N_("the %s to %s (%s by compass)")), escaped, bold_aim,
                          bold_compass);
}

/* "a", "a and b", "a, b and c" */
static char *
join (const DwnWording *wording, const GPtrArray *items)
{
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < items->len; i++)
    {
      const char *before = i == 0 ? "" : i + 1 < items->len ? ", " : dwn_word (wording, N_(" and "));
      g_string_append_printf (text, "%s%s", before, (const char *) g_ptr_array_index (items, i));
    }
  return g_string_free (text, FALSE);
}

static char *
all_aims (const DwnWording *wording, const DwnFindings *findings)
{
  g_autoptr (GPtrArray) aims = g_ptr_array_new_with_free_func (g_free);

  for (guint a = 0; a < findings->plan->gear->n_antennas; a++)
    if (!findings->plan->gear->part[findings->plan->gear->antenna[a]].rotator)
      g_ptr_array_add (aims, one_aim (wording, findings, a));
  return join (wording, aims);
}

/* Wanted services by how sure they are; names escaped. */
typedef struct {
  guint wanted, dependable;
  GPtrArray *trial, *unlikely;
} Count;

static void
count_wanted (const DwnFindings *findings, Count *count)
{
  const DwnServices *services = findings->plan->services;

  count->trial = g_ptr_array_new_with_free_func (g_free);
  count->unlikely = g_ptr_array_new_with_free_func (g_free);
  for (guint s = 0; s < services->n; s++)
    {
      if (services->service[s].wanted == DWN_WANTED_NO)
        continue;
      int best = dwn_best_station (findings->plan, findings->budget, s);
      double chance = best < 0 ? 0.0 : dwn_station_chance (findings->budget, (guint) best);
      char *name = g_markup_escape_text (services->service[s].name, -1);

      count->wanted++;
      if (chance >= DWN_CHANCE_HELD)
        {
          count->dependable++;
          g_free (name);
        }
      else
        g_ptr_array_add (chance >= DWN_CHANCE_TRIAL ? count->trial : count->unlikely, name);
    }
}

/* "Vennor is worth a trial", or only how many they are where there are too many to name. */
static char *
word_trial (const DwnWording *wording, const GPtrArray *names)
{
  g_autofree char *list = join (wording, names);

  if (names->len > MOST_NAMES)
    return g_strdup_printf (dwn_word (wording, N_("%u are worth a trial")), names->len);
  return g_strdup_printf (dwn_word_plural (wording, "%s is worth a trial",
                                           "%s are worth a trial", names->len), list);
}

static char *
word_unlikely (const DwnWording *wording, const GPtrArray *names)
{
  g_autofree char *list = join (wording, names);

  if (names->len > MOST_NAMES)
    return g_strdup_printf (dwn_word (wording, N_("%u are unlikely")), names->len);
  return g_strdup_printf (dwn_word_plural (wording, "%s is unlikely", "%s are unlikely",
                                           names->len), list);
}

static void
append_rest (const DwnWording *wording, GString *text, const Count *count)
{
  g_autofree char *trial = count->trial->len > 0 ? word_trial (wording, count->trial) : NULL;
  g_autofree char *unlikely = count->unlikely->len > 0 ? word_unlikely (wording, count->unlikely) : NULL;

  if (trial != NULL)
    g_string_append_printf (text, ", %s", trial);
  if (unlikely != NULL)
    g_string_append_printf (text, ", %s", unlikely);
}

static guint
count_held (const DwnBudget *budget)
{
  guint held = 0;

  for (guint i = 0; i < budget->n_stations; i++)
    held += budget->held[i] ? 1 : 0;
  return held;
}

static void
append_outcome (const DwnWording *wording, GString *text, const DwnFindings *findings)
{
  Count count = { 0 };

  count_wanted (findings, &count);
  if (count.wanted == 0)
    {
      guint held = count_held (findings->budget);
      g_string_append_printf (text, dwn_word_plural (wording, "<b>%u</b> station is dependable",
                                                     "<b>%u</b> stations are dependable", held), held);
      g_string_append (text, dwn_word (wording, N_("; no service is marked as wanted yet")));
    }
  else
    {
      g_string_append_printf (
        text, dwn_word_plural (wording, "<b>%u of %u</b> wanted service is dependable",
                               "<b>%u of %u</b> wanted services are dependable", count.wanted),
        count.dependable, count.wanted);
      append_rest (wording, text, &count);
    }
  g_ptr_array_unref (count.trial);
  g_ptr_array_unref (count.unlikely);
}

char *
dwn_word_held (const DwnWording *wording, const DwnFindings *findings)
{
  Count count = { 0 };

  count_wanted (findings, &count);
  g_ptr_array_unref (count.trial);
  g_ptr_array_unref (count.unlikely);
  if (count.wanted == 0)
    return g_strdup ("");
  return g_strdup_printf (dwn_word (wording, N_("%u of %u wanted held")), count.dependable, count.wanted);
}

char *
dwn_word_aim_sentence (const DwnWording *wording, const DwnFindings *findings)
{
  GString *text = g_string_new (NULL);
  g_autofree char *aims = all_aims (wording, findings);

  if (findings->plan->gear->n_antennas == 0)
    return g_string_free (g_string_append (text, dwn_word (wording, N_("The plan has no antenna yet."))), FALSE);
  if (findings->plan->stations->n == 0)
    return g_string_free (g_string_append (text, dwn_word (wording, N_("The plan has no stations yet."))), FALSE);
  if (aims[0] != '\0')
    {
      /* Translators: %s is "the UHF antenna to 93° and the VHF antenna to 305°" */
      g_string_append_printf (text, dwn_word (wording, N_("Point %s: ")), aims);
    }
  append_outcome (wording, text, findings);
  g_string_append_c (text, '.');
  return g_string_free (text, FALSE);
}

char *
dwn_word_aim_sentence_plain (const DwnWording *wording, const DwnFindings *findings)
{
  g_autofree char *markup = dwn_word_aim_sentence (wording, findings);
  g_autoptr (GString) text = g_string_new (markup);

  g_string_replace (text, "<b>", "", 0);
  g_string_replace (text, "</b>", "", 0);
  g_string_replace (text, "&lt;", "<", 0);
  g_string_replace (text, "&gt;", ">", 0);
  g_string_replace (text, "&quot;", "\"", 0);
  g_string_replace (text, "&apos;", "'", 0);
  g_string_replace (text, "&amp;", "&", 0);
  return g_string_free (g_steal_pointer (&text), FALSE);
}
