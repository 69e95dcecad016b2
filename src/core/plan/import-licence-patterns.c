/* The table of measured transmit patterns: relative field every 10 degrees, and more pairs of
 * azimuth and field at the end of the record.
 *
 * Whether the rotation is already applied is not stated in the file. It is not: in the table of
 * 2015, 27 antenna ids occur with more than one rotation, and each has one and the same row of
 * field values (170 pairs of records, none differs). The table's rotation agrees with that of the
 * 2013 query text in 1,156 of 1,166 joined records (nine of the ten others are licences of the
 * old analogue antenna) and with the 2017 table in all 1,343. So the row belongs to the antenna,
 * may be used for any licence with that antenna id, and is turned by the licence's own rotation.
 * The extra pairs are unturned too (150 of 153 lie on the unturned row, 32 on the turned one). */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/plan/csv.h"
#include "core/plan/fields.h"
#include "core/plan/import-private.h"

#define SAME_SITE_M 1000.0
#define N_STEPS 36         /* of 10 degrees */
#define HEADER_WITHIN 20   /* lines */
#define NODES_MAX 360

enum {
  COLUMN_FACILITY,
  COLUMN_COUNTRY,
  COLUMN_CALL,
  COLUMN_CHANNEL,
  COLUMN_LAT,
  COLUMN_LON,
  COLUMN_ANTENNA,
  COLUMN_ROTATION,
  COLUMN_FIRST_STEP, /* the azimuth 0 */
  COLUMN_FIRST_EXTRA,
  N_COLUMNS,
};

static const char *const column_names[N_COLUMNS] = {
  "FacID", "Country", "Call", "Ch", "Lat", "Lon", "AntID", "Rot", "0", "Az",
};

/* One table being applied. */
typedef struct {
  DwnImportRun *run;
  GArray *licences;
  GHashTable *by_antenna;  /* id -> GArray of positions that want a pattern */
  GHashTable *by_facility; /* number -> GArray of positions that want a pattern */
  GHashTable *facilities;  /* all that have a licence */
  int column[N_COLUMNS];
  guint parent_facility, parent_rf; /* of the record that distributed sites follow */
  const char *file;
  guint n_unmatched, n_foreign;
} Table;

/* One record's fields. */
typedef struct {
  char *const *fields;
  guint n;
  const int *column;
  guint line;
} Record;

/* Azimuths and relative fields of one antenna, rising. */
typedef struct {
  guint n;
  double azimuth_deg[NODES_MAX], field[NODES_MAX];
} Nodes;

static void
add_position (GHashTable *index, gpointer key, guint position)
{
  GArray *positions = g_hash_table_lookup (index, key);

  if (positions == NULL)
    {
      positions = g_array_new (FALSE, FALSE, sizeof (guint));
      g_hash_table_insert (index, key, positions);
    }
  g_array_append_val (positions, position);
}

static GHashTable *
new_index (GHashFunc hash, GEqualFunc equal)
{
  return g_hash_table_new_full (hash, equal, NULL, (GDestroyNotify) g_array_unref);
}

/* Only what is directional, will become a station and has no pattern yet is looked for. */
static void
index_licences (Table *table)
{
  for (guint i = 0; i < table->licences->len; i++)
    {
      const DwnLicence *licence = &g_array_index (table->licences, DwnLicence, i);

      g_hash_table_add (table->facilities, GUINT_TO_POINTER (licence->facility));
      if (licence->dropped || !licence->directional || licence->pattern != NULL
          || !dwn_import_run_within (table->run, &licence->at))
        continue;
      if (licence->antenna != NULL)
        add_position (table->by_antenna, (gpointer) licence->antenna, i);
      add_position (table->by_facility, GUINT_TO_POINTER (licence->facility), i);
    }
}

static const char *
get_field (const Record *record, guint which)
{
  guint at = (guint) record->column[which];

  return at < record->n ? record->fields[at] : "";
}

/* The header stands after some lines about the file. */
static gboolean
find_header (Table *table, DwnCsv *csv, GError **error)
{
  g_autoptr (GError) problem = NULL;
  char **fields;
  guint n;

  while (dwn_csv_next (csv, &fields, &n, &problem) && dwn_csv_line (csv) <= HEADER_WITHIN)
    {
      if (dwn_csv_column (fields, n, 0, column_names[COLUMN_FACILITY]) != 0)
        continue;
      for (guint i = 0; i < N_COLUMNS; i++)
        {
          guint from = i == COLUMN_FIRST_EXTRA ? (guint) table->column[COLUMN_FIRST_STEP] : 0;

          table->column[i] = dwn_csv_column (fields, n, from, column_names[i]);
          if (table->column[i] >= 0)
            continue;
          g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN,
                       _("%s:%u: the column %s is missing"), table->file, dwn_csv_line (csv),
                       column_names[i]);
          return FALSE;
        }
      return TRUE;
    }
  if (problem != NULL)
    g_propagate_error (error, g_steal_pointer (&problem));
  else
    g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN,
                 _("%s: no header that begins with FacID in the first %d lines"), table->file,
                 HEADER_WITHIN);
  return FALSE;
}

/* Puts a node in its place; one at the same azimuth is replaced. */
static void
put_node (Nodes *nodes, double azimuth_deg, double field)
{
  guint at = nodes->n;

  while (at > 0 && nodes->azimuth_deg[at - 1] > azimuth_deg)
    at--;
  if (at > 0 && nodes->azimuth_deg[at - 1] == azimuth_deg)
    {
      nodes->field[at - 1] = field;
      return;
    }
  memmove (&nodes->azimuth_deg[at + 1], &nodes->azimuth_deg[at], (nodes->n - at) * sizeof (double));
  memmove (&nodes->field[at + 1], &nodes->field[at], (nodes->n - at) * sizeof (double));
  nodes->azimuth_deg[at] = azimuth_deg;
  nodes->field[at] = field;
  nodes->n++;
}

static gboolean
read_relative_field (const char *text, double *field)
{
  return dwn_field_number (text, '.', field) && *field >= 0 && *field <= 1;
}

static gboolean
read_extras (const Record *record, Nodes *nodes)
{
  for (guint at = (guint) record->column[COLUMN_FIRST_EXTRA]; at + 1 < record->n; at += 2)
    {
      double azimuth_deg, field;

      if (*record->fields[at] == '\0' && *record->fields[at + 1] == '\0')
        continue;
      if (!dwn_field_number (record->fields[at], '.', &azimuth_deg) || azimuth_deg < 0
          || azimuth_deg >= 360 || !read_relative_field (record->fields[at + 1], &field)
          || nodes->n >= NODES_MAX)
        return FALSE;
      put_node (nodes, azimuth_deg, field);
    }
  return TRUE;
}

/* FALSE where a value is wrong; no nodes where the record has no pattern. */
static gboolean
read_nodes (const Record *record, Nodes *nodes)
{
  guint first = (guint) record->column[COLUMN_FIRST_STEP];

  nodes->n = 0;
  if (record->n < first + N_STEPS || *record->fields[first] == '\0')
    return TRUE;
  for (guint i = 0; i < N_STEPS; i++)
    {
      double field;

      if (!read_relative_field (record->fields[first + i], &field))
        return FALSE;
      put_node (nodes, 10.0 * i, field);
    }
  return read_extras (record, nodes);
}

static gboolean
attach (Table *table, const Record *record, const Nodes *nodes, DwnLicence *licence,
        double rotation_deg)
{
  g_autofree char *id = g_strdup_printf ("antenna-%s", *get_field (record, COLUMN_ANTENNA) != '\0'
                                         ? get_field (record, COLUMN_ANTENNA) : licence->call);
  g_autofree char *source = g_strdup_printf ("%s:%u", table->file, record->line);

  if (licence->pattern == NULL)
    licence->pattern = dwn_pattern_new_relative_field (id, nodes->n, nodes->azimuth_deg,
                                                       nodes->field, rotation_deg, source, NULL);
  return licence->pattern != NULL;
}

/* Decimal degrees, west positive. NaN where there is none. */
static DwnLatLon
read_place (const Record *record)
{
  DwnLatLon place;

  if (!dwn_field_number (get_field (record, COLUMN_LAT), '.', &place.lat_deg)
      || !dwn_field_number (get_field (record, COLUMN_LON), '.', &place.lon_deg)
      || fabs (place.lat_deg) > 90 || fabs (place.lon_deg) > 180)
    return (DwnLatLon) { (double) NAN, (double) NAN };
  place.lon_deg = -place.lon_deg;
  return place;
}

static void
attach_by_antenna (Table *table, const Record *record, const Nodes *nodes)
{
  const GArray *positions = g_hash_table_lookup (table->by_antenna,
                                                 get_field (record, COLUMN_ANTENNA));

  for (guint i = 0; positions != NULL && i < positions->len; i++)
    {
      DwnLicence *licence = &g_array_index (table->licences, DwnLicence,
                                            g_array_index (positions, guint, i));
      attach (table, record, nodes, licence, licence->rotation_deg);
    }
}

/* Where one of the two does not say which antenna it is, the place decides. */
static void
attach_by_place (Table *table, const Record *record, const Nodes *nodes)
{
  const GArray *positions = g_hash_table_lookup (table->by_facility,
                                                 GUINT_TO_POINTER (table->parent_facility));
  gboolean has_antenna = *get_field (record, COLUMN_ANTENNA) != '\0';
  DwnLatLon place = read_place (record);
  double rotation_deg, distance_m;

  if (!dwn_field_number (get_field (record, COLUMN_ROTATION), '.', &rotation_deg))
    rotation_deg = 0;
  for (guint i = 0; positions != NULL && i < positions->len; i++)
    {
      DwnLicence *licence = &g_array_index (table->licences, DwnLicence,
                                            g_array_index (positions, guint, i));

      if (licence->old_rf == table->parent_rf && !(has_antenna && licence->antenna != NULL)
          && dwn_geodesic_inverse (&licence->at, &place, &distance_m, NULL, NULL, NULL)
          && distance_m <= SAME_SITE_M)
        attach (table, record, nodes, licence, rotation_deg);
    }
}

/* Remembers what the sites of a distributed network, which follow it, do not repeat. Returns
 * FALSE for a record of another country, and for one that only goes on about populations. */
static gboolean
follow (Table *table, const Record *record)
{
  double facility;
  const char *country = get_field (record, COLUMN_COUNTRY);

  if (*get_field (record, COLUMN_LAT) == '\0'
      || !dwn_field_number (get_field (record, COLUMN_FACILITY), '.', &facility) || facility < 1
      || facility > 4e9)
    return FALSE;
  if (*country == '\0')
    return table->parent_facility == (guint) facility;
  table->parent_facility = 0;
  if (strcmp (country, "US") != 0)
    {
      table->n_foreign++;
      return FALSE;
    }
  table->parent_facility = (guint) facility;
  table->parent_rf = dwn_licence_rf (get_field (record, COLUMN_CHANNEL));
  if (!g_hash_table_contains (table->facilities, GUINT_TO_POINTER (table->parent_facility)))
    table->n_unmatched++;
  return TRUE;
}

static void
read_record (Table *table, const Record *record)
{
  Nodes nodes;

  if (!follow (table, record))
    return;
  if (!read_nodes (record, &nodes))
    {
      dwn_import_run_skip (table->run, table->file, record->line,
                           get_field (record, COLUMN_CALL), DWN_SKIP_FIELD,
                           _("a relative field is not 0 to 1, or its azimuth not 0 to 360: the "
                             "pattern is not used"));
      return;
    }
  if (nodes.n == 0)
    return;
  if (*get_field (record, COLUMN_ANTENNA) != '\0')
    attach_by_antenna (table, record, &nodes);
  attach_by_place (table, record, &nodes);
}

static gboolean
read_records (Table *table, DwnCsv *csv, GError **error)
{
  g_autoptr (GError) problem = NULL;
  char **fields;
  guint n;

  if (!find_header (table, csv, error))
    return FALSE;
  while (dwn_csv_next (csv, &fields, &n, &problem))
    {
      Record record = { fields, n, table->column, dwn_csv_line (csv) };

      if (!dwn_import_run_tick (table->run, dwn_csv_lines (csv), error))
        return FALSE;
      read_record (table, &record);
    }
  if (problem == NULL)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

gboolean
dwn_licence_apply_patterns (DwnImportRun *run, const DwnInput *input, GArray *licences,
                            GError **error)
{
  DwnLines *lines = dwn_lines_open (input, NULL, error);
  if (lines == NULL)
    return FALSE;

  g_autoptr (DwnCsv) csv = dwn_csv_new_take (lines, ',');
  g_autoptr (GHashTable) by_antenna = new_index (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) by_facility = new_index (g_direct_hash, g_direct_equal);
  g_autoptr (GHashTable) facilities = g_hash_table_new (g_direct_hash, g_direct_equal);
  Table table = { .run = run, .licences = licences, .by_antenna = by_antenna,
                  .by_facility = by_facility, .facilities = facilities,
                  .file = dwn_lines_name (lines) };

  index_licences (&table);
  if (!read_records (&table, csv, error))
    return FALSE;
  dwn_import_run_file_done (run, lines);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_UNMATCHED, table.n_unmatched,
                       _("%u records of %s belong to no licence here"), table.n_unmatched,
                       table.file);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_UNMATCHED, table.n_foreign,
                       _("%u records of %s are of other countries and not used"),
                       table.n_foreign, table.file);
  return TRUE;
}
