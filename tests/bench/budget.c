/* One full budget of 78 stations at 4 outlets, and the same again for a changed aim. */
#include <math.h>
#include <stdio.h>

#include "core/chain/head.h"
#include "core/geo/geodesic.h"
#include "core/study/new-plan.h"
#include "core/study/budget.h"

#define N_STATIONS 78
#define N_OUTLETS 4
#define ROUNDS 200

static DwnStations *
stations_around (const DwnLatLon *house)
{
  DwnStation station[N_STATIONS] = { 0 };

  for (guint i = 0; i < N_STATIONS; i++)
    {
      g_autofree char *id = g_strdup_printf ("s%u", i), *rf = g_strdup_printf ("%u", 7 + i % 30);
      DwnChannel channel;

      dwn_channel_find (DWN_SYSTEM_ATSC1, rf, &channel, NULL);
      station[i] = (DwnStation) {
        .id = g_intern_string (id), .name = g_intern_string (id), .site = "", .rf = g_intern_string (rf),
        .mhz = channel.centre_mhz, .band = channel.band, .erp_kw = 1.0 + i, .haat_m = 200.0,
        .agl_m = (double) NAN, .amsl_m = (double) NAN,
      };
      dwn_geodesic_direct (house, 4.6 * i, 15e3 + 1e3 * i, &station[i].at, NULL);
    }
  return dwn_stations_new (N_STATIONS, station, NULL, NULL);
}

static DwnPlan *
plan_of (const DwnTables *tables)
{
  const DwnLatLon house = { 44.63, -115.14 };
  g_autoptr (DwnStations) stations = stations_around (&house);
  g_autoptr (DwnServices) services = dwn_services_new (0, NULL);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, "lpda-all", NULL);
  const double north = 0.0;
  const DwnNewPlan wish = { "", "", house, stations, services, 1, (const DwnPattern *const *) &pattern,
                            &north, "2026-05-14" };
  g_autoptr (DwnPlan) one = dwn_new_plan (&wish, tables, NULL);
  const DwnPart *antenna = &one->gear->part[one->gear->antenna[0]];
  g_autoptr (DwnChain) gear = dwn_chain_new_standard (tables->parts, 1, antenna, N_OUTLETS, "series-6",
                                                      15.0, "tuner-atsc", NULL);

  return dwn_plan_with_gear (one, gear, one->aims);
}

int
main (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  if (tables == NULL)
    g_error ("%s", error->message);
  g_autoptr (DwnPlan) plan = plan_of (tables);
  gint64 full_us = 0, aim_us = 0;

  for (guint round = 0; round < ROUNDS; round++)
    {
      const double aim_deg = round;
      gint64 start = g_get_monotonic_time ();
      g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
      g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
      g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
      gint64 middle = g_get_monotonic_time ();
      g_autoptr (DwnBudget) turned = dwn_budget_new (base, &aim_deg);

      full_us += middle - start;
      aim_us += g_get_monotonic_time () - middle;
    }
  printf ("budget, %d stations, %d outlets: everything %.3f ms, a changed aim %.3f ms\n", N_STATIONS,
          N_OUTLETS, (double) full_us / ROUNDS / 1000.0, (double) aim_us / ROUNDS / 1000.0);
  return 0;
}
