#include "core/data/ini.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/data/data.h"

struct _DwnIni {
  char *name;
  char *text;           /* lines and values point into it */
  GPtrArray *groups;    /* names, NULL at the end */
  GHashTable *entries;  /* "group\nkey" to Entry; "group\n" for a group itself */
};

typedef struct {
  const char *value;
  guint line;
} Entry;

G_DEFINE_QUARK (dwn-ini-error-quark, dwn_ini_error)

static const Entry *
find_entry (const DwnIni *ini, const char *group, const char *key)
{
  g_autofree char *id = g_strconcat (group, "\n", key, NULL);

  return g_hash_table_lookup (ini->entries, id);
}

static gboolean
add_entry (DwnIni *ini, const char *group, const char *key, const char *value, guint line,
           GError **error)
{
  char *id = g_strconcat (group, "\n", key, NULL);
  const Entry *first = g_hash_table_lookup (ini->entries, id);
  Entry *entry;

  if (first != NULL)
    {
      g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX,
                   _("%s:%u: [%s]%s%s stands on line %u already; leave one of the two"),
                   ini->name, line, group, *key != '\0' ? " " : "", key, first->line);
      g_free (id);
      return FALSE;
    }
  entry = g_new (Entry, 1);
  *entry = (Entry) { value, line };
  g_hash_table_insert (ini->entries, id, entry);
  return TRUE;
}

static gboolean
read_group (DwnIni *ini, char *line_text, guint line, const char **group, GError **error)
{
  char *last = line_text + strlen (line_text) - 1;
  gboolean closed = *last == ']';

  *last = '\0';
  *group = g_strstrip (line_text + 1);
  if (!closed || **group == '\0')
    {
      g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX,
                   _("%s:%u: a group is a name between [ and ]"), ini->name, line);
      return FALSE;
    }
  if (!add_entry (ini, *group, "", "", line, error))
    return FALSE;
  g_ptr_array_add (ini->groups, (gpointer) *group);
  return TRUE;
}

static gboolean
read_line (DwnIni *ini, char *line_text, guint line, const char **group, GError **error)
{
  char *equals;

  g_strstrip (line_text);
  if (*line_text == '\0' || *line_text == '#')
    return TRUE;
  if (*line_text == '[')
    return read_group (ini, line_text, line, group, error);

  equals = strchr (line_text, '=');
  if (equals == NULL || equals == line_text || *group == NULL)
    {
      g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX,
                   _("%s:%u: not a comment (#), a [group], or a key = value below a group"),
                   ini->name, line);
      return FALSE;
    }
  *equals = '\0';
  return add_entry (ini, *group, g_strstrip (line_text), g_strstrip (equals + 1), line, error);
}

static gboolean
read_text (DwnIni *ini, GError **error)
{
  const char *group = NULL;
  char *next = ini->text;

  if (g_str_has_prefix (next, "\xef\xbb\xbf"))
    next += 3;
  for (guint line = 1; next != NULL; line++)
    {
      char *line_text = next;
      char *end = strchr (line_text, '\n');

      next = end == NULL ? NULL : end + 1;
      if (end != NULL)
        *end = '\0';
      if (!read_line (ini, line_text, line, &group, error))
        return FALSE;
    }
  g_ptr_array_add (ini->groups, NULL);
  return TRUE;
}

DwnIni *
dwn_ini_new (GBytes *bytes, const char *name, GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);

  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);
  const char *end = data;

  if (size > 0 && !g_utf8_validate_len (data, size, &end))
    {
      guint line = 1;

      for (const char *c = data; c < end; c++)
        line += *c == '\n';
      g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX,
                   _("%s:%u: not text in UTF-8; save the file in that encoding"), name, line);
      return NULL;
    }

  g_autoptr (DwnIni) ini = g_new0 (DwnIni, 1);

  ini->name = g_strdup (name);
  ini->text = g_strndup (data != NULL ? data : "", size);
  ini->groups = g_ptr_array_new ();
  ini->entries = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  if (!read_text (ini, error))
    return NULL;
  return g_steal_pointer (&ini);
}

void
dwn_ini_free (DwnIni *ini)
{
  if (ini == NULL)
    return;
  g_hash_table_unref (ini->entries);
  g_ptr_array_unref (ini->groups);
  g_free (ini->text);
  g_free (ini->name);
  g_free (ini);
}

DwnIni *
dwn_ini_new_from_data (const char *name, GError **error)
{
  g_autoptr (GBytes) bytes = NULL;
  g_autofree char *own = NULL;
  gboolean overridden;

  bytes = dwn_data_lookup (name, &overridden, error);
  if (bytes == NULL)
    return NULL;
  own = overridden ? dwn_data_override_path (name) : g_strdup (name);
  return dwn_ini_new (bytes, own, error);
}

const char *const *
dwn_ini_groups (const DwnIni *ini, gsize *n)
{
  *n = ini->groups->len - 1;
  return (const char *const *) ini->groups->pdata;
}

static int
compare_keys (gconstpointer a, gconstpointer b)
{
  return strcmp (*(const char *const *) a, *(const char *const *) b);
}

GPtrArray *
dwn_ini_keys (const DwnIni *ini, const char *group)
{
  GPtrArray *keys = g_ptr_array_new ();
  g_autofree char *prefix = g_strconcat (group, "\n", NULL);
  gsize length = strlen (prefix);
  GHashTableIter iter;
  gpointer id;

  g_hash_table_iter_init (&iter, ini->entries);
  while (g_hash_table_iter_next (&iter, &id, NULL))
    if (g_str_has_prefix (id, prefix) && ((const char *) id)[length] != '\0')
      g_ptr_array_add (keys, (char *) id + length);
  g_ptr_array_sort (keys, compare_keys);
  return keys;
}

gboolean
dwn_ini_has (const DwnIni *ini, const char *group, const char *key)
{
  return find_entry (ini, group, key) != NULL;
}

const char *
dwn_ini_peek (const DwnIni *ini, const char *group, const char *key)
{
  const Entry *entry = find_entry (ini, group, key);

  return entry == NULL ? NULL : entry->value;
}

const char *
dwn_ini_string (const DwnIni *ini, const char *group, const char *key, GError **error)
{
  const Entry *entry = find_entry (ini, group, key);
  const Entry *head = find_entry (ini, group, "");

  if (entry != NULL && *entry->value != '\0')
    return entry->value;
  if (entry != NULL)
    g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_MISSING,
                 _("%s:%u: [%s] %s is empty"), ini->name, entry->line, group, key);
  else if (head != NULL)
    g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_MISSING,
                 _("%s:%u: [%s] has no %s; add a line \"%s = ...\""), ini->name, head->line,
                 group, key, key);
  else
    g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_MISSING,
                 _("%s: there is no group [%s]"), ini->name, group);
  return NULL;
}

static gboolean
parse_number (const DwnIni *ini, const char *group, const char *key, const char *text, double min,
              double max, double *value, GError **error)
{
  char *end;

  *value = g_ascii_strtod (text, &end);
  if (end == text || *end != '\0' || !isfinite (*value))
    {
      dwn_ini_refuse (ini, group, key, error, _("\"%.40s\" is not a number"), text);
      return FALSE;
    }
  if (*value < min || *value > max)
    {
      dwn_ini_refuse (ini, group, key, error, _("%g is outside %g to %g"), *value, min, max);
      return FALSE;
    }
  return TRUE;
}

gboolean
dwn_ini_number (const DwnIni *ini, const char *group, const char *key, double min, double max,
                double *value, GError **error)
{
  const char *text = dwn_ini_string (ini, group, key, error);

  return text != NULL && parse_number (ini, group, key, text, min, max, value, error);
}

gboolean
dwn_ini_optional_number (const DwnIni *ini, const char *group, const char *key, double min,
                         double max, double *value, GError **error)
{
  if (dwn_ini_has (ini, group, key))
    return dwn_ini_number (ini, group, key, min, max, value, error);
  *value = (double) NAN;
  return TRUE;
}

GArray *
dwn_ini_numbers (const DwnIni *ini, const char *group, const char *key, double min, double max,
                 GError **error)
{
  const char *text = dwn_ini_string (ini, group, key, error);

  if (text == NULL)
    return NULL;

  g_auto (GStrv) words = g_strsplit (text, ",", -1);
  g_autoptr (GArray) numbers = g_array_new (FALSE, FALSE, sizeof (double));

  for (char **word = words; *word != NULL; word++)
    {
      double value;

      if (!parse_number (ini, group, key, g_strstrip (*word), min, max, &value, error))
        return NULL;
      g_array_append_val (numbers, value);
    }
  return g_steal_pointer (&numbers);
}

gboolean
dwn_ini_flag (const DwnIni *ini, const char *group, const char *key, gboolean *value,
              GError **error)
{
  const char *text = dwn_ini_peek (ini, group, key);

  *value = g_strcmp0 (text, "true") == 0;
  if (text == NULL || *value || strcmp (text, "false") == 0)
    return TRUE;
  dwn_ini_refuse (ini, group, key, error, _("\"%.40s\" is neither true nor false"), text);
  return FALSE;
}

void
dwn_ini_refuse (const DwnIni *ini, const char *group, const char *key, GError **error,
                const char *format, ...)
{
  const Entry *entry = find_entry (ini, group, key != NULL ? key : "");
  g_autofree char *what = NULL;
  va_list arguments;

  va_start (arguments, format);
  what = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_VALUE, "%s:%u: [%s]%s%s: %s", ini->name,
               entry != NULL ? entry->line : 0, group, key != NULL ? " " : "",
               key != NULL ? key : "", what);
}
