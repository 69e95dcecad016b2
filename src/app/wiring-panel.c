#include "app/wiring-panel.h"

#include <glib/gi18n.h>

#define MARGIN 18.0f
#define LEAST_WIDTH 620

struct _DwnWiringPanel {
  GtkWidget parent_instance;
  DwnDocument *document;
};

G_DEFINE_FINAL_TYPE (DwnWiringPanel, dwn_wiring_panel, GTK_TYPE_WIDGET)

static void
dwn_wiring_panel_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);
  float width = (float) gtk_widget_get_width (widget) - 2 * MARGIN;

  if (dwn_document_plan (self->document) == NULL || width < 1)
    return;
  DwnLook look = dwn_widget_look (widget);
  DwnPlanView view = dwn_document_view (self->document);
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&view);
  double height = dwn_gear_height (&gear->data, &look);
  g_autoptr (DwnScene) scene = dwn_gear_layout (&gear->data, &look, gtk_widget_get_pango_context (widget),
                                                (double) width, height);

  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (MARGIN, MARGIN));
  dwn_snapshot_scene (snapshot, scene, DWN_LAYER_ALL, &GRAPHENE_RECT_INIT (0, 0, width, (float) height));
  gtk_snapshot_restore (snapshot);
}

static void
dwn_wiring_panel_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                        int *natural, int *minimum_baseline, int *natural_baseline)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);

  *minimum_baseline = *natural_baseline = -1;
  *minimum = *natural = LEAST_WIDTH;
  if (orientation == GTK_ORIENTATION_HORIZONTAL || dwn_document_plan (self->document) == NULL)
    return;
  DwnLook look = dwn_widget_look (widget);
  DwnPlanView view = dwn_document_view (self->document);
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&view);
  *minimum = *natural = (int) (dwn_gear_height (&gear->data, &look) + 2.0 * (double) MARGIN);
}

static void
describe (DwnWiringPanel *self)
{
  DwnPlanView view = dwn_document_view (self->document);
  g_autoptr (DwnPlanGear) gear = dwn_plan_gear_new (&view);

  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  gear->data.summary != NULL ? gear->data.summary : "", -1);
}

static void
changed_cb (DwnWiringPanel *self)
{
  describe (self);
  gtk_widget_queue_resize (GTK_WIDGET (self));
}

static void
dwn_wiring_panel_dispose (GObject *object)
{
  g_clear_object (&DWN_WIRING_PANEL (object)->document);
  G_OBJECT_CLASS (dwn_wiring_panel_parent_class)->dispose (object);
}

static void
dwn_wiring_panel_class_init (DwnWiringPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_wiring_panel_dispose;
  widget_class->snapshot = dwn_wiring_panel_snapshot;
  widget_class->measure = dwn_wiring_panel_measure;
  gtk_widget_class_set_css_name (widget_class, "gear");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
dwn_wiring_panel_init (DwnWiringPanel *self)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Gear chain"), -1);
}

GtkWidget *
dwn_wiring_panel_new (DwnDocument *document)
{
  DwnWiringPanel *self = g_object_new (DWN_TYPE_WIRING_PANEL, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "aimed", G_CALLBACK (gtk_widget_queue_draw), self, G_CONNECT_SWAPPED);
  describe (self);
  return GTK_WIDGET (self);
}
