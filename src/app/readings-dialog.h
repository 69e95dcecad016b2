/* Brings in readings from CSV files: shows first what would be added, what is known and what is passed
 * over and why, then takes it, as one step of undo. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_READINGS_DIALOG (dwn_readings_dialog_get_type ())
G_DECLARE_FINAL_TYPE (DwnReadingsDialog, dwn_readings_dialog, DWN, READINGS_DIALOG, GtkWindow)

/* The document has a plan. @files: paths, NULL-terminated. */
DwnReadingsDialog *dwn_readings_dialog_new (GtkWindow *parent, DwnDocument *document, const char *const *files);

/* How many readings it would add. */
guint dwn_readings_dialog_count (DwnReadingsDialog *self);
/* Adds them. FALSE where there is none. */
gboolean dwn_readings_dialog_take (DwnReadingsDialog *self);

G_END_DECLS
