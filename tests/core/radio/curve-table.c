#include "core/radio/curve-table.h"

#include "core/radio/curves.h"

static const char good[] = "\xef\xbb\xbf# made up\r\nhaat_m,1km,2km,3.5km\r\n"
                           "10,50,40,30\r\n20,52,42,32\r\n\r\n40,56,46,36\r\n";

static DwnSurface *
read_text (const char *text, gsize size, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, size);

  return dwn_curve_table_read (bytes, "own.csv", error);
}

static void
test_good (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnSurface) surface = read_text (good, sizeof good - 1, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat (dwn_surface_at (surface, 1, 10), ==, 50);
  g_assert_cmpfloat (dwn_surface_at (surface, 3.5, 40), ==, 36);
}

#define HEAD "haat_m,1km,2km,3km\n"

static const struct {
  const char *name, *text, *message;
} broken[] = {
  { "empty", "", "own.csv:2: fewer than 3 rows of fields" },
  { "comment-only", "# nothing", "own.csv:2: fewer than 3 rows of fields" },
  { "other-file", "name,lat,lon\n", "own.csv:1: the first row has to begin with \"haat_m,\"" },
  { "no-unit", "haat_m,1,2,3\n", "own.csv:1: behind 1 has to stand \"km\"" },
  { "miles", "haat_m,1km,2mi,3km\n", "own.csv:1: behind 2 has to stand \"km\"" },
  { "two-distances", "haat_m,1km,2km\n", "own.csv:1: fewer than 3 distances" },
  { "falling", "haat_m,1km,3km,2km\n", "own.csv:1: 2 does not rise" },
  { "word", HEAD "10,50,loud,30\n", "own.csv:2: \"loud\" is not a number" },
  { "nan", HEAD "10,50,nan,30\n", "own.csv:2: \"nan\" is not a number" },
  { "inf", HEAD "10,50,1e999,30\n", "own.csv:2: \"1e999\" is not a number" },
  { "huge", HEAD "10,50,1e308,30\n", "own.csv:2: 1e+308 is outside -300 to 300" },
  { "unit", HEAD "10,50dB,40,30\n", "own.csv:2: behind 50 has to stand a comma" },
  { "short", HEAD "10,50,40,30\n20,50,40\n", "own.csv:3: there have to be 3 fields" },
  { "long", HEAD "10,50,40,30,20\n", "own.csv:2: there have to be 3 fields" },
  { "gap", HEAD "10,50,,30\n", "own.csv:2: \"\" is not a number" },
  { "height-twice", HEAD "10,5,4,3\n10,5,4,3\n", "own.csv:3: 10 does not rise" },
  { "two-rows", HEAD "10,5,4,3\n20,5,4,3\n", "own.csv:5: fewer than 3 rows" },
  { "negative", HEAD "-10,5,4,3\n", "own.csv:2: -10 is outside 0 to 20000" },
};

static void
test_broken (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GError) error = NULL;

  g_assert_null (read_text (broken[i].text, strlen (broken[i].text), &error));
  g_assert_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_FILE);
  g_assert_cmpstr (error->message, !=, "");
  if (!g_str_has_prefix (error->message, broken[i].message))
    g_error ("\"%s\" does not begin with \"%s\"", error->message, broken[i].message);
}

static void
test_binary (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (read_text ("haat_m\0,1km", 11, &error));
  g_assert_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_FILE);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/curve-table/good", test_good);
  for (gsize i = 0; i < G_N_ELEMENTS (broken); i++)
    {
      g_autofree char *path = g_strdup_printf ("/curve-table/broken/%s", broken[i].name);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_broken);
    }
  g_test_add_func ("/curve-table/binary", test_binary);

  return g_test_run ();
}
