/* The numbers the program relies on: curve nodes, catalogues, coefficients. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/* Returns: (transfer full): the bytes of @name ("curves/uhf-f5050.csv"), from
 * the user's own folder where a file of that name stands there, otherwise from
 * the program. Never falls back silently: a file of the user's that cannot be
 * read is an error. @overridden (nullable) tells which of the two it was.
 * A user's file over 64 MiB is refused. */
GBytes *dwn_data_lookup (const char *name, gboolean *overridden, GError **error);

/* Returns: (transfer full): the bytes of the file at @path, or NULL with @error (G_FILE_ERROR); a
 * folder is none. */
GBytes *dwn_data_read_file (const char *path, GError **error);

/* Returns: (transfer full): the path at which the user's own @name would stand. */
char *dwn_data_override_path (const char *name);

/* Returns: (transfer full): the names of the user's files that stand in place
 * of the program's own, sorted; empty where there are none. */
char **dwn_data_overrides (void);

G_END_DECLS
