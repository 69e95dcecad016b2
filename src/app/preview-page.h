/* A page as it will be on paper, in the place of the plan. */
#pragma once

#include <gtk/gtk.h>

#include "app/page.h"

G_BEGIN_DECLS

#define DWN_TYPE_PREVIEW_PAGE (dwn_preview_page_get_type ())
G_DECLARE_FINAL_TYPE (DwnPreviewPage, dwn_preview_page, DWN, PREVIEW_PAGE, GtkBox)

/* Keeps a reference to @document. Activates win.print, win.export and win.back.
 * Returns: (transfer floating). */
GtkWidget *dwn_preview_page_new (DwnDocument *document);
void dwn_preview_page_show (DwnPreviewPage *self, DwnPage page);
DwnPage dwn_preview_page_shown (DwnPreviewPage *self);

G_END_DECLS
