/* Profiles in comma-separated text: distance_m,height_m[,clutter_m[,zone]], transmitter first. */
#pragma once

#include <gio/gio.h>

#include "core/geo/profile.h"

G_BEGIN_DECLS

#define DWN_PROFILE_CSV_MAX_SAMPLES 1000000

/* One sample a line; a first line of names, blank lines and lines that begin with # are passed
 * over, commas at the end of a line too. An empty height is a gap. Numbers have a decimal point;
 * distances reach half way round the Earth, heights 100 km.
 * @name is what errors call the file.
 * Returns: (transfer full), or NULL with @error "NAME:LINE: …" (G_IO_ERROR_INVALID_DATA). */
DwnProfile *dwn_profile_read_csv (GBytes *bytes, const char *name, GError **error);

G_END_DECLS
