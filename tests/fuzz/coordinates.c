/* Any text is read as a place on Earth that survives being written and read again, or refused. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>

#include "core/geo/coordinates.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autofree char *text = g_strndup ((const char *) data, size);
  g_autoptr (GError) error = NULL;
  DwnLatLon at, again;

  if (!dwn_lat_lon_parse (text != NULL ? text : "", &at, &error))
    {
      g_assert_nonnull (error);
      return 0;
    }
  g_assert_no_error (error);
  g_assert_true (fabs (at.lat_deg) <= 90 && fabs (at.lon_deg) <= 180);

  g_autofree char *plain = dwn_lat_lon_format_plain (&at);
  g_assert_true (dwn_lat_lon_parse (plain, &again, NULL));
  g_assert_true (fabs (again.lat_deg - at.lat_deg) < 1e-7);
  g_assert_true (fabs (again.lon_deg - at.lon_deg) < 1e-7);
  return 0;
}
