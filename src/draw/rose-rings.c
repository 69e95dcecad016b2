/* Distance rings with their figures, and the legend in the corner. */
#include <math.h>

#include "draw/rose-private.h"

#define MAX_RINGS 24
#define NO_STATION_BEARING_DEG 219.0 /* clear of every figure of the rim */

/* All in u. */
#define LEGEND_MARGIN 24.0
#define LEGEND_PITCH 20.0
#define LEGEND_GAP 8.0
#define LEGEND_TEXT 24.0
#define LEGEND_CLEAR 57.0 /* corner of the legend to the rim */
#define RING_FIGURE_GAP 5.0

/* Distances of the rings, the same series that the rim is chosen from; the last is the rim
 * itself where the disc is not zoomed. Returns: how many. */
static guint
ring_distances (const DwnRose *rose, double distances_m[MAX_RINGS])
{
  guint n = 0;

  for (double d_m = 5e3; d_m <= rose->range_m * (1 + 1e-9) && n < MAX_RINGS; d_m *= 2)
    distances_m[n++] = d_m;
  return n;
}

static int
compare_doubles (gconstpointer a, gconstpointer b)
{
  double left = *(const double *) a, right = *(const double *) b;

  return (left > right) - (left < right);
}

/* What has a bearing and would stand in a figure's way: stations, aims, the needle. */
static guint
collect_bearings (const DwnRoseData *data, double *bearings)
{
  guint n = 0;

  for (guint i = 0; i < data->n_stations; i++)
    bearings[n++] = data->stations[i].bearing_deg;
  for (guint i = 0; i < data->n_antennas; i++)
    bearings[n++] = data->antennas[i].aim_deg;
  if (!isnan (data->declination_deg))
    bearings[n++] = data->declination_deg;
  for (guint i = 0; i < n; i++)
    bearings[i] -= 360 * floor (bearings[i] / 360);
  return n;
}

/* The middle of the widest gap. */
static double
quietest_bearing (const DwnRose *rose)
{
  const DwnRoseData *data = rose->data;
  g_autofree double *bearings = g_new (double, data->n_stations + data->n_antennas + 2);
  guint n = collect_bearings (data, bearings);
  double widest = 0, middle = NO_STATION_BEARING_DEG;

  if (data->n_stations == 0)
    return NO_STATION_BEARING_DEG;
  qsort (bearings, n, sizeof *bearings, compare_doubles);
  bearings[n] = bearings[0] + 360;
  for (guint i = 0; i < n; i++)
    if (bearings[i + 1] - bearings[i] > widest)
      {
        widest = bearings[i + 1] - bearings[i];
        middle = bearings[i] + widest / 2;
      }
  return middle;
}

/* One figure of a ring, ready to be drawn. */
typedef struct {
  DwnText text;
  double x, y;
  DwnRect rect;
} RingFigure;

static gboolean
is_crowded (const DwnRect *rect, const RingFigure *figures, guint n, double gap)
{
  DwnRect grown = { rect->x - gap, rect->y - gap / 2, rect->width + 2 * gap, rect->height + gap };

  for (guint i = 0; i < n; i++)
    if (dwn_rect_overlaps (&grown, &figures[i].rect))
      return TRUE;
  return FALSE;
}

/* From the rim inward, so that in a narrow disc the inner figures give way. */
static guint
set_figures (const DwnRose *rose, const DwnTextStyle *style, RingFigure figures[MAX_RINGS])
{
  double distances_m[MAX_RINGS];
  guint n_rings = ring_distances (rose, distances_m), n = 0;
  double bearing = quietest_bearing (rose);

  for (guint i = n_rings; i-- > 0;)
    {
      RingFigure *figure = &figures[n];
      double radius = dwn_rose_radius_of (rose, distances_m[i]);
      g_autofree char *string = i + 1 == n_rings
                                    ? g_strdup_printf ("%.0f\u00a0%s", distances_m[i] / 1e3,
                                                       rose->data->words.km)
                                    : g_strdup_printf ("%.0f", distances_m[i] / 1e3);

      /* The outermost would lie on the rim and its ticks. */
      if (i + 1 == n_rings)
        radius = fmin (radius, rose->radius - 18 * rose->u);
      if (radius < 14 * rose->u)
        continue;
      figure->text = dwn_builder_set_text (rose->builder, string, style);
      dwn_rose_at (rose, bearing, radius, &figure->x, &figure->y);
      figure->y += dwn_builder_cap (rose->builder) * rose->look.base * style->size / 2;
      figure->rect = dwn_text_rect (rose->builder, &figure->text, style, figure->x, figure->y, 0.5);
      if (is_crowded (&figure->rect, figures, n, RING_FIGURE_GAP * rose->u))
        dwn_text_clear (&figure->text);
      else
        n++;
    }
  return n;
}

guint
dwn_rose_ring_rects (const DwnRose *rose, DwnRect rects[], guint max)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL };
  RingFigure figures[MAX_RINGS];
  guint n = set_figures (rose, &style, figures);

  for (guint i = 0; i < n; i++)
    {
      if (i < max)
        rects[i] = figures[i].rect;
      dwn_text_clear (&figures[i].text);
    }
  return MIN (n, max);
}

void
dwn_rose_draw_ring_figures (DwnRose *rose)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_quiet (&rose->look),
                         .halo = TRUE };
  RingFigure figures[MAX_RINGS];
  guint n = set_figures (rose, &style, figures);

  for (guint i = 0; i < n; i++)
    {
      DwnRegion region = { .kind = DWN_REGION_FIGURE, .bounds = figures[i].rect, .tab_order = -1,
                           .value = (double) NAN };

      dwn_builder_add_text (rose->builder, &figures[i].text, &style, figures[i].x, figures[i].y,
                            0.5);
      dwn_builder_region (rose->builder, &region);
      dwn_text_clear (&figures[i].text);
    }
}

void
dwn_rose_draw_rings (DwnRose *rose)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnInk ring = dwn_ink_stroke (dwn_colour_alpha (rose->look.foreground, 0.20),
                                DWN_LINE_HAIR * rose->u);
  DwnColour cross = dwn_colour_alpha (rose->look.foreground, 0.12);
  double distances_m[MAX_RINGS], r = rose->radius;
  guint n = ring_distances (rose, distances_m);

  dwn_builder_line (rose->builder, rose->cx - r, rose->cy, rose->cx + r, rose->cy, cross,
                    ring.width);
  dwn_builder_line (rose->builder, rose->cx, rose->cy - r, rose->cx, rose->cy + r, cross,
                    ring.width);
  for (guint i = 0; i < n; i++)
    {
      double radius = dwn_rose_radius_of (rose, distances_m[i]);

      if (radius > rose->radius - 1)
        continue;
      cairo_new_sub_path (cr);
      cairo_arc (cr, rose->cx, rose->cy, radius, 0, 2 * G_PI);
      cairo_close_path (cr);
    }
  dwn_builder_draw (rose->builder, &ring);
}

/* A line of the legend: a mark and what it says. */
typedef struct {
  const char *words;
  DwnMark mark;
  gboolean gap_above;
} LegendRow;

#define N_LEGEND_ROWS 7

static void
legend_rows (const DwnRose *rose, LegendRow rows[N_LEGEND_ROWS])
{
  const DwnRoseWords *words = &rose->data->words;
  const LegendRow all[N_LEGEND_ROWS] = {
    { words->low_vhf, { DWN_BAND_LOW_VHF, 1.0, FALSE }, FALSE },
    { words->high_vhf, { DWN_BAND_HIGH_VHF, 1.0, FALSE }, FALSE },
    { words->uhf, { DWN_BAND_UHF, 1.0, FALSE }, FALSE },
    { words->dependable, { DWN_BAND_UHF, 1.0, FALSE }, TRUE },
    { words->worth_a_trial, { DWN_BAND_UHF, 0.7, FALSE }, FALSE },
    { words->unlikely, { DWN_BAND_UHF, 0.0, FALSE }, FALSE },
    { words->wanted, { DWN_BAND_UHF, 1.0, TRUE }, FALSE },
  };

  for (guint i = 0; i < N_LEGEND_ROWS; i++)
    rows[i] = all[i];
}

static double
legend_height (const DwnRose *rose)
{
  return (N_LEGEND_ROWS * LEGEND_PITCH + LEGEND_GAP) * rose->u;
}

/* The largest circle, up to @radius, that leaves the lower left corner to the legend. */
double
dwn_rose_legend_radius (const DwnRose *rose, double radius)
{
  LegendRow rows[N_LEGEND_ROWS];
  DwnTextStyle style = { .size = DWN_SIZE_SMALL };
  double widest = 0;

  legend_rows (rose, rows);
  for (guint i = 0; i < N_LEGEND_ROWS; i++)
    {
      g_auto (DwnText) text = dwn_builder_set_text (rose->builder, rows[i].words, &style);

      widest = fmax (widest, text.width);
    }

  double right = (LEGEND_MARGIN + LEGEND_TEXT) * rose->u + widest;
  double top = rose->height - LEGEND_MARGIN / 2 * rose->u - legend_height (rose);
  double reach = hypot (fmax (rose->cx - right, 0), fmax (top - rose->cy, 0));

  return fmax (fmin (radius, reach - LEGEND_CLEAR * rose->u), radius / 2);
}

void
dwn_rose_draw_legend (DwnRose *rose)
{
  LegendRow rows[N_LEGEND_ROWS];
  double u = rose->u, x = LEGEND_MARGIN * u,
         y = rose->height - LEGEND_MARGIN / 2 * u - legend_height (rose);
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&rose->look) };
  double half_cap = dwn_builder_cap (rose->builder) * rose->look.base * style.size / 2;

  if (!rose->data->legend)
    return;
  legend_rows (rose, rows);
  for (guint i = 0; i < N_LEGEND_ROWS; i++)
    {
      y += rows[i].gap_above ? LEGEND_GAP * u : 0;
      dwn_builder_mark (rose->builder, &rows[i].mark, x + 8 * u, y + LEGEND_PITCH / 2 * u,
                        DWN_MARK_RADIUS * u, rose->look.foreground);
      dwn_builder_text (rose->builder, rows[i].words, &style, x + LEGEND_TEXT * u,
                        y + LEGEND_PITCH / 2 * u + half_cap, 0);
      y += LEGEND_PITCH * u;
    }
}
