/* What the budget and the advice share: everything that does not depend on aims. */
#pragma once

#include <math.h>

#include "core/chain/products.h"
#include "core/study/budget.h"

G_BEGIN_DECLS

/* A way a signal can take into one tuner: an input of an outlet, with the switches in one state. */
typedef struct {
  guint outlet; /* index among the outlets */
  guint port;
  guint state;
} DwnSink;

/* An active part's output or input that has a limit, or an output that makes products. */
typedef struct {
  guint part, port;
  gboolean input;
  guint state;
  double limit_mw, limit_dbm;  /* of the sum of all carriers; INFINITY and NaN: none */
  double per_oip2, per_oip3;   /* as dwn_products_fill() has them; 0: none */
  double quiet_mw;             /* up to this no product matters to anybody */
} DwnStage;

/* A carrier that nobody wants: what an isotropic antenna would deliver, house lost. */
typedef struct {
  double mhz, bearing_deg, mw;
} DwnUnwantedLine;

/* Another station that disturbs, or in a single-frequency network helps, this one. */
typedef struct {
  guint station;
  double weight; /* its power times this counts as noise; 0 where it helps */
  gboolean helps;
} DwnNeighbour;

/* What one antenna's gain towards one station is made of, but for the aim. */
typedef struct {
  double most_dbi;  /* at the horizon, over all azimuths */
  double beside_db; /* what the elevation of the wave changes */
} DwnOutlook;
DwnOutlook dwn_outlook (const DwnPattern *pattern, const DwnArrival *arrival, double mhz);

struct _DwnBudgetBase {
  const DwnPlan *plan;
  const DwnFields *fields;
  const DwnTables *tables;
  guint n, n_antennas, n_sinks, n_stages;
  const DwnSink *sink;
  const guint *sink_first; /* those of outlet o: [first[o], first[o + 1]) */
  const DwnStage *stage;
  const gboolean *stage_feeds; /* [n_stages][n_sinks] */

  /* Powers in mW that an isotropic antenna would deliver, house and polarisation lost. */
  double *wanted_mw, *median_mw, *interfering_mw; /* [n][n_antennas] */
  double *house_sd_db;       /* [n] */
  double *polarisation_db;   /* [n][n_antennas], loss */
  DwnOutlook *outlook;       /* [n][n_antennas] */
  double *noise_unit_mw;     /* [n] k·T0·B */
  double *ambient;           /* [n] external noise factor */
  double ambient_sd_db;      /* of what is above the floor of sky and ground */
  double *needed_db;         /* [n] */

  /* Gains in the gear at each station's frequency, linear. */
  double *sink_gain;         /* [n][n_sinks][n_antennas] */
  double *sink_noise;        /* [n][n_sinks]: gear and tuner, in k·T0; NaN where nothing arrives */
  double *stage_gain;        /* [n][n_stages][n_antennas] */
  DwnRipple *ripple;         /* [n][n_sinks][n_antennas] */
  double *feed;              /* [n][n_antennas]: ratio that the antenna's own feed lets through */

  guint n_unwanted;
  DwnUnwantedLine *unwanted;
  double *unwanted_gain;     /* [n_unwanted][n_stages][n_antennas] */
  guint n_makers;            /* stages that make products; where there are any: */
  DwnProducts *products;     /* of the stations, then the unwanted */
  double *transfer;          /* [n_stages][n_sinks][n_channels]: gain from there to the tuner */

  gboolean any_helps;        /* some station has a partner in a single-frequency network */
  DwnNeighbour *neighbour;   /* those of station i: [first[i], first[i + 1]) */
  guint *neighbour_first;    /* [n + 1] */
};

/* How far the part nearest its limit is from it. */
typedef struct {
  double db; /* INFINITY: none has a limit */
  guint part;
} DwnHeadroom;

/* What certain aims bring to the antennas' terminals, [n][n_antennas] in mW, and from there to the
 * tuners and stages. */
typedef struct {
  double *gain_dbi;      /* polarisation included */
  double *pattern_sd_db;
  double *wanted_mw, *median_mw, *interfering_mw;
  /* What this antenna's feed lets through against the one that the base was made with; the powers
   * above contain it. 1 but for the advice, which tries antennas in gear that it knows. */
  double *match;
  /* Gathered from all antennas: */
  double *helping_mw, *disturbing_mw; /* [n_sinks][n]: wanted and interfering power at the tuner */
  double *stage_mw;      /* [n_stages]: median power of every station and all that is unwanted */
  double *unwanted_mw;   /* [n_unwanted][n_antennas] at the terminals */
  gboolean any_spurious; /* do products matter; if so, [n_sinks][n_channels] at the tuner: */
  double *spurious_mw, *strongest_mw; /* of all stages, of the one that makes most */
  guint *maker;          /* that one's part */
  double *line_mw, *channel_mw; /* for passing use */
  DwnHeadroom *headroom; /* [n_sinks]: on the way to each */
} DwnTerminals;

/* budget-stages.c, in this order; the gains of stations' stages with each cascade between them. */
void dwn_budget_base_list_stages (DwnBudgetBase *base);
void dwn_budget_base_list_unwanted (DwnBudgetBase *base);
void dwn_budget_base_fill_stage_gain (const DwnBudgetBase *base, const DwnCascade *cascade,
                                      double *stage_gain);
void dwn_budget_base_fill_unwanted (DwnBudgetBase *base);
void dwn_budget_base_list_products (DwnBudgetBase *base);
void dwn_budget_base_clear_stages (DwnBudgetBase *base);

void dwn_terminals_init (DwnTerminals *self, const DwnBudgetBase *base);
void dwn_terminals_clear (DwnTerminals *self);

/* How it stands towards the station under a certain aim. */
typedef struct {
  double gain_dbi, pattern_sd_db;
} DwnPointing;
/* @off_deg: the station's bearing less the aim. */
DwnPointing dwn_pointing (const DwnPattern *pattern, const DwnOutlook *outlook, double mhz,
                          double off_deg);

/* Turns antenna @a. */
void dwn_terminals_point (DwnTerminals *self, const DwnBudgetBase *base, guint a, double aim_deg);
/* The same for a pointing that is known already; @gain is its ratio. */
static inline void
dwn_terminals_set (DwnTerminals *self, const DwnBudgetBase *base, guint i, guint a,
                   double pattern_sd_db, double gain, double match)
{
  gsize at = (gsize) i * base->n_antennas + a;

  self->match[at] = match;
  gain *= match;
  self->pattern_sd_db[at] = pattern_sd_db;
  self->wanted_mw[at] = base->wanted_mw[at] * gain;
  self->median_mw[at] = base->median_mw[at] * gain;
  self->interfering_mw[at] = base->interfering_mw[at] * gain;
}
/* Turns antenna @a, which is @pattern, towards what nobody wants. dwn_terminals_point() does it
 * too; who sets the stations one by one has to ask for it. */
void dwn_terminals_point_unwanted (DwnTerminals *self, const DwnBudgetBase *base, guint a,
                                   const DwnPattern *pattern, double aim_deg);
/* Once all antennas point: what is gathered. */
void dwn_terminals_gather (DwnTerminals *self, const DwnBudgetBase *base);
void dwn_terminals_gather_products (DwnTerminals *self, const DwnBudgetBase *base);

/* What decides whether a station is held there. */
typedef struct {
  double margin_db, sigma_db;
  gboolean connected;
  guint antenna; /* the one that brings most of it */
} DwnVerdict;
/* The same best of outlet @outlet as dwn_terminals_receive() finds, without its other figures. */
DwnVerdict dwn_terminals_judge (const DwnTerminals *self, const DwnBudgetBase *base, guint i,
                                guint outlet);

/* Before station @i is asked about: turns every rotator to it and gathers anew. The other stations
 * are then as far off its boresight as they lie from this one. FALSE where there is no rotator, and
 * nothing to do. */
gboolean dwn_terminals_turn_to (DwnTerminals *self, const DwnBudgetBase *base, guint i);

/* The budget's one row: the best of the tuner inputs and switch positions of outlet @outlet. */
DwnReception dwn_terminals_receive (const DwnTerminals *self, const DwnBudgetBase *base, guint i,
                                    guint outlet);
/* Held at every outlet? Stops at the first that does not. */
gboolean dwn_terminals_hold (const DwnTerminals *self, const DwnBudgetBase *base, guint i);

static inline double
dwn_dot (const double *x, const double *y, guint n)
{
  double sum = 0.0;

  for (guint i = 0; i < n; i++)
    sum += x[i] * y[i];
  return sum;
}

/* Power of a station at one tuner at the worst phase: the strongest of the fields that meet there
 * stands against all others. @amplitudes: sum of the roots of the powers. */
static inline double
dwn_worst_phase_mw (double strongest_mw, double amplitudes)
{
  double left = 2.0 * sqrt (strongest_mw) - amplitudes;

  return left > 0.0 ? left * left : 0.0;
}

/* Below this a power or ratio counts as nothing at all. */
#define DWN_LEAST_RATIO 1e-30

static inline double
dwn_db_of_ratio (double ratio)
{
  return 10.0 * log10 (fmax (ratio, DWN_LEAST_RATIO));
}

/* @fixed_db2: what prediction and house contribute, in dB². What sky and warm ground deliver (an
 * external noise factor of 1) does not vary; what exceeds it does, by its share of the noise. */
static inline double
dwn_sigma_db (double fixed_db2, double pattern_sd_db, double ambient_sd_db, double ambient_share)
{
  double ambient_db = ambient_sd_db * ambient_share;

  return sqrt (fixed_db2 + pattern_sd_db * pattern_sd_db + ambient_db * ambient_db);
}

static inline double
dwn_base_fixed_db2 (const DwnBudgetBase *base, guint i)
{
  double prediction = base->fields->arrival[i].sd_db, house = base->house_sd_db[i];

  return prediction * prediction + house * house;
}

static inline double
dwn_base_ambient_sd_db (const DwnBudgetBase *base, guint i)
{
  return base->ambient[i] > 1.0 ? base->ambient_sd_db : 0.0;
}

/* A station is held from this margin over σ on: the 90 % point of the normal distribution. */
#define DWN_HELD_DEVIATES 1.2815515655446004

G_END_DECLS
