#include "example-chain.h"

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
  g_autofree char *name = g_strdup_printf ("Outlet %u", i + 1), *detail = g_strdup_printf ("%u m", 6 + i % 23);

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
  nodes[2] = (DwnGearNode) { 2, DWN_GEAR_INSERTER, "Power inserter", .mains = "mains", .indoors = TRUE };
  nodes[3] = (DwnGearNode) { 3, DWN_GEAR_SPLITTER, "Main splitter", "1 : 8", .indoors = TRUE };
  edges[0] = (DwnGearEdge) { 0, 1, "0.3 m" };
  edges[1] = (DwnGearEdge) { 1, 2, "18 m", -1, "12 V DC" };
  edges[2] = (DwnGearEdge) { 2, 3 };
  for (guint i = 0; i < n_splitters; i++)
    {
      g_autofree char *name = g_strdup_printf ("Floor %u", i + 1);

      nodes[FLATS_STEM + i] = (DwnGearNode) { FLATS_STEM + i, DWN_GEAR_SPLITTER, g_intern_string (name), "1 : 8",
                                              .indoors = TRUE };
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
