/* The columns of the station list: which are chosen, where they stand, what stands in them. The rows,
 * the line above them and the copied text all ask here. */
#pragma once

#include <gio/gio.h>

#include "words/sentences.h"

G_BEGIN_DECLS

/* In their order from left to right, behind mark and name. The bit of a column is 1 << it, also in the
 * settings' schema. */
typedef enum {
  DWN_COLUMN_RF,
  DWN_COLUMN_ON_SCREEN,
  DWN_COLUMN_SYSTEM,
  DWN_COLUMN_POWER,
  DWN_COLUMN_BEARING,
  DWN_COLUMN_DISTANCE,
  DWN_COLUMN_LEVEL,
  DWN_COLUMN_LINE,    /* the margin on a scale, drawn */
  DWN_COLUMN_MARGIN,
  DWN_COLUMN_CHANCE,
} DwnColumn;
#define DWN_N_COLUMNS 10
#define DWN_COLUMN_BIT(column) (1u << (column))
#define DWN_COLUMNS_USUAL \
  (DWN_COLUMN_BIT (DWN_COLUMN_RF) | DWN_COLUMN_BIT (DWN_COLUMN_ON_SCREEN) | DWN_COLUMN_BIT (DWN_COLUMN_LINE) \
   | DWN_COLUMN_BIT (DWN_COLUMN_MARGIN) | DWN_COLUMN_BIT (DWN_COLUMN_CHANCE))

/* Bits of the chosen columns; the usual ones without settings. */
guint dwn_columns_chosen (GSettings *settings);

/* "rf", "on-screen", …: for actions. */
const char *dwn_column_id (DwnColumn column);
/* In a menu, translated: "Height above the needed margin". */
const char *dwn_column_title (DwnColumn column);
/* Over the column, short, with its unit by @wording; shorter yet where it is @narrow. (transfer full). */
char *dwn_column_head (const DwnWording *wording, DwnColumn column, gboolean narrow);

/* Places in pixels; a column that is not shown has NaN. */
typedef struct {
  double mark, name, name_to;
  double end[DWN_N_COLUMNS];    /* right edge of the text */
  double line_from, line_to;    /* of the scale */
  gboolean narrow;
} DwnColumnPlaces;

/* Places for a row of @width. Where not all @chosen fit beside a legible name, those that matter least
 * are left out; never the chance. @unit: dwn_look_unit(), 1 at the usual size of type. */
void dwn_columns_place (guint chosen, double width, double unit, DwnColumnPlaces *places);

/* What stands in a column for station @i; "" in the drawn one. (transfer full). */
char *dwn_column_text (const DwnWording *wording, const DwnFindings *findings, guint i, DwnColumn column);

/* Rows as text: a line of heads, then one a station; tabs between. Names always, then what is
 * chosen. (transfer full). */
char *dwn_columns_copy (const DwnWording *wording, const DwnFindings *findings, guint chosen, guint n,
                        const guint *stations);

G_END_DECLS
