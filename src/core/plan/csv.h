/* Records of a CSV text (RFC 4180), with comma, semicolon or tab between the fields. */
#pragma once

#include "core/plan/lines.h"

G_BEGIN_DECLS

#define DWN_CSV_FIELDS_MAX 4096

#define DWN_CSV_ERROR (dwn_csv_error_quark ())
GQuark dwn_csv_error_quark (void);
typedef enum {
  DWN_CSV_ERROR_QUOTE,    /* a quoted field that never ends */
  DWN_CSV_ERROR_TOO_LONG, /* a record of over 1 MiB or over DWN_CSV_FIELDS_MAX fields */
} DwnCsvError;

typedef struct _DwnCsv DwnCsv;

/* @separator 0: the one of , ; and tab that the first line holds most of. */
DwnCsv *dwn_csv_new_take (DwnLines *lines, char separator);
void dwn_csv_free (DwnCsv *csv);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnCsv, dwn_csv_free)

/* The next record that is not an empty line. Spaces around unquoted fields are dropped; a field
 * in quotes may hold separators, doubled quotes and line ends. @fields belongs to @csv, lives
 * until the next call, and has @n strings and NULL behind them.
 * Returns: FALSE at the end, and with @error. */
gboolean dwn_csv_next (DwnCsv *csv, char ***fields, guint *n, GError **error);

/* Where @name, in either case, first stands among the fields of a header from @from on; -1. */
int dwn_csv_column (char *const *header, guint n, guint from, const char *name);

/* Number of the line on which the record last read began. */
guint dwn_csv_line (const DwnCsv *csv);
const DwnLines *dwn_csv_lines (const DwnCsv *csv);
char dwn_csv_separator (const DwnCsv *csv);

G_END_DECLS
