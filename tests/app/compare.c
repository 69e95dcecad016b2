/* Two variants side by side in the window: what can be chosen, what it says, which one is kept. */
#include <math.h>

#include "app/compare-page.h"
#include "app/page.h"
#include "app/sheet-print.h"
#include "app/window.h"
#include "example.h"

typedef ExampleWindow Fixture;

static DwnComparer *
open_page (Fixture *fixture)
{
  DwnComparer *comparer = dwn_comparer_of (fixture->document);

  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.compare", NULL);
  example_settle ();
  return comparer;
}

static const DwnComparison *
wait_for (DwnComparer *comparer, DwnComparedView sides[2])
{
  const DwnComparison *comparison = NULL;

  dwn_comparer_refresh (comparer);
  for (guint i = 0; i < 2000 && comparison == NULL; i++)
    {
      example_settle ();
      g_usleep (5000);
      comparison = dwn_comparer_result (comparer, sides, NULL);
    }
  g_assert_nonnull (comparison);
  return comparison;
}

static int
find_variant (DwnComparer *comparer, const char *name)
{
  for (guint i = 0; i < dwn_comparer_count (comparer); i++)
    if (g_str_equal (dwn_comparer_name (comparer, i), name))
      return (int) i;
  return -1;
}

/* The example stands on a mast and has two antennas: the attic and each antenna alone. */
static void
test_lists (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);

  g_assert_cmpuint (dwn_comparer_count (comparer), ==, 4);
  g_assert_cmpint (find_variant (comparer, "This plan"), ==, 0);
  g_assert_cmpint (find_variant (comparer, "In the attic, as high"), >, 0);
  g_assert_cmpint (find_variant (comparer, "Only the UHF antenna"), >, 0);
  g_assert_cmpint ((int) dwn_comparer_chosen (comparer, 1), ==, find_variant (comparer, "In the attic, as high"));
  dwn_document_preview_aim (fixture->document, 0, 10.0);
  dwn_document_keep_aims (fixture->document);
  g_assert_cmpint ((int) dwn_comparer_chosen (comparer, 1), ==, find_variant (comparer, "As saved last"));
}

/* The plan's side of it is what the document has anyway; the page shows a row a service. */
static void
test_shows (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);
  DwnComparedView sides[2];
  const DwnComparison *comparison = wait_for (comparer, sides);
  DwnFindings findings = dwn_document_findings (fixture->document);

  g_assert_cmpuint (comparison->n, >=, findings.plan->services->n);
  for (guint k = 0; k < comparison->n; k++)
    if (comparison->row[k].side[0].station >= 0)
      {
        guint i = (guint) comparison->row[k].side[0].station;
        g_assert_cmpfloat (comparison->row[k].side[0].chance, ==, dwn_station_chance (findings.budget, i));
        g_assert_cmpint (comparison->row[k].side[0].held, ==, findings.budget->held[i]);
      }
  GtkWidget *table = example_find (GTK_WIDGET (fixture->window), GTK_TYPE_COLUMN_VIEW,
                                   "Margin of every service in both variants");
  g_assert_nonnull (table);
  GListModel *rows = G_LIST_MODEL (gtk_column_view_get_model (GTK_COLUMN_VIEW (table)));
  g_assert_cmpuint (g_list_model_get_n_items (rows), ==, comparison->n);
  g_assert_nonnull (example_find (GTK_WIDGET (fixture->window), GTK_TYPE_DROP_DOWN, "Variant on the right"));
}

/* Keeping the right one makes it the plan, and one step leads back. */
static void
test_keeps (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);
  DwnComparedView sides[2];

  dwn_comparer_choose (comparer, 1, (guint) find_variant (comparer, "Only the UHF antenna"));
  wait_for (comparer, sides);
  g_assert_cmpuint (sides[1].view.findings.plan->gear->n_antennas, ==, 1);
  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.keep-variant", "u", 1);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->gear->n_antennas, ==, 1);
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Only the UHF antenna");
  dwn_document_undo (fixture->document);
  g_assert_cmpuint (dwn_document_plan (fixture->document)->gear->n_antennas, ==, 2);
  g_assert_false (dwn_document_is_modified (fixture->document));
}

/* What is tried is the right one by itself; keeping the left one drops it. */
static void
test_trial (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);
  g_autoptr (DwnPlan) attic = dwn_variant_in_attic (dwn_document_plan (fixture->document));

  g_assert_true (dwn_document_try (fixture->document, attic, "Attic", NULL));
  g_assert_cmpstr (dwn_comparer_name (comparer, dwn_comparer_chosen (comparer, 1)), ==, "On trial: Attic");
  g_assert_true (dwn_comparer_keep (comparer, 0, NULL));
  g_assert_null (dwn_document_trial_label (fixture->document));
  g_assert_cmpint (dwn_document_plan (fixture->document)->site->mount, ==, DWN_MOUNT_MAST);
  g_assert_true (dwn_document_try (fixture->document, attic, "Attic", NULL));
  g_assert_true (dwn_comparer_keep (comparer, 1, NULL));
  g_assert_cmpint (dwn_document_plan (fixture->document)->site->mount, ==, DWN_MOUNT_ATTIC);
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Attic");
}

/* Another file, and one that is none. */
static void
test_file (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);
  DwnComparedView sides[2];
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) same = g_object_ref (dwn_document_file (fixture->document));
  g_autoptr (GFile) none = g_file_new_for_path ("/proc/none.downlead");

  g_assert_false (dwn_comparer_add_file (comparer, none, &error));
  g_assert_nonnull (error);
  g_assert_true (dwn_comparer_add_file (comparer, same, NULL));
  g_assert_cmpstr (dwn_comparer_name (comparer, dwn_comparer_chosen (comparer, 1)), ==, "thistledown.downlead");
  const DwnComparison *comparison = wait_for (comparer, sides);
  for (guint k = 0; k < comparison->n; k++)
    if (comparison->row[k].side[0].station >= 0)
      g_assert_cmpfloat (comparison->row[k].side[0].margin_db, ==, comparison->row[k].side[1].margin_db);
}

static void
test_prints (Fixture *fixture, gconstpointer data)
{
  DwnComparer *comparer = open_page (fixture);
  DwnComparedView sides[2];
  PangoContext *text = dwn_page_text ();
  g_autoptr (GError) error = NULL;

  wait_for (comparer, sides);
  for (guint paper = 0; paper < 2; paper++)
    {
      DwnRect ink;
      g_autoptr (DwnScene) scene = dwn_page_scene (fixture->document, DWN_PAGE_COMPARE, (DwnPaperSize) paper, text, &error);
      g_assert_no_error (error);
      g_assert_true (dwn_scene_extents (scene, DWN_LAYER_ALL, &ink));
      g_assert_cmpfloat (ink.x, >=, 14.0);
      g_assert_cmpfloat (ink.x + ink.width, <=, dwn_scene_width (scene) - 14.0);
      g_assert_cmpfloat (ink.y + ink.height, <=, dwn_scene_height (scene) - 14.0);
    }
  g_object_unref (text);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) g_test_add ("/app/compare/" name, Fixture, NULL, example_window_open, function, example_window_close)
  ADD ("lists", test_lists);
  ADD ("shows", test_shows);
  ADD ("keeps", test_keeps);
  ADD ("trial", test_trial);
  ADD ("file", test_file);
  ADD ("prints", test_prints);
  return g_test_run ();
}
