#pragma once

#include "draw/builder.h"
#include "draw/gear.h"

G_BEGIN_DECLS

/* A node where it stands. */
typedef struct {
  const DwnGearNode *node;
  guint column;        /* 0 leftmost */
  double x, y;         /* middle of the symbol */
  double half_width, half_height;
  guint n_in, n_out;   /* edges that are drawn */
  guint n_stacked;     /* outlets that this one stands for, itself included; 0: not drawn */
  guint last_stacked;  /* index of the last of them */
} DwnGearPart;

typedef struct {
  const DwnGearDrawing *data;
  DwnLook look;
  DwnBuilder *builder;
  double u, width, height;
  double left, right;     /* x of first and last column */
  double pitch;           /* from column to column */
  double top, bottom;     /* between them stand the symbols */
  double scale;           /* of symbols, 0.5 to 1 */
  guint n_columns;
  gboolean two_lines;     /* an outlet's detail stands under its name */
  gboolean downward;      /* the signal runs down the page, and words stand beside */
  DwnGearPart *parts;     /* by node */
} DwnGear;

/* gear-parts.c */
void dwn_gear_measure_part (const DwnGear *gear, DwnGearPart *part, double most_height);
/* The symbol alone, without its name. */
void dwn_gear_draw_symbol (DwnGear *gear, const DwnGearPart *part);
void dwn_gear_draw_part (DwnGear *gear, const DwnGearPart *part);

/* An orange disc with @fault in it; NULL: nothing. */
void dwn_gear_draw_fault (DwnGear *gear, const char *fault, double x, double y);

/* gear-cables.c */
void dwn_gear_draw_cables (DwnGear *gear);

/* Where cable @rank of @n meets the left or right side of a part. */
double dwn_gear_port_y (const DwnGear *gear, const DwnGearPart *part, guint rank, guint n);

G_END_DECLS
