/* A new list brought together with what a plan has. Worked out by hand from the rules in
 * core/plan/station-merge.h. */
#include "core/plan/station-merge.h"

#include "import-test.h"

#define HEADER "Id,Name,RF,Lat,Lon,ERP,Kind,Service,Screen\n"

static DwnImport *
import_csv (const char *records)
{
  static const char map[] = "[columns]\nid=Id\nname=Name\nrf=RF\nlat=Lat\nlon=Lon\nerp-kw=ERP\n"
                            "kind=Kind\nservice=Service\non-screen=Screen\n";
  const DwnImportOptions options = { .today = "2024-06-01" };
  g_autofree char *text = g_strconcat (HEADER, records, NULL);
  DwnInput inputs[] = { text_input ("list.csv", text), text_input ("map.txt", map) };
  g_autoptr (GError) error = NULL;
  DwnImport *import = dwn_import_inputs (DWN_IMPORT_CSV, 1, inputs, &inputs[1], &options, NULL,
                                         NULL, NULL, &error);

  g_assert_no_error (error);
  clear_inputs (inputs, 2);
  return import;
}

static const char before[] = "a-14,A,14,44,-71,10,main,news,7.1\n"
                             "b-20,B,20,44,-72,10,low-power,films,8.1\n"
                             "c-44,C,44,43,-72,10,main,songs,\n"
                             "d-30,D,30,42,-72,10,main,talk,9.1\n";

/* The same, with services marked as wanted and one station typed in. */
static void
make_plan (DwnStations **stations, DwnServices **services)
{
  g_autoptr (DwnImport) import = import_csv (before);
  g_autoptr (DwnServices) marked = NULL;
  DwnStation own = import->stations->station[0];
  DwnService news = import->services->service[0], talk = import->services->service[3];
  DwnService old = { "closed", "Closed down", "", DWN_WANTED_LIKE };

  own.id = "own-9";
  own.rf = "9";
  own.mhz = 189;
  own.band = DWN_BAND_HIGH_VHF;
  own.line = 0;
  *stations = dwn_stations_with (import->stations, &own);
  news.wanted = DWN_WANTED_MUST;
  talk.wanted = DWN_WANTED_LIKE;
  *services = dwn_services_with (import->services, &news);
  marked = dwn_services_with (*services, &talk);
  dwn_services_unref (*services);
  *services = dwn_services_with (marked, &old);
}

static const DwnMergeEntry *
find_entry (const DwnMerge *merge, const char *id)
{
  for (guint i = 0; i < merge->n; i++)
    if (g_strcmp0 (merge->entry[i].id, id) == 0)
      return &merge->entry[i];
  g_error ("nothing became of %s", id);
}

static DwnMerge *
merge_with (const char *records, gboolean drop_missing)
{
  g_autoptr (DwnImport) import = import_csv (records);
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;

  make_plan (&stations, &services);
  return dwn_station_merge (stations, services, import, drop_missing);
}

static void
test_same (void)
{
  g_autoptr (DwnMerge) merge = merge_with (before, FALSE);

  g_assert_cmpuint (merge->stations->n, ==, 5);
  g_assert_cmpuint (merge->count[DWN_MERGE_SAME], ==, 5);
  g_assert_cmpint (merge->services->service[0].wanted, ==, DWN_WANTED_MUST);
}

static const char after[]
  = "a-14,A,14,44,-71,25,main,news,7.2\n"         /* more power */
    "c-22,C,22,43.001,-72,10,main,songs,\n"       /* another channel */
    "b-21,B,21,44.1,-72,10,low-power,films,8.1\n" /* 11 km away: another one */
    "e-33,E,33,44,-70,1,main,sport,5.1\n";        /* new */

static void
test_changes (void)
{
  g_autoptr (DwnMerge) merge = merge_with (after, FALSE);
  const DwnMergeEntry *changed = find_entry (merge, "a-14"), *moved = find_entry (merge, "c-22");

  g_assert_cmpint (changed->kind, ==, DWN_MERGE_CHANGED);
  g_assert_cmpstr (changed->why, ==, "ERP 10 -> 25 kW");
  g_assert_cmpint (moved->kind, ==, DWN_MERGE_MOVED);
  g_assert_cmpstr (moved->old_id, ==, "c-44");
  assert_says (moved->why, "RF 44 -> 22, place moved by 111 m");
  g_assert_cmpint (find_entry (merge, "b-20")->kind, ==, DWN_MERGE_MISSING);
  g_assert_cmpint (find_entry (merge, "b-21")->kind, ==, DWN_MERGE_ADDED);
  g_assert_cmpint (find_entry (merge, "d-30")->kind, ==, DWN_MERGE_MISSING);
  g_assert_cmpint (find_entry (merge, "e-33")->kind, ==, DWN_MERGE_ADDED);
  g_assert_cmpint (find_entry (merge, "own-9")->kind, ==, DWN_MERGE_SAME);
  g_assert_cmpuint (merge->stations->n, ==, 7);
  g_assert_cmpint (dwn_stations_find (merge->stations, "c-44"), ==, -1);
  for (guint i = 0; i < merge->n; i++)
    g_assert_true (merge->entry[i].id == merge->stations->station[i].id);
}

/* Marks stay, newer numbers come, and what is wanted stays though nobody carries it. */
static void
test_services (void)
{
  g_autoptr (DwnMerge) merge = merge_with (after, TRUE);
  const DwnServices *services = merge->services;
  const DwnService *news = &services->service[dwn_services_find (services, "news")];

  g_assert_cmpint (news->wanted, ==, DWN_WANTED_MUST);
  g_assert_cmpstr (news->on_screen, ==, "7.2");
  g_assert_cmpint (dwn_services_find (services, "talk"), >=, 0);
  g_assert_cmpint (dwn_services_find (services, "closed"), >=, 0);
  g_assert_cmpint (dwn_services_find (services, "sport"), >=, 0);
}

static void
test_drops (void)
{
  g_autoptr (DwnMerge) merge = merge_with (after, TRUE);

  g_assert_cmpint (find_entry (merge, "d-30")->kind, ==, DWN_MERGE_DROPPED);
  g_assert_cmpuint (merge->count[DWN_MERGE_DROPPED], ==, 2);
  g_assert_cmpuint (merge->stations->n, ==, 5);
  g_assert_cmpint (dwn_stations_find (merge->stations, "own-9"), >=, 0);
}

static void
test_keeps_what_was_entered (void)
{
  g_autoptr (DwnMerge) merge = merge_with ("own-9,Other,9,44,-71,99,main,news,7.1\n", FALSE);
  const DwnMergeEntry *kept = find_entry (merge, "own-9");
  const DwnStation *station
    = &merge->stations->station[dwn_stations_find (merge->stations, "own-9")];

  g_assert_cmpint (kept->kind, ==, DWN_MERGE_KEPT);
  assert_says (kept->why, "not overwritten");
  assert_says (kept->why, "name A -> Other, ERP 10 -> 99 kW");
  g_assert_cmpfloat (station->erp_kw, ==, 10);
}

static void
test_keeps_mode_and_delay (void)
{
  g_autoptr (DwnImport) import = import_csv (after);
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;

  make_plan (&stations, &services);
  DwnStation timed = stations->station[0];
  timed.delay_us = 40;
  timed.mode = "8vsb";
  g_autoptr (DwnStations) given = dwn_stations_with (stations, &timed);
  g_autoptr (DwnMerge) merge = dwn_station_merge (given, services, import, FALSE);
  const DwnStation *station = &merge->stations->station[0];

  g_assert_cmpfloat (station->erp_kw, ==, 25);
  g_assert_cmpfloat (station->delay_us, ==, 40);
  g_assert_cmpstr (station->mode, ==, "8vsb");
}

static void
test_into_nothing (void)
{
  g_autoptr (DwnImport) import = import_csv (before);
  g_autoptr (DwnStations) none = dwn_stations_new (0, NULL, NULL, NULL);
  g_autoptr (DwnServices) no_services = dwn_services_new (0, NULL);
  g_autoptr (DwnMerge) merge = dwn_station_merge (none, no_services, import, TRUE);

  g_assert_cmpuint (merge->count[DWN_MERGE_ADDED], ==, 4);
  g_assert_cmpuint (merge->services->n, ==, 4);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/merge/same", test_same);
  g_test_add_func ("/merge/changes", test_changes);
  g_test_add_func ("/merge/services", test_services);
  g_test_add_func ("/merge/drops", test_drops);
  g_test_add_func ("/merge/keeps-what-was-entered", test_keeps_what_was_entered);
  g_test_add_func ("/merge/keeps-mode-and-delay", test_keeps_mode_and_delay);
  g_test_add_func ("/merge/into-nothing", test_into_nothing);
  return g_test_run ();
}
