/* The elements <service> and <station>, which stand in plans and in station lists alike. */
#pragma once

#include "core/plan/stations.h"
#include "core/plan/xml.h"

G_BEGIN_DECLS

/* <service id="…" name="…" on-screen="7.1" wanted="must"/> */
gboolean dwn_service_read_xml (const DwnXmlContext *context, const xmlNode *node,
                               DwnService *service, GError **error);
void dwn_service_write_xml (xmlTextWriter *writer, const DwnService *service);

/* <station id="…" name="…" system="atsc1" rf="21" lat="…" lon="…" erp-kw="…" services="a b" …>
 *   <pattern id="…" source="…">azimuth gain azimuth gain …</pattern>
 * </station>
 * Reads everything, works out mhz and band from the RF channel, and checks it as
 * dwn_station_check() does. On success the caller owns station->services (g_free()) and a
 * reference to station->pattern where there is one. */
gboolean dwn_station_read_xml (const DwnXmlContext *context, const xmlNode *node,
                               DwnStation *station, GError **error);
void dwn_station_write_xml (xmlTextWriter *writer, const DwnStation *station);

/* A growing list while reading; frees what the records own. */
GArray *dwn_station_array_new (void); /* (element-type DwnStation) */

G_END_DECLS
