#include "core/radio/curves.h"

#include <math.h>
#include <string.h>

/* tests/data/vectors: the regulator's own curve program, see line 1 of the files. */
typedef struct {
  double mhz, haat_m, erp_kw, time_pct;
  double km, field_dbuv_m;
} Check;

/* Frequencies of the files' RF channels 2, 7 and 14. */
static double
mhz_of_band (const char *band)
{
  if (strcmp (band, "low-vhf") == 0)
    return 57;
  return strcmp (band, "high-vhf") == 0 ? 177 : 473;
}

static double
number (char **words, int column)
{
  return g_ascii_strtod (words[column], NULL);
}

/* band,channel,curve,haat_m, then @km, @erp and @field in the named columns. */
static void
add_checks (const char *file, int km, int erp, int field, GTestDataFunc run)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "data", "vectors", file, NULL);
  g_autofree char *text = NULL;

  g_assert_true (g_file_get_contents (path, &text, NULL, NULL));
  g_auto (GStrv) lines = g_strsplit (g_strchomp (text), "\n", -1);
  for (int i = 2; lines[i] != NULL; i++)
    {
      g_auto (GStrv) words = g_strsplit (lines[i], ",", -1);
      g_assert_cmpuint (g_strv_length (words), ==, 7);

      Check *check = g_new (Check, 1);
      *check = (Check) { mhz_of_band (words[0]), number (words, 3), number (words, erp),
                         g_ascii_strtod (words[2] + strlen ("F50"), NULL), number (words, km),
                         number (words, field) };
      g_autofree char *name = g_strdup_printf ("/curves/%s/%s-%s-%gm-%s-%s", file, words[0],
                                               words[2], check->haat_m, words[5], words[4]);
      g_test_add_data_func_full (name, check, run, g_free);
    }
}

static const DwnCurves *
shared (void)
{
  g_autoptr (GError) error = NULL;
  const DwnCurves *curves = dwn_curves_shared (&error);

  g_assert_no_error (error);
  return curves;
}

/* The tables hold heights from 30.48 to 1524 m; F(50,10), which F(50,90) needs, from 16.09 km. */
static double
tolerance_db (const Check *check)
{
  gboolean inside = check->haat_m >= 30.48 && check->haat_m <= 1524
                    && (check->time_pct == 50 || check->km >= 16.09344 || check->km < 15);

  return inside ? 0.01 : 0.05;
}

static void
test_field (gconstpointer data)
{
  const Check *check = data;
  g_autoptr (GError) error = NULL;
  double field;

  g_assert_true (dwn_curve_field_dbuv_m (shared (), check->mhz, check->haat_m, check->km,
                                         check->time_pct, &field, &error));
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (field + 10 * log10 (check->erp_kw), check->field_dbuv_m,
                                  tolerance_db (check));
}

/* The program behind these steps by half a kilometre and draws straight lines between: near a
 * kilometre's hundredth is all that it can be asked for. */
static void
test_distance (gconstpointer data)
{
  const Check *check = data;
  g_autoptr (GError) error = NULL;
  double km;

  g_assert_true (dwn_curve_distance_km (shared (), check->mhz, check->haat_m,
                                        check->field_dbuv_m - 10 * log10 (check->erp_kw),
                                        check->time_pct, &km, &error));
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (km, check->km, 0.02);
}

/* Anchors in the regulation's own text: 47 CFR 73.313 (107 dBu at 1 km), 73.684 (103 dBu at
 * 1 mile); a strong field has its distance in free space. */
static void
test_near (void)
{
  double field, km;

  g_assert_true (dwn_curve_field_dbuv_m (shared (), 100, 300, 1, 50, &field, NULL));
  g_assert_cmpfloat_with_epsilon (field, 106.9, 0.05);
  g_assert_true (dwn_curve_distance_km (shared (), 100, 300, 106.92, 50, &km, NULL));
  g_assert_cmpfloat_with_epsilon (km, 1, 1e-6);
  g_assert_true (dwn_curve_distance_km (shared (), 100, 300, 126.92, 50, &km, NULL));
  g_assert_cmpfloat_with_epsilon (km, 0.1, 1e-6);
}

/* Stronger fields lie nearer, also where the program behind the checks answers 15.9 km for
 * 102 dBu and 49.7 km for 103 (1000 kW, 300 m, F(50,90)). */
static void
test_strong_fields (void)
{
  for (int time_pct = 10; time_pct <= 90; time_pct += 40)
    {
      double before_km = 1000;

      for (double field = 20; field <= 140; field += 1)
        {
          double km, back;

          g_assert_true (dwn_curve_distance_km (shared (), 545, 300, field, time_pct, &km, NULL));
          g_assert_cmpfloat (km, <=, before_km);
          /* A hair nearer: the charts' first curve lies below free space where that ends. */
          g_assert_true (dwn_curve_field_dbuv_m (shared (), 545, 300, km * (1 - 1e-9), time_pct,
                                                 &back, NULL));
          g_assert_cmpfloat (back, >=, field - 1e-6);
          before_km = km;
        }
    }
}

/* Other times lie between the charts, in order, and evenly about the median. */
static void
test_times (void)
{
  double before = 1000, field[3];
  static const double times[] = { 20, 50, 80 };

  for (double time_pct = 10; time_pct <= 90; time_pct += 5)
    {
      double at;

      g_assert_true (dwn_curve_field_dbuv_m (shared (), 545, 300, 80, time_pct, &at, NULL));
      g_assert_cmpfloat (at, <, before);
      before = at;
    }
  for (int i = 0; i < 3; i++)
    g_assert_true (dwn_curve_field_dbuv_m (shared (), 545, 300, 80, times[i], &field[i], NULL));
  g_assert_cmpfloat_with_epsilon (field[0] - field[1], field[1] - field[2], 1e-9);

  /* By a normal distribution: quantiles 0.841621 of 20 % and 1.281552 of 10 % from any table. */
  double seldom;
  g_assert_true (dwn_curve_field_dbuv_m (shared (), 545, 300, 80, 10, &seldom, NULL));
  g_assert_cmpfloat_with_epsilon ((field[0] - field[1]) / (seldom - field[1]), 0.841621 / 1.281552, 1e-5);
}

/* How far each chart goes and no further, in frequency, time and distance (curves.h). */
static void
test_edges (void)
{
  static const double taken[][4] = { /* mhz, haat, km, time */
    { 30, 300, 50, 50 }, { 3000, 300, 50, 50 }, { 545, 300, 300, 50 }, { 545, 300, 500, 10 },
    { 545, 300, 50, 10 }, { 545, 300, 50, 90 }, { 545, 300, 300, 90 }, { 545, 300, 0.5, 50 },
    { 545, 300, 300, 10.1 },
  };
  static const double refused[][4] = {
    { 29.9, 300, 50, 50 }, { 3001, 300, 50, 50 }, { 545, 300, 300.1, 50 }, { 545, 300, 500.1, 10 },
    { 545, 300, 50, 9.9 }, { 545, 300, 50, 90.1 }, { 545, 300, 0, 50 },
  };
  double field;

  for (gsize i = 0; i < G_N_ELEMENTS (taken); i++)
    g_assert_true (dwn_curve_field_dbuv_m (shared (), taken[i][0], taken[i][1], taken[i][2], taken[i][3],
                                           &field, NULL));
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    g_assert_false (dwn_curve_field_dbuv_m (shared (), refused[i][0], refused[i][1], refused[i][2],
                                            refused[i][3], &field, NULL));
}

static void
test_refusals (void)
{
  const double unknown = (double) NAN;
  const double bad[][4] = { /* mhz, haat, km, time */
    { 29, 300, 50, 50 },      { unknown, 300, 50, 50 }, { 545, unknown, 50, 50 },
    { 545, 300, 0, 50 },      { 545, 300, -1, 50 },     { 545, 300, 300.5, 50 },
    { 545, 300, 500.5, 10 },  { 545, 300, unknown, 50 }, { 545, 300, 50, 9 },
    { 545, 300, 50, 91 },     { 545, 300, 50, unknown }, { 545, 1e308 * 10, 50, 50 },
    { 545, 300, 300.5, 10.1 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) error = NULL;
      double field;

      g_assert_false (dwn_curve_field_dbuv_m (shared (), bad[i][0], bad[i][1], bad[i][2],
                                              bad[i][3], &field, &error));
      g_assert_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN);
    }
}

static void
test_weak_field (void)
{
  g_autoptr (GError) error = NULL;
  double km;

  g_assert_false (dwn_curve_distance_km (shared (), 545, 300, -60, 50, &km, &error));
  g_assert_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN);
  g_clear_error (&error);
  g_assert_false (dwn_curve_distance_km (shared (), 545, 300, (double) NAN, 50, &km, &error));
  g_assert_error (error, DWN_CURVE_ERROR, DWN_CURVE_ERROR_DOMAIN);
}

/* ITU-R P.370-7, c from memory; worked by hand: (c / 6) 20 log10 (4.5 / 9.1). */
static const struct {
  DwnArea area;
  double mhz, rx_agl_m, gain_db;
} height_gains[] = {
  { DWN_AREA_RURAL, 69, 4.5, -4.08 },     { DWN_AREA_QUIET_RURAL, 545, 4.5, -4.08 },
  { DWN_AREA_CITY, 195, 4.5, -6.12 },     { DWN_AREA_RESIDENTIAL, 545, 4.5, -6.12 },
  { DWN_AREA_CITY, 545, 4.5, -8.16 },     { DWN_AREA_RESIDENTIAL, 195, 9.1, 0 },
  { DWN_AREA_RESIDENTIAL, 195, 4.5, -5.10 }, { DWN_AREA_RURAL, 545, 18.2, 4.01 },
};

static void
test_height_gain (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);

  g_assert_cmpfloat_with_epsilon (
    dwn_curve_height_gain_db (shared (), height_gains[i].area, height_gains[i].mhz,
                              height_gains[i].rx_agl_m),
    height_gains[i].gain_db, 0.006);
}

static void
test_height_gain_limits (void)
{
  const DwnCurves *curves = shared ();

  g_assert_cmpfloat (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 1), ==,
                     dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 1.5));
  g_assert_cmpfloat (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 60), ==,
                     dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 40));
  g_assert_cmpfloat (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 0.5), ==,
                     dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 1.5));
  g_assert_cmpfloat (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 39), <,
                     dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 40));
  g_assert_true (isnan (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 545, 0)));
  g_assert_true (isnan (dwn_curve_height_gain_db (curves, DWN_AREA_RURAL, 0, 9.1)));
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  add_checks ("curve-fields.csv", 4, 5, 6, test_field);
  add_checks ("curve-distances.csv", 6, 4, 5, test_distance);
  g_test_add_func ("/curves/near", test_near);
  g_test_add_func ("/curves/strong-fields", test_strong_fields);
  g_test_add_func ("/curves/times", test_times);
  g_test_add_func ("/curves/edges", test_edges);
  g_test_add_func ("/curves/refusals", test_refusals);
  g_test_add_func ("/curves/weak-field", test_weak_field);
  for (gsize i = 0; i < G_N_ELEMENTS (height_gains); i++)
    {
      g_autofree char *path = g_strdup_printf ("/curves/height-gain/%s-%g-%g",
                                               dwn_area_id (height_gains[i].area),
                                               height_gains[i].mhz, height_gains[i].rx_agl_m);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_height_gain);
    }
  g_test_add_func ("/curves/height-gain/limits", test_height_gain_limits);

  return g_test_run ();
}
