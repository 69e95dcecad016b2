#include "app/antenna-browser.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/antenna-pair.h"
#include "app/antenna-plot.h"
#include "app/antenna-rows.h"
#include "app/form.h"

#define PLOT_PX 150
#define FORM_PX 200
#define LIST_PX 130
#define UHF_MHZ 545.0

struct _DwnAntennaBrowser {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnCatalogue *catalogue;   /* of the moment when it was opened */
  DwnPattern *pattern;       /* chosen; (nullable) */
  DwnPattern *current;       /* that would be replaced; (nullable) */
  double mhz;
  GtkWidget *heading, *search, *list, *unit, *at, *plot, *name, *figures, *dashed, *source, *take, *message;
  char **words;              /* that a row must contain */
};

G_DEFINE_FINAL_TYPE (DwnAntennaBrowser, dwn_antenna_browser, GTK_TYPE_BOX)

enum { UNIT_RF, UNIT_MHZ };

static const DwnWording *
wording_of (DwnAntennaBrowser *self)
{
  return dwn_document_wording (self->document);
}

void
dwn_antenna_browser_say (DwnAntennaBrowser *self, const char *text)
{
  dwn_antenna_show_text (self->message, text);
}

/* Preview ---------------------------------------------------------------------------------------- */

static void
show_preview (DwnAntennaBrowser *self)
{
  gboolean any = self->pattern != NULL;

  dwn_antenna_plot_show (DWN_ANTENNA_PLOT (self->plot), wording_of (self), self->pattern, self->current, self->mhz);
  gtk_widget_set_sensitive (self->take, any);
  gtk_label_set_text (GTK_LABEL (self->name), any ? _(self->pattern->name) : _("Choose an antenna"));
  g_autofree char *figures = any ? dwn_antenna_figures (wording_of (self), self->pattern, self->mhz) : g_strdup ("");
  dwn_antenna_show_text (self->figures, figures);
  gboolean beside = any && self->current != NULL && self->current != self->pattern;
  g_autofree char *dashed = beside ? g_strdup_printf (_("Dashed: %s"), dwn_word_pattern (wording_of (self), self->current)) : g_strdup ("");
  dwn_antenna_show_text (self->dashed, dashed);
  dwn_antenna_show_text (self->source, any && self->pattern->source != NULL ? self->pattern->source : "");
}

static void
choose (DwnAntennaBrowser *self, const char *id)
{
  g_autoptr (GError) error = NULL;

  g_clear_pointer (&self->pattern, dwn_pattern_unref);
  if (id != NULL)
    self->pattern = dwn_catalogue_pattern (self->catalogue, id, &error);
  dwn_antenna_browser_say (self, error != NULL ? error->message : "");
  show_preview (self);
}

static const char *
id_of_row (GtkListBoxRow *row)
{
  return g_object_get_data (G_OBJECT (row), "id");
}

static void
selected_cb (DwnAntennaBrowser *self, GtkListBoxRow *row)
{
  if (self->document != NULL) /* rows go after it when all is disposed of */
    choose (self, row != NULL ? id_of_row (row) : NULL);
}

static void
activated_cb (DwnAntennaBrowser *self)
{
  gtk_widget_activate_action (GTK_WIDGET (self), "antennas.take", NULL);
}

/* List ------------------------------------------------------------------------------------------- */

/* "473–698 MHz"; "yours" for a user's, whose file is not opened for it. */
static char *
range_text (DwnAntennaBrowser *self, const DwnCatalogueEntry *entry)
{
  if (isnan (entry->design_low_mhz))
    return g_strdup (entry->personal ? _("yours") : "");
  g_autofree char *low = dwn_word_number (wording_of (self), entry->design_low_mhz, 0);
  g_autofree char *high = dwn_word_number (wording_of (self), entry->design_high_mhz, 0);
  return g_strdup_printf (_("%s–%s MHz"), low, high);
}

static GtkWidget *
row_new (DwnAntennaBrowser *self, const DwnCatalogueEntry *entry)
{
  GtkWidget *row = gtk_list_box_row_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *name = gtk_label_new (_(entry->name)), *range;
  g_autofree char *text = range_text (self, entry);
  g_autofree char *said = g_strdup_printf ("%s, %s", _(entry->name), text);

  range = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (name), 0.0f);
  dwn_label_cut (name);
  gtk_widget_set_hexpand (name, TRUE);
  gtk_widget_add_css_class (range, "dim-label");
  gtk_widget_add_css_class (range, "numeric");
  gtk_box_append (GTK_BOX (box), name);
  gtk_box_append (GTK_BOX (box), range);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_object_set_data_full (G_OBJECT (row), "id", g_strdup (entry->id), g_free);
  g_object_set_data_full (G_OBJECT (row), "key", g_utf8_casefold (said, -1), g_free);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, said, -1);
  return row;
}

static gboolean
is_shown (GtkListBoxRow *row, gpointer data)
{
  DwnAntennaBrowser *self = DWN_ANTENNA_BROWSER (data);
  const char *key = g_object_get_data (G_OBJECT (row), "key");

  for (guint i = 0; self->words != NULL && self->words[i] != NULL; i++)
    if (strstr (key, self->words[i]) == NULL)
      return FALSE;
  return TRUE;
}

static void
fill_list (DwnAntennaBrowser *self)
{
  GtkListBoxRow *row;

  while ((row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->list), 0)) != NULL)
    gtk_list_box_remove (GTK_LIST_BOX (self->list), GTK_WIDGET (row));
  for (gsize i = 0; self->catalogue != NULL && i < dwn_catalogue_n (self->catalogue); i++)
    gtk_list_box_append (GTK_LIST_BOX (self->list), row_new (self, dwn_catalogue_entry (self->catalogue, i)));
}

static gboolean
scroll_cb (gpointer data)
{
  DwnAntennaBrowser *self = DWN_ANTENNA_BROWSER (data);
  GtkListBoxRow *row = self->document != NULL ? gtk_list_box_get_selected_row (GTK_LIST_BOX (self->list)) : NULL;
  GtkWidget *scrolled = gtk_widget_get_ancestor (self->list, GTK_TYPE_SCROLLED_WINDOW);
  double y, height;

  if (row == NULL || scrolled == NULL
      || !gtk_widget_translate_coordinates (GTK_WIDGET (row), self->list, 0.0, 0.0, NULL, &y))
    return G_SOURCE_REMOVE;
  GtkAdjustment *at = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scrolled));
  height = gtk_widget_get_height (GTK_WIDGET (row));
  gtk_adjustment_set_value (at, y + height / 2 - gtk_adjustment_get_page_size (at) / 2);
  return G_SOURCE_REMOVE;
}

/* Into the middle of what is seen, once rows have their places. */
static void
show_selected (DwnAntennaBrowser *self)
{
  g_timeout_add_full (G_PRIORITY_DEFAULT, 60, scroll_cb, g_object_ref (self), g_object_unref);
}

static void
select_row (DwnAntennaBrowser *self, const char *id)
{
  GtkListBoxRow *row, *found = NULL;

  for (int i = 0; (row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->list), i)) != NULL; i++)
    if (found == NULL && (id == NULL || g_str_equal (id_of_row (row), id)))
      found = row;
  gtk_list_box_select_row (GTK_LIST_BOX (self->list), found);
  show_selected (self);
}

guint
dwn_antenna_browser_search (DwnAntennaBrowser *self, const char *text)
{
  g_autofree char *folded = g_utf8_casefold (text, -1);
  GtkListBoxRow *row;
  guint n = 0;

  g_strfreev (self->words);
  self->words = g_strsplit_set (folded, " \t", -1);
  gtk_list_box_invalidate_filter (GTK_LIST_BOX (self->list));
  for (int i = 0; (row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->list), i)) != NULL; i++)
    n += is_shown (row, self);
  return n;
}

static void
search_cb (DwnAntennaBrowser *self)
{
  dwn_antenna_browser_search (self, gtk_editable_get_text (GTK_EDITABLE (self->search)));
}

/* From the search down into what it found. */
static void
search_done_cb (DwnAntennaBrowser *self)
{
  GtkListBoxRow *row;

  for (int i = 0; (row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->list), i)) != NULL; i++)
    if (is_shown (row, self))
      {
        gtk_list_box_select_row (GTK_LIST_BOX (self->list), row);
        gtk_widget_grab_focus (GTK_WIDGET (row));
        return;
      }
}

/* Frequency -------------------------------------------------------------------------------------- */

static DwnSystem
system_of (DwnAntennaBrowser *self)
{
  const DwnStations *stations = dwn_document_plan (self->document)->stations;
  int selected = dwn_document_selected (self->document);

  if (stations->n == 0)
    return DWN_SYSTEM_ATSC1;
  return stations->station[selected >= 0 ? selected : 0].system;
}

static gboolean
parse_mhz (DwnAntennaBrowser *self, gboolean rf, const char *text, double *mhz)
{
  DwnChannel channel;
  char *end;

  if (rf)
    {
      if (!dwn_channel_find (system_of (self), text, &channel, NULL))
        return FALSE;
      *mhz = channel.centre_mhz;
      return TRUE;
    }
  *mhz = g_strtod (text, &end); /* the locale's, or a point */
  return end != text && *end == '\0' && *mhz >= DWN_PATTERN_MIN_MHZ && *mhz <= DWN_PATTERN_MAX_MHZ;
}

gboolean
dwn_antenna_browser_look_at (DwnAntennaBrowser *self, gboolean rf, const char *text)
{
  double mhz;

  if (!parse_mhz (self, rf, text, &mhz))
    return FALSE;
  self->mhz = mhz;
  show_preview (self);
  return TRUE;
}

double
dwn_antenna_browser_mhz (DwnAntennaBrowser *self)
{
  return self->mhz;
}

static void
at_cb (DwnAntennaBrowser *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->at));
  gboolean rf = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->unit)) == UNIT_RF;
  gboolean good = dwn_antenna_browser_look_at (self, rf, text);

  if (good)
    gtk_widget_remove_css_class (self->at, "error");
  else
    gtk_widget_add_css_class (self->at, "error");
  dwn_antenna_browser_say (self, good ? "" : rf ? _("There is no such RF channel")
                                                : _("A frequency is a number from 1 to 10000 MHz"));
}

/* The same frequency in the other unit. */
static void
unit_cb (DwnAntennaBrowser *self)
{
  gboolean rf = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->unit)) == UNIT_RF;
  g_autofree char *text = NULL;
  DwnChannel channel;

  if (!rf)
    text = g_strdup_printf ("%g", self->mhz);
  else if (dwn_channel_at (system_of (self), self->mhz, &channel, NULL))
    text = g_strdup (channel.rf);
  if (text != NULL)
    gtk_editable_set_text (GTK_EDITABLE (self->at), text);
}

/* Of the selected station, otherwise the first wanted one. */
static void
begin_frequency (DwnAntennaBrowser *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  int station = dwn_document_selected (self->document);

  for (guint i = 0; i < plan->stations->n && station < 0; i++)
    if (dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      station = (int) i;
  self->mhz = station >= 0 ? plan->stations->station[station].mhz : UHF_MHZ;
  unit_cb (self);
}

/* Widget ----------------------------------------------------------------------------------------- */

static void
dwn_antenna_browser_dispose (GObject *object)
{
  DwnAntennaBrowser *self = DWN_ANTENNA_BROWSER (object);

  g_clear_pointer (&self->pattern, dwn_pattern_unref);
  g_clear_pointer (&self->current, dwn_pattern_unref);
  g_clear_pointer (&self->catalogue, dwn_catalogue_unref);
  g_clear_pointer (&self->words, g_strfreev);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (dwn_antenna_browser_parent_class)->dispose (object);
}

static void
dwn_antenna_browser_class_init (DwnAntennaBrowserClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_antenna_browser_dispose;
}

static GtkWidget *
head_new (DwnAntennaBrowser *self)
{
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);

  self->heading = dwn_line_new (_("Catalogue"), "title");
  gtk_widget_set_hexpand (self->heading, TRUE);
  gtk_box_append (GTK_BOX (head), dwn_button_new (_("_Back"), "antennas.back"));
  gtk_box_append (GTK_BOX (head), self->heading);
  gtk_widget_add_css_class (head, "panel-bar");
  return head;
}

static GtkWidget *
list_new (DwnAntennaBrowser *self)
{
  GtkWidget *scrolled = gtk_scrolled_window_new ();

  self->list = gtk_list_box_new ();
  gtk_list_box_set_filter_func (GTK_LIST_BOX (self->list), is_shown, self, NULL);
  gtk_list_box_set_activate_on_single_click (GTK_LIST_BOX (self->list), FALSE);
  gtk_list_box_set_placeholder (GTK_LIST_BOX (self->list), gtk_label_new (_("No antenna of that name")));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Antennas"), -1);
  gtk_widget_add_css_class (self->list, "antennas");
  g_signal_connect_object (self->list, "row-selected", G_CALLBACK (selected_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->list, "row-activated", G_CALLBACK (activated_cb), self, G_CONNECT_SWAPPED);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_min_content_height (GTK_SCROLLED_WINDOW (scrolled), LIST_PX);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), self->list);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

static GtkWidget *
frequency_new (DwnAntennaBrowser *self)
{
  const char *const units[] = { _("RF channel"), _("MHz"), NULL };
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);

  self->unit = gtk_drop_down_new_from_strings (units);
  self->at = gtk_entry_new ();
  gtk_editable_set_width_chars (GTK_EDITABLE (self->at), 6);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->at), 8);
  dwn_name_control (self->unit, _("Pattern at an RF channel or a frequency"));
  dwn_name_control (self->at, _("RF channel or frequency of the pattern"));
  g_signal_connect_object (self->unit, "notify::selected", G_CALLBACK (unit_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->at, "changed", G_CALLBACK (at_cb), self, G_CONNECT_SWAPPED);
  gtk_box_append (GTK_BOX (box), self->unit);
  gtk_box_append (GTK_BOX (box), self->at);
  return box;
}

static GtkWidget *
preview_new (DwnAntennaBrowser *self)
{
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 9);

  self->plot = dwn_antenna_plot_new (PLOT_PX);
  self->name = dwn_line_new (NULL, "title");
  self->figures = dwn_line_new (NULL, "figures");
  self->dashed = dwn_line_new (NULL, NULL);
  self->source = dwn_line_new (NULL, "dim-label");
  self->take = dwn_button_new (_("_Add to the plan"), "antennas.take");
  gtk_widget_set_halign (self->take, GTK_ALIGN_START);
  gtk_widget_add_css_class (self->take, "suggested-action");
  GtkWidget *const lines[] = { self->name, self->figures, self->dashed, self->source, frequency_new (self), self->take };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (words), lines[i]);
  GtkWidget *pair = dwn_antenna_pair_new (self->plot, words, FORM_PX);
  gtk_widget_add_css_class (pair, "preview");
  return pair;
}

static GtkWidget *
own_new (void)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);

  gtk_box_append (GTK_BOX (box), dwn_button_new (_("Enter a _data sheet…"), "antennas.sheet"));
  gtk_box_append (GTK_BOX (box), dwn_button_new (_("_Import a pattern…"), "antennas.import"));
  gtk_widget_add_css_class (box, "panel-bar");
  return box;
}

static void
dwn_antenna_browser_init (DwnAntennaBrowser *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->mhz = UHF_MHZ;
  self->search = gtk_search_entry_new ();
  gtk_widget_set_margin_start (self->search, 18);
  gtk_widget_set_margin_end (self->search, 18);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->search), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Find an antenna"), -1);
  g_signal_connect_object (self->search, "search-changed", G_CALLBACK (search_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->search, "activate", G_CALLBACK (search_done_cb), self, G_CONNECT_SWAPPED);
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  gtk_widget_add_css_class (self->message, "panel-message");
  GtkWidget *const lines[] = { head_new (self), self->search, list_new (self),
                               gtk_separator_new (GTK_ORIENTATION_HORIZONTAL), preview_new (self), self->message,
                               own_new () };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (self), lines[i]);
}

GtkWidget *
dwn_antenna_browser_new (DwnDocument *document)
{
  DwnAntennaBrowser *self = g_object_new (DWN_TYPE_ANTENNA_BROWSER, NULL);

  self->document = g_object_ref (document);
  return GTK_WIDGET (self);
}

void
dwn_antenna_browser_open (DwnAntennaBrowser *self, const char *id, const DwnPattern *current)
{
  g_autoptr (GError) error = NULL;
  DwnPattern *kept = current != NULL ? dwn_pattern_ref (current) : NULL;
  g_autofree char *wanted = g_strdup (id != NULL ? id : current != NULL ? current->id : NULL);

  g_clear_pointer (&self->current, dwn_pattern_unref);
  self->current = kept;
  g_clear_pointer (&self->catalogue, dwn_catalogue_unref);
  self->catalogue = dwn_catalogue_new (&error);
  begin_frequency (self);
  fill_list (self);
  select_row (self, wanted);
  gtk_button_set_label (GTK_BUTTON (self->take), current != NULL ? _("_Use in its place") : _("_Add to the plan"));
  gtk_button_set_use_underline (GTK_BUTTON (self->take), TRUE);
  dwn_name_control (self->take, current != NULL ? _("_Use in its place") : _("_Add to the plan"));
  const char *const *warnings = self->catalogue != NULL ? dwn_catalogue_warnings (self->catalogue) : NULL;
  g_autofree char *text = warnings != NULL ? g_strjoinv ("\n", (char **) warnings) : g_strdup (error->message);
  dwn_antenna_browser_say (self, text);
  gtk_widget_grab_focus (self->search);
}

const DwnPattern *
dwn_antenna_browser_pattern (DwnAntennaBrowser *self)
{
  return self->pattern;
}
