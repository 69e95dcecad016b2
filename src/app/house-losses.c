#include "app/house-losses.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "core/radio/building.h"
#include "core/radio/clutter.h"

#define MOST_LOSS_DB 60.0
#define MOST_HEIGHT_M 100.0
#define MOST_AWAY_M 5000.0

/* One term, unfolded. Rows are built anew when terms come, go or change their kind. */
typedef struct {
  DwnHouseLosses *panel;
  guint index;
  GtkWidget *from, *to, *sd, *loss[DWN_N_BANDS], *percent, *height, *away, *depth; /* NULL: not of this kind */
} Row;

struct _DwnHouseLosses {
  GtkWidget parent_instance;

  DwnDocument *document;
  GtkWidget *box, *rows;
  const DwnSite *shown;    /* only compared */
  GPtrArray *row;          /* Row */
  gboolean updating, own;  /* own: the change was made here, rows still fit */
};

G_DEFINE_FINAL_TYPE (DwnHouseLosses, dwn_house_losses, GTK_TYPE_WIDGET)

static const char *
kind_word (DwnHouseKind kind)
{
  static const char *const words[DWN_N_HOUSE_KINDS] = {
    N_("figures of your own"), N_("the roof above an attic"), N_("walls of a building"), N_("houses around"),
    N_("trees"),
  };

  return _(words[kind]);
}

static const DwnSite *
site_of (DwnHouseLosses *self)
{
  return dwn_document_plan (self->document)->site;
}

static void
take (DwnHouseLosses *self, guint n, const DwnHouseLoss *loss, const char *merge, gboolean rows_fit)
{
  DwnSite site = *site_of (self);

  site.n_losses = n;
  site.loss = loss;
  g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (self->document), &site);
  self->own = rows_fit;
  dwn_document_edit (self->document, plan, _("Change what the house takes"), merge, NULL);
  self->own = FALSE;
}

/* Exchanges one term for @changed. */
static void
put (const Row *row, const DwnHouseLoss *changed, gboolean rows_fit)
{
  const DwnSite *site = site_of (row->panel);
  g_autofree DwnHouseLoss *loss = g_memdup2 (site->loss, site->n_losses * sizeof *loss);

  loss[row->index] = *changed;
  take (row->panel, site->n_losses, loss, NULL, rows_fit);
}

static DwnHouseLoss
term_of (const Row *row)
{
  return site_of (row->panel)->loss[row->index];
}

#define NUMBER_CALLBACK(name, field)                                                                         \
  static void name (double value, gpointer data)                                                             \
  {                                                                                                          \
    DwnHouseLoss changed = term_of (data);                                                                   \
    changed.field = value;                                                                                   \
    put (data, &changed, TRUE);                                                                              \
  }

NUMBER_CALLBACK (from_cb, from_deg)
NUMBER_CALLBACK (to_cb, to_deg)
NUMBER_CALLBACK (sd_cb, sd_db)
NUMBER_CALLBACK (low_cb, loss_db[DWN_BAND_LOW_VHF])
NUMBER_CALLBACK (high_cb, loss_db[DWN_BAND_HIGH_VHF])
NUMBER_CALLBACK (uhf_cb, loss_db[DWN_BAND_UHF])
NUMBER_CALLBACK (percent_cb, percent)
NUMBER_CALLBACK (height_cb, height_m)
NUMBER_CALLBACK (away_cb, away_m)
NUMBER_CALLBACK (depth_cb, depth_m)

static gboolean
name_cb (const char *text, gpointer data, char **message)
{
  DwnHouseLoss changed = term_of (data);

  changed.name = g_intern_string (text);
  put (data, &changed, TRUE);
  return TRUE;
}

static void
kind_cb (Row *row, GParamSpec *pspec, GtkDropDown *choice)
{
  DwnHouseLoss changed = term_of (row);
  DwnHouseKind kind = (DwnHouseKind) gtk_drop_down_get_selected (choice);

  if (row->panel->updating || changed.kind == kind)
    return;
  changed.kind = kind;
  changed.of = NULL;
  changed.sd_db = (double) NAN;
  put (row, &changed, FALSE);
}

static void
of_cb (Row *row, GParamSpec *pspec, GtkDropDown *choice)
{
  DwnHouseLoss changed = term_of (row);
  const char *const *ids = g_object_get_data (G_OBJECT (choice), "ids");
  guint chosen = gtk_drop_down_get_selected (choice);

  if (row->panel->updating || ids == NULL || g_strcmp0 (changed.of, ids[chosen]) == 0)
    return;
  changed.of = ids[chosen];
  put (row, &changed, TRUE);
}

static void
leaves_cb (Row *row, GtkCheckButton *check)
{
  DwnHouseLoss changed = term_of (row);

  if (row->panel->updating)
    return;
  if (changed.kind == DWN_HOUSE_TREES)
    changed.of = gtk_check_button_get_active (check) ? "evergreen" : NULL;
  else
    changed.leaves = gtk_check_button_get_active (check);
  put (row, &changed, TRUE);
}

static void
remove_cb (Row *row)
{
  DwnHouseLosses *self = row->panel;
  g_autoptr (GArray) loss = g_array_new (FALSE, FALSE, sizeof (DwnHouseLoss));
  const DwnSite *site = site_of (self);

  g_array_append_vals (loss, site->loss, site->n_losses);
  g_array_remove_index (loss, row->index);
  take (self, loss->len, (const DwnHouseLoss *) (gpointer) loss->data, NULL, FALSE);
}

/* A drop-down of ids with their words; @current (nullable) is chosen. */
static void
add_of (Row *row, GtkWidget *form, const char *caption, guint n, const char *const *ids, const char *const *words,
        const char *current)
{
  g_autoptr (GtkStringList) list = gtk_string_list_new (NULL);
  guint chosen = 0;

  for (guint i = 0; i < n; i++)
    {
      gtk_string_list_append (list, _(words[i]));
      chosen = g_strcmp0 (ids[i], current) == 0 ? i : chosen;
    }
  GtkWidget *choice = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&list)), NULL);
  g_object_set_data_full (G_OBJECT (choice), "ids", g_memdup2 (ids, n * sizeof *ids), g_free);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), chosen);
  g_signal_connect_swapped (choice, "notify::selected", G_CALLBACK (of_cb), row);
  dwn_form_add (form, caption, choice, NULL);
}

static void
add_roofs (Row *row, GtkWidget *form, const char *current)
{
  gsize n;
  const DwnRoof *roofs = dwn_roof_table_roofs (dwn_document_tables (row->panel->document)->roofs, &n);
  g_autofree const char **ids = g_new0 (const char *, n), **words = g_new0 (const char *, n);

  for (gsize i = 0; i < n; i++)
    {
      ids[i] = g_intern_string (roofs[i].id);
      words[i] = roofs[i].name;
    }
  add_of (row, form, _("Roof _of"), (guint) n, ids, words, current);
}

static void
add_clutters (Row *row, GtkWidget *form, const char *current)
{
  static const char *const words[] = { N_("open country"), N_("suburb"), N_("town"), N_("wood"), N_("city centre") };
  const char *ids[G_N_ELEMENTS (words)];

  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    ids[i] = dwn_clutter_id ((DwnClutter) (DWN_CLUTTER_OPEN + (int) i));
  add_of (row, form, _("As _in"), G_N_ELEMENTS (words), ids, words, current);
}

static void
add_check (Row *row, GtkWidget *form, const char *label, gboolean active)
{
  GtkWidget *check = dwn_check_new (label);

  gtk_check_button_set_active (GTK_CHECK_BUTTON (check), active);
  g_signal_connect_swapped (check, "toggled", G_CALLBACK (leaves_cb), row);
  dwn_form_add_pair (form, NULL, check);
}

static GtkWidget *
add_number (Row *row, GtkWidget *form, const char *caption, double least, double most, gboolean may_be_empty,
            DwnNumberFunc changed, const char *unit)
{
  GtkWidget *number = dwn_number_new (least, most, 1, may_be_empty, changed, row);

  dwn_form_add (form, caption, number, unit);
  return number;
}

static void
add_figures (Row *row, GtkWidget *form, const DwnHouseLoss *term)
{
  row->loss[DWN_BAND_LOW_VHF] = add_number (row, form, _("_Low VHF"), 0, MOST_LOSS_DB, FALSE, low_cb, _("dB"));
  row->loss[DWN_BAND_HIGH_VHF] = add_number (row, form, _("Hi_gh VHF"), 0, MOST_LOSS_DB, FALSE, high_cb, _("dB"));
  row->loss[DWN_BAND_UHF] = add_number (row, form, _("_UHF"), 0, MOST_LOSS_DB, FALSE, uhf_cb, _("dB"));
  add_check (row, form, _("_Only while leaves are on"), term->leaves);
}

static void
add_building (Row *row, GtkWidget *form, const DwnHouseLoss *term)
{
  static const char *const words[] = { N_("ordinary build"), N_("foil, coated glass, thick insulation") };
  const char *const ids[] = { dwn_building_id (DWN_BUILDING_TRADITIONAL), dwn_building_id (DWN_BUILDING_EFFICIENT) };

  add_of (row, form, _("_Walls of"), G_N_ELEMENTS (ids), ids, words, term->of);
  row->percent = add_number (row, form, _("_Better than this in"), 1, 99, TRUE, percent_cb,
                             /* xgettext:no-c-format */
                             _("% of places inside"));
}

static void
add_trees (Row *row, GtkWidget *form, const DwnHouseLoss *term)
{
  row->height = add_number (row, form, _("As _high as"), 0, MOST_HEIGHT_M, TRUE, height_cb, _("m"));
  row->away = add_number (row, form, _("The f_irst of them at"), 0, MOST_AWAY_M, TRUE, away_cb, _("m"));
  row->depth = add_number (row, form, _("_Deep"), 0, MOST_AWAY_M, TRUE, depth_cb, _("m; empty: one tree"));
  add_check (row, form, _("_Evergreen"), g_strcmp0 (term->of, "evergreen") == 0);
}

/* What the kind needs to know. */
static void
add_kind (Row *row, GtkWidget *form, const DwnHouseLoss *term)
{
  switch (term->kind)
    {
    case DWN_HOUSE_FIGURES:
      add_figures (row, form, term);
      break;
    case DWN_HOUSE_ROOF:
      add_roofs (row, form, term->of);
      break;
    case DWN_HOUSE_BUILDING:
      add_building (row, form, term);
      break;
    case DWN_HOUSE_CLUTTER:
      add_clutters (row, form, term->of);
      row->height = add_number (row, form, _("As _high as"), 0, MOST_HEIGHT_M, TRUE, height_cb, _("m"));
      row->away = add_number (row, form, _("_Across the street"), 0, MOST_AWAY_M, TRUE, away_cb, _("m"));
      break;
    case DWN_HOUSE_TREES:
      add_trees (row, form, term);
      break;
    default:
      break;
    }
}

static GtkWidget *
kind_choice_new (Row *row, DwnHouseKind kind)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);

  for (guint i = 0; i < DWN_N_HOUSE_KINDS; i++)
    gtk_string_list_append (words, kind_word ((DwnHouseKind) i));
  GtkWidget *choice = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), (guint) kind);
  g_signal_connect_swapped (choice, "notify::selected", G_CALLBACK (kind_cb), row);
  return choice;
}

static void
show_number (GtkWidget *number, double value)
{
  if (number != NULL)
    dwn_number_set (number, value);
}

static void
show_row (Row *row)
{
  DwnHouseLoss term = term_of (row);

  show_number (row->from, term.from_deg);
  show_number (row->to, term.to_deg);
  show_number (row->sd, term.sd_db);
  for (guint b = 0; b < DWN_N_BANDS; b++)
    show_number (row->loss[b], term.loss_db[b]);
  show_number (row->percent, term.percent);
  show_number (row->height, term.height_m);
  show_number (row->away, term.away_m);
  show_number (row->depth, term.depth_m);
}

static GtkWidget *
row_new (Row *row)
{
  DwnHouseLoss term = term_of (row);
  GtkWidget *form = dwn_form_new (), *name = dwn_text_new (name_cb, row);
  GtkWidget *remove = dwn_button_new (_("_Remove"), NULL);
  GtkWidget *expander = gtk_expander_new (term.name != NULL && term.name[0] != '\0' ? term.name : kind_word (term.kind));

  dwn_text_set (name, term.name != NULL ? term.name : "");
  dwn_form_add (form, _("_Name"), name, NULL);
  dwn_form_add (form, _("_Kind"), kind_choice_new (row, term.kind), NULL);
  row->from = add_number (row, form, _("_From bearing"), 0, 360, FALSE, from_cb, "\xC2\xB0");
  row->to = add_number (row, form, _("c_lockwise to"), 0, 360, FALSE, to_cb, _("\xC2\xB0; equal: all round"));
  add_kind (row, form, &term);
  row->sd = add_number (row, form, _("Un_certain by"), 0, MOST_LOSS_DB, TRUE, sd_cb, _("dB; empty: as usual"));
  gtk_widget_set_halign (remove, GTK_ALIGN_START);
  g_signal_connect_swapped (remove, "clicked", G_CALLBACK (remove_cb), row);
  gtk_box_append (GTK_BOX (form), remove);
  gtk_expander_set_child (GTK_EXPANDER (expander), form);
  dwn_label_cut (gtk_expander_get_label_widget (GTK_EXPANDER (expander)));
  dwn_name_control (expander, gtk_expander_get_label (GTK_EXPANDER (expander)));
  show_row (row);
  return expander;
}

static void
build_rows (DwnHouseLosses *self)
{
  const DwnSite *site = site_of (self);
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (self->rows)) != NULL)
    gtk_box_remove (GTK_BOX (self->rows), child);
  g_ptr_array_set_size (self->row, 0);
  self->updating = TRUE;
  for (guint i = 0; i < site->n_losses; i++)
    {
      Row *row = g_new0 (Row, 1);
      row->panel = self;
      row->index = i;
      g_ptr_array_add (self->row, row);
      gtk_box_append (GTK_BOX (self->rows), row_new (row));
    }
  self->updating = FALSE;
}

static void
changed_cb (DwnHouseLosses *self)
{
  const DwnSite *site = site_of (self);

  if (site == self->shown)
    return;
  self->shown = site;
  if (!self->own)
    build_rows (self);
}

guint
dwn_house_losses_add (DwnDocument *document, DwnHouseKind kind)
{
  const DwnPlan *plan = dwn_document_plan (document);
  g_autoptr (GArray) losses = g_array_new (FALSE, FALSE, sizeof (DwnHouseLoss));
  DwnHouseLoss loss;
  DwnSite site = *plan->site;

  dwn_house_loss_init (&loss, kind);
  loss.name = "";
  g_array_append_vals (losses, plan->site->loss, plan->site->n_losses);
  g_array_append_val (losses, loss);
  site.n_losses = losses->len;
  site.loss = (const DwnHouseLoss *) (gpointer) losses->data;
  g_autoptr (DwnPlan) edited = dwn_plan_with_site (plan, &site);
  dwn_document_edit (document, edited, _("Change what the house takes"), NULL, NULL);
  return losses->len - 1;
}

static void
add_cb (DwnHouseLosses *self)
{
  gboolean attic = site_of (self)->mount == DWN_MOUNT_ATTIC;
  guint index = dwn_house_losses_add (self->document, attic ? DWN_HOUSE_ROOF : DWN_HOUSE_TREES);
  GtkWidget *row = gtk_widget_get_last_child (self->rows);

  if (row != NULL && index + 1 == self->row->len)
    {
      gtk_expander_set_expanded (GTK_EXPANDER (row), TRUE);
      gtk_widget_grab_focus (row);
    }
}

static void
dwn_house_losses_dispose (GObject *object)
{
  DwnHouseLosses *self = DWN_HOUSE_LOSSES (object);

  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->row, g_ptr_array_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_house_losses_parent_class)->dispose (object);
}

static void
dwn_house_losses_class_init (DwnHouseLossesClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_house_losses_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
dwn_house_losses_init (DwnHouseLosses *self)
{
  GtkWidget *add = dwn_button_new (_("Add a _loss: roof, walls, trees…"), NULL);

  self->row = g_ptr_array_new_with_free_func (g_free);
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  self->rows = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  gtk_widget_set_halign (add, GTK_ALIGN_START);
  g_signal_connect_swapped (add, "clicked", G_CALLBACK (add_cb), self);
  gtk_box_append (GTK_BOX (self->box), self->rows);
  gtk_box_append (GTK_BOX (self->box), add);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
dwn_house_losses_new (DwnDocument *document)
{
  DwnHouseLosses *self = g_object_new (DWN_TYPE_HOUSE_LOSSES, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  return GTK_WIDGET (self);
}
