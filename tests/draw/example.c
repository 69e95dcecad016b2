#include "example.h"

#include <math.h>

PangoContext *
dwn_example_text (void)
{
  return pango_font_map_create_context (pango_cairo_font_map_get_default ());
}

/* A lobe with side lobes; @front narrows it, @lobes ripples its back. */
static void
fill_pattern (double gain_dbi[360], double max_dbi, double front, double lobes)
{
  for (guint i = 0; i < 360; i++)
    {
      double off = i * G_PI / 180, main_lobe = pow (cos (off / 2), 2 * front);
      double side = 0.016 * (1 - cos (lobes * off)) + 0.012 * pow (sin (off / 2), 8) + 0.004;

      gain_dbi[i] = max_dbi + 10 * log10 (main_lobe + side * pow (sin (off / 2), 2) + 0.0012);
    }
}

static void
fill_skyline (double skyline_deg[360])
{
  for (guint i = 0; i < 360; i++)
    {
      double b = i * G_PI / 180;

      skyline_deg[i] = 0.5 + 0.3 * sin (2 * b + 1) + 0.2 * sin (5 * b) + 0.12 * sin (17 * b + 2)
                       + 0.9 * exp (-pow ((i - 131.0) / 14, 2)) + 0.06 * sin (61 * b);
    }
}

static DwnExample *
new_example (guint n_stations)
{
  DwnExample *example = g_new0 (DwnExample, 1);

  example->strings = g_string_chunk_new (1024);
  example->stations = g_new0 (DwnRoseStation, n_stations);
  fill_pattern (example->gain_dbi[0], 12.3, 8, 6);
  fill_pattern (example->gain_dbi[1], 8.9, 3, 4);
  fill_skyline (example->skyline_deg);
  example->antennas[0] = (DwnRoseAntenna) {
    .id = 0,
    .label = "UHF",
    .bearing = "93°",
    .aim_deg = 93,
    .window_from_deg = 85,
    .window_to_deg = 99,
    .n_gain = 360,
    .gain_dbi = example->gain_dbi[0],
    .max_gain_dbi = 12.3,
  };
  example->antennas[1] = (DwnRoseAntenna) {
    .id = 1, .label = "VHF", .bearing = "305°", .aim_deg = 305, .window_from_deg = 275,
    .window_to_deg = 335, .n_gain = 360, .gain_dbi = example->gain_dbi[1], .max_gain_dbi = 8.9,
  };
  example->data = (DwnRoseData) {
    .n_stations = n_stations, .stations = example->stations,
    .n_antennas = 2, .antennas = example->antennas,
    .declination_deg = -12.7, .skyline_deg = example->skyline_deg,
    .zoom = 1, .fan_mast = -1, .words = dwn_rose_words (),
  };
  return example;
}

static const char *const card_lines[] = {
  "RF 35 · UHF · on screen 17.1",
  "131° true, 144° by compass",
  "38 km · ridge 132 m too high",
  "margin 3.0 dB, chance 62 %",
};

DwnExample *
dwn_example_house (void)
{
  static const DwnRoseStation stations[] = {
    { 1, 0, "Tarnlight", "RF 16 · 94 %", DWN_BAND_UHF, 62, 64e3, 0.94, FALSE },
    { 2, 0, "Larkfield", "RF 21 · 99 %", DWN_BAND_UHF, 62, 64e3, 0.99, TRUE },
    { 3, 0, "Corvane", "RF 29 · 97 %", DWN_BAND_UHF, 62, 64e3, 0.97, TRUE },
    { 4, 0, "Pelloway", "RF 33 · 95 %", DWN_BAND_UHF, 62, 64e3, 0.95, TRUE },
    { 5, 0, "Fennimar", "RF 5 · 25 %", DWN_BAND_LOW_VHF, 71, 47e3, 0.25, FALSE },
    { 6, 0, "Ostrey", "RF 24 · 95 %", DWN_BAND_UHF, 118, 54e3, 0.95, TRUE },
    { 7, 0, "Brindle", "RF 30 · 86 %", DWN_BAND_UHF, 118, 54e3, 0.86, FALSE },
    { 8, 0, "Vennor", "RF 35 · 62 %", DWN_BAND_UHF, 131, 37.6e3, 0.62, TRUE },
    { 9, 0, "Quoin", "RF 11 · 96 %", DWN_BAND_HIGH_VHF, 305, 33e3, 0.96, TRUE },
  };
  static const DwnRoseMast masts[] = {
    { "Hollin Top", "RF 16 21 29 33", "64 km" },
    { "Wend Moor", "RF 5", "47 km" },
    { "Caddow Hill", "RF 24 30", "54 km" },
    { "Aldbeck", "RF 35", "38 km" },
    { "Skerrow", "RF 11", "33 km" },
  };
  DwnExample *example = new_example (G_N_ELEMENTS (stations));

  for (guint i = 0; i < G_N_ELEMENTS (stations); i++)
    example->stations[i] = stations[i];
  example->data.n_masts = dwn_rose_group_masts (example->stations, G_N_ELEMENTS (stations));
  example->data.masts = masts;
  example->data.card = (DwnRoseCard) { "Vennor", "worth a trial", G_N_ELEMENTS (card_lines),
                                      card_lines };
  example->data.ridge = "Cray Ridge, 1.5° up";
  example->stations[7].selected = TRUE;
  return example;
}

/* A fixed sequence, the same on every machine: Park and Miller, Communications of the ACM 31. */
static double
next_number (guint64 *state)
{
  *state = *state * 16807 % 2147483647;
  return (double) *state / 2147483647.0;
}

static const char *
invented_name (DwnExample *example, guint64 *state)
{
  static const char *const heads[] = { "Al",   "Bran", "Cor", "Dun",  "El",  "Fen", "Gar",
                                       "Hol",  "Ing",  "Kel", "Lan",  "Mor", "Nor", "Pel",
                                       "Quar", "Ros",  "Sed", "Thor", "Wen", "Yar" };
  static const char *const tails[] = { "beck",    "den",  "field", "garth",     "ham",
                                       "lin Top", "mere", "moor",  "ridge",     "stow",
                                       "ton",     "vane", "wick",  "worth Hill" };
  g_autofree char *name = g_strconcat (heads[(guint) (next_number (state) * G_N_ELEMENTS (heads))],
                                       tails[(guint) (next_number (state) * G_N_ELEMENTS (tails))],
                                       NULL);

  return g_string_chunk_insert (example->strings, name);
}

static void
invent_station (DwnExample *example, guint i, guint64 *state)
{
  DwnRoseStation *station = &example->stations[i];
  g_autofree char *detail = NULL;

  station->id = i + 1;
  station->name = invented_name (example, state);
  station->bearing_deg = 360 * next_number (state);
  station->distance_m = 3e3 + 150e3 * sqrt (next_number (state));
  station->chance = next_number (state);
  station->band = (DwnBand) (next_number (state) < 0.7 ? DWN_BAND_UHF : 2 * next_number (state));
  station->wanted = next_number (state) < 6.0 / example->data.n_stations + 0.02;
  if (i > 0 && next_number (state) < 0.2)
    {
      station->bearing_deg = example->stations[i - 1].bearing_deg;
      station->distance_m = example->stations[i - 1].distance_m;
    }
  detail = g_strdup_printf ("RF %u · %.0f %%", 14 + i % 23, station->chance * 100);
  station->detail = g_string_chunk_insert (example->strings, detail);
}

DwnExample *
dwn_example_crowd (guint n)
{
  DwnExample *example = new_example (n);
  guint64 state = 20260514;

  for (guint i = 0; i < n; i++)
    invent_station (example, i, &state);
  example->data.n_masts = dwn_rose_group_masts (example->stations, n);
  example->masts = g_new0 (DwnRoseMast, example->data.n_masts);
  for (guint i = n; i-- > 0;)
    example->masts[example->stations[i].mast] = (DwnRoseMast) { example->stations[i].name,
                                                               "RF 14 22 30", "58 km" };
  example->data.masts = example->masts;
  return example;
}

void
dwn_example_free (DwnExample *example)
{
  g_string_chunk_free (example->strings);
  g_free (example->stations);
  g_free (example->masts);
  g_free (example);
}
