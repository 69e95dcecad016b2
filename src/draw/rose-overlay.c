/* What the pointer and the selection bring up: spoke, card, ridge, fan. */
#include <math.h>

#include "draw/rose-places.h"
#include "draw/rose-private.h"

/* All in u. */
#define FAN_OFFSET 46.0
#define FAN_PITCH 23.0
#define FAN_TEXT 14.0
#define FAN_MARGIN 12.0
#define SPOKE 1.6
#define SPOKE_HALO 4.0
#define SPOKE_START 10.0
#define CARD_PADDING 10.0
#define CARD_EDGE 3.0
#define CARD_TEXT 18.0
#define CARD_TITLE 22.0
#define CARD_PITCH 17.5
#define CARD_CORNER 5.0
#define CARD_COLUMN_GAP 24.0
#define RIDGE_RADIUS 31.0
#define HOVER_REACH 13.0

/* The card is tried in 24 directions at these distances from its mark. */
static const double card_distances[] = { 16, 28, 44, 64, 90, 120 };
#define CARD_DIRECTIONS 24

static const DwnRoseMark *
find_mark (const DwnRose *rose, guint mast)
{
  for (guint i = 0; i < rose->n_marks; i++)
    if (rose->marks[i].mast == mast)
      return &rose->marks[i];
  return NULL;
}

static const DwnRoseMark *
selected_mark (const DwnRose *rose)
{
  if (rose->selected < 0)
    return NULL;

  const DwnRoseMark *mark = find_mark (rose, rose->data->stations[rose->selected].mast);
  return mark != NULL && mark->visible ? mark : NULL;
}

/* Fan ---------------------------------------------------------------------------------------- */

static double
half_cap (const DwnRose *rose, double size)
{
  return dwn_builder_cap (rose->builder) * rose->look.base * size / 2;
}

typedef struct {
  const DwnRoseMark *mark;
  double x, top, pitch; /* of the column and of its head's row */
  double side;          /* −1: text to the left of the column */
} Fan;

static gboolean
fan_geometry (const DwnRose *rose, Fan *fan)
{
  const DwnRoseMark *mark = rose->data->fan_mast < 0
                                ? NULL
                                : find_mark (rose, (guint) rose->data->fan_mast);
  double u = rose->u;

  if (mark == NULL || !mark->visible || mark->n_stations < 2)
    return FALSE;
  fan->mark = mark;
  fan->side = mark->x > rose->cx ? -1 : 1;
  fan->x = mark->x + fan->side * FAN_OFFSET * u;
  fan->pitch = fmin (FAN_PITCH * u, (rose->height - 4 * u) / (mark->n_stations + 1));
  fan->top = mark->y - fan->pitch * mark->n_stations / 2;
  fan->top = CLAMP (fan->top, fan->pitch / 2 + 2,
                    rose->height - fan->pitch * (mark->n_stations + 0.5) - 2);
  return TRUE;
}

/* A bold name and its quiet detail in one line, read from the column outward. Measures only where
 * @draw is FALSE. Returns: how wide it is. */
static double
fan_line (const DwnRose *rose, const Fan *fan, const char *name, const char *detail, double y,
          gboolean draw)
{
  DwnTextStyle bold = { .size = DWN_SIZE_SMALL, .bold = TRUE, .colour = rose->look.foreground };
  DwnTextStyle plain = { .size = DWN_SIZE_SMALL, .colour = dwn_look_quiet (&rose->look) };
  g_auto (DwnText) first = dwn_builder_set_text (rose->builder, name, &bold);
  g_auto (DwnText) second = dwn_builder_set_text (rose->builder, detail, &plain);
  double gap = detail != NULL ? 4 * rose->u : 0, width = first.width + gap + second.width;
  double left = fan->x + (fan->side < 0 ? -FAN_TEXT * rose->u - width : FAN_TEXT * rose->u);

  if (draw)
    {
      y += half_cap (rose, DWN_SIZE_SMALL);
      dwn_builder_add_text (rose->builder, &first, &bold, left, y, 0);
      dwn_builder_add_text (rose->builder, &second, &plain, left + first.width + gap, y, 0);
    }
  return width;
}

static double
fan_lines (const DwnRose *rose, const Fan *fan, gboolean draw)
{
  const DwnRoseData *data = rose->data;
  const char *distance = data->masts != NULL && fan->mark->mast < data->n_masts
                           ? data->masts[fan->mark->mast].distance : NULL;
  double widest = fan_line (rose, fan, fan->mark->name, distance, fan->top, draw), y = fan->top;

  for (guint i = 0; i < data->n_stations; i++)
    {
      const DwnRoseStation *station = &data->stations[i];

      if (station->mast != fan->mark->mast)
        continue;
      y += fan->pitch;
      widest = fmax (widest, fan_line (rose, fan, station->name, station->detail, y, draw));
    }
  return widest;
}

void
dwn_rose_place_fan (DwnRose *rose)
{
  Fan fan;
  double u = rose->u;

  if (!fan_geometry (rose, &fan))
    return;

  double width = fan_lines (rose, &fan, FALSE) + (FAN_TEXT + 2 * FAN_MARGIN) * u;

  rose->has_fan = TRUE;
  rose->fan = (DwnRect) {
    fan.side < 0 ? fan.x + FAN_MARGIN * u - width : fan.x - FAN_MARGIN * u,
    fan.top - fan.pitch / 2, width, fan.pitch * (fan.mark->n_stations + 1),
  };
}

static void
draw_fan_marks (DwnRose *rose, const Fan *fan)
{
  const DwnRoseData *data = rose->data;
  double y = fan->top, reach = 11 * rose->u;
  int tab_order = (int) (rose->n_antennas + rose->n_marks);

  for (guint i = 0; i < data->n_stations; i++)
    {
      const DwnRoseStation *station = &data->stations[i];
      DwnMark mark = { station->band, station->chance, station->wanted };

      if (station->mast != fan->mark->mast)
        continue;
      y += fan->pitch;
      dwn_builder_line (rose->builder, fan->mark->x, fan->mark->y, fan->x, y,
                        dwn_colour_alpha (rose->look.foreground, 0.6), DWN_LINE_HAIR * rose->u);
      dwn_builder_mark (rose->builder, &mark, fan->x, y, DWN_MARK_RADIUS * rose->u,
                        station->selected ? dwn_look_orange (&rose->look) : rose->look.foreground);

      DwnRegion region = {
        .kind = DWN_REGION_FAN_STATION, .id = station->id, .tab_order = tab_order++,
        .bounds = { rose->fan.x, y - fmin (reach, fan->pitch / 2), rose->fan.width,
                    fmin (2 * reach, fan->pitch) },
        .value = fan->mark->mast,
      };
      dwn_builder_region (rose->builder, &region);
    }
}

static void
rounded_rect (cairo_t *cr, const DwnRect *rect, double corner)
{
  double x1 = rect->x + rect->width, y1 = rect->y + rect->height;

  cairo_new_sub_path (cr);
  cairo_arc (cr, x1 - corner, rect->y + corner, corner, -G_PI / 2, 0);
  cairo_arc (cr, x1 - corner, y1 - corner, corner, 0, G_PI / 2);
  cairo_arc (cr, rect->x + corner, y1 - corner, corner, G_PI / 2, G_PI);
  cairo_arc (cr, rect->x + corner, rect->y + corner, corner, G_PI, 3 * G_PI / 2);
  cairo_close_path (cr);
}

static void
draw_fan (DwnRose *rose)
{
  Fan fan;
  DwnInk back = dwn_ink_fill (dwn_colour_alpha (rose->look.ground, 0.9));

  if (!rose->has_fan || !fan_geometry (rose, &fan))
    return;
  rounded_rect (dwn_builder_path (rose->builder), &rose->fan, CARD_CORNER * rose->u);
  dwn_builder_draw (rose->builder, &back);
  draw_fan_marks (rose, &fan);
  fan_lines (rose, &fan, TRUE);
  dwn_rose_draw_mark (rose, fan.mark, fan.mark->selected ? dwn_look_orange (&rose->look)
                                                         : rose->look.foreground);
}

/* Card --------------------------------------------------------------------------------------- */

static void
measure_card (DwnRose *rose, DwnRect *card)
{
  const DwnRoseCard *words = &rose->data->card;
  DwnTextStyle title = { .size = DWN_SIZE_BASE, .bold = TRUE };
  DwnTextStyle verdict = { .size = DWN_SIZE_SMALL, .bold = TRUE },
               line = { .size = DWN_SIZE_SMALL };
  g_auto (DwnText) head = dwn_builder_set_text (rose->builder, words->title, &title);
  g_auto (DwnText) tail = dwn_builder_set_text (rose->builder, words->verdict, &verdict);
  double width = head.width + (tail.width > 0 ? CARD_COLUMN_GAP * rose->u + tail.width : 0);

  for (guint i = 0; i < words->n_lines; i++)
    {
      g_auto (DwnText) text = dwn_builder_set_text (rose->builder, words->lines[i], &line);

      width = fmax (width, text.width);
    }
  card->width = width + (CARD_TEXT + CARD_PADDING + 2) * rose->u;
  card->height = (2 * CARD_PADDING + CARD_TITLE - 6 + CARD_PITCH * words->n_lines) * rose->u;
}

static DwnRect
grow (DwnRect rect, double by)
{
  return (DwnRect) { rect.x - by, rect.y - by, rect.width + 2 * by, rect.height + 2 * by };
}

/* Whether the ray from the house toward @bearing_deg crosses @rect. */
static gboolean
ray_crosses (const DwnRose *rose, double bearing_deg, const DwnRect *rect)
{
  for (double r = 0; r < rose->radius; r += 4 * rose->u)
    {
      double x, y;

      dwn_rose_at (rose, bearing_deg, r, &x, &y);
      if (x >= rect->x && x <= rect->x + rect->width && y >= rect->y && y <= rect->y + rect->height)
        return TRUE;
    }
  return FALSE;
}

static double
card_rim_cost (const DwnRose *rose, const DwnRect *box)
{
  double cost = 0;

  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    cost += dwn_rect_overlaps (box, &rose->figures[i]) ? 150 : 0;
  for (guint a = 0; a < rose->n_antennas; a++)
    {
      DwnRect handle = grow ((DwnRect) { rose->handles[a].x, rose->handles[a].y, 0, 0 },
                             16 * rose->u);

      cost += dwn_rect_overlaps (box, &handle) || dwn_rect_overlaps (box, &rose->handles[a].text)
                  ? 400
                  : 0;
      cost += ray_crosses (rose, rose->data->antennas[a].aim_deg, box) ? 60 : 0;
    }
  return cost;
}

/* Share of the card that lies on the first antenna's lobe, found on a coarse grid. */
static double
card_pattern_share (const DwnRose *rose, const DwnRect *box)
{
  const DwnRoseAntenna *antenna = rose->data->antennas;
  guint inside = 0;

  if (rose->n_antennas == 0 || antenna->n_gain == 0)
    return 0;
  for (guint i = 0; i < 16; i++)
    {
      double x = box->x + box->width * (i % 4 + 0.5) / 4,
             y = box->y + box->height * (i / 4 + 0.5) / 4;
      double off_deg = atan2 (x - rose->cx, rose->cy - y) * 180 / G_PI - antenna->aim_deg;
      guint k = (guint) ((off_deg - 360 * floor (off_deg / 360)) / 360 * antenna->n_gain)
                % antenna->n_gain;

      if (hypot (x - rose->cx, y - rose->cy)
          < dwn_rose_pattern_radius (rose, antenna, antenna->gain_dbi[k]))
        inside++;
    }
  return inside / 16.0;
}

/* How far the card's farthest corner lies outside the disc. */
static double
card_beyond_rim (const DwnRose *rose, const DwnRect *box)
{
  double dx = fmax (fabs (box->x - rose->cx), fabs (box->x + box->width - rose->cx));
  double dy = fmax (fabs (box->y - rose->cy), fabs (box->y + box->height - rose->cy));

  return fmax (hypot (dx, dy) - rose->radius, 0);
}

/* What a card should not hide, gathered once for all its tries. */
typedef struct {
  const DwnRoseMark *own;
  guint n_figures;
  DwnRect figures[24]; /* of rings and of the scale on the aim line */
} CardSurroundings;

static double
card_cost (const DwnRose *rose, const CardSurroundings *around, const DwnRect *box)
{
  const DwnRoseMark *own = around->own;
  DwnRect house = grow ((DwnRect) { rose->cx, rose->cy, 0, 0 }, 14 * rose->u);
  double u = rose->u, cost = card_rim_cost (rose, box);

  if (box->x < 4 || box->y < 4 || box->x + box->width > rose->width - 4
      || box->y + box->height > rose->height - 4)
    return INFINITY;
  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *mark = &rose->marks[i];
      DwnRect body = grow ((DwnRect) { mark->x, mark->y, 0, 0 }, 11 * u);

      if (mark->visible && dwn_rect_overlaps (box, &body))
        cost += mark == own ? 2000 : mark->mark.wanted ? 220 : 70;
    }
  for (guint i = 0; i < around->n_figures; i++)
    cost += dwn_rect_overlaps (box, &around->figures[i]) ? 45 : 0;
  cost += dwn_rect_overlaps (box, &house) ? 400 : 0;
  cost += 2 * card_beyond_rim (rose, box) / u;
  cost += dwn_rect_overlaps (box, &rose->needle_word) ? 150 : 0;
  cost += rose->has_fan && dwn_rect_overlaps (box, &rose->fan) ? 1500 : 0;
  cost += ray_crosses (rose, own->bearing_deg, box) ? 300 : 0;
  return cost + 120 * card_pattern_share (rose, box);
}

static DwnRect
card_at (const DwnRose *rose, const DwnRoseMark *own, const DwnRect *size, guint direction,
         guint distance)
{
  double angle = 2 * G_PI * direction / CARD_DIRECTIONS, gap = card_distances[distance] * rose->u;

  return (DwnRect) {
    own->x + sin (angle) * (gap + size->width / 2) - size->width / 2,
    own->y - cos (angle) * (gap + size->height / 2) - size->height / 2,
    size->width, size->height,
  };
}

void
dwn_rose_place_card (DwnRose *rose, DwnRosePlaces *places)
{
  const DwnRoseMark *own = selected_mark (rose);
  DwnRect size = { 0 };
  double best = INFINITY;
  DwnRosePlace kept = { 0 }, chosen = { 0 };
  CardSurroundings around = { .own = own };

  if (own == NULL || rose->data->card.title == NULL || !rose->roomy)
    return;
  measure_card (rose, &size);
  around.n_figures = dwn_rose_scale_rects (rose, around.figures);
  around.n_figures += dwn_rose_ring_rects (rose, around.figures + around.n_figures,
                                           G_N_ELEMENTS (around.figures) - around.n_figures);
  gboolean has_kept = dwn_rose_places_get_card (places, rose->data->stations[rose->selected].id,
                                                &kept);
  for (guint i = 0; i < CARD_DIRECTIONS * G_N_ELEMENTS (card_distances); i++)
    {
      DwnRosePlace place = { i % CARD_DIRECTIONS, i / CARD_DIRECTIONS, 0 };
      DwnRect box = card_at (rose, own, &size, place.direction, place.distance);
      double cost = card_cost (rose, &around, &box) + card_distances[place.distance];

      /* A card that hops while somebody drags is worse than one that covers a little. */
      if (has_kept && place.direction == kept.direction && place.distance == kept.distance)
        cost /= 1.2;
      if (cost < best)
        {
          best = cost;
          rose->card = box;
          rose->has_card = TRUE;
          chosen = place;
        }
    }
  if (rose->has_card)
    dwn_rose_places_set_card (places, rose->data->stations[rose->selected].id, &chosen);
}

static void
draw_card_text (DwnRose *rose)
{
  const DwnRoseCard *words = &rose->data->card;
  const DwnRect *card = &rose->card;
  gboolean rtl = rose->look.right_to_left;
  double chance = rose->data->stations[rose->selected].chance, u = rose->u;
  DwnTextStyle title = { .size = DWN_SIZE_BASE, .bold = TRUE, .colour = rose->look.foreground };
  DwnTextStyle line = { .size = DWN_SIZE_SMALL, .colour = rose->look.foreground };
  DwnTextStyle verdict = {
    .size = DWN_SIZE_SMALL, .bold = TRUE,
    .colour = chance >= 0.9 ? rose->look.foreground : dwn_look_orange (&rose->look),
  };
  double start = rtl ? card->x + card->width - CARD_TEXT * u : card->x + CARD_TEXT * u;
  double end = rtl ? card->x + (CARD_PADDING + 2) * u
                   : card->x + card->width - (CARD_PADDING + 2) * u;
  double y = card->y + (CARD_PADDING + 12) * u;

  dwn_builder_text (rose->builder, words->title, &title, start, y, rtl ? 1 : 0);
  dwn_builder_text (rose->builder, words->verdict, &verdict, end, y, rtl ? 0 : 1);
  y += (CARD_TITLE - CARD_PITCH + 2) * u;
  for (guint i = 0; i < words->n_lines; i++)
    dwn_builder_text (rose->builder, words->lines[i], &line, start, y += CARD_PITCH * u,
                      rtl ? 1 : 0);
}

static void
draw_card (DwnRose *rose)
{
  const DwnRect *card = &rose->card;
  const DwnRoseMark *own = selected_mark (rose);
  double u = rose->u;
  DwnColour orange = dwn_look_orange (&rose->look);
  DwnInk back = {
    .fill = rose->look.card, .stroke = dwn_colour_alpha (rose->look.foreground, 0.35),
    .width = DWN_LINE_HAIR * u,
  };
  double edge = rose->look.right_to_left ? card->x + card->width - 8.5 * u : card->x + 8.5 * u;
  DwnRegion region = { .kind = DWN_REGION_CARD, .id = rose->data->stations[rose->selected].id,
                       .bounds = *card, .tab_order = -1, .value = (double) NAN };

  dwn_builder_line (rose->builder, own->x, own->y,
                    CLAMP (own->x, card->x + 12 * u, card->x + card->width - 12 * u),
                    CLAMP (own->y, card->y + 12 * u, card->y + card->height - 12 * u),
                    orange, DWN_LINE_RIM * u);
  rounded_rect (dwn_builder_path (rose->builder), card, CARD_CORNER * u);
  dwn_builder_draw (rose->builder, &back);
  dwn_builder_line (rose->builder, edge, card->y + 10 * u, edge, card->y + card->height - 10 * u,
                    orange, CARD_EDGE * u * 0.8);
  draw_card_text (rose);
  dwn_builder_region (rose->builder, &region);
}

/* Selection ---------------------------------------------------------------------------------- */

static void
draw_spoke (DwnRose *rose, const DwnRoseMark *mark)
{
  double x0, y0, x1, y1, u = rose->u;
  DwnColour halo = dwn_colour_alpha (rose->look.ground, 0.9);

  dwn_rose_at (rose, mark->bearing_deg, SPOKE_START * u, &x0, &y0);
  dwn_rose_at (rose, mark->bearing_deg, rose->radius, &x1, &y1);
  dwn_builder_line (rose->builder, x0, y0, x1, y1, halo, SPOKE_HALO * u);
  dwn_builder_line (rose->builder, x0, y0, x1, y1, dwn_look_orange (&rose->look), SPOKE * u);
}

static gboolean
ridge_is_clear (const DwnRose *rose, DwnRect rect)
{
  rect = grow (rect, 3 * rose->u);
  for (guint i = 0; i < DWN_ROSE_N_FIGURES; i++)
    if (dwn_rect_overlaps (&rect, &rose->figures[i]))
      return FALSE;
  for (guint a = 0; a < rose->n_antennas; a++)
    {
      DwnRect ring = grow ((DwnRect) { rose->handles[a].x, rose->handles[a].y, 0, 0 }, 9 * rose->u);

      if (dwn_rect_overlaps (&rect, &ring) || dwn_rect_overlaps (&rect, &rose->handles[a].text))
        return FALSE;
    }
  return TRUE;
}

/* Beyond the rim, pushed along it until clear, and broken into lines where the page is narrow. */
static void
draw_ridge (DwnRose *rose, const DwnRoseMark *mark)
{
  double bearing = mark->bearing_deg * G_PI / 180, u = rose->u, x, y;
  double sideways = sin (bearing), align = sideways > 0.35 ? 0 : sideways < -0.35 ? 1 : 0.5;
  DwnTextStyle style = { .size = DWN_SIZE_SMALL,
                         .colour = dwn_look_orange (&rose->look),
                         .halo = FALSE };

  if (rose->data->ridge == NULL || !rose->roomy)
    return;
  dwn_rose_at (rose, mark->bearing_deg, rose->radius + RIDGE_RADIUS * u, &x, &y);
  style.wrap = align < 0.25 ? rose->width - 4 - x : align > 0.75 ? x - 4 : rose->width / 2;
  style.wrap = fmax (style.wrap, 56 * u);

  g_auto (DwnText) text = dwn_builder_set_text (rose->builder, rose->data->ridge, &style);
  double middle = y - cos (bearing) * text.height / 2 + half_cap (rose, style.size)
                  - (text.height - text.height / pango_layout_get_line_count (text.layout)) / 2;

  for (int step = 0; step <= 48; step++)
    {
      double push = (step + 1) / 2 * (step % 2 == 0 ? -2 : 2) * u;
      double tx = x + push * cos (bearing), ty = middle + push * sin (bearing);

      tx = CLAMP (tx, 4 + align * text.width, rose->width - 4 - (1 - align) * text.width);
      DwnRect rect = dwn_text_rect (rose->builder, &text, &style, tx, ty, align);
      if (ridge_is_clear (rose, rect) || step == 48)
        {
          dwn_builder_add_text (rose->builder, &text, &style, tx, ty, align);
          break;
        }
    }
}

static void
draw_hover (DwnRose *rose)
{
  cairo_t *cr = dwn_builder_path (rose->builder);
  DwnInk ink = dwn_ink_stroke (dwn_colour_alpha (rose->look.foreground, 0.45),
                               DWN_LINE_RIM * rose->u);

  for (guint i = 0; i < rose->n_marks; i++)
    {
      const DwnRoseMark *mark = &rose->marks[i];
      double reach = fmax (HOVER_REACH * rose->u,
                           dwn_mark_reach (&mark->mark, mark->radius) + 2.5 * rose->u);

      if (!mark->hovered || !mark->visible)
        continue;
      cairo_new_sub_path (cr);
      cairo_arc (cr, mark->x, mark->y, reach, 0, 2 * G_PI);
      cairo_close_path (cr);
      dwn_builder_draw (rose->builder, &ink);
    }
}

void
dwn_rose_draw_overlay (DwnRose *rose)
{
  const DwnRoseMark *mark = selected_mark (rose);

  dwn_builder_set_layer (rose->builder, DWN_LAYER_OVERLAY);
  if (mark != NULL)
    {
      draw_spoke (rose, mark);
      draw_ridge (rose, mark);
      if (rose->has_card)
        draw_card (rose);
      dwn_rose_draw_mark (rose, mark, dwn_look_orange (&rose->look));
    }
  draw_hover (rose);
  draw_fan (rose);
}
