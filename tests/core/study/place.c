/* A higher mast behind a ridge, over trees and down a longer cable; other spots by the house. The
 * ground is invented. */
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/plan/document.h"
#include "core/study/place.h"
#include "core/study/readings.h"

/* WGS 84, 0.4° along the meridian at 44° (NOAA's formula for the length of a degree). */
#define LENGTH_M 44445.0
#define N_SAMPLES 446
#define RIDGE_M 4000.0 /* from the house */

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields;
} Fixture;

#define GEAR                                                                                    \
  "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h'"   \
  " aim-deg='0'/><part id='tv' kind='outlet' type='tuner-atsc'/>"                               \
  "<join from='a' to='tv' cable='series-6' length-m='20'/></gear>"

#define STATION                                                                                 \
  "<services><service id='s' name='Vennor' wanted='must'/></services><stations>"                \
  "<station id='north' name='North' system='atsc1' rf='26' lat='44.6' lon='-74.7' erp-kw='%g'"  \
  " haat-m='200' amsl-m='300' agl-m='200' polarisation='h' services='s'/></stations>"

/* Flat ground 100 m above the sea with one ridge; transmitter first. */
static char *
ridge_text (double top_m, double width_m)
{
  GString *text = g_string_new ("<paths><profile station='north' length-m='44445'><heights-dm>");

  for (int i = 0; i < N_SAMPLES; i++)
    {
      double off_m = LENGTH_M * i / (N_SAMPLES - 1) - (LENGTH_M - RIDGE_M);
      double height_m = 100.0 + (top_m - 100.0) * exp (-off_m * off_m / (width_m * width_m));

      g_string_append_printf (text, "%ld ", lround (10.0 * height_m));
    }
  g_string_append (text, "</heights-dm></profile></paths>");
  return g_string_free (text, FALSE);
}

static void
fixture_open (Fixture *f, double erp_kw, const char *losses, const char *paths, const char *readings)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *station = g_strdup_printf (STATION, erp_kw);
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Ridge' lat='44.2' lon='-74.7' ground-m='100' height-m='9.1'"
    " area='rural'>%s</site>%s" GEAR "%s<readings>%s</readings></downlead>", losses, station, paths,
    readings);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

  f->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  f->plan = dwn_plan_read (bytes, "ridge", f->tables->parts, f->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  f->fields = dwn_fields_new (f->plan, NULL, &error);
  g_assert_no_error (error);
}

static void
fixture_close (Fixture *f)
{
  dwn_fields_unref (f->fields);
  dwn_plan_unref (f->plan);
  dwn_tables_unref (f->tables);
}

static DwnRaise *
raise_by (const Fixture *f, guint n, double step_m)
{
  g_autoptr (GError) error = NULL;
  g_autofree double *rise_m = g_new (double, n);

  for (guint k = 0; k < n; k++)
    rise_m[k] = k * step_m;
  DwnRaise *raise = dwn_raise_new (f->plan, f->fields, f->tables, f->plan->aims->aim_deg, n, rise_m,
                                   NULL, &error);
  g_assert_no_error (error);
  return raise;
}

/* A ridge whose top is 8 m above the line: from about 9 m more on nothing stands above it. What is
 * smooth is the field. The margin follows it but where the path goes over into another class: then
 * σ and the needed C/N change as DESIGN has it (15.2 dB, 17.2 on a blocked path). */
static void
test_sweep (void)
{
  Fixture f;
  g_autofree char *ridge = ridge_text (125.0, 600.0);

  fixture_open (&f, 5.0, "", ridge, "");
  g_autoptr (DwnRaise) raise = raise_by (&f, 41, 0.5);
  double step_before_db = (double) NAN;
  guint changes = 0;

  for (guint k = 1; k < raise->n; k++)
    {
      const DwnPlaceView *before = &raise->view[k - 1], *now = &raise->view[k];
      double field_step_db = now->field_dbuv_m - before->field_dbuv_m;
      double margin_step_db = now->margin_db - before->margin_db;

      g_assert_cmpfloat (field_step_db, >=, -1e-9);
      g_assert_cmpfloat (field_step_db, <, 0.6);
      if (!isnan (step_before_db))
        g_assert_cmpfloat_with_epsilon (field_step_db, step_before_db, 0.15);
      step_before_db = field_step_db;
      g_assert_cmpfloat_with_epsilon (now->clearance_m - before->clearance_m, 0.5, 0.1);
      if (now->path_class == before->path_class)
        {
          /* Half a metre of series 6 coax at 545 MHz takes 0.08 dB. */
          g_assert_cmpfloat_with_epsilon (margin_step_db, field_step_db - 0.08, 0.02);
          g_assert_cmpfloat_with_epsilon (now->sigma_db, before->sigma_db, 0.05);
          continue;
        }
      changes++;
      g_assert_cmpint (before->path_class, ==, DWN_PATH_BLOCKED);
      g_assert_cmpint (now->path_class, ==, DWN_PATH_GRAZING);
      g_assert_cmpfloat (before->clearance_m, <, 0.0);
      g_assert_cmpfloat (now->clearance_m, >=, 0.0);
      g_assert_cmpfloat_with_epsilon (margin_step_db, field_step_db - 0.08 + 2.0, 0.02);
      g_assert_cmpfloat_with_epsilon (before->sigma_db * before->sigma_db
                                      - now->sigma_db * now->sigma_db, 121.0 - 64.0, 0.5);
      g_assert_cmpfloat_with_epsilon (raise->rise_m[k], 9.0, 1.0);
    }
  g_assert_cmpuint (changes, ==, 1);
  fixture_close (&f);
}

/* ITU-R P.526-15 eq. (31), single knife edge. */
static double
knife_edge_db (double nu)
{
  return 6.9 + 20.0 * log10 (sqrt ((nu - 0.1) * (nu - 0.1) + 1.0) + nu - 0.1);
}

/* Behind a sharp ridge far above the line ten metres bring what a knife edge loses on the way: the
 * line rises by 10 m times (1 − 4/44.4) at the ridge. λ at channel 26, 545 MHz, is 0.55 m. */
static void
test_knife_edge (void)
{
  Fixture f;
  g_autofree char *ridge = ridge_text (190.0, 90.0);

  fixture_open (&f, 5.0, "", ridge, "");
  g_autoptr (DwnRaise) raise = raise_by (&f, 2, 10.0);
  double far_m = LENGTH_M - RIDGE_M;
  double nu_per_m = sqrt (2.0 / 0.55 * LENGTH_M / (RIDGE_M * far_m));
  double low_m = -raise->view[0].clearance_m, high_m = -raise->view[1].clearance_m;

  g_assert_cmpfloat_with_epsilon (low_m - high_m, 10.0 * far_m / LENGTH_M, 0.05);
  g_assert_cmpfloat_with_epsilon (raise->view[1].field_dbuv_m - raise->view[0].field_dbuv_m,
                                  knife_edge_db (low_m * nu_per_m) - knife_edge_db (high_m * nu_per_m),
                                  1.0);
  fixture_close (&f);
}

/* The downlead is as much longer as the mast is higher; nothing else is. */
static void
test_cable (void)
{
  Fixture f;

  fixture_open (&f, 5.0, "", "", "");
  g_autoptr (DwnPlan) raised = dwn_plan_raised (f.plan, 4.0);
  g_autoptr (DwnPlan) lowered = dwn_plan_raised (f.plan, -50.0);

  g_assert_cmpfloat (raised->site->height_m, ==, 13.1);
  g_assert_cmpfloat_with_epsilon (raised->gear->edge[0].length_m, 24.0, 1e-9);
  g_assert_true (raised->stations == f.plan->stations);
  g_assert_cmpfloat (lowered->site->height_m, ==, 1.0);
  g_assert_cmpfloat_with_epsilon (lowered->gear->edge[0].length_m, 20.0 - 8.1, 1e-9);
  fixture_close (&f);
}

/* A wood 14 m high in front of the house: raising the antenna above it brings back what it takes,
 * and a little; the term and its uncertainty go. */
static void
test_over_trees (void)
{
  Fixture wood, open;
  const char *trees = "<loss kind='trees' of='evergreen' depth-m='500' height-m='14' away-m='30'/>";
  g_autofree char *ridge = ridge_text (100.0, 600.0);

  fixture_open (&wood, 5.0, trees, ridge, "");
  fixture_open (&open, 5.0, "", ridge, "");
  g_autoptr (DwnRaise) w = raise_by (&wood, 16, 1.0);
  g_autoptr (DwnRaise) o = raise_by (&open, 16, 1.0);
  double before_db = 1e9;

  for (guint k = 0; k < w->n; k++)
    {
      double taken_db = o->view[k].margin_db - w->view[k].margin_db;

      g_assert_cmpfloat (taken_db, <=, before_db + 1e-9);
      before_db = taken_db;
    }
  g_assert_cmpfloat (o->view[0].margin_db - w->view[0].margin_db, >, 6.0);
  g_assert_cmpfloat_with_epsilon (o->view[15].margin_db, w->view[15].margin_db, 1e-9);
  g_assert_cmpfloat (w->view[0].sigma_db, >, o->view[0].sigma_db);
  g_assert_cmpfloat_with_epsilon (w->view[15].sigma_db, o->view[15].sigma_db, 1e-9);
  fixture_close (&wood);
  fixture_close (&open);
}

/* A reading moves every height alike: it does not eat what the mast brings. */
static void
test_reading (void)
{
  Fixture plain, read;
  g_autofree char *ridge = ridge_text (125.0, 600.0);

  fixture_open (&plain, 5.0, "", ridge, "");
  fixture_open (&read, 5.0, "", ridge, "<reading station='north' where='a' level-dbm='-70'/>");
  g_autoptr (DwnRaise) p = raise_by (&plain, 4, 3.0);
  g_autoptr (DwnRaise) r = raise_by (&read, 4, 3.0);
  g_autofree DwnFieldShift *shift = dwn_readings_shifts (read.plan, read.fields, read.tables);

  g_assert_nonnull (shift);
  g_assert_cmpfloat (fabs (shift[0].db), >, 0.5);
  for (guint k = 0; k < p->n; k++)
    g_assert_cmpfloat_with_epsilon (r->view[k].field_dbuv_m - p->view[k].field_dbuv_m, shift[0].db,
                                    1e-9);
  fixture_close (&plain);
  fixture_close (&read);
}

/* What nobody asked for counts for nothing, however weak it is; asked for, it is the weakest. */
static void
test_asked_for (void)
{
  static const char *const wanted[] = { "", " wanted='must'" };

  for (gsize k = 0; k < G_N_ELEMENTS (wanted); k++)
    {
      g_autofree char *text = g_strdup_printf (
        "<downlead version='1.0'><site name='Two' lat='44.2' lon='-74.7' height-m='9.1'/><services>"
        "<service id='near' name='Near' wanted='must'/><service id='far' name='Far'%s/></services>"
        "<stations><station id='near' name='Near' system='atsc1' rf='26' lat='44.3' lon='-74.7'"
        " erp-kw='500' haat-m='200' services='near'/><station id='far' name='Far' system='atsc1' rf='30'"
        " lat='46' lon='-74.7' erp-kw='1' haat-m='100' services='far'/></stations>" GEAR "</downlead>",
        wanted[k]);
      g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
      g_autoptr (DwnTables) tables = dwn_tables_new (NULL);
      g_autoptr (DwnPlan) plan = dwn_plan_read (bytes, "two", tables->parts, tables->catalogue, NULL, NULL);
      g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
      const double rise_m = 0;
      g_autoptr (DwnRaise) raise = dwn_raise_new (plan, fields, tables, plan->aims->aim_deg, 1, &rise_m,
                                                  NULL, NULL);

      g_assert_cmpuint (raise->sum[0].held, ==, 1);
      g_assert_cmpint (raise->sum[0].weakest, ==, (int) k);
      g_assert_cmpfloat (raise->sum[0].weakest_db, ==, raise->view[k].margin_db);
    }
}

/* Where no rises are asked for it is every whole metre up to ten, as place.h has it. */
static void
test_whole_metres (void)
{
  Fixture f;
  g_autoptr (GError) error = NULL;

  fixture_open (&f, 5.0, "", "", "");
  g_autoptr (DwnRaise) raise = dwn_raise_new (f.plan, f.fields, f.tables, f.plan->aims->aim_deg, 0, NULL,
                                              NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (raise->n, ==, (guint) DWN_RAISE_MOST_M + 1);
  for (guint k = 0; k < raise->n; k++)
    g_assert_cmpfloat (raise->rise_m[k], ==, k);
  fixture_close (&f);
}

static void
test_holds_from (void)
{
  const double rise_m[] = { 0, 1, 2, 3, 4 };
  static const struct {
    double chance[5], from_m;
  } cases[] = {
    { { 0.2, 0.5, 0.9, 0.95, 0.97 }, 2 },
    { { 0.95, 0.5, 0.8, 0.91, 0.97 }, 3 },
    { { 0.95, 0.95, 0.95, 0.95, 0.95 }, 0 },
    { { 0.2, 0.95, 0.95, 0.95, 0.89 }, (double) NAN },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      DwnPlaceView views[5] = { 0 };
      const DwnRaise raise = { .n = 5, .n_stations = 1, .rise_m = rise_m, .view = views };

      for (guint k = 0; k < 5; k++)
        views[k].chance = cases[i].chance[k];
      double from_m = dwn_raise_holds_from_m (&raise, 0);
      g_assert_true (from_m == cases[i].from_m || (isnan (from_m) && isnan (cases[i].from_m)));
    }
}

static void
test_cancel (void)
{
  Fixture f;
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;

  fixture_open (&f, 5.0, "", "", "");
  g_cancellable_cancel (cancellable);
  g_assert_null (dwn_raise_new (f.plan, f.fields, f.tables, f.plan->aims->aim_deg, 0, NULL,
                                cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  fixture_close (&f);
}

#define SIDE 1201

/* Around the house a slope that rises 1 m in 2 to the east, from 100 m, and a ridge 60 m high 4 km
 * north of it. */
static char *
write_tile (void)
{
  g_autoptr (GError) error = NULL;
  g_autofree gint16 *samples = g_new (gint16, SIDE * SIDE);
  char *folder = g_dir_make_tmp ("downlead-spots-XXXXXX", &error);

  g_assert_no_error (error);
  for (int row = 0; row < SIDE; row++)
    for (int column = 0; column < SIDE; column++)
      {
        double north_m = (45.0 - row / 1200.0 - 44.2) * 111110.0;
        double east_m = (-75.0 + column / 1200.0 + 74.7) * 79850.0;
        double off_m = north_m - RIDGE_M;
        double slope_m = CLAMP (0.5 * east_m, -60.0, 60.0) * exp (-north_m * north_m / (500.0 * 500.0));
        double height_m = 100.0 + slope_m
                          + 60.0 * exp (-off_m * off_m / (300.0 * 300.0));

        samples[row * SIDE + column] = GINT16_TO_BE ((gint16) lround (height_m));
      }
  g_autofree char *path = g_build_filename (folder, "N44W075.hgt", NULL);
  g_file_set_contents (path, (const char *) samples, SIDE * SIDE * sizeof *samples, &error);
  g_assert_no_error (error);
  return folder;
}

static void
remove_tile (const char *folder)
{
  g_autofree char *path = g_build_filename (folder, "N44W075.hgt", NULL);

  g_assert_cmpint (g_remove (path), ==, 0);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
}

static void
note_progress (double fraction, gpointer user_data)
{
  double *last = user_data;

  g_assert_cmpfloat (fraction, >=, *last);
  *last = fraction;
}

/* Uphill, to the east, the line passes the ridge less steeply. */
static void
test_spots (void)
{
  Fixture f;
  g_autofree char *folder = write_tile ();
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (folder, &error);
  double last = 0.0;

  g_assert_no_error (error);
  fixture_open (&f, 5.0, "", "", "");
  g_autoptr (DwnSpots) spots = dwn_spots_new (f.plan, f.fields, f.tables, terrain,
                                              f.plan->aims->aim_deg, NULL, note_progress, &last, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (last, ==, 1.0);
  g_assert_cmpuint (spots->n, ==, 81); /* lattice points within a circle of radius 5: OEIS A000328 */
  g_assert_cmpfloat (spots->spot[0].east_m, ==, 0.0);
  g_assert_cmpfloat_with_epsilon (spots->spot[0].ground_m, 100.0, 0.6);
  /* Three arc-seconds of a meridian, 92.6 m, and of the parallel of 44.2°, 66.5 m. */
  g_assert_cmpfloat (spots->tile_step_m, >, 60.0);
  g_assert_cmpfloat (spots->tile_step_m, <, 93.0);
  const DwnSpot *best = &spots->spot[spots->best];
  g_assert_cmpfloat (best->east_m, >=, 40.0);
  g_assert_cmpfloat_with_epsilon (best->ground_m, 100.0 + 0.5 * best->east_m, 1.5);
  g_assert_cmpfloat (spots->gain_db, >, 2.0);
  g_assert_cmpfloat (spots->gain_db, ==, best->sum.weakest_db - spots->spot[0].sum.weakest_db);
  for (guint k = 0; k < spots->n; k++)
    {
      const DwnSpot *spot = &spots->spot[k];
      double away_m = hypot (spot->east_m, spot->north_m), distance_m, bearing_deg;

      g_assert_cmpint (spots->view[k].path_class, ==, DWN_PATH_BLOCKED);
      g_assert_cmpfloat (spot->sum.weakest_db, <=, best->sum.weakest_db + 0.5);
      /* As good to half a decibel, but nearer, would have been better. */
      if (floor (2.0 * spot->sum.weakest_db) == floor (2.0 * best->sum.weakest_db)
          && spot->sum.held == best->sum.held)
        g_assert_cmpfloat (away_m, >=, hypot (best->east_m, best->north_m));
      /* On the grid of the house's own east and north, in whole steps. */
      g_assert_true (dwn_geodesic_inverse (&f.plan->site->at, &spot->at, &distance_m, &bearing_deg, NULL,
                                           NULL));
      g_assert_cmpfloat_with_epsilon (distance_m, away_m, 1e-3);
      if (k > 0)
        g_assert_cmpfloat_with_epsilon (
          remainder (bearing_deg - atan2 (spot->east_m, spot->north_m) * 180 / G_PI, 360), 0, 1e-4);
      g_assert_cmpfloat (fmod (spot->east_m, DWN_SPOTS_STEP_M), ==, 0);
      g_assert_cmpfloat (away_m, <=, DWN_SPOTS_RADIUS_M);
      g_assert_cmpfloat_with_epsilon (spot->ground_m,
                                      100.0 + CLAMP (0.5 * spot->east_m, -60, 60)
                                      * exp (-spot->north_m * spot->north_m / 250e3), 1.5);
    }
  fixture_close (&f);
  remove_tile (folder);
}

static void
test_spots_refused (void)
{
  Fixture f;
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-spots-XXXXXX", &error);
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (folder, &error);

  g_assert_no_error (error);
  fixture_open (&f, 5.0, "", "", "");
  g_assert_null (dwn_spots_new (f.plan, f.fields, f.tables, terrain, f.plan->aims->aim_deg, NULL, NULL,
                                NULL, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NO_DATA);
  fixture_close (&f);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/place/sweep", test_sweep);
  g_test_add_func ("/place/knife-edge", test_knife_edge);
  g_test_add_func ("/place/cable", test_cable);
  g_test_add_func ("/place/over-trees", test_over_trees);
  g_test_add_func ("/place/reading", test_reading);
  g_test_add_func ("/place/asked-for", test_asked_for);
  g_test_add_func ("/place/whole-metres", test_whole_metres);
  g_test_add_func ("/place/holds-from", test_holds_from);
  g_test_add_func ("/place/cancel", test_cancel);
  g_test_add_func ("/place/spots", test_spots);
  g_test_add_func ("/place/spots/refused", test_spots_refused);
  return g_test_run ();
}
