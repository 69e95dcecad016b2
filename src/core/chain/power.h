/* Where the supplies' DC goes, and which amplifier does not get it. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

typedef enum {
  DWN_POWER_NO_SUPPLY,    /* part: an amplifier for which there is no inserter */
  DWN_POWER_BLOCKED,      /* part: lets no DC through to the amplifier; a splitter with a leg that
                           * would: value is the number of the leg that the inserter stands on */
  DWN_POWER_WRONG_SIDE,   /* part: the inserter; it stands behind a splitter without any DC pass
                           * (other), or between antenna and amplifier (other: that amplifier) */
  DWN_POWER_SHORTED,      /* part: a balun or the like that the supply feeds into its short */
  DWN_POWER_TWO_SUPPLIES, /* part and other: inserters on one cable */
  DWN_POWER_VOLTS,        /* part: an amplifier that gets value instead of limit volts */
  DWN_POWER_CURRENT,      /* part: an inserter that has to give value of its limit milliamperes */
  DWN_POWER_IDLE,         /* part: an inserter that feeds nothing */
} DwnPowerFault;
#define DWN_N_POWER_FAULTS (DWN_POWER_IDLE + 1)

/* "no-supply" "blocked" "wrong-side" "shorted" "two-supplies" "volts" "current" "idle" */
const char *dwn_power_fault_id (DwnPowerFault fault);

typedef struct {
  DwnPowerFault fault;
  guint part;         /* where it is to be cured */
  int other;          /* the second part, -1: none */
  int amplifier;      /* that goes without, -1: none */
  int supply;         /* the inserter concerned, -1: none */
  int edge;           /* the cable to draw it on, -1: none */
  double value, limit; /* NaN where the fault has none */
} DwnPowerFinding;

typedef struct {
  guint n_findings;
  const DwnPowerFinding *finding;
  const double *edge_volts; /* per edge of the chain; NaN where it carries no DC */
  const gboolean *powered;  /* per part: FALSE for an amplifier that does not get what it needs */
} DwnPower;

/* Depends on the wiring alone, not on the plan's unpowered marks (DwnChain's powered has both). Two voltages are the same within
 * 15 % (common practice, no source). */
DwnPower *dwn_power_new (const DwnChain *chain);
void dwn_power_free (DwnPower *power);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPower, dwn_power_free)

G_END_DECLS
