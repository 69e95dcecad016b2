/* One full budget of 78 stations at 4 outlets, and the same again for a changed aim; in processor
 * time, since other work on the machine is not ours. Without an amplifier, and with one beside FM
 * stations whose products are asked for. */
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "core/chain/head.h"
#include "core/chain/wiring.h"
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

/* The same house near FM stations, with an amplifier on the mains behind the antenna. */
static DwnPlan *
with_amplifier (const DwnPlan *plan)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  DwnUnwanted near;
  DwnSite site = *plan->site;
  DwnPart amplifier;

  dwn_part_init (&amplifier);
  amplifier.id = "amplifier";
  amplifier.type = "dist-amp-20";
  amplifier.kind = DWN_PART_AMPLIFIER;
  dwn_wiring_insert (wiring, 0, &amplifier, FALSE);
  g_autoptr (DwnChain) gear = dwn_wiring_build (wiring, plan->gear->list, NULL);
  g_autoptr (DwnPlan) amplified = dwn_plan_with_gear (plan, gear, plan->aims);
  dwn_unwanted_init (&near);
  near.group = "fm-town";
  site.n_unwanted = 1;
  site.unwanted = &near;
  return dwn_plan_with_site (amplified, &site);
}

static double
ms_since (clock_t start)
{
  return 1000.0 * (double) (clock () - start) / CLOCKS_PER_SEC / ROUNDS;
}

static void
time_plan (const char *name, const DwnPlan *plan, const DwnTables *tables)
{
  clock_t start = clock ();

  for (guint round = 0; round < ROUNDS; round++)
    {
      g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
      g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
      g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
    }
  double full_ms = ms_since (start);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  start = clock ();
  for (guint round = 0; round < ROUNDS; round++)
    {
      const double aim_deg = round;
      g_autoptr (DwnBudget) turned = dwn_budget_new (base, &aim_deg);
    }
  printf ("budget, %d stations, %d outlets, %s: everything %.3f ms, a changed aim %.3f ms\n",
          N_STATIONS, N_OUTLETS, name, full_ms, ms_since (start));
}

int
main (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTables) tables = dwn_tables_new (&error);
  if (tables == NULL)
    g_error ("%s", error->message);
  g_autoptr (DwnPlan) plan = plan_of (tables);
  g_autoptr (DwnPlan) amplified = with_amplifier (plan);

  time_plan ("no amplifier", plan, tables);
  time_plan ("amplifier and FM", amplified, tables);
  return 0;
}
