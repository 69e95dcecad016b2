#include "core/study/readings.h"

#include <math.h>
#include <string.h>

#include "core/chain/cascade.h"
#include "core/study/house.h"

static double
ratio_of_db (double db)
{
  return pow (10.0, db / 10.0);
}

/* What one antenna delivers of a station. */
typedef struct {
  double off_deg, gain_dbi;
  double mw; /* at its terminals, half of the time */
} Terminal;

/* The house towards a station as it is with or without leaves. */
static DwnHouseShare
house_of (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station,
          double antenna_agl_m, gboolean leaves)
{
  DwnHouseWay way;

  dwn_house_way_init (&way, plan, fields, station, antenna_agl_m);
  way.leaves = leaves;
  return dwn_house_sum (tables, plan->site, &way);
}

static Terminal
terminal_at (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station,
             guint antenna, double aim_deg, gboolean leaves)
{
  const DwnPart *part = &plan->gear->part[plan->gear->antenna[antenna]];
  const DwnStation *s = &plan->stations->station[station];
  const DwnArrival *arrival = &fields->arrival[station];
  const DwnField *field = &fields->field[(gsize) station * fields->n_antennas + antenna];
  double house_db = house_of (plan, fields, tables, station, dwn_antenna_agl_m (plan, antenna),
                              leaves).db;
  Terminal terminal = { .off_deg = part->rotator ? 0.0 : arrival->bearing_deg - aim_deg };

  terminal.gain_dbi = dwn_pattern_gain_dbi (part->pattern, terminal.off_deg, s->mhz)
                      + dwn_pattern_elevation_db (part->pattern, arrival->elevation_deg, s->mhz)
                      - dwn_polarisation_loss_db (part->polarisation, s->polarisation);
  terminal.mw = ratio_of_db (dwn_power_of_field_dbm (field->median, s->mhz,
                                                     terminal.gain_dbi - house_db));
  return terminal;
}

/* Noise at the point, in mW, with that of a tuner where it is an outlet. */
static double
noise_mw (const DwnPlan *plan, const DwnTables *tables, const DwnStation *station, guint part,
          const DwnPoint *point)
{
  double unit_mw = ratio_of_db (
    dwn_noise_dbm (dwn_system_bandwidth_hz (tables->systems, station->system), 1.0));
  double ambient = dwn_external_noise_factor (tables->noise, plan->site->area, station->mhz);
  double whole = point->chain_noise;

  for (guint a = 0; a < plan->gear->n_antennas; a++)
    whole += point->gain[a] * ambient;
  if (plan->gear->part[part].kind == DWN_PART_OUTLET)
    whole += ratio_of_db (dwn_chain_part_noise_figure_db (plan->gear, part, station->mhz)) - 1.0;
  return unit_mw * whole;
}

/* Fills @expected where this point brings more than what it holds so far. */
static void
take_better (const DwnPlan *plan, const DwnTables *tables, guint station, guint part,
             const DwnPoint *point, const Terminal *terminals, DwnExpected *expected)
{
  double sum_mw = 0.0, most_mw = 0.0;
  guint strongest = 0;

  for (guint a = 0; point != NULL && a < plan->gear->n_antennas; a++)
    {
      double mw = terminals[a].mw * point->gain[a];

      sum_mw += mw;
      if (mw > most_mw)
        {
          most_mw = mw;
          strongest = a;
        }
    }
  double level_dbm = 10.0 * log10 (sum_mw);
  if (!(most_mw > 0.0) || !isfinite (level_dbm)
      || (expected->antenna >= 0 && level_dbm <= expected->level_dbm))
    return;
  *expected = (DwnExpected) {
    .antenna = (int) strongest,
    .off_deg = terminals[strongest].off_deg,
    .gain_db = terminals[strongest].gain_dbi + 10.0 * log10 (point->gain[strongest]),
    .level_dbm = level_dbm,
    .cn_db = level_dbm - 10.0 * log10 (noise_mw (plan, tables, &plan->stations->station[station],
                                                 part, point)),
  };
}

void
dwn_expect (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station,
            guint part, const double *aim_deg, gboolean leaves, DwnExpected *expected)
{
  const DwnChain *gear = plan->gear;
  const DwnStation *s = &plan->stations->station[station];
  const double nan = (double) NAN;
  g_autofree Terminal *terminals = g_new (Terminal, MAX (gear->n_antennas, 1));

  g_return_if_fail (station < plan->stations->n && part < gear->n_parts);

  *expected = (DwnExpected) { -1, nan, nan, nan, nan };
  for (guint a = 0; a < gear->n_antennas; a++)
    terminals[a] = terminal_at (plan, fields, tables, station, a, aim_deg[a], leaves);
  for (guint state = 0; state < gear->n_states; state++)
    {
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, s->mhz, state);

      if (gear->part[part].kind == DWN_PART_OUTLET)
        for (guint port = 0; port < gear->type[part]->n_in; port++)
          take_better (plan, tables, station, part, dwn_cascade_input (cascade, gear, part, port),
                       terminals, expected);
      else
        take_better (plan, tables, station, part, &cascade->out[cascade->out_first[part]], terminals,
                     expected);
    }
}

static double
turned (double deg)
{
  double rest = fmod (deg, 360.0);

  return rest < 0.0 ? rest + 360.0 : rest;
}

/* With that antenna as the reading's aim has it, all others as the plan's. */
static void
expect_as_aimed (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                 const DwnReading *reading, guint station, guint part, DwnExpected *expected)
{
  dwn_expect (plan, fields, tables, station, part, plan->aims->aim_deg, reading->leaves, expected);
  if (isnan (reading->aim_deg) || expected->antenna < 0)
    return;

  g_autofree double *aim_deg = g_memdup2 (plan->aims->aim_deg, plan->aims->n * sizeof *aim_deg);
  aim_deg[expected->antenna] = reading->aim_deg;
  dwn_expect (plan, fields, tables, station, part, aim_deg, reading->leaves, expected);
}

gboolean
dwn_reading_expect (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                    const DwnReading *reading, DwnExpected *expected)
{
  int station = dwn_stations_find (plan->stations, reading->station);
  int part = dwn_chain_find (plan->gear, reading->where);

  *expected = (DwnExpected) { .antenna = -1 };
  if (station < 0 || part < 0)
    return FALSE;
  expect_as_aimed (plan, fields, tables, reading, (guint) station, (guint) part, expected);
  if (expected->antenna < 0)
    return FALSE;
  if (!isnan (reading->gain_db))
    {
      double more_db = reading->gain_db - expected->gain_db;

      expected->gain_db = reading->gain_db;
      expected->level_dbm += more_db;
    }
  return TRUE;
}

gboolean
dwn_reading_stamp (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                   DwnReading *reading)
{
  DwnExpected expected;

  if (!dwn_reading_expect (plan, fields, tables, reading, &expected))
    return FALSE;
  if (isnan (reading->aim_deg))
    reading->aim_deg = turned (plan->aims->aim_deg[expected.antenna]);
  reading->gain_db = expected.gain_db;
  return TRUE;
}

/* Sums of a straight line through points. */
typedef struct {
  double n, x, y, xx, xy;
} Line;

double
dwn_readings_level_of_bars (const DwnReadings *readings, const char *where, int bars, int bars_of)
{
  Line sum = { 0 };

  if (bars < 0 || bars_of <= 0)
    return (double) NAN;
  for (guint k = 0; k < readings->n; k++)
    {
      const DwnReading *r = &readings->reading[k];

      if (strcmp (r->where, where) != 0 || isnan (r->level_dbm) || r->bars < 0 || r->bars_of <= 0)
        continue;
      double x = (double) r->bars / r->bars_of;
      sum = (Line) { sum.n + 1, sum.x + x, sum.y + r->level_dbm, sum.xx + x * x,
                     sum.xy + x * r->level_dbm };
    }
  double spread = sum.n * sum.xx - sum.x * sum.x;
  if (sum.n < 2 || !(spread > 1e-9))
    return (double) NAN;
  double slope = (sum.n * sum.xy - sum.x * sum.y) / spread;
  return (sum.y + slope * (sum.n * bars / bars_of - sum.x)) / sum.n;
}

double
dwn_reading_excess_db (const DwnReadings *readings, const DwnReading *reading,
                       const DwnExpected *expected)
{
  double level_dbm = reading->level_dbm;

  if (isnan (level_dbm))
    level_dbm = dwn_readings_level_of_bars (readings, reading->where, reading->bars, reading->bars_of);
  if (!isnan (level_dbm))
    return level_dbm - expected->level_dbm;
  return reading->cn_db <= DWN_READING_CN_MAX_DB ? reading->cn_db - expected->cn_db : (double) NAN;
}

static int
compare_numbers (gconstpointer a, gconstpointer b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return x < y ? -1 : x > y;
}

static double
median (GArray *values)
{
  guint n = values->len;

  g_array_sort (values, compare_numbers);
  return n == 0 ? (double) NAN
                : 0.5 * (g_array_index (values, double, (n - 1) / 2) + g_array_index (values, double, n / 2));
}

/* What is left of the house's uncertainty where leaves have come or gone since. */
static double
season_sd_db (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station,
              gboolean same_season)
{
  double agl_m = fmax (plan->site->height_m, 1.0);

  if (same_season)
    return 0.0;
  double on_db = house_of (plan, fields, tables, station, agl_m, TRUE).sd_db;
  double off_db = house_of (plan, fields, tables, station, agl_m, FALSE).sd_db;
  return sqrt (fabs (on_db * on_db - off_db * off_db));
}

/* What the readings of one station say. */
typedef struct {
  GArray *mast, *all; /* double: excesses */
  gboolean same_season;
} Gathered;

static void
gather (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, const char *station,
        Gathered *gathered)
{
  for (guint k = 0; k < plan->readings->n; k++)
    {
      const DwnReading *reading = &plan->readings->reading[k];
      DwnExpected expected;

      if (strcmp (reading->station, station) != 0
          || !dwn_reading_expect (plan, fields, tables, reading, &expected))
        continue;
      double excess_db = dwn_reading_excess_db (plan->readings, reading, &expected);
      if (isnan (excess_db))
        continue;
      g_array_append_val (gathered->all, excess_db);
      if (plan->gear->part[dwn_chain_find (plan->gear, reading->where)].on_mast)
        g_array_append_val (gathered->mast, excess_db);
      gathered->same_season = gathered->same_season || reading->leaves == plan->method->leaves;
    }
}

/* TRUE where there is a reading that says something. */
static gboolean
shift_station (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint i,
               DwnFieldShift *shift)
{
  g_autoptr (GArray) mast = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GArray) all = g_array_new (FALSE, FALSE, sizeof (double));
  const DwnStation *station = &plan->stations->station[i];
  const DwnArrival *arrival = &fields->arrival[i];
  Gathered gathered = { mast, all, FALSE };

  *shift = (DwnFieldShift) { 0.0, arrival->sd_db, arrival->house_sd_db };
  gather (plan, fields, tables, station->id, &gathered);
  if (all->len == 0)
    return FALSE;
  shift->db = median (mast->len > 0 ? mast : all);
  shift->sd_db = DWN_READING_SD_DB;
  shift->house_sd_db = season_sd_db (plan, fields, tables, i, gathered.same_season);
  return TRUE;
}

DwnFieldShift *
dwn_readings_shifts (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables)
{
  g_autofree DwnFieldShift *shifts = NULL;
  gboolean any = FALSE;

  g_return_val_if_fail (fields->n == plan->stations->n, NULL);

  if (plan->readings->n == 0)
    return NULL;
  shifts = g_new (DwnFieldShift, MAX (fields->n, 1));
  for (guint i = 0; i < fields->n; i++)
    any = shift_station (plan, fields, tables, i, &shifts[i]) || any;
  return any ? g_steal_pointer (&shifts) : NULL;
}

DwnFields *
dwn_fields_with_readings (const DwnFields *fields, const DwnPlan *plan, const DwnTables *tables)
{
  g_autofree DwnFieldShift *shifts = dwn_readings_shifts (plan, fields, tables);

  return shifts != NULL ? dwn_fields_shifted (fields, shifts) : dwn_fields_ref (fields);
}
