/* One station's figures, to be changed in place. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_STATION_EDITOR (dwn_station_editor_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationEditor, dwn_station_editor, DWN, STATION_EDITOR, GtkWidget)

/* Shows and changes the station that @document (kept) has selected. Returns: (transfer floating). */
GtkWidget *dwn_station_editor_new (DwnDocument *document);

/* A station to be filled in, 20 km north of the house, selected. FALSE with @error. */
gboolean dwn_add_station (DwnDocument *document, GError **error);
/* Takes the selected station out of the plan, with services that nobody else carries. */
gboolean dwn_remove_station (DwnDocument *document);

G_END_DECLS
