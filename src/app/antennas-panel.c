#include "app/antennas-panel.h"

#include <glib/gi18n.h>

#include "app/antenna-browser.h"
#include "app/antenna-card.h"
#include "app/antenna-rows.h"
#include "app/antenna-sheet-form.h"
#include "app/form.h"
#include "app/gear-edit.h"
#include "words/advice-words.h"

#define JOINED_CHARS 14 /* of the longest way to join antennas, where there is no room for more */

struct _DwnAntennasPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *stack, *cards, *joined, *message, *browser, *form;
  int replaced;          /* the antenna that the catalogue is open for; −1: a new one */
  GtkFileChooserNative *chooser;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnAntennasPanel, dwn_antennas_panel, GTK_TYPE_BOX)

static const DwnPlan *
plan_of (DwnAntennasPanel *self)
{
  return dwn_document_plan (self->document);
}

static DwnAntennaBrowser *
browser_of (DwnAntennasPanel *self)
{
  return DWN_ANTENNA_BROWSER (self->browser);
}

static void
show_page (DwnAntennasPanel *self, const char *page)
{
  gtk_stack_set_visible_child_name (GTK_STACK (self->stack), page);
}

/* Takes @plan (nullable) and @error. */
static gboolean
apply (DwnAntennasPanel *self, DwnPlan *plan, const char *label, GError *error)
{
  gboolean done = plan != NULL && dwn_document_edit (self->document, plan, label, NULL, &error);
  const char *why = error != NULL ? error->message : "";

  dwn_antenna_show_text (self->message, why);
  if (self->browser != NULL)
    dwn_antenna_browser_say (browser_of (self), why);
  g_clear_pointer (&plan, dwn_plan_unref);
  g_clear_error (&error);
  return done;
}

/* What is shown ---------------------------------------------------------------------------------- */

static void
make_cards (DwnAntennasPanel *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->cards)) != NULL)
    gtk_box_remove (GTK_BOX (self->cards), child);
  for (guint a = 0; a < plan_of (self)->gear->n_antennas; a++)
    gtk_box_append (GTK_BOX (self->cards), dwn_antenna_card_new (self->document, a));
}

static guint
count_cards (DwnAntennasPanel *self)
{
  guint n = 0;

  for (GtkWidget *card = gtk_widget_get_first_child (self->cards); card != NULL;
       card = gtk_widget_get_next_sibling (card))
    n++;
  return n;
}

static void
changed_cb (DwnAntennasPanel *self)
{
  g_autoptr (DwnGearState) state = dwn_gear_state_new (self->document);

  if (count_cards (self) != plan_of (self)->gear->n_antennas)
    make_cards (self);
  for (GtkWidget *card = gtk_widget_get_first_child (self->cards); card != NULL;
       card = gtk_widget_get_next_sibling (card))
    dwn_antenna_card_update (DWN_ANTENNA_CARD (card), state);
  self->updating = TRUE;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->joined), dwn_chain_arrangement (plan_of (self)->gear));
  self->updating = FALSE;
}

static void
relist_cb (DwnAntennasPanel *self)
{
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    changed_cb (self);
}

/* The plan --------------------------------------------------------------------------------------- */

static gboolean
restore_joined_cb (gpointer data)
{
  changed_cb (DWN_ANTENNAS_PANEL (data));
  return G_SOURCE_REMOVE;
}

static void
joined_cb (DwnAntennasPanel *self)
{
  guint chosen = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->joined));
  GError *error = NULL;

  if (self->updating || chosen >= DWN_N_ARRANGEMENTS
      || (DwnArrangement) chosen == dwn_chain_arrangement (plan_of (self)->gear))
    return;
  DwnPlan *plan = dwn_gear_arrange (plan_of (self), (DwnArrangement) chosen, &error);
  if (!apply (self, plan, _("Join the antennas in another way"), error))
    g_idle_add_full (G_PRIORITY_DEFAULT_IDLE, restore_joined_cb, g_object_ref (self), g_object_unref);
}

static void
remove_cb (GtkWidget *widget, const char *action, GVariant *antenna)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);
  guint a = g_variant_get_uint32 (antenna);
  GError *error = NULL;

  if (a >= plan_of (self)->gear->n_antennas)
    return;
  DwnPlan *plan = dwn_gear_remove (plan_of (self), plan_of (self)->gear->antenna[a], &error);
  apply (self, plan, _("Remove an antenna"), error);
}

/* Towards the middle of what is wanted and nobody points at: the first wanted station whose margin
 * is the least. */
static double
first_aim_deg (DwnAntennasPanel *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  double least = 2.0, aim_deg = 0.0;

  for (guint i = 0; i < findings.plan->stations->n; i++)
    {
      const DwnStation *station = &findings.plan->stations->station[i];
      double chance = dwn_station_chance (findings.budget, i);

      if (dwn_station_wanted (station, findings.plan->services) == DWN_WANTED_NO || chance >= least)
        continue;
      least = chance;
      aim_deg = findings.fields->arrival[i].bearing_deg;
    }
  return aim_deg;
}

/* The catalogue ---------------------------------------------------------------------------------- */

static void
ensure_browser (DwnAntennasPanel *self)
{
  if (self->browser != NULL)
    return;
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  self->browser = dwn_antenna_browser_new (self->document);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->browser);
  gtk_stack_add_named (GTK_STACK (self->stack), scrolled, "catalogue");
}

static void
open_browser (DwnAntennasPanel *self, const char *id)
{
  const DwnChain *gear = plan_of (self)->gear;
  const DwnPattern *current = self->replaced >= 0 ? gear->part[gear->antenna[self->replaced]].pattern : NULL;

  ensure_browser (self);
  show_page (self, "catalogue");
  dwn_antenna_browser_open (browser_of (self), id, current);
}

static void
browse_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);

  self->replaced = -1;
  open_browser (self, NULL);
}

static void
replace_cb (GtkWidget *widget, const char *action, GVariant *antenna)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);

  if (g_variant_get_uint32 (antenna) >= plan_of (self)->gear->n_antennas)
    return;
  self->replaced = (int) g_variant_get_uint32 (antenna);
  open_browser (self, NULL);
}

static DwnPlan *
with_pattern (DwnAntennasPanel *self, const DwnPattern *pattern, GError **error)
{
  const DwnPlan *plan = plan_of (self);

  if (self->replaced >= 0 && (guint) self->replaced < plan->gear->n_antennas)
    return dwn_gear_with_pattern (plan, plan->gear->antenna[self->replaced], pattern, error);
  return dwn_gear_add_antenna (plan, pattern, first_aim_deg (self), error);
}

static void
take_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);
  const DwnPattern *pattern = self->browser != NULL ? dwn_antenna_browser_pattern (browser_of (self)) : NULL;
  GError *error = NULL;

  if (pattern == NULL)
    return;
  DwnPlan *plan = with_pattern (self, pattern, &error);
  const char *label = self->replaced >= 0 ? _("Change an antenna") : _("Add an antenna");
  if (apply (self, plan, label, error))
    show_page (self, "plan");
}

/* From a page to the one before it. */
static void
back_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);

  gboolean from_sheet = g_str_equal (dwn_antennas_panel_page (self), "sheet");

  show_page (self, from_sheet && self->browser != NULL ? "catalogue" : "plan");
}

static gboolean
escape_cb (GtkWidget *widget, GVariant *args, gpointer data)
{
  if (g_str_equal (dwn_antennas_panel_page (DWN_ANTENNAS_PANEL (widget)), "plan"))
    return FALSE;
  back_cb (widget, NULL, NULL);
  return TRUE;
}

/* The user's own --------------------------------------------------------------------------------- */

/* @assumed (nullable): what is to be said beside. */
static gboolean
keep_antenna (DwnAntennasPanel *self, const DwnAntenna *antenna, const char *assumed, GError **error)
{
  if (!dwn_catalogue_save_personal (antenna, error))
    return FALSE;
  open_browser (self, antenna->pattern->id);
  dwn_antenna_browser_say (browser_of (self), assumed != NULL ? assumed : "");
  return TRUE;
}

static void
sheet_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);

  if (self->form == NULL)
    {
      self->form = dwn_antenna_sheet_form_new (self->document);
      gtk_stack_add_named (GTK_STACK (self->stack), self->form, "sheet");
    }
  show_page (self, "sheet");
  dwn_antenna_sheet_form_begin (DWN_ANTENNA_SHEET_FORM (self->form));
}

static void
sheet_save_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_antenna_sheet_form_antenna (DWN_ANTENNA_SHEET_FORM (self->form), &error);

  if (antenna == NULL || !keep_antenna (self, antenna, NULL, &error))
    dwn_antenna_sheet_form_say (DWN_ANTENNA_SHEET_FORM (self->form), error->message);
}

gboolean
dwn_antennas_panel_import (DwnAntennasPanel *self, GFile *file)
{
  g_return_val_if_fail (DWN_IS_ANTENNAS_PANEL (self) && file != NULL, FALSE);

  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = path != NULL ? dwn_antenna_load (path, warnings, &error) : NULL;

  g_ptr_array_add (warnings, NULL);
  g_autofree char *assumed = g_strjoinv ("\n", (char **) warnings->pdata);
  if (antenna != NULL && keep_antenna (self, antenna, assumed, &error))
    return TRUE;
  ensure_browser (self);
  dwn_antenna_browser_say (browser_of (self), error != NULL ? error->message
                                                            : _("A pattern is read from a folder of this machine"));
  return FALSE;
}

static void
import_response_cb (DwnAntennasPanel *self, int response)
{
  g_autoptr (GFile) file = response == GTK_RESPONSE_ACCEPT
                           ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser)) : NULL;

  g_clear_object (&self->chooser);
  if (file != NULL)
    dwn_antennas_panel_import (self, file);
}

static void
import_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (widget);
  GtkRoot *root = gtk_widget_get_root (widget);

  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (_("Import a pattern"), GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL,
                                               GTK_FILE_CHOOSER_ACTION_OPEN, _("_Import"), _("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", G_CALLBACK (import_response_cb), self, G_CONNECT_SWAPPED);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

/* Widget ----------------------------------------------------------------------------------------- */

const char *
dwn_antennas_panel_page (DwnAntennasPanel *self)
{
  return gtk_stack_get_visible_child_name (GTK_STACK (self->stack));
}

static void
dwn_antennas_panel_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_antennas_panel_parent_class)->css_changed (widget, change);
  dwn_widget_follow_look (widget);
}

static void
dwn_antennas_panel_dispose (GObject *object)
{
  DwnAntennasPanel *self = DWN_ANTENNAS_PANEL (object);

  g_clear_object (&self->chooser);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_antennas_panel_parent_class)->dispose (object);
}

static void
dwn_antennas_panel_class_init (DwnAntennasPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_antennas_panel_dispose;
  GTK_WIDGET_CLASS (klass)->css_changed = dwn_antennas_panel_css_changed;
  gtk_widget_class_install_action (widget_class, "antennas.browse", NULL, browse_cb);
  gtk_widget_class_install_action (widget_class, "antennas.replace", "u", replace_cb);
  gtk_widget_class_install_action (widget_class, "antennas.remove", "u", remove_cb);
  gtk_widget_class_install_action (widget_class, "antennas.take", NULL, take_cb);
  gtk_widget_class_install_action (widget_class, "antennas.back", NULL, back_cb);
  gtk_widget_class_install_action (widget_class, "antennas.sheet", NULL, sheet_cb);
  gtk_widget_class_install_action (widget_class, "antennas.sheet-save", NULL, sheet_save_cb);
  gtk_widget_class_install_action (widget_class, "antennas.import", NULL, import_cb);
  gtk_widget_class_add_binding (widget_class, GDK_KEY_Escape, 0, escape_cb, NULL);
}

/* Takes @strings. "two downleads and a switch" begins a line here. */
static GtkWidget *
joined_new (DwnAntennasPanel *self)
{
  GtkStringList *names = gtk_string_list_new (NULL);

  for (guint i = 0; i < DWN_N_ARRANGEMENTS; i++)
    {
      g_autofree char *name = g_strdup (dwn_word_arrangement (&dwn_wording_metric, (DwnArrangement) i));
      if (g_ascii_islower (name[0]))
        name[0] = g_ascii_toupper (name[0]);
      gtk_string_list_append (names, name);
    }
  self->joined = gtk_drop_down_new (G_LIST_MODEL (names),
                                    gtk_property_expression_new (GTK_TYPE_STRING_OBJECT, NULL, "string"));
  dwn_choice_cut (self->joined, JOINED_CHARS);
  g_signal_connect_object (self->joined, "notify::selected", G_CALLBACK (joined_cb), self, G_CONNECT_SWAPPED);
  return self->joined;
}

static GtkWidget *
bar_new (DwnAntennasPanel *self)
{
  GtkWidget *bar = dwn_antenna_rows_new ();
  GtkWidget *add = dwn_button_new (_("_Add an antenna…"), "antennas.browse");

  dwn_antenna_rows_add (bar, 1, _("_Joined as"), joined_new (self));
  gtk_widget_set_halign (add, GTK_ALIGN_START);
  gtk_grid_attach (GTK_GRID (bar), add, 0, 0, 2, 1);
  gtk_widget_add_css_class (bar, "panel-bar");
  return bar;
}

static GtkWidget *
plan_page_new (DwnAntennasPanel *self)
{
  GtkWidget *page = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), *scrolled = gtk_scrolled_window_new ();

  self->cards = gtk_box_new (GTK_ORIENTATION_VERTICAL, 9);
  gtk_widget_add_css_class (self->cards, "rungs");
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->cards);
  gtk_widget_set_vexpand (scrolled, TRUE);
  gtk_box_append (GTK_BOX (page), bar_new (self));
  gtk_box_append (GTK_BOX (page), self->message);
  gtk_box_append (GTK_BOX (page), scrolled);
  return page;
}

static void
dwn_antennas_panel_init (DwnAntennasPanel *self)
{
  self->replaced = -1;
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  gtk_widget_add_css_class (self->message, "panel-message");
  self->stack = gtk_stack_new ();
  gtk_stack_set_hhomogeneous (GTK_STACK (self->stack), FALSE);
  gtk_stack_set_vhomogeneous (GTK_STACK (self->stack), FALSE);
  gtk_widget_set_hexpand (self->stack, TRUE);
  gtk_stack_add_named (GTK_STACK (self->stack), plan_page_new (self), "plan");
  gtk_box_append (GTK_BOX (self), self->stack);
}

GtkWidget *
dwn_antennas_panel_new (DwnDocument *document)
{
  DwnAntennasPanel *self = g_object_new (DWN_TYPE_ANTENNAS_PANEL, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "relist", G_CALLBACK (relist_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  return GTK_WIDGET (self);
}
