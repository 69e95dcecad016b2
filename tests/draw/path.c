/* The path drawing: the curve of the earth, the Fresnel zone, and the page. */
#include "draw/path.h"

#include <math.h>

#include "example-chain.h"
#include "example.h"
#include "ink.h"

typedef struct {
  const char *name;
  double from_m, length_m, x, expected_m, tolerance_m;
} FormulaCase;

/* d1·d2/2a with a = 8500 km, the effective earth radius of ITU-R P.526: in the middle of 50 km
 * 625e6/17e6 = 36.765 m, worked by hand. */
static const FormulaCase bulge_cases[] = {
  { "middle-of-50-km", 25e3, 50e3, 8500e3, 36.7647, 1e-4 },
  { "end", 0, 50e3, 8500e3, 0, 1e-9 },
  { "tenth", 5e3, 50e3, 8500e3, 13.2353, 1e-4 },
};

/* ITU-R P.530, equation (2): F1 = 17.3 √(d1·d2 / (f·d)) with km and GHz, three figures. In the
 * middle of 40 km at 0.6 GHz 17.3 · √(400/24) = 70.627 m. */
static const FormulaCase fresnel_cases[] = {
  { "middle-of-40-km", 20e3, 40e3, 600, 70.627, 0.1 },
  { "quarter-at-200-mhz", 10e3, 40e3, 200, 105.940, 0.15 },
  { "end", 40e3, 40e3, 600, 0, 1e-9 },
};

static void
test_bulge (gconstpointer data)
{
  const FormulaCase *formula = data;

  g_assert_cmpfloat_with_epsilon (
      dwn_path_bulge_m (formula->from_m, formula->length_m, formula->x), formula->expected_m,
      formula->tolerance_m);
}

static void
test_fresnel (gconstpointer data)
{
  const FormulaCase *formula = data;

  g_assert_cmpfloat_with_epsilon (
      dwn_path_fresnel_m (formula->from_m, formula->length_m, formula->x), formula->expected_m,
      formula->tolerance_m);
}

static void
test_outside_domain (void)
{
  g_assert_true (isnan (dwn_path_bulge_m (-1, 10, 8500e3)));
  g_assert_true (isnan (dwn_path_bulge_m (11, 10, 8500e3)));
  g_assert_true (isnan (dwn_path_bulge_m (5, 10, 0)));
  g_assert_true (isnan (dwn_path_fresnel_m (5, 10, 0)));
  g_assert_true (isnan (dwn_path_fresnel_m (11, 10, 600)));
  g_assert_true (isnan (dwn_path_fresnel_m ((double) NAN, 10, 600)));
}

typedef struct {
  const char *name;
  double width, height;
  DwnLook (*look) (void);
} PathCase;

static const PathCase path_cases[] = {
  { "light", 760, 320, dwn_look_light },
  { "dark-narrow", 480, 260, dwn_look_dark },
  { "paper", 520, 200, dwn_look_paper },
};

static void
test_inside_page (gconstpointer data)
{
  const PathCase *path = data;
  DwnLook look = path->look ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) scene = dwn_path_layout (dwn_example_path (), &look, text, path->width,
                                                path->height);
  const DwnRegion *crest = dwn_scene_find (scene, DWN_REGION_OBSTACLE, 0);

  dwn_assert_inside_page (scene);
  g_assert_nonnull (crest);
  g_assert_cmpfloat (crest->value, ==, 132);
  g_object_unref (text);
}

/* The crest stands as far along the axis as it does along the way: 31.1 of 37.6 km. */
static void
test_crest_place (void)
{
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  DwnPathDrawing moved = *dwn_example_path ();
  g_autoptr (DwnScene) scene = dwn_path_layout (&moved, &look, text, 760, 320);
  double at[2], share = 31.1 / 37.6;

  /* Named at both ends instead, it gives the ends of the axis. */
  for (guint i = 0; i < 2; i++)
    {
      moved.crest_m = i * moved.distance_m[moved.n_points - 1];

      g_autoptr (DwnScene) end = dwn_path_layout (&moved, &look, text, 760, 320);
      at[i] = dwn_scene_find (end, DWN_REGION_OBSTACLE, 0)->bounds.x;
    }
  g_assert_cmpfloat_with_epsilon (dwn_scene_find (scene, DWN_REGION_OBSTACLE, 0)->bounds.x,
                                  at[0] + share * (at[1] - at[0]), 0.05);
  g_object_unref (text);
}

static void
test_flat_and_clear (void)
{
  const double distance_m[] = { 0, 10e3 }, height_m[] = { 0, 0 };
  DwnPathDrawing path = {
    .n_points = 2, .distance_m = distance_m, .height_m = height_m, .transmitter_m = 50,
    .receiver_m = 9, .mhz = (double) NAN, .earth_radius_m = 8500e3, .crest_m = (double) NAN,
    .house = "Ferncote", .km = "km", .m = "m",
  };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  g_autoptr (DwnScene) scene = dwn_path_layout (&path, &look, text, 400, 200);
  guint n;

  dwn_assert_inside_page (scene);
  dwn_scene_regions (scene, &n);
  g_assert_cmpuint (n, ==, 0);
  g_object_unref (text);
}

static void
test_refuses_falling_distances (void)
{
  const double distance_m[] = { 0, 10e3, 9e3 }, height_m[] = { 0, 0, 0 };
  DwnPathDrawing path = { .n_points = 3, .distance_m = distance_m, .height_m = height_m,
                          .earth_radius_m = 8500e3 };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();

  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*is_sane*");
  g_assert_null (dwn_path_layout (&path, &look, text, 400, 200));
  g_test_assert_expected_messages ();
  g_object_unref (text);
}

static void
add_formula (const char *what, GTestDataFunc test, const FormulaCase *formula)
{
  g_autofree char *path = g_strconcat ("/draw/path/", what, "/", formula->name, NULL);

  g_test_add_data_func (path, formula, test);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (bulge_cases); i++)
    add_formula ("bulge", test_bulge, &bulge_cases[i]);
  for (gsize i = 0; i < G_N_ELEMENTS (fresnel_cases); i++)
    add_formula ("fresnel", test_fresnel, &fresnel_cases[i]);
  for (gsize i = 0; i < G_N_ELEMENTS (path_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/path/inside-page/", path_cases[i].name, NULL);

      g_test_add_data_func (path, &path_cases[i], test_inside_page);
    }
  g_test_add_func ("/draw/path/outside-domain", test_outside_domain);
  g_test_add_func ("/draw/path/crest-place", test_crest_place);
  g_test_add_func ("/draw/path/flat-and-clear", test_flat_and_clear);
  g_test_add_func ("/draw/path/refuses-falling-distances", test_refuses_falling_distances);
  return g_test_run ();
}
