/* One change to a plan, of the sort that somebody with a ladder or a screwdriver makes. It names
 * parts by id, so that it can be made on any plan that still has them: two changes together are
 * one made after the other. */
#pragma once

#include "core/chain/head.h"
#include "core/plan/plan.h"

G_BEGIN_DECLS

typedef enum {
  DWN_CHANGE_SUPPLY,        /* part: an amplifier whose supply is put right, or switched on */
  DWN_CHANGE_CONNECT_BAND,  /* part: a combiner whose inputs port and other are exchanged */
  DWN_CHANGE_ATTENUATOR,    /* type before part's input port */
  DWN_CHANGE_LESS_GAIN,     /* part: an amplifier turned down to `to` dB */
  DWN_CHANGE_NO_AMPLIFIER,  /* part goes, and its inserter where that feeds no other */
  DWN_CHANGE_DETACH,        /* part: a joint that loses much, such as a former feed */
  DWN_CHANGE_FEWER_SPLITS,  /* part: a splitter with unused outputs becomes type; NULL: goes */
  DWN_CHANGE_FILTER,        /* type before part's input port */
  DWN_CHANGE_TRAP,          /* the same; pass leaves out one RF channel, from `from` to `to` MHz */
  DWN_CHANGE_DISTRIBUTION,  /* type, a distribution amplifier, before part's input port */
  DWN_CHANGE_AIM,           /* part: an antenna turned to `to` */
  DWN_CHANGE_TURN_ELEMENTS, /* part: an antenna; its elements lie as polarisation says */
  DWN_CHANGE_AMPLIFIER,     /* part: a mast amplifier that becomes type */
  DWN_CHANGE_MAST_AMPLIFIER,/* type before the cable into part's input port, its supply behind */
  DWN_CHANGE_CABLE,         /* the cable into part's input port becomes cable, new */
  DWN_CHANGE_ANTENNA,       /* part: an antenna that becomes pattern */
  DWN_CHANGE_RAISE,         /* the antennas from `from` to `to` metres above ground */
  DWN_CHANGE_OUTDOORS,      /* from attic or room to a mast, antennas `to` metres above ground */
  DWN_CHANGE_OWN_DOWNLEAD,  /* an antenna like part, aimed at `to`, with its own downlead joined
                               as arrangement says (two tuners or a switch) */
} DwnChangeKind;
#define DWN_N_CHANGES (DWN_CHANGE_OWN_DOWNLEAD + 1)
/* "supply" "connect-band" "attenuator" "less-gain" "no-amplifier" "detach" "fewer-splits" "filter"
 * "trap" "distribution" "aim" "turn-elements" "amplifier" "mast-amplifier" "cable" "antenna"
 * "raise" "outdoors" "own-downlead" */
const char *dwn_change_id (DwnChangeKind kind);

/* Only what the kind asks for is looked at. Strings interned; pointers borrowed from the tables or
 * the plan, which must outlive it. */
typedef struct {
  DwnChangeKind kind;
  const char *part;
  guint port, other;
  const DwnPartType *type;
  const DwnCableType *cable;
  const DwnPattern *pattern;
  const char *pass;
  const char *rf;              /* of the trap */
  DwnArrangement arrangement;
  DwnPolarisation polarisation;
  double from, to;
} DwnChange;

/* @plan with @change made. Returns: (transfer full), or NULL with @error (DWN_CHAIN_ERROR) where
 * the part is not there or the wiring does not allow it. */
DwnPlan *dwn_change_apply (const DwnPlan *plan, const DwnChange *change, GError **error);

/* Does it move the antennas, so that the fields are others? */
gboolean dwn_change_moves (const DwnChange *change);

G_END_DECLS
