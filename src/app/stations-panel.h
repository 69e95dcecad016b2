/* The stations, grouped by mast, wanted ones first; below them the one that is selected. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_STATIONS_PANEL (dwn_stations_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationsPanel, dwn_stations_panel, DWN, STATIONS_PANEL, GtkBox)

GtkWidget *dwn_stations_panel_new (DwnDocument *document);

G_END_DECLS
