/* The rose in the window: handles to drag, marks to choose. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_ROSE_WIDGET (dwn_rose_widget_get_type ())
G_DECLARE_FINAL_TYPE (DwnRoseWidget, dwn_rose_widget, DWN, ROSE_WIDGET, GtkWidget)

/* Properties "skyline", "sun" and "patterns", all boolean, say what is drawn with the stations.
 * Keeps a reference to @document. Returns: (transfer floating). */
GtkWidget *dwn_rose_widget_new (DwnDocument *document);

/* Turns the aim of the antenna that was handled last by @by_deg. */
void dwn_rose_widget_turn (DwnRoseWidget *self, double by_deg);

/* The rose as it is shown, as a picture of @size × @size units on white with a legend.
 * Returns: (transfer full). */
DwnScene *dwn_rose_widget_picture (DwnRoseWidget *self, double size);

G_END_DECLS
