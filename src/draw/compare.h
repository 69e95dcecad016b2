/* Two variants of a plan side by side on one page: their roses, what each holds and costs, the margin
 * of every service. */
#pragma once

#include "core/study/compare.h"
#include "draw/sheet.h"

G_BEGIN_DECLS

typedef struct {
  const char *name;  /* "This plan" */
  DwnPlanView view;
} DwnComparedView;

/* The rose of a variant, without a selection, its names without figures: as the page has it. */
DwnScene *dwn_compared_rose (const DwnPlanView *view, const DwnLook *look, PangoContext *context,
                             double width, double height);

/* Returns: (transfer full): one page. Where there are more services than it has room for, the last of
 * them are counted. */
DwnScene *dwn_compare_layout (const DwnComparedView sides[2], const DwnComparison *comparison,
                              PangoContext *context, DwnPaperSize size);

G_END_DECLS
