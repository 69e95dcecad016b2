/* Two alike in a stack, where one antenna does not hold all that is looked for: a variation of the first
 * rung. Which antennas are stacked is a choice, not a search: the rung's own and the one that brings
 * most of what is missing; how far apart follows from the lobe's width, or from the bearing of who
 * disturbs. What is made of them is searched like any antenna. */
#include "core/antenna/stack.h"
#include "core/study/advice-private.h"

#define MOST_NULLS 2

/* Of the stations that carry what is missing, the one that comes nearest to being held; −1: none. */
static int
nearest_miss (const DwnAdvisor *advisor, const DwnRung *alone)
{
  const DwnGoal *goal = &advisor->goal;
  const DwnBudget *budget = alone->budget;
  double nearest = -(double) INFINITY;
  int station = -1;

  for (guint j = 0; j < goal->n_stations; j++)
    {
      guint i = goal->station[j];
      const DwnReception *r = &budget->reception[(gsize) i * budget->n_outlets + budget->weakest[i]];

      if (budget->held[i] || !(r->margin_db / r->sigma_db > nearest))
        continue;
      nearest = r->margin_db / r->sigma_db;
      station = (int) i;
    }
  return station;
}

/* The antenna that brings most of @station at its best; −1: none but what @alone has. */
static int
strongest_other (const DwnAdvisor *advisor, const DwnRung *alone, guint station)
{
  const DwnArmoury *armoury = &advisor->armoury;
  double most = 0.0;
  int best = -1;

  for (guint k = 0; k < armoury->n; k++)
    {
      double line = armoury->most_line[(gsize) k * armoury->n_stations + station];

      if (armoury->part[k].pattern == alone->pattern[0] || line <= most)
        continue;
      most = line;
      best = (int) k;
    }
  return best;
}

static gboolean
has_pattern (const GPtrArray *stacks, const char *id)
{
  for (guint k = 0; k < stacks->len; k++)
    if (g_str_equal (((const DwnPattern *) stacks->pdata[k])->id, id))
      return TRUE;
  return FALSE;
}

static void
add_stack (GPtrArray *stacks, const DwnPattern *pattern, DwnStack direction, double spacing_m)
{
  DwnPattern *two = spacing_m > 0.0 && spacing_m <= DWN_STACK_MOST_M
                    ? dwn_stack_pattern (pattern, direction, spacing_m, NULL) : NULL;

  if (two != NULL && !has_pattern (stacks, two->id))
    g_ptr_array_add (stacks, two);
  else if (two != NULL)
    dwn_pattern_unref (two);
}

/* Side by side so that the array has a null on each of those who share the channel of @station while it
 * is looked at straight. */
static void
add_null_stacks (GPtrArray *stacks, const DwnAdvisor *advisor, const DwnPattern *pattern, guint station,
                 double usual_m)
{
  const DwnStations *stations = advisor->plan->stations;
  const DwnArrival *arrival = advisor->fields[1]->arrival;
  guint n = 0;

  for (guint j = 0; j < stations->n && n < MOST_NULLS; j++)
    {
      if (j == station || stations->station[j].mhz != stations->station[station].mhz
          || !(stations->station[j].erp_kw > 0.0))
        continue;
      double off_deg = arrival[j].bearing_deg - arrival[station].bearing_deg;
      add_stack (stacks, pattern, DWN_STACK_HORIZONTAL,
                 dwn_stack_null_spacing_m (off_deg, stations->station[station].mhz, usual_m));
      n++;
    }
}

static void
add_stacks (GPtrArray *stacks, const DwnAdvisor *advisor, const DwnPattern *pattern, guint station)
{
  double mhz = advisor->plan->stations->station[station].mhz;
  double beside_m = dwn_stack_best_spacing_m (pattern, DWN_STACK_HORIZONTAL, mhz);

  add_stack (stacks, pattern, DWN_STACK_VERTICAL,
             dwn_stack_best_spacing_m (pattern, DWN_STACK_VERTICAL, mhz));
  add_stack (stacks, pattern, DWN_STACK_HORIZONTAL, beside_m);
  add_null_stacks (stacks, advisor, pattern, station, beside_m);
}

GPtrArray *
dwn_advisor_stacks (const DwnAdvisor *advisor, const DwnRung *alone)
{
  GPtrArray *stacks = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);
  int station = alone->n_antennas == 1 ? nearest_miss (advisor, alone) : -1;
  int other = station >= 0 ? strongest_other (advisor, alone, (guint) station) : -1;

  if (station >= 0)
    add_stacks (stacks, advisor, alone->pattern[0], (guint) station);
  if (other >= 0)
    add_stacks (stacks, advisor, advisor->armoury.part[other].pattern, (guint) station);
  return stacks;
}
