/* An antenna out of a data sheet's figures: they must come out again. */
#include "core/antenna/sheet.h"

#include <math.h>
#include <string.h>

#define UNKNOWN ((double) NAN)

typedef struct {
  const char *name;
  DwnSheetBand band;
  double mhz, gain_dbi, width_deg, front_to_back_db;
} SheetCase;

static const SheetCase sheet_cases[] = {
  { "yagi", { 470, 608, 11.5, DWN_GAIN_DBI, 42, 48, 18 }, 540, 11.5, 42, 18 },
  { "dbd", { 174, 216, 6.0, DWN_GAIN_DBD, 55, 70, 20 }, 200, 8.15, 55, 20 },
  { "two-way-panel", { 470, 698, 8.0, DWN_GAIN_DBI, 60, 50, 0 }, 500, 8.0, 60, 0 },
  { "little-front-to-back", { 470, 698, 5.0, DWN_GAIN_DBI, 70, 80, 4 }, 500, 5.0, 70, 4 },
  { "all-round", { 174, 216, -1.0, DWN_GAIN_DBI, 360, UNKNOWN, UNKNOWN }, 200, -1.0, 360, 0 },
  { "one-frequency", { 600, 600, 9.0, DWN_GAIN_DBI, 50, 60, 15 }, 600, 9.0, 50, 15 },
};

static void
test_figures (gconstpointer data)
{
  const SheetCase *c = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna
      = dwn_sheet_antenna ("own", "Own", UNKNOWN, 1, &c->band, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (antenna->pattern, 0.0, c->mhz),
                                  c->gain_dbi, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_max_gain_dbi (antenna->pattern, c->mhz), c->gain_dbi,
                                  1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_beamwidth_deg (antenna->pattern, c->mhz),
                                  c->width_deg, 0.3);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_front_to_back_db (antenna->pattern, c->mhz),
                                  c->front_to_back_db, 1e-9);
}

/* Bands that meet, each with its own figures; elevation 3 dB down at half the width. */
static void
test_bands (void)
{
  static const DwnSheetBand bands[] = {
    { 470, 608, 10.0, DWN_GAIN_DBI, 44, 60, 16 },
    { 608, 698, 12.0, DWN_GAIN_DBI, 36, 50, 18 },
  };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_sheet_antenna ("own", "Own", 40.0, 2, bands, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (antenna->pattern, 0.0, 600.0), 10.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (antenna->pattern, 0.0, 620.0), 12.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_elevation_db (antenna->pattern, 30.0, 500.0), -3.01,
                                  0.01);
  g_assert_cmpfloat (antenna->pattern->price, ==, 40.0);
  g_assert_cmpfloat (dwn_pattern_mismatch_db (antenna->pattern, 500.0), ==, 0.0);
}

typedef struct {
  const char *name;
  double azimuth_deg, elevation_deg, dbi, tolerance_db;
} LimitCase;

static const LimitCase limit_cases[] = {
  /* Kraus' formula worked in the head: 41253/(20.31 × 20.31) = 100. */
  { "pencil", 20.31, 20.31, 20.0, 0.001 },
  { "fan", 10.0, 41.253, 20.0, 0.001 },
  /* The half-wave dipole: 78° and all round, 2.15 dBi (Kraus, Antennas, ch. 5). */
  { "dipole", 78.0, 360.0, 2.15, 0.05 },
  /* The short dipole: 90° and all round, 1.76 dBi (Balanis, ch. 4). */
  { "short-dipole", 360.0, 90.0, 1.76, 0.05 },
  { "isotropic", 360.0, 360.0, 0.0, 0.001 },
};

static void
test_limit (gconstpointer data)
{
  const LimitCase *c = data;

  g_assert_cmpfloat_with_epsilon (dwn_sheet_directivity_dbi (c->azimuth_deg, c->elevation_deg),
                                  c->dbi, c->tolerance_db);
}

static void
test_limit_domain (void)
{
  g_assert_true (isnan (dwn_sheet_directivity_dbi (0.0, 50.0)));
  g_assert_true (isnan (dwn_sheet_directivity_dbi (50.0, 361.0)));
  g_assert_true (isnan (dwn_sheet_directivity_dbi (UNKNOWN, 50.0)));
}

static guint
n_optimistic (const DwnSheetBand *band)
{
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnAntenna) antenna
      = dwn_sheet_antenna ("own", "Own", UNKNOWN, 1, band, warnings, NULL);
  guint n = 0;

  g_assert_nonnull (antenna);
  for (guint i = 0; i < warnings->len; i++)
    n += strstr (g_ptr_array_index (warnings, i), "optimistic") != NULL;
  return n;
}

/* 30° by 40° allow 15.4 dBi (41253/1200 = 34.4); the six designs of NBS TN 688 and a dipole are
 * honest. */
static void
test_optimistic (void)
{
  const DwnSheetBand boast = { 470, 608, 17.0, DWN_GAIN_DBI, 30, 40, 20 };
  const DwnSheetBand honest = { 470, 608, 14.0, DWN_GAIN_DBI, 30, 40, 20 };
  const DwnSheetBand boast_in_dbd = { 470, 608, 14.0, DWN_GAIN_DBD, 30, 40, 20 };
  const DwnSheetBand dipole = { 470, 608, 2.15, DWN_GAIN_DBI, 78, 360, 0 };
  const DwnSheetBand no_elevation = { 470, 608, 17.0, DWN_GAIN_DBI, 40, UNKNOWN, 20 };

  g_assert_cmpuint (n_optimistic (&boast), ==, 1);
  g_assert_cmpuint (n_optimistic (&honest), ==, 0);
  g_assert_cmpuint (n_optimistic (&boast_in_dbd), ==, 1);
  g_assert_cmpuint (n_optimistic (&dipole), ==, 0);
  g_assert_cmpuint (n_optimistic (&no_elevation), ==, 1);
}

/* OET-69's planning figures stand in for a missing front-to-back ratio, and it is said. */
static void
test_assumed_front_to_back (void)
{
  static const struct { double mhz, front_to_back_db; } cases[] = {
    { 60.0, 10.0 }, { 190.0, 12.0 }, { 550.0, 14.0 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const DwnSheetBand band = { cases[i].mhz, cases[i].mhz, 5.0, DWN_GAIN_DBI, 60, 60, UNKNOWN };
      g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
      g_autoptr (DwnAntenna) antenna
          = dwn_sheet_antenna ("own", "Own", UNKNOWN, 1, &band, warnings, NULL);

      g_assert_cmpfloat_with_epsilon (
          dwn_pattern_front_to_back_db (antenna->pattern, cases[i].mhz),
          cases[i].front_to_back_db, 1e-9);
      g_assert_cmpuint (warnings->len, ==, 1);
    }
}

typedef struct {
  const char *name, *id;
  DwnSheetBand band;
} RefusedCase;

static const RefusedCase refused_cases[] = {
  { "id", "Not An Id", { 470, 608, 10, DWN_GAIN_DBI, 40, 50, 18 } },
  { "band-turned-round", "own", { 608, 470, 10, DWN_GAIN_DBI, 40, 50, 18 } },
  { "no-band", "own", { UNKNOWN, 470, 10, DWN_GAIN_DBI, 40, 50, 18 } },
  { "hertz", "own", { 470e6, 608e6, 10, DWN_GAIN_DBI, 40, 50, 18 } },
  { "no-gain", "own", { 470, 608, UNKNOWN, DWN_GAIN_DBI, 40, 50, 18 } },
  { "gain-1e308", "own", { 470, 608, 1e308, DWN_GAIN_DBI, 40, 50, 18 } },
  { "no-width", "own", { 470, 608, 10, DWN_GAIN_DBI, UNKNOWN, 50, 18 } },
  { "width-400", "own", { 470, 608, 10, DWN_GAIN_DBI, 400, 50, 18 } },
  { "elevation-width-0", "own", { 470, 608, 10, DWN_GAIN_DBI, 40, 0, 18 } },
  { "front-to-back-negative", "own", { 470, 608, 10, DWN_GAIN_DBI, 40, 50, -18 } },
};

static void
test_refused (gconstpointer data)
{
  const RefusedCase *c = data;
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_sheet_antenna (c->id, "Own", UNKNOWN, 1, &c->band, NULL, &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE);
}

static void
test_overlapping_bands (void)
{
  static const DwnSheetBand bands[] = {
    { 470, 608, 10.0, DWN_GAIN_DBI, 44, 60, 16 },
    { 500, 698, 12.0, DWN_GAIN_DBI, 36, 50, 18 },
  };
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_sheet_antenna ("own", "Own", UNKNOWN, 2, bands, NULL, &error));
  g_assert_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_ORDER);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (sheet_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/sheet/figures/%s", sheet_cases[i].name);

      g_test_add_data_func (path, &sheet_cases[i], test_figures);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (limit_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/sheet/limit/%s", limit_cases[i].name);

      g_test_add_data_func (path, &limit_cases[i], test_limit);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refused_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/sheet/refused/%s", refused_cases[i].name);

      g_test_add_data_func (path, &refused_cases[i], test_refused);
    }
  g_test_add_func ("/sheet/bands", test_bands);
  g_test_add_func ("/sheet/limit-domain", test_limit_domain);
  g_test_add_func ("/sheet/optimistic", test_optimistic);
  g_test_add_func ("/sheet/assumed-front-to-back", test_assumed_front_to_back);
  g_test_add_func ("/sheet/overlapping-bands", test_overlapping_bands);
  return g_test_run ();
}
