/* A printed page, composed from the top down: text, rules, tables, check lists, other drawings.
 *
 * Everything takes the place it stands at and returns the y below it, so that a page reads like
 * what it prints. Lengths are points, text is worded and translated by the caller. A page laid out
 * from right to left is mirrored: `start` is then the right-hand edge. */
#pragma once

#include "draw/builder.h"

G_BEGIN_DECLS

#define DWN_PAPER_A4_WIDTH 595.28
#define DWN_PAPER_A4_HEIGHT 841.89
#define DWN_PAPER_LETTER_WIDTH 612.0
#define DWN_PAPER_LETTER_HEIGHT 792.0
#define DWN_PAPER_MARGIN 34.0

typedef enum {
  DWN_RULE_TITLE, /* 1.2, under the title and above the last block */
  DWN_RULE_BLOCK, /* 0.8, between blocks */
  DWN_RULE_TABLE, /* 0.5, quiet, between rows */
} DwnRule;

typedef struct _DwnPaper DwnPaper;

/* A column of text or a table stands in: its start edge, its top and its width. */
typedef struct {
  double x, y, width;
} DwnPlace;

DwnPaper *dwn_paper_new (const DwnLook *look, PangoContext *context, double width, double height);

/* Returns: (transfer full): the page; @paper is freed. */
DwnScene *dwn_paper_finish (DwnPaper *paper);

/* Between these two nothing is painted: only the returned y counts. For columns that must know
 * how tall they come out. */
void dwn_paper_measure_begin (DwnPaper *paper);
void dwn_paper_measure_end (DwnPaper *paper);

/* Ready-made styles. `colour` is the look's foreground, quiet where asked for. */
DwnTextStyle dwn_paper_style (const DwnPaper *paper, double size, gboolean bold, gboolean quiet);

/* A paragraph that breaks into lines. @style's wrap is ignored. Returns: y below it. */
double dwn_paper_text (DwnPaper *paper, DwnPlace place, const char *string,
                       const DwnTextStyle *style);

/* Two strings on one baseline, one at each edge; either may be NULL. The one at the end is left
 * its full width, the other breaks into lines before it. Returns: y below both. */
double dwn_paper_pair (DwnPaper *paper, DwnPlace place, const char *start,
                       const DwnTextStyle *start_style, const char *end,
                       const DwnTextStyle *end_style);

/* Several pieces of different styles in a row on one baseline, each @gap after the one before.
 * Returns: y below the tallest. */
typedef struct {
  const char *string;
  DwnTextStyle style;
  double gap;
} DwnPaperPiece;
double dwn_paper_pieces (DwnPaper *paper, DwnPlace place, const DwnPaperPiece *pieces,
                         guint n_pieces);

/* Returns: @place.y, moved by the rule's width. */
double dwn_paper_rule (DwnPaper *paper, DwnPlace place, DwnRule rule);

/* What one cell of a table shows: any of a mark, text and empty boxes. */
typedef struct {
  const char *text; /* nullable */
  gboolean bold, quiet, small;
  gboolean has_mark;
  DwnMark mark;
  guint n_boxes;    /* 38 × 11 pt each, to be written into */
} DwnPaperCell;

typedef struct {
  const char *title; /* nullable */
  double align;      /* 0 start, 0.5 middle, 1 end */
  gboolean wraps;    /* gives way where the table is too wide */
  double min_width;
  gboolean close;    /* belongs to the next one: the gap between them stays narrow */
} DwnPaperColumn;

typedef struct {
  guint n_columns, n_rows;
  const DwnPaperColumn *columns;
  const DwnPaperCell *cells; /* [n_rows][n_columns] */
  double row_height;         /* at least */
  gboolean tight;            /* no rules between rows, no rest spread over the gaps */
} DwnPaperTable;

/* Columns take what they need; the rest is spread over the gaps between them. Returns: y below. */
double dwn_paper_table (DwnPaper *paper, DwnPlace place, const DwnPaperTable *table);

/* Paragraphs one below the other, each behind an empty box to tick. Returns: y below. */
double dwn_paper_checks (DwnPaper *paper, DwnPlace place, const char *const *strings,
                         guint n_strings, double pitch);

/* A label and a line to write on up to the end of @place. Returns: y below. */
double dwn_paper_blank (DwnPaper *paper, DwnPlace place, const char *label);

/* A share of 0 to 1 as a bar with a tick at @goal (NaN: none). */
void dwn_paper_share (DwnPaper *paper, DwnPlace place, double height, double share, double goal);

void dwn_paper_mark (DwnPaper *paper, const DwnMark *mark, double x, double y);

/* Another drawing with its top left corner (mirrored pages too) at @x, @y, as it was laid out. */
void dwn_paper_scene (DwnPaper *paper, const DwnScene *scene, double x, double y);

G_END_DECLS
