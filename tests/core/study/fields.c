/* Fields: from which height a transmitter radiates, which model, how far the others are. The ground
 * is invented. */
#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "core/study/fields.h"
#include "core/study/tables.h"

/* The house at 44.0, the station 0.4° north: 44,433 m on WGS 84. */
#define LENGTH_M 44433.0
#define N_SAMPLES 201

/* Level ground 100 m above the sea with one hill of @hill_m half way. */
static char *
profile_text (double hill_m)
{
  GString *text = g_string_new ("<paths><profile station='north' length-m='44433'><heights-dm>");

  for (int i = 0; i < N_SAMPLES; i++)
    g_string_append_printf (text, "%ld ", lround (10.0 * (i == N_SAMPLES / 2 ? 100.0 + hill_m : 100.0)));
  g_string_append (text, "</heights-dm></profile></paths>");
  return g_string_free (text, FALSE);
}

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields;
} Fixture;

/* @site: the rest of the site's attributes and its children. */
static void
fixture_open_at (Fixture *f, const char *site, const char *method, const char *station,
                 const char *paths)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site lat='44' lon='-75' %s</site>%s<stations>"
    "<station id='north' name='North' system='atsc1' rf='26' lat='44.4' lon='-75' erp-kw='100' %s/>"
    "</stations><gear><part id='a' kind='antenna' type='dipole'/></gear>%s</downlead>", site, method,
    station, paths);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

  f->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  f->plan = dwn_plan_read (bytes, "fields", f->tables->parts, f->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  f->fields = dwn_fields_new (f->plan, NULL, &error);
  g_assert_no_error (error);
}

static void
fixture_open (Fixture *f, const char *method, const char *station, const char *paths)
{
  fixture_open_at (f, "height-m='9.1'>", method, station, paths);
}

static void
fixture_close (Fixture *f)
{
  dwn_fields_unref (f->fields);
  dwn_plan_unref (f->plan);
  dwn_tables_unref (f->tables);
}

/* Half way the line stands half way between both antennas, and the earth of 4/3 bulges by
 * d² / 8 a: 44433² / (8 · 8494667) = 29.05 m. From the height that this leaves the transmitter's
 * follows. The ground is 100 m above the sea at both ends, the house's antenna 9.1 m above that. */
static const struct {
  const char *name, *station;
  double tx_agl_m;
} heights[] = {
  { "above-ground", "agl-m='150'", 150 },
  { "above-sea", "amsl-m='320'", 220 },
  { "sea-over-worn-summit", "agl-m='150' amsl-m='320'", 220 }, /* the tile has lost 70 m of it */
  { "ground-too-high", "agl-m='150' amsl-m='180'", 150 },      /* the tile puts it on a slope */
  { "above-average", "haat-m='400'", 400 },                    /* all of the ground is average */
  { "nothing", "", 30 },
};

static void
test_height (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  Fixture f;
  g_autofree char *hill = profile_text (160.0);

  fixture_open (&f, "", heights[i].station, hill);
  double line_m = 100.0 + 0.5 * (heights[i].tx_agl_m + 9.1);
  g_assert_cmpfloat_with_epsilon (f.fields->arrival[0].clearance.clearance_m,
                                  line_m - 260.0 - 29.05, 0.1);
  g_assert_cmpfloat_with_epsilon (f.fields->arrival[0].clearance.distance_m, LENGTH_M / 2.0, 1.0);
  fixture_close (&f);
}

/* A profile may be as long as the way to the station give or take 1 % and 100 m; one of
 * another length was drawn for another place, and the curves do without it. */
static void
test_stale_profile (void)
{
  static const struct {
    int side;
    double off_m;
    gboolean taken;
  } cases[] = { { -1, -3, FALSE }, { -1, 3, TRUE }, { 0, 0, TRUE }, { 1, -3, TRUE }, { 1, 3, FALSE } };
  Fixture bare;

  fixture_open (&bare, "", "", "");
  double way_m = bare.fields->arrival[0].distance_m, slack_m = 0.01 * way_m + 100;
  fixture_close (&bare);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      GString *text = g_string_new (NULL);
      Fixture f;

      g_string_append_printf (text, "<paths><profile station='north' length-m='%.0f'><heights-dm>",
                              way_m + cases[i].side * slack_m + cases[i].off_m);
      for (guint k = 0; k < N_SAMPLES; k++)
        g_string_append (text, "1000 ");
      g_string_append (text, "</heights-dm></profile></paths>");
      g_autofree char *paths = g_string_free (text, FALSE);
      fixture_open (&f, "", "agl-m='300' haat-m='300'", paths);
      g_assert_true ((f.fields->arrival[0].profile != NULL) == cases[i].taken);
      fixture_close (&f);
    }
}

/* Average terrain counts from 3 to 16 km from the transmitter (47 CFR 73.313): of the samples, which
 * are 222.165 m apart, number 14 at 3,110 m to number 72 at 15,996 m. Ground of 100 m but for one of
 * them, 590 m higher, averages to 110 m, whatever stands nearer or farther. */
static void
test_average_terrain (void)
{
  static const struct {
    const char *station;
    double haat_m;
  } cases[] = { { "amsl-m='500'", 390 }, { "agl-m='250'", 300 + 250 - 110 }, { "amsl-m='500' haat-m='77'", 77 } };
  static const guint one_of_them[] = { 14, 40, 72 };

  for (gsize k = 0; k < G_N_ELEMENTS (one_of_them) * G_N_ELEMENTS (cases); k++)
    {
      GString *text = g_string_new ("<paths><profile station='north' length-m='44433'><heights-dm>");
      Fixture f;

      for (guint i = 0; i < N_SAMPLES; i++)
        g_string_append_printf (text, "%u ", i == one_of_them[k / 3] ? 6900
                                             : i >= 14 && i <= 72 ? 1000 : i < 14 ? 3000 : 5000);
      g_string_append (text, "</heights-dm></profile></paths>");
      g_autofree char *paths = g_string_free (text, FALSE);
      fixture_open (&f, "", cases[k % 3].station, paths);
      g_assert_cmpfloat_with_epsilon (f.fields->arrival[0].haat_m, cases[k % 3].haat_m, 1e-6);
      g_assert_false (f.fields->arrival[0].haat_assumed);
      fixture_close (&f);
    }
}

/* DESIGN: P.1812 with terrain, the curves without; ITM without a profile is its area mode. */
static const struct {
  const char *name, *method;
  gboolean profile;
  const DwnPathModel *model;
} models[] = {
  { "auto", "", TRUE, &dwn_path_model_p1812 },
  { "auto-bare", "", FALSE, &dwn_path_model_curves },
  { "p1812-bare", "<method model='p1812'/>", FALSE, &dwn_path_model_curves },
  { "itm", "<method model='itm'/>", TRUE, &dwn_path_model_itm },
  { "itm-bare", "<method model='itm'/>", FALSE, &dwn_path_model_itm_area },
  { "curves", "<method model='curves'/>", TRUE, &dwn_path_model_curves },
};

static void
test_model (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  Fixture f;
  g_autofree char *hill = profile_text (60.0);

  fixture_open (&f, models[i].method, "agl-m='300' haat-m='300'", models[i].profile ? hill : "");
  g_assert_true (f.fields->arrival[0].model == models[i].model);
  fixture_close (&f);
}

/* The other models' range is what they say themselves: each end is that model's own median less that
 * of the one used, and it stands beside the uncertainty, which is the path's (DESIGN: 11 dB blocked). */
static void
test_range (void)
{
  static const char *const others[] = { "itm", "curves" };
  const char *station = "agl-m='150' amsl-m='250' haat-m='150'";
  g_autofree char *hill = profile_text (160.0);
  Fixture own;

  fixture_open (&own, "", station, hill);
  const DwnArrival *arrival = &own.fields->arrival[0];
  g_assert_cmpint (arrival->path_class, ==, DWN_PATH_BLOCKED);
  g_assert_cmpfloat (arrival->sd_db, ==, 11.0);
  for (gsize i = 0; i < G_N_ELEMENTS (others); i++)
    {
      g_autofree char *method = g_strdup_printf ("<method model='%s'/>", others[i]);
      Fixture other;

      fixture_open (&other, method, station, hill);
      double db = other.fields->field[0].median - own.fields->field[0].median;
      g_assert_cmpfloat (db, >=, arrival->spread_low_db - 1e-9);
      g_assert_cmpfloat (db, <=, arrival->spread_high_db + 1e-9);
      if (other.fields->arrival[0].model == arrival->low_model)
        g_assert_cmpfloat_with_epsilon (db, arrival->spread_low_db, 1e-9);
      if (other.fields->arrival[0].model == arrival->high_model)
        g_assert_cmpfloat_with_epsilon (db, arrival->spread_high_db, 1e-9);
      g_assert_cmpfloat (other.fields->arrival[0].sd_db, ==, 11.0);
      fixture_close (&other);
    }
  /* Both were asked, so at least one end is there; ends that are there have a model, and others not. */
  g_assert_true (arrival->low_model != NULL || arrival->high_model != NULL);
  g_assert_true ((arrival->low_model != NULL) == (arrival->spread_low_db < 0.0));
  fixture_close (&own);
}

/* Without any height on file nobody's guess is shown as an opinion. */
static void
test_no_opinion (void)
{
  Fixture f;

  fixture_open (&f, "", "", "");
  g_assert_true (f.fields->arrival[0].haat_assumed);
  g_assert_cmpfloat (f.fields->arrival[0].sd_db, ==, 12.0);
  g_assert_null (f.fields->arrival[0].low_model);
  g_assert_null (f.fields->arrival[0].high_model);
  fixture_close (&f);
}

/* The same plan, with and without a lower antenna among houses: the field is that of the roofs, from
 * which the loss of P.2108 is then taken, so the two are never counted twice. */
static void
test_roofs (void)
{
  Fixture roofs, top;
  const char *station = "agl-m='150' amsl-m='250' haat-m='150'";
  g_autofree char *hill = profile_text (20.0);

  fixture_open_at (&roofs, "height-m='4'><loss kind='clutter' of='suburban' height-m='10'/>", "", station, hill);
  fixture_open_at (&top, "height-m='10'>", "", station, hill);
  g_assert_cmpfloat (roofs.fields->field[0].wanted, ==, top.fields->field[0].wanted);
  fixture_close (&roofs);
  fixture_close (&top);
}

#define ADD_TABLE(table, prefix, function)                                       \
  for (gsize i = 0; i < G_N_ELEMENTS (table); i++)                               \
    {                                                                            \
      g_autofree char *path = g_strconcat (prefix, table[i].name, NULL);         \
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), function);               \
    }

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD_TABLE (heights, "/fields/height/", test_height)
  ADD_TABLE (models, "/fields/model/", test_model)
  g_test_add_func ("/fields/stale-profile", test_stale_profile);
  g_test_add_func ("/fields/average-terrain", test_average_terrain);
  g_test_add_func ("/fields/range", test_range);
  g_test_add_func ("/fields/no-opinion", test_no_opinion);
  g_test_add_func ("/fields/roofs", test_roofs);
  return g_test_run ();
}
