#include "ink.h"

DwnRect
dwn_ink_of (const DwnScene *scene, DwnLayer layer)
{
  cairo_rectangle_t page = { -2000, -2000, 6000, 6000 };
  cairo_surface_t *recording = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &page);
  cairo_t *cr = cairo_create (recording);
  DwnRect ink;

  dwn_scene_paint (scene, layer, cr);
  cairo_recording_surface_ink_extents (recording, &ink.x, &ink.y, &ink.width, &ink.height);
  cairo_destroy (cr);
  cairo_surface_destroy (recording);
  return ink;
}

void
dwn_assert_inside_page (const DwnScene *scene)
{
  DwnRect ink = dwn_ink_of (scene, DWN_LAYER_ALL);

  g_assert_cmpfloat (ink.width, >, dwn_scene_width (scene) / 2);
  g_assert_cmpfloat (ink.x, >=, 0);
  g_assert_cmpfloat (ink.y, >=, 0);
  g_assert_cmpfloat (ink.x + ink.width, <=, dwn_scene_width (scene));
  g_assert_cmpfloat (ink.y + ink.height, <=, dwn_scene_height (scene));
}
