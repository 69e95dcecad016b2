/* What another place for the antenna would bring: a higher mast, or another spot by the house. */
#pragma once

#include "core/study/budget.h"
#include "core/terrain/terrain.h"

G_BEGIN_DECLS

/* A station as it is received somewhere else, at its weakest outlet. */
typedef struct {
  double field_dbuv_m;       /* at its antenna, 90 % of the time; −INFINITY: nothing */
  double margin_db, sigma_db, chance;
  DwnPathClass path_class;
  double clearance_m, ratio; /* of the worst point; NaN without a profile */
} DwnPlaceView;

/* What somewhere else comes to for the services that are wanted (all of them where none is). */
typedef struct {
  guint held;                /* services that are held */
  int weakest;               /* the one with the least margin, an index; −1: there is none */
  double weakest_db;         /* its margin by its best station; NaN: none */
} DwnPlaceSum;

/* Immutable once made. Everything is reckoned anew at each height: field, horizon, what the house
 * and the trees take, needed C/N. The downlead grows with the mast: the cables that lead from parts
 * on the mast to parts below. A reading goes on moving the prediction by what it did at its own
 * height. Between heights the field runs smoothly; margin and chance have steps where the path
 * goes over from blocked to grazing to clear (views say so): σ and the needed C/N change there. */
typedef struct {
  guint n, n_stations;
  const double *rise_m;      /* [n] */
  const DwnPlaceView *view;  /* [n][n_stations] */
  const DwnPlaceSum *sum;    /* [n] */
} DwnRaise;

#define DWN_RAISE_MOST_M 10.0

/* @plan with its mast @rise_m higher (negative: lower, but never under 1 m above ground) and the
 * downlead longer by as much. Returns: (transfer full). */
DwnPlan *dwn_plan_raised (const DwnPlan *plan, double rise_m);

/* @predicted: of @plan by dwn_fields_new(). @aim_deg: one an antenna. @rise_m: @n of them; NULL:
 * 0 to DWN_RAISE_MOST_M by 1 m, and @n is not looked at.
 * Returns: (transfer full): NULL with @error where cancelled. */
DwnRaise *dwn_raise_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
                         const double *aim_deg, guint n, const double *rise_m,
                         GCancellable *cancellable, GError **error);
void dwn_raise_free (DwnRaise *raise);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnRaise, dwn_raise_free)

/* The least of the heights from which on @station's chance stays at 90 % or more up to the highest;
 * NaN where the highest does not reach that. */
double dwn_raise_holds_from_m (const DwnRaise *raise, guint station);

/* One spot, the antenna as high above the ground there as it is now. */
typedef struct {
  DwnLatLon at;
  double east_m, north_m;    /* from the house */
  double ground_m;           /* above mean sea level */
  DwnPlaceSum sum;
} DwnSpot;

/* Immutable once made. spot[0] is the house itself, reckoned from the same tiles. */
typedef struct {
  guint n, n_stations;
  const DwnSpot *spot;
  const DwnPlaceView *view;  /* [n][n_stations] */
  guint best;                /* most services held, then the largest weakest margin in steps of half
                              * a dB, then nearest to the house */
  double gain_db;            /* of the weakest margin, best over house; NaN: no service */
  double tile_step_m;        /* of the tiles at the house: between lies no knowledge */
} DwnSpots;

#define DWN_SPOTS_RADIUS_M 50.0
#define DWN_SPOTS_STEP_M 10.0

/* Called from the working thread with 0 to 1. */
typedef void (*DwnPlaceProgress) (double fraction, gpointer user_data);

/* Spots on a square grid within DWN_SPOTS_RADIUS_M, those whose ground the tiles know. Paths of the
 * stations that carry wanted services (of all where none is wanted) are drawn anew from @terrain;
 * other stations keep theirs. Reads tiles: call it off the main thread. @progress (nullable).
 * Returns: (transfer full): NULL with @error where cancelled (G_IO_ERROR_CANCELLED), or where no
 * tile knows the ground at the house (DWN_TERRAIN_ERROR_NO_DATA). */
DwnSpots *dwn_spots_new (const DwnPlan *plan, const DwnFields *predicted, const DwnTables *tables,
                         DwnTerrain *terrain, const double *aim_deg, GCancellable *cancellable,
                         DwnPlaceProgress progress, gpointer user_data, GError **error);
void dwn_spots_free (DwnSpots *spots);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSpots, dwn_spots_free)

G_END_DECLS
