/* How long the rose takes with 400 stations in a window of 640 × 740: milliseconds, median and
 * worst of many runs. */
#include <stdlib.h>

#include "../draw/example.h"

#define WIDTH 640
#define HEIGHT 740
#define RUNS 60

typedef struct {
  DwnExample *example;
  DwnLook look;
  PangoContext *text;
  DwnRosePlaces *places;
  DwnScene *scene;
  cairo_t *cr;
} Bench;

static void
lay_out_all (Bench *bench)
{
  dwn_scene_unref (dwn_rose_layout (&bench->example->data, &bench->look, bench->text, WIDTH, HEIGHT,
                                    bench->places));
}

static void
lay_out_moving (Bench *bench)
{
  bench->example->antennas[0].aim_deg += 1;
  dwn_scene_unref (
      dwn_rose_layout_moving (&bench->example->data, &bench->look, bench->text, WIDTH, HEIGHT, 0));
}

static void
paint_all (Bench *bench)
{
  dwn_scene_paint (bench->scene, DWN_LAYER_ALL, bench->cr);
}

static void
paint_moving (Bench *bench)
{
  dwn_scene_paint (bench->scene, DWN_LAYER_MOVING, bench->cr);
}

static void
paint_stations (Bench *bench)
{
  dwn_scene_paint (bench->scene, DWN_LAYER_STATIONS, bench->cr);
}

static int
compare_times (gconstpointer a, gconstpointer b)
{
  gint64 left = *(const gint64 *) a, right = *(const gint64 *) b;

  return (left > right) - (left < right);
}

static void
measure (const char *name, Bench *bench, void (*run) (Bench *))
{
  gint64 times[RUNS];

  for (guint i = 0; i < RUNS; i++)
    {
      gint64 start = g_get_monotonic_time ();

      run (bench);
      times[i] = g_get_monotonic_time () - start;
    }
  qsort (times, RUNS, sizeof *times, compare_times);
  g_print ("%-16s median %6.2f ms, worst %6.2f ms\n", name, times[RUNS / 2] / 1e3,
           times[RUNS - 1] / 1e3);
}

int
main (int argc, char **argv)
{
  guint n = argc > 1 ? (guint) atoi (argv[1]) : 400;
  cairo_surface_t *image = cairo_image_surface_create (CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  Bench bench = {
    .example = dwn_example_crowd (n), .look = dwn_look_light (), .text = dwn_example_text (),
    .places = dwn_rose_places_new (), .cr = cairo_create (image),
  };

  bench.scene = dwn_rose_layout (&bench.example->data, &bench.look, bench.text, WIDTH, HEIGHT,
                                 NULL);
  g_print ("%u stations on %u masts\n", n, bench.example->data.n_masts);
  measure ("layout all", &bench, lay_out_all);
  measure ("layout moving", &bench, lay_out_moving);
  measure ("paint all", &bench, paint_all);
  measure ("paint stations", &bench, paint_stations);
  measure ("paint moving", &bench, paint_moving);

  dwn_scene_unref (bench.scene);
  dwn_rose_places_free (bench.places);
  dwn_example_free (bench.example);
  g_object_unref (bench.text);
  cairo_destroy (bench.cr);
  cairo_surface_destroy (image);
  return 0;
}
