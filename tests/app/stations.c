/* The station list: columns that are chosen, rows that are copied, marks that survive another import. */
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "app/import-dialog.h"
#include "app/station-columns.h"
#include "app/station-row.h"
#include "app/stations-panel.h"
#include "example.h"

typedef ExamplePanel Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_panel_show (fixture, dwn_stations_panel_new);
}

static guint
count_shown (const DwnColumnPlaces *places)
{
  guint n = 0;

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    n += isnan (places->end[c]) ? 0 : 1;
  return n;
}

/* At every width and for every choice columns stand in their order, do not meet, leave the name room, and
 * the chance is never left out. */
static void
test_places (void)
{
  for (guint chosen = 0; chosen < DWN_COLUMN_BIT (DWN_N_COLUMNS); chosen++)
    for (double width = 320.0; width <= 1400.0; width += 60.0)
      {
        DwnColumnPlaces places;
        double before = 0.0;

        dwn_columns_place (chosen, width, 1.0, &places);
        for (guint c = 0; c < DWN_N_COLUMNS; c++)
          {
            if (isnan (places.end[c]))
              continue;
            g_assert_true ((chosen & DWN_COLUMN_BIT (c)) != 0);
            g_assert_cmpfloat (places.end[c], >, before + 30.0);
            before = places.end[c];
          }
        g_assert_cmpfloat (before, <, width);
        g_assert_cmpfloat (places.name_to - places.name, >=, 100.0);
        g_assert_true ((chosen & DWN_COLUMN_BIT (DWN_COLUMN_CHANCE)) == 0 || !isnan (places.end[DWN_COLUMN_CHANCE]));
        g_assert_true (isnan (places.line_from) == isnan (places.end[DWN_COLUMN_LINE]));
        g_assert_true (width < 1400.0 || count_shown (&places) == (guint) __builtin_popcount (chosen));
      }
}

/* In type twice as large a row twice as wide shows the same, twice as large. */
static void
test_large_type (void)
{
  DwnColumnPlaces usual, large;

  dwn_columns_place (DWN_COLUMNS_USUAL, 400.0, 1.0, &usual);
  dwn_columns_place (DWN_COLUMNS_USUAL, 800.0, 2.0, &large);
  g_assert_true (large.narrow && usual.narrow);
  g_assert_cmpfloat (large.name_to, ==, 2.0 * usual.name_to);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    g_assert_true (isnan (usual.end[c]) ? isnan (large.end[c]) : large.end[c] == 2.0 * usual.end[c]);
}

static guint
station (Fixture *fixture, const char *name)
{
  const DwnStations *stations = dwn_document_plan (fixture->document)->stations;

  for (guint i = 0; i < stations->n; i++)
    if (g_str_equal (stations->station[i].name, name))
      return i;
  g_assert_not_reached ();
}

/* What stands in the example's file: RF 35 and 17.1 on the screen. */
static void
test_copy (Fixture *fixture, gconstpointer data)
{
  DwnFindings findings = dwn_document_findings (fixture->document);
  const guint rows[] = { station (fixture, "Vennacott"), station (fixture, "Quillon") };
  guint chosen = DWN_COLUMN_BIT (DWN_COLUMN_RF) | DWN_COLUMN_BIT (DWN_COLUMN_ON_SCREEN)
                 | DWN_COLUMN_BIT (DWN_COLUMN_LINE);
  g_autofree char *text = dwn_columns_copy (&dwn_wording_metric, &findings, chosen, 2, rows);

  g_assert_cmpstr (text, ==, "Station\tRF\tOn screen\nVennacott\t35\t17.1\nQuillon\t11\t3.1\n");
}

static void
text_cb (GObject *clipboard, GAsyncResult *result, gpointer data)
{
  *(char **) data = gdk_clipboard_read_text_finish (GDK_CLIPBOARD (clipboard), result, NULL);
}

static GtkSelectionModel *
selection (Fixture *fixture)
{
  return gtk_list_view_get_model (GTK_LIST_VIEW (example_find (fixture->panel, GTK_TYPE_LIST_VIEW, "Stations by mast")));
}

/* All rows, by the list's own action: one line a station and the heads; the rose keeps its station. */
static void
test_copy_rows (Fixture *fixture, gconstpointer data)
{
  char *text = NULL;
  guint lines = 0;

  dwn_document_select (fixture->document, (int) station (fixture, "Quillon"));
  gtk_selection_model_select_all (selection (fixture));
  g_assert_cmpint (dwn_document_selected (fixture->document), ==, (int) station (fixture, "Quillon"));
  gtk_widget_activate_action (fixture->panel, "stations.copy", NULL);
  gdk_clipboard_read_text_async (gtk_widget_get_clipboard (fixture->panel), NULL, text_cb, &text);
  for (guint i = 0; i < 400 && text == NULL; i++)
    {
      example_settle ();
      g_usleep (5000);
    }
  g_assert_nonnull (text);
  for (const char *at = text; (at = strchr (at, '\n')) != NULL; at++)
    lines++;
  g_assert_cmpuint (lines, ==, dwn_document_plan (fixture->document)->stations->n + 1);
  g_free (text);
}

/* One row is the rose's station, as before. */
static void
test_choose_one (Fixture *fixture, gconstpointer data)
{
  GtkSelectionModel *model = selection (fixture);

  for (guint k = 0; k < g_list_model_get_n_items (G_LIST_MODEL (model)); k++)
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (G_LIST_MODEL (model), k);
      if (dwn_station_item_is_mast (item))
        continue;
      gtk_selection_model_select_item (model, k, TRUE);
      g_assert_cmpint (dwn_document_selected (fixture->document), ==, (int) dwn_station_item_station (item));
    }
}

/* The switch of the heads' menu. */
static void
test_columns (Fixture *fixture, gconstpointer data)
{
  GtkWidget *button = example_find (fixture->panel, GTK_TYPE_MENU_BUTTON, "Choose columns");

  g_assert_nonnull (button);
  g_assert_true (gtk_widget_activate_action (button, "columns.bearing", NULL));
  g_assert_true (gtk_widget_activate_action (button, "columns.bearing", NULL));
  g_assert_false (gtk_widget_activate_action (button, "columns.nothing", NULL));
}

/* Reads @path in the dialog and takes what it brings. */
static void
bring_in (Fixture *fixture, const char *path)
{
  DwnImportDialog *dialog = dwn_import_dialog_new (NULL, fixture->document);

  dwn_import_dialog_read (dialog, (const char *const[]) { path, NULL });
  for (guint i = 0; i < 1000 && dwn_import_dialog_merge (dialog) == NULL; i++)
    {
      example_settle ();
      g_usleep (5000);
    }
  g_assert_true (dwn_import_dialog_take (dialog));
  gtk_window_destroy (GTK_WINDOW (dialog));
  example_settle ();
}

static DwnWanted
wanted (Fixture *fixture, const char *service)
{
  const DwnServices *services = dwn_document_plan (fixture->document)->services;
  int index = dwn_services_find (services, service);

  g_assert_cmpint (index, >=, 0);
  return services->service[index].wanted;
}

/* A list of two stations beside the house, brought in twice; the second time one has moved to another
 * channel and has more power. What was marked in between stays, and so does what was there before. */
static void
test_import_keeps_marks (Fixture *fixture, gconstpointer data)
{
  static const char *const list =
    "<?xml version=\"1.0\"?>\n<stations version=\"1.0\">\n"
    "  <service id=\"ferry\" name=\"Ferry Point\"/>\n"
    "  <station id=\"ferry-main\" name=\"Ferry Point\" system=\"atsc1\" rf=\"%s\" lat=\"44.70\" lon=\"-115.20\" "
    "erp-kw=\"%s\" services=\"ferry\" line=\"2\"/>\n</stations>\n";
  g_autofree char *folder = g_dir_make_tmp ("downlead-stations-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "list.xml", NULL);
  g_autofree char *first = g_strdup_printf (list, "20", "5"), *second = g_strdup_printf (list, "23", "10");
  const DwnServices *before = dwn_services_ref (dwn_document_plan (fixture->document)->services);

  g_assert_true (g_file_set_contents (path, first, -1, NULL));
  bring_in (fixture, path);
  g_assert_cmpint (wanted (fixture, "ferry"), ==, DWN_WANTED_NO);
  g_autoptr (DwnPlan) marked = dwn_plan_with_wanted (dwn_document_plan (fixture->document), "ferry", DWN_WANTED_MUST);
  g_assert_true (dwn_document_edit (fixture->document, marked, "Mark", NULL, NULL));
  g_assert_true (g_file_set_contents (path, second, -1, NULL));
  bring_in (fixture, path);
  g_assert_cmpint (wanted (fixture, "ferry"), ==, DWN_WANTED_MUST);
  guint moved = station (fixture, "Ferry Point");
  g_assert_cmpstr (dwn_document_plan (fixture->document)->stations->station[moved].rf, ==, "23");
  g_assert_cmpfloat (dwn_document_plan (fixture->document)->stations->station[moved].erp_kw, ==, 10.0);
  for (guint s = 0; s < before->n; s++)
    g_assert_cmpint (wanted (fixture, before->service[s].id), ==, before->service[s].wanted);
  dwn_services_unref ((DwnServices *) before);
  g_unlink (path);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add_func ("/app/stations/places", test_places);
  g_test_add_func ("/app/stations/large-type", test_large_type);
#define ADD(name, function) g_test_add ("/app/stations/" name, Fixture, NULL, set_up, function, example_panel_close)
  ADD ("copy", test_copy);
  ADD ("copy-rows", test_copy_rows);
  ADD ("choose-one", test_choose_one);
  ADD ("columns", test_columns);
  ADD ("import-keeps-marks", test_import_keeps_marks);
  return g_test_run ();
}
