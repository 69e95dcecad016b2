/* Level and carrier-to-noise ratio after every part on a station's way to an outlet, and the arc
 * of aims that keeps what is held. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

typedef struct {
  gboolean is_edge;   /* a cable; only those with a length of cable are listed */
  guint index;        /* of the part or edge */
  double gain_db, noise_figure_db;       /* its own */
  double cumulative_gain_db, cumulative_noise_figure_db; /* from the antenna's terminals */
  double level_dbm;   /* after it; the antenna's own terminals first */
  double cn_db;       /* against the noise that has gathered so far, without interference */
  double headroom_db; /* NaN: has no limit */
} DwnLevelStep;

/* @mhz: the gear's behaviour at this frequency; 0: at the station's own. @budget must be of @base.
 * Returns: (transfer full) (element-type DwnLevelStep): along the way with the least loss from the
 * antenna that brings most of the station; NULL where nothing is connected. */
GArray *dwn_levels_along (const DwnBudgetBase *base, const DwnBudget *budget, guint station,
                          guint outlet, double mhz);

/* The station that comes off worst at a part. */
typedef struct {
  int station;     /* −1: none passes there */
  double spare_db; /* what its C/N after the part has over what it needs; NaN where none passes */
} DwnWorst;

/* Returns: (transfer full) (array): one for each part of the gear: of the wanted stations (of all,
 * where none is wanted) and their ways to every outlet, the one with the least to spare there. */
DwnWorst *dwn_levels_worst (const DwnBudgetBase *base, const DwnBudget *budget);

/* How much more the gear brings at @high_mhz than at @low_mhz to @outlet, dB; negative where the upper
 * end loses more, as cable does. By the way and the position of the switches with the least loss at
 * each; what the antennas do does not count. NaN where nothing
 * leads there. */
double dwn_outlet_slope_db (const DwnChain *gear, guint outlet, double low_mhz, double high_mhz);

/* The arc of aims of @antenna around its own in @aim_deg, in steps of 1° and with all others
 * unchanged, that holds every wanted station held now (every station held, where none is wanted).
 * 0 and 360 where any aim does; NaN where nothing is held. */
void dwn_aim_window (const DwnBudgetBase *base, const double *aim_deg, guint antenna,
                     double *from_deg, double *to_deg);

G_END_DECLS
