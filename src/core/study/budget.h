/* Level, noise, margin and chance of every station at every outlet. One pure function: dragging
 * the aim, the advice and the command line all call it. */
#pragma once

#include "core/chain/cascade.h"
#include "core/study/fields.h"
#include "core/study/tables.h"

G_BEGIN_DECLS

typedef enum {
  DWN_LIMIT_NOISE,        /* the gear's and the tuner's own noise */
  DWN_LIMIT_AMBIENT,      /* external noise rules: no better amplifier helps */
  DWN_LIMIT_INTERFERENCE, /* other stations */
  DWN_LIMIT_OVERLOAD,     /* an amplifier or the tuner gets too much, or an amplifier makes products
                           * that land in the channel */
  DWN_LIMIT_UNCONNECTED,  /* nothing leads from an antenna to this outlet */
} DwnLimit;
const char *dwn_limit_id (DwnLimit limit); /* "noise" "ambient" "interference" "overload" "unconnected" */

/* At one outlet. NaN where nothing is connected. */
typedef struct {
  guint antenna;       /* the one that brings most of it */
  guint state;         /* of the switches, and */
  guint port;          /* of the outlet: the best of those that there are */
  double antenna_dbi;  /* its gain towards the station, polarisation included */
  double level_dbm;    /* mean over the unknown phase where several antennas bring it */
  double worst_dbm;    /* at the worst phase; the margin is of this */
  double noise_dbm;    /* everything but the station: noise, weighted interference, products */
  double cn_db;        /* worst_dbm − noise_dbm */
  double needed_db;
  double margin_db;    /* cn − needed, never above the headroom where that is negative */
  double headroom_db;  /* of the part on the way that is nearest its limit; INFINITY: none has one */
  guint headroom_part; /* that part; where products of an amplifier limit, the amplifier */
  double sigma_db;
  double chance;       /* 0 to 1 */
  DwnLimit limit;
  /* Of noise_dbm's power: other stations, products of the amplifiers, external noise. */
  double interference_share, spurious_share, ambient_share;
  guint spurious_part; /* the amplifier that makes most of the products */
} DwnReception;

/* Immutable, refcounted; reception[station · n_outlets + outlet]. */
typedef struct {
  guint n_stations, n_outlets;
  const DwnReception *reception;
  const guint *weakest;     /* per station: the outlet with the lowest chance */
  const gboolean *held;     /* per station: at least 90 % on every outlet */
  guint n_parts;
  const double *headroom_db; /* per part: limit under the power of all stations; NaN: has none */
  const double *unwanted_share; /* per part: how much of the power at its limit, or where it makes
                                 * products, is of what nobody wants (DwnUnwanted) */
} DwnBudget;

/* A station is held from this chance on, DESIGN. */
#define DWN_CHANCE_HELD 0.90
#define DWN_CHANCE_TRIAL 0.50

/* What the budget needs besides aims, worked out once: cascades at each station's frequency,
 * interferers, noise. Immutable, refcounted; keeps references to what it was made from. */
typedef struct _DwnBudgetBase DwnBudgetBase;
DwnBudgetBase *dwn_budget_base_new (const DwnPlan *plan, const DwnFields *fields,
                                    const DwnTables *tables);
DwnBudgetBase *dwn_budget_base_ref (const DwnBudgetBase *base);
void dwn_budget_base_unref (const DwnBudgetBase *base);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnBudgetBase, dwn_budget_base_unref)

/* What it was made with. */
const DwnTables *dwn_budget_base_tables (const DwnBudgetBase *base);

/* @aim_deg: one an antenna, in the plan's order. */
DwnBudget *dwn_budget_new (const DwnBudgetBase *base, const double *aim_deg);
DwnBudget *dwn_budget_ref (const DwnBudget *budget);
void dwn_budget_unref (const DwnBudget *budget);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnBudget, dwn_budget_unref)

/* Probability that a normal deviate lies above −margin/σ: Φ(margin/σ). */
double dwn_chance (double margin_db, double sigma_db);

/* Standard deviation of the antenna's gain @below_max_db under its maximum: 1 dB to 3 dB below,
 * rising linearly to 5 dB at 10 dB below and staying there, so that nobody plans on a back lobe. */
double dwn_pattern_sd_db (double below_max_db);

/* Stations on one mast within 500 m: mast[i] is the index of the first station there. */
guint *dwn_masts (const DwnStations *stations);

/* Chance that all these services work together: stations on one mast rise and fall together
 * (correlation 1), masts are independent. Each service counts its best station.
 * @services: indices into the plan's services. 1 for none. */
double dwn_joint_chance (const DwnPlan *plan, const DwnBudget *budget, guint n, const guint *services);

/* Best station of a service, -1 where none carries it: the highest chance at its weakest outlet. */
int dwn_best_station (const DwnPlan *plan, const DwnBudget *budget, guint service);

G_END_DECLS
