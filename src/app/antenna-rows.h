/* Rows of a form: a name with a mnemonic, and what it names. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A grid for rows. */
GtkWidget *dwn_antenna_rows_new (void);

/* Puts @widget, under the name @label, into row @row. */
void dwn_antenna_rows_add (GtkWidget *rows, guint row, const char *label, GtkWidget *widget);

/* What a screen reader calls @control: @label without its underline, once. GTK 4.8 would say both the
 * label that it is mnemonic of and its own name. Again after each change of a button's text. */
void dwn_antenna_rows_name (GtkWidget *control, const char *label);

/* Plain text that breaks into lines; @css_class is nullable. */
GtkWidget *dwn_antenna_line_new (const char *text, const char *css_class);

/* A button with a mnemonic, that calls an action; its name is the label without underline. */
GtkWidget *dwn_antenna_button_new (const char *label, const char *action);

/* A number between two, "" where it may be unknown is @least. */
GtkWidget *dwn_antenna_spin_new (double least, double most, double step, guint digits);

/* Shows @text in a label that is hidden while it is empty. */
void dwn_antenna_show_text (GtkWidget *label, const char *text);

G_END_DECLS
