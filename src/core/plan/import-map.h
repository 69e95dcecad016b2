/* How the columns of a CSV are called, and in what units they are: the mapping file.
 *
 * A text of lines "key = value" under headings; blank lines and lines from # on are passed over.
 *
 *   [file]
 *   separator = semicolon       comma, semicolon, tab; left out: what the header has most of
 *   decimal = comma             point (the default) or comma
 *   header = 1                  the record that names the columns (default 1); 0: there is none
 *
 *   [columns]                   field = column: its name in the header, or #3 for the third
 *   name = Transmitter
 *   rf = Channel
 *   lat = Latitude
 *   lon = Longitude
 *   erp-w = Power (W)
 *
 *   [fixed]                     field = value for every record
 *   system = dvbt2-8
 *   polarisation = h
 *
 *   [words]                     field.word = what it means
 *   polarisation.waagerecht = h
 *   kind.relay = low-power
 *
 * Fields: name, lat and lon, one of rf mhz khz hz, and one of the powers must be there.
 *
 *   id name site kind mode network service service-name on-screen dated     text
 *   system                      atsc1 ... isdbt-br; left out: what the caller says
 *   rf                          the RF channel, never the on-screen number
 *   mhz khz hz                  centre frequency
 *   lat lon                     decimal degrees, or degrees minutes seconds with N S E W
 *   lat-packed lon-packed       DDMMSS and DDDMMSS
 *   erp-kw erp-w erp-dbw erp-dbk          power against a half-wave dipole
 *   eirp-kw eirp-w eirp-dbw               power against an isotrope, 2.15 dB more
 *   haat-m haat-ft agl-m agl-ft amsl-m amsl-ft     heights
 *   polarisation                h v c, or words that begin so
 *   delay-us                    of this transmitter within its network */
#pragma once

#include "core/plan/lines.h"

G_BEGIN_DECLS

/* What a record of a CSV can tell. */
typedef enum {
  DWN_MAP_ID, DWN_MAP_NAME, DWN_MAP_SITE, DWN_MAP_KIND, DWN_MAP_SYSTEM, DWN_MAP_MODE, DWN_MAP_RF,
  DWN_MAP_MHZ, DWN_MAP_KHZ, DWN_MAP_HZ, DWN_MAP_LAT, DWN_MAP_LON, DWN_MAP_LAT_PACKED,
  DWN_MAP_LON_PACKED, DWN_MAP_ERP_KW, DWN_MAP_ERP_W, DWN_MAP_ERP_DBW, DWN_MAP_ERP_DBK,
  DWN_MAP_EIRP_KW, DWN_MAP_EIRP_W, DWN_MAP_EIRP_DBW, DWN_MAP_HAAT_M, DWN_MAP_HAAT_FT,
  DWN_MAP_AGL_M, DWN_MAP_AGL_FT, DWN_MAP_AMSL_M, DWN_MAP_AMSL_FT, DWN_MAP_POLARISATION,
  DWN_MAP_NETWORK, DWN_MAP_DELAY_US, DWN_MAP_SERVICE, DWN_MAP_SERVICE_NAME, DWN_MAP_ON_SCREEN,
  DWN_MAP_DATED,
} DwnMapField;
#define DWN_N_MAP_FIELDS (DWN_MAP_DATED + 1)

typedef struct _DwnImportMap DwnImportMap;

/* Returns: (transfer full): NULL with @error (DWN_IMPORT_ERROR_MAP) naming the line. */
DwnImportMap *dwn_import_map_read (const DwnInput *input, GError **error);
void dwn_import_map_free (DwnImportMap *map);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnImportMap, dwn_import_map_free)

char dwn_import_map_separator (const DwnImportMap *map); /* 0: not said */
char dwn_import_map_decimal (const DwnImportMap *map);
guint dwn_import_map_header (const DwnImportMap *map);

/* Finds the columns that the map names in a header of @n fields, or with @n 0 by number only.
 * FALSE with @error naming the map's line and the columns that are there. */
gboolean dwn_import_map_resolve (DwnImportMap *map, char *const *header, guint n, GError **error);

/* What the record says for @field, or the fixed value; words are exchanged. Once resolved.
 * Returns: "" where it says nothing, or "-". */
const char *dwn_import_map_get (const DwnImportMap *map, DwnMapField field, char *const *record,
                                guint n);

/* TRUE where a column or a fixed value stands for the field. */
gboolean dwn_import_map_has (const DwnImportMap *map, DwnMapField field);

/* The field's key, for errors. */
const char *dwn_map_field_key (DwnMapField field);

G_END_DECLS
