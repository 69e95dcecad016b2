/* What follows from a plan, in sentences: one text for the window, the sheet and the terminal. */
#pragma once

#include "core/study/budget.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* Everything that a sentence about a plan may need. Borrowed. */
typedef struct {
  const DwnPlan *plan;
  const DwnFields *fields;
  const DwnBudget *budget;
  const double *aim_deg;     /* as budgeted, one an antenna */
  double declination_deg;    /* east positive; NaN: compass bearings are left out */
} DwnFindings;

/* All return (transfer full). */

/* "blocked 132 m at 6.3 km", "clear by 15 m", "no profile". Kilometres from the house. */
char *dwn_word_path (const DwnWording *wording, const DwnArrival *arrival);

/* "62° · 64 km · blocked 64 m at 21 km" */
char *dwn_word_way (const DwnWording *wording, const DwnArrival *arrival);

/* "antenna", "UHF antenna", "second antenna": what to call one among the plan's. */
char *dwn_word_antenna (const DwnWording *wording, const DwnChain *gear, guint antenna);

/* What an antenna is called in a list or a shop; two in a stack say so. Not to be freed. */
const char *dwn_word_pattern (const DwnWording *wording, const DwnPattern *pattern);

/* Where to point and what that holds. Pango markup: figures are <b>bold</b>. */
char *dwn_word_aim_sentence (const DwnWording *wording, const DwnFindings *findings);
/* The same without markup. */
char *dwn_word_aim_sentence_plain (const DwnWording *wording, const DwnFindings *findings);

/* "5 of 6 wanted held"; "" where nothing is wanted. */
char *dwn_word_held (const DwnWording *wording, const DwnFindings *findings);

/* Bearing by compass: true − declination; NaN stays NaN. */
double dwn_compass_deg (double true_deg, double declination_deg);

/* Chance of a station at its weakest outlet; 0 without outlets. */
double dwn_station_chance (const DwnBudget *budget, guint station);

G_END_DECLS
