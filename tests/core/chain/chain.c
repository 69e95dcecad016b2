#include "core/chain/chain.h"

#include "gear.h"

typedef struct {
  DwnPartList *list;
  DwnPattern *pattern;
  Gear gear; /* antenna "a", amplifier "amp", splitter "split", sets "tv1" and "tv2" */
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  Gear *gear = &fixture->gear;

  fixture->list = gear_list ();
  fixture->pattern = gear_flat_pattern ("flat", 0);
  /* Sets first: the order of parts is not that of the wiring. */
  gear_add (gear, fixture->list, "tv1", "tuner-atsc");
  gear_add (gear, fixture->list, "tv2", "tuner-atsc");
  gear_add (gear, fixture->list, "split", "splitter-2");
  gear_add (gear, fixture->list, "amp", "dist-amp-10");
  gear_add_antenna (gear, "a", fixture->pattern);
  gear_join (gear, "split", 1, "tv1", 0, "series-59", 8);
  gear_join (gear, "amp", 0, "split", 0, "series-6", 15);
  gear_join (gear, "a", 0, "amp", 0, NULL, 0);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  dwn_part_list_unref (fixture->list);
  dwn_pattern_unref (fixture->pattern);
}

static DwnPart *
part_of (Fixture *fixture, const char *id)
{
  return &fixture->gear.part[gear_index (&fixture->gear, id)];
}

static void
test_shape (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnChain) chain = gear_build (&fixture->gear, fixture->list);
  guint position[5];

  g_assert_cmpuint (chain->n_antennas, ==, 1);
  g_assert_cmpuint (chain->n_outlets, ==, 2);
  g_assert_cmpstr (chain->part[chain->outlet[1]].id, ==, "tv2");
  g_assert_cmpuint (chain->n_states, ==, 1);
  for (guint k = 0; k < chain->n_parts; k++)
    position[chain->order[k]] = k;
  for (guint e = 0; e < chain->n_edges; e++)
    g_assert_cmpuint (position[chain->edge[e].from_part], <, position[chain->edge[e].to_part]);

  int split = dwn_chain_find (chain, "split");
  g_assert_cmpint (chain->out_edge[chain->out_first[split]], ==, -1);
  g_assert_cmpint (chain->out_edge[chain->out_first[split] + 1], ==, 0);
  g_assert_cmpint (chain->in_edge[chain->in_first[split]], ==, 1);
  g_assert_cmpint (dwn_chain_find (chain, "splitter"), ==, -1);
  g_assert_cmpuint (dwn_chain_antennas_of (chain, chain->outlet[0]), ==, 1);
  g_assert_cmpuint (dwn_chain_antennas_of (chain, chain->outlet[1]), ==, 0);
}

/* The chain keeps what it needs: patterns, list and strings of its own. */
static void
test_ownership (Fixture *fixture, gconstpointer data)
{
  g_autofree char *id = g_strdup ("roof");
  DwnPart *antenna = part_of (fixture, "a");

  antenna->id = id;
  g_autoptr (DwnChain) chain = gear_build (&fixture->gear, fixture->list);
  memset (id, 'x', 4);
  g_autoptr (DwnChain) again = dwn_chain_ref (chain);
  g_assert_cmpint (dwn_chain_find (again, "roof"), ==, 4);
}

static void
test_own_figures (Fixture *fixture, gconstpointer data)
{
  DwnPart *amp = part_of (fixture, "amp");

  amp->gain_db = 11;
  amp->noise_figure_db = 4.5;
  amp->max_output_dbm = -3;
  g_autoptr (DwnChain) chain = gear_build (&fixture->gear, fixture->list);
  guint k = (guint) dwn_chain_find (chain, "amp");
  g_assert_cmpfloat_with_epsilon (dwn_chain_part_gain_db (chain, k, 0, 0, 600), 11, 1e-12);
  g_assert_cmpfloat (dwn_chain_part_noise_figure_db (chain, k, 600), ==, 4.5);
  g_assert_cmpfloat (dwn_chain_part_max_output_dbm (chain, k), ==, -3);

  amp->unpowered = TRUE;
  g_autoptr (DwnChain) off = gear_build (&fixture->gear, fixture->list);
  g_assert_cmpfloat (dwn_chain_part_gain_db (off, k, 0, 0, 600), ==, -30);
  g_assert_cmpfloat (dwn_chain_part_noise_figure_db (off, k, 600), ==, 30);
}

/* An own gain moves the response and keeps its shape: the FM trap stays a trap. */
static void
test_own_gain_keeps_shape (Fixture *fixture, gconstpointer data)
{
  DwnPart *amp = part_of (fixture, "amp");

  amp->type = "mast-amp-vhf-uhf";
  gear_add (&fixture->gear, fixture->list, "supply", "inserter-12");
  fixture->gear.edge[1].to_part = gear_index (&fixture->gear, "supply");
  gear_join (&fixture->gear, "supply", 0, "split", 0, NULL, 0);
  amp = part_of (fixture, "amp");
  g_autoptr (DwnChain) before = gear_build (&fixture->gear, fixture->list);
  amp->gain_db = 12; /* 10 dB less than the largest, 22 */
  g_autoptr (DwnChain) after = gear_build (&fixture->gear, fixture->list);
  guint k = (guint) dwn_chain_find (after, "amp");
  for (guint in = 0; in < 2; in++)
    for (double mhz = 57; mhz < 700; mhz += 11)
      g_assert_cmpfloat_with_epsilon (dwn_chain_part_gain_db (after, k, in, 0, mhz),
                                      dwn_chain_part_gain_db (before, k, in, 0, mhz) - 10, 1e-9);
}

/* A mast amplifier works once an inserter is on its cable; without one it is the loss of its data
 * sheet, unless somebody asks what if. */
static void
test_supply (Fixture *fixture, gconstpointer data)
{
  DwnPart *amp = part_of (fixture, "amp");

  amp->type = "mast-amp-16-3";
  g_autoptr (DwnChain) without = gear_build (&fixture->gear, fixture->list);
  guint k = (guint) dwn_chain_find (without, "amp");
  g_assert_false (without->powered[k]);
  g_assert_cmpfloat (dwn_chain_part_gain_db (without, k, 0, 0, 600), ==, -30);

  amp->supplied = TRUE;
  g_autoptr (DwnChain) what_if = gear_build (&fixture->gear, fixture->list);
  g_assert_cmpfloat (dwn_chain_part_gain_db (what_if, k, 0, 0, 600), ==, 16);

  amp->supplied = FALSE;
  gear_add (&fixture->gear, fixture->list, "supply", "inserter-12");
  fixture->gear.edge[1].to_part = gear_index (&fixture->gear, "supply");
  gear_join (&fixture->gear, "supply", 0, "split", 0, NULL, 0);
  g_autoptr (DwnChain) with = gear_build (&fixture->gear, fixture->list);
  g_assert_true (with->powered[k]);
  g_assert_cmpfloat (dwn_chain_part_gain_db (with, k, 0, 0, 600), ==, 16);
}

static void
test_cable_of_edge (Fixture *fixture, gconstpointer data)
{
  fixture->gear.edge[1].age_years = 10;
  fixture->gear.edge[1].warmer_k = 20;
  g_autoptr (DwnChain) chain = gear_build (&fixture->gear, fixture->list);
  double new_db = dwn_cable_loss_db (chain->cable[1], 15, 600);

  /* 1 % a year, 0.2 % a kelvin: the data file's figures. */
  g_assert_cmpfloat_with_epsilon (dwn_chain_edge_loss_db (chain, 1, 600), new_db * 1.1 * 1.04,
                                  1e-9);
  g_assert_cmpfloat (dwn_chain_edge_loss_db (chain, 2, 600), ==, 0);
}

/* Each breaks one thing of the fixture. */
static void break_type (Fixture *f) { part_of (f, "amp")->type = "mast-amp"; }
static void break_no_type (Fixture *f) { part_of (f, "amp")->type = NULL; }
static void break_kind (Fixture *f) { part_of (f, "amp")->kind = DWN_PART_SPLITTER; }
static void break_pattern (Fixture *f) { part_of (f, "a")->pattern = NULL; }
static void break_id (Fixture *f) { part_of (f, "tv2")->id = "tv1"; }
static void break_no_id (Fixture *f) { part_of (f, "tv2")->id = NULL; }
static void break_gain (Fixture *f) { part_of (f, "amp")->gain_db = 1e308; }
static void break_noise (Fixture *f) { part_of (f, "amp")->noise_figure_db = -1; }
static void break_price (Fixture *f) { part_of (f, "amp")->price = -1; }
static void break_cable (Fixture *f) { f->gear.edge[0].cable = "series-7"; }
static void break_length (Fixture *f) { f->gear.edge[0].length_m = (double) NAN; }
static void break_age (Fixture *f) { f->gear.edge[0].age_years = -1; }
static void break_out_port (Fixture *f) { f->gear.edge[0].from_port = 2; }
static void break_in_port (Fixture *f) { f->gear.edge[0].to_port = 1; }
static void break_part (Fixture *f) { f->gear.edge[0].to_part = 99; }
static void break_pass (Fixture *f) { part_of (f, "amp")->pass = "470-500"; }

static void
break_two_cables (Fixture *f)
{
  gear_join (&f->gear, "split", 0, "tv1", 0, NULL, 0);
}

static void
break_loop (Fixture *f)
{
  f->gear.n_edges = 2;
  gear_join (&f->gear, "split", 0, "amp", 0, NULL, 0);
}

static void
break_attenuator (Fixture *f)
{
  DwnPart *part = part_of (f, "amp");

  part->type = "attenuator-6";
  part->kind = DWN_PART_ATTENUATOR;
  part->gain_db = 1;
}

static const struct {
  const char *name;
  void (*spoil) (Fixture *fixture);
  DwnChainError code;
  const char *says;
} broken_cases[] = {
  { "type", break_type, DWN_CHAIN_ERROR_TYPE, "mast-amp" },
  { "no-type", break_no_type, DWN_CHAIN_ERROR_TYPE, "amp" },
  { "kind", break_kind, DWN_CHAIN_ERROR_TYPE, "splitter" },
  { "pattern", break_pattern, DWN_CHAIN_ERROR_TYPE, "pattern" },
  { "cable", break_cable, DWN_CHAIN_ERROR_TYPE, "series-7" },
  { "id-twice", break_id, DWN_CHAIN_ERROR_ID, "tv1" },
  { "no-id", break_no_id, DWN_CHAIN_ERROR_ID, "id" },
  { "gain", break_gain, DWN_CHAIN_ERROR_LIMIT, "gain_db" },
  { "noise", break_noise, DWN_CHAIN_ERROR_LIMIT, "noise_figure_db" },
  { "price", break_price, DWN_CHAIN_ERROR_LIMIT, "price" },
  { "attenuator", break_attenuator, DWN_CHAIN_ERROR_LIMIT, "gain_db" },
  { "length", break_length, DWN_CHAIN_ERROR_LIMIT, "tv1" },
  { "age", break_age, DWN_CHAIN_ERROR_LIMIT, "tv1" },
  { "pass", break_pass, DWN_CHAIN_ERROR_LIMIT, "channel filters" },
  { "out-port", break_out_port, DWN_CHAIN_ERROR_PORT, "output 3" },
  { "in-port", break_in_port, DWN_CHAIN_ERROR_PORT, "input 2" },
  { "part", break_part, DWN_CHAIN_ERROR_PORT, "1" },
  { "two-cables", break_two_cables, DWN_CHAIN_ERROR_PORT, "two cables" },
  { "loop", break_loop, DWN_CHAIN_ERROR_LOOP, "circle" },
};

static void
test_broken (Fixture *fixture, gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  const Gear *gear = &fixture->gear;
  g_autoptr (GError) error = NULL;

  broken_cases[i].spoil (fixture);
  g_assert_null (dwn_chain_new (fixture->list, gear->n_parts, gear->part, gear->n_edges,
                                gear->edge, &error));
  g_assert_error (error, DWN_CHAIN_ERROR, (int) broken_cases[i].code);
  g_assert_nonnull (strstr (error->message, broken_cases[i].says));
}

/* Switches: two of two positions are four states; inputs without a cable are no position. */
static void
test_states (Fixture *fixture, gconstpointer data)
{
  Gear gear = { 0 };
  static const char *const id[] = { "a1", "a2", "a3", "a4" };

  for (guint k = 0; k < 4; k++)
    gear_add_antenna (&gear, id[k], fixture->pattern);
  gear_add (&gear, fixture->list, "s1", "switch-2");
  gear_add (&gear, fixture->list, "s2", "switch-4");
  gear_join (&gear, "a1", 0, "s1", 0, NULL, 0);
  gear_join (&gear, "a2", 0, "s1", 1, NULL, 0);
  gear_join (&gear, "a3", 0, "s2", 1, NULL, 0);
  gear_join (&gear, "a4", 0, "s2", 3, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, fixture->list);

  g_assert_cmpuint (chain->n_states, ==, 4);
  guint seen = 0;
  for (guint state = 0; state < 4; state++)
    {
      guint first = dwn_chain_switch_input (chain, gear_index (&gear, "s1"), state);
      guint second = dwn_chain_switch_input (chain, gear_index (&gear, "s2"), state);

      g_assert_true (first <= 1);
      g_assert_true (second == 1 || second == 3);
      seen |= 1u << (first * 4 + second);
    }
  g_assert_cmpuint (seen, ==, (1u << 1 | 1u << 3) * 0x11); /* every pair once */
}

static void
test_too_many (Fixture *fixture, gconstpointer data)
{
  g_autofree DwnPart *parts = g_new0 (DwnPart, 600);
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_chain_new (fixture->list, 600, parts, 0, NULL, &error));
  g_assert_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT);
}

/* Channel filters: the pass-band's loss within, 25 dB beyond 12 MHz, straight between; figures
 * are the data file's. */
static double
filter_db (const Fixture *fixture, const char *pass, guint in, double mhz)
{
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", fixture->pattern);
  gear_add (&gear, fixture->list, "filter", "channel-combiner")->pass = pass;
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, fixture->list);
  return dwn_chain_part_gain_db (chain, 1, in, 0, mhz);
}

static const struct {
  const char *name, *pass;
  guint in;
  double mhz, expected_db;
} pass_cases[] = {
  { "within", "470-500;548-572", 0, 485, -1.5 },
  { "at-edge", "470-500;548-572", 0, 500, -1.5 },
  { "half-down", "470-500;548-572", 0, 506, -13.25 },
  { "down", "470-500;548-572", 0, 512, -25 },
  { "far", "470-500;548-572", 0, 900, -25 },
  { "other-input", "470-500;548-572", 1, 485, -25 },
  { "below", "470-500;548-572", 1, 542, -13.25 },
  { "second-range", "470-500 596-602;548-572", 0, 599, -1.5 },
  { "valley", "470-500 512-530;600-608", 0, 506, -13.25 }, /* slopes meet half-way down */
  { "touching", "470-500 500-530;600-608", 0, 500, -1.5 },
  { "one-frequency", "473-473;600-608", 0, 473, -1.5 },
  { "blanks", " 470-500   548-572 ; 600-608", 0, 560, -1.5 },
};

static void
test_pass (Fixture *fixture, gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);

  g_assert_cmpfloat_with_epsilon (filter_db (fixture, pass_cases[i].pass, pass_cases[i].in,
                                             pass_cases[i].mhz),
                                  pass_cases[i].expected_db, 1e-9);
}

static const char *const broken_passes[] = {
  "", "470-500", "470-500;", ";470-500", "470-500;480-510", "470-500;548-572;600-608",
  "500-470;548-572", "470-500 480-490;548-572", "470;548-572", "a-b;548-572", "470-nan;548-572",
  "-470-500;548-572", "470-1e9;548-572", "470-500;500-530", "470-500;501-530",
};

static void
test_broken_pass (Fixture *fixture, gconstpointer data)
{
  Gear gear = { 0 };

  for (guint k = 0; k < G_N_ELEMENTS (broken_passes); k++)
    {
      g_autoptr (GError) error = NULL;

      gear.n_parts = 0;
      gear_add (&gear, fixture->list, "filter", "channel-combiner")->pass = broken_passes[k];
      g_assert_null (dwn_chain_new (fixture->list, 1, gear.part, 0, NULL, &error));
      g_assert_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT);
    }
}

#define ADD(path, data, test) g_test_add (path, Fixture, data, set_up, test, tear_down)

#define ADD_ROWS(cases, prefix, test)                                      \
  for (gsize k = 0; k < G_N_ELEMENTS (cases); k++)                         \
    {                                                                      \
      g_autofree char *path = g_strconcat (prefix, cases[k].name, NULL);   \
      ADD (path, GSIZE_TO_POINTER (k), test);                              \
    }

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("/chain/shape", NULL, test_shape);
  ADD ("/chain/ownership", NULL, test_ownership);
  ADD ("/chain/own-figures", NULL, test_own_figures);
  ADD ("/chain/own-gain-keeps-shape", NULL, test_own_gain_keeps_shape);
  ADD ("/chain/supply", NULL, test_supply);
  ADD ("/chain/cable-of-edge", NULL, test_cable_of_edge);
  ADD_ROWS (broken_cases, "/chain/broken/", test_broken);
  ADD ("/chain/states", NULL, test_states);
  ADD ("/chain/too-many", NULL, test_too_many);
  ADD_ROWS (pass_cases, "/chain/pass/", test_pass);
  ADD ("/chain/broken-pass", NULL, test_broken_pass);
  return g_test_run ();
}
