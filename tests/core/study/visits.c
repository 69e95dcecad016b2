/* What moved between visits, and which channels are close to the edge. Expectations follow from how
 * the plans were made up. */
#include "core/study/visits.h"

#include <math.h>

#include "core/study/readings.h"
#include "example-plan.h"

#define READINGS                                                                                 \
  "<reading station='north' where='tv1' when='2025-05-12T10:00' level-dbm='-50' cn-db='25'/>"    \
  "<reading station='north' where='tv1' when='2024-05-12' level-dbm='-40'/>"                     \
  "<reading station='north' where='a' when='2026-05-20' level-dbm='-45'/>"                       \
  "<reading station='north' where='tv1' when='2026-05-20' level-dbm='-53.5' cn-db='23'/>"        \
  "<reading station='north' where='tv2' when='2026-05-20' level-dbm='-58'/>"                     \
  "<reading station='north-vhf' where='tv1' when='2026-05-20' lock='1'/>"                        \
  "<reading station='north-vhf' where='tv2' when='2025-05-20' level-dbm='-60'/>"                 \
  "<reading station='north-top' where='tv1' level-dbm='-60'/>"                                   \
  "<reading station='north-top' where='tv1' when='2026-05-20' cn-db='20'/>"

static void
test_moved (void)
{
  Example e;

  example_open (&e, "height-m='9.1'>", EXAMPLE_GEAR, READINGS);
  g_autofree DwnMoved *moved = dwn_moved_new (e.plan);

  /* The first at an outlet of the latest day, against the one of a year before, not of two. */
  g_assert_cmpint (moved[0].now, ==, 3);
  g_assert_cmpint (moved[0].before, ==, 0);
  g_assert_cmpfloat (moved[0].level_moved_db, ==, -3.5);
  g_assert_cmpfloat (moved[0].cn_moved_db, ==, -2.0);
  /* Another place is no comparison. */
  g_assert_cmpint (moved[1].now, ==, 5);
  g_assert_cmpint (moved[1].before, ==, -1);
  g_assert_true (isnan (moved[1].level_moved_db));
  /* A reading without a day is older than any. */
  g_assert_cmpint (moved[2].now, ==, 8);
  g_assert_cmpint (moved[2].before, ==, 7);
  g_assert_true (isnan (moved[2].level_moved_db) && isnan (moved[2].cn_moved_db));
  g_assert_cmpint (moved[3].now, ==, -1);
  example_close (&e);
}

static GArray *
fading_of (const Example *e)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e->plan, e->fields, e->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, e->plan->aims->aim_deg);

  return dwn_fading (e->plan, e->fields, budget, e->tables);
}

static const DwnFading *
find_fading (const GArray *list, guint station)
{
  for (guint i = 0; i < list->len; i++)
    if (g_array_index (list, DwnFading, i).station == station)
      return &g_array_index (list, DwnFading, i);
  return NULL;
}

/* A loss all round that leaves just little: every wanted station that still may come in is named, with
 * the trees that will take more when leaves come. */
static void
test_fading (void)
{
  Example strong, weak;

  example_open (&strong, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, "");
  g_autoptr (GArray) none = fading_of (&strong);
  g_assert_null (find_fading (none, 2));

  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (strong.plan, strong.fields, strong.tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, strong.plan->aims->aim_deg);
  char loss[G_ASCII_DTOSTR_BUF_SIZE];
  double margin_db = budget->reception[2 * budget->n_outlets + budget->weakest[2]].margin_db;
  g_autofree char *site = g_strdup_printf (
    "height-m='9.1' area='rural'><loss name='wall' from-deg='0' to-deg='0' uhf-db='%s' sd-db='0'/>"
    "<loss name='wood' from-deg='300' to-deg='60' uhf-db='6' sd-db='2' leaves='yes'/>",
    g_ascii_dtostr (loss, sizeof loss, margin_db - 3.0));
  example_open (&weak, site, EXAMPLE_GEAR, "");
  g_autoptr (GArray) list = fading_of (&weak);
  const DwnFading *fading = find_fading (list, 2);

  g_assert_nonnull (fading);
  g_assert_cmpfloat_with_epsilon (fading->margin_db, 3.0, 0.5);
  g_assert_true (fading->when & DWN_FADES_WITH_LEAVES);
  g_assert_true (fading->when & DWN_FADES_WET);
  for (guint i = 1; i < list->len; i++)
    g_assert_cmpfloat (g_array_index (list, DwnFading, i - 1).chance, <=, g_array_index (list, DwnFading, i).chance);
  example_close (&strong);
  example_close (&weak);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/visits/moved", test_moved);
  g_test_add_func ("/visits/fading", test_fading);
  return g_test_run ();
}
