#include "core/plan/csv.h"

#include <glib/gi18n-lib.h>
#include <string.h>

struct _DwnCsv {
  DwnLines *lines;
  char separator;
  guint line;        /* where the record last read began */
  GString *record;   /* its fields, each ended by a zero */
  GArray *offsets;   /* gsize: where each begins in @record */
  GPtrArray *fields; /* the same as pointers */
};

G_DEFINE_QUARK (dwn-csv-error-quark, dwn_csv_error)

DwnCsv *
dwn_csv_new_take (DwnLines *lines, char separator)
{
  g_return_val_if_fail (lines != NULL, NULL);

  DwnCsv *csv = g_new0 (DwnCsv, 1);

  csv->lines = lines;
  csv->separator = separator;
  csv->record = g_string_new (NULL);
  csv->offsets = g_array_new (FALSE, FALSE, sizeof (gsize));
  csv->fields = g_ptr_array_new ();
  return csv;
}

void
dwn_csv_free (DwnCsv *csv)
{
  g_return_if_fail (csv != NULL);

  dwn_lines_free (csv->lines);
  g_string_free (csv->record, TRUE);
  g_array_unref (csv->offsets);
  g_ptr_array_unref (csv->fields);
  g_free (csv);
}

static char
guess_separator (const char *line)
{
  static const char candidates[] = { ',', ';', '\t' };
  guint most = 0;
  char best = ',';

  for (guint i = 0; i < G_N_ELEMENTS (candidates); i++)
    {
      guint count = 0;

      for (const char *at = line; (at = strchr (at, candidates[i])) != NULL; at++)
        count++;
      if (count > most)
        {
          most = count;
          best = candidates[i];
        }
    }
  return best;
}

static gboolean
refuse_size (const DwnCsv *csv, GError **error)
{
  g_set_error (error, DWN_CSV_ERROR, DWN_CSV_ERROR_TOO_LONG,
               _("%s:%u: the record has more than 1 MiB or more than %d fields; is a quote "
                 "missing?"), dwn_lines_name (csv->lines), csv->line, DWN_CSV_FIELDS_MAX);
  return FALSE;
}

/* Copies a quoted field that begins after @at, through further lines where it goes on there.
 * Returns what follows the closing quote; NULL with @error. */
static const char *
read_quoted (DwnCsv *csv, const char *at, GError **error)
{
  g_autoptr (GError) problem = NULL;
  char *line;
  gsize length;

  for (;; at++)
    {
      if (csv->record->len > DWN_LINE_MAX)
        {
          refuse_size (csv, error);
          return NULL;
        }
      if (at[0] == '"' && at[1] != '"')
        return at + 1;
      if (at[0] == '"')
        at++;
      if (*at != '\0')
        {
          g_string_append_c (csv->record, *at);
          continue;
        }
      if (!dwn_lines_next (csv->lines, &line, &length, &problem))
        break;
      g_string_append_c (csv->record, '\n');
      at = line - 1;
    }
  if (problem != NULL)
    g_propagate_error (error, g_steal_pointer (&problem));
  else
    g_set_error (error, DWN_CSV_ERROR, DWN_CSV_ERROR_QUOTE,
                 _("%s:%u: a quote in this record is never closed; a second \" is missing"),
                 dwn_lines_name (csv->lines), csv->line);
  return NULL;
}

static const char *
skip_blanks (const char *at, char separator)
{
  while ((*at == ' ' || *at == '\t') && *at != separator)
    at++;
  return at;
}

/* Copies one field; what stands between a closing quote and the separator is kept as it is.
 * Returns where its separator, or the end of the record, stands. */
static const char *
read_field (DwnCsv *csv, const char *at, GError **error)
{
  gsize least;

  g_array_append_val (csv->offsets, csv->record->len);
  at = skip_blanks (at, csv->separator);
  if (*at == '"' && (at = read_quoted (csv, at + 1, error)) == NULL)
    return NULL;

  least = csv->record->len;
  while (*at != '\0' && *at != csv->separator)
    g_string_append_c (csv->record, *at++);
  while (csv->record->len > least && g_ascii_isspace (csv->record->str[csv->record->len - 1]))
    g_string_truncate (csv->record, csv->record->len - 1);
  g_string_append_c (csv->record, '\0');
  return at;
}

static gboolean
read_record (DwnCsv *csv, const char *at, GError **error)
{
  g_string_truncate (csv->record, 0);
  g_array_set_size (csv->offsets, 0);
  for (;;)
    {
      at = read_field (csv, at, error);
      if (at == NULL)
        return FALSE;
      if (csv->offsets->len > DWN_CSV_FIELDS_MAX)
        return refuse_size (csv, error);
      if (*at == '\0')
        break;
      at++;
    }
  g_ptr_array_set_size (csv->fields, 0);
  for (guint i = 0; i < csv->offsets->len; i++)
    g_ptr_array_add (csv->fields, csv->record->str + g_array_index (csv->offsets, gsize, i));
  g_ptr_array_add (csv->fields, NULL);
  return TRUE;
}

gboolean
dwn_csv_next (DwnCsv *csv, char ***fields, guint *n, GError **error)
{
  g_return_val_if_fail (csv != NULL && fields != NULL && n != NULL, FALSE);

  char *line;
  gsize length;

  do
    {
      if (!dwn_lines_next (csv->lines, &line, &length, error))
        return FALSE;
    }
  while (length == 0);

  csv->line = dwn_lines_number (csv->lines);
  if (csv->separator == '\0')
    csv->separator = guess_separator (line);
  if (!read_record (csv, line, error))
    return FALSE;
  *fields = (char **) csv->fields->pdata;
  *n = csv->fields->len - 1;
  return TRUE;
}

int
dwn_csv_column (char *const *header, guint n, guint from, const char *name)
{
  for (guint i = from; i < n; i++)
    if (g_ascii_strcasecmp (header[i], name) == 0)
      return (int) i;
  return -1;
}

guint
dwn_csv_line (const DwnCsv *csv)
{
  return csv->line;
}

const DwnLines *
dwn_csv_lines (const DwnCsv *csv)
{
  return csv->lines;
}

char
dwn_csv_separator (const DwnCsv *csv)
{
  return csv->separator;
}
