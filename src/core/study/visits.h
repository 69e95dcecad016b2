/* What an installation shows over time: what moved since the visit before, which channels are close
 * to the edge and when they may go over it. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* One station's latest reading, and the latest one before at the same place on another day. */
typedef struct {
  int now, before;         /* indices into the plan's readings; −1: none */
  double level_moved_db;   /* now less before; NaN where one of them has none */
  double cn_moved_db;
} DwnMoved;

/* Of several readings on the latest day the one at an outlet counts, and the first of those. Readings
 * without a day are the oldest. Returns: (transfer full): [stations]. */
DwnMoved *dwn_moved_new (const DwnPlan *plan);

/* When a channel that has little to spare may go. */
typedef enum {
  DWN_FADES_WITH_LEAVES = 1 << 0,  /* when leaves come: they are off in the season planned for */
  DWN_FADES_WET = 1 << 1,          /* after rain: trees or a roof stand in the way */
  DWN_FADES_IN_CALM = 1 << 2,      /* on still, clear evenings and mornings: the path itself fades */
  DWN_FADES_IN_HEAT = 1 << 3,      /* in hot spells: a far station on the channel comes in */
  DWN_FADES_WITH_NOISE = 1 << 4,   /* when something electrical runs: noise rules */
} DwnFadesWhen;
#define DWN_N_FADES 5

typedef struct {
  guint station;
  double margin_db, chance; /* at the weakest outlet */
  guint when;               /* DwnFadesWhen; 0: nothing in particular */
} DwnFading;

/* Under this a channel is not finished: digital pictures hide the margin until the cliff (TRADE,
 * section A). */
#define DWN_MARGIN_FINISHED_DB 6.0

/* The wanted stations that may come in and have less margin than that at their weakest outlet, or are
 * not held: the weakest first. @fields: what @budget was made of.
 * Returns: (transfer full) (element-type DwnFading). */
GArray *dwn_fading (const DwnPlan *plan, const DwnFields *fields, const DwnBudget *budget,
                    const DwnTables *tables);

G_END_DECLS
