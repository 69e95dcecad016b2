#include "words/remedy-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "words/diagnosis-words.h"
#include "words/sentences.h"

/* A line names so many stations at most. */
#define MOST_NAMES 3

/* What the words for one change need. */
typedef struct {
  const DwnWording *wording;
  const DwnChain *gear;   /* before */
  const DwnPlan *plan;    /* before */
  const DwnPlan *changed;
  const DwnChange *change;
} Wish;

static int
part_index (const Wish *self)
{
  return self->change->part == NULL ? -1 : dwn_chain_find (self->gear, self->change->part);
}

/* The part that is changed, or before which something is put. */
static char *
part_name (const Wish *self)
{
  int part = part_index (self);

  return part < 0 ? g_strdup ("") : dwn_word_the_part (self->wording, self->gear, (guint) part);
}

static char *
antenna_name (const Wish *self)
{
  for (guint a = 0; a < self->gear->n_antennas; a++)
    if ((int) self->gear->antenna[a] == part_index (self))
      return dwn_word_antenna (self->wording, self->gear, a);
  return g_strdup (dwn_word (self->wording, N_("antenna")));
}

static const char *
type_name (const Wish *self)
{
  return dwn_word (self->wording, self->change->type->name);
}

static char *
say_supply (const Wish *self)
{
  g_autofree char *part = part_name (self);
  int index = part_index (self);
  gboolean was_off = index >= 0 && self->gear->part[index].unpowered;

  if (was_off && self->changed->gear->n_parts == self->gear->n_parts)
    return g_strdup_printf (dwn_word (self->wording, N_("Switch on the supply of %s")), part);
  return g_strdup_printf (dwn_word (self->wording, N_("Give %s the power it needs, from an inserter "
                                                      "indoors")), part);
}

static char *
say_exchange (const Wish *self)
{
  g_autofree char *part = part_name (self);

  /* Translators: numbers of inputs, "the combiner" */
  return g_strdup_printf (dwn_word (self->wording, N_("Exchange the cables on inputs %u and %u of %s")),
                          self->change->port + 1, self->change->other + 1, part);
}

static char *
say_before (const Wish *self)
{
  g_autofree char *part = part_name (self);

  if (self->change->kind == DWN_CHANGE_TRAP)
    /* Translators: an RF channel, then "the mast amplifier" */
    return g_strdup_printf (dwn_word (self->wording, N_("Trap for RF %s in front of %s")), self->change->rf, part);
  /* Translators: "Attenuator 6 dB", then "outlet 1" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s in front of %s")), type_name (self), part);
}

static char *
say_less_gain (const Wish *self)
{
  g_autofree char *part = part_name (self);
  g_autofree char *from = dwn_word_number (self->wording, self->change->from, 0);
  g_autofree char *to = dwn_word_number (self->wording, self->change->to, 0);

  return g_strdup_printf (dwn_word (self->wording, N_("Turn the gain of %s down from %s to %s dB, or "
                                                      "take one with less")), part, from, to);
}

static char *
say_take_out (const Wish *self)
{
  g_autofree char *part = part_name (self);
  int index = part_index (self);

  if (self->change->kind == DWN_CHANGE_DETACH && index >= 0)
    return g_strdup_printf (dwn_word (self->wording, N_("Detach: %s")),
                            dwn_word (self->wording, self->gear->type[index]->name));
  return g_strdup_printf (dwn_word (self->wording, N_("Do without %s")), part);
}

static char *
say_fewer_splits (const Wish *self)
{
  if (self->change->type == NULL)
    return g_strdup (dwn_word (self->wording, N_("Take out the splitter: only one of its outputs is used")));
  /* Translators: "Two-way splitter" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s, since outputs of the old one are unused")),
                          type_name (self));
}

static char *
say_aim (const Wish *self)
{
  g_autofree char *antenna = antenna_name (self);
  g_autofree char *from = dwn_word_bearing (self->wording, self->change->from);
  g_autofree char *to = dwn_word_bearing (self->wording, self->change->to);

  /* Translators: "UHF antenna", "80°", "85°" */
  return g_strdup_printf (dwn_word (self->wording, N_("Turn the %s from %s to %s")), antenna, from, to);
}

static char *
say_elements (const Wish *self)
{
  g_autofree char *antenna = antenna_name (self);

  if (self->change->polarisation == DWN_POLARISATION_VERTICAL)
    return g_strdup_printf (dwn_word (self->wording, N_("Turn the %s so that its elements stand upright")),
                            antenna);
  return g_strdup_printf (dwn_word (self->wording, N_("Turn the %s so that its elements lie level")), antenna);
}

static char *
say_cable (const Wish *self)
{
  g_autofree char *part = part_name (self);
  g_autofree char *length = dwn_word_length (self->wording, self->change->from);

  /* Translators: "Series 11 coax", "14 m", "the ground block" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s for the %s up to %s")),
                          dwn_word (self->wording, self->change->cable->name), length, part);
}

static char *
say_antenna (const Wish *self)
{
  g_autofree char *antenna = antenna_name (self);

  /* Translators: "UHF Yagi, 20 elements", "UHF antenna" */
  return g_strdup_printf (dwn_word (self->wording, N_("%s in place of the %s")),
                          dwn_word_pattern (self->wording, self->change->pattern), antenna);
}

static char *
say_height (const Wish *self)
{
  g_autofree char *from = dwn_word_height (self->wording, self->change->from);
  g_autofree char *to = dwn_word_height (self->wording, self->change->to);

  if (self->change->kind == DWN_CHANGE_RAISE)
    return g_strdup_printf (dwn_word (self->wording, N_("Raise the antennas from %s to %s")), from, to);
  if (self->plan->site->mount == DWN_MOUNT_ATTIC)
    return g_strdup_printf (dwn_word (self->wording, N_("Move the antenna out of the attic to a mast, %s "
                                                        "above ground")), to);
  return g_strdup_printf (dwn_word (self->wording, N_("Move the antenna out of doors to a mast, %s above "
                                                      "ground")), to);
}

static char *
say_own_downlead (const Wish *self)
{
  g_autofree char *antenna = antenna_name (self);
  g_autofree char *to = dwn_word_bearing (self->wording, self->change->to);

  if (self->change->arrangement == DWN_ARRANGEMENT_SWITCH)
    /* Translators: "UHF antenna", "131°" */
    return g_strdup_printf (dwn_word (self->wording, N_("A second %s at %s on its own downlead, with a "
                                                        "switch")), antenna, to);
  return g_strdup_printf (dwn_word (self->wording, N_("A second %s at %s on its own downlead, into a second "
                                                      "tuner")), antenna, to);
}

static char *
say (const Wish *self)
{
  g_autofree char *part = part_name (self);

  switch (self->change->kind)
    {
    case DWN_CHANGE_SUPPLY:
      return say_supply (self);
    case DWN_CHANGE_CONNECT_BAND:
      return say_exchange (self);
    case DWN_CHANGE_ATTENUATOR:
    case DWN_CHANGE_FILTER:
    case DWN_CHANGE_TRAP:
    case DWN_CHANGE_DISTRIBUTION:
      return say_before (self);
    case DWN_CHANGE_LESS_GAIN:
      return say_less_gain (self);
    case DWN_CHANGE_NO_AMPLIFIER:
    case DWN_CHANGE_DETACH:
      return say_take_out (self);
    case DWN_CHANGE_FEWER_SPLITS:
      return say_fewer_splits (self);
    case DWN_CHANGE_AIM:
      return say_aim (self);
    case DWN_CHANGE_TURN_ELEMENTS:
      return say_elements (self);
    case DWN_CHANGE_AMPLIFIER:
      /* Translators: "Mast amplifier 25 dB", then "the mast amplifier" */
      return g_strdup_printf (dwn_word (self->wording, N_("%s in place of %s")), type_name (self), part);
    case DWN_CHANGE_MAST_AMPLIFIER:
      return g_strdup_printf (dwn_word (self->wording, N_("%s at the antenna, its supply indoors")),
                              type_name (self));
    case DWN_CHANGE_CABLE:
      return say_cable (self);
    case DWN_CHANGE_ANTENNA:
      return say_antenna (self);
    case DWN_CHANGE_OWN_DOWNLEAD:
      return say_own_downlead (self);
    case DWN_CHANGE_RAISE:
    case DWN_CHANGE_OUTDOORS:
    default:
      return say_height (self);
    }
}

char *
dwn_word_remedy (const DwnWording *wording, const DwnFindings *findings, const DwnRemedy *remedy)
{
  const Wish wish = { wording, findings->plan->gear, findings->plan, remedy->plan, &remedy->change[0] };

  if (remedy->n_changes > 1)
    return g_strdup (dwn_word (wording, N_("The first two together")));
  return say (&wish);
}

/* "Tarnlight, Corrowane and 2 more" */
static char *
names (const DwnWording *wording, const DwnFindings *findings, guint n, const guint *stations)
{
  GString *text = g_string_new (NULL);
  guint shown = n > MOST_NAMES ? MOST_NAMES - 1 : n;

  for (guint k = 0; k < shown; k++)
    {
      const char *before = k == 0 ? "" : k + 1 < n ? ", " : dwn_word (wording, N_(" and "));
      g_string_append_printf (text, "%s%s", before, findings->plan->stations->station[stations[k]].name);
    }
  if (shown < n)
    g_string_append_printf (text, dwn_word_plural (wording, " and %u more", " and %u more", n - shown),
                            n - shown);
  return g_string_free (text, FALSE);
}

char *
dwn_word_remedy_effect (const DwnWording *wording, const DwnFindings *findings,
                        const DwnRemedy *remedy)
{
  g_autofree char *lost = names (wording, findings, remedy->n_lost, remedy->lost);
  g_autofree char *won = names (wording, findings, remedy->n_won, remedy->won);

  if (remedy->n_lost > 0 && remedy->n_won > 0)
    return g_strdup_printf (dwn_word (wording, N_("loses %s, brings %s")), lost, won);
  if (remedy->n_lost > 0)
    return g_strdup_printf (dwn_word (wording, N_("loses %s")), lost);
  return remedy->n_won > 0 ? g_strdup_printf (dwn_word (wording, N_("brings %s too")), won) : NULL;
}

char *
dwn_word_remedy_line (const DwnWording *wording, const DwnFindings *findings, const DwnRemedy *remedy)
{
  g_autofree char *text = dwn_word_remedy (wording, findings, remedy);
  g_autofree char *gain = dwn_word_decibels (wording, remedy->gain_db);
  g_autofree char *chance = dwn_word_chance (wording, remedy->reception.chance);
  g_autofree char *effect = dwn_word_remedy_effect (wording, findings, remedy);
  /* Translators: a remedy, "10.7 dB", "94 %" */
  char *line = g_strdup_printf (dwn_word (wording, N_("%s: %s more, chance %s")), text, gain, chance);

  if (effect == NULL)
    return line;
  char *whole = g_strconcat (line, "; ", effect, NULL);
  g_free (line);
  return whole;
}

const char *
dwn_word_climb_caution (const DwnWording *wording)
{
  return dwn_word (wording, N_("Work on a roof or mast: keep clear of power lines by twice the length of mast "
                               "and antenna, mind ladder, wind and grounding; the local code and a licensed "
                               "installer decide."));
}
