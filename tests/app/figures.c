/* Figures of a plan that are rarely needed, edited in the window: what disturbs the amplifiers, capped
 * ends, antennas without a balun, and an antenna of one's own right after it was saved. */
#include <glib/gstdio.h>
#include <math.h>

#include "app/gear-edit.h"
#include "app/gear-editor.h"
#include "app/unwanted-section.h"
#include "app/wiring-panel.h"
#include "core/plan/document.h"
#include "example.h"

typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  GtkWidget *section;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_open (&fixture->tables, &fixture->document);
  fixture->section = dwn_unwanted_section_new (fixture->document);
  example_show (fixture->section);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  example_take_away (fixture->tables, fixture->document);
}

static const DwnUnwanted *
unwanted (Fixture *fixture, guint i)
{
  const DwnSite *site = dwn_document_plan (fixture->document)->site;

  g_assert_cmpuint (site->n_unwanted, >, i);
  return &site->unwanted[i];
}

/* Rows are made anew when nothing else waits. */
static GtkWidget *
wait_for (GtkWidget *section, GType type, const char *name)
{
  GtkWidget *found = NULL;

  for (guint i = 0; i < 400 && (found = example_find (section, type, name)) == NULL; i++)
    {
      example_settle ();
      g_usleep (5000);
    }
  g_assert_nonnull (found);
  return found;
}

/* What an expander hides is not among its children. */
static void
unfold (Fixture *fixture)
{
  gtk_expander_set_expanded (GTK_EXPANDER (wait_for (fixture->section, GTK_TYPE_EXPANDER, NULL)), TRUE);
  example_settle ();
}

static void
enter (GtkWidget *section, const char *name, const char *text)
{
  GtkWidget *entry = wait_for (section, GTK_TYPE_ENTRY, name);

  gtk_editable_set_text (GTK_EDITABLE (entry), text);
  g_signal_emit_by_name (entry, "activate");
  example_settle ();
}

/* What the file keeps of the plan. */
static DwnPlan *
saved (Fixture *fixture)
{
  g_autoptr (GBytes) bytes = dwn_plan_write (dwn_document_plan (fixture->document), fixture->tables->catalogue);
  g_autoptr (GError) error = NULL;
  DwnPlan *plan = dwn_plan_read (bytes, "again", fixture->tables->parts, fixture->tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

static void
test_add (Fixture *fixture, gconstpointer data)
{
  GtkWidget *add = example_find (fixture->section, GTK_TYPE_BUTTON, "Add a disturber: FM, mobile…");

  g_assert_cmpuint (dwn_document_plan (fixture->document)->site->n_unwanted, ==, 0);
  g_signal_emit_by_name (add, "clicked");
  example_settle ();
  g_assert_cmpstr (unwanted (fixture, 0)->group, ==, "fm-town");
  GtkWidget *expander = example_find (fixture->section, GTK_TYPE_EXPANDER, NULL);
  g_assert_true (gtk_expander_get_expanded (GTK_EXPANDER (expander)));
  dwn_document_undo (fixture->document);
  example_settle ();
  g_assert_null (example_find (fixture->section, GTK_TYPE_EXPANDER, NULL));
}

/* A station of known frequency; what it cannot be without stays. */
static void
test_carrier (Fixture *fixture, gconstpointer data)
{
  dwn_unwanted_add (fixture->document, "fm-town");
  example_settle ();
  unfold (fixture);
  GtkWidget *kind = wait_for (fixture->section, GTK_TYPE_DROP_DOWN, "What");
  gtk_drop_down_set_selected (GTK_DROP_DOWN (kind),
                              g_list_model_get_n_items (gtk_drop_down_get_model (GTK_DROP_DOWN (kind))) - 1);
  example_settle ();
  g_assert_null (unwanted (fixture, 0)->group);
  enter (fixture->section, "Frequency", "104.9");
  enter (fixture->section, "Field at the house", "");
  g_assert_cmpfloat (unwanted (fixture, 0)->mhz, ==, 104.9);
  g_assert_false (isnan (unwanted (fixture, 0)->field_dbuv_m));
  enter (fixture->section, "or power (ERP)", "12.5");
  enter (fixture->section, "at a distance of", "3400");
  enter (fixture->section, "Field at the house", "");
  enter (fixture->section, "Name", "Hill FM");
  g_autoptr (DwnPlan) plan = saved (fixture);
  g_assert_cmpuint (plan->site->n_unwanted, ==, 1);
  g_assert_cmpfloat (plan->site->unwanted[0].erp_kw, ==, 12.5);
  g_assert_cmpfloat (plan->site->unwanted[0].distance_m, ==, 3400.0);
  g_assert_true (isnan (plan->site->unwanted[0].field_dbuv_m));
  g_assert_cmpstr (plan->site->unwanted[0].name, ==, "Hill FM");
}

static void
test_remove (Fixture *fixture, gconstpointer data)
{
  dwn_unwanted_add (fixture->document, "fm-near");
  dwn_unwanted_add (fixture->document, "mobile-eu-800");
  example_settle ();
  unfold (fixture);
  g_signal_emit_by_name (wait_for (fixture->section, GTK_TYPE_BUTTON, "Remove"), "clicked");
  example_settle ();
  g_assert_cmpuint (dwn_document_plan (fixture->document)->site->n_unwanted, ==, 1);
  g_assert_cmpstr (unwanted (fixture, 0)->group, ==, "mobile-eu-800");
}

static guint
first_of (const DwnChain *gear, DwnPartKind kind)
{
  for (guint i = 0; i < gear->n_parts; i++)
    if (gear->part[i].kind == kind)
      return i;
  g_assert_not_reached ();
}

/* Presses the first part of @kind until its editor shows @name: at first nothing has a place yet. */
static GtkWidget *
edit (Fixture *fixture, GtkWidget *panel, DwnPartKind kind, GType type, const char *name)
{
  DwnGearCanvas *canvas = DWN_GEAR_CANVAS (example_find (panel, DWN_TYPE_GEAR_CANVAS, NULL));
  guint part = first_of (dwn_document_plan (fixture->document)->gear, kind);
  GtkWidget *found = NULL;

  for (guint i = 0; i < 400 && found == NULL; i++)
    {
      g_signal_emit_by_name (dwn_gear_canvas_part (canvas, part), "clicked");
      example_settle ();
      GtkWidget *editor = example_find (panel, DWN_TYPE_GEAR_EDITOR, NULL);
      found = editor != NULL ? example_find (editor, type, name) : NULL;
      g_usleep (found == NULL ? 5000 : 0);
    }
  g_assert_nonnull (found);
  return found;
}

static GtkWidget *
panel_new (Fixture *fixture)
{
  GtkWidget *panel = dwn_wiring_panel_new (fixture->document);
  GtkWidget *canvas = example_find (panel, DWN_TYPE_GEAR_CANVAS, NULL);

  gtk_window_set_child (GTK_WINDOW (example_window ()), panel);
  for (guint i = 0; i < 400 && gtk_widget_get_width (canvas) == 0; i++)
    {
      example_settle (); /* until the frame clock has laid it out */
      g_usleep (5000);
    }
  return panel;
}

/* Both go through the file and back. */
static void
test_capped_and_feed (Fixture *fixture, gconstpointer data)
{
  GtkWidget *panel = panel_new (fixture);
  GtkWidget *check = edit (fixture, panel, DWN_PART_SPLITTER, GTK_TYPE_CHECK_BUTTON, "Open ends are capped");
  gboolean before = gtk_check_button_get_active (GTK_CHECK_BUTTON (check));
  gtk_check_button_set_active (GTK_CHECK_BUTTON (check), !before);
  example_settle ();
  edit (fixture, panel, DWN_PART_ANTENNA, GTK_TYPE_ENTRY, "Feed without balun, \xCE\xA9");
  enter (panel, "Feed without balun, \xCE\xA9", "300");
  g_autoptr (DwnPlan) plan = saved (fixture);
  g_assert_cmpint (plan->gear->part[first_of (plan->gear, DWN_PART_SPLITTER)].capped, ==, !before);
  g_assert_cmpfloat (plan->gear->part[first_of (plan->gear, DWN_PART_ANTENNA)].feed_ohm, ==, 300.0);
}

/* A table of gain that was taken in is among the antennas of the gear's editor at once. */
static void
test_own_antenna (Fixture *fixture, gconstpointer data)
{
  const char *table = g_test_get_filename (G_TEST_DIST, "fuzz", "corpus", "pattern-table", "relative", NULL);
  g_autofree char *folder = g_dir_make_tmp ("downlead-figures-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "found-in-a-drawer.csv", NULL);
  g_autofree char *text = NULL, *kept = dwn_catalogue_personal_folder ();
  g_autofree char *own = g_build_filename (kept, "found-in-a-drawer.antenna", NULL);
  GtkWidget *panel = panel_new (fixture);
  g_autoptr (GError) error = NULL;
  gboolean found = FALSE;

  g_assert_true (g_file_get_contents (table, &text, NULL, NULL));
  g_assert_true (g_file_set_contents (path, text, -1, NULL));
  g_autoptr (DwnAntenna) antenna = dwn_antenna_load (path, NULL, &error);
  g_assert_no_error (error);
  g_assert_true (dwn_catalogue_save_personal (antenna, &error));
  g_assert_no_error (error);
  GtkDropDown *choice = GTK_DROP_DOWN (edit (fixture, panel, DWN_PART_ANTENNA, GTK_TYPE_DROP_DOWN, "Antenna"));
  GListModel *names = gtk_drop_down_get_model (choice);
  for (guint i = 0; i < g_list_model_get_n_items (names) && !found; i++)
    {
      g_autoptr (GtkStringObject) name = g_list_model_get_item (names, i);
      found = g_str_equal (gtk_string_object_get_string (name), antenna->pattern->name);
      if (found)
        gtk_drop_down_set_selected (choice, i);
    }
  g_assert_true (found);
  example_settle ();
  const DwnChain *gear = dwn_document_plan (fixture->document)->gear;
  g_assert_cmpstr (gear->part[first_of (gear, DWN_PART_ANTENNA)].type, ==, antenna->pattern->id);
  g_unlink (own);
  g_unlink (path);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) g_test_add ("/app/figures/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("add", test_add);
  ADD ("carrier", test_carrier);
  ADD ("remove", test_remove);
  ADD ("capped-and-feed", test_capped_and_feed);
  ADD ("own-antenna", test_own_antenna);
  return g_test_run ();
}
