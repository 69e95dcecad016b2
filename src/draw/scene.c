#include "draw/scene.h"

#include <math.h>

#include "draw/scene-private.h"

/* A halo on pixels is the glyphs again, shifted around a circle: five times faster than stroking
 * their outlines (0.06 against 0.34 ms a name, measured with cairo 1.16). */
#define HALO_SHIFTS 12

static void
clear_item (DwnItem *item)
{
  g_clear_pointer (&item->path, cairo_path_destroy);
  g_clear_object (&item->text);
  g_clear_pointer (&item->scene, dwn_scene_unref);
}

DwnScene *
dwn_scene_alloc (double width, double height, DwnColour ground)
{
  DwnScene *scene = g_atomic_rc_box_new0 (DwnScene);

  scene->width = width;
  scene->height = height;
  scene->ground = ground;
  for (guint i = 0; i < DWN_N_LAYERS; i++)
    {
      scene->items[i] = g_array_new (FALSE, FALSE, sizeof (DwnItem));
      g_array_set_clear_func (scene->items[i], (GDestroyNotify) clear_item);
      scene->extents[i].width = scene->extents[i].height = -1;
    }
  scene->regions = g_array_new (FALSE, FALSE, sizeof (DwnRegion));
  return scene;
}

static void
free_scene (DwnScene *scene)
{
  for (guint i = 0; i < DWN_N_LAYERS; i++)
    g_array_unref (scene->items[i]);
  g_array_unref (scene->regions);
}

DwnScene *
dwn_scene_ref (const DwnScene *scene)
{
  g_return_val_if_fail (scene != NULL, NULL);

  return g_atomic_rc_box_acquire ((gpointer) scene);
}

void
dwn_scene_unref (DwnScene *scene)
{
  g_return_if_fail (scene != NULL);

  g_atomic_rc_box_release_full (scene, (GDestroyNotify) free_scene);
}

double
dwn_scene_width (const DwnScene *scene)
{
  g_return_val_if_fail (scene != NULL, (double) NAN);

  return scene->width;
}

double
dwn_scene_height (const DwnScene *scene)
{
  g_return_val_if_fail (scene != NULL, (double) NAN);

  return scene->height;
}

static void
set_source (cairo_t *cr, DwnColour colour)
{
  cairo_set_source_rgba (cr, colour.red, colour.green, colour.blue, colour.alpha);
}

/* Lines at 45° over the current path, which is kept. */
static void
paint_hatch (cairo_t *cr, const DwnInk *ink)
{
  double x0, y0, x1, y1;
  cairo_path_t *shape = cairo_copy_path (cr);

  cairo_fill_extents (cr, &x0, &y0, &x1, &y1);
  cairo_save (cr);
  cairo_clip (cr);
  for (double x = x0 - (y1 - y0); x < x1; x += ink->hatch_pitch)
    {
      cairo_move_to (cr, x, y1);
      cairo_line_to (cr, x + (y1 - y0), y0);
    }
  set_source (cr, ink->hatch);
  cairo_set_line_width (cr, ink->hatch_pitch * 0.25);
  cairo_stroke (cr);
  cairo_restore (cr);
  cairo_append_path (cr, shape);
  cairo_path_destroy (shape);
}

static void
paint_path (const DwnItem *item, cairo_t *cr)
{
  const DwnInk *ink = &item->ink;
  double dashes[] = { ink->dash, ink->gap };

  cairo_new_path (cr);
  cairo_append_path (cr, item->path);
  if (ink->fill.alpha > 0)
    {
      set_source (cr, ink->fill);
      cairo_fill_preserve (cr);
    }
  if (ink->hatch_pitch > 0)
    paint_hatch (cr, ink);
  if (ink->width > 0 && ink->stroke.alpha > 0)
    {
      set_source (cr, ink->stroke);
      cairo_set_line_width (cr, ink->width);
      cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
      cairo_set_line_cap (cr,
                          ink->butt || ink->dash > 0 ? CAIRO_LINE_CAP_BUTT : CAIRO_LINE_CAP_ROUND);
      cairo_set_dash (cr, dashes, ink->dash > 0 ? 2 : 0, 0);
      cairo_stroke (cr);
    }
  cairo_new_path (cr);
}

static gboolean
keeps_outlines (cairo_t *cr)
{
  switch (cairo_surface_get_type (cairo_get_target (cr)))
    {
    case CAIRO_SURFACE_TYPE_PDF:
    case CAIRO_SURFACE_TYPE_PS:
    case CAIRO_SURFACE_TYPE_SVG:
      return TRUE;
    default:
      return FALSE;
    }
}

static void
paint_halo (const DwnItem *item, double top, cairo_t *cr)
{
  set_source (cr, item->halo);
  if (keeps_outlines (cr))
    {
      cairo_move_to (cr, item->x, top);
      pango_cairo_layout_path (cr, item->text);
      cairo_set_line_width (cr, item->size);
      cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
      cairo_set_dash (cr, NULL, 0, 0);
      cairo_stroke (cr);
      return;
    }
  for (guint i = 0; i < HALO_SHIFTS; i++)
    {
      double angle = 2 * G_PI * i / HALO_SHIFTS;

      cairo_move_to (cr, item->x + item->size / 2 * cos (angle),
                     top + item->size / 2 * sin (angle));
      pango_cairo_show_layout (cr, item->text);
    }
}

static void
paint_text (const DwnItem *item, cairo_t *cr)
{
  double top = item->y - pango_units_to_double (pango_layout_get_baseline (item->text));

  if (item->size > 0)
    paint_halo (item, top, cr);
  set_source (cr, item->colour);
  cairo_move_to (cr, item->x, top);
  pango_cairo_show_layout (cr, item->text);
  cairo_new_path (cr);
}

static void
paint_item (const DwnItem *item, cairo_t *cr)
{
  switch (item->kind)
    {
    case DWN_ITEM_PATH:
      paint_path (item, cr);
      break;
    case DWN_ITEM_TEXT:
      paint_text (item, cr);
      break;
    case DWN_ITEM_MARK:
      dwn_mark_paint (&item->mark, cr, item->x, item->y, item->size, item->colour, item->halo);
      break;
    case DWN_ITEM_CLIP_BEGIN:
      cairo_save (cr);
      cairo_new_path (cr);
      cairo_append_path (cr, item->path);
      cairo_clip (cr);
      break;
    case DWN_ITEM_CLIP_END:
      cairo_restore (cr);
      break;
    case DWN_ITEM_SCENE:
      cairo_save (cr);
      cairo_translate (cr, item->x, item->y);
      cairo_scale (cr, item->size, item->size);
      dwn_scene_paint (item->scene, DWN_LAYER_ALL, cr);
      cairo_restore (cr);
      break;
    default:
      g_assert_not_reached ();
    }
}

void
dwn_scene_paint (const DwnScene *scene, DwnLayer layer, cairo_t *cr)
{
  g_return_if_fail (scene != NULL);
  g_return_if_fail (layer <= DWN_LAYER_ALL);
  g_return_if_fail (cr != NULL);

  cairo_save (cr);
  for (guint l = 0; l < DWN_N_LAYERS; l++)
    if (layer == l || layer == DWN_LAYER_ALL)
      for (guint i = 0; i < scene->items[l]->len; i++)
        paint_item (&g_array_index (scene->items[l], DwnItem, i), cr);
  cairo_restore (cr);
}

static void
join_rect (DwnRect *all, const DwnRect *one)
{
  double right = fmax (all->x + all->width, one->x + one->width);
  double bottom = fmax (all->y + all->height, one->y + one->height);

  if (one->width < 0)
    return;
  if (all->width < 0)
    {
      *all = *one;
      return;
    }
  all->x = fmin (all->x, one->x);
  all->y = fmin (all->y, one->y);
  all->width = right - all->x;
  all->height = bottom - all->y;
}

gboolean
dwn_scene_extents (const DwnScene *scene, DwnLayer layer, DwnRect *extents)
{
  g_return_val_if_fail (scene != NULL, FALSE);
  g_return_val_if_fail (layer <= DWN_LAYER_ALL, FALSE);

  DwnRect all = { 0, 0, -1, -1 };

  for (guint l = 0; l < DWN_N_LAYERS; l++)
    if (layer == l || layer == DWN_LAYER_ALL)
      join_rect (&all, &scene->extents[l]);
  if (extents != NULL)
    *extents = all.width < 0 ? (DwnRect) { 0 } : all;
  return all.width >= 0;
}

DwnScene *
dwn_scene_inset (const DwnScene *scene, double border)
{
  g_return_val_if_fail (scene != NULL, NULL);
  g_return_val_if_fail (border >= 0, NULL);

  DwnScene *inset = dwn_scene_alloc (scene->width + 2 * border, scene->height + 2 * border,
                                     scene->ground);
  DwnItem item = { .kind = DWN_ITEM_SCENE, .scene = dwn_scene_ref (scene), .size = 1,
                   .x = border, .y = border };
  DwnRect box;

  g_array_append_val (inset->items[DWN_LAYER_STATIC], item);
  if (dwn_scene_extents (scene, DWN_LAYER_ALL, &box))
    inset->extents[DWN_LAYER_STATIC] = (DwnRect) { box.x + border, box.y + border,
                                                   box.width, box.height };
  for (guint i = 0; i < scene->regions->len; i++)
    {
      DwnRegion region = g_array_index (scene->regions, DwnRegion, i);

      region.bounds.x += border;
      region.bounds.y += border;
      g_array_append_val (inset->regions, region);
    }
  return inset;
}

const DwnRegion *
dwn_scene_regions (const DwnScene *scene, guint *n_regions)
{
  g_return_val_if_fail (scene != NULL, NULL);
  g_return_val_if_fail (n_regions != NULL, NULL);

  *n_regions = scene->regions->len;
  return (const DwnRegion *) (void *) scene->regions->data;
}

gboolean
dwn_region_contains (const DwnRegion *region, double x, double y)
{
  g_return_val_if_fail (region != NULL, FALSE);

  const DwnRect *box = &region->bounds;
  double dx = (x - box->x) / box->width * 2 - 1, dy = (y - box->y) / box->height * 2 - 1;

  return region->round ? dx * dx + dy * dy <= 1 : fabs (dx) <= 1 && fabs (dy) <= 1;
}

gboolean
dwn_rect_overlaps (const DwnRect *a, const DwnRect *b)
{
  g_return_val_if_fail (a != NULL && b != NULL, FALSE);

  return a->x < b->x + b->width && b->x < a->x + a->width
         && a->y < b->y + b->height && b->y < a->y + a->height;
}

static double
centre_distance (const DwnRegion *region, double x, double y)
{
  return hypot (region->bounds.x + region->bounds.width / 2 - x,
                region->bounds.y + region->bounds.height / 2 - y);
}

const DwnRegion *
dwn_scene_hit (const DwnScene *scene, double x, double y)
{
  g_return_val_if_fail (scene != NULL, NULL);

  const DwnRegion *best = NULL;

  for (guint i = 0; i < scene->regions->len; i++)
    {
      const DwnRegion *region = &g_array_index (scene->regions, DwnRegion, i);

      if (!dwn_region_contains (region, x, y))
        continue;
      if (best == NULL || region->layer > best->layer
          || (region->layer == best->layer
              && centre_distance (region, x, y) <= centre_distance (best, x, y)))
        best = region;
    }
  return best;
}

const DwnRegion *
dwn_scene_find (const DwnScene *scene, DwnRegionKind kind, guint id)
{
  g_return_val_if_fail (scene != NULL, NULL);

  for (guint i = 0; i < scene->regions->len; i++)
    {
      const DwnRegion *region = &g_array_index (scene->regions, DwnRegion, i);

      if (region->kind == kind && region->id == id)
        return region;
    }
  return NULL;
}
