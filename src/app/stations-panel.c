#include "app/stations-panel.h"

#include <glib/gi18n.h>

#include "app/station-row.h"
#include "core/study/budget.h"

struct _DwnStationsPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  const DwnStations *listed; /* what the rows are of */
  const DwnServices *marked;
  GtkSingleSelection *selection;
  GtkWidget *list;
  GtkWidget *name, *verdict, *way, *figures, *wanted;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnStationsPanel, dwn_stations_panel, GTK_TYPE_BOX)

typedef struct {
  guint station, mast;
  gboolean mast_wanted, wanted;
  double bearing_deg, mhz;
} Place;

static int
compare_places (gconstpointer a, gconstpointer b)
{
  const Place *x = a, *y = b;

  if (x->mast_wanted != y->mast_wanted)
    return x->mast_wanted ? -1 : 1;
  if (x->bearing_deg != y->bearing_deg)
    return x->bearing_deg < y->bearing_deg ? -1 : 1;
  if (x->mast != y->mast)
    return x->mast < y->mast ? -1 : 1;
  if (x->wanted != y->wanted)
    return x->wanted ? -1 : 1;
  if (x->mhz != y->mhz)
    return x->mhz < y->mhz ? -1 : 1;
  return x->station < y->station ? -1 : 1;
}

static GArray *
places_of (const DwnFindings *findings)
{
  const DwnStations *stations = findings->plan->stations;
  g_autofree guint *mast = dwn_masts (stations);
  g_autofree gboolean *mast_wanted = g_new0 (gboolean, stations->n);
  GArray *places = g_array_sized_new (FALSE, FALSE, sizeof (Place), stations->n);

  for (guint i = 0; i < stations->n; i++)
    if (dwn_station_wanted (&stations->station[i], findings->plan->services) != DWN_WANTED_NO)
      mast_wanted[mast[i]] = TRUE;
  for (guint i = 0; i < stations->n; i++)
    {
      Place place = {
        i, mast[i], mast_wanted[mast[i]],
        dwn_station_wanted (&stations->station[i], findings->plan->services) != DWN_WANTED_NO,
        findings->fields->arrival[mast[i]].bearing_deg, stations->station[i].mhz,
      };
      g_array_append_val (places, place);
    }
  g_array_sort (places, compare_places);
  return places;
}

GListStore *
dwn_stations_in_order (const DwnFindings *findings)
{
  g_autoptr (GArray) places = places_of (findings);
  GListStore *items = g_list_store_new (DWN_TYPE_STATION_ITEM);

  for (guint i = 0; i < places->len; i++)
    {
      const Place *place = &g_array_index (places, Place, i);
      gboolean first = i == 0 || g_array_index (places, Place, i - 1).mast != place->mast;

      if (first)
        {
          g_autoptr (DwnStationItem) head = dwn_station_item_new (place->station, TRUE);
          g_list_store_append (items, head);
        }
      g_autoptr (DwnStationItem) item = dwn_station_item_new (place->station, FALSE);
      g_list_store_append (items, item);
    }
  return items;
}

static void
setup_cb (DwnStationsPanel *self, GtkListItem *item)
{
  gtk_list_item_set_child (item, dwn_station_row_new (self->document));
}

static void
bind_cb (DwnStationsPanel *self, GtkListItem *item)
{
  DwnStationItem *station = gtk_list_item_get_item (item);
  gboolean is_mast = dwn_station_item_is_mast (station);

  gtk_list_item_set_selectable (item, !is_mast);
  gtk_list_item_set_activatable (item, !is_mast);
  dwn_station_row_set_item (DWN_STATION_ROW (gtk_list_item_get_child (item)), station);
}

static void
show_selected (DwnStationsPanel *self)
{
  int i = dwn_document_selected (self->document);
  DwnFindings findings = dwn_document_findings (self->document);

  gtk_widget_set_visible (self->wanted, i >= 0);
  if (i < 0)
    {
      gtk_label_set_text (GTK_LABEL (self->name), _("Choose a station"));
      gtk_label_set_text (GTK_LABEL (self->verdict), "");
      gtk_label_set_text (GTK_LABEL (self->way), _("Click a mark in the rose or a row in the list."));
      gtk_label_set_text (GTK_LABEL (self->figures), "");
      return;
    }
  const DwnStation *station = &findings.plan->stations->station[i];
  const DwnBudget *budget = findings.budget;
  double chance = dwn_station_chance (budget, (guint) i);
  g_autofree char *way = dwn_word_way (dwn_document_wording (self->document), &findings.fields->arrival[i]);

  gtk_label_set_text (GTK_LABEL (self->name), station->name);
  gtk_label_set_text (GTK_LABEL (self->verdict), dwn_word_verdict (dwn_document_wording (self->document), chance));
  gtk_label_set_text (GTK_LABEL (self->way), way);
  if (budget->n_outlets == 0)
    return;
  const DwnReception *r = &budget->reception[(gsize) i * budget->n_outlets + budget->weakest[i]];
  g_autofree char *margin = dwn_word_margin_line (dwn_document_wording (self->document), r);
  g_autofree char *level = dwn_word_level (dwn_document_wording (self->document), r->level_dbm);
  g_autofree char *text = g_strdup_printf (_("Outlet %u, the weakest: %s, %s"), budget->weakest[i] + 1,
                                           level, margin);
  gtk_label_set_text (GTK_LABEL (self->figures), text);
  self->updating = TRUE;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->wanted),
                              (guint) dwn_station_wanted (station, findings.plan->services));
  self->updating = FALSE;
}

static void
select_row (DwnStationsPanel *self)
{
  GListModel *rows = G_LIST_MODEL (self->selection);
  int wanted = dwn_document_selected (self->document);

  self->updating = TRUE;
  gtk_single_selection_set_selected (self->selection, GTK_INVALID_LIST_POSITION);
  for (guint k = 0; k < g_list_model_get_n_items (rows) && wanted >= 0; k++)
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (rows, k);
      if (!dwn_station_item_is_mast (item) && (int) dwn_station_item_station (item) == wanted)
        {
          gtk_single_selection_set_selected (self->selection, k);
          gtk_widget_activate_action (self->list, "list.scroll-to-item", "u", k);
        }
    }
  self->updating = FALSE;
}

static void
changed_cb (DwnStationsPanel *self)
{
  DwnFindings findings = dwn_document_findings (self->document);

  self->listed = findings.plan->stations;
  self->marked = findings.plan->services;
  g_autoptr (GListStore) items = dwn_stations_in_order (&findings);
  self->updating = TRUE;
  gtk_single_selection_set_model (self->selection, G_LIST_MODEL (items));
  self->updating = FALSE;
  select_row (self);
  show_selected (self);
}

static void
selected_cb (DwnStationsPanel *self)
{
  if (!self->updating)
    select_row (self);
  show_selected (self);
}

static void
row_selected_cb (DwnStationsPanel *self)
{
  DwnStationItem *item = gtk_single_selection_get_selected_item (self->selection);

  if (self->updating || item == NULL || dwn_station_item_is_mast (item))
    return;
  self->updating = TRUE;
  dwn_document_select (self->document, (int) dwn_station_item_station (item));
  self->updating = FALSE;
}

/* The mark goes on every service that the station carries. */
static void
wanted_cb (DwnStationsPanel *self)
{
  int i = dwn_document_selected (self->document);

  if (self->updating || i < 0)
    return;
  DwnWanted wanted = (DwnWanted) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->wanted));
  g_autoptr (DwnPlan) plan = dwn_plan_ref (dwn_document_plan (self->document));
  const DwnStation *station = &plan->stations->station[i];
  for (guint s = 0; s < station->n_services; s++)
    {
      DwnPlan *marked = dwn_plan_with_wanted (plan, station->services[s], wanted);
      dwn_plan_unref (plan);
      plan = marked;
    }
  dwn_document_edit (self->document, plan, _("Mark a service"), NULL, NULL);
}

static void
dwn_stations_panel_dispose (GObject *object)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (object);

  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_stations_panel_parent_class)->dispose (object);
}

static void
dwn_stations_panel_class_init (DwnStationsPanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_stations_panel_dispose;
}

static GtkWidget *
label_new (const char *css_class)
{
  GtkWidget *label = gtk_label_new (NULL);

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  if (css_class != NULL)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

static GtkWidget *
detail_new (DwnStationsPanel *self)
{
  static const char *const marks[] = { N_("an extra"), N_("like to have"), N_("must have"), NULL };
  const char *translated[G_N_ELEMENTS (marks)] = { NULL };
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);

  for (gsize i = 0; marks[i] != NULL; i++)
    translated[i] = _(marks[i]);
  self->name = label_new ("title");
  self->verdict = label_new ("dim-label");
  self->way = label_new (NULL);
  self->figures = label_new (NULL);
  self->wanted = gtk_drop_down_new_from_strings (translated);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->wanted), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("How much this service is wanted"), -1);
  gtk_widget_set_hexpand (self->verdict, TRUE);
  gtk_widget_set_valign (self->wanted, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (head), self->name);
  gtk_box_append (GTK_BOX (head), self->verdict);
  gtk_box_append (GTK_BOX (head), self->wanted);
  gtk_box_append (GTK_BOX (box), head);
  gtk_box_append (GTK_BOX (box), self->way);
  gtk_box_append (GTK_BOX (box), self->figures);
  gtk_widget_add_css_class (box, "detail");
  g_signal_connect_swapped (self->wanted, "notify::selected", G_CALLBACK (wanted_cb), self);
  return box;
}

static GtkWidget *
list_new (DwnStationsPanel *self)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  g_signal_connect_swapped (factory, "setup", G_CALLBACK (setup_cb), self);
  g_signal_connect_swapped (factory, "bind", G_CALLBACK (bind_cb), self);
  self->selection = gtk_single_selection_new (NULL);
  gtk_single_selection_set_autoselect (self->selection, FALSE);
  gtk_single_selection_set_can_unselect (self->selection, TRUE);
  self->list = gtk_list_view_new (GTK_SELECTION_MODEL (self->selection), factory);
  gtk_widget_add_css_class (self->list, "stations");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Stations by mast"), -1);
  g_signal_connect_swapped (self->selection, "notify::selected", G_CALLBACK (row_selected_cb), self);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->list);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

static void
dwn_stations_panel_init (DwnStationsPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
}

GtkWidget *
dwn_stations_panel_new (DwnDocument *document)
{
  DwnStationsPanel *self = g_object_new (DWN_TYPE_STATIONS_PANEL, NULL);

  self->document = g_object_ref (document);
  gtk_box_append (GTK_BOX (self), dwn_station_head_new ());
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), list_new (self));
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), detail_new (self));
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (selected_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "aimed", G_CALLBACK (show_selected), self, G_CONNECT_SWAPPED);
  if (dwn_document_plan (document) != NULL)
    changed_cb (self);
  return GTK_WIDGET (self);
}
