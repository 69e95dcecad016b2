#include "app/window-private.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/guide-strip.h"
#include "app/panels.h"
#include "app/sentence.h"
#include "app/settings.h"
#include "app/start-page.h"

#define WIDTH 1280
#define HEIGHT 800
#define LEAST_WIDTH 720
#define LEAST_HEIGHT 480

G_DEFINE_FINAL_TYPE (DwnWindow, dwn_window, GTK_TYPE_APPLICATION_WINDOW)

void
dwn_window_complain (DwnWindow *self, const char *title, const GError *error)
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
  g_autofree char *sentence = dwn_word_aim_sentence (dwn_document_wording (self->document), &findings);

  dwn_sentence_set_markup (DWN_SENTENCE (self->sentence), sentence);
}

static void
redraw_cb (DwnWindow *self)
{
  if (self->rose != NULL)
    show_sentence (self);
}

static void
show_title (DwnWindow *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  const DwnSite *site = dwn_document_plan (self->document)->site;
  const char *name = site->name[0] != '\0' ? site->name : _("New plan");
  g_autofree char *title = g_strconcat (dwn_document_is_modified (self->document) ? "\xE2\x80\xA2 " : "",
                                        name, NULL);
  g_autofree char *height = dwn_word_height (wording, site->height_m);
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
show_trial (DwnWindow *self)
{
  const char *label = dwn_document_trial_label (self->document);

  gtk_revealer_set_reveal_child (GTK_REVEALER (self->trial), label != NULL);
  if (label == NULL)
    return;
  g_autofree char *text = g_strdup_printf (_("On trial: %s"), label);
  gtk_label_set_text (GTK_LABEL (self->trial_text), text);
}

/* What is tried, with the choice to keep or drop it. */
static GtkWidget *
trial_new (DwnWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *keep = dwn_button_new (_("_Keep it"), "win.keep-trial"), *drop = dwn_button_new (_("_Drop it"), "win.drop-trial");

  self->trial = gtk_revealer_new ();
  self->trial_text = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->trial_text), TRUE);
  gtk_label_set_xalign (GTK_LABEL (self->trial_text), 0.0f);
  gtk_widget_set_hexpand (self->trial_text, TRUE);
  gtk_widget_add_css_class (keep, "suggested-action");
  gtk_widget_add_css_class (box, "trial");
  gtk_box_append (GTK_BOX (box), self->trial_text);
  gtk_box_append (GTK_BOX (box), drop);
  gtk_box_append (GTK_BOX (box), keep);
  gtk_revealer_set_child (GTK_REVEALER (self->trial), box);
  return self->trial;
}

static GtkWidget *
left_new (DwnWindow *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  self->sentence = dwn_sentence_new (0);
  gtk_box_append (GTK_BOX (box), dwn_window_rose_new (self));
  gtk_box_append (GTK_BOX (box), trial_new (self));
  gtk_box_append (GTK_BOX (box), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (box), self->sentence);
  return box;
}

/* Begun here, not opened: the steps are for whoever has nothing yet. */
static gboolean
wants_guide (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);

  return dwn_document_file (self->document) == NULL && dwn_document_plan (self->document)->stations->n == 0
         && (settings == NULL || g_settings_get_boolean (settings, DWN_SETTING_GUIDE));
}

static void
guide_cb (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);

  if (settings != NULL)
    g_settings_set_boolean (settings, DWN_SETTING_GUIDE, gtk_widget_get_visible (self->guide));
}

static GtkWidget *
guide_new (DwnWindow *self)
{
  self->guide = dwn_guide_strip_new (self->document);
  gtk_widget_set_visible (self->guide, wants_guide (self));
  g_autoptr (GPropertyAction) action = g_property_action_new ("guide", self->guide, "visible");
  g_action_map_add_action (G_ACTION_MAP (self), G_ACTION (action));
  g_signal_connect_object (self->guide, "notify::visible", G_CALLBACK (guide_cb), self, G_CONNECT_SWAPPED);
  return self->guide;
}

/* Where the panel of the last window is no panel any more, the usual one stays. */
static void
show_last_panel (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);
  g_autofree char *panel = settings != NULL ? g_settings_get_string (settings, DWN_SETTING_PANEL) : NULL;

  if (panel != NULL)
    dwn_panels_show (DWN_PANELS (self->panels), panel);
}

/* The rose and the panels, once there is a plan to show. */
static void
show_plan_page (DwnWindow *self)
{
  GtkWidget *page = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), *halves = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  gtk_box_set_homogeneous (GTK_BOX (halves), TRUE);
  gtk_box_append (GTK_BOX (halves), left_new (self));
  self->panels = dwn_panels_new (self->document);
  gtk_widget_add_css_class (self->panels, "panel-side");
  gtk_box_append (GTK_BOX (halves), self->panels);
  gtk_widget_set_vexpand (halves, TRUE);
  gtk_box_append (GTK_BOX (page), guide_new (self));
  gtk_box_append (GTK_BOX (page), halves);
  g_signal_connect_object (self->panels, "shown", G_CALLBACK (dwn_guide_strip_see), self->guide, G_CONNECT_SWAPPED);
  show_last_panel (self);
  gtk_stack_add_named (GTK_STACK (self->pages), page, "plan");
  gtk_stack_set_visible_child_name (GTK_STACK (self->pages), "plan");
  gtk_widget_set_visible (self->sheet, TRUE);
  gtk_widget_grab_focus (self->rose);
}

static void
changed_cb (DwnWindow *self)
{
  static const char *const of_a_plan[] = { "win.save", "win.save-as", "win.print", "win.export",
                                           "win.preview", "win.compare", "win.table", "win.panel", "win.copy-rose" };
  gboolean has_plan = dwn_document_plan (self->document) != NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (of_a_plan); i++)
    gtk_widget_action_set_enabled (GTK_WIDGET (self), of_a_plan[i], has_plan);
  show_steps (self);
  if (!has_plan)
    return;
  show_title (self);
  if (!self->seen)
    return; /* fill_cb() shows it */
  if (self->rose == NULL)
    show_plan_page (self);
  show_sentence (self);
  show_trial (self);
}

static gboolean
fill_cb (gpointer data)
{
  DwnWindow *self = data;

  self->fill = 0;
  if (dwn_document_plan (self->document) == NULL)
    gtk_stack_add_named (GTK_STACK (self->pages), dwn_start_page_new (self->document), "start");
  changed_cb (self);
  return G_SOURCE_REMOVE;
}

static void
first_frame_cb (DwnWindow *self, GdkFrameClock *clock)
{
  g_signal_handlers_disconnect_by_func (clock, first_frame_cb, self);
  self->seen = TRUE;
  self->fill = g_idle_add_full (G_PRIORITY_DEFAULT, fill_cb, self, NULL);
}

/* The window itself stands at once; its page, which takes five times as long to build, comes with
 * its second frame. */
static void
dwn_window_map (GtkWidget *widget)
{
  DwnWindow *self = DWN_WINDOW (widget);

  GTK_WIDGET_CLASS (dwn_window_parent_class)->map (widget);
  if (!self->seen)
    g_signal_connect_object (gtk_widget_get_frame_clock (widget), "after-paint", G_CALLBACK (first_frame_cb),
                             self, G_CONNECT_SWAPPED);
}

void
dwn_window_notice (DwnWindow *self, const char *text, const char *button, const char *action)
{
  g_return_if_fail (DWN_IS_WINDOW (self) && text != NULL);

  dwn_notice_show (DWN_NOTICE (self->notice), "news", text, button != NULL ? 1 : 0,
                   &(DwnNoticeButton) { button, action }, NULL);
}

gboolean
dwn_window_recover (DwnWindow *self, const char *path, GError **error)
{
  g_return_val_if_fail (DWN_IS_WINDOW (self), FALSE);

  g_autoptr (GFile) copy = g_file_new_for_path (path);
  g_autoptr (GFile) origin = dwn_autosave_origin (path);
  if (!dwn_document_recover (self->document, copy, origin, error))
    return FALSE;
  dwn_autosave_adopt (self->autosave, path);
  dwn_window_notice (self, _("This plan was not saved when the program ended. Here it is again, as it was "
                             "two seconds before at most."), _("_Save"), "win.save");
  return TRUE;
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
keep_trial_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_document_keep_trial (DWN_WINDOW (widget)->document);
}

static void
drop_trial_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  dwn_document_drop_trial (DWN_WINDOW (widget)->document);
}

static void
panel_cb (GtkWidget *widget, const char *action, GVariant *id)
{
  DwnWindow *self = DWN_WINDOW (widget);

  if (self->panels != NULL)
    dwn_panels_show (DWN_PANELS (self->panels), g_variant_get_string (id, NULL));
}

static gboolean
dwn_window_close_request (GtkWindow *window)
{
  DwnWindow *self = DWN_WINDOW (window);

  if (dwn_window_ask_before_closing (self))
    return TRUE;
  dwn_window_remember_size (self);
  g_clear_pointer (&self->autosave, dwn_autosave_free);
  return GTK_WINDOW_CLASS (dwn_window_parent_class)->close_request (window);
}

static void
dwn_window_dispose (GObject *object)
{
  DwnWindow *self = DWN_WINDOW (object);

  g_clear_handle_id (&self->fill, g_source_remove);
  dwn_window_drop_rose (self);
  g_action_map_remove_action (G_ACTION_MAP (self), "guide");
  g_clear_pointer (&self->autosave, dwn_autosave_free);
  g_clear_pointer (&self->disk, dwn_disk_watch_free);
  g_clear_object (&self->chooser);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_window_parent_class)->dispose (object);
}

static void
dwn_window_class_init (DwnWindowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_window_dispose;
  widget_class->map = dwn_window_map;
  GTK_WINDOW_CLASS (klass)->close_request = dwn_window_close_request;
  gtk_widget_class_install_action (widget_class, "win.undo", NULL, undo_cb);
  gtk_widget_class_install_action (widget_class, "win.redo", NULL, redo_cb);
  gtk_widget_class_install_action (widget_class, "win.keep-trial", NULL, keep_trial_cb);
  gtk_widget_class_install_action (widget_class, "win.drop-trial", NULL, drop_trial_cb);
  gtk_widget_class_install_action (widget_class, "win.panel", "s", panel_cb);
  dwn_window_install_file_actions (widget_class);
  dwn_window_install_disk_actions (widget_class);
  dwn_window_install_rose_actions (widget_class);
}

static void
dwn_window_init (DwnWindow *self)
{
  gtk_window_set_default_size (GTK_WINDOW (self), WIDTH, HEIGHT);
  gtk_widget_set_size_request (GTK_WIDGET (self), LEAST_WIDTH, LEAST_HEIGHT);
  gtk_window_set_icon_name (GTK_WINDOW (self), "io.github.downlead.Downlead");
  gtk_window_set_title (GTK_WINDOW (self), "Downlead");
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

  self->title = gtk_label_new ("Downlead");
  self->subtitle = gtk_label_new (_("No plan yet"));
  dwn_label_cut (self->title);
  dwn_label_cut (self->subtitle);
  gtk_widget_add_css_class (self->title, "title");
  gtk_widget_add_css_class (self->subtitle, "subtitle");
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (box), self->title);
  gtk_box_append (GTK_BOX (box), self->subtitle);
  return box;
}

typedef struct {
  const char *label, *action;
} Item;

static void
append_section (GMenu *menu, const Item *items, gsize n)
{
  g_autoptr (GMenu) section = g_menu_new ();

  for (gsize i = 0; i < n; i++)
    g_menu_append (section, _(items[i].label), items[i].action);
  g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
}

static GMenuModel *
menu_new (void)
{
  static const Item plan[] = { { N_("_New Plan"), "app.new" }, { N_("_Save"), "win.save" },
                               { N_("Save _As…"), "win.save-as" } };
  static const Item paper[] = { { N_("Pages and _Drawings…"), "win.preview('sheet')" },
                                { N_("_Compare Variants"), "win.compare" }, { N_("_Print…"), "win.print" },
                                { N_("S_tations as a Table…"), "win.table('stations')" },
                                { N_("P_arts as a Table…"), "win.table('parts')" } };
  static const Item program[] = { { N_("_Steps of a Plan"), "win.guide" }, { N_("P_references"), "app.preferences" },
                                  { N_("_Keyboard Shortcuts"), "app.shortcuts" }, { N_("_Help"), "app.help" },
                                  { N_("_About Downlead"), "app.about" } };
  GMenu *menu = g_menu_new ();
  g_autoptr (GMenuModel) rose = dwn_window_rose_menu ();

  append_section (menu, plan, G_N_ELEMENTS (plan));
  append_section (menu, paper, G_N_ELEMENTS (paper));
  g_menu_append_submenu (menu, _("_Rose"), rose);
  append_section (menu, program, G_N_ELEMENTS (program));
  return G_MENU_MODEL (menu);
}

static GtkWidget *
menu_button_new (void)
{
  GtkWidget *button = gtk_menu_button_new ();

  dwn_menu_when_opened (button, menu_new);
  gtk_menu_button_set_icon_name (GTK_MENU_BUTTON (button), "open-menu-symbolic");
  gtk_menu_button_set_primary (GTK_MENU_BUTTON (button), TRUE);
  gtk_widget_set_tooltip_text (button, _("Menu"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Menu"), -1);
  return button;
}

static GtkWidget *
header_new (DwnWindow *self)
{
  GtkWidget *header = gtk_header_bar_new ();
  GtkWidget *open = dwn_button_new (_("_Open"), "win.open");
  GtkWidget *steps = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  self->undo = button_new ("edit-undo-symbolic", _("Undo"), "win.undo");
  self->redo = button_new ("edit-redo-symbolic", _("Redo"), "win.redo");
  self->sheet = dwn_button_new (_("_Install sheet…"), NULL);
  gtk_actionable_set_detailed_action_name (GTK_ACTIONABLE (self->sheet), "win.preview('sheet')");
  gtk_widget_set_visible (self->sheet, FALSE);
  gtk_widget_add_css_class (steps, "linked");
  gtk_box_append (GTK_BOX (steps), self->undo);
  gtk_box_append (GTK_BOX (steps), self->redo);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), open);
  gtk_header_bar_pack_start (GTK_HEADER_BAR (header), steps);
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), menu_button_new ());
  gtk_header_bar_pack_end (GTK_HEADER_BAR (header), self->sheet);
  gtk_header_bar_set_title_widget (GTK_HEADER_BAR (header), title_new (self));
  return header;
}

/* As the last window was. */
static void
restore_size (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);
  int width, height;

  if (settings == NULL)
    return;
  g_settings_get (settings, DWN_SETTING_SIZE, "(ii)", &width, &height);
  gtk_window_set_default_size (GTK_WINDOW (self), MAX (width, LEAST_WIDTH), MAX (height, LEAST_HEIGHT));
  if (g_settings_get_boolean (settings, DWN_SETTING_MAXIMIZED))
    gtk_window_maximize (GTK_WINDOW (self));
}

/* The size that a maximized window goes back to is its default size, which GTK keeps. */
void
dwn_window_remember_size (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);
  const char *panel = dwn_window_panel (self);
  int width, height;

  if (settings == NULL)
    return;
  gtk_window_get_default_size (GTK_WINDOW (self), &width, &height);
  g_settings_set (settings, DWN_SETTING_SIZE, "(ii)", width, height);
  g_settings_set_boolean (settings, DWN_SETTING_MAXIMIZED, gtk_window_is_maximized (GTK_WINDOW (self)));
  if (panel != NULL)
    g_settings_set_string (settings, DWN_SETTING_PANEL, panel);
}

DwnWindow *
dwn_window_new (GtkApplication *application, DwnDocument *document)
{
  DwnWindow *self = g_object_new (DWN_TYPE_WINDOW, "application", application, NULL);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);

  self->document = g_object_ref (document);
  self->autosave = dwn_autosave_new (document);
  restore_size (self);
  self->pages = gtk_stack_new ();
  gtk_window_set_titlebar (GTK_WINDOW (self), header_new (self));
  self->notice = dwn_notice_new ();
  gtk_box_append (GTK_BOX (box), self->notice);
  gtk_box_append (GTK_BOX (box), self->pages);
  gtk_window_set_child (GTK_WINDOW (self), box);
  dwn_window_accept_drops (self, box);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "redraw", G_CALLBACK (redraw_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  dwn_window_watch_disk (self);
  return self;
}

DwnDocument *
dwn_window_document (DwnWindow *self)
{
  return self->document;
}

const char *
dwn_window_panel (DwnWindow *self)
{
  return self->panels != NULL ? dwn_panels_shown (DWN_PANELS (self->panels)) : NULL;
}

const char *
dwn_window_help (DwnWindow *self)
{
  GtkWidget *focus = gtk_window_get_focus (GTK_WINDOW (self));

  g_return_val_if_fail (DWN_IS_WINDOW (self), "index");

  if (g_strcmp0 (gtk_stack_get_visible_child_name (GTK_STACK (self->pages)), "preview") == 0)
    return "sheet";
  if (focus != NULL && self->rose != NULL && (focus == self->rose || gtk_widget_is_ancestor (focus, self->rose)))
    return "aim";
  return dwn_panel_help (dwn_window_panel (self));
}
