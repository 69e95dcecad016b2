/* What the house takes, term by term, against figures of the Recommendations; what follows from the
 * terms in a budget; winter and summer. */
#include <math.h>
#include <string.h>

#include "core/study/check.h"
#include "core/study/house.h"
#include "core/study/season.h"

#include "example-plan.h"

static DwnTables *tables;

static DwnHouseWay
way_at (double bearing_deg, double mhz, double antenna_agl_m, gboolean leaves)
{
  return (DwnHouseWay) {
    .bearing_deg = bearing_deg, .mhz = mhz, .antenna_agl_m = antenna_agl_m, .leaves = leaves,
    .band = mhz < 100 ? DWN_BAND_LOW_VHF : mhz < 300 ? DWN_BAND_HIGH_VHF : DWN_BAND_UHF,
  };
}

static DwnHouseShare
share_of (const DwnHouseLoss *term, const DwnHouseWay *way)
{
  DwnHouseShare share;

  g_assert_true (dwn_house_term (tables, term, way, &share));
  return share;
}

/* Losses add, uncertainties in squares; an arc may go across north. */
static void
test_figures (void)
{
  const DwnHouseLoss losses[] = {
    { "roof", 0, 0, { 1, 2, 3 }, 1.0, FALSE },
    { "wood", 350, 20, { 4, 5, 6 }, 2.0, TRUE }, /* across north, while leaves are on */
  };
  const DwnSite site = { .n_losses = 2, .loss = losses };
  static const struct {
    double bearing_deg, mhz;
    gboolean leaves;
    double db, sd_db;
  } expected[] = {
    { 180, 545, TRUE, 3, 1 },
    { 5, 545, TRUE, 9, 2.2360679775 }, /* the root of 5 */
    { 355, 69, TRUE, 5, 2.2360679775 },
    { 5, 195, FALSE, 2, 1 },
    { 21, 545, TRUE, 3, 1 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (expected); i++)
    {
      DwnHouseWay way = way_at (expected[i].bearing_deg, expected[i].mhz, 9, expected[i].leaves);
      DwnHouseShare sum = dwn_house_sum (tables, &site, &way);

      g_assert_cmpfloat (sum.db, ==, expected[i].db);
      g_assert_cmpfloat_with_epsilon (sum.sd_db, expected[i].sd_db, 1e-9);
    }
  g_assert_true (dwn_house_has_seasons (&site));
  g_assert_false (dwn_house_has_seasons (&(DwnSite) { .n_losses = 1, .loss = losses }));
}

/* Somebody's own list of roofs need not have the one that is meant: it takes nothing then. */
static void
test_no_such_roof (void)
{
  static const char text[] = "[tin]\nname=Tin\nlow-vhf=20\nhigh-vhf=20\nuhf=20\nsd=3\nsource=test\n";
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (DwnRoofTable) roofs = dwn_roof_table_new_from_bytes (bytes, "roofs.ini", NULL);
  DwnTables own = *tables;
  DwnHouseWay way = way_at (90, 545, 6, FALSE);
  DwnHouseShare share;
  DwnHouseLoss term;

  g_assert_nonnull (roofs);
  own.roofs = roofs;
  dwn_house_loss_init (&term, DWN_HOUSE_ROOF);
  term.of = "thatch";
  g_assert_true (dwn_house_term (&own, &term, &way, &share));
  g_assert_cmpfloat (share.db, ==, 0);
  g_assert_cmpfloat (share.sd_db, ==, 0);
  term.of = "tin";
  g_assert_true (dwn_house_term (&own, &term, &way, &share));
  g_assert_cmpfloat (share.db, ==, 20);
}

/* An attic dealer's page: dry shingle on plywood lets 50 to 70 % through, 1.5 to 3 dB. Metal, foil
 * and solar panels are treated as blocked, 20 dB or more (common practice). */
static void
test_roofs (void)
{
  static const char *const blocked[] = { "metal", "foil", "solar", "stucco-mesh" };
  DwnHouseLoss term;
  DwnHouseWay way = way_at (90, 545, 6, FALSE);

  dwn_house_loss_init (&term, DWN_HOUSE_ROOF);
  term.of = "shingle";
  for (double mhz = 69; mhz < 600; mhz += 100)
    {
      DwnHouseWay at = way_at (90, mhz, 6, FALSE);
      g_assert_cmpfloat (share_of (&term, &at).db, >=, 1.5);
      g_assert_cmpfloat (share_of (&term, &at).db, <=, 3.0);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (blocked); i++)
    {
      term.of = blocked[i];
      g_assert_cmpfloat (share_of (&term, &way).db, >=, 20.0);
      g_assert_cmpfloat (share_of (&term, &way).sd_db, >, 0.0);
    }
  /* Attics altogether 3 to 13 dB (trade questions and answers): what is not known is in between. */
  term.of = "thatch of the neighbour";
  g_assert_cmpfloat (share_of (&term, &way).db, >, 3.0);
  g_assert_cmpfloat (share_of (&term, &way).db, <, 13.0);
  term.sd_db = 1.25; /* the plan's own */
  g_assert_cmpfloat (share_of (&term, &way).sd_db, ==, 1.25);
}

/* ITU-R P.2109-2 worked out at 545 MHz: a median of 14.00 dB into a traditional building and of
 * 32.11 dB into a thermally efficient one. */
static void
test_buildings (void)
{
  DwnHouseLoss term;
  DwnHouseWay way = way_at (0, 545, 3, FALSE), low = way_at (0, 69, 3, FALSE);
  DwnHouseWay steep = { .elevation_deg = 45, .mhz = 2000, .band = DWN_BAND_UHF };

  dwn_house_loss_init (&term, DWN_HOUSE_BUILDING);
  term.of = "traditional";
  g_assert_cmpfloat_with_epsilon (share_of (&term, &way).db, 14.00, 0.005);
  term.of = "efficient";
  g_assert_cmpfloat_with_epsilon (share_of (&term, &way).db, 32.11, 0.005);
  /* The sheet of trade figures, 0.2 to 0.6 GHz: 10, 50, 90 % lose 6, 14, 24 dB. */
  term.of = "traditional";
  term.percent = 10;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &way).db, 6, 0.6);
  g_assert_cmpfloat (share_of (&term, &way).sd_db, >, 5.0);
  term.percent = 90;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &way).db, 24, 0.6);
  /* p2109.csv: 80 MHz, 90 %, traditional. Below it nothing is published. */
  g_assert_cmpfloat_with_epsilon (share_of (&term, &low).db, 23.197, 0.001);
  /* p2109.csv, a value of ITU-R Study Group 3: 2 GHz, 10 %, traditional, 45 degrees. */
  term.percent = 10;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &steep).db, 11.251, 0.01);
}

/* NTIA's test data of P.2108: 1.5 GHz, 2 m, street 27 m, suburban of 10 m: 20.5 dB. */
static void
test_clutter (void)
{
  DwnHouseLoss term;
  DwnHouseWay way = way_at (0, 1500, 2, FALSE), above = way_at (0, 1500, 10, FALSE);
  const DwnSite site = { .n_losses = 1, .loss = &term };
  double before_db = 1e9;

  dwn_house_loss_init (&term, DWN_HOUSE_CLUTTER);
  term.of = "suburban";
  term.from_deg = 300;
  term.to_deg = 60;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &way).db, 20.5, 0.0501);
  /* 6 m: 14.6 dB; what lies between is what the height may be wrong by. */
  g_assert_cmpfloat (share_of (&term, &way).sd_db, >, 0.5);
  g_assert_cmpfloat (share_of (&term, &way).sd_db, <, (20.5 - 14.6) / 2.0);
  g_assert_cmpfloat (share_of (&term, &above).db, ==, 0.0);
  for (double agl_m = 2; agl_m <= 12; agl_m += 0.25)
    {
      DwnHouseWay at = way_at (0, 545, agl_m, FALSE);
      g_assert_cmpfloat (share_of (&term, &at).db, <=, before_db);
      before_db = share_of (&term, &at).db;
    }
  /* Its loss is off the field at its top, so that is what has to be predicted; only behind it. */
  g_assert_cmpfloat (dwn_house_field_agl_m (&site, 0, 4), ==, 10.0);
  g_assert_cmpfloat (dwn_house_field_agl_m (&site, 180, 4), ==, 4.0);
  g_assert_cmpfloat (dwn_house_field_agl_m (&site, 0, 14), ==, 14.0);
}

/* P.833 as the sheet of trade figures works it out at 466 MHz: 20 m take about 2 dB, 50 m 5 dB,
 * 100 m 9 dB. */
static void
test_trees (void)
{
  static const double depths[][2] = { { 20, 2 }, { 50, 5 }, { 100, 9 } };
  DwnHouseLoss term;
  DwnHouseWay summer = way_at (0, 466, 9, TRUE), winter = way_at (0, 466, 9, FALSE);

  dwn_house_loss_init (&term, DWN_HOUSE_TREES);
  for (gsize i = 0; i < G_N_ELEMENTS (depths); i++)
    {
      term.depth_m = depths[i][0];
      g_assert_cmpfloat_with_epsilon (share_of (&term, &summer).db, depths[i][1], 0.5);
      g_assert_cmpfloat (share_of (&term, &winter).db, <, share_of (&term, &summer).db);
      g_assert_cmpfloat (share_of (&term, &winter).db, >, 0.0);
    }
  term.of = "evergreen";
  g_assert_cmpfloat (share_of (&term, &winter).db, ==, share_of (&term, &summer).db);
  g_assert_false (dwn_house_has_seasons (&(DwnSite) { .n_losses = 1, .loss = &term }));
}

/* P.2108 speaks from 30 MHz to 3 GHz; beyond, houses around take nothing that anybody knows. */
static void
test_clutter_beyond (void)
{
  static const double mhz[] = { 29, 30, 3000, 3001 };
  DwnHouseLoss term;

  dwn_house_loss_init (&term, DWN_HOUSE_CLUTTER);
  term.of = "suburban";
  for (gsize i = 0; i < G_N_ELEMENTS (mhz); i++)
    {
      DwnHouseWay way = way_at (0, mhz[i], 2, TRUE);
      gboolean inside = mhz[i] >= 30 && mhz[i] <= 3000;

      g_assert_true (inside ? share_of (&term, &way).db > 0 : share_of (&term, &way).db == 0);
      g_assert_true (inside || share_of (&term, &way).sd_db == 0);
    }
}

/* A dense wood as high as the line just touches: half the field passes over it, 6.03 dB by the fit
 * of P.526-15 eq. (31); through 2 km of it comes nothing. Raising the antenna ends the loss. */
static void
test_over_trees (void)
{
  DwnHouseLoss term;
  DwnHouseWay level = way_at (0, 545, 12, TRUE), high = way_at (0, 545, 30, TRUE);
  double before_db = 1e9;

  dwn_house_loss_init (&term, DWN_HOUSE_TREES);
  term.depth_m = 2000;
  term.height_m = 12;
  term.away_m = 40;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &level).db, 6.03, 0.3);
  g_assert_cmpfloat (share_of (&term, &high).db, ==, 0.0);
  for (double agl_m = 1; agl_m <= 20; agl_m += 0.25)
    {
      DwnHouseWay at = way_at (0, 545, agl_m, TRUE);
      g_assert_cmpfloat (share_of (&term, &at).db, <=, before_db);
      before_db = share_of (&term, &at).db;
    }
  /* What comes in from 3 m higher over 40 m passes the trees as it would 3 m further up the mast. */
  DwnHouseWay steep = way_at (0, 545, 9, TRUE), raised = way_at (0, 545, 12, TRUE);
  steep.elevation_deg = atan (3.0 / 40.0) * 180.0 / G_PI;
  g_assert_cmpfloat_with_epsilon (share_of (&term, &steep).db, share_of (&term, &raised).db, 1e-9);
}

#define ROOF "<loss kind='roof' of='tile' from-deg='300' to-deg='60'/>"
#define LEAFY "mount='attic' height-m='9.1' area='rural'>"                                          \
              "<loss kind='trees' depth-m='60' from-deg='270' to-deg='90' name='wood'/>"            \
              "<loss kind='building' of='efficient' percent='20' from-deg='100' to-deg='200'/>" ROOF

/* What a term takes is missing at the outlet, and its uncertainty stands in σ. */
static void
test_budget (void)
{
  Example bare, roofed;

  example_open (&bare, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, "");
  example_open (&roofed, "height-m='9.1' area='rural'>" ROOF, EXAMPLE_GEAR, "");
  g_autoptr (DwnBudgetBase) b = dwn_budget_base_new (bare.plan, bare.fields, bare.tables);
  g_autoptr (DwnBudgetBase) r = dwn_budget_base_new (roofed.plan, roofed.fields, roofed.tables);
  g_autoptr (DwnBudget) before = dwn_budget_new (b, bare.plan->aims->aim_deg);
  g_autoptr (DwnBudget) after = dwn_budget_new (r, roofed.plan->aims->aim_deg);
  const DwnRoof *tile = dwn_roof_table_find (bare.tables->roofs, "tile");

  for (guint i = 0; i < before->n_stations; i++)
    {
      const DwnReception *one = &before->reception[i * before->n_outlets];
      const DwnReception *other = &after->reception[i * after->n_outlets];
      DwnBand band = bare.plan->stations->station[i].band;

      g_assert_cmpfloat_with_epsilon (one->level_dbm - other->level_dbm, tile->loss_db[band], 1e-9);
      g_assert_cmpfloat_with_epsilon (other->sigma_db * other->sigma_db - one->sigma_db * one->sigma_db,
                                      tile->sd_db * tile->sd_db, 1e-6);
    }
  example_close (&bare);
  example_close (&roofed);
}

static void
test_seasons (void)
{
  Example e;

  example_open (&e, LEAFY, EXAMPLE_GEAR, "");
  g_autoptr (DwnSeasons) seasons = dwn_seasons_new (e.plan, e.fields, e.tables, e.plan->aims->aim_deg);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e.plan, e.fields, e.tables);
  g_autoptr (DwnBudget) own = dwn_budget_new (base, e.plan->aims->aim_deg); /* for winter */

  for (guint i = 0; i < own->n_stations; i++)
    {
      double db = dwn_seasons_margin_db (seasons, i);

      g_assert_cmpfloat (own->reception[i * 2].margin_db, ==,
                         seasons->winter->reception[i * 2].margin_db);
      g_assert_cmpfloat (db, >, 0.05);
      g_assert_cmpfloat (db, <, 2.0); /* a fifth of what 60 m take, 6 dB at 466 MHz */
      g_assert_cmpfloat (seasons->summer->reception[i * 2].sigma_db, >,
                         seasons->winter->reception[i * 2].sigma_db);
    }

  g_autoptr (DwnSeasons) of_base = dwn_seasons_of_base (base, e.plan->aims->aim_deg);

  for (guint i = 0; i < own->n_stations; i++)
    g_assert_cmpfloat (dwn_seasons_margin_db (of_base, i), ==, dwn_seasons_margin_db (seasons, i));
  example_close (&e);
}

/* A roof of a person's own that this machine does not have is said, and nothing else is. */
static void
test_check (void)
{
  Example e;

  example_open (&e, "height-m='9.1'><loss kind='roof' of='reed'/>" ROOF, EXAMPLE_GEAR, "");
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e.plan, e.fields, e.tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, e.plan->aims->aim_deg);
  g_autoptr (GArray) checks = dwn_check_plan (e.plan, e.fields, budget, e.tables);
  guint found = 0;

  for (guint i = 0; i < checks->len; i++)
    {
      const DwnCheck *check = &g_array_index (checks, DwnCheck, i);

      if (check->code != DWN_CHECK_ROOF_UNKNOWN)
        continue;
      found++;
      g_assert_cmpint (check->loss, ==, 0);
      g_assert_cmpint (check->severity, ==, DWN_SEVERITY_NOTE);
    }
  g_assert_cmpuint (found, ==, 1);
  example_close (&e);
}

/* All kinds come back from the document as they went in. */
static void
test_document (void)
{
  Example e;
  g_autoptr (GError) error = NULL;

  example_open (&e, LEAFY, EXAMPLE_GEAR, "");
  g_autoptr (GBytes) bytes = dwn_plan_write (e.plan, e.tables->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", e.tables->parts, e.tables->catalogue,
                                             NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GBytes) twice = dwn_plan_write (again, e.tables->catalogue);

  g_assert_true (g_bytes_equal (bytes, twice));
  g_assert_cmpuint (again->site->n_losses, ==, 3);
  g_assert_cmpint (again->site->loss[0].kind, ==, DWN_HOUSE_TREES);
  g_assert_cmpfloat (again->site->loss[0].depth_m, ==, 60.0);
  g_assert_true (isnan (again->site->loss[0].height_m));
  g_assert_cmpstr (again->site->loss[1].of, ==, "efficient");
  g_assert_cmpfloat (again->site->loss[1].percent, ==, 20.0);
  g_assert_cmpstr (again->site->loss[2].of, ==, "tile");
  example_close (&e);
}

static const struct {
  const char *name, *loss, *says;
} refused[] = {
  { "kind", "<loss kind='hedge'/>", "trees" },
  { "building", "<loss kind='building' of='castle'/>", "efficient" },
  { "clutter", "<loss kind='clutter'/>", "dense-urban" },
  { "trees", "<loss kind='trees' of='palms'/>", "evergreen" },
  { "percent", "<loss kind='building' of='efficient' percent='100'/>", "99.9" },
};

static void
test_refused (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'>\n<site lat='44' lon='-75'>%s</site></downlead>", refused[i].loss);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_plan_read (bytes, "house", tables->parts, tables->catalogue, NULL, &error));
  g_assert_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_RANGE);
  g_assert_true (g_str_has_prefix (error->message, "house:2:"));
  g_assert_nonnull (strstr (error->message, refused[i].says));
}

int
main (int argc, char **argv)
{
  g_autoptr (GError) error = NULL;
  int status;

  g_test_init (&argc, &argv, NULL);
  tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_test_add_func ("/house/figures", test_figures);
  g_test_add_func ("/house/no-such-roof", test_no_such_roof);
  g_test_add_func ("/house/roofs", test_roofs);
  g_test_add_func ("/house/buildings", test_buildings);
  g_test_add_func ("/house/clutter", test_clutter);
  g_test_add_func ("/house/trees", test_trees);
  g_test_add_func ("/house/clutter-beyond", test_clutter_beyond);
  g_test_add_func ("/house/over-trees", test_over_trees);
  g_test_add_func ("/house/budget", test_budget);
  g_test_add_func ("/house/seasons", test_seasons);
  g_test_add_func ("/house/check", test_check);
  g_test_add_func ("/house/document", test_document);
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *path = g_strconcat ("/house/refused/", refused[i].name, NULL);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused);
    }
  status = g_test_run ();
  dwn_tables_unref (tables);
  return status;
}
