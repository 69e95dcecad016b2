/* What the checks of a plan share. */
#pragma once

#include "core/study/check.h"

G_BEGIN_DECLS

typedef struct {
  const DwnPlan *plan;
  const DwnFields *fields;
  const DwnBudget *budget;
  const DwnTables *tables;
  GArray *checks;
} DwnChecker;

/* Until the next one is added; about nothing yet. */
DwnCheck *dwn_checker_add (DwnChecker *self, DwnSeverity severity, DwnCheckCode code);

/* What is weak behind an amplifier without its supply is no finding of its own. */
gboolean dwn_checker_has_dead_amplifier (const DwnChecker *self);

/* check-gear.c */
void dwn_checker_check_gear (DwnChecker *self);

G_END_DECLS
