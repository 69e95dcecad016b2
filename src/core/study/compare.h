/* Two variants of a plan held against each other, service by service: what each holds, by how much,
 * for what money. And the variants that people think of first: under the roof or over it, one antenna
 * instead of several. */
#pragma once

#include "core/study/budget.h"

G_BEGIN_DECLS

/* A plan and its budget. Borrowed. */
typedef struct {
  const DwnPlan *plan;
  const DwnBudget *budget; /* at the aims that are to be compared */
} DwnComparand;

/* A service (or a station that carries none) in one variant: by the best station, at that one's
 * weakest outlet. NaN where no station of it is on file or connected. */
typedef struct {
  int station;
  double margin_db, sigma_db, chance;
  gboolean held;
} DwnComparedSide;

typedef struct {
  const char *id, *name; /* of the service, or of the station; interned */
  gboolean is_service;
  DwnWanted wanted;      /* the stronger mark of the two plans */
  DwnComparedSide side[2];
} DwnComparedRow;

/* What one variant comes to. NaN: none. */
typedef struct {
  guint held_wanted, held_extra; /* rows */
  guint only_here;               /* wanted rows that it holds and the other does not */
  double weakest_margin_db;      /* among the wanted rows it holds; of all it holds where none is wanted */
  int weakest_row;               /* whose that is; −1 */
  double joint_chance;           /* that all wanted services work together; NaN where none is wanted */
  double cost;                   /* of all that has a price; NaN where nothing has */
  guint n_unpriced;              /* lines of the parts list without one */
} DwnComparedSum;

/* Owned by whoever made it. */
typedef struct {
  guint n, n_wanted;
  DwnComparedRow *row;           /* must, then liked, then the rest, as the first plan lists them */
  DwnComparedSum sum[2];
} DwnComparison;

/* Services are the same where their ids are; so are stations that carry none. */
DwnComparison *dwn_comparison_new (const DwnComparand *first, const DwnComparand *second,
                                   const DwnTables *tables);
void dwn_comparison_free (DwnComparison *comparison);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnComparison, dwn_comparison_free)

/* All return (transfer full). */

/* @plan with its antennas under the roof, as high as they are, behind a roof of unknown build where
 * no other is described. */
DwnPlan *dwn_variant_in_attic (const DwnPlan *plan);
/* @plan on a mast, at least at the height of the planning figures: what roof and walls take is gone. */
DwnPlan *dwn_variant_on_mast (const DwnPlan *plan);
/* @plan with one of its antennas, at its own aim. NULL with @error (DWN_CHAIN_ERROR) where the wiring
 * leads to no outlet. */
DwnPlan *dwn_variant_one_antenna (const DwnPlan *plan, guint antenna, GError **error);

G_END_DECLS
