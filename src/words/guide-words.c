#include "words/guide-words.h"

#include <glib/gi18n-lib.h>

#define ENOUGH 0.5
#define DEPENDABLE 0.9

static const struct {
  const char *name, *hint;
} steps[DWN_N_GUIDE_STEPS] = {
  { N_("Site"), N_("Say where the house stands and how high the antennas go; elevation tiles show what is in the way.") },
  { N_("Stations"), N_("Bring in a station list, or add the stations that you know.") },
  { N_("Wanted"), N_("Mark what has to come in, and what would be nice to have.") },
  { N_("Antennas"), N_("Choose an antenna and turn it: drag its handle in the rose.") },
  { N_("Gear"), N_("Draw what lies between the antennas and the sets: cables, splitters, an amplifier.") },
  { N_("Advice"), N_("See what would bring more, or do the same for less.") },
  { N_("Sheet"), N_("Print the sheet that goes up to the roof.") },
};

G_STATIC_ASSERT (G_N_ELEMENTS (steps) == DWN_GUIDE_SHEET + 1);

/* Counts wanted stations, and those of them that come in with at least @chance. */
static guint
count_wanted (const DwnFindings *findings, double chance, guint *n_wanted)
{
  const DwnPlan *plan = findings->plan;
  guint n = 0;

  *n_wanted = 0;
  for (guint i = 0; i < plan->stations->n; i++)
    if (dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      {
        *n_wanted += 1;
        n += dwn_station_chance (findings->budget, i) >= chance ? 1 : 0;
      }
  return n;
}

guint
dwn_guide_done (const DwnFindings *findings, guint seen)
{
  guint n_wanted, done = DWN_GUIDE_BIT (DWN_GUIDE_SITE) | (seen & DWN_GUIDE_BIT (DWN_GUIDE_GEAR));

  g_return_val_if_fail (findings != NULL && findings->plan != NULL, 0);

  guint n_dependable = count_wanted (findings, DEPENDABLE, &n_wanted);
  if (findings->plan->stations->n > 0)
    done |= DWN_GUIDE_BIT (DWN_GUIDE_STATIONS);
  if (n_wanted == 0)
    return done;
  done |= DWN_GUIDE_BIT (DWN_GUIDE_WANTED);
  done |= seen & (DWN_GUIDE_BIT (DWN_GUIDE_ADVICE) | DWN_GUIDE_BIT (DWN_GUIDE_SHEET));
  if (n_dependable == n_wanted)
    done |= DWN_GUIDE_BIT (DWN_GUIDE_ADVICE);
  if (count_wanted (findings, ENOUGH, &n_wanted) > 0)
    done |= DWN_GUIDE_BIT (DWN_GUIDE_ANTENNAS);
  return done;
}

int
dwn_guide_next (guint done)
{
  for (int step = 0; step < DWN_N_GUIDE_STEPS; step++)
    if ((done & DWN_GUIDE_BIT (step)) == 0)
      return step;
  return -1;
}

const char *
dwn_word_guide (const DwnWording *wording, DwnGuideStep step)
{
  return dwn_word (wording, steps[step].name);
}

const char *
dwn_word_guide_hint (const DwnWording *wording, DwnGuideStep step)
{
  return dwn_word (wording, steps[step].hint);
}
