#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/chain/head.h"
#include "core/geo/sun.h"
#include "core/study/bands.h"
#include "core/study/phases.h"
#include "draw/plan-view.h"

#define DOT " \xC2\xB7 "
#define N_AZIMUTHS 360
#define SUN_STEP_MIN 10
#define SUN_STEPS (24 * 60 / SUN_STEP_MIN)

void
dwn_plan_view_init (DwnPlanView *view, const DwnWording *wording, const DwnFindings *findings,
                    const DwnBudgetBase *base)
{
  *view = (DwnPlanView) {
    .wording = wording, .findings = *findings, .base = base, .station = -1, .hovered = -1,
    .outlet = -1, .zoom = 1.0, .fan_mast = -1,
  };
}

static const DwnStation *
station_at (const DwnPlanView *view, guint i)
{
  return &view->findings.plan->stations->station[i];
}

DwnMark
dwn_plan_mark (const DwnPlanView *view, guint station)
{
  const DwnStation *s = station_at (view, station);

  return (DwnMark) {
    .band = s->band,
    .chance = dwn_station_chance (view->findings.budget, station),
    .wanted = dwn_station_wanted (s, view->findings.plan->services) != DWN_WANTED_NO,
  };
}

char *
dwn_word_rf (const DwnWording *wording, const DwnStation *station)
{
  /* Translators: radio-frequency channel, "RF 35" */
  return g_strdup_printf (dwn_word (wording, N_("RF %s")), station->rf);
}

char *
dwn_word_margin_line (const DwnWording *wording, const DwnReception *reception)
{
  g_autofree char *margin = dwn_word_decibels (wording, reception->margin_db);
  g_autofree char *chance = dwn_word_chance (wording, reception->chance);

  return g_strdup_printf (dwn_word (wording, N_("margin %s, chance %s")), margin, chance);
}

static const char *
keep (DwnPlanRose *rose, char *text)
{
  const char *kept = g_string_chunk_insert (rose->strings, text);

  g_free (text);
  return kept;
}

static const char *
station_detail (DwnPlanRose *rose, const DwnPlanView *view, guint i)
{
  g_autofree char *rf = dwn_word_rf (view->wording, station_at (view, i));
  g_autofree char *chance = dwn_word_chance (view->wording, dwn_station_chance (view->findings.budget, i));

  return keep (rose, g_strconcat (rf, DOT, chance, NULL));
}

static DwnRoseStation *
fill_stations (DwnPlanRose *rose, const DwnPlanView *view)
{
  const DwnFindings *findings = &view->findings;
  guint n = findings->plan->stations->n;
  DwnRoseStation *stations = g_new0 (DwnRoseStation, n);

  for (guint i = 0; i < n; i++)
    stations[i] = (DwnRoseStation) {
      .id = i,
      .name = station_at (view, i)->name,
      .detail = view->names_only ? NULL : station_detail (rose, view, i),
      .band = station_at (view, i)->band,
      .bearing_deg = findings->fields->arrival[i].bearing_deg,
      .distance_m = findings->fields->arrival[i].distance_m,
      .chance = dwn_station_chance (findings->budget, i),
      .wanted = dwn_station_wanted (station_at (view, i), findings->plan->services) != DWN_WANTED_NO,
      .selected = view->station == (int) i,
      .hovered = view->hovered == (int) i,
    };
  rose->data.n_stations = n;
  rose->data.stations = stations;
  return stations;
}

/* "RF 16 21 29 33" */
static char *
channels_of_mast (const DwnPlanView *view, const DwnRoseStation *stations, guint n, guint mast)
{
  g_autoptr (GString) channels = g_string_new (NULL);

  for (guint i = 0; i < n; i++)
    if (stations[i].mast == mast)
      g_string_append_printf (channels, "%s%s", channels->len > 0 ? " " : "", station_at (view, i)->rf);
  return g_strdup_printf (dwn_word (view->wording, N_("RF %s")), channels->str);
}

static DwnRoseMast *
fill_masts (DwnPlanRose *rose, const DwnPlanView *view, DwnRoseStation *stations, guint n)
{
  guint n_masts = dwn_rose_group_masts (stations, n);
  DwnRoseMast *masts = g_new0 (DwnRoseMast, n_masts);

  for (guint i = n; i-- > 0;)
    {
      DwnRoseMast *mast = &masts[stations[i].mast];
      const char *site = station_at (view, i)->site;

      mast->name = site[0] != '\0' ? site : stations[i].name;
      if (mast->distance == NULL)
        mast->distance = keep (rose, dwn_word_distance (view->wording, stations[i].distance_m));
      if (mast->detail == NULL && !view->names_only)
        mast->detail = keep (rose, channels_of_mast (view, stations, n, stations[i].mast));
    }
  rose->data.n_masts = n_masts;
  rose->data.masts = masts;
  return masts;
}

/* Frequency at which an antenna's pattern is shown: the selected station's where this antenna is
 * the one that brings it, otherwise the middle of its highest band. */
static double
pattern_mhz (const DwnPlanView *view, guint antenna)
{
  static const double middle_mhz[DWN_N_BANDS] = { 69.0, 195.0, 545.0 };
  const DwnChain *gear = view->findings.plan->gear;
  guint bands = dwn_antenna_bands (gear, antenna);
  int band = DWN_N_BANDS - 1;

  if (view->station >= 0
      && (gear->n_antennas == 1 || (bands & (1u << station_at (view, (guint) view->station)->band)) != 0))
    return station_at (view, (guint) view->station)->mhz;
  while (band > 0 && (bands & (1u << band)) == 0)
    band--;
  return middle_mhz[band];
}

/* "UHF" beside the handle; nothing where there is only one antenna to talk of. */
static const char *
handle_label (const DwnPlanView *view, guint antenna)
{
  const DwnChain *gear = view->findings.plan->gear;
  guint bands = dwn_antenna_bands (gear, antenna);

  if (gear->n_antennas == 1)
    return "";
  if (bands == 1u << DWN_BAND_UHF)
    return dwn_word_band (view->wording, DWN_BAND_UHF);
  if ((bands & (1u << DWN_BAND_UHF)) == 0)
    return dwn_word (view->wording, N_("VHF"));
  return "";
}

static void
fill_antenna (DwnPlanRose *rose, const DwnPlanView *view, guint a, double *gain_dbi, DwnRoseAntenna *antenna)
{
  const DwnChain *gear = view->findings.plan->gear;
  const DwnPart *part = &gear->part[gear->antenna[a]];
  double mhz = pattern_mhz (view, a), from_deg, to_deg;

  if (view->window_from_deg != NULL)
    {
      from_deg = view->window_from_deg[a];
      to_deg = view->window_to_deg[a];
    }
  else
    dwn_aim_window (view->base, view->findings.aim_deg, a, &from_deg, &to_deg);
  dwn_pattern_sample (part->pattern, mhz, N_AZIMUTHS, gain_dbi);
  *antenna = (DwnRoseAntenna) {
    .id = a,
    .label = handle_label (view, a),
    .bearing = keep (rose, dwn_word_bearing (view->wording, view->findings.aim_deg[a])),
    .aim_deg = view->findings.aim_deg[a],
    .window_from_deg = from_deg,
    .window_to_deg = to_deg,
    .n_gain = view->hide_patterns ? 0 : N_AZIMUTHS,
    .gain_dbi = gain_dbi,
    .max_gain_dbi = dwn_pattern_max_gain_dbi (part->pattern, mhz),
  };
}

static const DwnReception *
weakest_reception (const DwnPlanView *view, guint station)
{
  const DwnBudget *budget = view->findings.budget;
  guint outlet = view->outlet >= 0 ? (guint) view->outlet : budget->weakest[station];

  return budget->n_outlets == 0 ? NULL : &budget->reception[(gsize) station * budget->n_outlets + outlet];
}

/* Of two that a hybrid joins, on the channel for which the first of them is drawn. */
static void
fill_pair (DwnPlanRose *rose, const DwnPlanView *view)
{
  const DwnChain *gear = view->findings.plan->gear;
  double most_dbi = -(double) INFINITY;
  DwnRosePair *pair = &rose->data.pair;

  if (view->hide_patterns || dwn_chain_arrangement (gear) != DWN_ARRANGEMENT_HYBRID)
    return;
  double *gains = g_new (double, 3 * N_AZIMUTHS);
  double mhz = pattern_mhz (view, 0);

  rose->blocks[6] = gains;
  if (!dwn_phases_pattern (gear, view->findings.aim_deg, mhz, N_AZIMUTHS, gains, gains + N_AZIMUTHS,
                           gains + 2 * N_AZIMUTHS))
    return;
  for (guint a = 0; a < gear->n_antennas; a++)
    most_dbi = fmax (most_dbi, dwn_pattern_max_gain_dbi (gear->part[gear->antenna[a]].pattern, mhz));
  *pair = (DwnRosePair) { .n_gain = N_AZIMUTHS, .mean_dbi = gains, .best_dbi = gains + N_AZIMUTHS,
                          .worst_dbi = gains + 2 * N_AZIMUTHS, .max_gain_dbi = most_dbi };
}

/* Wanted stations that the antenna which brings them has off its lobe; one that turns has none. */
static void
fill_misses (DwnPlanRose *rose, const DwnPlanView *view)
{
  const DwnFindings *findings = &view->findings;
  const DwnPlan *plan = findings->plan;
  DwnRoseMiss *misses = g_new0 (DwnRoseMiss, plan->stations->n + 1);

  rose->blocks[7] = misses;
  rose->data.misses = misses;
  for (guint i = 0; i < plan->stations->n && !view->hide_patterns; i++)
    {
      const DwnStation *station = station_at (view, i);
      const DwnReception *reception = weakest_reception (view, i);

      if (reception == NULL || reception->limit == DWN_LIMIT_UNCONNECTED
          || dwn_station_wanted (station, plan->services) == DWN_WANTED_NO)
        continue;
      const DwnPart *antenna = &plan->gear->part[plan->gear->antenna[reception->antenna]];
      double bearing_deg = findings->fields->arrival[i].bearing_deg;
      double below_db = dwn_pattern_max_gain_dbi (antenna->pattern, station->mhz)
                        - dwn_pattern_gain_dbi (antenna->pattern,
                                                bearing_deg - findings->aim_deg[reception->antenna], station->mhz);
      if (!antenna->rotator && below_db > DWN_ROSE_MISS_DB)
        misses[rose->data.n_misses++] = (DwnRoseMiss) { bearing_deg, below_db, findings->budget->held[i] };
    }
}

static void
fill_antennas (DwnPlanRose *rose, const DwnPlanView *view)
{
  guint n = view->findings.plan->gear->n_antennas;
  DwnRoseAntenna *antennas = g_new0 (DwnRoseAntenna, n);
  double *gains = g_new0 (double, (gsize) n * N_AZIMUTHS);

  for (guint a = 0; a < n; a++)
    fill_antenna (rose, view, a, &gains[a * N_AZIMUTHS], &antennas[a]);
  rose->data.n_antennas = n;
  rose->data.antennas = antennas;
  rose->blocks[2] = antennas;
  rose->blocks[3] = gains;
  fill_pair (rose, view);
  fill_misses (rose, view);
}

static char *
bearings_line (const DwnPlanView *view, double bearing_deg)
{
  g_autofree char *true_text = dwn_word_bearing (view->wording, bearing_deg);

  if (isnan (view->findings.declination_deg))
    return g_strdup_printf (dwn_word (view->wording, N_("%s true")), true_text);
  g_autofree char *compass = dwn_word_bearing (
    view->wording, dwn_compass_deg (bearing_deg, view->findings.declination_deg));
  if (view->wording->magnetic_first)
    return g_strdup_printf (dwn_word (view->wording, N_("%s by compass, %s true")), compass, true_text);
  return g_strdup_printf (dwn_word (view->wording, N_("%s true, %s by compass")), true_text, compass);
}

static char *
identity_line (const DwnPlanView *view, const DwnStation *station)
{
  g_autofree char *rf = dwn_word_rf (view->wording, station);
  const char *on_screen = dwn_station_on_screen (station, view->findings.plan->services);
  GString *line = g_string_new (rf);

  g_string_append_printf (line, DOT "%s", dwn_word_band (view->wording, station->band));
  if (on_screen[0] != '\0')
    {
      g_string_append (line, DOT);
      g_string_append_printf (line, dwn_word (view->wording, N_("on screen %s")), on_screen);
    }
  return g_string_free (line, FALSE);
}

static void
fill_card (DwnPlanRose *rose, const DwnPlanView *view)
{
  const char **lines = g_new0 (const char *, 4);

  rose->blocks[4] = lines;
  if (view->station < 0 || view->names_only)
    return;
  guint i = (guint) view->station;
  const DwnArrival *arrival = &view->findings.fields->arrival[i];
  const DwnReception *reception = weakest_reception (view, i);
  g_autofree char *distance = dwn_word_distance (view->wording, arrival->distance_m);
  g_autofree char *path = dwn_word_path (view->wording, arrival);

  lines[0] = keep (rose, identity_line (view, station_at (view, i)));
  lines[1] = keep (rose, bearings_line (view, arrival->bearing_deg));
  lines[2] = keep (rose, g_strconcat (distance, DOT, path, NULL));
  if (reception != NULL)
    lines[3] = keep (rose, dwn_word_margin_line (view->wording, reception));
  rose->data.card = (DwnRoseCard) {
    .title = station_at (view, i)->name,
    .verdict = dwn_word_verdict (view->wording, dwn_station_chance (view->findings.budget, i)),
    .n_lines = reception != NULL ? 4 : 3,
    .lines = lines,
  };
}

/* What stands in the way of the selected station, and how high above the horizontal. */
static void
name_ridge (DwnPlanRose *rose, const DwnPlanView *view)
{
  if (view->station < 0)
    return;
  const DwnArrival *arrival = &view->findings.fields->arrival[view->station];
  const DwnPath *path = dwn_paths_find (view->findings.plan->paths, station_at (view, (guint) view->station)->id);

  if (arrival->path_class != DWN_PATH_BLOCKED)
    return;
  g_autofree char *angle = dwn_word_number (view->wording, arrival->clearance.rx.elevation_deg, 1);
  const char *crest = path != NULL && path->crest != NULL ? path->crest
                                                          : dwn_word (view->wording, N_("ridge"));
  /* Translators: a ridge by name, and the elevation of its crest above the horizontal */
  rose->data.ridge = keep (rose, g_strdup_printf (dwn_word (view->wording, N_("%s, %s\xC2\xB0 up")),
                                                  crest, angle));
}

/* The sun at a time of the day, minutes after midnight; FALSE while it is down. */
static gboolean
sun_at (DwnPlanRose *rose, const DwnPlanView *view, GDateTime *midnight, int minutes, DwnRoseSun *sun)
{
  g_autoptr (GDateTime) time = g_date_time_add_minutes (midnight, minutes);
  const DwnPaths *paths = view->findings.plan->paths;
  DwnSunPosition position;

  dwn_sun_position ((double) g_date_time_to_unix (time), &view->findings.plan->site->at, &position);
  if (!(position.apparent_elevation_deg > 0.0))
    return FALSE;
  *sun = (DwnRoseSun) {
    .azimuth_deg = position.azimuth_deg,
    .hidden = paths->n_skyline == 360
              && position.apparent_elevation_deg < paths->skyline_deg[(guint) position.azimuth_deg % 360],
    .hour = minutes % 60 == 0,
  };
  if (minutes % 180 == 0)
    sun->label = keep (rose, g_date_time_format (time, "%R"));
  return TRUE;
}

static void
fill_sun (DwnPlanRose *rose, const DwnPlanView *view)
{
  g_autoptr (GTimeZone) zone = view->sun_zone != NULL ? g_time_zone_ref (view->sun_zone) : g_time_zone_new_utc ();
  g_autoptr (GDateTime) midnight = g_date_time_new (zone, view->sun_date->year, view->sun_date->month,
                                                    view->sun_date->day, 0, 0, 0.0);
  DwnRoseSun *sun = g_new0 (DwnRoseSun, SUN_STEPS);

  rose->blocks[5] = sun;
  for (int i = 0; midnight != NULL && i < SUN_STEPS; i++)
    if (sun_at (rose, view, midnight, i * SUN_STEP_MIN, &sun[rose->data.n_sun]))
      rose->data.n_sun++;
  rose->data.sun = sun;
}

static DwnPlanRose *
rim_new (const DwnPlanView *view)
{
  DwnPlanRose *rose = g_new0 (DwnPlanRose, 1);
  const DwnPaths *paths = view->findings.plan->paths;

  rose->strings = g_string_chunk_new (4096);
  rose->data.declination_deg = view->findings.declination_deg;
  rose->data.skyline_deg = paths->n_skyline == 360 && !view->hide_skyline ? paths->skyline_deg : NULL;
  rose->data.scale = view->scale;
  rose->data.zoom = view->zoom;
  rose->data.fan_mast = view->fan_mast;
  rose->data.legend = view->legend;
  rose->data.words = dwn_rose_words ();
  return rose;
}

DwnPlanRose *
dwn_plan_rose_new_moving (const DwnPlanView *view)
{
  DwnPlanRose *rose = rim_new (view);

  fill_antennas (rose, view);
  return rose;
}

DwnPlanRose *
dwn_plan_rose_new (const DwnPlanView *view)
{
  DwnPlanRose *rose = rim_new (view);
  DwnRoseStation *stations = fill_stations (rose, view);

  rose->blocks[0] = stations;
  rose->blocks[1] = fill_masts (rose, view, stations, rose->data.n_stations);
  fill_antennas (rose, view);
  fill_card (rose, view);
  name_ridge (rose, view);
  if (view->sun_date != NULL)
    fill_sun (rose, view);
  return rose;
}

void
dwn_plan_rose_free (DwnPlanRose *rose)
{
  for (gsize i = 0; i < G_N_ELEMENTS (rose->blocks); i++)
    g_free (rose->blocks[i]);
  g_string_chunk_free (rose->strings);
  g_free (rose);
}
