/* What the budget and the advice share: everything that does not depend on aims. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* A way a signal can take into one tuner: an input of an outlet, with the switches in one state. */
typedef struct {
  guint outlet; /* index among the outlets */
  guint port;
  guint state;
} DwnSink;

/* An active part's output, or a tuner's input, that has a limit. */
typedef struct {
  guint part;
  guint state;
  double limit_mw;
} DwnStage;

/* Another station that disturbs, or in a single-frequency network helps, this one. */
typedef struct {
  guint station;
  double weight; /* its power times this counts as noise; 0 where it helps */
  gboolean helps;
} DwnNeighbour;

struct _DwnBudgetBase {
  const DwnPlan *plan;
  const DwnFields *fields;
  const DwnTables *tables;
  guint n, n_antennas, n_sinks, n_stages;
  const DwnSink *sink;
  const DwnStage *stage;
  const gboolean *stage_feeds; /* [n_stages][n_sinks] */

  /* Powers in mW that an isotropic antenna would deliver, house and polarisation lost. */
  double *wanted_mw, *median_mw, *interfering_mw; /* [n][n_antennas] */
  double *house_sd_db;       /* [n] */
  double *polarisation_db;   /* [n][n_antennas], loss */
  double *noise_unit_mw;     /* [n] k·T0·B */
  double *ambient;           /* [n] external noise factor */
  double ambient_sd_db;      /* of what is above the floor of sky and ground */
  double *needed_db;         /* [n] */

  /* Gains in the gear at each station's frequency, linear. */
  double *sink_gain;         /* [n][n_sinks][n_antennas] */
  double *sink_noise;        /* [n][n_sinks]: gear and tuner, in k·T0; NaN where nothing arrives */
  double *stage_gain;        /* [n][n_stages][n_antennas] */

  DwnNeighbour *neighbour;   /* those of station i: [first[i], first[i + 1]) */
  guint *neighbour_first;    /* [n + 1] */
};

/* How far the part nearest its limit is from it. */
typedef struct {
  double db; /* INFINITY: none has a limit */
  guint part;
} DwnHeadroom;

/* Powers at the antennas' terminals under certain aims; [n][n_antennas], mW. */
typedef struct {
  double *gain_dbi;   /* polarisation included */
  double *pattern_sd_db;
  double *wanted_mw, *median_mw, *interfering_mw;
  double *stage_mw;   /* [n_stages]: median power of every station */
  DwnHeadroom *headroom; /* [n_sinks]: on the way to each */
} DwnTerminals;

G_END_DECLS
