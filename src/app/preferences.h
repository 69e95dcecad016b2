/* What a person sets once for all plans. */
#pragma once

#include <gtk/gtk.h>

#include "core/study/tables.h"

G_BEGIN_DECLS

/* A window that changes @settings (kept) at once. @tables (nullable): the antennas and cables that a
 * new plan may begin with. Returns: (transfer none). */
GtkWindow *dwn_preferences_new (GtkWindow *parent, GSettings *settings, const DwnTables *tables);

G_END_DECLS
