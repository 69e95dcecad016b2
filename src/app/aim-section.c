#include "app/aim-section.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "words/aim-words.h"

struct _DwnAimSection {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnMagneticModel *magnetic; /* nullable */
  DwnDate date;               /* of the work on the roof */
  GTimeZone *zone;            /* clocks there */
  double landmark_deg;        /* NaN: none */
  GtkWidget *lines;
};

G_DEFINE_FINAL_TYPE (DwnAimSection, dwn_aim_section, GTK_TYPE_BOX)

static void
append (DwnAimSection *self, char *text)
{
  if (text != NULL && text[0] != '\0')
    gtk_box_append (GTK_BOX (self->lines), dwn_line_new (text, NULL));
  g_free (text);
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
  guint n = dwn_sun_aim (&dwn_document_plan (self->document)->site->at, aim_deg, &self->date, self->zone, moments);

  for (guint i = 0; i < n; i++)
    append (self, dwn_word_sun_moment (dwn_document_wording (self->document), &moments[i], self->zone));
}

static void
show (DwnAimSection *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->lines)) != NULL)
    gtk_box_remove (GTK_BOX (self->lines), child);
  for (guint a = 0; a < findings.plan->gear->n_antennas; a++)
    {
      g_autofree char *what = dwn_word_antenna (wording, findings.plan->gear, a);
      g_autofree char *bearing = dwn_word_bearing (wording, findings.aim_deg[a]);
      g_autofree char *head = g_strdup_printf (_("Aim of the %s: %s true"), what, bearing);
      gtk_box_append (GTK_BOX (self->lines), dwn_line_new (head, "strong"));
      append_compass (self, findings.aim_deg[a]);
      append_sun (self, findings.aim_deg[a]);
      if (!isnan (self->landmark_deg))
        append (self, dwn_word_turn (wording, self->landmark_deg, findings.aim_deg[a]));
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

static gboolean
zone_cb (const char *text, gpointer data, char **message)
{
  DwnAimSection *self = data;
  GTimeZone *zone = text[0] == '\0' ? g_time_zone_new_local () : g_time_zone_new_identifier (text);

  if (zone == NULL)
    {
      *message = g_strdup (_("A time zone such as America/New_York or +02:00 was expected"));
      return FALSE;
    }
  g_time_zone_unref (self->zone);
  self->zone = zone;
  show (self);
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
  g_clear_pointer (&self->zone, g_time_zone_unref);
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
  self->zone = g_time_zone_new_local ();
  self->landmark_deg = (double) NAN;
  g_date_time_get_ymd (now, &self->date.year, &self->date.month, &self->date.day);
}

GtkWidget *
dwn_aim_section_new (DwnDocument *document)
{
  DwnAimSection *self = g_object_new (DWN_TYPE_AIM_SECTION, NULL);
  GtkWidget *form = dwn_form_new (), *date = dwn_text_new (date_cb, self), *zone = dwn_text_new (zone_cb, self);
  GtkWidget *landmark = dwn_number_new (0.0, 360.0, 1, TRUE, landmark_cb, self);
  g_autofree char *today = g_strdup_printf ("%04d-%02d-%02d", self->date.year, self->date.month, self->date.day);

  self->document = g_object_ref (document);
  self->lines = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  dwn_text_set (date, today);
  gtk_entry_set_placeholder_text (GTK_ENTRY (zone), _("as this machine's clock"));
  dwn_form_add (form, _("_Day of the work"), date, NULL);
  dwn_form_add (form, _("Time _zone"), zone, NULL);
  dwn_form_add (form, _("_Landmark at"), landmark, _("\xC2\xB0 true from the house"));
  gtk_box_append (GTK_BOX (self), form);
  gtk_box_append (GTK_BOX (self), self->lines);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
