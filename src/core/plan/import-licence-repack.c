/* The regulator's table of channels after the repacking of 2017: it replaces channel, power,
 * heights and place of the licence with its facility id and old channel. */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/plan/csv.h"
#include "core/plan/fields.h"
#include "core/plan/import-private.h"

#define SAME_SITE_M 1000.0

enum {
  COLUMN_FACILITY,
  COLUMN_SITE,
  COLUMN_CALL,
  COLUMN_CHANNEL,
  COLUMN_OLD_CHANNEL,
  COLUMN_LAT,
  COLUMN_LON,
  COLUMN_AMSL,
  COLUMN_HAAT,
  COLUMN_ERP,
  COLUMN_DIRECTIONAL,
  COLUMN_ANTENNA,
  COLUMN_ROTATION,
  N_COLUMNS,
};

static const char *const column_names[N_COLUMNS] = {
  "FacID", "Site", "Call", "Ch", "PC", "Lat", "Lon", "RCAMSL", "HAAT", "ERP", "DA", "AntID", "Az",
};

typedef struct {
  guint line;
  guint facility, rf, old_rf;
  gboolean is_site; /* one of several transmitters of a distributed network */
  char call[DWN_LICENCE_CALL_MAX + 1];
  DwnLatLon at;
  double erp_kw, haat_m, amsl_m, rotation_deg;
  gboolean directional;
  const char *antenna;
} Row;

/* One table being applied. */
typedef struct {
  DwnImportRun *run;
  GArray *licences;
  GHashTable *by_facility; /* number -> GArray of guint, positions in @licences */
  GArray *sites;           /* Row, those of distributed networks, kept for the end */
  const char *file;
  guint n_unmatched, n_analogue;
} Table;

static GHashTable *
index_facilities (const GArray *licences)
{
  GHashTable *index = g_hash_table_new_full (g_direct_hash, g_direct_equal, NULL,
                                             (GDestroyNotify) g_array_unref);

  for (guint i = 0; i < licences->len; i++)
    {
      gpointer key = GUINT_TO_POINTER (g_array_index (licences, DwnLicence, i).facility);
      GArray *positions = g_hash_table_lookup (index, key);

      if (positions == NULL)
        {
          positions = g_array_new (FALSE, FALSE, sizeof (guint));
          g_hash_table_insert (index, key, positions);
        }
      g_array_append_val (positions, i);
    }
  return index;
}

static gboolean
read_header (DwnCsv *csv, int column[N_COLUMNS], GError **error)
{
  char **fields;
  guint n;

  if (!dwn_csv_next (csv, &fields, &n, error))
    return FALSE;
  for (guint i = 0; i < N_COLUMNS; i++)
    {
      column[i] = dwn_csv_column (fields, n, 0, column_names[i]);
      if (column[i] >= 0)
        continue;
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN,
                   _("%s:%u: the column %s is missing"), dwn_lines_name (dwn_csv_lines (csv)),
                   dwn_csv_line (csv), column_names[i]);
      return FALSE;
    }
  return TRUE;
}

/* One record's fields by name. */
typedef struct {
  char *const *fields;
  guint n;
  const int *column;
} Record;

static const char *
get_field (const Record *record, guint which)
{
  guint at = (guint) record->column[which];

  return at < record->n ? record->fields[at] : "";
}

/* A figure that may be missing: NaN then. FALSE where it is there and wrong. */
static gboolean
read_optional (const Record *record, guint which, double least, double most, double *value)
{
  const char *text = get_field (record, which);

  *value = (double) NAN;
  if (*text == '\0')
    return TRUE;
  return dwn_field_number (text, '.', value) && *value >= least && *value <= most;
}

static gboolean
read_angle (const Record *record, guint which, double most, double *degrees)
{
  return dwn_field_packed_degrees (get_field (record, which), degrees) && fabs (*degrees) <= most;
}

static gboolean
read_facility (const Record *record, Row *row)
{
  double facility;

  if (!dwn_field_number (get_field (record, COLUMN_FACILITY), '.', &facility) || facility < 1
      || facility > 4e9)
    return FALSE;
  row->facility = (guint) facility;
  return TRUE;
}

/* Returns the column that is wrong, or N_COLUMNS. */
static guint
read_row (DwnImportRun *run, const Record *record, Row *row)
{
  const char *antenna = get_field (record, COLUMN_ANTENNA);

  g_strlcpy (row->call, get_field (record, COLUMN_CALL), sizeof row->call);
  row->is_site = *get_field (record, COLUMN_SITE) != '\0';
  row->directional = strcmp (get_field (record, COLUMN_DIRECTIONAL), "DA") == 0;
  row->antenna = *antenna != '\0' ? dwn_import_run_string (run, antenna) : NULL;
  row->rf = dwn_licence_rf (get_field (record, COLUMN_CHANNEL));
  row->old_rf = dwn_licence_rf (get_field (record, COLUMN_OLD_CHANNEL));
  if (!read_facility (record, row))
    return COLUMN_FACILITY;
  if (row->rf == 0 || row->old_rf == 0)
    return row->rf == 0 ? COLUMN_CHANNEL : COLUMN_OLD_CHANNEL;
  if (!read_angle (record, COLUMN_LAT, 90, &row->at.lat_deg))
    return COLUMN_LAT;
  if (!read_angle (record, COLUMN_LON, 180, &row->at.lon_deg))
    return COLUMN_LON;
  if (!read_optional (record, COLUMN_ERP, 0, DWN_STATION_ERP_MAX_KW, &row->erp_kw))
    return COLUMN_ERP;
  if (!read_optional (record, COLUMN_HAAT, -3000, 5000, &row->haat_m))
    return COLUMN_HAAT;
  if (!read_optional (record, COLUMN_AMSL, -500, 9000, &row->amsl_m))
    return COLUMN_AMSL;
  if (!read_optional (record, COLUMN_ROTATION, -360, 360, &row->rotation_deg))
    return COLUMN_ROTATION;
  return N_COLUMNS;
}

/* The table counts west as positive. East of Greenwich its degrees are rounded down and minutes
 * and seconds count up from there: -1451715 is -145 + 17' 15", 144.7125 degrees east (Guam; the
 * pattern table has -144.712403 for the same mast). */
static double
east_of_table (double west_deg)
{
  double whole = floor (-west_deg);

  return west_deg >= 0 ? -west_deg : whole - (-west_deg - whole);
}

/* And it writes 0 for heights that are not on file. */
static void
normalise_row (Row *row)
{
  row->at.lon_deg = east_of_table (row->at.lon_deg);
  if (row->haat_m == 0)
    row->haat_m = (double) NAN;
  if (isnan (row->rotation_deg))
    row->rotation_deg = 0;
}

/* A licence whose radiation centre stays at its height keeps what the table does not say. */
static void
apply_row (const Row *row, DwnLicence *licence)
{
  gboolean moved = !(fabs (row->amsl_m - licence->amsl_m) <= 1);

  licence->rf = row->rf;
  licence->at = row->at;
  if (!isnan (row->haat_m) || moved)
    licence->haat_m = row->haat_m;
  if (moved)
    licence->agl_m = (double) NAN;
  if (!isnan (row->amsl_m))
    licence->amsl_m = row->amsl_m;
  if (!isnan (row->erp_kw))
    licence->erp_kw = row->erp_kw;
  licence->directional = row->directional;
  licence->antenna = row->antenna;
  licence->rotation_deg = row->rotation_deg;
}

/* Lower is better: the main service, then distributed, then class A, then others; nearer first. */
static double
distance_rank (const DwnLicence *licence, const Row *row)
{
  static const double rank[] = {
    [DWN_LICENCE_MAIN] = 0, [DWN_LICENCE_DISTRIBUTED] = 1,
    [DWN_LICENCE_CLASS_A] = 2, [DWN_LICENCE_LOW_POWER] = 3,
    [DWN_LICENCE_AUXILIARY] = 4, [DWN_LICENCE_ANALOGUE] = 4,
  };
  double distance_m;

  if (!dwn_geodesic_inverse (&licence->at, &row->at, &distance_m, NULL, NULL, NULL))
    distance_m = 1e8;
  return rank[licence->service] * 1e9 + distance_m;
}

static void
match_row (Table *table, const Row *row)
{
  const GArray *positions = g_hash_table_lookup (table->by_facility,
                                                 GUINT_TO_POINTER (row->facility));
  DwnLicence *best = NULL;
  gboolean analogue = FALSE;

  for (guint i = 0; positions != NULL && i < positions->len; i++)
    {
      DwnLicence *licence = &g_array_index (table->licences, DwnLicence,
                                            g_array_index (positions, guint, i));

      if (licence->old_rf != row->old_rf)
        continue;
      if (licence->dropped)
        analogue |= licence->service == DWN_LICENCE_ANALOGUE;
      else if (best == NULL || distance_rank (licence, row) < distance_rank (best, row))
        best = licence;
    }
  if (best != NULL)
    apply_row (row, best);
  else if (analogue)
    table->n_analogue++;
  else
    table->n_unmatched++;
}

static gboolean
belongs (const DwnLicence *licence, const Row *row)
{
  return !licence->dropped && licence->facility == row->facility
         && licence->old_rf == row->old_rf;
}

/* The distributed licence at the row's site; of two there, the one of its height. */
static DwnLicence *
find_at_site (Table *table, const Row *row, const GHashTable *used)
{
  const GArray *positions = g_hash_table_lookup (table->by_facility,
                                                 GUINT_TO_POINTER (row->facility));
  DwnLicence *best = NULL;
  double least_m = (double) INFINITY;

  for (guint i = 0; positions != NULL && i < positions->len; i++)
    {
      guint position = g_array_index (positions, guint, i);
      DwnLicence *licence = &g_array_index (table->licences, DwnLicence, position);
      double distance_m, off_m = fabs (licence->amsl_m - row->amsl_m);

      if (!belongs (licence, row) || licence->service != DWN_LICENCE_DISTRIBUTED
          || g_hash_table_contains ((GHashTable *) used, GUINT_TO_POINTER (position))
          || !dwn_geodesic_inverse (&licence->at, &row->at, &distance_m, NULL, NULL, NULL)
          || distance_m > SAME_SITE_M)
        continue;
      if (isnan (off_m))
        off_m = 1e6;
      if (off_m < least_m)
        {
          least_m = off_m;
          best = licence;
        }
    }
  return best;
}

/* A transmitter that the licences do not have yet; what it shares with them is taken over. */
static DwnLicence
new_site (const Table *table, const Row *row, const DwnLicence *relative)
{
  DwnLicence licence;

  dwn_licence_init (&licence);
  licence.file = table->file;
  licence.line = row->line;
  licence.facility = row->facility;
  licence.service = DWN_LICENCE_DISTRIBUTED;
  licence.code = "DD";
  licence.old_rf = row->old_rf;
  licence.filed = row->at;
  licence.date = relative->date;
  licence.on_screen = relative->on_screen;
  licence.polarisation = relative->polarisation;
  g_strlcpy (licence.call, *row->call != '\0' ? row->call : relative->call, sizeof licence.call);
  apply_row (row, &licence);
  return licence;
}

/* The licences of the row's facility and old channel that no row of its sites took: the table
 * knows the whole network. */
static void
drop_unused (Table *table, const Row *row, const GHashTable *used)
{
  const GArray *positions = g_hash_table_lookup (table->by_facility,
                                                 GUINT_TO_POINTER (row->facility));

  for (guint i = 0; i < positions->len; i++)
    {
      guint position = g_array_index (positions, guint, i);
      DwnLicence *licence = &g_array_index (table->licences, DwnLicence, position);

      if (!belongs (licence, row) || licence->service > DWN_LICENCE_DISTRIBUTED
          || g_hash_table_contains ((GHashTable *) used, GUINT_TO_POINTER (position)))
        continue;
      g_autofree char *text = g_strdup_printf (
        _("superseded by the distributed transmitters of %s:%u"), table->file, row->line);
      dwn_licence_drop (table->run, licence, DWN_SKIP_SUPERSEDED, text);
    }
}

/* Rows @from to @to are the sites of one facility. */
static void
match_sites (Table *table, guint from, guint to)
{
  const Row *first = &g_array_index (table->sites, Row, from);
  const GArray *positions = g_hash_table_lookup (table->by_facility,
                                                 GUINT_TO_POINTER (first->facility));
  g_autoptr (GHashTable) used = g_hash_table_new (g_direct_hash, g_direct_equal);
  g_autofree DwnLicence *relative = NULL;

  for (guint i = 0; positions != NULL && i < positions->len && relative == NULL; i++)
    {
      const DwnLicence *licence = &g_array_index (table->licences, DwnLicence,
                                                  g_array_index (positions, guint, i));
      if (belongs (licence, first))
        relative = g_memdup2 (licence, sizeof *licence);
    }
  if (relative == NULL)
    {
      table->n_unmatched += to - from;
      return;
    }
  for (guint i = from; i < to; i++)
    {
      const Row *row = &g_array_index (table->sites, Row, i);
      DwnLicence *licence = find_at_site (table, row, used);

      if (licence != NULL)
        {
          apply_row (row, licence);
          g_hash_table_add (used, GUINT_TO_POINTER (
            (guint) (licence - (DwnLicence *) (gpointer) table->licences->data)));
          continue;
        }
      DwnLicence added = new_site (table, row, relative);
      g_array_append_val (table->licences, added);
    }
  drop_unused (table, first, used);
}

static gint
compare_sites (gconstpointer a, gconstpointer b)
{
  const Row *one = a, *other = b;

  if (one->facility != other->facility)
    return one->facility < other->facility ? -1 : 1;
  if (one->old_rf != other->old_rf)
    return one->old_rf < other->old_rf ? -1 : 1;
  return one->line < other->line ? -1 : 1;
}

static void
match_all_sites (Table *table)
{
  g_array_sort (table->sites, compare_sites);
  for (guint from = 0, to; from < table->sites->len; from = to)
    {
      const Row *first = &g_array_index (table->sites, Row, from);

      for (to = from + 1; to < table->sites->len; to++)
        {
          const Row *row = &g_array_index (table->sites, Row, to);

          if (row->facility != first->facility || row->old_rf != first->old_rf)
            break;
        }
      match_sites (table, from, to);
    }
}

static gboolean
read_rows (Table *table, DwnCsv *csv, GError **error)
{
  g_autoptr (GError) problem = NULL;
  int column[N_COLUMNS];
  char **fields;
  guint n;

  if (!read_header (csv, column, error))
    return FALSE;
  while (dwn_csv_next (csv, &fields, &n, &problem))
    {
      const Record record = { fields, n, column };
      Row row = { .line = dwn_csv_line (csv) };
      guint wrong = read_row (table->run, &record, &row);

      normalise_row (&row);
      if (!dwn_import_run_tick (table->run, dwn_csv_lines (csv), error))
        return FALSE;
      if (wrong < N_COLUMNS)
        dwn_import_run_skip (table->run, table->file, row.line, row.call, DWN_SKIP_FIELD,
                             _("%s \"%s\" is missing or wrong"), column_names[wrong],
                             get_field (&record, wrong));
      else if (row.is_site)
        g_array_append_val (table->sites, row);
      else
        match_row (table, &row);
    }
  if (problem == NULL)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

gboolean
dwn_licence_apply_repack (DwnImportRun *run, const DwnInput *input, GArray *licences,
                          GError **error)
{
  DwnLines *lines = dwn_lines_open (input, NULL, error);
  if (lines == NULL)
    return FALSE;

  g_autoptr (DwnCsv) csv = dwn_csv_new_take (lines, ',');
  g_autoptr (GHashTable) by_facility = index_facilities (licences);
  g_autoptr (GArray) sites = g_array_new (FALSE, FALSE, sizeof (Row));
  Table table = { .run = run, .licences = licences, .by_facility = by_facility, .sites = sites,
                  .file = dwn_lines_name (lines) };

  if (!read_rows (&table, csv, error))
    return FALSE;
  match_all_sites (&table);
  dwn_import_run_file_done (run, lines);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_UNMATCHED, table.n_unmatched,
                       _("%u rows of %s belong to no licence here"), table.n_unmatched,
                       table.file);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_UNMATCHED, table.n_analogue,
                       _("%u rows of %s belong to licences that are listed as analogue here"),
                       table.n_analogue, table.file);
  return TRUE;
}
