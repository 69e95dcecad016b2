#include "core/plan/import.h"

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/plan/fields.h"
#include "core/plan/import-private.h"
#include "core/plan/station-xml.h"

#define RECORDS_PER_TICK 1024
#define LIST_AGE_MAX_DAYS 365
#define US_HIGHEST_CHANNEL 36 /* TRADE.md, table of section A: UHF 14 to 36 */

G_DEFINE_QUARK (dwn-import-error-quark, dwn_import_error)

static const char *const format_ids[] = {
  [DWN_IMPORT_LICENCE_TEXT] = "licence-text",
  [DWN_IMPORT_LICENCE_TABLES] = "licence-tables",
  [DWN_IMPORT_CSV] = "csv",
  [DWN_IMPORT_STATIONS] = "stations",
};

static const char *const reason_ids[] = {
  [DWN_SKIP_ANALOGUE] = "analogue",
  [DWN_SKIP_AUXILIARY] = "auxiliary",
  [DWN_SKIP_SILENT] = "silent",
  [DWN_SKIP_STATUS] = "status",
  [DWN_SKIP_SUPERSEDED] = "superseded",
  [DWN_SKIP_DUPLICATE] = "duplicate",
  [DWN_SKIP_FIELD] = "field",
  [DWN_SKIP_POWER] = "power",
  [DWN_SKIP_JOIN] = "join",
};

const char *
dwn_import_format_id (DwnImportFormat format)
{
  g_return_val_if_fail ((guint) format < G_N_ELEMENTS (format_ids), NULL);

  return format_ids[format];
}

gboolean
dwn_import_format_from_id (const char *id, DwnImportFormat *format)
{
  g_return_val_if_fail (format != NULL, FALSE);

  for (guint i = 0; i < G_N_ELEMENTS (format_ids); i++)
    if (g_strcmp0 (format_ids[i], id) == 0)
      {
        *format = (DwnImportFormat) i;
        return TRUE;
      }
  return FALSE;
}

const char *
dwn_skip_reason_id (DwnSkipReason reason)
{
  g_return_val_if_fail ((guint) reason < G_N_ELEMENTS (reason_ids), NULL);

  return reason_ids[reason];
}

const char *
dwn_import_run_string (DwnImportRun *run, const char *text)
{
  return g_string_chunk_insert_const (run->strings, text);
}

void
dwn_import_run_skip (DwnImportRun *run, const char *file, guint line, const char *name,
                     DwnSkipReason reason, const char *format, ...)
{
  DwnImportSkip skip = { .file = file, .line = line, .reason = reason };
  va_list arguments;

  if (reason == DWN_SKIP_POWER)
    run->n_powerless++;
  if (run->skipped->len >= DWN_IMPORT_LISTED_MAX)
    {
      run->n_unlisted++;
      return;
    }
  skip.name = g_strdup (name);
  va_start (arguments, format);
  skip.text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_array_append_val (run->skipped, skip);
}

void
dwn_import_run_warn (DwnImportRun *run, DwnImportWarningCode code, guint count,
                     const char *format, ...)
{
  DwnImportWarning warning = { .code = code, .count = count };
  va_list arguments;

  if (count == 0)
    return;
  va_start (arguments, format);
  warning.text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_array_append_val (run->warnings, warning);
}

gboolean
dwn_import_run_tick (DwnImportRun *run, const DwnLines *lines, GError **error)
{
  if (dwn_lines_number (lines) % RECORDS_PER_TICK != 0)
    return TRUE;
  if (run->progress != NULL && run->bytes_all > 0)
    run->progress (MIN (1.0, (double) (run->bytes_done + dwn_lines_consumed (lines))
                               / (double) run->bytes_all), run->progress_data);
  return !g_cancellable_set_error_if_cancelled (run->cancellable, error);
}

void
dwn_import_run_file_done (DwnImportRun *run, const DwnLines *lines)
{
  guint latin1 = dwn_lines_first_latin1 (lines);

  run->bytes_done += dwn_lines_consumed (lines);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_LATIN1, latin1,
                       _("%s:%u: not UTF-8, read as Latin-1; look at the names"),
                       dwn_lines_name (lines), latin1);
}

/* Great-circle distance on a sphere: within 0.6 % of the ellipsoid's. */
static double
sphere_km (const DwnLatLon *a, const DwnLatLon *b)
{
  const double rad = G_PI / 180;
  double half_lat = sin ((b->lat_deg - a->lat_deg) * rad / 2);
  double half_lon = sin ((b->lon_deg - a->lon_deg) * rad / 2);
  double h = half_lat * half_lat
             + cos (a->lat_deg * rad) * cos (b->lat_deg * rad) * half_lon * half_lon;

  return 2 * 6371.0088 * asin (MIN (1, sqrt (h)));
}

/* Most records are settled by latitude or on the sphere; only those near the rim need more. */
gboolean
dwn_import_run_within (const DwnImportRun *run, const DwnLatLon *at)
{
  const DwnImportOptions *options = run->options;
  double radius_km = options->within_km, rough_km, distance_m;

  if (!options->has_near || !(radius_km > 0))
    return TRUE;
  /* A degree of latitude is 110.57 km or more (WGS 84, at the equator). */
  if (fabs (at->lat_deg - options->near.lat_deg) * 110.5 > radius_km)
    return FALSE;
  rough_km = sphere_km (&options->near, at);
  if (rough_km > radius_km * 1.01 || rough_km < radius_km * 0.99)
    return rough_km < radius_km;
  return dwn_geodesic_inverse (&options->near, at, &distance_m, NULL, NULL, NULL)
         && distance_m <= radius_km * 1000;
}

/* Appends the service, or fills in what the one of that id lacks. */
static void
add_service (DwnImportRun *run, const DwnService *service)
{
  guint at = GPOINTER_TO_UINT (g_hash_table_lookup (run->service_index, service->id));

  if (at > 0)
    {
      DwnService *known = &g_array_index (run->services, DwnService, at - 1);

      if (*known->on_screen == '\0')
        known->on_screen = service->on_screen;
      return;
    }
  g_array_append_val (run->services, *service);
  g_hash_table_insert (run->service_index, (gpointer) service->id,
                       GUINT_TO_POINTER (run->services->len));
}

gboolean
dwn_import_run_add (DwnImportRun *run, const DwnStation *station, guint n,
                    const DwnService *services, GError **error)
{
  DwnStation added = *station;
  const char **ids;

  if (run->stations->len >= DWN_IMPORT_STATIONS_MAX)
    {
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_LIMIT,
                   _("%s: more than %d stations; give a place and a radius"), run->source,
                   DWN_IMPORT_STATIONS_MAX);
      return FALSE;
    }
  ids = g_new (const char *, n);
  for (guint i = 0; i < n; i++)
    {
      add_service (run, &services[i]);
      ids[i] = services[i].id;
    }
  added.n_services = n;
  added.services = ids;
  g_array_append_val (run->stations, added);
  g_hash_table_add (run->station_ids, (gpointer) station->id);
  return TRUE;
}

static void
clear_skip (gpointer data)
{
  DwnImportSkip *skip = data;

  g_free (skip->name);
  g_free (skip->text);
}

static void
clear_warning (gpointer warning)
{
  g_free (((DwnImportWarning *) warning)->text);
}

static void
run_init (DwnImportRun *run, const DwnImportOptions *options, const char *source)
{
  run->options = options;
  run->skipped = g_array_new (FALSE, FALSE, sizeof (DwnImportSkip));
  g_array_set_clear_func (run->skipped, clear_skip);
  run->warnings = g_array_new (FALSE, FALSE, sizeof (DwnImportWarning));
  g_array_set_clear_func (run->warnings, clear_warning);
  run->stations = dwn_station_array_new ();
  run->services = g_array_new (FALSE, FALSE, sizeof (DwnService));
  run->strings = g_string_chunk_new (64 * 1024);
  run->service_index = g_hash_table_new (g_str_hash, g_str_equal);
  run->station_ids = g_hash_table_new (g_str_hash, g_str_equal);
  run->source = g_intern_string (source);
}

static void
run_clear (DwnImportRun *run)
{
  g_clear_pointer (&run->skipped, g_array_unref);
  g_clear_pointer (&run->warnings, g_array_unref);
  g_array_unref (run->stations);
  g_array_unref (run->services);
  g_hash_table_unref (run->service_index);
  g_hash_table_unref (run->station_ids);
  g_string_chunk_free (run->strings);
}

static void
warn_of_age (DwnImportRun *run)
{
  g_autoptr (GDate) newest = NULL, today = NULL;
  guint date = run->newest, now;
  int days;

  if (date == 0)
    return;
  newest = g_date_new_dmy ((GDateDay) (date % 100), (GDateMonth) (date / 100 % 100),
                           (GDateYear) (date / 10000));
  if (run->options->today != NULL)
    {
      now = dwn_field_date (run->options->today);
      g_return_if_fail (now != 0);
      today = g_date_new_dmy ((GDateDay) (now % 100), (GDateMonth) (now / 100 % 100),
                              (GDateYear) (now / 10000));
    }
  else
    {
      today = g_date_new ();
      g_date_set_time_t (today, g_get_real_time () / G_USEC_PER_SEC);
    }
  days = g_date_days_between (newest, today);
  if (days > LIST_AGE_MAX_DAYS)
    dwn_import_run_warn (run, DWN_IMPORT_WARNING_AGE, (guint) days,
                         _("the newest record is of %04u-%02u-%02u, %d days ago: channels may "
                           "have moved since"), date / 10000, date / 100 % 100, date % 100, days);
}

static gboolean
is_us_above_36 (const DwnStation *station)
{
  return (station->system == DWN_SYSTEM_ATSC1 || station->system == DWN_SYSTEM_ATSC3)
         && g_ascii_strtoull (station->rf, NULL, 10) > US_HIGHEST_CHANNEL;
}

static void
warn_of_stations (DwnImportRun *run)
{
  guint high = 0, no_haat = 0, no_polarisation = 0;

  for (guint i = 0; i < run->stations->len; i++)
    {
      const DwnStation *station = &g_array_index (run->stations, DwnStation, i);

      high += is_us_above_36 (station);
      no_haat += isnan (station->haat_m);
      no_polarisation += station->polarisation == DWN_POLARISATION_UNKNOWN;
    }
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_CHANNELS, high,
                       _("%u stations on RF channels above 36, which television in the United "
                         "States has left: their channel of today is unknown"), high);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_HAAT, no_haat,
                       _("%u stations without a height above average terrain on file: it is "
                         "taken as unknown"), no_haat);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_POLARISATION, no_polarisation,
                       _("%u stations without a polarisation on file"), no_polarisation);
}

static void
warn_of_run (DwnImportRun *run)
{
  warn_of_age (run);
  warn_of_stations (run);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_POWER, run->n_powerless,
                       _("%u records with no power, or with 0: listed, not imported"),
                       run->n_powerless);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_PATTERN, run->n_without_pattern,
                       _("%u stations with a directional antenna whose pattern is not on file: "
                         "taken as all round"), run->n_without_pattern);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_UNLISTED, run->n_unlisted,
                       _("%u more records were skipped than the list holds"), run->n_unlisted);
}

static DwnImport *
run_finish (DwnImportRun *run)
{
  DwnImport *import = g_new0 (DwnImport, 1);
  g_autofree char *dated = NULL;

  warn_of_run (run);
  if (run->newest != 0)
    dated = g_strdup_printf ("%04u-%02u-%02u", run->newest / 10000, run->newest / 100 % 100,
                             run->newest % 100);
  import->stations = dwn_stations_new (run->stations->len, (const DwnStation *) run->stations->data,
                                       run->source, dated);
  import->services = dwn_services_new (run->services->len,
                                       (const DwnService *) run->services->data);
  import->n_records = run->n_records;
  import->n_beyond = run->n_beyond;
  import->n_skipped = run->skipped->len;
  import->n_warnings = run->warnings->len;
  import->skipped = (DwnImportSkip *) g_array_free (g_steal_pointer (&run->skipped), FALSE);
  import->warnings = (DwnImportWarning *) g_array_free (g_steal_pointer (&run->warnings), FALSE);
  return import;
}

void
dwn_import_free (DwnImport *import)
{
  g_return_if_fail (import != NULL);

  dwn_stations_unref (import->stations);
  dwn_services_unref (import->services);
  for (guint i = 0; i < import->n_skipped; i++)
    clear_skip (&import->skipped[i]);
  for (guint i = 0; i < import->n_warnings; i++)
    clear_warning (&import->warnings[i]);
  g_free (import->skipped);
  g_free (import->warnings);
  g_free (import);
}

static guint64
count_bytes (guint n, const DwnInput *inputs)
{
  guint64 bytes = 0;

  for (guint i = 0; i < n; i++)
    {
      GStatBuf status;

      if (inputs[i].bytes != NULL)
        bytes += g_bytes_get_size (inputs[i].bytes);
      else if (g_stat (inputs[i].path, &status) == 0)
        bytes += (guint64) status.st_size;
    }
  return bytes;
}

static gboolean
read_inputs (DwnImportRun *run, DwnImportFormat format, guint n, const DwnInput *inputs,
             GError **error)
{
  switch (format)
    {
    case DWN_IMPORT_LICENCE_TEXT:
    case DWN_IMPORT_LICENCE_TABLES:
      return dwn_import_licences (run, format == DWN_IMPORT_LICENCE_TABLES, n, inputs, error);
    case DWN_IMPORT_CSV:
      return dwn_import_csv (run, n, inputs, error);
    case DWN_IMPORT_STATIONS:
      return dwn_import_station_lists (run, n, inputs, error);
    default:
      g_return_val_if_reached (FALSE);
    }
}

DwnImport *
dwn_import_inputs (DwnImportFormat format, guint n, const DwnInput *inputs,
                   const DwnInput *map, const DwnImportOptions *options,
                   GCancellable *cancellable, DwnImportProgress progress, gpointer user_data,
                   GError **error)
{
  g_return_val_if_fail (options != NULL, NULL);

  DwnImportRun run = { .map = map, .cancellable = cancellable, .progress = progress,
                       .progress_data = user_data };
  DwnImport *import = NULL;

  if (n == 0)
    {
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY, _("no file to import"));
      return NULL;
    }

  g_autofree char *source = g_path_get_basename (inputs[0].path);
  run.bytes_all = count_bytes (n, inputs);
  run_init (&run, options, source);
  if (read_inputs (&run, format, n, inputs, error))
    import = run_finish (&run);
  run_clear (&run);
  return import;
}

DwnImport *
dwn_import_files (DwnImportFormat format, const char *const *files,
                  const DwnImportOptions *options, GCancellable *cancellable,
                  DwnImportProgress progress, gpointer user_data, GError **error)
{
  g_return_val_if_fail (files != NULL && options != NULL, NULL);

  guint n = g_strv_length ((char **) files);
  g_autofree DwnInput *inputs = g_new0 (DwnInput, n);

  for (guint i = 0; i < n; i++)
    inputs[i].path = files[i];
  return dwn_import_inputs (format, n, inputs, NULL, options, cancellable, progress, user_data,
                            error);
}
