#include "example-chain.h"

#include <math.h>

static const DwnGearNode house_nodes[] = {
  { 10, DWN_GEAR_YAGI, "UHF antenna 93°" },
  { 11, DWN_GEAR_YAGI, "VHF antenna 305°" },
  { 12, DWN_GEAR_COMBINER, "Combiner", "UHF\nVHF" },
  { 13, DWN_GEAR_AMPLIFIER, "Mast amplifier", "+20" },
  { 14, DWN_GEAR_INSERTER, "Power inserter", .mains = "mains, do not unplug", .indoors = TRUE },
  { 15, DWN_GEAR_SPLITTER, "Splitter", "1 : 3", .indoors = TRUE },
  { 16, DWN_GEAR_OUTLET, "Outlet 1", .detail = "6 m", .indoors = TRUE },
  { 17, DWN_GEAR_OUTLET, "Outlet 2", .detail = "11 m", .indoors = TRUE },
  { 18, DWN_GEAR_OUTLET, "Outlet 3", .detail = "17 m", .indoors = TRUE },
};

static const DwnGearEdge house_edges[] = {
  { 0, 2, "1.5 m" }, { 1, 2, "1.5 m" }, { 2, 3, "0.3 m" }, { 3, 4, "22 m", -1, "12 V DC" },
  { 4, 5 }, { 5, 6 }, { 5, 7 }, { 5, 8 },
};

static const char *const house_rows[] = { "Level, dBm", "C/N, dB", "Headroom, dB" };
static const char *const antenna_figures[] = { "−82.5", "23.7", "–" };
static const char *const combiner_figures[] = { "−83.9", "22.3", "–" };
static const char *const amplifier_figures[] = { "−63.9", "20.3", "37.9" };
static const char *const inserter_figures[] = { "−67.9", "20.3", "–" };
static const char *const splitter_figures[] = { "−73.9", "20.1", "–" };
static const char *const outlet_figures[] = { "−77.0", "19.8", "46.8" };

static const DwnGearColumn house_columns[] = {
  { 0, "UHF antenna", antenna_figures }, { 2, "Combiner", combiner_figures },
  { 3, "Amplifier", amplifier_figures }, { 4, "Inserter", inserter_figures },
  { 5, "Splitter", splitter_figures }, { 8, "Outlet 3", outlet_figures, TRUE },
};

static const DwnGearDrawing house = {
  .title = "Gear chain", .note = "after each part, for Vennor on RF 35",
  .n_nodes = G_N_ELEMENTS (house_nodes), .nodes = house_nodes,
  .n_edges = G_N_ELEMENTS (house_edges), .edges = house_edges,
  .on_mast = "on the mast", .indoors = "indoors",
  .n_rows = G_N_ELEMENTS (house_rows), .rows = house_rows,
  .n_columns = G_N_ELEMENTS (house_columns), .columns = house_columns,
  .summary = "With the set's own noise: C/N 18.2 dB, needed 15.2 dB, margin 3.0 dB, chance 62 %.",
};

const DwnGearDrawing *
dwn_example_gear (void)
{
  return &house;
}

#define FLATS_STEM 4 /* antenna, amplifier, inserter, main splitter */
#define FLATS_PER_SPLITTER 8

static void
add_flat (DwnGearNode *nodes, DwnGearEdge *edges, guint i, guint n_splitters)
{
  guint node = FLATS_STEM + n_splitters + i;
  g_autofree char *name = g_strdup_printf ("Outlet %u", i + 1),
                  *detail = g_strdup_printf ("%u m", 6 + i % 23);

  nodes[node] = (DwnGearNode) { node, DWN_GEAR_OUTLET, g_intern_string (name),
                                .detail = g_intern_string (detail), .indoors = TRUE };
  edges[node - 1] = (DwnGearEdge) { FLATS_STEM + i / FLATS_PER_SPLITTER, node };
}

DwnGearDrawing *
dwn_example_flats (guint n_outlets)
{
  guint n_splitters = (n_outlets + FLATS_PER_SPLITTER - 1) / FLATS_PER_SPLITTER;
  guint n_nodes = FLATS_STEM + n_splitters + n_outlets;
  DwnGearDrawing *drawing = g_new0 (DwnGearDrawing, 1);
  DwnGearNode *nodes = g_new0 (DwnGearNode, n_nodes);
  DwnGearEdge *edges = g_new0 (DwnGearEdge, n_nodes - 1);

  nodes[0] = (DwnGearNode) { 0, DWN_GEAR_PANEL, "Panel 93°" };
  nodes[1] = (DwnGearNode) { 1, DWN_GEAR_AMPLIFIER, "Mast amplifier", "+30" };
  nodes[2] = (DwnGearNode) { 2, DWN_GEAR_INSERTER, "Power inserter", .mains = "mains",
                            .indoors = TRUE };
  nodes[3] = (DwnGearNode) { 3, DWN_GEAR_SPLITTER, "Main splitter", "1 : 8", .indoors = TRUE };
  edges[0] = (DwnGearEdge) { 0, 1, "0.3 m" };
  edges[1] = (DwnGearEdge) { 1, 2, "18 m", -1, "12 V DC" };
  edges[2] = (DwnGearEdge) { 2, 3 };
  for (guint i = 0; i < n_splitters; i++)
    {
      g_autofree char *name = g_strdup_printf ("Floor %u", i + 1);

      nodes[FLATS_STEM + i] = (DwnGearNode) { FLATS_STEM + i, DWN_GEAR_SPLITTER,
                                             g_intern_string (name), "1 : 8", .indoors = TRUE };
      edges[FLATS_STEM - 1 + i] = (DwnGearEdge) { 3, FLATS_STEM + i };
    }
  for (guint i = 0; i < n_outlets; i++)
    add_flat (nodes, edges, i, n_splitters);
  *drawing = (DwnGearDrawing) { .title = "Gear chain", .n_nodes = n_nodes, .nodes = nodes,
                                .n_edges = n_nodes - 1, .edges = edges,
                                .on_mast = "on the mast", .indoors = "indoors" };
  return drawing;
}

void
dwn_example_flats_free (DwnGearDrawing *drawing)
{
  g_free ((gpointer) drawing->nodes);
  g_free ((gpointer) drawing->edges);
  g_free (drawing);
}

static const DwnStair stairs[] = {
  { 0, "Power", "5 kW", "+69.1", 69.1, FALSE, NAN },
  { 1, "Distance", "38 km", "−119.5", -119.5, FALSE, NAN },
  { 2, "Cray Ridge", NULL, "−24.0", -24.0, TRUE, NAN },
  { 3, "Wood", "near by", "−12.0", -12.0, TRUE, NAN },
  { 4, "Antenna", "at best", "+12.3", 12.3, FALSE, NAN },
  { 5, "Aim", "38° off", "−8.4", -8.4, TRUE, -85.5 },
  { 6, "Combiner", "UHF, VHF", "−1.3", -1.3, FALSE, -86.8 },
  { 7, "Amp", "20 dB", "+20.0", 20.0, FALSE, -66.8 },
  { 8, "Downlead", "22 m", "−3.5", -3.5, FALSE, -70.3 },
  { 9, "Splitter", "1 : 3", "−6.5", -6.5, FALSE, -76.8 },
  { 10, "Outlet 3", "17 m", "−3.1", -3.1, FALSE, -79.9 },
};

static const DwnStairRemedy remedies[] = {
  { 0, "A second UHF antenna at 131° on its own downlead, with a switch", "+9.0 dB", "88 %", 9.0 },
  { 1, "Raise the antennas from 9 m to 13 m", "+3.4 dB", "74 %", 3.4 },
  { 2, "Turn the UHF antenna to 99°, the edge of its window", "+2.9 dB", "72 %", 2.9 },
  { 3, "A mast amplifier with 24 dB gain and noise figure 1 dB", "+1.9 dB", "69 %", 1.9 },
  { 4, "Thicker downlead, series 11", "+0.4 dB", "63 %", 0.4 },
};

static const DwnStaircase staircase = {
  .title = "Why Vennor breaks up",
  .note = "RF 35 · outlet 3, the weakest",
  .intro = "Cray Ridge stands 132 m above the straight line and takes 24 dB; the wood by the house "
           "takes "
           "12 dB more, and an antenna aimed 38° aside gives away 8 dB.",
  .unit = "dBm",
  .n_steps = G_N_ELEMENTS (stairs),
  .steps = stairs,
  .just_enough = "just enough",
  .margin_title = "margin",
  .margin = "3.0 dB",
  .chance = "chance 62 %",
  .needs = "needs −79.9",
  .remedies_title = "Remedies, largest first",
  .gain_title = "gain",
  .chance_title = "new chance",
  .n_remedies = G_N_ELEMENTS (remedies),
  .remedies = remedies,
};

const DwnStaircase *
dwn_example_staircase (void)
{
  return &staircase;
}

/* Heights of the invented way, every 100 m: hills from a few sines, one ridge, from a high mast. */
#define WAY_POINTS 377

static void
invent_way (double distance_m[WAY_POINTS], double height_m[WAY_POINTS])
{
  for (guint i = 0; i < WAY_POINTS; i++)
    {
      double km = i * 0.1;

      distance_m[i] = km * 1e3;
      height_m[i] = 285 + 18 * sin (km / 1.9) + 9 * sin (km / 0.7 + 1) + 3.5 * sin (km * 5.3)
                    + 2 * sin (km * 13) + 230 * exp (-pow (km / 2.2, 2))
                    + 205 * exp (-pow ((km - 31.3) / 2.1, 2));
    }
}

const DwnPathDrawing *
dwn_example_path (void)
{
  static double distance_m[WAY_POINTS], height_m[WAY_POINTS];
  static const double edge_m[] = { 31100 };
  static const DwnPathWood woods[] = { { 35600, 37100, 15, "wood" } };
  static const DwnPathDrawing path = {
    .title = "Path to Vennor at Aldbeck",
    .note = "37.6 km at 131° · 599 MHz · earth radius × 4/3",
    .n_points = WAY_POINTS,
    .distance_m = distance_m,
    .height_m = height_m,
    .transmitter_m = 92,
    .receiver_m = 9,
    .mhz = 599,
    .earth_radius_m = 6371e3 * 4 / 3,
    .transmitter = "Aldbeck, 92 m mast",
    .house = "Ferncote",
    .house_detail = "9 m",
    .crest_m = 31100,
    .crest = "Cray Ridge",
    .crest_detail = "132 m above the line, 6.3 km from the house",
    .crest_above_m = 132,
    .n_edges = G_N_ELEMENTS (edge_m),
    .edge_m = edge_m,
    .n_woods = G_N_ELEMENTS (woods),
    .woods = woods,
    .fresnel = "first Fresnel zone",
    .km = "km",
    .m = "m",
  };

  invent_way (distance_m, height_m);
  return &path;
}
