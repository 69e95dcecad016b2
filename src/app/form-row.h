/* One line of a form: the caption, and beside it the controls, or under it where there is no room. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Lays out a box whose first child is the caption and whose other children stand in a line behind it.
 * Captions of one size group stand in a column, whatever their words; one that expands takes what the
 * others leave. */
#define DWN_TYPE_FORM_ROW (dwn_form_row_get_type ())
G_DECLARE_FINAL_TYPE (DwnFormRow, dwn_form_row, DWN, FORM_ROW, GtkLayoutManager)

GtkLayoutManager *dwn_form_row_new (void);

G_END_DECLS
