#include "app/remedy-list.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "words/remedy-words.h"

struct _DwnRemedyList {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnExplainer *explainer; /* the document's */
  DwnRemedies *shown;      /* those of the rows */
  guint most;
};

G_DEFINE_FINAL_TYPE (DwnRemedyList, dwn_remedy_list, GTK_TYPE_BOX)

static GtkWidget *
text_new (const char *text, float align, const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), align);
  gtk_label_set_yalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  if (css_class != NULL)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

static void
try_cb (GtkButton *button, gpointer data)
{
  DwnRemedyList *self = DWN_REMEDY_LIST (data);
  guint r = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "remedy"));
  DwnFindings findings = dwn_document_findings (self->document);
  const DwnRemedy *remedy = &self->shown->remedy[r];
  g_autofree char *label = dwn_word_remedy (dwn_document_wording (self->document), &findings, remedy);

  dwn_document_try (self->document, remedy->plan, label, NULL);
}

static void
append_remedy (DwnRemedyList *self, GtkGrid *grid, guint r)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  const DwnRemedy *remedy = &self->shown->remedy[r];
  DwnFindings findings = dwn_document_findings (self->document);
  g_autofree char *name = dwn_word_remedy (wording, &findings, remedy);
  g_autofree char *small = dwn_word_remedy_effect (wording, &findings, remedy);
  g_autofree char *number = dwn_word_signed (wording, remedy->gain_db, 1);
  /* Translators: a gain in decibels, with its sign */
  g_autofree char *gain = g_strdup_printf (_("%s dB"), number);
  g_autofree char *chance = dwn_word_chance (wording, remedy->reception.chance);
  g_autofree char *tip = g_strdup_printf (_("See what changes: %s"), name);
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), *try = gtk_button_new_with_mnemonic (_("T_ry"));

  gtk_box_append (GTK_BOX (words), text_new (name, 0.0f, NULL));
  if (small != NULL)
    gtk_box_append (GTK_BOX (words), text_new (small, 0.0f, "small-print"));
  gtk_widget_set_hexpand (words, TRUE);
  gtk_widget_set_valign (try, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (try, tip);
  dwn_name_control (try, tip);
  g_object_set_data (G_OBJECT (try), "remedy", GUINT_TO_POINTER (r));
  g_signal_connect_object (try, "clicked", G_CALLBACK (try_cb), self, 0);
  gtk_grid_attach (grid, words, 0, (int) r, 1, 1);
  gtk_grid_attach (grid, text_new (gain, 1.0f, NULL), 1, (int) r, 1, 1);
  gtk_grid_attach (grid, text_new (chance, 1.0f, "strong"), 2, (int) r, 1, 1);
  gtk_grid_attach (grid, try, 3, (int) r, 1, 1);
}

static void
clear (DwnRemedyList *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_box_remove (GTK_BOX (self), child);
  g_clear_pointer (&self->shown, dwn_remedies_unref);
}

/* Once under the list, where any of it sends somebody up. */
static void
append_caution (DwnRemedyList *self)
{
  for (guint r = 0; r < MIN (self->shown->n, self->most); r++)
    if (self->shown->remedy[r].climb)
      {
        gtk_box_append (GTK_BOX (self), text_new (dwn_word_climb_caution (dwn_document_wording (self->document)), 0.0f,
                                                  "small-print"));
        return;
      }
}

static void
show (DwnRemedyList *self)
{
  const DwnRemedies *remedies = dwn_explainer_remedies (self->explainer);
  GtkWidget *grid = gtk_grid_new ();

  clear (self);
  if (remedies == NULL)
    {
      g_object_ref_sink (grid);
      g_object_unref (grid);
      if (dwn_explainer_is_busy (self->explainer))
        gtk_box_append (GTK_BOX (self), text_new (_("Working out what would help…"), 0.0f, "small-print"));
      return;
    }
  self->shown = dwn_remedies_ref (remedies);
  gtk_grid_set_column_spacing (GTK_GRID (grid), 12);
  gtk_grid_set_row_spacing (GTK_GRID (grid), 6);
  for (guint r = 0; r < MIN (remedies->n, self->most); r++)
    append_remedy (self, GTK_GRID (grid), r);
  gtk_box_append (GTK_BOX (self), grid);
  append_caution (self);
  if (remedies->n == 0)
    gtk_box_append (GTK_BOX (self), text_new (_("No single change would help by half a decibel."), 0.0f, "small-print"));
}

static void
dwn_remedy_list_dispose (GObject *object)
{
  DwnRemedyList *self = DWN_REMEDY_LIST (object);

  g_clear_pointer (&self->shown, dwn_remedies_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_remedy_list_parent_class)->dispose (object);
}

static void
dwn_remedy_list_class_init (DwnRemedyListClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_remedy_list_dispose;
}

static void
dwn_remedy_list_init (DwnRemedyList *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
  gtk_widget_add_css_class (GTK_WIDGET (self), "remedies");
}

GtkWidget *
dwn_remedy_list_new (DwnDocument *document, guint most)
{
  DwnRemedyList *self = g_object_new (DWN_TYPE_REMEDY_LIST, NULL);

  self->document = g_object_ref (document);
  self->explainer = dwn_explainer_of (document);
  self->most = most;
  g_signal_connect_object (self->explainer, "explained", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
