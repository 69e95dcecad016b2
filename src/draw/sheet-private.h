/* What the install sheet and the sheet of the finished installation share. */
#pragma once

#include "draw/paper.h"
#include "draw/sheet.h"

G_BEGIN_DECLS

#define DWN_SHEET_GAP 7.0
#define DWN_SHEET_ROW_HEIGHT 14.0

typedef struct _DwnSheetPage DwnSheetPage;

/* Writes all of a page; returns the y below it. Run several times until the page fits. */
typedef double (*DwnSheetWrite) (DwnSheetPage *page);

/* What gives way where a plan has more to say than a page holds, in this order. */
typedef struct {
  guint n_rows;       /* of wanted stations; the rest is named in a line */
  double rose_size;
  double gear_height; /* its outlets are stacked where it is low */
  guint n_parts;      /* lines of the lists below; the rest is counted */
  double gap;         /* under each rule */
} DwnSheetFit;

struct _DwnSheetPage {
  DwnPlanView view;      /* as for paper */
  const DwnWording *wording;
  const DwnPlan *plan;
  const DwnBudget *budget;
  DwnLook look;
  PangoContext *context;
  DwnPaper *paper;
  DwnPlace body;         /* the page between its margins */
  double bottom;
  DwnTextStyle plain, bold, quiet, small, small_quiet, title, figure;
  GStringChunk *strings;
  GArray *wanted;        /* guint: stations in the table */
  const char *change;    /* of the declination in a year, "" where not known */
  const char *seasons;   /* what leaves take, "" where it is not worth a line */
  DwnSheetFit fit;
  DwnSheetWrite write;
  const DwnTables *tables; /* as built only */
};

/* @title: what kind of sheet; @dated (nullable): beside it. */
DwnScene *dwn_sheet_page_layout (const DwnPlanView *view, const DwnTables *tables,
                                 PangoContext *context, DwnPaperSize size, DwnSheetWrite write);

/* Takes @text over; it lives as long as the page. */
const char *dwn_sheet_keep (DwnSheetPage *page, char *text);
const DwnStation *dwn_sheet_station (const DwnSheetPage *page, guint i);

/* Blocks of a page: each returns the y below it. */
double dwn_sheet_write_head (DwnSheetPage *page, DwnPlace place, const char *title,
                             const char *dated);
double dwn_sheet_write_top (DwnSheetPage *page, DwnPlace place);
double dwn_sheet_write_rest (DwnSheetPage *page, DwnPlace place);
double dwn_sheet_write_gear (DwnSheetPage *page, DwnPlace place);

G_END_DECLS
