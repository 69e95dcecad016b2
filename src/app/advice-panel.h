/* The ladder of arrangements as cards; each can be taken into the plan. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_ADVICE_PANEL (dwn_advice_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnAdvicePanel, dwn_advice_panel, DWN, ADVICE_PANEL, GtkBox)

/* Works the advice out in the background when the panel is shown, and again after a change. */
GtkWidget *dwn_advice_panel_new (DwnDocument *document);

/* How many cards are shown; 0 while the advice is being worked out. */
guint dwn_advice_panel_count (DwnAdvicePanel *self);

G_END_DECLS
