/* Puts a scene together. Used by layout functions only; owned by one of them. */
#pragma once

#include <pango/pangocairo.h>

#include "draw/look.h"
#include "draw/mark.h"
#include "draw/scene.h"

G_BEGIN_DECLS

/* How a path is painted: filled, hatched over the fill, then stroked. An alpha of 0 or a width of
 * 0 leaves that out. Lengths in units of the surface. */
typedef struct {
  DwnColour fill;
  DwnColour hatch;
  double hatch_pitch;
  DwnColour stroke;
  double width;
  double dash, gap; /* 0: solid */
  gboolean butt;    /* flat ends; otherwise round ones */
} DwnInk;

/* How a string is set. */
typedef struct {
  double size;      /* multiple of the look's base size */
  gboolean bold;
  DwnColour colour;
  gboolean halo;    /* stands on lines: 3.5 u of ground colour around it */
  double wrap;      /* width at which lines break; 0: never */
  gboolean whole_words; /* a word that is wider than wrap stays whole */
  gboolean markup;  /* Pango markup: the caller has escaped what it did not write */
} DwnTextStyle;

/* One set string, measured. */
typedef struct {
  PangoLayout *layout; /* owned */
  double width;        /* logical */
  double height;       /* logical, all lines */
  double baseline;     /* of the first line below the top */
} DwnText;

typedef struct _DwnBuilder DwnBuilder;

/* Takes its fonts from the font map of @context, with hint metrics, hinting and glyph rounding
 * off, so that text is as wide on paper as on screen. @context itself is left alone. */
DwnBuilder *dwn_builder_new (const DwnLook *look, PangoContext *context, double width,
                             double height);

/* Returns: (transfer full): the scene; @builder is freed. */
DwnScene *dwn_builder_finish (DwnBuilder *builder);

const DwnLook *dwn_builder_look (const DwnBuilder *builder);

/* Height of a capital letter as a multiple of the size of the type. */
double dwn_builder_cap (const DwnBuilder *builder);

/* What follows goes into @layer. */
void dwn_builder_set_layer (DwnBuilder *builder, DwnLayer layer);

/* Returns: (transfer none): a context to make the next path with; nothing drawn on it is seen. */
cairo_t *dwn_builder_path (DwnBuilder *builder);

/* Paints the path made since, and starts a new one. */
void dwn_builder_draw (DwnBuilder *builder, const DwnInk *ink);

/* Short for one straight line. */
void dwn_builder_line (DwnBuilder *builder, double x0, double y0, double x1, double y1,
                       DwnColour colour, double width);

/* Clips to the path made since until the matching end, in the current layer. */
void dwn_builder_clip_begin (DwnBuilder *builder);
void dwn_builder_clip_end (DwnBuilder *builder);

/* Sets @string; figures are tabular. Free with dwn_text_clear(). */
DwnText dwn_builder_set_text (DwnBuilder *builder, const char *string, const DwnTextStyle *style);
void dwn_text_clear (DwnText *text);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (DwnText, dwn_text_clear)

/* Where @text stands when its baseline is at @y and the point @align (0 left edge, 0.5 middle, 1
 * right edge) at @x: from cap height to descenders, as a label is seen. */
DwnRect dwn_text_rect (const DwnBuilder *builder, const DwnText *text, const DwnTextStyle *style,
                       double x, double y, double align);

/* Adds a text that was set before. The scene keeps its own reference. */
void dwn_builder_add_text (DwnBuilder *builder, const DwnText *text, const DwnTextStyle *style,
                           double x, double y, double align);

/* Sets and adds in one go. Returns the rectangle as above. */
DwnRect dwn_builder_text (DwnBuilder *builder, const char *string, const DwnTextStyle *style,
                          double x, double y, double align);

void dwn_builder_mark (DwnBuilder *builder, const DwnMark *mark, double x, double y, double radius,
                       DwnColour ink);

/* Paints all layers of @scene within the current layer, with its corner at @x, @y; its regions
 * come along. */
void dwn_builder_scene (DwnBuilder *builder, const DwnScene *scene, double x, double y,
                        double scale);

/* The layer of @region is overwritten by the current one. */
void dwn_builder_region (DwnBuilder *builder, const DwnRegion *region);

/* A step aside that many drawings need: @ink with one stroke and nothing else. */
DwnInk dwn_ink_stroke (DwnColour colour, double width);
DwnInk dwn_ink_fill (DwnColour colour);

G_END_DECLS
