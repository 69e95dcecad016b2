/* Aims on the roof: the calendar's and the compass's own facts. */
#include "core/study/aim.h"

#include <math.h>

/* `TZ=ZONE date -d DATE +%s` of GNU coreutils 9.1 with tzdata: clocks of Denver jump forward on
 * 2026-03-08 and back on 2026-11-01. */
static const struct {
  const char *zone;
  DwnDate date;
  double from_s, until_s;
} days[] = {
  { "America/Denver", { 2026, 3, 8 }, 1772953200, 1772953200 + 23 * 3600 },
  { "America/Denver", { 2026, 11, 1 }, 1793512800, 1793512800 + 25 * 3600 },
  { "America/Denver", { 2026, 7, 1 }, 1782885600, 1782885600 + 24 * 3600 },
  { "UTC", { 2026, 7, 1 }, 1782864000, 1782864000 + 24 * 3600 },
};

static void
test_day (gconstpointer data)
{
  guint i = GPOINTER_TO_UINT (data);
  g_autoptr (GTimeZone) zone = g_time_zone_new_identifier (days[i].zone);
  double from_s, until_s;

  g_assert_nonnull (zone);
  dwn_day_of_zone (&days[i].date, zone, &from_s, &until_s);
  g_assert_cmpfloat (from_s, ==, days[i].from_s);
  g_assert_cmpfloat (until_s, ==, days[i].until_s);
}

static void
test_local_time (void)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_identifier ("America/Denver");
  /* `TZ=America/Denver date -d @1772953200 --iso-8601=seconds`, and ten hours on. */
  g_autofree char *before = dwn_time_format_zone (1772953200, zone);
  g_autofree char *after = dwn_time_format_zone (1772953200 + 36000, zone);
  g_autofree char *never = dwn_time_format_zone ((double) INFINITY, zone);

  g_assert_cmpstr (before, ==, "2026-03-08T00:00:00-07:00");
  g_assert_cmpstr (after, ==, "2026-03-08T11:00:00-06:00");
  g_assert_cmpstr (never, ==, "");
}

/* The sun culminates in the south at Greenwich at 12:00 minus the equation of time: on 11 February
 * about +14 min 13 s late, on 3 November about 16 min 26 s early (a standard almanac table, from
 * memory; good to a few seconds over the years). */
static void
test_noon (void)
{
  const struct {
    DwnDate date;
    double noon_s;
  } noons[] = { { { 2026, 2, 11 }, 43200 + 853 }, { { 2026, 11, 3 }, 43200 - 986 } };

  for (gsize i = 0; i < G_N_ELEMENTS (noons); i++)
    {
      const DwnLatLon greenwich = { 51.4778, 0.0 };
      DwnSunMoment moments[DWN_SUN_AIM_MAX];
      guint n = dwn_sun_aim (&greenwich, 0.0, &noons[i].date, NULL, moments);

      g_assert_cmpuint (n, ==, 1);
      g_assert_true (moments[0].opposite);
      g_assert_cmpfloat_with_epsilon (moments[0].unix_s - (double) dwn_date_unix_s (&noons[i].date),
                                      noons[i].noon_s, 6.0);
    }
}

/* North of the polar circle the midsummer sun stands over north at midnight, and in midwinter it
 * does not rise at all. */
static void
test_polar (void)
{
  const DwnLatLon cape = { 70.0, 20.0 };
  DwnSunMoment moments[DWN_SUN_AIM_MAX];

  g_assert_cmpuint (dwn_sun_aim (&cape, 0.0, &(DwnDate) { 2026, 6, 21 }, NULL, moments), ==, 2);
  g_assert_cmpuint (dwn_sun_aim (&cape, 0.0, &(DwnDate) { 2026, 12, 21 }, NULL, moments), ==, 0);
}

static void
test_compass (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (&error);
  DwnCompassAim aim;

  g_assert_no_error (error);
  /* WMM2025 at 2026.0, sea level, evaluated independently: 14.144° west. */
  dwn_compass_aim (model, &(DwnLatLon) { 44.28, -71.69 }, 2026.0, 350.0, &aim);
  g_assert_cmpfloat_with_epsilon (aim.declination_deg, -14.144, 0.0006);
  g_assert_cmpfloat_with_epsilon (aim.compass_deg, 4.144, 0.0006);
  g_assert_false (aim.outside_validity);
  /* The change is the difference of two years, up to its own change. */
  double first_deg = aim.declination_deg, change_deg = aim.change_deg_per_year;
  dwn_compass_aim (model, &(DwnLatLon) { 44.28, -71.69 }, 2027.0, 350.0, &aim);
  g_assert_cmpfloat_with_epsilon (aim.declination_deg - first_deg, change_deg, 0.002);
}

static void
test_turn (void)
{
  g_assert_cmpfloat (dwn_turn_from_deg (350, 10), ==, 20);
  g_assert_cmpfloat (dwn_turn_from_deg (10, 350), ==, -20);
  g_assert_cmpfloat (dwn_turn_from_deg (0, 180), ==, 180);
  g_assert_true (isnan (dwn_turn_from_deg ((double) NAN, 180)));
}

static void
test_tilt (void)
{
  /* 12 dB (θ/β)²: with 30° the half decibel is at 30 · √(1/24) = 6.12°. */
  g_assert_cmpfloat (dwn_tilt_deg (6.0, 30.0), ==, 0.0);
  g_assert_cmpfloat (dwn_tilt_deg (6.2, 30.0), ==, 6.2);
  g_assert_cmpfloat (dwn_tilt_deg (-8.0, 30.0), ==, 0.0);
  g_assert_true (isnan (dwn_tilt_deg (6.0, 0.0)));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  for (guint i = 0; i < G_N_ELEMENTS (days); i++)
    {
      g_autofree char *path = g_strdup_printf ("/aim/day/%s-%d", days[i].zone, days[i].date.month);
      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_day);
    }
  g_test_add_func ("/aim/local-time", test_local_time);
  g_test_add_func ("/aim/noon", test_noon);
  g_test_add_func ("/aim/polar", test_polar);
  g_test_add_func ("/aim/compass", test_compass);
  g_test_add_func ("/aim/turn", test_turn);
  g_test_add_func ("/aim/tilt", test_tilt);
  return g_test_run ();
}
