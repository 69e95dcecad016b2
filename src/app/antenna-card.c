#include "app/antenna-card.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/antenna-pair.h"
#include "app/antenna-plot.h"
#include "app/antenna-rows.h"
#include "app/form-row.h"
#include "app/form.h"
#include "app/gear-edit.h"

#include "core/antenna/stack.h"
#include "words/mount-words.h"

#define PLOT_PX 100
#define FORM_PX 220
#define MOST_BELOW_M 20.0
#define MOST_WIND_M2 5.0
#define LEAST_SPACING_M 0.1
#define STACKED_CHARS 7

struct _DwnAntennaCard {
  GtkBox parent_instance;

  DwnDocument *document;
  guint antenna;
  GtkWidget *title, *pattern, *plot, *figures, *faults, *message;
  GtkWidget *aim, *polarisation, *below, *height, *stacked, *spacing, *spacing_name, *usual, *wind, *name;
  gboolean updating; /* values are being shown, not entered */
};

G_DEFINE_FINAL_TYPE (DwnAntennaCard, dwn_antenna_card, GTK_TYPE_BOX)

/* In the order of the drop-down. */
static const DwnPolarisation polarisations[] = {
  DWN_POLARISATION_HORIZONTAL, DWN_POLARISATION_VERTICAL, DWN_POLARISATION_CIRCULAR,
};

static const DwnPlan *
plan_of (DwnAntennaCard *self)
{
  return dwn_document_plan (self->document);
}

/* Its index among the parts. */
static guint
part_of (DwnAntennaCard *self)
{
  return plan_of (self)->gear->antenna[self->antenna];
}

static const DwnPart *
values_of (DwnAntennaCard *self)
{
  return &plan_of (self)->gear->part[part_of (self)];
}

/* Edits ------------------------------------------------------------------------------------------ */

static gboolean
is_idle (DwnAntennaCard *self)
{
  return self->updating || self->antenna >= plan_of (self)->gear->n_antennas;
}

/* Takes @plan. Edits of one @field in a row are one step. */
static void
apply (DwnAntennaCard *self, DwnPlan *plan, const char *label, const char *field, GError *error)
{
  g_autofree char *merge = g_strdup_printf ("antenna:%s:%s", values_of (self)->id, field);

  dwn_antenna_show_text (self->message, "");
  if (plan != NULL)
    dwn_document_edit (self->document, plan, label, merge, &error);
  if (error != NULL)
    dwn_antenna_show_text (self->message, error->message);
  g_clear_pointer (&plan, dwn_plan_unref);
  g_clear_error (&error);
}

static void
set_values (DwnAntennaCard *self, const DwnPart *values, const char *label, const char *field)
{
  GError *error = NULL;

  apply (self, dwn_gear_with_part (plan_of (self), part_of (self), values, &error), label, field, error);
}

static void
aim_cb (DwnAntennaCard *self, GtkSpinButton *spin)
{
  const DwnAims *aims = plan_of (self)->aims;

  if (is_idle (self))
    return;
  g_autofree double *aim_deg = g_memdup2 (aims->aim_deg, aims->n * sizeof (double));
  aim_deg[self->antenna] = gtk_spin_button_get_value (spin);
  apply (self, dwn_plan_with_aims (plan_of (self), aims->n, aim_deg), _("Turn the antenna"), "aim", NULL);
}

static void
below_cb (DwnAntennaCard *self, GtkSpinButton *spin)
{
  if (is_idle (self))
    return;
  DwnPart values = *values_of (self);
  values.below_top_m = gtk_spin_button_get_value (spin);
  set_values (self, &values, _("Hang an antenna higher or lower"), "below");
}

static void
wind_cb (DwnAntennaCard *self, GtkSpinButton *spin)
{
  if (is_idle (self))
    return;
  DwnPart values = *values_of (self);
  values.wind_m2 = gtk_spin_button_get_value (spin);
  set_values (self, &values, _("Change what wind catches"), "wind");
}

static void
polarisation_cb (DwnAntennaCard *self)
{
  guint chosen = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->polarisation));

  if (is_idle (self) || chosen >= G_N_ELEMENTS (polarisations)
      || values_of (self)->polarisation == polarisations[chosen])
    return;
  DwnPart values = *values_of (self);
  values.polarisation = polarisations[chosen];
  set_values (self, &values, _("Change the polarisation"), "polarisation");
}

static void
name_cb (DwnAntennaCard *self)
{
  const char *name = gtk_editable_get_text (GTK_EDITABLE (self->name));

  if (is_idle (self))
    return;
  DwnPart values = *values_of (self);
  values.name = name[0] != '\0' ? g_intern_string (name) : NULL;
  set_values (self, &values, _("Name an antenna"), "name");
}

/* Stacks ----------------------------------------------------------------------------------------- */

/* In the order of the drop-down, behind "one". */
static const DwnStack stacks[] = { DWN_STACK_VERTICAL, DWN_STACK_HORIZONTAL };

/* The selected station's frequency, otherwise where this antenna is best. */
static double
shown_mhz (DwnAntennaCard *self)
{
  int station = dwn_document_selected (self->document);

  return station >= 0 ? plan_of (self)->stations->station[station].mhz
                      : dwn_gear_best_mhz (values_of (self)->pattern);
}

/* One of the two, where it is a stack.
 * Returns: (transfer full), or NULL with @error. */
static DwnPattern *
single_pattern (DwnAntennaCard *self, GError **error)
{
  const DwnPattern *pattern = values_of (self)->pattern;
  DwnStackId stack;

  if (!dwn_stack_id_parse (pattern->id, &stack))
    return dwn_pattern_ref (pattern);
  return dwn_catalogue_pattern (dwn_document_tables (self->document)->catalogue, stack.of, error);
}

/* 0: where it gives most gain. */
static void
stack (DwnAntennaCard *self, guint chosen, double spacing_m, const char *field)
{
  GError *error = NULL;
  g_autoptr (DwnPattern) one = single_pattern (self, &error);
  g_autoptr (DwnPattern) pattern = one != NULL && chosen == 0 ? dwn_pattern_ref (one) : NULL;
  DwnPlan *plan = NULL;

  if (one != NULL && chosen > 0)
    {
      DwnStack direction = stacks[chosen - 1];
      double apart_m = spacing_m > 0.0 ? spacing_m : dwn_stack_best_spacing_m (one, direction, shown_mhz (self));

      pattern = dwn_stack_pattern (one, direction, apart_m, &error);
    }
  if (pattern != NULL)
    plan = dwn_gear_with_pattern (plan_of (self), part_of (self), pattern, &error);
  apply (self, plan, _("Stack two antennas"), field, error);
}

static void
stacked_cb (DwnAntennaCard *self)
{
  guint chosen = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->stacked));

  if (!is_idle (self) && chosen <= G_N_ELEMENTS (stacks))
    stack (self, chosen, 0.0, "stacked");
}

static void
spacing_cb (DwnAntennaCard *self, GtkSpinButton *spin)
{
  if (!is_idle (self))
    stack (self, gtk_drop_down_get_selected (GTK_DROP_DOWN (self->stacked)), gtk_spin_button_get_value (spin),
           "spacing");
}

/* What is shown ---------------------------------------------------------------------------------- */

static void
show_names (DwnAntennaCard *self, const DwnWording *wording)
{
  const DwnPart *part = values_of (self);
  g_autofree char *name = dwn_word_antenna (wording, plan_of (self)->gear, self->antenna);

  if (g_ascii_islower (name[0]))
    name[0] = g_ascii_toupper (name[0]);
  gtk_label_set_text (GTK_LABEL (self->title), name);
  gtk_label_set_text (GTK_LABEL (self->pattern), dwn_word_pattern (wording, part->pattern));
  if (g_strcmp0 (part->name != NULL ? part->name : "", gtk_editable_get_text (GTK_EDITABLE (self->name))) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->name), part->name != NULL ? part->name : "");
}

static void
show_pattern (DwnAntennaCard *self, const DwnWording *wording)
{
  const DwnPattern *pattern = values_of (self)->pattern;
  double mhz = shown_mhz (self);
  g_autofree char *figures = dwn_antenna_figures (wording, pattern, mhz);
  g_autofree char *at = dwn_word_number (wording, mhz, 0);
  /* Translators: frequency, then "9.5 dBi, 54° wide, 15 dB front to back" */
  g_autofree char *text = g_strdup_printf (_("At %s MHz: %s"), at, figures);

  dwn_antenna_plot_show (DWN_ANTENNA_PLOT (self->plot), wording, pattern, NULL, mhz);
  gtk_label_set_text (GTK_LABEL (self->figures), text);
}

static void
set_spin (GtkWidget *spin, double value)
{
  if (fabs (gtk_spin_button_get_value (GTK_SPIN_BUTTON (spin)) - value) > 1e-9)
    gtk_spin_button_set_value (GTK_SPIN_BUTTON (spin), value);
}

static double
known (double value)
{
  return isnan (value) ? 0.0 : value;
}

static void
show_stack (DwnAntennaCard *self, const DwnWording *wording)
{
  DwnStackId id;
  gboolean two = dwn_stack_id_parse (values_of (self)->pattern->id, &id);
  g_autoptr (DwnPattern) one = two ? single_pattern (self, NULL) : NULL;
  guint chosen = two && id.direction == stacks[1] ? 2 : two ? 1 : 0;

  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->stacked), chosen);
  gtk_widget_set_visible (self->spacing, two);
  gtk_widget_set_visible (self->spacing_name, two);
  if (two)
    set_spin (self->spacing, id.spacing_m);
  if (one == NULL)
    {
      dwn_antenna_show_text (self->usual, "");
      return;
    }
  double best_m = dwn_stack_best_spacing_m (one, id.direction, shown_mhz (self));
  g_autofree char *best = dwn_word_length (wording, best_m);
  g_autofree char *text = g_strdup_printf (_("%s apart give most gain"), best);
  dwn_antenna_show_text (self->usual, text);
}

static void
show_values (DwnAntennaCard *self, const DwnWording *wording)
{
  const DwnPart *part = values_of (self);
  g_autofree char *height = dwn_word_length (wording, plan_of (self)->site->height_m - known (part->below_top_m));
  g_autofree char *ground = g_strdup_printf (_("%s above ground"), height);
  g_autofree char *apart = dwn_word_separation (wording, plan_of (self)->gear, self->antenna);
  g_autofree char *above = g_strconcat (ground, *apart != '\0' ? "\n" : "", apart, NULL);

  set_spin (self->aim, dwn_document_findings (self->document).aim_deg[self->antenna]);
  set_spin (self->below, known (part->below_top_m));
  set_spin (self->wind, known (part->wind_m2));
  gtk_label_set_text (GTK_LABEL (self->height), above);
  show_stack (self, wording);
  for (guint i = 0; i < G_N_ELEMENTS (polarisations); i++)
    if (polarisations[i] == part->polarisation)
      gtk_drop_down_set_selected (GTK_DROP_DOWN (self->polarisation), i);
}

void
dwn_antenna_card_update (DwnAntennaCard *self, const DwnGearState *state)
{
  g_return_if_fail (DWN_IS_ANTENNA_CARD (self));

  DwnPlanView view = dwn_document_view (self->document);
  g_autofree char *faults = dwn_gear_state_faults (state, self->document, part_of (self));
  self->updating = TRUE;
  show_names (self, view.wording);
  show_pattern (self, view.wording);
  show_values (self, view.wording);
  dwn_antenna_show_text (self->faults, faults);
  self->updating = FALSE;
}

const char *
dwn_antenna_card_refusal (DwnAntennaCard *self)
{
  return gtk_label_get_text (GTK_LABEL (self->message));
}

/* Widget ----------------------------------------------------------------------------------------- */

static void
dwn_antenna_card_dispose (GObject *object)
{
  g_clear_object (&DWN_ANTENNA_CARD (object)->document);
  G_OBJECT_CLASS (dwn_antenna_card_parent_class)->dispose (object);
}

static void
dwn_antenna_card_class_init (DwnAntennaCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_antenna_card_dispose;
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
dwn_antenna_card_init (DwnAntennaCard *self)
{
  gtk_widget_add_css_class (GTK_WIDGET (self), "rung");
}

static void
make_fields (DwnAntennaCard *self)
{
  const char *const names[] = { _("Horizontal"), _("Vertical"), _("Circular"), NULL };
  const char *const arrangements[] = { _("One"), _("Two, one above the other"), _("Two, side by side"), NULL };

  self->aim = dwn_antenna_spin_new (0.0, 359.9, 1.0, 1);
  gtk_spin_button_set_wrap (GTK_SPIN_BUTTON (self->aim), TRUE);
  self->polarisation = gtk_drop_down_new_from_strings (names);
  self->below = dwn_antenna_spin_new (0.0, MOST_BELOW_M, 0.1, 1);
  self->wind = dwn_antenna_spin_new (0.0, MOST_WIND_M2, 0.01, 2);
  self->stacked = gtk_drop_down_new_from_strings (arrangements);
  dwn_choice_cut (self->stacked, STACKED_CHARS);
  self->spacing = dwn_antenna_spin_new (LEAST_SPACING_M, DWN_STACK_MOST_M, 0.05, 2);
  self->usual = dwn_line_new (NULL, "dim-label");
  self->name = gtk_entry_new ();
  self->height = dwn_line_new (NULL, "dim-label");
  g_signal_connect_object (self->aim, "value-changed", G_CALLBACK (aim_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->below, "value-changed", G_CALLBACK (below_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->wind, "value-changed", G_CALLBACK (wind_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->name, "changed", G_CALLBACK (name_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->stacked, "notify::selected", G_CALLBACK (stacked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->spacing, "value-changed", G_CALLBACK (spacing_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->polarisation, "notify::selected", G_CALLBACK (polarisation_cb), self,
                           G_CONNECT_SWAPPED);
}

static GtkWidget *
form_new (DwnAntennaCard *self)
{
  GtkWidget *rows = dwn_antenna_rows_new ();

  make_fields (self);
  dwn_antenna_rows_add (rows, 0, _("A_im, °"), self->aim);
  dwn_antenna_rows_add (rows, 1, _("_Polarisation"), self->polarisation);
  dwn_antenna_rows_add (rows, 2, _("_Below top, m"), self->below);
  gtk_grid_attach (GTK_GRID (rows), self->height, 1, 3, 1, 1);
  dwn_antenna_rows_add (rows, 4, _("_Stacked"), self->stacked);
  dwn_antenna_rows_add (rows, 5, _("Apar_t, m"), self->spacing);
  self->spacing_name = gtk_grid_get_child_at (GTK_GRID (rows), 0, 5);
  gtk_grid_attach (GTK_GRID (rows), self->usual, 1, 6, 1, 1);
  dwn_antenna_rows_add (rows, 7, _("_Wind area, m²"), self->wind);
  dwn_antenna_rows_add (rows, 8, _("_Name"), self->name);
  return rows;
}

static GtkWidget *
head_new (DwnAntennaCard *self)
{
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0), *names = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *replace = dwn_button_new (_("_Change…"), "antennas.replace");
  GtkWidget *remove = dwn_button_new (_("_Remove"), "antennas.remove");

  gtk_widget_set_layout_manager (head, dwn_form_row_new ()); /* in two lines where there is no room */
  self->title = dwn_line_new (NULL, "title");
  self->pattern = dwn_line_new (NULL, "dim-label");
  gtk_actionable_set_action_target (GTK_ACTIONABLE (replace), "u", self->antenna);
  gtk_actionable_set_action_target (GTK_ACTIONABLE (remove), "u", self->antenna);
  gtk_widget_set_valign (replace, GTK_ALIGN_START);
  gtk_widget_set_valign (remove, GTK_ALIGN_START);
  gtk_widget_set_hexpand (names, TRUE);
  gtk_box_append (GTK_BOX (names), self->title);
  gtk_box_append (GTK_BOX (names), self->pattern);
  gtk_box_append (GTK_BOX (head), names);
  gtk_box_append (GTK_BOX (head), replace);
  gtk_box_append (GTK_BOX (head), remove);
  return head;
}

GtkWidget *
dwn_antenna_card_new (DwnDocument *document, guint antenna)
{
  DwnAntennaCard *self = g_object_new (DWN_TYPE_ANTENNA_CARD, "orientation", GTK_ORIENTATION_VERTICAL, "spacing", 9,
                                       NULL);

  self->document = g_object_ref (document);
  self->antenna = antenna;
  self->plot = dwn_antenna_plot_new (PLOT_PX);
  self->figures = dwn_line_new (NULL, "figures");
  self->faults = dwn_line_new (NULL, "fault");
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  GtkWidget *const lines[] = { head_new (self), dwn_antenna_pair_new (self->plot, form_new (self), FORM_PX),
                               self->figures, self->faults, self->message };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (self), lines[i]);
  return GTK_WIDGET (self);
}
