#include "core/chain/wiring.h"

#include "core/chain/cascade.h"
#include "gear.h"

typedef struct {
  DwnPartList *list;
  DwnPattern *pattern;
  DwnChain *chain; /* antenna, 15 m of series 6, "plate", 4 m of series 59, set */
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  Gear gear = { 0 };

  fixture->list = gear_list ();
  fixture->pattern = gear_flat_pattern ("flat", 0);
  gear_add_antenna (&gear, "roof", fixture->pattern);
  gear_add (&gear, fixture->list, "plate", "wall-plate");
  gear_join_last (&gear, "series-6", 15);
  gear_add (&gear, fixture->list, "tv", "tuner-atsc");
  gear_join_last (&gear, "series-59", 4);
  fixture->chain = gear_build (&gear, fixture->list);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_chain_unref (fixture->chain);
  dwn_part_list_unref (fixture->list);
  dwn_pattern_unref (fixture->pattern);
}

static DwnChain *
build (const Fixture *fixture, const DwnWiring *wiring)
{
  g_autoptr (GError) error = NULL;
  DwnChain *chain = dwn_wiring_build (wiring, fixture->list, &error);

  g_assert_no_error (error);
  return chain;
}

static double
gain_db (const DwnChain *chain, double mhz)
{
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, mhz, 0);

  return 10 * log10 (dwn_cascade_input (cascade, chain, chain->outlet[0], 0)->gain[0]);
}

static void
test_copy (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (fixture->chain);
  g_autoptr (DwnChain) copy = build (fixture, wiring);

  g_assert_cmpuint (copy->n_parts, ==, fixture->chain->n_parts);
  g_assert_cmpfloat (gain_db (copy, 600), ==, gain_db (fixture->chain, 600));
}

static void
insert_amplifier (Fixture *fixture, gboolean after_cable)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (fixture->chain);
  DwnPart amp;

  dwn_part_init (&amp);
  amp.id = "plate"; /* taken */
  amp.type = "dist-amp-20"; /* on the mains */
  amp.kind = DWN_PART_AMPLIFIER;
  guint k = dwn_wiring_insert (wiring, 0, &amp, after_cable);
  g_assert_cmpstr (dwn_wiring_part (wiring, k)->id, ==, "plate-2");

  g_autoptr (DwnChain) chain = build (fixture, wiring);
  g_assert_cmpfloat_with_epsilon (gain_db (chain, 600), gain_db (fixture->chain, 600) + 20, 1e-9);
  const DwnEdge *before = dwn_wiring_edge_into (wiring, k, 0);
  const DwnEdge *after = dwn_wiring_edge_from (wiring, k, 0);
  g_assert_cmpfloat ((after_cable ? before : after)->length_m, ==, 15);
  g_assert_null ((after_cable ? after : before)->cable);
}

static void
test_insert (Fixture *fixture, gconstpointer data)
{
  insert_amplifier (fixture, FALSE);
  insert_amplifier (fixture, TRUE);
}

static void
test_remove (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (fixture->chain);

  dwn_wiring_remove (wiring, 1);
  g_autoptr (DwnChain) chain = build (fixture, wiring);
  g_assert_cmpuint (chain->n_parts, ==, 2);
  g_assert_cmpuint (chain->n_edges, ==, 1);
  g_assert_cmpfloat (chain->edge[0].length_m, ==, 19);
  g_assert_cmpstr (chain->edge[0].cable, ==, "series-6");
}

/* What was put in comes out again without a trace. */
static void
test_insert_and_remove (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (fixture->chain);
  DwnPart pad;

  dwn_part_init (&pad);
  pad.id = "pad";
  pad.type = "attenuator-6";
  pad.kind = DWN_PART_ATTENUATOR;
  dwn_wiring_remove (wiring, dwn_wiring_insert (wiring, 0, &pad, TRUE));
  g_autoptr (DwnChain) chain = build (fixture, wiring);
  g_assert_cmpuint (chain->n_parts, ==, 3);
  g_assert_cmpfloat_with_epsilon (gain_db (chain, 600), gain_db (fixture->chain, 600), 1e-12);
}

/* An end without a mate simply goes. */
static void
test_remove_end (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (fixture->chain);

  dwn_wiring_remove (wiring, 0);
  g_autoptr (DwnChain) chain = build (fixture, wiring);
  g_assert_cmpuint (chain->n_antennas, ==, 0);
  g_assert_cmpuint (chain->n_edges, ==, 1);
  g_assert_cmpstr (chain->part[chain->edge[0].from_part].id, ==, "plate");
}

static void
test_spliced (void)
{
  static const DwnEdge short_one = { .cable = "series-59", .length_m = 3 };
  static const DwnEdge long_one = { .cable = "series-11", .length_m = 30 }, none = { 0 };
  DwnEdge edge = dwn_edge_spliced (&short_one, &long_one);

  g_assert_cmpstr (edge.cable, ==, "series-11");
  g_assert_cmpfloat (edge.length_m, ==, 33);
  g_assert_cmpfloat (dwn_edge_spliced (&none, &short_one).length_m, ==, 3);
  g_assert_cmpstr (dwn_edge_spliced (&short_one, NULL).cable, ==, "series-59");
  g_assert_null (dwn_edge_spliced (NULL, NULL).cable);
}

#define ADD(name, test) g_test_add ("/wiring/" name, Fixture, NULL, set_up, test, tear_down)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("copy", test_copy);
  ADD ("insert", test_insert);
  ADD ("remove", test_remove);
  ADD ("insert-and-remove", test_insert_and_remove);
  ADD ("remove-end", test_remove_end);
  g_test_add_func ("/wiring/spliced", test_spliced);
  return g_test_run ();
}
