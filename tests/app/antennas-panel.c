/* The antennas panel in process: cards that edit the plan, the catalogue with search and preview, an
 * antenna from a data sheet, and one from a file, kept in the user's own catalogue. */
#include <glib/gstdio.h>
#include <gtk/gtk.h>
#include <math.h>

#include "app/antenna-browser.h"
#include "app/antenna-card.h"
#include "app/antenna-plot.h"
#include "app/antenna-sheet-form.h"
#include "app/antennas-panel.h"
#include "core/chain/head.h"
#include "example.h"

typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  GtkWidget *window, *panel;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_open (&fixture->tables, &fixture->document);
  fixture->panel = dwn_antennas_panel_new (fixture->document);
  fixture->window = example_window ();
  gtk_window_set_child (GTK_WINDOW (fixture->window), fixture->panel);
  gtk_window_present (GTK_WINDOW (fixture->window));
  example_settle ();
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  gtk_window_set_child (GTK_WINDOW (fixture->window), NULL);
  g_object_unref (fixture->document);
  dwn_tables_unref (fixture->tables);
  example_settle ();
}

static const DwnPlan *
plan (Fixture *fixture)
{
  return dwn_document_plan (fixture->document);
}

static const DwnPart *
antenna (Fixture *fixture, guint a)
{
  return &plan (fixture)->gear->part[plan (fixture)->gear->antenna[a]];
}

static void
command (Fixture *fixture, const char *action, int antenna)
{
  gboolean done = antenna >= 0 ? gtk_widget_activate_action (fixture->panel, action, "u", (guint) antenna)
                               : gtk_widget_activate_action (fixture->panel, action, NULL);

  g_assert_true (done);
  example_settle ();
}

static DwnAntennaBrowser *
browser (Fixture *fixture)
{
  return DWN_ANTENNA_BROWSER (example_find (fixture->panel, DWN_TYPE_ANTENNA_BROWSER, NULL));
}

static void
test_cards (Fixture *fixture, gconstpointer data)
{
  GtkWidget *card = example_find (fixture->panel, DWN_TYPE_ANTENNA_CARD, NULL);

  g_assert_nonnull (card);
  g_assert_true (DWN_IS_ANTENNA_CARD (gtk_widget_get_next_sibling (card)));
  g_assert_null (gtk_widget_get_next_sibling (gtk_widget_get_next_sibling (card)));
  g_assert_cmpfloat (gtk_spin_button_get_value (GTK_SPIN_BUTTON (example_find (card, GTK_TYPE_SPIN_BUTTON, "Aim, °"))), ==, 80.0);
}

/* Aim, stagger and polarisation count at once; typing on is one step of undo. */
static void
test_edit (Fixture *fixture, gconstpointer data)
{
  GtkWidget *card = gtk_widget_get_next_sibling (example_find (fixture->panel, DWN_TYPE_ANTENNA_CARD, NULL));

  gtk_spin_button_set_value (GTK_SPIN_BUTTON (example_find (card, GTK_TYPE_SPIN_BUTTON, "Aim, °")), 300.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (example_find (card, GTK_TYPE_SPIN_BUTTON, "Aim, °")), 299.0);
  g_assert_cmpfloat (plan (fixture)->aims->aim_deg[1], ==, 299.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (example_find (card, GTK_TYPE_SPIN_BUTTON, "Below top, m")), 1.5);
  g_assert_cmpfloat (antenna (fixture, 1)->below_top_m, ==, 1.5);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (example_find (card, GTK_TYPE_DROP_DOWN, "Polarisation")), 1);
  g_assert_cmpint (antenna (fixture, 1)->polarisation, ==, DWN_POLARISATION_VERTICAL);
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Change the polarisation");
  dwn_document_undo (fixture->document);
  dwn_document_undo (fixture->document);
  dwn_document_undo (fixture->document);
  g_assert_null (dwn_document_undo_label (fixture->document));
  g_assert_cmpfloat (gtk_spin_button_get_value (GTK_SPIN_BUTTON (example_find (card, GTK_TYPE_SPIN_BUTTON, "Aim, °"))), ==, 305.0);
  g_assert_cmpuint (gtk_drop_down_get_selected (GTK_DROP_DOWN (example_find (card, GTK_TYPE_DROP_DOWN, "Polarisation"))), ==, 0);
}

static void
test_follows_drag (Fixture *fixture, gconstpointer data)
{
  GtkWidget *aim = example_find (fixture->panel, GTK_TYPE_SPIN_BUTTON, "Aim, °");

  dwn_document_preview_aim (fixture->document, 0, 91.0);
  for (guint i = 0; i < 100 && gtk_spin_button_get_value (GTK_SPIN_BUTTON (aim)) != 91.0; i++)
    {
      g_usleep (5000);
      example_settle ();
    }
  g_assert_cmpfloat (gtk_spin_button_get_value (GTK_SPIN_BUTTON (aim)), ==, 91.0);
  g_assert_null (dwn_document_undo_label (fixture->document));
}

static void
test_search (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.browse", -1);
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (fixture->panel)), ==, "catalogue");
  guint all = dwn_antenna_browser_search (browser (fixture), "");
  g_assert_cmpuint (all, >=, 33);
  g_assert_cmpuint (dwn_antenna_browser_search (browser (fixture), "uhf yagi"), ==, 3);
  g_assert_cmpuint (dwn_antenna_browser_search (browser (fixture), "YAGI 40"), ==, 1);
  g_assert_cmpuint (dwn_antenna_browser_search (browser (fixture), "nothing like it"), ==, 0);
  g_assert_cmpuint (dwn_antenna_browser_search (browser (fixture), ""), ==, all);
}

/* 47 CFR 73.603: channel 21 is 512 to 518 MHz, channel 7 is 174 to 180 MHz. */
static void
test_frequency (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.browse", -1);
  g_assert_true (dwn_antenna_browser_look_at (browser (fixture), TRUE, "21"));
  g_assert_cmpfloat (dwn_antenna_browser_mhz (browser (fixture)), ==, 515.0);
  g_assert_true (dwn_antenna_browser_look_at (browser (fixture), TRUE, "7"));
  g_assert_cmpfloat (dwn_antenna_browser_mhz (browser (fixture)), ==, 177.0);
  g_assert_true (dwn_antenna_browser_look_at (browser (fixture), FALSE, "600.5"));
  g_assert_cmpfloat (dwn_antenna_browser_mhz (browser (fixture)), ==, 600.5);
  g_assert_false (dwn_antenna_browser_look_at (browser (fixture), TRUE, "99"));
  g_assert_false (dwn_antenna_browser_look_at (browser (fixture), FALSE, "0"));
  g_assert_false (dwn_antenna_browser_look_at (browser (fixture), FALSE, "12 m"));
}

/* What the preview says of a half-wave dipole: 2.15 dBi, 78° between its half-power points (any
 * textbook on antennas; that of an infinitely thin one). */
static void
test_preview (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPattern) dipole = dwn_catalogue_pattern (fixture->tables->catalogue, "dipole", &error);
  g_assert_no_error (error);
  g_autofree char *figures = dwn_antenna_figures (&dwn_wording_metric, dipole, 545.0);

  g_assert_true (g_str_has_prefix (figures, "2.1 dBi, 78°") || g_str_has_prefix (figures, "2.2 dBi, 78°"));
}

static void
test_replace (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.replace", 0);
  dwn_antenna_browser_open (browser (fixture), "yagi-uhf-40", antenna (fixture, 0)->pattern);
  example_settle ();
  command (fixture, "antennas.take", -1);
  g_assert_cmpstr (antenna (fixture, 0)->type, ==, "yagi-uhf-40");
  g_assert_cmpuint (plan (fixture)->gear->n_antennas, ==, 2);
  g_assert_cmpfloat (plan (fixture)->aims->aim_deg[0], ==, 80.0);
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Change an antenna");
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (fixture->panel)), ==, "plan");
}

/* Two become one and two again; the last one stays. */
static void
test_remove_and_add (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.remove", 1);
  g_assert_cmpuint (plan (fixture)->gear->n_antennas, ==, 1);
  g_assert_cmpfloat (plan (fixture)->aims->aim_deg[0], ==, 80.0);
  command (fixture, "antennas.remove", 0);
  g_assert_cmpuint (plan (fixture)->gear->n_antennas, ==, 1);
  command (fixture, "antennas.browse", -1);
  dwn_antenna_browser_open (browser (fixture), "yagi-high-vhf-10", NULL);
  example_settle ();
  command (fixture, "antennas.take", -1);
  g_assert_cmpuint (plan (fixture)->gear->n_antennas, ==, 2);
  g_assert_cmpint (dwn_chain_arrangement (plan (fixture)->gear), ==, DWN_ARRANGEMENT_SPLIT_BY_BAND);
  /* Only VHF station: it lies at 305°, and without its antenna it is the weakest. */
  g_assert_cmpfloat_with_epsilon (plan (fixture)->aims->aim_deg[1], 305.0, 1.0);
}

/* Another one for the same band takes a hybrid. */
static void
test_hybrid (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.remove", 1);
  command (fixture, "antennas.browse", -1);
  dwn_antenna_browser_open (browser (fixture), "yagi-uhf-10", NULL);
  example_settle ();
  command (fixture, "antennas.take", -1);
  g_assert_cmpint (dwn_chain_arrangement (plan (fixture)->gear), ==, DWN_ARRANGEMENT_HYBRID);
}

static void
test_joined (Fixture *fixture, gconstpointer data)
{
  GtkWidget *joined = example_find (fixture->panel, GTK_TYPE_DROP_DOWN, "Joined as");

  g_assert_cmpuint (gtk_drop_down_get_selected (GTK_DROP_DOWN (joined)), ==, DWN_ARRANGEMENT_SPLIT_BY_BAND);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (joined), DWN_ARRANGEMENT_SWITCH);
  example_settle ();
  g_assert_cmpint (dwn_chain_arrangement (plan (fixture)->gear), ==, DWN_ARRANGEMENT_SWITCH);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (joined), DWN_ARRANGEMENT_ONE); /* with two antennas */
  example_settle ();
  g_assert_cmpint (dwn_chain_arrangement (plan (fixture)->gear), ==, DWN_ARRANGEMENT_SWITCH);
  g_assert_cmpuint (gtk_drop_down_get_selected (GTK_DROP_DOWN (joined)), ==, DWN_ARRANGEMENT_SWITCH);
}

/* Two of the antenna and one again; the distance that is typed is the id's, and the panel stays narrow. */
static void
test_stacked (Fixture *fixture, gconstpointer data)
{
  GtkWidget *stacked = example_find (fixture->panel, GTK_TYPE_DROP_DOWN, "Stacked");
  const char *before = antenna (fixture, 0)->type;
  g_autofree char *expected = g_strconcat ("stack-above-0.90-", before, NULL);
  int minimum;

  gtk_drop_down_set_selected (GTK_DROP_DOWN (stacked), 1);
  example_settle ();
  g_assert_true (g_str_has_prefix (antenna (fixture, 0)->type, "stack-above-"));
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Stack two antennas");
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (example_find (fixture->panel, GTK_TYPE_SPIN_BUTTON, "Apart, m")), 0.9);
  example_settle ();
  g_assert_cmpstr (antenna (fixture, 0)->type, ==, expected);
  gtk_widget_measure (fixture->panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  g_assert_cmpint (minimum, <=, 360);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (stacked), 2);
  example_settle ();
  g_assert_true (g_str_has_prefix (antenna (fixture, 0)->type, "stack-beside-"));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (stacked), 0);
  example_settle ();
  g_assert_cmpstr (antenna (fixture, 0)->type, ==, before);
}

/* 20 dBi from a beam of 60° by 60°: Kraus' 41253/(60 · 60) allows 10.6 dBi. */
static void
test_sheet (Fixture *fixture, gconstpointer data)
{
  const DwnSheetBand boast = { 470, 608, 20.0, DWN_GAIN_DBI, 60.0, 60.0, 20.0 };
  const DwnSheetBand honest = { 470, 608, 10.0, DWN_GAIN_DBI, 60.0, 60.0, 20.0 };

  command (fixture, "antennas.browse", -1);
  command (fixture, "antennas.sheet", -1);
  DwnAntennaSheetForm *form = DWN_ANTENNA_SHEET_FORM (example_find (fixture->panel, DWN_TYPE_ANTENNA_SHEET_FORM, NULL));
  dwn_antenna_sheet_form_set_name (form, "Shed panel");
  dwn_antenna_sheet_form_set_band (form, 0, &boast);
  g_assert_nonnull (strstr (dwn_antenna_sheet_form_warnings (form), "optimistic"));
  dwn_antenna_sheet_form_set_band (form, 0, &honest);
  g_assert_cmpstr (dwn_antenna_sheet_form_warnings (form), ==, "");
  command (fixture, "antennas.sheet-save", -1);
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (fixture->panel)), ==, "catalogue");
  g_assert_cmpstr (dwn_antenna_browser_pattern (browser (fixture))->id, ==, "shed-panel");
  g_assert_cmpfloat_with_epsilon (dwn_pattern_max_gain_dbi (dwn_antenna_browser_pattern (browser (fixture)), 539.0),
                                  10.0, 0.01);
  g_autofree char *folder = dwn_catalogue_personal_folder ();
  g_autofree char *path = g_build_filename (folder, "shed-panel.antenna", NULL);
  g_assert_true (g_file_test (path, G_FILE_TEST_EXISTS));
}

static void
test_sheet_refuses (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.browse", -1);
  command (fixture, "antennas.sheet", -1);
  DwnAntennaSheetForm *form = DWN_ANTENNA_SHEET_FORM (example_find (fixture->panel, DWN_TYPE_ANTENNA_SHEET_FORM, NULL));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_antenna_sheet_form_antenna (form, &error));
  g_assert_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_MISSING);
  command (fixture, "antennas.sheet-save", -1);
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (fixture->panel)), ==, "sheet");
  command (fixture, "antennas.back", -1);
  g_assert_cmpstr (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (fixture->panel)), ==, "catalogue");
}

static gboolean
import (Fixture *fixture, const char *name, const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);

  g_assert_true (g_file_set_contents (path, text, -1, &error));
  gboolean done = dwn_antennas_panel_import (DWN_ANTENNAS_PANEL (fixture->panel), file);
  example_settle ();
  g_unlink (path);
  g_rmdir (folder);
  return done;
}

static void
test_import (Fixture *fixture, gconstpointer data)
{
  g_assert_true (import (fixture, "Barn antenna.csv", "azimuth,500\n0,10\n90,0\n180,-10\n270,-2\n"));
  const DwnPattern *pattern = dwn_antenna_browser_pattern (browser (fixture));
  g_assert_cmpstr (pattern->id, ==, "barn-antenna");
  g_assert_cmpfloat (dwn_pattern_gain_dbi (pattern, 90.0, 500.0), ==, 0.0);
  g_assert_false (import (fixture, "broken.csv", "azimuth,500\n0,ten\n"));
  g_assert_false (import (fixture, "dipole.csv", "azimuth,500\n0,10\n90,0\n180,-10\n270,-2\n")); /* the program's */
}

/* Every control of every page has a name. */
static void
assert_named (GtkWidget *widget)
{
  if (gtk_widget_get_focusable (widget) && gtk_widget_get_visible (widget)
      && (GTK_IS_ENTRY (widget) || GTK_IS_SPIN_BUTTON (widget) || GTK_IS_DROP_DOWN (widget) || GTK_IS_LIST_BOX (widget)))
    g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL));
  if (GTK_IS_SPIN_BUTTON (widget) || GTK_IS_DROP_DOWN (widget))
    return;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    assert_named (child);
}

static void
test_named (Fixture *fixture, gconstpointer data)
{
  command (fixture, "antennas.browse", -1);
  command (fixture, "antennas.sheet", -1);
  assert_named (fixture->panel);
}

static void
test_narrow (Fixture *fixture, gconstpointer data)
{
  int minimum;

  command (fixture, "antennas.browse", -1);
  command (fixture, "antennas.sheet", -1);
  for (guint i = 0; i < 3; i++)
    {
      gtk_widget_measure (fixture->panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
      g_assert_cmpint (minimum, <=, 360);
      command (fixture, "antennas.back", -1);
    }
}

int
main (int argc, char **argv)
{
  /* A catalogue of its own, so that no other test finds what is saved here. */
  g_autofree char *home = g_build_filename (g_getenv ("G_TEST_BUILDDIR"), "xdg-antennas", NULL);

  g_setenv ("XDG_DATA_HOME", home, TRUE);
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/app/antennas-panel/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("cards", test_cards);
  ADD ("edit", test_edit);
  ADD ("follows-drag", test_follows_drag);
  ADD ("search", test_search);
  ADD ("frequency", test_frequency);
  ADD ("preview", test_preview);
  ADD ("replace", test_replace);
  ADD ("remove-and-add", test_remove_and_add);
  ADD ("hybrid", test_hybrid);
  ADD ("joined", test_joined);
  ADD ("stacked", test_stacked);
  ADD ("sheet", test_sheet);
  ADD ("sheet-refuses", test_sheet_refuses);
  ADD ("import", test_import);
  ADD ("named", test_named);
  ADD ("narrow", test_narrow);
  return g_test_run ();
}
