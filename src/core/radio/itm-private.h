/* What the files of ITM hand to each other, and what its tests look into. In every pair the
 * transmitter comes first. */
#pragma once

#include <complex.h>

#include "core/radio/path-model.h"

G_BEGIN_DECLS

typedef enum {
  DWN_ITM_LINE_OF_SIGHT = 1, /* within the smooth earth's horizon; says nothing of hills */
  DWN_ITM_DIFFRACTION,
  DWN_ITM_TROPOSCATTER,
} DwnItmMode;

typedef enum {
  DWN_ITM_WARN_TX_HEIGHT = 1 << 0,
  DWN_ITM_WARN_RX_HEIGHT = 1 << 1,
  DWN_ITM_WARN_FREQUENCY = 1 << 2,
  DWN_ITM_WARN_OVER_1000_KM = 1 << 3,
  DWN_ITM_WARN_OVER_2000_KM = 1 << 4,
  DWN_ITM_WARN_STEEP_PATH = 1 << 5,
  DWN_ITM_WARN_UNDER_1_KM = 1 << 6,
  DWN_ITM_WARN_TX_ANGLE = 1 << 7,
  DWN_ITM_WARN_RX_ANGLE = 1 << 8,
  DWN_ITM_WARN_TX_NEAR_HORIZON = 1 << 9,
  DWN_ITM_WARN_RX_NEAR_HORIZON = 1 << 10,
  DWN_ITM_WARN_TX_FAR_HORIZON = 1 << 11,
  DWN_ITM_WARN_RX_FAR_HORIZON = 1 << 12,
  DWN_ITM_WARN_RARE = 1 << 13,
  DWN_ITM_WARN_REFRACTIVITY = 1 << 14,
} DwnItmWarnings; /* bits as NTIA numbers them */

/* A path as ITM sees it. */
typedef struct {
  double mhz;
  double wave_number;            /* per metre: f / 47.7 */
  double cbrt_mhz;
  double d_m;
  double surface_n;              /* refractivity at the ground, N-units */
  double earth_m;                /* effective radius */
  double complex impedance;      /* of the ground, normalised */
  double delta_h_m;              /* terrain irregularity */
  double h_m[2];                 /* antennas above ground */
  double he_m[2];                /* effective heights */
  double horizon_m[2];
  double horizon_rad[2];         /* elevation */
} DwnItmPath;

typedef struct {
  double reference_db;           /* attenuation below free space */
  DwnItmMode mode;
  guint warnings;
} DwnItmReference;

/* Refraction and ground: fills mhz to impedance, but for d_m. */
void dwn_itm_path_init (DwnItmPath *path, const DwnPathQuery *query, double mean_height_m);

/* Mean height of the profile without a tenth at either end; not finite where any height is not. */
double dwn_itm_mean_height_m (const double *z_m, gsize n_intervals);

/* Distance, irregularity, effective heights and horizons from @n_intervals + 1 heights @step_m
 * apart. */
void dwn_itm_path_measure (DwnItmPath *path, const double *z_m, gsize n_intervals, double step_m);

/* Horizon of one end from its effective height and the irregularity alone, eqs. (3.3) and (3.4). */
void dwn_itm_set_horizon (DwnItmPath *path, int end);

/* FALSE with @error where the figures so found lie outside the model. */
gboolean dwn_itm_reference (const DwnItmPath *path, gboolean with_profile, DwnItmReference *out,
                            GError **error);

/* Attenuation that is not exceeded for the query's shares of time, location and situation. */
double dwn_itm_variability_db (const DwnItmPath *path, const DwnPathQuery *query,
                               double reference_db, guint *warnings);

double dwn_itm_free_space_db (double d_m, double mhz);
double dwn_itm_knife_edge_db (double nu_squared);
double dwn_itm_inverse_normal (double share);  /* of the complementary distribution */
double dwn_itm_frequency_gain_db (double r, double eta);  /* H0 of troposcatter */
double dwn_itm_attenuation_f_db (double theta_d_m);       /* F(θd) of troposcatter */

/* Δh over distance: the part of the irregularity that a path of @d_m meets. */
double dwn_itm_roughness_m (double d_m, double delta_h_m);

G_END_DECLS
