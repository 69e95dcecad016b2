/* Which stations the list shows, and in what order: by mast, wanted masts first. */
#pragma once

#include "app/station-row.h"

G_BEGIN_DECLS

typedef enum {
  DWN_ORDER_BEARING,
  DWN_ORDER_DISTANCE,
  DWN_ORDER_NAME, /* of the mast */
} DwnMastOrder;

typedef enum {
  DWN_SHOW_ANY_CHANCE,
  DWN_SHOW_DEPENDABLE,
  DWN_SHOW_TRIAL,
  DWN_SHOW_UNLIKELY,
} DwnChanceFilter;

typedef enum {
  DWN_SHOW_ALL,
  DWN_SHOW_WANTED,
  DWN_SHOW_EXTRAS,
} DwnWantedFilter;

/* Zeroed but for band −1: everything, by bearing. */
typedef struct {
  const char *text; /* part of name, mast, RF, on-screen number or a service's name; nullable */
  int band;         /* DwnBand; −1: every band */
  DwnWantedFilter wanted;
  DwnChanceFilter chance;
  DwnMastOrder order;
} DwnStationQuery;

/* A row for every station that @query lets through, after one that names its mast.
 * Returns: (transfer full) (element-type DwnStationItem). */
GListStore *dwn_stations_in_order (const DwnFindings *findings, const DwnStationQuery *query);

G_END_DECLS
