/* How far apart antennas hang on one mast. */
#include "core/study/separation.h"

#include <math.h>

#include "core/antenna/catalogue.h"

typedef struct {
  const char *name, *first, *second;
  double second_below_m;
  double apart_m, least_m; /* expected */
} Case;

/* Half a wavelength of the lower of the two, 1 m at least (dealers' tutorials): 0.85 m at 177 MHz, 2.6 m at
 * 57 MHz, where the antennas begin. */
static const Case cases[] = {
  { "uhf-and-high-vhf", "yagi-uhf-20", "yagi-high-vhf-10", 1.5, 1.5, 1.0 },
  { "low-vhf", "yagi-uhf-20", "folded-dipole-low-vhf", 1.5, 1.5, 299.792458 / 57.0 / 2.0 },
  /* One of the stack hangs 0.5 m above its middle. */
  { "stack", "yagi-uhf-20", "stack-above-1.00-yagi-uhf-20", 1.4, 0.9, 1.0 },
  { "side-by-side", "yagi-uhf-20", "stack-beside-1.00-yagi-uhf-20", 1.4, 1.4, 1.0 },
};

static DwnChain *
two_on_a_mast (const Case *c, DwnCatalogue *catalogue, const DwnPartList *list)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPattern) first = dwn_catalogue_pattern (catalogue, c->first, &error);
  g_assert_no_error (error);
  g_autoptr (DwnPattern) second = dwn_catalogue_pattern (catalogue, c->second, &error);
  g_assert_no_error (error);
  DwnPart part[2];

  for (guint a = 0; a < 2; a++)
    {
      dwn_part_init (&part[a]);
      part[a].id = a == 0 ? "a" : "b";
      part[a].kind = DWN_PART_ANTENNA;
      part[a].pattern = a == 0 ? first : second;
      part[a].type = part[a].pattern->id;
    }
  part[1].below_top_m = c->second_below_m;
  DwnChain *gear = dwn_chain_new (list, 2, part, 0, NULL, &error);
  g_assert_no_error (error);
  return gear;
}

static void
test_separation (gconstpointer data)
{
  const Case *c = data;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnPartList) list = dwn_part_list_new (NULL);
  g_autoptr (DwnChain) gear = two_on_a_mast (c, catalogue, list);

  for (guint a = 0; a < 2; a++)
    {
      DwnSeparation separation = dwn_separation_of (gear, a);

      g_assert_cmpint (separation.other, ==, 1 - (int) a);
      g_assert_cmpfloat_with_epsilon (separation.apart_m, c->apart_m, 1e-9);
      g_assert_cmpfloat_with_epsilon (separation.least_m, c->least_m, 0.02);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *path = g_strconcat ("/study/separation/", cases[i].name, NULL);
      g_test_add_data_func (path, &cases[i], test_separation);
    }
  return g_test_run ();
}
