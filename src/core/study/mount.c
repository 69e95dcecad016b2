#include "core/study/mount.h"

#include <math.h>
#include <string.h>

#include "core/antenna/stack.h"
#include "core/chain/head.h"
#include "core/data/ini.h"

#define RULES_FILE "study/mount.ini"
/* 0.6 m of 3.6 m are a sixth, whatever binary fractions say. */
#define LENGTH_NOISE_M 1e-9

static const char *const code_ids[] = {
  "mount-not-described", "mast-bends", "bracket-bends", "statics-proof", "no-rating", "wind-assumed",
  "ultimate-wind", "clamp-short", "guy", "chimney-tall", "chimney-thin", "power-line", "roof-near",
  "two-people",
};

const char *
dwn_mount_code_id (DwnMountCode code)
{
  g_return_val_if_fail (code < G_N_ELEMENTS (code_ids), NULL);

  return code_ids[code];
}

/* Rules */

typedef struct {
  const char *group, *key;
  gsize offset;
  double min, max;
} RuleField;

#define FIELD(group, key, member, min, max) { group, key, offsetof (DwnMountRules, member), min, max }

static const RuleField rule_fields[] = {
  FIELD ("wind-eu", "pressure-low-pa", eu_low_pa, 100, 10000),
  FIELD ("wind-eu", "low-up-to-m", eu_low_up_to_m, 1, 1000),
  FIELD ("wind-eu", "pressure-high-pa", eu_high_pa, 100, 10000),
  FIELD ("wind-eu", "pressure-exposed-pa", eu_exposed_pa, 100, 10000),
  FIELD ("wind-eu", "drag", eu_drag, 0.1, 5),
  FIELD ("wind-eu", "proof-from-nm", eu_proof_nm, 1, 1e6),
  FIELD ("wind-us", "pressure-pa-s2-m2", us_pa_s2_m2, 0.1, 2),
  FIELD ("wind-us", "allowable-of-ultimate", us_allowable, 0.1, 1),
  FIELD ("wind-us", "speed-m-s", us_m_per_s, 1, 120),
  FIELD ("wind-us", "drag", us_drag, 0.1, 5),
  FIELD ("ice", "density-kg-m3", ice_kg_m3, 100, 1000),
  FIELD ("ice", "rod-m", rod_m, 0.001, 1),
  FIELD ("antenna", "low-vhf-m2", antenna_m2[DWN_BAND_LOW_VHF], 0, 10),
  FIELD ("antenna", "high-vhf-m2", antenna_m2[DWN_BAND_HIGH_VHF], 0, 10),
  FIELD ("antenna", "uhf-m2", antenna_m2[DWN_BAND_UHF], 0, 10),
  FIELD ("mast", "clamped-one-of", clamped_one_of, 1, 100),
  FIELD ("mast", "guy-above-m", guy_above_m, 0.1, 100),
  FIELD ("mast", "chimney-above-m", chimney_above_m, 0.1, 100),
  FIELD ("mast", "chimney-diameter-m", chimney_diameter_m, 0.001, 1),
  FIELD ("mast", "two-people-m", two_people_m, 0.1, 100),
  FIELD ("mast", "roof-m", roof_m, 0, 100),
  FIELD ("lines", "lengths", line_lengths, 1, 10),
  FIELD ("lines", "people-m", line_people_m, 0.1, 100),
  FIELD ("lines", "antenna-m", antenna_m, 0, 100),
  FIELD ("ladder", "foot-out-share", ladder_share, 0.1, 1),
  FIELD ("ladder", "above-landing-m", ladder_above_m, 0, 10),
};

static gboolean
rules_of_ini (DwnMountRules *rules, const DwnIni *ini, GError **error)
{
  for (gsize i = 0; i < G_N_ELEMENTS (rule_fields); i++)
    {
      const RuleField *field = &rule_fields[i];
      double *value = G_STRUCT_MEMBER_P (rules, field->offset);

      if (!dwn_ini_number (ini, field->group, field->key, field->min, field->max, value, error))
        return FALSE;
    }
  return TRUE;
}

gboolean
dwn_mount_rules_parse (DwnMountRules *rules, GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini != NULL && rules_of_ini (rules, ini, error);
}

gboolean
dwn_mount_rules_load (DwnMountRules *rules, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (RULES_FILE, error);

  return ini != NULL && rules_of_ini (rules, ini, error);
}

static gboolean
read_conductor (const DwnIni *ini, const char *group, DwnConductor *conductor, GError **error)
{
  const char *material = dwn_ini_string (ini, group, "material", error);
  const char *purpose = material != NULL ? dwn_ini_string (ini, group, "purpose", error) : NULL;
  const char *size = purpose != NULL ? dwn_ini_string (ini, group, "size", error) : NULL;
  const char *source = size != NULL ? dwn_ini_string (ini, group, "source", error) : NULL;

  if (source == NULL
      || !dwn_ini_number (ini, group, "square-mm", 0.1, 1000, &conductor->square_mm, error))
    return FALSE;
  conductor->id = g_intern_string (group);
  conductor->material = g_intern_string (material);
  conductor->purpose = g_intern_string (purpose);
  conductor->size = g_intern_string (size);
  conductor->source = g_intern_string (source);
  return TRUE;
}

GArray *
dwn_conductors (DwnSafetyRule rule, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (RULES_FILE, error);
  g_autoptr (GArray) conductors = g_array_new (FALSE, FALSE, sizeof (DwnConductor));
  g_autofree char *prefix = g_strconcat (dwn_safety_rule_id (rule), "-", NULL);
  gsize n = 0;
  const char *const *groups = ini != NULL ? dwn_ini_groups (ini, &n) : NULL;

  if (ini == NULL)
    return NULL;
  for (gsize i = 0; i < n; i++)
    {
      DwnConductor conductor = { .rule = rule };

      if (!g_str_has_prefix (groups[i], prefix))
        continue;
      if (!read_conductor (ini, groups[i], &conductor, error))
        return NULL;
      g_array_append_val (conductors, conductor);
    }
  return g_steal_pointer (&conductors);
}

/* Forces */

double
dwn_wind_pressure_pa (const DwnMountRules *rules, double m_per_s)
{
  return m_per_s >= 0.0 ? rules->us_pa_s2_m2 * m_per_s * m_per_s : (double) NAN;
}

double
dwn_wind_allowable_m_per_s (const DwnMountRules *rules, double ultimate_m_per_s)
{
  return ultimate_m_per_s >= 0.0 ? ultimate_m_per_s * sqrt (rules->us_allowable) : (double) NAN;
}

double
dwn_wind_pressure_eu_pa (const DwnMountRules *rules, double agl_m, gboolean exposed)
{
  if (exposed)
    return rules->eu_exposed_pa;
  return agl_m <= rules->eu_low_up_to_m ? rules->eu_low_pa : rules->eu_high_pa;
}

double
dwn_tube_force_n (double pressure_pa, double drag, double diameter_m, double length_m)
{
  return pressure_pa * drag * diameter_m * length_m;
}

double
dwn_tube_moment_nm (double pressure_pa, double drag, double diameter_m, double length_m)
{
  return dwn_tube_force_n (pressure_pa, drag, diameter_m, length_m) * length_m / 2.0;
}

double
dwn_tube_ice_kg (const DwnMountRules *rules, double ice_m, double diameter_m, double length_m)
{
  return rules->ice_kg_m3 * G_PI * ice_m * (diameter_m + ice_m) * length_m;
}

/* Study */

DwnSafetyRule
dwn_safety_rule_of (const DwnPlan *plan)
{
  if (plan->site->mast.rule != DWN_SAFETY_BY_SYSTEM)
    return plan->site->mast.rule;
  for (guint i = 0; i < plan->stations->n; i++)
    {
      DwnSystem system = plan->stations->station[i].system;
      if (system == DWN_SYSTEM_ATSC1 || system == DWN_SYSTEM_ATSC3)
        return DWN_SAFETY_US;
    }
  return DWN_SAFETY_EU;
}

static void
find (DwnMountStudy *self, DwnMountCode code, DwnMountWeight weight, double value, double limit)
{
  DwnMountFinding finding = { code, weight, -1, value, limit };

  g_array_append_val (self->findings, finding);
}

/* Finds where @value lies beyond @limit; nothing where it is not known (0). */
static void
find_over (DwnMountStudy *self, DwnMountCode code, double value, double limit)
{
  if (limit > 0.0 && value > limit)
    find (self, code, DWN_MOUNT_MEND, value, limit);
}

static void
find_under (DwnMountStudy *self, DwnMountCode code, double value, double limit)
{
  if (value > 0.0 && value < limit - LENGTH_NOISE_M)
    find (self, code, DWN_MOUNT_MEND, value, limit);
}

static double
wind_pressure_pa (DwnMountStudy *self, const DwnSite *site, const DwnMountRules *rules)
{
  double m_per_s = site->mast.wind_m_per_s;

  if (self->rule == DWN_SAFETY_EU)
    return dwn_wind_pressure_eu_pa (rules, site->height_m, site->mast.exposed);
  if (!(m_per_s > 0.0))
    return dwn_wind_pressure_pa (rules, rules->us_m_per_s);
  if (site->mast.wind_ultimate)
    {
      m_per_s = dwn_wind_allowable_m_per_s (rules, m_per_s);
      find (self, DWN_MOUNT_ULTIMATE, DWN_MOUNT_KNOW, m_per_s, site->mast.wind_m_per_s);
    }
  return dwn_wind_pressure_pa (rules, m_per_s);
}

/* Sum of the usual areas for the bands in which the antenna has gain, what its feed reflects taken off. */
static double
usual_area_m2 (const DwnPart *part, const DwnMountRules *rules)
{
  DwnBandGain gain = dwn_chain_band_gain (part->pattern);
  double area_m2 = 0.0;
  DwnStackId stack;
  double each = dwn_stack_id_parse (part->pattern->id, &stack) ? 2.0 : 1.0;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    if (gain.dbi[band] > 0.0)
      area_m2 += rules->antenna_m2[band];
  return each * (area_m2 > 0.0 ? area_m2 : rules->antenna_m2[DWN_BAND_UHF]);
}

/* Ice makes every rod of an antenna thicker on both sides. */
static double
iced (double area_m2, double ice_m, const DwnMountRules *rules)
{
  return area_m2 * (1.0 + 2.0 * ice_m / rules->rod_m);
}

static void
load_antenna (DwnMountStudy *self, const DwnPlan *plan, const DwnMountRules *rules, guint a)
{
  const DwnPart *part = &plan->gear->part[plan->gear->antenna[a]];
  const DwnMast *mast = &plan->site->mast;
  DwnMountLoad *load = (DwnMountLoad *) &self->load[a];
  double below_m = isnan (part->below_top_m) ? 0.0 : part->below_top_m;
  double area_m2 = part->wind_m2;

  load->assumed = !(area_m2 > 0.0);
  if (load->assumed)
    {
      area_m2 = usual_area_m2 (part, rules);
      DwnMountFinding finding = { DWN_MOUNT_WIND_ASSUMED, DWN_MOUNT_KNOW, (int) a, area_m2,
                                  (double) NAN };
      g_array_append_val (self->findings, finding);
    }
  load->force_n = self->pressure_pa * iced (area_m2, mast->ice_m, rules);
  load->arm_m = fmax (mast->free_m - below_m, 0.0);
  load->moment_nm = load->force_n * load->arm_m;
}

static void
load_mast (DwnMountStudy *self, const DwnMast *mast, const DwnMountRules *rules)
{
  double drag = self->rule == DWN_SAFETY_EU ? rules->eu_drag : rules->us_drag;
  double diameter_m = mast->diameter_m + 2.0 * mast->ice_m;

  self->mast_force_n = dwn_tube_force_n (self->pressure_pa, drag, diameter_m, mast->free_m);
  self->mast_moment_nm = dwn_tube_moment_nm (self->pressure_pa, drag, diameter_m, mast->free_m);
  self->ice_kg = dwn_tube_ice_kg (rules, mast->ice_m, mast->diameter_m, mast->free_m);
  self->moment_nm = self->mast_moment_nm;
  for (guint a = 0; a < self->n_antennas; a++)
    self->moment_nm += self->load[a].moment_nm;
}

/* A guyed mast is held by its guys: its moment at the clamp is not what is reckoned here. */
static void
judge_moment (DwnMountStudy *self, const DwnMast *mast, const DwnMountRules *rules)
{
  if (mast->guyed)
    return;
  find_over (self, DWN_MOUNT_MAST_BENDS, self->moment_nm, mast->mast_nm);
  find_over (self, DWN_MOUNT_BRACKET_BENDS, self->moment_nm, mast->bracket_nm);
  if (self->rule == DWN_SAFETY_EU)
    find_over (self, DWN_MOUNT_PROOF, self->moment_nm, rules->eu_proof_nm);
  if (!(mast->mast_nm > 0.0) || !(mast->bracket_nm > 0.0))
    find (self, DWN_MOUNT_NO_RATING, DWN_MOUNT_KNOW, self->moment_nm, (double) NAN);
}

static void
judge_lengths (DwnMountStudy *self, const DwnSite *site, const DwnMountRules *rules)
{
  const DwnMast *mast = &site->mast;
  double whole_m = mast->free_m + mast->clamped_m;

  find_under (self, DWN_MOUNT_CLAMP_SHORT, mast->clamped_m, whole_m / rules->clamped_one_of);
  if (!mast->guyed)
    find_over (self, DWN_MOUNT_GUY, mast->free_m, rules->guy_above_m);
  if (site->mount == DWN_MOUNT_CHIMNEY)
    {
      find_over (self, DWN_MOUNT_CHIMNEY_TALL, mast->free_m, rules->chimney_above_m);
      find_under (self, DWN_MOUNT_CHIMNEY_THIN, mast->diameter_m, rules->chimney_diameter_m);
    }
  find_under (self, DWN_MOUNT_ROOF_NEAR, mast->roof_m, rules->roof_m);
  if (whole_m >= rules->two_people_m)
    find (self, DWN_MOUNT_TWO_PEOPLE, DWN_MOUNT_KNOW, whole_m, rules->two_people_m);
}

static DwnMountStudy *
study_alloc (const DwnPlan *plan)
{
  DwnMountStudy *self = g_new0 (DwnMountStudy, 1);

  self->rule = dwn_safety_rule_of (plan);
  self->findings = g_array_new (FALSE, FALSE, sizeof (DwnMountFinding));
  self->n_antennas = plan->gear->n_antennas;
  self->load = g_new0 (DwnMountLoad, MAX (self->n_antennas, 1));
  self->pressure_pa = self->mast_force_n = self->mast_moment_nm = (double) NAN;
  self->moment_nm = self->clear_m = (double) NAN;
  return self;
}

DwnMountStudy *
dwn_mount_study_new (const DwnPlan *plan, const DwnMountRules *rules)
{
  g_return_val_if_fail (plan != NULL && rules != NULL, NULL);

  const DwnMast *mast = &plan->site->mast;
  DwnMountStudy *self = study_alloc (plan);

  if (plan->site->mount == DWN_MOUNT_ATTIC || plan->site->mount == DWN_MOUNT_INDOORS
      || !dwn_mast_is_described (mast))
    return self;
  if (!(mast->free_m > 0.0) || !(mast->diameter_m > 0.0))
    {
      find (self, DWN_MOUNT_NOT_DESCRIBED, DWN_MOUNT_KNOW, (double) NAN, (double) NAN);
      return self;
    }
  self->pressure_pa = wind_pressure_pa (self, plan->site, rules);
  for (guint a = 0; a < self->n_antennas; a++)
    load_antenna (self, plan, rules, a);
  load_mast (self, mast, rules);
  self->clear_m = rules->line_lengths * (mast->free_m + mast->clamped_m + rules->antenna_m);
  judge_moment (self, mast, rules);
  judge_lengths (self, plan->site, rules);
  find_under (self, DWN_MOUNT_LINE_NEAR, mast->line_m, fmax (self->clear_m, rules->line_people_m));
  return self;
}

void
dwn_mount_study_free (DwnMountStudy *study)
{
  g_array_unref (study->findings);
  g_free ((gpointer) study->load);
  g_free (study);
}
