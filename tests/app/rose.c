/* What the rose shows can be switched, and copied as a picture; the keys are listed. */
#include <math.h>
#include <string.h>

#include "app/rose-widget.h"
#include "app/shortcuts.h"
#include "app/window.h"
#include "draw/plan-view.h"
#include "example.h"

/* Cairo numbers the parts of its SVGs through a whole run. */
#define NUMBERING 100

typedef ExampleWindow Fixture;

static GtkWidget *
rose_of (Fixture *fixture)
{
  return example_find (GTK_WIDGET (fixture->window), DWN_TYPE_ROSE_WIDGET, NULL);
}

static gsize
picture_size (Fixture *fixture)
{
  g_autoptr (DwnScene) scene = dwn_rose_widget_picture (DWN_ROSE_WIDGET (rose_of (fixture)), 600.0);
  g_autoptr (GBytes) svg = dwn_scene_to_bytes (scene, ".svg", NULL);

  return g_bytes_get_size (svg);
}

/* Each action switches its own property, and each makes another picture. */
static void
test_layers (Fixture *fixture, gconstpointer data)
{
  static const struct {
    const char *action, *property;
    gboolean at_first;
  } layers[] = { { "rose-skyline", "skyline", TRUE }, { "rose-patterns", "patterns", TRUE },
                 { "rose-sun", "sun", FALSE } };

  for (gsize i = 0; i < G_N_ELEMENTS (layers); i++)
    {
      gboolean before, after;
      gsize as_before = picture_size (fixture), then;

      g_object_get (rose_of (fixture), layers[i].property, &before, NULL);
      g_assert_cmpint (before, ==, layers[i].at_first);
      g_action_group_activate_action (G_ACTION_GROUP (fixture->window), layers[i].action, NULL);
      example_settle ();
      g_object_get (rose_of (fixture), layers[i].property, &after, NULL);
      g_assert_cmpint (after, !=, before);
      then = picture_size (fixture);
      if (before)
        g_assert_cmpuint (then, <, as_before - NUMBERING);
      else
        g_assert_cmpuint (then, >, as_before + NUMBERING);
      g_action_group_activate_action (G_ACTION_GROUP (fixture->window), layers[i].action, NULL);
      g_assert_cmpuint (picture_size (fixture), >, as_before - NUMBERING);
      g_assert_cmpuint (picture_size (fixture), <, as_before + NUMBERING);
    }
}

static void
test_copy (Fixture *fixture, gconstpointer data)
{
  GdkClipboard *clipboard = gtk_widget_get_clipboard (rose_of (fixture));
  g_autoptr (GError) error = NULL;

  gtk_widget_activate_action (GTK_WIDGET (fixture->window), "win.copy-rose", NULL);
  GdkContentFormats *formats = gdk_clipboard_get_formats (clipboard);
  g_assert_true (gdk_content_formats_contain_mime_type (formats, "image/png"));
  g_assert_true (gdk_content_formats_contain_mime_type (formats, "image/svg+xml"));
}

/* The pixels are a real picture: read by the image loader, twice as fine as the units. */
static void
test_picture (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnScene) scene = dwn_rose_widget_picture (DWN_ROSE_WIDGET (rose_of (fixture)), 500.0);
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) png = dwn_scene_to_bytes (scene, ".png", &error);
  g_assert_no_error (error);
  g_autoptr (GdkTexture) texture = gdk_texture_new_from_bytes (png, &error);

  g_assert_no_error (error);
  g_assert_cmpint (gdk_texture_get_width (texture), ==, 1000);
  g_assert_null (dwn_scene_to_bytes (scene, ".gif", &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED);
}

/* Switched on, the sun's way is drawn whatever the plan says of its clocks. */
static void
test_zones (Fixture *fixture, gconstpointer data)
{
  static const char *const zones[] = { "", "America/Denver", "+05:45" };

  for (gsize i = 0; i < G_N_ELEMENTS (zones); i++)
    {
      DwnSite site = *dwn_document_plan (fixture->document)->site;
      gsize without = picture_size (fixture);

      site.time_zone = zones[i];
      g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (fixture->document), &site);
      g_assert_true (dwn_document_edit (fixture->document, plan, "Zone", NULL, NULL));
      g_object_set (rose_of (fixture), "sun", TRUE, NULL);
      g_assert_cmpuint (picture_size (fixture), >, without + NUMBERING);
      g_object_set (rose_of (fixture), "sun", FALSE, NULL);
    }
}

/* At the equinox the sun rises in the east and sets in the west, is up for half the day, and at noon
 * of the zone's meridian it stands in the south. Source: the meaning of equinox; 20 March 2026 (US
 * Naval Observatory, Earth's Seasons). A step of 10 minutes is 2.5° of the sky's turn. */
static void
test_sun (Fixture *fixture, gconstpointer data)
{
  const DwnDate equinox = { 2026, 3, 20 };
  DwnFindings findings = dwn_document_findings (fixture->document);
  DwnPlanView view;
  double zone_h = round (findings.plan->site->at.lon_deg / 15.0);
  g_autofree char *offset = g_strdup_printf ("%c%02d:00", zone_h < 0 ? '-' : '+', abs ((int) zone_h));
  guint n_hours = 0;

  dwn_plan_view_init (&view, dwn_document_wording (fixture->document), &findings, dwn_document_base (fixture->document));
  view.sun_date = &equinox;
  view.sun_zone = g_time_zone_new_identifier (offset);
  g_autoptr (DwnPlanRose) rose = dwn_plan_rose_new (&view);
  g_assert_cmpuint (rose->data.n_sun, >=, 70);
  g_assert_cmpuint (rose->data.n_sun, <=, 76);
  g_assert_cmpfloat (fabs (rose->data.sun[0].azimuth_deg - 90.0), <, 3.5);
  g_assert_cmpfloat (fabs (rose->data.sun[rose->data.n_sun - 1].azimuth_deg - 270.0), <, 3.5);
  for (guint i = 0; i < rose->data.n_sun; i++)
    {
      n_hours += rose->data.sun[i].hour ? 1 : 0;
      if (g_strcmp0 (rose->data.sun[i].label, "12:00") == 0) /* up to half an hour and the equation of time off */
        g_assert_cmpfloat (fabs (rose->data.sun[i].azimuth_deg - 180.0), <, 15.0);
    }
  g_assert_cmpuint (n_hours, >=, 11);
  g_assert_cmpuint (n_hours, <=, 13);
  g_time_zone_unref (view.sun_zone);
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

/* Every key of the list is one that GTK can read. */
static void
test_shortcuts (Fixture *fixture, gconstpointer data)
{
  GtkWindow *window = dwn_shortcuts_window_new (GTK_WINDOW (fixture->window));

  /* Not presented: GTK 4.8 warns of its own page numbers then. */
  g_assert_cmpuint (count (GTK_WIDGET (window), GTK_TYPE_SHORTCUTS_GROUP), >=, 6);
  g_assert_cmpuint (count (GTK_WIDGET (window), GTK_TYPE_SHORTCUTS_SHORTCUT), >=, 30);
  gtk_window_destroy (window);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) g_test_add ("/app/rose/" name, Fixture, NULL, example_window_open, function, example_window_close)
  ADD ("layers", test_layers);
  ADD ("copy", test_copy);
  ADD ("picture", test_picture);
  ADD ("sun", test_sun);
  ADD ("zones", test_zones);
  ADD ("shortcuts", test_shortcuts);
  return g_test_run ();
}
