#include "app/window-private.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/rose-widget.h"
#include "app/settings.h"

#define PICTURE_SIZE 900.0

/* What the rose shows: an action of the window, a property of the rose and a setting each. */
static const struct {
  const char *label, *action, *property, *key;
} layers[] = {
  { N_("S_kyline"), "rose-skyline", "skyline", DWN_SETTING_SKYLINE },
  { N_("_Patterns of the antennas"), "rose-patterns", "patterns", DWN_SETTING_PATTERNS },
  { N_("_Sun today"), "rose-sun", "sun", DWN_SETTING_SUN },
};

GMenuModel *
dwn_window_rose_menu (void)
{
  GMenu *menu = g_menu_new ();
  g_autoptr (GMenu) shown = g_menu_new (), copied = g_menu_new ();

  for (gsize i = 0; i < G_N_ELEMENTS (layers); i++)
    {
      g_autofree char *action = g_strconcat ("win.", layers[i].action, NULL);
      g_menu_append (shown, _(layers[i].label), action);
    }
  g_menu_append (copied, _("_Copy as a picture"), "win.copy-rose");
  g_menu_append_section (menu, NULL, G_MENU_MODEL (shown));
  g_menu_append_section (menu, NULL, G_MENU_MODEL (copied));
  return G_MENU_MODEL (menu);
}

/* In the corner that the circle leaves free. */
static GtkWidget *
corner_new (void)
{
  GtkWidget *button = gtk_menu_button_new ();

  gtk_menu_button_set_icon_name (GTK_MENU_BUTTON (button), "view-more-symbolic");
  dwn_menu_when_opened (button, dwn_window_rose_menu);
  gtk_menu_button_set_has_frame (GTK_MENU_BUTTON (button), FALSE);
  gtk_widget_set_tooltip_text (button, _("What the rose shows"));
  dwn_name_control (button, _("What the rose shows"));
  gtk_widget_set_halign (button, GTK_ALIGN_END);
  gtk_widget_set_valign (button, GTK_ALIGN_START);
  gtk_widget_add_css_class (button, "corner");
  return button;
}

GtkWidget *
dwn_window_rose_new (DwnWindow *self)
{
  GSettings *settings = dwn_document_settings (self->document);
  GtkWidget *overlay = gtk_overlay_new ();

  self->rose = dwn_rose_widget_new (self->document);
  gtk_widget_add_css_class (self->rose, "view");
  for (gsize i = 0; i < G_N_ELEMENTS (layers); i++)
    {
      g_autoptr (GPropertyAction) action = g_property_action_new (layers[i].action, self->rose, layers[i].property);
      g_action_map_add_action (G_ACTION_MAP (self), G_ACTION (action));
      if (settings != NULL)
        g_settings_bind (settings, layers[i].key, self->rose, layers[i].property, G_SETTINGS_BIND_DEFAULT);
    }
  gtk_widget_set_vexpand (overlay, TRUE);
  gtk_overlay_set_child (GTK_OVERLAY (overlay), self->rose);
  gtk_overlay_add_overlay (GTK_OVERLAY (overlay), corner_new ());
  return overlay;
}

/* An action keeps its rose alive, beyond the window even. */
void
dwn_window_drop_rose (DwnWindow *self)
{
  for (gsize i = 0; i < G_N_ELEMENTS (layers); i++)
    g_action_map_remove_action (G_ACTION_MAP (self), layers[i].action);
}

/* As PNG for those who paste pictures, and as SVG for those who can. */
static GdkContentProvider *
picture_content (const DwnScene *scene, GError **error)
{
  static const struct {
    const char *name, *type;
  } forms[] = { { ".svg", "image/svg+xml" }, { ".png", "image/png" } };
  GdkContentProvider *providers[G_N_ELEMENTS (forms)];

  for (gsize i = 0; i < G_N_ELEMENTS (forms); i++)
    {
      g_autoptr (GBytes) bytes = dwn_scene_to_bytes (scene, forms[i].name, error);
      if (bytes == NULL)
        {
          while (i-- > 0)
            g_object_unref (providers[i]);
          return NULL;
        }
      providers[i] = gdk_content_provider_new_for_bytes (forms[i].type, bytes);
    }
  return gdk_content_provider_new_union (providers, G_N_ELEMENTS (providers));
}

static void
copy_rose_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnWindow *self = DWN_WINDOW (widget);
  g_autoptr (GError) error = NULL;

  if (self->rose == NULL)
    return;
  g_autoptr (DwnScene) scene = dwn_rose_widget_picture (DWN_ROSE_WIDGET (self->rose), PICTURE_SIZE);
  g_autoptr (GdkContentProvider) content = picture_content (scene, &error);
  if (content == NULL)
    dwn_window_complain (self, _("The rose was not copied"), error);
  else
    gdk_clipboard_set_content (gtk_widget_get_clipboard (widget), content);
}

void
dwn_window_install_rose_actions (GtkWidgetClass *klass)
{
  gtk_widget_class_install_action (klass, "win.copy-rose", NULL, copy_rose_cb);
}
