/* Writes the drawings into a folder, to be looked at. Not a test: run by hand. */
#include <locale.h>

#include "example-chain.h"
#include "example.h"

static void
write_scene (const char *folder, const char *name, DwnScene *scene)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *path = g_build_filename (folder, name, NULL);

  if (!dwn_scene_write (scene, path, &error))
    g_printerr ("%s\n", error->message);
  dwn_scene_unref (scene);
}

static void
draw_roses (const char *folder, PangoContext *text)
{
  g_autoptr (DwnExample) house = dwn_example_house ();
  g_autoptr (DwnExample) sixty = dwn_example_crowd (60);
  g_autoptr (DwnExample) many = dwn_example_crowd (400);
  DwnLook light = dwn_look_light (), dark = dwn_look_dark (), paper = dwn_look_paper ();

  write_scene (folder, "rose-window.png",
               dwn_rose_layout (&house->data, &light, text, 640, 670, NULL));
  house->data.legend = TRUE;
  write_scene (folder, "rose-light.png",
               dwn_rose_layout (&house->data, &light, text, 900, 900, NULL));
  house->data.fan_mast = 0;
  write_scene (folder, "rose-dark.png",
               dwn_rose_layout (&house->data, &dark, text, 900, 900, NULL));
  house->data.fan_mast = -1;
  house->data.legend = FALSE;
  write_scene (folder, "rose-small.png",
               dwn_rose_layout (&house->data, &light, text, 452, 497, NULL));
  house->stations[7].selected = FALSE;
  write_scene (folder, "rose-paper.pdf",
               dwn_rose_layout (&house->data, &paper, text, 300, 300, NULL));
  write_scene (folder, "rose-paper.png",
               dwn_rose_layout (&house->data, &paper, text, 300, 300, NULL));
  write_scene (folder, "rose-60.png", dwn_rose_layout (&sixty->data, &light, text, 640, 740, NULL));
  write_scene (folder, "rose-400.png", dwn_rose_layout (&many->data, &light, text, 640, 740, NULL));
}

static void
draw_gear (const char *folder, PangoContext *text)
{
  DwnLook light = dwn_look_light (), dark = dwn_look_dark ();
  const DwnGearDrawing *house = dwn_example_gear ();
  DwnGearDrawing *flats = dwn_example_flats (64), *floor = dwn_example_flats (16);

  write_scene (folder, "gear.png", dwn_gear_layout (house, &light, text, 760, 400));
  write_scene (folder, "gear-dark.png", dwn_gear_layout (house, &dark, text, 620, 400));
  write_scene (folder, "gear-64.png", dwn_gear_layout (flats, &light, text, 760, 400));
  write_scene (folder, "gear-64-tall.png",
               dwn_gear_layout (flats, &light, text, 760, dwn_gear_height (flats, &light)));
  write_scene (folder, "gear-16.png", dwn_gear_layout (floor, &light, text, 760, 400));
  dwn_example_flats_free (flats);
  dwn_example_flats_free (floor);
}

static void
draw_explanations (const char *folder, PangoContext *text)
{
  DwnLook light = dwn_look_light (), dark = dwn_look_dark (), paper = dwn_look_paper ();

  paper.base = DWN_LOOK_BASE_PX;
  write_scene (folder, "staircase.png",
               dwn_staircase_layout (dwn_example_staircase (), &light, text, 760, 460));
  write_scene (folder, "staircase-dark.png",
               dwn_staircase_layout (dwn_example_staircase (), &dark, text, 560, 460));
  write_scene (folder, "staircase-paper.png",
               dwn_staircase_layout (dwn_example_staircase (), &paper, text, 760, 460));
  write_scene (folder, "path.png", dwn_path_layout (dwn_example_path (), &light, text, 760, 320));
  write_scene (folder, "path-dark.png",
               dwn_path_layout (dwn_example_path (), &dark, text, 560, 280));
  paper.mono = TRUE;
  write_scene (folder, "path-mono.png",
               dwn_path_layout (dwn_example_path (), &paper, text, 760, 320));
}

int
main (int argc, char **argv)
{
  const char *folder = argc > 1 ? argv[1] : ".";
  PangoContext *text = dwn_example_text ();

  setlocale (LC_ALL, "");
  draw_roses (folder, text);
  draw_gear (folder, text);
  draw_explanations (folder, text);
  g_object_unref (text);
  return 0;
}
