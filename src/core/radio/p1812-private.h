/* What the files of P.1812 hand to each other, and what its tests look into. Names follow the
 * symbols of the Recommendation; distances along the path are in kilometres, angles in mrad. */
#pragma once

#include "core/radio/path-model.h"

G_BEGIN_DECLS

/* The profile as the sums want it. d_km and g_m live in the caller's workspace. */
typedef struct {
  gsize n;
  const double *h_m;    /* ground above mean sea level */
  const guint8 *zone;   /* (nullable) */
  double *d_km;
  double *g_m;          /* ground plus clutter, the two ends without */
  double total_km;
} DwnP1812Terrain;

/* What does not depend on the percentage of time. */
typedef struct {
  double f_ghz, wavelength_m;
  double hts_m, hrs_m;             /* antennas above mean sea level */
  double omega;                    /* share of the path over the sea */
  double dtm_km, dlm_km;           /* longest stretch of land, and of inland */
  double dct_km, dcr_km;           /* land between either antenna and the sea */
  double b0_pct;                   /* β0 */
  double ae_km;                    /* median effective earth radius */
  double fit_t_m, fit_r_m;         /* smooth earth at either end, before limits (85, 86) */
  double hst_m, hsr_m;             /* the same, not above the ground (90a, 90b) */
  double hstd_m, hsrd_m;           /* smooth earth for diffraction (89) */
  double hte_m, hre_m, hm_m;       /* effective heights and roughness for ducting (92, 93) */
  gsize horizon_t, horizon_r;      /* samples of the two horizons, or of the worst point */
  double dlt_km, dlr_km;           /* their distances from the ends */
  double theta_t_mrad, theta_r_mrad, theta_mrad;
} DwnP1812Path;

/* One run of the delta-Bullington method. */
typedef struct {
  double lbulla_db, lbulls_db;     /* Bullington over the actual and the smooth path (21) */
  double ldsph_db;                 /* spherical earth (27) */
  double ld_db;                    /* (39) */
} DwnP1812Diffraction;

/* Everything at one percentage of time. */
typedef struct {
  double fi, fj, fk;               /* (40), (57), (58) */
  double lbfs_db, lb0p_db, lb0b_db;
  double ldp_db, lbd50_db, lbd_db;
  double lminb0p_db, lba_db, lminbap_db, lbda_db, lbam_db, lbs_db, lbc_db;
  double lloc_db, lb_db;
} DwnP1812Loss;

/* Fills @terrain from the profile with arrays in @workspace; FALSE with @error where the profile
 * is too short, has gaps or names an unknown zone. */
gboolean dwn_p1812_terrain_init (DwnP1812Terrain *terrain, const DwnProfile *profile,
                                 gpointer workspace, GError **error);
void dwn_p1812_path_init (DwnP1812Path *path, const DwnP1812Terrain *terrain,
                          const DwnPathQuery *query);

/* Diffraction over an earth of effective radius @ap_km. */
void dwn_p1812_diffraction (const DwnP1812Terrain *terrain, const DwnP1812Path *path,
                            gboolean vertical, double ap_km, DwnP1812Diffraction *out);

/* Ducting and layer reflection (46), and troposcatter (44), at @p_pct of the time. */
double dwn_p1812_ducting_db (const DwnP1812Path *path, double total_km, double p_pct);
double dwn_p1812_troposcatter_db (const DwnP1812Path *path, double total_km, double n0,
                                  double p_pct);

/* 1 − exp (−4.12e-4 dlm^2.41), eq. (3). */
double dwn_p1812_tau (double dlm_km);

/* Attachment 2: the approximate inverse of the complementary normal distribution. */
double dwn_p1812_inverse_normal (double share);

/* All of it at one percentage of time, 1 to 50. */
void dwn_p1812_loss_at (const DwnP1812Terrain *terrain, const DwnP1812Path *path,
                        const DwnP1812Diffraction *median, const DwnP1812Diffraction *beta,
                        const DwnPathQuery *query, double p_pct, DwnP1812Loss *out);

/* Effective earth radius exceeded for β0 of the time (7b). */
#define DWN_P1812_BETA_RADIUS_KM (3.0 * 6371.0)

G_END_DECLS
