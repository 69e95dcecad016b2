/* The parts file; what it lets through must be usable: every type in a chain of its own, with
 * gains and noise that are numbers. */
#include <math.h>
#include <stdint.h>

#include "core/chain/cascade.h"
#include "core/chain/power.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

/* Every input has an antenna. */
static void
use_type (const DwnPartList *list, const DwnPartType *type, const DwnPattern *pattern)
{
  static const char *const id[] = { "a", "b", "c", "d", "e", "f", "g", "h" };
  DwnPart part[DWN_MAX_PORTS + 1];
  DwnEdge edge[DWN_MAX_PORTS] = { 0 };
  guint n = type->n_in;

  for (guint k = 0; k <= n; k++)
    {
      dwn_part_init (&part[k]);
      part[k].id = k < n ? id[k] : "part";
      part[k].type = k < n ? NULL : type->id;
      part[k].kind = k < n ? DWN_PART_ANTENNA : type->kind;
      part[k].pattern = pattern;
      if (k < n)
        edge[k] = (DwnEdge) { .from_part = k, .to_part = n, .to_port = k };
    }
  g_autoptr (DwnChain) chain = dwn_chain_new (list, n + 1, part, n, edge, NULL);
  g_assert_nonnull (chain);
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (chain, 500, chain->n_states - 1);
  for (guint p = 0; p < cascade->n_points; p++)
    g_assert_true (isfinite (cascade->out[p].gain[0]) && cascade->out[p].chain_noise >= 0);
  g_autoptr (DwnPower) power = dwn_power_new (chain);
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  double mhz = 500, azimuth_deg = 0, gain_dbi = 0;
  DwnPattern values = {
    .id = "flat", .name = "flat", .source = "", .n_mhz = 1, .n_azimuth = 1, .mhz = &mhz,
    .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi,
  };
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (DwnPattern) pattern = dwn_pattern_new (&values, NULL);
  g_autoptr (DwnPartList) list = dwn_part_list_new_from_bytes (bytes, "input.ini", &error);
  guint n;

  g_assert_true ((list == NULL) == (error != NULL));
  if (list == NULL)
    return 0;
  const DwnPartType *const *type = dwn_part_list_types (list, &n);
  for (guint k = 0; k < n; k++)
    use_type (list, type[k], pattern);
  const DwnCableType *const *cable = dwn_part_list_cables (list, &n);
  for (guint k = 0; k < n; k++)
    g_assert_cmpfloat (dwn_cable_loss_db (cable[k], 10, 500), >=, 0);
  return 0;
}
