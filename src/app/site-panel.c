#include "app/site-panel.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "app/hint.h"
#include "app/house-losses.h"
#include "app/settings.h"
#include "app/survey-job.h"
#include "app/unwanted-section.h"
#include "core/geo/coordinates.h"
#include "core/geo/date.h"
#include "core/radio/path-model.h"
#include "words/place-words.h"
#include "words/site-words.h"

#define MOST_HEIGHT_M 300.0
#define LEAST_GROUND_M (-430.0)
#define MOST_GROUND_M 9000.0
#define PROGRESS_MS 100

struct _DwnSitePanel {
  GtkWidget parent_instance;

  DwnDocument *document;
  GtkWidget *scrolled, *name, *town, *place, *ground, *mount, *height, *area, *leaves, *model, *date;
  GtkWidget *folder, *survey, *progress, *status, *spots, *spots_text;
  GtkFileChooserNative *chooser;
  GCancellable *cancellable;  /* of the survey that goes on */
  GTask *task;
  guint pulse;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnSitePanel, dwn_site_panel, GTK_TYPE_WIDGET)

static DwnSite
site_of (DwnSitePanel *self)
{
  return *dwn_document_plan (self->document)->site;
}

static void
take_site (DwnSitePanel *self, const DwnSite *site, const char *label)
{
  g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (self->document), site);

  dwn_document_edit (self->document, plan, label, NULL, NULL);
}

static gboolean
name_cb (const char *text, gpointer data, char **message)
{
  DwnSite site = site_of (data);

  site.name = g_intern_string (text);
  take_site (data, &site, _("Name the plan"));
  return TRUE;
}

static gboolean
town_cb (const char *text, gpointer data, char **message)
{
  DwnSite site = site_of (data);

  site.place = g_intern_string (text);
  take_site (data, &site, _("Name the town"));
  return TRUE;
}

static gboolean
place_cb (const char *text, gpointer data, char **message)
{
  DwnSite site = site_of (data);
  g_autoptr (GError) error = NULL;

  if (!dwn_lat_lon_parse (text, &site.at, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  site.ground_m = (double) NAN;
  take_site (data, &site, _("Move the house"));
  return TRUE;
}

static void
ground_cb (double value, gpointer data)
{
  DwnSite site = site_of (data);

  site.ground_m = value;
  take_site (data, &site, _("Change the height of the ground"));
}

static void
height_cb (double value, gpointer data)
{
  DwnSite site = site_of (data);

  site.height_m = value;
  take_site (data, &site, _("Raise or lower the antennas"));
}

static void
mount_cb (DwnSitePanel *self)
{
  DwnSite site = site_of (self);
  DwnMount mount = (DwnMount) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->mount));

  if (self->updating || mount == site.mount)
    return;
  site.mount = mount;
  take_site (self, &site, _("Change the mount"));
}

static void
area_cb (DwnSitePanel *self)
{
  DwnSite site = site_of (self);
  DwnArea area = (DwnArea) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->area));

  if (self->updating || area == site.area)
    return;
  site.area = area;
  take_site (self, &site, _("Change the surroundings"));
}

static gboolean
take_method (DwnSitePanel *self, const DwnMethod *method, const char *label, char **message)
{
  g_autoptr (DwnPlan) plan = dwn_plan_with_method (dwn_document_plan (self->document), method);
  g_autoptr (GError) error = NULL;

  if (dwn_document_edit (self->document, plan, label, NULL, &error))
    return TRUE;
  if (message != NULL)
    *message = g_strdup (error->message);
  return FALSE;
}

static void
leaves_cb (DwnSitePanel *self)
{
  DwnMethod method = *dwn_document_plan (self->document)->method;

  if (self->updating)
    return;
  method.leaves = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->leaves));
  take_method (self, &method, _("Change the season"), NULL);
}

static const char *
model_id (guint choice)
{
  gsize n;
  const DwnPathModel *const *models = dwn_path_models (&n);

  return choice == 0 || choice > n ? "auto" : models[choice - 1]->id;
}

static void
model_cb (DwnSitePanel *self)
{
  DwnMethod method = *dwn_document_plan (self->document)->method;
  const char *model = model_id (gtk_drop_down_get_selected (GTK_DROP_DOWN (self->model)));

  if (self->updating || g_strcmp0 (model, method.model) == 0)
    return;
  method.model = g_intern_string (model);
  take_method (self, &method, _("Change the path model"), NULL);
}

static gboolean
date_cb (const char *text, gpointer data, char **message)
{
  DwnSitePanel *self = data;
  DwnMethod method = *dwn_document_plan (self->document)->method;
  g_autoptr (GError) error = NULL;
  DwnDate date;

  if (!dwn_date_parse (text, &date, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  method.date = g_intern_string (text);
  return take_method (self, &method, _("Change the date"), message);
}

static void
show_status (DwnSitePanel *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autofree char *text = g_strdup_printf (
    g_dngettext (NULL, "The plan keeps a ground profile for %u of %u station.",
                 "The plan keeps a ground profile for %u of %u stations.", plan->stations->n),
    plan->paths->n, plan->stations->n);

  gtk_label_set_text (GTK_LABEL (self->status), text);
}

static guint
model_choice (const char *id)
{
  gsize n;
  const DwnPathModel *const *models = dwn_path_models (&n);

  for (guint i = 0; i < n; i++)
    if (g_strcmp0 (models[i]->id, id) == 0)
      return i + 1;
  return 0;
}

static void
show (DwnSitePanel *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autofree char *place = dwn_lat_lon_format_plain (&plan->site->at);

  self->updating = TRUE;
  dwn_text_set (self->name, plan->site->name);
  dwn_text_set (self->town, plan->site->place);
  dwn_text_set (self->place, place);
  dwn_text_set (self->date, plan->method->date);
  dwn_number_set (self->ground, plan->site->ground_m);
  dwn_number_set (self->height, plan->site->height_m);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->mount), (guint) plan->site->mount);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->area), (guint) plan->site->area);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->model), model_choice (plan->method->model));
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->leaves), plan->method->leaves);
  self->updating = FALSE;
  if (self->task == NULL)
    show_status (self);
}

static void
end_survey (DwnSitePanel *self)
{
  g_clear_handle_id (&self->pulse, g_source_remove);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->task);
  gtk_widget_set_visible (self->progress, FALSE);
  gtk_button_set_label (GTK_BUTTON (self->survey), _("_Draw the profiles"));
  dwn_name_control (self->survey, _("_Draw the profiles"));
}

/* The profiles go into the plan as it is now; a station added since has none yet. */
static void
take_profiles (DwnSitePanel *self, const DwnPlan *surveyed)
{
  DwnPlan parts = *dwn_document_plan (self->document);
  DwnSite site = *parts.site;

  if (site.at.lat_deg != surveyed->site->at.lat_deg || site.at.lon_deg != surveyed->site->at.lon_deg)
    return; /* the house moved meanwhile */
  site.ground_m = isnan (site.ground_m) ? surveyed->site->ground_m : site.ground_m;
  g_autoptr (DwnSite) grounded = dwn_site_new (&site);
  parts.site = grounded;
  parts.paths = surveyed->paths;
  g_autoptr (DwnPlan) plan = dwn_plan_new (&parts);
  dwn_document_edit (self->document, plan, _("Draw the profiles"), NULL, NULL);
}

static void
surveyed_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnSitePanel *self = DWN_SITE_PANEL (source);
  g_autoptr (GError) error = NULL;
  g_autofree char *message = NULL;
  g_autoptr (DwnPlan) surveyed = dwn_survey_finish (result, &message, &error);

  if (self->document == NULL)
    return;
  end_survey (self);
  if (surveyed != NULL)
    take_profiles (self, surveyed);
  show_status (self);
  if (message != NULL)
    gtk_label_set_text (GTK_LABEL (self->status), message);
  if (error != NULL && !g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    gtk_label_set_text (GTK_LABEL (self->status), error->message);
}

static gboolean
pulse_cb (gpointer data)
{
  DwnSitePanel *self = data;

  gtk_widget_set_visible (self->progress, TRUE);
  gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (self->progress), dwn_survey_fraction (self->task));
  return G_SOURCE_CONTINUE;
}

void
dwn_site_panel_survey (DwnSitePanel *self, const char *folder)
{
  g_return_if_fail (DWN_IS_SITE_PANEL (self) && folder != NULL);

  if (self->task != NULL)
    return;
  self->cancellable = g_cancellable_new ();
  self->task = dwn_survey_begin (G_OBJECT (self), dwn_document_plan (self->document), folder, self->cancellable,
                                 surveyed_cb, NULL);
  self->pulse = g_timeout_add (PROGRESS_MS, pulse_cb, self);
  gtk_button_set_label (GTK_BUTTON (self->survey), _("_Stop"));
  dwn_name_control (self->survey, _("_Stop"));
  gtk_label_set_text (GTK_LABEL (self->status), _("Drawing the profiles…"));
}

static char *
elevation_folder (DwnSitePanel *self)
{
  GSettings *settings = dwn_document_settings (self->document);

  return settings != NULL ? g_settings_get_string (settings, DWN_SETTING_ELEVATION) : g_strdup ("");
}

static void
show_folder (DwnSitePanel *self)
{
  g_autofree char *folder = elevation_folder (self);
  g_autofree char *name = folder[0] != '\0' ? g_path_get_basename (folder) : g_strdup (_("Choose…"));

  gtk_button_set_label (GTK_BUTTON (self->folder), name);
  gtk_widget_set_tooltip_text (self->folder, folder[0] != '\0' ? folder : NULL);
  gtk_widget_set_sensitive (self->survey, folder[0] != '\0');
  gtk_widget_set_sensitive (self->spots, folder[0] != '\0');
}

static void
survey_cb (DwnSitePanel *self)
{
  g_autofree char *folder = elevation_folder (self);

  if (self->task != NULL)
    g_cancellable_cancel (self->cancellable);
  else if (folder[0] != '\0')
    dwn_site_panel_survey (self, folder);
}

static void
folder_response_cb (DwnSitePanel *self, int response)
{
  g_autoptr (GFile) file = response == GTK_RESPONSE_ACCEPT
                           ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser)) : NULL;
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;
  GSettings *settings = dwn_document_settings (self->document);

  g_clear_object (&self->chooser);
  if (path == NULL)
    return;
  if (settings == NULL)
    {
      dwn_site_panel_survey (self, path);
      return;
    }
  g_settings_set_string (settings, DWN_SETTING_ELEVATION, path);
  show_folder (self);
  survey_cb (self);
}

static void
folder_cb (DwnSitePanel *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));

  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (_("Choose the folder of elevation tiles"),
                                               GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL,
                                               GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, _("_Choose"), _("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", G_CALLBACK (folder_response_cb), self, G_CONNECT_SWAPPED);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
spots_found_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnSitePanel *self = DWN_SITE_PANEL (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnSpots) spots = dwn_spots_finish (result, &error);

  if (self->document == NULL)
    return;
  g_autofree char *text = spots != NULL ? dwn_word_spots (dwn_document_wording (self->document), spots)
                                        : g_strdup (error->message);
  gtk_label_set_text (GTK_LABEL (self->spots_text), text);
  gtk_widget_set_sensitive (self->spots, TRUE);
}

static void
spots_cb (DwnSitePanel *self)
{
  g_autofree char *folder = elevation_folder (self);

  gtk_label_set_text (GTK_LABEL (self->spots_text), _("Looking around the house…"));
  gtk_widget_set_sensitive (self->spots, FALSE);
  dwn_spots_begin (G_OBJECT (self), self->document, folder, NULL, spots_found_cb);
}

static void
dwn_site_panel_dispose (GObject *object)
{
  DwnSitePanel *self = DWN_SITE_PANEL (object);

  g_cancellable_cancel (self->cancellable);
  g_clear_handle_id (&self->pulse, g_source_remove);
  g_clear_object (&self->cancellable);
  g_clear_object (&self->task);
  g_clear_object (&self->chooser);
  g_clear_pointer (&self->scrolled, gtk_widget_unparent);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_site_panel_parent_class)->dispose (object);
}

static void
dwn_site_panel_class_init (DwnSitePanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_site_panel_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static GtkWidget *
models_new (void)
{
  gsize n;
  const DwnPathModel *const *models = dwn_path_models (&n);
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);

  gtk_string_list_append (words, _("automatic"));
  for (gsize i = 0; i < n; i++)
    gtk_string_list_append (words, dwn_word_path_model (&dwn_wording_metric, models[i]->id));
  return gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
}

static GtkWidget *
mounts_new (void)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);

  for (guint i = 0; i < DWN_N_MOUNTS; i++)
    gtk_string_list_append (words, dwn_word_mount (&dwn_wording_metric, (DwnMount) i));
  return gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
}

static void
add_house (DwnSitePanel *self, GtkWidget *form)
{
  static const char *const areas[] = { N_("city"), N_("residential"), N_("rural"), N_("quiet rural"), NULL };

  self->name = dwn_text_new (name_cb, self);
  self->town = dwn_text_new (town_cb, self);
  self->place = dwn_text_new (place_cb, self);
  dwn_keep_left_to_right (self->place);
  self->mount = mounts_new ();
  self->height = dwn_number_new (0.5, MOST_HEIGHT_M, 1, FALSE, height_cb, self);
  self->area = dwn_choice_new (areas);
  self->ground = dwn_number_new (LEAST_GROUND_M, MOST_GROUND_M, 0, TRUE, ground_cb, self);
  dwn_form_add_heading (form, _("House"));
  dwn_form_add (form, _("_Name"), self->name, NULL);
  dwn_form_add (form, _("_Town"), self->town, NULL);
  dwn_form_add (form, _("_Coordinates"), self->place, NULL);
  dwn_form_add (form, _("_Mount"), self->mount, NULL);
  dwn_form_add (form, _("Top antenna at a _height of"), self->height, _("m above ground"));
  dwn_form_add_hint (dwn_form_add (form, _("S_urroundings, for noise"), self->area, NULL), _("Surroundings"),
                     _("Motors, lamps, engines and chargers make noise that covers weak signals, most of all in low "
                       "VHF. The more people live around the house, the more of it there is."), "sums");
  dwn_form_add (form, _("_Ground above sea level"), self->ground, _("m"));
  g_signal_connect_swapped (self->mount, "notify::selected", G_CALLBACK (mount_cb), self);
  g_signal_connect_swapped (self->area, "notify::selected", G_CALLBACK (area_cb), self);
}

static void
add_ground (DwnSitePanel *self, GtkWidget *form)
{
  self->folder = gtk_button_new_with_label (_("Choose…"));
  self->survey = dwn_button_new (_("_Draw the profiles"), NULL);
  self->progress = gtk_progress_bar_new ();
  self->status = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->status), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->status), 0.0f);
  gtk_widget_set_visible (self->progress, FALSE);
  gtk_widget_set_halign (self->survey, GTK_ALIGN_START);
  dwn_form_add_heading (form, _("Ground"));
  dwn_form_add (form, _("_Elevation tiles in"), self->folder, NULL);
  dwn_form_add_pair (form, NULL, self->survey);
  gtk_box_append (GTK_BOX (form), self->progress);
  gtk_box_append (GTK_BOX (form), self->status);
  self->spots = dwn_button_new (_("Would another s_pot within 50 m do better?"), NULL);
  self->spots_text = dwn_line_new ("", NULL);
  gtk_widget_set_halign (self->spots, GTK_ALIGN_START);
  gtk_box_append (GTK_BOX (form), self->spots);
  gtk_box_append (GTK_BOX (form), self->spots_text);
  g_signal_connect_swapped (self->spots, "clicked", G_CALLBACK (spots_cb), self);
  g_signal_connect_swapped (self->folder, "clicked", G_CALLBACK (folder_cb), self);
  g_signal_connect_swapped (self->survey, "clicked", G_CALLBACK (survey_cb), self);
}

static void
add_method (DwnSitePanel *self, GtkWidget *form)
{
  self->model = models_new ();
  self->date = dwn_text_new (date_cb, self);
  self->leaves = dwn_check_new (_("Plan for the season with lea_ves on"));
  gtk_widget_set_hexpand (self->date, FALSE);
  dwn_form_add_heading (form, _("How it is reckoned"));
  dwn_form_add_hint (dwn_form_add (form, _("_Path model"), self->model, NULL), _("Path model"),
                     _("The rules by which the field at the house follows from power, distance and ground. With "
                       "profiles of the ground a model that bends over hills says more than curves of averages."),
                     "terrain");
  dwn_form_add (form, _("_Date, for compass bearings"), self->date, NULL);
  dwn_form_add_pair (form, NULL, self->leaves);
  g_signal_connect_swapped (self->model, "notify::selected", G_CALLBACK (model_cb), self);
  g_signal_connect_swapped (self->leaves, "toggled", G_CALLBACK (leaves_cb), self);
}

static void
dwn_site_panel_init (DwnSitePanel *self)
{
  self->scrolled = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_widget_set_parent (self->scrolled, GTK_WIDGET (self));
}

GtkWidget *
dwn_site_panel_new (DwnDocument *document)
{
  DwnSitePanel *self = g_object_new (DWN_TYPE_SITE_PANEL, NULL);
  GtkWidget *form = dwn_form_new ();

  self->document = g_object_ref (document);
  gtk_widget_add_css_class (form, "panel-body");
  add_house (self, form);
  dwn_form_add_heading (form, _("What the house takes from the signal"));
  gtk_box_append (GTK_BOX (form), dwn_house_losses_new (document));
  dwn_form_add_heading (form, _("What disturbs the amplifiers"));
  gtk_box_append (GTK_BOX (form), dwn_unwanted_section_new (document));
  add_ground (self, form);
  add_method (self, form);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scrolled), form);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "changed", G_CALLBACK (show_folder), self, G_CONNECT_SWAPPED);
  show (self);
  show_folder (self);
  return GTK_WIDGET (self);
}
