/* What the files of learning share. */
#pragma once

#include "core/study/learn.h"
#include "core/study/readings.h"

G_BEGIN_DECLS

/* A station seen at a point of the gear: what is, or could be, read there. */
typedef struct {
  guint station, part;
  int antenna;       /* index among the antennas */
  double mhz, off_deg;
  double level_dbm;  /* as predicted */
  double pattern_sd_db;
  gboolean leaves;
  gboolean field_only; /* the field at the house: no gear, no aim; `part` and `antenna` say nothing */
} DwnSight;

/* A reading that says something about a level. */
typedef struct {
  guint reading;     /* index into the plan's */
  DwnSight sight;
  double excess_db;
  double own_sd_db;  /* of the meter and of what it showed */
  const char *day;   /* interned; readings of a station on one day share the day's error */
} DwnObservation;

/* What there is to learn about. Borrows plan, fields and tables. */
typedef struct {
  const DwnPlan *plan;
  const DwnFields *fields;
  const DwnTables *tables;
  DwnLearnRules rules;
  guint *mast;       /* [stations]: the first station on the same mast */
  gboolean *feeds;   /* [parts · parts]: the row's output reaches the column, itself among them */
  double *house_sd_db; /* [2 · stations · terms of the house], first without leaves, then with */
  GArray *causes;    /* DwnLearnedCause: without its figures */
  GArray *edges;     /* int, one a cause: the downlead of a cable; −1 */
} DwnLearnWorld;

void dwn_learn_world_init (DwnLearnWorld *world, const DwnPlan *plan, const DwnFields *fields,
                           const DwnTables *tables, const DwnLearnRules *rules);
void dwn_learn_world_clear (DwnLearnWorld *world);

/* Fills the plan's readings in: (element-type DwnObservation). */
void dwn_learn_observe (const DwnLearnWorld *world, GArray *observations);
/* Finds the causes that would show in @observations. */
void dwn_learn_find_causes (DwnLearnWorld *world, const GArray *observations);

/* What would be read at @part today. FALSE where no way leads there. */
gboolean dwn_learn_sight (const DwnLearnWorld *world, guint station, guint part, DwnSight *sight);

/* How much more is read at the sight while the cause stands at @value, and how
 * that grows with it. */
double dwn_cause_effect_db (const DwnLearnWorld *world, guint cause, const DwnSight *sight,
                            double value);
double dwn_cause_slope_db (const DwnLearnWorld *world, guint cause, const DwnSight *sight,
                           double value);

/* Covariance in dB² of two sights' excesses while nothing is out of the ordinary, the readings'
 * own errors left out. */
double dwn_sights_covariance (const DwnLearnWorld *world, const DwnSight *a, const DwnSight *b);
/* That of prediction and house alone. */
double dwn_field_covariance (const DwnLearnWorld *world, const DwnSight *a, const DwnSight *b);
/* Variance of the reading errors that two observations share; a reading with itself: all of it. */
double dwn_observations_covariance (const DwnLearnWorld *world, const DwnObservation *a,
                                    const DwnObservation *b, gboolean same);

/* One thing out of the ordinary: a cause at about @centre, or a slip. Vectors are whitened: divided
 * by the root of the readings' covariance. */
typedef struct {
  int cause;          /* −1: a slip of the observation */
  int slip;           /* −1: a cause */
  double centre, variance, log_odds;
  double *offset, *column; /* [n]: mean of the readings, and their slope */
} DwnDeparture;

/* None, one or two of them together. */
typedef struct {
  guint n;
  guint departure[2];
  double weight;      /* chance; all hypotheses together 1 */
  double value[2];    /* by which the departure differs from its centre */
  double inverse[2][2]; /* covariance of these */
} DwnHypothesis;

struct _DwnLearnModel {
  DwnLearnWorld world;
  GArray *observations; /* DwnObservation, believed */
  guint n;
  double *root;       /* [n · n], lower triangle: of the readings' covariance */
  double *excess;     /* [n], whitened */
  guint n_departures;
  DwnDeparture *departure;
  GArray *hypotheses; /* DwnHypothesis, the likeliest first */
};

/* Takes @observations over, leaves the causes to the world. */
void dwn_learn_model_fit (DwnLearnModel *model);
void dwn_learn_model_unfit (DwnLearnModel *model);

/* Something to be known: normal under each hypothesis, with a different mean and spread. */
typedef struct {
  guint n;
  double *weight, *mean, *sd;
} DwnBelief;
void dwn_belief_clear (DwnBelief *belief);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (DwnBelief, dwn_belief_clear)
double dwn_belief_mean (const DwnBelief *belief);
double dwn_belief_sd (const DwnBelief *belief);
double dwn_belief_quantile (const DwnBelief *belief, double share);
/* What is believed about a cause's value, or of how much more would be read at a sight. */
void dwn_believe_cause (const DwnLearnModel *model, guint cause, DwnBelief *belief);
void dwn_believe_sight (const DwnLearnModel *model, const DwnSight *sight, DwnBelief *belief);

/* Chance that a cause, or the observation's slip, is among what is out of the ordinary. */
double dwn_cause_chance (const DwnLearnModel *model, guint cause);
double dwn_slip_chance (const DwnLearnModel *model, guint observation);

/* Pairs that the readings do not tell apart. @order: causes as they will be listed.
 * Returns: (transfer full) (element-type DwnUndecided). */
GArray *dwn_learn_undecided (const DwnLearnModel *model, const guint *order);

G_END_DECLS
