/* The whole ladder for seeded random plans of 60 stations and 40 antennas, and one antenna over all
 * aims. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/geo/geodesic.h"
#include "core/study/advice.h"
#include "core/study/new-plan.h"

#define N_STATIONS 60
#define N_ANTENNAS 40
#define N_PLANS 20

static DwnStation
random_station (GRand *random, const DwnLatLon *house, guint i, const char *const *service)
{
  /* Masts carry several stations, as they do. */
  guint mast = i / 3;
  g_autofree char *id = g_strdup_printf ("s%u", i);
  g_autofree char *rf = g_strdup_printf ("%d", g_rand_int_range (random, 0, 5) > 0
                                               ? g_rand_int_range (random, 14, 37)
                                               : g_rand_int_range (random, 7, 14));
  DwnChannel channel;
  DwnStation station = {
    .id = g_intern_string (id), .name = g_intern_string (id), .site = "", .system = DWN_SYSTEM_ATSC1,
    .rf = g_intern_string (rf), .haat_m = 100.0 + 17.0 * (mast % 20), .agl_m = (double) NAN,
    .amsl_m = (double) NAN, .erp_kw = pow (10.0, g_rand_double_range (random, -1.0, 3.0)),
    .polarisation = DWN_POLARISATION_HORIZONTAL, .n_services = 1, .services = service,
  };

  dwn_channel_find (station.system, station.rf, &channel, NULL);
  station.mhz = channel.centre_mhz;
  station.band = channel.band;
  dwn_geodesic_direct (house, fmod (mast * 137.5, 360.0), 20e3 + 5e3 * (mast * 7 % 20), &station.at, NULL);
  return station;
}

/* Two in ten are must, three liked; every fourth plan marks nothing. */
static DwnWanted
random_mark (GRand *random, guint plan)
{
  int die = g_rand_int_range (random, 0, 10);

  if (plan % 4 == 3)
    return DWN_WANTED_NO;
  return die < 2 ? DWN_WANTED_MUST : die < 5 ? DWN_WANTED_LIKE : DWN_WANTED_NO;
}

static DwnPlan *
random_plan (GRand *random, const DwnTables *tables, guint number)
{
  const DwnLatLon house = { 44.63, -115.14 };
  DwnStation station[N_STATIONS];
  DwnService service[N_STATIONS];
  const char *id[N_STATIONS];

  for (guint i = 0; i < N_STATIONS; i++)
    {
      g_autofree char *name = g_strdup_printf ("service%u", i);
      id[i] = g_intern_string (name);
      service[i] = (DwnService) { id[i], id[i], "", random_mark (random, number) };
      station[i] = random_station (random, &house, i, &id[i]);
    }
  g_autoptr (DwnStations) stations = dwn_stations_new (N_STATIONS, station, NULL, NULL);
  g_autoptr (DwnServices) services = dwn_services_new (N_STATIONS, service);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, "lpda-all", NULL);
  const double north = 0.0;
  const DwnNewPlan wish = { "", "", house, stations, services, 1, (const DwnPattern *const *) &pattern,
                            &north, "2026-05-14" };

  return dwn_new_plan (&wish, tables, NULL);
}

/* The whole catalogue, and the first of it again until they are enough. */
static GPtrArray *
many_antennas (const DwnTables *tables)
{
  GPtrArray *patterns = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);
  gsize n = dwn_catalogue_n (tables->catalogue);

  for (guint k = 0; k < N_ANTENNAS; k++)
    g_ptr_array_add (patterns, dwn_catalogue_pattern (tables->catalogue,
                                                      dwn_catalogue_entry (tables->catalogue, k % n)->id,
                                                      NULL));
  return patterns;
}

/* Of one core: the machine may have more to do. */
static double
cpu_s (void)
{
  return (double) clock () / CLOCKS_PER_SEC;
}

static double
advise_s (const DwnPlan *plan, const DwnTables *tables, const DwnAdviceOptions *options)
{
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
  double start_s = cpu_s ();
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnLadder) ladder = dwn_advise (plan, fields, tables, options, NULL, &error);

  if (ladder == NULL)
    g_error ("%s", error->message);
  return cpu_s () - start_s;
}

static double
turn_one_ms (const DwnPlan *plan, const DwnTables *tables)
{
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  double start_s = cpu_s ();

  for (guint aim = 0; aim < 360; aim++)
    {
      const double aim_deg = aim;
      g_autoptr (DwnBudget) budget = dwn_budget_new (base, &aim_deg);
    }
  return 1e3 * (cpu_s () - start_s);
}

static int
compare (const void *a, const void *b)
{
  const double *x = a, *y = b;

  return (*x > *y) - (*x < *y);
}

/* With a number only that plan is tried: for profiles. */
int
main (int argc, char **argv)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  if (tables == NULL)
    g_error ("%s", error->message);
  g_autoptr (GPtrArray) antennas = many_antennas (tables);
  g_autoptr (GRand) random = g_rand_new_with_seed (2026);
  const DwnAdviceOptions all = { .n_antennas = antennas->len,
                                 .pattern = (const DwnPattern *const *) antennas->pdata };
  double s[N_PLANS], turn_ms = 0.0;
  guint n = 0;

  for (guint k = 0; k < N_PLANS; k++)
    {
      g_autoptr (DwnPlan) plan = random_plan (random, tables, k);

      if (argc > 1 && (guint) atoi (argv[1]) != k)
        continue;
      s[n++] = advise_s (plan, tables, &all);
      turn_ms = turn_one_ms (plan, tables);
      printf ("# plan %u: %.2f s\n", k, s[n - 1]);
      fflush (stdout);
    }
  qsort (s, n, sizeof *s, compare);
  if (n > 0)
    printf ("advice, %d stations, %d antennas, %u plans: median %.2f s, nine in ten %.2f s, worst %.2f s; "
            "one antenna over all aims %.1f ms\n", N_STATIONS, N_ANTENNAS, n, s[n / 2], s[(n * 9 + 9) / 10 - 1],
            s[n - 1], turn_ms);
  return 0;
}
