/* The plan that a person starts with. */
#pragma once

#include "core/plan/plan.h"
#include "core/study/tables.h"

G_BEGIN_DECLS

typedef struct {
  const char *name, *place;      /* "" where not given */
  DwnLatLon at;
  const DwnStations *stations;
  const DwnServices *services;
  guint n_antennas;              /* 1, or up to 3 that are split by band */
  const DwnPattern *const *patterns;
  const double *aim_deg;         /* one an antenna; NULL: towards the strongest wanted station */
  const char *date;              /* YYYY-MM-DD */
  /* What may be left out. */
  const char *time_zone;         /* NULL: not known */
  const char *cable;             /* NULL: series 6 */
  double downlead_m;             /* 0: 15 m */
  guint n_outlets;               /* 1 to 8; 0: one */
  DwnSystem system;              /* of the tuners where there are no stations yet */
} DwnNewPlan;

/* A mast of 9.1 m in rural noise; each antenna, joined by band where there are several, on that cable
 * to the outlets, whose tuners fit most of the stations.
 * Returns: (transfer full), or NULL with @error. */
DwnPlan *dwn_new_plan (const DwnNewPlan *wish, const DwnTables *tables, GError **error);

G_END_DECLS
