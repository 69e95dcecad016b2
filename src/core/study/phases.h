/* What it does to a station that two antennas hear it in one line: nobody knows the phase in which
 * they do, so every figure has a mean, a best and a worst, and joining has its price. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* One station at the outlet where it comes off worst, dB. The margins have the noise that both
 * antennas bring from outside in them, and what they bring of other stations. */
typedef struct {
  guint station;
  double mean_db;  /* margin with the power averaged over all phases */
  double best_db;  /* in phase */
  double worst_db; /* in opposition: the margin that the budget and the advice go by */
  double alone_db; /* margin with the other antenna of the pair taken down and its joiner with it,
                    * from the better of the two; NaN: cannot be wired */
  double noise_db; /* by how much what disturbs it is more than there; negative: less */
} DwnPhases;

/* Between the best phase and the worst. */
static inline double
dwn_phases_ripple_db (const DwnPhases *phases)
{
  return phases->best_db - phases->worst_db;
}

/* What joining costs on average: 3 dB through an ideal hybrid where only one antenna hears the
 * station, half a decibel more through a real one. NaN where unknown. */
static inline double
dwn_phases_cost_db (const DwnPhases *phases)
{
  return phases->alone_db - phases->mean_db;
}

/* For a plan whose antennas meet in a hybrid, at @aim_deg and with its @budget there; one for every
 * station of the plan. Anything but a hybrid: NULL.
 * @base, @budget: of the same plan, which has no antennas but those that meet there and at most one
 * for another band.
 * Returns: (transfer full) (array). */
DwnPhases *dwn_phases_new (const DwnBudgetBase *base, const DwnBudget *budget, const double *aim_deg);

/* Of the held stations that somebody wants (of all held ones where nobody marked any) the one whose
 * phases lie farthest apart; NULL: none is held. @phases: one for each station of @plan. */
const DwnPhases *dwn_phases_widest (const DwnPhases *phases, const DwnPlan *plan,
                                    const DwnBudget *budget);

/* What the two antennas of a hybrid bring together from each bearing, the first of @n north: @mean_dbi,
 * and at the best and the worst phase, as the gain of one antenna that would stand in place of the one
 * of the two behind which least is lost. Whatever each hears 20 dB weaker hardly ripples any more.
 * FALSE, and nothing filled, where no hybrid joins just two antennas. */
gboolean dwn_phases_pattern (const DwnChain *gear, const double *aim_deg, double mhz, guint n,
                             double *mean_dbi, double *best_dbi, double *worst_dbi);

G_END_DECLS
