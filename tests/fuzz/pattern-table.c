/* Tables of azimuth and gain: refused with a reason, or every gain is a number. */
#include <math.h>
#include <stdint.h>

#include "core/antenna/pattern-table.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_pattern_table_parse (bytes, "fuzz.csv", warnings, &error);

  g_assert_true ((antenna == NULL) == (error != NULL));
  for (double azimuth_deg = 0.0; antenna != NULL && azimuth_deg < 360.0; azimuth_deg += 11.0)
    g_assert_true (isfinite (dwn_pattern_gain_dbi (antenna->pattern, azimuth_deg, 550.0)));
  return 0;
}
