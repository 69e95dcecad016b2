/* What diagnosis.c and causes.c share: a diagnosis while it is being made. */
#pragma once

#include "core/study/budget-private.h"
#include "core/study/diagnosis.h"

G_BEGIN_DECLS

typedef struct {
  const DwnBudgetBase *base;
  const DwnPlan *plan;
  const DwnArrival *arrival;
  const DwnStation *station;
  const DwnTerminals *terminals;
  DwnDiagnosis *diagnosis; /* reception is set */
  GArray *steps;           /* DwnLossStep */
  gboolean connected;
  guint antenna;           /* that brings most; the first where nothing is connected */
} DwnDiagnoser;

/* Mean C/N in dB of the station at the outlet by way of @gear, which has the plan's antennas and
 * outlets but may lose less between them; interference keeps its ratio to the carrier. NaN where
 * nothing arrives. */
double dwn_diagnoser_cn_db (const DwnDiagnoser *self, const DwnChain *gear);

/* The plan's gear with what the step @step stands for losing nothing.
 * Returns: (transfer full) (nullable). */
DwnChain *dwn_diagnoser_gear_without (const DwnDiagnoser *self, const DwnLossStep *steps,
                                      guint n_steps);

/* Fills causes of steps, what each takes, the chief one. */
void dwn_diagnoser_find_causes (DwnDiagnoser *self);

G_END_DECLS
