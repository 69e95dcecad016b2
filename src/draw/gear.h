/* The gear chain from antenna to outlet, laid out from left to right out of a graph: several
 * antennas and up to 64 outlets. Figures stand in a strip below, each in the column of the part
 * that they follow. */
#pragma once

#include <pango/pango.h>

#include "draw/look.h"
#include "draw/scene.h"

G_BEGIN_DECLS

typedef enum {
  DWN_GEAR_YAGI,
  DWN_GEAR_LOG_PERIODIC,
  DWN_GEAR_PANEL,
  DWN_GEAR_DIPOLE,
  DWN_GEAR_COMBINER,   /* by band; `text` names the inputs, one a line, first input on top */
  DWN_GEAR_HYBRID,
  DWN_GEAR_FILTER,
  DWN_GEAR_AMPLIFIER,  /* `text` is its gain: "+20" */
  DWN_GEAR_INSERTER,
  DWN_GEAR_SPLITTER,   /* `text` is its ratio: "1 : 3" */
  DWN_GEAR_TAP,
  DWN_GEAR_OUTLET,
  DWN_GEAR_BALUN,
  DWN_GEAR_SURGE,
  DWN_GEAR_ATTENUATOR, /* `text` is its loss: "−6" */
  DWN_GEAR_SWITCH,
  DWN_GEAR_ROTATOR,
  DWN_GEAR_PLATE,
  DWN_GEAR_JOINT,
  DWN_GEAR_OTHER,      /* a box with its `text` */
} DwnGearSymbol;

/* Strings are borrowed for the call; all but `name` may be NULL. */
typedef struct {
  guint id;
  DwnGearSymbol symbol;
  const char *name;   /* "Mast amplifier" */
  const char *text;   /* within the symbol */
  const char *detail; /* of an outlet, under its name: "6 m" */
  const char *mains;  /* not NULL: fed from the mains here; a caution: "mains, do not unplug" */
  gboolean indoors;
  gboolean small;     /* a mark on the cable, without its name */
  const char *fault;  /* in an orange disc at its corner: "1" */
} DwnGearNode;

typedef struct {
  guint from, to;     /* indices of nodes; the signal runs from `from` to `to` */
  const char *length; /* over the cable: "22 m" */
  int dc;             /* +1: feeds `to`, −1: feeds `from`, 0: no direct current */
  const char *dc_text; /* "12 V DC" */
  guint id;           /* of its region */
  const char *fault;  /* as of a node */
} DwnGearEdge;

/* A column of the strip under node `node`, with one string for each of the strip's rows. */
typedef struct {
  guint node;
  const char *title;
  const char *const *figures; /* [n_rows] */
  gboolean last;              /* the outlet: bold */
  const char *span;           /* under the figures; neighbours with the same share it */
} DwnGearColumn;

typedef struct {
  const char *title, *note;   /* over the drawing, left and right; nullable */
  guint n_nodes, n_edges;
  const DwnGearNode *nodes;
  const DwnGearEdge *edges;   /* without a cycle */
  const char *on_mast, *indoors; /* beside the dotted line; NULL: no line */
  guint n_rows, n_columns;
  const char *const *rows;    /* "Level, dBm" */
  const char *spans;          /* name of the row of spans: "Weakest"; NULL: none */
  const DwnGearColumn *columns;
  guint n_aside;              /* more columns behind those: of parts off the way, shown where there is
                               * room for them */
  const char *summary;        /* last line: "With the set's own noise: …"; nullable */
} DwnGearDrawing;

/* The least height at which every outlet has a row of its own with its name, and never less than
 * the antennas and the strip need. */
double dwn_gear_height (const DwnGearDrawing *data, const DwnLook *look);

/* The width from which on neighbours' names do not touch. */
double dwn_gear_width (const DwnGearDrawing *data, const DwnLook *look);

/* Lays out for @width × @height. Where outlets find no rows of their own, those behind one part are
 * stacked into one symbol with their number. Regions: DWN_REGION_PART and DWN_REGION_OUTLET (of a
 * stack: its first outlet; value: how many), in the order of the nodes, and DWN_REGION_CABLE before
 * them. Returns NULL (programmer's
 * mistake) where an edge names no node or the graph has a cycle. */
DwnScene *dwn_gear_layout (const DwnGearDrawing *data, const DwnLook *look, PangoContext *text,
                           double width, double height);

/* The same down the page, for narrow places: a row a part, words and figures beside it, or figures
 * below where even that is too wide. It has the same regions, those of parts as wide as their rows. */
DwnScene *dwn_gear_column_layout (const DwnGearDrawing *data, const DwnLook *look, PangoContext *text,
                                  double width);
double dwn_gear_column_height (const DwnGearDrawing *data, const DwnLook *look, double width);

G_END_DECLS
