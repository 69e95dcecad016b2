/* import and new-plan: from a regulator's list to a plan. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "core/geo/geodesic.h"
#include "core/plan/import.h"
#include "core/plan/station-list.h"
#include "core/study/new-plan.h"

static gboolean
read_options (const DwnCall *call, DwnImportFormat *format, DwnImportOptions *options, GError **error)
{
  const char *format_id = dwn_call_text (call, "format"), *datum = dwn_call_text (call, "datum");

  if (!dwn_import_format_from_id (format_id, format))
    {
      dwn_call_refuse (error, _("--format %s: licence-text, licence-tables, csv or stations was "
                                "expected"), format_id);
      return FALSE;
    }
  if (datum != NULL && !g_str_equal (datum, "wgs84") && !g_str_equal (datum, "nad27"))
    {
      dwn_call_refuse (error, _("--datum %s: wgs84 or nad27 was expected"), datum);
      return FALSE;
    }
  *options = (DwnImportOptions) {
    .datum = g_strcmp0 (datum, "nad27") == 0 ? DWN_DATUM_NAD27 : DWN_DATUM_WGS84,
    .has_near = TRUE,
    .map_file = dwn_call_text (call, "map"),
  };
  return dwn_call_place (call, "near", &options->near, error)
         && dwn_call_number (call, "within", 0.001, 20100.0, &options->within_km, error);
}

static void
print_skipped (const DwnImport *import)
{
  for (guint i = 0; i < import->n_skipped; i++)
    {
      const DwnImportSkip *skip = &import->skipped[i];
      g_autofree char *line = g_strdup_printf ("%s:%u: %s%s%s", skip->file, skip->line, skip->name,
                                               skip->name[0] != '\0' ? ": " : "", skip->text);
      dwn_warn (line);
    }
  for (guint i = 0; i < import->n_warnings; i++)
    dwn_warn (import->warnings[i].text);
}

typedef struct {
  guint station;
  double distance_m, bearing_deg;
} Found;

static int
nearest_first (gconstpointer a, gconstpointer b)
{
  const Found *x = a, *y = b;

  if (x->distance_m != y->distance_m)
    return x->distance_m < y->distance_m ? -1 : 1;
  return x->station < y->station ? -1 : x->station > y->station;
}

static GArray *
find_all (const DwnStations *stations, const DwnLatLon *near, GError **error)
{
  GArray *found = g_array_new (FALSE, FALSE, sizeof (Found));

  for (guint i = 0; i < stations->n; i++)
    {
      Found one = { .station = i };

      if (!dwn_geodesic_inverse (near, &stations->station[i].at, &one.distance_m, &one.bearing_deg,
                                 NULL, error))
        {
          g_array_unref (found);
          return NULL;
        }
      g_array_append_val (found, one);
    }
  g_array_sort (found, nearest_first);
  return found;
}

static void
add_station (DwnRows *rows, const DwnImport *import, const Found *found)
{
  const DwnStation *station = &import->stations->station[found->station];

  dwn_rows_text (rows, station->name);
  dwn_rows_text (rows, dwn_station_kind_id (station->kind));
  dwn_rows_text (rows, station->rf);
  dwn_rows_text (rows, dwn_station_on_screen (station, import->services));
  dwn_rows_number (rows, station->mhz);
  dwn_rows_text (rows, dwn_band_id (station->band));
  dwn_rows_number (rows, station->erp_kw);
  dwn_rows_number (rows, station->haat_m);
  dwn_rows_number (rows, station->at.lat_deg);
  dwn_rows_number (rows, station->at.lon_deg);
  dwn_rows_number (rows, found->distance_m);
  dwn_rows_number (rows, found->bearing_deg);
  dwn_rows_text (rows, station->id);
}

static gboolean
run_import (DwnCall *call, GError **error)
{
  DwnImportFormat format;
  DwnImportOptions options;
  const char *output = dwn_call_text (call, "o");

  if (!read_options (call, &format, &options, error))
    return FALSE;
  g_autoptr (DwnImport) import = dwn_import_files (format, (const char *const *) call->arguments,
                                                   &options, NULL, NULL, NULL, error);
  if (import == NULL)
    return FALSE;
  print_skipped (import);
  if (output != NULL && !dwn_station_list_save (output, import->stations, import->services, error))
    return FALSE;
  g_autoptr (GArray) found = find_all (import->stations, &options.near, error);
  if (found == NULL)
    return FALSE;

  DwnRows *rows = dwn_rows_new (call, "name kind rf on_screen mhz band erp_kw haat_m lat lon "
                                      "distance_m bearing_deg id");
  for (guint i = 0; i < found->len; i++)
    add_station (rows, import, &g_array_index (found, Found, i));
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_import = {
  .name = "import",
  .arguments = "FILE…",
  .min_arguments = 1,
  .max_arguments = 64,
  .summary = N_("Read a station list; the stations near a place, nearest first"),
  .options = (const DwnOption[]) {
    { "format", "licence-text|licence-tables|csv|stations", DWN_OPTION_REQUIRED },
    { "datum", "wgs84|nad27" }, { "near", "LAT,LON", DWN_OPTION_REQUIRED },
    { "within", "KM", DWN_OPTION_REQUIRED }, { "map", "FILE" }, { "o", "FILE" }, { NULL },
  },
  .run = run_import,
};

/* Marks every service of the stations that --want names as a must. */
static DwnServices *
mark_wanted (const DwnCall *call, const DwnStations *stations, const DwnServices *services,
             GError **error)
{
  g_autofree DwnService *marked = g_memdup2 (services->service, services->n * sizeof *marked);

  for (const char *const *id = dwn_call_texts (call, "want"); *id != NULL; id++)
    {
      int station = dwn_stations_find (stations, *id);

      if (station < 0)
        {
          dwn_call_refuse (error, _("--want %s: the list has no station of that id"), *id);
          return NULL;
        }
      for (guint s = 0; s < stations->station[station].n_services; s++)
        marked[dwn_services_find (services, stations->station[station].services[s])].wanted = DWN_WANTED_MUST;
    }
  return dwn_services_new (services->n, marked);
}

static GPtrArray *
find_antennas (const DwnCall *call, const DwnTables *tables, GError **error)
{
  const char *text = dwn_call_text (call, "antenna");
  g_auto (GStrv) ids = g_strsplit (text != NULL ? text : DWN_ANTENNA_OET69, ",", -1);
  GPtrArray *patterns = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);

  for (char **id = ids; *id != NULL; id++)
    {
      DwnPattern *pattern = dwn_antenna_resolve (tables->catalogue, *id, error);

      if (pattern == NULL)
        {
          g_ptr_array_unref (patterns);
          return NULL;
        }
      g_ptr_array_add (patterns, pattern);
    }
  return patterns;
}

static DwnPlan *
build_plan (const DwnCall *call, const DwnTables *tables, const DwnStations *stations,
            const DwnServices *services, GError **error)
{
  g_autoptr (GPtrArray) patterns = find_antennas (call, tables, error);
  g_autoptr (GArray) aims = dwn_call_numbers (call, "aim", 0.0, 360.0, error);
  DwnDate today = dwn_today ();
  g_autofree char *date = g_strdup_printf ("%04d-%02d-%02d", today.year, today.month, today.day);
  DwnNewPlan wish = { .name = "", .place = "", .stations = stations, .services = services, .date = date };

  if (patterns == NULL || aims == NULL || !dwn_call_place (call, "at", &wish.at, error))
    return NULL;
  if (aims->len != 0 && aims->len != patterns->len)
    {
      dwn_call_refuse (error, _("--aim %s: one bearing for each of %u antennas was expected"),
                       dwn_call_text (call, "aim"), patterns->len);
      return NULL;
    }
  wish.n_antennas = patterns->len;
  wish.patterns = (const DwnPattern *const *) patterns->pdata;
  wish.aim_deg = aims->len > 0 ? (const double *) (gpointer) aims->data : NULL;
  return dwn_new_plan (&wish, tables, error);
}

static gboolean
run_new_plan (DwnCall *call, GError **error)
{
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnTables) tables = dwn_tables_new (error);

  if (tables == NULL
      || !dwn_station_list_load (dwn_call_text (call, "stations"), &stations, &services, warnings, error))
    return FALSE;
  for (guint i = 0; i < warnings->len; i++)
    dwn_warn (g_ptr_array_index (warnings, i));
  g_autoptr (DwnServices) marked = mark_wanted (call, stations, services, error);
  if (marked == NULL)
    return FALSE;
  g_autoptr (DwnPlan) plan = build_plan (call, tables, stations, marked, error);
  if (plan != NULL && dwn_call_text (call, "terrain") != NULL)
    {
      DwnPlan *surveyed = dwn_survey (plan, dwn_call_text (call, "terrain"), error);
      dwn_plan_unref (plan);
      plan = surveyed;
    }
  return plan != NULL && dwn_plan_save (plan, tables->catalogue, dwn_call_text (call, "o"), error);
}

const DwnCommand dwn_command_new_plan = {
  .name = "new-plan",
  .summary = N_("Begin a plan: mast of 9.1 m, one outlet, 15 m of series 6 cable, rural noise"),
  .options = (const DwnOption[]) {
    { "at", "LAT,LON", DWN_OPTION_REQUIRED }, { "stations", "FILE", DWN_OPTION_REQUIRED },
    { "antenna", "ID[,ID]" }, { "aim", "DEG[,DEG]" }, { "want", "STATION", DWN_OPTION_REPEATED },
    { "terrain", "DIR" },
    { "o", "PLAN", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_new_plan,
};
