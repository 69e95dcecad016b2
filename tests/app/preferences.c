/* What is set for all plans, and what it does: bearings, the gear of a new plan, the window; and what
 * follows from a territory where nothing is set. */
#include "app/application.h"
#include "app/preferences.h"
#include "app/settings.h"
#include "app/start-page.h"
#include "app/window.h"
#include "example.h"

static GSettings *
settings_new (void)
{
  GSettings *settings = dwn_settings_new ();

  g_assert_nonnull (settings);
  return settings;
}

/* Systems that are on air there: ITU and DVB lists of countries. */
static const struct {
  const char *territory;
  DwnSystem system;
} territories[] = {
  { "US", DWN_SYSTEM_ATSC1 },     { "KR", DWN_SYSTEM_ATSC3 },    { "JP", DWN_SYSTEM_ISDBT_JP },
  { "BR", DWN_SYSTEM_ISDBT_BR },  { "AU", DWN_SYSTEM_DVBT7 },    { "ES", DWN_SYSTEM_DVBT8 },
  { "DE", DWN_SYSTEM_DVBT2_8 },   { NULL, DWN_SYSTEM_DVBT2_8 },
};

static void
test_territories (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (territories); i++)
    g_assert_cmpint (dwn_system_of_territory (territories[i].territory), ==, territories[i].system);
}

static void
test_region (void)
{
  g_autoptr (GSettings) settings = settings_new ();

  for (int s = 0; s < DWN_N_SYSTEMS; s++)
    {
      g_settings_set_enum (settings, DWN_SETTING_REGION, s + 1);
      g_assert_cmpint (dwn_settings_system (settings), ==, s);
    }
  g_settings_reset (settings, DWN_SETTING_REGION);
}

/* By compass first: in the sentence the bearing by compass is the one that stands before the other. */
static void
test_bearings (void)
{
  DwnTables *tables;
  DwnDocument *document;
  g_autoptr (GSettings) settings = settings_new ();

  example_open (&tables, &document);
  dwn_document_use_settings (document, settings);
  for (int magnetic = 0; magnetic < 2; magnetic++)
    {
      g_settings_set_enum (settings, DWN_SETTING_BEARINGS, magnetic);
      DwnFindings findings = dwn_document_findings (document);
      g_autofree char *sentence = dwn_word_aim_sentence_plain (dwn_document_wording (document), &findings);
      g_autofree char *true_text = dwn_word_bearing (dwn_document_wording (document), findings.aim_deg[0]);
      g_autofree char *compass = dwn_word_bearing (dwn_document_wording (document),
                                                   dwn_compass_deg (findings.aim_deg[0], findings.declination_deg));
      const char *at_true = strstr (sentence, true_text), *at_compass = strstr (sentence, compass);
      g_assert_nonnull (at_true);
      g_assert_nonnull (at_compass);
      g_assert_cmpint (at_compass < at_true, ==, magnetic);
    }
  g_settings_reset (settings, DWN_SETTING_BEARINGS);
  g_object_unref (document);
  dwn_tables_unref (tables);
}

static void
test_new_plan (void)
{
  g_autoptr (GSettings) settings = settings_new ();
  g_autoptr (GError) error = NULL;
  DwnTables *tables = dwn_tables_new (&error);
  DwnDocument *document = dwn_document_new (tables);

  dwn_document_use_settings (document, settings);
  g_settings_set_string (settings, DWN_SETTING_NEW_ANTENNA, "bowtie-4-screen");
  g_settings_set_string (settings, DWN_SETTING_NEW_CABLE, "series-11");
  g_settings_set_double (settings, DWN_SETTING_NEW_LENGTH, 22.5);
  g_settings_set_int (settings, DWN_SETTING_NEW_OUTLETS, 3);
  g_settings_set_string (settings, DWN_SETTING_REGION, "dvbt2-8");
  g_assert_true (dwn_start_plan (document, "House", "52.5, 13.4", &error));
  g_assert_no_error (error);
  const DwnChain *gear = dwn_document_plan (document)->gear;
  gboolean found = FALSE;
  g_assert_cmpstr (gear->part[gear->antenna[0]].type, ==, "bowtie-4-screen");
  g_assert_cmpuint (gear->n_outlets, ==, 3);
  g_assert_cmpstr (gear->part[gear->outlet[0]].type, ==, "tuner-dvbt2");
  for (guint e = 0; e < gear->n_edges; e++)
    found |= g_strcmp0 (gear->edge[e].cable, "series-11") == 0 && gear->edge[e].length_m == 22.5;
  g_assert_true (found);
  g_assert_cmpstr (dwn_document_plan (document)->site->time_zone, !=, NULL);
  /* What is not there any more is no reason to refuse. */
  g_settings_set_string (settings, DWN_SETTING_NEW_ANTENNA, "no-such");
  g_settings_set_string (settings, DWN_SETTING_NEW_CABLE, "no-such");
  g_assert_true (dwn_start_plan (document, "House", "52.5, 13.4", &error));
  for (gsize i = 0; i < 5; i++)
    g_settings_reset (settings, (const char *[]) { DWN_SETTING_NEW_ANTENNA, DWN_SETTING_NEW_CABLE,
                                                   DWN_SETTING_NEW_LENGTH, DWN_SETTING_NEW_OUTLETS,
                                                   DWN_SETTING_REGION }[i]);
  g_object_unref (document);
  dwn_tables_unref (tables);
}

/* A window opens as large, and with the panel, that the last one was closed with. */
static void
test_window (void)
{
  g_autoptr (GSettings) settings = settings_new ();
  DwnTables *tables;
  DwnDocument *document;
  int width, height;

  example_open (&tables, &document);
  dwn_document_use_settings (document, settings);
  g_settings_set (settings, DWN_SETTING_SIZE, "(ii)", 960, 700);
  DwnWindow *window = dwn_window_new (NULL, document);
  gtk_window_get_default_size (GTK_WINDOW (window), &width, &height);
  g_assert_cmpint (width, ==, 960);
  g_assert_cmpint (height, ==, 700);
  example_present (window);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.panel", "s", "mount");
  gtk_window_close (GTK_WINDOW (window));
  example_settle ();
  g_autofree char *panel = g_settings_get_string (settings, DWN_SETTING_PANEL);
  g_assert_cmpstr (panel, ==, "mount");
  window = dwn_window_new (NULL, document);
  example_present (window);
  g_assert_cmpstr (dwn_window_panel (window), ==, "mount");
  gtk_window_destroy (GTK_WINDOW (window));
  example_settle ();
  g_settings_reset (settings, DWN_SETTING_SIZE);
  g_settings_reset (settings, DWN_SETTING_PANEL);
  g_object_unref (document);
  dwn_tables_unref (tables);
}

/* Every row has a named control, and choosing one sets it. */
static void
test_dialog (void)
{
  g_autoptr (GSettings) settings = settings_new ();
  g_autoptr (GError) error = NULL;
  DwnTables *tables = dwn_tables_new (&error);
  GtkWindow *dialog = dwn_preferences_new (NULL, settings, tables);
  static const char *const choices[] = { "Lengths", "Signal levels", "Bearings, first", "Paper", "Broadcast system",
                                         "Antenna", "Cable" };

  for (gsize i = 0; i < G_N_ELEMENTS (choices); i++)
    g_assert_nonnull (example_find (GTK_WIDGET (dialog), GTK_TYPE_DROP_DOWN, choices[i]));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (example_find (GTK_WIDGET (dialog), GTK_TYPE_DROP_DOWN, "Bearings, first")), 1);
  g_assert_true (dwn_settings_wording (settings).magnetic_first);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (example_find (GTK_WIDGET (dialog), GTK_TYPE_DROP_DOWN, "Cable")), 0);
  g_autofree char *cable = g_settings_get_string (settings, DWN_SETTING_NEW_CABLE);
  guint n;
  g_assert_cmpstr (cable, ==, dwn_part_list_cables (tables->parts, &n)[0]->id);
  gtk_window_destroy (dialog);
  g_settings_reset (settings, DWN_SETTING_BEARINGS);
  g_settings_reset (settings, DWN_SETTING_NEW_CABLE);
  dwn_tables_unref (tables);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add_func ("/app/preferences/territories", test_territories);
  g_test_add_func ("/app/preferences/region", test_region);
  g_test_add_func ("/app/preferences/bearings", test_bearings);
  g_test_add_func ("/app/preferences/new-plan", test_new_plan);
  g_test_add_func ("/app/preferences/window", test_window);
  g_test_add_func ("/app/preferences/dialog", test_dialog);
  return g_test_run ();
}
