/* Which causes there may be, and how each shows in what is read where. */
#include "core/study/learn-private.h"

#include <math.h>
#include <string.h>

#include "core/study/budget.h"
#include "core/study/house.h"

#define CABLE_MHZ 600.0
/* A slope of the pattern is taken over so many degrees to either side. */
#define SLOPE_DEG 3.0
/* A cause that moves no reading by more than this does not show. */
#define LEAST_EFFECT_DB 1e-6

/* World */

static void
find_feeds (DwnLearnWorld *world)
{
  const DwnChain *gear = world->plan->gear;
  guint n = gear->n_parts;

  world->feeds = g_new0 (gboolean, MAX ((gsize) n * n, 1));
  for (guint k = n; k-- > 0;)
    {
      guint part = gear->order[k];
      gboolean *row = &world->feeds[(gsize) part * n];

      row[part] = TRUE;
      for (guint port = gear->out_first[part]; port < gear->out_first[part + 1]; port++)
        if (gear->out_edge[port] >= 0)
          {
            const gboolean *next = &world->feeds[(gsize) gear->edge[gear->out_edge[port]].to_part * n];

            for (guint other = 0; other < n; other++)
              row[other] = row[other] || next[other];
          }
    }
}

static gboolean
feeds (const DwnLearnWorld *world, guint from, guint to)
{
  return world->feeds[(gsize) from * world->plan->gear->n_parts + to];
}

/* How far the house's terms may be wrong toward every station, without leaves and with. */
static void
find_house (DwnLearnWorld *world)
{
  const DwnSite *site = world->plan->site;
  guint n = world->plan->stations->n;

  world->house_sd_db = g_new0 (double, MAX (2 * (gsize) n * site->n_losses, 1));
  for (guint season = 0; season < 2; season++)
    for (guint i = 0; i < n; i++)
      for (guint term = 0; term < site->n_losses; term++)
        {
          DwnHouseWay way;
          DwnHouseShare share;

          dwn_house_way_init (&way, world->plan, world->fields, i, fmax (site->height_m, 1.0));
          way.leaves = season == 1;
          dwn_house_term (world->tables, &site->loss[term], &way, &share);
          world->house_sd_db[((gsize) season * n + i) * site->n_losses + term] = share.sd_db;
        }
}

void
dwn_learn_world_init (DwnLearnWorld *world, const DwnPlan *plan, const DwnFields *fields,
                      const DwnTables *tables, const DwnLearnRules *rules)
{
  *world = (DwnLearnWorld) {
    .plan = plan, .fields = dwn_fields_ref ((DwnFields *) fields), .tables = tables, .rules = *rules,
    .mast = dwn_masts (plan->stations),
    .causes = g_array_new (FALSE, FALSE, sizeof (DwnLearnedCause)),
    .edges = g_array_new (FALSE, FALSE, sizeof (int)),
  };
  find_feeds (world);
  find_house (world);
}

void
dwn_learn_world_clear (DwnLearnWorld *world)
{
  dwn_fields_unref ((DwnFields *) world->fields);
  g_free (world->mast);
  g_free (world->feeds);
  g_free (world->house_sd_db);
  g_array_unref (world->causes);
  g_array_unref (world->edges);
}

/* Sights */

static void
fill_sight (const DwnLearnWorld *world, guint station, guint part, const DwnExpected *expected,
            gboolean leaves, DwnSight *sight)
{
  const DwnStation *s = &world->plan->stations->station[station];
  const DwnPattern *pattern
    = world->plan->gear->part[world->plan->gear->antenna[expected->antenna]].pattern;

  *sight = (DwnSight) {
    .station = station, .part = part, .antenna = expected->antenna, .mhz = s->mhz,
    .off_deg = expected->off_deg, .level_dbm = expected->level_dbm, .leaves = leaves,
    .pattern_sd_db = dwn_pattern_sd_db (dwn_pattern_max_gain_dbi (pattern, s->mhz)
                                        - dwn_pattern_gain_dbi (pattern, expected->off_deg,
                                                                s->mhz)),
  };
}

gboolean
dwn_learn_sight (const DwnLearnWorld *world, guint station, guint part, DwnSight *sight)
{
  DwnExpected expected;
  gboolean leaves = world->plan->method->leaves;

  dwn_expect (world->plan, world->fields, world->tables, station, part, world->plan->aims->aim_deg,
              leaves, &expected);
  if (expected.antenna < 0)
    return FALSE;
  fill_sight (world, station, part, &expected, leaves, sight);
  return TRUE;
}

/* What the meter, or the set that stands in for one, adds. */
static double
own_sd_db (const DwnLearnRules *rules, const DwnReading *reading, const DwnReadings *readings)
{
  if (!isnan (reading->level_dbm))
    return rules->meter_sd_db;
  if (!isnan (dwn_readings_level_of_bars (readings, reading->where, reading->bars,
                                          reading->bars_of)))
    return hypot (rules->meter_sd_db, rules->bars_sd_db);
  return hypot (rules->meter_sd_db, rules->cn_sd_db);
}

static const char *
day_of (const char *when)
{
  char day[11] = "";

  g_strlcpy (day, when != NULL ? when : "", sizeof day);
  return g_intern_string (day);
}

void
dwn_learn_observe (const DwnLearnWorld *world, GArray *observations)
{
  const DwnReadings *readings = world->plan->readings;

  for (guint k = readings->n; k-- > 0 && observations->len < DWN_LEARN_READINGS_MAX;)
    {
      const DwnReading *reading = &readings->reading[k];
      DwnExpected expected;

      if (!dwn_reading_expect (world->plan, world->fields, world->tables, reading, &expected))
        continue;
      DwnObservation observation = {
        .reading = k, .excess_db = dwn_reading_excess_db (readings, reading, &expected),
        .own_sd_db = own_sd_db (&world->rules, reading, readings), .day = day_of (reading->when),
      };
      if (!isfinite (observation.excess_db))
        continue;
      fill_sight (world, (guint) dwn_stations_find (world->plan->stations, reading->station),
                  (guint) dwn_chain_find (world->plan->gear, reading->where), &expected,
                  reading->leaves, &observation.sight);
      g_array_append_val (observations, observation);
    }
}

/* How a cause shows */

static const DwnPattern *
pattern_of (const DwnLearnWorld *world, const DwnSight *sight)
{
  return world->plan->gear->part[world->plan->gear->antenna[sight->antenna]].pattern;
}

/* Does the way from the sight's antenna to its part lead over the edge? */
static gboolean
is_crossed (const DwnLearnWorld *world, const DwnSight *sight, int edge)
{
  const DwnEdge *e = &world->plan->gear->edge[edge];

  return feeds (world, world->plan->gear->antenna[sight->antenna], e->from_part)
         && feeds (world, e->to_part, sight->part);
}

static gboolean
is_passed (const DwnLearnWorld *world, const DwnSight *sight, guint part)
{
  return feeds (world, world->plan->gear->antenna[sight->antenna], part)
         && feeds (world, part, sight->part);
}

/* Does the site's arc hold the station? */
static gboolean
is_toward (const DwnLearnWorld *world, const DwnLearnedCause *cause, guint station)
{
  const DwnHouseLoss arc = { .from_deg = cause->from_deg, .to_deg = cause->to_deg };

  return dwn_house_faces (&arc, world->fields->arrival[station].bearing_deg);
}

/* dB a unit of the cause; of an aim nothing is said here. */
static double
linear_slope_db (const DwnLearnWorld *world, guint cause, const DwnSight *sight)
{
  const DwnLearnedCause *c = &g_array_index (world->causes, DwnLearnedCause, cause);

  switch (c->kind)
    {
    case DWN_LEARNED_SITE:
      return c->band == world->plan->stations->station[sight->station].band
             && is_toward (world, c, sight->station) ? -1.0 : 0.0;
    case DWN_LEARNED_CABLE:
      return is_crossed (world, sight, g_array_index (world->edges, int, cause))
             ? -sqrt (sight->mhz / CABLE_MHZ) : 0.0;
    case DWN_LEARNED_GAIN:
      return is_passed (world, sight, (guint) c->part) ? 1.0 : 0.0;
    case DWN_LEARNED_OUTLET:
      return sight->part == (guint) c->part ? -1.0 : 0.0;
    case DWN_LEARNED_AIM:
    default:
      return 0.0;
    }
}

/* Is it the aim of the antenna through which the sight is seen? A rotator finds its station. */
static gboolean
is_aimed (const DwnLearnWorld *world, const DwnLearnedCause *cause, const DwnSight *sight)
{
  guint part = world->plan->gear->antenna[sight->antenna];

  return (guint) cause->part == part && !world->plan->gear->part[part].rotator;
}

double
dwn_cause_effect_db (const DwnLearnWorld *world, guint cause, const DwnSight *sight, double value)
{
  const DwnLearnedCause *c = &g_array_index (world->causes, DwnLearnedCause, cause);

  if (sight->field_only && c->kind != DWN_LEARNED_SITE)
    return 0.0;
  if (c->kind != DWN_LEARNED_AIM)
    return value * linear_slope_db (world, cause, sight);
  if (!is_aimed (world, c, sight))
    return 0.0;
  const DwnPattern *pattern = pattern_of (world, sight);
  return dwn_pattern_gain_dbi (pattern, sight->off_deg - value, sight->mhz)
         - dwn_pattern_gain_dbi (pattern, sight->off_deg, sight->mhz);
}

double
dwn_cause_slope_db (const DwnLearnWorld *world, guint cause, const DwnSight *sight, double value)
{
  const DwnLearnedCause *c = &g_array_index (world->causes, DwnLearnedCause, cause);

  if (sight->field_only && c->kind != DWN_LEARNED_SITE)
    return 0.0;
  if (c->kind != DWN_LEARNED_AIM)
    return linear_slope_db (world, cause, sight);
  return (dwn_cause_effect_db (world, cause, sight, value + SLOPE_DEG)
          - dwn_cause_effect_db (world, cause, sight, value - SLOPE_DEG)) / (2.0 * SLOPE_DEG);
}

/* Which causes there are */

static gboolean
shows (const DwnLearnWorld *world, guint cause, const GArray *observations)
{
  const DwnLearnedCause *c = &g_array_index (world->causes, DwnLearnedCause, cause);
  double value = c->kind == DWN_LEARNED_AIM ? world->rules.cause[c->kind].fault_sd : 1.0;

  for (guint k = 0; k < observations->len; k++)
    {
      const DwnSight *sight = &g_array_index (observations, DwnObservation, k).sight;
      if (fabs (dwn_cause_effect_db (world, cause, sight, value)) > LEAST_EFFECT_DB)
        return TRUE;
    }
  return FALSE;
}

/* Takes @id. Keeps the cause where it would show. */
static void
add_cause (DwnLearnWorld *world, const GArray *observations, char *id, DwnLearnedCause cause, int edge)
{
  cause.id = g_intern_string (id);
  g_free (id);
  g_array_append_val (world->causes, cause);
  g_array_append_val (world->edges, edge);
  if (!shows (world, world->causes->len - 1, observations))
    {
      g_array_set_size (world->causes, world->causes->len - 1);
      g_array_set_size (world->edges, world->edges->len - 1);
    }
}

static int
compare_bearings (gconstpointer a, gconstpointer b)
{
  double x = *(const double *) a, y = *(const double *) b;

  return x < y ? -1 : x > y;
}

/* Bearings of one band's stations that were read, rising. */
static GArray *
bearings_of_band (const DwnLearnWorld *world, const GArray *observations, DwnBand band)
{
  GArray *bearings = g_array_new (FALSE, FALSE, sizeof (double));

  for (guint k = 0; k < observations->len; k++)
    {
      guint station = g_array_index (observations, DwnObservation, k).sight.station;
      if (world->plan->stations->station[station].band == band)
        g_array_append_val (bearings, world->fields->arrival[station].bearing_deg);
    }
  g_array_sort (bearings, compare_bearings);
  return bearings;
}

static void
add_site (DwnLearnWorld *world, const GArray *observations, DwnBand band, double from_deg,
          double to_deg)
{
  DwnLearnedCause cause = { .kind = DWN_LEARNED_SITE, .band = band, .from_deg = from_deg, .to_deg = to_deg,
                     .part = -1 };
  double middle_deg = from_deg + fmod (to_deg - from_deg + 360.0, 360.0) / 2.0;
  char *id = from_deg == to_deg
             ? g_strconcat ("site-", dwn_band_id (band), NULL)
             : g_strdup_printf ("site-%s-%.0f", dwn_band_id (band),
                                fmod (round (middle_deg), 360.0));

  add_cause (world, observations, id, cause, -1);
}

/* Arcs that begin and end half a degree beside their outermost stations. */
static void
add_site_arcs (DwnLearnWorld *world, const GArray *observations, DwnBand band,
               const GArray *bearings)
{
  guint n = bearings->len;
  GArray *starts = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint k = 0; k < n; k++)
    {
      double before_deg = g_array_index (bearings, double, (k + n - 1) % n)
                          - (k == 0 ? 360.0 : 0.0);
      if (g_array_index (bearings, double, k) - before_deg > world->rules.gap_deg)
        g_array_append_val (starts, k);
    }
  for (guint s = 0; s < starts->len; s++)
    {
      guint first = g_array_index (starts, guint, s);
      guint next = g_array_index (starts, guint, (s + 1) % starts->len);

      add_site (world, observations, band,
                fmod (g_array_index (bearings, double, first) - 0.5 + 360.0, 360.0),
                fmod (g_array_index (bearings, double, (next + n - 1) % n) + 0.5, 360.0));
    }
  if (starts->len != 1)
    add_site (world, observations, band, 0.0, 0.0);
  g_array_unref (starts);
}

static void
add_sites (DwnLearnWorld *world, const GArray *observations)
{
  for (guint band = 0; band < DWN_N_BANDS; band++)
    {
      g_autoptr (GArray) bearings = bearings_of_band (world, observations, (DwnBand) band);

      if (bearings->len > 0)
        add_site_arcs (world, observations, (DwnBand) band, bearings);
    }
}

static gboolean
is_up (const DwnChain *gear, guint part)
{
  return gear->part[part].on_mast || gear->part[part].kind == DWN_PART_ANTENNA;
}

/* The cables that lead from the mast into the house. */
static void
add_cables (DwnLearnWorld *world, const GArray *observations)
{
  const DwnChain *gear = world->plan->gear;
  guint n = 0;

  for (guint e = 0; e < gear->n_edges; e++)
    n += is_up (gear, gear->edge[e].from_part) && !is_up (gear, gear->edge[e].to_part);
  for (guint e = 0; e < gear->n_edges; e++)
    {
      guint from = gear->edge[e].from_part;
      DwnLearnedCause cause = { .kind = DWN_LEARNED_CABLE, .part = (int) from };

      if (is_up (gear, from) && !is_up (gear, gear->edge[e].to_part))
        add_cause (world, observations,
                   n == 1 ? g_strdup ("cable") : g_strconcat ("cable-", gear->part[from].id, NULL),
                   cause, (int) e);
    }
}

static void
add_parts (DwnLearnWorld *world, const GArray *observations)
{
  const DwnChain *gear = world->plan->gear;

  for (guint k = 0; k < gear->n_parts; k++)
    {
      DwnLearnedKind kind = gear->part[k].kind == DWN_PART_AMPLIFIER ? DWN_LEARNED_GAIN
                          : gear->part[k].kind == DWN_PART_ANTENNA ? DWN_LEARNED_AIM
                          : DWN_LEARNED_OUTLET;
      DwnLearnedCause cause = { .kind = kind, .part = (int) k };

      if (kind != DWN_LEARNED_OUTLET || gear->part[k].kind == DWN_PART_OUTLET)
        add_cause (world, observations,
                   g_strconcat (dwn_learned_kind_id (kind), "-", gear->part[k].id, NULL), cause, -1);
    }
}

void
dwn_learn_find_causes (DwnLearnWorld *world, const GArray *observations)
{
  add_cables (world, observations);
  add_parts (world, observations);
  add_sites (world, observations);
}

/* Covariances */

/* One a term. */
static const double *
house_toward (const DwnLearnWorld *world, const DwnSight *sight)
{
  gsize at = (gsize) (sight->leaves ? 1 : 0) * world->plan->stations->n + sight->station;

  return &world->house_sd_db[at * world->plan->site->n_losses];
}

/* Of what the house takes away: each term is one thing, wherever it is seen. */
static double
house_covariance (const DwnLearnWorld *world, const DwnSight *a, const DwnSight *b)
{
  const double *a_db = house_toward (world, a), *b_db = house_toward (world, b);
  double covariance = 0.0;

  for (guint i = 0; i < world->plan->site->n_losses; i++)
    covariance += a_db[i] * b_db[i];
  return covariance;
}

double
dwn_field_covariance (const DwnLearnWorld *world, const DwnSight *a, const DwnSight *b)
{
  double product = world->fields->arrival[a->station].sd_db * world->fields->arrival[b->station].sd_db;
  double covariance = house_covariance (world, a, b);

  if (a->station == b->station)
    return covariance + product;
  return world->mast[a->station] == world->mast[b->station]
         ? covariance + world->rules.mast_share * product : covariance;
}

/* A pattern is wrong in the same way wherever its station is seen through it. */
static double
pattern_covariance (const DwnSight *a, const DwnSight *b)
{
  return !a->field_only && !b->field_only && a->station == b->station && a->antenna == b->antenna
         ? a->pattern_sd_db * b->pattern_sd_db : 0.0;
}

double
dwn_sights_covariance (const DwnLearnWorld *world, const DwnSight *a, const DwnSight *b)
{
  double covariance = dwn_field_covariance (world, a, b) + pattern_covariance (a, b);

  for (guint c = 0; c < world->causes->len; c++)
    {
      DwnLearnedKind kind = g_array_index (world->causes, DwnLearnedCause, c).kind;
      double sd = world->rules.cause[kind].usual_sd;

      covariance += sd * sd * dwn_cause_slope_db (world, c, a, 0.0)
                    * dwn_cause_slope_db (world, c, b, 0.0);
    }
  return covariance;
}

double
dwn_observations_covariance (const DwnLearnWorld *world, const DwnObservation *a,
                             const DwnObservation *b, gboolean same)
{
  double variance = same ? a->own_sd_db * a->own_sd_db : 0.0;

  if (a->sight.station == b->sight.station && a->day == b->day)
    variance += world->rules.day_sd_db * world->rules.day_sd_db;
  return variance;
}
