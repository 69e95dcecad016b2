/* The loss staircase: from transmitter power to the outlet, a column for each loss or gain, with
 * what would be just enough in step below it, and the remedies, largest first. */
#pragma once

#include <pango/pango.h>

#include "draw/look.h"
#include "draw/scene.h"

G_BEGIN_DECLS

/* Strings are borrowed for the call and worded by the caller. */
typedef struct {
  guint id;
  const char *name, *detail; /* under the column; detail nullable */
  const char *value;         /* on the step: "−24.0" */
  double gain_db;            /* below 0: a loss. Of the first step: the power it starts from, dBm */
  gboolean cause;            /* among the named causes of the trouble */
  double enough_dbm; /* level after this step that would leave no margin; NaN before there is one */
} DwnStair;

typedef struct {
  guint id;
  const char *text;
  const char *gain, *chance; /* "+9.0 dB", "88 %" */
  double gain_db;
} DwnStairRemedy;

typedef struct {
  const char *title, *note;  /* nullable */
  const char *intro;         /* a sentence or two; nullable */
  const char *unit;          /* "dBm" */
  guint n_steps;
  const DwnStair *steps;     /* at least two: the first is the power */
  const char *just_enough;   /* beside its line */
  const char *margin_title, *margin, *chance, *needs; /* at the bracket: "margin", "3.0 dB", … */
  const char *remedies_title, *gain_title, *chance_title;
  guint n_remedies;
  const DwnStairRemedy *remedies;
} DwnStaircase;

/* Regions: DWN_REGION_STEP and DWN_REGION_REMEDY, both walked by keyboard in this order. What lies
 * between the power and the highest level after the second step is cut out where it is more than
 * 40 dB. */
DwnScene *dwn_staircase_layout (const DwnStaircase *data, const DwnLook *look, PangoContext *text,
                                double width, double height);

G_END_DECLS
