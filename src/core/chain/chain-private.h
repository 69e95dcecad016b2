/* What chain.c and its neighbours share. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

/* Turns "470-500 560-572;584-608" into one response for each of @type's inputs: the type's gain
 * within the ranges, its stop-db beyond edge-mhz on either side, straight in dB between.
 * Returns: (transfer full): type->n_in responses whose nodes lie in the same block, or NULL with
 * a DWN_CHAIN_ERROR_LIMIT. */
DwnResponse *dwn_pass_parse (const char *pass, const DwnPartType *type, GError **error);

/* Power gain of @part from @in to @out with the switches at @state. */
double dwn_chain_part_ratio (const DwnChain *chain, guint part, guint in, guint out, double mhz,
                             guint state);

double dwn_ratio_of_db (double db);

G_END_DECLS
