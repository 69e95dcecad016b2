#include "app/sentence.h"

/* Usual sentences have no more; the rose above does not jump when one is shorter. */
#define LEAST_LINES 3

struct _DwnSentence {
  GtkWidget parent_instance;
  GtkWidget *text;
  int width;  /* that lines were counted for */
  guint lines; /* the most that a sentence of that width had */
  guint most_lines; /* 0: any number */
};

G_DEFINE_FINAL_TYPE (DwnSentence, dwn_sentence, GTK_TYPE_WIDGET)

static guint
lines_of (DwnSentence *self, int width)
{
  const char *text = gtk_inscription_get_text (GTK_INSCRIPTION (self->text));
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (self->text, text);

  pango_layout_set_attributes (layout, gtk_inscription_get_attributes (GTK_INSCRIPTION (self->text)));
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_width (layout, width * PANGO_SCALE);
  return (guint) pango_layout_get_line_count (layout);
}

/* Returns: whether more lines are needed than for the sentences before. */
static gboolean
count_lines (DwnSentence *self, int width)
{
  guint lines = MAX (lines_of (self, width), LEAST_LINES);

  if (self->most_lines > 0)
    lines = MIN (lines, self->most_lines);
  if (width == self->width && lines <= self->lines)
    return FALSE;
  self->width = width;
  self->lines = lines;
  return TRUE;
}

static int
line_height (GtkWidget *text)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (text, "X");
  int height;

  pango_layout_get_pixel_size (layout, NULL, &height);
  return height;
}

static GtkSizeRequestMode
dwn_sentence_get_request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
dwn_sentence_measure (GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum, int *natural,
                      int *minimum_baseline, int *natural_baseline)
{
  DwnSentence *self = DWN_SENTENCE (widget);

  gtk_widget_measure (self->text, orientation, -1, minimum, natural, minimum_baseline, natural_baseline);
  if (orientation != GTK_ORIENTATION_VERTICAL)
    return;
  if (for_size > 0)
    count_lines (self, for_size);
  *minimum = LEAST_LINES * line_height (self->text);
  *natural = (int) self->lines * line_height (self->text);
}

static void
dwn_sentence_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  gtk_widget_size_allocate (DWN_SENTENCE (widget)->text, &(GtkAllocation) { 0, 0, width, height }, baseline);
}

static void
dwn_sentence_dispose (GObject *object)
{
  g_clear_pointer (&DWN_SENTENCE (object)->text, gtk_widget_unparent);
  G_OBJECT_CLASS (dwn_sentence_parent_class)->dispose (object);
}

static void
dwn_sentence_class_init (DwnSentenceClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_sentence_dispose;
  widget_class->get_request_mode = dwn_sentence_get_request_mode;
  widget_class->measure = dwn_sentence_measure;
  widget_class->size_allocate = dwn_sentence_size_allocate;
  gtk_widget_class_set_css_name (widget_class, "sentence");
}

/* Where there was no room for all of it. */
static gboolean
tell_cb (GtkWidget *widget, int x, int y, gboolean by_key, GtkTooltip *tooltip)
{
  DwnSentence *self = DWN_SENTENCE (widget);
  int lines = gtk_widget_get_height (self->text) / line_height (self->text);

  if ((int) lines_of (self, gtk_widget_get_width (self->text)) <= lines)
    return FALSE;
  gtk_tooltip_set_text (tooltip, gtk_inscription_get_text (GTK_INSCRIPTION (self->text)));
  return TRUE;
}

static void
dwn_sentence_init (DwnSentence *self)
{
  gtk_widget_set_has_tooltip (GTK_WIDGET (self), TRUE);
  g_signal_connect (self, "query-tooltip", G_CALLBACK (tell_cb), NULL);
  self->lines = LEAST_LINES;
  self->text = gtk_inscription_new (NULL); /* never asks for another size */
  gtk_inscription_set_text_overflow (GTK_INSCRIPTION (self->text), GTK_INSCRIPTION_OVERFLOW_ELLIPSIZE_END);
  gtk_inscription_set_yalign (GTK_INSCRIPTION (self->text), 0.5f);
  gtk_widget_set_parent (self->text, GTK_WIDGET (self));
}

GtkWidget *
dwn_sentence_new (guint most_lines)
{
  DwnSentence *self = g_object_new (DWN_TYPE_SENTENCE, NULL);

  self->most_lines = most_lines;
  return GTK_WIDGET (self);
}

void
dwn_sentence_set_markup (DwnSentence *self, const char *markup)
{
  g_return_if_fail (DWN_IS_SENTENCE (self) && markup != NULL);

  gtk_inscription_set_markup (GTK_INSCRIPTION (self->text), markup);
  if (self->width > 0 && count_lines (self, self->width))
    gtk_widget_queue_resize (GTK_WIDGET (self));
}
