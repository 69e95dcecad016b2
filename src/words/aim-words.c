#include "words/aim-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* A declination that moves less than this a year stands still for a householder. */
#define STANDS_STILL_DEG 0.05

static void
fill_in (GString *text, const char *name, char *shown)
{
  g_string_replace (text, name, shown, 0);
  g_free (shown);
}

/* "14.1°", without its sign. */
static char *
degrees (const DwnWording *wording, double value_deg, int decimals)
{
  g_autofree char *number = dwn_word_number (wording, fabs (value_deg), decimals);

  return g_strconcat (number, "\xC2\xB0", NULL);
}

char *
dwn_word_declination_change (const DwnWording *wording, double deg_per_year)
{
  GString *text;

  if (fabs (deg_per_year) < STANDS_STILL_DEG)
    return g_strdup (dwn_word (wording, N_("standing still")));
  text = g_string_new (dwn_word (wording, deg_per_year > 0.0 ? N_("going {change} east a year")
                                                             : N_("going {change} west a year")));
  fill_in (text, "{change}", degrees (wording, deg_per_year, 1));
  return g_string_free (text, FALSE);
}

char *
dwn_word_compass_aim (const DwnWording *wording, const DwnCompassAim *aim, const char *date)
{
  GString *text;

  if (isnan (aim->compass_deg))
    return g_strdup (dwn_word (wording, N_("The magnetic model has no declination here")));
  text = g_string_new (dwn_word (
    wording, aim->declination_deg < 0.0
             ? N_("{compass} by compass: declination {declination} west on {date}, {change}. Stand {steel} "
                  "away from steel")
             : N_("{compass} by compass: declination {declination} east on {date}, {change}. Stand {steel} "
                  "away from steel")));
  fill_in (text, "{compass}", dwn_word_bearing (wording, aim->compass_deg));
  fill_in (text, "{declination}", degrees (wording, aim->declination_deg, 1));
  fill_in (text, "{date}", g_strdup (date));
  fill_in (text, "{change}", dwn_word_declination_change (wording, aim->change_deg_per_year));
  fill_in (text, "{steel}", dwn_word_length (wording, DWN_COMPASS_STEEL_M));
  if (aim->outside_validity)
    g_string_append (text, dwn_word (wording, N_(". The model is not made for that year")));
  return g_string_free (text, FALSE);
}

static char *
word_time (const DwnWording *wording, double unix_s, GTimeZone *zone)
{
  g_autoptr (GDateTime) utc = g_date_time_new_from_unix_utc (llround (unix_s / 60.0) * 60);
  g_autoptr (GDateTime) local = NULL;

  if (zone != NULL && utc != NULL)
    local = g_date_time_to_timezone (utc, zone);

  if (local != NULL)
    return g_date_time_format (local, "%H:%M");
  g_autofree char *plain = utc != NULL ? g_date_time_format (utc, "%H:%M") : g_strdup ("");
  return g_strdup_printf (dwn_word (wording, N_("%s UTC")), plain);
}

char *
dwn_word_sun_moment (const DwnWording *wording, const DwnSunMoment *moment, GTimeZone *zone)
{
  GString *text = g_string_new (dwn_word (
    wording, moment->opposite ? N_("{time}: the sun stands opposite the aim, {high} high; the shadow of the "
                                   "mast points along the boom")
                              : N_("{time}: the sun stands over the aim, {high} high")));

  fill_in (text, "{time}", word_time (wording, moment->unix_s, zone));
  fill_in (text, "{high}", degrees (wording, moment->sun.apparent_elevation_deg, 0));
  return g_string_free (text, FALSE);
}

char *
dwn_word_turn (const DwnWording *wording, double landmark_deg, double aim_deg)
{
  double turn_deg = dwn_turn_from_deg (landmark_deg, aim_deg);
  GString *text = g_string_new (dwn_word (
    wording, turn_deg < 0.0 ? N_("From the landmark at {landmark} turn {turn} anticlockwise")
                            : N_("From the landmark at {landmark} turn {turn} clockwise")));

  fill_in (text, "{landmark}", dwn_word_bearing (wording, landmark_deg));
  fill_in (text, "{turn}", degrees (wording, turn_deg, 0));
  return g_string_free (text, FALSE);
}

char *
dwn_word_tilt (const DwnWording *wording, double tilt_deg)
{
  if (!(tilt_deg > 0.0))
    return NULL;
  GString *text = g_string_new (dwn_word (wording,
                                          N_("Tilt it up by {tilt}: the transmitter stands high "
                                                      "and near")));
  fill_in (text, "{tilt}", degrees (wording, tilt_deg, 0));
  return g_string_free (text, FALSE);
}
