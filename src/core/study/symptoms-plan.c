/* What plan and readings answer of the questions by themselves. */
#include "core/study/symptoms.h"

#include <math.h>

#include "core/chain/power.h"
#include "core/study/house.h"
#include "core/study/readings.h"

#define SMALL_MARGIN_DB 6.0  /* TRADE, section A: under 6 dB it is not finished */
#define OLD_CABLE_YEARS 10.0 /* common practice, no source */
#define RULING_SHARE 0.5     /* of the noise power: this is most of it */
#define COUNTING_SHARE 0.1   /* and this is felt: half a decibel */
#define WEAK_DB 6.0
#define DIRTY_DB 5.0

typedef struct {
  const DwnPlan *plan;
  const DwnFields *predicted;
  const DwnBudget *budget;
  const DwnTables *tables;
  const DwnLearned *learned;
  int station; /* −1: all */
} Inquiry;

/* Does it hold for the station asked about, or for one of those that are wanted? */
static gboolean
any_station (const Inquiry *self, gboolean (*holds) (const Inquiry *self, guint station))
{
  if (self->station >= 0)
    return holds (self, (guint) self->station);
  for (guint i = 0; i < self->plan->stations->n; i++)
    if (dwn_station_wanted (&self->plan->stations->station[i], self->plan->services)
          != DWN_WANTED_NO
        && holds (self, i))
      return TRUE;
  return FALSE;
}

static const DwnReception *
weakest_reception (const Inquiry *self, guint station)
{
  return self->budget->n_outlets == 0 ? NULL
         : &self->budget->reception[(gsize) station * self->budget->n_outlets
                                    + self->budget->weakest[station]];
}

/* Plan */

static DwnAnswer
answer_of (gboolean yes)
{
  return yes ? DWN_ANSWER_YES : DWN_ANSWER_NO;
}

static DwnAnswer
is_overloaded (const Inquiry *self)
{
  for (guint k = 0; k < self->budget->n_parts; k++)
    if (self->budget->headroom_db[k] < 0.0)
      return DWN_ANSWER_YES;
  return DWN_ANSWER_NO;
}

static DwnAnswer
is_unpowered (const Inquiry *self)
{
  const DwnChain *gear = self->plan->gear;
  g_autoptr (DwnPower) power = dwn_power_new (gear);

  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind == DWN_PART_AMPLIFIER && (!power->powered[k] || gear->part[k].unpowered))
      return DWN_ANSWER_YES;
  return DWN_ANSWER_NO;
}

static DwnAnswer
has_amplifier (const Inquiry *self)
{
  for (guint k = 0; k < self->plan->gear->n_parts; k++)
    if (self->plan->gear->part[k].kind == DWN_PART_AMPLIFIER)
      return DWN_ANSWER_YES;
  return DWN_ANSWER_NO;
}

static gboolean
station_is_marginal (const Inquiry *self, guint station)
{
  const DwnReception *reception = weakest_reception (self, station);

  return reception != NULL && reception->margin_db < SMALL_MARGIN_DB;
}

static DwnAnswer
is_marginal (const Inquiry *self)
{
  return answer_of (any_station (self, station_is_marginal));
}

static gboolean
station_shares_channel (const Inquiry *self, guint station)
{
  const DwnReception *reception = weakest_reception (self, station);

  return reception != NULL && (reception->limit == DWN_LIMIT_INTERFERENCE
                               || reception->interference_share >= COUNTING_SHARE);
}

static DwnAnswer
shares_channel (const Inquiry *self)
{
  return answer_of (any_station (self, station_shares_channel));
}

static gboolean
station_has_leaves (const Inquiry *self, guint station)
{
  DwnHouseWay way;

  dwn_house_way_init (&way, self->plan, self->predicted, station,
                      fmax (self->plan->site->height_m, 1.0));
  way.leaves = TRUE;
  double on_db = dwn_house_sum (self->tables, self->plan->site, &way).db;
  way.leaves = FALSE;
  return on_db - dwn_house_sum (self->tables, self->plan->site, &way).db >= 1.0;
}

static DwnAnswer
has_leaves (const Inquiry *self)
{
  return answer_of (any_station (self, station_has_leaves));
}

static DwnAnswer
has_old_cable (const Inquiry *self)
{
  for (guint e = 0; e < self->plan->gear->n_edges; e++)
    if (self->plan->gear->edge[e].age_years >= OLD_CABLE_YEARS)
      return DWN_ANSWER_YES;
  return DWN_ANSWER_NO;
}

static gboolean
station_is_drowned (const Inquiry *self, guint station)
{
  const DwnReception *reception = weakest_reception (self, station);

  return reception != NULL && reception->ambient_share >= RULING_SHARE;
}

static DwnAnswer
is_drowned (const Inquiry *self)
{
  return answer_of (any_station (self, station_is_drowned));
}

static DwnAnswer
has_outlets (const Inquiry *self)
{
  return answer_of (self->plan->gear->n_outlets > 1);
}

/* Readings */

static gboolean
is_asked_about (const Inquiry *self, const DwnReading *reading)
{
  return self->station < 0
         || g_str_equal (reading->station, self->plan->stations->station[self->station].id);
}

/* The latest readings count: of each station and place the last in the list. */
static gboolean
is_latest (const DwnReadings *readings, guint k)
{
  for (guint j = k + 1; j < readings->n; j++)
    if (g_str_equal (readings->reading[j].station, readings->reading[k].station)
        && g_str_equal (readings->reading[j].where, readings->reading[k].where))
      return FALSE;
  return TRUE;
}

/* How many of the latest readings @holds of, and of how many it could be said. */
static DwnAnswer
most_readings (const Inquiry *self,
               double (*short_of_db) (const DwnReading *reading, const DwnExpected *expected),
               double limit_db)
{
  const DwnReadings *readings = self->plan->readings;
  guint n = 0, n_short = 0;

  for (guint k = 0; k < readings->n; k++)
    {
      DwnExpected expected;

      if (!is_asked_about (self, &readings->reading[k]) || !is_latest (readings, k)
          || !dwn_reading_expect (self->plan, self->predicted, self->tables, &readings->reading[k], &expected))
        continue;
      double short_db = short_of_db (&readings->reading[k], &expected);
      n += !isnan (short_db);
      n_short += short_db >= limit_db;
    }
  return n == 0 ? DWN_ANSWER_NONE : answer_of (2 * n_short >= n && n_short > 0);
}

static double
short_of_level_db (const DwnReading *reading, const DwnExpected *expected)
{
  return expected->level_dbm - reading->level_dbm;
}

/* Of the C/N that goes with the level as it was read, where a meter can show that much. */
static double
short_of_cn_db (const DwnReading *reading, const DwnExpected *expected)
{
  double noise_dbm = expected->level_dbm - expected->cn_db;

  return fmin (reading->level_dbm - noise_dbm, DWN_READING_CN_MAX_DB) - reading->cn_db;
}

static DwnAnswer
is_weak (const Inquiry *self)
{
  return most_readings (self, short_of_level_db, WEAK_DB);
}

static DwnAnswer
is_dirty (const Inquiry *self)
{
  return most_readings (self, short_of_cn_db, DIRTY_DB);
}

/* Learning has an opinion where it had readings enough to be surer than it began. */
static DwnAnswer
points_to (const Inquiry *self, DwnLearnedKind kind)
{
  if (self->learned == NULL || self->learned->n_used < 2)
    return DWN_ANSWER_NONE;
  for (guint c = 0; c < self->learned->n_causes; c++)
    if (self->learned->cause[c].kind == kind && self->learned->cause[c].chance >= DWN_LEARNED_FOUND)
      return DWN_ANSWER_YES;
  return self->learned->ordinary_chance >= DWN_LEARNED_FOUND ? DWN_ANSWER_NO : DWN_ANSWER_NONE;
}

static DwnAnswer points_to_cable (const Inquiry *self) { return points_to (self, DWN_LEARNED_CABLE); }
static DwnAnswer points_to_gain (const Inquiry *self) { return points_to (self, DWN_LEARNED_GAIN); }
static DwnAnswer points_to_aim (const Inquiry *self) { return points_to (self, DWN_LEARNED_AIM); }
static DwnAnswer points_to_leg (const Inquiry *self) { return points_to (self, DWN_LEARNED_OUTLET); }

static const struct {
  const char *id;
  DwnAnswer (*answer) (const Inquiry *self);
} known[] = {
  { "plan-overload", is_overloaded }, { "plan-power", is_unpowered },
  { "plan-amplifier", has_amplifier }, { "plan-marginal", is_marginal },
  { "plan-same-channel", shares_channel }, { "plan-leaves", has_leaves },
  { "plan-old-cable", has_old_cable }, { "plan-ambient", is_drowned },
  { "plan-outlets", has_outlets }, { "read-weak", is_weak }, { "read-dirty", is_dirty },
  { "read-cable", points_to_cable }, { "read-gain", points_to_gain }, { "read-aim", points_to_aim },
  { "read-leg", points_to_leg },
};

void
dwn_symptoms_ask_plan (const DwnSymptoms *symptoms, const DwnPlan *plan,
                       const DwnFields *predicted, const DwnBudget *budget, const DwnTables *tables,
                       const DwnLearned *learned, int station, DwnAnswer *answers)
{
  const Inquiry inquiry = { plan, predicted, budget, tables, learned, station };

  for (gsize k = 0; k < G_N_ELEMENTS (known); k++)
    {
      int question = dwn_symptoms_find_question (symptoms, known[k].id);

      if (question >= 0)
        answers[question] = known[k].answer (&inquiry);
    }
}
