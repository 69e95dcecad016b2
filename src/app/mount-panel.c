#include "app/mount-panel.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/aim-section.h"
#include "app/form.h"
#include "app/hint.h"
#include "core/study/mount.h"
#include "words/mount-words.h"

#define MOST_LENGTH_M 30.0
#define MOST_DIAMETER_M 0.5
#define MOST_MOMENT_NM 20000.0
#define MOST_WIND_M_PER_S 100.0
#define RULE_CHARS 8

struct _DwnMountPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *rule, *clear, *clamped, *diameter, *mast, *bracket, *roof, *line, *wind, *ice;
  GtkWidget *ultimate, *guyed, *exposed, *findings, *cautions;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnMountPanel, dwn_mount_panel, GTK_TYPE_BOX)

static DwnSite
site_of (DwnMountPanel *self)
{
  return *dwn_document_plan (self->document)->site;
}

static void
take (DwnMountPanel *self, const DwnSite *site)
{
  g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (self->document), site);

  dwn_document_edit (self->document, plan, _("Describe the mast"), NULL, NULL);
}

/* What a person leaves empty is not known: 0 in the plan. */
#define NUMBER_CALLBACK(name, field, scale)                                                                  \
  static void name (double value, gpointer data)                                                             \
  {                                                                                                          \
    DwnSite site = site_of (data);                                                                           \
    site.mast.field = isnan (value) ? 0.0 : value * (scale);                                                 \
    take (data, &site);                                                                                      \
  }

NUMBER_CALLBACK (free_cb, free_m, 1.0)
NUMBER_CALLBACK (clamped_cb, clamped_m, 1.0)
NUMBER_CALLBACK (diameter_cb, diameter_m, 0.001)
NUMBER_CALLBACK (mast_cb, mast_nm, 1.0)
NUMBER_CALLBACK (bracket_cb, bracket_nm, 1.0)
NUMBER_CALLBACK (roof_cb, roof_m, 1.0)
NUMBER_CALLBACK (line_cb, line_m, 1.0)
NUMBER_CALLBACK (wind_cb, wind_m_per_s, 1.0)
NUMBER_CALLBACK (ice_cb, ice_m, 0.001)

static void
checks_cb (DwnMountPanel *self)
{
  DwnSite site = site_of (self);

  if (self->updating)
    return;
  site.mast.wind_ultimate = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->ultimate));
  site.mast.guyed = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->guyed));
  site.mast.exposed = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->exposed));
  site.mast.rule = (DwnSafetyRule) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->rule));
  take (self, &site);
}

static void
clear_box (GtkWidget *box)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (box)) != NULL)
    gtk_box_remove (GTK_BOX (box), child);
}

static void
append_moment (DwnMountPanel *self, const DwnMountStudy *study)
{
  const DwnWording *wording = dwn_document_wording (self->document);

  if (isnan (study->moment_nm))
    return;
  g_autofree char *moment = dwn_word_moment (wording, study->moment_nm);
  g_autofree char *pressure = dwn_word_pressure (wording, study->pressure_pa);
  g_autofree char *text = g_strdup_printf (_("At a wind pressure of %s the upper clamp takes a bending moment of %s."),
                                           pressure, moment);
  gtk_box_append (GTK_BOX (self->findings), dwn_line_new (text, NULL));
}

static void
show_findings (DwnMountPanel *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  const DwnPlan *plan = dwn_document_plan (self->document);
  DwnMountRules rules;

  clear_box (self->findings);
  clear_box (self->cautions);
  if (!dwn_mount_rules_load (&rules, NULL))
    return;
  g_autoptr (DwnMountStudy) study = dwn_mount_study_new (plan, &rules);
  append_moment (self, study);
  for (guint i = 0; i < study->findings->len; i++)
    {
      const DwnMountFinding *finding = &g_array_index (study->findings, DwnMountFinding, i);
      g_autofree char *text = dwn_word_mount_finding (wording, finding);
      gtk_box_append (GTK_BOX (self->findings), dwn_line_new (text, finding->weight == DWN_MOUNT_MEND ? "fault" : NULL));
    }
  if (gtk_widget_get_first_child (self->findings) == NULL)
    gtk_box_append (GTK_BOX (self->findings),
                    dwn_line_new (_("With the mast's free length and thickness the wind load is worked out here."), "dim-label"));
  g_autoptr (GPtrArray) cautions = dwn_word_mount_cautions (wording, plan, study, &rules, NULL);
  for (guint i = 0; cautions != NULL && i < cautions->len; i++)
    gtk_box_append (GTK_BOX (self->cautions), dwn_line_new (g_ptr_array_index (cautions, i), NULL));
}

static void
show_number (GtkWidget *number, double value, double scale)
{
  dwn_number_set (number, value > 0.0 ? value / scale : (double) NAN);
}

static void
show (DwnMountPanel *self)
{
  const DwnMast *mast = &dwn_document_plan (self->document)->site->mast;

  self->updating = TRUE;
  show_number (self->clear, mast->free_m, 1.0);
  show_number (self->clamped, mast->clamped_m, 1.0);
  show_number (self->diameter, mast->diameter_m, 0.001);
  show_number (self->mast, mast->mast_nm, 1.0);
  show_number (self->bracket, mast->bracket_nm, 1.0);
  show_number (self->roof, mast->roof_m, 1.0);
  show_number (self->line, mast->line_m, 1.0);
  show_number (self->wind, mast->wind_m_per_s, 1.0);
  show_number (self->ice, mast->ice_m, 0.001);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->rule), (guint) mast->rule);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->ultimate), mast->wind_ultimate);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->guyed), mast->guyed);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->exposed), mast->exposed);
  self->updating = FALSE;
  show_findings (self);
}

static void
dwn_mount_panel_dispose (GObject *object)
{
  g_clear_object (&DWN_MOUNT_PANEL (object)->document);
  G_OBJECT_CLASS (dwn_mount_panel_parent_class)->dispose (object);
}

static void
dwn_mount_panel_class_init (DwnMountPanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_mount_panel_dispose;
}

static void
dwn_mount_panel_init (DwnMountPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
}

static GtkWidget *
add_number (DwnMountPanel *self, GtkWidget *form, const char *caption, double most, DwnNumberFunc changed, const char *unit)
{
  GtkWidget *number = dwn_number_new (0.0, most, 2, TRUE, changed, self);

  dwn_form_add (form, caption, number, unit);
  return number;
}

static GtkWidget *
add_check (DwnMountPanel *self, GtkWidget *form, const char *label)
{
  GtkWidget *check = dwn_check_new (label);

  g_signal_connect_swapped (check, "toggled", G_CALLBACK (checks_cb), self);
  dwn_form_add_pair (form, NULL, check);
  return check;
}

static GtkWidget *
form_new (DwnMountPanel *self)
{
  static const char *const rules[] = { N_("as the stations' system suggests"), N_("EN 60728-11"),
                                       N_("velocity pressure, National Electrical Code"), NULL };
  GtkWidget *form = dwn_form_new ();

  self->rule = dwn_choice_new (rules);
  dwn_choice_cut (self->rule, RULE_CHARS);
  dwn_form_add_hint (dwn_form_add (form, _("_Reckoned by"), self->rule, NULL), _("Wind on the mast"),
                     _("The wind pushes on antennas and mast; where the mast is clamped, the push times its lever "
                       "bends it. A standard says how strong a wind to reckon with."), "mount");
  self->clear = add_number (self, form, _("_Free above the upper clamp"), MOST_LENGTH_M, free_cb, _("m"));
  self->clamped = add_number (self, form, _("_Clamped over"), MOST_LENGTH_M, clamped_cb, _("m"));
  self->diameter = add_number (self, form, _("Mast's _thickness"), 1000.0 * MOST_DIAMETER_M, diameter_cb, _("mm"));
  self->mast = add_number (self, form, _("The _mast may take"), MOST_MOMENT_NM, mast_cb, _("N\xC2\xB7m"));
  self->bracket = add_number (self, form, _("The _bracket may take"), MOST_MOMENT_NM, bracket_cb, _("N\xC2\xB7m"));
  self->roof = add_number (self, form, _("_Roof to the lowest antenna"), MOST_LENGTH_M, roof_cb, _("m"));
  self->line = add_number (self, form, _("Nearest _power line"), 1000.0, line_cb, _("m from the foot of the mast"));
  self->wind = add_number (self, form, _("_Wind by the local code"), MOST_WIND_M_PER_S, wind_cb, _("m/s; empty: the rule's own"));
  self->ice = add_number (self, form, _("_Ice all round"), 200.0, ice_cb, _("mm"));
  self->ultimate = add_check (self, form, _("That wind is an _ultimate speed"));
  self->guyed = add_check (self, form, _("The mast is _guyed"));
  self->exposed = add_check (self, form, _("It stands e_xposed, on a hill or at the coast"));
  g_signal_connect_swapped (self->rule, "notify::selected", G_CALLBACK (checks_cb), self);
  return form;
}

GtkWidget *
dwn_mount_panel_new (DwnDocument *document)
{
  DwnMountPanel *self = g_object_new (DWN_TYPE_MOUNT_PANEL, NULL);

  self->document = g_object_ref (document);
  self->findings = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  self->cautions = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget *const children[] = {
    dwn_line_new (_("Aiming on the day"), "heading"), dwn_aim_section_new (document),
    dwn_line_new (_("Mast"), "heading"), form_new (self), dwn_line_new (_("Does it hold?"), "heading"), self->findings,
    dwn_line_new (_("Cautions for this mount"), "heading"), self->cautions,
  };
  gtk_box_append (GTK_BOX (self), dwn_panel_body_new (G_N_ELEMENTS (children), children));
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
