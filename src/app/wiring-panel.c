#include "app/wiring-panel.h"

#include <glib/gi18n.h>

#include "app/antenna-rows.h"
#include "app/form.h"
#include "app/gear-canvas.h"
#include "app/gear-edit.h"
#include "app/gear-editor.h"
#include "words/check-words.h"

#define LEAST_HEIGHT 200 /* of the drawing, before the whole panel scrolls */

struct _DwnWiringPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *canvas, *editor, *menu, *summary, *faults, *message, *hint;
};

G_DEFINE_FINAL_TYPE (DwnWiringPanel, dwn_wiring_panel, GTK_TYPE_BOX)

static DwnGearCanvas *
canvas_of (DwnWiringPanel *self)
{
  return DWN_GEAR_CANVAS (self->canvas);
}

static const DwnPlan *
plan_of (DwnWiringPanel *self)
{
  return dwn_document_plan (self->document);
}

/* Where somebody looks: in the editor while it is open, under the drawing otherwise. */
static void
refuse (DwnWiringPanel *self, const char *why)
{
  gboolean open = gtk_widget_get_visible (self->editor);

  if (open)
    dwn_gear_editor_refuse (DWN_GEAR_EDITOR (self->editor), why);
  gtk_label_set_text (GTK_LABEL (self->message), open ? "" : why);
  gtk_widget_set_visible (self->message, !open && why[0] != '\0');
}

/* Takes @plan (nullable) and @error. */
static gboolean
apply (DwnWiringPanel *self, DwnPlan *plan, const char *label, GError *error)
{
  gboolean done = plan != NULL && dwn_document_edit (self->document, plan, label, NULL, &error);

  refuse (self, error != NULL ? error->message : "");
  g_clear_pointer (&plan, dwn_plan_unref);
  g_clear_error (&error);
  return done;
}

/* Commands on the part that has the focus -------------------------------------------------------- */

static void
insert (DwnWiringPanel *self, gboolean behind, GVariant *kind_id)
{
  int part = dwn_gear_canvas_current (canvas_of (self));
  DwnPartKind kind;
  GError *error = NULL;

  if (part < 0 || !dwn_part_kind_from_id (g_variant_get_string (kind_id, NULL), &kind))
    return;
  const DwnPartType *type = dwn_gear_usual_type (plan_of (self), (guint) part, kind);
  if (type == NULL)
    return;
  DwnPlan *plan = dwn_gear_insert (plan_of (self), (guint) part, behind, type, &error);
  guint n = plan_of (self)->gear->n_parts;
  if (apply (self, plan, _("Insert a part"), error) && plan_of (self)->gear->n_parts > n)
    {
      gtk_popover_popdown (GTK_POPOVER (self->editor));
      dwn_gear_canvas_focus_part (canvas_of (self), n); /* new parts come last */
    }
}

static void
insert_before_cb (GtkWidget *widget, const char *action, GVariant *kind)
{
  insert (DWN_WIRING_PANEL (widget), FALSE, kind);
}

static void
insert_behind_cb (GtkWidget *widget, const char *action, GVariant *kind)
{
  insert (DWN_WIRING_PANEL (widget), TRUE, kind);
}

/* The part that has the focus when @part is gone: what fed it, otherwise what it fed. */
static const char *
neighbour_of (const DwnChain *gear, guint part)
{
  for (guint e = 0; e < gear->n_edges; e++)
    if (gear->edge[e].to_part == part)
      return gear->part[gear->edge[e].from_part].id;
  for (guint e = 0; e < gear->n_edges; e++)
    if (gear->edge[e].from_part == part)
      return gear->part[gear->edge[e].to_part].id;
  return NULL;
}

static void
remove_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);
  int part = dwn_gear_canvas_current (canvas_of (self));
  GError *error = NULL;

  if (part < 0)
    return;
  const char *next = neighbour_of (plan_of (self)->gear, (guint) part);
  DwnPlan *plan = dwn_gear_remove (plan_of (self), (guint) part, &error);
  if (apply (self, plan, _("Delete a part"), error))
    {
      int there = next != NULL ? dwn_chain_find (plan_of (self)->gear, next) : -1;
      gtk_popover_popdown (GTK_POPOVER (self->editor));
      dwn_gear_canvas_focus_part (canvas_of (self), there >= 0 ? (guint) there : 0);
    }
}

static void
move (DwnWiringPanel *self, gboolean later)
{
  int part = dwn_gear_canvas_current (canvas_of (self));
  GError *error = NULL;

  if (part < 0)
    return;
  DwnPlan *plan = dwn_gear_move (plan_of (self), (guint) part, later, &error);
  apply (self, plan, _("Move a part"), error);
}

static void
earlier_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  move (DWN_WIRING_PANEL (widget), FALSE);
}

static void
later_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  move (DWN_WIRING_PANEL (widget), TRUE);
}

static void
edit_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);
  int part = dwn_gear_canvas_current (canvas_of (self));

  if (part >= 0)
    dwn_gear_editor_edit (DWN_GEAR_EDITOR (self->editor), (guint) part);
}

/* Commands on all of it -------------------------------------------------------------------------- */

static void
add_outlet_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);
  GError *error = NULL;
  DwnPlan *plan = dwn_gear_add_outlet (plan_of (self), &error);

  if (apply (self, plan, _("Add an outlet"), error))
    dwn_gear_canvas_focus_part (canvas_of (self), plan_of (self)->gear->outlet[plan_of (self)->gear->n_outlets - 1]);
}

static void
arrange_cb (GtkWidget *widget, const char *action, GVariant *id)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (widget);
  DwnArrangement arrangement;
  GError *error = NULL;

  if (!dwn_arrangement_from_id (g_variant_get_string (id, NULL), &arrangement))
    return;
  DwnPlan *plan = dwn_gear_arrange (plan_of (self), arrangement, &error);
  apply (self, plan, _("Join the antennas in another way"), error);
}

/* What the pointer or the focus is at; without, what one can do. */
static void
pointed_cb (DwnWiringPanel *self, int part)
{
  g_autofree char *words = part >= 0 ? dwn_gear_canvas_words (canvas_of (self), (guint) part) : NULL;

  gtk_label_set_text (GTK_LABEL (self->hint), words != NULL ? words
                      : _("Press a part to edit it, or its menu key for more. Alt with Up or Down moves it along "
                          "the wiring, as dragging does; Delete takes it out."));
}

/* From the drawing ------------------------------------------------------------------------------- */

static void
chosen_cb (DwnWiringPanel *self, guint part)
{
  refuse (self, "");
  dwn_gear_editor_edit (DWN_GEAR_EDITOR (self->editor), part);
}

static void
menu_cb (DwnWiringPanel *self, guint part)
{
  GdkRectangle place;

  if (!dwn_gear_canvas_place (canvas_of (self), part, &place))
    return;
  gtk_popover_set_pointing_to (GTK_POPOVER (self->menu), &place);
  gtk_popover_popup (GTK_POPOVER (self->menu));
}

/* Back from a popover to where it came from. */
static void
closed_cb (DwnWiringPanel *self)
{
  int part = dwn_gear_canvas_current (canvas_of (self));

  if (part >= 0)
    dwn_gear_canvas_focus_part (canvas_of (self), (guint) part);
}

static void
dropped_cb (DwnWiringPanel *self, guint part, guint edge, gboolean late_end)
{
  GError *error = NULL;
  DwnPlan *plan = dwn_gear_move_to (plan_of (self), part, edge, late_end, &error);

  if (plan == plan_of (self))
    dwn_plan_unref (plan); /* it stood there already */
  else
    apply (self, plan, _("Move a part"), error);
}

/* Faults ----------------------------------------------------------------------------------------- */

static void
fault_cb (GtkButton *button, gpointer data)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (data);
  int part = GPOINTER_TO_INT (g_object_get_data (G_OBJECT (button), "part"));

  if (part >= 0 && (guint) part < plan_of (self)->gear->n_parts)
    dwn_gear_canvas_focus_part (canvas_of (self), (guint) part);
}

static GtkWidget *
fault_new (DwnWiringPanel *self, guint i, const DwnCheck *check)
{
  GtkWidget *button = gtk_button_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);
  DwnPlanView view = dwn_document_view (self->document);
  g_autofree char *sentence = dwn_word_check (view.wording, plan_of (self), check);
  g_autofree char *number = g_strdup_printf ("%u", i + 1);
  GtkWidget *disc = gtk_label_new (number), *text = gtk_label_new (sentence);

  gtk_widget_add_css_class (disc, "fault-number");
  gtk_widget_set_valign (disc, GTK_ALIGN_START);
  gtk_label_set_wrap (GTK_LABEL (text), TRUE);
  gtk_label_set_xalign (GTK_LABEL (text), 0.0f);
  gtk_box_append (GTK_BOX (box), disc);
  gtk_box_append (GTK_BOX (box), text);
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_button_set_has_frame (GTK_BUTTON (button), FALSE);
  g_object_set_data (G_OBJECT (button), "part", GINT_TO_POINTER (check->part));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, sentence, -1);
  g_signal_connect_object (button, "clicked", G_CALLBACK (fault_cb), self, 0);
  return button;
}

static void
changed_cb (DwnWiringPanel *self)
{
  const DwnGearState *state = dwn_gear_canvas_state (canvas_of (self));
  GtkWidget *child;

  int current = dwn_gear_canvas_current (canvas_of (self));

  gtk_label_set_text (GTK_LABEL (self->summary), dwn_gear_canvas_summary (canvas_of (self)));
  pointed_cb (self, gtk_widget_get_focus_child (self->canvas) != NULL ? current : -1);
  while ((child = gtk_widget_get_first_child (self->faults)) != NULL)
    gtk_box_remove (GTK_BOX (self->faults), child);
  for (guint i = 0; i < state->checks->len; i++)
    gtk_box_append (GTK_BOX (self->faults), fault_new (self, i, &g_array_index (state->checks, DwnCheck, i)));
  gtk_widget_set_visible (self->faults, state->checks->len > 0);
}

/* Widget ----------------------------------------------------------------------------------------- */

static void
dwn_wiring_panel_css_changed (GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS (dwn_wiring_panel_parent_class)->css_changed (widget, change);
  dwn_widget_follow_look (widget);
}

static void
dwn_wiring_panel_dispose (GObject *object)
{
  DwnWiringPanel *self = DWN_WIRING_PANEL (object);

  g_clear_pointer (&self->editor, gtk_widget_unparent);
  g_clear_pointer (&self->menu, gtk_widget_unparent);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_wiring_panel_parent_class)->dispose (object);
}

static void
install_commands (GtkWidgetClass *klass)
{
  gtk_widget_class_install_action (klass, "gear.edit", NULL, edit_cb);
  gtk_widget_class_install_action (klass, "gear.insert-before", "s", insert_before_cb);
  gtk_widget_class_install_action (klass, "gear.insert-behind", "s", insert_behind_cb);
  gtk_widget_class_install_action (klass, "gear.earlier", NULL, earlier_cb);
  gtk_widget_class_install_action (klass, "gear.later", NULL, later_cb);
  gtk_widget_class_install_action (klass, "gear.remove", NULL, remove_cb);
  gtk_widget_class_install_action (klass, "gear.add-outlet", NULL, add_outlet_cb);
  gtk_widget_class_install_action (klass, "gear.arrange", "s", arrange_cb);
}

static void
dwn_wiring_panel_class_init (DwnWiringPanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_wiring_panel_dispose;
  GTK_WIDGET_CLASS (klass)->css_changed = dwn_wiring_panel_css_changed;
  install_commands (GTK_WIDGET_CLASS (klass));
}

/* Only while a part of the drawing has the focus. */
static void
add_keys (GtkWidget *canvas)
{
  static const struct {
    guint key;
    GdkModifierType modifiers;
    const char *action;
  } keys[] = {
    { GDK_KEY_KP_Delete, 0, "gear.remove" }, { GDK_KEY_Delete, 0, "gear.remove" }, /* menus name the last */
    { GDK_KEY_Up, GDK_ALT_MASK, "gear.earlier" }, { GDK_KEY_Down, GDK_ALT_MASK, "gear.later" },
  };
  GtkEventController *controller = gtk_shortcut_controller_new ();

  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    gtk_shortcut_controller_add_shortcut (
      GTK_SHORTCUT_CONTROLLER (controller),
      gtk_shortcut_new (gtk_keyval_trigger_new (keys[i].key, keys[i].modifiers),
                        gtk_named_action_new (keys[i].action)));
  gtk_widget_add_controller (canvas, controller);
}

static GMenuModel *
part_menu_new (void)
{
  GMenu *menu = g_menu_new ();
  g_autoptr (GMenuModel) before = dwn_gear_kinds_menu ("gear.insert-before");
  g_autoptr (GMenuModel) behind = dwn_gear_kinds_menu ("gear.insert-behind");

  g_menu_append (menu, _("_Edit"), "gear.edit");
  g_menu_append_submenu (menu, _("Insert _Before"), before);
  g_menu_append_submenu (menu, _("Insert Be_hind"), behind);
  g_menu_append (menu, _("Move Ea_rlier"), "gear.earlier");
  g_menu_append (menu, _("Move _Later"), "gear.later");
  g_menu_append (menu, _("_Delete"), "gear.remove");
  return G_MENU_MODEL (menu);
}

static GtkWidget *
downlead_new (void)
{
  GtkWidget *button = gtk_menu_button_new ();
  GMenu *menu = g_menu_new ();

  g_menu_append (menu, _("A _tuner of its own in every set"), "gear.arrange::two-tuners");
  g_menu_append (menu, _("A _switch indoors"), "gear.arrange::switch");
  gtk_menu_button_set_label (GTK_MENU_BUTTON (button), _("Second _downlead"));
  gtk_menu_button_set_use_underline (GTK_MENU_BUTTON (button), TRUE);
  gtk_menu_button_set_menu_model (GTK_MENU_BUTTON (button), G_MENU_MODEL (menu));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Second downlead"), -1);
  g_object_unref (menu);
  return button;
}

static GtkWidget *
bar_new (void)
{
  GtkWidget *bar = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);

  gtk_box_append (GTK_BOX (bar), dwn_button_new (_("Add _outlet"), "gear.add-outlet"));
  gtk_box_append (GTK_BOX (bar), downlead_new ());
  gtk_widget_add_css_class (bar, "panel-bar");
  return bar;
}

static void
dwn_wiring_panel_init (DwnWiringPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->summary = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->summary), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->summary), 0.0f);
  gtk_widget_add_css_class (self->summary, "gear-summary");
  gtk_widget_add_css_class (self->summary, "view");
  self->hint = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->hint), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->hint), 0.0f);
  gtk_label_set_yalign (GTK_LABEL (self->hint), 0.0f);
  gtk_label_set_lines (GTK_LABEL (self->hint), 3);
  gtk_widget_add_css_class (self->hint, "panel-hint");
  self->faults = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_add_css_class (self->faults, "faults");
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  gtk_widget_add_css_class (self->message, "panel-message");
}

/* What may be long: the drawing, and what is wrong with it. What is said about the part at hand stays
 * in sight below. */
static GtkWidget *
scrolled_new (DwnWiringPanel *self)
{
  GtkWidget *scrolled = gtk_scrolled_window_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  gtk_box_append (GTK_BOX (box), self->canvas);
  gtk_box_append (GTK_BOX (box), self->summary);
  gtk_box_append (GTK_BOX (box), self->faults);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_min_content_height (GTK_SCROLLED_WINDOW (scrolled), LEAST_HEIGHT);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), box);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

static void
fill (DwnWiringPanel *self)
{
  g_autoptr (GMenuModel) menu = part_menu_new ();

  gtk_widget_add_css_class (self->canvas, "view");
  self->menu = gtk_popover_menu_new_from_model (menu);
  gtk_widget_set_parent (self->menu, self->canvas);
  gtk_widget_set_parent (self->editor, self->canvas);
  GtkWidget *const lines[] = { bar_new (), scrolled_new (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL),
                               self->message, self->hint };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (self), lines[i]);
}

GtkWidget *
dwn_wiring_panel_new (DwnDocument *document)
{
  DwnWiringPanel *self = g_object_new (DWN_TYPE_WIRING_PANEL, NULL);

  self->document = g_object_ref (document);
  self->canvas = dwn_gear_canvas_new (document);
  self->editor = dwn_gear_editor_new (document, canvas_of (self));
  add_keys (self->canvas);
  fill (self);
  g_signal_connect_object (self->canvas, "chosen", G_CALLBACK (chosen_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->canvas, "menu", G_CALLBACK (menu_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->editor, "closed", G_CALLBACK (closed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->menu, "closed", G_CALLBACK (closed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->canvas, "pointed", G_CALLBACK (pointed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->canvas, "dropped", G_CALLBACK (dropped_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  pointed_cb (self, -1);
  return GTK_WIDGET (self);
}
