#include "core/radio/channel.h"

#include <math.h>
#include <string.h>

/* Edges of US channels: 47 CFR 73.603 (a); centres follow. The other plans: centre formulas as
 * the plans publish them (GE06 for 8 MHz, the Australian block list, ARIB STD-B31, ABNT NBR 15601),
 * from memory except for Japan's channel 13. */
static const struct {
  const char *system, *rf;
  double low_mhz, centre_mhz, high_mhz;
  const char *band;
} known_channels[] = {
  { "atsc1", "2", 54, 57, 60, "low-vhf" },
  { "atsc1", "4", 66, 69, 72, "low-vhf" },
  { "atsc1", "5", 76, 79, 82, "low-vhf" },
  { "atsc1", "6", 82, 85, 88, "low-vhf" },
  { "atsc1", "7", 174, 177, 180, "high-vhf" },
  { "atsc1", "13", 210, 213, 216, "high-vhf" },
  { "atsc1", "14", 470, 473, 476, "uhf" },
  { "atsc3", "36", 602, 605, 608, "uhf" },
  { "atsc3", "37", 608, 611, 614, "uhf" },
  { "atsc1", "51", 692, 695, 698, "uhf" },
  { "atsc1", "69", 800, 803, 806, "uhf" },
  { "dvbt8", "21", 470, 474, 478, "uhf" },
  { "dvbt2-8", "48", 686, 690, 694, "uhf" },
  { "dvbt8", "60", 782, 786, 790, "uhf" },
  { "dvbt7", "5", 174, 177.5, 181, "high-vhf" },
  { "dvbt2-7", "9", 202, 205.5, 209, "high-vhf" },
  { "dvbt7", "9A", 202, 205.5, 209, "high-vhf" },
  { "dvbt7", "AU6", 174, 177.5, 181, "high-vhf" },
  { "dvbt7", "AU9", 195, 198.5, 202, "high-vhf" },
  { "dvbt7", "12", 223, 226.5, 230, "high-vhf" },
  { "dvbt7", "28", 526, 529.5, 533, "uhf" },
  { "dvbt2-7", "51", 687, 690.5, 694, "uhf" },
  { "isdbt-jp", "13", 470, 473 + 1.0 / 7, 476, "uhf" },
  { "isdbt-jp", "62", 764, 767 + 1.0 / 7, 770, "uhf" },
  { "isdbt-br", "7", 174, 177 + 1.0 / 7, 180, "high-vhf" },
  { "isdbt-br", "14", 470, 473 + 1.0 / 7, 476, "uhf" },
};

static const struct {
  const char *system, *rf;
} refused_channels[] = {
  { "atsc1", "1" },     { "atsc1", "70" },    { "atsc1", "" },      { "atsc1", "-" },
  { "atsc1", "14.1" },  { "atsc1", "7 " },    { "atsc1", "E7" },    { "atsc1", "nan" },
  { "dvbt8", "20" },    { "dvbt8", "61" },    { "dvbt8", "9A" },    { "dvbt7", "4" },
  { "dvbt7", "13" },    { "dvbt7", "27" },    { "dvbt7", "52" },    { "dvbt7", "AU10" },
  { "isdbt-jp", "12" }, { "isdbt-jp", "63" }, { "isdbt-br", "6" },  { "isdbt-br", "99999999999" },
};

static const struct {
  const char *system;
  double mhz;
} refused_frequencies[] = {
  { "atsc1", 53.9 }, { "atsc1", 72 },    { "atsc1", 75.9 },        { "atsc1", 100 },
  { "atsc1", 806 },  { "dvbt8", 200 },   { "dvbt7", 300 },         { "isdbt-jp", 177 },
  { "atsc1", -1 },   { "dvbt8", 1e308 }, { "atsc1", (double) NAN },
};

static DwnSystem
system_named (const char *id)
{
  DwnSystem system = DWN_SYSTEM_ATSC1;
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_system_from_id (id, &system, &error));
  g_assert_no_error (error);
  return system;
}

static void
test_known (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  DwnSystem system = system_named (known_channels[i].system);
  DwnChannel channel;
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_channel_find (system, known_channels[i].rf, &channel, &error));
  g_assert_no_error (error);
  g_assert_cmpstr (channel.rf, ==, known_channels[i].rf);
  g_assert_cmpfloat_with_epsilon (channel.low_mhz, known_channels[i].low_mhz, 1e-9);
  g_assert_cmpfloat_with_epsilon (channel.centre_mhz, known_channels[i].centre_mhz, 1e-9);
  g_assert_cmpfloat_with_epsilon (channel.high_mhz, known_channels[i].high_mhz, 1e-9);
  g_assert_cmpstr (dwn_band_id (channel.band), ==, known_channels[i].band);
}

static void
test_refused_channel (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  DwnChannel channel;
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_channel_find (system_named (refused_channels[i].system),
                                    refused_channels[i].rf, &channel, &error));
  g_assert_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_RF);
  g_assert_nonnull (strstr (error->message, " to "));
}

static void
test_refused_frequency (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  DwnChannel channel;
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_channel_at (system_named (refused_frequencies[i].system),
                                  refused_frequencies[i].mhz, &channel, &error));
  g_assert_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_FREQUENCY);
}

/* Every channel is found by its name, and its frequency leads back to the same block. */
static void
test_there_and_back (gconstpointer data)
{
  DwnSystem system = (DwnSystem) GPOINTER_TO_SIZE (data);
  gsize n;
  const DwnChannel *channels = dwn_system_channels (system, &n);

  g_assert_cmpuint (n, >, 0);
  for (gsize i = 0; i < n; i++)
    {
      DwnChannel named, found;

      g_assert_true (dwn_channel_find (system, channels[i].rf, &named, NULL));
      g_assert_true (dwn_channel_at (system, channels[i].centre_mhz, &found, NULL));
      g_assert_cmpfloat (named.low_mhz, ==, found.low_mhz);
      g_assert_true (dwn_channel_at (system, channels[i].low_mhz, &found, NULL));
      g_assert_cmpfloat (named.low_mhz, ==, found.low_mhz);
      if (i > 0)
        g_assert_cmpfloat (channels[i].centre_mhz, >=, channels[i - 1].centre_mhz);
    }
}

/* Counted from the plans: 68 US channels; 8 + 5 + 24 names of 7 MHz blocks; 40; 50; 63. */
static void
test_counts (void)
{
  static const gsize expected[DWN_N_SYSTEMS] = { 68, 68, 37, 40, 37, 40, 50, 63 };

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    {
      gsize n;

      dwn_system_channels ((DwnSystem) i, &n);
      g_assert_cmpuint (n, ==, expected[i]);
    }
}

static void
test_spellings (void)
{
  DwnChannel channel;

  g_assert_true (dwn_channel_find (DWN_SYSTEM_ATSC1, "07", &channel, NULL));
  g_assert_cmpstr (channel.rf, ==, "7");
  g_assert_true (dwn_channel_find (DWN_SYSTEM_DVBT7, "E5", &channel, NULL));
  g_assert_cmpstr (channel.rf, ==, "5");
  g_assert_true (dwn_channel_find (DWN_SYSTEM_DVBT7, "9a", &channel, NULL));
  g_assert_cmpstr (channel.rf, ==, "9A");
  g_assert_true (dwn_channel_at (DWN_SYSTEM_DVBT7, 205.5, &channel, NULL));
  g_assert_cmpstr (channel.rf, ==, "9");
}

static void
test_unknown_system (void)
{
  DwnSystem system;
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_system_from_id ("analogue", &system, &error));
  g_assert_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_SYSTEM);
  g_assert_nonnull (strstr (error->message, "dvbt2-7"));
}

static void
test_ids (void)
{
  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    g_assert_cmpint (system_named (dwn_system_id ((DwnSystem) i)), ==, i);
  for (gsize i = 0; i < DWN_N_BANDS; i++)
    {
      DwnBand band;

      g_assert_true (dwn_band_from_id (dwn_band_id ((DwnBand) i), &band));
      g_assert_cmpint (band, ==, i);
    }
  DwnBand band;
  g_assert_false (dwn_band_from_id ("vhf", &band));
  g_assert_cmpstr (dwn_polarisation_id (DWN_POLARISATION_UNKNOWN), ==, "");
  g_assert_cmpstr (dwn_polarisation_id (DWN_POLARISATION_CIRCULAR), ==, "c");
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  for (gsize i = 0; i < G_N_ELEMENTS (known_channels); i++)
    {
      g_autofree char *path = g_strdup_printf ("/channel/known/%s-%s", known_channels[i].system,
                                               known_channels[i].rf);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_known);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refused_channels); i++)
    {
      g_autofree char *path = g_strdup_printf ("/channel/refused/%s-%02zu",
                                               refused_channels[i].system, i);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused_channel);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refused_frequencies); i++)
    {
      g_autofree char *path = g_strdup_printf ("/channel/refused-frequency/%s-%g",
                                               refused_frequencies[i].system,
                                               refused_frequencies[i].mhz);
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_refused_frequency);
    }
  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    {
      g_autofree char *path = g_strdup_printf ("/channel/there-and-back/%s",
                                               dwn_system_id ((DwnSystem) i));
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), test_there_and_back);
    }
  g_test_add_func ("/channel/counts", test_counts);
  g_test_add_func ("/channel/spellings", test_spellings);
  g_test_add_func ("/channel/unknown-system", test_unknown_system);
  g_test_add_func ("/channel/ids", test_ids);

  return g_test_run ();
}
