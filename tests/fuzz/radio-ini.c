/* The figures of broadcast systems and of noise: two readers of one kind of file. */
#include <stdint.h>

#include "core/radio/noise.h"
#include "core/radio/system.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static void
read_systems (GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnSystemTable) table = dwn_system_table_new_from_bytes (bytes, "input.ini", &error);

  g_assert_true ((table == NULL) == (error != NULL));
  for (int i = 0; table != NULL && i < DWN_N_SYSTEMS; i++)
    {
      dwn_system_needed_cn_db (table, (DwnSystem) i, NULL, DWN_PATH_BLOCKED);
      dwn_system_protection_db (table, (DwnSystem) i, DWN_SYSTEM_ATSC1, 1, -60);
    }
}

static void
read_noise (GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnNoiseTable) table = dwn_noise_table_new_from_bytes (bytes, "input.ini", &error);

  g_assert_true ((table == NULL) == (error != NULL));
  if (table != NULL)
    g_assert_cmpfloat (dwn_external_noise_factor (table, DWN_AREA_CITY, 60), >=, 1);
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);

  read_systems (bytes);
  read_noise (bytes);
  return 0;
}
