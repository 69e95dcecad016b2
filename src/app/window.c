#include "app/window.h"

#include <glib/gi18n.h>

#include "app/wiring-panel.h"
#include "app/advice-panel.h"
#include "app/rose-widget.h"
#include "app/sheet-print.h"
#include "app/stations-panel.h"

#define WIDTH 1280
#define HEIGHT 800

struct _DwnWindow {
  GtkApplicationWindow parent_instance;

  DwnDocument *document;
  GtkWidget *title, *subtitle, *sentence, *undo, *redo;
  GtkFileChooserNative *chooser;
  gboolean closing; /* the question about unsaved changes is answered */
};

G_DEFINE_FINAL_TYPE (DwnWindow, dwn_window, GTK_TYPE_APPLICATION_WINDOW)

static void
complain (DwnWindow *self, const char *title, const GError *error)
{
  GtkWidget *dialog = gtk_message_dialog_new (GTK_WINDOW (self), GTK_DIALOG_MODAL, GTK_MESSAGE_ERROR,
                                              GTK_BUTTONS_CLOSE, "%s", title);

  gtk_message_dialog_format_secondary_text (GTK_MESSAGE_DIALOG (dialog), "%s", error->message);
  g_signal_connect (dialog, "response", G_CALLBACK (gtk_window_destroy), NULL);
  gtk_window_present (GTK_WINDOW (dialog));
}

static void
show_sentence (DwnWindow *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  g_autofree char *sentence = dwn_word_aim_sentence (&dwn_wording_metric, &findings);

  gtk_label_set_markup (GTK_LABEL (self->sentence), sentence);
}

static void
show_title (DwnWindow *self)
{
  const DwnSite *site = dwn_document_plan (self->document)->site;
  const char *name = site->name[0] != '\0' ? site->name : _("New plan");
  g_autofree char *title = g_strconcat (dwn_document_is_modified (self->document) ? "\xE2\x80\xA2 " : "",
                                        name, NULL);
  g_autofree char *height = dwn_word_height (&dwn_wording_metric, site->height_m);
  g_autofree char *subtitle = site->place[0] != '\0'
                              ? g_strdup_printf (_("%s \xC2\xB7 antennas %s above ground"), site->place, height)
                              : g_strdup_printf (_("antennas %s above ground"), height);

  gtk_label_set_text (GTK_LABEL (self->title), title);
  gtk_label_set_text (GTK_LABEL (self->subtitle), subtitle);
  gtk_window_set_title (GTK_WINDOW (self), title);
}

static void
show_step (GtkWidget *button, const char *verb, const char *label)
{
  g_autofree char *tip = label != NULL ? g_strdup_printf ("%s: %s", verb, label) : g_strdup (verb);

  gtk_widget_set_tooltip_text (button, tip);
}

static void
show_steps (DwnWindow *self)
{
  const char *undo = dwn_document_undo_label (self->document);
  const char *redo = dwn_document_redo_label (self->document);

  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.undo", undo != NULL);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "win.redo", redo != NULL);
  show_step (self->undo, _("Undo"), undo);
  show_step (self->redo, _("Redo"), redo);
}

static void
changed_cb (DwnWindow *self)
{
  show_title (self);
  show_steps (self);
  show_sentence (self);
}

static void
undo_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_document_undo (DWN_WINDOW (widget)->document);
}

static void
redo_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_document_redo (DWN_WINDOW (widget)->document);
}

static void
add_filter (GtkFileChooser *chooser, const char *name, const char *suffix)
{
  GtkFileFilter *filter = gtk_file_filter_new ();

  gtk_file_filter_set_name (filter, name);
  gtk_file_filter_add_suffix (filter, suffix);
  gtk_file_chooser_add_filter (chooser, filter);
  g_object_unref (filter);
}

static void
choose (DwnWindow *self, const char *title, GtkFileChooserAction action, const char *accept,
        GCallback response_cb)
{
  g_clear_object (&self->chooser);
  self->chooser = gtk_file_chooser_native_new (title, GTK_WINDOW (self), action, accept, _("_Cancel"));
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (self->chooser), TRUE);
  g_signal_connect_object (self->chooser, "response", response_cb, self, G_CONNECT_SWAPPED);
}

/* The file chosen, and the chooser gone. (nullable) (transfer full) */
static GFile *
take_choice (DwnWindow *self, int response)
{
  GFile *file = response == GTK_RESPONSE_ACCEPT
                ? gtk_file_chooser_get_file (GTK_FILE_CHOOSER (self->chooser)) : NULL;

  g_clear_object (&self->chooser);
  return file;
}

static void
open_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);

  if (file != NULL)
    g_application_open (G_APPLICATION (gtk_window_get_application (GTK_WINDOW (self))), &file, 1, "");
}

static void
open_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);

  choose (self, _("Open a plan"), GTK_FILE_CHOOSER_ACTION_OPEN, _("_Open"), G_CALLBACK (open_response_cb));
  add_filter (GTK_FILE_CHOOSER (self->chooser), _("Antenna plans"), "downlead");
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
save_to (DwnWindow *self, GFile *file)
{
  g_autoptr (GError) error = NULL;

  if (!dwn_document_save (self->document, file, &error))
    complain (self, _("The plan was not saved"), error);
}

static void
save_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);

  if (file != NULL)
    save_to (self, file);
}

static char *
suggested_name (DwnWindow *self, const char *suffix)
{
  const char *name = dwn_document_plan (self->document)->site->name;

  return g_strconcat (name[0] != '\0' ? name : _("plan"), suffix, NULL);
}

static void
save_as_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autofree char *name = suggested_name (self, ".downlead");

  choose (self, _("Save the plan"), GTK_FILE_CHOOSER_ACTION_SAVE, _("_Save"), G_CALLBACK (save_response_cb));
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
save_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  GFile *file = dwn_document_file (self->document);

  if (file != NULL)
    save_to (self, file);
  else
    save_as_cb (widget, action, unused);
}

static void
print_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autoptr (GError) error = NULL;

  if (!dwn_sheet_print (GTK_WINDOW (self), self->document, NULL, &error))
    complain (self, _("The install sheet was not printed"), error);
}

static void
export_response_cb (DwnWindow *self, int response)
{
  g_autoptr (GFile) file = take_choice (self, response);
  g_autofree char *path = file != NULL ? g_file_get_path (file) : NULL;
  g_autoptr (GError) error = NULL;

  if (path != NULL && !dwn_sheet_print (GTK_WINDOW (self), self->document, path, &error))
    complain (self, _("The install sheet was not written"), error);
}

static void
export_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autofree char *name = suggested_name (self, ".pdf");

  choose (self, _("Write the install sheet"), GTK_FILE_CHOOSER_ACTION_SAVE, _("_Write"),
          G_CALLBACK (export_response_cb));
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (self->chooser), name);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (self->chooser));
}

static void
close_response_cb (DwnWindow *self, int response, GtkWidget *dialog)
{
  gtk_window_destroy (GTK_WINDOW (dialog));
  if (response == GTK_RESPONSE_YES)
    save_cb (GTK_WIDGET (self), NULL, NULL);
  if (response == GTK_RESPONSE_NO
      || (response == GTK_RESPONSE_YES && !dwn_document_is_modified (self->document)))
    {
      self->closing = TRUE;
      gtk_window_close (GTK_WINDOW (self));
    }
}

static gboolean
dwn_window_close_request (GtkWindow *window)
{
  DwnWindow *self = DWN_WINDOW (window);

  if (self->closing || !dwn_document_is_modified (self->document))
    return GTK_WINDOW_CLASS (dwn_window_parent_class)->close_request (window);
  GtkWidget *dialog = gtk_message_dialog_new (window, GTK_DIALOG_MODAL, GTK_MESSAGE_QUESTION,
                                              GTK_BUTTONS_NONE, "%s", _("Save the changes to this plan?"));
  gtk_dialog_add_buttons (GTK_DIALOG (dialog), _("_Discard"), GTK_RESPONSE_NO, _("_Cancel"),
                          GTK_RESPONSE_CANCEL, _("_Save"), GTK_RESPONSE_YES, NULL);
  g_signal_connect_object (dialog, "response", G_CALLBACK (close_response_cb), self, G_CONNECT_SWAPPED);
  gtk_window_present (GTK_WINDOW (dialog));
  return TRUE;
}

static void
dwn_window_dispose (GObject *object)
{
  DwnWindow *self = DWN_WINDOW (object);

  g_clear_object (&self->chooser);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_window_parent_class)->dispose (object);
}

static void
dwn_window_class_init (DwnWindowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_window_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = dwn_window_close_request;
  gtk_widget_class_install_action (widget_class, "win.undo", NULL, undo_cb);
  gtk_widget_class_install_action (widget_class, "win.redo", NULL, redo_cb);
  gtk_widget_class_install_action (widget_class, "win.open", NULL, open_cb);
  gtk_widget_class_install_action (widget_class, "win.save", NULL, save_cb);
  gtk_widget_class_install_action (widget_class, "win.save-as", NULL, save_as_cb);
  gtk_widget_class_install_action (widget_class, "win.print", NULL, print_cb);
  gtk_widget_class_install_action (widget_class, "win.export", NULL, export_cb);
}

static void
dwn_window_init (DwnWindow *self)
{
  gtk_window_set_default_size (GTK_WINDOW (self), WIDTH, HEIGHT);
  gtk_window_set_icon_name (GTK_WINDOW (self), "io.github.downlead.Downlead");
}

static GtkWidget *
button_new (const char *icon, const char *label, const char *action)
{
  GtkWidget *button = gtk_button_new_from_icon_name (icon);

  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), action);
  gtk_widget_set_tooltip_text (button, label);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  return button;
}

static GtkWidget *
title_new (DwnWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  self->title = gtk_label_new (NULL);
  self->subtitle = gtk_label_new (NULL);
  gtk_label_set_ellipsize (GTK_LABEL (self->title), PANGO_ELLIPSIZE_END);
  gtk_label_set_ellipsize (GTK_LABEL (self->subtitle), PANGO_ELLIPSIZE_END);
  gtk_widget_add_css_class (self->title, "title");
  gtk_widget_add_css_class (self->subtitle, "subtitle");
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (box), self->title);
  gtk_box_append (GTK_BOX (box), self->subtitle);
  return box;
}

static GtkWidget *
menu_button_new (void)
{
  GMenu *menu = g_menu_new ();
  GtkWidget *button = gtk_menu_button_new ();
  static const struct {
    const char *label, *action;
  } items[] = {
    { N_("_Save"), "win.save" },
    { N_("Save _As…"), "win.save-as" },
    { N_("_Print the Install Sheet…"), "win.print" },
    { N_("Write the Install Sheet as P_DF…"), "win.export" },
    { N_("_About Downlead"), "app.about" },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (items); i++)
    g_menu_append (menu, _(items[i].label), items[i].action);
  gtk_menu_button_set_menu_model (GTK_MENU_BUTTON (button), G_MENU_MODEL (menu));
  gtk_menu_button_set_icon_name (GTK_MENU_BUTTON (button), "open-menu-symbolic");
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Menu"), -1);
  g_object_unref (menu);
  return button;
}

static GtkWidget *
header_new (DwnWindow *self)
{
  GtkWidget *header = gtk_header_bar_new ();
  GtkWidget *open = gtk_button_new_with_label (_("Open"));
  GtkWidget *sheet = gtk_button_new_with_label (_("Install sheet…"));
  GtkWidget *steps = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  gtk_actionable_set_action_name (GTK_ACTIONABLE (open), "win.open");
  gtk_actionable_set_action_name (GTK_ACTIONABLE (sheet), "win.export");
  self->undo = button_new ("edit-undo-symbolic", _("Undo"), "win.undo");
  self->redo = button_new ("edit-redo-symbolic", _("Redo"), "win.redo");
  gtk_widget_add_css_class (steps, "linked");
  gtk_box_append (GTK_BOX (steps), self->undo);
  gtk_box_append (GTK_BOX (steps), self->redo);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), open);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), steps);
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), menu_button_new ());
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), sheet);
  gtk_header_bar_set_title_widget (GTK_HEADER_BAR (header), title_new (self));
  return header;
}

static GtkWidget *
left_new (DwnWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *rose = dwn_rose_widget_new (self->document);

  gtk_widget_set_vexpand (rose, TRUE);
  gtk_widget_add_css_class (rose, "view");
  self->sentence = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->sentence), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->sentence), 0.0f);
  gtk_widget_add_css_class (self->sentence, "sentence");
  gtk_box_append (GTK_BOX (box), rose);
  gtk_box_append (GTK_BOX (box), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (box), self->sentence);
  return box;
}

static GtkWidget *
right_new (DwnWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *stack = gtk_stack_new (), *switcher = gtk_stack_switcher_new ();
  GtkWidget *gear = gtk_scrolled_window_new ();

  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (gear), dwn_wiring_panel_new (self->document));
  gtk_stack_add_titled (GTK_STACK (stack), dwn_stations_panel_new (self->document), "stations", _("Stations"));
  gtk_stack_add_titled (GTK_STACK (stack), gear, "gear", _("Gear"));
  gtk_stack_add_titled (GTK_STACK (stack), dwn_advice_panel_new (self->document), "advice", _("Advice"));
  gtk_stack_switcher_set_stack (GTK_STACK_SWITCHER (switcher), GTK_STACK (stack));
  gtk_widget_set_halign (switcher, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class (switcher, "panels");
  gtk_widget_set_vexpand (stack, TRUE);
  gtk_widget_add_css_class (box, "panel-side");
  gtk_box_append (GTK_BOX (box), switcher);
  gtk_box_append (GTK_BOX (box), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (box), stack);
  return box;
}

DwnWindow *
dwn_window_new (GtkApplication *application, DwnDocument *document)
{
  DwnWindow *self = g_object_new (DWN_TYPE_WINDOW, "application", application, NULL);
  GtkWidget *halves = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  self->document = g_object_ref (document);
  gtk_window_set_titlebar (GTK_WINDOW (self), header_new (self));
  gtk_box_set_homogeneous (GTK_BOX (halves), TRUE);
  gtk_box_append (GTK_BOX (halves), left_new (self));
  gtk_box_append (GTK_BOX (halves), right_new (self));
  gtk_window_set_child (GTK_WINDOW (self), halves);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "aimed", G_CALLBACK (show_sentence), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  return self;
}

DwnDocument *
dwn_window_document (DwnWindow *self)
{
  return self->document;
}
