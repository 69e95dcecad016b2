/* A part of the drawn wiring as a control: it draws nothing but where it is, and can be focused,
 * named and pressed. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_GEAR_PART (dwn_gear_part_get_type ())
G_DECLARE_FINAL_TYPE (DwnGearPart, dwn_gear_part, DWN, GEAR_PART, GtkButton)

GtkWidget *dwn_gear_part_new (void);

/* @part: index in the gear; @description: what a screen reader adds to the name. */
void dwn_gear_part_set (DwnGearPart *self, guint part, const char *name, const char *description);
guint dwn_gear_part_index (DwnGearPart *self);
/* Drawn as the selected one. */
void dwn_gear_part_set_chosen (DwnGearPart *self, gboolean chosen);

G_END_DECLS
