/* The app's one mutable object: a plan, where it is saved, what can be undone, what is selected,
 * and everything that follows from the plan. */
#pragma once

#include <gio/gio.h>

#include "core/study/levels.h"
#include "words/sentences.h"

G_BEGIN_DECLS

#define DWN_TYPE_DOCUMENT (dwn_document_get_type ())
G_DECLARE_FINAL_TYPE (DwnDocument, dwn_document, DWN, DOCUMENT, GObject)

/* Signals: "changed" when the plan, its file or its results did; "aimed" when only a preview of the
 * aims did, many times a second; "redraw" and "relist" after that, each at most 20 times a second and in
 * turn, for drawings and sentences and for lists and panels; "selected" when the selection did. */

/* @tables is kept. Returns: (transfer full): without a plan; open one before anything else. */
DwnDocument *dwn_document_new (const DwnTables *tables);

/* Takes the plan in the file; @file (nullable) is remembered for saving. FALSE with @error, and the
 * document as it was. */
gboolean dwn_document_open (DwnDocument *self, GFile *file, GError **error);
/* Takes a plan that has no file. */
gboolean dwn_document_take (DwnDocument *self, const DwnPlan *plan, GError **error);
/* Takes what autosave kept in @copy of a plan that belongs in @origin (nullable): it counts as
 * modified until it is saved. */
gboolean dwn_document_recover (DwnDocument *self, GFile *copy, GFile *origin, GError **error);
gboolean dwn_document_save (DwnDocument *self, GFile *file, GError **error);
GFile *dwn_document_file (DwnDocument *self); /* (nullable) (transfer none) */
gboolean dwn_document_is_modified (DwnDocument *self);

/* How the file stands to what was read from it or written to it last. */
typedef enum {
  DWN_DISK_SAME,    /* or there is no file */
  DWN_DISK_CHANGED, /* it holds something else: another program wrote it */
  DWN_DISK_GONE,
} DwnDiskState;
DwnDiskState dwn_document_disk (DwnDocument *self);
/* Takes what the file holds now, as one step of undo that leads back to the plan as it was. FALSE
 * with @error, and the document as it was. */
gboolean dwn_document_reload (DwnDocument *self, GError **error);
/* Keeps the plan although the file holds something else: it counts as modified until it is saved,
 * and what is in the file now is no news any more. */
void dwn_document_keep_mine (DwnDocument *self);

const DwnTables *dwn_document_tables (DwnDocument *self);
const DwnPlan *dwn_document_plan (DwnDocument *self); /* (nullable): before the first one */

/* What the person has set for all plans, and follows when it changes: units above all. Without
 * (tests), figures are metric and dBm. */
void dwn_document_use_settings (DwnDocument *self, GSettings *settings);
GSettings *dwn_document_settings (DwnDocument *self); /* (nullable) */
/* How figures are worded in the window: units and locale. Never NULL. */
const DwnWording *dwn_document_wording (DwnDocument *self);

/* Puts @plan in the place of the present one; @label says what was done ("Turn the antenna").
 * Edits in a row with the same @merge (nullable) are one step of undo. */
gboolean dwn_document_edit (DwnDocument *self, const DwnPlan *plan, const char *label,
                            const char *merge, GError **error);
const char *dwn_document_undo_label (DwnDocument *self); /* (nullable) */
const char *dwn_document_redo_label (DwnDocument *self); /* (nullable) */
void dwn_document_undo (DwnDocument *self);
void dwn_document_redo (DwnDocument *self);

/* Shows @plan as it would be, without keeping it yet; another trial takes the place of the first.
 * An edit, or saving, keeps it first; undo drops it. @label as for an edit. */
gboolean dwn_document_try (DwnDocument *self, const DwnPlan *plan, const char *label, GError **error);
void dwn_document_keep_trial (DwnDocument *self);
void dwn_document_drop_trial (DwnDocument *self);
const char *dwn_document_trial_label (DwnDocument *self); /* (nullable): nothing is tried */
/* The plan without what is tried; (nullable) before the first one. */
const DwnPlan *dwn_document_kept (DwnDocument *self);
/* The plan as it was saved or opened last; (nullable): never, or not as this file holds it. */
const DwnPlan *dwn_document_saved (DwnDocument *self);

/* Shows other aims while somebody drags; dwn_document_keep_aims() makes them an edit. */
void dwn_document_preview_aim (DwnDocument *self, guint antenna, double aim_deg);
void dwn_document_keep_aims (DwnDocument *self);
/* Turns an antenna at once, as keys do; turns of one antenna in a row are one step of undo. */
void dwn_document_turn (DwnDocument *self, guint antenna, double aim_deg);

/* Index of the selected station, -1: none. */
int dwn_document_selected (DwnDocument *self);
void dwn_document_select (DwnDocument *self, int station);

/* Everything that drawings and sentences ask for, borrowed until the next change. */
DwnFindings dwn_document_findings (DwnDocument *self);
const DwnFields *dwn_document_predicted (DwnDocument *self); /* before any reading */
const DwnBudgetBase *dwn_document_base (DwnDocument *self);
const double *dwn_document_window_from_deg (DwnDocument *self); /* one an antenna */
const double *dwn_document_window_to_deg (DwnDocument *self);

G_END_DECLS
