/* Tables of azimuth and gain, as people type them. */
#include "core/antenna/pattern-table.h"

#include <math.h>
#include <string.h>

static DwnAntenna *
parse (const char *text, GPtrArray *warnings, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_pattern_table_parse (bytes, "/home/me/Own antenna.csv", warnings, error);
}

typedef struct {
  const char *name, *text;
  double azimuth_deg, mhz, gain_dbi;
  guint n_warnings;
} GoodCase;

static const GoodCase good_cases[] = {
  { "comma", "azimuth,500,600\n0,10,12\n90,0,2\n180,-10,-8\n270,-2,0\n", 45, 550, 6, 0 },
  { "semicolon", "azimuth;500\n0;10\n90;0\n180;-10\n270;-2\n", 270, 500, -2, 0 },
  { "tab-crlf-mark", "\xef\xbb\xbf" "azimuth\t500\r\n0\t10\r\n90\t0\r\n180\t-10\r\n270\t-2\r\n",
    180, 500, -10, 0 },
  { "blanks", "# own\nazimuth   500\n  0   10\n 90    0\n180  -10\n270   -2\n", 90, 500, 0, 0 },
  { "frequencies-falling", "azimuth,600,500\n0,12,10\n90,2,0\n180,-8,-10\n270,0,-2\n", 0, 600,
    12, 0 },
  { "rows-in-any-order", "azimuth,500\n270,-2\n0,10\n180,-10\n90,0\n", 90, 500, 0, 0 },
  { "minus-180-to-180", "azimuth,500\n-180,-10\n-90,-2\n0,10\n90,0\n180,-10\n", 270, 500, -2, 0 },
  { "0-to-360", "azimuth,500\n0,10\n90,0\n180,-10\n270,-2\n360,10\n", 315, 500, 4, 0 },
  { "one-side", "azimuth,500\n0,10\n90,0\n180,-10\n", 270, 500, 0, 1 },
  { "relative", "peak-dbi 9.5\nazimuth,500\n0,0\n90,-10\n180,-20\n270,-12\n", 90, 500, -0.5, 0 },
  { "relative-columns",
    "gain relative\npeak-dbi 9 11\nazimuth,500,600\n0,0,0\n90,-10,-12\n180,-20,-20\n270,-9,-9\n",
    90, 600, -1, 0 },
  { "dbi-below-0", "gain dbi\nazimuth,100\n0,-6\n90,-9\n180,-6\n270,-9\n", 0, 100, -6, 0 },
  { "no-frequency", "0 10\n90 0\n180 -10\n270 -2\n", 0, 777, 10, 1 },
  { "our-own-output", "azimuth_deg\tgain_dbi\n0\t-3\n90\t-4\n180\t-5\n270\t-6\n", 90, 600, -4, 1 },
};

static void
test_good (gconstpointer data)
{
  const GoodCase *c = data;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = parse (c->text, warnings, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (antenna->pattern, c->azimuth_deg, c->mhz),
                                  c->gain_dbi, 1e-9);
  g_assert_cmpuint (warnings->len, ==, c->n_warnings);
  g_assert_cmpstr (antenna->pattern->id, ==, "own-antenna");
}

static void
test_name (void)
{
  g_autoptr (DwnAntenna) antenna
      = parse ("name Attic log-periodic\n0 1\n90 2\n180 3\n270 4\n", NULL, NULL);

  g_assert_cmpstr (antenna->pattern->name, ==, "Attic log-periodic");
}

typedef struct {
  const char *name, *text;
  int code;
  const char *says;
} RefusedCase;

static const RefusedCase refused_cases[] = {
  { "empty", "", DWN_ANTENNA_ERROR_TEXT, "empty" },
  { "binary", "\x1f\x8b\x08\xff", DWN_ANTENNA_ERROR_TEXT, "UTF-8" },
  { "no-rows", "azimuth,500\n", DWN_ANTENNA_ERROR_MISSING, "without a row" },
  { "prose", "Dear sir\n", DWN_ANTENNA_ERROR_SYNTAX, ".csv:1: " },
  { "decimal-comma", "azimuth;500\n0;10,5\n", DWN_ANTENNA_ERROR_SYNTAX, "with a point" },
  { "one-field", "azimuth,500\n0\n", DWN_ANTENNA_ERROR_SYNTAX, ".csv:2: " },
  { "columns-change", "0 1\n90 2 3\n", DWN_ANTENNA_ERROR_SYNTAX, ".csv:2: " },
  { "gain-nan", "0 1\n90 nan\n", DWN_ANTENNA_ERROR_SYNTAX, "nan" },
  { "azimuth-361", "361 1\n", DWN_ANTENNA_ERROR_RANGE, "-180 to 360" },
  { "azimuth-twice", "0 1\n90 2\n90 3\n180 1\n270 1\n", DWN_ANTENNA_ERROR_SYNTAX,
    "90 stands here a second time" },
  { "gap", "0 1\n90 2\n200 1\n290 1\n", DWN_ANTENNA_ERROR_MISSING, "between 90° and 200°" },
  { "gap-across-north", "90 2\n180 1\n200 1\n", DWN_ANTENNA_ERROR_MISSING,
    "between 200° and 90°" },
  { "relative-without-peak", "0 0\n90 -3\n180 -9\n270 -3\n", DWN_ANTENNA_ERROR_MISSING,
    "peak-dbi 9.5" },
  { "peaks-differ", "peak-dbi 1 2 3\n0 0\n90 -3\n180 -9\n270 -3\n", DWN_ANTENNA_ERROR_MISSING,
    "for each column" },
  { "unit", "gain dbd\n0 1\n", DWN_ANTENNA_ERROR_SYNTAX, "dbi or relative" },
  { "heading-word", "azimuth,500 MHz\n", DWN_ANTENNA_ERROR_SYNTAX, "MHz" },
  { "heading-late", "0 1\nazimuth 500\n", DWN_ANTENNA_ERROR_SYNTAX, ".csv:2: " },
};

static void
test_refused (gconstpointer data)
{
  const RefusedCase *c = data;
  g_autoptr (GError) error = NULL;

  g_assert_null (parse (c->text, NULL, &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, c->code);
  g_assert_nonnull (strstr (error->message, c->says));
}

static void
test_pattern_refused (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (parse ("azimuth,500,500\n0,1,1\n90,1,1\n180,1,1\n270,1,1\n", NULL, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_ORDER);
  g_clear_error (&error);
  g_assert_null (parse ("azimuth,-5\n0,1\n90,1\n180,1\n270,1\n", NULL, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (good_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pattern-table/good/%s", good_cases[i].name);

      g_test_add_data_func (path, &good_cases[i], test_good);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refused_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/pattern-table/refused/%s", refused_cases[i].name);

      g_test_add_data_func (path, &refused_cases[i], test_refused);
    }
  g_test_add_func ("/pattern-table/name", test_name);
  g_test_add_func ("/pattern-table/pattern-refused", test_pattern_refused);
  return g_test_run ();
}
