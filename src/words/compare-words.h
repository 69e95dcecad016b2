/* Two variants of a plan held against each other, in words. */
#pragma once

#include "core/study/compare.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* "6.4 ± 8.1 dB": the margin with its standard deviation; "–" where no station is received. */
char *dwn_word_compared_margin (const DwnWording *wording, const DwnComparedSide *side);
/* The second variant's margin less the first one's: "+3.1 dB"; "–" where one has none. */
char *dwn_word_compared_difference (const DwnWording *wording, const DwnComparedRow *row);

/* What a variant comes to, a line each: what it is about, and how it stands on either side. */
typedef struct {
  char *caption, *side[2];
} DwnComparedLine;
/* Returns: (transfer full) (element-type DwnComparedLine). @currency (nullable): of the prices. */
GArray *dwn_word_compared_lines (const DwnWording *wording, const DwnComparison *comparison,
                                 const char *currency);

/* Which holds what the other does not, in a sentence or two. @names: of the two variants. */
char *dwn_word_comparison (const DwnWording *wording, const DwnComparison *comparison,
                           const char *const names[2]);

G_END_DECLS
