#include "app/explainer.h"

#include <string.h>

#define KEY "dwn-explainer"
/* Remedies are sought once nobody has changed anything for that long. */
#define DELAY_MS 300
/* While somebody drags, the diagnosis follows that often. */
#define FOLLOW_MS 100

struct _DwnExplainer {
  GObject parent_instance;

  DwnDocument *document; /* owns this */
  DwnDiagnosis *diagnosis;
  DwnRemedies *remedies;
  DwnRaise *raise;
  GCancellable *cancellable;
  guint delay;  /* until remedies are sought */
  guint follow; /* until a drag is followed */
};

G_DEFINE_FINAL_TYPE (DwnExplainer, dwn_explainer, G_TYPE_OBJECT)

static guint explained;

/* What the thread works on: nothing of it changes. */
typedef struct {
  DwnPlan *plan;
  DwnFields *predicted;
  DwnTables *tables;
  DwnBudgetBase *base;
  double *aim_deg;
  guint station, outlet;
} Question;

static void
question_free (gpointer data)
{
  Question *question = data;

  dwn_plan_unref (question->plan);
  dwn_fields_unref (question->predicted);
  dwn_tables_unref (question->tables);
  dwn_budget_base_unref (question->base);
  g_free (question->aim_deg);
  g_free (question);
}

/* What the thread found. */
typedef struct {
  DwnRemedies *remedies;
  DwnRaise *raise;
} Answer;

static void
answer_free (gpointer data)
{
  Answer *answer = data;

  g_clear_pointer (&answer->remedies, dwn_remedies_unref);
  g_clear_pointer (&answer->raise, dwn_raise_free);
  g_free (answer);
}

static void
seek_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Question *question = data;
  Answer *answer = g_new0 (Answer, 1);
  GError *error = NULL;

  answer->raise = dwn_raise_new (question->plan, question->predicted, question->tables, question->aim_deg, 0, NULL,
                                 cancellable, &error);
  if (answer->raise != NULL)
    answer->remedies = dwn_remedies_new (question->base, question->aim_deg, question->station, question->outlet,
                                         cancellable, &error);
  if (answer->remedies != NULL)
    g_task_return_pointer (task, answer, answer_free);
  else
    {
      answer_free (answer);
      g_task_return_error (task, error);
    }
}

static void
forget (DwnExplainer *self)
{
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_handle_id (&self->delay, g_source_remove);
  g_clear_handle_id (&self->follow, g_source_remove);
  g_clear_pointer (&self->remedies, dwn_remedies_unref);
  g_clear_pointer (&self->raise, dwn_raise_free);
  g_clear_pointer (&self->diagnosis, dwn_diagnosis_unref);
}

static void
found_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnExplainer *self = DWN_EXPLAINER (source);
  g_autoptr (GError) error = NULL;
  Answer *answer = g_task_propagate_pointer (G_TASK (result), &error);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return; /* for another station, or another plan */
  g_clear_object (&self->cancellable);
  if (answer != NULL)
    {
      self->remedies = g_steal_pointer (&answer->remedies);
      self->raise = g_steal_pointer (&answer->raise);
      answer_free (answer);
    }
  else
    g_message ("%s", error->message);
  g_signal_emit (self, explained, 0);
}

static gboolean
seek_cb (gpointer data)
{
  DwnExplainer *self = data;
  DwnFindings findings = dwn_document_findings (self->document);
  Question *question = g_new0 (Question, 1);

  self->delay = 0;
  question->plan = dwn_plan_ref (findings.plan);
  question->predicted = dwn_fields_ref ((DwnFields *) dwn_document_predicted (self->document));
  question->tables = dwn_tables_ref (dwn_document_tables (self->document));
  question->base = dwn_budget_base_ref (dwn_document_base (self->document));
  question->aim_deg = g_memdup2 (findings.aim_deg, findings.plan->gear->n_antennas * sizeof (double));
  question->station = self->diagnosis->station;
  question->outlet = self->diagnosis->outlet;
  self->cancellable = g_cancellable_new ();
  g_autoptr (GTask) task = g_task_new (self, self->cancellable, found_cb, NULL);
  g_task_set_task_data (task, question, question_free);
  g_task_set_return_on_cancel (task, FALSE);
  g_task_run_in_thread (task, seek_thread);
  return G_SOURCE_REMOVE;
}

static void
explain (DwnExplainer *self)
{
  int station = dwn_document_selected (self->document);

  forget (self);
  if (station >= 0 && dwn_document_plan (self->document) != NULL)
    {
      DwnFindings findings = dwn_document_findings (self->document);
      if (findings.budget->n_outlets > 0)
        {
          self->diagnosis = dwn_diagnose (dwn_document_base (self->document), findings.aim_deg, (guint) station,
                                          findings.budget->weakest[station]);
          self->delay = g_timeout_add (DELAY_MS, seek_cb, self);
        }
    }
  g_signal_emit (self, explained, 0);
}

static gboolean
follow_cb (gpointer data)
{
  DwnExplainer *self = data;

  self->follow = 0;
  explain (self);
  return G_SOURCE_REMOVE;
}

static void
aimed_cb (DwnExplainer *self)
{
  if (self->follow == 0)
    self->follow = g_timeout_add (FOLLOW_MS, follow_cb, self);
}

static void
dwn_explainer_finalize (GObject *object)
{
  forget (DWN_EXPLAINER (object));
  G_OBJECT_CLASS (dwn_explainer_parent_class)->finalize (object);
}

static void
dwn_explainer_class_init (DwnExplainerClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = dwn_explainer_finalize;
  explained = g_signal_new ("explained", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                            G_TYPE_NONE, 0);
}

static void
dwn_explainer_init (DwnExplainer *self)
{
}

DwnExplainer *
dwn_explainer_of (DwnDocument *document)
{
  DwnExplainer *self = g_object_get_data (G_OBJECT (document), KEY);

  if (self != NULL)
    return self;
  self = g_object_new (DWN_TYPE_EXPLAINER, NULL);
  self->document = document;
  g_object_set_data_full (G_OBJECT (document), KEY, self, g_object_unref);
  g_signal_connect_object (document, "changed", G_CALLBACK (explain), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "aimed", G_CALLBACK (aimed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (explain), self, G_CONNECT_SWAPPED);
  explain (self);
  return self;
}

const DwnDiagnosis *
dwn_explainer_diagnosis (DwnExplainer *self)
{
  return self->diagnosis;
}

const DwnRemedies *
dwn_explainer_remedies (DwnExplainer *self)
{
  return self->remedies;
}

const DwnRaise *
dwn_explainer_raise (DwnExplainer *self)
{
  return self->raise;
}

gboolean
dwn_explainer_is_busy (DwnExplainer *self)
{
  return self->delay != 0 || self->follow != 0 || self->cancellable != NULL;
}
