/* The station mark, the same in the rose, in lists, in cards and on paper: its shape is the band,
 * its fill the chance, a second outline says that it carries a wanted service. */
#pragma once

#include <cairo.h>

#include "core/radio/channel.h"
#include "draw/look.h"

G_BEGIN_DECLS

/* Radius in u of a UHF mark of size 1; the other shapes are drawn a little larger, so that all
 * three look the same size. */
#define DWN_MARK_RADIUS 5.6

typedef enum {
  DWN_CHANCE_UNKNOWN,      /* no prediction: the outline is dotted */
  DWN_CHANCE_UNLIKELY,     /* below 50 %: hollow */
  DWN_CHANCE_WORTH_A_TRIAL, /* 50 to 90 %: lower half filled */
  DWN_CHANCE_DEPENDABLE,   /* 90 % or more: full */
} DwnChanceClass;

typedef struct {
  DwnBand band;
  double chance;    /* 0 to 1; NaN where unknown */
  gboolean wanted;
} DwnMark;

DwnChanceClass dwn_chance_class (double chance);

/* Paints @mark with its centre at @x, @y. @radius is that of a UHF mark, in units of @cr; lines
 * and the second outline scale with it. @ink is outline and fill, @ground what shows between the
 * outlines and in a hollow mark. The path and the source of @cr are overwritten. */
void dwn_mark_paint (const DwnMark *mark, cairo_t *cr, double x, double y, double radius,
                     DwnColour ink, DwnColour ground);

/* How far @mark reaches from its centre, second outline included. */
double dwn_mark_reach (const DwnMark *mark, double radius);

/* How far the body of a mark alone reaches. */
double dwn_mark_body (DwnBand band, double radius);

G_END_DECLS
