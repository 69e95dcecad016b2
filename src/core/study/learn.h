/* What readings teach a plan: which of a few causes makes them differ from prediction, by how much,
 * and what that says about stations that nobody has read.
 *
 * A linear model with normal errors (C. M. Bishop, Pattern Recognition and Machine Learning, 2006,
 * section 3.3). The excess of a reading over what was expected of it is a sum of the prediction's
 * error (its standard deviation is the prior; stations on one mast share most of it), the house's,
 * small departures of every cause that are nothing out of the ordinary, the meter's and the day's
 * error. Against that stand hypotheses that one cause, or two, are out of the ordinary, each with a
 * prior of its own for how far; their posterior chances follow from how well they explain all
 * readings together. Figures: the data file study/learn.ini. */
#pragma once

#include "core/study/fields.h"
#include "core/study/tables.h"

G_BEGIN_DECLS

/* Figures of study/learn.ini. Plain. */
typedef struct {
  double usual_sd, chance, fault, fault_sd; /* dB, of an aim degrees; fault of an aim is 0 */
} DwnLearnRule;

typedef enum {
  DWN_LEARNED_SITE,   /* loss at the house in one band towards some bearings, dB more than planned */
  DWN_LEARNED_CABLE,  /* loss of a downlead with its connectors, dB more than planned at 600 MHz */
  DWN_LEARNED_GAIN,   /* gain of an amplifier, dB above plan; a weak one is negative */
  DWN_LEARNED_AIM,    /* degrees by which an antenna points clockwise of where the plan has it */
  DWN_LEARNED_OUTLET, /* loss on the leg to one outlet, dB more than planned */
} DwnLearnedKind;
#define DWN_N_LEARNED_KINDS (DWN_LEARNED_OUTLET + 1)
const char *dwn_learned_kind_id (DwnLearnedKind kind); /* "site" "cable" "gain" "aim" "outlet" */

typedef struct {
  double meter_sd_db, day_sd_db, cn_sd_db, bars_sd_db, slip_chance, slip_sd_db, least_dbm;
  double mast_share, gap_deg;
  DwnLearnRule cause[DWN_N_LEARNED_KINDS];
} DwnLearnRules;

/* FALSE with @error where the data file (perhaps the user's own) cannot be used. */
gboolean dwn_learn_rules_load (DwnLearnRules *rules, GError **error);
gboolean dwn_learn_rules_parse (DwnLearnRules *rules, GBytes *bytes, const char *name,
                                GError **error);

typedef struct {
  const char *id;          /* "site-uhf", "site-uhf-75", "cable", "gain-amp", "aim-a", "outlet-tv1";
                            * interned */
  DwnLearnedKind kind;
  DwnBand band;            /* site only */
  double from_deg, to_deg; /* site only: true, clockwise; equal: all round */
  int part;                /* amplifier, antenna or outlet; of a cable the part it comes from; −1 */
  double estimate, sd;     /* in the kind's unit */
  double low, high;        /* 90 % of the posterior lie between */
  double chance;           /* that it is out of the ordinary */
} DwnLearnedCause;

/* A reading that fits nothing: it was left out of everything else. */
typedef struct {
  guint reading;    /* index into the plan's readings */
  double excess_db; /* over what all others say of it */
  double chance;    /* that it is a slip */
} DwnOutlier;

/* Two causes that explain the readings about equally, and what would tell them apart. */
typedef struct {
  guint first, second; /* causes; second is n_causes where the other explanation is a slip */
  int reading;         /* the reading that may be a slip; −1 */
  int station, part;   /* what to read next; −1: nothing that can be read here parts them */
  double deviates;     /* by how many standard deviations the two then differ */
} DwnUndecided;

/* One station's field at the house before and after. */
typedef struct {
  gboolean read;
  double before_sd_db;         /* of prediction and house */
  double shift_db, sd_db;      /* what the readings make of it */
  double low_db, high_db;      /* 90 % of the shift lie between */
} DwnLearnedStation;

typedef struct _DwnLearnModel DwnLearnModel;

typedef struct {
  guint n_used;                /* readings that say something about a level and were believed */
  guint n_causes;
  const DwnLearnedCause *cause;       /* the most likely to be out of the ordinary first */
  double ordinary_chance;      /* that none is */
  guint n_outliers;
  const DwnOutlier *outlier;
  guint n_undecided;
  const DwnUndecided *undecided;
  guint n_stations;
  const DwnLearnedStation *station; /* in the plan's order */
  const DwnLearnModel *model;
} DwnLearned;

/* A cause from this chance on is named as found; from the lower one on it is suspected. */
#define DWN_LEARNED_FOUND 0.5
#define DWN_LEARNED_SUSPECTED 0.1
/* Two explanations are not told apart while one is less than this times as likely as the other (a
 * Bayes factor under 3 is "not worth more than a bare mention", R. E. Kass and A. E. Raftery,
 * J. Am. Stat. Assoc. 90 (1995) 773). */
#define DWN_LEARNED_ODDS 3.0
/* More are not looked at; the first ones are left out. */
#define DWN_LEARN_READINGS_MAX 250

/* @fields: as predicted, before any reading. Without readings that say something there are no
 * causes, and every station keeps what it had. The plan's parts are borrowed: it must outlive the
 * result. Returns: (transfer full). */
DwnLearned *dwn_learn (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                       const DwnLearnRules *rules);
void dwn_learned_free (DwnLearned *learned);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnLearned, dwn_learned_free)

/* Level of a station at a part, before and after. NaN where no way leads there. */
typedef struct {
  double before_dbm, before_sd_db;
  double after_dbm, after_sd_db;
  double low_dbm, high_dbm; /* 90 % after */
} DwnLearnedLevel;
void dwn_learned_level (const DwnLearned *learned, guint station, guint part,
                        DwnLearnedLevel *level);

/* Fields with every station, read or not, moved to what was learned of it, for budgets after. What
 * was learned of gear and aim is not in them: that is changed in the plan. Returns: (transfer full). */
DwnFields *dwn_learned_fields (const DwnLearned *learned);

G_END_DECLS
