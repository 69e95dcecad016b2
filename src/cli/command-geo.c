/* bearing, declination, profile, skyline: where things stand. */
#include <glib/gi18n.h>
#include <math.h>

#include "cli/workbench.h"
#include "core/geo/geodesic.h"
#include "core/geo/magnetic.h"
#include "core/terrain/terrain.h"
#include "words/site-words.h"

/* --date, or today. */
static gboolean
read_day (const DwnCall *call, double *decimal_year, GError **error)
{
  DwnDate date = dwn_today ();

  if (!dwn_call_date (call, "date", &date, error))
    return FALSE;
  *decimal_year = dwn_date_decimal_year (&date);
  return TRUE;
}

static void
warn_of_date (const DwnMagneticModel *model, const DwnMagneticField *field)
{
  if (!field->outside_validity)
    return;
  g_autofree char *text = g_strdup_printf (
    _("the date is outside %.0f to %.0f, for which %s was made: the declination is extrapolated"),
    dwn_magnetic_model_first_year (model), dwn_magnetic_model_last_year (model),
    dwn_magnetic_model_name (model));
  dwn_warn (text);
}

static gboolean
run_bearing (DwnCall *call, GError **error)
{
  DwnLatLon from, to;
  DwnMagneticField field;
  double distance_m, bearing_deg, back_deg, year;

  if (!dwn_call_place (call, "from", &from, error) || !dwn_call_place (call, "to", &to, error)
      || !read_day (call, &year, error)
      || !dwn_geodesic_inverse (&from, &to, &distance_m, &bearing_deg, &back_deg, error))
    return FALSE;
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (error);
  if (model == NULL)
    return FALSE;
  dwn_magnetic_model_field (model, &from, 0.0, year, &field);
  warn_of_date (model, &field);

  DwnRows *rows = dwn_rows_new (call, "distance_m bearing_deg back_bearing_deg declination_deg "
                                      "compass_deg");
  dwn_rows_number (rows, distance_m);
  dwn_rows_number (rows, bearing_deg);
  dwn_rows_number (rows, back_deg);
  dwn_rows_number (rows, field.at.declination_deg);
  dwn_rows_number (rows, fmod (bearing_deg - field.at.declination_deg + 720.0, 360.0));
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_bearing = {
  .name = "bearing",
  .summary = N_("Distance and bearing from one place to another, true and by compass"),
  .options = (const DwnOption[]) {
    { "from", "LAT,LON", DWN_OPTION_REQUIRED }, { "to", "LAT,LON", DWN_OPTION_REQUIRED },
    { "date", "YYYY-MM-DD" }, { NULL },
  },
  .run = run_bearing,
};

static gboolean
read_when (const DwnCall *call, double *year, GError **error)
{
  gboolean has_date = dwn_call_text (call, "date") != NULL;
  gboolean has_year = dwn_call_text (call, "year") != NULL;

  if (has_date == has_year)
    {
      dwn_call_usage (error, _("declination needs --date YYYY-MM-DD or --year Y.Y, one of them"));
      return FALSE;
    }
  return has_date ? read_day (call, year, error)
                  : dwn_call_number (call, "year", 1900.0, 2100.0, year, error);
}

static gboolean
run_declination (DwnCall *call, GError **error)
{
  DwnLatLon at;
  DwnMagneticField field;
  double height_m = 0.0, year;

  if (!dwn_call_place (call, "at", &at, error)
      || !dwn_call_number (call, "height", -10000.0, 1000000.0, &height_m, error)
      || !read_when (call, &year, error))
    return FALSE;
  g_autoptr (DwnMagneticModel) model = dwn_magnetic_model_new (error);
  if (model == NULL)
    return FALSE;
  dwn_magnetic_model_field (model, &at, height_m, year, &field);
  warn_of_date (model, &field);

  DwnRows *rows = dwn_rows_new (call, "declination_deg inclination_deg horizontal_nt total_nt");
  dwn_rows_number (rows, field.at.declination_deg);
  dwn_rows_number (rows, field.at.inclination_deg);
  dwn_rows_number (rows, field.at.horizontal_nt);
  dwn_rows_number (rows, field.at.total_nt);
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_declination = {
  .name = "declination",
  .summary = N_("How far the compass needle is off true north"),
  .options = (const DwnOption[]) {
    { "at", "LAT,LON", DWN_OPTION_REQUIRED }, { "height", "M" }, { "date", "D" }, { "year", "Y.Y" },
    { NULL },
  },
  .run = run_declination,
};

void
dwn_warn_of_gaps (DwnTerrain *terrain, const DwnTerrainGaps *gaps)
{
  g_auto (GStrv) problems = dwn_terrain_dup_problems (terrain);

  for (char **problem = problems; *problem != NULL; problem++)
    dwn_warn (*problem);
  g_autofree char *text = dwn_word_gaps (&dwn_wording_metric, gaps);
  if (text != NULL)
    dwn_warn (text);
}

static gboolean
run_profile (DwnCall *call, GError **error)
{
  DwnLatLon from, to;
  g_auto (DwnTerrainGaps) gaps = { 0 };

  if (!dwn_call_place (call, "from", &from, error) || !dwn_call_place (call, "to", &to, error))
    return FALSE;
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (dwn_call_text (call, "terrain"), error);
  if (terrain == NULL)
    return FALSE;
  g_autoptr (DwnProfile) profile = dwn_terrain_profile (terrain, &from, &to, (double) INFINITY,
                                                        &gaps, NULL, error);
  if (profile == NULL)
    return FALSE;
  dwn_warn_of_gaps (terrain, &gaps);

  DwnRows *rows = dwn_rows_new (call, "distance_m height_m");
  for (gsize i = 0; i < profile->n; i++)
    {
      dwn_rows_number (rows, profile->distance_m[i]);
      dwn_rows_number (rows, profile->height_m[i]);
    }
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_profile = {
  .name = "profile",
  .summary = N_("Ground heights along the way between two places"),
  .options = (const DwnOption[]) {
    { "from", "LAT,LON", DWN_OPTION_REQUIRED }, { "to", "LAT,LON", DWN_OPTION_REQUIRED },
    { "terrain", "DIR", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_profile,
};

static gboolean
run_skyline (DwnCall *call, GError **error)
{
  DwnLatLon at;
  double height_m = 0.0, elevation_deg[360], distance_m[360];
  g_auto (DwnTerrainGaps) gaps = { 0 };

  if (!dwn_call_place (call, "at", &at, error)
      || !dwn_call_number (call, "height", 0.0, 1000.0, &height_m, error))
    return FALSE;
  g_autoptr (DwnTerrain) terrain = dwn_terrain_open (dwn_call_text (call, "terrain"), error);
  if (terrain == NULL
      || !dwn_terrain_skyline (terrain, &at, height_m, 360, elevation_deg, distance_m, &gaps, NULL,
                               error))
    return FALSE;
  dwn_warn_of_gaps (terrain, &gaps);

  DwnRows *rows = dwn_rows_new (call, "bearing_deg elevation_deg distance_m");
  for (int bearing = 0; bearing < 360; bearing++)
    {
      dwn_rows_number (rows, bearing);
      dwn_rows_number (rows, elevation_deg[bearing]);
      dwn_rows_number (rows, distance_m[bearing]);
    }
  dwn_rows_print (rows);
  return TRUE;
}

const DwnCommand dwn_command_skyline = {
  .name = "skyline",
  .summary = N_("Elevation of the horizon for each degree of bearing"),
  .options = (const DwnOption[]) {
    { "at", "LAT,LON", DWN_OPTION_REQUIRED }, { "height", "M", DWN_OPTION_REQUIRED },
    { "terrain", "DIR", DWN_OPTION_REQUIRED }, { NULL },
  },
  .run = run_skyline,
};
