/* Days of the calendar, and moments in Universal Time. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Gregorian, year 1 to 9999. */
typedef struct {
  int year, month, day;
} DwnDate;

#define DWN_DATE_ERROR (dwn_date_error_quark ())
GQuark dwn_date_error_quark (void);
typedef enum {
  DWN_DATE_ERROR_FORMAT, /* not YYYY-MM-DD, or no day of the calendar */
} DwnDateError;

/* Reads "YYYY-MM-DD", nothing before it or after. FALSE with @error set, and @date untouched. */
gboolean dwn_date_parse (const char *text, DwnDate *date, GError **error);

/* Year and part of it that has gone by when the day begins: 2026-01-01 is 2026.0. */
double dwn_date_decimal_year (const DwnDate *date);

/* Seconds since 1970-01-01 00:00 UTC when the day begins in Greenwich; negative before. */
gint64 dwn_date_unix_s (const DwnDate *date);

/* Returns: (transfer full): "YYYY-MM-DDThh:mm:ssZ", to the nearest second; "" where @unix_s is not
 * finite or lies outside the years 1 to 9999. */
char *dwn_time_format_utc (double unix_s);

G_END_DECLS
