/* The sun's series term by term against an independent astronomical library. What our short series
 * leaves out runs with other arguments than its own terms, so over three centuries each term shows
 * by itself, although it may be smaller than all that is left out together. */
#include "core/geo/sun.h"

#include <math.h>

#include "../radio/vectors.h"

#define RADIANS (G_PI / 180)
#define OBLIQUITY_RAD (23.439 * RADIANS)
/* The moon and its node, with which the nutation runs: rounds in 27.3 days and 18.6 years. */
#define NODE_RATE -337.5705
#define MOON_RATE 83997.09

/* What the sun's place at one time misses. */
typedef struct {
  double millennia;                        /* from 2000 */
  double longitude_rad;
  double along_arc_s, declination_arc_s;   /* ours less the library's */
} Miss;

typedef struct {
  guint n;
  const Miss *miss;
} Series;

/* How a fault shows in what is missed: along the ecliptic; through the ecliptic's tilt, most at the
 * solstices; through a shift of the equinox, in declination most at the equinoxes. */
typedef enum {
  ALONG,
  TILT,
  SHIFT,
} Kind;

typedef struct {
  const char *name;
  Kind kind;
  double rate;        /* rad a thousand years */
  guint power;        /* of the time */
  double most_arc_s;
} Wave;

/* Rates are the arguments published with VSOP87 (Bretagnon and Francou, Astron. Astrophys. 202
 * (1988) 309). What grows with time is judged by what it comes to in 2200; there the terms that are
 * left out and the newer precession of the library come to 1.2". */
static const Wave waves[] = {
  { "mean", ALONG, 0, 0, 0.3 },
  { "precession", ALONG, 0, 1, 0.3 },
  { "precession-2", ALONG, 0, 2, 1.4 },
  { "year", ALONG, 6283.0758, 0, 0.2 },
  { "year-by-time", ALONG, 6283.0758, 1, 0.1 },
  { "year-by-time-2", ALONG, 6283.0758, 2, 0.25 },
  { "half-year", ALONG, 12566.1517, 0, 0.05 },
  { "half-year-by-time", ALONG, 12566.1517, 1, 0.12 },
  { "1.09-years", ALONG, 5753.3849, 0, 0.12 },
  { "1783-years", ALONG, 3.5231, 0, 0.35 },
  { "29.5-days", ALONG, 77713.7715, 0, 0.1 },
  { "0.80-years", ALONG, 7860.4194, 0, 0.1 },
  { "1.60-years", ALONG, 3930.2097, 0, 0.1 },
  { "0.55-years", ALONG, 11506.7698, 0, 0.1 },
  { "11.9-years", ALONG, 529.6910, 0, 0.1 },
  { "3.98-years", ALONG, 1577.3435, 0, 0.1 },
  { "tilt", TILT, 0, 0, 0.15 },
  { "tilt-by-time", TILT, 0, 1, 0.2 },
  { "tilt-node", TILT, NODE_RATE, 0, 0.1 },
  { "tilt-two-nodes", TILT, 2 * NODE_RATE, 0, 0.05 },
  { "nutation-node", SHIFT, NODE_RATE, 0, 0.12 },
  { "nutation-two-nodes", SHIFT, 2 * NODE_RATE, 0, 0.09 },
  { "tilt-half-month", TILT, 2 * MOON_RATE, 0, 0.05 },
  { "nutation-half-month", SHIFT, 2 * MOON_RATE, 0, 0.1 },
};

/* "Low precision formulas for the sun", Astronomical Almanac: where on its way it is, to 0.01°. */
static double
rough_longitude_rad (double millennia)
{
  double days = 365250 * millennia;
  double anomaly_rad = (357.528 + 0.9856003 * days) * RADIANS;

  return (280.460 + 0.9856474 * days + 1.915 * sin (anomaly_rad)) * RADIANS;
}

static Miss
miss_of_row (const Table *table, guint row)
{
  const DwnLatLon pole = { 90, 0 };
  double unix_s = table_number (table, row, "unix_s");
  double elevation_deg = table_number (table, row, "elevation_deg");
  double cos_elevation = cos (elevation_deg * RADIANS);
  DwnSunPosition sun;

  dwn_sun_position (unix_s, &pole, &sun);

  double azimuth_arc_s = 3600 * remainder (sun.azimuth_deg - table_number (table, row, "azimuth_deg"),
                                           360);
  double millennia = (unix_s - 946728000) / (86400 * 365250.0);
  /* At the pole azimuth runs against right ascension: dα = dλ cos ε / cos² δ. */
  return (Miss) {
    .millennia = millennia, .longitude_rad = rough_longitude_rad (millennia),
    .along_arc_s = -azimuth_arc_s * cos_elevation * cos_elevation / cos (OBLIQUITY_RAD),
    .declination_arc_s = 3600 * (sun.elevation_deg - elevation_deg),
  };
}

/* By how much a fault of 1" moves what is looked at. */
static double
weight_of (const Miss *miss, Kind kind)
{
  if (kind == ALONG)
    return 1;
  return kind == TILT ? sin (miss->longitude_rad) : cos (miss->longitude_rad) * sin (OBLIQUITY_RAD);
}

/* The amount of a wave in all that is missed, by least squares. */
static double
amount_arc_s (const Series *series, const Wave *wave, double phase_rad)
{
  double product = 0, square = 0;

  for (guint i = 0; i < series->n; i++)
    {
      const Miss *miss = &series->miss[i];
      double value = weight_of (miss, wave->kind) * pow (miss->millennia / 0.2, wave->power)
                     * cos (wave->rate * miss->millennia - phase_rad);

      product += value * (wave->kind == ALONG ? miss->along_arc_s : miss->declination_arc_s);
      square += value * value;
    }
  return product / square;
}

static Series series;

static void
test_wave (gconstpointer data)
{
  const Wave *wave = data;

  g_assert_cmpfloat_with_epsilon (amount_arc_s (&series, wave, 0), 0, wave->most_arc_s);
  if (wave->rate != 0)
    g_assert_cmpfloat_with_epsilon (amount_arc_s (&series, wave, G_PI / 2), 0, wave->most_arc_s);
}

/* All that is left out: some 10" at worst, as the comment beside the series has it. */
static void
test_worst (void)
{
  for (guint i = 0; i < series.n; i++)
    {
      g_assert_cmpfloat_with_epsilon (series.miss[i].along_arc_s, 0, 12);
      g_assert_cmpfloat_with_epsilon (series.miss[i].declination_arc_s, 0, 4.5);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  g_autoptr (Table) table = table_load ("sun-series.csv");
  g_autofree Miss *miss = g_new (Miss, table->rows->len);

  for (guint i = 0; i < table->rows->len; i++)
    miss[i] = miss_of_row (table, i);
  series = (Series) { table->rows->len, miss };
  for (gsize i = 0; i < G_N_ELEMENTS (waves); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/sun-series/", waves[i].name, NULL);

      g_test_add_data_func (path, &waves[i], test_wave);
    }
  g_test_add_func ("/geo/sun-series/worst", test_worst);
  return g_test_run ();
}
