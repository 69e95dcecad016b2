/* Readings against predictions. Expected shifts follow from how each reading was made up: so many
 * dB above what the budget (another way to the same level) says. */
#include <math.h>
#include <string.h>

#include "core/study/budget.h"
#include "example-plan.h"

#define BARE "height-m='9.1' area='rural'>"
#define LEAFY "height-m='9.1' area='rural'><loss name='wood' from-deg='300' to-deg='60' uhf-db='8'" \
              " high-vhf-db='4' sd-db='3' leaves='yes'/><loss name='wall' from-deg='0' to-deg='0'" \
              " uhf-db='5' sd-db='4'/>"

static char *
reading_text (const char *station, const char *where, double level_dbm, const char *more)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];

  return g_strdup_printf ("<reading station='%s' where='%s' level-dbm='%s' %s/>", station, where,
                          g_ascii_dtostr (number, sizeof number, level_dbm), more);
}

/* Median level at an outlet by the budget's sums: its level is of the field that is exceeded 90 %
 * of the time. */
static double
median_dbm (const Example *e, const DwnFields *fields, guint station, guint outlet, double aim_deg)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e->plan, fields, e->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, &aim_deg);
  const DwnField *field = &fields->field[station * fields->n_antennas];

  return budget->reception[station * budget->n_outlets + outlet].level_dbm + field->median
         - field->wanted;
}

static double
sigma_db (const Example *e, const DwnFields *fields, guint station)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e->plan, fields, e->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, e->plan->aims->aim_deg);

  return budget->reception[station * budget->n_outlets].sigma_db;
}

static void
test_expect_is_budget (void)
{
  Example e;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  for (guint i = 0; i < e.plan->stations->n; i++)
    for (guint o = 0; o < 2; o++)
      {
        DwnExpected expected;

        dwn_expect (e.plan, e.fields, e.tables, i, e.plan->gear->outlet[o], e.plan->aims->aim_deg,
                    FALSE, &expected);
        g_assert_cmpfloat_with_epsilon (expected.level_dbm, median_dbm (&e, e.fields, i, o, 5.0), 1e-6);
        /* P = E − 20 log f − 77.216 + G (DESIGN). */
        g_assert_cmpfloat_with_epsilon (
          expected.level_dbm, dwn_power_of_field_dbm (e.fields->field[i].median,
                                                      e.plan->stations->station[i].mhz,
                                                      expected.gain_db), 1e-6);
      }
  example_close (&e);
}

/* A reading 7 dB over what was expected lifts the station by 7 dB everywhere; σ falls to 2.5 dB and
 * what the pattern and the noise add, which is what it was before less 8 dB of prediction in
 * squares. */
static void
test_shift (void)
{
  Example e, read;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  double level_dbm = median_dbm (&e, e.fields, 0, 0, 5.0);
  g_autofree char *text = reading_text ("north", "tv1", level_dbm + 7.0, "");
  example_open (&read, BARE, EXAMPLE_GEAR, text);
  g_autoptr (DwnFields) fields = dwn_fields_with_readings (read.fields, read.plan, read.tables);

  g_assert_cmpfloat_with_epsilon (fields->arrival[0].read_shift_db, 7.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (median_dbm (&read, fields, 0, 1, 40.0),
                                  median_dbm (&e, e.fields, 0, 1, 40.0) + 7.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (fields->field[0].wanted - e.fields->field[0].wanted, 7.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (pow (sigma_db (&e, e.fields, 0), 2) - 64.0 + 2.5 * 2.5,
                                  pow (sigma_db (&read, fields, 0), 2), 0.2);
  /* Nothing else moves. */
  g_assert_cmpfloat (fields->arrival[1].read_shift_db, ==, 0.0);
  g_assert_cmpfloat (fields->arrival[1].sd_db, ==, e.fields->arrival[1].sd_db);
  example_close (&e);
  example_close (&read);
}

/* Read while the antenna looked elsewhere, or while other gear was up. */
static void
test_as_it_stood (void)
{
  Example e, turned, geared;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  double level_dbm = median_dbm (&e, e.fields, 0, 0, 60.0);
  g_autofree char *aimed = reading_text ("north", "tv1", level_dbm - 3.0, "aim-deg='60'");
  g_autofree char *before = reading_text ("north", "tv1", -40.0, "aim-deg='5' gain-db='11.5'");

  example_open (&turned, BARE, EXAMPLE_GEAR, aimed);
  example_open (&geared, BARE, EXAMPLE_GEAR, before);
  g_autofree DwnFieldShift *shift = dwn_readings_shifts (turned.plan, turned.fields, turned.tables);
  g_autofree DwnFieldShift *old = dwn_readings_shifts (geared.plan, geared.fields, geared.tables);

  g_assert_cmpfloat_with_epsilon (shift[0].db, -3.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (
    old[0].db, -40.0 - dwn_power_of_field_dbm (e.fields->field[0].median,
                                               e.plan->stations->station[0].mhz, 11.5), 1e-6);
  example_close (&e);
  example_close (&turned);
  example_close (&geared);
}

/* Once stamped, a reading says the same whatever becomes of aim and gear. */
static void
test_stamp (void)
{
  Example e, edited;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  g_autofree char *text = reading_text ("north", "tv2", -50.0, "");
  example_open (&edited, BARE, EXAMPLE_GEAR, text);
  DwnReading reading = edited.plan->readings->reading[0];
  DwnExpected expected;

  g_assert_true (dwn_reading_stamp (e.plan, e.fields, e.tables, &reading));
  g_assert_cmpfloat (reading.aim_deg, ==, 5.0);
  dwn_reading_expect (e.plan, e.fields, e.tables, &reading, &expected);
  double before_db = dwn_reading_excess_db (edited.plan->readings, &reading, &expected);
  g_autoptr (DwnPlan) aimed = dwn_plan_with_aims (e.plan, 1, (double[]) { 123.0 });
  dwn_reading_expect (aimed, e.fields, e.tables, &reading, &expected);
  g_assert_cmpfloat_with_epsilon (dwn_reading_excess_db (edited.plan->readings, &reading, &expected),
                                  before_db, 1e-6);
  reading.where = "shed";
  g_assert_false (dwn_reading_stamp (e.plan, e.fields, e.tables, &reading));
  example_close (&e);
  example_close (&edited);
}

/* A reading is of the house as it stands, so the wall's 4 dB go; the wood's 3 dB go only if its
 * leaves were as they are to be. */
static void
test_house (void)
{
  Example winter, summer;
  g_autofree char *bare = reading_text ("north", "a", -50.0, "");
  g_autofree char *leaves = reading_text ("north", "a", -50.0, "leaves='yes'");

  example_open (&winter, LEAFY, EXAMPLE_GEAR, bare);
  example_open (&summer, LEAFY, EXAMPLE_GEAR, leaves);
  g_autofree DwnFieldShift *w = dwn_readings_shifts (winter.plan, winter.fields, winter.tables);
  g_autofree DwnFieldShift *s = dwn_readings_shifts (summer.plan, summer.fields, summer.tables);

  g_assert_cmpfloat (w[0].house_sd_db, ==, 0.0);
  g_assert_cmpfloat_with_epsilon (s[0].house_sd_db, 3.0, 1e-9);
  /* With 8 dB of leaves in the way the same level speaks for 8 dB more field. */
  g_assert_cmpfloat_with_epsilon (s[0].db - w[0].db, 8.0, 1e-9);
  example_close (&winter);
  example_close (&summer);
}

/* One bad outlet of three readings pulls nothing; what was read on the mast counts before. */
static void
test_median (void)
{
  Example e, outlets, mast;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  double tv1 = median_dbm (&e, e.fields, 0, 0, 5.0), tv2 = median_dbm (&e, e.fields, 0, 1, 5.0);
  DwnExpected at_antenna;
  dwn_expect (e.plan, e.fields, e.tables, 0, 0, e.plan->aims->aim_deg, FALSE, &at_antenna);
  g_autofree char *first = reading_text ("north", "tv1", tv1 + 2.0, "");
  g_autofree char *again = reading_text ("north", "tv1", tv1 + 1.0, "");
  g_autofree char *bad = reading_text ("north", "tv2", tv2 - 25.0, "");
  g_autofree char *up = reading_text ("north", "a", at_antenna.level_dbm + 4.0, "");
  g_autofree char *three = g_strconcat (first, bad, again, NULL);
  g_autofree char *four = g_strconcat (three, up, NULL);

  example_open (&outlets, BARE, EXAMPLE_GEAR, three);
  example_open (&mast, BARE, EXAMPLE_GEAR, four);
  g_autofree DwnFieldShift *o = dwn_readings_shifts (outlets.plan, outlets.fields, outlets.tables);
  g_autofree DwnFieldShift *m = dwn_readings_shifts (mast.plan, mast.fields, mast.tables);
  g_assert_cmpfloat_with_epsilon (o[0].db, 1.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (m[0].db, 4.0, 1e-6);
  example_close (&e);
  example_close (&outlets);
  example_close (&mast);
}

/* C/N counts where no level was read, as long as the meter's own noise is not what it shows. */
static void
test_cn (void)
{
  Example e;
  DwnExpected expected;
  DwnReading reading;

  example_open (&e, BARE, EXAMPLE_GEAR, "");
  dwn_expect (e.plan, e.fields, e.tables, 0, 0, e.plan->aims->aim_deg, FALSE, &expected);
  dwn_reading_init (&reading);
  reading.cn_db = 20.0;
  g_assert_cmpfloat_with_epsilon (dwn_reading_excess_db (e.plan->readings, &reading, &expected),
                                  20.0 - expected.cn_db, 1e-9);
  reading.cn_db = 38.0;
  g_assert_true (isnan (dwn_reading_excess_db (e.plan->readings, &reading, &expected)));
  reading.level_dbm = expected.level_dbm - 1.0;
  g_assert_cmpfloat_with_epsilon (dwn_reading_excess_db (e.plan->readings, &reading, &expected),
                                  -1.0, 1e-9);
  example_close (&e);
}

/* 3 of 10 at −70 and 8 of 10 at −50 dBm: 4 dB a bar. */
static void
test_bars (void)
{
  DwnReading readings[3];

  for (guint k = 0; k < 3; k++)
    {
      dwn_reading_init (&readings[k]);
      readings[k].where = "tv1";
      readings[k].bars_of = 10;
    }
  readings[0].bars = 3;
  readings[0].level_dbm = -70;
  readings[1].bars = 8;
  readings[1].level_dbm = -50;
  readings[2].bars = 5;
  g_autoptr (DwnReadings) list = dwn_readings_new (3, readings);

  g_assert_cmpfloat_with_epsilon (dwn_readings_level_of_bars (list, "tv1", 5, 10), -62.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_readings_level_of_bars (list, "tv1", 3, 5), -58.0, 1e-9);
  g_assert_true (isnan (dwn_readings_level_of_bars (list, "tv2", 5, 10)));
  g_assert_true (isnan (dwn_readings_level_of_bars (list, "tv1", -1, 10)));
}

/* The document keeps what was noted, and readings that say nothing move nothing. */
static void
test_kept (void)
{
  Example e;

  example_open (&e, BARE, EXAMPLE_GEAR,
                "<reading station='north' where='tv1' lock='0' aim-deg='60' gain-db='11.5'/>"
                "<reading station='gone' where='tv1' level-dbm='-50'/>"
                "<reading station='north' where='shed' level-dbm='-50'/>");
  g_autoptr (GBytes) bytes = dwn_plan_write (e.plan, e.tables->catalogue);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", e.tables->parts, e.tables->catalogue, NULL,
                                             &error);

  g_assert_no_error (error);
  g_assert_cmpfloat (again->readings->reading[0].aim_deg, ==, 60.0);
  g_assert_cmpfloat (again->readings->reading[0].gain_db, ==, 11.5);
  g_assert_true (isnan (again->readings->reading[1].aim_deg));
  g_assert_null (dwn_readings_shifts (e.plan, e.fields, e.tables));
  g_autoptr (DwnFields) same = dwn_fields_with_readings (e.fields, e.plan, e.tables);
  g_assert_true (same == e.fields);
  example_close (&e);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/readings/expected-as-budgeted", test_expect_is_budget);
  g_test_add_func ("/readings/shift", test_shift);
  g_test_add_func ("/readings/as-it-stood", test_as_it_stood);
  g_test_add_func ("/readings/stamp", test_stamp);
  g_test_add_func ("/readings/house", test_house);
  g_test_add_func ("/readings/median", test_median);
  g_test_add_func ("/readings/cn", test_cn);
  g_test_add_func ("/readings/bars", test_bars);
  g_test_add_func ("/readings/kept", test_kept);
  return g_test_run ();
}
