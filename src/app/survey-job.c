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

/* What the spots are reckoned from: nothing of it changes. */
typedef struct {
  DwnPlan *plan;
  DwnFields *predicted;
  DwnTables *tables;
  double *aim_deg;
  char *folder;
} Spots;

static void
spots_free (gpointer data)
{
  Spots *spots = data;

  dwn_plan_unref (spots->plan);
  dwn_fields_unref (spots->predicted);
  dwn_tables_unref (spots->tables);
  g_free (spots->aim_deg);
  g_free (spots->folder);
  g_free (spots);
}

static void
spots_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Spots *spots = data;
  GError *error = NULL;
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (spots->folder, &error);
  DwnSpots *found = terrain == NULL ? NULL
    : dwn_spots_new (spots->plan, spots->predicted, spots->tables, terrain, spots->aim_deg, cancellable, NULL, NULL,
                     &error);

  if (found != NULL)
    g_task_return_pointer (task, found, (GDestroyNotify) dwn_spots_free);
  else
    g_task_return_error (task, error);
}

void
dwn_spots_begin (GObject *source, DwnDocument *document, const char *folder, GCancellable *cancellable,
                 GAsyncReadyCallback callback)
{
  Spots *spots = g_new0 (Spots, 1);
  DwnFindings findings = dwn_document_findings (document);
  g_autoptr (GTask) task = g_task_new (source, cancellable, callback, NULL);

  spots->plan = dwn_plan_ref (findings.plan);
  spots->predicted = dwn_fields_ref ((DwnFields *) dwn_document_predicted (document));
  spots->tables = dwn_tables_ref (dwn_document_tables (document));
  spots->aim_deg = g_memdup2 (findings.aim_deg, findings.plan->gear->n_antennas * sizeof (double));
  spots->folder = g_strdup (folder);
  g_task_set_task_data (task, spots, spots_free);
  g_task_run_in_thread (task, spots_thread);
}

DwnSpots *
dwn_spots_finish (GAsyncResult *result, GError **error)
{
  return g_task_propagate_pointer (G_TASK (result), error);
}
