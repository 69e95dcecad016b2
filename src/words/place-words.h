/* What a higher mast or another spot would bring, in a sentence that says why. */
#pragma once

#include "core/study/place.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* "4 m more mast bring 6.2 dB: the path is then grazed instead of blocked. From 7 m on it is
 * dependable." For one station, over the heights of @raise. (transfer full) */
char *dwn_word_raise (const DwnWording *wording, const DwnRaise *raise, guint station);

/* "40 m to the north-east the weakest wanted service would have 4.0 dB more." Where no spot brings a
 * decibel, that the house is as good as any spot within 50 m. (transfer full) */
char *dwn_word_spots (const DwnWording *wording, const DwnSpots *spots);

/* One of eight: "north-east". */
const char *dwn_word_direction (const DwnWording *wording, double bearing_deg);

G_END_DECLS
