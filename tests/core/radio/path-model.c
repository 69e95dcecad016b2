#include "core/radio/path-model.h"

#include <math.h>

/* 20 log10 (4 pi d f / c), worked by hand from ITU-R P.525: 32.4478 + 20 log10 f_MHz + 20 log10
 * d_km. */
static const struct {
  double distance_m, mhz, loss_db;
} free_space_cases[] = {
  { 1e3, 1, 32.447783 },
  { 1e3, 100, 72.447783 },
  { 1e5, 100, 112.447783 },
  { 5e4, 545, 121.155113 },
};

/* 47 CFR 73.313: 1 kW from a half-wave dipole gives 106.92 dBu at 1 km in free space; 73.684 has
 * 103 dBu (137.6 mV/m) at 1 mile. Good to the digit that P.1812's constant carries. */
static const struct {
  double distance_m, mhz, erp_kw, field_dbuv_m, tolerance_db;
} field_cases[] = {
  { 1e3, 69, 1, 106.92, 0.02 },
  { 1e3, 695, 1, 106.92, 0.02 },
  { 1e3, 545, 1000, 136.92, 0.02 },
  { 1609.344, 195, 1, 103, 0.3 },
};

static void
test_free_space (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  const DwnPathModel *model = dwn_path_model_find ("free-space");
  DwnPathQuery query;
  DwnPathLoss loss;
  g_autoptr (GError) error = NULL;

  g_assert_nonnull (model);
  dwn_path_query_init (&query, model);
  query.distance_m = free_space_cases[i].distance_m;
  query.mhz = free_space_cases[i].mhz;
  g_assert_true (model->loss (&query, NULL, &loss, &error));
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (loss.loss_db, free_space_cases[i].loss_db, 2e-6);
  g_assert_cmpfloat (loss.loss_db, ==, loss.free_space_db);
  g_assert_cmpstr (loss.note, ==, "");
}

static void
test_field (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  double mhz = field_cases[i].mhz;
  double loss_db = dwn_free_space_loss_db (field_cases[i].distance_m, mhz);
  double field = dwn_field_of_loss_dbuv_m (loss_db, mhz, field_cases[i].erp_kw);

  g_assert_cmpfloat_with_epsilon (field, field_cases[i].field_dbuv_m, field_cases[i].tolerance_db);
  g_assert_cmpfloat_with_epsilon (dwn_loss_of_field_db (field, mhz, field_cases[i].erp_kw),
                                  loss_db, 1e-9);
}

static void
test_refusals (void)
{
  static const double bad[][2] = {
    { 0, 100 }, { -1, 100 }, { 1e3, 0 }, { 1e3, -5 }, { (double) NAN, 100 }, { 1e3, (double) NAN },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      DwnPathQuery query;
      DwnPathLoss loss;
      g_autoptr (GError) error = NULL;

      dwn_path_query_init (&query, &dwn_path_model_free_space);
      query.distance_m = bad[i][0];
      query.mhz = bad[i][1];
      g_assert_true (isnan (dwn_free_space_loss_db (bad[i][0], bad[i][1])));
      g_assert_false (dwn_path_model_free_space.loss (&query, NULL, &loss, &error));
      g_assert_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN);
    }
  g_assert_true (isnan (dwn_field_of_loss_dbuv_m (100, 100, 0)));
  g_assert_true (isnan (dwn_field_of_loss_dbuv_m (100, -1, 1)));
  g_assert_null (dwn_path_model_find ("ruler"));
}

/* ITM's area mode as a model of its own is the transmitter's height above average terrain over
 * NTIA's ground: area.csv, its first row, is for both ends sited at random. */
static void
test_itm_area (void)
{
  const DwnPathModel *model = dwn_path_model_find ("itm-area");
  DwnPathQuery query;
  DwnPathLoss loss;

  dwn_path_query_init (&query, model);
  query.mhz = 230;
  query.distance_m = 16e3;
  query.haat_m = 10;
  query.tx_agl_m = 77;
  query.rx_agl_m = 1;
  query.delta_h_m = 0;
  query.mdvar = 0;
  query.conductivity_s_m = 0.008;
  query.time_pct = 87;
  g_assert_true (model->loss (&query, NULL, &loss, NULL));
  g_assert_cmpfloat_with_epsilon (loss.loss_db, 152.5, 0.051);
  query.haat_m = (double) NAN;
  query.tx_agl_m = 10;
  g_assert_true (model->loss (&query, NULL, &loss, NULL));
  g_assert_cmpfloat_with_epsilon (loss.loss_db, 152.5, 0.051);
}

/* What the command line promises where nothing is said. */
static void
test_defaults (void)
{
  gsize n;
  const DwnPathModel *const *models = dwn_path_models (&n);

  for (gsize i = 0; i < n; i++)
    {
      DwnPathQuery query;

      dwn_path_query_init (&query, models[i]);
      g_assert_cmpfloat (query.time_pct, ==, 50);
      g_assert_cmpfloat (query.location_pct, ==, 50);
      g_assert_cmpfloat (query.situation_pct, ==, 50);
      g_assert_cmpfloat (query.location_sd_db, ==, 0);
      g_assert_cmpint (query.mdvar, ==, 3);
      g_assert_cmpint (query.climate, ==, 5);
      g_assert_cmpfloat (query.n0, ==, g_str_equal (models[i]->id, "p1812") ? 325 : 301);
      g_assert_cmpfloat (query.dn, ==, 45);
      g_assert_cmpfloat (query.permittivity, ==, 15);
      g_assert_cmpfloat (query.conductivity_s_m, ==, 0.005);
      g_assert_cmpfloat (query.latitude_deg, ==, 45);
      g_assert_cmpint (query.polarisation, ==, DWN_POLARISATION_HORIZONTAL);
      g_assert_true (dwn_path_model_find (models[i]->id) == models[i]);
    }
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (free_space_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/path-model/free-space/%g-m-%g-mhz",
                                               free_space_cases[i].distance_m,
                                               free_space_cases[i].mhz);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_free_space);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (field_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/path-model/field/%g-m-%g-mhz-%g-kw",
                                               field_cases[i].distance_m, field_cases[i].mhz,
                                               field_cases[i].erp_kw);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_field);
    }
  g_test_add_func ("/path-model/refusals", test_refusals);
  g_test_add_func ("/path-model/itm-area", test_itm_area);
  g_test_add_func ("/path-model/defaults", test_defaults);

  return g_test_run ();
}
