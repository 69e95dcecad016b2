#include "app/notice.h"

#include <glib/gi18n.h>

#include "app/form.h"

struct _DwnNotice {
  GtkBox parent_instance;

  char *topic;    /* NULL: nothing is said */
  GtkWidget *line, *text, *close, *button[DWN_NOTICE_BUTTONS];
  char *closing;  /* detailed action, nullable */
};

G_DEFINE_FINAL_TYPE (DwnNotice, dwn_notice, GTK_TYPE_BOX)

static void
forget (DwnNotice *self)
{
  gtk_widget_set_visible (self->line, FALSE);
  g_clear_pointer (&self->topic, g_free);
  g_clear_pointer (&self->closing, g_free);
}

/* A button's action comes first: it may already say something else. */
static void
answered_cb (DwnNotice *self, GtkWidget *button)
{
  if (g_strcmp0 (self->topic, g_object_get_data (G_OBJECT (button), "topic")) == 0)
    forget (self);
}

static void
closed_cb (DwnNotice *self)
{
  g_autofree char *closing = g_steal_pointer (&self->closing);

  forget (self);
  if (closing != NULL)
    gtk_widget_activate_action (GTK_WIDGET (self), closing, NULL);
}

static void
dwn_notice_finalize (GObject *object)
{
  DwnNotice *self = DWN_NOTICE (object);

  g_free (self->topic);
  g_free (self->closing);
  G_OBJECT_CLASS (dwn_notice_parent_class)->finalize (object);
}

static void
dwn_notice_class_init (DwnNoticeClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = dwn_notice_finalize;
}

/* Keeps the baseline of @widget to itself: where several differ by a pixel, GTK 4.8 measures their row
 * once with that pixel and once without, and warns. */
static GtkWidget *
apart (GtkWidget *widget)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  gtk_widget_set_vexpand (widget, TRUE);
  gtk_widget_set_valign (widget, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (box), widget);
  return box;
}

static void
dwn_notice_init (DwnNotice *self)
{
  self->line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  self->text = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                             "wrap", TRUE, "hexpand", TRUE, NULL);
  self->close = gtk_button_new_from_icon_name ("window-close-symbolic");
  gtk_widget_set_tooltip_text (self->close, _("Close this notice"));
  dwn_name_control (self->close, _("Close this notice"));
  gtk_widget_add_css_class (self->close, "flat");
  gtk_widget_add_css_class (self->line, "notice");
  gtk_box_append (GTK_BOX (self->line), apart (self->text));
  for (guint i = 0; i < DWN_NOTICE_BUTTONS; i++)
    {
      self->button[i] = dwn_button_new ("", NULL);
      g_signal_connect_object (self->button[i], "clicked", G_CALLBACK (answered_cb), self,
                               G_CONNECT_SWAPPED | G_CONNECT_AFTER);
      gtk_box_append (GTK_BOX (self->line), apart (self->button[i]));
    }
  gtk_box_append (GTK_BOX (self->line), apart (self->close));
  g_signal_connect_swapped (self->close, "clicked", G_CALLBACK (closed_cb), self);
  gtk_widget_set_hexpand (self->line, TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), FALSE); /* whatever its children want */
  gtk_widget_set_visible (self->line, FALSE);
  gtk_box_append (GTK_BOX (self), self->line);
}

GtkWidget *
dwn_notice_new (void)
{
  return g_object_new (DWN_TYPE_NOTICE, NULL);
}

/* Name and target never stand together half changed, which GTK would warn of. */
static void
set_action (GtkWidget *button, const char *detailed)
{
  g_autofree char *name = NULL;
  g_autoptr (GVariant) target = NULL;

  if (!g_action_parse_detailed_name (detailed, &name, &target, NULL))
    g_return_if_reached ();
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), NULL);
  gtk_actionable_set_action_target_value (GTK_ACTIONABLE (button), target);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), name);
}

static void
show_button (GtkWidget *button, const char *topic, const DwnNoticeButton *shown)
{
  gtk_widget_set_visible (gtk_widget_get_parent (button), shown != NULL);
  if (shown == NULL)
    return;
  gtk_button_set_label (GTK_BUTTON (button), shown->caption);
  gtk_button_set_use_underline (GTK_BUTTON (button), TRUE);
  dwn_name_control (button, shown->caption);
  set_action (button, shown->action);
  g_object_set_data_full (G_OBJECT (button), "topic", g_strdup (topic), g_free);
}

void
dwn_notice_show (DwnNotice *self, const char *topic, const char *text, guint n_buttons,
                 const DwnNoticeButton *buttons, const char *closing)
{
  g_return_if_fail (DWN_IS_NOTICE (self) && topic != NULL && text != NULL);
  g_return_if_fail (n_buttons <= DWN_NOTICE_BUTTONS);

  g_free (self->topic);
  self->topic = g_strdup (topic);
  g_free (self->closing);
  self->closing = g_strdup (closing);
  gtk_label_set_text (GTK_LABEL (self->text), text);
  for (guint i = 0; i < DWN_NOTICE_BUTTONS; i++)
    show_button (self->button[i], topic, i < n_buttons ? &buttons[i] : NULL);
  gtk_widget_set_visible (self->line, TRUE);
}

void
dwn_notice_close (DwnNotice *self, const char *topic)
{
  g_return_if_fail (DWN_IS_NOTICE (self));

  if (self->topic != NULL && (topic == NULL || g_str_equal (topic, self->topic)))
    forget (self);
}

const char *
dwn_notice_topic (DwnNotice *self)
{
  return self->topic;
}
