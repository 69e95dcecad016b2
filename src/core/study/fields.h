/* What each station lays down at the house, before the house itself and the antenna. */
#pragma once

#include "core/plan/plan.h"
#include "core/radio/clearance.h"
#include "core/radio/path-model.h"

G_BEGIN_DECLS

/* Fields at one antenna height, in dBµV/m; −INFINITY for a station that radiates nothing. */
typedef struct {
  double wanted;      /* exceeded 90 % of the time */
  double median;      /* 50 %: what counts towards overload */
  double interfering; /* 10 % */
} DwnField;

/* What is the same for every antenna of the house. */
typedef struct {
  double distance_m, bearing_deg;
  double erp_toward_kw;     /* with the transmit pattern towards the house */
  double free_space_dbuv_m; /* what nothing in the way would give */
  double sd_db;             /* of the prediction, DESIGN's rule */
  const DwnPathModel *model;
  const DwnProfile *profile; /* NULL: none stored; borrowed from the plan */
  DwnPathClass path_class;
  DwnClearance clearance;   /* of the worst point, where there is a profile */
  double tx_agl_m;          /* radiation centre above ground, as used */
  double elevation_deg;     /* at which the wave arrives; 0 without a profile */
  double haat_m;            /* as used */
  gboolean haat_assumed;    /* neither on file nor from terrain: taken as 30 m */
  /* How far the medians of the models not used lie below and above it, and whose they are (NULL and
   * 0: none lies there). A range beside the figure, not a part of sd_db. A model that would have to
   * guess at the transmitter's height is not asked. */
  double spread_low_db, spread_high_db;
  const DwnPathModel *low_model, *high_model;
  double read_shift_db;     /* by which readings moved the predicted fields, contained in them */
  double house_sd_db;       /* what readings left of the house's uncertainty; NaN: all of it */
} DwnArrival;

/* Immutable, refcounted. field[station · n_antennas + antenna]. */
typedef struct {
  guint n, n_antennas;
  const DwnArrival *arrival;
  const DwnField *field;
} DwnFields;

/* Follows from the plan's site, stations, paths, method and the heights of its antennas.
 * @cancellable (nullable). Returns: (transfer full): NULL with @error where cancelled, the plan
 * names an unknown model, or the curves' data cannot be read. A station whose path no model
 * covers falls back to the curves. */
DwnFields *dwn_fields_new (const DwnPlan *plan, GCancellable *cancellable, GError **error);

/* The fields of @plan at other heights of its antennas, @n of them: what dwn_fields_new() gives for
 * a plan whose gear has antennas there. @fields: of the plan as it is; what it knows is copied.
 * @below_top_m: how far each hangs under the top; NaN: at the top.
 * Returns: (transfer full). */
DwnFields *dwn_fields_at_heights (const DwnFields *fields, const DwnPlan *plan, guint n,
                                  const double *below_top_m);

/* What readings say about one station. */
typedef struct {
  double db;          /* to add to its fields */
  double sd_db;       /* of the prediction from now on */
  double house_sd_db; /* as in DwnArrival */
} DwnFieldShift;

/* @fields with every station moved by @shift[station]. Returns: (transfer full). */
DwnFields *dwn_fields_shifted (const DwnFields *fields, const DwnFieldShift *shift);

DwnFields *dwn_fields_ref (const DwnFields *fields);
void dwn_fields_unref (const DwnFields *fields);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnFields, dwn_fields_unref)

/* Prediction's share of the standard deviation, DESIGN: 5 dB clear, 8 grazing, 11 blocked, 8
 * without a profile, 12 where the height above terrain is not on file either. */
double dwn_prediction_sd_db (DwnPathClass path_class, gboolean haat_assumed);

/* Does the term stand towards @bearing_deg? */
gboolean dwn_house_faces (const DwnHouseLoss *term, double bearing_deg);
/* Height for which the field of a station in that direction is to be predicted: the antenna's, or
 * the top of clutter that stands higher, for its loss counts from there. */
double dwn_house_field_agl_m (const DwnSite *site, double bearing_deg, double antenna_agl_m);
/* Height above ground of the plan's antenna @antenna, at least 1 m. */
double dwn_antenna_agl_m (const DwnPlan *plan, guint antenna);

/* Loss of an antenna that lies as @antenna does in a wave polarised as @wave: 0 along, 16 dB across
 * and 3 dB to or from circular; unknown counts as horizontal (common practice, no source). */
double dwn_polarisation_loss_db (DwnPolarisation antenna, DwnPolarisation wave);

G_END_DECLS
