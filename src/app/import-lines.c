#include "app/import-lines.h"

#include <glib/gi18n.h>

#include "app/form.h"

void
dwn_import_lines_append (GtkStringList *lines, const char *what, const char *name, const char *why)
{
  g_autofree char *line = g_strdup_printf ("%s\t%s\t%s", what, name, why);

  gtk_string_list_append (lines, line);
}

static void
setup_line_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
  static const int width[] = { 22, 16, -1 };
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);

  for (gsize i = 0; i < G_N_ELEMENTS (width); i++)
    {
      GtkWidget *label = gtk_label_new (NULL);
      gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
      dwn_label_cut (label);
      gtk_label_set_width_chars (GTK_LABEL (label), width[i]);
      gtk_label_set_max_width_chars (GTK_LABEL (label), width[i]);
      gtk_widget_set_hexpand (label, width[i] < 0);
      gtk_box_append (GTK_BOX (row), label);
    }
  gtk_list_item_set_child (item, row);
  gtk_list_item_set_activatable (item, FALSE);
}

static void
bind_line_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
  GtkStringObject *line = gtk_list_item_get_item (item);
  g_auto (GStrv) cells = g_strsplit (gtk_string_object_get_string (line), "\t", 3);
  GtkWidget *label = gtk_widget_get_first_child (gtk_list_item_get_child (item));

  for (guint i = 0; label != NULL && cells[i] != NULL; i++, label = gtk_widget_get_next_sibling (label))
    {
      gtk_label_set_text (GTK_LABEL (label), cells[i]);
      gtk_widget_set_visible (label, cells[i][0] != '\0');
    }
}

GtkWidget *
dwn_import_lines_new (void)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
  GtkWidget *scrolled = gtk_scrolled_window_new (), *list;

  g_signal_connect (factory, "setup", G_CALLBACK (setup_line_cb), NULL);
  g_signal_connect (factory, "bind", G_CALLBACK (bind_line_cb), NULL);
  list = gtk_list_view_new (NULL, factory);
  dwn_name_control (list, _("What would happen"));
  gtk_widget_add_css_class (list, "import-lines");
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), list);
  gtk_widget_set_vexpand (scrolled, TRUE);
  gtk_widget_add_css_class (scrolled, "frame");
  return scrolled;
}

void
dwn_import_lines_show (GtkWidget *list, GtkStringList *lines)
{
  GtkWidget *view = gtk_scrolled_window_get_child (GTK_SCROLLED_WINDOW (list));
  g_autoptr (GtkNoSelection) selection = gtk_no_selection_new (G_LIST_MODEL (lines));

  gtk_list_view_set_model (GTK_LIST_VIEW (view), GTK_SELECTION_MODEL (selection));
}
