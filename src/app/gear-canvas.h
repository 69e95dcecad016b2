/* The wiring as an installer would sketch it, with a control over every part: arrow keys go along
 * the cables, and a part can be dragged onto another one. */
#pragma once

#include "app/gear-state.h"

G_BEGIN_DECLS

#define DWN_TYPE_GEAR_CANVAS (dwn_gear_canvas_get_type ())
G_DECLARE_FINAL_TYPE (DwnGearCanvas, dwn_gear_canvas, DWN, GEAR_CANVAS, GtkWidget)

/* Signals: "chosen" (guint part) when a part is pressed; "menu" (guint part) when its menu is asked
 * for; "pointed" (int part) when the pointer or the focus comes to a part, or leaves all (−1);
 * "dropped" (guint part, guint edge, gboolean late_end) when it was dragged onto a cable. */

/* Keeps a reference to @document, which has a plan. */
GtkWidget *dwn_gear_canvas_new (DwnDocument *document);

/* What is shown; borrowed until the document changes. */
const DwnGearState *dwn_gear_canvas_state (DwnGearCanvas *self);

/* "With the set's own noise: …"; "" where no station is shown. Borrowed until the document changes. */
const char *dwn_gear_canvas_summary (DwnGearCanvas *self);

/* The part that has the focus, or had it last; −1: none had. */
int dwn_gear_canvas_current (DwnGearCanvas *self);
/* FALSE where it is not drawn. */
gboolean dwn_gear_canvas_focus_part (DwnGearCanvas *self, guint part);
/* The control of a part. (nullable) (transfer none). */
GtkWidget *dwn_gear_canvas_part (DwnGearCanvas *self, guint part);

/* "Mast amplifier: −56.1 dBm, …", and what is wrong with it. Returns: (transfer full). */
char *dwn_gear_canvas_words (DwnGearCanvas *self, guint part);

/* Marks a part as the one that is edited; −1: none. */
void dwn_gear_canvas_set_chosen (DwnGearCanvas *self, int part);

/* Where a part is drawn, in the canvas. FALSE where it is not. */
gboolean dwn_gear_canvas_place (DwnGearCanvas *self, guint part, GdkRectangle *place);

G_END_DECLS
