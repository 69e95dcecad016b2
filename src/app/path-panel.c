#include "app/path-panel.h"

#include <glib/gi18n.h>

#include "app/form.h"
#include "app/drawing.h"
#include "app/explainer.h"
#include "app/remedy-list.h"
#include "draw/plan-explain.h"
#include "draw/raise-curve.h"
#include "words/diagnosis-words.h"
#include "words/path-words.h"
#include "words/place-words.h"

#define PATH_SHARE 0.42
#define STAIRS_SHARE 0.62
#define LEAST_PATH 240
#define LEAST_STAIRS 420 /* names stand in two rows where a column is narrow */
#define RAISE_SHARE 0.28
#define LEAST_RAISE 150
#define MOST_REMEDIES 12

struct _DwnPathPanel {
  GtkBox parent_instance;

  DwnDocument *document;
  DwnExplainer *explainer; /* the document's */
  GtkWidget *title, *reason, *none, *body, *path, *no_profile, *stairs, *raise, *raised, *model;
};

G_DEFINE_FINAL_TYPE (DwnPathPanel, dwn_path_panel, GTK_TYPE_BOX)

static DwnScene *
draw_path (gpointer data, const DwnLook *look, PangoContext *text, double width, double height)
{
  DwnPathPanel *self = data;
  DwnPlanView view = dwn_document_view (self->document);
  g_autoptr (DwnPlanPath) path = view.station >= 0 ? dwn_plan_path_new (&view) : NULL;

  return path != NULL ? dwn_path_layout (&path->data, look, text, width, height) : NULL;
}

/* The remedies have a list of their own below, where they can be tried. */
static DwnScene *
draw_stairs (gpointer data, const DwnLook *look, PangoContext *text, double width, double height)
{
  DwnPathPanel *self = data;
  DwnPlanView view = dwn_document_view (self->document);
  const DwnDiagnosis *diagnosis = dwn_explainer_diagnosis (self->explainer);
  g_autoptr (DwnPlanStaircase) stairs = diagnosis != NULL ? dwn_plan_staircase_new (&view, diagnosis, NULL, 0)
                                                          : NULL;

  if (stairs == NULL)
    return NULL;
  stairs->data.title = stairs->data.intro = NULL;
  return dwn_staircase_layout (&stairs->data, look, text, width, height);
}

static DwnScene *
draw_raise (gpointer data, const DwnLook *look, PangoContext *text, double width, double height)
{
  DwnPathPanel *self = data;
  const DwnRaise *raise = dwn_explainer_raise (self->explainer);
  int station = dwn_document_selected (self->document);
  double base_m = dwn_document_plan (self->document)->site->height_m;

  if (raise == NULL || station < 0 || raise->n < 2)
    return NULL;
  g_autofree double *height_m = g_new (double, raise->n), *margin_db = g_new (double, raise->n);
  for (guint k = 0; k < raise->n; k++)
    {
      height_m[k] = base_m + raise->rise_m[k];
      margin_db[k] = raise->view[k * raise->n_stations + (guint) station].margin_db;
    }
  const DwnRaiseCurve curve = { raise->n, height_m, margin_db, _("m"), _("needed"), _("Margin, dB, by height of the antenna") };
  return dwn_raise_curve_layout (&curve, look, text, width, height);
}

/* How the level was predicted, and what a higher mast would do to it. */
static void
show_raise (DwnPathPanel *self, guint station)
{
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);
  const DwnRaise *raise = dwn_explainer_raise (self->explainer);
  g_autofree char *model = dwn_word_prediction (wording, findings.plan, findings.fields, station);
  g_autofree char *raised = raise != NULL ? dwn_word_raise (wording, raise, station) : g_strdup ("");

  gtk_label_set_text (GTK_LABEL (self->model), model);
  gtk_label_set_text (GTK_LABEL (self->raised), raised);
  gtk_widget_set_visible (self->raise, raise != NULL);
  dwn_drawing_refresh (DWN_DRAWING (self->raise), raised);
}

static gboolean
has_profile (DwnPathPanel *self)
{
  DwnFindings findings = dwn_document_findings (self->document);
  int station = dwn_document_selected (self->document);

  return station >= 0 && findings.fields->arrival[station].profile != NULL;
}

static void
show (DwnPathPanel *self)
{
  const DwnDiagnosis *diagnosis = dwn_explainer_diagnosis (self->explainer);

  gtk_widget_set_visible (self->none, diagnosis == NULL);
  gtk_widget_set_visible (self->body, diagnosis != NULL);
  if (diagnosis == NULL)
    return;
  const DwnWording *wording = dwn_document_wording (self->document);
  DwnFindings findings = dwn_document_findings (self->document);
  DwnPlanView view = dwn_document_view (self->document);
  g_autofree char *title = dwn_word_explain_title (&view, diagnosis);
  g_autofree char *reason = dwn_word_diagnosis (wording, &findings, diagnosis);
  g_autofree char *way = dwn_word_way (wording, &findings.fields->arrival[diagnosis->station]);
  g_autofree char *outcome = dwn_word_outcome (wording, diagnosis);
  gboolean profile = has_profile (self);

  gtk_label_set_text (GTK_LABEL (self->title), title);
  gtk_label_set_text (GTK_LABEL (self->reason), reason);
  gtk_widget_set_visible (self->path, profile);
  gtk_widget_set_visible (self->no_profile, !profile);
  dwn_drawing_refresh (DWN_DRAWING (self->path), way);
  dwn_drawing_refresh (DWN_DRAWING (self->stairs), outcome);
  show_raise (self, diagnosis->station);
}

static void
dwn_path_panel_dispose (GObject *object)
{
  g_clear_object (&DWN_PATH_PANEL (object)->document);
  G_OBJECT_CLASS (dwn_path_panel_parent_class)->dispose (object);
}

static void
dwn_path_panel_class_init (DwnPathPanelClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = dwn_path_panel_dispose;
}

static void
dwn_path_panel_init (DwnPathPanel *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
}

static GtkWidget *
page_button_new (void)
{
  GtkWidget *button = dwn_button_new (_("Page for the _customer…"), "win.preview");

  gtk_actionable_set_action_target (GTK_ACTIONABLE (button), "s", "customer");
  gtk_widget_set_halign (button, GTK_ALIGN_START);
  return button;
}

static GtkWidget *
body_new (DwnPathPanel *self)
{
  self->title = dwn_line_new ("", "title");
  self->reason = dwn_line_new ("", NULL);
  self->path = dwn_drawing_new (_("The ground between transmitter and house"), PATH_SHARE, LEAST_PATH, draw_path, self);
  self->no_profile = dwn_line_new (_("There is no ground profile for this station. With elevation tiles, Site draws one."),
                                "dim-label");
  self->stairs = dwn_drawing_new (_("From the transmitter's power to the outlet"), STAIRS_SHARE, LEAST_STAIRS,
                                  draw_stairs, self);
  self->raise = dwn_drawing_new (_("Margin by height of the antenna"), RAISE_SHARE, LEAST_RAISE, draw_raise, self);
  self->raised = dwn_line_new ("", NULL);
  self->model = dwn_line_new ("", "small-print");
  GtkWidget *const children[] = {
    self->title, self->reason, self->path, self->no_profile, self->model, self->stairs,
    dwn_line_new (_("A higher mast"), "heading"), self->raised, self->raise,
    dwn_line_new (_("What would help, best for its effort first"), "heading"),
    dwn_remedy_list_new (self->document, MOST_REMEDIES), page_button_new (),
  };
  return dwn_panel_body_new (G_N_ELEMENTS (children), children);
}

GtkWidget *
dwn_path_panel_new (DwnDocument *document)
{
  DwnPathPanel *self = g_object_new (DWN_TYPE_PATH_PANEL, NULL);

  self->document = g_object_ref (document);
  self->explainer = dwn_explainer_of (document);
  self->none = dwn_line_new (_("Choose a station in the rose or the list to see its way."), "dim-label");
  gtk_widget_add_css_class (self->none, "panel-body");
  self->body = body_new (self);
  gtk_box_append (GTK_BOX (self), self->none);
  gtk_box_append (GTK_BOX (self), self->body);
  g_signal_connect_object (self->explainer, "explained", G_CALLBACK (show), self, G_CONNECT_SWAPPED);
  show (self);
  return GTK_WIDGET (self);
}
