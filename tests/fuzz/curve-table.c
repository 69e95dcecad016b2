/* Tables of field strength, and the surface laid through them. */
#include <math.h>
#include <stdint.h>

#include "core/radio/curve-table.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnSurface) surface = dwn_curve_table_read (bytes, "input.csv", &error);

  g_assert_true ((surface == NULL) == (error != NULL));
  if (surface != NULL)
    {
      g_assert_true (isfinite (dwn_surface_at (surface, 1, 10)));
      g_assert_true (isfinite (dwn_surface_at (surface, -1e9, 1e9)));
    }
  return 0;
}
