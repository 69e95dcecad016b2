/* What the gear panel says of every part: the figures after it for one station, the station that
 * comes off worst there, and what is wrong with the wiring. */
#pragma once

#include "app/scene-view.h"
#include "core/study/check.h"

G_BEGIN_DECLS

/* Follows from a document at one moment. */
typedef struct {
  int station;         /* whose figures: the selected one, otherwise the weakest; −1: none */
  guint n;             /* parts */
  DwnLevelStep *level; /* [n]: after the part; level_dbm is NaN where the station does not pass */
  DwnWorst *worst;     /* [n] */
  GArray *checks;      /* DwnCheck: those about the gear, graver ones first */
} DwnGearState;

DwnGearState *dwn_gear_state_new (DwnDocument *document);
void dwn_gear_state_free (DwnGearState *state);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnGearState, dwn_gear_state_free)

/* The document as the drawing of the gear shows it. Borrows from @state. */
DwnPlanView dwn_gear_state_view (const DwnGearState *state, DwnDocument *document);

/* All return (transfer full). */

/* "−63.9 dBm, C/N 20.3 dB, headroom 37.9 dB" for the station; "" where it does not pass. */
char *dwn_gear_state_figures (const DwnGearState *state, DwnDocument *document, guint part);
/* "Weakest here: Vennor, 3.0 dB more than it needs"; "" where none passes. */
char *dwn_gear_state_worst (const DwnGearState *state, DwnDocument *document, guint part);
/* Every fault of the part, a line each; "" where there is none. */
char *dwn_gear_state_faults (const DwnGearState *state, DwnDocument *document, guint part);

G_END_DECLS
