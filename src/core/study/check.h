/* What is wrong with a plan, or worth knowing before somebody climbs up. */
#pragma once

#include "core/chain/power.h"
#include "core/study/budget.h"

G_BEGIN_DECLS

typedef enum {
  DWN_SEVERITY_NOTE,
  DWN_SEVERITY_WARNING,
  DWN_SEVERITY_ERROR,
} DwnSeverity;
const char *dwn_severity_id (DwnSeverity severity); /* "note" "warning" "error" */

typedef enum {
  DWN_CHECK_POWER,        /* a fault of the DC path: `power` says which */
  DWN_CHECK_OVERLOAD,     /* part: gets `value` dB more than its limit */
  DWN_CHECK_NO_OUTLET,    /* the gear has none */
  DWN_CHECK_NO_ANTENNA,
  DWN_CHECK_UNCONNECTED,  /* part: an outlet that no antenna reaches */
  DWN_CHECK_LOOSE_ANTENNA,/* part: an antenna that reaches no outlet */
  DWN_CHECK_TOO_STRONG,   /* station: `value` dBm at some outlet, above the window's `limit` */
  DWN_CHECK_AMPLIFIER_LATE, /* part: the first amplifier, behind more than 3 dB of loss (`value`) */
  DWN_CHECK_HAAT_ASSUMED, /* station: height above terrain not on file, taken as 30 m */
  DWN_CHECK_PROFILE_GAPS, /* station: its stored profile has gaps or belongs elsewhere */
  DWN_CHECK_OLD_CHANNEL,  /* station: a US channel above 36 */
  DWN_CHECK_ANTENNAS_CLOSE, /* part: hangs nearer than `limit` m to another antenna */
  DWN_CHECK_UNSATISFIED,  /* service: wanted, and no station in the list carries it */
  DWN_CHECK_ROOF_UNKNOWN, /* loss: a roof that the tables do not have */
  DWN_CHECK_NO_BALUN,     /* part: an antenna of 300 Ω or so straight on coax; loses `value` dB */
  DWN_CHECK_OPEN_OUTPUT,  /* part: a splitter or tap with `value` open ends, not capped */
  DWN_CHECK_OVERSIZED,    /* part: a splitter of which at most half is used; a smaller one or none
                           * would save `value` dB */
  DWN_CHECK_SPLITTER_COMBINES, /* part: a hybrid, `value` dB of loss, joins antennas of different
                                * bands */
  DWN_CHECK_GAIN_UNNEEDED,/* part: an amplifier gives `value` dB, more than the `limit` dB that the
                           * loss behind it asks for */
  DWN_CHECK_FORMER_FEED,  /* part: a former cable feed left connected; takes `value` dB */
  DWN_CHECK_HOME_NETWORK, /* part: its network sends into amplifiers or antenna without a filter */
  DWN_CHECK_SLOPE,        /* part: an outlet to which the highest wanted channel comes `value` dB
                           * weaker than the lowest, by the gear alone; `limit` is allowed */
  DWN_CHECK_PRODUCTS,     /* part: an amplifier whose products take `value` dB of `station` */
  DWN_CHECK_FILTER_MISSING, /* part: gets too much (`value` dB), or makes products that take `value`
                             * dB of `station`, of what nobody wants: FM, mobile base stations */
  DWN_CHECK_SCREENED,     /* station: an antenna in the house behind `value` dB */
  DWN_CHECK_SCREEN_NUMBERS, /* every RF channel is the number on the screen: `value` stations */
  DWN_CHECK_TOO_WEAK,     /* station: `value` dBm at its weakest outlet, under the window's `limit` */
  DWN_CHECK_WRONG_TUNER,  /* part: an outlet whose tuner does not receive the system of `station` */
} DwnCheckCode;
const char *dwn_check_id (DwnCheckCode code); /* "overload" "no-outlet" and so on */

typedef struct {
  DwnSeverity severity;
  DwnCheckCode code;
  int part, station, service, loss; /* indices; −1: not about one */
  DwnPowerFinding power;      /* DWN_CHECK_POWER only */
  double value, limit;        /* NaN where there is none */
} DwnCheck;

/* Returns: (transfer full) (element-type DwnCheck): errors first; empty where all is well.
 * @budget is the plan's own at its aims. */
GArray *dwn_check_plan (const DwnPlan *plan, const DwnFields *fields, const DwnBudget *budget,
                        const DwnTables *tables);

G_END_DECLS
