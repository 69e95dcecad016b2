#include "app/document.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/settings.h"
#include "core/geo/date.h"
#include "core/geo/magnetic.h"
#include "core/plan/document.h"
#include "core/study/readings.h"

typedef struct {
  DwnPlan *plan; /* as it was before */
  char *label, *merge;
} Step;

/* What follows from a plan; made anew where the plan changed. */
typedef struct {
  DwnFields *predicted; /* before readings */
  DwnFields *fields;
  DwnBudgetBase *base;
} Derived;

struct _DwnDocument {
  GObject parent_instance;

  DwnTables *tables;
  DwnMagneticModel *magnetic;
  DwnPlan *plan, *saved;
  DwnPlan *kept;       /* the plan under a trial; NULL: nothing is tried */
  char *trial_label;
  GSettings *settings; /* nullable */
  DwnWording wording;
  GFile *file;
  char *on_disk;       /* digest of what the file was seen to hold last; NULL: it was not there */
  GArray *undo, *redo; /* Step */
  Derived derived;
  double *aim_deg;     /* as shown: the plan's, or a preview */
  gboolean previewing;
  DwnBudget *budget;   /* at these aims */
  double *window_from_deg, *window_to_deg;
  double declination_deg;
  int selected;
  gboolean due[2];     /* "redraw" and "relist" after a preview */
  guint turn;          /* of those, which is next */
  guint follow;        /* source */
};

G_DEFINE_FINAL_TYPE (DwnDocument, dwn_document, G_TYPE_OBJECT)

/* Drawings and lists each follow every other time. */
#define FOLLOW_MS 25

enum { CHANGED, AIMED, SELECTED, REDRAW, RELIST, N_SIGNALS };
static guint signals[N_SIGNALS];

static void
step_clear (gpointer data)
{
  Step *step = data;

  g_clear_pointer (&step->plan, dwn_plan_unref);
  g_free (step->label);
  g_free (step->merge);
}

static void
derived_clear (Derived *derived)
{
  g_clear_pointer (&derived->base, dwn_budget_base_unref);
  g_clear_pointer (&derived->fields, dwn_fields_unref);
  g_clear_pointer (&derived->predicted, dwn_fields_unref);
}

/* Fields only where the plan's own parts that they follow from have changed. */
static gboolean
derive (DwnDocument *self, const DwnPlan *plan, Derived *derived, GError **error)
{
  const DwnPlan *old = self->plan;
  gboolean same = old != NULL && self->derived.predicted != NULL && old->site == plan->site
                  && old->stations == plan->stations && old->paths == plan->paths
                  && old->method == plan->method && old->gear == plan->gear;

  derived->predicted = same ? dwn_fields_ref (self->derived.predicted)
                            : dwn_fields_new (plan, NULL, error);
  if (derived->predicted == NULL)
    return FALSE;
  derived->fields = dwn_fields_with_readings (derived->predicted, plan, self->tables);
  derived->base = dwn_budget_base_new (plan, derived->fields, self->tables);
  return TRUE;
}

static void
rebudget (DwnDocument *self)
{
  g_clear_pointer (&self->budget, dwn_budget_unref);
  self->budget = dwn_budget_new (self->derived.base, self->aim_deg);
  for (guint a = 0; a < self->plan->gear->n_antennas; a++)
    dwn_aim_window (self->derived.base, self->aim_deg, a, &self->window_from_deg[a],
                    &self->window_to_deg[a]);
}

static void
find_declination (DwnDocument *self)
{
  DwnDate date;

  self->declination_deg = (double) NAN;
  if (self->magnetic == NULL || !dwn_date_parse (self->plan->method->date, &date, NULL))
    return;
  self->declination_deg = dwn_magnetic_model_declination_deg (
    self->magnetic, &self->plan->site->at, 0.0, dwn_date_decimal_year (&date));
}

/* The one place where the present plan changes. */
static gboolean
show_plan (DwnDocument *self, const DwnPlan *plan, GError **error)
{
  Derived derived = { 0 };
  guint n = plan->gear->n_antennas;

  if (!derive (self, plan, &derived, error))
    return FALSE;
  dwn_plan_ref (plan);
  g_clear_pointer (&self->plan, dwn_plan_unref);
  self->plan = (DwnPlan *) plan;
  derived_clear (&self->derived);
  self->derived = derived;
  g_free (self->aim_deg);
  g_free (self->window_from_deg);
  g_free (self->window_to_deg);
  self->aim_deg = g_memdup2 (plan->aims->aim_deg, n * sizeof (double));
  self->window_from_deg = g_new0 (double, n);
  self->window_to_deg = g_new0 (double, n);
  self->previewing = FALSE;
  if (self->selected >= (int) plan->stations->n)
    self->selected = -1;
  find_declination (self);
  rebudget (self);
  return TRUE;
}

static void
dwn_document_finalize (GObject *object)
{
  DwnDocument *self = DWN_DOCUMENT (object);

  g_clear_handle_id (&self->follow, g_source_remove);
  derived_clear (&self->derived);
  g_clear_pointer (&self->budget, dwn_budget_unref);
  g_clear_pointer (&self->plan, dwn_plan_unref);
  g_clear_pointer (&self->saved, dwn_plan_unref);
  g_clear_pointer (&self->kept, dwn_plan_unref);
  g_free (self->trial_label);
  g_clear_pointer (&self->undo, g_array_unref);
  g_clear_pointer (&self->redo, g_array_unref);
  g_clear_pointer (&self->magnetic, dwn_magnetic_model_unref);
  g_clear_pointer (&self->tables, dwn_tables_unref);
  g_clear_object (&self->file);
  g_free (self->on_disk);
  g_clear_object (&self->settings);
  g_free (self->aim_deg);
  g_free (self->window_from_deg);
  g_free (self->window_to_deg);
  G_OBJECT_CLASS (dwn_document_parent_class)->finalize (object);
}

static void
dwn_document_class_init (DwnDocumentClass *klass)
{
  static const char *const names[N_SIGNALS] = { "changed", "aimed", "selected", "redraw", "relist" };

  G_OBJECT_CLASS (klass)->finalize = dwn_document_finalize;
  for (guint i = 0; i < N_SIGNALS; i++)
    signals[i] = g_signal_new (names[i], G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                               NULL, G_TYPE_NONE, 0);
}

static void
dwn_document_init (DwnDocument *self)
{
  self->undo = g_array_new (FALSE, FALSE, sizeof (Step));
  self->redo = g_array_new (FALSE, FALSE, sizeof (Step));
  g_array_set_clear_func (self->undo, step_clear);
  g_array_set_clear_func (self->redo, step_clear);
  self->selected = -1;
  self->wording = dwn_wording_metric;
}

DwnDocument *
dwn_document_new (const DwnTables *tables)
{
  DwnDocument *self = g_object_new (DWN_TYPE_DOCUMENT, NULL);

  self->tables = dwn_tables_ref (tables);
  self->magnetic = dwn_magnetic_model_new (NULL); /* without one, compass bearings are left out */
  return self;
}

static void
forget_trial (DwnDocument *self)
{
  g_clear_pointer (&self->kept, dwn_plan_unref);
  g_clear_pointer (&self->trial_label, g_free);
}

/* Takes @digest. */
static void
take_digest (DwnDocument *self, char *digest)
{
  g_free (self->on_disk);
  self->on_disk = digest;
}

/* A plan that nothing leads back from: just opened, or new. @digest (nullable): of what @file holds. */
static gboolean
begin_with (DwnDocument *self, const DwnPlan *plan, GFile *file, const char *digest, GError **error)
{
  if (!show_plan (self, plan, error))
    return FALSE;
  take_digest (self, g_strdup (digest));
  forget_trial (self);
  g_array_set_size (self->undo, 0);
  g_array_set_size (self->redo, 0);
  g_clear_pointer (&self->saved, dwn_plan_unref);
  self->saved = dwn_plan_ref (plan);
  g_set_object (&self->file, file);
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

/* @digest (nullable): of what the file held. */
static DwnPlan *
read_plan (DwnDocument *self, GFile *file, char **digest, GError **error)
{
  g_autoptr (GBytes) bytes = g_file_load_bytes (file, NULL, NULL, error);
  g_autofree char *name = g_file_get_basename (file);
  DwnPlan *plan = bytes == NULL ? NULL
    : dwn_plan_read (bytes, name, self->tables->parts, self->tables->catalogue, NULL, error);

  if (plan != NULL && digest != NULL)
    *digest = g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes);
  return plan;
}

/* (nullable): of what the file holds now. */
static char *
digest_of (GFile *file)
{
  g_autoptr (GBytes) bytes = file != NULL ? g_file_load_bytes (file, NULL, NULL, NULL) : NULL;

  return bytes != NULL ? g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes) : NULL;
}

gboolean
dwn_document_open (DwnDocument *self, GFile *file, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self), FALSE);

  g_autofree char *digest = NULL;
  g_autoptr (DwnPlan) plan = read_plan (self, file, &digest, error);
  return plan != NULL && begin_with (self, plan, file, digest, error);
}

gboolean
dwn_document_recover (DwnDocument *self, GFile *copy, GFile *origin, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self), FALSE);

  g_autoptr (DwnPlan) plan = read_plan (self, copy, NULL, error);
  g_autofree char *digest = digest_of (origin);
  if (plan == NULL || !begin_with (self, plan, origin, digest, error))
    return FALSE;
  g_clear_pointer (&self->saved, dwn_plan_unref);
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

gboolean
dwn_document_take (DwnDocument *self, const DwnPlan *plan, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self), FALSE);

  return begin_with (self, plan, NULL, NULL, error);
}

gboolean
dwn_document_save (DwnDocument *self, GFile *file, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self) && file != NULL, FALSE);

  g_autofree char *path = g_file_get_path (file);
  if (path == NULL)
    {
      g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED,
                           _("A plan is saved in a folder of this machine; choose one"));
      return FALSE;
    }
  dwn_document_keep_trial (self);
  if (!dwn_plan_save (self->plan, self->tables->catalogue, path, error))
    return FALSE;
  g_clear_pointer (&self->saved, dwn_plan_unref);
  self->saved = dwn_plan_ref (self->plan);
  g_set_object (&self->file, file);
  g_autoptr (GBytes) written = dwn_plan_write (self->plan, self->tables->catalogue);
  take_digest (self, written != NULL ? g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, written)
                                     : digest_of (file));
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

DwnDiskState
dwn_document_disk (DwnDocument *self)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self), DWN_DISK_SAME);

  g_autofree char *digest = digest_of (self->file);
  if (self->file == NULL || g_strcmp0 (digest, self->on_disk) == 0)
    return DWN_DISK_SAME;
  return digest != NULL ? DWN_DISK_CHANGED : DWN_DISK_GONE;
}

gboolean
dwn_document_reload (DwnDocument *self, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self) && self->file != NULL, FALSE);

  g_autofree char *digest = NULL;
  g_autoptr (DwnPlan) plan = read_plan (self, self->file, &digest, error);
  if (plan == NULL || !dwn_document_edit (self, plan, _("Read the file anew"), NULL, error))
    return FALSE;
  take_digest (self, g_steal_pointer (&digest));
  g_clear_pointer (&self->saved, dwn_plan_unref);
  self->saved = dwn_plan_ref (plan);
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

void
dwn_document_keep_mine (DwnDocument *self)
{
  g_return_if_fail (DWN_IS_DOCUMENT (self));

  take_digest (self, digest_of (self->file));
  g_clear_pointer (&self->saved, dwn_plan_unref);
  g_signal_emit (self, signals[CHANGED], 0);
}

GFile *
dwn_document_file (DwnDocument *self)
{
  return self->file;
}

gboolean
dwn_document_is_modified (DwnDocument *self)
{
  return (self->kept != NULL ? self->kept : self->plan) != self->saved;
}

const DwnTables *
dwn_document_tables (DwnDocument *self)
{
  return self->tables;
}

const DwnPlan *
dwn_document_plan (DwnDocument *self)
{
  return self->plan;
}

const DwnWording *
dwn_document_wording (DwnDocument *self)
{
  return &self->wording;
}

static void
settings_changed_cb (DwnDocument *self)
{
  self->wording = dwn_settings_wording (self->settings);
  if (self->plan != NULL)
    g_signal_emit (self, signals[CHANGED], 0);
}

void
dwn_document_use_settings (DwnDocument *self, GSettings *settings)
{
  g_return_if_fail (DWN_IS_DOCUMENT (self) && self->settings == NULL);

  self->settings = g_object_ref (settings);
  g_signal_connect_object (settings, "changed", G_CALLBACK (settings_changed_cb), self, G_CONNECT_SWAPPED);
  settings_changed_cb (self);
}

GSettings *
dwn_document_settings (DwnDocument *self)
{
  return self->settings;
}

static void
push (GArray *steps, const DwnPlan *plan, const char *label, const char *merge)
{
  Step step = { dwn_plan_ref (plan), g_strdup (label), g_strdup (merge) };

  g_array_append_val (steps, step);
}

static const Step *
top (const GArray *steps)
{
  return steps->len > 0 ? &g_array_index (steps, Step, steps->len - 1) : NULL;
}

gboolean
dwn_document_edit (DwnDocument *self, const DwnPlan *plan, const char *label, const char *merge,
                   GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self) && plan != NULL && label != NULL, FALSE);

  dwn_document_keep_trial (self);
  g_autoptr (DwnPlan) before = dwn_plan_ref (self->plan);
  const Step *last = top (self->undo);
  gboolean merges = merge != NULL && last != NULL && g_strcmp0 (last->merge, merge) == 0
                    && self->redo->len == 0;

  if (!show_plan (self, plan, error))
    return FALSE;
  if (!merges)
    push (self->undo, before, label, merge);
  g_array_set_size (self->redo, 0);
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

const char *
dwn_document_undo_label (DwnDocument *self)
{
  if (self->kept != NULL)
    return self->trial_label;
  return self->undo->len > 0 ? top (self->undo)->label : NULL;
}

const char *
dwn_document_redo_label (DwnDocument *self)
{
  return self->redo->len > 0 ? top (self->redo)->label : NULL;
}

/* Takes the top of @from and leaves the present plan on @onto. A plan that was shown before can be
 * shown again, so this cannot fail. */
static void
step_back (DwnDocument *self, GArray *from, GArray *onto)
{
  if (from->len == 0)
    return;
  g_autoptr (DwnPlan) plan = dwn_plan_ref (top (from)->plan);
  push (onto, self->plan, top (from)->label, NULL);
  g_array_set_size (from, from->len - 1);
  show_plan (self, plan, NULL);
  g_signal_emit (self, signals[CHANGED], 0);
}

void
dwn_document_undo (DwnDocument *self)
{
  if (self->kept != NULL)
    dwn_document_drop_trial (self);
  else
    step_back (self, self->undo, self->redo);
}

void
dwn_document_redo (DwnDocument *self)
{
  dwn_document_drop_trial (self);
  step_back (self, self->redo, self->undo);
}

gboolean
dwn_document_try (DwnDocument *self, const DwnPlan *plan, const char *label, GError **error)
{
  g_return_val_if_fail (DWN_IS_DOCUMENT (self) && plan != NULL && label != NULL, FALSE);

  g_autoptr (DwnPlan) before = dwn_plan_ref (self->plan);
  if (!show_plan (self, plan, error))
    return FALSE;
  if (self->kept == NULL)
    self->kept = g_steal_pointer (&before);
  g_free (self->trial_label);
  self->trial_label = g_strdup (label);
  g_signal_emit (self, signals[CHANGED], 0);
  return TRUE;
}

void
dwn_document_keep_trial (DwnDocument *self)
{
  if (self->kept == NULL)
    return;
  push (self->undo, self->kept, self->trial_label, NULL);
  g_array_set_size (self->redo, 0);
  forget_trial (self);
  g_signal_emit (self, signals[CHANGED], 0);
}

void
dwn_document_drop_trial (DwnDocument *self)
{
  if (self->kept == NULL)
    return;
  g_autoptr (DwnPlan) kept = g_steal_pointer (&self->kept);
  forget_trial (self);
  show_plan (self, kept, NULL);
  g_signal_emit (self, signals[CHANGED], 0);
}

const char *
dwn_document_trial_label (DwnDocument *self)
{
  return self->kept != NULL ? self->trial_label : NULL;
}

const DwnPlan *
dwn_document_kept (DwnDocument *self)
{
  return self->kept != NULL ? self->kept : self->plan;
}

const DwnPlan *
dwn_document_saved (DwnDocument *self)
{
  return self->saved;
}

/* One kind after the other, so that no frame has to show both anew. */
static gboolean
follow_cb (gpointer data)
{
  DwnDocument *self = data;
  guint turn = self->turn;

  self->turn = 1 - turn;
  if (self->due[turn])
    {
      self->due[turn] = FALSE;
      g_signal_emit (self, signals[turn == 0 ? REDRAW : RELIST], 0);
    }
  if (self->due[0] || self->due[1])
    return G_SOURCE_CONTINUE;
  self->follow = 0;
  return G_SOURCE_REMOVE;
}

void
dwn_document_preview_aim (DwnDocument *self, guint antenna, double aim_deg)
{
  g_return_if_fail (antenna < self->plan->gear->n_antennas);

  self->aim_deg[antenna] = fmod (aim_deg + 720.0, 360.0);
  self->previewing = TRUE;
  rebudget (self);
  g_signal_emit (self, signals[AIMED], 0);
  self->due[0] = self->due[1] = TRUE;
  if (self->follow == 0)
    self->follow = g_timeout_add (FOLLOW_MS, follow_cb, self);
}

static void
keep_aims (DwnDocument *self, const char *merge)
{
  if (!self->previewing)
    return;
  g_autoptr (DwnPlan) plan = dwn_plan_with_aims (self->plan, self->plan->gear->n_antennas, self->aim_deg);
  dwn_document_edit (self, plan, _("Turn the antenna"), merge, NULL);
}

void
dwn_document_keep_aims (DwnDocument *self)
{
  keep_aims (self, NULL);
}

void
dwn_document_turn (DwnDocument *self, guint antenna, double aim_deg)
{
  g_autofree char *merge = g_strdup_printf ("turn-%u", antenna);

  dwn_document_preview_aim (self, antenna, aim_deg);
  keep_aims (self, merge);
}

int
dwn_document_selected (DwnDocument *self)
{
  return self->selected;
}

void
dwn_document_select (DwnDocument *self, int station)
{
  if (station == self->selected)
    return;
  self->selected = station;
  g_signal_emit (self, signals[SELECTED], 0);
}

DwnFindings
dwn_document_findings (DwnDocument *self)
{
  return (DwnFindings) {
    .plan = self->plan, .fields = self->derived.fields, .budget = self->budget,
    .aim_deg = self->aim_deg, .declination_deg = self->declination_deg,
  };
}

const DwnFields *
dwn_document_predicted (DwnDocument *self)
{
  return self->derived.predicted;
}

const DwnBudgetBase *
dwn_document_base (DwnDocument *self)
{
  return self->derived.base;
}

const double *
dwn_document_window_from_deg (DwnDocument *self)
{
  return self->window_from_deg;
}

const double *
dwn_document_window_to_deg (DwnDocument *self)
{
  return self->window_to_deg;
}
