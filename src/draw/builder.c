#include "draw/builder.h"

#include <math.h>

#include "draw/scene-private.h"

#define HALO_WIDTH 3.5 /* u */
#define HALO_ALPHA 0.9

/* Below the baseline a label is taken to reach this far, as a multiple of its size. */
#define DESCENT 0.22

struct _DwnBuilder {
  DwnLook look;
  PangoContext *context;
  cairo_surface_t *surface; /* never drawn on: the path is made on it */
  cairo_t *cr;
  DwnScene *scene;
  DwnLayer layer;
  double cap;
  GArray *clips; /* of DwnRect, in the current layer */
};

/* Hinted metrics differ between screen and paper, and labels would collide differently. */
static PangoContext *
create_context (PangoContext *like, const DwnLook *look)
{
  PangoContext *context = pango_font_map_create_context (pango_context_get_font_map (like));
  cairo_font_options_t *options = cairo_font_options_create ();
  const cairo_font_options_t *own = pango_cairo_context_get_font_options (like);

  if (own != NULL)
    cairo_font_options_merge (options, own);
  cairo_font_options_set_hint_metrics (options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style (options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_antialias (options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options (context, options);
  cairo_font_options_destroy (options);
  pango_context_set_round_glyph_positions (context, FALSE);
  pango_context_set_language (context, pango_context_get_language (like));
  pango_context_set_base_dir (context,
                              look->right_to_left ? PANGO_DIRECTION_RTL : PANGO_DIRECTION_LTR);
  return context;
}

static double
measure_cap (DwnBuilder *builder)
{
  DwnTextStyle style = { .size = 1, .bold = FALSE };
  g_auto (DwnText) text = dwn_builder_set_text (builder, "H", &style);
  PangoRectangle ink;

  pango_layout_get_extents (text.layout, &ink, NULL);
  return pango_units_to_double (ink.height) / builder->look.base;
}

DwnBuilder *
dwn_builder_new (const DwnLook *look, PangoContext *context, double width, double height)
{
  g_return_val_if_fail (look != NULL, NULL);
  g_return_val_if_fail (PANGO_IS_CONTEXT (context), NULL);
  g_return_val_if_fail (width > 0 && height > 0, NULL);

  DwnBuilder *builder = g_new0 (DwnBuilder, 1);

  builder->look = *look;
  builder->context = create_context (context, look);
  builder->surface = cairo_recording_surface_create (CAIRO_CONTENT_ALPHA, NULL);
  builder->cr = cairo_create (builder->surface);
  builder->scene = dwn_scene_alloc (width, height, look->ground);
  builder->clips = g_array_new (FALSE, FALSE, sizeof (DwnRect));
  builder->cap = measure_cap (builder);
  return builder;
}

DwnScene *
dwn_builder_finish (DwnBuilder *builder)
{
  g_return_val_if_fail (builder != NULL, NULL);
  g_return_val_if_fail (builder->clips->len == 0, NULL);

  DwnScene *scene = builder->scene;

  cairo_destroy (builder->cr);
  cairo_surface_destroy (builder->surface);
  g_object_unref (builder->context);
  g_array_unref (builder->clips);
  g_free (builder);
  return scene;
}

const DwnLook *
dwn_builder_look (const DwnBuilder *builder)
{
  return &builder->look;
}

double
dwn_builder_cap (const DwnBuilder *builder)
{
  return builder->cap;
}

void
dwn_builder_set_layer (DwnBuilder *builder, DwnLayer layer)
{
  g_return_if_fail (layer < DWN_N_LAYERS);
  g_return_if_fail (builder->clips->len == 0);

  builder->layer = layer;
}

cairo_t *
dwn_builder_path (DwnBuilder *builder)
{
  return builder->cr;
}

static DwnRect
intersect (const DwnRect *a, const DwnRect *b)
{
  double x0 = fmax (a->x, b->x), y0 = fmax (a->y, b->y);
  double x1 = fmin (a->x + a->width, b->x + b->width);
  double y1 = fmin (a->y + a->height, b->y + b->height);

  return (DwnRect) { x0, y0, x1 - x0, y1 - y0 };
}

static void
extend (DwnBuilder *builder, DwnRect box)
{
  DwnRect *all = &builder->scene->extents[builder->layer];

  if (builder->clips->len > 0)
    box = intersect (&box, &g_array_index (builder->clips, DwnRect, builder->clips->len - 1));
  if (box.width < 0 || box.height < 0)
    return;
  if (all->width < 0)
    {
      *all = box;
      return;
    }
  double right = fmax (all->x + all->width, box.x + box.width);
  double bottom = fmax (all->y + all->height, box.y + box.height);

  all->x = fmin (all->x, box.x);
  all->y = fmin (all->y, box.y);
  all->width = right - all->x;
  all->height = bottom - all->y;
}

static void
add_item (DwnBuilder *builder, const DwnItem *item)
{
  g_array_append_vals (builder->scene->items[builder->layer], item, 1);
}

static DwnRect
path_box (cairo_t *cr, double grow)
{
  double x0, y0, x1, y1;

  cairo_path_extents (cr, &x0, &y0, &x1, &y1);
  return (DwnRect) { x0 - grow, y0 - grow, x1 - x0 + 2 * grow, y1 - y0 + 2 * grow };
}

void
dwn_builder_draw (DwnBuilder *builder, const DwnInk *ink)
{
  g_return_if_fail (builder != NULL);
  g_return_if_fail (ink != NULL);

  DwnItem item = { .kind = DWN_ITEM_PATH, .ink = *ink, .path = cairo_copy_path (builder->cr) };

  extend (builder, path_box (builder->cr, ink->width / 2));
  add_item (builder, &item);
  cairo_new_path (builder->cr);
}

void
dwn_builder_line (DwnBuilder *builder, double x0, double y0, double x1, double y1,
                  DwnColour colour, double width)
{
  DwnInk ink = dwn_ink_stroke (colour, width);

  cairo_move_to (builder->cr, x0, y0);
  cairo_line_to (builder->cr, x1, y1);
  dwn_builder_draw (builder, &ink);
}

void
dwn_builder_clip_begin (DwnBuilder *builder)
{
  DwnItem item = { .kind = DWN_ITEM_CLIP_BEGIN, .path = cairo_copy_path (builder->cr) };
  DwnRect box = path_box (builder->cr, 0);

  if (builder->clips->len > 0)
    box = intersect (&box, &g_array_index (builder->clips, DwnRect, builder->clips->len - 1));
  g_array_append_val (builder->clips, box);
  add_item (builder, &item);
  cairo_new_path (builder->cr);
}

void
dwn_builder_clip_end (DwnBuilder *builder)
{
  g_return_if_fail (builder->clips->len > 0);

  DwnItem item = { .kind = DWN_ITEM_CLIP_END };

  g_array_set_size (builder->clips, builder->clips->len - 1);
  add_item (builder, &item);
}

static void
apply_style (DwnBuilder *builder, PangoLayout *layout, const DwnTextStyle *style)
{
  g_autoptr (PangoFontDescription) font = pango_font_description_new ();
  g_autoptr (PangoAttrList) attributes = NULL;

  pango_font_description_set_family (font, builder->look.family);
  pango_font_description_set_weight (font, style->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size (font, builder->look.base * style->size * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);

  /* Markup has set its own attributes; the figures join them. */
  attributes = pango_layout_get_attributes (layout) != NULL
                 ? pango_attr_list_copy (pango_layout_get_attributes (layout))
                 : pango_attr_list_new ();
  pango_attr_list_insert_before (attributes, pango_attr_font_features_new ("tnum=1"));
  pango_layout_set_attributes (layout, attributes);
}

DwnText
dwn_builder_set_text (DwnBuilder *builder, const char *string, const DwnTextStyle *style)
{
  DwnText text = { .layout = pango_layout_new (builder->context) };
  PangoRectangle logical;

  if (style->markup)
    pango_layout_set_markup (text.layout, string != NULL ? string : "", -1);
  else
    pango_layout_set_text (text.layout, string != NULL ? string : "", -1);
  apply_style (builder, text.layout, style);
  if (style->wrap > 0)
    {
      pango_layout_set_width (text.layout, pango_units_from_double (style->wrap));
      pango_layout_set_wrap (text.layout,
                             style->whole_words ? PANGO_WRAP_WORD : PANGO_WRAP_WORD_CHAR);
    }
  pango_layout_get_extents (text.layout, NULL, &logical);
  text.width = pango_units_to_double (logical.width);
  text.height = pango_units_to_double (logical.height);
  text.baseline = pango_units_to_double (pango_layout_get_baseline (text.layout));
  return text;
}

void
dwn_text_clear (DwnText *text)
{
  g_clear_object (&text->layout);
}

DwnRect
dwn_text_rect (const DwnBuilder *builder, const DwnText *text, const DwnTextStyle *style,
               double x, double y, double align)
{
  double size = builder->look.base * style->size;
  double below = pango_layout_get_line_count (text->layout) > 1 ? text->height - text->baseline
                                                                : DESCENT * size;

  return (DwnRect) { x - align * text->width, y - builder->cap * size, text->width,
                     builder->cap * size + below };
}

/* Ink may leave the logical box: slanted letters, accents on capitals. */
static DwnRect
ink_box (const DwnText *text, double x, double y, double grow)
{
  PangoRectangle ink;

  pango_layout_get_extents (text->layout, &ink, NULL);
  return (DwnRect) { x + pango_units_to_double (ink.x) - grow,
                     y - text->baseline + pango_units_to_double (ink.y) - grow,
                     pango_units_to_double (ink.width) + 2 * grow,
                     pango_units_to_double (ink.height) + 2 * grow };
}

void
dwn_builder_add_text (DwnBuilder *builder, const DwnText *text, const DwnTextStyle *style,
                      double x, double y, double align)
{
  double halo = style->halo ? HALO_WIDTH * dwn_look_unit (&builder->look) : 0;
  PangoRectangle logical;

  /* A wrapped paragraph that runs from right to left stands at the far end of its width. */
  pango_layout_get_extents (text->layout, NULL, &logical);

  DwnItem item = {
    .kind = DWN_ITEM_TEXT,
    .text = g_object_ref (text->layout),
    .colour = style->colour,
    .halo = dwn_colour_alpha (builder->look.ground, HALO_ALPHA),
    .size = halo,
    .x = x - align * text->width - pango_units_to_double (logical.x),
    .y = y,
  };

  /* One unit for antialiasing. */
  extend (builder, ink_box (text, item.x, y, halo / 2 + 1));
  add_item (builder, &item);
}

DwnRect
dwn_builder_text (DwnBuilder *builder, const char *string, const DwnTextStyle *style,
                  double x, double y, double align)
{
  g_auto (DwnText) text = dwn_builder_set_text (builder, string, style);

  dwn_builder_add_text (builder, &text, style, x, y, align);
  return dwn_text_rect (builder, &text, style, x, y, align);
}

void
dwn_builder_mark (DwnBuilder *builder, const DwnMark *mark, double x, double y, double radius,
                  DwnColour ink)
{
  double reach = dwn_mark_reach (mark, radius) + 1;
  DwnItem item = {
    .kind = DWN_ITEM_MARK, .mark = *mark, .colour = ink, .halo = builder->look.ground,
    .size = radius, .x = x, .y = y,
  };

  extend (builder, (DwnRect) { x - reach, y - reach, 2 * reach, 2 * reach });
  add_item (builder, &item);
}

static DwnRect
transform (const DwnRect *box, double x, double y, double scale)
{
  return (DwnRect) { x + box->x * scale, y + box->y * scale, box->width * scale,
                     box->height * scale };
}

void
dwn_builder_scene (DwnBuilder *builder, const DwnScene *scene, double x, double y, double scale)
{
  DwnItem item = {
    .kind = DWN_ITEM_SCENE, .scene = dwn_scene_ref (scene), .size = scale, .x = x, .y = y
  };
  DwnRect box;

  if (dwn_scene_extents (scene, DWN_LAYER_ALL, &box))
    extend (builder, transform (&box, x, y, scale));
  add_item (builder, &item);
  for (guint i = 0; i < scene->regions->len; i++)
    {
      DwnRegion region = g_array_index (scene->regions, DwnRegion, i);

      region.bounds = transform (&region.bounds, x, y, scale);
      dwn_builder_region (builder, &region);
    }
}

void
dwn_builder_region (DwnBuilder *builder, const DwnRegion *region)
{
  DwnRegion placed = *region;

  placed.layer = builder->layer;
  g_array_append_val (builder->scene->regions, placed);
}

DwnInk
dwn_ink_stroke (DwnColour colour, double width)
{
  return (DwnInk) { .stroke = colour, .width = width };
}

DwnInk
dwn_ink_fill (DwnColour colour)
{
  return (DwnInk) { .fill = colour };
}
