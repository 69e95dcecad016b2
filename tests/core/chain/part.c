#include "core/chain/part.h"

#include <glib/gstdio.h>
#include <math.h>

#include "core/data/data.h"
#include "core/data/ini.h"
#include "gear.h"

/* dB per 100 ft. Series 6 at 57, 213, 473 and 700 MHz: typical of data sheets; the rest: an RF
 * integration guide for builders. The fits leave up to 2 %. */
static const struct {
  const char *name, *cable;
  double mhz, loss_db;
} cable_cases[] = {
  { "6-at-57", "series-6", 57, 1.5 },
  { "6-at-213", "series-6", 213, 3.0 },
  { "6-at-473", "series-6", 473, 4.5 },
  { "6-at-700", "series-6", 700, 5.6 },
  { "6-quad-at-473", "series-6-quad", 473, 4.5 },
  { "59-at-211", "series-59", 211, 3.6 },
  { "59-at-500", "series-59", 500, 5.5 },
  { "59-at-750", "series-59", 750, 7.0 },
  { "11-at-211", "series-11", 211, 1.8 },
  { "11-at-500", "series-11", 500, 2.85 },
  { "11-at-750", "series-11", 750, 3.6 },
};

static void
test_cable (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnPartList) list = gear_list ();
  const DwnCableType *cable = dwn_part_list_find_cable (list, cable_cases[i].cable);

  g_assert_nonnull (cable);
  g_assert_cmpfloat_with_epsilon (dwn_cable_loss_db (cable, 30.48, cable_cases[i].mhz),
                                  cable_cases[i].loss_db, 0.02 * cable_cases[i].loss_db);
}

/* Skin effect: loss goes with the root of resistivity, copper 0.393 % per kelvin: 40 K more are
 * sqrt (1 + 40 · 0.00393) = 1.0757 times the loss. The straight line used is within 0.5 %. */
static void
test_cable_temperature (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  const DwnCableType *cable = dwn_part_list_find_cable (list, "series-6");
  double cool_db = dwn_cable_loss_db (cable, 100, 600);

  g_assert_cmpfloat (dwn_cable_loss_aged_db (cable, 100, 600, 20, 0), ==, cool_db);
  g_assert_cmpfloat_with_epsilon (dwn_cable_loss_aged_db (cable, 100, 600, 60, 0) / cool_db, 1.0757,
                                  0.005);
  g_assert_cmpfloat (dwn_cable_loss_aged_db (cable, 100, 600, 20, 10), >, cool_db);
}

static void
test_cable_domain (void)
{
  static const DwnCableType cable = { .a = 0.6, .b = 0.002 };

  g_assert_cmpfloat (dwn_cable_loss_db (&cable, 0, 600), ==, 0);
  g_assert_true (isnan (dwn_cable_loss_db (&cable, -1, 600)));
  g_assert_true (isnan (dwn_cable_loss_db (&cable, 10, 0)));
  g_assert_true (isnan (dwn_cable_loss_db (&cable, (double) NAN, 600)));
  g_assert_true (isnan (dwn_cable_loss_aged_db (&cable, 10, 600, 20, -1)));
}

/* What the trade sheet's section B has of passive parts, and the standards' figures of tuners. */
static const struct {
  const char *type;
  guint in, out;
  double mhz, min_db, max_db;
} gain_cases[] = {
  { "splitter-2", 0, 1, 500, -3.5, -3.5 },
  { "splitter-3", 0, 0, 500, -3.5, -3.5 },
  { "splitter-3", 0, 2, 500, -7, -7 },
  { "splitter-3-balanced", 0, 1, 500, -6.5, -5.5 },
  { "splitter-4", 0, 3, 500, -7, -7 },
  { "splitter-6", 0, 5, 500, -9, -9 },
  { "splitter-8", 0, 7, 500, -11.5, -11.5 },
  { "tap-18", 0, 0, 500, -1, -1 },
  { "tap-28", 0, 1, 500, -28, -28 },
  { "balun", 0, 0, 500, -1, -0.5 },
  { "hybrid", 1, 0, 500, -3.5, -3.5 },
  { "diplexer-vhf-uhf", 0, 0, 195, -1, -0.5 },
  { "diplexer-vhf-uhf", 1, 0, 550, -1, -0.5 },
  { "diplexer-low-high-vhf", 0, 0, 70, -1, -0.5 },
  { "diplexer-low-high-vhf", 1, 0, 195, -1, -0.5 },
  { "ground-block", 0, 0, 500, -0.5, -0.1 },
  { "surge-block", 0, 0, 500, -0.5, -0.1 },
  { "wall-plate", 0, 0, 500, -1, -0.2 },
  { "joint", 0, 0, 500, -0.1, -0.1 },
  { "attenuator-10", 0, 0, 500, -10, -10 },
  { "mobile-filter-608", 0, 0, 605, -3, -2 }, /* the top channel, 602 to 608 MHz */
  { "mobile-filter-694", 0, 0, 690, -3, -2 }, /* 686 to 694 */
  { "mobile-filter-790", 0, 0, 786, -3, -2 }, /* 782 to 790 */
  { "mobile-filter-608", 0, 0, 500, -1, -0.1 },
  { "mobile-filter-694", 0, 0, 758, -60, -20 }, /* downlink from 758 MHz */
  { "fm-trap", 0, 0, 98, -60, -15 },
  { "mast-amp-16-3", 0, 0, 500, 16, 16 },
  { "mast-amp-25-3", 0, 0, 500, 25, 25 },
  { "mast-amp-20-2", 0, 0, 500, 20, 20 },
};

static void
test_gain (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnPartList) list = gear_list ();
  const DwnPartType *type = dwn_part_list_find (list, gain_cases[i].type);

  g_assert_nonnull (type);
  double db = dwn_response_db (&type->gain[gain_cases[i].in][gain_cases[i].out],
                               gain_cases[i].mhz);
  g_assert_cmpfloat (db, >=, gain_cases[i].min_db);
  g_assert_cmpfloat (db, <=, gain_cases[i].max_db);
}

/* Ids on which plans rely, and what every type has. */
static void
test_types (void)
{
  static const char *const id[] = {
    "tuner-atsc", "tuner-dvbt", "tuner-dvbt2", "tuner-isdbt", "tuner-two", "inserter-5",
    "inserter-12", "inserter-24", "equaliser", "former-feed", "switch-2", "channel-combiner",
  };
  g_autoptr (DwnPartList) list = gear_list ();
  guint n;
  const DwnPartType *const *type = dwn_part_list_types (list, &n);

  for (guint k = 0; k < G_N_ELEMENTS (id); k++)
    g_assert_nonnull (dwn_part_list_find (list, id[k]));
  for (guint k = 0; k < n; k++)
    {
      g_assert_true (dwn_part_list_find (list, type[k]->id) == type[k]);
      g_assert_cmpstr (type[k]->name, !=, "");
      g_assert_cmpstr (type[k]->source, !=, "");
    }
  g_assert_cmpuint (dwn_part_list_find (list, "tuner-two")->n_in, ==, 2);
  g_assert_null (dwn_part_list_find (list, "tuner"));
  g_assert_null (dwn_part_list_find_cable (list, "series-7"));
}

/* A/74 as the trade sheet has it: -83 dBm sensitivity, -5 dBm largest signal; EN 60728-1: 45 to
 * 74 dBµV for DVB-T, 39 to 74 for DVB-T2, of which dBm are 108.75 less in 75 Ω. */
static void
test_tuners (void)
{
  g_autoptr (DwnPartList) list = gear_list ();
  const DwnPartType *atsc = dwn_part_list_find (list, "tuner-atsc");

  g_assert_cmpfloat (atsc->sensitivity_dbm, ==, -83);
  g_assert_cmpfloat (atsc->max_input_dbm, ==, -5);
  g_assert_cmpfloat (dwn_part_list_find (list, "tuner-dvbt")->level_min_dbm, ==, 45 - 108.75);
  g_assert_cmpfloat (dwn_part_list_find (list, "tuner-dvbt2")->level_min_dbm, ==, 39 - 108.75);
  g_assert_cmpfloat (dwn_part_list_find (list, "tuner-dvbt2")->level_max_dbm, ==, 74 - 108.75);
}

static void
test_kinds (void)
{
  DwnPartKind kind;

  for (guint k = 0; k < DWN_N_PART_KINDS; k++)
    {
      g_assert_true (dwn_part_kind_from_id (dwn_part_kind_id ((DwnPartKind) k), &kind));
      g_assert_cmpuint (kind, ==, k);
    }
  g_assert_false (dwn_part_kind_from_id ("amp", &kind));
}

/* Linear between nodes, constant beyond, exact at them. */
static void
test_response (void)
{
  static const double mhz[] = { 100, 200, 400 }, db[] = { -1, -3, -7 };
  static const DwnResponse response = { 3, mhz, db }, none = { 0 };

  g_assert_cmpfloat (dwn_response_db (&response, 10), ==, -1);
  g_assert_cmpfloat (dwn_response_db (&response, 200), ==, -3);
  g_assert_cmpfloat (dwn_response_db (&response, 150), ==, -2);
  g_assert_cmpfloat (dwn_response_db (&response, 300), ==, -5);
  g_assert_cmpfloat (dwn_response_db (&response, 4000), ==, -7);
  g_assert_true (isnan (dwn_response_db (&response, (double) NAN)));
  g_assert_cmpfloat (dwn_response_db (&none, 500), ==, 0);
}

#define AMP "kind=amplifier\nname=A\nsource=t\n"
#define PAD "kind=attenuator\nname=A\nsource=t\n"

/* Where a message has to point, and one word of what it says. */
static const struct {
  const char *name, *text, *begins, *says;
} broken_cases[] = {
  { "empty", "", "parts.ini:1:", "[part splitter-2]" },
  { "binary", "\x01\x02\x7f\xff\xfe", "parts.ini:1:", "UTF-8" },
  { "unknown-group", "[parts a]\n", "parts.ini:1: [parts a]", "[part ID]" },
  { "bad-id", "[part A b]\n" PAD "gain=0\n", "parts.ini:1: [part A b]", "a to z" },
  { "no-name", "[part a]\nkind=joint\ngain=0\n", "parts.ini:1: [part a]", "name" },
  { "no-kind", "[part a]\nname=A\nsource=t\n", "parts.ini:1: [part a]", "kind" },
  { "unknown-kind", "[part a]\nname=A\nsource=t\nkind=amp\n", "parts.ini:4: [part a] kind",
    "kind" },
  { "antenna", "[part a]\nname=A\nsource=t\nkind=antenna\n", "parts.ini:4: [part a] kind", "kind" },
  { "slip-in-key", "[part a]\n" PAD "gain=0\ngian=3\n", "parts.ini:6: [part a] gian", "key" },
  { "no-gain", "[part a]\n" PAD, "parts.ini:1: [part a]", "gain" },
  { "gain-not-number", "[part a]\n" PAD "gain=3dB\n", "parts.ini:5: [part a] gain", "3dB" },
  { "gain-comma-decimal", "[part a]\n" PAD "gain=-3,5\n", "parts.ini:5: [part a] gain", "MHz:dB" },
  { "gain-nan", "[part a]\n" PAD "gain=nan\n", "parts.ini:5: [part a] gain", "nan" },
  { "gain-huge", "[part a]\n" PAD "gain=-1e308\n", "parts.ini:5: [part a] gain", "-150" },
  { "gain-falls", "[part a]\n" PAD "gain=200:-1, 100:-2\n", "parts.ini:5: [part a] gain", "rise" },
  { "gain-of-pad", "[part a]\n" PAD "gain=3\n", "parts.ini:1: [part a]", "more power" },
  { "no-such-port", "[part a]\n" PAD "gain=0\ngain-in-2=0\n", "parts.ini:6: [part a] gain-in-2",
    "key" },
  { "splitter-gives", "[part a]\nkind=splitter\nname=A\nsource=t\noutputs=2\ngain=-2\n",
    "parts.ini:1: [part a]", "more power" },
  { "splitter-one", "[part a]\nkind=splitter\nname=A\nsource=t\ngain=-2\n",
    "parts.ini:1: [part a]", "outputs" },
  { "ports-many", "[part a]\nkind=splitter\nname=A\nsource=t\noutputs=9\ngain=-20\n",
    "parts.ini:5: [part a] outputs", "8" },
  { "ports-fraction", "[part a]\nkind=splitter\nname=A\nsource=t\noutputs=2.5\ngain=-20\n",
    "parts.ini:1: [part a]", "whole" },
  { "amp-no-noise", "[part a]\n" AMP "gain=10\nunpowered-loss-db=20\n", "parts.ini:1: [part a]",
    "noise-figure" },
  { "amp-noise-below-0", "[part a]\n" AMP "gain=10\nnoise-figure=-1\nunpowered-loss-db=20\n",
    "parts.ini:6: [part a] noise-figure", "0 dB" },
  { "amp-no-unpowered", "[part a]\n" AMP "gain=10\nnoise-figure=3\n", "parts.ini:1: [part a]",
    "unpowered-loss-db" },
  { "dc-word", "[part a]\n" PAD "gain=0\ndc-in=yes\n", "parts.ini:6: [part a] dc-in", "inject" },
  { "dc-count", "[part a]\n" PAD "gain=0\ndc-out=pass, pass\n", "parts.ini:6: [part a] dc-out",
    "each" },
  { "dc-no-volts", "[part a]\nkind=inserter\nname=A\nsource=t\ngain=0\ndc-in=inject\n",
    "parts.ini:1: [part a]", "volts" },
  { "range-swapped", "[part a]\n" PAD "gain=0\nrange-db=3, 1\n", "parts.ini:6: [part a] range-db",
    "smaller" },
  { "hybrid-word", "[part a]\n" PAD "gain=0\nhybrid=yes\n", "parts.ini:6: [part a] hybrid",
    "true" },
  { "cable-no-b", "[cable a]\nname=A\nsource=t\na=0.6\n", "parts.ini:1: [cable a]", "b" },
  { "cable-negative", "[cable a]\nname=A\nsource=t\na=-0.6\nb=0\n", "parts.ini:4: [cable a] a",
    "outside" },
  { "cable-key", "[cable a]\nname=A\nsource=t\na=0.6\nb=0\ngain=3\n", "parts.ini:6: [cable a] gain",
    "key" },
  { "filter-no-stop", "[part a]\nkind=combiner\nname=A\nsource=t\ninputs=2\ngain=-1\nedge-mhz=9\n",
    "parts.ini:1: [part a]", "stop-db" },
  { "second-group", "[part a]\n" PAD "gain=0\n[part a]\n", "parts.ini:6:", "line 1" },
};

static void
test_broken (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_static (broken_cases[i].text,
                                                 strlen (broken_cases[i].text));

  g_assert_null (dwn_part_list_new_from_bytes (bytes, "parts.ini", &error));
  g_assert_nonnull (error);
  g_assert_true (error->domain == DWN_INI_ERROR);
  g_assert_true (g_str_has_prefix (error->message, broken_cases[i].begins));
  g_assert_nonnull (strstr (error->message, broken_cases[i].says));
}

static void
test_too_large (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_take (g_malloc0 (2 << 20), 2 << 20);

  g_assert_null (dwn_part_list_new_from_bytes (bytes, "parts.ini", &error));
  g_assert_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX);
}

/* What a text editor elsewhere leaves behind is read like any other file. */
static void
test_foreign_editor (void)
{
  g_autoptr (DwnPartList) list = gear_list_of_text (
    "\xef\xbb\xbf# mine\r\n\r\n[part pad]\r\nkind = attenuator\r\nname = Dämpfung\r\n"
    "source = Zettel\r\ngain = 54 : -3 , 800 : -4\r\n");
  const DwnPartType *pad = dwn_part_list_find (list, "pad");

  g_assert_cmpstr (pad->name, ==, "Dämpfung");
  g_assert_cmpfloat (dwn_response_db (&pad->gain[0][0], 427), ==, -3.5);
  g_assert_true (isnan (pad->price));
}

/* The user's own file stands in place of the program's, and errors name its path. */
static void
test_override (void)
{
  g_autofree char *path = dwn_data_override_path ("chain/parts.ini");
  g_autofree char *folder = g_path_get_dirname (path);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (g_mkdir_with_parents (folder, 0700), ==, 0);
  g_assert_true (g_file_set_contents (path, "[part mine]\n" PAD "gain=-2\n", -1, NULL));
  g_autoptr (DwnPartList) list = gear_list ();
  g_assert_nonnull (dwn_part_list_find (list, "mine"));
  g_assert_null (dwn_part_list_find (list, "splitter-2"));

  g_assert_true (g_file_set_contents (path, "[part mine]\n" PAD "gain=2\n", -1, NULL));
  g_assert_null (dwn_part_list_new (&error));
  g_assert_true (g_str_has_prefix (error->message, path));
  g_assert_cmpint (g_unlink (path), ==, 0);
}

/* Other tests run beside this one and must not see its override; G_TEST_OPTION_ISOLATE_DIRS would
 * do, but leaks under the sanitizers. */
static char *
own_data_folder (void)
{
  char *folder = g_dir_make_tmp ("downlead-part-XXXXXX", NULL);

  g_assert_nonnull (folder);
  g_assert_true (g_setenv ("XDG_DATA_HOME", folder, TRUE));
  return folder;
}

static void
remove_folder (const char *folder)
{
  static const char *const inner[] = { "downlead/data/chain", "downlead/data", "downlead", "" };

  for (guint k = 0; k < G_N_ELEMENTS (inner); k++)
    {
      g_autofree char *path = g_build_filename (folder, inner[k], NULL);
      g_rmdir (path); /* not there where only some of the tests ran */
    }
}

#define ADD_ROWS(cases, prefix, member, test)                               \
  for (gsize k = 0; k < G_N_ELEMENTS (cases); k++)                          \
    {                                                                       \
      g_autofree char *path = g_strdup_printf (prefix "%s-%" G_GSIZE_FORMAT, \
                                               cases[k].member, k);         \
      g_test_add_data_func (path, GSIZE_TO_POINTER (k), test);              \
    }

int
main (int argc, char **argv)
{
  g_autofree char *folder = own_data_folder ();

  g_test_init (&argc, &argv, NULL);
  ADD_ROWS (cable_cases, "/part/cable/", name, test_cable);
  ADD_ROWS (gain_cases, "/part/gain/", type, test_gain);
  ADD_ROWS (broken_cases, "/part/broken/", name, test_broken);
  g_test_add_func ("/part/cable-temperature", test_cable_temperature);
  g_test_add_func ("/part/cable-domain", test_cable_domain);
  g_test_add_func ("/part/types", test_types);
  g_test_add_func ("/part/tuners", test_tuners);
  g_test_add_func ("/part/kinds", test_kinds);
  g_test_add_func ("/part/response", test_response);
  g_test_add_func ("/part/too-large", test_too_large);
  g_test_add_func ("/part/foreign-editor", test_foreign_editor);
  g_test_add_func ("/part/override", test_override);

  int status = g_test_run ();
  if (status == 0)
    remove_folder (folder);
  return status;
}
