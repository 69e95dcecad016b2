/* The program's own file of an antenna: read, written, read again, refused. */
#include "core/antenna/antenna.h"

#include <math.h>
#include <string.h>

#define HEAD "downlead-antenna 1\nid a\n"
#define WHOLE \
  "\xef\xbb\xbf" "downlead-antenna 1\r\n# a comment\r\nid yagi-3\r\nname Yagi, 3 elements\r\n" \
  "source made up\r\nfeed-ohm 300\r\nbalun-db 0.5\r\nprice 25\r\nsymmetry left-right\r\n" \
  "azimuth-deg 0 90 180\r\nelevation-deg -90 0 90\r\n\r\n" \
  "mhz 500\r\nimpedance-ohm 280 -20\r\nmismatch-db 0.1\r\ngain-dbi 8 0 -4\r\n" \
  "elevation-db -9 0 -8\r\nmhz 600\r\nimpedance-ohm 320 20\r\nmismatch-db 0.3\r\n" \
  "gain-dbi 10 2 -6\r\nelevation-db -7 0 -6\r\n"

static DwnAntenna *
parse (const char *text, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_antenna_parse (bytes, "test.antenna", error);
}

static void
assert_whole (const DwnAntenna *antenna)
{
  const DwnPattern *pattern = antenna->pattern;

  g_assert_cmpstr (pattern->id, ==, "yagi-3");
  g_assert_cmpstr (pattern->name, ==, "Yagi, 3 elements");
  g_assert_cmpstr (pattern->source, ==, "made up");
  g_assert_cmpfloat (pattern->price, ==, 25.0);
  g_assert_cmpfloat (antenna->feed_ohm, ==, 300.0);
  g_assert_cmpfloat (antenna->balun_db, ==, 0.5);
  g_assert_cmpuint (pattern->n_azimuth, ==, 4);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 270.0, 600.0), ==, 2.0);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 45.0, 500.0), ==, 4.0);
  g_assert_cmpfloat (dwn_pattern_elevation_db (pattern, 45.0, 500.0), ==, -4.0);
  g_assert_cmpfloat (antenna->reactance_ohm[1], ==, 20.0);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (antenna->pattern, 550.0), 0.2, 1e-12);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (antenna->pattern, 100.0), ==, 0.1);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (antenna->pattern, 900.0), ==, 0.3);
}

static void
test_whole (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = parse (WHOLE, &error);

  g_assert_no_error (error);
  assert_whole (antenna);
}

/* Figures at the ends of their ranges are read, beyond them refused. */
static void
test_edges (void)
{
  static const struct {
    const char *line, *taken, *refused;
  } edges[] = {
    { "feed-ohm 300", "feed-ohm 10000", "feed-ohm 10001" }, { "feed-ohm 300", "feed-ohm 0.5", "feed-ohm 0" },
    { "balun-db 0.5", "balun-db 100", "balun-db 100.5" }, { "balun-db 0.5", "balun-db 0", "balun-db -0.1" },
    { "price 25", "price 1e9", "price 1.01e9" }, { "price 25", "price 0", "price -0.1" },
    { "mismatch-db 0.1", "mismatch-db 0", "mismatch-db -0.1" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    for (guint beyond = 0; beyond < 2; beyond++)
      {
        g_auto (GStrv) halves = g_strsplit (WHOLE, edges[i].line, 2);
        g_autofree char *text = g_strconcat (halves[0], beyond ? edges[i].refused : edges[i].taken, halves[1],
                                             NULL);
        g_autoptr (GError) error = NULL;
        g_autoptr (DwnAntenna) antenna = parse (text, &error);

        g_assert_true ((antenna == NULL) == beyond);
        if (beyond)
          g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE);
      }
}

static void
test_written_and_read_again (void)
{
  g_autoptr (DwnAntenna) antenna = parse (WHOLE, NULL);
  g_autofree char *text = dwn_antenna_to_text (antenna);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) again = parse (text, &error);

  g_assert_no_error (error);
  assert_whole (again);
  g_assert_nonnull (strstr (text, "\nsymmetry left-right\n"));
}

/* A name with a line break must not become two lines of the file. */
static void
test_written_name_is_one_line (void)
{
  static const double mhz[] = { 500.0 }, azimuth_deg[] = { 0.0 }, gain_dbi[] = { 1.0 };
  const DwnPattern values = { .id = "a", .name = "two\nmhz lines", .n_mhz = 1, .mhz = mhz,
                              .n_azimuth = 1, .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi,
                              .price = (double) NAN };
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);
  const DwnAntenna bare = { .pattern = pattern, .feed_ohm = (double) NAN,
                            .balun_db = (double) NAN };
  g_autoptr (DwnAntenna) antenna = dwn_antenna_new (&bare);
  g_autofree char *text = dwn_antenna_to_text (antenna);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) again = parse (text, &error);

  g_assert_no_error (error);
  g_assert_cmpstr (again->pattern->name, ==, "two mhz lines");
  g_assert_true (isnan (again->feed_ohm) && isnan (again->pattern->price));
  g_assert_cmpfloat (dwn_pattern_mismatch_db (again->pattern, 500.0), ==, 0.0);
}

typedef struct {
  const char *name, *text;
  int code;
  const char *says;
} RefusedCase;

static const RefusedCase refused_cases[] = {
  { "empty", "", DWN_ANTENNA_ERROR_TEXT, "empty" },
  { "only-a-mark", "\xef\xbb\xbf", DWN_ANTENNA_ERROR_TEXT, "empty" },
  { "too-many-azimuths", NULL, DWN_ANTENNA_ERROR_RANGE, "1 to 3600" },
  { "binary", "\x89PNG\xff", DWN_ANTENNA_ERROR_TEXT, "UTF-8" },
  { "latin-1", HEAD "name H\xf6he\n", DWN_ANTENNA_ERROR_TEXT, "UTF-8" },
  { "other-file", "name;gain\n", DWN_ANTENNA_ERROR_SYNTAX, "test.antenna:1: " },
  { "newer", "downlead-antenna 2\n", DWN_ANTENNA_ERROR_VERSION, "reads version 1" },
  { "unknown-key", HEAD "colour red\n", DWN_ANTENNA_ERROR_SYNTAX, "test.antenna:3: " },
  { "bad-id", "downlead-antenna 1\nid ../a\n", DWN_ANTENNA_ERROR_SYNTAX, ":2: " },
  { "no-id", "downlead-antenna 1\nazimuth-deg 0\nmhz 5\ngain-dbi 1\n", DWN_ANTENNA_ERROR_MISSING,
    "id" },
  { "no-frequency", HEAD, DWN_ANTENNA_ERROR_MISSING, "frequency" },
  { "truncated", HEAD "azimuth-deg 0 90\nmhz 500\n", DWN_ANTENNA_ERROR_MISSING, "gain-dbi" },
  { "gain-before-mhz", HEAD "azimuth-deg 0\ngain-dbi 1\n", DWN_ANTENNA_ERROR_SYNTAX, ":4: " },
  { "mhz-before-azimuth", HEAD "mhz 500\n", DWN_ANTENNA_ERROR_MISSING, "azimuth-deg" },
  { "too-few-gains", HEAD "azimuth-deg 0 90\nmhz 500\ngain-dbi 1\n", DWN_ANTENNA_ERROR_SYNTAX,
    "announces 2" },
  { "gain-twice", HEAD "azimuth-deg 0\nmhz 500\ngain-dbi 1\ngain-dbi 1\n",
    DWN_ANTENNA_ERROR_SYNTAX, ":6: " },
  { "nan", HEAD "azimuth-deg 0\nmhz 500\ngain-dbi nan\n", DWN_ANTENNA_ERROR_SYNTAX, "nan" },
  { "hexadecimal", HEAD "azimuth-deg 0\nmhz 0x1F4\n", DWN_ANTENNA_ERROR_SYNTAX, "0x1F4" },
  { "comma", HEAD "azimuth-deg 0\nmhz 500,5\n", DWN_ANTENNA_ERROR_SYNTAX, "500,5" },
  { "overflow", HEAD "azimuth-deg 0\nmhz 1e400\n", DWN_ANTENNA_ERROR_SYNTAX, "1e400" },
  { "negative-mismatch", HEAD "azimuth-deg 0\nmhz 500\nmismatch-db -1\n",
    DWN_ANTENNA_ERROR_RANGE, ":5: " },
  { "feed-zero", HEAD "feed-ohm 0\n", DWN_ANTENNA_ERROR_RANGE, ":3: " },
  { "half-circle", HEAD "symmetry left-right\nazimuth-deg 0 90\nmhz 5\ngain-dbi 1 2\n",
    DWN_ANTENNA_ERROR_RANGE, "0 to 180" },
  { "symmetry", HEAD "symmetry round\n", DWN_ANTENNA_ERROR_SYNTAX, "left-right" },
};

static char *
too_many_azimuths (void)
{
  GString *text = g_string_new (HEAD "azimuth-deg");

  for (int i = 0; i <= DWN_ANTENNA_MAX_ANGLES; i++)
    g_string_append_printf (text, " %d", i);
  return g_string_free (text, FALSE);
}

static void
test_refused (gconstpointer data)
{
  const RefusedCase *c = data;
  g_autoptr (GError) error = NULL;
  g_autofree char *long_text = c->text == NULL ? too_many_azimuths () : NULL;

  g_assert_null (parse (c->text != NULL ? c->text : long_text, &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, c->code);
  g_assert_nonnull (strstr (error->message, c->says));
}

static void
test_pattern_refused (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (parse (HEAD "azimuth-deg 0 90 90\nmhz 500\ngain-dbi 1 2 3\n", &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_ORDER);
  g_assert_true (g_str_has_prefix (error->message, "test.antenna: "));
}

static void
test_too_large (void)
{
  gsize size = DWN_ANTENNA_MAX_BYTES + 1;
  char *text = g_malloc (size);
  g_autoptr (GBytes) bytes = NULL;
  g_autoptr (GError) error = NULL;

  memset (text, '#', size);
  bytes = g_bytes_new_take (text, size);
  g_assert_null (dwn_antenna_parse (bytes, "large", &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_TEXT);
}

/* Standing wave ratio 2 loses 0.512 dB, 4 loses 1.938 dB: standard tables of mismatch loss. */
static void
test_mismatch (void)
{
  g_assert_cmpfloat_with_epsilon (dwn_mismatch_loss_db (300.0, 0.0, 300.0), 0.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (dwn_mismatch_loss_db (150.0, 0.0, 75.0), 0.512, 0.0005);
  g_assert_cmpfloat_with_epsilon (dwn_mismatch_loss_db (75.0, 0.0, 300.0), 1.938, 0.0005);
  /* R = Z0, X = 2 Z0: |Γ|² = ½, half of the power. */
  g_assert_cmpfloat_with_epsilon (dwn_mismatch_loss_db (75.0, -150.0, 75.0), 3.0103, 0.0001);
  g_assert_true (isnan (dwn_mismatch_loss_db (0.0, 10.0, 75.0)));
  g_assert_true (isnan (dwn_mismatch_loss_db (75.0, 0.0, -75.0)));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (refused_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/antenna/refused/%s", refused_cases[i].name);

      g_test_add_data_func (path, &refused_cases[i], test_refused);
    }
  g_test_add_func ("/antenna/whole", test_whole);
  g_test_add_func ("/antenna/edges", test_edges);
  g_test_add_func ("/antenna/written-and-read-again", test_written_and_read_again);
  g_test_add_func ("/antenna/written-name-is-one-line", test_written_name_is_one_line);
  g_test_add_func ("/antenna/pattern-refused", test_pattern_refused);
  g_test_add_func ("/antenna/too-large", test_too_large);
  g_test_add_func ("/antenna/mismatch", test_mismatch);
  return g_test_run ();
}
