/* What people and broken programs write where a figure belongs, in every file that people hand in:
 * each is refused with file and line, or is a figure; never is something else quietly taken, and no
 * NaN arrives in the result. In the texts below every figure stands between braces; one after the
 * other is exchanged for each of the bad ones; what stands as {?…} may come to be unknown. No
 * expected values are needed. */
#include "import-test.h"

#include "core/antenna/pattern-table.h"
#include "core/geo/profile-csv.h"
#include "core/plan/document.h"
#include "core/plan/import-readings.h"
#include "core/plan/station-list.h"
#include "core/study/tables.h"

static const char *const bad_numbers[] = {
  "NaN", "nan", "-nan", "nan(1)", "inf", "-inf", "+infinity", "1e308", "-1e308", "1e309", "-1e309",
  "1,5", "0x10", "0x1p3", "", " 5", "5 5", "--5", "1.2.3", "1e+", "five",
};

/* How a text was taken. */
typedef struct {
  char *complaint;   /* NULL: accepted */
  guint n_known;     /* figures of the result that are known; all are finite */
} Outcome;

typedef struct {
  const char *name;
  void (*read) (const char *text, Outcome *outcome);
  const char *text;
  gboolean has_comma; /* "1,5" is a figure */
} Format;

/* Counts what is known, and bears no infinity. */
static guint
count_known (guint n, const double *values)
{
  guint n_known = 0;

  for (guint i = 0; i < n; i++)
    {
      g_assert_false (isinf (values[i]));
      n_known += isnan (values[i]) ? 0 : 1;
    }
  return n_known;
}

static void
complain (Outcome *outcome, const GError *error)
{
  g_assert_nonnull (error);
  outcome->complaint = g_strdup (error->message);
}

/* A document of ours: what was known is what is written again. */
static void
count_written (GBytes *bytes, Outcome *outcome)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  g_autofree char *lower = g_ascii_strdown (text, (gssize) size);

  g_assert_null (strstr (lower, "\"nan"));
  g_assert_null (strstr (lower, "inf\""));
  for (gsize i = 0; i < size; i++)
    outcome->n_known += text[i] == '=' || text[i] == ' ' ? 1 : 0;
}

static const DwnTables *
tables_of_program (void)
{
  static DwnTables *tables;
  g_autoptr (GError) error = NULL;

  if (tables == NULL)
    tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  return tables;
}

static void
read_plan (const char *text, Outcome *outcome)
{
  const DwnTables *tables = tables_of_program ();
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (DwnPlan) plan = dwn_plan_read (bytes, "house.downlead", tables->parts,
                                            tables->catalogue, warnings, &error);

  if (plan == NULL)
    {
      complain (outcome, error);
      return;
    }
  if (warnings->len > 0)
    outcome->complaint = g_strdup (g_ptr_array_index (warnings, 0));
  g_autoptr (GBytes) written = dwn_plan_write (plan, tables->catalogue);
  count_written (written, outcome);
}

static void
read_list (const char *text, Outcome *outcome)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;
  g_autoptr (GError) error = NULL;

  if (!dwn_station_list_parse (bytes, "list.xml", &stations, &services, NULL, &error))
    {
      complain (outcome, error);
      return;
    }
  g_autoptr (GBytes) written = dwn_station_list_format (stations, services);
  count_written (written, outcome);
}

static void
count_antenna (const DwnAntenna *antenna, Outcome *outcome)
{
  const DwnPattern *pattern = antenna->pattern;

  outcome->n_known += count_known (pattern->n_mhz, pattern->mhz)
                      + count_known (pattern->n_azimuth, pattern->azimuth_deg)
                      + count_known (pattern->n_mhz * pattern->n_azimuth, pattern->gain_dbi);
}

static void
read_antenna (const char *text, Outcome *outcome)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_antenna_parse (bytes, "own.antenna", &error);

  if (antenna == NULL)
    {
      complain (outcome, error);
      return;
    }
  g_autofree char *text_again = dwn_antenna_to_text (antenna);
  g_autoptr (GBytes) written = g_bytes_new_static (text_again, strlen (text_again));
  count_antenna (antenna, outcome);
  count_written (written, outcome);
}

static void
read_table (const char *text, Outcome *outcome)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_pattern_table_parse (bytes, "own.csv", NULL, &error);

  if (antenna == NULL)
    complain (outcome, error);
  else
    count_antenna (antenna, outcome);
}

static void
read_profile (const char *text, Outcome *outcome)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = dwn_profile_read_csv (bytes, "path.csv", &error);

  if (profile == NULL)
    {
      complain (outcome, error);
      return;
    }
  outcome->n_known = count_known ((guint) profile->n, profile->distance_m)
                     + count_known ((guint) profile->n, profile->height_m);
  if (profile->clutter_m != NULL)
    outcome->n_known += count_known ((guint) profile->n, profile->clutter_m);
}

static const char readings_plan[] =
  "<downlead version='1.0'><site lat='44' lon='-75'/><stations>"
  "<station id='north' name='North' system='atsc1' rf='20' lat='44.4' lon='-75' erp-kw='100'/>"
  "</stations><gear><part id='a' kind='antenna' type='lpda-uhf'/>"
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><join from='a' to='tv1'/></gear></downlead>";

static void
read_readings (const char *text, Outcome *outcome)
{
  const DwnTables *tables = tables_of_program ();
  const DwnReadingsOptions options = { .where = "tv1" };
  g_autoptr (GBytes) document = g_bytes_new_static (readings_plan, sizeof readings_plan - 1);
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  const DwnInput input = { "meter.csv", bytes };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = dwn_plan_read (document, "plan", tables->parts, tables->catalogue,
                                            NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnReadingsImport) import = dwn_readings_import (&input, plan, &options, &error);

  if (import == NULL || import->n_skipped > 0)
    {
      outcome->complaint = g_strdup (import == NULL ? error->message : import->skipped[0].text);
      return;
    }
  for (guint i = 0; i < import->n; i++)
    {
      const DwnReading *reading = &import->reading[i];
      const double values[] = { reading->level_dbm, reading->cn_db, reading->ber_before,
                                reading->ber_after, reading->aim_deg };

      outcome->n_known += count_known (G_N_ELEMENTS (values), values);
      outcome->n_known += (reading->bars >= 0 ? 1 : 0) + (reading->bars_of >= 0 ? 1 : 0);
    }
}

static void
count_station (const DwnStation *station, Outcome *outcome)
{
  const double values[] = { station->at.lat_deg, station->at.lon_deg, station->erp_kw,
                            station->haat_m, station->agl_m, station->amsl_m, station->delay_us,
                            station->mhz };

  outcome->n_known += count_known (G_N_ELEMENTS (values), values);
  g_assert_true (fabs (station->at.lat_deg) <= 90 && fabs (station->at.lon_deg) <= 180);
  g_assert_true (station->erp_kw > 0 && station->erp_kw <= DWN_STATION_ERP_MAX_KW);
  if (station->pattern != NULL)
    outcome->n_known += count_known (station->pattern->n_azimuth, station->pattern->gain_dbi);
}

/* Every record must become a station, or one of them be listed. */
static void
take_import (DwnImport *import, const GError *error, Outcome *outcome)
{
  if (import == NULL)
    {
      complain (outcome, error);
      return;
    }
  if (import->n_skipped > 0)
    outcome->complaint = g_strdup_printf ("%s:%u: %s", import->skipped[0].file,
                                          import->skipped[0].line, import->skipped[0].text);
  for (guint i = 0; i < import->stations->n; i++)
    count_station (&import->stations->station[i], outcome);
  dwn_import_free (import);
}

static void
read_csv (const char *text, Outcome *outcome)
{
  static const char map[]
    = "[file]\nseparator = semicolon\n[columns]\nname = Name\nmhz = MHz\nlat = Lat\nlon = Lon\n"
      "erp-kw = ERP\nhaat-m = HAAT\nagl-m = AGL\namsl-m = AMSL\ndelay-us = Delay\n";
  const DwnImportOptions options = { .today = "2024-06-01" };
  DwnInput inputs[] = { text_input ("list.csv", text), text_input ("map.txt", map) };
  g_autoptr (GError) error = NULL;
  DwnImport *import = dwn_import_inputs (DWN_IMPORT_CSV, 1, inputs, &inputs[1], &options, NULL,
                                         NULL, NULL, &error);

  clear_inputs (inputs, 2);
  take_import (import, error, outcome);
}

static void
read_query_text (const char *text, Outcome *outcome)
{
  g_autoptr (GError) error = NULL;
  DwnImport *import = import_text (DWN_IMPORT_LICENCE_TEXT, text, -1, &error);

  take_import (import, error, outcome);
}

/* The tables stand one after the other, each behind a line that begins with "#". */
static void
read_tables (const char *text, Outcome *outcome)
{
  const DwnImportOptions options = { .today = "2022-10-01" };
  g_auto (GStrv) part = g_strsplit (text, "#\n", -1);
  guint n = g_strv_length (part);
  g_autofree DwnInput *inputs = g_new0 (DwnInput, n);
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < n; i++)
    {
      g_ptr_array_add (names, g_strdup_printf ("table-%u.dat", i + 1));
      inputs[i] = text_input (g_ptr_array_index (names, i), part[i]);
    }
  DwnImport *import = dwn_import_inputs (DWN_IMPORT_LICENCE_TABLES, n, inputs, NULL, &options, NULL,
                                         NULL, NULL, &error);
  clear_inputs (inputs, n);
  take_import (import, error, outcome);
}

static const Format formats[] = {
  { "plan", read_plan,
    "<downlead version='1.0'>\n"
    "<site lat='{44.2}' lon='{-71}' ground-m='{310}' height-m='{8}' landmark-lat='{44.3}'"
    " landmark-lon='{-71.1}'>\n"
    "<mast free-m='{2}' clamped-m='{1.2}' diameter-m='{0.05}' mast-nm='{900}' bracket-nm='{700}'"
    " roof-m='{1}' line-m='{20}' wind-m-per-s='{40}' ice-m='{0.01}'/>\n"
    "<loss name='wall' from-deg='{10}' to-deg='{40}' low-vhf-db='{3}' high-vhf-db='{4}'"
    " uhf-db='{6}' sd-db='{2}'/>\n"
    "<loss kind='building' of='traditional' from-deg='{50}' to-deg='{60}' percent='{40}'/>\n"
    "<loss kind='trees' of='evergreen' from-deg='{70}' to-deg='{80}' height-m='{12}' away-m='{20}'"
    " depth-m='{15}'/>\n"
    "<carrier name='mast' mhz='{751}' field-dbuv-m='{95}' bearing-deg='{20}'/>\n"
    "<carrier name='other' mhz='{98.1}' erp-kw='{3}' distance-m='{4000}' bearing-deg='{30}'/>\n"
    "</site>\n"
    "<method n0='{310}' dn='{40}' climate='{5}' sd-db='{6}'/>\n"
    "<stations>\n"
    "<station id='q' name='Q' system='atsc1' rf='20' lat='{44.6}' lon='{-71.5}' erp-kw='{90}'"
    " haat-m='{300}' agl-m='{120}' amsl-m='{700}' delay-us='{2}' line='{4}'>\n"
    "<pattern id='p'>{0} {-1} {180} {-9}</pattern>\n"
    "</station>\n"
    "</stations>\n"
    "<gear>\n"
    "<part id='a' kind='antenna' type='lpda-uhf' aim-deg='{30}' price='{50}' below-top-m='{1}'"
    " wind-m2='{0.1}' feed-ohm='{75}'/>\n"
    "<part id='m' kind='amplifier' type='mast-amp-20-2' gain-db='{18}' noise-figure-db='{2}'"
    " max-output-dbm='{5}'/>\n"
    "<part id='t' kind='outlet' type='tuner-atsc'/>\n"
    "<join from='a' to='m' cable='series-6' length-m='{2}' age-years='{3}' warmer-k='{20}'/>\n"
    "<join from='m' from-port='{1}' to='t' to-port='{1}' cable='series-6' length-m='{12}'/>\n"
    "</gear>\n"
    "<paths>\n"
    "<profile station='q' length-m='{900}'>\n"
    "<distances-dm>{0} {4000} {9000}</distances-dm>\n"
    "<heights-dm>{100} {140} {90}</heights-dm>\n"
    "<clutter-dm>{0} {50} {0}</clutter-dm>\n"
    "<zones>{4} {4} {3}</zones>\n"
    "</profile>\n"
    "</paths>\n"
    "<readings>\n"
    "<reading station='q' where='t' level-dbm='{-50}' cn-db='{20}' ber-before='{0.001}'"
    " ber-after='{0}' lock='{1}' bars='{3}' bars-of='{5}' aim-deg='{30}' gain-db='{12}'/>\n"
    "</readings>\n"
    "</downlead>\n" },
  { "station-list", read_list,
    "<stations version='1.0' source='list'>\n"
    "<station id='q' name='Q' system='dvbt2-8' rf='34' lat='{50.6}' lon='{11.5}' erp-kw='{90}'"
    " haat-m='{300}' agl-m='{120}' amsl-m='{700}' delay-us='{2}' line='{4}'>\n"
    "<pattern id='p'>{0} {-1} {180} {-9}</pattern>\n"
    "</station>\n"
    "</stations>\n" },
  { "pattern-table", read_table,
    "peak-dbi\t{9.5}\nazimuth\t{500}\t{600}\n{0}\t{0}\t{0}\n{90}\t{-9}\t{-8}\n"
    "{180}\t{-19}\t{-18}\n{270}\t{-9}\t{-8}\n", TRUE },
  { "antenna", read_antenna,
    "downlead-antenna 1\nid y\nname Y\nsource s\nfeed-ohm {300}\nbalun-db {0.5}\nprice {25}\n"
    "symmetry left-right\nazimuth-deg {0} {90} {180}\nelevation-deg {-90} {0} {90}\nmhz {500}\n"
    "impedance-ohm {280} {-20}\nmismatch-db {0.1}\ngain-dbi {8} {0} {-4}\nelevation-db {-9} 0 {-8}\n"
    "mhz {600}\ngain-dbi {10} {2} {-6}\nelevation-db {-7} 0 {-6}\n" },
  { "profile", read_profile,
    "distance_m,height_m,clutter_m,zone\n{0},{10},{0},{4}\n{500},{30},{12},{4}\n{900},{12},{0},{3}\n" },
  { "readings", read_readings,
    "station;level-dbm;cn-db;ber-before;ber-after;aim-deg;bars;bars-of\n"
    "north;{-50};{22};{0.001};{0.00001};{30};{3};{5}\n", TRUE },
  { "csv", read_csv,
    "Name;MHz;Lat;Lon;ERP;HAAT;AGL;AMSL;Delay\n"
    "Hill;{473};{44.5};{-71.5};{50};{200};{100};{600};{0}\n" },
  { "query-text", read_query_text,
    "|WBAD |- |DT |{14} |ND | |1 |- |LIC |TOWN |ME |US |BLCDT  -20120831AAF |{1.} kW |- |{50.} |- "
    "|{77} |N |{44} |{21} |{9.80} |W |{71} |{44} |{14.70} | |0.00 km |0.00 mi |0.00 deg |{744.2}  m"
    "|H |93519 |- |1034698 |{128.5} |1510493 |49 |\n" },
  { "tables", read_tables,
    "callsign|facility_id|service_code|facility_status|active_ind|license_filing_id|channel|"
    "tv_virtual_channel|atsc3_ind|latest_filing_version_id|status_date|^|\n"
    "WMAIN|{101}|DTV|LICEN|Y|f-101|7|7.1|N|a-101|2021-03-04|^|\n"
    "#\nafac_application_id|afac_facility_id|afac_license_filing_id|afac_channel|country_code|^|\n"
    "a-101|101|f-101|7|US|^|\n"
    "#\nfiling_version_id|license_filing_id|current_status_code|status_date|active_ind|^|\n"
    "a-101|f-101|GRA|2021-03-04|Y|^|\n"
    "#\naloc_loc_record_id|aloc_aapp_application_id|aloc_dts_reference_location_ind|aloc_lat_deg|"
    "aloc_lat_mm|aloc_lat_ss|aloc_lat_dir|aloc_long_deg|aloc_long_mm|aloc_long_ss|aloc_long_dir|^|\n"
    "l-101|a-101||{44}|{30}|{0}|N|{71}|{30}|{0}|W|^|\n"
    "#\naant_antenna_record_id|aant_aloc_loc_record_id|aant_antenna_id|aant_rotation_deg|"
    "aant_antenna_type_code|aant_rc_hag|aant_rc_amsl|aant_rc_haat|aant_polarization_code|^|\n"
    "n-101|l-101|1001|90|DIR|{?120.5}|{?700}|{?300}|H|^|\n"
    "#\naafq_aant_antenna_record_id|aafq_power_erp_kw|aafq_max_erp_kw|aafq_horiz_erp_kw|"
    "aafq_channel|^|\n"
    "n-101|{25.5}|||7|^|\n"
    "#\naafv_aant_antenna_record_id|aafv_azimuth|aafv_field_value|^|\n"
    "n-101|{180}|{0.1}|^|\nn-101|{0}|{1}|^|\nn-101|{90}|{0.5}|^|\nn-101|{270}|{0.5}|^|\n" },
};

/* The text without its braces, figure @which replaced by @by. Returns the figure's line, which is
 * counted anew behind every #. */
static guint
fill_in (const char *text, guint which, const char *by, GString *filled)
{
  guint line = 1, at_line = 0, k = 0;

  g_string_truncate (filled, 0);
  for (const char *at = text; *at != '\0'; at++)
    {
      line = *at == '#' ? 0 : *at == '\n' ? line + 1 : line;
      if (*at == '{' && k++ == which)
        {
          g_string_append (filled, by);
          at_line = line;
          at = strchr (at, '}');
        }
      else if (*at != '{' && *at != '}' && *at != '?')
        g_string_append_c (filled, *at);
    }
  return at_line;
}

/* The regulator's tables have many heights that no tower has, and those are not known. */
static gboolean
may_be_unknown (const char *text, guint which)
{
  for (; *text != '\0'; text++)
    if (*text == '{' && which-- == 0)
      return text[1] == '?';
  return FALSE;
}

static guint
count_figures (const char *text)
{
  guint n = 0;

  for (; *text != '\0'; text++)
    n += *text == '{' ? 1 : 0;
  return n;
}

/* Figures that can be read, if not in the place. */
static gboolean
is_number (const char *text)
{
  return g_regex_match_simple ("^ *-?[0-9]+(e[0-9]+)?( [0-9]+)?$", text, 0, 0);
}

/* Whatever is left out, or is a number that does not fit the others, may only show further down;
 * what is no number is told of on its line. */
static gboolean
names_line (const char *complaint, guint line, const char *figure)
{
  g_autofree char *place = g_strdup_printf (":%u:", line);

  /* An antenna's figures are judged together; the complaint then names antenna and figure. */
  const char *somewhere = ":[0-9]+:|^own[.].*(azimuth|elevation|frequency)";

  return figure[0] == '\0' || is_number (figure)
           ? g_regex_match_simple (somewhere, complaint, 0, 0)
           : strstr (complaint, place) != NULL;
}

/* A decimal comma is no mistake where a semicolon stands between the fields, nor a comma where any
 * number of figures may stand. */
static gboolean
may_be_taken (const Format *format, const char *figure)
{
  return is_number (figure) || (g_str_equal (figure, "1,5") && format->has_comma);
}

/* A bad figure is refused on its line, or as much is known as before; where it is left out, it may
 * be one less. */
static void
check_figure (const Format *format, guint which, guint n_known)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (bad_numbers); i++)
    {
      const char *bad = bad_numbers[i];
      Outcome outcome = { NULL, 0 };
      guint line = fill_in (format->text, which, bad, text);

      format->read (text->str, &outcome);
      if (outcome.complaint != NULL && !names_line (outcome.complaint, line, bad)
          && !may_be_taken (format, bad))
        g_error ("figure %u as \"%s\", line %u: %s", which, bad, line, outcome.complaint);
      if (outcome.complaint == NULL && bad[0] != '\0' && !may_be_unknown (format->text, which)
          && (outcome.n_known < n_known || !may_be_taken (format, bad)))
        g_error ("figure %u as \"%s\", line %u: quietly taken (%u known of %u)", which, bad, line,
                 outcome.n_known, n_known);
      g_free (outcome.complaint);
    }
}

static void
test_format (gconstpointer data)
{
  const Format *format = data;
  g_autoptr (GString) text = g_string_new (NULL);
  Outcome whole = { NULL, 0 };
  guint n = count_figures (format->text);

  fill_in (format->text, n, "", text);
  format->read (text->str, &whole);
  g_assert_cmpstr (whole.complaint, ==, NULL);
  g_assert_cmpuint (whole.n_known, >=, n / 2);
  for (guint k = 0; k < n; k++)
    check_figure (format, k, whole.n_known);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_autofree char *path = g_strdup_printf ("/numbers/%s", formats[i].name);
      g_test_add_data_func (path, &formats[i], test_format);
    }
  return g_test_run ();
}
