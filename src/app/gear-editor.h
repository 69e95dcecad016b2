/* A part of the gear edited where it is drawn: a popover in which everything counts at once. */
#pragma once

#include "app/gear-canvas.h"

G_BEGIN_DECLS

#define DWN_TYPE_GEAR_EDITOR (dwn_gear_editor_get_type ())
G_DECLARE_FINAL_TYPE (DwnGearEditor, dwn_gear_editor, DWN, GEAR_EDITOR, GtkPopover)

/* A child of @canvas, which owns it. Its buttons call gear.insert-before, gear.insert-behind (each
 * with the id of a kind), gear.earlier, gear.later and gear.remove, of an ancestor's making. */
GtkWidget *dwn_gear_editor_new (DwnDocument *document, DwnGearCanvas *canvas);

/* Opens it on @part. */
void dwn_gear_editor_edit (DwnGearEditor *self, guint part);

/* Says why something cannot be done. */
void dwn_gear_editor_refuse (DwnGearEditor *self, const char *why);

/* Kinds that can be put into a cable, as a menu whose items call @action with the kind's id. */
GMenuModel *dwn_gear_kinds_menu (const char *action);

G_END_DECLS
