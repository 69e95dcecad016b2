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
  double gain_db;      /* of an amplifier or attenuator: the largest, its response moves along */
  double noise_figure_db; /* of an active part, flat over frequency */
  double max_output_dbm;
  double price;
  gboolean unpowered;  /* an amplifier whose supply is known to be off; whether the supply's DC
                        * reaches it is found by the chain: see powered */
  gboolean supplied;   /* counts as supplied, whatever the wiring does: to ask what if; not in files */
  gboolean capped;     /* a splitter or tap: its open outputs have 75 Ω caps */
  /* What each input of a channel filter lets through, in MHz, "470-500 560-572;584-608": ranges
   * parted by blanks, inputs by semicolons; an antenna's is what it is meant to bring. NULL: as
   * in its type. */
  const char *pass;
  const char *place;   /* where in the house it is: "loft, beside the hatch"; NULL */
  /* Antennas only. */
  const DwnPattern *pattern;    /* never NULL for an antenna */
  double below_top_m;           /* how far under the top of the mast it hangs */
  DwnPolarisation polarisation; /* how its elements lie; unknown counts as horizontal */
  double wind_m2;               /* what wind catches of it: force over pressure, drag included;
                                 * NaN or 0: not known */
  double feed_ohm;              /* of its terminals where it has no balun of its own; NaN: made for
                                 * coax. Without a balun behind it what does not fit is reflected. */
  gboolean rotator;             /* turns: its aim is chosen station by station */
} DwnPart;

/* A connection from an output towards the televisions. */
typedef struct {
  guint from_part, from_port;
  guint to_part, to_port;
  const char *cable;  /* id of a DwnCableType; NULL: joined directly */
  double length_m;
  double age_years;   /* outdoors; 0: new */
  double warmer_k;    /* than 20 °C; 0: as the type says */
} DwnEdge;

/* Immutable, refcounted. */
typedef struct {
  guint n_parts;
  const DwnPart *part;
  const DwnPartType *const *type;  /* per part; NULL for an antenna */
  guint n_edges;
  const DwnEdge *edge;
  const DwnCableType *const *cable; /* per edge; NULL where joined directly */
  /* The edge at input or output p of part k: in_edge[in_first[k] + p]; -1 where nothing is
   * connected. Both _first have n_parts + 1 members: part k has first[k + 1] - first[k] ports. */
  const guint *in_first, *out_first;
  const int *in_edge, *out_edge;
  guint n_antennas;
  const guint *antenna;  /* parts that are antennas, in the plan's order */
  guint n_outlets;
  const guint *outlet;   /* parts that are outlets, in the plan's order; outlet 1 is outlet[0] */
  const guint *order;    /* all parts, each after those that feed it */
  const gboolean *powered; /* per part: FALSE for an amplifier that is known to be off, or that its
                            * supply does not reach (power.h): a loss and no more */
  guint n_states;        /* how many ways the switches can stand, at least 1, at most 16 */
  const DwnPartList *list;
} DwnChain;

/* A chain with more is refused, so that much room is enough for a list of its antennas. */
#define DWN_CHAIN_MOST_ANTENNAS 16

#define DWN_CHAIN_ERROR (dwn_chain_error_quark ())
GQuark dwn_chain_error_quark (void);
typedef enum {
  DWN_CHAIN_ERROR_TYPE,  /* no such part, cable or pattern */
  DWN_CHAIN_ERROR_PORT,  /* no such port, or two cables on one */
  DWN_CHAIN_ERROR_LOOP,  /* a part that feeds itself */
  DWN_CHAIN_ERROR_ID,    /* an id that is missing or there twice */
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
/* Index of the part, -1 where there is none of that id. */
int dwn_chain_find (const DwnChain *chain, const char *part_id);

/* Power in dB that terminals of @feed_ohm reflect on a line of 75 Ω: 1.94 dB for 300. */
double dwn_feed_mismatch_db (double feed_ohm);

/* Sets the figures that a type has too to NaN and all else to zero. */
void dwn_part_init (DwnPart *part);

/* Gain of @part from input to output, and its noise figure, with the plan's own figures, without a
 * supply and all; dB. An antenna's gain is what its feed reflects, 0 or less; its pattern's gain is
 * another matter. */
double dwn_chain_part_gain_db (const DwnChain *chain, guint part, guint in, guint out, double mhz);
double dwn_chain_part_noise_figure_db (const DwnChain *chain, guint part, double mhz);
double dwn_chain_edge_loss_db (const DwnChain *chain, guint edge, double mhz);
/* With the plan's own figure, dBm over all carriers; NaN: none. */
double dwn_chain_part_max_output_dbm (const DwnChain *chain, guint part);

/* Which input reaches the output of the switch @part where all switches stand at @state. */
guint dwn_chain_switch_input (const DwnChain *chain, guint part, guint state);

/* The bits of the antennas whose signal can reach the output of @part (an outlet: its tuner), bit
 * i for antenna[i], by any position of the switches. */
guint dwn_chain_antennas_of (const DwnChain *chain, guint part);

G_END_DECLS
