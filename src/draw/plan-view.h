/* From a plan and what follows from it to the plain data that drawings are laid out from: one
 * place where results become pictures, for the window, the sheet and the command line. */
#pragma once

#include "core/geo/date.h"
#include "core/study/check.h"
#include "core/study/levels.h"
#include "draw/gear.h"
#include "draw/mark.h"
#include "draw/rose.h"
#include "words/sentences.h"

G_BEGIN_DECLS

/* What is to be shown, and how. Borrowed. */
typedef struct {
  const DwnWording *wording;
  DwnFindings findings;
  const DwnBudgetBase *base;
  int station;            /* selected; −1: none */
  int hovered;            /* −1: none */
  int outlet;             /* −1: the station's weakest */
  DwnRoseScale scale;
  double zoom;
  int fan_mast;           /* −1: none */
  gboolean hide_skyline, hide_patterns; /* rose */
  const DwnDate *sun_date;              /* rose: the sun's way on that day; NULL: not drawn */
  GTimeZone *sun_zone;                  /* its clock; NULL: UTC */
  gboolean legend;
  gboolean names_only;    /* no card, no figures under names: paper */
  gboolean every_part;    /* gear: baluns, wall plates and joints are drawn too, as marks */
  const DwnWorst *worst;  /* gear: one a part, named under the figures; NULL: not named */
  const GArray *checks;   /* gear: DwnCheck, drawn at their parts with their number; NULL: none */
  /* One window arc an antenna; NULL: worked out here, which takes a few milliseconds. */
  const double *window_from_deg, *window_to_deg;
} DwnPlanView;

/* No selection, square-root scale, zoom 1. */
void dwn_plan_view_init (DwnPlanView *view, const DwnWording *wording, const DwnFindings *findings,
                         const DwnBudgetBase *base);

/* Owns everything that its data point to. */
typedef struct {
  DwnRoseData data;
  GStringChunk *strings;
  gpointer blocks[8];
} DwnPlanRose;
DwnPlanRose *dwn_plan_rose_new (const DwnPlanView *view);
/* Only what follows a drag: antennas and the rim. For dwn_rose_layout_moving() and
 * dwn_rose_covered_figures(), many times a second. */
DwnPlanRose *dwn_plan_rose_new_moving (const DwnPlanView *view);
void dwn_plan_rose_free (DwnPlanRose *rose);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPlanRose, dwn_plan_rose_free)

/* The wiring; figures follow the selected station to its outlet (no strip where none is selected).
 * Baluns, wall plates and joints are not drawn unless asked for: their cables are joined.
 * data.nodes[i].id is the part's index in the plan's gear, data.edges[i].id that of the cable's first
 * piece. */
typedef struct {
  DwnGearDrawing data;
  GStringChunk *strings;
  GPtrArray *blocks;
} DwnPlanGear;
DwnPlanGear *dwn_plan_gear_new (const DwnPlanView *view);
void dwn_plan_gear_free (DwnPlanGear *gear);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPlanGear, dwn_plan_gear_free)

/* The mark that stands for a station everywhere. */
DwnMark dwn_plan_mark (const DwnPlanView *view, guint station);

/* Short words that stand in several drawings. Returns: (transfer full). */
char *dwn_word_rf (const DwnWording *wording, const DwnStation *station);   /* "RF 35" */
char *dwn_word_margin_line (const DwnWording *wording, const DwnReception *reception);

G_END_DECLS
