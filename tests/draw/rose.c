/* The rose without a display: what it covers, what it hits, and that nothing stands on anything. */
#include "draw/rose.h"

#include <math.h>

#include "draw/builder.h"
#include "example.h"
#include "ink.h"

#define WIDTH 640.0
#define HEIGHT 740.0

typedef struct {
  const char *name;
  guint n_stations; /* 0: the house of the pictures */
  double width, height;
  gboolean legend;
  int fan_mast;
} RoseCase;

static const RoseCase rose_cases[] = {
  { "house", 0, WIDTH, HEIGHT, FALSE, -1 },
  { "house-legend", 0, 900, 900, TRUE, -1 },
  { "house-fan", 0, 900, 900, TRUE, 0 },
  { "house-small", 0, 452, 497, FALSE, -1 },
  { "house-tiny", 0, 240, 220, FALSE, -1 },
  { "5", 5, WIDTH, HEIGHT, FALSE, -1 },
  { "60", 60, WIDTH, HEIGHT, FALSE, -1 },
  { "400", 400, WIDTH, HEIGHT, FALSE, -1 },
  { "400-fan", 400, WIDTH, HEIGHT, FALSE, 3 },
};

static DwnExample *
example_for (const RoseCase *rose_case)
{
  DwnExample *example = rose_case->n_stations == 0 ? dwn_example_house ()
                                                   : dwn_example_crowd (rose_case->n_stations);

  example->data.legend = rose_case->legend;
  example->data.fan_mast = rose_case->fan_mast;
  return example;
}

static DwnScene *
lay_out (const RoseCase *rose_case)
{
  g_autoptr (DwnExample) example = example_for (rose_case);
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  DwnScene *scene = dwn_rose_layout (&example->data, &look, text, rose_case->width,
                                     rose_case->height, NULL);

  g_object_unref (text);
  return scene;
}

static void
test_inside_page (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);

  dwn_assert_inside_page (scene);
}

/* Cairo gives ink in whole pixels with room for antialiasing: two units of tolerance.
 * A program clips its pictures to these extents: ink outside them would be cut off. */
static void
test_extents_hold_ink (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);

  for (guint layer = 0; layer < DWN_N_LAYERS; layer++)
    {
      DwnRect box, ink;

      if (!dwn_scene_extents (scene, (DwnLayer) layer, &box))
        continue;
      ink = dwn_ink_of (scene, (DwnLayer) layer);
      g_assert_cmpfloat (box.x, <=, ink.x + 2);
      g_assert_cmpfloat (box.y, <=, ink.y + 2);
      g_assert_cmpfloat (box.x + box.width, >=, ink.x + ink.width - 2);
      g_assert_cmpfloat (box.y + box.height, >=, ink.y + ink.height - 2);
    }
}

static gboolean
holds_text (const DwnRegion *region)
{
  return region->kind == DWN_REGION_LABEL || region->kind == DWN_REGION_FIGURE
         || region->kind == DWN_REGION_CARD;
}

/* Figures give way to nothing and may lie under a card; a label may touch nothing at all. */
static void
test_no_overlap (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < n; k++)
      if (i != k && regions[i].kind == DWN_REGION_LABEL && holds_text (&regions[k]))
        g_assert_false (dwn_rect_overlaps (&regions[i].bounds, &regions[k].bounds));
}

/* The body of a mark, from a region that is larger than it, for a finger. */
static DwnRect
mark_body (const DwnRegion *region)
{
  double x = region->bounds.x + region->bounds.width / 2,
         y = region->bounds.y + region->bounds.height / 2;

  return (DwnRect) { x - 3, y - 3, 6, 6 };
}

static void
test_labels_off_marks (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < n; k++)
      if (regions[i].kind == DWN_REGION_LABEL && regions[k].kind == DWN_REGION_STATION)
        {
          DwnRect body = mark_body (&regions[k]);

          g_assert_false (dwn_rect_overlaps (&regions[i].bounds, &body));
        }
}

static guint
count_regions (const DwnScene *scene, DwnRegionKind kind)
{
  guint n, found = 0;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  for (guint i = 0; i < n; i++)
    found += regions[i].kind == kind;
  return found;
}

static void
test_everybody_named (void)
{
  g_autoptr (DwnScene) few = lay_out (&rose_cases[5]);
  g_autoptr (DwnScene) house = lay_out (&rose_cases[0]);
  g_autoptr (DwnScene) sixty = lay_out (&rose_cases[6]);

  /* Every mark of a few; of the house all but the one that its card names; most of sixty. */
  g_assert_cmpuint (count_regions (few, DWN_REGION_LABEL), ==,
                    count_regions (few, DWN_REGION_STATION));
  g_assert_cmpuint (count_regions (house, DWN_REGION_LABEL), ==, 4);
  g_assert_cmpuint (count_regions (house, DWN_REGION_CARD), ==, 1);
  g_assert_cmpuint (count_regions (sixty, DWN_REGION_LABEL) * 4, >=,
                    count_regions (sixty, DWN_REGION_STATION) * 3);
}

/* r = R √(d/D) with D = 80 km, the first of the series beyond 64 km: worked by hand. In 640 × 740
 * the circle has R = 320 − 84 = 236. Quoin: 33 km at 305°. */
static void
test_hit (void)
{
  g_autoptr (DwnScene) scene = lay_out (&rose_cases[0]);
  double r = 236 * sqrt (33.0 / 80.0), bearing = 305 * G_PI / 180;
  const DwnRegion *quoin = dwn_scene_hit (scene, 320 + r * sin (bearing), 370 - r * cos (bearing));
  const DwnRegion *aim = dwn_scene_hit (scene, 320 + 263 * sin (93 * G_PI / 180),
                                        370 - 263 * cos (93 * G_PI / 180));

  g_assert_nonnull (quoin);
  g_assert_cmpint (quoin->kind, ==, DWN_REGION_STATION);
  g_assert_cmpuint (quoin->id, ==, 9);
  g_assert_nonnull (aim);
  g_assert_cmpint (aim->kind, ==, DWN_REGION_AIM);
  g_assert_cmpfloat (aim->value, ==, 93);
  g_assert_null (dwn_scene_hit (scene, 3, 3));
}

/* A shared mark shows the lowest chance among its wanted stations: Pelloway at 95 % of four on
 * Hollin Top, although Tarnlight, which nobody wants, has 94 %. */
static void
test_shared_mark (void)
{
  g_autoptr (DwnScene) scene = lay_out (&rose_cases[0]);

  g_assert_nonnull (dwn_scene_find (scene, DWN_REGION_STATION, 4));
  g_assert_null (dwn_scene_find (scene, DWN_REGION_STATION, 1));
  g_assert_null (dwn_scene_find (scene, DWN_REGION_STATION, 2));
}

static void
test_tab_order (void)
{
  g_autoptr (DwnScene) scene = lay_out (&rose_cases[6]);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);
  g_autoptr (GHashTable) seen = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < n; i++)
    if (regions[i].tab_order >= 0)
      {
        g_assert_true (g_hash_table_add (seen, GINT_TO_POINTER (regions[i].tab_order + 1)));
        if (regions[i].kind == DWN_REGION_AIM)
          g_assert_cmpint (regions[i].tab_order, <, 2);
      }
  g_assert_cmpuint (g_hash_table_size (seen), >, 40);
}

/* While somebody drags, labels stay. A degree of aim changes the lines that labels avoid. */
static void
test_labels_stay (void)
{
  g_autoptr (DwnExample) example = dwn_example_crowd (60);
  g_autoptr (DwnRosePlaces) places = dwn_rose_places_new ();
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  guint n_moved = 0, n_seen = 0;
  g_autoptr (DwnScene) before
    = dwn_rose_layout (&example->data, &look, text, WIDTH, HEIGHT, places);

  example->antennas[0].aim_deg += 1;

  g_autoptr (DwnScene) after = dwn_rose_layout (&example->data, &look, text, WIDTH, HEIGHT, places);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (before, &n);

  for (guint i = 0; i < n; i++)
    if (regions[i].kind == DWN_REGION_LABEL)
      {
        const DwnRegion *now = dwn_scene_find (after, DWN_REGION_LABEL, regions[i].id);

        n_seen++;
        n_moved += now == NULL || hypot (now->bounds.x - regions[i].bounds.x,
                                         now->bounds.y - regions[i].bounds.y) > 0.5;
      }
  g_assert_cmpuint (n_seen, >, 30);
  g_assert_cmpuint (n_moved * 20, <=, n_seen);
  g_object_unref (text);
}

/* A drag lays out the moving layer alone: it must be the same picture. */
static void
test_moving_alone (void)
{
  g_autoptr (DwnExample) example = dwn_example_house ();
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) all = dwn_rose_layout (&example->data, &look, text, WIDTH, HEIGHT, NULL);
  g_autoptr (DwnScene) moving
    = dwn_rose_layout_moving (&example->data, &look, text, WIDTH, HEIGHT, -1);
  g_autoptr (DwnScene) first
    = dwn_rose_layout_moving (&example->data, &look, text, WIDTH, HEIGHT, 0);
  DwnRect a, b, c;

  g_assert_true (dwn_scene_extents (all, DWN_LAYER_MOVING, &a));
  g_assert_true (dwn_scene_extents (moving, DWN_LAYER_ALL, &b));
  g_assert_true (dwn_scene_extents (first, DWN_LAYER_ALL, &c));
  g_assert_cmpfloat (a.x, ==, b.x);
  g_assert_cmpfloat (a.width, ==, b.width);
  g_assert_cmpfloat (a.height, ==, b.height);
  g_assert_cmpfloat (c.width, <, b.width);
  g_assert_false (dwn_scene_extents (moving, DWN_LAYER_STATIONS, NULL));
  g_object_unref (text);
}

/* What two antennas bring together is drawn within the disc, and once: with the first antenna. */
static void
test_pair_and_misses (void)
{
  g_autoptr (DwnExample) example = dwn_example_house ();
  double mean_dbi[36], best_dbi[36], worst_dbi[36];
  const DwnRoseMiss misses[] = { { 200.0, 12.0, FALSE }, { 250.0, 40.0, TRUE } };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) plain = dwn_rose_layout_moving (&example->data, &look, text, WIDTH, HEIGHT, 1);
  DwnRect before, after;

  for (guint k = 0; k < 36; k++)
    {
      mean_dbi[k] = 0.0;
      best_dbi[k] = 3.0;
      worst_dbi[k] = -40.0;
    }
  example->data.pair = (DwnRosePair) { 36, mean_dbi, best_dbi, worst_dbi, 0.0 };
  example->data.misses = misses;
  example->data.n_misses = 2;
  g_autoptr (DwnScene) first = dwn_rose_layout_moving (&example->data, &look, text, WIDTH, HEIGHT, 0);
  g_autoptr (DwnScene) second = dwn_rose_layout_moving (&example->data, &look, text, WIDTH, HEIGHT, 1);
  g_assert_true (dwn_scene_extents (first, DWN_LAYER_MOVING, &after));
  /* All round at the radius of 0 dB, 0.88 of the disc's. */
  double x, y, edge_x, edge_y;
  g_assert_true (dwn_rose_point (&example->data, &look, text, WIDTH, HEIGHT, 270.0, 0.0, &x, &y));
  g_assert_true (dwn_rose_point (&example->data, &look, text, WIDTH, HEIGHT, 270.0, 79e3, &edge_x, &edge_y));
  g_assert_cmpfloat (after.x, <, x - 0.85 * (x - edge_x));
  g_assert_cmpfloat (after.y + after.height, >, y + 0.85 * (x - edge_x));
  /* The second antenna's own picture has nothing of it. */
  g_assert_true (dwn_scene_extents (plain, DWN_LAYER_MOVING, &before));
  g_assert_true (dwn_scene_extents (second, DWN_LAYER_MOVING, &after));
  g_assert_cmpfloat_with_epsilon (before.width, after.width, 2.0);
  g_object_unref (text);
}

/* An aim at 30° covers the figure 30: it goes inside, and only it. */
static void
test_covered_figure (void)
{
  g_autoptr (DwnExample) example = dwn_example_house ();
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();

  example->antennas[0].aim_deg = 45;
  example->antennas[1].aim_deg = 200;
  g_assert_cmpuint (dwn_rose_covered_figures (&example->data, &look, text, WIDTH, HEIGHT), ==, 0);
  example->antennas[0].aim_deg = 30;
  g_assert_cmpuint (dwn_rose_covered_figures (&example->data, &look, text, WIDTH, HEIGHT), ==,
                    1u << 1);
  g_object_unref (text);
}

/* Wherever two aims stand, their texts and the figures stay apart. */
static void
test_handle_texts_clear (void)
{
  g_autoptr (DwnExample) example = dwn_example_house ();
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();

  for (guint aim = 0; aim < 360; aim += 7)
    {
      example->antennas[0].aim_deg = aim;
      example->antennas[1].aim_deg = aim + 24;

      g_autoptr (DwnScene) scene
        = dwn_rose_layout (&example->data, &look, text, WIDTH, HEIGHT, NULL);
      guint n;
      const DwnRegion *regions = dwn_scene_regions (scene, &n);

      for (guint i = 0; i < n; i++)
        for (guint k = 0; k < i; k++)
          if (regions[i].kind == DWN_REGION_FIGURE && regions[k].kind == DWN_REGION_FIGURE
              && (isnan (regions[i].value) || isnan (regions[k].value) || regions[i].value > 0))
            {
              if (hypot (regions[i].bounds.x - 320, regions[i].bounds.y - 370) < 236
                  || hypot (regions[k].bounds.x - 320, regions[k].bounds.y - 370) < 236)
                continue;
              g_assert_false (dwn_rect_overlaps (&regions[i].bounds, &regions[k].bounds));
            }
    }
  g_object_unref (text);
}

typedef struct {
  const char *name;
  double x, y, bearing_deg;
} BearingCase;

static const BearingCase bearing_cases[] = {
  { "north", 320, 0, 0 },  { "east", 640, 370, 90 },        { "south", 320, 740, 180 },
  { "west", 0, 370, 270 }, { "north-west", 220, 270, 315 },
};

static void
test_bearing (gconstpointer data)
{
  const BearingCase *bearing = data;

  g_assert_cmpfloat_with_epsilon (dwn_rose_bearing_at (WIDTH, HEIGHT, bearing->x, bearing->y),
                                  bearing->bearing_deg, 1e-9);
}

/* 500 m is the design's limit. At 30 km one degree is 523.6 m (30 km · π/180, the chord 523.6). */
static void
test_group_masts (void)
{
  DwnRoseStation stations[] = {
    { .bearing_deg = 10, .distance_m = 30e3 },
    { .bearing_deg = 11, .distance_m = 30e3 },
    { .bearing_deg = 10.9, .distance_m = 30e3 },
    { .bearing_deg = 359.9, .distance_m = 10e3 },
    { .bearing_deg = 0.1, .distance_m = 10e3 },
  };

  /* The third joins the first two: it stands within 500 m of both. */
  g_assert_cmpuint (dwn_rose_group_masts (stations, 2), ==, 2);
  g_assert_cmpuint (dwn_rose_group_masts (stations, 5), ==, 2);
  g_assert_cmpuint (stations[0].mast, ==, stations[1].mast);
  g_assert_cmpuint (stations[0].mast, ==, stations[2].mast);
  g_assert_cmpuint (stations[3].mast, ==, stations[4].mast);
}

typedef struct {
  const char *name;
  DwnRoseScale scale;
  double zoom;
  double share; /* of R at which 20 km stands when the rim is at 80 km */
} ScaleCase;

/* √(20/80), 20/80, ln 21 / ln 81 = 0.692811; zoomed to twice the size √(20/40). */
static const ScaleCase scale_cases[] = {
  { "sqrt", DWN_ROSE_SCALE_SQRT, 1, 0.5 },
  { "linear", DWN_ROSE_SCALE_LINEAR, 1, 0.25 },
  { "log", DWN_ROSE_SCALE_LOG, 1, 0.692811 },
  { "zoomed", DWN_ROSE_SCALE_SQRT, 2, 0.707107 },
};

static void
test_scale (gconstpointer data)
{
  const ScaleCase *scale = data;
  g_autoptr (DwnExample) example = dwn_example_house ();
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  double x, y;

  example->data.scale = scale->scale;
  example->data.zoom = scale->zoom;
  g_assert_true (dwn_rose_point (&example->data, &look, text, WIDTH, HEIGHT, 90, 20e3, &x, &y));
  g_assert_cmpfloat_with_epsilon (x, 320 + 236 * scale->share, 0.001);
  g_assert_cmpfloat_with_epsilon (y, 370, 1e-9);
  g_assert_cmpint (dwn_rose_point (&example->data, &look, text, WIDTH, HEIGHT, 90, 64e3, &x, &y),
                   ==, scale->zoom < 2);
  g_object_unref (text);
}

static void
test_nothing_known (void)
{
  DwnRoseData data = { .declination_deg = (double) NAN,
                       .fan_mast = -1,
                       .words = dwn_rose_words () };
  DwnLook look = dwn_look_paper ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) scene = dwn_rose_layout (&data, &look, text, 300, 300, NULL);

  g_assert_nonnull (scene);
  g_assert_true (dwn_scene_extents (scene, DWN_LAYER_STATIC, NULL));
  g_assert_false (dwn_scene_extents (scene, DWN_LAYER_MOVING, NULL));
  g_object_unref (text);
}

static void
add_rose_case (const char *what, GTestDataFunc test, const RoseCase *rose_case)
{
  g_autofree char *path = g_strconcat ("/draw/rose/", what, "/", rose_case->name, NULL);

  g_test_add_data_func (path, rose_case, test);
}

static void
add_plain_tests (void)
{
  g_test_add_func ("/draw/rose/everybody-named", test_everybody_named);
  g_test_add_func ("/draw/rose/hit", test_hit);
  g_test_add_func ("/draw/rose/shared-mark", test_shared_mark);
  g_test_add_func ("/draw/rose/tab-order", test_tab_order);
  g_test_add_func ("/draw/rose/labels-stay", test_labels_stay);
  g_test_add_func ("/draw/rose/moving-alone", test_moving_alone);
  g_test_add_func ("/draw/rose/covered-figure", test_covered_figure);
  g_test_add_func ("/draw/rose/pair-and-misses", test_pair_and_misses);
  g_test_add_func ("/draw/rose/handle-texts-clear", test_handle_texts_clear);
  g_test_add_func ("/draw/rose/group-masts", test_group_masts);
  g_test_add_func ("/draw/rose/nothing-known", test_nothing_known);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (rose_cases); i++)
    {
      add_rose_case ("inside-page", test_inside_page, &rose_cases[i]);
      add_rose_case ("extents-hold-ink", test_extents_hold_ink, &rose_cases[i]);
      add_rose_case ("no-overlap", test_no_overlap, &rose_cases[i]);
      add_rose_case ("labels-off-marks", test_labels_off_marks, &rose_cases[i]);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (bearing_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/rose/bearing/", bearing_cases[i].name, NULL);

      g_test_add_data_func (path, &bearing_cases[i], test_bearing);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (scale_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/rose/scale/", scale_cases[i].name, NULL);

      g_test_add_data_func (path, &scale_cases[i], test_scale);
    }
  add_plain_tests ();
  return g_test_run ();
}
