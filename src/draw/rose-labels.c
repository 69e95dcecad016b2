/* Where names stand.
 *
 * Every mark tries 24 directions at up to seven distances. What is taken (marks, counts, other
 * labels, card, figures, needle, spoke) rules a place out; what is merely better left free (pattern
 * outlines, aim lines, the rim) makes it dearer. Two grids of bits answer both questions in a few
 * machine words, so that 400 marks cost milliseconds. A label that finds no place as name and
 * detail tries as name alone, and then stays away: its mark still answers to the pointer. */
#include <math.h>

#include "draw/occupancy.h"
#include "draw/rose-places.h"
#include "draw/rose-private.h"

#define N_DIRECTIONS 24
#define N_NEAR_DISTANCES 5
#define DETAIL_MARKS 40 /* with more marks than these, names only */
#define FAR_MARKS 24    /* with up to these many, everybody may use the far distances */
#define CROWD 60        /* with more, a leader may cross nothing */
#define LOYALTY 1.2     /* an old place is left when it is this much dearer */

/* All in u; the last two are for those who must have a name. */
static const double distances[] = { 9, 16, 26, 38, 52, 72, 96 };

#define CELL 2.0
#define LINE_PITCH 12.2
#define PADDING_X 2.5
#define PADDING_Y 1.5
#define LEADER_FROM 20.0
#define BEYOND_RIM 8.0
#define TICKS 6.0

/* Costs; a unit is one u of distance. */
#define COST_OFF_HORIZONTAL 10.0
#define COST_ON_LINE 0.9       /* a cell */
#define COST_NEARER_ELSE 45.0
#define COST_ACROSS_SPOKE 90.0
#define COST_LEADER_CROSSES 60.0
#define COST_LESS_SAID 40.0
#define COST_BEYOND 2.5          /* a u into the ticks and beyond the rim */

typedef struct {
  DwnRose *rose;
  DwnOccupancy *taken, *lines;
  guint n_visible;
  double sine[N_DIRECTIONS], cosine[N_DIRECTIONS]; /* of the directions */
} Labels;

typedef struct {
  const DwnRoseMark *mark;
  double reach;
  DwnText name, detail;
  double width[2], height[2]; /* by form */
  guint n_forms, first_form;
} Label;

typedef struct {
  DwnRosePlace place;
  DwnRect rect;
  double cost;
} Candidate;

static DwnRect
grow (DwnRect rect, double dx, double dy)
{
  return (DwnRect) { rect.x - dx, rect.y - dy, rect.width + 2 * dx, rect.height + 2 * dy };
}

static void
take (Labels *labels, DwnRect rect, double by)
{
  rect = grow (rect, by, by);
  dwn_occupancy_take (labels->taken, &rect);
}

static void
take_marks (Labels *labels)
{
  DwnRose *rose = labels->rose;

  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *mark = &rose->marks[i];
      double reach = dwn_mark_reach (&mark->mark, mark->radius), u = rose->u;

      if (!mark->visible)
        continue;
      labels->n_visible++;
      take (labels, (DwnRect) { mark->x - reach, mark->y - reach, 2 * reach, 2 * reach }, 0);
      if (mark->n_stations > 1)
        take (labels, (DwnRect) { mark->x + 8 * u, mark->y - 15 * u,
                                  mark->n_stations > 9 ? 16 * u : 9 * u, 11 * u }, 0);
    }
}

static void
take_figures (Labels *labels)
{
  DwnRose *rose = labels->rose;
  DwnRect rects[24];
  guint n = dwn_rose_ring_rects (rose, rects, G_N_ELEMENTS (rects));
  double u = rose->u, x0, y0, x1, y1;

  for (guint i = 0; i < n; i++)
    take (labels, rects[i], 2 * u);
  n = dwn_rose_scale_rects (rose, rects);
  for (guint i = 0; i < n; i++)
    take (labels, rects[i], 1 * u);
  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    take (labels, rose->figures[i], 2 * u);
  for (guint a = 0; a < rose->n_antennas; a++)
    take (labels, rose->handles[a].text, 2 * u);
  take (labels, (DwnRect) { rose->cx, rose->cy, 0, 0 }, 10 * u);
  if (isnan (rose->data->declination_deg))
    return;
  take (labels, rose->needle_word, 2 * u);
  dwn_rose_at (rose, rose->data->declination_deg, rose->radius, &x0, &y0);
  dwn_rose_at (rose, rose->data->declination_deg, rose->radius - 29 * u, &x1, &y1);
  dwn_occupancy_take_line (labels->taken, x0, y0, x1, y1);
}

static void
take_overlay (Labels *labels)
{
  DwnRose *rose = labels->rose;
  double u = rose->u, x, y;

  if (rose->has_card)
    take (labels, rose->card, 4 * u);
  if (rose->has_fan)
    take (labels, rose->fan, 2 * u);
  if (rose->selected < 0)
    return;
  dwn_rose_at (rose, rose->data->stations[rose->selected].bearing_deg, rose->radius, &x, &y);
  dwn_occupancy_take_line (labels->taken, rose->cx, rose->cy, x, y);
}

static void
draw_pattern_lines (Labels *labels, const DwnRoseAntenna *antenna)
{
  DwnRose *rose = labels->rose;
  double x0, y0, x1, y1;

  dwn_rose_at (rose, antenna->aim_deg, 42 * rose->u, &x0, &y0);
  dwn_rose_at (rose, antenna->aim_deg, rose->radius, &x1, &y1);
  dwn_occupancy_take_line (labels->lines, x0, y0, x1, y1);
  for (guint i = 0; i <= antenna->n_gain && antenna->n_gain > 0; i++)
    {
      double gain = antenna->gain_dbi[i % antenna->n_gain];

      x0 = x1;
      y0 = y1;
      dwn_rose_at (rose, antenna->aim_deg + i * 360.0 / antenna->n_gain,
                   dwn_rose_pattern_radius (rose, antenna, gain), &x1, &y1);
      if (i > 0)
        dwn_occupancy_take_line (labels->lines, x0, y0, x1, y1);
    }
}

static void
draw_lines (Labels *labels)
{
  DwnRose *rose = labels->rose;
  double x0, y0;

  for (guint a = 0; a < rose->n_antennas; a++)
    draw_pattern_lines (labels, &rose->data->antennas[a]);
  for (guint bearing = 0; bearing < 360; bearing++)
    {
      dwn_rose_at (rose, bearing, rose->radius, &x0, &y0);
      dwn_occupancy_take_line (labels->lines, x0, y0, x0, y0);
    }
}

static void
measure (Labels *labels, const DwnRoseMark *mark, Label *label)
{
  DwnRose *rose = labels->rose;
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE }, plain = { .size = DWN_SIZE_SMALL };
  double line = rose->look.base * DWN_SIZE_SMALL * (dwn_builder_cap (rose->builder) + 0.22);
  gboolean detailed = rose->roomy && mark->detail != NULL && labels->n_visible <= DETAIL_MARKS;

  label->mark = mark;
  label->reach = dwn_mark_reach (&mark->mark, mark->radius);
  label->name = dwn_builder_set_text (rose->builder, mark->name, &bold);
  label->width[1] = label->name.width;
  label->height[1] = line;
  label->n_forms = 2;
  label->first_form = detailed ? 0 : 1;
  if (!detailed)
    return;
  label->detail = dwn_builder_set_text (rose->builder, mark->detail, &plain);
  label->width[0] = fmax (label->name.width, label->detail.width);
  label->height[0] = line + LINE_PITCH * rose->u;
}

static DwnRect
rect_at (const Labels *labels, const Label *label, const DwnRosePlace *place)
{
  double u = labels->rose->u;
  double gap = distances[place->distance] * u + label->reach - (DWN_MARK_RADIUS + 0.7) * u;
  double width = label->width[place->form], height = label->height[place->form];

  return (DwnRect) {
    label->mark->x + labels->sine[place->direction] * (gap + width / 2) - width / 2,
    label->mark->y - labels->cosine[place->direction] * (gap + height / 2) - height / 2, width, height,
  };
}

/* How far the farthest corner reaches beyond the rim's ticks; infinity where that is too far. */
static double
leaves_disc (const DwnRose *rose, const DwnRect *rect)
{
  double dx = fmax (fabs (rect->x - rose->cx), fabs (rect->x + rect->width - rose->cx));
  double dy = fmax (fabs (rect->y - rose->cy), fabs (rect->y + rect->height - rose->cy));

  double beyond = sqrt (dx * dx + dy * dy) - rose->radius;

  if (beyond > BEYOND_RIM * rose->u || rect->x < 2 || rect->y < 2
      || rect->x + rect->width > rose->width - 2 || rect->y + rect->height > rose->height - 2)
    return INFINITY;
  return fmax (beyond / rose->u + TICKS, 0);
}

/* The square of the distance. */
static double
distance2_to (const DwnRect *rect, double x, double y)
{
  double dx = fmax (fmax (rect->x - x, x - rect->x - rect->width), 0);
  double dy = fmax (fmax (rect->y - y, y - rect->y - rect->height), 0);

  return dx * dx + dy * dy;
}

static gboolean
is_nearer_to_another (const DwnRose *rose, const Label *label, const DwnRect *rect)
{
  double own2 = distance2_to (rect, label->mark->x, label->mark->y);
  double reach = 2 * sqrt (own2) + rect->width;

  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *other = &rose->marks[i];

      if (other != label->mark && other->visible
          && fabs (other->x - label->mark->x) < reach && distance2_to (rect, other->x, other->y) < own2)
        return TRUE;
    }
  return FALSE;
}

static void
nearest_point (const DwnRect *rect, double x, double y, double *px, double *py)
{
  *px = CLAMP (x, rect->x, rect->x + rect->width);
  *py = CLAMP (y, rect->y, rect->y + rect->height);
}

/* Whether a leader from the mark's edge to the label would meet something that is taken. */
static gboolean
leader_crosses (const Labels *labels, const Label *label, const DwnRect *rect)
{
  double x0 = label->mark->x, y0 = label->mark->y, x1, y1, length;
  double step = CELL * labels->rose->u;

  nearest_point (rect, x0, y0, &x1, &y1);
  length = hypot (x1 - x0, y1 - y0);
  for (double along = label->reach * 1.5 + step; along < length; along += step)
    {
      DwnRect point = { x0 + (x1 - x0) * along / length, y0 + (y1 - y0) * along / length, 0, 0 };

      if (dwn_occupancy_any (labels->taken, &point))
        return TRUE;
    }
  return FALSE;
}

static double
cross (double ax, double ay, double bx, double by)
{
  return ax * by - ay * bx;
}

/* Whether mark and label lie on different sides of the selected station's spoke. */
static gboolean
spoke_between (const DwnRose *rose, const Label *label, const DwnRect *rect)
{
  double x, y, mark_side, label_side;

  if (rose->selected < 0)
    return FALSE;
  dwn_rose_at (rose, rose->data->stations[rose->selected].bearing_deg, 1, &x, &y);
  x -= rose->cx;
  y -= rose->cy;

  double lx = rect->x + rect->width / 2 - rose->cx, ly = rect->y + rect->height / 2 - rose->cy;
  mark_side = cross (x, y, label->mark->x - rose->cx, label->mark->y - rose->cy);
  label_side = cross (x, y, lx, ly);
  return mark_side * label_side < 0 && lx * x + ly * y > 0;
}

/* What every place of this form at this distance costs at least. */
static double
least_cost (guint form, guint distance)
{
  return distances[distance] + (form == 0 ? 0 : COST_LESS_SAID);
}

static double
base_cost (const Labels *labels, const DwnRosePlace *place)
{
  return least_cost (place->form, place->distance)
         + COST_OFF_HORIZONTAL * fabs (labels->cosine[place->direction]);
}

/* Infinity where the place is taken; stops counting once @limit is passed. */
static double
cost_of (const Labels *labels, const Label *label, const DwnRosePlace *place, const DwnRect *rect,
         double limit)
{
  double u = labels->rose->u;
  double cost = base_cost (labels, place) + COST_BEYOND * leaves_disc (labels->rose, rect);
  DwnRect padded = grow (*rect, PADDING_X * u, PADDING_Y * u);

  if (cost >= limit || dwn_occupancy_any (labels->taken, &padded))
    return INFINITY;
  cost += COST_ON_LINE * dwn_occupancy_count (labels->lines, rect);
  if (cost < limit && spoke_between (labels->rose, label, rect))
    cost += COST_ACROSS_SPOKE;
  if (cost < limit && leader_crosses (labels, label, rect))
    cost += labels->n_visible > CROWD ? (double) INFINITY : COST_LEADER_CROSSES;
  if (cost < limit && is_nearer_to_another (labels->rose, label, rect))
    cost += COST_NEARER_ELSE;
  return cost;
}

static Candidate
find_place (const Labels *labels, const Label *label)
{
  Candidate best = { .cost = INFINITY };
  gboolean far = labels->n_visible <= FAR_MARKS || label->mark->mark.wanted
                 || label->mark->selected;
  guint n_distances = far ? G_N_ELEMENTS (distances) : N_NEAR_DISTANCES;

  for (guint form = label->first_form; form < label->n_forms; form++)
    for (guint d = 0; d < n_distances && least_cost (form, d) < best.cost; d++)
      for (guint direction = 0; direction < N_DIRECTIONS; direction++)
        {
          DwnRosePlace place = { direction, d, form };
          DwnRect rect = rect_at (labels, label, &place);
          double cost = cost_of (labels, label, &place, &rect, best.cost);

          if (cost < best.cost)
            best = (Candidate) { place, rect, cost };
        }
  return best;
}

/* The place of the layout before, while it is not much dearer than the best. */
static void
prefer_old_place (const Labels *labels, const Label *label, const DwnRosePlaces *places,
                  Candidate *best)
{
  DwnRosePlace old;

  if (!dwn_rose_places_get (places, label->mark->mast, &old) || old.form < label->first_form
      || old.distance >= G_N_ELEMENTS (distances))
    return;

  DwnRect rect = rect_at (labels, label, &old);
  double cost = cost_of (labels, label, &old, &rect, INFINITY);

  if (isfinite (cost) && cost <= best->cost * LOYALTY)
    *best = (Candidate) { old, rect, cost };
}

static void
draw_leader (Labels *labels, const Label *label, const DwnRect *rect)
{
  DwnRose *rose = labels->rose;
  double x0 = label->mark->x, y0 = label->mark->y, x1, y1, length;

  nearest_point (rect, x0, y0, &x1, &y1);
  length = hypot (x1 - x0, y1 - y0);
  if (length <= LEADER_FROM * rose->u + label->reach - DWN_MARK_RADIUS * rose->u)
    return;

  double from = (label->reach + 1.5 * rose->u) / length, to = 1 - 1.5 * rose->u / length;
  dwn_builder_line (rose->builder, x0 + (x1 - x0) * from, y0 + (y1 - y0) * from,
                    x0 + (x1 - x0) * to, y0 + (y1 - y0) * to,
                    dwn_colour_alpha (rose->look.foreground, 0.6), DWN_LINE_HAIR * rose->u);
}

static void
draw_label (Labels *labels, const Label *label, const Candidate *at)
{
  DwnRose *rose = labels->rose;
  double sideways = labels->sine[at->place.direction];
  double align = sideways > 0.3 ? 0 : sideways < -0.3 ? 1 : 0.5;
  double x = at->rect.x + align * at->rect.width;
  double y = at->rect.y + dwn_builder_cap (rose->builder) * rose->look.base * DWN_SIZE_SMALL;
  DwnTextStyle bold = {
    .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = rose->look.foreground, .halo = TRUE
  };
  DwnTextStyle plain = { .size = DWN_SIZE_SMALL, .colour = rose->look.foreground, .halo = TRUE };
  DwnRegion region = {
    .kind = DWN_REGION_LABEL, .id = rose->data->stations[label->mark->shown].id,
    .bounds = at->rect, .tab_order = -1, .value = label->mark->mast,
  };

  draw_leader (labels, label, &at->rect);
  if (at->place.form == 0)
    {
      plain.colour = dwn_colour_alpha (rose->look.foreground, fmax (rose->look.quiet, 0.85));
      dwn_builder_add_text (rose->builder, &label->detail, &plain, x, y + LINE_PITCH * rose->u,
                            align);
    }
  dwn_builder_add_text (rose->builder, &label->name, &bold, x, y, align);
  dwn_builder_region (rose->builder, &region);
}

/* Infinitely dear where the name has no place. */
static Candidate
held_place (const Labels *labels, const Label *label, const DwnRosePlaces *places)
{
  Candidate at = { .cost = INFINITY };

  if (dwn_rose_places_get (places, label->mark->mast, &at.place) && at.place.form >= label->first_form)
    {
      at.rect = rect_at (labels, label, &at.place);
      at.cost = 0.0;
    }
  return at;
}

static Candidate
place_of (const Labels *labels, const Label *label, const DwnRosePlaces *places)
{
  if (dwn_rose_places_held (places))
    return held_place (labels, label, places);

  Candidate best = find_place (labels, label);
  prefer_old_place (labels, label, places, &best);
  return best;
}

static void
place_label (Labels *labels, const DwnRoseMark *mark, DwnRosePlaces *places)
{
  Label label = { 0 };

  measure (labels, mark, &label);
  Candidate at = place_of (labels, &label, places);
  if (isfinite (at.cost))
    {
      DwnRect padded = grow (at.rect, PADDING_X * labels->rose->u, PADDING_Y * labels->rose->u);
      draw_label (labels, &label, &at);
      dwn_occupancy_take (labels->taken, &padded);
      dwn_rose_places_set (places, mark->mast, &at.place);
    }
  else
    dwn_rose_places_drop (places, mark->mast);
  dwn_text_clear (&label.name);
  dwn_text_clear (&label.detail);
}

static gboolean
wants_label (const DwnRose *rose, const DwnRoseMark *mark, const DwnRosePlaces *places)
{
  DwnRosePlace old;

  return mark->visible && mark->name != NULL && *mark->name != '\0'
         && !(rose->has_card && mark->selected && mark->n_stations == 1)
         && !(rose->has_fan && rose->data->fan_mast == (int) mark->mast)
         && (!dwn_rose_places_held (places) || dwn_rose_places_get (places, mark->mast, &old));
}

void
dwn_rose_draw_labels (DwnRose *rose, DwnRosePlaces *places)
{
  double cell = CELL * rose->u;
  g_autoptr (DwnOccupancy) taken = dwn_occupancy_new (rose->width, rose->height, cell);
  g_autoptr (DwnOccupancy) lines = dwn_occupancy_new (rose->width, rose->height, cell);
  Labels labels = { .rose = rose, .taken = taken, .lines = lines };

  for (guint i = 0; i < N_DIRECTIONS; i++)
    {
      labels.sine[i] = sin (2 * G_PI * i / N_DIRECTIONS);
      labels.cosine[i] = cos (2 * G_PI * i / N_DIRECTIONS);
    }
  take_marks (&labels);
  if (!dwn_rose_places_held (places))
    {
      take_figures (&labels);
      take_overlay (&labels);
      draw_lines (&labels);
    }
  for (guint i = rose->n_marks; i-- > 0;)
    if (wants_label (rose, &rose->marks[i], places))
      place_label (&labels, &rose->marks[i], places);
}
