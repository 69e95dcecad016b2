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

/* Whether rung @r is a close runner-up, and what the draws say of it; empty where that is nothing. */
char *dwn_word_standing (const DwnWording *wording, const DwnLadder *ladder, guint r);

/* What a hybrid makes of the held station whose phases lie farthest apart: its margin at the worst, the
 * mean and the best, and what joining costs it. Empty where the rung has no hybrid or holds nothing. */
char *dwn_word_phases (const DwnWording *wording, const DwnRung *rung);

/* What two alike in a stack would bring that one antenna does not; empty where that is nothing. */
char *dwn_word_stacked (const DwnWording *wording, const DwnLadder *ladder);

/* Which wanted services the rung does not hold; empty where it holds all. */
char *dwn_word_given_up (const DwnWording *wording, const DwnLadder *ladder, const DwnRung *rung);

/* Which station falls first where all fields are weaker than predicted, and how much 3 and 6 dB cost;
 * empty where nothing is held. */
char *dwn_word_sensitivity (const DwnWording *wording, const DwnRung *rung);

/* What all its parts cost, as far as they have prices; empty where that is not known.
 * @currency: "" where the plan names none. */
char *dwn_word_rung_cost (const DwnWording *wording, const DwnRung *rung, const char *currency);

/* What to buy and where to point it, in a few sentences: what that holds, what is out of reach, the
 * runner-up where it is close, what falls first and how much is lost if the prediction is too good,
 * and how often it wins where that was drawn. */
char *dwn_word_advice (const DwnWording *wording, const DwnLadder *ladder);

G_END_DECLS
