/* Path models: how much a wave loses between a transmitter and a house. Each is a const table;
 * adding one touches its own file and the list in path-model.c. */
#pragma once

#include "core/geo/profile.h"
#include "core/radio/channel.h"
#include "core/radio/noise.h"

G_BEGIN_DECLS

/* What is known about one path. NaN stands for what is not known. */
typedef struct {
  double mhz;
  double distance_m;
  double tx_agl_m;            /* radiation centre above ground */
  double rx_agl_m;
  double haat_m;              /* height above average terrain */
  double delta_h_m;           /* ITM's area mode: irregularity of the ground */
  const DwnProfile *profile;  /* (nullable) */
  DwnPolarisation polarisation;
  double time_pct;            /* the loss is not exceeded (the field is exceeded) in this share of time */
  double location_pct;
  double situation_pct;
  double location_sd_db;
  int mdvar;                  /* ITM: mode of variability */
  int climate;                /* ITM: 1 to 7 */
  double n0;                  /* sea-level refractivity, N-units */
  double dn;                  /* refractivity lapse in the lowest km, N-units */
  double permittivity;
  double conductivity_s_m;
  double latitude_deg;        /* of the middle of the path */
  double dct_km, dcr_km;      /* from each end to the sea; 500 where far */
  DwnArea area;               /* around the receiver; "curves": height gain */
} DwnPathQuery;

/* Sets what `downlead-cli path` takes where nothing else is said; n0 is the model's own. */
typedef struct _DwnPathModel DwnPathModel;
void dwn_path_query_init (DwnPathQuery *query, const DwnPathModel *model);

typedef struct {
  double loss_db;       /* basic transmission loss between isotropes, free space included */
  double free_space_db;
  char note[160];       /* what the model warns of, untranslated, empty where nothing */
} DwnPathLoss;

struct _DwnPathModel {
  const char *id;          /* "free-space" "curves" "p1812" "itm" "itm-area" */
  gboolean needs_profile;
  double default_n0;
  /* Allocation-free on @workspace (workspace_size (n) bytes, nullable where that is 0).
   * FALSE with @error where the query is outside the model's domain. */
  gsize (*workspace_size) (gsize n_samples);
  gboolean (*loss) (const DwnPathQuery *query, gpointer workspace, DwnPathLoss *out, GError **error);
};

extern const DwnPathModel dwn_path_model_free_space;
extern const DwnPathModel dwn_path_model_curves;
extern const DwnPathModel dwn_path_model_p1812;
extern const DwnPathModel dwn_path_model_itm;
extern const DwnPathModel dwn_path_model_itm_area; /* without a profile */

#define DWN_PATH_ERROR (dwn_path_error_quark ())
GQuark dwn_path_error_quark (void);
typedef enum {
  DWN_PATH_ERROR_DOMAIN,  /* a value outside what the model covers */
  DWN_PATH_ERROR_PROFILE, /* a profile is needed, or has gaps */
} DwnPathError;

/* NULL where there is none of that name. */
const DwnPathModel *dwn_path_model_find (const char *id);
const DwnPathModel *const *dwn_path_models (gsize *n);

/* Field in dBµV/m of @erp_kw (half-wave dipole reference) behind a basic transmission loss, and
 * back: E = 199.36 + 20 log10 f_GHz − L + 10 log10 P_kW (ITU-R P.1812-8 eq. 70 and P.525). */
double dwn_field_of_loss_dbuv_m (double loss_db, double mhz, double erp_kw);
double dwn_loss_of_field_db (double field_dbuv_m, double mhz, double erp_kw);

/* Free-space loss in dB between isotropes; NaN unless both are > 0 (ITU-R P.525). */
double dwn_free_space_loss_db (double distance_m, double mhz);

G_END_DECLS
