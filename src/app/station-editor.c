#include "app/station-editor.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "app/hint.h"
#include "core/geo/coordinates.h"
#include "core/geo/geodesic.h"
#include "core/plan/stations.h"

#define NEW_STATION_M 20000.0
#define NEW_ERP_KW 10.0
#define LEAST_ERP_KW 0.0001
#define MOST_HEIGHT_M 9000.0

struct _DwnStationEditor {
  GtkWidget parent_instance;

  DwnDocument *document;
  GtkWidget *name, *site, *system, *rf, *on_screen, *place, *erp, *haat, *agl, *polarisation;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnStationEditor, dwn_station_editor, GTK_TYPE_WIDGET)

static const DwnStation *
station_of (DwnStationEditor *self)
{
  int i = dwn_document_selected (self->document);

  return i >= 0 ? &dwn_document_plan (self->document)->stations->station[i] : NULL;
}

/* The selected station, to be changed. FALSE: there is none any more; an entry tells what was typed
 * when it loses the focus, and that may be because another plan is shown. */
static gboolean
begin_change (DwnStationEditor *self, DwnStation *changed)
{
  const DwnStation *station = station_of (self);

  if (station == NULL)
    return FALSE;
  *changed = *station;
  return TRUE;
}

/* Takes the changed station into the plan, or says why not. What a person typed is no list's. */
static gboolean
take (DwnStationEditor *self, DwnStation *changed, char **message)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autoptr (GError) error = NULL;

  changed->line = 0;
  if (!dwn_station_check (changed, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  g_autoptr (DwnStations) stations = dwn_stations_with (plan->stations, changed);
  g_autoptr (DwnPlan) edited = dwn_plan_with_stations (plan, stations, plan->services);
  g_autofree char *label = g_strdup_printf (_("Change %s"), changed->name);
  if (dwn_document_edit (self->document, edited, label, NULL, &error))
    return TRUE;
  *message = g_strdup (error->message);
  return FALSE;
}

static gboolean
name_cb (const char *text, gpointer data, char **message)
{
  DwnStation changed;

  if (!begin_change (data, &changed))
    return FALSE;
  changed.name = g_intern_string (text);
  return take (data, &changed, message);
}

static gboolean
site_cb (const char *text, gpointer data, char **message)
{
  DwnStation changed;

  if (!begin_change (data, &changed))
    return FALSE;
  changed.site = g_intern_string (text);
  return take (data, &changed, message);
}

static gboolean
put_channel (DwnStation *changed, const char *rf, char **message)
{
  g_autoptr (GError) error = NULL;
  DwnChannel channel;

  if (!dwn_channel_find (changed->system, rf, &channel, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  changed->rf = g_intern_string (channel.rf);
  changed->mhz = channel.centre_mhz;
  changed->band = channel.band;
  return TRUE;
}

static gboolean
rf_cb (const char *text, gpointer data, char **message)
{
  DwnStation changed;

  return begin_change (data, &changed) && put_channel (&changed, text, message)
         && take (data, &changed, message);
}

static gboolean
place_cb (const char *text, gpointer data, char **message)
{
  DwnStation changed;
  g_autoptr (GError) error = NULL;

  if (!begin_change (data, &changed))
    return FALSE;
  if (dwn_lat_lon_parse (text, &changed.at, &error))
    return take (data, &changed, message);
  *message = g_strdup (error->message);
  return FALSE;
}

/* The number belongs to the station's first service. */
static gboolean
on_screen_cb (const char *text, gpointer data, char **message)
{
  DwnStationEditor *self = data;
  const DwnPlan *plan = dwn_document_plan (self->document);
  const DwnStation *station = station_of (self);
  int s = station != NULL && station->n_services > 0 ? dwn_services_find (plan->services, station->services[0]) : -1;

  if (s < 0)
    return FALSE;
  DwnService changed = plan->services->service[s];
  changed.on_screen = g_intern_string (text);
  g_autoptr (DwnServices) services = dwn_services_with (plan->services, &changed);
  g_autoptr (DwnPlan) edited = dwn_plan_with_stations (plan, plan->stations, services);
  return dwn_document_edit (self->document, edited, _("Change the on-screen number"), NULL, NULL);
}

static void
take_number (DwnStationEditor *self, DwnStation *changed)
{
  g_autofree char *message = NULL;

  if (!take (self, changed, &message))
    g_warning ("%s", message); /* the entry's own range keeps this away */
}

static void
erp_cb (double value, gpointer data)
{
  DwnStation changed;

  if (!begin_change (data, &changed))
    return;
  changed.erp_kw = value;
  take_number (data, &changed);
}

static void
haat_cb (double value, gpointer data)
{
  DwnStation changed;

  if (!begin_change (data, &changed))
    return;
  changed.haat_m = value;
  take_number (data, &changed);
}

static void
agl_cb (double value, gpointer data)
{
  DwnStation changed;

  if (!begin_change (data, &changed))
    return;
  changed.agl_m = value;
  take_number (data, &changed);
}

/* A system without this RF channel: its first one in the same band. */
static gboolean
put_system (DwnStation *changed, DwnSystem system)
{
  g_autofree char *message = NULL;
  DwnBand band = changed->band;
  gsize n;
  const DwnChannel *channels = dwn_system_channels (system, &n);

  changed->system = system;
  changed->mode = NULL;
  if (put_channel (changed, changed->rf, &message))
    return TRUE;
  for (gsize i = 0; i < n; i++)
    if (channels[i].band == band || i == n - 1)
      {
        g_autofree char *why = NULL;
        return put_channel (changed, channels[i].rf, &why);
      }
  return FALSE;
}

static void
system_cb (DwnStationEditor *self)
{
  const DwnStation *station = station_of (self);
  DwnSystem system = (DwnSystem) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->system));

  if (self->updating || station == NULL || station->system == system)
    return;
  DwnStation changed = *station;
  if (put_system (&changed, system))
    take_number (self, &changed);
}

static void
polarisation_cb (DwnStationEditor *self)
{
  const DwnStation *station = station_of (self);
  guint chosen = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->polarisation));

  if (self->updating || station == NULL || (guint) station->polarisation == chosen)
    return;
  DwnStation changed = *station;
  changed.polarisation = (DwnPolarisation) chosen;
  take_number (self, &changed);
}

static void
show (DwnStationEditor *self)
{
  const DwnStation *station = station_of (self);

  gtk_widget_set_sensitive (GTK_WIDGET (self), station != NULL);
  if (station == NULL)
    return;
  g_autofree char *place = dwn_lat_lon_format_plain (&station->at);
  const DwnServices *services = dwn_document_plan (self->document)->services;
  self->updating = TRUE;
  dwn_text_set (self->name, station->name);
  dwn_text_set (self->site, station->site);
  dwn_text_set (self->rf, station->rf);
  dwn_text_set (self->on_screen, dwn_station_on_screen (station, services));
  dwn_text_set (self->place, place);
  dwn_number_set (self->erp, station->erp_kw);
  dwn_number_set (self->haat, station->haat_m);
  dwn_number_set (self->agl, station->agl_m);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->system), (guint) station->system);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->polarisation), (guint) station->polarisation);
  gtk_widget_set_sensitive (self->on_screen, station->n_services > 0);
  self->updating = FALSE;
}

static char *
free_id (const DwnStations *stations)
{
  for (guint k = 1;; k++)
    {
      char *id = g_strdup_printf ("own-%u", k);
      if (dwn_stations_find (stations, id) < 0)
        return id;
      g_free (id);
    }
}

static DwnStation
station_to_fill_in (const DwnPlan *plan, const char *id, const char *const *services)
{
  const DwnStation *like = plan->stations->n > 0 ? &plan->stations->station[0] : NULL;
  DwnStation station = {
    .id = g_intern_string (id), .name = g_intern_string (_("New station")), .site = "",
    .system = like != NULL ? like->system : DWN_SYSTEM_ATSC1, .band = DWN_BAND_UHF, .rf = "",
    .erp_kw = NEW_ERP_KW, .haat_m = (double) NAN, .agl_m = (double) NAN, .amsl_m = (double) NAN,
    .polarisation = DWN_POLARISATION_HORIZONTAL, .n_services = 1, .services = services,
  };

  put_system (&station, station.system);
  dwn_geodesic_direct (&plan->site->at, 0.0, NEW_STATION_M, &station.at, NULL);
  return station;
}

gboolean
dwn_add_station (DwnDocument *document, GError **error)
{
  const DwnPlan *plan = dwn_document_plan (document);
  g_autofree char *id = free_id (plan->stations);
  const DwnService service = { .id = g_intern_string (id), .name = g_intern_string (_("New station")),
                               .on_screen = "" };
  const DwnStation station = station_to_fill_in (plan, id, &service.id);
  g_autoptr (DwnStations) stations = dwn_stations_with (plan->stations, &station);
  g_autoptr (DwnServices) services = dwn_services_with (plan->services, &service);
  g_autoptr (DwnPlan) edited = dwn_plan_with_stations (plan, stations, services);

  if (!dwn_station_check (&station, error)
      || !dwn_document_edit (document, edited, _("Add a station"), NULL, error))
    return FALSE;
  dwn_document_select (document, (int) stations->n - 1);
  return TRUE;
}

static gboolean
is_carried (const DwnStations *stations, const char *service)
{
  for (guint i = 0; i < stations->n; i++)
    for (guint s = 0; s < stations->station[i].n_services; s++)
      if (g_str_equal (stations->station[i].services[s], service))
        return TRUE;
  return FALSE;
}

gboolean
dwn_remove_station (DwnDocument *document)
{
  const DwnPlan *plan = dwn_document_plan (document);
  int i = dwn_document_selected (document);

  if (i < 0)
    return FALSE;
  const DwnStation *station = &plan->stations->station[i];
  g_autofree char *label = g_strdup_printf (_("Remove %s"), station->name);
  g_autoptr (DwnStations) stations = dwn_stations_without (plan->stations, station->id);
  g_autoptr (DwnServices) services = dwn_services_ref ((DwnServices *) plan->services);
  for (guint s = 0; s < station->n_services; s++)
    if (!is_carried (stations, station->services[s]))
      {
        DwnServices *fewer = dwn_services_without (services, station->services[s]);
        dwn_services_unref (services);
        services = fewer;
      }
  g_autoptr (DwnPlan) edited = dwn_plan_with_stations (plan, stations, services);
  dwn_document_select (document, -1);
  return dwn_document_edit (document, edited, label, NULL, NULL);
}

static void
dwn_station_editor_dispose (GObject *object)
{
  DwnStationEditor *self = DWN_STATION_EDITOR (object);
  GtkWidget *child = gtk_widget_get_first_child (GTK_WIDGET (self));

  g_clear_pointer (&child, gtk_widget_unparent);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_station_editor_parent_class)->dispose (object);
}

static void
dwn_station_editor_class_init (DwnStationEditorClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_station_editor_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static GtkWidget *
system_choice_new (void)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);

  for (guint i = 0; i < DWN_N_SYSTEMS; i++)
    gtk_string_list_append (words, dwn_word_system ((DwnSystem) i));
  return gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
}

static void
dwn_station_editor_init (DwnStationEditor *self)
{
  static const char *const polarisations[] = { N_("not on file"), N_("horizontal"), N_("vertical"),
                                               N_("circular or both"), NULL };
  GtkWidget *form = dwn_form_new ();

  self->name = dwn_text_new (name_cb, self);
  self->site = dwn_text_new (site_cb, self);
  self->system = system_choice_new ();
  self->rf = dwn_text_new (rf_cb, self);
  self->on_screen = dwn_text_new (on_screen_cb, self);
  self->place = dwn_text_new (place_cb, self);
  dwn_keep_left_to_right (self->place);
  self->erp = dwn_number_new (LEAST_ERP_KW, DWN_STATION_ERP_MAX_KW, 3, FALSE, erp_cb, self);
  self->haat = dwn_number_new (-MOST_HEIGHT_M, MOST_HEIGHT_M, 0, TRUE, haat_cb, self);
  self->agl = dwn_number_new (0.0, MOST_HEIGHT_M, 0, TRUE, agl_cb, self);
  self->polarisation = dwn_choice_new (polarisations);
  dwn_form_add (form, _("_Name"), self->name, NULL);
  dwn_form_add (form, _("_Mast"), self->site, NULL);
  dwn_form_add (form, _("S_ystem"), self->system, NULL);
  dwn_form_add (form, _("RF _channel"), self->rf, NULL);
  dwn_form_add (form, _("O_n screen"), self->on_screen, NULL);
  dwn_form_add (form, _("Coor_dinates"), self->place, NULL);
  dwn_form_add_hint (dwn_form_add (form, _("_Power (ERP)"), self->erp, _("kW")), _("Effective radiated power"),
                     _("What the transmitter's antenna sends towards the horizon, set against a half-wave dipole; "
                       "licence lists give it so. Against an isotrope it is 2.15 dB more."), "glossary");
  dwn_form_add_hint (dwn_form_add (form, _("_Height above average terrain"), self->haat, _("m")),
                     _("Height above average terrain"),
                     _("Of the transmitter's antenna, above the mean of the ground from 3 to 16 km around it. Left "
                       "empty, 30 m are assumed."), "glossary");
  dwn_form_add (form, _("Height above _ground"), self->agl, _("m"));
  dwn_form_add (form, _("Po_larisation"), self->polarisation, NULL);
  g_signal_connect_swapped (self->system, "notify::selected", G_CALLBACK (system_cb), self);
  g_signal_connect_swapped (self->polarisation, "notify::selected", G_CALLBACK (polarisation_cb), self);
  gtk_widget_set_parent (form, GTK_WIDGET (self));
}

GtkWidget *
dwn_station_editor_new (DwnDocument *document)
{
  DwnStationEditor *self = g_object_new (DWN_TYPE_STATION_EDITOR, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
