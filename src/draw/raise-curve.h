/* A small curve: what a higher mast would bring to one station. */
#pragma once

#include <pango/pango.h>

#include "draw/look.h"
#include "draw/scene.h"

G_BEGIN_DECLS

/* Strings are borrowed for the call. */
typedef struct {
  guint n;                  /* at least 2 */
  const double *height_m;   /* of the top antenna above ground, rising */
  const double *margin_db;  /* NaN: a gap */
  const char *metres;       /* "m" */
  const char *needed;       /* "needed" at 0 dB */
  const char *margin;       /* "margin, dB" */
} DwnRaiseCurve;

/* Returns: (transfer full). */
DwnScene *dwn_raise_curve_layout (const DwnRaiseCurve *data, const DwnLook *look, PangoContext *text,
                                  double width, double height);

G_END_DECLS
