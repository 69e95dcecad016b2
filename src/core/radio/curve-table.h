/* One chart of field strength as a table: a comment line (#) with the source, a row with the
 * distances ("haat_m,1.609344km,..."), then a row for each height: height in metres, and a field
 * in dBµV/m for each distance. */
#pragma once

#include <gio/gio.h>

#include "core/radio/surface.h"

G_BEGIN_DECLS

/* @name is what errors call the file.
 * Returns: (transfer full): the surface over kilometres (x) and metres (y), or NULL with @error
 * (DWN_CURVE_ERROR_FILE), which names file and line. */
DwnSurface *dwn_curve_table_read (GBytes *bytes, const char *name, GError **error);

G_END_DECLS
