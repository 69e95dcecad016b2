/* Station lists of regulators and others, made into our stations and services.
 *
 * Formats:
 *   licence-text    the US regulator's pipe-delimited query text (2013: NAD27, old channels)
 *   licence-tables  its current database tables, one zip (or .dat) a table, NAD83
 *   csv             any CSV, read through a mapping file (core/plan/import-map.h)
 *   stations        our own station list (core/plan/stations-xml.h)
 * Beside licence-text and licence-tables two CSV files may stand in any order among the files,
 * each known by its own column names: the post-repack table, whose channel, power, heights and
 * place take the place of the licence's where facility id and old channel both agree, and the
 * table of measured transmit patterns, joined by antenna id, otherwise by facility and channel.
 *
 * Several records of one facility: the newest file date counts within (facility, service, RF
 * channel, site within 1 km), for the main service within (facility, service). All distributed
 * transmitters of one file number stay. Auxiliary and analogue services are listed, not imported.
 *
 * Nothing is dropped silently: a record that does not become a station is in the list of skipped
 * ones with its file, line and reason; what lies beyond the radius is counted (n_beyond), as is
 * what the list does not hold any more (DWN_IMPORT_LISTED_MAX). */
#pragma once

#include <gio/gio.h>

#include "core/plan/stations.h"

G_BEGIN_DECLS

#define DWN_IMPORT_LISTED_MAX 100000   /* skipped records beyond it are only counted */
#define DWN_IMPORT_STATIONS_MAX 50000  /* more is refused: their strings stay interned */

typedef enum {
  DWN_IMPORT_LICENCE_TEXT,
  DWN_IMPORT_LICENCE_TABLES,
  DWN_IMPORT_CSV,
  DWN_IMPORT_STATIONS,
} DwnImportFormat;

typedef enum {
  DWN_DATUM_WGS84, /* NAD83 is the same to a metre or two */
  DWN_DATUM_NAD27,
} DwnDatum;

#define DWN_IMPORT_ERROR (dwn_import_error_quark ())
GQuark dwn_import_error_quark (void);
typedef enum {
  DWN_IMPORT_ERROR_FORMAT,  /* a file is not of the format it was given as */
  DWN_IMPORT_ERROR_EMPTY,   /* no file, or no record in it */
  DWN_IMPORT_ERROR_COLUMN,  /* a column that is needed is missing */
  DWN_IMPORT_ERROR_MAP,     /* the mapping file is wrong or missing */
  DWN_IMPORT_ERROR_LIMIT,   /* over DWN_IMPORT_STATIONS_MAX */
} DwnImportError;

/* Zeroed: WGS 84, everywhere, no mapping, today. */
typedef struct {
  DwnDatum datum;       /* of a licence text's and a csv's coordinates; the others have WGS 84 */
  gboolean has_near;
  DwnLatLon near;
  double within_km;     /* from @near; not > 0: everywhere */
  const char *map_file; /* csv only */
  DwnSystem system;     /* of a csv that does not say */
  const char *today;    /* "YYYY-MM-DD", for the list's age; NULL: today */
} DwnImportOptions;

typedef enum {
  DWN_SKIP_ANALOGUE,    /* an analogue service */
  DWN_SKIP_AUXILIARY,   /* a standby transmitter */
  DWN_SKIP_SILENT,      /* licensed, not on air */
  DWN_SKIP_STATUS,      /* not licensed: applied for, a permit */
  DWN_SKIP_SUPERSEDED,  /* a newer record of the same transmitter stands */
  DWN_SKIP_DUPLICATE,   /* the same record once more */
  DWN_SKIP_FIELD,       /* a field is missing or unusable */
  DWN_SKIP_POWER,       /* no power, or 0 */
  DWN_SKIP_JOIN,        /* a row of another table is missing */
} DwnSkipReason;

/* A record that did not become a station. */
typedef struct {
  const char *file;     /* interned */
  guint line;
  char *name;           /* call sign or name, "" where unreadable */
  DwnSkipReason reason;
  char *text;           /* what is wrong and what would be right, translated */
} DwnImportSkip;

typedef enum {
  DWN_IMPORT_WARNING_AGE,          /* the newest record is over a year old; count: days */
  DWN_IMPORT_WARNING_CHANNELS,     /* US channels above 36; count: stations */
  DWN_IMPORT_WARNING_HAAT,         /* height above terrain not on file; count: stations */
  DWN_IMPORT_WARNING_POLARISATION, /* not on file; count: stations */
  DWN_IMPORT_WARNING_POWER,        /* ERP 0, listed as skipped; count: records */
  DWN_IMPORT_WARNING_LATIN1,       /* not UTF-8, read as Latin-1; count: the first line */
  DWN_IMPORT_WARNING_UNMATCHED,    /* rows of a table beside that join no licence; count: rows */
  DWN_IMPORT_WARNING_PATTERN,      /* directional, no pattern: taken as round; count: stations */
  DWN_IMPORT_WARNING_DOUBLE,       /* main and distributed on one channel; count: facilities */
  DWN_IMPORT_WARNING_OTHER,        /* rows of other services or statuses; count: rows */
  DWN_IMPORT_WARNING_UNLISTED,     /* skipped records beyond the list; count: records */
  DWN_IMPORT_WARNING_DATUM,        /* no NAD27 figures for that part of the world; count: records */
  DWN_IMPORT_WARNING_REFERENCE,    /* distributed, without antenna and heights; count: stations */
} DwnImportWarningCode;

typedef struct {
  DwnImportWarningCode code;
  guint count;
  char *text; /* translated */
} DwnImportWarning;

/* The outcome. Plain, owned by the caller. */
typedef struct {
  DwnStations *stations; /* in the files' order */
  DwnServices *services; /* of these stations, one each; unwanted */
  guint n_records;       /* read from the main files, blank lines not counted */
  guint n_beyond;        /* further than within_km, usable or not: not listed */
  guint n_skipped;
  DwnImportSkip *skipped;
  guint n_warnings;
  DwnImportWarning *warnings;
} DwnImport;

void dwn_import_free (DwnImport *import);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnImport, dwn_import_free)

/* Called now and then from the importing thread with 0 to 1. */
typedef void (*DwnImportProgress) (double fraction, gpointer user_data);

/* Reads @files (NULL-terminated). Reentrant; memory is bounded by the stations kept.
 * Returns: (transfer full): NULL with @error (DWN_IMPORT_ERROR, DWN_LINES_ERROR, DWN_CSV_ERROR,
 * G_IO_ERROR, also G_IO_ERROR_CANCELLED) whose message names file and line. */
DwnImport *dwn_import_files (DwnImportFormat format, const char *const *files,
                             const DwnImportOptions *options, GCancellable *cancellable,
                             DwnImportProgress progress, gpointer user_data, GError **error);

/* "licence-text" "licence-tables" "csv" "stations", as on the command line. */
const char *dwn_import_format_id (DwnImportFormat format);
gboolean dwn_import_format_from_id (const char *id, DwnImportFormat *format);

/* "analogue" "auxiliary" ..., for scripts. */
const char *dwn_skip_reason_id (DwnSkipReason reason);

G_END_DECLS
