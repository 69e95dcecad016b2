/* Numbers and units as a person reads them. Numbers follow the locale, with a true minus sign and
 * a no-break space before the unit; for scripts they follow C and nothing is translated. */
#pragma once

#include <glib.h>

#include "core/antenna/pattern.h"
#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

typedef enum {
  DWN_LEVEL_DBM,
  DWN_LEVEL_DBMV, /* in 75 Ω: dBm + 48.75 */
  DWN_LEVEL_DBUV, /* in 75 Ω: dBm + 108.75 */
} DwnLevelUnit;

/* How to say things. Plain, const. */
typedef struct {
  gboolean script; /* untranslated, numbers as in C: what TSV columns carry */
  gboolean miles, feet;
  gboolean magnetic_first; /* bearings by compass before true ones, where both stand */
  DwnLevelUnit level;
} DwnWording;

extern const DwnWording dwn_wording_metric;
extern const DwnWording dwn_wording_script;

/* Once, first thing in main(): takes the locale of the environment and finds the translations,
 * where they are installed or in the folder that DOWNLEAD_LOCALE_DIR names (a build's po). */
void dwn_words_begin (void);

/* The translation of @text, or @text itself for scripts. */
const char *dwn_word (const DwnWording *wording, const char *text) G_GNUC_FORMAT (2);
/* The same with a plural form. */
const char *dwn_word_plural (const DwnWording *wording, const char *one, const char *many, guint n)
  G_GNUC_FORMAT (2) G_GNUC_FORMAT (3);

/* All return (transfer full). "–" stands for a value that is NaN. */
char *dwn_word_number (const DwnWording *wording, double value, int decimals);
char *dwn_word_signed (const DwnWording *wording, double value, int decimals); /* +3.0, −3.0 */
char *dwn_word_distance (const DwnWording *wording, double distance_m); /* "38 km", "6.3 km" */
char *dwn_word_height (const DwnWording *wording, double height_m);     /* "132 m" */
char *dwn_word_length (const DwnWording *wording, double length_m);     /* "1.5 m", of cable */
char *dwn_word_bearing (const DwnWording *wording, double bearing_deg); /* "93°" */
char *dwn_word_decibels (const DwnWording *wording, double db);         /* "3.0 dB" */
char *dwn_word_level (const DwnWording *wording, double dbm);           /* "−61.2 dBm" */
char *dwn_word_level_figure (const DwnWording *wording, double dbm, int decimals); /* without unit */
const char *dwn_word_level_unit (const DwnWording *wording);
char *dwn_word_chance (const DwnWording *wording, double chance);       /* "62 %" */
char *dwn_word_power (const DwnWording *wording, double erp_kw);        /* "5 kW", "97 W" */
char *dwn_word_place (const DwnWording *wording, const DwnLatLon *at);  /* "44.1350° N, 74.9080° W" */

const char *dwn_word_band (const DwnWording *wording, DwnBand band);    /* "high VHF" */
const char *dwn_word_system (DwnSystem system); /* "DVB-T2, 8 MHz": names of standards, never translated */
const char *dwn_word_polarisation (const DwnWording *wording, DwnPolarisation polarisation);
/* "dependable", "worth a trial", "unlikely". */
const char *dwn_word_verdict (const DwnWording *wording, double chance);

G_END_DECLS
