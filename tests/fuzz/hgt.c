/* SRTM tiles: plain, in .zip and in .gz, told apart by their first bytes. */
#include <stdint.h>
#include <string.h>

#include "core/terrain/hgt.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static void
read_as (const char *name, GBytes *bytes)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTile) tile = dwn_hgt_read_bytes (name, bytes, &error);

  g_assert_true ((tile != NULL) != (error != NULL));
  if (tile != NULL)
    dwn_tile_height_m (tile, 2.5, 2.5, NULL);
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);

  if (size >= 2 && memcmp (data, "PK", 2) == 0)
    {
      read_as ("N44W072.hgt.zip", bytes);
      read_as ("tile.zip", bytes);
    }
  else if (size >= 2 && memcmp (data, "\x1f\x8b", 2) == 0)
    read_as ("N44W072.hgt.gz", bytes);
  else
    read_as ("N44W072.hgt", bytes);
  return 0;
}
