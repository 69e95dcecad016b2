#include "words/check-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

const char *
dwn_check_where (const DwnPlan *plan, const DwnCheck *check)
{
  if (check->part >= 0)
    return plan->gear->part[check->part].id;
  if (check->station >= 0)
    return plan->stations->station[check->station].id;
  return check->service >= 0 ? plan->services->service[check->service].id : "";
}

const char *
dwn_word_part_name (const DwnWording *wording, const DwnChain *gear, guint part)
{
  const DwnPart *p = &gear->part[part];

  if (p->name != NULL)
    return p->name;
  return p->kind == DWN_PART_ANTENNA ? dwn_word_pattern (wording, p->pattern)
                                     : dwn_word (wording, gear->type[part]->name);
}

static const char *
part_name (const DwnWording *wording, const DwnPlan *plan, int k)
{
  return dwn_word_part_name (wording, plan->gear, (guint) k);
}

static char *
word_blocked (const DwnWording *wording, const DwnPlan *plan, const DwnPowerFinding *power)
{
  const char *part = part_name (wording, plan, (int) power->part);

  if (!isnan (power->value))
    return g_strdup_printf (dwn_word (wording, N_("the supply stands on output %.0f of %s, which passes no direct "
                                                  "current; move it to the output that does")),
                            power->value, part);
  if (power->amplifier >= 0 && plan->gear->part[power->part].kind == DWN_PART_AMPLIFIER)
    return g_strdup_printf (dwn_word (wording, N_("%s takes the supply and passes none on to %s; take one "
                                                  "amplifier, or an inserter between them")), part,
                            part_name (wording, plan, power->amplifier));
  if (power->amplifier < 0)
    return g_strdup_printf (dwn_word (wording, N_("%s lets no direct current through to the amplifier; take "
                                                  "one that does")), part);
  return g_strdup_printf (dwn_word (wording, N_("%s lets no direct current through to %s; take one that does, or "
                                                "put the inserter before it")), part,
                          part_name (wording, plan, power->amplifier));
}

static char *
word_figures (const DwnWording *wording, const DwnPlan *plan, const DwnPowerFinding *power)
{
  const char *part = part_name (wording, plan, (int) power->part);
  g_autofree char *value = dwn_word_number (wording, power->value, 0);
  g_autofree char *limit = dwn_word_number (wording, power->limit, 0);

  if (power->fault == DWN_POWER_VOLTS)
    return g_strdup_printf (dwn_word (wording, N_("%s gets %s V and needs %s V; take a supply of that voltage")),
                            part, value, limit);
  return g_strdup_printf (dwn_word (wording, N_("%s has to give %s mA and is rated for %s mA; take a stronger "
                                                "one")), part, value, limit);
}

static char *
word_power (const DwnWording *wording, const DwnPlan *plan, const DwnPowerFinding *power)
{
  const char *part = part_name (wording, plan, (int) power->part);

  switch (power->fault)
    {
    case DWN_POWER_NO_SUPPLY:
      return g_strdup_printf (dwn_word (wording, N_("%s has no supply; put a power inserter on its cable "
                                                    "indoors")), part);
    case DWN_POWER_BLOCKED:
      return word_blocked (wording, plan, power);
    case DWN_POWER_WRONG_SIDE:
      return g_strdup_printf (dwn_word (wording, N_("%s is on the wrong side; it belongs between the amplifier "
                                                    "and the first splitter")), part);
    case DWN_POWER_SHORTED:
      return g_strdup_printf (dwn_word (wording, N_("%s shorts the supply; put a DC block before it, or take one "
                                                    "without a short")), part);
    case DWN_POWER_TWO_SUPPLIES:
      return g_strdup_printf (dwn_word (wording, N_("%s is the second supply on one cable; keep one")), part);
    case DWN_POWER_IDLE:
      return g_strdup_printf (dwn_word (wording, N_("%s feeds nothing; it can go")), part);
    case DWN_POWER_VOLTS:
    case DWN_POWER_CURRENT:
    default:
      return word_figures (wording, plan, power);
    }
}

/* What signals of stations, or of what nobody wants, do to @part. */
static char *
word_products (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check, const char *part,
               const char *db)
{
  const char *station = check->station >= 0 ? plan->stations->station[check->station].name : NULL;

  if (check->code == DWN_CHECK_PRODUCTS)
    return g_strdup_printf (dwn_word (wording, N_("%s makes products of the strong stations that take %s of %s; "
                                                  "take less gain, or an attenuator before it")),
                            part, db, station);
  if (station != NULL)
    return g_strdup_printf (dwn_word (wording, N_("%s makes products of FM or mobile carriers that take %s of "
                                                  "%s; put a filter against them before it")),
                            part, db, station);
  return g_strdup_printf (dwn_word (wording, N_("%s gets %s more than it bears, most of it from FM or mobile "
                                                "carriers; put a filter against them before it")), part, db);
}

/* Open ends, combiners, coax that others use. */
static char *
word_wiring (const DwnWording *wording, const DwnCheck *check, const char *part, const char *db)
{
  guint n = check->code == DWN_CHECK_OPEN_OUTPUT ? (guint) check->value : 0;

  switch (check->code)
    {
    case DWN_CHECK_NO_BALUN:
      return g_strdup_printf (dwn_word (wording, N_("%s does not fit the coax and loses %s there; put a balun at "
                                                    "its terminals")), part, db);
    case DWN_CHECK_OPEN_OUTPUT:
      return g_strdup_printf (dwn_word_plural (wording, "%s has %u open output; put a 75 Ω cap on it",
                                               "%s has %u open outputs; put 75 Ω caps on them", n), part, n);
    case DWN_CHECK_OVERSIZED:
      return g_strdup_printf (dwn_word (wording, N_("%s has more outputs than are used; a smaller one, or none, "
                                                    "would save %s")), part, db);
    case DWN_CHECK_SPLITTER_COMBINES:
      return g_strdup_printf (dwn_word (wording, N_("%s joins antennas of different bands at a loss of %s; take "
                                                    "a combiner by band")), part, db);
    case DWN_CHECK_FORMER_FEED:
      return g_strdup_printf (dwn_word (wording, N_("%s takes %s and brings in noise; detach it")), part, db);
    case DWN_CHECK_HOME_NETWORK:
    default:
      return g_strdup_printf (dwn_word (wording, N_("the home network of %s sends towards the antenna; put a "
                                                    "filter against it before the first splitter")), part);
    }
}

static char *
word_gear (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check, const char *part,
           const char *db)
{
  g_autofree char *limit = dwn_word_decibels (wording, check->limit);

  switch (check->code)
    {
    case DWN_CHECK_GAIN_UNNEEDED:
      return g_strdup_printf (dwn_word (wording, N_("%s gives %s; behind it %s are enough: take less gain")), part,
                              db, limit);
    case DWN_CHECK_SLOPE:
      return g_strdup_printf (dwn_word (wording, N_("the highest wanted channel comes to %s %s weaker than the "
                                                    "lowest; up to %s are usual: put an equaliser before it, or "
                                                    "take better cable")), part, db, limit);
    case DWN_CHECK_PRODUCTS:
    case DWN_CHECK_FILTER_MISSING:
      return word_products (wording, plan, check, part, db);
    case DWN_CHECK_WRONG_TUNER:
      return g_strdup_printf (dwn_word (wording, N_("%s has no tuner for the broadcasts of %s (%s); it needs a set "
                                                    "or a box that has")), part,
                              plan->stations->station[check->station].name,
                              dwn_system_id (plan->stations->station[check->station].system));
    default:
      return word_wiring (wording, check, part, db);
    }
}

static char *
word_part (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check)
{
  const char *part = part_name (wording, plan, check->part);
  g_autofree char *db = dwn_word_decibels (wording, check->value);
  g_autofree char *apart = dwn_word_length (wording, check->value);
  g_autofree char *least = dwn_word_number (wording, check->limit, 2);

  switch (check->code)
    {
    case DWN_CHECK_OVERLOAD:
      return g_strdup_printf (dwn_word (wording, N_("%s gets %s more than it bears; take less gain, or a filter "
                                                    "before it")), part, db);
    case DWN_CHECK_UNCONNECTED:
      return g_strdup_printf (dwn_word (wording, N_("no antenna reaches %s; join it to the gear")), part);
    case DWN_CHECK_LOOSE_ANTENNA:
      return g_strdup_printf (dwn_word (wording, N_("%s reaches no outlet; join it to the gear")), part);
    case DWN_CHECK_AMPLIFIER_LATE:
      return g_strdup_printf (dwn_word (wording, N_("%s stands behind %s of loss; an amplifier belongs at the "
                                                    "antenna, before the loss")), part, db);
    case DWN_CHECK_ANTENNAS_CLOSE:
      return g_strdup_printf (dwn_word (wording, N_("%s hangs %s from another antenna; keep at least %s m apart")),
                              part, apart, least);
    default:
      return word_gear (wording, plan, check, part, db);
    }
}

static char *
word_station (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check)
{
  const DwnStation *station = &plan->stations->station[check->station];
  g_autofree char *level = dwn_word_level (wording, check->value);
  g_autofree char *limit = dwn_word_level (wording, check->limit);
  g_autofree char *db = dwn_word_decibels (wording, check->value);

  switch (check->code)
    {
    case DWN_CHECK_TOO_STRONG:
      return g_strdup_printf (dwn_word (wording, N_("%s arrives with %s; a set bears %s: take less gain or an "
                                                    "attenuator")), station->name, level, limit);
    case DWN_CHECK_HAAT_ASSUMED:
      return g_strdup_printf (dwn_word (wording, N_("the height of %s above terrain is not on file and is taken as "
                                                    "30 m")), station->name);
    case DWN_CHECK_PROFILE_GAPS:
      return g_strdup_printf (dwn_word (wording, N_("the profile stored for %s has gaps or belongs to another "
                                                    "place; the charts are used")), station->name);
    case DWN_CHECK_TOO_WEAK:
      return g_strdup_printf (dwn_word (wording, N_("%s arrives with %s; a set wants at least %s: less loss, or "
                                                    "gain at the antenna")), station->name, level, limit);
    case DWN_CHECK_SCREENED:
      return g_strdup_printf (dwn_word (wording, N_("the house takes %s of %s: metal or foil; put the antenna "
                                                    "outside")), db, station->name);
    case DWN_CHECK_OLD_CHANNEL:
    default:
      return g_strdup_printf (dwn_word (wording, N_("%s is on RF channel %s, which television in the United States "
                                                    "has left; import a newer list")), station->name, station->rf);
    }
}

char *
dwn_word_check (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check)
{
  if (check->code == DWN_CHECK_POWER)
    return word_power (wording, plan, &check->power);
  if (check->code == DWN_CHECK_NO_OUTLET)
    return g_strdup (dwn_word (wording, N_("the gear has no outlet; add one")));
  if (check->code == DWN_CHECK_NO_ANTENNA)
    return g_strdup (dwn_word (wording, N_("the gear has no antenna; add one")));
  if (check->code == DWN_CHECK_ROOF_UNKNOWN)
    return g_strdup_printf (dwn_word (wording, N_("the roof “%s” is not in the list of roofs; it is reckoned with as "
                                                  "one of unknown build")),
                            plan->site->loss[check->loss].of);
  if (check->code == DWN_CHECK_SCREEN_NUMBERS)
    return g_strdup (dwn_word (wording, N_("every RF channel in the list is the number on the screen, which is "
                                           "hardly so on the air; import a list of RF channels")));
  if (check->code == DWN_CHECK_UNSATISFIED)
    return g_strdup_printf (dwn_word (wording, N_("no station in the list carries %s")),
                            plan->services->service[check->service].name);
  return check->part >= 0 ? word_part (wording, plan, check) : word_station (wording, plan, check);
}
