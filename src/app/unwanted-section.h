/* What nobody wants and every amplifier hears: FM and mobile base stations near the house, assumed or
 * known. */
#pragma once

#include "app/document.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_UNWANTED_SECTION (dwn_unwanted_section_get_type ())
G_DECLARE_FINAL_TYPE (DwnUnwantedSection, dwn_unwanted_section, DWN, UNWANTED_SECTION, GtkBox)

/* Keeps a reference to @document, which has a plan. Returns: (transfer floating). */
GtkWidget *dwn_unwanted_section_new (DwnDocument *document);

/* One more, as the group @group (of the parts file) assumes it; NULL: one carrier of known frequency
 * and field, to be filled in. An edit of its own. Returns: its index. */
guint dwn_unwanted_add (DwnDocument *document, const char *group);

G_END_DECLS
