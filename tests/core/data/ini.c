#include "core/data/ini.h"

#include <math.h>

static DwnIni *
ini_of (const char *text, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_ini_new (bytes, "parts.ini", error);
}

static void
test_reads (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnIni) ini = ini_of ("\xef\xbb\xbf# made by hand\r\n\r\n[ a b ]\r\nx = 1.5\r\n"
                                   "list=1, -2,3e2\r\nyes=true\r\nwords= of = mine \r\n[c]\n",
                                   &error);
  double value = 0;
  gboolean flag = FALSE;
  gsize n;

  g_assert_no_error (error);
  g_assert_cmpstr (dwn_ini_groups (ini, &n)[0], ==, "a b");
  g_assert_cmpuint (n, ==, 2);
  g_assert_true (dwn_ini_number (ini, "a b", "x", 0, 2, &value, &error));
  g_assert_cmpfloat (value, ==, 1.5);
  g_assert_true (dwn_ini_optional_number (ini, "c", "x", 0, 2, &value, &error));
  g_assert_true (isnan (value));
  g_assert_true (dwn_ini_flag (ini, "a b", "yes", &flag, &error));
  g_assert_true (flag);
  g_assert_true (dwn_ini_flag (ini, "c", "yes", &flag, &error));
  g_assert_false (flag);
  g_assert_cmpstr (dwn_ini_string (ini, "a b", "words", &error), ==, "of = mine");

  g_autoptr (GArray) list = dwn_ini_numbers (ini, "a b", "list", -10, 1000, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (list->len, ==, 3);
  g_assert_cmpfloat (g_array_index (list, double, 2), ==, 300);
}

static const struct {
  const char *name, *text, *message; /* how it begins */
} broken_files[] = {
  { "no-key", "[a]\nx=1\nmore\n", "parts.ini:3: not a comment" },
  { "no-group", "x=1\n", "parts.ini:1: not a comment" },
  { "no-name", "[a]\n=1\n", "parts.ini:2: not a comment" },
  { "open-group", "\n[a\n", "parts.ini:2: a group is a name" },
  { "blank-group", "[ ]\n", "parts.ini:1: a group is a name" },
  { "lone-bracket", "[", "parts.ini:1: a group is a name" },
  { "empty-group", "[]\n", "parts.ini:1: a group is a name" },
  { "key-twice", "[a]\nx=1\ny=2\nx=3\n", "parts.ini:4: [a] x stands on line 2" },
  { "group-twice", "[a]\n[b]\n[a]\n", "parts.ini:3: [a] stands on line 1" },
  { "latin-1", "[a]\nname=Z\xfcrich\n", "parts.ini:2: not text in UTF-8" },
};

static void
test_broken (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GError) error = NULL;

  g_assert_null (ini_of (broken_files[i].text, &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX);
  g_assert_true (g_str_has_prefix (error->message, broken_files[i].message));
}

static void
test_binary (void)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static ("[a]\0x=1\n", 8);
  g_autoptr (GBytes) nothing = g_bytes_new_static (NULL, 0);
  g_autoptr (GError) error = NULL;
  gsize n;

  g_assert_null (dwn_ini_new (bytes, "parts.ini", &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX);

  g_autoptr (DwnIni) empty = dwn_ini_new (nothing, "parts.ini", NULL);
  g_assert_nonnull (empty);
  dwn_ini_groups (empty, &n);
  g_assert_cmpuint (n, ==, 0);
}

static const struct {
  const char *key;
  DwnIniError code;
  const char *message;
} bad_values[] = {
  { "word", DWN_INI_ERROR_VALUE, "parts.ini:2: [a] word: \"loud\" is not a number" },
  { "nan", DWN_INI_ERROR_VALUE, "parts.ini:3: [a] nan: \"nan\" is not a number" },
  { "huge", DWN_INI_ERROR_VALUE, "parts.ini:4: [a] huge: \"1e999\" is not a number" },
  { "big", DWN_INI_ERROR_VALUE, "parts.ini:5: [a] big: 12 is outside 0 to 10" },
  { "unit", DWN_INI_ERROR_VALUE, "parts.ini:6: [a] unit: \"3 dB\" is not a number" },
  { "void", DWN_INI_ERROR_MISSING, "parts.ini:7: [a] void is empty" },
  { "gone", DWN_INI_ERROR_MISSING, "parts.ini:1: [a] has no gone; add a line \"gone = ...\"" },
};

static void
test_bad_value (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnIni) ini = ini_of ("[a]\nword=loud\nnan=nan\nhuge=1e999\nbig=12\nunit=3 dB\nvoid=\n",
                                   NULL);
  g_autoptr (GError) error = NULL;
  double value;

  g_assert_false (dwn_ini_number (ini, "a", bad_values[i].key, 0, 10, &value, &error));
  g_assert_error (error, DWN_INI_ERROR, (int) bad_values[i].code);
  g_assert_cmpstr (error->message, ==, bad_values[i].message);
}

static void
test_bad_flag_and_list (void)
{
  g_autoptr (DwnIni) ini = ini_of ("[a]\nyes=1\nlist=1,,2\n", NULL);
  g_autoptr (GError) error = NULL;
  gboolean flag;

  g_assert_false (dwn_ini_flag (ini, "a", "yes", &flag, &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_VALUE);
  g_clear_error (&error);
  g_assert_null (dwn_ini_numbers (ini, "a", "list", 0, 10, &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_VALUE);
  g_clear_error (&error);
  g_assert_null (dwn_ini_string (ini, "z", "list", &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_MISSING);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/ini/reads", test_reads);
  for (gsize i = 0; i < G_N_ELEMENTS (broken_files); i++)
    {
      g_autofree char *path = g_strdup_printf ("/ini/broken/%s", broken_files[i].name);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_broken);
    }
  g_test_add_func ("/ini/binary", test_binary);
  for (gsize i = 0; i < G_N_ELEMENTS (bad_values); i++)
    {
      g_autofree char *path = g_strdup_printf ("/ini/bad-value/%s", bad_values[i].key);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_bad_value);
    }
  g_test_add_func ("/ini/bad-flag-and-list", test_bad_flag_and_list);

  return g_test_run ();
}
