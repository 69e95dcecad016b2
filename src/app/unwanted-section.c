#include "app/unwanted-section.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "app/hint.h"

/* As far as a plan's file goes. */
#define LEAST_MHZ 1.0
#define MOST_MHZ 6000.0
#define LEAST_FIELD (-50.0)
#define MOST_FIELD 200.0
#define LEAST_ERP_KW 1e-6
#define MOST_ERP_KW 20000.0
#define LEAST_DISTANCE_M 1.0
#define MOST_DISTANCE_M 1e6
/* A carrier begins in the middle of the FM band, as strong as a town's stations: common practice, no
 * source. */
#define FIRST_MHZ 98.1
#define FIRST_FIELD 95.0
#define FIRST_GROUP "fm-town"

/* One of them, unfolded. Rows are built anew when they come, go or become another kind. */
typedef struct {
  DwnUnwantedSection *section;
  guint index;
  GtkWidget *mhz, *field, *erp, *distance, *bearing; /* mhz NULL: of a group */
} Row;

struct _DwnUnwantedSection {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *rows;
  const DwnSite *shown;    /* only compared */
  GPtrArray *row;          /* Row */
  gboolean updating, own;  /* own: the change was made here, rows still fit */
};

G_DEFINE_FINAL_TYPE (DwnUnwantedSection, dwn_unwanted_section, GTK_TYPE_BOX)

static const DwnSite *
site_of (DwnUnwantedSection *self)
{
  return dwn_document_plan (self->document)->site;
}

static const DwnPartList *
parts_of (DwnUnwantedSection *self)
{
  return dwn_document_tables (self->document)->parts;
}

static void
take (DwnDocument *document, guint n, const DwnUnwanted *unwanted)
{
  DwnSite site = *dwn_document_plan (document)->site;

  site.n_unwanted = n;
  site.unwanted = unwanted;
  g_autoptr (DwnPlan) plan = dwn_plan_with_site (dwn_document_plan (document), &site);
  dwn_document_edit (document, plan, _("Change what disturbs"), NULL, NULL);
}

static DwnUnwanted
unwanted_of (const Row *row)
{
  return site_of (row->section)->unwanted[row->index];
}

static void
show_row (Row *row)
{
  DwnUnwanted unwanted = unwanted_of (row);

  if (row->mhz != NULL)
    dwn_number_set (row->mhz, unwanted.mhz);
  dwn_number_set (row->field, unwanted.field_dbuv_m);
  dwn_number_set (row->erp, unwanted.erp_kw);
  dwn_number_set (row->distance, unwanted.distance_m);
  dwn_number_set (row->bearing, unwanted.bearing_deg);
}

/* One carrier needs its frequency, and a field or what makes it. */
static gboolean
is_whole (const DwnUnwanted *unwanted)
{
  return unwanted->group != NULL
         || (!isnan (unwanted->mhz)
             && (!isnan (unwanted->field_dbuv_m) || (!isnan (unwanted->erp_kw) && !isnan (unwanted->distance_m))));
}

/* Exchanges one for @changed; what cannot be left out is shown again. */
static void
put (Row *row, const DwnUnwanted *changed, gboolean rows_fit)
{
  DwnUnwantedSection *self = row->section;
  const DwnSite *site = site_of (self);
  g_autofree DwnUnwanted *all = g_memdup2 (site->unwanted, site->n_unwanted * sizeof *all);

  if (!is_whole (changed))
    {
      show_row (row);
      return;
    }
  all[row->index] = *changed;
  self->own = rows_fit;
  take (self->document, site->n_unwanted, all);
  self->own = FALSE;
}

#define NUMBER_CALLBACK(name, figure)                                                                        \
  static void name (double value, gpointer data)                                                             \
  {                                                                                                          \
    DwnUnwanted changed = unwanted_of (data);                                                                \
    changed.figure = value;                                                                                  \
    put (data, &changed, TRUE);                                                                              \
  }

NUMBER_CALLBACK (mhz_cb, mhz)
NUMBER_CALLBACK (field_cb, field_dbuv_m)
NUMBER_CALLBACK (erp_cb, erp_kw)
NUMBER_CALLBACK (distance_cb, distance_m)
NUMBER_CALLBACK (bearing_cb, bearing_deg)

static gboolean
name_cb (const char *text, gpointer data, char **message)
{
  DwnUnwanted changed = unwanted_of (data);

  changed.name = text[0] != '\0' ? g_intern_string (text) : NULL;
  put (data, &changed, TRUE);
  return TRUE;
}

static void
begin_carrier (DwnUnwanted *unwanted)
{
  unwanted->group = NULL;
  unwanted->mhz = FIRST_MHZ;
  unwanted->field_dbuv_m = FIRST_FIELD;
}

/* The last choice is the carrier of one's own. */
static void
kind_cb (Row *row, GParamSpec *pspec, GtkDropDown *choice)
{
  guint n, chosen = gtk_drop_down_get_selected (choice);
  const DwnCarrierGroup *const *groups = dwn_part_list_carriers (parts_of (row->section), &n);
  DwnUnwanted changed = unwanted_of (row);
  const char *group = chosen < n ? groups[chosen]->id : NULL;

  if (row->section->updating || chosen > n || g_strcmp0 (group, changed.group) == 0)
    return;
  if (group == NULL)
    begin_carrier (&changed);
  else
    {
      dwn_unwanted_init (&changed);
      changed.group = group;
      changed.bearing_deg = unwanted_of (row).bearing_deg;
    }
  put (row, &changed, FALSE);
}

static void
remove_cb (Row *row)
{
  DwnUnwantedSection *self = row->section;
  g_autoptr (GArray) all = g_array_new (FALSE, FALSE, sizeof (DwnUnwanted));

  g_array_append_vals (all, site_of (self)->unwanted, site_of (self)->n_unwanted);
  g_array_remove_index (all, row->index);
  take (self->document, all->len, (const DwnUnwanted *) (gpointer) all->data);
}

static GtkWidget *
kind_new (Row *row, const DwnUnwanted *unwanted)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);
  guint n, chosen;
  const DwnCarrierGroup *const *groups = dwn_part_list_carriers (parts_of (row->section), &n);

  chosen = n;
  for (guint i = 0; i < n; i++)
    {
      gtk_string_list_append (words, _(groups[i]->name));
      chosen = g_strcmp0 (groups[i]->id, unwanted->group) == 0 ? i : chosen;
    }
  gtk_string_list_append (words, _("One station of known frequency"));
  GtkWidget *choice = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)),
                                         gtk_property_expression_new (GTK_TYPE_STRING_OBJECT, NULL, "string"));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (choice), chosen);
  gtk_widget_set_hexpand (choice, TRUE);
  dwn_keep_narrow (choice);
  g_signal_connect_swapped (choice, "notify::selected", G_CALLBACK (kind_cb), row);
  return choice;
}

static const char *
title_of (DwnUnwantedSection *self, const DwnUnwanted *unwanted)
{
  const DwnCarrierGroup *group = unwanted->group != NULL
                                 ? dwn_part_list_find_carriers (parts_of (self), unwanted->group) : NULL;

  if (unwanted->name != NULL)
    return unwanted->name;
  return group != NULL ? _(group->name) : _("One station of known frequency");
}

static GtkWidget *
add_number (Row *row, GtkWidget *form, const char *caption, double least, double most, int decimals,
            DwnNumberFunc changed, const char *unit)
{
  GtkWidget *number = dwn_number_new (least, most, decimals, TRUE, changed, row);

  dwn_form_add (form, caption, number, unit);
  return number;
}

static GtkWidget *
form_new (Row *row, const DwnUnwanted *unwanted)
{
  GtkWidget *form = dwn_form_new (), *name = dwn_text_new (name_cb, row), *remove = dwn_button_new (_("_Remove"), NULL);

  dwn_text_set (name, unwanted->name != NULL ? unwanted->name : "");
  dwn_form_add (form, _("_What"), kind_new (row, unwanted), NULL);
  dwn_form_add (form, _("_Name"), name, NULL);
  if (unwanted->group == NULL)
    row->mhz = add_number (row, form, _("Fre_quency"), LEAST_MHZ, MOST_MHZ, 3, mhz_cb, _("MHz"));
  row->field = add_number (row, form, _("_Field at the house"), LEAST_FIELD, MOST_FIELD, 1, field_cb,
                           _("dB\xC2\xB5V/m"));
  row->erp = add_number (row, form, _("or _power (ERP)"), LEAST_ERP_KW, MOST_ERP_KW, 6, erp_cb, _("kW"));
  row->distance = add_number (row, form, _("at a _distance of"), LEAST_DISTANCE_M, MOST_DISTANCE_M, 0, distance_cb,
                              _("m"));
  row->bearing = add_number (row, form, _("_Bearing"), 0.0, 360.0, 0, bearing_cb, _("\xC2\xB0; empty: ahead"));
  gtk_widget_set_halign (remove, GTK_ALIGN_START);
  g_signal_connect_swapped (remove, "clicked", G_CALLBACK (remove_cb), row);
  gtk_box_append (GTK_BOX (form), remove);
  return form;
}

static GtkWidget *
row_new (Row *row)
{
  DwnUnwanted unwanted = unwanted_of (row);
  const char *title = title_of (row->section, &unwanted);
  GtkWidget *expander = gtk_expander_new (title);

  dwn_name_control (expander, title);
  dwn_label_cut (gtk_expander_get_label_widget (GTK_EXPANDER (expander)));
  gtk_expander_set_child (GTK_EXPANDER (expander), form_new (row, &unwanted));
  show_row (row);
  return expander;
}

/* Bits of the rows that are unfolded; the first 32. */
static guint32
clear_rows (DwnUnwantedSection *self)
{
  GtkWidget *child;
  guint32 expanded = 0;

  for (guint i = 0; (child = gtk_widget_get_first_child (self->rows)) != NULL; i++)
    {
      if (i < 32 && gtk_expander_get_expanded (GTK_EXPANDER (child)))
        expanded |= 1u << i;
      gtk_box_remove (GTK_BOX (self->rows), child);
    }
  return expanded;
}

static void
build_rows (DwnUnwantedSection *self)
{
  guint32 expanded = clear_rows (self);

  g_ptr_array_set_size (self->row, 0);
  self->updating = TRUE;
  for (guint i = 0; i < site_of (self)->n_unwanted; i++)
    {
      Row *row = g_new0 (Row, 1);
      row->section = self;
      row->index = i;
      g_ptr_array_add (self->row, row);
      GtkWidget *shown = row_new (row);
      gtk_expander_set_expanded (GTK_EXPANDER (shown), i < 32 && (expanded & 1u << i) != 0);
      gtk_box_append (GTK_BOX (self->rows), shown);
    }
  self->updating = FALSE;
}

static gboolean
rebuild_cb (gpointer data)
{
  if (DWN_UNWANTED_SECTION (data)->document != NULL)
    build_rows (data);
  return G_SOURCE_REMOVE;
}

/* Not at once: a row may be in the middle of telling its change. */
static void
changed_cb (DwnUnwantedSection *self)
{
  const DwnSite *site = site_of (self);

  if (site == self->shown)
    return;
  self->shown = site;
  if (!self->own)
    g_idle_add_full (G_PRIORITY_DEFAULT_IDLE, rebuild_cb, g_object_ref (self), g_object_unref);
}

guint
dwn_unwanted_add (DwnDocument *document, const char *group)
{
  const DwnSite *site = dwn_document_plan (document)->site;
  g_autoptr (GArray) all = g_array_new (FALSE, FALSE, sizeof (DwnUnwanted));
  DwnUnwanted unwanted;

  dwn_unwanted_init (&unwanted);
  if (group != NULL)
    unwanted.group = group;
  else
    begin_carrier (&unwanted);
  g_array_append_vals (all, site->unwanted, site->n_unwanted);
  g_array_append_val (all, unwanted);
  take (document, all->len, (const DwnUnwanted *) (gpointer) all->data);
  return all->len - 1;
}

static void
add_cb (DwnUnwantedSection *self)
{
  self->own = TRUE;
  dwn_unwanted_add (self->document, FIRST_GROUP);
  self->own = FALSE;
  build_rows (self);
  GtkWidget *row = gtk_widget_get_last_child (self->rows);
  gtk_expander_set_expanded (GTK_EXPANDER (row), TRUE);
  gtk_widget_grab_focus (row);
}

static void
dwn_unwanted_section_dispose (GObject *object)
{
  DwnUnwantedSection *self = DWN_UNWANTED_SECTION (object);

  g_clear_pointer (&self->row, g_ptr_array_unref);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_unwanted_section_parent_class)->dispose (object);
}

static void
dwn_unwanted_section_class_init (DwnUnwantedSectionClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_unwanted_section_dispose;
}

static void
dwn_unwanted_section_init (DwnUnwantedSection *self)
{
  GtkWidget *foot = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  GtkWidget *add = dwn_button_new (_("Add a disturbe_r: FM, mobile…"), NULL);

  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 6);
  self->row = g_ptr_array_new_with_free_func (g_free);
  self->rows = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  g_signal_connect_swapped (add, "clicked", G_CALLBACK (add_cb), self);
  gtk_box_append (GTK_BOX (foot), add);
  gtk_box_append (GTK_BOX (foot), dwn_hint_new (_("What disturbs"),
                                                _("An FM station or a mobile base station close by is stronger than "
                                                  "any television. It drives an amplifier too far unless a filter "
                                                  "stands before it."), "gear"));
  gtk_box_append (GTK_BOX (self), self->rows);
  gtk_box_append (GTK_BOX (self), foot);
}

GtkWidget *
dwn_unwanted_section_new (DwnDocument *document)
{
  DwnUnwantedSection *self = g_object_new (DWN_TYPE_UNWANTED_SECTION, NULL);

  self->document = g_object_ref (document);
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  self->shown = site_of (self);
  build_rows (self);
  return GTK_WIDGET (self);
}
