/* What was read on the day, and what it teaches. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_READINGS_PANEL (dwn_readings_panel_get_type ())
G_DECLARE_FINAL_TYPE (DwnReadingsPanel, dwn_readings_panel, DWN, READINGS_PANEL, GtkBox)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_readings_panel_new (DwnDocument *document);

/* "Vennacott, tv1, 2026-05-14: −61.2 dBm, C/N 24.1 dB, locked". (transfer full). */
char *dwn_reading_line (DwnDocument *document, const DwnReading *reading);

/* Adds @reading, as things stand now. */
gboolean dwn_add_reading (DwnDocument *document, const DwnReading *reading);

G_END_DECLS
