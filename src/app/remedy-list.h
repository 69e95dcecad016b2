/* What would help the selected station, best first, each to be tried with a click. */
#pragma once

#include <gtk/gtk.h>

#include "app/explainer.h"

G_BEGIN_DECLS

#define DWN_TYPE_REMEDY_LIST (dwn_remedy_list_get_type ())
G_DECLARE_FINAL_TYPE (DwnRemedyList, dwn_remedy_list, DWN, REMEDY_LIST, GtkWidget)

/* At most @most of them. Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_remedy_list_new (DwnDocument *document, guint most);

G_END_DECLS
