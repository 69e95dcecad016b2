/* sun: where it stands, and when it stands over an aim. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/call.h"
#include "core/study/aim.h"

#define STEP_S 600

static void
add_moment (DwnRows *rows, double unix_s, const DwnSunPosition *sun, GTimeZone *zone)
{
  g_autofree char *utc = dwn_time_format_utc (unix_s);
  g_autofree char *local = zone != NULL ? dwn_time_format_zone (unix_s, zone) : NULL;

  dwn_rows_text (rows, utc);
  dwn_rows_number (rows, sun->azimuth_deg);
  dwn_rows_number (rows, sun->elevation_deg);
  if (zone != NULL)
    dwn_rows_text (rows, local);
}

static void
add_day (DwnRows *rows, const DwnLatLon *at, const DwnDate *date, GTimeZone *zone)
{
  double from_s, until_s;

  dwn_day_of_zone (date, zone, &from_s, &until_s);
  for (double unix_s = from_s; unix_s < until_s; unix_s += STEP_S)
    {
      DwnSunPosition sun;

      dwn_sun_position (unix_s, at, &sun);
      add_moment (rows, unix_s, &sun, zone);
    }
}

static void
add_crossings (DwnRows *rows, const DwnLatLon *at, const DwnDate *date, GTimeZone *zone,
               double bearing_deg)
{
  DwnSunMoment moments[DWN_SUN_AIM_MAX];
  guint n = dwn_sun_aim (at, bearing_deg, date, zone, moments);

  for (guint i = 0; i < n; i++)
    add_moment (rows, moments[i].unix_s, &moments[i].sun, zone);
}

/* --zone, NULL where it is not given. FALSE with @error for a zone nobody knows. */
static gboolean
read_zone (const DwnCall *call, GTimeZone **zone, GError **error)
{
  const char *id = dwn_call_text (call, "zone");

  *zone = id != NULL ? g_time_zone_new_identifier (id) : NULL;
  if (id == NULL || *zone != NULL)
    return TRUE;
  dwn_call_refuse (error, _("--zone %s: no time zone of this name is known; Europe/London or +02:00 "
                            "would be right"), id);
  return FALSE;
}

/* VSOP87's theory of the Earth serves these years. */
static gboolean
check_year (const DwnDate *date, GError **error)
{
  if (date->year >= 1900 && date->year <= 2199)
    return TRUE;
  dwn_call_refuse (error, _("--date: the sun is worked out for the years 1900 to 2199, not for %d"),
                   date->year);
  return FALSE;
}

static gboolean
run_sun (DwnCall *call, GError **error)
{
  DwnLatLon at;
  DwnDate date;
  double bearing_deg = (double) NAN;
  g_autoptr (GTimeZone) zone = NULL;

  if (!dwn_call_place (call, "at", &at, error) || !dwn_call_date (call, "date", &date, error)
      || !check_year (&date, error)
      || !dwn_call_number (call, "bearing", -360.0, 360.0, &bearing_deg, error)
      || !read_zone (call, &zone, error))
    return FALSE;

  DwnRows *rows = dwn_rows_new (call, zone != NULL ? "time_utc azimuth_deg elevation_deg time_local"
                                                   : "time_utc azimuth_deg elevation_deg");
  if (isnan (bearing_deg))
    add_day (rows, &at, &date, zone);
  else
    add_crossings (rows, &at, &date, zone, bearing_deg);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_sun = {
  .name = "sun",
  .summary = N_("Where the sun stands, or when it stands over a bearing or opposite it"),
  .options = (const DwnOption[]) {
    { "at", "LAT,LON", DWN_OPTION_REQUIRED }, { "date", "YYYY-MM-DD", DWN_OPTION_REQUIRED },
    { "bearing", "DEG" }, { "zone", "NAME" }, { NULL },
  },
  .run = run_sun,
};
