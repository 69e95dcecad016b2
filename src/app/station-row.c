#include "app/station-row.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#include "app/station-columns.h"

#define ROW_HEIGHT 31 /* in u, as SIDE and WIDE_LINE */
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

static double
unit_of (GtkWidget *widget)
{
  DwnLook look = dwn_widget_look (widget);

  return dwn_look_unit (&look);
}

static gboolean
is_mirrored (GtkWidget *widget)
{
  return gtk_widget_get_direction (widget) == GTK_TEXT_DIR_RTL;
}

/* A piece of text that keeps its layout while it says the same: shaping is what costs. */
typedef struct {
  PangoLayout *layout; /* NULL: empty */
  int width, height;
  int whole_width; /* where it is not cut */
  gboolean bold;
} Text;

static void
clear_text (Text *self)
{
  g_clear_object (&self->layout);
}

static PangoLayout *
layout_new (GtkWidget *widget, gboolean bold)
{
  PangoLayout *layout = gtk_widget_create_pango_layout (widget, NULL);
  PangoAttrList *attributes = pango_attr_list_new ();

  pango_attr_list_insert (attributes, pango_attr_font_features_new ("tnum=1"));
  if (bold)
    pango_attr_list_insert (attributes, pango_attr_weight_new (PANGO_WEIGHT_BOLD));
  pango_layout_set_attributes (layout, attributes);
  pango_attr_list_unref (attributes);
  pango_context_set_base_dir (pango_layout_get_context (layout), PANGO_DIRECTION_LTR);
  pango_layout_context_changed (layout);
  return layout;
}

/* Returns: whether it said something else before. */
static gboolean
set_text (Text *self, GtkWidget *widget, const char *text, gboolean bold)
{
  if (self->layout != NULL && self->bold == bold && strcmp (pango_layout_get_text (self->layout), text) == 0)
    return FALSE;
  if (self->layout == NULL || self->bold != bold)
    {
      clear_text (self);
      self->layout = layout_new (widget, bold);
      self->bold = bold;
    }
  pango_layout_set_text (self->layout, text, -1);
  pango_layout_set_width (self->layout, -1);
  pango_layout_set_ellipsize (self->layout, PANGO_ELLIPSIZE_END);
  pango_layout_get_pixel_size (self->layout, &self->whole_width, &self->height);
  self->width = self->whole_width;
  return TRUE;
}

/* Ends it in dots where @room is too little. */
static void
fit_text (Text *self, double room)
{
  int width = (int) fmin (fmax (room, 0.0), self->whole_width);

  if (self->layout == NULL || width == self->width)
    return;
  self->width = width;
  pango_layout_set_width (self->layout, width < self->whole_width ? width * PANGO_SCALE : -1);
}

/* Its box is centred on the row; align 0 from @x on, 1 ends there. Where the row is mirrored it still
 * begins with the name, on the right, and figures keep their signs in front. */
static void
draw_text (const Text *self, GtkWidget *widget, GtkSnapshot *snapshot, double opacity, double x, double align)
{
  GdkRGBA ink;

  if (self->layout == NULL || self->width == 0)
    return;
  if (is_mirrored (widget))
    {
      x = gtk_widget_get_width (widget) - x;
      align = 1.0 - align;
    }
  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &ink);
  ink.alpha *= (float) opacity;
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (
    (float) (x - align * self->width), (float) ((gtk_widget_get_height (widget) - self->height) / 2.0)));
  gtk_snapshot_append_layout (snapshot, self->layout, &ink);
  gtk_snapshot_restore (snapshot);
}

/* One text a column, then the name. A mast's row has its name and, in the first place, its way. */
#define NAME DWN_N_COLUMNS
#define WAY 0
#define N_TEXTS (DWN_N_COLUMNS + 1)

struct _DwnStationRow {
  GtkWidget parent_instance;
  DwnDocument *document;
  DwnStationItem *item;

  /* What was drawn last. */
  Text text[N_TEXTS];
  DwnMark mark;
  double margin_db, sigma_db; /* in tenths, a third of a pixel; NaN: no margin */
  gboolean selected;
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
draw_margin (const DwnStationRow *self, cairo_t *cr, const DwnLook *look, const DwnColumnPlaces *places,
             double middle)
{
  double needed = x_of_db (places, 0.0);
  double from = x_of_db (places, self->margin_db - self->sigma_db);
  double to = x_of_db (places, self->margin_db + self->sigma_db);
  gboolean short_of = self->margin_db < 0.0;

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
  cairo_arc (cr, x_of_db (places, self->margin_db), middle, 3.8, 0, 2 * G_PI);
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

static const char *
mast_name (const DwnStation *station)
{
  return station->site[0] != '\0' ? station->site : station->name;
}

static gboolean
look_at_mast (DwnStationRow *self, const DwnFindings *findings, guint i)
{
  GtkWidget *widget = GTK_WIDGET (self);
  g_autofree char *way = dwn_word_way (dwn_document_wording (self->document), &findings->fields->arrival[i]);
  gboolean news = set_text (&self->text[NAME], widget, mast_name (&findings->plan->stations->station[i]), TRUE);

  return set_text (&self->text[WAY], widget, way, FALSE) || news;
}

static gboolean
look_at_texts (DwnStationRow *self, const DwnFindings *findings, guint i)
{
  GtkWidget *widget = GTK_WIDGET (self);
  guint chosen = dwn_columns_chosen (dwn_document_settings (self->document));
  gboolean news = set_text (&self->text[NAME], widget, findings->plan->stations->station[i].name, self->mark.wanted);

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if ((chosen & DWN_COLUMN_BIT (c)) != 0)
      {
        g_autofree char *text = dwn_column_text (dwn_document_wording (self->document), findings, i, (DwnColumn) c);
        news |= set_text (&self->text[c], widget, text, FALSE);
      }
  return news;
}

static double
in_tenths (double db)
{
  return isfinite (db) ? round (db * 10.0) / 10.0 : (double) NAN;
}

static gboolean
differ (double a_db, double b_db)
{
  return isnan (a_db) || isnan (b_db) ? isnan (a_db) != isnan (b_db) : fabs (a_db - b_db) > 0.05;
}

static gboolean
look_at_station (DwnStationRow *self, const DwnFindings *findings, guint i)
{
  DwnPlanView view = dwn_document_view (self->document);
  const DwnReception *reception = reception_of (findings, i);
  gboolean selected = dwn_document_selected (self->document) == (int) i;
  DwnMark mark = dwn_plan_mark (&view, i);
  double margin_db = in_tenths (reception != NULL ? reception->margin_db : (double) NAN);
  double sigma_db = in_tenths (reception != NULL ? reception->sigma_db : (double) NAN);
  gboolean news = selected != self->selected || differ (margin_db, self->margin_db)
                  || differ (sigma_db, self->sigma_db) || mark.wanted != self->mark.wanted || mark.band != self->mark.band
                  || dwn_chance_class (mark.chance) != dwn_chance_class (self->mark.chance);

  self->mark = mark;
  self->selected = selected;
  self->margin_db = margin_db;
  self->sigma_db = sigma_db;
  return look_at_texts (self, findings, i) || news;
}

/* Returns: whether the row would be drawn otherwise than it was. */
static gboolean
look_again (DwnStationRow *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);

  if (self->item == NULL || plan == NULL || self->item->station >= plan->stations->n)
    return FALSE;
  DwnFindings findings = dwn_document_findings (self->document);
  return self->item->is_mast ? look_at_mast (self, &findings, self->item->station)
                             : look_at_station (self, &findings, self->item->station);
}

static void
snapshot_texts (DwnStationRow *self, GtkSnapshot *snapshot, const DwnColumnPlaces *places)
{
  GtkWidget *widget = GTK_WIDGET (self);

  fit_text (&self->text[NAME], places->name_to - places->name);
  draw_text (&self->text[NAME], widget, snapshot, 1.0, places->name, 0.0);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if (!isnan (places->end[c]) && c != DWN_COLUMN_LINE)
      draw_text (&self->text[c], widget, snapshot, is_quiet ((DwnColumn) c) ? QUIET : 1.0, places->end[c], 1.0);
}

static void
snapshot_station (DwnStationRow *self, GtkSnapshot *snapshot)
{
  GtkWidget *widget = GTK_WIDGET (self);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  DwnLook look = dwn_widget_look (widget);
  DwnColumnPlaces places;
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height));

  dwn_columns_place (dwn_columns_chosen (dwn_document_settings (self->document)), width, dwn_look_unit (&look), &places);
  if (is_mirrored (widget))
    cairo_transform (cr, &(cairo_matrix_t) { .xx = -1.0, .yy = 1.0, .x0 = width });
  if (self->selected)
    draw_selection (cr, &look, width, height);
  if (has_line (&places))
    draw_scale (cr, &look, &places, height);
  dwn_mark_paint (&self->mark, cr, places.mark, height / 2.0, DWN_MARK_RADIUS * dwn_look_unit (&look), look.foreground, look.window);
  if (has_line (&places) && !isnan (self->margin_db))
    draw_margin (self, cr, &look, &places, height / 2.0);
  cairo_destroy (cr);
  snapshot_texts (self, snapshot, &places);
}

static void
snapshot_mast (DwnStationRow *self, GtkSnapshot *snapshot)
{
  GtkWidget *widget = GTK_WIDGET (self);
  Text *name = &self->text[NAME], *way = &self->text[WAY];
  double side = SIDE * unit_of (widget), width = gtk_widget_get_width (widget);

  fit_text (name, width - 2 * side);
  fit_text (way, width - 3.25 * side - name->width);
  draw_text (name, widget, snapshot, 1.0, side, 0.0);
  draw_text (way, widget, snapshot, 0.75, 2.25 * side + name->width, 0.0);
}

static void
dwn_station_row_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnStationRow *self = DWN_STATION_ROW (widget);

  look_again (self);
  if (self->item == NULL)
    return;
  if (self->item->is_mast)
    snapshot_mast (self, snapshot);
  else
    snapshot_station (self, snapshot);
}

static void
dwn_station_row_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                         int *natural, int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? (int) ceil (ROW_HEIGHT * unit_of (widget)) : LEAST_WIDTH;
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

static void
forget_texts (DwnStationRow *self)
{
  for (guint i = 0; i < N_TEXTS; i++)
    clear_text (&self->text[i]);
}

void
dwn_station_row_set_item (DwnStationRow *self, DwnStationItem *item)
{
  g_return_if_fail (DWN_IS_STATION_ROW (self));

  g_set_object (&self->item, item);
  forget_texts (self);
  if (item != NULL)
    name_row (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
dwn_station_row_refresh (DwnStationRow *self)
{
  g_return_if_fail (DWN_IS_STATION_ROW (self));

  if (look_again (self))
    gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
dwn_station_row_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_station_row_parent_class)->css_changed (widget, change);
  forget_texts (DWN_STATION_ROW (widget)); /* set in the old font */
}

static void
dwn_station_row_dispose (GObject *object)
{
  DwnStationRow *self = DWN_STATION_ROW (object);

  forget_texts (self);
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
  widget_class->css_changed = dwn_station_row_css_changed;
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
  g_signal_connect_object (document, "selected", G_CALLBACK (dwn_station_row_refresh), self,
                           G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}

struct _DwnStationHead {
  GtkWidget parent_instance;
  DwnDocument *document;
};

G_DEFINE_FINAL_TYPE (DwnStationHead, dwn_station_head, GTK_TYPE_WIDGET)

static void
draw_head (GtkWidget *widget, GtkSnapshot *snapshot, const char *words, gboolean bold, double x, double align)
{
  Text text = { NULL };

  set_text (&text, widget, words, bold);
  draw_text (&text, widget, snapshot, QUIET, x, align);
  clear_text (&text);
}

static void
dwn_station_head_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  DwnDocument *document = DWN_STATION_HEAD (widget)->document;
  DwnColumnPlaces places;

  dwn_columns_place (dwn_columns_chosen (dwn_document_settings (document)), gtk_widget_get_width (widget),
                     unit_of (widget), &places);
  draw_head (widget, snapshot, _("Station"), TRUE, places.name, 0.0);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if (!isnan (places.end[c]))
      {
        g_autofree char *head = dwn_column_head (dwn_document_wording (document), (DwnColumn) c, places.narrow);
        draw_head (widget, snapshot, head, TRUE, places.end[c], 1.0);
      }
  if (!has_line (&places))
    return;
  draw_head (widget, snapshot, _("needed"), TRUE, x_of_db (&places, 0.0), 0.5);
  if (places.line_to - places.line_from > WIDE_LINE * unit_of (widget))
    draw_head (widget, snapshot, "+20", FALSE, x_of_db (&places, NEEDED_LABEL_DB), 0.5);
}

static void
dwn_station_head_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
                          int *natural, int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? (int) ceil (ROW_HEIGHT * unit_of (widget)) : LEAST_WIDTH;
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
