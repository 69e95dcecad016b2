/* The install sheet: one page for whoever climbs up, whatever the plan. */
#pragma once

#include "draw/plan-view.h"

G_BEGIN_DECLS

typedef enum {
  DWN_PAPER_A4,
  DWN_PAPER_LETTER,
} DwnPaperSize;

/* @view: its selection is not used, the gear's figures follow the weakest wanted station.
 * Returns: (transfer full): a scene of one page. Where there are more wanted stations than the
 * page has room for, the rest are named in a line. */
DwnScene *dwn_sheet_layout (const DwnPlanView *view, PangoContext *context, DwnPaperSize size);

/* The same house once it is done: what was read and when, what moved since the visit before, where
 * the power is, who did what, which channels may fade. One page too. */
DwnScene *dwn_sheet_layout_built (const DwnPlanView *view, const DwnTables *tables,
                                  PangoContext *context, DwnPaperSize size);

G_END_DECLS
