#include "core/radio/clearance.h"

#include "vectors.h"

/* Geometry worked separately: line minus parabolic bulge over an earth of k × 6371 km, first
 * Fresnel radius sqrt (λ d1 d2 / d) with λ from 299.792458 m·MHz (ITU-R P.526-15 eq. 2). 40 km of
 * flat ground in steps of 1 km, with the named peaks set on it. */
typedef struct {
  const char *name;
  double ground_m, tx_agl_m, rx_agl_m, mhz, k_factor;
  struct { guint i; double height_m; } peak[2];
  double distance_m, clearance_m, ratio;
  double tx_horizon_deg, tx_horizon_m, rx_horizon_deg, rx_horizon_m;
  DwnPathClass class;
  guint n_obstructions;
} GroundCase;

static const GroundCase ground_cases[] = {
  { "flat", 0, 100, 100, 545, 4.0 / 3, { { 0, 0 } },
    20000, 76.455815413592845, 1.0308569995950467,
    -0.27843584816625555, 39000, -0.27843584816625555, 39000, DWN_PATH_CLEAR, 0 },
  { "smaller-earth", 0, 100, 100, 545, 1.0, { { 0, 0 } },
    20000, 68.607753884790448, 0.92504125325837827,
    -0.32102947266496434, 36000, -0.32102947266496434, 36000, DWN_PATH_CLEAR, 0 },
  { "one-peak", 100, 150, 10, 545, 4.0 / 3, { { 10, 400 } },
    10000, -202.65813843980538, -3.1551594881190801,
    0.8256549760088578, 10000, 0.4526761022455617, 30000, DWN_PATH_BLOCKED, 2 },
  { "graze", 0, 100, 100, 545, 4.0 / 3, { { 20, 60 } },
    20000, 16.455815413592845, 0.22187445665683575,
    -0.18204006692761618, 20000, -0.18204006692761618, 20000, DWN_PATH_GRAZING, 1 },
  { "two-peaks", 0, 100, 100, 195, 4.0 / 3, { { 10, 120 }, { 30, 150 } },
    30000, -67.65813843980538, -0.63008097554239878,
    0.080866945107593640, 10000, 0.25275269779498853, 10000, DWN_PATH_BLOCKED, 2 },
};

static OwnProfile *
ground_of_case (const GroundCase *c)
{
  OwnProfile *ground = own_profile_flat (40e3, 41, c->ground_m);

  for (guint i = 0; i < G_N_ELEMENTS (c->peak); i++)
    if (c->peak[i].i != 0)
      ground->height_m[c->peak[i].i] = c->peak[i].height_m;
  return ground;
}

static void
assert_near (double got, double wanted)
{
  g_assert_cmpfloat_with_epsilon (got, wanted, 1e-9 * MAX (1.0, fabs (wanted)));
}

static void
test_ground (gconstpointer data)
{
  const GroundCase *c = data;
  g_autoptr (OwnProfile) ground = ground_of_case (c);
  DwnClearance out;

  g_assert_true (dwn_clearance (&ground->profile, c->tx_agl_m, c->rx_agl_m, c->mhz, c->k_factor,
                                &out));
  assert_near (out.distance_m, c->distance_m);
  assert_near (out.clearance_m, c->clearance_m);
  assert_near (out.ratio, c->ratio);
  assert_near (out.fresnel_m, c->clearance_m / c->ratio);
  assert_near (out.tx.elevation_deg, c->tx_horizon_deg);
  assert_near (out.tx.distance_m, c->tx_horizon_m);
  assert_near (out.rx.elevation_deg, c->rx_horizon_deg);
  assert_near (out.rx.distance_m, c->rx_horizon_m);
  g_assert_cmpint (out.class, ==, c->class);
  g_assert_cmpuint (out.n_obstructions, ==, c->n_obstructions);
}

/* Paths of the regulator's licence records over real ground (source in the files' first line):
 * antennas 1022.4 and 744.2 m above sea level and 10 m above ground. The class, and the ratio of
 * the blocked one, -0.95 to -0.98 with 60 to 64 m near 9.2 km from the house at any sampling from
 * 10 to 90 m, are the open check values of that data set. */
static OwnProfile *
load_ground (const char *name)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "data", "vectors", name, NULL);
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;

  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  g_auto (GStrv) lines = g_strsplit (g_strchomp (text), "\n", -1);
  OwnProfile *ground = own_profile_new (g_strv_length (lines) - 1);
  for (gsize i = 0; i < ground->profile.n; i++)
    {
      char *rest;

      ground->distance_m[i] = g_ascii_strtod (lines[i + 1], &rest);
      ground->height_m[i] = g_ascii_strtod (rest + 1, NULL);
    }
  return ground;
}

static void
test_blocked_for_real (void)
{
  g_autoptr (OwnProfile) ground = load_ground ("profile-blocked.csv");
  DwnClearance out;

  g_assert_true (dwn_clearance (&ground->profile, 1022.4 - ground->height_m[0], 10, 497,
                                DWN_STANDARD_K_FACTOR, &out));
  g_assert_cmpint (out.class, ==, DWN_PATH_BLOCKED);
  g_assert_cmpfloat (out.ratio, >, -0.985);
  g_assert_cmpfloat (out.ratio, <, -0.945);
  g_assert_cmpfloat (out.clearance_m, >, -64);
  g_assert_cmpfloat (out.clearance_m, <, -60);
  g_assert_cmpfloat_with_epsilon (36204 - out.distance_m, 9200, 100);
}

static void
test_clear_for_real (void)
{
  g_autoptr (OwnProfile) ground = load_ground ("profile-clear.csv");
  DwnClearance out;

  g_assert_true (dwn_clearance (&ground->profile, 744.2 - ground->height_m[0], 10, 677,
                                DWN_STANDARD_K_FACTOR, &out));
  g_assert_cmpint (out.class, ==, DWN_PATH_CLEAR);
  g_assert_cmpfloat (out.ratio, >, 2);
  g_assert_cmpuint (out.n_obstructions, ==, 0);
}

static void
test_obstructions_in_order (void)
{
  g_autoptr (OwnProfile) ground = ground_of_case (&ground_cases[4]);
  DwnClearance out;

  g_assert_true (dwn_clearance (&ground->profile, 100, 100, 195, DWN_STANDARD_K_FACTOR, &out));
  g_assert_cmpuint (out.n_obstructions, ==, 2);
  assert_near (out.obstruction[0].distance_m, 10e3);
  assert_near (out.obstruction[0].top_m, 120);
  assert_near (out.obstruction[1].distance_m, 30e3);
  assert_near (out.obstruction[1].clearance_m, out.clearance_m);
  g_assert_cmpint (out.obstruction[0].class, ==, DWN_PATH_BLOCKED);
}

/* Twenty peaks of rising height: the four lowest give way, the order stays. */
static void
test_more_obstructions_than_room (void)
{
  g_autoptr (OwnProfile) ground = own_profile_flat (40e3, 41, 0);
  DwnClearance out;

  for (guint i = 0; i < 20; i++)
    ground->height_m[2 * i + 1] = 1000 + 10 * i;
  g_assert_true (dwn_clearance (&ground->profile, 100, 100, 545, 1e9, &out));
  g_assert_cmpuint (out.n_obstructions, ==, DWN_MAX_OBSTRUCTIONS);
  for (guint i = 1; i < out.n_obstructions; i++)
    g_assert_cmpfloat (out.obstruction[i - 1].to_m, <, out.obstruction[i].from_m);
}

static void
test_other_way_round (void)
{
  g_autoptr (OwnProfile) there = ground_of_case (&ground_cases[4]);
  g_autoptr (OwnProfile) back = ground_of_case (&ground_cases[4]);
  DwnClearance a, b;

  for (gsize i = 0; i < 41; i++)
    back->height_m[i] = there->height_m[40 - i];
  g_assert_true (dwn_clearance (&there->profile, 120, 30, 195, DWN_STANDARD_K_FACTOR, &a));
  g_assert_true (dwn_clearance (&back->profile, 30, 120, 195, DWN_STANDARD_K_FACTOR, &b));
  assert_near (a.clearance_m, b.clearance_m);
  assert_near (a.distance_m, 40e3 - b.distance_m);
  assert_near (a.tx.elevation_deg, b.rx.elevation_deg);
  assert_near (a.rx.line_deg, b.tx.line_deg);
}

static void
test_clutter_stands_on_the_ground (void)
{
  g_autoptr (OwnProfile) ground = own_profile_flat (40e3, 41, 0);
  DwnClearance bare, wooded;

  own_profile_add_clutter (ground);
  g_assert_true (dwn_clearance (&ground->profile, 100, 100, 545, DWN_STANDARD_K_FACTOR, &bare));
  for (gsize i = 0; i < 41; i++)
    ground->clutter_m[i] = 20;
  g_assert_true (dwn_clearance (&ground->profile, 100, 100, 545, DWN_STANDARD_K_FACTOR, &wooded));
  assert_near (wooded.clearance_m, bare.clearance_m - 20);
}

static void
assert_unknown (const DwnProfile *profile, double tx_agl_m, double mhz, double k_factor)
{
  DwnClearance out;

  g_assert_false (dwn_clearance (profile, tx_agl_m, 10, mhz, k_factor, &out));
  g_assert_cmpint (out.class, ==, DWN_PATH_UNKNOWN);
  g_assert_true (isnan (out.ratio) && isnan (out.clearance_m) && isnan (out.distance_m));
  g_assert_true (isnan (out.tx.elevation_deg) && isnan (out.rx.line_deg));
  g_assert_cmpuint (out.n_obstructions, ==, 0);
}

static void
test_unknown (void)
{
  const double nan = (double) NAN;
  g_autoptr (OwnProfile) ground = own_profile_flat (40e3, 41, 0);
  g_autoptr (OwnProfile) ends = own_profile_flat (40e3, 2, 0);

  assert_unknown (&ends->profile, 100, 545, 4.0 / 3);
  assert_unknown (&ground->profile, nan, 545, 4.0 / 3);
  assert_unknown (&ground->profile, 100, 0, 4.0 / 3);
  assert_unknown (&ground->profile, 100, nan, 4.0 / 3);
  assert_unknown (&ground->profile, 100, 545, -1);
  ground->height_m[7] = nan;
  assert_unknown (&ground->profile, 100, 545, 4.0 / 3);
}

/* ITU-R P.526-15 eq. (2) in its other form: 550 sqrt (d1 d2 / ((d1 + d2) f)) with km and MHz, where
 * 550 is rounded from 547.5. */
static void
test_fresnel_radius (void)
{
  double rounded_m = 550 * sqrt (5.0 * 15.0 / (20.0 * 600.0));

  g_assert_cmpfloat_with_epsilon (dwn_fresnel_radius_m (5e3, 15e3, 600), rounded_m,
                                  0.005 * rounded_m);
  g_assert_true (isnan (dwn_fresnel_radius_m (0, 15e3, 600)));
  g_assert_true (isnan (dwn_fresnel_radius_m (5e3, 15e3, -1)));
}

static void
test_class_ids (void)
{
  g_assert_cmpstr (dwn_path_class_id (DWN_PATH_UNKNOWN), ==, "unknown");
  g_assert_cmpstr (dwn_path_class_id (DWN_PATH_CLEAR), ==, "clear");
  g_assert_cmpstr (dwn_path_class_id (DWN_PATH_GRAZING), ==, "grazing");
  g_assert_cmpstr (dwn_path_class_id (DWN_PATH_BLOCKED), ==, "blocked");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (ground_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/clearance/ground/%s", ground_cases[i].name);

      g_test_add_data_func (path, &ground_cases[i], test_ground);
    }
  g_test_add_func ("/clearance/real/blocked", test_blocked_for_real);
  g_test_add_func ("/clearance/real/clear", test_clear_for_real);
  g_test_add_func ("/clearance/obstructions/in-order", test_obstructions_in_order);
  g_test_add_func ("/clearance/obstructions/full", test_more_obstructions_than_room);
  g_test_add_func ("/clearance/other-way-round", test_other_way_round);
  g_test_add_func ("/clearance/clutter", test_clutter_stands_on_the_ground);
  g_test_add_func ("/clearance/unknown", test_unknown);
  g_test_add_func ("/clearance/fresnel-radius", test_fresnel_radius);
  g_test_add_func ("/clearance/class-ids", test_class_ids);
  return g_test_run ();
}
