/* How soon a person sees the program: from its start to its first frame, beside a program that shows
 * nothing but a bare window, as processes of their own and in turn. Needs a display. */
#include <gtk/gtk.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "app/application.h"
#include "words/wording.h"

#define PAIRS 9
#define WIDTH 1200
#define HEIGHT 900

typedef struct {
  double wall_ms, cpu_ms;
} Took;

static void
painted_cb (void)
{
  _exit (EXIT_SUCCESS); /* the parent has the time; what comes after is not in question */
}

static void
mapped_cb (GtkWidget *window)
{
  g_signal_connect (gtk_widget_get_frame_clock (window), "after-paint", G_CALLBACK (painted_cb), NULL);
}

static void
added_cb (GtkApplication *application, GtkWindow *window)
{
  g_signal_connect (window, "map", G_CALLBACK (mapped_cb), NULL);
}

static void
show_bare (GtkApplication *application)
{
  GtkWidget *window = gtk_application_window_new (application);

  gtk_window_set_default_size (GTK_WINDOW (window), WIDTH, HEIGHT);
  gtk_window_present (GTK_WINDOW (window));
}

/* The child: @file NULL is the bare window. */
static int
begin (const char *file)
{
  char *arguments[] = { (char *) "bench-start", (char *) file, NULL };

  if (file != NULL)
    dwn_words_begin ();
  g_autoptr (GtkApplication) application = file != NULL
    ? GTK_APPLICATION (dwn_application_new ())
    : gtk_application_new ("io.github.downlead.Bare", G_APPLICATION_DEFAULT_FLAGS);
  g_application_set_flags (G_APPLICATION (application),
                           g_application_get_flags (G_APPLICATION (application)) | G_APPLICATION_NON_UNIQUE);
  g_signal_connect (application, "window-added", G_CALLBACK (added_cb), NULL);
  if (file == NULL)
    g_signal_connect (application, "activate", G_CALLBACK (show_bare), NULL);
  return g_application_run (G_APPLICATION (application), file != NULL ? 2 : 1, arguments);
}

static double
ms_of (struct timeval time)
{
  return (double) time.tv_sec * 1e3 + (double) time.tv_usec / 1e3;
}

/* Of the processor, by all children that have ended. */
static double
children_ms (void)
{
  struct rusage used;

  getrusage (RUSAGE_CHILDREN, &used);
  return ms_of (used.ru_utime) + ms_of (used.ru_stime);
}

/* Runs this program anew as a child. */
static Took
run (const char *self, const char *file)
{
  gint64 began_us = g_get_monotonic_time ();
  double used_ms = children_ms ();
  pid_t child = fork ();
  int status = 0;

  if (child == 0)
    {
      execl (self, self, "child", file, (char *) NULL);
      _exit (EXIT_FAILURE);
    }
  waitpid (child, &status, 0);
  if (status != 0)
    g_error ("the child ended with %d", status);
  return (Took) { (double) (g_get_monotonic_time () - began_us) / 1e3, children_ms () - used_ms };
}

static int
compare (gconstpointer a, gconstpointer b)
{
  const double *x = a, *y = b;

  return (*x > *y) - (*x < *y);
}

static double
median (double *values)
{
  qsort (values, PAIRS, sizeof *values, compare);
  return values[PAIRS / 2];
}

int
main (int argc, char **argv)
{
  double wall[2][PAIRS], cpu[2][PAIRS]; /* bare, ours */

  if (argc > 1)
    return begin (argc > 2 ? argv[2] : NULL);
  if (!gtk_init_check ())
    {
      g_print ("no display: starts are not timed\n");
      return 77;
    }
  g_autofree char *self = g_file_read_link ("/proc/self/exe", NULL);
  g_autofree char *demo = g_build_filename (g_getenv ("G_TEST_SRCDIR"), "..", "data", "demo",
                                            "thistledown.downlead", NULL);
  run (self, demo); /* reads both from the disk once */
  for (guint i = 0; i < PAIRS; i++)
    for (guint ours = 0; ours < 2; ours++)
      {
        Took took = run (self, ours ? demo : NULL);
        wall[ours][i] = took.wall_ms;
        cpu[ours][i] = took.cpu_ms;
      }
  double bare_wall = median (wall[0]), ours_wall = median (wall[1]);
  double bare_cpu = median (cpu[0]), ours_cpu = median (cpu[1]);
  g_print ("from start to first frame, median of %d pairs: with the example %.0f ms, a bare window %.0f ms, "
           "ratio %.2f; of the processor %.0f and %.0f ms, ratio %.2f\n", PAIRS, ours_wall, bare_wall,
           ours_wall / bare_wall, ours_cpu, bare_cpu, ours_cpu / bare_cpu);
  return 0;
}
