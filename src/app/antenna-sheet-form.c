#include "app/antenna-sheet-form.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/antenna-pair.h"
#include "app/antenna-plot.h"
#include "app/antenna-rows.h"
#include "app/form.h"

#define MOST_BANDS 4
#define PLOT_PX 120
#define FORM_PX 230

/* Fields of a band, in the order in which they stand. */
enum { LOW, HIGH, GAIN, WIDTH, ELEVATION, BACK, N_FIELDS };

typedef struct {
  GtkWidget *field[N_FIELDS];
} Band;

struct _DwnAntennaSheetForm {
  GtkBox parent_instance;

  DwnDocument *document;
  GtkWidget *name, *unit, *price, *bands, *add, *plot, *figures, *warnings, *message;
  Band band[MOST_BANDS];
  guint n_bands;
};

G_DEFINE_FINAL_TYPE (DwnAntennaSheetForm, dwn_antenna_sheet_form, GTK_TYPE_BOX)

/* Reading ---------------------------------------------------------------------------------------- */

/* NaN where the field is empty or not a number. */
static double
number_in (GtkWidget *entry)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));
  char *end;
  double value = g_strtod (text, &end); /* the locale's, or a point */

  while (g_ascii_isspace (*end))
    end++;
  return end == text || *end != '\0' ? (double) NAN : value;
}

static gboolean
is_filled (const Band *band)
{
  for (guint f = 0; f < N_FIELDS; f++)
    if (gtk_editable_get_text (GTK_EDITABLE (band->field[f]))[0] != '\0')
      return TRUE;
  return FALSE;
}

/* Those that are filled in. */
static guint
read_bands (DwnAntennaSheetForm *self, DwnSheetBand *bands)
{
  guint n = 0;

  for (guint i = 0; i < self->n_bands; i++)
    {
      const Band *band = &self->band[i];

      if (!is_filled (band))
        continue;
      bands[n++] = (DwnSheetBand) {
        .low_mhz = number_in (band->field[LOW]),
        .high_mhz = number_in (band->field[HIGH]),
        .gain = number_in (band->field[GAIN]),
        .unit = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->unit)) == 0 ? DWN_GAIN_DBI : DWN_GAIN_DBD,
        .azimuth_width_deg = number_in (band->field[WIDTH]),
        .elevation_width_deg = number_in (band->field[ELEVATION]),
        .front_to_back_db = number_in (band->field[BACK]),
      };
    }
  return n;
}

/* "Own yagi 12" becomes "own-yagi-12". */
static char *
id_of (const char *name)
{
  g_autofree char *file = g_strconcat (name, ".antenna", NULL);
  g_autofree char *flat = g_strdelimit (g_strdup (file), "/", '-');

  return dwn_antenna_id_of_file (flat);
}

static DwnAntenna *
read_antenna (DwnAntennaSheetForm *self, GPtrArray *warnings, GError **error)
{
  DwnSheetBand bands[MOST_BANDS];
  guint n = read_bands (self, bands);
  const char *name = gtk_editable_get_text (GTK_EDITABLE (self->name));
  g_autofree char *id = id_of (name[0] != '\0' ? name : "sheet");

  if (n == 0)
    {
      g_set_error_literal (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_MISSING,
                           _("The pattern appears once frequencies, gain and beam width are there"));
      return NULL;
    }
  return dwn_sheet_antenna (id, name[0] != '\0' ? name : _("Antenna of a data sheet"), number_in (self->price), n,
                            bands, warnings, error);
}

DwnAntenna *
dwn_antenna_sheet_form_antenna (DwnAntennaSheetForm *self, GError **error)
{
  g_return_val_if_fail (DWN_IS_ANTENNA_SHEET_FORM (self), NULL);

  if (gtk_editable_get_text (GTK_EDITABLE (self->name))[0] == '\0')
    {
      g_set_error_literal (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_MISSING, _("Give the antenna a name"));
      return NULL;
    }
  return read_antenna (self, NULL, error);
}

/* Showing ---------------------------------------------------------------------------------------- */

static char *
join_lines (GPtrArray *lines)
{
  GString *text = g_string_new (NULL);

  for (guint i = 0; i < lines->len; i++)
    g_string_append_printf (text, "%s%s", i > 0 ? "\n" : "", (const char *) g_ptr_array_index (lines, i));
  return g_string_free (text, FALSE);
}

/* In the middle of the first band. */
static double
preview_mhz (DwnAntennaSheetForm *self)
{
  DwnSheetBand bands[MOST_BANDS];

  return read_bands (self, bands) > 0 ? (bands[0].low_mhz + bands[0].high_mhz) / 2 : (double) NAN;
}

static void
changed_cb (DwnAntennaSheetForm *self)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = read_antenna (self, warnings, &error);
  double mhz = preview_mhz (self);

  dwn_antenna_sheet_form_say (self, "");
  dwn_antenna_plot_show (DWN_ANTENNA_PLOT (self->plot), wording, antenna != NULL ? antenna->pattern : NULL, NULL,
                         antenna != NULL ? mhz : (double) NAN);
  g_autofree char *text = antenna != NULL ? join_lines (warnings) : g_strdup (error->message);
  g_autofree char *figures = antenna != NULL ? dwn_antenna_figures (wording, antenna->pattern, mhz) : g_strdup ("");
  gtk_widget_set_visible (self->plot, antenna != NULL);
  dwn_antenna_show_text (self->warnings, text);
  /* What is not finished is no fault. */
  gtk_widget_remove_css_class (self->warnings, antenna != NULL ? "dim-label" : "fault");
  gtk_widget_add_css_class (self->warnings, antenna != NULL ? "fault" : "dim-label");
  dwn_antenna_show_text (self->figures, figures);
}

const char *
dwn_antenna_sheet_form_warnings (DwnAntennaSheetForm *self)
{
  return gtk_label_get_text (GTK_LABEL (self->warnings));
}

void
dwn_antenna_sheet_form_say (DwnAntennaSheetForm *self, const char *text)
{
  dwn_antenna_show_text (self->message, text);
}

/* Filling in ------------------------------------------------------------------------------------- */

void
dwn_antenna_sheet_form_begin (DwnAntennaSheetForm *self)
{
  gtk_widget_grab_focus (self->name);
}

void
dwn_antenna_sheet_form_set_name (DwnAntennaSheetForm *self, const char *name)
{
  gtk_editable_set_text (GTK_EDITABLE (self->name), name);
}

static void
set_number (GtkWidget *entry, double value)
{
  g_autofree char *text = isnan (value) ? g_strdup ("") : g_strdup_printf ("%g", value);

  gtk_editable_set_text (GTK_EDITABLE (entry), text);
}

void
dwn_antenna_sheet_form_set_band (DwnAntennaSheetForm *self, guint band, const DwnSheetBand *values)
{
  g_return_if_fail (band < self->n_bands && values != NULL);

  const double numbers[N_FIELDS] = { values->low_mhz, values->high_mhz, values->gain, values->azimuth_width_deg,
                                     values->elevation_width_deg, values->front_to_back_db };
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->unit), values->unit == DWN_GAIN_DBI ? 0 : 1);
  for (guint f = 0; f < N_FIELDS; f++)
    set_number (self->band[band].field[f], numbers[f]);
}

guint
dwn_antenna_sheet_form_add_band (DwnAntennaSheetForm *self)
{
  static const char *const labels[N_FIELDS] = {
    N_("_From, MHz"), N_("T_o, MHz"), N_("_Gain"), N_("Beam _width, °"), N_("Width up and down, °"),
    N_("Front to bac_k, dB"),
  };
  GtkWidget *rows = dwn_antenna_rows_new ();
  Band *band = &self->band[self->n_bands];

  g_return_val_if_fail (self->n_bands < MOST_BANDS, 0);
  for (guint f = 0; f < N_FIELDS; f++)
    {
      band->field[f] = gtk_entry_new ();
      gtk_entry_set_input_purpose (GTK_ENTRY (band->field[f]), GTK_INPUT_PURPOSE_NUMBER);
      gtk_editable_set_width_chars (GTK_EDITABLE (band->field[f]), 8);
      g_signal_connect_object (band->field[f], "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
      dwn_antenna_rows_add (rows, f, _(labels[f]), band->field[f]);
    }
  if (self->n_bands > 0)
    gtk_box_append (GTK_BOX (self->bands), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (self->bands), rows);
  self->n_bands++;
  gtk_widget_set_visible (self->add, self->n_bands < MOST_BANDS);
  return self->n_bands - 1;
}

static void
add_cb (DwnAntennaSheetForm *self)
{
  guint band = dwn_antenna_sheet_form_add_band (self);

  gtk_widget_grab_focus (self->band[band].field[LOW]);
}

/* Widget ----------------------------------------------------------------------------------------- */

static void
dwn_antenna_sheet_form_dispose (GObject *object)
{
  g_clear_object (&DWN_ANTENNA_SHEET_FORM (object)->document);
  G_OBJECT_CLASS (dwn_antenna_sheet_form_parent_class)->dispose (object);
}

static void
dwn_antenna_sheet_form_class_init (DwnAntennaSheetFormClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_antenna_sheet_form_dispose;
}

static GtkWidget *
head_new (void)
{
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *title = dwn_line_new (_("Data sheet"), "title");
  GtkWidget *save = dwn_button_new (_("_Save in the catalogue"), "antennas.sheet-save");

  gtk_widget_set_hexpand (title, TRUE);
  gtk_widget_add_css_class (save, "suggested-action");
  gtk_box_append (GTK_BOX (head), dwn_button_new (_("_Back"), "antennas.back"));
  gtk_box_append (GTK_BOX (head), title);
  gtk_box_append (GTK_BOX (head), save);
  gtk_widget_add_css_class (head, "panel-bar");
  return head;
}

static GtkWidget *
general_new (DwnAntennaSheetForm *self)
{
  const char *const units[] = { _("dBi (isotropic)"), _("dBd (dipole)"), NULL };
  GtkWidget *rows = dwn_antenna_rows_new ();

  self->name = gtk_entry_new ();
  self->price = gtk_entry_new ();
  self->unit = gtk_drop_down_new_from_strings (units);
  dwn_antenna_rows_add (rows, 0, _("_Name"), self->name);
  dwn_antenna_rows_add (rows, 1, _("Gain _in"), self->unit);
  dwn_antenna_rows_add (rows, 2, _("_Price"), self->price);
  g_signal_connect_object (self->name, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->price, "changed", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->unit, "notify::selected", G_CALLBACK (changed_cb), self, G_CONNECT_SWAPPED);
  return rows;
}

static GtkWidget *
fields_new (DwnAntennaSheetForm *self)
{
  GtkWidget *fields = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);

  self->bands = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  self->add = gtk_button_new_with_mnemonic (_("Add a ban_d"));
  dwn_name_control (self->add, _("Add a ban_d"));
  gtk_widget_set_halign (self->add, GTK_ALIGN_START);
  g_signal_connect_object (self->add, "clicked", G_CALLBACK (add_cb), self, G_CONNECT_SWAPPED);
  gtk_box_append (GTK_BOX (fields), general_new (self));
  gtk_box_append (GTK_BOX (fields), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (fields), self->bands);
  gtk_box_append (GTK_BOX (fields), self->add);
  return fields;
}

static GtkWidget *
page_new (DwnAntennaSheetForm *self)
{
  GtkWidget *left = gtk_box_new (GTK_ORIENTATION_VERTICAL, 9), *scrolled = gtk_scrolled_window_new ();
  GtkWidget *const lines[] = { self->plot, self->figures, self->warnings, self->message };

  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    gtk_box_append (GTK_BOX (left), lines[i]);
  gtk_widget_set_size_request (left, PLOT_PX, -1);
  GtkWidget *pair = dwn_antenna_pair_new (left, fields_new (self), FORM_PX);
  gtk_widget_add_css_class (pair, "preview");
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scrolled), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scrolled), pair);
  gtk_widget_set_vexpand (scrolled, TRUE);
  return scrolled;
}

static GtkWidget *
narrow_line_new (const char *css_class)
{
  GtkWidget *line = dwn_line_new (NULL, css_class);

  gtk_label_set_max_width_chars (GTK_LABEL (line), 26);
  gtk_widget_set_visible (line, FALSE);
  return line;
}

GtkWidget *
dwn_antenna_sheet_form_new (DwnDocument *document)
{
  DwnAntennaSheetForm *self = g_object_new (DWN_TYPE_ANTENNA_SHEET_FORM, NULL);

  self->document = g_object_ref (document);
  dwn_antenna_sheet_form_add_band (self);
  changed_cb (self);
  return GTK_WIDGET (self);
}

static void
dwn_antenna_sheet_form_init (DwnAntennaSheetForm *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  self->plot = dwn_antenna_plot_new (PLOT_PX);
  self->figures = narrow_line_new ("figures");
  self->warnings = narrow_line_new ("dim-label");
  self->message = g_object_new (GTK_TYPE_LABEL, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, "xalign", 0.0,
                                "wrap", TRUE, "max-width-chars", 26, "visible", FALSE, NULL);
  gtk_widget_add_css_class (self->message, "fault");
  gtk_box_append (GTK_BOX (self), head_new ());
  gtk_box_append (GTK_BOX (self), page_new (self));
}
