/* Rows of a form: a name with a mnemonic, and what it names. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A grid for rows. */
GtkWidget *dwn_antenna_rows_new (void);

/* Puts @widget, under the name @label, into row @row. */
void dwn_antenna_rows_add (GtkWidget *rows, guint row, const char *label, GtkWidget *widget);

/* A number between two, "" where it may be unknown is @least. */
GtkWidget *dwn_antenna_spin_new (double least, double most, double step, guint digits);

/* Shows @text in a label that is hidden while it is empty. */
void dwn_antenna_show_text (GtkWidget *label, const char *text);

G_END_DECLS
