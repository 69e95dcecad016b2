/* What to ask, what is suspected and what a scan should find, in sentences. */
#pragma once

#include "core/study/scan-list.h"
#include "core/study/symptoms.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* The likeliest cause with its chance, and the next one: "Most likely water or a bad connector in
 * the downlead (62 %), then a loose mast, bracket or connector (14 %)". */
char *dwn_word_suspicion (const DwnWording *wording, const DwnSymptoms *symptoms,
                          const DwnSuspicion *suspicion);

/* The test that separates the first two, and which way its answer points. NULL where none does. */
char *dwn_word_separating_test (const DwnWording *wording, const DwnSymptoms *symptoms,
                                const DwnSuspicion *suspicion);

/* (element-type utf8): what plan and readings said of themselves: "The plan: an amplifier or a set
 * gets more than its limit by the plan". Only answers that are yes. */
GPtrArray *dwn_word_known (const DwnWording *wording, const DwnSymptoms *symptoms,
                           const DwnAnswer *answers);

/* What to write into the plan: the cause, then what spoke for it. */
char *dwn_word_finding (const DwnWording *wording, const DwnSymptoms *symptoms,
                        const DwnAnswer *answers, guint cause);

/* A row of the scan list: what it is, and where it is missing why, with what to do. */
char *dwn_word_scan_row (const DwnWording *wording, const DwnPlan *plan, const DwnScanRow *row);

G_END_DECLS
