#include "words/wording.h"

#include <glib/gi18n-lib.h>
#include <locale.h>
#include <math.h>
#include <string.h>

#include "config.h"
#include "core/study/budget.h"

#define MINUS "\xE2\x88\x92"
#define NO_BREAK "\xC2\xA0"
#define DASH "\xE2\x80\x93"
#define METRES_A_MILE 1609.344
#define METRES_A_FOOT 0.3048

const DwnWording dwn_wording_metric = { .script = FALSE };
const DwnWording dwn_wording_script = { .script = TRUE };

void
dwn_words_begin (void)
{
  const char *folder = g_getenv ("DOWNLEAD_LOCALE_DIR");

  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, folder != NULL ? folder : DWN_LOCALE_DIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);
}

const char *
dwn_word (const DwnWording *wording, const char *text)
{
  return wording->script ? text : g_dgettext (GETTEXT_PACKAGE, text);
}

const char *
dwn_word_plural (const DwnWording *wording, const char *one, const char *many, guint n)
{
  if (wording->script)
    return n == 1 ? one : many;
  return g_dngettext (GETTEXT_PACKAGE, one, many, n);
}

/* What rounds to zero is zero, without a sign. */
static double
tidy (double value, int decimals)
{
  double step = pow (10.0, -decimals);

  return fabs (value) < 0.5 * step ? 0.0 : value;
}

static char *
digits (const DwnWording *wording, double value, int decimals)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE], format[8];

  g_snprintf (format, sizeof format, "%%.%df", CLAMP (decimals, 0, 9));
  if (wording->script)
    return g_strdup (g_ascii_formatd (text, sizeof text, format, value));
  return g_strdup_printf ("%.*f", decimals, value);
}

char *
dwn_word_number (const DwnWording *wording, double value, int decimals)
{
  if (isnan (value))
    return g_strdup (DASH);

  double shown = tidy (value, decimals);
  g_autofree char *plain = digits (wording, fabs (shown), decimals);
  return g_strconcat (shown < 0.0 ? (wording->script ? "-" : MINUS) : "", plain, NULL);
}

char *
dwn_word_signed (const DwnWording *wording, double value, int decimals)
{
  g_autofree char *number = dwn_word_number (wording, value, decimals);

  return g_strconcat (tidy (value, decimals) > 0.0 ? "+" : "", number, NULL);
}

static char *
with_unit (const DwnWording *wording, double value, int decimals, const char *unit)
{
  g_autofree char *number = dwn_word_number (wording, value, decimals);

  return g_strconcat (number, wording->script ? " " : NO_BREAK, unit, NULL);
}

char *
dwn_word_distance (const DwnWording *wording, double distance_m)
{
  double value = distance_m / (wording->miles ? METRES_A_MILE : 1000.0);

  return with_unit (wording, value, fabs (value) < 9.95 ? 1 : 0, wording->miles ? "mi" : "km");
}

char *
dwn_word_height (const DwnWording *wording, double height_m)
{
  return with_unit (wording, height_m / (wording->feet ? METRES_A_FOOT : 1.0), 0,
                    wording->feet ? "ft" : "m");
}

char *
dwn_word_length (const DwnWording *wording, double length_m)
{
  double value = length_m / (wording->feet ? METRES_A_FOOT : 1.0);

  return with_unit (wording, value, fabs (value - round (value)) < 0.05 ? 0 : 1,
                    wording->feet ? "ft" : "m");
}

char *
dwn_word_bearing (const DwnWording *wording, double bearing_deg)
{
  double rounded = fmod (round (bearing_deg) + 360.0, 360.0);
  g_autofree char *number = dwn_word_number (wording, rounded, 0);

  return g_strconcat (number, "\xC2\xB0", NULL);
}

char *
dwn_word_decibels (const DwnWording *wording, double db)
{
  return with_unit (wording, db, 1, "dB");
}

static double
in_level_unit (const DwnWording *wording, double dbm)
{
  static const double above_dbm[] = { 0.0, 48.75, 108.75 };

  return dbm + above_dbm[wording->level];
}

const char *
dwn_word_level_unit (const DwnWording *wording)
{
  static const char *const units[] = { "dBm", "dBmV", "dB\xC2\xB5V" };

  return units[wording->level];
}

char *
dwn_word_level (const DwnWording *wording, double dbm)
{
  return with_unit (wording, in_level_unit (wording, dbm), 1, dwn_word_level_unit (wording));
}

char *
dwn_word_level_figure (const DwnWording *wording, double dbm, int decimals)
{
  return dwn_word_number (wording, in_level_unit (wording, dbm), decimals);
}

/* Never 100 nor 0: a prediction is never certain. */
char *
dwn_word_chance (const DwnWording *wording, double chance)
{
  double percent = isnan (chance) ? chance : CLAMP (floor (100.0 * chance + 1e-9), 1.0, 99.0);

  return with_unit (wording, percent, 0, "%");
}

char *
dwn_word_power (const DwnWording *wording, double erp_kw)
{
  if (erp_kw < 1.0)
    return with_unit (wording, erp_kw * 1000.0, erp_kw < 0.01 ? 1 : 0, "W");
  return with_unit (wording, erp_kw, erp_kw < 10.0 && fabs (erp_kw - round (erp_kw)) > 0.05 ? 1 : 0,
                    "kW");
}

char *
dwn_word_place (const DwnWording *wording, const DwnLatLon *at)
{
  g_autofree char *lat = dwn_word_number (wording, fabs (at->lat_deg), 4);
  g_autofree char *lon = dwn_word_number (wording, fabs (at->lon_deg), 4);

  /* Translators: letters of the hemispheres behind a latitude and a longitude. */
  const char *north_south = at->lat_deg < 0.0 ? dwn_word (wording, N_("S")) : dwn_word (wording, N_("N"));
  const char *east_west = at->lon_deg < 0.0 ? dwn_word (wording, N_("W")) : dwn_word (wording, N_("E"));
  return g_strdup_printf ("%s\xC2\xB0" NO_BREAK "%s, %s\xC2\xB0" NO_BREAK "%s", lat, north_south, lon,
                          east_west);
}

const char *
dwn_word_band (const DwnWording *wording, DwnBand band)
{
  static const char *const names[DWN_N_BANDS] = { N_("low VHF"), N_("high VHF"), N_("UHF") };

  return dwn_word (wording, names[band]);
}

const char *
dwn_word_polarisation (const DwnWording *wording, DwnPolarisation polarisation)
{
  static const char *const names[] = { N_("not on file"), N_("horizontal"), N_("vertical"),
                                       N_("circular") };

  return dwn_word (wording, names[polarisation]);
}

const char *
dwn_word_verdict (const DwnWording *wording, double chance)
{
  if (chance >= DWN_CHANCE_HELD)
    return dwn_word (wording, N_("dependable"));
  return chance >= DWN_CHANCE_TRIAL ? dwn_word (wording, N_("worth a trial"))
                                    : dwn_word (wording, N_("unlikely"));
}

const char *
dwn_word_system (DwnSystem system)
{
  static const char *const names[DWN_N_SYSTEMS] = {
    "ATSC 1.0", "ATSC 3.0", "DVB-T, 7 MHz", "DVB-T, 8 MHz", "DVB-T2, 7 MHz", "DVB-T2, 8 MHz",
    "ISDB-T, Japan", "ISDB-T, South America",
  };

  return names[system];
}
