#include "app/shortcuts.h"

#include <glib/gi18n.h>

#include "app/panels.h"

#define MOST_DIGITS 9

typedef enum { GROUP_PLAN, GROUP_WINDOW, GROUP_ROSE, GROUP_STATIONS, GROUP_GEAR, N_GROUPS } Group;

static const char *const group_titles[N_GROUPS] = { N_("Plan"), N_("Window"), N_("Rose"), N_("Stations"), N_("Gear") };

/* Without an action: a widget's own key, only shown. */
static const struct {
  Group group;
  const char *title, *action;
  const char *keys[4];
} shortcuts[] = {
  { GROUP_PLAN, N_("New plan"), "app.new", { "<Control>n" } },
  { GROUP_PLAN, N_("Open"), "win.open", { "<Control>o" } },
  { GROUP_PLAN, N_("Save"), "win.save", { "<Control>s" } },
  { GROUP_PLAN, N_("Save as"), "win.save-as", { "<Control><Shift>s" } },
  { GROUP_PLAN, N_("Undo"), "win.undo", { "<Control>z" } },
  { GROUP_PLAN, N_("Redo"), "win.redo", { "<Control><Shift>z", "<Control>y" } },
  { GROUP_PLAN, N_("Print the page"), "win.print", { "<Control>p" } },
  { GROUP_PLAN, N_("Compare variants"), "win.compare", { "<Control>d" } },
  { GROUP_PLAN, N_("Save the page as PDF, SVG or PNG"), "win.export", { "<Control>e" } },
  { GROUP_WINDOW, N_("Help about what is shown"), "app.help", { "F1" } },
  { GROUP_WINDOW, N_("Keyboard shortcuts"), "app.shortcuts", { "<Control>question" } },
  { GROUP_WINDOW, N_("Preferences"), "app.preferences", { "<Control>comma" } },
  { GROUP_WINDOW, N_("Menu"), NULL, { "F10" } },
  { GROUP_WINDOW, N_("Back, or close a dialog"), NULL, { "Escape" } },
  { GROUP_WINDOW, N_("Close the window"), "window.close", { "<Control>w" } },
  { GROUP_WINDOW, N_("Quit"), "app.quit", { "<Control>q" } },
  { GROUP_ROSE, N_("Turn the antenna whose handle has the focus"), NULL, { "Left", "Right" } },
  { GROUP_ROSE, N_("Turn it in larger steps"), NULL, { "<Shift>Left", "<Shift>Right" } },
  { GROUP_ROSE, N_("From station to station"), NULL, { "Up", "Down" } },
  { GROUP_ROSE, N_("Closer, and farther away"), NULL, { "plus", "minus" } },
  { GROUP_ROSE, N_("Copy as a picture"), "win.copy-rose", { "<Control><Shift>c" } },
  { GROUP_STATIONS, N_("Find a station"), NULL, { "<Control>f" } },
  { GROUP_STATIONS, N_("Choose several"), NULL, { "<Control>space", "<Shift>Down" } },
  { GROUP_STATIONS, N_("Mark as must have, like to have, an extra"), NULL, { "<Control>2", "<Control>1", "<Control>0" } },
  { GROUP_STATIONS, N_("Copy the chosen rows as text"), NULL, { "<Control>c" } },
  { GROUP_GEAR, N_("Remove the part"), NULL, { "Delete" } },
  { GROUP_GEAR, N_("Move the part in its cable"), NULL, { "<Alt>Up", "<Alt>Down" } },
  { GROUP_GEAR, N_("What can be done with the part"), NULL, { "<Shift>F10", "Menu" } },
};

/* Alt and a digit for each panel, in their order. */
static void
install_panels (GtkApplication *application)
{
  const char *const *ids = dwn_panel_ids ();

  for (guint i = 0; i < MOST_DIGITS && ids[i] != NULL; i++)
    {
      g_autofree char *action = g_strdup_printf ("win.panel('%s')", ids[i]);
      g_autofree char *key = g_strdup_printf ("<Alt>%u", i + 1);
      gtk_application_set_accels_for_action (application, action, (const char *[]) { key, NULL });
    }
}

void
dwn_shortcuts_install (GtkApplication *application)
{
  g_return_if_fail (GTK_IS_APPLICATION (application));

  for (gsize i = 0; i < G_N_ELEMENTS (shortcuts); i++)
    if (shortcuts[i].action != NULL)
      gtk_application_set_accels_for_action (application, shortcuts[i].action, shortcuts[i].keys);
  install_panels (application);
}

static void
append_shortcut (GString *ui, const char *title, const char *keys)
{
  g_autofree char *text = g_markup_printf_escaped (
    "<child><object class='GtkShortcutsShortcut'><property name='title'>%s</property>"
    "<property name='accelerator'>%s</property></object></child>", title, keys);

  g_string_append (ui, text);
}

static void
append_group (GString *ui, const char *title)
{
  g_autofree char *text = g_markup_printf_escaped (
    "<child><object class='GtkShortcutsGroup'><property name='title'>%s</property>", title);

  g_string_append (ui, text);
}

static void
append_panels (GString *ui)
{
  const char *const *ids = dwn_panel_ids ();

  append_group (ui, _("Panels"));
  for (guint i = 0; i < MOST_DIGITS && ids[i] != NULL; i++)
    {
      g_autofree char *key = g_strdup_printf ("<Alt>%u", i + 1);
      append_shortcut (ui, dwn_panel_title (ids[i]), key);
    }
  g_string_append (ui, "</object></child>");
}

/* GTK 4.8 fills such a window only from a description. */
static char *
description (void)
{
  GString *ui = g_string_new ("<interface><object class='GtkShortcutsWindow' id='window'>"
                              "<property name='modal'>1</property>"
                              "<child><object class='GtkShortcutsSection'>"
                              "<property name='section-name'>keys</property>"
                              "<property name='max-height'>12</property>");

  for (Group group = 0; group < N_GROUPS; group++)
    {
      append_group (ui, _(group_titles[group]));
      for (gsize i = 0; i < G_N_ELEMENTS (shortcuts); i++)
        if (shortcuts[i].group == group)
          {
            g_autofree char *keys = g_strjoinv (" ", (char **) shortcuts[i].keys);
            append_shortcut (ui, _(shortcuts[i].title), keys);
          }
      g_string_append (ui, "</object></child>");
    }
  append_panels (ui);
  g_string_append (ui, "</object></child></object></interface>");
  return g_string_free (ui, FALSE);
}

GtkWindow *
dwn_shortcuts_window_new (GtkWindow *parent)
{
  g_autofree char *ui = description ();
  g_autoptr (GtkBuilder) builder = gtk_builder_new_from_string (ui, -1);
  GtkWindow *window = GTK_WINDOW (gtk_builder_get_object (builder, "window"));

  gtk_window_set_transient_for (window, parent);
  return window;
}
