/* What a path model accepts, as data. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
  const char *what; /* marked for translation */
  double value, low, high;
  const char *unit;
} DwnRange;

/* FALSE with DWN_PATH_ERROR_DOMAIN at the first value that is not within its range (NaN never is):
 * "P.1812: frequency 20 MHz is outside 30 to 6000 MHz". */
gboolean dwn_ranges_check (const char *model, const DwnRange *ranges, gsize n, GError **error);

G_END_DECLS
