/* The plan's antennas as cards, and the catalogue that they come from. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNAS_PANEL (dwn_antennas_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennasPanel, dwn_antennas_panel, DWN, ANTENNAS_PANEL, GtkBox)

/* Keeps a reference to @document, which has a plan. */
GtkWidget *dwn_antennas_panel_new (DwnDocument *document);

/* Brings a pattern file into the user's own catalogue and shows it there; what was assumed, or why
 * not, is said beside. FALSE where it was not read. */
gboolean dwn_antennas_panel_import (DwnAntennasPanel *self, GFile *file);

/* "plan", "catalogue" or "sheet": what is shown. */
const char *dwn_antennas_panel_page (DwnAntennasPanel *self);

G_END_DECLS
