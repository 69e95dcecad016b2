/* Cost of the gear's sums: a table of cascades (78 frequencies, 4 outlets), levels and products of
 * 80 stations and 20 FM stations for one aim. */
#include "core/chain/overload.h"

#define N_STATIONS 78
#define N_CARRIERS 100
#define N_RUNS 200

/* Two antennas, band combiner, mast amplifier, inserter, amplifier with four outputs, plates and
 * sets. */
static DwnChain *
house_gear (const DwnPartList *list)
{
  double mhz = 500, azimuth_deg = 0, gain_dbi = 8;
  DwnPattern values = {
    .id = "flat", .name = "flat", .source = "", .n_mhz = 1, .n_azimuth = 1, .mhz = &mhz,
    .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi,
  };
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);
  static const char *const type[] = {
    NULL, NULL, "balun", "balun", "diplexer-vhf-uhf", "mast-amp-16-3", "surge-block", "inserter-12",
    "dist-amp-4way", "wall-plate", "wall-plate", "wall-plate", "wall-plate", "tuner-atsc",
    "tuner-atsc", "tuner-atsc", "tuner-atsc",
  };
  static const DwnEdge edge[] = {
    { 0, 0, 2, 0 }, { 1, 0, 3, 0 }, { 2, 0, 4, 0, "series-6", 1 }, { 3, 0, 4, 1, "series-6", 2 },
    { 4, 0, 5, 0 }, { 5, 0, 6, 0, "series-6", 12 }, { 6, 0, 7, 0, "series-6", 4 }, { 7, 0, 8, 0 },
    { 8, 0, 9, 0, "series-59", 5 }, { 8, 1, 10, 0, "series-59", 8 },
    { 8, 2, 11, 0, "series-59", 12 }, { 8, 3, 12, 0, "series-59", 15 },
    { 9, 0, 13, 0 }, { 10, 0, 14, 0 }, { 11, 0, 15, 0 }, { 12, 0, 16, 0 },
  };
  DwnPart part[G_N_ELEMENTS (type)];

  for (guint k = 0; k < G_N_ELEMENTS (type); k++)
    {
      g_autofree char *id = g_strdup_printf ("p%u", k);

      dwn_part_init (&part[k]);
      part[k].id = g_intern_string (id);
      part[k].type = type[k] != NULL ? type[k] : "flat";
      part[k].kind = type[k] != NULL ? dwn_part_list_find (list, type[k])->kind : DWN_PART_ANTENNA;
      part[k].pattern = pattern;
    }
  return dwn_chain_new (list, G_N_ELEMENTS (type), part, G_N_ELEMENTS (edge), edge, NULL);
}

static double
cascades_ms (const DwnChain *chain)
{
  gint64 start = g_get_monotonic_time ();
  double sum = 0;

  for (guint run = 0; run < N_RUNS; run++)
    for (guint k = 0; k < N_STATIONS; k++)
      {
        g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 57 + 7 * k, 0);

        for (guint o = 0; o < chain->n_outlets; o++)
          sum += dwn_cascade_input (cascade, chain, chain->outlet[o], 0)->chain_noise;
      }
  g_assert_cmpfloat (sum, >, 0);
  return (double) (g_get_monotonic_time () - start) / 1000 / N_RUNS;
}

static void
fill_carriers (DwnCarrier *carrier)
{
  for (guint c = 0; c < N_CARRIERS; c++)
    if (c < 80)
      carrier[c] = (DwnCarrier) { c < 12 ? 177 + 6 * (c % 7) : 473 + 6 * (c % 23), 6, TRUE };
    else
      carrier[c] = (DwnCarrier) { 88.1 + (c - 80), 0, FALSE };
}

static void
print_overload (const DwnChain *chain)
{
  DwnCarrier carrier[N_CARRIERS];
  double terminal_mw[2 * N_CARRIERS];
  gint64 start = g_get_monotonic_time ();

  fill_carriers (carrier);
  for (guint k = 0; k < G_N_ELEMENTS (terminal_mw); k++)
    terminal_mw[k] = 1e-5;
  g_autoptr (DwnOverload) overload = dwn_overload_new (chain, 0, N_CARRIERS, carrier);
  g_autofree double *level_mw = g_new (double, overload->n_points * N_CARRIERS);
  g_autofree double *total_mw = g_new (double, overload->n_points);
  g_autofree double *product_mw = g_new (double, overload->n_sinks * N_CARRIERS);
  g_autofree gpointer workspace = g_malloc (dwn_overload_workspace_size (overload));
  double prepare_ms = (double) (g_get_monotonic_time () - start) / 1000;

  start = g_get_monotonic_time ();
  for (guint run = 0; run < N_RUNS; run++)
    dwn_overload_levels (overload, terminal_mw, level_mw, total_mw);
  double levels_ms = (double) (g_get_monotonic_time () - start) / 1000 / N_RUNS;

  start = g_get_monotonic_time ();
  for (guint run = 0; run < N_RUNS; run++)
    dwn_overload_products (overload, level_mw, product_mw, workspace);
  double products_ms = (double) (g_get_monotonic_time () - start) / 1000 / N_RUNS;

  g_print ("overload, %d carriers at %u points: prepared once in %.3f ms; for each aim levels %.4f "
           "ms, products %.4f ms\n", N_CARRIERS, overload->n_points, prepare_ms, levels_ms,
           products_ms);
}

int
main (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPartList) list = dwn_part_list_new (&error);

  g_assert_no_error (error);
  g_autoptr (DwnChain) chain = house_gear (list);
  g_assert_nonnull (chain);
  g_print ("cascades, %d frequencies and %u outlets: %.4f ms\n", N_STATIONS, chain->n_outlets,
           cascades_ms (chain));
  print_overload (chain);
  return 0;
}
