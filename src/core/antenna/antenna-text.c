#include "core/antenna/antenna-text.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

/* No figure of an antenna is beyond it; 1e308 is refused where it stands, not where it is used. */
#define MOST_FIGURE 1e12

#define BYTE_ORDER_MARK "\xef\xbb\xbf"

G_DEFINE_QUARK (dwn-antenna-error-quark, dwn_antenna_error)

static gboolean
check_text (const char *text, gsize size, const char *file, GError **error)
{
  /* A byte-order mark alone is no line either. */
  if (text == NULL || size == 0
      || (size == strlen (BYTE_ORDER_MARK) && memcmp (text, BYTE_ORDER_MARK, size) == 0))
    g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_TEXT, _("%s: the file is empty"),
                 file);
  else if (size > DWN_ANTENNA_MAX_BYTES)
    g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_TEXT,
                 _("%s: larger than %d MiB; an antenna has a few kB"), file,
                 DWN_ANTENNA_MAX_BYTES / (1024 * 1024));
  else if (!g_utf8_validate (text, (gssize) size, NULL))
    g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_TEXT,
                 _("%s: not a text file in UTF-8"), file);
  else
    return TRUE;
  return FALSE;
}

char **
dwn_antenna_text_lines (GBytes *bytes, const char *file, GError **error)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  g_autofree char *copy = NULL;
  char **lines;

  if (!check_text (text, size, file, error))
    return NULL;
  copy = g_strndup (text, size);
  lines = g_strsplit (g_str_has_prefix (copy, BYTE_ORDER_MARK) ? copy + strlen (BYTE_ORDER_MARK)
                                                               : copy,
                      "\n", -1);
  for (char **line = lines; *line != NULL; line++)
    g_strchomp (*line);
  return lines;
}

GPtrArray *
dwn_antenna_text_fields (char *line, const char *separators)
{
  GPtrArray *fields = g_ptr_array_new ();
  char *at = line;

  for (;;)
    {
      while (*at != '\0' && (g_ascii_isspace (*at) || strchr (separators, *at) != NULL))
        *at++ = '\0';
      if (*at == '\0')
        return fields;
      g_ptr_array_add (fields, at);
      while (*at != '\0' && !g_ascii_isspace (*at) && strchr (separators, *at) == NULL)
        at++;
    }
}

gboolean
dwn_antenna_text_number (const char *text, double *value)
{
  char *end;

  /* strtod would take hexadecimal, "nan" and "inf" too. */
  if (text[0] == '\0' || text[strspn (text, "+-.0123456789eE")] != '\0')
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return *end == '\0' && fabs (*value) <= MOST_FIGURE;
}

void
dwn_antenna_text_append (GString *text, double value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append (text, g_ascii_formatd (buffer, sizeof buffer, "%.10g", value));
}
