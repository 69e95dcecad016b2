#include "core/study/separation.h"

#include <math.h>

#include "core/antenna/stack.h"

#define WITHIN_DB 6.0

static double
line_dbi (const DwnPattern *pattern, gsize f)
{
  return dwn_pattern_max_gain_dbi (pattern, pattern->mhz[f]) - dwn_pattern_mismatch_db (pattern, pattern->mhz[f]);
}

double
dwn_pattern_lowest_mhz (const DwnPattern *pattern)
{
  double best = -(double) INFINITY;

  for (gsize f = 0; f < pattern->n_mhz; f++)
    best = fmax (best, line_dbi (pattern, f));
  for (gsize f = 0; f < pattern->n_mhz; f++)
    if (line_dbi (pattern, f) >= best - WITHIN_DB)
      return pattern->mhz[f];
  return (double) NAN;
}

/* From the middle of a stack to its upper or lower antenna. */
static double
reach_m (const DwnPart *part)
{
  DwnStackId stack;

  return dwn_stack_id_parse (part->pattern->id, &stack) && stack.direction == DWN_STACK_VERTICAL
         ? stack.spacing_m / 2.0 : 0.0;
}

static double
below_top_m (const DwnPart *part)
{
  return isnan (part->below_top_m) ? 0.0 : part->below_top_m;
}

static DwnSeparation
between (const DwnChain *gear, guint antenna, guint other)
{
  const DwnPart *one = &gear->part[gear->antenna[antenna]], *two = &gear->part[gear->antenna[other]];
  double apart_m = fabs (below_top_m (one) - below_top_m (two)) - reach_m (one) - reach_m (two);
  double lower_mhz = fmin (dwn_pattern_lowest_mhz (one->pattern), dwn_pattern_lowest_mhz (two->pattern));

  return (DwnSeparation) {
    .other = (int) other, .apart_m = fmax (apart_m, 0.0),
    .least_m = dwn_pair_separation_m (DWN_STACK_VERTICAL, lower_mhz),
    .isolation_db = dwn_pair_isolation_db (DWN_STACK_VERTICAL, apart_m, lower_mhz, 0.0),
  };
}

DwnSeparation
dwn_separation_of (const DwnChain *gear, guint antenna)
{
  DwnSeparation nearest = { -1, (double) NAN, (double) NAN, (double) NAN };

  g_return_val_if_fail (gear != NULL && antenna < gear->n_antennas, nearest);

  for (guint other = 0; other < gear->n_antennas; other++)
    {
      if (other == antenna)
        continue;
      DwnSeparation here = between (gear, antenna, other);
      if (nearest.other < 0 || here.apart_m - here.least_m < nearest.apart_m - nearest.least_m)
        nearest = here;
    }
  return nearest;
}
