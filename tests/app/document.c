/* The document and what the panels do to it: begin, try, keep, recover, import, edit, read. */
#include <glib/gstdio.h>
#include <gtk/gtk.h>
#include <math.h>
#include <sys/wait.h>
#include <unistd.h>

#include "app/autosave.h"
#include "app/house-losses.h"
#include "app/import-dialog.h"
#include "app/readings-panel.h"
#include "app/start-page.h"
#include "app/station-editor.h"
#include "app/station-order.h"
#include "core/plan/document.h"
#include "example.h"

typedef struct {
  DwnTables *tables;
  DwnDocument *document;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_open (&fixture->tables, &fixture->document);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_object_unref (fixture->document);
  dwn_tables_unref (fixture->tables);
}

/* Coordinates as a phone copies them begin a plan; nonsense begins none and says why. */
static void
test_begins (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnDocument) document = dwn_document_new (fixture->tables);
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_start_plan (document, "", "somewhere", &error));
  g_assert_nonnull (error);
  g_assert_null (dwn_document_plan (document));
  g_clear_error (&error);
  g_assert_true (dwn_start_plan (document, "Rook End", "44\xC2\xB0" "16'48.0\"N 71\xC2\xB0" "41'24.0\"W", &error));
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (dwn_document_plan (document)->site->at.lat_deg, 44.28, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_document_plan (document)->site->at.lon_deg, -71.69, 1e-9);
  g_assert_cmpuint (dwn_document_plan (document)->stations->n, ==, 0);
  g_assert_false (dwn_document_is_modified (document));
}

static DwnPlan *
turned (DwnDocument *document, double by_deg)
{
  const DwnPlan *plan = dwn_document_plan (document);
  g_autofree double *aim_deg = g_memdup2 (plan->aims->aim_deg, plan->aims->n * sizeof *aim_deg);

  aim_deg[0] += by_deg;
  return dwn_plan_with_aims (plan, plan->aims->n, aim_deg);
}

/* Trying shows a plan and changes nothing; dropping it leaves no trace, keeping it is one step. */
static void
test_trial (Fixture *fixture, gconstpointer data)
{
  DwnDocument *document = fixture->document;
  const DwnPlan *before = dwn_document_plan (document);
  g_autoptr (DwnPlan) first = turned (document, 10.0);
  g_autoptr (DwnPlan) second = turned (document, 20.0);

  g_assert_true (dwn_document_try (document, first, "Turn it", NULL));
  g_assert_true (dwn_document_try (document, second, "Turn it more", NULL));
  g_assert_true (dwn_document_plan (document) == second);
  g_assert_false (dwn_document_is_modified (document));
  g_assert_cmpstr (dwn_document_trial_label (document), ==, "Turn it more");
  dwn_document_undo (document);
  g_assert_true (dwn_document_plan (document) == before);
  g_assert_null (dwn_document_trial_label (document));
  g_assert_null (dwn_document_undo_label (document));

  g_assert_true (dwn_document_try (document, second, "Turn it more", NULL));
  dwn_document_keep_trial (document);
  g_assert_true (dwn_document_is_modified (document));
  g_assert_cmpstr (dwn_document_undo_label (document), ==, "Turn it more");
  dwn_document_undo (document);
  g_assert_true (dwn_document_plan (document) == before);
}

/* An edit during a trial keeps the trial as a step of its own. */
static void
test_edit_keeps_trial (Fixture *fixture, gconstpointer data)
{
  DwnDocument *document = fixture->document;
  const DwnPlan *before = dwn_document_plan (document);
  g_autoptr (DwnPlan) tried = turned (document, 10.0);

  g_assert_true (dwn_document_try (document, tried, "Turn it", NULL));
  g_autoptr (DwnPlan) edited = turned (document, 5.0);
  g_assert_true (dwn_document_edit (document, edited, "Once more", NULL, NULL));
  dwn_document_undo (document);
  g_assert_true (dwn_document_plan (document) == tried);
  dwn_document_undo (document);
  g_assert_true (dwn_document_plan (document) == before);
}

/* What was not saved lies beside, comes back as it was, counts as modified, and goes with saving. */
static void
test_recovers (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  DwnAutosave *autosave = dwn_autosave_new (fixture->document);
  g_autoptr (DwnDocument) again = dwn_document_new (fixture->tables);
  g_autofree char *path = g_strdup (dwn_autosave_path (autosave));

  dwn_document_preview_aim (fixture->document, 0, 123.0);
  dwn_document_keep_aims (fixture->document);
  g_assert_true (dwn_autosave_flush (autosave, &error));
  g_assert_no_error (error);
  g_autoptr (GFile) copy = g_file_new_for_path (path);
  g_assert_true (dwn_document_recover (again, copy, dwn_document_file (fixture->document), &error));
  g_assert_no_error (error);
  g_assert_cmpfloat (dwn_document_plan (again)->aims->aim_deg[0], ==, 123.0);
  g_assert_true (dwn_document_is_modified (again));
  dwn_document_undo (fixture->document); /* back to what is saved: nothing to recover */
  g_assert_false (g_file_test (path, G_FILE_TEST_EXISTS));
  dwn_autosave_free (autosave);
}

/* A process that is killed while it writes and writes again leaves a whole plan, or none. */
static void
kill_one (Fixture *fixture, guint delay_us)
{
  g_autoptr (GPtrArray) left = NULL;
  pid_t child = fork ();

  if (child == 0)
    {
      DwnAutosave *autosave = dwn_autosave_new (fixture->document);
      for (double aim_deg = 0.0;; aim_deg += 1.0)
        {
          dwn_document_preview_aim (fixture->document, 0, aim_deg);
          dwn_document_keep_aims (fixture->document);
          dwn_autosave_flush (autosave, NULL);
        }
    }
  g_usleep (delay_us);
  kill (child, SIGKILL);
  waitpid (child, NULL, 0);
  left = dwn_autosave_orphans ();
  for (guint i = 0; i < left->len; i++)
    {
      const char *path = g_ptr_array_index (left, i);
      g_autoptr (GError) error = NULL;
      g_autoptr (DwnPlan) plan = dwn_plan_load (path, fixture->tables->parts, fixture->tables->catalogue, NULL, &error);
      g_assert_no_error (error);
      g_assert_cmpuint (plan->stations->n, ==, dwn_document_plan (fixture->document)->stations->n);
      dwn_autosave_discard (path);
    }
}

static void
test_killed (Fixture *fixture, gconstpointer data)
{
  guint kills = g_getenv ("DOWNLEAD_LONG_TESTS") != NULL ? 1000 : 25;

  for (guint i = 0; i < kills; i++)
    kill_one (fixture, (guint) g_test_rand_int_range (1000, 40000));
}

static gboolean
is_read (gpointer dialog)
{
  return dwn_import_dialog_merge (dialog) != NULL;
}

static void
wait_until (gboolean (*done) (gpointer), gpointer data)
{
  gint64 until = g_get_monotonic_time () + 20 * G_USEC_PER_SEC;

  while (!done (data) && g_get_monotonic_time () < until)
    g_main_context_iteration (NULL, FALSE);
  g_assert_true (done (data));
}

/* A station list of the tree: a preview first, then one step of undo. */
static void
test_imports (Fixture *fixture, gconstpointer data)
{
  static const char list[] =
    "<?xml version=\"1.0\"?>\n<stations version=\"1.0\" source=\"list\">\n"
    "<service id=\"harrow\" name=\"Harrow\" on-screen=\"9.1\"/>\n"
    "<station id=\"harrow-20\" name=\"Harrow Pike\" system=\"atsc1\" rf=\"20\" lat=\"44.7\" lon=\"-115.0\" "
    "erp-kw=\"50\" services=\"harrow\"/>\n</stations>\n";
  g_autoptr (GError) error = NULL;
  g_autofree char *path = NULL;
  int fd = g_file_open_tmp ("stations-XXXXXX.xml", &path, &error);
  guint before = dwn_document_plan (fixture->document)->stations->n;

  g_assert_no_error (error);
  close (fd);
  g_assert_true (g_file_set_contents (path, list, -1, &error));
  g_assert_cmpint (dwn_import_guess (path), ==, DWN_IMPORT_STATIONS);
  DwnImportDialog *dialog = g_object_ref_sink (dwn_import_dialog_new (NULL, fixture->document));
  dwn_import_dialog_read (dialog, (const char *const[]) { path, NULL });
  wait_until (is_read, dialog);
  g_assert_cmpuint (dwn_import_dialog_merge (dialog)->count[DWN_MERGE_ADDED], ==, 1);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->stations->n, ==, before);
  g_assert_true (dwn_import_dialog_take (dialog));
  g_assert_cmpuint (dwn_document_plan (fixture->document)->stations->n, ==, before + 1);
  dwn_document_undo (fixture->document);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->stations->n, ==, before);
  gtk_window_destroy (GTK_WINDOW (dialog));
  g_object_unref (dialog);
  g_unlink (path);
}

static void
test_station_added_and_removed (Fixture *fixture, gconstpointer data)
{
  const DwnPlan *before = dwn_document_plan (fixture->document);
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_add_station (fixture->document, &error));
  g_assert_no_error (error);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->stations->n, ==, before->stations->n + 1);
  g_assert_cmpint (dwn_document_selected (fixture->document), ==, (int) before->stations->n);
  g_assert_true (dwn_remove_station (fixture->document));
  g_assert_cmpuint (dwn_document_plan (fixture->document)->stations->n, ==, before->stations->n);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->services->n, ==, before->services->n);
  dwn_document_undo (fixture->document);
  dwn_document_undo (fixture->document);
  g_assert_true (dwn_document_plan (fixture->document) == before);
}

/* Moving the house leaves its profiles behind; undo brings them back. */
static void
test_house_moves (Fixture *fixture, gconstpointer data)
{
  const DwnPlan *before = dwn_document_plan (fixture->document);
  DwnSite site = *before->site;

  g_assert_cmpuint (before->paths->n, >, 0);
  site.at.lat_deg += 0.1;
  g_autoptr (DwnPlan) moved = dwn_plan_with_site (before, &site);
  g_assert_true (dwn_document_edit (fixture->document, moved, "Move", NULL, NULL));
  g_assert_cmpuint (dwn_document_plan (fixture->document)->paths->n, ==, 0);
  dwn_document_undo (fixture->document);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->paths->n, ==, before->paths->n);
}

static void
test_house_loss (Fixture *fixture, gconstpointer data)
{
  guint before = dwn_document_plan (fixture->document)->site->n_losses;
  guint index = dwn_house_losses_add (fixture->document, DWN_HOUSE_ROOF);

  g_assert_cmpuint (index, ==, before);
  g_assert_cmpint (dwn_document_plan (fixture->document)->site->loss[index].kind, ==, DWN_HOUSE_ROOF);
  g_assert_nonnull (dwn_document_undo_label (fixture->document));
}

/* A reading keeps how things stood when it was taken. */
static void
test_reading (Fixture *fixture, gconstpointer data)
{
  const DwnPlan *plan = dwn_document_plan (fixture->document);
  DwnReading reading;

  dwn_reading_init (&reading);
  reading.station = plan->stations->station[0].id;
  reading.where = plan->gear->part[plan->gear->outlet[0]].id;
  reading.when = "2026-05-14";
  reading.level_dbm = -60.0;
  g_assert_true (dwn_add_reading (fixture->document, &reading));
  const DwnReadings *readings = dwn_document_plan (fixture->document)->readings;
  g_assert_cmpuint (readings->n, ==, plan->readings->n + 1);
  g_assert_false (isnan (readings->reading[readings->n - 1].aim_deg));
  g_assert_false (isnan (readings->reading[readings->n - 1].gain_db));
}

static guint
count_stations (DwnDocument *document, const DwnStationQuery *query)
{
  DwnFindings findings = dwn_document_findings (document);
  g_autoptr (GListStore) items = dwn_stations_in_order (&findings, query);
  guint n = 0;

  for (guint k = 0; k < g_list_model_get_n_items (G_LIST_MODEL (items)); k++)
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (G_LIST_MODEL (items), k);
      n += dwn_station_item_is_mast (item) ? 0 : 1;
    }
  return n;
}

/* The example has 7 wanted of 9 stations, one on low VHF, one on high VHF. */
static void
test_filters (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = -1 }), ==, 9);
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = DWN_BAND_LOW_VHF }), ==, 1);
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = DWN_BAND_HIGH_VHF }), ==, 1);
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = -1, .wanted = DWN_SHOW_WANTED }),
                    ==, 7);
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = -1, .text = "quill" }), ==, 1);
  g_assert_cmpuint (count_stations (fixture->document, &(DwnStationQuery) { .band = -1, .text = "nobody" }), ==, 0);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/app/document/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("begins", test_begins);
  ADD ("trial", test_trial);
  ADD ("edit-keeps-trial", test_edit_keeps_trial);
  ADD ("recovers", test_recovers);
  ADD ("killed", test_killed);
  ADD ("imports", test_imports);
  ADD ("station-added-and-removed", test_station_added_and_removed);
  ADD ("house-moves", test_house_moves);
  ADD ("house-loss", test_house_loss);
  ADD ("reading", test_reading);
  ADD ("filters", test_filters);
  return g_test_run ();
}
