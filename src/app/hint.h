/* What a word of the trade means, in place: a small button with a few lines and the way to the help. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* @about is the word; @text says it plainly; @page (nullable) of the help says more.
 * Returns: (transfer floating). */
GtkWidget *dwn_hint_new (const char *about, const char *text, const char *page);

/* Appends one to a row of a form; "About …" is its name. */
void dwn_form_add_hint (GtkWidget *row, const char *about, const char *text, const char *page);

G_END_DECLS
