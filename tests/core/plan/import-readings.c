/* Readings from CSV: units, names, places, refusals. Expected values are the file's own figures, or
 * follow from the definition of the units: 0 dBmV are 1 mV in 75 Ω. */
#include "core/plan/import-readings.h"

#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "core/plan/import.h"
#include "core/study/tables.h"

static const char document[] =
  "<downlead version='1.0'><site lat='44' lon='-75'/><method leaves='yes'/><stations>"
  "<station id='north' name='North' system='atsc1' rf='20' lat='44.4' lon='-75' erp-kw='100'/>"
  "<station id='vhf' name='North VHF' system='atsc1' rf='8' lat='44.4' lon='-75' erp-kw='20'/>"
  "<station id='e1' name='East' system='atsc1' rf='30' lat='44' lon='-74' erp-kw='20'/>"
  "<station id='e2' name='Far east' system='atsc1' rf='30' lat='44' lon='-73' erp-kw='20'/>"
  "</stations><gear><part id='a' kind='antenna' type='lpda-uhf'/>"
  "<part id='amp' kind='amplifier' type='mast-amp-20-2' name='Loft amplifier' place='loft, by the hatch'/>"
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>"
  "<join from='a' to='amp'/><join from='amp' to='tv1'/></gear><readings>"
  "<visit when='2026-05-12' who='A. Person' meter='field meter' changed='new connectors' found='water'"
  " cause='water'/>"
  "<reading station='north' where='tv1' when='2026-05-12' level-dbm='-40' cn-db='30' ber-before='0.001'"
  " ber-after='0' lock='1' bars='3' bars-of='5' weather='dry' leaves='yes' note='first'/></readings>"
  "</downlead>";

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
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
}

static void
bench_close (Bench *bench)
{
  dwn_plan_unref (bench->plan);
  dwn_tables_unref (bench->tables);
}

static DwnReadingsImport *
import_text (const DwnPlan *plan, const char *text, const DwnReadingsOptions *options, GError **error)
{
  static const DwnReadingsOptions none = { 0 };
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  const DwnInput input = { "meter.csv", bytes };

  return dwn_readings_import (&input, plan, options != NULL ? options : &none, error);
}

static void
test_units (void)
{
  DwnReadingUnit unit;

  /* 1 mV in 75 Ω: 10 log10 (1e-6 / 75 / 1e-3) dBm; 1 µV: 60 dB less. */
  g_assert_cmpfloat_with_epsilon (dwn_reading_level_dbm (0.0, DWN_READING_DBMV),
                                  10.0 * log10 (1e-6 / 75.0 / 1e-3), 0.002);
  g_assert_cmpfloat_with_epsilon (dwn_reading_level_dbm (60.0, DWN_READING_DBUV),
                                  10.0 * log10 (1e-6 / 75.0 / 1e-3), 0.002);
  g_assert_cmpfloat (dwn_reading_level_dbm (-50.0, DWN_READING_DBM), ==, -50.0);
  for (int u = DWN_READING_DBM; u <= DWN_READING_DBUV; u++)
    g_assert_true (dwn_reading_unit_from_id (dwn_reading_unit_id ((DwnReadingUnit) u), &unit)
                   && unit == (DwnReadingUnit) u);
  g_assert_false (dwn_reading_unit_from_id ("volt", &unit));
}

static void
test_plain (void)
{
  Bench bench;
  g_autoptr (GError) error = NULL;

  bench_open (&bench);
  g_autoptr (DwnReadingsImport) import = import_text (
    bench.plan, "station,where,when,level-dbmv,MER dB,ber before,ber_after,lock,bars,leaves,weather,note,x\n"
    "north,tv1,2026-11-20T15:40,-6.25,27.5,1e-4,0,yes,4/5,no,\"dry, cold\",second,ignored\n"
    "North VHF,Loft amplifier,2026-11-20 15:45,,21,,,,,,,,\n"
    "vhf,antenna,,-,,,,0,,,,,\n"
    "vhf,Outlet 2,,-9,,,,,,,,,\n", NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->n_skipped, ==, 0);
  g_assert_cmpuint (import->n, ==, 4);
  const DwnReading *r = import->reading;
  g_assert_cmpstr (r[0].station, ==, "north");
  g_assert_cmpstr (r[0].where, ==, "tv1");
  g_assert_cmpstr (r[0].when, ==, "2026-11-20T15:40");
  g_assert_cmpfloat (r[0].level_dbm, ==, -55.0);
  g_assert_cmpfloat (r[0].cn_db, ==, 27.5);
  g_assert_cmpfloat (r[0].ber_before, ==, 1e-4);
  g_assert_cmpfloat (r[0].ber_after, ==, 0.0);
  g_assert_cmpint (r[0].lock, ==, 1);
  g_assert_cmpint (r[0].bars, ==, 4);
  g_assert_cmpint (r[0].bars_of, ==, 5);
  g_assert_false (r[0].leaves);
  g_assert_cmpstr (r[0].weather, ==, "dry, cold");
  g_assert_cmpstr (r[0].note, ==, "second");
  g_assert_true (isnan (r[0].aim_deg) && isnan (r[0].gain_db));
  g_assert_cmpstr (r[1].station, ==, "vhf");
  g_assert_cmpstr (r[1].where, ==, "amp");
  g_assert_true (isnan (r[1].level_dbm));
  g_assert_true (r[1].leaves); /* as the plan has it */
  g_assert_cmpstr (r[2].where, ==, "a");
  g_assert_cmpint (r[2].lock, ==, 0);
  g_assert_cmpstr (r[3].where, ==, "tv2");
  bench_close (&bench);
}

/* Semicolons, decimal commas, the channel in place of a name, the caller's unit, place and day. */
static void
test_meter (void)
{
  Bench bench;
  g_autoptr (GError) error = NULL;
  const DwnReadingsOptions options = { DWN_READING_DBUV, "tv1", "2026-11-20" };

  bench_open (&bench);
  g_autoptr (DwnReadingsImport) import = import_text (bench.plan, "RF;Level;CN dB\n20;53,75;24,5\n", &options,
                                                      &error);
  g_autoptr (DwnReadingsImport) tuned = import_text (bench.plan, "MHz;Level\n509;53,75\n", &options, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (import->n, ==, 1);
  g_assert_cmpstr (import->reading[0].station, ==, "north");
  g_assert_cmpfloat (import->reading[0].level_dbm, ==, -55.0);
  g_assert_cmpfloat (import->reading[0].cn_db, ==, 24.5);
  g_assert_cmpstr (import->reading[0].when, ==, "2026-11-20");
  /* 47 CFR 73.603: channel 20 is 506 to 512 MHz. */
  g_assert_cmpstr (tuned->reading[0].station, ==, "north");
  bench_close (&bench);
}

/* What is in the plan is not taken twice. */
static void
test_again (void)
{
  Bench bench;
  static const char text[] = "station,where,when,level-dbm,cn-db,ber-before,ber-after,lock,bars\n"
                             "north,tv1,2026-05-12,-40,30,0.001,0,1,3/5\nnorth,tv1,2026-05-12,-41,,,,,\n";

  bench_open (&bench);
  g_autoptr (DwnReadingsImport) import = import_text (bench.plan, text, NULL, NULL);
  g_assert_cmpuint (import->n, ==, 1);
  g_assert_cmpuint (import->n_known, ==, 1);
  g_assert_cmpfloat (import->reading[0].level_dbm, ==, -41.0);
  bench_close (&bench);
}

/* Each record is left out with line and reason, the others are taken. */
static const struct {
  const char *record, *says;
} bad[] = {
  { "nobody,tv1,,-50,", "no station \"nobody\"" },
  { ",tv1,,-50,", "no station" },
  { "north,cellar,,-50,", "no part \"cellar\"" },
  { "north,,,-50,", "no place" },
  { "north,outlet 3,,-50,", "no part" },
  { "north,tv1,12.5.2026,-50,", "2026-05-12" },
  { "north,tv1,2026-02-30,-50,", "not a time" },
  { "north,tv1,2026-05-12T25:00,-50,", "not a time" },
  { "north,tv1,,loud,", "not a number" },
  { "north,tv1,,75,", "is the unit right" },
  { "north,tv1,,-250,", "outside" },
  { "north,tv1,,-50,6/5", "bars" },
  { "north,tv1,,-50,3", "bars" },
  { "north,tv1,,,", "nothing was read" },
};

static void
test_bad (gconstpointer data)
{
  guint i = GPOINTER_TO_UINT (data);
  Bench bench;
  g_autofree char *text = g_strdup_printf ("station,where,when,level-dbm,bars\n%s\nnorth,tv1,,-60,\n",
                                           bad[i].record);

  bench_open (&bench);
  g_autoptr (DwnReadingsImport) import = import_text (bench.plan, text, NULL, NULL);
  g_assert_cmpuint (import->n, ==, 1);
  g_assert_cmpuint (import->n_skipped, ==, 1);
  g_assert_cmpuint (import->skipped[0].line, ==, 2);
  g_assert_true (g_str_has_prefix (import->skipped[0].text, "meter.csv:2: "));
  g_assert_nonnull (strstr (import->skipped[0].text, bad[i].says));
  bench_close (&bench);
}

static void
test_two_on_a_channel (void)
{
  Bench bench;

  bench_open (&bench);
  g_autoptr (DwnReadingsImport) import = import_text (bench.plan, "rf,where,level-dbm\n30,tv1,-50\n31,tv1,-50\n",
                                                      NULL, NULL);
  g_assert_cmpuint (import->n, ==, 0);
  g_assert_cmpuint (import->n_skipped, ==, 2);
  g_assert_nonnull (strstr (import->skipped[0].text, "e1 and e2"));
  bench_close (&bench);
}

static void
test_refusals (void)
{
  Bench bench;
  g_autoptr (GError) columns = NULL, empty = NULL;

  bench_open (&bench);
  g_assert_null (import_text (bench.plan, "a,b\n1,2\n", NULL, &columns));
  g_assert_error (columns, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN);
  g_assert_true (g_str_has_prefix (columns->message, "meter.csv:1:"));
  g_assert_null (import_text (bench.plan, "", NULL, &empty));
  g_assert_error (empty, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY);
  bench_close (&bench);
}

/* The document keeps readings, visits and where a part is; edits keep visits. */
static void
test_document (void)
{
  Bench bench;
  DwnVisit visit;
  g_autoptr (GError) error = NULL;

  bench_open (&bench);
  dwn_visit_init (&visit);
  visit.when = "2025-04-01";
  visit.who = "B. Person";
  g_autoptr (DwnPlan) visited = dwn_plan_with_visit (bench.plan, &visit);
  g_autoptr (DwnPlan) emptied = dwn_plan_with_readings (visited, 0, NULL);
  g_autoptr (GBytes) bytes = dwn_plan_write (visited, bench.tables->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", bench.tables->parts, bench.tables->catalogue, NULL,
                                             &error);

  g_assert_no_error (error);
  g_assert_cmpuint (again->readings->n_visits, ==, 2);
  g_assert_cmpstr (again->readings->visit[0].who, ==, "B. Person");
  const DwnVisit *kept = dwn_readings_find_visit (again->readings, "2026-05-12T10:00");
  g_assert_cmpstr (kept->who, ==, "A. Person");
  g_assert_cmpstr (kept->meter, ==, "field meter");
  g_assert_cmpstr (kept->changed, ==, "new connectors");
  g_assert_cmpstr (kept->found, ==, "water");
  g_assert_cmpstr (kept->cause, ==, "water");
  g_assert_null (dwn_readings_find_visit (again->readings, "2024-01-01"));
  const DwnReading *reading = &again->readings->reading[0];
  g_assert_cmpfloat (reading->ber_before, ==, 0.001);
  g_assert_cmpfloat (reading->ber_after, ==, 0.0);
  g_assert_cmpint (reading->bars_of, ==, 5);
  g_assert_true (reading->leaves);
  g_assert_cmpstr (reading->weather, ==, "dry");
  g_assert_cmpstr (again->gear->part[1].place, ==, "loft, by the hatch");
  g_assert_cmpuint (emptied->readings->n, ==, 0);
  g_assert_cmpuint (emptied->readings->n_visits, ==, 2);
  /* The same day again takes the place of what stood there. */
  visit.who = "C. Person";
  g_autoptr (DwnPlan) changed = dwn_plan_with_visit (visited, &visit);
  g_assert_cmpuint (changed->readings->n_visits, ==, 2);
  g_assert_cmpstr (changed->readings->visit[0].who, ==, "C. Person");
  bench_close (&bench);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/readings-csv/units", test_units);
  g_test_add_func ("/readings-csv/plain", test_plain);
  g_test_add_func ("/readings-csv/meter", test_meter);
  g_test_add_func ("/readings-csv/again", test_again);
  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autofree char *path = g_strdup_printf ("/readings-csv/bad/%u", i);
      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_bad);
    }
  g_test_add_func ("/readings-csv/two-on-a-channel", test_two_on_a_channel);
  g_test_add_func ("/readings-csv/refusals", test_refusals);
  g_test_add_func ("/readings-csv/document", test_document);
  return g_test_run ();
}
