/* Why a station is weak, in a sentence or two that a householder understands. */
#pragma once

#include "core/study/diagnosis.h"
#include "words/sentences.h"

G_BEGIN_DECLS

/* All return (transfer full) unless they are const. @findings: of the plan that was diagnosed. */

/* The sentence that names the chief cause, and one or two more where they take nearly as much:
 * "Cray Edge stands 62 m above the straight line and takes 21.8 dB; …". */
char *dwn_word_diagnosis (const DwnWording *wording, const DwnFindings *findings,
                          const DwnDiagnosis *diagnosis);

/* What that leaves: margin, uncertainty, chance. */
char *dwn_word_outcome (const DwnWording *wording, const DwnDiagnosis *diagnosis);

/* What to call a step: two short lines; the second is NULL where one says it. */
char *dwn_word_loss_name (const DwnWording *wording, const DwnFindings *findings,
                          const DwnDiagnosis *diagnosis, const DwnLossStep *step);
char *dwn_word_loss_detail (const DwnWording *wording, const DwnFindings *findings,
                            const DwnDiagnosis *diagnosis, const DwnLossStep *step);

/* What the level that would be just enough consists of: noise, other stations, the ratio that the
 * broadcast needs. "" where nothing is connected. */
char *dwn_word_needs (const DwnWording *wording, const DwnDiagnosis *diagnosis);

/* "Antenna", "Splitter" and so on. */
const char *dwn_word_part_kind (const DwnWording *wording, DwnPartKind kind);
/* What the user calls it, or its kind; an outlet with its number. */
char *dwn_word_part (const DwnWording *wording, const DwnChain *gear, guint part);
/* The same within a sentence: "the splitter", "outlet 3". */
char *dwn_word_the_part (const DwnWording *wording, const DwnChain *gear, guint part);

G_END_DECLS
