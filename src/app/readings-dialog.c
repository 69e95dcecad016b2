#include "app/readings-dialog.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/import-lines.h"
#include "app/readings-panel.h"
#include "core/plan/import-readings.h"
#include "core/study/readings.h"

#define WIDTH 720
#define HEIGHT 480

struct _DwnReadingsDialog {
  GtkWindow parent_instance;

  DwnDocument *document;
  char **files;
  DwnPlan *plan; /* with what was read */
  guint n, n_known, n_skipped;
  GtkWidget *where, *unit, *summary, *lines, *take;
};

G_DEFINE_FINAL_TYPE (DwnReadingsDialog, dwn_readings_dialog, GTK_TYPE_WINDOW)

static DwnPlan *
with_readings (DwnDocument *document, const DwnPlan *plan, const DwnReadingsImport *import)
{
  g_autoptr (GArray) all = g_array_new (FALSE, FALSE, sizeof (DwnReading));

  g_array_append_vals (all, plan->readings->reading, plan->readings->n);
  for (guint i = 0; i < import->n; i++)
    {
      DwnReading reading = import->reading[i];
      dwn_reading_stamp (plan, dwn_document_predicted (document), dwn_document_tables (document), &reading);
      g_array_append_val (all, reading);
    }
  return dwn_plan_with_readings (plan, all->len, (const DwnReading *) (gpointer) all->data);
}

static void
list_import (DwnReadingsDialog *self, const DwnReadingsImport *import, GtkStringList *lines)
{
  for (guint i = 0; i < import->n; i++)
    {
      g_autofree char *line = dwn_reading_line (self->document, &import->reading[i]);
      dwn_import_lines_append (lines, _("added"), "", line);
    }
  for (guint i = 0; i < import->n_listed; i++)
    dwn_import_lines_append (lines, _("passed over"), "", import->skipped[i].text);
  self->n += import->n;
  self->n_known += import->n_known;
  self->n_skipped += import->n_skipped;
}

/* The files one after the other: what the first brings in is known in the second. */
static gboolean
read_files (DwnReadingsDialog *self, GtkStringList *lines, GError **error)
{
  const DwnChain *gear = self->plan->gear;
  guint where = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->where));
  const DwnReadingsOptions options = {
    .unit = (DwnReadingUnit) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->unit)),
    .where = where < gear->n_outlets ? gear->part[gear->outlet[where]].id : NULL,
  };

  for (guint i = 0; self->files[i] != NULL; i++)
    {
      const DwnInput input = { self->files[i], NULL };
      g_autoptr (DwnReadingsImport) import = dwn_readings_import (&input, self->plan, &options, error);
      if (import == NULL)
        return FALSE;
      list_import (self, import, lines);
      DwnPlan *more = with_readings (self->document, self->plan, import);
      dwn_plan_unref (self->plan);
      self->plan = more;
    }
  return TRUE;
}

static void
show_summary (DwnReadingsDialog *self)
{
  g_autofree char *taken = g_strdup_printf (g_dngettext (NULL, "%u reading would be added", "%u readings would be added",
                                                         self->n), self->n);
  g_autofree char *known = g_strdup_printf (_("%u known already"), self->n_known);
  g_autofree char *passed = g_strdup_printf (_("%u passed over"), self->n_skipped);
  g_autofree char *text = g_strdup_printf ("%s, %s, %s", taken, known, passed);

  gtk_label_set_text (GTK_LABEL (self->summary), text);
}

static void
read_again (DwnReadingsDialog *self)
{
  g_autoptr (GtkStringList) lines = gtk_string_list_new (NULL);
  g_autoptr (GError) error = NULL;

  g_clear_pointer (&self->plan, dwn_plan_unref);
  self->plan = dwn_plan_ref (dwn_document_plan (self->document));
  self->n = self->n_known = self->n_skipped = 0;
  if (read_files (self, lines, &error))
    show_summary (self);
  else
    {
      self->n = 0;
      gtk_label_set_text (GTK_LABEL (self->summary), error->message);
    }
  dwn_import_lines_show (self->lines, g_steal_pointer (&lines));
  gtk_widget_set_sensitive (self->take, self->n > 0);
}

guint
dwn_readings_dialog_count (DwnReadingsDialog *self)
{
  g_return_val_if_fail (DWN_IS_READINGS_DIALOG (self), 0);
  return self->n;
}

gboolean
dwn_readings_dialog_take (DwnReadingsDialog *self)
{
  g_return_val_if_fail (DWN_IS_READINGS_DIALOG (self), FALSE);
  return self->n > 0 && dwn_document_edit (self->document, self->plan, _("Bring in readings"), NULL, NULL);
}

static void
take_cb (DwnReadingsDialog *self)
{
  if (dwn_readings_dialog_take (self))
    gtk_window_close (GTK_WINDOW (self));
}

static void
dwn_readings_dialog_dispose (GObject *object)
{
  DwnReadingsDialog *self = DWN_READINGS_DIALOG (object);

  g_clear_object (&self->document);
  g_clear_pointer (&self->plan, dwn_plan_unref);
  g_clear_pointer (&self->files, g_strfreev);
  G_OBJECT_CLASS (dwn_readings_dialog_parent_class)->dispose (object);
}

static void
dwn_readings_dialog_class_init (DwnReadingsDialogClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_readings_dialog_dispose;
  gtk_widget_class_add_binding_action (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0, "window.close", NULL);
}

static GtkWidget *
header_new (DwnReadingsDialog *self)
{
  GtkWidget *header = gtk_header_bar_new ();

  self->take = dwn_button_new (_("_Bring in"), NULL);
  gtk_widget_add_css_class (self->take, "suggested-action");
  gtk_header_bar_set_show_title_buttons (GTK_HEADER_BAR (header), FALSE);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), dwn_button_new (_("_Cancel"), "window.close"));
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), self->take);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (take_cb), self);
  return header;
}

static void
dwn_readings_dialog_init (DwnReadingsDialog *self)
{
  static const char *const units[] = { "dBm", "dBmV", "dB\xC2\xB5V", NULL };
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12), *form = dwn_form_new ();

  self->where = gtk_drop_down_new (NULL, NULL);
  self->unit = dwn_choice_new (units);
  self->summary = dwn_line_new ("", NULL);
  self->lines = dwn_import_lines_new ();
  dwn_form_add (form, _("Where none is said, read _at"), self->where, NULL);
  dwn_form_add (form, _("Where none is said, levels are _in"), self->unit, NULL);
  gtk_widget_add_css_class (box, "dialog-body");
  gtk_box_append (GTK_BOX (box), form);
  gtk_box_append (GTK_BOX (box), self->summary);
  gtk_box_append (GTK_BOX (box), self->lines);
  gtk_window_set_titlebar (GTK_WINDOW (self), header_new (self));
  gtk_window_set_title (GTK_WINDOW (self), _("Bring in readings"));
  gtk_window_set_default_size (GTK_WINDOW (self), WIDTH, HEIGHT);
  gtk_window_set_default_widget (GTK_WINDOW (self), self->take);
  gtk_window_set_child (GTK_WINDOW (self), box);
}

static void
show_places (DwnReadingsDialog *self)
{
  const DwnChain *gear = dwn_document_plan (self->document)->gear;
  g_autoptr (GtkStringList) places = gtk_string_list_new (NULL);

  for (guint i = 0; i < gear->n_outlets; i++)
    {
      const DwnPart *part = &gear->part[gear->outlet[i]];
      gtk_string_list_append (places, part->name != NULL && part->name[0] != '\0' ? part->name : part->id);
    }
  gtk_drop_down_set_model (GTK_DROP_DOWN (self->where), G_LIST_MODEL (places));
}

DwnReadingsDialog *
dwn_readings_dialog_new (GtkWindow *parent, DwnDocument *document, const char *const *files)
{
  DwnReadingsDialog *self = g_object_new (DWN_TYPE_READINGS_DIALOG, "transient-for", parent, "modal", TRUE, NULL);

  self->document = g_object_ref (document);
  self->files = g_strdupv ((char **) files);
  show_places (self);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->unit), dwn_document_wording (document)->level);
  g_signal_connect_swapped (self->where, "notify::selected", G_CALLBACK (read_again), self);
  g_signal_connect_swapped (self->unit, "notify::selected", G_CALLBACK (read_again), self);
  read_again (self);
  gtk_widget_grab_focus (self->n > 0 ? self->take : self->where);
  return self;
}
