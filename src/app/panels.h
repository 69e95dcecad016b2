/* The stack of panels beside the rose, with the buttons that choose among them. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_PANELS (dwn_panels_get_type ())
G_DECLARE_FINAL_TYPE (DwnPanels, dwn_panels, DWN, PANELS, GtkWidget)

/* A panel is built when it is first shown. Where there is no room for a row of buttons, a drop-down
 * stands in its place. Keeps a reference to @document. Signal "shown" with the id of a panel.
 * Returns: (transfer floating). */
GtkWidget *dwn_panels_new (DwnDocument *document);

/* The ids of the panels in their order, NULL-terminated: "site", "stations", … */
const char *const *dwn_panel_ids (void);
/* What its button says, translated. */
const char *dwn_panel_title (const char *id);
/* The help page about a panel; the first page for NULL. */
const char *dwn_panel_help (const char *id);
const char *dwn_panels_shown (DwnPanels *self);
/* (nullable): the panel itself, once it was shown. */
GtkWidget *dwn_panels_find (DwnPanels *self, const char *id);
/* FALSE where there is no such panel. */
gboolean dwn_panels_show (DwnPanels *self, const char *id);

G_END_DECLS
