/* A data file of groups and figures that people may write their own of:
 *
 *   # a comment line
 *   [group]
 *   key = value
 *
 * Every error names file and line. Keys may stand once in a group, groups once in a file. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

typedef struct _DwnIni DwnIni;

#define DWN_INI_ERROR (dwn_ini_error_quark ())
GQuark dwn_ini_error_quark (void);
typedef enum {
  DWN_INI_ERROR_SYNTAX,  /* not a group, a key or a comment; not UTF-8; named twice */
  DWN_INI_ERROR_MISSING, /* a key that has to be there is not */
  DWN_INI_ERROR_VALUE,   /* not a number, out of its range, a word that means nothing here */
} DwnIniError;

/* A byte-order mark and CRLF are read over. @name is what errors call the file. */
DwnIni *dwn_ini_new (GBytes *bytes, const char *name, GError **error);
void dwn_ini_free (DwnIni *ini);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnIni, dwn_ini_free)

/* Reads dwn_data_lookup (@name). */
DwnIni *dwn_ini_new_from_data (const char *name, GError **error);

/* Names of the groups in the order of the file. */
const char *const *dwn_ini_groups (const DwnIni *ini, gsize *n);
/* Returns: (transfer container): keys of a group, sorted. */
GPtrArray *dwn_ini_keys (const DwnIni *ini, const char *group);
gboolean dwn_ini_has (const DwnIni *ini, const char *group, const char *key);

/* The value without spaces around it; NULL where there is none. */
const char *dwn_ini_peek (const DwnIni *ini, const char *group, const char *key);
/* The same, but with @error where there is none or it is empty. */
const char *dwn_ini_string (const DwnIni *ini, const char *group, const char *key, GError **error);
/* A number within @min to @max; never NaN or infinite. */
gboolean dwn_ini_number (const DwnIni *ini, const char *group, const char *key, double min,
                         double max, double *value, GError **error);
/* The same, and NaN where the key is not there. */
gboolean dwn_ini_optional_number (const DwnIni *ini, const char *group, const char *key,
                                  double min, double max, double *value, GError **error);
/* Numbers between commas. Returns: (transfer full) (element-type double). */
GArray *dwn_ini_numbers (const DwnIni *ini, const char *group, const char *key, double min,
                         double max, GError **error);
/* "true" or "false"; FALSE where the key is not there. */
gboolean dwn_ini_flag (const DwnIni *ini, const char *group, const char *key, gboolean *value,
                       GError **error);

/* Sets DWN_INI_ERROR_VALUE in front of which stand file, line, group and key; without a @key it
 * is the line of the group. */
void dwn_ini_refuse (const DwnIni *ini, const char *group, const char *key, GError **error,
                     const char *format, ...) G_GNUC_PRINTF (5, 6);

G_END_DECLS
