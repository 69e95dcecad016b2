/* One row of the station list: a station, or the line that names a mast. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

/* What a row is of: the list's own item. */
#define DWN_TYPE_STATION_ITEM (dwn_station_item_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationItem, dwn_station_item, DWN, STATION_ITEM, GObject)
DwnStationItem *dwn_station_item_new (guint station, gboolean is_mast);
guint dwn_station_item_station (DwnStationItem *item);
gboolean dwn_station_item_is_mast (DwnStationItem *item); /* names the mast of that station */

#define DWN_TYPE_STATION_ROW (dwn_station_row_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationRow, dwn_station_row, DWN, STATION_ROW, GtkWidget)
GtkWidget *dwn_station_row_new (DwnDocument *document);
void dwn_station_row_set_item (DwnStationRow *self, DwnStationItem *item); /* (nullable) */
/* Draws the row anew where it would say something else than it does. */
void dwn_station_row_refresh (DwnStationRow *self);

/* The line above the list that names its columns; keeps a reference to @document. */
#define DWN_TYPE_STATION_HEAD (dwn_station_head_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationHead, dwn_station_head, DWN, STATION_HEAD, GtkWidget)
GtkWidget *dwn_station_head_new (DwnDocument *document);

G_END_DECLS
