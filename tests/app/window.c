/* The window in process, under a virtual display: open, turn, undo, mark, save, print. */
#include <glib/gstdio.h>
#include <gtk/gtk.h>
#include <math.h>

#include "app/comparer.h"
#include "app/document.h"
#include "app/panels.h"
#include "app/rose-children.h"
#include "app/rose-widget.h"
#include "app/sheet-print.h"
#include "app/station-order.h"
#include "app/stations-panel.h"
#include "app/window-private.h"
#include "core/plan/document.h"
#include "example.h"

typedef ExampleWindow Fixture;

static double
aim (Fixture *fixture, guint antenna)
{
  return dwn_document_findings (fixture->document).aim_deg[antenna];
}

static void
test_opens (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpstr (gtk_window_get_title (GTK_WINDOW (fixture->window)), ==, "Thistledown");
  g_assert_false (dwn_document_is_modified (fixture->document));
  g_assert_nonnull (example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL));
  g_assert_nonnull (example_find (GTK_WIDGET (fixture->window), DWN_TYPE_STATIONS_PANEL, NULL));
}

/* A drag previews many times and is one step of undo. */
static void
test_drag (Fixture *fixture, gconstpointer data)
{
  double before = aim (fixture, 0);

  for (guint i = 1; i <= 20; i++)
    dwn_document_preview_aim (fixture->document, 0, before + i);
  g_assert_cmpfloat (aim (fixture, 0), ==, before + 20.0);
  g_assert_false (dwn_document_is_modified (fixture->document));
  dwn_document_keep_aims (fixture->document);
  g_assert_true (dwn_document_is_modified (fixture->document));
  g_assert_cmpfloat (dwn_document_plan (fixture->document)->aims->aim_deg[0], ==, before + 20.0);
  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.undo", NULL);
  g_assert_cmpfloat (aim (fixture, 0), ==, before);
  g_assert_false (dwn_document_is_modified (fixture->document));
  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.redo", NULL);
  g_assert_cmpfloat (aim (fixture, 0), ==, before + 20.0);
}

/* Presses of a key in a row are one step of undo, a drag after them is another. */
static void
test_keys_turn (Fixture *fixture, gconstpointer data)
{
  GtkWidget *rose = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL);
  double before = aim (fixture, 0);

  for (guint i = 0; i < 3; i++)
    dwn_rose_widget_turn (DWN_ROSE_WIDGET (rose), 5.0);
  g_assert_cmpfloat (aim (fixture, 0), ==, before + 15.0);
  dwn_document_preview_aim (fixture->document, 0, before + 20.0);
  dwn_document_keep_aims (fixture->document);
  dwn_document_undo (fixture->document);
  g_assert_cmpfloat (aim (fixture, 0), ==, before + 15.0);
  dwn_document_undo (fixture->document);
  g_assert_cmpfloat (aim (fixture, 0), ==, before);
  g_assert_false (dwn_document_is_modified (fixture->document));
}

/* Every station once, each mast named once before its own, wanted masts first. */
static void
test_list_order (Fixture *fixture, gconstpointer data)
{
  DwnFindings findings = dwn_document_findings (fixture->document);
  g_autoptr (GListStore) items = dwn_stations_in_order (&findings, &(DwnStationQuery) { .band = -1 });
  guint n_stations = 0, n_masts = 0;
  gboolean unwanted_seen = FALSE, mast_wanted = FALSE;

  for (guint k = 0; k < g_list_model_get_n_items (G_LIST_MODEL (items)); k++)
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (G_LIST_MODEL (items), k);
      const DwnStation *station = &findings.plan->stations->station[dwn_station_item_station (item)];
      gboolean wanted = dwn_station_wanted (station, findings.plan->services) != DWN_WANTED_NO;

      n_stations += dwn_station_item_is_mast (item) ? 0 : 1;
      n_masts += dwn_station_item_is_mast (item) ? 1 : 0;
      if (dwn_station_item_is_mast (item))
        {
          mast_wanted = wanted;
          g_assert_false (unwanted_seen && wanted);
          unwanted_seen |= !wanted;
        }
      else if (wanted)
        g_assert_true (mast_wanted);
    }
  g_assert_cmpuint (n_stations, ==, findings.plan->stations->n);
  g_assert_cmpuint (n_masts, ==, 5);
}

static void
test_mark (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) marked = dwn_plan_with_wanted (dwn_document_plan (fixture->document), "tarnlight",
                                                     DWN_WANTED_MUST);
  int service = dwn_services_find (marked->services, "tarnlight");

  g_assert_true (dwn_document_edit (fixture->document, marked, "Mark", NULL, NULL));
  g_assert_cmpint (dwn_document_plan (fixture->document)->services->service[service].wanted, ==, DWN_WANTED_MUST);
  dwn_document_undo (fixture->document);
  g_assert_cmpint (dwn_document_plan (fixture->document)->services->service[service].wanted, ==, DWN_WANTED_NO);
}

static void
test_save (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, "kept.downlead", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);

  dwn_document_preview_aim (fixture->document, 1, 300.0);
  dwn_document_keep_aims (fixture->document);
  g_assert_true (dwn_document_save (fixture->document, file, &error));
  g_assert_no_error (error);
  g_assert_false (dwn_document_is_modified (fixture->document));
  g_autoptr (DwnPlan) again = dwn_plan_load (path, fixture->tables->parts, fixture->tables->catalogue, NULL,
                                             &error);
  g_assert_no_error (error);
  g_assert_cmpfloat (again->aims->aim_deg[1], ==, 300.0);
  g_unlink (path);
  g_rmdir (folder);
}

static void
test_cannot_save (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GFile) file = g_file_new_for_path ("/proc/none/kept.downlead");
  g_autoptr (GError) error = NULL;

  dwn_document_preview_aim (fixture->document, 0, 10.0);
  dwn_document_keep_aims (fixture->document);
  g_assert_false (dwn_document_save (fixture->document, file, &error));
  g_assert_nonnull (error);
  g_assert_true (dwn_document_is_modified (fixture->document));
  g_assert_cmpfloat (aim (fixture, 0), ==, 10.0);
}

static void
test_print (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, "sheet.pdf", NULL);
  g_autofree char *bytes = NULL;
  gsize size;

  g_assert_true (dwn_page_print (GTK_WINDOW (fixture->window), fixture->document, DWN_PAGE_SHEET, path, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_get_contents (path, &bytes, &size, &error));
  g_assert_cmpuint (size, >, 5000);
  g_assert_true (g_str_has_prefix (bytes, "%PDF"));
  g_unlink (path);
  g_rmdir (folder);
}

/* A row for each station at each outlet, under the names that DESIGN gives the command line's columns;
 * as many lines of parts as the list has. */
static void
test_tables (Fixture *fixture, gconstpointer data)
{
  static const char header[] = "station,rf,mhz,band,bearing_deg,distance_m,wanted,outlet,field_dbuv_m,antenna_dbi,"
                               "level_dbm,noise_dbm,cn_db,needed_db,margin_db,sigma_db,chance_pct,limit,";
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_autofree char *path = g_build_filename (folder, "table.csv", NULL);
  g_autofree char *stations = NULL, *parts = NULL;
  DwnFindings findings = dwn_document_findings (fixture->document);

  g_assert_true (dwn_window_write_table (fixture->window, "stations", path, &error));
  g_assert_true (g_file_get_contents (path, &stations, NULL, &error));
  g_assert_true (g_str_has_prefix (stations, header));
  g_auto (GStrv) rows = g_strsplit (stations, "\r\n", -1);
  g_assert_cmpuint (g_strv_length (rows), ==, 2 + findings.budget->n_stations * findings.budget->n_outlets);
  g_auto (GStrv) first = g_strsplit (rows[1], ",", -1);
  g_assert_cmpstr (first[0], ==, findings.plan->stations->station[0].id);
  g_assert_cmpfloat_with_epsilon (g_ascii_strtod (first[14], NULL), findings.budget->reception[0].margin_db, 1e-9);
  g_assert_true (dwn_window_write_table (fixture->window, "parts", path, &error));
  g_assert_true (g_file_get_contents (path, &parts, NULL, &error));
  g_assert_true (g_str_has_prefix (parts, "item,type,kind,count,"));
  g_unlink (path);
  g_rmdir (folder);
  g_assert_false (dwn_window_write_table (fixture->window, "parts", "/proc/none/table.csv", &error));
  g_assert_nonnull (error);
}

/* Every control that can be reached has a name. */
static guint
count_unnamed (GtkWidget *widget)
{
  guint unnamed = 0;

  if (GTK_IS_BUTTON (widget) && gtk_widget_get_child_visible (widget))
    {
      const char *label = gtk_button_get_label (GTK_BUTTON (widget));
      if (label == NULL && gtk_widget_get_tooltip_text (widget) == NULL
          && !gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL)
          && gtk_widget_get_ancestor (widget, GTK_TYPE_MENU_BUTTON) == NULL
          && gtk_widget_get_ancestor (widget, GTK_TYPE_DROP_DOWN) == NULL
          && gtk_widget_get_ancestor (widget, GTK_TYPE_SPIN_BUTTON) == NULL
          && gtk_widget_get_ancestor (widget, GTK_TYPE_WINDOW_CONTROLS) == NULL)
        {
          g_test_message ("unnamed %s in %s", G_OBJECT_TYPE_NAME (widget), G_OBJECT_TYPE_NAME (gtk_widget_get_parent (widget)));
          unnamed++;
        }
    }
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    unnamed += count_unnamed (child);
  return unnamed;
}

static void
test_named (Fixture *fixture, gconstpointer data)
{
  GtkWidget *rose = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL);

  g_assert_cmpuint (count_unnamed (GTK_WIDGET (fixture->window)), ==, 0);
  gtk_test_accessible_assert_property (rose, GTK_ACCESSIBLE_PROPERTY_LABEL, "Rose of stations and aims");
  g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (rose), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION));
}

/* Each panel opens, and nothing in it is without a name. */
static void
test_panels (Fixture *fixture, gconstpointer data)
{
  const char *const *ids = dwn_panel_ids ();

  dwn_document_select (fixture->document, 0);
  for (guint i = 0; ids[i] != NULL; i++)
    {
      gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.panel", "s", ids[i]);
      example_settle ();
      DwnPanels *panels = DWN_PANELS (example_find (GTK_WIDGET (fixture->window), DWN_TYPE_PANELS, NULL));
      g_assert_cmpstr (dwn_panels_shown (panels), ==, ids[i]);
      g_assert_cmpuint (count_unnamed (GTK_WIDGET (panels)), ==, 0);
      g_autofree char *name = g_strconcat (dwn_panel_help (ids[i]), ".page", NULL);
      g_autofree char *page = g_test_build_filename (G_TEST_DIST, "..", "help", "C", name, NULL);
      g_assert_true (g_file_test (page, G_FILE_TEST_EXISTS));
    }
}

static guint
count (GtkWidget *widget, GType type)
{
  guint n = G_TYPE_CHECK_INSTANCE_TYPE (widget, type) ? 1 : 0;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    n += count (child, type);
  return n;
}

/* A slider an antenna, a list item a station, each with a name; the slider turns the antenna. */
static void
test_rose_children (Fixture *fixture, gconstpointer data)
{
  GtkWidget *rose = example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL);

  for (guint i = 0; i < 200 && count (rose, DWN_TYPE_STATION_MARK) < 9; i++)
    {
      g_usleep (5000);
      example_settle ();
    }
  g_assert_cmpuint (count (rose, DWN_TYPE_AIM_HANDLE), ==, 2);
  g_assert_cmpuint (count (rose, DWN_TYPE_STATION_MARK), ==, 9);
  GtkWidget *aim_handle = example_find (rose, DWN_TYPE_AIM_HANDLE, NULL), *mark = example_find (rose, DWN_TYPE_STATION_MARK, NULL);
  gtk_test_accessible_assert_role (aim_handle, GTK_ACCESSIBLE_ROLE_SLIDER);
  gtk_test_accessible_assert_role (mark, GTK_ACCESSIBLE_ROLE_LIST_ITEM);
  g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (mark), GTK_ACCESSIBLE_PROPERTY_LABEL));
  gtk_range_set_value (GTK_RANGE (aim_handle), 200.0);
  g_assert_cmpfloat (aim (fixture, 0), ==, 200.0);
  g_signal_emit_by_name (aim_handle, "move-slider", GTK_SCROLL_PAGE_FORWARD);
  g_assert_cmpfloat (aim (fixture, 0), ==, 205.0);
  gtk_range_set_value (GTK_RANGE (aim_handle), 359.0);
  g_signal_emit_by_name (aim_handle, "move-slider", GTK_SCROLL_STEP_FORWARD);
  g_assert_cmpfloat (aim (fixture, 0), ==, 0.0);
  g_signal_emit_by_name (mark, "clicked");
  g_assert_cmpint (dwn_document_selected (fixture->document), >=, 0);
}

static void
await_comparison (Fixture *fixture)
{
  DwnComparer *comparer = dwn_comparer_of (fixture->document);

  dwn_comparer_refresh (comparer);
  for (guint i = 0; i < 2000 && dwn_comparer_is_busy (comparer); i++)
    {
      g_usleep (5000);
      example_settle ();
    }
}

/* Every page can be laid out once a station is chosen; those of a station say so without one. */
static void
test_pages (Fixture *fixture, gconstpointer data)
{
  PangoContext *text = dwn_page_text ();
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_page_scene (fixture->document, DWN_PAGE_CUSTOMER, DWN_PAPER_A4, text, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  g_clear_error (&error);
  dwn_document_select (fixture->document, 0);
  await_comparison (fixture);
  for (guint page = 0; page < DWN_N_PAGES; page++)
    {
      DwnPage back;
      g_autoptr (DwnScene) scene = dwn_page_scene (fixture->document, (DwnPage) page, DWN_PAPER_A4, text, &error);
      g_assert_no_error (error);
      g_assert_true (dwn_scene_extents (scene, DWN_LAYER_ALL, NULL));
      g_assert_true (dwn_page_from_id (dwn_page_id ((DwnPage) page), &back) && back == (DwnPage) page);
      gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.preview", "s", dwn_page_id ((DwnPage) page));
      example_settle ();
    }
  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.back", NULL);
  g_object_unref (text);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/app/window/" name, Fixture, NULL, example_window_open, function, example_window_close)
  ADD ("opens", test_opens);
  ADD ("drag", test_drag);
  ADD ("keys-turn", test_keys_turn);
  ADD ("list-order", test_list_order);
  ADD ("mark", test_mark);
  ADD ("save", test_save);
  ADD ("cannot-save", test_cannot_save);
  ADD ("print", test_print);
  ADD ("tables", test_tables);
  ADD ("named", test_named);
  ADD ("panels", test_panels);
  ADD ("rose-children", test_rose_children);
  ADD ("pages", test_pages);
  return g_test_run ();
}
