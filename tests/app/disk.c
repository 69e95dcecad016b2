/* Other programs at work on the file of a plan that is open. What must hold: it is noticed, nothing
 * of the person's is lost, and our own saving is no news. */
#include <glib/gstdio.h>

#include "app/notice.h"
#include "app/window.h"
#include "core/plan/document.h"
#include "example.h"

/* Longer than notices take to come; how long to be sure that none comes. */
#define PATIENCE_US (10 * G_USEC_PER_SEC)
#define SILENCE_US (900 * 1000)
#define STEP_US 5000

typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  DwnWindow *window;
  char *folder, *path;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnDocument) example = NULL;

  example_open (&fixture->tables, &example);
  fixture->folder = g_dir_make_tmp ("downlead-disk-XXXXXX", &error);
  g_assert_no_error (error);
  fixture->path = g_build_filename (fixture->folder, "house.downlead", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (fixture->path);
  g_assert_true (dwn_plan_save (dwn_document_plan (example), fixture->tables->catalogue, fixture->path, &error));
  fixture->document = dwn_document_new (fixture->tables);
  g_assert_true (dwn_document_open (fixture->document, file, &error));
  fixture->window = dwn_window_new (NULL, fixture->document);
  example_present (fixture->window);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (fixture->window));
  g_object_unref (fixture->document);
  dwn_tables_unref (fixture->tables);
  example_remove (fixture->folder);
  g_free (fixture->folder);
  g_free (fixture->path);
  example_settle ();
}

static const char *
topic (Fixture *fixture)
{
  return dwn_notice_topic (DWN_NOTICE (example_find (GTK_WIDGET (fixture->window), DWN_TYPE_NOTICE, NULL)));
}

/* Lets time pass until the notice about the file is there or, for NULL, until it would have been. */
static void
assert_topic (Fixture *fixture, const char *expected)
{
  gint64 end = g_get_monotonic_time () + (expected != NULL ? PATIENCE_US : SILENCE_US);

  while (g_get_monotonic_time () < end && (expected == NULL || g_strcmp0 (topic (fixture), expected) != 0))
    {
      example_settle ();
      g_usleep (STEP_US);
    }
  g_assert_cmpstr (topic (fixture), ==, expected);
}

static void
turn (Fixture *fixture, double aim_deg)
{
  dwn_document_preview_aim (fixture->document, 0, aim_deg);
  dwn_document_keep_aims (fixture->document);
}

static double
aim (Fixture *fixture)
{
  return dwn_document_plan (fixture->document)->aims->aim_deg[0];
}

static void
act (Fixture *fixture, const char *action)
{
  gtk_widget_activate_action (GTK_WIDGET (fixture->window), action, NULL);
}

/* As another program would: the plan with its first antenna at 77°, all at once or by a rename. */
static void
write_elsewhere (Fixture *fixture, const char *path)
{
  g_autoptr (DwnPlan) plan = dwn_plan_load (fixture->path, fixture->tables->parts, fixture->tables->catalogue, NULL,
                                            NULL);
  g_autofree double *aims = g_memdup2 (plan->aims->aim_deg, plan->gear->n_antennas * sizeof (double));

  aims[0] = 77.0;
  g_autoptr (DwnPlan) turned = dwn_plan_with_aims (plan, plan->gear->n_antennas, aims);
  g_autoptr (GBytes) bytes = dwn_plan_write (turned, fixture->tables->catalogue);
  g_autoptr (GError) error = NULL;
  g_file_set_contents_full (path, g_bytes_get_data (bytes, NULL), (gssize) g_bytes_get_size (bytes),
                            G_FILE_SET_CONTENTS_NONE, 0600, &error);
  g_assert_no_error (error);
}

static void
test_own_save (Fixture *fixture, gconstpointer data)
{
  turn (fixture, 10.0);
  act (fixture, "win.save");
  g_assert_false (dwn_document_is_modified (fixture->document));
  assert_topic (fixture, NULL);
  g_assert_cmpint (dwn_document_disk (fixture->document), ==, DWN_DISK_SAME);
}

static void
test_same_again (Fixture *fixture, gconstpointer data)
{
  g_autofree char *text = NULL;
  gsize size;

  g_assert_true (g_file_get_contents (fixture->path, &text, &size, NULL));
  g_assert_true (g_file_set_contents (fixture->path, text, (gssize) size, NULL));
  assert_topic (fixture, NULL);
}

static void
test_reload (Fixture *fixture, gconstpointer data)
{
  turn (fixture, 10.0);
  write_elsewhere (fixture, fixture->path);
  assert_topic (fixture, "disk");
  g_assert_cmpfloat (aim (fixture), ==, 10.0);
  act (fixture, "win.reload");
  g_assert_cmpfloat (aim (fixture), ==, 77.0);
  g_assert_false (dwn_document_is_modified (fixture->document));
  g_assert_null (topic (fixture));
  act (fixture, "win.undo");
  g_assert_cmpfloat (aim (fixture), ==, 10.0);
  g_assert_true (dwn_document_is_modified (fixture->document));
}

static void
test_keep_mine (Fixture *fixture, gconstpointer data)
{
  double before = aim (fixture);

  write_elsewhere (fixture, fixture->path);
  assert_topic (fixture, "disk");
  act (fixture, "win.keep-mine");
  g_assert_null (topic (fixture));
  g_assert_cmpfloat (aim (fixture), ==, before);
  g_assert_true (dwn_document_is_modified (fixture->document));
  act (fixture, "win.save");
  g_assert_false (dwn_document_is_modified (fixture->document));
  g_autoptr (DwnPlan) saved = dwn_plan_load (fixture->path, fixture->tables->parts, fixture->tables->catalogue, NULL,
                                             NULL);
  g_assert_cmpfloat (saved->aims->aim_deg[0], ==, before);
}

static void
test_replaced (Fixture *fixture, gconstpointer data)
{
  g_autofree char *other = g_build_filename (fixture->folder, "new", NULL);

  write_elsewhere (fixture, other);
  g_assert_cmpint (g_rename (other, fixture->path), ==, 0);
  assert_topic (fixture, "disk");
  act (fixture, "win.reload");
  g_assert_cmpfloat (aim (fixture), ==, 77.0);
}

static void
test_deleted (Fixture *fixture, gconstpointer data)
{
  g_unlink (fixture->path);
  assert_topic (fixture, "disk");
  g_assert_true (dwn_document_is_modified (fixture->document));
  act (fixture, "win.save");
  g_assert_true (g_file_test (fixture->path, G_FILE_TEST_EXISTS));
  g_assert_false (dwn_document_is_modified (fixture->document));
}

static void
test_folder_gone (Fixture *fixture, gconstpointer data)
{
  example_remove (fixture->folder);
  g_assert_false (g_file_test (fixture->folder, G_FILE_TEST_EXISTS));
  assert_topic (fixture, "disk");
  g_assert_true (dwn_document_is_modified (fixture->document));
  g_assert_nonnull (dwn_document_plan (fixture->document));
}

static void
test_folder_moved (Fixture *fixture, gconstpointer data)
{
  g_autofree char *elsewhere = g_strconcat (fixture->folder, "-moved", NULL);

  g_assert_cmpint (g_rename (fixture->folder, elsewhere), ==, 0);
  g_object_notify (G_OBJECT (fixture->window), "is-active"); /* somebody turns to the window again */
  assert_topic (fixture, "disk");
  g_assert_true (dwn_document_is_modified (fixture->document));
  example_remove (elsewhere);
}

/* What cannot be read as a plan takes nothing away. */
static void
test_broken (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  turn (fixture, 10.0);
  g_assert_true (g_file_set_contents (fixture->path, "<downlead", -1, NULL));
  assert_topic (fixture, "disk");
  g_assert_false (dwn_document_reload (fixture->document, &error));
  g_assert_nonnull (error);
  g_assert_cmpfloat (aim (fixture), ==, 10.0);
  g_assert_true (dwn_document_is_modified (fixture->document));
}

/* Saving asks before it replaces what somebody else wrote. */
static void
test_asks (Fixture *fixture, gconstpointer data)
{
  turn (fixture, 10.0);
  write_elsewhere (fixture, fixture->path);
  act (fixture, "win.save");
  g_assert_true (dwn_document_is_modified (fixture->document));
  g_autoptr (DwnPlan) there = dwn_plan_load (fixture->path, fixture->tables->parts, fixture->tables->catalogue, NULL,
                                             NULL);
  g_assert_cmpfloat (there->aims->aim_deg[0], ==, 77.0);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) g_test_add ("/app/disk/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("own-save", test_own_save);
  ADD ("same-again", test_same_again);
  ADD ("reload", test_reload);
  ADD ("keep-mine", test_keep_mine);
  ADD ("replaced", test_replaced);
  ADD ("deleted", test_deleted);
  ADD ("folder-gone", test_folder_gone);
  ADD ("folder-moved", test_folder_moved);
  ADD ("broken", test_broken);
  ADD ("asks", test_asks);
  return g_test_run ();
}
