#include "core/chain/power.h"

#include "gear.h"

/* The faults are those of the trade sheet's list of usual mistakes (sections A and B). */

typedef struct {
  const char *fault, *part, *other, *amplifier;
} Expected;

/* Joins types in a row behind antenna "a"; ids are "p1", "p2" and so on. */
static void
add_row (Gear *gear, const DwnPartList *list, const char *row)
{
  g_auto (GStrv) type = g_strsplit (row, " ", -1);

  for (guint k = 0; type[k] != NULL; k++)
    {
      g_autofree char *id = g_strdup_printf ("p%u", k + 1);

      gear_add (gear, list, g_intern_string (id), g_intern_string (type[k]));
      gear_join_last (gear, "series-6", 5);
    }
}

static const char *
id_of (const DwnChain *chain, int part)
{
  return part >= 0 ? chain->part[part].id : NULL;
}

/* The cable on which a finding is drawn: what leaves the amplifier that goes without, what leaves the
 * part that lets nothing through, what leads to the inserter that gives too much or nothing. */
static void
check_edge (const DwnChain *chain, const DwnPowerFinding *finding)
{
  g_assert_cmpint (finding->edge, >=, 0);
  g_assert_cmpint (finding->edge, <, (int) chain->n_edges);

  const DwnEdge *edge = &chain->edge[finding->edge];
  switch (finding->fault)
    {
    case DWN_POWER_NO_SUPPLY:
    case DWN_POWER_VOLTS:
      g_assert_cmpint ((int) edge->from_part, ==, finding->amplifier);
      break;
    case DWN_POWER_BLOCKED:
      g_assert_cmpuint (edge->from_part, ==, finding->part);
      break;
    case DWN_POWER_WRONG_SIDE:
      g_assert_cmpint ((int) edge->from_part, ==, finding->other);
      break;
    case DWN_POWER_CURRENT:
    case DWN_POWER_IDLE:
      g_assert_cmpuint (edge->to_part, ==, finding->part);
      break;
    case DWN_POWER_SHORTED:
      g_assert_cmpuint (edge->from_part, ==, finding->part);
      break;
    case DWN_POWER_TWO_SUPPLIES:
      g_assert_true ((int) edge->to_part == finding->other || edge->to_part == finding->part);
      break;
    }
}

static void
check (const DwnChain *chain, const Expected *expected)
{
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  guint n = 0;

  for (; expected[n].fault != NULL; n++)
    {
      g_assert_cmpuint (power->n_findings, >, n);
      const DwnPowerFinding *finding = &power->finding[n];

      g_assert_cmpstr (dwn_power_fault_id (finding->fault), ==, expected[n].fault);
      g_assert_cmpstr (chain->part[finding->part].id, ==, expected[n].part);
      g_assert_cmpstr (id_of (chain, finding->other), ==, expected[n].other);
      g_assert_cmpstr (id_of (chain, finding->amplifier), ==, expected[n].amplifier);
      check_edge (chain, finding);
    }
  g_assert_cmpuint (power->n_findings, ==, n);
}

static const struct {
  const char *name, *row;
  Expected expected[3];
} row_cases[] = {
  /* Sound ones. */
  { "sound/no-amplifier", "balun surge-block splitter-2 wall-plate tuner-atsc", { { 0 } } },
  { "sound/mast", "balun mast-amp-16-3 inserter-12 tuner-atsc", { { 0 } } },
  { "sound/mast-5-volts", "mast-amp-20-2 inserter-5 tuner-dvbt", { { 0 } } },
  { "sound/through-surge", "balun mast-amp-25-3 surge-block ground-block inserter-12 splitter-4 "
    "tuner-atsc", { { 0 } } },
  { "sound/through-splitter", "mast-amp-16-3 splitter-2-dc inserter-12 tuner-atsc", { { 0 } } },
  { "sound/through-tap", "mast-amp-16-3 tap-18 inserter-12 tuner-atsc", { { 0 } } },
  { "sound/mains", "balun dist-amp-20 splitter-4 tuner-atsc", { { 0 } } },
  { "sound/filter-ahead", "balun fm-trap mast-amp-16-3 joint wall-plate inserter-12 tuner-dvbt2",
    { { 0 } } },
  /* Faults. */
  { "no-supply", "balun mast-amp-16-3 surge-block tuner-atsc",
    { { "no-supply", "p2", NULL, "p2" } } },
  { "blocked/surge", "balun mast-amp-16-3 surge-block-no-dc inserter-12 tuner-atsc",
    { { "blocked", "p3", NULL, "p2" } } },
  { "blocked/attenuator", "balun mast-amp-16-3 attenuator-6 inserter-12 tuner-atsc",
    { { "blocked", "p3", NULL, "p2" } } },
  { "blocked/former-feed", "mast-amp-16-3 former-feed inserter-12 tuner-atsc",
    { { "blocked", "p2", NULL, "p1" } } },
  { "blocked/nearest", "mast-amp-16-3 surge-block-no-dc wall-plate-isolated inserter-12 tuner-atsc",
    { { "blocked", "p2", NULL, "p1" } } },
  /* The second of two mast amplifiers has the only way to the supply. */
  { "blocked/amplifier", "mast-amp-16-3 mast-amp-16-3 inserter-12 tuner-atsc",
    { { "blocked", "p2", NULL, "p1" } } },
  { "wrong-side/splitter", "balun mast-amp-16-3 splitter-4 inserter-12 tuner-atsc",
    { { "wrong-side", "p4", "p3", "p2" } } },
  { "wrong-side/antenna", "inserter-12 mast-amp-16-3 tuner-atsc",
    { { "wrong-side", "p1", "p2", "p2" } } },
  { "shorted/balun", "balun fm-trap inserter-12 tuner-atsc", { { "shorted", "p1", NULL, NULL } } },
  { "volts/too-much", "mast-amp-20-2 inserter-12 tuner-atsc", { { "volts", "p1", NULL, "p1" } } },
  { "volts/too-little", "mast-amp-16-3 inserter-5 tuner-atsc", { { "volts", "p1", NULL, "p1" } } },
  { "idle", "dist-amp-10 inserter-12 tuner-atsc", { { "idle", "p2", NULL, NULL } } },
};

static void
test_row (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  add_row (&gear, list, row_cases[i].row);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);
  check (chain, row_cases[i].expected);
}

/* In which order parts and cables are listed is nobody's matter: with the television, the last in the
 * row, or without it, and then mostly the inserter, first in the list. */
static void
test_row_turned (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);

  for (guint stay = 0; stay < 2; stay++)
    {
      Gear gear = { 0 };

      gear_add_antenna (&gear, "a", pattern);
      add_row (&gear, list, row_cases[i].row);
      gear_turn_round (&gear, gear.n_parts - stay);
      g_autoptr (DwnChain) chain = gear_build (&gear, list);
      check (chain, row_cases[i].expected);
    }
}

/* Nothing in between but a cable or none: 12 volts asked for, within 15 % (power.h). */
static void
test_volts (void)
{
  static const struct {
    double volts;
    gboolean same;
  } cases[] = { { 10.0, FALSE }, { 10.3, TRUE }, { 12, TRUE }, { 13.7, TRUE }, { 13.9, FALSE } };
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *text = g_strdup_printf (
        "[part amp]\nkind=amplifier\nname=A\nsource=test\ngain=16\nnoise-figure=3\n"
        "unpowered-loss-db=30\ndc-out=need\nvolts=12\nmilliamps=60\n"
        "[part supply]\nkind=inserter\nname=P\nsource=test\ngain=-0.5\ndc-in=inject\nvolts=%.1f\n"
        "milliamps=60\n", cases[i].volts);
      g_autoptr (DwnPartList) list = gear_list_of_text (text);
      Gear gear = { 0 };

      gear_add_antenna (&gear, "a", pattern);
      gear_add (&gear, list, "amp", "amp");
      gear_join_last (&gear, NULL, 0);
      gear_add (&gear, list, "supply", "supply");
      gear_join_last (&gear, NULL, 0);
      g_autoptr (DwnChain) chain = gear_build (&gear, list);
      g_autoptr (DwnPower) power = dwn_power_new (chain);

      g_assert_cmpuint (power->n_findings, ==, cases[i].same ? 0 : 1);
      if (cases[i].same)
        continue;
      g_assert_cmpfloat (power->finding[0].value, ==, cases[i].volts);
      g_assert_cmpfloat (power->finding[0].limit, ==, 12);
    }
  dwn_power_free (NULL);
}

/* The inserter stands on the second leg of a splitter whose first leg passes DC. */
static void
test_wrong_leg (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  add_row (&gear, list, "mast-amp-16-3 splitter-2-dc");
  gear_add (&gear, list, "supply", "inserter-12");
  gear_join (&gear, "p2", 1, "supply", 0, "series-6", 10);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  check (chain, (Expected[]) { { "blocked", "p2", NULL, "p1" }, { 0 } });
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  g_assert_cmpfloat (power->finding[0].value, ==, 2);
  g_assert_cmpint (power->finding[0].supply, ==, dwn_chain_find (chain, "supply"));
}

/* Two mast amplifiers ahead of a combiner that passes DC to one of them only. */
static void
test_combiner (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  gear_add (&gear, list, "vhf-amp", "mast-amp-16-3");
  gear_add (&gear, list, "uhf-amp", "mast-amp-16-3");
  gear_add (&gear, list, "join", "diplexer-vhf-uhf-dc");
  gear_join (&gear, "a", 0, "vhf-amp", 0, NULL, 0);
  gear_join (&gear, "b", 0, "uhf-amp", 0, NULL, 0);
  gear_join (&gear, "vhf-amp", 0, "join", 0, NULL, 0);
  gear_join (&gear, "uhf-amp", 0, "join", 1, NULL, 0);
  gear_add (&gear, list, "supply", "inserter-12");
  gear_join_last (&gear, "series-6", 15);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  check (chain, (Expected[]) { { "blocked", "join", NULL, "vhf-amp" }, { 0 } });
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  g_assert_true (power->powered[gear_index (&gear, "uhf-amp")]);
  g_assert_false (power->powered[gear_index (&gear, "vhf-amp")]);
  g_assert_cmpfloat (power->edge_volts[3], ==, 12);
  g_assert_true (isnan (power->edge_volts[2]));
  g_assert_cmpfloat (power->edge_volts[4], ==, 12);

  g_assert_false (chain->powered[gear_index (&gear, "vhf-amp")]);
  g_assert_true (chain->powered[gear_index (&gear, "uhf-amp")]);
}

/* Two sets with an inserter each behind a splitter that passes DC on both legs. */
static void
test_two_supplies (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  add_row (&gear, list, "mast-amp-16-3 splitter-2-dc-all inserter-12");
  gear_add (&gear, list, "second", "inserter-12");
  gear_join (&gear, "p2", 1, "second", 0, "series-6", 10);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  check (chain, (Expected[]) { { "two-supplies", "p3", "second", NULL }, { 0 } });
}

static void
test_current (void)
{
  static const char parts[] =
    "[part amp]\nkind=amplifier\nname=A\nsource=test\ngain=10\nnoise-figure=3\n"
    "unpowered-loss-db=30\ndc-out=need\nvolts=12\nmilliamps=60\n"
    "[part split]\nkind=combiner\nname=S\nsource=test\ninputs=2\ngain=-3.5\ndc-in=pass\n"
    "dc-out=pass\n"
    "[part supply]\nkind=inserter\nname=P\nsource=test\ngain=-0.5\ndc-in=inject\nvolts=13\n"
    "milliamps=100\n";
  g_autoptr (DwnPartList) list = gear_list_of_text (parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  gear_add (&gear, list, "amp-a", "amp");
  gear_add (&gear, list, "amp-b", "amp");
  gear_add (&gear, list, "join", "split");
  gear_join (&gear, "a", 0, "amp-a", 0, NULL, 0);
  gear_join (&gear, "b", 0, "amp-b", 0, NULL, 0);
  gear_join (&gear, "amp-a", 0, "join", 0, NULL, 0);
  gear_join (&gear, "amp-b", 0, "join", 1, NULL, 0);
  gear_add (&gear, list, "supply", "supply");
  gear_join_last (&gear, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  check (chain, (Expected[]) { { "current", "supply", NULL, NULL }, { 0 } });
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  g_assert_cmpfloat (power->finding[0].value, ==, 120); /* 2 · 60 mA */
  g_assert_cmpfloat (power->finding[0].limit, ==, 100);
}

/* A loop antenna's balun on one leg shorts what would feed the amplifier on the other. */
static void
test_short_takes_all (void)
{
  static const char parts[] =
    "[part join]\nkind=combiner\nname=J\nsource=test\ninputs=2\ngain=-3.5\nhybrid=true\n"
    "dc-in=pass\ndc-out=pass\n"
    "[part balun]\nkind=balun\nname=B\nsource=test\ngain=-0.7\ndc-out=short\n"
    "[part amp]\nkind=amplifier\nname=A\nsource=test\ngain=16\nnoise-figure=3\n"
    "unpowered-loss-db=30\ndc-out=need\nvolts=12\nmilliamps=60\n"
    "[part supply]\nkind=inserter\nname=P\nsource=test\ngain=-0.5\ndc-in=inject\nvolts=12\n"
    "milliamps=100\n";
  g_autoptr (DwnPartList) list = gear_list_of_text (parts);
  g_autoptr (DwnPattern) pattern = gear_flat_pattern ("flat", 0);
  Gear gear = { 0 };

  gear_add_antenna (&gear, "a", pattern);
  gear_add_antenna (&gear, "b", pattern);
  gear_add (&gear, list, "amp", "amp");
  gear_add (&gear, list, "balun", "balun");
  gear_add (&gear, list, "join", "join");
  gear_add (&gear, list, "supply", "supply");
  gear_join (&gear, "a", 0, "amp", 0, NULL, 0);
  gear_join (&gear, "b", 0, "balun", 0, NULL, 0);
  gear_join (&gear, "amp", 0, "join", 0, NULL, 0);
  gear_join (&gear, "balun", 0, "join", 1, NULL, 0);
  gear_join (&gear, "join", 0, "supply", 0, NULL, 0);
  g_autoptr (DwnChain) chain = gear_build (&gear, list);

  check (chain, (Expected[]) { { "shorted", "balun", NULL, NULL }, { 0 } });
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  g_assert_false (power->powered[gear_index (&gear, "amp")]);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize k = 0; k < G_N_ELEMENTS (row_cases); k++)
    {
      g_autofree char *path = g_strconcat ("/power/", row_cases[k].name, NULL);
      g_autofree char *turned = g_strconcat ("/power/turned/", row_cases[k].name, NULL);
      g_test_add_data_func (path, GSIZE_TO_POINTER (k), test_row);
      g_test_add_data_func (turned, GSIZE_TO_POINTER (k), test_row_turned);
    }
  g_test_add_func ("/power/volts", test_volts);
  g_test_add_func ("/power/wrong-leg", test_wrong_leg);
  g_test_add_func ("/power/combiner", test_combiner);
  g_test_add_func ("/power/two-supplies", test_two_supplies);
  g_test_add_func ("/power/current", test_current);
  g_test_add_func ("/power/short-takes-all", test_short_takes_all);
  return g_test_run ();
}
