#include "app/readings-panel.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/form.h"
#include "app/hint.h"
#include "app/trouble-section.h"
#include "core/plan/import-readings.h"
#include "core/study/learn.h"
#include "core/study/readings.h"
#include "words/learn-words.h"
#include "words/symptom-words.h"

#define LEAST_LEVEL (-130.0)
#define MOST_LEVEL 160.0
#define MOST_CN_DB 60.0
#define BER_DECIMALS 9
#define MOST_BARS 100.0

struct _DwnReadingsPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *station, *where, *level, *unit, *cn, *before, *after, *bars, *bars_of, *lock, *when, *weather, *list, *learned, *scan, *fault;
  char **found;                /* by the scan; NULL: not made yet */
  DwnReading entered;          /* what stands in the form */
  const DwnPlan *listed;       /* only compared */
};

G_DEFINE_FINAL_TYPE (DwnReadingsPanel, dwn_readings_panel, GTK_TYPE_BOX)

gboolean
dwn_add_reading (DwnDocument *document, const DwnReading *reading)
{
  const DwnPlan *plan = dwn_document_plan (document);
  DwnReading stamped = *reading;
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (DwnReading));

  dwn_reading_stamp (plan, dwn_document_predicted (document), dwn_document_tables (document), &stamped);
  g_array_append_vals (readings, plan->readings->reading, plan->readings->n);
  g_array_append_val (readings, stamped);
  g_autoptr (DwnPlan) edited = dwn_plan_with_readings (plan, readings->len,
                                                       (const DwnReading *) (gpointer) readings->data);
  return dwn_document_edit (document, edited, _("Add a reading"), NULL, NULL);
}

static void
remove_cb (GtkButton *button, gpointer data)
{
  DwnReadingsPanel *self = data;
  guint at = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "reading"));
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (DwnReading));

  g_array_append_vals (readings, plan->readings->reading, plan->readings->n);
  if (at >= readings->len)
    return;
  g_array_remove_index (readings, at);
  g_autoptr (DwnPlan) edited = dwn_plan_with_readings (plan, readings->len,
                                                       (const DwnReading *) (gpointer) readings->data);
  dwn_document_edit (self->document, edited, _("Remove a reading"), NULL, NULL);
}

static const char *
station_name (const DwnPlan *plan, const char *id)
{
  int station = dwn_stations_find (plan->stations, id);

  return station >= 0 ? plan->stations->station[station].name : id;
}

char *
dwn_reading_line (DwnDocument *document, const DwnReading *reading)
{
  const DwnWording *wording = dwn_document_wording (document);
  g_autoptr (GString) text = g_string_new (station_name (dwn_document_plan (document), reading->station));

  g_string_append_printf (text, ", %s", reading->where);
  if (reading->when[0] != '\0')
    g_string_append_printf (text, ", %s", reading->when);
  if (!isnan (reading->level_dbm))
    {
      g_autofree char *level = dwn_word_level (wording, reading->level_dbm);
      g_string_append_printf (text, ": %s", level);
    }
  if (!isnan (reading->cn_db))
    {
      g_autofree char *cn = dwn_word_decibels (wording, reading->cn_db);
      g_string_append_printf (text, _(", C/N %s"), cn);
    }
  if (reading->lock >= 0)
    g_string_append (text, reading->lock > 0 ? _(", locked") : _(", no lock"));
  return g_string_free (g_steal_pointer (&text), FALSE);
}

static void
clear (GtkWidget *box)
{
  GtkWidget *child;

  while ((child = gtk_widget_get_first_child (box)) != NULL)
    gtk_box_remove (GTK_BOX (box), child);
}

static void
append_reading (DwnReadingsPanel *self, guint at)
{
  const DwnReading *reading = &dwn_document_plan (self->document)->readings->reading[at];
  g_autofree char *line = dwn_reading_line (self->document, reading);
  g_autofree char *tip = g_strdup_printf (_("Remove the reading %s"), line);
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12), *label = dwn_line_new (line, NULL);
  GtkWidget *remove = gtk_button_new_from_icon_name ("edit-delete-symbolic");

  gtk_widget_set_hexpand (label, TRUE);
  gtk_widget_set_tooltip_text (remove, tip);
  gtk_accessible_update_property (GTK_ACCESSIBLE (remove), GTK_ACCESSIBLE_PROPERTY_LABEL, tip, -1);
  gtk_widget_add_css_class (remove, "flat");
  g_object_set_data (G_OBJECT (remove), "reading", GUINT_TO_POINTER (at));
  g_signal_connect_object (remove, "clicked", G_CALLBACK (remove_cb), self, 0);
  gtk_box_append (GTK_BOX (row), label);
  gtk_box_append (GTK_BOX (row), remove);
  gtk_box_append (GTK_BOX (self->list), row);
}

static void
append_taken (GtkWidget *box, char *text)
{
  gtk_box_append (GTK_BOX (box), dwn_line_new (text, NULL));
  g_free (text);
}

/* The cause that was found, with its cure; what cannot be told apart; what was left out. */
static void
show_learned (DwnReadingsPanel *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  const DwnPlan *plan = dwn_document_plan (self->document);
  DwnLearnRules rules;

  clear (self->learned);
  if (plan->readings->n == 0 || !dwn_learn_rules_load (&rules, NULL))
    return;
  g_autoptr (DwnLearned) learned = dwn_learn (plan, dwn_document_predicted (self->document),
                                              dwn_document_tables (self->document), &rules);
  append_taken (self->learned, dwn_word_learned (wording, plan, learned));
  for (guint i = 0; i < learned->n_causes && learned->cause[i].chance >= DWN_LEARNED_SUSPECTED; i++)
    {
      append_taken (self->learned, dwn_word_learned_cause (wording, plan, &learned->cause[i]));
      append_taken (self->learned, dwn_word_cause_cure (wording, &learned->cause[i]));
    }
  for (guint i = 0; i < learned->n_undecided; i++)
    append_taken (self->learned, dwn_word_undecided (wording, plan, learned, &learned->undecided[i]));
  for (guint i = 0; i < learned->n_outliers; i++)
    append_taken (self->learned, dwn_word_outlier (wording, plan, &learned->outlier[i]));
}

/* By RF channel: dependable ones and those that are worth a trial. */
static void
show_scan (DwnReadingsPanel *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  g_autoptr (GArray) rows = dwn_scan_list (findings.plan, findings.budget, -1,
                                           (const char *const *) self->found);

  clear (self->scan);
  for (guint i = 0; i < rows->len; i++)
    append_taken (self->scan, dwn_word_scan_row (dwn_document_wording (self->document), findings.plan,
                                                 &g_array_index (rows, DwnScanRow, i)));
  if (rows->len == 0)
    gtk_box_append (GTK_BOX (self->scan), dwn_line_new (_("Nothing is likely enough to be found."), "dim-label"));
}

/* RF channels and on-screen numbers, as the set lists them. */
static gboolean
found_cb (const char *text, gpointer data, char **message)
{
  DwnReadingsPanel *self = data;

  g_clear_pointer (&self->found, g_strfreev);
  if (text[0] != '\0')
    self->found = g_strsplit_set (text, " ,;", -1);
  show_scan (self);
  return TRUE;
}

static GtkWidget *
found_new (DwnReadingsPanel *self)
{
  GtkWidget *form = dwn_form_new (), *found = dwn_text_new (found_cb, self);

  gtk_entry_set_placeholder_text (GTK_ENTRY (found), _("7.1 9.1 24 …"));
  dwn_form_add (form, _("The scan _found"), found, NULL);
  return form;
}

static void
fill_choices (DwnReadingsPanel *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  g_autoptr (GtkStringList) stations = gtk_string_list_new (NULL);
  g_autoptr (GtkStringList) places = gtk_string_list_new (NULL);
  int selected = dwn_document_selected (self->document);

  for (guint i = 0; i < plan->stations->n; i++)
    {
      g_autofree char *name = g_strdup_printf (_("%s, RF %s"), plan->stations->station[i].name,
                                               plan->stations->station[i].rf);
      gtk_string_list_append (stations, name);
    }
  for (guint i = 0; i < plan->gear->n_outlets; i++)
    gtk_string_list_append (places, plan->gear->part[plan->gear->outlet[i]].id);
  for (guint i = 0; i < plan->gear->n_antennas; i++)
    gtk_string_list_append (places, plan->gear->part[plan->gear->antenna[i]].id);
  gtk_drop_down_set_model (GTK_DROP_DOWN (self->station), G_LIST_MODEL (stations));
  gtk_drop_down_set_model (GTK_DROP_DOWN (self->where), G_LIST_MODEL (places));
  if (selected >= 0)
    gtk_drop_down_set_selected (GTK_DROP_DOWN (self->station), (guint) selected);
}

static void
changed_cb (DwnReadingsPanel *self)
{
  const DwnPlan *plan = dwn_document_plan (self->document);

  if (self->listed == NULL || self->listed->stations != plan->stations || self->listed->gear != plan->gear)
    fill_choices (self);
  self->listed = plan;
  clear (self->list);
  for (guint i = 0; i < plan->readings->n; i++)
    append_reading (self, i);
  if (plan->readings->n == 0)
    gtk_box_append (GTK_BOX (self->list), dwn_line_new (_("Nothing was read yet."), "dim-label"));
  show_learned (self);
  show_scan (self);
}

static void
selected_cb (DwnReadingsPanel *self)
{
  int selected = dwn_document_selected (self->document);

  if (selected >= 0)
    gtk_drop_down_set_selected (GTK_DROP_DOWN (self->station), (guint) selected);
}

static void
level_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.level_dbm = value; /* in the unit chosen, until it is added */
}

static void
cn_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.cn_db = value;
}

static void
before_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.ber_before = value;
}

static void
after_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.ber_after = value;
}

static void
bars_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.bars = isnan (value) ? -1 : (int) value;
}

static void
bars_of_cb (double value, gpointer data)
{
  DWN_READINGS_PANEL (data)->entered.bars_of = isnan (value) ? -1 : (int) value;
}

static gboolean
weather_cb (const char *text, gpointer data, char **message)
{
  DWN_READINGS_PANEL (data)->entered.weather = g_intern_string (text);
  return TRUE;
}

static gboolean
when_cb (const char *text, gpointer data, char **message)
{
  if (text[0] != '\0' && !dwn_reading_when_is_valid (text))
    {
      *message = g_strdup (_("A day such as 2026-05-14, or a day and time such as 2026-05-14 16:30, was expected"));
      return FALSE;
    }
  DWN_READINGS_PANEL (data)->entered.when = g_intern_string (text);
  return TRUE;
}

static gboolean
says_something (const DwnReading *reading)
{
  return !isnan (reading->level_dbm) || !isnan (reading->cn_db) || !isnan (reading->ber_before)
         || !isnan (reading->ber_after) || reading->lock >= 0 || (reading->bars >= 0 && reading->bars_of > 0);
}

/* Takes the form's entries; what was not entered stays "not known". */
static gboolean
read_form (DwnReadingsPanel *self, DwnReading *reading)
{
  const DwnPlan *plan = dwn_document_plan (self->document);
  guint station = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->station));
  guint place = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->where));
  guint lock = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->lock));
  DwnReadingUnit unit = (DwnReadingUnit) gtk_drop_down_get_selected (GTK_DROP_DOWN (self->unit));

  *reading = self->entered;
  reading->lock = lock == 1 ? 1 : lock == 2 ? 0 : -1;
  if (station >= plan->stations->n || place >= plan->gear->n_outlets + plan->gear->n_antennas
      || !says_something (reading))
    return FALSE;
  reading->station = plan->stations->station[station].id;
  reading->where = plan->gear->part[place < plan->gear->n_outlets
                                    ? plan->gear->outlet[place]
                                    : plan->gear->antenna[place - plan->gear->n_outlets]].id;
  reading->level_dbm = dwn_reading_level_dbm (reading->level_dbm, unit);
  reading->leaves = plan->method->leaves;
  return TRUE;
}

static void
clear_figures (DwnReadingsPanel *self)
{
  GtkWidget *const numbers[] = { self->level, self->cn, self->before, self->after, self->bars };

  self->entered.level_dbm = self->entered.cn_db = (double) NAN;
  self->entered.ber_before = self->entered.ber_after = (double) NAN;
  self->entered.bars = -1;
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    dwn_number_set (numbers[i], (double) NAN);
}

/* Ready for the next station, at the same place and time. */
static void
add_cb (DwnReadingsPanel *self)
{
  DwnReading reading;
  gboolean complete = read_form (self, &reading);

  gtk_label_set_text (GTK_LABEL (self->fault), complete ? "" : _("Enter a level, a C/N, an error rate, bars out of how many, or whether the set locks."));
  gtk_widget_set_visible (self->fault, !complete);
  if (!complete || !dwn_add_reading (self->document, &reading))
    return;
  clear_figures (self);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->lock), 0);
  gtk_widget_grab_focus (self->station);
}

static void
dwn_readings_panel_dispose (GObject *object)
{
  g_clear_pointer (&DWN_READINGS_PANEL (object)->found, g_strfreev);
  g_clear_object (&DWN_READINGS_PANEL (object)->document);
  G_OBJECT_CLASS (dwn_readings_panel_parent_class)->dispose (object);
}

static void
dwn_readings_panel_class_init (DwnReadingsPanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_readings_panel_dispose;
}

static void
dwn_readings_panel_init (DwnReadingsPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  dwn_reading_init (&self->entered);
}

static void
make_controls (DwnReadingsPanel *self)
{
  static const char *const units[] = { N_("dBm"), N_("dBmV"), N_("dB\xC2\xB5V"), NULL };
  static const char *const locks[] = { N_("not noted"), N_("it locks"), N_("it does not lock"), NULL };
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autofree char *today = g_date_time_format (now, "%Y-%m-%d");

  self->station = gtk_drop_down_new (NULL, NULL);
  self->where = gtk_drop_down_new (NULL, NULL);
  self->level = dwn_number_new (LEAST_LEVEL, MOST_LEVEL, 1, TRUE, level_cb, self);
  self->unit = dwn_choice_new (units);
  self->cn = dwn_number_new (0.0, MOST_CN_DB, 1, TRUE, cn_cb, self);
  self->before = dwn_number_new (0.0, 1.0, BER_DECIMALS, TRUE, before_cb, self);
  self->after = dwn_number_new (0.0, 1.0, BER_DECIMALS, TRUE, after_cb, self);
  self->bars = dwn_number_new (0.0, MOST_BARS, 0, TRUE, bars_cb, self);
  self->bars_of = dwn_number_new (1.0, MOST_BARS, 0, TRUE, bars_of_cb, self);
  self->weather = dwn_text_new (weather_cb, self);
  self->lock = dwn_choice_new (locks);
  self->when = dwn_text_new (when_cb, self);
  self->fault = dwn_line_new ("", "fault");
  self->entered.when = g_intern_string (today);
  dwn_text_set (self->when, today);
  gtk_widget_set_hexpand (self->when, FALSE);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->unit), dwn_document_wording (self->document)->level);
  dwn_name_control (self->unit, _("Unit of the level"));
}

static GtkWidget *
form_new (DwnReadingsPanel *self)
{
  GtkWidget *form = dwn_form_new (), *add = dwn_button_new (_("_Add the reading"), NULL);

  make_controls (self);
  dwn_form_add (form, _("_Station"), self->station, NULL);
  dwn_form_add (form, _("_Where"), self->where, NULL);
  gtk_box_append (GTK_BOX (dwn_form_add (form, _("_Level"), self->level, NULL)), self->unit);
  dwn_form_add_hint (dwn_form_add (form, _("_C/N or MER"), self->cn, _("dB")), _("C/N and MER"),
                     _("How far the signal stands above everything that is not signal, in decibels: what decides "
                       "whether a picture stands. A strong level with a low C/N is a disturbed signal."), "readings");
  dwn_form_add_hint (dwn_form_add (form, _("_Errors before correction"), self->before, _("as a rate: 2e-4")),
                     _("Errors"),
                     _("The share of bits that arrive wrong, before and after the receiver mends them. Before, some "
                       "are normal; after, any is a block in the picture."), "readings");
  dwn_form_add (form, _("Errors a_fter correction"), self->after, NULL);
  dwn_form_add (form, _("_Bars that the set shows"), self->bars, NULL);
  dwn_form_add (form, _("_out of"), self->bars_of, NULL);
  dwn_form_add (form, _("Loc_k"), self->lock, NULL);
  dwn_form_add (form, _("W_hen"), self->when, NULL);
  dwn_form_add (form, _("Weathe_r"), self->weather, NULL);
  gtk_box_append (GTK_BOX (dwn_form_add_pair (form, NULL, add)), dwn_button_new (_("_Bring in…"), "win.open"));
  gtk_box_append (GTK_BOX (form), self->fault);
  gtk_widget_set_visible (self->fault, FALSE);
  g_signal_connect_swapped (add, "clicked", G_CALLBACK (add_cb), self);
  return form;
}

GtkWidget *
dwn_readings_panel_new (DwnDocument *document)
{
  DwnReadingsPanel *self = g_object_new (DWN_TYPE_READINGS_PANEL, NULL);

  self->document = g_object_ref (document);
  self->list = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  self->learned = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  self->scan = gtk_box_new (GTK_ORIENTATION_VERTICAL, 3);
  GtkWidget *const children[] = {
    dwn_line_new (_("A reading"), "heading"), form_new (self), dwn_line_new (_("What was read"), "heading"), self->list,
    dwn_line_new (_("What it teaches"), "heading"), self->learned,
    dwn_line_new (_("What is wrong?"), "heading"), dwn_trouble_section_new (document),
    dwn_line_new (_("What a scan should find"), "heading"), found_new (self), self->scan,
  };
  gtk_box_append (GTK_BOX (self), dwn_panel_body_new (G_N_ELEMENTS (children), children));
  g_signal_connect_object (document, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "selected", G_CALLBACK (selected_cb), self, G_CONNECT_SWAPPED);
  changed_cb (self);
  return GTK_WIDGET (self);
}
