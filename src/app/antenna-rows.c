#include "app/antenna-rows.h"

#include "app/form.h"

GtkWidget *
dwn_antenna_rows_new (void)
{
  GtkWidget *rows = gtk_grid_new ();

  gtk_grid_set_row_spacing (GTK_GRID (rows), 6);
  gtk_grid_set_column_spacing (GTK_GRID (rows), 12);
  return rows;
}

void
dwn_antenna_rows_add (GtkWidget *rows, guint row, const char *label, GtkWidget *widget)
{
  GtkWidget *name = gtk_label_new_with_mnemonic (label);

  gtk_label_set_mnemonic_widget (GTK_LABEL (name), widget);
  gtk_label_set_xalign (GTK_LABEL (name), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (name), TRUE);
  gtk_widget_set_valign (widget, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (name, "dim-label");
  gtk_widget_set_hexpand (widget, TRUE);
  dwn_name_control (widget, label);
  gtk_grid_attach (GTK_GRID (rows), name, 0, (int) row, 1, 1);
  gtk_grid_attach (GTK_GRID (rows), widget, 1, (int) row, 1, 1);
}

GtkWidget *
dwn_antenna_spin_new (double least, double most, double step, guint digits)
{
  GtkWidget *spin = gtk_spin_button_new_with_range (least, most, step);

  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (spin), digits);
  gtk_editable_set_width_chars (GTK_EDITABLE (spin), 5);
  return spin;
}

void
dwn_antenna_show_text (GtkWidget *label, const char *text)
{
  gtk_label_set_text (GTK_LABEL (label), text);
  gtk_widget_set_visible (label, text[0] != '\0');
}
