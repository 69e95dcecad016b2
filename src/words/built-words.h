/* What the sheet of a finished installation says: who did what, where the power
 * is, what may fade. */
#pragma once

#include "core/study/visits.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* "Ostermere (RF 24): 2.1 dB to spare, 67 %. May fade when leaves come; in hot spells". */
char *dwn_word_fading (const DwnWording *wording, const DwnPlan *plan, const DwnFading *fading);

/* (element-type utf8): where power inserters and other parts with a place are: "Power inserter:
 * loft, beside the hatch. Do not unplug". Inserters first, with or without a place. */
GPtrArray *dwn_word_places (const DwnWording *wording, const DwnChain *gear);

/* (element-type utf8): one visit's lines: the day and who; what was found; what was changed. */
GPtrArray *dwn_word_visit (const DwnWording *wording, const DwnVisit *visit);

/* What to do when a channel is lost. */
char *dwn_word_rescan (const DwnWording *wording);

G_END_DECLS
