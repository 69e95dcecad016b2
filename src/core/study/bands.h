/* Which antenna brings which band. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

/* Bits (1 << DwnBand) of the bands in which this antenna, by its gain and its way through the
 * gear, is within 6 dB of the best of the plan's antennas at some outlet. */
guint dwn_antenna_bands (const DwnChain *gear, guint antenna);

G_END_DECLS
