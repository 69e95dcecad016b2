#include "words/advice-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/antenna/stack.h"
#include "words/sentences.h"

/* Less than this is said to be nothing. */
#define NOTHING_TO_SPARE_DB 0.5

/* A sentence names so many services at most. */
#define MOST_NAMES 3

const char *
dwn_word_arrangement (const DwnWording *wording, DwnArrangement arrangement)
{
  static const char *const names[DWN_N_ARRANGEMENTS] = {
    [DWN_ARRANGEMENT_ONE] = N_("one antenna"),
    [DWN_ARRANGEMENT_SPLIT_BY_BAND] = N_("an antenna for each band"),
    [DWN_ARRANGEMENT_CHANNEL_FILTERS] = N_("two antennas joined by channel filters"),
    [DWN_ARRANGEMENT_HYBRID] = N_("two antennas in one band through a hybrid"),
    [DWN_ARRANGEMENT_TWO_TUNERS] = N_("two downleads into two tuners"),
    [DWN_ARRANGEMENT_SWITCH] = N_("two downleads and a switch"),
    [DWN_ARRANGEMENT_ROTATOR] = N_("an antenna on a rotator"),
  };

  g_return_val_if_fail ((guint) arrangement < DWN_N_ARRANGEMENTS, NULL);

  return dwn_word (wording, names[arrangement]);
}

static const char *
service_name (const DwnLadder *ladder, int service)
{
  return service < 0 ? "" : ladder->rung[0].plan->services->service[service].name;
}

static guint
n_wanted (const DwnLadder *ladder)
{
  return ladder->n_must + ladder->n_like;
}

static guint
n_held (const DwnLadder *ladder, const DwnRung *rung)
{
  return ladder->all_liked ? rung->held_extra : rung->held_must + rung->held_like;
}

static char *
word_simplest (const DwnWording *wording, const DwnLadder *ladder, const DwnRung *rung)
{
  if (ladder->all_liked)
    return g_strdup_printf (dwn_word_plural (wording,
                              "holds %u service; nothing is marked as wanted yet",
                              "holds %u services; nothing is marked as wanted yet",
                              rung->held_extra), rung->held_extra);
  return g_strdup_printf (
    dwn_word_plural (wording, "holds %u of %u wanted service; nothing less simple is worth it",
                     "holds %u of %u wanted services; nothing less simple is worth it",
                     n_wanted (ladder)),
    n_held (ladder, rung), n_wanted (ladder));
}

static char *
word_climbed (const DwnWording *wording, const DwnLadder *ladder, const DwnRung *rung)
{
  const char *name = service_name (ladder, rung->service);
  const char *lower = dwn_word_arrangement (wording, ladder->rung[rung->other].arrangement);
  g_autofree char *gain = dwn_word_decibels (wording, rung->gain_db);

  if (isinf (rung->gain_db))
    /* Translators: a service, then "one antenna" */
    return g_strdup_printf (dwn_word (wording, N_("brings %s, which %s cannot")), name, lower);
  return g_strdup_printf (dwn_word (wording, N_("brings %s, which %s does not hold, by %s more")),
                          name, lower, gain);
}

char *
dwn_word_reason (const DwnWording *wording, const DwnLadder *ladder, guint r)
{
  g_return_val_if_fail (r < ladder->n, NULL);

  const DwnRung *rung = &ladder->rung[r];
  const char *name = service_name (ladder, rung->service);
  const char *other = dwn_word_arrangement (wording, ladder->rung[rung->other].arrangement);
  g_autofree char *gain = dwn_word_decibels (wording, rung->gain_db);

  switch (rung->reason)
    {
    case DWN_REASON_SIMPLEST:
      return word_simplest (wording, ladder, rung);
    case DWN_REASON_CLIMBED:
      return word_climbed (wording, ladder, rung);
    case DWN_REASON_HOLDS_LESS:
      return g_strdup_printf (dwn_word (wording, N_("loses %s, which %s brings")), name, other);
    case DWN_REASON_HOLDS_SAME:
      return g_strdup_printf (dwn_word (wording, N_("holds no more than %s")), other);
    case DWN_REASON_SMALL_GAIN:
      return g_strdup_printf (dwn_word (wording, N_("would bring %s, but by only %s more")), name, gain);
    case DWN_REASON_ONLY_LIKED:
      return g_strdup_printf (dwn_word (wording, N_("would bring %s too, which is only liked")), name);
    case DWN_REASON_ONE_DIRECTION:
      return g_strdup_printf (dwn_word (wording, N_("would bring %s, but every set has to look the same way")),
                              name);
    case DWN_REASON_TRIAL:
      return g_strdup_printf (dwn_word (wording, N_("nothing is dependable; %s is worth a trial on a temporary mast")),
                              name);
    case DWN_REASON_NOTHING:
      return g_strdup (dwn_word (wording, N_("nothing that is wanted can be received here")));
    }
  g_return_val_if_reached (NULL);
}

/* "a, b and c", or only how many they are where they are too many to name. */
static char *
word_services (const DwnWording *wording, const DwnLadder *ladder, guint n, const guint *service)
{
  GString *text = g_string_new (NULL);

  if (n > MOST_NAMES)
    g_string_printf (text, dwn_word_plural (wording, "%u service", "%u services", n), n);
  for (guint k = 0; n <= MOST_NAMES && k < n; k++)
    {
      const char *before = k == 0 ? "" : k + 1 < n ? ", " : dwn_word (wording, N_(" and "));
      g_string_append_printf (text, "%s%s", before, service_name (ladder, (int) service[k]));
    }
  return g_string_free (text, FALSE);
}

/* "four-bay bow-tie to 93°" */
static char *
word_antennas (const DwnWording *wording, const DwnRung *rung)
{
  GString *text = g_string_new (NULL);

  for (guint a = 0; a < rung->n_antennas; a++)
    {
      g_autofree char *aim = dwn_word_bearing (wording, rung->aim_deg[a]);
      const char *before = a == 0 ? "" : a + 1 < rung->n_antennas ? ", " : dwn_word (wording, N_(" and "));

      if (isnan (rung->aim_deg[a]))
        g_string_append_printf (text, "%s%s", before, dwn_word_pattern (wording, rung->pattern[a]));
      else
        {
          g_string_append (text, before);
          /* Translators: "UHF Yagi, 20 elements to 93°" */
          g_string_append_printf (text, dwn_word (wording, N_("%s to %s")),
                                  dwn_word_pattern (wording, rung->pattern[a]), aim);
        }
    }
  return g_string_free (text, FALSE);
}

static void
append_holds (const DwnWording *wording, GString *text, const DwnLadder *ladder, const DwnRung *rung)
{
  if (ladder->all_liked)
    g_string_append_printf (text, dwn_word_plural (wording, "That holds %u service.",
                                                   "That holds %u services.", rung->held_extra),
                            rung->held_extra);
  else
    {
      g_autofree char *chance = dwn_word_chance (wording, rung->joint_chance);
      g_string_append_printf (text, dwn_word_plural (wording,
                                "That holds %u of %u wanted service (%s).",
                                "That holds %u of %u wanted services (all of these together: %s).",
                                n_wanted (ladder)),
                              n_held (ladder, rung), n_wanted (ladder), chance);
    }
}

static void
append_limits (const DwnWording *wording, GString *text, const DwnLadder *ladder)
{
  g_autofree char *names = word_services (wording, ladder, ladder->n_out_of_reach, ladder->out_of_reach);

  if (ladder->n_out_of_reach > 0)
    g_string_append_printf (text, dwn_word_plural (wording, " %s is out of reach here.",
                                                   " %s are out of reach here.",
                                                   ladder->n_out_of_reach), names);
  if (ladder->runner_up_is_close)
    {
      const DwnRung *rung = dwn_ladder_runner_up (ladder);
      g_autofree char *others = ladder->runner_up_is_second ? word_antennas (wording, rung) : NULL;

      g_string_append_printf (text, dwn_word (wording, N_(" Holding as much: %s.")),
                              others != NULL ? others : dwn_word_arrangement (wording, rung->arrangement));
    }
}

/* How many of what is held worse fields would cost. */
static void
append_losses (const DwnWording *wording, GString *text, const DwnRung *rung)
{
  g_autofree char *little = dwn_word_decibels (wording, 3.0);
  g_autofree char *much = dwn_word_decibels (wording, 6.0);

  if (rung->fallen_6db > 0)
    /* Translators: "3.0 dB", how many, "6.0 dB", how many */
    g_string_append_printf (text, dwn_word (wording, N_(" Services lost where all fields are %s weaker: %u; where they are %s weaker: %u.")),
                            little, rung->fallen_3db, much, rung->fallen_6db);
}

static void
append_sensitivity (const DwnWording *wording, GString *text, const DwnRung *rung)
{
  if (rung->first_to_fall < 0)
    return;
  const char *name = rung->plan->stations->station[rung->first_to_fall].name;
  if (rung->falls_at_db < NOTHING_TO_SPARE_DB)
    {
      g_string_append_printf (text, dwn_word (wording, N_(" %s has nothing to spare: it is the first to fall.")), name);
      return;
    }
  g_autofree char *fall = dwn_word_decibels (wording, rung->falls_at_db);
  /* Translators: a station, "2.1 dB" */
  g_string_append_printf (text, dwn_word (wording, N_(" If the prediction is too good, %s is the first to fall, at %s.")),
                          name, fall);
}

/* What the draws say, where there were any. */
static void
append_wins (const DwnWording *wording, GString *text, const DwnRung *rung)
{
  if (isnan (rung->win_share))
    return;
  g_autofree char *share = dwn_word_chance (wording, rung->win_share);
  g_string_append_printf (text, dwn_word (wording, N_(" In %s of the draws nothing else does better.")),
                          share);
}

char *
dwn_word_given_up (const DwnWording *wording, const DwnLadder *ladder, const DwnRung *rung)
{
  const DwnServices *services = rung->plan->services;
  g_autofree guint *lost = g_new (guint, services->n + 1);
  guint n = 0;

  for (guint s = 0; s < services->n; s++)
    if (!rung->holds[s] && services->service[s].wanted != DWN_WANTED_NO)
      lost[n++] = s;
  if (n == 0)
    return g_strdup ("");
  g_autofree char *names = word_services (wording, ladder, n, lost);
  return g_strdup_printf (dwn_word (wording, N_("Given up: %s.")), names);
}

char *
dwn_word_sensitivity (const DwnWording *wording, const DwnRung *rung)
{
  GString *text = g_string_new (NULL);

  append_sensitivity (wording, text, rung);
  append_losses (wording, text, rung);
  g_string_erase (text, 0, text->len > 0 ? 1 : 0); /* the blank before the first */
  return g_string_free (text, FALSE);
}

char *
dwn_word_rung_cost (const DwnWording *wording, const DwnRung *rung, const char *currency)
{
  if (!(rung->cost > 0.0))
    return g_strdup ("");
  g_autofree char *sum = dwn_word_number (wording, rung->cost, 2);
  g_autofree char *priced = *currency != '\0' ? g_strdup_printf ("%s\xC2\xA0%s", sum, currency) : g_strdup (sum);

  return g_strdup_printf (dwn_word (wording, N_("Parts with a price: %s.")), priced);
}

char *
dwn_word_phases (const DwnWording *wording, const DwnRung *rung)
{
  const DwnPhases *phases = rung->phases != NULL
                            ? dwn_phases_widest (rung->phases, rung->plan, rung->budget) : NULL;

  if (phases == NULL)
    return g_strdup ("");
  const char *name = rung->plan->stations->station[phases->station].name;
  g_autofree char *worst = dwn_word_decibels (wording, phases->worst_db);
  g_autofree char *mean = dwn_word_decibels (wording, phases->mean_db);
  g_autofree char *best = dwn_word_decibels (wording, phases->best_db);
  GString *text = g_string_new (NULL);

  /* Translators: a station, then three figures in dB */
  g_string_printf (text, dwn_word (wording, N_("Through the hybrid %s has a margin of %s at the worst phase, which counts, %s on average and %s at the best.")),
                   name, worst, mean, best);
  if (!isnan (phases->alone_db))
    {
      g_autofree char *cost = dwn_word_decibels (wording, dwn_phases_cost_db (phases));

      g_string_append_c (text, ' ');
      g_string_append_printf (text, dwn_word (wording, N_("Joining costs it %s on average.")), cost);
    }
  return g_string_free (text, FALSE);
}

char *
dwn_word_standing (const DwnWording *wording, const DwnLadder *ladder, guint r)
{
  g_return_val_if_fail (r < ladder->n, NULL);

  GString *text = g_string_new (NULL);

  if (ladder->runner_up == (int) r && ladder->runner_up_is_close)
    g_string_append (text, ladder->runner_up_is_second
                           ? dwn_word (wording, N_("with other antennas it is a close runner-up"))
                           : dwn_word (wording, N_("a close runner-up")));
  if (!isnan (ladder->rung[r].win_share))
    {
      g_autofree char *share = dwn_word_chance (wording, ladder->rung[r].win_share);

      if (text->len > 0)
        g_string_append (text, "; ");
      g_string_append_printf (text, dwn_word (wording, N_("in %s of the draws nothing does better")), share);
    }
  return g_string_free (text, FALSE);
}

char *
dwn_word_stacked (const DwnWording *wording, const DwnLadder *ladder)
{
  const DwnRung *rung = ladder->stacked;
  DwnStackId stack;

  if (rung == NULL || !dwn_stack_id_parse (rung->pattern[0]->id, &stack))
    return g_strdup ("");
  g_autofree char *antennas = word_antennas (wording, rung);
  g_autofree char *apart = dwn_word_length (wording, stack.spacing_m);
  guint all = ladder->all_liked ? ladder->rung[0].plan->services->n : n_wanted (ladder);

  /* Translators: "Two of UHF Yagi, 20 elements, side by side to 93°", "0.85 m", a service, counts */
  return g_strdup_printf (dwn_word (wording, N_("Stacked: %s, %s apart, would bring %s: %u of %u held.")),
                          antennas, apart, service_name (ladder, rung->service), n_held (ladder, rung), all);
}

char *
dwn_word_advice (const DwnWording *wording, const DwnLadder *ladder)
{
  GString *text = g_string_new (NULL);
  const DwnRung *rung = &ladder->rung[ladder->candidate];
  g_autofree char *antennas = word_antennas (wording, rung);
  g_autofree char *reason = dwn_word_reason (wording, ladder, ladder->candidate);

  if (rung->reason == DWN_REASON_NOTHING)
    g_string_append_printf (text, dwn_word (wording, N_("Do not buy anything: %s.")), reason);
  else if (rung->reason == DWN_REASON_TRIAL)
    g_string_append_printf (text, dwn_word (wording, N_("Try it on a temporary mast first, %s: %s.")),
                            antennas, reason);
  else
    {
      g_string_append_printf (text, dwn_word (wording, N_("Take %s: %s. ")),
                              dwn_word_arrangement (wording, rung->arrangement), antennas);
      if (rung->reason == DWN_REASON_CLIMBED)
        g_string_append_printf (text, dwn_word (wording, N_("It %s. ")), reason);
      append_holds (wording, text, ladder, rung);
    }
  append_limits (wording, text, ladder);
  if (ladder->advised >= 0)
    {
      append_sensitivity (wording, text, rung);
      append_losses (wording, text, rung);
      append_wins (wording, text, rung);
    }
  return g_string_free (text, FALSE);
}
