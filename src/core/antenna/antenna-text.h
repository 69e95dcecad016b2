/* What the readers of antenna files share: text into lines, lines into fields, fields into
 * numbers. Locale-free. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

#define DWN_ANTENNA_MAX_BYTES (8 * 1024 * 1024)
#define DWN_ANTENNA_MAX_FREQUENCIES 2000
#define DWN_ANTENNA_MAX_ANGLES 3600
#define DWN_ANTENNA_MAX_VALUES 1000000

#define DWN_ANTENNA_ERROR (dwn_antenna_error_quark ())
GQuark dwn_antenna_error_quark (void);
typedef enum {
  DWN_ANTENNA_ERROR_TEXT,    /* empty, not UTF-8, or larger than DWN_ANTENNA_MAX_BYTES */
  DWN_ANTENNA_ERROR_VERSION, /* written by a newer program */
  DWN_ANTENNA_ERROR_SYNTAX,  /* a line that is not what stands there in such a file */
  DWN_ANTENNA_ERROR_RANGE,   /* a figure that cannot be */
  DWN_ANTENNA_ERROR_MISSING, /* something that must be there is not */
  DWN_ANTENNA_ERROR_UNKNOWN, /* no antenna of that name */
} DwnAntennaError;

/* Lines without their ends; a byte-order mark and carriage returns are dropped.
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR_TEXT) naming @file. */
char **dwn_antenna_text_lines (GBytes *bytes, const char *file, GError **error);

/* Pieces of @line between any run of blanks, tabs and the characters in @separators; cuts @line.
 * Returns: (transfer full) (element-type utf8): pointers into @line. */
GPtrArray *dwn_antenna_text_fields (char *line, const char *separators);

/* FALSE unless all of @text is one decimal number, of at most 1e12. */
gboolean dwn_antenna_text_number (const char *text, double *value);

/* Appends @value to ten digits, "." in every locale. */
void dwn_antenna_text_append (GString *text, double value);

G_END_DECLS
