#include "core/radio/system.h"

#include <math.h>
#include <string.h>

#include "core/data/ini.h"
#include "../../common/edges.h"

/* ATSC: FCC 97-115 (15.19 dB measured), 17.2 dB blocked is common practice without a source.
 * DVB-T 64-QAM 2/3: EN 300 744, later editions. DVB-T2: ITU-R BT.2033-2 table 2. ISDB-T: ARIB
 * STD-B31. DVB-T 16-QAM 2/3: EN 300 744 v1.6.1, from memory. */
static const struct {
  DwnSystem system;
  const char *mode;
  DwnPathClass path;
  double needed_cn_db;
} needed[] = {
  { DWN_SYSTEM_ATSC1, NULL, DWN_PATH_CLEAR, 15.2 },
  { DWN_SYSTEM_ATSC1, "8vsb", DWN_PATH_GRAZING, 15.2 },
  { DWN_SYSTEM_ATSC1, "", DWN_PATH_UNKNOWN, 15.2 },
  { DWN_SYSTEM_ATSC1, NULL, DWN_PATH_BLOCKED, 17.2 },
  { DWN_SYSTEM_DVBT8, "64qam-2/3", DWN_PATH_CLEAR, 17.3 },
  { DWN_SYSTEM_DVBT8, NULL, DWN_PATH_BLOCKED, 20.3 },
  { DWN_SYSTEM_DVBT7, "16qam-2/3", DWN_PATH_BLOCKED, 15.3 },
  { DWN_SYSTEM_DVBT2_8, "256qam-2/3", DWN_PATH_CLEAR, 20.0 },
  { DWN_SYSTEM_DVBT2_8, NULL, DWN_PATH_BLOCKED, 22.1 },
  { DWN_SYSTEM_DVBT2_7, "64qam-2/3", DWN_PATH_UNKNOWN, 15.4 },
  { DWN_SYSTEM_DVBT2_8, "256qam-3/4 gi=28", DWN_PATH_BLOCKED, 24.6 },
  { DWN_SYSTEM_ISDBT_JP, "64qam-3/4", DWN_PATH_CLEAR, 20.1 },
  { DWN_SYSTEM_ISDBT_BR, "16qam-2/3", DWN_PATH_BLOCKED, 13.5 },
  { DWN_SYSTEM_ISDBT_BR, "qpsk-2/3", DWN_PATH_BLOCKED, 6.6 },
};

/* A/74:2010 (from memory) at its weak, moderate and strong levels, where OET-69 table 5A does not
 * ask for more (lower -28, upper -26 beside the channel). */
static const struct {
  int offset;
  double wanted_dbm, ratio_db;
} protections[] = {
  { 0, -68, 15.5 },   { 1, -68, -26 },   { -1, -68, -28 },  { 1, -28, -20 },   { -1, -10, -20 },
  { 2, -68, -44 },    { -2, -53, -40 },  { 2, -28, -20 },   { 2, -60.5, -42 }, { 3, -80, -48 },
  { -4, -68, -52 },   { 5, -68, -56 },   { 5, -53, -42 },   { 6, -68, -57 },   { -13, -53, -45 },
  { 14, -68, -50 },   { -15, -53, -45 },
};

static DwnSystemTable *
load_table (void)
{
  g_autoptr (GError) error = NULL;
  DwnSystemTable *table = dwn_system_table_new (&error);

  g_assert_no_error (error);
  g_assert_nonnull (table);
  return table;
}

static void
test_needed (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_cmpfloat_with_epsilon (dwn_system_needed_cn_db (table, needed[i].system,
                                                           needed[i].mode, needed[i].path),
                                  needed[i].needed_cn_db, 1e-9);
}

static void
test_protection (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_cmpfloat_with_epsilon (
    dwn_system_protection_db (table, DWN_SYSTEM_ATSC1, DWN_SYSTEM_ATSC3, protections[i].offset,
                              protections[i].wanted_dbm),
    protections[i].ratio_db, 1e-9);
}

static void
test_no_protection (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_true (isnan (dwn_system_protection_db (table, DWN_SYSTEM_ATSC1, DWN_SYSTEM_ATSC1, 16,
                                                  -60)));
  g_assert_true (isnan (dwn_system_protection_db (table, DWN_SYSTEM_ATSC1, DWN_SYSTEM_DVBT8, 1,
                                                  -60)));
  g_assert_cmpfloat (dwn_system_interference_share (table, DWN_SYSTEM_ATSC1, DWN_SYSTEM_ATSC1,
                                                    16, -60), ==, 0);
}

/* OET-69 (2004): a station on the same channel may be 15 dB weaker where the wanted one stands
 * 28 dB over the noise, and has to be 23 dB weaker at 16 dB. Adding its power to the noise gives
 * these within a few tenths. */
static void
test_cochannel_adds_like_noise (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();
  double needed_cn = pow (10, dwn_system_needed_cn_db (table, DWN_SYSTEM_ATSC1, NULL,
                                                       DWN_PATH_CLEAR) / 10);
  double share = dwn_system_interference_share (table, DWN_SYSTEM_ATSC1, DWN_SYSTEM_ATSC1, 0, -60);
  double room_at_28_db = 1 / needed_cn - pow (10, -2.8);
  double room_at_16_db = 1 / needed_cn - pow (10, -1.6);

  g_assert_cmpfloat_with_epsilon (-10 * log10 (room_at_28_db / share), 15, 0.5);
  g_assert_cmpfloat_with_epsilon (-10 * log10 (room_at_16_db / share), 23, 0.2);
}

/* ITU-R BT.1368 (from memory): a neighbour in DVB-T may be 30 dB stronger, one on the channel has
 * to be 20 dB weaker: it counts by 50 dB less. */
static void
test_neighbour_share (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_cmpfloat_with_epsilon (
    10 * log10 (dwn_system_interference_share (table, DWN_SYSTEM_DVBT8, DWN_SYSTEM_DVBT2_8, -1,
                                               -60)),
    -50, 1e-9);
}

/* FCC 97-115 (6 MHz), EN 300 744 (7.61 and 6.66 MHz), ARIB STD-B31 (5.57 MHz). */
static void
test_bandwidth (void)
{
  static const double expected_mhz[DWN_N_SYSTEMS] = { 6, 6, 6.66, 7.61, 6.66, 7.61, 5.57, 5.57 };
  g_autoptr (DwnSystemTable) table = load_table ();

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    g_assert_cmpfloat_with_epsilon (dwn_system_bandwidth_hz (table, (DwnSystem) i) / 1e6,
                                    expected_mhz[i], 1e-9);
}

/* A/74:2010: -83 to -5 dBm, several at -8; EN 60728-1: 45, 39 and 36 to 74 dBuV in 75 ohms, which
 * are 108.75 dB less in dBm. */
static void
test_level_window (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();
  DwnLevelWindow atsc = dwn_system_level_window (table, DWN_SYSTEM_ATSC1, NULL);
  DwnLevelWindow dvbt = dwn_system_level_window (table, DWN_SYSTEM_DVBT8, "64qam-2/3");
  DwnLevelWindow weak = dwn_system_level_window (table, DWN_SYSTEM_DVBT8, "16qam-2/3");
  DwnLevelWindow dvbt2 = dwn_system_level_window (table, DWN_SYSTEM_DVBT2_8, "64qam-2/3");

  g_assert_cmpfloat (atsc.min_dbm, ==, -83);
  g_assert_cmpfloat (atsc.max_dbm, ==, -5);
  g_assert_cmpfloat (atsc.several_max_dbm, ==, -8);
  g_assert_cmpfloat_with_epsilon (dvbt.min_dbm, 45 - 108.75, 1e-9);
  g_assert_cmpfloat_with_epsilon (weak.min_dbm, 36 - 108.75, 1e-9);
  g_assert_cmpfloat_with_epsilon (dvbt2.min_dbm, 39 - 108.75, 1e-9);
  g_assert_cmpfloat_with_epsilon (dvbt2.max_dbm, 74 - 108.75, 1e-9);
}

/* Guard intervals as fractions of the useful symbol: EN 300 744 8k, EN 302 755 32k (448 us),
 * ARIB STD-B31 mode 3. */
static void
test_guard (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_cmpfloat (dwn_system_guard_us (table, DWN_SYSTEM_DVBT8, NULL), ==, 896.0 / 4);
  g_assert_cmpfloat (dwn_system_guard_us (table, DWN_SYSTEM_DVBT2_8, NULL), ==, 3584.0 / 8);
  g_assert_cmpfloat (dwn_system_guard_us (table, DWN_SYSTEM_ISDBT_JP, NULL), ==, 1008.0 / 8);
  g_assert_cmpfloat (dwn_system_guard_us (table, DWN_SYSTEM_DVBT8, "64qam-3/4 gi=28"), ==, 28);
  g_assert_cmpfloat (dwn_system_guard_us (table, DWN_SYSTEM_DVBT8, " gi=7"), ==, 7);
}

static void
test_modes (void)
{
  static const char *const bad[] = { "8vsb2", "64qam", "64qam-2/3 ", "64qam-2/3 gi=", "256qam-2/3",
                                     "64qam-2/3 gi=x", "64qam-2/3 gi=-1", "64qam-2/3 gi=nan",
                                     "64qam-2/3 28" };
  g_autoptr (DwnSystemTable) table = load_table ();

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    {
      gsize n;
      const DwnMode *modes = dwn_system_modes (table, (DwnSystem) i, &n);

      g_assert_cmpuint (n, >, 0);
      for (gsize k = 0; k < n; k++)
        {
          g_assert_true (dwn_system_mode (table, (DwnSystem) i, modes[k].id) == &modes[k]);
          g_assert_cmpstr (modes[k].source, !=, "");
          g_assert_false (modes[k].rice_db < modes[k].gauss_db);
          g_assert_false (modes[k].rayleigh_db < modes[k].rice_db);
        }
    }
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_assert_null (dwn_system_mode (table, DWN_SYSTEM_DVBT8, bad[i]));
      g_assert_true (isnan (dwn_system_needed_cn_db (table, DWN_SYSTEM_DVBT8, bad[i],
                                                     DWN_PATH_CLEAR)));
      g_assert_true (isnan (dwn_system_guard_us (table, DWN_SYSTEM_DVBT8, bad[i])));
      g_assert_true (isnan (dwn_system_level_window (table, DWN_SYSTEM_DVBT8, bad[i]).min_dbm));
    }
}

/* What is quoted from memory says so. */
static void
test_marks (void)
{
  g_autoptr (DwnSystemTable) table = load_table ();

  g_assert_false (dwn_system_mode (table, DWN_SYSTEM_ATSC1, "8vsb")->from_memory);
  g_assert_true (dwn_system_mode (table, DWN_SYSTEM_ATSC3, NULL)->from_memory);
  g_assert_true (dwn_system_mode (table, DWN_SYSTEM_DVBT8, "qpsk-1/2")->from_memory);
  g_assert_false (dwn_system_mode (table, DWN_SYSTEM_DVBT2_8, NULL)->from_memory);
}

#define SYSTEM_HEAD "bandwidth-mhz=6\nmax-dbm=-5\nseveral-max-dbm=-8\nguard-us=0\nsource=x\n"
#define RATIO "[ratio a]\nwanted=atsc1\nundesired=atsc1\n"

static const struct {
  const char *name, *text, *message;
} broken[] = {
  { "empty", "", "own.ini: there is no group [atsc1]" },
  { "unknown-system", "[pal]\n", "own.ini:1: [pal]: neither \"ratio NAME\" nor a system" },
  { "no-bandwidth", "[atsc1]\nmode=8vsb\n", "own.ini:1: [atsc1] has no bandwidth-mhz" },
  { "no-ordinary", "[atsc1]\nmode=8vsb\n" SYSTEM_HEAD,
    "own.ini:2: [atsc1] mode: there is no group [atsc1 8vsb]" },
  { "needed", "[atsc1 8vsb]\nsource=x\ngauss=1e308\n",
    "own.ini:3: [atsc1 8vsb] gauss: 1e+308 is outside -20 to 60" },
  { "flag", "[atsc1 8vsb]\nsource=x\ngauss=15\nmin-dbm=-83\nfrom-memory=yes\n",
    "own.ini:5: [atsc1 8vsb] from-memory: \"yes\" is neither" },
  { "others-missing", "[atsc1]\nmode=8vsb\n" SYSTEM_HEAD
    "[atsc1 8vsb]\nsource=x\ngauss=15\nmin-dbm=-83\n", "own.ini: there is no group [atsc3]" },
  { "ratio-system", "[ratio a]\nwanted=atsc1, pal\n",
    "own.ini:2: [ratio a] wanted: there is no broadcast system \"pal\"" },
  { "half-channel", RATIO "offsets=0.5\nat-dbm=-60\nratio=1\nsource=x\n",
    "own.ini:4: [ratio a] offsets: 0.5 is not a whole number" },
  { "falling-levels", RATIO "offsets=1\nat-dbm=-60,-60\nratio=1,2\nsource=x\n",
    "own.ini:5: [ratio a] at-dbm: the levels have to rise" },
  { "ratio-count", RATIO "offsets=1\nat-dbm=-60,-50\nratio=1\nsource=x\n",
    "own.ini:6: [ratio a] ratio: there have to be 2 ratios" },
};

static void
test_broken (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (GBytes) bytes = g_bytes_new_static (broken[i].text, strlen (broken[i].text));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_system_table_new_from_bytes (bytes, "own.ini", &error));
  g_assert_nonnull (error);
  g_assert_true (error->domain == DWN_INI_ERROR);
  if (!g_str_has_prefix (error->message, broken[i].message))
    g_error ("\"%s\" does not begin with \"%s\"", error->message, broken[i].message);
}

static gboolean
read_file (GBytes *bytes, GError **error)
{
  g_autoptr (DwnSystemTable) table = dwn_system_table_new_from_bytes (bytes, "systems.ini", error);

  return table != NULL;
}

/* What people may write into a file of their own. */
static void
test_edges (void)
{
  static const FileEdges edges[] = {
    { "atsc1", "bandwidth-mhz", 0.1, 20 }, { "atsc1", "max-dbm", -60, 30 },
    { "atsc1", "several-max-dbm", -60, 30 }, { "atsc1", "guard-us", 0, 10000 },
    { "atsc1 8vsb", "gauss", -20, 60 }, { "atsc1 8vsb", "rice", -20, 60 },
    { "atsc1 8vsb", "rayleigh", -20, 60 }, { "atsc1 8vsb", "min-dbm", -130, 0 },
    { "ratio atsc-0", "offsets", -100, 100 }, { "ratio atsc-0", "at-dbm", -130, 30 },
    { "ratio atsc-0", "ratio", -100, 60 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_file ("radio/systems.ini", read_file, &edges[i]);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (needed); i++)
    {
      g_autofree char *path = g_strdup_printf ("/system/needed/%02zu-%s", i,
                                               dwn_system_id (needed[i].system));
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_needed);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (protections); i++)
    {
      g_autofree char *path = g_strdup_printf ("/system/protection/%d-at-%g",
                                               protections[i].offset, protections[i].wanted_dbm);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_protection);
    }
  g_test_add_func ("/system/no-protection", test_no_protection);
  g_test_add_func ("/system/cochannel-adds-like-noise", test_cochannel_adds_like_noise);
  g_test_add_func ("/system/neighbour-share", test_neighbour_share);
  g_test_add_func ("/system/bandwidth", test_bandwidth);
  g_test_add_func ("/system/level-window", test_level_window);
  g_test_add_func ("/system/guard", test_guard);
  g_test_add_func ("/system/modes", test_modes);
  g_test_add_func ("/system/marks", test_marks);
  for (gsize i = 0; i < G_N_ELEMENTS (broken); i++)
    {
      g_autofree char *path = g_strdup_printf ("/system/broken/%s", broken[i].name);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_broken);
    }

  g_test_add_func ("/system/edges", test_edges);
  return g_test_run ();
}
