/* What a person sets once for all plans. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A window that changes @settings (kept) at once. Returns: (transfer none). */
GtkWindow *dwn_preferences_new (GtkWindow *parent, GSettings *settings);

G_END_DECLS
