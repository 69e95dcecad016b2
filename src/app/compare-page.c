#include "app/compare-page.h"

#include <glib/gi18n.h>

#include "app/drawing.h"
#include "app/form.h"
#include "app/sentence.h"
#include "words/compare-words.h"

#define LEAST_ROSE 120
/* From this width on the rose has the window's type. */
#define FULL_ROSE 460.0
#define LEAST_TYPE 0.72
#define SIDE_WIDTH 210
#define SENTENCE_LINES 4
#define LEAST_TABLE 96
#define NAME_CHARS 6
#define MARGIN_WIDTH_U 140.0
#define OTHER_WIDTH_U 106.0

/* One variant: what it is, its rose, where its antennas look. */
typedef struct {
  DwnComparePage *page;
  guint number;
  GtkWidget *choice, *keep, *rose, *sentence;
  GtkStringList *names;
} Side;

struct _DwnComparePage {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnComparer *comparer; /* the document's */
  Side side[2];
  GtkWidget *verdict, *sums, *table;
  GtkStringList *rows;   /* one a row of the comparison */
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnComparePage, dwn_compare_page, GTK_TYPE_BOX)

/* The table */

typedef enum { SERVICE, WANTED, FIRST_MARGIN, FIRST_CHANCE, SECOND_MARGIN, SECOND_CHANCE, CHANGE, N_COLUMNS } Column;

static char *
wanted_text (DwnWanted wanted)
{
  return g_strdup (wanted == DWN_WANTED_MUST ? _("must") : wanted == DWN_WANTED_LIKE ? _("like") : "");
}

static char *
cell_text (DwnComparePage *self, const DwnComparedRow *row, Column column)
{
  const DwnWording *wording = dwn_document_wording (self->document);

  switch (column)
    {
    case SERVICE:
      return g_strdup (row->name);
    case WANTED:
      return wanted_text (row->wanted);
    case FIRST_MARGIN:
    case SECOND_MARGIN:
      return dwn_word_compared_margin (wording, &row->side[column == SECOND_MARGIN]);
    case FIRST_CHANCE:
    case SECOND_CHANCE:
      return dwn_word_chance (wording, row->side[column == SECOND_CHANCE].chance);
    case CHANGE:
    case N_COLUMNS:
    default:
      return dwn_word_compared_difference (wording, row);
    }
}

static void
setup_cell_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer column)
{
  GtkWidget *text = gtk_inscription_new (NULL);

  gtk_inscription_set_xalign (GTK_INSCRIPTION (text), GPOINTER_TO_INT (column) <= WANTED ? 0.0f : 1.0f);
  gtk_inscription_set_text_overflow (GTK_INSCRIPTION (text), GTK_INSCRIPTION_OVERFLOW_ELLIPSIZE_END);
  gtk_list_item_set_child (item, text);
}

static void
bind_cell_cb (GtkSignalListItemFactory *factory, GtkListItem *item, gpointer data)
{
  DwnComparePage *self = data;
  Column column = GPOINTER_TO_INT (g_object_get_data (G_OBJECT (factory), "column"));
  GtkWidget *text = gtk_list_item_get_child (item);
  DwnComparedView sides[2];
  const DwnComparison *comparison = dwn_comparer_result (self->comparer, sides, NULL);
  guint k = gtk_list_item_get_position (item);

  if (comparison == NULL || k >= comparison->n)
    return;
  const DwnComparedRow *row = &comparison->row[k];
  g_autofree char *words = cell_text (self, row, column);
  gboolean held = (column == FIRST_MARGIN && row->side[0].held) || (column == SECOND_MARGIN && row->side[1].held);
  gtk_inscription_set_text (GTK_INSCRIPTION (text), words);
  if (held || (column == SERVICE && row->wanted != DWN_WANTED_NO))
    gtk_widget_add_css_class (text, "strong");
  else
    gtk_widget_remove_css_class (text, "strong");
}

static void
append_column (DwnComparePage *self, Column column, const char *title)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();

  g_object_set_data (G_OBJECT (factory), "column", GINT_TO_POINTER (column));
  g_signal_connect (factory, "setup", G_CALLBACK (setup_cell_cb), GINT_TO_POINTER (column));
  g_signal_connect_object (factory, "bind", G_CALLBACK (bind_cell_cb), self, 0);
  g_autoptr (GtkColumnViewColumn) added = gtk_column_view_column_new (title, factory);
  gtk_column_view_column_set_expand (added, column == SERVICE);
  gtk_column_view_column_set_resizable (added, TRUE);
  if (column != SERVICE)
    {
      DwnLook look = dwn_widget_look (GTK_WIDGET (self));
      double width_u = column == FIRST_MARGIN || column == SECOND_MARGIN ? MARGIN_WIDTH_U : OTHER_WIDTH_U;
      gtk_column_view_column_set_fixed_width (added, (int) (width_u * dwn_look_unit (&look)));
    }
  gtk_column_view_append_column (GTK_COLUMN_VIEW (self->table), added);
}

static GtkWidget *
table_new (DwnComparePage *self)
{
  const char *const titles[N_COLUMNS] = { _("Service"), _("Wanted"), _("Margin left"), _("Chance left"),
                                          _("Margin right"), _("Chance right"), _("Change") };
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  self->rows = gtk_string_list_new (NULL);
  GtkNoSelection *selection = gtk_no_selection_new (G_LIST_MODEL (g_object_ref (self->rows)));
  self->table = gtk_column_view_new (GTK_SELECTION_MODEL (selection));
  for (guint k = 0; k < N_COLUMNS; k++)
    append_column (self, (Column) k, titles[k]);
  dwn_name_control (self->table, _("Margin of every service in both variants"));
  /* The focus is on the list within. */
  dwn_name_control (gtk_widget_get_last_child (self->table), _("Margin of every service in both variants"));
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->table);
  gtk_scrolled_window_set_min_content_height (GTK_SCROLLED_WINDOW (scrolled), LEAST_TABLE);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

/* Makes every row anew: their texts are asked for when they are seen. */
static void
show_table (DwnComparePage *self, const DwnComparison *comparison)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new ();

  for (guint k = 0; comparison != NULL && k < comparison->n; k++)
    g_ptr_array_add (names, (gpointer) comparison->row[k].name);
  g_ptr_array_add (names, NULL);
  gtk_string_list_splice (self->rows, 0, g_list_model_get_n_items (G_LIST_MODEL (self->rows)),
                          (const char *const *) names->pdata);
}

/* The sums */

static void
show_sums (DwnComparePage *self, const DwnComparison *comparison, const char *currency)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  g_autoptr (GArray) lines = dwn_word_compared_lines (wording, comparison, currency);
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->sums)) != NULL)
    gtk_grid_remove (GTK_GRID (self->sums), child);
  for (guint k = 0; k < lines->len; k++)
    {
      const DwnComparedLine *line = &g_array_index (lines, DwnComparedLine, k);
      GtkWidget *caption = dwn_line_new (line->caption, "dim-label");
      gtk_label_set_xalign (GTK_LABEL (caption), 0.5f);
      gtk_label_set_wrap_mode (GTK_LABEL (caption), PANGO_WRAP_WORD_CHAR);
      gtk_widget_add_css_class (caption, "sum");
      gtk_grid_attach (GTK_GRID (self->sums), caption, 0, 2 * (int) k, 2, 1);
      for (int side = 0; side < 2; side++)
        {
          GtkWidget *value = dwn_line_new (line->side[side], "strong");
          gtk_label_set_xalign (GTK_LABEL (value), 0.5f);
          gtk_label_set_justify (GTK_LABEL (value), GTK_JUSTIFY_CENTER);
          gtk_label_set_wrap_mode (GTK_LABEL (value), PANGO_WRAP_WORD_CHAR);
          gtk_grid_attach (GTK_GRID (self->sums), value, side, 2 * (int) k + 1, 1, 1);
        }
    }
}

static GtkWidget *
sums_new (DwnComparePage *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12), *scrolled = gtk_scrolled_window_new ();

  self->verdict = dwn_line_new ("", NULL);
  self->sums = gtk_grid_new ();
  gtk_grid_set_column_homogeneous (GTK_GRID (self->sums), TRUE);
  gtk_grid_set_column_spacing (GTK_GRID (self->sums), 12);
  gtk_box_append (GTK_BOX (box), self->verdict);
  gtk_box_append (GTK_BOX (box), self->sums);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), box);
  gtk_widget_set_hexpand (scrolled, TRUE);
  return scrolled;
}

/* A side */

static DwnScene *
draw_rose (gpointer data, const DwnLook *look, PangoContext *text, double width, double height)
{
  Side *side = data;
  DwnComparedView sides[2];

  if (dwn_comparer_result (side->page->comparer, sides, NULL) == NULL)
    return NULL;
  DwnLook small = *look;
  small.base *= CLAMP (width / FULL_ROSE, LEAST_TYPE, 1.0);
  return dwn_compared_rose (&sides[side->number].view, &small, text, width, height);
}

static void
chosen_cb (GtkDropDown *choice, GParamSpec *pspec, gpointer data)
{
  Side *side = data;

  if (!side->page->updating)
    dwn_comparer_choose (side->page->comparer, side->number, gtk_drop_down_get_selected (choice));
}

/* Names in the button are cut where they are long; in the list they are whole. */
static GtkWidget *
choice_new (Side *side)
{
  GtkWidget *choice;

  side->names = gtk_string_list_new (NULL);
  choice = gtk_drop_down_new (G_LIST_MODEL (g_object_ref (side->names)), NULL);
  dwn_choice_cut (choice, NAME_CHARS);
  dwn_name_control (choice, side->number == 0 ? _("Variant on the left") : _("Variant on the right"));
  gtk_widget_set_hexpand (choice, TRUE);
  g_signal_connect (choice, "notify::selected", G_CALLBACK (chosen_cb), side);
  return choice;
}

static GtkWidget *
side_new (DwnComparePage *self, guint number)
{
  Side *side = &self->side[number];
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6), *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);

  *side = (Side) { .page = self, .number = number };
  side->choice = choice_new (side);
  side->keep = dwn_button_new (number == 0 ? _("Keep _left") : _("Keep _right"), "win.keep-variant");
  gtk_actionable_set_action_target (GTK_ACTIONABLE (side->keep), "u", number);
  side->rose = dwn_drawing_new (number == 0 ? _("Rose on the left") : _("Rose on the right"), 0.0,
                                LEAST_ROSE, draw_rose, side);
  gtk_widget_set_vexpand (side->rose, TRUE); /* gives way where the type is large */
  side->sentence = dwn_sentence_new (SENTENCE_LINES);
  gtk_widget_add_css_class (side->sentence, "small-print");
  gtk_box_append (GTK_BOX (head), side->choice);
  gtk_box_append (GTK_BOX (head), side->keep);
  gtk_box_append (GTK_BOX (box), head);
  gtk_box_append (GTK_BOX (box), side->rose);
  gtk_box_append (GTK_BOX (box), side->sentence);
  gtk_widget_set_size_request (box, SIDE_WIDTH, -1);
  return box;
}

static void
show_names (DwnComparePage *self, Side *side)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new ();
  guint n = dwn_comparer_count (self->comparer), chosen = dwn_comparer_chosen (self->comparer, side->number);

  for (guint i = 0; i < n; i++)
    g_ptr_array_add (names, (gpointer) dwn_comparer_name (self->comparer, i));
  g_ptr_array_add (names, NULL);
  gtk_string_list_splice (side->names, 0, g_list_model_get_n_items (G_LIST_MODEL (side->names)),
                          (const char *const *) names->pdata);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (side->choice), chosen);
  gtk_widget_set_tooltip_text (side->choice, dwn_comparer_name (self->comparer, chosen));
}

/* All of it */

static void
listed_cb (DwnComparePage *self)
{
  self->updating = TRUE;
  for (guint k = 0; k < 2; k++)
    show_names (self, &self->side[k]);
  self->updating = FALSE;
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    dwn_comparer_refresh (self->comparer);
}

static void
show_side (DwnComparePage *self, Side *side, const DwnComparedView *view)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  g_autofree char *sentence = dwn_word_aim_sentence (wording, &view->view.findings);
  g_autofree char *plain = dwn_word_aim_sentence_plain (wording, &view->view.findings);

  dwn_sentence_set_markup (DWN_SENTENCE (side->sentence), sentence);
  dwn_drawing_refresh (DWN_DRAWING (side->rose), plain);
  gtk_widget_set_tooltip_text (side->choice, view->name);
}

static void
show (DwnComparePage *self)
{
  DwnComparedView sides[2];
  g_autoptr (GError) error = NULL;
  const DwnComparison *comparison = dwn_comparer_result (self->comparer, sides, &error);

  show_table (self, comparison);
  if (comparison == NULL)
    {
      gtk_label_set_text (GTK_LABEL (self->verdict), error->message);
      return;
    }
  const char *const names[2] = { sides[0].name, sides[1].name };
  g_autofree char *verdict = dwn_word_comparison (dwn_document_wording (self->document), comparison, names);
  gtk_label_set_text (GTK_LABEL (self->verdict), verdict);
  show_sums (self, comparison, sides[0].view.findings.plan->method->currency);
  for (guint k = 0; k < 2; k++)
    show_side (self, &self->side[k], &sides[k]);
}

static void
map_cb (DwnComparePage *self)
{
  listed_cb (self);
  dwn_comparer_refresh (self->comparer);
}

static GtkWidget *
tools_new (void)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9), *space = gtk_label_new (NULL);
  GtkWidget *const children[] = {
    dwn_button_new (_("_Back to the plan"), "win.back"), dwn_button_new (_("_Another plan…"), "win.compare-file"),
    space, dwn_button_new (_("_Save as a file…"), "win.export"), dwn_button_new (_("_Print…"), "win.print"),
  };

  gtk_widget_set_hexpand (space, TRUE);
  for (gsize i = 0; i < G_N_ELEMENTS (children); i++)
    gtk_box_append (GTK_BOX (box), children[i]);
  gtk_widget_add_css_class (box, "tools");
  return box;
}

static void
dwn_compare_page_dispose (GObject *object)
{
  DwnComparePage *self = DWN_COMPARE_PAGE (object);

  for (guint k = 0; k < 2; k++)
    g_clear_object (&self->side[k].names);
  g_clear_object (&self->rows);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_compare_page_parent_class)->dispose (object);
}

static void
dwn_compare_page_class_init (DwnComparePageClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_compare_page_dispose;
  gtk_widget_class_add_binding_action (GTK_WIDGET_CLASS (klass), GDK_KEY_Escape, 0, "win.back", NULL);
}

static void
dwn_compare_page_init (DwnComparePage *self)
{
  GtkWidget *upper = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 18);
  GtkWidget *first = side_new (self, 0), *second = side_new (self, 1);

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_append (GTK_BOX (upper), first);
  gtk_box_append (GTK_BOX (upper), sums_new (self));
  gtk_box_append (GTK_BOX (upper), second);
  gtk_box_set_homogeneous (GTK_BOX (upper), TRUE);
  gtk_widget_add_css_class (upper, "compare");
  gtk_box_append (GTK_BOX (self), tools_new ());
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), upper);
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), table_new (self));
  g_signal_connect (self, "map", G_CALLBACK (map_cb), NULL);
}

GtkWidget *
dwn_compare_page_new (DwnDocument *document)
{
  DwnComparePage *self = g_object_new (DWN_TYPE_COMPARE_PAGE, NULL);

  self->document = g_object_ref (document);
  self->comparer = dwn_comparer_of (document);
  g_signal_connect_object (self->comparer, "listed", G_CALLBACK (listed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->comparer, "compared", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  listed_cb (self);
  show (self);
  return GTK_WIDGET (self);
}
