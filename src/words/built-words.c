#include "words/built-words.h"

#include <glib/gi18n-lib.h>

#include "words/check-words.h"

static void
fill_in (GString *text, const char *name, char *shown)
{
  g_string_replace (text, name, shown, 0);
  g_free (shown);
}

/* "when leaves come; after rain"; "" where nothing is in particular. */
static char *
word_when (const DwnWording *wording, guint when)
{
  static const char *const texts[DWN_N_FADES] = {
    N_("when leaves come"), N_("after rain"), N_("on still, clear evenings and mornings"),
    N_("in hot spells, when a far station comes in"), N_("when something electrical runs near"),
  };
  GString *list = g_string_new (NULL);

  for (guint bit = 0; bit < DWN_N_FADES; bit++)
    if (when & (1u << bit))
      g_string_append_printf (list, "%s%s", list->len > 0 ? "; " : "",
                              dwn_word (wording, texts[bit]));
  return g_string_free (list, FALSE);
}

char *
dwn_word_fading (const DwnWording *wording, const DwnPlan *plan, const DwnFading *fading)
{
  const DwnStation *station = &plan->stations->station[fading->station];
  GString *text = g_string_new (dwn_word (
    wording, fading->when != 0 ? N_("{name} (RF {rf}): {margin} to spare, {chance}. May fade {when}")
                               : N_("{name} (RF {rf}): {margin} to spare, {chance}")));

  fill_in (text, "{name}", g_strdup (station->name));
  fill_in (text, "{rf}", g_strdup (station->rf));
  fill_in (text, "{margin}", dwn_word_decibels (wording, fading->margin_db));
  fill_in (text, "{chance}", dwn_word_chance (wording, fading->chance));
  fill_in (text, "{when}", word_when (wording, fading->when));
  return g_string_free (text, FALSE);
}

static char *
word_place (const DwnWording *wording, const DwnChain *gear, guint part)
{
  const char *place = gear->part[part].place;
  gboolean inserter = gear->part[part].kind == DWN_PART_INSERTER;
  GString *text = g_string_new (dwn_word (
    wording, inserter && place == NULL ? N_("{part}: do not unplug. Where it is: write it here")
             : inserter ? N_("{part}: {place}. Do not unplug") : N_("{part}: {place}")));

  fill_in (text, "{part}", g_strdup (dwn_word_part_name (wording, gear, part)));
  fill_in (text, "{place}", g_strdup (place != NULL ? place : ""));
  return g_string_free (text, FALSE);
}

GPtrArray *
dwn_word_places (const DwnWording *wording, const DwnChain *gear)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);

  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind == DWN_PART_INSERTER)
      g_ptr_array_add (lines, word_place (wording, gear, k));
  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind != DWN_PART_INSERTER && gear->part[k].place != NULL)
      g_ptr_array_add (lines, word_place (wording, gear, k));
  return lines;
}

static void
add_noted (GPtrArray *lines, const DwnWording *wording, const char *format, const char *noted)
{
  if (noted[0] == '\0')
    return;
  GString *text = g_string_new (dwn_word (wording, format));
  fill_in (text, "{noted}", g_strdup (noted));
  g_ptr_array_add (lines, g_string_free (text, FALSE));
}

GPtrArray *
dwn_word_visit (const DwnWording *wording, const DwnVisit *visit)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);
  g_autofree char *day = g_strndup (visit->when, 10);
  const char *const parts[] = { day, visit->who, visit->meter };
  g_autoptr (GString) head = g_string_new (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (parts); i++)
    if (parts[i][0] != '\0')
      g_string_append_printf (head, "%s%s", head->len > 0 ? " \xC2\xB7 " : "", parts[i]);
  g_ptr_array_add (lines, g_strdup (head->str));
  add_noted (lines, wording, N_("Found: {noted}"), visit->found);
  add_noted (lines, wording, N_("Changed: {noted}"), visit->changed);
  return lines;
}

char *
dwn_word_rescan (const DwnWording *wording)
{
  return g_strdup (dwn_word (wording, N_("When a channel is gone: wait a day if others are there, then scan "
                                         "again. When all are gone, look at the power inserter first.")));
}
