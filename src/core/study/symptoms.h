/* From what is seen, tried, planned and read to the likely cause, one question at a time.
 *
 * Every question has, for each cause, a chance that its answer is yes: the data file
 * study/symptoms.ini, the trade's table of symptoms. Answers multiply (they are taken to be
 * independent once the cause is known), one cause at a time is at fault. */
#pragma once

#include "core/study/budget.h"
#include "core/study/learn.h"

G_BEGIN_DECLS

/* Strings are interned; English, msgids of their translations. */
typedef struct {
  const char *id;      /* "water" */
  const char *name, *cure, *source;
  double chance;       /* before anything is known; all together 1 */
} DwnTroubleCause;

typedef enum {
  DWN_QUESTION_SEEN, /* asked of the person */
  DWN_QUESTION_TEST, /* answered by doing something */
  DWN_QUESTION_PLAN, /* answered by the plan */
  DWN_QUESTION_READ, /* answered by its readings */
} DwnQuestionKind;

typedef struct {
  const char *id;       /* "seen-rain" */
  DwnQuestionKind kind;
  const char *text;
  double minutes;       /* that a test takes; 0 */
  const double *yes;    /* [causes]: chance of a yes */
} DwnQuestion;

/* Immutable, refcounted. */
typedef struct {
  guint n_causes;
  const DwnTroubleCause *cause;
  guint n_questions;
  const DwnQuestion *question;
} DwnSymptoms;

/* NULL with @error where the data file (perhaps the user's own) cannot be used. */
DwnSymptoms *dwn_symptoms_new (GError **error);
DwnSymptoms *dwn_symptoms_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnSymptoms *dwn_symptoms_ref (const DwnSymptoms *symptoms);
void dwn_symptoms_unref (const DwnSymptoms *symptoms);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSymptoms, dwn_symptoms_unref)
int dwn_symptoms_find_cause (const DwnSymptoms *symptoms, const char *id);    /* −1 */
int dwn_symptoms_find_question (const DwnSymptoms *symptoms, const char *id); /* −1 */

typedef enum {
  DWN_ANSWER_NONE, /* not asked, or nobody knows */
  DWN_ANSWER_NO,
  DWN_ANSWER_YES,
} DwnAnswer;

/* Answers what plan and readings can, about one station (−1: about all of them); leaves everything
 * else in @answers [n_questions] as it is. @budget: of the plan at its aims; @predicted: fields before any
 * reading; @learned (nullable): of its readings. */
void dwn_symptoms_ask_plan (const DwnSymptoms *symptoms, const DwnPlan *plan,
                            const DwnFields *predicted,
                            const DwnBudget *budget, const DwnTables *tables,
                            const DwnLearned *learned, int station, DwnAnswer *answers);

typedef struct {
  guint n_causes;
  const guint *order;   /* causes, the likeliest first */
  const double *chance; /* in that order; together 1 */
  int next;             /* the question to ask now; −1: none would tell much */
  int test;             /* what separates the first two: the quicker, the better; −1: nothing does */
  gboolean test_yes_first; /* a yes speaks for the first of them, otherwise for the second */
} DwnSuspicion;

/* A cause is as good as found from here on. */
#define DWN_SUSPICION_FOUND 0.85

/* @answers: [n_questions]. Returns: (transfer full). */
DwnSuspicion *dwn_suspicion_new (const DwnSymptoms *symptoms, const DwnAnswer *answers);
void dwn_suspicion_free (DwnSuspicion *suspicion);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSuspicion, dwn_suspicion_free)

/* How strongly an answered question speaks for (above 1) or against a cause: its chance of that
 * answer over the average of all causes by their chances before. 1 where it is not answered. */
double dwn_symptoms_weight (const DwnSymptoms *symptoms, guint question, DwnAnswer answer,
                            guint cause);

/* Writes the finding into the plan's visit of that day. @found: in words. Returns:
 * (transfer full). */
DwnPlan *dwn_plan_with_finding (const DwnPlan *plan, const char *when, const DwnTroubleCause *cause,
                                const char *found);

G_END_DECLS
