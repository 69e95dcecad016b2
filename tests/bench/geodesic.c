/* Time of one inverse geodesic, ours and that of the library in Debian's PROJ. */
#include "core/geo/geodesic.h"

#include <geodesic.h>

#define PAIRS 10000
#define ROUNDS 50

typedef struct {
  DwnLatLon from, to;
} Pair;

/* Houses in mid-latitudes and stations within @span_deg of them. */
static Pair *
make_pairs (double span_deg)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (73);
  Pair *pairs = g_new (Pair, PAIRS);

  for (guint i = 0; i < PAIRS; i++)
    {
      DwnLatLon from = { g_rand_double_range (rand, 25, 60), g_rand_double_range (rand, -125, -65) };

      pairs[i] = (Pair) { from,
                          { from.lat_deg + g_rand_double_range (rand, -span_deg, span_deg),
                            from.lon_deg + g_rand_double_range (rand, -span_deg, span_deg) } };
    }
  return pairs;
}

static double
time_ours_ns (const Pair *pairs, double *sum_m)
{
  gint64 start_us = g_get_monotonic_time ();

  for (guint i = 0; i < PAIRS * ROUNDS; i++)
    {
      const Pair *pair = &pairs[i % PAIRS];
      double distance_m, bearing_deg, back_deg;

      if (!dwn_geodesic_inverse (&pair->from, &pair->to, &distance_m, &bearing_deg, &back_deg,
                                 NULL))
        g_error ("no geodesic for pair %u", i % PAIRS);
      *sum_m += distance_m;
    }
  return 1e3 * (double) (g_get_monotonic_time () - start_us) / (PAIRS * ROUNDS);
}

static double
time_library_ns (const Pair *pairs, double *sum_m)
{
  struct geod_geodesic wgs84;

  geod_init (&wgs84, 6378137, 1 / 298.257223563);
  gint64 start_us = g_get_monotonic_time ();

  for (guint i = 0; i < PAIRS * ROUNDS; i++)
    {
      const Pair *pair = &pairs[i % PAIRS];
      double distance_m, azimuth1_deg, azimuth2_deg;

      geod_inverse (&wgs84, pair->from.lat_deg, pair->from.lon_deg, pair->to.lat_deg,
                    pair->to.lon_deg, &distance_m, &azimuth1_deg, &azimuth2_deg);
      *sum_m += distance_m;
    }
  return 1e3 * (double) (g_get_monotonic_time () - start_us) / (PAIRS * ROUNDS);
}

int
main (void)
{
  const double spans_deg[] = { 1.5, 9, 25 };

  for (gsize i = 0; i < G_N_ELEMENTS (spans_deg); i++)
    {
      g_autofree Pair *pairs = make_pairs (spans_deg[i]);
      double ours_m = 0, library_m = 0;
      double ours_ns = time_ours_ns (pairs, &ours_m);
      double library_ns = time_library_ns (pairs, &library_m);

      g_print ("inverse within %g degrees: %.0f ns, library %.0f ns, ratio %.2f, "
               "mean difference %.1g m\n",
               spans_deg[i], ours_ns, library_ns, ours_ns / library_ns,
               (ours_m - library_m) / (PAIRS * ROUNDS));
    }
  return 0;
}
