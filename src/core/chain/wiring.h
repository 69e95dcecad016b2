/* Gear while it is being changed: parts and cables in arrays that grow. A chain comes of it again
 * by dwn_wiring_build(), which is where it is checked. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

typedef struct {
  GArray *parts; /* (element-type DwnPart) */
  GArray *edges; /* (element-type DwnEdge) */
} DwnWiring;

/* A copy of @chain, with the same indices; empty where that is NULL. Patterns are borrowed: they
 * must outlive the wiring. */
DwnWiring *dwn_wiring_new (const DwnChain *chain);
void dwn_wiring_free (DwnWiring *wiring);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnWiring, dwn_wiring_free)

/* Copies @part; where its id is taken it becomes "id-2" and so on. Returns: its index. */
guint dwn_wiring_add (DwnWiring *wiring, const DwnPart *part);
/* A part of @type as one buys it, called @id. */
guint dwn_wiring_add_type (DwnWiring *wiring, const DwnPartType *type, const char *id);

/* Joined directly, or by the cable, length and age of @like. Returns: index of the edge. */
guint dwn_wiring_join (DwnWiring *wiring, guint from, guint out, guint to, guint in,
                       const DwnEdge *like);

/* Puts a new part of one input and one output into @edge. The cable stays on the antenna's side
 * where @after_cable, otherwise on the televisions' side. Returns: index of the part. */
guint dwn_wiring_insert (DwnWiring *wiring, guint edge, const DwnPart *part, gboolean after_cable);

/* Takes @part out and joins what fed its first input to what its first output fed; two cables
 * become one of their whole length and of the longer one's type. Indices above it move down. */
void dwn_wiring_remove (DwnWiring *wiring, guint part);

/* NULL where nothing is connected. The pointers hold until the next change. */
DwnPart *dwn_wiring_part (const DwnWiring *wiring, guint part);
DwnEdge *dwn_wiring_edge_into (const DwnWiring *wiring, guint part, guint in);
DwnEdge *dwn_wiring_edge_from (const DwnWiring *wiring, guint part, guint out);

DwnChain *dwn_wiring_build (const DwnWiring *wiring, const DwnPartList *list, GError **error);

/* One cable in place of two (each nullable): as long as both, of the longer one's type. */
DwnEdge dwn_edge_spliced (const DwnEdge *first, const DwnEdge *second);

G_END_DECLS
