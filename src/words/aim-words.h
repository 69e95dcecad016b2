/* Turning the antenna on the roof, in sentences: by compass, by the sun, from a
 * landmark, upwards. */
#pragma once

#include "core/study/aim.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* "going 0.1° east a year", "standing still". */
char *dwn_word_declination_change (const DwnWording *wording, double deg_per_year);

/* "74° by compass: declination 14.1° west on 2026-05-14, going 0.1° east a year. Stand 3 m away from
 * steel". Says so where the model is not made for that year. @date: of the declination. */
char *dwn_word_compass_aim (const DwnWording *wording, const DwnCompassAim *aim, const char *date);

/* "14:32: the sun stands over the aim, 34° high", or "07:05: the sun stands opposite the aim, 12°
 * high; the shadow of the mast points along the boom". The time is by the clocks of @zone, to the
 * minute; with @zone NULL it is UTC and says so. */
char *dwn_word_sun_moment (const DwnWording *wording, const DwnSunMoment *moment, GTimeZone *zone);

/* "From the landmark at 312° turn 46° clockwise". */
char *dwn_word_turn (const DwnWording *wording, double landmark_deg, double aim_deg);

/* "Tilt it up by 7°: the transmitter stands high and near"; NULL where that brings nothing. */
char *dwn_word_tilt (const DwnWording *wording, double tilt_deg);

G_END_DECLS
