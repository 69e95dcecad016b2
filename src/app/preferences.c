#include "app/preferences.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/settings.h"

#define METRES_A_FOOT 0.3048
#define MOST_HEIGHT 560 /* with large type the rest is scrolled to */

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

/* A choice among ids; the setting is the id. */
typedef struct {
  GSettings *settings;
  const char *key;
  GPtrArray *ids;
} Catalogue;

static void
catalogue_free (gpointer data, GClosure *closure)
{
  Catalogue *catalogue = data;

  g_object_unref (catalogue->settings);
  g_ptr_array_unref (catalogue->ids);
  g_free (catalogue);
}

static void
picked_cb (GtkDropDown *choice, GParamSpec *pspec, gpointer data)
{
  Catalogue *catalogue = data;
  guint i = gtk_drop_down_get_selected (choice);

  if (i < catalogue->ids->len)
    g_settings_set_string (catalogue->settings, catalogue->key, g_ptr_array_index (catalogue->ids, i));
}

/* Takes @ids (element-type interned utf8); @names: translated, as many. */
static void
add_pick (GtkWidget *form, GSettings *settings, const char *caption, const char *key, GPtrArray *ids,
          GtkStringList *names)
{
  GtkWidget *choice = gtk_drop_down_new (G_LIST_MODEL (names), NULL);
  g_autofree char *chosen = g_settings_get_string (settings, key);
  Catalogue *catalogue = g_new0 (Catalogue, 1);
  guint at;

  *catalogue = (Catalogue) { g_object_ref (settings), key, ids };
  if (g_ptr_array_find_with_equal_func (ids, chosen, g_str_equal, &at))
    gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), at);
  g_signal_connect_data (choice, "notify::selected", G_CALLBACK (picked_cb), catalogue, catalogue_free, 0);
  dwn_form_add (form, caption, choice, NULL);
}

static void
add_antennas (GtkWidget *form, GSettings *settings, const DwnTables *tables)
{
  GPtrArray *ids = g_ptr_array_new ();
  GtkStringList *names = gtk_string_list_new (NULL);

  for (gsize i = 0; i < dwn_catalogue_n (tables->catalogue); i++)
    {
      const DwnCatalogueEntry *entry = dwn_catalogue_entry (tables->catalogue, i);
      g_ptr_array_add (ids, (gpointer) g_intern_string (entry->id));
      gtk_string_list_append (names, _(entry->name));
    }
  add_pick (form, settings, _("_Antenna"), DWN_SETTING_NEW_ANTENNA, ids, names);
}

static void
add_cables (GtkWidget *form, GSettings *settings, const DwnTables *tables)
{
  GPtrArray *ids = g_ptr_array_new ();
  GtkStringList *names = gtk_string_list_new (NULL);
  guint n;
  const DwnCableType *const *cables = dwn_part_list_cables (tables->parts, &n);

  for (guint i = 0; i < n; i++)
    {
      g_ptr_array_add (ids, (gpointer) g_intern_string (cables[i]->id));
      gtk_string_list_append (names, _(cables[i]->name));
    }
  add_pick (form, settings, _("_Cable"), DWN_SETTING_NEW_CABLE, ids, names);
}

static void
length_cb (double value, gpointer settings)
{
  DwnWording wording = dwn_settings_wording (settings);

  g_settings_set_double (settings, DWN_SETTING_NEW_LENGTH, wording.feet ? value * METRES_A_FOOT : value);
}

static void
outlets_cb (double value, gpointer settings)
{
  g_settings_set_int (settings, DWN_SETTING_NEW_OUTLETS, (int) value);
}

static void
add_numbers (GtkWidget *form, GSettings *settings)
{
  gboolean feet = dwn_settings_wording (settings).feet;
  double unit_m = feet ? METRES_A_FOOT : 1.0;
  GtkWidget *length = dwn_number_new (1.0 / unit_m, 100.0 / unit_m, 1, FALSE, length_cb, settings);
  GtkWidget *outlets = dwn_number_new (1.0, 8.0, 0, FALSE, outlets_cb, settings);

  dwn_number_set (length, g_settings_get_double (settings, DWN_SETTING_NEW_LENGTH) / unit_m);
  dwn_number_set (outlets, g_settings_get_int (settings, DWN_SETTING_NEW_OUTLETS));
  dwn_form_add (form, _("C_able's length"), length, feet ? _("ft") : _("m"));
  dwn_form_add (form, _("_Televisions"), outlets, NULL);
}

static void
folder_response_cb (GtkNativeDialog *chooser, int response, GtkWidget *button)
{
  g_autoptr (GFile) file = response == GTK_RESPONSE_ACCEPT
                           ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (chooser)) : NULL;
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;

  if (path != NULL)
    g_settings_set_string (g_object_get_data (G_OBJECT (button), "settings"), DWN_SETTING_ELEVATION, path);
  g_object_set_data (G_OBJECT (button), "chooser", NULL);
}

static void
folder_cb (GtkWidget *button)
{
  GtkFileChooserNative *chooser
    = gtk_file_chooser_native_new (_("Choose the folder of elevation tiles"), GTK_WINDOW (gtk_widget_get_root (button)),
                                   GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, _("_Choose"), _("_Cancel"));

  g_signal_connect_object (chooser, "response", G_CALLBACK (folder_response_cb), button, 0);
  g_object_set_data_full (G_OBJECT (button), "chooser", chooser, g_object_unref);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (chooser));
}

static void
show_folder (GSettings *settings, const char *key, GtkWidget *button)
{
  g_autofree char *folder = g_settings_get_string (settings, DWN_SETTING_ELEVATION);
  g_autofree char *name = folder[0] != '\0' ? g_path_get_basename (folder) : g_strdup (_("Choose…"));

  gtk_button_set_label (GTK_BUTTON (button), name);
  gtk_widget_set_tooltip_text (button, folder[0] != '\0' ? folder : NULL);
}

static void
add_folder (GtkWidget *form, GSettings *settings)
{
  GtkWidget *button = dwn_button_new ("", NULL);

  g_object_set_data_full (G_OBJECT (button), "settings", g_object_ref (settings), g_object_unref);
  g_signal_connect (button, "clicked", G_CALLBACK (folder_cb), NULL);
  g_signal_connect_object (settings, "changed::" DWN_SETTING_ELEVATION, G_CALLBACK (show_folder), button, 0);
  show_folder (settings, NULL, button);
  dwn_form_add (form, _("_Elevation tiles"), button, NULL);
}

static void
add_shown (GtkWidget *form, GSettings *settings)
{
  static const char *const lengths[] = { N_("as usual here"), N_("kilometres and metres"), N_("miles and feet"), NULL };
  static const char *const levels[] = { N_("dBm"), N_("dBmV"), N_("dB\xC2\xB5V"), NULL };
  static const char *const papers[] = { N_("as usual here"), N_("A4"), N_("Letter"), NULL };
  static const char *const scales[] = { N_("square root"), N_("linear"), N_("logarithmic"), NULL };
  static const char *const bearings[] = { N_("true"), N_("by compass"), NULL };

  add_choice (form, settings, _("_Lengths"), DWN_SETTING_LENGTHS, lengths);
  add_choice (form, settings, _("_Signal levels"), DWN_SETTING_LEVELS, levels);
  add_choice (form, settings, _("_Bearings, first"), DWN_SETTING_BEARINGS, bearings);
  add_choice (form, settings, _("_Distance in the rose"), DWN_SETTING_SCALE, scales);
  add_choice (form, settings, _("_Paper"), DWN_SETTING_PAPER, papers);
}

/* Names of standards are not translated. */
static void
add_region (GtkWidget *form, GSettings *settings)
{
  const char *words[DWN_N_SYSTEMS + 2] = { N_("as usual here") };

  for (guint s = 0; s < DWN_N_SYSTEMS; s++)
    words[s + 1] = dwn_word_system ((DwnSystem) s);
  add_choice (form, settings, _("B_roadcast system"), DWN_SETTING_REGION, words);
}

static void
close_on_escape (GtkWidget *window)
{
  GtkEventController *keys = gtk_shortcut_controller_new ();

  gtk_shortcut_controller_add_shortcut (GTK_SHORTCUT_CONTROLLER (keys),
                                        gtk_shortcut_new (gtk_keyval_trigger_new (GDK_KEY_Escape, 0),
                                                          gtk_named_action_new ("window.close")));
  gtk_widget_add_controller (window, keys);
}

GtkWindow *
dwn_preferences_new (GtkWindow *parent, GSettings *settings, const DwnTables *tables)
{
  GtkWidget *window = gtk_window_new (), *form = dwn_form_new (), *scrolled = gtk_scrolled_window_new ();

  add_shown (form, settings);
  add_folder (form, settings);
  dwn_form_add_heading (form, _("A new plan begins with"));
  add_region (form, settings);
  if (tables != NULL)
    {
      add_antennas (form, settings, tables);
      add_cables (form, settings, tables);
    }
  add_numbers (form, settings);
  gtk_widget_add_css_class (form, "dialog-body");
  gtk_window_set_title (GTK_WINDOW (window), _("Preferences"));
  gtk_window_set_transient_for (GTK_WINDOW (window), parent);
  gtk_window_set_resizable (GTK_WINDOW (window), FALSE);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (scrolled), TRUE);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (scrolled), MOST_HEIGHT);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), form);
  gtk_window_set_child (GTK_WINDOW (window), scrolled);
  close_on_escape (window);
  return GTK_WINDOW (window);
}
