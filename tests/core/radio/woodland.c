#include "core/radio/woodland.h"

#include <math.h>
#include <string.h>

#include "core/data/ini.h"
#include "../../common/edges.h"

/* A = Am (1 − exp (−γ d / Am)) worked separately with the published pairs (105.9 MHz 0.04 dB/m and
 * 9.4 dB; 466.475 MHz 0.12 and 18; 949 MHz 0.17 and 26.5; 2117.5 MHz 0.34 and 34.1): the trade's "20
 * m at 466 MHz about 2 dB, 50 m 5, 100 m 9", and the limit deep inside. */
static const struct {
  const char *name;
  double mhz, depth_m, loss_db;
} in_leaf[] = {
  { "edge", 466.475, 0, 0 },
  { "20-m", 466.475, 20, 2.2468 },
  { "50-m", 466.475, 50, 5.1024 },
  { "100-m", 466.475, 100, 8.7585 },
  { "low", 105.9, 100, 3.2578 },
  { "high", 949, 10, 1.6466 },
  { "deep-low", 105.9, 1e5, 9.4 },
  { "deep-high", 2117.5, 1e5, 34.1 },
};

static DwnWoodland *
load (void)
{
  g_autoptr (GError) error = NULL;
  DwnWoodland *woodland = dwn_woodland_new (&error);

  g_assert_no_error (error);
  return woodland;
}

static void
test_in_leaf (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnWoodland) woodland = load ();

  g_assert_cmpfloat_with_epsilon (dwn_woodland_loss_db (woodland, in_leaf[i].mhz,
                                                        in_leaf[i].depth_m, TRUE),
                                  in_leaf[i].loss_db, 1e-4);
}

static void
test_between_and_beyond (void)
{
  g_autoptr (DwnWoodland) woodland = load ();
  double before_db = 0;

  for (double mhz = 40; mhz < 3000; mhz *= 1.02)
    {
      double loss_db = dwn_woodland_loss_db (woodland, mhz, 30, TRUE);

      g_assert_cmpfloat (loss_db, >, before_db);
      before_db = loss_db;
    }
}

/* Near the edge, where the loss is γ d, leaves add a fifth. */
static void
test_leaves (void)
{
  g_autoptr (DwnWoodland) woodland = load ();
  double summer_db = dwn_woodland_loss_db (woodland, 545, 0.01, TRUE);
  double winter_db = dwn_woodland_loss_db (woodland, 545, 0.01, FALSE);

  g_assert_cmpfloat_with_epsilon (summer_db / winter_db, 1.2, 0.002);
  g_assert_cmpfloat (dwn_woodland_loss_db (woodland, 545, 1e6, FALSE), ==,
                     dwn_woodland_loss_db (woodland, 545, 1e6, TRUE));
}

/* One tree takes 6 to 15 dB: 10.5 with 3.5. */
static void
test_spread (void)
{
  g_autoptr (DwnWoodland) woodland = load ();

  g_assert_cmpfloat_with_epsilon (dwn_woodland_sd_db (woodland, 10.5), 3.5, 0.1);
}

/* Trade questions and answers: one leafy tree close in takes 6 to 15 dB at UHF, about 10. */
static void
test_tree (void)
{
  g_autoptr (DwnWoodland) woodland = load ();
  double leafy_db = dwn_woodland_tree_db (woodland, DWN_BAND_UHF, TRUE);

  g_assert_cmpfloat_with_epsilon (leafy_db, 10.0, 1.0);
  g_assert_cmpfloat_with_epsilon (leafy_db / dwn_woodland_tree_db (woodland, DWN_BAND_UHF, FALSE),
                                  1.2, 0.002);
  g_assert_cmpfloat (dwn_woodland_tree_db (woodland, DWN_BAND_LOW_VHF, TRUE), <, leafy_db);
}

static void
test_outside (void)
{
  g_autoptr (DwnWoodland) woodland = load ();

  g_assert_true (isnan (dwn_woodland_loss_db (woodland, 0, 10, TRUE)));
  g_assert_true (isnan (dwn_woodland_loss_db (woodland, 500, -1, TRUE)));
  g_assert_true (isnan (dwn_woodland_loss_db (woodland, (double) NAN, 10, TRUE)));
}

#define REST \
  "[bare]\ngamma-share=0.8\n[spread]\nsd-share=0.3\n[tree]\nlow-vhf=3\nhigh-vhf=6\nuhf=10\n"

static const struct {
  const char *name, *text;
  DwnIniError code;
} refused[] = {
  { "empty", "", DWN_INI_ERROR_MISSING },
  { "one-frequency", "[in-leaf]\nmhz=100\ngamma=0.1\nlimit=9\n" REST, DWN_INI_ERROR_VALUE },
  { "short-row", "[in-leaf]\nmhz=100,200\ngamma=0.1\nlimit=9,10\n" REST, DWN_INI_ERROR_VALUE },
  { "falling", "[in-leaf]\nmhz=200,100\ngamma=0.1,0.2\nlimit=9,10\n" REST, DWN_INI_ERROR_VALUE },
  { "no-loss", "[in-leaf]\nmhz=100,200\ngamma=0,0.2\nlimit=9,10\n" REST, DWN_INI_ERROR_VALUE },
  { "no-tree", "[in-leaf]\nmhz=100,200\ngamma=0.1,0.2\nlimit=9,10\n[bare]\ngamma-share=0.8\n"
               "[spread]\nsd-share=0.3\n", DWN_INI_ERROR_MISSING },
  { "no-winter", "[in-leaf]\nmhz=100,200\ngamma=0.1,0.2\nlimit=9,10\n", DWN_INI_ERROR_MISSING },
};

static void
test_refused (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GBytes) bytes = g_bytes_new_static (refused[i].text, strlen (refused[i].text));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_woodland_new_from_bytes (bytes, "wood.ini", &error));
  g_assert_error (error, DWN_INI_ERROR, (int) refused[i].code);
  g_assert_true (g_str_has_prefix (error->message, "wood.ini"));
}

static gboolean
read_woodland (GBytes *bytes, GError **error)
{
  g_autoptr (DwnWoodland) woodland = dwn_woodland_new_from_bytes (bytes, "wood.ini", error);

  return woodland != NULL;
}

/* What people may write into a file of their own. */
static void
test_edges (void)
{
  static const FileEdges edges[] = {
    { "in-leaf", "mhz", 1, (double) NAN, NULL, ", 466.475, 949, 1852.2, 2117.5" },
    { "in-leaf", "mhz", (double) NAN, 1e5, "105.9, 466.475, 949, 1852.2, ", NULL },
    { "in-leaf", "gamma", 1e-6, 100, NULL, ", 0.12, 0.17, 0.30, 0.34" },
    { "in-leaf", "limit", 0.1, 200, NULL, ", 18, 26.5, 29, 34.1" },
    { "bare", "gamma-share", 0, 1 }, { "spread", "sd-share", 0, 2 }, { "tree", "low-vhf", 0, 100 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_file ("radio/woodland.ini", read_woodland, &edges[i]);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (in_leaf); i++)
    {
      g_autofree char *path = g_strdup_printf ("/woodland/in-leaf/%s", in_leaf[i].name);

      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_in_leaf);
    }
  g_test_add_func ("/woodland/between-and-beyond", test_between_and_beyond);
  g_test_add_func ("/woodland/leaves", test_leaves);
  g_test_add_func ("/woodland/spread", test_spread);
  g_test_add_func ("/woodland/tree", test_tree);
  g_test_add_func ("/woodland/outside", test_outside);
  g_test_add_func ("/woodland/edges", test_edges);
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *path = g_strdup_printf ("/woodland/refused/%s", refused[i].name);

      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused);
    }
  return g_test_run ();
}
