/* What would help: every single change that the program knows, each made on a copy of the plan and
 * budgeted anew, ranked by what it brings for its effort. */
#pragma once

#include "core/study/change.h"
#include "core/study/diagnosis.h"

G_BEGIN_DECLS

typedef struct {
  guint n_changes;         /* 1, or 2: the best two together */
  DwnChange change[2];
  const DwnPlan *plan;     /* with the change, its aims included: try it, take it */
  const DwnFields *fields; /* of that plan */
  DwnReception reception;  /* of the station at the outlet then */
  double gain_db;          /* of margin */
  double effort_h;         /* hours of work, buying included */
  gboolean climb;          /* sends somebody up a roof or mast: to be said with its caution */
  /* Other wanted stations (every station, where none is wanted) that are held then and were not,
   * or the other way round; indices. */
  guint n_won, n_lost;
  const guint *won, *lost;
} DwnRemedy;

/* Immutable, refcounted. First what loses no wanted station, by gain for effort; what does lose
 * one comes after. Both together, where the best two add up, is the last. */
typedef struct {
  guint n;
  const DwnRemedy *remedy;
} DwnRemedies;

/* What a change must bring to be worth a line. */
#define DWN_REMEDY_LEAST_DB 0.5

/* @aim_deg: as budgeted. Returns: (transfer full), or NULL with @error where a data file cannot be
 * read or @cancellable (nullable) was cancelled. */
DwnRemedies *dwn_remedies_new (const DwnBudgetBase *base, const double *aim_deg, guint station,
                               guint outlet, GCancellable *cancellable, GError **error);
DwnRemedies *dwn_remedies_ref (const DwnRemedies *remedies);
void dwn_remedies_unref (const DwnRemedies *remedies);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnRemedies, dwn_remedies_unref)

G_END_DECLS
