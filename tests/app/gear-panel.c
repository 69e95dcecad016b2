/* The gear panel in process: every part a named control, keys along the wiring, edits in place, each
 * one step of undo; what cannot be done is said. */
#include <gtk/gtk.h>
#include <math.h>

#include "app/gear-canvas.h"
#include "app/gear-edit.h"
#include "app/gear-editor.h"
#include "app/gear-part.h"
#include "app/wiring-panel.h"
#include "core/chain/power.h"
#include "example.h"

typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  GtkWidget *window, *panel;
  DwnGearCanvas *canvas;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_open (&fixture->tables, &fixture->document);
  fixture->panel = dwn_wiring_panel_new (fixture->document);
  fixture->window = example_window ();
  GtkWidget *scrolled = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), fixture->panel);
  gtk_window_set_child (GTK_WINDOW (fixture->window), scrolled);
  gtk_window_present (GTK_WINDOW (fixture->window));
  fixture->canvas = DWN_GEAR_CANVAS (example_find (fixture->panel, DWN_TYPE_GEAR_CANVAS, NULL));
  for (guint i = 0; i < 400 && gtk_widget_get_width (GTK_WIDGET (fixture->canvas)) == 0; i++)
    {
      example_settle (); /* until the frame clock has laid it out */
      g_usleep (5000);
    }
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  gtk_window_set_child (GTK_WINDOW (fixture->window), NULL);
  g_object_unref (fixture->document);
  dwn_tables_unref (fixture->tables);
  example_settle ();
}

static const DwnChain *
gear (Fixture *fixture)
{
  return dwn_document_plan (fixture->document)->gear;
}

static guint
part (Fixture *fixture, const char *id)
{
  int index = dwn_chain_find (gear (fixture), id);

  g_assert_cmpint (index, >=, 0);
  return (guint) index;
}

static void
focus (Fixture *fixture, const char *id)
{
  dwn_gear_canvas_focus_part (fixture->canvas, part (fixture, id));
  g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) part (fixture, id));
}

static void
command (Fixture *fixture, const char *action, const char *argument)
{
  if (argument != NULL)
    g_assert_true (gtk_widget_activate_action (fixture->panel, action, "s", argument));
  else
    g_assert_true (gtk_widget_activate_action (fixture->panel, action, NULL));
  example_settle ();
}

/* The parts from an antenna to an outlet, by id. */
static char *
way (Fixture *fixture, const char *from)
{
  GString *ids = g_string_new (from);
  guint k = part (fixture, from);

  while (gear (fixture)->out_first[k + 1] > gear (fixture)->out_first[k])
    {
      int edge = gear (fixture)->out_edge[gear (fixture)->out_first[k]];
      if (edge < 0)
        break;
      k = gear (fixture)->edge[edge].to_part;
      g_string_append_printf (ids, " %s", gear (fixture)->part[k].id);
    }
  return g_string_free (ids, FALSE);
}

#define assert_way(fixture, from, expected) \
  G_STMT_START { g_autofree char *ids = way (fixture, from); g_assert_cmpstr (ids, ==, expected); } G_STMT_END

#define WAY "uhf balun-uhf combiner amplifier block inserter splitter plate1 tv1"

static GtkWidget *
message (Fixture *fixture)
{
  for (GtkWidget *child = gtk_widget_get_first_child (fixture->panel); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_LABEL (child) && gtk_widget_has_css_class (child, "panel-message"))
      return child;
  g_assert_not_reached ();
}

static void
assert_refused (Fixture *fixture, const char *words)
{
  g_assert_true (gtk_widget_get_visible (message (fixture)));
  g_assert_nonnull (strstr (gtk_label_get_text (GTK_LABEL (message (fixture))), words));
}

/* Every part of the plan, baluns and plates too, is a button with name and figures. */
static void
test_parts_named (Fixture *fixture, gconstpointer data)
{
  for (guint k = 0; k < gear (fixture)->n_parts; k++)
    {
      GtkWidget *widget = dwn_gear_canvas_part (fixture->canvas, k);

      g_assert_nonnull (widget);
      g_assert_true (gtk_widget_get_child_visible (widget));
      g_assert_true (gtk_widget_get_focusable (widget));
      gtk_test_accessible_assert_role (widget, GTK_ACCESSIBLE_ROLE_BUTTON);
      g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL));
      g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION));
      g_assert_cmpint (gtk_widget_get_width (widget), >=, 14);
    }
}

static void
go (Fixture *fixture, guint key, const char *expected)
{
  GdkModifierType none = 0;
  GListModel *controllers = gtk_widget_observe_controllers (GTK_WIDGET (fixture->canvas));
  gboolean done = FALSE;

  for (guint i = 0; i < g_list_model_get_n_items (controllers) && !done; i++)
    {
      g_autoptr (GtkEventController) controller = g_list_model_get_item (controllers, i);
      if (!GTK_IS_SHORTCUT_CONTROLLER (controller))
        continue;
      for (guint s = 0; s < g_list_model_get_n_items (G_LIST_MODEL (controller)) && !done; s++)
        {
          g_autoptr (GtkShortcut) shortcut = g_list_model_get_item (G_LIST_MODEL (controller), s);
          GtkShortcutTrigger *trigger = gtk_shortcut_get_trigger (shortcut);
          if (GTK_IS_KEYVAL_TRIGGER (trigger) && gtk_keyval_trigger_get_keyval (GTK_KEYVAL_TRIGGER (trigger)) == key
              && gtk_keyval_trigger_get_modifiers (GTK_KEYVAL_TRIGGER (trigger)) == none)
            done = gtk_shortcut_action_activate (gtk_shortcut_get_action (shortcut), 0, GTK_WIDGET (fixture->canvas),
                                                 gtk_shortcut_get_arguments (shortcut));
        }
    }
  g_object_unref (controllers);
  g_assert_true (done);
  g_assert_cmpstr (gear (fixture)->part[dwn_gear_canvas_current (fixture->canvas)].id, ==, expected);
}

static void
test_arrows (Fixture *fixture, gconstpointer data)
{
  focus (fixture, "uhf");
  go (fixture, GDK_KEY_Right, "balun-uhf");
  go (fixture, GDK_KEY_Right, "combiner");
  go (fixture, GDK_KEY_Right, "amplifier");
  go (fixture, GDK_KEY_Left, "combiner");
  focus (fixture, "tv1");
  go (fixture, GDK_KEY_Down, "tv2");
  go (fixture, GDK_KEY_Down, "tv3");
  go (fixture, GDK_KEY_Right, "tv3");
  go (fixture, GDK_KEY_Up, "tv2");
}

/* Tab goes along the wiring, once through all of it, and comes back in where it was. */
static void
test_tab (Fixture *fixture, gconstpointer data)
{
  const DwnChain *chain = gear (fixture);

  gtk_widget_child_focus (GTK_WIDGET (fixture->canvas), GTK_DIR_TAB_FORWARD);
  for (guint i = 0; i < chain->n_parts; i++)
    {
      g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) chain->order[i]);
      gboolean more = gtk_widget_child_focus (GTK_WIDGET (fixture->canvas), GTK_DIR_TAB_FORWARD);
      g_assert_cmpint (more, ==, i + 1 < chain->n_parts);
    }
  gtk_widget_child_focus (GTK_WIDGET (fixture->canvas), GTK_DIR_TAB_BACKWARD);
  g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) chain->order[chain->n_parts - 2]);
}

static void
test_move (Fixture *fixture, gconstpointer data)
{
  assert_way (fixture, "uhf", WAY);
  focus (fixture, "inserter");
  command (fixture, "gear.earlier", NULL);
  assert_way (fixture, "uhf", "uhf balun-uhf combiner amplifier inserter block splitter plate1 tv1");
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Move a part");
  g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) part (fixture, "inserter"));
  command (fixture, "gear.later", NULL);
  assert_way (fixture, "uhf", WAY);
  dwn_document_undo (fixture->document);
  dwn_document_undo (fixture->document);
  assert_way (fixture, "uhf", WAY);
  g_assert_null (dwn_document_undo_label (fixture->document));
}

/* Cables lie where they lay: 14 m, 8 m, 1 m. */
static void
test_move_keeps_cables (Fixture *fixture, gconstpointer data)
{
  focus (fixture, "block");
  command (fixture, "gear.later", NULL);
  for (guint e = 0; e < gear (fixture)->n_edges; e++)
    {
      const DwnEdge *edge = &gear (fixture)->edge[e];
      const char *to = gear (fixture)->part[edge->to_part].id;

      if (g_str_equal (to, "inserter"))
        g_assert_cmpfloat (edge->length_m, ==, 14.0);
      if (g_str_equal (to, "block"))
        g_assert_cmpfloat (edge->length_m, ==, 8.0);
      if (g_str_equal (to, "splitter"))
        g_assert_cmpfloat (edge->length_m, ==, 1.0);
    }
}

static void
test_insert (Fixture *fixture, gconstpointer data)
{
  focus (fixture, "amplifier");
  command (fixture, "gear.insert-before", "filter");
  assert_way (fixture, "uhf", "uhf balun-uhf combiner filter amplifier block inserter splitter plate1 tv1");
  g_assert_true (gear (fixture)->part[part (fixture, "filter")].on_mast);
  g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) part (fixture, "filter"));
  focus (fixture, "splitter");
  command (fixture, "gear.insert-behind", "attenuator");
  assert_way (fixture, "uhf", "uhf balun-uhf combiner filter amplifier block inserter splitter attenuator plate1 tv1");
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Insert a part");
}

/* The amplifier of the demo wants 5 V: of the three inserters that one is taken. */
static void
test_usual_inserter (Fixture *fixture, gconstpointer data)
{
  const DwnPartType *type = dwn_gear_usual_type (dwn_document_plan (fixture->document), part (fixture, "amplifier"),
                                                 DWN_PART_INSERTER);

  g_assert_cmpstr (type->id, ==, "inserter-5");
}

static void
test_remove (Fixture *fixture, gconstpointer data)
{
  focus (fixture, "block");
  command (fixture, "gear.remove", NULL);
  assert_way (fixture, "uhf", "uhf balun-uhf combiner amplifier inserter splitter plate1 tv1");
  const DwnChain *chain = gear (fixture);
  guint inserter = part (fixture, "inserter");
  g_assert_cmpfloat (chain->edge[chain->in_edge[chain->in_first[inserter]]].length_m, ==, 22.0);
  g_assert_cmpint (dwn_gear_canvas_current (fixture->canvas), ==, (int) part (fixture, "amplifier"));
}

static void
test_remove_outlet (Fixture *fixture, gconstpointer data)
{
  focus (fixture, "tv2");
  command (fixture, "gear.remove", NULL);
  g_assert_cmpuint (gear (fixture)->n_outlets, ==, 2);
  g_assert_cmpint (dwn_chain_find (gear (fixture), "plate2"), ==, -1);
  focus (fixture, "tv1");
  command (fixture, "gear.remove", NULL);
  focus (fixture, "tv3");
  command (fixture, "gear.remove", NULL);
  g_assert_cmpuint (gear (fixture)->n_outlets, ==, 1);
  assert_refused (fixture, "only outlet");
}

/* What cannot be done says why, and changes nothing. */
static void
test_refusals (Fixture *fixture, gconstpointer data)
{
  static const struct {
    const char *part, *action, *argument, *words;
  } cases[] = {
    { "uhf", "gear.insert-before", "filter", "nothing comes before it" },
    { "tv1", "gear.insert-behind", "filter", "nothing comes behind it" },
    { "splitter", "gear.remove", NULL, "feeds 3 cables" },
    { "combiner", "gear.remove", NULL, "joins 2 cables" },
    { "uhf", "gear.later", NULL, "where the wiring begins" },
    { "tv1", "gear.earlier", NULL, "where the wiring ends" },
    { "splitter", "gear.earlier", NULL, "more than one cable" },
    { "plate1", "gear.later", NULL, "nothing can stand behind it" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const DwnPlan *before = dwn_document_plan (fixture->document);
      focus (fixture, cases[i].part);
      command (fixture, cases[i].action, cases[i].argument);
      assert_refused (fixture, cases[i].words);
      g_assert_true (dwn_document_plan (fixture->document) == before);
    }
}

/* Three outlets on a three-way splitter: the fourth needs a four-way one, the ninth another splitter. */
static void
test_add_outlets (Fixture *fixture, gconstpointer data)
{
  for (guint n = 4; n <= 8; n++)
    {
      command (fixture, "gear.add-outlet", NULL);
      g_assert_cmpuint (gear (fixture)->n_outlets, ==, n);
      g_assert_cmpuint (dwn_chain_antennas_of (gear (fixture), gear (fixture)->outlet[n - 1]), ==, 3);
    }
  g_assert_cmpstr (gear (fixture)->part[part (fixture, "splitter")].type, ==, "splitter-8");
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Add an outlet");
  command (fixture, "gear.add-outlet", NULL);
  g_assert_cmpuint (gear (fixture)->n_outlets, ==, 8);
  assert_refused (fixture, "no output left");
}

static void
test_second_downlead (Fixture *fixture, gconstpointer data)
{
  command (fixture, "gear.arrange", "switch");
  g_assert_cmpint (dwn_chain_arrangement (gear (fixture)), ==, DWN_ARRANGEMENT_SWITCH);
  command (fixture, "gear.arrange", "two-tuners");
  g_assert_cmpint (dwn_chain_arrangement (gear (fixture)), ==, DWN_ARRANGEMENT_TWO_TUNERS);
  /* Aims stay with their antennas. */
  g_assert_cmpfloat (dwn_document_plan (fixture->document)->aims->aim_deg[0], ==, 80.0);
  g_assert_cmpfloat (dwn_document_plan (fixture->document)->aims->aim_deg[1], ==, 305.0);
}

/* A splitter without DC pass between amplifier and inserter: the fault is listed with its cure. */
static void
test_power_fault (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpuint (dwn_gear_canvas_state (fixture->canvas)->checks->len, ==, 0);
  focus (fixture, "inserter");
  command (fixture, "gear.remove", NULL);
  const DwnGearState *state = dwn_gear_canvas_state (fixture->canvas);
  g_assert_cmpuint (state->checks->len, ==, 1);
  g_assert_cmpint (g_array_index (state->checks, DwnCheck, 0).power.fault, ==, DWN_POWER_NO_SUPPLY);
  g_autofree char *faults = dwn_gear_state_faults (state, fixture->document, part (fixture, "amplifier"));
  g_assert_nonnull (strstr (faults, "put a power inserter on its cable"));
}

static GtkWidget *
row (GtkWidget *widget, GType type, const char *name)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type) && example_is_called (widget, name))
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = row (child, type, name);
      if (found != NULL)
        return found;
    }
  return NULL;
}

/* Gain, length, name and type in the popover; typing on is one step. */
static void
test_editor (Fixture *fixture, gconstpointer data)
{
  g_signal_emit_by_name (dwn_gear_canvas_part (fixture->canvas, part (fixture, "amplifier")), "clicked");
  example_settle ();
  GtkWidget *editor = example_find (fixture->panel, DWN_TYPE_GEAR_EDITOR, NULL);
  g_assert_true (gtk_widget_get_visible (editor));
  GtkWidget *gain = row (editor, GTK_TYPE_SPIN_BUTTON, "Gain, dB");
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (gain), 17.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (gain), 16.0);
  g_assert_cmpfloat (gear (fixture)->part[part (fixture, "amplifier")].gain_db, ==, 16.0);
  GtkWidget *length = row (editor, GTK_TYPE_SPIN_BUTTON, "Length, m");
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (length), 2.5);
  const DwnChain *chain = gear (fixture);
  g_assert_cmpfloat (chain->edge[chain->in_edge[chain->in_first[part (fixture, "amplifier")]]].length_m, ==, 2.5);
  gtk_editable_set_text (GTK_EDITABLE (row (editor, GTK_TYPE_ENTRY, "Name")), "Head amplifier");
  g_assert_cmpstr (gear (fixture)->part[part (fixture, "amplifier")].name, ==, "Head amplifier");
  dwn_document_undo (fixture->document); /* the name */
  dwn_document_undo (fixture->document); /* the length */
  dwn_document_undo (fixture->document); /* both gains */
  g_assert_null (dwn_document_undo_label (fixture->document));
  g_assert_true (isnan (gear (fixture)->part[part (fixture, "amplifier")].gain_db));
}

static void
test_editor_type (Fixture *fixture, gconstpointer data)
{
  g_signal_emit_by_name (dwn_gear_canvas_part (fixture->canvas, part (fixture, "splitter")), "clicked");
  example_settle ();
  GtkWidget *editor = example_find (fixture->panel, DWN_TYPE_GEAR_EDITOR, NULL);
  GtkWidget *type = row (editor, GTK_TYPE_DROP_DOWN, "Type");
  g_assert_cmpstr (gear (fixture)->part[part (fixture, "splitter")].type, ==, "splitter-3-balanced");
  gtk_drop_down_set_selected (GTK_DROP_DOWN (type), 0); /* two-way: three cables are in use */
  example_settle ();
  g_assert_cmpstr (gear (fixture)->part[part (fixture, "splitter")].type, ==, "splitter-3-balanced");
  type = row (editor, GTK_TYPE_DROP_DOWN, "Type");
  gtk_drop_down_set_selected (GTK_DROP_DOWN (type), 5);
  example_settle ();
  g_assert_cmpstr (gear (fixture)->part[part (fixture, "splitter")].type, ==, "splitter-4");
}

/* Dropped on the cable between inserter and splitter, near the splitter. */
static void
test_drop (Fixture *fixture, gconstpointer data)
{
  guint splitter = part (fixture, "splitter");
  guint edge = (guint) gear (fixture)->in_edge[gear (fixture)->in_first[splitter]];

  g_signal_emit_by_name (fixture->canvas, "dropped", part (fixture, "block"), edge, TRUE);
  assert_way (fixture, "uhf", "uhf balun-uhf combiner amplifier inserter block splitter plate1 tv1");
  const DwnChain *chain = gear (fixture);
  g_assert_cmpfloat (chain->edge[chain->in_edge[chain->in_first[part (fixture, "inserter")]]].length_m, ==, 22.0);
}

/* The station with the least to spare at the outlets is the plan's weakest wanted one. */
static void
test_weakest (Fixture *fixture, gconstpointer data)
{
  const DwnGearState *state = dwn_gear_canvas_state (fixture->canvas);
  const DwnPlan *plan = dwn_document_plan (fixture->document);
  const DwnBudget *budget = dwn_document_findings (fixture->document).budget;
  int weakest = -1;

  for (guint i = 0; i < plan->stations->n; i++)
    if (dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO
        && (weakest < 0 || budget->reception[i * budget->n_outlets + budget->weakest[i]].chance
                             < budget->reception[(guint) weakest * budget->n_outlets + budget->weakest[weakest]].chance))
      weakest = (int) i;
  g_assert_cmpint (state->station, ==, weakest);
  for (guint k = 0; k < state->n; k++)
    g_assert_cmpint (state->worst[k].station, >=, 0);
}

/* 360 px are enough: the drawing scrolls. */
static void
test_narrow (Fixture *fixture, gconstpointer data)
{
  int minimum;

  gtk_widget_measure (fixture->panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  g_assert_cmpint (minimum, <=, 360);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/app/gear-panel/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("parts-named", test_parts_named);
  ADD ("arrows", test_arrows);
  ADD ("tab", test_tab);
  ADD ("move", test_move);
  ADD ("move-keeps-cables", test_move_keeps_cables);
  ADD ("insert", test_insert);
  ADD ("usual-inserter", test_usual_inserter);
  ADD ("remove", test_remove);
  ADD ("remove-outlet", test_remove_outlet);
  ADD ("refusals", test_refusals);
  ADD ("add-outlets", test_add_outlets);
  ADD ("second-downlead", test_second_downlead);
  ADD ("power-fault", test_power_fault);
  ADD ("editor", test_editor);
  ADD ("editor-type", test_editor_type);
  ADD ("drop", test_drop);
  ADD ("weakest", test_weakest);
  ADD ("narrow", test_narrow);
  return g_test_run ();
}
