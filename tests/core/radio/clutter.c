#include "core/radio/clutter.h"

#include "core/radio/knife-edge.h"

#include "vectors.h"

static Table *rows;

static void
test_height_gain (gconstpointer data)
{
  guint row = GPOINTER_TO_UINT (data);
  DwnClutter clutter = (DwnClutter) (table_number (rows, row, "kind") - 1);
  double loss_db = dwn_clutter_loss_db (clutter, table_number (rows, row, "f_ghz") * 1000,
                                        table_number (rows, row, "antenna_m"),
                                        table_number (rows, row, "clutter_m"),
                                        table_number (rows, row, "street_m"));

  if (table_number (rows, row, "rtn") != 0)
    g_assert_true (isnan (loss_db));
  else /* the table is rounded to 0.1 dB */
    g_assert_cmpfloat_with_epsilon (loss_db, table_number (rows, row, "loss_db"), 0.0501);
}

/* Default heights of ITU-R P.2108-1 §3.1. */
static void
test_kinds (void)
{
  static const double heights_m[DWN_N_CLUTTERS] = { 10, 10, 10, 15, 15, 20 };

  for (DwnClutter clutter = 0; clutter < DWN_N_CLUTTERS; clutter++)
    {
      DwnClutter back;

      g_assert_cmpfloat (dwn_clutter_height_m (clutter), ==, heights_m[clutter]);
      g_assert_true (dwn_clutter_from_id (dwn_clutter_id (clutter), &back));
      g_assert_cmpint (back, ==, clutter);
    }
  g_assert_false (dwn_clutter_from_id ("jungle", &(DwnClutter) { 0 }));
}

/* An edge on the line takes half the field, 6.02 dB; far behind it the Fresnel integral goes as
 * 12.953 + 20 log ν (Cornu spiral); the fit of P.526 is within 0.1 dB. */
static void
test_knife_edge (void)
{
  g_assert_cmpfloat_with_epsilon (dwn_knife_edge_loss_db (0), 6.02, 0.1);
  g_assert_cmpfloat_with_epsilon (dwn_knife_edge_loss_db (10), 32.953, 0.1);
  g_assert_cmpfloat_with_epsilon (dwn_knife_edge_loss_db (100), 52.953, 0.1);
  g_assert_cmpfloat_with_epsilon (dwn_knife_edge_loss_db (-0.77), 0, 0.1);
  g_assert_cmpfloat (dwn_knife_edge_loss_db (-0.78), ==, 0);
}

int
main (int argc, char **argv)
{
  int status;

  g_test_init (&argc, &argv, NULL);

  rows = table_load ("p2108-height-gain.csv");
  g_assert_cmpuint (rows->rows->len, ==, 23);
  for (guint i = 0; i < rows->rows->len; i++)
    {
      g_autofree char *path = g_strdup_printf ("/clutter/height-gain/%u", i);

      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_height_gain);
    }
  g_test_add_func ("/clutter/kinds", test_kinds);
  g_test_add_func ("/clutter/knife-edge", test_knife_edge);
  status = g_test_run ();
  table_free (rows);
  return status;
}
