#include "core/radio/curves.h"
#include "core/radio/path-model.h"

#include <math.h>

#include "../../common/edges.h"

/* 1 kW, 304.8 m, 9.1 m: fields in dBu at 50 km from the regulator's curve program (FCC
 * contours-api-node b9c92ea), one per chart and time. */
static const struct {
  double mhz, time_pct, field_dbuv_m;
} fields_at_50_km[] = {
  { 57, 50, 50.193 },  { 57, 10, 53.023 },  { 57, 90, 47.363 },
  { 177, 50, 53.323 }, { 177, 10, 55.801 }, { 177, 90, 50.845 },
  { 473, 50, 46.838 }, { 473, 10, 49.839 }, { 473, 90, 43.836 },
};

static DwnPathQuery
query_of (double mhz, double km)
{
  DwnPathQuery query;

  dwn_path_query_init (&query, &dwn_path_model_curves);
  query.mhz = mhz;
  query.distance_m = km * 1000;
  query.haat_m = 304.8;
  query.rx_agl_m = 9.1;
  return query;
}

static DwnPathLoss
loss_of (const DwnPathQuery *query)
{
  DwnPathLoss loss;
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_path_model_curves.loss (query, NULL, &loss, &error));
  g_assert_no_error (error);
  return loss;
}

static void
test_field (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  DwnPathQuery query = query_of (fields_at_50_km[i].mhz, 50);

  query.time_pct = fields_at_50_km[i].time_pct;

  DwnPathLoss loss = loss_of (&query);
  g_assert_cmpfloat_with_epsilon (dwn_field_of_loss_dbuv_m (loss.loss_db, query.mhz, 1),
                                  fields_at_50_km[i].field_dbuv_m, 0.01);
  g_assert_cmpfloat_with_epsilon (loss.free_space_db, dwn_free_space_loss_db (5e4, query.mhz),
                                  1e-9);
  g_assert_cmpstr (loss.note, ==, "");
}

/* The charts come as near as 0.5 dB to free space; a high mast or antenna never goes beyond. */
static void
test_free_space_bound (void)
{
  DwnPathQuery query = query_of (545, 5);

  query.haat_m = 1500;
  query.rx_agl_m = 40;
  query.area = DWN_AREA_CITY;

  DwnPathLoss loss = loss_of (&query);
  g_assert_cmpfloat (loss.loss_db, ==, loss.free_space_db);
  g_assert_cmpstr (loss.note, ==, "limited by free space");
}

/* 4.5 m in a rural place costs 4.1 dB (ITU-R P.370-7, c = 4, from memory). */
static void
test_low_antenna (void)
{
  DwnPathQuery query = query_of (545, 60);
  double at_9_m = loss_of (&query).loss_db;

  query.rx_agl_m = 4.5;
  g_assert_cmpfloat_with_epsilon (loss_of (&query).loss_db - at_9_m, 4.08, 0.01);
}

/* 90 % of the places lie 1.2816 standard deviations down. */
static void
test_places (void)
{
  DwnPathQuery query = query_of (545, 60);
  double half = loss_of (&query).loss_db;

  query.location_sd_db = 5.5;
  g_assert_cmpfloat_with_epsilon (loss_of (&query).loss_db, half, 1e-9);
  query.location_pct = 90;
  g_assert_cmpfloat_with_epsilon (loss_of (&query).loss_db - half, 5.5 * 1.281552, 1e-4);
}

static void
test_notes (void)
{
  DwnPathQuery query = query_of (545, 60), low = query;

  low.haat_m = 30;
  query.haat_m = (double) NAN;
  g_assert_nonnull (strstr (loss_of (&query).note, "not on file"));
  g_assert_cmpfloat (loss_of (&query).loss_db, ==, loss_of (&low).loss_db);
  query.haat_m = 12;
  g_assert_nonnull (strstr (loss_of (&query).note, "below 30 m"));
  g_assert_cmpfloat (loss_of (&query).loss_db, ==, loss_of (&low).loss_db);
  query.haat_m = 1700;
  g_assert_nonnull (strstr (loss_of (&query).note, "over 1600 m"));
}

static void
test_refusals (void)
{
  DwnPathQuery bad[6];
  DwnPathLoss loss;

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    bad[i] = query_of (545, 60);
  bad[0].distance_m = 600e3;
  bad[1].time_pct = 99;
  bad[2].rx_agl_m = 0;
  bad[3].location_pct = 100;
  bad[4].location_sd_db = -1;
  bad[5].mhz = (double) NAN;
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_false (dwn_path_model_curves.loss (&bad[i], NULL, &loss, &error));
      g_assert_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN);
    }
}

/* What the charts and the model say they cover (curves.h, path-model.h). */
static void
test_edges (void)
{
#define FIELD(name) #name, offsetof (DwnPathQuery, name)
  static const QueryEdges edges[] = {
    { FIELD (mhz), 30, 3000 }, { FIELD (time_pct), 10, 90 }, { FIELD (location_pct), 1, 99 },
    { FIELD (location_sd_db), 0, 50 },
  };
#undef FIELD
  DwnPathQuery query = query_of (545, 60);

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_query (&dwn_path_model_curves, &query, &edges[i]);
  query.rx_agl_m = 0.5;
  g_assert_cmpfloat (loss_of (&query).loss_db, >, loss_of (&query).free_space_db);
  query.rx_agl_m = (double) NAN;
  query.haat_m = 30;
  g_assert_cmpstr (loss_of (&query).note, ==, "");
  query.haat_m = 1600;
  g_assert_cmpstr (loss_of (&query).note, ==, "");
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (fields_at_50_km); i++)
    {
      g_autofree char *path = g_strdup_printf ("/curve-path/field/%g-mhz-%g",
                                               fields_at_50_km[i].mhz,
                                               fields_at_50_km[i].time_pct);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_field);
    }
  g_test_add_func ("/curve-path/free-space-bound", test_free_space_bound);
  g_test_add_func ("/curve-path/low-antenna", test_low_antenna);
  g_test_add_func ("/curve-path/places", test_places);
  g_test_add_func ("/curve-path/notes", test_notes);
  g_test_add_func ("/curve-path/refusals", test_refusals);
  g_test_add_func ("/curve-path/edges", test_edges);

  return g_test_run ();
}
