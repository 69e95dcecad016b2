/* Two variants of the plan side by side, in the place of the plan. */
#pragma once

#include <gtk/gtk.h>

#include "app/comparer.h"

G_BEGIN_DECLS

#define DWN_TYPE_COMPARE_PAGE (dwn_compare_page_get_type ())
G_DECLARE_FINAL_TYPE (DwnComparePage, dwn_compare_page, DWN, COMPARE_PAGE, GtkBox)

/* Keeps a reference to @document, which has a plan. Activates win.compare-file, win.keep-variant,
 * win.print, win.export and win.back. Returns: (transfer floating). */
GtkWidget *dwn_compare_page_new (DwnDocument *document);

G_END_DECLS
