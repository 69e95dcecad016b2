/* What the files of the rose share: the geometry that all layers agree on. */
#pragma once

#include "draw/builder.h"
#include "draw/rose.h"

G_BEGIN_DECLS

#define DWN_ROSE_N_FIGURES 12
#define DWN_ROSE_MAX_ANTENNAS 8

/* A mark: one station, or several on one mast. */
typedef struct {
  guint mast;
  guint n_stations;
  guint shown;         /* index of the station whose band and chance it wears */
  gboolean selected, hovered;
  gboolean visible;    /* within the disc */
  double bearing_deg;
  double x, y, radius; /* radius of its UHF shape */
  DwnMark mark;
  const char *name, *detail;
} DwnRoseMark;

/* Text beside a handle: label over bearing. */
typedef struct {
  double x, y;         /* of the handle */
  DwnRect text;
} DwnRoseHandle;

typedef struct {
  const DwnRoseData *data;
  DwnLook look;
  DwnBuilder *builder;
  double width, height;
  double u;
  double cx, cy, radius;
  double range_m;                          /* distance at the rim */
  gboolean roomy;                          /* R of 200 u or more: details, scale, card */
  DwnRect figures[DWN_ROSE_N_FIGURES];     /* every 30° from north, where they finally stand */
  guint covered;                           /* bit set: moved inside */
  DwnRoseHandle handles[DWN_ROSE_MAX_ANTENNAS];
  guint n_antennas;
  guint n_marks;
  DwnRoseMark *marks;                      /* owned; empty when only the moving layer is wanted */
  int selected;                            /* index of the selected station, −1 */
  DwnRect needle_word;
  gboolean has_card;
  DwnRect card;
  gboolean has_fan;
  DwnRect fan;
} DwnRose;

/* rose.c */
void dwn_rose_at (const DwnRose *rose, double bearing_deg, double radius, double *x, double *y);
double dwn_rose_radius_of (const DwnRose *rose, double distance_m);
/* Where a gain so far over the antenna's most (negative: under it) is drawn. */
double dwn_rose_gain_radius (const DwnRose *rose, double over_max_db);
double dwn_rose_pattern_radius (const DwnRose *rose, const DwnRoseAntenna *antenna,
                                double gain_dbi);

/* rose-rim.c */
void dwn_rose_place_figures (DwnRose *rose);
void dwn_rose_place_handles (DwnRose *rose);
DwnRect dwn_rose_needle_word (const DwnRose *rose);
void dwn_rose_draw_static (DwnRose *rose);
void dwn_rose_draw_needle (DwnRose *rose);

/* rose-sun.c */
void dwn_rose_draw_sun (DwnRose *rose);

/* rose-moving.c */
void dwn_rose_draw_moving (DwnRose *rose, int antenna);
guint dwn_rose_scale_rects (const DwnRose *rose, DwnRect rects[3]);

/* rose-marks.c */
void dwn_rose_collect_marks (DwnRose *rose);
void dwn_rose_draw_marks (DwnRose *rose);
void dwn_rose_draw_mark (DwnRose *rose, const DwnRoseMark *mark, DwnColour ink);

/* rose-rings.c */
guint dwn_rose_ring_rects (const DwnRose *rose, DwnRect rects[], guint max);
void dwn_rose_draw_rings (DwnRose *rose);
void dwn_rose_draw_ring_figures (DwnRose *rose);
double dwn_rose_legend_radius (const DwnRose *rose, double radius);
void dwn_rose_draw_legend (DwnRose *rose);

/* rose-overlay.c */
void dwn_rose_place_card (DwnRose *rose, DwnRosePlaces *places);
void dwn_rose_place_fan (DwnRose *rose);
void dwn_rose_draw_overlay (DwnRose *rose);

/* rose-labels.c */
void dwn_rose_draw_labels (DwnRose *rose, DwnRosePlaces *places);

G_END_DECLS
