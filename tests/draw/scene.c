/* Scenes: what is painted, what is met, what is written. */
#include "draw/scene.h"

#include <gio/gio.h>
#include <glib/gstdio.h>
#include <string.h>

#include "draw/builder.h"
#include "example.h"

static DwnScene *
two_discs (void)
{
  PangoContext *text = dwn_example_text ();
  DwnLook look = dwn_look_light ();
  DwnBuilder *builder = dwn_builder_new (&look, text, 200, 100);
  DwnInk black = dwn_ink_fill ((DwnColour) { 0, 0, 0, 1 });
  DwnTextStyle style = { .size = DWN_SIZE_BASE, .colour = look.foreground, .halo = TRUE };

  dwn_builder_set_layer (builder, DWN_LAYER_STATIONS);
  for (guint i = 0; i < 2; i++)
    {
      DwnRegion region = { .kind = DWN_REGION_STATION, .id = i, .round = TRUE,
                           .bounds = { 40 + 20 * i, 40, 30, 30 }, .tab_order = (int) i };

      cairo_arc (dwn_builder_path (builder), 55 + 20 * i, 55, 15, 0, 2 * G_PI);
      dwn_builder_draw (builder, &black);
      dwn_builder_region (builder, &region);
    }
  dwn_builder_set_layer (builder, DWN_LAYER_OVERLAY);

  DwnRegion card = {
    .kind = DWN_REGION_CARD, .id = 7, .bounds = { 85, 40, 60, 30 }, .tab_order = -1
  };
  dwn_builder_region (builder, &card);
  dwn_builder_text (builder, "Ferncote 123", &style, 90, 60, 0);
  g_object_unref (text);
  return dwn_builder_finish (builder);
}

typedef struct {
  const char *name;
  double x, y;
  int kind; /* −1: nothing */
  guint id;
} HitCase;

static const HitCase hit_cases[] = {
  { "first", 50, 55, DWN_REGION_STATION, 0 },
  { "second", 80, 55, DWN_REGION_STATION, 1 },
  { "between-nearer-first", 64, 55, DWN_REGION_STATION, 0 },
  { "between-nearer-second", 66, 55, DWN_REGION_STATION, 1 },
  { "corner-of-round", 41, 41, -1, 0 },
  { "higher-layer-wins", 87, 55, DWN_REGION_CARD, 7 },
  { "corner-of-rectangle", 86, 41, DWN_REGION_CARD, 7 },
  { "outside", 10, 10, -1, 0 },
};

static void
test_hit (gconstpointer data)
{
  const HitCase *hit = data;
  g_autoptr (DwnScene) scene = two_discs ();
  const DwnRegion *region = dwn_scene_hit (scene, hit->x, hit->y);

  if (hit->kind < 0)
    {
      g_assert_null (region);
      return;
    }
  g_assert_nonnull (region);
  g_assert_cmpint (region->kind, ==, hit->kind);
  g_assert_cmpuint (region->id, ==, hit->id);
}

static void
test_layers (void)
{
  g_autoptr (DwnScene) scene = two_discs ();
  DwnRect box;

  g_assert_false (dwn_scene_extents (scene, DWN_LAYER_STATIC, &box));
  g_assert_cmpfloat (box.width, ==, 0);
  g_assert_true (dwn_scene_extents (scene, DWN_LAYER_STATIONS, &box));
  g_assert_cmpfloat_with_epsilon (box.x, 40, 1e-2);
  g_assert_cmpfloat_with_epsilon (box.width, 50, 1e-2);
  g_assert_cmpfloat (dwn_scene_width (scene), ==, 200);
  g_assert_cmpfloat (dwn_scene_height (scene), ==, 100);
}

/* Painting keeps nothing: neither in the scene nor in the context. */
static void
test_paint_leaves_context (void)
{
  g_autoptr (DwnScene) scene = two_discs ();
  cairo_surface_t *image = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 200, 100);
  cairo_t *cr = cairo_create (image);
  cairo_matrix_t matrix;

  cairo_set_line_width (cr, 3);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
  cairo_get_matrix (cr, &matrix);
  g_assert_cmpfloat (cairo_get_line_width (cr), ==, 3);
  g_assert_cmpfloat (matrix.xx, ==, 1);
  g_assert_cmpuint (cairo_get_reference_count (cr), ==, 1);
  g_assert_cmpint (cairo_status (cr), ==, CAIRO_STATUS_SUCCESS);
  cairo_destroy (cr);
  cairo_surface_destroy (image);
}

/* A scene within a scene is moved and scaled, and is met where it is seen. */
static void
test_embed (void)
{
  g_autoptr (DwnScene) inner = two_discs ();
  PangoContext *text = dwn_example_text ();
  DwnLook look = dwn_look_paper ();
  DwnBuilder *builder = dwn_builder_new (&look, text, 400, 300);

  dwn_builder_scene (builder, inner, 100, 50, 0.5);

  g_autoptr (DwnScene) outer = dwn_builder_finish (builder);
  const DwnRegion *region = dwn_scene_hit (outer, 100 + 0.5 * 50, 50 + 0.5 * 55);
  g_assert_nonnull (region);
  g_assert_cmpuint (region->id, ==, 0);
  g_assert_cmpfloat (region->bounds.width, ==, 15);
  g_object_unref (text);
}

/* A border moves everything, and what is met moves with it. */
static void
test_inset (void)
{
  g_autoptr (DwnScene) inner = two_discs ();
  g_autoptr (DwnScene) outer = dwn_scene_inset (inner, 12);
  DwnRect small, large;

  g_assert_cmpfloat (dwn_scene_width (outer), ==, 224);
  g_assert_cmpfloat (dwn_scene_height (outer), ==, 124);
  g_assert_true (dwn_scene_extents (inner, DWN_LAYER_ALL, &small));
  g_assert_true (dwn_scene_extents (outer, DWN_LAYER_ALL, &large));
  g_assert_cmpfloat (large.x, ==, small.x + 12);
  g_assert_cmpfloat (large.height, ==, small.height);
  g_assert_cmpuint (dwn_scene_hit (outer, 50 + 12, 55 + 12)->id, ==, 0);
}

typedef struct {
  const char *ending;
  const char *magic; /* what the format's standard says a file begins with */
} WriteCase;

/* ISO 32000-1 7.5.2; XML 1.0 2.8; ISO/IEC 15948 5.2. */
static const WriteCase write_cases[] = {
  { "pdf", "%PDF-" },
  { "svg", "<?xml" },
  { "png", "\x89PNG\r\n\x1a\n" },
};

static void
test_write (gconstpointer data)
{
  const WriteCase *write = data;
  g_autoptr (DwnScene) scene = two_discs ();
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("draw-XXXXXX", &error);
  g_autofree char *name = g_strconcat ("scene.", write->ending, NULL);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autofree char *contents = NULL;
  gsize length;

  g_assert_true (dwn_scene_write (scene, path, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_get_contents (path, &contents, &length, &error));
  g_assert_cmpuint (length, >, 200);
  g_assert_cmpmem (contents, strlen (write->magic), write->magic, strlen (write->magic));
  g_remove (path);
  g_rmdir (folder);
}

static void
test_write_refuses (void)
{
  g_autoptr (DwnScene) scene = two_discs ();
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_scene_write (scene, "scene.txt", &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED);
  g_clear_error (&error);
  g_assert_false (dwn_scene_write (scene, "/no such folder/scene.png", &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
}

/* Text is as wide on paper as on screen: the same string at twice the size is twice as wide. */
static void
test_text_scales (void)
{
  PangoContext *text = dwn_example_text ();
  DwnLook small = dwn_look_light (), large = small;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL };

  large.base *= 2;
  DwnBuilder *one = dwn_builder_new (&small, text, 10, 10),
             *two = dwn_builder_new (&large, text, 10, 10);
  g_auto (DwnText) narrow = dwn_builder_set_text (one, "Hollin Top −12.5 dB", &style);
  g_auto (DwnText) wide = dwn_builder_set_text (two, "Hollin Top −12.5 dB", &style);

  g_assert_cmpfloat (narrow.width, >, 50);
  g_assert_cmpfloat_with_epsilon (wide.width / narrow.width, 2.0, 0.005);
  dwn_scene_unref (dwn_builder_finish (one));
  dwn_scene_unref (dwn_builder_finish (two));
  g_object_unref (text);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (hit_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/scene/hit/", hit_cases[i].name, NULL);

      g_test_add_data_func (path, &hit_cases[i], test_hit);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (write_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/scene/write/", write_cases[i].ending, NULL);

      g_test_add_data_func (path, &write_cases[i], test_write);
    }
  g_test_add_func ("/draw/scene/layers", test_layers);
  g_test_add_func ("/draw/scene/paint-leaves-context", test_paint_leaves_context);
  g_test_add_func ("/draw/scene/embed", test_embed);
  g_test_add_func ("/draw/scene/inset", test_inset);
  g_test_add_func ("/draw/scene/write-refuses", test_write_refuses);
  g_test_add_func ("/draw/scene/text-scales", test_text_scales);
  return g_test_run ();
}
