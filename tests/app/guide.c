/* The steps over a new plan, the words that are explained in place, and the page that F1 opens. */
#include "app/form.h"
#include "app/guide-strip.h"
#include "app/hint.h"
#include "app/start-page.h"
#include "app/window.h"
#include "example.h"
#include "words/sentences.h"

#define ALL_DONE (DWN_GUIDE_BIT (DWN_N_GUIDE_STEPS) - 1)

static guint
done_of (DwnDocument *document, guint seen)
{
  DwnFindings findings = dwn_document_findings (document);

  return dwn_guide_done (&findings, seen);
}

static DwnDocument *
begin (DwnTables **tables)
{
  g_autoptr (GError) error = NULL;

  *tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  DwnDocument *document = dwn_document_new (*tables);
  g_assert_true (dwn_start_plan (document, "", "44.2810, -71.6930", &error));
  g_assert_no_error (error);
  return document;
}

/* A plan that has a house and nothing else; what was only looked at is done where looking is all. */
static void
test_new_plan (void)
{
  DwnTables *tables;
  DwnDocument *document = begin (&tables);

  g_assert_cmpuint (done_of (document, 0), ==, DWN_GUIDE_BIT (DWN_GUIDE_SITE));
  g_assert_cmpint (dwn_guide_next (done_of (document, 0)), ==, DWN_GUIDE_STATIONS);
  g_assert_cmpuint (done_of (document, ALL_DONE), ==, DWN_GUIDE_BIT (DWN_GUIDE_SITE) | DWN_GUIDE_BIT (DWN_GUIDE_GEAR));
  /* Nothing can be said of an aim while there is nothing to aim at. */
  DwnFindings findings = dwn_document_findings (document);
  g_autofree char *sentence = dwn_word_aim_sentence_plain (dwn_document_wording (document), &findings);
  g_assert_cmpstr (sentence, ==, "The plan has no stations yet.");
  g_object_unref (document);
  dwn_tables_unref (tables);
}

/* The example has stations, wishes and antennas that hold most of them; one wish is not dependable, so
 * the advice is still worth a look. */
static void
test_example (void)
{
  DwnTables *tables;
  DwnDocument *document;
  guint first = DWN_GUIDE_BIT (DWN_GUIDE_SITE) | DWN_GUIDE_BIT (DWN_GUIDE_STATIONS) | DWN_GUIDE_BIT (DWN_GUIDE_WANTED)
                | DWN_GUIDE_BIT (DWN_GUIDE_ANTENNAS);

  example_open (&tables, &document);
  g_assert_cmpuint (done_of (document, 0), ==, first);
  g_assert_cmpint (dwn_guide_next (first), ==, DWN_GUIDE_GEAR);
  g_assert_cmpuint (done_of (document, ALL_DONE), ==, ALL_DONE);
  g_assert_cmpint (dwn_guide_next (ALL_DONE), ==, -1);
  g_object_unref (document);
  dwn_tables_unref (tables);
}

/* Without wishes, advice and sheet stay open although somebody looked. */
static void
test_no_wishes (void)
{
  DwnTables *tables;
  DwnDocument *document;

  example_open (&tables, &document);
  g_autoptr (DwnPlan) plan = dwn_plan_ref (dwn_document_plan (document));
  for (guint s = 0; s < plan->services->n; s++)
    {
      DwnPlan *next = dwn_plan_with_wanted (plan, plan->services->service[s].id, DWN_WANTED_NO);
      dwn_plan_unref (plan);
      plan = next;
    }
  g_assert_true (dwn_document_edit (document, plan, "No wishes", NULL, NULL));
  g_assert_cmpuint (done_of (document, ALL_DONE) & DWN_GUIDE_BIT (DWN_GUIDE_WANTED), ==, 0);
  g_assert_cmpuint (done_of (document, ALL_DONE) & DWN_GUIDE_BIT (DWN_GUIDE_SHEET), ==, 0);
  g_object_unref (document);
  dwn_tables_unref (tables);
}

/* Over a new plan, not over one that is opened; away at a click, and nothing else changes. */
static void
test_strip (void)
{
  DwnTables *tables;
  DwnDocument *document = begin (&tables);
  DwnWindow *window = dwn_window_new (NULL, document);

  example_present (window);
  GtkWidget *strip = example_find (GTK_WIDGET (window), DWN_TYPE_GUIDE_STRIP, NULL);
  g_assert_true (gtk_widget_get_visible (strip));
  g_assert_nonnull (example_find (strip, GTK_TYPE_BUTTON, "Step 1, Site: done"));
  g_assert_nonnull (example_find (strip, GTK_TYPE_BUTTON, "Step 5, Gear: open"));
  g_signal_emit_by_name (example_find (strip, GTK_TYPE_BUTTON, "Step 5, Gear: open"), "clicked");
  g_assert_cmpstr (dwn_window_panel (window), ==, "gear");
  g_assert_nonnull (example_find (strip, GTK_TYPE_BUTTON, "Step 5, Gear: done"));
  g_signal_emit_by_name (example_find (strip, GTK_TYPE_BUTTON, "Go on without the steps"), "clicked");
  g_assert_false (gtk_widget_get_visible (strip));
  g_assert_false (dwn_document_is_modified (document));
  g_assert_cmpstr (dwn_window_panel (window), ==, "gear");
  gtk_window_destroy (GTK_WINDOW (window));
  g_object_unref (document);
  dwn_tables_unref (tables);
  example_settle ();
}

/* F1 on each panel, on the page to be printed, on the start page. */
static void
test_help (void)
{
  DwnTables *tables;
  DwnDocument *document;

  example_open (&tables, &document);
  DwnWindow *window = dwn_window_new (NULL, document);
  example_present (window);
  g_assert_false (gtk_widget_get_visible (example_find (GTK_WIDGET (window), DWN_TYPE_GUIDE_STRIP, NULL)));
  gtk_window_set_focus (GTK_WINDOW (window), NULL);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.panel", "s", "gear");
  g_assert_cmpstr (dwn_window_help (window), ==, "gear");
  gtk_widget_activate_action (GTK_WIDGET (window), "win.preview", "s", "sheet");
  g_assert_cmpstr (dwn_window_help (window), ==, "sheet");
  gtk_window_destroy (GTK_WINDOW (window));
  g_object_unref (document);
  document = dwn_document_new (tables);
  window = dwn_window_new (NULL, document);
  g_assert_cmpstr (dwn_window_help (window), ==, "index");
  gtk_window_destroy (GTK_WINDOW (window));
  g_object_unref (document);
  dwn_tables_unref (tables);
  example_settle ();
}

/* A hint is named, and the page it leads to is there. */
static void
test_hint (void)
{
  GtkWidget *hint = dwn_hint_new ("Margin", "What is left.", "glossary");

  gtk_window_set_child (GTK_WINDOW (example_window ()), hint);
  gtk_window_present (GTK_WINDOW (example_window ()));
  example_settle ();
  gtk_menu_button_popup (GTK_MENU_BUTTON (hint));
  example_settle ();
  GtkWidget *more = example_find (GTK_WIDGET (gtk_menu_button_get_popover (GTK_MENU_BUTTON (hint))), GTK_TYPE_BUTTON,
                                  "More in the help");
  const char *page = g_variant_get_string (gtk_actionable_get_action_target_value (GTK_ACTIONABLE (more)), NULL);
  g_autofree char *name = g_strconcat (page, ".page", NULL);
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "..", "help", "C", name, NULL);

  g_assert_true (example_is_called (hint, "About: Margin"));
  g_assert_true (g_file_test (path, G_FILE_TEST_EXISTS));
  gtk_menu_button_popdown (GTK_MENU_BUTTON (hint));
  gtk_window_set_child (GTK_WINDOW (example_window ()), NULL);
  example_settle ();
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add_func ("/app/guide/new-plan", test_new_plan);
  g_test_add_func ("/app/guide/example", test_example);
  g_test_add_func ("/app/guide/no-wishes", test_no_wishes);
  g_test_add_func ("/app/guide/strip", test_strip);
  g_test_add_func ("/app/guide/help", test_help);
  g_test_add_func ("/app/guide/hint", test_hint);
  return g_test_run ();
}
