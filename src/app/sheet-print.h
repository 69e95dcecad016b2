/* Pages to a printer, or to a PDF by way of the print system. */
#pragma once

#include <gtk/gtk.h>

#include "app/page.h"

G_BEGIN_DECLS

/* Prints @page; with @path (nullable) writes a PDF there and asks nobody. FALSE with @error. */
gboolean dwn_page_print (GtkWindow *parent, DwnDocument *document, DwnPage page, const char *path,
                         GError **error);

G_END_DECLS
