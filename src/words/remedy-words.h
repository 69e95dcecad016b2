/* What would help, in a householder's words. */
#pragma once

#include "core/study/remedies.h"
#include "words/sentences.h"

G_BEGIN_DECLS

/* All return (transfer full) unless they are const. @findings: of the plan that was diagnosed. */

/* "Turn the UHF antenna from 80° to 85°"; of two changes: "The first two together". */
char *dwn_word_remedy (const DwnWording *wording, const DwnFindings *findings,
                       const DwnRemedy *remedy);

/* "loses Tarnlight and Corrowane", "brings Quillon too"; NULL where no other station minds. */
char *dwn_word_remedy_effect (const DwnWording *wording, const DwnFindings *findings,
                              const DwnRemedy *remedy);

/* The remedy, what it brings and whom it touches: "Turn the UHF antenna from 80° to 136°: 10.7 dB
 * more, chance 94 %; loses Tarnlight". */
char *dwn_word_remedy_line (const DwnWording *wording, const DwnFindings *findings,
                            const DwnRemedy *remedy);

/* What to say beside a remedy that sends somebody up. */
const char *dwn_word_climb_caution (const DwnWording *wording);

G_END_DECLS
