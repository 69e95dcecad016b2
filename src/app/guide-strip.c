#include "app/guide-strip.h"

#include <glib/gi18n.h>

#include "app/form.h"

struct _DwnGuideStrip {
  GtkBox parent_instance;

  DwnDocument *document;
  guint seen;               /* bits of steps */
  GtkWidget *button[DWN_N_GUIDE_STEPS], *mark[DWN_N_GUIDE_STEPS], *hint;
};

G_DEFINE_FINAL_TYPE (DwnGuideStrip, dwn_guide_strip, GTK_TYPE_BOX)

/* Where each step is taken. */
static const struct {
  const char *seen, *action;
} places[DWN_N_GUIDE_STEPS] = {
  { "site", "win.panel('site')" },         { "stations", "win.panel('stations')" },
  { "stations", "win.panel('stations')" }, { "antennas", "win.panel('antennas')" },
  { "gear", "win.panel('gear')" },         { "advice", "win.panel('advice')" },
  { "sheet", "win.preview('sheet')" },
};

static void
show_step (DwnGuideStrip *self, DwnGuideStep step, gboolean done, gboolean next)
{
  const char *word = dwn_word_guide (dwn_document_wording (self->document), step);
  g_autofree char *number = g_strdup_printf ("%d", (int) step + 1);
  /* Translators: a step by its number, what it is about, and whether it is done */
  g_autofree char *name = g_strdup_printf (done ? _("Step %d, %s: done") : _("Step %d, %s: open"), (int) step + 1, word);

  gtk_label_set_text (GTK_LABEL (self->mark[step]), done ? "\xE2\x9C\x93" : number);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->button[step]), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  if (next)
    gtk_widget_add_css_class (self->button[step], "next");
  else
    gtk_widget_remove_css_class (self->button[step], "next");
}

guint
dwn_guide_strip_done (DwnGuideStrip *self)
{
  DwnFindings findings = dwn_document_findings (self->document);

  return dwn_guide_done (&findings, self->seen);
}

static void
show (DwnGuideStrip *self)
{
  guint done = dwn_guide_strip_done (self);
  int next = dwn_guide_next (done);

  if (!gtk_widget_get_visible (GTK_WIDGET (self)))
    return;
  for (int step = 0; step < DWN_N_GUIDE_STEPS; step++)
    show_step (self, (DwnGuideStep) step, (done & DWN_GUIDE_BIT (step)) != 0, step == next);
  gtk_label_set_text (GTK_LABEL (self->hint), next >= 0
                      ? dwn_word_guide_hint (dwn_document_wording (self->document), (DwnGuideStep) next)
                      : _("Every step is done. The panels stay as they are; close this line when you like."));
}

void
dwn_guide_strip_see (DwnGuideStrip *self, const char *id)
{
  g_return_if_fail (DWN_IS_GUIDE_STRIP (self));

  for (int step = 0; step < DWN_N_GUIDE_STEPS; step++)
    if (g_strcmp0 (places[step].seen, id) == 0)
      self->seen |= DWN_GUIDE_BIT (step);
  show (self);
}

static void
dwn_guide_strip_dispose (GObject *object)
{
  g_clear_object (&DWN_GUIDE_STRIP (object)->document);
  G_OBJECT_CLASS (dwn_guide_strip_parent_class)->dispose (object);
}

static void
dwn_guide_strip_class_init (DwnGuideStripClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_guide_strip_dispose;
}

static void
dwn_guide_strip_init (DwnGuideStrip *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_widget_add_css_class (GTK_WIDGET (self), "guide");
}

static GtkWidget *
step_new (DwnGuideStrip *self, DwnGuideStep step)
{
  GtkWidget *button = gtk_button_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *word = gtk_label_new (dwn_word_guide (dwn_document_wording (self->document), step));

  self->button[step] = button;
  self->mark[step] = gtk_label_new (NULL);
  dwn_label_cut (word);
  gtk_label_set_width_chars (GTK_LABEL (word), 3);
  gtk_widget_add_css_class (self->mark[step], "step-mark");
  gtk_widget_set_valign (self->mark[step], GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (box), self->mark[step]);
  gtk_box_append (GTK_BOX (box), word);
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_button_set_has_frame (GTK_BUTTON (button), FALSE);
  gtk_widget_set_tooltip_text (button, dwn_word_guide_hint (dwn_document_wording (self->document), step));
  gtk_actionable_set_detailed_action_name (GTK_ACTIONABLE (button), places[step].action);
  return button;
}

GtkWidget *
dwn_guide_strip_new (DwnDocument *document)
{
  DwnGuideStrip *self = g_object_new (DWN_TYPE_GUIDE_STRIP, NULL);
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 3), *close = gtk_button_new_from_icon_name ("window-close-symbolic");

  self->document = g_object_ref (document);
  for (int step = 0; step < DWN_N_GUIDE_STEPS; step++)
    gtk_box_append (GTK_BOX (row), step_new (self, (DwnGuideStep) step));
  gtk_widget_set_hexpand (close, TRUE);
  gtk_widget_set_halign (close, GTK_ALIGN_END);
  gtk_button_set_has_frame (GTK_BUTTON (close), FALSE);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (close), "win.guide");
  gtk_widget_set_tooltip_text (close, _("Go on without the steps"));
  dwn_name_control (close, _("Go on without the steps"));
  gtk_box_append (GTK_BOX (row), close);
  self->hint = dwn_line_new ("", "dim-label");
  gtk_box_append (GTK_BOX (self), row);
  gtk_box_append (GTK_BOX (self), self->hint);
  g_signal_connect_object (document, "changed", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  g_signal_connect (self, "notify::visible", G_CALLBACK (show), NULL);
  show (self);
  return GTK_WIDGET (self);
}
