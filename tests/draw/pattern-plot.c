/* The polar plot of a pattern: on the page, and to the scale that the look names. */
#include "draw/pattern-plot.h"

#include <math.h>

#include "example.h"
#include "ink.h"

#define SIZE 220.0
#define LINE 1.5 /* of the outline, half of which lies outside */

/* 0 dB ahead, @back_db in the rear 200°, straight in between. */
static DwnPattern *
pattern_new (double back_db)
{
  const double mhz = 500, azimuth_deg[] = { 0, 80, 280 };
  const double gain_dbi[] = { 7, 7 + back_db, 7 + back_db };
  const DwnPattern values = {
    .id = "test", .name = "test", .source = "test", .n_mhz = 1, .n_azimuth = 3, .mhz = &mhz,
    .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi, .price = (double) NAN,
  };
  g_autoptr (GError) error = NULL;
  DwnPattern *pattern = dwn_pattern_new (&values, &error);

  g_assert_no_error (error);
  return pattern;
}

static DwnScene *
lay_out (double back_db, double other_db)
{
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnPattern) pattern = pattern_new (back_db);
  g_autoptr (DwnPattern) other = isnan (other_db) ? NULL : pattern_new (other_db);
  const DwnPatternPlot plot = { &dwn_wording_metric, pattern, other, 500 };
  DwnScene *scene = dwn_pattern_plot_layout (&plot, &look, text, SIZE);

  g_object_unref (text);
  return scene;
}

/* Pattern radius: R · max (0, 1 + g/30), g in dB below the antenna's own maximum (the look's rule). */
static const struct {
  const char *name;
  double back_db, back_share;
} scale_cases[] = {
  { "all-round", 0, 1 },
  { "ten-down", -10, 2.0 / 3.0 },
  { "fifteen-down", -15, 0.5 },
  { "thirty-down", -30, 0 },
  { "fifty-down", -50, 0 },
};

static void
test_scale (gconstpointer data)
{
  guint i = GPOINTER_TO_UINT (data);
  DwnLook look = dwn_look_light ();
  g_autoptr (DwnScene) scene = lay_out (scale_cases[i].back_db, (double) NAN);
  double radius = dwn_pattern_plot_radius (&look, SIZE);
  DwnRect ink = dwn_ink_of (scene, DWN_LAYER_MOVING);

  g_assert_cmpfloat_with_epsilon (ink.y, SIZE / 2 - radius, LINE);
  g_assert_cmpfloat_with_epsilon (ink.y + ink.height, SIZE / 2 + scale_cases[i].back_share * radius, LINE);
}

static void
test_inside_page (void)
{
  g_autoptr (DwnScene) scene = lay_out (-12, 0);
  DwnRect fixed = dwn_ink_of (scene, DWN_LAYER_STATIC), moving = dwn_ink_of (scene, DWN_LAYER_MOVING);

  g_assert_cmpfloat (fixed.x, >=, 0);
  g_assert_cmpfloat (fixed.y, >=, 0);
  g_assert_cmpfloat (fixed.x + fixed.width, <=, SIZE);
  g_assert_cmpfloat (fixed.y + fixed.height, <=, SIZE);
  g_assert_cmpfloat (moving.width, <=, fixed.width);
}

/* Figures do not lie on one another. */
static void
test_figures_apart (void)
{
  g_autoptr (DwnScene) scene = lay_out (-12, (double) NAN);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  g_assert_cmpuint (n, ==, 4);
  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < i; k++)
      g_assert_false (dwn_rect_overlaps (&regions[i].bounds, &regions[k].bounds));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (scale_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/pattern-plot/scale/", scale_cases[i].name, NULL);
      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_scale);
    }
  g_test_add_func ("/draw/pattern-plot/inside-page", test_inside_page);
  g_test_add_func ("/draw/pattern-plot/figures-apart", test_figures_apart);
  return g_test_run ();
}
