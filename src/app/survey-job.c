#include "app/survey-job.h"

#include "core/plan/survey.h"
#include "words/site-words.h"

typedef struct {
  DwnPlan *plan;
  char *folder;
  char *message;  /* written by the thread, read once it is done */
  int per_mille;  /* atomic */
} Job;

static void
job_free (gpointer data)
{
  Job *job = data;

  dwn_plan_unref (job->plan);
  g_free (job->folder);
  g_free (job->message);
  g_free (job);
}

static void
progress_cb (double fraction, gpointer data)
{
  g_atomic_int_set (&((Job *) data)->per_mille, (int) (fraction * 1000.0));
}

/* The first refused file, or what was missing. */
static char *
word_trouble (DwnTerrain *terrain, const DwnTerrainGaps *gaps)
{
  g_auto (GStrv) problems = dwn_terrain_dup_problems (terrain);

  return problems[0] != NULL ? g_strdup (problems[0]) : dwn_word_gaps (&dwn_wording_metric, gaps);
}

static void
survey_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Job *job = data;
  GError *error = NULL;
  g_auto (DwnTerrainGaps) gaps = { 0 };
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (job->folder, &error);
  DwnPlan *surveyed = terrain == NULL ? NULL
    : dwn_plan_survey (job->plan, terrain, &gaps, cancellable, progress_cb, job, &error);

  if (surveyed == NULL)
    {
      g_task_return_error (task, error);
      return;
    }
  job->message = word_trouble (terrain, &gaps);
  g_task_return_pointer (task, surveyed, (GDestroyNotify) dwn_plan_unref);
}

GTask *
dwn_survey_begin (GObject *source, const DwnPlan *plan, const char *folder, GCancellable *cancellable,
                  GAsyncReadyCallback callback, gpointer user_data)
{
  Job *job = g_new0 (Job, 1);
  GTask *task = g_task_new (source, cancellable, callback, user_data);

  job->plan = dwn_plan_ref (plan);
  job->folder = g_strdup (folder);
  g_task_set_task_data (task, job, job_free);
  g_task_run_in_thread (task, survey_thread);
  return task;
}

double
dwn_survey_fraction (GTask *task)
{
  return g_atomic_int_get (&((Job *) g_task_get_task_data (task))->per_mille) / 1000.0;
}

DwnPlan *
dwn_survey_finish (GAsyncResult *result, char **message, GError **error)
{
  Job *job = g_task_get_task_data (G_TASK (result));

  *message = g_steal_pointer (&job->message);
  return g_task_propagate_pointer (G_TASK (result), error);
}
