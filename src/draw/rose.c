#include "draw/rose.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/rose-private.h"

/* Room around the circle for skyline, handles and figures, in u. */
#define MARGIN_SIDE 84.0
#define MARGIN_TOP 66.0
#define MIN_RADIUS 30.0
#define ROOMY_RADIUS 200.0

#define PATTERN_SHARE 0.88
#define PATTERN_FLOOR_DB 30.0

#define NEAREST_RANGE_M 5e3
#define MAST_SPREAD_M 500.0

DwnRoseWords
dwn_rose_words (void)
{
  return (DwnRoseWords) {
    .north = C_ ("compass", "N"), .east = C_ ("compass", "E"),
    .south = C_ ("compass", "S"), .west = C_ ("compass", "W"),
    .magnetic_north = _("magnetic north"),
    .magnetic = C_ ("north", "magnetic"),
    .km = _("km"),
    .zero_db = _("0 dB"),
    .low_vhf = _("low VHF"), .high_vhf = _("high VHF"), .uhf = _("UHF"),
    .dependable = _("dependable, 90 % or more"),
    .worth_a_trial = _("worth a trial, 50 to 90 %"),
    .unlikely = _("unlikely, below 50 %"),
    .wanted = _("second outline: wanted"),
  };
}

typedef struct {
  double x_m, y_m;
  guint index;
} Spot;

static int
compare_spots (gconstpointer a, gconstpointer b)
{
  const Spot *left = a, *right = b;

  return (left->x_m > right->x_m) - (left->x_m < right->x_m);
}

static guint
root_of (guint *parent, guint i)
{
  while (parent[i] != i)
    i = parent[i] = parent[parent[i]];
  return i;
}

/* East and north of the house on a plane: over 500 m the curve of the earth does not show. */
static Spot *
spots_of (const DwnRoseStation *stations, guint n)
{
  Spot *spots = g_new (Spot, n);

  for (guint i = 0; i < n; i++)
    {
      double bearing = stations[i].bearing_deg * G_PI / 180;

      spots[i] = (Spot) { stations[i].distance_m * sin (bearing),
                          stations[i].distance_m * cos (bearing), i };
    }
  if (n > 0)
    qsort (spots, n, sizeof *spots, compare_spots);
  return spots;
}

guint
dwn_rose_group_masts (DwnRoseStation *stations, guint n_stations)
{
  g_return_val_if_fail (stations != NULL || n_stations == 0, 0);

  g_autofree Spot *spots = spots_of (stations, n_stations);
  g_autofree guint *parent = g_new (guint, n_stations);
  g_autofree int *number = g_new (int, n_stations);
  guint n_masts = 0;

  for (guint i = 0; i < n_stations; i++)
    {
      parent[i] = i;
      number[i] = -1;
    }
  for (guint i = 0; i < n_stations; i++)
    for (guint k = i + 1; k < n_stations && spots[k].x_m - spots[i].x_m <= MAST_SPREAD_M; k++)
      if (hypot (spots[k].x_m - spots[i].x_m, spots[k].y_m - spots[i].y_m) <= MAST_SPREAD_M)
        parent[root_of (parent, spots[k].index)] = root_of (parent, spots[i].index);
  for (guint i = 0; i < n_stations; i++)
    {
      guint root = root_of (parent, i);

      if (number[root] < 0)
        number[root] = (int) n_masts++;
      stations[i].mast = (guint) number[root];
    }
  return n_masts;
}

void
dwn_rose_at (const DwnRose *rose, double bearing_deg, double radius, double *x, double *y)
{
  double bearing = bearing_deg * G_PI / 180;

  *x = rose->cx + radius * sin (bearing);
  *y = rose->cy - radius * cos (bearing);
}

double
dwn_rose_radius_of (const DwnRose *rose, double distance_m)
{
  switch (rose->data->scale)
    {
    case DWN_ROSE_SCALE_LINEAR:
      return rose->radius * distance_m / rose->range_m;
    case DWN_ROSE_SCALE_LOG:
      return rose->radius * log1p (distance_m / 1e3) / log1p (rose->range_m / 1e3);
    case DWN_ROSE_SCALE_SQRT:
    default:
      return rose->radius * sqrt (distance_m / rose->range_m);
    }
}

double
dwn_rose_gain_radius (const DwnRose *rose, double over_max_db)
{
  return PATTERN_SHARE * rose->radius * CLAMP (1 + over_max_db / PATTERN_FLOOR_DB, 0.0, 1.0);
}

double
dwn_rose_pattern_radius (const DwnRose *rose, const DwnRoseAntenna *antenna, double gain_dbi)
{
  return dwn_rose_gain_radius (rose, gain_dbi - antenna->max_gain_dbi);
}

/* The first of 5, 10, 20, 40 … km beyond the farthest station. */
static double
range_of (const DwnRoseData *data)
{
  double farthest_m = 0, range_m = NEAREST_RANGE_M;

  for (guint i = 0; i < data->n_stations; i++)
    farthest_m = fmax (farthest_m, data->stations[i].distance_m);
  while (range_m < farthest_m && range_m < 1e9)
    range_m *= 2;
  return range_m / (data->zoom > 0 ? data->zoom : 1);
}

static void
init_geometry (DwnRose *rose, const DwnRoseData *data, const DwnLook *look, double width,
               double height)
{
  double u = dwn_look_unit (look);

  rose->data = data;
  rose->look = *look;
  rose->width = width;
  rose->height = height;
  rose->u = u;
  rose->cx = width / 2;
  rose->cy = height / 2;
  rose->radius = fmin (width / 2 - MARGIN_SIDE * u, height / 2 - MARGIN_TOP * u);
  rose->radius = fmax (rose->radius, MIN_RADIUS * u);
  rose->n_antennas = MIN (data->n_antennas, DWN_ROSE_MAX_ANTENNAS);
  rose->selected = -1;
  for (guint i = 0; i < data->n_stations; i++)
    if (data->stations[i].selected)
      rose->selected = (int) i;
  rose->range_m = range_of (data);
}

static void
prepare (DwnRose *rose, const DwnRoseData *data, const DwnLook *look, PangoContext *text,
         double width, double height)
{
  init_geometry (rose, data, look, width, height);
  rose->builder = dwn_builder_new (look, text, width, height);
  if (data->legend)
    rose->radius = dwn_rose_legend_radius (rose, rose->radius);
  rose->roomy = rose->radius >= ROOMY_RADIUS * rose->u;
  dwn_rose_place_figures (rose);
  dwn_rose_place_handles (rose);
}

static gboolean
is_sane (const DwnRoseData *data, const DwnLook *look, PangoContext *text, double width,
         double height)
{
  g_return_val_if_fail (data != NULL, FALSE);
  g_return_val_if_fail (look != NULL, FALSE);
  g_return_val_if_fail (PANGO_IS_CONTEXT (text), FALSE);
  g_return_val_if_fail (width > 0 && height > 0, FALSE);
  g_return_val_if_fail (data->fan_mast < 0 || data->n_stations > 0, FALSE);

  return TRUE;
}

DwnScene *
dwn_rose_layout (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                 double width, double height, DwnRosePlaces *places)
{
  DwnRose rose = { 0 };

  if (!is_sane (data, look, text, width, height))
    return NULL;

  prepare (&rose, data, look, text, width, height);
  rose.needle_word = dwn_rose_needle_word (&rose);
  dwn_rose_collect_marks (&rose);
  dwn_rose_place_fan (&rose);
  dwn_rose_place_card (&rose, places);
  dwn_rose_draw_static (&rose);
  dwn_rose_draw_moving (&rose, -1);
  dwn_rose_draw_marks (&rose);
  dwn_rose_draw_labels (&rose, places);
  dwn_rose_draw_overlay (&rose);
  g_free (rose.marks);
  return dwn_builder_finish (rose.builder);
}

DwnScene *
dwn_rose_layout_moving (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                        double width, double height, int antenna)
{
  DwnRose rose = { 0 };

  if (!is_sane (data, look, text, width, height))
    return NULL;

  prepare (&rose, data, look, text, width, height);
  dwn_rose_draw_moving (&rose, antenna);
  return dwn_builder_finish (rose.builder);
}

guint
dwn_rose_covered_figures (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                          double width, double height)
{
  DwnRose rose = { 0 };

  if (!is_sane (data, look, text, width, height))
    return 0;

  prepare (&rose, data, look, text, width, height);
  dwn_scene_unref (dwn_builder_finish (rose.builder));
  return rose.covered;
}

gboolean
dwn_rose_point (const DwnRoseData *data, const DwnLook *look, PangoContext *text,
                double width, double height, double bearing_deg, double distance_m,
                double *x, double *y)
{
  DwnRose rose = { 0 };

  if (!is_sane (data, look, text, width, height))
    return FALSE;

  prepare (&rose, data, look, text, width, height);
  dwn_scene_unref (dwn_builder_finish (rose.builder));
  dwn_rose_at (&rose, bearing_deg, dwn_rose_radius_of (&rose, distance_m), x, y);
  return distance_m <= rose.range_m;
}

double
dwn_rose_bearing_at (double width, double height, double x, double y)
{
  double bearing_deg = atan2 (x - width / 2, height / 2 - y) * 180 / G_PI;

  return bearing_deg < 0 ? fmod (bearing_deg + 360, 360) : bearing_deg;
}
