/* What the ground says about a plan: profiles from every station to the house, and the skyline,
 * drawn from elevation tiles once and then kept in the plan. */
#pragma once

#include "core/plan/plan.h"
#include "core/terrain/terrain.h"

G_BEGIN_DECLS

/* Called from the surveying thread, once a station and at the end, with 0 to 1: a window takes it to
 * its own thread (g_idle_add()) before it draws. */
typedef void (*DwnSurveyProgress) (double fraction, gpointer user_data);

/* A plan like @plan with a profile for every station (from its transmitter to the house, at the
 * tile's own step), the skyline at the height of the antennas, and the height of the ground at the
 * house where the plan does not have it. Crests' names that the plan had are kept, and so is a
 * profile for which the tiles have gaps that the plan's own does not have.
 * @gaps (nullable): what no tile knew, over all profiles. @progress (nullable).
 *
 * Long work that reads files: run it in a thread (a GTask with a reference to the immutable @plan),
 * and cancel it from any other through @cancellable, which is asked every 256 samples of a profile
 * and for every bearing of the skyline. @terrain may be used elsewhere meanwhile. A plan that has
 * been surveyed never needs the tiles again: opening it, and all sums, read none.
 * Returns: (transfer full): NULL with @error where cancelled. */
DwnPlan *dwn_plan_survey (const DwnPlan *plan, DwnTerrain *terrain, DwnTerrainGaps *gaps,
                          GCancellable *cancellable, DwnSurveyProgress progress,
                          gpointer user_data, GError **error);

G_END_DECLS
