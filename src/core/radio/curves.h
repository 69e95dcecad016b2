/* Field strength over average terrain: the charts of 47 CFR 73.699, and the path model on them. */
#pragma once

#include <gio/gio.h>

#include "core/radio/noise.h"

G_BEGIN_DECLS

/* Immutable, refcounted: the data files radio/curves/BAND-f5050.csv and -f5010.csv. */
typedef struct _DwnCurves DwnCurves;

#define DWN_CURVE_ERROR (dwn_curve_error_quark ())
GQuark dwn_curve_error_quark (void);
typedef enum {
  DWN_CURVE_ERROR_FILE,   /* a table that cannot be used; the message names file and line */
  DWN_CURVE_ERROR_DOMAIN, /* a frequency, height, distance or time the charts do not cover */
} DwnCurveError;

/* The charts were drawn for a receiving antenna at this height. */
#define DWN_CURVE_RX_AGL_M 9.1
/* Below this height above average terrain and above it the charts are held. */
#define DWN_CURVE_MIN_HAAT_M 30.0
#define DWN_CURVE_MAX_HAAT_M 1600.0
/* Nearer than this the field is that of free space. */
#define DWN_CURVE_FREE_SPACE_KM 1.5
/* F(50,10) alone goes on to 500 km. */
#define DWN_CURVE_MAX_KM 300.0

/* Returns: (transfer full). */
DwnCurves *dwn_curves_new (GError **error);
DwnCurves *dwn_curves_ref (const DwnCurves *curves);
void dwn_curves_unref (DwnCurves *curves);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnCurves, dwn_curves_unref)

/* The same, read at the first call and kept for the run of the program; from any thread.
 * Returns: (transfer none): NULL with @error where a file of the user's cannot be used. */
const DwnCurves *dwn_curves_shared (GError **error);

/* Field in dBµV/m of 1 kW ERP at half the places and for at least @time_pct of the time (10 to
 * 90; 50, 10 and 90 are the charts' own). Nodes are joined by Akima's surface over kilometres and
 * metres; F(50,90) = 2 F(50,50) − F(50,10), and any other time is taken from a normal
 * distribution through these (our extension, as is usual for the 90 % curve); F(50,10) is
 * F(50,50) below 15 km; below 1.5 km it is free space (106.92 − 20 log10 km). @haat_m is held
 * within 30 to 1600 m. @km has to be > 0 and at most 300 (500 at exactly 10 %). */
gboolean dwn_curve_field_dbuv_m (const DwnCurves *curves, double mhz, double haat_m, double km,
                                 double time_pct, double *field_dbuv_m, GError **error);

/* The farthest distance at which 1 kW ERP still gives @field_dbuv_m; for another power take off
 * 10 log10 kW first. A field that the charts do not fall to within their range is an error. */
gboolean dwn_curve_distance_km (const DwnCurves *curves, double mhz, double haat_m,
                                double field_dbuv_m, double time_pct, double *km, GError **error);

/* What a receiving antenna at @rx_agl_m gets more than at 9.1 m: (c / 6) · 20 log10 (h / 9.1) dB,
 * c by band and area (ITU-R P.370-7; data file radio/curves/height-gain.ini). Held within the
 * 1.5 to 40 m of that recommendation. Taken rather than the correction of ITU-R P.1546, which is
 * tied to its own curves (10 m, height of the clutter around). NaN unless @rx_agl_m > 0. */
double dwn_curve_height_gain_db (const DwnCurves *curves, DwnArea area, double mhz,
                                 double rx_agl_m);

G_END_DECLS
