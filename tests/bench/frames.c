/* What a person feels: the time of a frame while an aim is dragged among 400 and 2,000 stations, our
 * handler for it, and how soon the first frame stands against a bare window's. Needs a display. */
#include <gtk/gtk.h>
#include <math.h>
#include <stdlib.h>
#include <time.h>

#include "app/settings.h"
#include "app/window.h"
#include "core/geo/geodesic.h"
#include "core/study/new-plan.h"

#define FRAMES 300
#define PAIRS 7
#define WIDTH 1200
#define HEIGHT 900

/* By the clock on the wall, and by the processor's time of this thread, which other programs on the
 * machine do not lengthen. */
typedef struct {
  gint64 wall_us, cpu_us;
} Moment;

typedef struct {
  Moment began;
  GArray *frames, *handlers; /* of Moment: how long each took */
  gboolean painted;
} Watch;

static Moment
moment_now (void)
{
  struct timespec cpu;

  clock_gettime (CLOCK_THREAD_CPUTIME_ID, &cpu);
  return (Moment) { g_get_monotonic_time (), (gint64) cpu.tv_sec * G_USEC_PER_SEC + cpu.tv_nsec / 1000 };
}

static Moment
since (Moment began)
{
  Moment now = moment_now ();

  return (Moment) { now.wall_us - began.wall_us, now.cpu_us - began.cpu_us };
}

static int
compare (gconstpointer a, gconstpointer b)
{
  const gint64 *x = a, *y = b;

  return (*x > *y) - (*x < *y);
}

/* The @share of the values that is not longer, in ms. */
static double
share_ms (const GArray *moments, gboolean cpu, double share)
{
  g_autofree gint64 *us = g_new (gint64, moments->len);

  for (guint i = 0; i < moments->len; i++)
    us[i] = cpu ? g_array_index (moments, Moment, i).cpu_us : g_array_index (moments, Moment, i).wall_us;
  qsort (us, moments->len, sizeof *us, compare);
  return (double) us[MIN ((guint) (share * moments->len), moments->len - 1)] / 1000.0;
}

static void
print (const char *what, guint n_stations, const GArray *moments)
{
  g_print ("%-32s %5u stations  p50 %6.2f  p99 %6.2f  worst %6.2f ms; of the processor %6.2f  %6.2f  %6.2f ms\n",
           what, n_stations, share_ms (moments, FALSE, 0.5), share_ms (moments, FALSE, 0.99),
           share_ms (moments, FALSE, 1.0), share_ms (moments, TRUE, 0.5), share_ms (moments, TRUE, 0.99),
           share_ms (moments, TRUE, 1.0));
}

static DwnPlan *
plan_new (const DwnTables *tables, guint n_stations)
{
  g_autofree DwnStation *stations = g_new0 (DwnStation, n_stations);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, "lpda-all", NULL);
  const DwnPattern *const patterns[] = { pattern };
  const double north = 0.0;
  DwnNewPlan wish = { .name = "Bench", .place = "", .at = { 44.5, -71.5 }, .n_antennas = 1, .patterns = patterns,
                      .aim_deg = &north, .date = "2026-05-14" };
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  gsize n;
  const DwnChannel *channels = dwn_system_channels (DWN_SYSTEM_ATSC1, &n);

  for (guint i = 0; i < n_stations; i++)
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
  g_autoptr (DwnStations) own_stations = dwn_stations_new (n_stations, stations, NULL, NULL);
  g_autoptr (DwnServices) services = dwn_services_new (0, NULL);
  wish.stations = own_stations;
  wish.services = services;
  return dwn_new_plan (&wish, tables, NULL);
}

static void
before_cb (GdkFrameClock *clock, gpointer data)
{
  ((Watch *) data)->began = moment_now ();
}

static void
after_cb (GdkFrameClock *clock, gpointer data)
{
  Watch *watch = data;
  Moment took = since (watch->began);

  g_array_append_val (watch->frames, took);
  watch->painted = TRUE;
}

static void
watch_begin (Watch *watch, GtkWidget *window)
{
  GdkFrameClock *clock = gtk_widget_get_frame_clock (window);

  *watch = (Watch) { .frames = g_array_new (FALSE, FALSE, sizeof (Moment)),
                     .handlers = g_array_new (FALSE, FALSE, sizeof (Moment)) };
  g_signal_connect (clock, "before-paint", G_CALLBACK (before_cb), watch);
  g_signal_connect (clock, "after-paint", G_CALLBACK (after_cb), watch);
}

static void
watch_end (Watch *watch, GtkWidget *window)
{
  g_signal_handlers_disconnect_by_data (gtk_widget_get_frame_clock (window), watch);
  g_array_unref (watch->frames);
  g_array_unref (watch->handlers);
}

static void
wait_frame (Watch *watch)
{
  watch->painted = FALSE;
  while (!watch->painted)
    g_main_context_iteration (NULL, TRUE);
}

static GtkWidget *
bare_new (DwnDocument *document)
{
  return gtk_window_new ();
}

static GtkWidget *
ours_new (DwnDocument *document)
{
  return GTK_WIDGET (dwn_window_new (NULL, document));
}

/* From nothing to the first frame, and on to the one with rose and panels; added to @first and, where it
 * is asked for, to @whole. */
static void
first_frame (GtkWidget *(*make) (DwnDocument *document), DwnDocument *document, GArray *first, GArray *whole)
{
  Moment began = moment_now ();
  GtkWidget *window = make (document);
  Watch watch;

  gtk_window_set_default_size (GTK_WINDOW (window), WIDTH, HEIGHT);
  gtk_widget_realize (window);
  watch_begin (&watch, window);
  gtk_window_present (GTK_WINDOW (window));
  wait_frame (&watch);
  Moment took = since (began);
  g_array_append_val (first, took);
  while (whole != NULL && dwn_window_panel (DWN_WINDOW (window)) == NULL)
    g_main_context_iteration (NULL, TRUE);
  if (whole != NULL)
    {
      wait_frame (&watch);
      took = since (began);
      g_array_append_val (whole, took);
    }
  watch_end (&watch, window);
  gtk_window_destroy (GTK_WINDOW (window));
  while (g_main_context_pending (NULL))
    g_main_context_iteration (NULL, FALSE);
}

/* Ours and a bare window's in turn, so that both meet the machine in the same state. */
static void
compare_first_frames (DwnDocument *document)
{
  g_autoptr (GArray) bare = g_array_new (FALSE, FALSE, sizeof (Moment));
  g_autoptr (GArray) ours = g_array_new (FALSE, FALSE, sizeof (Moment));
  g_autoptr (GArray) whole = g_array_new (FALSE, FALSE, sizeof (Moment));

  for (guint i = 0; i < PAIRS + 1; i++)
    {
      first_frame (bare_new, document, bare, NULL);
      first_frame (ours_new, document, ours, whole);
    }
  g_array_remove_index (bare, 0); /* that loaded what every window needs */
  g_array_remove_index (ours, 0);
  for (guint cpu = 0; cpu < 2; cpu++)
    g_print ("first frame %s, median of %u pairs: ours %.1f ms, a bare window's %.1f ms, ratio %.2f; "
             "rose and panels %.1f ms\n", cpu ? "of the processor" : "on the wall", PAIRS,
             share_ms (ours, cpu, 0.5), share_ms (bare, cpu, 0.5),
             share_ms (ours, cpu, 0.5) / share_ms (bare, cpu, 0.5), share_ms (whole, cpu, 0.5));
}

/* Until marks, rows and the rest that follows the first frame are there. */
static void
settle (void)
{
  gint64 until_us = g_get_monotonic_time () + G_USEC_PER_SEC;

  while (g_get_monotonic_time () < until_us)
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (1000);
}

static void
drag (DwnDocument *document)
{
  guint n_stations = dwn_document_plan (document)->stations->n;
  GtkWidget *window = ours_new (document);
  Watch watch;

  gtk_window_set_default_size (GTK_WINDOW (window), WIDTH, HEIGHT);
  gtk_window_present (GTK_WINDOW (window));
  settle ();
  watch_begin (&watch, window);
  for (guint i = 0; i < FRAMES; i++)
    {
      Moment began = moment_now ();
      dwn_document_preview_aim (document, 0, i);
      Moment took = since (began);
      g_array_append_val (watch.handlers, took);
      wait_frame (&watch);
    }
  print ("frame while an aim is dragged", n_stations, watch.frames);
  print ("our handler for one step of it", n_stations, watch.handlers);
  watch_end (&watch, window);
  gtk_window_destroy (GTK_WINDOW (window));
}

static void
try_stations (DwnTables *tables, guint n_stations)
{
  g_autoptr (DwnDocument) document = dwn_document_new (tables);
  g_autoptr (DwnPlan) plan = plan_new (tables, n_stations);

  dwn_document_take (document, plan, NULL);
  if (n_stations == 400)
    compare_first_frames (document);
  drag (document);
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

  try_stations (tables, 400);
  try_stations (tables, 2000);
  return 0;
}
