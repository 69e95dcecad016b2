#include "core/study/symptoms.h"

#include <math.h>
#include <string.h>

#include "core/data/ini.h"

#define SYMPTOMS_FILE "study/symptoms.ini"
/* Questions of which less is expected, in bits, are not worth asking. */
#define LEAST_BITS 0.04
/* A test separates two causes where its chances of a yes differ by this. */
#define LEAST_SEPARATION 0.25
/* Of two tests that separate about as well the quicker one counts. */
#define SEPARATION_STEP 0.1

/* Table */

static const struct {
  const char *prefix;
  DwnQuestionKind kind;
} kinds[] = {
  { "seen-", DWN_QUESTION_SEEN }, { "test-", DWN_QUESTION_TEST }, { "plan-", DWN_QUESTION_PLAN },
  { "read-", DWN_QUESTION_READ },
};

#define CAUSE_PREFIX "cause-"

static const char *
translated (const DwnIni *ini, const char *group, const char *key, GError **error)
{
  const char *text = dwn_ini_string (ini, group, key, error);

  return text != NULL ? g_intern_string (text) : NULL;
}

static gboolean
read_cause (const DwnIni *ini, const char *group, GArray *causes, GError **error)
{
  DwnTroubleCause cause = { .id = g_intern_string (group + strlen (CAUSE_PREFIX)) };

  cause.name = translated (ini, group, "name", error);
  cause.cure = cause.name != NULL ? translated (ini, group, "cure", error) : NULL;
  cause.source = cause.cure != NULL ? translated (ini, group, "source", error) : NULL;
  if (cause.source == NULL || !dwn_ini_number (ini, group, "chance", 1e-6, 1.0, &cause.chance, error))
    return FALSE;
  g_array_append_val (causes, cause);
  return TRUE;
}

static int
find_cause (const GArray *causes, const char *id)
{
  for (guint c = 0; c < causes->len; c++)
    if (g_str_equal (g_array_index (causes, DwnTroubleCause, c).id, id))
      return (int) c;
  return -1;
}

static gboolean
is_own_key (const char *key)
{
  return g_str_equal (key, "text") || g_str_equal (key, "minutes") || g_str_equal (key, "else");
}

/* A chance is never 0 or 1: no answer alone settles anything. */
static gboolean
read_chances (const DwnIni *ini, const char *group, const GArray *causes, double *yes,
              GError **error)
{
  g_autoptr (GPtrArray) keys = dwn_ini_keys (ini, group);
  double other;

  if (!dwn_ini_number (ini, group, "else", 0.001, 0.999, &other, error))
    return FALSE;
  for (guint c = 0; c < causes->len; c++)
    yes[c] = other;
  for (guint k = 0; k < keys->len; k++)
    {
      const char *key = g_ptr_array_index (keys, k);
      int cause = find_cause (causes, key);

      if (is_own_key (key))
        continue;
      if (cause < 0)
        {
          dwn_ini_refuse (ini, group, key, error, "there is no [" CAUSE_PREFIX "%s]", key);
          return FALSE;
        }
      if (!dwn_ini_number (ini, group, key, 0.001, 0.999, &yes[cause], error))
        return FALSE;
    }
  return TRUE;
}

static gboolean
read_question (const DwnIni *ini, const char *group, DwnQuestionKind kind, const GArray *causes,
               GArray *questions, GError **error)
{
  DwnQuestion question = { .id = g_intern_string (group), .kind = kind };
  g_autofree double *yes = g_new (double, MAX (causes->len, 1));

  question.text = translated (ini, group, "text", error);
  if (question.text == NULL || !read_chances (ini, group, causes, yes, error)
      || !dwn_ini_optional_number (ini, group, "minutes", 0.0, 1e5, &question.minutes, error))
    return FALSE;
  if (isnan (question.minutes))
    question.minutes = 0.0;
  question.yes = g_steal_pointer (&yes);
  g_array_append_val (questions, question);
  return TRUE;
}

static void
clear_question (gpointer data)
{
  g_free ((gpointer) ((DwnQuestion *) data)->yes);
}

static gboolean
read_group (const DwnIni *ini, const char *group, const GArray *causes, GArray *questions,
            GError **error)
{
  for (guint k = 0; k < G_N_ELEMENTS (kinds); k++)
    if (g_str_has_prefix (group, kinds[k].prefix))
      return read_question (ini, group, kinds[k].kind, causes, questions, error);
  dwn_ini_refuse (ini, group, NULL, error,
                  "a group is called cause-, seen-, test-, plan- or read-");
  return FALSE;
}

/* Causes first, wherever they stand. */
static gboolean
read_groups (const DwnIni *ini, GArray *causes, GArray *questions, GError **error)
{
  gsize n;
  const char *const *groups = dwn_ini_groups (ini, &n);

  for (gsize i = 0; i < n; i++)
    if (g_str_has_prefix (groups[i], CAUSE_PREFIX) && !read_cause (ini, groups[i], causes, error))
      return FALSE;
  for (gsize i = 0; i < n; i++)
    if (!g_str_has_prefix (groups[i], CAUSE_PREFIX)
        && !read_group (ini, groups[i], causes, questions, error))
      return FALSE;
  return TRUE;
}

static void
symptoms_clear (gpointer data)
{
  DwnSymptoms *self = data;

  for (guint q = 0; q < self->n_questions; q++)
    g_free ((gpointer) self->question[q].yes);
  g_free ((gpointer) self->question);
  g_free ((gpointer) self->cause);
}

static DwnSymptoms *
symptoms_of_ini (const DwnIni *ini, GError **error)
{
  g_autoptr (GArray) causes = g_array_new (FALSE, FALSE, sizeof (DwnTroubleCause));
  g_autoptr (GArray) questions = g_array_new (FALSE, FALSE, sizeof (DwnQuestion));
  double sum = 0.0;

  g_array_set_clear_func (questions, clear_question);
  if (!read_groups (ini, causes, questions, error))
    return NULL;
  for (guint c = 0; c < causes->len; c++)
    sum += g_array_index (causes, DwnTroubleCause, c).chance;
  for (guint c = 0; c < causes->len; c++)
    g_array_index (causes, DwnTroubleCause, c).chance /= sum;

  DwnSymptoms *self = g_atomic_rc_box_new0 (DwnSymptoms);
  self->n_causes = causes->len;
  self->cause = g_array_steal (causes, NULL);
  self->n_questions = questions->len;
  self->question = g_array_steal (questions, NULL);
  return self;
}

DwnSymptoms *
dwn_symptoms_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini != NULL ? symptoms_of_ini (ini, error) : NULL;
}

DwnSymptoms *
dwn_symptoms_new (GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (SYMPTOMS_FILE, error);

  return ini != NULL ? symptoms_of_ini (ini, error) : NULL;
}

DwnSymptoms *
dwn_symptoms_ref (const DwnSymptoms *symptoms)
{
  return g_atomic_rc_box_acquire ((gpointer) symptoms);
}

void
dwn_symptoms_unref (const DwnSymptoms *symptoms)
{
  g_atomic_rc_box_release_full ((gpointer) symptoms, symptoms_clear);
}

int
dwn_symptoms_find_cause (const DwnSymptoms *symptoms, const char *id)
{
  for (guint c = 0; c < symptoms->n_causes; c++)
    if (g_str_equal (symptoms->cause[c].id, id))
      return (int) c;
  return -1;
}

int
dwn_symptoms_find_question (const DwnSymptoms *symptoms, const char *id)
{
  for (guint q = 0; q < symptoms->n_questions; q++)
    if (g_str_equal (symptoms->question[q].id, id))
      return (int) q;
  return -1;
}

/* Sums */

static double
chance_of (const DwnQuestion *question, DwnAnswer answer, guint cause)
{
  return answer == DWN_ANSWER_YES ? question->yes[cause] : 1.0 - question->yes[cause];
}

/* Chances of all causes after the answers, in the table's order. */
static double *
chances_after (const DwnSymptoms *symptoms, const DwnAnswer *answers)
{
  double *chance = g_new (double, MAX (symptoms->n_causes, 1));
  double sum = 0.0;

  for (guint c = 0; c < symptoms->n_causes; c++)
    {
      chance[c] = symptoms->cause[c].chance;
      for (guint q = 0; q < symptoms->n_questions; q++)
        if (answers[q] != DWN_ANSWER_NONE)
          chance[c] *= chance_of (&symptoms->question[q], answers[q], c);
      sum += chance[c];
    }
  for (guint c = 0; c < symptoms->n_causes; c++)
    chance[c] /= sum;
  return chance;
}

static double
bits (double chance)
{
  return chance > 0.0 ? -chance * log2 (chance) : 0.0;
}

/* What asking is expected to take from the entropy of the causes: the mutual information of answer
 * and cause (T. M. Cover and J. A. Thomas, Elements of Information Theory, section 2.3). */
static double
bits_gained (const DwnSymptoms *symptoms, const DwnQuestion *question, const double *chance)
{
  double yes = 0.0, left = 0.0;

  for (guint c = 0; c < symptoms->n_causes; c++)
    {
      yes += chance[c] * question->yes[c];
      left += chance[c] * (bits (question->yes[c]) + bits (1.0 - question->yes[c]));
    }
  return bits (yes) + bits (1.0 - yes) - left;
}

static int
best_question (const DwnSymptoms *symptoms, const DwnAnswer *answers, const double *chance)
{
  double most = LEAST_BITS;
  int best = -1;

  for (guint q = 0; q < symptoms->n_questions; q++)
    {
      const DwnQuestion *question = &symptoms->question[q];
      double gain = question->kind == DWN_QUESTION_SEEN && answers[q] == DWN_ANSWER_NONE
                    ? bits_gained (symptoms, question, chance) : 0.0;

      if (gain > most)
        {
          most = gain;
          best = (int) q;
        }
    }
  return best;
}

static int
separating_test (const DwnSymptoms *symptoms, const DwnAnswer *answers, guint first, guint second)
{
  double most = LEAST_SEPARATION;
  int best = -1;

  for (guint q = 0; q < symptoms->n_questions; q++)
    {
      const DwnQuestion *question = &symptoms->question[q];
      double separation = fabs (question->yes[first] - question->yes[second]);

      if (question->kind != DWN_QUESTION_TEST || answers[q] != DWN_ANSWER_NONE)
        continue;
      if (separation > most + SEPARATION_STEP
          || (best >= 0 && separation > most - SEPARATION_STEP
              && question->minutes < symptoms->question[best].minutes)
          || (best < 0 && separation >= LEAST_SEPARATION))
        {
          most = separation;
          best = (int) q;
        }
    }
  return best;
}

static int
compare_chances (gconstpointer a, gconstpointer b, gpointer data)
{
  const double *chance = data;
  guint i = *(const guint *) a, j = *(const guint *) b;

  return chance[i] > chance[j] ? -1 : chance[i] < chance[j] ? 1 : i < j ? -1 : i > j;
}

DwnSuspicion *
dwn_suspicion_new (const DwnSymptoms *symptoms, const DwnAnswer *answers)
{
  g_return_val_if_fail (symptoms != NULL && answers != NULL, NULL);

  g_autofree double *chance = chances_after (symptoms, answers);
  DwnSuspicion *self = g_new0 (DwnSuspicion, 1);
  guint n = symptoms->n_causes;
  guint *order = g_new (guint, MAX (n, 1));
  double *ordered = g_new (double, MAX (n, 1));

  for (guint c = 0; c < n; c++)
    order[c] = c;
  g_qsort_with_data (order, (int) n, sizeof *order, compare_chances, chance);
  for (guint c = 0; c < n; c++)
    ordered[c] = chance[order[c]];
  *self = (DwnSuspicion) { .n_causes = n, .order = order, .chance = ordered, .next = -1, .test = -1 };
  if (n < 2)
    return self;
  self->test = separating_test (symptoms, answers, order[0], order[1]);
  if (self->test >= 0)
    self->test_yes_first = symptoms->question[self->test].yes[order[0]]
                           > symptoms->question[self->test].yes[order[1]];
  if (ordered[0] < DWN_SUSPICION_FOUND)
    self->next = best_question (symptoms, answers, chance);
  if (ordered[0] < DWN_SUSPICION_FOUND && self->next < 0)
    self->next = self->test;
  return self;
}

void
dwn_suspicion_free (DwnSuspicion *suspicion)
{
  g_free ((gpointer) suspicion->order);
  g_free ((gpointer) suspicion->chance);
  g_free (suspicion);
}

double
dwn_symptoms_weight (const DwnSymptoms *symptoms, guint question, DwnAnswer answer, guint cause)
{
  const DwnQuestion *asked = &symptoms->question[question];
  double average = 0.0;

  if (answer == DWN_ANSWER_NONE)
    return 1.0;
  for (guint c = 0; c < symptoms->n_causes; c++)
    average += symptoms->cause[c].chance * chance_of (asked, answer, c);
  return chance_of (asked, answer, cause) / average;
}

DwnPlan *
dwn_plan_with_finding (const DwnPlan *plan, const char *when, const DwnTroubleCause *cause,
                       const char *found)
{
  const DwnVisit *same = dwn_readings_find_visit (plan->readings, when);
  DwnVisit visit;

  dwn_visit_init (&visit);
  if (same != NULL)
    visit = *same;
  else
    visit.when = g_intern_string (when);
  visit.cause = cause->id;
  visit.found = g_intern_string (found);
  return dwn_plan_with_visit (plan, &visit);
}
