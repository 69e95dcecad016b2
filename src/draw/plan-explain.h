/* From a plan and the diagnosis of one station to the data of the drawings that explain it. */
#pragma once

#include "core/study/remedies.h"
#include "draw/path.h"
#include "draw/plan-view.h"
#include "draw/staircase.h"

G_BEGIN_DECLS

/* Own everything that their data point to. @view: its station must be selected; its outlet, or the
 * weakest, is the one. */

/* The ground between transmitter and house: what stands above the straight line and what comes near
 * it, the way over the crests, trees whose place is known. */
typedef struct {
  DwnPathDrawing data;
  GStringChunk *strings;
  double *edge_m;
  DwnPathWood *woods;
  DwnPathHill *hills;
} DwnPlanPath;
/* NULL where there is no profile. */
DwnPlanPath *dwn_plan_path_new (const DwnPlanView *view);
void dwn_plan_path_free (DwnPlanPath *path);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPlanPath, dwn_plan_path_free)

/* A column a cause: small parts and cables that follow each other stand together, so that a
 * person can take it in. steps[i].id is the index of the column's first step in the diagnosis,
 * remedies[i].id that of the remedy. */
typedef struct {
  DwnStaircase data;
  GStringChunk *strings;
  DwnStair *steps;
  DwnStairRemedy *remedies;
} DwnPlanStaircase;
/* @remedies: nullable; @most of them at most. NULL where nothing is connected. */
DwnPlanStaircase *dwn_plan_staircase_new (const DwnPlanView *view, const DwnDiagnosis *diagnosis,
                                          const DwnRemedies *remedies, guint most);
void dwn_plan_staircase_free (DwnPlanStaircase *staircase);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPlanStaircase, dwn_plan_staircase_free)

/* The outlet that a view shows of its station. */
guint dwn_plan_view_outlet (const DwnPlanView *view);

/* "Why Vennacott breaks up", or "How Quillon comes in" where it is dependable. */
char *dwn_word_explain_title (const DwnPlanView *view, const DwnDiagnosis *diagnosis);

G_END_DECLS
