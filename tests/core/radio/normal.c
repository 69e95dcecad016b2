#include "core/radio/normal.h"

#include <math.h>

/* Quantiles: check values printed with algorithm AS 241 (Wichura, Applied Statistics 37, 1988) for
 * 0.25, 0.001 and 1e-20; the others from tables of the normal distribution (from memory). */
static const struct {
  double share, z;
} quantiles[] = {
  { 0.25, -0.6744897501960817 },
  { 0.001, -3.090232306167814 },
  { 1e-20, -9.262340089798408 },
  { 0.5, 0 },
  { 0.9, 1.2815515655446004 },
  { 0.975, 1.959963984540054 },
  { 0.99, 2.3263478740408408 },
};

static void
test_quantile (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);

  g_assert_cmpfloat_with_epsilon (dwn_normal_quantile (quantiles[i].share), quantiles[i].z, 1e-14);
}

static void
test_there_and_back (void)
{
  for (double z = -8; z <= 3; z += 0.037)
    g_assert_cmpfloat_with_epsilon (dwn_normal_quantile (dwn_normal_share (z)), z, 2e-13);
}

static void
test_ends (void)
{
  g_assert_true (isinf (dwn_normal_quantile (0)) && dwn_normal_quantile (0) < 0);
  g_assert_true (isinf (dwn_normal_quantile (1)) && dwn_normal_quantile (1) > 0);
  g_assert_true (isnan (dwn_normal_quantile (-0.1)));
  g_assert_true (isnan (dwn_normal_quantile (1.1)));
  g_assert_true (isnan (dwn_normal_quantile ((double) NAN)));
  g_assert_cmpfloat_with_epsilon (dwn_normal_quantile (0x1p-1074),
                                  dwn_normal_quantile (1e-300), 1e-14);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (quantiles); i++)
    {
      g_autofree char *path = g_strdup_printf ("/normal/quantile/%g", quantiles[i].share);

      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_quantile);
    }
  g_test_add_func ("/normal/there-and-back", test_there_and_back);
  g_test_add_func ("/normal/ends", test_ends);
  return g_test_run ();
}
