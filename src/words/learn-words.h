/* What readings taught, in sentences. */
#pragma once

#include "core/study/learn.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* What it is: "the downlead with its connectors", "the house in UHF towards 75°". */
char *dwn_word_cause (const DwnWording *wording, const DwnPlan *plan, const DwnLearnedCause *cause);

/* What it does, with its range and chance: "The downlead with its connectors loses 7.9 dB more than
 * planned at 600 MHz (5.2 to 10.6 dB); chance 92 %". */
char *dwn_word_learned_cause (const DwnWording *wording, const DwnPlan *plan,
                              const DwnLearnedCause *cause);

/* What to do about a cause that was found. */
char *dwn_word_cause_cure (const DwnWording *wording, const DwnLearnedCause *cause);

/* One sentence over all of it: the cause that was found, or that the readings are as predicted. */
char *dwn_word_learned (const DwnWording *wording, const DwnPlan *plan, const DwnLearned *learned);

/* Which two explanations remain, and what to read next. */
char *dwn_word_undecided (const DwnWording *wording, const DwnPlan *plan, const DwnLearned *learned,
                          const DwnUndecided *pair);

/* Which reading was left out, and why. */
char *dwn_word_outlier (const DwnWording *wording, const DwnPlan *plan, const DwnOutlier *outlier);

/* "−61.2 ± 8 dBm, after the readings −66.0 ± 3": a level before and after. */
char *dwn_word_learned_level (const DwnWording *wording, const DwnLearnedLevel *level);

G_END_DECLS
