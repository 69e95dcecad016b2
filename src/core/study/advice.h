/* Which antenna or antennas, pointed where, joined how: the ladder of arrangements, simplest
 * first, each with its best choice by exact search. DESIGN.md, "Advice".
 *
 * Exact is: of all allowed antennas at every whole degree, by every wiring of the arrangement, no
 * other choice holds more must services, then liked ones, then has a greater weakest margin in steps
 * of half a dB; then a wider window, more extras, a lower price. Aims are refined to 0.1° afterwards.
 *
 * An arrangement holds a station that has 90 % on every outlet. Two downleads: an outlet receives by
 * the better of its two tuners; behind a switch by the better of its positions. A rotator looks
 * straight at the station that is judged, and the others are as far off its boresight as they lie
 * from that one. The window of an antenna is what it can be turned through while all others stand
 * still and nothing that is held is lost; the merit counts the narrowest; a rotator has none. In one
 * band through a hybrid the worst phase is judged. Channel filters: a run of neighbouring wanted
 * channels comes from one antenna, the rest from the other, where the filters' slopes have room. One
 * more antenna for another band joins an arrangement only where it makes it hold more and every
 * antenna brings something. */
#pragma once

#include "core/chain/head.h"
#include "core/study/budget.h"
#include "core/study/phases.h"

G_BEGIN_DECLS

#define DWN_RUNG_ANTENNAS 3

/* Why a rung is advised or not; `other` and `service` of the rung are its arguments. */
typedef enum {
  DWN_REASON_SIMPLEST,      /* advised: no other holds more that counts */
  DWN_REASON_CLIMBED,       /* advised: brings `service`, which rung `other` does not */
  DWN_REASON_HOLDS_LESS,    /* than the advised one (`other`), which holds `service` too */
  DWN_REASON_HOLDS_SAME,    /* as rung `other`, which is simpler */
  DWN_REASON_SMALL_GAIN,    /* what it holds more gains less than 3 dB: `service`, `gain_db` */
  DWN_REASON_ONLY_LIKED,    /* what it holds more is only liked: `service` */
  DWN_REASON_ONE_DIRECTION, /* a rotator turns for one set at a time */
  DWN_REASON_TRIAL,         /* nothing dependable, `service` is worth a trial on a temporary mast */
  DWN_REASON_NOTHING,       /* nothing that is wanted can be received: do not buy */
} DwnReason;
const char *dwn_reason_id (DwnReason reason); /* "simplest" "climbed" and so on */

/* A second arrangement must bring a must service this much more margin to be worth it, DESIGN. */
#define DWN_CLIMB_DB 3.0

/* What holds as much is close to the advised rung, less than this behind at the weakest service. */
#define DWN_CLOSE_DB 3.0

/* One arrangement at its best. */
typedef struct {
  DwnArrangement arrangement;
  guint n_antennas;
  const DwnPattern *pattern[DWN_RUNG_ANTENNAS];
  double aim_deg[DWN_RUNG_ANTENNAS];  /* to 0.1°; NaN: turns from station to station */
  double grid_deg[DWN_RUNG_ANTENNAS]; /* the best in whole degrees, from which that was refined */
  /* As dwn_aim_window() has it: 0 and 360 where any aim does, NaN where nothing is held. */
  double window_from_deg[DWN_RUNG_ANTENNAS], window_to_deg[DWN_RUNG_ANTENNAS];
  const DwnPlan *plan;       /* the plan with this gear and these aims: try it, take it */
  const DwnBudget *budget;   /* of that plan */
  const gboolean *holds;     /* per service of the plan */
  const double *margin_db;   /* per service: of its best station, the lowest over the outlets;
                                −INFINITY where no station of it is connected */
  guint held_must, held_like, held_extra; /* services; extras are those that nobody marked */
  double weakest_margin_db;  /* among held wanted services; NaN: none */
  int weakest_service;       /* whose margin that is; −1 */
  double joint_chance;       /* of all held wanted services together; NaN: none */
  double cost;               /* of all parts whose price is known; NaN where an antenna's is not */
  DwnReason reason;
  guint other;               /* rung */
  int service;               /* −1: none */
  double gain_db;
  /* Which of the held wanted stations falls first as all fields turn out weaker alike, at how many
   * decibels, and how many wanted services are lost by 3 and by 6 dB; −1 where none is held. */
  int first_to_fall;
  double falls_at_db;
  guint fallen_3db, fallen_6db;
  /* Through a hybrid only: one for each station of the plan; NULL in any other arrangement. */
  const DwnPhases *phases;
  double win_share;          /* of the draws in which no other holds more; NaN: not drawn */
} DwnRung;

/* Immutable, refcounted. */
typedef struct {
  guint n;
  const DwnRung *rung;
  guint n_must, n_like;      /* services marked so */
  gboolean all_liked;        /* nothing is marked: every service counts as liked */
  int advised;               /* rung; −1: do not buy, or try first: the reason of `candidate` */
  guint candidate;           /* the advised rung, or the one to try or to read the reason from */
  /* Each rung at its best with other antennas, in the same order; n_antennas 0: nothing else can be
   * had. Looked for only where there are draws; otherwise NULL. */
  const DwnRung *second;
  /* The simplest of what is close to the advised rung, otherwise what holds most beside it: a rung,
   * or where that is TRUE one of `second`. −1: none that holds anything. Close holds as many must and
   * liked services, the weakest less than DWN_CLOSE_DB weaker. */
  int runner_up;
  gboolean runner_up_is_second, runner_up_is_close;
  /* Two alike in a stack instead of the first rung's one antenna, a variation of it: only where that
   * holds more; its id says how far apart (core/antenna/stack.h), its reason what it brings. NULL. */
  const DwnRung *stacked;
  guint n_out_of_reach;      /* wanted services that no antenna at any aim holds, on its own */
  const guint *out_of_reach;
} DwnLadder;

typedef struct {
  guint n_antennas;          /* 0: those that the plan allows, otherwise the starter set */
  const DwnPattern *const *pattern;
  guint draws;               /* Monte Carlo over rungs and runners-up; 0: none */
  guint32 seed;
  guint step_deg;            /* of the aims that are searched, a divisor of 360; 0: whole degrees */
} DwnAdviceOptions;

/* Rung or second that runs up; NULL: none. */
const DwnRung *dwn_ladder_runner_up (const DwnLadder *ladder);

/* @fields: of @plan's own gear.
 * Returns: (transfer full), or NULL with @error where the gear has no outlet that an antenna
 * reaches, an antenna is unknown, or @cancellable (nullable) was cancelled. */
DwnLadder *dwn_advise (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                       const DwnAdviceOptions *options, GCancellable *cancellable, GError **error);
DwnLadder *dwn_ladder_ref (const DwnLadder *ladder);
void dwn_ladder_unref (const DwnLadder *ladder);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnLadder, dwn_ladder_unref)

/* The antennas that advice chooses from where neither plan nor user says: those of the data file
 * study/advice.ini for this mount. Returns: (transfer full) (element-type DwnPattern), or NULL with
 * @error. */
GPtrArray *dwn_advice_starter_set (const DwnTables *tables, DwnMount mount, GError **error);

G_END_DECLS
