/* Does the mount hold, and what has to be kept clear of it. Figures for planning: the local code
 * and a licensed practitioner decide. */
#pragma once

#include "core/plan/plan.h"

G_BEGIN_DECLS

/* Figures of the data file study/mount.ini, with their sources; lengths in metres. Plain. */
typedef struct {
  double eu_low_pa, eu_low_up_to_m, eu_high_pa, eu_exposed_pa;
  double eu_drag;           /* of a tube */
  double eu_proof_nm;       /* from here on somebody has to prove the statics */
  double us_pa_s2_m2;       /* pressure over the square of the speed */
  double us_allowable;      /* allowable over ultimate load */
  double us_m_per_s;        /* where the plan has no speed */
  double us_drag;
  double ice_kg_m3, rod_m;
  double antenna_m2[DWN_N_BANDS];
  double clamped_one_of, guy_above_m, chimney_above_m, chimney_diameter_m, two_people_m, roof_m;
  double line_lengths, line_people_m, antenna_m;
  double ladder_share, ladder_above_m;
} DwnMountRules;

/* FALSE with @error where the data file (perhaps the user's own) cannot be used. */
gboolean dwn_mount_rules_load (DwnMountRules *rules, GError **error);
gboolean dwn_mount_rules_parse (DwnMountRules *rules, GBytes *bytes, const char *name, GError **error);

/* Pressure of wind at @m_per_s, Pa: 0.6133 v² (0.00256 V² lb/ft² in mph). */
double dwn_wind_pressure_pa (const DwnMountRules *rules, double m_per_s);
/* The speed for allowable stresses that goes with an ultimate one: times √0.6. */
double dwn_wind_allowable_m_per_s (const DwnMountRules *rules, double ultimate_m_per_s);
/* EN 60728-11's pressure for antennas up to @agl_m above ground. */
double dwn_wind_pressure_eu_pa (const DwnMountRules *rules, double agl_m, gboolean exposed);
/* Wind on a tube of @length_m, and its moment about one end: pressure · drag · diameter · length,
 * at half the length. */
double dwn_tube_force_n (double pressure_pa, double drag, double diameter_m, double length_m);
double dwn_tube_moment_nm (double pressure_pa, double drag, double diameter_m, double length_m);
/* Mass of ice all round a rod or tube. */
double dwn_tube_ice_kg (const DwnMountRules *rules, double ice_m, double diameter_m, double length_m);

typedef enum {
  DWN_MOUNT_NOT_DESCRIBED, /* the mast's free length or thickness: nothing is worked out */
  DWN_MOUNT_MAST_BENDS,    /* the moment (`value` N·m) is over the mast's (`limit`) */
  DWN_MOUNT_BRACKET_BENDS,
  DWN_MOUNT_PROOF,         /* the moment is over what EN 60728-11 leaves to installers */
  DWN_MOUNT_NO_RATING,     /* moment `value`: compare it with what mast and bracket may take */
  DWN_MOUNT_WIND_ASSUMED,  /* what wind catches of `antenna` is assumed: `value` m² */
  DWN_MOUNT_ULTIMATE,      /* the ultimate speed was turned into `value` m/s for allowable stresses */
  DWN_MOUNT_CLAMP_SHORT,   /* `value` m are held, `limit` would be right */
  DWN_MOUNT_GUY,           /* `value` m stand free without guys, over `limit` */
  DWN_MOUNT_CHIMNEY_TALL,  /* the same above a chimney */
  DWN_MOUNT_CHIMNEY_THIN,  /* mast of `value` m, `limit` at least */
  DWN_MOUNT_LINE_NEAR,     /* power line at `value` m, `limit` to be kept */
  DWN_MOUNT_ROOF_NEAR,     /* lowest antenna `value` m above the roof, `limit` at least */
  DWN_MOUNT_TWO_PEOPLE,    /* a mast of `value` m, `limit` or more */
} DwnMountCode;
const char *dwn_mount_code_id (DwnMountCode code); /* "mount-not-described" "mast-bends" and so on */

typedef enum {
  DWN_MOUNT_KNOW,  /* worth knowing */
  DWN_MOUNT_MEND,  /* to be put right before anybody climbs */
} DwnMountWeight;

typedef struct {
  DwnMountCode code;
  DwnMountWeight weight;
  int antenna;         /* −1: not about one */
  double value, limit; /* NaN where there is none */
} DwnMountFinding;

/* What one antenna does to the mast. */
typedef struct {
  double force_n, arm_m, moment_nm; /* arm above the upper clamp */
  gboolean assumed;                 /* the area is */
} DwnMountLoad;

typedef struct {
  DwnSafetyRule rule;      /* never DWN_SAFETY_BY_SYSTEM */
  double pressure_pa;      /* for allowable stresses in either rule */
  guint n_antennas;
  const DwnMountLoad *load;
  double mast_force_n, mast_moment_nm; /* NaN where the mast is not described */
  double moment_nm;        /* at the upper clamp, of all; NaN */
  double ice_kg;           /* on the mast */
  double clear_m;          /* to keep from power lines: twice the length of mast and antenna */
  GArray *findings;        /* (element-type DwnMountFinding) */
} DwnMountStudy;

/* Indoors and in an attic there is no wind, and of a mast that the plan does not describe nothing
 * is said: no findings, and NaN.
 * Returns: (transfer full). */
DwnMountStudy *dwn_mount_study_new (const DwnPlan *plan, const DwnMountRules *rules);
void dwn_mount_study_free (DwnMountStudy *study);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnMountStudy, dwn_mount_study_free)

/* The rule that the plan asks for, or that its stations' systems suggest: DWN_SAFETY_US or _EU. */
DwnSafetyRule dwn_safety_rule_of (const DwnPlan *plan);

/* A conductor between mast or shields and earth. All strings interned. */
typedef struct {
  DwnSafetyRule rule;
  const char *id;       /* "us-copper" */
  const char *material; /* English, msgid of its translation: "copper" */
  const char *purpose;  /* "earth", "electrodes", "bonding" */
  const char *size;     /* "10 AWG", as printed on the reel */
  double square_mm;
  const char *source;
} DwnConductor;

/* Least sizes by the data file. Returns: (transfer full) (element-type DwnConductor), in the order
 * of the file; NULL with @error. */
GArray *dwn_conductors (DwnSafetyRule rule, GError **error);

G_END_DECLS
