#include <glib/gi18n.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/call.h"

struct _DwnRows {
  gboolean tsv;
  guint n_columns;
  char **columns;
  GPtrArray *cells; /* row by row */
  GArray *numeric;  /* gboolean, one a cell */
};

DwnRows *
dwn_rows_new (const DwnCall *call, const char *columns)
{
  DwnRows *rows = g_new0 (DwnRows, 1);

  rows->tsv = call->tsv;
  rows->columns = g_strsplit (columns, " ", -1);
  rows->n_columns = g_strv_length (rows->columns);
  rows->cells = g_ptr_array_new_with_free_func (g_free);
  rows->numeric = g_array_new (FALSE, FALSE, sizeof (gboolean));
  return rows;
}

static void
add_cell (DwnRows *rows, char *text, gboolean is_number)
{
  g_ptr_array_add (rows->cells, text);
  g_array_append_val (rows->numeric, is_number);
}

/* A tab or a line end inside a text would shift every column after it. */
void
dwn_rows_text (DwnRows *rows, const char *text)
{
  add_cell (rows, g_strdelimit (g_strdup (text != NULL ? text : ""), "\t\n\r", ' '), FALSE);
}

void
dwn_rows_number (DwnRows *rows, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE] = "";

  if (isfinite (value))
    g_ascii_formatd (text, sizeof text, rows->tsv ? "%.12g" : "%.6g", value == 0.0 ? 0.0 : value);
  add_cell (rows, g_strdup (text), TRUE);
}

static const char *
cell (const DwnRows *rows, gsize i)
{
  return g_ptr_array_index (rows->cells, i);
}

static void
print_tsv (const DwnRows *rows)
{
  for (guint c = 0; c < rows->n_columns; c++)
    printf ("%s%c", rows->columns[c], c + 1 < rows->n_columns ? '\t' : '\n');
  for (gsize i = 0; i < rows->cells->len; i++)
    printf ("%s%c", cell (rows, i), (i + 1) % rows->n_columns != 0 ? '\t' : '\n');
}

static void
print_padded (const char *text, int width, gboolean right, gboolean last)
{
  int missing = width - (int) g_utf8_strlen (text, -1);

  if (right)
    printf ("%*s%s", MAX (missing, 0), "", text);
  else
    printf ("%s%*s", text, last ? 0 : MAX (missing, 0), "");
  fputs (last ? "\n" : "  ", stdout);
}

static void
print_aligned (const DwnRows *rows)
{
  g_autofree int *width = g_new0 (int, rows->n_columns);
  g_autofree gboolean *right = g_new0 (gboolean, rows->n_columns);
  guint n = rows->n_columns;

  for (guint c = 0; c < n; c++)
    width[c] = (int) g_utf8_strlen (rows->columns[c], -1);
  for (gsize i = 0; i < rows->cells->len; i++)
    {
      width[i % n] = MAX (width[i % n], (int) g_utf8_strlen (cell (rows, i), -1));
      right[i % n] = right[i % n] || g_array_index (rows->numeric, gboolean, i);
    }
  for (guint c = 0; c < n; c++)
    print_padded (rows->columns[c], width[c], right[c], c + 1 == n);
  for (gsize i = 0; i < rows->cells->len; i++)
    print_padded (cell (rows, i), width[i % n], right[i % n], (i + 1) % n == 0);
}

void
dwn_rows_print (DwnRows *rows)
{
  g_return_if_fail (rows->cells->len % rows->n_columns == 0);

  if (rows->tsv)
    print_tsv (rows);
  else
    print_aligned (rows);
  dwn_rows_free (rows);
}

void
dwn_rows_free (DwnRows *rows)
{
  g_strfreev (rows->columns);
  g_ptr_array_unref (rows->cells);
  g_array_unref (rows->numeric);
  g_free (rows);
}
