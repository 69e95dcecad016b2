/* A plan opened on the command line, with everything that follows from it. */
#pragma once

#include "cli/call.h"
#include "core/plan/document.h"
#include "core/plan/survey.h"
#include "core/study/budget.h"
#include "core/study/readings.h"
#include "draw/plan-view.h"

G_BEGIN_DECLS

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *predicted; /* before readings */
  DwnFields *fields;    /* with what readings say */
  DwnBudgetBase *base;
} DwnWorkbench;

/* Opens the plan and works out everything up to the base of its budget; prints the reader's
 * warnings to standard error. FALSE with @error; clear in either case. */
gboolean dwn_workbench_open (DwnWorkbench *bench, const char *path, GError **error);
/* The same with the plan surveyed first, where @terrain (nullable) names a folder of tiles. */
gboolean dwn_workbench_open_on (DwnWorkbench *bench, const char *path, const char *terrain,
                                GError **error);
void dwn_workbench_clear (DwnWorkbench *bench);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (DwnWorkbench, dwn_workbench_clear)

/* @plan with profiles and skyline from the tiles in @folder; warns of what is missing.
 * Returns: (transfer full), or NULL with @error. */
DwnPlan *dwn_survey (const DwnPlan *plan, const char *folder, GError **error);
/* Says on standard error what no tile knew, and which files were refused. */
void dwn_warn_of_gaps (DwnTerrain *terrain, const DwnTerrainGaps *gaps);

/* The aims of --aim where given, one an antenna, otherwise the plan's.
 * Returns: (transfer full) (element-type double), or NULL with @error. */
GArray *dwn_workbench_aims (const DwnWorkbench *bench, const DwnCall *call, GError **error);

/* Index of the station that --station names; where it is not given, the wanted station with the
 * lowest chance (any station where none is wanted). -1 with @error. */
int dwn_workbench_station (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                           GError **error);
/* Index of the outlet that --outlet numbers from 1; the weakest for @station where not given. */
int dwn_workbench_outlet (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                          guint station, GError **error);

/* What drawings show: --station and --outlet, or the weakest wanted station. */
gboolean dwn_workbench_view (const DwnWorkbench *bench, const DwnCall *call, const DwnBudget *budget,
                             DwnPlanView *view, GError **error);

G_END_DECLS
