/* Rows of caption, control and unit: how every panel and dialog asks for figures. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A panel's body, that scrolls upright where there is no room; it appends @n @children. */
GtkWidget *dwn_panel_body_new (gsize n, GtkWidget *const *children);

/* A form lines its captions up; rows are boxes with a common width of captions. */
GtkWidget *dwn_form_new (void);
/* Appends a row; the caption's mnemonic and accessible label belong to @control. @unit (nullable)
 * stands behind it. Returns: (transfer none): the row, to hide where it does not apply. */
GtkWidget *dwn_form_add (GtkWidget *form, const char *caption, GtkWidget *control, const char *unit);
/* Appends a row of a widget in the place of the caption (nullable) and one beside it. */
GtkWidget *dwn_form_add_pair (GtkWidget *form, GtkWidget *head, GtkWidget *control);
/* A heading over the rows that follow. */
void dwn_form_add_heading (GtkWidget *form, const char *text);

/* A drop-down of words, NULL-terminated, that this translates. */
GtkWidget *dwn_choice_new (const char *const *words);
/* Lets the button of a drop-down of strings cut a long word down to @chars where there is no room; the
 * list has it whole. */
void dwn_choice_cut (GtkWidget *choice, int chars);

/* Lets a label of one line end in dots where there is no room; its tooltip has it whole. */
void dwn_label_cut (GtkWidget *label);

/* Long words in a drop-down end in dots where there is no room, instead of asking for it. */
void dwn_keep_narrow (GtkWidget *widget);

/* Gives a menu button its menu when it is first opened: menus are slow to build. */
void dwn_menu_when_opened (GtkWidget *menu_button, GMenuModel *(*menu_new) (void));

/* For entries of figures and coordinates, which are written from left to right everywhere. */
void dwn_keep_left_to_right (GtkWidget *entry);

/* Names a control by its caption, without the mnemonic's underline: GTK 4.8 would say both, one after
 * the other. Again after each change of a button's text. */
void dwn_name_control (GtkWidget *control, const char *caption);
/* A button with a mnemonic; @action (nullable) is activated. */
GtkWidget *dwn_button_new (const char *caption, const char *action);
GtkWidget *dwn_check_new (const char *caption);
/* A line of text that wraps; @css_class nullable. */
GtkWidget *dwn_line_new (const char *text, const char *css_class);

/* A number as a person enters one, in the locale: empty where @value is NaN. */
typedef void (*DwnNumberFunc) (double value, gpointer user_data);
/* @changed is called once a number in range is entered (Enter, or the focus leaves); NaN where
 * @may_be_empty and it was cleared. What is out of range is marked, said in the tooltip, and put
 * back when the focus leaves. */
GtkWidget *dwn_number_new (double least, double most, int decimals, gboolean may_be_empty,
                           DwnNumberFunc changed, gpointer user_data);
void dwn_number_set (GtkWidget *number, double value);

/* Text that is taken once it is entered: @changed gets it; FALSE with a message (transfer full)
 * where it will not do, and the text stays, marked, to be mended. */
typedef gboolean (*DwnTextFunc) (const char *text, gpointer user_data, char **message);
GtkWidget *dwn_text_new (DwnTextFunc changed, gpointer user_data);
void dwn_text_set (GtkWidget *entry, const char *text);

G_END_DECLS
