/* Variants of a document's plan, and two of them worked out beside the main thread to be held against
 * each other. */
#pragma once

#include "app/document.h"
#include "draw/compare.h"

G_BEGIN_DECLS

#define DWN_TYPE_COMPARER (dwn_comparer_get_type ())
G_DECLARE_FINAL_TYPE (DwnComparer, dwn_comparer, DWN, COMPARER, GObject)

/* Signals: "listed" when there are other variants to choose among; "compared" when the two that are
 * chosen are worked out, or cannot be. */

/* The one of @document, which must have a plan. Returns: (transfer none): lives as long as the
 * document. */
DwnComparer *dwn_comparer_of (DwnDocument *document);

/* What can be chosen: this plan; what is tried; the plan as saved last; the plan under the roof, or
 * on a mast; with one antenna only; plans of other files. */
guint dwn_comparer_count (DwnComparer *self);
const char *dwn_comparer_name (DwnComparer *self, guint variant);

/* @side: 0 or 1. Until somebody chooses, this plan is held against what is tried, otherwise against
 * what was saved, otherwise against the other mount. */
void dwn_comparer_choose (DwnComparer *self, guint side, guint variant);
guint dwn_comparer_chosen (DwnComparer *self, guint side);
/* Reads another plan and chooses it for the second side. FALSE with @error. */
gboolean dwn_comparer_add_file (DwnComparer *self, GFile *file, GError **error);

/* Works the chosen two out where that is not done yet. */
void dwn_comparer_refresh (DwnComparer *self);
gboolean dwn_comparer_is_busy (DwnComparer *self);
/* The two as they stand now; NULL: not worked out yet, or they cannot be: @error says why. @sides is
 * borrowed until the next signal. */
const DwnComparison *dwn_comparer_result (DwnComparer *self, DwnComparedView sides[2], GError **error);

/* Makes the variant of @side the plan, in one step of undo; what is tried is kept or dropped by it. */
gboolean dwn_comparer_keep (DwnComparer *self, guint side, GError **error);

G_END_DECLS
