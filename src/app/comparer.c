#include "app/comparer.h"

#include <glib/gi18n.h>

#include "core/plan/document.h"
#include "core/study/readings.h"

#define KEY "dwn-comparer"
#define THIS_PLAN "plan"
#define TRIAL "trial"
#define SAVED "saved"
#define OTHER_MOUNT "mount"

/* One plan to choose. */
typedef struct {
  const char *key; /* interned: stays the same while the plan changes */
  char *name;
  DwnPlan *plan;
} Variant;

/* A variant with all that follows from it. */
typedef struct {
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
  double *from_deg, *to_deg; /* windows, one an antenna */
} Worked;

struct _DwnComparer {
  GObject parent_instance;

  DwnDocument *document; /* owns this */
  GArray *variants, *files; /* Variant; those of files are kept */
  const char *chosen[2];    /* keys, interned; NULL: nobody has chosen */
  Worked *worked[2];        /* NULL: not worked out */
  DwnComparison *comparison;
  GCancellable *cancellable;
  GError *error;            /* why they cannot be worked out */
  gboolean stale;
};

G_DEFINE_FINAL_TYPE (DwnComparer, dwn_comparer, G_TYPE_OBJECT)

enum { LISTED, COMPARED, N_SIGNALS };
static guint signals[N_SIGNALS];

static void
variant_clear (gpointer data)
{
  Variant *variant = data;

  g_free (variant->name);
  dwn_plan_unref (variant->plan);
}

static void
worked_free (Worked *worked)
{
  dwn_plan_unref (worked->plan);
  g_clear_pointer (&worked->fields, dwn_fields_unref);
  g_clear_pointer (&worked->base, dwn_budget_base_unref);
  g_clear_pointer (&worked->budget, dwn_budget_unref);
  g_free (worked->from_deg);
  g_free (worked->to_deg);
  g_free (worked);
}

/* Working out */

static Worked *
work_out (const DwnPlan *plan, const DwnTables *tables, GCancellable *cancellable, GError **error)
{
  guint n = plan->gear->n_antennas;
  g_autoptr (DwnFields) predicted = dwn_fields_new (plan, cancellable, error);

  if (predicted == NULL)
    return NULL;
  Worked *worked = g_new0 (Worked, 1);
  worked->plan = dwn_plan_ref ((DwnPlan *) plan);
  worked->fields = dwn_fields_with_readings (predicted, plan, tables);
  worked->base = dwn_budget_base_new (plan, worked->fields, tables);
  worked->budget = dwn_budget_new (worked->base, plan->aims->aim_deg);
  worked->from_deg = g_new (double, n);
  worked->to_deg = g_new (double, n);
  for (guint a = 0; a < n; a++)
    dwn_aim_window (worked->base, plan->aims->aim_deg, a, &worked->from_deg[a], &worked->to_deg[a]);
  return worked;
}

/* What the thread works on, and then what it found. */
typedef struct {
  DwnTables *tables;
  DwnPlan *plan[2];
  Worked *worked[2];
  DwnComparison *comparison;
} Job;

static void
job_free (gpointer data)
{
  Job *job = data;

  for (guint k = 0; k < 2; k++)
    {
      dwn_plan_unref (job->plan[k]);
      g_clear_pointer (&job->worked[k], worked_free);
    }
  g_clear_pointer (&job->comparison, dwn_comparison_free);
  dwn_tables_unref (job->tables);
  g_free (job);
}

static void
work_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Job *job = data;
  GError *error = NULL;

  for (guint k = 0; k < 2 && error == NULL; k++)
    job->worked[k] = work_out (job->plan[k], job->tables, cancellable, &error);
  if (error != NULL)
    {
      g_task_return_error (task, error);
      return;
    }
  const DwnComparand first = { job->plan[0], job->worked[0]->budget };
  const DwnComparand second = { job->plan[1], job->worked[1]->budget };
  job->comparison = dwn_comparison_new (&first, &second, job->tables);
  g_task_return_boolean (task, TRUE);
}

static void
forget (DwnComparer *self)
{
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_error (&self->error);
  for (guint k = 0; k < 2; k++)
    g_clear_pointer (&self->worked[k], worked_free);
  g_clear_pointer (&self->comparison, dwn_comparison_free);
  self->stale = TRUE;
}

static void
worked_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnComparer *self = DWN_COMPARER (source);
  Job *job = g_task_get_task_data (G_TASK (result));
  g_autoptr (GError) error = NULL;
  gboolean done = g_task_propagate_boolean (G_TASK (result), &error);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    return; /* others are chosen, or the plan has changed */
  g_clear_object (&self->cancellable);
  for (guint k = 0; done && k < 2; k++)
    self->worked[k] = g_steal_pointer (&job->worked[k]);
  if (done)
    self->comparison = g_steal_pointer (&job->comparison);
  else
    self->error = g_steal_pointer (&error);
  g_signal_emit (self, signals[COMPARED], 0);
}

/* Variants */

static const Variant *
variant_at (DwnComparer *self, guint i)
{
  return &g_array_index (self->variants, Variant, i);
}

static int
find (DwnComparer *self, const char *key)
{
  for (guint i = 0; i < self->variants->len; i++)
    if (variant_at (self, i)->key == key)
      return (int) i;
  return -1;
}

/* Takes @plan; NULL is no variant. */
static void
append (GArray *variants, const char *key, const char *name, DwnPlan *plan)
{
  const Variant variant = { g_intern_string (key), g_strdup (name), plan };

  if (plan != NULL)
    g_array_append_val (variants, variant);
}

static void
append_lone_antennas (DwnComparer *self, const DwnPlan *plan)
{
  const DwnWording *wording = dwn_document_wording (self->document);

  for (guint a = 0; plan->gear->n_antennas > 1 && a < plan->gear->n_antennas; a++)
    {
      g_autofree char *key = g_strdup_printf ("antenna-%u", a);
      g_autofree char *antenna = dwn_word_antenna (wording, plan->gear, a);
      /* Translators: a variant of the plan; "UHF antenna" */
      g_autofree char *name = g_strdup_printf (_("Only the %s"), antenna);
      append (self->variants, key, name, dwn_variant_one_antenna (plan, a, NULL));
    }
}

static void
list (DwnComparer *self)
{
  const DwnPlan *plan = dwn_document_kept (self->document), *saved = dwn_document_saved (self->document);
  const char *trial = dwn_document_trial_label (self->document);
  gboolean inside = plan->site->mount == DWN_MOUNT_ATTIC || plan->site->mount == DWN_MOUNT_INDOORS;

  g_array_set_size (self->variants, 0);
  append (self->variants, THIS_PLAN, _("This plan"), dwn_plan_ref ((DwnPlan *) plan));
  if (trial != NULL)
    {
      g_autofree char *name = g_strdup_printf (_("On trial: %s"), trial);
      append (self->variants, TRIAL, name, dwn_plan_ref ((DwnPlan *) dwn_document_plan (self->document)));
    }
  if (saved != NULL && saved != plan)
    append (self->variants, SAVED, _("As saved last"), dwn_plan_ref ((DwnPlan *) saved));
  append (self->variants, OTHER_MOUNT, inside ? _("On a mast above the roof") : _("In the attic, as high"),
          inside ? dwn_variant_on_mast (plan) : dwn_variant_in_attic (plan));
  append_lone_antennas (self, plan);
  for (guint i = 0; i < self->files->len; i++)
    {
      const Variant *file = &g_array_index (self->files, Variant, i);
      append (self->variants, file->key, file->name, dwn_plan_ref (file->plan));
    }
}

static void
changed_cb (DwnComparer *self)
{
  list (self);
  forget (self);
  g_signal_emit (self, signals[LISTED], 0);
}

static void
dwn_comparer_finalize (GObject *object)
{
  DwnComparer *self = DWN_COMPARER (object);

  forget (self);
  g_array_unref (self->variants);
  g_array_unref (self->files);
  G_OBJECT_CLASS (dwn_comparer_parent_class)->finalize (object);
}

static void
dwn_comparer_class_init (DwnComparerClass *klass)
{
  static const char *const names[N_SIGNALS] = { "listed", "compared" };

  G_OBJECT_CLASS (klass)->finalize = dwn_comparer_finalize;
  for (guint i = 0; i < N_SIGNALS; i++)
    signals[i] = g_signal_new (names[i], G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                               G_TYPE_NONE, 0);
}

static GArray *
variants_new (void)
{
  GArray *variants = g_array_new (FALSE, FALSE, sizeof (Variant));

  g_array_set_clear_func (variants, variant_clear);
  return variants;
}

static void
dwn_comparer_init (DwnComparer *self)
{
  self->variants = variants_new ();
  self->files = variants_new ();
  self->stale = TRUE;
}

DwnComparer *
dwn_comparer_of (DwnDocument *document)
{
  DwnComparer *self = g_object_get_data (G_OBJECT (document), KEY);

  if (self != NULL)
    return self;
  self = g_object_new (DWN_TYPE_COMPARER, NULL);
  self->document = document;
  g_object_set_data_full (G_OBJECT (document), KEY, self, g_object_unref);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  list (self);
  return self;
}

guint
dwn_comparer_count (DwnComparer *self)
{
  return self->variants->len;
}

const char *
dwn_comparer_name (DwnComparer *self, guint variant)
{
  g_return_val_if_fail (variant < self->variants->len, "");

  return variant_at (self, variant)->name;
}

guint
dwn_comparer_chosen (DwnComparer *self, guint side)
{
  static const char *const usual[] = { TRIAL, SAVED, OTHER_MOUNT };
  int i = self->chosen[side] != NULL ? find (self, self->chosen[side]) : -1;

  g_return_val_if_fail (side < 2, 0);
  if (i >= 0)
    return (guint) i;
  for (guint k = 0; side == 1 && k < G_N_ELEMENTS (usual); k++)
    if ((i = find (self, g_intern_static_string (usual[k]))) >= 0)
      return (guint) i;
  return 0;
}

void
dwn_comparer_choose (DwnComparer *self, guint side, guint variant)
{
  g_return_if_fail (side < 2 && variant < self->variants->len);

  if (dwn_comparer_chosen (self, side) == variant)
    return;
  self->chosen[side] = variant_at (self, variant)->key;
  forget (self);
  dwn_comparer_refresh (self);
}

gboolean
dwn_comparer_add_file (DwnComparer *self, GFile *file, GError **error)
{
  const DwnTables *tables = dwn_document_tables (self->document);
  g_autoptr (GBytes) bytes = g_file_load_bytes (file, NULL, NULL, error);
  g_autofree char *name = g_file_get_basename (file), *uri = g_file_get_uri (file);
  DwnPlan *plan = bytes == NULL ? NULL
    : dwn_plan_read (bytes, name, tables->parts, tables->catalogue, NULL, error);

  if (plan == NULL)
    return FALSE;
  for (guint i = self->files->len; i-- > 0;)
    if (g_str_equal (g_array_index (self->files, Variant, i).key, uri))
      g_array_remove_index (self->files, i);
  append (self->files, uri, name, plan);
  self->chosen[1] = g_intern_string (uri);
  changed_cb (self);
  dwn_comparer_refresh (self);
  return TRUE;
}

void
dwn_comparer_refresh (DwnComparer *self)
{
  g_return_if_fail (DWN_IS_COMPARER (self));

  if (!self->stale)
    return;
  Job *job = g_new0 (Job, 1);
  job->tables = dwn_tables_ref (dwn_document_tables (self->document));
  for (guint k = 0; k < 2; k++)
    job->plan[k] = dwn_plan_ref (variant_at (self, dwn_comparer_chosen (self, k))->plan);
  self->stale = FALSE;
  self->cancellable = g_cancellable_new ();
  g_autoptr (GTask) task = g_task_new (self, self->cancellable, worked_cb, NULL);
  g_task_set_task_data (task, job, job_free);
  g_task_run_in_thread (task, work_thread);
}

gboolean
dwn_comparer_is_busy (DwnComparer *self)
{
  return self->cancellable != NULL;
}

const DwnComparison *
dwn_comparer_result (DwnComparer *self, DwnComparedView sides[2], GError **error)
{
  if (self->comparison == NULL)
    {
      g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
                           self->error != NULL ? self->error->message : _("Working it out…"));
      return NULL;
    }
  for (guint k = 0; k < 2; k++)
    {
      const Worked *worked = self->worked[k];
      const DwnFindings findings = { .plan = worked->plan, .fields = worked->fields, .budget = worked->budget,
                                     .aim_deg = worked->plan->aims->aim_deg,
                                     .declination_deg = dwn_document_findings (self->document).declination_deg };
      sides[k].name = variant_at (self, dwn_comparer_chosen (self, k))->name;
      dwn_plan_view_init (&sides[k].view, dwn_document_wording (self->document), &findings, worked->base);
      sides[k].view.window_from_deg = worked->from_deg;
      sides[k].view.window_to_deg = worked->to_deg;
    }
  return self->comparison;
}

gboolean
dwn_comparer_keep (DwnComparer *self, guint side, GError **error)
{
  g_return_val_if_fail (side < 2, FALSE);

  const Variant *variant = variant_at (self, dwn_comparer_chosen (self, side));
  const char *key = variant->key;
  g_autofree char *name = g_strdup (variant->name);
  g_autoptr (DwnPlan) plan = dwn_plan_ref (variant->plan);

  self->chosen[0] = self->chosen[1] = NULL;
  if (g_str_equal (key, TRIAL))
    dwn_document_keep_trial (self->document);
  else
    dwn_document_drop_trial (self->document);
  return g_str_equal (key, TRIAL) || g_str_equal (key, THIS_PLAN)
         || dwn_document_edit (self->document, plan, name, NULL, error);
}
