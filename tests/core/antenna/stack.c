/* Two alike as one antenna with an id of its own. */
#include "core/antenna/stack.h"

#include <math.h>

#include "core/antenna/catalogue.h"

typedef struct {
  const char *id;
  gboolean valid;
  DwnStack direction;
  double spacing_m;
  const char *of;
} IdCase;

static const IdCase id_cases[] = {
  { "stack-above-0.85-bowtie-4", TRUE, DWN_STACK_VERTICAL, 0.85, "bowtie-4" },
  { "stack-beside-1.20-yagi-uhf-20", TRUE, DWN_STACK_HORIZONTAL, 1.2, "yagi-uhf-20" },
  { "bowtie-4", FALSE, 0, 0, NULL },
  { "stack-above-bowtie-4", FALSE, 0, 0, NULL },
  { "stack-below-0.85-bowtie-4", FALSE, 0, 0, NULL },
  { "stack-above-0.85-", FALSE, 0, 0, NULL },
  { "stack-above-0.85", FALSE, 0, 0, NULL },
  { "stack-above--1-bowtie-4", FALSE, 0, 0, NULL },
  { "stack-above-0.00-bowtie-4", FALSE, 0, 0, NULL },
  { "stack-above-0.85-stack-above-0.85-bowtie-4", FALSE, 0, 0, NULL },
  { "stack-above-1e999-bowtie-4", TRUE, DWN_STACK_VERTICAL, (double) INFINITY, "bowtie-4" },
  { "", FALSE, 0, 0, NULL },
};

static void
test_id (gconstpointer data)
{
  const IdCase *c = data;
  DwnStackId stack;

  g_assert_cmpint (dwn_stack_id_parse (c->id, &stack), ==, c->valid);
  if (!c->valid)
    return;
  g_assert_cmpint (stack.direction, ==, c->direction);
  g_assert_cmpfloat (stack.spacing_m, ==, c->spacing_m);
  g_assert_cmpstr (stack.of, ==, c->of);
  g_autofree char *again = dwn_stack_id (&stack);
  if (isfinite (c->spacing_m)) /* no antenna stands so far: refused where one is made of it */
    g_assert_cmpstr (again, ==, c->id);
}

/* 3 dB less half a decibel in the combiner, towards the front and, one above the other, at every bearing
 * (an amateur's handbook by way of the trade sheet: +2.5 dB net). */
static void
test_of_catalogue (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnAntenna) one = dwn_catalogue_antenna (catalogue, "bowtie-4", &error);
  g_autoptr (DwnAntenna) two = dwn_catalogue_antenna (catalogue, "stack-above-0.85-bowtie-4", &error);
  g_autoptr (DwnPattern) beside = dwn_antenna_resolve (catalogue, "stack-beside-0.85-bowtie-4", &error);

  g_assert_no_error (error);
  g_assert_cmpstr (two->pattern->id, ==, "stack-above-0.85-bowtie-4");
  g_assert_cmpstr (two->pattern->name, ==, one->pattern->name);
  g_assert_cmpfloat (two->feed_ohm, ==, one->feed_ohm);
  for (double mhz = 473.0; mhz < 605.0; mhz += 6.0)
    {
      for (double azimuth_deg = 0.0; azimuth_deg < 360.0; azimuth_deg += 30.0)
        g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (two->pattern, azimuth_deg, mhz)
                                        - dwn_pattern_gain_dbi (one->pattern, azimuth_deg, mhz), 2.51, 0.01);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (beside, 0.0, mhz)
                                      - dwn_pattern_gain_dbi (one->pattern, 0.0, mhz), 2.51, 0.01);
      g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (two->pattern, mhz),
                                      dwn_pattern_mismatch_db (one->pattern, mhz), 0.001);
    }
}

static void
test_refused (void)
{
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnPattern) two = dwn_catalogue_pattern (catalogue, "stack-above-0.85-bowtie-4", NULL);
  g_autoptr (GError) again = NULL, unknown = NULL, far = NULL;

  g_assert_null (dwn_stack_pattern (two, DWN_STACK_VERTICAL, 1.0, &again));
  g_assert_error (again, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
  g_assert_null (dwn_catalogue_pattern (catalogue, "stack-above-0.85-no-such", &unknown));
  g_assert_error (unknown, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN);
  g_assert_null (dwn_catalogue_pattern (catalogue, "stack-above-101.00-bowtie-4", &far));
  g_assert_error (far, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);

  /* However deep, it is just an antenna that nobody knows. */
  g_autoptr (GString) deep = g_string_new (NULL);
  g_autoptr (GError) nested = NULL;
  for (guint k = 0; k < 100000; k++)
    g_string_append (deep, "stack-above-1.00-");
  g_string_append (deep, "bowtie-4");
  g_assert_null (dwn_catalogue_pattern (catalogue, deep->str, &nested));
  g_assert_error (nested, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN);

  /* Nor can somebody's own antenna be called so. */
  DwnPattern values = *two;
  values.id = "stack-above-1.00-mine";
  g_autoptr (DwnPattern) mine = dwn_pattern_new (&values, NULL);
  const DwnAntenna antenna = { .pattern = mine, .feed_ohm = (double) NAN, .balun_db = (double) NAN };
  g_autoptr (GError) taken = NULL;
  g_assert_false (dwn_catalogue_save_personal (&antenna, &taken));
  g_assert_error (taken, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE);
}

/* Amateur tables of stacking distances: 30° 1.9 λ, 40° 1.5 λ, 60° 1.0 λ, by the lobe's width in the plane
 * of stacking. */
static void
test_spacing (void)
{
  static const struct { double width_deg, waves; } cases[] = { { 30, 1.9 }, { 40, 1.5 }, { 60, 1.0 } };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      double half = cases[i].width_deg / 2.0, mhz = 600.0;
      const double azimuth_deg[] = { 0.0, half, 360.0 - half };
      const double gain_dbi[] = { 10.0, 10.0 - 3.0103, 10.0 - 3.0103 };
      const double elevation_deg[] = { -90.0, 0.0, 90.0 }, elevation_db[] = { -1.0, 0.0, -1.0 };
      const DwnPattern values = { .id = "wide", .name = "Wide", .n_mhz = 1, .mhz = &mhz, .n_azimuth = 3,
                                  .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi, .n_elevation = 3,
                                  .elevation_deg = elevation_deg, .elevation_db = elevation_db,
                                  .price = (double) NAN };
      g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);
      double wave_m = 299.792458 / mhz;

      g_assert_cmpfloat_with_epsilon (dwn_stack_best_spacing_m (pattern, DWN_STACK_HORIZONTAL, mhz) / wave_m,
                                      cases[i].waves, 0.051);
      /* All round upwards and downwards: half a wavelength. */
      g_assert_cmpfloat_with_epsilon (dwn_pattern_beamheight_deg (pattern, mhz), 180.0, 1e-9);
      g_assert_cmpfloat_with_epsilon (dwn_stack_best_spacing_m (pattern, DWN_STACK_VERTICAL, mhz) / wave_m, 0.5,
                                      1e-9);
      g_assert_true (isnan (dwn_stack_best_spacing_m (pattern, DWN_STACK_VERTICAL, 0.0)));
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (id_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/stack/id/%" G_GSIZE_FORMAT, i);
      g_test_add_data_func (path, &id_cases[i], test_id);
    }
  g_test_add_func ("/stack/of-catalogue", test_of_catalogue);
  g_test_add_func ("/stack/refused", test_refused);
  g_test_add_func ("/stack/spacing", test_spacing);
  return g_test_run ();
}
