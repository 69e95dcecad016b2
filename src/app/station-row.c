#include "app/station-row.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/station-columns.h"

#define ROW_HEIGHT 31
#define LEAST_WIDTH 320
#define SIDE 16.0
/* The margin line runs from −20 to +30 dB. */
#define LEAST_DB (-20.0)
#define MOST_DB 30.0
#define NEEDED_LABEL_DB 20.0
/* From here on the scale has room for a second figure. */
#define WIDE_LINE 120.0
#define QUIET 0.76

static double
x_of_db (const DwnColumnPlaces *places, double db)
{
  double share = (CLAMP (db, LEAST_DB, MOST_DB) - LEAST_DB) / (MOST_DB - LEAST_DB);

  return places->line_from + share * (places->line_to - places->line_from);
}

static gboolean
has_line (const DwnColumnPlaces *places)
{
  return !isnan (places->line_from);
}

struct _DwnStationItem {
  GObject parent_instance;
  guint station;
  gboolean is_mast;
};

G_DEFINE_FINAL_TYPE (DwnStationItem, dwn_station_item, G_TYPE_OBJECT)

static void
dwn_station_item_class_init (DwnStationItemClass *klass)
{
}

static void
dwn_station_item_init (DwnStationItem *self)
{
}

DwnStationItem *
dwn_station_item_new (guint station, gboolean is_mast)
{
  DwnStationItem *self = g_object_new (DWN_TYPE_STATION_ITEM, NULL);

  self->station = station;
  self->is_mast = is_mast;
  return self;
}

guint
dwn_station_item_station (DwnStationItem *item)
{
  return item->station;
}

gboolean
dwn_station_item_is_mast (DwnStationItem *item)
{
  return item->is_mast;
}

static gboolean
is_mirrored (GtkWidget *widget)
{
  return gtk_widget_get_direction (widget) == GTK_TEXT_DIR_RTL;
}

/* Text whose baseline box is centred on the row; align 0 from the start, 1 ends at @x. Where the row is
 * mirrored it still begins with the name, on the right, and figures keep their signs in front. */
static void
draw_text (GtkWidget *widget, GtkSnapshot *snapshot, const char *text, gboolean bold, double opacity,
           double x, double align)
{
  PangoLayout *layout = gtk_widget_create_pango_layout (widget, text);
  PangoAttrList *attributes = pango_attr_list_new ();
  GdkRGBA ink;
  int width, height;

  pango_attr_list_insert (attributes, pango_attr_font_features_new ("tnum=1"));
  if (bold)
    pango_attr_list_insert (attributes, pango_attr_weight_new (PANGO_WEIGHT_BOLD));
  pango_layout_set_attributes (layout, attributes);
  pango_attr_list_unref (attributes);
  pango_context_set_base_dir (pango_layout_get_context (layout), PANGO_DIRECTION_LTR);
  pango_layout_context_changed (layout);
  pango_layout_get_pixel_size (layout, &width, &height);
  if (is_mirrored (widget))
    {
      x = gtk_widget_get_width (widget) - x;
      align = 1.0 - align;
    }
  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &ink);
  ink.alpha *= (float) opacity;
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (
    (float) (x - align * width), (float) ((gtk_widget_get_height (widget) - height) / 2.0)));
  gtk_snapshot_append_layout (snapshot, layout, &ink);
  gtk_snapshot_restore (snapshot);
  g_object_unref (layout);
}

struct _DwnStationRow {
  GtkWidget parent_instance;
  DwnDocument *document;
  DwnStationItem *item;
};

G_DEFINE_FINAL_TYPE (DwnStationRow, dwn_station_row, GTK_TYPE_WIDGET)

static const DwnReception *
reception_of (const DwnFindings *findings, guint station)
{
  const DwnBudget *budget = findings->budget;

  return budget->n_outlets == 0 ? NULL
    : &budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]];
}

static gboolean
is_quiet (DwnColumn column)
{
  return column == DWN_COLUMN_ON_SCREEN || column == DWN_COLUMN_SYSTEM || column == DWN_COLUMN_POWER;
}

static void
set_colour (cairo_t *cr, DwnColour colour)
{
  cairo_set_source_rgba (cr, colour.red, colour.green, colour.blue, colour.alpha);
}

/* The margin as a dot on its ± σ; what lies left of "needed" is orange. */
static void
draw_margin (cairo_t *cr, const DwnLook *look, const DwnColumnPlaces *places, const DwnReception *reception,
             double middle)
{
  double needed = x_of_db (places, 0.0);
  double from = x_of_db (places, reception->margin_db - reception->sigma_db);
  double to = x_of_db (places, reception->margin_db + reception->sigma_db);
  gboolean short_of = reception->margin_db < 0.0;

  cairo_set_line_width (cr, 3.0);
  set_colour (cr, dwn_colour_alpha (look->foreground, 0.4));
  cairo_move_to (cr, fmax (from, needed), middle);
  cairo_line_to (cr, fmax (to, needed), middle);
  cairo_stroke (cr);
  if (from < needed)
    {
      set_colour (cr, dwn_look_orange (look));
      cairo_move_to (cr, from, middle);
      cairo_line_to (cr, fmin (to, needed), middle);
      cairo_stroke (cr);
    }
  set_colour (cr, short_of ? dwn_look_orange (look) : look->foreground);
  cairo_arc (cr, x_of_db (places, reception->margin_db), middle, 3.8, 0, 2 * G_PI);
  cairo_fill (cr);
}

static void
draw_scale (cairo_t *cr, const DwnLook *look, const DwnColumnPlaces *places, double height)
{
  const double at[] = { 0.0, NEEDED_LABEL_DB };
  const double ink[] = { 0.55, 0.15 };

  cairo_set_line_width (cr, 1.0);
  for (gsize i = 0; i < G_N_ELEMENTS (at); i++)
    {
      double x = floor (x_of_db (places, at[i])) + 0.5;

      set_colour (cr, dwn_colour_alpha (look->foreground, ink[i]));
      cairo_move_to (cr, x, 0);
      cairo_line_to (cr, x, height);
      cairo_stroke (cr);
    }
}

static void
draw_selection (cairo_t *cr, const DwnLook *look, double width, double height)
{
  set_colour (cr, dwn_colour_alpha (dwn_look_orange (look), 0.17));
  cairo_rectangle (cr, 0, 0, width, height);
  cairo_fill (cr);
  set_colour (cr, dwn_look_orange (look));
  cairo_rectangle (cr, 0, 0, 3, height);
  cairo_fill (cr);
}

static void
draw_columns (DwnStationRow *self, GtkSnapshot *snapshot, const DwnFindings *findings, guint i,
              const DwnColumnPlaces *places)
{
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if (!isnan (places->end[c]) && c != DWN_COLUMN_LINE)
      {
        g_autofree char *text = dwn_column_text (dwn_document_wording (self->document), findings, i, (DwnColumn) c);
        draw_text (GTK_WIDGET (self), snapshot, text, FALSE, is_quiet ((DwnColumn) c) ? QUIET : 1.0, places->end[c], 1.0);
      }
}

static void
snapshot_station (DwnStationRow *self, GtkSnapshot *snapshot, guint i)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  DwnFindings findings = dwn_document_findings (self->document);
  DwnPlanView view = dwn_document_view (self->document);
  const DwnStation *station = &findings.plan->stations->station[i];
  const DwnReception *reception = reception_of (&findings, i);
  DwnLook look = dwn_widget_look (widget);
  DwnColumnPlaces places;
  DwnMark mark = dwn_plan_mark (&view, i);
  gboolean selected = dwn_document_selected (self->document) == (int) i;
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height));

  dwn_columns_place (dwn_columns_chosen (dwn_document_settings (self->document)), width, &places);
  if (is_mirrored (widget))
    cairo_transform (cr, &(cairo_matrix_t) { .xx = -1.0, .yy = 1.0, .x0 = width });
  if (selected)
    draw_selection (cr, &look, width, height);
  if (has_line (&places))
    draw_scale (cr, &look, &places, height);
  dwn_mark_paint (&mark, cr, places.mark, height / 2.0, DWN_MARK_RADIUS, look.foreground, look.window);
  if (has_line (&places) && reception != NULL && isfinite (reception->margin_db))
    draw_margin (cr, &look, &places, reception, height / 2.0);
  cairo_destroy (cr);
  draw_text (widget, snapshot, station->name, mark.wanted, 1.0, places.name, 0.0);
  draw_columns (self, snapshot, &findings, i, &places);
}

static const char *
mast_name (const DwnStation *station)
{
  return station->site[0] != '\0' ? station->site : station->name;
}

static void
snapshot_mast (DwnStationRow *self, GtkSnapshot *snapshot, guint i)
{
  GtkWidget *widget = GTK_WIDGET (self);
  DwnFindings findings = dwn_document_findings (self->document);
  const char *name = mast_name (&findings.plan->stations->station[i]);
  g_autofree char *way = dwn_word_way (dwn_document_wording (self->document), &findings.fields->arrival[i]);
  PangoLayout *layout = gtk_widget_create_pango_layout (widget, name);
  int width;

  pango_layout_get_pixel_size (layout, &width, NULL);
  g_object_unref (layout);
  draw_text (widget, snapshot, name, TRUE, 1.0, SIDE, 0.0);
  draw_text (widget, snapshot, way, FALSE, 0.75, SIDE + 1.08 * width + 14.0, 0.0);
}

static void
dwn_station_row_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnStationRow *self = DWN_STATION_ROW (widget);
  const DwnPlan *plan = dwn_document_plan (self->document);

  if (self->item == NULL || plan == NULL || self->item->station >= plan->stations->n)
    return;
  if (self->item->is_mast)
    snapshot_mast (self, snapshot, self->item->station);
  else
    snapshot_station (self, snapshot, self->item->station);
}

static void
dwn_station_row_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                         int *natural, int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? ROW_HEIGHT : LEAST_WIDTH;
  *minimum_baseline = *natural_baseline = -1;
}

/* All that the row shows, in words. */
static void
name_row (DwnStationRow *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  guint i = self->item->station;
  g_autofree char *text = NULL;

  if (i >= findings.plan->stations->n)
    return;
  const DwnStation *station = &findings.plan->stations->station[i];
  g_autofree char *way = dwn_word_way (dwn_document_wording (self->document), &findings.fields->arrival[i]);
  g_autofree char *chance = dwn_word_chance (dwn_document_wording (self->document), dwn_station_chance (findings.budget, i));
  if (self->item->is_mast)
    text = g_strdup_printf ("%s, %s", mast_name (station), way);
  else
    text = g_strdup_printf (_("%s, RF %s, chance %s"), station->name, station->rf, chance);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

void
dwn_station_row_set_item (DwnStationRow *self, DwnStationItem *item)
{
  g_return_if_fail (DWN_IS_STATION_ROW (self));

  g_set_object (&self->item, item);
  if (item != NULL)
    name_row (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
dwn_station_row_dispose (GObject *object)
{
  DwnStationRow *self = DWN_STATION_ROW (object);

  g_clear_object (&self->document);
  g_clear_object (&self->item);
  G_OBJECT_CLASS (dwn_station_row_parent_class)->dispose (object);
}

static void
dwn_station_row_class_init (DwnStationRowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_station_row_dispose;
  widget_class->snapshot = dwn_station_row_snapshot;
  widget_class->measure = dwn_station_row_measure;
  gtk_widget_class_set_css_name (widget_class, "stationrow");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_LABEL);
}

static void
dwn_station_row_init (DwnStationRow *self)
{
}

GtkWidget *
dwn_station_row_new (DwnDocument *document)
{
  DwnStationRow *self = g_object_new (DWN_TYPE_STATION_ROW, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "selected", G_CALLBACK (gtk_widget_queue_draw), self,
                           G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}

struct _DwnStationHead {
  GtkWidget parent_instance;
  DwnDocument *document;
};

G_DEFINE_FINAL_TYPE (DwnStationHead, dwn_station_head, GTK_TYPE_WIDGET)

static void
dwn_station_head_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnDocument *document = DWN_STATION_HEAD (widget)->document;
  DwnColumnPlaces places;

  dwn_columns_place (dwn_columns_chosen (dwn_document_settings (document)), gtk_widget_get_width (widget), &places);
  draw_text (widget, snapshot, _("Station"), TRUE, QUIET, places.name, 0.0);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if (!isnan (places.end[c]))
      {
        g_autofree char *head = dwn_column_head (dwn_document_wording (document), (DwnColumn) c, places.narrow);
        draw_text (widget, snapshot, head, TRUE, QUIET, places.end[c], 1.0);
      }
  if (!has_line (&places))
    return;
  draw_text (widget, snapshot, _("needed"), TRUE, QUIET, x_of_db (&places, 0.0), 0.5);
  if (places.line_to - places.line_from > WIDE_LINE)
    draw_text (widget, snapshot, "+20", FALSE, QUIET, x_of_db (&places, NEEDED_LABEL_DB), 0.5);
}

static void
dwn_station_head_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                          int *natural, int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? ROW_HEIGHT : LEAST_WIDTH;
  *minimum_baseline = *natural_baseline = -1;
}

static void
dwn_station_head_dispose (GObject *object)
{
  g_clear_object (&DWN_STATION_HEAD (object)->document);
  G_OBJECT_CLASS (dwn_station_head_parent_class)->dispose (object);
}

static void
dwn_station_head_class_init (DwnStationHeadClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_station_head_dispose;
  widget_class->snapshot = dwn_station_head_snapshot;
  widget_class->measure = dwn_station_head_measure;
  gtk_widget_class_set_css_name (widget_class, "stationhead");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_LABEL);
}

static void
dwn_station_head_init (DwnStationHead *self)
{
}

/* The heads one after the other, as they are seen. */
static void
name_head (DwnStationHead *self)
{
  g_autoptr (GString) name = g_string_new (_("Station"));
  guint chosen = dwn_columns_chosen (dwn_document_settings (self->document));

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if ((chosen & DWN_COLUMN_BIT (c)) != 0 && c != DWN_COLUMN_LINE)
      {
        g_autofree char *head = dwn_column_head (dwn_document_wording (self->document), (DwnColumn) c, FALSE);
        g_string_append_printf (name, ", %s", head);
      }
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, name->str, -1);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

GtkWidget *
dwn_station_head_new (DwnDocument *document)
{
  DwnStationHead *self = g_object_new (DWN_TYPE_STATION_HEAD, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (name_head), self, G_CONNECT_SWAPPED);
  name_head (self);
  return GTK_WIDGET (self);
}
