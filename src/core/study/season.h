/* The same plan without leaves and with them. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* Two budgets side by side, index for index. */
typedef struct {
  DwnBudget *winter; /* leaves off */
  DwnBudget *summer; /* leaves on */
} DwnSeasons;

/* @predicted: the fields that dwn_fields_new() gives for @plan; readings count in each season as
 * they do there. @aim_deg: one an antenna. Returns: (transfer full). */
DwnSeasons *dwn_seasons_new (const DwnPlan *plan, const DwnFields *predicted,
                             const DwnTables *tables, const double *aim_deg);
/* The same from what a budget was made of: readings count as they do in the plan's own season.
 * Returns: (transfer full). */
DwnSeasons *dwn_seasons_of_base (const DwnBudgetBase *base, const double *aim_deg);
void dwn_seasons_free (DwnSeasons *seasons);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSeasons, dwn_seasons_free)

/* What summer takes from a station's margin at its weakest outlet, dB; NaN where either is not
 * known. */
double dwn_seasons_margin_db (const DwnSeasons *seasons, guint station);

G_END_DECLS
