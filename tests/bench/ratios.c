/* What reading costs beside a general library that reads the same bytes, in processor time: a line
 * is "name value unit ratio". */
#include <glib/gstdio.h>
#include <libxml/parser.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "../common/random-plan.h"
#include "core/plan/document.h"
#include "core/plan/station-list.h"
#include "core/terrain/terrain.h"

#define N_STATIONS 2000
#define ROUNDS 10
#define SIDE 1201
#define TILE "N44W072.hgt"

static double
ms_of (clock_t start)
{
  return 1e3 * (double) (clock () - start) / CLOCKS_PER_SEC / ROUNDS;
}

static void
tell (const char *name, double ours_ms, const char *other, double other_ms)
{
  printf ("%-14s %8.2f ms %6.2f times %s\n", name, ours_ms, ours_ms / other_ms, other);
}

static double
bare_parse_ms (GBytes *bytes)
{
  clock_t start = clock ();

  for (guint i = 0; i < ROUNDS; i++)
    xmlFreeDoc (xmlReadMemory (g_bytes_get_data (bytes, NULL), (int) g_bytes_get_size (bytes), NULL, NULL,
                               XML_PARSE_NONET));
  return ms_of (start);
}

static void
time_plan (const RandomShop *shop, const DwnPlan *plan)
{
  g_autoptr (GBytes) bytes = dwn_plan_write (plan, shop->tables->catalogue);
  double bare_ms = bare_parse_ms (bytes);
  clock_t start = clock ();

  for (guint i = 0; i < ROUNDS; i++)
    dwn_plan_unref (dwn_plan_read (bytes, "plan", shop->tables->parts, shop->tables->catalogue, NULL, NULL));
  tell ("plan-read", ms_of (start), "a bare XML parse", bare_ms);
  start = clock ();
  for (guint i = 0; i < ROUNDS; i++)
    g_bytes_unref (dwn_plan_write (plan, shop->tables->catalogue));
  tell ("plan-write", ms_of (start), "a bare XML parse", bare_ms);
}

static void
time_list (const DwnPlan *plan)
{
  g_autoptr (GBytes) bytes = dwn_station_list_format (plan->stations, plan->services);
  double bare_ms = bare_parse_ms (bytes);
  clock_t start = clock ();

  for (guint i = 0; i < ROUNDS; i++)
    {
      g_autoptr (DwnStations) stations = NULL;
      g_autoptr (DwnServices) services = NULL;

      if (!dwn_station_list_parse (bytes, "list", &stations, &services, NULL, NULL))
        g_error ("the list cannot be read back");
    }
  tell ("station-list", ms_of (start), "a bare XML parse", bare_ms);
}

/* One tile from disk to the first profile through it. */
static void
take_profile (const char *folder)
{
  const DwnLatLon from = { 44.2, -71.5 }, to = { 44.21, -71.5 };
  g_autoptr (GError) error = NULL;
  DwnTerrain *terrain = dwn_terrain_open (folder, &error);

  if (terrain == NULL)
    g_error ("%s", error->message);
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, 60.0, NULL, NULL, &error);
  if (profile == NULL)
    g_error ("%s", error->message);
  dwn_terrain_unref (terrain);
}

static void
time_tile (void)
{
  g_autofree char *folder = g_dir_make_tmp ("downlead-bench-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, TILE, NULL);
  g_autofree gint16 *samples = g_new0 (gint16, SIDE * SIDE);

  if (!g_file_set_contents (path, (const char *) samples, SIDE * SIDE * sizeof *samples, NULL))
    g_error ("no tile can be written to %s", folder);
  clock_t start = clock ();
  for (guint i = 0; i < ROUNDS; i++)
    {
      g_autofree char *plain = NULL;

      if (!g_file_get_contents (path, &plain, NULL, NULL))
        g_error ("%s cannot be read", path);
    }
  double plain_ms = ms_of (start);
  start = clock ();
  for (guint i = 0; i < ROUNDS; i++)
    take_profile (folder);
  tell ("tile", ms_of (start), "a plain read", plain_ms);
  g_remove (path);
  g_rmdir (folder);
}

int
main (void)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (2026);
  const RandomWish wish = { .n_stations = N_STATIONS };
  RandomShop shop;

  random_shop_open (&shop);
  g_autoptr (DwnPlan) plan = random_plan (random, &shop, &wish);
  time_plan (&shop, plan);
  time_list (plan);
  time_tile ();
  random_shop_close (&shop);
  return 0;
}
