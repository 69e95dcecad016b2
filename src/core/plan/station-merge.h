/* A newly imported list, brought together with the stations that a plan has. */
#pragma once

#include "core/plan/import.h"
#include "core/plan/plan.h"

G_BEGIN_DECLS

typedef enum {
  DWN_MERGE_ADDED,   /* new */
  DWN_MERGE_CHANGED, /* the list has other facts; they are taken over */
  DWN_MERGE_MOVED,   /* the same transmitter under another id: it changed its RF channel */
  DWN_MERGE_SAME,    /* nothing new */
  DWN_MERGE_KEPT,    /* typed in or edited here, differs from the list: not overwritten */
  DWN_MERGE_MISSING, /* imported once, not in the list now: kept */
  DWN_MERGE_DROPPED, /* the same, taken away */
} DwnMergeKind;
#define DWN_N_MERGE_KINDS 7

/* What became of one station, for a preview. Strings are interned, but for @why. */
typedef struct {
  DwnMergeKind kind;
  const char *id;     /* in the outcome; of one dropped: as it was */
  const char *old_id; /* of one moved: as it was. What refers to it by id must be renamed. */
  const char *name;
  char *why;          /* translated: "RF 44 -> 22, ERP 50 -> 30 kW"; "": nothing to be said */
} DwnMergeEntry;

/* The outcome, and how it came about. Plain, owned by the caller. */
typedef struct {
  DwnStations *stations;
  DwnServices *services; /* with the marks that they had */
  guint n;
  DwnMergeEntry *entry;  /* in the order of @stations, those dropped at the end */
  guint count[DWN_N_MERGE_KINDS];
} DwnMerge;

/* Stations are the same where their ids are. A station of the list that is not known takes the
 * place of one that is no longer in the list, of the same kind, with a service in common and, but
 * for main stations, within 1 km: it moved to another channel. Marks stay with the services. What
 * was typed in or edited (line 0) is never overwritten and never dropped; mode and delay, which
 * lists do not have, stay where they were given. Services that no station carries any more stay
 * where they are wanted.
 * Returns: (transfer full). */
DwnMerge *dwn_station_merge (const DwnStations *stations, const DwnServices *services,
                             const DwnImport *import, gboolean drop_missing);
/* @plan with the outcome in it: profiles and readings of a station that changed its id go along.
 * Returns: (transfer full). */
DwnPlan *dwn_plan_with_merge (const DwnPlan *plan, const DwnMerge *merge);

void dwn_merge_free (DwnMerge *merge);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnMerge, dwn_merge_free)

G_END_DECLS
