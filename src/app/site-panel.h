/* The house: where it stands, what carries the antennas, what it takes from the signal, and the
 * ground around it. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_SITE_PANEL (dwn_site_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnSitePanel, dwn_site_panel, DWN, SITE_PANEL, GtkWidget)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_site_panel_new (DwnDocument *document);

/* Works the profiles out from the tiles in @folder, in the background. */
void dwn_site_panel_survey (DwnSitePanel *self, const char *folder);

G_END_DECLS
