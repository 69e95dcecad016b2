/* How the advice searches.
 *
 * A *configuration* is one antenna at one aim; a *rig* is gear without its antennas, as one
 * arrangement wires it. One rig with a configuration for each of its antennas is a candidate. What a
 * candidate holds is asked of the budget itself (advice-judge.c). That is dear, so it comes last:
 *
 * - Each configuration gets a bound (advice-bounds.c): what it could hold if its partners disturbed
 *   as little as any configuration of theirs does. A field sum at its worst phase is never more than
 *   its strongest part, and interference, overload and noise only grow with a partner, so what a
 *   candidate holds is among what its configurations might hold, taken together.
 * - Configurations that might hold the same form a group; only combinations of groups that might
 *   hold as much as the best candidate so far are looked into (advice-search.c).
 * - Their candidates are put on the scales (advice-scales.c), which know levels, noise, interference
 *   and overload at the outlet that most depends on them, and never underrate. */
#pragma once

#include "core/study/advice.h"
#include "core/study/budget-private.h"

G_BEGIN_DECLS

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

/* A pattern changes little from one degree to the next: what so many aims together cannot do, none
 * of them can. */
#define DWN_BLOCK_AIMS 8

/* The allowed antennas towards every station at every aim of the grid. */
typedef struct {
  guint n, n_stations, n_aims, step_deg;
  DwnPart *part;         /* [n]: with pattern and price */
  DwnBandGain *band;     /* [n] */
  double *gain;          /* [n][n_aims][n_stations]: ratio, without polarisation */
  double *sd_db;         /* the same of the pattern */
  float *line;           /* the same as gain, with what the feed lets through */
  double *feed;          /* [n][n_stations]: ratio that the feed lets through */
  double *most_line;     /* [n][n_stations]: over all aims */
  double *most_line_of_all; /* [n_stations]: over all antennas too */
  guint n_blocks;        /* of up to DWN_BLOCK_AIMS neighbouring aims */
  float *block_most, *block_least; /* [n][n_blocks][n_stations]: of line, over the aims of a block */
  double *look_gain, *look_sd_db; /* [n][n_stations looked at][n_stations]: from a rotator */
} DwnArmoury;

/* @step_deg: of the grid, a divisor of 360. */
gboolean dwn_armoury_init (DwnArmoury *armoury, const DwnPlan *plan, const DwnFields *fields,
                           guint step_deg, guint n, const DwnPattern *const *pattern,
                           GCancellable *cancellable, GError **error);
void dwn_armoury_clear (DwnArmoury *armoury);
static inline gsize
dwn_armoury_at (const DwnArmoury *armoury, guint configuration)
{
  return (gsize) configuration * armoury->n_stations;
}
/* Of an antenna in a block of its aims. */
static inline gsize
dwn_armoury_block (const DwnArmoury *armoury, guint block)
{
  return (gsize) block * armoury->n_stations;
}
/* Of @antenna on a rotator that looks at station @at: where that of the first station stands. */
static inline gsize
dwn_armoury_look (const DwnArmoury *armoury, guint antenna, guint at)
{
  return ((gsize) antenna * armoury->n_stations + at) * armoury->n_stations;
}
static inline double
dwn_armoury_aim_deg (const DwnArmoury *armoury, guint configuration)
{
  return configuration % armoury->n_aims * armoury->step_deg;
}

/* What one antenna at one configuration brings to a station at a tuner. Candidates are sums of these, and
 * each is asked for so often that it is kept from the first time on. */
typedef struct {
  double root_mw;        /* root of the carrier */
  float noise_mw;        /* from outside beyond room temperature, and other stations */
  float help_mw;         /* partners in a single-frequency network */
  guint stamp;           /* of the rig for which it is known */
} DwnShare;

/* The same over a block of aims. */
typedef struct {
  double most_root_mw, least_root_mw;
  float noise_mw;        /* at least */
  float help_mw;         /* at most */
  guint stamp;
} DwnBlockShare;

/* Those of one rig after the other: a stamp tells them apart, so that the next finds a clean table
 * without anybody cleaning it. */
typedef struct {
  guint stamp;
  gsize size[DWN_RUNG_ANTENNAS], block_size[DWN_RUNG_ANTENNAS];
  DwnShare *share[DWN_RUNG_ANTENNAS];            /* [configuration][row] */
  DwnBlockShare *block_share[DWN_RUNG_ANTENNAS]; /* [block][row] */
} DwnShares;

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
  DwnShares *shares;
  guint *choice[DWN_RUNG_ANTENNAS + 1]; /* advice-rig.c, by the number of antennas: as they come up */
} DwnAdvisor;

/* How the antennas of an arrangement are to be wired, whichever they are. */
typedef struct {
  DwnArrangement arrangement;
  guint n;                             /* antennas, one for another band included */
  const char *pass[DWN_RUNG_ANTENNAS]; /* of channel filters: what each is to bring */
} DwnWire;

/* Gear of one arrangement, whichever antennas stand in it, and the candidates that share it. */
typedef struct {
  DwnWire wire;
  guint n;                 /* antennas */
  gboolean turns;          /* the first is on a rotator, which looks at the station that is judged */
  DwnPlan *plan;           /* with the first candidate's antennas */
  DwnBudgetBase *base;
  double *lying;           /* [n_stations][n]: ratio lost by polarisation */
  double *feed;            /* the same, let through by the feeds of the plan's antennas */
  guint number;            /* of this rig among those of the arrangement */
  const guint16 *rig_of;   /* [armoury.n]^n: which rig takes these antennas; NO_RIG: none does */
} DwnRig;
#define DWN_NO_RIG G_MAXUINT16

DwnRig *dwn_rig_new (const DwnAdvisor *advisor, const DwnWire *wire, DwnPlan *plan);
void dwn_rig_free (DwnRig *rig);
static inline gsize
dwn_tuple_index (const DwnArmoury *armoury, guint n, const guint *antenna)
{
  gsize index = 0;

  for (guint a = 0; a < n; a++)
    index = index * armoury->n + antenna[a];
  return index;
}
/* How many configurations an antenna of the rig has: one on a rotator does not aim. */
static inline guint
dwn_rig_n_aims (const DwnAdvisor *advisor, const DwnRig *rig, guint a)
{
  return rig->turns && a == 0 ? 1 : advisor->armoury.n_aims;
}
static inline guint
dwn_rig_antenna (const DwnAdvisor *advisor, const DwnRig *rig, guint a, guint configuration)
{
  return configuration / dwn_rig_n_aims (advisor, rig, a);
}
/* The block of aims in which a configuration lies; on a rotator each is its own. */
static inline guint
dwn_rig_block (const DwnAdvisor *advisor, const DwnRig *rig, guint a, guint configuration)
{
  const DwnArmoury *armoury = &advisor->armoury;

  if (rig->turns && a == 0)
    return configuration;
  return configuration / armoury->n_aims * armoury->n_blocks
         + configuration % armoury->n_aims / DWN_BLOCK_AIMS;
}
static inline guint
dwn_rig_block_antenna (const DwnAdvisor *advisor, const DwnRig *rig, guint a, guint block)
{
  return rig->turns && a == 0 ? block : block / advisor->armoury.n_blocks;
}
/* How @antenna's feed compares with that of the one for which the rig was wired. */
static inline double
dwn_rig_match (const DwnAdvisor *advisor, const DwnRig *rig, guint i, guint a, guint antenna)
{
  return advisor->armoury.feed[(gsize) antenna * advisor->armoury.n_stations + i]
         / rig->feed[(gsize) i * rig->n + a];
}

/* One rig for each way in which the antennas of the armoury can be wired so; none where it cannot
 * be built. */
typedef struct {
  GPtrArray *rigs; /* (element-type DwnRig) */
  guint16 *rig_of;
} DwnRigs;
/* @barred: (nullable): candidates with just the antennas of this rung do not count. */
void dwn_rigs_init (DwnRigs *rigs, const DwnAdvisor *advisor, const DwnWire *wire,
                    const DwnRung *barred);
void dwn_rigs_clear (DwnRigs *rigs);
/* The plan with these antennas, or NULL. */
DwnPlan *dwn_advisor_wire (const DwnAdvisor *advisor, const DwnWire *wire, const guint *antenna,
                           const double *aim_deg);
/* How many antennas the arrangement joins before one for another band. */
static inline guint
dwn_arrangement_base (DwnArrangement arrangement)
{
  return arrangement == DWN_ARRANGEMENT_ONE || arrangement == DWN_ARRANGEMENT_ROTATOR ? 1 : 2;
}

/* Channel filters: one antenna brings a run of neighbouring wanted channels, the other the rest.
 * Every run that leaves the filter's slopes room on both sides.
 * Returns: (transfer full) (element-type DwnWire), of two antennas. */
GArray *dwn_advisor_channel_wires (const DwnAdvisor *advisor);

/* The best candidate so far. */
typedef struct {
  DwnRig *rig;             /* NULL: none; owned */
  guint configuration[DWN_RUNG_ANTENNAS]; /* antenna · n_aims + aim; on a rotator the antenna */
  gboolean complete;       /* the merit's window, extras and cost are filled */
  DwnMerit merit;
} DwnBest;
void dwn_best_clear (DwnBest *best);

/* Asks the budget about candidates of one rig. */
typedef struct {
  const DwnAdvisor *advisor;
  const DwnRig *rig;
  DwnTerminals terminals;
  guint configuration[DWN_RUNG_ANTENNAS];
  guint64 *held;           /* [n_words]: services of the candidate asked about last */
  gboolean *station_held;  /* per station of the goal */
  double *station_db;      /* per station of the goal: lowest margin over the outlets */
  guint antennas;          /* a bit for each that brings something that is held */
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

/* Improves @best by the candidates of @rig that hold at least @least, counted as
 * dwn_goal_level() does, and, unless that is 0, of which each antenna brings something; takes the rig where it is the better. FALSE with @error where cancelled.
 * @reached: (nullable) [goal.n_words]: services that some candidate of one antenna holds are
 * added. */
gboolean dwn_rig_search (const DwnAdvisor *advisor, DwnRig **rig, guint least, DwnBest *best,
                         guint64 *reached, GError **error);
/* Counts that compare as must and like do: more must first. */
static inline guint
dwn_goal_level (const DwnGoal *goal, guint must, guint like)
{
  return must * (goal->n + 1) + like;
}

/* A rung of what was found: aims refined to 0.1°, with its plan and budget. FALSE where @best is
 * none. */
gboolean dwn_rung_init (DwnRung *rung, const DwnAdvisor *advisor, const DwnBest *best);
void dwn_rung_clear (DwnRung *rung);
/* Which rung is advised and why, what falls first, who runs up. */
void dwn_ladder_choose (DwnLadder *ladder, const DwnAdvisor *advisor);
/* Draws the fields and counts who of all rungs and seconds wins. */
void dwn_ladder_draw (DwnLadder *ladder, const DwnAdvisor *advisor, guint draws, guint32 seed);
double dwn_service_chance (const DwnPlan *plan, const DwnBudget *budget, guint service);

/* Stacks of two that might bring what @alone, the first rung, does not hold.
 * Returns: (transfer full) (element-type DwnPattern): none where it holds all. */
GPtrArray *dwn_advisor_stacks (const DwnAdvisor *advisor, const DwnRung *alone);
/* Says of @stacked what it brings that the first rung does not. */
void dwn_ladder_explain_stack (const DwnLadder *ladder, DwnRung *stacked);

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
