#include "app/hint.h"

#include <glib/gi18n.h>

#include "app/form.h"

#define LINE_CHARS 40

/* What a bubble will say. */
typedef struct {
  char *about, *text, *page;
} Said;

static void
said_free (gpointer data)
{
  Said *said = data;

  g_free (said->about);
  g_free (said->text);
  g_free (said->page);
  g_free (said);
}

static GtkWidget *
bubble_new (const Said *said)
{
  GtkWidget *popover = gtk_popover_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 9);
  GtkWidget *words = dwn_line_new (said->text, NULL);

  gtk_label_set_max_width_chars (GTK_LABEL (words), LINE_CHARS);
  gtk_box_append (GTK_BOX (box), dwn_line_new (said->about, "strong"));
  gtk_box_append (GTK_BOX (box), words);
  if (said->page != NULL)
    {
      GtkWidget *more = dwn_button_new (_("_More in the help"), NULL);
      gtk_actionable_set_action_name (GTK_ACTIONABLE (more), "app.help-page");
      gtk_actionable_set_action_target (GTK_ACTIONABLE (more), "s", said->page);
      gtk_widget_set_halign (more, GTK_ALIGN_START);
      gtk_box_append (GTK_BOX (box), more);
    }
  gtk_widget_add_css_class (box, "hint");
  gtk_popover_set_child (GTK_POPOVER (popover), box);
  return popover;
}

/* When it is first opened: most never are. */
static void
build_cb (GtkMenuButton *button, gpointer said)
{
  if (gtk_menu_button_get_popover (button) == NULL)
    gtk_menu_button_set_popover (button, bubble_new (said));
}

GtkWidget *
dwn_hint_new (const char *about, const char *text, const char *page)
{
  g_return_val_if_fail (about != NULL && text != NULL, NULL);

  GtkWidget *button = gtk_menu_button_new ();
  Said *said = g_new0 (Said, 1);
  /* Translators: %s is a word of the trade; the button explains it */
  g_autofree char *name = g_strdup_printf (_("About: %s"), about);

  gtk_menu_button_set_icon_name (GTK_MENU_BUTTON (button), "dialog-information-symbolic");
  said->about = g_strdup (about);
  said->text = g_strdup (text);
  said->page = g_strdup (page);
  gtk_menu_button_set_create_popup_func (GTK_MENU_BUTTON (button), build_cb, said, said_free);
  gtk_menu_button_set_has_frame (GTK_MENU_BUTTON (button), FALSE);
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_set_tooltip_text (button, name);
  gtk_widget_add_css_class (button, "hint-button");
  dwn_name_control (button, name);
  return button;
}

void
dwn_form_add_hint (GtkWidget *row, const char *about, const char *text, const char *page)
{
  gtk_box_append (GTK_BOX (row), dwn_hint_new (about, text, page));
}
