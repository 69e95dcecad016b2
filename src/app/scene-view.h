/* What drawings need of the widget that they are shown in. */
#pragma once

#include <gtk/gtk.h>

#include "draw/plan-view.h"
#include "app/document.h"

G_BEGIN_DECLS

/* The look of the widget's theme: light, dark or high contrast, its font and text scale. */
DwnLook dwn_widget_look (GtkWidget *widget);

/* For css_changed: gives the widget the class "dark" while its look is dark, so that a style sheet can
 * tell. */
void dwn_widget_follow_look (GtkWidget *widget);

/* Once, for a widget that shows a drawing: it stays as it is where everything else is mirrored. East lies
 * on the right whatever way people write, and signals go from left to right on every circuit diagram. */
void dwn_widget_keep_drawing (GtkWidget *widget);

/* A view of the document with its selection, for people. */
DwnPlanView dwn_document_view (DwnDocument *document);

/* A scene within the widget, painted by cairo. */
void dwn_snapshot_scene (GtkSnapshot *snapshot, const DwnScene *scene, DwnLayer layer,
                         const graphene_rect_t *bounds);

G_END_DECLS
