/* The install sheet on a printer, or as PDF. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

/* With @path (nullable) writes a PDF there and asks nothing; otherwise shows the print dialog.
 * FALSE with @error. */
gboolean dwn_sheet_print (GtkWindow *parent, DwnDocument *document, const char *path, GError **error);

G_END_DECLS
