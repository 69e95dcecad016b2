/* The staircase is the budget's own sum taken apart: power at the terminals is field, house,
 * pattern and polarisation; the field is power, free space and what the ground does; from the
 * terminals on the levels are those of dwn_levels_along(). */
#include "core/study/diagnosis-private.h"

#include "core/study/house.h"
#include "core/study/levels.h"

/* A step of less than this is none. */
#define NO_STEP_DB 1e-9
/* A cause is named after the chief one where it takes so many dB, and this share of what that
 * takes. */
#define NAMED_DB 3.0
#define NAMED_SHARE 0.3

const char *
dwn_cause_id (DwnCause cause)
{
  static const char *const ids[DWN_N_CAUSES] = {
    "none", "distance", "ridge", "building", "off-beam", "crossed", "wrong-band", "cable",
    "splitting", "overload", "noise", "interference", "no-power", "unconnected",
  };

  g_return_val_if_fail ((guint) cause < DWN_N_CAUSES, NULL);
  return ids[cause];
}

const char *
dwn_loss_id (DwnLossKind kind)
{
  static const char *const ids[] = {
    "power", "beam", "free-space", "horizon", "terrain", "curves", "fading", "ridge", "reading",
    "house", "antenna", "feed", "aim", "polarisation", "cable", "part", "others",
  };

  g_return_val_if_fail ((guint) kind < G_N_ELEMENTS (ids), NULL);
  return ids[kind];
}

const char *
dwn_need_id (DwnNeedKind kind)
{
  static const char *const ids[DWN_N_NEEDS] = {
    "gear", "ambient", "interference", "products", "ratio", "phase", "overload",
  };

  g_return_val_if_fail ((guint) kind < DWN_N_NEEDS, NULL);
  return ids[kind];
}

static DwnLossStep *
add_step (DwnDiagnoser *self, DwnLossKind kind, int index, double gain_db)
{
  guint n = self->steps->len;
  double before = n > 0 ? g_array_index (self->steps, DwnLossStep, n - 1).level_dbm : 0.0;
  const DwnLossStep step = {
    .kind = kind, .index = index, .gain_db = gain_db, .level_dbm = before + gain_db,
    .enough_dbm = (double) NAN, .without_margin_db = (double) NAN, .without_chance = (double) NAN,
  };

  g_array_append_val (self->steps, step);
  return &g_array_index (self->steps, DwnLossStep, n);
}

/* The same for what need not be there. NULL where it is not. */
static DwnLossStep *
add_if_any (DwnDiagnoser *self, DwnLossKind kind, int index, double gain_db)
{
  return fabs (gain_db) > NO_STEP_DB ? add_step (self, kind, index, gain_db) : NULL;
}

/* Margin and chance if the carrier stood @gain_db higher over the noise, with another need and
 * another part of σ². */
static void
set_without (const DwnDiagnoser *self, DwnLossStep *step, double gain_db, double needed_db,
             double less_db2)
{
  const DwnReception *reception = &self->diagnosis->reception;
  double margin_db = reception->cn_db + gain_db - needed_db;
  double variance = reception->sigma_db * reception->sigma_db - less_db2;

  if (step == NULL || !self->connected || !(gain_db > 0.0))
    return;
  if (reception->headroom_db < 0.0)
    margin_db = fmin (margin_db, reception->headroom_db);
  step->without_margin_db = margin_db;
  step->without_chance = dwn_chance (margin_db, sqrt (fmax (variance, 0.0)));
}

/* From the transmitter to the house */

static const DwnField *
field_of (const DwnDiagnoser *self)
{
  const DwnFields *fields = self->base->fields;

  return &fields->field[(gsize) self->diagnosis->station * fields->n_antennas + self->antenna];
}

/* A path as if the ground were a plain, level or sloping, between its ends. */
static DwnProfile *
level_profile (const DwnProfile *profile)
{
  g_autofree double *height_m = g_new (double, profile->n);
  double length_m = profile->distance_m[profile->n - 1];
  double from_m = profile->height_m[0], to_m = profile->height_m[profile->n - 1];

  for (gsize i = 0; i < profile->n; i++)
    height_m[i] = from_m + (to_m - from_m) * profile->distance_m[i] / length_m;
  return dwn_profile_new (profile->n, profile->distance_m, height_m, NULL, profile->zone, NULL);
}

/* The plan with this one station and level ground, predicted as ever. NULL where that fails. */
static DwnFields *
predict_level (const DwnDiagnoser *self)
{
  g_autoptr (DwnProfile) profile = level_profile (self->arrival->profile);
  const DwnPath path = { .station = self->station->id, .profile = profile };
  g_autoptr (DwnStations) stations = dwn_stations_new (1, self->station, NULL, NULL);
  g_autoptr (DwnPaths) paths = dwn_paths_new (1, &path, NULL);
  DwnPlan parts = *self->plan;

  parts.stations = stations;
  parts.paths = paths;
  g_autoptr (DwnPlan) level = dwn_plan_new (&parts);
  return dwn_fields_new (level, NULL, NULL);
}

static void
add_fading (DwnDiagnoser *self)
{
  add_if_any (self, DWN_LOSS_FADING, -1, field_of (self)->wanted - field_of (self)->median);
}

/* What the ridge alone takes, and what would be without it. */
static void
add_ridge (DwnDiagnoser *self, double excess_db)
{
  const DwnArrival *arrival = self->arrival;
  g_autoptr (DwnFields) level = predict_level (self);
  double level_db = level == NULL ? excess_db
                                  : level->field[self->antenna].median - arrival->free_space_dbuv_m;

  if (!(level_db > excess_db))
    {
      add_step (self, DWN_LOSS_TERRAIN, -1, excess_db);
      add_fading (self);
      return;
    }
  const DwnSystemTable *systems = self->base->tables->systems;
  double needed_db = dwn_system_needed_cn_db (systems, self->station->system, self->station->mode,
                                              level->arrival[0].path_class);
  double sd_db = arrival->read_shift_db != 0.0 ? arrival->sd_db : level->arrival[0].sd_db;

  add_if_any (self, DWN_LOSS_HORIZON, -1, level_db);
  add_fading (self);
  set_without (self, add_step (self, DWN_LOSS_RIDGE, -1, excess_db - level_db),
               level_db - excess_db, needed_db, arrival->sd_db * arrival->sd_db - sd_db * sd_db);
}

static void
add_ground (DwnDiagnoser *self)
{
  const DwnArrival *arrival = self->arrival;
  double excess_db = field_of (self)->median - arrival->read_shift_db - arrival->free_space_dbuv_m;

  if (arrival->model->needs_profile && arrival->path_class == DWN_PATH_BLOCKED)
    add_ridge (self, excess_db);
  else
    {
      add_if_any (self, arrival->model->needs_profile ? DWN_LOSS_TERRAIN : DWN_LOSS_CURVES, -1, excess_db);
      add_fading (self);
    }
  add_if_any (self, DWN_LOSS_READING, -1, arrival->read_shift_db);
}

/* dBm that the transmitter would give into an isotropic antenna over a path without loss. */
static double
power_dbm (const DwnDiagnoser *self, double erp_kw)
{
  double mhz = self->station->mhz;

  return dwn_power_of_field_dbm (dwn_field_of_loss_dbuv_m (0.0, mhz, erp_kw), mhz, 0.0);
}

static void
add_path (DwnDiagnoser *self)
{
  const DwnArrival *arrival = self->arrival;
  double mhz = self->station->mhz;

  add_step (self, DWN_LOSS_POWER, -1, power_dbm (self, self->station->erp_kw));
  add_if_any (self, DWN_LOSS_BEAM, -1,
              power_dbm (self, arrival->erp_toward_kw) - power_dbm (self, self->station->erp_kw));
  add_step (self, DWN_LOSS_FREE_SPACE, -1,
            -dwn_free_space_loss_db (fmax (arrival->distance_m, 1.0), mhz));
  add_ground (self);
}

static void
add_house (DwnDiagnoser *self)
{
  const DwnSite *site = self->plan->site;
  gboolean was_read = !isnan (self->arrival->house_sd_db);
  DwnHouseWay way;

  dwn_house_way_init (&way, self->plan, self->base->fields, self->diagnosis->station,
                      dwn_antenna_agl_m (self->plan, self->antenna));
  for (guint k = 0; k < site->n_losses; k++)
    {
      DwnHouseShare share;

      if (dwn_house_term (self->base->tables, &site->loss[k], &way, &share))
        set_without (self, add_if_any (self, DWN_LOSS_HOUSE, (int) k, -share.db), share.db,
                     self->diagnosis->reception.needed_db,
                     was_read ? 0.0 : share.sd_db * share.sd_db);
    }
}

/* From the antenna to the outlet */

static void
add_antenna (DwnDiagnoser *self)
{
  gsize at = (gsize) self->diagnosis->station * self->base->n_antennas + self->antenna;
  int part = (int) self->plan->gear->antenna[self->antenna];
  double most_dbi = self->base->outlook[at].most_dbi, polarisation_db = self->base->polarisation_db[at];
  double aim_db = self->terminals->gain_dbi[at] + polarisation_db - most_dbi;
  double sd_db = self->terminals->pattern_sd_db[at], best_sd_db = dwn_pattern_sd_db (0.0);
  double needed_db = self->diagnosis->reception.needed_db;

  add_step (self, DWN_LOSS_ANTENNA, part, most_dbi);
  add_if_any (self, DWN_LOSS_FEED, part,
              dwn_chain_part_gain_db (self->plan->gear, (guint) part, 0, 0, self->station->mhz));
  set_without (self, add_if_any (self, DWN_LOSS_AIM, part, aim_db), -aim_db, needed_db,
               sd_db * sd_db - best_sd_db * best_sd_db);
  set_without (self, add_if_any (self, DWN_LOSS_POLARISATION, part, -polarisation_db),
               polarisation_db, needed_db, 0.0);
}

/* The antenna's feed has had its step. */
static void
add_level (DwnDiagnoser *self, const DwnLevelStep *level)
{
  if (!level->is_edge && self->plan->gear->part[level->index].kind == DWN_PART_ANTENNA)
    return;
  DwnLossStep *step = add_step (self, level->is_edge ? DWN_LOSS_CABLE : DWN_LOSS_PART, (int) level->index,
                                level->gain_db);

  if (step->gain_db >= 0.0)
    return;
  g_autoptr (DwnChain) better = dwn_diagnoser_gear_without (self, step, 1);
  double gain_db = better == NULL ? 0.0 : dwn_diagnoser_cn_db (self, better)
                                          - dwn_diagnoser_cn_db (self, self->plan->gear);
  set_without (self, step, gain_db, self->diagnosis->reception.needed_db, 0.0);
}

/* The outlet's own step stays the last. */
static void
add_gear (DwnDiagnoser *self, const DwnBudget *budget)
{
  const DwnDiagnosis *diagnosis = self->diagnosis;
  g_autoptr (GArray) levels = dwn_levels_along (self->base, budget, diagnosis->station,
                                                diagnosis->outlet, 0.0);

  if (levels == NULL)
    return;
  for (guint k = 0; k + 1 < levels->len; k++)
    add_level (self, &g_array_index (levels, DwnLevelStep, k));
  double so_far_dbm = g_array_index (self->steps, DwnLossStep, self->steps->len - 1).level_dbm;
  add_if_any (self, DWN_LOSS_OTHERS, -1, diagnosis->reception.level_dbm - so_far_dbm);
  add_level (self, &g_array_index (levels, DwnLevelStep, levels->len - 1));
}

/* The margin is the same at every point of the gear. */
static void
fill_enough (DwnDiagnoser *self)
{
  gboolean in_gear = FALSE;

  for (guint k = 0; k < self->steps->len; k++)
    {
      DwnLossStep *step = &g_array_index (self->steps, DwnLossStep, k);

      in_gear = in_gear || step->kind == DWN_LOSS_ANTENNA;
      if (in_gear)
        step->enough_dbm = step->level_dbm - self->diagnosis->reception.margin_db;
    }
}

static void
fill_needs (DwnDiagnosis *diagnosis)
{
  const DwnReception *r = &diagnosis->reception;
  double clean = 1.0 - r->spurious_share, noise = clean - r->interference_share;
  double gear = noise - r->ambient_share;
  double *need_db = diagnosis->need_db;

  need_db[DWN_NEED_GEAR] = r->noise_dbm + dwn_db_of_ratio (gear);
  need_db[DWN_NEED_AMBIENT] = dwn_db_of_ratio (noise) - dwn_db_of_ratio (gear);
  need_db[DWN_NEED_INTERFERENCE] = dwn_db_of_ratio (clean) - dwn_db_of_ratio (noise);
  need_db[DWN_NEED_PRODUCTS] = -dwn_db_of_ratio (clean);
  need_db[DWN_NEED_RATIO] = r->needed_db;
  need_db[DWN_NEED_PHASE] = r->level_dbm - r->worst_dbm;
  need_db[DWN_NEED_OVERLOAD] = r->cn_db - r->needed_db - r->margin_db;
}

/* Can the sum be taken apart? A station beyond the charts' end has nothing to take. */
static gboolean
arrives (const DwnDiagnoser *self)
{
  return self->connected && isfinite (field_of (self)->wanted) && self->station->erp_kw > 0.0;
}

static void
fill (DwnDiagnoser *self, const DwnBudget *budget)
{
  DwnDiagnosis *diagnosis = self->diagnosis;

  for (guint k = 0; k < DWN_N_NEEDS; k++)
    diagnosis->need_db[k] = (double) NAN;
  if (self->connected)
    fill_needs (diagnosis);
  if (self->base->n_antennas > 0 && isfinite (field_of (self)->wanted))
    {
      add_path (self);
      add_house (self);
    }
  self->connected = self->base->n_antennas > 0 && arrives (self);
  if (self->connected)
    {
      add_antenna (self);
      add_gear (self, budget);
      fill_enough (self);
    }
  dwn_diagnoser_find_causes (self);
}

DwnDiagnosis *
dwn_diagnose (const DwnBudgetBase *base, const double *aim_deg, guint station, guint outlet)
{
  g_return_val_if_fail (base != NULL && station < base->n, NULL);
  g_return_val_if_fail (outlet < base->plan->gear->n_outlets, NULL);

  DwnDiagnosis *diagnosis = g_atomic_rc_box_new0 (DwnDiagnosis);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, aim_deg);
  DwnTerminals terminals;
  DwnDiagnoser self = {
    .base = base, .plan = base->plan, .arrival = &base->fields->arrival[station],
    .station = &base->plan->stations->station[station], .terminals = &terminals,
    .diagnosis = diagnosis, .steps = g_array_new (FALSE, FALSE, sizeof (DwnLossStep)),
  };

  diagnosis->plan = dwn_plan_ref (base->plan);
  diagnosis->station = station;
  diagnosis->outlet = outlet;
  diagnosis->reception = budget->reception[(gsize) station * budget->n_outlets + outlet];
  self.connected = diagnosis->reception.limit != DWN_LIMIT_UNCONNECTED;
  self.antenna = self.connected ? diagnosis->reception.antenna : 0;
  dwn_terminals_init (&terminals, base);
  for (guint a = 0; a < base->n_antennas; a++)
    dwn_terminals_point (&terminals, base, a, aim_deg[a]);
  dwn_terminals_gather (&terminals, base);
  fill (&self, budget);
  dwn_terminals_clear (&terminals);
  diagnosis->n_steps = self.steps->len;
  diagnosis->step = (DwnLossStep *) g_array_free (self.steps, FALSE);
  return diagnosis;
}

/* Where something is broken, that is what there is to say. */
static gboolean
stands_alone (DwnCause cause)
{
  return cause == DWN_CAUSE_NO_POWER || cause == DWN_CAUSE_OVERLOAD || cause == DWN_CAUSE_UNCONNECTED
         || cause == DWN_CAUSE_NONE;
}

/* The largest of those not among @named, a bit a cause; NONE where none is worth naming. */
static DwnCause
next_cause (const DwnDiagnosis *diagnosis, guint named)
{
  DwnCause next = DWN_CAUSE_NONE;
  double least_db = fmax (NAMED_DB, NAMED_SHARE * diagnosis->taken_db[diagnosis->chief]);

  for (guint c = 0; c < DWN_N_CAUSES; c++)
    if ((named & (1u << c)) == 0 && diagnosis->taken_db[c] >= least_db
        && diagnosis->taken_db[c] > diagnosis->taken_db[next])
      next = (DwnCause) c;
  return next;
}

guint
dwn_diagnosis_name_causes (const DwnDiagnosis *diagnosis, DwnCause *causes)
{
  guint n = 1, named = 1u << DWN_CAUSE_NONE | 1u << diagnosis->chief;

  causes[0] = diagnosis->chief;
  while (!stands_alone (diagnosis->chief) && n < DWN_MOST_NAMED
         && (causes[n] = next_cause (diagnosis, named)) != DWN_CAUSE_NONE)
    named |= 1u << causes[n++];
  return n;
}

gboolean
dwn_diagnosis_names (const DwnDiagnosis *diagnosis, DwnCause cause)
{
  DwnCause causes[DWN_MOST_NAMED];
  guint n = dwn_diagnosis_name_causes (diagnosis, causes);

  for (guint k = 0; k < n; k++)
    if (causes[k] == cause)
      return cause != DWN_CAUSE_NONE;
  return FALSE;
}

DwnDiagnosis *
dwn_diagnosis_ref (const DwnDiagnosis *diagnosis)
{
  return g_atomic_rc_box_acquire ((gpointer) diagnosis);
}

static void
diagnosis_clear (gpointer data)
{
  DwnDiagnosis *diagnosis = data;

  g_free ((gpointer) diagnosis->step);
  dwn_plan_unref (diagnosis->plan);
}

void
dwn_diagnosis_unref (const DwnDiagnosis *diagnosis)
{
  g_atomic_rc_box_release_full ((gpointer) diagnosis, diagnosis_clear);
}
