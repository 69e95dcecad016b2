/* What each configuration could hold at best, whatever its partners do. */
#pragma once

#include "core/study/advice-scales.h"

G_BEGIN_DECLS

/* Configurations that might hold the same services. */
typedef struct {
  guint first, n;        /* in the order of the grouping */
  guint level;           /* dwn_goal_level() of what they might hold */
  const guint64 *holds;
} DwnGroup;

/* For one antenna of a rig: its configurations by what they might hold with a certain margin. */
typedef struct {
  guint n;
  DwnGroup *group;       /* those that might hold most first */
  guint *order;          /* configurations, group by group */
  guint64 *holds;        /* [n configurations][n_words] */
} DwnGrouping;

/* For one antenna of a rig. */
typedef struct {
  guint n, n_words, n_rows;
  guint n_aims;
  gboolean *used;        /* [armoury.n]: the rig takes this antenna here */
  guint64 *holds;        /* [n configurations][n_words]: services that it might hold */
  float *most;           /* [n_rows][n]: of each row carrier over needed at most; 0: not held */
  float *most_of;        /* [n_rows][armoury.n]: no less than that over all aims of an antenna */
  guint64 *extras;       /* [n][n_extra_words]: what it might hold of them, once known */
  gboolean *extras_known;
} DwnSide;

void dwn_side_init (DwnSide *side, const DwnScales *scales, guint a);
void dwn_side_clear (DwnSide *side);
static inline const guint64 *
dwn_side_holds (const DwnSide *side, guint configuration)
{
  return &side->holds[(gsize) configuration * side->n_words];
}
static inline float *
dwn_side_most (const DwnSide *side, guint r)
{
  return &side->most[(gsize) r * side->n];
}
const guint64 *dwn_side_extras (DwnSide *side, const DwnScales *scales, guint a, guint configuration);

/* @least_ratio: that the carrier exceeds what is needed by. */
void dwn_grouping_init (DwnGrouping *grouping, const DwnSide *side, const DwnScales *scales,
                        double least_ratio);
void dwn_grouping_clear (DwnGrouping *grouping);

guint dwn_level_of_set (const DwnGoal *goal, const guint64 *set);

G_END_DECLS
