/* The gear chain: every part found, nothing on top of another, up to 64 outlets. */
#include "draw/gear.h"

#include "example-chain.h"
#include "example.h"
#include "ink.h"

typedef struct {
  const char *name;
  guint n_outlets; /* 0: the house of the pictures */
  double width, height; /* height 0: as high as it wants to be */
} GearCase;

static const GearCase gear_cases[] = {
  { "house", 0, 760, 400 },
  { "house-narrow", 0, 560, 380 },
  { "house-tall", 0, 760, 700 },
  { "one", 1, 760, 300 },
  { "8", 8, 760, 400 },
  { "16", 16, 760, 400 },
  { "64-stacked", 64, 760, 400 },
  { "64-tall", 64, 760, 0 },
};

static DwnScene *
lay_out (const GearCase *gear)
{
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  DwnGearDrawing *flats = gear->n_outlets > 0 ? dwn_example_flats (gear->n_outlets) : NULL;
  const DwnGearDrawing *drawing = flats != NULL ? flats : dwn_example_gear ();
  double height = gear->height > 0 ? gear->height : dwn_gear_height (drawing, &look);
  DwnScene *scene = dwn_gear_layout (drawing, &look, text, gear->width, height);

  g_clear_pointer (&flats, dwn_example_flats_free);
  g_object_unref (text);
  return scene;
}

static void
test_inside_page (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);

  dwn_assert_inside_page (scene);
}

static void
test_parts_apart (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < i; k++)
      if ((regions[i].kind == DWN_REGION_PART || regions[k].kind == DWN_REGION_PART)
          && regions[i].kind != DWN_REGION_CABLE && regions[k].kind != DWN_REGION_CABLE)
        g_assert_false (dwn_rect_overlaps (&regions[i].bounds, &regions[k].bounds));
}

/* Small text is 12 px high: two names need as much between them. */
static void
test_outlets_readable (gconstpointer data)
{
  g_autoptr (DwnScene) scene = lay_out (data);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);

  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < i; k++)
      if (regions[i].kind == DWN_REGION_OUTLET && regions[k].kind == DWN_REGION_OUTLET)
        g_assert_cmpfloat (ABS (regions[i].bounds.y - regions[k].bounds.y), >=, 12);
}

/* Every outlet is drawn, alone or in a stack. */
static void
test_outlets_complete (gconstpointer data)
{
  const GearCase *gear = data;
  g_autoptr (DwnScene) scene = lay_out (gear);
  guint n;
  const DwnRegion *regions = dwn_scene_regions (scene, &n);
  double found = 0;

  for (guint i = 0; i < n; i++)
    found += regions[i].kind == DWN_REGION_OUTLET ? regions[i].value : 0;
  g_assert_cmpfloat (found, ==, gear->n_outlets > 0 ? gear->n_outlets : 3);
}

/* The signal runs from left to right. */
static void
test_order (void)
{
  g_autoptr (DwnScene) scene = lay_out (&gear_cases[0]);
  const DwnGearDrawing *drawing = dwn_example_gear ();

  for (guint e = 0; e < drawing->n_edges; e++)
    {
      const DwnGearNode *from = &drawing->nodes[drawing->edges[e].from];
      const DwnGearNode *to = &drawing->nodes[drawing->edges[e].to];
      const DwnRegion *left = dwn_scene_find (scene, DWN_REGION_PART, from->id);
      const DwnRegion *right = dwn_scene_find (
          scene, to->symbol == DWN_GEAR_OUTLET ? DWN_REGION_OUTLET : DWN_REGION_PART, to->id);

      g_assert_nonnull (left);
      g_assert_nonnull (right);
      g_assert_cmpfloat (left->bounds.x + left->bounds.width, <, right->bounds.x);
    }
}

static void
test_straight_trunk (void)
{
  g_autoptr (DwnScene) scene = lay_out (&gear_cases[0]);
  const DwnRegion *amplifier = dwn_scene_find (scene, DWN_REGION_PART, 13);
  const DwnRegion *splitter = dwn_scene_find (scene, DWN_REGION_PART, 15);
  const DwnRegion *middle_outlet = dwn_scene_find (scene, DWN_REGION_OUTLET, 17);
  double y = amplifier->bounds.y + amplifier->bounds.height / 2;

  g_assert_cmpfloat_with_epsilon (splitter->bounds.y + splitter->bounds.height / 2, y, 0.5);
  g_assert_cmpfloat_with_epsilon (middle_outlet->bounds.y + middle_outlet->bounds.height / 2, y,
                                  0.5);
}

/* Down the page: rows one under the other, the signal always downward, figures within the page. */
static void
test_column (gconstpointer data)
{
  const GearCase *gear = data;
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();
  DwnGearDrawing *flats = gear->n_outlets > 0 ? dwn_example_flats (gear->n_outlets) : NULL;
  const DwnGearDrawing *drawing = flats != NULL ? flats : dwn_example_gear ();
  g_autoptr (DwnScene) scene = dwn_gear_column_layout (drawing, &look, text, 324);

  dwn_assert_inside_page (scene);
  g_assert_cmpfloat_with_epsilon (dwn_scene_height (scene), dwn_gear_column_height (drawing, &look, 324), 1e-6);
  for (guint e = 0; e < drawing->n_edges; e++)
    {
      const DwnGearNode *from = &drawing->nodes[drawing->edges[e].from], *to = &drawing->nodes[drawing->edges[e].to];
      const DwnRegion *above = dwn_scene_find (scene, DWN_REGION_PART, from->id);
      const DwnRegion *below = dwn_scene_find (
          scene, to->symbol == DWN_GEAR_OUTLET ? DWN_REGION_OUTLET : DWN_REGION_PART, to->id);

      g_assert_cmpfloat (above->bounds.y + above->bounds.height, <=, below->bounds.y);
    }
  g_clear_pointer (&flats, dwn_example_flats_free);
  g_object_unref (text);
}

static void
test_refuses_cycle (void)
{
  const DwnGearNode nodes[] = { { 0, DWN_GEAR_AMPLIFIER, "A" }, { 1, DWN_GEAR_AMPLIFIER, "B" } };
  const DwnGearEdge edges[] = { { 0, 1 }, { 1, 0 } };
  DwnGearDrawing drawing = { .n_nodes = 2, .nodes = nodes, .n_edges = 2, .edges = edges };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();

  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*acyclic*");
  g_assert_null (dwn_gear_layout (&drawing, &look, text, 400, 300));
  g_test_assert_expected_messages ();
  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*acyclic*");
  g_assert_null (dwn_gear_column_layout (&drawing, &look, text, 400));
  g_test_assert_expected_messages ();
  g_object_unref (text);
}

static void
test_refuses_stray_edge (void)
{
  const DwnGearNode nodes[] = { { 0, DWN_GEAR_YAGI, "A" } };
  const DwnGearEdge edges[] = { { 0, 3 } };
  DwnGearDrawing drawing = { .n_nodes = 1, .nodes = nodes, .n_edges = 1, .edges = edges };
  DwnLook look = dwn_look_light ();
  PangoContext *text = dwn_example_text ();

  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*is_sane*");
  g_assert_null (dwn_gear_layout (&drawing, &look, text, 400, 300));
  g_test_assert_expected_messages ();
  g_object_unref (text);
}

/* Every symbol there is, in one long line. */
static void
test_all_symbols (void)
{
  DwnGearNode nodes[DWN_GEAR_OTHER + 1];
  DwnGearEdge edges[DWN_GEAR_OTHER];
  DwnLook look = dwn_look_paper ();
  PangoContext *text = dwn_example_text ();

  for (guint i = 0; i <= DWN_GEAR_OTHER; i++)
    nodes[i] = (DwnGearNode) { i, (DwnGearSymbol) i, "Part", "6", .detail = "3 m" };
  for (guint i = 0; i < DWN_GEAR_OTHER; i++)
    edges[i] = (DwnGearEdge) { i, i + 1, "1 m" };

  DwnGearDrawing drawing = { .n_nodes = G_N_ELEMENTS (nodes), .nodes = nodes,
                             .n_edges = G_N_ELEMENTS (edges), .edges = edges };
  g_autoptr (DwnScene) scene = dwn_gear_layout (&drawing, &look, text, 900, 200);
  guint n;

  dwn_scene_regions (scene, &n);
  g_assert_cmpuint (n, ==, G_N_ELEMENTS (nodes) + G_N_ELEMENTS (edges));
  dwn_assert_inside_page (scene);
  g_object_unref (text);
}

static void
add_gear_case (const char *what, GTestDataFunc test, const GearCase *gear)
{
  g_autofree char *path = g_strconcat ("/draw/gear/", what, "/", gear->name, NULL);

  g_test_add_data_func (path, gear, test);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (gear_cases); i++)
    {
      add_gear_case ("inside-page", test_inside_page, &gear_cases[i]);
      add_gear_case ("parts-apart", test_parts_apart, &gear_cases[i]);
      add_gear_case ("outlets-readable", test_outlets_readable, &gear_cases[i]);
      add_gear_case ("column", test_column, &gear_cases[i]);
      add_gear_case ("outlets-complete", test_outlets_complete, &gear_cases[i]);
    }
  g_test_add_func ("/draw/gear/order", test_order);
  g_test_add_func ("/draw/gear/straight-trunk", test_straight_trunk);
  g_test_add_func ("/draw/gear/refuses-cycle", test_refuses_cycle);
  g_test_add_func ("/draw/gear/refuses-stray-edge", test_refuses_stray_edge);
  g_test_add_func ("/draw/gear/all-symbols", test_all_symbols);
  return g_test_run ();
}
