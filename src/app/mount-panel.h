/* What holds the antennas up: does it stand the wind, and how it is aimed on the day. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_MOUNT_PANEL (dwn_mount_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnMountPanel, dwn_mount_panel, DWN, MOUNT_PANEL, GtkBox)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_mount_panel_new (DwnDocument *document);

G_END_DECLS
