#include "core/chain/overload.h"

#include "gear.h"

/* One amplifier of no gain with round intercepts between an antenna and a tuner. */
static const char parts[] =
  "[part amp]\nkind=amplifier\nname=A\nsource=test\ngain=0\nnoise-figure=3\n"
  "unpowered-loss-db=30\nmax-output-dbm=-5\noip2-dbm=45\noip3-dbm=30\n"
  "[part loss]\nkind=attenuator\nname=L\nsource=test\ngain=0\n"
  "[part tv]\nkind=outlet\nname=T\nsource=test\nnoise-figure=7\nmax-input-dbm=-10\n";

static double
mw_of_dbm (double dbm)
{
  return pow (10, dbm / 10);
}

static double
dbm_of_mw (double mw)
{
  return 10 * log10 (mw);
}

static DwnChain *
amplified (double gain_db, double loss_db)
{
  g_autoptr (DwnPartList) list = gear_list_of_text (parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "amp", "amp")->gain_db = gain_db;
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "loss", "loss")->gain_db = -loss_db;
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);
  return gear_build (&gear, list);
}

/* What lands in the channel of carrier 0, at the tuner, dBm; levels are those at the antenna. */
static double
product_dbm (const DwnChain *chain, guint n, const DwnCarrier *carrier, const double *dbm)
{
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, n, carrier);
  g_autofree double *terminal_mw = g_new (double, n);
  g_autofree double *level_mw = g_new (double, n * overload->n_points);
  g_autofree double *total_mw = g_new (double, overload->n_points);
  g_autofree double *product_mw = g_new (double, n * overload->n_sinks);
  g_autofree gpointer workspace = g_malloc (dwn_overload_workspace_size (overload));

  for (guint c = 0; c < n; c++)
    terminal_mw[c] = mw_of_dbm (dbm[c]);
  dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  dwn_overload_products (overload, level_mw, product_mw, workspace);
  return dbm_of_mw (product_mw[0]);
}

/* Textbook figures. */
static void
test_formulas (void)
{
  /* Input power -20 dBm a tone, intercept +10 dBm, product -80 dBm; output +10 dBm, product
   * -50 dBm, intercept +40 dBm: rfessentials.com, "How do I calculate intermodulation product
   * levels from two tone measurements?" */
  g_assert_cmpfloat (dwn_third_order_dbm (-20, -20, 10), ==, -80);
  g_assert_cmpfloat (dwn_third_order_dbm (10, 10, 40), ==, -50);
  /* A triple beat of equal carriers lies 6 dB above: H. Hausman, "Carrier triple beats", Microwave
   * Journal. */
  g_assert_cmpfloat_with_epsilon (dwn_triple_beat_dbm (10, 10, 10, 40), -44, 0.03);
  /* At the intercept carrier and product are equal, by definition; from cos² = (1 + cos 2x) / 2
   * the harmonic is 6 dB under the sum, from cos³ the third one 9.54 dB under 2 f0 - f1. */
  g_assert_cmpfloat (dwn_second_order_dbm (45, 45, 45), ==, 45);
  g_assert_cmpfloat_with_epsilon (dwn_harmonic_dbm (0, 45), -51.02, 0.005);
  g_assert_cmpfloat_with_epsilon (dwn_harmonic_dbm (10, 45), -31.02, 0.005);
  g_assert_cmpfloat_with_epsilon (dwn_third_harmonic_dbm (0, 30), -69.54, 0.005);
  g_assert_cmpfloat_with_epsilon (dwn_third_harmonic_dbm (10, 30), -39.54, 0.005);
  g_assert_cmpfloat (dwn_carrier_limit_dbm (112.45, 1), ==, 112.45);
  g_assert_true (isnan (dwn_carrier_limit_dbm (112.45, 0)));
  /* 104 dBµV each of 7 carriers, data sheet of the trade sheet's section B: 8.45 dB under one. */
  g_assert_cmpfloat_with_epsilon (dwn_carrier_limit_dbm (112.45, 7), 104, 0.005);
}

static const struct {
  const char *name;
  double mhz[4], dbm[4]; /* the first is the wanted one, at next to nothing; 0 MHz ends */
  double expected_dbm;
} product_cases[] = {
  /* 2 · 479 - 485 = 473: 2 · (-10) - 20 - 60 */
  { "two-tone-equal", { 473, 479, 485 }, { -200, -10, -10 }, -90 },
  { "two-tone-unequal", { 473, 479, 485 }, { -200, -10, -20 }, -100 },
  { "two-tone-other", { 491, 479, 485 }, { -200, -10, -20 }, -110 },
  /* 503 + 521 - 551 = 473: -30 - 60 + 6.02 */
  { "triple-beat", { 473, 503, 521, 551 }, { -200, -10, -10, -10 }, -83.98 },
  { "triple-beat-unequal", { 473, 503, 521, 551 }, { -200, -10, -15, -20 }, -98.98 },
  /* 88.1 + 107.9 = 196, within 192 to 198 MHz: the trade's warning about FM and channels 7 to 13 */
  { "fm-sum", { 195, 88.1, 107.9 }, { -200, -10, -20 }, -75 },
  { "fm-harmonic", { 195, 98 }, { -200, -10 }, -71.02 },
  /* 2 · 88.5 - 98 = 79: third order of FM in channel 5, 76 to 82 MHz */
  { "fm-third", { 79, 88.5, 98 }, { -200, -10, -10 }, -90 },
  { "difference", { 57, 533, 590 }, { -200, -10, -10 }, -65 },
  /* Three of high VHF add up into UHF: 175 + 181 + 204 = 560; twice one and another */
  { "triple-sum", { 560, 175, 181, 204 }, { -200, -10, -10, -10 }, -83.98 },
  { "two-tone-taken-away", { 473, 673, 100 }, { -200, -10, -10 }, -90 }, /* 673 - 2 · 100 */
  { "two-tone-sum", { 557, 183, 191 }, { -200, -10, -10 }, -90 },
  { "third-harmonic", { 531, 177 }, { -200, -10 }, -99.54 },
  { "triple-difference", { 190, 600, 180, 230 }, { -200, -10, -10, -10 }, -83.98 },
  /* Right on the channel's edge: half of it. 2 · 479 - 482 = 476 */
  { "edge", { 473, 479, 482 }, { -200, -10, -10 }, -93.01 },
};

static void
test_product (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnChain) chain = amplified (0, 0);
  DwnCarrier carrier[4];
  guint n = 0;

  for (; n < 4 && product_cases[i].mhz[n] > 0; n++)
    carrier[n] = (DwnCarrier) { product_cases[i].mhz[n], n == 0 ? 6 : 0, n == 0 };
  g_assert_cmpfloat_with_epsilon (product_dbm (chain, n, carrier, product_cases[i].dbm),
                                  product_cases[i].expected_dbm, 0.01);

  /* It is the only one, so it is the strongest; named whole even on the edge. */
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, n, carrier);
  double mw[8] = { 0 }, mhz = 0;
  DwnProduct product;

  for (guint c = 0; c < n; c++)
    mw[c] = mw_of_dbm (product_cases[i].dbm[c]);
  g_assert_true (dwn_overload_strongest (overload, mw, 0, 0, &product));
  g_assert_cmpfloat_with_epsilon (
    product.dbm, product_cases[i].expected_dbm + (g_str_equal (product_cases[i].name, "edge") ? 3.01 : 0),
    0.01);
  for (guint k = 0; k < 3; k++)
    mhz += product.times[k] * product_cases[i].mhz[product.carrier[k]];
  g_assert_cmpfloat_with_epsilon (mhz, product_cases[i].mhz[0], 3 + 1e-9);
}

/* Two amplifiers in a row, which give no gain: each makes its own product, 20 dB apart by their
 * intercepts' 10 dB, and both arrive. */
static void
test_two_in_a_row (void)
{
  static const char text[] =
    "[part one]\nkind=amplifier\nname=A\nsource=test\ngain=0\nnoise-figure=3\n"
    "unpowered-loss-db=30\noip3-dbm=30\n"
    "[part two]\nkind=amplifier\nname=B\nsource=test\ngain=0\nnoise-figure=3\n"
    "unpowered-loss-db=30\noip3-dbm=20\n"
    "[part tv]\nkind=outlet\nname=T\nsource=test\nnoise-figure=7\n";
  static const DwnCarrier carrier[] = { { 473, 6, TRUE }, { 479 }, { 485 }, { 190 }, { 283 } };
  static const double dbm[] = { -200, -10, -10, -10, -10 };
  g_autoptr (DwnPartList) list = gear_list_of_text (text);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "one", "one");
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "two", "two");
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  /* 190 + 283 = 473 is of second order, for which they have no intercept: none. */
  g_assert_cmpfloat_with_epsilon (product_dbm (chain, 5, carrier, dbm),
                                  dbm_of_mw (mw_of_dbm (-90) + mw_of_dbm (-70)), 0.01);
}

/* Gain goes into the carriers at the output, loss behind takes products down as it does signals. */
static void
test_gain_and_loss (void)
{
  static const DwnCarrier carrier[] = { { 473, 6, TRUE }, { 479 }, { 485 } };
  static const double dbm[] = { -200, -30, -30 };
  g_autoptr (DwnChain) chain = amplified (20, 7);

  g_assert_cmpfloat_with_epsilon (product_dbm (chain, 3, carrier, dbm),
                                  dwn_third_order_dbm (-10, -10, 30) - 7, 0.01);
}

static void
test_one_carrier_makes_none (void)
{
  static const DwnCarrier carrier = { 473, 6, TRUE };
  static const double dbm = 0;
  g_autoptr (DwnChain) chain = amplified (0, 0);

  g_assert_cmpfloat (product_dbm (chain, 1, &carrier, &dbm), <, -200);
}

/* N equal carriers have 10 log N more than one; limits are met at the output and at the tuner. */
static void
test_totals (void)
{
  DwnCarrier carrier[8];
  double terminal_mw[8], level_mw[16], total_mw[2];
  g_autoptr (DwnChain) chain = amplified (20, 3);

  for (guint c = 0; c < 8; c++)
    {
      carrier[c] = (DwnCarrier) { 473 + 12 * c, 6, TRUE };
      terminal_mw[c] = mw_of_dbm (-35);
    }
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 8, carrier);
  g_assert_cmpuint (overload->n_points, ==, 2);
  g_assert_false (overload->point[0].input);
  g_assert_true (overload->point[1].input);
  dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (total_mw[0]), -15 + 9.031, 1e-3);
  g_assert_cmpfloat_with_epsilon (dwn_overload_headroom_db (overload, 0, total_mw[0]), 0.969, 1e-3);
  g_assert_cmpfloat_with_epsilon (dwn_overload_headroom_db (overload, 1, total_mw[1]), -1.031,
                                  1e-3);
}

static void
test_unpowered (void)
{
  static const DwnCarrier carrier = { 473, 6, TRUE };
  g_autoptr (DwnPartList) list = gear_list_of_text (parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "amp", "amp")->unpowered = TRUE;
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 1, &carrier);

  g_assert_cmpuint (overload->n_points, ==, 1); /* the tuner */
  g_assert_cmpfloat (overload->carrier[0].mhz, ==, 473);
  dwn_overload_free (NULL);
}

/* Every product one by one, as the textbook has it. @most_mw: the largest. */
static double
all_products_mw (guint n, const DwnCarrier *carrier, const double *mw, double *most_mw)
{
  double low = carrier[0].mhz - 3, high = carrier[0].mhz + 3, sum = 0;
  double oip2 = mw_of_dbm (45), oip3 = mw_of_dbm (30);

  *most_mw = 0;

#define LANDS(f, power)                                            \
  do                                                               \
    {                                                              \
      if ((f) >= low && (f) <= high)                               \
        {                                                          \
          sum += ((f) == low || (f) == high ? 0.5 : 1) * (power);  \
          *most_mw = MAX (*most_mw, (power));                      \
        }                                                          \
    }                                                              \
  while (0)

  for (guint a = 0; a < n; a++)
    {
      double fa = carrier[a].mhz;

      LANDS (2 * fa, mw[a] * mw[a] / 4 / oip2);
      LANDS (3 * fa, mw[a] * mw[a] * mw[a] / 9 / oip3 / oip3);
      for (guint b = 0; b < n; b++)
        {
          double fb = carrier[b].mhz, two = mw[a] * mw[b] / oip2;
          double three = mw[a] * mw[a] * mw[b] / oip3 / oip3;

          if (a == b)
            continue;
          if (a < b)
            LANDS (fa + fb, two);
          LANDS (fa - fb, two);
          LANDS (2 * fa - fb, three);
          LANDS (2 * fa + fb, three);
          LANDS (fb - 2 * fa, three);
          for (guint c = 0; c < n && a < b; c++)
            {
              double fc = carrier[c].mhz, beat = 4 * mw[a] * mw[b] * mw[c] / oip3 / oip3;

              if (c == a || c == b)
                continue;
              LANDS (fa + fb - fc, beat);
              LANDS (fc - fa - fb, beat);
              if (c > b)
                LANDS (fa + fb + fc, beat);
            }
        }
    }
#undef LANDS
  return sum;
}

/* Twenty random spectra of 40 different carriers between 54 and 700 MHz. */
static void
test_against_enumeration (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (77);
  g_autoptr (DwnChain) chain = amplified (0, 0);

  for (guint round = 0; round < 20; round++)
    {
      DwnCarrier carrier[40];
      double dbm[40], mw[40];
      gboolean used[1300] = { FALSE };

      for (guint c = 0; c < 40; c++)
        {
          int step;

          do
            step = g_rand_int_range (rand, 0, 1292);
          while (used[step]);
          used[step] = TRUE;
          carrier[c] = (DwnCarrier) { 54 + step * 0.5, 6, c == 0 };
          dbm[c] = g_rand_double_range (rand, -40, 0);
          mw[c] = mw_of_dbm (dbm[c]);
        }
      double most_mw, sum_mw = all_products_mw (40, carrier, mw, &most_mw);
      g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 40, carrier);
      DwnProduct strongest;

      g_assert_cmpfloat_with_epsilon (product_dbm (chain, 40, carrier, dbm), dbm_of_mw (sum_mw), 1e-6);
      /* No gain: at the amplifier's output, the first point, stand the levels of the antenna. */
      g_assert_true (dwn_overload_strongest (overload, mw, 0, 0, &strongest));
      g_assert_cmpfloat_with_epsilon (strongest.dbm, dbm_of_mw (most_mw), 1e-9);
    }
}

/* A triple beat alone: f0 + f1 - f2 with the wanted channel's own carrier as one of the three. */
static void
test_strongest_triple (void)
{
  static const DwnCarrier carrier[] = { { 473, 6, TRUE }, { 503 }, { 500 }, { 600 } };
  const double mw[] = { 0.01, 0.01, 0.01, 0.01, 0, 0, 0, 0 };
  g_autoptr (DwnChain) chain = amplified (0, 0);
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 4, carrier);
  DwnProduct product;

  /* 473 + 503 - 500 = 476: -20 - 60 - 20 + 20 + 6.02 with OIP3 30 dBm. 2 · 500 - 503 = 497 and all
   * others lie outside. */
  g_assert_true (dwn_overload_strongest (overload, mw, 0, 0, &product));
  g_assert_cmpfloat_with_epsilon (product.dbm, 3 * -20 - 2 * 30 + 6.02, 0.01);
  g_assert_cmpint (ABS (product.times[0]) + ABS (product.times[1]) + ABS (product.times[2]), ==, 3);

  /* 400 + 600 - 500 = 500: the first carrier is the one that is taken away. */
  static const DwnCarrier around[] = { { 500, 6, TRUE }, { 400 }, { 600 } };
  g_autoptr (DwnOverload) other = dwn_overload_new (chain, 0, 3, around);
  g_assert_true (dwn_overload_strongest (other, (const double[]) { 0.01, 0.01, 0.01, 0, 0, 0 }, 0, 0,
                                         &product));
  g_assert_cmpfloat_with_epsilon (product.dbm, 3 * -20 - 2 * 30 + 6.02, 0.01);
}

/* Each carrier is looked at, the first too; and an amplifier with two outputs makes products at
 * each by what goes out there, which two tuners get with what stands between. */
static void
test_two_outputs (void)
{
  static const char text[] =
    "[part amp]\nkind=amplifier\nname=A\nsource=test\noutputs=2\ngain=0\ngain-out-2=-4\nnoise-figure=3\n"
    "unpowered-loss-db=30\noip2-dbm=45\noip3-dbm=30\n"
    "[part loss]\nkind=attenuator\nname=L\nsource=test\ngain=-7\n"
    "[part tv]\nkind=outlet\nname=T\nsource=test\nnoise-figure=7\n";
  static const DwnCarrier carrier[] = { { 479, 6, TRUE }, { 485, 6, TRUE }, { 473, 6, TRUE } };
  const double terminal_mw[] = { 0.1, 0.1, 1e-20 };
  double level_mw[6], total_mw[2], product_mw[6];
  g_autoptr (DwnPartList) list = gear_list_of_text (text);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "amp", "amp");
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "near", "tv");
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "loss", "loss");
  gear_join (&gear, "amp", 1, "loss", 0, NULL, 0);
  gear_add (&gear, list, "far", "tv");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 3, carrier);
  g_autofree gpointer workspace = g_malloc (dwn_overload_workspace_size (overload));

  g_assert_cmpuint (overload->n_points, ==, 2);
  g_assert_cmpuint (overload->n_sinks, ==, 2);
  dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  for (guint p = 0; p < 2; p++)
    {
      g_assert_cmpfloat_with_epsilon (dbm_of_mw (level_mw[3 * p]), p == 0 ? -10 : -14, 1e-9);
      g_assert_cmpfloat_with_epsilon (dbm_of_mw (level_mw[3 * p + 1]), p == 0 ? -10 : -14, 1e-9);
    }
  /* 2 · 479 - 485 = 473: 3 · (-10) - 2 · 30, and with 4 dB less 12 dB less; the other way round 491
   * is nobody's. */
  dwn_overload_products (overload, level_mw, product_mw, workspace);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (product_mw[2]), -90, 0.01);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (product_mw[5]), -109, 0.01);
  g_assert_cmpfloat (product_mw[0], <, 1e-15);
}

static void
test_strongest (void)
{
  static const DwnCarrier carrier[] = { { 195, 6, TRUE }, { 98.1 }, { 98.9 }, { 201 }, { 207 } };
  double terminal_mw[5], level_mw[10], total_mw[2];
  g_autoptr (DwnChain) chain = amplified (0, 0);
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 5, carrier);
  DwnProduct product;

  for (guint c = 0; c < 5; c++)
    terminal_mw[c] = mw_of_dbm (c == 0 ? -60 : -20);
  dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  g_assert_true (dwn_overload_strongest (overload, level_mw, 0, 0, &product));
  g_assert_cmpint (product.times[0], ==, 1);
  g_assert_cmpint (product.times[1], ==, 1);
  g_assert_cmpint (product.times[2], ==, 0);
  g_assert_cmpuint (product.carrier[0] + product.carrier[1], ==, 3); /* 98.1 and 98.9 MHz */
  g_assert_cmpfloat_with_epsilon (product.dbm, -20 - 20 - 45, 1e-9);
  g_assert_false (dwn_overload_strongest (overload, level_mw, 1, 0, &product)); /* the tuner */
}

/* Two antennas through a hybrid: each carrier's powers add. */
static void
test_two_antennas (void)
{
  static const DwnCarrier carrier[] = { { 473, 6, TRUE }, { 551, 6, TRUE } };
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };
  double terminal_mw[] = { 1e-3, 3e-3, 2e-3, 0 }, level_mw[2], total_mw[1];

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  gear_add (&gear, list, "join", "hybrid");
  gear_join (&gear, "a", 0, "join", 0, NULL, 0);
  gear_join (&gear, "b", 0, "join", 1, NULL, 0);
  gear_add (&gear, list, "tv", "tuner-atsc");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, 2, carrier);

  g_assert_cmpuint (overload->n_points, ==, 1);
  dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (level_mw[0]), dbm_of_mw (4e-3) - 3.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (level_mw[1]), dbm_of_mw (2e-3) - 3.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (dbm_of_mw (total_mw[0]), dbm_of_mw (6e-3) - 3.5, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/overload/formulas", test_formulas);
  for (gsize k = 0; k < G_N_ELEMENTS (product_cases); k++)
    {
      g_autofree char *path = g_strconcat ("/overload/product/", product_cases[k].name, NULL);
      g_test_add_data_func (path, GSIZE_TO_POINTER (k), test_product);
    }
  g_test_add_func ("/overload/gain-and-loss", test_gain_and_loss);
  g_test_add_func ("/overload/one-carrier-makes-none", test_one_carrier_makes_none);
  g_test_add_func ("/overload/totals", test_totals);
  g_test_add_func ("/overload/unpowered", test_unpowered);
  g_test_add_func ("/overload/against-enumeration", test_against_enumeration);
  g_test_add_func ("/overload/strongest", test_strongest);
  g_test_add_func ("/overload/strongest-triple", test_strongest_triple);
  g_test_add_func ("/overload/two-in-a-row", test_two_in_a_row);
  g_test_add_func ("/overload/two-outputs", test_two_outputs);
  g_test_add_func ("/overload/two-antennas", test_two_antennas);
  return g_test_run ();
}
