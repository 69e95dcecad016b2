/* The loss staircase: to scale, in order, inside the page. */
#include "draw/staircase.h"

#include <math.h>

#include "example-chain.h"
#include "example.h"
#include "ink.h"

typedef struct {
  const char *name;
  double width, height;
  DwnLook (*look) (void);
} StairCase;

static const StairCase stair_cases[] = {
  { "light", 760, 460, dwn_look_light },
  { "dark-narrow", 520, 460, dwn_look_dark },
  { "paper", 520, 340, dwn_look_paper },
};

static DwnScene *
lay_out (const StairCase *stairs)
{
  DwnLook look = stairs->look ();
  PangoContext *text = dwn_example_text ();
  DwnScene *scene = dwn_staircase_layout (dwn_example_staircase (), &look, text, stairs->width,
                                          stairs->height);

  g_object_unref (text);
  return scene;
}

static void
test_inside_page (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);

  dwn_assert_inside_page (scene);
}

/* Beyond the cut every decibel is equally high, and each bar begins where the last one ended. */
static void
test_to_scale (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  const DwnStaircase *staircase = dwn_example_staircase ();
  const DwnRegion *ridge = dwn_scene_find (scene, DWN_REGION_STEP, 2);
  double unit = ridge->bounds.height / 24.0, end = ridge->bounds.y + ridge->bounds.height;

  for (guint i = 3; i < staircase->n_steps; i++)
    {
      const DwnRegion *step = dwn_scene_find (scene, DWN_REGION_STEP, i);
      double gain_db = staircase->steps[i].gain_db, top = gain_db > 0 ? end - gain_db * unit : end;

      g_assert_cmpfloat_with_epsilon (step->bounds.y, top, 0.01);
      end -= gain_db * unit;
      g_assert_cmpfloat (step->value, ==, gain_db);
    }
}

static void
test_tab_order (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);
  const DwnStaircase *staircase = dwn_example_staircase ();

  g_assert_cmpuint (n, ==, staircase->n_steps + staircase->n_remedies);
  for (guint i = 0; i < n; i++)
    g_assert_cmpint (regions[i].tab_order, ==, (int) i);
  g_assert_cmpint (regions[n - 1].kind, ==, DWN_REGION_REMEDY);
}

/* A short way from a weak transmitter needs no cut, and may end below what is enough. */
static void
test_without_cut (void)
{
  const DwnStair steps[] = {
    { 0, "Power", "1 W", "−30.0", -30, FALSE, (double) NAN },
    { 1, "Distance", "50 m", "−20.0", -20, FALSE, (double) NAN },
    { 2, "Wall", NULL, "−40.0", -40, TRUE, -80 },
  };
  DwnStaircase staircase = {
    .unit = "dBm", .n_steps = G_N_ELEMENTS (steps), .steps = steps, .just_enough = "just enough",
    .margin_title = "margin", .margin = "−10.0 dB", .chance = "chance 3 %", .needs = "needs −80.0",
  };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) scene = dwn_staircase_layout (&staircase, &look, text, 500, 300);
  const DwnRegion *distance = dwn_scene_find (scene, DWN_REGION_STEP, 1);
  const DwnRegion *wall = dwn_scene_find (scene, DWN_REGION_STEP, 2);

  dwn_assert_inside_page (scene);
  g_assert_cmpfloat_with_epsilon (wall->bounds.height, 2 * distance->bounds.height, 0.01);
  g_object_unref (text);
}

static void
add_case (const char *what, GTestDataFunc test, const StairCase *stairs)
{
  g_autofree char *path = g_strconcat ("/draw/staircase/", what, "/", stairs->name, NULL);

  g_test_add_data_func (path, stairs, test);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (stair_cases); i++)
    {
      add_case ("inside-page", test_inside_page, &stair_cases[i]);
      add_case ("to-scale", test_to_scale, &stair_cases[i]);
      add_case ("tab-order", test_tab_order, &stair_cases[i]);
    }
  g_test_add_func ("/draw/staircase/without-cut", test_without_cut);
  return g_test_run ();
}
