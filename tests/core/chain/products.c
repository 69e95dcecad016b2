#include "core/chain/products.h"

#include <math.h>

/* Two lines of 0 dBm (1 mW) at an output of OIP2 +40 and OIP3 +20 dBm: f1 ± f2 comes out at
 * 2 · 0 - 40 = -40 dBm, 2 f1 - f2 at 3 · 0 - 2 · 20 = -40 dBm; 2 f is 6.02 dB under f1 + f2, three
 * lines' f1 + f2 - f3 6.02 dB over 2 f1 - f2 and 3 f 9.54 dB under it (intercept definitions and the
 * power series, e.g. Pozar, Microwave Engineering, §10.3). */
#define PER_OIP2 1e-4 /* per mW */
#define PER_OIP3 1e-4 /* 20 dBm is 100 mW: one over its square */

static const struct {
  const char *name;
  double line_mhz[3];  /* 0: none */
  double wanted_mhz;
  double dbm;          /* INFINITY: nothing falls there */
} cases[] = {
  { "sum", { 90, 107, 0 }, 197, -40 },
  { "difference", { 600, 423, 0 }, 177, -40 },
  { "harmonic", { 90, 0, 0 }, 180, -46.02 },
  { "two-tone-below", { 500, 520, 0 }, 480, -40 },
  { "two-tone-above", { 500, 520, 0 }, 540, -40 },
  { "two-tone-sum", { 100, 320, 0 }, 520, -40 },
  { "triple-beat", { 500, 512, 530 }, 482, -33.98 },
  { "triple-sum", { 100, 150, 300 }, 550, -33.98 },
  { "third-harmonic", { 190, 0, 0 }, 570, -49.54 },
  { "on-the-edge", { 500, 517, 0 }, 480, -43.01 }, /* 2 · 500 - 517 = 483 */
  { "beside", { 500, 512, 0 }, 480, (double) INFINITY },
  /* f0 + f1 - f1 is no product. */
  { "itself", { 480, 512, 0 }, 480, (double) INFINITY },
};

static void
test_one (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  DwnCarrier carrier[4] = { { cases[i].wanted_mhz, 6.0, TRUE } };
  double mw[4] = { 0.0, 0.0, 0.0, 0.0 }, channel_mw;
  guint n = 1;

  for (guint k = 0; k < 3 && cases[i].line_mhz[k] > 0.0; k++)
    carrier[n++] = (DwnCarrier) { cases[i].line_mhz[k], 0.0, FALSE };
  g_autoptr (DwnProducts) products = dwn_products_new (n, carrier);
  for (guint c = 1; c < n; c++)
    mw[products->line[c]] = 1.0;
  g_assert_cmpuint (products->n_channels, ==, 1);
  dwn_products_fill (products, mw, PER_OIP2, PER_OIP3, &channel_mw);
  if (isinf (cases[i].dbm))
    g_assert_cmpfloat (channel_mw, ==, 0.0);
  else
    g_assert_cmpfloat_with_epsilon (10.0 * log10 (channel_mw), cases[i].dbm, 0.01);
  g_assert_cmpfloat (channel_mw, <=, dwn_products_bound_mw (n - 1.0, PER_OIP2, PER_OIP3));
}

/* Carriers on one frequency are one line, and channels are shared; an order that is not asked for
 * brings nothing. */
static void
test_lines (void)
{
  const DwnCarrier carrier[] = {
    { 500, 6, TRUE }, { 520, 6, TRUE }, { 500, 6, TRUE }, { 480, 8, TRUE }, { 480, 6, TRUE },
  };
  g_autoptr (DwnProducts) products = dwn_products_new (G_N_ELEMENTS (carrier), carrier);
  double mw[3] = { 2.0, 1.0, 0.0 }, channel_mw[4];

  g_assert_cmpuint (products->n_lines, ==, 3);
  g_assert_cmpuint (products->n_channels, ==, 4);
  g_assert_cmpuint (products->line[2], ==, products->line[0]);
  g_assert_cmpint (products->channel[2], ==, products->channel[0]);
  dwn_products_fill (products, mw, 0.0, PER_OIP3, channel_mw);
  /* 2 mW twice and 1 mW once: 4 times the -40 dBm of three single ones. */
  g_assert_cmpfloat_with_epsilon (channel_mw[products->channel[3]], 4e-4, 1e-10);
  dwn_products_fill (products, mw, 0.0, 0.0, channel_mw);
  g_assert_cmpfloat (channel_mw[products->channel[3]], ==, 0.0);
  g_assert_true (products->third[products->channel[4]]);
  g_assert_false (products->second[products->channel[4]]);
}

/* All products of any lines in all channels together stay below the bound. */
static void
test_bound (void)
{
  DwnCarrier carrier[60];
  double mw[60], channel_mw[60], total_mw = 0.0, sum_mw = 0.0;

  for (guint c = 0; c < G_N_ELEMENTS (carrier); c++)
    carrier[c] = (DwnCarrier) { 57.0 + 24.0 * c, 24.0, TRUE }; /* every frequency is in one */
  g_autoptr (DwnProducts) products = dwn_products_new (G_N_ELEMENTS (carrier), carrier);
  for (guint c = 0; c < G_N_ELEMENTS (carrier); c++)
    {
      mw[c] = 0.01 * (1 + c % 7);
      total_mw += mw[c];
    }
  dwn_products_fill (products, mw, PER_OIP2, PER_OIP3, channel_mw);
  for (guint c = 0; c < products->n_channels; c++)
    sum_mw += channel_mw[c];
  double bound_mw = dwn_products_bound_mw (total_mw, PER_OIP2, PER_OIP3);
  g_assert_cmpfloat (sum_mw, <, bound_mw);
  g_assert_cmpfloat (sum_mw, >, 0.1 * bound_mw);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize k = 0; k < G_N_ELEMENTS (cases); k++)
    {
      g_autofree char *path = g_strconcat ("/products/", cases[k].name, NULL);
      g_test_add_data_func (path, GSIZE_TO_POINTER (k), test_one);
    }
  g_test_add_func ("/products/lines", test_lines);
  g_test_add_func ("/products/bound", test_bound);
  return g_test_run ();
}
