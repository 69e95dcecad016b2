#include "app/import-dialog.h"

#include <glib/gi18n.h>
#include <string.h>

#include "app/form.h"
#include "app/hint.h"
#include "app/import-lines.h"
#include "words/wording.h"

#define WIDTH 720
#define HEIGHT 560
#define WITHIN_KM 150.0
#define MOST_WITHIN_KM 1000.0
#define PROGRESS_MS 100
#define HEAD_BYTES 256

struct _DwnImportDialog {
  GtkWindow parent_instance;

  DwnDocument *document;
  char **files;                 /* NULL: none chosen yet */
  DwnImport *import;
  DwnMerge *merge;
  GCancellable *cancellable;    /* of the reading that goes on */
  guint pulse;
  int per_mille;                /* read so far; written by the reading thread, atomic */
  GtkFileChooserNative *chooser;
  char *map_file;
  GtkWidget *names, *format, *datum, *within, *drop, *map, *map_row;
  GtkWidget *progress, *summary, *lines, *take;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnImportDialog, dwn_import_dialog, GTK_TYPE_WINDOW)

DwnImportFormat
dwn_import_guess (const char *path)
{
  g_autofree char *lower = g_ascii_strdown (path, -1);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GFileInputStream) stream = g_file_read (file, NULL, NULL);
  char head[HEAD_BYTES + 1] = "";

  if (stream != NULL)
    g_input_stream_read (G_INPUT_STREAM (stream), head, HEAD_BYTES, NULL, NULL);
  if (strstr (head, "<stations") != NULL)
    return DWN_IMPORT_STATIONS;
  if (g_str_has_suffix (lower, ".zip") || g_str_has_suffix (lower, ".dat"))
    return DWN_IMPORT_LICENCE_TABLES;
  if (head[0] == '|' || g_str_has_suffix (lower, ".txt"))
    return DWN_IMPORT_LICENCE_TEXT;
  return g_str_has_suffix (lower, ".xml") ? DWN_IMPORT_STATIONS : DWN_IMPORT_CSV;
}

/* What the thread works on. */
typedef struct {
  DwnImportFormat format;
  DwnImportOptions options;
  char **files;
  char *map_file;
  DwnImportDialog *dialog; /* kept alive by the task */
} Job;

static void
job_free (gpointer data)
{
  Job *job = data;

  g_strfreev (job->files);
  g_free (job->map_file);
  g_free (job);
}

static void
progress_cb (double fraction, gpointer data)
{
  g_atomic_int_set (&((DwnImportDialog *) data)->per_mille, (int) (fraction * 1000.0));
}

static void
import_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Job *job = data;
  GError *error = NULL;
  DwnImport *import = dwn_import_files (job->format, (const char *const *) job->files, &job->options,
                                        cancellable, progress_cb, job->dialog, &error);

  if (import != NULL)
    g_task_return_pointer (task, import, (GDestroyNotify) dwn_import_free);
  else
    g_task_return_error (task, error);
}

static void
forget (DwnImportDialog *self)
{
  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_handle_id (&self->pulse, g_source_remove);
  gtk_widget_set_visible (self->progress, FALSE);
}

static const char *
kind_word (DwnMergeKind kind)
{
  static const char *const words[DWN_N_MERGE_KINDS] = {
    N_("added"), N_("changed"), N_("new channel"), N_("as before"), N_("yours, kept"), N_("not in the list, kept"),
    N_("taken away"),
  };

  return _(words[kind]);
}

/* What changes comes first, then what was passed over; what stays as it was is only counted. */
static void
show_lines (DwnImportDialog *self)
{
  g_autoptr (GtkStringList) lines = gtk_string_list_new (NULL);

  for (guint i = 0; self->merge != NULL && i < self->merge->n; i++)
    if (self->merge->entry[i].kind != DWN_MERGE_SAME)
      dwn_import_lines_append (lines, kind_word (self->merge->entry[i].kind), self->merge->entry[i].name,
                   self->merge->entry[i].why);
  for (guint i = 0; self->import != NULL && i < self->import->n_warnings; i++)
    dwn_import_lines_append (lines, _("mind"), "", self->import->warnings[i].text);
  for (guint i = 0; self->import != NULL && i < self->import->n_skipped; i++)
    {
      const DwnImportSkip *skip = &self->import->skipped[i];
      g_autofree char *why = g_strdup_printf ("%s (%s:%u)", skip->text, skip->file, skip->line);
      dwn_import_lines_append (lines, _("passed over"), skip->name, why);
    }
  dwn_import_lines_show (self->lines, g_steal_pointer (&lines));
}

/* Takes @words, which say how many. */
static void
append_count (GString *text, guint n, char *words)
{
  if (n > 0)
    g_string_append_printf (text, "%s%s", text->len > 0 ? ", " : "", words);
  g_free (words);
}

#define COUNT(text, n, one, many) \
  append_count (text, n, g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, one, many, n), n))

static void
show_summary (DwnImportDialog *self)
{
  const guint *count = self->merge->count;
  guint changed = count[DWN_MERGE_CHANGED] + count[DWN_MERGE_MOVED];
  g_autoptr (GString) text = g_string_new (NULL);

  COUNT (text, count[DWN_MERGE_ADDED], "%u station added", "%u stations added");
  COUNT (text, changed, "%u changed", "%u changed");
  COUNT (text, count[DWN_MERGE_SAME], "%u as before", "%u as before");
  COUNT (text, count[DWN_MERGE_KEPT], "%u of yours kept", "%u of yours kept");
  COUNT (text, count[DWN_MERGE_MISSING], "%u not in the list but kept", "%u not in the list but kept");
  COUNT (text, count[DWN_MERGE_DROPPED], "%u taken away", "%u taken away");
  COUNT (text, self->import->n_skipped, "%u record passed over", "%u records passed over");
  COUNT (text, self->import->n_beyond, "%u farther away", "%u farther away");
  if (text->len == 0)
    g_string_append (text, _("The files hold no station."));
  gtk_label_set_text (GTK_LABEL (self->summary), text->str);
}

static void
show_merge (DwnImportDialog *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);

  g_clear_pointer (&self->merge, dwn_merge_free);
  if (self->import != NULL)
    {
      self->merge = dwn_station_merge (plan->stations, plan->services, self->import,
                                       gtk_check_button_get_active (GTK_CHECK_BUTTON (self->drop)));
      show_summary (self);
    }
  gtk_widget_set_sensitive (self->take, self->merge != NULL);
  show_lines (self);
}

static void
imported_cb (GObject *source, GAsyncResult *result, gpointer unused)
{
  DwnImportDialog *self = DWN_IMPORT_DIALOG (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = g_task_propagate_pointer (G_TASK (result), &error);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED) || self->document == NULL)
    return; /* other files or another format were asked for since */
  forget (self);
  g_clear_pointer (&self->import, dwn_import_free);
  self->import = g_steal_pointer (&import);
  if (error != NULL)
    gtk_label_set_text (GTK_LABEL (self->summary), error->message);
  show_merge (self);
  if (self->merge != NULL)
    gtk_widget_grab_focus (self->take); /* Enter is enough */
}

static gboolean
pulse_cb (gpointer data)
{
  DwnImportDialog *self = data;

  gtk_widget_set_visible (self->progress, TRUE);
  gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (self->progress), g_atomic_int_get (&self->per_mille) / 1000.0);
  return G_SOURCE_CONTINUE;
}

/* The licence text of 2013 has NAD27 coordinates; everything else WGS 84 or nearly so. */
static DwnDatum
datum_of (DwnImportDialog *self)
{
  return gtk_drop_down_get_selected (GTK_DROP_DOWN (self->datum)) == 1 ? DWN_DATUM_NAD27 : DWN_DATUM_WGS84;
}

static Job *
job_new (DwnImportDialog *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  Job *job = g_new0 (Job, 1);

  job->format = (DwnImportFormat) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->format));
  job->files = g_strdupv (self->files);
  job->map_file = g_strdup (self->map_file);
  job->dialog = self;
  job->options = (DwnImportOptions) {
    .datum = datum_of (self), .has_near = TRUE, .near = plan->site->at,
    .within_km = gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->within)), .map_file = job->map_file,
  };
  return job;
}

static void
read_again (DwnImportDialog *self)
{
  gboolean csv = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->format)) == DWN_IMPORT_CSV;

  gtk_widget_set_visible (self->map_row, csv);
  if (self->updating || self->files == NULL)
    return;
  forget (self);
  g_clear_pointer (&self->import, dwn_import_free);
  show_merge (self);
  if (csv && self->map_file == NULL)
    {
      gtk_label_set_text (GTK_LABEL (self->summary),
                          _("A CSV needs a mapping file that says what its columns mean; the help describes it."));
      return;
    }
  gtk_label_set_text (GTK_LABEL (self->summary), _("Reading…"));
  g_atomic_int_set (&self->per_mille, 0);
  self->cancellable = g_cancellable_new ();
  self->pulse = g_timeout_add (PROGRESS_MS, pulse_cb, self);
  g_autoptr (GTask) task = g_task_new (self, self->cancellable, imported_cb, NULL);
  g_task_set_task_data (task, job_new (self), job_free);
  g_task_run_in_thread (task, import_thread);
}

void
dwn_import_dialog_read (DwnImportDialog *self, const char *const *files)
{
  g_return_if_fail (DWN_IS_IMPORT_DIALOG (self) && files != NULL && files[0] != NULL);

  DwnImportFormat format = dwn_import_guess (files[0]);
  g_autofree char *first = g_path_get_basename (files[0]);
  guint n = g_strv_length ((char **) files);
  g_autofree char *names = n == 1 ? g_strdup (first)
    : g_strdup_printf (g_dngettext (NULL, "%s and %u more", "%s and %u more", n - 1), first, n - 1);

  g_strfreev (self->files);
  self->files = g_strdupv ((char **) files);
  gtk_label_set_text (GTK_LABEL (self->names), names);
  self->updating = TRUE;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->format), (guint) format);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->datum), format == DWN_IMPORT_LICENCE_TEXT ? 1 : 0);
  self->updating = FALSE;
  read_again (self);
}

const DwnMerge *
dwn_import_dialog_merge (DwnImportDialog *self)
{
  return self->merge;
}

gboolean
dwn_import_dialog_take (DwnImportDialog *self)
{
  g_return_val_if_fail (DWN_IS_IMPORT_DIALOG (self), FALSE);

  if (self->merge == NULL)
    return FALSE;
  g_autoptr (DwnPlan) plan = dwn_plan_with_merge (dwn_document_plan (self->document), self->merge);
  return dwn_document_edit (self->document, plan, _("Bring in stations"), NULL, NULL);
}

static void
take_cb (DwnImportDialog *self)
{
  if (dwn_import_dialog_take (self))
    gtk_window_close (GTK_WINDOW (self));
}

static void
files_response_cb (DwnImportDialog *self, int response)
{
  g_autoptr (GListModel) files = response == GTK_RESPONSE_ACCEPT
                                 ? gtk_file_chooser_get_files (GTK_FILE_CHOOSER (self->chooser)) : NULL;
  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func (g_free);

  g_clear_object (&self->chooser);
  for (guint i = 0; files != NULL && i < g_list_model_get_n_items (files); i++)
    {
      g_autoptr (GFile) file = g_list_model_get_item (files, i);
      char *path = g_file_get_path (file);
      if (path != NULL)
        g_ptr_array_add (paths, path);
    }
  if (paths->len == 0)
    return;
  g_ptr_array_add (paths, NULL);
  dwn_import_dialog_read (self, (const char *const *) paths->pdata);
}

static void
map_response_cb (DwnImportDialog *self, int response)
{
  g_autoptr (GFile) file = response == GTK_RESPONSE_ACCEPT
                           ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser)) : NULL;
  char *path = file != NULL ? g_file_get_path (file) : NULL;

  g_clear_object (&self->chooser);
  if (path == NULL)
    return;
  g_free (self->map_file);
  self->map_file = path;
  g_autofree char *name = g_path_get_basename (path);
  gtk_button_set_label (GTK_BUTTON (self->map), name);
  read_again (self);
}

static void
choose (DwnImportDialog *self, const char *title, gboolean several, GCallback response_cb)
{
  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self), GTK_FILE_CHOOSER_ACTION_OPEN,
                                               _("_Choose"), _("_Cancel"));
  gtk_file_chooser_set_select_multiple (GTK_FILE_CHOOSER (self->chooser), several);
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", response_cb, self, G_CONNECT_SWAPPED);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
choose_files_cb (DwnImportDialog *self)
{
  choose (self, _("Choose station lists"), TRUE, G_CALLBACK (files_response_cb));
}

static void
choose_map_cb (DwnImportDialog *self)
{
  choose (self, _("Choose a mapping file"), FALSE, G_CALLBACK (map_response_cb));
}

static void
dwn_import_dialog_dispose (GObject *object)
{
  DwnImportDialog *self = DWN_IMPORT_DIALOG (object);

  g_cancellable_cancel (self->cancellable);
  g_clear_object (&self->cancellable);
  g_clear_handle_id (&self->pulse, g_source_remove);
  g_clear_object (&self->chooser);
  g_clear_object (&self->document);
  g_clear_pointer (&self->merge, dwn_merge_free);
  g_clear_pointer (&self->import, dwn_import_free);
  g_clear_pointer (&self->files, g_strfreev);
  g_clear_pointer (&self->map_file, g_free);
  G_OBJECT_CLASS (dwn_import_dialog_parent_class)->dispose (object);
}

static void
dwn_import_dialog_class_init (DwnImportDialogClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_import_dialog_dispose;
  gtk_widget_class_add_binding_action (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0, "window.close", NULL);
}

static GtkWidget *
settings_new (DwnImportDialog *self)
{
  GtkWidget *form = dwn_form_new ();
  GtkWidget *files = dwn_button_new (_("Choose _files…"), NULL);
  static const char *const formats[] = { N_("licence text"), N_("licence tables"), N_("CSV with a mapping file"),
                                         N_("station list"), NULL };
  static const char *const datums[] = { "WGS 84, NAD83", "NAD27", NULL };

  self->names = gtk_label_new (_("No file chosen"));
  gtk_label_set_xalign (GTK_LABEL (self->names), 0.0f);
  self->format = dwn_choice_new (formats);
  self->datum = dwn_choice_new (datums);
  self->within = gtk_spin_button_new_with_range (1.0, MOST_WITHIN_KM, 10.0);
  self->drop = dwn_check_new (_("_Take away stations that the list no longer has"));
  self->map = gtk_button_new_with_label (_("Choose…"));
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->within), WITHIN_KM);
  dwn_form_add_pair (form, files, self->names);
  dwn_form_add (form, _("For_mat"), self->format, NULL);
  self->map_row = dwn_form_add (form, _("Ma_pping file"), self->map, NULL);
  dwn_form_add_hint (dwn_form_add (form, _("_Coordinates are"), self->datum, NULL), _("Coordinates"),
                     _("The grid of the Earth that the list's coordinates refer to. Old lists of North America use "
                       "NAD27, up to 100 m and more beside the others."), "stations");
  dwn_form_add (form, _("_Within"), self->within, _("km of the house"));
  dwn_form_add_pair (form, NULL, self->drop);
  g_signal_connect_swapped (files, "clicked", G_CALLBACK (choose_files_cb), self);
  g_signal_connect_swapped (self->map, "clicked", G_CALLBACK (choose_map_cb), self);
  g_signal_connect_swapped (self->format, "notify::selected", G_CALLBACK (read_again), self);
  g_signal_connect_swapped (self->datum, "notify::selected", G_CALLBACK (read_again), self);
  g_signal_connect_swapped (self->within, "value-changed", G_CALLBACK (read_again), self);
  g_signal_connect_swapped (self->drop, "toggled", G_CALLBACK (show_merge), self);
  return form;
}

static void
dwn_import_dialog_init (DwnImportDialog *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12), *header = gtk_header_bar_new ();
  GtkWidget *cancel = dwn_button_new (_("_Cancel"), "window.close");

  self->take = dwn_button_new (_("_Bring in"), NULL);
  self->lines = dwn_import_lines_new ();
  self->progress = gtk_progress_bar_new ();
  self->summary = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->summary), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->summary), 0.0f);
  gtk_widget_add_css_class (box, "dialog-body");
  gtk_widget_add_css_class (self->take, "suggested-action");
  gtk_widget_set_sensitive (self->take, FALSE);
  gtk_box_append (GTK_BOX (box), settings_new (self));
  gtk_box_append (GTK_BOX (box), self->progress);
  gtk_box_append (GTK_BOX (box), self->summary);
  gtk_box_append (GTK_BOX (box), self->lines);
  gtk_header_bar_set_show_title_buttons (GTK_HEADER_BAR (header), FALSE);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), cancel);
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), self->take);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (take_cb), self);
  gtk_window_set_titlebar (GTK_WINDOW (self), header);
  gtk_window_set_default_widget (GTK_WINDOW (self), self->take);
  gtk_window_set_title (GTK_WINDOW (self), _("Bring in stations"));
  gtk_window_set_default_size (GTK_WINDOW (self), WIDTH, HEIGHT);
  gtk_window_set_child (GTK_WINDOW (self), box);
  gtk_widget_set_visible (self->progress, FALSE);
  gtk_widget_set_visible (self->map_row, FALSE);
}

DwnImportDialog *
dwn_import_dialog_new (GtkWindow *parent, DwnDocument *document)
{
  DwnImportDialog *self = g_object_new (DWN_TYPE_IMPORT_DIALOG, "transient-for", parent, "modal", TRUE, NULL);

  self->document = g_object_ref (document);
  return self;
}
