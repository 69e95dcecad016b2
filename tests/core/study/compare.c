/* Variants held against each other: the same differ by nothing, a side exchanged is a sign
 * exchanged, a roof takes what the table of roofs says, money is what the plan says. */
#include <math.h>
#include <string.h>

#include "core/study/compare.h"
#include "example-plan.h"

/* No amplifier, so that nothing but the roof stands between two margins; prices of the plan's own. */
#define PRICED_GEAR                                                                            \
  "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' aim-deg='5' price='49'/>"        \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/>"                                           \
  "<join from='a' to='tv1' cable='series-6' length-m='20'/></gear>"

#define TWO_ANTENNAS                                                                           \
  "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' aim-deg='5'/>"                   \
  "<part id='b' kind='antenna' type='yagi-high-vhf-5' aim-deg='90'/>"                          \
  "<part id='join' kind='combiner' type='diplexer-vhf-uhf'/>"                                                \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/>"                                           \
  "<join from='a' to='join' to-port='2' cable='series-6' length-m='2'/>"                       \
  "<join from='b' to='join' to-port='1' cable='series-6' length-m='2'/>"                       \
  "<join from='join' to='tv1' cable='series-6' length-m='20'/></gear>"

/* A plan with its budget at its own aims. */
typedef struct {
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
} Variant;

static void
variant_open (Variant *v, const Example *e, DwnPlan *plan_take)
{
  g_autoptr (GError) error = NULL;

  v->plan = plan_take;
  v->fields = dwn_fields_new (v->plan, NULL, &error);
  g_assert_no_error (error);
  v->base = dwn_budget_base_new (v->plan, v->fields, e->tables);
  v->budget = dwn_budget_new (v->base, v->plan->aims->aim_deg);
}

static void
variant_close (Variant *v)
{
  dwn_budget_unref (v->budget);
  dwn_budget_base_unref (v->base);
  dwn_fields_unref (v->fields);
  dwn_plan_unref (v->plan);
}

static DwnComparison *
compare (const Example *e, const Variant *first, const Variant *second)
{
  const DwnComparand a = { first->plan, first->budget }, b = { second->plan, second->budget };

  return dwn_comparison_new (&a, &b, e->tables);
}

static void
test_same (void)
{
  Example e;
  Variant v;

  example_open (&e, ">", PRICED_GEAR, "");
  variant_open (&v, &e, dwn_plan_ref (e.plan));
  g_autoptr (DwnComparison) same = compare (&e, &v, &v);

  g_assert_cmpuint (same->n, ==, 1); /* all stations of the example carry its one service */
  g_assert_cmpuint (same->n_wanted, ==, 1);
  g_assert_cmpstr (same->row[0].id, ==, "s");
  g_assert_cmpint (same->row[0].side[0].station, ==, dwn_best_station (v.plan, v.budget, 0));
  g_assert_cmpfloat (same->row[0].side[0].margin_db, ==, same->row[0].side[1].margin_db);
  g_assert_cmpuint (same->sum[0].only_here, ==, 0);
  g_assert_cmpuint (same->sum[1].only_here, ==, 0);
  g_assert_cmpfloat (same->sum[0].joint_chance, ==, same->row[0].side[0].chance);
  g_assert_cmpfloat (same->sum[0].cost, ==, 49.0); /* the plan's own price of the antenna */
  g_assert_cmpuint (same->sum[0].n_unpriced, ==, 2); /* cable and connectors have none */
  variant_close (&v);
  example_close (&e);
}

/* A roof lowers the level of each station by what the table of roofs gives for its band, and nothing
 * here but the ambient noise could make up for it: the margin falls, never by more than that. */
static void
test_roof (void)
{
  Example e;
  Variant open, under;

  example_open (&e, " mount='mast'>", PRICED_GEAR, "");
  const DwnRoof *roof = dwn_roof_table_find (e.tables->roofs, "unknown");
  variant_open (&open, &e, dwn_plan_ref (e.plan));
  variant_open (&under, &e, dwn_variant_in_attic (e.plan));
  g_assert_cmpint (under.plan->site->mount, ==, DWN_MOUNT_ATTIC);
  g_assert_cmpfloat (under.plan->site->height_m, ==, open.plan->site->height_m);
  for (guint i = 0; i < open.budget->n_stations; i++)
    {
      DwnBand band = e.plan->stations->station[i].band;
      g_assert_cmpfloat_with_epsilon (open.budget->reception[i].level_dbm - under.budget->reception[i].level_dbm,
                                      roof->loss_db[band], 1e-9);
    }
  g_autoptr (DwnComparison) both = compare (&e, &open, &under);
  g_autoptr (DwnComparison) turned = compare (&e, &under, &open);
  g_assert_cmpfloat (both->row[0].side[0].margin_db, >, both->row[0].side[1].margin_db);
  g_assert_cmpfloat (both->row[0].side[0].margin_db, ==, turned->row[0].side[1].margin_db);
  g_assert_cmpfloat (both->sum[0].joint_chance, ==, turned->sum[1].joint_chance);
  g_assert_cmpfloat (both->sum[0].cost, ==, both->sum[1].cost);
  variant_close (&under);
  variant_close (&open);
  example_close (&e);
}

/* Out of the attic again: the roof is gone, and the mast is at least as high as planning figures
 * have it (47 CFR 73.683: 30 feet). */
static void
test_mast (void)
{
  Example e;

  example_open (&e, " mount='attic' height-m='6'><loss kind='roof'/><loss kind='trees'/>", PRICED_GEAR, "");
  g_autoptr (DwnPlan) mast = dwn_variant_on_mast (e.plan);

  g_assert_cmpint (mast->site->mount, ==, DWN_MOUNT_MAST);
  g_assert_cmpfloat (mast->site->height_m, ==, 9.1);
  g_assert_cmpuint (mast->site->n_losses, ==, 1);
  g_assert_cmpint (mast->site->loss[0].kind, ==, DWN_HOUSE_TREES);
  example_close (&e);
}

static void
test_one_antenna (void)
{
  Example e;
  g_autoptr (GError) error = NULL;

  example_open (&e, ">", TWO_ANTENNAS, "");
  g_assert_cmpuint (e.plan->gear->n_antennas, ==, 2);
  for (guint a = 0; a < 2; a++)
    {
      g_autoptr (DwnPlan) one = dwn_variant_one_antenna (e.plan, a, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (one->gear->n_antennas, ==, 1);
      g_assert_cmpfloat (one->aims->aim_deg[0], ==, e.plan->aims->aim_deg[a]);
      g_assert_true (one->gear->part[one->gear->antenna[0]].pattern
                     == e.plan->gear->part[e.plan->gear->antenna[a]].pattern);
      g_assert_cmpint (dwn_chain_find (one->gear, "join"), ==, -1);
    }
  example_close (&e);
}

/* A service that only one plan has stands on its side alone, and all together cannot work in the
 * other. */
static void
test_missing_service (void)
{
  Example e;
  Variant with, without;

  example_open (&e, ">", PRICED_GEAR, "");
  g_autoptr (DwnServices) none = dwn_services_without (e.plan->services, "s");
  variant_open (&with, &e, dwn_plan_ref (e.plan));
  variant_open (&without, &e, dwn_plan_with_stations (e.plan, e.plan->stations, none));
  g_autoptr (DwnComparison) both = compare (&e, &with, &without);

  g_assert_cmpuint (both->n_wanted, ==, 1);
  g_assert_cmpint (both->row[0].side[0].station, >=, 0);
  g_assert_cmpint (both->row[0].side[1].station, ==, -1);
  g_assert_true (isnan (both->row[0].side[1].margin_db));
  g_assert_cmpfloat (both->sum[1].joint_chance, ==, 0.0);
  g_assert_cmpint (both->sum[1].weakest_row, ==, -1);
  variant_close (&without);
  variant_close (&with);
  example_close (&e);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/study/compare/same", test_same);
  g_test_add_func ("/study/compare/roof", test_roof);
  g_test_add_func ("/study/compare/mast", test_mast);
  g_test_add_func ("/study/compare/one-antenna", test_one_antenna);
  g_test_add_func ("/study/compare/missing-service", test_missing_service);
  return g_test_run ();
}
