/* The computed catalogue: what is committed is what the decks give, and the engine that worked it
 * out gives what is published. Needs nec2c (Debian: apt-get install nec2c), which tests/run
 * installs; without it these tests fail. With DOWNLEAD_LONG_TESTS set (tests/run --long) every
 * deck runs at every frequency. */
#include <math.h>
#include <string.h>

#include <glib/gstdio.h>

#include "core/antenna/catalogue.h"
#include "core/antenna/thin-wire.h"

#define DBI_OF_DBD 2.15
#define EVERY_NTH_FREQUENCY 8

static GBytes *
file_bytes (const char *path)
{
  g_autoptr (GError) error = NULL;
  char *text;
  gsize size;

  g_file_get_contents (path, &text, &size, &error);
  g_assert_no_error (error);
  return g_bytes_new_take (text, size);
}

/* The listing that nec2c prints for a deck. */
static GBytes *
run_deck (const char *deck)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("downlead-deck-XXXXXX", &error);
  g_autofree char *input = g_build_filename (folder, "deck.nec", NULL);
  g_autofree char *output = g_build_filename (folder, "listing", NULL);
  const char *argv[] = { "nec2c", "-i", input, "-o", output, NULL };
  GBytes *bytes;
  int status;

  g_file_set_contents (input, deck, -1, &error);
  g_assert_no_error (error);
  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL, &status,
                &error);
  g_assert_no_error (error);
  g_spawn_check_wait_status (status, &error);
  g_assert_no_error (error);
  bytes = file_bytes (output);
  g_assert_cmpint (g_unlink (input), ==, 0);
  g_assert_cmpint (g_unlink (output), ==, 0);
  g_assert_cmpint (g_rmdir (folder), ==, 0);
  return bytes;
}

static DwnAntenna *
worked_out (const char *deck, double feed_ohm)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) listing = run_deck (deck);
  DwnAntenna *antenna = dwn_thin_wire_parse (listing, "listing", feed_ohm, NULL, &error);

  g_assert_no_error (error);
  return antenna;
}

static char *
catalogue_deck_path (const char *id)
{
  g_autofree char *file_name = g_strconcat (id, ".nec", NULL);

  return g_test_build_filename (G_TEST_DIST, "..", "data", "antennas", "decks", file_name, NULL);
}

static char *
text_of (const char *path)
{
  g_autoptr (GBytes) bytes = file_bytes (path);

  return g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
}

static gboolean
is_tested (gsize frequency, const char *id)
{
  /* Another share of the frequencies for each deck, always the same one. */
  return g_getenv ("DOWNLEAD_LONG_TESTS") != NULL
         || (frequency + g_str_hash (id)) % EVERY_NTH_FREQUENCY == 0;
}

static char *
deck_at_frequencies (const char *id, const DwnPattern *pattern)
{
  g_autofree char *path = catalogue_deck_path (id);
  g_autofree char *deck = text_of (path);
  char *end = strstr (deck, "\nEN");
  GString *text;

  g_assert_nonnull (end);
  end[1] = '\0';
  text = g_string_new (deck);
  for (gsize f = 0; f < pattern->n_mhz; f++)
    if (is_tested (f, id))
      {
        g_string_append (text, "FR 0 1 0 0 ");
        dwn_antenna_text_append (text, pattern->mhz[f]);
        g_string_append (text, " 0\nRP 0 1 73 1000 90 0 0 5\nRP 0 37 1 1000 0 0 5 0\n");
      }
  g_string_append (text, "EN\n");
  return g_string_free (text, FALSE);
}

static void
assert_same_at (const DwnAntenna *committed, const DwnAntenna *again, double mhz)
{
  double ahead_dbi = dwn_pattern_gain_dbi (committed->pattern, 0.0, mhz);

  for (double azimuth_deg = 0.0; azimuth_deg < 360.0; azimuth_deg += 5.0)
    g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (committed->pattern, azimuth_deg, mhz),
                                    dwn_pattern_gain_dbi (again->pattern, azimuth_deg, mhz), 0.05);
  for (double elevation_deg = -90.0; elevation_deg <= 90.0; elevation_deg += 5.0)
    g_assert_cmpfloat_with_epsilon (
        ahead_dbi + dwn_pattern_elevation_db (committed->pattern, elevation_deg, mhz),
        dwn_pattern_gain_dbi (again->pattern, 0.0, mhz)
            + dwn_pattern_elevation_db (again->pattern, elevation_deg, mhz),
        0.05);
  g_assert_cmpfloat_with_epsilon (dwn_pattern_mismatch_db (committed->pattern, mhz),
                                  dwn_pattern_mismatch_db (again->pattern, mhz), 0.05);
}

static void
test_committed (gconstpointer data)
{
  const char *id = data;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) committed = dwn_catalogue_antenna (catalogue, id, &error);
  g_autofree char *deck = NULL;
  g_autoptr (DwnAntenna) again = NULL;

  g_assert_no_error (error);
  deck = deck_at_frequencies (id, committed->pattern);
  again = worked_out (deck, committed->feed_ohm);
  g_assert_cmpuint (again->pattern->n_mhz, >=, committed->pattern->n_mhz / EVERY_NTH_FREQUENCY);
  for (gsize f = 0; f < again->pattern->n_mhz; f++)
    assert_same_at (committed, again, again->pattern->mhz[f]);
}

/* What goes in comes out: the mean power over the sphere is the share that the wires do not heat
 * away. An efficiency over 1 or far under it inside the band means that the deck is no valid
 * model. 0.1 dB each way; aluminium rods lose under 0.05 dB. */
static void
test_energy (gconstpointer data)
{
  const char *id = data;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  const DwnCatalogueEntry *entry
      = dwn_catalogue_entry (catalogue, (gsize) dwn_catalogue_find (catalogue, id));
  g_autofree char *path = catalogue_deck_path (id);
  g_autofree char *deck = text_of (path);
  g_autofree char *whole = NULL;
  g_autoptr (GBytes) listing = NULL;
  const char *mean;

  *strstr (deck, "\nEN") = '\0';
  whole = g_strdup_printf ("%s\nFR 0 1 0 0 %.1f 0\nRP 0 37 73 1001 0 0 5 5\nEN\n", deck,
                           (entry->design_low_mhz + entry->design_high_mhz) / 2.0);
  listing = run_deck (whole);
  mean = g_strstr_len (g_bytes_get_data (listing, NULL), (gssize) g_bytes_get_size (listing),
                       "AVERAGE POWER GAIN");
  g_assert_nonnull (mean);
  mean += strcspn (mean, "0123456789");
  g_assert_cmpfloat_with_epsilon (g_ascii_strtod (mean, NULL), 1.0, 0.0233);
}

/* The antenna that a plane wave from each bearing drives, feed short-circuited: a listing of the feed's
 * current. NULL: the deck has several feeds, or lines between them that the feed's own current does not
 * show. */
static char *
receiving_deck (const char *id, double mhz)
{
  g_autofree char *path = catalogue_deck_path (id);
  g_autofree char *deck = text_of (path);
  char *end = strstr (deck, "\nEX 0 ");
  int tag, segment;

  if (strstr (deck, "\nTL ") != NULL || strstr (end + 1, "\nEX ") != NULL)
    return NULL;
  g_assert_cmpint (sscanf (end, "\nEX 0 %d %d", &tag, &segment), ==, 2);
  end[1] = '\0';
  return g_strdup_printf ("%sFR 0 1 0 0 %.3f 0\nEX 1 1 72 0 90 0 90 0 5\nPT 1 %d %d %d\nXQ\nEN\n", deck, mhz, tag,
                          segment, segment);
}

/* A table of the listing: azimuths 5° apart, counter-clockwise as engines count. */
static void
read_currents (const char *listing, double *current)
{
  const char *row = strstr (listing, "RECEIVING PATTERN PARAMETERS");

  g_assert_nonnull (row);
  row = strstr (row, "MAGNITUDE");
  for (guint k = 0; k < 72; k++)
    {
      double theta_deg, phi_deg;

      row = strchr (row, '\n') + 1;
      g_assert_cmpint (sscanf (row, "%lf %lf %lf", &theta_deg, &phi_deg, &current[k]), ==, 3);
      g_assert_cmpfloat (phi_deg, ==, 5.0 * k);
    }
}

/* The pattern's frequency nearest to the middle of what the antenna is meant for. */
static double
middle_mhz (const DwnCatalogue *catalogue, const DwnPattern *pattern)
{
  const DwnCatalogueEntry *entry
      = dwn_catalogue_entry (catalogue, (gsize) dwn_catalogue_find (catalogue, pattern->id));
  double middle = (entry->design_low_mhz + entry->design_high_mhz) / 2.0, nearest = pattern->mhz[0];

  for (gsize f = 1; f < pattern->n_mhz; f++)
    if (fabs (pattern->mhz[f] - middle) < fabs (nearest - middle))
      nearest = pattern->mhz[f];
  return nearest;
}

/* Reciprocity (Rayleigh, Carson): what a wave from some bearing brings to the feed goes with the bearing
 * as what the antenna radiates there does. The catalogue was worked out by radiating, and is for
 * receiving. */
static void
test_reciprocity (gconstpointer data)
{
  const char *id = data;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (catalogue, id, NULL);
  double mhz = middle_mhz (catalogue, pattern), current[72];
  g_autofree char *deck = receiving_deck (id, mhz);
  g_autoptr (GBytes) bytes = run_deck (deck);
  g_autofree char *listing = g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
  double ahead_dbi = dwn_pattern_gain_dbi (pattern, 0.0, mhz);

  read_currents (listing, current);
  for (guint k = 0; k < 72; k++)
    {
      double radiated_db = dwn_pattern_gain_dbi (pattern, -5.0 * k, mhz) - ahead_dbi;

      /* Point matching keeps reciprocity only as well as its segments are short. */
      if (radiated_db > -12.0)
        g_assert_cmpfloat_with_epsilon (20.0 * log10 (current[k] / current[0]), radiated_db, 0.25);
    }
}

static DwnAntenna *
test_deck (const char *name)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "data", "decks", name, NULL);
  g_autofree char *deck = text_of (path);

  return worked_out (deck, 75.0);
}

typedef struct {
  const char *deck;
  double mhz, gain_dbi, tolerance_db;
} PublishedCase;

static const PublishedCase published_cases[] = {
  /* NBS Technical Note 688, table 1: measured gains in dBd of the six designs. */
  { "nbs688-0.4.nec", 400.0, 7.1 + DBI_OF_DBD, 0.4 },
  { "nbs688-0.8.nec", 400.0, 9.2 + DBI_OF_DBD, 0.4 },
  { "nbs688-1.2.nec", 400.0, 10.2 + DBI_OF_DBD, 0.4 },
  { "nbs688-2.2.nec", 400.0, 12.25 + DBI_OF_DBD, 0.4 },
  { "nbs688-3.2.nec", 400.0, 13.4 + DBI_OF_DBD, 0.4 },
  { "nbs688-4.2.nec", 400.0, 14.2 + DBI_OF_DBD, 0.4 },
  /* Kraus, Antennas, ch. 5. */
  { "half-wave.nec", 300.0, 2.15, 0.02 },
  /* Kraus, Antennas, corner reflectors: images in sheets without end, with the mutual resistances
   * of Carter's formula at 0.707 and 1 wavelength (−24.64, 4.01 Ω) 11.81 dBi at half a wavelength;
   * sides of one and two wavelengths stay a decibel below and come out above. */
  { "corner-1.nec", 300.0, 11.81, 1.2 },
  { "corner-2.nec", 300.0, 11.81, 1.2 },
  /* Log-periodic design chart (Carrel; Balanis, Antenna Theory, example 11.1, from memory):
   * τ = 0.865, σ = 0.157 gives 8 dB. */
  { "log-periodic.nec", 80.0, 8.0, 0.6 },
  { "log-periodic.nec", 100.0, 8.0, 0.6 },
  { "log-periodic.nec", 120.0, 8.0, 0.6 },
  { "log-periodic.nec", 140.0, 8.0, 0.6 },
  { "log-periodic.nec", 160.0, 8.0, 0.6 },
  { "log-periodic.nec", 180.0, 8.0, 0.6 },
};

static void
test_published (gconstpointer data)
{
  const PublishedCase *c = data;
  g_autoptr (DwnAntenna) antenna = test_deck (c->deck);

  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (antenna->pattern, 0.0, c->mhz),
                                  c->gain_dbi, c->tolerance_db);
}

/* Kraus, Antennas, ch. 5: 78° between the half-power points, and the feed of 73.1 + j42.5 Ω
 * within what a wire of some thickness adds. */
static void
test_half_wave (void)
{
  g_autoptr (DwnAntenna) antenna = test_deck ("half-wave.nec");

  g_assert_cmpfloat_with_epsilon (dwn_pattern_beamwidth_deg (antenna->pattern, 300.0), 78.0, 0.3);
  g_assert_cmpfloat_with_epsilon (antenna->resistance_ohm[0], 73.1, 6.0);
  g_assert_cmpfloat_with_epsilon (antenna->reactance_ohm[0], 42.5, 6.0);
}

/* Kraus, Antennas, flat sheet: 2 √(R11/(R11 − R12)), R11 = 73.13 Ω and, by Carter's formula at
 * half a wavelength, R12 = −12.53 Ω: 5.33 dB over the dipole. The sheet is the ground here, so
 * straight up is the boresight. */
static void
test_flat_sheet (void)
{
  g_autoptr (DwnAntenna) antenna = test_deck ("flat-sheet.nec");
  double up_dbi = dwn_pattern_gain_dbi (antenna->pattern, 0.0, 300.0)
                  + dwn_pattern_elevation_db (antenna->pattern, 90.0, 300.0);

  g_assert_cmpfloat_with_epsilon (up_dbi, 5.33 + DBI_OF_DBD, 0.1);
}

typedef struct {
  const char *name, *id;
  double mhz, gain_dbi, tolerance_db;
} TextbookCase;

/* Antennas of the catalogue against the textbook's ideal ones. */
static const TextbookCase textbook_cases[] = {
  /* A dipole of finite thickness, cut a little short: the half-wave dipole's gain. */
  { "dipole", "dipole-uhf", 545.0, 2.15, 0.1 },
  { "folded-dipole", "folded-dipole-high-vhf", 195.0, 2.15, 0.1 },
  /* Two equal dipoles in quadrature share the power: 2.15 − 3.01 dBi all round. */
  { "turnstile", "turnstile-uhf", 540.0, -0.86, 0.3 },
  /* Kraus, Antennas, flat sheet, see above; 0.45 m are 0.8 wavelengths here. */
  { "dipole-before-screen", "dipole-screen-uhf", 545.0, 7.48, 0.7 },
  /* Loop of one wavelength: 3.4 dBi (Kraus, from memory); 0.62 m. */
  { "loop", "loop-uhf", 485.0, 3.4, 0.3 },
};

static void
test_textbook (gconstpointer data)
{
  const TextbookCase *c = data;
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (catalogue, c->id, NULL);

  g_assert_cmpfloat_with_epsilon (dwn_pattern_gain_dbi (pattern, 0.0, c->mhz), c->gain_dbi,
                                  c->tolerance_db);
}

static void
add_deck_tests (void)
{
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  guint n = 0;

  for (gsize i = 0; i < dwn_catalogue_n (catalogue); i++)
    {
      const char *id = g_intern_string (dwn_catalogue_entry (catalogue, i)->id);
      g_autofree char *deck = catalogue_deck_path (id);
      g_autofree char *committed = g_strconcat ("/decks/committed/", id, NULL);
      g_autofree char *energy = g_strconcat ("/decks/energy/", id, NULL);

      if (!g_file_test (deck, G_FILE_TEST_EXISTS))
        continue;
      g_test_add_data_func (committed, id, test_committed);
      g_test_add_data_func (energy, id, test_energy);
      g_autofree char *receiving = receiving_deck (id, 100.0);
      g_autofree char *reciprocity = g_strconcat ("/decks/reciprocity/", id, NULL);
      if (receiving != NULL)
        g_test_add_data_func (reciprocity, id, test_reciprocity);
      n++;
    }
  g_assert_cmpuint (n, >=, 30); /* all but the planning antennas */
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);

  add_deck_tests ();
  for (gsize i = 0; i < G_N_ELEMENTS (published_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/decks/published/%s/%g", published_cases[i].deck,
                                               published_cases[i].mhz);

      g_test_add_data_func (path, &published_cases[i], test_published);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (textbook_cases); i++)
    {
      g_autofree char *path = g_strdup_printf ("/decks/textbook/%s", textbook_cases[i].name);

      g_test_add_data_func (path, &textbook_cases[i], test_textbook);
    }
  g_test_add_func ("/decks/half-wave", test_half_wave);
  g_test_add_func ("/decks/flat-sheet", test_flat_sheet);
  return g_test_run ();
}
