/* How long profiles and skylines take once their tiles are decoded, decoding itself, and the whole
 * way from warm tiles through both path models. */
#include "core/radio/path-model.h"
#include "core/terrain/terrain.h"

#include <glib/gstdio.h>
#include <math.h>

#define SIDE 1201
#define N_PROFILES 200
#define LENGTH_DEG 0.55 /* about 61 km north to south */
#define STEP_M 61.0

static double
hills_m (guint row, guint column)
{
  return 600.0 + 300.0 * sin (row / 37.0) * cos (column / 23.0) + 40.0 * sin (row * 1.7 + column);
}

static void
write_tile (const char *folder, const char *name)
{
  g_autofree gint16 *samples = g_new (gint16, SIDE * SIDE);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < SIDE * SIDE; i++)
    samples[i] = GINT16_TO_BE ((gint16) hills_m (i / SIDE, i % SIDE));
  if (!g_file_set_contents (path, (const char *) samples, SIDE * SIDE * sizeof *samples, &error))
    g_error ("%s", error->message);
}

static void
remove_tile (const char *folder, const char *name)
{
  g_autofree char *path = g_build_filename (folder, name, NULL);

  g_remove (path);
}

static DwnProfile *
make_profile (DwnTerrain *terrain, int i)
{
  DwnLatLon from = { 44.1 + 0.001 * i, -71.95 + 0.0045 * i };
  DwnLatLon to = { from.lat_deg + LENGTH_DEG, from.lon_deg };
  g_autoptr (GError) error = NULL;
  DwnProfile *profile = dwn_terrain_profile (terrain, &from, &to, STEP_M, NULL, NULL, &error);

  if (profile == NULL || !dwn_profile_is_complete (profile))
    g_error ("profile %d: %s", i, error != NULL ? error->message : "incomplete");
  return profile;
}

static gsize
take_profile (DwnTerrain *terrain, int i)
{
  g_autoptr (DwnProfile) profile = make_profile (terrain, i);

  return profile->n;
}

static void
time_profiles (DwnTerrain *terrain)
{
  gint64 start_us = g_get_monotonic_time ();
  gsize n_samples = 0;

  for (int i = 0; i < N_PROFILES; i++)
    n_samples += take_profile (terrain, i);

  double took_ms = (double) (g_get_monotonic_time () - start_us) / 1000.0;

  g_print ("%d profiles of %.0f samples from warm tiles: %.1f ms, %.0f ns a sample\n", N_PROFILES,
           (double) n_samples / N_PROFILES, took_ms, 1e6 * took_ms / (double) n_samples);
}

/* One profile of each station, and the field of each at 90 % of the time by both models. */
static void
time_stations (DwnTerrain *terrain)
{
  static const DwnPathModel *const models[] = { &dwn_path_model_p1812, &dwn_path_model_itm };
  gint64 start_us = g_get_monotonic_time ();
  double sum_db = 0.0;

  for (int i = 0; i < N_PROFILES; i++)
    {
      g_autoptr (DwnProfile) profile = make_profile (terrain, i);

      for (gsize m = 0; m < G_N_ELEMENTS (models); m++)
        {
          g_autofree char *workspace = g_malloc (models[m]->workspace_size (profile->n));
          DwnPathQuery query;
          DwnPathLoss loss;

          dwn_path_query_init (&query, models[m]);
          query.mhz = 545;
          query.tx_agl_m = 300;
          query.rx_agl_m = 10;
          query.time_pct = 90;
          query.profile = profile;
          query.distance_m = profile->distance_m[profile->n - 1];
          if (!models[m]->loss (&query, workspace, &loss, NULL))
            g_error ("%s refuses profile %d", models[m]->id, i);
          sum_db += loss.loss_db;
        }
    }
  g_print ("%d stations from warm tiles through P.1812 and ITM: %.1f ms (mean loss %.1f dB)\n",
           N_PROFILES, (double) (g_get_monotonic_time () - start_us) / 1000.0,
           sum_db / (2.0 * N_PROFILES));
}

static void
time_skyline (DwnTerrain *terrain)
{
  DwnLatLon at = { 44.5, -71.5 };
  double elevation_deg[360], distance_m[360];
  DwnTerrainGaps gaps = { 0 };
  g_autoptr (GError) error = NULL;
  gint64 start_us = g_get_monotonic_time ();

  if (!dwn_terrain_skyline (terrain, &at, 10.0, 360, elevation_deg, distance_m, &gaps, NULL,
                            &error))
    g_error ("%s", error->message);
  g_print ("skyline of 360 bearings, %.0f samples: %.1f ms\n", (double) gaps.n_samples,
           (double) (g_get_monotonic_time () - start_us) / 1000.0);
  dwn_terrain_gaps_clear (&gaps);
}

int
main (void)
{
  static const char *const names[] = {
    "N43W073.hgt", "N43W072.hgt", "N43W071.hgt", "N44W073.hgt", "N44W072.hgt",
    "N44W071.hgt", "N45W073.hgt", "N45W072.hgt", "N45W071.hgt",
  };
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-bench-XXXXXX", &error);

  if (folder == NULL)
    g_error ("%s", error->message);
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    write_tile (folder, names[i]);

  DwnTerrain *terrain = dwn_terrain_open (folder, &error);
  gint64 start_us = g_get_monotonic_time ();

  if (terrain == NULL)
    g_error ("%s", error->message);
  take_profile (terrain, 0);
  g_print ("first profile, with reading its tile: %.1f ms\n",
           (double) (g_get_monotonic_time () - start_us) / 1000.0);
  time_profiles (terrain);
  time_stations (terrain);
  time_skyline (terrain); /* reads the other eight */
  time_skyline (terrain);
  dwn_terrain_unref (terrain);
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    remove_tile (folder, names[i]);
  g_rmdir (folder);
  return 0;
}
