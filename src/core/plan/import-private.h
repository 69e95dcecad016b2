/* What the importers share: the run that collects, and the licence that the rules work on. */
#pragma once

#include "core/plan/import.h"
#include "core/plan/lines.h"

G_BEGIN_DECLS

/* One import under way. */
typedef struct {
  const DwnImportOptions *options;
  GCancellable *cancellable;
  DwnImportProgress progress;
  gpointer progress_data;
  guint64 bytes_done, bytes_all; /* of the files, for the progress */
  GArray *skipped;               /* DwnImportSkip */
  guint n_unlisted;
  GArray *warnings;              /* DwnImportWarning */
  GArray *stations;              /* DwnStation, patterns owned; services arrays of one each */
  GArray *services;              /* DwnService */
  GStringChunk *strings;         /* what records, stations and services name until the end */
  GHashTable *service_index;     /* id -> position + 1 in @services */
  GHashTable *station_ids;       /* set */
  guint n_records, n_beyond, n_powerless, n_without_pattern;
  guint newest;                  /* date of the newest record, 20130528; 0: unknown */
  const char *source;
  const DwnInput *map;           /* of a csv; NULL: options->map_file */
} DwnImportRun;

/* A copy of @text that lives as long as the run, one for all that are alike. GLib's own interning
 * never gives back, and takes memory with the square of the number of strings: it is only for the
 * stations that are kept in the end. */
const char *dwn_import_run_string (DwnImportRun *run, const char *text);

/* Lists a record that will not become a station. */
void dwn_import_run_skip (DwnImportRun *run, const char *file, guint line, const char *name,
                          DwnSkipReason reason, const char *format, ...) G_GNUC_PRINTF (6, 7);

/* Adds a warning where @count is not 0. @format takes what it takes; @count is only kept. */
void dwn_import_run_warn (DwnImportRun *run, DwnImportWarningCode code, guint count,
                          const char *format, ...) G_GNUC_PRINTF (4, 5);

/* After each record: FALSE with @error when cancelled; every so often tells the progress. */
gboolean dwn_import_run_tick (DwnImportRun *run, const DwnLines *lines, GError **error);

/* Once a file is read: what its encoding was, and how far all of it is. */
void dwn_import_run_file_done (DwnImportRun *run, const DwnLines *lines);

/* TRUE where @at lies within the radius, or no radius is asked for. */
gboolean dwn_import_run_within (const DwnImportRun *run, const DwnLatLon *at);

/* Adds a station, taking its pattern, with @n services, which it then carries; its own services are
 * not looked at. Their strings must live as long as the run. The caller has seen to its id being unique. FALSE with
 * @error beyond DWN_IMPORT_STATIONS_MAX. */
gboolean dwn_import_run_add (DwnImportRun *run, const DwnStation *station, guint n,
                             const DwnService *services, GError **error);

/* The readers of formats: each fills @run from @n inputs. */
gboolean dwn_import_licences (DwnImportRun *run, gboolean tables, guint n, const DwnInput *inputs,
                              GError **error);
gboolean dwn_import_csv (DwnImportRun *run, guint n, const DwnInput *inputs, GError **error);
gboolean dwn_import_station_lists (DwnImportRun *run, guint n, const DwnInput *inputs,
                                   GError **error);

/* As dwn_import_files(), from inputs that may be in memory; @map NULL: options->map_file. */
DwnImport *dwn_import_inputs (DwnImportFormat format, guint n, const DwnInput *inputs,
                              const DwnInput *map, const DwnImportOptions *options,
                              GCancellable *cancellable, DwnImportProgress progress,
                              gpointer user_data, GError **error);

/* The services of the US regulator that we tell apart. */
typedef enum {
  DWN_LICENCE_MAIN,        /* DT */
  DWN_LICENCE_DISTRIBUTED, /* DD */
  DWN_LICENCE_LOW_POWER,   /* LD: low power, translator, fill-in */
  DWN_LICENCE_CLASS_A,     /* DC */
  DWN_LICENCE_AUXILIARY,   /* DX */
  DWN_LICENCE_ANALOGUE,    /* TX, CA */
} DwnLicenceService;

#define DWN_LICENCE_CALL_MAX 15
#define DWN_LICENCE_FILE_MAX 39 /* a UUID, too */

/* One record of the regulator's, whichever file it came from. NaN: not on file. */
typedef struct {
  const char *file;
  guint line;
  guint facility;
  DwnLicenceService service;
  const char *code;         /* of the service, as in the file; static */
  char call[DWN_LICENCE_CALL_MAX + 1];
  char file_number[DWN_LICENCE_FILE_MAX + 1];
  guint date;               /* 20130528; 0: unknown */
  guint rf;                 /* now */
  guint old_rf;             /* before the repack table was applied; what tables join on */
  DwnLatLon filed;          /* as filed, before any datum shift: names the site in the id */
  DwnLatLon at;             /* WGS 84 */
  double erp_kw, haat_m, agl_m, amsl_m;
  DwnPolarisation polarisation;
  gboolean directional;
  const char *antenna;      /* the regulator's antenna id; NULL: none. Strings are the run's. */
  double rotation_deg;
  DwnPattern *pattern;      /* owned */
  const char *tower;        /* registration number; "" */
  const char *on_screen;    /* "" */
  gboolean atsc3;
  gboolean dropped;         /* listed as skipped */
} DwnLicence;

void dwn_licence_init (DwnLicence *licence);
void dwn_licence_clear (DwnLicence *licence);

/* FALSE where the place is known and beyond the radius: then what is wrong with its record is of no
 * interest, and it is only counted. */
gboolean dwn_licence_is_near (const DwnImportRun *run, const DwnLatLon *at);

/* Marks a licence as dropped, and lists or counts it. */
void dwn_licence_drop (DwnImportRun *run, DwnLicence *licence, DwnSkipReason reason,
                       const char *text);

/* RF channel 2 to 69 from a field; 0 where it is none. */
guint dwn_licence_rf (const char *text);

/* The readers of the licence family. They append to, or work on, an array of DwnLicence. */
gboolean dwn_licence_read_text (DwnImportRun *run, const DwnInput *input, GArray *licences,
                                GError **error);
gboolean dwn_licence_read_tables (DwnImportRun *run, guint n, const DwnInput *inputs,
                                  GArray *licences, GError **error);
gboolean dwn_licence_apply_repack (DwnImportRun *run, const DwnInput *input, GArray *licences,
                                   GError **error);
gboolean dwn_licence_apply_patterns (DwnImportRun *run, const DwnInput *input, GArray *licences,
                                     GError **error);

/* The rules for several records of one facility: marks what is superseded, auxiliary or analogue
 * as dropped and lists it. */
void dwn_licence_keep_newest (DwnImportRun *run, GArray *licences);

/* What is left becomes stations. */
gboolean dwn_licence_build (DwnImportRun *run, GArray *licences, GError **error);

G_END_DECLS
