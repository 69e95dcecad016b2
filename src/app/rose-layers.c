#include "app/rose-layers.h"

#include <math.h>

/* Between the pictures that are kept come the aims. */
typedef enum {
  PICTURE_GROUND,   /* rings, rim, skyline */
  PICTURE_STATIONS,
  PICTURE_OVERLAY,  /* card, fan */
} Picture;
#define N_PICTURES 3

static const DwnLayer layer_of[N_PICTURES] = { DWN_LAYER_STATIC, DWN_LAYER_STATIONS, DWN_LAYER_OVERLAY };

struct _DwnRoseLayers {
  DwnScene *scene, *moving;
  DwnRosePlaces *places;
  GskRenderNode *picture[N_PICTURES]; /* NULL: empty */
  int width, height, scale;
  guint covered;   /* figures of the rim under handles when the ground was painted */
};

DwnRoseLayers *
dwn_rose_layers_new (void)
{
  DwnRoseLayers *layers = g_new0 (DwnRoseLayers, 1);

  layers->places = dwn_rose_places_new ();
  return layers;
}

static void
forget_pictures (DwnRoseLayers *layers)
{
  for (guint i = 0; i < N_PICTURES; i++)
    g_clear_pointer (&layers->picture[i], gsk_render_node_unref);
}

void
dwn_rose_layers_free (DwnRoseLayers *layers)
{
  forget_pictures (layers);
  g_clear_pointer (&layers->scene, dwn_scene_unref);
  g_clear_pointer (&layers->moving, dwn_scene_unref);
  dwn_rose_places_free (layers->places);
  g_free (layers);
}

/* The part of the window that a layer can touch, on whole units. FALSE where it is empty. */
static gboolean
bounds_of (const DwnScene *scene, DwnLayer layer, int width, int height, graphene_rect_t *bounds)
{
  DwnRect ink;

  if (!dwn_scene_extents (scene, layer, &ink))
    return FALSE;
  double left = fmax (floor (ink.x), 0.0), top = fmax (floor (ink.y), 0.0);
  double right = fmin (ceil (ink.x + ink.width), width), bottom = fmin (ceil (ink.y + ink.height), height);
  graphene_rect_init (bounds, (float) left, (float) top, (float) (right - left), (float) (bottom - top));
  return right > left && bottom > top;
}

/* The layer painted into an image of our own, in a node that paints the image: what the cairo
 * renderer does fastest, for a node stays while its picture does. */
static GskRenderNode *
picture_new (const DwnRoseLayers *layers, DwnLayer layer)
{
  graphene_rect_t bounds;

  if (!bounds_of (layers->scene, layer, layers->width, layers->height, &bounds))
    return NULL;
  double x = (double) bounds.origin.x, y = (double) bounds.origin.y;
  cairo_surface_t *surface = cairo_image_surface_create (
    CAIRO_FORMAT_ARGB32, (int) bounds.size.width * layers->scale, (int) bounds.size.height * layers->scale);
  cairo_surface_set_device_scale (surface, layers->scale, layers->scale);
  cairo_t *cr = cairo_create (surface);
  cairo_translate (cr, -x, -y);
  dwn_scene_paint (layers->scene, layer, cr);
  cairo_destroy (cr);

  GskRenderNode *node = gsk_cairo_node_new (&bounds);
  cr = gsk_cairo_node_get_draw_context (node);
  cairo_set_source_surface (cr, surface, x, y);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
  return node;
}

void
dwn_rose_layers_move (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look, PangoContext *text)
{
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new_moving (view);

  g_clear_pointer (&layers->moving, dwn_scene_unref);
  layers->moving = dwn_rose_layout_moving (&rose->data, look, text, layers->width, layers->height, -1);
}

static void
set_scenes (DwnRoseLayers *layers, DwnScene *scene, DwnScene *moving)
{
  g_clear_pointer (&layers->scene, dwn_scene_unref);
  g_clear_pointer (&layers->moving, dwn_scene_unref);
  layers->scene = scene;
  layers->moving = moving;
}

static void
paint (DwnRoseLayers *layers, Picture picture)
{
  g_clear_pointer (&layers->picture[picture], gsk_render_node_unref);
  layers->picture[picture] = picture_new (layers, layer_of[picture]);
}

static guint
covered_of (const DwnRoseLayers *layers, const DwnPlanRose *rose, const DwnLook *look, PangoContext *text)
{
  return dwn_rose_covered_figures (&rose->data, look, text, layers->width, layers->height);
}

void
dwn_rose_layers_lay_out (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look, PangoContext *text,
                         int width, int height, int scale)
{
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (view);

  layers->width = width;
  layers->height = height;
  layers->scale = scale;
  layers->covered = covered_of (layers, rose, look, text);
  set_scenes (layers, dwn_rose_layout (&rose->data, look, text, width, height, layers->places),
              dwn_rose_layout_moving (&rose->data, look, text, width, height, -1));
  for (guint i = 0; i < N_PICTURES; i++)
    paint (layers, i);
}

void
dwn_rose_layers_follow (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look, PangoContext *text)
{
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (view);
  guint covered = covered_of (layers, rose, look, text);

  dwn_rose_places_hold (layers->places, TRUE);
  set_scenes (layers,
              dwn_rose_layout (&rose->data, look, text, layers->width, layers->height, layers->places),
              dwn_rose_layout_moving (&rose->data, look, text, layers->width, layers->height, -1));
  dwn_rose_places_hold (layers->places, FALSE);
  if (covered != layers->covered)
    paint (layers, PICTURE_GROUND);
  paint (layers, PICTURE_STATIONS);
  paint (layers, PICTURE_OVERLAY);
  layers->covered = covered;
}

static void
append_picture (const DwnRoseLayers *layers, GtkSnapshot *snapshot, Picture picture)
{
  if (layers->picture[picture] != NULL)
    gtk_snapshot_append_node (snapshot, layers->picture[picture]);
}

void
dwn_rose_layers_snapshot (DwnRoseLayers *layers, GtkSnapshot *snapshot)
{
  graphene_rect_t bounds;

  append_picture (layers, snapshot, PICTURE_GROUND);
  if (layers->moving != NULL
      && bounds_of (layers->moving, DWN_LAYER_MOVING, layers->width, layers->height, &bounds))
    dwn_snapshot_scene (snapshot, layers->moving, DWN_LAYER_MOVING, &bounds);
  append_picture (layers, snapshot, PICTURE_STATIONS);
  append_picture (layers, snapshot, PICTURE_OVERLAY);
}

const DwnScene *
dwn_rose_layers_scene (DwnRoseLayers *layers)
{
  return layers->scene;
}

const DwnRegion *
dwn_rose_layers_handle (DwnRoseLayers *layers, guint antenna)
{
  return layers->moving != NULL ? dwn_scene_find (layers->moving, DWN_REGION_AIM, antenna) : NULL;
}

/* Aims lie under the marks, and so they give way to them. */
const DwnRegion *
dwn_rose_layers_hit (DwnRoseLayers *layers, double x, double y)
{
  const DwnRegion *region = layers->scene != NULL ? dwn_scene_hit (layers->scene, x, y) : NULL;
  const DwnRegion *aim = layers->moving != NULL ? dwn_scene_hit (layers->moving, x, y) : NULL;

  if (region != NULL && region->kind != DWN_REGION_AIM && region->kind != DWN_REGION_FIGURE)
    return region;
  return aim != NULL && aim->kind == DWN_REGION_AIM ? aim : NULL;
}
