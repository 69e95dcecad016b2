/* Seeded random plans for tests of properties and for timings: a house, masts around it with
 * stations of differing figures, and gear from a few antennas to 64 outlets. All invented. The same
 * seed gives the same plan. */
#pragma once

#include <math.h>

#include "core/chain/head.h"
#include "core/chain/wiring.h"
#include "core/geo/geodesic.h"
#include "core/study/budget.h"
#include "core/study/new-plan.h"

#define RANDOM_PLAN_ANTENNAS 8
#define RANDOM_PLAN_MOST_OUTLETS 64

/* Read once: the antennas that plans draw from. */
typedef struct {
  DwnTables *tables;
  DwnPattern *pattern[RANDOM_PLAN_ANTENNAS];
} RandomShop;

static inline void
random_shop_open (RandomShop *shop)
{
  static const char *const ids[RANDOM_PLAN_ANTENNAS] = {
    "dipole", "lpda-all", "lpda-high-vhf-uhf", "yagi-uhf-20", "yagi-high-vhf-5", "bowtie-4-screen",
    "turnstile-uhf", "folded-dipole-low-vhf",
  };
  g_autoptr (GError) error = NULL;

  shop->tables = dwn_tables_new (&error);
  if (shop->tables == NULL)
    g_error ("%s", error->message);
  for (guint k = 0; k < RANDOM_PLAN_ANTENNAS; k++)
    {
      shop->pattern[k] = dwn_catalogue_pattern (shop->tables->catalogue, ids[k], &error);
      if (shop->pattern[k] == NULL)
        g_error ("%s", error->message);
    }
}

static inline void
random_shop_close (RandomShop *shop)
{
  for (guint k = 0; k < RANDOM_PLAN_ANTENNAS; k++)
    dwn_pattern_unref (shop->pattern[k]);
  dwn_tables_unref (shop->tables);
}

/* What a station's bearing and pattern are turned by comes from outside, so that a plan can be
 * turned as a whole. */
typedef struct {
  guint n_stations;
  guint n_outlets;    /* 0: as chance has it, 1 to 6 */
  gboolean plain;     /* no station patterns, nothing in the way, nobody's unwanted signals */
  double turned_deg;  /* everything about the house's own vertical */
} RandomWish;

/* A transmit pattern that shows the house the same side, however the two stand on the ellipsoid:
 * @towards_deg is the bearing from the mast to the house. */
static inline DwnPattern *
random_transmit_pattern (GRand *random, double towards_deg)
{
  static const double azimuth_deg[] = { 0, 60, 120, 180, 240, 300 };
  double field[G_N_ELEMENTS (azimuth_deg)];
  g_autoptr (GError) error = NULL;

  for (guint k = 0; k < G_N_ELEMENTS (field); k++)
    field[k] = g_rand_double_range (random, 0.05, 1.0);
  field[g_rand_int_range (random, 0, G_N_ELEMENTS (field))] = 1.0;
  double rotation_deg = g_rand_double_range (random, 0.0, 360.0) + towards_deg;
  DwnPattern *pattern = dwn_pattern_new_relative_field ("transmit", G_N_ELEMENTS (field), azimuth_deg,
                                                        field, fmod (rotation_deg, 360.0), "invented", &error);
  if (pattern == NULL)
    g_error ("%s", error->message);
  return pattern;
}

/* Of one mast: where it stands, seen from the house. */
typedef struct {
  DwnLatLon at;
  double towards_deg;
} RandomMast;

static inline RandomMast
random_mast (GRand *random, const RandomWish *wish, const DwnLatLon *house)
{
  RandomMast mast;
  double bearing_deg = g_rand_double_range (random, 0.0, 360.0) + wish->turned_deg;
  double distance_m = g_rand_double_range (random, 4e3, 120e3), there_deg, there_m;

  dwn_geodesic_direct (house, fmod (bearing_deg, 360.0), distance_m, &mast.at, NULL);
  dwn_geodesic_inverse (house, &mast.at, &there_m, &there_deg, &mast.towards_deg, NULL);
  return mast;
}

static inline void
random_station (GRand *random, const RandomWish *wish, const RandomMast *mast, guint i,
                const char *const *service, DwnStation *station)
{
  g_autofree char *id = g_strdup_printf ("s%u", i), *rf = NULL;
  int die = g_rand_int_range (random, 0, 10);
  DwnChannel channel;

  rf = g_strdup_printf ("%d", die == 0 ? g_rand_int_range (random, 2, 7)
                              : die < 4 ? g_rand_int_range (random, 7, 14)
                                        : g_rand_int_range (random, 14, 37));
  *station = (DwnStation) {
    .id = g_intern_string (id), .name = g_intern_string (id), .site = "", .mode = NULL,
    .system = g_rand_boolean (random) ? DWN_SYSTEM_ATSC1 : DWN_SYSTEM_ATSC3,
    .rf = g_intern_string (rf), .at = mast->at,
    .erp_kw = pow (10.0, g_rand_double_range (random, -1.5, 3.0)),
    .haat_m = g_rand_int_range (random, 0, 6) > 0 ? g_rand_double_range (random, 30, 600) : (double) NAN,
    .agl_m = (double) NAN, .amsl_m = (double) NAN,
    .polarisation = (DwnPolarisation) g_rand_int_range (random, 0, 4), .n_services = 1, .services = service,
  };
  dwn_channel_find (station->system, station->rf, &channel, NULL);
  station->mhz = channel.centre_mhz;
  station->band = channel.band;
  gboolean directional = g_rand_boolean (random);
  g_autoptr (DwnPattern) pattern = random_transmit_pattern (random, mast->towards_deg);
  if (directional && !wish->plain)
    station->pattern = g_steal_pointer (&pattern);
}

/* Three to a mast. */
static inline DwnStations *
random_stations (GRand *random, const RandomWish *wish, const DwnLatLon *house,
                 const DwnService *services)
{
  g_autofree DwnStation *station = g_new0 (DwnStation, wish->n_stations);
  RandomMast mast = { 0 };

  for (guint i = 0; i < wish->n_stations; i++)
    {
      if (i % 3 == 0)
        mast = random_mast (random, wish, house);
      random_station (random, wish, &mast, i, &services[i].id, &station[i]);
    }
  DwnStations *stations = dwn_stations_new (wish->n_stations, station, NULL, NULL);
  for (guint i = 0; i < wish->n_stations; i++)
    if (station[i].pattern != NULL)
      dwn_pattern_unref ((DwnPattern *) station[i].pattern);
  return stations;
}

static inline DwnService *
random_services (GRand *random, guint n)
{
  DwnService *service = g_new0 (DwnService, n);

  for (guint i = 0; i < n; i++)
    {
      g_autofree char *id = g_strdup_printf ("service%u", i);
      int die = g_rand_int_range (random, 0, 10);

      service[i].id = service[i].name = g_intern_string (id);
      service[i].on_screen = "";
      service[i].wanted = die < 3 ? DWN_WANTED_MUST : die < 6 ? DWN_WANTED_LIKE : DWN_WANTED_NO;
    }
  return service;
}

/* Two steps of splitters with eight outputs feed up to 64 outlets from @edge on, whose end is
 * taken away. */
static inline void
random_fan_out (DwnWiring *wiring, const DwnPartList *list, guint from, guint n_outlets)
{
  DwnEdge cable = { .cable = "series-6", .length_m = 6.0 };
  guint first = dwn_wiring_add_type (wiring, dwn_part_list_find (list, "splitter-8"), "fan"), second = 0;

  dwn_wiring_join (wiring, from, 0, first, 0, &cable);
  for (guint k = 0; k < n_outlets; k++)
    {
      if (k % 8 == 0)
        {
          second = dwn_wiring_add_type (wiring, dwn_part_list_find (list, "splitter-8"), "branch");
          dwn_wiring_join (wiring, first, k / 8, second, 0, &cable);
        }
      guint outlet = dwn_wiring_add_type (wiring, dwn_part_list_find (list, "tuner-atsc"), "set");
      dwn_wiring_join (wiring, second, k % 8, outlet, 0, &cable);
    }
}

/* An antenna, an amplifier on the mains and as many outlets as one wants. */
static inline DwnChain *
random_wide_chain (const RandomShop *shop, const DwnPattern *pattern, guint n_outlets)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (NULL);
  const DwnPartList *list = shop->tables->parts;
  DwnEdge lead = { .cable = "series-6", .length_m = 15.0 };
  g_autoptr (GError) error = NULL;
  DwnPart antenna;

  dwn_part_init (&antenna);
  antenna.id = "antenna";
  antenna.type = pattern->id;
  antenna.kind = DWN_PART_ANTENNA;
  antenna.pattern = pattern;
  guint top = dwn_wiring_add (wiring, &antenna);
  guint amplifier = dwn_wiring_add_type (wiring, dwn_part_list_find (list, "dist-amp-20"), "amplifier");
  dwn_wiring_join (wiring, top, 0, amplifier, 0, &lead);
  random_fan_out (wiring, list, amplifier, n_outlets);
  DwnChain *chain = dwn_wiring_build (wiring, list, &error);
  if (chain == NULL)
    g_error ("%s", error->message);
  return chain;
}

/* One antenna or two by band, cable as it comes, an amplifier in every second. */
static inline DwnChain *
random_small_chain (GRand *random, const RandomShop *shop, guint n_outlets)
{
  static const char *const cables[] = { "series-59", "series-6", "series-11" };
  guint n = g_rand_int_range (random, 0, 3) == 0 ? 2 : 1;
  DwnPart antenna[2];
  g_autoptr (GError) error = NULL;

  for (guint a = 0; a < n; a++)
    {
      g_autofree char *id = g_strdup_printf ("antenna%u", a + 1);

      dwn_part_init (&antenna[a]);
      antenna[a].id = g_intern_string (id);
      antenna[a].kind = DWN_PART_ANTENNA;
      antenna[a].pattern = shop->pattern[g_rand_int_range (random, 0, RANDOM_PLAN_ANTENNAS)];
      antenna[a].type = antenna[a].pattern->id;
      antenna[a].below_top_m = a;
    }
  g_autoptr (DwnChain) bare = dwn_chain_new_standard (
    shop->tables->parts, n, antenna, n_outlets, cables[g_rand_int_range (random, 0, G_N_ELEMENTS (cables))],
    g_rand_double_range (random, 2.0, 60.0), "tuner-atsc", &error);
  if (bare == NULL)
    g_error ("%s", error->message);
  if (g_rand_boolean (random))
    return g_steal_pointer (&bare);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (bare);
  DwnPart amplifier;
  dwn_part_init (&amplifier);
  amplifier.id = "amplifier";
  amplifier.type = g_rand_boolean (random) ? "dist-amp-20" : "dist-amp-10";
  amplifier.kind = DWN_PART_AMPLIFIER;
  dwn_wiring_insert (wiring, (guint) g_rand_int_range (random, 0, (int) wiring->edges->len), &amplifier, TRUE);
  DwnChain *chain = dwn_wiring_build (wiring, shop->tables->parts, &error);
  if (chain == NULL)
    g_error ("%s", error->message);
  return chain;
}

/* A wood on one side, and FM stations in one direction. */
static inline DwnPlan *
random_surroundings (GRand *random, const RandomWish *wish, const DwnPlan *plan)
{
  DwnSite site = *plan->site;
  DwnHouseLoss wood;
  DwnUnwanted near;

  dwn_house_loss_init (&wood, DWN_HOUSE_FIGURES);
  wood.name = "wood";
  wood.from_deg = fmod (g_rand_double_range (random, 0.0, 360.0) + wish->turned_deg, 360.0);
  wood.to_deg = fmod (wood.from_deg + g_rand_double_range (random, 20.0, 200.0), 360.0);
  for (guint b = 0; b < DWN_N_BANDS; b++)
    wood.loss_db[b] = g_rand_double_range (random, 0.0, 15.0);
  dwn_unwanted_init (&near);
  near.group = "fm-town";
  near.bearing_deg = fmod (g_rand_double_range (random, 0.0, 360.0) + wish->turned_deg, 360.0);
  site.n_losses = 1;
  site.loss = &wood;
  site.n_unwanted = g_rand_int_range (random, 0, 2);
  site.unwanted = &near;
  return dwn_plan_with_site (plan, &site);
}

/* Returns: (transfer full). */
static inline DwnPlan *
random_plan (GRand *random, const RandomShop *shop, const RandomWish *wish)
{
  DwnLatLon house = { g_rand_double_range (random, -60.0, 60.0), g_rand_double_range (random, -179.0, 179.0) };
  guint n_outlets = (guint) g_rand_int_range (random, 1, 7);
  double aim_deg[2], north_deg = 0.0;
  g_autofree DwnService *service = random_services (random, wish->n_stations);
  g_autoptr (DwnServices) services = dwn_services_new (wish->n_stations, service);
  g_autoptr (DwnStations) stations = random_stations (random, wish, &house, service);
  g_autoptr (GError) error = NULL;
  const DwnPattern *first = shop->pattern[1];
  const DwnNewPlan begin = { "Random", "", house, stations, services, 1, &first, &north_deg, "2026-05-14" };
  g_autoptr (DwnPlan) bare = dwn_new_plan (&begin, shop->tables, &error);
  if (bare == NULL)
    g_error ("%s", error->message);
  g_autoptr (DwnChain) gear = wish->n_outlets > 0 ? random_wide_chain (shop, first, wish->n_outlets)
                                                  : random_small_chain (random, shop, n_outlets);

  for (guint a = 0; a < 2; a++)
    aim_deg[a] = g_rand_double_range (random, 0.0, 360.0) + wish->turned_deg;
  g_autoptr (DwnAims) aims = dwn_aims_new (gear->n_antennas, aim_deg);
  g_autoptr (DwnPlan) plan = dwn_plan_with_gear (bare, gear, aims);
  return wish->plain ? g_steal_pointer (&plan) : random_surroundings (random, wish, plan);
}

/* What a test needs of a plan as it is. Returns: (transfer full). */
static inline DwnBudget *
random_budget (const DwnPlan *plan, const RandomShop *shop)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  if (fields == NULL)
    g_error ("%s", error->message);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, shop->tables);

  return dwn_budget_new (base, plan->aims->aim_deg);
}
