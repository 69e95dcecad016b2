/* Counts and sums that can be made by hand. */
#include "core/study/parts-list.h"

#include <math.h>

#include "example-plan.h"

static const DwnPartsRules rules = { .waste_share = 0.1, .whole_m = 1.0, .connector_price = 0.5,
                                     .terminator_price = 2.0 };

static const DwnPartsLine *
find (const DwnPartsList *list, DwnPartsKind kind, const char *type)
{
  for (guint k = 0; k < list->n; k++)
    if (list->line[k].kind == kind && g_str_equal (list->line[k].type, type))
      return &list->line[k];
  g_assert_not_reached ();
}

/* The example: an antenna, an amplifier, an inserter, a splitter; 20 + 8 + 14 m in three cables. */
static void
test_example (void)
{
  Example e;

  example_open (&e, ">", EXAMPLE_GEAR, "");
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (e.plan->gear, &rules);
  const DwnPartsLine *cable = find (list, DWN_PARTS_CABLE, "series-6");

  g_assert_cmpuint (list->n, ==, 6);
  g_assert_cmpuint (cable->count, ==, 3);
  g_assert_cmpfloat (cable->laid_m, ==, 42.0);
  g_assert_cmpfloat (cable->bought_m, ==, 47.0); /* 46.2, in whole metres */
  g_assert_cmpuint (find (list, DWN_PARTS_CONNECTOR, "series-6")->count, ==, 6);
  g_assert_cmpfloat (find (list, DWN_PARTS_CONNECTOR, "series-6")->price, ==, 3.0);
  g_assert_cmpuint (list->n_unpriced, ==, 5);
  g_assert_cmpfloat (list->total, ==, 3.0);
  example_close (&e);
}

/* Parts of one type at two prices are two lines; a capped splitter brings its caps. */
static void
test_prices_and_caps (void)
{
  Example e;
  static const char gear[] =
    "<gear><part id='a' kind='antenna' type='dipole' price='30' aim-deg='0'/>"
    "<part id='s' kind='splitter' type='splitter-4' capped='yes' price='7.5'/>"
    "<part id='p' kind='plate' type='wall-plate' price='4'/><part id='q' kind='plate' type='wall-plate' price='5'/>"
    "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>"
    "<join from='a' to='s'/><join from='s' to='p'/><join from='s' from-port='2' to='q'/>"
    "<join from='p' to='tv1'/><join from='q' to='tv2'/></gear>";

  example_open (&e, ">", gear, "");
  g_autoptr (DwnPartsList) list = dwn_parts_list_new (e.plan->gear, &rules);

  g_assert_cmpuint (list->n, ==, 5);
  g_assert_cmpuint (find (list, DWN_PARTS_TERMINATOR, "")->count, ==, 2);
  g_assert_cmpuint (list->n_unpriced, ==, 0);
  g_assert_cmpfloat (list->total, ==, 30.0 + 7.5 + 4.0 + 5.0 + 2 * 2.0);
  example_close (&e);
}

/* 10 m and a tenth are 11 m and not 12: the sum of binary fractions does not buy a metre more. */
static void
test_whole_lengths (void)
{
  static const struct {
    double laid_m, bought_m;
  } cases[] = { { 10, 11 }, { 10.01, 12 }, { 0.5, 1 }, { 91, 101 }, { 100, 110 } };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      Example e;
      g_autofree char *gear = g_strdup_printf (
        "<gear><part id='a' kind='antenna' type='dipole' aim-deg='0'/><part id='tv' kind='outlet'"
        " type='tuner-atsc'/><join from='a' to='tv' cable='series-11' length-m='%.2f'/></gear>",
        cases[i].laid_m);

      example_open (&e, ">", gear, "");
      g_autoptr (DwnPartsList) list = dwn_parts_list_new (e.plan->gear, &rules);
      g_assert_cmpfloat_with_epsilon (find (list, DWN_PARTS_CABLE, "series-11")->bought_m,
                                      cases[i].bought_m, 1e-9);
      example_close (&e);
    }
}

static void
test_rules (void)
{
  g_autoptr (GError) error = NULL;
  DwnPartsRules read;

  g_assert_true (dwn_parts_rules_load (&read, &error));
  g_assert_no_error (error);
  g_assert_cmpfloat (read.waste_share, ==, 0.1); /* a tenth: common practice, no source */
  g_assert_true (isnan (read.connector_price));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/study/parts-list/example", test_example);
  g_test_add_func ("/study/parts-list/prices-and-caps", test_prices_and_caps);
  g_test_add_func ("/study/parts-list/whole-lengths", test_whole_lengths);
  g_test_add_func ("/study/parts-list/rules", test_rules);
  return g_test_run ();
}
