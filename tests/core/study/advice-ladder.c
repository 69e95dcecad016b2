/* Every rung against brute force, on seeded random plans with overload and interference in them:
 * each arrangement of the allowed antennas at each aim of a coarse grid, through the budget itself,
 * by everything that decides between them. With DOWNLEAD_LONG_TESTS set (tests/run --long) on four
 * times as many plans. */
#include <math.h>
#include <string.h>

#include "core/chain/head.h"
#include "core/geo/geodesic.h"
#include "core/plan/document.h"
#include "core/study/advice.h"

#define N_KINDS 5
#define MOST_WIRES 64
#define ROOM_MHZ 12.0 /* slope of the part list's channel filters */

/* A lobe of this half-power width in one band, deaf outside it, 18 dB down to the rear. */
static DwnPattern *
lobe (const char *id, double low_mhz, double high_mhz, double gain_dbi, double width_deg, double price)
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
    .azimuth_deg = azimuth_deg, .gain_dbi = gain, .price = price,
  };
  return dwn_pattern_new (&values, NULL);
}

typedef struct {
  DwnTables *tables;
  DwnPattern *kind[N_KINDS];
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  fixture->kind[0] = lobe ("test-uhf-narrow", 470, 608, 14, 30, 80.0);
  fixture->kind[1] = lobe ("test-uhf-wide", 470, 608, 9, 70, 45.5);
  fixture->kind[2] = lobe ("test-vhf", 174, 216, 9, 60, 45.5);
  fixture->kind[3] = lobe ("test-both", 174, 608, 6, 80, (double) NAN);
  fixture->kind[4] = lobe ("test-all-round", 174, 608, 2, 300, 20.0);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  for (guint k = 0; k < N_KINDS; k++)
    dwn_pattern_unref (fixture->kind[k]);
  dwn_tables_unref (fixture->tables);
}

/* Random plans */

#define PLAIN_GEAR \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='tv1' cable='series-6' length-m='15'/>"
/* An amplifier that strong stations overload, two outlets. */
#define AMPLIFIED_GEAR \
  "<part id='amp' kind='amplifier' type='mast-amp-25-3' on-mast='yes'/>" \
  "<part id='supply' kind='inserter' type='inserter-12'/>" \
  "<part id='split' kind='splitter' type='splitter-2'/>" \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='amp'/><join from='amp' to='supply' cable='series-6' length-m='20'/>" \
  "<join from='supply' to='split'/>" \
  "<join from='split' from-port='1' to='tv1' cable='series-6' length-m='8'/>" \
  "<join from='split' from-port='2' to='tv2' cable='series-6' length-m='14'/>"

static void
add_station (GString *text, GRand *random, guint i)
{
  static const char *const rf[] = { "7", "10", "13", "14", "15", "20", "21", "25", "30", "36" };
  const DwnLatLon house = { 44.6, -115.1 };
  DwnLatLon at;
  char lat[G_ASCII_DTOSTR_BUF_SIZE], lon[G_ASCII_DTOSTR_BUF_SIZE], erp[G_ASCII_DTOSTR_BUF_SIZE];
  guint channel = (guint) g_rand_int_range (random, 0, G_N_ELEMENTS (rf));
  double erp_kw = pow (10.0, g_rand_double_range (random, -2.0, 2.5));

  dwn_geodesic_direct (&house, g_rand_double_range (random, 0.0, 360.0),
                       pow (10.0, g_rand_double_range (random, 3.7, 5.0)), &at, NULL);
  g_string_append_printf (
    text, "<station id='t%u' name='T%u' system='atsc1' rf='%s' lat='%s' lon='%s' erp-kw='%s'"
    " haat-m='250' polarisation='%s' network='%s' services='s%u'/>", i, i, rf[channel],
    g_ascii_dtostr (lat, sizeof lat, at.lat_deg), g_ascii_dtostr (lon, sizeof lon, at.lon_deg),
    g_ascii_dtostr (erp, sizeof erp, erp_kw), g_rand_int_range (random, 0, 6) == 0 ? "v" : "h",
    g_rand_int_range (random, 0, 3) == 0 ? "net" : "",
    /* Now and then two stations carry one service. */
    i > 0 && g_rand_int_range (random, 0, 6) == 0 ? i - 1 : i);
}

static DwnPlan *
random_plan (GRand *random, const DwnTables *tables)
{
  static const char *const marks[] = { "", " wanted='like'", " wanted='must'" };
  g_autoptr (GString) services = g_string_new (NULL);
  g_autoptr (GString) stations = g_string_new (NULL);
  g_autoptr (GError) error = NULL;
  guint n = (guint) g_rand_int_range (random, 3, 10);
  gboolean marked = g_rand_int_range (random, 0, 6) > 0;

  for (guint i = 0; i < n; i++)
    {
      g_string_append_printf (services, "<service id='s%u' name='S%u'%s/>", i, i,
                              marked ? marks[g_rand_int_range (random, 0, 3)] : "");
      add_station (stations, random, i);
    }
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Test' lat='44.6' lon='-115.1' area='rural'/>"
    "<services>%s</services><stations>%s</stations><gear>"
    "<part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h' aim-deg='0'/>"
    "%s</gear></downlead>", services->str, stations->str,
    g_rand_boolean (random) ? PLAIN_GEAR : AMPLIFIED_GEAR);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  DwnPlan *plan = dwn_plan_read (bytes, "random", tables->parts, tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

/* What decides, the first that differs */

typedef struct {
  int must, like, half_db, window_deg, extras;
  double cost; /* NaN: unknown, dearer than any */
} Key;
static const Key nothing = { -1, -1, 0, 0, 0, 0.0 };

static int
compare_counts (Key a, Key b)
{
  return a.must != b.must ? a.must - b.must : a.like - b.like;
}

/* What is held and how well. */
static int
compare_held (Key a, Key b)
{
  int by_counts = compare_counts (a, b);

  return by_counts != 0 ? by_counts : a.half_db - b.half_db;
}

static int
compare_keys (Key a, Key b)
{
  int by_held = compare_held (a, b);

  if (by_held != 0 || a.must + a.like <= 0)
    return by_held;
  if (a.window_deg != b.window_deg)
    return a.window_deg - b.window_deg;
  if (a.extras != b.extras)
    return a.extras - b.extras;
  if (isnan (a.cost) || isnan (b.cost))
    return isnan (b.cost) - isnan (a.cost);
  return (a.cost < b.cost) - (a.cost > b.cost);
}

static Key
better_of (Key a, Key b)
{
  return compare_keys (a, b) >= 0 ? a : b;
}

static gboolean
carries (const DwnStation *station, const char *service)
{
  for (guint s = 0; s < station->n_services; s++)
    if (station->services[s] == service)
      return TRUE;
  return FALSE;
}

/* Of the stations that hold the service the one with most margin; NaN: none does. */
static double
service_margin_db (const DwnPlan *plan, const DwnBudget *budget, guint service)
{
  double best = (double) NAN;

  for (guint i = 0; i < plan->stations->n; i++)
    {
      double lowest = (double) INFINITY;

      if (!budget->held[i] || !carries (&plan->stations->station[i], plan->services->service[service].id))
        continue;
      for (guint o = 0; o < budget->n_outlets; o++)
        lowest = fmin (lowest, budget->reception[i * budget->n_outlets + o].margin_db);
      best = fmax (best, lowest); /* fmax passes over NaN */
    }
  return best;
}

static gboolean
nothing_is_marked (const DwnPlan *plan)
{
  gboolean none = TRUE;

  for (guint s = 0; s < plan->services->n; s++)
    none = none && plan->services->service[s].wanted == DWN_WANTED_NO;
  return none;
}

/* All but the window and the cost. */
static Key
key_of (const DwnPlan *plan, const DwnBudget *budget)
{
  Key key = { 0, 0, G_MAXINT, 0, 0, 0.0 };
  gboolean all_liked = nothing_is_marked (plan);

  for (guint s = 0; s < plan->services->n; s++)
    {
      DwnWanted mark = all_liked ? DWN_WANTED_LIKE : plan->services->service[s].wanted;
      double margin_db = service_margin_db (plan, budget, s);

      if (isnan (margin_db))
        continue;
      key.must += mark == DWN_WANTED_MUST ? 1 : 0;
      key.like += mark == DWN_WANTED_LIKE ? 1 : 0;
      key.extras += mark == DWN_WANTED_NO ? 1 : 0;
      if (mark != DWN_WANTED_NO)
        key.half_db = MIN (key.half_db, (int) floor (2.0 * margin_db));
    }
  if (key.must + key.like == 0)
    key.half_db = 0; /* how far off it is where nothing is held, does not matter here */
  return key;
}

static gboolean
is_wanted (const DwnPlan *plan, const DwnStation *station)
{
  return nothing_is_marked (plan) || dwn_station_wanted (station, plan->services) != DWN_WANTED_NO;
}

static guint
held_wanted_stations (const DwnPlan *plan, const DwnBudget *budget)
{
  guint held = 0;

  for (guint i = 0; i < plan->stations->n; i++)
    if (budget->held[i] && is_wanted (plan, &plan->stations->station[i]))
      held |= 1u << i;
  return held;
}

/* Does each antenna bring something wanted that is held? */
static gboolean
none_is_idle (const DwnPlan *plan, const DwnBudget *budget)
{
  guint antennas = 0;

  for (guint i = 0; i < plan->stations->n; i++)
    for (guint o = 0; o < budget->n_outlets; o++)
      if (budget->held[i] && is_wanted (plan, &plan->stations->station[i]))
        antennas |= 1u << budget->reception[i * budget->n_outlets + o].antenna;
  return antennas == (1u << plan->gear->n_antennas) - 1;
}

/* Brute force */

typedef struct {
  Fixture *fixture;
  DwnPlan *plan;
  guint n_antennas;
  DwnPattern *antenna[3];
  guint step_deg;
  guint base; /* antennas of the arrangement before one for another band */
} Problem;

static DwnPlan *
wire (const Problem *problem, DwnArrangement arrangement, guint n, const guint *antenna,
      const char *const *pass)
{
  static const char *const id[] = { "antenna1", "antenna2", "antenna3" };
  const double north[3] = { 0 };
  DwnPart part[3];

  for (guint a = 0; a < n; a++)
    {
      dwn_part_init (&part[a]);
      part[a].id = g_intern_string (id[a]);
      part[a].kind = DWN_PART_ANTENNA;
      part[a].pattern = problem->antenna[antenna[a]];
      part[a].type = g_intern_string (part[a].pattern->id);
      part[a].below_top_m = a; /* a metre apart */
      part[a].polarisation = DWN_POLARISATION_HORIZONTAL;
      part[a].pass = pass != NULL && a < 2 ? pass[a] : NULL;
    }
  g_autoptr (DwnChain) gear = dwn_chain_with_head (problem->plan->gear, arrangement, n, part, NULL);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnAims) aims = dwn_aims_new (n, north);
  return dwn_plan_with_gear (problem->plan, gear, aims);
}

/* The next of so many numbers, each under its own limit; FALSE after the last. */
static gboolean
next (guint *number, guint n, guint below)
{
  for (guint a = n; a-- > 0;)
    {
      if (++number[a] < below)
        return TRUE;
      number[a] = 0;
    }
  return FALSE;
}

/* One plan at every combination of aims; the last antenna's aim runs fastest. */
typedef struct {
  Key key;
  guint held;    /* wanted stations, a bit each */
  gboolean idle; /* some antenna brings nothing */
} Spot;

typedef struct {
  guint n, n_aims, step_deg;
  gboolean turns; /* the first is on a rotator: its aim makes no difference */
  gsize n_spots;
  Spot *spot;
  double cost;
} Sweep;

static double
cost_of (const DwnPlan *plan)
{
  double cost = 0.0;

  for (guint a = 0; a < plan->gear->n_antennas; a++)
    cost += plan->gear->part[plan->gear->antenna[a]].pattern->price;
  return cost;
}

static Sweep
sweep_new (const Problem *problem, const DwnPlan *plan)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, problem->fixture->tables);
  Sweep sweep = { .n = plan->gear->n_antennas, .n_aims = 360 / problem->step_deg, .n_spots = 1,
                  .step_deg = problem->step_deg, .cost = cost_of (plan),
                  .turns = plan->gear->part[plan->gear->antenna[0]].rotator };

  for (guint a = sweep.turns ? 1 : 0; a < sweep.n; a++)
    sweep.n_spots *= sweep.n_aims;
  sweep.spot = g_new (Spot, sweep.n_spots);
  for (gsize at = 0; at < sweep.n_spots; at++)
    {
      double aim_deg[3] = { 0 };
      gsize left = at;

      for (guint a = sweep.n; a-- > 0; left /= sweep.n_aims)
        aim_deg[a] = (double) (left % sweep.n_aims) * sweep.step_deg;
      g_autoptr (DwnBudget) budget = dwn_budget_new (base, aim_deg);
      sweep.spot[at] = (Spot) { key_of (plan, budget), held_wanted_stations (plan, budget),
                                !none_is_idle (plan, budget) };
    }
  return sweep;
}

/* Does antenna @a, turned by @steps, still bring all that is held? */
static gboolean
keeps (const Sweep *sweep, gsize at, guint a, guint steps)
{
  gsize stride = 1;

  for (guint b = a + 1; b < sweep->n; b++)
    stride *= sweep->n_aims;
  gsize aim = at / stride % sweep->n_aims;
  gsize turned = at - aim * stride + (aim + steps) % sweep->n_aims * stride;
  return (sweep->spot[at].held & ~sweep->spot[turned].held) == 0;
}

/* The narrowest of the antennas'. */
static int
window_deg (const Sweep *sweep, gsize at)
{
  guint narrowest = sweep->n_aims;

  for (guint a = sweep->turns ? 1 : 0; a < sweep->n; a++)
    {
      guint right = 0, left = 0;

      while (right + 1 < sweep->n_aims && keeps (sweep, at, a, right + 1))
        right++;
      while (right + left + 1 < sweep->n_aims && keeps (sweep, at, a, sweep->n_aims - left - 1))
        left++;
      narrowest = MIN (narrowest, right + left + 1);
    }
  return (int) (narrowest * (360 / sweep->n_aims));
}

static Key
whole_key (const Sweep *sweep, gsize at)
{
  Key key = sweep->spot[at].key;

  key.window_deg = window_deg (sweep, at);
  key.cost = sweep->cost;
  return key;
}

static Key
best_aims (const Problem *problem, const DwnPlan *plan, guint n)
{
  Sweep sweep = sweep_new (problem, plan);
  Key best = nothing;

  for (gsize at = 0; at < sweep.n_spots; at++)
    if ((n <= problem->base || !sweep.spot[at].idle) && compare_held (sweep.spot[at].key, best) >= 0)
      best = better_of (whole_key (&sweep, at), best);
  g_free (sweep.spot);
  return best;
}

/* Which antennas come first does not matter, but for channel filters. */
static gboolean
is_ordered (DwnArrangement arrangement, guint n, const guint *antenna)
{
  guint n_alike = arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND ? n
                  : arrangement == DWN_ARRANGEMENT_ROTATOR || arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS
                  ? 1 : MIN (n, 2);

  for (guint a = 1; a < n_alike; a++)
    if (antenna[a] < antenna[a - 1])
      return FALSE;
  return TRUE;
}

static Key
best_antennas (const Problem *problem, DwnArrangement arrangement, guint n, const char *const *pass)
{
  guint antenna[3] = { 0 };
  Key best = nothing;

  do
    {
      g_autoptr (DwnPlan) plan = is_ordered (arrangement, n, antenna)
                                 ? wire (problem, arrangement, n, antenna, pass) : NULL;
      if (plan != NULL)
        best = better_of (best_aims (problem, plan, n), best);
    }
  while (next (antenna, n, problem->n_antennas));
  return best;
}

static int
compare_channels (gconstpointer a, gconstpointer b)
{
  const DwnChannel *x = a, *y = b;

  return (x->low_mhz > y->low_mhz) - (x->low_mhz < y->low_mhz);
}

static GArray *
wanted_channels (const DwnPlan *plan)
{
  GArray *channels = g_array_new (FALSE, FALSE, sizeof (DwnChannel));

  for (guint i = 0; i < plan->stations->n; i++)
    {
      DwnChannel channel;
      gboolean known = !is_wanted (plan, &plan->stations->station[i]);

      dwn_channel_find (plan->stations->station[i].system, plan->stations->station[i].rf, &channel, NULL);
      for (guint k = 0; k < channels->len; k++)
        known = known || g_array_index (channels, DwnChannel, k).low_mhz == channel.low_mhz;
      if (!known)
        g_array_append_val (channels, channel);
    }
  g_array_sort (channels, compare_channels);
  return channels;
}

/* Every run of wanted channels to the second antenna, with room for slopes at its ends. */
static Key
best_filters (const Problem *problem, guint n)
{
  g_autoptr (GArray) channels = wanted_channels (problem->plan);
  Key best = nothing;

#define LOW(k) g_array_index (channels, DwnChannel, k).low_mhz
#define HIGH(k) g_array_index (channels, DwnChannel, k).high_mhz
  for (guint first = 1; first < channels->len; first++)
    for (guint end = first + 1; end <= channels->len; end++)
      {
        gboolean top = end == channels->len;
        g_autofree char *below = g_strdup_printf ("40-%g", HIGH (first - 1));
        g_autofree char *above = top ? g_strdup ("") : g_strdup_printf (" %g-900", LOW (end));
        g_autofree char *rest = g_strconcat (below, above, NULL);
        g_autofree char *run = g_strdup_printf ("%g-%g", LOW (first), top ? 900.0 : HIGH (end - 1));
        const char *const pass[] = { rest, run };

        if (LOW (first) - HIGH (first - 1) >= ROOM_MHZ && (top || LOW (end) - HIGH (end - 1) >= ROOM_MHZ))
          best = better_of (best_antennas (problem, DWN_ARRANGEMENT_CHANNEL_FILTERS, n, pass), best);
      }
  return best;
}

static Key
brute (const Problem *problem, DwnArrangement arrangement, guint n)
{
  return arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS ? best_filters (problem, n)
                                                        : best_antennas (problem, arrangement, n, NULL);
}

static gboolean
wants_several_bands (const DwnPlan *plan)
{
  guint bands = 0;

  for (guint i = 0; i < plan->stations->n; i++)
    if (is_wanted (plan, &plan->stations->station[i]))
      bands |= 1u << plan->stations->station[i].band;
  return (bands & (bands - 1)) != 0;
}

/* One more antenna is for another band, and counts only where it brings something. */
static Key
brute_rung (Problem *problem, DwnArrangement arrangement)
{
  guint base = arrangement == DWN_ARRANGEMENT_ONE || arrangement == DWN_ARRANGEMENT_ROTATOR ? 1 : 2;

  problem->base = base;
  Key best = brute (problem, arrangement, base);

  if (arrangement == DWN_ARRANGEMENT_ONE || compare_counts (best, nothing) == 0
      || !wants_several_bands (problem->plan))
    return best;
  Key more = brute (problem, arrangement, base + 1);
  return compare_counts (more, best) > 0 ? more : best;
}

/* Comparing */

static Key
key_of_rung (const Problem *problem, const DwnRung *rung)
{
  Sweep sweep = sweep_new (problem, rung->plan);
  gsize at = 0;

  for (guint a = sweep.turns ? 1 : 0; a < sweep.n; a++)
    at = at * sweep.n_aims + (gsize) lround (rung->grid_deg[a]) / sweep.step_deg;
  Key key = whole_key (&sweep, at);
  g_free (sweep.spot);
  return key;
}

static void
say (const char *who, Key key)
{
  g_test_message ("%s: %d must, %d liked, %d half dB, window %d°, %d extras, cost %g", who, key.must,
                  key.like, key.half_db, key.window_deg, key.extras, key.cost);
}

static void
compare_rung (Problem *problem, const DwnRung *rung, guint number)
{
  Key found = key_of_rung (problem, rung);
  Key best = brute_rung (problem, rung->arrangement);

  if (compare_keys (found, best) != 0)
    {
      g_test_message ("plan %u, %s of %u, %u antennas allowed, %u°", number,
                      dwn_arrangement_id (rung->arrangement), rung->n_antennas, problem->n_antennas,
                      problem->step_deg);
      say ("advice", found);
      say ("brute force", best);
    }
  g_assert_cmpint (compare_keys (found, best), ==, 0);
}

static DwnLadder *
advise (const Problem *problem)
{
  const DwnAdviceOptions options = {
    .n_antennas = problem->n_antennas, .pattern = (const DwnPattern *const *) problem->antenna,
    .step_deg = problem->step_deg,
  };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (problem->plan, NULL, &error);
  g_assert_no_error (error);
  DwnLadder *ladder = dwn_advise (problem->plan, fields, problem->fixture->tables, &options, NULL, &error);

  g_assert_no_error (error);
  return ladder;
}

/* Neither a lower rung that holds just as much is passed over, nor one advised without need. */
static void
check_choice (const DwnLadder *ladder)
{
  for (int r = 0; r < ladder->advised; r++)
    {
      const DwnRung *lower = &ladder->rung[r], *advised = &ladder->rung[ladder->advised];
      gboolean lacks = FALSE;

      for (guint s = 0; s < advised->plan->services->n; s++)
        lacks = lacks || (advised->holds[s] && !lower->holds[s]
                          && advised->margin_db[s] - lower->margin_db[s] >= DWN_CLIMB_DB);
      g_assert_true (lacks);
    }
}

typedef struct {
  const char *name;
  guint32 seed;
  guint n_plans, n_antennas, step_deg;
  gboolean of_one_band; /* antennas: arrangements need one more */
} Batch;

static const Batch batches[] = {
  { "two-antennas-72-aims", 1, 40, 1, 5, FALSE }, /* each alone, and with itself */
  { "two-antennas-8-aims", 2, 110, 2, 45, FALSE },
  { "three-antennas-6-aims", 3, 60, 3, 60, FALSE },
  { "three-antennas-of-one-band", 4, 60, 3, 60, TRUE },
};

/* A sanitizer makes a plan some twenty times as dear; there the first of each batch do. */
#if defined __SANITIZE_ADDRESS__ || defined __SANITIZE_THREAD__
#define ONE_OF 10
#else
#define ONE_OF 1
#endif

static void
test_batch (Fixture *fixture, gconstpointer data)
{
  const Batch *batch = data;
  g_autoptr (GRand) random = g_rand_new_with_seed (batch->seed);

  guint n_plans = g_getenv ("DOWNLEAD_LONG_TESTS") != NULL ? 4 * batch->n_plans : batch->n_plans;

  for (guint k = 0; k < n_plans / ONE_OF; k++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, fixture->tables);
      Problem problem = { .fixture = fixture, .plan = plan, .n_antennas = batch->n_antennas,
                          .step_deg = batch->step_deg };
      guint first = batch->of_one_band ? 0 : (guint) g_rand_int_range (random, 0, N_KINDS);
      guint stride = batch->of_one_band ? 1 : 1 + k % 2;

      for (guint a = 0; a < batch->n_antennas; a++)
        problem.antenna[a] = fixture->kind[(first + a * stride) % N_KINDS];
      g_autoptr (DwnLadder) ladder = advise (&problem);
      for (guint r = 0; r < ladder->n; r++)
        if (batch->step_deg > 5 || ladder->rung[r].n_antennas < 2)
          compare_rung (&problem, &ladder->rung[r], k);
      check_choice (ladder);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint k = 0; k < G_N_ELEMENTS (batches); k++)
    {
      g_autofree char *path = g_strconcat ("/study/advice-ladder/", batches[k].name, NULL);
      g_test_add (path, Fixture, &batches[k], set_up, test_batch, tear_down);
    }
  return g_test_run ();
}
