#include <math.h>

#include "core/chain/cascade.h"
#include "core/study/check-private.h"
#include "core/study/separation.h"

/* An amplifier behind so much loss gives away the noise figure that it was bought for
 * (TRADE: it belongs before the loss; common practice). */
#define LATE_LOSS_DB 3.0
/* Television in the United States ends with this RF channel (47 CFR 73.603). */
#define LAST_US_CHANNEL 36

const char *
dwn_severity_id (DwnSeverity severity)
{
  static const char *const ids[] = { "note", "warning", "error" };

  return ids[severity];
}

const char *
dwn_check_id (DwnCheckCode code)
{
  static const char *const ids[] = {
    "power", "overload", "no-outlet", "no-antenna", "unconnected", "loose-antenna", "too-strong",
    "amplifier-late", "haat-assumed", "profile-gaps", "old-channel", "antennas-close", "unsatisfied",
    "roof-unknown",
    "no-balun", "open-output", "splitter-oversized", "splitter-combines", "gain-unneeded",
    "former-feed", "home-network", "slope", "products", "filter-missing", "screened",
    "screen-numbers", "too-weak", "wrong-tuner",
  };

  return ids[code];
}

DwnCheck *
dwn_checker_add (DwnChecker *self, DwnSeverity severity, DwnCheckCode code)
{
  const DwnCheck check = {
    .severity = severity, .code = code, .part = -1, .station = -1, .service = -1,
    .loss = -1, .value = (double) NAN, .limit = (double) NAN,
  };

  g_array_append_val (self->checks, check);
  return &g_array_index (self->checks, DwnCheck, self->checks->len - 1);
}

gboolean
dwn_checker_has_dead_amplifier (const DwnChecker *self)
{
  for (guint k = 0; k < self->plan->gear->n_parts; k++)
    if (!self->plan->gear->powered[k])
      return TRUE;
  return FALSE;
}

static void
check_power (DwnChecker *self)
{
  g_autoptr (DwnPower) power = dwn_power_new (self->plan->gear);

  for (guint i = 0; i < power->n_findings; i++)
    {
      const DwnPowerFinding *finding = &power->finding[i];
      DwnSeverity severity = finding->fault == DWN_POWER_IDLE ? DWN_SEVERITY_NOTE : DWN_SEVERITY_ERROR;
      DwnCheck *check = dwn_checker_add (self, severity, DWN_CHECK_POWER);

      check->power = *finding;
      check->part = (int) finding->part;
      check->value = finding->value;
      check->limit = finding->limit;
    }
}

static void
check_headroom (DwnChecker *self)
{
  for (guint k = 0; k < self->budget->n_parts; k++)
    if (self->budget->headroom_db[k] < 0.0)
      {
        gboolean unwanted = self->budget->unwanted_share[k] > 0.5;
        DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_ERROR,
                                           unwanted ? DWN_CHECK_FILTER_MISSING : DWN_CHECK_OVERLOAD);
        check->part = (int) k;
        check->value = -self->budget->headroom_db[k];
      }
}

static void
check_ends (DwnChecker *self)
{
  const DwnChain *gear = self->plan->gear;
  guint reached = 0;

  if (gear->n_outlets == 0)
    dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_NO_OUTLET);
  if (gear->n_antennas == 0)
    dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_NO_ANTENNA);
  for (guint o = 0; o < gear->n_outlets; o++)
    {
      guint antennas = dwn_chain_antennas_of (gear, gear->outlet[o]);

      reached |= antennas;
      if (antennas == 0 && gear->n_antennas > 0)
        dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_UNCONNECTED)->part = (int) gear->outlet[o];
    }
  for (guint a = 0; a < gear->n_antennas && gear->n_outlets > 0; a++)
    if ((reached & (1u << a)) == 0)
      dwn_checker_add (self, DWN_SEVERITY_ERROR, DWN_CHECK_LOOSE_ANTENNA)->part = (int) gear->antenna[a];
}

/* The strongest level of a station over the outlets, −INFINITY where it arrives nowhere. */
static double
strongest_dbm (const DwnBudget *budget, guint station)
{
  double strongest = -(double) INFINITY;

  for (guint o = 0; o < budget->n_outlets; o++)
    {
      double level_dbm = budget->reception[(gsize) station * budget->n_outlets + o].level_dbm;
      strongest = isnan (level_dbm) ? strongest : fmax (strongest, level_dbm);
    }
  return strongest;
}

static guint
count_above (const DwnChecker *self, double dbm)
{
  guint n = 0;

  for (guint i = 0; i < self->plan->stations->n; i++)
    n += strongest_dbm (self->budget, i) > dbm ? 1 : 0;
  return n;
}

/* Of several strong stations each may have less than one alone. */
static void
check_strong (DwnChecker *self, guint i, const DwnLevelWindow *window)
{
  double level_dbm = strongest_dbm (self->budget, i);
  double limit_dbm = count_above (self, window->several_max_dbm) > 1 ? window->several_max_dbm
                                                                     : window->max_dbm;

  if (!(level_dbm > limit_dbm))
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_TOO_STRONG);
  check->station = (int) i;
  check->value = level_dbm;
  check->limit = limit_dbm;
}

static void
check_weak (DwnChecker *self, guint i, const DwnLevelWindow *window)
{
  double level_dbm = self->budget->reception[(gsize) i * self->budget->n_outlets
                                             + self->budget->weakest[i]].level_dbm;

  if (!(level_dbm < window->min_dbm) || dwn_checker_has_dead_amplifier (self))
    return;
  DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_TOO_WEAK);
  check->station = (int) i;
  check->value = level_dbm;
  check->limit = window->min_dbm;
}

/* The window of the trade: EN 60728-1, A/74 and so on, by system and mode. Weak is what the best
 * station of a wanted service is; the others do not matter. */
static void
check_levels (DwnChecker *self)
{
  const DwnPlan *plan = self->plan;
  g_autofree gboolean *best = g_new0 (gboolean, plan->stations->n + 1);

  for (guint s = 0; s < plan->services->n; s++)
    {
      int i = dwn_best_station (plan, self->budget, s);

      if (i >= 0 && plan->services->service[s].wanted != DWN_WANTED_NO)
        best[i] = TRUE;
    }
  for (guint i = 0; i < plan->stations->n && self->budget->n_outlets > 0; i++)
    {
      const DwnStation *station = &plan->stations->station[i];
      DwnLevelWindow window = dwn_system_level_window (self->tables->systems, station->system,
                                                       station->mode);

      check_strong (self, i, &window);
      if (best[i])
        check_weak (self, i, &window);
    }
}

/* Loss in dB that stands between an antenna's feed and an input of @part, the least there is; 0 where
 * nothing arrives. */
static double
loss_before_db (const DwnChain *gear, guint part, double mhz)
{
  g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, mhz, 0);
  double most = 0.0;

  for (guint port = 0; port < gear->type[part]->n_in; port++)
    {
      const DwnPoint *point = dwn_cascade_input (cascade, gear, part, port);

      for (guint a = 0; point != NULL && a < gear->n_antennas; a++)
        {
          double feed = cascade->out[cascade->out_first[gear->antenna[a]]].gain[a];
          most = fmax (most, point->gain[a] / feed);
        }
    }
  return most > 0.0 ? -10.0 * log10 (most) : 0.0;
}

static void
check_amplifiers (DwnChecker *self)
{
  const DwnChain *gear = self->plan->gear;

  for (guint k = 0; k < gear->n_parts; k++)
    {
      if (gear->part[k].kind != DWN_PART_AMPLIFIER || gear->n_antennas == 0)
        continue;
      double loss_db = loss_before_db (gear, k, 545.0);
      if (loss_db <= LATE_LOSS_DB || dwn_checker_has_dead_amplifier (self))
        continue;
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_AMPLIFIER_LATE);
      check->part = (int) k;
      check->value = loss_db;
    }
}

static gboolean
is_us_channel_gone (const DwnStation *station)
{
  return (station->system == DWN_SYSTEM_ATSC1 || station->system == DWN_SYSTEM_ATSC3)
         && g_ascii_strtoull (station->rf, NULL, 10) > LAST_US_CHANNEL;
}

/* Over a profile the transmitter's own height is enough. */
static gboolean
is_height_guessed (const DwnStation *station, const DwnArrival *arrival)
{
  gboolean enough = arrival->model->needs_profile
                    && (!isnan (station->agl_m) || !isnan (station->amsl_m));

  return arrival->haat_assumed && !enough;
}

static void
check_stations (DwnChecker *self)
{
  for (guint i = 0; i < self->plan->stations->n; i++)
    {
      const DwnStation *station = &self->plan->stations->station[i];

      if (is_height_guessed (station, &self->fields->arrival[i]))
        dwn_checker_add (self, DWN_SEVERITY_NOTE, DWN_CHECK_HAAT_ASSUMED)->station = (int) i;
      if (self->fields->arrival[i].profile == NULL && dwn_paths_find (self->plan->paths, station->id) != NULL)
        dwn_checker_add (self, DWN_SEVERITY_NOTE, DWN_CHECK_PROFILE_GAPS)->station = (int) i;
      if (is_us_channel_gone (station))
        dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_OLD_CHANNEL)->station = (int) i;
    }
}

/* Each antenna against those that the plan names before it. */
static void
check_separation (DwnChecker *self)
{
  const DwnChain *gear = self->plan->gear;

  for (guint a = 0; a < gear->n_antennas; a++)
    {
      DwnSeparation separation = dwn_separation_of (gear, a);

      if (separation.other < 0 || separation.other > (int) a || !(separation.apart_m < separation.least_m))
        continue;
      DwnCheck *check = dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_ANTENNAS_CLOSE);
      check->part = (int) gear->antenna[a];
      check->value = separation.apart_m;
      check->limit = separation.least_m;
    }
}

static void
check_services (DwnChecker *self)
{
  for (guint s = 0; s < self->plan->services->n; s++)
    if (self->plan->services->service[s].wanted != DWN_WANTED_NO
        && dwn_best_station (self->plan, self->budget, s) < 0)
      dwn_checker_add (self, DWN_SEVERITY_WARNING, DWN_CHECK_UNSATISFIED)->service = (int) s;
}

static void
check_house (DwnChecker *self)
{
  for (guint i = 0; i < self->plan->site->n_losses; i++)
    {
      const DwnHouseLoss *term = &self->plan->site->loss[i];

      if (term->kind == DWN_HOUSE_ROOF
          && dwn_roof_table_find (self->tables->roofs, term->of != NULL ? term->of : "") == NULL)
        dwn_checker_add (self, DWN_SEVERITY_NOTE, DWN_CHECK_ROOF_UNKNOWN)->loss = (int) i;
    }
}

static int
graver_first (gconstpointer a, gconstpointer b)
{
  const DwnCheck *x = a, *y = b;

  if (x->severity != y->severity)
    return x->severity > y->severity ? -1 : 1;
  return x->code < y->code ? -1 : x->code > y->code;
}

GArray *
dwn_check_plan (const DwnPlan *plan, const DwnFields *fields, const DwnBudget *budget,
                const DwnTables *tables)
{
  DwnChecker self = { plan, fields, budget, tables, g_array_new (FALSE, FALSE, sizeof (DwnCheck)) };

  check_ends (&self);
  check_power (&self);
  check_headroom (&self);
  check_levels (&self);
  check_amplifiers (&self);
  dwn_checker_check_gear (&self);
  check_separation (&self);
  check_services (&self);
  check_stations (&self);
  check_house (&self);
  g_array_sort (self.checks, graver_first);
  return self.checks;
}
