#include "core/antenna/pattern-table.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define SEPARATORS ",;"
#define WIDEST_GAP_DEG 90.0
#define RELATIVE_SLACK_DB 0.005
#define EVERYWHERE_LOW_MHZ 30.0
#define EVERYWHERE_HIGH_MHZ 1000.0

typedef enum { UNIT_UNKNOWN, UNIT_DBI, UNIT_RELATIVE } Unit;

typedef struct {
  double azimuth_deg; /* 0 <= a < 360 */
  guint line;
  gsize first;        /* of its gains, in Reader.gains */
} Row;

typedef struct {
  const char *file;
  guint line;
  char *name;
  Unit unit;
  GArray *peak_dbi; /* one, one for each column, or none */
  GArray *mhz;      /* of each column; none where the heading has none */
  GArray *rows;     /* (element-type Row) */
  GArray *gains_db; /* row by row */
  guint n_columns;  /* of gains; 0 until the first row */
  gboolean reaches_360, below_0;
  GPtrArray *warnings;
} Reader;

typedef struct {
  const char *key;
  gboolean (*read) (Reader *self, GPtrArray *fields, GError **error);
} Key;

static gboolean G_GNUC_PRINTF (4, 5)
refuse (const Reader *self, GError **error, DwnAntennaError code, const char *format, ...)
{
  va_list arguments;
  g_autofree char *text = NULL;

  va_start (arguments, format);
  text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, DWN_ANTENNA_ERROR, code, "%s:%u: %s", self->file, self->line, text);
  return FALSE;
}

static void
warn (const Reader *self, const char *text)
{
  if (self->warnings != NULL)
    g_ptr_array_add (self->warnings, g_strdup_printf ("%s: %s", self->file, text));
}

static const char *
field (GPtrArray *fields, guint i)
{
  return g_ptr_array_index (fields, i);
}

/* Numbers from the second field on. */
static gboolean
read_numbers (Reader *self, GPtrArray *fields, GArray *into, GError **error)
{
  g_array_set_size (into, 0);
  if (fields->len - 1 > DWN_ANTENNA_MAX_FREQUENCIES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("more than %d columns"),
                   DWN_ANTENNA_MAX_FREQUENCIES);
  for (guint i = 1; i < fields->len; i++)
    {
      double number;

      if (!dwn_antenna_text_number (field (fields, i), &number))
        return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                       _("“%.40s” is not a number; write it like -12.5"), field (fields, i));
      g_array_append_val (into, number);
    }
  return TRUE;
}

static gboolean
read_name (Reader *self, GPtrArray *fields, GError **error)
{
  GString *name = g_string_new (NULL);

  for (guint i = 1; i < fields->len; i++)
    g_string_append_printf (name, "%s%s", i > 1 ? " " : "", field (fields, i));
  g_free (self->name);
  self->name = g_string_free (name, FALSE);
  return TRUE;
}

static gboolean
read_unit (Reader *self, GPtrArray *fields, GError **error)
{
  const char *unit = fields->len > 1 ? field (fields, 1) : "";

  if (g_ascii_strcasecmp (unit, "dbi") == 0)
    self->unit = UNIT_DBI;
  else if (g_ascii_strcasecmp (unit, "relative") == 0)
    self->unit = UNIT_RELATIVE;
  else
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("gain “%.40s” is not known; write dbi or relative"), unit);
  return TRUE;
}

static gboolean
read_peak (Reader *self, GPtrArray *fields, GError **error)
{
  return read_numbers (self, fields, self->peak_dbi, error);
}

/* "azimuth 473 545", or the heading of our own output. */
static gboolean
read_heading (Reader *self, GPtrArray *fields, GError **error)
{
  if (self->rows->len > 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("the heading must stand before the first row"));
  if (fields->len == 2 && g_ascii_strcasecmp (field (fields, 1), "gain_dbi") == 0)
    {
      self->unit = UNIT_DBI;
      return TRUE;
    }
  return read_numbers (self, fields, self->mhz, error);
}

static const Key keys[] = {
  { "name", read_name },
  { "gain", read_unit },
  { "peak-dbi", read_peak },
  { "azimuth", read_heading },
  { "azimuth-deg", read_heading },
  { "azimuth_deg", read_heading },
};

static gboolean
check_row (Reader *self, GPtrArray *fields, GError **error)
{
  guint announced = self->mhz->len > 0 ? self->mhz->len : self->n_columns;

  if (fields->len < 2)
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("a row has an azimuth and at least one gain"));
  if (announced > 0 && fields->len - 1 != announced)
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("%u gains stand here where the table has %u columns; "
                     "write decimals with a point"), fields->len - 1, announced);
  if (self->rows->len >= DWN_ANTENNA_MAX_ANGLES
      || fields->len - 1 > DWN_ANTENNA_MAX_FREQUENCIES
      || self->gains_db->len > DWN_ANTENNA_MAX_VALUES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("more than %d azimuths or %d columns"),
                   DWN_ANTENNA_MAX_ANGLES, DWN_ANTENNA_MAX_FREQUENCIES);
  return TRUE;
}

static gboolean
read_azimuth (Reader *self, const char *text, double *azimuth_deg, GError **error)
{
  if (!dwn_antenna_text_number (text, azimuth_deg))
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("“%.40s” is neither an azimuth nor one of name, gain, peak-dbi, azimuth"),
                   text);
  if (!(*azimuth_deg >= -180.0 && *azimuth_deg <= 360.0))
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE,
                   _("azimuth %s is outside -180 to 360"), text);
  self->reaches_360 |= *azimuth_deg > 180.0;
  self->below_0 |= *azimuth_deg < 0.0;
  return TRUE;
}

static gboolean
read_row (Reader *self, GPtrArray *fields, GError **error)
{
  Row row = { .line = self->line, .first = self->gains_db->len };

  if (!check_row (self, fields, error)
      || !read_azimuth (self, field (fields, 0), &row.azimuth_deg, error))
    return FALSE;
  for (guint i = 1; i < fields->len; i++)
    {
      double gain_db;

      if (!dwn_antenna_text_number (field (fields, i), &gain_db))
        return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                       _("“%.40s” is not a gain in dB; write it like -12.5"), field (fields, i));
      g_array_append_val (self->gains_db, gain_db);
    }
  if (row.azimuth_deg == 360.0 || row.azimuth_deg < 0.0)
    row.azimuth_deg += row.azimuth_deg < 0.0 ? 360.0 : -360.0;
  self->n_columns = fields->len - 1;
  g_array_append_val (self->rows, row);
  return TRUE;
}

static gboolean
read_line (Reader *self, char *line, GError **error)
{
  g_autoptr (GPtrArray) fields = dwn_antenna_text_fields (line, SEPARATORS);

  if (fields->len == 0 || field (fields, 0)[0] == '#')
    return TRUE;
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if (g_ascii_strcasecmp (field (fields, 0), keys[i].key) == 0)
      return keys[i].read (self, fields, error);
  return read_row (self, fields, error);
}

static int
compare_rows (gconstpointer a, gconstpointer b)
{
  const Row *left = a, *right = b;

  if (left->azimuth_deg != right->azimuth_deg)
    return left->azimuth_deg < right->azimuth_deg ? -1 : 1;
  return (left->line > right->line) - (left->line < right->line);
}

/* The circle is closed twice in tables from 0 to 360 and from -180 to 180; otherwise an azimuth
 * that stands there twice is a mistake. */
static gboolean
drop_closing_row (Reader *self, GError **error)
{
  g_array_sort (self->rows, compare_rows);
  for (guint i = 1; i < self->rows->len; i++)
    {
      const Row *row = &g_array_index (self->rows, Row, i);
      double here_deg = row->azimuth_deg;

      if (here_deg != g_array_index (self->rows, Row, i - 1).azimuth_deg)
        continue;
      if (here_deg != 0.0 && here_deg != 180.0)
        {
          self->line = row->line;
          return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                         _("azimuth %g stands here a second time"), here_deg);
        }
      g_array_remove_index (self->rows, i--);
    }
  return TRUE;
}

/* A table from 0 to 180 means that both sides are alike. */
static void
mirror (Reader *self)
{
  guint n = self->rows->len;

  if (self->reaches_360 || self->below_0 || n < 2
      || g_array_index (self->rows, Row, 0).azimuth_deg != 0.0
      || g_array_index (self->rows, Row, n - 1).azimuth_deg != 180.0)
    return;
  warn (self, _("the table ends at 180°; the other side is taken to be alike"));
  for (guint i = n - 1; i-- > 1;)
    {
      Row row = g_array_index (self->rows, Row, i);

      row.azimuth_deg = 360.0 - row.azimuth_deg;
      g_array_append_val (self->rows, row);
    }
}

static gboolean
check_gaps (Reader *self, GError **error)
{
  for (guint i = 0; i < self->rows->len; i++)
    {
      const Row *row = &g_array_index (self->rows, Row, i);
      gboolean last = i + 1 == self->rows->len;
      double next_deg = g_array_index (self->rows, Row, last ? 0 : i + 1).azimuth_deg
                        + (last ? 360.0 : 0.0);

      self->line = row->line;
      if (next_deg - row->azimuth_deg > WIDEST_GAP_DEG)
        return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                       _("no azimuth stands between %g° and %g°; a row is needed every 90° at "
                         "least"), row->azimuth_deg, last ? next_deg - 360.0 : next_deg);
    }
  return TRUE;
}

static double
largest_db (const Reader *self)
{
  double most_db = -G_MAXDOUBLE;

  for (guint i = 0; i < self->gains_db->len; i++)
    most_db = MAX (most_db, g_array_index (self->gains_db, double, i));
  return most_db;
}

static gboolean
settle_unit (Reader *self, GError **error)
{
  if (self->unit == UNIT_UNKNOWN)
    self->unit = self->peak_dbi->len > 0 || largest_db (self) <= RELATIVE_SLACK_DB ? UNIT_RELATIVE
                                                                                  : UNIT_DBI;
  if (self->unit == UNIT_DBI)
    return TRUE;
  if (self->peak_dbi->len == 1 || self->peak_dbi->len == self->n_columns)
    return TRUE;
  return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                 _("the gains are relative: add a line “peak-dbi 9.5” with the gain at 0 dB, "
                   "once or for each column; or “gain dbi” where they are not"));
}

static gboolean
settle (Reader *self, GError **error)
{
  if (self->rows->len == 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("the file ends without a row of azimuth and gain"));
  if (!settle_unit (self, error) || !drop_closing_row (self, error))
    return FALSE;
  mirror (self);
  return check_gaps (self, error);
}

/* What is added to the gains of @column. */
static double
reference_dbi (const Reader *self, guint column)
{
  if (self->unit == UNIT_DBI)
    return 0.0;
  return g_array_index (self->peak_dbi, double, self->peak_dbi->len == 1 ? 0 : column);
}

/* Columns in the order of their frequencies. A table without frequencies is laid down twice. */
static guint *
columns_by_mhz (const Reader *self, GArray *mhz)
{
  guint n = MAX (self->mhz->len, 2);
  guint *columns = g_new0 (guint, n);

  if (self->mhz->len == 0)
    {
      g_array_append_vals (mhz, (const double[]){ EVERYWHERE_LOW_MHZ, EVERYWHERE_HIGH_MHZ }, 2);
      return columns;
    }
  for (guint i = 0; i < self->mhz->len; i++)
    {
      double here_mhz = g_array_index (self->mhz, double, i);
      guint at = i;

      for (; at > 0 && g_array_index (mhz, double, at - 1) > here_mhz; at--)
        columns[at] = columns[at - 1];
      columns[at] = i;
      g_array_insert_val (mhz, at, here_mhz);
    }
  return columns;
}

static DwnAntenna *
antenna_of (const Reader *self, GError **error)
{
  g_autoptr (GArray) mhz = g_array_new (FALSE, FALSE, sizeof (double));
  g_autofree guint *columns = columns_by_mhz (self, mhz);
  guint n = self->rows->len;
  g_autofree double *azimuth_deg = g_new (double, n);
  g_autofree double *gain_dbi = g_new (double, (gsize) n * mhz->len);
  g_autofree char *id = dwn_antenna_id_of_file (self->file);
  g_autofree char *base = g_path_get_basename (self->file);
  DwnPattern values = { .id = id, .name = self->name != NULL ? self->name : base,
                        .source = base, .price = (double) NAN, .n_mhz = mhz->len,
                        .mhz = (const double *) (gpointer) mhz->data, .n_azimuth = n,
                        .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi };
  g_autoptr (DwnPattern) pattern = NULL;

  for (guint i = 0; i < n; i++)
    {
      const Row *row = &g_array_index (self->rows, Row, i);

      azimuth_deg[i] = row->azimuth_deg;
      for (guint f = 0; f < mhz->len; f++)
        gain_dbi[(gsize) f * n + i]
            = g_array_index (self->gains_db, double, row->first + columns[f])
              + reference_dbi (self, columns[f]);
    }
  pattern = dwn_pattern_new (&values, error);
  if (pattern == NULL)
    {
      g_prefix_error (error, "%s: ", self->file);
      return NULL;
    }
  return dwn_antenna_new (&(DwnAntenna){ .pattern = pattern, .feed_ohm = (double) NAN,
                                         .balun_db = (double) NAN });
}

static gboolean
read_lines (Reader *self, char **lines, GError **error)
{
  for (gsize i = 0; lines[i] != NULL; i++)
    {
      self->line = (guint) i + 1;
      if (!read_line (self, lines[i], error))
        return FALSE;
    }
  return settle (self, error);
}

DwnAntenna *
dwn_pattern_table_parse (GBytes *bytes, const char *file, GPtrArray *warnings, GError **error)
{
  g_auto (GStrv) lines = NULL;
  g_autoptr (GArray) peak_dbi = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) mhz = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) rows = g_array_new (FALSE, FALSE, sizeof (Row));
  g_autoptr (GArray) gains_db = g_array_new (FALSE, FALSE, sizeof (double));
  Reader reader = { .file = file, .warnings = warnings, .peak_dbi = peak_dbi, .mhz = mhz,
                    .rows = rows, .gains_db = gains_db };
  DwnAntenna *antenna = NULL;

  g_return_val_if_fail (bytes != NULL && file != NULL, NULL);

  lines = dwn_antenna_text_lines (bytes, file, error);
  if (lines == NULL)
    return NULL;
  if (read_lines (&reader, lines, error))
    {
      if (mhz->len == 0)
        warn (&reader, _("the table names no frequency; it is taken to hold from 30 to 1000 MHz"));
      antenna = antenna_of (&reader, error);
    }
  g_free (reader.name);
  return antenna;
}
