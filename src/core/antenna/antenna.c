#include "core/antenna/antenna.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define MAX_ID_LENGTH 64
#define ID_CHARACTERS "abcdefghijklmnopqrstuvwxyz0123456789-._"

typedef struct {
  DwnAntenna values; /* first, so that the public pointer is also ours */
  gatomicrefcount refs;
} OwnedAntenna;

/* What has been read so far. The frequency that is being read is the last of @mhz. */
typedef struct {
  const char *file;
  guint line;
  char *id, *name, *source;
  double feed_ohm, balun_db, price;
  gboolean mirrored;
  GArray *azimuth_deg, *elevation_deg;
  GArray *mhz, *resistance_ohm, *reactance_ohm, *mismatch_db;
  GArray *gain_dbi, *elevation_db;
} Reader;

typedef struct {
  const char *key;
  gboolean of_frequency; /* stands below a line `mhz` */
  gboolean (*read) (Reader *self, char *value, GError **error);
} Key;

G_DEFINE_BOXED_TYPE (DwnAntenna, dwn_antenna, dwn_antenna_ref, dwn_antenna_unref)

static double *
copied_or_unknown (const double *values, gsize n)
{
  double *copy;

  if (values != NULL)
    return g_memdup2 (values, n * sizeof *values);
  copy = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    copy[i] = (double) NAN;
  return copy;
}

DwnAntenna *
dwn_antenna_new (const DwnAntenna *values)
{
  OwnedAntenna *self;
  gsize n;

  g_return_val_if_fail (values != NULL && values->pattern != NULL, NULL);

  n = values->pattern->n_mhz;
  self = g_new0 (OwnedAntenna, 1);
  g_atomic_ref_count_init (&self->refs);
  self->values = *values;
  self->values.pattern = dwn_pattern_ref (values->pattern);
  self->values.resistance_ohm = copied_or_unknown (values->resistance_ohm, n);
  self->values.reactance_ohm = copied_or_unknown (values->reactance_ohm, n);
  return &self->values;
}

DwnAntenna *
dwn_antenna_ref (const DwnAntenna *antenna)
{
  g_return_val_if_fail (antenna != NULL, NULL);

  g_atomic_ref_count_inc (&((OwnedAntenna *) antenna)->refs);
  return (DwnAntenna *) antenna;
}

void
dwn_antenna_unref (DwnAntenna *antenna)
{
  g_return_if_fail (antenna != NULL);

  if (!g_atomic_ref_count_dec (&((OwnedAntenna *) antenna)->refs))
    return;
  dwn_pattern_unref ((DwnPattern *) antenna->pattern);
  g_free ((double *) antenna->resistance_ohm);
  g_free ((double *) antenna->reactance_ohm);
  g_free (antenna);
}

double
dwn_mismatch_loss_db (double resistance_ohm, double reactance_ohm, double line_ohm)
{
  double sum_ohm = resistance_ohm + line_ohm;

  if (!(resistance_ohm > 0.0 && line_ohm > 0.0))
    return (double) NAN;
  /* 1 − |Γ|² = 4 R Z0 / |Z + Z0|². */
  return -10.0 * log10 (4.0 * resistance_ohm * line_ohm
                        / (sum_ohm * sum_ohm + reactance_ohm * reactance_ohm));
}

gboolean
dwn_antenna_id_is_valid (const char *id)
{
  gsize length;

  g_return_val_if_fail (id != NULL, FALSE);

  length = strlen (id);
  return length > 0 && length <= MAX_ID_LENGTH && id[0] != '.'
         && strspn (id, ID_CHARACTERS) == length;
}

char *
dwn_antenna_id_of_file (const char *path)
{
  g_autofree char *base = NULL;
  char *id, *dot;

  g_return_val_if_fail (path != NULL, NULL);

  base = g_path_get_basename (path);
  dot = strrchr (base, '.');
  if (dot != NULL && dot != base)
    *dot = '\0';
  id = g_strcanon (g_ascii_strdown (base, MAX_ID_LENGTH), ID_CHARACTERS, '-');
  if (id[0] == '.')
    id[0] = '-';
  return id;
}

/* Reading */

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

static gboolean
read_number (Reader *self, const char *text, double *value, GError **error)
{
  if (dwn_antenna_text_number (text, value))
    return TRUE;
  return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                 _("“%.40s” is not a number; write it like -12.5"), text);
}

/* Appends the numbers of @value to @into; @wanted is how many there must be, 0 for any. */
static gboolean
read_numbers (Reader *self, char *value, GArray *into, guint wanted, GError **error)
{
  g_autoptr (GPtrArray) fields = dwn_antenna_text_fields (value, "");

  if (fields->len == 0 || fields->len > DWN_ANTENNA_MAX_ANGLES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE,
                   _("%u numbers stand here; a row has 1 to %d"), fields->len,
                   DWN_ANTENNA_MAX_ANGLES);
  if (wanted > 0 && fields->len != wanted)
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("%u numbers stand here where the file announces %u"), fields->len, wanted);
  for (guint i = 0; i < fields->len; i++)
    {
      double number;

      if (!read_number (self, g_ptr_array_index (fields, i), &number, error))
        return FALSE;
      g_array_append_val (into, number);
    }
  return TRUE;
}

static gboolean
read_id (Reader *self, char *value, GError **error)
{
  if (!dwn_antenna_id_is_valid (value))
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("“%.40s” is not an id; use up to 64 of a-z 0-9 - . _"), value);
  g_free (self->id);
  self->id = g_strdup (value);
  return TRUE;
}

static gboolean
read_name (Reader *self, char *value, GError **error)
{
  g_free (self->name);
  self->name = g_strdup (value);
  return TRUE;
}

static gboolean
read_source (Reader *self, char *value, GError **error)
{
  g_free (self->source);
  self->source = g_strdup (value);
  return TRUE;
}

static gboolean
read_not_negative (Reader *self, const char *value, double most, double *into, GError **error)
{
  if (!read_number (self, value, into, error))
    return FALSE;
  if (*into >= 0.0 && *into <= most)
    return TRUE;
  return refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("%s is outside 0 to %g"), value, most);
}

static gboolean
read_feed (Reader *self, char *value, GError **error)
{
  if (!read_not_negative (self, value, 10000.0, &self->feed_ohm, error))
    return FALSE;
  return self->feed_ohm > 0.0
         || refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("a feed of 0 Ω cannot be"));
}

static gboolean
read_balun (Reader *self, char *value, GError **error)
{
  return read_not_negative (self, value, 100.0, &self->balun_db, error);
}

static gboolean
read_price (Reader *self, char *value, GError **error)
{
  return read_not_negative (self, value, 1e9, &self->price, error);
}

static gboolean
read_symmetry (Reader *self, char *value, GError **error)
{
  self->mirrored = g_str_equal (value, "left-right");
  return self->mirrored
         || refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                    _("symmetry “%.40s” is not known; only left-right is"), value);
}

static gboolean
read_azimuths (Reader *self, char *value, GError **error)
{
  g_array_set_size (self->azimuth_deg, 0);
  return read_numbers (self, value, self->azimuth_deg, 0, error);
}

static gboolean
read_elevations (Reader *self, char *value, GError **error)
{
  g_array_set_size (self->elevation_deg, 0);
  return read_numbers (self, value, self->elevation_deg, 0, error);
}

/* Every frequency read so far has its rows. */
static gboolean
check_rows (const Reader *self, GError **error)
{
  gsize n = self->mhz->len;

  if (self->gain_dbi->len != n * self->azimuth_deg->len)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("the frequency above has no row gain-dbi"));
  if (self->elevation_db->len != n * self->elevation_deg->len)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("the frequency above has no row elevation-db"));
  return TRUE;
}

static gboolean
read_mhz (Reader *self, char *value, GError **error)
{
  double mhz, unknown = (double) NAN;

  if (self->azimuth_deg->len == 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("a line azimuth-deg must stand before the first frequency"));
  if (!check_rows (self, error) || !read_number (self, value, &mhz, error))
    return FALSE;
  if (self->mhz->len >= DWN_ANTENNA_MAX_FREQUENCIES
      || (gsize) (self->mhz->len + 1) * (self->azimuth_deg->len + self->elevation_deg->len)
             > DWN_ANTENNA_MAX_VALUES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE,
                   _("too many figures; at most %d frequencies and %d values are read"),
                   DWN_ANTENNA_MAX_FREQUENCIES, DWN_ANTENNA_MAX_VALUES);
  g_array_append_val (self->mhz, mhz);
  g_array_append_val (self->resistance_ohm, unknown);
  g_array_append_val (self->reactance_ohm, unknown);
  g_array_append_val (self->mismatch_db, unknown);
  return TRUE;
}

static double *
last_of (GArray *values)
{
  return &g_array_index (values, double, values->len - 1);
}

static gboolean
read_impedance (Reader *self, char *value, GError **error)
{
  g_autoptr (GArray) parts = g_array_new (FALSE, FALSE, sizeof (double));

  if (!read_numbers (self, value, parts, 2, error))
    return FALSE;
  *last_of (self->resistance_ohm) = g_array_index (parts, double, 0);
  *last_of (self->reactance_ohm) = g_array_index (parts, double, 1);
  return TRUE;
}

static gboolean
read_mismatch (Reader *self, char *value, GError **error)
{
  return read_not_negative (self, value, DWN_PATTERN_MAX_ABS_DB, last_of (self->mismatch_db),
                            error);
}

static gboolean
read_row (Reader *self, char *value, GArray *rows, guint n, GError **error)
{
  if (rows->len != (self->mhz->len - 1) * n)
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("a second row of this kind for one frequency"));
  return read_numbers (self, value, rows, n, error);
}

static gboolean
read_gain (Reader *self, char *value, GError **error)
{
  return read_row (self, value, self->gain_dbi, self->azimuth_deg->len, error);
}

static gboolean
read_elevation (Reader *self, char *value, GError **error)
{
  if (self->elevation_deg->len == 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("a line elevation-deg must stand before the first frequency"));
  return read_row (self, value, self->elevation_db, self->elevation_deg->len, error);
}

static const Key keys[] = {
  { "id", FALSE, read_id },
  { "name", FALSE, read_name },
  { "source", FALSE, read_source },
  { "feed-ohm", FALSE, read_feed },
  { "balun-db", FALSE, read_balun },
  { "price", FALSE, read_price },
  { "symmetry", FALSE, read_symmetry },
  { "azimuth-deg", FALSE, read_azimuths },
  { "elevation-deg", FALSE, read_elevations },
  { "mhz", FALSE, read_mhz },
  { "impedance-ohm", TRUE, read_impedance },
  { "mismatch-db", TRUE, read_mismatch },
  { "gain-dbi", TRUE, read_gain },
  { "elevation-db", TRUE, read_elevation },
};

static gboolean
read_line (Reader *self, char *line, GError **error)
{
  char *value = line + strcspn (line, " \t");

  if (*value != '\0')
    *value++ = '\0';
  value += strspn (value, " \t");
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    if (g_str_equal (line, keys[i].key))
      {
        gboolean in_frequency = self->mhz->len > 0;

        if (keys[i].of_frequency && !in_frequency)
          return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                         _("%s stands before the first line mhz"), keys[i].key);
        if (!keys[i].of_frequency && in_frequency && keys[i].read != read_mhz)
          return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                         _("%s must stand before the first line mhz"), keys[i].key);
        return keys[i].read (self, value, error);
      }
  return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                 _("“%.40s” is not known in a file of version %d"), line,
                 DWN_ANTENNA_FORMAT_VERSION);
}

static gboolean
read_version (Reader *self, const char *line, GError **error)
{
  double version;

  if (!g_str_has_prefix (line, DWN_ANTENNA_FORMAT " ")
      || !dwn_antenna_text_number (line + strlen (DWN_ANTENNA_FORMAT " "), &version))
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("the first line is not “%s %d”"), DWN_ANTENNA_FORMAT,
                   DWN_ANTENNA_FORMAT_VERSION);
  if (version != DWN_ANTENNA_FORMAT_VERSION)
    return refuse (self, error, DWN_ANTENNA_ERROR_VERSION,
                   _("version %g of the format; this program reads version %d, "
                     "a newer program may be needed"), version, DWN_ANTENNA_FORMAT_VERSION);
  return TRUE;
}

static gboolean
read_lines (Reader *self, char **lines, GError **error)
{
  self->line = 1;
  if (!read_version (self, lines[0], error))
    return FALSE;
  for (gsize i = 1; lines[i] != NULL; i++)
    {
      self->line = (guint) i + 1;
      if (lines[i][0] != '\0' && lines[i][0] != '#' && !read_line (self, lines[i], error))
        return FALSE;
    }
  if (self->id == NULL)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING, _("the file ends without a line id"));
  if (self->mhz->len == 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("the file ends without a frequency"));
  return check_rows (self, error);
}

/* Lays the left half beside the right one that stands in the file. */
static void
unfold (Reader *self)
{
  guint n = self->azimuth_deg->len;
  const double *right_deg = (const double *) (gpointer) self->azimuth_deg->data;
  GArray *azimuth_deg = g_array_new (FALSE, FALSE, sizeof (double));
  GArray *gain_dbi = g_array_new (FALSE, FALSE, sizeof (double));

  for (guint i = 0; i < 2 * n - 2; i++)
    {
      double deg = i < n ? right_deg[i] : 360.0 - right_deg[2 * n - 2 - i];

      g_array_append_val (azimuth_deg, deg);
    }
  for (guint f = 0; f < self->mhz->len; f++)
    for (guint i = 0; i < 2 * n - 2; i++)
      g_array_append_val (gain_dbi, g_array_index (self->gain_dbi, double,
                                                   f * n + (i < n ? i : 2 * n - 2 - i)));
  g_array_unref (self->azimuth_deg);
  g_array_unref (self->gain_dbi);
  self->azimuth_deg = azimuth_deg;
  self->gain_dbi = gain_dbi;
}

static gboolean
check_half_circle (const Reader *self, GError **error)
{
  if (self->azimuth_deg->len >= 2 && g_array_index (self->azimuth_deg, double, 0) == 0.0
      && *last_of (self->azimuth_deg) == 180.0)
    return TRUE;
  return refuse (self, error, DWN_ANTENNA_ERROR_RANGE,
                 _("with left-right symmetry the azimuths must run from 0 to 180"));
}

#define DATA(array) ((const double *) (gpointer) (array)->data)

static DwnAntenna *
antenna_of (const Reader *self, GError **error)
{
  const DwnPattern shape = {
    .id = self->id, .name = self->name, .source = self->source, .price = self->price,
    .n_mhz = self->mhz->len, .mhz = DATA (self->mhz),
    .n_azimuth = self->azimuth_deg->len, .azimuth_deg = DATA (self->azimuth_deg),
    .gain_dbi = DATA (self->gain_dbi),
    .n_elevation = self->elevation_deg->len, .elevation_deg = DATA (self->elevation_deg),
    .elevation_db = DATA (self->elevation_db), .mismatch_db = DATA (self->mismatch_db),
  };
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&shape, error);
  const DwnAntenna values = {
    .pattern = pattern, .feed_ohm = self->feed_ohm, .balun_db = self->balun_db,
    .resistance_ohm = DATA (self->resistance_ohm), .reactance_ohm = DATA (self->reactance_ohm),
  };

  if (pattern != NULL)
    return dwn_antenna_new (&values);
  g_prefix_error (error, "%s: ", self->file);
  return NULL;
}

static GArray *
new_numbers (void)
{
  return g_array_new (FALSE, FALSE, sizeof (double));
}

static void
reader_init (Reader *self, const char *file)
{
  *self = (Reader){ .file = file, .feed_ohm = (double) NAN, .balun_db = (double) NAN,
                    .price = (double) NAN };
  self->azimuth_deg = new_numbers ();
  self->elevation_deg = new_numbers ();
  self->mhz = new_numbers ();
  self->resistance_ohm = new_numbers ();
  self->reactance_ohm = new_numbers ();
  self->mismatch_db = new_numbers ();
  self->gain_dbi = new_numbers ();
  self->elevation_db = new_numbers ();
}

static void
reader_clear (Reader *self)
{
  g_free (self->id);
  g_free (self->name);
  g_free (self->source);
  g_array_unref (self->azimuth_deg);
  g_array_unref (self->elevation_deg);
  g_array_unref (self->mhz);
  g_array_unref (self->resistance_ohm);
  g_array_unref (self->reactance_ohm);
  g_array_unref (self->mismatch_db);
  g_array_unref (self->gain_dbi);
  g_array_unref (self->elevation_db);
}

DwnAntenna *
dwn_antenna_parse (GBytes *bytes, const char *file, GError **error)
{
  g_auto (GStrv) lines = NULL;
  DwnAntenna *antenna = NULL;
  Reader reader;

  g_return_val_if_fail (bytes != NULL && file != NULL, NULL);

  lines = dwn_antenna_text_lines (bytes, file, error);
  if (lines == NULL)
    return NULL;
  reader_init (&reader, file);
  if (read_lines (&reader, lines, error)
      && (!reader.mirrored || check_half_circle (&reader, error)))
    {
      if (reader.mirrored)
        unfold (&reader);
      antenna = antenna_of (&reader, error);
    }
  reader_clear (&reader);
  return antenna;
}

/* Writing */

static gboolean
is_mirrored (const DwnPattern *pattern)
{
  gsize n = pattern->n_azimuth;

  if (n % 2 != 0 || pattern->azimuth_deg[0] != 0.0 || pattern->azimuth_deg[n / 2] != 180.0)
    return FALSE;
  for (gsize i = 1; i < n / 2; i++)
    {
      if (pattern->azimuth_deg[n - i] != 360.0 - pattern->azimuth_deg[i])
        return FALSE;
      for (gsize f = 0; f < pattern->n_mhz; f++)
        if (pattern->gain_dbi[f * n + n - i] != pattern->gain_dbi[f * n + i])
          return FALSE;
    }
  return TRUE;
}

static void
append_row (GString *text, const char *key, const double *values, gsize n)
{
  g_string_append (text, key);
  for (gsize i = 0; i < n; i++)
    {
      g_string_append_c (text, ' ');
      dwn_antenna_text_append (text, values[i]);
    }
  g_string_append_c (text, '\n');
}

static void
append_known (GString *text, const char *key, double value)
{
  if (!isnan (value))
    append_row (text, key, &value, 1);
}

/* A line break in a name would start a new line of the file. */
static void
append_words (GString *text, const char *key, const char *words)
{
  g_autofree char *one_line = g_strdelimit (g_strdup (words), "\r\n", ' ');

  if (g_strstrip (one_line)[0] != '\0')
    g_string_append_printf (text, "%s %s\n", key, g_strstrip (one_line));
}

static void
append_frequency (GString *text, const DwnAntenna *antenna, gsize f, gsize n_written)
{
  const DwnPattern *pattern = antenna->pattern;

  g_string_append_c (text, '\n');
  append_row (text, "mhz", &pattern->mhz[f], 1);
  if (!isnan (antenna->resistance_ohm[f]) && !isnan (antenna->reactance_ohm[f]))
    append_row (text, "impedance-ohm",
                (const double[]){ antenna->resistance_ohm[f], antenna->reactance_ohm[f] }, 2);
  if (pattern->mismatch_db != NULL)
    append_known (text, "mismatch-db", pattern->mismatch_db[f]);
  append_row (text, "gain-dbi", pattern->gain_dbi + f * pattern->n_azimuth, n_written);
  if (pattern->n_elevation > 0)
    append_row (text, "elevation-db", pattern->elevation_db + f * pattern->n_elevation,
                pattern->n_elevation);
}

char *
dwn_antenna_to_text (const DwnAntenna *antenna)
{
  const DwnPattern *pattern;
  GString *text;
  gsize n_written;

  g_return_val_if_fail (antenna != NULL, NULL);

  pattern = antenna->pattern;
  n_written = is_mirrored (pattern) ? pattern->n_azimuth / 2 + 1 : pattern->n_azimuth;
  text = g_string_new (NULL);
  g_string_append_printf (text, "%s %d\n", DWN_ANTENNA_FORMAT, DWN_ANTENNA_FORMAT_VERSION);
  append_words (text, "id", pattern->id);
  append_words (text, "name", pattern->name);
  append_words (text, "source", pattern->source);
  append_known (text, "feed-ohm", antenna->feed_ohm);
  append_known (text, "balun-db", antenna->balun_db);
  append_known (text, "price", pattern->price);
  if (n_written < pattern->n_azimuth)
    append_words (text, "symmetry", "left-right");
  append_row (text, "azimuth-deg", pattern->azimuth_deg, n_written);
  if (pattern->n_elevation > 0)
    append_row (text, "elevation-deg", pattern->elevation_deg, pattern->n_elevation);
  for (gsize f = 0; f < pattern->n_mhz; f++)
    append_frequency (text, antenna, f, n_written);
  return g_string_free (text, FALSE);
}
