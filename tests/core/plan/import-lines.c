/* Lines, zip members and CSV records: what is handed out, and what is refused. Expected records
 * follow RFC 4180, section 2. */
#include "import-test.h"

#include "core/plan/csv.h"

static DwnLines *
open_text (const char *text, gsize length, GBytes **bytes)
{
  DwnInput input = { "folder/list.txt", g_bytes_new (text, length) };
  DwnLines *lines = dwn_lines_open (&input, NULL, NULL);

  *bytes = input.bytes;
  return lines;
}

static void
test_line_ends (void)
{
  static const char text[] = "\357\273\277one\r\ntwo\n\nfour";
  static const char *const expected[] = { "one", "two", "", "four" };
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnLines) lines = open_text (text, sizeof text - 1, &bytes);
  char *line;
  gsize length;

  for (guint i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      g_assert_true (dwn_lines_next (lines, &line, &length, NULL));
      g_assert_cmpstr (line, ==, expected[i]);
      g_assert_cmpuint (length, ==, strlen (expected[i]));
      g_assert_cmpuint (dwn_lines_number (lines), ==, i + 1);
    }
  g_assert_false (dwn_lines_next (lines, &line, &length, NULL));
  g_assert_cmpstr (dwn_lines_name (lines), ==, "list.txt");
  g_assert_cmpuint (dwn_lines_first_latin1 (lines), ==, 0);
  g_assert_cmpuint (dwn_lines_consumed (lines), ==, sizeof text - 1);
}

static void
test_latin1 (void)
{
  static const char text[] = "plain\nM\374nchen\n";
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnLines) lines = open_text (text, sizeof text - 1, &bytes);
  char *line;
  gsize length;

  g_assert_true (dwn_lines_next (lines, &line, &length, NULL));
  g_assert_true (dwn_lines_next (lines, &line, &length, NULL));
  g_assert_cmpstr (line, ==, "München");
  g_assert_cmpuint (length, ==, 8);
  g_assert_cmpuint (dwn_lines_first_latin1 (lines), ==, 2);
}

/* Chunks are 64 KiB: lines that straddle them must come out whole. */
static void
test_long_lines (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GBytes) bytes = NULL;
  char *line;
  gsize length;

  for (guint i = 1; i <= 60; i++)
    {
      for (guint j = 0; j < i * 997; j++)
        g_string_append_c (text, (char) ('a' + j % 26));
      g_string_append_c (text, '\n');
    }
  g_autoptr (DwnLines) lines = open_text (text->str, text->len, &bytes);
  for (guint i = 1; i <= 60; i++)
    {
      g_assert_true (dwn_lines_next (lines, &line, &length, NULL));
      g_assert_cmpuint (length, ==, i * 997);
      g_assert_cmpint (line[length - 1], ==, 'a' + (int) ((i * 997 - 1) % 26));
    }
  g_assert_false (dwn_lines_next (lines, &line, &length, NULL));
}

typedef struct {
  const char *name, *text;
  gsize length;
  int code;
  const char *says;
} Refusal;

#define TEXT(text) text, sizeof text - 1
static const Refusal refusals[] = {
  { "binary", TEXT ("fine\nnot\0fine\n"), DWN_LINES_ERROR_BINARY, "list.txt:2: " },
  { "utf-16-le", TEXT ("\377\376a\0b\0"), DWN_LINES_ERROR_BINARY,
    "list.txt:1: the file is in UTF-16" },
  { "utf-16-be", TEXT ("\376\377\0a\0b"), DWN_LINES_ERROR_BINARY,
    "list.txt:1: the file is in UTF-16" },
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *refusal = data;
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnLines) lines = open_text (refusal->text, refusal->length, &bytes);
  g_autoptr (GError) error = NULL;
  char *line;
  gsize length;

  while (dwn_lines_next (lines, &line, &length, &error))
    ;
  g_assert_error (error, DWN_LINES_ERROR, refusal->code);
  assert_says (error->message, refusal->says);
}

static void
test_refuses_endless_line (void)
{
  g_autofree char *text = g_strnfill (2 * DWN_LINE_MAX, 'x');
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnLines) lines = open_text (text, 2 * DWN_LINE_MAX, &bytes);
  g_autoptr (GError) error = NULL;
  char *line;
  gsize length;

  g_assert_false (dwn_lines_next (lines, &line, &length, &error));
  g_assert_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_TOO_LONG);
  assert_says (error->message, "list.txt:1: the line is longer than 1 MiB");
}

static void
test_missing_file (void)
{
  const DwnInput input = { "/nowhere/list.txt", NULL };
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_lines_open (&input, NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  assert_says (error->message, "/nowhere/list.txt");
}

static void
test_zip_members (void)
{
  static const char *const names[] = { "a.dat", "folder/b.dat" };
  static const char *const texts[] = { "1\n2\n", "3" };
  DwnInput input = { "two.zip", make_zip (2, names, texts) };
  g_auto (GStrv) members = dwn_input_members (&input, NULL);
  g_autoptr (GBytes) head = dwn_input_peek (&input, 4, NULL);
  char *line;
  gsize length;

  g_assert_cmpuint (g_strv_length (members), ==, 2);
  g_assert_cmpstr (members[1], ==, "folder/b.dat");
  g_assert_true (dwn_input_is_zip (head));

  g_autoptr (DwnLines) second = dwn_lines_open (&input, "folder/b.dat", NULL);
  g_assert_true (dwn_lines_next (second, &line, &length, NULL));
  g_assert_cmpstr (line, ==, "3");
  g_assert_false (dwn_lines_next (second, &line, &length, NULL));
  g_assert_cmpstr (dwn_lines_name (second), ==, "two.zip:folder/b.dat");

  g_autoptr (GError) error = NULL;
  g_assert_null (dwn_lines_open (&input, "c.dat", &error));
  g_assert_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_ARCHIVE);
  g_bytes_unref (input.bytes);
}

static void
test_unsafe_zip (gconstpointer data)
{
  const char *const names[] = { data }, *const texts[] = { "x" };
  DwnInput input = { "bad.zip", make_zip (1, names, texts) };
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_input_members (&input, &error));
  g_assert_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_UNSAFE);
  assert_says (error->message, "bad.zip: ");
  g_bytes_unref (input.bytes);
}

static void
test_damaged_zip (void)
{
  static const char *const names[] = { "facility.dat" };
  g_autofree char *text = g_strnfill (200000, 'y');
  const char *const texts[] = { text };
  g_autoptr (GBytes) whole = make_zip (1, names, texts);
  g_autoptr (GBytes) half = g_bytes_new_from_bytes (whole, 0, g_bytes_get_size (whole) / 2);
  const DwnInput input = { "half.zip", half };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnLines) lines = dwn_lines_open (&input, "facility.dat", &error);
  char *line;
  gsize length;

  while (lines != NULL && dwn_lines_next (lines, &line, &length, &error))
    ;
  g_assert_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_ARCHIVE);
  assert_says (error->message, "half.zip:facility.dat: ");
}

typedef struct {
  const char *name, *text;
  char separator;
  const char *expected; /* fields joined by "|", records ended by "/" */
} CsvCase;

static const CsvCase csv_cases[] = {
  { "plain", "a,b,c\n1,2,3\n", 0, "a|b|c/1|2|3/" },
  { "crlf-and-empty-lines", "a,b\r\n\r\n1,2\r\n", 0, "a|b/1|2/" },
  { "empty-fields", ",,\n", 0, "||/" },
  { "quotes", "\"a, b\",\"say \"\"hi\"\"\",c\n", 0, "a, b|say \"hi\"|c/" },
  { "line-end-in-quotes", "\"one\ntwo\",x\n", 0, "one\ntwo|x/" },
  { "semicolon", "a;b,c;d\n", 0, "a|b,c|d/" },
  { "tab", "a\tb c\t\td\n", 0, "a|b c||d/" },
  { "said-separator", "a,b;c\n", ',', "a|b;c/" },
  { "blanks", " a , \"b\" ,c \n", 0, "a|b|c/" },
  { "blanks-in-quotes", "\" a \",b\n", 0, " a |b/" },
  { "no-last-line-end", "a,b", 0, "a|b/" },
};

static void
test_csv (gconstpointer data)
{
  const CsvCase *test = data;
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (open_text (test->text, strlen (test->text), &bytes),
                                             test->separator);
  g_autoptr (GString) got = g_string_new (NULL);
  g_autoptr (GError) error = NULL;
  char **fields;
  guint n;

  while (dwn_csv_next (csv, &fields, &n, &error))
    {
      for (guint i = 0; i < n; i++)
        g_string_append_printf (got, "%s%s", i > 0 ? "|" : "", fields[i]);
      g_string_append_c (got, '/');
    }
  g_assert_no_error (error);
  g_assert_cmpstr (got->str, ==, test->expected);
}

static void
test_open_quote (void)
{
  static const char text[] = "a,b\n1,\"never closed\n2,3\n";
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (open_text (text, sizeof text - 1, &bytes), 0);
  g_autoptr (GError) error = NULL;
  char **fields;
  guint n;

  g_assert_true (dwn_csv_next (csv, &fields, &n, NULL));
  g_assert_false (dwn_csv_next (csv, &fields, &n, &error));
  g_assert_error (error, DWN_CSV_ERROR, DWN_CSV_ERROR_QUOTE);
  assert_says (error->message, "list.txt:2: a quote in this record is never closed");
}

static void
test_too_many_fields (void)
{
  g_autofree char *commas = g_strnfill (DWN_CSV_FIELDS_MAX, ',');
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (open_text (commas, strlen (commas), &bytes), ',');
  g_autoptr (GError) error = NULL;
  char **fields;
  guint n;

  g_assert_false (dwn_csv_next (csv, &fields, &n, &error));
  g_assert_error (error, DWN_CSV_ERROR, DWN_CSV_ERROR_TOO_LONG);
}

int
main (int argc, char *argv[])
{
  static const char *const unsafe[] = { "../facility.dat", "/etc/facility.dat", "a/../../b.dat",
                                        "a\\..\\b.dat", "C:/facility.dat", ">target" };

  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/lines/ends-and-byte-order-mark", test_line_ends);
  g_test_add_func ("/lines/latin-1", test_latin1);
  g_test_add_func ("/lines/across-chunks", test_long_lines);
  g_test_add_func ("/lines/refuses/endless", test_refuses_endless_line);
  g_test_add_func ("/lines/refuses/missing-file", test_missing_file);
  for (guint i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strdup_printf ("/lines/refuses/%s", refusals[i].name);
      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  g_test_add_func ("/zip/members", test_zip_members);
  g_test_add_func ("/zip/damaged", test_damaged_zip);
  for (guint i = 0; i < G_N_ELEMENTS (unsafe); i++)
    {
      g_autofree char *path = g_strdup_printf ("/zip/unsafe/%u", i);
      g_test_add_data_func (path, unsafe[i], test_unsafe_zip);
    }
  for (guint i = 0; i < G_N_ELEMENTS (csv_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/csv/%s", csv_cases[i].name);
      g_test_add_data_func (path, &csv_cases[i], test_csv);
    }
  g_test_add_func ("/csv/refuses/open-quote", test_open_quote);
  g_test_add_func ("/csv/refuses/fields", test_too_many_fields);
  return g_test_run ();
}
