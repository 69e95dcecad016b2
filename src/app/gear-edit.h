/* What somebody does to the gear of a plan: each edit gives a new plan, or says in words why it
 * cannot be done. No widgets here. */
#pragma once

#include "core/chain/head.h"
#include "core/plan/plan.h"

G_BEGIN_DECLS

#define DWN_GEAR_EDIT_ERROR (dwn_gear_edit_error_quark ())
GQuark dwn_gear_edit_error_quark (void);
typedef enum {
  DWN_GEAR_EDIT_ERROR_END,    /* nothing comes before an antenna or behind an outlet */
  DWN_GEAR_EDIT_ERROR_BRANCH, /* the wiring branches there */
  DWN_GEAR_EDIT_ERROR_LAST,   /* the last antenna or outlet */
  DWN_GEAR_EDIT_ERROR_PORTS,  /* too few inputs or outputs */
  DWN_GEAR_EDIT_ERROR_USED,   /* something else in the plan speaks of it */
} DwnGearEditError;

/* Parts and edges are indices into plan->gear. All return (transfer full): the changed plan, or NULL
 * with @error (DWN_GEAR_EDIT_ERROR, DWN_CHAIN_ERROR), a sentence for people. Aims stay with their
 * antennas. */

/* The part with other values: name, gain_db, on_mast, unpowered, capped, pass, below_top_m,
 * polarisation, feed_ohm, rotator, price. Id, kind, type and pattern stay. */
DwnPlan *dwn_gear_with_part (const DwnPlan *plan, guint part, const DwnPart *values, GError **error);

/* Another type of the same kind. Cables move to lower ports where it has fewer. */
DwnPlan *dwn_gear_with_type (const DwnPlan *plan, guint part, const char *type, GError **error);

/* An antenna of another pattern; balun and cable stay. */
DwnPlan *dwn_gear_with_pattern (const DwnPlan *plan, guint part, const DwnPattern *pattern, GError **error);

/* @cable NULL: joined directly. */
DwnPlan *dwn_gear_with_cable (const DwnPlan *plan, guint edge, const char *cable, double length_m,
                              GError **error);

/* A new part as one buys it, right before @part or right behind it. */
DwnPlan *dwn_gear_insert (const DwnPlan *plan, guint part, gboolean behind, const DwnPartType *type,
                          GError **error);

/* What joined it is joined; an antenna goes with its way to where the others are. */
DwnPlan *dwn_gear_remove (const DwnPlan *plan, guint part, GError **error);

/* Changes places with the part before it, or behind it; cables stay where they are. */
DwnPlan *dwn_gear_move (const DwnPlan *plan, guint part, gboolean later, GError **error);

/* Takes it out and puts it into @edge: at the end nearer the televisions, or the antenna. */
DwnPlan *dwn_gear_move_to (const DwnPlan *plan, guint part, guint edge, gboolean late_end, GError **error);

/* One more outlet like the last, on a free output, a larger splitter, or a first one. */
DwnPlan *dwn_gear_add_outlet (const DwnPlan *plan, GError **error);

/* The antennas joined in another way, see core/chain/head.h. */
DwnPlan *dwn_gear_arrange (const DwnPlan *plan, DwnArrangement arrangement, GError **error);

/* One more antenna of @pattern at @aim_deg, joined by band where the bands differ, otherwise by a
 * hybrid. */
DwnPlan *dwn_gear_add_antenna (const DwnPlan *plan, const DwnPattern *pattern, double aim_deg,
                               GError **error);

/* The type that dwn_gear_insert() is best given for a new part of @kind at @part; NULL: none. */
const DwnPartType *dwn_gear_usual_type (const DwnPlan *plan, guint part, DwnPartKind kind);

/* The middle of the band in which an antenna of @pattern brings most into its line. */
double dwn_gear_best_mhz (const DwnPattern *pattern);

/* What people call the part: its own name, or its type's. Borrowed. */
const char *dwn_gear_part_name (const DwnChain *gear, guint part);

G_END_DECLS
