/* A drawing in a widget: laid out for its width, painted once, kept until something changes. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_DRAWING (dwn_drawing_get_type ())
G_DECLARE_FINAL_TYPE (DwnDrawing, dwn_drawing, DWN, DRAWING, GtkWidget)

/* Returns: (transfer full) (nullable): nothing to draw. */
typedef DwnScene *(*DwnDrawFunc) (gpointer user_data, const DwnLook *look, PangoContext *text,
                                  double width, double height);

/* @label: what a screen reader calls it. It is as high as @share of its width, at least
 * @least_height. Returns: (transfer floating). */
GtkWidget *dwn_drawing_new (const char *label, double share, int least_height, DwnDrawFunc layout,
                            gpointer user_data);
/* Lays it out anew. @description (nullable): the drawing in words. */
void dwn_drawing_refresh (DwnDrawing *self, const char *description);

G_END_DECLS
