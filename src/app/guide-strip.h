/* The steps from a house to an install sheet, over a new plan: which are done, what comes next. It leads
 * to the panels that are there anyhow, in any order, and can be closed at any time. */
#pragma once

#include "app/document.h"
#include "words/guide-words.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_GUIDE_STRIP (dwn_guide_strip_get_type ())
G_DECLARE_FINAL_TYPE (DwnGuideStrip, dwn_guide_strip, DWN, GUIDE_STRIP, GtkBox)

/* Its buttons call win.panel and win.preview; the one that closes it, win.guide. Keeps a reference to
 * @document, which has a plan. */
GtkWidget *dwn_guide_strip_new (DwnDocument *document);

/* Somebody looked at the panel @id, or at "sheet". */
void dwn_guide_strip_see (DwnGuideStrip *self, const char *id);

/* Bits of the steps that are done. */
guint dwn_guide_strip_done (DwnGuideStrip *self);

G_END_DECLS
