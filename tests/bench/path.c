/* How fast the path models are: calls a second on one core, on a workspace of the caller's.
 * Profiles are synthetic: rough ground, two ridges, of the lengths that the program meets. */
#include "core/radio/path-model.h"

#include <math.h>
#include <time.h>

#define RUNS 40 /* short ones; the best counts */
#define SECONDS_A_RUN 0.02

/* 60 km in @n_intervals steps; blocked paths and clear ones are both of interest. */
static DwnProfile *
make_ground (gsize n_intervals, double ridge_m)
{
  double distance_m[1001], height_m[1001], total_m = 60e3;

  for (gsize i = 0; i <= n_intervals; i++)
    {
      double x_m = total_m * (double) i / (double) n_intervals;

      distance_m[i] = x_m;
      height_m[i] = 200 + 30 * sin (x_m / 1430) + 12 * sin (x_m / 387)
                    + ridge_m * exp (-pow ((x_m - 20e3) / 3e3, 2))
                    + 0.8 * ridge_m * exp (-pow ((x_m - 45e3) / 2e3, 2));
    }
  return dwn_profile_new (n_intervals + 1, distance_m, height_m, NULL, NULL, NULL);
}

/* Processor time, so that what else runs on the machine does not count. */
static double
seconds (void)
{
  return (double) clock () / CLOCKS_PER_SEC;
}

static double
calls_per_second (const DwnPathModel *model, const DwnPathQuery *query, gpointer workspace)
{
  double start = seconds (), spent;
  DwnPathLoss out;
  guint calls = 0;

  do
    {
      for (guint i = 0; i < 100; i++, calls++)
        if (!model->loss (query, workspace, &out, NULL))
          return 0;
      spent = seconds () - start;
    }
  while (spent < SECONDS_A_RUN);
  return calls / spent;
}

static void
measure (const DwnPathModel *model, gsize n_intervals, const char *what, double ridge_m)
{
  g_autoptr (DwnProfile) ground = make_ground (n_intervals, ridge_m);
  DwnPathQuery query;
  g_autofree char *workspace = g_malloc (MAX (model->workspace_size (n_intervals + 1), 1));
  double best = 0;

  dwn_path_query_init (&query, model);
  query.mhz = 545;
  query.distance_m = 60e3;
  query.tx_agl_m = 300;
  query.rx_agl_m = 10;
  query.haat_m = 300;
  query.time_pct = 90;
  query.profile = ground;
  for (int run = 0; run < RUNS; run++)
    best = MAX (best, calls_per_second (model, &query, workspace));
  g_print ("%-8s %5" G_GSIZE_FORMAT " intervals  %-8s %10.0f calls/s\n", model->id, n_intervals,
           what, best);
}

int
main (void)
{
  static const char *const ids[] = { "p1812", "itm" };
  static const gsize lengths[] = { 120, 1000 };

  for (gsize i = 0; i < G_N_ELEMENTS (ids); i++)
    for (gsize j = 0; j < G_N_ELEMENTS (lengths); j++)
      {
        measure (dwn_path_model_find (ids[i]), lengths[j], "clear", 0);
        measure (dwn_path_model_find (ids[i]), lengths[j], "blocked", 400);
      }
  return 0;
}
