/* One antenna of the plan: its pattern, where it points, how it hangs on the mast. Whatever is set
 * counts at once. */
#pragma once

#include "app/gear-state.h"

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNA_CARD (dwn_antenna_card_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennaCard, dwn_antenna_card, DWN, ANTENNA_CARD, GtkBox)

/* @antenna: its place among the plan's. Its buttons call antennas.replace and antennas.remove with
 * that (a uint32), of an ancestor's making. */
GtkWidget *dwn_antenna_card_new (DwnDocument *document, guint antenna);

/* Shows the plan as it is now. @state: of the same moment. */
void dwn_antenna_card_update (DwnAntennaCard *self, const DwnGearState *state);

/* Why the last thing set could not be; "" where it could. */
const char *dwn_antenna_card_refusal (DwnAntennaCard *self);

G_END_DECLS
