/* The US regulator's current database tables. Each is a text of records between pipes whose lines
 * end in "|^|", with the columns' names in the first line, in a zip file or as it is. Columns are
 * found by name, in whatever order they come; tables are joined as follows, each read once, and
 * nothing is kept but what leads to a television station on air:
 *
 *   facility.license_filing_id -> application_facility.afac_license_filing_id
 *   application_facility.afac_application_id -> app_location.aloc_aapp_application_id
 *   app_location.aloc_loc_record_id -> app_antenna.aant_aloc_loc_record_id
 *   app_antenna.aant_antenna_record_id -> app_antenna_frequency.aafq_aant_antenna_record_id
 *                                      -> app_antenna_field_value.aafv_aant_antenna_record_id
 *   application_facility.afac_application_id -> license_filing_version.filing_version_id (optional:
 *     which of several applications is granted, and when)
 *
 * Coordinates are NAD83. Table and column names are those of the regulator's public schema. */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/plan/fields.h"
#include "core/plan/import-private.h"

#define COLUMNS_MAX 256
#define NODES_MAX 720 /* field values of one antenna */

typedef enum {
  TABLE_FACILITY,
  TABLE_APPLICATION,
  TABLE_VERSION,
  TABLE_LOCATION,
  TABLE_ANTENNA,
  TABLE_FREQUENCY,
  TABLE_FIELD_VALUE,
  N_TABLES,
} TableKind;

#define TABLE_COLUMNS 12

/* Columns by their names; "a/b" is the first of the two that is there, a name with * at its ends
 * one that holds it. The first @needed columns must be there. */
typedef struct {
  const char *name;
  gboolean is_needed;
  guint needed;
  const char *columns[TABLE_COLUMNS];
} TableSchema;

enum { FAC_ID, FAC_CALL, FAC_SERVICE, FAC_STATUS, FAC_FILING, FAC_CHANNEL, FAC_ON_SCREEN,
       FAC_ACTIVE, FAC_ATSC3, FAC_VERSION, FAC_DATE };
enum { APP_FILING, APP_ID, APP_CHANNEL, APP_COUNTRY, APP_ACTIVE };
enum { VER_ID, VER_STATUS, VER_DATE, VER_ACTIVE };
enum { LOC_APP, LOC_ID, LOC_LAT, LOC_LAT_D, LOC_LAT_M, LOC_LAT_S, LOC_LON, LOC_LON_D, LOC_LON_M,
       LOC_LON_S, LOC_REFERENCE, LOC_ACTIVE };
enum { ANT_LOC, ANT_ID, ANT_PATTERN, ANT_ROTATION, ANT_TYPE, ANT_AGL, ANT_AMSL, ANT_HAAT,
       ANT_POLARISATION, ANT_ACTIVE };
enum { FRQ_ANT, FRQ_ERP, FRQ_MAX_ERP, FRQ_HORIZ_ERP, FRQ_CHANNEL };
enum { VAL_ANT, VAL_AZIMUTH, VAL_FIELD };

static const TableSchema schemas[N_TABLES] = {
  [TABLE_FACILITY] = { "facility", TRUE, 5,
    { "facility_id", "callsign", "service_code", "facility_status", "license_filing_id", "channel",
      "tv_virtual_channel", "active_ind", "atsc3_ind", "latest_filing_version_id",
      "status_date" } },
  [TABLE_APPLICATION] = { "application_facility", TRUE, 2,
    { "afac_license_filing_id", "afac_application_id", "afac_channel", "country_code",
      "active_ind" } },
  [TABLE_VERSION] = { "license_filing_version", FALSE, 2,
    { "filing_version_id", "current_status_code", "status_date", "active_ind" } },
  [TABLE_LOCATION] = { "app_location", TRUE, 10,
    { "aloc_aapp_application_id", "aloc_loc_record_id", "aloc_lat_dir", "aloc_lat_deg",
      "aloc_lat_mm", "aloc_lat_ss", "aloc_long_dir", "aloc_long_deg", "aloc_long_mm",
      "aloc_long_ss", "aloc_dts_reference_location_ind", "aloc_active_ind" } },
  [TABLE_ANTENNA] = { "app_antenna", TRUE, 2,
    { "aant_aloc_loc_record_id", "aant_antenna_record_id", "aant_antenna_id", "aant_rotation_deg",
      "aant_antenna_type_code", "aant_rc_hag/aant_horiz_rc_hag", "aant_rc_amsl/aant_horiz_rc_amsl",
      "aant_rc_haat/aant_horiz_rc_haat/*haat*", "*polariz*", "aant_active_ind" } },
  [TABLE_FREQUENCY] = { "app_antenna_frequency", TRUE, 1,
    { "aafq_aant_antenna_record_id", "aafq_power_erp_kw", "aafq_max_erp_kw", "aafq_horiz_erp_kw",
      "aafq_channel" } },
  [TABLE_FIELD_VALUE] = { "app_antenna_field_value", FALSE, 3,
    { "aafv_aant_antenna_record_id", "aafv_azimuth", "aafv_field_value" } },
};

/* Services by the codes of these tables. What is not here is no television service. The codes
 * beyond DTV DTS DCA LPD LPT DTX are from memory. */
static const struct {
  const char *code, *short_code;
  DwnLicenceService service;
} services[] = {
  { "DTV", "DT", DWN_LICENCE_MAIN },       { "DTS", "DD", DWN_LICENCE_DISTRIBUTED },
  { "DCA", "DC", DWN_LICENCE_CLASS_A },    { "LPD", "LD", DWN_LICENCE_LOW_POWER },
  { "LPT", "LD", DWN_LICENCE_LOW_POWER },  { "DRT", "LD", DWN_LICENCE_LOW_POWER },
  { "DTX", "DX", DWN_LICENCE_AUXILIARY },  { "LPA", "TX", DWN_LICENCE_ANALOGUE },
  { "LPX", "TX", DWN_LICENCE_ANALOGUE },   { "ACA", "CA", DWN_LICENCE_ANALOGUE },
};

/* Where a table is found. */
typedef struct {
  const DwnInput *input; /* NULL: not given */
  char *member;          /* of a zip file; NULL: the file itself */
} Place;

/* One record, cut at its pipes. */
typedef struct {
  guint n;
  char *field[COLUMNS_MAX];
  const int *column; /* of its table's schema; -1: not there */
} Record;

/* A television facility on air. Its strings are owned by the chunk. */
typedef struct {
  guint line;
  guint number;
  guint service;            /* position in services[] */
  guint rf, date;
  gboolean atsc3;
  const char *call, *latest_version, *on_screen;
  const char *application;  /* the one that counts; NULL: none yet */
  gboolean is_granted;      /* that application */
  guint application_rf, application_date;
  guint n_locations, n_antennas, n_licences;
} TvFacility;

typedef struct {
  guint facility;           /* position */
  DwnLatLon at;
} Location;

/* An antenna record: a licence to be, and the field values of its pattern. */
typedef struct {
  DwnLicence licence;
  guint facility;
  gboolean has_frequency;
  GArray *azimuth_deg, *field; /* double; NULL: none */
} Antenna;

/* All tables being read. Keys are strings of @chunk. */
typedef struct {
  DwnImportRun *run;
  Place place[N_TABLES];
  GStringChunk *chunk;
  GArray *facilities;       /* TvFacility */
  GHashTable *by_filing;    /* filing id -> position + 1 in @facilities */
  GHashTable *by_application;
  GArray *locations;        /* Location */
  GHashTable *by_location;
  GPtrArray *antennas;      /* Antenna */
  GHashTable *by_antenna;
  const char *facility_file, *location_file;
  guint n_other_services, n_off_air;
} Tables;

static void
free_antenna (gpointer data)
{
  Antenna *antenna = data;

  dwn_licence_clear (&antenna->licence);
  g_clear_pointer (&antenna->azimuth_deg, g_array_unref);
  g_clear_pointer (&antenna->field, g_array_unref);
  g_free (antenna);
}

static GHashTable *
new_index (void)
{
  return g_hash_table_new (g_str_hash, g_str_equal);
}

static void
tables_init (Tables *tables, DwnImportRun *run)
{
  *tables = (Tables) { .run = run };
  tables->chunk = g_string_chunk_new (64 * 1024);
  tables->facilities = g_array_new (FALSE, FALSE, sizeof (TvFacility));
  tables->locations = g_array_new (FALSE, FALSE, sizeof (Location));
  tables->antennas = g_ptr_array_new_with_free_func (free_antenna);
  tables->by_filing = new_index ();
  tables->by_application = new_index ();
  tables->by_location = new_index ();
  tables->by_antenna = new_index ();
}

static void
tables_clear (Tables *tables)
{
  for (guint i = 0; i < N_TABLES; i++)
    g_free (tables->place[i].member);
  g_hash_table_unref (tables->by_filing);
  g_hash_table_unref (tables->by_application);
  g_hash_table_unref (tables->by_location);
  g_hash_table_unref (tables->by_antenna);
  g_ptr_array_unref (tables->antennas);
  g_array_unref (tables->locations);
  g_array_unref (tables->facilities);
  g_string_chunk_free (tables->chunk);
}

/* The keys' strings live in the chunk; the first record of a key counts. */
static void
put (Tables *tables, GHashTable *index, const char *key, guint position)
{
  if (*key != '\0' && !g_hash_table_contains (index, key))
    g_hash_table_insert (index, g_string_chunk_insert (tables->chunk, key),
                         GUINT_TO_POINTER (position + 1));
}

/* Position, or -1. */
static int
get (GHashTable *index, const char *key)
{
  return (int) GPOINTER_TO_UINT (g_hash_table_lookup (index, key)) - 1;
}

static const char *
get_field (const Record *record, guint which)
{
  int at = record->column[which];

  return at >= 0 && (guint) at < record->n ? record->field[at] : "";
}

static gboolean
is_no (const Record *record, guint which)
{
  return *get_field (record, which) == 'N';
}

/* Cuts a line in place, and takes the mark at its end off. */
static void
cut_line (char *line, gsize length, Record *record)
{
  if (length >= 3 && strcmp (line + length - 3, "|^|") == 0)
    line[length - 3] = '\0';
  record->n = 0;
  for (char *at = line; at != NULL && record->n < COLUMNS_MAX;)
    {
      char *end = strchr (at, '|');

      record->field[record->n++] = at;
      if (end != NULL)
        *end++ = '\0';
      at = end;
    }
  for (guint i = 0; i < record->n; i++)
    g_strstrip (record->field[i]);
}

static int
find_name (const Record *header, const char *name)
{
  gsize length = strlen (name);
  g_autofree char *part = length > 2 && *name == '*' ? g_strndup (name + 1, length - 2) : NULL;

  for (guint i = 0; i < header->n; i++)
    if (part != NULL ? strstr (header->field[i], part) != NULL
                     : g_ascii_strcasecmp (header->field[i], name) == 0)
      return (int) i;
  return -1;
}

static int
find_column (const Record *header, const char *names)
{
  g_auto (GStrv) each = g_strsplit (names, "/", -1);
  int found = -1;

  for (guint i = 0; each[i] != NULL && found < 0; i++)
    found = find_name (header, each[i]);
  return found;
}

static gboolean
read_header (const TableSchema *schema, DwnLines *lines, int column[TABLE_COLUMNS], GError **error)
{
  g_autoptr (GError) problem = NULL;
  Record header;
  char *line;
  gsize length;

  if (!dwn_lines_next (lines, &line, &length, &problem))
    {
      if (problem != NULL)
        g_propagate_error (error, g_steal_pointer (&problem));
      else
        g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY, _("%s:1: the table is empty"),
                     dwn_lines_name (lines));
      return FALSE;
    }
  cut_line (line, length, &header);
  for (guint i = 0; i < TABLE_COLUMNS && schema->columns[i] != NULL; i++)
    {
      column[i] = find_column (&header, schema->columns[i]);
      if (column[i] >= 0 || i >= schema->needed)
        continue;
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN,
                   _("%s:1: the column %s is missing"), dwn_lines_name (lines),
                   schema->columns[i]);
      return FALSE;
    }
  return TRUE;
}

typedef void (*RecordFunc) (Tables *tables, const DwnLines *lines, const Record *record);

/* Hands each record of one table to @func. A table that is not given has no records. */
static gboolean
read_table (Tables *tables, TableKind kind, RecordFunc func, GError **error)
{
  const Place *place = &tables->place[kind];
  g_autoptr (DwnLines) lines = NULL;
  g_autoptr (GError) problem = NULL;
  int column[TABLE_COLUMNS];
  Record record = { .column = column };
  char *line;
  gsize length;

  if (place->input == NULL)
    return TRUE;
  lines = dwn_lines_open (place->input, place->member, error);
  if (lines == NULL || !read_header (&schemas[kind], lines, column, error))
    return FALSE;
  while (dwn_lines_next (lines, &line, &length, &problem))
    {
      if (!dwn_import_run_tick (tables->run, lines, error))
        return FALSE;
      if (length == 0)
        continue;
      cut_line (line, length, &record);
      func (tables, lines, &record);
    }
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return FALSE;
    }
  dwn_import_run_file_done (tables->run, lines);
  return TRUE;
}

static int
find_service (const char *code)
{
  for (guint i = 0; i < G_N_ELEMENTS (services); i++)
    if (strcmp (code, services[i].code) == 0)
      return (int) i;
  return -1;
}

/* LICEN, and LICRP where a renewal is pending, are on air. */
static gboolean
is_on_air (Tables *tables, const DwnLines *lines, const Record *record)
{
  const char *status = get_field (record, FAC_STATUS);

  if (strcmp (status, "LICEN") == 0 || strcmp (status, "LICRP") == 0)
    return TRUE;
  if (strcmp (status, "LICSL") == 0)
    dwn_import_run_skip (tables->run, dwn_lines_name (lines), dwn_lines_number (lines),
                         get_field (record, FAC_CALL), DWN_SKIP_SILENT,
                         _("licensed, but silent"));
  else
    tables->n_off_air++;
  return FALSE;
}

static void
read_facility (Tables *tables, const DwnLines *lines, const Record *record)
{
  int service = find_service (get_field (record, FAC_SERVICE));
  TvFacility facility = { .line = dwn_lines_number (lines) };
  double number;

  tables->facility_file = dwn_lines_name (lines);
  if (service < 0 || is_no (record, FAC_ACTIVE))
    {
      tables->n_other_services++;
      return;
    }
  tables->run->n_records++;
  if (!is_on_air (tables, lines, record))
    return;
  if (!dwn_field_number (get_field (record, FAC_ID), '.', &number) || number < 1 || number > 4e9)
    {
      dwn_import_run_skip (tables->run, dwn_lines_name (lines), facility.line,
                           get_field (record, FAC_CALL), DWN_SKIP_FIELD,
                           _("facility id \"%s\" is not a whole number"),
                           get_field (record, FAC_ID));
      return;
    }
  facility.number = (guint) number;
  facility.service = (guint) service;
  facility.rf = dwn_licence_rf (get_field (record, FAC_CHANNEL));
  facility.date = dwn_field_date (get_field (record, FAC_DATE));
  facility.atsc3 = *get_field (record, FAC_ATSC3) == 'Y';
  facility.call = g_string_chunk_insert (tables->chunk, get_field (record, FAC_CALL));
  facility.latest_version = g_string_chunk_insert (tables->chunk, get_field (record, FAC_VERSION));
  facility.on_screen = dwn_import_run_string (tables->run, get_field (record, FAC_ON_SCREEN));
  g_array_append_val (tables->facilities, facility);
  put (tables, tables->by_filing, get_field (record, FAC_FILING), tables->facilities->len - 1);
}

/* Of several applications of a filing the latest version's counts, otherwise the last one that is
 * active; the table of versions may know better. */
static void
read_application (Tables *tables, const DwnLines *lines, const Record *record)
{
  int at = get (tables->by_filing, get_field (record, APP_FILING));
  const char *id = get_field (record, APP_ID), *country = get_field (record, APP_COUNTRY);

  if (at < 0 || *id == '\0' || is_no (record, APP_ACTIVE)
      || (*country != '\0' && strcmp (country, "US") != 0))
    return;

  TvFacility *facility = &g_array_index (tables->facilities, TvFacility, at);
  put (tables, tables->by_application, id, (guint) at);
  if (facility->application != NULL
      && strcmp (facility->application, facility->latest_version) == 0)
    return;
  facility->application = g_string_chunk_insert (tables->chunk, id);
  facility->application_rf = dwn_licence_rf (get_field (record, APP_CHANNEL));
}

/* The newest granted version of a facility's applications. */
static void
read_version (Tables *tables, const DwnLines *lines, const Record *record)
{
  int at = get (tables->by_application, get_field (record, VER_ID));
  guint date = dwn_field_date (get_field (record, VER_DATE));

  if (at < 0 || is_no (record, VER_ACTIVE)
      || strcmp (get_field (record, VER_STATUS), "GRA") != 0)
    return;

  TvFacility *facility = &g_array_index (tables->facilities, TvFacility, at);
  if (facility->is_granted && date <= facility->application_date)
    return;
  if (g_strcmp0 (facility->application, get_field (record, VER_ID)) != 0)
    {
      facility->application = g_string_chunk_insert (tables->chunk, get_field (record, VER_ID));
      facility->application_rf = 0;
    }
  facility->is_granted = TRUE;
  facility->application_date = date;
}

static gboolean
read_angle (const Record *record, guint letter, const char *letters, double *degrees)
{
  const char *direction = get_field (record, letter);
  double d, m, s;

  if (!dwn_field_number (get_field (record, letter + 1), '.', &d)
      || !dwn_field_number (get_field (record, letter + 2), '.', &m)
      || !dwn_field_number (get_field (record, letter + 3), '.', &s)
      || (*direction != letters[0] && *direction != letters[1]))
    return FALSE;
  *degrees = dwn_field_degrees (d, m, s) * (*direction == letters[0] ? 1 : -1);
  return !isnan (*degrees);
}

static void
read_location (Tables *tables, const DwnLines *lines, const Record *record)
{
  int at = get (tables->by_application, get_field (record, LOC_APP));
  char reference = *get_field (record, LOC_REFERENCE);
  Location location = { .facility = (guint) at };
  TvFacility *facility;

  if (at < 0 || is_no (record, LOC_ACTIVE))
    return;
  facility = &g_array_index (tables->facilities, TvFacility, at);
  /* A distributed network's reference point is no transmitter. */
  if (strcmp (facility->application, get_field (record, LOC_APP)) != 0
      || reference == 'Y' || reference == 'R')
    return;
  facility->n_locations++;
  if (!read_angle (record, LOC_LAT, "NS", &location.at.lat_deg)
      || fabs (location.at.lat_deg) > 90
      || !read_angle (record, LOC_LON, "EW", &location.at.lon_deg)
      || fabs (location.at.lon_deg) > 180)
    {
      dwn_import_run_skip (tables->run, dwn_lines_name (lines), dwn_lines_number (lines),
                           facility->call, DWN_SKIP_FIELD,
                           _("latitude %s %s %s %s or longitude %s %s %s %s is not degrees, "
                             "minutes and seconds on Earth"),
                           get_field (record, LOC_LAT), get_field (record, LOC_LAT_D),
                           get_field (record, LOC_LAT_M), get_field (record, LOC_LAT_S),
                           get_field (record, LOC_LON), get_field (record, LOC_LON_D),
                           get_field (record, LOC_LON_M), get_field (record, LOC_LON_S));
      facility->n_licences++; /* it is listed already */
      return;
    }
  g_array_append_val (tables->locations, location);
  put (tables, tables->by_location, get_field (record, LOC_ID), tables->locations->len - 1);
}

/* A height in metres. 0, nothing and what is beyond any tower all mean that it is not known. */
static double
read_height (const Record *record, guint which, double least, double most)
{
  double value;

  if (!dwn_field_number (get_field (record, which), '.', &value) || value == 0 || value < least
      || value > most)
    return (double) NAN;
  return value;
}

static void
fill_antenna (DwnImportRun *run, DwnLicence *licence, const Record *record)
{
  const char *pattern = get_field (record, ANT_PATTERN);
  const char *type = get_field (record, ANT_TYPE);

  licence->antenna = *pattern != '\0' ? dwn_import_run_string (run, pattern) : NULL;
  /* "DIR" and what begins with it; nothing stated: the field values decide. */
  licence->directional = g_ascii_strncasecmp (type, "D", 1) == 0;
  if (!dwn_field_number (get_field (record, ANT_ROTATION), '.', &licence->rotation_deg))
    licence->rotation_deg = 0;
  licence->agl_m = read_height (record, ANT_AGL, 0, 1000);
  licence->amsl_m = read_height (record, ANT_AMSL, -500, 9000);
  licence->haat_m = read_height (record, ANT_HAAT, -3000, 5000);
  licence->polarisation = dwn_field_polarisation (get_field (record, ANT_POLARISATION));
}

static void
fill_licence (const Tables *tables, const TvFacility *facility, DwnLicence *licence)
{
  licence->file = tables->facility_file;
  licence->line = facility->line;
  licence->facility = facility->number;
  licence->service = services[facility->service].service;
  licence->code = services[facility->service].short_code;
  g_strlcpy (licence->call, facility->call, sizeof licence->call);
  g_strlcpy (licence->file_number, facility->application, sizeof licence->file_number);
  licence->date = facility->is_granted ? facility->application_date : facility->date;
  licence->rf = facility->application_rf != 0 ? facility->application_rf : facility->rf;
  licence->on_screen = facility->on_screen;
  licence->atsc3 = facility->atsc3;
}

static void
read_antenna (Tables *tables, const DwnLines *lines, const Record *record)
{
  int at = get (tables->by_location, get_field (record, ANT_LOC));
  const char *id = get_field (record, ANT_ID);

  if (at < 0 || *id == '\0' || is_no (record, ANT_ACTIVE)
      || g_hash_table_contains (tables->by_antenna, id))
    return;

  const Location *location = &g_array_index (tables->locations, Location, at);
  TvFacility *facility = &g_array_index (tables->facilities, TvFacility, location->facility);
  Antenna *antenna = g_new0 (Antenna, 1);

  facility->n_antennas++;
  antenna->facility = location->facility;
  dwn_licence_init (&antenna->licence);
  antenna->licence.filed = antenna->licence.at = location->at;
  fill_licence (tables, facility, &antenna->licence);
  fill_antenna (tables->run, &antenna->licence, record);
  g_ptr_array_add (tables->antennas, antenna);
  put (tables, tables->by_antenna, id, tables->antennas->len - 1);
}

/* Television has its power in the first of these that is filled in. */
static void
read_frequency (Tables *tables, const DwnLines *lines, const Record *record)
{
  static const guint columns[] = { FRQ_ERP, FRQ_MAX_ERP, FRQ_HORIZ_ERP };
  int at = get (tables->by_antenna, get_field (record, FRQ_ANT));
  Antenna *antenna = at >= 0 ? g_ptr_array_index (tables->antennas, at) : NULL;
  guint rf = dwn_licence_rf (get_field (record, FRQ_CHANNEL));

  if (antenna == NULL || antenna->has_frequency)
    return;
  antenna->has_frequency = TRUE;
  for (guint i = 0; i < G_N_ELEMENTS (columns) && isnan (antenna->licence.erp_kw); i++)
    {
      double erp_kw;

      if (dwn_field_number (get_field (record, columns[i]), '.', &erp_kw) && erp_kw != 0)
        antenna->licence.erp_kw = erp_kw;
    }
  if (rf != 0)
    antenna->licence.rf = rf;
}

static void
read_field_value (Tables *tables, const DwnLines *lines, const Record *record)
{
  int at = get (tables->by_antenna, get_field (record, VAL_ANT));
  double azimuth_deg, field;
  Antenna *antenna;

  if (at < 0)
    return;
  antenna = g_ptr_array_index (tables->antennas, at);
  if (!dwn_import_run_within (tables->run, &antenna->licence.filed))
    return;
  if (!dwn_field_number (get_field (record, VAL_AZIMUTH), '.', &azimuth_deg)
      || !dwn_field_number (get_field (record, VAL_FIELD), '.', &field)
      || azimuth_deg < 0 || azimuth_deg > 360 || field < 0 || field > 1)
    {
      dwn_import_run_skip (tables->run, dwn_lines_name (lines), dwn_lines_number (lines),
                           antenna->licence.call, DWN_SKIP_FIELD,
                           _("azimuth \"%s\" or relative field \"%s\" is not 0 to 360 and 0 to 1: "
                             "this value is not used"),
                           get_field (record, VAL_AZIMUTH), get_field (record, VAL_FIELD));
      return;
    }
  if (antenna->field == NULL)
    {
      antenna->azimuth_deg = g_array_new (FALSE, FALSE, sizeof (double));
      antenna->field = g_array_new (FALSE, FALSE, sizeof (double));
    }
  if (antenna->field->len >= NODES_MAX)
    return;
  azimuth_deg = fmod (azimuth_deg, 360);
  g_array_append_val (antenna->azimuth_deg, azimuth_deg);
  g_array_append_val (antenna->field, field);
}

static gint
compare_azimuths (gconstpointer a, gconstpointer b, gpointer data)
{
  const double *azimuth_deg = data, one = azimuth_deg[*(const guint *) a],
               other = azimuth_deg[*(const guint *) b];

  return one < other ? -1 : one > other ? 1 : *(const guint *) a < *(const guint *) b ? -1 : 1;
}

/* The rows of a pattern come in any order; the last of one azimuth counts. */
static DwnPattern *
build_pattern (const Antenna *antenna, const char *file)
{
  guint n = antenna->field->len, kept = 0;
  const double *azimuths = (const double *) (gpointer) antenna->azimuth_deg->data;
  const double *fields = (const double *) (gpointer) antenna->field->data;
  g_autofree guint *order = g_new (guint, n);
  g_autofree double *azimuth_deg = g_new (double, n), *field = g_new (double, n);
  g_autofree char *id = g_strdup_printf ("antenna-%s", antenna->licence.antenna != NULL
                                         ? antenna->licence.antenna : antenna->licence.call);

  for (guint i = 0; i < n; i++)
    order[i] = i;
  g_qsort_with_data (order, (gint) n, sizeof (guint), compare_azimuths, (gpointer) azimuths);
  for (guint i = 0; i < n; i++)
    {
      if (kept > 0 && azimuth_deg[kept - 1] == azimuths[order[i]])
        kept--;
      azimuth_deg[kept] = azimuths[order[i]];
      field[kept++] = fields[order[i]];
    }
  return dwn_pattern_new_relative_field (id, kept, azimuth_deg, field,
                                         antenna->licence.rotation_deg, file, NULL);
}

/* What keeps a licence from becoming a station; NULL: nothing. */
static const char *
find_problem (const Antenna *antenna, DwnSkipReason *reason)
{
  const DwnLicence *licence = &antenna->licence;

  *reason = DWN_SKIP_JOIN;
  if (!antenna->has_frequency)
    return _("no row of app_antenna_frequency belongs to its antenna");
  *reason = DWN_SKIP_POWER;
  if (!(licence->erp_kw > 0 && licence->erp_kw <= DWN_STATION_ERP_MAX_KW))
    return _("no ERP over 0 and up to 20,000 kW on file");
  *reason = DWN_SKIP_FIELD;
  return licence->rf == 0 ? _("no channel of 2 to 69 on file") : NULL;
}

/* Checks what the joins brought together, and hands the licence on. */
static void
finish_antenna (Tables *tables, Antenna *antenna, GArray *licences)
{
  DwnLicence *licence = &antenna->licence;
  DwnSkipReason reason;
  const char *problem = find_problem (antenna, &reason);

  g_array_index (tables->facilities, TvFacility, antenna->facility).n_licences++;
  tables->run->newest = MAX (tables->run->newest, licence->date);
  if (problem != NULL)
    {
      dwn_licence_drop (tables->run, licence, reason, problem);
      return;
    }
  licence->old_rf = licence->rf;
  if (antenna->field != NULL)
    {
      licence->pattern = build_pattern (antenna, "app_antenna_field_value");
      licence->directional = TRUE;
    }
  g_array_append_val (licences, *licence);
  licence->pattern = NULL; /* the array has it now */
}

/* Facilities on air that no row of some table leads on from. */
static void
list_unjoined (Tables *tables)
{
  for (guint i = 0; i < tables->facilities->len; i++)
    {
      const TvFacility *facility = &g_array_index (tables->facilities, TvFacility, i);
      const char *table = facility->application == NULL ? "application_facility"
                          : facility->n_locations == 0  ? "app_location"
                                                        : "app_antenna";

      if (facility->n_licences > 0)
        continue;
      dwn_import_run_skip (tables->run, tables->facility_file, facility->line, facility->call,
                           DWN_SKIP_JOIN, _("no row of %s belongs to it"), table);
    }
}

static void
finish_tables (Tables *tables, GArray *licences)
{
  for (guint i = 0; i < tables->antennas->len; i++)
    finish_antenna (tables, g_ptr_array_index (tables->antennas, i), licences);
  list_unjoined (tables);
  dwn_import_run_warn (tables->run, DWN_IMPORT_WARNING_OTHER, tables->n_other_services,
                       _("%u facilities of other services than television, or no longer active"),
                       tables->n_other_services);
  dwn_import_run_warn (tables->run, DWN_IMPORT_WARNING_OTHER, tables->n_off_air,
                       _("%u television facilities that are not licensed"), tables->n_off_air);
}

static TableKind
kind_of_name (const char *name)
{
  g_autofree char *base = g_path_get_basename (name);

  for (guint i = 0; i < N_TABLES; i++)
    {
      g_autofree char *expected = g_strconcat (schemas[i].name, ".dat", NULL);

      if (g_ascii_strcasecmp (base, expected) == 0)
        return (TableKind) i;
    }
  return N_TABLES;
}

/* A table that came out of its zip file may have any name: its columns tell. */
static TableKind
kind_of_columns (const char *header)
{
  for (guint i = 0; i < N_TABLES; i++)
    {
      gboolean all = TRUE;

      for (guint c = 0; c < schemas[i].needed && all; c++)
        all = strstr (header, schemas[i].columns[c]) != NULL;
      if (all)
        return (TableKind) i;
    }
  return N_TABLES;
}

static gboolean
set_place (Tables *tables, TableKind kind, const DwnInput *input, const char *member,
           GError **error)
{
  Place *place = &tables->place[kind];

  if (place->input != NULL)
    {
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT,
                   _("%s: the table %s is in %s already; one of them would be right"),
                   input->path, schemas[kind].name, place->input->path);
      return FALSE;
    }
  place->input = input;
  place->member = g_strdup (member);
  return TRUE;
}

static gboolean
place_zip (Tables *tables, const DwnInput *input, GError **error)
{
  g_auto (GStrv) members = dwn_input_members (input, error);
  guint found = 0;

  if (members == NULL)
    return FALSE;
  for (guint i = 0; members[i] != NULL; i++)
    {
      TableKind kind = kind_of_name (members[i]);

      if (kind == N_TABLES)
        continue;
      found++;
      if (!set_place (tables, kind, input, members[i], error))
        return FALSE;
    }
  if (found == 0)
    dwn_import_run_warn (tables->run, DWN_IMPORT_WARNING_OTHER, 1,
                         _("%s: holds no table that an import needs"), input->path);
  return TRUE;
}

static gboolean
place_table (Tables *tables, const DwnInput *input, GError **error)
{
  g_autoptr (DwnLines) lines = dwn_lines_open (input, NULL, error);
  char *line = NULL;
  gsize length;
  TableKind kind;

  if (lines == NULL)
    return FALSE;
  kind = kind_of_name (input->path);
  if (kind == N_TABLES && dwn_lines_next (lines, &line, &length, NULL))
    kind = kind_of_columns (line);
  if (kind != N_TABLES)
    return set_place (tables, kind, input, NULL, error);
  dwn_import_run_warn (tables->run, DWN_IMPORT_WARNING_OTHER, 1,
                       _("%s: not a table that an import needs"), input->path);
  return TRUE;
}

static gboolean
place_tables (Tables *tables, guint n, const DwnInput *inputs, GError **error)
{
  for (guint i = 0; i < n; i++)
    {
      g_autoptr (GBytes) head = dwn_input_peek (&inputs[i], 4, error);

      if (head == NULL
          || !(dwn_input_is_zip (head) ? place_zip (tables, &inputs[i], error)
                                       : place_table (tables, &inputs[i], error)))
        return FALSE;
    }
  for (guint i = 0; i < N_TABLES; i++)
    if (schemas[i].is_needed && tables->place[i].input == NULL)
      {
        g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY,
                     _("%s: the table %s is missing; give its zip file too"), inputs[0].path,
                     schemas[i].name);
        return FALSE;
      }
  return TRUE;
}

gboolean
dwn_licence_read_tables (DwnImportRun *run, guint n, const DwnInput *inputs, GArray *licences,
                         GError **error)
{
  static const RecordFunc funcs[N_TABLES] = {
    read_facility, read_application, read_version, read_location,
    read_antenna, read_frequency, read_field_value,
  };
  Tables tables;
  gboolean fine;

  tables_init (&tables, run);
  fine = place_tables (&tables, n, inputs, error);
  for (guint i = 0; i < N_TABLES && fine; i++)
    fine = read_table (&tables, (TableKind) i, funcs[i], error);
  if (fine)
    finish_tables (&tables, licences);
  tables_clear (&tables);
  return fine;
}
