#include "app/remedy-list.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "words/remedy-words.h"

#define GAP 6

struct _DwnRemedyList {
  GtkWidget parent_instance;

  DwnDocument *document;
  DwnExplainer *explainer; /* the document's */
  DwnRemedies *shown;      /* those of the rows */
  guint most;
};

G_DEFINE_FINAL_TYPE (DwnRemedyList, dwn_remedy_list, GTK_TYPE_WIDGET)

static GtkWidget *
text_new (const char *text, float align, const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), align);
  gtk_label_set_yalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_natural_wrap_mode (GTK_LABEL (label), GTK_NATURAL_WRAP_NONE); /* figures, if they can */
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

static GtkWidget *
row_new (DwnRemedyList *self, guint r)
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
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  gtk_box_append (GTK_BOX (row), words);
  gtk_box_append (GTK_BOX (row), text_new (gain, 1.0f, NULL));
  gtk_box_append (GTK_BOX (row), text_new (chance, 1.0f, "strong"));
  gtk_box_append (GTK_BOX (row), try);
  return row;
}

static void
clear (DwnRemedyList *self)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_widget_unparent (child);
  g_clear_pointer (&self->shown, dwn_remedies_unref);
}

/* Once under the list, where any of it sends somebody up. */
static void
append_caution (DwnRemedyList *self)
{
  for (guint r = 0; r < MIN (self->shown->n, self->most); r++)
    if (self->shown->remedy[r].climb)
      {
        gtk_widget_set_parent (text_new (dwn_word_climb_caution (dwn_document_wording (self->document)), 0.0f,
                                         "small-print"), GTK_WIDGET (self));
        return;
      }
}

static void
show (DwnRemedyList *self)
{
  const DwnRemedies *remedies = dwn_explainer_remedies (self->explainer);

  clear (self);
  if (remedies == NULL)
    {
      if (dwn_explainer_is_busy (self->explainer))
        gtk_widget_set_parent (text_new (_("Working out what would help…"), 0.0f, "small-print"), GTK_WIDGET (self));
      return;
    }
  self->shown = dwn_remedies_ref (remedies);
  for (guint r = 0; r < MIN (remedies->n, self->most); r++)
    gtk_widget_set_parent (row_new (self, r), GTK_WIDGET (self));
  append_caution (self);
  if (remedies->n == 0)
    gtk_widget_set_parent (text_new (_("No single change would help by half a decibel."), 0.0f, "small-print"),
                           GTK_WIDGET (self));
}

/* One below the other, each as high as its words need at this width. GTK 4.8's box takes the list, which
 * is filled while it stands, for one whose height does not depend on the width: what stood last was then
 * outside of it. */

static GtkSizeRequestMode
request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
         int *minimum_baseline, int *natural_baseline)
{
  *minimum = *natural = 0;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      gboolean down = orientation == GTK_ORIENTATION_VERTICAL;
      int gap = down && gtk_widget_get_prev_sibling (child) != NULL ? GAP : 0, least, usual;

      gtk_widget_measure (child, orientation, for_size, &least, &usual, NULL, NULL);
      *minimum = down ? *minimum + gap + least : MAX (*minimum, least);
      *natural = down ? *natural + gap + usual : MAX (*natural, usual);
    }
  *minimum_baseline = *natural_baseline = -1;
}

static void
allocate (GtkWidget *widget, int width, int height, int baseline)
{
  int y = 0, high;

  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      gtk_widget_measure (child, GTK_ORIENTATION_VERTICAL, width, &high, NULL, NULL, NULL);
      gtk_widget_size_allocate (child, &(GtkAllocation) { 0, y, width, high }, -1);
      y += high + GAP;
    }
}

static void
dwn_remedy_list_dispose (GObject *object)
{
  DwnRemedyList *self = DWN_REMEDY_LIST (object);

  clear (self);
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
  gtk_widget_set_layout_manager (GTK_WIDGET (self), gtk_custom_layout_new (request_mode, measure, allocate));
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
