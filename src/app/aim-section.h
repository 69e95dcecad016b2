/* How each antenna is turned to its aim on the day: by compass, by the sun, from a landmark. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_AIM_SECTION (dwn_aim_section_get_type ())
G_DECLARE_FINAL_TYPE (DwnAimSection, dwn_aim_section, DWN, AIM_SECTION, GtkBox)

/* Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_aim_section_new (DwnDocument *document);

G_END_DECLS
