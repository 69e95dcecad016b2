#include "app/antenna-plot.h"

#include <glib/gi18n.h>
#include <math.h>

#include "draw/pattern-plot.h"

#define SAID_MISMATCH_DB 0.1
#define MOST(least_px) ((least_px) * 3 / 2) /* it grows to this */

struct _DwnAntennaPlot {
  GtkWidget parent_instance;

  DwnWording wording;
  DwnPattern *pattern, *other; /* (nullable) */
  double mhz;
  int least_px;
};

G_DEFINE_FINAL_TYPE (DwnAntennaPlot, dwn_antenna_plot, GTK_TYPE_WIDGET)

char *
dwn_antenna_figures (const DwnWording *wording, const DwnPattern *pattern, double mhz)
{
  double mismatch_db = dwn_pattern_mismatch_db (pattern, mhz);
  g_autofree char *gain = dwn_word_number (wording, dwn_pattern_max_gain_dbi (pattern, mhz), 1);
  g_autofree char *width = dwn_word_bearing (wording, dwn_pattern_beamwidth_deg (pattern, mhz));
  g_autofree char *back = dwn_word_number (wording, dwn_pattern_front_to_back_db (pattern, mhz), 0);
  g_autofree char *lost = dwn_word_decibels (wording, mismatch_db);

  if (mismatch_db >= SAID_MISMATCH_DB)
    return g_strdup_printf (_("%s dBi, %s wide, %s dB front to back; its feed reflects %s"), gain, width, back, lost);
  return g_strdup_printf (_("%s dBi, %s wide, %s dB front to back"), gain, width, back);
}

static void
dwn_antenna_plot_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnAntennaPlot *self = DWN_ANTENNA_PLOT (widget);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget), size = fmin (width, height);
  DwnLook look = dwn_widget_look (widget);
  const DwnPatternPlot plot = { &self->wording, self->pattern, self->other, self->mhz };

  if (self->pattern == NULL || !(self->mhz > 0.0) || size < 1.0)
    return;
  g_autoptr (DwnScene) scene = dwn_pattern_plot_layout (&plot, &look, gtk_widget_get_pango_context (widget), size);
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) (width - size) / 2, (float) (height - size) / 2));
  dwn_snapshot_scene (snapshot, scene, DWN_LAYER_ALL, &GRAPHENE_RECT_INIT (0, 0, (float) size, (float) size));
  gtk_snapshot_restore (snapshot);
}

static void
dwn_antenna_plot_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                          int *minimum_baseline, int *natural_baseline)
{
  DwnLook look = dwn_widget_look (widget);

  *minimum = (int) (DWN_ANTENNA_PLOT (widget)->least_px * dwn_look_unit (&look));
  *natural = for_size > 0 ? CLAMP (for_size, *minimum, MOST (*minimum)) : MOST (*minimum);
  *minimum_baseline = *natural_baseline = -1;
}

static void
dwn_antenna_plot_dispose (GObject *object)
{
  DwnAntennaPlot *self = DWN_ANTENNA_PLOT (object);

  g_clear_pointer (&self->pattern, dwn_pattern_unref);
  g_clear_pointer (&self->other, dwn_pattern_unref);
  G_OBJECT_CLASS (dwn_antenna_plot_parent_class)->dispose (object);
}

static void
dwn_antenna_plot_class_init (DwnAntennaPlotClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_antenna_plot_dispose;
  widget_class->snapshot = dwn_antenna_plot_snapshot;
  widget_class->measure = dwn_antenna_plot_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
dwn_antenna_plot_init (DwnAntennaPlot *self)
{
  dwn_widget_keep_drawing (GTK_WIDGET (self));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Pattern"), -1);
}

GtkWidget *
dwn_antenna_plot_new (int size_px)
{
  DwnAntennaPlot *self = g_object_new (DWN_TYPE_ANTENNA_PLOT, NULL);

  self->least_px = size_px;
  return GTK_WIDGET (self);
}

static void
keep (DwnPattern **kept, const DwnPattern *pattern)
{
  DwnPattern *ref = pattern != NULL ? dwn_pattern_ref (pattern) : NULL;

  g_clear_pointer (kept, dwn_pattern_unref);
  *kept = ref;
}

void
dwn_antenna_plot_show (DwnAntennaPlot *self, const DwnWording *wording, const DwnPattern *pattern,
                       const DwnPattern *other, double mhz)
{
  g_return_if_fail (DWN_IS_ANTENNA_PLOT (self) && wording != NULL);

  g_autofree char *figures = pattern != NULL && mhz > 0.0 ? dwn_antenna_figures (wording, pattern, mhz) : g_strdup ("");
  self->wording = *wording;
  keep (&self->pattern, pattern);
  keep (&self->other, other);
  self->mhz = mhz;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, figures, -1);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
