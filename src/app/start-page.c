#include "app/start-page.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/settings.h"
#include "core/geo/coordinates.h"
#include "core/study/new-plan.h"

#define MOST_RECENT 5
#define COLUMN_WIDTH 460
/* Receives every band, so that nothing is ruled out before there are stations. */
#define FIRST_ANTENNA "lpda-all"

/* What a person has set for new plans. */
typedef struct {
  char *antenna, *cable;
} Usual;

static void
usual_clear (Usual *usual)
{
  g_free (usual->antenna);
  g_free (usual->cable);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Usual, usual_clear)

/* What is set and no longer there (a file of the user's) is passed over. */
static void
take_usual (GSettings *settings, const DwnTables *tables, Usual *usual, DwnNewPlan *wish)
{
  if (settings == NULL)
    return;
  usual->antenna = g_settings_get_string (settings, DWN_SETTING_NEW_ANTENNA);
  usual->cable = g_settings_get_string (settings, DWN_SETTING_NEW_CABLE);
  if (dwn_catalogue_find (tables->catalogue, usual->antenna) < 0)
    g_clear_pointer (&usual->antenna, g_free);
  if (dwn_part_list_find_cable (tables->parts, usual->cable) != NULL)
    wish->cable = usual->cable;
  wish->downlead_m = g_settings_get_double (settings, DWN_SETTING_NEW_LENGTH);
  wish->n_outlets = (guint) g_settings_get_int (settings, DWN_SETTING_NEW_OUTLETS);
}

struct _DwnStartPage {
  GtkWidget parent_instance;

  DwnDocument *document;
  GtkWidget *name, *place, *fault;
};

G_DEFINE_FINAL_TYPE (DwnStartPage, dwn_start_page, GTK_TYPE_WIDGET)

gboolean
dwn_start_plan (DwnDocument *document, const char *name, const char *place, GError **error)
{
  const DwnTables *tables = dwn_document_tables (document);
  g_autoptr (GDateTime) today = g_date_time_new_now_local ();
  g_autofree char *date = g_date_time_format (today, "%Y-%m-%d");
  g_autoptr (DwnStations) stations = dwn_stations_new (0, NULL, NULL, NULL);
  g_autoptr (DwnServices) services = dwn_services_new (0, NULL);
  g_autoptr (GTimeZone) zone = g_time_zone_new_local ();
  const double north = 0.0;
  DwnNewPlan wish = { .name = name, .place = "", .stations = stations, .services = services, .n_antennas = 1,
                      .aim_deg = &north, .date = date, .time_zone = g_time_zone_get_identifier (zone),
                      .system = dwn_settings_system (dwn_document_settings (document)) };
  g_auto (Usual) usual = { 0 };
  take_usual (dwn_document_settings (document), tables, &usual, &wish);
  const char *antenna = usual.antenna != NULL ? usual.antenna : FIRST_ANTENNA;
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (tables->catalogue, antenna, error);
  const DwnPattern *const patterns[] = { pattern };
  wish.patterns = patterns;

  if (pattern == NULL || !dwn_lat_lon_parse (place, &wish.at, error))
    return FALSE;
  g_autoptr (DwnPlan) plan = dwn_new_plan (&wish, tables, error);
  return plan != NULL && dwn_document_take (document, plan, error);
}

static void
begin_cb (DwnStartPage *self)
{
  g_autoptr (GError) error = NULL;

  if (!dwn_start_plan (self->document, gtk_editable_get_text (GTK_EDITABLE (self->name)),
                       gtk_editable_get_text (GTK_EDITABLE (self->place)), &error))
    {
      gtk_label_set_text (GTK_LABEL (self->fault), error->message);
      gtk_widget_set_visible (self->fault, TRUE);
      gtk_widget_grab_focus (self->place);
    }
}

static GtkWidget *
text_new (const char *text, const char *css_class)
{
  GtkWidget *label = gtk_label_new_with_mnemonic (text);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  if (css_class != NULL)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

static GtkWidget *
field_new (DwnStartPage *self, GtkWidget *box, const char *caption, const char *example)
{
  GtkWidget *label = text_new (caption, NULL), *entry = gtk_entry_new ();

  gtk_label_set_mnemonic_widget (GTK_LABEL (label), entry);
  gtk_entry_set_placeholder_text (GTK_ENTRY (entry), example);
  dwn_name_control (entry, caption);
  g_signal_connect_swapped (entry, "activate", G_CALLBACK (begin_cb), self);
  gtk_box_append (GTK_BOX (box), label);
  gtk_box_append (GTK_BOX (box), entry);
  return entry;
}

static GtkWidget *
place_new (DwnStartPage *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget *begin = dwn_button_new (_("_Begin the plan"), NULL);

  gtk_box_append (GTK_BOX (box), text_new (_("Begin with the house"), "title"));
  self->place = field_new (self, box, _("_Coordinates, as a map or a phone copies them"),
                           "44.2810, -71.6930");
  dwn_keep_left_to_right (self->place);
  self->name = field_new (self, box, _("_Name of the house (can wait)"), NULL);
  self->fault = text_new ("", "fault");
  gtk_widget_set_visible (self->fault, FALSE);
  gtk_widget_set_halign (begin, GTK_ALIGN_START);
  gtk_widget_set_margin_top (begin, 6);
  gtk_widget_add_css_class (begin, "suggested-action");
  g_signal_connect_swapped (begin, "clicked", G_CALLBACK (begin_cb), self);
  gtk_box_append (GTK_BOX (box), self->fault);
  gtk_box_append (GTK_BOX (box), begin);
  return box;
}

static GtkWidget *
way_new (const char *label, const char *action)
{
  GtkWidget *button = dwn_button_new (label, action);

  gtk_widget_set_halign (button, GTK_ALIGN_START);
  return button;
}

static gboolean
is_plan (GtkRecentInfo *info)
{
  return g_str_has_suffix (gtk_recent_info_get_uri (info), ".downlead") && gtk_recent_info_exists (info);
}

/* The plans that were open last, newest first. */
static GtkWidget *
recent_new (void)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  GList *items = gtk_recent_manager_get_items (gtk_recent_manager_get_default ());
  guint shown = 0;

  for (GList *at = items; at != NULL && shown < MOST_RECENT; at = at->next)
    if (is_plan (at->data))
      {
        GtkWidget *button = gtk_button_new_with_label (gtk_recent_info_get_display_name (at->data));
        gtk_widget_add_css_class (button, "flat");
        gtk_widget_set_halign (button, GTK_ALIGN_START);
        gtk_actionable_set_action_name (GTK_ACTIONABLE (button), "app.open-recent");
        gtk_actionable_set_action_target (GTK_ACTIONABLE (button), "s", gtk_recent_info_get_uri (at->data));
        gtk_box_append (GTK_BOX (box), button);
        shown++;
      }
  g_list_free_full (items, (GDestroyNotify) gtk_recent_info_unref);
  if (shown > 0)
    gtk_box_prepend (GTK_BOX (box), text_new (_("Plans that were open last"), "title"));
  return box;
}

static void
dwn_start_page_dispose (GObject *object)
{
  DwnStartPage *self = DWN_START_PAGE (object);
  GtkWidget *child = gtk_widget_get_first_child (GTK_WIDGET (self));

  g_clear_pointer (&child, gtk_widget_unparent);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_start_page_parent_class)->dispose (object);
}

static void
dwn_start_page_class_init (DwnStartPageClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_start_page_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
dwn_start_page_init (DwnStartPage *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 24);
  GtkWidget *ways = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);

  gtk_widget_set_halign (box, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  gtk_widget_set_size_request (box, COLUMN_WIDTH, -1);
  gtk_widget_add_css_class (box, "start-page");
  gtk_box_append (GTK_BOX (box), text_new (_("Where does the antenna go?"), "headline"));
  gtk_box_append (GTK_BOX (box), place_new (self));
  gtk_box_append (GTK_BOX (ways), way_new (_("Open a _plan…"), "win.open"));
  gtk_box_append (GTK_BOX (ways), way_new (_("Look at the _example"), "app.example"));
  gtk_box_append (GTK_BOX (box), ways);
  gtk_box_append (GTK_BOX (box), recent_new ());
  gtk_widget_set_parent (box, GTK_WIDGET (self));
  gtk_widget_set_hexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_add_css_class (GTK_WIDGET (self), "view");
}

GtkWidget *
dwn_start_page_new (DwnDocument *document)
{
  DwnStartPage *self = g_object_new (DWN_TYPE_START_PAGE, NULL);

  self->document = g_object_ref (document);
  return GTK_WIDGET (self);
}
