/* What the house takes from the signal, term by term. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_HOUSE_LOSSES (dwn_house_losses_get_type ())
G_DECLARE_FINAL_TYPE (DwnHouseLosses, dwn_house_losses, DWN, HOUSE_LOSSES, GtkWidget)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_house_losses_new (DwnDocument *document);

/* Adds a term of @kind all round, and returns its index. */
guint dwn_house_losses_add (DwnDocument *document, DwnHouseKind kind);

G_END_DECLS
