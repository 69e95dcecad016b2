/* Figures as regulators and spreadsheets write them. Expected values are plain arithmetic on the
 * figures in the text. */
#include "core/plan/fields.h"

#include <math.h>

typedef struct {
  const char *name, *text;
  char decimal;
  gboolean is_valid;
  double expected;
} NumberCase;

static const NumberCase number_cases[] = {
  { "plain", "284.", '.', TRUE, 284 },
  { "blanks", "  0.018 ", '.', TRUE, 0.018 },
  { "negative", "-109.4", '.', TRUE, -109.4 },
  { "exponent", "1.5e3", '.', TRUE, 1500 },
  { "comma", "12,5", ',', TRUE, 12.5 },
  { "comma-where-point", "12,5", '.', FALSE, 0 },
  { "thousands-point", "1.000", ',', FALSE, 0 },
  { "thousands-comma", "1,000.5", '.', FALSE, 0 },
  { "empty", "", '.', FALSE, 0 },
  { "blank", "   ", '.', FALSE, 0 },
  { "nan", "nan", '.', FALSE, 0 },
  { "infinite", "inf", '.', FALSE, 0 },
  { "hexadecimal", "0x10", '.', FALSE, 0 },
  { "huge", "1e400", '.', FALSE, 0 },
  { "unit", "284 kW", '.', FALSE, 0 },
  { "two", "1 2", '.', FALSE, 0 },
  { "long", "0000000000000000000000000000000000000000000000000000000000000000001", '.', FALSE, 0 },
};

static void
test_number (gconstpointer data)
{
  const NumberCase *test = data;
  double value = 77;

  g_assert_cmpint (dwn_field_number (test->text, test->decimal, &value), ==, test->is_valid);
  g_assert_cmpfloat (value, ==, test->is_valid ? test->expected : 77);
}

static void
test_measure (void)
{
  double value;

  g_assert_true (dwn_field_measure ("284.   kW", "kW", &value));
  g_assert_cmpfloat (value, ==, 284);
  g_assert_true (dwn_field_measure ("410.5  m", "m", &value));
  g_assert_cmpfloat (value, ==, 410.5);
  g_assert_true (dwn_field_measure ("7", "kW", &value));
  g_assert_cmpfloat (value, ==, 7);
  g_assert_false (dwn_field_measure ("284 W", "kW", &value));
  g_assert_false (dwn_field_measure ("284 ft", "m", &value));
  g_assert_false (dwn_field_measure ("kW", "kW", &value));
}

typedef struct {
  const char *name, *text;
  gboolean is_valid;
  double expected;
} AngleCase;

static const AngleCase packed_cases[] = {
  { "six", "612009", TRUE, 61 + 20 / 60.0 + 9 / 3600.0 },
  { "seven", "1493055", TRUE, 149 + 30 / 60.0 + 55 / 3600.0 },
  { "seconds-60", "570260", TRUE, 57 + 3 / 60.0 },
  { "decimals", "435533.5", TRUE, 43 + 55 / 60.0 + 33.5 / 3600.0 },
  { "minutes-60", "576000", FALSE, 0 },
  { "seconds-61", "570261", FALSE, 0 },
  { "short", "1234", FALSE, 0 },
  { "long", "12345678", FALSE, 0 },
  { "word", "north", FALSE, 0 },
  { "empty", "", FALSE, 0 },
};

static void
test_packed (gconstpointer data)
{
  const AngleCase *test = data;
  double degrees = 0;

  g_assert_cmpint (dwn_field_packed_degrees (test->text, &degrees), ==, test->is_valid);
  g_assert_cmpfloat_with_epsilon (degrees, test->expected, 1e-12);
}

static const AngleCase angle_cases[] = {
  { "decimal", "44.28", TRUE, 44.28 },
  { "west-negative", "-71.69", TRUE, -71.69 },
  { "west-letter", "71.69 W", TRUE, -71.69 },
  { "symbols", "44° 16' 48\" N", TRUE, 44.28 },
  { "primes", "71°41′24″W", TRUE, -71.69 },
  { "spaces", "44 16 48", TRUE, 44.28 },
  { "minutes", "44 16.8 N", TRUE, 44.28 },
  { "south", "33:52:00 S", TRUE, -(33 + 52 / 60.0) },
  { "minus-and-west", "-71.69 W", FALSE, 0 },
  { "four-figures", "1 2 3 4", FALSE, 0 },
  { "minutes-75", "44 75 0 N", FALSE, 0 },
  { "word", "north", FALSE, 0 },
  { "slash", "44/16", FALSE, 0 },
  { "empty", "", FALSE, 0 },
};

static void
test_angle (gconstpointer data)
{
  const AngleCase *test = data;
  double degrees = 0;

  g_assert_cmpint (dwn_field_angle (test->text, '.', "NSEW", &degrees), ==, test->is_valid);
  g_assert_cmpfloat_with_epsilon (degrees, test->expected, 1e-12);
}

static void
test_decimal_comma_angle (void)
{
  double degrees;

  g_assert_true (dwn_field_angle ("47,5125", ',', "NS", &degrees));
  g_assert_cmpfloat (degrees, ==, 47.5125);
  g_assert_true (dwn_field_angle ("11° 30,6' E", ',', "EW", &degrees));
  g_assert_false (dwn_field_angle ("11° 30,6' E", ',', "NS", &degrees));
  g_assert_cmpfloat_with_epsilon (degrees, 11.51, 1e-12);
}

static void
test_dates (void)
{
  static const struct {
    const char *text;
    guint expected;
  } cases[] = {
    { "20090612AFN", 20090612 }, { "2013-05-28", 20130528 }, { "2013-05-28 10:11:12", 20130528 },
    { "05/28/2013", 20130528 },  { "19800620IA", 19800620 }, { "4103", 0 },
    { "2035", 0 },               { "20091332AAA", 0 },       { "", 0 },
    { "today", 0 },              { "00000000", 0 },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpuint (dwn_field_date (cases[i].text), ==, cases[i].expected);
}

static void
test_polarisations (void)
{
  g_assert_cmpint (dwn_field_polarisation ("H"), ==, DWN_POLARISATION_HORIZONTAL);
  g_assert_cmpint (dwn_field_polarisation ("vertical"), ==, DWN_POLARISATION_VERTICAL);
  g_assert_cmpint (dwn_field_polarisation ("E"), ==, DWN_POLARISATION_CIRCULAR);
  g_assert_cmpint (dwn_field_polarisation ("C"), ==, DWN_POLARISATION_CIRCULAR);
  g_assert_cmpint (dwn_field_polarisation ("-"), ==, DWN_POLARISATION_UNKNOWN);
  g_assert_cmpint (dwn_field_polarisation (""), ==, DWN_POLARISATION_UNKNOWN);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (number_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/fields/number/%s", number_cases[i].name);
      g_test_add_data_func (path, &number_cases[i], test_number);
    }
  for (guint i = 0; i < G_N_ELEMENTS (packed_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/fields/packed/%s", packed_cases[i].name);
      g_test_add_data_func (path, &packed_cases[i], test_packed);
    }
  for (guint i = 0; i < G_N_ELEMENTS (angle_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/fields/angle/%s", angle_cases[i].name);
      g_test_add_data_func (path, &angle_cases[i], test_angle);
    }
  g_test_add_func ("/fields/angle/decimal-comma", test_decimal_comma_angle);
  g_test_add_func ("/fields/measures", test_measure);
  g_test_add_func ("/fields/dates", test_dates);
  g_test_add_func ("/fields/polarisations", test_polarisations);
  return g_test_run ();
}
