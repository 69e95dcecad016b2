/* Listings of a thin-wire program: what is taken from them, and when they are refused. */
#include "core/antenna/thin-wire.h"

#include <math.h>
#include <string.h>

#define AT(mhz) "                                FREQUENCY : " mhz " MHz\n"
#define FEED(r, x) \
  " --------- ANTENNA INPUT PARAMETERS ---------\n" \
  "  TAG   SEG       VOLTAGE (VOLTS)    CURRENT (AMPS)    IMPEDANCE (OHMS)   POWER\n" \
  "    2 *  41  1.0000E+00  0.0000E+00  4.7292E-02  4.3451E-04 " r " " x " 4.7292E-02  4.3E-04\n\n"
#define HEADING \
  " ---------- RADIATION PATTERNS -----------\n\n" \
  " ---- ANGLES -----     ----- POWER GAINS -----       ---- POLARIZATION ----\n" \
  "  THETA      PHI       VERTC    HORIZ    TOTAL       AXIAL      TILT  SENSE\n" \
  " DEGREES   DEGREES        DB       DB       DB       RATIO   DEGREES\n"
#define ROW(theta, phi, v, h, t) \
  " " theta " " phi " " v " " h " " t "  0.0 -90.00 LINEAR  0.0E+00 0.00  3.3E+00 -98.52\n"
#define AROUND \
  ROW ("90.00", "0.00", "-999.99", "9.00", "9.00") \
  ROW ("90.00", "90.00", "-999.99", "-999.99", "-999.99") \
  ROW ("90.00", "180.00", "-999.99", "-3.00", "-3.00") \
  ROW ("90.00", "270.00", "-999.99", "1.00", "1.00") \
  ROW ("90.00", "360.00", "-999.99", "9.00", "9.00") "\n"
#define OVER \
  ROW ("0.00", "0.00", "-999.99", "-1.00", "-1.00") \
  ROW ("90.00", "0.00", "-999.99", "9.00", "9.00") \
  ROW ("180.00", "0.00", "-999.99", "-2.00", "-2.00") "\n"
#define WHOLE \
  AT ("6.0000E+02") FEED ("1.5000E+02", "0.0000E+00") HEADING AROUND HEADING OVER \
  AT ("5.0000E+02") FEED ("7.5000E+01", "-1.5000E+02") HEADING AROUND HEADING OVER

static DwnAntenna *
parse (const char *text, GPtrArray *warnings, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_thin_wire_parse (bytes, "own.out", 75.0, warnings, error);
}

/* Frequencies are sorted, phi turns the other way, the closing azimuth is dropped, and nulls end
 * at −40 dBi. */
static void
test_whole (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = parse (WHOLE, NULL, &error);
  const DwnPattern *pattern;

  g_assert_no_error (error);
  pattern = antenna->pattern;
  g_assert_cmpuint (pattern->n_mhz, ==, 2);
  g_assert_cmpuint (pattern->n_azimuth, ==, 4);
  g_assert_cmpfloat (pattern->mhz[0], ==, 500.0);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 90.0, 500.0), ==, 1.0);
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 270.0, 500.0), ==, DWN_THIN_WIRE_FLOOR_DBI);
  g_assert_cmpfloat (dwn_pattern_elevation_db (pattern, 90.0, 600.0), ==, -10.0);
  g_assert_cmpfloat (dwn_pattern_elevation_db (pattern, -90.0, 600.0), ==, -11.0);
  g_assert_cmpfloat (antenna->reactance_ohm[0], ==, -150.0);
  /* A standing wave ratio of 2 loses 0.512 dB; R = Z0, X = 2 Z0 half of the power. */
  g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (pattern, 600.0), 0.512, 0.0005);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (pattern, 500.0), 3.0103, 0.0005);
}

static void
test_vertical (void)
{
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnAntenna) antenna
      = parse (AT ("5.0E+02") HEADING ROW ("90.00", "0.00", "2.15", "-999.99", "2.15"), warnings,
               NULL);

  g_assert_cmpfloat (dwn_pattern_gain_dbi (antenna->pattern, 0.0, 500.0), ==, 2.15);
  g_assert_cmpuint (warnings->len, ==, 1);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (antenna->pattern, 500.0), ==, 0.0);
}

static void
test_axes_and_old_heading (void)
{
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnAntenna) antenna
      = parse (" FREQUENCY= 5.0000E+02 MHZ\n - - - RADIATION PATTERNS - - -\n"
               "  THETA   PHI    MAJOR  MINOR  TOTAL\n  90.00  0.00  1.00 -2.00 2.76 0.5 3.\n",
               warnings, NULL);

  g_assert_cmpfloat (dwn_pattern_gain_dbi (antenna->pattern, 0.0, 500.0), ==, 2.76);
  g_assert_cmpuint (warnings->len, ==, 1);
}

/* Without a word on the line, it is the one that fits at some frequency. */
static void
test_line_that_fits (gconstpointer data)
{
  gboolean coax = GPOINTER_TO_INT (data) == 75;
  const char *text = coax ? AT ("5.0E+02") FEED ("2.9E+01", "0.") HEADING AROUND
                          : AT ("5.0E+02") FEED ("2.9E+02", "0.") HEADING AROUND;
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnAntenna) antenna
      = dwn_thin_wire_parse (bytes, "own.out", (double) NAN, warnings, NULL);

  g_assert_cmpfloat (antenna->feed_ohm, ==, coax ? 75.0 : 300.0);
  g_assert_cmpuint (warnings->len, ==, 1);
}

typedef struct {
  const char *name, *text;
  int code;
  const char *says;
} RefusedCase;

static const RefusedCase refused_cases[] = {
  { "empty", "", DWN_ANTENNA_ERROR_TEXT, "empty" },
  { "binary", "\xff\xfe", DWN_ANTENNA_ERROR_TEXT, "UTF-8" },
  { "no-frequency", "NUMERICAL ELECTROMAGNETICS CODE\n", DWN_ANTENNA_ERROR_MISSING, "FREQUENCY" },
  { "pattern-first", HEADING AROUND, DWN_ANTENNA_ERROR_MISSING, "own.out:1: " },
  { "no-pattern", AT ("5.0E+02") FEED ("75.", "0."), DWN_ANTENNA_ERROR_MISSING, "RP 0 1 73" },
  { "only-elevation", AT ("5.0E+02") HEADING ROW ("45.00", "0.00", "1.", "1.", "1."),
    DWN_ANTENNA_ERROR_MISSING, "theta 90" },
  { "joined-columns", AT ("5.0E+02") HEADING " 90.00 0.00 -999.99-999.99-999.99\n",
    DWN_ANTENNA_ERROR_SYNTAX, "own.out:7: " },
  { "other-angles",
    AT ("5.0E+02") HEADING AROUND AT ("6.0E+02") HEADING ROW ("90.00", "5.00", "1.", "1.", "1."),
    DWN_ANTENNA_ERROR_SYNTAX, "500 and 600 MHz" },
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
test_frequency_refused (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (parse (AT ("5.0E+08") HEADING AROUND, NULL, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (refused_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/thin-wire/refused/%s", refused_cases[i].name);

      g_test_add_data_func (path, &refused_cases[i], test_refused);
    }
  g_test_add_func ("/thin-wire/whole", test_whole);
  g_test_add_data_func ("/thin-wire/line-that-fits/75", GINT_TO_POINTER (75), test_line_that_fits);
  g_test_add_data_func ("/thin-wire/line-that-fits/300", GINT_TO_POINTER (300),
                        test_line_that_fits);
  g_test_add_func ("/thin-wire/vertical", test_vertical);
  g_test_add_func ("/thin-wire/axes-and-old-heading", test_axes_and_old_heading);
  g_test_add_func ("/thin-wire/frequency-refused", test_frequency_refused);
  return g_test_run ();
}
