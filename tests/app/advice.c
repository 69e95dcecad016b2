/* The advice panel in process: cards, trying one, keeping it, stopping the work. */
#include <gtk/gtk.h>

#include "app/advice-panel.h"
#include "core/chain/head.h"
#include "core/study/advice.h"
#include "example.h"

typedef ExamplePanel Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_panel_show (fixture, dwn_advice_panel_new);
}

static DwnAdvicePanel *
panel (Fixture *fixture)
{
  return DWN_ADVICE_PANEL (fixture->panel);
}

/* At most a minute, on a busy machine. */
static void
wait_for_cards (Fixture *fixture)
{
  for (guint i = 0; i < 6000 && dwn_advice_panel_count (panel (fixture)) == 0; i++)
    {
      g_usleep (10000);
      example_settle ();
    }
  g_assert_cmpuint (dwn_advice_panel_count (panel (fixture)), >, 0);
}

/* The button whose tooltip says that it shows this. */
static GtkWidget *
find_by_tip (GtkWidget *widget, const char *tip)
{
  if (GTK_IS_BUTTON (widget) && g_strcmp0 (gtk_widget_get_tooltip_text (widget), tip) == 0)
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      GtkWidget *found = find_by_tip (child, tip);

      if (found != NULL)
        return found;
    }
  return NULL;
}

static void
try_card (Fixture *fixture, const char *name)
{
  g_autofree char *tip = g_strdup_printf ("See on the rose: %s", name);
  GtkWidget *button = find_by_tip (fixture->panel, tip);

  g_assert_nonnull (button);
  g_signal_emit_by_name (button, "clicked");
  example_settle ();
  g_assert_cmpstr (dwn_document_trial_label (fixture->document), ==, name);
}

static DwnArrangement
arrangement (Fixture *fixture)
{
  return dwn_chain_arrangement (dwn_document_plan (fixture->document)->gear);
}

/* What is kept stands in the plan with its gear; what is dropped leaves it as it was. */
static void
test_try_keep_drop (Fixture *fixture, gconstpointer data)
{
  wait_for_cards (fixture);
  g_assert_cmpint (arrangement (fixture), ==, DWN_ARRANGEMENT_SPLIT_BY_BAND);
  try_card (fixture, "An antenna on a rotator");
  dwn_document_drop_trial (fixture->document);
  g_assert_cmpint (arrangement (fixture), ==, DWN_ARRANGEMENT_SPLIT_BY_BAND);
  wait_for_cards (fixture);
  try_card (fixture, "Two downleads and a switch");
  dwn_document_keep_trial (fixture->document);
  g_assert_cmpint (arrangement (fixture), ==, DWN_ARRANGEMENT_SWITCH);
  g_assert_cmpstr (dwn_document_undo_label (fixture->document), ==, "Two downleads and a switch");
}

/* Two in a stack stand in no rung of their own; tried, they are the plan's one antenna. */
static void
test_stack (Fixture *fixture, gconstpointer data)
{
  wait_for_cards (fixture);
  try_card (fixture, "Two alike in a stack");
  dwn_document_keep_trial (fixture->document);
  const DwnChain *gear = dwn_document_plan (fixture->document)->gear;
  g_assert_cmpuint (gear->n_antennas, ==, 1);
  g_assert_true (g_str_has_prefix (gear->part[gear->antenna[0]].type, "stack-"));
}

/* Stopped at once there is nothing; asked again there is. */
static void
test_stop (Fixture *fixture, gconstpointer data)
{
  const double aims_deg[] = { 81.0, 305.0 };
  g_autoptr (DwnPlan) turned = dwn_plan_with_aims (dwn_document_plan (fixture->document), 2, aims_deg);
  g_autoptr (GError) error = NULL;

  /* Begins anew, however fast it was. */
  wait_for_cards (fixture);
  g_assert_true (dwn_document_edit (fixture->document, turned, "Turn", NULL, &error));
  GtkWidget *button = example_find (fixture->panel, GTK_TYPE_BUTTON, "Stop");
  g_assert_nonnull (button);
  g_signal_emit_by_name (button, "clicked");
  for (guint i = 0; i < 60; i++)
    {
      g_usleep (10000);
      example_settle ();
    }
  g_assert_cmpuint (dwn_advice_panel_count (panel (fixture)), ==, 0);
  g_signal_emit_by_name (button, "clicked");
  wait_for_cards (fixture);
}

/* Turning an antenna does not wait for it. */
static void
test_drag (Fixture *fixture, gconstpointer data)
{
  dwn_document_preview_aim (fixture->document, 0, 91.0);
  g_assert_cmpfloat (dwn_document_findings (fixture->document).aim_deg[0], ==, 91.0);
  wait_for_cards (fixture);
}

static void
test_narrow (Fixture *fixture, gconstpointer data)
{
  int minimum;

  gtk_widget_measure (fixture->panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  g_assert_cmpint (minimum, <=, 360);
  wait_for_cards (fixture);
  gtk_widget_measure (fixture->panel, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, NULL, NULL, NULL);
  g_assert_cmpint (minimum, <=, 360);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/app/advice/" name, Fixture, NULL, set_up, function, example_panel_close)
  ADD ("try-keep-drop", test_try_keep_drop);
  ADD ("stack", test_stack);
  ADD ("stop", test_stop);
  ADD ("drag", test_drag);
  ADD ("narrow", test_narrow);
  return g_test_run ();
}
