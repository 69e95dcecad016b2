/* The way from transmitter to house over the ground: level lines, ground and axis share the curve
 * of the earth, so that what rises above the straight line is what stands in the way. */
#pragma once

#include <pango/pango.h>

#include "draw/look.h"
#include "draw/scene.h"

G_BEGIN_DECLS

typedef struct {
  double from_m, to_m;  /* along the path */
  double height_m;
  const char *name;     /* "wood"; nullable */
} DwnPathWood;

/* Another hill that comes near the line or over it; its label stands beside it where there is room. */
typedef struct {
  double distance_m;
  const char *name; /* "14 m above the line, 21 km" */
} DwnPathHill;

/* Transmitter first: distances count from it. Strings are borrowed and worded by the caller. */
typedef struct {
  const char *title, *note;       /* nullable */
  guint n_points;                 /* at least two */
  const double *distance_m;       /* rising from 0 */
  const double *height_m;         /* of the ground above the sea */
  double transmitter_m, receiver_m; /* antennas above ground */
  double mhz;                     /* for the Fresnel zone; NaN: none is drawn */
  double earth_radius_m;          /* effective */
  const char *transmitter;        /* "Aldbeck, 92 m mast" */
  const char *house, *house_detail; /* "Ferncote", "9 m" */
  double crest_m;                 /* distance of the worst point; NaN: none is named */
  const char *crest, *crest_detail; /* "Cray Ridge", "132 m above the line, …" */
  double crest_above_m;           /* value of its region */
  guint n_edges;                  /* crests that the way bends over, rising */
  const double *edge_m;
  guint n_woods;
  const DwnPathWood *woods;
  guint n_hills;
  const DwnPathHill *hills;
  const char *fresnel;            /* "first Fresnel zone" */
  const char *km, *m;             /* units at the axes */
} DwnPathDrawing;

/* Regions: DWN_REGION_OBSTACLE at the named crest. */
DwnScene *dwn_path_layout (const DwnPathDrawing *data, const DwnLook *look, PangoContext *text,
                           double width, double height);

/* How much higher the curved sea stands above the chord between both ends, in metres, @from_m from
 * one of them: d1·d2 / 2a, the parabola that stands for the circle on so short a way. */
double dwn_path_bulge_m (double from_m, double length_m, double earth_radius_m);

/* Radius of the first Fresnel zone in metres, @from_m from one end: √(λ·d1·d2 / (d1 + d2)),
 * ITU-R P.526, 2.1. */
double dwn_path_fresnel_m (double from_m, double length_m, double mhz);

G_END_DECLS
