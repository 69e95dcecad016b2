/* The gear between antennas and televisions as it is wired. */
#pragma once

#include "core/chain/part.h"

G_BEGIN_DECLS

/* One part of a plan. NaN in a figure: as in its type. Strings interned. */
typedef struct {
  const char *id;      /* unique in the plan: "amp1" */
  const char *type;    /* id of a DwnPartType; for an antenna the id of its pattern */
  DwnPartKind kind;
  const char *name;    /* what the user calls it; NULL: the type's name */
  gboolean on_mast;    /* drawn left of the line between mast and indoors */
  double gain_db;      /* of an active part, flat over frequency */
  double noise_figure_db;
  double max_output_dbm;
  double price;
  gboolean unpowered;  /* an amplifier whose supply is known to be off */
  /* Antennas only. */
  const DwnPattern *pattern;    /* never NULL for an antenna */
  double below_top_m;           /* how far under the top of the mast it hangs */
  DwnPolarisation polarisation; /* how its elements lie; unknown counts as horizontal */
  gboolean rotator;             /* turns: its aim is chosen station by station */
} DwnPart;

/* A connection from an output towards the televisions. */
typedef struct {
  guint from_part, from_port;
  guint to_part, to_port;
  const char *cable;  /* id of a DwnCableType; NULL: joined directly */
  double length_m;
} DwnEdge;

/* Immutable, refcounted. */
typedef struct {
  guint n_parts;
  const DwnPart *part;
  const DwnPartType *const *type;  /* per part; NULL for an antenna */
  guint n_edges;
  const DwnEdge *edge;
  const DwnCableType *const *cable; /* per edge; NULL where joined directly */
  guint n_antennas;
  const guint *antenna;  /* parts that are antennas, in the plan's order */
  guint n_outlets;
  const guint *outlet;   /* parts that are outlets, in the plan's order; outlet 1 is outlet[0] */
  const guint *order;    /* all parts, each after those that feed it */
  guint n_states;        /* how many ways the switches can stand, at least 1, at most 16 */
  const DwnPartList *list;
} DwnChain;

#define DWN_CHAIN_ERROR (dwn_chain_error_quark ())
GQuark dwn_chain_error_quark (void);
typedef enum {
  DWN_CHAIN_ERROR_TYPE,  /* no such part, cable or pattern */
  DWN_CHAIN_ERROR_PORT,  /* no such port, or two cables on one */
  DWN_CHAIN_ERROR_LOOP,  /* a part that feeds itself */
  DWN_CHAIN_ERROR_LIMIT, /* too many parts or switch positions, a figure out of range */
} DwnChainError;

/* Copies parts and edges, references @list and patterns, resolves types, orders the parts.
 * Ports may be left open: what that means is a finding, not an error.
 * At most 512 parts, 16 antennas, 64 outlets. */
DwnChain *dwn_chain_new (const DwnPartList *list, guint n_parts, const DwnPart *parts,
                         guint n_edges, const DwnEdge *edges, GError **error);
DwnChain *dwn_chain_ref (const DwnChain *chain);
void dwn_chain_unref (DwnChain *chain);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnChain, dwn_chain_unref)
int dwn_chain_find (const DwnChain *chain, const char *part_id);

/* Sets every figure to NaN and all else to zero. */
void dwn_part_init (DwnPart *part);

/* Gain of @part from input to output, and its noise figure, with the plan's own figures, unpowered
 * state and all; dB. */
double dwn_chain_part_gain_db (const DwnChain *chain, guint part, guint in, guint out, double mhz);
double dwn_chain_part_noise_figure_db (const DwnChain *chain, guint part, double mhz);

/* Whether DC reaches every amplifier (see power.h) is not asked here. */

G_END_DECLS
