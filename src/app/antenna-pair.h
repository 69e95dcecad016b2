/* Two widgets side by side where there is room for both, otherwise one above the other. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNA_PAIR (dwn_antenna_pair_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennaPair, dwn_antenna_pair, DWN, ANTENNA_PAIR, GtkWidget)

/* Takes both. Beside the second, which never stands there with less than @least_px, the first gets up
 * to its natural width. */
GtkWidget *dwn_antenna_pair_new (GtkWidget *first, GtkWidget *second, int least_px);

G_END_DECLS
