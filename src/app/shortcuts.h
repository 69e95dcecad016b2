/* The keys of the program, in one list: what installs them and what shows them reads it. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Gives the actions of @application and of its windows their keys. */
void dwn_shortcuts_install (GtkApplication *application);

/* Returns: (transfer floating): a window that lists all keys. */
GtkWindow *dwn_shortcuts_window_new (GtkWindow *parent);

G_END_DECLS
