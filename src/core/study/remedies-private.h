/* What remedies.c (trying and ranking) and remedy-search.c (what there is to try) share. */
#pragma once

#include "core/study/budget-private.h"
#include "core/study/remedies.h"

G_BEGIN_DECLS

/* Hours, from the data file study/remedies.ini. */
typedef struct {
  double hours[DWN_N_CHANGES];
  double climb, metre;
} DwnEfforts;

typedef struct {
  const DwnBudgetBase *base;
  const DwnPlan *plan;         /* the budgeted one, with its aims as budgeted */
  const DwnFields *fields;
  const DwnTables *tables;
  const DwnDiagnosis *diagnosis;
  const DwnBudget *before;
  guint station, outlet;
  guint antenna;               /* that brings most */
  gboolean any_wanted;
  guint power_faults;          /* of the plan's wiring */
  DwnEfforts efforts;
  GArray *remedies;            /* DwnRemedy, kept so far */
  GCancellable *cancellable;
} DwnRemedySearch;

/* Makes @change on a copy of @plan and budgets that against the search's own plan. FALSE where it
 * cannot be made, breaks the supply of an amplifier, or brings less than DWN_REMEDY_LEAST_DB. The
 * caller clears *remedy. @plan may be one that was changed already, with @fields. */
gboolean dwn_remedy_try (const DwnRemedySearch *search, const DwnPlan *plan, const DwnFields *fields,
                         const DwnChange *change, DwnRemedy *remedy);
void dwn_remedy_clear (DwnRemedy *remedy);

/* Among several of one sort the one that is kept: fewest lost, then most gained for its effort. */
gboolean dwn_remedy_is_better (const DwnRemedy *a, const DwnRemedy *b);

/* Tries whatever there is to try and keeps the best of each sort. FALSE with @error where a data
 * file cannot be read or it was cancelled. */
gboolean dwn_remedy_search_all (DwnRemedySearch *search, GError **error);

G_END_DECLS
