/* What a scan should find, by RF channel; and once it has been made, what is missing and why. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

typedef enum {
  DWN_SCAN_EXPECTED, /* not scanned yet: chance of at least 90 % */
  DWN_SCAN_TRIAL,    /* not scanned yet: 50 to 90 % */
  DWN_SCAN_FOUND,
  DWN_SCAN_MISSING,
  DWN_SCAN_EXTRA,    /* found, and not on the list: `found` says what */
} DwnScanState;
#define DWN_N_SCAN_STATES 5
const char *dwn_scan_state_id (DwnScanState state); /* "expected" "trial" "found" "missing" "extra" */

/* The widest reason that fits: a whole scan, a whole band, a whole mast, then the
 * channel itself. */
typedef enum {
  DWN_SCAN_NO_REASON,
  DWN_SCAN_NOTHING,      /* missing with everything else: power, downlead, the tuner's input or its
                          * setting (antenna, not cable) */
  DWN_SCAN_BAND,         /* with all of its band: that band's antenna, combiner input or filter */
  DWN_SCAN_MAST,         /* with all of its mast, while others came in: the aim, or what stands there */
  DWN_SCAN_SYSTEM,       /* a broadcast system of which nothing was found: the set may not have it */
  DWN_SCAN_CHANCE,       /* it was a trial: `chance` */
  DWN_SCAN_LIMIT,        /* the plan sees what spoils it: `limit` */
  DWN_SCAN_LIST_OLD,     /* the record may be out of date: a channel that is no longer television's */
  DWN_SCAN_UNEXPLAINED,  /* dependable by the plan and missing alone: scan that channel by hand, then
                          * read its level */
  DWN_SCAN_UNLIKELY,     /* extra: of the plan's stations, but unlikely here: it may not stay */
  DWN_SCAN_UNKNOWN,      /* extra: no station of the plan; the list is old, or it comes from afar */
} DwnScanReason;
#define DWN_N_SCAN_REASONS 11
const char *dwn_scan_reason_id (DwnScanReason reason); /* "" "nothing" "band" ... */

/* One RF channel of one system. Strings are interned. */
typedef struct {
  DwnScanState state;
  DwnScanReason reason;
  DwnLimit limit;          /* DWN_SCAN_LIMIT only */
  int station;             /* the likeliest of those on the channel; −1: none of the plan's */
  const char *rf;          /* "" where an extra is only known by its on-screen number */
  double mhz;              /* NaN likewise */
  const char *on_screen;   /* of all services on it, parted by blanks; "" where no record gives one */
  double chance;           /* at the outlet; NaN for an extra nobody knows */
  DwnWanted wanted;
  const char *found;       /* what was entered for it; "" */
} DwnScanRow;

/* @outlet: where the scan is made; −1: each station's weakest. @found: NULL-terminated: RF channels
 * ("24", "9A") and on-screen numbers ("7.1", "7-1") as the set shows them; NULL: before the scan.
 * Only what has a chance of at least 50 % is expected; stations of less are there where found, as
 * extras. Returns: (transfer full) (element-type DwnScanRow): by frequency, unknown extras last. */
GArray *dwn_scan_list (const DwnPlan *plan, const DwnBudget *budget, int outlet,
                       const char *const *found);

G_END_DECLS
