#include "app/trouble-section.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "words/symptom-words.h"

struct _DwnTroubleSection {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnSymptoms *symptoms;     /* NULL: the data file cannot be used */
  DwnAnswer *answer;         /* by people; those of the plan are added each time */
  gboolean *passed;          /* questions that nobody could answer */
  int asked;                 /* −1: nothing more to ask */
  DwnSuspicion *suspicion;
  GtkWidget *question, *buttons, *suspect, *test, *cure, *write;
};

G_DEFINE_FINAL_TYPE (DwnTroubleSection, dwn_trouble_section, GTK_TYPE_BOX)

/* The people's answers with those of plan and readings. (transfer full) */
static DwnAnswer *
all_answers (DwnTroubleSection *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  DwnAnswer *all = g_memdup2 (self->answer, self->symptoms->n_questions * sizeof *all);
  DwnLearnRules rules;
  g_autoptr (DwnLearned) learned = findings.plan->readings->n > 0 && dwn_learn_rules_load (&rules, NULL)
    ? dwn_learn (findings.plan, dwn_document_predicted (self->document), dwn_document_tables (self->document), &rules)
    : NULL;

  dwn_symptoms_ask_plan (self->symptoms, findings.plan, dwn_document_predicted (self->document), findings.budget,
                         dwn_document_tables (self->document), learned, dwn_document_selected (self->document), all);
  return all;
}

static void
show (DwnTroubleSection *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  g_autofree DwnAnswer *all = all_answers (self);

  g_clear_pointer (&self->suspicion, dwn_suspicion_free);
  self->suspicion = dwn_suspicion_new (self->symptoms, all);
  self->asked = self->suspicion->next;
  if (self->asked >= 0 && self->passed[self->asked])
    self->asked = -1;
  const DwnTroubleCause *first = &self->symptoms->cause[self->suspicion->order[0]];
  g_autofree char *suspect = dwn_word_suspicion (wording, self->symptoms, self->suspicion);
  g_autofree char *test = dwn_word_separating_test (wording, self->symptoms, self->suspicion);

  gtk_label_set_text (GTK_LABEL (self->question), self->asked >= 0 ? _(self->symptoms->question[self->asked].text)
                                                                   : _("There is nothing more to ask."));
  gtk_widget_set_visible (self->buttons, self->asked >= 0);
  gtk_label_set_text (GTK_LABEL (self->suspect), suspect);
  gtk_label_set_text (GTK_LABEL (self->test), test != NULL ? test : "");
  gtk_label_set_text (GTK_LABEL (self->cure), _(first->cure));
  gtk_widget_set_sensitive (self->write, self->suspicion->chance[0] >= DWN_SUSPICION_FOUND);
}

static void
answer (DwnTroubleSection *self, DwnAnswer answer)
{
  if (self->asked < 0)
    return;
  self->answer[self->asked] = answer;
  self->passed[self->asked] = answer == DWN_ANSWER_NONE;
  show (self);
}

static void
yes_cb (DwnTroubleSection *self)
{
  answer (self, DWN_ANSWER_YES);
}

static void
no_cb (DwnTroubleSection *self)
{
  answer (self, DWN_ANSWER_NO);
}

static void
pass_cb (DwnTroubleSection *self)
{
  answer (self, DWN_ANSWER_NONE);
}

static void
again_cb (DwnTroubleSection *self)
{
  memset (self->answer, 0, self->symptoms->n_questions * sizeof *self->answer);
  memset (self->passed, 0, self->symptoms->n_questions * sizeof *self->passed);
  show (self);
}

static void
write_cb (DwnTroubleSection *self)
{
  g_autofree DwnAnswer *all = all_answers (self);
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autofree char *today = g_date_time_format (now, "%Y-%m-%d");
  guint cause = self->suspicion->order[0];
  g_autofree char *found = dwn_word_finding (dwn_document_wording (self->document), self->symptoms, all, cause);
  g_autoptr (DwnPlan) plan = dwn_plan_with_finding (dwn_document_plan (self->document), today,
                                                    &self->symptoms->cause[cause], found);

  dwn_document_edit (self->document, plan, _("Note the finding"), NULL, NULL);
}

static void
dwn_trouble_section_dispose (GObject *object)
{
  DwnTroubleSection *self = DWN_TROUBLE_SECTION (object);

  g_clear_pointer (&self->suspicion, dwn_suspicion_free);
  g_clear_pointer (&self->answer, g_free);
  g_clear_pointer (&self->passed, g_free);
  g_clear_pointer (&self->symptoms, dwn_symptoms_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_trouble_section_parent_class)->dispose (object);
}

static void
dwn_trouble_section_class_init (DwnTroubleSectionClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_trouble_section_dispose;
}

static void
dwn_trouble_section_init (DwnTroubleSection *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
}

static void
add_button (DwnTroubleSection *self, GtkWidget *box, const char *caption, GCallback clicked)
{
  GtkWidget *button = dwn_button_new (caption, NULL);

  gtk_widget_set_halign (button, GTK_ALIGN_START);
  g_signal_connect_swapped (button, "clicked", clicked, self);
  gtk_box_append (GTK_BOX (box), button);
}

static void
build (DwnTroubleSection *self)
{
  self->question = dwn_line_new ("", "strong");
  GtkWidget *answers = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  self->buttons = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  gtk_box_append (GTK_BOX (self->buttons), answers);
  self->suspect = dwn_line_new ("", NULL);
  self->test = dwn_line_new ("", NULL);
  self->cure = dwn_line_new ("", "small-print");
  self->write = dwn_button_new (_("Note the _finding in the plan"), NULL);
  gtk_widget_set_halign (self->write, GTK_ALIGN_START);
  add_button (self, answers, _("_Yes"), G_CALLBACK (yes_cb));
  add_button (self, answers, _("N_o"), G_CALLBACK (no_cb));
  add_button (self, answers, _("I do not _know"), G_CALLBACK (pass_cb));
  add_button (self, self->buttons, _("_From the beginning"), G_CALLBACK (again_cb));
  g_signal_connect_swapped (self->write, "clicked", G_CALLBACK (write_cb), self);
  GtkWidget *const children[] = { self->question, self->buttons, self->suspect, self->test, self->cure, self->write };
  for (gsize i = 0; i < G_N_ELEMENTS (children); i++)
    gtk_box_append (GTK_BOX (self), children[i]);
}

GtkWidget *
dwn_trouble_section_new (DwnDocument *document)
{
  DwnTroubleSection *self = g_object_new (DWN_TYPE_TROUBLE_SECTION, NULL);
  g_autoptr (GError) error = NULL;

  self->document = g_object_ref (document);
  self->symptoms = dwn_symptoms_new (&error);
  if (self->symptoms == NULL)
    {
      gtk_box_append (GTK_BOX (self), dwn_line_new (error->message, "fault"));
      return GTK_WIDGET (self);
    }
  self->answer = g_new0 (DwnAnswer, self->symptoms->n_questions);
  self->passed = g_new0 (gboolean, self->symptoms->n_questions);
  build (self);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
