/* A zip file of licence tables, or the tables themselves between form feeds, known by their
 * columns. */
#include <stdint.h>

#include "import-parts.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  static const char *const names[] = { "1", "2", "3", "4", "5", "6", "7", "8" };
  const DwnImportOptions options = { .has_near = size % 2 == 0, .near = { 44, -71 },
                                     .within_km = 300, .today = "2024-01-01" };
  gboolean is_zip = size > 2 && data[0] == 'P' && data[1] == 'K';
  DwnInput parts[PARTS_MAX];
  guint n = cut_parts (data, size, names, is_zip ? 1 : PARTS_MAX, parts);

  import_parts (DWN_IMPORT_LICENCE_TABLES, n, parts, NULL, &options);
  return 0;
}
