/* The wiring, drawn and edited in place, with the figures of the selected station and what is wrong
 * with it. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_WIRING_PANEL (dwn_wiring_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnWiringPanel, dwn_wiring_panel, DWN, WIRING_PANEL, GtkBox)

GtkWidget *dwn_wiring_panel_new (DwnDocument *document);

G_END_DECLS
