/* What has to hold whatever the plan: checked on thousands of seeded random plans, and on tens of
 * thousands where DOWNLEAD_LONG_TESTS is set. No expected figure is needed: each compares a plan
 * with the same plan changed in a way whose effect is known. */
#include "../../common/random-plan.h"
#include "core/plan/document.h"
#include "core/study/advice.h"

#define N_STATIONS 9
#define SEED 20260514

static RandomShop shop;

/* Sanitizers are slow. */
#if defined __SANITIZE_ADDRESS__ || defined __SANITIZE_THREAD__
#define ONE_OF 20
#else
#define ONE_OF 1
#endif

static guint
times (guint ordinary, guint many)
{
  return (g_getenv ("DOWNLEAD_LONG_TESTS") != NULL ? many : ordinary) / ONE_OF;
}

static DwnPlan *
plan_number (guint number, double turned_deg)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED + number);
  const RandomWish wish = { .n_stations = N_STATIONS, .turned_deg = turned_deg };

  return random_plan (random, &shop, &wish);
}

/* A plan whose station @which has @times the power. */
static DwnPlan *
with_more_power (const DwnPlan *plan, guint which, double factor)
{
  DwnStation station = plan->stations->station[which];

  station.erp_kw *= factor;
  g_autoptr (DwnStations) stations = dwn_stations_with (plan->stations, &station);
  return dwn_plan_with_stations (plan, stations, plan->services);
}

/* Ten times the power is 10 dB more at every outlet, by the definition of the decibel, and
 * nothing at all for the levels of the others. */
static void
test_power (void)
{
  for (guint number = 0; number < times (12000, 60000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      guint which = number % N_STATIONS;
      double factor = 1.0 + number % 17;
      g_autoptr (DwnPlan) louder = with_more_power (plan, which, factor);
      g_autoptr (DwnBudget) before = random_budget (plan, &shop), after = random_budget (louder, &shop);

      for (guint i = 0; i < N_STATIONS * before->n_outlets; i++)
        {
          double grown_db = after->reception[i].level_dbm - before->reception[i].level_dbm;
          double expected_db = i / before->n_outlets == which ? 10.0 * log10 (factor) : 0.0;

          g_assert_cmpfloat (grown_db, >=, -1e-9);
          g_assert_cmpfloat_with_epsilon (grown_db, expected_db, 1e-9);
        }
    }
}

static void
test_cable (void)
{
  guint n_lower = 0;

  for (guint number = 0; number < times (12000, 60000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
      g_autoptr (GError) error = NULL;
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, number % wiring->edges->len);

      edge->length_m += 1.0 + number % 40;
      if (edge->cable == NULL)
        edge->cable = "series-6";
      g_autoptr (DwnChain) gear = dwn_wiring_build (wiring, plan->gear->list, &error);
      g_assert_no_error (error);
      g_autoptr (DwnPlan) longer = dwn_plan_with_gear (plan, gear, plan->aims);
      g_autoptr (DwnBudget) before = random_budget (plan, &shop), after = random_budget (longer, &shop);
      for (guint i = 0; i < N_STATIONS * before->n_outlets; i++)
        {
          g_assert_cmpfloat (after->reception[i].level_dbm, <=, before->reception[i].level_dbm + 1e-9);
          n_lower += after->reception[i].level_dbm < before->reception[i].level_dbm - 0.01;
        }
    }
  g_assert_cmpuint (n_lower, >, times (12000, 60000) / 2);
}

static void
assert_sound (const DwnReception *reception)
{
  g_assert_true (reception->chance >= 0.0 && reception->chance <= 1.0);
  g_assert_true (isfinite (reception->level_dbm) && isfinite (reception->noise_dbm));
  g_assert_cmpfloat (reception->worst_dbm, <=, reception->level_dbm + 1e-9);
  g_assert_cmpfloat_with_epsilon (reception->cn_db, reception->worst_dbm - reception->noise_dbm, 1e-9);
  g_assert_cmpfloat (reception->margin_db, <=, reception->cn_db - reception->needed_db + 1e-9);
  g_assert_cmpfloat (reception->sigma_db, >, 0.0);
  /* An even chance is where the margin is nothing. */
  g_assert_true ((reception->margin_db > 0.0) == (reception->chance > 0.5)
                 || fabs (reception->margin_db) < 1e-9);
  double shares = reception->interference_share + reception->spurious_share + reception->ambient_share;
  g_assert_true (shares >= 0.0 && shares <= 1.0 + 1e-9);
}

static void
test_chance (void)
{
  for (guint number = 0; number < times (20000, 100000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      g_autoptr (DwnBudget) budget = random_budget (plan, &shop);
      guint all[N_STATIONS];

      for (guint i = 0; i < N_STATIONS * budget->n_outlets; i++)
        assert_sound (&budget->reception[i]);
      for (guint s = 0; s < N_STATIONS; s++)
        all[s] = s;
      double joint = dwn_joint_chance (plan, budget, N_STATIONS, all);
      g_assert_true (joint >= 0.0 && joint <= 1.0);
      /* All of them together never are likelier than the unlikeliest of them. */
      for (guint s = 0; s < N_STATIONS; s++)
        g_assert_cmpfloat (joint, <=, dwn_joint_chance (plan, budget, 1, &all[s]) + 1e-12);
    }
}

/* The house is a point: turning all masts, transmit patterns, woods and antennas about it changes
 * nothing. Distances and bearings on the ellipsoid come back to a nanometre and a nanodegree. */
static void
test_rotation (void)
{
  for (guint number = 0; number < times (12000, 60000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      g_autoptr (DwnPlan) turned = plan_number (number, 1.0 + 358.0 * (number % 977) / 977.0);
      g_autoptr (DwnBudget) before = random_budget (plan, &shop), after = random_budget (turned, &shop);

      g_assert_cmpfloat (plan->stations->station[0].at.lat_deg, !=, turned->stations->station[0].at.lat_deg);
      for (guint i = 0; i < N_STATIONS * before->n_outlets; i++)
        {
          const DwnReception *a = &before->reception[i], *b = &after->reception[i];

          g_assert_cmpfloat_with_epsilon (a->level_dbm, b->level_dbm, 1e-6);
          g_assert_cmpfloat_with_epsilon (a->noise_dbm, b->noise_dbm, 1e-6);
          g_assert_cmpfloat_with_epsilon (a->margin_db, b->margin_db, 1e-6);
          g_assert_cmpfloat_with_epsilon (a->chance, b->chance, 1e-6);
        }
    }
}

/* Does @rung hold a service that counts and @lower does not? */
static gboolean
brings_something (const DwnPlan *plan, const DwnLadder *ladder, const DwnRung *rung, const DwnRung *lower)
{
  for (guint v = 0; v < plan->services->n; v++)
    if ((ladder->all_liked || plan->services->service[v].wanted != DWN_WANTED_NO) && rung->holds[v]
        && !lower->holds[v])
      return TRUE;
  return FALSE;
}

static void
test_ladder (void)
{
  const DwnPattern *armoury[] = { shop.pattern[1], shop.pattern[3] };
  const DwnAdviceOptions options = { .n_antennas = G_N_ELEMENTS (armoury), .pattern = armoury, .step_deg = 15 };
  guint n_climbed = 0;

  for (guint number = 0; number < times (1000, 10000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      g_autoptr (GError) error = NULL;
      g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
      g_assert_no_error (error);
      g_autoptr (DwnLadder) ladder = dwn_advise (plan, fields, shop.tables, &options, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpint (ladder->advised, <, (int) ladder->n);
      if (ladder->advised < 1)
        continue;
      const DwnRung *rung = &ladder->rung[ladder->advised];
      g_assert_true (brings_something (plan, ladder, rung, rung - 1));
      n_climbed++;
    }
  g_test_message ("%u plans are advised more than the simplest", n_climbed);
  g_assert_cmpuint (n_climbed, >, 0);
}

/* What is saved is what is read, and saved again gives the same bytes and the same sums. */
static void
test_saved (void)
{
  for (guint number = 0; number < times (6000, 30000); number++)
    {
      g_autoptr (DwnPlan) plan = plan_number (number, 0.0);
      g_autoptr (GError) error = NULL;
      g_autoptr (GBytes) first = dwn_plan_write (plan, shop.tables->catalogue);
      g_autoptr (DwnPlan) again = dwn_plan_read (first, "first", shop.tables->parts, shop.tables->catalogue,
                                                 NULL, &error);
      g_assert_no_error (error);
      g_autoptr (GBytes) second = dwn_plan_write (again, shop.tables->catalogue);
      g_autoptr (DwnBudget) before = random_budget (plan, &shop), after = random_budget (again, &shop);

      g_assert_true (g_bytes_equal (first, second));
      for (guint s = 0; s < N_STATIONS; s++)
        {
          const DwnStation *a = &plan->stations->station[s], *b = &again->stations->station[s];

          g_assert_true (a->id == b->id && a->rf == b->rf && a->system == b->system && a->mhz == b->mhz);
          g_assert_true (a->polarisation == b->polarisation && (a->pattern == NULL) == (b->pattern == NULL));
          g_assert_cmpfloat_with_epsilon (a->erp_kw, b->erp_kw, 1e-9 * a->erp_kw);
        }
      for (guint i = 0; i < N_STATIONS * before->n_outlets; i++)
        g_assert_cmpfloat_with_epsilon (before->reception[i].margin_db, after->reception[i].margin_db, 1e-3);
    }
}

/* A channel is found by its name, and a frequency within it leads to it, or where the plans of two
 * countries share a system to another that has the frequency too. */
static void
test_channels (void)
{
  for (guint system = 0; system < DWN_N_SYSTEMS; system++)
    {
      gsize n;
      const DwnChannel *channels = dwn_system_channels (system, &n);

      g_assert_cmpuint (n, >, 5);
      for (gsize i = 0; i < n; i++)
        {
          g_autoptr (GError) error = NULL;
          DwnChannel found, again;

          g_assert_true (dwn_channel_find (system, channels[i].rf, &found, &error));
          g_assert_no_error (error);
          g_assert_cmpfloat (found.centre_mhz, ==, channels[i].centre_mhz);
          for (double part = 0.25; part < 1.0; part += 0.25)
            {
              double mhz = found.low_mhz + part * (found.high_mhz - found.low_mhz);

              g_assert_true (dwn_channel_at (system, mhz, &again, &error));
              g_assert_cmpfloat (again.low_mhz, <=, mhz);
              g_assert_cmpfloat (again.high_mhz, >=, mhz);
              if (system == DWN_SYSTEM_ATSC1 || system == DWN_SYSTEM_ATSC3)
                g_assert_cmpstr (again.rf, ==, channels[i].rf);
            }
          g_assert_cmpint (dwn_band_of_mhz (found.centre_mhz), ==, found.band);
        }
    }
}

/* A field strength makes a power that makes the field strength; both change by the same decibels. */
static void
test_fields (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED);

  for (guint i = 0; i < times (50000, 200000); i++)
    {
      double field_dbuv_m = g_rand_double_range (random, -50.0, 150.0);
      double mhz = g_rand_double_range (random, 40.0, 900.0), gain_dbi = g_rand_double_range (random, -30.0, 20.0);
      double power_dbm = dwn_power_of_field_dbm (field_dbuv_m, mhz, gain_dbi);

      g_assert_cmpfloat_with_epsilon (dwn_field_of_power_dbuv_m (power_dbm, mhz, gain_dbi), field_dbuv_m, 1e-9);
      g_assert_cmpfloat_with_epsilon (dwn_power_of_field_dbm (field_dbuv_m + 7.0, mhz, gain_dbi),
                                      power_dbm + 7.0, 1e-9);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  random_shop_open (&shop);
  g_test_add_func ("/properties/more-power-is-more-by-as-much", test_power);
  g_test_add_func ("/properties/longer-cable-never-raises", test_cable);
  g_test_add_func ("/properties/chance-and-figures-are-sound", test_chance);
  g_test_add_func ("/properties/turned-as-a-whole", test_rotation);
  g_test_add_func ("/properties/advised-rung-brings-something", test_ladder);
  g_test_add_func ("/properties/saved-is-read", test_saved);
  g_test_add_func ("/properties/channels-and-megahertz", test_channels);
  g_test_add_func ("/properties/fields-and-powers", test_fields);
  int status = g_test_run ();
  random_shop_close (&shop);
  return status;
}
