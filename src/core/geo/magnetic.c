#include "core/geo/magnetic.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/data/data.h"

#define DATA_NAME "geo/wmm-2025.cof"
#define DEGREE 12
#define MAX_BYTES (1024 * 1024)
#define MAX_LINE_BYTES 200
/* The largest coefficient, g(1,0), is about −30,000 nT. */
#define MAX_COEFFICIENT_NT 1e6
#define YEARS_OF_VALIDITY 5

/* The report's reference radius, and the ellipsoid's axis and eccentricity. */
#define REFERENCE_RADIUS_M 6371200.0
#define WGS84_A_M 6378137.0
#define WGS84_F (1.0 / 298.257223563)
#define WGS84_E2 (WGS84_F * (2 - WGS84_F))

#define RADIANS (G_PI / 180)

/* Indexed by degree n and order m. */
typedef struct {
  double g[DEGREE + 1][DEGREE + 1], h[DEGREE + 1][DEGREE + 1];
} Coefficients;

struct _DwnMagneticModel {
  char *name;
  double epoch;
  Coefficients main_nt, change_nt; /* at the epoch; a year */
};

G_DEFINE_QUARK (dwn-magnetic-error-quark, dwn_magnetic_error)

/* Reading */

typedef struct {
  DwnMagneticModel *model;
  const char *file;
  guint line;
  gboolean has_header, has_end;
  gboolean has[DEGREE + 1][DEGREE + 1];
} Reader;

static gboolean G_GNUC_PRINTF (3, 4)
refuse_line (const Reader *reader, GError **error, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  g_autofree char *what = g_strdup_vprintf (format, args);
  va_end (args);
  g_set_error (error, DWN_MAGNETIC_ERROR, DWN_MAGNETIC_ERROR_FORMAT, "%s:%u: %s", reader->file,
               reader->line, what);
  return FALSE;
}

/* The line's words, without blanks between them. */
static char **
split_words (const char *line)
{
  g_auto (GStrv) parts = g_strsplit_set (line, " \t", -1);
  g_autoptr (GStrvBuilder) words = g_strv_builder_new ();

  for (char **part = parts; *part != NULL; part++)
    if (**part != '\0')
      g_strv_builder_add (words, *part);
  return g_strv_builder_end (words);
}

static gboolean
parse_number (const char *word, double *value)
{
  char *end;

  *value = g_ascii_strtod (word, &end);
  return end != word && *end == '\0' && isfinite (*value);
}

static gboolean
read_header (Reader *reader, char **words, GError **error)
{
  double epoch;

  if (g_strv_length (words) < 2 || !parse_number (words[0], &epoch) || epoch < 1900
      || epoch > 2100)
    return refuse_line (reader, error,
                        _("not the first line of a magnetic coefficient file, which has epoch, "
                          "name and date, for example \"2025.0 WMM-2025 11/13/2024\""));
  reader->model->epoch = epoch;
  reader->model->name = g_strdup (words[1]);
  reader->has_header = TRUE;
  return TRUE;
}

static gboolean
read_indices (Reader *reader, const double values[6], int *n, int *m, GError **error)
{
  /* Compared as numbers: 1e300 must not meet a cast. */
  if (!(values[0] >= 1 && values[0] <= DEGREE) || values[0] != floor (values[0]))
    return refuse_line (reader, error, _("degree %g: a whole number from 1 to %d is needed"),
                        values[0], DEGREE);
  if (!(values[1] >= 0 && values[1] <= values[0]) || values[1] != floor (values[1]))
    return refuse_line (reader, error, _("order %g: a whole number from 0 to the degree, %g, is "
                                         "needed"),
                        values[1], values[0]);
  *n = (int) values[0];
  *m = (int) values[1];
  if (reader->has[*n][*m])
    return refuse_line (reader, error, _("degree %d and order %d stand here a second time"), *n,
                        *m);
  return TRUE;
}

static gboolean
read_coefficients (Reader *reader, char **words, GError **error)
{
  DwnMagneticModel *model = reader->model;
  double values[6];
  int n = 0, m = 0;

  if (g_strv_length (words) != G_N_ELEMENTS (values))
    return refuse_line (reader, error,
                        _("%u columns; six are needed: degree, order, g, h and their changes a "
                          "year"),
                        g_strv_length (words));
  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    if (!parse_number (words[i], &values[i]) || fabs (values[i]) > MAX_COEFFICIENT_NT)
      return refuse_line (reader, error, _("column %u is \"%s\": a number of nT is needed"), i + 1,
                          words[i]);
  if (!read_indices (reader, values, &n, &m, error))
    return FALSE;

  reader->has[n][m] = TRUE;
  model->main_nt.g[n][m] = values[2];
  model->main_nt.h[n][m] = values[3];
  model->change_nt.g[n][m] = values[4];
  model->change_nt.h[n][m] = values[5];
  return TRUE;
}

static gboolean
read_line (Reader *reader, char *line, GError **error)
{
  if (strlen (line) > MAX_LINE_BYTES)
    return refuse_line (reader, error, _("longer than %d characters; a line of a coefficient file "
                                         "has about 50"),
                        MAX_LINE_BYTES);
  g_strstrip (line);
  if (*line == '\0' || *line == '#' || reader->has_end)
    return TRUE;
  if (reader->has_header && g_str_has_prefix (line, "9999"))
    {
      reader->has_end = TRUE;
      return TRUE;
    }

  g_auto (GStrv) words = split_words (line);
  return reader->has_header ? read_coefficients (reader, words, error)
                            : read_header (reader, words, error);
}

static gboolean
check_complete (const Reader *reader, GError **error)
{
  for (int n = 1; n <= DEGREE; n++)
    for (int m = 0; m <= n; m++)
      if (!reader->has[n][m])
        {
          g_set_error (error, DWN_MAGNETIC_ERROR, DWN_MAGNETIC_ERROR_INCOMPLETE,
                       _("%s:%u: the file ends without degree %d and order %d; a coefficient file "
                         "has all up to degree %d"),
                       reader->file, reader->line, n, m, DEGREE);
          return FALSE;
        }
  return TRUE;
}

static gboolean
read_text (Reader *reader, const char *text, GError **error)
{
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);

  for (char **line = lines; *line != NULL; line++)
    {
      reader->line++;
      if (!read_line (reader, *line, error))
        return FALSE;
    }
  return check_complete (reader, error);
}

/* The bytes as text; NULL where they cannot be the text of a coefficient file. */
static char *
bytes_to_text (GBytes *bytes, const char *name, GError **error)
{
  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);

  if (size == 0) /* then data is NULL */
    return g_strdup ("");
  if (size > MAX_BYTES)
    {
      g_set_error (error, DWN_MAGNETIC_ERROR, DWN_MAGNETIC_ERROR_FORMAT,
                   _("%s: larger than 1 MiB; a magnetic coefficient file has a few kB"), name);
      return NULL;
    }
  if (!g_utf8_validate_len (data, size, NULL)) /* NUL bytes neither */
    {
      g_set_error (error, DWN_MAGNETIC_ERROR, DWN_MAGNETIC_ERROR_FORMAT,
                   _("%s: not a text file; a magnetic coefficient file is plain text"), name);
      return NULL;
    }
  if (size >= 3 && memcmp (data, "\xef\xbb\xbf", 3) == 0) /* byte-order mark */
    return g_strndup (data + 3, size - 3);
  return g_strndup (data, size);
}

DwnMagneticModel *
dwn_magnetic_model_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);

  g_autofree char *text = bytes_to_text (bytes, name, error);
  if (text == NULL)
    return NULL;

  g_autoptr (DwnMagneticModel) model = g_atomic_rc_box_new0 (DwnMagneticModel);
  Reader reader = { .model = model, .file = name };

  if (!read_text (&reader, text, error))
    return NULL;
  return g_steal_pointer (&model);
}

DwnMagneticModel *
dwn_magnetic_model_new (GError **error)
{
  gboolean overridden;
  g_autoptr (GBytes) bytes = dwn_data_lookup (DATA_NAME, &overridden, error);

  if (bytes == NULL)
    return NULL;
  g_autofree char *path = overridden ? dwn_data_override_path (DATA_NAME) : NULL;
  return dwn_magnetic_model_new_from_bytes (bytes, overridden ? path : DATA_NAME, error);
}

DwnMagneticModel *
dwn_magnetic_model_ref (const DwnMagneticModel *model)
{
  g_return_val_if_fail (model != NULL, NULL);

  return g_atomic_rc_box_acquire ((DwnMagneticModel *) model);
}

static void
clear_model (gpointer data)
{
  DwnMagneticModel *model = data;

  g_free (model->name);
}

void
dwn_magnetic_model_unref (DwnMagneticModel *model)
{
  g_return_if_fail (model != NULL);

  g_atomic_rc_box_release_full (model, clear_model);
}

const char *
dwn_magnetic_model_name (const DwnMagneticModel *model)
{
  g_return_val_if_fail (model != NULL, NULL);

  return model->name;
}

double
dwn_magnetic_model_first_year (const DwnMagneticModel *model)
{
  g_return_val_if_fail (model != NULL, (double) NAN);

  return model->epoch;
}

double
dwn_magnetic_model_last_year (const DwnMagneticModel *model)
{
  g_return_val_if_fail (model != NULL, (double) NAN);

  return model->epoch + YEARS_OF_VALIDITY;
}

/* The sum. Equation numbers are those of the technical report. */

typedef struct {
  double north, east, down;
} Vector;

/* A place in geocentric terms. */
typedef struct {
  double sin_lat, cos_lat; /* geocentric latitude */
  double radius_ratio;     /* reference radius over distance from the centre */
  double tilt_rad;         /* geocentric less geodetic latitude */
  double sin_m_lon[DEGREE + 1], cos_m_lon[DEGREE + 1];
} Place;

/* Schmidt semi-normalised Legendre functions of the sine of latitude. */
typedef struct {
  double p[DEGREE + 1][DEGREE + 1];
  double over_cos[DEGREE + 1][DEGREE + 1]; /* p / cos (latitude) for m >= 1, finite at the poles */
  double slope[DEGREE + 1][DEGREE + 1];    /* dp / dlatitude */
} Legendre;

/* Eqs. (7) and (8): from geodetic to geocentric. */
static Place
find_place (const DwnLatLon *at, double height_m)
{
  double phi = at->lat_deg * RADIANS, lambda = at->lon_deg * RADIANS;
  double normal_m = WGS84_A_M / sqrt (1 - WGS84_E2 * sin (phi) * sin (phi));
  double from_axis_m = (normal_m + height_m) * cos (phi);
  double from_equator_m = (normal_m * (1 - WGS84_E2) + height_m) * sin (phi);
  double radius_m = hypot (from_axis_m, from_equator_m);
  Place place = {
    .sin_lat = from_equator_m / radius_m,
    .cos_lat = from_axis_m / radius_m,
    .radius_ratio = REFERENCE_RADIUS_M / radius_m,
    .tilt_rad = atan2 (from_equator_m, from_axis_m) - phi,
  };

  for (int m = 0; m <= DEGREE; m++)
    {
      place.sin_m_lon[m] = sin (m * lambda);
      place.cos_m_lon[m] = cos (m * lambda);
    }
  return place;
}

/* On the diagonal: p(n,n) from p(n−1,n−1). */
static void
step_diagonal (Legendre *l, int n, const Place *place)
{
  double factor = n == 1 ? 1 : sqrt ((2 * n - 1) / (2.0 * n));
  double before = n == 1 ? 1 : place->cos_lat * l->over_cos[n - 1][n - 1];

  l->over_cos[n][n] = n == 1 ? 1 : factor * before;
  l->p[n][n] = place->cos_lat * l->over_cos[n][n];
  l->slope[n][n] = factor * (place->cos_lat * l->slope[n - 1][n - 1]
                             - place->sin_lat * l->p[n - 1][n - 1]);
}

/* Below it: p(n,m) from p(n−1,m) and p(n−2,m). */
static void
step_down (Legendre *l, int n, int m, const Place *place)
{
  double scale = 1 / sqrt (n * n - m * m), a = (2 * n - 1) * scale;
  double b = n >= 2 ? sqrt ((n - 1) * (n - 1) - m * m) * scale : 0;
  int two_up = MAX (n - 2, 0); /* b is 0 where there is none */

  l->p[n][m] = a * place->sin_lat * l->p[n - 1][m] - b * l->p[two_up][m];
  l->over_cos[n][m] = a * place->sin_lat * l->over_cos[n - 1][m] - b * l->over_cos[two_up][m];
  l->slope[n][m] = a * (place->sin_lat * l->slope[n - 1][m] + place->cos_lat * l->p[n - 1][m])
                   - b * l->slope[two_up][m];
}

static void
find_legendre (Legendre *l, const Place *place)
{
  *l = (Legendre) { .p[0][0] = 1 };
  for (int n = 1; n <= DEGREE; n++)
    {
      for (int m = 0; m < n; m++)
        step_down (l, n, m, place);
      step_diagonal (l, n, place);
    }
}

/* Eqs. (10) to (12), or for changes (13) to (15): the field in geocentric directions. */
static Vector
sum_geocentric (const Coefficients *c, const Place *place, const Legendre *l)
{
  Vector sum = { 0 };
  double power = place->radius_ratio * place->radius_ratio;

  for (int n = 1; n <= DEGREE; n++)
    {
      power *= place->radius_ratio;
      for (int m = 0; m <= n; m++)
        {
          double sin_m = place->sin_m_lon[m], cos_m = place->cos_m_lon[m];
          double in_phase = c->g[n][m] * cos_m + c->h[n][m] * sin_m;

          sum.north -= power * in_phase * l->slope[n][m];
          sum.east += power * m * (c->g[n][m] * sin_m - c->h[n][m] * cos_m) * l->over_cos[n][m];
          sum.down -= power * (n + 1) * in_phase * l->p[n][m];
        }
    }
  return sum;
}

/* Eq. (17): turned to the ellipsoid's north and down. */
static Vector
to_geodetic (Vector v, double tilt_rad)
{
  double s = sin (tilt_rad), c = cos (tilt_rad);

  return (Vector) { v.north * c - v.down * s, v.east, v.north * s + v.down * c };
}

/* Eq. (9). */
static Coefficients
at_year (const DwnMagneticModel *model, double years)
{
  Coefficients c = { 0 };

  for (int n = 1; n <= DEGREE; n++)
    for (int m = 0; m <= n; m++)
      {
        c.g[n][m] = model->main_nt.g[n][m] + years * model->change_nt.g[n][m];
        c.h[n][m] = model->main_nt.h[n][m] + years * model->change_nt.h[n][m];
      }
  return c;
}

/* Eq. (19). */
static DwnMagneticElements
elements_of (Vector v)
{
  double horizontal = hypot (v.north, v.east);

  return (DwnMagneticElements) {
    .declination_deg = atan2 (v.east, v.north) / RADIANS,
    .inclination_deg = atan2 (v.down, horizontal) / RADIANS,
    .horizontal_nt = horizontal,
    .total_nt = hypot (horizontal, v.down),
    .north_nt = v.north,
    .east_nt = v.east,
    .down_nt = v.down,
  };
}

/* Eq. (20). */
static DwnMagneticElements
changes_of (const DwnMagneticElements *at, Vector change)
{
  double h = at->horizontal_nt, f = at->total_nt;
  double horizontal = (at->north_nt * change.north + at->east_nt * change.east) / h;

  return (DwnMagneticElements) {
    .declination_deg = (at->north_nt * change.east - at->east_nt * change.north) / (h * h)
                       / RADIANS,
    .inclination_deg = (h * change.down - at->down_nt * horizontal) / (f * f) / RADIANS,
    .horizontal_nt = horizontal,
    .total_nt = (h * horizontal + at->down_nt * change.down) / f,
    .north_nt = change.north,
    .east_nt = change.east,
    .down_nt = change.down,
  };
}

static gboolean
is_in_domain (const DwnLatLon *at, double height_m, double decimal_year)
{
  return fabs (at->lat_deg) <= 90 && isfinite (at->lon_deg) && height_m >= -1e4 && height_m <= 1e6
         && isfinite (decimal_year);
}

void
dwn_magnetic_model_field (const DwnMagneticModel *model, const DwnLatLon *at, double height_m,
                          double decimal_year, DwnMagneticField *field)
{
  g_return_if_fail (model != NULL && at != NULL && field != NULL);

  const double nan = (double) NAN;
  const DwnMagneticElements unknown = { nan, nan, nan, nan, nan, nan, nan };

  *field = (DwnMagneticField) {
    .at = unknown,
    .per_year = unknown,
    .outside_validity = !(decimal_year >= dwn_magnetic_model_first_year (model)
                          && decimal_year <= dwn_magnetic_model_last_year (model)),
  };
  if (!is_in_domain (at, height_m, decimal_year))
    return;

  Coefficients now_nt = at_year (model, decimal_year - model->epoch);
  Place place = find_place (at, height_m);
  Legendre legendre;

  find_legendre (&legendre, &place);
  Vector main = sum_geocentric (&now_nt, &place, &legendre);
  Vector change = sum_geocentric (&model->change_nt, &place, &legendre);
  field->at = elements_of (to_geodetic (main, place.tilt_rad));
  field->per_year = changes_of (&field->at, to_geodetic (change, place.tilt_rad));
}

double
dwn_magnetic_model_declination_deg (const DwnMagneticModel *model, const DwnLatLon *at,
                                    double height_m, double decimal_year)
{
  DwnMagneticField field = { .at.declination_deg = (double) NAN };

  dwn_magnetic_model_field (model, at, height_m, decimal_year, &field);
  return field.at.declination_deg;
}
