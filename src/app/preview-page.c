#include "app/preview-page.h"

#include <glib/gi18n.h>

#include "app/comparer.h"
#include "app/explainer.h"
#include "app/form.h"
#include "app/scene-view.h"
#include "app/settings.h"

#define MARGIN 24.0
#define NAME_CHARS 9 /* of a choice, where there is no room for more */

struct _DwnPreviewPage {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *choice, *paper, *sheet;
  char *fault; /* why there is nothing to see; NULL */
};

G_DEFINE_FINAL_TYPE (DwnPreviewPage, dwn_preview_page, GTK_TYPE_BOX)

static DwnScene *
scene_new (DwnPreviewPage *self)
{
  GSettings *settings = dwn_document_settings (self->document);
  DwnPaperSize paper = settings != NULL && dwn_settings_letter (settings) ? DWN_PAPER_LETTER : DWN_PAPER_A4;
  PangoContext *text = dwn_page_text ();
  g_autoptr (GError) error = NULL;
  DwnScene *scene = dwn_page_scene (self->document, dwn_preview_page_shown (self), paper, text, &error);

  g_object_unref (text);
  g_free (self->fault);
  self->fault = error != NULL ? g_strdup (error->message) : NULL;
  return scene;
}

/* White paper in the middle, as large as there is room. */
static void
draw_cb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  g_autoptr (DwnScene) scene = scene_new (data);

  if (scene == NULL)
    {
      g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (GTK_WIDGET (area), ((DwnPreviewPage *) data)->fault);
      GdkRGBA ink;
      gtk_style_context_get_color (gtk_widget_get_style_context (GTK_WIDGET (area)), &ink);
      gdk_cairo_set_source_rgba (cr, &ink);
      cairo_move_to (cr, MARGIN, MARGIN);
      pango_cairo_show_layout (cr, layout);
      return;
    }
  double scale = MIN ((width - 2 * MARGIN) / dwn_scene_width (scene), (height - 2 * MARGIN) / dwn_scene_height (scene));
  cairo_translate (cr, (width - scale * dwn_scene_width (scene)) / 2, (height - scale * dwn_scene_height (scene)) / 2);
  cairo_scale (cr, scale, scale);
  cairo_rectangle (cr, 0, 0, dwn_scene_width (scene), dwn_scene_height (scene));
  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_fill (cr);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
}

static void
refresh (DwnPreviewPage *self)
{
  gtk_widget_queue_draw (self->sheet);
}

static void
paper_cb (DwnPreviewPage *self)
{
  GSettings *settings = dwn_document_settings (self->document);

  if (settings != NULL)
    g_settings_set_enum (settings, DWN_SETTING_PAPER, (int) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->paper)));
  refresh (self);
}

void
dwn_preview_page_show (DwnPreviewPage *self, DwnPage page)
{
  g_return_if_fail (DWN_IS_PREVIEW_PAGE (self));

  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->choice), (guint) page);
  refresh (self);
}

DwnPage
dwn_preview_page_shown (DwnPreviewPage *self)
{
  return (DwnPage) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->choice));
}

static void
dwn_preview_page_dispose (GObject *object)
{
  DwnPreviewPage *self = DWN_PREVIEW_PAGE (object);

  g_clear_object (&self->document);
  g_clear_pointer (&self->fault, g_free);
  G_OBJECT_CLASS (dwn_preview_page_parent_class)->dispose (object);
}

static void
dwn_preview_page_class_init (DwnPreviewPageClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_preview_page_dispose;
  gtk_widget_class_add_binding_action (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0, "win.back", NULL);
}

static GtkWidget *
named_choice_new (const char *name, const char *const *words)
{
  GtkWidget *choice = dwn_choice_new (words);

  dwn_choice_cut (choice, NAME_CHARS);
  dwn_name_control (choice, name);
  return choice;
}

static GtkWidget *
tools_new (DwnPreviewPage *self)
{
  static const char *const papers[] = { N_("paper as usual here"), N_("A4"), N_("Letter"), NULL };
  const char *titles[DWN_N_PAGES + 1] = { NULL };
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9), *space = gtk_label_new (NULL);

  for (guint i = 0; i < DWN_N_PAGES; i++)
    titles[i] = dwn_page_title ((DwnPage) i);
  self->choice = named_choice_new (_("Page"), titles);
  self->paper = named_choice_new (_("Paper"), papers);
  gtk_widget_set_hexpand (space, TRUE);
  GtkWidget *const children[] = {
    dwn_button_new (_("_Back to the plan"), "win.back"), self->choice, self->paper, space,
    dwn_button_new (_("_Save as a file…"), "win.export"), dwn_button_new (_("_Print…"), "win.print"),
  };
  for (gsize i = 0; i < G_N_ELEMENTS (children); i++)
    gtk_box_append (GTK_BOX (box), children[i]);
  gtk_widget_add_css_class (box, "tools");
  return box;
}

static void
dwn_preview_page_init (DwnPreviewPage *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->sheet = gtk_drawing_area_new ();
  gtk_widget_set_vexpand (self->sheet, TRUE);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->sheet), draw_cb, self, NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->sheet), GTK_ACCESSIBLE_PROPERTY_LABEL, _("The page"), -1);
  gtk_box_append (GTK_BOX (self), tools_new (self));
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), self->sheet);
}

GtkWidget *
dwn_preview_page_new (DwnDocument *document)
{
  DwnPreviewPage *self = g_object_new (DWN_TYPE_PREVIEW_PAGE, NULL);
  GSettings *settings = dwn_document_settings (document);

  self->document = g_object_ref (document);
  if (settings != NULL)
    gtk_drop_down_set_selected (GTK_DROP_DOWN (self->paper), (guint) g_settings_get_enum (settings, DWN_SETTING_PAPER));
  g_signal_connect_object (self->choice, "notify::selected", G_CALLBACK (refresh), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->paper, "notify::selected", G_CALLBACK (paper_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "changed", G_CALLBACK (refresh), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (dwn_explainer_of (document), "explained", G_CALLBACK (refresh), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (dwn_comparer_of (document), "compared", G_CALLBACK (refresh), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
