/* What is wrong with a station that does not come in: one question at a time. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_TROUBLE_SECTION (dwn_trouble_section_get_type ())
G_DECLARE_FINAL_TYPE (DwnTroubleSection, dwn_trouble_section, DWN, TROUBLE_SECTION, GtkBox)

/* About the selected station, or all of them. Keeps a reference to @document.
 * Returns: (transfer floating). */
GtkWidget *dwn_trouble_section_new (DwnDocument *document);

G_END_DECLS
