/* The advice in sentences that a householder understands. */
#pragma once

#include "core/study/advice.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* "one antenna", "two antennas split by band" and so on. */
const char *dwn_word_arrangement (const DwnWording *wording, DwnArrangement arrangement);

/* All return (transfer full), without markup. */

/* Why rung @r is advised or not. */
char *dwn_word_reason (const DwnWording *wording, const DwnLadder *ladder, guint r);

/* What to buy and where to point it, in a sentence or two: what that holds, what is out of reach,
 * the runner-up where it is close, and what falls first if the prediction is too good. */
char *dwn_word_advice (const DwnWording *wording, const DwnLadder *ladder);

G_END_DECLS
