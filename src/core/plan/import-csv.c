/* Any CSV, its columns named by a mapping file (core/plan/import-map.h). */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/datum.h"
#include "core/plan/csv.h"
#include "core/plan/fields.h"
#include "core/plan/import-map.h"
#include "core/plan/import-private.h"

#define M_PER_FT 0.3048           /* international foot, exact */
#define DIPOLE_DBI 2.15           /* half-wave dipole over isotrope */
#define HOPELESS_RECORDS 1000     /* unusable from the first on: another file, or another map */

/* One file being read. */
typedef struct {
  DwnImportRun *run;
  const DwnImportMap *map;
  const char *file;
  guint line;
  char *const *record;
  guint n;
  guint n_unshifted;
} Source;

/* What one record gave. Strings are the record's own until keep_strings(). */
typedef struct {
  DwnStation station;
  DwnService service;
  char *id, *service_id; /* made, not on file */
  DwnChannel channel;
} Entry;

static const char *
get (const Source *source, DwnMapField field)
{
  return dwn_import_map_get (source->map, field, source->record, source->n);
}

G_GNUC_PRINTF (2, 3)
static gboolean
refuse (GError **error, const char *format, ...)
{
  va_list arguments;

  va_start (arguments, format);
  g_autofree char *text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error_literal (error, DWN_STATION_ERROR, DWN_STATION_ERROR_RANGE, text);
  return FALSE;
}

/* A figure; NaN where the record has none. */
static gboolean
read_number (const Source *source, DwnMapField field, double *value, GError **error)
{
  const char *text = get (source, field);

  *value = (double) NAN;
  if (*text == '\0' || dwn_field_number (text, dwn_import_map_decimal (source->map), value))
    return TRUE;
  return refuse (error, _("%s \"%s\" is not a number; digits without a unit, with a decimal %s, "
                          "would be right"), dwn_map_field_key (field), text,
                 dwn_import_map_decimal (source->map) == ',' ? _("comma") : _("point"));
}

/* The first of several fields that the record fills in, each with its own way to the unit. */
typedef struct {
  DwnMapField field;
  double factor;
  gboolean is_db; /* 10 log10 of the value over @factor */
} Unit;

static gboolean
read_unit (const Source *source, const Unit *units, guint n, double *value, GError **error)
{
  *value = (double) NAN;
  for (guint i = 0; i < n && isnan (*value); i++)
    {
      if (!dwn_import_map_has (source->map, units[i].field))
        continue;
      if (!read_number (source, units[i].field, value, error))
        return FALSE;
      *value = units[i].is_db ? pow (10, *value / 10) * units[i].factor : *value * units[i].factor;
    }
  return TRUE;
}

static gboolean
read_power (const Source *source, double *erp_kw, GError **error)
{
  const double dipole = pow (10, -DIPOLE_DBI / 10);
  const Unit units[] = {
    { DWN_MAP_ERP_KW, 1 },           { DWN_MAP_ERP_W, 1e-3 },
    { DWN_MAP_ERP_DBW, 1e-3, TRUE }, { DWN_MAP_ERP_DBK, 1, TRUE },
    { DWN_MAP_EIRP_KW, dipole },     { DWN_MAP_EIRP_W, 1e-3 * dipole },
    { DWN_MAP_EIRP_DBW, 1e-3 * dipole, TRUE },
  };

  if (!read_unit (source, units, G_N_ELEMENTS (units), erp_kw, error))
    return FALSE;
  if (*erp_kw < 0 || *erp_kw > DWN_STATION_ERP_MAX_KW)
    return refuse (error, _("ERP %g kW is outside 0 to %d; are the columns of the right unit "
                            "(erp-kw, erp-w, erp-dbw, erp-dbk)?"), *erp_kw,
                   DWN_STATION_ERP_MAX_KW);
  return TRUE;
}

static gboolean
read_heights (const Source *source, DwnStation *station, GError **error)
{
  static const Unit haat[] = { { DWN_MAP_HAAT_M, 1 }, { DWN_MAP_HAAT_FT, M_PER_FT } };
  static const Unit agl[] = { { DWN_MAP_AGL_M, 1 }, { DWN_MAP_AGL_FT, M_PER_FT } };
  static const Unit amsl[] = { { DWN_MAP_AMSL_M, 1 }, { DWN_MAP_AMSL_FT, M_PER_FT } };
  static const Unit delay[] = { { DWN_MAP_DELAY_US, 1 } };

  if (!read_unit (source, haat, G_N_ELEMENTS (haat), &station->haat_m, error)
      || !read_unit (source, agl, G_N_ELEMENTS (agl), &station->agl_m, error)
      || !read_unit (source, amsl, G_N_ELEMENTS (amsl), &station->amsl_m, error)
      || !read_unit (source, delay, G_N_ELEMENTS (delay), &station->delay_us, error))
    return FALSE;
  if (isnan (station->delay_us))
    station->delay_us = 0;
  return TRUE;
}

static gboolean
read_angle (const Source *source, DwnMapField plain, DwnMapField packed, double most,
            double *degrees, GError **error)
{
  const char *text = get (source, plain), *letters = most > 90 ? "EW" : "NS";
  char decimal = dwn_import_map_decimal (source->map);
  gboolean fine;

  if (dwn_import_map_has (source->map, plain))
    /* A point can be no thousands separator here, so it is read whatever the file's decimals. */
    fine = dwn_field_angle (text, decimal, letters, degrees)
           || dwn_field_angle (text, '.', letters, degrees);
  else
    {
      text = get (source, packed);
      fine = dwn_field_packed_degrees (text, degrees);
    }
  if (*text == '\0')
    return refuse (error, _("%s is missing"), dwn_map_field_key (plain));
  if (!fine)
    return refuse (error, _("%s \"%s\" is not an angle; 44.28 or 44 16 48 N would be right"),
                   dwn_map_field_key (plain), text);
  if (fabs (*degrees) > most)
    return refuse (error, most > 90 ? _("longitude %g is outside -180 to 180")
                                    : _("latitude %g is outside -90 to 90"), *degrees);
  return TRUE;
}

static gboolean
read_place (Source *source, DwnLatLon *at, GError **error)
{
  if (!read_angle (source, DWN_MAP_LAT, DWN_MAP_LAT_PACKED, 90, &at->lat_deg, error)
      || !read_angle (source, DWN_MAP_LON, DWN_MAP_LON_PACKED, 180, &at->lon_deg, error))
    return FALSE;
  if (source->run->options->datum == DWN_DATUM_NAD27
      && !dwn_datum_nad27_to_wgs84 (at, at, NULL))
    source->n_unshifted++;
  return TRUE;
}

/* The channel by its number, or by its centre frequency. */
static gboolean
read_channel (const Source *source, Entry *entry, GError **error)
{
  DwnStation *station = &entry->station;
  DwnChannel *channel = &entry->channel;
  static const Unit frequency[]
    = { { DWN_MAP_MHZ, 1 }, { DWN_MAP_KHZ, 1e-3 }, { DWN_MAP_HZ, 1e-6 } };
  const char *system = get (source, DWN_MAP_SYSTEM), *rf = get (source, DWN_MAP_RF);
  double mhz;

  station->system = source->run->options->system;
  if (*system != '\0' && !dwn_system_from_id (system, &station->system, error))
    return FALSE;
  if (*rf == '\0' && !read_unit (source, frequency, G_N_ELEMENTS (frequency), &mhz, error))
    return FALSE;
  if (*rf == '\0' && isnan (mhz))
    return refuse (error, _("neither an RF channel nor a frequency"));
  if (!(*rf != '\0' ? dwn_channel_find (station->system, rf, channel, error)
                    : dwn_channel_at (station->system, mhz, channel, error)))
    return FALSE;
  station->rf = channel->rf;
  station->mhz = channel->centre_mhz;
  station->band = channel->band;
  return TRUE;
}

static gboolean
read_kind (const Source *source, DwnStation *station, GError **error)
{
  const char *kind = get (source, DWN_MAP_KIND);

  station->kind = DWN_STATION_MAIN;
  if (*kind == '\0' || dwn_station_kind_from_id (kind, &station->kind))
    return TRUE;
  return refuse (error,
                 _("kind \"%s\" is none of main, low-power, fill-in, distributed; [words] in "
                    "the mapping can say which it is"),
                 kind);
}

/* Letters and digits of a name, with - for what stands between them. */
static char *
make_id (const char *name)
{
  g_autofree char *ascii = g_str_to_ascii (name, "C");
  GString *id = g_string_new (NULL);

  for (const char *at = ascii; *at != '\0' && id->len < DWN_STATION_ID_MAX / 2; at++)
    if (g_ascii_isalnum (*at) || strchr ("._:", *at) != NULL)
      g_string_append_c (id, *at);
    else if (id->len > 0 && id->str[id->len - 1] != '-')
      g_string_append_c (id, '-');
  while (id->len > 0 && id->str[id->len - 1] == '-')
    g_string_truncate (id, id->len - 1);
  if (id->len == 0)
    g_string_append (id, "station");
  return g_string_free (id, FALSE);
}

/* The id on file, or one of name and channel, with the place in minutes where that is taken: facts
 * that another list repeats. */
static void
choose_id (const Source *source, Entry *entry)
{
  DwnStation *station = &entry->station;
  const char *given = get (source, DWN_MAP_ID);
  g_autofree char *name = *given == '\0' ? make_id (station->name) : NULL;

  station->id = given;
  if (name == NULL)
    return;
  station->id = entry->id = g_strconcat (name, "-", station->rf, NULL);
  if (!g_hash_table_contains (source->run->station_ids, station->id))
    return;
  station->id = g_strdup_printf ("%s-%d%c%d%c", entry->id, (int) fabs (station->at.lat_deg * 60),
                                 station->at.lat_deg < 0 ? 'S' : 'N',
                                 (int) fabs (station->at.lon_deg * 60),
                                 station->at.lon_deg < 0 ? 'W' : 'E');
  g_free (entry->id);
  entry->id = (char *) station->id;
}

static void
fill_service (const Source *source, Entry *entry)
{
  const char *id = get (source, DWN_MAP_SERVICE), *name = get (source, DWN_MAP_SERVICE_NAME);

  if (*name == '\0')
    name = *id != '\0' ? id : entry->station.name;
  entry->service_id = make_id (*id != '\0' ? id : name);
  entry->service = (DwnService) { .id = entry->service_id, .name = name,
                                  .on_screen = get (source, DWN_MAP_ON_SCREEN) };
}

static const char *
get_or_null (const Source *source, DwnMapField field)
{
  const char *text = get (source, field);

  return *text != '\0' ? text : NULL;
}

static void
entry_clear (Entry *entry)
{
  g_free (entry->id);
  g_free (entry->service_id);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Entry, entry_clear)

/* The record's strings go with the next one; those of a station that is kept must stay. */
static void
keep_strings (DwnImportRun *run, Entry *entry)
{
  const char **strings[] = { &entry->station.id, &entry->station.name, &entry->station.site,
                             &entry->station.mode, &entry->station.rf, &entry->station.network,
                             &entry->service.id, &entry->service.name, &entry->service.on_screen };

  for (guint i = 0; i < G_N_ELEMENTS (strings); i++)
    if (*strings[i] != NULL)
      *strings[i] = dwn_import_run_string (run, *strings[i]);
}

static gboolean
read_entry (Source *source, Entry *entry, GError **error)
{
  DwnStation *station = &entry->station;

  station->line = source->line;
  station->name = get (source, DWN_MAP_NAME);
  station->site = get (source, DWN_MAP_SITE);
  station->mode = get_or_null (source, DWN_MAP_MODE);
  station->network = get_or_null (source, DWN_MAP_NETWORK);
  station->polarisation = dwn_field_polarisation (get (source, DWN_MAP_POLARISATION));
  if (*station->name == '\0')
    return refuse (error, _("the name is missing"));
  if (!read_channel (source, entry, error) || !read_place (source, &station->at, error)
      || !read_power (source, &station->erp_kw, error) || !read_heights (source, station, error)
      || !read_kind (source, station, error))
    return FALSE;
  choose_id (source, entry);
  fill_service (source, entry);
  return dwn_station_check (station, error);
}

/* Why a record that can be read is listed all the same; FALSE: it is not. */
static gboolean
list_entry (Source *source, const DwnStation *station)
{
  if (isnan (station->erp_kw) || station->erp_kw == 0)
    dwn_import_run_skip (source->run, source->file, source->line, station->name, DWN_SKIP_POWER,
                         _("no power, or 0; its ERP would be needed"));
  else if (g_hash_table_contains (source->run->station_ids, station->id))
    dwn_import_run_skip (source->run, source->file, source->line, station->name,
                         DWN_SKIP_DUPLICATE, _("the id %s is taken by a record before it"),
                         station->id);
  else
    return FALSE;
  return TRUE;
}

/* FALSE with @error only where the whole import must stop. */
static gboolean
read_record (Source *source, GError **error)
{
  g_autoptr (GError) problem = NULL;
  g_auto (Entry) entry = { .id = NULL };

  source->run->n_records++;
  if (!read_entry (source, &entry, &problem))
    {
      dwn_import_run_skip (source->run, source->file, source->line,
                           get (source, DWN_MAP_NAME), DWN_SKIP_FIELD, "%s", problem->message);
      return TRUE;
    }
  source->run->newest = MAX (source->run->newest, dwn_field_date (get (source, DWN_MAP_DATED)));
  if (!dwn_import_run_within (source->run, &entry.station.at))
    {
      source->run->n_beyond++;
      return TRUE;
    }
  if (list_entry (source, &entry.station))
    return TRUE;
  keep_strings (source->run, &entry);
  return dwn_import_run_add (source->run, &entry.station, 1, &entry.service, error);
}

static gboolean
resolve_header (Source *source, DwnImportMap *map, DwnCsv *csv, GError **error)
{
  g_autoptr (GError) problem = NULL;
  char **fields = NULL;
  guint n = 0;

  for (guint i = 0; i < dwn_import_map_header (map); i++)
    if (!dwn_csv_next (csv, &fields, &n, &problem))
      {
        if (problem != NULL)
          g_propagate_error (error, g_steal_pointer (&problem));
        else
          g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY,
                       _("%s:1: the file ends before its header"), source->file);
        return FALSE;
      }
  return dwn_import_map_resolve (map, fields, n, error);
}

static gboolean
is_hopeless (const Source *source, GError **error)
{
  const DwnImportRun *run = source->run;
  const DwnImportSkip *first;

  if (run->n_records != HOPELESS_RECORDS || run->skipped->len < HOPELESS_RECORDS)
    return FALSE;
  first = &g_array_index (run->skipped, DwnImportSkip, 0);
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT,
               _("%s:%u: %s (and none of the first %d records can be used: is it the right "
                 "mapping?)"), first->file, first->line, first->text, HOPELESS_RECORDS);
  return TRUE;
}

static gboolean
read_file (DwnImportRun *run, DwnImportMap *map, const DwnInput *input, GError **error)
{
  g_autoptr (GError) problem = NULL;
  DwnLines *lines = dwn_lines_open (input, NULL, error);
  Source source = { .run = run, .map = map };
  char **fields;

  if (lines == NULL)
    return FALSE;
  source.file = dwn_lines_name (lines);

  g_autoptr (DwnCsv) csv = dwn_csv_new_take (lines, dwn_import_map_separator (map));
  if (!resolve_header (&source, map, csv, error))
    return FALSE;
  while (dwn_csv_next (csv, &fields, &source.n, &problem))
    {
      source.record = fields;
      source.line = dwn_csv_line (csv);
      if (!dwn_import_run_tick (run, lines, error) || !read_record (&source, error)
          || is_hopeless (&source, error))
        return FALSE;
    }
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return FALSE;
    }
  dwn_import_run_file_done (run, lines);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_DATUM, source.n_unshifted,
                       _("%u records outside the area for which the shift from NAD27 is known: "
                         "their coordinates are taken as they stand"), source.n_unshifted);
  return TRUE;
}

gboolean
dwn_import_csv (DwnImportRun *run, guint n, const DwnInput *inputs, GError **error)
{
  g_autoptr (DwnImportMap) map = NULL;

  if (run->options->map_file == NULL && run->map == NULL)
    {
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_MAP,
                   _("%s: a CSV needs a mapping file that says what its columns are"),
                   inputs[0].path);
      return FALSE;
    }
  map = dwn_import_map_read (run->map != NULL ? run->map
                                              : &(DwnInput) { run->options->map_file, NULL },
                             error);
  if (map == NULL)
    return FALSE;
  for (guint i = 0; i < n; i++)
    if (!read_file (run, map, &inputs[i], error))
      return FALSE;
  if (run->n_records > 0)
    return TRUE;
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY, _("%s: there is no record in it"),
               inputs[0].path);
  return FALSE;
}
