/* The query text, and behind form feeds the two tables beside it. */
#include <stdint.h>

#include "import-parts.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  static const char *const names[] = { "list.txt", "second.csv", "third.csv" };
  const DwnImportOptions options = { .datum = size % 2 == 0 ? DWN_DATUM_WGS84 : DWN_DATUM_NAD27,
                                     .today = "2024-01-01" };
  DwnInput parts[PARTS_MAX];
  guint n = cut_parts (data, size, names, G_N_ELEMENTS (names), parts);

  import_parts (DWN_IMPORT_LICENCE_TEXT, n, parts, NULL, &options);
  return 0;
}
