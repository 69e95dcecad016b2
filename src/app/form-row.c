#include "app/form-row.h"

#define GAP 12
#define LINE_GAP 6
/* A column of captions takes as much of the width, unless one word of it needs more. */
#define CAPTION_SHARE 0.4
#define MOST_CONTROLS 8

struct _DwnFormRow {
  GtkLayoutManager parent_instance;
};

G_DEFINE_FINAL_TYPE (DwnFormRow, dwn_form_row, GTK_TYPE_LAYOUT_MANAGER)

/* What stands behind the caption. */
typedef struct {
  GtkWidget *widget[MOST_CONTROLS];
  GtkRequestedSize size[MOST_CONTROLS];
  guint n, n_expand;
  int minimum, natural; /* with the gaps between them */
} Line;

static GtkWidget *
next_shown (GtkWidget *child)
{
  while (child != NULL && !gtk_widget_should_layout (child))
    child = gtk_widget_get_next_sibling (child);
  return child;
}

static GtkWidget *
caption_of (GtkWidget *row)
{
  return gtk_widget_get_first_child (row);
}

static void
measure_line (GtkWidget *row, Line *line)
{
  *line = (Line) { .n = 0 };
  for (GtkWidget *child = next_shown (gtk_widget_get_next_sibling (caption_of (row)));
       child != NULL && line->n < MOST_CONTROLS; child = next_shown (gtk_widget_get_next_sibling (child)))
    {
      GtkRequestedSize *size = &line->size[line->n];

      gtk_widget_measure (child, GTK_ORIENTATION_HORIZONTAL, -1, &size->minimum_size, &size->natural_size, NULL, NULL);
      line->minimum += size->minimum_size + (line->n > 0 ? GAP : 0);
      line->natural += size->natural_size + (line->n > 0 ? GAP : 0);
      line->n_expand += gtk_widget_compute_expand (child, GTK_ORIENTATION_HORIZONTAL) ? 1 : 0;
      line->widget[line->n++] = child;
    }
}

/* The row of an empty caption has nothing to put above. */
static gboolean
is_blank (GtkWidget *caption)
{
  return GTK_IS_LABEL (caption) && gtk_label_get_text (GTK_LABEL (caption))[0] == '\0';
}

/* How wide the caption is where the row is @width; 0: it stands above. All rows of a form have the same
 * width and their captions the same size, so their captions agree. */
static int
caption_width (GtkWidget *row, const Line *line, int width)
{
  int minimum, natural;

  gtk_widget_measure (caption_of (row), GTK_ORIENTATION_HORIZONTAL, -1, &minimum, &natural, NULL, NULL);
  int wanted = MIN (natural, MAX (minimum, (int) (CAPTION_SHARE * width)));
  if (gtk_widget_compute_expand (caption_of (row), GTK_ORIENTATION_HORIZONTAL))
    wanted = MAX (minimum, width - GAP - line->natural);
  /* Controls without a caption need not stand below the others. */
  int least = is_blank (caption_of (row)) ? line->natural : line->minimum;
  return line->n == 0 ? width : wanted + GAP + least <= width ? wanted : 0;
}

/* The widths of the controls where the line has @width. */
static void
spread (Line *line, int width)
{
  int spare = width - line->minimum;

  spare = gtk_distribute_natural_allocation (MAX (spare, 0), line->n, line->size);
  for (guint i = 0, left = line->n_expand; i < line->n && left > 0; i++)
    if (gtk_widget_compute_expand (line->widget[i], GTK_ORIENTATION_HORIZONTAL))
      {
        int share = spare / (int) left--;
        line->size[i].minimum_size += share;
        spare -= share;
      }
}

static int
height_of (GtkWidget *widget, int width)
{
  int natural;

  gtk_widget_measure (widget, GTK_ORIENTATION_VERTICAL, width, NULL, &natural, NULL, NULL);
  return natural;
}

static int
line_height (Line *line, int width)
{
  int height = 0;

  spread (line, width);
  for (guint i = 0; i < line->n; i++)
    height = MAX (height, height_of (line->widget[i], line->size[i].minimum_size));
  return height;
}

static int
row_height (GtkWidget *row, Line *line, int width)
{
  int caption = caption_width (row, line, width);

  if (caption > 0)
    return MAX (height_of (caption_of (row), caption), line_height (line, width - caption - GAP));
  int above = is_blank (caption_of (row)) ? 0 : height_of (caption_of (row), width) + LINE_GAP;
  return above + line_height (line, width);
}

static GtkSizeRequestMode
dwn_form_row_get_request_mode (GtkLayoutManager *manager, GtkWidget *row)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
dwn_form_row_measure (GtkLayoutManager *manager, GtkWidget *row, GtkOrientation orientation, int for_size,
                      int *minimum, int *natural, int *minimum_baseline, int *natural_baseline)
{
  Line line;
  int caption_minimum, caption_natural;

  measure_line (row, &line);
  gtk_widget_measure (caption_of (row), GTK_ORIENTATION_HORIZONTAL, -1, &caption_minimum, &caption_natural, NULL,
                      NULL);
  int whole = caption_natural + (line.n > 0 ? GAP + line.natural : 0);
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    {
      *minimum = MAX (is_blank (caption_of (row)) ? 0 : caption_minimum, line.minimum);
      *natural = MAX (whole, *minimum);
    }
  else
    *minimum = *natural = row_height (row, &line, for_size >= 0 ? for_size : whole);
}

static void
place (GtkWidget *row, GtkWidget *child, int x, int y, int width, int height)
{
  if (gtk_widget_get_direction (row) == GTK_TEXT_DIR_RTL)
    x = gtk_widget_get_width (row) - x - width;
  gtk_widget_size_allocate (child, &(GtkAllocation) { x, y, width, height }, -1);
}

static void
dwn_form_row_allocate (GtkLayoutManager *manager, GtkWidget *row, int width, int height, int baseline)
{
  GtkWidget *head = caption_of (row);
  Line line;
  int x = 0, y = 0;

  measure_line (row, &line);
  int caption = caption_width (row, &line, width);
  if (caption > 0)
    {
      place (row, head, 0, 0, caption, height);
      x = caption + GAP;
    }
  else
    {
      y = is_blank (head) ? 0 : height_of (head, width) + LINE_GAP;
      place (row, head, 0, 0, width, MAX (y - LINE_GAP, 0));
    }
  spread (&line, width - x);
  for (guint i = 0; i < line.n; x += line.size[i++].minimum_size + GAP)
    place (row, line.widget[i], x, y, line.size[i].minimum_size, height - y);
}

static void
dwn_form_row_class_init (DwnFormRowClass *klass)
{
  GtkLayoutManagerClass *layout_class = GTK_LAYOUT_MANAGER_CLASS (klass);

  layout_class->get_request_mode = dwn_form_row_get_request_mode;
  layout_class->measure = dwn_form_row_measure;
  layout_class->allocate = dwn_form_row_allocate;
}

static void
dwn_form_row_init (DwnFormRow *self)
{
}

GtkLayoutManager *
dwn_form_row_new (void)
{
  return g_object_new (DWN_TYPE_FORM_ROW, NULL);
}
