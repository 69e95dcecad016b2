/* Three ways to begin: a place, a plan on disk, the example. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_START_PAGE (dwn_start_page_get_type ())
G_DECLARE_FINAL_TYPE (DwnStartPage, dwn_start_page, DWN, START_PAGE, GtkWidget)

/* Gives @document (kept) its first plan. Activates app.example, win.open and app.open-recent.
 * Returns: (transfer floating). */
GtkWidget *dwn_start_page_new (DwnDocument *document);

/* Begins a plan at the coordinates in @place. FALSE with @error, which says what would be right. */
gboolean dwn_start_plan (DwnDocument *document, const char *name, const char *place, GError **error);

G_END_DECLS
