/* Listings of thin-wire programs: refused with a reason, or every gain is a number. */
#include <math.h>
#include <stdint.h>

#include "core/antenna/thin-wire.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_thin_wire_parse (bytes, "fuzz.out", 75.0, NULL, &error);

  g_assert_true ((antenna == NULL) == (error != NULL));
  if (antenna == NULL)
    return 0;
  for (double angle_deg = -90.0; angle_deg <= 90.0; angle_deg += 13.0)
    {
      g_assert_true (isfinite (dwn_pattern_gain_dbi (antenna->pattern, angle_deg, 550.0)));
      g_assert_true (isfinite (dwn_pattern_elevation_db (antenna->pattern, angle_deg, 550.0)));
    }
  g_assert_true (dwn_pattern_mismatch_db (antenna->pattern, 550.0) >= 0.0);
  return 0;
}
