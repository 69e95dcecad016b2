/* The stations of a plan: one record is one transmitter on one RF channel. */
#pragma once

#include "core/antenna/pattern.h"
#include "core/geo/lat-lon.h"
#include "core/radio/channel.h"

G_BEGIN_DECLS

#define DWN_STATION_ID_MAX 80        /* characters of an id */
#define DWN_STATION_ERP_MAX_KW 20000 /* no licence has a twentieth of it */

#define DWN_STATION_ERROR (dwn_station_error_quark ())
GQuark dwn_station_error_quark (void);
typedef enum {
  DWN_STATION_ERROR_ID,    /* missing, too long, or with other characters */
  DWN_STATION_ERROR_NAME,  /* missing */
  DWN_STATION_ERROR_RANGE, /* a figure that no station has */
} DwnStationError;

typedef enum {
  DWN_STATION_MAIN,        /* a full service station */
  DWN_STATION_LOW_POWER,   /* low power, class A, relay */
  DWN_STATION_FILL_IN,     /* a fill-in of a main station */
  DWN_STATION_DISTRIBUTED, /* one of several transmitters of one programme */
} DwnStationKind;

/* All strings are interned: compare by pointer. NaN stands for what is not on file. */
typedef struct {
  const char *id;   /* stable, unique in the list, [A-Za-z0-9._:-]+ */
  const char *name; /* as the trade calls it: call sign or station name */
  const char *site; /* of the mast; "" where not on file. Stations within 500 m share a mast. */
  DwnStationKind kind;
  DwnSystem system;
  const char *mode; /* of the system ("64qam-2/3"); NULL: the system's ordinary one */
  const char *rf;
  double mhz;       /* centre */
  DwnBand band;
  DwnLatLon at;
  double erp_kw;
  double haat_m;    /* height above average terrain */
  double agl_m;     /* radiation centre above ground */
  double amsl_m;    /* radiation centre above mean sea level */
  DwnPolarisation polarisation;
  const DwnPattern *pattern; /* by true bearing, 0 dB at the licensed maximum; NULL: all round */
  const char *network;       /* transmitters of one network share it; NULL: none */
  double delay_us;           /* of this transmitter within its network; 0 where not on file */
  guint n_services;
  const char *const *services; /* ids of DwnService; interned */
  guint line;                /* of the source file; 0 where typed in */
} DwnStation;

/* Immutable, refcounted. */
typedef struct {
  guint n;
  const DwnStation *station;
  const char *source;   /* file name of the list, interned; NULL: typed in */
  const char *dated;    /* newest record's date "YYYY-MM-DD"; NULL: unknown */
} DwnStations;

/* Copies records, services arrays and references patterns. Does not check: readers do. */
DwnStations *dwn_stations_new (guint n, const DwnStation *stations, const char *source,
                               const char *dated);
DwnStations *dwn_stations_ref (const DwnStations *stations);
void dwn_stations_unref (DwnStations *stations);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnStations, dwn_stations_unref)

/* Index of the station with this id (the first, where a list breaks the rule), or -1. */
int dwn_stations_find (const DwnStations *stations, const char *id);

/* A list with @station put in the place of the one with its id, or at the end where there is none.
 * Returns: (transfer full). */
DwnStations *dwn_stations_with (const DwnStations *stations, const DwnStation *station);

/* A list without the station of that id. Returns: (transfer full), itself where there is none. */
DwnStations *dwn_stations_without (const DwnStations *stations, const char *id);

/* TRUE where one station's figures are in range, its id and name are there, and its RF channel is
 * one of its system's with mhz and band to match. Otherwise @error says what would be right
 * (DWN_STATION_ERROR or DWN_CHANNEL_ERROR); it names no file: the reader puts that before it. */
gboolean dwn_station_check (const DwnStation *station, GError **error);

/* TRUE for 1 to DWN_STATION_ID_MAX characters of [A-Za-z0-9._:-]; ids of services too. */
gboolean dwn_station_id_is_valid (const char *id);

/* "main" "low-power" "fill-in" "distributed", as in files and on the command line. */
const char *dwn_station_kind_id (DwnStationKind kind);
gboolean dwn_station_kind_from_id (const char *id, DwnStationKind *kind);

typedef enum {
  DWN_WANTED_NO,   /* an extra */
  DWN_WANTED_LIKE,
  DWN_WANTED_MUST,
} DwnWanted;

/* One programme stream as the viewer names it. A wanted service is satisfied by any one station
 * that carries it. */
typedef struct {
  const char *id;        /* interned */
  const char *name;      /* interned */
  const char *on_screen; /* what the set shows ("7.1"); interned; "" where not on file */
  DwnWanted wanted;
} DwnService;

typedef struct {
  guint n;
  const DwnService *service;
} DwnServices;

DwnServices *dwn_services_new (guint n, const DwnService *services); /* copies */
DwnServices *dwn_services_ref (const DwnServices *services);
void dwn_services_unref (DwnServices *services);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnServices, dwn_services_unref)
int dwn_services_find (const DwnServices *services, const char *id);

/* As for stations: puts in place or appends, and takes away. Returns: (transfer full). */
DwnServices *dwn_services_with (const DwnServices *services, const DwnService *service);
DwnServices *dwn_services_without (const DwnServices *services, const char *id);

/* "no" "like" "must", as in files. */
const char *dwn_wanted_id (DwnWanted wanted);
gboolean dwn_wanted_from_id (const char *id, DwnWanted *wanted);

/* The strongest mark on any service of the station. */
DwnWanted dwn_station_wanted (const DwnStation *station, const DwnServices *services);

/* The on-screen number of the first service of the station that has one; "" where none has. */
const char *dwn_station_on_screen (const DwnStation *station, const DwnServices *services);

G_END_DECLS
