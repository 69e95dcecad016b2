/* What a scan should find and why it did not. Expectations follow from how each scan was made up; the
 * plan's chances are the budget's. */
#include "core/study/scan-list.h"

#include <math.h>
#include <string.h>

#include "core/plan/document.h"

/* Three masts: two UHF and one high VHF to the north, two UHF to the east, one far away; two stations
 * share a channel. Invented. */
static const char document[] =
  "<downlead version='1.0'><site name='Test' lat='44' lon='-75' height-m='9.1' area='rural'/>"
  "<services><service id='a' name='A' on-screen='7.1' wanted='must'/><service id='a2' name='A2' on-screen='7.2'/>"
  "<service id='b' name='B' on-screen='9.1'/><service id='v' name='V' on-screen='8.1'/>"
  "<service id='e' name='E'/></services><stations>"
  "<station id='n1' name='North one' system='atsc1' rf='20' lat='44.2' lon='-75' erp-kw='500' haat-m='300' services='a a2'/>"
  "<station id='n2' name='North two' system='atsc1' rf='35' lat='44.2' lon='-75' erp-kw='500' haat-m='300' services='b'/>"
  "<station id='nv' name='North vhf' system='atsc1' rf='8' lat='44.2' lon='-75' erp-kw='50' haat-m='300' services='v'/>"
  "<station id='nv2' name='North vhf two' system='atsc1' rf='10' lat='44.2' lon='-75' erp-kw='50' haat-m='300'/>"
  "<station id='e1' name='East one' system='atsc1' rf='28' lat='44.1' lon='-74.8' erp-kw='500' haat-m='300' services='e'/>"
  "<station id='e2' name='East two' system='atsc1' rf='30' lat='44.1' lon='-74.8' erp-kw='500' haat-m='300'/>"
  "<station id='far' name='Far' system='atsc1' rf='16' lat='46.6' lon='-75' erp-kw='10' haat-m='100'/>"
  "<station id='old' name='Old' system='atsc1' rf='44' lat='44.1' lon='-74.8' erp-kw='500' haat-m='300'/>"
  "</stations><gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' polarisation='h' aim-deg='25'/>"
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><join from='a' to='tv1' cable='series-6' length-m='10'/>"
  "</gear></downlead>";

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
} Bench;

static void
bench_open (Bench *bench)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (document, sizeof document - 1);
  g_autoptr (GError) error = NULL;

  bench->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  bench->plan = dwn_plan_read (bytes, "plan", bench->tables->parts, bench->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  bench->fields = dwn_fields_new (bench->plan, NULL, &error);
  g_assert_no_error (error);
  bench->base = dwn_budget_base_new (bench->plan, bench->fields, bench->tables);
  bench->budget = dwn_budget_new (bench->base, bench->plan->aims->aim_deg);
}

static void
bench_close (Bench *bench)
{
  dwn_budget_unref (bench->budget);
  dwn_budget_base_unref (bench->base);
  dwn_fields_unref (bench->fields);
  dwn_plan_unref (bench->plan);
  dwn_tables_unref (bench->tables);
}

static const DwnScanRow *
row_of (const GArray *rows, const char *rf)
{
  for (guint r = 0; r < rows->len; r++)
    if (g_str_equal (g_array_index (rows, DwnScanRow, r).rf, rf))
      return &g_array_index (rows, DwnScanRow, r);
  return NULL;
}

static void
test_before (void)
{
  Bench bench;

  bench_open (&bench);
  g_autoptr (GArray) rows = dwn_scan_list (bench.plan, bench.budget, -1, NULL);
  const DwnScanRow *first = row_of (rows, "20");

  g_assert_cmpint (first->state, ==, DWN_SCAN_EXPECTED);
  g_assert_cmpstr (first->on_screen, ==, "7.1 7.2");
  g_assert_cmpint (first->wanted, ==, DWN_WANTED_MUST);
  g_assert_cmpfloat (first->chance, ==, bench.budget->reception[0].chance);
  g_assert_cmpstr (row_of (rows, "28")->on_screen, ==, "");
  g_assert_null (row_of (rows, "16")); /* 290 km away */
  for (guint r = 1; r < rows->len; r++)
    g_assert_cmpfloat (g_array_index (rows, DwnScanRow, r - 1).mhz, <=, g_array_index (rows, DwnScanRow, r).mhz);
  bench_close (&bench);
}

/* What was found, comma-separated, and what that makes of one channel. */
static const struct {
  const char *name, *found, *rf;
  DwnScanState state;
  DwnScanReason reason;
} cases[] = {
  { "all", "20,35,8,10,28,30", "20", DWN_SCAN_FOUND, DWN_SCAN_NO_REASON },
  { "by-number", "7-2,9.1", "20", DWN_SCAN_FOUND, DWN_SCAN_NO_REASON },
  { "nothing", "", "20", DWN_SCAN_MISSING, DWN_SCAN_NOTHING },
  { "band", "20,35,28,30", "8", DWN_SCAN_MISSING, DWN_SCAN_BAND },
  { "mast", "20,35,8,10", "28", DWN_SCAN_MISSING, DWN_SCAN_MAST },
  { "alone", "20,8,10,28,30", "35", DWN_SCAN_MISSING, DWN_SCAN_UNEXPLAINED },
  { "old-list", "20,35,8,10,28,30", "44", DWN_SCAN_MISSING, DWN_SCAN_LIST_OLD },
  { "far", "20,35,8,10,28,30,16", "16", DWN_SCAN_EXTRA, DWN_SCAN_UNLIKELY },
  { "unknown", "20,35,8,10,28,30,25", "25", DWN_SCAN_EXTRA, DWN_SCAN_UNKNOWN },
};

static void
test_after (gconstpointer data)
{
  guint i = GPOINTER_TO_UINT (data);
  g_auto (GStrv) found = g_strsplit (cases[i].found, ",", -1);
  Bench bench;

  bench_open (&bench);
  g_autoptr (GArray) rows = dwn_scan_list (bench.plan, bench.budget, 0, (const char *const *) found);
  const DwnScanRow *row = row_of (rows, cases[i].rf);

  g_assert_nonnull (row);
  g_assert_cmpstr (dwn_scan_state_id (row->state), ==, dwn_scan_state_id (cases[i].state));
  g_assert_cmpstr (dwn_scan_reason_id (row->reason), ==, dwn_scan_reason_id (cases[i].reason));
  bench_close (&bench);
}

/* A number that no record gives: a row of its own, last. */
static void
test_number_unknown (void)
{
  const char *const found[] = { "20", "44.7", NULL };
  Bench bench;

  bench_open (&bench);
  g_autoptr (GArray) rows = dwn_scan_list (bench.plan, bench.budget, 0, found);
  const DwnScanRow *last = &g_array_index (rows, DwnScanRow, rows->len - 1);

  g_assert_cmpint (last->state, ==, DWN_SCAN_EXTRA);
  g_assert_cmpint (last->station, ==, -1);
  g_assert_cmpstr (last->rf, ==, "");
  g_assert_cmpstr (last->on_screen, ==, "44.7");
  g_assert_true (isnan (last->mhz) && isnan (last->chance));
  bench_close (&bench);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/scan-list/before", test_before);
  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/scan-list/after/%s", cases[i].name);
      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_after);
    }
  g_test_add_func ("/scan-list/number-unknown", test_number_unknown);
  return g_test_run ();
}
