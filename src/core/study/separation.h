/* How far apart the antennas of one mast hang, and how far they should. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

/* One antenna and the one that is too near to it first. */
typedef struct {
  int other;           /* number of that antenna; −1: there is no other */
  double apart_m;      /* between them, one above the other; a stack reaches half its spacing */
  double least_m;      /* half a wavelength of the lower channel, 1 m at least: dwn_pair_separation_m() */
  double isolation_db; /* what one hands to the other is so much weaker; NaN under a wavelength */
} DwnSeparation;

/* @antenna: its number. */
DwnSeparation dwn_separation_of (const DwnChain *gear, guint antenna);

/* Longest wave that an antenna is meant for: its own lowest frequency within 6 dB of its best. */
double dwn_pattern_lowest_mhz (const DwnPattern *pattern);

G_END_DECLS
