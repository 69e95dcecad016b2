/* Any file is read as a model whose field is finite, or refused by name. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>

#include "core/geo/magnetic.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  const DwnLatLon at = { 44.28, -71.69 };
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new_from_bytes (bytes, "fuzz.cof",
                                                                          &error);
  DwnMagneticField field;

  if (model == NULL)
    {
      g_assert_nonnull (error);
      g_assert_true (g_str_has_prefix (error->message, "fuzz.cof:"));
      return 0;
    }
  g_assert_no_error (error);
  g_assert_true (g_utf8_validate (dwn_magnetic_model_name (model), -1, NULL));
  dwn_magnetic_model_field (model, &at, 0, 2026, &field);
  g_assert_true (isfinite (field.at.north_nt) && isfinite (field.at.declination_deg));
  return 0;
}
