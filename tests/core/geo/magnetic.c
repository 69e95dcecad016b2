/* The magnetic field against the official test values, and what its reader refuses. */
#include "core/geo/magnetic.h"

#include <gio/gio.h>
#include <math.h>
#include <string.h>

#include "../radio/vectors.h"
#include "core/data/data.h"

typedef struct {
  const Table *table;
  guint row;
  const DwnMagneticModel *model;
} Row;

static double
cell (const Row *row, const char *column)
{
  return table_number (row->table, row->row, column);
}

static void
assert_near (const Row *row, const char *column, double value, double tolerance)
{
  double expected = cell (row, column);

  if (!(fabs (value - expected) <= tolerance))
    g_error ("%s: %.9f is not within %g of %.9f", column, value, tolerance, expected);
}

/* Half a unit of the last digit that the table prints, and what a double may lose. */
static void
assert_printed (const Row *row, const char *column, double value)
{
  const char *point = strchr (table_text (row->table, row->row, column), '.');
  double unit = pow (10, point == NULL ? 0 : -(double) strlen (point + 1));

  assert_near (row, column, value, 0.5 * unit * (1 + 1e-6) + 1e-9);
}

/* Angles to their printed rounding. Of the intensities the table prints six decimals, of which its
 * X (and H, F, which follow from it) has three: there it lies up to 0.0007 nT off the report's sums
 * evaluated with 40 digits, which test_many_digits() holds us to. */
static void
test_official (gconstpointer data)
{
  const Row *row = data;
  DwnLatLon at = { cell (row, "lat_deg"), cell (row, "lon_deg") };
  DwnMagneticField field;

  dwn_magnetic_model_field (row->model, &at, 1000 * cell (row, "height_km"),
                            cell (row, "decimal_year"), &field);
  g_assert_false (field.outside_validity);
  assert_printed (row, "declination_deg", field.at.declination_deg);
  assert_printed (row, "inclination_deg", field.at.inclination_deg);
  assert_near (row, "horizontal_nt", field.at.horizontal_nt, 1e-3);
  assert_near (row, "north_nt", field.at.north_nt, 1e-3);
  assert_near (row, "total_nt", field.at.total_nt, 1e-3);
  assert_printed (row, "east_nt", field.at.east_nt);
  assert_near (row, "down_nt", field.at.down_nt, 3e-6);
  assert_printed (row, "declination_deg_per_year", field.per_year.declination_deg);
  assert_printed (row, "inclination_deg_per_year", field.per_year.inclination_deg);
  assert_near (row, "horizontal_nt_per_year", field.per_year.horizontal_nt, 2e-6);
  assert_near (row, "north_nt_per_year", field.per_year.north_nt, 2e-6);
  assert_near (row, "total_nt_per_year", field.per_year.total_nt, 2e-6);
  assert_printed (row, "east_nt_per_year", field.per_year.east_nt);
  assert_printed (row, "down_nt_per_year", field.per_year.down_nt);
}

/* The potential of the coefficient file differentiated numerically with 40 digits (mpmath 1.3). */
static const struct {
  double decimal_year, height_m;
  DwnLatLon at;
  double north_nt, east_nt, down_nt;
} many_digits[] = {
  { 2025.0, 28000, { 89, -121 }, -255.38872910665, -1482.460627788, 56194.288770921 },
  { 2026.5, 12000, { 33, -145 }, 24136.840357221, 5112.2254219823, 32162.934506115 },
  { 2025.0, 65000, { 43, 93 }, 24299.8530754, 210.51706617383, 50037.923996731 },
};

static void
test_many_digits (gconstpointer data)
{
  const DwnMagneticModel *model = data;

  for (gsize i = 0; i < G_N_ELEMENTS (many_digits); i++)
    {
      DwnMagneticField field;

      dwn_magnetic_model_field (model, &many_digits[i].at, many_digits[i].height_m,
                                many_digits[i].decimal_year, &field);
      g_assert_cmpfloat_with_epsilon (field.at.north_nt, many_digits[i].north_nt, 1e-8);
      g_assert_cmpfloat_with_epsilon (field.at.east_nt, many_digits[i].east_nt, 1e-8);
      g_assert_cmpfloat_with_epsilon (field.at.down_nt, many_digits[i].down_nt, 1e-8);
    }
}

/* At 2026.0 and sea level, computed with an independent library, given to 0.001 degree. */
static const struct {
  DwnLatLon at;
  double declination_deg;
} declinations[] = {
  { { 44.28, -71.69 }, -14.144 },
  { { 34.05, -118.25 }, 11.401 },
  { { 51.5, -0.12 }, 1.080 },
  { { 61.22, -149.9 }, 14.203 },
};

static void
test_declination (gconstpointer data)
{
  const DwnMagneticModel *model = data;

  for (gsize i = 0; i < G_N_ELEMENTS (declinations); i++)
    g_assert_cmpfloat_with_epsilon (
      dwn_magnetic_model_declination_deg (model, &declinations[i].at, 0, 2026.0),
      declinations[i].declination_deg, 0.00051);
}

static void
test_validity (gconstpointer data)
{
  const DwnMagneticModel *model = data;
  const DwnLatLon house = { 44.28, -71.69 };
  const struct {
    double year;
    gboolean outside;
  } years[] = { { 2024.999, TRUE }, { 2025.0, FALSE }, { 2030.0, FALSE }, { 2030.001, TRUE } };

  g_assert_cmpstr (dwn_magnetic_model_name (model), ==, "WMM-2025");
  g_assert_cmpfloat (dwn_magnetic_model_first_year (model), ==, 2025.0);
  g_assert_cmpfloat (dwn_magnetic_model_last_year (model), ==, 2030.0);
  for (gsize i = 0; i < G_N_ELEMENTS (years); i++)
    {
      DwnMagneticField field;

      dwn_magnetic_model_field (model, &house, 0, years[i].year, &field);
      g_assert_cmpint (field.outside_validity, ==, years[i].outside);
      g_assert_true (isfinite (field.at.declination_deg));
    }
}

/* The vector is continuous at a pole, whatever the longitude. */
static void
test_poles (gconstpointer data)
{
  const DwnMagneticModel *model = data;
  const double sides[] = { 1, -1 };

  for (gsize i = 0; i < G_N_ELEMENTS (sides); i++)
    for (double lon_deg = -180; lon_deg <= 180; lon_deg += 45)
      {
        DwnLatLon pole = { sides[i] * 90, lon_deg }, beside = { sides[i] * (90 - 1e-7), lon_deg };
        DwnMagneticField there, here;

        dwn_magnetic_model_field (model, &pole, 0, 2026.0, &there);
        dwn_magnetic_model_field (model, &beside, 0, 2026.0, &here);
        g_assert_cmpfloat_with_epsilon (there.at.north_nt, here.at.north_nt, 1e-3);
        g_assert_cmpfloat_with_epsilon (there.at.east_nt, here.at.east_nt, 1e-3);
        g_assert_cmpfloat_with_epsilon (there.at.down_nt, here.at.down_nt, 1e-3);
      }
}

static void
test_outside_domain (gconstpointer data)
{
  const DwnMagneticModel *model = data;
  const DwnLatLon house = { 44.28, -71.69 }, nowhere = { 95, 0 };
  const double nan = (double) NAN;

  g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &nowhere, 0, 2026)));
  g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &house, nan, 2026)));
  g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &house, 2e6, 2026)));
  g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &house, 0, nan)));

  /* To the poles, and from 10 km under to 1,000 km above the ellipsoid (magnetic.h). */
  const double heights_m[][2] = { { -1e4, -10050 }, { 1e6, 1.005e6 } };
  for (gsize i = 0; i < G_N_ELEMENTS (heights_m); i++)
    {
      g_assert_false (isnan (dwn_magnetic_model_declination_deg (model, &house, heights_m[i][0], 2026)));
      g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &house, heights_m[i][1], 2026)));
    }
  g_assert_false (isnan (dwn_magnetic_model_declination_deg (model, &(DwnLatLon) { -90, 0 }, 0, 2026)));
  g_assert_true (isnan (dwn_magnetic_model_declination_deg (model, &(DwnLatLon) { -90.5, 0 }, 0, 2026)));
}

/* What a bad file is told. Each is the program's own file with one thing changed. */
typedef struct {
  const char *name, *find, *replace;
  DwnMagneticError code;
  const char *says;
} Damage;

static const Damage damages[] = {
  { "no-header", "    2025.0            WMM-2025     11/13/2024\n", "", DWN_MAGNETIC_ERROR_FORMAT,
    "bad.cof:5:" },
  { "header-of-words", "    2025.0 ", "    twenty ", DWN_MAGNETIC_ERROR_FORMAT, "bad.cof:5:" },
  { "header-epoch", "    2025.0 ", "    1e308 ", DWN_MAGNETIC_ERROR_FORMAT, "epoch" },
  { "column-missing", "-29351.8 ", "", DWN_MAGNETIC_ERROR_FORMAT, "bad.cof:6: 5 columns" },
  { "column-added", "-29351.8 ", "-29351.8 7 ", DWN_MAGNETIC_ERROR_FORMAT, "7 columns" },
  { "no-number", "-29351.8 ", "-29351,8 ", DWN_MAGNETIC_ERROR_FORMAT, "column 3" },
  { "nan", "-29351.8 ", "nan ", DWN_MAGNETIC_ERROR_FORMAT, "column 3" },
  { "huge", "-29351.8 ", "1e308 ", DWN_MAGNETIC_ERROR_FORMAT, "column 3" },
  { "degree-13", " 12 12 ", " 13 12 ", DWN_MAGNETIC_ERROR_FORMAT, "from 1 to 12" },
  { "degree-half", " 12 12 ", " 11.5 12 ", DWN_MAGNETIC_ERROR_FORMAT, "whole number" },
  { "order-above", "  1  1 ", "  1  2 ", DWN_MAGNETIC_ERROR_FORMAT, "order 2" },
  { "order-negative", "  1  1 ", "  1 -1 ", DWN_MAGNETIC_ERROR_FORMAT, "order -1" },
  { "twice", "  1  1 ", "  1  0 ", DWN_MAGNETIC_ERROR_FORMAT, "bad.cof:7:" },
  { "one-missing", " 12 12      -0.7       0.2       -0.1       -0.1\n", "",
    DWN_MAGNETIC_ERROR_INCOMPLETE, "degree 12 and order 12" },
  { "ends-early", "  2  0 ", "9999\n  2  0 ", DWN_MAGNETIC_ERROR_INCOMPLETE,
    "degree 2 and order 0" },
  { "long-line", "-29351.8 ",
    "                                                                                            "
    "                                                                                            "
    "        -29351.8 ",
    DWN_MAGNETIC_ERROR_FORMAT, "bad.cof:6: longer" },
};

static char *
own_file (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = dwn_data_lookup ("geo/wmm-2025.cof", NULL, &error);

  g_assert_no_error (error);
  return g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
}

static char *
replace_once (const char *text, const char *find, const char *replace)
{
  const char *at = strstr (text, find);

  g_assert_nonnull (at);
  g_autofree char *before = g_strndup (text, (gsize) (at - text));
  return g_strconcat (before, replace, at + strlen (find), NULL);
}

static DwnMagneticModel *
read_bytes (gconstpointer data, gsize size, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);

  return dwn_magnetic_model_new_from_bytes (bytes, "bad.cof", error);
}

static void
test_damage (gconstpointer data)
{
  const Damage *damage = data;
  g_autofree char *text = own_file ();
  g_autofree char *bad = replace_once (text, damage->find, damage->replace);
  g_autoptr (GError) error = NULL;

  g_assert_null (read_bytes (bad, strlen (bad), &error));
  g_assert_error (error, DWN_MAGNETIC_ERROR, (gint) damage->code);
  if (strstr (error->message, damage->says) == NULL)
    g_error ("\"%s\" does not say \"%s\"", error->message, damage->says);
}

/* As far as a file may go, and a little farther. */
static void
test_edges (void)
{
  g_autofree char *blanks = g_strnfill (200, ' ');
  g_autofree char *text = own_file ();
  /* The first coefficients' line, blanks before it included. */
  const char *first = strstr (text, "  1  0 ");
  gsize length = strcspn (first, "\r\n");
  g_autofree char *own = g_strndup (first, length);
  g_autofree char *full = g_strconcat (blanks + length, own, NULL);
  g_autofree char *over = g_strconcat (" ", full, NULL);
  const struct {
    const char *find, *taken, *refused;
  } edges[] = {
    { "    2025.0 ", "    1900 ", "    1899.9 " }, { "    2025.0 ", "    2100 ", "    2100.1 " },
    { "-29351.8 ", "1000000 ", "1000001 " }, { "-29351.8 ", "-1000000 ", "-1000001 " },
    { own, full, over },
  };

  /* A mebibyte, filled up with lines of remarks. */
  for (gsize size = 1 << 20; size <= (1 << 20) + 1; size++)
    {
      GString *long_text = g_string_new (text);

      while (long_text->len + 64 < size)
        g_string_append (long_text, "# remarks\n");
      while (long_text->len < size)
        g_string_append_c (long_text, '#');
      g_autofree char *filled = g_string_free (long_text, FALSE);
      g_autoptr (DwnMagneticModel) model = read_bytes (filled, size, NULL);
      g_assert_true ((model != NULL) == (size == 1 << 20));
    }

  g_assert_cmpuint (strlen (full), ==, 200);
  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    {
      g_autofree char *good = replace_once (text, edges[i].find, edges[i].taken);
      g_autofree char *bad = replace_once (text, edges[i].find, edges[i].refused);
      g_autoptr (GError) error = NULL;
      g_autoptr (DwnMagneticModel) model = read_bytes (good, strlen (good), &error);

      g_assert_no_error (error);
      g_assert_null (read_bytes (bad, strlen (bad), NULL));
    }
}

static void
test_no_text (void)
{
  g_autofree char *huge = g_strnfill (2 << 20, '#');
  const struct {
    const char *data;
    gsize size;
    DwnMagneticError code;
  } cases[] = {
    { "", 0, DWN_MAGNETIC_ERROR_INCOMPLETE },
    { "\0\1\2\3", 4, DWN_MAGNETIC_ERROR_FORMAT },
    { "\xff\xfe\x32\x00", 4, DWN_MAGNETIC_ERROR_FORMAT },
    { huge, 2 << 20, DWN_MAGNETIC_ERROR_FORMAT },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_null (read_bytes (cases[i].data, cases[i].size, &error));
      g_assert_error (error, DWN_MAGNETIC_ERROR, (gint) cases[i].code);
      g_assert_true (g_str_has_prefix (error->message, "bad.cof:"));
    }
}

/* Line ends of another system and a byte-order mark change nothing. */
static void
test_foreign_text (gconstpointer data)
{
  const DwnMagneticModel *model = data;
  const DwnLatLon house = { 44.28, -71.69 };
  g_autofree char *text = own_file ();
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  g_autofree char *crlf = g_strjoinv ("\r\n", lines);
  g_autofree char *marked = g_strconcat ("\xef\xbb\xbf", crlf, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnMagneticModel) foreign = read_bytes (marked, strlen (marked), &error);

  g_assert_no_error (error);
  g_assert_cmpfloat (dwn_magnetic_model_declination_deg (foreign, &house, 0, 2027), ==,
                     dwn_magnetic_model_declination_deg (model, &house, 0, 2027));
}

int
main (int argc, char **argv)
{
  g_autoptr (GError) error = NULL;

  g_test_init (&argc, &argv, NULL);

  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (&error);
  g_autoptr (Table) table = table_load ("magnetic.csv");

  g_assert_no_error (error);
  for (guint i = 0; i < table->rows->len; i++)
    {
      g_autofree char *path = g_strdup_printf ("/geo/magnetic/official/%u", i + 1);
      Row *row = g_new (Row, 1);

      *row = (Row) { table, i, model };
      g_test_add_data_func_full (path, row, test_official, g_free);
    }
  g_test_add_data_func ("/geo/magnetic/many-digits", model, test_many_digits);
  g_test_add_data_func ("/geo/magnetic/declination", model, test_declination);
  g_test_add_data_func ("/geo/magnetic/validity", model, test_validity);
  g_test_add_data_func ("/geo/magnetic/poles", model, test_poles);
  g_test_add_data_func ("/geo/magnetic/outside-domain", model, test_outside_domain);
  g_test_add_data_func ("/geo/magnetic/foreign-text", model, test_foreign_text);
  for (gsize i = 0; i < G_N_ELEMENTS (damages); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/magnetic/refuses/", damages[i].name, NULL);
      g_test_add_data_func (path, &damages[i], test_damage);
    }
  g_test_add_func ("/geo/magnetic/refuses/no-text", test_no_text);
  g_test_add_func ("/geo/magnetic/refuses/edges", test_edges);
  return g_test_run ();
}
