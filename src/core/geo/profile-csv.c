#include "core/geo/profile-csv.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#define MOST_DISTANCE_M 2e7 /* half way round the Earth */
#define MOST_HEIGHT_M 1e5   /* no ground, roof or tree is so far up or down */

typedef struct {
  const char *name;
  guint line, n_columns; /* columns as in the first sample: 2, 3 or 4 */
  gboolean has_names;
  GArray *distance_m, *height_m, *clutter_m; /* double */
  GByteArray *zone;
} Reader;

static gboolean
refuse (const Reader *self, GError **error, const char *what)
{
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_INVALID_DATA, "%s:%u: %s", self->name, self->line, what);
  return FALSE;
}

static gboolean
parse_number (const char *text, double *value)
{
  char *end;

  if (text[0] == '\0' || strpbrk (text, "xX") != NULL)
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return *end == '\0' && isfinite (*value);
}

static gboolean
check_range (const Reader *self, double value, double min, double max, GError **error)
{
  if (value >= min && value <= max)
    return TRUE;

  g_autofree char *what = g_strdup_printf (_("%g is outside %g to %g"), value, min, max);
  return refuse (self, error, what);
}

/* How many fields the line has, without empty ones at its end. */
static guint
count_fields (char **fields)
{
  guint n = g_strv_length (fields);

  for (guint i = 0; i < n; i++)
    g_strstrip (fields[i]);
  while (n > 0 && fields[n - 1][0] == '\0')
    n--;
  return n;
}

static gboolean
read_zone (Reader *self, const char *text, GError **error)
{
  double zone;
  guint8 byte;

  if (!parse_number (text, &zone) || (zone != 1.0 && zone != 3.0 && zone != 4.0))
    return refuse (self, error, _("the zone is 1 (sea), 3 (coastal land) or 4 (inland)"));
  byte = (guint8) zone;
  g_byte_array_append (self->zone, &byte, 1);
  return TRUE;
}

/* A distance, which begins at 0 and rises. */
static gboolean
read_distance (Reader *self, const char *text, GError **error)
{
  guint n = self->distance_m->len;
  double distance_m;

  if (!parse_number (text, &distance_m))
    return refuse (self, error, _("the distance is not a number; metres with a decimal point were expected"));
  if (!check_range (self, distance_m, 0, MOST_DISTANCE_M, error))
    return FALSE;
  if (n == 0 ? distance_m != 0 : distance_m <= g_array_index (self->distance_m, double, n - 1))
    {
      g_autofree char *what = g_strdup_printf (
        _("Sample %zu of a profile is at %g m: distances begin at 0 and rise from sample to sample"),
        (gsize) n + 1, distance_m);
      return refuse (self, error, what);
    }
  g_array_append_val (self->distance_m, distance_m);
  return TRUE;
}

/* A height of ground or clutter. */
static gboolean
read_height (Reader *self, const char *text, GArray *into, const char *complaint, GError **error)
{
  double height_m;

  if (!parse_number (text, &height_m))
    return refuse (self, error, complaint);
  g_array_append_val (into, height_m);
  return check_range (self, height_m, -MOST_HEIGHT_M, MOST_HEIGHT_M, error);
}

static gboolean
read_ground (Reader *self, const char *text, GError **error)
{
  const double gap = (double) NAN;

  if (text[0] != '\0')
    return read_height (self, text, self->height_m,
                        _("the height is not a number; metres with a decimal point were expected"), error);
  g_array_append_val (self->height_m, gap);
  return TRUE;
}

static gboolean
read_sample (Reader *self, char **fields, guint n, GError **error)
{
  if (!read_distance (self, fields[0], error)
      || !read_ground (self, n > 1 ? fields[1] : "", error))
    return FALSE;
  if (self->n_columns == 0)
    self->n_columns = CLAMP (n, 2, 4);
  if (MAX (n, 2) != self->n_columns)
    return refuse (self, error, _("not as many columns as in the first sample: distance_m,height_m[,clutter_m[,zone]]"));
  if (self->n_columns > 2
      && !read_height (self, fields[2], self->clutter_m,
                       _("the clutter height is not a number; metres were expected"), error))
    return FALSE;
  if (self->distance_m->len > DWN_PROFILE_CSV_MAX_SAMPLES)
    return refuse (self, error, _("more than 1,000,000 samples; take fewer"));
  return self->n_columns < 4 || read_zone (self, fields[3], error);
}

/* One line of names may stand above the samples. */
static gboolean
is_names (const Reader *self, char **fields)
{
  return self->distance_m->len == 0 && !self->has_names && g_ascii_isalpha (fields[0][0]);
}

static gboolean
read_line (Reader *self, const char *line, GError **error)
{
  if (line[0] == '#')
    return TRUE;

  g_auto (GStrv) fields = g_strsplit (line, ",", 6);
  guint n = count_fields (fields);

  if (n == 0)
    return TRUE;
  if (is_names (self, fields))
    {
      self->has_names = TRUE;
      return TRUE;
    }
  if (n > 4)
    return refuse (self, error, _("more than four columns: distance_m,height_m[,clutter_m[,zone]]"));
  return read_sample (self, fields, n, error);
}

static void
reader_init (Reader *self, const char *name)
{
  *self = (Reader) {
    .name = name,
    .distance_m = g_array_new (FALSE, FALSE, sizeof (double)),
    .height_m = g_array_new (FALSE, FALSE, sizeof (double)),
    .clutter_m = g_array_new (FALSE, FALSE, sizeof (double)),
    .zone = g_byte_array_new (),
  };
}

static void
reader_clear (Reader *self)
{
  g_array_unref (self->distance_m);
  g_array_unref (self->height_m);
  g_array_unref (self->clutter_m);
  g_byte_array_unref (self->zone);
}

static DwnProfile *
finish (Reader *self, GError **error)
{
  if (self->distance_m->len < 2)
    {
      refuse (self, error, _("fewer than two samples: distance_m,height_m on each line were expected"));
      return NULL;
    }
  DwnProfile *profile = dwn_profile_new (
    self->distance_m->len, (const double *) (gpointer) self->distance_m->data,
    (const double *) (gpointer) self->height_m->data,
    self->n_columns > 2 ? (const double *) (gpointer) self->clutter_m->data : NULL,
    self->n_columns > 3 ? self->zone->data : NULL, error);
  if (profile == NULL)
    g_prefix_error (error, "%s: ", self->name);
  return profile;
}

DwnProfile *
dwn_profile_read_csv (GBytes *bytes, const char *name, GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);

  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);
  g_autofree char *text = g_strndup (data != NULL ? data : "", size);
  char *at = g_str_has_prefix (text, "\xEF\xBB\xBF") ? text + 3 : text;
  DwnProfile *profile = NULL;
  gboolean good = TRUE;
  Reader reader;

  reader_init (&reader, name);
  while (good && at != NULL)
    {
      char *end = strchr (at, '\n');

      if (end != NULL)
        *end++ = '\0';
      reader.line++;
      good = read_line (&reader, at, error);
      at = end;
    }
  if (good)
    profile = finish (&reader, error);
  reader_clear (&reader);
  return profile;
}
