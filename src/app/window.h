/* One window, one plan. */
#pragma once

#include "app/document.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_WINDOW (dwn_window_get_type ())
G_DECLARE_FINAL_TYPE (DwnWindow, dwn_window, DWN, WINDOW, GtkApplicationWindow)

/* Returns: (transfer floating): a window on @document, which has a plan. */
DwnWindow *dwn_window_new (GtkApplication *application, DwnDocument *document);
DwnDocument *dwn_window_document (DwnWindow *self);

G_END_DECLS
