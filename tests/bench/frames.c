/* What a person feels: the time of a frame while an aim is dragged among 400 stations, our handler
 * for it, and how soon the first frame stands against a bare window's. Needs a display. */
#include <gtk/gtk.h>
#include <math.h>
#include <stdlib.h>

#include "app/settings.h"
#include "app/window.h"
#include "core/geo/geodesic.h"
#include "core/study/new-plan.h"

#define STATIONS 400
#define FRAMES 300
#define WIDTH 1200
#define HEIGHT 900

typedef struct {
  gint64 began_us;
  GArray *frame_us, *handler_us;
  gboolean painted;
} Watch;

static int
compare (gconstpointer a, gconstpointer b)
{
  gint64 x = *(const gint64 *) a, y = *(const gint64 *) b;

  return (x > y) - (x < y);
}

static void
print (const char *what, GArray *us)
{
  g_array_sort (us, compare);
  g_print ("%-40s p50 %6.2f ms  p99 %6.2f ms  worst %6.2f ms\n", what,
           (double) g_array_index (us, gint64, us->len / 2) / 1000.0,
           (double) g_array_index (us, gint64, us->len * 99 / 100) / 1000.0,
           (double) g_array_index (us, gint64, us->len - 1) / 1000.0);
}

static DwnPlan *
plan_new (const DwnTables *tables)
{
  g_autofree DwnStation *stations = g_new0 (DwnStation, STATIONS);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, "lpda-all", NULL);
  const DwnPattern *const patterns[] = { pattern };
  const double north = 0.0;
  DwnNewPlan wish = { .name = "Bench", .place = "", .at = { 44.5, -71.5 }, .n_antennas = 1, .patterns = patterns,
                      .aim_deg = &north, .date = "2026-05-14" };
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  gsize n;
  const DwnChannel *channels = dwn_system_channels (DWN_SYSTEM_ATSC1, &n);

  for (guint i = 0; i < STATIONS; i++)
    {
      g_autofree char *id = g_strdup_printf ("s%u", i);
      const DwnChannel *channel = &channels[(guint) g_rand_int_range (rand, 0, (gint32) n)];
      stations[i] = (DwnStation) {
        .id = g_intern_string (id), .name = g_intern_string (id), .site = "", .system = DWN_SYSTEM_ATSC1,
        .rf = channel->rf, .mhz = channel->centre_mhz, .band = channel->band, .erp_kw = 100.0, .haat_m = 300.0,
        .agl_m = 100.0, .amsl_m = (double) NAN, .polarisation = DWN_POLARISATION_HORIZONTAL,
      };
      dwn_geodesic_direct (&wish.at, g_rand_double_range (rand, 0, 360), g_rand_double_range (rand, 5e3, 120e3),
                           &stations[i].at, NULL);
    }
  g_autoptr (DwnStations) own_stations = dwn_stations_new (STATIONS, stations, NULL, NULL);
  g_autoptr (DwnServices) services = dwn_services_new (0, NULL);
  wish.stations = own_stations;
  wish.services = services;
  return dwn_new_plan (&wish, tables, NULL);
}

static void
before_cb (GdkFrameClock *clock, gpointer data)
{
  ((Watch *) data)->began_us = g_get_monotonic_time ();
}

static void
after_cb (GdkFrameClock *clock, gpointer data)
{
  Watch *watch = data;
  gint64 took_us = g_get_monotonic_time () - watch->began_us;

  g_array_append_val (watch->frame_us, took_us);
  watch->painted = TRUE;
}

static void
watch_window (GtkWidget *window, Watch *watch)
{
  GdkFrameClock *clock = gtk_widget_get_frame_clock (window);

  *watch = (Watch) { .frame_us = g_array_new (FALSE, FALSE, sizeof (gint64)),
                     .handler_us = g_array_new (FALSE, FALSE, sizeof (gint64)) };
  g_signal_connect (clock, "before-paint", G_CALLBACK (before_cb), watch);
  g_signal_connect (clock, "after-paint", G_CALLBACK (after_cb), watch);
}

static void
wait_frame (Watch *watch)
{
  watch->painted = FALSE;
  while (!watch->painted)
    g_main_context_iteration (NULL, TRUE);
}

/* From nothing to the first frame. */
static double
first_frame_ms (GtkWindow *(*make) (gpointer), gpointer data)
{
  gint64 began_us = g_get_monotonic_time ();
  GtkWindow *window = make (data);
  Watch watch;

  gtk_window_set_default_size (window, WIDTH, HEIGHT);
  gtk_widget_realize (GTK_WIDGET (window));
  watch_window (GTK_WIDGET (window), &watch);
  gtk_window_present (window);
  wait_frame (&watch);
  double took_ms = (double) (g_get_monotonic_time () - began_us) / 1000.0;
  g_signal_handlers_disconnect_by_data (gtk_widget_get_frame_clock (GTK_WIDGET (window)), &watch);
  gtk_window_destroy (window);
  g_array_unref (watch.frame_us);
  g_array_unref (watch.handler_us);
  return took_ms;
}

static GtkWindow *
bare_new (gpointer data)
{
  return GTK_WINDOW (gtk_window_new ());
}

static GtkWindow *
ours_new (gpointer document)
{
  return GTK_WINDOW (dwn_window_new (NULL, document));
}

static void
drag (DwnDocument *document)
{
  GtkWidget *window = GTK_WIDGET (dwn_window_new (NULL, document));
  Watch watch;

  gtk_window_set_default_size (GTK_WINDOW (window), WIDTH, HEIGHT);
  gtk_window_present (GTK_WINDOW (window));
  for (guint i = 0; i < 3000 && g_main_context_pending (NULL); i++)
    g_main_context_iteration (NULL, FALSE);
  g_usleep (500000);
  while (g_main_context_pending (NULL))
    g_main_context_iteration (NULL, FALSE);
  watch_window (window, &watch);
  for (guint i = 0; i < FRAMES; i++)
    {
      gint64 began_us = g_get_monotonic_time ();
      dwn_document_preview_aim (document, 0, i);
      gint64 took_us = g_get_monotonic_time () - began_us;
      g_array_append_val (watch.handler_us, took_us);
      wait_frame (&watch);
    }
  print ("frame while dragging, 400 stations", watch.frame_us);
  print ("our handler for one step of it", watch.handler_us);
  g_signal_handlers_disconnect_by_data (gtk_widget_get_frame_clock (window), &watch);
  gtk_window_destroy (GTK_WINDOW (window));
  g_array_unref (watch.frame_us);
  g_array_unref (watch.handler_us);
}

int
main (void)
{
  if (!gtk_init_check ())
    {
      g_print ("no display: frames are not timed\n");
      return 77;
    }
  g_autoptr (DwnTables) tables = dwn_tables_new (NULL);
  g_autoptr (DwnDocument) document = dwn_document_new (tables);
  g_autoptr (DwnPlan) plan = plan_new (tables);

  dwn_document_take (document, plan, NULL);
  first_frame_ms (bare_new, NULL); /* loads what every window needs */
  double bare_ms = first_frame_ms (bare_new, NULL), ours_ms = first_frame_ms (ours_new, document);
  g_print ("first frame of a window with 400 stations %.1f ms, of a bare one %.1f ms\n", ours_ms, bare_ms);
  drag (document);
  return 0;
}
