/* Our own station list, a file of its own:
 *
 *   <?xml version="1.0" encoding="UTF-8"?>
 *   <stations version="1.0" source="list.txt" dated="2024-05-01">
 *     <service id="valley-news" name="Valley News" on-screen="7.1"/>
 *     <station id="birch-14" name="Birch Hill" system="atsc1" rf="14" lat="44.5" lon="-71.5"
 *              erp-kw="50" services="valley-news"/>
 *   </stations>
 *
 * The elements are those of plans (core/plan/station-xml.h); data/stations.rng describes them.
 * Services and stations may come in any order. */
#pragma once

#include <gio/gio.h>

#include "core/plan/stations.h"

G_BEGIN_DECLS

#define DWN_STATION_LIST_VERSION 1
#define DWN_STATION_LIST_MAX_BYTES (64 * 1024 * 1024)

/* Reads a list. A service that a station names and nobody describes, a second station or service
 * of one id, a newer version, and all that dwn_station_check() refuses are errors.
 * @file: what errors call it. @warnings: (nullable) (element-type utf8): gets what was passed over.
 * Returns: FALSE with @error (DWN_DOCUMENT_ERROR) "FILE:LINE: …"; otherwise @stations and
 * @services (transfer full). */
gboolean dwn_station_list_parse (GBytes *bytes, const char *file, DwnStations **stations,
                                 DwnServices **services, GPtrArray *warnings, GError **error);

/* The same from a file of at most DWN_STATION_LIST_MAX_BYTES. */
gboolean dwn_station_list_load (const char *path, DwnStations **stations, DwnServices **services,
                                GPtrArray *warnings, GError **error);

/* Returns: (transfer full): the list as a file would hold it. */
GBytes *dwn_station_list_format (const DwnStations *stations, const DwnServices *services);

/* Writes the file whole or not at all, and durably: after a crash it is the old or the new one. */
gboolean dwn_station_list_save (const char *path, const DwnStations *stations,
                                const DwnServices *services, GError **error);

G_END_DECLS
