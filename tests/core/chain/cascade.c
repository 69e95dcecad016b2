#include "core/chain/cascade.h"

#include "gear.h"

/* Parts with no frequency in them, for examples that have none. */
static const char plain_parts[] =
  "[part loss]\nkind=attenuator\nname=Loss\nsource=test\ngain=0\n"
  "[part stage]\nkind=amplifier\nname=Stage\nsource=test\ngain=0\nnoise-figure=0\n"
  "unpowered-loss-db=30\n"
  "[part four]\nkind=splitter\nname=4\nsource=test\noutputs=4\ngain=-7.5\n"
  "[part ideal-hybrid]\nkind=combiner\nname=H\nsource=test\ninputs=2\ngain=-3.0103\nhybrid=true\n"
  "[part hybrid]\nkind=combiner\nname=H\nsource=test\ninputs=2\ngain=-3.5\nhybrid=true\n"
  "[part switch]\nkind=switch\nname=S\nsource=test\ninputs=2\ngain=-1\nisolation-db=60\n"
  "[part tv]\nkind=outlet\nname=TV\nsource=test\nnoise-figure=7\n"
  "[part planning-tv]\nkind=outlet\nname=TV\nsource=test\nnoise-figure=216:10, 470:7\n"
  "[part clean-tv]\nkind=outlet\nname=TV\nsource=test\nnoise-figure=0\n";

static double
db (double ratio)
{
  return 10 * log10 (ratio);
}

/* The last step of the way from antenna 0 to outlet 0. */
static DwnStep
at_outlet (const DwnChain *chain, double mhz)
{
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, mhz, 0);
  g_autoptr (GArray) way = dwn_cascade_way (cascade, chain, 0, 0);

  g_assert_nonnull (way);
  return g_array_index (way, DwnStep, way->len - 1);
}

/* A row of parts; NaN ends it. A passive one has the noise figure of its loss. */
typedef struct {
  double gain_db, noise_figure_db;
} Stage;

#define LOSS(db) { -(db), db }
#define END { NAN, NAN }

static DwnChain *
row_of (const Stage *stage, const char *split, const char *tuner)
{
  static const char *const id[] = { "s0", "s1", "s2", "s3", "s4", "s5", "s6", "s7" };
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  for (guint k = 0; !isnan (stage[k].gain_db); k++)
    {
      gboolean passive = stage[k].gain_db == -stage[k].noise_figure_db;
      DwnPart *part = gear_add (&gear, list, id[k], passive ? "loss" : "stage");

      part->gain_db = stage[k].gain_db;
      if (!passive)
        part->noise_figure_db = stage[k].noise_figure_db;
      gear_join_last (&gear, NULL, 0);
    }
  if (split != NULL)
    {
      gear_add (&gear, list, "split", split);
      gear_join_last (&gear, NULL, 0);
    }
  gear_add (&gear, list, "tv", tuner);
  gear_join_last (&gear, NULL, 0);
  return gear_build (&gear, list);
}

/* The trade sheet's placement check: balun 1, coax 6, four-way splitter 7.5, television 7 dB. */
static const struct {
  const char *name;
  Stage stage[8];
  const char *split;
  double expected_db, tolerance_db;
} placement_cases[] = {
  { "none", { LOSS (1.0), LOSS (6.0), END }, "four", 21.5, 5e-3 },
  { "mast-16-3", { LOSS (1.0), { 16, 3 }, LOSS (6.0), END }, "four", 7.80, 5e-3 },
  { "mast-25-3", { LOSS (1.0), { 25, 3 }, LOSS (6.0), END }, "four", 4.70, 5e-3 },
  { "indoors-16-5", { LOSS (1.0), LOSS (6.0), { 16, 5 }, END }, "four", 12.85, 5e-3 },
  { "one-tv", { LOSS (1.0), LOSS (4.0), END }, NULL, 12.0, 5e-3 },
  { "one-tv-16-3", { LOSS (1.0), { 16, 3 }, LOSS (4.0), END }, NULL, 4.59, 5e-3 },
};

static void
test_placement (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnChain) chain = row_of (placement_cases[i].stage, placement_cases[i].split, "tv");
  DwnStep last = at_outlet (chain, 500);

  g_assert_cmpfloat_with_epsilon (last.cumulative_noise_figure_db, placement_cases[i].expected_db,
                                  placement_cases[i].tolerance_db);
}

/* Published cascades. */
static const struct {
  const char *name;
  Stage stage[8];
  double noise_figure_db, gain_db, tolerance_db;
} published_cases[] = {
  /* Phased Array System Toolbox, reference page of noisefigure(), seven stages. */
  { "seven-stages",
    { { 15, 1 }, LOSS (0.5), { -7, 5 }, LOSS (1.0), { 15, 0.6 }, { 20, 1 }, { -5, 6 }, END },
    1.5252, 36.5, 5e-5 },
  /* rfview.com, "How to compute noise figure cascade": filter, LNA, filter, mixer. */
  { "filter-lna-filter-mixer",
    { LOSS (2.0), { 18, 1.5 }, LOSS (1.0), { -6, 8 }, END }, 3.83, 9.0, 5e-3 },
  /* theprimecalculator.com, "Noise figure formula": LNA, mixer, IF amplifier (its gain, which
   * does not matter, set to 0). */
  { "lna-mixer-if", { { 20, 1.5 }, { 15, 10 }, { 0, 15 }, END }, 1.80, 35.0, 5e-3 },
  /* D. M. Pozar, Microwave Engineering, example 10.2, from memory: LNA, filter, mixer. */
  { "receiver-front-end", { { 10, 2 }, LOSS (1.0), { -3, 4 }, END }, 2.55, 6.0, 1e-2 },
};

static void
test_published (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnChain) chain = row_of (published_cases[i].stage, NULL, "clean-tv");
  DwnStep last = at_outlet (chain, 500);

  g_assert_cmpfloat_with_epsilon (last.cumulative_noise_figure_db,
                                  published_cases[i].noise_figure_db,
                                  published_cases[i].tolerance_db);
  g_assert_cmpfloat_with_epsilon (last.cumulative_gain_db, published_cases[i].gain_db, 1e-9);
}

/* FCC planning factors (OET-69): minimum field 28, 36 and 41 dBµV/m; noise in 6 MHz -106.2 dBm,
 * C/N 15 dB, dipole factors -111.8, -120.8, -130.8 dB. */
static const struct {
  const char *name;
  double mhz, line_db, antenna_dbd, dipole_db, field_dbuv_m;
} planning_cases[] = {
  { "low-vhf", 69, 1, 4, -111.8, 28 },
  { "high-vhf", 194, 2, 6, -120.8, 36 },
  { "uhf", 615, 4, 10, -130.8, 41 },
};

static void
test_planning (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  Stage stage[] = { LOSS (planning_cases[i].line_db), END };
  g_autoptr (DwnChain) chain = row_of (stage, NULL, "planning-tv");
  DwnStep last = at_outlet (chain, planning_cases[i].mhz);
  double field_dbuv_m = -106.2 + 15 + last.cumulative_noise_figure_db
                        - planning_cases[i].antenna_dbd - planning_cases[i].dipole_db;

  g_assert_cmpfloat (round (field_dbuv_m), ==, planning_cases[i].field_dbuv_m);
}

/* A passive chain at room temperature has the noise figure of its loss: what leaves it is k·T0
 * whatever is in it. Thirty random ones. */
static void
test_passive (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (20240611);

  for (guint round = 0; round < 30; round++)
    {
      Stage stage[8] = { 0 };
      guint n = (guint) g_rand_int_range (rand, 1, 8);

      for (guint k = 0; k < n; k++)
        {
          double loss_db = g_rand_double_range (rand, 0, 12);
          stage[k] = (Stage) LOSS (loss_db);
        }
      stage[n] = (Stage) END;
      g_autoptr (DwnChain) chain = row_of (stage, round % 2 ? "four" : NULL, "clean-tv");
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 600, 0);
      const DwnPoint *end = dwn_cascade_input (cascade, chain, chain->outlet[0], 0);

      g_assert_cmpfloat_with_epsilon (end->gain[0] + end->chain_noise, 1, 1e-12);
      DwnStep last = at_outlet (chain, 600);
      g_assert_cmpfloat_with_epsilon (last.cumulative_noise_figure_db, -last.cumulative_gain_db,
                                      1e-9);
    }
}

/* A longer cable never brings a higher level, nor a lower noise figure. */
static void
test_longer_cable (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  guint n_cables;
  const DwnCableType *const *cable = dwn_part_list_cables (list, &n_cables);

  for (guint c = 0; c < n_cables; c++)
    for (double mhz = 54; mhz < 860; mhz += 67)
      {
        double level_db = INFINITY, noise_db = -INFINITY;

        for (double length_m = 0; length_m <= 90; length_m += 15)
          {
            Gear gear = { 0 };

            gear_add_antenna (&gear, "antenna", pattern);
            gear_add (&gear, list, "tv", "tuner-atsc");
            gear_join_last (&gear, cable[c]->id, length_m);
            g_autoptr (DwnChain) chain = gear_build (&gear, list);
            DwnStep last = at_outlet (chain, mhz);
            g_assert_cmpfloat (last.cumulative_gain_db, <, level_db);
            g_assert_cmpfloat (last.cumulative_noise_figure_db, >, noise_db);
            level_db = last.cumulative_gain_db;
            noise_db = last.cumulative_noise_figure_db;
          }
      }
}

static DwnChain *
two_antennas (const char *combiner)
{
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  gear_add (&gear, list, "join", combiner);
  gear_join (&gear, "a", 0, "join", 0, NULL, 0);
  gear_join (&gear, "b", 0, "join", 1, NULL, 0);
  gear_add (&gear, list, "tv", "clean-tv");
  gear_join_last (&gear, NULL, 0);
  return gear_build (&gear, list);
}

/* An ideal hybrid halves each antenna's signal and passes half of each one's noise: with both at
 * room temperature it adds nothing, and each signal is 3.01 dB worse (by conservation
 * of energy). */
static void
test_ideal_hybrid (void)
{
  g_autoptr (DwnChain) chain = two_antennas ("ideal-hybrid");
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, 0);
  const DwnPoint *end = dwn_cascade_input (cascade, chain, chain->outlet[0], 0);

  g_assert_cmpuint (cascade->n_antennas, ==, 2);
  g_assert_cmpfloat_with_epsilon (end->gain[0], 0.5, 1e-6);
  g_assert_cmpfloat_with_epsilon (end->gain[1], 0.5, 1e-6);
  g_assert_cmpfloat_with_epsilon (end->chain_noise, 0, 1e-6);
  g_assert_cmpfloat_with_epsilon (at_outlet (chain, 500).cumulative_noise_figure_db, db (2), 1e-5);
}

/* The trade's hybrid of 3.5 dB: 10^-0.35 of each signal, the missing 1 - 2 · 10^-0.35 is its own
 * noise, so that whole noise is that of room temperature. */
static void
test_real_hybrid (void)
{
  g_autoptr (DwnChain) chain = two_antennas ("hybrid");
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, 0);
  const DwnPoint *end = dwn_cascade_input (cascade, chain, chain->outlet[0], 0);

  g_assert_cmpfloat_with_epsilon (db (end->gain[1]), -3.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (end->gain[0] + end->gain[1] + end->chain_noise, 1, 1e-12);
  g_assert_cmpfloat_with_epsilon (end->chain_noise, 0.10663, 1e-5); /* 1 - 2 · 0.446684 */
}

/* With equal amplifiers ahead of an ideal hybrid, both antennas' noise and both amplifiers' comes
 * together: 3 dB less signal-to-noise than one alone (trade sheet, section B). */
static void
test_amplified_hybrid (void)
{
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  for (guint k = 0; k < 2; k++)
    {
      DwnPart *amp = gear_add (&gear, list, k == 0 ? "amp-a" : "amp-b", "stage");
      amp->gain_db = 20;
      amp->noise_figure_db = 2;
    }
  gear_add (&gear, list, "join", "ideal-hybrid");
  gear_join (&gear, "a", 0, "amp-a", 0, NULL, 0);
  gear_join (&gear, "b", 0, "amp-b", 0, NULL, 0);
  gear_join (&gear, "amp-a", 0, "join", 0, NULL, 0);
  gear_join (&gear, "amp-b", 0, "join", 1, NULL, 0);
  gear_add (&gear, list, "tv", "clean-tv");
  gear_join_last (&gear, NULL, 0);

  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_assert_cmpfloat_with_epsilon (at_outlet (chain, 500).cumulative_noise_figure_db, 2 + db (2),
                                  1e-5);
}

static void
test_switch (void)
{
  g_autoptr (DwnChain) chain = two_antennas ("switch");

  g_assert_cmpuint (chain->n_states, ==, 2);
  for (guint state = 0; state < 2; state++)
    {
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, state);
      const DwnPoint *end = dwn_cascade_input (cascade, chain, chain->outlet[0], 0);

      g_assert_cmpfloat_with_epsilon (db (end->gain[state]), -1, 1e-9);
      g_assert_cmpfloat_with_epsilon (db (end->gain[1 - state]), -60, 1e-9);
    }
}

/* An amplifier without its supply is a loss like any other. */
static void
test_unpowered (void)
{
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  DwnPart *amp = gear_add (&gear, list, "amp", "stage");
  amp->gain_db = 20;
  amp->unpowered = TRUE;
  gear_join_last (&gear, NULL, 0);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);

  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  DwnStep last = at_outlet (chain, 500);
  g_assert_cmpfloat_with_epsilon (last.cumulative_gain_db, -30, 1e-9);
  g_assert_cmpfloat_with_epsilon (last.cumulative_noise_figure_db, 37, 1e-9);
}

/* An amplifier after a cable: the way names every part and edge with its own figures. */
static void
test_way (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "split", "splitter-2");
  gear_join_last (&gear, "series-6", 30.48);
  gear_add (&gear, list, "tv", "tuner-dvbt");
  gear_join (&gear, "split", 1, "tv", 0, NULL, 0);

  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 473, 0);
  g_autoptr (GArray) way = dwn_cascade_way (cascade, chain, 0, 0);
  const DwnStep *step = (const DwnStep *) (gpointer) way->data;

  g_assert_cmpuint (way->len, ==, 5);
  g_assert_true (step[1].is_edge && step[3].is_edge);
  g_assert_cmpuint (step[2].index, ==, 1);
  g_assert_cmpuint (step[2].out_port, ==, 1);
  g_assert_cmpfloat_with_epsilon (step[0].cumulative_gain_db, 0, 1e-12);
  g_assert_cmpfloat_with_epsilon (step[1].gain_db, -4.5, 0.05); /* data sheets, 100 ft at 473 MHz */
  g_assert_cmpfloat_with_epsilon (step[2].gain_db, -3.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (step[4].cumulative_gain_db, -8.0, 0.05);
  g_assert_cmpfloat_with_epsilon (step[4].noise_figure_db, 7, 1e-9);
  g_assert_cmpfloat_with_epsilon (step[4].cumulative_noise_figure_db, 15.0, 0.05);
}

/* A feed that reflects half: 3.01 dB of the signal and of what the antenna hears; in its place the
 * gear hears itself at room temperature. From the definition of available power. */
static void
test_mismatch (void)
{
  double mhz = 500, azimuth_deg = 0, gain_dbi = 6, mismatch_db = 10 * log10 (2);
  DwnPattern values = {
    .id = "half", .name = "half", .source = "test", .n_mhz = 1, .n_azimuth = 1, .mhz = &mhz,
    .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi, .price = (double) NAN,
    .mismatch_db = &mismatch_db,
  };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, &error);
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  Gear gear = { 0 };

  g_assert_no_error (error);
  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, 0);
  const DwnPoint *end = dwn_cascade_input (cascade, chain, chain->outlet[0], 0);

  g_assert_cmpfloat_with_epsilon (end->gain[0], 0.5, 1e-12);
  g_assert_cmpfloat_with_epsilon (end->chain_noise, 0.5, 1e-12);
  g_assert_cmpfloat_with_epsilon (at_outlet (chain, 500).cumulative_noise_figure_db, 7 + db (2),
                                  1e-9);
}

static DwnPattern *
matched_pattern (void)
{
  double mhz = 500, azimuth_deg = 0, gain_dbi = 0, mismatch_db = 1e-9; /* known, and nothing */
  DwnPattern values = {
    .id = "fit", .name = "fit", .source = "test", .n_mhz = 1, .n_azimuth = 1, .mhz = &mhz,
    .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi, .price = (double) NAN,
    .mismatch_db = &mismatch_db,
  };

  return dwn_pattern_new (&values, NULL);
}

/* Standing-wave ratios of 1.5 and 2 (return losses 13.98 and 9.54 dB) make an error between +0.56
 * and -0.60 dB: Agilent application note 64-1, from memory. Half of the span over √2 is the
 * standard deviation of a U-shaped distribution (GUM practice): 0.41 dB. 6 dB of cable between
 * them take 6 dB off the product, hence about a quarter. */
static void
test_ripple (void)
{
  static const char two_ends[] =
    "[part source]\nkind=attenuator\nname=S\nsource=test\ngain=0\nreturn-loss-db=13.9794\n"
    "[part load]\nkind=outlet\nname=L\nsource=test\nnoise-figure=0\nreturn-loss-db=9.5424\n"
    "[cable wire]\nname=W\nsource=test\na=0\nb=0.0120412\n"; /* 6.0206 dB per 100 m at 500 MHz */
  g_autoptr (DwnPattern) pattern = matched_pattern ();
  g_autoptr (DwnPartList) list = gear_list_of_text (two_ends);

  for (guint length_m = 0; length_m <= 100; length_m += 100)
    {
      Gear gear = { 0 };

      gear_add_antenna (&gear, "antenna", pattern);
      gear_add (&gear, list, "source", "source");
      gear_join_last (&gear, NULL, 0);
      gear_add (&gear, list, "load", "load");
      gear_join_last (&gear, "wire", length_m);
      g_autoptr (DwnChain) chain = gear_build (&gear, list);
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, 0);
      double sd_db = dwn_cascade_ripple_sd_db (cascade, chain, 0, 0);

      g_assert_cmpfloat_with_epsilon (sd_db, length_m == 0 ? 0.41 : 0.1025, 0.002);
    }
}

/* Each joint adds its variance: that of 1.5 against 1.5 has half the span 8.686 · 0.2 · 0.2 = 0.347
 * dB, over √2 0.246. A part whose return loss nobody knows adds none. */
static void
test_ripples_add (void)
{
  static const char parts[] =
    "[part source]\nkind=attenuator\nname=S\nsource=test\ngain=0\nreturn-loss-db=13.9794\n"
    "[part plain]\nkind=attenuator\nname=P\nsource=test\ngain=0\n"
    "[part load]\nkind=outlet\nname=L\nsource=test\nnoise-figure=0\nreturn-loss-db=9.5424\n";
  static const struct {
    const char *first, *second;
    double sd_db;
  } cases[] = {
    { "source", "source", 0.478 }, { "plain", "source", 0.41 }, { "source", "plain", 0 },
    { "plain", "plain", 0 },
  };
  g_autoptr (DwnPattern) pattern = matched_pattern ();
  g_autoptr (DwnPartList) list = gear_list_of_text (parts);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      Gear gear = { 0 };

      gear_add_antenna (&gear, "antenna", pattern);
      gear_add (&gear, list, "first", cases[i].first);
      gear_join_last (&gear, NULL, 0);
      gear_add (&gear, list, "second", cases[i].second);
      gear_join_last (&gear, NULL, 0);
      gear_add (&gear, list, "load", "load");
      gear_join_last (&gear, NULL, 0);
      g_autoptr (DwnChain) chain = gear_build (&gear, list);
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, 0);

      g_assert_cmpfloat_with_epsilon (dwn_cascade_ripple_sd_db (cascade, chain, 0, 0), cases[i].sd_db, 0.002);
    }
}

static void
test_no_way (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "tv", "tuner-atsc");
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 473, 0);

  g_assert_null (dwn_cascade_way (cascade, chain, 0, 0));
  g_assert_null (dwn_cascade_input (cascade, chain, 1, 0));
  g_assert_true (isnan (dwn_cascade_ripple_sd_db (cascade, chain, 0, 0)));
}

static void
test_misuse (void)
{
  g_autoptr (DwnChain) chain = two_antennas ("switch");

  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*n_states*");
  g_assert_null (dwn_cascade_new (chain, 500, 2));
  g_test_assert_expected_messages ();
  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*mhz*");
  g_assert_null (dwn_cascade_new (chain, (double) NAN, 0));
  g_test_assert_expected_messages ();
}

/* A feed that reflects three quarters of the power (|Γ| = 0.866, VSWR 13.9) loses 6.02 dB, and with
 * a tuner of 7 dB behind it F = L · F_tuner: a passive part's noise figure is its loss at 290 K
 * (D. M. Pozar, Microwave Engineering, §10.2). */
static void
test_reflecting_feed (void)
{
  const double mhz = 500, azimuth_deg = 0, gain_dbi = 0, mismatch_db = 6.0206;
  const DwnPattern values = {
    .id = "reflects", .name = "reflects", .source = "test", .n_mhz = 1, .n_azimuth = 1, .mhz = &mhz,
    .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi, .mismatch_db = &mismatch_db,
    .price = (double) NAN,
  };
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);
  g_autoptr (DwnPartList) list = gear_list_of_text (plain_parts);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "antenna", pattern);
  gear_add (&gear, list, "tv", "tv");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  DwnStep tv = at_outlet (chain, 500);

  g_assert_cmpfloat_with_epsilon (tv.cumulative_gain_db, -6.0206, 1e-4);
  g_assert_cmpfloat_with_epsilon (tv.cumulative_noise_figure_db, 13.0206, 1e-4);
}

#define ADD_ROWS(cases, prefix, test)                                     \
  for (gsize k = 0; k < G_N_ELEMENTS (cases); k++)                        \
    {                                                                     \
      g_autofree char *path = g_strconcat (prefix, cases[k].name, NULL);  \
      g_test_add_data_func (path, GSIZE_TO_POINTER (k), test);            \
    }

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD_ROWS (placement_cases, "/cascade/placement/", test_placement);
  ADD_ROWS (published_cases, "/cascade/published/", test_published);
  ADD_ROWS (planning_cases, "/cascade/planning/", test_planning);
  g_test_add_func ("/cascade/passive", test_passive);
  g_test_add_func ("/cascade/longer-cable", test_longer_cable);
  g_test_add_func ("/cascade/hybrid/ideal", test_ideal_hybrid);
  g_test_add_func ("/cascade/hybrid/real", test_real_hybrid);
  g_test_add_func ("/cascade/hybrid/amplified", test_amplified_hybrid);
  g_test_add_func ("/cascade/switch", test_switch);
  g_test_add_func ("/cascade/unpowered", test_unpowered);
  g_test_add_func ("/cascade/reflecting-feed", test_reflecting_feed);
  g_test_add_func ("/cascade/way", test_way);
  g_test_add_func ("/cascade/mismatch", test_mismatch);
  g_test_add_func ("/cascade/ripple", test_ripple);
  g_test_add_func ("/cascade/ripples-add", test_ripples_add);
  g_test_add_func ("/cascade/no-way", test_no_way);
  g_test_add_func ("/cascade/misuse", test_misuse);
  return g_test_run ();
}
