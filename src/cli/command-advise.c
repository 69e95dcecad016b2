/* advise: the ladder of one plan, or of every plan in a folder. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "core/study/advice.h"
#include "core/study/readings.h"
#include "words/advice-words.h"

#define SUFFIX ".downlead"
/* Draws are repeatable: the same plan gives the same share. */
#define SEED 20260101u
#define MOST_DRAWS 1000000
#define MOST_THREADS 256

typedef struct {
  DwnTables *tables;
  GPtrArray *patterns; /* (element-type DwnPattern): of --antennas; empty: not given */
  DwnAdviceOptions options;
  int threads;         /* for a folder */
} Wish;

static void
wish_clear (Wish *wish)
{
  g_clear_pointer (&wish->tables, dwn_tables_unref);
  g_clear_pointer (&wish->patterns, g_ptr_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Wish, wish_clear)

static gboolean
read_antennas (const DwnCall *call, Wish *wish, GError **error)
{
  const char *text = dwn_call_text (call, "antennas");
  g_auto (GStrv) ids = g_strsplit (text != NULL ? text : "", ",", -1);

  wish->patterns = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);
  for (char **id = ids; *id != NULL; id++)
    {
      DwnPattern *pattern = dwn_antenna_resolve (wish->tables->catalogue, *id, error);

      if (pattern == NULL)
        {
          g_prefix_error (error, "--antennas: ");
          return FALSE;
        }
      g_ptr_array_add (wish->patterns, pattern);
    }
  wish->options.n_antennas = wish->patterns->len;
  wish->options.pattern = (const DwnPattern *const *) wish->patterns->pdata;
  return TRUE;
}

static gboolean
read_wish (const DwnCall *call, Wish *wish, GError **error)
{
  int draws = 0;

  *wish = (Wish) { .options = { .seed = SEED }, .threads = (int) g_get_num_processors () };
  wish->tables = dwn_tables_new (error);
  if (wish->tables == NULL || !read_antennas (call, wish, error)
      || !dwn_call_integer (call, "draws", 0, MOST_DRAWS, &draws, error)
      || !dwn_call_integer (call, "threads", 1, MOST_THREADS, &wish->threads, error))
    return FALSE;
  wish->options.draws = (guint) draws;
  return TRUE;
}

/* One plan and what becomes of it. */
typedef struct {
  const Wish *wish;
  char *path;
  GPtrArray *warnings; /* (element-type utf8) */
  DwnLadder *ladder;
  GError *error;
} Job;

static void
job_free (Job *job)
{
  g_free (job->path);
  g_ptr_array_unref (job->warnings);
  g_clear_pointer (&job->ladder, dwn_ladder_unref);
  g_clear_error (&job->error);
  g_free (job);
}

static Job *
job_new (const Wish *wish, char *path)
{
  Job *job = g_new0 (Job, 1);

  job->wish = wish;
  job->path = path;
  job->warnings = g_ptr_array_new_with_free_func (g_free);
  return job;
}

/* Safe in any thread: nothing is printed here. */
static void
do_job (Job *job)
{
  DwnTables *tables = job->wish->tables;
  g_autoptr (DwnPlan) plan = dwn_plan_load (job->path, tables->parts, tables->catalogue,
                                            job->warnings, &job->error);
  g_autoptr (DwnFields) predicted = plan != NULL ? dwn_fields_new (plan, NULL, &job->error) : NULL;
  g_autoptr (DwnFields) fields = predicted != NULL ? dwn_fields_with_readings (predicted, plan, tables)
                                                   : NULL;

  if (fields != NULL)
    job->ladder = dwn_advise (plan, fields, tables, &job->wish->options, NULL, &job->error);
  if (fields != NULL && job->ladder == NULL)
    g_prefix_error (&job->error, "%s: ", job->path);
}

static char *
join_numbers (const double *value, guint n)
{
  GString *text = g_string_new (NULL);
  char number[G_ASCII_DTOSTR_BUF_SIZE];

  for (guint k = 0; k < n; k++)
    {
      gboolean known = isfinite (value[k]);

      if (known)
        g_ascii_formatd (number, sizeof number, "%.12g", round (value[k] * 10.0) / 10.0);
      g_string_append_printf (text, "%s%s", k > 0 ? "," : "", known ? number : "");
    }
  return g_string_free (text, FALSE);
}

static char *
join_patterns (const DwnRung *rung)
{
  GString *text = g_string_new (NULL);

  for (guint a = 0; a < rung->n_antennas; a++)
    g_string_append_printf (text, "%s%s", a > 0 ? "," : "", rung->pattern[a]->id);
  return g_string_free (text, FALSE);
}

/* Why it is advised or not, how it stands beside the others, what a hybrid does and a stack would. */
static char *
word_rung (const DwnLadder *ladder, guint r)
{
  g_autofree char *reason = dwn_word_reason (&dwn_wording_script, ladder, r);
  g_autofree char *standing = dwn_word_standing (&dwn_wording_script, ladder, r);
  g_autofree char *phases = dwn_word_phases (&dwn_wording_script, &ladder->rung[r]);
  g_autofree char *stacked = r == 0 ? dwn_word_stacked (&dwn_wording_script, ladder) : g_strdup ("");

  return g_strconcat (reason, *standing != '\0' ? "; " : "", standing, *phases != '\0' ? "; " : "",
                      phases, *stacked != '\0' ? "; " : "", stacked, NULL);
}

static void
add_rung (DwnRows *rows, const DwnLadder *ladder, guint r, const char *plan)
{
  const DwnRung *rung = &ladder->rung[r];
  g_autofree char *antennas = join_patterns (rung);
  g_autofree char *aims = join_numbers (rung->aim_deg, rung->n_antennas);
  g_autofree char *from = join_numbers (rung->window_from_deg, rung->n_antennas);
  g_autofree char *to = join_numbers (rung->window_to_deg, rung->n_antennas);
  g_autofree char *reason = word_rung (ladder, r);

  dwn_rows_number (rows, r + 1);
  dwn_rows_text (rows, dwn_arrangement_id (rung->arrangement));
  dwn_rows_text (rows, antennas);
  dwn_rows_text (rows, aims);
  dwn_rows_number (rows, rung->held_must + rung->held_like);
  dwn_rows_number (rows, ladder->n_must + ladder->n_like);
  dwn_rows_number (rows, rung->held_extra);
  dwn_rows_number (rows, rung->weakest_margin_db);
  dwn_rows_number (rows, 100.0 * rung->joint_chance);
  dwn_rows_text (rows, from);
  dwn_rows_text (rows, to);
  dwn_rows_number (rows, (int) r == ladder->advised ? 1 : 0);
  dwn_rows_text (rows, reason);
  if (plan != NULL)
    dwn_rows_text (rows, plan);
}

#define COLUMNS "rung arrangement antennas aims_deg held_wanted wanted held_extra weakest_margin_db " \
                "joint_chance_pct window_from_deg window_to_deg advised reason"

static void
print_job (const Job *job, DwnRows *rows, gboolean named)
{
  g_autofree char *name = named ? g_path_get_basename (job->path) : NULL;

  for (guint i = 0; i < job->warnings->len; i++)
    dwn_warn (g_ptr_array_index (job->warnings, i));
  for (guint r = 0; job->ladder != NULL && r < job->ladder->n; r++)
    add_rung (rows, job->ladder, r, name);
}

static gboolean
advise_one (DwnCall *call, const Wish *wish, GError **error)
{
  Job *job = job_new (wish, g_strdup (call->arguments[0]));

  do_job (job);
  if (job->error != NULL)
    g_propagate_error (error, g_steal_pointer (&job->error));
  gboolean done = job->ladder != NULL;
  if (done)
    {
      DwnRows *rows = dwn_rows_new (call, COLUMNS);
      g_autofree char *advice = dwn_word_advice (&dwn_wording_metric, job->ladder);

      print_job (job, rows, FALSE);
      dwn_rows_print (rows);
      if (!call->tsv)
        g_print ("\n%s\n", advice);
    }
  job_free (job);
  return done;
}

/* A folder */

static int
compare_paths (gconstpointer a, gconstpointer b)
{
  return g_strcmp0 (*(char *const *) a, *(char *const *) b);
}

static GPtrArray *
list_plans (const char *folder, GError **error)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, error);
  g_autoptr (GPtrArray) paths = g_ptr_array_new ();
  const char *name;

  if (dir == NULL)
    return NULL;
  while ((name = g_dir_read_name (dir)) != NULL)
    if (g_str_has_suffix (name, SUFFIX))
      g_ptr_array_add (paths, g_build_filename (folder, name, NULL));
  g_ptr_array_sort (paths, compare_paths);
  if (paths->len == 0)
    {
      dwn_call_refuse (error, _("%s: no file in this folder ends in %s"), folder, SUFFIX);
      return NULL;
    }
  return g_steal_pointer (&paths);
}

/* Shared by the threads that work through a folder. */
typedef struct {
  GPtrArray *jobs;
  GMutex lock; /* so that progress is told in order */
  guint done;
} Batch;

static void
work_cb (gpointer data, gpointer user_data)
{
  Batch *batch = user_data;
  guint all = batch->jobs->len;

  do_job (data);
  g_mutex_lock (&batch->lock);
  guint done = ++batch->done;
  if (done * 10 / all != (done - 1) * 10 / all)
    g_printerr (_("%u of %u plans\n"), done, all);
  g_mutex_unlock (&batch->lock);
}

static void
work_through (GPtrArray *jobs, int threads)
{
  Batch batch = { .jobs = jobs };
  GThreadPool *pool = g_thread_pool_new (work_cb, &batch, threads, FALSE, NULL);

  g_mutex_init (&batch.lock);
  for (guint i = 0; i < jobs->len; i++)
    g_thread_pool_push (pool, g_ptr_array_index (jobs, i), NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
  g_mutex_clear (&batch.lock);
}

/* All that could be done is printed, in the order of the names; a plan that was refused says so on
 * standard error and makes the whole call one that refused something.
 * FALSE with the last refusal as @error. */
static gboolean
print_jobs (DwnCall *call, GPtrArray *jobs, GError **error)
{
  DwnRows *rows = dwn_rows_new (call, COLUMNS " plan");
  g_autoptr (GError) refused = NULL;

  for (guint i = 0; i < jobs->len; i++)
    {
      Job *job = g_ptr_array_index (jobs, i);

      print_job (job, rows, TRUE);
      if (job->error == NULL)
        continue;
      if (refused != NULL)
        dwn_warn (refused->message);
      g_clear_error (&refused);
      refused = g_steal_pointer (&job->error);
    }
  dwn_rows_print (rows);
  gboolean whole = refused == NULL;
  if (!whole)
    g_propagate_error (error, g_steal_pointer (&refused));
  return whole;
}

static gboolean
advise_folder (DwnCall *call, const Wish *wish, GError **error)
{
  g_autoptr (GPtrArray) paths = list_plans (call->arguments[0], error);
  g_autoptr (GPtrArray) jobs = g_ptr_array_new_with_free_func ((GDestroyNotify) job_free);

  if (paths == NULL)
    return FALSE;
  for (guint i = 0; i < paths->len; i++)
    g_ptr_array_add (jobs, job_new (wish, g_ptr_array_index (paths, i)));
  work_through (jobs, wish->threads);
  return print_jobs (call, jobs, error);
}

static gboolean
run_advise (DwnCall *call, GError **error)
{
  g_auto (Wish) wish = { 0 };

  if (!read_wish (call, &wish, error))
    return FALSE;
  return g_file_test (call->arguments[0], G_FILE_TEST_IS_DIR) ? advise_folder (call, &wish, error)
                                                              : advise_one (call, &wish, error);
}

const DwnCommand dwn_command_advise = {
  .name = "advise",
  .arguments = "PLAN",
  .min_arguments = 1,
  .max_arguments = 1,
  .summary = N_("Which antennas, pointed where, joined how; of a plan or of all in a folder"),
  .options = (const DwnOption[]) { { "antennas", "ID,…" }, { "draws", "N" }, { "threads", "N" }, { NULL } },
  .run = run_advise,
};
