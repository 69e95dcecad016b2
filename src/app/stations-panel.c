#include "app/stations-panel.h"

#include <glib/gi18n.h>

#include "app/explainer.h"
#include "app/form-row.h"
#include "app/form.h"
#include "app/hint.h"
#include "app/import-dialog.h"
#include "app/station-editor.h"
#include "app/remedy-list.h"
#include "app/settings.h"
#include "app/station-columns.h"
#include "app/station-order.h"
#include "words/diagnosis-words.h"

/* The rest stands in the Path panel. */
#define MOST_REMEDIES 3
#define DETAIL_HEIGHT 250

struct _DwnStationsPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnStationQuery query;
  GtkMultiSelection *selection;
  GtkWidget *search, *filters, *list, *empty, *head, *rows;
  DwnExplainer *explainer;   /* the document's */
  GtkWidget *name, *verdict, *way, *figures, *hint, *wanted, *edit, *remedies;
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (DwnStationsPanel, dwn_stations_panel, GTK_TYPE_BOX)

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

/* Why the selected station is as it is. */
static void
show_reason (DwnStationsPanel *self)
{
  const DwnDiagnosis *diagnosis = dwn_explainer_diagnosis (self->explainer);
  DwnFindings findings = dwn_document_findings (self->document);

  if (diagnosis == NULL)
    return;
  g_autofree char *reason = dwn_word_diagnosis (dwn_document_wording (self->document), &findings, diagnosis);
  gtk_label_set_text (GTK_LABEL (self->way), reason);
}

static void
show_nothing (DwnStationsPanel *self)
{
  gtk_label_set_text (GTK_LABEL (self->name), _("Choose a station"));
  gtk_label_set_text (GTK_LABEL (self->verdict), "");
  gtk_label_set_text (GTK_LABEL (self->way), _("Click a mark in the rose or a row in the list."));
  gtk_label_set_text (GTK_LABEL (self->figures), "");
}

/* What arrives at the outlet that has the least. (transfer full) */
static char *
dup_figures (DwnStationsPanel *self, guint station)
{
  const DwnBudget *budget = dwn_document_findings (self->document).budget;
  const DwnWording *wording = dwn_document_wording (self->document);

  if (budget->n_outlets == 0)
    return g_strdup ("");
  const DwnReception *r = &budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]];
  g_autofree char *margin = dwn_word_margin_line (wording, r);
  g_autofree char *level = dwn_word_level (wording, r->level_dbm);
  return g_strdup_printf (_("Outlet %u, the weakest: %s, %s"), budget->weakest[station] + 1, level, margin);
}

static void
show_station (DwnStationsPanel *self, guint i)
{
  DwnFindings findings = dwn_document_findings (self->document);
  const DwnStation *station = &findings.plan->stations->station[i];
  double chance = dwn_station_chance (findings.budget, i);
  g_autofree char *figures = dup_figures (self, i);

  gtk_label_set_text (GTK_LABEL (self->name), station->name);
  gtk_label_set_text (GTK_LABEL (self->verdict), dwn_word_verdict (dwn_document_wording (self->document), chance));
  gtk_label_set_text (GTK_LABEL (self->figures), figures);
  self->updating = TRUE;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->wanted),
                              (guint) dwn_station_wanted (station, findings.plan->services));
  self->updating = FALSE;
}

static void
show_selected (DwnStationsPanel *self)
{
  int i = dwn_document_selected (self->document);

  gtk_widget_set_visible (self->wanted, i >= 0);
  gtk_widget_set_visible (self->edit, i >= 0);
  gtk_widget_set_visible (self->remedies, i >= 0);
  gtk_widget_set_visible (self->hint, i >= 0);
  if (i >= 0)
    show_station (self, (guint) i);
  else
    show_nothing (self);
}

static void
select_row (DwnStationsPanel *self)
{
  GListModel *rows = G_LIST_MODEL (self->selection);
  int wanted = dwn_document_selected (self->document);

  self->updating = TRUE;
  gtk_selection_model_unselect_all (GTK_SELECTION_MODEL (self->selection));
  for (guint k = 0; k < g_list_model_get_n_items (rows) && wanted >= 0; k++)
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (rows, k);
      if (!dwn_station_item_is_mast (item) && (int) dwn_station_item_station (item) == wanted)
        {
          gtk_selection_model_select_item (GTK_SELECTION_MODEL (self->selection), k, TRUE);
          gtk_widget_activate_action (self->list, "list.scroll-to-item", "u", k);
        }
    }
  self->updating = FALSE;
}

static void
show_rows (DwnStationsPanel *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  g_autoptr (GListStore) items = dwn_stations_in_order (&findings, &self->query);
  gboolean none = findings.plan->stations->n == 0;

  self->updating = TRUE;
  gtk_multi_selection_set_model (self->selection, G_LIST_MODEL (items));
  self->updating = FALSE;
  gtk_widget_set_visible (self->empty, none);
  gtk_widget_set_visible (self->rows, !none);
  gtk_widget_set_visible (self->head, !none);
  select_row (self);
}

static void
changed_cb (DwnStationsPanel *self)
{
  show_rows (self);
  show_selected (self);
}

static gboolean
is_in_view (DwnStationsPanel *self, GtkWidget *row)
{
  graphene_rect_t bounds;

  return gtk_widget_compute_bounds (row, self->rows, &bounds) && bounds.origin.y + bounds.size.height > 0.0f
         && bounds.origin.y < (float) gtk_widget_get_height (self->rows);
}

/* The list keeps some 200 rows for twenty that are seen. Those beyond follow with the next "changed",
 * which ends every drag. */
static void
refresh_rows (DwnStationsPanel *self, GtkWidget *widget)
{
  if (DWN_IS_STATION_ROW (widget) && is_in_view (self, widget))
    dwn_station_row_refresh (DWN_STATION_ROW (widget));
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    refresh_rows (self, child);
}

static void
relist_cb (DwnStationsPanel *self)
{
  refresh_rows (self, self->list);
  show_selected (self);
}

static void
selected_cb (DwnStationsPanel *self)
{
  if (!self->updating)
    select_row (self);
  show_selected (self);
}

/* The stations of the rows that are chosen, in the list's order. (transfer full). */
static GArray *
chosen_stations (DwnStationsPanel *self)
{
  g_autoptr (GtkBitset) rows = gtk_selection_model_get_selection (GTK_SELECTION_MODEL (self->selection));
  GArray *stations = g_array_new (FALSE, FALSE, sizeof (guint));
  GtkBitsetIter iter;
  guint k;

  for (gboolean more = gtk_bitset_iter_init_first (&iter, rows, &k); more; more = gtk_bitset_iter_next (&iter, &k))
    {
      g_autoptr (DwnStationItem) item = g_list_model_get_item (G_LIST_MODEL (self->selection), k);
      guint station = dwn_station_item_station (item);
      if (!dwn_station_item_is_mast (item))
        g_array_append_val (stations, station);
    }
  return stations;
}

/* What can be done with several at once. */
static void
show_several (DwnStationsPanel *self, guint n)
{
  GtkWidget *const of_one[] = { self->edit, self->remedies, self->hint };
  g_autofree char *name = g_strdup_printf (g_dngettext (NULL, "%u station chosen", "%u stations chosen", n), n);

  for (gsize i = 0; i < G_N_ELEMENTS (of_one); i++)
    gtk_widget_set_visible (of_one[i], FALSE);
  gtk_widget_set_visible (self->wanted, TRUE);
  gtk_label_set_text (GTK_LABEL (self->name), name);
  gtk_label_set_text (GTK_LABEL (self->verdict), "");
  gtk_label_set_text (GTK_LABEL (self->way), _("Mark them all at once, or copy them as text with Ctrl+C."));
  gtk_label_set_text (GTK_LABEL (self->figures), "");
  self->updating = TRUE;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->wanted), GTK_INVALID_LIST_POSITION);
  self->updating = FALSE;
}

/* Of several rows the rose shows none: it stays with the station that it has. */
static void
rows_chosen_cb (DwnStationsPanel *self)
{
  g_autoptr (GArray) stations = chosen_stations (self);

  gtk_widget_action_set_enabled (GTK_WIDGET (self), "stations.copy", stations->len > 0);
  if (self->updating || stations->len == 0)
    return;
  if (stations->len > 1)
    {
      show_several (self, stations->len);
      return;
    }
  self->updating = TRUE;
  dwn_document_select (self->document, (int) g_array_index (stations, guint, 0));
  self->updating = FALSE;
  show_selected (self);
}

/* The mark goes on every service that the station carries. (transfer full). */
static DwnPlan *
with_mark (DwnPlan *plan, guint i, DwnWanted wanted)
{
  const DwnStation *station = &plan->stations->station[i];

  dwn_plan_ref (plan);
  for (guint s = 0; s < station->n_services; s++)
    {
      DwnPlan *marked = dwn_plan_with_wanted (plan, station->services[s], wanted);
      dwn_plan_unref (plan);
      plan = marked;
    }
  return plan;
}

/* All rows that are chosen; without one, the station that the rose shows. */
static void
mark (DwnStationsPanel *self, DwnWanted wanted)
{
  g_autoptr (GArray) stations = chosen_stations (self);
  g_autoptr (DwnPlan) plan = dwn_plan_ref (dwn_document_plan (self->document));
  gboolean in_list = gtk_widget_get_focus_child (self->rows) != NULL;
  guint selected = (guint) MAX (dwn_document_selected (self->document), 0);

  if (stations->len == 0 && dwn_document_selected (self->document) >= 0)
    g_array_append_val (stations, selected);
  for (guint k = 0; k < stations->len; k++)
    {
      DwnPlan *marked = with_mark (plan, g_array_index (stations, guint, k), wanted);
      dwn_plan_unref (plan);
      plan = marked;
    }
  if (stations->len == 0)
    return;
  dwn_document_edit (self->document, plan, _("Mark a service"), NULL, NULL);
  if (in_list)
    gtk_widget_grab_focus (self->list); /* the rows are new ones */
}

static void
wanted_cb (DwnStationsPanel *self)
{
  guint chosen = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->wanted));

  if (!self->updating && chosen <= DWN_WANTED_MUST)
    mark (self, (DwnWanted) chosen);
}

static void
mark_cb (GtkWidget *widget, const char *action, GVariant *wanted)
{
  mark (DWN_STATIONS_PANEL (widget), (DwnWanted) g_variant_get_uint32 (wanted));
}

static void
dwn_stations_panel_dispose (GObject *object)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (object);

  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_stations_panel_parent_class)->dispose (object);
}

static GtkWindow *
window_of (DwnStationsPanel *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));

  return GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL;
}

static void
import_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (widget);

  gtk_window_present (GTK_WINDOW (dwn_import_dialog_new (window_of (self), self->document)));
}

static void
add_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (widget);

  if (dwn_add_station (self->document, NULL))
    gtk_menu_button_popup (GTK_MENU_BUTTON (self->edit));
}

static void
remove_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (widget);

  gtk_menu_button_popdown (GTK_MENU_BUTTON (self->edit));
  dwn_remove_station (self->document);
}

static void
copy_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  DwnStationsPanel *self = DWN_STATIONS_PANEL (widget);
  DwnFindings findings = dwn_document_findings (self->document);
  g_autoptr (GArray) stations = chosen_stations (self);
  g_autofree char *text = dwn_columns_copy (dwn_document_wording (self->document), &findings,
                                            dwn_columns_chosen (dwn_document_settings (self->document)), stations->len,
                                            (const guint *) (gpointer) stations->data);

  gdk_clipboard_set_text (gtk_widget_get_clipboard (widget), text);
}

static void
find_cb (GtkWidget *widget, const char *action, GVariant *unused)
{
  gtk_widget_grab_focus (DWN_STATIONS_PANEL (widget)->search);
}

static void
dwn_stations_panel_class_init (DwnStationsPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = dwn_stations_panel_dispose;
  gtk_widget_class_install_action (widget_class, "stations.import", NULL, import_cb);
  gtk_widget_class_install_action (widget_class, "stations.add", NULL, add_cb);
  gtk_widget_class_install_action (widget_class, "stations.remove", NULL, remove_cb);
  gtk_widget_class_install_action (widget_class, "stations.find", NULL, find_cb);
  gtk_widget_class_install_action (widget_class, "stations.copy", NULL, copy_cb);
  gtk_widget_class_install_action (widget_class, "stations.mark", "u", mark_cb);
  for (guint wanted = DWN_WANTED_NO; wanted <= DWN_WANTED_MUST; wanted++)
    {
      gtk_widget_class_add_binding_action (widget_class, GDK_KEY_0 + wanted, GDK_CONTROL_MASK, "stations.mark", "u", wanted);
      gtk_widget_class_add_binding_action (widget_class, GDK_KEY_KP_0 + wanted, GDK_CONTROL_MASK, "stations.mark", "u",
                                           wanted);
    }
  gtk_widget_class_add_binding_action (widget_class, GDK_KEY_f, GDK_CONTROL_MASK, "stations.find", NULL);
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
wanted_new (DwnStationsPanel *self)
{
  static const char *const marks[] = { N_("an extra"), N_("like to have"), N_("must have"), NULL };
  GtkWidget *wanted = dwn_choice_new (marks);

  dwn_name_control (wanted, _("How much this service is wanted"));
  gtk_widget_set_valign (wanted, GTK_ALIGN_CENTER);
  g_signal_connect_swapped (wanted, "notify::selected", G_CALLBACK (wanted_cb), self);
  return wanted;
}

/* The station's figures, in a bubble beside the button. */
static GtkWidget *
edit_new (DwnStationsPanel *self)
{
  GtkWidget *button = gtk_menu_button_new (), *popover = gtk_popover_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  GtkWidget *remove = dwn_button_new (_("_Remove from the plan"), "stations.remove");

  gtk_widget_set_halign (remove, GTK_ALIGN_START);
  gtk_box_append (GTK_BOX (box), dwn_station_editor_new (self->document));
  gtk_box_append (GTK_BOX (box), remove);
  gtk_popover_set_child (GTK_POPOVER (popover), box);
  gtk_menu_button_set_popover (GTK_MENU_BUTTON (button), popover);
  gtk_menu_button_set_label (GTK_MENU_BUTTON (button), _("_Edit"));
  gtk_menu_button_set_use_underline (GTK_MENU_BUTTON (button), TRUE);
  dwn_name_control (button, _("_Edit"));
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  return button;
}

/* As high as it needs, up to a limit that leaves the list its room. */
static GtkWidget *
in_scrolled (GtkWidget *child)
{
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (scrolled), TRUE);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (scrolled), DETAIL_HEIGHT);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), child);
  return scrolled;
}

static GtkWidget *
figures_new (DwnStationsPanel *self)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);

  self->figures = label_new (NULL);
  self->hint = dwn_hint_new (_("Margin and chance"),
                             _("The margin is what the signal has above what the broadcast needs, in decibels. "
                               "Predictions scatter by several decibels from house to house: the chance says how "
                               "likely it is that the margin is there."), "sums");
  gtk_widget_set_hexpand (self->figures, TRUE);
  gtk_box_append (GTK_BOX (row), self->figures);
  gtk_box_append (GTK_BOX (row), self->hint);
  return row;
}

static GtkWidget *
detail_new (DwnStationsPanel *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0), *names = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);

  gtk_widget_set_layout_manager (head, dwn_form_row_new ()); /* in two lines where there is no room */
  self->name = label_new ("title");
  self->verdict = label_new ("dim-label");
  self->way = label_new (NULL);
  self->wanted = wanted_new (self);
  self->edit = edit_new (self);
  gtk_widget_set_hexpand (names, TRUE);
  gtk_box_append (GTK_BOX (names), self->name);
  gtk_box_append (GTK_BOX (names), self->verdict);
  gtk_box_append (GTK_BOX (head), names);
  gtk_box_append (GTK_BOX (head), self->wanted);
  gtk_box_append (GTK_BOX (head), self->edit);
  gtk_box_append (GTK_BOX (box), head);
  gtk_box_append (GTK_BOX (box), self->way);
  gtk_box_append (GTK_BOX (box), figures_new (self));
  self->remedies = dwn_remedy_list_new (self->document, MOST_REMEDIES);
  gtk_box_append (GTK_BOX (box), self->remedies);
  gtk_widget_add_css_class (box, "detail");
  return in_scrolled (box);
}

static void
search_cb (DwnStationsPanel *self)
{
  self->query.text = gtk_editable_get_text (GTK_EDITABLE (self->search));
  show_rows (self);
}

static void
band_cb (DwnStationsPanel *self, GParamSpec *pspec, GtkDropDown *choice)
{
  self->query.band = (int) gtk_drop_down_get_selected (choice) - 1;
  show_rows (self);
}

static void
show_wanted_cb (DwnStationsPanel *self, GParamSpec *pspec, GtkDropDown *choice)
{
  self->query.wanted = (DwnWantedFilter) gtk_drop_down_get_selected (choice);
  show_rows (self);
}

static void
show_chance_cb (DwnStationsPanel *self, GParamSpec *pspec, GtkDropDown *choice)
{
  self->query.chance = (DwnChanceFilter) gtk_drop_down_get_selected (choice);
  show_rows (self);
}

static void
order_cb (DwnStationsPanel *self, GParamSpec *pspec, GtkDropDown *choice)
{
  self->query.order = (DwnMastOrder) gtk_drop_down_get_selected (choice);
  show_rows (self);
}

/* What the list shows and how it is sorted; the words of each choice follow its enumeration. */
static GtkWidget *
filters_new (DwnStationsPanel *self)
{
  static const char *const bands[] = { N_("every band"), N_("low VHF"), N_("high VHF"), N_("UHF"), NULL };
  static const char *const wanted[] = { N_("all stations"), N_("wanted ones"), N_("extras"), NULL };
  static const char *const chances[] = { N_("any chance"), N_("dependable"), N_("worth a trial"), N_("unlikely"),
                                         NULL };
  static const char *const orders[] = { N_("bearing"), N_("distance"), N_("name"), NULL };
  const struct {
    const char *caption;
    const char *const *words;
    GCallback chosen;
  } choices[] = {
    { N_("_Band"), bands, G_CALLBACK (band_cb) },
    { N_("_Wanted"), wanted, G_CALLBACK (show_wanted_cb) },
    { N_("_Chance"), chances, G_CALLBACK (show_chance_cb) },
    { N_("_Masts by"), orders, G_CALLBACK (order_cb) },
  };
  GtkWidget *form = dwn_form_new (), *popover = gtk_popover_new (), *button = gtk_menu_button_new ();

  for (gsize i = 0; i < G_N_ELEMENTS (choices); i++)
    {
      GtkWidget *choice = dwn_choice_new (choices[i].words);
      dwn_form_add (form, _(choices[i].caption), choice, NULL);
      g_signal_connect_swapped (choice, "notify::selected", choices[i].chosen, self);
    }
  gtk_popover_set_child (GTK_POPOVER (popover), form);
  gtk_menu_button_set_popover (GTK_MENU_BUTTON (button), popover);
  gtk_menu_button_set_label (GTK_MENU_BUTTON (button), _("_Show"));
  gtk_menu_button_set_use_underline (GTK_MENU_BUTTON (button), TRUE);
  dwn_name_control (button, _("_Show"));
  return button;
}

static GtkWidget *
tools_new (DwnStationsPanel *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);

  gtk_widget_set_layout_manager (box, dwn_form_row_new ());
  self->search = gtk_search_entry_new ();
  self->filters = filters_new (self);
  gtk_widget_set_hexpand (self->search, TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->search), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Find a station"), -1);
  g_object_set (self->search, "placeholder-text", _("Name, RF or on-screen number"), NULL);
  gtk_widget_set_tooltip_text (self->search, _("Name, RF or on-screen number"));
  gtk_editable_set_width_chars (GTK_EDITABLE (self->search), 4);
  g_signal_connect_swapped (self->search, "search-changed", G_CALLBACK (search_cb), self);
  gtk_box_append (GTK_BOX (box), self->search);
  gtk_box_append (GTK_BOX (box), self->filters);
  gtk_box_append (GTK_BOX (box), dwn_button_new (_("_Add"), "stations.add"));
  gtk_box_append (GTK_BOX (box), dwn_button_new (_("_Bring in…"), "stations.import"));
  gtk_widget_add_css_class (box, "tools");
  return box;
}

/* What stands in the place of a list without stations. */
static GtkWidget *
empty_new (void)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  GtkWidget *text = label_new (NULL), *bring = dwn_button_new (_("_Bring in a station list…"), "stations.import");

  gtk_label_set_text (GTK_LABEL (text), _("The plan has no stations yet. Bring in a regulator's licence list, "
                                          "a CSV or a station list; or add stations by hand."));
  gtk_label_set_max_width_chars (GTK_LABEL (text), 44);
  gtk_widget_add_css_class (bring, "suggested-action");
  gtk_widget_set_halign (bring, GTK_ALIGN_START);
  gtk_box_append (GTK_BOX (box), text);
  gtk_box_append (GTK_BOX (box), bring);
  gtk_widget_set_halign (box, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  gtk_widget_set_vexpand (box, TRUE);
  return box;
}

/* Only in the list: in an entry the same key copies text. */
static void
add_copy_key (GtkWidget *list)
{
  GtkEventController *keys = gtk_shortcut_controller_new ();

  gtk_shortcut_controller_add_shortcut (GTK_SHORTCUT_CONTROLLER (keys),
                                        gtk_shortcut_new (gtk_keyval_trigger_new (GDK_KEY_c, GDK_CONTROL_MASK),
                                                          gtk_named_action_new ("stations.copy")));
  gtk_widget_add_controller (list, keys);
}

static GtkWidget *
list_new (DwnStationsPanel *self)
{
  GtkListItemFactory *factory = gtk_signal_list_item_factory_new ();
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  g_signal_connect_swapped (factory, "setup", G_CALLBACK (setup_cb), self);
  g_signal_connect_swapped (factory, "bind", G_CALLBACK (bind_cb), self);
  self->selection = gtk_multi_selection_new (NULL);
  self->list = gtk_list_view_new (GTK_SELECTION_MODEL (self->selection), factory);
  gtk_widget_add_css_class (self->list, "stations");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _("Stations by mast"), -1);
  g_signal_connect_swapped (self->selection, "selection-changed", G_CALLBACK (rows_chosen_cb), self);
  add_copy_key (self->list);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->list);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

static void
column_cb (GSimpleAction *action, GVariant *shown, gpointer data)
{
  DwnStationsPanel *self = data;
  GSettings *settings = dwn_document_settings (self->document);
  guint chosen = dwn_columns_chosen (settings);

  g_simple_action_set_state (action, shown);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if (g_str_equal (g_action_get_name (G_ACTION (action)), dwn_column_id ((DwnColumn) c)))
      chosen = g_variant_get_boolean (shown) ? chosen | DWN_COLUMN_BIT (c) : chosen & ~DWN_COLUMN_BIT (c);
  if (settings != NULL)
    g_settings_set_flags (settings, DWN_SETTING_COLUMNS, chosen);
}

/* A switch a column: columns.rf, … */
static void
add_column_actions (DwnStationsPanel *self)
{
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  guint chosen = dwn_columns_chosen (dwn_document_settings (self->document));

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    {
      gboolean shown = (chosen & DWN_COLUMN_BIT (c)) != 0;
      g_autoptr (GSimpleAction) action = g_simple_action_new_stateful (dwn_column_id ((DwnColumn) c), NULL,
                                                                       g_variant_new_boolean (shown));
      g_signal_connect_object (action, "change-state", G_CALLBACK (column_cb), self, 0);
      g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
    }
  gtk_widget_insert_action_group (GTK_WIDGET (self), "columns", G_ACTION_GROUP (group));
}

static GMenuModel *
column_menu_new (void)
{
  GMenu *menu = g_menu_new ();
  g_autoptr (GMenu) columns = g_menu_new (), copying = g_menu_new ();

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    {
      g_autofree char *action = g_strconcat ("columns.", dwn_column_id ((DwnColumn) c), NULL);
      g_menu_append (columns, dwn_column_title ((DwnColumn) c), action);
    }
  g_menu_append (copying, _("Copy the chosen rows as _text"), "stations.copy");
  g_menu_append_section (menu, _("Columns"), G_MENU_MODEL (columns));
  g_menu_append_section (menu, NULL, G_MENU_MODEL (copying));
  return G_MENU_MODEL (menu);
}

/* The heads are a button: it opens the choice of columns. */
static GtkWidget *
head_new (DwnStationsPanel *self)
{
  GtkWidget *button = gtk_menu_button_new (), *heads = dwn_station_head_new (self->document);

  add_column_actions (self);
  gtk_menu_button_set_child (GTK_MENU_BUTTON (button), heads);
  gtk_widget_set_halign (gtk_widget_get_parent (heads), GTK_ALIGN_FILL); /* not in the middle */
  gtk_widget_set_hexpand (heads, TRUE);
  dwn_menu_when_opened (button, column_menu_new);
  gtk_menu_button_set_has_frame (GTK_MENU_BUTTON (button), FALSE);
  gtk_widget_set_tooltip_text (button, _("Choose columns"));
  gtk_widget_add_css_class (button, "station-head");
  dwn_name_control (button, _("Choose columns"));
  return button;
}

static void
dwn_stations_panel_init (DwnStationsPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->query.band = -1;
}

GtkWidget *
dwn_stations_panel_new (DwnDocument *document)
{
  DwnStationsPanel *self = g_object_new (DWN_TYPE_STATIONS_PANEL, NULL);

  self->document = g_object_ref (document);
  self->explainer = dwn_explainer_of (document);
  self->head = head_new (self);
  self->rows = list_new (self);
  self->empty = empty_new ();
  gtk_box_append (GTK_BOX (self), tools_new (self));
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), self->head);
  gtk_box_append (GTK_BOX (self), self->empty);
  gtk_box_append (GTK_BOX (self), self->rows);
  gtk_box_append (GTK_BOX (self), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self), detail_new (self));
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (selected_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "relist", G_CALLBACK (relist_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->explainer, "explained", G_CALLBACK (show_reason), self, G_CONNECT_SWAPPED);
  if (dwn_document_plan (document) != NULL)
    changed_cb (self);
  show_reason (self);
  return GTK_WIDGET (self);
}
