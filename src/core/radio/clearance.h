/* Does the ground leave the way free? Clearance of the straight line over a curved earth,
 * measured against the first Fresnel zone. */
#pragma once

#include "core/geo/profile.h"

G_BEGIN_DECLS

/* Effective earth of a standard atmosphere: radio bends down, as if the earth were flatter. */
#define DWN_STANDARD_K_FACTOR (4.0 / 3.0)
/* A clearance under this share of the first Fresnel radius costs signal. */
#define DWN_GRAZING_RATIO 0.6

typedef enum {
  DWN_PATH_UNKNOWN, /* no profile, or one with gaps */
  DWN_PATH_CLEAR,
  DWN_PATH_GRAZING, /* free, but by less than DWN_GRAZING_RATIO of the first Fresnel radius */
  DWN_PATH_BLOCKED, /* something stands above the line */
} DwnPathClass;

/* One hill, or one stretch of ground, that stands in the way: a run of neighbouring samples above
 * the line, or, where none is, a run within DWN_GRAZING_RATIO of it. */
typedef struct {
  double from_m, to_m;  /* its extent, from the transmitter */
  double distance_m;    /* its worst sample, from the transmitter */
  double top_m;         /* above mean sea level, what stands on the ground included */
  double clearance_m;   /* of the worst sample; negative above the line */
  double ratio;         /* of the worst sample */
  DwnPathClass class;   /* grazing or blocked */
} DwnObstruction;

#define DWN_MAX_OBSTRUCTIONS 16

/* What is highest on the horizon toward the other end, from one end of the path. */
typedef struct {
  double elevation_deg; /* of the highest ground in between, negative below the horizontal */
  double distance_m;    /* from this end */
  double line_deg;      /* elevation of the straight line to the other antenna */
} DwnHorizon;

typedef struct {
  DwnPathClass class;
  double clearance_m;   /* at the worst point: line minus ground, negative where blocked */
  double distance_m;    /* of the worst point, from the transmitter */
  double fresnel_m;     /* radius of the first Fresnel zone there */
  double ratio;         /* clearance_m / fresnel_m */
  DwnHorizon tx, rx;    /* as seen from either antenna */
  guint n_obstructions; /* in order from the transmitter; of more than the array holds, the worst */
  DwnObstruction obstruction[DWN_MAX_OBSTRUCTIONS];
} DwnClearance;

/* The worst point is the sample with the smallest ratio of clearance to first Fresnel radius; both
 * ends are excluded. Ground is the profile's height plus its clutter, over an earth of radius
 * @k_factor × 6371 km; heights are above ground at either end.
 * FALSE with @out unknown and its figures NaN where the profile has gaps or no sample between its
 * ends, or where a number is out of range (@mhz and @k_factor > 0, heights finite).
 * First Fresnel radius: ITU-R P.526-15 eq. (2); k = 4/3: ITU-R P.310. */
gboolean dwn_clearance (const DwnProfile *profile, double tx_agl_m, double rx_agl_m, double mhz,
                        double k_factor, DwnClearance *out);

/* Radius in metres of the first Fresnel zone @near_m from one end and @far_m from the other;
 * NaN unless all three are > 0. */
double dwn_fresnel_radius_m (double near_m, double far_m, double mhz);

const char *dwn_path_class_id (DwnPathClass class); /* "unknown" "clear" "grazing" "blocked" */

G_END_DECLS
