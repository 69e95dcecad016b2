/* Dates: the calendar's own facts. */
#include "core/geo/date.h"

#include <math.h>

static const struct {
  const char *text;
  double decimal_year;
  gint64 unix_s;
} dates[] = {
  /* Seconds: `date -u -d DATE +%s` of GNU coreutils 9.1. Years: day of the year over its days. */
  { "1970-01-01", 1970.0, 0 },
  { "2026-01-01", 2026.0, 1767225600 },
  { "2025-07-02", 2025 + 182 / 365.0, 1751414400 },
  { "2028-07-01", 2028 + 182 / 366.0, 1846022400 },
  { "2028-12-31", 2028 + 365 / 366.0, 1861833600 },
  { "1969-12-31", 1969 + 364 / 365.0, -86400 },
  { "2000-02-29", 2000 + 59 / 366.0, 951782400 },
  { "0001-01-01", 1.0, -62135596800 },
  { "9999-12-31", 9999 + 364 / 365.0, 253402214400 },
};

static void
test_dates (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (dates); i++)
    {
      g_autoptr (GError) error = NULL;
      DwnDate date;

      dwn_date_parse (dates[i].text, &date, &error);
      g_assert_no_error (error);
      g_assert_cmpfloat_with_epsilon (dwn_date_decimal_year (&date), dates[i].decimal_year, 1e-9);
      g_assert_cmpint (dwn_date_unix_s (&date), ==, dates[i].unix_s);
    }
}

static void
test_refusals (void)
{
  const char *bad[] = { "",           "2026",        "2026-1-1",   "2026-13-01",  "2026-02-29",
                        "1900-02-29", "2026-00-10",  "2026-01-00", "0000-01-01",  " 2026-01-01",
                        "2026-01-01 ", "2026/01/01", "+026-01-01", "2026-01-0x", "20260101" };

  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) error = NULL;
      DwnDate date = { 1, 2, 3 };

      g_assert_false (dwn_date_parse (bad[i], &date, &error));
      g_assert_error (error, DWN_DATE_ERROR, DWN_DATE_ERROR_FORMAT);
      g_assert_cmpint (date.day, ==, 3);
    }
}

static void
test_format_utc (void)
{
  const struct {
    double unix_s;
    const char *text;
  } times[] = {
    { 0, "1970-01-01T00:00:00Z" },
    { 1767225599.6, "2026-01-01T00:00:00Z" },
    { -1, "1969-12-31T23:59:59Z" },
    { NAN, "" },
    { 1e300, "" },
    { 253402300800, "" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (times); i++)
    {
      g_autofree char *text = dwn_time_format_utc (times[i].unix_s);

      g_assert_cmpstr (text, ==, times[i].text);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geo/date/days", test_dates);
  g_test_add_func ("/geo/date/refusals", test_refusals);
  g_test_add_func ("/geo/date/format-utc", test_format_utc);
  return g_test_run ();
}
