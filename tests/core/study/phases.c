/* Two antennas that hear one station through a hybrid: ripple, cost and noise against the trade's
 * figures, by the budget of whole plans. */
#include "core/study/phases.h"

#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "core/study/advice.h"
#include "../../common/ripple.h"

#define HYBRID_DB 3.5      /* of the part list's hybrid, each input */
#define HALF_DB 3.0103     /* of an ideal one */

/* Straight to the hybrid, and with an amplifier behind each antenna. */
#define PLAIN \
  "<part id='h' kind='combiner' type='hybrid' on-mast='yes'/><part id='tv1' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='h' to-port='1'/><join from='b' to='h' to-port='2'/>" \
  "<join from='h' to='tv1' cable='series-6' length-m='15'/>"
#define AMPLIFIED \
  "<part id='x' kind='amplifier' type='mast-amp-25-3' on-mast='yes'/>" \
  "<part id='y' kind='amplifier' type='mast-amp-25-3' on-mast='yes'/>" \
  "<part id='p' kind='inserter' type='inserter-12'/><part id='q' kind='inserter' type='inserter-12'/>" \
  "<part id='h' kind='combiner' type='hybrid'/><part id='tv1' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='x'/><join from='b' to='y'/><join from='x' to='p' cable='series-6' length-m='15'/>" \
  "<join from='y' to='q' cable='series-6' length-m='15'/><join from='p' to='h' to-port='1'/>" \
  "<join from='q' to='h' to-port='2'/><join from='h' to='tv1'/>"

/* Gain over its aim, and so much less from a quarter turn on. */
static DwnPattern *
stepped (double down_db)
{
  const double mhz[] = { 50.0, 700.0 }, azimuth_deg[] = { 0.0, 90.0, 180.0, 270.0 };
  const double low = 10.0 - down_db;
  const double gain_dbi[] = { 10.0, low, low, low, 10.0, low, low, low };
  const DwnPattern values = { .id = "test-stepped", .name = "Test", .n_mhz = 2, .mhz = mhz, .n_azimuth = 4,
                              .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi, .price = (double) NAN };

  return dwn_pattern_new (&values, NULL);
}

static DwnPlan *
read_plan (const DwnTables *tables, const char *rf, const char *area, const char *gear)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Test' lat='44' lon='-75' area='%s'/>"
    "<services><service id='s' name='S' wanted='must'/></services><stations>"
    "<station id='north' name='North' system='atsc1' rf='%s' lat='44.3' lon='-75' erp-kw='5' haat-m='250'"
    " services='s'/></stations><gear>"
    "<part id='a' kind='antenna' type='dipole' on-mast='yes' aim-deg='0'/>"
    "<part id='b' kind='antenna' type='dipole' on-mast='yes' aim-deg='90' below-top-m='2'/>%s</gear></downlead>",
    area, rf, gear);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  DwnPlan *plan = dwn_plan_read (bytes, "phases", tables->parts, tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

/* Both antennas of the plan become @pattern. */
static DwnPlan *
with_pattern (const DwnPlan *plan, const DwnPattern *pattern)
{
  const DwnChain *gear = plan->gear;
  g_autoptr (GError) error = NULL;
  g_autofree DwnPart *part = g_memdup2 (gear->part, gear->n_parts * sizeof *part);

  for (guint a = 0; a < gear->n_antennas; a++)
    {
      part[gear->antenna[a]].pattern = pattern;
      part[gear->antenna[a]].type = pattern->id;
      part[gear->antenna[a]].below_top_m = 0.0; /* the same field at both */
    }
  g_autoptr (DwnChain) other = dwn_chain_new (gear->list, gear->n_parts, part, gear->n_edges, gear->edge, &error);
  g_assert_no_error (error);
  return dwn_plan_with_gear (plan, other, plan->aims);
}

/* Of the one station that there is. */
static DwnPhases
work_out (const char *rf, const char *area, const char *gear, double down_db)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) read = read_plan (tables, rf, area, gear);
  g_autoptr (DwnPattern) pattern = stepped (down_db);
  g_autoptr (DwnPlan) plan = with_pattern (read, pattern);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
  g_autofree DwnPhases *phases = dwn_phases_new (base, budget, plan->aims->aim_deg);

  g_assert_nonnull (phases);
  g_assert_true (budget->held[0]);
  g_assert_true (dwn_phases_widest (phases, plan, budget) == phases);
  g_assert_cmpfloat (phases->worst_db, ==, budget->reception[0].margin_db);
  return *phases;
}

static void
test_ripple (gconstpointer data)
{
  const RippleCase *c = data;
  DwnPhases phases = work_out ("20", "rural", PLAIN, c->down_db);
  /* What is left once the noise is taken for what it is, and the half decibel of a real hybrid. */
  double apart_db = phases.noise_db + HYBRID_DB - HALF_DB - phases.alone_db;

  g_assert_cmpfloat_with_epsilon (phases.best_db + apart_db, c->best_db, 0.0501);
  g_assert_cmpfloat_with_epsilon (phases.worst_db + apart_db, c->worst_db, 0.0501);
  g_assert_cmpfloat_with_epsilon (dwn_phases_ripple_db (&phases), c->best_db - c->worst_db, 0.1001);
  /* Powers add on average: (1 + r²)/2. */
  g_assert_cmpfloat_with_epsilon (phases.mean_db + apart_db,
                                  10.0 * log10 ((1.0 + pow (10.0, -c->down_db / 10.0)) / 2.0), 0.001);
}

/* A station that one antenna hears alone. Where the noise comes from outside, as in a city on low
 * VHF, each antenna's arrives halved, two make one, and the station is halved: 3 dB. */
static void
test_noise_from_outside (void)
{
  DwnPhases phases = work_out ("2", "city", PLAIN, 60.0);

  g_assert_cmpfloat_with_epsilon (phases.noise_db, HALF_DB - HYBRID_DB, 0.03);
  g_assert_cmpfloat_with_epsilon (dwn_phases_cost_db (&phases), HALF_DB, 0.03);
  g_assert_cmpfloat (dwn_phases_ripple_db (&phases), <, 0.02);
}

/* Where the tuner makes it, as on UHF in the country, the station just loses what the hybrid takes,
 * 3.5 dB each (an amateur's handbook by way of the trade sheet). */
static void
test_noise_of_tuner (void)
{
  DwnPhases phases = work_out ("30", "quiet-rural", PLAIN, 60.0);

  g_assert_cmpfloat (phases.noise_db, <=, 0.0);
  g_assert_cmpfloat (phases.noise_db, >, -0.1);
  g_assert_cmpfloat_with_epsilon (dwn_phases_cost_db (&phases), HYBRID_DB, 0.1);
}

/* Separate matched amplifiers before the combiner still cost 3 dB: two noises (the same handbook). */
static void
test_two_amplifiers (void)
{
  DwnPhases phases = work_out ("30", "quiet-rural", AMPLIFIED, 60.0);

  g_assert_cmpfloat_with_epsilon (dwn_phases_cost_db (&phases), HALF_DB, 0.1);
}

/* By bearing: north the first antenna has 10 dBi and the second 10 dB less, east the other way round,
 * south both alike. Against 10 dBi alone, through a real hybrid, the trade sheet's figures for 10 dB less
 * half a decibel; two alike add up to twice and to nothing. */
static void
test_pattern (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) read = read_plan (tables, "20", "rural", PLAIN);
  g_autoptr (DwnPattern) pattern = stepped (10.0);
  g_autoptr (DwnPlan) plan = with_pattern (read, pattern);
  double mean_dbi[4], best_dbi[4], worst_dbi[4];

  g_assert_true (dwn_phases_pattern (plan->gear, plan->aims->aim_deg, 509.0, 4, mean_dbi, best_dbi, worst_dbi));
  for (guint k = 0; k < 2; k++)
    {
      g_assert_cmpfloat_with_epsilon (best_dbi[k], 10.0 - 0.6 - (HYBRID_DB - HALF_DB), 0.0501);
      g_assert_cmpfloat_with_epsilon (worst_dbi[k], 10.0 - 6.3 - (HYBRID_DB - HALF_DB), 0.0501);
    }
  g_assert_cmpfloat_with_epsilon (best_dbi[2], 0.0 - HYBRID_DB + 2.0 * HALF_DB, 0.001);
  g_assert_cmpfloat_with_epsilon (mean_dbi[2], 0.0 - HYBRID_DB + HALF_DB, 0.001);
  g_assert_cmpfloat (worst_dbi[2], <, -100.0);
}

/* No hybrid, no phases. */
static void
test_one_antenna (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) plan = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL), tables->parts,
    tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
  DwnPhases *phases = dwn_phases_new (base, budget, plan->aims->aim_deg);

  g_assert_null (phases);
  double none[1];
  g_assert_false (dwn_phases_pattern (plan->gear, plan->aims->aim_deg, 509.0, 1, none, none, none));
}

/* The ladder's hybrid has them, as its own budget does; the other rungs have none. */
static void
test_ladder (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) plan = read_plan (tables, "20", "rural", PLAIN);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnLadder) ladder = dwn_advise (plan, fields, tables, NULL, NULL, &error);
  guint n_hybrids = 0;

  g_assert_no_error (error);
  for (guint r = 0; r < ladder->n; r++)
    {
      const DwnRung *rung = &ladder->rung[r];
      gboolean hybrid = rung->arrangement == DWN_ARRANGEMENT_HYBRID;

      n_hybrids += hybrid ? 1 : 0;
      g_assert_cmpint (rung->phases != NULL, ==, hybrid);
      if (hybrid)
        g_assert_cmpfloat (rung->phases[0].worst_db, ==,
                           rung->budget->reception[rung->budget->weakest[0]].margin_db);
    }
  g_assert_cmpuint (n_hybrids, ==, 1);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (ripple_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/study/phases/ripple/", ripple_cases[i].name, NULL);
      g_test_add_data_func (path, &ripple_cases[i], test_ripple);
    }
  g_test_add_func ("/study/phases/noise-from-outside", test_noise_from_outside);
  g_test_add_func ("/study/phases/noise-of-tuner", test_noise_of_tuner);
  g_test_add_func ("/study/phases/two-amplifiers", test_two_amplifiers);
  g_test_add_func ("/study/phases/pattern", test_pattern);
  g_test_add_func ("/study/phases/not-a-hybrid", test_one_antenna);
  g_test_add_func ("/study/phases/ladder", test_ladder);
  return g_test_run ();
}
