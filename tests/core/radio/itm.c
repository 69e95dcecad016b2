/* ITM against NTIA's own program: cases over terrain formulas with intermediates, its primitives,
 * and the check cases it is shipped with. Sources: first lines of the tables. */
#include "core/radio/itm.h"

#include "core/radio/itm-private.h"

#include "../../common/edges.h"
#include "formula-profile.h"
#include "vectors.h"

static Table *formulas, *shipped, *areas, *variabilities, *primitives;

typedef struct {
  const Table *table;
  guint row;
} Case;

static double
number (const Case *c, const char *column)
{
  return table_number (c->table, c->row, column);
}

static DwnPathQuery
query_of_case (const Case *c)
{
  DwnPathQuery query;

  dwn_path_query_init (&query, &dwn_path_model_itm);
  query.mhz = number (c, "mhz");
  query.tx_agl_m = number (c, "tx_m");
  query.rx_agl_m = number (c, "rx_m");
  query.polarisation = number (c, "pol") > 0.5 ? DWN_POLARISATION_VERTICAL
                                               : DWN_POLARISATION_HORIZONTAL;
  query.permittivity = number (c, "permittivity");
  query.conductivity_s_m = number (c, "conductivity");
  query.n0 = number (c, "n0");
  query.climate = (int) number (c, "climate");
  query.mdvar = (int) number (c, "mdvar");
  query.time_pct = number (c, "time");
  query.location_pct = number (c, "location");
  query.situation_pct = number (c, "situation");
  return query;
}

static DwnPathLoss
run_model (const DwnPathQuery *query)
{
  g_autofree char *workspace = g_malloc (dwn_path_model_itm.workspace_size (query->profile->n));
  g_autoptr (GError) error = NULL;
  DwnPathLoss out;

  dwn_path_model_itm.loss (query, workspace, &out, &error);
  g_assert_no_error (error);
  return out;
}

/* The tables print six decimals of a metre and nine digits of everything. On a straight ramp the
 * irregularity is nothing but rounding, and the horizons take its root. */
static void
assert_figure (const Case *c, const char *column, double got)
{
  double wanted = number (c, column);

  if (!(fabs (got - wanted) <= 2e-8 * fabs (wanted) + 6e-7 * g_str_has_suffix (column, "_m")))
    g_error ("%s: %.12g instead of %.12g", column, got, wanted);
}

static void
check_inside (const Case *c, const DwnPathQuery *query)
{
  const DwnProfile *profile = query->profile;
  double step_m = number (c, "step_m");
  DwnItmPath path;
  DwnItmReference reference;
  guint warnings = 0;

  dwn_itm_path_init (&path, query, dwn_itm_mean_height_m (profile->height_m, profile->n - 1));
  dwn_itm_path_measure (&path, profile->height_m, profile->n - 1, step_m);
  assert_figure (c, "surface_n", path.surface_n);
  assert_figure (c, "delta_h_m", path.delta_h_m);
  assert_figure (c, "tx_rad", path.horizon_rad[0]);
  assert_figure (c, "rx_rad", path.horizon_rad[1]);
  assert_figure (c, "tx_horizon_m", path.horizon_m[0]);
  assert_figure (c, "rx_horizon_m", path.horizon_m[1]);
  assert_figure (c, "tx_he_m", path.he_m[0]);
  assert_figure (c, "rx_he_m", path.he_m[1]);

  g_assert_true (dwn_itm_reference (&path, TRUE, &reference, NULL));
  g_assert_cmpfloat_with_epsilon (reference.reference_db, number (c, "reference_db"), 1e-6);
  g_assert_cmpint ((int) reference.mode, ==, (int) number (c, "mode"));
  dwn_itm_variability_db (&path, query, reference.reference_db, &warnings);
  g_assert_cmpuint (reference.warnings | warnings, ==, (guint) number (c, "warnings"));
}

static void
test_formula (gconstpointer data)
{
  Case c = { formulas, GPOINTER_TO_UINT (data) };
  g_autoptr (OwnProfile) own = formula_profile (c.table, c.row);
  DwnPathQuery query = query_of_case (&c);
  DwnPathLoss out;

  query.profile = &own->profile;
  check_inside (&c, &query);
  out = run_model (&query);
  g_assert_cmpfloat_with_epsilon (out.loss_db, number (&c, "loss_db"), 1e-6);
  g_assert_cmpfloat_with_epsilon (out.free_space_db, number (&c, "free_space_db"), 1e-6);
  g_assert_cmpstr (out.note, ==, "");
}

static void
test_shipped (gconstpointer data)
{
  Case c = { shipped, GPOINTER_TO_UINT (data) };
  g_auto (GStrv) heights = g_strsplit (table_text (shipped, c.row, "heights_m"), " ", -1);
  g_autoptr (OwnProfile) own = own_profile_new (g_strv_length (heights));
  DwnPathQuery query = query_of_case (&c);

  for (gsize i = 0; i < own->profile.n; i++)
    {
      own->distance_m[i] = (double) i * number (&c, "step_m");
      own->height_m[i] = g_ascii_strtod (heights[i], NULL);
    }
  query.profile = &own->profile;
  g_assert_cmpfloat_with_epsilon (run_model (&query).loss_db, number (&c, "loss_db"), 0.0051);
}

static void
test_area (gconstpointer data)
{
  Case c = { areas, GPOINTER_TO_UINT (data) };
  DwnPathQuery query = query_of_case (&c);
  g_autoptr (GError) error = NULL;
  DwnPathLoss out;

  query.distance_m = number (&c, "distance_km") * 1000;
  dwn_itm_area_loss (&query, number (&c, "delta_h_m"), (DwnSiting) number (&c, "tx_siting"),
                     (DwnSiting) number (&c, "rx_siting"), &out, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (out.loss_db, number (&c, "loss_db"), 0.051);
}

static void
test_variability (gconstpointer data)
{
  Case c = { variabilities, GPOINTER_TO_UINT (data) };
  DwnItmPath path = { .mhz = 545, .wave_number = 545 / 47.7, .cbrt_mhz = cbrt (545), .d_m = 60e3,
                      .delta_h_m = 90, .he_m = { 200, 30 } };
  DwnPathQuery query;
  guint warnings = 0;

  dwn_path_query_init (&query, &dwn_path_model_itm);
  query.climate = (int) number (&c, "climate");
  query.mdvar = (int) number (&c, "mdvar");
  query.time_pct = number (&c, "time");
  query.location_pct = number (&c, "location");
  query.situation_pct = number (&c, "situation");
  g_assert_cmpfloat_with_epsilon (dwn_itm_variability_db (&path, &query, 20, &warnings),
                                  number (&c, "loss_db"), 1e-5);
}

static double
primitive (const char *function, double x, double y)
{
  if (strcmp (function, "free-space") == 0)
    return dwn_itm_free_space_db (x, y);
  if (strcmp (function, "knife-edge") == 0)
    return dwn_itm_knife_edge_db (x);
  if (strcmp (function, "inverse-normal") == 0)
    return dwn_itm_inverse_normal (x);
  if (strcmp (function, "attenuation-f") == 0)
    return dwn_itm_attenuation_f_db (x);
  if (strcmp (function, "frequency-gain") == 0)
    return dwn_itm_frequency_gain_db (x, y);
  g_error ("no function %s", function);
}

static void
test_primitive (gconstpointer data)
{
  Case c = { primitives, GPOINTER_TO_UINT (data) };

  g_assert_cmpfloat_with_epsilon (primitive (table_text (primitives, c.row, "function"),
                                             number (&c, "x"), number (&c, "y")),
                                  number (&c, "value"), 1e-5);
}

/* A ridge between the ends, for what no table says. */
static OwnProfile *
ridge (gsize n)
{
  OwnProfile *own = own_profile_flat (50e3, n, 100);

  for (gsize i = 0; i < n; i++)
    own->height_m[i] += 300 * exp (-pow ((own->distance_m[i] - 30e3) / 4e3, 2));
  return own;
}

static DwnPathQuery
ridge_query (const OwnProfile *own)
{
  DwnPathQuery query;

  dwn_path_query_init (&query, &dwn_path_model_itm);
  query.mhz = 545;
  query.tx_agl_m = 150;
  query.rx_agl_m = 10;
  query.profile = &own->profile;
  return query;
}

/* Moved samples on the same ground: resampling may cost what a coarser profile costs, no more. */
/* The mean of the middle 80 % of the profile, and of nothing beside it: a tenth at either end is left
 * out (the algorithm's average terrain height). */
static void
test_mean_height (void)
{
  double around_m[25];
  double *height_m = around_m + 2; /* 20 intervals */

  for (int i = 0; i < 25; i++)
    around_m[i] = 1e9;
  for (int i = 0; i <= 20; i++)
    height_m[i] = i < 2 || i > 18 ? 5000 : 100 + i * i;
  /* Σ i² from 2 to 18 is 18 · 19 · 37 / 6 - 1 = 2108, over 17 samples. */
  g_assert_cmpfloat_with_epsilon (dwn_itm_mean_height_m (height_m, 20), 100 + 2108 / 17.0, 1e-9);
}

/* Eq. (5.11) of the algorithm (Hufford, "The ITS Irregular Terrain Model, version 1.2.2", 1995): off
 * the middle of time, locations and situations at once the deviations in time and place add up, and
 * those of situations grow by T² / (7.8 + z²) and L² / (24 + z²). */
static void
test_three_shares (void)
{
  static const struct {
    double time_pct, location_pct, situation_pct, z;
  } cases[] = {
    { 1, 5, 90, -1.2815515655446004 }, { 90, 1, 99, -2.3263478740408408 }, { 0.1, 0.1, 90, -1.2815515655446004 },
  };
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);

  query.mdvar = 3;
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      query.time_pct = query.location_pct = query.situation_pct = 50;
      double median_db = run_model (&query).loss_db;
      query.situation_pct = cases[i].situation_pct;
      double situation_sd = (median_db - run_model (&query).loss_db) / cases[i].z;
      query.situation_pct = 50;
      query.location_pct = cases[i].location_pct;
      double location_db = median_db - run_model (&query).loss_db;
      query.location_pct = 50;
      query.time_pct = cases[i].time_pct;
      double time_db = median_db - run_model (&query).loss_db;
      query.location_pct = cases[i].location_pct;
      query.situation_pct = cases[i].situation_pct;
      double z2 = cases[i].z * cases[i].z;
      double sd = sqrt (situation_sd * situation_sd + time_db * time_db / (7.8 + z2)
                        + location_db * location_db / (24 + z2));

      g_assert_cmpfloat (fabs (location_db), >, 5);
      g_assert_cmpfloat_with_epsilon (median_db - run_model (&query).loss_db,
                                      time_db + location_db + sd * cases[i].z, 1e-3);
    }
}

/* Eq. (3.2): an antenna sited with care stands higher over its ground by 5 m, one sited with great
 * care by 10 m, on irregular ground; below 5 m by less, as sin (pi h / 10). */
static void
test_siting (void)
{
  static const double heights_m[] = { 2, 4.5, 5, 5.9, 8 };
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);

  query.profile = NULL;
  query.distance_m = 30e3;
  query.tx_agl_m = 100;
  for (gsize i = 0; i < 2 * G_N_ELEMENTS (heights_m); i++)
    {
      double h_m = heights_m[i / 2], most_m = i % 2 == 0 ? 4 : 9;
      DwnItmPath path;
      DwnItmReference reference;
      DwnPathLoss out;

      query.rx_agl_m = h_m;
      dwn_itm_path_init (&path, &query, 0);
      path.d_m = 30e3;
      path.delta_h_m = 60;
      path.he_m[0] = 100;
      path.he_m[1] = h_m + (1 + most_m * (h_m < 5 ? sin (G_PI * h_m / 10) : 1)) * exp (-2 * h_m / 60);
      dwn_itm_set_horizon (&path, 0);
      dwn_itm_set_horizon (&path, 1);
      g_assert_true (dwn_itm_reference (&path, FALSE, &reference, NULL));
      g_assert_true (dwn_itm_area_loss (&query, 60, DWN_SITING_RANDOM,
                                        i % 2 == 0 ? DWN_SITING_CAREFUL : DWN_SITING_VERY_CAREFUL, &out,
                                        NULL));
      g_assert_cmpfloat_with_epsilon (
        out.loss_db, out.free_space_db + dwn_itm_variability_db (&path, &query, reference.reference_db,
                                                                 &reference.warnings), 1e-9);
    }
}

static void
test_uneven (void)
{
  g_autoptr (OwnProfile) even = ridge (501);
  g_autoptr (OwnProfile) uneven = ridge (501);
  DwnPathQuery query = ridge_query (even);
  double even_db = run_model (&query).loss_db;

  for (gsize i = 1; i < 500; i++)
    {
      uneven->distance_m[i] += i % 2 == 0 ? 30 : -20;
      uneven->height_m[i] = 100 + 300 * exp (-pow ((uneven->distance_m[i] - 30e3) / 4e3, 2));
    }
  query = ridge_query (uneven);
  g_assert_cmpfloat_with_epsilon (run_model (&query).loss_db, even_db, 0.05);
}

static void
test_more_time_costs_more (void)
{
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);
  double before_db = 0;

  for (double time_pct = 1; time_pct < 100; time_pct += 7)
    {
      query.time_pct = time_pct;
      g_assert_cmpfloat (run_model (&query).loss_db, >, before_db);
      before_db = run_model (&query).loss_db;
    }
}

/* A hostile query that raises more warnings than a note has room for. */
static void
test_warnings_are_passed_on (void)
{
  g_autoptr (OwnProfile) own = own_profile_flat (800, 5, 0);
  DwnPathQuery query = ridge_query (own);
  DwnPathLoss out;

  own->height_m[2] = 1500;
  query.mhz = 30;
  query.tx_agl_m = 2500;
  query.rx_agl_m = 0.6;
  query.time_pct = 99.99;
  out = run_model (&query);
  g_assert_true (g_str_has_prefix (out.note, "transmitter height near its limits; "
                                             "receiver height near its limits; "
                                             "frequency near its limits; "));
  g_assert_true (g_str_has_suffix (out.note, "..."));
}

/* Nobody is warned at the limits that NTIA's program names as usual, 40 MHz to 10 GHz and antennas of
 * 1 to 1,000 m, but beyond them. */
static void
test_warned_edges (void)
{
  static const struct {
    gsize field;
    double low, high;
    const char *note;
  } edges[] = {
    { offsetof (DwnPathQuery, mhz), 40, 10000, "frequency near its limits" },
    { offsetof (DwnPathQuery, tx_agl_m), 1, 1000, "transmitter height near its limits" },
    { offsetof (DwnPathQuery, rx_agl_m), 1, 1000, "receiver height near its limits" },
  };
  g_autoptr (OwnProfile) own = ridge (501);

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    for (gsize k = 0; k < 4; k++)
      {
        double values[] = { edges[i].low, edges[i].high, edges[i].low * 0.99, edges[i].high * 1.01 };
        DwnPathQuery query = ridge_query (own);

        *(double *) ((char *) &query + edges[i].field) = values[k];
        g_assert_true ((strstr (run_model (&query).note, edges[i].note) != NULL) == (k >= 2));
      }
}

static const struct {
  const char *name;
  gsize field;
  double value;
} refused[] = {
  { "too-low", offsetof (DwnPathQuery, mhz), 19 },
  { "too-high", offsetof (DwnPathQuery, mhz), 20001 },
  { "no-frequency", offsetof (DwnPathQuery, mhz), (double) NAN },
  { "buried-transmitter", offsetof (DwnPathQuery, tx_agl_m), 0.4 },
  { "flying-receiver", offsetof (DwnPathQuery, rx_agl_m), 3001 },
  { "never", offsetof (DwnPathQuery, time_pct), 0 },
  { "always", offsetof (DwnPathQuery, time_pct), 100 },
  { "nowhere", offsetof (DwnPathQuery, location_pct), 0 },
  { "every-situation", offsetof (DwnPathQuery, situation_pct), 100 },
  { "thin-air", offsetof (DwnPathQuery, n0), 249 },
  { "thick-air", offsetof (DwnPathQuery, n0), 401 },
  { "less-than-vacuum", offsetof (DwnPathQuery, permittivity), 0.9 },
  { "insulator", offsetof (DwnPathQuery, conductivity_s_m), 0 },
  { "bare-metal", offsetof (DwnPathQuery, conductivity_s_m), 1001 },
};

static void
assert_refused (const DwnPathQuery *query, DwnPathError code)
{
  double workspace[501];
  g_autoptr (GError) error = NULL;
  DwnPathLoss out;

  g_assert_false (dwn_path_model_itm.loss (query, workspace, &out, &error));
  g_assert_error (error, DWN_PATH_ERROR, (int) code);
}

static void
test_refused (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);

  *(double *) ((char *) &query + refused[i].field) = refused[i].value;
  assert_refused (&query, DWN_PATH_ERROR_DOMAIN);
}

/* NTIA Report 82-100 and its published program: 20 MHz to 20 GHz, antennas of 0.5 to 3,000 m,
 * refractivities of 250 to 400. */
static void
test_edges (void)
{
#define FIELD(name) #name, offsetof (DwnPathQuery, name)
  static const QueryEdges edges[] = {
    { FIELD (mhz), 20, 20000 }, { FIELD (tx_agl_m), 0.5, 3000 }, { FIELD (rx_agl_m), 0.5, 3000 },
    { FIELD (n0), 250, 400 }, { FIELD (permittivity), 1, 1000 },
    { FIELD (conductivity_s_m), 1e-9, 1000 },
  };
  /* In shares of time, locations and situations a tail of 0.001 % is left. */
  static const gsize shares[] = { offsetof (DwnPathQuery, time_pct),
                                  offsetof (DwnPathQuery, location_pct),
                                  offsetof (DwnPathQuery, situation_pct) };
  static const QueryEdges area = { FIELD (delta_h_m), 0, 10000 };
#undef FIELD
  g_autoptr (OwnProfile) own = own_profile_flat (50e3, 501, 0);
  DwnPathQuery query = ridge_query (own);

  query.polarisation = DWN_POLARISATION_VERTICAL;
  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_query (&dwn_path_model_itm, &query, &edges[i]);
  for (gsize i = 0; i < G_N_ELEMENTS (shares); i++)
    for (gsize k = 0; k < 2; k++)
      {
        double end_pct = k == 0 ? 0.001 : 99.999, sign = k == 0 ? -1 : 1;

        g_assert_true (edge_is_in_domain (&dwn_path_model_itm, query, shares[i], end_pct));
        g_assert_false (edge_is_in_domain (&dwn_path_model_itm, query, shares[i],
                                           end_pct + sign * 1e-5));
      }
  query.profile = NULL;
  query.distance_m = 50e3;
  edges_check_query (&dwn_path_model_itm_area, &query, &area);
  edges_check_query (&dwn_path_model_itm_area, &query, &(QueryEdges) {
    "distance_m", offsetof (DwnPathQuery, distance_m), 1e-3, 2.1e7 });
}

static void
test_refused_codes (void)
{
  static const int climates[] = { 0, 8, -1 };
  static const int modes[] = { -1, 4, 9, 14, 24, 34, 40 };
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);

  for (gsize i = 0; i < G_N_ELEMENTS (climates); i++)
    {
      query.climate = climates[i];
      assert_refused (&query, DWN_PATH_ERROR_DOMAIN);
    }
  query.climate = 5;
  for (gsize i = 0; i < G_N_ELEMENTS (modes); i++)
    {
      query.mdvar = modes[i];
      assert_refused (&query, DWN_PATH_ERROR_DOMAIN);
    }
}

/* NTIA's limits on what is worked out: 9 km up the air is too thin; a metal plate is no ground. */
static void
test_refused_inside (void)
{
  g_autoptr (OwnProfile) high = own_profile_flat (50e3, 501, 9000);
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (high);

  assert_refused (&query, DWN_PATH_ERROR_DOMAIN);
  query = ridge_query (own);
  query.conductivity_s_m = 1000;
  query.polarisation = DWN_POLARISATION_HORIZONTAL;
  query.permittivity = 1;
  assert_refused (&query, DWN_PATH_ERROR_DOMAIN);
}

static void
test_refused_profiles (void)
{
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);

  query.profile = NULL;
  assert_refused (&query, DWN_PATH_ERROR_PROFILE);
  query.profile = &own->profile;
  own->profile.n = 2;
  assert_refused (&query, DWN_PATH_ERROR_PROFILE);
  own->profile.n = 501;
  own->height_m[400] = (double) NAN;
  assert_refused (&query, DWN_PATH_ERROR_PROFILE);
}

static void
test_refused_areas (void)
{
  g_autoptr (OwnProfile) own = ridge (501);
  DwnPathQuery query = ridge_query (own);
  DwnPathLoss out;

  query.distance_m = 0;
  g_assert_false (dwn_itm_area_loss (&query, 90, DWN_SITING_RANDOM, DWN_SITING_RANDOM, &out,
                                     NULL));
  query.distance_m = 50e3;
  g_assert_false (dwn_itm_area_loss (&query, -1, DWN_SITING_RANDOM, DWN_SITING_RANDOM, &out,
                                     NULL));
  g_assert_true (dwn_itm_area_loss (&query, 90, DWN_SITING_RANDOM, DWN_SITING_RANDOM, &out,
                                    NULL));
}

static Table *
add_rows (const char *name, guint n, const char *file, GTestDataFunc test)
{
  Table *table = table_load (file);

  g_assert_cmpuint (table->rows->len, ==, n);
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *path = g_strdup_printf ("/itm/%s/%u", name, i);

      g_test_add_data_func (path, GUINT_TO_POINTER (i), test);
    }
  return table;
}

int
main (int argc, char **argv)
{
  int status;

  g_test_init (&argc, &argv, NULL);

  formulas = add_rows ("formula", 12, "itm-cases.csv", test_formula);
  shipped = add_rows ("shipped", 5, "itm-p2p.csv", test_shipped);
  areas = add_rows ("area", 5, "itm-area.csv", test_area);
  variabilities = add_rows ("variability", 63, "itm-variability.csv", test_variability);
  primitives = add_rows ("primitive", 31, "itm-primitives.csv", test_primitive);
  g_test_add_func ("/itm/mean-height", test_mean_height);
  g_test_add_func ("/itm/three-shares", test_three_shares);
  g_test_add_func ("/itm/siting", test_siting);
  g_test_add_func ("/itm/uneven", test_uneven);
  g_test_add_func ("/itm/more-time-costs-more", test_more_time_costs_more);
  g_test_add_func ("/itm/warnings", test_warnings_are_passed_on);
  g_test_add_func ("/itm/warned-edges", test_warned_edges);
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *path = g_strdup_printf ("/itm/refused/%s", refused[i].name);

      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused);
    }
  g_test_add_func ("/itm/refused/edges", test_edges);
  g_test_add_func ("/itm/refused/codes", test_refused_codes);
  g_test_add_func ("/itm/refused/inside", test_refused_inside);
  g_test_add_func ("/itm/refused/profiles", test_refused_profiles);
  g_test_add_func ("/itm/refused/areas", test_refused_areas);
  status = g_test_run ();
  table_free (formulas);
  table_free (shipped);
  table_free (areas);
  table_free (variabilities);
  table_free (primitives);
  return status;
}
