/* What can be put on paper or into a file of its own. */
#pragma once

#include <pango/pango.h>

#include "app/document.h"
#include "draw/sheet.h"

G_BEGIN_DECLS

typedef enum {
  DWN_PAGE_SHEET,     /* to install by */
  DWN_PAGE_BUILT,     /* the same, once it is done and measured */
  DWN_PAGE_CUSTOMER,  /* why the selected station is as it is */
  DWN_PAGE_ROSE,
  DWN_PAGE_GEAR,
  DWN_PAGE_COMPARE,   /* two variants side by side, as chosen */
  DWN_PAGE_PATH,      /* of the selected station */
  DWN_PAGE_STAIRCASE, /* of the selected station */
} DwnPage;
#define DWN_N_PAGES 8

const char *dwn_page_id (DwnPage page); /* "sheet" "as-built" "customer" "rose" "gear" "compare" "path" "staircase" */
gboolean dwn_page_from_id (const char *id, DwnPage *page);
const char *dwn_page_title (DwnPage page); /* translated */

/* Text as paper has it. Returns: (transfer full). */
PangoContext *dwn_page_text (void);
/* Lays a page out. Returns: (transfer full): NULL with @error where there is nothing to draw: no
 * station is selected, it has no profile, the variants are still being worked out. */
DwnScene *dwn_page_scene (DwnDocument *document, DwnPage page, DwnPaperSize paper, PangoContext *text,
                          GError **error);

G_END_DECLS
