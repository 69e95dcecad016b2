/* Patterns: exact at their nodes, straight lines between, and refused where they cannot be. */
#include "core/antenna/pattern.h"

#include <math.h>

#define EXACT 1e-12

/* Two frequencies, four azimuths, three elevations; round figures, so that every expected value
 * below is worked in the head. */
static const double cross_mhz[] = { 500.0, 600.0 };
static const double cross_azimuth_deg[] = { 0.0, 90.0, 180.0, 270.0 };
static const double cross_gain_dbi[] = { 10.0, 0.0, -10.0, -4.0,   12.0, 2.0, -20.0, 2.0 };
static const double cross_elevation_deg[] = { -30.0, 0.0, 30.0 };
static const double cross_elevation_db[] = { -6.0, 0.0, -3.0,   -8.0, 0.0, -5.0 };

static DwnPattern
cross_values (void)
{
  return (DwnPattern){ .id = "cross", .name = "Cross", .source = "made up", .price = (double) NAN,
                       .n_mhz = 2, .mhz = cross_mhz, .n_azimuth = 4,
                       .azimuth_deg = cross_azimuth_deg, .gain_dbi = cross_gain_dbi,
                       .n_elevation = 3, .elevation_deg = cross_elevation_deg,
                       .elevation_db = cross_elevation_db };
}

static DwnPattern *
cross (void)
{
  DwnPattern values = cross_values ();
  g_autoptr (GError) error = NULL;
  DwnPattern *pattern = dwn_pattern_new (&values, &error);

  g_assert_no_error (error);
  return pattern;
}

typedef struct {
  const char *name;
  double azimuth_deg, mhz, gain_dbi;
} GainCase;

static const GainCase gain_cases[] = {
  { "node", 90.0, 500.0, 0.0 },
  { "second-frequency-node", 180.0, 600.0, -20.0 },
  { "between-azimuths", 45.0, 500.0, 5.0 },
  { "across-north", 315.0, 500.0, 3.0 },
  { "negative-azimuth", -45.0, 500.0, 3.0 },
  { "several-turns", 45.0 + 1080.0, 500.0, 5.0 },
  { "hair-below-north", -1e-300, 500.0, 10.0 },
  { "between-frequencies", 0.0, 550.0, 11.0 },
  { "between-both", 225.0, 525.0, -7.5 }, /* 0.75 × −7 + 0.25 × −9 */
  { "octave-below", 0.0, 250.0, -2.0 },   /* 10 − 12 */
  { "octave-above", 90.0, 1200.0, -10.0 },
  { "two-octaves-above", 0.0, 2400.0, -12.0 },
};

static void
test_gain (gconstpointer data)
{
  const GainCase *c = data;
  g_autoptr (DwnPattern) pattern = cross ();

  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, c->azimuth_deg, c->mhz),
                                  c->gain_dbi, EXACT);
}

static void
test_sample_is_gain (void)
{
  g_autoptr (DwnPattern) pattern = cross ();
  const double some_mhz[] = { 200.0, 500.0, 541.0, 900.0 };
  double gain_dbi[360];

  for (gsize f = 0; f < G_N_ELEMENTS (some_mhz); f++)
    {
      dwn_pattern_sample (pattern, some_mhz[f], 360, gain_dbi);
      for (int k = 0; k < 360; k++)
        g_assert_cmpfloat (gain_dbi[k], ==, dwn_pattern_gain_dbi (pattern, k, some_mhz[f]));
    }
}

static void
test_uneven_azimuths (void)
{
  static const double azimuth_deg[] = { 10.0, 20.0, 350.0 };
  static const double gain_dbi[] = { 2.0, 4.0, 6.0 };
  static const double mhz[] = { 600.0 };
  const DwnPattern values = { .id = "uneven", .n_mhz = 1, .mhz = mhz, .n_azimuth = 3,
                              .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 0.0, 600.0), 4.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 355.0, 600.0), 5.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 15.0, 600.0), 3.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 185.0, 600.0), 5.0, EXACT);
}

static void
test_outside_domain (void)
{
  g_autoptr (DwnPattern) pattern = cross ();
  double one_dbi;

  g_assert_true (isnan (dwn_pattern_gain_dbi (pattern, 0.0, 0.0)));
  g_assert_true (isnan (dwn_pattern_gain_dbi (pattern, 0.0, -500.0)));
  g_assert_true (isnan (dwn_pattern_gain_dbi (pattern, 0.0, (double) NAN)));
  g_assert_true (isnan (dwn_pattern_gain_dbi (pattern, (double) INFINITY, 500.0)));
  g_assert_true (isnan (dwn_pattern_max_gain_dbi (pattern, 0.0)));
  g_assert_true (isnan (dwn_pattern_beamwidth_deg (pattern, -1.0)));
  g_assert_true (isnan (dwn_pattern_front_to_back_db (pattern, -1.0)));
  g_assert_true (isnan (dwn_pattern_elevation_db (pattern, (double) NAN, 500.0)));
  dwn_pattern_sample (pattern, 0.0, 1, &one_dbi);
  g_assert_true (isnan (one_dbi));
}

static void
test_elevation (void)
{
  g_autoptr (DwnPattern) pattern = cross ();
  DwnPattern flat_values = cross_values ();
  g_autoptr (DwnPattern) flat = NULL;

  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (pattern, 30.0, 600.0), -5.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (pattern, 15.0, 550.0), -2.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (pattern, -80.0, 400.0), -6.0, EXACT);
  flat_values.n_elevation = 0;
  flat = dwn_pattern_new (&flat_values, NULL);
  g_assert_cmpfloat (dwn_pattern_elevation_db (flat, 60.0, 550.0), ==, 0.0);
}

static void
test_figures (void)
{
  g_autoptr (DwnPattern) pattern = cross ();

  g_assert_cmpfloat_with_epsilon (dwn_pattern_max_gain_dbi (pattern, 550.0), 11.0, EXACT);
  /* 3.0103 dB at 10 dB in 90° on one side and 14 dB in 90° on the other. */
  g_assert_cmpfloat_with_epsilon (dwn_pattern_beamwidth_deg (pattern, 500.0),
                                  3.010299957 * (9.0 + 90.0 / 14.0), 1e-6);
  /* The rear sector from 120° to 240°: −10/3 dBi at 120°, −6 dBi at 240°. */
  g_assert_cmpfloat_with_epsilon (dwn_pattern_front_to_back_db (pattern, 500.0),
                                  10.0 + 10.0 / 3.0, EXACT);
}

static void
test_mismatch (void)
{
  static const double mismatch_db[] = { 1.0, 3.0 }, half_known_db[] = { (double) NAN, 3.0 };
  static const double negative_db[] = { 1.0, -0.1 };
  DwnPattern values = cross_values ();
  g_autoptr (DwnPattern) silent = cross ();
  g_autoptr (DwnPattern) pattern = NULL, half_known = NULL;
  g_autoptr (GError) error = NULL;

  values.mismatch_db = mismatch_db;
  pattern = dwn_pattern_new (&values, NULL);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (pattern, 550.0), 2.0, EXACT);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (pattern, 100.0), ==, 1.0);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (pattern, 900.0), ==, 3.0);
  g_assert_true (isnan (dwn_pattern_mismatch_db (pattern, 0.0)));
  g_assert_cmpfloat (dwn_pattern_mismatch_db (silent, 550.0), ==, 0.0);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 0.0, 500.0), ==, 10.0);
  values.mismatch_db = half_known_db;
  half_known = dwn_pattern_new (&values, NULL);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (half_known, 550.0), ==, 0.0);
  values.mismatch_db = negative_db;
  g_assert_null (dwn_pattern_new (&values, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
}

static void
test_all_round (void)
{
  static const double mhz[] = { 100.0 }, azimuth_deg[] = { 0.0 }, gain_dbi[] = { -1.0 };
  const DwnPattern values = { .id = "round", .n_mhz = 1, .mhz = mhz, .n_azimuth = 1,
                              .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi };
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);

  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 123.4, 100.0), ==, -1.0);
  g_assert_cmpfloat (dwn_pattern_beamwidth_deg (pattern, 100.0), ==, 360.0);
  g_assert_cmpfloat (dwn_pattern_front_to_back_db (pattern, 100.0), ==, 0.0);
}

static void
test_relative_field (void)
{
  static const double azimuth_deg[] = { 0.0, 90.0, 180.0, 270.0 };
  static const double field[] = { 1.0, 0.5, 0.0, 0.1 };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPattern) pattern
      = dwn_pattern_new_relative_field ("tx", 4, azimuth_deg, field, 30.0, "made up", &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 30.0, 605.0), 0.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 120.0, 57.0),
                                  -6.020599913, 1e-9); /* 20 log10 ½ */
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 210.0, 605.0), -40.0, EXACT);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 300.0, 605.0), -20.0, EXACT);
}

/* Turned back or by more than a circle, the pattern is the same one. */
static void
test_rotation_wraps (void)
{
  static const double azimuth_deg[] = { 0.0, 100.0, 200.0 };
  static const double field[] = { 1.0, 0.5, 0.25 };
  const double turns_deg[] = { -30.0, 330.0, 690.0 };

  for (gsize i = 0; i < G_N_ELEMENTS (turns_deg); i++)
    {
      g_autoptr (DwnPattern) pattern
          = dwn_pattern_new_relative_field ("tx", 3, azimuth_deg, field, turns_deg[i], "", NULL);

      g_assert_nonnull (pattern);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 330.0, 605.0), 0.0, EXACT);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 70.0, 605.0),
                                      -6.020599913, 1e-9);
    }
}

typedef struct {
  const char *name;
  int code;
  gsize n_mhz, n_azimuth;
  double first_mhz, second_azimuth_deg, first_gain_dbi;
} RefusedCase;

static const RefusedCase refused_cases[] = {
  { "no-frequency", DWN_PATTERN_ERROR_EMPTY, 0, 4, 500.0, 90.0, 0.0 },
  { "no-azimuth", DWN_PATTERN_ERROR_EMPTY, 2, 0, 500.0, 90.0, 0.0 },
  { "falling-frequency", DWN_PATTERN_ERROR_ORDER, 2, 4, 600.0, 90.0, 0.0 },
  { "zero-frequency", DWN_PATTERN_ERROR_RANGE, 2, 4, 0.0, 90.0, 0.0 },
  { "frequency-nan", DWN_PATTERN_ERROR_RANGE, 2, 4, (double) NAN, 90.0, 0.0 },
  { "azimuth-twice", DWN_PATTERN_ERROR_ORDER, 2, 4, 500.0, 0.0, 0.0 },
  { "azimuth-360", DWN_PATTERN_ERROR_RANGE, 2, 4, 500.0, 360.0, 0.0 },
  { "gain-nan", DWN_PATTERN_ERROR_RANGE, 2, 4, 500.0, 90.0, (double) NAN },
  { "gain-1e308", DWN_PATTERN_ERROR_RANGE, 2, 4, 500.0, 90.0, 1e308 },
};

static void
test_refused (gconstpointer data)
{
  const RefusedCase *c = data;
  double mhz[] = { c->first_mhz, 600.0 };
  double azimuth_deg[] = { 0.0, c->second_azimuth_deg, 180.0, 270.0 };
  double gain_dbi[8] = { c->first_gain_dbi };
  DwnPattern values = cross_values ();
  g_autoptr (GError) error = NULL;

  values.n_mhz = c->n_mhz;
  values.n_azimuth = c->n_azimuth;
  values.mhz = mhz;
  values.azimuth_deg = azimuth_deg;
  values.gain_dbi = gain_dbi;
  g_assert_null (dwn_pattern_new (&values, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, c->code);
}

static void
test_field_refused (void)
{
  static const double azimuth_deg[] = { 0.0, 90.0 };
  static const double above[] = { 1.0, 1.2 }, below[] = { -0.1, 1.0 }, fine[] = { 1.0, 1.0 };
  const double *wrong[] = { above, below };
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (wrong); i++)
    {
      g_assert_null (dwn_pattern_new_relative_field ("tx", 2, azimuth_deg, wrong[i], 0.0, "",
                                                     &error));
      g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
      g_clear_error (&error);
    }
  g_assert_null (dwn_pattern_new_relative_field ("tx", 2, azimuth_deg, fine, (double) NAN, "",
                                                 &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (gain_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pattern/gain/%s", gain_cases[i].name);

      g_test_add_data_func (path, &gain_cases[i], test_gain);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refused_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pattern/refused/%s", refused_cases[i].name);

      g_test_add_data_func (path, &refused_cases[i], test_refused);
    }
  g_test_add_func ("/pattern/sample-is-gain", test_sample_is_gain);
  g_test_add_func ("/pattern/uneven-azimuths", test_uneven_azimuths);
  g_test_add_func ("/pattern/outside-domain", test_outside_domain);
  g_test_add_func ("/pattern/elevation", test_elevation);
  g_test_add_func ("/pattern/figures", test_figures);
  g_test_add_func ("/pattern/mismatch", test_mismatch);
  g_test_add_func ("/pattern/all-round", test_all_round);
  g_test_add_func ("/pattern/relative-field", test_relative_field);
  g_test_add_func ("/pattern/rotation-wraps", test_rotation_wraps);
  g_test_add_func ("/pattern/field-refused", test_field_refused);
  return g_test_run ();
}
