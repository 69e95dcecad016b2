/* Brings a station list into the plan: choose files, see what would happen, take it. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"
#include "core/plan/station-merge.h"

G_BEGIN_DECLS

#define DWN_TYPE_IMPORT_DIALOG (dwn_import_dialog_get_type ())
G_DECLARE_FINAL_TYPE (DwnImportDialog, dwn_import_dialog, DWN, IMPORT_DIALOG, GtkWindow)

/* Keeps a reference to @document. */
DwnImportDialog *dwn_import_dialog_new (GtkWindow *parent, DwnDocument *document);

/* Reads these files in the format that their names and first bytes suggest (NULL-terminated). */
void dwn_import_dialog_read (DwnImportDialog *self, const char *const *files);
/* What was read last, (nullable): still reading, or refused. */
const DwnMerge *dwn_import_dialog_merge (DwnImportDialog *self);
/* Puts what was read into the plan, as one step of undo. FALSE where there is nothing. */
gboolean dwn_import_dialog_take (DwnImportDialog *self);

/* The format that a file's name and first bytes suggest. */
DwnImportFormat dwn_import_guess (const char *path);

G_END_DECLS
