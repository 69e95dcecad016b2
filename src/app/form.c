#include "app/form.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#include "app/form-row.h"
#include "words/wording.h"

#define NUMBER_CHARS 8

static void
say_label (GtkWidget *widget, const char *label)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  gtk_accessible_reset_relation (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_RELATION_LABELLED_BY);
}

/* What the button of a drop-down shows; NULL where it is nothing. (transfer full). */
static char *
chosen_word (GtkDropDown *choice)
{
  GObject *item = gtk_drop_down_get_selected_item (choice);
  GtkExpression *expression = gtk_drop_down_get_expression (choice);
  g_auto (GValue) word = G_VALUE_INIT;

  if (item != NULL && expression != NULL && gtk_expression_evaluate (expression, item, &word)
      && G_VALUE_HOLDS_STRING (&word))
    return g_value_dup_string (&word);
  return GTK_IS_STRING_OBJECT (item) ? g_strdup (gtk_string_object_get_string (GTK_STRING_OBJECT (item))) : NULL;
}

/* The focus is on a button within the drop-down, which says neither what is chosen nor for what. */
static void
say_choice (GtkDropDown *choice, GParamSpec *unused, const char *name)
{
  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (choice));
  g_autofree char *word = chosen_word (choice);
  g_autofree char *both = word != NULL ? g_strdup_printf ("%s, %s", name, word) : g_strdup (name);

  if (GTK_IS_BUTTON (button))
    say_label (button, both);
}

static void
follow_choice (GtkDropDown *choice, const char *name)
{
  g_signal_handlers_disconnect_matched (choice, G_SIGNAL_MATCH_FUNC, 0, 0, NULL, (gpointer) say_choice, NULL);
  g_signal_connect_data (choice, "notify::selected-item", G_CALLBACK (say_choice), g_strdup (name),
                         (GClosureNotify) (void (*) (void)) g_free, 0);
  say_choice (choice, NULL, name);
}

void
dwn_name_control (GtkWidget *control, const char *caption)
{
  g_autoptr (GString) name = g_string_new (caption);

  g_string_replace (name, "_", "", 1);
  say_label (control, name->str);
  if (GTK_IS_DROP_DOWN (control))
    follow_choice (GTK_DROP_DOWN (control), name->str);
}

static gboolean
tell_cut_cb (GtkWidget *label, int x, int y, gboolean by_key, GtkTooltip *tooltip)
{
  if (!pango_layout_is_ellipsized (gtk_label_get_layout (GTK_LABEL (label))))
    return FALSE;
  gtk_tooltip_set_text (tooltip, gtk_label_get_text (GTK_LABEL (label)));
  return TRUE;
}

void
dwn_label_cut (GtkWidget *label)
{
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_widget_set_has_tooltip (label, TRUE);
  g_signal_connect (label, "query-tooltip", G_CALLBACK (tell_cut_cb), NULL);
}

GtkWidget *
dwn_button_new (const char *caption, const char *action)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (caption);

  GtkWidget *label = gtk_button_get_child (GTK_BUTTON (button));
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_natural_wrap_mode (GTK_LABEL (label), GTK_NATURAL_WRAP_NONE); /* on one line, if it can */
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_CENTER);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), action);
  dwn_name_control (button, caption);
  return button;
}

GtkWidget *
dwn_check_new (const char *caption)
{
  GtkWidget *check = gtk_check_button_new_with_mnemonic (caption);

  dwn_label_cut (gtk_widget_get_last_child (check)); /* GTK 4.8 gives it one line */
  dwn_name_control (check, caption);
  return check;
}

GtkWidget *
dwn_line_new (const char *text, const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  if (css_class != NULL)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

GtkWidget *
dwn_panel_body_new (gsize n, GtkWidget *const *children)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12), *scrolled = gtk_scrolled_window_new ();

  for (gsize i = 0; i < n; i++)
    gtk_box_append (GTK_BOX (box), children[i]);
  gtk_widget_add_css_class (box, "panel-body");
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), box);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

GtkWidget *
dwn_form_new (void)
{
  GtkWidget *form = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);

  gtk_widget_add_css_class (form, "form");
  g_object_set_data_full (G_OBJECT (form), "captions", gtk_size_group_new (GTK_SIZE_GROUP_HORIZONTAL),
                          g_object_unref);
  return form;
}

GtkWidget *
dwn_form_add_pair (GtkWidget *form, GtkWidget *head, GtkWidget *control)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  gtk_widget_set_layout_manager (row, dwn_form_row_new ());
  if (head == NULL)
    head = gtk_label_new (NULL);
  gtk_size_group_add_widget (g_object_get_data (G_OBJECT (form), "captions"), head);
  gtk_box_append (GTK_BOX (row), head);
  gtk_box_append (GTK_BOX (row), control);
  gtk_box_append (GTK_BOX (form), row);
  return row;
}

GtkWidget *
dwn_form_add (GtkWidget *form, const char *caption, GtkWidget *control, const char *unit)
{
  GtkWidget *label = gtk_label_new_with_mnemonic (caption);
  GtkWidget *row = dwn_form_add_pair (form, label, control);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_mnemonic_widget (GTK_LABEL (label), control);
  gtk_widget_set_valign (control, GTK_ALIGN_CENTER); /* not as high as a caption of two lines */
  dwn_name_control (control, caption);
  if (unit != NULL)
    {
      GtkWidget *behind = dwn_line_new (unit, NULL);
      gtk_widget_add_css_class (behind, "dim-label");
      gtk_box_append (GTK_BOX (row), behind);
    }
  return row;
}

void
dwn_form_add_heading (GtkWidget *form, const char *text)
{
  gtk_box_append (GTK_BOX (form), dwn_line_new (text, "heading"));
}

GtkWidget *
dwn_choice_new (const char *const *words)
{
  g_autoptr (GtkStringList) translated = gtk_string_list_new (NULL);

  for (guint i = 0; words[i] != NULL; i++)
    gtk_string_list_append (translated, _(words[i]));
  return gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&translated)), NULL);
}

void
dwn_keep_narrow (GtkWidget *widget)
{
  gtk_widget_set_size_request (widget, 60, -1);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    {
      if (GTK_IS_LABEL (child))
        gtk_label_set_ellipsize (GTK_LABEL (child), PANGO_ELLIPSIZE_END);
      if (!GTK_IS_POPOVER (child))
        dwn_keep_narrow (child);
    }
}

static void
build_menu_cb (GtkMenuButton *button, gpointer menu_new)
{
  g_autoptr (GMenuModel) menu = ((GMenuModel *(*) (void)) menu_new) ();

  gtk_menu_button_set_create_popup_func (button, NULL, NULL, NULL);
  gtk_menu_button_set_menu_model (button, menu);
}

void
dwn_menu_when_opened (GtkWidget *menu_button, GMenuModel *(*menu_new) (void))
{
  gtk_menu_button_set_create_popup_func (GTK_MENU_BUTTON (menu_button), build_menu_cb, (gpointer) menu_new, NULL);
}

void
dwn_keep_left_to_right (GtkWidget *entry)
{
  GtkEditable *text = gtk_editable_get_delegate (GTK_EDITABLE (entry));

  gtk_widget_set_direction (entry, GTK_TEXT_DIR_LTR);
  if (GTK_IS_WIDGET (text))
    gtk_widget_set_direction (GTK_WIDGET (text), GTK_TEXT_DIR_LTR);
}

static void
setup_word_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer chars)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_width_chars (GTK_LABEL (label), GPOINTER_TO_INT (chars));
  gtk_list_item_set_child (item, label);
}

static void
bind_word_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer unused)
{
  const char *word = gtk_string_object_get_string (gtk_list_item_get_item (item));

  gtk_label_set_text (GTK_LABEL (gtk_list_item_get_child (item)), word);
}

void
dwn_choice_cut (GtkWidget *choice, int chars)
{
  g_autoptr (GtkListItemFactory) factory = gtk_signal_list_item_factory_new ();
  g_autoptr (GtkListItemFactory) whole = g_object_ref (gtk_drop_down_get_factory (GTK_DROP_DOWN (choice)));

  g_signal_connect (factory, "setup", G_CALLBACK (setup_word_cb), GINT_TO_POINTER (chars));
  g_signal_connect (factory, "bind", G_CALLBACK (bind_word_cb), NULL);
  gtk_drop_down_set_list_factory (GTK_DROP_DOWN (choice), whole);
  gtk_drop_down_set_factory (GTK_DROP_DOWN (choice), factory);
}

/* What is wrong with the text stands in the tooltip, for everyone, and as the description. */
static void
mark_fault (GtkWidget *entry, const char *message)
{
  if (message != NULL)
    gtk_widget_add_css_class (entry, "error");
  else
    gtk_widget_remove_css_class (entry, "error");
  /* Otherwise it has the placeholder whole, for narrow entries. */
  gtk_widget_set_tooltip_text (entry, message != NULL ? message : gtk_entry_get_placeholder_text (GTK_ENTRY (entry)));
  gtk_accessible_update_state (GTK_ACCESSIBLE (entry), GTK_ACCESSIBLE_STATE_INVALID,
                               message != NULL ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE, -1);
}

static void
leave_cb (GtkEventControllerFocus *focus, gpointer commit)
{
  ((void (*) (GtkWidget *)) commit) (gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus)));
}

/* Calls @commit at Enter and when the focus leaves. */
static void
watch_entry (GtkWidget *entry, void (*commit) (GtkWidget *))
{
  GtkEventController *focus = gtk_event_controller_focus_new ();

  g_signal_connect (focus, "leave", G_CALLBACK (leave_cb), (gpointer) commit);
  gtk_widget_add_controller (entry, focus);
  g_signal_connect (entry, "activate", G_CALLBACK (commit), NULL);
}

typedef struct {
  double least, most, value;
  int decimals;
  gboolean may_be_empty;
  DwnNumberFunc changed;
  gpointer user_data;
} Number;

/* "400" of "400.000": decimals only where they say something. */
static void
trim_zeros (char *text)
{
  char *end = text + strlen (text);

  if (strpbrk (text, ".,") == NULL)
    return;
  while (end > text && end[-1] == '0')
    end--;
  if (end > text && (end[-1] == '.' || end[-1] == ','))
    end--;
  *end = '\0';
}

static void
show_number (GtkWidget *entry, const Number *number)
{
  g_autofree char *text = isnan (number->value) ? g_strdup ("")
    : dwn_word_number (&dwn_wording_metric, number->value, number->decimals);

  trim_zeros (text);
  gtk_editable_set_text (GTK_EDITABLE (entry), text);
  mark_fault (entry, NULL);
}

/* Point or comma, hyphen or minus sign; NaN for nothing at all. */
static gboolean
parse_number (const char *text, double *value)
{
  g_autoptr (GString) plain = g_string_new (text);
  char *end;

  g_string_replace (plain, ",", ".", 0);
  g_string_replace (plain, "\xE2\x88\x92", "-", 0);
  g_strstrip (plain->str);
  *value = plain->str[0] == '\0' ? (double) NAN : g_ascii_strtod (plain->str, &end);
  return plain->str[0] == '\0' || (*end == '\0' && isfinite (*value));
}

static void
commit_number (GtkWidget *entry)
{
  Number *number = g_object_get_data (G_OBJECT (entry), "number");
  double value;
  gboolean good = parse_number (gtk_editable_get_text (GTK_EDITABLE (entry)), &value)
                  && (isnan (value) ? number->may_be_empty : value >= number->least && value <= number->most);

  if (!good)
    {
      g_autofree char *least = dwn_word_number (&dwn_wording_metric, number->least, number->decimals);
      g_autofree char *most = dwn_word_number (&dwn_wording_metric, number->most, number->decimals);
      g_autofree char *message = g_strdup_printf (_("A number from %s to %s was expected"), least, most);
      mark_fault (entry, message);
      return;
    }
  mark_fault (entry, NULL);
  if (value == number->value || (isnan (value) && isnan (number->value)))
    return;
  number->value = value;
  number->changed (value, number->user_data);
}

static void
leave_number (GtkWidget *entry)
{
  commit_number (entry);
  show_number (entry, g_object_get_data (G_OBJECT (entry), "number"));
}

GtkWidget *
dwn_number_new (double least, double most, int decimals, gboolean may_be_empty, DwnNumberFunc changed,
                gpointer user_data)
{
  GtkWidget *entry = gtk_entry_new ();
  const Number number = { least, most, (double) NAN, decimals, may_be_empty, changed, user_data };

  g_object_set_data_full (G_OBJECT (entry), "number", g_memdup2 (&number, sizeof number), g_free);
  gtk_editable_set_width_chars (GTK_EDITABLE (entry), NUMBER_CHARS);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (entry), NUMBER_CHARS);
  gtk_entry_set_alignment (GTK_ENTRY (entry), 1.0f);
  gtk_entry_set_input_purpose (GTK_ENTRY (entry), GTK_INPUT_PURPOSE_NUMBER);
  dwn_keep_left_to_right (entry);
  watch_entry (entry, leave_number);
  return entry;
}

void
dwn_number_set (GtkWidget *entry, double value)
{
  Number *number = g_object_get_data (G_OBJECT (entry), "number");

  g_return_if_fail (number != NULL);
  number->value = value;
  show_number (entry, number);
}

typedef struct {
  char *text; /* as taken last */
  DwnTextFunc changed;
  gpointer user_data;
} Text;

static void
text_free (gpointer data)
{
  Text *text = data;

  g_free (text->text);
  g_free (text);
}

static void
commit_text (GtkWidget *entry)
{
  Text *text = g_object_get_data (G_OBJECT (entry), "text");
  g_autofree char *typed = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (entry))));
  g_autofree char *message = NULL;

  if (g_strcmp0 (typed, text->text) == 0)
    {
      mark_fault (entry, NULL);
      return;
    }
  if (!text->changed (typed, text->user_data, &message))
    {
      mark_fault (entry, message);
      return;
    }
  mark_fault (entry, NULL);
  g_free (text->text);
  text->text = g_steal_pointer (&typed);
}

GtkWidget *
dwn_text_new (DwnTextFunc changed, gpointer user_data)
{
  GtkWidget *entry = gtk_entry_new ();
  Text *text = g_new0 (Text, 1);

  text->changed = changed;
  text->user_data = user_data;
  text->text = g_strdup ("");
  g_object_set_data_full (G_OBJECT (entry), "text", text, text_free);
  gtk_widget_set_hexpand (entry, TRUE);
  watch_entry (entry, commit_text);
  return entry;
}

void
dwn_text_set (GtkWidget *entry, const char *value)
{
  Text *text = g_object_get_data (G_OBJECT (entry), "text");

  g_return_if_fail (text != NULL && value != NULL);
  g_free (text->text);
  text->text = g_strdup (value);
  gtk_editable_set_text (GTK_EDITABLE (entry), value);
  mark_fault (entry, NULL);
}
