/* The program's own antenna file: whatever is read can be written and read again, the same. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/antenna/antenna.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static gboolean
is_near (double a, double b)
{
  return fabs (a - b) <= 1e-6 * MAX (fabs (a), 1.0);
}

static void
check_round_trip (const DwnAntenna *antenna)
{
  g_autofree char *text = dwn_antenna_to_text (antenna);
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (DwnAntenna) again = dwn_antenna_parse (bytes, "again", NULL);
  const DwnPattern *pattern = antenna->pattern;

  /* Ten digits may bring two angles or frequencies together, and then the file is refused. */
  if (again == NULL)
    return;
  g_assert_cmpuint (again->pattern->n_azimuth, ==, pattern->n_azimuth);
  for (gsize i = 0; i < pattern->n_mhz * pattern->n_azimuth; i++)
    g_assert_true (is_near (again->pattern->gain_dbi[i], pattern->gain_dbi[i]));
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (DwnAntenna) antenna = dwn_antenna_parse (bytes, "fuzz", NULL);

  if (antenna == NULL)
    return 0;
  check_round_trip (antenna);
  for (double mhz = 10.0; mhz < 2000.0; mhz *= 1.7)
    {
      g_assert_true (isfinite (dwn_pattern_gain_dbi (antenna->pattern, 77.0, mhz)));
      g_assert_true (isfinite (dwn_pattern_elevation_db (antenna->pattern, 7.0, mhz)));
      g_assert_true (isfinite (dwn_pattern_beamwidth_deg (antenna->pattern, mhz)));
      g_assert_true (dwn_pattern_mismatch_db (antenna->pattern, mhz) >= 0.0);
    }
  return 0;
}
