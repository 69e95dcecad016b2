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
  DWN_CHECK_AMPLIFIER_LATE, /* part: an amplifier indoors behind more than 3 dB of loss (`value`) */
  DWN_CHECK_HAAT_ASSUMED, /* station: height above terrain not on file, taken as 30 m */
  DWN_CHECK_PROFILE_GAPS, /* station: its stored profile has gaps or belongs elsewhere */
  DWN_CHECK_OLD_CHANNEL,  /* station: a US channel above 36 */
  DWN_CHECK_ANTENNAS_CLOSE, /* part: hangs nearer than `limit` m to another antenna */
  DWN_CHECK_UNSATISFIED,  /* service: wanted, and no station in the list carries it */
  DWN_CHECK_ROOF_UNKNOWN, /* loss: a roof that the tables do not have */
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
