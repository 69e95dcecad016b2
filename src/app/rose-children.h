/* What assistive programs and the keyboard meet in the rose: widgets that draw nothing, laid over
 * what the rose has drawn. The mouse is the rose's own. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

/* The aim of an antenna: a slider from 0° to 359°, round and round. */
#define DWN_TYPE_AIM_HANDLE (dwn_aim_handle_get_type ())
G_DECLARE_FINAL_TYPE (DwnAimHandle, dwn_aim_handle, DWN, AIM_HANDLE, GtkRange)
GtkWidget *dwn_aim_handle_new (DwnDocument *document, guint antenna);
guint dwn_aim_handle_antenna (DwnAimHandle *self);
/* Takes name and value from the document. */
void dwn_aim_handle_refresh (DwnAimHandle *self);

/* A station, over the mark that it has or shares. Pressing it selects the station. */
#define DWN_TYPE_STATION_MARK (dwn_station_mark_get_type ())
G_DECLARE_FINAL_TYPE (DwnStationMark, dwn_station_mark, DWN, STATION_MARK, GtkButton)
GtkWidget *dwn_station_mark_new (DwnDocument *document);
guint dwn_station_mark_station (DwnStationMark *self);
void dwn_station_mark_set_station (DwnStationMark *self, guint station);

G_END_DECLS
