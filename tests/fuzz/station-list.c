/* Our own station list. What is read once must be written and read again as the same bytes. */
#include <stdint.h>

#include "core/plan/station-list.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);
  g_autoptr (DwnStations) stations = NULL, again = NULL;
  g_autoptr (DwnServices) services = NULL, services_again = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);

  if (!dwn_station_list_parse (bytes, "list.xml", &stations, &services, warnings, NULL))
    return 0;

  g_autoptr (GBytes) written = dwn_station_list_format (stations, services);
  g_assert (dwn_station_list_parse (written, "again.xml", &again, &services_again, NULL, NULL));
  g_autoptr (GBytes) rewritten = dwn_station_list_format (again, services_again);
  g_assert (g_bytes_equal (written, rewritten));
  return 0;
}
