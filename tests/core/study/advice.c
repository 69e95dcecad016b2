/* The advice against brute force: every antenna at every aim, through the budget itself. */
#include <math.h>

#include "core/chain/head.h"
#include "core/geo/geodesic.h"
#include "core/study/advice.h"

#define N_AIMS 360

/* An antenna with a lobe of this half-power width in one band, deaf outside it. */
static DwnPattern *
lobe (const char *id, double low_mhz, double high_mhz, double gain_dbi, double width_deg)
{
  double azimuth_deg[72], gain[4 * 72];
  const double mhz[] = { low_mhz - 60.0, low_mhz, high_mhz, high_mhz + 60.0 };

  for (guint a = 0; a < 72; a++)
    {
      azimuth_deg[a] = 5.0 * a;
      double off = fmin (azimuth_deg[a], 360.0 - azimuth_deg[a]);
      double in_band = gain_dbi - fmin (12.0 * off * off / (width_deg * width_deg), 18.0);
      for (guint f = 0; f < 4; f++)
        gain[f * 72 + a] = f == 1 || f == 2 ? in_band : in_band - 35.0;
    }
  const DwnPattern values = {
    .id = id, .name = id, .source = "made for the test", .n_mhz = 4, .n_azimuth = 72, .mhz = mhz,
    .azimuth_deg = azimuth_deg, .gain_dbi = gain, .price = (double) NAN,
  };
  return dwn_pattern_new (&values, NULL);
}

static DwnChain *
gear_with (const DwnTables *tables, const DwnPattern *pattern)
{
  g_autoptr (GError) error = NULL;
  DwnPart antenna;

  dwn_part_init (&antenna);
  antenna.id = g_intern_string ("antenna1");
  antenna.type = g_intern_string (pattern->id);
  antenna.kind = DWN_PART_ANTENNA;
  antenna.pattern = pattern;
  DwnChain *gear = dwn_chain_new_standard (tables->parts, 1, &antenna, 1, "series-6", 15.0, "tuner-atsc",
                                           &error);
  g_assert_no_error (error);
  return gear;
}

static DwnStation
random_station (GRand *random, const DwnLatLon *house, guint i, const char *const *service)
{
  static const char *const uhf[] = { "15", "18", "21", "24", "27", "30", "33", "36" };
  static const char *const vhf[] = { "7", "9", "11", "13" };
  gboolean high = g_rand_boolean (random);
  DwnChannel channel;
  DwnStation station = {
    .id = service[0], .name = service[0], .site = g_intern_string (""), .system = DWN_SYSTEM_ATSC1,
    .rf = high ? vhf[i % 4] : uhf[i % 8], .haat_m = 300.0, .agl_m = (double) NAN, .amsl_m = (double) NAN,
    .erp_kw = pow (10.0, g_rand_double_range (random, -2.0, 2.0)),
    .polarisation = DWN_POLARISATION_HORIZONTAL, .n_services = 1, .services = service,
  };

  g_assert_true (dwn_channel_find (station.system, station.rf, &channel, NULL));
  station.mhz = channel.centre_mhz;
  station.band = channel.band;
  dwn_geodesic_direct (house, g_rand_double_range (random, 0, 360),
                       g_rand_double_range (random, 30e3, 90e3), &station.at, NULL);
  return station;
}

static DwnPlan *
random_plan (GRand *random, const DwnTables *tables, const DwnPattern *pattern, guint n)
{
  g_autofree DwnStation *station = g_new0 (DwnStation, n);
  g_autofree DwnService *service = g_new0 (DwnService, n);
  g_autofree const char **id = g_new0 (const char *, n);
  const DwnSite values = {
    .name = g_intern_string ("test"), .place = g_intern_string (""), .at = { 44.6, -115.1 },
    .ground_m = (double) NAN, .height_m = DWN_SITE_HEIGHT_M, .area = DWN_AREA_RURAL,
  };
  const double north = 0.0;
  DwnMethod how;

  for (guint i = 0; i < n; i++)
    {
      g_autofree char *name = g_strdup_printf ("s%u", i);
      id[i] = g_intern_string (name);
      service[i] = (DwnService) { id[i], id[i], g_intern_string (""), (DwnWanted) g_rand_int_range (random, 0, 3) };
      station[i] = random_station (random, &values.at, i, &id[i]);
    }
  dwn_method_init (&how);
  g_autoptr (DwnSite) site = dwn_site_new (&values);
  g_autoptr (DwnStations) stations = dwn_stations_new (n, station, NULL, NULL);
  g_autoptr (DwnServices) services = dwn_services_new (n, service);
  g_autoptr (DwnChain) gear = gear_with (tables, pattern);
  g_autoptr (DwnAims) aims = dwn_aims_new (1, &north);
  g_autoptr (DwnPaths) paths = dwn_paths_new (0, NULL, NULL);
  g_autoptr (DwnReadings) readings = dwn_readings_new (0, NULL);
  g_autoptr (DwnMethod) method = dwn_method_new (&how);
  const DwnPlan parts = { site, stations, services, gear, aims, paths, readings, method };

  return dwn_plan_new (&parts);
}

/* What decides first: must services, liked ones, the weakest margin in steps of half a dB. */
typedef struct {
  int must, like, half_db;
} Key;

static gboolean
better (Key a, Key b)
{
  if (a.must != b.must)
    return a.must > b.must;
  return a.like != b.like ? a.like > b.like : a.half_db > b.half_db;
}

static Key
key_of (const DwnPlan *plan, const DwnBudget *budget)
{
  Key key = { 0, 0, G_MAXINT };
  gboolean all_liked = TRUE;

  for (guint s = 0; s < plan->services->n; s++)
    all_liked &= plan->services->service[s].wanted == DWN_WANTED_NO;
  for (guint s = 0; s < plan->services->n; s++)
    {
      int best = dwn_best_station (plan, budget, s);
      DwnWanted mark = all_liked ? DWN_WANTED_LIKE : plan->services->service[s].wanted;

      if (best < 0 || !budget->held[best] || mark == DWN_WANTED_NO)
        continue;
      key.must += mark == DWN_WANTED_MUST ? 1 : 0;
      key.like += mark == DWN_WANTED_LIKE ? 1 : 0;
      double margin_db = budget->reception[(gsize) best * budget->n_outlets + budget->weakest[best]].margin_db;
      key.half_db = MIN (key.half_db, (int) floor (2.0 * margin_db + 1e-9));
    }
  return key;
}

/* The best of all aims of a plan whose gear has one or two antennas. */
static Key
brute (const DwnPlan *plan, const DwnTables *tables)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  Key best = { -1, -1, 0 };
  int n_second = plan->gear->n_antennas > 1 ? N_AIMS : 1;

  for (int first = 0; first < N_AIMS; first++)
    for (int second = 0; second < n_second; second++)
      {
        const double aim_deg[] = { first, second };
        g_autoptr (DwnBudget) budget = dwn_budget_new (base, aim_deg);
        Key key = key_of (plan, budget);
        if (better (key, best))
          best = key;
      }
  return best;
}

static Key
key_of_rung (const DwnRung *rung, const DwnTables *tables)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (rung->plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (rung->plan, fields, tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, rung->grid_deg);

  return key_of (rung->plan, budget);
}

static const DwnRung *
find_rung (const DwnLadder *ladder, DwnArrangement arrangement)
{
  for (guint r = 0; r < ladder->n; r++)
    if (ladder->rung[r].arrangement == arrangement)
      return &ladder->rung[r];
  return NULL;
}

static void
assert_same (Key found, Key best)
{
  if (found.must != best.must || found.like != best.like || found.half_db != best.half_db)
    g_test_message ("advice %d %d %d, brute force %d %d %d", found.must, found.like, found.half_db,
                    best.must, best.like, best.half_db);
  g_assert_cmpint (found.must, ==, best.must);
  g_assert_cmpint (found.like, ==, best.like);
  g_assert_cmpint (found.half_db, ==, best.half_db);
}

typedef struct {
  DwnTables *tables;
  DwnPattern *pattern[4];
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  fixture->pattern[0] = lobe ("test-uhf-narrow", 470, 608, 14, 30);
  fixture->pattern[1] = lobe ("test-uhf-wide", 470, 608, 9, 70);
  fixture->pattern[2] = lobe ("test-vhf", 174, 216, 9, 60);
  fixture->pattern[3] = lobe ("test-both", 174, 608, 6, 80);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  for (guint k = 0; k < 4; k++)
    dwn_pattern_unref (fixture->pattern[k]);
  dwn_tables_unref (fixture->tables);
}

static DwnLadder *
advise (Fixture *fixture, const DwnPlan *plan, guint n, const DwnPattern *const *pattern)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  const DwnAdviceOptions options = { .n_antennas = n, .pattern = pattern };
  DwnLadder *ladder = dwn_advise (plan, fields, fixture->tables, &options, NULL, &error);

  g_assert_no_error (error);
  g_assert_nonnull (ladder);
  return ladder;
}

static void
test_one_antenna (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (11);

  for (guint round = 0; round < 5; round++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, fixture->tables, fixture->pattern[0],
                                              (guint) g_rand_int_range (random, 3, 12));
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 4, (const DwnPattern *const *) fixture->pattern);
      Key best = { -1, -1, 0 };

      for (guint k = 0; k < 4; k++)
        {
          g_autoptr (DwnChain) gear = gear_with (fixture->tables, fixture->pattern[k]);
          g_autoptr (DwnPlan) other = dwn_plan_with_gear (plan, gear, plan->aims);
          Key key = brute (other, fixture->tables);
          if (better (key, best))
            best = key;
        }
      assert_same (key_of_rung (find_rung (ladder, DWN_ARRANGEMENT_ONE), fixture->tables), best);
    }
}

/* One UHF and one VHF antenna, all 129,600 pairs of aims. */
static void
test_split_by_band (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (12);
  const DwnPattern *const two[] = { fixture->pattern[1], fixture->pattern[2] };
  guint compared = 0;

  /* Plans that are better off with one antenna alone say nothing here. */
  for (guint round = 0; round < 20 && compared < 1; round++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, fixture->tables, fixture->pattern[1], 4);
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 2, two);
      const DwnRung *rung = find_rung (ladder, DWN_ARRANGEMENT_SPLIT_BY_BAND);

      if (rung == NULL || rung->n_antennas != 2 || rung->pattern[0] == rung->pattern[1])
        continue;
      assert_same (key_of_rung (rung, fixture->tables), brute (rung->plan, fixture->tables));
      compared++;
    }
  g_assert_cmpuint (compared, ==, 1);
}

/* A rung's figures are those of the budget of its own plan. */
static void
test_figures_are_the_budgets (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (13);

  for (guint round = 0; round < 2; round++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, fixture->tables, fixture->pattern[3], 8);
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 4, (const DwnPattern *const *) fixture->pattern);

      for (guint r = 0; r < ladder->n; r++)
        {
          const DwnRung *rung = &ladder->rung[r];
          g_autoptr (DwnFields) fields = dwn_fields_new (rung->plan, NULL, NULL);
          g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (rung->plan, fields, fixture->tables);
          g_autoptr (DwnBudget) budget = dwn_budget_new (base, rung->plan->aims->aim_deg);

          for (guint s = 0; s < plan->services->n; s++)
            {
              int best = dwn_best_station (rung->plan, budget, s);
              g_assert_cmpint (rung->holds[s], ==, best >= 0 && budget->held[best]);
            }
        }
    }
}

/* Advised is never a rung whose simpler neighbour holds just the same must services. */
static void
test_no_idle_climb (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (14);

  for (guint round = 0; round < 3; round++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, fixture->tables, fixture->pattern[3], 8);
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 4, (const DwnPattern *const *) fixture->pattern);

      for (int r = 0; r < ladder->advised; r++)
        {
          const DwnRung *lower = &ladder->rung[r], *advised = &ladder->rung[ladder->advised];
          g_assert_true (lower->held_must < advised->held_must || lower->held_like < advised->held_like
                         || lower->held_must + lower->held_like == 0);
        }
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/study/advice/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("one-antenna", test_one_antenna);
  ADD ("split-by-band", test_split_by_band);
  ADD ("figures-are-the-budgets", test_figures_are_the_budgets);
  ADD ("no-idle-climb", test_no_idle_climb);
  return g_test_run ();
}
