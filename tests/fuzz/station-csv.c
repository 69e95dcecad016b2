/* A mapping, a form feed, and the CSV that it is for. */
#include <stdint.h>

#include "import-parts.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  static const char *const names[] = { "map.txt", "list.csv" };
  const DwnImportOptions options = { .datum = size % 2 == 0 ? DWN_DATUM_WGS84 : DWN_DATUM_NAD27,
                                     .today = "2024-01-01" };
  DwnInput parts[PARTS_MAX];
  guint n = cut_parts (data, size, names, G_N_ELEMENTS (names), parts);

  if (n == 2)
    import_parts (DWN_IMPORT_CSV, 1, &parts[1], &parts[0], &options);
  g_bytes_unref (parts[0].bytes);
  return 0;
}
