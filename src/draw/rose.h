/* The rose: the house in the middle, north up, every station at its bearing and distance, the
 * antennas' patterns, and a handle on the rim for each aim.
 *
 * Nothing here knows a plan: the caller fills plain structs with figures and with text that is
 * already worded and translated. Bearings are degrees true, clockwise. */
#pragma once

#include <pango/pango.h>

#include "core/radio/channel.h"
#include "draw/look.h"
#include "draw/scene.h"

G_BEGIN_DECLS

typedef enum {
  DWN_ROSE_SCALE_SQRT,   /* r = R √(d/D) */
  DWN_ROSE_SCALE_LINEAR, /* r = R d/D */
  DWN_ROSE_SCALE_LOG,    /* r = R log(1 + d/1 km) / log(1 + D/1 km) */
} DwnRoseScale;

/* Strings are borrowed for the call. */
typedef struct {
  guint id;             /* the caller's; comes back in regions */
  guint mast;           /* stations with the same number share a mark; dwn_rose_group_masts() */
  const char *name;
  const char *detail;   /* "RF 5 · 25 %", under the name and in the fan; nullable */
  DwnBand band;
  double bearing_deg, distance_m;
  double chance;        /* 0 to 1; NaN where unknown */
  gboolean wanted, selected, hovered;
} DwnRoseStation;

/* What is written beside a mark that several stations share, and at the head of its fan. */
typedef struct {
  const char *name;     /* of the site */
  const char *detail;   /* "RF 16 21 29 33" */
  const char *distance; /* "64 km" */
} DwnRoseMast;

typedef struct {
  guint id;
  const char *label;    /* over the bearing: "UHF" */
  const char *bearing;  /* "93°" */
  double aim_deg;
  double window_from_deg, window_to_deg; /* clockwise from, to; NaN: no arc */
  guint n_gain;              /* azimuths, evenly spaced, the first on the aim; 0: no pattern */
  const double *gain_dbi;
  double max_gain_dbi;       /* the radius of 0 dB */
} DwnRoseAntenna;

/* What two antennas that meet in one band receive together, by bearing: the first at north, evenly
 * spaced. Between the best and the worst phase lies a band. */
typedef struct {
  guint n_gain;         /* 0: no such pair */
  const double *mean_dbi, *best_dbi, *worst_dbi;
  double max_gain_dbi;  /* the radius of 0 dB: the most that one of the two has alone */
} DwnRosePair;

/* A wanted station that lies off the lobe of the antenna that brings it. */
typedef struct {
  double bearing_deg;
  double below_db;      /* how far the antenna's gain there is under its most, on the station's channel */
  gboolean held;
} DwnRoseMiss;

/* From here on a lobe misses: its half-power width. */
#define DWN_ROSE_MISS_DB 3.0

/* The card beside the selected station. */
typedef struct {
  const char *title;    /* NULL: no card */
  const char *verdict;  /* "worth a trial" */
  guint n_lines;
  const char *const *lines;
} DwnRoseCard;

/* The sun over the rim, at one moment of a day. */
typedef struct {
  double azimuth_deg;
  gboolean hidden;      /* behind the skyline then */
  const char *label;    /* "12:00" beside every third hour; NULL: a point of the line only */
  gboolean hour;        /* a full hour: a dot */
} DwnRoseSun;

/* Words that stand in every rose. */
typedef struct {
  const char *north, *east, *south, *west; /* one or two letters */
  const char *magnetic_north, *magnetic;   /* the second where there is little room */
  const char *km;                          /* unit behind the outermost ring */
  const char *zero_db;                     /* "0 dB" */
  const char *low_vhf, *high_vhf, *uhf;    /* legend */
  const char *dependable, *worth_a_trial, *unlikely, *wanted;
} DwnRoseWords;

typedef struct {
  guint n_stations;
  const DwnRoseStation *stations;
  guint n_masts;
  const DwnRoseMast *masts;   /* by mast number; NULL: the first station's own words */
  guint n_antennas;
  const DwnRoseAntenna *antennas;
  DwnRosePair pair;
  guint n_misses;
  const DwnRoseMiss *misses;  /* each a spoke from the pattern's edge to where 0 dB are */
  double declination_deg;     /* east positive; NaN: no needle */
  const double *skyline_deg;  /* [360] elevation by bearing; NULL: no terrain */
  guint n_sun;
  const DwnRoseSun *sun;      /* from sunrise to sunset; n_sun 0: not drawn */
  DwnRoseScale scale;
  double zoom;                /* 1: all stations; 2: half the distance fills the disc */
  int fan_mast;               /* mast that is fanned out; −1: none */
  DwnRoseCard card;
  const char *ridge;          /* names what blocks the selected station; NULL: nothing does */
  gboolean legend;
  DwnRoseWords words;
} DwnRoseData;

/* The words above in the user's language. */
DwnRoseWords dwn_rose_words (void);

/* Numbers the masts: stations within 500 m of another of the mast share it, in order of first
 * appearance. Overwrites `mast`. Returns: how many masts there are. */
guint dwn_rose_group_masts (DwnRoseStation *stations, guint n_stations);

/* Remembers between two layouts where labels stood, so that they stay while somebody drags. */
typedef struct _DwnRosePlaces DwnRosePlaces;
DwnRosePlaces *dwn_rose_places_new (void);
void dwn_rose_places_free (DwnRosePlaces *places);
/* While @held every name stays where it stood and none is added: for a drag, which moves patterns but
 * no mark. The search for places is most of what a layout of 400 stations costs. */
void dwn_rose_places_hold (DwnRosePlaces *places, gboolean held);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnRosePlaces, dwn_rose_places_free)

/* Lays everything out for @width × @height units of the surface. @places (nullable) is read and
 * then brought up to date. Regions: DWN_REGION_AIM (id of the antenna), DWN_REGION_STATION (id of
 * the station whose chance the mark shows, value: the mast), DWN_REGION_FAN_STATION,
 * DWN_REGION_LABEL, DWN_REGION_CARD, DWN_REGION_FIGURE; aims come first in tab order, then marks
 * by bearing. The text context is only asked for fonts. */
DwnScene *dwn_rose_layout (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                           double width, double height, DwnRosePlaces *places);

/* Only DWN_LAYER_MOVING, and of it only what belongs to antenna @antenna (−1: all): pattern, aim
 * line with its scale, handle, window arc. The same picture as in dwn_rose_layout(). */
DwnScene *dwn_rose_layout_moving (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                                  double width, double height, int antenna);

/* Which figures and letters of the rim a handle pushes inside, one bit every 30° from north. They
 * belong to DWN_LAYER_STATIC: lay that out anew when this number changes during a drag. */
guint dwn_rose_covered_figures (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                                double width, double height);

/* The bearing of @x, @y from the house, 0 <= b < 360: what a drag of a handle sets. */
double dwn_rose_bearing_at (double width, double height, double x, double y);

/* Where a station at this bearing and distance stands. FALSE where it lies outside the disc. */
gboolean dwn_rose_point (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                         double width, double height, double bearing_deg, double distance_m,
                         double *x, double *y);

G_END_DECLS
