/* Writes the drawings into a folder, to be looked at. Not a test: run by hand. */
#include <locale.h>

#include "example-chain.h"
#include "example.h"
#include "draw/paper.h"

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

/* States that a user meets on the way: aims side by side, on a letter, a fan on the left. */
static void
draw_hard_roses (const char *folder, PangoContext *text)
{
  g_autoptr (DwnExample) house = dwn_example_house ();
  DwnLook light = dwn_look_light (), contrast = dwn_look_high_contrast (TRUE);
  PangoFontDescription *large = pango_font_description_from_string ("Cantarell 15");

  house->antennas[0].aim_deg = 2;
  house->antennas[0].bearing = "2°";
  house->antennas[1].aim_deg = 14;
  house->antennas[1].bearing = "14°";
  house->stations[7].bearing_deg = 272;
  house->stations[1].hovered = TRUE;
  write_scene (folder, "rose-aims-north.png",
               dwn_rose_layout (&house->data, &light, text, 640, 670, NULL));
  house->antennas[0].aim_deg = 180;
  house->antennas[0].bearing = "180°";
  house->antennas[1].aim_deg = 268;
  house->antennas[1].bearing = "268°";
  dwn_look_set_font (&contrast, large, 96.0 / 72.0, 1);
  house->data.scale = DWN_ROSE_SCALE_LOG;
  write_scene (folder, "rose-large-type.png",
               dwn_rose_layout (&house->data, &contrast, text, 900, 860, NULL));
  pango_font_description_free (large);
}

static double
draw_sheet_aims (DwnPaper *paper, DwnPlace place, const char *antenna, const char *true_bearing,
                 const char *compass)
{
  DwnTextStyle head = dwn_paper_style (paper, DWN_SIZE_BASE, TRUE, FALSE);
  DwnTextStyle figure = dwn_paper_style (paper, DWN_SIZE_FIGURE, TRUE, FALSE);
  DwnTextStyle small = dwn_paper_style (paper, DWN_SIZE_SMALL, FALSE, TRUE);
  const DwnPaperPiece pieces[] = {
    { true_bearing, figure, 0 }, { "true", small, 6 }, { compass, figure, 48 },
    { "by compass", small, 6 },
  };

  place.y = dwn_paper_text (paper, place, antenna, &head);
  place.y = dwn_paper_pieces (paper, place, pieces, G_N_ELEMENTS (pieces));
  return dwn_paper_text (paper, place, "Window 85° to 99° true, 98° to 111° by compass", &small)
         + 8;
}

static double
draw_sheet_stations (DwnPaper *paper, DwnPlace place, const DwnExample *house)
{
  static const DwnPaperColumn columns[] = { { .close = TRUE }, { "Station" }, { "RF channel", 1 },
                                            { "Chance", 1 }, { "Read: level, C/N", 0.5 } };
  DwnPaperCell cells[6][G_N_ELEMENTS (columns)] = { { { 0 } } };
  DwnPaperTable table = { .n_columns = G_N_ELEMENTS (columns), .columns = columns,
                          .cells = cells[0], .row_height = 17 };

  for (guint i = 0; i < house->data.n_stations; i++)
    {
      const DwnRoseStation *station = &house->stations[i];
      DwnPaperCell *row = cells[table.n_rows];

      if (!station->wanted)
        continue;
      row[0].has_mark = TRUE;
      row[0].mark = (DwnMark) { station->band, station->chance, TRUE };
      row[1] = (DwnPaperCell) { .text = station->name, .bold = TRUE };
      row[2] = (DwnPaperCell) { .text = "21", .bold = TRUE };
      row[3] = (DwnPaperCell) { .text = "99\u00a0%" };
      row[4].n_boxes = 2;
      table.n_rows++;
    }
  return dwn_paper_table (paper, place, &table);
}

static void
draw_sheet (const char *folder, PangoContext *text)
{
  static const char *const checks[] = { "Clamped length at least 0.6 m",
                                        "Drip loop before the entry",
                                        "Connectors sealed, no electrical tape" };
  g_autoptr (DwnExample) house = dwn_example_house ();
  DwnLook look = dwn_look_paper ();
  DwnPaper *paper = dwn_paper_new (&look, text, DWN_PAPER_A4_WIDTH, DWN_PAPER_A4_HEIGHT);
  DwnPlace place = { DWN_PAPER_MARGIN, DWN_PAPER_MARGIN,
                     DWN_PAPER_A4_WIDTH - 2 * DWN_PAPER_MARGIN };
  DwnTextStyle title = dwn_paper_style (paper, DWN_SIZE_TITLE, TRUE, FALSE);
  DwnTextStyle plain = dwn_paper_style (paper, DWN_SIZE_TITLE, FALSE, FALSE);
  DwnPlace left;

  house->stations[7].selected = FALSE;
  g_autoptr (DwnScene) rose = dwn_rose_layout (&house->data, &look, text, 290, 260, NULL);
  g_autoptr (DwnScene) gear = dwn_gear_layout (dwn_example_gear (), &look, text, place.width, 215);

  place.y = dwn_paper_pair (paper, place, "Ferncote, Upper Sallow", &title, "Install sheet",
                            &plain);
  place.y = dwn_paper_rule (paper, place, DWN_RULE_TITLE) + 6;
  left = (DwnPlace) { place.x, place.y, 240 };
  left.y = draw_sheet_aims (paper, left, "UHF antenna", "93°", "106°");
  left.y = draw_sheet_aims (paper, left, "VHF antenna", "305°", "318°");
  left.y = dwn_paper_checks (paper, left, checks, G_N_ELEMENTS (checks), 13);
  dwn_paper_scene (paper, rose, 270, place.y);
  place.y = dwn_paper_rule (paper, (DwnPlace){ place.x, place.y + 262, place.width },
                            DWN_RULE_BLOCK);
  place.y = draw_sheet_stations (paper, place, house) + 8;
  place.y = dwn_paper_rule (paper, place, DWN_RULE_BLOCK) + 4;
  dwn_paper_scene (paper, gear, place.x, place.y);
  place.y += 225;
  dwn_paper_blank (paper, (DwnPlace) { place.x, place.y, 200 }, "Installed by");
  dwn_paper_blank (paper, (DwnPlace) { place.x + 210, place.y, 120 }, "Date");

  DwnScene *page = dwn_paper_finish (paper);
  write_scene (folder, "sheet.pdf", dwn_scene_ref (page));
  write_scene (folder, "sheet.png", page);
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
  draw_hard_roses (folder, text);
  draw_gear (folder, text);
  draw_explanations (folder, text);
  draw_sheet (folder, text);
  g_object_unref (text);
  return 0;
}
