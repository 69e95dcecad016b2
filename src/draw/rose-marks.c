/* Stations gathered into marks, and the marks drawn. */
#include <math.h>
#include <stdlib.h>

#include "draw/rose-private.h"

/* Beyond this many marks those that nobody wants shrink, so that the wanted ones stand out. */
#define CROWD 60.0
#define SMALLEST 0.62

/* All in u. */
#define COUNT_X 8.5
#define COUNT_Y 9.5
#define TARGET 12.0
#define HOUSE 6.5

/* Whether @station is a better one to show than @shown: a wanted one before one that is not, then
 * the lowest chance. Unknown counts as lowest. */
static gboolean
shows_better (const DwnRoseStation *station, const DwnRoseStation *shown)
{
  if (station->wanted != shown->wanted)
    return station->wanted;
  if (isnan (shown->chance))
    return FALSE;
  return isnan (station->chance) || station->chance < shown->chance;
}

static void
add_station (DwnRose *rose, DwnRoseMark *mark, guint index)
{
  const DwnRoseStation *station = &rose->data->stations[index];

  if (mark->n_stations == 0 || shows_better (station, &rose->data->stations[mark->shown]))
    mark->shown = index;
  mark->mast = station->mast;
  mark->n_stations++;
  mark->selected = mark->selected || station->selected;
  mark->hovered = mark->hovered || station->hovered;
}

static void
name_mark (DwnRose *rose, DwnRoseMark *mark)
{
  const DwnRoseData *data = rose->data;
  const DwnRoseStation *shown = &data->stations[mark->shown];

  mark->name = shown->name;
  mark->detail = shown->detail;
  if (mark->n_stations > 1 && data->masts != NULL && mark->mast < data->n_masts)
    {
      mark->name = data->masts[mark->mast].name;
      mark->detail = data->masts[mark->mast].detail;
    }
}

/* A selected station shows itself, whatever shares its mast. */
static void
finish_mark (DwnRose *rose, DwnRoseMark *mark, double shrink)
{
  const DwnRoseStation *shown;

  name_mark (rose, mark);
  if (mark->selected && rose->selected >= 0)
    mark->shown = (guint) rose->selected;
  shown = &rose->data->stations[mark->shown];
  mark->mark = (DwnMark) { shown->band, shown->chance, shown->wanted };
  mark->bearing_deg = shown->bearing_deg;
  mark->visible = shown->distance_m <= rose->range_m * (1 + 1e-9);
  mark->radius = DWN_MARK_RADIUS * rose->u * (shown->wanted || mark->selected ? 1.0 : shrink);
  dwn_rose_at (rose, shown->bearing_deg, dwn_rose_radius_of (rose, shown->distance_m), &mark->x,
               &mark->y);
}

/* Back to front: what matters is painted last, and placed first. */
static int
compare_marks (gconstpointer a, gconstpointer b)
{
  const DwnRoseMark *left = a, *right = b;

  if (left->mark.wanted != right->mark.wanted)
    return left->mark.wanted ? 1 : -1;
  if ((left->n_stations > 1) != (right->n_stations > 1))
    return left->n_stations > 1 ? 1 : -1;
  double left_chance = isnan (left->mark.chance) ? 0 : left->mark.chance;
  double right_chance = isnan (right->mark.chance) ? 0 : right->mark.chance;
  if (left_chance < right_chance || left_chance > right_chance)
    return left_chance < right_chance ? -1 : 1;
  return (left->mast > right->mast) - (left->mast < right->mast);
}

void
dwn_rose_collect_marks (DwnRose *rose)
{
  const DwnRoseData *data = rose->data;
  g_autoptr (GHashTable) by_mast = g_hash_table_new (NULL, NULL);

  rose->marks = g_new0 (DwnRoseMark, data->n_stations + 1);
  for (guint i = 0; i < data->n_stations; i++)
    {
      gpointer key = GUINT_TO_POINTER (data->stations[i].mast), value;

      if (!g_hash_table_lookup_extended (by_mast, key, NULL, &value))
        {
          value = GUINT_TO_POINTER (rose->n_marks++);
          g_hash_table_insert (by_mast, key, value);
        }
      add_station (rose, &rose->marks[GPOINTER_TO_UINT (value)], i);
    }

  double shrink = CLAMP (sqrt (CROWD / MAX (rose->n_marks, 1u)), SMALLEST, 1.0);
  for (guint i = 0; i < rose->n_marks; i++)
    finish_mark (rose, &rose->marks[i], shrink);
  if (rose->n_marks > 0)
    qsort (rose->marks, rose->n_marks, sizeof *rose->marks, compare_marks);
}

static void
draw_count (DwnRose *rose, const DwnRoseMark *mark, DwnColour ink)
{
  DwnTextStyle style = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = ink, .halo = TRUE };
  double half_cap = dwn_builder_cap (rose->builder) * rose->look.base * style.size / 2;
  double shrunk = mark->radius / DWN_MARK_RADIUS;
  char count[12];

  g_snprintf (count, sizeof count, "%u", mark->n_stations);
  dwn_builder_text (rose->builder, count, &style, mark->x + COUNT_X * shrunk,
                    mark->y - COUNT_Y * shrunk + half_cap, 0);
}

void
dwn_rose_draw_mark (DwnRose *rose, const DwnRoseMark *mark, DwnColour ink)
{
  if (mark->n_stations > 1)
    draw_count (rose, mark, ink);
  dwn_builder_mark (rose->builder, &mark->mark, mark->x, mark->y, mark->radius, ink);
}

static void
draw_house (DwnRose *rose)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  double r = HOUSE * rose->u, x = rose->cx, y = rose->cy;
  DwnInk ink = { .fill = rose->look.ground, .stroke = rose->look.foreground,
                 .width = DWN_LINE_OUTLINE * rose->u };

  cairo_move_to (cr, x, y - r);
  cairo_line_to (cr, x + r * 1.1, y);
  cairo_line_to (cr, x + r * 0.7, y);
  cairo_line_to (cr, x + r * 0.7, y + r * 0.8);
  cairo_line_to (cr, x - r * 0.7, y + r * 0.8);
  cairo_line_to (cr, x - r * 0.7, y);
  cairo_line_to (cr, x - r * 1.1, y);
  cairo_close_path (cr);
  dwn_builder_draw (rose->builder, &ink);
}

typedef struct {
  double bearing_deg;
  guint index;
} Turn;

static int
compare_turns (gconstpointer a, gconstpointer b)
{
  const Turn *left = a, *right = b;

  if (left->bearing_deg < right->bearing_deg || left->bearing_deg > right->bearing_deg)
    return left->bearing_deg < right->bearing_deg ? -1 : 1;
  return (left->index > right->index) - (left->index < right->index);
}

/* Aims have the first places in tab order, then marks clockwise from north. */
static void
add_regions (DwnRose *rose)
{
  g_autofree Turn *turns = g_new (Turn, rose->n_marks + 1);
  double reach = TARGET * rose->u;

  for (guint i = 0; i < rose->n_marks; i++)
    turns[i] = (Turn) { rose->marks[i].bearing_deg, i };
  if (rose->n_marks > 0)
    qsort (turns, rose->n_marks, sizeof *turns, compare_turns);
  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *mark = &rose->marks[turns[i].index];
      DwnRegion region = {
        .kind = DWN_REGION_STATION, .id = rose->data->stations[mark->shown].id, .round = TRUE,
        .bounds = { mark->x - reach, mark->y - reach, 2 * reach, 2 * reach },
        .tab_order = (int) (rose->n_antennas + i), .value = mark->mast,
      };

      if (mark->visible)
        dwn_builder_region (rose->builder, &region);
    }
}

void
dwn_rose_draw_marks (DwnRose *rose)
{
  dwn_builder_set_layer (rose->builder, DWN_LAYER_STATIONS);
  draw_house (rose);
  dwn_rose_draw_ring_figures (rose);
  dwn_rose_draw_needle (rose);
  for (guint i = 0; i < rose->n_marks; i++)
    if (rose->marks[i].visible && !rose->marks[i].selected)
      dwn_rose_draw_mark (rose, &rose->marks[i], rose->look.foreground);
  add_regions (rose);
}
