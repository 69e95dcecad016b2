/* GeoTIFF: headers, and the heights of images that are not too large to be decoded often. */
#include <stdint.h>

#include "core/terrain/geotiff.h"

#define MOST_SAMPLES 100000

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_data (data, (gssize) size, NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnGeotiff) geotiff = dwn_geotiff_open (stream, "fuzz.tif", &error);

  g_assert_true ((geotiff != NULL) != (error != NULL));
  if (geotiff == NULL)
    return 0;

  const DwnTileGrid *grid = dwn_geotiff_get_grid (geotiff);

  if ((guint64) grid->columns * grid->rows > MOST_SAMPLES)
    return 0;

  g_autoptr (DwnTile) tile = dwn_geotiff_read (geotiff, 0, 0, grid->columns, grid->rows, &error);

  g_assert_true ((tile != NULL) != (error != NULL));
  if (tile != NULL)
    dwn_tile_height_m (tile, 0.5, 0.5, NULL);
  return 0;
}
