/* The way from a house to an install sheet, in steps that can be taken in any order. */
#pragma once

#include "words/sentences.h"

G_BEGIN_DECLS

typedef enum {
  DWN_GUIDE_SITE,
  DWN_GUIDE_STATIONS,
  DWN_GUIDE_WANTED,
  DWN_GUIDE_ANTENNAS,
  DWN_GUIDE_GEAR,
  DWN_GUIDE_ADVICE,
  DWN_GUIDE_SHEET,
} DwnGuideStep;
#define DWN_N_GUIDE_STEPS 7
#define DWN_GUIDE_BIT(step) (1u << (step))

/* Which steps are done, as bits. @seen: bits of those whose place was looked at, which is all that can
 * be known of gear, advice and sheet; advice and sheet count only once something is wanted. Site: a plan
 * has one. Stations: there is one. Wanted: a service is. Antennas: a wanted station comes in at 50 % or
 * more. Advice: also where every wanted station has 90 % already. */
guint dwn_guide_done (const DwnFindings *findings, guint seen);

/* The first step that is not done; −1: all are. */
int dwn_guide_next (guint done);

const char *dwn_word_guide (const DwnWording *wording, DwnGuideStep step);
/* What is to be done there, a sentence. */
const char *dwn_word_guide_hint (const DwnWording *wording, DwnGuideStep step);

G_END_DECLS
