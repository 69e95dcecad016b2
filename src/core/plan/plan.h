/* The document: one house, everything known and decided about it. No sums here. */
#pragma once

#include "core/chain/chain.h"
#include "core/geo/profile.h"
#include "core/plan/stations.h"
#include "core/radio/noise.h"

G_BEGIN_DECLS

/* Every part of a plan is immutable and refcounted, so that plans share what did not change and
 * "is it stale" is a comparison of pointers. All strings are interned. NaN: not known. */

typedef enum {
  DWN_MOUNT_MAST,
  DWN_MOUNT_WALL,
  DWN_MOUNT_CHIMNEY,
  DWN_MOUNT_ATTIC,
  DWN_MOUNT_INDOORS,
} DwnMount;
#define DWN_N_MOUNTS 5
const char *dwn_mount_id (DwnMount mount); /* "mast" "wall" "chimney" "attic" "indoors" */
gboolean dwn_mount_from_id (const char *id, DwnMount *mount);

/* How a loss at the house is found. */
typedef enum {
  DWN_HOUSE_FIGURES,  /* as the plan gives it, by band */
  DWN_HOUSE_ROOF,     /* what an attic antenna looks through: a roof of the data file */
  DWN_HOUSE_BUILDING, /* into a building: ITU-R P.2109 */
  DWN_HOUSE_CLUTTER,  /* houses around an antenna lower than they are: ITU-R P.2108 */
  DWN_HOUSE_TREES,    /* ITU-R P.833 through them, or over their tops */
} DwnHouseKind;
#define DWN_N_HOUSE_KINDS 5
/* "figures" "roof" "building" "clutter" "trees" */
const char *dwn_house_kind_id (DwnHouseKind kind);
gboolean dwn_house_kind_from_id (const char *id, DwnHouseKind *kind);

/* One thing at the house that takes signal away, towards some bearings. Of what a kind needs, NaN
 * stands for what is usual. */
typedef struct {
  const char *name;                 /* "wood to the south-east" */
  double from_deg, to_deg;          /* true, clockwise; equal: all round */
  double loss_db[DWN_N_BANDS];      /* figures */
  double sd_db;                     /* its own uncertainty, one standard deviation; NaN: the kind's */
  gboolean leaves;                  /* figures: only while leaves are on */
  DwnHouseKind kind;
  const char *of;    /* roof: its id; building: its class; clutter: its kind; trees: "evergreen" */
  double percent;    /* building: of the places inside that do better; NaN: 50 */
  double height_m;   /* clutter, trees: of what stands there; NaN: as usual; trees: over no top */
  double away_m;     /* clutter: across the street; trees: from the antenna to the first of them */
  double depth_m;    /* trees: along the way; NaN: one tree */
} DwnHouseLoss;
/* All round, of unknown figures: NaN, and a loss of 0. */
void dwn_house_loss_init (DwnHouseLoss *loss, DwnHouseKind kind);

/* What no one wants and every amplifier hears: an FM station or a mobile base station that is known,
 * or a whole band of them, assumed. */
typedef struct {
  const char *group;    /* id of a DwnCarrierGroup: what is assumed where no figure stands below;
                         * NULL: none */
  const char *name;     /* NULL: the group's */
  double mhz;           /* of one carrier; NaN: those of the group */
  double field_dbuv_m;  /* of each, out of doors at the house; NaN: from what follows */
  double erp_kw, distance_m; /* as in free space; NaN: the group's field */
  double bearing_deg;   /* NaN: the antennas look at it */
} DwnUnwanted;

/* By which rules wind and conductors are reckoned. */
typedef enum {
  DWN_SAFETY_BY_SYSTEM, /* those of the country whose broadcast system the stations have */
  DWN_SAFETY_EU,        /* EN 60728-11 */
  DWN_SAFETY_US,        /* velocity pressure, National Electrical Code */
} DwnSafetyRule;
#define DWN_N_SAFETY_RULES 3
const char *dwn_safety_rule_id (DwnSafetyRule rule); /* "" "eu" "us" */
gboolean dwn_safety_rule_from_id (const char *id, DwnSafetyRule *rule);

/* What holds the antennas up; 0: not known. */
typedef struct {
  DwnSafetyRule rule;
  double free_m;          /* of the mast above its upper clamp */
  double clamped_m;       /* from there to the lowest clamp */
  double diameter_m;
  double mast_nm, bracket_nm; /* the bending moments that they may take, allowable */
  double roof_m;          /* from the roof up to the lowest antenna */
  double line_m;          /* from the foot of the mast to the nearest power line */
  double wind_m_per_s;    /* of the local code, for velocity pressure; 0: the rule's own */
  gboolean wind_ultimate; /* that is an ultimate speed, not one for allowable stresses */
  double ice_m;           /* all round; 0: none */
  gboolean guyed;
  gboolean exposed;       /* on a hill or at the coast */
} DwnMast;
/* Is anything known of it? */
gboolean dwn_mast_is_described (const DwnMast *mast);

/* Height of the antenna above ground where a plan says nothing: 30 feet, the height for which
 * broadcast planning figures are given (47 CFR 73.683). */
#define DWN_SITE_HEIGHT_M 9.1

typedef struct {
  const char *name;       /* of the house; the plan's title */
  const char *place;      /* town */
  DwnLatLon at;
  double ground_m;        /* above mean sea level */
  DwnMount mount;
  double height_m;        /* of the top antenna above ground */
  DwnArea area;
  const char *time_zone;  /* of clocks there, "Europe/Berlin" or "+02:00"; "" not known */
  DwnLatLon landmark;     /* in sight of the house, to turn the antenna from; NaN: none */
  DwnMast mast;
  guint n_losses;
  const DwnHouseLoss *loss;
  guint n_unwanted;
  const DwnUnwanted *unwanted;
} DwnSite;

/* One aim an antenna, ° true, in the order of the gear's antennas. */
typedef struct {
  guint n;
  const double *aim_deg;
} DwnAims;

/* A stored profile, so that the plan computes anywhere without tiles. */
typedef struct {
  const char *station;        /* id */
  const DwnProfile *profile;  /* transmitter first */
  const char *crest;          /* name of the summit that stands in the way; NULL: none given */
  const char *source;         /* of the elevations */
} DwnPath;

typedef struct {
  guint n;
  const DwnPath *path;
  guint n_skyline;             /* 0, or 360: horizon elevation for each degree of bearing */
  const double *skyline_deg;
} DwnPaths;

/* What a meter or a set showed on the day. */
typedef struct {
  const char *station;   /* id */
  const char *where;     /* part id: an outlet, an antenna, any part */
  const char *when;      /* ISO 8601, local; "" where not noted */
  double level_dbm;
  double cn_db;          /* or MER, in dB */
  double ber_before, ber_after; /* correction */
  int lock;              /* 1 yes, 0 no, −1 not noted */
  int bars, bars_of;     /* shown of so many; −1 not noted */
  /* As things stood when it was read, so that later edits of aim and gear do not turn it into
   * another reading; NaN: as the plan has it now. */
  double aim_deg;        /* of the antenna that brings this station there */
  double gain_db;        /* from an isotropic antenna's terminals to there, that antenna's included */
  gboolean leaves;       /* were leaves on */
  const char *weather;
  const char *note;
} DwnReading;

/* One day of work at the house: what a sheet says about it besides the readings. "" where nothing
 * was noted. */
typedef struct {
  const char *when;      /* the day, ISO 8601 */
  const char *who;
  const char *meter;
  const char *changed;   /* what was changed */
  const char *found;     /* what was found wrong */
  const char *cause;     /* id of the cause, where the program named it */
} DwnVisit;

typedef struct {
  guint n;
  const DwnReading *reading;
  guint n_visits;
  const DwnVisit *visit; /* one a day at most, by day */
} DwnReadings;

/* How the plan wants its sums done. */
typedef struct {
  const char *model;      /* "auto", or the id of a path model */
  gboolean leaves;        /* are leaves on in the season planned for */
  double n0;              /* N-units; NaN: the model's own */
  double dn;              /* N-units */
  int climate;            /* ITM, 1 to 7 */
  double sd_db;           /* of the prediction; NaN: by the rule of the path */
  const char *date;       /* of planning, YYYY-MM-DD: declination is for this day */
  const char *currency;   /* of prices; "" none */
  guint n_allowed;
  const char *const *allowed; /* antennas that the advice may choose from; 0: the starter set */
} DwnMethod;

typedef struct {
  const DwnSite *site;
  const DwnStations *stations;
  const DwnServices *services;
  const DwnChain *gear;
  const DwnAims *aims;
  const DwnPaths *paths;
  const DwnReadings *readings;
  const DwnMethod *method;
} DwnPlan;

DwnSite *dwn_site_new (const DwnSite *values); /* these copy what they are given */
DwnAims *dwn_aims_new (guint n, const double *aim_deg); /* turned into 0 <= aim < 360 */
DwnPaths *dwn_paths_new (guint n, const DwnPath *paths, const double *skyline_deg); /* 360, nullable */
DwnReadings *dwn_readings_new (guint n, const DwnReading *readings); /* without visits */
DwnReadings *dwn_readings_new_visited (guint n, const DwnReading *readings, guint n_visits,
                                       const DwnVisit *visits);
DwnMethod *dwn_method_new (const DwnMethod *values);
void dwn_site_unref (const DwnSite *site);
void dwn_aims_unref (const DwnAims *aims);
void dwn_paths_unref (const DwnPaths *paths);
void dwn_readings_unref (const DwnReadings *readings);
void dwn_method_unref (const DwnMethod *method);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSite, dwn_site_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnAims, dwn_aims_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPaths, dwn_paths_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnReadings, dwn_readings_unref)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnMethod, dwn_method_unref)

/* Sets everything to "not known", the model to "auto", dn 45, climate 5. */
void dwn_method_init (DwnMethod *method);
void dwn_reading_init (DwnReading *reading);
void dwn_unwanted_init (DwnUnwanted *unwanted);
void dwn_visit_init (DwnVisit *visit);

/* The visit of that day (the first ten characters of @when); NULL. */
const DwnVisit *dwn_readings_find_visit (const DwnReadings *readings, const char *when);

const DwnPath *dwn_paths_find (const DwnPaths *paths, const char *station);

/* References every part of @parts; none may be NULL. aims must have one aim an antenna. */
DwnPlan *dwn_plan_new (const DwnPlan *parts);
DwnPlan *dwn_plan_ref (const DwnPlan *plan);
void dwn_plan_unref (const DwnPlan *plan);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPlan, dwn_plan_unref)

/* A plan like @plan but for the parts that the caller puts in. Copy `*plan` into a DwnPlan on the
 * stack, exchange pointers, call dwn_plan_new(): the untouched parts are shared. These do that for
 * the edits that are made most; each returns (transfer full). */
DwnPlan *dwn_plan_with_aims (const DwnPlan *plan, guint n, const double *aim_deg);
DwnPlan *dwn_plan_with_site (const DwnPlan *plan, const DwnSite *values);
DwnPlan *dwn_plan_with_gear (const DwnPlan *plan, const DwnChain *gear, const DwnAims *aims);
/* Profiles of stations that are gone or stand elsewhere now are left out; the reason to survey the
 * ground again. Moving the house leaves out all of them, and the skyline. */
DwnPlan *dwn_plan_with_stations (const DwnPlan *plan, const DwnStations *stations,
                                 const DwnServices *services);
DwnPlan *dwn_plan_with_method (const DwnPlan *plan, const DwnMethod *values);
/* @readings: all there are from now on; visits stay. */
DwnPlan *dwn_plan_with_readings (const DwnPlan *plan, guint n, const DwnReading *readings);
/* Puts a visit in the place of the one of its day, or adds it. */
DwnPlan *dwn_plan_with_visit (const DwnPlan *plan, const DwnVisit *visit);
DwnPlan *dwn_plan_with_wanted (const DwnPlan *plan, const char *service, DwnWanted wanted);

G_END_DECLS
