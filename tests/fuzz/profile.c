/* The reader of profiles in comma-separated text. */
#include <math.h>
#include <stdint.h>

#include "core/geo/profile-csv.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (DwnProfile) profile = dwn_profile_read_csv (bytes, "fuzz", NULL);

  if (profile == NULL)
    return 0;
  g_assert_cmpuint (profile->n, >=, 2);
  for (gsize i = 1; i < profile->n; i++)
    g_assert_true (profile->distance_m[i] > profile->distance_m[i - 1]);
  return 0;
}
