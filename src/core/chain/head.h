/* The head of the gear: antennas and what joins them, in each way that the advice knows. What
 * comes after the point where all antennas have met is the trunk, and stays. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

typedef enum {
  DWN_ARRANGEMENT_ONE,
  DWN_ARRANGEMENT_SPLIT_BY_BAND,   /* two or three through a band combiner, or an amplifier with
                                    * an input for each */
  DWN_ARRANGEMENT_CHANNEL_FILTERS,
  DWN_ARRANGEMENT_HYBRID,
  DWN_ARRANGEMENT_TWO_TUNERS,      /* two downleads, each to a tuner of its own in every set */
  DWN_ARRANGEMENT_SWITCH,          /* two downleads and a switch indoors */
  DWN_ARRANGEMENT_ROTATOR,
} DwnArrangement;
#define DWN_N_ARRANGEMENTS (DWN_ARRANGEMENT_ROTATOR + 1)

/* "one" "split-by-band" "channel-filters" "hybrid" "two-tuners" "switch" "rotator" */
const char *dwn_arrangement_id (DwnArrangement arrangement);
gboolean dwn_arrangement_from_id (const char *id, DwnArrangement *arrangement);

/* How the antennas of @chain are joined. Where more than one way is used, the first of: rotator,
 * switch, two tuners, hybrid, channel filters, by band. */
DwnArrangement dwn_chain_arrangement (const DwnChain *chain);

/* @antennas: as many as the arrangement joins (one or two), or one more, the last, which is joined
 * to them by a band combiner; by band: two or three. Their order is free: the combiner's input is
 * chosen by where each has its gain. What stood behind an antenna of @chain before the antennas
 * met (balun, mast amplifier) stands behind the new antenna of the same number again, or as behind
 * the first. For channel filters pass of each of the two antennas says what it is to bring. Where
 * two downleads are needed the trunk's is doubled, with the amplifier and inserter in it.
 * Returns: (transfer full), or NULL with a DWN_CHAIN_ERROR where the number of antennas does not
 * fit, the part list has no combiner of the sort, or no outlet is connected. */
DwnChain *dwn_chain_with_head (const DwnChain *chain, DwnArrangement arrangement, guint n_antennas,
                               const DwnPart *antennas, GError **error);

/* What tells dwn_chain_with_head() which input of a band combiner an antenna goes to: the best of it
 * in each band, feed included. */
typedef struct {
  double dbi[DWN_N_BANDS];
} DwnBandGain;
DwnBandGain dwn_chain_band_gain (const DwnPattern *pattern);
/* Of antennas that are joined before they go on. */
DwnBandGain dwn_chain_band_gain_of_both (const DwnBandGain *a, const DwnBandGain *b);

/* The amplifier with several inputs with which the trunk of @chain begins; NULL: another part. */
const DwnPartType *dwn_chain_head_amplifier (const DwnChain *chain);

/* Which combiner and inputs @n (two or three) antennas of these gains get by band, as a number: the
 * same number, the same wiring. @amplifier (nullable): takes them all where it has @n inputs. */
guint dwn_chain_band_choice (const DwnPartList *list, const DwnPartType *amplifier, guint n,
                             const DwnBandGain *gain);

/* One antenna, or two or three split by band, @length_m of @cable and @n_outlets (1 to 8) tuners
 * of @tuner behind a splitter where there are several; ids "tv1", "tv2" and so on. */
DwnChain *dwn_chain_new_standard (const DwnPartList *list, guint n_antennas,
                                  const DwnPart *antennas, guint n_outlets, const char *cable,
                                  double length_m, const char *tuner, GError **error);

G_END_DECLS
