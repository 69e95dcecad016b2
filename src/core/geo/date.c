#include "core/geo/date.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#define SECONDS_A_DAY 86400

G_DEFINE_QUARK (dwn-date-error-quark, dwn_date_error)

static int
read_digits (const char *text, guint n)
{
  int value = 0;

  for (guint i = 0; i < n; i++)
    value = 10 * value + g_ascii_digit_value (text[i]);
  return value;
}

gboolean
dwn_date_parse (const char *text, DwnDate *date, GError **error)
{
  g_return_val_if_fail (text != NULL && date != NULL, FALSE);

  gboolean good = strlen (text) == strlen ("YYYY-MM-DD");
  for (guint i = 0; good && text[i] != '\0'; i++)
    good = i == 4 || i == 7 ? text[i] == '-' : g_ascii_isdigit (text[i]);

  if (good)
    {
      DwnDate read = { read_digits (text, 4), read_digits (text + 5, 2),
                       read_digits (text + 8, 2) };

      if (g_date_valid_dmy ((GDateDay) read.day, (GDateMonth) read.month, (GDateYear) read.year))
        {
          *date = read;
          return TRUE;
        }
    }
  g_set_error_literal (error, DWN_DATE_ERROR, DWN_DATE_ERROR_FORMAT,
                       _("Not a day of the calendar: write year, month and day as YYYY-MM-DD, "
                         "for example 2026-05-31"));
  return FALSE;
}

/* Days since 0001-01-01, which is 1. */
static guint32
julian_of (const DwnDate *date)
{
  GDate day;

  g_date_clear (&day, 1);
  g_date_set_dmy (&day, (GDateDay) date->day, (GDateMonth) date->month, (GDateYear) date->year);
  return g_date_get_julian (&day);
}

double
dwn_date_decimal_year (const DwnDate *date)
{
  g_return_val_if_fail (date != NULL, (double) NAN);

  DwnDate first = { date->year, 1, 1 };
  int days_a_year = g_date_is_leap_year ((GDateYear) date->year) ? 366 : 365;

  return date->year + (double) (julian_of (date) - julian_of (&first)) / days_a_year;
}

gint64
dwn_date_unix_s (const DwnDate *date)
{
  g_return_val_if_fail (date != NULL, 0);

  const DwnDate epoch = { 1970, 1, 1 };

  return ((gint64) julian_of (date) - (gint64) julian_of (&epoch)) * SECONDS_A_DAY;
}

char *
dwn_time_format_utc (double unix_s)
{
  g_autoptr (GDateTime) time = NULL;

  if (isfinite (unix_s) && fabs (unix_s) < 1e12)
    time = g_date_time_new_from_unix_utc (llround (unix_s));
  return time != NULL ? g_date_time_format (time, "%Y-%m-%dT%H:%M:%SZ") : g_strdup ("");
}
