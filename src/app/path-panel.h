/* The way of the selected station: the ground it crosses, what takes its level, what would help. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_PATH_PANEL (dwn_path_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnPathPanel, dwn_path_panel, DWN, PATH_PANEL, GtkBox)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_path_panel_new (DwnDocument *document);

G_END_DECLS
