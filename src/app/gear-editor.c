#include "app/gear-editor.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/antenna-rows.h"
#include "app/form.h"
#include "app/gear-edit.h"

#define MOST_CABLE_M 300.0
#define LEAST_FEED_OHM 1.0
#define MOST_FEED_OHM 10000.0
#define WIDTH 300

struct _DwnGearEditor {
  GtkPopover parent_instance;

  DwnDocument *document;
  DwnGearCanvas *canvas;  /* the parent */
  GtkWidget *title, *faults, *figures, *worst, *rows, *message;
  DwnCatalogue *catalogue; /* read when the editor opens, with what the user saved since; NULL: never */
  const char *part;       /* id, interned; NULL: none */
  guint n_rows;
  gboolean updating;      /* values are being shown, not entered */
  gboolean typing;        /* a change comes from a field that must stay as it is */
  guint refill;           /* rows are made anew once what changed them has finished */
};

G_DEFINE_FINAL_TYPE (DwnGearEditor, dwn_gear_editor, GTK_TYPE_POPOVER)

static const DwnChain *
gear_of (DwnGearEditor *self)
{
  return dwn_document_plan (self->document)->gear;
}

/* −1: it is gone. */
static int
part_of (DwnGearEditor *self)
{
  return self->part != NULL ? dwn_chain_find (gear_of (self), self->part) : -1;
}

void
dwn_gear_editor_refuse (DwnGearEditor *self, const char *why)
{
  dwn_antenna_show_text (self->message, why);
}

/* Edits ------------------------------------------------------------------------------------------ */

/* Takes @plan (nullable) and @error. @field: edits of it in a row are one step of undo; NULL: each is
 * its own. */
static void
apply (DwnGearEditor *self, DwnPlan *plan, const char *label, const char *field, GError *error)
{
  g_autofree char *merge = field != NULL ? g_strdup_printf ("gear:%s:%s", self->part, field) : NULL;

  dwn_gear_editor_refuse (self, "");
  if (plan != NULL)
    dwn_document_edit (self->document, plan, label, merge, &error);
  g_clear_pointer (&plan, dwn_plan_unref);
  if (error != NULL)
    dwn_gear_editor_refuse (self, error->message);
  g_clear_error (&error);
}

static void
set_values (DwnGearEditor *self, const DwnPart *values, const char *label, const char *field)
{
  GError *error = NULL;
  DwnPlan *plan = dwn_gear_with_part (dwn_document_plan (self->document), (guint) part_of (self), values, &error);

  self->typing = TRUE;
  apply (self, plan, label, field, error);
  self->typing = FALSE;
}

/* The figures of the part that is shown, to be changed. FALSE: nobody is changing it, the program
 * shows it, or it is gone. */
static gboolean
begin_change (DwnGearEditor *self, DwnPart *values)
{
  int part = part_of (self);

  if (self->updating || part < 0)
    return FALSE;
  *values = gear_of (self)->part[part];
  return TRUE;
}

static void
name_cb (DwnGearEditor *self, GtkEditable *entry)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  const char *name = gtk_editable_get_text (entry);
  values.name = name[0] != '\0' ? g_intern_string (name) : NULL;
  set_values (self, &values, _("Name a part"), "name");
}

static void
pass_cb (DwnGearEditor *self, GtkEditable *entry)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  const char *pass = gtk_editable_get_text (entry);
  values.pass = pass[0] != '\0' ? g_intern_string (pass) : NULL;
  set_values (self, &values, _("Change what a filter lets through"), "pass");
}

static void
gain_cb (DwnGearEditor *self, GtkSpinButton *spin)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  values.gain_db = gtk_spin_button_get_value (spin);
  set_values (self, &values, _("Change the gain"), "gain");
}

static void
mast_cb (DwnGearEditor *self, GtkCheckButton *button)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  values.on_mast = gtk_check_button_get_active (button);
  set_values (self, &values, values.on_mast ? _("Put a part on the mast") : _("Put a part indoors"), NULL);
}

static void
unpowered_cb (DwnGearEditor *self, GtkCheckButton *button)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  values.unpowered = gtk_check_button_get_active (button);
  set_values (self, &values, _("Change the supply of an amplifier"), NULL);
}

static void
capped_cb (DwnGearEditor *self, GtkCheckButton *button)
{
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  values.capped = gtk_check_button_get_active (button);
  set_values (self, &values, values.capped ? _("Cap open ends") : _("Leave ends open"), NULL);
}

static void
feed_cb (double feed_ohm, gpointer data)
{
  DwnGearEditor *self = data;
  DwnPart values;

  if (!begin_change (self, &values))
    return;
  values.feed_ohm = feed_ohm;
  set_values (self, &values, _("Change the feed of an antenna"), "feed");
}

/* The id behind the chosen row of a drop-down; NULL: the row that stands for none. */
static const char *
chosen_id (GtkDropDown *choice)
{
  GPtrArray *ids = g_object_get_data (G_OBJECT (choice), "ids");
  guint row = gtk_drop_down_get_selected (choice);

  return row < ids->len ? g_ptr_array_index (ids, row) : NULL;
}

static DwnPlan *
with_type (DwnGearEditor *self, guint part, const char *id, GError **error)
{
  const DwnPlan *plan = dwn_document_plan (self->document);

  if (plan->gear->part[part].kind != DWN_PART_ANTENNA)
    return dwn_gear_with_type (plan, part, id, error);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (self->catalogue, id, error);
  return pattern != NULL ? dwn_gear_with_pattern (plan, part, pattern, error) : NULL;
}

static void queue_refill (DwnGearEditor *self);

static void
type_cb (DwnGearEditor *self, GParamSpec *pspec, GtkDropDown *choice)
{
  int part = part_of (self);
  const char *id = chosen_id (choice);
  GError *error = NULL;

  if (self->updating || part < 0 || id == NULL || g_str_equal (id, gear_of (self)->part[part].type))
    return;
  DwnPlan *plan = with_type (self, (guint) part, id, &error);
  gboolean refused = plan == NULL;
  apply (self, plan, _("Change a part"), NULL, error);
  if (refused)
    queue_refill (self); /* the drop-down shows again what there is */
}

static guint
edge_of (GtkWidget *widget)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (widget), "edge"));
}

static void
cable_cb (DwnGearEditor *self, GParamSpec *pspec, GtkDropDown *choice)
{
  guint e = edge_of (GTK_WIDGET (choice));
  const char *id = chosen_id (choice);
  GError *error = NULL;

  if (self->updating || part_of (self) < 0 || e >= gear_of (self)->n_edges
      || g_strcmp0 (id, gear_of (self)->edge[e].cable) == 0)
    return;
  double length_m = gear_of (self)->edge[e].cable != NULL ? gear_of (self)->edge[e].length_m : 1.0;
  DwnPlan *plan = dwn_gear_with_cable (dwn_document_plan (self->document), e, id, length_m, &error);
  apply (self, plan, _("Change a cable"), NULL, error);
}

static void
length_cb (DwnGearEditor *self, GtkSpinButton *spin)
{
  guint e = edge_of (GTK_WIDGET (spin));
  g_autofree char *field = g_strdup_printf ("length-%u", e);
  GError *error = NULL;

  if (self->updating || part_of (self) < 0 || e >= gear_of (self)->n_edges)
    return;
  DwnPlan *plan = dwn_gear_with_cable (dwn_document_plan (self->document), e, gear_of (self)->edge[e].cable,
                                       gtk_spin_button_get_value (spin), &error);
  self->typing = TRUE;
  apply (self, plan, _("Change the length of a cable"), field, error);
  self->typing = FALSE;
}

/* Rows ------------------------------------------------------------------------------------------- */

/* @widget under its name; @label has a mnemonic. */
static void
add_row (DwnGearEditor *self, const char *label, GtkWidget *widget)
{
  dwn_antenna_rows_add (self->rows, self->n_rows, label, widget);
  self->n_rows++;
}

static GtkWidget *
entry_new (DwnGearEditor *self, const char *text, const char *placeholder, GCallback changed)
{
  GtkWidget *entry = gtk_entry_new ();

  gtk_editable_set_text (GTK_EDITABLE (entry), text != NULL ? text : "");
  gtk_entry_set_placeholder_text (GTK_ENTRY (entry), placeholder);
  g_signal_connect_object (entry, "changed", changed, self, G_CONNECT_SWAPPED);
  return entry;
}

/* Takes @names and @ids. */
static GtkWidget *
choice_new (DwnGearEditor *self, GtkStringList *names, GPtrArray *ids, const char *chosen, GCallback changed)
{
  GtkExpression *name = gtk_property_expression_new (GTK_TYPE_STRING_OBJECT, NULL, "string");
  GtkWidget *choice = gtk_drop_down_new (G_LIST_MODEL (names), name);

  gtk_drop_down_set_enable_search (GTK_DROP_DOWN (choice), ids->len > 12);
  g_object_set_data_full (G_OBJECT (choice), "ids", ids, (GDestroyNotify) g_ptr_array_unref);
  for (guint i = 0; i < ids->len; i++)
    if (g_strcmp0 (g_ptr_array_index (ids, i), chosen) == 0)
      gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), i);
  g_signal_connect_object (choice, "notify::selected", changed, self, G_CONNECT_SWAPPED);
  return choice;
}

static GtkWidget *
types_new (DwnGearEditor *self, guint part)
{
  GtkStringList *names = gtk_string_list_new (NULL);
  GPtrArray *ids = g_ptr_array_new ();
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (gear_of (self)->list, &n);

  for (guint i = 0; i < n; i++)
    if (types[i]->kind == gear_of (self)->part[part].kind)
      {
        gtk_string_list_append (names, _(types[i]->name));
        g_ptr_array_add (ids, (gpointer) types[i]->id);
      }
  return choice_new (self, names, ids, gear_of (self)->part[part].type, G_CALLBACK (type_cb));
}

static GtkWidget *
patterns_new (DwnGearEditor *self, guint part)
{
  DwnCatalogue *catalogue = self->catalogue;
  const DwnPart *own = &gear_of (self)->part[part];
  GtkStringList *names = gtk_string_list_new (NULL);
  GPtrArray *ids = g_ptr_array_new ();

  if (dwn_catalogue_find (catalogue, own->type) < 0)
    {
      gtk_string_list_append (names, dwn_word_pattern (&dwn_wording_metric, own->pattern));
      g_ptr_array_add (ids, (gpointer) own->type);
    }
  for (gsize i = 0; i < dwn_catalogue_n (catalogue); i++)
    {
      gtk_string_list_append (names, _(dwn_catalogue_entry (catalogue, i)->name));
      g_ptr_array_add (ids, (gpointer) dwn_catalogue_entry (catalogue, i)->id);
    }
  return choice_new (self, names, ids, own->type, G_CALLBACK (type_cb));
}

static double
shown_gain_db (const DwnChain *gear, guint part)
{
  double most_db = -(double) INFINITY;

  if (!isnan (gear->part[part].gain_db))
    return gear->part[part].gain_db;
  for (guint i = 0; i < gear->type[part]->gain[0][0].n; i++)
    most_db = fmax (most_db, gear->type[part]->gain[0][0].db[i]);
  return most_db;
}

static void
add_gain (DwnGearEditor *self, guint part)
{
  const DwnPartType *type = gear_of (self)->type[part];
  double gain_db = shown_gain_db (gear_of (self), part);
  double least_db = isnan (type->range_min_db) ? gain_db - 10.0 : type->range_min_db;
  double most_db = isnan (type->range_max_db) ? gain_db + 10.0 : type->range_max_db;
  GtkWidget *spin = gtk_spin_button_new_with_range (fmin (least_db, gain_db), fmax (most_db, gain_db), 1.0);

  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (spin), 1);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (spin), gain_db);
  g_signal_connect_object (spin, "value-changed", G_CALLBACK (gain_cb), self, G_CONNECT_SWAPPED);
  add_row (self, _("_Gain, dB"), spin);
}

static GtkWidget *
cables_new (DwnGearEditor *self, guint e)
{
  GtkStringList *names = gtk_string_list_new (NULL);
  GPtrArray *ids = g_ptr_array_new ();
  guint n;
  const DwnCableType *const *cables = dwn_part_list_cables (gear_of (self)->list, &n);

  gtk_string_list_append (names, _("Joined directly"));
  g_ptr_array_add (ids, NULL);
  for (guint i = 0; i < n; i++)
    {
      gtk_string_list_append (names, _(cables[i]->name));
      g_ptr_array_add (ids, (gpointer) cables[i]->id);
    }
  GtkWidget *choice = choice_new (self, names, ids, gear_of (self)->edge[e].cable, G_CALLBACK (cable_cb));
  g_object_set_data (G_OBJECT (choice), "edge", GUINT_TO_POINTER (e));
  return choice;
}

static GtkWidget *
length_new (DwnGearEditor *self, guint e)
{
  GtkWidget *spin = gtk_spin_button_new_with_range (0.0, MOST_CABLE_M, 0.5);

  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (spin), 1);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (spin), gear_of (self)->edge[e].length_m);
  gtk_widget_set_sensitive (spin, gear_of (self)->edge[e].cable != NULL);
  g_object_set_data (G_OBJECT (spin), "edge", GUINT_TO_POINTER (e));
  g_signal_connect_object (spin, "value-changed", G_CALLBACK (length_cb), self, G_CONNECT_SWAPPED);
  return spin;
}

/* The cable that leads into each input; named by where it comes from where there are several. */
static void
add_cables (DwnGearEditor *self, guint part)
{
  const DwnChain *gear = gear_of (self);
  guint first = gear->in_first[part], n = gear->in_first[part + 1] - first;

  for (guint p = 0; p < n; p++)
    {
      int e = gear->in_edge[first + p];
      if (e < 0)
        continue;
      const char *from = dwn_gear_part_name (gear, gear->edge[e].from_part);
      g_autofree char *cable = n > 1 ? g_strdup_printf (_("Cable from %s"), from) : g_strdup (_("_Cable before it"));
      g_autofree char *length = n > 1 ? g_strdup_printf (_("Length from %s, m"), from) : g_strdup (_("_Length, m"));
      GtkWidget *choice = cables_new (self, (guint) e);
      dwn_keep_narrow (choice);
      add_row (self, cable, choice);
      add_row (self, length, length_new (self, (guint) e));
    }
}

static void
add_check (DwnGearEditor *self, const char *label, gboolean active, GCallback toggled)
{
  GtkWidget *check = gtk_check_button_new_with_mnemonic (label);

  gtk_check_button_set_active (GTK_CHECK_BUTTON (check), active);
  dwn_name_control (check, label);
  g_signal_connect_object (check, "toggled", toggled, self, G_CONNECT_SWAPPED);
  gtk_grid_attach (GTK_GRID (self->rows), check, 1, (int) self->n_rows, 1, 1);
  self->n_rows++;
}

/* What an antenna's terminals want to see; empty: made for coax. */
static void
add_feed (DwnGearEditor *self, double feed_ohm)
{
  GtkWidget *number = dwn_number_new (LEAST_FEED_OHM, MOST_FEED_OHM, 0, TRUE, feed_cb, self);

  dwn_number_set (number, feed_ohm);
  gtk_entry_set_placeholder_text (GTK_ENTRY (number), _("made for coax"));
  gtk_entry_set_alignment (GTK_ENTRY (number), 0.0f);
  add_row (self, _("Feed without ba_lun, \xCE\xA9"), number);
}

static void
add_rows (DwnGearEditor *self, guint part)
{
  const DwnPart *own = &gear_of (self)->part[part];
  const DwnPartType *type = gear_of (self)->type[part];
  gboolean antenna = own->kind == DWN_PART_ANTENNA, outlet = own->kind == DWN_PART_OUTLET;
  GtkWidget *choice = antenna ? patterns_new (self, part) : types_new (self, part);

  dwn_keep_narrow (choice);
  add_row (self, antenna ? _("_Antenna") : outlet ? _("_Tuner") : _("_Type"), choice);
  add_row (self, _("_Name"), entry_new (self, own->name, antenna ? own->pattern->name : _(type->name),
                                        G_CALLBACK (name_cb)));
  if (own->kind == DWN_PART_AMPLIFIER)
    add_gain (self, part);
  if (!antenna && !isnan (type->stop_db))
    add_row (self, _("Lets _through, MHz"), entry_new (self, own->pass, "470-500; 560-600", G_CALLBACK (pass_cb)));
  add_cables (self, part);
  if (!antenna && !outlet)
    add_check (self, _("_On the mast"), own->on_mast, G_CALLBACK (mast_cb));
  if (antenna)
    add_feed (self, own->feed_ohm);
  if (own->kind == DWN_PART_SPLITTER || own->kind == DWN_PART_TAP)
    add_check (self, _("Open ends are c_apped"), own->capped, G_CALLBACK (capped_cb));
  if (own->kind == DWN_PART_AMPLIFIER)
    add_check (self, _("Its supply is o_ff"), own->unpowered, G_CALLBACK (unpowered_cb));
}

/* What is shown ---------------------------------------------------------------------------------- */

static void
show_figures (DwnGearEditor *self, guint part)
{
  const DwnGearState *state = dwn_gear_canvas_state (self->canvas);
  g_autofree char *figures = dwn_gear_state_figures (state, self->document, part);
  g_autofree char *worst = dwn_gear_state_worst (state, self->document, part);
  g_autofree char *faults = dwn_gear_state_faults (state, self->document, part);
  const DwnPlan *plan = dwn_document_plan (self->document);

  if (figures[0] != '\0')
    {
      /* Translators: station, then "−63.9 dBm, C/N 20.3 dB" */
      g_autofree char *text = g_strdup_printf (_("After it, for %s: %s"),
                                               plan->stations->station[state->station].name, figures);
      dwn_antenna_show_text (self->figures, text);
    }
  else
    dwn_antenna_show_text (self->figures, "");
  dwn_antenna_show_text (self->worst, worst);
  dwn_antenna_show_text (self->faults, faults);
  gtk_label_set_text (GTK_LABEL (self->title), dwn_gear_part_name (plan->gear, part));
}

static void
clear_rows (DwnGearEditor *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->rows)) != NULL)
    gtk_grid_remove (GTK_GRID (self->rows), child);
  self->n_rows = 0;
}

static int
focused_row (DwnGearEditor *self)
{
  GtkWidget *focus = gtk_widget_get_focus_child (self->rows);
  int column, row = -1;

  if (focus != NULL)
    gtk_grid_query_child (GTK_GRID (self->rows), focus, &column, &row, NULL, NULL);
  return row;
}

static void
populate (DwnGearEditor *self)
{
  int part = part_of (self), row = focused_row (self);

  if (part < 0)
    return;
  self->updating = TRUE;
  clear_rows (self);
  add_rows (self, (guint) part);
  show_figures (self, (guint) part);
  self->updating = FALSE;
  GtkWidget *again = row >= 0 ? gtk_grid_get_child_at (GTK_GRID (self->rows), 1, row) : NULL;
  if (again != NULL)
    gtk_widget_grab_focus (again);
}

static gboolean
refill_cb (gpointer data)
{
  DwnGearEditor *self = DWN_GEAR_EDITOR (data);

  self->refill = 0;
  populate (self);
  return G_SOURCE_REMOVE;
}

static void
queue_refill (DwnGearEditor *self)
{
  if (self->refill == 0)
    self->refill = g_idle_add (refill_cb, self);
}

static void
changed_cb (DwnGearEditor *self)
{
  int part = part_of (self);

  if (!gtk_widget_get_visible (GTK_WIDGET (self)))
    return;
  if (part < 0)
    {
      gtk_popover_popdown (GTK_POPOVER (self));
      return;
    }
  show_figures (self, (guint) part);
  dwn_gear_canvas_set_chosen (self->canvas, part);
  if (!self->typing)
    queue_refill (self);
}

/* Widget ----------------------------------------------------------------------------------------- */

static GtkWidget *
line_new (const char *css_class)
{
  GtkWidget *label = dwn_line_new (NULL, css_class);

  gtk_label_set_max_width_chars (GTK_LABEL (label), 40);
  return label;
}

GMenuModel *
dwn_gear_kinds_menu (const char *action)
{
  static const struct {
    const char *label;
    DwnPartKind kind;
  } kinds[] = {
    { N_("_Filter"), DWN_PART_FILTER }, { N_("_Amplifier"), DWN_PART_AMPLIFIER },
    { N_("_Power inserter"), DWN_PART_INSERTER }, { N_("_Ground block"), DWN_PART_SURGE },
    { N_("_Splitter"), DWN_PART_SPLITTER }, { N_("_Tap"), DWN_PART_TAP },
    { N_("A_ttenuator"), DWN_PART_ATTENUATOR }, { N_("_Equaliser"), DWN_PART_EQUALISER },
    { N_("_Wall plate"), DWN_PART_PLATE }, { N_("_Joint"), DWN_PART_JOINT }, { N_("_Balun"), DWN_PART_BALUN },
  };
  GMenu *menu = g_menu_new ();

  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autofree char *detailed = g_strdup_printf ("%s::%s", action, dwn_part_kind_id (kinds[i].kind));
      g_menu_append (menu, _(kinds[i].label), detailed);
    }
  return G_MENU_MODEL (menu);
}

static GtkWidget *
insert_new (const char *label, const char *name, const char *action)
{
  GtkWidget *button = gtk_menu_button_new ();
  g_autoptr (GMenuModel) menu = dwn_gear_kinds_menu (action);

  gtk_menu_button_set_label (GTK_MENU_BUTTON (button), label);
  gtk_menu_button_set_use_underline (GTK_MENU_BUTTON (button), TRUE);
  gtk_menu_button_set_menu_model (GTK_MENU_BUTTON (button), menu);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  return button;
}

/* Short on the button, whole for who hears it. */
static GtkWidget *
command_new (const char *label, const char *name, const char *action)
{
  GtkWidget *button = dwn_button_new (label, action);

  dwn_name_control (button, name);
  return button;
}

static GtkWidget *
commands_new (void)
{
  GtkWidget *grid = gtk_grid_new ();

  gtk_grid_set_row_spacing (GTK_GRID (grid), 6);
  gtk_grid_set_column_spacing (GTK_GRID (grid), 6);
  gtk_grid_set_column_homogeneous (GTK_GRID (grid), TRUE);
  gtk_grid_attach (GTK_GRID (grid), insert_new (_("Insert _before"), _("Insert before"), "gear.insert-before"), 0, 0, 3, 1);
  gtk_grid_attach (GTK_GRID (grid), insert_new (_("Insert be_hind"), _("Insert behind"), "gear.insert-behind"), 3, 0, 3, 1);
  gtk_grid_attach (GTK_GRID (grid), command_new (_("_Earlier"), _("Move earlier"), "gear.earlier"), 0, 1, 2, 1);
  gtk_grid_attach (GTK_GRID (grid), command_new (_("Late_r"), _("Move later"), "gear.later"), 2, 1, 2, 1);
  gtk_grid_attach (GTK_GRID (grid), command_new (_("_Delete"), _("Delete"), "gear.remove"), 4, 1, 2, 1);
  return grid;
}

static void
closed_cb (DwnGearEditor *self)
{
  dwn_gear_canvas_set_chosen (self->canvas, -1);
  dwn_gear_editor_refuse (self, "");
}

/* Taken off the canvas, which may go first. */
static void
dwn_gear_editor_unroot (GtkWidget *widget)
{
  g_clear_handle_id (&DWN_GEAR_EDITOR (widget)->refill, g_source_remove);
  GTK_WIDGET_CLASS (dwn_gear_editor_parent_class)->unroot (widget);
}

static void
dwn_gear_editor_dispose (GObject *object)
{
  DwnGearEditor *self = DWN_GEAR_EDITOR (object);

  g_clear_handle_id (&self->refill, g_source_remove);
  g_clear_pointer (&self->catalogue, dwn_catalogue_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_gear_editor_parent_class)->dispose (object);
}

static void
dwn_gear_editor_class_init (DwnGearEditorClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_gear_editor_dispose;
  GTK_WIDGET_CLASS (klass)->unroot = dwn_gear_editor_unroot;
}

static void
dwn_gear_editor_init (DwnGearEditor *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);

  self->title = line_new ("title");
  self->faults = line_new ("fault");
  self->figures = line_new ("figures");
  self->worst = line_new ("dim-label");
  self->rows = dwn_antenna_rows_new ();
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "max-width-chars", 40, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  GtkWidget *const lines[] = { self->title, self->faults, self->figures, self->worst, self->rows, commands_new (),
                               self->message };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (box), lines[i]);
  gtk_widget_set_size_request (box, WIDTH, -1);
  gtk_widget_add_css_class (box, "part-editor");
  gtk_popover_set_child (GTK_POPOVER (self), box);
  g_signal_connect (self, "closed", G_CALLBACK (closed_cb), NULL);
}

GtkWidget *
dwn_gear_editor_new (DwnDocument *document, DwnGearCanvas *canvas)
{
  DwnGearEditor *self = g_object_new (DWN_TYPE_GEAR_EDITOR, NULL);

  self->document = g_object_ref (document);
  self->canvas = canvas;
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Part of the gear"), -1);
  return GTK_WIDGET (self);
}

/* An antenna that was saved a moment ago is in it. */
static void
read_catalogue (DwnGearEditor *self)
{
  g_clear_pointer (&self->catalogue, dwn_catalogue_unref);
  self->catalogue = dwn_catalogue_new (NULL);
  if (self->catalogue == NULL) /* the program's own list is gone: what was read at the start */
    self->catalogue = dwn_catalogue_ref (dwn_document_tables (self->document)->catalogue);
}

void
dwn_gear_editor_edit (DwnGearEditor *self, guint part)
{
  GdkRectangle place;

  g_return_if_fail (DWN_IS_GEAR_EDITOR (self));
  if (!dwn_gear_canvas_place (self->canvas, part, &place))
    return;
  read_catalogue (self);
  self->part = gear_of (self)->part[part].id;
  dwn_gear_editor_refuse (self, "");
  gtk_popover_set_pointing_to (GTK_POPOVER (self), &place);
  populate (self);
  dwn_gear_canvas_set_chosen (self->canvas, (int) part);
  gtk_popover_popup (GTK_POPOVER (self));
}
