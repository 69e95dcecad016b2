/* How the advice searches.
 *
 * A *configuration* is one antenna at one aim; a *rig* is gear without its antennas, as one
 * arrangement wires it. One rig with a configuration for each of its antennas is a candidate. What a
 * candidate holds is asked of the budget itself. That is dear, so each configuration first gets a
 * bound: what it could bring if its partners disturbed as little as any configuration of theirs
 * does. A field sum at its worst phase is never more than its strongest part, interference,
 * overload and noise only grow with a partner, so what a candidate holds is among what the bounds
 * of its configurations allow, taken together. */
#pragma once

#include "core/study/advice.h"
#include "core/study/budget-private.h"

G_BEGIN_DECLS

#define DWN_N_AIMS 360 /* the grid of the exact search: whole degrees */

/* What is looked for: the marked services, or every one where none is marked. Bit b of a set of
 * services stands for service[b]; the n_must that are must come first. */
typedef struct {
  guint n, n_must, n_words;  /* n_words: of 64 bits in a set */
  gboolean all_liked;
  guint *service;
  guint n_stations;          /* that carry any of them and radiate */
  guint *station;
  guint64 *carried;          /* [n_stations][n_words] */
  guint64 *must_mask;        /* [n_words] */
  /* The same of services that nobody marked; none where all are judged. */
  guint n_extras, n_extra_words, n_extra_stations;
  guint *extra, *extra_station;
  guint64 *extra_carried;    /* [n_extra_stations][n_extra_words] */
} DwnGoal;

void dwn_goal_init (DwnGoal *goal, const DwnPlan *plan);
void dwn_goal_clear (DwnGoal *goal);

/* How good a candidate is, the first that differs decides. */
typedef struct {
  guint must, like;
  int half_db;      /* weakest margin of the held services, in steps of half a dB */
  guint window_deg; /* the narrowest of its antennas' */
  guint extras;
  double cost;      /* NaN: unknown, dearer than any */
  double margin_db; /* what half_db is rounded down from. Where nothing is held, tenfold the margin
                       over σ of what comes nearest, so that it is the likeliest that counts. */
} DwnMerit;
int dwn_merit_compare (const DwnMerit *a, const DwnMerit *b); /* > 0: a is better */

/* The allowed antennas towards every station at every aim. */
typedef struct {
  guint n, n_stations;
  DwnPart *part;      /* [n]: with pattern and price */
  double *gain;       /* [n][DWN_N_AIMS][n_stations]: ratio, without polarisation */
  double *sd_db;      /* the same of the pattern */
  double *feed;       /* [n][n_stations]: ratio that the feed lets through */
} DwnArmoury;

gboolean dwn_armoury_init (DwnArmoury *armoury, const DwnPlan *plan, const DwnFields *fields,
                           guint n, const DwnPattern *const *pattern, GCancellable *cancellable,
                           GError **error);
void dwn_armoury_clear (DwnArmoury *armoury);
static inline gsize
dwn_armoury_at (const DwnArmoury *armoury, guint configuration)
{
  return (gsize) configuration * armoury->n_stations;
}

/* Everything that the rungs share. */
typedef struct {
  const DwnPlan *plan;
  const DwnTables *tables;
  DwnFields *fields[DWN_RUNG_ANTENNAS + 1]; /* for that many antennas */
  DwnGoal goal;
  DwnArmoury armoury;
  double below_top_m[DWN_RUNG_ANTENNAS];
  DwnPolarisation polarisation[DWN_RUNG_ANTENNAS];
  GCancellable *cancellable;
} DwnAdvisor;

/* Gear of one arrangement, whichever antennas stand in it, and the candidates that share it. */
typedef struct {
  DwnArrangement arrangement;
  guint n;                 /* antennas */
  DwnPlan *plan;           /* with the first candidate's antennas */
  DwnBudgetBase *base;
  double *lying;           /* [n_stations][n]: ratio lost by polarisation */
  double *feed;            /* the same, let through by the feeds of the plan's antennas */
  GArray *tuples;          /* (element-type DwnTuple): antennas of the armoury that it takes */
} DwnRig;
typedef struct {
  guint8 antenna[DWN_RUNG_ANTENNAS];
} DwnTuple;
/* Of a plan that is wired already; without tuples. */
DwnRig *dwn_rig_new (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n, DwnPlan *plan);
void dwn_rig_free (DwnRig *rig);
/* How @antenna's feed compares with that of the one for which the rig was wired. */
static inline double
dwn_rig_match (const DwnAdvisor *advisor, const DwnRig *rig, guint i, guint a, guint antenna)
{
  return advisor->armoury.feed[(gsize) antenna * advisor->armoury.n_stations + i]
         / rig->feed[(gsize) i * rig->n + a];
}

/* Returns: (transfer full) (element-type DwnRig): one for each way in which the antennas of the
 * armoury can be wired in this arrangement; empty where it cannot be built. */
GPtrArray *dwn_rigs_new (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n);
/* The plan with this arrangement of these antennas, or NULL. */
DwnPlan *dwn_advisor_wire (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n,
                           const guint8 *antenna, const double *aim_deg);

/* The best candidate so far. */
typedef struct {
  const DwnRig *rig;       /* NULL: none */
  guint configuration[DWN_RUNG_ANTENNAS]; /* antenna · DWN_N_AIMS + aim */
  DwnMerit merit;
} DwnBest;

/* Asks the budget about candidates of one rig. */
typedef struct {
  const DwnAdvisor *advisor;
  const DwnRig *rig;
  DwnTerminals terminals;
  guint configuration[DWN_RUNG_ANTENNAS];
  guint64 *held;           /* [n_words]: services of the candidate asked about last */
  gboolean *station_held;  /* per station of the goal */
  double *station_db;      /* per station of the goal: lowest margin over the outlets */
  guint n_asked, n_windows;
} DwnJudge;
void dwn_judge_init (DwnJudge *judge, const DwnAdvisor *advisor, const DwnRig *rig);
void dwn_judge_clear (DwnJudge *judge);
/* Must, like, half_db and margin_db of a candidate; the others are filled by _complete(). */
void dwn_judge_ask (DwnJudge *judge, const guint *configuration, DwnMerit *merit);
/* The same with the terminals as they stand. */
void dwn_judge_weigh (DwnJudge *judge, DwnMerit *merit);
/* What was asked about last: @merit's window, extras and cost. */
void dwn_judge_complete (DwnJudge *judge, DwnMerit *merit);
double dwn_rig_cost (const DwnAdvisor *advisor, const DwnRig *rig, const guint *configuration);

/* Improves @best by the candidates of @rig. FALSE with @error where cancelled.
 * @reached: (nullable) [goal.n_words]: services that some candidate holds are added. */
gboolean dwn_rig_search (const DwnAdvisor *advisor, const DwnRig *rig, DwnBest *best,
                         guint64 *reached, GError **error);

/* A rung of what was found: aims refined to 0.1°, with its plan and budget. FALSE where @best is
 * none. */
gboolean dwn_rung_init (DwnRung *rung, const DwnAdvisor *advisor, const DwnBest *best);
void dwn_rung_clear (DwnRung *rung);
/* Which rung is advised and why, what falls first, who runs up. */
void dwn_ladder_choose (DwnLadder *ladder, const DwnAdvisor *advisor);
/* Draws the fields and counts who wins. */
void dwn_ladder_draw (DwnLadder *ladder, const DwnAdvisor *advisor, guint draws, guint32 seed);
double dwn_service_chance (const DwnPlan *plan, const DwnBudget *budget, guint service);

/* The antennas that @options, @plan or the starter set name.
 * Returns: (transfer full) (element-type DwnPattern), or NULL with @error. */
GPtrArray *dwn_advice_antennas (const DwnPlan *plan, const DwnTables *tables,
                                const DwnAdviceOptions *options, GError **error);

/* Counts bits without asking for a machine that has an instruction for it. */
static inline guint
dwn_bits (guint64 set)
{
  set -= (set >> 1) & G_GUINT64_CONSTANT (0x5555555555555555);
  set = (set & G_GUINT64_CONSTANT (0x3333333333333333))
        + ((set >> 2) & G_GUINT64_CONSTANT (0x3333333333333333));
  set = (set + (set >> 4)) & G_GUINT64_CONSTANT (0x0f0f0f0f0f0f0f0f);
  return (guint) ((set * G_GUINT64_CONSTANT (0x0101010101010101)) >> 56);
}

G_END_DECLS
