#include "app/aim-section.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "core/geo/coordinates.h"
#include "core/geo/geodesic.h"
#include "words/aim-words.h"

struct _DwnAimSection {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnMagneticModel *magnetic; /* nullable */
  DwnDate date;               /* of the work on the roof */
  double landmark_deg;        /* as entered; NaN: the plan's landmark */
  GtkWidget *lines, *zone, *place, *landmark;
};

G_DEFINE_FINAL_TYPE (DwnAimSection, dwn_aim_section, GTK_TYPE_BOX)

static void
append (DwnAimSection *self, char *text)
{
  if (text != NULL && text[0] != '\0')
    gtk_box_append (GTK_BOX (self->lines), dwn_line_new (text, NULL));
  g_free (text);
}

/* Clocks at the house; those of this machine where the plan does not say, or it knows no such zone. */
static GTimeZone *
zone_new (DwnAimSection *self)
{
  const char *id = dwn_document_plan (self->document)->site->time_zone;
  GTimeZone *zone = id[0] != '\0' ? g_time_zone_new_identifier (id) : NULL;

  return zone != NULL ? zone : g_time_zone_new_local ();
}

/* Bearing of the plan's landmark; NaN where it has none. */
static double
plan_landmark_deg (DwnAimSection *self)
{
  const DwnSite *site = dwn_document_plan (self->document)->site;
  double bearing_deg = (double) NAN;

  if (!isnan (site->landmark.lat_deg) && !isnan (site->landmark.lon_deg))
    dwn_geodesic_inverse (&site->at, &site->landmark, NULL, &bearing_deg, NULL, NULL);
  return bearing_deg;
}

static void
append_compass (DwnAimSection *self, double aim_deg)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autofree char *date = g_strdup_printf ("%04d-%02d-%02d", self->date.year, self->date.month, self->date.day);
  DwnCompassAim aim;

  if (self->magnetic == NULL)
    return;
  dwn_compass_aim (self->magnetic, &plan->site->at, dwn_date_decimal_year (&self->date), aim_deg, &aim);
  append (self, dwn_word_compass_aim (dwn_document_wording (self->document), &aim, date));
}

static void
append_sun (DwnAimSection *self, double aim_deg)
{
  DwnSunMoment moments[DWN_SUN_AIM_MAX];
  g_autoptr (GTimeZone) zone = zone_new (self);
  guint n = dwn_sun_aim (&dwn_document_plan (self->document)->site->at, aim_deg, &self->date, zone, moments);

  for (guint i = 0; i < n; i++)
    append (self, dwn_word_sun_moment (dwn_document_wording (self->document), &moments[i], zone));
}

/* "Aim of the UHF antenna: 80° true", or by compass where the person reads that first. */
static char *
head_text (DwnAimSection *self, const DwnFindings *findings, guint antenna)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  double aim_deg = findings->aim_deg[antenna];
  g_autofree char *what = dwn_word_antenna (wording, findings->plan->gear, antenna);
  g_autofree char *bearing = dwn_word_bearing (wording, aim_deg);

  if (!wording->magnetic_first || isnan (findings->declination_deg))
    return g_strdup_printf (_("Aim of the %s: %s true"), what, bearing);
  g_autofree char *compass = dwn_word_bearing (wording, dwn_compass_deg (aim_deg, findings->declination_deg));
  return g_strdup_printf (_("Aim of the %s: %s by compass, %s true"), what, compass, bearing);
}

/* What the plan says, in the entries. */
static void
show_entries (DwnAimSection *self)
{
  const DwnSite *site = dwn_document_plan (self->document)->site;
  g_autofree char *place = isnan (site->landmark.lat_deg) ? g_strdup ("") : dwn_lat_lon_format_plain (&site->landmark);

  dwn_text_set (self->zone, site->time_zone);
  dwn_text_set (self->place, place);
  if (isnan (self->landmark_deg))
    dwn_number_set (self->landmark, plan_landmark_deg (self));
}

static void
show (DwnAimSection *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);
  double landmark_deg = isnan (self->landmark_deg) ? plan_landmark_deg (self) : self->landmark_deg;
  GtkWidget *child;

  show_entries (self);
  while ((child = gtk_widget_get_first_child (self->lines)) != NULL)
    gtk_box_remove (GTK_BOX (self->lines), child);
  for (guint a = 0; a < findings.plan->gear->n_antennas; a++)
    {
      g_autofree char *head = head_text (self, &findings, a);
      gtk_box_append (GTK_BOX (self->lines), dwn_line_new (head, "strong"));
      append_compass (self, findings.aim_deg[a]);
      append_sun (self, findings.aim_deg[a]);
      if (!isnan (landmark_deg))
        append (self, dwn_word_turn (wording, landmark_deg, findings.aim_deg[a]));
    }
}

static gboolean
date_cb (const char *text, gpointer data, char **message)
{
  DwnAimSection *self = data;
  g_autoptr (GError) error = NULL;

  if (!dwn_date_parse (text, &self->date, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  show (self);
  return TRUE;
}

static void
take (DwnAimSection *self, const DwnSite *site, const char *label)
{
  g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (self->document), site);

  dwn_document_edit (self->document, plan, label, NULL, NULL);
}

static gboolean
zone_cb (const char *text, gpointer data, char **message)
{
  DwnAimSection *self = data;
  DwnSite site = *dwn_document_plan (self->document)->site;
  g_autoptr (GTimeZone) zone = text[0] != '\0' ? g_time_zone_new_identifier (text) : g_time_zone_new_utc ();

  if (zone == NULL)
    {
      *message = g_strdup (_("A time zone such as America/New_York or +02:00 was expected"));
      return FALSE;
    }
  site.time_zone = g_intern_string (text);
  take (self, &site, _("Set the time zone"));
  return TRUE;
}

static gboolean
place_cb (const char *text, gpointer data, char **message)
{
  DwnAimSection *self = data;
  DwnSite site = *dwn_document_plan (self->document)->site;
  g_autoptr (GError) error = NULL;

  site.landmark = (DwnLatLon) { (double) NAN, (double) NAN };
  if (text[0] != '\0' && !dwn_lat_lon_parse (text, &site.landmark, &error))
    {
      *message = g_strdup (error->message);
      return FALSE;
    }
  self->landmark_deg = (double) NAN;
  take (self, &site, _("Choose a landmark"));
  return TRUE;
}

static void
landmark_cb (double value, gpointer data)
{
  DWN_AIM_SECTION (data)->landmark_deg = value;
  show (data);
}

static void
dwn_aim_section_dispose (GObject *object)
{
  DwnAimSection *self = DWN_AIM_SECTION (object);

  g_clear_pointer (&self->magnetic, dwn_magnetic_model_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_aim_section_parent_class)->dispose (object);
}

static void
dwn_aim_section_class_init (DwnAimSectionClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_aim_section_dispose;
}

static void
dwn_aim_section_init (DwnAimSection *self)
{
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
  self->magnetic = dwn_magnetic_model_new (NULL);
  self->landmark_deg = (double) NAN;
  g_date_time_get_ymd (now, &self->date.year, &self->date.month, &self->date.day);
}

GtkWidget *
dwn_aim_section_new (DwnDocument *document)
{
  DwnAimSection *self = g_object_new (DWN_TYPE_AIM_SECTION, NULL);
  GtkWidget *form = dwn_form_new (), *date = dwn_text_new (date_cb, self);
  g_autofree char *today = g_strdup_printf ("%04d-%02d-%02d", self->date.year, self->date.month, self->date.day);

  self->document = g_object_ref (document);
  self->lines = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  self->zone = dwn_text_new (zone_cb, self);
  self->place = dwn_text_new (place_cb, self);
  self->landmark = dwn_number_new (0.0, 360.0, 1, TRUE, landmark_cb, self);
  dwn_text_set (date, today);
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->zone), _("as this machine's clock"));
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->place), _("coordinates of something in sight"));
  dwn_form_add (form, _("_Day of the work"), date, NULL);
  dwn_form_add (form, _("Time _zone"), self->zone, NULL);
  dwn_form_add (form, _("Land_mark's place"), self->place, NULL);
  dwn_form_add (form, _("_Landmark at"), self->landmark, _("\xC2\xB0 true from the house"));
  gtk_box_append (GTK_BOX (self), form);
  gtk_box_append (GTK_BOX (self), self->lines);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
