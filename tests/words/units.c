/* What is said in one unit is the same amount said in another, to half of the last digit shown. The
 * figures between the units are definitions: 1 mW in 75 ohms is sqrt (0.075) V, that is
 * 20 log10 (sqrt (0.075) · 1e3) = 48.75 dB over a millivolt and 108.75 over a microvolt; a mile is
 * 1609.344 m, a foot 0.3048 m. */
#include <math.h>
#include <string.h>

#include "words/wording.h"

#define SEED 20260514
#define N 20000

static double
spoken (char *text)
{
  double value = g_ascii_strtod (text, NULL);

  /* A person's minus sign is not the keyboard's. */
  if (g_str_has_prefix (text, "−"))
    value = -g_ascii_strtod (text + strlen ("−"), NULL);
  g_free (text);
  return value;
}

static void
test_levels (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED);
  const double to_millivolt_db = 20.0 * log10 (sqrt (0.075) * 1e3);

  for (guint i = 0; i < N; i++)
    {
      double dbm = g_rand_double_range (random, -130.0, 20.0);
      DwnWording wording = { .script = TRUE };

      g_assert_cmpfloat_with_epsilon (spoken (dwn_word_level_figure (&wording, dbm, 3)), dbm, 0.0006);
      /* The constant is published with two decimals. */
      wording.level = DWN_LEVEL_DBMV;
      g_assert_cmpfloat_with_epsilon (spoken (dwn_word_level_figure (&wording, dbm, 3)) - to_millivolt_db,
                                      dbm, 0.002);
      wording.level = DWN_LEVEL_DBUV;
      g_assert_cmpfloat_with_epsilon (spoken (dwn_word_level_figure (&wording, dbm, 3)) - to_millivolt_db - 60.0,
                                      dbm, 0.002);
    }
}

static void
test_lengths (void)
{
  const DwnWording metric = { .script = TRUE }, imperial = { .script = TRUE, .miles = TRUE, .feet = TRUE };
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED);

  for (guint i = 0; i < N; i++)
    {
      double distance_m = g_rand_double_range (random, 0.0, 300e3);

      g_assert_cmpfloat_with_epsilon (1000.0 * spoken (dwn_word_distance (&metric, distance_m)), distance_m, 500.1);
      g_assert_cmpfloat_with_epsilon (1609.344 * spoken (dwn_word_distance (&imperial, distance_m)), distance_m,
                                      804.8);
      double height_m = g_rand_double_range (random, 0.0, 2000.0);
      g_assert_cmpfloat_with_epsilon (spoken (dwn_word_height (&metric, height_m)), height_m, 0.501);
      g_assert_cmpfloat_with_epsilon (0.3048 * spoken (dwn_word_height (&imperial, height_m)), height_m, 0.153);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/units/levels", test_levels);
  g_test_add_func ("/units/lengths", test_lengths);
  return g_test_run ();
}
