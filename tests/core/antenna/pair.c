/* Two antennas in one line, and two alike in a stack. */
#include "core/antenna/pair.h"

#include <math.h>

#include "../../common/ripple.h"

static void
test_ripple (gconstpointer data)
{
  const RippleCase *c = data;
  DwnPairGain gain = dwn_pair_hybrid (0.0, -c->down_db);

  g_assert_cmpfloat_with_epsilon (gain.best_db, c->best_db, 0.0501);
  g_assert_cmpfloat_with_epsilon (gain.worst_db, c->worst_db, 0.0501);
}

/* Whatever the phase, a hybrid takes no side: the order of the antennas does not matter and a
 * common level goes through. */
static void
test_symmetry (void)
{
  DwnPairGain one = dwn_pair_hybrid (-3.0, 5.0), other = dwn_pair_hybrid (5.0, -3.0);
  DwnPairGain louder = dwn_pair_hybrid (7.0, 15.0);

  g_assert_cmpfloat (one.mean_db, ==, other.mean_db);
  g_assert_cmpfloat_with_epsilon (one.worst_db, other.worst_db, 1e-12);
  g_assert_cmpfloat_with_epsilon (louder.best_db - one.best_db, 10.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (louder.worst_db - one.worst_db, 10.0, 1e-12);
}

static void
test_alone_and_alike (void)
{
  DwnPairGain alone = dwn_pair_hybrid (0.0, -(double) INFINITY);
  DwnPairGain alike = dwn_pair_hybrid (0.0, 0.0);

  g_assert_cmpfloat_with_epsilon (alone.mean_db, -3.0103, 1e-4);
  g_assert_cmpfloat_with_epsilon (alone.worst_db, -3.0103, 1e-4);
  g_assert_cmpfloat_with_epsilon (alike.best_db, 3.0103, 1e-4);
  g_assert_cmpfloat_with_epsilon (alike.mean_db, 0.0, 1e-12);
  g_assert_cmpfloat (alike.worst_db, <, -100.0);
}

static void
test_confidence (void)
{
  DwnPairGain gain = dwn_pair_hybrid (2.0, -4.0);

  g_assert_cmpfloat_with_epsilon (dwn_pair_hybrid_at (2.0, -4.0, 1.0), gain.worst_db, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pair_hybrid_at (2.0, -4.0, 0.5), gain.mean_db, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pair_hybrid_at (2.0, -4.0, 0.0), gain.best_db, 1e-9);
  g_assert_true (isnan (dwn_pair_hybrid_at (2.0, -4.0, 1.01)));
  g_assert_true (isnan (dwn_pair_hybrid_at (2.0, -4.0, (double) NAN)));
}

/* For q of two thirds and more the sum never exceeds half of the stronger: the bound that makes
 * the search for pairs fast. */
static void
test_bound_of_search (void)
{
  for (double second_db = -40.0; second_db <= 0.0; second_db += 0.5)
    for (double q = 2.0 / 3.0; q <= 1.0; q += 1.0 / 30.0)
      g_assert_cmpfloat (dwn_pair_hybrid_at (0.0, second_db, q), <=, -3.0102999);
}

/* A diplexer of 0.5 dB that holds back the other antenna by 20 dB, both hearing alike: the leak of
 * −20 dB beside −0.5 dB ripples by 20 log10 ((1 + r)/(1 − r)), r = 10^(−19.5/20). */
static void
test_leaking_combiner (void)
{
  DwnPairGain gain = dwn_pair_sum (-0.5, -20.0);

  g_assert_cmpfloat_with_epsilon (gain.best_db - gain.worst_db, 1.8478, 0.001);
}

typedef struct {
  const char *name;
  double beamwidth_deg, waves;
} SpacingCase;

/* Amateur tables of stacking distances, to a tenth of a wavelength. */
static const SpacingCase spacing_cases[] = {
  { "30", 30.0, 1.9 }, { "40", 40.0, 1.5 }, { "60", 60.0, 1.0 },
};

static void
test_spacing (gconstpointer data)
{
  const SpacingCase *c = data;

  g_assert_cmpfloat_with_epsilon (dwn_stack_spacing_m (c->beamwidth_deg, 299.792458), c->waves,
                                  0.051);
}

static DwnPattern *
flat_pattern (void)
{
  static const double mhz[] = { 470.0, 608.0 }, azimuth_deg[] = { 0.0 };
  static const double gain_dbi[] = { 10.0, 10.0 };
  const DwnPattern values = { .id = "flat", .name = "Flat", .n_mhz = 2, .mhz = mhz,
                              .n_azimuth = 1, .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi,
                              .price = (double) NAN };

  return dwn_pattern_new (&values, NULL);
}

/* 3 − 0.5 = 2.5 dB net (trade practice); side by side a null stands where sin = λ/2S. */
static void
test_stack_side_by_side (void)
{
  g_autoptr (DwnPattern) one = flat_pattern ();
  g_autoptr (GError) error = NULL;
  double spacing_m = dwn_stack_null_spacing_m (40.0, 545.0, 0.5);
  g_autoptr (DwnPattern) two = dwn_pair_stack (one, DWN_STACK_HORIZONTAL, spacing_m, 0.5, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (two, 0.0, 545.0), 12.5, 0.011);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (two, 180.0, 545.0), 12.5, 0.011);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (two, 40.0, 545.0), <, -15.0);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (two, 320.0, 545.0), <, -15.0);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (two, 30.0, 545.0), 0.0, 1e-9);
}

/* The array factor alone has half its power where π S sin θ/λ = 45°: 14.48° for one wavelength. */
static void
test_stack_one_above_the_other (void)
{
  g_autoptr (DwnPattern) one = flat_pattern ();
  g_autoptr (DwnPattern) two
      = dwn_pair_stack (one, DWN_STACK_VERTICAL, 299.792458 / 470.0, 0.5, NULL);

  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (two, 77.0, 470.0), 12.5, 0.011);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (two, 14.48, 470.0), -3.01, 0.02);
  g_assert_cmpfloat (dwn_pattern_elevation_db (two, -30.0, 470.0), <=, -39.9);
}

/* Over the single antenna, two equal sources have twice its power times cos² (π S sin θ / λ) in every
 * direction θ off their boresight, beside or above (any book on arrays), less the combiner's loss. */
static void
test_stack_everywhere (void)
{
  static const double mhz[] = { 470.0, 608.0 }, azimuth_deg[] = { 0.0, 90.0, 200.0 };
  static const double elevation_deg[] = { -90.0, 0.0, 90.0 };
  static const double gain_dbi[] = { 10.0, 2.0, -6.0, 12.0, 0.0, -3.0 };
  static const double elevation_db[] = { -20.0, 0.0, -10.0, -16.0, 0.0, -12.0 };
  const DwnPattern values = { .id = "uneven", .name = "Uneven", .n_mhz = 2, .mhz = mhz,
                              .n_azimuth = 3, .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi,
                              .n_elevation = 3, .elevation_deg = elevation_deg,
                              .elevation_db = elevation_db, .price = (double) NAN };
  const double waves = 0.7, spacing_m = waves * 299.792458 / 470.0, twice_db = 10.0 * log10 (2.0) - 0.5;
  g_autoptr (DwnPattern) one = dwn_pattern_new (&values, NULL);
  g_autoptr (DwnPattern) beside = dwn_pair_stack (one, DWN_STACK_HORIZONTAL, spacing_m, 0.5, NULL);
  g_autoptr (DwnPattern) above = dwn_pair_stack (one, DWN_STACK_VERTICAL, spacing_m, 0.5, NULL);

  for (int deg = -90; deg <= 90; deg += 5)
    {
      double factor = cos (G_PI * waves * sin (deg * G_PI / 180.0));
      double array_db = fmax (20.0 * log10 (fabs (factor)), -40.0);
      double single_dbi = dwn_pattern_gain_dbi (one, deg, 470.0);
      double single_db = dwn_pattern_elevation_db (one, deg, 470.0);

      g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (beside, deg, 470.0),
                                      single_dbi + twice_db + array_db, 1e-6);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (above, deg, 470.0), single_dbi + twice_db, 1e-6);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (beside, deg, 470.0), single_db, 1e-6);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (above, deg, 470.0), single_db + array_db, 1e-6);
    }
}

static void
test_stack_refused (void)
{
  const double spacings_m[] = { 0.0, -1.0, (double) NAN, 101.0 };
  g_autoptr (DwnPattern) one = flat_pattern ();

  for (gsize i = 0; i < G_N_ELEMENTS (spacings_m); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (dwn_pair_stack (one, DWN_STACK_VERTICAL, spacings_m[i], 0.5, &error));
      g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
    }
}

static void
test_null_spacing (void)
{
  /* 300 MHz, 30°: odd multiples of one wavelength. */
  g_assert_cmpfloat_with_epsilon (dwn_stack_null_spacing_m (30.0, 299.792458, 0.2), 1.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_stack_null_spacing_m (-30.0, 299.792458, 1.9), 1.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_stack_null_spacing_m (150.0, 299.792458, 2.1), 3.0, 1e-9);
  g_assert_true (isnan (dwn_stack_null_spacing_m (0.0, 500.0, 1.0)));
  g_assert_true (isnan (dwn_stack_null_spacing_m (180.0, 500.0, 1.0)));
  g_assert_true (isnan (dwn_stack_null_spacing_m (30.0, 0.0, 1.0)));
  g_assert_true (isnan (dwn_stack_spacing_m (0.0, 500.0)));
}

/* Dealers' tutorials: half a wavelength up the mast is 9.1 ft at 54 MHz; 1 m at the least. */
static void
test_separation (void)
{
  g_assert_cmpfloat_with_epsilon (dwn_pair_separation_m (DWN_STACK_VERTICAL, 54.0) / 0.3048, 9.1,
                                  0.051);
  g_assert_cmpfloat_with_epsilon (dwn_pair_separation_m (DWN_STACK_HORIZONTAL, 174.0), 1.723,
                                  0.001);
  g_assert_cmpfloat (dwn_pair_separation_m (DWN_STACK_VERTICAL, 470.0), ==, 1.0);
  g_assert_true (isnan (dwn_pair_separation_m (DWN_STACK_VERTICAL, 0.0)));
}

/* Between isotropic antennas side by side the loss of free space: 21.98 dB over one wavelength, 6.02 more
 * at twice the distance (ITU-R P.525). One above the other 28 dB at a wavelength and 12 dB more for each
 * doubling (practice of base stations, from memory). */
static void
test_isolation (void)
{
  const DwnStack beside = DWN_STACK_HORIZONTAL, above = DWN_STACK_VERTICAL;

  g_assert_cmpfloat_with_epsilon (dwn_pair_isolation_db (beside, 1.0, 299.792458, 0.0), 21.98, 0.01);
  g_assert_cmpfloat_with_epsilon (dwn_pair_isolation_db (beside, 2.0, 299.792458, 6.0), 21.98 + 6.02 - 6.0, 0.01);
  g_assert_cmpfloat_with_epsilon (dwn_pair_isolation_db (above, 1.0, 299.792458, 0.0), 28.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pair_isolation_db (above, 2.0, 299.792458, 0.0), 40.04, 0.01);
  g_assert_true (isnan (dwn_pair_isolation_db (above, 0.9, 299.792458, 0.0)));
  g_assert_true (isnan (dwn_pair_isolation_db (beside, 1.0, 0.0, 0.0)));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (ripple_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pair/ripple/%s", ripple_cases[i].name);

      g_test_add_data_func (path, &ripple_cases[i], test_ripple);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (spacing_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pair/spacing/%s", spacing_cases[i].name);

      g_test_add_data_func (path, &spacing_cases[i], test_spacing);
    }
  g_test_add_func ("/pair/symmetry", test_symmetry);
  g_test_add_func ("/pair/alone-and-alike", test_alone_and_alike);
  g_test_add_func ("/pair/confidence", test_confidence);
  g_test_add_func ("/pair/bound-of-search", test_bound_of_search);
  g_test_add_func ("/pair/leaking-combiner", test_leaking_combiner);
  g_test_add_func ("/pair/stack/side-by-side", test_stack_side_by_side);
  g_test_add_func ("/pair/stack/one-above-the-other", test_stack_one_above_the_other);
  g_test_add_func ("/pair/stack/everywhere", test_stack_everywhere);
  g_test_add_func ("/pair/stack/refused", test_stack_refused);
  g_test_add_func ("/pair/null-spacing", test_null_spacing);
  g_test_add_func ("/pair/separation", test_separation);
  g_test_add_func ("/pair/isolation", test_isolation);
  return g_test_run ();
}
