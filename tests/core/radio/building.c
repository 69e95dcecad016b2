#include "core/radio/building.h"

#include "core/data/ini.h"

#include "../../common/edges.h"
#include "vectors.h"

static Table *rows;

static void
test_entry (gconstpointer data)
{
  guint row = GPOINTER_TO_UINT (data);
  DwnBuilding building = table_number (rows, row, "class") < 1.5 ? DWN_BUILDING_TRADITIONAL
                                                                 : DWN_BUILDING_EFFICIENT;
  gboolean reference = strcmp (table_text (rows, row, "kind"), "reference") == 0;
  double loss_db = dwn_building_entry_loss_db (building, table_number (rows, row, "f_ghz") * 1000,
                                               table_number (rows, row, "elevation_deg"),
                                               table_number (rows, row, "p_pct"));

  g_assert_cmpfloat_with_epsilon (loss_db, table_number (rows, row, "loss_db"),
                                  reference ? 0.01 : 0.00051);
}

static void
test_outside (void)
{
  g_assert_true (isnan (dwn_building_entry_loss_db (DWN_BUILDING_TRADITIONAL, 79.9, 0, 50)));
  g_assert_true (isnan (dwn_building_entry_loss_db (DWN_BUILDING_TRADITIONAL, 1.1e5, 0, 50)));
  g_assert_true (isnan (dwn_building_entry_loss_db (DWN_BUILDING_TRADITIONAL, 500, 0, 0)));
  g_assert_true (isnan (dwn_building_entry_loss_db (DWN_BUILDING_TRADITIONAL, 500, 0, 100)));
  g_assert_true (isnan (dwn_building_entry_loss_db (DWN_BUILDING_TRADITIONAL, 500, 91, 50)));
  g_assert_true (isnan (dwn_building_median_db (DWN_BUILDING_TRADITIONAL, 0)));
  g_assert_true (isnan (dwn_building_sd_db (DWN_BUILDING_TRADITIONAL, (double) NAN)));
}

/* 545 MHz: 5.725, 14.002 and 24.149 dB at 10, 50 and 90 % (the table); 2 × 1.28155 between. */
static void
test_median_and_spread (void)
{
  g_assert_cmpfloat_with_epsilon (dwn_building_median_db (DWN_BUILDING_TRADITIONAL, 545), 14.002,
                                  0.00051);
  g_assert_cmpfloat_with_epsilon (dwn_building_sd_db (DWN_BUILDING_TRADITIONAL, 545),
                                  (24.149 - 5.725) / 2.5631, 0.001);
  g_assert_cmpfloat_with_epsilon (dwn_building_median_db (DWN_BUILDING_TRADITIONAL, 57), 14.347,
                                  0.00051);
}

static void
test_ids (void)
{
  for (DwnBuilding building = 0; building < DWN_N_BUILDINGS; building++)
    {
      DwnBuilding back;

      g_assert_true (dwn_building_from_id (dwn_building_id (building), &back));
      g_assert_cmpint (back, ==, building);
    }
  g_assert_false (dwn_building_from_id ("castle", &(DwnBuilding) { 0 }));
}

/* Trade sources: dry shingle 1.5 to 3 dB, attics altogether 3 to 13 dB, metal 20 dB or more. */
static void
test_roofs (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnRoofTable) table = dwn_roof_table_new (&error);
  gsize n;

  g_assert_no_error (error);
  dwn_roof_table_roofs (table, &n);
  g_assert_cmpuint (n, >, 5);
  g_assert_null (dwn_roof_table_find (table, "thatch of gold"));

  const DwnRoof *shingle = dwn_roof_table_find (table, "shingle");
  const DwnRoof *metal = dwn_roof_table_find (table, "metal");
  const DwnRoof *unknown = dwn_roof_table_find (table, "unknown");
  for (DwnBand band = 0; band < DWN_N_BANDS; band++)
    {
      g_assert_cmpfloat (shingle->loss_db[band], >=, 1.5);
      g_assert_cmpfloat (shingle->loss_db[band], <=, 3);
      g_assert_cmpfloat (metal->loss_db[band], >=, 20);
      g_assert_cmpfloat (unknown->loss_db[band], >=, 3);
      g_assert_cmpfloat (unknown->loss_db[band], <=, 13);
    }
  g_assert_true (metal->common_practice);
}

static const struct {
  const char *name, *text;
  DwnIniError code;
} refused[] = {
  { "no-name", "[a]\nlow-vhf=1\nhigh-vhf=1\nuhf=1\nsd=1\nsource=x\n", DWN_INI_ERROR_MISSING },
  { "no-source", "[a]\nname=A\nlow-vhf=1\nhigh-vhf=1\nuhf=1\nsd=1\n", DWN_INI_ERROR_MISSING },
  { "a-band-missing", "[a]\nname=A\nsource=x\nlow-vhf=1\nuhf=1\nsd=1\n", DWN_INI_ERROR_MISSING },
  { "gain", "[a]\nname=A\nsource=x\nlow-vhf=-1\nhigh-vhf=1\nuhf=1\nsd=1\n", DWN_INI_ERROR_VALUE },
  { "words", "[a]\nname=A\nsource=x\nlow-vhf=few\nhigh-vhf=1\nuhf=1\nsd=1\n",
    DWN_INI_ERROR_VALUE },
};

static void
test_refused_roofs (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GBytes) bytes = g_bytes_new_static (refused[i].text, strlen (refused[i].text));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_roof_table_new_from_bytes (bytes, "roofs.ini", &error));
  g_assert_error (error, DWN_INI_ERROR, (int) refused[i].code);
  g_assert_true (g_str_has_prefix (error->message, "roofs.ini"));
}

static gboolean
read_file (GBytes *bytes, GError **error)
{
  g_autoptr (DwnRoofTable) table = dwn_roof_table_new_from_bytes (bytes, "roofs.ini", error);

  return table != NULL;
}

/* What people may write into a file of their own. */
static void
test_edges (void)
{
  static const FileEdges edges[] = {
    { "unknown", "low-vhf", 0, 100 }, { "unknown", "high-vhf", 0, 100 }, { "unknown", "uhf", 0, 100 },
    { "unknown", "sd", 0, 30 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_file ("radio/building.ini", read_file, &edges[i]);
}

int
main (int argc, char **argv)
{
  int status;

  g_test_init (&argc, &argv, NULL);

  rows = table_load ("p2109.csv");
  g_assert_cmpuint (rows->rows->len, ==, 37);
  for (guint i = 0; i < rows->rows->len; i++)
    {
      g_autofree char *path = g_strdup_printf ("/building/entry/%u", i);

      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_entry);
    }
  g_test_add_func ("/building/outside", test_outside);
  g_test_add_func ("/building/median-and-spread", test_median_and_spread);
  g_test_add_func ("/building/ids", test_ids);
  g_test_add_func ("/building/roofs", test_roofs);
  for (gsize i = 0; i < G_N_ELEMENTS (refused); i++)
    {
      g_autofree char *path = g_strdup_printf ("/building/refused/%s", refused[i].name);

      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused_roofs);
    }
  g_test_add_func ("/building/edges", test_edges);
  status = g_test_run ();
  table_free (rows);
  return status;
}
