#include "app/advice-panel.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"

#include "core/study/advice.h"
#include "words/advice-words.h"

/* After the last change, so that nothing is worked out for a plan that is being changed. */
#define DELAY_MS 300

struct _DwnAdvicePanel {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *summary, *cards, *work, *spinner, *work_text, *again;
  DwnLadder *ladder;
  GCancellable *cancellable;
  guint delay;
};

G_DEFINE_FINAL_TYPE (DwnAdvicePanel, dwn_advice_panel, GTK_TYPE_BOX)

/* What the thread works on: nothing of it changes. */
typedef struct {
  DwnPlan *plan;
  DwnTables *tables;
} Problem;

static void
problem_free (gpointer data)
{
  Problem *problem = data;

  dwn_plan_unref (problem->plan);
  dwn_tables_unref (problem->tables);
  g_free (problem);
}

static void
advise_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Problem *problem = data;
  const DwnAdviceOptions options = { 0 };
  GError *error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (problem->plan, cancellable, &error);
  DwnLadder *ladder = fields == NULL ? NULL
    : dwn_advise (problem->plan, fields, problem->tables, &options, cancellable, &error);

  if (ladder != NULL)
    g_task_return_pointer (task, ladder, (GDestroyNotify) dwn_ladder_unref);
  else
    g_task_return_error (task, error);
}

/* While it works a spinner turns beside a button that stops it; then the button begins anew. */
static void
show_work (DwnAdvicePanel *self, gboolean working, const char *text)
{
  gtk_label_set_text (GTK_LABEL (self->work_text), text);
  gtk_widget_set_visible (self->work, *text != '\0');
  gtk_widget_set_visible (self->spinner, working);
  gtk_spinner_set_spinning (GTK_SPINNER (self->spinner), working);
  gtk_button_set_label (GTK_BUTTON (self->again), working ? _("_Stop") : _("_Work it out"));
  dwn_name_control (self->again, gtk_button_get_label (GTK_BUTTON (self->again)));
}

static void
clear_cards (DwnAdvicePanel *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->cards)) != NULL)
    gtk_box_remove (GTK_BOX (self->cards), child);
}

/* "Four-bay bow-tie 68° (38° to 86°)" for each antenna. */
static char *
aims_text (DwnAdvicePanel *self, const DwnRung *rung)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint a = 0; a < rung->n_antennas; a++)
    {
      g_autofree char *aim = dwn_word_bearing (dwn_document_wording (self->document), rung->aim_deg[a]);
      g_autofree char *from = dwn_word_bearing (dwn_document_wording (self->document), rung->window_from_deg[a]);
      g_autofree char *to = dwn_word_bearing (dwn_document_wording (self->document), rung->window_to_deg[a]);

      g_string_append (text, a > 0 ? "\n" : "");
      if (isnan (rung->window_from_deg[a]) || isnan (rung->aim_deg[a]))
        g_string_append_printf (text, "%s %s", dwn_word_pattern (dwn_document_wording (self->document), rung->pattern[a]), isnan (rung->aim_deg[a]) ? "" : aim);
      else
        g_string_append_printf (text, _("%s to %s (window %s to %s)"), dwn_word_pattern (dwn_document_wording (self->document), rung->pattern[a]), aim, from, to);
    }
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static char *
outcome_text (DwnAdvicePanel *self, const DwnRung *rung)
{
  const DwnLadder *ladder = self->ladder;
  guint held = rung->held_must + rung->held_like;
  g_autofree char *weakest = dwn_word_decibels (dwn_document_wording (self->document), rung->weakest_margin_db);
  g_autofree char *joint = dwn_word_chance (dwn_document_wording (self->document), rung->joint_chance);

  if (ladder->n_must + ladder->n_like == 0)
    return g_strdup_printf (g_dngettext (NULL, "holds %u service", "holds %u services", rung->held_extra),
                            rung->held_extra);
  if (held == 0)
    return g_strdup_printf (_("holds none of %u wanted services"), ladder->n_must + ladder->n_like);
  return g_strdup_printf (_("holds %u of %u wanted services, weakest %s, all together %s"), held,
                          ladder->n_must + ladder->n_like, weakest, joint);
}

/* Two alike in a stack stand in no rung of their own. */
#define STACKED G_MAXUINT

static const DwnRung *
rung_at (DwnAdvicePanel *self, guint r)
{
  return r == STACKED ? self->ladder->stacked : &self->ladder->rung[r];
}

/* Begins with a capital, as a heading and an undo step do. */
static char *
arrangement_name (DwnAdvicePanel *self, guint r)
{
  char *name = g_strdup (r == STACKED ? _("Two alike in a stack")
                                      : dwn_word_arrangement (dwn_document_wording (self->document),
                                                              rung_at (self, r)->arrangement));

  name[0] = g_ascii_toupper (name[0]);
  return name;
}

static void
use_cb (GtkButton *button, gpointer data)
{
  DwnAdvicePanel *self = DWN_ADVICE_PANEL (data);
  guint r = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "rung"));

  if (self->ladder == NULL)
    return;
  g_autofree char *label = arrangement_name (self, r);
  dwn_document_try (self->document, rung_at (self, r)->plan, label, NULL);
}

static gboolean
is_advised (DwnAdvicePanel *self, guint r)
{
  return r != STACKED && self->ladder->advised == (int) r;
}

/* "advised", "close" */
static const char *
standing_word (DwnAdvicePanel *self, guint r)
{
  const DwnLadder *ladder = self->ladder;

  if (is_advised (self, r))
    return _("advised");
  return r != STACKED && ladder->runner_up == (int) r && ladder->runner_up_is_close && !ladder->runner_up_is_second
         ? _("close") : "";
}

static GtkWidget *
head_new (DwnAdvicePanel *self, guint r)
{
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *use = gtk_button_new_with_mnemonic (_("T_ry"));
  g_autofree char *name = arrangement_name (self, r);
  g_autofree char *tip = g_strdup_printf (_("See on the rose: %s"), name);

  gtk_box_append (GTK_BOX (head), dwn_line_new (name, "title"));
  GtkWidget *word = dwn_line_new (standing_word (self, r), "advised-word");
  gtk_widget_set_hexpand (word, TRUE);
  gtk_box_append (GTK_BOX (head), word);
  g_object_set_data (G_OBJECT (use), "rung", GUINT_TO_POINTER (r));
  gtk_widget_set_tooltip_text (use, tip);
  dwn_name_control (use, tip);
  gtk_widget_set_valign (use, GTK_ALIGN_START);
  g_signal_connect_object (use, "clicked", G_CALLBACK (use_cb), self, 0);
  gtk_box_append (GTK_BOX (head), use);
  return head;
}

/* Takes @text; nothing where it is empty. */
static void
append_line (GtkWidget *card, char *text, const char *css_class)
{
  if (*text != '\0')
    gtk_box_append (GTK_BOX (card), dwn_line_new (text, css_class));
  g_free (text);
}

static char *
reason_text (DwnAdvicePanel *self, guint r)
{
  const DwnWording *wording = dwn_document_wording (self->document);

  return r == STACKED ? dwn_word_stacked (wording, self->ladder) : dwn_word_reason (wording, self->ladder, r);
}

static GtkWidget *
card_new (DwnAdvicePanel *self, guint r)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  const DwnRung *rung = rung_at (self, r);
  GtkWidget *card = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);

  gtk_box_append (GTK_BOX (card), head_new (self, r));
  append_line (card, aims_text (self, rung), NULL);
  append_line (card, outcome_text (self, rung), NULL);
  append_line (card, reason_text (self, r), "dim-label");
  append_line (card, dwn_word_given_up (wording, self->ladder, rung), NULL);
  append_line (card, dwn_word_rung_cost (wording, rung, rung->plan->method->currency), NULL);
  append_line (card, dwn_word_phases (wording, rung), "dim-label");
  append_line (card, dwn_word_sensitivity (wording, rung), "dim-label");
  gtk_widget_add_css_class (card, "rung");
  if (is_advised (self, r))
    gtk_widget_add_css_class (card, "advised");
  return card;
}

static void
show_ladder (DwnAdvicePanel *self)
{
  g_autofree char *advice = dwn_word_advice (dwn_document_wording (self->document), self->ladder);

  clear_cards (self);
  gtk_label_set_text (GTK_LABEL (self->summary), advice);
  for (guint r = 0; r < self->ladder->n; r++)
    {
      gtk_box_append (GTK_BOX (self->cards), card_new (self, r));
      if (r == 0 && self->ladder->stacked != NULL)
        gtk_box_append (GTK_BOX (self->cards), card_new (self, STACKED));
    }
}

static void
advised_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnAdvicePanel *self = DWN_ADVICE_PANEL (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnLadder) ladder = g_task_propagate_pointer (G_TASK (result), &error);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED) || self->document == NULL)
    return; /* for another plan, or nobody looks any more */
  show_work (self, FALSE, "");
  if (ladder == NULL)
    {
      gtk_label_set_text (GTK_LABEL (self->summary), error->message);
      return;
    }
  g_clear_pointer (&self->ladder, dwn_ladder_unref);
  self->ladder = g_steal_pointer (&ladder);
  show_ladder (self);
}

static gboolean
advise_cb (gpointer data)
{
  DwnAdvicePanel *self = DWN_ADVICE_PANEL (data);
  Problem *problem = g_new0 (Problem, 1);

  self->delay = 0;
  problem->plan = dwn_plan_ref (dwn_document_plan (self->document));
  problem->tables = dwn_tables_ref (dwn_document_tables (self->document));
  self->cancellable = g_cancellable_new ();
  g_autoptr (GTask) task = g_task_new (self, self->cancellable, advised_cb, NULL);
  g_task_set_task_data (task, problem, problem_free);
  g_task_run_in_thread (task, advise_thread);
  return G_SOURCE_REMOVE;
}

static void
forget (DwnAdvicePanel *self)
{
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_handle_id (&self->delay, g_source_remove);
}

static void
work (DwnAdvicePanel *self)
{
  forget (self);
  show_work (self, TRUE, _("Working it out…"));
  self->delay = g_timeout_add (DELAY_MS, advise_cb, self);
}

/* Only while somebody looks at it. */
static void
begin (DwnAdvicePanel *self)
{
  if (dwn_document_trial_label (self->document) != NULL)
    return; /* one of its own rungs, or a remedy: the ladder stays as long as it is only tried */
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    work (self);
  else
    forget (self);
}

/* What was worked out before is of another plan. */
static void
again_cb (GtkButton *button, gpointer data)
{
  DwnAdvicePanel *self = DWN_ADVICE_PANEL (data);

  if (self->cancellable == NULL && self->delay == 0)
    {
      work (self);
      return;
    }
  forget (self);
  clear_cards (self);
  g_clear_pointer (&self->ladder, dwn_ladder_unref);
  gtk_label_set_text (GTK_LABEL (self->summary), "");
  show_work (self, FALSE, _("Stopped before it was worked out."));
}

guint
dwn_advice_panel_count (DwnAdvicePanel *self)
{
  return self->ladder != NULL ? self->ladder->n : 0;
}

static void
dwn_advice_panel_dispose (GObject *object)
{
  DwnAdvicePanel *self = DWN_ADVICE_PANEL (object);

  forget (self);
  g_clear_object (&self->document);
  g_clear_pointer (&self->ladder, dwn_ladder_unref);
  G_OBJECT_CLASS (dwn_advice_panel_parent_class)->dispose (object);
}

static void
dwn_advice_panel_class_init (DwnAdvicePanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_advice_panel_dispose;
}

static GtkWidget *
work_new (DwnAdvicePanel *self)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);

  self->spinner = gtk_spinner_new ();
  self->work_text = dwn_line_new ("", NULL);
  self->again = dwn_button_new (_("_Stop"), NULL);
  gtk_widget_set_hexpand (self->work_text, TRUE);
  g_signal_connect_object (self->again, "clicked", G_CALLBACK (again_cb), self, 0);
  gtk_box_append (GTK_BOX (row), self->spinner);
  gtk_box_append (GTK_BOX (row), self->work_text);
  gtk_box_append (GTK_BOX (row), self->again);
  gtk_widget_add_css_class (row, "advice-work");
  gtk_widget_set_visible (row, FALSE);
  return row;
}

static void
dwn_advice_panel_init (DwnAdvicePanel *self)
{
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->work = work_new (self);
  self->summary = dwn_line_new ("", "advice-summary");
  self->cards = gtk_box_new (GTK_ORIENTATION_VERTICAL, 9);
  gtk_widget_add_css_class (self->cards, "rungs");
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->cards);
  gtk_widget_set_vexpand (scrolled, TRUE);
  gtk_box_append (GTK_BOX (self), self->work);
  gtk_box_append (GTK_BOX (self), self->summary);
  gtk_box_append (GTK_BOX (self), scrolled);
  g_signal_connect (self, "map", G_CALLBACK (begin), NULL);
}

GtkWidget *
dwn_advice_panel_new (DwnDocument *document)
{
  DwnAdvicePanel *self = g_object_new (DWN_TYPE_ADVICE_PANEL, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (begin), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
