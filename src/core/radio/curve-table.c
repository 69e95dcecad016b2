#include "core/radio/curve-table.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/radio/curves.h"

/* Far more than any chart has. */
#define MAX_NODES 1000
#define MAX_KM 10000.0
#define MAX_HAAT_M 20000.0
#define MAX_FIELD_DBUV_M 300.0
/* Nodes closer than this would make slopes that drown everything else. */
#define MIN_GAP 1e-3

typedef struct {
  const char *name;
  GArray *km, *haat_m, *field_dbuv_m; /* of double */
} Reading;

static gboolean G_GNUC_PRINTF (4, 5)
refuse (const Reading *reading, guint line, GError **error, const char *format, ...)
{
  g_autofree char *what = NULL;
  va_list arguments;

  va_start (arguments, format);
  what = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_FILE, "%s:%u: %s", reading->name, line,
               what);
  return FALSE;
}

/* Takes a number off the front of *@text, and @suffix and the comma behind it. */
static gboolean
take_number (const Reading *reading, guint line, char **text, const char *suffix, double min,
             double max, double *value, GError **error)
{
  char *end;

  *value = g_ascii_strtod (*text, &end);
  if (end == *text || !isfinite (*value))
    return refuse (reading, line, error, _("\"%.*s\" is not a number"),
                   (int) MIN (strcspn (*text, ","), 40), *text);
  if (*value < min || *value > max)
    return refuse (reading, line, error, _("%g is outside %g to %g"), *value, min, max);
  if (!g_str_has_prefix (end, suffix))
    return refuse (reading, line, error, _("behind %g has to stand \"%s\""), *value, suffix);
  end += strlen (suffix);
  if (*end != ',' && *end != '\0')
    return refuse (reading, line, error, _("behind %g%s has to stand a comma"), *value, suffix);
  *text = *end == ',' ? end + 1 : end;
  return TRUE;
}

static gboolean
append_rising (const Reading *reading, guint line, GArray *axis, double value, GError **error)
{
  if (axis->len > 0 && value < g_array_index (axis, double, axis->len - 1) + MIN_GAP)
    return refuse (reading, line, error, _("%g does not rise above the value before it"), value);
  if (axis->len >= MAX_NODES)
    return refuse (reading, line, error, _("more than %d values"), MAX_NODES);
  g_array_append_val (axis, value);
  return TRUE;
}

static gboolean
read_distances (Reading *reading, guint line, char *text, GError **error)
{
  if (!g_str_has_prefix (text, "haat_m,"))
    return refuse (reading, line, error,
                   _("the first row has to begin with \"haat_m,\" and go on with distances"));
  text += strlen ("haat_m,");
  while (*text != '\0')
    {
      double km;

      if (!take_number (reading, line, &text, "km", 0, MAX_KM, &km, error)
          || !append_rising (reading, line, reading->km, km, error))
        return FALSE;
    }
  if (reading->km->len < DWN_SURFACE_MIN_NODES)
    return refuse (reading, line, error, _("fewer than %d distances"), DWN_SURFACE_MIN_NODES);
  return TRUE;
}

static gboolean
read_fields (Reading *reading, guint line, char *text, GError **error)
{
  double haat_m;
  guint n = 0;

  if (!take_number (reading, line, &text, "", 0, MAX_HAAT_M, &haat_m, error)
      || !append_rising (reading, line, reading->haat_m, haat_m, error))
    return FALSE;
  for (; *text != '\0'; n++)
    {
      double field;

      if (n == reading->km->len)
        break;
      if (!take_number (reading, line, &text, "", -MAX_FIELD_DBUV_M, MAX_FIELD_DBUV_M, &field,
                        error))
        return FALSE;
      g_array_append_val (reading->field_dbuv_m, field);
    }
  if (n != reading->km->len || *text != '\0')
    return refuse (reading, line, error, _("there have to be %u fields, one for each distance"),
                   reading->km->len);
  return TRUE;
}

static gboolean
read_rows (Reading *reading, char *text, GError **error)
{
  char *next = text;
  guint line;

  if (g_str_has_prefix (next, "\xef\xbb\xbf"))
    next += 3;
  for (line = 1; next != NULL; line++)
    {
      char *row = next;
      char *end = strchr (row, '\n');

      next = end == NULL ? NULL : end + 1;
      if (end != NULL)
        *end = '\0';
      g_strstrip (row);
      if (*row == '\0' || *row == '#')
        continue;
      if (!(reading->km->len == 0 ? read_distances (reading, line, row, error)
                                  : read_fields (reading, line, row, error)))
        return FALSE;
    }
  if (reading->haat_m->len < DWN_SURFACE_MIN_NODES)
    return refuse (reading, line, error, _("fewer than %d rows of fields"), DWN_SURFACE_MIN_NODES);
  return TRUE;
}

DwnSurface *
dwn_curve_table_read (GBytes *bytes, const char *name, GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);

  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);
  g_autofree char *text = g_strndup (data != NULL ? data : "", size);
  g_autoptr (GArray) km = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) haat_m = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) field_dbuv_m = g_array_new (FALSE, FALSE, sizeof (double));
  Reading reading = { name, km, haat_m, field_dbuv_m };

  if (strlen (text) != size)
    {
      refuse (&reading, 1, error, _("a zero byte: this is not a text file"));
      return NULL;
    }
  if (!read_rows (&reading, text, error))
    return NULL;
  return dwn_surface_new (km->len, (const double *) km->data, haat_m->len,
                          (const double *) haat_m->data, (const double *) field_dbuv_m->data);
}
