#include "core/radio/range.h"

#include <glib/gi18n-lib.h>

#include "core/radio/path-model.h"

gboolean
dwn_ranges_check (const char *model, const DwnRange *ranges, gsize n, GError **error)
{
  for (gsize i = 0; i < n; i++)
    {
      const DwnRange *range = &ranges[i];

      if (range->value >= range->low && range->value <= range->high)
        continue;
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                   _("%s: %s %g %s is outside %g to %g %s"), model, _(range->what), range->value,
                   range->unit, range->low, range->high, range->unit);
      return FALSE;
    }
  return TRUE;
}
