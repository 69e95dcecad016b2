/* Why a station is as strong or as weak at an outlet as it is: the loss staircase from the
 * transmitter's power, a step a cause, and the chief one of them. Fast enough for every change;
 * what would help is in remedies.h. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* What takes the signal away, or drowns it. */
typedef enum {
  DWN_CAUSE_NONE,
  DWN_CAUSE_DISTANCE,     /* too far for its power, the curve of the earth included */
  DWN_CAUSE_RIDGE,        /* ground that stands in the way */
  DWN_CAUSE_BUILDING,     /* house, attic, trees: the site's losses */
  DWN_CAUSE_OFF_BEAM,     /* the antenna looks elsewhere */
  DWN_CAUSE_CROSSED,      /* its elements lie across the wave */
  DWN_CAUSE_WRONG_BAND,   /* antenna, combiner or filter is made for other channels */
  DWN_CAUSE_CABLE,        /* cable and small parts before the first amplifier */
  DWN_CAUSE_SPLITTING,
  DWN_CAUSE_OVERLOAD,
  DWN_CAUSE_NOISE,        /* man-made noise around the house */
  DWN_CAUSE_INTERFERENCE, /* other stations */
  DWN_CAUSE_NO_POWER,     /* an amplifier on the way without its supply */
  DWN_CAUSE_UNCONNECTED,
} DwnCause;
#define DWN_N_CAUSES (DWN_CAUSE_UNCONNECTED + 1)
/* "none" "distance" "ridge" "building" "off-beam" "crossed" "wrong-band" "cable" "splitting"
 * "overload" "noise" "interference" "no-power" "unconnected" */
const char *dwn_cause_id (DwnCause cause);

typedef enum {
  DWN_LOSS_POWER,        /* what the transmitter would give into an isotropic antenna beside it */
  DWN_LOSS_BEAM,         /* it radiates less towards the house than at its best */
  DWN_LOSS_FREE_SPACE,
  DWN_LOSS_HORIZON,      /* a blocked path as if the ground were level between its ends */
  DWN_LOSS_TERRAIN,      /* a clear or grazing path, by its profile */
  DWN_LOSS_CURVES,       /* no profile: the charts' excess over free space */
  DWN_LOSS_FADING,       /* from the median to what is there 90 % of the time */
  DWN_LOSS_RIDGE,        /* what the ground that stands in the way takes */
  DWN_LOSS_READING,      /* what readings say of the prediction */
  DWN_LOSS_HOUSE,        /* index: among the site's losses */
  DWN_LOSS_ANTENNA,      /* its gain at its best. index: part; so for all that follow */
  DWN_LOSS_FEED,         /* what its feed reflects */
  DWN_LOSS_AIM,          /* against its best, for bearing and elevation */
  DWN_LOSS_POLARISATION,
  DWN_LOSS_CABLE,        /* index: edge */
  DWN_LOSS_PART,
  DWN_LOSS_OTHERS,       /* what other antennas, other ways and partners in a network add */
} DwnLossKind;
/* "power" "beam" "free-space" "horizon" "terrain" "curves" "fading" "ridge" "reading" "house"
 * "antenna" "feed" "aim" "polarisation" "cable" "part" "others" */
const char *dwn_loss_id (DwnLossKind kind);

typedef struct {
  DwnLossKind kind;
  int index;          /* −1: none */
  double gain_db;     /* negative: a loss. Of the first step: the power itself, dBm */
  double level_dbm;   /* after it: the sum so far */
  double enough_dbm;  /* the level here that would leave no margin; NaN before the antenna */
  DwnCause cause;     /* it belongs to */
  /* Margin and chance without this loss: an unobstructed path, a perfect aim, an antenna out of
   * doors, a part that loses nothing. NaN for what cannot be otherwise, and for gains. */
  double without_margin_db, without_chance;
} DwnLossStep;

/* What the level at the outlet has to exceed. Their sum is the level without margin. */
typedef enum {
  DWN_NEED_GEAR,         /* noise of gear and tuner there, dBm */
  DWN_NEED_AMBIENT,      /* by how much external noise raises it */
  DWN_NEED_INTERFERENCE, /* by how much other stations raise that */
  DWN_NEED_PRODUCTS,     /* by how much products of amplifiers raise that */
  DWN_NEED_RATIO,        /* the C/N that the broadcast needs */
  DWN_NEED_PHASE,        /* for the worst phase of several antennas */
  DWN_NEED_OVERLOAD,     /* what overload takes of the margin */
} DwnNeedKind;
#define DWN_N_NEEDS (DWN_NEED_OVERLOAD + 1)
const char *dwn_need_id (DwnNeedKind kind); /* "gear" "ambient" and so on */

/* Immutable, refcounted; keeps references to the plan. */
typedef struct {
  const DwnPlan *plan;
  guint station, outlet;
  DwnReception reception;  /* as the budget has it */
  guint n_steps;           /* sum of their gains: reception.level_dbm. Where nothing is connected
                              they end in front of the antenna */
  const DwnLossStep *step;
  double need_db[DWN_N_NEEDS]; /* sum: level_dbm − margin_db; NaN where nothing is connected */
  /* By how much the margin would be better without each cause; 0 where it has no part. Distance:
   * what would be missing for a dependable signal with all others gone. */
  double taken_db[DWN_N_CAUSES];
  DwnCause chief;          /* what takes most; a fault first. None only where it is dependable */
  int index;               /* of what stands for the chief cause, as its largest step has it;
                              an overloaded or unpowered part; −1: none */
  int disturber;           /* station that disturbs most; −1: none */
} DwnDiagnosis;

/* @aim_deg: as budgeted. Returns: (transfer full). */
DwnDiagnosis *dwn_diagnose (const DwnBudgetBase *base, const double *aim_deg, guint station,
                            guint outlet);

/* The causes worth naming, the chief one first, then what takes nearly as much; where something is
 * broken only that. Returns: how many of the DWN_MOST_NAMED that @causes has room for, at least 1. */
#define DWN_MOST_NAMED 3
guint dwn_diagnosis_name_causes (const DwnDiagnosis *diagnosis, DwnCause *causes);
/* Is @cause one of them? */
gboolean dwn_diagnosis_names (const DwnDiagnosis *diagnosis, DwnCause cause);

DwnDiagnosis *dwn_diagnosis_ref (const DwnDiagnosis *diagnosis);
void dwn_diagnosis_unref (const DwnDiagnosis *diagnosis);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnDiagnosis, dwn_diagnosis_unref)

G_END_DECLS
