#include "app/preferences.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/settings.h"

static void
chosen_cb (GtkDropDown *choice, GParamSpec *pspec, gpointer settings)
{
  g_settings_set_enum (settings, g_object_get_data (G_OBJECT (choice), "key"),
                       (int) gtk_drop_down_get_selected (choice));
}

/* The words stand in the order of the key's enumeration. */
static void
add_choice (GtkWidget *form, GSettings *settings, const char *caption, const char *key, const char *const *words)
{
  GtkWidget *choice = dwn_choice_new (words);

  gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), (guint) g_settings_get_enum (settings, key));
  g_object_set_data (G_OBJECT (choice), "key", (gpointer) key);
  g_signal_connect_object (choice, "notify::selected", G_CALLBACK (chosen_cb), settings, 0);
  dwn_form_add (form, caption, choice, NULL);
}

GtkWindow *
dwn_preferences_new (GtkWindow *parent, GSettings *settings)
{
  static const char *const lengths[] = { N_("as usual here"), N_("kilometres and metres"), N_("miles and feet"), NULL };
  static const char *const levels[] = { N_("dBm"), N_("dBmV"), N_("dB\xC2\xB5V"), NULL };
  static const char *const papers[] = { N_("as usual here"), N_("A4"), N_("Letter"), NULL };
  static const char *const scales[] = { N_("square root"), N_("linear"), N_("logarithmic"), NULL };
  GtkWidget *window = gtk_window_new (), *form = dwn_form_new ();

  add_choice (form, settings, _("_Lengths"), DWN_SETTING_LENGTHS, lengths);
  add_choice (form, settings, _("_Signal levels"), DWN_SETTING_LEVELS, levels);
  add_choice (form, settings, _("_Paper"), DWN_SETTING_PAPER, papers);
  add_choice (form, settings, _("_Distance in the rose"), DWN_SETTING_SCALE, scales);
  gtk_widget_add_css_class (form, "dialog-body");
  gtk_window_set_title (GTK_WINDOW (window), _("Preferences"));
  gtk_window_set_transient_for (GTK_WINDOW (window), parent);
  gtk_window_set_resizable (GTK_WINDOW (window), FALSE);
  gtk_window_set_child (GTK_WINDOW (window), form);
  return GTK_WINDOW (window);
}
