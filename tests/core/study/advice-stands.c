/* What the advice says of itself: what falls first, how often it wins, what it leaves alone; and that
 * it stops when asked to. */
#define _POSIX_C_SOURCE 200809L

#include <gio/gio.h>
#include <math.h>
#include <pthread.h>
#include <string.h>
#include <time.h>

#include "core/geo/geodesic.h"
#include "core/plan/document.h"
#include "core/radio/normal.h"
#include "core/study/advice.h"

/* A transmitter as a plan is written: stations in one place share a mast. */
typedef struct {
  double bearing_deg, distance_m, erp_kw;
  const char *rf, *wanted; /* of its own service: "must", "like", "no" */
} Transmitter;

#define PLAIN_GEAR \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='tv1' cable='series-6' length-m='15'/>"
#define AMPLIFIED_GEAR \
  "<part id='amp' kind='amplifier' type='mast-amp-25-3' on-mast='yes'/>" \
  "<part id='supply' kind='inserter' type='inserter-12'/><part id='tv1' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='amp'/><join from='amp' to='supply' cable='series-6' length-m='20'/>" \
  "<join from='supply' to='tv1'/>"

static DwnPlan *
plan_of (const DwnTables *tables, guint n, const Transmitter *transmitter, const char *gear)
{
  const DwnLatLon house = { 44.6, -115.1 };
  g_autoptr (GString) services = g_string_new (NULL);
  g_autoptr (GString) stations = g_string_new (NULL);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < n; i++)
    {
      char lat[G_ASCII_DTOSTR_BUF_SIZE], lon[G_ASCII_DTOSTR_BUF_SIZE], erp[G_ASCII_DTOSTR_BUF_SIZE];
      const Transmitter *t = &transmitter[i];
      DwnLatLon at;

      dwn_geodesic_direct (&house, t->bearing_deg, t->distance_m, &at, NULL);
      g_string_append_printf (services, "<service id='s%u' name='S%u' wanted='%s'/>", i, i, t->wanted);
      g_string_append_printf (
        stations, "<station id='t%u' name='T%u' system='atsc1' rf='%s' lat='%s' lon='%s' erp-kw='%s'"
        " haat-m='250' polarisation='h' services='s%u'/>", i, i, t->rf,
        g_ascii_dtostr (lat, sizeof lat, at.lat_deg), g_ascii_dtostr (lon, sizeof lon, at.lon_deg),
        g_ascii_dtostr (erp, sizeof erp, t->erp_kw), i);
    }
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Test' lat='44.6' lon='-115.1' area='rural'/>"
    "<services>%s</services><stations>%s</stations><gear>"
    "<part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h' aim-deg='0'/>"
    "%s</gear></downlead>", services->str, stations->str, gear);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  DwnPlan *plan = dwn_plan_read (bytes, "test", tables->parts, tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

/* Masts around the house with one to three stations each; the first is a must. */
static guint
random_transmitters (GRand *random, guint n, Transmitter *transmitter)
{
  static const char *const rf[] = { "8", "10", "12", "15", "18", "20", "22", "24", "26", "28", "30", "33" };
  static const char *const marks[] = { "no", "like", "must", "must" };
  double bearing_deg = 0.0, distance_m = 0.0;

  for (guint i = 0; i < n; i++)
    {
      if (i == 0 || g_rand_int_range (random, 0, 3) == 0)
        {
          bearing_deg = g_rand_double_range (random, 0.0, 360.0);
          distance_m = g_rand_double_range (random, 20e3, 90e3);
        }
      transmitter[i] = (Transmitter) {
        bearing_deg, distance_m, pow (10.0, g_rand_double_range (random, -2.0, 2.0)),
        rf[i % G_N_ELEMENTS (rf)], i == 0 ? "must" : marks[g_rand_int_range (random, 0, 4)],
      };
    }
  return n;
}

typedef struct {
  DwnTables *tables;
  GPtrArray *patterns; /* (element-type DwnPattern) */
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  static const char *const ids[] = { "bowtie-2", "yagi-uhf-40", "lpda-high-vhf-uhf" };
  g_autoptr (GError) error = NULL;

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  fixture->patterns = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);
  for (guint k = 0; k < G_N_ELEMENTS (ids); k++)
    g_ptr_array_add (fixture->patterns, dwn_catalogue_pattern (fixture->tables->catalogue, ids[k], &error));
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_ptr_array_unref (fixture->patterns);
  dwn_tables_unref (fixture->tables);
}

static DwnLadder *
advise (const Fixture *fixture, const DwnPlan *plan, guint step_deg, guint draws, guint32 seed)
{
  const DwnAdviceOptions options = {
    .n_antennas = fixture->patterns->len, .step_deg = step_deg, .draws = draws, .seed = seed,
    .pattern = (const DwnPattern *const *) fixture->patterns->pdata,
  };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  DwnLadder *ladder = dwn_advise (plan, fields, fixture->tables, &options, NULL, &error);

  g_assert_no_error (error);
  return ladder;
}

/* What falls first: the same house, every station transmitting with less power. To a tenth of a
 * decibel: the advice leaves the standard deviation as it is, of which external noise gets a greater
 * share as other stations fade. */
#define FALL_DB 0.1

static DwnBudget *
weaker (const Fixture *fixture, const DwnPlan *plan, double by_db)
{
  const DwnStations *stations = plan->stations;
  g_autofree DwnStation *station = g_memdup2 (stations->station, stations->n * sizeof *station);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < stations->n; i++)
    station[i].erp_kw *= pow (10.0, -by_db / 10.0);
  g_autoptr (DwnStations) fewer_kw = dwn_stations_new (stations->n, station, NULL, NULL);
  DwnPlan parts = *plan;
  parts.stations = fewer_kw;
  g_autoptr (DwnPlan) weak = dwn_plan_new (&parts);
  g_autoptr (DwnFields) fields = dwn_fields_new (weak, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (weak, fields, fixture->tables);
  return dwn_budget_new (base, weak->aims->aim_deg);
}

static guint
count_lost (const DwnRung *rung, const DwnBudget *budget)
{
  guint lost = 0;

  for (guint s = 0; s < rung->plan->services->n; s++) /* service s comes from station s */
    lost += rung->plan->services->service[s].wanted != DWN_WANTED_NO && rung->holds[s] && !budget->held[s];
  return lost;
}

/* Products fall faster than the stations that make them; the advice is only cautious there. */
static gboolean
has_products (const DwnBudget *budget)
{
  for (guint k = 0; k < budget->n_stations * budget->n_outlets; k++)
    if (budget->reception[k].spurious_share > 1e-9)
      return TRUE;
  return FALSE;
}

static void
check_falls (const Fixture *fixture, const DwnRung *rung)
{
  g_autoptr (DwnBudget) before = weaker (fixture, rung->plan, rung->falls_at_db - FALL_DB);
  g_autoptr (DwnBudget) after = weaker (fixture, rung->plan, rung->falls_at_db + FALL_DB);
  g_autoptr (DwnBudget) by_3db = weaker (fixture, rung->plan, 3.0);
  g_autoptr (DwnBudget) by_6db = weaker (fixture, rung->plan, 6.0);

  g_assert_cmpuint (count_lost (rung, before), ==, 0);
  g_assert_false (after->held[rung->first_to_fall]);
  g_assert_cmpuint (rung->fallen_3db, ==, count_lost (rung, by_3db));
  g_assert_cmpuint (rung->fallen_6db, ==, count_lost (rung, by_6db));
}

static void
test_falls (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (21);
  guint checked = 0;

  for (guint round = 0; round < 20; round++)
    {
      Transmitter transmitter[8];
      guint n = random_transmitters (random, 8, transmitter);
      g_autoptr (DwnPlan) plan = plan_of (fixture->tables, n, transmitter, PLAIN_GEAR);
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 30, 0, 0);

      for (guint r = 0; r < ladder->n; r++)
        if (ladder->rung[r].first_to_fall >= 0 && isfinite (ladder->rung[r].falls_at_db)
            && !has_products (ladder->rung[r].budget))
          {
            check_falls (fixture, &ladder->rung[r]);
            checked++;
          }
    }
  g_assert_cmpuint (checked, >=, 50);
}

/* How often it wins: two masts, so two errors, summed over equal shares of the normal distribution. */

#define N_SHARES 200
#define N_DRAWS 20000u

static guint
score (const DwnRung *rung, const double *error)
{
  guint must = 0, like = 0;

  for (guint i = 0; i < 4; i++) /* two stations on each mast; service i comes from station i */
    {
      const DwnReception *r = &rung->budget->reception[i]; /* one outlet */
      DwnWanted mark = rung->plan->services->service[i].wanted;
      gboolean works = r->margin_db + r->sigma_db * error[i / 2] > 0.0;

      must += works && mark == DWN_WANTED_MUST;
      like += works && mark == DWN_WANTED_LIKE;
    }
  return 100 * must + like;
}

static double
expected_share (const DwnRung *rung, const GPtrArray *all)
{
  guint wins = 0;

  for (guint first = 0; first < N_SHARES; first++)
    for (guint second = 0; second < N_SHARES; second++)
      {
        const double error[] = { dwn_normal_quantile ((first + 0.5) / N_SHARES),
                                 dwn_normal_quantile ((second + 0.5) / N_SHARES) };
        guint own = score (rung, error);
        gboolean beaten = FALSE;

        for (guint c = 0; c < all->len && !beaten; c++)
          beaten = score (all->pdata[c], error) > own;
        wins += beaten ? 0 : 1;
      }
  return (double) wins / (N_SHARES * N_SHARES);
}

static GPtrArray *
contestants (const DwnLadder *ladder)
{
  GPtrArray *all = g_ptr_array_new ();

  for (guint r = 0; r < ladder->n; r++)
    {
      g_ptr_array_add (all, (gpointer) &ladder->rung[r]);
      if (ladder->second[r].n_antennas > 0)
        g_ptr_array_add (all, (gpointer) &ladder->second[r]);
    }
  return all;
}

static void
test_draws (Fixture *fixture, gconstpointer data)
{
  const Transmitter transmitter[] = {
    { 20.0, 70e3, 3.0, "20", "must" }, { 20.0, 70e3, 0.6, "24", "like" },
    { 140.0, 75e3, 3.0, "28", "must" }, { 140.0, 75e3, 0.4, "33", "must" },
  };
  g_autoptr (DwnPlan) plan = plan_of (fixture->tables, 4, transmitter, PLAIN_GEAR);
  g_autoptr (DwnLadder) ladder = advise (fixture, plan, 30, N_DRAWS, 5);
  g_autoptr (DwnLadder) again = advise (fixture, plan, 30, N_DRAWS, 5);
  g_autoptr (GPtrArray) all = contestants (ladder);
  gboolean undecided = FALSE;

  g_assert_cmpuint (all->len, >, ladder->n); /* runners-up take part */
  for (guint r = 0; r < ladder->n; r++)
    {
      double share = ladder->rung[r].win_share, expected = expected_share (&ladder->rung[r], all);

      /* Four standard deviations of so many draws, and the grain of the sum. */
      g_assert_cmpfloat_with_epsilon (share, expected, 4.0 * 0.5 / sqrt (N_DRAWS) + 2.0 / N_SHARES);
      g_assert_cmpfloat (share, ==, again->rung[r].win_share);
      undecided |= share > 0.05 && share < 0.95;
    }
  g_assert_true (undecided);
}

/* A second stands for other antennas, and never above its rung. */
static void
test_seconds (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (22);

  for (guint round = 0; round < 10; round++)
    {
      Transmitter transmitter[6];
      guint n = random_transmitters (random, 6, transmitter);
      g_autoptr (DwnPlan) plan = plan_of (fixture->tables, n, transmitter, PLAIN_GEAR);
      g_autoptr (DwnLadder) ladder = advise (fixture, plan, 30, 1, 5);

      for (guint r = 0; r < ladder->n; r++)
        {
          const DwnRung *rung = &ladder->rung[r], *second = &ladder->second[r];
          gboolean same = second->n_antennas == rung->n_antennas;

          for (guint a = 0; same && a < rung->n_antennas; a++)
            same = second->pattern[a] == rung->pattern[a];
          g_assert_false (same);
          g_assert_cmpuint (10 * second->held_must + second->held_like, <=,
                            10 * rung->held_must + rung->held_like);
        }
    }
}

/* What is out of reach pulls neither aim nor rung: with one more must service from a station that
 * hardly radiates all stays as it was. It shares a channel, lest it made room for other filters. */
static void
test_out_of_reach (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (23);
  guint compared = 0;

  for (guint round = 0; round < 12; round++)
    {
      Transmitter transmitter[8];
      guint n = random_transmitters (random, 7, transmitter);
      g_autoptr (DwnPlan) plan = plan_of (fixture->tables, n, transmitter, PLAIN_GEAR);
      transmitter[n] = (Transmitter) { g_rand_double_range (random, 0.0, 360.0), 90e3, 1e-12,
                                       transmitter[0].rf, "must" };
      g_autoptr (DwnPlan) more = plan_of (fixture->tables, n + 1, transmitter, PLAIN_GEAR);
      g_autoptr (DwnLadder) before = advise (fixture, plan, 30, 0, 0);
      g_autoptr (DwnLadder) after = advise (fixture, more, 30, 0, 0);

      if (before->advised < 0)
        continue;
      compared++;
      g_assert_cmpint (after->advised, ==, before->advised);
      g_assert_cmpuint (after->n, ==, before->n);
      g_assert_cmpuint (after->n_out_of_reach, ==, before->n_out_of_reach + 1);
      for (guint r = 0; r < before->n; r++)
        for (guint a = 0; a < before->rung[r].n_antennas; a++)
          {
            g_assert_true (after->rung[r].pattern[a] == before->rung[r].pattern[a]);
            g_assert_true (after->rung[r].grid_deg[a] == before->rung[r].grid_deg[a]
                           || isnan (before->rung[r].grid_deg[a]));
          }
    }
  g_assert_cmpuint (compared, >=, 6);
}

/* Overload: a far station beside a strong near one. The long Yagi towards both would bring the far
 * one, did it not drive the amplifier beyond its limit. */

static double
least_headroom_db (const DwnBudget *budget)
{
  double least = (double) INFINITY;

  for (guint k = 0; k < budget->n_parts; k++)
    least = fmin (least, budget->headroom_db[k]); /* fmin passes over NaN */
  return least;
}

static void
test_overload (Fixture *fixture, gconstpointer data)
{
  const Transmitter transmitter[] = { { 90.0, 6e3, 60.0, "20", "must" }, { 100.0, 50e3, 20.0, "30", "must" } };
  g_autoptr (DwnPlan) plan = plan_of (fixture->tables, 2, transmitter, AMPLIFIED_GEAR);
  g_autoptr (DwnLadder) ladder = advise (fixture, plan, 10, 0, 0);
  const DwnPattern *yagi = fixture->patterns->pdata[1];
  g_autoptr (GError) error = NULL;
  DwnPart antenna = plan->gear->part[plan->gear->antenna[0]];

  antenna.pattern = yagi;
  antenna.type = g_intern_string (yagi->id);
  g_autoptr (DwnChain) gear = dwn_chain_with_head (plan->gear, DWN_ARRANGEMENT_ONE, 1, &antenna, &error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) long_yagi = dwn_plan_with_gear (plan, gear, plan->aims);
  g_autoptr (DwnFields) fields = dwn_fields_new (long_yagi, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (long_yagi, fields, fixture->tables);
  const double towards = 100.0;
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, &towards);

  g_assert_cmpfloat (least_headroom_db (budget), <, 0.0);
  g_assert_cmpint (ladder->advised, >=, 0);
  const DwnRung *advised = &ladder->rung[ladder->advised];
  g_assert_cmpfloat (least_headroom_db (advised->budget), >=, 0.0);
  g_assert_cmpuint (advised->held_must, ==, 2);
}

/* Cancelled at any time it stops soon: measured in the time of its own processor. */

#if defined __SANITIZE_ADDRESS__ || defined __SANITIZE_THREAD__ || !defined __OPTIMIZE__
#define SOON_S 1.0 /* up to twenty times as dear */
#else
#define SOON_S 0.05
#endif

typedef struct {
  const DwnTables *tables;
  const DwnPlan *plan;
  GCancellable *cancellable;
  DwnLadder *ladder;
  GError *error;
  GMutex lock;
  GCond changed;
  gboolean runs, done;
  clockid_t clock;
  double end_s;
} Work;

static double
now_s (clockid_t clock)
{
  struct timespec now;

  g_assert_cmpint (clock_gettime (clock, &now), ==, 0);
  return (double) now.tv_sec + 1e-9 * (double) now.tv_nsec;
}

static gpointer
work (gpointer data)
{
  Work *self = data;
  g_autoptr (DwnFields) fields = dwn_fields_new (self->plan, NULL, NULL);

  g_mutex_lock (&self->lock);
  g_assert_cmpint (pthread_getcpuclockid (pthread_self (), &self->clock), ==, 0);
  self->runs = TRUE;
  g_cond_signal (&self->changed);
  g_mutex_unlock (&self->lock);
  self->ladder = dwn_advise (self->plan, fields, self->tables, NULL, self->cancellable, &self->error);
  double end_s = now_s (CLOCK_THREAD_CPUTIME_ID);
  g_mutex_lock (&self->lock);
  self->end_s = end_s;
  self->done = TRUE;
  while (self->runs) /* its clock must outlast who reads it */
    g_cond_wait (&self->changed, &self->lock);
  g_mutex_unlock (&self->lock);
  return NULL;
}

/* Cancels after @after_s of the worker's time. Returns: how much more it used; NaN: it was done. */
static double
cancel_after (Work *self, double after_s)
{
  GThread *thread = g_thread_new ("advice", work, self);
  double cancelled_s = (double) NAN;

  g_mutex_lock (&self->lock);
  while (!self->runs)
    g_cond_wait (&self->changed, &self->lock);
  double start_s = now_s (self->clock);
  while (!self->done && isnan (cancelled_s))
    {
      g_cond_wait_until (&self->changed, &self->lock, g_get_monotonic_time () + 2000);
      if (!self->done && now_s (self->clock) >= start_s + after_s)
        {
          cancelled_s = now_s (self->clock);
          g_cancellable_cancel (self->cancellable);
        }
    }
  self->runs = FALSE;
  g_cond_signal (&self->changed);
  g_mutex_unlock (&self->lock);
  g_thread_join (thread);
  return self->end_s - cancelled_s;
}

static void
test_cancel (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (24);
  Transmitter transmitter[50];
  guint n = random_transmitters (random, G_N_ELEMENTS (transmitter), transmitter), stopped = 0;
  g_autoptr (DwnPlan) plan = plan_of (fixture->tables, n, transmitter, PLAIN_GEAR);

  for (double after_s = 0.0; after_s < 0.5; after_s += 0.025)
    {
      g_autoptr (GCancellable) cancellable = g_cancellable_new ();
      Work self = { .tables = fixture->tables, .plan = plan, .cancellable = cancellable };

      g_mutex_init (&self.lock);
      g_cond_init (&self.changed);
      double more_s = cancel_after (&self, after_s);
      g_test_message ("cancelled after %.2f s: %.1f ms more", after_s, 1e3 * more_s);
      if (self.ladder == NULL)
        {
          g_assert_error (self.error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
          g_assert_cmpfloat (more_s, <, SOON_S);
          stopped++;
        }
      g_clear_pointer (&self.ladder, dwn_ladder_unref);
      g_clear_error (&self.error);
      g_mutex_clear (&self.lock);
      g_cond_clear (&self.changed);
    }
  g_assert_cmpuint (stopped, >=, 4);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/study/advice-stands/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("falls", test_falls);
  ADD ("draws", test_draws);
  ADD ("seconds", test_seconds);
  ADD ("out-of-reach", test_out_of_reach);
  ADD ("overload", test_overload);
  ADD ("cancel", test_cancel);
  return g_test_run ();
}
