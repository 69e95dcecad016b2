/* The customer page: why one station is as it is, and what would help, for somebody who has never
 * heard of a decibel. One page, legible in black and white. */
#pragma once

#include "draw/plan-explain.h"
#include "draw/sheet.h"

G_BEGIN_DECLS

/* @view: of the plan that was diagnosed; the diagnosis says which station and outlet.
 * Returns: (transfer full): a scene of one page. Without a profile the way is told in words; of
 * more remedies than there is room for the last are left out. */
DwnScene *dwn_customer_layout (const DwnPlanView *view, const DwnDiagnosis *diagnosis,
                               const DwnRemedies *remedies, PangoContext *context,
                               DwnPaperSize size);

G_END_DECLS
