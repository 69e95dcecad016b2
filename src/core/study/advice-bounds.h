/* What each configuration could bring at best, whatever its partners do. */
#pragma once

#include "core/study/advice-private.h"

G_BEGIN_DECLS

/* For one antenna of a rig: every configuration that it may take. */
typedef struct {
  guint n, n_words, n_services;
  guint *configuration; /* [n] */
  guint64 *holds;       /* [n][n_words]: services that it might hold */
  float *margin_db;     /* [n][n_services]: their margins at most; −INFINITY: not held */
  gint *place;          /* [armoury.n · DWN_N_AIMS]: where a configuration stands in these; −1 */
} DwnBounds;

/* @bounds: [rig->n], filled. Returns: what is needed to go on asking. */
typedef struct _DwnBounder DwnBounder;
DwnBounder *dwn_bounder_new (const DwnAdvisor *advisor, const DwnRig *rig, DwnBounds *bounds);
void dwn_bounder_free (DwnBounder *bounder);
/* Extras that configuration @place of antenna @a might hold, a set of goal.n_extra_words words.
 * Worked out when first asked for: only ties come to that. */
const guint64 *dwn_bounder_extras (DwnBounder *bounder, guint a, guint place);

G_END_DECLS
