/* Why the selected station is as it is, and what would help: worked out beside the main thread for
 * every panel that shows it. */
#pragma once

#include "app/document.h"
#include "core/study/place.h"
#include "core/study/remedies.h"

G_BEGIN_DECLS

#define DWN_TYPE_EXPLAINER (dwn_explainer_get_type ())
G_DECLARE_FINAL_TYPE (DwnExplainer, dwn_explainer, DWN, EXPLAINER, GObject)

/* Signal "explained": the diagnosis or the remedies are others now. */

/* The one of @document. Returns: (transfer none): lives as long as the document. */
DwnExplainer *dwn_explainer_of (DwnDocument *document);

/* Of the selected station at its weakest outlet, as budgeted now. (nullable): none is selected, or
 * it has no outlet. */
const DwnDiagnosis *dwn_explainer_diagnosis (DwnExplainer *self);
/* (nullable): still being worked out. */
const DwnRemedies *dwn_explainer_remedies (DwnExplainer *self);
/* What a higher mast would bring; (nullable) as the remedies. */
const DwnRaise *dwn_explainer_raise (DwnExplainer *self);
gboolean dwn_explainer_is_busy (DwnExplainer *self);

G_END_DECLS
