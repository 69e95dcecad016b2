/* Walks through all that the window can show: panels, pages, dialogs, bubbles and menus. */
#pragma once

#include "example.h"

G_BEGIN_DECLS

/* Waits until @widget is laid out. */
void walk_await (GtkWidget *widget);

/* Gets what is on show: a window, or a bubble; @name says how it came there. */
typedef void (*WalkFunc) (GtkWidget *root, const char *name, gpointer user_data);

/* Shows each panel, with a station selected and what can be unfolded unfolded; then the panels' inner
 * pages, the pages to print, the comparison. @bubbles: also what opens out of each. */
void walk_window (ExampleWindow *example, gboolean bubbles, WalkFunc func, gpointer user_data);
/* Shows each dialog of ours. */
void walk_dialogs (ExampleWindow *example, gboolean bubbles, WalkFunc func, gpointer user_data);

/* Calls @func for @widget and all under it; for a bubble only where it is the first one. */
typedef void (*WalkWidgetFunc) (GtkWidget *widget, gpointer user_data);
void walk_tree (GtkWidget *widget, WalkWidgetFunc func, gpointer user_data);

/* "GtkButton “Try” in GtkBox in DwnRemedyList …", for messages. (transfer full). */
char *walk_where (GtkWidget *widget);

G_END_DECLS
