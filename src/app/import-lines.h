/* What bringing in a file would do, line by line: what happens, to what, and why. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A line of the preview. */
void dwn_import_lines_append (GtkStringList *lines, const char *what, const char *name, const char *why);

/* A list that scrolls. Returns: (transfer floating). */
GtkWidget *dwn_import_lines_new (void);
/* Shows @lines (transfer full) in it. */
void dwn_import_lines_show (GtkWidget *list, GtkStringList *lines);

G_END_DECLS
