/* The budget's rules against figures from outside, and its sums against each other. */
#include <math.h>

#include "core/plan/document.h"
#include "core/study/budget.h"

/* P(margin > 0) for a standard deviation of 8 dB: the trade sheet's table, from the normal
 * distribution. */
static const struct {
  double margin_db, percent;
} chances[] = { { 0, 50 }, { 6, 77 }, { 10, 89 }, { 13, 95 }, { 20, 99 } };

static void
test_chance (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (chances); i++)
    g_assert_cmpfloat_with_epsilon (100.0 * dwn_chance (chances[i].margin_db, 8.0), chances[i].percent, 0.51);
  /* 1.281552 is the standard normal deviate of 90 % (NIST/SEMATECH handbook, 1.3.6.7.1). */
  g_assert_cmpfloat_with_epsilon (dwn_chance (1.281552, 1.0), 0.9, 1e-6);
  g_assert_true (isnan (dwn_chance ((double) NAN, 8.0)));
}

/* DESIGN: 1 dB down to 3 dB below the maximum, rising linearly to 5 dB at 10 dB below. */
static void
test_pattern_sd (void)
{
  g_assert_cmpfloat (dwn_pattern_sd_db (0.0), ==, 1.0);
  g_assert_cmpfloat (dwn_pattern_sd_db (3.0), ==, 1.0);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_sd_db (6.5), 3.0, 1e-12);
  g_assert_cmpfloat (dwn_pattern_sd_db (10.0), ==, 5.0);
  g_assert_cmpfloat (dwn_pattern_sd_db (40.0), ==, 5.0);
}

/* DESIGN: 5 clear, 8 grazing, 11 blocked, 8 without a profile, 12 without a height on file. */
static void
test_prediction_sd (void)
{
  g_assert_cmpfloat (dwn_prediction_sd_db (DWN_PATH_CLEAR, FALSE), ==, 5.0);
  g_assert_cmpfloat (dwn_prediction_sd_db (DWN_PATH_GRAZING, FALSE), ==, 8.0);
  g_assert_cmpfloat (dwn_prediction_sd_db (DWN_PATH_BLOCKED, FALSE), ==, 11.0);
  g_assert_cmpfloat (dwn_prediction_sd_db (DWN_PATH_UNKNOWN, FALSE), ==, 8.0);
  g_assert_cmpfloat (dwn_prediction_sd_db (DWN_PATH_UNKNOWN, TRUE), ==, 12.0);
}

/* About 16 dB across and 3 dB to circular (common practice, no source). */
static void
test_polarisation (void)
{
  const DwnPolarisation h = DWN_POLARISATION_HORIZONTAL, v = DWN_POLARISATION_VERTICAL,
                        c = DWN_POLARISATION_CIRCULAR, u = DWN_POLARISATION_UNKNOWN;

  g_assert_cmpfloat (dwn_polarisation_loss_db (h, h), ==, 0.0);
  g_assert_cmpfloat (dwn_polarisation_loss_db (h, v), ==, 16.0);
  g_assert_cmpfloat (dwn_polarisation_loss_db (v, h), ==, 16.0);
  g_assert_cmpfloat (dwn_polarisation_loss_db (h, c), ==, 3.0);
  g_assert_cmpfloat (dwn_polarisation_loss_db (c, c), ==, 0.0);
  g_assert_cmpfloat (dwn_polarisation_loss_db (u, h), ==, 0.0);
}

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  fixture->plan = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL),
    fixture->tables->parts, fixture->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_plan_unref (fixture->plan);
  dwn_tables_unref (fixture->tables);
}

static DwnBudget *
budget_of (Fixture *fixture, const DwnPlan *plan)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, fixture->tables);

  return dwn_budget_new (base, plan->aims->aim_deg);
}

/* More power never lowers a level. */
static void
test_more_power (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnBudget) before = budget_of (fixture, fixture->plan);

  for (guint i = 0; i < fixture->plan->stations->n; i++)
    {
      DwnStation louder = fixture->plan->stations->station[i];
      louder.erp_kw *= 2.0;
      g_autoptr (DwnStations) stations = dwn_stations_with (fixture->plan->stations, &louder);
      DwnPlan parts = *fixture->plan;
      parts.stations = stations;
      g_autoptr (DwnPlan) plan = dwn_plan_new (&parts);
      g_autoptr (DwnBudget) after = budget_of (fixture, plan);

      for (guint o = 0; o < after->n_outlets; o++)
        g_assert_cmpfloat_with_epsilon (after->reception[i * after->n_outlets + o].level_dbm
                                        - before->reception[i * before->n_outlets + o].level_dbm,
                                        3.0103, 1e-4);
    }
}

/* A longer cable never raises a level, and the same plan gives the same figures twice. */
static void
test_longer_cable (Fixture *fixture, gconstpointer data)
{
  const DwnChain *gear = fixture->plan->gear;
  g_autoptr (DwnBudget) before = budget_of (fixture, fixture->plan);

  for (guint e = 0; e < gear->n_edges; e++)
    {
      g_autofree DwnEdge *edges = g_memdup2 (gear->edge, gear->n_edges * sizeof *edges);
      edges[e].length_m += edges[e].cable != NULL ? 30.0 : 0.0;
      g_autoptr (DwnChain) longer = dwn_chain_new (gear->list, gear->n_parts, gear->part, gear->n_edges,
                                                   edges, NULL);
      g_autoptr (DwnPlan) plan = dwn_plan_with_gear (fixture->plan, longer, fixture->plan->aims);
      g_autoptr (DwnBudget) after = budget_of (fixture, plan);

      for (guint r = 0; r < after->n_stations * after->n_outlets; r++)
        g_assert_cmpfloat (after->reception[r].level_dbm, <=, before->reception[r].level_dbm + 0.05);
    }
}

static void
test_sums_agree (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnBudget) budget = budget_of (fixture, fixture->plan);

  for (guint r = 0; r < budget->n_stations * budget->n_outlets; r++)
    {
      const DwnReception *one = &budget->reception[r];

      g_assert_cmpfloat_with_epsilon (one->cn_db, one->worst_dbm - one->noise_dbm, 1e-9);
      g_assert_cmpfloat_with_epsilon (one->margin_db, one->cn_db - one->needed_db, 1e-9);
      g_assert_cmpfloat (one->chance, >=, 0.0);
      g_assert_cmpfloat (one->chance, <=, 1.0);
      g_assert_cmpfloat_with_epsilon (one->chance, dwn_chance (one->margin_db, one->sigma_db), 1e-12);
      g_assert_cmpfloat (one->worst_dbm, <=, one->level_dbm + 1e-9);
    }
}

/* Stations on one mast rise and fall together: their joint chance is the lowest of them. */
static void
test_joint_chance (Fixture *fixture, gconstpointer data)
{
  static const char *const on_one_mast[] = { "brackenfield", "corrowane", "pellowick" };
  g_autoptr (DwnBudget) budget = budget_of (fixture, fixture->plan);
  guint services[3];
  double lowest = 1.0;

  for (guint k = 0; k < 3; k++)
    {
      int station = dwn_stations_find (fixture->plan->stations, on_one_mast[k]);
      services[k] = (guint) dwn_services_find (fixture->plan->services, on_one_mast[k]);
      lowest = fmin (lowest, budget->reception[(guint) station * budget->n_outlets
                                               + budget->weakest[station]].chance);
    }
  g_assert_cmpfloat_with_epsilon (dwn_joint_chance (fixture->plan, budget, 3, services), lowest, 1e-12);
  g_assert_cmpfloat (dwn_joint_chance (fixture->plan, budget, 0, NULL), ==, 1.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/study/budget/chance", test_chance);
  g_test_add_func ("/study/budget/pattern-sd", test_pattern_sd);
  g_test_add_func ("/study/budget/prediction-sd", test_prediction_sd);
  g_test_add_func ("/study/budget/polarisation", test_polarisation);
#define ADD(name, function) \
  g_test_add ("/study/budget/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("more-power", test_more_power);
  ADD ("longer-cable", test_longer_cable);
  ADD ("sums-agree", test_sums_agree);
  ADD ("joint-chance", test_joint_chance);
  return g_test_run ();
}
